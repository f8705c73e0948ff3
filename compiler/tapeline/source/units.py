"""The units of the language, one record each.

Everything that speaks of a unit asks its record: what a figure in it is inside the program, how it may be spelt where it
is only recognised so that the right writing can be told, and how lengths are shown in it.  A unit that has `instead` cannot
be written in a text; who writes it is told the same figure in another unit.  To add a unit, add its record.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple


class Unit(NamedTuple):
    """`per` is exact: millimetres in a unit of length, degrees in one of angle, wholes in one of a plain number."""

    word: str
    of: str  # length, angle or number
    per: Fraction
    definition: str  # what one of it is, as the language reference says it
    names: tuple[str, str]  # one, several
    spellings: tuple[str, ...] = ()  # other ways in which people write it, in lower case
    told_in: str = ""  # length: the unit in which the measures of a body are told to who writes this one
    decimals: int | None = None  # length: of a figure that tells 0.1 mm or finer; none where nothing is shown in this unit
    fractions: bool = False  # whether lengths are shown with fractions, as 7 3/8 in
    instead: str = ""  # the unit to write instead

    def value(self, figure: Fraction) -> float:
        """What a figure in this unit is inside the program: millimetres, radians or a plain number."""
        if self.of == "length":
            return float(figure * self.per)
        if self.of == "angle":
            return math.radians(float(figure * self.per))
        return float(figure) / float(1 / self.per)

    @property
    def ways(self) -> tuple[str, ...]:
        """All ways in which people write it."""
        return (self.word, *self.names, *self.spellings)

    @property
    def mm(self) -> float:
        return float(self.per)

    @property
    def in_inches(self) -> bool:
        """Of a length: whether it belongs to inches rather than to metres."""
        return self.told_in == "in"

    @property
    def fineness(self) -> int:
        """The decimals of a figure that tells 0.1 mm or finer."""
        return self.decimals if self.decimals is not None else UNITS[self.told_in].fineness

    @property
    def shown(self) -> Unit:
        """The unit in which lengths are shown to who writes this one."""
        return self if self.decimals is not None else UNITS[self.told_in]

    def hint(self, figure: Fraction) -> str:
        """How a figure in this unit, or in another spelling of it, is written: `7 3/8 in`."""
        if not self.instead:
            return f"{exactly(figure)} {self.word}"
        replacement = UNITS[self.instead]
        return f"{exactly(figure * self.per / replacement.per, replacement.fractions)} {replacement.word}"


_INCH = Fraction(254, 10)
_LENGTHS = (
    Unit(
        "mm",
        "length",
        Fraction(1),
        "a millimetre",
        ("millimetre", "millimetres"),
        spellings=("mm.", "mms", "millimeter", "millimeters"),
        told_in="cm",
        decimals=1,
    ),
    Unit(
        "cm",
        "length",
        Fraction(10),
        "a centimetre, 10 mm",
        ("centimetre", "centimetres"),
        spellings=("cm.", "cms", "centimeter", "centimeters"),
        told_in="cm",
        decimals=2,
    ),
    Unit(
        "in",
        "length",
        _INCH,
        "an inch, 25.4 mm",
        ("inch", "inches"),
        spellings=("in.", "ins", '"', "''", "\u2032\u2032", "\u201d"),
        told_in="in",
        decimals=3,
        fractions=True,
    ),
    Unit("m", "length", Fraction(1000), "a metre, 1000 mm", ("metre", "metres"), spellings=("m.", "meter", "meters"), told_in="cm"),
    Unit("yd", "length", 36 * _INCH, "a yard, 36 in", ("yard", "yards"), spellings=("yd.", "yds"), told_in="in"),
    Unit("ft", "length", 12 * _INCH, "", ("foot", "feet"), spellings=("ft.", "'", "\u2032", "\u2019"), instead="in"),
)
_OTHERS = (
    Unit("deg", "angle", Fraction(1), "a degree", ("degree", "degrees"), spellings=("deg.", "\u00b0")),
    Unit("%", "number", Fraction(1, 100), "a hundredth", ("percent", "percent"), spellings=("per cent",)),
)
UNITS: dict[str, Unit] = {unit.word: unit for unit in (*_LENGTHS, *_OTHERS)}
WRITTEN = tuple(unit for unit in UNITS.values() if not unit.instead)
LENGTHS: dict[str, Unit] = {unit.word: unit for unit in WRITTEN if unit.of == "length"}
ANGLES: dict[str, Unit] = {unit.word: unit for unit in WRITTEN if unit.of == "angle"}
SHOWN = tuple(unit.word for unit in WRITTEN if unit.decimals is not None)  # in which lengths can be shown
TOLD = tuple(dict.fromkeys(unit.told_in for unit in LENGTHS.values()))  # in which measures of bodies are told
BY_SPELLING: dict[str, Unit] = {way: unit for unit in UNITS.values() for way in unit.ways}

DEGREE = UNITS["deg"]
FOOT = UNITS["ft"]  # the one unit that is written in front of another


def pattern(words: Iterable[str]) -> str:
    """The part of a regular expression that any of these words matches, the longest first."""
    return "|".join(map(re.escape, sorted(words, key=lambda word: (-len(word), word))))


def listed(words: Iterable[str], last: str = "or") -> str:
    """Words in a row: mm, cm or in."""
    *others, end = words
    return f"{', '.join(others)} {last} {end}" if others else end


def exactly(figure: Fraction, fractions: bool = True) -> str:
    """A number as it is written in a text: `12`, `7 3/8`, or `18.5` where no fraction is wanted or none is small."""
    whole, rest = divmod(abs(figure), 1)
    sign = "-" if figure < 0 else ""
    if not rest:
        return f"{sign}{whole}"
    if fractions and rest.denominator in (2, 3, 4, 8, 16, 32, 64):
        return f"{sign}{whole} {rest}" if whole else f"{sign}{rest}"
    return f"{float(figure):.6f}".rstrip("0").rstrip(".")
