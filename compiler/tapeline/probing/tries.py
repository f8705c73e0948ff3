"""Bodies tried in shares, here or by other workers: what is said of whom, in values that can be sent.

A body's first error counts, in the order in which a draft is made and judged; what follows from it is not told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ..batch.order import Order, one_at_a_time, opened
from ..batch.workers import Workers, alone
from ..drafting.courses import Draft
from ..drafting.failures import Failure
from ..drafting.run import draft
from ..finishing.whole import Whole, drafted_whole
from ..geometry.arrays import Floats, Indices
from ..meaning.style import Style
from ..source.text import Span

_FIGURE = re.compile(r"~?-?\d[\d./]*(?: \d+/\d+)?")

Tries = Callable[[Iterable["TrialShare"]], Iterator[list["Ending"]]]


class TrialShare(NamedTuple):
    """So many bodies to be tried together; unless `finished`, their allowances are left out."""

    bodies: int
    measures: Mapping[str, Floats]  # mm, radians
    choices: Mapping[str, npt.ArrayLike]
    unit: str
    finished: bool

    def __str__(self) -> str:
        return f"a share of {self.bodies} bodies"


class Ending(NamedTuple):
    """What a rule says of some bodies; `title` with its figures left open where they differ from body to body."""

    severity: str
    code: str
    span: Span | None
    title: str
    bodies: Indices  # their numbers in the share


def drafted(style: Style, share: TrialShare) -> list[Whole] | list[Draft]:
    if share.finished:
        return drafted_whole(style, share.measures, share.choices, share.unit, bodies=share.bodies)
    return draft(style, share.measures, share.choices, share.unit, share.bodies)


def tried(style: Style, share: TrialShare) -> list[Ending]:
    return [ending for whole in drafted(style, share) for ending in _endings(whole)]


def tried_to_order(order: Order, share: TrialShare) -> list[Ending]:
    """The same by a worker who is sent the order."""
    with one_at_a_time:
        return tried(opened(order, lambda style: style), share)


def here(style: Style) -> Tries:
    return lambda shares: (endings for _, endings in alone(tried, style, shares))


def by(workers: Workers, order: Order) -> Tries:
    """Tries by the workers of `batch.workers`."""
    return lambda shares: (endings for _, endings in workers(tried_to_order, order, shares))


def _endings(whole: Whole | Draft) -> Iterator[Ending]:
    failed = np.zeros(len(whole.index), dtype=bool)
    for failure in whole.failures:
        bodies = failure.bodies & ~failed if failure.severity == "error" else failure.bodies
        failed |= (failure.severity == "error") & failure.bodies
        by_title: dict[str, list[int]] = {}
        for place in np.flatnonzero(bodies).tolist():
            by_title.setdefault(title_of(failure, place), []).append(place)
        for title, places in by_title.items():
            yield Ending(failure.severity, failure.code, failure.span, title, whole.index[places])


def title_of(failure: Failure, place: int) -> str:
    """What the failure is called for a body; of titles that differ from body to body the figures are left open."""
    return figures_open(failure.title(place)) if callable(failure.title) else failure.title


def figures_open(title: str) -> str:
    return _FIGURE.sub("...", title)
