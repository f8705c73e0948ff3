"""Lengths as people write them, and as the program writes them back.

Inside the program a length is a float of millimetres.  Fractions such as `7 3/8 in` are read exactly before they
become a float.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from fractions import Fraction
from itertools import repeat
from typing import NamedTuple, SupportsFloat

from .units import LENGTHS, UNITS, WRITTEN, Unit, pattern

_NUMBER = r"(?:(?P<whole>\d+)[ \t]+)?(?P<num>\d+)/(?P<den>[1-9]\d*)|(?P<dec>\d+(?:\.\d+)?)"
_LENGTH = re.compile(rf"\s*(?P<sign>-)?\s*(?:{_NUMBER})\s*(?P<unit>{pattern(LENGTHS)})?\s*\Z")
_TAIL = re.compile(rf"\s*({pattern(unit.word for unit in WRITTEN)})\s*\Z")


def read_number(text: str) -> Fraction:
    """`7 3/8`, `3/8`, `18.5` or `12` as an exact fraction.  ValueError if it is none of these."""
    match = re.fullmatch(rf"\s*(?:{_NUMBER})\s*", text)
    if match is None:
        raise ValueError(f"not a number: {text!r}")
    return _exact(match)


def _exact(match: re.Match[str]) -> Fraction:
    if match["dec"] is not None:
        return Fraction(match["dec"])
    return Fraction(match["whole"] or 0) + Fraction(int(match["num"]), int(match["den"]))


def read_length(text: str) -> tuple[Fraction, str] | None:
    """(millimetres, unit) of a written length; unit '' if none was written; None if unreadable."""
    match = _LENGTH.match(text)
    if match is None:
        return None
    value = _exact(match) * (-1 if match["sign"] else 1)
    unit = match["unit"] or ""
    return value * LENGTHS[unit].per if unit else value, unit


def parted(text: str) -> tuple[str, Unit]:
    """(the figure, its unit) of a written quantity such as `7 3/8 in`, `14 deg` or `12 %`.  ValueError without a unit."""
    match = _TAIL.search(text)
    if match is None:
        raise ValueError(f"not a quantity: {text!r}")
    return text[: match.start()].strip(), UNITS[match[1]]


def show_number(value: float, decimals: int = 3) -> str:
    """Fixed decimals without trailing zeros, without exponent and without a negative zero."""
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def number(value: SupportsFloat) -> float | None:
    """The one way a figure is written as data: four decimals at most, no negative zero, null where not finite."""
    value = float(value)
    return round(value, 4) + 0.0 if math.isfinite(value) else None


def numbers(values: list[float]) -> list[str]:
    """Many figures as JSON texts, each as `number` has it."""
    texts = list(map(repr, map(round, values, repeat(4))))
    # A list is searched far faster than every text is looked at.
    for odd, written in (("-0.0", "0.0"), ("nan", "null"), ("inf", "null"), ("-inf", "null")):
        if odd in texts:
            texts = [written if text == odd else text for text in texts]
    return texts


def show_length(mm: float, unit: str = "cm", fraction: int = 16) -> str:
    """A length for people: centimetres to 0.1 mm, millimetres to 0.1, or inches to 1/`fraction`.

    A unit in which nothing is shown stands for that in which bodies are told.  A length that lies off the nearest
    fraction by over 0.05 mm carries a leading `~`; one below zero has its sign in that place.
    """
    if mm != mm:
        return "not known"
    shown = UNITS[unit].shown
    if shown.fractions:
        return _in_fractions(mm, shown, fraction)
    return f"{show_number(mm / shown.mm, shown.fineness)} {shown.word}"


_FINER = (16, 32, 64)  # parts of a unit that is shown with fractions, before its decimals
_HAIR = 1e-9  # of a step: a length that lies on it is not passed on to the next


class _Fineness(NamedTuple):
    """One way of showing lengths: in parts of a unit, or in decimals of it; `step` is the millimetres that it rounds to."""

    unit: Unit
    step: float
    parts: int = 0
    decimals: int = 0

    def show(self, mm: float) -> str:
        if self.parts:
            return show_length(mm, self.unit.word, self.parts)
        return f"{show_number(mm / self.unit.mm, self.decimals)} {self.unit.word}"

    def rounded(self, mm: float) -> float:
        return round(mm / self.step) * self.step


def _finenesses(unit: str) -> list[_Fineness]:
    """Ways of showing lengths, each finer than the one before; the first is the usual one."""
    shown = UNITS[unit].shown
    parts = [_Fineness(shown, shown.mm / parts, parts=parts) for parts in _FINER if shown.fractions]
    finest = range(shown.fineness, shown.fineness + 4)
    return parts + [_Fineness(shown, shown.mm / 10**decimals, decimals=decimals) for decimals in finest]


def finely(unit: str, tells: Callable[[Callable[[float], float]], bool]) -> Callable[[float], str]:
    """Shows lengths as people do, but finely enough that what is wrong with them can be seen in the figures.

    `tells` is asked whether it can be, with a function from a length to what it is once it is rounded.
    """
    ways = _finenesses(unit)
    return next((way for way in ways if tells(way.rounded)), ways[-1]).show


def passing(mm: float, limit: float, unit: str = "cm") -> str:
    """A length that passes its limit, finely enough to see that it does."""
    return finely(unit, lambda rounded: rounded(mm) != rounded(limit))(mm)


def at_least(mm: float, unit: str = "cm") -> str:
    """A least length for people: rounded up, so that who takes the figure keeps to it."""
    usual = _finenesses(unit)[0]
    return usual.show(math.ceil(mm / usual.step - _HAIR) * usual.step) if math.isfinite(mm) else show_length(mm, unit)


def at_most(mm: float, unit: str = "cm") -> str:
    """A greatest length for people: rounded down."""
    usual = _finenesses(unit)[0]
    return usual.show(math.floor(mm / usual.step + _HAIR) * usual.step) if math.isfinite(mm) else show_length(mm, unit)


def show_figure(number: float, kind: str, unit: str = "cm") -> str:
    """A value of some kind (length, angle, condition, or a plain number) for people."""
    if kind == "length":
        return show_length(number, unit)
    if kind == "angle":
        return f"{show_number(math.degrees(number), 2)} deg"
    if kind == "condition":
        return "yes" if number > 0.5 else "no"
    return show_number(number)


def show_degrees(radians: float) -> str:
    """An angle for people, as fine as it can be drawn."""
    return f"{show_number(math.degrees(radians), 1)} deg"


def _in_fractions(mm: float, unit: Unit, fraction: int) -> str:
    parts = round(abs(mm) / unit.mm * fraction)
    off = abs(abs(mm) - parts * unit.mm / fraction) > 0.05
    sign = "-" if mm < 0 and parts else ""
    whole, rest = divmod(parts, fraction)
    part = Fraction(rest, fraction)
    if not part:
        text = f"{whole}"
    elif whole:
        text = f"{whole} {part.numerator}/{part.denominator}"
    else:
        text = f"{part.numerator}/{part.denominator}"
    return f"{'~' if off and not sign else ''}{sign}{text} {unit.word}"
