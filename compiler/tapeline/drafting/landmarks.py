"""The places of a net piece that have a name, for N bodies at once: what grades, locks and slopes speak of.

Each place is called by what stands in the text: a point by its own name; a corner by the edges that meet there,
`waist/side`; a dart's point and feet by the dart; the ends of a line drawn inside by the line (but not where the paper is parted to lengthen it, which is no place of the draft); a notch by its edge and
name.  One place may have several names: `distinct` keeps one of each.  A body that has no such place has NaN there.
The names rest on the plan alone: they are the same for all bodies of one course.
"""

from __future__ import annotations

import numpy as np

from ..geometry.arrays import Floats
from .pattern import Mark, Piece

SAME = 1e-4  # mm; places nearer than this for every body are one


def landmarks(piece: Piece) -> dict[str, Floats]:
    """Name -> places (N, 2): corners in order round the outline, then points, darts, lines and notches."""
    places: dict[str, Floats] = {}

    def enter(name: str, place: Floats) -> None:
        if name not in places:
            places[name] = place

    for before, edge in zip((piece.edges[-1], *piece.edges), piece.edges, strict=False):
        enter(f"{before.name}/{edge.name}", edge.start())
    for name, point in piece.points.items():
        enter(name, point)
    for edge in piece.edges:
        for dart in edge.darts:  # as a style calls them
            enter(f"{dart.name}_near", dart.near_foot)
            enter(f"{dart.name}_point", dart.point)
            enter(f"{dart.name}_far", dart.far_foot)
    for inner in piece.inner:
        for word, corner in zip(("upper", "near", "lower", "far"), inner.corners(), strict=True):
            enter(f"{inner.name}_{word}", corner)
    for name, mark in _named(tuple(mark for mark in piece.marks if mark.kind != "lengthening")):
        enter(f"{name} start", mark.path.start())
        enter(f"{name} end", mark.path.end())
    for placed in piece.point_marks:
        enter(placed.name, placed.at)
    for notch in piece.notches:
        enter(f"{notch.edge} {notch.name}", notch.point)
    return places


def distinct(places: dict[str, Floats]) -> dict[str, Floats]:
    """The places without those that lie on an earlier one, for every body; a name from the text goes before a corner's."""
    unique: dict[str, Floats] = {}
    for name in sorted(places, key=lambda name: "/" in name):
        if not any(np.allclose(places[name], earlier, rtol=0.0, atol=SAME, equal_nan=True) for earlier in unique.values()):
            unique[name] = places[name]
    return {name: unique[name] for name in places if name in unique}


def _named(marks: tuple[Mark, ...]) -> list[tuple[str, Mark]]:
    """Marks with a name each: the mark's own, or its kind; numbered where several have the same."""
    words = [mark.name or mark.kind for mark in marks]
    counts: dict[str, int] = {}
    named = []
    for word, mark in zip(words, marks, strict=True):
        counts[word] = counts.get(word, 0) + 1
        named.append((word if words.count(word) == 1 else f"{word} {counts[word]}", mark))
    return named
