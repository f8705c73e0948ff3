"""A piece that lies on the fold of the cloth: its outline without the fold, and points seen in a mirror on it.

All runs are (K, 2) arrays in millimetres; a closed run does not repeat its first point.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np

from ...geometry.arrays import Floats

Fold: TypeAlias = tuple[Floats, Floats]  # the ends (2,) of its line
ON_FOLD = 1e-3  # mm


def mirrored(points: Floats, fold: Fold) -> Floats:
    """The points as seen in a mirror standing on the fold from p to q."""
    p, q = fold
    along = (q - p) / np.hypot(*(q - p))
    image: Floats = 2 * (p + ((points - p) @ along)[:, None] * along) - points
    return image


def off_fold(points: Floats, fold: Fold) -> Floats:
    """Distance (K,) from the endless line of the fold."""
    p, q = fold
    along = (q - p) / np.hypot(*(q - p))
    off: Floats = np.abs((points[:, 0] - p[0]) * along[1] - (points[:, 1] - p[1]) * along[0])
    return off


def open_half(ring: Floats, fold: Fold, first: int) -> Floats:
    """The run of a ring that leaves the fold and comes back to it; `first` is the number of a point on the fold."""
    walk = np.concatenate([ring[first:], ring[: first + 1]])
    away = np.flatnonzero(off_fold(walk, fold) > ON_FOLD)
    return walk[away[0] - 1 : away[-1] + 2]
