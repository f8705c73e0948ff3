"""One written measure becomes a value, or a diagnostic that says how to write it.

Cards and size tables share this.  A length is a number and its unit, `28 1/2 in`; an angle is `22 deg`.
What is commonly written otherwise (an inch sign, a decimal comma, feet, a printed fraction) is not
read but recognised, so that the way out can be given as the very text to write.  A number without a unit is
never guessed: the units that would make it plausible are only offered.
"""

from __future__ import annotations

import math
import re
import unicodedata
from typing import NamedTuple

from ..source.diagnostics import CAUTION, Diagnostic
from ..source.quantity import parted, read_length, read_number
from ..source.text import Span
from ..source.units import ANGLES, BY_SPELLING, DEGREE, FOOT, LENGTHS, TOLD, UNITS, pattern
from .measurement import Doubt, Measurement

_LONGEST = 40  # characters; no measure needs more, and it bounds the work
_CEILING = {"angle": math.pi / 2}  # what no acceptance reaches beyond
_CEILING_LENGTH = 5000.0
_ANGLE = re.compile(rf"\s*(?P<sign>-)?\s*(?P<number>[\d./ \t]*\d)\s*(?P<unit>{pattern(ANGLES)})?\s*\Z")
_FEET = re.compile(rf"(\d+)\s*(?:{pattern(FOOT.ways)})\s*(?:([\d./ ]*\d)\s*(?:\D*))?\Z")


class Figure(NamedTuple):
    """A value in millimetres, or in radians for an angle, with the unit it was written in."""

    value: float
    unit: str


def units_of(measurement: Measurement) -> tuple[str, ...]:
    """The units in which a measure can be written."""
    return tuple(ANGLES if measurement.kind == "angle" else LENGTHS)


def unit_of(measurement: Measurement, unit: str) -> str:
    """The unit to offer for a measure, where lengths are told in `unit`."""
    return DEGREE.word if measurement.kind == "angle" else unit


def read_value(text: str, measurement: Measurement, span: Span) -> Figure | Diagnostic:
    """A written measure, or what is wrong with it.  B105 no unit, B106 unreadable, B107 zero or less."""
    name = measurement.name
    figure = _read(text, measurement) if len(text) <= _LONGEST else None
    if figure is None:
        return _unreadable(text, measurement, span)
    value, unit = figure
    if value > 0 and not unit:
        return _no_unit(text, measurement, span)
    if value <= 0:
        return Diagnostic(
            "B107",
            f"{name} is not more than zero",
            span,
            expected="a measure greater than zero",
            found=shortened(text),
            suggestion=f"Leave {name} out if it was not taken.",
        )
    return Figure(value, unit)


def check_plausible(text: str, reading: Figure, measurement: Measurement, span: Span, way_to_accept: str) -> Diagnostic | None:
    """B108 where the value is outside the bounds in which the measure is believed."""
    if measurement.plausible(reading.value):
        return None
    show = UNITS[reading.unit].told_in
    bounds = f"{measurement.show(measurement.low, show, 4)} to {measurement.show(measurement.high, show, 4)}"
    guess = _guess(text, reading, measurement)
    if beyond_belief(reading, measurement):
        way_to_accept = "No body has such a measure; it cannot be accepted."
    return Diagnostic(
        "B108",
        f"{measurement.name} is hard to believe",
        span,
        expected=bounds,
        found=shortened(text),
        suggestion=f"{guess} {way_to_accept}".strip(),
    )


def beyond_belief(reading: Figure, measurement: Measurement) -> bool:
    """Whether a value is so large that no acceptance helps."""
    return reading.value > ceiling(measurement)


def ceiling(measurement: Measurement) -> float:
    """The greatest value that can be accepted."""
    return _CEILING.get(measurement.kind, _CEILING_LENGTH)


def doubt_diagnostic(doubt: Doubt, first: tuple[str, Span | None], second: tuple[str, Span | None], way_to_accept: str) -> Diagnostic:
    """B109, a caution: (as written, place) of the two measures of a doubt that holds."""
    return Diagnostic(
        "B109",
        doubt.message,
        first[1],
        found=f"{doubt.measure} {first[0]}, {doubt.other} {second[0]}",
        suggestion=way_to_accept,
        others=((second[1], doubt.other),) if second[1] is not None and second[1] != first[1] else (),
        severity=CAUTION,
    )


def _read(text: str, measurement: Measurement) -> tuple[float, str] | None:
    if measurement.kind == "angle":
        match = _ANGLE.match(text)
        if match is None:
            return None
        try:
            degrees = float(read_number(match["number"]))
        except ValueError:
            return None
        return math.radians(-degrees if match["sign"] else degrees), match["unit"] or ""
    length = read_length(text)
    return None if length is None else (float(length[0]), length[1])


def _no_unit(text: str, measurement: Measurement, span: Span) -> Diagnostic:
    number = text.strip()
    offers = " or ".join(f'"{number} {unit}"' for unit in fitting_units(number, measurement))
    return Diagnostic(
        "B105",
        f"{measurement.name} has no unit",
        span,
        expected="a number and its unit: " + ", ".join(units_of(measurement)),
        found=shortened(text),
        suggestion=f"Write {offers}.",
    )


def fitting_units(number: str, measurement: Measurement) -> list[str]:
    """The units that make a readable number plausible, or the usual one where none does."""
    units = units_of(measurement)
    figures = [(unit, _read(f"{number} {unit}", measurement)) for unit in units]
    fitting = [unit for unit, figure in figures if figure is not None and measurement.plausible(figure[0])]
    return fitting or [TOLD[0] if TOLD[0] in units else units[0]]


def _unreadable(text: str, measurement: Measurement, span: Span) -> Diagnostic:
    if measurement.kind == "angle":
        kind, example, offers = "an angle", '"22 deg"', [mended_angle(text)]
    else:
        kind, example, offers = "a length", '"72.5 cm" or "28 1/2 in"', [mended_length(text)]
        number = _plain(text)
        if not offers[0] and read_length(number) and "-" not in number:
            offers = [f"{number} {unit}" for unit in fitting_units(number, measurement)]
    written = " or ".join(f'"{offer}"' for offer in offers if offer)
    return Diagnostic(
        "B106",
        f"{measurement.name} cannot be read",
        span,
        expected=f"{kind}: a number and its unit, such as {example}",
        found=shortened(text),
        suggestion=f"Write {written}." if written else "",
    )


def _guess(text: str, reading: Figure, measurement: Measurement) -> str:
    """The slip that would explain an implausible value: another unit, or half a girth."""
    if measurement.kind == "angle":
        return ""
    number, written = parted(text)
    guesses = [
        f'Was "{number} {unit.word}" meant?'
        for unit in LENGTHS.values()
        if unit is not written and measurement.plausible(reading.value / written.mm * unit.mm)
    ]
    if measurement.kind == "girth" and measurement.plausible(2 * reading.value):
        doubled = measurement.show(2 * reading.value, reading.unit)
        guesses.append(f'Is it half the girth? Write the whole, "{doubled}".')
    return " ".join(guesses)


def mended_angle(text: str) -> str:
    """The angle as it should have been written, or nothing."""
    match = re.fullmatch(r"(\d{1,3}(?:\.\d{1,6})?)\s*(\D*)", text.strip().replace(",", "."))
    if match is None:
        return ""
    unit = BY_SPELLING.get(match[2].strip().lower() or DEGREE.word)
    return f"{match[1]} {unit.word}" if unit is not None and unit.word in ANGLES else ""


def _plain(text: str) -> str:
    """A written length with printed fractions, decimal comma and hyphened fraction put as read here."""
    if len(text) > _LONGEST:
        return ""
    plain = unicodedata.normalize("NFKC", re.sub(r"([\u00bc-\u00be\u2150-\u215e])", r" \1", text))
    plain = plain.replace("\u2044", "/").lower()
    plain = re.sub(r"(\d)\s*,\s*(\d)", r"\1.\2", plain)
    plain = re.sub(r"(\d)\s*[-+]\s*(\d+/\d)", r"\1 \2", plain)
    return re.sub(r"\s+", " ", plain).strip()


def mended_length(text: str) -> str:
    """The length as it should have been written (`28½"` gives `28 1/2 in`), or nothing."""
    plain = _plain(text)
    try:
        if match := _FEET.match(plain):
            rest = read_number(match[2]) * UNITS["in"].per if match[2] else 0
            return FOOT.hint(int(match[1]) + rest / FOOT.per)
        match = re.match(r"([\d./ ]*\d)\s*(\D*)\Z", plain)
        if match is None:
            return ""
        unit = BY_SPELLING.get(match[2].strip())
        if unit is None or unit.of != "length":
            return ""
        figure = read_number(match[1])
    except ValueError:
        return ""
    return unit.hint(figure) if unit.instead else f"{match[1].strip()} {unit.word}"


def shortened(text: str, most: int = 60) -> str:
    """Text on one line, cut where it is long."""
    line = " ".join(text.split())
    return line if len(line) <= most else line[: most - 3] + "..."
