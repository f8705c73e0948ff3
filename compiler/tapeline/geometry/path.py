"""Runs of segments laid end to end, each run standing for N bodies at once.

The segments of a path belong to the style: every body has the same number and kinds of them, and a body in
which one is not needed has it with no length.  Cutting a path therefore keeps the number of segments; those
outside the cut shrink to its nearer end.  Questions about places and directions answer for the segment in
which the asked length falls, which is never one without length.  Flattening puts a fixed number of steps on
each kind of segment, so that outlines of all bodies are one rectangular array.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import reduce

import numpy as np

from .arrays import Bodies, Floats, FloatsLike, Mask
from .dual import each_of, plain, put
from .motion import Motion
from .plane import choose, distance
from .segments import Arc, Cubic, Line, Segment

NO_LENGTH = 1e-6  # mm; a segment that is shorter does not speak for the path's direction
STEPS = {
    "fine": {Line: 1, Cubic: 48, Arc: 128},
    "coarse": {Line: 1, Cubic: 12, Arc: 32},
}


def _has_length(segment: Segment) -> Mask:
    """Whether (N,) a segment has length: where its ends are apart, that need not be measured."""
    apart = distance(segment.start(), segment.end()) > NO_LENGTH
    return apart if apart.all() else apart | (segment.length() > NO_LENGTH)


class Path:
    """Segments in order, each beginning where the one before it ends."""

    __slots__ = ("segments", "_reach")

    def __init__(self, segments: tuple[Segment, ...]) -> None:
        self.segments = tuple(segments)
        self._reach: Floats | None = None
        if not self.segments:
            raise ValueError("a path has at least one segment")

    @classmethod
    def join(cls, *paths: Path) -> Path:
        """The paths one after another."""
        return cls(tuple(segment for path in paths for segment in path.segments))

    @property
    def n(self) -> int:
        return self.segments[0].n

    def start(self) -> Floats:
        return self.segments[0].start()

    def end(self) -> Floats:
        return self.segments[-1].end()

    def start_direction(self) -> Floats:
        """Unit tangent (N, 2) at the start, of the first segment that has length."""
        return self._first_direction(self.segments, 0.0)

    def end_direction(self) -> Floats:
        """Unit tangent (N, 2) at the end, of the last segment that has length."""
        return self._first_direction(self.segments[::-1], 1.0)

    def _first_direction(self, segments: tuple[Segment, ...], t: float) -> Floats:
        result = segments[0].direction(t)
        if len(segments) == 1:
            return result
        settled = _has_length(segments[0])
        for segment in segments[1:]:
            if settled.all():
                break
            has = _has_length(segment)
            result = choose(has & ~settled, segment.direction(t), result)
            settled |= has
        return result

    def reach(self) -> Floats:
        """Length (N, M + 1) up to the start of each of M segments, and the whole at the end."""
        if self._reach is None:
            reach = np.zeros((self.n, len(self.segments) + 1))
            for i, segment in enumerate(self.segments):
                reach = put(reach, (slice(None), i + 1), reach[:, i] + segment.length())
            self._reach = reach
        return self._reach

    def length(self) -> Floats:
        return self.reach()[:, -1]

    def point_at(self, s: FloatsLike) -> Floats:
        """Place (N, 2) so far (mm; a number or (N,)) from the start; s is held to the path's length."""
        return self._ask(s, lambda segment, t: segment.at(t), self.start, self.end)

    def direction_at(self, s: FloatsLike) -> Floats:
        """Unit tangent (N, 2) so far from the start; at a joint, that of the segment which begins there."""
        return self._ask(s, lambda segment, t: segment.direction(t), self.start_direction, self.end_direction, NO_LENGTH)

    def points_at(self, s: Floats) -> Floats:
        """Places (N, K, 2) at K lengths of each body (N, K)."""
        return self._repeated(s).point_at(s.reshape(-1)).reshape((*s.shape, 2))

    def directions_at(self, s: Floats) -> Floats:
        """Unit tangents (N, K, 2) at K lengths of each body (N, K)."""
        return self._repeated(s).direction_at(s.reshape(-1)).reshape((*s.shape, 2))

    def _repeated(self, s: Floats) -> Path:
        """Each body's path as often as it is asked."""
        self.reach()  # worked out before, so that it is known of all
        return self.take(np.repeat(np.arange(self.n), s.shape[1]))

    def _ask(
        self,
        s: FloatsLike,
        question: Callable[[Segment, Floats], Floats],
        first: Callable[[], Floats],
        last: Callable[[], Floats],
        near: float = 0.0,
    ) -> Floats:
        """The answers of the segments in which the lengths lie; so `near` before a joint counts as at it."""
        s = each_of(s, self.n)
        reach = self.reach()
        begun, ended = s <= 0.0, s >= reach[:, -1]
        if len(self.segments) == 1:
            result = question(self.segments[0], self.segments[0].parameter_at(s))
        else:
            result = self._ask_each(s, question, near)
        if begun.any():
            result = choose(begun, first(), result)
        return choose(ended, last(), result) if ended.any() else result

    def _ask_each(self, s: Floats, question: Callable[[Segment, Floats], Floats], near: float) -> Floats:
        """The answers of several segments; NaN for lengths within none."""
        result, reach = np.full((2, self.n), np.nan).T, self.reach()
        stops, at = plain(reach), plain(s)[:, None]
        begins, ends = stops[:, :-1] - near, stops[:, 1:] - near
        ends[:, -1] = stops[:, -1]
        within = (at > 0.0) & (at >= begins) & (at < np.minimum(ends, stops[:, -1:]))
        for i in np.flatnonzero(within.any(axis=0)):
            segment, here = self.segments[i], np.flatnonzero(within[:, i])
            piece = segment.take(here)
            result = put(result, here, question(piece, piece.parameter_at(s[here] - reach[here, i])))
        return result

    def part(self, s0: FloatsLike, s1: FloatsLike) -> Path:
        """The path between two lengths s0 <= s1 (mm; numbers or (N,)), with as many segments.

        Those outside the cut have no length and lie at its nearer end.  Both lengths are held to the path's.
        """
        reach = self.reach()
        s0, s1 = each_of(s0, self.n), each_of(s1, self.n)
        p0, p1 = self.point_at(s0), self.point_at(s1)
        parts: list[Segment] = []
        for i, segment in enumerate(self.segments):
            low, high = reach[:, i], reach[:, i + 1]
            if ((s0 <= low) & (high <= s1)).all():
                parts.append(segment)
                continue
            if (high <= s0).all():
                part = segment.part(1.0, 1.0)
            elif (low >= s1).all():
                part = segment.part(0.0, 0.0)
            else:
                part = segment.part(segment.parameter_at(s0 - low), segment.parameter_at(s1 - low))
            # Segments wholly outside go to the cut; the others stay exactly where they are.
            before, after = (high <= s0) & (s0 > 0.0), (low >= s1) & (s1 < reach[:, -1])
            to_cut = np.where(after[:, None], p1 - part.start(), 0.0)
            to_cut = np.where(before[:, None], p0 - part.end(), to_cut)
            parts.append(part.shifted(to_cut))
        return Path(tuple(parts))

    def moved(self, motion: Motion) -> Path:
        return Path(tuple(segment.moved(motion) for segment in self.segments))

    def reversed(self) -> Path:
        return Path(tuple(segment.reversed() for segment in self.segments[::-1]))

    def take(self, index: Bodies) -> Path:
        """The path of a subset of the bodies (an index array, mask or slice)."""
        return Path(tuple(segment.take(index) for segment in self.segments))

    def flatten(self, tolerance_class: str = "fine") -> Floats:
        """Points (N, K, 2) on the path, from start to end, joints once.

        K depends on the kinds of segments alone.  `tolerance_class` is "fine" (for outputs) or "coarse" (for
        first looks).
        """
        steps = STEPS[tolerance_class]
        runs = [self.start()[:, None]]
        for segment in self.segments:
            count = steps[type(segment)]
            runs.append(segment.sample(np.arange(1, count + 1) / count) if count > 1 else segment.end()[:, None])
        return np.concatenate(runs, axis=1)

    def ring(self) -> Floats:
        """The points of `flatten` without the last (N, K - 1, 2), x and y side by side in memory; of duals the values."""
        steps = STEPS["fine"]
        points = np.empty((self.n, sum(steps[type(segment)] for segment in self.segments), 2))
        points[:, 0], at = plain(self.start()), 1
        for number, segment in enumerate(self.segments, 1):
            count = steps[type(segment)]
            last = count - (number == len(self.segments))
            if last:
                run = segment.still().sample(np.arange(1, last + 1) / count)
                points[:, at : at + last, 0], points[:, at : at + last, 1] = run[..., 0], run[..., 1]
            at += last
        return points

    def known(self) -> Mask:
        """Whether (N,) all that the path is made of are numbers."""
        return reduce(np.logical_and, [segment.known() for segment in self.segments])

    def box(self) -> tuple[Floats, Floats]:
        """Corners (N, 2) of a box that holds the path, though not the closest one."""
        lows, highs = zip(*(segment.box() for segment in self.segments), strict=True)
        return reduce(np.minimum, lows), reduce(np.maximum, highs)

    def reach_toward(self, place: Floats, direction: Floats) -> Floats:
        """How far at most (N,) the path lies from a place in a direction (N, 2): of a cubic told from its control points."""
        return reduce(np.maximum, [segment.reach_toward(place, direction) for segment in self.segments])

    def gap(self) -> Floats:
        """Greatest distance (N,) in mm between the end of a segment and the start of the next."""
        widest = np.zeros(self.n)
        for segment, following in zip(self.segments, self.segments[1:], strict=False):
            widest = np.maximum(widest, distance(segment.end(), following.start()))
        return widest
