"""All values that a find has within its bounds: its function sampled from bound to bound, for N bodies at once.

`arithmetic.solve` takes one root of the bracket, whichever its steps come to; where there are several, a small change of the body
can lead it to another, and the draft leaps.  So each find of a draft is looked at afterwards: its cone of steps is run for SAMPLES
values, and where three neighbours come near the target without meeting it once more between them, ROUNDS times.  Between
samples on two sides of the target lies a root, unless the value leaps there; a root is believed as `solve` believes it.  Roots that
lie nearer together than a step from sample to sample may be taken for one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.solve import Function, root_within
from ..meaning.plan import Step
from ..meaning.style import Style
from ..source.diagnostics import CAUTION, Diagnostic
from ..source.quantity import show_figure
from ..source.text import Span
from .arithmetic import CONVERGENCE, SLACK
from .courses import Draft
from .run import draft
from .steps import Parted, Run

SAMPLES = 25
ROUNDS = 3


class Roots(NamedTuple):
    """A find with its bounds and what it was found to be (N,), and all that it could be (R, N), growing, NaN where a body has fewer."""

    name: str
    span: Span
    kind: str
    low: Floats
    high: Floats
    taken: Floats
    roots: Floats

    @property
    def several(self) -> Mask:
        """Mask (N,) of the bodies with more roots than one."""
        answer: Mask = np.isfinite(self.roots).sum(axis=0) > 1
        return answer

    def diagnostic(self, i: int, unit: str, body: str = "") -> Diagnostic:
        """What is said of body i, which has several."""
        roots = self.roots[np.isfinite(self.roots[:, i]), i]
        nearest = int(np.argmin(np.abs(roots - self.taken[i])))
        low = (roots[nearest - 1] + roots[nearest]) / 2 if nearest else self.low[i]
        high = (roots[nearest] + roots[nearest + 1]) / 2 if nearest + 1 < len(roots) else self.high[i]

        def shown(value: float) -> str:
            return show_figure(float(value), self.kind, unit)

        return Diagnostic(
            "D540",
            f'A small change of the body may move the whole piece: {len(roots)} values of "{self.name}" fit',
            self.span,
            f"one between {shown(self.low[i])} and {shown(self.high[i])}",
            f"{', '.join(map(shown, roots[:-1]))} and {shown(roots[-1])}; the draft takes {shown(self.taken[i])}",
            f"Narrow the bounds of the find to those between which only the value that you want lies, here {shown(low)} and {shown(high)}.",
            severity=CAUTION,
            body=body,
        )


def finds_of(drafted: Draft) -> list[Roots]:
    """Every find of a draft with all its roots, for the bodies that have a pattern.  `Parted` where these must be looked at apart."""
    return [_roots(drafted.run, step, ~drafted.failed) for step in drafted.plan.steps if step.operation == "solve"]


def finds_for(
    style: Style, measures: Mapping[str, npt.ArrayLike], choices: Mapping[str, npt.ArrayLike], unit: str, bodies: int
) -> list[tuple[Indices, Draft, list[Roots]]]:
    """(whose, their draft, its finds): N bodies drafted, those apart whose trials have not one structure."""
    looked: list[tuple[Indices, Draft, list[Roots]]] = []
    for drafted in draft(style, measures, choices, unit, bodies):
        try:
            looked.append((drafted.index, drafted, finds_of(drafted)))
        except Parted as parted:
            for group in (drafted.index[mask] for mask in parted.groups):
                of_bodies, chosen = (
                    {name: np.asarray(values)[group] if np.ndim(values) else values for name, values in given.items()}
                    for given in (measures, choices)
                )
                apart = finds_for(style, of_bodies, chosen, unit, len(group))
                looked += [(group[index], one, finds) for index, one, finds in apart]
    return looked


def several_of(
    style: Style,
    measures: Mapping[str, npt.ArrayLike],
    choices: Mapping[str, npt.ArrayLike],
    unit: str,
    bodies: Sequence[str],
) -> list[Diagnostic]:
    """D540 of each find that has several values for one of N bodies, said of the first of these."""
    said: dict[Span, tuple[int, Diagnostic]] = {}
    for index, _, finds in finds_for(style, measures, choices, unit, len(bodies)):
        for find in finds:
            for place in np.flatnonzero(find.several)[:1].tolist():
                body = int(index[place])
                if find.span not in said or body < said[find.span][0]:
                    said[find.span] = body, find.diagnostic(place, unit, bodies[body])
    return [diagnostic for _, diagnostic in said.values()]


def _roots(run: Run, step: Step, known: Mask) -> Roots:
    options = step.options
    low, high, taken = (np.asarray(run.filled[slot], dtype=float) for slot in (*step.inputs[:2], step.out))
    low, high = (np.where(known, bound, np.nan) for bound in (low, high))
    fixed = {slot: run.filled[slot] for slot in options["outer_slots"]}

    def miss(x: Floats) -> Floats:
        trial = run.trial({**fixed, options["slot"]: x})
        trial.carry_out(options["cone"])
        missed: Floats = trial.filled[options["value"]] - trial.filled[options["target"]]
        return missed

    at = low + (high - low) * np.linspace(0.0, 1.0, SAMPLES)[:, None]
    missed = np.stack([miss(x) for x in at])
    with np.errstate(all="ignore"):
        for _ in range(ROUNDS):
            turning = _turning(at, missed)
            if not np.isfinite(turning).any():
                break
            at, missed = np.vstack([at, turning]), np.vstack([missed, miss(turning)])
            order = np.argsort(at, axis=0)  # NaN last
            at, missed = np.take_along_axis(at, order, 0), np.take_along_axis(missed, order, 0)
        sides = np.isfinite(missed[:-1]) & np.isfinite(missed[1:]) & ((missed[:-1] >= 0.0) != (missed[1:] >= 0.0))
        found = _refined(miss, at, sides, SLACK.get(options["kinds"][1], 1e-6)) if sides.sum(axis=0).max(initial=0) > 1 else taken[None]
    return Roots(options["name"], step.span, options["kinds"][0], low, high, taken, found)


def _turning(at: Floats, missed: Floats) -> Floats:
    """Where (N,) the value comes nearest to the target between three neighbours on one side of it, by a parabola; NaN where it
    does not come nearer than at the neighbours."""
    a, b, c = at[:-2], at[1:-1], at[2:]
    fa, fb, fc = missed[:-2], missed[1:-1], missed[2:]
    side = np.where(fb >= 0.0, 1.0, -1.0)
    nearer = (side * fa > 0.0) & (side * fc > 0.0) & (side * fb <= side * fa) & (side * fb <= side * fc) & (fb != 0.0)
    left, right = (b - a) * (fb - fc), (b - c) * (fb - fa)
    lowest = b - 0.5 * ((b - a) * left - (b - c) * right) / (left - right)
    # How near it comes there, in parts of how near the middle sample is: the most promising place of each body is tried.
    slope, other = (fb - fa) / (b - a), (fc - fb) / (c - b)
    bend = (other - slope) / (c - a)
    rest = side * (fb + (lowest - b) * (slope + bend * (lowest - a)))
    inside = (lowest > a) & (lowest < c) & (np.abs(lowest - b) > 1e-9 * (c - a))
    promise = np.where(nearer & inside & (rest < 0.5 * side * fb), rest / (side * fb), np.inf)
    best = np.argmin(promise, axis=0)[None]
    place: Floats = np.where(np.isfinite(np.take_along_axis(promise, best, 0)), np.take_along_axis(lowest, best, 0), np.nan)[0]
    return place


def _refined(miss: Function, at: Floats, sides: Mask, slack: float) -> Floats:
    """The roots (R, N) between samples on two sides of the target; where the value leaps there is none."""
    rank = np.cumsum(sides, axis=0) - 1
    roots = []
    for number in range(int(sides.sum(axis=0).max())):
        here = sides & (rank == number)
        low, high = (
            np.where(here.any(axis=0), np.take_along_axis(ends, np.argmax(here, axis=0)[None], 0)[0], np.nan)
            for ends in (at[:-1], at[1:])
        )
        x, converged, _, _, off = root_within(miss, low, high, slack * CONVERGENCE)
        roots.append(np.where(converged & (off <= slack), x, np.nan))
    ordered: Floats = np.sort(np.stack(roots), axis=0)
    return ordered
