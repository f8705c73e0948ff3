"""Rigid motions of the plane, one for each of N bodies.

A motion is a turn, after a mirroring in the x axis if it is `mirrored`, and then an offset:

    x' = cos x - k sin y + offset_x        k = -1 if mirrored, else 1
    y' = sin x + k cos y + offset_y

Lengths and the size of angles are kept; a mirrored motion reverses the sense of angles.  Whether a motion
mirrors is a property of the rule that made it, so it is one boolean for the whole chunk.
"""

from __future__ import annotations

import numpy as np

from .arrays import Bodies, Floats, Mask
from .dual import Dual, floats
from .plane import LAST, along, cross, dot, unit, vector


class Motion:
    """A rigid motion: `cos`, `sin` (N,), `offset` (N, 2) in millimetres, `mirrored`."""

    __slots__ = ("cos", "sin", "offset", "mirrored")

    def __init__(self, cos: Floats, sin: Floats, offset: Floats, mirrored: bool = False) -> None:
        self.cos, self.sin, self.offset, self.mirrored = cos, sin, offset, mirrored

    @classmethod
    def identity(cls, n: int) -> Motion:
        return cls(np.ones(n), np.zeros(n), np.zeros((n, 2)))

    @classmethod
    def shift(cls, by: Floats) -> Motion:
        """Every point carried by the vector `by` (N, 2)."""
        by = floats(by)
        return cls(np.ones(len(by)), np.zeros(len(by)), by)

    @classmethod
    def turn(cls, centre: Floats, angle: Floats) -> Motion:
        """A turn about `centre` (N, 2) by `angle` (N,), from +x toward +y."""
        direction = along(np.broadcast_to(angle, (len(centre),)))
        return cls._keeping(centre, direction[..., 0], direction[..., 1], False)

    @classmethod
    def turn_onto(cls, centre: Floats, p: Floats, q: Floats) -> Motion:
        """The turn about `centre` that lays the ray to p on the ray to q; NaN where a ray has no length."""
        from_ray, to_ray = unit(p - centre), unit(q - centre)
        return cls._keeping(centre, dot(from_ray, to_ray), cross(from_ray, to_ray), False)

    @classmethod
    def mirror(cls, point: Floats, direction: Floats) -> Motion:
        """The reflection in the line through `point` along `direction` (N, 2); NaN where it has no length."""
        u = unit(direction)
        cos = u[..., 0] * u[..., 0] - u[..., 1] * u[..., 1]
        return cls._keeping(point, cos, 2.0 * u[..., 0] * u[..., 1], True)

    @classmethod
    def _keeping(cls, point: Floats, cos: Floats, sin: Floats, mirrored: bool) -> Motion:
        motion = cls(cos, sin, np.zeros(np.shape(point)), mirrored)
        motion.offset = point - motion.points(point)
        return motion

    @property
    def n(self) -> int:
        return len(self.cos)

    def vectors(self, v: Floats) -> Floats:
        """The vectors (N, 2) or (N, K, 2) turned, and mirrored where the motion mirrors."""
        shape = (-1,) + (1,) * (v.ndim - 2)
        cos, sin = self.cos.reshape(shape), self.sin.reshape(shape)
        x, y = v[..., 0], (-v[..., 1] if self.mirrored else v[..., 1])
        if isinstance(v, Dual) or isinstance(self.cos, Dual):
            return vector(cos * x - sin * y, sin * x + cos * y)
        turned = np.empty((2, *np.broadcast_shapes(cos.shape, x.shape)))
        np.multiply(cos, x, out=turned[0])
        np.multiply(sin, x, out=turned[1])
        turned[0] -= sin * y
        turned[1] += cos * y
        return turned.transpose(LAST[turned.ndim])

    def points(self, p: Floats) -> Floats:
        """The points (N, 2) or (N, K, 2) carried along."""
        offset = self.offset if p.ndim == 2 else self.offset[:, None, :]
        turned = self.vectors(p)
        if isinstance(turned, Dual) or isinstance(offset, Dual):
            return turned + offset
        turned += offset
        return turned

    def angle(self) -> Floats:
        """How far the motion turns (N,), after its mirroring if it mirrors, in (-pi, pi]."""
        return np.arctan2(self.sin, self.cos)

    def then(self, following: Motion) -> Motion:
        """This motion first and the other after it."""
        k = -1.0 if following.mirrored else 1.0
        return Motion(
            following.cos * self.cos - k * following.sin * self.sin,
            following.sin * self.cos + k * following.cos * self.sin,
            following.points(self.offset),
            self.mirrored != following.mirrored,
        )

    def where(self, moves: Mask) -> Motion:
        """The motion of those bodies (N,) for which it is true; the others do not move."""
        if self.mirrored:
            raise ValueError("no body can stay in a motion that mirrors")
        return Motion(np.where(moves, self.cos, 1.0), np.where(moves, self.sin, 0.0), np.where(moves[:, None], self.offset, 0.0))

    def inverse(self) -> Motion:
        sin = self.sin if self.mirrored else -self.sin
        back = Motion(self.cos, sin, np.zeros(self.offset.shape), self.mirrored)
        back.offset = -back.vectors(self.offset)
        return back

    def take(self, index: Bodies) -> Motion:
        """The motions of a subset of the bodies (an index array, mask or slice)."""
        return Motion(self.cos[index], self.sin[index], self.offset[index], self.mirrored)
