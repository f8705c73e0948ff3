"""One body of a style drafted again and again, as its measures and choices change.

    again = Again(style, unit)
    drafted = again.draft({"waist": 700.0, "hip": 940.0}, {"hem_drop": 20.0})     # mm, radians, 1 and 0
    drafted = again.draft({"waist": 703.0, "hip": 940.0}, {"hem_drop": 20.0})     # only what rests on the waist is drafted again

Each draft is the one that `run.draft` would give of this body alone, whatever was drafted before: its pattern, its ledgers and its
failures, bit for bit.  Of each course that a body took, what its steps gave the last time is kept.  A step is carried out again where
one of its inputs, or a condition that guards it, is another now; where it then gives the same figures, what rests on it is kept.
A step that failed is carried out again as soon as any measure or choice behind it is another, since what it says may tell of them.

What is kept of one draft is never changed by the next, so that both can be held.  A body whose sides differ, and any body of a
style with something for one side, is drafted afresh.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from ..geometry.arrays import Floats
from ..meaning.plan import Plan, Step
from ..meaning.style import Style
from .courses import Draft, courses, hold_against, judged, start
from .failures import Failure
from .run import draft
from .steps import Run
from .uneven import SidesOfBody, is_one_sided

GIVEN = ("measure", "choose")  # what is taken from the body, or from who drafts
COURSES = 6  # of so many, those that were drafted last are kept
ONE = np.arange(1)


@dataclass(slots=True, eq=False)
class _Course:
    """What a plan gave for the body the last time: values by their slots, and of the steps that failed what they said."""

    plan: Plan
    rests_on: dict[int, int]  # slot -> the measures and choices behind it, a bit for each
    filled: dict[int, Any] = field(default_factory=dict)
    failures: dict[int, list[Failure]] = field(default_factory=dict)


class Again:
    """Drafts of one body after another: `unit` is the one in which lengths are told."""

    def __init__(self, style: Style, unit: str = "cm"):
        self.style, self.unit = style, unit
        self._courses: dict[int, _Course] = {}  # by the identity of their plans, which they hold

    def draft(self, measures: Mapping[str, float], choices: Mapping[str, float], sides: SidesOfBody | None = None) -> Draft:
        """The draft (of one body, whose place is 0) with all measures that the style needs, and any of its choices; what is not given
        takes its default.  `sides` has the measures whose two sides differ.  ValueError where a measure is lacking."""
        lacking = [name for name in self.style.needed if name not in measures]
        if lacking:
            raise ValueError(f"the style needs {', '.join(lacking)} as well")
        needed = {name: np.array([float(measures[name])]) for name in self.style.needed}
        chosen = {name: np.array([float(value)]) for name, value in choices.items()}
        if any(name in needed for name in sides or {}):
            return draft(self.style, needed, chosen, self.unit, 1, [sides or {}])[0]
        ((outcomes, _),) = courses(self.style, ONE, needed, chosen, self.unit)
        plan, diagnostics = self.style.course(outcomes)
        if is_one_sided(plan):
            return draft(self.style, needed, chosen, self.unit, 1)[0]
        run = start(plan, ONE, needed, chosen, self.unit)
        hold_against(run, diagnostics if outcomes else ())
        _carried_out(run, self._course(plan))
        return judged(run, ONE)

    def _course(self, plan: Plan) -> _Course:
        kept = self._courses.pop(id(plan), None) or _Course(plan, _grounds(plan))
        self._courses[id(plan)] = kept  # the last one
        if len(self._courses) > COURSES:
            del self._courses[next(iter(self._courses))]
        return kept


def _grounds(plan: Plan) -> dict[int, int]:
    rests_on: dict[int, int] = {}
    for number, step in enumerate(plan.steps):
        own = 1 << number if step.operation in GIVEN else 0
        for slot in (*step.inputs, *(condition for condition, _ in step.guards)):
            own |= rests_on.get(slot, 0)
        rests_on[step.out] = own
    return rests_on


def _carried_out(run: Run, kept: _Course) -> None:
    """Carry out the steps of the plan that do not give what they gave, and keep what they give."""
    other: set[int] = set()  # slots of which something else has come
    moved = 0  # the measures and choices that are other ones
    failures: dict[int, list[Failure]] = {}
    for number, step in enumerate(run.plan.steps):
        slot = step.out
        before = kept.failures.get(slot)
        if not _is_again(step, kept, other) and not (before and kept.rests_on[slot] & moved):
            run.filled[slot] = kept.filled[slot]
            if before:
                failures[slot] = before
                run.failures += _own(before)
            continue
        said = len(run.failures)
        run.carry_out((step,))
        now = run.failures[said:]
        if now:
            failures[slot] = _own(now)
        if now or before or not _same(kept.filled.get(slot), run.filled[slot]):
            other.add(slot)
            if step.operation in GIVEN:
                moved |= 1 << number
        else:
            run.filled[slot] = kept.filled[slot]
    kept.filled, kept.failures = run.filled, failures


def _is_again(step: Step, kept: _Course, other: set[int]) -> bool:
    """Whether a step must be carried out again."""
    return (
        step.out not in kept.filled
        or step.operation in GIVEN
        or not other.isdisjoint(step.inputs)
        or any(condition in other for condition, _ in step.guards)
    )


def _same(one: Any, other: Any) -> bool:
    """Whether two values are the same figures, bit for bit; of what is drawn that is not asked."""
    if not isinstance(one, np.ndarray) or not isinstance(other, np.ndarray):
        return False
    a: Floats = one
    return a.shape == other.shape and a.dtype == other.dtype and a.tobytes() == other.tobytes()


def _own(failures: list[Failure]) -> list[Failure]:
    """Failures with masks of their own: a draft takes bodies out of them."""
    return [replace(failure, bodies=failure.bodies.copy()) for failure in failures]
