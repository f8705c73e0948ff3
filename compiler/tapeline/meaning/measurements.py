"""What a style or library says of bodies: measurements, each with its kind and bounds, and doubts about two of them."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple, TypeVar

from ..bodies.measurement import KINDS, SIDES, Doubt, Measurement
from ..source.text import Span
from ..syntax import tree
from .contexts import ProgramContext, ScopeContext
from .expressions import figure, lower_kind
from .kinds import ANGLE, LENGTH, Kind
from .lowering import Lowering
from .names import Entity
from .plan import Value

_F = TypeVar("_F", bound=tree.Fact)


def measurement(lowering: Lowering, scope: ScopeContext, node: tree.Measurement) -> Measurement | None:
    stated = _stated(node)
    if stated is None:
        found = _measurement(lowering, scope, node)
        return None if found is None else _with_sides(lowering, node, found)
    for number, place in zip((stated.measurement.low, stated.measurement.high), stated.places, strict=True):
        lowering.constant(number, stated.kind, place)
    return stated.measurement


class _Stated(NamedTuple):
    """A measurement that is the same in every style, with the kind of its bounds and where they stand."""

    measurement: Measurement
    kind: Kind
    places: tuple[Span, Span]


@lru_cache(maxsize=1024)
def _stated(node: tree.Measurement) -> _Stated | None:
    """A measurement whose bounds are written outright and rise, as nearly all are."""
    kind, bounds = _fact(node, tree.FactKind), _fact(node, tree.FactPlausible)
    if kind is None or kind.kind not in KINDS or bounds is None:
        return None
    if not (isinstance(bounds.low, tree.Quantity) and isinstance(bounds.high, tree.Quantity)):
        return None
    (low, of_low), (high, of_high) = figure(str(bounds.low.word)), figure(str(bounds.high.word))
    wanted = ANGLE if kind.kind == "angle" else LENGTH
    if not of_low == of_high == wanted or low >= high:
        return None
    defined = _with_sides(None, node, _defined(node, str(kind.kind), low, high))
    return None if defined is None else _Stated(defined, wanted, (bounds.low.head, bounds.high.head))


def _measurement(lowering: Lowering, scope: ScopeContext, node: tree.Measurement) -> Measurement | None:
    kind = _fact(node, tree.FactKind)
    if kind is None or kind.kind not in KINDS:
        place = kind.kind.span if kind is not None else node.head
        lowering.error(
            "N246",
            f'Of what kind is the measurement "{node.name}"?',
            place,
            f"kind {' or '.join(KINDS)}",
            f'"{kind.kind}"' if kind is not None else "no kind",
            "Add for example: kind girth",
        )
        return None
    low = high = None
    before = len(lowering.diagnostics)
    fact = _fact(node, tree.FactPlausible)
    if fact is not None:
        wanted = ANGLE if kind.kind == "angle" else LENGTH
        low, high = (_constant(lowering, lower_kind(scope, bound, wanted)) for bound in (fact.low, fact.high))
        if len(lowering.diagnostics) > before:
            lowering.skipped_names |= {str(node.name)}
            return None
    if low is None or high is None or low >= high:
        lowering.error(
            "N246",
            f'Between what bounds is "{node.name}" believed?',
            node.head,
            "plausible 40 cm to 160 cm",
            "no bounds" if low is None else "bounds that do not rise",
            "Add a row: plausible ... to ...",
        )
        return None

    return _defined(node, str(kind.kind), low, high)


def _defined(node: tree.Measurement, kind: str, low: float, high: float) -> Measurement:
    taken, standard = _fact(node, tree.FactTaken), _fact(node, tree.FactStandard)
    return Measurement(str(node.name), str(node.title)[1:-1], kind, _text(taken), _text(standard), low, high, node.head, node.name.span)


def _with_sides(lowering: Lowering | None, node: tree.Measurement, defined: Measurement) -> Measurement | None:
    """The measurement with what is said of its sides, and of how steady it is.  N246, or None where nothing can be told of it."""
    sides, steady = _fact(node, tree.FactSides), _fact(node, tree.FactSteady)
    if sides is not None and sides.how not in SIDES:
        _not_so(lowering, f'What is the side of "{node.name}"?', sides.how.span, " or ".join(f"sides {how}" for how in SIDES))
        return None
    bounds = []
    for within in (sides.within if sides is not None else None, steady.within if steady is not None else None):
        bound = None if within is None else _written(within.tolerance, ANGLE if defined.kind == "angle" else LENGTH)
        if within is not None and not (bound is not None and bound > 0.0):
            sort = "an angle" if defined.kind == "angle" else "a length"
            _not_so(lowering, f'How far may "{node.name}" go?', within.tolerance.head, f"{sort} that is written outright")
            return None
        bounds.append(math.inf if bound is None else bound)
    monthly = steady is not None and steady.a_month is not None
    return replace(defined, sides=str(sides.how) if sides is not None else "", unlike=bounds[0], steady=bounds[1], monthly=monthly)


def _not_so(lowering: Lowering | None, title: str, place: Span, expected: str) -> None:
    if lowering is not None:
        lowering.error("N246", title, place, expected, f'"{place.text}"', "")


def _written(node: tree.Expression, wanted: Kind) -> float | None:
    """The figure of a quantity that is written outright, of the kind that is wanted."""
    value, kind = figure(str(node.word)) if isinstance(node, tree.Quantity) else (0.0, None)
    return value if kind == wanted else None


def _fact(node: tree.Measurement, form: type[_F]) -> _F | None:
    return next((fact for fact in reversed(node.facts) if isinstance(fact, form)), None)


def _text(fact: tree.FactTaken | tree.FactStandard | None) -> str:
    return str(fact.text)[1:-1] if fact is not None else ""


def _constant(lowering: Lowering, value: Value) -> float | None:
    """The number of a constant just lowered; None for anything else."""
    for (number, _), known in lowering.constants.items():
        if known.slot == value.slot:
            return number
    return None


def doubt(program: ProgramContext, node: tree.Doubt) -> Doubt | None:
    for name in (node.name, node.other):
        if name not in program.measurements:
            program.lowering.unknown_name("measurement", name, name.span, program.measurements)
            return None
        known = program.measurements[name]
        if known.span is not None:
            program.lowering.use(Entity(name, "measurement", known.span, None), name.span)
    if node.relation not in ("less than", "more than"):
        program.lowering.error(
            "N242", "A doubt compares by less than or more than", node.relation.span, "less than or more than", f'"{node.relation}"', ""
        )
        return None
    return Doubt(
        str(node.name),
        str(node.relation),
        str(node.other),
        str(node.message.text)[1:-1] if node.message.text is not None else "",
        node.head,
        node.occurs is not None,
    )
