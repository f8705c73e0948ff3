"""Measurings: what was taken of a body on which day, and what of it holds on another.

A measuring holds figures of measures, each of the whole body, of its left side or of its right side.  Of each measure the later
measuring stands for the earlier, a side for that side alone.  What a side's figure is, is told by the measurement: half of the
measure (`halves`), so that both sides are the whole and each can be reckoned from the other; or the measure of that side
(`each`), where the figure of the whole body stands for a side that was not taken, and the mean of both for the body.  A `Held`
figure has both sides as the measure that a body would have with two such sides, so halves stand doubled.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from ..source.text import Span
from .measurement import HALVES, Measurement

WHOLE, LEFT, RIGHT = "measures", "left", "right"  # the tables of a card
TABLES = (WHOLE, LEFT, RIGHT)
AGREE = 1.0  # mm by which figures that must agree may differ: what inches lose when they are written in centimetres
AGREE_ANGLE = math.radians(0.5)
MONTH = 365.25 / 12  # days
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


class When(NamedTuple):
    """Which measuring is asked for: the latest up to a day, the latest of all, or `exactly` that of a day."""

    day: date | None = None
    exactly: bool = False


LATEST = When()


@dataclass(frozen=True, slots=True)
class Measuring:
    """What was taken on a day, or on none that is known: name -> as written, of the whole body, left and right."""

    day: date | None
    whole: dict[str, str] = field(default_factory=dict)
    left: dict[str, str] = field(default_factory=dict)
    right: dict[str, str] = field(default_factory=dict)

    def table(self, name: str) -> dict[str, str]:
        return self.left if name == LEFT else self.right if name == RIGHT else self.whole


class TakenFigure(NamedTuple):
    """One figure as it was taken: mm, or radians of an angle, of the side that its table is for."""

    value: float
    unit: str
    written: str
    span: Span


class Held(NamedTuple):
    """What holds of a measure: `value` of the body, and of a body with two such sides; equal where they are not told apart."""

    value: float
    left: float
    right: float
    unit: str
    written: str
    span: Span
    day: date | None
    sided: bool = False  # whether the measuring took a side

    @property
    def even(self) -> bool:
        return self.left == self.right


class Disagreement(NamedTuple):
    """Figures of one measure that cannot all be right: `whole` beside what it would be by the sides, from `low` to `high`."""

    low: float
    high: float


class Wanting(NamedTuple):
    """A side alone, where nothing tells of the other."""

    side: str  # that is wanting


def day_in(text: object) -> date | None:
    """The day that a text such as 2026-05-04 is; None where it is none.  TOML's own dates are days already."""
    if isinstance(text, date):
        return date(text.year, text.month, text.day)
    if not isinstance(text, str) or not _DAY.fullmatch(text.strip()):
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        return None


def held(
    measurement: Measurement, taken: Mapping[str, TakenFigure], before: Held | None, day: date | None
) -> Held | Disagreement | Wanting:
    """What holds of a measure after a measuring took it: `taken` has a figure for one table at least."""
    halves = measurement.sides == HALVES
    times = 2.0 if halves else 1.0
    sides = {side: taken[side].value * times for side in (LEFT, RIGHT) if side in taken}
    whole = taken.get(WHOLE)
    told = next(taken[table] for table in (LEFT, RIGHT, WHOLE) if table in taken)
    if not sides:
        return Held(told.value, told.value, told.value, told.unit, told.written, told.span, day)
    for side, other in ((LEFT, RIGHT), (RIGHT, LEFT)):
        if side in sides:
            continue
        if whole is not None:
            sides[side] = 2.0 * whole.value - sides[other] if halves else whole.value
        elif before is not None:
            sides[side] = before.left if side == LEFT else before.right
        else:
            return Wanting(side)
    value = (sides[LEFT] + sides[RIGHT]) / 2.0
    if whole is not None:
        low, high = (value, value) if halves else (min(sides.values()), max(sides.values()))
        agree = AGREE_ANGLE if measurement.kind == "angle" else AGREE
        if min(sides.values()) <= 0.0:
            return Disagreement(max(sides.values()) / times, math.inf)
        if not low - agree <= whole.value <= high + agree:
            return Disagreement(low, high)
    figures = (
        f"{taken[side].written if side in taken else measurement.show(sides[side] / times, told.unit)} {side}" for side in (LEFT, RIGHT)
    )
    return Held(value, sides[LEFT], sides[RIGHT], told.unit, ", ".join(figures), told.span, day, True)


def apart(measurement: Measurement, figure: Held) -> float:
    """By how much the figures of both sides differ, as they are taken."""
    return abs(figure.left - figure.right) / (2.0 if measurement.sides == HALVES else 1.0)


def bound_between(measurement: Measurement, before: Held, after: Held) -> float:
    """How far a measure may move from one measuring to a later one without being doubted."""
    if not measurement.monthly:
        return measurement.steady
    if before.day is None or after.day is None:
        return math.inf
    return measurement.steady * max(1.0, (after.day - before.day).days / MONTH)


def moved(measurement: Measurement, before: Held, after: Held) -> float:
    """How far a measure has moved: halves by their whole, sides of their own by the one that moved further."""
    if measurement.sides == HALVES:
        return abs(after.value - before.value)
    return max(abs(after.left - before.left), abs(after.right - before.right))
