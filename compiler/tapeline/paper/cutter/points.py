"""Curves as runs of points for a cutter's file: thinned, drawn finely enough, corners told from curves, unfolded.

All runs are (K, 2) arrays in millimetres; a closed run does not repeat its first point.  How far a chord of length L
leaves a curve that bends by the angle b from chord to chord is L b / 8, the height of a flat circular segment; that one
measure tells where points must be added and which points no curve within the tolerance could have, the corners.
"""

from __future__ import annotations

import numpy as np

from ...geometry.arrays import Floats, Mask
from ...geometry.thinning import thinned
from ..drawing.fold import ON_FOLD, mirrored, off_fold

TOLERANCE = 0.05  # mm that a chord may leave its curve
_THIN = 0.005  # mm of it used to leave out points that tell nothing
_COARSE = TOLERANCE - _THIN
CORNER = 1.25 * TOLERANCE  # where the points bend by more they are no curve; the margin is for uneven steps
NEAR = 0.01  # mm; successive points that are nearer count as one
ALIKE = 1.5  # neighbouring steps of one curve, and their bends, differ by no more than this factor
_HALVINGS = 6  # of a chord, each to a quarter of its height


def run_of(points: Floats, closed: bool = False) -> Floats:
    """The points without repeats, with more of them where a curve is drawn too coarsely and fewer where too finely."""
    points = _once(np.asarray(points, dtype=float), closed)
    for _ in range(_HALVINGS):
        count = len(points)
        points = _finer(points, closed)
        if len(points) == count:
            break
    return _thinned(points, closed)


def corners(points: Floats, closed: bool = False) -> Mask:
    """Which points (K,) are corners, not points of a smooth curve; the ends of an open run are corners.

    Where a long straight line runs smoothly into a curve is a corner too: told as a curve's point, it would let a reader
    bend the line.
    """
    bend, long = _bends(points, closed)
    return np.abs(bend) * np.maximum(long, np.roll(long, 1)) / 8 > CORNER


def _once(points: Floats, closed: bool) -> Floats:
    distinct = [points[0]]
    for point in points[1:]:
        if np.hypot(*(point - distinct[-1])) >= NEAR:
            distinct.append(point)
    if closed and len(distinct) > 1 and np.hypot(*(distinct[-1] - distinct[0])) < NEAR:
        distinct.pop()
    elif not closed and len(distinct) > 1:
        distinct[-1] = points[-1]
    return np.array(distinct)


def _thinned(points: Floats, closed: bool) -> Floats:
    """The points needed to stay within `_THIN` of the run.  A closed run is begun at its sharpest corner, which is needed in any case."""
    if not closed:
        return thinned(points, _THIN)
    first = int(np.argmax(np.abs(_bends(points, True)[0])))
    return thinned(np.concatenate([points[first:], points[: first + 1]]), _THIN)[:-1]


def _bends(points: Floats, closed: bool) -> tuple[Floats, Floats]:
    """The angle (K,) at each point, and the length (K,) of the chord that leaves it; an end bends more than any point."""
    step = np.roll(points, -1, axis=0) - points
    before = np.roll(step, 1, axis=0)
    bend = np.arctan2(before[:, 0] * step[:, 1] - before[:, 1] * step[:, 0], (before * step).sum(axis=1))
    long = np.hypot(*step.T)
    if not closed:
        bend[[0, -1]], long[-1] = np.inf, 0.0
        long[-1] = long[-2] if len(long) > 1 else 1.0
    return bend, long


def _alike(first: Floats, second: Floats) -> Mask:
    low, high = np.minimum(np.abs(first), np.abs(second)), np.maximum(np.abs(first), np.abs(second))
    alike: Mask = (np.sign(first) == np.sign(second)) & (high <= ALIKE * low) & np.isfinite(high)
    return alike


def _finer(points: Floats, closed: bool) -> Floats:
    """The points with one more in each chord that leaves its curve by too much.

    A point is on a curve if its chords and bends are like its neighbours'.  The new point continues the points on either
    side as a cubic does, or beside the end of a curve as a parabola does.
    """
    if len(points) < 4:
        return points
    bend, long = _bends(points, closed)
    before = np.roll(long, 1)
    curved = _alike(long, before) & (_alike(bend, np.roll(bend, 1)) | _alike(bend, np.roll(bend, -1)))
    curved &= np.abs(bend) * np.maximum(long, before) / 8 <= 4 * TOLERANCE
    last = np.roll(curved, -1)
    turning = np.where(curved, np.abs(bend), 0.0) + np.where(last, np.abs(np.roll(bend, -1)), 0.0)
    coarse = (curved | last) & (long * turning / np.maximum(curved.astype(float) + last, 1.0) / 8 > _COARSE)
    if not closed:
        coarse[-1] = False
    a, b, c, d = (np.roll(points, k, axis=0) for k in (1, 0, -1, -2))
    middle = np.where(
        (curved & last)[:, None], (9 * (b + c) - a - d) / 16, np.where(curved[:, None], 3 * c + 6 * b - a, 3 * b + 6 * c - d) / 8
    )
    return np.insert(points, np.flatnonzero(coarse) + 1, middle[coarse], axis=0)


# ------------------------------------------------------------------------------------------------ the fold


def unfolded(points: Floats, fold: tuple[Floats, Floats]) -> list[tuple[Floats, bool]]:
    """The run on both halves of a piece opened out, as (points, closed): one run where it reaches the fold, else two."""
    on = off_fold(points, fold) <= ON_FOLD
    image = mirrored(points, fold)[::-1]
    if on.all():
        return [(points, False)]
    if on[0] and on[-1]:
        return [(_through(np.concatenate([points, image[1:-1]]), (0, len(points) - 1), True), True)]
    if on[-1]:
        return [(_through(np.concatenate([points, image[1:]]), (len(points) - 1,), False), False)]
    if on[0]:
        return [(_through(np.concatenate([image, points[1:]]), (len(image) - 1,), False), False)]
    return [(points, False), (image, False)]


def _through(points: Floats, at: tuple[int, ...], closed: bool) -> Floats:
    """The run without those of its points on the fold through which it goes straight."""
    bend, long = _bends(points, closed)
    straight = [k for k in at if abs(bend[k]) * max(long[k], long[k - 1]) < ON_FOLD]
    return np.delete(points, straight, axis=0)


def nearest_on(points: Floats, at: Floats, closed: bool = True) -> Floats:
    """The point of a run nearest to a place."""
    step = np.roll(points, -1, axis=0) - points
    if not closed:
        step[-1] = 0.0
    part = np.clip(((at - points) * step).sum(axis=1) / np.maximum((step**2).sum(axis=1), 1e-12), 0.0, 1.0)
    places = points + part[:, None] * step
    nearest: Floats = places[int(np.argmin(np.hypot(*(places - at).T)))]
    return nearest


def crossing(ring: Floats, start: Floats, end: Floats) -> Floats:
    """Where the straight line from `start` out to about `end` crosses a closed run; its nearest point if it does not."""
    way, step, gap = end - start, np.roll(ring, -1, axis=0) - ring, ring - start
    across = way[0] * step[:, 1] - way[1] * step[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        reached = (gap[:, 0] * step[:, 1] - gap[:, 1] * step[:, 0]) / across
        part = (gap[:, 0] * way[1] - gap[:, 1] * way[0]) / across
        meets = (part >= 0.0) & (part <= 1.0) & (reached > 0.0) & (reached < 1.5)
    if not meets.any():
        return nearest_on(ring, end)
    crossings = reached[meets]
    place: Floats = start + way * crossings[np.argmin(np.abs(crossings - 1.0))]
    return place
