"""Drafting a style for a list of bodies.

`draft` is the whole stage: bodies that take the same course at every fork of the style are drafted together, in
chunks that keep memory flat; each chunk gives a `Draft` with its pattern, its ledgers, and the failures of single
bodies.  Nothing here loops over bodies.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

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
from .ledgers import Ledgers, keep_ledgers
from .pattern import Pattern
from .steps import Parted, Run
from .verdicts import judge

Outcomes = dict[Condition, bool | int]  # of what the forks of a style ask

CHUNK = 2048  # bodies drafted at once: more cost memory and save little


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
    style: Style,
    measures: Mapping[str, npt.ArrayLike],
    choices: Mapping[str, npt.ArrayLike] | None = None,
    unit: str = "cm",
    bodies: int | None = None,
) -> list[Draft]:
    """Draft a style for N bodies: as many as `bodies` says, or else as the measures, or the choices, have figures.

    `measures` maps each measure the style needs to millimetres (N,) (radians for angles); `choices` maps some of its
    choices to one value or to (N,).  Choices not named take their defaults, those for inches where `unit` is one of them.  Drafts come in the order of their first
    body; together they hold every body once.  ValueError where they do not speak of one number of bodies.
    """
    of_bodies = {name: np.asarray(values, dtype=float) for name, values in measures.items()}
    chosen = {name: np.asarray(value, dtype=float) for name, value in (choices or {}).items()}
    counts = (len(values) for values in (*of_bodies.values(), *chosen.values()) if values.ndim)
    n = next(counts, 1) if bodies is None else bodies
    for name, values in (*of_bodies.items(), *chosen.items()):
        if values.shape != (n,) and not (values.ndim == 0 and name in chosen):
            raise ValueError(f'"{name}" has shape {values.shape}, which is not one figure for each of {n} bodies')
    chosen = {name: np.broadcast_to(value, (n,)) for name, value in chosen.items()}
    drafts: list[Draft] = []
    for first in range(0, n, CHUNK):
        index = np.arange(first, min(first + CHUNK, n))
        drafts += _draft_chunk(style, index, of_bodies, chosen, unit)
    return drafts


def _draft_chunk(style: Style, index: Indices, measures: Mapping[str, Floats], choices: Mapping[str, Floats], unit: str) -> list[Draft]:
    drafts: list[Draft] = []
    for outcomes, bodies in courses(style, index, measures, choices, unit):
        plan, diagnostics = style.course(outcomes)
        drafts += _draft_course(plan, bodies, measures, choices, unit, diagnostics if outcomes else ())
    return sorted(drafts, key=lambda drafted: int(drafted.index[0]))


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


def _draft_course(
    plan: Plan,
    index: Indices,
    measures: Mapping[str, Floats],
    choices: Mapping[str, Floats],
    unit: str,
    diagnostics: Iterable[Diagnostic] = (),
) -> list[Draft]:
    """Bodies of one course drafted together, or apart where what is drawn has not one structure for all."""
    try:
        return [_draft_together(plan, index, measures, choices, unit, diagnostics)]
    except Parted as parted:
        return [
            drafted for group in parted.groups for drafted in _draft_course(plan, index[group], measures, choices, unit, diagnostics)
        ]


def _draft_together(
    plan: Plan,
    index: Indices,
    measures: Mapping[str, Floats],
    choices: Mapping[str, Floats],
    unit: str,
    diagnostics: Iterable[Diagnostic] = (),
) -> Draft:
    """The stage on one screen: carry out the steps, assemble the pieces, keep the ledgers, judge.

    `diagnostics` are those of this course of the style: of a number of darts, or a mixture of outcomes, that was not
    read before.  They fail every body that takes the course.
    """
    run = start(plan, index, measures, choices, unit)
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
    run.carry_out(plan.steps)
    pattern = assemble(plan, run)
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
