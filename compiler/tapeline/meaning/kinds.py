"""Kinds of values, and the functions of the language with the kinds they take and give.

Numbers carry a power of length: a plain number has power 0, a length 1, an area 2.  Sums need equal powers, products
add them, so that `2 cm + 3` is found before anything is drafted.  Angles and conditions stand apart.  `UNKNOWN` is
the kind of what has already been complained about; it silences follow-up errors.
"""

from __future__ import annotations

from typing import NamedTuple


class Kind(NamedTuple):
    word: str
    power: int = 0

    def __str__(self) -> str:
        return self.word

    def __reduce__(self):
        return _the_one, tuple(self)  # kinds are told apart by `is`, also in a plan that was kept


def _the_one(word: str, power: int) -> Kind:
    return _KNOWN.get((word, power)) or Kind(word, power)


NUMBER = Kind("number", 0)
LENGTH = Kind("length", 1)
AREA = Kind("area", 2)
ANGLE = Kind("angle")
CONDITION = Kind("condition")
POINT = Kind("point")
DIRECTION = Kind("direction")
PATH = Kind("line")
EDGE = Kind("edge")
SHAPE = Kind("shape")
PAIR = Kind("two parts")
UNKNOWN = Kind("unknown")
_KNOWN = {kind: kind for kind in (NUMBER, LENGTH, AREA, ANGLE, CONDITION, POINT, DIRECTION, PATH, EDGE, SHAPE, PAIR, UNKNOWN)}

BY_WORD = {kind.word: kind for kind in (NUMBER, LENGTH, ANGLE, CONDITION)}


def quantity(power: int) -> Kind:
    """The kind of a quantity of some power of length."""
    return {0: NUMBER, 1: LENGTH, 2: AREA}.get(power) or Kind(f"length to the power {power}", power)


def is_quantity(kind: Kind) -> bool:
    return kind.word in ("number", "length", "area") or kind.word.startswith("length to")


def article(kind: Kind) -> str:
    return ("an " if kind.word[0] in "aeiou" else "a ") + kind.word


class Function(NamedTuple):
    """A function of the language: `takes` is "same" (any number of one kind), or a kind; `gives` a kind or "same"."""

    name: str
    operation: str
    takes: str
    least: int
    most: int | None
    doc: str


FUNCTIONS = {
    function.name: function
    for function in (
        Function("least", "least", "same", 2, None, "the smallest of several"),
        Function("greatest", "greatest", "same", 2, None, "the largest of several"),
        Function("half", "half", "same", 1, 1, "one half of it"),
        Function("third", "third", "same", 1, 1, "one third of it"),
        Function("quarter", "quarter", "same", 1, 1, "one quarter of it"),
        Function("size", "size", "same", 1, 1, "its size without its sign"),
        Function("root", "root", "root", 1, 1, "the square root; of an area a length"),
        Function("sine", "sine", "angle", 1, 1, "the sine of an angle"),
        Function("cosine", "cosine", "angle", 1, 1, "the cosine of an angle"),
        Function("tangent", "tangent", "angle", 1, 1, "the tangent of an angle"),
        Function("whole", "whole", "number", 1, 1, "the next whole number below"),
        Function("count", "count", "number", 1, 1, "the next whole number above: how many are needed"),
    )
}
