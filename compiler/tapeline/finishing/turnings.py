"""Turnings, edge by edge: each edge offset by its own width, and the ring of cut lines and corners they make.

Each segment of an edge's trued path is flattened and moved out along its own normals, so the flattened points
of the cut line lie exactly as far from the edge as asked.  Where segments of one edge join at an angle (a
neckline's point, the peak and the feet of a trued dart) their offsets meet as at a mitred corner.  Edges are
offset from end to end first and then cut off or carried on at their corners, so no corner depends on the
order in which corners are made.  Outward is found for each body from the sense in which its ring runs.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ..drafting.pattern import Corner, Pattern, Piece, Turning
from ..geometry import outline
from ..geometry.path import Path
from ..geometry.plane import choose, dot, norm, vector
from .corners import FOLD, MIRRORED, MITRED, Meeting, bring_together
from .finished import ResolvedCorner
from .runs import Approach, cut_off

TURNED_UP = "turned up"
NONE = "none"
EMPTY = 1e-6  # mm; a segment shorter than this has no direction of its own and takes its neighbour's


@dataclass(slots=True, eq=False)
class Flat:
    """An edge flattened segment by segment: points and unit directions (N, K_i, 2) of each."""

    points: list[np.ndarray]
    directions: list[np.ndarray]

    def net(self) -> np.ndarray:
        return np.concatenate(self.points, axis=1)


@dataclass(slots=True, eq=False)
class EdgeRun:
    """The offset of one edge.  `most` (N,) is the widest turning that its inner curves allow, or infinite."""

    points: np.ndarray
    net: np.ndarray
    directions: np.ndarray
    sense: np.ndarray
    width: np.ndarray
    most: np.ndarray

    def arriving(self) -> Approach:
        """The run seen from the corner at its end."""
        direction = self.directions[:, -1]
        return Approach(self.points, self.net[:, -1], direction, outward(direction, self.sense), self.width)

    def leaving(self) -> Approach:
        """The run seen from the corner at its start."""
        direction = self.directions[:, 0]
        return Approach(self.points[:, ::-1], self.net[:, 0], -direction, outward(direction, self.sense),
                        self.width)


@dataclass(slots=True, eq=False)
class Ring:
    """A piece's cut line, (N, K, 2), and how it came about.

    `runs` are the slices of its edges; `short`, for each mirrored hem, marks the bodies (N,) whose mirrored
    sides end before the hem's cut line.
    """

    points: np.ndarray
    runs: dict[str, slice]
    corners: tuple[ResolvedCorner, ...]
    turn: np.ndarray
    edges: dict[str, EdgeRun]
    short: dict[str, np.ndarray]


def outward(direction: np.ndarray, sense: np.ndarray) -> np.ndarray:
    """Unit normals (N, 2) or (N, K, 2) out of a ring that runs in the sense (N,), +1 from +x toward +y."""
    sense = sense.reshape((-1,) + (1,) * (direction.ndim - 2))
    return vector(sense * direction[..., 1], -sense * direction[..., 0])


def resolved_turnings(pattern: Pattern, piece: Piece) -> dict[str, Turning]:
    """A turning for every edge: nothing stated, kind "none" and a fold edge have no width."""
    found = {}
    for edge in piece.edges:
        stated = pattern.turnings.get((piece.name, edge.name))
        if stated is None or stated.kind == NONE or edge.name == piece.cut.fold:
            span = edge.span if stated is None else stated.span
            stated = Turning(edge.name, np.zeros(pattern.n), NONE, span)
        found[edge.name] = stated
    return found


def turning_ring(piece: Piece, turnings: dict[str, Turning], corners: tuple[Corner, ...] = ()) -> Ring:
    """The cut line of a piece whose every edge has a turning; stated corners replace the default ones."""
    flats = {edge.name: _flatten(edge.trued_path()) for edge in piece.edges}
    net = np.concatenate([flat.net() for flat in flats.values()], axis=1)
    sense = np.sign(outline.area(net))
    edges = {name: _offset(flat, turnings[name].width, sense) for name, flat in flats.items()}

    names = list(edges)
    around = list(zip(names, names[1:] + names[:1], strict=True))
    meetings, resolved, short = [], [], {}
    for one, other in around:
        asked, first, hem = _asked(piece, turnings, corners, one, other)
        fold = (one == piece.cut.fold, other == piece.cut.fold)
        meeting = bring_together(edges[one].arriving(), edges[other].leaving(), asked, fold, first, hem)
        meetings.append(meeting)
        resolved.append(ResolvedCorner(one, other, meeting.kind))
        if hem is not None:
            name = (one, other)[hem]
            short[name] = short.get(name, False) | meeting.short

    parts, runs, at = [], {}, 0
    for i, name in enumerate(names):
        # Positions count on the whole run, so cutting off one end does not move the other's.
        points = _begun(_ended(edges[name].points, meetings[i]), meetings[i - 1])
        parts += [points, meetings[i].between]
        runs[name] = slice(at, at + points.shape[1])
        at += points.shape[1] + meetings[i].between.shape[1]
    return Ring(np.concatenate(parts, axis=1), runs, tuple(resolved), sense, edges, short)


def _asked(piece: Piece, turnings: dict[str, Turning], corners: tuple[Corner, ...], one: str,
           other: str) -> tuple[str, int, int | None]:
    """(kind, which of the two is named first, which is the hem of a mirrored corner)."""
    up = [turnings[name].kind == TURNED_UP for name in (one, other)]
    stated = next((corner for corner in corners if sorted(corner.edges) == sorted((one, other))), None)
    if stated is not None:
        kind, first = stated.kind, (one, other).index(stated.edges[0])
    elif up[0] != up[1]:
        kind, first = MIRRORED, 0
    else:
        kind, first = FOLD if piece.cut.fold in (one, other) else MITRED, 0
    hem = None
    if kind == MIRRORED:
        hem = up.index(True) if up[0] != up[1] else first
    return kind, first, hem


def _ended(points: np.ndarray, meeting: Meeting) -> np.ndarray:
    return cut_off(points, meeting.until_a, meeting.between[:, 0])


def _begun(points: np.ndarray, meeting: Meeting) -> np.ndarray:
    return cut_off(points[:, ::-1], meeting.until_b, meeting.between[:, -1])[:, ::-1]


def _flatten(path: Path) -> Flat:
    """A segment of no length takes the direction of the one before it, at the very start of the one after."""
    flat = []
    for segment in path.segments:
        points = Path((segment,)).flatten()
        steps = points.shape[1] - 1
        flat.append((points, segment.sample_directions(np.arange(steps + 1) / steps)))
    empty = [norm(points[:, 1:] - points[:, :-1]).max(axis=1) < EMPTY for points, _ in flat]
    last = flat[-1][1][:, 0]
    for (_, directions), none in zip(reversed(flat), reversed(empty), strict=True):
        last = choose(none, last, directions[:, 0])
    settled = []
    for (_, directions), none in zip(flat, empty, strict=True):
        settled.append(choose(none[:, None], last[:, None], directions))
        last = settled[-1][:, -1]
    return Flat([points for points, _ in flat], settled)


def _offset(flat: Flat, width: np.ndarray, sense: np.ndarray) -> EdgeRun:
    run, most = None, np.full(len(width), np.inf)
    for points, directions in zip(flat.points, flat.directions, strict=True):
        normals = outward(directions, sense)
        piece = EdgeRun(points + width[:, None, None] * normals, points, directions, sense, width, most)
        most = np.minimum(most, _inner_radius(points, normals))
        run = piece if run is None else _joined(run, piece)
    return EdgeRun(run.points, run.net, run.directions, sense, width, most)


def _joined(one: EdgeRun, other: EdgeRun) -> EdgeRun:
    meeting = bring_together(one.arriving(), other.leaving())
    points = [_ended(one.points, meeting), meeting.between, _begun(other.points, meeting)]
    return EdgeRun(np.concatenate(points, axis=1),
                   np.concatenate([one.net, other.net], axis=1),
                   np.concatenate([one.directions, other.directions], axis=1), one.sense, one.width, one.most)


def _inner_radius(points: np.ndarray, normals: np.ndarray) -> np.ndarray:
    """Least width (N,) at which a step of the offset of a curve would turn back on itself."""
    step, turned = points[:, 1:] - points[:, :-1], normals[:, 1:] - normals[:, :-1]
    closing = -dot(step, turned)
    square = dot(step, step)
    with np.errstate(invalid="ignore", divide="ignore"):
        radius = np.where((closing > 1e-12) & (square > EMPTY * EMPTY), square / closing, np.inf)
    return radius.min(axis=1)

