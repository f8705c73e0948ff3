"""Judging a draft: outlines that close without crossing, darts that keep to their piece, seams that match, and the
style's own requirements and cautions.  Each failure names its rule, the figures, and where it can the limit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.outline import faults, inside
from ..geometry.path import Path
from ..geometry.plane import cross, distance, unit
from ..geometry.segments import Line
from ..geometry.simple import by_control_points
from ..meaning.plan import Plan, Requirement
from ..source.quantity import show_figure, show_length
from .darts import beyond, crossing
from .ledgers import Ledgers, SeamRow
from .pattern import Dart, Edge, InnerDart, Pattern, Piece
from .places import nearest_on
from .steps import Run

CLOSED = 0.01  # mm
FAIR = 10.0  # mm
HAIR = 0.1  # mm
STRAIGHT = 0.01  # mm


def judge(plan: Plan, pattern: Pattern, ledgers: Ledgers, run: Run) -> None:
    """Record the failures of every body in `run`."""
    with np.errstate(all="ignore"):
        for piece in (*pattern.foundations, *pattern.pieces):
            _darts(piece, run)
            _fold(piece, run)
            _outline(piece, run)
        _seams(ledgers, run)
        _requirements(plan, run)


def _failed(run: Run) -> Mask:
    mask = np.zeros(run.n, dtype=bool)
    for failure in run.failures:
        if failure.severity == "error":
            mask |= failure.bodies
    return mask


def _darts(piece: Piece, run: Run) -> None:
    for edge in piece.edges:
        others = [path for other in piece.edges if other is not edge for path in other.strips]
        for dart in edge.darts:
            if dart.kind != "pleat":
                _keeps_within(piece, dart, others, run)
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


def _keeps_within(piece: Piece, dart: Dart, others: Sequence[Path], run: Run) -> None:
    limits = [beyond(dart, path) for path in others]
    limit = np.fmin.reduce(limits) if limits else np.full(run.n, np.nan)
    long = np.full(run.n, np.nan) if dart.middle is None else distance(dart.point, dart.middle)
    run.fail(
        np.isfinite(limit),
        "D424",
        f"The dart {piece.name}.{dart.name} runs out of the piece",
        span=dart.span,
        expected=lambda i: f"a dart of less than {show_length(limit[i], run.unit)} here",
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
    gaps = [distance(strip.point_at(np.nan_to_num(nearest_on(strip, point))), point) for edge in piece.edges for strip in edge.strips]
    off: Mask = ~inside(point[:, None], ring)[:, 0] & (np.fmin.reduce(gaps) > FAIR)
    return off


def _fold(piece: Piece, run: Run) -> None:
    if piece.cut.fold is None:
        return
    path = Path.join(*piece.edge(piece.cut.fold).strips)
    points = path.flatten()
    way = unit(points[:, -1] - points[:, 0])
    off = np.abs(cross(points - points[:, :1], way[:, None, :])).max(axis=1)
    run.fail(
        off > STRAIGHT,
        "D441",
        f"The fold {piece.name}.{piece.cut.fold} is not straight",
        span=piece.span,
        expected="a straight edge on the fold",
        found=lambda i: f"{show_length(off[i], run.unit)} off the straight",
        suggestion="Cut the piece as a pair with a seam, or straighten that edge.",
    )


def _outline(piece: Piece, run: Run) -> None:
    outline = piece.stitch_outline()
    gap = np.maximum(outline.gap(), distance(outline.start(), outline.end()))
    run.fail(
        gap > CLOSED,
        "D442",
        f"The outline of {piece.name} does not close",
        span=piece.span,
        expected="edges that end where the next begins",
        found=lambda i: f"a gap of {show_length(gap[i], run.unit)}",
        suggestion="See that neighbouring edges share their end points.",
    )
    judged, failed = _parted_points(piece), _failed(run)
    sound = judged.known()
    run.fail(
        ~sound & ~failed,
        "D499",
        f"The piece {piece.name} cannot be drawn for these measures",
        span=piece.span,
        expected="measures for which every rule has a place",
        found="a place that could not be found",
        suggestion="Compare the measures with the rules of this piece.",
    )
    doubtful = np.flatnonzero(sound & ~failed & ~by_control_points(judged))
    crossings = faults(judged.take(doubtful).ring()) if len(doubtful) else ()
    places = {int(doubtful[index]): (kind, place) for index, kind, place in crossings}
    if places:
        mask = np.zeros(run.n, dtype=bool)
        mask[list(places)] = True
        run.fail(
            mask,
            "D440",
            lambda i: f"The outline of {piece.name} {places[i][0]}",
            span=piece.span,
            expected="edges that meet only at their ends",
            found=lambda i: (
                f"edges that touch {show_length(places[i][1][0], run.unit)} across and "
                f"{show_length(places[i][1][1], run.unit)} down, {_nearest(piece, places[i][1], i)}"
            ),
            suggestion="See which rule of this piece brings these edges together for these measures.",
        )


def _parted_points(piece: Piece) -> Path:
    """The outline as it is judged: darts that end at one point, as a bust point, are held a hair short of it."""
    darts = piece.darts()
    shared = [
        dart for dart in darts if any(other is not dart and np.any(distance(dart.point, other.point) < CLOSED) for other in darts)
    ]
    if not shared:
        return piece.stitch_outline()
    runs = []
    for edge in piece.edges:
        runs.append(edge.strips[0])
        for dart, strip in zip(edge.darts, edge.strips[1:], strict=True):
            legs = [dart.near_leg, dart.far_leg]
            if dart.kind == "pleat":
                runs += [dart.trued, strip]
                continue
            if any(dart is other for other in shared):
                legs = [leg.part(0.0, leg.length() - HAIR) for leg in legs]
            runs += [legs[0], Path((Line(legs[0].end(), legs[1].end()),)), legs[1].reversed(), strip]
    return Path.join(*runs)


def _nearest(piece: Piece, place: tuple[float, float], index: int) -> str:
    """The two edges next to a place, for one body's message."""

    def away(edge: Edge) -> float:
        points = edge.stitch_path().flatten()[index]
        return float(np.min(np.hypot(points[:, 0] - place[0], points[:, 1] - place[1])))

    near = sorted(piece.edges, key=away)[:2]
    return "at " + " and ".join(edge.name for edge in near)


def _seams(ledgers: Ledgers, run: Run) -> None:
    for row in ledgers.seams:
        {"gathered": _gathered, "eased": _eased}.get(row.kind, _matched)(row, run)


def _near(row: SeamRow, run: Run) -> str:
    return show_length(row.tolerance, "in" if run.unit == "in" else "mm")


def _gathered(row: SeamRow, run: Run) -> None:
    run.fail(
        row.length_one - row.length_other < -row.tolerance,
        "D450",
        f"{row.one} is to be gathered but is shorter than {row.other}",
        span=row.span,
        expected=lambda i: f"more than {show_length(row.length_other[i], run.unit)}",
        found=lambda i: show_length(row.length_one[i], run.unit),
        suggestion="Name the longer edge first.",
    )


def _eased(row: SeamRow, run: Run) -> None:
    uneven = np.abs(row.difference) > row.tolerance
    run.fail(
        row.ease < 0.0,
        "D451",
        f"{row.one} cannot be eased by less than nothing",
        span=row.span,
        expected="zero or more",
        found=lambda i: show_length(row.ease[i], run.unit),
        suggestion="Name the longer edge first, and by how much it is longer.",
    )
    run.fail(
        uneven & ~(row.ease < 0.0),
        "D450",
        f"{row.one} does not match {row.other} with what is eased in",
        span=row.span,
        expected=lambda i: f"{row.one} longer by {show_length(row.ease[i], run.unit)}, to within {_near(row, run)}",
        found=lambda i: f"{_lengths(row, i, run.unit)}: {_longer(row, i, run.unit)}",
        suggestion="Bring the edges to these lengths, or ease in what there is. The edge that is eased in stands "
        "first. An edge counts as often as its piece is cut.",
    )


def _matched(row: SeamRow, run: Run) -> None:
    run.fail(
        np.abs(row.difference) > row.tolerance,
        "D450",
        f"{row.one} and {row.other} do not match",
        span=row.span,
        expected=f"lengths that agree to {_near(row, run)}",
        found=lambda i: f"{_lengths(row, i, run.unit)}, {show_length(abs(row.difference[i]), run.unit)} apart",
        suggestion="Bring the edges to one length, or say how much is eased: sew ... to ..., easing "
        f"{'1/4 in' if run.unit == 'in' else '0.5 cm'}. "
        "An edge counts as often as its piece is cut.",
    )


def _lengths(row: SeamRow, index: int, unit: str) -> str:
    return f"{show_length(row.length_one[index], unit)} and {show_length(row.length_other[index], unit)}"


def _longer(row: SeamRow, index: int, unit: str) -> str:
    """By how much the first side of a seam is longer than the second, as drawn."""
    more = float(row.length_one[index] - row.length_other[index])
    return f"{'longer' if more >= 0.0 else 'shorter'} by {show_length(abs(more), unit)}"


def _requirements(plan: Plan, run: Run) -> None:
    for rule in plan.requirements:
        answer = run.filled[rule.condition]
        mask = (answer < 0.5) if rule.severity == "error" else (answer > 0.5)

        def figures(i: int, rule: Requirement = rule) -> str:
            shown = [(words, show_figure(float(run.filled[slot][i]), kind.word, run.unit)) for words, slot, kind in rule.figures]
            return "; ".join(f"{words} is {figure}" for words, figure in shown if figure != words)

        run.fail(
            mask,
            "D460" if rule.severity == "error" else "D461",
            rule.message,
            span=rule.span,
            expected=" ".join(rule.span.text.split()) if rule.severity == "error" else "",
            found=figures,
            suggestion="Change the choices or measures concerned, or the style." if rule.severity == "error" else "",
            others=((rule.used, "asked for here"),) if rule.used is not None else (),
            severity=rule.severity,
        )
