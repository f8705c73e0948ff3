"""Seam allowances, edge by edge: each edge offset by its own width, and the ring of cut lines and corners they make.

Each segment of an edge's trued path is flattened and moved out along its own normals, so the flattened points
of the cut line lie exactly as far from the edge as asked.  Where segments of one edge join at an angle (a
neckline's point, the peak and the feet of a trued dart) their offsets meet as at a pointed corner.  Edges are
offset from end to end first and then cut off or carried on at their corners, so no corner depends on the
order in which corners are made.  Outward is found for each body from the sense in which its ring runs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from ..drafting.measuring import swept_area
from ..drafting.pattern import Allowance, Pattern, Piece
from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.path import STEPS, Path
from ..geometry.plane import choose, cross, dot, norm, taken, vector
from ..geometry.segments import Arc, Cubic, Segment
from ..meaning.cutting import AS_FOLDED, NO_ALLOWANCE, POINTED, SQUARE, TURNED_UP, Corner
from .corners import FOLD, Kinds, bring_together
from .finished import ResolvedCorner
from .runs import Approach, rest

EMPTY = 1e-6  # mm; a segment shorter than this has no direction of its own and takes its neighbour's
FINE = STEPS["fine"]


@dataclass(slots=True, eq=False)
class Flat:
    """A path flattened segment by segment: points and unit directions (N, K_i, 2) of each."""

    path: Path
    points: list[Floats]
    directions: list[Floats]


@dataclass(slots=True, eq=False)
class EdgeRun:
    """The offset of one edge, part by part (N, K_i, 2): its segments, and what lies between them.

    `most` (N,) is the widest allowance that its inner curves allow; infinite where the width is far from it.
    """

    flat: Flat
    parts: list[Floats]
    sense: Floats
    width: Floats
    most: Floats

    @property
    def net(self) -> Floats:
        return np.concatenate(self.flat.points, axis=1)

    @property
    def directions(self) -> Floats:
        return np.concatenate(self.flat.directions, axis=1)

    def forget(self) -> None:
        """Let the points go that only corners and checks look at: they are many times what a finished piece keeps."""
        self.flat, self.parts = Flat(self.flat.path, [], []), []

    def arriving(self) -> Approach:
        """The run seen from the corner at its end."""
        return _arriving(self.parts, self.flat.points[-1], self.flat.directions[-1], self.sense, self.width)

    def leaving(self) -> Approach:
        """The run seen from the corner at its start."""
        return _leaving(self.parts, self.flat.points[0], self.flat.directions[0], self.sense, self.width)


def _arriving(parts: Sequence[Floats], net: Floats, directions: Floats, sense: Floats, width: Floats) -> Approach:
    direction = directions[:, -1]
    return Approach(tuple(parts), net[:, -1], direction, outward(direction, sense), width)


def _leaving(parts: Sequence[Floats], net: Floats, directions: Floats, sense: Floats, width: Floats) -> Approach:
    direction = directions[:, 0]
    return Approach(tuple(part[:, ::-1] for part in parts[::-1]), net[:, 0], -direction, outward(direction, sense), width)


@dataclass(slots=True, eq=False)
class Ring:
    """A piece's cut line, (N, K, 2), and how it came about.

    `runs` are the slices of its edges; `short`, for each hem as folded, marks the bodies (N,) whose mirrored
    sides end before the hem's cut line.
    """

    points: Floats
    runs: dict[str, slice]
    corners: tuple[ResolvedCorner, ...]
    turn: Floats
    edges: dict[str, EdgeRun]
    short: dict[str, Mask]


def outward(direction: Floats, sense: Floats) -> Floats:
    """Unit normals (N, 2) or (N, K, 2) out of a ring that runs in the sense (N,), +1 from +x toward +y."""
    sense = sense.reshape((-1,) + (1,) * (direction.ndim - 2))
    return vector(sense * direction[..., 1], -sense * direction[..., 0])


def resolved_allowances(pattern: Pattern, piece: Piece) -> dict[str, Allowance]:
    """An allowance for every edge: nothing stated, kind "none" and a fold edge have no width."""
    resolved = {}
    for edge in piece.edges:
        stated = pattern.allowances.get((piece.name, edge.name))
        if stated is None or stated.kind == NO_ALLOWANCE or edge.name == piece.cut.fold:
            span = edge.span if stated is None else stated.span
            stated = Allowance(edge.name, np.zeros(pattern.n), NO_ALLOWANCE, span)
        resolved[edge.name] = stated
    return resolved


def allowance_ring(piece: Piece, allowances: dict[str, Allowance], corners: tuple[Corner, ...] = ()) -> Ring:
    """The cut line of a piece whose every edge has an allowance; stated corners replace the default ones."""
    flats = {edge.name: _flatten(edge.trued_path()) for edge in piece.edges}
    sense = np.sign(sum(swept_area(flat.path) for flat in flats.values()))
    edges = {name: _offset(flat, allowances[name].width, sense) for name, flat in flats.items()}

    names = list(edges)
    around = list(zip(names, names[1:] + names[:1], strict=True))
    meetings, resolved = [], []
    short: dict[str, Mask] = {}
    for edge_in, edge_out in around:
        kind, first, hem = _corner_kind(piece, allowances, corners, edge_in, edge_out)
        fold = (edge_in == piece.cut.fold, edge_out == piece.cut.fold)
        meeting = bring_together(edges[edge_in].arriving(), edges[edge_out].leaving(), kind, fold, first, hem)
        meetings.append(meeting)
        resolved.append(ResolvedCorner(edge_in, edge_out, _corner_words(meeting.kind, (edge_in, edge_out)[first])))
        if hem is not None:
            name = (edge_in, edge_out)[hem]
            short[name] = short[name] | meeting.short if name in short else meeting.short

    points = np.concatenate(
        [part for name, meeting in zip(names, meetings, strict=True) for part in (*edges[name].parts, meeting.between)], axis=1
    )
    runs, at = {}, 0
    for i, name in enumerate(names):
        count = sum(part.shape[1] for part in edges[name].parts)
        runs[name] = slice(at, at + count)
        # Positions count on the whole run, so cutting off one end does not move the other's.
        own = points[:, runs[name]]
        rest(own, meetings[i].until_a, meetings[i].between[:, 0])
        rest(own[:, ::-1], meetings[i - 1].until_b, meetings[i - 1].between[:, -1])
        at += count + meetings[i].between.shape[1]
    return Ring(points, runs, tuple(resolved), sense, edges, short)


def _corner_kind(
    piece: Piece, allowances: dict[str, Allowance], corners: tuple[Corner, ...], edge_in: str, edge_out: str
) -> tuple[str, int, int | None]:
    """(kind, which of the two is named first, which is the hem of a corner as folded)."""
    up = [allowances[name].kind == TURNED_UP for name in (edge_in, edge_out)]
    stated = next((corner for corner in corners if sorted(corner.edges) == sorted((edge_in, edge_out))), None)
    if stated is not None:
        kind, first = stated.kind, (edge_in, edge_out).index(stated.edges[0])
    elif up[0] != up[1]:
        kind, first = AS_FOLDED, 0
    else:
        kind, first = FOLD if piece.cut.fold in (edge_in, edge_out) else POINTED, 0
    hem = None
    if kind == AS_FOLDED:
        hem = up.index(True) if up[0] != up[1] else first
    return kind, first, hem


def _corner_words(kind: Kinds, edge: str) -> Kinds:
    """Words for how a corner met, (N,); a square one says to which edge."""
    square = kind == SQUARE
    return np.where(square, f"{SQUARE} {edge}", kind) if square.any() else kind


def _flatten(path: Path) -> Flat:
    """A segment of no length takes the direction of the one before it, at the very start of the one after."""
    flat = []
    for segment in path.segments:
        steps = FINE[type(segment)]
        ts = np.arange(steps + 1) / steps
        flat.append((segment.sample(ts), segment.sample_directions(ts)))
    empty = [_empty(points) for points, _ in flat]
    last = flat[-1][1][:, 0]
    for (_, directions), none in zip(reversed(flat), reversed(empty), strict=True):
        last = choose(none, last, directions[:, 0])
    settled = []
    for (points, directions), none in zip(flat, empty, strict=True):
        if none.any():
            directions = choose(none[:, None], last[:, None], directions)
            points[none] = points[none, :1]
        settled.append(directions)
        last = directions[:, -1]
    return Flat(path, [points for points, _ in flat], settled)


def _empty(points: Floats) -> Mask:
    """Whether a flattened segment has no length (N,)."""
    none = norm(points[:, -1] - points[:, 0]) < EMPTY
    if points.shape[1] > 2:
        near = np.flatnonzero(none)
        none[near] = norm(points[near, 1:] - points[near, :-1]).max(axis=1) < EMPTY
    return none


def _offset(flat: Flat, width: Floats, sense: Floats) -> EdgeRun:
    parts, most, before = [], np.full(len(width), np.inf), None
    for segment, points, directions in zip(flat.path.segments, flat.points, flat.directions, strict=True):
        out = (width * sense)[:, None]
        own = vector(out * directions[..., 1], -out * directions[..., 0])
        own += points
        tight = _may_be_tight(segment, width)
        if len(tight):
            normals = outward(taken(directions, tight), sense[tight])
            most[tight] = np.minimum(most[tight], _inner_radius(taken(points, tight), normals))
        if before is None:
            parts.append(own)
        else:
            meeting = bring_together(_arriving(parts, *before, sense, width), _leaving([own], points, directions, sense, width))
            _rest_back(parts, meeting.until_a, meeting.between[:, 0])
            rest(own[:, ::-1], meeting.until_b, meeting.between[:, -1])
            parts += [meeting.between, own]
        before = points, directions
    return EdgeRun(flat, parts, sense, width, most)


def _rest_back(parts: list[Floats], position: Floats, point: Floats) -> None:
    """Cut a run in parts off at a position (N,) counted on all of it."""
    at = sum(part.shape[1] for part in parts)
    for part in reversed(parts):
        at -= part.shape[1]
        if not rest(part, position - at, point):
            return


def _may_be_tight(segment: Segment, width: Floats) -> Indices:
    """The bodies whose curve may bend as sharply as the allowance is wide, told from its control points."""
    if isinstance(segment, Arc):
        return np.flatnonzero(~(np.abs(segment.radius) > 2.0 * width))
    if not isinstance(segment, Cubic):
        return np.zeros(0, dtype=int)
    first, second, third = (segment.p[:, i + 1] - segment.p[:, i] for i in range(3))
    chord = segment.p[:, 3] - segment.p[:, 0]
    size = norm(chord)
    least = reduce(np.minimum, [dot(vector, chord) for vector in (first, second, third)])  # the curve is nowhere slower along its chord
    turn = reduce(np.maximum, [np.abs(vector) for vector in (cross(first, second), 0.5 * cross(first, third), cross(second, third))])
    with np.errstate(invalid="ignore", divide="ignore"):
        slowest = least / size
        # Speed cubed by the cross product of velocity and acceleration: 27 and 18 times these.
        return np.flatnonzero(~((slowest > 0.0) & (1.5 * slowest**3 > 2.0 * width * turn)))


def _inner_radius(points: Floats, normals: Floats) -> Floats:
    """Least width (N,) at which a step of the offset of a curve would turn back on itself."""
    step, turned = points[:, 1:] - points[:, :-1], normals[:, 1:] - normals[:, :-1]
    closing = -dot(step, turned)
    square = dot(step, step)
    with np.errstate(invalid="ignore", divide="ignore"):
        radius = np.where((closing > 1e-12) & (square > EMPTY * EMPTY), square / closing, np.inf)
    least: Floats = radius.min(axis=1)
    return least
