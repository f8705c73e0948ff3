"""A drawn piece as a thing that can be changed: its ring of edges, darts and all, and its named points.

A change never touches the piece it came from: every operation gives a new `Shape`.  To change one, its outline is
walked as a cyclic run of `Item`s: strips of cloth's edge, and between them the mouths of darts, or gaps where the paper
has been slashed open.  An item knows the edge it belongs to; two items that follow each other with different edges meet
in a corner.  Part of the ring is moved by a rigid motion, new mouths or gaps stand where it parts, and the edges are
put together again.  Names stay with what they named.

Where an edge is to be cut is told by the length along it as sewn, since that is what stays the same whatever its darts
do.  Which strip such a place falls on may differ from body to body; the bodies are then drafted apart (`Run.alike`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import wraps
from typing import Any, NamedTuple

import numpy as np

from ..geometry import fair
from ..geometry.motion import Motion
from ..geometry.outline import area, inside
from ..geometry.path import NO_LENGTH, Path
from ..geometry.plane import choose, distance, dot, norm
from ..geometry.segments import Line
from ..meaning.kinds import EDGE, LENGTH, NUMBER, PAIR, PATH, POINT, SHAPE, Kind
from ..source.quantity import show_length
from .guides import Guide, alike
from .operations import Operation, Taken, one_of, operation
from .pattern import Dart, Edge
from .places import apart, nearest_on

ROOM = 0.01  # mm of cloth that a slash needs on either side of it
MEETS = 0.1  # mm; a line whose end is nearer to an edge than this ends on it
BESIDE = 0.01  # mm; a named point nearer to the outline than this lies on it


@dataclass(slots=True, eq=False)
class Shape:
    edges: tuple[Edge, ...]  # in order round the outline
    points: dict[str, np.ndarray]
    # of a dart that was closed: point -> (N,) -1 where it was the near foot, 1 where it was the far one
    feet: dict[str, np.ndarray] = field(default_factory=dict)

    def edge(self, name: str) -> Edge:
        return next(edge for edge in self.edges if edge.name == name)

    def dart(self, name: str) -> Dart | None:
        return next((dart for edge in self.edges for dart in edge.darts if dart.name == name), None)


class Nowhere(dict):
    """Points of which none is anywhere."""

    def __init__(self, n: int):
        super().__init__()
        self.n = n

    def __missing__(self, name) -> np.ndarray:
        return np.full((self.n, 2), np.nan)


class Undrawn(Shape):
    """What a change gives where it can be made for no body, which has been said: whatever is asked of it is nowhere."""

    def __init__(self, run):
        super().__init__((), Nowhere(run.n))
        self.span = run.span

    def edge(self, name: str) -> Edge:
        place = self.points[name]
        return Edge(name, self.span, (Path((Line(place, place),)),))


def change(
    takes: Sequence[Taken] = (SHAPE,), gives: Kind = SHAPE, more: Taken | None = None
) -> Callable[[Callable[..., Any]], Operation]:
    """Enter an operation that gives a changed shape; of one that could not be drawn it gives none."""

    def enter(function: Callable[..., Any]) -> Operation:
        @wraps(function)
        def changed(run: Any, *inputs: Any, **options: Any) -> Any:
            lost = next((one for one in inputs if isinstance(one, Undrawn)), None)
            return function(run, *inputs, **options) if lost is None else lost

        return operation(takes=takes, gives=gives, more=more)(changed)

    return enter


class Item(NamedTuple):
    """A strip (`path`), the mouth of a dart (`dart`), or neither: a gap, to be bridged by a fair line, or straight across."""

    edge: str
    span: object
    path: Path | None = None
    dart: Dart | None = None
    straight: bool = False

    def moved(self, motion: Motion) -> Item:
        return self._replace(
            path=None if self.path is None else self.path.moved(motion), dart=None if self.dart is None else self.dart.moved(motion)
        )


def items_of(shape: Shape) -> list[Item]:
    ring = []
    for edge in shape.edges:
        ring.append(Item(edge.name, edge.span, edge.strips[0]))
        for dart, strip in zip(edge.darts, edge.strips[1:], strict=True):
            ring += [Item(edge.name, edge.span, dart=dart), Item(edge.name, edge.span, strip)]
    return ring


def corner_of(ring: list[Item], edge: str) -> int:
    """Where an edge begins: the place in the ring of its first item."""
    count = len(ring)
    return next(k for k in range(count) if ring[k].edge == edge and ring[(k - 1) % count].edge != edge)


def mouth_of(run, ring: list[Item], name: str, span=None) -> int:
    """Where a dart lies in the ring; D480 where this part of the piece has no such dart."""
    for k, item in enumerate(ring):
        if item.dart is not None and item.dart.name == name:
            return k
    run.fail(
        True,
        "D480",
        f'There is no dart "{name}" on this piece as it now is',
        span=span,
        expected="a dart that has not been cut away",
        found=", ".join(item.dart.name for item in ring if item.dart is not None) or "no dart",
        suggestion="Name a dart of this part, or change it before the piece is cut.",
    )
    return -1


def split(run, ring: list[Item], edge: str, s: np.ndarray) -> tuple[list[Item], int]:
    """The ring with an edge parted at length s (N,) along it as sewn, and where the second of the two strips stands."""
    here = [k for k, item in enumerate(ring) if item.edge == edge and item.path is not None]
    ends = np.cumsum(np.stack([ring[k].path.length() for k in here]), axis=0)
    number = run.alike(np.minimum((s > ends[:-1] + 1e-9).sum(axis=0), len(here) - 1), np.isfinite(s))
    k = here[number]
    at = s - (ends[number - 1] if number else 0.0)
    path = ring[k].path
    at, length = np.nan_to_num(np.clip(at, 0.0, path.length())), path.length()
    first, last = path.part(np.zeros(run.n), at), path.part(at, length)
    return [*ring[:k], ring[k]._replace(path=first), ring[k]._replace(path=last), *ring[k + 1 :]], k + 1


def slash_at(run, ring: list[Item], edge: str, s: np.ndarray, what: str, way_out: str) -> tuple[list[Item], int]:
    """As `split`, for a slash or a cut, which needs cloth on both sides of it: D483 at a corner or at a dart's foot."""
    ring, k = split(run, ring, edge, s)
    for strip in (ring[k - 1].path, ring[k].path):
        length = strip.length()
        run.fail(
            (length < ROOM) & np.isfinite(length) & np.isfinite(s),
            "D483",
            f"There is no room on {edge} for {what}",
            expected="a place away from the corners and from other darts",
            found="one at a corner or at a dart's foot",
            suggestion=way_out,
        )
    return ring, k


def pruned(path: Path) -> Path:
    """The path without segments that have no length for any body."""
    kept = [segment for segment in path.segments if not np.all(segment.length() <= NO_LENGTH)]
    return Path(tuple(kept)) if kept else Path(path.segments[:1])


def folded(strips, darts) -> Path:
    """The sewn edge: the strips carried together, each by the closing motions of the darts before it."""
    motion, runs = Motion.identity(strips[0].n), [strips[0]]
    for dart, strip in zip(darts, strips[1:], strict=True):
        motion = dart.fold.then(motion)
        runs.append(strip.moved(motion))
    return Path.join(*runs)


def edges_of(run, ring: list[Item]) -> tuple[Edge, ...]:
    """The edges of a ring that begins at a corner: strips that meet are joined, gaps are bridged by a fair line."""
    edges = []
    k = 0
    while k < len(ring):
        name, span = ring[k].edge, ring[k].span
        strips, darts, gap = [], [], None  # a strip: its parts, with a gap between each and the next
        while k < len(ring) and ring[k].edge == name:
            item = ring[k]
            if item.dart is not None:
                darts.append(item.dart)
            elif item.path is not None and len(strips) == len(darts):
                strips.append([item.path])
            elif item.path is not None and gap is not None and gap.straight:
                across = Path((Line(strips[-1][-1].end(), item.path.start()),))
                strips[-1][-1] = Path.join(strips[-1][-1], across, item.path)
            elif item.path is not None and gap is not None:
                strips[-1].append(item.path)
            elif item.path is not None:
                strips[-1][-1] = Path.join(strips[-1][-1], item.path)
            gap = item if item.path is None and item.dart is None else None
            k += 1
        strips = tuple(pruned(bridged(parts)) for parts in strips)
        edges.append(Edge(name, span, strips, tuple(darts), folded(strips, darts) if darts else strips[0]))
    return tuple(edges)


def bridged(parts: list[Path]) -> Path:
    """The parts of a slashed edge and the gaps between them, as one fair line.

    It keeps its ends and the directions there, and goes through the middle of every part.
    """
    if len(parts) == 1:
        return parts[0]
    middles = [part.point_at(part.length() / 2.0) for part in parts]
    return Path(fair.through([parts[0].start(), *middles, parts[-1].end()], parts[0].start_direction(), parts[-1].end_direction()))


def turn_of(edges) -> np.ndarray:
    """+1 where the outline that these edges make runs clockwise on paper, else -1 (N,)."""
    return np.sign(area(Path.join(*(edge.trued_path() for edge in edges)).flatten("coarse")))


def nearest_along(edge: Edge, point: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """How far along an edge as sewn it comes nearest to a point (N, 2), and how far off it then is."""
    gone, best, place = np.zeros(len(point)), np.full(len(point), np.inf), np.full(len(point), np.nan)
    for strip in edge.strips:
        at = nearest_on(strip, point)
        off = distance(strip.point_at(np.nan_to_num(at)), point)
        place, best = np.where(off < best, gone + at, place), np.where(off < best, off, best)
        gone = gone + strip.length()
    return place, best


def line_end(run, edge: Edge, ends, what: str) -> np.ndarray:
    """How far along an edge as sewn the nearest of a line's ends meets it; D481 where none comes to it."""
    found = [nearest_along(edge, end) for end in ends]
    off = np.min(np.stack([one for _, one in found]), axis=0)
    place = np.select([one <= off for _, one in found], [one for one, _ in found], np.nan)
    run.fail(
        np.isfinite(off) & (off > MEETS),
        "D481",
        f'The line of the {what} does not end on "{edge.name}"',
        expected=f"a line that ends on {edge.name}",
        found=lambda i: f"one that ends {show_length(off[i], run.unit)} from it",
        suggestion="Draw the line from edge to edge: begin it at a point along the one, end it at a point along the other.",
    )
    return np.where(off > MEETS, np.nan, place)


def turn_ring(ring: list[Item], first: int) -> list[Item]:
    return [*ring[first:], *ring[:first]]


def carried_points(points: dict, ring: list[Item], moving: list[int], pivot, motion: Motion, mouths=()) -> dict:
    """Named points with those of the moving part carried: on its outline, or within it and the slashes that part it.

    A point on a slash stays.  `pivot` are the points between the slashes: none, or the point they are turned about.
    `mouths` are the darts there that open or close: each of their legs goes with the cloth beside it.
    """
    if not points:
        return {}
    count = len(ring)

    def outline(indices):
        paths = []
        for k in indices:
            item, before, after = ring[k], (k - 1) % count, (k + 1) % count
            if k in mouths:
                continue
            if before in mouths:
                paths.append(ring[before].dart.far_leg.reversed())
            if item.path is not None:
                paths.append(item.path)
            elif item.dart is not None:
                paths += [item.dart.near_leg, item.dart.far_leg.reversed()]
            if after in mouths:
                paths.append(ring[after].dart.near_leg)
        return Path.join(*paths)

    others = [k for k in range(count) if k not in set(moving)]
    mine, theirs = outline(moving), outline(others)
    wedge = np.concatenate([mine.flatten(), *[p[:, None] for p in pivot]], axis=1)
    corners = [mine.end(), *pivot, mine.start()]
    slashes = Path(tuple(Line(a, b) for a, b in zip(corners, corners[1:], strict=False)))
    within = inside(np.stack(list(points.values()), axis=1), wedge)
    carried = {}
    for number, (name, point) in enumerate(points.items()):
        on_mine, on_theirs = apart(mine, point), apart(theirs, point)
        on_outline = np.minimum(on_mine, on_theirs) < BESIDE
        on_slash = apart(slashes, point) < BESIDE
        moves = np.where(on_outline, on_mine < on_theirs - BESIDE / 2.0, within[:, number] & ~on_slash)
        carried[name] = choose(moves, motion.points(point), point)
    return carried


def off_chords(point: np.ndarray, run: np.ndarray) -> np.ndarray:
    """The distance (N,) of a point (N, 2) from a run of chords (N, K, 2)."""
    step, gap = run[:, 1:] - run[:, :-1], point[:, None] - run[:, :-1]
    part = np.clip(dot(gap, step) / np.maximum(dot(step, step), 1e-12), 0.0, 1.0)
    return norm(gap - part[..., None] * step).min(axis=1)


# ------------------------------------------------------------ from a drawing and back


@operation(more=one_of(EDGE, POINT), gives=SHAPE)
def shape(run, *drawn, edges, points):
    """A shape of finished edges, in the order of the outline, and named points."""
    return Shape(tuple(drawn[: len(edges)]), dict(zip(points, drawn[len(edges) :], strict=True)))


@change(takes=(PAIR,))
def part(run, pair, *, number):
    return pair[number]


@change(more=POINT)
def with_points(run, shape: Shape, *values, names):
    """The shape with more named points: corners that a change has left inside it."""
    return Shape(shape.edges, {**shape.points, **dict(zip(names, values, strict=True))})


@operation(takes=(SHAPE,), gives=EDGE)
def shape_edge(run, shape: Shape, *, name):
    return shape.edge(name)


@operation(takes=(SHAPE,), gives=POINT)
def shape_corner(run, shape: Shape, *, name):
    """The corner at which an edge begins."""
    return shape.edge(name).start()


@operation(takes=(SHAPE,), gives=POINT)
def shape_point(run, shape: Shape, *, name):
    return shape.points[name]


@operation(takes=(SHAPE,), gives=PATH)
def shape_guide(run, shape: Shape, *, name):
    """An edge as something to measure along and square from; an open dart counts straight across its mouth."""
    edge = shape.edge(name)
    parts = [edge.strips[0]]
    for before, after in zip(edge.strips, edge.strips[1:], strict=False):
        parts += [Path((Line(before.end(), after.start()),)), after]
    path = Path.join(*parts)
    return Guide(path, alike(path))


@operation(takes=(SHAPE,), gives=None)
def shape_dart(run, shape: Shape, *, name, which):
    """A dart's point, or one of its feet, or the distance of its feet."""
    dart = shape.dart(name)
    if dart is None and which == "intake" and not isinstance(shape, Undrawn):
        mouth_of(run, items_of(shape), name)
        return np.full(run.n, np.nan)
    if dart is None:  # it lies on the other part of a cut: its points are nowhere here
        return np.full(run.n if which == "intake" else (run.n, 2), np.nan)
    return {"point": dart.point, "near": dart.near_foot, "far": dart.far_foot, "intake": dart.intake}[which]


@operation(takes=(SHAPE, one_of(LENGTH, NUMBER)), gives=LENGTH)
def place_on_edge(run, shape: Shape, amount, *, name, backward, part):
    """How far along an edge as sewn a place lies: a length or a part of it, from one of its ends."""
    length = shape.edge(name).closed_length()
    at = amount * length if part else amount
    beyond = (at < -1e-9) | (at > length + 1e-9)
    run.fail(
        beyond,
        "D412",
        f'This lies beyond the end of "{name}"',
        expected=lambda i: f"zero to {show_length(length[i], run.unit)} along it",
        found=lambda i: show_length(at[i], run.unit),
        suggestion="Measure a shorter way, or from the other end.",
    )
    return np.where(beyond, np.nan, length - at if backward else at)


@operation(takes=(SHAPE, POINT), gives=LENGTH)
def place_at_point(run, shape: Shape, point, *, name):
    """How far along an edge as sewn a point on it lies."""
    place, best = nearest_along(shape.edge(name), point)
    run.fail(
        np.isfinite(best) & (best > BESIDE),
        "D481",
        f'This point does not lie on "{name}"',
        expected=f"a point on {name}",
        found=lambda i: f"one {show_length(best[i], run.unit)} off it",
        suggestion="Set the point along the edge, or say how far along the edge the place is.",
    )
    return np.where(best > BESIDE, np.nan, place)
