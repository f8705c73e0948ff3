"""Shipped styles in the sizes of shipped tables, drafted once for all tests of what is drawn and told of them."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import NamedTuple

from size_tables import size_table
from tapeline.making.papers import work_of
from tapeline.paper.house.house import USUAL, House
from tapeline.paper.house.work import SizesWork, Work
from tapeline.session import Session
from tapeline.sizing.growth import stacks_of
from tapeline.source.diagnostics import render
from tapeline.source.world import standard_folder

HOUSES = {"usual": USUAL, "millimetres": House(name="Sailmakers' Loft", unit="mm", language="de")}


class Drafted(NamedTuple):
    run: object
    made: tuple
    stacks: dict
    house: House


def drafted(style: str, table: str, lender: str = "", only: tuple[str, ...] = (), house: str = "usual") -> Drafted:
    return _drafted(style, table, lender, only, house)


@cache
def _drafted(style: str, table: str, lender: str, only: tuple[str, ...], house: str) -> Drafted:
    home = standard_folder("styles")
    reading = Session(keep=True).read(home / f"{style}.style")
    body = home / "bodies" / f"{lender}.toml" if lender else None
    made = reading.draft_sizes(size_table(table), only, body, house=HOUSES[house])
    assert made.ok, "\n".join(map(render, made.diagnostics))
    run = made.run()
    stacks, found = stacks_of(run)
    assert not found
    return Drafted(run, made.bodies, stacks, HOUSES[house])


def work_of_size(one: Drafted, number: int) -> Work:
    """The work of one size, which has the size's name in the names of its files."""
    made, size = one.made[number], one.run.names[number]
    return replace(work_of(made.style, made.whole, made.place, made.name, made.unit, one.house), size=size, part=size)


def work_of_sizes(one: Drafted, kinds: tuple[str, ...] = ()) -> SizesWork:
    """The work of the sizes together."""
    base = work_of_size(one, one.run.base)
    return SizesWork(one.run, one.stacks, base, base.heading._replace(body_name="sizes"), kinds)
