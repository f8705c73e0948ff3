"""Rounding that keeps the garment: which figures are rounded the other way, so that girths and seams come out.

Each figure is first rounded to the nearest step of the ruler.  Then every level of the ledger and every seam is measured
on the pieces as drawn (`sewn`).  Where one is off by more than a step for the whole body, remainders are apportioned: of all the
points that it rests on, that one is moved by one step, across or down, which brings the measures nearest while the points stay
near their places and the pieces near their shares; what had been rounded by most the wrong way goes first.  How often a
piece is cut is in the measure's slope, and the width of a dart is a figure like another.  The sheet is written again with
the points where they are to be, and measured again, until nothing is off or nothing helps; the best sheet is kept.  No point
goes further than a step from where it belongs, or a little more where that does not do; none leaves the fold.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats, Mask
from .section import Aims, HandDraft, HandSection, PointKey
from .sewn import Balance

ENOUGH = 0.97  # of a step, as reckoned; a little less than a step, since a slope is not the whole of a curve
IN_VAIN = 3  # sheets written, one after another, of which none was better than the best before
TURNS = 40  # points moved between two sheets at most
FARTHEST = (1.0, 1.1, 1.25)  # steps that a point may go from where it belongs: the next where the one before does not do
APART = 1e-6


class Written(NamedTuple):
    """A sheet, and the measures that it should keep."""

    draft: HandDraft
    balances: Sequence[Balance]

    def off(self) -> float:
        """The worst measure, in mm."""
        return max((abs(balance.off) for balance in self.balances if balance.binds), default=0.0)


def apportioned(write: Callable[[Aims], Written]) -> HandDraft:
    """The sheet whose girths and seams come nearest."""
    aims: dict[PointKey, Floats] = {}
    best = written = write(aims)
    step = written.draft.rule.step
    for farthest in FARTHEST:
        in_vain = 0
        while best.off() > step + APART and in_vain < IN_VAIN and (turned := _turned(written, step, farthest)):
            aims |= turned
            written = write(aims)
            in_vain += 1
            if written.off() < best.off() - APART:
                best, in_vain = written, 0
    return best.draft


class _Movable:
    """A point that may be moved: where it lies off its place, in steps, and how it moves each measure, in steps for each."""

    def __init__(self, section: HandSection, label: str, balances: Sequence[Balance]) -> None:
        self.key, self.step = section.owners[label], section.rule.step
        self.at = section.drawn[label]
        self.off = (self.at - section.true[label]) / self.step
        self.slopes = np.array([balance.slope.get(self.key, np.zeros(2)) for balance in balances])
        self.free = _free(section, label)
        self.moved = np.zeros(2)
        taken = (knee for knee, (_, _, foot) in section.following.items() if foot == label)
        self.knees = [(section.drawn[knee] - section.true[knee]) / self.step for knee in taken]  # that go with it

    def goes(self, by: Floats, farthest: float) -> bool:
        """Whether it may be moved on: neither it nor what goes with it too far."""
        return all(float(np.hypot(*(off + self.moved + by))) <= farthest for off in (self.off, *self.knees))


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


def _turned(written: Written, step: float, farthest: float) -> dict[PointKey, Floats]:
    """Points to be moved, and where to."""
    balances = written.balances
    off = np.array([balance.off for balance in balances]) / step
    binds = np.array([balance.binds for balance in balances])
    points = [
        _Movable(section, label, balances)
        for section in written.draft.sections
        for label in section.drawn
        if section.owners[label] == (section.name, label) and any(section.owners[label] in balance.slope for balance in balances)
    ]
    for _ in range(TURNS):
        if np.abs(off[binds]).max(initial=0.0) <= ENOUGH:
            break
        move = min(_moves(points, off, binds, step, farthest), key=lambda move: move.cost, default=None)
        if move is None or move.cost >= 0.0:
            break
        move.point.moved = move.point.moved + move.by
        off = move.left
    return {point.key: point.at + point.moved * point.step for point in points if point.moved.any()}


class _PointMove(NamedTuple):
    point: _Movable
    by: Floats
    left: Floats  # what is then off
    cost: float  # less than nothing where it is better than to leave it


def _moves(points: Sequence[_Movable], off: Floats, binds: Mask, step: float, farthest: float) -> list[_PointMove]:
    moves = []
    for point in points:
        for axis in (0, 1):
            for way in (-1.0, 1.0):
                by = np.array([way if axis == k else 0.0 for k in (0, 1)])
                before, after = point.off + point.moved, point.off + point.moved + by
                if not point.free[axis] or not point.goes(by, farthest):
                    continue
                left = off + point.slopes @ by * (point.step / step)
                gain = _amiss(left[binds]) - _amiss(off[binds])
                if gain < -APART:
                    farther = float(after @ after - before @ before)
                    shares = float((left[~binds] ** 2 - off[~binds] ** 2).sum())
                    moves.append(_PointMove(point, by, left, gain + 0.5 * farther + shares))
    return moves


def _amiss(off: Floats) -> float:
    """What is off by more than enough weighs by far the most."""
    return float(20.0 * np.maximum(np.abs(off) - ENOUGH, 0.0).sum() + 0.1 * (off @ off))
