"""From the bodies that fail in one kind to the simplest one: fewest measures away from a middle body that passes, then
nearest to it, then the roundest figures; and how far each measure may go before it fails.

A step of a shrinker is a generator: it yields bodies to try and is sent the kinds in which they fail, so that all steps of
all kinds can be served by one draft a round (`together`).
"""

from __future__ import annotations

import math
from collections.abc import Generator, Iterable, Sequence
from typing import NamedTuple, TypeAlias, TypeVar

import numpy as np

from ..geometry.arrays import Floats, Indices
from ..source.units import UNITS
from .spread import Variable
from .trial import PASSES, Trial

STARTS = 4  # failing bodies that are shrunk side by side
SECTIONS = 16  # places tried at once between two bodies
ROUNDS = 3  # times that such a section is cut finer
# Figures from round to exact, and how far beyond the boundary a rounder one may lie.  Millimetres, radians, numbers.
ROUND = {"cm": (100.0, 50.0, 10.0, 5.0, 1.0), "in": (254.0, 127.0, 25.4, 12.7, 6.35, 3.175, 1.5875)}
ROUND_ANGLES = tuple(math.radians(degrees) for degrees in (10.0, 5.0, 1.0, 0.5, 0.1))
ROUND_NUMBERS = (10.0, 5.0, 1.0, 0.5, 0.1, 0.05, 0.01)
LEEWAY = {"length": 5.0, "angle": math.radians(0.5), "number": 0.05}


class Query(NamedTuple):
    """Bodies (N, V) to try; whether with their allowances."""

    table: Floats
    finished: bool


T = TypeVar("T")
Search: TypeAlias = Generator[Query, Indices, T]  # a step of a shrinker, which comes to a T


class Margin(NamedTuple):
    """One measure of a failing body, all others as they are: the last figure that fails and the first that passes."""

    variable: Variable
    fails: float
    passes: float
    differs: bool  # from the middle body


class Simplest(NamedTuple):
    kind: int
    body: Floats  # (V,)
    differs: tuple[int, ...]
    margins: tuple[Margin, ...]


def steps_of(variable: Variable, unit: str) -> tuple[float, ...]:
    """Grids for the figures of a variable, the roundest first."""
    if variable.whole:
        return (1.0,)
    if variable.word == "length":
        return ROUND[UNITS[unit].told_in]
    return ROUND_ANGLES if variable.word == "angle" else ROUND_NUMBERS


def rounded(table: Floats, variables: Sequence[Variable], unit: str, place: int = 2) -> Floats:
    """Bodies with their measures rounded, and the choices as they are, but whole where they must be."""
    table = np.array(table, dtype=float)
    for k, variable in enumerate(variables):
        if not variable.choice or variable.whole:
            step = steps_of(variable, unit)[0 if variable.whole else place]
            table[..., k] = np.clip(np.round(table[..., k] / step) * step, variable.low, variable.high)
    return table


def simplest(trial: Trial, shrinkers: Sequence[tuple[Shrinker, Floats]]) -> list[Simplest]:
    """The simplest body of every kind, out of those (M, V) that fail in it."""
    starts = [(shrinker, body) for shrinker, failing in shrinkers for body in shrinker.starts(failing)]
    shrunk_bodies = together(trial, [shrinker.fewest(body) for shrinker, body in starts])
    shrunk_starts = [
        (shrinker, body)
        for shrinker, _ in shrinkers
        for body in shrinker.best([shrunk for (owner, _), shrunk in zip(starts, shrunk_bodies, strict=True) if owner is shrinker])
    ]
    shrunk_bodies = together(trial, [shrinker.polished(body) for shrinker, body in shrunk_starts])
    best = [
        shrinker.best([shrunk for (owner, _), shrunk in zip(shrunk_starts, shrunk_bodies, strict=True) if owner is shrinker])[0]
        for shrinker, _ in shrinkers
    ]
    margins = together(trial, [shrinker.margins(body) for (shrinker, _), body in zip(shrinkers, best, strict=True)])
    return [
        Simplest(shrinker.kind, body, tuple(shrinker.differs(body).tolist()), margin)
        for (shrinker, _), body, margin in zip(shrinkers, best, margins, strict=True)
    ]


def together(trial: Trial, steps: Iterable[Search[T]]) -> list[T]:
    """What every step returns, all their bodies of a round drafted in one."""
    running = dict(enumerate(steps))
    results: dict[int, T] = {}
    answers: dict[int, Indices] = {}
    while running:
        queries: dict[int, Query] = {}
        for number, step in list(running.items()):
            try:
                queries[number] = step.send(answers[number]) if number in answers else next(step)
            except StopIteration as end:
                results[number] = end.value
                del running[number]
        for finished in (False, True):
            some = [number for number, query in queries.items() if query.finished == finished]
            if some:
                kinds = trial.kinds_of(np.concatenate([queries[number].table for number in some]), finished=finished)
                ends = np.cumsum([len(queries[number].table) for number in some])[:-1]
                answers.update(zip(some, np.split(kinds, ends), strict=True))
    return [results[number] for number in sorted(results)]


class Shrinker:
    """One kind's way to its simplest body.  `scale` (V,) is how much of each variable counts as one."""

    def __init__(self, kind: int, of_allowances: bool, variables: Sequence[Variable], middle: Floats, scale: Floats, unit: str) -> None:
        self.of_allowances = of_allowances
        self.kind, self.variables, self.middle, self.scale, self.unit = kind, variables, middle, scale, unit
        self.whole = np.array([variable.whole for variable in variables], dtype=bool)

    def off(self, body: Floats) -> Floats:
        """How far each variable lies from the middle body, in its scale."""
        off: Floats = np.abs(body - self.middle) / self.scale
        return off

    def differs(self, body: Floats) -> Indices:
        return np.flatnonzero(self.off(body) > 1e-9)

    def _key(self, body: Floats) -> tuple[int, float]:
        return len(self.differs(body)), float(self.off(body).sum())

    def starts(self, failing: Floats) -> list[Floats]:
        """The failing bodies (M, V) to begin with: those nearest to the middle, and one farther away."""
        off = self.off(failing)
        order = np.lexsort((off.sum(axis=1), (off > 1e-9).sum(axis=1)))
        far = order[len(order) // 2 :][:1] if len(order) >= STARTS else order[:0]
        return [failing[k] for k in (*order[: STARTS - 1], *far)]

    def best(self, bodies: Sequence[Floats]) -> list[Floats]:
        """Of shrunken bodies those that differ in fewest variables, one of each choice of them, the nearest first."""
        bodies = sorted(bodies, key=self._key)
        fewest = {
            frozenset(self.differs(body).tolist()): body
            for body in reversed(bodies)
            if len(self.differs(body)) == len(self.differs(bodies[0]))
        }
        return sorted(fewest.values(), key=self._key)

    def polished(self, body: Floats) -> Search[Floats]:
        """As near to the middle as can be, then on round figures, until no variable can be set back any more."""
        for _ in range(3):
            body = yield from self._nearest(body)
            body = yield from self._roundest(body)
            before = len(self.differs(body))
            body = yield from self.fewest(body)
            if len(self.differs(body)) == before:
                break
        return body

    def fewest(self, body: Floats) -> Search[Floats]:
        """Set back to the middle whatever can be, first many variables at once and in the end each alone."""
        while True:
            away = self.differs(body)
            if len(away) == 0:
                return body
            near = away[np.argsort(self.off(body)[away], kind="stable")]
            sets = {frozenset(some[:k]) for some in (near.tolist(), near[::-1].tolist()) for k in range(1, len(away) + 1)}
            sets |= {frozenset([int(k)]) for k in away}
            tried = sorted(sets, key=lambda some: (-len(some), sorted(some)))
            table = np.tile(body, (len(tried), 1))
            for row, some in enumerate(tried):
                table[row, list(some)] = self.middle[list(some)]
            kinds = yield Query(table, self.of_allowances)
            good = np.flatnonzero(kinds == self.kind)
            if len(good) == 0:
                return body
            body = min((table[k] for k in good), key=self._key)

    def _between(self, body: Floats, moved: Indices) -> Search[Floats]:
        """The place nearest to the middle body at which it still fails, on the way of the variables `moved`."""
        here, low, high = body, 0.0, 1.0
        for _ in range(ROUNDS):
            parts = low + (high - low) * np.arange(1, SECTIONS) / SECTIONS
            table = np.tile(body, (len(parts), 1))
            table[:, moved] = self.middle[moved] + parts[:, None] * (body - self.middle)[moved]
            table[:, self.whole] = np.round(table[:, self.whole])
            kinds = yield Query(table, self.of_allowances)
            good = np.flatnonzero(kinds == self.kind)
            if len(good):
                high, here = parts[good[0]], table[good[0]]
            failing = good[0] if len(good) else len(parts)
            low = parts[failing - 1] if failing else low
        return here

    def _nearest(self, body: Floats) -> Search[Floats]:
        away = self.differs(body)
        if len(away) > 1:
            body = yield from self._between(body, away)
        for k in self.differs(body):
            body = yield from self._between(body, np.array([k]))
        return body

    def _roundest(self, body: Floats) -> Search[Floats]:
        """Each variable in turn on the roundest figure, at most a little farther from the middle, that fails as well."""
        for k in self.differs(body):
            variable = self.variables[k]
            if variable.whole:
                continue
            out = 1.0 if body[k] > self.middle[k] else -1.0
            leeway = max(LEEWAY.get(variable.word, 0.0), steps_of(variable, self.unit)[-1])
            figures = []
            for step in steps_of(variable, self.unit):
                figure = out * math.ceil(out * body[k] / step - 1e-9) * step
                if abs(figure - body[k]) <= leeway * 1.0001:
                    figures.append(figure)
            if not figures:
                continue
            table = np.tile(body, (len(figures), 1))
            table[:, k] = figures
            kinds = yield Query(table, self.of_allowances)
            good = np.flatnonzero(kinds == self.kind)
            if len(good):
                body = table[good[0]]
        return body

    def margins(self, body: Floats) -> Search[tuple[Margin, ...]]:
        """For every variable the nearest figure with which the body passes, and the last one that fails before it."""
        differs = self.differs(body).tolist()
        ways = [(k, self.middle[k]) for k in differs]
        others = [k for k in range(len(self.variables)) if k not in differs]
        ways += [(k, end) for k in others for end in (self.variables[k].low, self.variables[k].high) if end != body[k]]
        if not ways:
            return ()
        # A coarse look along each way for the first figure that passes, then finer between it and the one before.
        low, high = np.zeros(len(ways)), np.full(len(ways), np.nan)
        starts, ends = np.array([body[k] for k, _ in ways]), np.array([end for _, end in ways])
        grid = np.array([steps_of(self.variables[k], self.unit)[-1] for k, _ in ways])
        for turn in range(ROUNDS + 1):
            wide = np.abs((high - low) * (ends - starts)) > grid * 1.01  # not where nothing passes
            open_ = np.flatnonzero(wide) if turn else np.arange(len(ways))
            if len(open_) == 0:
                break
            parts = low[open_, None] + (np.where(np.isnan(high[open_]), 1.0, high[open_]) - low[open_])[:, None] * (
                np.arange(1, SECTIONS + 1) / SECTIONS
            )
            figures = starts[open_, None] + parts * (ends - starts)[open_, None]
            inner = np.round(figures / grid[open_, None]) * grid[open_, None]
            inner = np.clip(inner, np.minimum(starts, ends)[open_, None], np.maximum(starts, ends)[open_, None])
            figures = np.where(parts < 1.0, inner, figures)
            table = np.tile(body, (figures.size, 1))
            table[np.arange(figures.size), np.repeat([ways[w][0] for w in open_], SECTIONS)] = figures.reshape(-1)
            passes = ((yield Query(table, True)) == PASSES).reshape(figures.shape)
            for row, w in enumerate(open_.tolist()):
                good = np.flatnonzero(passes[row])
                if len(good):
                    at = (figures[row] - starts[w]) / (ends[w] - starts[w])
                    high[w] = at[good[0]]
                    low[w] = at[good[0] - 1] if good[0] else low[w]
        margins = []
        for w, (k, _) in enumerate(ways):
            if not np.isnan(high[w]):
                fails, passing = (float(starts[w] + at * (ends[w] - starts[w])) for at in (low[w], high[w]))
                margins.append(Margin(self.variables[k], fails, passing, k in differs))
        return tuple(margins)
