"""A drawn piece as a thing that can be changed: its edges, darts and all, and its named points; and what is read of it.

A change never touches the piece it came from: every operation gives a new `Shape`.  Which edges that has, in which order
and under which names, is given by the ring that the step carries (`meaning.ring`); how the cloth is cut and laid into it,
by `rims`.  Places on an edge are lengths along it as sewn, since that is what stays the same whatever its darts do.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import reduce, wraps
from typing import Any

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.path import Path
from ..geometry.plane import cross, distance, unit
from ..geometry.segments import Line
from ..geometry.swept import swept_area
from ..meaning.kinds import EDGE, LENGTH, LEVEL, NUMBER, PAIR, PATH, POINT, SHAPE, Kind
from ..source.quantity import at_most, show_length
from .guides import Guide, redrawing
from .level_lines import DrawnLevel, LevelLines, no_lines
from .operations import InputKind, Operation, one_of, operation
from .pattern import Dart, Edge
from .places import nearest_on
from .steps import Run

STRAIGHT = 0.01  # mm; an edge that is nearer to a straight line is one
MEETS = 0.1  # mm; a line whose end is nearer to an edge than this ends on it
BESIDE = 0.01  # mm; a named point nearer to the outline than this lies on it


@dataclass(slots=True, eq=False)
class Shape:
    edges: tuple[Edge, ...]  # in order round the outline
    points: dict[str, Floats]
    # of a dart that was closed: point -> (N,) -1 where it was the near foot, 1 where it was the far one
    feet: dict[str, Floats] = field(default_factory=dict)
    lines: LevelLines = field(default_factory=no_lines)  # the levels, as lines on the cloth

    def edge(self, name: str) -> Edge:
        return next(edge for edge in self.edges if edge.name == name)

    def dart(self, name: str) -> Dart | None:
        return next((dart for edge in self.edges for dart in edge.darts if dart.name == name), None)

    def own_dart(self, name: str) -> Dart:
        """A dart that is known to be there."""
        return next(dart for edge in self.edges for dart in edge.darts if dart.name == name)


class Nowhere(dict[str, Floats]):
    """Points of which none is anywhere."""

    def __init__(self, n: int) -> None:
        super().__init__()
        self.n = n

    def __missing__(self, name: str) -> Floats:
        return np.full((self.n, 2), np.nan)


class Undrawn(Shape):
    """What a change gives where it can be made for no body, which has been reported: whatever is asked of it is nowhere."""

    def __init__(self, run: Run) -> None:
        super().__init__((), Nowhere(run.n), lines=no_lines(run.n))
        self.span = run.span

    def edge(self, name: str) -> Edge:
        place = self.points[name]
        return Edge(name, self.span, (Path((Line(place, place),)),))


def change(
    takes: Sequence[InputKind] = (SHAPE,), gives: Kind = SHAPE, more: InputKind | None = None
) -> Callable[[Callable[..., Any]], Operation]:
    """Enter an operation that gives a changed shape; of one that could not be drawn it gives none."""

    def enter(function: Callable[..., Any]) -> Operation:
        @wraps(function)
        def changed(run: Any, *inputs: Any, **options: Any) -> Any:
            undrawn = next((drawn for drawn in inputs if isinstance(drawn, Undrawn)), None)
            return function(run, *inputs, **options) if undrawn is None else undrawn

        return operation(takes=takes, gives=gives, more=more)(changed)

    return enter


def off_straight(path: Path) -> Floats:
    """How far (N,) a path lies off the straight line from its start, along the way to its end, at most."""
    points = path.flatten()
    way = unit(points[:, -1] - points[:, 0])
    farthest: Floats = np.abs(cross(points - points[:, :1], way[:, None])).max(axis=1)
    return farthest


def no_dart(run: Run, shape: Shape, name: str) -> None:
    """Report that this part of a piece has no such dart."""
    run.fail(
        True,
        "D480",
        f'There is no dart "{name}" on this piece as it now is',
        expected="a dart that has not been cut away",
        found=", ".join(dart.name for edge in shape.edges for dart in edge.darts) or "no dart",
        suggestion="Name a dart of this part, or change it before the piece is cut.",
    )


def turn_of(edges: Iterable[Edge]) -> Floats:
    """+1 where the outline that these edges make runs clockwise on paper, else -1 (N,)."""
    return np.sign(reduce(np.add, [swept_area(edge.trued_path()) for edge in edges]))


def nearest_along(edge: Edge, point: Floats) -> tuple[Floats, Floats]:
    """How far along an edge as sewn it comes nearest to a point (N, 2), and how far off it then is."""
    before, best, place = np.zeros(len(point)), np.full(len(point), np.inf), np.full(len(point), np.nan)
    for strip in edge.strips:
        at = nearest_on(strip, point)
        off = distance(strip.point_at(np.nan_to_num(at)), point)
        place, best = np.where(off < best, before + at, place), np.where(off < best, off, best)
        before = before + strip.length()
    return place, best


def line_end(run: Run, edge: Edge, ends: Iterable[Floats], what: str) -> Floats:
    """How far along an edge as sewn the nearest of a line's ends meets it; D481 where none comes to it."""
    nearest = [nearest_along(edge, end) for end in ends]
    off = np.min(np.stack([gap for _, gap in nearest]), axis=0)
    place = np.select([gap <= off for _, gap in nearest], [at for at, _ in nearest], np.nan)
    run.fail(
        np.isfinite(off) & (off > MEETS),
        "D481",
        f'The line of the {what} does not end on "{edge.name}"',
        expected=f"a line that ends on {edge.name}",
        found=lambda i: f"one that ends {show_length(off[i], run.unit)} from it",
        suggestion="Draw the line from edge to edge: begin it at a point along the one, end it at a point along the other.",
    )
    return np.where(off > MEETS, np.nan, place)


# ------------------------------------------------------------ from a drawing and back


@operation(more=one_of(EDGE, POINT), named={"levels": LEVEL}, gives=SHAPE)
def shape(
    run: Run, *drawn: Any, edges: tuple[str, ...], points: tuple[str, ...], crossed_by: tuple[str, ...], levels: Sequence[DrawnLevel]
) -> Shape:
    """A shape of finished edges, in the order of the outline, named points, and the lines of the levels that cross it."""
    lines = dict(zip(crossed_by, levels, strict=True))
    named = dict(zip(points, drawn[len(edges) :], strict=True))
    return Shape(tuple(drawn[: len(edges)]), named, lines=LevelLines(crossed_by, lambda name: lines[name].line))


@change(takes=(PAIR,))
def part(run: Run, pair: tuple[Shape, Shape], *, number: int) -> Shape:
    return pair[number]


@change(more=POINT)
def with_points(run: Run, shape: Shape, *values: Floats, names: tuple[str, ...]) -> Shape:
    """The shape with more named points: corners that a change has left inside it."""
    return replace(shape, points={**shape.points, **dict(zip(names, values, strict=True))})


@change(more=LEVEL)
def with_levels(run: Run, shape: Shape, *levels: DrawnLevel, names: tuple[str, ...]) -> Shape:
    """The shape with lines of its own for some levels."""
    own, lines = dict(zip(names, levels, strict=True)), shape.lines
    both = LevelLines(dict.fromkeys([*lines, *names]), lambda name: own[name].line if name in own else lines[name])
    return replace(shape, lines=both)


@operation(takes=(SHAPE,), gives=LEVEL)
def shape_level(run: Run, shape: Shape, *, name: str) -> DrawnLevel:
    return DrawnLevel(lambda: replace(shape.lines[name], leaves=()))


@operation(takes=(SHAPE,), gives=EDGE)
def shape_edge(run: Run, shape: Shape, *, name: str) -> Edge:
    return shape.edge(name)


@operation(takes=(SHAPE,), gives=POINT)
def shape_corner(run: Run, shape: Shape, *, name: str) -> Floats:
    """The corner at which an edge begins."""
    return shape.edge(name).start()


@operation(takes=(SHAPE,), gives=POINT)
def shape_point(run: Run, shape: Shape, *, name: str) -> Floats:
    return shape.points[name]


@operation(takes=(SHAPE,), gives=PATH)
def shape_guide(run: Run, shape: Shape, *, name: str) -> Guide:
    """An edge as something to measure along and square from; an open dart counts straight across its mouth."""
    path = shape.edge(name).across_mouths()
    return Guide(path, redrawing(path))


@operation(takes=(SHAPE,), gives=None)
def shape_dart(run: Run, shape: Shape, *, name: str, which: str) -> Floats:
    """A dart's point, or one of its feet, or the distance of its feet, or that which was asked."""
    dart, place = shape.dart(name), which in ("point", "near", "far")
    if dart is None and not place and not isinstance(shape, Undrawn):
        no_dart(run, shape, name)
        return np.full(run.n, np.nan)
    if dart is None:  # it lies on the other part of a cut: its points are nowhere here
        return np.full((run.n, 2) if place else run.n, np.nan)
    return {"point": dart.point, "near": dart.near_foot, "far": dart.far_foot, "intake": dart.intake, "asked": dart.asked}[which]


@operation(takes=(SHAPE, one_of(LENGTH, NUMBER)), gives=LENGTH)
def place_on_edge(run: Run, shape: Shape, amount: Floats, *, name: str, backward: bool, part: bool) -> Floats:
    """How far along an edge as sewn a place lies: a length or a part of it, from one of its ends."""
    length = shape.edge(name).closed_length()
    at = amount * length if part else amount
    beyond = (at < -1e-9) | (at > length + 1e-9)
    run.fail(
        beyond,
        "D412",
        f'This lies beyond the end of "{name}"',
        expected=lambda i: f"zero to {at_most(length[i], run.unit)} along it",
        found=lambda i: show_length(at[i], run.unit),
        suggestion="Measure a shorter way, or from the other end.",
    )
    return np.where(beyond, np.nan, length - at if backward else at)


@operation(takes=(SHAPE, POINT), gives=LENGTH)
def place_at_point(run: Run, shape: Shape, point: Floats, *, name: str) -> Floats:
    """How far along an edge as sewn a point on it lies."""
    place, best = nearest_along(shape.edge(name), point)
    run.fail(
        np.isfinite(best) & (best > BESIDE),
        "D481",
        f'This point does not lie on "{name}"',
        expected=f"a point on {name}",
        found=lambda i: f"one {show_length(best[i], run.unit)} off it",
        suggestion="Set the point along the edge, or say how far along the edge the place is.",
    )
    return np.where(best > BESIDE, np.nan, place)
