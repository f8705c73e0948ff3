"""Stretches of an edge between two of its points.

A point lies on an edge where it lies on the line as first drawn or on the finished one: darts that turn the cloth move the
latter a little, and a point that was set along the former still belongs to it.  Either way it stands for the nearest place
of the finished edge.  Open, a dart between the points counts straight across its mouth; closed, it counts nothing.
"""

from __future__ import annotations

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.plane import distance
from ..meaning.kinds import EDGE, LENGTH, PATH, POINT
from ..source.quantity import show_length
from .guides import Guide
from .operations import operation
from .pattern import Edge
from .places import nearest_on
from .shapes import MEETS, nearest_along
from .steps import Run


@operation(takes=(EDGE, PATH, POINT, POINT), gives=LENGTH)
def stretch_length(
    run: Run, finished: Edge, drawn: Guide, start: Floats, end: Floats, *, closed: bool, edge: str, ends: tuple[str, str]
) -> Floats:
    """The length (N,) along an edge between two points on it, whichever comes first."""
    first, last = (_place(run, finished, drawn, point, closed, edge, name) for point, name in zip((start, end), ends, strict=True))
    return np.abs(last - first)


def _place(run: Run, finished: Edge, drawn: Guide, point: Floats, closed: bool, edge: str, name: str) -> Floats:
    """How far along the edge a point on it lies; D481 where it lies beside it."""
    path = finished.across_mouths()
    open_place = nearest_on(path, point)
    closed_place, off = nearest_along(finished, point)
    for line, at in ((path, open_place), (drawn.path, nearest_on(drawn.path, point))):
        off = np.minimum(off, distance(line.point_at(np.nan_to_num(at)), point))
    beside = off > MEETS
    run.fail(
        beside & np.isfinite(off),
        "D481",
        f'"{name}" does not lie on "{edge}"',
        expected=f"a point on {edge}",
        found=lambda i: f"one {show_length(off[i], run.unit)} off it",
        suggestion="Set the point along the edge, or measure the distance from point to point.",
    )
    return np.where(beside, np.nan, closed_place if closed else open_place)
