"""Bodies tried on a style: which pass, and in which kind of failure the others end.

A body's kind is that of its first error: the rule whose place was not found, the dart, the outline, the seam, the
requirement or the turning, in the order in which a draft is made and judged.  What follows from it is not counted.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

import numpy as np

from ..drafting.failures import Failure
from ..drafting.run import BATCH, Draft, draft
from ..finishing.whole import Whole, drafted_whole
from ..meaning.style import Style
from ..source.text import Span
from .spread import Variable, believed

PASSES, NOT_BELIEVED = -1, -2
_FIGURE = re.compile(r"~?-?\d[\d./]*(?: \d+/\d+)?")


class Kind(NamedTuple):
    """One kind of failure: its code, the rule, and what was said, with every figure left open."""

    code: str
    span: Span | None
    title: str

    @property
    def of_turnings(self) -> bool:
        return self.code.startswith("T")

    @property
    def place(self) -> str:
        return "" if self.span is None else f"{self.span.source.name}:{self.span.line}"


class Trial:
    """A style with what may differ in it.  `kinds` grows with every failure that has not been met before."""

    def __init__(self, style: Style, variables: list[Variable], settings: Mapping[str, float], unit: str = "cm",
                 done: Callable[[int], None] = lambda count: None):
        self.style, self.variables, self.settings, self.unit, self.done = style, variables, dict(settings), unit, done
        self.doubts = style.doubts
        self.kinds: list[Kind] = []
        self.cautions: Counter[int] = Counter()  # number of the kind -> bodies
        self._known: dict[tuple, int] = {}

    def kinds_of(self, table: np.ndarray, doubts: Iterable | None = None, count_cautions: bool = False,
                 finished: bool = True) -> np.ndarray:
        """The kind (N,) in which each body fails, PASSES, or NOT_BELIEVED, which is not drafted.

        Unless `finished`, the turnings are left out, and with them the kinds of failure that they have.
        """
        answer = np.where(believed(table, self.variables, self.doubts if doubts is None else doubts), PASSES, NOT_BELIEVED)
        index = np.flatnonzero(answer == PASSES)
        for first in range(0, len(index), BATCH):
            bodies = index[first:first + BATCH]
            try:
                wholes = self.drafted(table[bodies], finished)
            except Exception as fault:  # of the program, not of the style: whoever mends it needs the body
                raise self._told(fault, table[bodies], finished) from fault
            for whole in wholes:
                answer[bodies[whole.index]] = self._kinds(whole, count_cautions)
            self.done(len(bodies))
        return answer

    def drafted(self, table: np.ndarray, finished: bool = True) -> list[Whole] | list[Draft]:
        measures = {one.name: table[:, k] for k, one in enumerate(self.variables) if not one.choice}
        choices = {one.name: table[:, k] for k, one in enumerate(self.variables) if one.choice}
        if not measures:  # a style without measures is one body for every set of choices
            measures = {"": np.zeros(len(table))}
        return (drafted_whole if finished else draft)(self.style, measures, {**self.settings, **choices}, self.unit)

    def _told(self, fault: Exception, table: np.ndarray, finished: bool) -> RuntimeError:
        """The fault with one body, or the fewest found, for whom the program has it."""
        halved = True
        while halved and len(table) > 1:
            halved = False
            for half in (table[:len(table) // 2], table[len(table) // 2:]):
                try:
                    self.drafted(half, finished)
                except Exception:
                    table, halved = half, True
                    break
        figures = ", ".join(f"{one.name} {one.show(value, self.unit)}" for one, value in zip(self.variables, table[0], strict=True))
        return RuntimeError(f"{type(fault).__name__} {fault} for {figures}")

    def fails_in(self, table: np.ndarray, code: str, span: Span) -> np.ndarray:
        """Mask (N,) of the bodies of whom this code is said of this rule, first or later."""
        answer = np.zeros(len(table), dtype=bool)
        for whole in self.drafted(table):
            for failure in whole.failures:
                if failure.code == code and _place(failure.span) == _place(span):
                    answer[whole.index] |= failure.bodies
        return answer

    def _kinds(self, whole: Whole | Draft, count_cautions: bool) -> np.ndarray:
        kinds = np.full(len(whole.index), PASSES)
        for failure in whole.failures:
            if failure.severity == "error":
                for number, bodies in self._numbered(failure, failure.bodies & (kinds == PASSES)):
                    kinds[bodies] = number
            elif failure.severity == "caution" and count_cautions:
                for number, bodies in self._numbered(failure, failure.bodies):
                    self.cautions[number] += len(bodies)
        return kinds

    def _numbered(self, failure: Failure, mask: np.ndarray):
        """(number of a kind, places of bodies) of the bodies in the mask."""
        places = np.flatnonzero(mask)
        if len(places) and not callable(failure.title):
            yield self.number_of(failure, 0), places
        elif len(places):
            for place in places:
                yield self.number_of(failure, int(place)), np.array([place])

    def number_of(self, failure: Failure, place: int) -> int:
        """The number of the kind of one body's failure.  Titles that differ in figures alone are of one kind."""
        said = failure.title(place) if callable(failure.title) else failure.title
        open_ = _FIGURE.sub("...", said)
        kind = Kind(failure.code, failure.span, open_ if callable(failure.title) else said)
        key = (kind.code, kind.place, open_)
        if key not in self._known:
            self._known[key] = len(self.kinds)
            self.kinds.append(kind)
        return self._known[key]


def _place(span: Span | None) -> tuple:
    """Where a span stands; texts that were read twice count as one."""
    return () if span is None else (span.source.name, span.start, span.end)
