"""Areas and faults of closed outlines; the only door to shapely, which is loaded late.

Rings are (N, K, 2), with or without the first point repeated at the end.  The area is the shoelace sum.  A
fault is a place where an outline crosses or touches itself; points that repeat the one before are none.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from .arrays import Floats, Mask
from .dual import floats, plain
from .plane import choose, cross, distance, interleaved, taken

REPEAT = 1e-6  # mm; points nearer to each other count as one
CROSSES, TOUCHES, NO_AREA = "crosses itself", "touches itself", "has no area"
_REASON = re.compile(r"^(?P<words>[^\[]*)\[(?P<x>\S+) (?P<y>\S+)\]$")


def area(rings: Floats) -> Floats:
    """Signed area (N,) in mm^2, positive for a ring that runs from +x toward +y (clockwise on paper)."""
    near = floats(rings - rings[:, :1], "C")
    twice: Floats = np.sum(cross(near, np.roll(near, -1, axis=1)), axis=1)
    return 0.5 * twice


def faults(rings: Floats) -> list[tuple[int, str, tuple[float, float]]]:
    """Faults of N outlines as (body, kind, place in mm), one for each faulty body, in their order.

    The kinds are "crosses itself", "touches itself" and "has no area".  Outlines with points that are not
    numbers are passed over: what kept them from being drawn has been reported already.
    """
    import shapely

    if rings.shape[1] < 3:
        return [(i, NO_AREA, (float(ring[0, 0]), float(ring[0, 1]))) for i, ring in enumerate(plain(rings)) if np.isfinite(ring).all()]
    laid = rings if rings.flags.c_contiguous else interleaved(rings)
    drawn = np.flatnonzero(np.isfinite(laid.reshape(len(laid), 2 * laid.shape[1]).sum(axis=1)))
    if not len(drawn):
        return []
    if len(drawn) < len(laid):
        laid = laid[drawn]
    doubtful = np.flatnonzero(~shapely.is_simple(shapely.linearrings(laid)) | ~_spread(laid))
    if not len(doubtful):
        return []
    cleaned = shapely.polygons(interleaved(_merged(taken(rings, drawn[doubtful]))))
    result = []
    for index, reason in zip(drawn[doubtful], shapely.is_valid_reason(cleaned), strict=True):
        match = _REASON.match(reason)
        if match:
            place = float(match["x"]), float(match["y"])
            result.append((int(index), _kind(match["words"]), place))
    return result


def _spread(rings: Floats) -> Mask:
    """Whether a ring (N,) holds three places at least that are told apart: a simple ring of fewer is none."""
    first, third, second = rings[:, 0], rings[:, rings.shape[1] // 3], rings[:, 2 * rings.shape[1] // 3]
    distinct: Mask = (first != third).any(axis=1) & (third != second).any(axis=1) & (second != first).any(axis=1)
    rest = np.flatnonzero(~distinct)
    distinct[rest] = [len(np.unique(ring, axis=0)) > 2 for ring in rings[rest]]
    return distinct


def _merged(rings: Floats) -> Floats:
    """The rings with points that nearly repeat the one before laid exactly on it."""
    merged, moved = rings.copy(), False  # whether the point before was
    nearby: Mask = np.any(distance(rings[:, :-1], rings[:, 1:]) <= REPEAT, axis=0)
    for k in range(1, rings.shape[1]):
        if moved or nearby[k - 1]:
            near = distance(merged[:, k - 1], merged[:, k]) <= REPEAT
            merged[:, k] = choose(near, merged[:, k - 1], merged[:, k])
            moved = bool(near.any())
    closing = np.ones(len(rings), dtype=bool)
    for k in range(rings.shape[1] - 1, 0, -1):
        closing &= distance(merged[:, 0], merged[:, k]) <= REPEAT
        if not closing.any():
            break
        merged[:, k] = choose(closing, merged[:, 0], merged[:, k])
    return merged


def _kind(words: str) -> str:
    if words.startswith("Ring Self-intersection"):
        return TOUCHES
    return CROSSES if words.startswith("Self-intersection") else NO_AREA


class Contact(NamedTuple):
    """Where two runs of an outline, or a run and itself, meet but at the ends they share; `crossing` if they go on beyond it.

    `along` is how far along the first run, in mm.
    """

    one: int
    other: int
    crossing: bool
    place: tuple[float, float]
    along: float


def contacts(runs: Sequence[Floats]) -> list[Contact]:
    """The first crossing of each two runs (K, 2) of one body's outline, which follow each other round it, or else the first touch.

    Every step of the outline is set against all that do not stand beside it.
    """
    owner = np.concatenate([np.full(len(run) - 1, number) for number, run in enumerate(runs)])
    a, b = (np.concatenate([run[part] for run in runs]) for part in (np.s_[:-1], np.s_[1:]))
    steps = distance(a, b) > REPEAT
    owner, a, b = owner[steps], a[steps], b[steps]
    before = np.cumsum(distance(a, b)) - distance(a, b)
    begins = {number: float(before[owner == number].min()) for number in set(owner.tolist())}
    crossings: dict[tuple[int, int], Contact] = {}
    touches: dict[tuple[int, int], Contact] = {}

    def enter(known: dict[tuple[int, int], Contact], i: int, other: int, place: Floats) -> None:
        one = int(owner[i])
        along = float(before[i] + distance(a[i], place)) - begins[one]
        known.setdefault((one, other), Contact(one, other, known is crossings, (float(place[0]), float(place[1])), along))

    for i in range(len(a) - 2):
        others = slice(i + 2, len(a) - (i == 0))  # the last stands beside the first
        along, own = b[others] - a[others], b[i] - a[i]
        from_start, from_end = cross(own, a[others] - a[i]), cross(own, b[others] - a[i])
        start, end = cross(along, a[i] - a[others]), cross(along, b[i] - a[others])
        for k in np.flatnonzero((from_start * from_end < 0.0) & (start * end < 0.0)):
            enter(crossings, i, int(owner[others][k]), a[i] + own * (start[k] / (start[k] - end[k])))
        for point in (a[i], b[i]):
            for k in np.flatnonzero(_off(point, a[others], b[others]) <= REPEAT):
                enter(touches, i, int(owner[others][k]), point)
    return [*crossings.values()] or [*touches.values()]


def _off(point: Floats, first: Floats, last: Floats) -> Floats:
    """How far a point (2,) lies from straight steps (K, 2)."""
    step = last - first
    part = np.clip(np.sum((point - first) * step, axis=1) / np.sum(step * step, axis=1), 0.0, 1.0)
    return distance(first + part[:, None] * step, np.broadcast_to(point, first.shape))


def inside(points: Floats, rings: Floats) -> Mask:
    """Whether points (N, C, 2) lie in rings (N, K, 2): a ray along x crosses the ring an odd number of times."""
    points, rings = plain(points), plain(rings)
    after = np.roll(rings, -1, axis=1)
    below = points[..., 1, None] >= rings[:, None, :, 1]
    body, place, side = np.nonzero(below != np.roll(below, -1, axis=2))  # few of many
    (x0, y0), (x1, y1), (x, y) = rings[body, side].T, after[body, side].T, points[body, place].T
    right = x0 + (y - y0) / (y1 - y0) * (x1 - x0) > x
    passed = np.bincount(body * points.shape[1] + place, weights=right, minlength=points.shape[0] * points.shape[1])
    odd: Mask = passed.reshape(points.shape[:2]) % 2 == 1
    return odd
