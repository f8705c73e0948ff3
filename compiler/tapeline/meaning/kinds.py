"""Kinds of values.

Numbers carry a power of length: a plain number has power 0, a length 1, an area 2.  Sums need equal powers, products
add them, so that `2 cm + 3` is found before anything is drafted.  Angles and conditions stand apart.  `UNKNOWN` is
the kind of what has already been complained about; it silences follow-up errors.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple


class Kind(NamedTuple):
    word: str
    power: int = 0

    def __str__(self) -> str:
        return self.word

    def __reduce__(self) -> tuple[Callable[[str, int], Kind], tuple[str, int]]:
        return _the_one, (self.word, self.power)  # kinds are told apart by `is`, also in a plan that was kept


def _the_one(word: str, power: int) -> Kind:
    kind = Kind(word, power)
    return _KNOWN.get(kind, kind)


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
LEVEL = Kind("level line")
PAIR = Kind("two parts")
UNKNOWN = Kind("unknown")
_KNOWN = {kind: kind for kind in (NUMBER, LENGTH, AREA, ANGLE, CONDITION, POINT, DIRECTION, PATH, EDGE, SHAPE, LEVEL, PAIR, UNKNOWN)}

DRAWN = frozenset(kind.word for kind in (POINT, DIRECTION, PATH, EDGE, SHAPE, LEVEL, PAIR))  # kinds of what rests on geometry by itself
BY_WORD = {kind.word: kind for kind in (NUMBER, LENGTH, ANGLE, CONDITION)}


def quantity(power: int) -> Kind:
    """The kind of a quantity of some power of length."""
    return {0: NUMBER, 1: LENGTH, 2: AREA}.get(power) or Kind(f"length to the power {power}", power)


def is_quantity(kind: Kind) -> bool:
    return kind.word in ("number", "length", "area") or kind.word.startswith("length to")


def article(kind: Kind) -> str:
    return ("an " if kind.word[0] in "aeiou" else "a ") + kind.word
