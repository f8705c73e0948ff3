"""What the names in an order lead to: a style, a card and a house, beside the order or among those that come with the program.

A bare name is looked for beside the order first; what it leads to there lies in that folder, links followed.  What is no bare name
is a path, told from the order's folder.
"""

from __future__ import annotations

import re
from pathlib import PurePath
from typing import NamedTuple

from ..making.texts import CARD, HOUSE, STYLE, Sort, shipped
from ..paper.house.house import read_house
from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Span
from ..source.world import World
from .order import ClientOrder


class Named(NamedTuple):
    """The paths of what an order names."""

    style: PurePath
    card: PurePath
    house: PurePath | None

    @property
    def client(self) -> str:
        """The short name of the client: that of her card's file."""
        return self.card.stem


def named_by(world: World, path: PurePath, order: ClientOrder) -> tuple[Named | None, list[Diagnostic]]:
    """The files that an order at a path names; None where one is not there.  F001."""
    found: dict[str, PurePath] = {}
    diagnostics = []
    for key, name, sort in (("style", order.style, STYLE), ("client", order.client, CARD), ("house", order.house, HOUSE)):
        if not name:
            continue
        place = found_beside(world, path, name, sort)
        if place is None:
            diagnostics.append(_nowhere(world, path, name, sort, order.at(key)))
        else:
            found[key] = place
    if diagnostics:
        return None, diagnostics
    return Named(found["style"], found["client"], found.get("house")), []


def found_beside(world: World, path: PurePath, name: str, sort: Sort) -> PurePath | None:
    """The path of the text of this sort that a name leads to from a path: beside it, else among those that come with the program.

    None where a bare name leads nowhere; whether a text lies at a path is not asked here.
    """
    if not is_bare(name):
        return PurePath(path).parent / name
    beside = world.neighbour(path, f"{name}{sort.suffix}")
    if beside is not None:
        return beside
    there = shipped(world, name, sort)
    return PurePath(there) if there else None


def is_bare(name: str) -> bool:
    """Whether this is a name, and not the path of a file."""
    place = PurePath(name)
    return place.name == name and not place.suffix


def _is_of(world: World, place: PurePath, sort: Sort) -> bool:
    """Whether a text of this sort lies at a path, and not a folder or a text of another sort with the same ending."""
    source, _ = world.text(place)
    if source is None:
        return False
    if sort == HOUSE:
        return read_house(source)[0] is not None
    return re.search(r"^\s*\[measures\b" if sort == CARD else r"^style\b", source.text, re.MULTILINE) is not None


def _nowhere(world: World, path: PurePath, name: str, sort: Sort, span: Span | None) -> Diagnostic:
    places = [*(world.folder(PurePath(path).parent, sort.suffix) or []), *(world.folder(PurePath(sort.folder), sort.suffix) or [])]
    known = list(dict.fromkeys(place.stem for place in places if _is_of(world, place, sort)))
    return Diagnostic(
        "F001",
        f"There is no {sort.name} of this name",
        span,
        f"one of: {', '.join(known[:12])}" if known else f"the path of a file that ends in {sort.suffix}",
        f'"{name}"',
        did_you_mean(name, known) or f"Give the path of the file, with {sort.suffix} at its end.",
    )
