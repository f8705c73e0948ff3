"""Vectors of the plane for N bodies at once.

A vector is the last axis of an array, of length 2; any axes may stand before it.  Sums are written out
rather than left to a linear-algebra library, so that a body's figures do not depend on how many bodies share
the batch.
"""

from __future__ import annotations

import numpy as np

TINY = 1e-9  # mm; shorter vectors are held to have no direction of their own


def vector(x, y) -> np.ndarray:
    """The vectors (..., 2) with these coordinates (...)."""
    return np.stack(np.broadcast_arrays(x, y), axis=-1)


def dot(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1]


def cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Signed area of the parallelogram on a and b; positive where b lies from a toward increasing angle."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def norm(a: np.ndarray) -> np.ndarray:
    return np.sqrt(a[..., 0] * a[..., 0] + a[..., 1] * a[..., 1])


def distance(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return norm(b - a)


def square_to(a: np.ndarray) -> np.ndarray:
    """The vector turned by +90 degrees, from +x toward +y."""
    return vector(-a[..., 1], a[..., 0])


def unit(a: np.ndarray) -> np.ndarray:
    """Unit vector along a; NaN where a is shorter than `TINY`."""
    size = norm(a)
    return a / np.where(size > TINY, size, np.nan)[..., None]


def along(angle: np.ndarray) -> np.ndarray:
    """Unit vector at an angle (radians)."""
    angle = np.ascontiguousarray(angle, dtype=float)
    return vector(np.cos(angle), np.sin(angle))


def angle_of(a: np.ndarray) -> np.ndarray:
    """Angle of a from +x toward +y, in (-pi, pi]."""
    return np.arctan2(np.ascontiguousarray(a[..., 1]), np.ascontiguousarray(a[..., 0]))


def angle_between(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Signed angle that turns a onto b, in (-pi, pi]."""
    return np.arctan2(cross(a, b), dot(a, b))


def choose(condition: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Vectors of a where the condition (...) holds, of b elsewhere."""
    return np.where(condition[..., None], a, b)
