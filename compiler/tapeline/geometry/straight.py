"""Points and straight lines over boxes of bodies: what is drawn by them alone can be proved as well.

A `Point` is a form across and a form down; a drawn straight line is its length.  Curves, arcs, darts and meetings have no
fellow here, so what rests on them is left to sampling.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial, reduce
from typing import Any, NamedTuple

import numpy as np

from . import intervals
from .intervals import Boxes, Form, form

ZERO = 1e-9  # mm: a difference that is none but for rounding
SAME = 0.01  # mm: points nearer than this make no line (drafting.guides)


class Point(NamedTuple):
    x: Form
    y: Form


class Straight(NamedTuple):
    """A line or an edge of straight parts: how long it is in all."""

    length: Form


def origin(boxes: Boxes) -> Point:
    zero = intervals.constant(boxes, number=0.0)
    return Point(zero, zero)


def place(boxes: Boxes, x: Form, y: Form) -> Point:
    return Point(x, y)


def _moved(boxes: Boxes, point: Point, x: Form, y: Form) -> Point:
    return Point(intervals.add(boxes, point.x, x), intervals.add(boxes, point.y, y))


def shift(boxes: Boxes, point: Point, amount: Form, *, dx: float, dy: float) -> Point:
    return _moved(boxes, point, intervals.scaled(boxes, amount, factor=dx), intervals.scaled(boxes, amount, factor=dy))


def shift_angle(boxes: Boxes, point: Point, angle: Form, amount: Form) -> Point:
    return _moved(
        boxes,
        point,
        intervals.multiply(boxes, amount, intervals.cosine(boxes, angle)),
        intervals.multiply(boxes, amount, intervals.sine(boxes, angle)),
    )


def toward_part(boxes: Boxes, point: Point, target: Point, part: Form) -> Point:
    x, y = (intervals.multiply(boxes, part, intervals.subtract(boxes, *pair)) for pair in ((target.x, point.x), (target.y, point.y)))
    return _moved(boxes, point, x, y)


def point_x(boxes: Boxes, a: Point) -> Form:
    return a.x


def point_y(boxes: Boxes, a: Point) -> Form:
    return a.y


def point_across(boxes: Boxes, a: Point, b: Point) -> Form:
    return intervals.subtract(boxes, b.x, a.x)


def point_down(boxes: Boxes, a: Point, b: Point) -> Form:
    return intervals.subtract(boxes, b.y, a.y)


def point_distance(boxes: Boxes, a: Point, b: Point) -> Form:
    across, down = point_across(boxes, a, b), point_down(boxes, a, b)
    for still, moved in ((across, down), (down, across)):
        if (np.maximum(np.abs(still.low), np.abs(still.high)) <= ZERO).all():
            length = intervals.absolute_value(boxes, moved)  # level or plumb
            return form(length.centre, length.parts, length.error + ZERO, length.unsure | still.unsure)
    return intervals.hypotenuse(boxes, across, down)


def draw_line(boxes: Boxes, *points: Point) -> Straight:
    lengths = [point_distance(boxes, a, b) for a, b in zip(points, points[1:], strict=False)]
    for length in lengths:
        length.unsure = length.unsure | (length.low < SAME)
    return Straight(reduce(partial(intervals.add, boxes), lengths))


def runs_straight(options: Mapping[str, Any]) -> bool:
    """Whether an edge of a piece by level is straight from level to level."""
    return all(run[0] == "straight" for run in options["runs"])


def run_edge(
    boxes: Boxes,
    *places: Point,
    amounts: Sequence[Form],
    runs: Sequence[tuple[Any, ...]],
    plumb: Sequence[int],
    levels: Sequence[str],
    edge: str,
) -> Straight:
    drawn = draw_line(boxes, *places)
    for upper, lower in zip(places, places[1:], strict=False):
        drawn.length.unsure = drawn.length.unsure | (point_down(boxes, upper, lower).low <= 0.0)
    return drawn


def plain_edge(boxes: Boxes, guide: Straight, *, name: str, turned: bool) -> Straight:
    return guide


def turned_edge(boxes: Boxes, edge: Straight, *, turned: bool) -> Straight:
    return edge


def edge_length(boxes: Boxes, edge: Straight) -> Form:
    return edge.length


def edge_closed_length(boxes: Boxes, edge: Straight) -> Form:
    return edge.length
