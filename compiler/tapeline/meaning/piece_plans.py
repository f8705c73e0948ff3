"""From a piece that is drawn to its plan: the slots of its edges, points, levels, marks and notches."""

from __future__ import annotations

from collections.abc import Mapping

from ..source.text import Span
from .across import corner_points
from .construction import Construction
from .contexts import ProgramContext
from .cut_counts import cut_of, made_from
from .kinds import UNKNOWN
from .marks import marks, notches
from .outlines import NO_EDGE
from .plan import MarkPlan, PiecePlan, PointMarkPlan, Value
from .worn import is_half, is_mirrored, side_of, worn


def exercise(program: ProgramContext, drawing: Construction) -> None:
    """Demand everything on a sheet, so that its mistakes are said even where nothing traces them."""
    for point in list(drawing.points.own.values()):
        program.lowering.demand(point)
    for edge in list(drawing.edges.own.values()):
        program.lowering.demand(edge, NO_EDGE)
    for quantity in list(drawing.quantities.own.values()):
        program.lowering.demand(quantity)


def hold_drafted(program: ProgramContext, drawing: Construction) -> None:
    """Demand what a piece says itself, and hold its darts and levels against what it says of them."""
    exercise(program, drawing)
    outline = drawing.finished_outline()
    for rule in drawing.dart_rules:
        left_out = drawing.chain() is not None and all(name != rule.edge for name, _ in outline)
        if left_out and drawing.raw_edge(rule.node.edge, rule.node.edge.span) is not None:
            program.lowering.error(
                "N238",
                f'The darted edge "{rule.edge}" is not part of the outline',
                rule.node.head,
                "an edge of the outline",
                f'"{rule.edge}"',
                "Set the dart on an edge of the outline.",
            )
        rule.requirements()
    drawing.hold_levels_apart()


def piece_plan(program: ProgramContext, drawing: Construction) -> PiecePlan | None:
    hold_drafted(program, drawing)
    outline = drawing.finished_outline()
    cut = cut_of(program, drawing)
    crossing = drawing.level_names()
    levels = {name: drawing.level_y(name) for name in crossing if drawing.runs_straight(name)}
    widths = {name: width for name in crossing if (width := drawing.width_at(name)) is not None}
    intended = {name: value for name in crossing if (value := drawing.intended(name)) is not None}
    marked = marks(program, drawing)
    placed = [mark for mark in marked if isinstance(mark, PointMarkPlan)]
    lines = [mark for mark in marked if isinstance(mark, MarkPlan)]
    drawn, tapes = ([mark for mark in lines if (mark.kind == "tape") == taped] for taped in (False, True))
    grain = drawing.grain()
    points = {name: entity.value for name, entity in drawing.points.own.items() if isinstance(entity.value, Value)}

    def slots(table: Mapping[str, Value]) -> dict[str, int]:
        return {name: value.slot for name, value in table.items() if value.kind is not UNKNOWN}

    if not outline:
        return None
    return PiecePlan(
        drawing.name,
        drawing.title,
        drawing.span,
        tuple((str(name), edge.slot) for name, edge in outline),
        cut,
        slots(points),
        grain.slot,
        slots(levels),
        slots(widths),
        slots(intended),
        drawn,
        tapes,
        notches(program, drawing),
        inner_plans(program, drawing),
        drawing.name not in program.foundations,
        made_from(drawing) or (drawing.source.name if drawing.source is not None else ""),
        {name: drawing.level_told(name) for name in crossing},
        {name: edges for name in crossing if (edges := drawing.edges_followed(name))},
        corner_points(drawing),
        worn(program, drawing),
        placed,
        side_of(program, drawing),
        is_half(program, drawing),
        is_mirrored(drawing),
    )


def inner_plans(program: ProgramContext, drawing: Construction) -> tuple[tuple[str, Span, tuple[int, ...], int], ...]:
    plans = []
    for dart in drawing.inner_darts.values():
        values = [program.lowering.demand(drawing.points.entity(name)) for name in dart.point_names()]
        intake = program.lowering.demand(dart.intake)
        if all(value.kind is not UNKNOWN for value in (*values, intake)):
            plans.append((dart.name, dart.span, tuple(value.slot for value in values), intake.slot))
    return tuple(plans)
