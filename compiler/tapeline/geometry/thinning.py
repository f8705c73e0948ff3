"""Fewer points for the same run: those that are needed to stay within a distance of it.

The ends stay; then by turns the point that lies farthest from the chord is taken in, until none lies farther than asked.
"""

from __future__ import annotations

import numpy as np

from .arrays import Floats


def thinned(points: Floats, within: float) -> Floats:
    """The needed points (L, 2) of a run (K, 2), none of the others farther than `within` from the chord that passes it."""
    needed, waiting = {0, len(points) - 1}, [(0, len(points) - 1)]
    while waiting:
        low, high = waiting.pop()
        away = _from_chord(points[low + 1 : high], points[low], points[high])
        if len(away) and away.max() > within:
            middle = low + 1 + int(np.argmax(away))
            needed.add(middle)
            waiting += [(low, middle), (middle, high)]
    return points[sorted(needed)]


def _from_chord(points: Floats, p: Floats, q: Floats) -> Floats:
    """Distance (K,) from the straight piece from p to q."""
    step = q - p
    part = np.clip((points - p) @ step / max(float(step @ step), 1e-12), 0.0, 1.0)
    away: Floats = np.hypot(*(points - p - part[:, None] * step).T)
    return away
