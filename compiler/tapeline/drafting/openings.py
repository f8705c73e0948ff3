"""Zips of the garment, each counted once, however many edges it is marked on.

Marks on edges that are sewn to each other are the two sides of one opening.  A zip that reaches the end of its edge goes on in
the next piece, where the edge beside it is sewn on and the one that follows is zipped from there: through the waist of a
dress, say.  Its length is that of all its parts, one after the other.  A lining whose edge has the same zip as the
garment's outside, by the same rule of the style, has no zip of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.plane import distance
from .across import EdgeEnd, Sewn, Structured
from .pattern import Mark, Pattern, Piece, Place

REACHES = 1.0  # mm; a zip that ends nearer to the end of its edge goes up to it


@dataclass(slots=True, eq=False)
class ZipRow:
    """One zip: the edges it is marked on, how many of them the garment has, and how long (N,) it is."""

    places: tuple[Place, ...]
    edges: int
    opening: Floats
    side: str = ""  # "left" or "right", where one side of the body alone has it


def zip_rows(pattern: Pattern, sewn: Sewn, run: Structured) -> tuple[ZipRow, ...]:
    """The zips, in the order of the pieces."""
    marks = dict(_marks(pattern))
    sides = _grouped(marks, [(one, other) for one in marks for other in marks if _are_sides(pattern, one, other)])
    going_on = [(place, onward) for place in marks for onward in _onward(pattern, sewn, run, place, marks)]
    rows = []
    for zipped in _grouped(marks, [*going_on, *((one, other) for side in sides for one in side for other in side)]):
        parts = [[marks[place] for place in side] for side in sides if side[0] in zipped]
        counts = [sum(_times(pattern.piece(place[0]), marks[place]) for place in side) for side in sides if side[0] in zipped]
        opening = sum((reduce(np.maximum, [_length(mark) for mark in part]) for part in parts), np.zeros(pattern.n))
        one_side = {marks[place].side for place in zipped}
        rows.append(ZipRow(tuple(zipped), max(counts), opening, one_side.pop() if len(one_side) == 1 else ""))
    return tuple(rows)


def _marks(pattern: Pattern) -> Iterator[tuple[Place, Mark]]:
    outside = {mark.span for piece in pattern.pieces for mark in piece.marks if mark.kind == "zip" and not piece.cut.purpose}
    for piece in pattern.pieces:
        for mark in piece.marks:
            if mark.kind == "zip" and not (piece.cut.purpose and mark.span in outside):
                yield (piece.name, mark.edge), mark


def _times(piece: Piece, mark: Mark) -> int:
    """On how many edges of the garment a zip is marked: half of those of its piece, where one side of the body has it."""
    return max(1, piece.cut.instances // 2) if mark.side else piece.cut.instances


def _length(mark: Mark) -> Floats:
    return mark.path.length() if mark.length is None else mark.length


def _are_sides(pattern: Pattern, one: Place, other: Place) -> bool:
    return any(one in places and other in places for seam in pattern.seams for places in [(*seam.one, *seam.other)])


def _onward(pattern: Pattern, sewn: Sewn, run: Structured, place: Place, marks: dict[Place, Mark]) -> Iterator[Place]:
    """The edges in which the zip of an edge goes on beyond its ends."""
    start = EdgeEnd(*place, "start")
    for end in (start, start.other()):
        if not _reaches(pattern, run, marks[place], end):
            continue
        across = sewn.partners.get(sewn.beside(end))
        onward = None if across is None else sewn.beside(across)
        beyond = None if onward is None else (onward.piece, onward.edge)
        if onward is not None and beyond in marks and _reaches(pattern, run, marks[beyond], onward):
            yield beyond


def _reaches(pattern: Pattern, run: Structured, mark: Mark, end: EdgeEnd) -> bool:
    """Whether a zip goes up to an end of its edge: for all bodies alike, else they are parted."""
    edge = pattern.piece(end.piece).edge(end.edge)
    corner = edge.start() if end.at == "start" else edge.end()
    near = np.minimum(distance(mark.path.start(), corner), distance(mark.path.end(), corner)) < REACHES
    return bool(run.alike(near.astype(int), np.isfinite(corner[:, 0])))


def zipped_ends(sewn: Sewn) -> frozenset[EdgeEnd]:
    """The ends of edges up to which a zip goes, or a seam is left open on one side of the body."""
    pattern, run = sewn.pattern, sewn.run
    starts = [(EdgeEnd(piece, edge, "start"), mark) for (piece, edge), mark in _marks(pattern)]
    zipped = {end for start, mark in starts for end in (start, start.other()) if _reaches(pattern, run, mark, end)}
    return frozenset(zipped | {end for one in _one_sided(sewn) for end in (one, sewn.partners.get(one)) if end is not None})


def _one_sided(sewn: Sewn) -> Iterator[EdgeEnd]:
    """The ends of the first edges of seams up to which these are left open on one side of the body alone."""
    for seam in sewn.seams:
        openings = [opening for opening in seam.openings if opening.side]
        if not openings:
            continue
        start = EdgeEnd(*seam.one[0], "start")
        whole = sewn.pieces[start.piece].edge(start.edge).closed_length()
        for opening in openings:
            for end, off in ((start, opening.start), (start.other(), whole - opening.end)):
                if sewn.run.alike((off < REACHES).astype(int), np.isfinite(whole)):
                    yield end


def _grouped(places: dict[Place, Mark], pairs: list[tuple[Place, Place]]) -> list[list[Place]]:
    """The places parted into groups that pairs hold together, both in their order."""
    groups = {place: [place] for place in places}
    for one, other in pairs:
        first, second = groups[one], groups[other]
        if first is not second:
            first += second
            for place in second:
                groups[place] = first
    order = list(places)
    return [sorted(group, key=order.index) for place, group in groups.items() if min(group, key=order.index) == place]
