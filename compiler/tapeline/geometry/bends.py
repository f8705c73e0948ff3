"""How paths bend, for N bodies at once: where they turn along a direction, and what their joints turn by.

Along a direction a line only goes on; an arc turns where its radius lies in that direction, a cubic where a quadratic in Bernstein
form, the component of its velocity, is zero.  So the places where a path turns are exact, and between two of them its height over any
line square to the direction only grows or only falls.
"""

from __future__ import annotations

import numpy as np

from .arrays import Floats, Mask
from .path import NO_LENGTH, Path
from .plane import angle_between, choose, dot, norm
from .segments import Arc, Cubic, Line, Segment

SHARP_STEPS = 128  # in which a cubic is looked at for sharp bends


def turning_heights(path: Path, place: Floats, direction: Floats) -> Floats:
    """How far (N, K) a path lies from a place (N, 2) in a direction (N, 2): at the ends of its segments, and wherever it turns, in order."""
    columns = []
    for segment in path.segments:
        ts = _turns(segment, direction)
        columns.append(dot(segment.sample(ts) - place[:, None], direction[:, None]))
    return np.concatenate(columns, axis=1)


def retreat(path: Path, direction: Floats) -> Floats:
    """How far at most (N,) a path runs back against a unit direction (N, 2)."""
    heights = turning_heights(path, path.start(), direction)
    back: Floats = (np.maximum.accumulate(heights, axis=1) - heights).max(axis=1)
    return back


def _turns(segment: Segment, direction: Floats) -> Floats:
    """Parameters (N, K) of the ends of a segment and of all places where it turns along a direction, in order; repeated where it has fewer."""
    ends = np.zeros(segment.n), np.ones(segment.n)
    if isinstance(segment, Line):
        return np.stack(ends, axis=1)
    turns = _cubic_turns(segment, direction) if isinstance(segment, Cubic) else _arc_turns(segment, direction)
    inner = np.where((turns > 0.0) & (turns < 1.0), turns, 0.0)
    return np.stack([ends[0], *np.sort(inner, axis=1).T, ends[1]], axis=1)


def _cubic_turns(segment: Cubic, direction: Floats) -> Floats:
    first, second, third = (dot(segment.p[:, i + 1] - segment.p[:, i], direction) for i in range(3))
    square, linear = first - 2.0 * second + third, 2.0 * (second - first)
    with np.errstate(invalid="ignore", divide="ignore"):
        root = np.sqrt(linear * linear - 4.0 * square * first)
        half = -0.5 * (linear + np.copysign(root, linear))  # the sign that does not cancel
        return np.stack([half / square, first / half], axis=1)


def _arc_turns(segment: Segment, direction: Floats) -> Floats:
    if not isinstance(segment, Arc):
        raise TypeError(segment)
    toward = np.arctan2(direction[:, 1], direction[:, 0]) - segment.start_angle
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.stack(
            [np.mod(toward + half * np.pi, 2.0 * np.pi * np.sign(segment.sweep)) / segment.sweep for half in (0, 1)], axis=1
        )


def joint_turns(path: Path) -> tuple[Floats, Mask]:
    """What each joint of a path turns by (N, M - 1), from -pi to pi, and whether (N, M - 1) it joins two straight stretches.

    A segment without length is passed over: its joint turns by nothing.
    """
    segments = path.segments
    long = [segment.length() > NO_LENGTH for segment in segments]
    before, straight = segments[0].direction(1.0), np.full(path.n, isinstance(segments[0], Line))
    known = long[0]
    turns, plain = [], []
    for segment, has in zip(segments[1:], long[1:], strict=True):
        line = isinstance(segment, Line)
        turns.append(np.where(known & has, angle_between(before, segment.direction(0.0)), 0.0))
        plain.append(straight & line)
        before = choose(has, segment.direction(1.0), before)
        straight, known = np.where(has, line, straight), known | has
    if not turns:
        return np.zeros((path.n, 0)), np.zeros((path.n, 0), dtype=bool)
    return np.stack(turns, axis=1), np.stack(plain, axis=1)


def sharp_turn(cubic: Cubic, radius: float) -> tuple[Floats, Floats]:
    """By how much (N,) a cubic turns where it bends more sharply than a radius, in mm, and how far along it turns most (N,).

    A cusp turns it right round.  Looked at in steps, and only where its control points leave room for such a bend.
    """
    turned, at = np.zeros(cubic.n), np.zeros(cubic.n)
    doubtful = np.flatnonzero(~cubic.gentle() & cubic.known())
    if not len(doubtful):
        return turned, at
    curve, ts = cubic.take(doubtful), np.linspace(0.0, 1.0, SHARP_STEPS + 1)
    places, ways = curve.sample(ts), curve.sample_directions(ts)
    step = norm(places[:, 1:] - places[:, :-1])
    turn = np.abs(angle_between(ways[:, :-1], ways[:, 1:]))
    sharp = np.where(step < radius * turn, turn, 0.0)
    turned[doubtful] = sharp.sum(axis=1)
    at[doubtful] = np.take_along_axis(np.cumsum(step, axis=1), np.argmax(sharp, axis=1)[:, None], axis=1)[:, 0]
    return turned, at
