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

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, NamedTuple

import numpy as np

from ..geometry import meet
from ..geometry.arrays import Floats
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, cross, distance, dot, norm
from ..geometry.segments import Cubic, Line, Segment
from ..meaning.kinds import LENGTH, PAIR, PATH, POINT
from ..meaning.plan import DartRow
from ..meaning.ring import Added, EdgeRing, Portion
from .carrying import Parting, followed
from .darts import set_darts
from .guides import SAME, Guide, redrawing
from .level_lines import LevelLine
from .operations import one_of
from .pattern import Dart, Edge
from .pivoting import turnable
from .places import nearest_on
from .rims import Item, Rim, filled, items_of
from .shapes import Shape, Undrawn, change, line_end, nearest_along, no_dart, turn_of
from .steps import Run

ON_LINE = 0.05  # mm; a dart whose point lies nearer to the line of a cut ends on it

Stop = tuple[str, str, bool]  # "dart", "corner" or "edge"; the dart, the edge that begins there, or the edge; whether a place is given
Points = dict[str, Floats]
Parts = tuple[Shape, Shape]


class _Cut(NamedTuple):
    """What both parts of a cut share."""

    run: Run
    shape: Shape
    rim: Rim
    seam: str
    closing: tuple[str, ...]
    stays: str


@change(more=one_of(LENGTH, PATH, POINT), gives=PAIR)
def cut_apart(
    run: Run,
    shape: Shape,
    *inputs: Any,
    rings: tuple[EdgeRing, EdgeRing],
    stops: tuple[Stop, Stop],
    line: bool,
    closing: tuple[str, ...],
    seam: str,
    stays: str,
    through: tuple[str, ...],
) -> Parts | Undrawn:
    """The two parts (from the first stop on to the second, and from the second on to the first), which fill `rings`.

    `stops` are ("dart", name), ("corner", the edge that begins there) or ("edge", name), and whether a place is given; the
    places, the line's guide, and the points of darts within the piece are the inputs.  `closing` names the darts that are
    folded along the line, in its order.  Of a part whose darts are closed the edge `stays` keeps its place, if it has it.
    """
    unread = list(inputs)
    places = [unread.pop(0) if stop[2] else None for stop in stops]
    guide = unread.pop(0) if line else None
    inner = [unread[k : k + 4] for k in range(0, len(unread), 4)]
    path = None if guide is None else _toward(run, guide, shape, stops)
    if not all(_turnable(run, shape, name) for name in closing):
        return Undrawn(run)
    rim = Rim(run, shape)
    ends: list[Floats] = []
    for number, (stop, place) in enumerate(zip(stops, places, strict=True)):
        if stop[0] == "dart" and not _turnable(run, shape, stop[1], held=True):
            return Undrawn(run)
        if stop[0] == "edge" and path is not None and place is None:
            place = line_end(run, shape.edge(stop[1]), [path.start() if number == 0 else path.end()], "cut")
        ends.append(_stopped(rim, shape, stop, place, seam))
    ways: tuple[Path, Path] | None
    if inner:
        ways = _round_inner(run, shape, ends, inner)
    elif path is None:
        ways = None if _one_point(ends) else (Path((Line(ends[0], ends[1]),)),) * 2
    else:
        ways = (_fastened(path, ends),) * 2
    return _parts(_Cut(run, shape, rim, seam, closing, stays), rings, ways, ends[0])


def _turnable(run: Run, shape: Shape, name: str, held: bool = False) -> bool:
    """Whether a dart is there and can be turned, or with `held` be cut through; reported where it cannot."""
    dart = shape.dart(name)
    if dart is None:
        no_dart(run, shape, name)
    return dart is not None and turnable(run, dart, held)


def _stopped(rim: Rim, shape: Shape, stop: Stop, place: Any, seam: str) -> Floats:
    """Mark a stop on the rim, of an edge at `place` (N,); where the way of the cut ends there."""
    sort, name, _ = stop
    if sort == "dart":
        rim.stop_at_mouth(name)
        return shape.own_dart(name).point
    if sort == "corner":
        rim.stop_at_corner(name)
        return shape.edge(name).start()
    k = rim.slash(name, place, f"the cut {seam}", "Name another place along the edge, or the corner or the dart itself.")
    return rim.strip(k).start()


def _round_inner(run: Run, shape: Shape, ends: Sequence[Floats], inner: Sequence[Sequence[Floats]]) -> tuple[Path, Path]:
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
        lines = [Line(a, b) for a, b in zip(way, way[1:], strict=False)]
        ways.append(Path(tuple(line for line in lines if np.any(distance(line.start(), line.end()) > SAME)) or tuple(lines[:1])))
    return ways[0], ways[1]


def _one_point(ends: Sequence[Floats]) -> bool:
    """Whether both stops are darts with one point for every body: then the legs are the whole way."""
    apart = distance(ends[0], ends[1])
    return bool(np.any(apart <= SAME) and not np.any(apart > SAME))  # nothing is known of bodies who were not drawn


def _toward(run: Run, guide: Guide, shape: Shape, stops: tuple[Stop, Stop]) -> Path:
    """The line, turned to run from the first stop to the second: as the nearest of its ends says."""
    first, second = stops
    gaps = [_gap(shape, first, path.start()) + _gap(shape, second, path.end()) for path in (guide.path, guide.path.reversed())]
    backward = run.alike((gaps[1] < gaps[0]).astype(int), np.isfinite(gaps[0]) & np.isfinite(gaps[1]))
    return guide.path.reversed() if backward else guide.path


def _gap(shape: Shape, stop: Stop, at: Floats) -> Floats:
    if stop[0] == "dart":
        dart = shape.dart(stop[1])
        return np.zeros(len(at)) if dart is None else distance(dart.point, at)
    return nearest_along(shape.edge(stop[1]), at)[1]


def _fastened(path: Path, ends: Sequence[Floats]) -> Path:
    """The path with its ends laid exactly on the stops, which lie within a hair of them."""
    for end in ends:
        first, *others = path.segments
        path = Path((begun_at(first, end), *others)).reversed()
    return path


def begun_at(segment: Segment, place: Floats) -> Segment:
    if isinstance(segment, Line):
        return Line(place, segment.end())
    if isinstance(segment, Cubic):
        p = segment.p
        return Cubic(np.concatenate([p[:, :2] + (place - p[:, 0])[:, None], p[:, 2:]], axis=1))
    return segment


def _parts(cut: _Cut, rings: tuple[EdgeRing, EdgeRing], ways: tuple[Path, Path] | None, point: Floats) -> Parts | Undrawn:
    """The two parts along the ways of each; where the legs of two darts are the whole way, they meet at `point`."""
    arcs = [
        [
            item
            for edge in ring.beyond(cut.seam)
            for portion in edge.made_of
            if isinstance(portion, Portion)
            for item in cut.rim.portion(portion)
        ]
        for ring in rings
    ]
    if ways is None or not cut.closing:
        lines = (None, None) if ways is None else tuple(Edge(cut.seam, cut.run.span, (path,)) for path in ways)
        first, second = (
            _part(cut, rings[k], arcs[k], k, lines[k], cut.shape.points, _parting(arcs[k], lines[k], k, point)) for k in (0, 1)
        )
        return first, second
    inner = [[item.dart.name for item in arc if item.dart is not None] for arc in arcs]
    mouths = next((k for k in (0, 1) if all(name in inner[k] for name in cut.closing)), None)
    if mouths is None:
        cut.run.fail(
            True,
            "D485",
            f"The darts that the cut {cut.seam} closes lie on both sides of it",
            expected="darts that open on one side",
            found=f"{', '.join(cut.closing)} on both",
            suggestion="Close those of one side only.",
        )
        return Undrawn(cut.run)
    line, folded = _darted(cut, ways[0], mouths)
    arc, points, hold, motions = _closed(arcs[mouths], cut.closing, mouths, cut.shape.points, cut.stays)
    parts = [_part(cut, rings[k], arcs[k], k, line, cut.shape.points, _parting(arcs[k], line, k, point)) for k in (0, 1) if k != mouths]
    new_edge = Edge(cut.seam, cut.run.span, (folded.moved(hold),))
    closing = _parting(arcs[mouths], line, mouths, point)
    closed = [item.dart for item in arcs[mouths] if item.dart is not None and item.dart.name in cut.closing]
    closing = replace(closing, darts=closed, motions=motions)
    parts.insert(mouths, _part(cut, rings[mouths], arc, mouths, new_edge, points, closing))
    return parts[0], parts[1]


def _parting(arc: Sequence[Item], line: Edge | None, number: int, point: Floats) -> Parting:
    """What is left of the level lines on one part, as it lies before any dart is closed."""
    strips = [item.path for item in arc if item.path is not None]
    way = point[:, None] if line is None else line.across_mouths().flatten()
    return Parting(strips, way[:, ::-1] if number == 0 else way, number == 0)


def _part(cut: _Cut, ring: EdgeRing, arc: Sequence[Item], number: int, line: Edge | None, points: Points, parting: Parting) -> Shape:
    """One part, from the items of its arc and the line of the cut (None where that is legs of darts alone)."""
    back = None if line is None else line.reversed() if number == 0 else line

    def give(portion: Portion | Added) -> list[Item]:
        if isinstance(portion, Portion):
            return [item for item in arc if item.edge == portion.edge]
        if portion.what == "way":
            return [] if back is None else [item._replace(span=cut.run.span) for item in items_of(back)]
        dart = cut.shape.own_dart(portion.name)
        return [Item(cut.seam, cut.run.span, dart.near_leg if portion.what == "near leg" else dart.far_leg.reversed())]

    shape = cut.shape
    lines = shape.lines.changed(lambda line: LevelLine(parting(line.chords), followed(ring, {"this": line})))
    return Shape(filled(cut.run, ring, give), dict(points), lines=lines)


def _darted(cut: _Cut, path: Path, mouths: int) -> tuple[Edge, Path]:
    """The line of the cut as an edge with the crossed darts set in it, and the line with all darts folded.

    A dart whose point lies on the line is folded there for the part with its mouth, and leaves nothing on the other.
    `mouths` is the number of that part: the line meets the near legs of the first part first, the far legs of the second.
    """
    run, seam = cut.run, cut.seam
    inputs: list[Guide | Floats] = [Guide(path, redrawing(path))]
    described: list[DartRow] = []
    ending: dict[str, Dart] = {}
    for name in cut.closing:
        dart = cut.shape.own_dart(name)
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
        first, second = (np.where(passed[:, None], np.nan, place) for place in feet)
        back = nearest_on(path, first) > nearest_on(path, second)
        described.append(DartRow(name, "start", dart.span, None, (f"{name}_near", f"{name}_far")))
        inputs += [choose(back, second, first), choose(back, first, second), dart.point, distance(first, second)]
    line = Edge(seam, run.span, (path,))
    if described:
        line = set_darts(run, *inputs, name=seam, full=seam, turned=False, darts=tuple(described), edge_span=run.span)
    return line, _folded_line(run, line, ending, cut.closing, mouths)


def _folded_line(run: Run, line: Edge, ending: dict[str, Dart], closing: tuple[str, ...], mouths: int) -> Path:
    """The closed line, folded also at the points of the darts that end on it."""
    crossed, carried = Motion.identity(run.n), Motion.identity(run.n)  # of the paper to the closed line, and on from there
    pieces, cut_at = [], np.zeros(run.n)
    for name in closing:
        if name not in ending:
            crossed = next(dart for dart in line.darts if dart.name == name).fold.then(crossed)
            continue
        dart = ending[name]
        at = np.nan_to_num(nearest_on(line.closed, crossed.points(dart.point)))
        pieces.append(line.closed.part(cut_at, at).moved(carried))
        fold = dart.fold if mouths == 0 else dart.fold.inverse()
        carried, cut_at = crossed.inverse().then(fold).then(crossed).then(carried), at
    return Path.join(*pieces, line.closed.part(cut_at, line.closed.length()).moved(carried)) if pieces else line.closed


def _closed(
    arc: Sequence[Item], closing: tuple[str, ...], number: int, points: Points, stays: str
) -> tuple[list[Item], Points, Motion, list[Motion]]:
    """An arc with these darts closed, and the named points carried with the strip of cloth that they are nearest to.

    What follows a closed mouth is carried by its closing turn.  The closed line of the cut lies as it was drawn where it
    begins, at the arc's start for the first part, at its end for the second; from there all is carried by the motion that
    is given back, so that the edge that stays has not moved; and the motions of what lies before the first closed dart, and after
    each.
    """
    motions, motion = [], Motion.identity(next(item.path.n for item in arc if item.path is not None))
    for item in arc:
        if item.dart is not None and item.dart.name in closing:
            motion = item.dart.fold.then(motion)
        motions.append(motion)
    begins = motions[0] if number == 0 else motions[-1]
    held = next((motion for item, motion in zip(arc, motions, strict=True) if item.edge == stays), begins)
    motions = [motion.then(held.inverse()) for motion in motions]
    open_items = [
        (item, motion) for item, motion in zip(arc, motions, strict=True) if item.dart is None or item.dart.name not in closing
    ]
    carried, runs = {}, [(item.path.flatten("coarse"), motion) for item, motion in open_items if item.path is not None]
    for name, point in points.items():
        nearest, place = np.full(len(point), np.inf), point
        for run, motion in runs:
            off = off_chords(point, run)
            place, nearest = choose(off < nearest, motion.points(point), place), np.fmin(off, nearest)
        carried[name] = place
    each = [motion for item, motion in zip(arc, motions, strict=True) if item.dart is not None and item.dart.name in closing]
    return [item.moved(motion) for item, motion in open_items], carried, begins.then(held.inverse()), [motions[0], *each]


def off_chords(point: Floats, run: Floats) -> Floats:
    """The distance (N,) of a point (N, 2) from a run of chords (N, K, 2)."""
    step, gap = run[:, 1:] - run[:, :-1], point[:, None] - run[:, :-1]
    part = np.clip(dot(gap, step) / np.maximum(dot(step, step), 1e-12), 0.0, 1.0)
    nearest: Floats = norm(gap - part[..., None] * step).min(axis=1)
    return nearest
