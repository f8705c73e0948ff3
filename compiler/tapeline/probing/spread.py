"""What may differ from body to body in a style, and bodies spread evenly over its declared ranges.

A `Variable` is a measure, within the bounds between which it is believed, or a choice within its range.  A table of
bodies is an array (N, V), one column a variable, in millimetres, radians and plain numbers.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from ..bodies.measurement import Doubt
from ..drafting.operations import OPERATIONS
from ..drafting.steps import Run
from ..geometry.arrays import Floats, Mask
from ..meaning.plan import Plan, Step, needed_steps
from ..meaning.style import Style
from ..source.quantity import show_figure

BY_BODY = ("measure", "choose", "solve", "find")  # a range that rests on one of these differs from body to body


class Variable(NamedTuple):
    name: str
    word: str  # length, angle, number, count (whole), or condition (yes or no)
    low: float
    high: float
    usual: float  # the default of a choice; of a measure, the middle of its bounds
    choice: bool

    @property
    def whole(self) -> bool:
        return self.word in ("count", "condition")

    def show(self, value: float, unit: str) -> str:
        return show_figure(value, "number" if self.word == "count" else self.word, unit)


def variables_of(style: Style, settings: Mapping[str, float], unit: str = "cm") -> list[Variable]:
    """The measures of every course of the style, and the choices that are not set and have a range of figures.

    A choice whose range or default rests on the body is left at its default.  `unit` tells which default of a choice counts.
    """
    variables: dict[str, Variable] = {}
    for plan in style.plans():
        for name in plan.measures:
            measurement = style.measurements[name]
            variables[name] = Variable(
                name,
                "angle" if measurement.kind == "angle" else "length",
                measurement.low,
                measurement.high,
                (measurement.low + measurement.high) / 2,
                False,
            )
    for plan in style.plans():
        for step in plan.steps:
            if step.operation == "choose" and step.options["name"] not in {*variables, *settings}:
                variable = _choice(plan, step, unit)
                if variable is not None:
                    variables[variable.name] = variable
    return list(variables.values())


def _choice(plan: Plan, step: Step, unit: str) -> Variable | None:
    cone = needed_steps(plan.steps, step.inputs)
    if any(before.operation in BY_BODY or before.operation not in OPERATIONS for before in cone):
        return None
    run = Run(plan, 1, {}, {}, unit)
    run.quiet = True
    run.carry_out([*cone, step])
    usual, *bounds = (float(run.filled[slot][0]) for slot in (step.out, *step.placed[1:]))
    choice = plan.choices[step.options["name"]]
    if choice.kind.word == "condition":
        return Variable(choice.name, "condition", 0.0, 1.0, usual, True)
    if not bounds:
        return None
    counted = {fork.slot for fork in plan.forks if fork.kind == "count"} | {closure.number for closure in plan.buttons}
    if choice.slot in counted:
        return Variable(choice.name, "count", math.ceil(bounds[0]), math.floor(bounds[1]), usual, True)
    low, high = bounds
    return Variable(choice.name, choice.kind.word, low, high, usual, True)


def spread(variables: list[Variable], count: int, doubts: Iterable[Doubt] = (), most_tries: int = 16) -> tuple[Floats, int]:
    """(bodies (N, V), how many were left out as not believable): `count` bodies, or fewer where few can be believed."""
    tables: list[Floats] = []
    left_out, first = 0, 1
    for _ in range(most_tries):
        table = _scaled(even(first, count, len(variables)), variables)
        good = believed(table, variables, doubts)
        room = count - sum(len(bodies) for bodies in tables)
        last = np.flatnonzero(good)[:room]
        used = int(last[-1]) + 1 if len(last) == room else count
        left_out += int((~good[:used]).sum())
        tables.append(table[last])
        first += count
        if len(last) == room:
            break
    return np.concatenate(tables), left_out


def even(first: int, count: int, dimensions: int) -> Floats:
    """Points (count, dimensions) of the unit cube, evenly spread: multiples of the roots of primes, less their wholes.

    The sequence is Richtmyer's; its points fill each side of the cube ever more evenly, and no chance is in them.
    """
    steps = np.sqrt(_primes(dimensions)) % 1.0
    points: Floats = (np.arange(first, first + count)[:, None] * steps) % 1.0
    return points


def _primes(count: int) -> Floats:
    primes: list[int] = []
    number = 2
    while len(primes) < count:
        if all(number % prime != 0 for prime in primes):
            primes.append(number)
        number += 1
    return np.array(primes, dtype=float)


def _scaled(points: Floats, variables: list[Variable]) -> Floats:
    low, high = np.array([variable.low for variable in variables]), np.array([variable.high for variable in variables])
    whole = np.array([variable.whole for variable in variables], dtype=bool)
    table: Floats = np.where(whole, low + np.floor(points * (high - low + 1.0)), low + points * (high - low))
    return table


def choices_spread(table: Floats, variables: list[Variable]) -> Floats:
    """The bodies of a table, each with its choices at other places of their ranges."""
    spread_out = _scaled(even(1, len(table), len(variables)), variables)
    return np.where([variable.choice for variable in variables], spread_out, table)


def believed(table: Floats, variables: list[Variable], doubts: Iterable[Doubt]) -> Mask:
    """Mask (N,) of the bodies within the bounds of all variables of whom no two measures are doubted."""
    low, high = np.array([variable.low for variable in variables]), np.array([variable.high for variable in variables])
    slack = 1e-9 * (1.0 + np.abs(high))
    good: Mask = ((table >= low - slack) & (table <= high + slack)).all(axis=1)
    place = {variable.name: index for index, variable in enumerate(variables)}
    for doubt in doubts:
        if doubt.measure in place and doubt.other in place:
            left, right = table[:, place[doubt.measure]], table[:, place[doubt.other]]
            good &= ~(left < right if doubt.relation == "less than" else left > right)
    return good
