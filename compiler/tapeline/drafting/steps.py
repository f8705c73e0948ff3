"""The steps of a plan carried out for N bodies at once.

A `Run` fills each slot once, in the order of the plan.  What a step cannot do for some of its bodies it records as a failure
of those, and goes on.  Bodies whose drawing has another structure than the rest stop the run, and are `Parted`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

import numpy as np

from ..geometry.arrays import Floats, Indices, Mask
from ..meaning.plan import Plan, Step
from ..source.diagnostics import ERROR
from ..source.text import Span
from ..source.units import UNITS
from .failures import Failure, Words, said
from .operations import OPERATIONS

BranchTaken = tuple[int | None, Span, Floats | Indices | Mask]  # a slot, its rule, and which way (N,) each body went there


class Parted(Exception):
    """The bodies of a run do not share one structure; `groups` are masks (N,) of those that do."""

    def __init__(self, groups: list[Mask]) -> None:
        super().__init__("bodies of different structure")
        self.groups = groups


class Run:
    """One plan run for N bodies: `filled[slot]` holds what each step gave."""

    span: Span  # the rule of the step that is carried out

    def __init__(self, plan: Plan, n: int, measures: Mapping[str, Floats], choices: Mapping[str, Floats], unit: str = "cm") -> None:
        self.plan, self.n, self.measures, self.choices, self.unit = plan, n, measures, choices, unit
        self.in_inches = UNITS[unit].in_inches
        self.choice_kinds = {name: choice.kind.word for name, choice in plan.choices.items()}
        self.filled: dict[int, Any] = {}  # a value of the kind of its slot
        self.solved: dict[int, Floats] = {}  # slot of a find -> what it is known to be, so that it is not sought again
        self.failures: list[Failure] = []
        self.guards: tuple[tuple[int, bool], ...] = ()
        self.slot: int | None = None
        self.quiet = False
        self.sides: Mapping[int, str] = {}  # of a plan of two sides: the side of whose body a slot is, "mean" of neither
        self.branches: list[BranchTaken] | None = None  # if asked for

    def carry_out(self, steps: Iterable[Step]) -> None:
        with np.errstate(all="ignore"):
            for step in steps:
                if step.out in self.filled:
                    continue
                self.span, self.guards, self.slot = step.span, step.guards, step.out
                inputs, named = step.arranged(self.filled)
                self.filled[step.out] = OPERATIONS[step.operation].work(self, *inputs, **named, **step.options)
        self.guards, self.slot = (), None

    def trial(self, filled: Mapping[int, Any]) -> Run:
        """A run of the same bodies that reports nothing, for trying values."""
        run = Run(self.plan, self.n, self.measures, self.choices, self.unit)
        run.filled, run.solved, run.quiet = dict(filled), self.solved, True
        return run

    def copies(self, index: Indices, filled: dict[int, Any]) -> Run:
        """A run that reports nothing, for trying values, of copies of the bodies: `index` (M,) tells whose each is."""
        measures, choices = ({name: values[index] for name, values in given.items()} for given in (self.measures, self.choices))
        run = Run(self.plan, len(index), measures, choices, self.unit)
        run.filled, run.quiet = filled, True
        run.solved = {slot: values[index] for slot, values in self.solved.items()}
        return run

    def branched(self, taken: Callable[[], Floats | Indices | Mask]) -> None:
        """A rule takes each body one of several ways (N,), told by a number; between ways a place is out of proportion."""
        if self.branches is not None:
            self.branches.append((self.slot, self.span, taken()))

    def alike(self, counts: Indices, known: Mask) -> int:
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

    def failed(self) -> Mask:
        """The bodies (N,) of which an error has been recorded till now."""
        mask = np.zeros(self.n, dtype=bool)
        for failure in self.failures:
            if failure.severity == ERROR:
                mask |= failure.bodies
        return mask

    def fail(
        self,
        bodies: Mask | bool,
        code: str,
        title: Words,
        expected: Words = "",
        found: Words = "",
        suggestion: Words = "",
        span: Span | None = None,
        others: Iterable[tuple[Span, str]] = (),
        severity: str = ERROR,
    ) -> None:
        """Record that a rule cannot be carried out for some bodies (mask (N,), or True for all)."""
        if self.quiet:
            return
        for condition, outcome in self.guards:
            if condition in self.filled:
                bodies = bodies & ((self.filled[condition] > 0.5) == outcome)
        if not np.any(bodies):
            return
        side = self.sides.get(self.slot, "") if self.slot is not None else ""
        if side and severity != ERROR and side not in ("left", "right"):
            return  # either side says it of itself
        if side in ("left", "right"):
            title = _of_side(title, side)
        mask = np.broadcast_to(np.asarray(bodies, dtype=bool), (self.n,)).copy()
        self.failures.append(Failure(code, title, span or self.span, mask, expected, found, suggestion, tuple(others), severity))


def _of_side(title: Words, side: str) -> Words:
    return lambda i: f"{said(title, i)} ({side})"
