"""A stream of bodies drafted into a file of results, from wherever an earlier run of the same order ended."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import closing

from ..bodies.stream import Share
from .log import Log
from .order import Order
from .results import results_of
from .workers import Workers


def draft_all(
    order: Order, shares: Iterable[Share], log: Log, workers: Workers, done: Callable[[int], None] = lambda count: None
) -> None:
    """Draft every body whose result is wanting, and end the log.  `done` is told how many results there are by then.

    A share of which only a part is there is drafted whole again, so that its bodies keep the company in which they were first
    drafted; only the wanting lines are added.
    """
    with closing(workers(results_of, order, log.new(shares))) as work:
        for share, results in work:
            there = log.count - share.first + 1
            log.add(results.lines[there:], results.passed[there:])
            done(log.count)
    log.end()
