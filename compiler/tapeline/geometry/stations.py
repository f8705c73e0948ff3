"""Places so far along many paths of the same bodies, with the direction of the path at each.

The segments of one kind in which the lengths lie are asked in one go, as if each were of bodies of its own.  The answers are those
of `Path.point_at` and `Path.direction_at`.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .arrays import Floats, Indices
from .dual import plain
from .path import NO_LENGTH, Path
from .plane import choose, taken
from .segments import Segment, by_kind, joined, measure

Asked = tuple[Path, Floats]  # a path, and a length (N,) along it


def stations(asked: Sequence[Asked]) -> list[tuple[Floats, Floats]]:
    """For every path and length: place and direction (N, 2).  Lengths are held to the path's."""
    if any(plain(s) is not s or segment.still() is not segment for path, s in asked for segment in path.segments):
        return [(path.point_at(s), path.direction_at(s)) for path, s in asked]
    measure([segment for path, _ in asked for segment in path.segments])
    answers = [(np.full((2, len(s)), np.nan).T, np.full((2, len(s)), np.nan).T) for _, s in asked]
    parts = [part for number, (path, s) in enumerate(asked) for part in _parts(number, path, s)]
    for some in by_kind([part.segment for part in parts]):
        together = joined([parts[k].segment for k in some])
        t = together.parameter_at(np.concatenate([parts[k].s for k in some]))
        places, ways, done = together.at(t), together.direction(t), 0
        for k in some:
            own, (place, way) = slice(done, done := done + len(parts[k].here)), answers[parts[k].number]
            place[parts[k].here], way[parts[k].here] = places[own], ways[own]
    for number, (path, s) in enumerate(asked):
        answers[number] = _at_ends(path, s, *answers[number])
    return answers


class _Part:
    """The bodies `here` of one question whose length lies in one segment, `s` from its start."""

    __slots__ = ("number", "segment", "here", "s")

    def __init__(self, number: int, segment: Segment, here: Indices, s: Floats) -> None:
        self.number, self.segment, self.here, self.s = number, segment, here, s


def _parts(number: int, path: Path, s: Floats) -> list[_Part]:
    reach, n = path.reach(), len(s)
    if len(path.segments) == 1:
        return [_Part(number, path.segments[0], np.arange(n), s)]
    at = s[:, None]
    within = (at > 0.0) & (at >= reach[:, :-1]) & (at < reach[:, 1:])
    parts = []
    for i in np.flatnonzero(within.any(axis=0)).tolist():
        here = np.flatnonzero(within[:, i])
        segment = path.segments[i] if len(here) == n else path.segments[i].take(here)
        parts.append(_Part(number, segment, here, s[here] - reach[here, i]))
    return parts


def _at_ends(path: Path, s: Floats, place: Floats, way: Floats) -> tuple[Floats, Floats]:
    """The answers with those at the path's ends, and at a joint the direction of the segment that begins there."""
    reach = path.reach()
    begun, ended = s <= 0.0, s >= reach[:, -1]
    joint = ((s[:, None] < reach[:, 1:-1]) & (s[:, None] >= reach[:, 1:-1] - NO_LENGTH)).any(axis=1)
    if joint.any():
        here = np.flatnonzero(joint)
        way[here] = taken(path.direction_at(s), here)
    if begun.any():
        place, way = choose(begun, path.start(), place), choose(begun, path.start_direction(), way)
    if ended.any():
        place, way = choose(ended, path.end(), place), choose(ended, path.end_direction(), way)
    return place, way
