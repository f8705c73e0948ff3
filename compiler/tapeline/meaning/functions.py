"""The functions of the language, one record each: `NAME of a`, `NAME of (a, b)`.

A record says what a function takes and gives, which operation works it out, and what the language reference says of it; the
checks of kinds, the messages and the reference's table come from there.  To add a function, add its record and its row in the
reference, and an operation where none does the work.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from .kinds import ANGLE, LENGTH, NUMBER, Kind, is_quantity, quantity


class Taken(NamedTuple):
    """The kinds that a function takes."""

    words: str
    fits: Callable[[Kind], bool]
    way_out: str = ""  # for who gives another


class Function(NamedTuple):
    """`least` to `most` values (None: any number), all of one kind where they are `alike`."""

    name: str
    operation: str
    takes: Taken
    gives: Callable[[Kind], Kind]  # from the kind of the first value
    doc: str  # what it gives
    least: int = 1
    most: int | None = 1
    alike: bool = True

    @property
    def form(self) -> str:
        """How it is written: `least of (a, b, ...)`."""
        values = ", ".join("abcdef"[: self.least]) + (", ..." if self.most is None else "")
        return f"{self.name} of {values if self.most == 1 else f'({values})'}"

    @property
    def many(self) -> str:
        """How many values it takes."""
        number = f"{self.least}" if self.most == self.least else f"{self.least} or more"
        return f"{number} value{'' if self.most == 1 else 's'}"

    def counts(self, values: Sequence[object]) -> bool:
        return self.least <= len(values) and (self.most is None or len(values) <= self.most)


def _same(kind: Kind) -> Kind:
    return kind


def _plain(kind: Kind) -> Kind:
    return NUMBER


def _rooted(kind: Kind) -> Kind:
    return quantity(kind.power // 2)


_ANY = Taken("a number or a length", lambda kind: is_quantity(kind) or kind is ANGLE)
_ANGLE = Taken("an angle", lambda kind: kind is ANGLE, "Write degrees: 14 deg.")
_NUMBER = Taken("a plain number", lambda kind: kind is NUMBER)
_LENGTH = Taken("a length", lambda kind: kind is LENGTH)
_SQUARED = Taken(
    "a number or an area",
    lambda kind: is_quantity(kind) and kind.power % 2 == 0,
    "Multiply two lengths first: root of (a * a + b * b).",
)

FUNCTIONS = {
    function.name: function
    for function in (
        Function("least", "least", _ANY, _same, "the smallest of two or more of one kind", 2, None),
        Function("greatest", "greatest", _ANY, _same, "the largest of two or more of one kind", 2, None),
        Function("half", "half", _ANY, _same, "one half of it"),
        Function("third", "third", _ANY, _same, "one third of it"),
        Function("quarter", "quarter", _ANY, _same, "one quarter of it"),
        Function("absolute_value", "absolute_value", _ANY, _same, "the absolute value: it without its sign"),
        Function("root", "root", _SQUARED, _rooted, "the square root of a number; of an area, a length"),
        Function(
            "hypotenuse",
            "hypotenuse",
            _LENGTH,
            _same,
            "the long side of a right-angled triangle, from the lengths of the other two",
            2,
            2,
        ),
        Function("sine", "sine", _ANGLE, _plain, "the sine of an angle, a number"),
        Function("cosine", "cosine", _ANGLE, _plain, "the cosine of an angle, a number"),
        Function("tangent", "tangent", _ANGLE, _plain, "the tangent of an angle, a number"),
        Function("rounded_down", "rounded_down", _NUMBER, _same, "to round down: the next whole number below a plain number"),
        Function(
            "rounded_up", "rounded_up", _NUMBER, _same, "to round up: the next whole number above a plain number, how many are needed"
        ),
    )
}
