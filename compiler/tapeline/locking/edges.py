"""Edges of a lock as curves again: to say how a changed edge differs, and to draw it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import NamedTuple

from ..source.quantity import show_number
from .comparing import LIMIT, Move
from .lock import Key, Lock

Point = tuple[float, float]
_BETWEEN = {"cubic": ("leaving", "arriving"), "arc": ("middle",)}  # the points of a segment between its ends
BESIDE = 1.0  # mm from the outline within which a place is still one of the piece
STEPS = 24  # a curve's points that are compared


class Curve(NamedTuple):
    """A segment: kind, and the points that fix it: two of a line, three of an arc, four of a cubic."""

    kind: str
    points: tuple[Point, ...]

    def at(self, t: float) -> Point:
        p = self.points
        if self.kind == "arc":
            return _on_arc(p, t)
        weights = (1.0 - t, t) if len(p) == 2 else ((1 - t) ** 3, 3 * (1 - t) ** 2 * t, 3 * (1 - t) * t * t, t**3)
        x, y = (sum(weight * point[axis] for weight, point in zip(weights, p, strict=True)) for axis in (0, 1))
        return x, y


def circle(p: tuple[Point, ...]) -> tuple[Point, float, float, float] | None:
    """(centre, radius, first angle, sweep) of an arc through three points; None where they lie on a line."""
    (ax, ay), (bx, by), (cx, cy) = p
    if math.hypot(cx - ax, cy - ay) < 1e-3:  # a whole turn: clockwise on paper, as nothing tells
        centre = ((ax + bx) / 2, (ay + by) / 2)
        return centre, math.hypot(ax - bx, ay - by) / 2, math.atan2(ay - centre[1], ax - centre[0]), math.tau
    ux, uy, vx, vy = bx - ax, by - ay, cx - ax, cy - ay
    turn = ux * vy - uy * vx
    if abs(turn) < 2e-3 * math.hypot(vx, vy):
        return None
    uu, vv = ux * ux + uy * uy, vx * vx + vy * vy
    centre = (ax + (vy * uu - uy * vv) / (2 * turn), ay + (ux * vv - vx * uu) / (2 * turn))
    radius = math.hypot(ax - centre[0], ay - centre[1])
    first, last = (math.atan2(y - centre[1], x - centre[0]) for x, y in ((ax, ay), (cx, cy)))
    sweep = (last - first) % math.tau
    return centre, radius, first, sweep if turn > 0 else sweep - math.tau


def _on_arc(p: tuple[Point, ...], t: float) -> Point:
    on_circle = circle(p)
    if on_circle is None:
        return p[0][0] + t * (p[2][0] - p[0][0]), p[0][1] + t * (p[2][1] - p[0][1])
    (x, y), radius, first, sweep = on_circle
    return x + radius * math.cos(first + t * sweep), y + radius * math.sin(first + t * sweep)


def strips_of(lock: Lock, piece: str, size: int) -> dict[str, list[list[Curve]]]:
    """Edge -> its strips -> their segments, of a piece at a size; only edges that the size has."""
    parts: dict[tuple[str, int, int], dict[str, Point]] = {}
    kinds: dict[tuple[str, int, int], str] = {}
    for key, values in lock.rows.items():
        point = values[size]
        if key.piece == piece and key.sort == "edge" and isinstance(point, tuple):
            edge, number, kind, word = key.name.split(" ")
            strip, _, segment = number.partition(".")
            place = edge, int(strip), int(segment)
            parts.setdefault(place, {})[word], kinds[place] = point, kind
    edges: dict[str, list[list[Curve]]] = {}
    last: Point | None = None
    for place in sorted(parts):
        points, kind = parts[place], kinds[place]
        begin = points.pop("start", last)
        if begin is None or "end" not in points:
            continue
        words = _BETWEEN.get(kind, ())
        if not all(word in points for word in words):
            continue
        strips = edges.setdefault(place[0], [])
        if len(strips) < place[1]:
            strips.append([])
        strips[-1].append(Curve(kind, (begin, *(points[word] for word in words), points["end"])))
        last = points["end"]
    return edges


def outline_of(lock: Lock, piece: str, size: int) -> list[tuple[Point, Point]]:
    """The chords of a piece's outline, in no order, straight over the mouths of its darts."""
    chords: list[tuple[Point, Point]] = []
    for strips in strips_of(lock, piece, size).values():
        chords += [(before[-1].at(1.0), after[0].at(0.0)) for before, after in zip(strips, strips[1:], strict=False)]
        for curve in (curve for strip in strips for curve in strip):
            steps = 1 if curve.kind == "line" else STEPS
            points = [curve.at(k / steps) for k in range(steps + 1)]
            chords += zip(points, points[1:], strict=False)
    return chords


def lies_on(outline: list[tuple[Point, Point]], place: Point) -> bool:
    """Whether a place is one of the piece: points of a source that was cut away are carried along, and lie beyond it."""
    inside, (x, y) = False, place
    for (ax, ay), (bx, by) in outline:
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
        along = (bx - ax) ** 2 + (by - ay) ** 2
        part = min(1.0, max(0.0, ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / along)) if along else 0.0
        if math.hypot(ax + part * (bx - ax) - x, ay + part * (by - ay) - y) <= BESIDE:
            return True
    return inside


class EdgeChange(NamedTuple):
    """An edge that is drawn otherwise: how far its curve lies from where it lay (mm, over the sizes), and its ends."""

    name: str
    rows: tuple[Move, ...]
    at: tuple[int, ...]
    new: bool
    removed: bool
    far: float | None  # None where it is made of other segments
    ends_stay: bool

    def words(self) -> str:
        if self.new or self.removed:
            return f"{self.name}  {'new' if self.new else 'gone'}"
        if self.far is None:
            how = "drawn of other lines"
        else:
            how = f"{'shape changed' if self.ends_stay else 'moved'} by up to {show_number(self.far)} mm"
        return f"{self.name}  {how}{', its ends stay' if self.ends_stay else ''}"


def edge_changes(rows: Iterable[Move], lock: Lock, present: Lock, piece: str) -> list[EdgeChange]:
    """The edges of a piece of which some row has moved."""
    by_edge: dict[str, list[Move]] = {}
    for move in rows:
        if move.key.sort == "edge":
            by_edge.setdefault(move.key.name.partition(" ")[0], []).append(move)
    return [_change(name, tuple(moves), lock, present, piece) for name, moves in by_edge.items()]


def _change(name: str, moves: tuple[Move, ...], lock: Lock, present: Lock, piece: str) -> EdgeChange:
    at = tuple(sorted({size for move in moves for size in move.at}))
    whole = Key(f"piece {piece}", "length", name)
    new, removed = whole not in lock.rows, whole not in present.rows
    far: float | None = 0.0
    ends_stay = not (new or removed)
    for size in at if ends_stay else ():
        old_strips, new_strips = (strips_of(each, piece, size).get(name, []) for each in (lock, present))
        if not old_strips or not new_strips:
            return EdgeChange(name, moves, at, new, removed, None, False)
        ends = [(strips[0][0].points[0], strips[-1][-1].points[-1]) for strips in (old_strips, new_strips)]
        ends_stay &= all(math.dist(a, b) <= LIMIT for a, b in zip(*ends, strict=True))
        shapes = [[[curve.kind for curve in strip] for strip in strips] for strips in (old_strips, new_strips)]
        if shapes[0] != shapes[1]:
            far = None
        elif far is not None:
            far = max(
                far,
                *(
                    math.dist(a.at(k / STEPS), b.at(k / STEPS))
                    for before, after in zip(old_strips, new_strips, strict=True)
                    for a, b in zip(before, after, strict=True)
                    for k in range(STEPS + 1)
                ),
            )
    return EdgeChange(name, moves, at, new, removed, far, ends_stay)
