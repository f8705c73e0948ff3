"""What a style says about the world outside it: measurements and doubts about them, and worked examples."""

from __future__ import annotations

import math
from fractions import Fraction

from ..bodies.measurement import KINDS, Doubt, Measurement
from ..source.quantity import parted
from ..syntax import tree
from .expressions import lower, lower_kind, lower_length
from .kinds import ANGLE, LENGTH, UNKNOWN, article
from .plan import Example, Expectation

CLOSE = 0.1  # mm: how near a whole number or a fraction must come
CLOSE_NUMBER = 1e-4
CLOSE_ANGLE = math.radians(0.01)


def measurement(bench, scope, node: tree.Measurement) -> Measurement | None:
    facts = {type(fact): fact for fact in node.facts}
    kind = facts.get(tree.FactKind)
    if kind is None or kind.kind not in KINDS:
        place = kind.kind.span if kind is not None else node.head
        bench.error(
            "N246",
            f'Of what kind is the measurement "{node.name}"?',
            place,
            f"kind {' or '.join(KINDS)}",
            f'"{kind.kind}"' if kind is not None else "no kind",
            "Add for example: kind girth",
        )
        return None
    low = high = None
    before = len(bench.diagnostics)
    if tree.FactPlausible in facts:
        fact = facts[tree.FactPlausible]
        wanted = ANGLE if kind.kind == "angle" else LENGTH
        low, high = (_constant(bench, lower_kind(scope, bound, wanted)) for bound in (fact.low, fact.high))
        if len(bench.diagnostics) > before:
            bench.lost |= {str(node.name)}
            return None
    if low is None or high is None or low >= high:
        bench.error(
            "N246",
            f'Between what bounds is "{node.name}" believed?',
            node.head,
            "plausible 40 cm to 160 cm",
            "no bounds" if low is None else "bounds that do not rise",
            "Add a row: plausible ... to ...",
        )
        return None

    def text(form) -> str:
        return str(facts[form].text)[1:-1] if form in facts else ""

    return Measurement(
        str(node.name), str(node.title)[1:-1], str(kind.kind), text(tree.FactTaken), text(tree.FactStandard), low, high, node.head
    )


def _constant(bench, value) -> float | None:
    """The number of a constant just lowered; None for anything else."""
    for (number, _), known in bench.constants.items():
        if known.slot == value.slot:
            return number
    return None


def doubt(program, node: tree.Doubt) -> Doubt | None:
    for name in (node.name, node.other):
        if name not in program.measurements:
            program.bench.unknown_name("measurement", name, name.span, program.measurements)
            return None
    if node.relation not in ("less than", "more than"):
        program.bench.error(
            "N242", "A doubt compares by less than or more than", node.relation.span, "less than or more than", f'"{node.relation}"', ""
        )
        return None
    return Doubt(
        str(node.name),
        str(node.relation),
        str(node.other),
        str(node.message.text)[1:-1] if node.message.text is not None else "",
        node.head,
    )


# ------------------------------------------------------------ worked examples


def example(program, node: tree.Example, scope) -> Example:
    given, expectations = [], []
    for row in node.rows:
        if isinstance(row, tree.GivenRow):
            for one in row.given:
                given += _given(program, one, scope)
        elif isinstance(row, tree.ExpectValue):
            expectations.append(_value(scope, row))
        else:
            expectations.append(_point(scope, row))
    return Example(str(node.source)[1:-1], tuple(given), tuple(one for one in expectations if one is not None), node.head)


def _given(program, one: tree.Given, scope):
    bench = program.bench
    names = [*program.measures, *program.choices]
    if one.name not in names:
        bench.unknown_name("measure or choice", one.name, one.name.span, names)
        return []
    value = lower(scope, one.value)
    wanted = program.choices[one.name].kind if one.name in program.choices else bench_kind(program, one.name)
    if value.kind is UNKNOWN:
        return []
    if value.kind != wanted:
        bench.wrong_kind(value, article(wanted), one.value.span)
        return []
    return [(str(one.name), value.slot, one.span)]


def bench_kind(program, name):
    return ANGLE if program.measurements[name].kind == "angle" else LENGTH


def _value(scope, row: tree.ExpectValue) -> Expectation | None:
    value, target = lower(scope, row.value), lower(scope, row.target)
    bench = scope.bench
    if UNKNOWN in (value.kind, target.kind):
        return None
    if value.kind != target.kind:
        way_out = ""
        if target.kind.word == "number" and value.kind == LENGTH:
            way_out = f"Give the figure a unit: {row.target.span.text.strip()} cm, or in."
        bench.error(
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


def _point(scope, row: tree.ExpectPoint) -> Expectation | None:
    point = scope.point(row.point)
    targets = [lower_length(scope, node) for node in (row.across, row.down)]
    if UNKNOWN in (point.kind, *(target.kind for target in targets)):
        return None
    bench = scope.bench
    values = [bench.emit(operation, LENGTH, row.span, point) for operation in ("point_x", "point_y")]
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


def _within(scope, row, kind) -> int | None:
    if row.within is None:
        return None
    value = lower(scope, row.within.tolerance)
    if value.kind != kind:
        scope.bench.wrong_kind(value, article(kind), row.within.span)
        return None
    return value.slot


def precision(node, kind) -> float:
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
