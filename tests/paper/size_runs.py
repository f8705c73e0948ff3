"""Shipped styles in the sizes of shipped tables, drafted once for all tests of what is drawn and told of them."""

from __future__ import annotations

from functools import cache
from typing import NamedTuple

from size_tables import size_table
from tapeline.desk.making import open_card, open_style
from tapeline.desk.sizes import make_sizes, sizes_for
from tapeline.paper.house.house import USUAL, House
from tapeline.sizing.growth import stacks_of
from tapeline.sizing.run import size_run
from tapeline.source.diagnostics import has_errors, render
from tapeline.source.world import standard_folder

HOUSES = {"usual": USUAL, "millimetres": House(name="Sailmakers' Loft", unit="mm", language="de")}


class Drafted(NamedTuple):
    run: object
    made: list
    stacks: dict
    house: House


def drafted(style: str, table: str, lender: str = "", only: tuple[str, ...] = (), house: str = "usual") -> Drafted:
    return _drafted(style, table, lender, only, house)


@cache
def _drafted(style: str, table: str, lender: str, only: tuple[str, ...], house: str) -> Drafted:
    home = standard_folder("styles")
    read, found = open_style(home / f"{style}.style")
    assert read, "\n".join(map(render, found))
    card = open_card(home / "bodies" / f"{lender}.toml", read, False, whole=False)[0] if lender else None
    sizes, found = sizes_for(size_table(table), read, only, card)
    assert sizes, "\n".join(map(render, found))
    made, found = make_sizes(read, sizes, (), None, HOUSES[house])
    assert not has_errors(found), "\n".join(map(render, found))
    run = size_run(read, sizes, made)
    stacks, found = stacks_of(run)
    assert not found
    return Drafted(run, made, stacks, HOUSES[house])
