"""Points and straight lines over boxes of bodies: what is drawn by them alone can be proved as well.

A `Point` is a form across and a form down; a drawn straight line is its length.  Curves, arcs, darts and meetings have no
fellow here, so what rests on them is left to sampling.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from .intervals import OPERATIONS, Form, form, operation

NOUGHT = 1e-9  # mm: a difference that is none but for rounding
SAME = 0.01  # mm: points nearer than this make no line (drafting.guides)


class Point(NamedTuple):
    x: Form
    y: Form


class Straight(NamedTuple):
    """A line or an edge of straight parts: how long it is in all."""

    length: Form


def square(a: Form) -> Form:
    """a * a, whose bend is all on one side."""
    reach, centre = a.reach, a.centre
    low = np.where((a.low <= 0.0) & (a.high >= 0.0), 0.0, np.minimum(a.low**2, a.high**2))
    linear = np.abs(a.parts).sum(axis=1)
    # (c + p + e)^2 = c^2 + 2 c p + 2 c e + (p + e)^2, the last between zero and the square of the reach
    return form(
        centre**2 + reach**2 / 2,
        2.0 * centre[:, None] * a.parts,
        2.0 * np.abs(centre) * (reach - linear) + reach**2 / 2,
        a.unsure,
        low,
        np.maximum(a.low**2, a.high**2),
    )


def _op(name: str):
    return OPERATIONS[name]


@operation
def origin(boxes):
    zero = _op("constant")(boxes, number=0.0)
    return Point(zero, zero)


@operation
def place(boxes, x, y):
    return Point(x, y)


def _moved(boxes, point: Point, x: Form, y: Form) -> Point:
    return Point(_op("add")(boxes, point.x, x), _op("add")(boxes, point.y, y))


@operation
def shift(boxes, point, amount, *, dx, dy):
    return _moved(boxes, point, _op("scaled")(boxes, amount, factor=dx), _op("scaled")(boxes, amount, factor=dy))


@operation
def shift_angle(boxes, point, angle, amount):
    return _moved(
        boxes,
        point,
        _op("multiply")(boxes, amount, _op("cosine")(boxes, angle)),
        _op("multiply")(boxes, amount, _op("sine")(boxes, angle)),
    )


@operation
def toward_part(boxes, point, other, part):
    x, y = (_op("multiply")(boxes, part, _op("subtract")(boxes, *pair)) for pair in ((other.x, point.x), (other.y, point.y)))
    return _moved(boxes, point, x, y)


@operation
def point_x(boxes, a):
    return a.x


@operation
def point_y(boxes, a):
    return a.y


@operation
def point_across(boxes, a, b):
    return _op("subtract")(boxes, b.x, a.x)


@operation
def point_down(boxes, a, b):
    return _op("subtract")(boxes, b.y, a.y)


@operation
def point_distance(boxes, a, b):
    across, down = point_across(boxes, a, b), point_down(boxes, a, b)
    for one, other in ((across, down), (down, across)):
        if (np.maximum(np.abs(one.low), np.abs(one.high)) <= NOUGHT).all():
            length = _op("absolute_value")(boxes, other)  # level or plumb
            return form(length.centre, length.parts, length.error + NOUGHT, length.unsure | one.unsure)
    return _op("root")(boxes, _op("add")(boxes, square(across), square(down)))


@operation
def draw_line(boxes, *points):
    total = None
    for a, b in zip(points, points[1:], strict=False):
        length = point_distance(boxes, a, b)
        length.unsure = length.unsure | (length.low < SAME)
        total = length if total is None else _op("add")(boxes, total, length)
    return Straight(total)


def runs_straight(options: dict) -> bool:
    """Whether an edge of a piece by level is straight from level to level."""
    return all(run[0] == "straight" for run in options["runs"])


@operation
def run_edge(boxes, *inputs, points, runs, plumb, levels, edge):
    places = inputs[:points]
    drawn = draw_line(boxes, *places)
    for upper, lower in zip(places, places[1:], strict=False):
        drawn.length.unsure = drawn.length.unsure | (point_down(boxes, upper, lower).low <= 0.0)
    return drawn


@operation
def plain_edge(boxes, guide, *, name, turned):
    return guide


@operation
def turned_edge(boxes, edge, *, turned):
    return edge


@operation
def edge_length(boxes, edge):
    return edge.length


@operation
def edge_closed_length(boxes, edge):
    return edge.length
