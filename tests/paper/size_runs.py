"""Shipped styles in the sizes of shipped tables, drafted once for all tests of what is drawn and told of them."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from size_tables import size_table
from tapeline.paper.house.house import USUAL, House
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
