"""Running a plan for N bodies, and drafting a style for a list of bodies.

`draft` is the whole stage: bodies that take the same course at every fork of the style are drafted together, in
chunks that keep memory flat; each chunk gives a `Draft` with its pattern, its ledgers, and the failures of single
bodies.  Nothing here loops over bodies.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ..geometry.arrays import Floats, Indices, Mask
from ..meaning.plan import Plan, Step, needed_steps
from ..meaning.style import Style
from . import arithmetic, darts, guides, inner, joining, measuring, parting, pivoting, places, shapes, spreading  # noqa: F401  (they fill the table of operations)
from .assembly import assemble
from .failures import Failure
from .ledgers import Ledgers, keep_ledgers
from .operations import OPERATIONS
from .pattern import Pattern
from .verdicts import judge

CHUNK = 2048  # bodies drafted at once: more cost memory and save little


class Parted(Exception):
    """The bodies of a run do not share one structure; `groups` are masks (N,) of those that do."""

    def __init__(self, groups: list[np.ndarray]):
        super().__init__("bodies of different structure")
        self.groups = groups


class Run:
    """One plan run for N bodies: `filled[slot]` holds what each step gave."""

    def __init__(self, plan: Plan, n: int, measures: Mapping[str, Floats], choices: Mapping[str, Floats], unit: str = "cm") -> None:
        self.plan, self.n, self.measures, self.choices, self.unit = plan, n, measures, choices, unit
        self.choice_kinds = {name: choice.kind.word for name, choice in plan.choices.items()}
        self.filled: dict[int, Any] = {}  # a value of the kind of its slot
        self.found: dict[int, Floats] = {}  # slot of a find -> what it is known to be, so that it is not sought again
        self.failures: list[Failure] = []
        self.span, self.guards, self.slot = None, (), None
        self.quiet = False
        self.watch: list | None = None  # if asked for: (slot, rule, which way (N,) each body went there)

    def carry_out(self, steps: Iterable[Step]) -> None:
        with np.errstate(all="ignore"):
            for step in steps:
                if step.out in self.filled:
                    continue
                self.span, self.guards, self.slot = step.span, step.guards, step.out
                inputs = [self.filled[slot] for slot in step.inputs]
                self.filled[step.out] = OPERATIONS[step.operation].work(self, *inputs, **step.options)
        self.guards = ()

    def trial(self, filled: Mapping[int, Any]) -> Run:
        """A run of the same bodies that says nothing, for trying values."""
        run = Run(self.plan, self.n, self.measures, self.choices, self.unit)
        run.filled, run.found, run.quiet = dict(filled), self.found, True
        return run

    def turned(self, way: Callable[[], np.ndarray]):
        """A rule takes each body one of several ways (N,), told by a number; between ways a place is out of proportion."""
        if self.watch is not None:
            self.watch.append((self.slot, self.span, way()))

    def alike(self, counts: np.ndarray, known: np.ndarray) -> int:
        """A whole number (N,) on which the structure of what is drawn rests: one for all bodies, else they are parted.

        `known` masks the bodies for which it means anything; the others go with whichever comes first.
        """
        values = counts[known]
        if (values == values[:1]).all():  # as nearly always: numpy's own search loads its masked arrays for it
            return int(values[0] if len(values) else counts[0])
        values = np.unique(values)
        masks = [known & (counts == value) for value in values]
        masks[0] = masks[0] | ~known
        raise Parted(masks)

    def fail(self, bodies, code: str, title, expected="", found="", suggestion="", span=None, others=(), severity="error"):
        """Record that a rule cannot be carried out for some bodies (mask (N,), or True for all)."""
        if self.quiet:
            return
        for condition, outcome in self.guards:
            if condition in self.filled:
                bodies = bodies & ((self.filled[condition] > 0.5) == outcome)
        if not np.any(bodies):
            return
        mask = np.broadcast_to(np.asarray(bodies, dtype=bool), (self.n,)).copy()
        self.failures.append(Failure(code, title, span or self.span, mask, expected, found, suggestion, tuple(others), severity))


@dataclass(slots=True, eq=False)
class Draft:
    """Some bodies of a call, drafted: `index` tells which.  Where `failed` is true a body has no true pattern."""

    index: Indices
    plan: Plan
    pattern: Pattern
    ledgers: Ledgers
    failures: list[Failure]
    run: Run

    @property
    def failed(self) -> Mask:
        """Mask (n,) of bodies with an error."""
        mask = np.zeros(len(self.index), dtype=bool)
        for failure in self.failures:
            if failure.severity == "error":
                mask |= failure.bodies
        return mask


def draft(
    style: Style, measures: Mapping[str, npt.ArrayLike], choices: Mapping[str, npt.ArrayLike] | None = None, unit: str = "cm"
) -> list[Draft]:
    """Draft a style for N bodies.

    `measures` maps each measure the style needs to millimetres (N,) (radians for angles); `choices` maps some of its
    choices to one value or to (N,).  Choices not named take their defaults.  Drafts come in the order of their first
    body; together they hold every body once.  ValueError where they do not speak of one number of bodies.
    """
    of_bodies = {name: np.asarray(values, dtype=float) for name, values in measures.items()}
    chosen = {name: np.asarray(value, dtype=float) for name, value in (choices or {}).items()}
    n = next((len(values) for values in of_bodies.values() if values.ndim), 1)
    for name, values in (*of_bodies.items(), *chosen.items()):
        if values.shape != (n,) and not (values.ndim == 0 and name in chosen):
            raise ValueError(f'"{name}" has shape {values.shape}, which is not one figure for each of {n} bodies')
    chosen = {name: np.broadcast_to(value, (n,)) for name, value in chosen.items()}
    drafts = []
    for first in range(0, n, CHUNK):
        index = np.arange(first, min(first + CHUNK, n))
        drafts += _draft_chunk(style, index, of_bodies, chosen, unit)
    return drafts


def _draft_chunk(style: Style, index, measures, choices, unit) -> list[Draft]:
    drafts = []
    for outcomes, bodies in _courses(style, index, measures, choices):
        plan, said = style.course(outcomes)
        drafts += _draft_course(plan, bodies, measures, choices, unit, said if outcomes else ())
    return sorted(drafts, key=lambda one: int(one.index[0]))


def _courses(style: Style, index, measures, choices, outcomes=None):
    """(outcomes, bodies): the bodies parted by the course they take at the style's forks."""
    outcomes = outcomes or {}
    plan = style.plan(outcomes)
    undecided = [fork for fork in plan.forks if fork.key not in outcomes]
    if not undecided:
        return [(outcomes, index)]
    run = _start(plan, index, measures, choices, "cm")
    run.quiet = True
    run.carry_out(needed_steps(plan.steps, [fork.slot for fork in undecided]))
    table = np.stack([run.filled[fork.slot] for fork in undecided], axis=1)
    courses = []
    table = np.nan_to_num(table)
    for row in table[:1] if (table == table[:1]).all() else np.unique(table, axis=0):
        here = (table == row).all(axis=1)
        chosen = {
            fork.key: (bool(value > 0.5) if fork.kind == "when" else int(round(value)))
            for fork, value in zip(undecided, row, strict=True)
        }
        courses += _courses(style, index[here], measures, choices, {**outcomes, **chosen})
    return courses


def _start(plan: Plan, index, measures, choices, unit) -> Run:
    return Run(
        plan,
        len(index),
        {name: values[index] for name, values in measures.items()},
        {name: values[index] for name, values in choices.items()},
        unit,
    )


def _draft_course(plan: Plan, index, measures, choices, unit, said=()) -> list[Draft]:
    """Bodies of one course drafted together, or apart where what is drawn has not one structure for all."""
    try:
        return [_draft_together(plan, index, measures, choices, unit, said)]
    except Parted as parted:
        return [one for group in parted.groups for one in _draft_course(plan, index[group], measures, choices, unit, said)]


def _draft_together(plan: Plan, index, measures, choices, unit, said=()) -> Draft:
    """The stage on one screen: carry out the steps, assemble the pieces, keep the ledgers, judge.

    `said` is what is wrong in this course of the style: a number of darts, or a mixture of outcomes, that was not
    read before.  It fails every body that takes the course.
    """
    run = _start(plan, index, measures, choices, unit)
    for one in said:
        run.fail(True, one.code, one.title, one.expected, one.found, one.suggestion, one.span, one.others, one.severity)
    run.carry_out(plan.steps)
    pattern = assemble(plan, run)
    ledgers = keep_ledgers(plan, pattern, run)
    judge(plan, pattern, ledgers, run)
    # What is said of failures speaks of the run; were it held by the run as well, neither would be let go with the draft.
    failures, run.failures = run.failures, []
    return Draft(index, plan, pattern, ledgers, failures, run)
