"""Worked examples: the figures that are given, and those that must come out, to the exactness in which they are written.

An example speaks of one body, who takes one course.  So what cannot be read of it in a course is kept with it there, and is a
mistake only where its body takes that course, or where no course can read it.
"""

from __future__ import annotations

import math
from fractions import Fraction

from ..source.quantity import parted
from ..source.text import Span
from ..syntax import tree
from .contexts import ProgramContext, ScopeContext
from .expressions import lower, lower_length
from .kinds import ANGLE, LENGTH, UNKNOWN, Kind, article
from .lowering import unit_for
from .plan import Example, Expectation

CLOSE = 0.1  # mm: how near a whole number or a fraction must come
CLOSE_NUMBER = 1e-4
CLOSE_ANGLE = math.radians(0.01)


def example(program: ProgramContext, node: tree.Example, own_scope: ScopeContext) -> Example:
    scope = own_scope.of_garment()
    said = program.lowering.diagnostics
    before = len(said)
    given: list[tuple[str, int, Span]] = []
    expectations: list[Expectation | None] = []
    for row in node.rows:
        if isinstance(row, tree.GivenRow):
            for figure in row.given:
                given += _given(program, figure, scope)
        elif isinstance(row, tree.ExpectValue):
            expectations.append(_value(scope, row))
        elif isinstance(row, tree.ExpectPoint):
            expectations.append(_point(scope, row))
    wrong = tuple(said[before:])
    del said[before:]
    known = tuple(expectation for expectation in expectations if expectation is not None)
    return Example(str(node.source)[1:-1], tuple(given), known, node.head, wrong)


def _given(program: ProgramContext, node: tree.Given, scope: ScopeContext) -> list[tuple[str, int, Span]]:
    lowering = program.lowering
    names = [*program.measures, *program.choices]
    if node.name not in names:
        lowering.unknown_name("measure or choice", node.name, node.name.span, names)
        return []
    entity = scope.quantities.find(node.name)
    if entity is not None:
        lowering.use(entity, node.name.span)
    value = lower(scope, node.value)
    wanted = program.choices[node.name].kind if node.name in program.choices else _kind_of_measure(program, node.name)
    if value.kind is UNKNOWN:
        return []
    if value.kind != wanted:
        lowering.wrong_kind(value, article(wanted), node.value.span)
        return []
    return [(str(node.name), value.slot, node.span)]


def _kind_of_measure(program: ProgramContext, name: str) -> Kind:
    return ANGLE if program.measurements[name].kind == "angle" else LENGTH


def _value(scope: ScopeContext, row: tree.ExpectValue) -> Expectation | None:
    value, target = lower(scope, row.value), lower(scope, row.target)
    lowering = scope.lowering
    if UNKNOWN in (value.kind, target.kind):
        return None
    if value.kind != target.kind:
        way_out = ""
        if target.kind.word == "number" and value.kind == LENGTH:
            way_out = unit_for(row.target.span.text)
        lowering.error(
            "K302",
            f"{article(value.kind).capitalize()} cannot be {article(target.kind)}",
            row.span,
            article(value.kind),
            article(target.kind),
            way_out,
        )
        return None
    within = _within(scope, row, value.kind)
    return Expectation(
        (value.slot,),
        (target.slot,),
        precision(row.target, value.kind),
        within,
        " ".join(row.value.span.text.split()),
        value.kind,
        row.span,
    )


def _point(scope: ScopeContext, row: tree.ExpectPoint) -> Expectation | None:
    point = scope.point(row.point)
    targets = [lower_length(scope, node) for node in (row.across, row.down)]
    if UNKNOWN in (point.kind, *(target.kind for target in targets)):
        return None
    lowering = scope.lowering
    values = [lowering.emit(operation, LENGTH, row.span, point) for operation in ("point_x", "point_y")]
    tolerance = max(precision(node, LENGTH) for node in (row.across, row.down))
    return Expectation(
        tuple(v.slot for v in values),
        tuple(t.slot for t in targets),
        tolerance,
        _within(scope, row, LENGTH),
        f"point {row.point}",
        LENGTH,
        row.span,
    )


def _within(scope: ScopeContext, row: tree.ExpectValue | tree.ExpectPoint, kind: Kind) -> int | None:
    if row.within is None:
        return None
    value = lower(scope, row.within.tolerance)
    if value.kind != kind:
        scope.lowering.wrong_kind(value, article(kind), row.within.span)
        return None
    return value.slot


def precision(node: tree.Expression, kind: Kind) -> float:
    """How near a figure must be met: half its last decimal place; a whole number or a fraction to 0.1 mm."""
    if isinstance(node, tree.Negative):
        return precision(node.value, kind)
    close = {LENGTH: CLOSE, ANGLE: CLOSE_ANGLE}.get(kind, CLOSE_NUMBER)
    if isinstance(node, tree.Quantity):
        figure, unit = parted(node.word)
        scale = unit.value(Fraction(1))
    elif isinstance(node, tree.Number):
        figure, scale = str(node.word), 1.0
    else:
        return close
    if "." in figure:
        return 0.5 * 10.0 ** -len(figure.split(".")[1]) * scale
    return close
