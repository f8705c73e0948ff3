"""Judging the outline of a piece: no larger than can be cut, closed, straight on its fold, and meeting itself nowhere.

An outline that its control points do not show to be simple is looked at as a ring of points.  Where that is faulty for a body,
every step of it is set against every other, so that the message names the edges that meet, and where.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from ..geometry.arrays import Mask
from ..geometry.outline import NO_AREA, contacts, faults
from ..geometry.path import Path
from ..geometry.plane import distance
from ..geometry.segments import Line
from ..geometry.simple import by_control_points
from ..meaning.plan import Step
from ..source.quantity import show_length
from .grounds import losing, resting
from .pattern import Dart, Edge, Piece
from .shapes import STRAIGHT, off_straight
from .steps import Run

CLOSED = 0.01  # mm
HAIR = 0.1  # mm
LARGEST = 100_000.0  # mm across or down from where a piece begins: more than a cloth is long
MOST_TOLD = 3  # places of one outline where it meets itself


def judge_outline(piece: Piece, run: Run) -> None:
    """Record the failures of every body in `run` that the outline of this piece has."""
    _size(piece, run)
    _fold(piece, run)
    _closing(piece, run)
    runs, failed = _judged(piece), run.failed()
    judged = Path.join(*runs)
    sound = judged.known()
    _nowhere(piece, ~sound & ~failed, run)
    doubtful = np.flatnonzero(sound & ~failed & ~by_control_points(judged))
    kinds = {int(doubtful[i]): kind for i, kind, _ in faults(judged.take(doubtful).ring())} if len(doubtful) else {}
    mask = np.zeros(run.n, dtype=bool)
    mask[list(kinds)] = True
    run.fail(
        mask,
        "D440",
        lambda i: f"The outline of {piece.name} {kinds[i]}",
        span=piece.span,
        expected=lambda i: "edges with room between them" if kinds[i] == NO_AREA else "edges that meet only at their ends",
        found=lambda i: _met(piece, runs, i, run.unit),
        suggestion="See which rule of this piece brings these edges together for these measures.",
    )


def _nowhere(piece: Piece, lost: Mask, run: Run) -> None:
    """Of bodies for whom no rule failed and yet something is nowhere: the rule after which it was, or else the piece."""
    if not lost.any():
        return
    slots = [slot for plan in run.plan.pieces if plan.name == piece.name for _, slot in plan.edges]
    steps = losing(run, slots, lost)
    rules: list[Step | None] = [None, *{step.out: step for step in steps.values()}.values()]
    for rule in rules:
        bodies = np.array([steps.get(i) is rule for i in range(run.n)])
        run.fail(
            lost & bodies,
            "D561",
            f"The piece {piece.name} cannot be drawn for these measures",
            span=rule.span if rule is not None else piece.span,
            expected="a rule that has a place for these measures",
            found=_found_nothing(run, rule),
            suggestion="Compare these measures with this rule.",
        )


def _found_nothing(run: Run, rule: Step | None) -> Callable[[int], str]:
    rests = resting(run, rule.out) if rule is not None else lambda i: ""
    return lambda i: f"a place that is nowhere{rests(i)}"


def _met(piece: Piece, runs: list[Path], body: int, unit: str) -> str:
    """The edges of one body that meet where they should not, and where."""
    names = [edge.name for edge in piece.edges]
    told = []
    for one, other, crossing, (across, down), along in contacts([run.take(np.array([body])).flatten()[0] for run in runs])[:MOST_TOLD]:
        what = ("cross" if crossing else "touch") + ("es itself" if one == other else "")
        edges = names[one] if one == other else f"{names[one]} and {names[other]}"
        place = f"{show_length(across, unit)} across and {show_length(down, unit)} down, {show_length(along, unit)} along {names[one]}"
        told.append(f"{edges} {what} {place}")
    return "; ".join(told) or f"{', '.join(names)} with nothing between them"


def _size(piece: Piece, run: Run) -> None:
    outline = piece.stitch_outline()
    low, high = outline.box()
    reach = np.maximum(np.abs(low), np.abs(high)).max(axis=1)
    far = np.flatnonzero(reach > LARGEST)
    if len(far):  # the box of an arc is that of its circle
        reach[far] = np.abs(outline.take(far).flatten()).max(axis=(1, 2))
    run.fail(
        reach > LARGEST,
        "D533",
        f"The piece {piece.name} is too large to be drawn",
        span=piece.span,
        expected=f"a piece within {show_length(LARGEST, run.unit)} of where its drawing begins",
        found=lambda i: f"one that reaches {show_length(reach[i], run.unit)} from it",
        suggestion="See whether a figure of the style has the right unit.",
    )


def _fold(piece: Piece, run: Run) -> None:
    if piece.cut.fold is None:
        return
    off = off_straight(Path.join(*piece.edge(piece.cut.fold).strips))
    run.fail(
        off > STRAIGHT,
        "D441",
        f"The fold {piece.name}.{piece.cut.fold} is not straight",
        span=piece.span,
        expected="a straight edge on the fold",
        found=lambda i: f"{show_length(off[i], run.unit)} off the straight",
        suggestion="Cut the piece as a pair with a seam, or straighten that edge.",
    )


def _closing(piece: Piece, run: Run) -> None:
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


def _judged(piece: Piece) -> list[Path]:
    """The edges as they are judged: darts that end at one point, as a bust point, are held a hair short of it."""
    darts = piece.darts()
    shared = [
        dart for dart in darts if any(other is not dart and np.any(distance(dart.point, other.point) < CLOSED) for other in darts)
    ]
    if not shared:
        return [edge.stitch_path() for edge in piece.edges]
    return [_parted_points(edge, shared) for edge in piece.edges]


def _parted_points(edge: Edge, shared: list[Dart]) -> Path:
    runs = [edge.strips[0]]
    for dart, strip in zip(edge.darts, edge.strips[1:], strict=True):
        legs = [dart.near_leg, dart.far_leg]
        if dart.kind == "pleat":
            runs += [dart.trued, strip]
            continue
        if any(dart is other for other in shared):
            legs = [leg.part(0.0, leg.length() - HAIR) for leg in legs]
        runs += [legs[0], Path((Line(legs[0].end(), legs[1].end()),)), legs[1].reversed(), strip]
    return Path.join(*runs)
