"""Outlines that are seen at little cost to be simple, for N bodies at once: they cross and touch themselves nowhere.

Nearly every outline of a draft is sound, and often that can be read from a few of its points.  What is shown here holds; where
nothing is shown, `outline.faults` looks closely.

`by_control_points`: the segments of a closed path lie in boxes around their control points.  Segments whose boxes are apart do not
meet.  Two neighbours meet in their joint alone if there is a direction in which both go on all the time; so does each by
itself.  All that holds for the chords of a flattened path as for its curves.

`about_a_place`: seen from a place inside, a ring goes round once and never back.
"""

from __future__ import annotations

from functools import reduce

import numpy as np

from .arrays import Floats, Mask
from .path import Path
from .plane import distance, dot, unit, vector
from .segments import Arc, Cubic, Segment

APART = 1e-6  # mm; what is nearer, or goes on by less, is not shown to be apart
JOINED = 1e-9  # mm; a joint that gapes wider may hide a crossing
LOT = 50_000  # points
WIDEST = 2.5  # radians; an arc of a greater sweep has no useful control points


def by_control_points(path: Path) -> Mask:
    """Bodies (N,) whose closed path is shown to be simple."""
    runs = [_control_points(segment.still()) for segment in path.segments]
    count = len(runs)
    simple = np.full(path.n, count > 2)
    if count < 3:
        return simple
    lows, highs = (
        [np.stack([reduce(extreme, [point[:, axis] for point in points]) for points in runs]) for axis in (0, 1)]
        for extreme in (np.minimum, np.maximum)
    )
    for i in range(count - 2):
        others = slice(i + 2, count - (i == 0))  # the last is a neighbour of the first
        apart = np.zeros((len(range(*others.indices(count))), path.n), dtype=bool)
        for low, high in zip(lows, highs, strict=True):
            apart |= low[others] > high[i] + APART
            apart |= low[i] > high[others] + APART
        simple &= apart.all(axis=0)
    steps = [[after - before for before, after in zip(points, points[1:], strict=False)] for points in runs]
    ways = [unit(points[-1] - points[0]) for points in runs]
    for i in range(count):
        for way, own in ((ways[i], steps[i]), (ways[i - 1] + ways[i], steps[i - 1] + steps[i])):
            for step in own:
                simple &= dot(step, way) > APART
        simple &= distance(runs[i - 1][-1], runs[i][0]) <= JOINED
    return simple


def _control_points(segment: Segment) -> list[Floats]:
    """Points (N, 2) whose hull holds a segment, and whose steps hold its directions between them; NaN where there are none."""
    if isinstance(segment, Cubic):
        return [segment.p[:, i] for i in range(4)]
    if not isinstance(segment, Arc):
        return [segment.start(), segment.end()]
    half = np.where(np.abs(segment.sweep) <= WIDEST, segment.sweep / 2.0, np.nan)
    middle = segment.start_angle + half
    out = segment.radius / np.cos(half)
    return [segment.start(), segment.centre + vector(out * np.cos(middle), out * np.sin(middle)), segment.end()]


def about_a_place(rings: Floats, place: Floats, turn: Floats) -> Mask:
    """Bodies (N,) whose ring (N, K, 2) goes round a place (N, 2) once, always on in the sense `turn` (N,); +1 is from +x to +y.

    Points that repeat the one before exactly do no harm.
    """
    lot = max(LOT // rings.shape[1], 1)  # what is looked at together stays near the processor
    return np.concatenate(
        [_goes_round(rings[i : i + lot], place[i : i + lot], turn[i : i + lot]) for i in range(0, max(len(rings), 1), lot)]
    )


def _goes_round(rings: Floats, place: Floats, turn: Floats) -> Mask:
    x, y = (np.empty((len(rings), rings.shape[1] + 1)) for _ in range(2))
    x[:, :-1], y[:, :-1] = rings[..., 0] - place[:, :1], rings[..., 1] - place[:, 1:]
    x[:, -1], y[:, -1] = x[:, 0], y[:, 0]
    y *= turn[:, None]
    on = x[:, :-1] * y[:, 1:]
    on -= y[:, :-1] * x[:, 1:]
    straight = (on == 0.0) & ((x[:, 1:] != x[:, :-1]) | (y[:, 1:] != y[:, :-1]))  # to the place, or away from it
    below = y < 0.0
    rounds = np.count_nonzero(below[:, :-1] & ~below[:, 1:], axis=1)
    round_once: Mask = (on >= 0.0).all(axis=1) & ~straight.any(axis=1) & (rounds == 1)
    return round_once
