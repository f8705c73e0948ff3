"""Stretches of an edge between two of its points, and edges carried on past an end.

A point lies on an edge where it lies on the line as first drawn or on the finished one: darts that turn the cloth move the
latter a little, and a point that was set along the former still belongs to it.  Either way it stands for the nearest place
of the finished edge.  Open, a dart between the points counts straight across its mouth; closed, it counts nothing.

Past its end an edge goes on with the bend that it has there: a line straight, an arc by its own circle, a curve by the circle
that fits it best at its end.  So it keeps direction and bend, as a tape or a curve rule laid along it does.
"""

from __future__ import annotations

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.path import NO_LENGTH, Path
from ..geometry.plane import TINY, angle_of, cross, distance, norm, square_to
from ..geometry.segments import Arc, Cubic, Line, Segment
from ..meaning.kinds import EDGE, LENGTH, PATH, POINT
from ..source.quantity import at_most, show_length
from .guides import SAME, Guide, redrawing
from .operations import operation
from .pattern import Edge
from .places import nearest_on
from .shapes import MEETS, nearest_along
from .steps import Run


@operation(takes=(EDGE, PATH, POINT, POINT), gives=LENGTH)
def stretch_length(
    run: Run, finished: Edge, drawn: Guide, start: Floats, end: Floats, *, closed: bool, edge: str, ends: tuple[str, str]
) -> Floats:
    """The length (N,) along an edge between two points on it, whichever comes first."""
    first, last = (_place(run, finished, drawn, point, closed, edge, name) for point, name in zip((start, end), ends, strict=True))
    return np.abs(last - first)


@operation(takes=(EDGE, PATH, POINT), gives=LENGTH)
def place_along_seam(run: Run, finished: Edge, drawn: Guide, point: Floats, *, edge: str, point_name: str) -> Floats:
    """How far (N,) along an edge, its darts sewn, a point on it lies, from where the edge begins in the outline."""
    return _place(run, finished, drawn, point, True, edge, point_name)


@operation(takes=(EDGE, PATH, POINT, POINT), gives=PATH)
def edge_between_points(
    run: Run, finished: Edge, drawn: Guide, start: Floats, end: Floats, *, edge: str, ends: tuple[str, str]
) -> Path:
    """The part of an edge from one point on it to another."""
    path = Path.join(*finished.strips)
    first, last = (_place(run, finished, drawn, point, True, edge, name) for point, name in zip((start, end), ends, strict=True))
    low, high = np.minimum(first, last), np.maximum(first, last)
    run.fail(
        high - low <= SAME,
        "D431",
        f"Nothing of the edge {edge} lies between these points",
        expected=f"two points of {edge}, apart",
        found="two in one place",
        suggestion="Set the points apart along the edge.",
    )
    between = path.part(np.nan_to_num(low), np.nan_to_num(high))
    backward = run.alike((last <= first).astype(int), np.isfinite(first + last))
    return between.reversed() if backward else between


def _place(run: Run, finished: Edge, drawn: Guide, point: Floats, closed: bool, edge: str, name: str) -> Floats:
    """How far along the edge a point on it lies; D481 where it lies beside it."""
    path = finished.across_mouths()
    open_place = nearest_on(path, point)
    closed_place, off = nearest_along(finished, point)
    for line, at in ((path, open_place), (drawn.path, nearest_on(drawn.path, point))):
        off = np.minimum(off, distance(line.point_at(np.nan_to_num(at)), point))
    beside = off > MEETS
    run.fail(
        beside & np.isfinite(off),
        "D481",
        f'"{name}" does not lie on "{edge}"',
        expected=f"a point on {edge}",
        found=lambda i: f"one {show_length(off[i], run.unit)} off it",
        suggestion="Set the point along the edge, or measure the distance from point to point.",
    )
    return np.where(beside, np.nan, closed_place if closed else open_place)


# ------------------------------------------------------------ past an end

UNBENT = 1e-8  # 1/mm; a bend of less is none: over a metre the line leaves the straight by some thousandths of a mm
HALF_ROUND = np.pi


@operation(takes=(PATH, LENGTH), gives=PATH)
def carried_on(run: Run, guide: Guide, length: Floats, *, backward: bool, edge: str) -> Guide:
    """The line by which a path goes on past its end, or with `backward` past its start, so long (N,)."""
    path = guide.path.reversed() if backward else guide.path
    known = np.isfinite(path.length())
    long = np.stack([segment.length() > NO_LENGTH for segment in path.segments[::-1]])
    last = path.segments[-1 - run.alike(np.argmax(long, axis=0), known)]
    start, heading, bend = path.end(), path.end_direction(), end_bend(last)
    run.fail(
        length <= 0.0,
        "D546",
        f'"{edge}" is carried on by some length',
        expected="more than zero",
        found=lambda i: show_length(length[i], run.unit),
        suggestion="Give the length past the end; a place before it is: along " + f"{edge} from an end.",
    )
    far = np.abs(bend * length) > HALF_ROUND
    run.fail(
        far,
        "D546",
        f'"{edge}" would wind back on itself where it is carried on so far',
        expected=lambda i: f"at most {at_most(HALF_ROUND / abs(bend[i]), run.unit)}, half of its circle",
        found=lambda i: show_length(length[i], run.unit),
        suggestion="Carry it on less far, or draw a curve of its own from the end.",
    )
    on = np.where((length <= 0.0) | far, np.nan, length)
    segment: Segment
    if run.alike((np.abs(bend) < UNBENT).astype(int), known & np.isfinite(bend)):
        segment = Line(start, start + heading * on[:, None])
    else:
        radius = 1.0 / np.where(np.abs(bend) < UNBENT, np.nan, bend)
        centre = start + square_to(heading) * radius[:, None]
        segment = Arc(centre, np.abs(radius), angle_of(start - centre), bend * on)
    line = Path((segment,))
    return Guide(line, redrawing(line))


def end_bend(segment: Segment) -> Floats:
    """The curvature (N,) in 1/mm at the end of a segment, positive where it turns clockwise on paper."""
    if isinstance(segment, Arc):
        bend: Floats = np.copysign(1.0, segment.sweep) / segment.radius
        return bend
    if isinstance(segment, Cubic):
        a, b, c = segment.velocities()
        velocity, speed = a + b + c, norm(a + b + c)
        bend = cross(velocity, b + 2.0 * c) / np.where(speed > TINY, speed, np.inf) ** 3
        return bend
    return np.zeros(segment.n)


@operation(takes=(PATH,), gives=POINT)
def path_end(run: Run, guide: Guide) -> Floats:
    return guide.path.end()
