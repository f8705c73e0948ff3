"""Cutting a piece in two, along a line or through darts.

The way of the cut leads from one stop on the outline to another.  A stop is a place on an edge, or the mouth of a dart:
then the cut runs down its legs to its point, and the dart is gone, taken up in the new seam.  Between the stops the cut
follows a drawn line, or goes straight.  Each part keeps its arc of the outline; the way is its new edge, which has the
same length on both.

Darts that a yoke line crosses are closed on the way: the line is drawn over the folded darts as a darted edge is, so
that its legs are equal.  The part with their mouths then has them closed for good, its arc carried together; the part
with their points keeps the rest of them, on its new edge.
"""

from __future__ import annotations

import numpy as np

from ..geometry import meet
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, cross, distance
from ..geometry.segments import Cubic, Line
from ..meaning.kinds import LENGTH, PAIR, PATH
from .darts import set_darts
from .guides import SAME, Guide, alike
from .operations import one_of
from .pattern import Edge
from .pivoting import turnable
from .places import nearest_on
from .shapes import (
    Item,
    Shape,
    Undrawn,
    change,
    corner_of,
    edges_of,
    items_of,
    line_end,
    mouth_of,
    nearest_along,
    off_chords,
    slash_at,
    turn_of,
    turn_ring,
)

ON_LINE = 0.05  # mm; a dart whose point lies nearer to the line of a cut ends on it


@change(more=one_of(LENGTH, PATH), gives=PAIR)
def cut_apart(run, shape: Shape, *inputs, stops, line, closing, seam, stays, through):
    """The two parts (from the first stop on to the second, and from the second on to the first).

    `stops` are ("dart", name), ("corner", the edge that begins there) or ("edge", name, whether a place is given); the
    places, the line's guide, and the points of darts within the piece are the inputs.  `closing` names the darts that are
    folded along the line, in its order.  Of a part whose darts are closed the edge `stays` keeps its place, if it has it.
    """
    inputs = list(inputs)
    places = [inputs.pop(0) if stop[0] == "edge" and stop[2] else None for stop in stops]
    guide = inputs.pop(0) if line else None
    inner = [inputs[k : k + 4] for k in range(0, len(inputs), 4)]
    path = None if guide is None else _toward(run, guide, shape, stops)
    ring = items_of(shape)
    for name in closing:
        if shape.dart(name) is None:
            mouth_of(run, ring, name)
            return Undrawn(run)
        if not turnable(run, shape.dart(name)):
            return Undrawn(run)
    ends, marks = [], []
    for number, (stop, place) in enumerate(zip(stops, places, strict=True)):
        if stop[0] == "dart":
            dart = shape.dart(stop[1])
            if dart is None:
                mouth_of(run, ring, stop[1])
                return Undrawn(run)
            if not turnable(run, dart, held=True):
                return Undrawn(run)
            ends.append(dart.point)
        if stop[0] == "corner":
            ends.append(shape.edge(stop[1]).start())
        if stop[0] in ("dart", "corner"):
            marks.append(stop)
            continue
        if place is None:
            place = line_end(run, shape.edge(stop[1]), [path.start() if number == 0 else path.end()], "cut")
        ring, k = slash_at(
            run, ring, stop[1], place, f"the cut {seam}", "Name another place along the edge, or the corner or the dart itself."
        )
        ends.append(ring[k].path.start())
        marks.append(("strip", ring[k].path))
    if inner:
        paths = _round_inner(run, shape, ends, inner)
    elif path is None:
        paths = None if _one_point(ends) else (Path((Line(ends[0], ends[1]),)),) * 2
    else:
        paths = (_fastened(path, ends),) * 2
    return _parts(run, shape, ring, marks, paths, closing, seam, stays)


def _round_inner(run, shape: Shape, ends, inner) -> tuple[Path, Path]:
    """The ways of the two parts past darts within the piece: each down its own side of every dart.

    In an outline that runs clockwise on paper the first part lies on the left of the way from stop to stop.
    """
    turn = turn_of(shape.edges)
    corners = [[ends[0]], [ends[0]]]
    for upper, near, lower, far in inner:
        here = corners[0][-1]
        known = np.isfinite(here[:, 0]) & np.isfinite(upper[:, 0])
        flip = run.alike((distance(here, lower) < distance(here, upper)).astype(int), known)
        first, last = (lower, upper) if flip else (upper, lower)
        left = cross(last - first, near - first) * turn < 0.0
        sides = choose(left, near, far), choose(left, far, near)
        for way, side in zip(corners, sides, strict=True):
            way += [first, side, last]
    ways = []
    for way in corners:
        way.append(ends[1])
        ways.append(Path(tuple(Line(a, b) for a, b in zip(way, way[1:], strict=False) if np.any(distance(a, b) > SAME))))
    return tuple(ways)


def _one_point(ends) -> bool:
    """Whether both stops are darts with one point for every body: then the legs are the whole way."""
    apart = distance(ends[0], ends[1])
    return bool(np.any(apart <= SAME) and not np.any(apart > SAME))  # nothing is known of bodies who were not drawn


def _toward(run, guide: Guide, shape: Shape, stops) -> Path:
    """The line, turned to run from the first stop to the second: as the nearest of its ends says."""
    gaps = [
        sum(_gap(shape, stop, at) for stop, at in zip(stops, (path.start(), path.end()), strict=True))
        for path in (guide.path, guide.path.reversed())
    ]
    backward = run.alike((gaps[1] < gaps[0]).astype(int), np.isfinite(gaps[0]) & np.isfinite(gaps[1]))
    return guide.path.reversed() if backward else guide.path


def _gap(shape: Shape, stop, at) -> np.ndarray:
    if stop[0] == "dart":
        dart = shape.dart(stop[1])
        return np.zeros(len(at)) if dart is None else distance(dart.point, at)
    return nearest_along(shape.edge(stop[1]), at)[1]


def _fastened(path: Path, ends) -> Path:
    """The path with its ends laid exactly on the stops, which lie within a hair of them."""
    for end in ends:
        first, *others = path.segments
        path = Path((begun_at(first, end), *others)).reversed()
    return path


def begun_at(segment, place):
    if isinstance(segment, Line):
        return Line(place, segment.end())
    if isinstance(segment, Cubic):
        p = segment.p
        return Cubic(np.concatenate([p[:, :2] + (place - p[:, 0])[:, None], p[:, 2:]], axis=1))
    return segment


def _parts(run, shape: Shape, ring, marks, paths, closing, seam, stays):
    def index(mark) -> int:
        kind, what = mark[:2]
        if kind == "dart":
            return mouth_of(run, ring, what)
        if kind == "corner":
            return corner_of(ring, what)
        return next(k for k, item in enumerate(ring) if item.path is what)

    count = len(ring)
    stops = []
    for mark in marks:
        k = index(mark)
        # an arc begins after a mouth, or at the strip after a split or corner; it ends before the mouth, or before that strip
        stops.append((k + 1, k) if mark[0] == "dart" else (k, k))
    legs = [ring[stop[1]].dart if mark[0] == "dart" else None for stop, mark in zip(stops, marks, strict=True)]
    arcs = [_arc(ring, stops[0][0], stops[1][1], count), _arc(ring, stops[1][0], stops[0][1], count)]
    lines, upper = (None, None), None
    if closing:
        inner = [[item.dart.name for item in arc if item.dart is not None] for arc in arcs]
        mouths = next((k for k in (0, 1) if all(name in inner[k] for name in closing)), None)
        run.fail(
            mouths is None,
            "D485",
            f"The darts that the cut {seam} closes lie on both sides of it",
            expected="darts that open on one side",
            found=f"{', '.join(closing)} on both",
            suggestion="Close those of one side only.",
        )
        if mouths is None:
            return Undrawn(run)
        line, upper = _darted(run, shape, paths[0], closing, seam, mouths)
        lines = (line, line)
    elif paths is not None:
        lines = tuple(Edge(seam, run.span, (path,)) for path in paths)
    order = [item.edge for item in items_of(shape)]
    return tuple(
        _part(run, shape, arcs[k], k, legs, lines[k], upper if closing and mouths == k else None, closing, seam, stays, order)
        for k in (0, 1)
    )


def _arc(ring, start: int, end: int, count: int):
    return [ring[(start + k) % count] for k in range((end - start) % count)]


def _part(run, shape, arc, number: int, legs, line: Edge | None, upper: Path | None, closing, seam: str, stays: str, order) -> Shape:
    """One part: its arc, then the way back from the arc's end to its beginning.

    `upper` is the line with all darts folded, for the part that has their mouths.
    """
    way: list[Item] = []
    points = dict(shape.points)
    first, second = legs if number == 0 else legs[::-1]
    if second is not None:  # the arc ends at this dart's near foot
        way.append(Item(seam, run.span, second.near_leg))
    if line is not None:
        edge = line.reversed() if number == 0 else line
        if upper is not None:
            arc, points, hold = _closed(arc, closing, number, points, stays)
            closed = upper.moved(hold)
            edge = Edge(seam, run.span, (closed.reversed() if number == 0 else closed,))
        way.append(Item(seam, run.span, edge.strips[0]))
        for dart, strip in zip(edge.darts, edge.strips[1:], strict=True):
            way += [Item(seam, run.span, dart=dart), Item(seam, run.span, strip)]
    if first is not None:
        way.append(Item(seam, run.span, first.far_leg.reversed()))
    ring = [*arc, *way]
    names = [item.edge for item in ring]
    first_edge = min(set(names) - {seam}, key=order.index)
    corners = [k for k in range(len(ring)) if names[k] == first_edge and names[k - 1] != first_edge]
    return Shape(edges_of(run, turn_ring(ring, corners[0])), points)


def _darted(run, shape: Shape, path: Path, closing, seam: str, mouths) -> tuple[Edge, Path]:
    """The line of the cut as an edge with the crossed darts set in it, and the line with all darts folded.

    A dart whose point lies on the line is folded there for the part with its mouth, and leaves nothing on the other.
    `mouths` is the number of that part: the line meets the near legs of the first part first, the far legs of the second.
    """
    inputs, described, ending = [Guide(path, alike(path))], [], {}
    for name in closing:
        dart = shape.dart(name)
        on_line = distance(path.point_at(np.nan_to_num(nearest_on(path, dart.point))), dart.point) < ON_LINE
        if run.alike(on_line.astype(int), np.isfinite(dart.point[:, 0])):
            ending[name] = dart
            continue
        feet, passed = [], np.zeros(run.n, dtype=bool)
        for foot in (dart.near_foot, dart.far_foot):
            at, place = meet.path_line(path, dart.point, foot - dart.point)
            passed |= np.isnan(at) & np.isfinite(foot[:, 0]) | (np.sum((place - dart.point) * (foot - dart.point), axis=1) <= 0.0)
            feet.append(place)
        run.fail(
            passed,
            "D485",
            f"The cut {seam} does not cross the dart {name}",
            expected="a line across both of its legs, or through its point",
            found="one that passes it by",
            suggestion=f"Leave {name} out of closing, or lead the line across it.",
        )
        feet = [np.where(passed[:, None], np.nan, place) for place in feet]
        described.append({"name": name, "press": "start", "at": len(inputs), "span": dart.span, "held_to": None, "feet_named": True})
        inputs += [*feet, dart.point, distance(*feet)]
    line = Edge(seam, run.span, (path,))
    if described:
        line = set_darts(run, *inputs, name=seam, full=seam, turned=False, darts=tuple(described), edge_span=run.span)
    return line, _folded_line(run, line, ending, closing, mouths)


def _folded_line(run, line: Edge, ending: dict, closing, mouths) -> Path:
    """The closed line, folded also at the points of the darts that end on it."""
    crossed, carried = Motion.identity(run.n), Motion.identity(run.n)  # of the paper to the closed line, and on from there
    pieces, gone = [], np.zeros(run.n)
    for name in closing:
        if name not in ending:
            crossed = next(dart for dart in line.darts if dart.name == name).fold.then(crossed)
            continue
        dart = ending[name]
        at = np.nan_to_num(nearest_on(line.closed, crossed.points(dart.point)))
        pieces.append(line.closed.part(gone, at).moved(carried))
        fold = dart.fold if mouths == 0 else dart.fold.inverse()
        carried, gone = crossed.inverse().then(fold).then(crossed).then(carried), at
    return Path.join(*pieces, line.closed.part(gone, line.closed.length()).moved(carried)) if pieces else line.closed


def _closed(arc, closing, number: int, points, stays: str):
    """An arc with these darts closed, and the named points carried with the strip of cloth that they are nearest to.

    What follows a closed mouth is carried by its closing turn.  The closed line of the cut lies as it was drawn where it
    begins, at the arc's start for the first part, at its end for the second; from there all is carried by the motion that
    is given back, so that the edge that stays has not moved.
    """
    motions, motion = [], Motion.identity(arc[0].path.n)
    for item in arc:
        if item.dart is not None and item.dart.name in closing:
            motion = item.dart.fold.then(motion)
        motions.append(motion)
    begins = motions[0] if number == 0 else motions[-1]
    held = next((one for item, one in zip(arc, motions, strict=True) if item.edge == stays), begins)
    motions = [one.then(held.inverse()) for one in motions]
    kept = [(item, one) for item, one in zip(arc, motions, strict=True) if item.dart is None or item.dart.name not in closing]
    carried, runs = {}, [(item.path.flatten("coarse"), one) for item, one in kept if item.path is not None]
    for name, point in points.items():
        nearest, place = np.full(len(point), np.inf), point
        for run, one in runs:
            off = off_chords(point, run)
            place, nearest = choose(off < nearest, one.points(point), place), np.fmin(off, nearest)
        carried[name] = place
    return [item.moved(one) for item, one in kept], carried, begins.then(held.inverse())
