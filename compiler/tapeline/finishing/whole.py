"""Bodies drafted and finished: the two stages in a row, for as many bodies as there are.

`drafted_whole` gives one `Whole` for each course of the style and chunk of bodies, in the order of their first body, with
every failure of either stage.  What is wrong with a body's draft already is not said again of its allowances.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy.typing as npt

from ..drafting.courses import Draft
from ..drafting.failures import Failure
from ..drafting.ledgers import keep_ledgers
from ..drafting.run import draft
from ..drafting.uneven import SidesOfBody
from ..geometry.arrays import Indices, Mask
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic, in_order
from .finish import NOTHING_KEPT, finish
from .finished import Finished
from .kept import NothingKept
from .usual import UsualAllowance, with_usual_allowances


@dataclass(slots=True, eq=False)
class Whole:
    """Some bodies of a call, drafted and finished: `index` (n,) tells which.  `failed` (n,) have no true pattern."""

    index: Indices
    draft: Draft
    finished: Finished
    failures: list[Failure]
    failed: Mask

    def diagnostics(self, place: int, body: str = "") -> list[Diagnostic]:
        """All that is said of one body, by its place in `index`."""
        return in_order(failure.diagnostic(place, body) for failure in self.failures if failure.bodies[place])


def drafted_whole(
    style: Style,
    measures: Mapping[str, npt.ArrayLike],
    choices: Mapping[str, npt.ArrayLike] | None = None,
    unit: str = "cm",
    allowances: Mapping[str, UsualAllowance] | None = None,
    bodies: int | None = None,
    sides: Sequence[SidesOfBody] = (),
) -> list[Whole]:
    """Draft and finish a style for N bodies; measures, choices, number and sides as for `draft`, `allowances` of a house."""
    return [whole_of(drafted, unit, allowances) for drafted in draft(style, measures, choices, unit, bodies, sides)]


def whole_of(drafted: Draft, unit: str, allowances: Mapping[str, UsualAllowance] | None, kept: NothingKept = NOTHING_KEPT) -> Whole:
    """A draft finished; what was `kept` of a draft before is not worked out again."""
    if allowances:
        pattern = with_usual_allowances(drafted.pattern, allowances)
        drafted = replace(drafted, pattern=pattern, ledgers=keep_ledgers(drafted.plan, pattern, drafted.run))
    failed = drafted.failed
    finished, failures = finish(drafted.pattern, unit, failed, kept)
    for failure in failures:
        failure.bodies = failure.bodies & ~failed
    failures = [failure for failure in failures if failure.bodies.any()]
    for failure in failures:
        failed = failed | failure.bodies
    return Whole(drafted.index, drafted, finished, [*drafted.failures, *failures], failed)
