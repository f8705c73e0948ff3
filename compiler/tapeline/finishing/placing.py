"""Where the grain line and the piece's words go: well inside, clear of the outline, the darts, the marks and each other.

The grain line is chosen among lines parallel to the grain at fixed fractions across the piece: of each, the
longest stretch inside is taken, its middle part kept, and the one with the greatest length times clearance
wins.  The words get the point of a fixed lattice over the piece that lies furthest from the outline and the
grain line.  Both look at the stitch outline with its darts open, coarsely flattened; fixed choices keep every
body's figures its own.
"""

from __future__ import annotations

import numpy as np

from ..drafting.pattern import Piece
from ..geometry.arrays import Floats, Indices
from ..geometry.outline import inside
from ..geometry.path import Path
from ..geometry.plane import dot, norm, square_to

FRACTIONS = np.array([0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8])  # across the piece; of equals the first is taken
KEPT = 0.6  # of the stretch inside: the grain line ends well before the outline
COLUMNS, ROWS = 5, 7
COARSER = 3  # every third step of a coarse flattening
LOT = 256  # bodies looked at together


Marks = list[tuple[Floats, Floats]]  # the ends (N, 2) of what is drawn inside a piece


def place_words(piece: Piece) -> tuple[Floats, Floats]:
    """The grain line's ends (N, 2, 2), the upper one first, and a free place for words (N, 2)."""
    ring = np.concatenate([Path((segment,)).flatten("coarse")[:, :-1:COARSER] for segment in piece.stitch_outline().segments], axis=1)
    grain = piece.grain * np.where(piece.grain[:, 1:] < 0.0, -1.0, 1.0)
    lines = [mark.path for mark in piece.marks]
    lines += [leg for dart in piece.darts() if dart.kind == "pleat" for leg in (dart.near_leg, dart.far_leg)]
    marks = [(segment.start(), segment.end()) for line in lines for segment in line.segments]
    marks += [(mark.at, mark.at) for mark in piece.point_marks]
    lots = [
        _place(ring[i : i + LOT], grain[i : i + LOT], [(a[i : i + LOT], b[i : i + LOT]) for a, b in marks])
        for i in range(0, max(len(ring), 1), LOT)
    ]
    line, words = (np.concatenate(parts) for parts in zip(*lots, strict=True))
    return line, words


def _place(ring: Floats, grain: Floats, marks: Marks) -> tuple[Floats, Floats]:
    after = np.roll(ring, -1, axis=1)
    low, high, across = _stretches(ring, after, grain)
    middle, half = (low + high) / 2, (high - low) * KEPT / 2

    def on_line(along: Floats) -> Floats:
        return along[..., None] * grain[:, None] + across[..., None] * square_to(grain)[:, None]

    upper, lower = on_line(middle - half), on_line(middle + half)
    clear = np.minimum(_clearance(upper, ring, after), _clearance(lower, ring, after))
    clear = np.minimum(clear, _distance(ring[:, None], upper[:, :, None], lower[:, :, None]).min(axis=2))
    for start, end in marks:  # a grain line drawn over a fold line or a bone could not be read
        for place in (upper, (upper + lower) / 2, lower):
            clear = np.fmin(clear, _distance(place, start[:, None], end[:, None]))
        if start is end:  # a place, which a grain line may pass between its ends
            clear = np.fmin(clear, _distance(start[:, None], upper, lower))
    best = _first_greatest(half * clear)
    body = np.arange(len(ring))
    line = np.stack([upper[body, best], lower[body, best]], axis=1)

    # Beyond the grain line's own ends there is room on its stretch in every piece, however thin.
    beyond = [on_line(end)[body, best] for end in ((low + middle - half) / 2, (high + middle + half) / 2)]
    candidates = np.concatenate([_lattice(ring), np.stack(beyond, axis=1)], axis=1)
    free = np.minimum(_clearance(candidates, ring, after), _distance(candidates, line[:, None, 0], line[:, None, 1]))
    free = np.where(inside(candidates, ring), free, -1.0)
    return line, candidates[body, _first_greatest(free)]


def _first_greatest(worth: Floats) -> Indices:
    """Which is the greatest, the first of those that are as great: what is equal by rule must not hang on the last digit."""
    first: Indices = np.argmax(np.round(np.nan_to_num(worth, nan=-1.0), 6), axis=1)
    return first


def _stretches(ring: Floats, after: Floats, grain: Floats) -> tuple[Floats, Floats, Floats]:
    """The longest stretch inside of every line along the grain: (start, end, across), each (N, lines)."""
    along, aside = dot(ring, grain[:, None]), dot(ring, square_to(grain)[:, None])
    along_after, aside_after = dot(after, grain[:, None]), dot(after, square_to(grain)[:, None])
    low, high = aside.min(axis=1), aside.max(axis=1)
    across = low[:, None] + FRACTIONS * (high - low)[:, None]
    before = aside[:, None] <= across[..., None]
    crosses = before != (aside_after[:, None] <= across[..., None])
    with np.errstate(invalid="ignore", divide="ignore"):
        part = (across[..., None] - aside[:, None]) / (aside_after - aside)[:, None]
        at = np.where(crosses, along[:, None] + part * (along_after - along)[:, None], np.inf)
        at = np.sort(at, axis=2)
        count = at.shape[2] // 2 * 2
        starts, ends = at[..., 0:count:2], at[..., 1:count:2]
        longest = np.argmax(np.nan_to_num(ends - starts, nan=-1.0, posinf=-1.0), axis=2)[..., None]
    start, end = (np.take_along_axis(values, longest, axis=2)[..., 0] for values in (starts, ends))
    inside = np.isfinite(start) & np.isfinite(end)
    return np.where(inside, start, np.nan), np.where(inside, end, np.nan), across


def _lattice(ring: Floats) -> Floats:
    low, high = ring.min(axis=1), ring.max(axis=1)
    x, y = np.meshgrid(np.arange(1, COLUMNS + 1) / (COLUMNS + 1), np.arange(1, ROWS + 1) / (ROWS + 1))
    fractions = np.stack([x.ravel(), y.ravel()], axis=1)
    places: Floats = low[:, None] + fractions * (high - low)[:, None]
    return places


def _clearance(points: Floats, ring: Floats, after: Floats) -> Floats:
    """Distance (N, C) of points (N, C, 2) from the outline."""
    least: Floats = _distance(points[:, :, None], ring[:, None], after[:, None]).min(axis=2)
    return least


def _distance(point: Floats, start: Floats, end: Floats) -> Floats:
    """Distance of points from segments, broadcast."""
    step, gap = end - start, point - start
    part = np.clip(dot(gap, step) / np.maximum(dot(step, step), 1e-12), 0.0, 1.0)
    return norm(gap - part[..., None] * step)
