"""Vectors of the plane for N bodies at once.

A vector is the last axis of an array, of length 2; any axes may stand before it.  In memory the coordinates are
best kept apart, all x before all y, as `vector` does: an operation then runs through them in one go.  Sums are written
out rather than left to a linear-algebra library, so that a body's figures do not depend on how many bodies share the
chunk.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce
from operator import add

import numpy as np

from .arrays import Bodies, Floats, FloatsLike, Mask
from .dual import Dual, floats

TINY = 1e-9  # mm; shorter vectors are held to have no direction of their own


def vector(x: FloatsLike, y: FloatsLike) -> Floats:
    """The vectors (..., 2) with these coordinates (...)."""
    if isinstance(x, Dual) or isinstance(y, Dual):
        return np.stack(np.broadcast_arrays(x, y), axis=-1)
    shape = np.shape(x)
    made = np.empty((2, *(shape if shape == np.shape(y) else np.broadcast_shapes(shape, np.shape(y)))))
    made[0], made[1] = x, y
    return made.transpose(LAST[made.ndim])


LAST = tuple((*range(1, ndim), 0) if ndim else () for ndim in range(6))  # the first of so many axes put last
FIRST = tuple((ndim - 1, *range(ndim - 1)) if ndim else () for ndim in range(6))  # the last of so many axes put first


def combined(weights: Sequence[Floats], vectors: Floats) -> Floats:
    """The sums (N, K, 2) of vectors (N, M, 2), each of the M times its weights, (1, K) for all bodies or (N, K).

    Of the weights all are duals, or none is.
    """
    if isinstance(vectors, Dual) or isinstance(weights[-1], Dual):
        return vector(*(reduce(add, [w * vectors[:, m, axis][:, None] for m, w in enumerate(weights)]) for axis in (0, 1)))
    if len(weights[0]) == 1:
        return combined_alike(np.concatenate(weights), vectors)
    laid = vectors.transpose(1, 2, 0)[..., None]
    sums: Floats = reduce(add, [w * laid[m] for m, w in enumerate(weights)])
    return sums.transpose(1, 2, 0)


def combined_alike(weights: Floats, vectors: Floats) -> Floats:
    """The same of vectors that are no duals, with weights (M, K) for all bodies."""
    # Adds up in the order of the vectors, as above: no bit depends on the number of bodies.
    sums: Floats = np.einsum("mk,nmc->cnk", weights, vectors).transpose(1, 2, 0)
    return sums


def interleaved(points: Floats) -> Floats:
    """The vectors with x and y side by side in memory, as other libraries want them."""
    laid = np.empty(points.shape)
    laid[..., 0], laid[..., 1] = points[..., 0], points[..., 1]
    return laid


def taken(a: Floats, index: Bodies) -> Floats:
    """The entries of some bodies (an index array, mask or slice), laid in memory as before."""
    return a.T[..., index].T


def dot(a: Floats, b: Floats) -> Floats:
    return a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1]


def cross(a: Floats, b: Floats) -> Floats:
    """Signed area of the parallelogram on a and b; positive where b lies from a toward increasing angle."""
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def norm(a: Floats) -> Floats:
    if isinstance(a, Dual) or a.ndim < 2:
        return np.sqrt(dot(a, a))
    x, y = a[..., 0], a[..., 1]
    square = x * x
    square += y * y
    return np.sqrt(square, out=square)


def distance(a: Floats, b: Floats) -> Floats:
    return norm(b - a)


def square_to(a: Floats) -> Floats:
    """The vector turned by +90 degrees, from +x toward +y."""
    return vector(-a[..., 1], a[..., 0])


def unit(a: Floats) -> Floats:
    """Unit vector along a; NaN where a is shorter than `TINY`."""
    size = norm(a)
    return a / np.where(size > TINY, size, np.nan)[..., None]


def along(angle: Floats) -> Floats:
    """Unit vector at an angle (radians)."""
    angle = floats(angle, "C")
    return vector(np.cos(angle), np.sin(angle))


def angle_of(a: Floats) -> Floats:
    """Angle of a from +x toward +y, in (-pi, pi]."""
    return np.arctan2(floats(a[..., 1], "C"), floats(a[..., 0], "C"))


def angle_between(a: Floats, b: Floats) -> Floats:
    """Signed angle that turns a onto b, in (-pi, pi]."""
    return np.arctan2(cross(a, b), dot(a, b))


def choose(condition: Mask, a: Floats, b: Floats) -> Floats:
    """Vectors of a where the condition (...) holds, of b elsewhere."""
    if a.ndim == b.ndim and not isinstance(a, Dual) and not isinstance(b, Dual):
        chosen: Floats = np.where(condition, a.transpose(FIRST[a.ndim]), b.transpose(FIRST[a.ndim])).transpose(LAST[a.ndim])
        return chosen
    return vector(np.where(condition, a[..., 0], b[..., 0]), np.where(condition, a[..., 1], b[..., 1]))
