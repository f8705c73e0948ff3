"""Where many paths of the same bodies first cross a level each.

All segments of one kind that may meet their level are tried in one go, as if each were of bodies of its own; those of a path one
after another, since the first meeting counts.  No figure rests on its company.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from .arrays import Floats, Mask
from .meet import segment_meetings
from .path import Path
from .segments import Segment, by_kind, joined, measure

SLACK = 1e-6  # mm; a segment that lies no farther from a level may meet it


def first_crossings(paths: Sequence[Path], asked: Sequence[tuple[int, Floats]], after: float) -> list[tuple[Floats, Floats] | None]:
    """For every path's number and level y (N,): how far along (N,), `after` or farther, the path first meets it, and its direction
    (N, 2) there, NaN where it does not; None where it cannot for any body."""
    measure([segment for path in paths for segment in path.segments])
    first = np.cumsum([0, *(len(path.segments) for path in paths)]).tolist()
    segments = [segment for path in paths for segment in path.segments]
    low, high = _heights(segments)
    searches = []
    for number, y in asked:
        own = range(first[number], first[number + 1])
        near = ((low[own.start : own.stop] <= y + SLACK) & (y - SLACK <= high[own.start : own.stop])).any(axis=1)
        searches.append(_LevelSearch(paths[number], own.start, np.flatnonzero(near).tolist(), y) if near.any() else None)
    going = [search for search in searches if search is not None]
    while going:
        _try(segments, going, after)
        going = [search for search in going if search.candidates and search.missing.any()]
    return [None if search is None else (search.at, search.way) for search in searches]


class _LevelSearch:
    """The search on one path: the numbers of its segments that are still to be tried, and what has been found."""

    __slots__ = ("path", "first", "candidates", "y", "at", "way", "missing")

    def __init__(self, path: Path, first: int, candidates: list[int], y: Floats) -> None:
        self.path, self.first, self.candidates, self.y = path, first, candidates, y
        self.at, self.way = np.full(len(y), np.nan), np.full((len(y), 2), np.nan)
        self.missing: Mask = np.ones(len(y), dtype=bool)


def _heights(segments: Sequence[Segment]) -> tuple[Floats, Floats]:
    """The least and greatest y (S, N) of the boxes of segments."""
    n = segments[0].n
    low, high = np.empty((len(segments), n)), np.empty((len(segments), n))
    for numbers in by_kind(segments):
        least, most = joined([segments[number] for number in numbers]).box()
        low[numbers], high[numbers] = least[:, 1].reshape(-1, n), most[:, 1].reshape(-1, n)
    return low, high


def _try(segments: Sequence[Segment], searches: Sequence[_LevelSearch], after: float) -> None:
    """Try the next segment of every search."""
    numbers = [search.candidates.pop(0) for search in searches]
    tried = [segments[search.first + number] for search, number in zip(searches, numbers, strict=True)]
    n = tried[0].n
    for some in by_kind(tried):
        together = joined([tried[k] for k in some])
        y = np.concatenate([searches[k].y for k in some])
        level = np.stack([np.zeros_like(y), y], axis=1), np.broadcast_to([1.0, 0.0], (len(y), 2))
        for t in segment_meetings(together, *level).T:
            if not np.isfinite(t).any():
                break
            length, way = together.length_to(t), together.direction(t)
            for place, k in enumerate(some):
                own, search = slice(place * n, (place + 1) * n), searches[k]
                at = search.path.reach()[:, numbers[k]] + length[own]
                met = search.missing & np.isfinite(t[own]) & (at >= after)
                search.at = np.where(met, at, search.at)
                search.way = np.where(met[:, None], way[own], search.way)
                search.missing &= ~met
            if not any(searches[k].missing.any() for k in some):
                break
