"""Which way each body goes where a rule has several: the smaller of two values, one side of a `when`, a count.

Between bodies that go different ways a draft does not grow in proportion, though each way by itself may.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from itertools import count

import numpy as np

from ..geometry.arrays import Floats, Indices, Mask
from ..meaning.plan import Plan, needed_steps
from ..meaning.style import Style
from ..source.text import Span
from .courses import courses, start
from .operations import OPERATIONS
from .run import CHUNK
from .steps import BranchTaken, Parted

Key = tuple[Hashable, ...]  # what tells rules of several ways apart
LEG = "the longer leg of a dart"  # of any operation whose record says nothing else
FORKS = {"when": "when", "count": "the number of darts"}
STRUCTURE = "on which part of an edge a place falls"


@dataclass(slots=True, eq=False)
class Branch:
    """One rule for N bodies: `taken` (N,) tells the ways apart, NaN where a body does not come to it."""

    span: Span
    words: str
    taken: Floats
    spans: dict[float, Span] = field(default_factory=dict)  # of structures: which rule parted those of one number

    def parting(self, first: float, second: float) -> Span:
        """The rule at which bodies of two ways part."""
        return self.spans.get(second) or self.spans.get(first) or self.span


def _slots(plan: Plan) -> set[int]:
    """What the places of all pieces are read from."""
    slots = set()
    for piece in plan.pieces:
        slots |= {slot for _, slot in piece.edges} | {*piece.points.values(), *piece.levels.values()}
        slots |= (
            {mark.path for mark in piece.marks} | {mark.at for mark in piece.point_marks} | {notch.place for notch in piece.notches}
        )
        slots |= {slot for _, _, corners, _ in piece.inner for slot in corners}
    return slots


def branches(style: Style, measures: Mapping[str, Floats], choices: Mapping[str, Floats], unit: str = "cm") -> dict[Key, Branch]:
    """Every rule of several ways that any of N bodies comes to and that any place rests on; measures and choices are all (N,)."""
    n = len(next(iter(measures.values())))
    by_rule: dict[Key, Branch] = {}
    numbers = count()

    def record(key: Key, span: Span, words: str, bodies: Indices, taken: Floats | Indices | Mask | float) -> None:
        if key not in by_rule:
            by_rule[key] = Branch(span, words, np.full(n, np.nan))
        by_rule[key].taken[bodies] = taken

    def follow(plan: Plan, bodies: Indices, parted_at: Span | None = None) -> None:
        run = start(plan, bodies, measures, choices, unit)
        branches_taken: list[BranchTaken] = []
        run.quiet, run.branches = True, branches_taken
        try:
            run.carry_out(plan.steps)
        except Parted as parted:
            for group in parted.groups:
                follow(plan, bodies[group], run.span)
            return
        if parted_at is not None:
            key, number = (id(plan), STRUCTURE), float(next(numbers))
            record(key, parted_at, STRUCTURE, bodies, number)
            by_rule[key].spans[number] = parted_at
        drawn = {step.out: step.operation for step in needed_steps(plan.steps, _slots(plan))}
        visits: Counter[int] = Counter()
        for slot, span, taken in branches_taken:
            if slot in drawn:
                visits[slot] += 1
                record((id(plan), slot, visits[slot]), span, OPERATIONS[drawn[slot]].branch or LEG, bodies, taken)

    for first in range(0, n, CHUNK):
        for outcomes, bodies in courses(style, np.arange(first, min(first + CHUNK, n)), measures, choices, unit):
            plan = style.plan(outcomes)
            for fork in plan.forks:
                record(fork.key, fork.span, FORKS[fork.kind], bodies, float(fork.outcome))
            follow(plan, bodies)
    return by_rule
