"""The outside of a garment laid out flat, front or back: its pieces set beside each other as they are sewn.

One half is laid, from the centre outward.  A piece whose centre is on a fold, or sewn to its own mirror image, stands with the
centre on the line x = 0; every other piece is shifted, never turned, until an edge of it meets the edge of a piece that lies
already: beside it along an upright seam, above or below it along a level one; then its rows are closed (`laid`).  An edge that runs
upright on one piece and level on the other, as a sleeve's, is laid chord to chord, and that piece is left as it was cut, its
half beyond the body's side left away.  A band or a collar, long and narrow, follows the edges it is sewn to.  What is cut for
a lining or the like is not shown.  Lengths in millimetres, x outward, y down.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from ...drafting.pattern import Pattern, Piece, Seam
from ...geometry.arrays import Floats
from .laid import FlatPiece, LaidPiece, flat, upright

NARROW = 0.3  # a piece that is less deep, in parts of its longest sewn edge, is a band
FAR = 99  # more seams than any garment has in a row


class GarmentLine(NamedTuple):
    """A line of the garment: an edge of what is seen, a seam within it or a sewn dart."""

    sort: str  # "edge", "seam", "dart"
    points: Floats


class Mate(NamedTuple):
    """An edge that another is sewn to, and which part of it: from and to, in parts of its length."""

    piece: str
    edge: str
    part: tuple[float, float] = (0.0, 1.0)
    gathered: float = 1.0  # how much shorter the other edge is, where this one is gathered to it

    @property
    def whole(self) -> bool:
        return self.part == (0.0, 1.0)


class _Step(NamedTuple):
    """A seam to be followed, those of lower rank first."""

    rank: int
    parent: str
    edge: str
    mate: Mate


ONTO_CENTRE, BESIDE, BELOW, TURNED = range(4)


class Half:
    """One half of the garment, `worn` "front" or "back"; `mirrored` the half to the other side of a piece that is cut whole."""

    def __init__(self, pattern: Pattern, index: int, worn: str, mirrored: bool = False) -> None:
        self.pieces = {piece.name: piece for piece in pattern.pieces if not piece.cut.purpose}
        self.flats = {name: flat(piece, index) for name, piece in self.pieces.items()}
        self.grains = {name: piece.grain[index] for name, piece in self.pieces.items()}
        if mirrored:
            self.flats |= {
                name: self.flats[name].moved(lambda p: p * (-1.0, 1.0)) for name, piece in self.pieces.items() if self._is_whole(piece)
            }
        self.mates: dict[tuple[str, str], list[Mate]] = {}
        for seam in pattern.seams:
            if all(name in self.pieces for name, _ in (*seam.one, *seam.other)):
                for one, other in _sewn_edges(pattern, seam, index):
                    self.mates.setdefault(one[:2], []).append(other)
                    if one[:2] != other[:2]:
                        self.mates.setdefault(other[:2], []).append(one)
        self.shown = self._shown(worn)
        self.laid: dict[str, LaidPiece] = {}
        self._lay()
        for piece in self.laid.values():
            piece.close()

    def lines(self) -> list[GarmentLine]:
        """What is drawn of it; nothing where nothing is worn there."""
        return [line for one in self.laid.values() for line in self._lines(one)] + list(self._bands())

    # ------------------------------------------------------------------------------------------ which pieces are seen

    def _shown(self, worn: str) -> set[str]:
        """Those that are said to be worn there, those that stand on both sides alike, and of the rest the nearer by seams."""
        here, there = self._seams_from(worn), self._seams_from("back" if worn == "front" else "front")

        def is_shown(name: str, piece: Piece) -> bool:
            if piece.worn:
                return piece.worn == worn
            far = here.get(name, FAR) - there.get(name, FAR)
            return piece.cut.instances >= 4 or far < 0 or (far == 0 and worn == "front")

        return {name for name, piece in self.pieces.items() if is_shown(name, piece)}

    def _seams_from(self, worn: str) -> dict[str, int]:
        seams = {name: 0 for name, piece in self.pieces.items() if piece.worn == worn}
        ahead = list(seams)
        for name in ahead:
            for edge in self.pieces[name].edges:
                for mate in self.mates.get((name, edge.name), []):
                    if mate.piece not in seams and not self.pieces[mate.piece].worn:
                        seams[mate.piece] = seams[name] + 1
                        ahead.append(mate.piece)
        return seams

    def _is_whole(self, piece: Piece) -> bool:
        return piece.cut.fold is None and not piece.cut.paired

    def _centre(self, name: str) -> str:
        """The edge at the middle of the body: on the fold, or sewn to that of the other half."""
        piece = self.pieces[name]
        if piece.cut.fold is not None:
            return piece.cut.fold
        own = (
            edge.name for edge in piece.edges if any(mate[:2] == (name, edge.name) for mate in self.mates.get((name, edge.name), []))
        )
        return next(own, "")

    def _is_band(self, name: str) -> bool:
        """Long across and narrow, and sewn along its length; a long narrow panel stands upright."""
        shape = self.flats[name]
        level = (edge.name for edge in self.pieces[name].edges if shape.lies(edge.name) in ("above", "below"))
        sewn = [_long(shape.edge(edge)) for edge in level if (name, edge) in self.mates]
        return bool(sewn) and bool(np.ptp(self.flats[name].outline, axis=0).min() < NARROW * max(sewn))

    # ----------------------------------------------------------------------------------------------------- laying them

    def _lay(self) -> None:
        first = min(
            (name for name in self.pieces if name in self.shown),
            key=lambda name: (
                not self.pieces[name].worn,
                self._is_band(name),
                not (self._centre(name) or self._is_whole(self.pieces[name])),
            ),
            default=None,
        )
        if first is None:
            return
        self.laid[first] = self._laid_first(first)
        while (step := min(self._steps(), key=lambda step: step.rank, default=None)) is not None:
            self.laid[step.mate.piece] = self._laid_by(step)

    def _laid_first(self, name: str) -> LaidPiece:
        piece, shape, centre = self.pieces[name], self.flats[name], self._centre(name)
        x = shape.outline[:, 0]
        if centre:
            at = float(shape.edge(centre)[:, 0].mean())
        elif not self._is_whole(piece):
            at = float(x.min())
        else:
            at = 0.0 if x.min() < -1.0 < 1.0 < x.max() else float(x.min() + x.max()) / 2
        flip = -1.0 if centre and x.mean() < at else 1.0
        return LaidPiece(piece, shape.moved(lambda p: (p - (at, 0.0)) * (flip, 1.0)), centre=centre)

    def _steps(self) -> Iterator[_Step]:
        for name, one in self.laid.items():
            if one.still:
                continue
            for edge in one.piece.edges:
                for mate in self.mates.get((name, edge.name), []):
                    seen = mate.piece in self.shown or (not mate.whole and not self.pieces[mate.piece].worn)
                    if mate.piece in self.laid or not seen or self._is_band(mate.piece):
                        continue
                    where, there = one.flat.lies(edge.name), self.flats[mate.piece].lies(mate.edge)
                    if where == "left":
                        continue
                    upright = where == "right"
                    if upright != (there in ("left", "right")):
                        rank = TURNED
                    elif upright:
                        rank = BESIDE
                    else:
                        rank = ONTO_CENTRE if self._centre(mate.piece) else BELOW
                    yield _Step(rank, name, edge.name, mate)

    def _laid_by(self, step: _Step) -> LaidPiece:
        parent, mate = self.laid[step.parent], step.mate
        piece, shape = self.pieces[mate.piece], self.flats[mate.piece]
        on, own = parent.flat.edge(step.edge), shape.edge(mate.edge)
        if step.rank == TURNED:
            return LaidPiece(piece, _chord_to_chord(on, own, mate.part, shape, self.grains[mate.piece]), still=True)
        centre = self._centre(mate.piece) if step.rank == ONTO_CENTRE else ""
        middle = float(shape.edge(centre)[:, 0].mean()) if centre else 0.0
        turned = shape.outline[:, 0].mean() < middle if centre else step.rank == BESIDE and shape.lies(mate.edge) == "right"
        flip = -1.0 if turned else 1.0
        own = own * (flip, 1.0)
        axis = 1 if step.rank == BESIDE else 0  # together at their upper ends, or at those toward the centre
        move = on[np.argmin(on[:, axis])] - own[np.argmin(own[:, axis])]
        if centre:
            move[0] = -middle * flip
        beside = (parent, step.edge, mate.edge) if step.rank == BESIDE else None
        return LaidPiece(piece, shape.moved(lambda p: p * (flip, 1.0) + move), beside, centre, gathered=mate.gathered * parent.gathered)

    # --------------------------------------------------------------------------------------------------------- lines

    def _lines(self, one: LaidPiece) -> Iterator[GarmentLine]:
        name = one.piece.name
        for side in one.flat.sides:
            if side.dart or side.edge == one.piece.cut.fold:
                continue
            within = side.edge == one.centre != "" or any(
                mate.piece in self.laid and mate.piece != name for mate in self.mates.get((name, side.edge), [])
            )
            yield GarmentLine("seam" if within else "edge", one.closed(side.points))
        if not one.still:  # across the mouth of a dart that stays open
            yield from (
                GarmentLine("edge", one.closed(np.stack([near[0], far[0]]))) for near, far in one.flat.darts if not upright((near, far))
            )
        folds = [legs[0] for legs in (*one.flat.darts, *one.flat.pleats)]  # closed, both legs are one line
        if one.open_pleats:
            folds += [far for _, far in one.flat.pleats]
        yield from (GarmentLine("dart", one.closed(fold)) for fold in folds)

    def _bands(self) -> Iterator[GarmentLine]:
        """Bands and collars, as deep as they are, along the edges that they are sewn to."""
        for name in self.pieces:
            if name in self.laid or not self._is_band(name):
                continue
            for edge in self.pieces[name].edges:
                for mate in self.mates.get((name, edge.name), []):
                    if mate.piece in self.laid:
                        yield from self._band(self.laid[mate.piece], mate.edge, self._depth(name, edge.name))

    def _band(self, parent: LaidPiece, edge: str, deep: float) -> Iterator[GarmentLine]:
        run = np.concatenate([parent.closed(side.points) for side in parent.flat.sides if side.edge == edge and not side.dart])
        where = parent.flat.lies(edge)
        away = {"above": (0.0, -deep), "below": (0.0, deep), "right": (deep, 0.0), "left": (-deep, 0.0)}[where]
        far = run + np.array(away)
        yield GarmentLine("edge", far)
        ends = [int(np.argmax(run[:, 0]))] if where in ("above", "below") else [0, len(run) - 1]
        for end in ends:
            yield GarmentLine("edge", np.stack([run[end], far[end]]))

    def _depth(self, name: str, edge: str) -> float:
        """How deep a band is, from its sewn edge to the line along which it is folded, or to its other side."""
        shape, piece = self.flats[name], self.pieces[name]
        own = shape.edge(edge)
        along = (own[-1] - own[0]) / _long(own)
        square = np.array([-along[1], along[0]])
        depths = [float(np.abs((shape.outline - own[0]) @ square).max())]
        for mark in piece.marks:
            path = mark.path.take(slice(0, 1)).flatten()[0]
            if mark.kind == "placement" and abs(float((path[-1] - path[0]) @ along)) > 0.9 * _long(own):
                depths.append(float(np.abs((path - own[0]) @ square).mean()))
        return min(depths)


def _sewn_edges(pattern: Pattern, seam: Seam, index: int) -> Iterator[tuple[Mate, Mate]]:
    """Edge by edge what a seam lays together, the gathered edge first."""
    one, other = pattern.sewn(seam)
    if seam.one == seam.other:
        for edge in one:
            yield Mate(edge.piece.name, edge.edge), Mate(edge.piece.name, edge.edge)
        return
    sides = (one, other) if len(other) == 1 else (other, one)
    if len(sides[1]) > 1:
        return
    last = sides[1][0]
    lengths = np.array([float(edge.piece.edge(edge.edge).closed_length()[index]) for edge in sides[0]])
    whole = sum(edge.times for edge in sides[0]) == last.times
    ends = np.concatenate([[0.0], np.cumsum(lengths) / lengths.sum()])
    for k, edge in enumerate(sides[0]):
        part = (0.0, 1.0) if whole else (float(ends[k]), float(ends[k + 1]))
        first, then = Mate(edge.piece.name, edge.edge), Mate(last.piece.name, last.edge, part)
        if seam.kind == "gathered":
            shorter = sum(float(e.piece.edge(e.edge).closed_length()[index]) * e.times for e in other)
            shorter /= sum(float(e.piece.edge(e.edge).closed_length()[index]) * e.times for e in one)
            first, then = (first._replace(gathered=shorter), then) if sides[0] is one else (first, then._replace(gathered=shorter))
        yield first, then


def _long(points: Floats) -> float:
    return float(np.hypot(*(points[-1] - points[0])))


def _chord_to_chord(on: Floats, own: Floats, part: tuple[float, float], shape: FlatPiece, grain: Floats) -> FlatPiece:
    """The piece turned, and turned over where it must be, so that this part of its edge lies along the other edge, its cloth beyond.

    Where the edge goes on, the rest of the piece is cut away along its grain line.
    """
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(own, axis=0).T))])
    ends, middle = (
        [np.array([np.interp(at * far[-1], far, own[:, axis]) for axis in (0, 1)]) for at in places]
        for places in (part, [sum(part) / 2])
    )
    for at, end in zip(part, ends, strict=True):
        if 0.0 < at < 1.0:
            shape = shape.beyond(end, grain, middle[0])
    trials = []
    for first, last in (ends, ends[::-1]):
        for flip in (1.0, -1.0):
            a, b = first * (flip, 1.0), last * (flip, 1.0)
            turn = np.arctan2(*(on[-1] - on[0])[::-1]) - np.arctan2(*(b - a)[::-1])
            turning = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])

            def move(p: Floats, flip: float = flip, a: Floats = a, turning: Floats = turning) -> Floats:
                moved: Floats = (p * (flip, 1.0) - a) @ turning + on[0]
                return moved

            trials.append(shape.moved(move))
    return max(trials, key=lambda trial: float(trial.outline.mean(axis=0).sum()))  # outward and down
