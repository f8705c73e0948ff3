"""Points, lines and curves of a construction, as the drafter says them, to steps.

Each form of the grammar is lowered by the function of its name: `BaseAlong` by `base_along`, `MoveSquare` by
`move_square`.  A line to square from, or to meet, is a trace: an endless straight line, or a drawn path.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple, TypeAlias, TypeVar

from ..syntax import tree
from .contexts import RawEdge, ScopeContext
from .dispatch import Dispatch
from .expressions import lower, lower_kind, lower_length, lower_length_or_fraction
from .kinds import ANGLE, DIRECTION, LENGTH, NUMBER, PATH, POINT, UNKNOWN
from .lowering import POISON, Lowering
from .plan import Value

DIRECTIONS = {
    "up": (0.0, -1.0),
    "raise": (0.0, -1.0),
    "above": (0.0, -1.0),
    "down": (0.0, 1.0),
    "drop": (0.0, 1.0),
    "below": (0.0, 1.0),
    "across": (1.0, 0.0),
    "go out": (1.0, 0.0),
    "right": (1.0, 0.0),
    "left": (-1.0, 0.0),
    "come in": (-1.0, 0.0),
}


class StraightTrace(NamedTuple):
    """An endless line to square from or to meet: a point and its direction."""

    point: Value
    direction: Value


class PathTrace(NamedTuple):
    """A drawn line to square from or to meet."""

    path: Value


Bent: TypeAlias = tree.Bow | tree.CurveLong | tree.ArcBow  # what bends a line, with a direction or without
BowSide: TypeAlias = Callable[[Bent], Value]  # on which side of its chord a line is bent that says no direction
Row = TypeVar("Row", bound=tree.CurveRow)

_BASE, _MOVE = Dispatch(), Dispatch()


def lower_point(scope: ScopeContext, node: tree.Point) -> Value:
    place: Value = _BASE(scope, node.base)
    for move in node.moves or ():
        place = _MOVE(scope, move, place)
    return place


# ------------------------------------------------------------ where a point begins


@_BASE.of(tree.BaseStart)
def base_start(scope: ScopeContext, node: tree.BaseStart) -> Value:
    return scope.lowering.emit("origin", POINT, node.head, apart=scope.drawing.name if scope.drawing is not None else "")


@_BASE.of(tree.BaseRef)
def base_ref(scope: ScopeContext, node: tree.BaseRef) -> Value:
    return scope.point(node.point)


@_BASE.of(tree.BaseHalfway)
def base_halfway(scope: ScopeContext, node: tree.BaseHalfway) -> Value:
    half = scope.lowering.constant(0.5, NUMBER, node.head)
    return scope.lowering.emit("toward_part", POINT, node.head, scope.point(node.one), scope.point(node.other), half)


@_BASE.of(tree.BaseAlong)
def base_along(scope: ScopeContext, node: tree.BaseAlong) -> Value:
    edge = scope.raw_edge(node.edge)
    if edge is None:
        return POISON
    start, by = scope.point(node.start), lower_length_or_fraction(scope, node.by)
    if not _is_end(scope, node, edge, start):
        return POISON
    operation = "along_length" if by.kind == LENGTH else "along_part"
    return scope.lowering.emit(operation, POINT, node.head, edge.guide, by, backward=start.slot != edge.start.slot, edge=str(node.edge))


def _is_end(scope: ScopeContext, node: tree.BaseAlong | tree.BaseCarriedOn | tree.CarriedOn, edge: RawEdge, start: Value) -> bool:
    """Whether a point is one of an edge's ends; if not, that has been said."""
    if UNKNOWN in (start.kind, edge.start.kind):
        return False
    if start.slot not in (edge.start.slot, edge.end.slot):
        scope.lowering.error(
            "N231",
            f'"{node.start}" is not an end of "{node.edge}"',
            node.start.span,
            f"an end of {node.edge}",
            f'"{node.start}"',
            "Measure from one of the edge's two ends.",
        )
        return False
    return True


@_BASE.of(tree.BaseHalfAngle)
def base_half_angle(scope: ScopeContext, node: tree.BaseHalfAngle) -> Value:
    line = _half_angle(scope, node)
    return scope.lowering.emit("shift_along", POINT, node.head, *line, lower_length(scope, node.by))


@_BASE.of(tree.BaseCarriedOn)
def base_carried_on(scope: ScopeContext, node: tree.BaseCarriedOn) -> Value:
    return scope.lowering.emit("path_end", POINT, node.head, carried_on(scope, node))


@_BASE.of(tree.BaseLines)
def base_lines(scope: ScopeContext, node: tree.BaseLines) -> Value:
    first, second = trace(scope, node.one), trace(scope, node.other)
    if first is None or second is None:
        return POISON
    emit = scope.lowering.emit
    if isinstance(first, PathTrace):
        if isinstance(second, PathTrace):
            return emit("meet_paths", POINT, node.head, first.path, second.path)
        return emit("meet_path_line", POINT, node.head, first.path, second.point, second.direction)
    if isinstance(second, PathTrace):
        return emit("meet_path_line", POINT, node.head, second.path, first.point, first.direction)
    return emit("meet_lines", POINT, node.head, first.point, first.direction, second.point, second.direction)


@_BASE.of(tree.BaseSquare)
def base_square(scope: ScopeContext, node: tree.BaseSquare) -> Value:
    """The foot of the square line from a point to a line, or the nearest place on an edge."""
    line = trace(scope, node.line)
    if line is None:
        return POISON
    if isinstance(line, PathTrace):
        return scope.lowering.emit("nearest_place", POINT, node.head, line.path, scope.point(node.point))
    return scope.lowering.emit("foot_on_line", POINT, node.head, scope.point(node.point), line.point, line.direction)


@_BASE.of(tree.BaseTapeLine)
def base_tape_line(scope: ScopeContext, node: tree.BaseTapeLine) -> Value:
    line = trace(scope, node.line)
    if line is None:
        return POISON
    if isinstance(line, PathTrace):
        return scope.lowering.emit("meet_tape_path", POINT, node.head, *_tape(scope, node.tape), line.path, side=str(node.side))
    return scope.lowering.emit(
        "meet_tape_line", POINT, node.head, *_tape(scope, node.tape), line.point, line.direction, side=str(node.side)
    )


@_BASE.of(tree.BaseTapes)
def base_tapes(scope: ScopeContext, node: tree.BaseTapes) -> Value:
    return scope.lowering.emit("meet_tapes", POINT, node.head, *_tape(scope, node.one), *_tape(scope, node.other), side=str(node.side))


def _tape(scope: ScopeContext, node: tree.Tape) -> tuple[Value, Value]:
    return scope.point(node.centre), lower_length(scope, node.radius)


# ------------------------------------------------------------ how it moves


@_MOVE.of(tree.MoveBy)
def move_by(scope: ScopeContext, node: tree.MoveBy, place: Value) -> Value:
    dx, dy = DIRECTIONS[node.direction]
    return scope.lowering.emit("shift", POINT, node.head, place, lower_length(scope, node.amount), dx=dx, dy=dy)


@_MOVE.of(tree.MoveToward)
def move_toward(scope: ScopeContext, node: tree.MoveToward, place: Value) -> Value:
    amount = lower_length_or_fraction(scope, node.amount)
    operation = "toward_length" if amount.kind == LENGTH else "toward_part"
    return scope.lowering.emit(operation, POINT, node.head, place, scope.point(node.point), amount)


@_MOVE.of(tree.MoveAway)
def move_away(scope: ScopeContext, node: tree.MoveAway, place: Value) -> Value:
    amount = lower_length(scope, node.amount)
    backward = scope.lowering.emit("negative", LENGTH, node.head, amount)
    return scope.lowering.emit("toward_length", POINT, node.head, place, scope.point(node.point), backward)


@_MOVE.of(tree.MoveSquare)
def move_square(scope: ScopeContext, node: tree.MoveSquare, place: Value) -> Value:
    direction = square_direction(scope, node.line, place)
    dx, dy = DIRECTIONS[node.direction]
    return scope.lowering.emit("shift_square", POINT, node.head, place, direction, lower_length(scope, node.amount), dx=dx, dy=dy)


@_MOVE.of(tree.MoveSwung)
def move_swung(scope: ScopeContext, node: tree.MoveSwung, place: Value) -> Value:
    amount = lower(scope, node.amount)
    if amount.kind not in (LENGTH, ANGLE, UNKNOWN):
        return scope.lowering.wrong_kind(amount, "a length along the arc, or an angle", node.amount.span)
    sign = -1.0 if node.turn == "anticlockwise" else 1.0
    return scope.lowering.emit(
        "swing", POINT, node.head, place, scope.point(node.centre), amount, sign=sign, by_length=amount.kind == LENGTH
    )


@_MOVE.of(tree.MoveAngle)
def move_angle(scope: ScopeContext, node: tree.MoveAngle, place: Value) -> Value:
    return scope.lowering.emit(
        "shift_angle", POINT, node.head, place, lower_kind(scope, node.angle, ANGLE), lower_length(scope, node.amount)
    )


# ------------------------------------------------------------ lines to square from or to meet


def trace(scope: ScopeContext, node: tree.TraceLine) -> StraightTrace | PathTrace | None:
    lowering = scope.lowering
    if isinstance(node, tree.LineBetween):
        start, end = scope.point(node.one), scope.point(node.other)
        return StraightTrace(start, lowering.emit("direction_between", DIRECTION, node.head, start, end))
    if isinstance(node, tree.LineLevel):
        return StraightTrace(scope.point(node.point), _fixed(lowering, node, 1.0, 0.0))
    if isinstance(node, tree.LinePlumb):
        return StraightTrace(scope.point(node.point), _fixed(lowering, node, 0.0, 1.0))
    if isinstance(node, tree.LineHalfAngle):
        return StraightTrace(*_half_angle(scope, node))
    assert isinstance(node, tree.LineEdge)
    edge = scope.raw_edge(node.edge)
    return None if edge is None else PathTrace(edge.guide)


def line_direction(scope: ScopeContext, node: tree.TraceLine, at: Value) -> Value:
    """The direction of a trace; of a drawn path, its direction at the place `at` (one of its points)."""
    line = trace(scope, node)
    if line is None:
        return POISON
    if isinstance(line, PathTrace):
        return scope.lowering.emit("path_direction", DIRECTION, node.head, line.path, at)
    return line.direction


def square_direction(scope: ScopeContext, node: tree.TraceLine, at: Value) -> Value:
    return scope.lowering.emit("quarter_turn", DIRECTION, node.head, line_direction(scope, node, at))


def _half_angle(scope: ScopeContext, node: tree.LineHalfAngle | tree.BaseHalfAngle) -> tuple[Value, Value]:
    """The corner of an angle and the direction that halves it."""
    lowering, corner = scope.lowering, scope.point(node.corner)
    sides = [lowering.emit("direction_between", DIRECTION, ref.span, corner, scope.point(ref)) for ref in (node.start, node.end)]
    return corner, lowering.emit("halving_direction", DIRECTION, node.head, *sides, corner=str(node.corner))


def _fixed(lowering: Lowering, node: tree.Node, dx: float, dy: float) -> Value:
    return lowering.emit("fixed_direction", DIRECTION, node.head, dx=dx, dy=dy)


def heading(scope: ScopeContext, node: tree.Bearing, at: Value) -> tuple[Value, bool]:
    """A direction to leave or arrive in, and whether its sense is given (else it is taken along the curve)."""
    lowering = scope.lowering
    if isinstance(node, tree.DirLevel):
        return _fixed(lowering, node, 1.0, 0.0), False
    if isinstance(node, tree.DirPlumb):
        return _fixed(lowering, node, 0.0, 1.0), False
    if isinstance(node, tree.DirSquare):
        return square_direction(scope, node.line, at), False
    if isinstance(node, tree.DirAlong):
        return line_direction(scope, node.line, at), False
    if isinstance(node, tree.DirToward):
        return lowering.emit("direction_between", DIRECTION, node.head, at, scope.point(node.point)), True
    assert isinstance(node, tree.DirAngle)
    return lowering.emit("direction_at", DIRECTION, node.head, lower_kind(scope, node.angle, ANGLE)), True


# ------------------------------------------------------------ lines, curves, arcs


def lower_line(scope: ScopeContext, node: tree.Line) -> RawEdge:
    points = [scope.point(node.start), *(scope.point(stop.point) for stop in node.stops)]
    return RawEdge(points[0], points[-1], scope.lowering.emit("draw_line", PATH, node.head, *points))


def carried_on(scope: ScopeContext, node: tree.BaseCarriedOn | tree.CarriedOn) -> Value:
    """The line by which an edge goes on past one of its ends."""
    edge = scope.raw_edge(node.edge)
    if edge is None:
        return POISON
    start, by = scope.point(node.start), lower_length(scope, node.by)
    if not _is_end(scope, node, edge, start):
        return POISON
    backward = start.slot != edge.end.slot
    return scope.lowering.emit("carried_on", PATH, node.head, edge.guide, by, backward=backward, edge=str(node.edge))


def lower_arc(scope: ScopeContext, node: tree.Arc, bow_side: BowSide) -> RawEdge:
    start, end, shape = scope.point(node.start), scope.point(node.end), node.shape
    emit = scope.lowering.emit
    if isinstance(shape, tree.ArcAbout):
        names = (str(node.start), str(node.end), str(shape.centre))
        guide = emit("draw_arc_about", PATH, node.head, start, end, scope.point(shape.centre), names=names)
    elif isinstance(shape, tree.ArcRadius):
        side = _side_toward(scope, shape, start, end)
        guide = emit("draw_arc_radius", PATH, node.head, start, end, lower_length(scope, shape.radius), side)
    else:
        assert isinstance(shape, tree.ArcBow)
        side = _side_toward(scope, shape, start, end) if shape.direction else bow_side(shape)
        guide = emit("draw_arc_bow", PATH, node.head, start, end, lower_length(scope, shape.amount), side)
    return RawEdge(start, end, guide)


def lower_curve(scope: ScopeContext, node: tree.Curve, bow_side: BowSide) -> RawEdge:
    lowering = scope.lowering
    points = [scope.point(node.start)]
    points += [scope.point(ref) for ref in (node.through.points if node.through else ())]
    points.append(scope.point(node.end))
    rows = {type(row): row for row in node.rows or ()}
    if len(rows) != len(node.rows or ()):
        lowering.error(
            "N228",
            "The curve is told the same thing twice",
            node.head,
            "each of leaving, arriving, bow, long once",
            "one of them twice",
            "Keep one of the two.",
        )
        return RawEdge(points[0], points[-1], POISON)
    inputs: dict[str, Value] = {}
    options: dict[str, Any] = {}
    if leaving := _row(rows, tree.Leaving):
        direction, sense_given = heading(scope, leaving.direction, points[0])
        inputs["leaving"] = direction
        options["leaving_given"] = sense_given
    if arriving := _row(rows, tree.Arriving):
        direction, sense_given = heading(scope, arriving.direction, points[-1])
        if isinstance(arriving.direction, tree.DirToward):
            lowering.error(
                "N233",
                "A curve cannot arrive toward another point",
                arriving.span,
                "arriving level, plumb, square to or along a line, or at an angle",
                "arriving toward a point",
                "Use: arriving along A to B.",
            )
            direction = POISON
        inputs["arriving"] = direction
        options["arriving_given"] = sense_given
    if bow := _row(rows, tree.Bow):
        inputs["side"] = _side_toward(scope, bow, points[0], points[-1]) if bow.direction else bow_side(bow)
        inputs["bow"] = lower_length(scope, bow.amount)
        if bow.at is not None:
            inputs["bow_at"] = lower_kind(scope, bow.at.at, NUMBER)
        if len(points) > 2:
            lowering.error(
                "N233",
                "A curve through points takes its bow from them",
                bow.span,
                "a curve of two points",
                f"{len(points)} points",
                "Leave out the bow, or the points between.",
            )
            return RawEdge(points[0], points[-1], POISON)
    if measured := _row(rows, tree.CurveLong):
        if tree.Bow in rows or len(points) > 2:
            lowering.error(
                "N233",
                "A curve of given length has no other bow",
                measured.span,
                "length or bow, not both",
                "both",
                "Leave one of them out.",
            )
            return RawEdge(points[0], points[-1], POISON)
        inputs["side"] = _side_toward(scope, measured, points[0], points[-1]) if measured.direction else bow_side(measured)
        inputs["long"] = lower_length(scope, measured.length)
    return RawEdge(points[0], points[-1], lowering.emit("draw_curve", PATH, node.head, *points, by_name=inputs, **options))


def _row(rows: Mapping[type[tree.CurveRow], tree.CurveRow], form: type[Row]) -> Row | None:
    row = rows.get(form)
    return row if isinstance(row, form) else None


def _side_toward(scope: ScopeContext, row: Bent | tree.ArcRadius, start: Value, end: Value) -> Value:
    """+1 or -1: on which side of the chord the named direction lies."""
    dx, dy = DIRECTIONS[row.direction or ""]
    return scope.lowering.emit("side_toward", NUMBER, row.span, start, end, dx=dx, dy=dy)
