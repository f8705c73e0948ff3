"""What of a style can be slid for one body: its choices within their ranges, its measures within the bounds in which they are believed.

Values are mm, radians, plain numbers, or 1 and 0.  A range that rests on the body is worked out for her.  A step is what a hand
reckons by: eighths of an inch, half centimetres, whole degrees; finer where the range is short.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

import numpy as np

from ..bodies.card import Card
from ..drafting.steps import Run
from ..geometry.arrays import Floats
from ..making.choices import choices_of, counts_of
from ..meaning.plan import Plan, Step, needed_steps
from ..meaning.style import Style
from ..paper.house.house import House
from ..source.units import UNITS

STEPS = {"in": (25.4 / 8, 25.4 / 16), "cm": (5.0, 1.0), "mm": (5.0, 1.0)}  # mm: usual, and of a short range
SHORT = 20  # a range of fewer usual steps is slid by the finer ones
DEGREE = math.radians(1.0)


class Slider(NamedTuple):
    """One thing that can be slid; `kind` is length, angle, number, count or condition, `words` what it is, `taken` how a measure is taken."""

    name: str
    kind: str
    low: float
    high: float
    value: float
    step: float
    words: str
    taken: str = ""

    def shown(self, value: float, house: House, unit: str) -> str:
        return house.quantity(value, "number" if self.kind == "count" else self.kind, unit)


def measures_of(style: Style, card: Card, unit: str) -> list[Slider]:
    """The measures that the style needs, each from the lowest to the highest that is believed; wider where the card's lies beyond."""
    sliders = []
    for name in style.needed:
        measurement, value = style.measurements[name], card.values[name]
        kind = "angle" if measurement.kind == "angle" else "length"
        high = measurement.high if math.isfinite(measurement.high) else 2.0 * value
        low, high = min(measurement.low, value), max(high, value)
        sliders.append(Slider(name, kind, low, high, value, step_of(kind, low, high, unit), measurement.title, measurement.taken))
    return sliders


def sliders_of_choices(style: Style, card: Card, unit: str, chosen: Mapping[str, float]) -> list[Slider]:
    """The choices that the style offers in any course of its rules, as `chosen` or as the style has them.  A choice without a range is a
    switch, or stands by itself: its range is then its value."""
    counts, known = counts_of(style), choices_of(style)
    measures = {name: np.array([value]) for name, value in card.values.items()}
    values = {name: np.array([value]) for name, value in chosen.items()}
    sliders = {}
    for plan in style.plans():
        for step in plan.steps:
            name = step.options.get("name", "") if step.operation == "choose" else ""
            if not name or name in sliders:
                continue
            kind = "count" if name in counts else known[name].kind.word
            value, low, high = _range(plan, step, measures, values, unit)
            if kind == "condition":
                low, high = 0.0, 1.0
            elif kind == "count":
                low, high = math.ceil(low), math.floor(high)
            if all(map(math.isfinite, (value, low, high))):
                sliders[name] = Slider(name, kind, low, high, value, step_of(kind, low, high, unit), known[name].text)
    return [sliders[name] for name in known if name in sliders]


def _range(
    plan: Plan, step: Step, measures: Mapping[str, Floats], chosen: Mapping[str, Floats], unit: str
) -> tuple[float, float, float]:
    """What a choice is for the body, and its lowest and highest value."""
    run = Run(plan, 1, measures, chosen, unit)
    run.quiet = True
    run.carry_out(needed_steps(plan.steps, [step.out]))
    value, *bounds = (float(run.filled[slot][0]) for slot in (step.out, *step.placed[1:]))
    low, high = bounds or (value, value)
    return value, min(low, value), max(high, value)


def step_of(kind: str, low: float, high: float, unit: str) -> float:
    """By how much a slider moves at least."""
    if kind in ("count", "condition"):
        return 1.0
    if kind == "angle":
        return DEGREE
    if kind == "length":
        usual, fine = STEPS.get(UNITS[unit].told_in, STEPS["cm"])
        return usual if high - low >= SHORT * usual else fine
    decade = 10.0 ** math.floor(math.log10(max(high - low, 1e-6) / 100.0))
    return next(decade * part for part in (1.0, 2.0, 5.0, 10.0) if decade * part >= (high - low) / 100.0 - 1e-12)


def differing(sliders: Iterator[Slider] | list[Slider], values: Mapping[str, float]) -> dict[str, float]:
    """Those of the values that are other than a slider's own, by half a thousandth of its step."""
    own = {slider.name: slider for slider in sliders}
    return {name: value for name, value in values.items() if name in own and abs(value - own[name].value) > own[name].step / 2000.0}
