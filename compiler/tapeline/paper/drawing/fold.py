"""A piece that lies on the fold of the cloth: its outline without the fold, and points seen in a mirror on it.

A fold is the two ends (2,) of its line.  All runs are (K, 2) arrays in millimetres; a closed run does not repeat its first point.
"""

from __future__ import annotations

import numpy as np

ON_FOLD = 1e-3  # mm


def mirrored(points: np.ndarray, fold: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """The points as seen in a mirror standing on the fold from p to q."""
    p, q = fold
    along = (q - p) / np.hypot(*(q - p))
    return 2 * (p + ((points - p) @ along)[:, None] * along) - points


def off_fold(points: np.ndarray, fold: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """Distance (K,) from the endless line of the fold."""
    p, q = fold
    along = (q - p) / np.hypot(*(q - p))
    return np.abs((points[:, 0] - p[0]) * along[1] - (points[:, 1] - p[1]) * along[0])


def open_half(ring: np.ndarray, fold: tuple[np.ndarray, np.ndarray], first: int) -> np.ndarray:
    """The run of a ring that leaves the fold and comes back to it; `first` is the number of a point on the fold."""
    walk = np.concatenate([ring[first:], ring[: first + 1]])
    away = np.flatnonzero(off_fold(walk, fold) > ON_FOLD)
    return walk[away[0] - 1 : away[-1] + 2]
