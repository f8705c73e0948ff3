"""What a probe says of the finds of a style: of which bodies several values fit, and where a value leaps as a measure grows.

Of the bodies that pass, LOOKED of each origin are looked at for further roots.  Leaps are sought along each range: the middle
body is drafted with one measure or choice at PLACES even figures, as far as she can be believed, and where two neighbours lie further apart than others do the
stretch between them is halved HALVINGS times; what is still apart then is a leap.  A leap at which the rules themselves change
is told with the condition that does.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..drafting.roots import finds_for
from ..drafting.run import draft
from ..geometry.arrays import Floats, Mask
from ..meaning.plan import Plan
from ..source.diagnostics import Diagnostic
from ..source.quantity import show_figure
from ..source.text import Span
from .spread import Variable, believed
from .trial import Trial

LOOKED = 48
PLACES = 33
HALVINGS = 16
UNEVEN = 4.0  # times as far apart as neighbours mostly are: then it is looked at more nearly
LEAST = {"length": 0.1, "angle": 1e-3, "number": 1e-3}  # mm, radians, 1: the least that counts as a leap


class Leap(NamedTuple):
    """A find goes from one value to another where a measure or choice passes a figure, and which condition changes there."""

    name: str
    span: Span
    kind: str
    variable: Variable
    at: float
    before: float
    after: float
    condition: str

    def words(self, unit: str) -> str:
        before, after = (show_figure(value, self.kind, unit) for value in (self.before, self.after))
        why = f', where the condition "{self.condition}" changes' if self.condition else ""
        return (
            f'"{self.name}" leaps from {before} to {after} where {self.variable.name} passes {self.variable.show(self.at, unit)}{why}'
        )


class Several(NamedTuple):
    """A find of which several values fit some of the bodies looked at, and what is said of the first of these."""

    bodies: int
    looked: int
    first: Diagnostic


@dataclass(slots=True, eq=False)
class FoundDoubts:
    several: list[Several]
    leaps: list[Leap]


def doubts_of_finds(trial: Trial, passing: Sequence[Floats], middle: Floats) -> FoundDoubts:
    """`passing` are the bodies (N, V) of each origin that pass, `middle` (V,) one that does."""
    if not any(step.operation == "solve" for plan in trial.style.plans() for step in plan.steps):
        return FoundDoubts([], [])
    return FoundDoubts(_several(trial, passing), list(_leaps(trial, middle)))


def _several(trial: Trial, passing: Sequence[Floats]) -> list[Several]:
    looked: dict[Span, int] = {}
    first: dict[Span, Diagnostic] = {}
    bodies: dict[Span, int] = {}
    for table in passing:
        table = table[:: max(1, -(-len(table) // LOOKED))]
        share = trial.share(table, finished=False)
        for _, drafted, finds in finds_for(trial.style, share.measures, share.choices, share.unit, share.bodies):
            for find in finds:
                looked[find.span] = looked.get(find.span, 0) + int((~drafted.failed).sum())
                bodies[find.span] = bodies.get(find.span, 0) + int(find.several.sum())
                for place in np.flatnonzero(find.several)[:1].tolist():
                    first.setdefault(find.span, find.diagnostic(place, trial.unit))
    return [Several(bodies[span], looked[span], diagnostic) for span, diagnostic in first.items()]


class _Row(NamedTuple):
    """One find over bodies in a row: its values, and the plan that each body took."""

    values: Floats
    plans: list[Plan | None]


def _along(trial: Trial, table: Floats) -> dict[tuple[str, Span, str], _Row]:
    lines: dict[tuple[str, Span, str], _Row] = {}
    share = trial.share(table, finished=False)
    for drafted in draft(trial.style, share.measures, share.choices, share.unit, share.bodies):
        plan = drafted.plan
        for step in plan.steps:
            if step.operation != "solve":
                continue
            key = step.options["name"], step.span, step.options["kinds"][0]
            line = lines.setdefault(key, _Row(np.full(len(table), np.nan), [None] * len(table)))
            line.values[drafted.index] = np.where(drafted.failed, np.nan, drafted.run.filled[step.out])
            for body in drafted.index.tolist():
                line.plans[body] = plan
    return lines


def _leaps(trial: Trial, middle: Floats) -> Iterator[Leap]:
    columns = [k for k, variable in enumerate(trial.variables) if not variable.whole and variable.high > variable.low]
    if not columns:
        return
    rows = np.repeat(middle[None], PLACES * len(columns), axis=0)
    for number, k in enumerate(columns):
        rows[number * PLACES : (number + 1) * PLACES, k] = np.linspace(trial.variables[k].low, trial.variables[k].high, PLACES)
    suspects = []
    doubtful = ~believed(rows, trial.variables, trial.doubts)
    for key, line in _along(trial, rows).items():
        line.values[doubtful] = np.nan
        for number, k in enumerate(columns):
            place = slice(number * PLACES, (number + 1) * PLACES)
            suspects += [(key, k, *pair) for pair in _far_apart(rows[place, k], line.values[place], LEAST.get(key[2], 1e-3))]
    if not suspects:
        return
    low, high = (np.array([suspect[end] for suspect in suspects]) for end in (2, 3))
    before, after = (_found(trial, middle, suspects, figures) for figures in (low, high))
    for _ in range(HALVINGS):
        half = (low + high) / 2.0
        value = _found(trial, middle, suspects, half)
        nearer: Mask = np.abs(value[0] - before[0]) <= np.abs(value[0] - after[0])  # not where it cannot be drafted
        low, high = np.where(nearer, half, low), np.where(nearer, high, half)
        before, after = _chosen(nearer, value, before), _chosen(~nearer, value, after)
    for number, ((name, span, kind), k, *_) in enumerate(suspects):
        one, other = float(before[0][number]), float(after[0][number])
        if abs(other - one) > LEAST.get(kind, 1e-3):
            condition = _differing(before[1][number], after[1][number])
            yield Leap(name, span, kind, trial.variables[k], float(high[number]), one, other, condition)


_Key = tuple[str, Span, str]
_Suspect = tuple[_Key, int, float, float]
_Values = tuple[Floats, list[Plan | None]]


def _far_apart(figures: Floats, values: Floats, least: float) -> Iterator[tuple[float, float]]:
    apart = np.abs(np.diff(values))
    known = apart[np.isfinite(apart)]
    if len(known):
        for place in np.flatnonzero(apart > UNEVEN * np.median(known) + least).tolist():
            yield float(figures[place]), float(figures[place + 1])


def _found(trial: Trial, middle: Floats, suspects: Sequence[_Suspect], figures: Floats) -> _Values:
    """What each suspected find comes to for the middle body with one figure of its own."""
    table = np.repeat(middle[None], len(suspects), axis=0)
    for number, (_, k, *_) in enumerate(suspects):
        table[number, k] = figures[number]
    lines = _along(trial, table)
    values = [lines[key].values[number] if key in lines else np.nan for number, (key, *_) in enumerate(suspects)]
    plans = [lines[key].plans[number] if key in lines else None for number, (key, *_) in enumerate(suspects)]
    return np.array(values), plans


def _chosen(here: Mask, new: _Values, old: _Values) -> _Values:
    return np.where(here, new[0], old[0]), [new[1][number] if take else old[1][number] for number, take in enumerate(here.tolist())]


def _differing(one: Plan | None, other: Plan | None) -> str:
    """The condition that two courses answer differently; nothing where they are one."""
    if one is None or other is None:
        return ""
    answers = {fork.key: fork.outcome for fork in one.forks}
    changed = next((fork for fork in other.forks if fork.key in answers and answers[fork.key] != fork.outcome), None)
    return "" if changed is None else " ".join(changed.span.text.split())
