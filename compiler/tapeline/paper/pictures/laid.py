"""A piece of the garment where it lies beside its neighbours, and its rows closed as the garment hangs.

A `FlatPiece` is one body's outline as runs of points, and both legs of its darts and pleats.  LaidPiece in its place, a piece is closed row by
row: of each row across it, what lies between the legs of a dart is taken out, and the rest is shifted until the edge toward the
centre lies on the line x = 0 or on the edge of the neighbour that it is sewn to.  Darts that lie more across than upright stay
open.  What is gathered is drawn in to the edge above, and hangs a little wider below.  Millimetres, x outward, y down.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ...drafting.pattern import Piece
from ...geometry.arrays import Floats

ROW = 3.0  # mm from row to row
PLUMB = 0.1  # pleats that go so far across, in parts of their length, are shown open
HANGS = 0.35  # of the fullness that is gathered in, how much shows at the lower edge; our choice


class Side(NamedTuple):
    """One run of an outline: a strip of an edge, or the leg of a dart on it."""

    edge: str
    dart: str  # the dart whose leg it is; else nothing
    points: Floats  # (K, 2)


@dataclass(frozen=True, slots=True)
class FlatPiece:
    sides: tuple[Side, ...]
    darts: tuple[tuple[Floats, Floats], ...]  # both legs of each, from its mouth
    pleats: tuple[tuple[Floats, Floats], ...]  # both lines of each

    def moved(self, move: Callable[[Floats], Floats]) -> FlatPiece:
        sides = tuple(side._replace(points=move(side.points)) for side in self.sides)
        darts, pleats = (tuple((move(near), move(far)) for near, far in legs) for legs in (self.darts, self.pleats))
        return FlatPiece(sides, darts, pleats)

    def beyond(self, at: Floats, along: Floats, keep: Floats) -> FlatPiece:
        """What is left when all is cut away on the other side of a line, through `at`, than that where `keep` lies."""
        square = np.array([-along[1], along[0]])
        square *= np.sign((keep - at) @ square)
        sides, cut = [], []
        for side in self.sides:
            inside = (side.points - at) @ square >= 0.0
            for run in np.split(np.arange(len(inside)), np.flatnonzero(np.diff(inside)) + 1):
                sides += [side._replace(points=side.points[run])] if inside[run[0]] else []
            cut += [side.points[k] for k in np.flatnonzero(np.diff(inside))]
        if len(cut) > 1:
            sides.append(Side("", "", np.array(sorted(cut, key=lambda p: float((p - at) @ along)))))
        return FlatPiece(tuple(sides), (), ())

    @property
    def outline(self) -> Floats:
        return np.concatenate([side.points for side in self.sides])

    def edge(self, name: str) -> Floats:
        """The points of an edge, straight over the mouths of its darts."""
        return np.concatenate([side.points for side in self.sides if side.edge == name and not side.dart])

    def lies(self, name: str) -> str:
        """On which side of the piece an edge lies: "above", "below", "left" or "right"."""
        of_edge, outline = self.edge(name), self.outline
        across, down = np.abs(of_edge[-1] - of_edge[0])
        middle, about = of_edge.mean(axis=0), (outline.min(axis=0) + outline.max(axis=0)) / 2
        if across > down:
            return "below" if middle[1] > about[1] else "above"
        return "right" if middle[0] > about[0] else "left"


def flat(piece: Piece, index: int) -> FlatPiece:
    """The outline of one body's piece."""
    body, sides = slice(index, index + 1), []
    darts: list[tuple[Floats, Floats]] = []
    pleats: list[tuple[Floats, Floats]] = []
    for edge in piece.edges:
        strips = [strip.take(body).flatten()[0] for strip in edge.strips]
        sides.append(Side(edge.name, "", _dense(strips[0])))
        for dart, strip in zip(edge.darts, strips[1:], strict=True):
            near, far = (_dense(leg.take(body).flatten()[0]) for leg in (dart.near_leg, dart.far_leg))
            if dart.kind == "pleat":
                pleats.append((near, far))
            else:
                darts.append((near, far))
                sides += [Side(edge.name, dart.name, near), Side(edge.name, dart.name, far[::-1])]
            sides.append(Side(edge.name, "", _dense(strip)))
    return FlatPiece(tuple(sides), tuple(darts), tuple(pleats))


def _dense(points: Floats) -> Floats:
    """The same run with a point every row at least."""
    out = [points[:1]]
    for a, b in zip(points, points[1:], strict=False):
        n = max(1, int(np.ceil(np.hypot(*(b - a)) / ROW)))
        out.append(a + (b - a) * (np.arange(1, n + 1) / n)[:, None])
    return np.concatenate(out)


@dataclass(slots=True)
class LaidPiece:
    piece: Piece
    flat: FlatPiece
    beside: tuple[LaidPiece, str, str] | None = None  # the piece toward the centre, its edge, and the edge of this one
    centre: str = ""  # the edge that lies on the line x = 0
    still: bool = False  # turned to its place: no row of it is closed
    gathered: float = 1.0  # what is left of its width where it is gathered
    rows: Floats = field(default_factory=lambda: np.empty(0))
    shift: Floats = field(default_factory=lambda: np.empty(0))  # outward, of each row

    def close(self) -> None:
        """Find how far each row is shifted; the piece toward the centre is closed before."""
        if self.still:
            return
        outline = self.flat.outline
        top, foot = outline[:, 1].min(), outline[:, 1].max()
        self.rows = np.linspace(top, foot, max(2, int((foot - top) / ROW)) + 1)
        shifts = np.array([self._shift(float(y)) for y in self.rows])
        known = np.isfinite(shifts)
        self.shift = np.interp(self.rows, self.rows[known], shifts[known]) if known.any() else np.zeros(len(self.rows))

    def _shift(self, y: float) -> float:
        to, own = 0.0, self.centre
        if self.beside is not None:
            parent, edge, own = self.beside
            theirs = parent.crossings(edge, y)
            to = float(parent.closed(np.array([[theirs[-1], y]]))[0, 0]) if theirs else np.nan
        mine = self.crossings(own, y) if own else []
        return to - float(self._without_darts(np.array([[mine[0], y]]))[0, 0]) if mine else np.nan

    def crossings(self, edge: str, y: float) -> list[float]:
        """Where an edge crosses a row, from the centre outward."""
        found: list[float] = []
        for side in self.flat.sides:
            if side.edge == edge and not side.dart:
                a, b = side.points[:-1], side.points[1:]
                over = (a[:, 1] <= y) != (b[:, 1] <= y)
                a, b = a[over], b[over]
                found += (a[:, 0] + (y - a[:, 1]) / (b[:, 1] - a[:, 1]) * (b[:, 0] - a[:, 0])).tolist()
        return sorted(found)

    def closed(self, points: Floats) -> Floats:
        """Where points (K, 2) come to lie when the darts and the seams toward the centre are closed."""
        if self.still:
            return points
        out = self._without_darts(points)
        out[:, 0] += np.interp(points[:, 1], self.rows, self.shift)
        down = (points[:, 1] - self.rows[0]) / (self.rows[-1] - self.rows[0])
        out[:, 0] *= self.gathered + (1.0 - self.gathered) * HANGS * down
        return out

    def _without_darts(self, points: Floats) -> Floats:
        """What is taken out tapers smoothly to the dart's point, as cloth does, where the legs come to a corner."""
        out = points.copy()
        for near, far in self._upright_legs():
            ends = [np.interp(points[:, 1], leg[:, 1], leg[:, 0]) for leg in (near, far)]
            wide = np.abs(ends[1] - ends[0])
            most = float(np.abs(np.interp(near[:, 1], far[:, 1], far[:, 0]) - near[:, 0]).max())
            out[:, 0] -= np.where(points[:, 0] > (ends[0] + ends[1]) / 2, wide * wide / most if most else 0.0, 0.0)
        return out

    @property
    def open_pleats(self) -> bool:
        """Whether its pleats are shown open, since one of them does not hang plumb."""
        return not all(_slant(leg) < PLUMB for legs in self.flat.pleats for leg in legs)

    def _upright_legs(self) -> Iterator[tuple[Floats, Floats]]:
        """Both legs of each dart that lies more upright than across, and of pleats that hang plumb, from above downward."""
        for legs in (*self.flat.darts, *(() if self.open_pleats else self.flat.pleats)):
            if upright(legs):
                near, far = (leg if leg[0, 1] < leg[-1, 1] else leg[::-1] for leg in legs)
                yield near, far


def upright(legs: tuple[Floats, Floats]) -> bool:
    """Whether a dart lies more upright than across, so that its rows can be closed."""
    return all(_slant(leg) < 1.0 for leg in legs)


def _slant(leg: Floats) -> float:
    """How far a line goes across for each millimetre down."""
    across, down = np.abs(leg[-1] - leg[0])
    return float(across / down) if down > 0.0 else np.inf
