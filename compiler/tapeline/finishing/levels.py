"""Where the levels of the body lie on the edges of a piece, also of one that is made from another.

On a piece as drafted a level runs straight across.  Once a part of it is turned, spread or drawn anew, it does not: what
lay on the hip still lies so far along the side seam, but no longer at the hip's height.  So on an edge that the piece has
from another, and that is as long as it was there, a level lies where it lay, told along the sewn edge.  Of an edge that is
longer or shorter only what is still as far from one of its ends is believed.  An edge that is new is believed where the
others show that the level still runs straight.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeAlias

import numpy as np

from ..drafting.pattern import Edge, Pattern, Piece
from ..geometry.arrays import Floats, Mask
from ..geometry.crossings import first_crossings
from ..geometry.path import Path
from .kept import NothingKept

CLEAR = 5.0  # mm from the ends of an edge; our own choice
ACROSS = 0.5  # sine of the least angle between an edge and a level that marks it
SAME = 0.1  # mm between two places that are one

Places: TypeAlias = dict[str, dict[str, Floats]]  # edge -> level -> how far along the sewn edge (N,), NaN where it is not met
Levels: TypeAlias = tuple[Places, dict[str, Mask]]  # and for each level the bodies (N,) for whom it runs straight across


class LevelsOnPieces:
    """The places of all levels on all edges of whichever piece or foundation is asked for by its name; each is worked out once."""

    def __init__(self, pattern: Pattern, kept: NothingKept) -> None:
        self._pattern, self._kept = pattern, kept
        self._known: dict[str, Levels] = {}

    def __getitem__(self, name: str) -> Levels:
        if name not in self._known:
            self._known[name] = self._kept.once(
                "levels", tuple(self._sources(name)), lambda: _levels_on(self._pattern.piece(name), self)
            )
        return self._known[name]

    def _sources(self, name: str) -> Iterator[Piece]:
        """The piece, and what it is made from, one from the other."""
        while name:
            piece = self._pattern.piece(name)
            yield piece
            name = piece.source

    def piece(self, name: str) -> Piece:
        return self._pattern.piece(name)


def _levels_on(piece: Piece, levels: LevelsOnPieces) -> Levels:
    heights = {edge.name: piece.heights_at(edge.name) for edge in piece.edges}
    asked = [(number, name, y) for number, edge in enumerate(piece.edges) for name, y in heights[edge.name].items()]
    crossings = _crossings(piece.edges, [(number, y) for number, _, y in asked])
    places: Places = {edge.name: {} for edge in piece.edges}
    for (number, name, _), crossing in zip(asked, crossings, strict=True):
        places[piece.edges[number].name][name] = crossing
    straight = {name: np.ones(len(piece.grain), dtype=bool) for of_edge in heights.values() for name in of_edge}
    if not piece.source:
        return places, straight
    source = levels.piece(piece.source)
    before, _ = levels[source.name]
    inherited = [edge for edge in piece.edges if edge.name in before]
    turned_round = _turned_round([edge.name for edge in inherited], [name for name in before if name in places])
    for edge in inherited:
        for name, here in places[edge.name].items():
            there = before[edge.name].get(name)
            level = source.heights_at(edge.name).get(name)
            if there is None or level is None or not _lies_where(heights[edge.name][name], level):
                continue  # the piece says itself where this level lies
            placed = _carried(edge, source.edge(edge.name), here, there, turned_round)
            straight[name] &= (np.abs(placed - here) < SAME) | (np.isnan(placed) & np.isnan(here))
            places[edge.name][name] = placed
    for edge in piece.edges:
        if edge not in inherited:
            for name, here in places[edge.name].items():
                places[edge.name][name] = np.where(straight[name], here, np.nan)
    return places, straight


def _lies_where(y: Floats, before: Floats) -> bool:
    """Whether a level lies for every body where it lay."""
    same = (np.abs(y - before) < SAME) | (np.isnan(y) & np.isnan(before))
    return y is before or bool(same.all())


def _carried(edge: Edge, old: Edge, here: Floats, there: Floats, turned_round: bool) -> Floats:
    """Where a level lies on an edge on which it lay at `there`, and whose line crosses the level's height at `here`."""
    length, whole = edge.closed_length(), old.closed_length()
    there = whole - there if turned_round else there
    believed = (np.abs(here - there) < SAME) | (np.abs((length - here) - (whole - there)) < SAME)
    return np.where(np.abs(length - whole) < SAME, there, np.where(believed, here, np.nan))


def _turned_round(names: list[str], before: list[str]) -> bool:
    """Whether edges run the other way than before, as in a mirrored piece: their order round the outline is reversed."""
    at = before.index(names[0]) if names else 0
    return len(names) > 2 and names[1:] == [*before[at + 1 :], *before[:at]][::-1]


def _crossings(edges: Sequence[Edge], asked: Sequence[tuple[int, Floats]]) -> list[Floats]:
    """For every edge's number and level y (N,): how far along the sewn edge (N,) the level runs across it, clear of the ends of its
    strips; NaN where it does not."""
    strips = [strip for edge in edges for strip in edge.strips]
    first = np.cumsum([0, *(len(edge.strips) for edge in edges)]).tolist()
    searched = [(k, y) for number, y in asked for k in range(first[number], first[number + 1])]
    found = iter(first_crossings(strips, searched, CLEAR) if searched else ())
    crossings = []
    for number, y in asked:
        place, passed = np.full(len(y), np.nan), np.zeros(len(y))
        for strip in edges[number].strips:
            met = next(found)
            if met is not None:
                place = np.where(np.isnan(place), passed + _clear(strip, *met), place)
            passed = passed + strip.length()
        crossings.append(place)
    return crossings


def _clear(strip: Path, at: Floats, way: Floats) -> Floats:
    """A crossing `at` (N,) of a strip whose direction there is `way` (N, 2); NaN where it is none."""
    length = strip.length()
    clear = (length > 2 * CLEAR) & (at <= length - CLEAR) & (np.abs(way[:, 1]) >= ACROSS)
    return np.where(clear, at, np.nan)
