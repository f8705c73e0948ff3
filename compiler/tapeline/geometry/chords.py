"""Straight strands on a piece of cloth, for N bodies at once: cut, carried, and measured within a convex corner of it.

A strand runs from `a` to `b`, both (N, K, 2).  K is what the bodies of one chunk need together; where a body has fewer, the
others have no length, or are NaN.  Nothing here depends on the order of the strands, so a cut may put the parts of one anywhere.
"""

from __future__ import annotations

import numpy as np

from .arrays import Floats, Mask
from .dual import plain
from .motion import Motion
from .outline import inside
from .path import Path
from .plane import choose, cross, norm, square_to, unit

NO_LENGTH = 1e-6  # mm
ON = 1e-7  # mm; a place so near to the side of a corner lies on it
ON_RIM = 0.012  # mm; a strand that is nowhere farther from the rim of a ring runs along it
BLOCK = 16  # steps of a run that are looked at together
ASIDE = 0.02  # mm; and lies in the ring if so far to one side of it there is room


class Chords:
    __slots__ = ("a", "b")

    def __init__(self, a: Floats, b: Floats) -> None:
        self.a, self.b = a, b

    @classmethod
    def none(cls, n: int) -> Chords:
        return cls(np.zeros((n, 0, 2)), np.zeros((n, 0, 2)))

    @classmethod
    def through(cls, points: Floats) -> Chords:
        """From each of the points (N, M, 2) to the next."""
        return cls(points[:, :-1], points[:, 1:])

    @classmethod
    def along(cls, path: Path) -> Chords:
        """A path as strands, each no longer than its flattening makes it; a path without curves exactly."""
        return cls.through(path.flatten())

    @classmethod
    def join(cls, *several: Chords) -> Chords:
        some = [chords for chords in several if chords.count]
        if len(some) < 2:
            return some[0] if some else several[0]
        return cls(np.concatenate([one.a for one in some], axis=1), np.concatenate([one.b for one in some], axis=1))

    @property
    def count(self) -> int:
        return int(self.a.shape[1])

    def lengths(self) -> Floats:
        """(N, K)."""
        return norm(self.b - self.a)

    def middles(self) -> Floats:
        return (self.a + self.b) / 2.0

    def lie_in(self, ring: Floats) -> Mask:
        """Whether (N, K) strands that do not cross a ring of points (N, M, 2) lie in it, or along its rim."""
        middle = plain(self.middles())
        within = inside(middle, ring)
        closed = np.concatenate([ring, ring[:, :1]], axis=1)
        on_rim = near_run(middle, closed, ON_RIM)
        if not on_rim.any():
            return within
        for end in (self.a, self.b):
            on_rim &= near_run(end, closed, ON_RIM)
        aside = ASIDE * square_to(unit(plain(self.b - self.a)))
        return np.where(on_rim, inside(middle + aside, ring) | inside(middle - aside, ring), within)

    def moved(self, motion: Motion) -> Chords:
        return Chords(motion.points(self.a), motion.points(self.b))

    def or_else(self, here: Mask, other: Chords) -> Chords:
        """These where `here` (N, K) holds, elsewhere the others, strand by strand."""
        return Chords(choose(here, self.a, other.a), choose(here, self.b, other.b))

    def only(self, here: Mask) -> Chords:
        """Those for which `here` (N, K) holds."""
        return Chords(self.a, choose(here, self.b, self.a)).pruned()

    def pruned(self) -> Chords:
        """Without the strands that no body has."""
        had = np.any(plain(self.lengths()) > NO_LENGTH, axis=0)
        return self if had.all() else Chords(self.a[:, had], self.b[:, had])

    def crossed(self, cutter: Floats) -> Floats:
        """How far along each strand, as a part of it, it is crossed by the run of points `cutter` (N, M, 2).

        (N, K, C), in order, NaN after the last.  An end of a strand that lies on the run is no crossing.
        """
        along, step = (self.b - self.a)[:, :, None], (cutter[:, 1:] - cutter[:, :-1])[:, None]
        away = cutter[:, None, :-1] - self.a[:, :, None]
        turn = cross(along, step)
        turn = np.where(np.abs(turn) > 1e-12, turn, np.nan)
        part, over = cross(away, step) / turn, cross(away, along) / turn
        margin = NO_LENGTH / np.maximum(plain(self.lengths()), NO_LENGTH)[:, :, None]
        meets = (over >= -1e-9) & (over <= 1.0 + 1e-9) & (part > margin) & (part < 1.0 - margin)
        most = int(meets.sum(axis=2).max(initial=0))
        ordered: Floats = np.sort(np.where(meets, part, np.nan), axis=2)[:, :, :most]
        return ordered

    def at(self, part: Floats) -> Floats:
        """The places (N, K, 2) so far along the strands, as parts (N, K) of them."""
        return self.a + (self.b - self.a) * part[..., None]

    def parted(self, cutter: Floats) -> Chords:
        """The strands cut wherever a run of points (N, M, 2) crosses them."""
        if not self.count:
            return self
        parts = self.crossed(cutter)
        stops = [self.a]
        for k in range(parts.shape[2]):
            known = np.where(np.isnan(parts[:, :, k]), 1.0, parts[:, :, k])
            stops.append(self.at(known))
        stops.append(self.b)
        pieces = [Chords(start, end) for start, end in zip(stops, stops[1:], strict=False)]
        return Chords.join(*pieces).pruned()

    def within(self, corners: Floats) -> Floats:
        """How much (N, K) of each strand lies within a convex ring of corners (N, M, 2), its sides counted in."""
        after = np.roll(corners, -1, axis=1)
        sense = np.sign(plain(cross(corners, after)).sum(axis=1))[:, None]
        since, until = np.zeros(self.a.shape[:2]), np.ones(self.a.shape[:2])
        for k in range(corners.shape[1]):
            way = unit(after[:, k] - corners[:, k])[:, None]
            at_a, at_b = (_snapped(cross(way, end - corners[:, None, k]) * sense) for end in (self.a, self.b))
            rises, falls = at_b > at_a, at_b < at_a
            part = at_a / np.where(rises | falls, at_a - at_b, np.nan)
            since = np.where(rises, np.maximum(since, part), since)
            until = np.where(falls, np.minimum(until, part), until)
            until = np.where((at_a < 0.0) & (at_b < 0.0) | (at_a < 0.0) & ~rises, 0.0, until)
        inside: Floats = np.maximum(until - since, 0.0) * self.lengths()
        return inside


def _snapped(height: Floats) -> Floats:
    return np.where(np.abs(height) < ON, 0.0, height)


def off_run(places: Floats, run: Floats) -> Floats:
    """How far (N, K) places (N, K, 2) lie from a run of points (N, M, 2)."""
    places, run = plain(places), plain(run)
    (step_x, step_y), (start_x, start_y) = ((at[:, None, :, 0], at[:, None, :, 1]) for at in (run[:, 1:] - run[:, :-1], run[:, :-1]))
    gap_x, gap_y = places[:, :, None, 0] - start_x, places[:, :, None, 1] - start_y
    part = np.clip((gap_x * step_x + gap_y * step_y) / np.maximum(step_x * step_x + step_y * step_y, 1e-12), 0.0, 1.0)
    gap_x -= part * step_x
    gap_y -= part * step_y
    nearest: Floats = np.sqrt((gap_x * gap_x + gap_y * gap_y).min(axis=2))
    return nearest


def near_run(places: Floats, run: Floats, within: float) -> Mask:
    """Whether (N, K) places (N, K, 2) lie nearer than `within` to a run of points (N, M, 2).

    The run is looked at in blocks, since a place comes near to few of them.
    """
    places, run = plain(places), plain(run)
    last = run[:, -1:].repeat((1 - run.shape[1]) % BLOCK, axis=1)
    run = np.concatenate([run, last], axis=1)  # (N, 1 + blocks * BLOCK, 2)
    starts, ends = (at.reshape(len(run), -1, BLOCK, 2) for at in (run[:, :-1], run[:, 1:]))
    low = np.minimum(starts, ends).min(axis=2)[:, None] - within
    high = np.maximum(starts, ends).max(axis=2)[:, None] + within
    body, place, block = np.nonzero(((places[:, :, None] >= low) & (places[:, :, None] <= high)).all(axis=3))
    parts = np.concatenate([starts[body, block], ends[body, block, -1:]], axis=1)
    near: Mask = np.zeros(places.shape[:2], dtype=bool)
    hit = off_run(places[body, place][:, None], parts)[:, 0] < within
    near[body[hit], place[hit]] = True
    return near


def slid(places: Floats, way: Floats, run: Floats) -> Floats:
    """Each of the places (N, K, 2) moved along its way (N, K, 2) to where that nearest by meets a run of points (N, M, 2)."""
    step, away = (run[:, 1:] - run[:, :-1])[:, None], run[:, None, :-1] - places[:, :, None]
    onward = unit(way)[:, :, None]
    turn = cross(onward, step)
    turn = np.where(np.abs(turn) > 1e-12, turn, np.nan)
    reach, over = cross(away, step) / turn, cross(away, onward) / turn
    reach = np.where((over >= -1e-9) & (over <= 1.0 + 1e-9), reach, np.nan)
    nearest = np.argmin(np.where(np.isnan(plain(reach)), np.inf, np.abs(plain(reach))), axis=2)
    by = np.take_along_axis(reach, nearest[:, :, None], 2)[:, :, 0]
    return places + unit(way) * np.where(np.isnan(by), 0.0, by)[..., None]
