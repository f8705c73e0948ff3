"""Offset runs: an allowance's cut line before its corners are made, and the ways of carrying it on and cutting
it off.

A run is a polyline (N, K, 2) of fixed K.  Seen from the corner it comes to, it is an `Approach`: it may be
carried straight on by a tail, and it may be cut off at a `position`, an index and a fraction of a step
counted from its far end; a position beyond the last index lies in the tail and cuts nothing off.  Cutting off
rests all later points on the stopping point, so that K never depends on a body.  Positions and points are NaN
where there is no meeting.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..geometry.arrays import Bodies, Floats, Indices
from ..geometry.motion import Motion
from ..geometry.plane import choose, cross, norm

SLACK = 1e-9  # of a step: a crossing so near a joint of the run is held to be at the joint
PAIRS, LEAST = 100_000, 256  # of points looked at together where every step of one run is tried against every step of another; bodies
FEW = 64  # pairs of points that are tried without looking first where the runs come near


Crossing = tuple[Floats, Floats, Floats]  # positions (N,) on two runs, and the point (N, 2)


@dataclass(slots=True, eq=False)
class Approach:
    """A run that comes to a corner.  `parts` are its points (N, K_i, 2) in a row, the rest (N, 2) or (N,).

    The last point is `net + width * outward`; `along` is the unit direction in which the run goes past the
    corner.  `drawn` are the parts where they lie before they are `carried` to the corner, which few corners ask for.
    """

    drawn: tuple[Floats, ...]
    net: Floats
    along: Floats
    outward: Floats
    width: Floats
    carried: Motion | None = None

    @property
    def parts(self) -> tuple[Floats, ...]:
        return self.drawn if self.carried is None else tuple(self.carried.points(part) for part in self.drawn)

    @property
    def end(self) -> Floats:
        end = self.drawn[-1][:, -1]
        return end if self.carried is None else self.carried.points(end)

    @property
    def count(self) -> int:
        return sum(part.shape[1] for part in self.drawn)

    def of(self, some: Indices) -> Floats:
        """The points (M, K, 2) of some of the bodies."""
        return np.concatenate([part[some] for part in self.parts], axis=1)

    def nearest(self, count: int) -> Floats:
        """So many of its last points (N, K, 2), or all."""
        last: list[Floats] = []
        found = 0
        for part in reversed(self.parts):
            last.insert(0, part[:, -(count - found) :])
            found += last[0].shape[1]
            if found >= count:
                break
        return np.concatenate(last, axis=1)

    def carried_on(self, reach: Floats, first: int = 0) -> Floats:
        """The run, from one of its parts on, with a straight tail of length `reach` (N,): (N, K + 1, 2)."""
        tail = self.end + reach[:, None] * self.along
        return np.concatenate([*self.parts[first:], tail[:, None]], axis=1)

    def to_line(self, direction: Floats, reach: Floats) -> tuple[Floats, Floats]:
        """(position, point) where the run, carried on, last meets the line through the net corner.

        Only meetings within `reach` (N,) of the net corner count.
        """
        for first in (len(self.parts) - 1, 0):  # the last part alone will do, where it meets the line for every body
            run = self.carried_on(reach, first)
            side = cross(direction[:, None], run - self.net[:, None])
            before, after = side[:, :-1], side[:, 1:]
            hit = (before * after <= 0.0) & (before != after)
            if (hit.any(axis=1) | ~np.isfinite(side[:, -1])).all():
                break
        skipped = self.count + 1 - run.shape[1]
        step = hit.shape[1] - 1 - np.argmax(hit[:, ::-1], axis=1)
        body = np.arange(len(run))
        with np.errstate(invalid="ignore", divide="ignore"):
            part = before[body, step] / (before[body, step] - after[body, step])
            point = run[body, step] + part[:, None] * (run[body, step + 1] - run[body, step])
            meets = hit[body, step] & (norm(point - self.net) <= reach)
        return np.where(meets, skipped + step + part, np.nan), choose(meets, point, np.full_like(point, np.nan))


def rest(points: Floats, position: Floats, point: Floats) -> bool:
    """Lay all that comes at or after `position` (N,) of a run (N, K, 2) on `point` (N, 2), in place; whether that is its start too."""
    last = points.shape[1] - 1
    stopped = np.flatnonzero(position - SLACK <= last)
    if not len(stopped):
        return False
    bodies: Bodies = slice(None) if len(stopped) == len(points) else stopped
    first = max(int(np.ceil(position[bodies].min() - SLACK)), 0)
    past = np.arange(first, last + 1) >= position[bodies, None] - SLACK
    for axis in (0, 1):
        points[bodies, first:, axis] = np.where(past, point[bodies, axis, None], points[bodies, first:, axis])
    return first == 0


def cut_off(points: Floats, position: Floats, point: Floats) -> Floats:
    """The run (N, K, 2) with all that comes at or after `position` (N,) resting on `point` (N, 2)."""
    past = np.arange(points.shape[1]) >= position[:, None] - SLACK
    return choose(past, point[:, None], points)


def first_crossing(run: Floats, other: Floats, centre: Floats, reach: Floats) -> Crossing:
    """(position on `run`, position on `other`, point) of the crossing that comes first along `other`.

    Runs (N, K, 2) and (N, L, 2); only crossings within `reach` (N,) of `centre` (N, 2) count.
    """
    size = max(PAIRS // (run.shape[1] * other.shape[1]), LEAST)
    if size >= len(run):
        return _first_crossing(run, other, centre, reach)
    lots = [
        _first_crossing(run[i : i + size], other[i : i + size], centre[i : i + size], reach[i : i + size])
        for i in range(0, len(run), size)
    ]
    at, other_at, point = (np.concatenate(parts) for parts in zip(*lots, strict=True))
    return at, other_at, point


def _steps_in(run: Floats, low: Floats, high: Floats) -> tuple[slice, Floats, Floats]:
    """The points of a run that hold all its steps in the boxes from `low` to `high` (N, 2), for any body.

    With them the boxes narrowed to those points.
    """
    least, most = np.minimum(run[:, :-1], run[:, 1:]), np.maximum(run[:, :-1], run[:, 1:])
    steps = np.flatnonzero(((least <= high[:, None]) & (most >= low[:, None])).all(axis=2).any(axis=0))
    part = slice(int(steps[0]), int(steps[-1]) + 2) if len(steps) else slice(0, 2)
    return part, np.maximum(low, run[:, part].min(axis=1)), np.minimum(high, run[:, part].max(axis=1))


def _first_crossing(run: Floats, other: Floats, centre: Floats, reach: Floats) -> Crossing:
    run_steps = other_steps = slice(0, None)
    if run.shape[1] * other.shape[1] > FEW:
        # Boxes only save work: they leave out steps that cannot cross within reach.
        margin = reach[:, None] * (1.0 + SLACK) + SLACK
        _, low, high = _steps_in(other, centre - margin, centre + margin)
        run_steps, low, high = _steps_in(run, low - SLACK * margin, high + SLACK * margin)
        other_steps, _, _ = _steps_in(other, low - SLACK * margin, high + SLACK * margin)
        run, other = run[:, run_steps], other[:, other_steps]

    start, step = run[:, :-1, None], (run[:, 1:] - run[:, :-1])[:, :, None]
    begin, stride = other[:, None, :-1], (other[:, 1:] - other[:, :-1])[:, None]
    gap = begin - start
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = cross(step, stride)
        along, across = cross(gap, stride) / spread, cross(gap, step) / spread
        hit = (along >= -SLACK) & (along <= 1 + SLACK) & (across >= -SLACK) & (across <= 1 + SLACK)
        apart = start + along[..., None] * step - centre[:, None, None]
        hit &= norm(apart) <= reach[:, None, None]
    n, _, width = hit.shape
    order = np.where(hit, np.arange(width) + across, np.inf).reshape(n, -1)
    best = np.argmin(order, axis=1)
    body, crosses = np.arange(n), np.isfinite(order[np.arange(n), best])
    i, j = best // width, best % width
    point = np.where(crosses[:, None], apart[body, i, j] + centre, np.nan)
    at, other_at = run_steps.start + i + along[body, i, j], other_steps.start + j + across[body, i, j]
    return np.where(crosses, at, np.nan), np.where(crosses, other_at, np.nan), point
