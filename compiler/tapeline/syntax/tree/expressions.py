"""Expressions."""

from __future__ import annotations

from ...source.quantity import parted
from ...source.units import Unit
from ..forms import Node, Word, form, group
from .words import Expression, Ref, Stretch, Within


@form
class Choice(Expression):
    value: Expression
    condition: Expression
    otherwise: Expression


@form
class Either(Expression):
    left: Expression
    right: Expression


@form
class Both(Expression):
    left: Expression
    right: Expression


@form
class Negated(Expression):
    value: Expression


@form
class Comparison(Expression):
    left: Expression
    relation: Word
    right: Expression
    within: Within | None


@form
class Binary(Expression):
    left: Expression
    sign: Word
    right: Expression


@form
class Negative(Expression):
    value: Expression


@form
class Number(Expression):
    word: Word


@form
class Quantity(Expression):
    word: Word


@form
class Truth(Expression):
    word: Word


@form
class Name(Expression):
    word: Word


@form
class Member(Expression):
    owner: Word
    word: Word


@form
class Bracketed(Expression):
    value: Expression


@form
class Call(Expression):
    name: Word
    values: CallValues


@group
class CallValues(Node):
    pass


@form
class Values(CallValues):
    values: tuple[Expression, ...]


@form
class OneName(CallValues):
    word: Word


@form
class OneQuantity(CallValues):
    word: Word


@form
class LengthOf(Expression):
    ref: Ref
    stretch: Stretch | None


@form
class ClosedLengthOf(Expression):
    ref: Ref
    stretch: Stretch | None


@form
class Distance(Expression):
    start: Ref
    end: Ref


@form
class AcrossFrom(Expression):
    start: Ref
    end: Ref


@form
class DownFrom(Expression):
    start: Ref
    end: Ref


@form
class AngleAt(Expression):
    corner: Ref
    start: Ref
    end: Ref


@form
class CornerOf(Expression):
    one: Ref
    other: Ref


@form
class GirthAt(Expression):
    level: Word


@form
class WidthAt(Expression):
    ref: Ref
    level: Word


@form
class AreaOf(Expression):
    piece: Word


@form
class IntakeOf(Expression):
    ref: Ref


@form
class AskedIntakeOf(Expression):
    ref: Ref


def lengths_written(node: Node) -> set[Unit]:
    """The units of the lengths that are written within."""
    units = {parted(inner.word)[1] for inner in node.walk() if isinstance(inner, (Quantity, OneQuantity))}
    return {unit for unit in units if unit.of == "length"}
