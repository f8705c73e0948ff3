"""One course of a style drafted for the bodies that take it, and the courses that bodies take.

The steps of the plan are carried out for all bodies at once, the pieces assembled, the ledgers kept and the draft judged; that
gives a `Draft` with the failures of single bodies.  Nothing here loops over bodies.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from ..geometry.arrays import Floats, Indices, Mask
from ..meaning.plan import Condition, Plan, needed_steps
from ..meaning.style import Style
from ..source.diagnostics import NOTE, Diagnostic
from . import (  # noqa: F401  (they fill the table of operations)
    arithmetic,
    darts,
    edge_places,
    guides,
    inner,
    joining,
    laying,
    lengthening,
    marked_lines,
    measuring,
    moving_edges,
    parting,
    pivoting,
    places,
    point_marks,
    running_on,
    shapes,
    spreading,
    stretches,
)
from .assembly import assemble
from .chains import hold_sections_alike
from .failures import Failure
from .fitted_seams import let_in
from .ledgers import Ledgers, keep_ledgers
from .pattern import Pattern
from .steps import Parted, Run
from .verdicts import judge

Outcomes = dict[Condition, bool | int]  # of what the forks of a style ask


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


def courses(
    style: Style,
    index: Indices,
    measures: Mapping[str, Floats],
    choices: Mapping[str, Floats],
    unit: str,
    outcomes: Outcomes | None = None,
) -> list[tuple[Outcomes, Indices]]:
    """(outcomes, bodies): the bodies parted by the course they take at the style's forks."""
    outcomes = outcomes or {}
    plan = style.plan(outcomes)
    undecided = [fork for fork in plan.forks if not fork.answered and fork.question not in outcomes]
    if not undecided:
        return [(outcomes, index)]
    run = start(plan, index, measures, choices, unit)
    run.quiet = True
    run.carry_out(needed_steps(plan.steps, [fork.slot for fork in undecided]))
    table = np.stack([run.filled[fork.slot] for fork in undecided], axis=1)
    groups: list[tuple[Outcomes, Indices]] = []
    table = np.nan_to_num(table)
    for row in table[:1] if (table == table[:1]).all() else np.unique(table, axis=0):
        here = (table == row).all(axis=1)
        chosen = {
            fork.question: (bool(value > 0.5) if fork.kind == "when" else int(round(value)))
            for fork, value in zip(undecided, row, strict=True)
        }
        groups += courses(style, index[here], measures, choices, unit, {**outcomes, **chosen})
    return groups


def start(plan: Plan, index: Indices, measures: Mapping[str, Floats], choices: Mapping[str, Floats], unit: str) -> Run:
    return Run(
        plan,
        len(index),
        {name: values[index] for name, values in measures.items()},
        {name: values[index] for name, values in choices.items()},
        unit,
    )


def draft_course(
    plan: Plan,
    index: Indices,
    measures: Mapping[str, Floats],
    choices: Mapping[str, Floats],
    unit: str,
    diagnostics: Iterable[Diagnostic] = (),
    found: Mapping[int, Floats] | None = None,
    sides: Mapping[int, str] | None = None,
) -> list[Draft]:
    """Bodies of one course drafted together, or apart where what is drawn has not one structure for all.

    `found` has what is known of finds, by their slots, for all bodies of the call; `sides` is as of a `Run`."""
    try:
        return [_draft_together(plan, index, measures, choices, unit, diagnostics, found, sides)]
    except Parted as parted:
        return [
            drafted
            for group in parted.groups
            for drafted in draft_course(plan, index[group], measures, choices, unit, diagnostics, found, sides)
        ]


def _draft_together(
    plan: Plan,
    index: Indices,
    measures: Mapping[str, Floats],
    choices: Mapping[str, Floats],
    unit: str,
    diagnostics: Iterable[Diagnostic] = (),
    found: Mapping[int, Floats] | None = None,
    sides: Mapping[int, str] | None = None,
) -> Draft:
    """The stage on one screen: carry out the steps, assemble the pieces, keep the ledgers, judge.

    `diagnostics` are those of this course of the style: of a number of darts, or a mixture of outcomes, that was not
    read before.  They fail every body that takes the course.
    """
    run = start(plan, index, measures, choices, unit)
    run.sides = sides or {}
    run.solved = {slot: values[index] for slot, values in (found or {}).items()}
    hold_against(run, diagnostics)
    run.carry_out(plan.steps)
    return judged(run, index)


def hold_against(run: Run, diagnostics: Iterable[Diagnostic]) -> None:
    """Fail every body of a run by what is wrong with its course."""
    for diagnostic in diagnostics:
        run.fail(
            True,
            diagnostic.code,
            diagnostic.title,
            diagnostic.expected,
            diagnostic.found,
            diagnostic.suggestion,
            diagnostic.span,
            diagnostic.others,
            diagnostic.severity,
        )


def judged(run: Run, index: Indices) -> Draft:
    """The draft of bodies whose steps have been carried out."""
    plan = run.plan
    pattern = assemble(plan, run)
    let_in(pattern, run)
    hold_sections_alike(pattern, run)
    ledgers = keep_ledgers(plan, pattern, run)
    judge(plan, pattern, ledgers, run)
    # The texts of failures refer to the run; were they held by the run as well, neither would be freed with the draft.
    drafted = Draft(index, plan, pattern, ledgers, run.failures, run)
    run.failures, failed = [], drafted.failed
    for failure in drafted.failures:
        if failure.severity == NOTE:  # of a pattern that is not true nothing needs to be noted
            failure.bodies &= ~failed
    drafted.failures = [failure for failure in drafted.failures if failure.bodies.any()]
    return drafted
