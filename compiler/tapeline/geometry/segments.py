"""The three exact kinds of curve - line, circular arc, cubic Bezier - each standing for N bodies at once.

All share one interface, with a parameter t from 0 to 1: places, velocities, directions, lengths and the
inverse of length, parts, motions.  Lengths of lines and arcs are closed formulas.  The length of a cubic is
a Gauss-Legendre integral of its speed.  How well that converges is told by the two complex parameters at
which the velocity is zero: where both are far from the curve one plain rule does; where one is near, as at
a sharp bend or a cusp, the integral is cut beside it and the nodes are drawn toward the cuts.  The inverse
of length is Newton's method kept inside a bracket; a body that has converged is left alone, so that its
value does not depend on the others in the chunk.

A segment may have no length, for some bodies or for all.  It then still has a direction: a part remembers
the direction of the curve that it was cut from (`heading`), and an arc knows its own from its angle and the
sign of its sweep, even when that is a signed zero.

Invariants: segments are not changed after they are made; `part(t0, t1)` and `part(t1, t2)` share their end
bit for bit; `start()` and `end()` of lines and cubics are the very points given.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache, reduce
from typing import ClassVar, TypeAlias

import numpy as np

from .arrays import Bodies, Floats, FloatsLike, Mask
from .dual import Dual, at_root, each_of, floats, plain, put, slope_of
from .motion import Motion
from .plane import TINY, along, choose, combined, combined_alike, distance, dot, norm, square_to, taken, unit, vector

PLACE = 1e-8  # mm; how near along the curve the inverse of length comes
# Sum of distances from 0 and 1: outside that ellipse the plain rule errs by some 1e-9 of the length.
FAR = 1.25


Rule: TypeAlias = tuple[Floats, Floats]  # nodes and weights between 0 and 1
Lengths: TypeAlias = tuple[Floats, Floats, Mask, bool]  # see `Cubic._lengths`


def _gauss_legendre(count: int) -> Rule:
    """Nodes and weights between 0 and 1, by the eigenvalues of Golub and Welsch: numpy's own would load all its polynomials."""
    k = np.arange(1, count)
    beside = k / np.sqrt(4.0 * k * k - 1.0)
    nodes, vectors = np.linalg.eigh(np.diag(beside, 1) + np.diag(beside, -1))
    return (nodes + 1.0) / 2.0, vectors[0] ** 2


def _drawn_to_ends(nodes: Floats, weights: Floats) -> Rule:
    """The rule after the substitution t = u^2 (3 - 2 u)."""
    return nodes * nodes * (3.0 - 2.0 * nodes), weights * 6.0 * nodes * (1.0 - nodes)


def _powers(nodes: Floats, weights: Floats) -> Rule:
    """The rule with the powers (3, K) of its nodes, which a velocity's terms are multiplied by."""
    return np.stack([np.ones(len(nodes)), nodes, nodes * nodes]), weights


PLAIN = _powers(*_gauss_legendre(16))
DRAWN = _powers(*_drawn_to_ends(*_gauss_legendre(24)))


def _column(t: FloatsLike, n: int) -> Floats:
    """A parameter given as a number or (N,), as (N, 1)."""
    return floats(each_of(t, n), "C")[:, None]


def _rows(ts: Floats) -> Floats:
    """Parameters given as (K,) or (N, K), as (1, K) or (N, K)."""
    ts = floats(ts)
    return ts[None] if ts.ndim == 1 else ts


class Segment:
    """What the three kinds have in common.  `t` is a number or (N,); `ts` is (K,) or (N, K)."""

    __slots__ = ()
    made_of: ClassVar[tuple[str, ...]] = ()  # what `__init__` takes

    def __init__(self, *made_of: Floats) -> None:
        raise NotImplementedError

    @property
    def n(self) -> int:
        """How many bodies the segment stands for."""
        raise NotImplementedError

    def still(self) -> Segment:
        """The segment as it stands: of duals the values alone (see `dual`)."""
        parts = [getattr(self, name) for name in self.made_of]
        return type(self)(*(plain(part) for part in parts)) if any(plain(part) is not part for part in parts) else self

    def known(self) -> Mask:
        """Whether (N,) all that the segment is made of, but for its heading, are numbers."""
        parts = [plain(getattr(self, name)) for name in self.made_of if name != "heading"]
        known: Mask = np.isfinite(sum(part.T.reshape(-1, self.n).sum(axis=0) for part in parts))
        return known

    def start(self) -> Floats:
        return self.at(0.0)

    def end(self) -> Floats:
        return self.at(1.0)

    def box(self) -> tuple[Floats, Floats]:
        """Corners (N, 2) of a box that holds the segment: of its control points, or of the whole circle of an arc."""
        return np.minimum(self.start(), self.end()), np.maximum(self.start(), self.end())

    def reach_toward(self, place: Floats, direction: Floats) -> Floats:
        """How far at most (N,) the segment lies from a place in a direction; told from control points, so perhaps a little less far."""
        return np.maximum(dot(self.start() - place, direction), dot(self.end() - place, direction))

    def at(self, t: FloatsLike) -> Floats:
        """Place (N, 2) at t."""
        return self.sample(_column(t, self.n))[:, 0]

    def direction(self, t: FloatsLike) -> Floats:
        """Unit tangent (N, 2) at t, never NaN for finite segments."""
        return self.sample_directions(_column(t, self.n))[:, 0]

    def sample(self, ts: Floats) -> Floats:
        """Places (N, K, 2) at ts."""
        raise NotImplementedError

    def sample_directions(self, ts: Floats) -> Floats:
        """Unit tangents (N, K, 2) at ts."""
        raise NotImplementedError

    def velocity(self, t: FloatsLike) -> Floats:
        """The derivative (N, 2) of the place by t."""
        raise NotImplementedError

    def length(self) -> Floats:
        raise NotImplementedError

    def length_to(self, t: FloatsLike) -> Floats:
        """Length (N,) from the start to t."""
        raise NotImplementedError

    def parameter_at(self, s: FloatsLike) -> Floats:
        """Parameter (N,) at which the length from the start is s (mm), held to 0..1; NaN for NaN."""
        raise NotImplementedError

    def part(self, t0: FloatsLike, t1: FloatsLike) -> Segment:
        """The curve from t0 to t1, exactly."""
        raise NotImplementedError

    def moved(self, motion: Motion) -> Segment:
        raise NotImplementedError

    def shifted(self, by: Floats) -> Segment:
        """Carried by the vector (N, 2)."""
        raise NotImplementedError

    def reversed(self) -> Segment:
        raise NotImplementedError

    def take(self, index: Bodies) -> Segment:
        """The segment of some of the bodies."""
        raise NotImplementedError


class Line(Segment):
    """Straight from p0 to p1 (N, 2).  `heading` is its direction where the ends are too near to tell it."""

    __slots__ = made_of = ("p0", "p1", "heading")

    def __init__(self, p0: Floats, p1: Floats, heading: Floats | None = None) -> None:
        self.p0, self.p1 = floats(p0), floats(p1)
        self.heading = _level(self.n) if heading is None else heading

    @property
    def n(self) -> int:
        return len(self.p0)

    def start(self) -> Floats:
        return self.p0

    def end(self) -> Floats:
        return self.p1

    def sample(self, ts: Floats) -> Floats:
        t = _rows(ts)
        return combined((1.0 - t, t), np.stack([self.p0, self.p1], axis=1))

    def sample_directions(self, ts: Floats) -> Floats:
        return np.repeat(self._direction()[:, None], np.shape(ts)[-1], axis=1)

    def _direction(self) -> Floats:
        run = self.p1 - self.p0
        return choose(norm(run) <= TINY, self.heading, unit(run))

    def velocity(self, t: FloatsLike) -> Floats:
        return self.p1 - self.p0

    def length(self) -> Floats:
        return distance(self.p0, self.p1)

    def length_to(self, t: FloatsLike) -> Floats:
        return self.length() * t

    def parameter_at(self, s: FloatsLike) -> Floats:
        return _fraction(s, self.length())

    def at(self, t: FloatsLike) -> Floats:
        t = _column(t, self.n)
        return (1.0 - t) * self.p0 + t * self.p1

    def direction(self, t: FloatsLike) -> Floats:
        return self._direction()

    def part(self, t0: FloatsLike, t1: FloatsLike) -> Line:
        return Line(self.at(t0), self.at(t1), self._direction())

    def moved(self, motion: Motion) -> Line:
        return Line(motion.points(self.p0), motion.points(self.p1), motion.vectors(self.heading))

    def shifted(self, by: Floats) -> Line:
        return Line(self.p0 + by, self.p1 + by, self.heading)

    def reversed(self) -> Line:
        return Line(self.p1, self.p0, -self.heading)

    def take(self, index: Bodies) -> Line:
        return Line(*(taken(part, index) for part in (self.p0, self.p1, self.heading)))


class Arc(Segment):
    """Part of a circle: `centre` (N, 2), `radius` (mm), `start_angle`, signed `sweep` (radians), each (N,).

    A sweep of no size keeps the sign of the curve that it was cut from, and so its direction.
    """

    __slots__ = made_of = ("centre", "radius", "start_angle", "sweep")

    def __init__(self, centre: Floats, radius: Floats, start_angle: Floats, sweep: Floats) -> None:
        self.centre = floats(centre)
        self.radius, self.start_angle, self.sweep = (floats(each_of(v, len(self.centre)), "C") for v in (radius, start_angle, sweep))

    @property
    def n(self) -> int:
        return len(self.centre)

    def box(self) -> tuple[Floats, Floats]:
        reach = np.abs(self.radius)[:, None]
        return self.centre - reach, self.centre + reach

    def reach_toward(self, place: Floats, direction: Floats) -> Floats:
        return dot(self.centre - place, direction) + np.abs(self.radius) * norm(direction)

    def _angles(self, ts: Floats) -> Floats:
        return self.start_angle[:, None] + self.sweep[:, None] * _rows(ts)

    def sample(self, ts: Floats) -> Floats:
        return self.centre[:, None] + self.radius[:, None, None] * along(self._angles(ts))

    def sample_directions(self, ts: Floats) -> Floats:
        return np.copysign(1.0, self.sweep)[:, None, None] * square_to(along(self._angles(ts)))

    def velocity(self, t: FloatsLike) -> Floats:
        outward = along(self._angles(_column(t, self.n)))[:, 0]
        return (self.radius * self.sweep)[:, None] * square_to(outward)

    def length(self) -> Floats:
        return self.radius * np.abs(self.sweep)

    def length_to(self, t: FloatsLike) -> Floats:
        return self.length() * t

    def parameter_at(self, s: FloatsLike) -> Floats:
        return _fraction(s, self.length())

    def part(self, t0: FloatsLike, t1: FloatsLike) -> Arc:
        t0, t1 = _column(t0, self.n)[:, 0], _column(t1, self.n)[:, 0]
        # An exact zero times the sweep keeps the sweep's sign.
        return Arc(self.centre, self.radius, self.start_angle + self.sweep * t0, self.sweep * np.abs(t1 - t0))

    def moved(self, motion: Motion) -> Arc:
        k = -1.0 if motion.mirrored else 1.0
        return Arc(motion.points(self.centre), self.radius, k * self.start_angle + motion.angle(), k * self.sweep)

    def shifted(self, by: Floats) -> Arc:
        return Arc(self.centre + by, self.radius, self.start_angle, self.sweep)

    def reversed(self) -> Arc:
        return Arc(self.centre, self.radius, self.start_angle + self.sweep, -self.sweep)

    def take(self, index: Bodies) -> Arc:
        return Arc(taken(self.centre, index), self.radius[index], self.start_angle[index], self.sweep[index])


class Cubic(Segment):
    """A cubic Bezier curve with control points p (N, 4, 2); `heading` (N, 2) is for one shrunk to a point."""

    __slots__ = ("p", "heading", "_table", "_velocities")
    made_of = ("p", "heading")

    def __init__(self, p: Floats, heading: Floats | None = None) -> None:
        self.p = floats(p)
        self.heading = _level(self.n) if heading is None else heading
        self._table: Lengths | None = None
        self._velocities: tuple[Floats, Floats, Floats] | None = None

    @property
    def n(self) -> int:
        return len(self.p)

    def start(self) -> Floats:
        return self.p[:, 0]

    def end(self) -> Floats:
        return self.p[:, 3]

    def sample(self, ts: Floats) -> Floats:
        t = _rows(ts)
        r = 1.0 - t
        weights = r * r * r, 3.0 * r * r * t, 3.0 * r * t * t, t * t * t
        return combined(weights, self.p)

    def box(self) -> tuple[Floats, Floats]:
        points = [self.p[:, i] for i in range(4)]
        return reduce(np.minimum, points), reduce(np.maximum, points)

    def reach_toward(self, place: Floats, direction: Floats) -> Floats:
        return reduce(np.maximum, [dot(self.p[:, i] - place, direction) for i in range(4)])

    def velocities(self) -> tuple[Floats, Floats, Floats]:
        """The vectors a, b, c (N, 2) of the velocity a + b t + c t^2.  Worked out once."""
        if self._velocities is None:
            p0, p1, p2, p3 = (self.p[:, i] for i in range(4))
            self._velocities = 3.0 * (p1 - p0), 6.0 * (p0 - 2.0 * p1 + p2), 3.0 * (p3 - 3.0 * p2 + 3.0 * p1 - p0)
        return self._velocities

    def velocity(self, t: FloatsLike) -> Floats:
        t = _column(t, self.n)
        a, b, c = self.velocities()
        return a + t * (b + t * c)

    def sample_directions(self, ts: Floats) -> Floats:
        t = _rows(ts)
        steps, r = self.p[:, 1:] - self.p[:, :-1], 1.0 - t
        tangent = combined((r * r, 2.0 * r * t, t * t), steps)
        speed = norm(tangent)
        if (speed > TINY).all():
            return tangent / speed[..., None]
        stands = speed <= TINY
        r, t = r[..., None], t[..., None]
        first, second, third = (steps[:, None, i] for i in range(3))
        # Where the curve stands still it leaves along its next derivative, and arrives against it.
        bend = np.where(t > 0.5, -1.0, 1.0) * (r * (second - first) + t * (third - second))
        twist = third - 2.0 * second + first
        result = choose(norm(twist) > TINY, unit(twist), self.heading[:, None])
        result = choose(norm(bend) > TINY, unit(bend), result)
        return choose(stands, result, unit(tangent))

    def _integral(self, low: Floats, high: Floats, powers: Floats, weights: Floats) -> Floats:
        """Length (N,) between parameters low and high (N,) by one rule."""
        a, b, c = self.velocities()
        start, width = low[:, None], (high - low)[:, None]
        # The velocity in terms of the part of the way from low to high, so that the nodes are the same for all bodies.
        parts = a + start * (b + start * c), width * (b + 2.0 * start * c), width * width * c
        if any(isinstance(part, Dual) for part in parts):
            speed = norm(combined(list(powers[:, None]), np.stack(parts, axis=1)))
        else:
            terms = np.empty((self.n, 3, 2))
            terms[:, 0], terms[:, 1], terms[:, 2] = parts
            speed = norm(combined_alike(powers, terms))
        length: Floats = width[:, 0] * np.sum(speed * weights, axis=-1)
        return length

    def _between(self, low: Floats, high: Floats) -> Floats:
        """Length (N,) between parameters with no break between them."""
        result = self._integral(low, high, *PLAIN)
        _, _, sharp, bent = self._lengths()
        if bent:
            those = np.flatnonzero(sharp)
            result = put(result, those, self.take(those)._integral(low[those], high[those], *DRAWN))
        return result

    def _lengths(self) -> Lengths:
        """Breaks (N, 4) of the parameter, lengths (N, 4) up to them, which bodies (N,) bend sharply, and whether any does.

        Worked out once.  Only a sharply bent curve has breaks between 0 and 1.
        """
        if self._table is None:
            sharp, breaks = np.zeros(self.n, dtype=bool), np.ones((self.n, 4))
            breaks[:, 0] = 0.0
            doubtful = np.flatnonzero(~self.gentle())
            if len(doubtful):
                places, apart = _standstills(*(taken(plain(v), doubtful) for v in self.velocities()))
                sharp[doubtful] = apart < FAR
                breaks[doubtful, 1:3] = np.where(sharp[doubtful, None], np.sort(np.clip(places, 0.0, 1.0), axis=1), 1.0)
            reach, any_sharp = np.zeros((self.n, 4)), bool(sharp.any())
            self._table = breaks, reach, sharp, any_sharp
            reach = put(reach, np.s_[:, 1:], self._integral(breaks[:, 0], np.ones(self.n), *PLAIN)[:, None])
            if any_sharp:
                bent = np.flatnonzero(sharp)
                curve = self.take(bent)
                for i in (0, 1, 2):
                    reach = put(reach, (bent, i + 1), reach[bent, i] + curve._between(breaks[bent, i], breaks[bent, i + 1]))
            self._table = breaks, reach, sharp, any_sharp
        return self._table

    def gentle(self) -> Mask:
        """Bodies (N,) whose control points alone show that the velocity is zero nowhere near.

        Weights of the velocity's three control vectors, at a complex parameter, are in sum no greater than the square of its
        distances from 0 and 1; so where the vectors differ less from the middle one than that allows, they cannot cancel.
        """
        p = plain(self.p)
        third = (p[:, 3] - p[:, 0]) / 3.0
        differ = reduce(np.maximum, [norm(p[:, i + 1] - p[:, i] - third) for i in range(3)])
        return FAR * FAR * differ < norm(third)

    def length(self) -> Floats:
        return self._lengths()[1][:, 3]

    def length_to(self, t: FloatsLike) -> Floats:
        t = floats(each_of(t, self.n), "C")
        breaks, reach, _, bent = self._lengths()
        if not bent:  # of two parts, the second without length
            past = t >= 1.0
            return np.where(past, reach[:, 3], 0.0) + self._between(past.astype(float), t)
        j = np.sum(breaks[:, 1:3] <= t[:, None], axis=1)[:, None]
        low, before = (np.take_along_axis(table, j, axis=1)[:, 0] for table in (breaks, reach))
        return before + self._between(low, t)

    def parameter_at(self, s: FloatsLike) -> Floats:
        s = floats(each_of(s, self.n), "C")
        still = self.still()
        if still is not self or plain(s) is not s:
            t = still.parameter_at(plain(s))
            miss = slope_of(self.length_to(t) - s)
            return at_root(t, np.where((t > 0.0) & (t < 1.0), miss, 0.0), norm(still.velocity(t)))
        breaks, reach, _, bent = self._lengths()
        after = reach[:, 3]
        s = np.clip(s, 0.0, after)
        if bent:
            j = np.sum(reach[:, 1:3] <= s[:, None], axis=1)[:, None]
            base, high, before, after = (np.take_along_axis(table, j + k, axis=1)[:, 0] for table in (breaks, reach) for k in (0, 1))
            low, rest = base.copy(), s - before
            t = base + (high - base) * _fraction(rest, after - before)
        else:
            past = s >= after
            base, high, rest = past.astype(float), np.ones(self.n), np.where(past, 0.0, s)
            low, t = base.copy(), np.where(past, 1.0, _fraction(rest, after))
        active = np.flatnonzero((rest > 0.0) & (s < after))
        for _ in range(60):
            if not len(active):
                break
            curve, here = self if len(active) == self.n else self.take(active), t[active]
            error = curve._between(base[active], here) - rest[active]
            low[active] = np.where(error < 0.0, here, low[active])
            high[active] = np.where(error < 0.0, high[active], here)
            speed = norm(curve.velocity(here))
            step = here - error / np.where(speed > 0.0, speed, np.nan)
            inside = (step > low[active]) & (step < high[active])
            better = np.where(inside, step, 0.5 * (low[active] + high[active]))
            going = np.abs(error) > PLACE
            active = active[going]
            t[active] = better[going]
        return t

    def part(self, t0: FloatsLike, t1: FloatsLike) -> Cubic:
        """The curve from t0 to t1, exactly, by blossoming."""
        t0, t1 = _column(t0, self.n), _column(t1, self.n)
        points = [self._blossom(*ts) for ts in ((t0, t0, t0), (t0, t0, t1), (t0, t1, t1), (t1, t1, t1))]
        return Cubic(np.stack(points, axis=1), self.sample_directions(t0)[:, 0])

    def _blossom(self, *ts: Floats) -> Floats:
        points = [self.p[:, i] for i in range(4)]
        for t in ts:
            points = [(1.0 - t) * p + t * q for p, q in zip(points, points[1:], strict=False)]
        return points[0]

    def moved(self, motion: Motion) -> Cubic:
        return Cubic(motion.points(self.p), motion.vectors(self.heading))

    def shifted(self, by: Floats) -> Cubic:
        return Cubic(self.p + by[:, None], self.heading)

    def reversed(self) -> Cubic:
        return Cubic(self.p[:, ::-1], -self.heading)

    def take(self, index: Bodies) -> Cubic:
        part = Cubic(taken(self.p, index), taken(self.heading, index))
        if self._table is not None:
            breaks, reach, sharp, bent = self._table
            sharp = sharp[index]
            part._table = breaks[index], reach[index], sharp, bent and bool(sharp.any())
        return part


@lru_cache(maxsize=64)
def _level(n: int) -> Floats:
    level = np.repeat(np.array([[1.0, 0.0]]), n, axis=0)
    level.setflags(write=False)
    return level


def _fraction(s: FloatsLike, whole: Floats) -> Floats:
    """s / whole held to 0..1; zero where there is no whole."""
    s = each_of(s, len(whole))
    part = np.clip(s / np.where(whole > 0.0, whole, np.inf), 0.0, 1.0)
    return np.where((whole > 0.0) & (s >= whole), 1.0, part)


def _standstills(a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats]:
    """Where the velocity a + b t + c t^2, vectors (N, 2) read as complex numbers, is zero.

    Gives the real parts (N, 2) of the two complex parameters, 1 where there is none, and the lesser (N,) of
    their sums of distances from 0 and 1.
    """

    def times(p: Floats, q: Floats) -> Floats:
        return vector(p[..., 0] * q[..., 0] - p[..., 1] * q[..., 1], p[..., 0] * q[..., 1] + p[..., 1] * q[..., 0])

    def over(p: Floats, q: Floats) -> Floats:
        return times(p, q * (1.0, -1.0)) / dot(q, q)[..., None]

    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        under = times(b, b) - 4.0 * times(a, c)
        size = norm(under)
        root = vector(
            np.sqrt(np.maximum(size + under[..., 0], 0.0) / 2.0),
            np.copysign(np.sqrt(np.maximum(size - under[..., 0], 0.0) / 2.0), under[..., 1]),
        )
        half = -0.5 * choose(dot(b, root) >= 0.0, b + root, b - root)  # the sign that does not cancel
        roots = np.stack([over(half, c), over(a, half)], axis=1)
        apart = norm(roots) + norm(roots - (1.0, 0.0))
    there = np.isfinite(apart)
    return np.where(there, roots[..., 0], 1.0), np.min(np.where(there, apart, np.inf), axis=1)


# ------------------------------------------------------------ many segments of the same bodies


def by_kind(segments: Sequence[Segment]) -> list[list[int]]:
    """The numbers of segments of one kind, for each kind that there is."""
    kinds: dict[type[Segment], list[int]] = {}
    for number, segment in enumerate(segments):
        kinds.setdefault(type(segment), []).append(number)
    return list(kinds.values())


def joined(segments: Sequence[Segment]) -> Segment:
    """Segments of one kind as one, which stands for the bodies of all, one after another; what is known of their lengths is kept."""
    first = segments[0]
    if len(segments) == 1:
        return first
    whole = type(first)(*(np.concatenate([getattr(segment, name) for segment in segments]) for name in first.made_of))
    if isinstance(whole, Cubic):
        tables = [segment._table for segment in segments if isinstance(segment, Cubic) and segment._table is not None]
        if len(tables) == len(segments):
            breaks, reach, sharp = (np.concatenate([table[k] for table in tables]) for k in (0, 1, 2))
            whole._table = breaks, reach, sharp, any(table[3] for table in tables)
    return whole


def measure(segments: Sequence[Segment]) -> None:
    """Work out the lengths of all curves that are not known yet, together."""
    curves = list({id(segment): segment for segment in segments if isinstance(segment, Cubic) and segment._table is None}.values())
    if len(curves) < 2:
        return
    whole, n = joined(curves), curves[0].n
    assert isinstance(whole, Cubic)
    breaks, reach, sharp, _ = whole._lengths()
    for k, curve in enumerate(curves):
        own = slice(k * n, (k + 1) * n)
        curve._table = breaks[own], reach[own], sharp[own], bool(sharp[own].any())
