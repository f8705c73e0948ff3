"""Rounding that keeps the garment: which figures are rounded the other way, so that girths and seams come out.

Each figure is first rounded to the nearest step of the ruler.  Then every level of the ledger and every seam is measured
on the pieces as drawn (`sewn`).  Where one is off by more than a step for the whole body, remainders are apportioned: of all the
points that it rests on, that one is moved by one step, across or down, which brings the measures nearest while the points stay
near their places and the pieces near their shares; what had been rounded by most the wrong way goes first.  How often a
piece is cut is in the measure's slope, and the width of a dart is a figure like another.  The sheet is written again with
the points where they are to be, and measured again; where that was no better, with one point moved, or two.  No point
goes further than a step from where it belongs, or a little more where that does not do; none leaves the fold.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats
from .section import Aims, HandDraft, HandSection, PlaceKey, place_key
from .sewn import Balance

ENOUGH = 0.9  # of a step, as reckoned; less than a step, since a slope is not the whole of a curve and another hand draws it otherwise
OF_A_CURVE, MARGIN = 0.03, 0.7  # of a step, for each curve that a measure rests on; and no less than this is asked
LEAST = 0.3  # nor than this where two hands draw it unlike
AT_ONCE = 8  # moves tried of one point, and of two, where moving all that seem to be wanted did not help
TURNS = 40  # points moved between two sheets at most
TOO_FAR = 1.0  # steps, as reckoned: then the ruler is too coarse
FARTHEST = (1.0, 1.1, 1.25, 1.5)  # steps that a point may go from where it belongs: the next where the one before does not do
APART = 1e-6


class Written(NamedTuple):
    """A sheet, and the measures that it should keep."""

    draft: HandDraft
    balances: Sequence[Balance]
    all_told: bool = True  # whether every girth can be read on the drawn pieces

    def beyond(self, enough: float = ENOUGH) -> float:
        """By how much, in mm and all together, its measures are off by more than so much of a step."""
        step = self.draft.rule.step
        return sum(max(0.0, abs(balance.off) - _allowed(enough, balance, step) * step) for balance in self.balances if balance.binds)


def _allowed(enough: float, balance: Balance, step: float) -> float:
    """To what part of a step a measure should come: nearer, the more curves it rests on and the more unlike two hands draw it."""
    by_curves = max(MARGIN, enough - OF_A_CURVE * balance.curves)
    return max(LEAST, by_curves - balance.apart / (2 * step))


def apportioned(write: Callable[[Aims], Written]) -> Written:
    """The sheet whose girths and seams come nearest."""
    aims: Aims = {}
    best = write(aims)
    for farthest in FARTHEST:
        better: tuple[Aims, Written] | None = aims, best
        while best.beyond() > APART and better is not None:
            tries = (({**aims, **turned}, write({**aims, **turned})) for turned in _ways_on(best, farthest))
            better = next((one for one in tries if one[1].beyond() < best.beyond() - APART), None)
            aims, best = better or (aims, best)
    return best


class _Movable:
    """A point that may be moved: where it lies off its place, in steps, and how it moves each measure, in steps for each."""

    def __init__(self, section: HandSection, label: str, balances: Sequence[Balance]) -> None:
        self.key, self.step = section.owners[label], section.rule.step
        self.place = place_key(section.name, section.true[label])
        self.at = section.drawn[label]
        self.off = (self.at - section.true[label]) / self.step
        self.slopes = np.array([balance.slope.get(self.key, np.zeros(2)) for balance in balances])
        self.free = _free(section, label)
        self.moved = np.zeros(2)
        self.carried = [(1.0, self.off)]  # which way it, and each knee that is set out from it, goes with it, and how far that is off
        for knee, keys in section.following.items():
            off = (section.drawn[knee] - section.true[knee]) / self.step
            self.carried += [(way, off) for way, key in zip((1.0, -1.0, 1.0), keys, strict=True) if key == self.key]

    def goes(self, by: Floats, farthest: float) -> bool:
        """Whether it may be moved on: neither it nor what goes with it too far."""
        return all(float(np.hypot(*(off + way * (self.moved + by)))) <= farthest for way, off in self.carried)


def _free(section: HandSection, label: str) -> tuple[bool, bool]:
    """Whether a point may go across and down: the start never, and on the fold, and the centre line of a piece drawn by level, only along it."""
    if label in section.starts:
        return False, False
    place, fold = section.true[label], section.piece.cut.fold
    lines = [run for strip in section.edges.get(fold, []) for run in strip] if fold else []
    if any(label in (run.start, run.end) for run in lines):
        way = np.abs(lines[0].lines[0][-1] - lines[0].lines[0][0])
        return bool(way[1] < APART), bool(way[0] < APART)
    return not (section.depths and abs(place[0]) < APART), True


class _PointMove(NamedTuple):
    point: _Movable
    by: Floats
    left: Floats  # what is then off
    farther: float  # what its going further from its place weighs
    cost: float  # less than nothing where it is better than to leave it

    def aim(self) -> tuple[PlaceKey, Floats]:
        return self.point.place, self.point.at + self.by * self.point.step


def _ways_on(written: Written, farthest: float) -> Iterator[Aims]:
    """Points to be moved, and where to: all that seem to be wanted together, then one by one, then two by two, the likeliest first."""
    search = _Search(written, farthest)
    singly = sorted(search.moves(search.start), key=lambda move: move.cost)[:AT_ONCE]
    together = search.together()
    if together:
        yield together
    for move in singly:
        yield dict([move.aim()])
    for pair in search.pairs()[:AT_ONCE]:
        yield dict(move.aim() for move in pair)


class _Search:
    """What may be moved on a sheet, and what that would do by the slopes of the measures."""

    def __init__(self, written: Written, farthest: float) -> None:
        self.step, self.farthest = written.draft.rule.step, farthest
        balances = written.balances
        self.start = np.array([balance.off for balance in balances]) / self.step
        self.binds = np.array([balance.binds for balance in balances])
        self.within = np.array([_allowed(ENOUGH, balance, self.step) for balance in balances])[self.binds]
        self.points = [
            _Movable(section, label, balances)
            for section in written.draft.sections
            for label in section.drawn
            if section.owners[label] == (section.name, label) and any(section.owners[label] in balance.slope for balance in balances)
        ]

    def together(self) -> Aims:
        """As many moves as it takes, each the best after those before."""
        off = self.start
        for _ in range(TURNS):
            if (np.abs(off[self.binds]) <= self.within).all():
                break
            move = min(self.moves(off), key=lambda move: move.cost, default=None)
            if move is None or move.cost >= 0.0:
                break
            move.point.moved = move.point.moved + move.by
            off = move.left
        moved = [point for point in self.points if point.moved.any()]
        aims = {point.place: point.at + point.moved * point.step for point in moved}
        for point in moved:
            point.moved = np.zeros(2)
        return aims

    def pairs(self) -> list[tuple[_PointMove, _PointMove]]:
        """Moves of two points, the likeliest first: each alone may make it worse."""
        every = self.moves(self.start, gaining=False)
        pairs = [
            (self._amiss(one.left + other.left - self.start) + one.farther + other.farther, one, other)
            for k, one in enumerate(every)
            for other in every[k + 1 :]
            if one.point is not other.point
        ]
        return [(one, other) for _, one, other in sorted(pairs, key=lambda pair: pair[0])]

    def moves(self, off: Floats, gaining: bool = True) -> list[_PointMove]:
        """Every point moved by one step each way where it may go; of those that are `gaining` only."""
        moves = []
        for point in self.points:
            for axis, way in ((0, -1.0), (0, 1.0), (1, -1.0), (1, 1.0)):
                by = np.array([way, 0.0] if axis == 0 else [0.0, way])
                if not point.free[axis] or not point.goes(by, self.farthest):
                    continue
                left = off + point.slopes @ by * (point.step / self.step)
                gain = self._amiss(left) - self._amiss(off)
                if gain < -APART or not gaining:
                    before, after = point.off + point.moved, point.off + point.moved + by
                    farther = 0.5 * float(after @ after - before @ before)
                    shares = float((left[~self.binds] ** 2 - off[~self.binds] ** 2).sum())
                    moves.append(_PointMove(point, by, left, farther, gain + farther + shares))
        return moves

    def _amiss(self, off: Floats) -> float:
        """What is off by more than enough weighs by far the most."""
        off = off[self.binds]
        return float(20.0 * np.maximum(np.abs(off) - self.within, 0.0).sum() + 0.1 * (off @ off))
