"""Expressions to steps, with their kinds checked.

`lower(scope, node)` finds the lowering for a node by its form: a `LengthOf` is lowered by `length_of`.  A
scope offers quantities by name, and points, edges and levels for measured geometry (see `scopes.py`).  Each
expression inside another is counted, and takes two calls of Python: those whose depth is past the limit are refused.
"""

from __future__ import annotations

from functools import lru_cache

from ..source.quantity import parted, read_number
from ..syntax import tree
from .contexts import ScopeContext
from .dispatch import Dispatch
from .functions import FUNCTIONS
from .kinds import (
    ANGLE,
    AREA,
    BY_WORD,
    CONDITION,
    LENGTH,
    NUMBER,
    UNKNOWN,
    Kind,
    article,
    is_quantity,
    quantity,
)
from .lowering import POISON, Lowering, unit_for
from .names import MOST_LEVELS
from .plan import Value

_LOWER = Dispatch()
_MEASURED = frozenset[type[tree.Node]](
    {
        tree.LengthOf,
        tree.ClosedLengthOf,
        tree.Distance,
        tree.AcrossFrom,
        tree.DownFrom,
        tree.AngleAt,
        tree.CornerOf,
        tree.GirthAt,
        tree.WidthAt,
        tree.AreaOf,
        tree.IntakeOf,
        tree.AskedIntakeOf,
    }
)


def lower(scope: ScopeContext, node: tree.Node) -> Value:
    while isinstance(node, tree.Bracketed):
        node = node.value
    lowering, form = scope.lowering, type(node)
    demands = lowering.demands
    if demands.depth >= MOST_LEVELS:
        demands.refuse(node.head)
        return POISON
    demands.depth += 1
    value: Value
    try:  # the forms are not called through `_LOWER` itself: rules lie deep within rules
        if form in _MEASURED:  # what is drawn is there whether this branch of a choice is taken or not
            with lowering.guarded(None, True):
                value = _LOWER.functions[form](scope, node)
        else:
            value = _LOWER.functions[form](scope, node)
    finally:
        demands.depth -= 1
    return value


def lower_length(scope: ScopeContext, node: tree.Node) -> Value:
    """A length, or an error that shows what was found."""
    value = lower(scope, node)
    return value if value.kind in (LENGTH, UNKNOWN) else scope.lowering.wrong_kind(value, "a length", node.head)


def lower_kind(scope: ScopeContext, node: tree.Node, kind: Kind) -> Value:
    return _held(scope, lower(scope, node), node, kind)


def _held(scope: ScopeContext, value: Value, node: tree.Node, kind: Kind) -> Value:
    """The value, or an error where it is not of this kind."""
    return value if value.kind in (kind, UNKNOWN) else scope.lowering.wrong_kind(value, article(kind), node.head)


def lower_length_or_fraction(scope: ScopeContext, node: tree.Node) -> Value:
    value = lower(scope, node)
    if value.kind in (LENGTH, NUMBER, UNKNOWN):
        return value
    return scope.lowering.wrong_kind(value, "a length, or a fraction such as 1/3", node.head)


# ------------------------------------------------------------ what is written outright


@_LOWER.of(tree.Number)
def number(scope: ScopeContext, node: tree.Number) -> Value:
    if node.word.count(".") > 1:
        return scope.lowering.error(
            "K303", "This is not a number", node.head, "a number such as 1.5 or 7 3/8", f"{node.word}", "Write one decimal point."
        )
    return scope.lowering.constant(float(read_number(node.word)), NUMBER, node.head)


@_LOWER.of(tree.Quantity)
def written(scope: ScopeContext, node: tree.Quantity) -> Value:
    return scope.lowering.constant(*figure(str(node.word)), node.head)


@lru_cache(maxsize=1024)
def figure(word: str) -> tuple[float, Kind]:
    """A quantity as it is written: what it is inside the program, and its kind."""
    number, unit = parted(word)
    return unit.value(read_number(number)), BY_WORD[unit.of]


@_LOWER.of(tree.Truth)
def truth(scope: ScopeContext, node: tree.Truth) -> Value:
    return scope.lowering.constant(1.0 if node.word == "yes" else 0.0, CONDITION, node.head)


@_LOWER.of(tree.Name)
def name(scope: ScopeContext, node: tree.Name) -> Value:
    return scope.quantity(node.word, node.head)


@_LOWER.of(tree.Member)
def member(scope: ScopeContext, node: tree.Member) -> Value:
    return scope.member(node)


# ------------------------------------------------------------ arithmetic


@_LOWER.of(tree.Negative)
def negative(scope: ScopeContext, node: tree.Negative) -> Value:
    value = lower(scope, node.value)
    if not (is_quantity(value.kind) or value.kind in (ANGLE, UNKNOWN)):
        return scope.lowering.wrong_kind(value, "a number, length or angle", node.value.span)
    if isinstance(node.value, (tree.Number, tree.Quantity)) and value.kind is not UNKNOWN:
        return scope.lowering.constant(-scope.lowering.samples[value.slot], value.kind, node.head)
    return scope.lowering.emit("negative", value.kind, node.head, value)


@_LOWER.of(tree.Binary)
def binary(scope: ScopeContext, node: tree.Binary) -> Value:
    left, right = lower(scope, node.left), lower(scope, node.right)
    lowering = scope.lowering
    if UNKNOWN in (left.kind, right.kind):
        return POISON
    for value, part in ((left, node.left), (right, node.right)):
        if not is_quantity(value.kind) and value.kind is not ANGLE:
            return lowering.wrong_kind(value, "a number, length or angle", part.span)
    if node.sign in "+-":
        if left.kind != right.kind:
            return _unlike(lowering, node, left, right)
        return lowering.emit("add" if node.sign == "+" else "subtract", left.kind, node.head, left, right)
    return _product(lowering, node, left, right)


def _product(lowering: Lowering, node: tree.Binary, left: Value, right: Value) -> Value:
    operation = "multiply" if node.sign == "*" else "divide"
    if operation == "divide" and not lowering.guards and lowering.read_back.figure(right.slot) == 0.0:
        return lowering.error(
            "N286",
            "A division by zero",
            node.head,
            "a divisor that some body makes other than zero",
            f"{' '.join(node.right.span.text.split())}, which is always zero",
            "Divide by another figure, or say in a when ... otherwise what holds where there is nothing to divide by.",
        )
    if ANGLE in (left.kind, right.kind):
        if left.kind is ANGLE and right.kind == NUMBER:
            return lowering.emit(operation, ANGLE, node.head, left, right)
        if right.kind is ANGLE and left.kind == NUMBER and node.sign == "*":
            return lowering.emit(operation, ANGLE, node.head, left, right)
        if node.sign == "/" and left.kind is ANGLE and right.kind is ANGLE:
            return lowering.emit(operation, NUMBER, node.head, left, right)
        return lowering.error(
            "K302",
            "An angle goes only with plain numbers",
            node.head,
            "an angle times a number",
            f"{article(left.kind)} {node.sign} {article(right.kind)}",
            "Use sine of, cosine of or tangent of the angle.",
        )
    power = left.kind.power + right.kind.power if node.sign == "*" else left.kind.power - right.kind.power
    return lowering.emit(operation, quantity(power), node.head, left, right)


def _unlike(lowering: Lowering, node: tree.Binary, left: Value, right: Value) -> Value:
    verb = "added" if node.sign == "+" else "subtracted"
    unitless = next((part for value, part in ((left, node.left), (right, node.right)) if value.kind == NUMBER), None)
    way_out = "Make both the same kind."
    if unitless is not None and LENGTH in (left.kind, right.kind):
        way_out = unit_for(unitless.span.text)
    return lowering.error(
        "K302",
        f"{article(left.kind).capitalize()} and {article(right.kind)} cannot be {verb}",
        node.head,
        "two lengths, two numbers or two angles",
        f"{article(left.kind)} {node.sign} {article(right.kind)}",
        way_out,
        ((node.left.span, f"this is {article(left.kind)}"), (node.right.span, f"this is {article(right.kind)}")),
    )


@_LOWER.of(tree.Choice)
def choice(scope: ScopeContext, node: tree.Choice) -> Value:
    condition = _held(scope, lower(scope, node.condition), node.condition, CONDITION)
    with scope.lowering.guarded(condition, True):
        value = lower(scope, node.value)
    with scope.lowering.guarded(condition, False):
        otherwise = lower(scope, node.otherwise)
    if value.kind != otherwise.kind and UNKNOWN not in (value.kind, otherwise.kind):
        return scope.lowering.error(
            "K302",
            "Both outcomes must be of one kind",
            node.head,
            article(value.kind),
            f"{article(value.kind)}, otherwise {article(otherwise.kind)}",
            "Give both the same unit.",
        )
    return scope.lowering.emit("either_value", value.kind, node.head, condition, value, otherwise)


# ------------------------------------------------------------ conditions


@_LOWER.of(tree.Comparison)
def comparison(scope: ScopeContext, node: tree.Comparison) -> Value:
    left, right = lower(scope, node.left), lower(scope, node.right)
    lowering = scope.lowering
    if UNKNOWN in (left.kind, right.kind):
        return POISON
    if left.kind != right.kind:
        way_out = "Compare two lengths, two numbers or two angles."
        unitless = next((part for value, part in ((left, node.left), (right, node.right)) if value.kind == NUMBER), None)
        if unitless is not None and LENGTH in (left.kind, right.kind):
            way_out = unit_for(unitless.span.text)
        return lowering.error(
            "K302",
            f"{article(left.kind).capitalize()} cannot be compared with {article(right.kind)}",
            node.head,
            "two of one kind",
            f"{article(left.kind)} {node.relation} {article(right.kind)}",
            way_out,
        )
    if left.kind == CONDITION and relation_of(node) not in ("is", "is not"):
        return lowering.error("K302", "Conditions are only yes or no", node.head, '"is" or "is not"', f'"{node.relation}"', "")
    values = [left, right]
    if node.within is not None:
        within = lower(scope, node.within.tolerance)
        if within.kind is UNKNOWN:
            return POISON
        if within.kind != left.kind:
            return lowering.wrong_kind(within, article(left.kind), node.within.span)
        values.append(within)
    scope.compared(node, left, right)
    return lowering.emit("compare", CONDITION, node.head, *values, relation=relation_of(node))


def relation_of(node: tree.Comparison) -> str:
    """`is at least` says the same as `at least`."""
    relation = str(node.relation)
    return relation if relation in ("is", "is not") else relation.removeprefix("is ")


@_LOWER.of(tree.Either, tree.Both)
def logic(scope: ScopeContext, node: tree.Either | tree.Both) -> Value:
    left = _held(scope, lower(scope, node.left), node.left, CONDITION)
    right = _held(scope, lower(scope, node.right), node.right, CONDITION)
    return scope.lowering.emit("either" if isinstance(node, tree.Either) else "both", CONDITION, node.head, left, right)


@_LOWER.of(tree.Negated)
def negated(scope: ScopeContext, node: tree.Negated) -> Value:
    return scope.lowering.emit("negated", CONDITION, node.head, _held(scope, lower(scope, node.value), node.value, CONDITION))


# ------------------------------------------------------------ functions and rules


@_LOWER.of(tree.Call)
def call(scope: ScopeContext, node: tree.Call) -> Value:
    arguments = _arguments(node.values)
    function = FUNCTIONS.get(node.name)
    if function is None:
        return scope.apply_rule(node, arguments)
    lowering = scope.lowering
    values: list[Value] = []
    for argument in arguments:  # not in a comprehension, which is one more call deep
        values += (lower(scope, argument),)
    if any(value.kind is UNKNOWN for value in values):
        return POISON
    if not function.counts(values):
        return lowering.error(
            "K304",
            f'"{node.name} of" takes {function.many}',
            node.head,
            function.many,
            f"{len(values)}",
            f"{function.form} gives {function.doc}.",
        )
    first = values[0].kind
    for value, argument in zip(values, arguments, strict=True):
        if not function.takes.fits(value.kind):
            return lowering.wrong_kind(value, function.takes.words, argument.span, function.takes.way_out)
        if function.alike and value.kind != first:
            return lowering.error(
                "K302",
                "All values must be of one kind",
                node.head,
                article(first),
                article(value.kind),
                "Give all the same unit.",
                ((argument.span, f"this is {article(value.kind)}"),),
            )
    return lowering.emit(function.operation, function.gives(first), node.head, *values)


def _arguments(values: tree.CallValues) -> tuple[tree.Expression, ...]:
    if isinstance(values, tree.OneName):
        return (tree.Name(values.span, values.word),)
    if isinstance(values, tree.OneQuantity):
        return (tree.Quantity(values.span, values.word),)
    assert isinstance(values, tree.Values)
    return values.values


# ------------------------------------------------------------ measured geometry


@_LOWER.of(tree.LengthOf)
def length_of(scope: ScopeContext, node: tree.LengthOf) -> Value:
    if node.stretch is not None:
        return _stretch_length(scope, node, node.stretch, closed=False)
    return scope.lowering.emit("edge_length", LENGTH, node.head, scope.edge(node.ref))


@_LOWER.of(tree.ClosedLengthOf)
def closed_length_of(scope: ScopeContext, node: tree.ClosedLengthOf) -> Value:
    if node.stretch is not None:
        return _stretch_length(scope, node, node.stretch, closed=True)
    return scope.lowering.emit("edge_closed_length", LENGTH, node.head, scope.edge(node.ref))


def _stretch_length(scope: ScopeContext, node: tree.LengthOf | tree.ClosedLengthOf, stretch: tree.Stretch, closed: bool) -> Value:
    """The length along an edge between two of its points."""
    edge, drawn = scope.edge(node.ref), scope.raw_edge(node.ref)
    ends = [scope.point(ref) for ref in (stretch.start, stretch.end)]
    if drawn is None:
        return POISON
    names = (str(stretch.start), str(stretch.end))
    return scope.lowering.emit(
        "stretch_length", LENGTH, node.head, edge, drawn.guide, *ends, closed=closed, edge=str(node.ref), ends=names
    )


@_LOWER.of(tree.Distance)
def distance(scope: ScopeContext, node: tree.Distance) -> Value:
    return scope.lowering.emit("point_distance", LENGTH, node.head, scope.point(node.start), scope.point(node.end))


@_LOWER.of(tree.AcrossFrom)
def across_from(scope: ScopeContext, node: tree.AcrossFrom) -> Value:
    return scope.lowering.emit("point_across", LENGTH, node.head, scope.point(node.start), scope.point(node.end))


@_LOWER.of(tree.DownFrom)
def down_from(scope: ScopeContext, node: tree.DownFrom) -> Value:
    return scope.lowering.emit("point_down", LENGTH, node.head, scope.point(node.start), scope.point(node.end))


@_LOWER.of(tree.AngleAt)
def angle_at(scope: ScopeContext, node: tree.AngleAt) -> Value:
    points = (scope.point(node.corner), scope.point(node.start), scope.point(node.end))
    return scope.lowering.emit("point_angle", ANGLE, node.head, *points)


@_LOWER.of(tree.CornerOf)
def corner_of(scope: ScopeContext, node: tree.CornerOf) -> Value:
    return scope.corner(node.one, node.other, node.head)


@_LOWER.of(tree.GirthAt)
def girth_at(scope: ScopeContext, node: tree.GirthAt) -> Value:
    return scope.girth(node.level, node.head)


@_LOWER.of(tree.WidthAt)
def width_at(scope: ScopeContext, node: tree.WidthAt) -> Value:
    return scope.width(node.ref, node.level, node.head)


@_LOWER.of(tree.AreaOf)
def area_of(scope: ScopeContext, node: tree.AreaOf) -> Value:
    return scope.lowering.emit("piece_area", AREA, node.head, *scope.outline_of(node.piece, node.head))


@_LOWER.of(tree.IntakeOf)
def intake_of(scope: ScopeContext, node: tree.IntakeOf) -> Value:
    return scope.intake(node.ref)


@_LOWER.of(tree.AskedIntakeOf)
def asked_intake_of(scope: ScopeContext, node: tree.AskedIntakeOf) -> Value:
    return scope.intake(node.ref, asked=True)
