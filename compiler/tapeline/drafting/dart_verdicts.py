"""Judging the darts of a piece: their feet in order, their points inside, side by side, and none longer than its piece."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.outline import inside
from ..geometry.path import Path
from ..geometry.plane import distance, dot, norm, square_to, unit
from ..source.quantity import at_most, show_length
from ..source.text import Span
from .darts import beyond, crossing
from .pattern import Dart, Edge, InnerDart, Piece
from .places import nearest_on
from .shapes import turn_of
from .steps import Run

FAIR = 10.0  # mm


def judge_darts(piece: Piece, run: Run) -> None:
    """Record the failures of every body in `run` that a dart of this piece has."""
    rows = {row.span: row.point_row for step in run.plan.steps if step.operation == "set_darts" for row in step.options["darts"]}
    sound = ~run.failed()
    darted = any(dart.kind != "pleat" for dart in piece.darts())
    turn = turn_of(piece.edges) if darted else np.zeros(run.n)
    for edge in piece.edges:
        others = [path for other in piece.edges if other is not edge for path in other.strips]
        for dart, before, after in zip(edge.darts, edge.strips, edge.strips[1:], strict=False):
            if dart.kind != "pleat":
                crossed = _feet_in_order(piece, edge, dart, before.end_direction() + after.start_direction(), sound, run)
                _points_inward(piece, edge, dart, turn, sound & ~crossed, run)
                _keeps_within(piece, dart, others, rows.get(dart.span), run)
    darts, pleats = piece.darts(), [dart for dart in piece.darts() if dart.kind == "pleat"]
    if piece.inner or pleats:
        ring = piece.trued_outline().flatten()
        for dart in pleats:
            _ends_on_an_edge(piece, dart, ring, run)
        for inner in piece.inner:
            _lies_inside(piece, inner, ring, run)
    for k, first in enumerate(darts):
        for second in darts[k + 1 :]:
            _do_not_cross(piece, first, second, run)


def _feet_in_order(piece: Piece, edge: Edge, dart: Dart, way: Floats, judged: Mask, run: Run) -> Mask:
    """Of the bodies `judged` (N,) those whose edge, running the `way` (N, 2), comes to the far foot before the near one."""
    apart = dart.far_foot - dart.near_foot
    crossed = (dot(apart, way) < 0.0) & judged
    run.fail(
        crossed,
        "D530",
        f"The feet of {dart.name} on {piece.name}.{edge.name} have crossed",
        span=dart.span,
        expected="the near foot before the far one, as the outline runs",
        found=lambda i: f"the far foot {show_length(norm(apart)[i], run.unit)} before the near one",
        suggestion="See which measure or choice brings them past each other.",
    )
    return crossed


def _points_inward(piece: Piece, edge: Edge, dart: Dart, turn: Floats, judged: Mask, run: Run) -> None:
    """`turn` (N,) is +1 where the outline runs from +x toward +y."""
    inward = square_to(unit(dart.far_foot - dart.near_foot)) * turn[:, None]
    depth = dot(dart.point - dart.near_foot, inward)
    run.fail(
        (depth <= 0.0) & judged,
        "D424",
        f"The dart {piece.name}.{dart.name} points out of the piece",
        span=dart.span,
        expected="its point inside the piece",
        found=lambda i: f"its point {show_length(-depth[i], run.unit)} outside {edge.name}",
        suggestion="Set its point on the other side of the edge.",
    )


def _keeps_within(piece: Piece, dart: Dart, others: Sequence[Path], row: Span | None, run: Run) -> None:
    limits = [beyond(dart, path) for path in others]
    limit = np.fmin.reduce(limits) if limits else np.full(run.n, np.nan)
    long = np.full(run.n, np.nan) if dart.middle is None else distance(dart.point, dart.middle)
    run.fail(
        np.isfinite(limit),
        "D424",
        f"The dart {piece.name}.{dart.name} runs out of the piece",
        span=row or dart.span,
        expected=lambda i: f"a dart of less than {at_most(limit[i], run.unit)} here",
        found=lambda i: f"one of {show_length(long[i], run.unit)}",
        suggestion="Make the dart shorter, or set it elsewhere.",
    )


def _ends_on_an_edge(piece: Piece, pleat: Dart, ring: Floats, run: Run) -> None:
    """A pleat runs to another edge by intention, but no further."""
    off = np.logical_or.reduce([_outside(piece, ring, leg.end()) for leg in (pleat.near_leg, pleat.far_leg)])
    run.fail(
        off & np.isfinite(pleat.point[:, 0]),
        "D424",
        f"The pleat {piece.name}.{pleat.name} runs out of the piece",
        span=pleat.span,
        expected="a pleat that ends on an edge of its piece",
        found="an edge that was cut away",
        suggestion="Cut the piece first, and lay the pleats in its parts.",
    )


def _lies_inside(piece: Piece, dart: InnerDart, ring: Floats, run: Run) -> None:
    off = ~inside(np.stack(dart.corners(), axis=1), ring).all(axis=1)
    run.fail(
        off & np.isfinite(dart.near[:, 0]) & np.isfinite(ring).all(axis=(1, 2)),
        "D424",
        f"The dart {piece.name}.{dart.name} runs out of the piece",
        span=dart.span,
        expected="both its points and its sides inside the piece",
        found="one of them outside",
        suggestion="Make the dart shorter or narrower, or set it elsewhere.",
    )


def _do_not_cross(piece: Piece, first: Dart, second: Dart, run: Run) -> None:
    run.fail(
        crossing(first, second),
        "D423",
        f"The darts {first.name} and {second.name} of {piece.name} cross",
        span=first.span,
        expected="darts that lie side by side",
        found=lambda i: f"points {show_length(distance(first.point, second.point)[i], run.unit)} apart, legs crossing",
        suggestion="Set them further apart, make them shorter, or point them apart.",
        others=((second.span, "the other dart"),) if second.span != first.span else (),
    )


def _outside(piece: Piece, ring: Floats, point: Floats) -> Mask:
    """Bodies (N,) for whom a point lies outside the piece by more than an edge may be shifted in being made fair."""
    off: Mask = ~inside(point[:, None], ring)[:, 0]
    bodies = np.flatnonzero(off)
    if len(bodies):
        there, strips = point[bodies], [strip.take(bodies) for edge in piece.edges for strip in edge.strips]
        gaps = [distance(strip.point_at(np.nan_to_num(nearest_on(strip, there))), there) for strip in strips]
        off[bodies] = np.fmin.reduce(gaps) > FAIR
    return off
