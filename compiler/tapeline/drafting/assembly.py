"""From filled slots to a `Pattern`: the pieces with their edges, marks and notches, the seams, the allowances."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.outline import inside
from ..geometry.path import NO_LENGTH, Path
from ..geometry.plane import unit
from ..meaning.plan import FittedPlan, HalvesPlan, MatchPlan, OpeningPlan, PiecePlan, Plan
from ..source.text import Span
from .guides import path_of
from .measuring import on_strips
from .pattern import (
    LEFT,
    RIGHT,
    Allowance,
    Edge,
    FittedEdges,
    Halves,
    InnerDart,
    Mark,
    MatchedPlace,
    Notch,
    Pattern,
    Piece,
    PointMark,
    Seam,
    SeamOpening,
)
from .steps import Run

SEAM_TOLERANCE = 25.4 / 16  # mm: pattern truth kept by a fitting teacher, Threads magazine no. 200 (2018-19)
PLUMB = 0.01  # mm that a fold may lean
SIDES = (LEFT, RIGHT)


def assemble(plan: Plan, run: Run) -> Pattern:
    filled = run.filled
    pieces, foundations = (tuple(_piece(piece, run) for piece in plan.pieces if piece.issued == issued) for issued in (True, False))
    seams = tuple(
        Seam(
            seam.span,
            seam.one,
            seam.other,
            np.zeros(run.n) if seam.ease is None else filled[seam.ease],
            SEAM_TOLERANCE,
            seam.kind,
            seam.counts,
            tuple(_opening(opening, filled) for opening in seam.openings),
            seam.pressed,
            seam.notched,
            _matched(seam.matched, filled),
            seam.centred,
            _fitted(seam.fitted, filled),
        )
        for seam in plan.seams
    )
    allowances = {
        place: Allowance(
            allowance.edge,
            np.zeros(run.n) if allowance.width is None else filled[allowance.width],
            allowance.kind,
            allowance.span,
            allowance.unnamed,
        )
        for place, allowance in plan.allowances.items()
    }
    values = {name: filled[value.slot] for name, value in plan.values.items() if value.slot in filled}
    bodies = {level: filled[slot] for level, slot in plan.level_girths.items()}
    return Pattern(
        run.n,
        pieces,
        seams,
        allowances,
        dict(plan.corners),
        plan.level_order,
        bodies,
        values,
        foundations,
        plan.meant,
        plan.unmarked,
    )


def _fitted(plan: FittedPlan | None, filled: Mapping[int, Floats]) -> FittedEdges | None:
    if plan is None:
        return None
    one, other = (tuple(None if slot is None else filled[slot] for slot in side) for side in plan.gained)
    return FittedEdges((one, other), plan.said)


def _opening(plan: OpeningPlan, filled: Mapping[int, Floats]) -> SeamOpening:
    start, end = filled[plan.start], filled[plan.end]
    return SeamOpening(np.minimum(start, end), np.maximum(start, end), plan.span, plan.side)


def _matched(plans: tuple[MatchPlan, MatchPlan] | None, filled: Mapping[int, Floats]) -> tuple[MatchedPlace, MatchedPlace] | None:
    if plans is None:
        return None
    one, other = (MatchedPlace(plan.edge, filled[plan.at]) for plan in plans)
    return one, other


def _piece(plan: PiecePlan, run: Run) -> Piece:
    filled = run.filled
    edges = tuple(filled[slot] for _, slot in plan.edges)
    by_name = {edge.name: edge for edge in edges}
    marks = tuple(
        Mark(
            mark.kind,
            mark.name,
            mark.span,
            path_of(filled[mark.path]),
            mark.note,
            None if mark.length is None else filled[mark.length],
            mark.edge,
            mark.one,
            mark.side,
        )
        for mark in plan.marks
        if (path_of(filled[mark.path]).length() > NO_LENGTH).any()  # a part of a cut may have nothing of a marked line
    )
    notches = []
    for notch in plan.notches:
        point, direction = on_strips(by_name[notch.edge], filled[notch.place])
        notches.append(Notch(notch.edge, notch.name, notch.span, point, direction, filled[notch.place]))

    def values(table: Mapping[str, int]) -> dict[str, Floats]:
        return {name: filled[slot] for name, slot in table.items()}

    return Piece(
        plan.name,
        plan.title,
        plan.span,
        edges,
        plan.cut,
        values(plan.points),
        unit(filled[plan.grain]),
        values(plan.levels),
        marks,
        tuple(notches),
        values(plan.widths),
        values(plan.intended),
        plan.source if plan.source != plan.name else "",
        tuple(_inner(dart, edges, filled) for dart in plan.inner),
        dict(plan.told),
        dict(plan.followed),
        plan.worn,
        tuple(
            PointMark(
                mark.kind, mark.name, mark.words, mark.span, at, None if mark.size is None else filled[mark.size], mark.one, mark.side
            )
            for mark in plan.point_marks
            if np.isfinite(at := filled[mark.at]).any()  # a part of a cut has those that lie on it
        ),
        plan.side,
        plan.half,
        plan.mirrored,
        {level: (filled[left], filled[right]) for level, (left, right) in plan.of_sides.items()},
        halves=None if plan.halves is None else _halves(plan.halves, filled),
    )


def _halves(plan: HalvesPlan, filled: Mapping[int, Any]) -> Halves:
    """A level of the half that is laid over lies where that half comes to lie: the middle of its fold on that of the other's; where a fold
    is not plumb, no level is level there."""
    if plan.folds is None:
        return Halves(plan.drawn)
    centre, other = (np.stack([edge.start(), edge.end()], axis=1) for edge in (filled[slot] for slot in plan.folds))
    down = (centre - other)[..., 1].mean(axis=1)
    plumb = np.all([np.abs(np.ptp(line[..., 0], axis=1)) < PLUMB for line in (centre, other)], axis=0)
    levels = {}
    for level, slots in plan.levels.items():
        both = zip(SIDES, (filled[slot] for slot in slots), strict=True)
        left, right = (np.where(plumb, y if side == plan.drawn else y + down, np.nan) for side, y in both)
        levels[level] = left, right
    return Halves(plan.drawn, centre, levels)


def _inner(plan: tuple[str, Span, tuple[int, ...], int], edges: Sequence[Edge], filled: Mapping[int, Any]) -> InnerDart:
    """A dart within a piece; where its middle does not lie in this part of a cut it is not there."""
    name, span, corners, intake = plan
    places = [filled[slot] for slot in corners]
    middle = (places[1] + places[3]) / 2.0
    here = inside(middle[:, None], Path.join(*(edge.stitch_path() for edge in edges)).flatten())
    upper, near, lower, far = (np.where(here, place, np.nan) for place in places)
    return InnerDart(name, span, upper, near, lower, far, filled[intake])
