"""On what a value rests, and which rule lost it.

The steps of a plan tell of every value from which others it is worked out.  So a message can name the measures and choices
behind a figure; and where a body has no place for a piece, the rule is found that was the first to give none though all that it
was given was there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from ..geometry.arrays import Mask
from ..geometry.path import Path
from ..meaning.plan import Step, needed_steps
from ..source.quantity import show_figure
from .guides import Guide
from .pattern import Edge
from .shapes import Shape
from .steps import Run


def resting(run: Run, slot: int | None = None) -> Callable[[int], str]:
    """What tells of one body on which measures and choices a slot rests, with their figures; that of the step carried out, usually."""
    slot = run.slot if slot is None else slot

    def told(i: int) -> str:
        steps = needed_steps(run.plan.steps, [slot]) if slot is not None else []
        measures = [
            f"{step.options['name']} {show_figure(float(run.filled[step.out][i]), kind, run.unit)}"
            for step in steps
            if (kind := _asked_kind(run, step)) and step.out in run.filled
        ]
        return f"; it rests on {', '.join(measures)}" if measures else ""

    return told


def _asked_kind(run: Run, step: Step) -> str:
    """The kind of what a step takes from the body or from who drafts; nothing for any other step."""
    if step.operation == "measure":
        return str(step.options["of"])
    return run.choice_kinds.get(step.options["name"], "") if step.operation == "choose" else ""


def losing(run: Run, slots: Iterable[int], lost: Mask) -> dict[int, Step]:
    """Body -> the step that was the first to give it nothing, of those behind these slots; of the bodies that are `lost`."""
    found: dict[int, Step] = {}
    left = set(np.flatnonzero(lost).tolist())
    for step in needed_steps(run.plan.steps, slots):
        if not left:
            break
        if step.out in run.filled:
            known = _known(run.filled[step.out], run.n)
            here = [body for body in left if not known[body]]
            found.update(dict.fromkeys(here, step))
            left.difference_update(here)
    return found


def _known(value: Any, n: int) -> Mask:
    """Bodies (N,) for whom a value of any kind is there."""
    if isinstance(value, np.ndarray):
        known: Mask = np.isfinite(value.astype(float)).reshape(n, -1).all(axis=1)
        return known
    if isinstance(value, Path):
        return value.known()
    if isinstance(value, Guide):
        return value.path.known()
    parts = value.strips if isinstance(value, Edge) else value.edges if isinstance(value, Shape) else value
    return (
        np.logical_and.reduce([np.ones(n, dtype=bool), *(_known(part, n) for part in parts)])
        if isinstance(parts, tuple)
        else np.ones(n, dtype=bool)
    )
