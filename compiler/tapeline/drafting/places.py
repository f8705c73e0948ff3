"""Operations that place points: moves, divisions, meetings of lines and tapes, and places along edges."""

from __future__ import annotations

from collections.abc import Sequence
from functools import reduce

import numpy as np

from ..geometry import meet, straight
from ..geometry.arrays import Floats, Mask
from ..geometry.dual import plain, settled
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import along, angle_between, angle_of, choose, distance, dot, norm, square_to, taken, unit, vector
from ..geometry.segments import Arc, Cubic, Line, Segment
from ..geometry.solve import polished
from ..meaning.kinds import ANGLE, DIRECTION, LENGTH, NUMBER, PATH, POINT
from ..source.quantity import at_least, at_most, passing, show_length, show_number
from .guides import SAME, Guide
from .operations import one_of, operation
from .steps import Run

OPPOSITE = 1e-6  # two directions whose sum is less are opposite


@operation(gives=POINT, intervals=straight.origin)
def origin(run: Run) -> Floats:
    return np.zeros((run.n, 2))


@operation(takes=(LENGTH, LENGTH), gives=POINT, intervals=straight.place)
def place(run: Run, x: Floats, y: Floats) -> Floats:
    return vector(x, y)


@operation(takes=(POINT, LENGTH), gives=POINT, intervals=straight.shift)
def shift(run: Run, point: Floats, amount: Floats, *, dx: float, dy: float) -> Floats:
    moved: Floats = point + amount[:, None] * np.array([dx, dy])
    return moved


@operation(takes=(POINT, POINT, NUMBER), gives=POINT, intervals=straight.toward_part)
def toward_part(run: Run, point: Floats, end: Floats, part: Floats) -> Floats:
    return point + (end - point) * part[:, None]


@operation(takes=(POINT, POINT, LENGTH), gives=POINT)
def toward_length(run: Run, point: Floats, end: Floats, length: Floats) -> Floats:
    apart = distance(point, end)
    run.fail(
        apart < SAME,
        "D406",
        "There is no direction from a point to itself",
        expected="two places apart",
        found=lambda i: f"{show_length(apart[i], run.unit)} between them",
        suggestion="See which measure or choice brings the points together.",
    )
    return point + (end - point) * (length / np.where(apart < SAME, np.nan, apart))[:, None]


@operation(takes=(POINT, DIRECTION, LENGTH), gives=POINT)
def shift_square(run: Run, point: Floats, direction: Floats, amount: Floats, *, dx: float, dy: float) -> Floats:
    """Along a direction, in whichever sense runs more toward (dx, dy)."""
    sense = direction[:, 0] * dx + direction[:, 1] * dy
    run.fail(
        np.abs(sense) < 1e-9,
        "D411",
        "Square to this line is neither toward nor away from that direction",
        expected="a direction that parts the two sides of the line",
        found="one that runs along the line",
        suggestion="Use another of up, down, left and right.",
    )
    return point + direction * (np.sign(sense) * amount)[:, None]


@operation(takes=(POINT, DIRECTION, LENGTH), gives=POINT)
def shift_along(run: Run, point: Floats, direction: Floats, amount: Floats) -> Floats:
    return point + direction * amount[:, None]


@operation(takes=(POINT, ANGLE, LENGTH), gives=POINT, intervals=straight.shift_angle)
def shift_angle(run: Run, point: Floats, angle: Floats, amount: Floats) -> Floats:
    return point + along(angle) * amount[:, None]


@operation(takes=(POINT, POINT, one_of(LENGTH, ANGLE)), gives=POINT)
def swing(run: Run, point: Floats, centre: Floats, amount: Floats, *, sign: float, by_length: bool) -> Floats:
    """Round a centre: by an angle, or by a length along the arc.  Clockwise on paper is positive."""
    if by_length:
        radius = distance(point, centre)
        run.fail(
            radius < SAME,
            "D406",
            "A point cannot be swung about itself",
            expected="two places apart",
            found=lambda i: f"{show_length(radius[i], run.unit)} between them",
            suggestion="Name another centre.",
        )
        amount = amount / np.where(radius < SAME, np.nan, radius)
    return Motion.turn(centre, sign * amount).points(point)


# ------------------------------------------------------------ directions


@operation(gives=DIRECTION)
def fixed_direction(run: Run, *, dx: float, dy: float) -> Floats:
    return np.tile(np.array([dx, dy]), (run.n, 1))


@operation(takes=(POINT, POINT), gives=DIRECTION)
def direction_between(run: Run, point: Floats, end: Floats) -> Floats:
    apart = distance(point, end)
    run.fail(
        apart < SAME,
        "D406",
        "There is no direction from a point to itself",
        expected="two places apart",
        found=lambda i: f"{show_length(apart[i], run.unit)} between them",
        suggestion="See which measure or choice brings the points together.",
    )
    return (end - point) / np.where(apart < SAME, np.nan, apart)[:, None]


@operation(takes=(DIRECTION, DIRECTION), gives=DIRECTION)
def halving_direction(run: Run, one: Floats, other: Floats, *, corner: str) -> Floats:
    """The direction that halves the angle between two others."""
    both = one + other
    opposite = norm(both) < OPPOSITE
    run.fail(
        opposite,
        "D545",
        f'The angle at "{corner}" is straight, so its half may lie on either side',
        expected="an angle of less than 180 deg",
        found="180 deg",
        suggestion="Say on which side: square to the line, up, down, left or right.",
    )
    return unit(choose(opposite, np.full_like(both, np.nan), both))


@operation(takes=(ANGLE,), gives=DIRECTION)
def direction_at(run: Run, angle: Floats) -> Floats:
    return along(angle)


@operation(takes=(DIRECTION,), gives=DIRECTION)
def quarter_turn(run: Run, direction: Floats) -> Floats:
    return square_to(direction)


@operation(takes=(PATH, POINT), gives=DIRECTION)
def path_direction(run: Run, guide: Guide, at: Floats) -> Floats:
    """The direction of a path at the nearest place to a point."""
    path = guide.path
    return path.direction_at(nearest_on(path, at))


@operation(takes=(PATH,), gives=DIRECTION)
def end_direction(run: Run, guide: Guide, *, at: str) -> Floats:
    """The direction of a path at one of its ends, "start" or "end"."""
    return guide.path.start_direction() if at == "start" else guide.path.end_direction()


LATTICE = np.linspace(0.0, 1.0, 33)  # parameters at which each curved segment is first looked at
LOOKED_AT = 64  # bodies for which it is worth seeing first which segments can be the nearest
AT_ONCE = 4096  # points that are looked at together


def nearest_on(path: Path, point: Floats) -> Floats:
    """How far along a path (N,) it comes nearest to a point (N, 2): the foot of the perpendicular, or an end.

    On a cubic it is sought where nearing the point turns to leaving it, about the best place of a lattice unless there
    can be one such place alone; the nearest of the segments counts, the first of several.  NaN where path or point is.
    """
    if len(path.segments) == 1 and isinstance(path.segments[0], Line):
        return path.length() * _nearest_on_line(path.segments[0], point)
    beside = _not_nearest(path, plain(point)) if len(path.segments) > 2 and len(point) <= LOOKED_AT else ()
    best = np.full(len(point), np.nan)
    nearest = np.full(len(point), np.inf)
    for segment, before in zip(path.segments, path.reach().T, strict=False):
        if segment in beside:
            continue
        t = _nearest_on_line(segment, point) if isinstance(segment, Line) else _nearest_on_curve(segment, point)
        apart = distance(segment.at(t), point)
        better = apart < nearest
        if np.any(better):
            along_it = np.where(t >= 1.0, segment.length(), segment.length_to(t))
            best, nearest = np.where(better, before + along_it, best), np.where(better, apart, nearest)
    for at, end in ((np.zeros(len(point)), path.start()), (path.length(), path.end())):  # an end point is met exactly
        best = np.where(distance(end, point) <= 1e-7, at, best)
    return best


def _not_nearest(path: Path, point: Floats) -> set[Segment]:
    """Segments that cannot be the nearest of any body: a joint of the path is nearer than the box that holds them."""
    joints = np.stack([plain(at) for at in (path.start(), *(segment.end() for segment in path.segments))], axis=1)
    least = norm(joints - point[:, None]).min(axis=1) + SAME
    far = set()
    for segment in path.segments:
        low, high = (plain(corner) for corner in segment.box())
        if (norm(np.maximum(np.maximum(low - point, point - high), 0.0)) > least).all():
            far.add(segment)
    return far


def apart(path: Path, points: Floats) -> Floats:
    """How far C points (N, C, 2) lie from a path (N, C); only roughly, and not too little, where that is more than 1 mm."""
    points, segments = plain(points), [segment.still() for segment in path.segments]
    lot = max(1, AT_ONCE // max(path.n, 1))
    lots = [points[:, k : k + lot] for k in range(0, points.shape[1], lot)]
    return np.concatenate([_apart(segments, some) for some in lots], axis=1)


def _apart(segments: Sequence[Segment], points: Floats) -> Floats:
    bodies, point = np.repeat(np.arange(len(points)), points.shape[1]), points.reshape(-1, 2)
    least = np.full(len(point), np.inf)
    for segment in segments:
        long, segment = segment.length()[bodies], segment.take(bodies)
        if isinstance(segment, Line):
            off = distance(segment.at(_nearest_on_line(segment, point)), point)
        else:
            off = norm(segment.sample(LATTICE) - point[:, None]).min(axis=1)
            near = np.flatnonzero(off < long / 8.0 + 1.0)  # between two places of the lattice it may come nearer
            if len(near):
                curve, here = segment.take(near), point[near]
                off[near] = np.minimum(off[near], distance(curve.at(_nearest_on_curve(curve, here)), here))
        least = np.fmin(least, off)
    return least.reshape(points.shape[:2])


def _nearest_on_line(line: Line, point: Floats) -> Floats:
    run = line.end() - line.start()
    whole = dot(run, run)
    return np.clip(dot(point - line.start(), run) / np.where(whole > 0.0, whole, np.inf), 0.0, 1.0)


def _nearest_on_curve(segment: Segment, point: Floats) -> Floats:
    still, here = segment.still(), plain(point)
    t = _nearest_standing(still, here)
    if still is segment and here is point:
        return t
    # Past an end of the curve the end is nearest, whatever changes.
    return settled(lambda t: np.where((t > 0.0) & (t < 1.0), dot(segment.at(t) - point, segment.velocity(t)), 0.0), t)


def _nearest_standing(segment: Segment, point: Floats) -> Floats:
    if isinstance(segment, Cubic):
        chord = segment.end() - segment.start()
        at = np.clip(dot(point - segment.start(), chord) / dot(chord, chord), 0.0, 1.0)
        low, high = np.zeros(len(point)), np.ones(len(point))
        others = np.flatnonzero(~_leaves_once(segment, point))
        if len(others):
            low[others], high[others], at[others] = _bracketed(segment.take(others), taken(point, others))
        return _settled_on_cubic(segment, point, low, high, at)
    if not isinstance(segment, Arc):
        raise TypeError(f"no nearest place on a {type(segment).__name__}")
    return _nearest_on_arc(segment, point)


def _nearest_on_arc(arc: Arc, point: Floats) -> Floats:
    """Where the ray from the centre through the point comes out; where it passes the arc by, the nearer end."""
    swept = np.abs(arc.sweep)
    turned = np.where(arc.sweep < 0.0, -1.0, 1.0) * (angle_of(point - arc.centre) - arc.start_angle) % (2.0 * np.pi)
    nearer_end = np.where(distance(arc.end(), point) < distance(arc.start(), point), 1.0, 0.0)
    met = turned <= swept
    return np.where(np.isnan(turned), np.nan, np.where(met & (swept > 0.0), turned / np.where(swept > 0.0, swept, 1.0), nearer_end))


def _bracketed(segment: Segment, point: Floats) -> tuple[Floats, Floats, Floats]:
    """The parameters on either side of the best place of the lattice, and that place, each (N,)."""
    off = segment.sample(LATTICE) - point[:, None]
    apart = dot(off, off)
    at = LATTICE[np.argmin(np.where(np.isnan(apart), np.inf, apart), axis=1)]
    return np.maximum(at - LATTICE[1], 0.0), np.minimum(at + LATTICE[1], 1.0), at


def _leaves_once(cubic: Cubic, point: Floats) -> Mask:
    """Whether (N,) a curve is so gentle, and so near, that along it the point can be neared and left but once."""
    p = cubic.p
    first, second, third = (p[:, i + 1] - p[:, i] for i in range(3))
    chord = p[:, 3] - p[:, 0]
    slowest = reduce(np.minimum, [dot(step, chord) for step in (first, second, third)]) / norm(chord)
    bend = np.maximum(norm(second - first), norm(third - second))
    away = reduce(np.maximum, [norm(p[:, i] - point) for i in range(4)])
    # The slope of half the squared distance grows by speed squared, and at most by distance times bend less.
    return (slowest > 0.0) & (3.0 * slowest * slowest > 2.0 * away * bend)


def _settled_on_cubic(cubic: Cubic, point: Floats, low: Floats, high: Floats, at: Floats) -> Floats:
    """The same by Newton's method: zero of half the slope of the squared distance."""
    a, b, c = cubic.velocities()
    b, c, off = b / 2.0, c / 3.0, cubic.start() - point  # from the point: off + a t + b t^2 + c t^3
    f0, f1, f2 = dot(off, a), dot(a, a) + 2.0 * dot(off, b), 3.0 * (dot(a, b) + dot(off, c))
    f3, f4, f5 = 2.0 * dot(b, b) + 4.0 * dot(a, c), 5.0 * dot(b, c), 3.0 * dot(c, c)

    def nearing(t: Floats) -> tuple[Floats, Floats]:
        return (
            f0 + t * (f1 + t * (f2 + t * (f3 + t * (f4 + t * f5)))),
            f1 + t * (2.0 * f2 + t * (3.0 * f3 + t * (4.0 * f4 + t * 5.0 * f5))),
        )

    t = polished(nearing, low, high, at)
    at_start = (low == 0.0) & (f0 >= 0.0)
    at_end = (high == 1.0) & (f0 + f1 + f2 + f3 + f4 + f5 < 0.0)
    return np.where(at_start, 0.0, np.where(at_end, 1.0, t))


# ------------------------------------------------------------ along edges


@operation(takes=(PATH, LENGTH), gives=POINT)
def along_length(run: Run, guide: Guide, length: Floats, *, backward: bool, edge: str) -> Floats:
    path = guide.path
    whole = path.length()
    run.fail(
        (length > whole + 1e-6) | (length < -1e-6),
        "D412",
        f'This lies beyond the end of "{edge}"',
        expected=lambda i: f"zero to {at_most(whole[i], run.unit)}",
        found=lambda i: show_length(length[i], run.unit),
        suggestion="Measure a shorter way, or from the other end.",
    )
    at = np.where((length > whole + 1e-6) | (length < -1e-6), np.nan, np.clip(length, 0.0, whole))
    return _on(path, whole - at if backward else at)


@operation(takes=(PATH, NUMBER), gives=POINT)
def along_part(run: Run, guide: Guide, part: Floats, *, backward: bool, edge: str) -> Floats:
    path = guide.path
    run.fail(
        (part < 0.0) | (part > 1.0),
        "D412",
        f'This lies beyond the end of "{edge}"',
        expected="a fraction from 0 to 1",
        found=lambda i: show_number(part[i]),
        suggestion="Name a fraction of the edge, such as 1/3.",
    )
    at = np.where((part < 0.0) | (part > 1.0), np.nan, part) * path.length()
    return _on(path, path.length() - at if backward else at)


def _on(path: Path, s: Floats) -> Floats:
    """The place so far along; NaN where s is."""
    return np.where(np.isnan(s)[:, None], np.nan, path.point_at(np.nan_to_num(s)))


@operation(takes=(PATH,), gives=LENGTH)
def path_part(run: Run, guide: Guide, *, part: float) -> Floats:
    return guide.path.length() * part


@operation(takes=(PATH, POINT), gives=LENGTH)
def place_on_path(run: Run, guide: Guide, point: Floats) -> Floats:
    path = guide.path
    at = nearest_on(path, point)
    off = distance(path.point_at(at), point)
    run.fail(
        off > 0.5,
        "D412",
        "The point does not lie on the edge",
        expected="a point of the edge",
        found=lambda i: f"{show_length(off[i], run.unit)} off it",
        suggestion="Place the point along the edge.",
    )
    return np.where(off > 0.5, np.nan, at)


# ------------------------------------------------------------ meetings


def _require_meeting(run: Run, place: Floats, words: str, way_out: str, *inputs: Floats) -> Floats:
    sound = np.logical_and.reduce([np.isfinite(value).reshape(run.n, -1).all(axis=1) for value in inputs])
    run.fail(np.isnan(place[:, 0]) & sound, "D413", words, expected="one place where both meet", found="none", suggestion=way_out)
    return place


@operation(takes=(POINT, DIRECTION, POINT, DIRECTION), gives=POINT)
def meet_lines(run: Run, p: Floats, d: Floats, q: Floats, e: Floats) -> Floats:
    return _require_meeting(run, meet.lines(p, d, q, e), "These lines do not meet", "They run alike: use another line.", p, d, q, e)


@operation(takes=(PATH, POINT, DIRECTION), gives=POINT)
def meet_path_line(run: Run, guide: Guide, p: Floats, d: Floats) -> Floats:
    return _require_meeting(
        run,
        meet.line_place(guide.path, p, d),
        "The line does not meet the edge",
        "Lengthen the edge, or use another line.",
        p,
        d,
        guide.path.length(),
    )


@operation(takes=(PATH, PATH), gives=POINT)
def meet_paths(run: Run, first: Guide, second: Guide) -> Floats:
    return _require_meeting(
        run,
        meet.path_path(first.path, second.path),
        "The edges do not meet",
        "Lengthen one of them.",
        first.path.length(),
        second.path.length(),
    )


_SENSES = {"above": (0.0, -1.0), "below": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}


def _sided(first: Floats, second: Floats, side: str) -> Floats:
    dx, dy = _SENSES[side]
    return choose((first - second)[:, 0] * dx + (first - second)[:, 1] * dy >= 0.0, first, second)


@operation(takes=(POINT, LENGTH, POINT, LENGTH), gives=POINT)
def meet_tapes(run: Run, c0: Floats, r0: Floats, c1: Floats, r1: Floats, *, side: str) -> Floats:
    apart = distance(c0, c1)
    first, second = meet.circles(c0, r0, c1, r1)
    short = np.isnan(first[:, 0]) & (r0 + r1 < apart)
    run.fail(
        short,
        "D413",
        "The two tapes do not reach each other",
        expected=lambda i: f"together at least {at_least(apart[i], run.unit)}",
        found=lambda i: f"{show_length(r0[i], run.unit)} and {show_length(r1[i], run.unit)}",
        suggestion="Lengthen one of them.",
    )
    nested = np.isnan(first[:, 0]) & (r0 + r1 >= apart)
    run.fail(
        nested,
        "D413",
        "One swung tape lies wholly inside the other",
        expected=lambda i: f"lengths that differ by at most {at_most(apart[i], run.unit)}",
        found=lambda i: f"{show_length(r0[i], run.unit)} and {show_length(r1[i], run.unit)}",
        suggestion="Shorten the longer one.",
    )
    return _sided(first, second, side)


@operation(takes=(POINT, LENGTH, POINT, DIRECTION), gives=POINT)
def meet_tape_line(run: Run, centre: Floats, radius: Floats, point: Floats, direction: Floats, *, side: str) -> Floats:
    first, second = meet.line_circle(point, direction, centre, radius)
    off = np.abs(dot(centre - point, square_to(unit(direction))))
    run.fail(
        np.isnan(first[:, 0]) & (off > radius),
        "D413",
        "The tape does not reach the line",
        expected=lambda i: f"at least {at_least(off[i], run.unit)}",
        found=lambda i: passing(radius[i], off[i], run.unit),
        suggestion="Lengthen the tape.",
    )
    return _sided(first, second, side)


@operation(takes=(POINT, LENGTH, PATH), gives=POINT)
def meet_tape_path(run: Run, centre: Floats, radius: Floats, guide: Guide, *, side: str) -> Floats:
    """Where a swung tape meets an edge: of its meetings the one that lies furthest to the side named."""
    meetings = meet.path_circle(guide.path, centre, radius)
    near, far = nearest_and_farthest(guide.path, centre)
    run.fail(
        np.isnan(meetings[..., 0]).all(axis=1) & np.isfinite(near) & np.isfinite(radius),
        "D413",
        "The tape does not meet the edge",
        expected=lambda i: f"between {at_least(near[i], run.unit)} and {at_most(far[i], run.unit)}",
        found=lambda i: show_length(radius[i], run.unit),
        suggestion="Change the length of the tape.",
    )
    dx, dy = _SENSES[side]
    worth = meetings[..., 0] * dx + meetings[..., 1] * dy
    best = np.argmax(np.where(np.isnan(worth), -np.inf, worth), axis=1)
    furthest: Floats = meetings[np.arange(run.n), best]
    return furthest


def nearest_and_farthest(path: Path, point: Floats) -> tuple[np.ndarray, np.ndarray]:
    """The least and about the greatest distance (N,) of a point from a path."""
    off = distance(path.flatten(), point[:, None])
    return distance(path.point_at(np.nan_to_num(nearest_on(path, point))), point), off.max(axis=1)


@operation(takes=(POINT, POINT, DIRECTION), gives=POINT)
def foot_on_line(run: Run, point: Floats, start: Floats, direction: Floats) -> Floats:
    way = unit(direction)
    return start + way * dot(point - start, way)[:, None]


@operation(takes=(PATH, POINT), gives=POINT)
def nearest_place(run: Run, guide: Guide, point: Floats) -> Floats:
    path = guide.path
    return path.point_at(np.nan_to_num(nearest_on(path, point)))


# ------------------------------------------------------------ measures of points


@operation(takes=(POINT, POINT), gives=LENGTH, intervals=straight.point_distance)
def point_distance(run: Run, a: Floats, b: Floats) -> Floats:
    return distance(a, b)


@operation(takes=(POINT, POINT), gives=LENGTH, intervals=straight.point_across)
def point_across(run: Run, a: Floats, b: Floats) -> Floats:
    return b[:, 0] - a[:, 0]


@operation(takes=(POINT, POINT), gives=LENGTH, intervals=straight.point_down)
def point_down(run: Run, a: Floats, b: Floats) -> Floats:
    return b[:, 1] - a[:, 1]


@operation(takes=(POINT,), gives=LENGTH, intervals=straight.point_x)
def point_x(run: Run, a: Floats) -> Floats:
    return a[:, 0]


@operation(takes=(POINT,), gives=LENGTH, intervals=straight.point_y)
def point_y(run: Run, a: Floats) -> Floats:
    return a[:, 1]


@operation(takes=(POINT, POINT, POINT), gives=ANGLE)
def point_angle(run: Run, corner: Floats, a: Floats, b: Floats) -> Floats:
    return np.abs(angle_between(a - corner, b - corner))


@operation(more=POINT, gives=NUMBER)
def ring_turn(run: Run, *corners: Floats) -> Floats:
    """+1 where the corners run clockwise on paper, else -1."""
    total = np.zeros(run.n)
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        total = total + a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]
    return np.where(np.isnan(total), np.nan, np.where(total >= 0.0, 1.0, -1.0))


@operation(takes=(POINT, POINT), gives=NUMBER)
def side_toward(run: Run, start: Floats, end: Floats, *, dx: float, dy: float) -> Floats:
    """+1 where (dx, dy) lies on the side of the chord's quarter turn, -1 on the other."""
    normal = square_to(end - start)
    sense = normal[:, 0] * dx + normal[:, 1] * dy
    run.fail(
        np.abs(sense) < 1e-9 * np.maximum(1.0, distance(start, end)),
        "D411",
        "The bend cannot go that way",
        expected="a direction to one side of the line between its ends",
        found="one that runs along it",
        suggestion="Use another of up, down, left and right.",
    )
    return np.where(sense >= 0.0, 1.0, -1.0)
