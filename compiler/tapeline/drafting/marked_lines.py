"""Drawn lines that are marked on a piece, carried with its cloth.

A change carries the named points of a piece; so a line that is marked is followed by places on it, evenly from end to end, and
found again from where they have gone.  Where they lie to each other as before, the line has been moved as it is, exactly.
Where a slash has opened across it, or a dart, it is drawn again as one fair line through them, as edges are.  A part of a cut
has what lies on it, from edge to edge.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

import numpy as np

from ..geometry import fair, meet
from ..geometry.arrays import Floats, Indices
from ..geometry.dual import plain
from ..geometry.motion import Motion
from ..geometry.outline import inside
from ..geometry.path import NO_LENGTH, Path
from ..geometry.plane import TINY, angle_between, choose, cross, distance, norm
from ..meaning.kinds import EDGE, PATH, POINT
from .guides import Guide, path_of
from .operations import operation
from .pattern import Edge
from .places import nearest_on
from .steps import Run

RIGID = 1e-4  # mm; places that have gone otherwise than together by more have been parted


@operation(takes=(PATH,), gives=POINT)
def line_place(run: Run, drawn: Guide | Path, *, part: float) -> Floats:
    """The place at a part of a line's length."""
    path = path_of(drawn)
    return path.point_at(path.length() * part)


@operation(takes=(PATH,), more=POINT, gives=PATH)
def carried_line(run: Run, drawn: Guide | Path, *places: Floats) -> Path:
    """A line after a change: `places` are first those that follow it, evenly spread, as they lay, then as they lie."""
    path, count = path_of(drawn), len(places) // 2
    was, now = places[:count], places[count:]
    motion = _motion(run, was, now)
    off = np.max(np.stack([distance(motion.points(plain(a)), plain(b)) for a, b in zip(was, now, strict=True)]), axis=0)
    if run.alike((off > RIGID).astype(int), np.isfinite(off)):
        return Path(fair.through(list(now), None, None))
    return path.moved(_motion(run, was, now, exact=True))


def _motion(run: Run, was: tuple[Floats, ...], now: tuple[Floats, ...], exact: bool = False) -> Motion:
    """The rigid motion of the first place and the one farthest from it: with their slopes if `exact`.

    Whether it mirrors is told by the place farthest to one side of the line between them; a straight line may be turned either way.
    """
    still = [[plain(place) for place in places] for places in (was, now)]
    far = np.argmax(np.nan_to_num(np.stack([distance(still[0][0], place) for place in still[0]])), axis=0)
    sides = []
    for places in still:
        end = _nth_place(places, far) - places[0]
        sides.append(np.stack([cross(end, place - places[0]) / np.maximum(norm(end), TINY) for place in places]))
    widest = np.argmax(np.abs(np.nan_to_num(sides[0])), axis=0)
    before, after = (np.take_along_axis(side, widest[None], axis=0)[0] for side in sides)
    turned_over = (np.abs(before) > RIGID) & (before * after < 0.0)
    a, b = (was, now) if exact else still
    level = np.tile(np.array([1.0, 0.0]), (run.n, 1))
    over = run.alike(turned_over.astype(int), np.isfinite(before + after))
    first = Motion.mirror(np.zeros((run.n, 2)), level) if over else Motion.identity(run.n)
    start, end = first.points(a[0]), first.points(_nth_place(a, far))
    turned = first.then(Motion.turn(start, angle_between(end - start, _nth_place(b, far) - b[0])))
    return turned.then(Motion.shift(b[0] - start))


def _nth_place(places: Sequence[Floats], number: Indices) -> Floats:
    """Of each body the place (N, 2) with its number (N,)."""
    return reduce(lambda found, k: choose(number == k, places[k], found), range(1, len(places)), places[0])


@operation(takes=(PATH,), more=EDGE, gives=PATH)
def line_on_part(run: Run, drawn: Guide | Path, *edges: Edge) -> Path:
    """What of a line lies on one part of a cut, from edge to edge: its longest stretch there; of no length where none does."""
    path = path_of(drawn)
    meetings = [meet.path_path(path, edge.stitch_path()) for edge in edges]
    whole = path.length()
    stops = [np.zeros(run.n), whole, *(np.where(np.isnan(at[:, 0]), whole, nearest_on(path, at)) for at in meetings)]
    order = np.argsort(np.stack([plain(stop) for stop in stops]), axis=0)
    ring = Path.join(*(edge.stitch_path() for edge in edges)).flatten()
    best = [np.zeros(run.n), np.zeros(run.n)]
    for k in range(len(stops) - 1):
        low, high = (_nth(stops, order[k + step]) for step in (0, 1))
        here = inside(plain(path.point_at((low + high) / 2.0))[:, None], ring)[:, 0]
        longer = here & (high - low > np.maximum(best[1] - best[0], NO_LENGTH))
        best = [np.where(longer, new, old) for new, old in zip((low, high), best, strict=True)]
    return path.part(*best)


def _nth(values: Sequence[Floats], number: Indices) -> Floats:
    """Of each body the value (N,) with its number (N,)."""
    return reduce(lambda found, k: np.where(number == k, values[k], found), range(1, len(values)), values[0])
