"""Bodies tried in shares, here or by other hands: what is said of whom, in values that can be sent.

A body's first error counts, in the order in which a draft is made and judged; what follows from it is not told.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import NamedTuple

import numpy as np

from ..batch.hands import alone
from ..batch.order import Order, one_at_a_time, opened
from ..drafting.failures import Failure
from ..drafting.run import Draft, draft
from ..finishing.whole import Whole, drafted_whole
from ..meaning.style import Style
from ..source.text import Span

_FIGURE = re.compile(r"~?-?\d[\d./]*(?: \d+/\d+)?")

Tries = Callable[[Iterable["Share"]], Iterator[list["Said"]]]


class Share(NamedTuple):
    """Bodies to be tried together; unless `finished`, their allowances are left out."""

    measures: Mapping[str, np.ndarray]  # mm, radians
    choices: Mapping[str, np.ndarray]
    unit: str
    finished: bool

    def __str__(self) -> str:
        return f"a share of {len(next(iter(self.measures.values())))} bodies"


class Said(NamedTuple):
    """One thing that is said of some bodies; `title` with its figures left open where they differ from body to body."""

    severity: str
    code: str
    span: Span | None
    title: str
    bodies: np.ndarray  # their numbers in the share


def drafted(style: Style, share: Share) -> list[Whole] | list[Draft]:
    return (drafted_whole if share.finished else draft)(style, share.measures, share.choices, share.unit)


def tried(style: Style, share: Share) -> list[Said]:
    return [said for whole in drafted(style, share) for said in _said(whole)]


def tried_to_order(order: Order, share: Share) -> list[Said]:
    """The same by a worker who is sent the order."""
    with one_at_a_time:
        return tried(opened(order, lambda style: style), share)


def here(style: Style) -> Tries:
    return lambda shares: (said for _, said in alone(tried, style, shares))


def by(hands: Callable, order: Order) -> Tries:
    """Tries by the hands of `batch.hands`."""
    return lambda shares: (said for _, said in hands(tried_to_order, order, shares))


def _said(whole: Whole | Draft) -> Iterator[Said]:
    failed = np.zeros(len(whole.index), dtype=bool)
    for failure in whole.failures:
        bodies = failure.bodies & ~failed if failure.severity == "error" else failure.bodies
        failed |= (failure.severity == "error") & failure.bodies
        by_title: dict[str, list[int]] = {}
        for place in np.flatnonzero(bodies).tolist():
            by_title.setdefault(title_of(failure, place), []).append(place)
        for title, places in by_title.items():
            yield Said(failure.severity, failure.code, failure.span, title, whole.index[places])


def title_of(failure: Failure, place: int) -> str:
    """What the failure is called for a body; of titles that differ from body to body the figures are left open."""
    return figures_open(failure.title(place)) if callable(failure.title) else failure.title


def figures_open(title: str) -> str:
    return _FIGURE.sub("...", title)
