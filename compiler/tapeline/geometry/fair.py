"""Curves that a hand would draw, from the points and directions that a rule gives.

`bowed` joins two points, `through` runs a spline through many, `graded` draws a side seam as widths over
depths, and `circular` strikes an arc.  Handle lengths and the spline are Hobby's (J. D. Hobby, Smooth, easy
to compute interpolating splines, Discrete and Computational Geometry 1, 1986).  A direction not given at one
end mirrors the angle at the other, so that the curve leans to a circle.  The side seam is the monotone
interpolation of F. N. Fritsch and J. Butland (1984), which never bulges beyond the widths.  What cannot be
drawn for a body is NaN for that body, and the caller says so.
"""

from __future__ import annotations

import numpy as np

from .arrays import Floats, FloatsLike
from .dual import floats
from .plane import (
    TINY,
    along,
    angle_between,
    angle_of,
    distance,
    dot,
    norm,
    square_to,
    unit,
    vector,
)
from .segments import Arc, Cubic

LONGEST_HANDLE = 4.0 / 3.0  # of the chord, where an angle is so wide that the formula runs away
BOW_HANDLES = 0.05, 0.6  # of the chord: bounds on a handle that must make the bow alone
UNEQUAL_RADII = 0.01  # mm; an arc's ends may be so much unequally far from its centre


def _handle(theta: Floats, phi: Floats) -> Floats:
    """Hobby's length of the handle at the end with angle theta to the chord, as a fraction of the chord."""
    a, b, c = np.sqrt(2.0), 1.0 / 16.0, (3.0 - np.sqrt(5.0)) / 2.0
    theta, phi = floats(theta, "C"), floats(phi, "C")
    sin_theta, sin_phi, cos_theta, cos_phi = np.sin(theta), np.sin(phi), np.cos(theta), np.cos(phi)
    alpha = a * (sin_theta - b * sin_phi) * (sin_phi - b * sin_theta) * (cos_theta - cos_phi)
    below = 3.0 * (1.0 + (1.0 - c) * cos_theta + c * cos_phi)
    handle: Floats = np.minimum((2.0 + alpha) / np.maximum(below, TINY), LONGEST_HANDLE)
    return handle


def _from_angles(p0: Floats, p1: Floats, theta: Floats, phi: Floats, scale: FloatsLike = 1.0) -> Cubic:
    """The curve leaving p0 at theta off the chord and coming to p1 at phi off it, turning the same way."""
    chord, lie = distance(p0, p1), angle_of(p1 - p0)
    first = (scale * _handle(theta, phi) * chord)[:, None] * along(lie + theta)
    last = (scale * _handle(phi, theta) * chord)[:, None] * along(lie - phi)
    return Cubic(np.stack([p0, p0 + first, p1 - last, p1], axis=1))


def bowed(
    p0: Floats,
    p1: Floats,
    direction0: Floats | None = None,
    direction1: Floats | None = None,
    bow: Floats | None = None,
    side: Floats | None = None,
) -> Cubic:
    """A curve from p0 to p1 (N, 2), with directions of travel (N, 2) at its ends where given.

    `bow` (N,) is how far the curve at t = 1/2 stands off the chord in mm, toward `side`: +1 for the chord's
    direction turned by +90 degrees, -1 for the other side.  Without `side` the bow lies where the given
    directions point, else at +1.  Where both directions are given and cannot make the bow, the body is NaN.
    """
    p0, p1 = floats(p0), floats(p1)
    chord = p1 - p0
    theta = None if direction0 is None else angle_between(chord, direction0)
    phi = None if direction1 is None else angle_between(direction1, chord)
    if bow is None:
        known = [angle for angle in (theta, phi) if angle is not None] or [np.zeros(len(p0))]
        return _from_angles(p0, p1, known[0], known[-1])
    if side is None:
        lean = sum(np.sin(angle) for angle in (theta, phi) if angle is not None) + np.zeros(len(p0))
        side = np.where(lean < 0.0, -1.0, 1.0)
    bow = np.broadcast_to(floats(bow), (len(p0),))
    if theta is not None and phi is not None:
        return _scaled_to_bow(p0, p1, theta, phi, bow * side)
    across, size = square_to(unit(chord)) * side[:, None], norm(chord)
    free = chord / 3.0
    if direction0 is not None:
        given = unit(direction0)  # out of the end with the given direction
    elif direction1 is not None:
        given = -unit(direction1)
    else:
        off = (4.0 / 3.0 * bow)[:, None] * across
        return Cubic(np.stack([p0, p0 + free + off, p1 - free + off, p1], axis=1))
    length = _bow_handle(dot(given, across), bow, size)
    handle = length[:, None] * given
    free_handle = (8.0 / 3.0 * bow - dot(handle, across))[:, None] * across
    if phi is None:
        return Cubic(np.stack([p0, p0 + handle, p1 - free + free_handle, p1], axis=1))
    return Cubic(np.stack([p0, p0 + free + free_handle, p1 + handle, p1], axis=1))


def _bow_handle(sine: Floats, bow: Floats, size: Floats) -> Floats:
    """The handle that gives half the bow, but within `BOW_HANDLES`; the free handle makes up the rest."""
    least, most = (bound * size for bound in BOW_HANDLES)
    with np.errstate(invalid="ignore", divide="ignore"):
        exact = 4.0 / 3.0 * bow / sine
    # A direction that leads away from the bow gets the less, the more it does so: without a jump where it turns.
    away = most + (most - least) * np.maximum(sine, -1.0)
    return np.where(sine <= TINY, np.clip(away, least, most), np.clip(exact, least, most))


def _scaled_to_bow(p0: Floats, p1: Floats, theta: Floats, phi: Floats, bow: Floats) -> Cubic:
    """Hobby's handles drawn out in one ratio until the curve stands off by the signed bow, else NaN."""
    across = _handle(theta, phi) * np.sin(theta) + _handle(phi, theta) * np.sin(phi)
    stands = 0.375 * distance(p0, p1) * across
    with np.errstate(invalid="ignore", divide="ignore"):
        scale = np.where(np.abs(stands) > 1e-6, bow / stands, np.nan)
    return _from_angles(p0, p1, theta, phi, np.where(scale > 1e-6, scale, np.nan))


def through(points: list[Floats], direction0: Floats | None = None, direction1: Floats | None = None) -> tuple[Cubic, ...]:
    """Hobby's spline through two or more points (each (N, 2)).

    At inner points direction and mock curvature go on unbroken; neighbours that coincide give NaN.  An
    end without a given direction has curl 1: as if the curve went on there as a circle.
    """
    points = [floats(p) for p in points]
    last = len(points) - 1
    if last < 1:
        raise ValueError("a curve runs through two points at least")
    if last == 1:
        return (bowed(points[0], points[1], direction0, direction1),)
    chords = [q - p for p, q in zip(points, points[1:], strict=False)]
    sizes = [norm(chord) for chord in chords]
    zero = np.zeros(len(points[0]))
    turns = [zero] + [angle_between(c, d) for c, d in zip(chords, chords[1:], strict=False)] + [zero]
    # One row for each point's angle theta to its outgoing chord: (below, middle, above, right-hand side).
    rows = [(zero, zero + 1.0, zero + 1.0, -turns[1])]
    if direction0 is not None:
        rows = [(zero, zero + 1.0, zero, angle_between(chords[0], direction0))]
    for k in range(1, last):
        back, on = (1.0 / np.where(size > TINY, size, np.nan) for size in sizes[k - 1 : k + 1])
        rows.append((back, 2.0 * back + 2.0 * on, on, -2.0 * back * turns[k] - on * turns[k + 1]))
    if direction1 is None:
        rows.append((zero + 1.0, zero + 1.0, zero, zero))
    else:
        rows.append((zero, zero + 1.0, zero, angle_between(chords[-1], direction1)))
    theta = _tridiagonal(rows)
    phi = [-turn - angle for turn, angle in zip(turns, theta, strict=True)]
    return tuple(_from_angles(points[k], points[k + 1], theta[k], phi[k + 1]) for k in range(last))


def _tridiagonal(rows: list[tuple[Floats, Floats, Floats, Floats]]) -> list[Floats]:
    """Solutions of a tridiagonal system for N bodies, by Thomas's elimination."""
    above: list[Floats] = []
    right: list[Floats] = []
    for k, (below, middle, over, value) in enumerate(rows):
        if k:
            middle = middle - below * above[-1]
            value = value - below * right[-1]
        above.append(over / middle)
        right.append(value / middle)
    result = [right[-1]]
    for k in range(len(rows) - 2, -1, -1):
        result.insert(0, right[k] - above[k] * result[0])
    return result


def graded(points: list[Floats], direction0: Floats | None = None, direction1: Floats | None = None) -> tuple[Cubic, ...]:
    """A side seam: x as a smooth function of y through two or more points (each (N, 2)) of growing y.

    Between two points the curve keeps within their widths, unless a direction given at an end leads out of
    them.  Depth runs evenly with t in each piece.  NaN for bodies whose points do not go down strictly or
    whose end direction is level.
    """
    points = [floats(p) for p in points]
    last = len(points) - 1
    if last < 1:
        raise ValueError("a side seam runs through two points at least")
    depths = [q[:, 1] - p[:, 1] for p, q in zip(points, points[1:], strict=False)]
    with np.errstate(invalid="ignore", divide="ignore"):
        slopes = [
            (q[:, 0] - p[:, 0]) / np.where(depth > 0.0, depth, np.nan) for p, q, depth in zip(points, points[1:], depths, strict=False)
        ]
        if last == 1:
            tangents = [slopes[0], slopes[0]]
        else:
            tangents = [_end_slope(depths[0], depths[1], slopes[0], slopes[1])]
            for k in range(1, last):
                tangents.append(_inner_slope(depths[k - 1], depths[k], slopes[k - 1], slopes[k]))
            tangents.append(_end_slope(depths[-1], depths[-2], slopes[-1], slopes[-2]))
        if direction0 is not None:
            tangents[0] = _slope_of(direction0)
        if direction1 is not None:
            tangents[-1] = _slope_of(direction1)
    pieces = []
    for k, depth in enumerate(depths):
        p, q, third = points[k], points[k + 1], depth / 3.0
        pieces.append(
            Cubic(np.stack([p, p + vector(tangents[k] * third, third), q - vector(tangents[k + 1] * third, third), q], axis=1))
        )
    return tuple(pieces)


def held(points: list[Floats], direction0: Floats | None, direction1: Floats | None) -> Floats:
    """Where (N,) a side seam as of `graded` is held within its widths: bodies whose numbers differ have a kink between them."""
    depths = [q[:, 1] - p[:, 1] for p, q in zip(points, points[1:], strict=False)]
    slopes = [(q[:, 0] - p[:, 0]) / depth for p, q, depth in zip(points, points[1:], depths, strict=False)]
    slopes = [np.where(np.abs(slope) > TINY, slope, 0.0) for slope in slopes]  # plumb by its rule, but for rounding
    ways = [m0 * m1 > 0.0 for m0, m1 in zip(slopes, slopes[1:], strict=False)]
    for direction, (end, inner) in ((direction0, (0, 1)), (direction1, (-1, -2))):
        if direction is not None:
            ways.append(direction[:, 0] == 0.0)
        elif len(slopes) > 1:
            ends = depths[end], depths[inner], slopes[end], slopes[inner]
            ways += [_end_slope(*ends) == three for three in (_three_point(*ends), 3.0 * slopes[end])]
    return sum((way * 2**k for k, way in enumerate(ways)), np.zeros(len(points[0])))


def _slope_of(direction: Floats) -> Floats:
    level = np.abs(direction[:, 1]) <= TINY * norm(direction)
    return direction[:, 0] / np.where(level, np.nan, direction[:, 1])


def _inner_slope(h0: Floats, h1: Floats, m0: Floats, m1: Floats) -> Floats:
    """Weighted harmonic mean of the slopes on either side, zero where they differ in sign."""
    w0, w1 = 2.0 * h1 + h0, h1 + 2.0 * h0
    mean = (w0 + w1) / (w0 / m0 + w1 / m1)
    return np.where(m0 * m1 > 0.0, mean, np.where(np.isnan(m0 + m1), np.nan, 0.0))


def _end_slope(h0: Floats, h1: Floats, m0: Floats, m1: Floats) -> Floats:
    """Three-point slope at an end (h0, m0 next to it), held so that the curve does not overshoot."""
    slope = _three_point(h0, h1, m0, m1)
    slope = np.where(np.sign(slope) != np.sign(m0), 0.0 * slope, slope)
    over = (np.sign(m0) != np.sign(m1)) & (np.abs(slope) > 3.0 * np.abs(m0))
    return np.where(over, 3.0 * m0, slope)


def _three_point(h0: Floats, h1: Floats, m0: Floats, m1: Floats) -> Floats:
    return ((2.0 * h0 + h1) * m0 - h0 * m1) / (h0 + h1)


def circular(p0: Floats, p1: Floats, centre: Floats) -> Arc:
    """The arc from p0 to p1 about `centre` (each (N, 2)), the shorter way round.

    NaN for bodies whose ends are unequally far from the centre by more than 0.01 mm; the radius is p0's.
    """
    out, back = p0 - centre, p1 - centre
    radius = norm(out)
    radius = np.where(np.abs(radius - norm(back)) <= UNEQUAL_RADII, radius, np.nan)
    return Arc(centre, radius, angle_of(out), angle_between(out, back))


def circular_by_radius(p0: Floats, p1: Floats, radius: Floats, side: Floats) -> Arc:
    """The shorter arc from p0 to p1 of a given radius (N,) in mm, bowed toward `side` (as for `bowed`).

    NaN for bodies whose radius is less than half the distance of the ends.
    """
    chord, size = p1 - p0, distance(p0, p1)
    radius, side = np.broadcast_to(floats(radius), size.shape), floats(side)
    with np.errstate(invalid="ignore"):
        back = np.sqrt(radius * radius - size * size / 4.0)
    across = square_to(chord) / np.where(size > TINY, size, np.nan)[:, None]
    centre = (p0 + p1) / 2.0 - (side * back)[:, None] * across
    out = p0 - centre
    # A bow toward the +90 degree side is walked against the angle.
    half = np.arctan2(size / 2.0, back)
    return Arc(centre, radius, angle_of(out), -side * 2.0 * half)
