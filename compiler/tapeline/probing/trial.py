"""Bodies tried on a style: which pass, and in which kind of failure the others end.

A body's kind is that of its first error: the rule whose place was not found, the dart, the outline, the seam, the
requirement or the allowance, in the order in which a draft is made and judged.  What follows from it is not counted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from ..batch.workers import Stopped
from ..bodies.measurement import Doubt
from ..drafting.courses import Draft
from ..drafting.failures import Failure
from ..drafting.run import CHUNK
from ..finishing.whole import Whole
from ..geometry.arrays import Floats, Indices, Mask
from ..meaning.style import Style
from ..source.text import Span
from .spread import Variable, believed
from .tries import Ending, TrialShare, Tries, drafted, figures_open, here, title_of

PASSES, NOT_BELIEVED = -1, -2


class FailureKind(NamedTuple):
    """One kind of failure: its code, the rule, and what was said, with every figure left open."""

    code: str
    span: Span | None
    title: str

    @property
    def of_allowances(self) -> bool:
        return self.code.startswith("T")

    @property
    def place(self) -> str:
        return "" if self.span is None else f"{self.span.source.name}:{self.span.line}"


class Trial:
    """A style with what may differ in it.  `kinds` grows with every failure that has not been met before.

    `tries` tries the shares of more bodies than one share holds; fewer are tried here.
    """

    def __init__(
        self, style: Style, variables: list[Variable], settings: Mapping[str, float], unit: str = "cm", tries: Tries | None = None
    ):
        self.style, self.variables, self.settings, self.unit = style, variables, dict(settings), unit
        self.tries = tries or here(style)
        self.done: Callable[[int], object] = lambda count: None
        self.doubts = [doubt for doubt in style.doubts if not doubt.occurs]
        self.kinds: list[FailureKind] = []
        self.cautions: Counter[int] = Counter()  # number of the kind -> bodies
        self._known: dict[tuple[str, str, str], int] = {}

    def kinds_of(
        self, table: Floats, doubts: Iterable[Doubt] | None = None, count_cautions: bool = False, finished: bool = True
    ) -> Indices:
        """The kind (N,) in which each body fails, PASSES, or NOT_BELIEVED, which is not drafted.

        Unless `finished`, the allowances are left out, and with them the kinds of failure that they have.
        """
        answer = np.where(believed(table, self.variables, self.doubts if doubts is None else doubts), PASSES, NOT_BELIEVED)
        index = np.flatnonzero(answer == PASSES)
        parts = [index[first : first + CHUNK] for first in range(0, len(index), CHUNK)]
        shares = (self.share(table[bodies], finished) for bodies in parts)
        answers = (self.tries if len(parts) > 1 else here(self.style))(shares)
        for bodies in parts:
            try:
                endings = next(answers)
            except Stopped:
                raise
            except Exception as fault:  # of the program, not of the style: whoever mends it needs the body
                raise self._reported(fault, table[bodies], finished) from fault
            for ending in endings:
                if ending.severity == "error":
                    answer[bodies[ending.bodies]] = self._number(ending)
                elif ending.severity == "caution" and count_cautions:
                    self.cautions[self._number(ending)] += len(ending.bodies)
            self.done(len(bodies))
        return answer

    def share(self, table: Floats, finished: bool = True) -> TrialShare:
        measures = {variable.name: table[:, k] for k, variable in enumerate(self.variables) if not variable.choice}
        choices: dict[str, npt.ArrayLike] = {variable.name: table[:, k] for k, variable in enumerate(self.variables) if variable.choice}
        return TrialShare(len(table), measures, {**self.settings, **choices}, self.unit, finished)

    def drafted(self, table: Floats, finished: bool = True) -> list[Whole] | list[Draft]:
        return drafted(self.style, self.share(table, finished))

    def _reported(self, fault: Exception, table: Floats, finished: bool) -> RuntimeError:
        """The fault with one body, or the fewest found, for whom the program has it."""
        halved = True
        while halved and len(table) > 1:
            halved = False
            for half in (table[: len(table) // 2], table[len(table) // 2 :]):
                try:
                    self.drafted(half, finished)
                except Exception:
                    table, halved = half, True
                    break
        figures = ", ".join(
            f"{variable.name} {variable.show(value, self.unit)}" for variable, value in zip(self.variables, table[0], strict=True)
        )
        return RuntimeError(f"{type(fault).__name__} {fault} for {figures}")

    def fails_in(self, table: Floats, code: str, span: Span) -> Mask:
        """Mask (N,) of the bodies of whom this code is said of this rule, first or later."""
        answer = np.zeros(len(table), dtype=bool)
        for whole in self.drafted(table):
            for failure in whole.failures:
                if failure.code == code and _place(failure.span) == _place(span):
                    answer[whole.index] |= failure.bodies
        return answer

    def number_of(self, failure: Failure, place: int) -> int:
        """The number of the kind of one body's failure."""
        return self._number(Ending(failure.severity, failure.code, failure.span, title_of(failure, place), np.array([place])))

    def _number(self, ending: Ending) -> int:
        """Titles that differ in figures alone are of one kind."""
        kind = FailureKind(ending.code, ending.span, ending.title)
        key = (kind.code, kind.place, figures_open(kind.title))
        if key not in self._known:
            self._known[key] = len(self.kinds)
            self.kinds.append(kind)
        return self._known[key]


def _place(span: Span | None) -> tuple[str, int, int] | None:
    """Where a span stands; texts that were read twice count as one."""
    return None if span is None else (span.source.name, span.start, span.end)
