"""The small drawing of a step: the pieces as they are laid for it, and what is sewn as a wide line.

Two pieces of a seam are laid right sides together along it: the one above is moved as a whole, turned over where it must be, so
that the edges meet end to end as they are sewn and both pieces lie to one side.  Edges that are not equally long are laid middle
to middle.  A piece on the fold is drawn as half.  Nothing is written within a drawing, so nothing can cover anything.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np

from ...drafting.across import EdgeEnd, Sewn
from ...drafting.pattern import Dart, Edge, Piece, Place, Seam
from ...drafting.shapes import turn_of
from ...drafting.tasks import FOLDED, Task, TaskKind
from ...finishing.finished import Finished
from ...geometry.arrays import Floats
from ...geometry.motion import Motion
from ...geometry.path import Path
from ...geometry.plane import dot, unit
from ..drawing.model import Commands, Drawing, Stroke, box_of, run, scaled, shifted, trace

WIDE, HIGH = 62.0, 58.0  # mm that a drawing may take
MARGIN = 0.6
APART = 6.0  # mm on the drawing between pieces that lie side by side
MOST = 4  # pieces side by side
ALIKE = 0.2  # parts of the longer edge by which two may differ and still be laid end to end
ABOUT = 15.0  # mm to either side of a place at which two edges are laid together
LEAST = 5.0  # mm of an edge beside a zip that are drawn
Laid = list[Stroke]


class AtHand:
    """Draws steps of one body."""

    def __init__(self, finished: Finished, sewn: Sewn, index: int) -> None:
        self.finished, self.sewn, self.index = finished, sewn, index
        self.body = slice(index, index + 1)
        self.pieces = {piece.name: piece for piece in finished.pattern.pieces}

    def drawing(self, tasks: Sequence[Task], title: str) -> Drawing | None:
        """The drawing of a step; None where there is nothing to show."""
        laid = [strokes for task in tasks for strokes in self._laid(task)][:MOST]
        return None if not laid else _fitted(laid, title)

    def pairs(self, tasks: Sequence[Task]) -> list[tuple[str, str]]:
        """The pieces that the drawing of a step shows on each other, that below and that above."""
        found = [self.pair(task) for task in tasks[:MOST]]
        return list(dict.fromkeys((pair[0][0], pair[1][0]) for pair in found if pair is not None and pair[0][0] != pair[1][0]))

    def pair(self, task: Task) -> tuple[Place, Place] | None:
        """The edge below and the edge above, where two pieces are laid on each other."""
        if task.kind == TaskKind.SEAM:
            return self._sewn_pair(task.seams[0])
        if task.kind in (TaskKind.JOIN, TaskKind.LAY_IN):
            outside = [place for place in (*task.places, *task.onto) if not self.pieces[place[0]].cut.purpose]
            layer = [place for place in task.places if self.pieces[place[0]].cut.purpose]
            of_both = [
                (below, above) for above in layer for below in outside if self.pieces[below[0]].worn == self.pieces[above[0]].worn
            ]
            return next(iter(of_both or [(below, above) for above in layer for below in outside]), None)
        return None

    def _sewn_pair(self, seam: Seam) -> tuple[Place, Place]:
        """A side of one edge below, and the longest edge of the other above it."""

        def length(place: Place) -> float:
            return float(self._edge(place).closed_length()[self.index])

        below, above = (seam.one, seam.other) if len(seam.one) <= len(seam.other) else (seam.other, seam.one)
        return below[0], max(above, key=length)

    def _edge(self, place: Place) -> Edge:
        return self.pieces[place[0]].edge(place[1])

    # ------------------------------------------------------------ what is laid how

    def _laid(self, task: Task) -> list[Laid]:
        pair = self.pair(task)
        if pair is not None and pair[0][0] == pair[1][0]:
            return [self._edged(self.pieces[pair[0][0]], [edge for _, edge in pair])]
        if pair is not None:
            return [self._on_each_other(*pair)]
        if task.kind in FOLDED:
            return [self._darted(piece, task) for piece in self._of(task)]
        if task.kind == TaskKind.BONES:
            return [self._boned(piece, task) for piece in self._of(task)]
        if task.kind == TaskKind.ZIP:
            return [self._zipped(piece, task) for piece in self._of(task)]
        if task.kind == TaskKind.TAPE or task.places:
            return [self._edged(piece, [edge for name, edge in task.places if name == piece.name]) for piece in self._of(task)]
        return []

    def _of(self, task: Task) -> list[Piece]:
        return [self.pieces[name] for name in dict.fromkeys(name for name, _ in task.places)][:MOST]

    def _outline(self, piece: Piece, motion: Motion | None, line: str, bold: Iterable[str] = ()) -> Iterator[Stroke]:
        named = set(bold)
        for edge in piece.edges:
            if edge.name not in named:
                yield from self._stroke(edge.stitch_path(), motion, line, edge.name)
        for edge in piece.edges:
            if edge.name in named:
                yield from self._stroke(edge.stitch_path(), motion, "at_hand", edge.name)

    def _stroke(self, path: Path, motion: Motion | None, line: str, name: str = "") -> Iterator[Stroke]:
        one = path.take(self.body)
        commands = trace(one if motion is None else one.moved(motion), 0)
        if commands:
            yield Stroke(commands, line, name)

    def _on_each_other(self, below: Place, above: Place) -> Laid:
        lower, upper = self.pieces[below[0]], self.pieces[above[0]]
        strokes = list(self._outline(lower, None, "laid_under"))
        strokes += self._outline(upper, self._motion(below, above), "laid_over")
        return [*strokes, *self._stroke(self._edge(below).across_mouths(), None, "at_hand", below[1])]

    def _motion(self, below: Place, above: Place) -> Motion:
        """What lays the piece above on that below, edge on edge, both on one side of it."""
        one, other = self._edge(below), self._edge(above)
        matched = self._matched(below, above)
        alike = self._alike(below, above, matched)
        target, moved = ([edge.start()[self.body], edge.end()[self.body]] for edge in (one, other))
        lengths = [float(edge.closed_length()[self.index]) for edge in (one, other)]
        if min(lengths) <= (1.0 - ALIKE) * max(lengths):  # laid at the middle of what they have in common
            at = matched[len(matched) // 2] if matched else (lengths[0] / 2.0, lengths[1] / 2.0)
            target, moved = (self._about(edge, along) for edge, along in zip((one, other), at, strict=True))
        if not alike:
            moved = moved[::-1]
        side, other_side = (float(turn_of(self.pieces[name].edges)[self.index]) for name, _ in (below, above))
        motion = Motion.identity(1)
        if other_side * (1.0 if alike else -1.0) != side:
            motion = Motion.mirror(np.zeros((1, 2)), np.array([[1.0, 0.0]]))
        first, last = (motion.points(point) for point in moved)
        motion = motion.then(Motion.turn(first, _angle(target[1] - target[0]) - _angle(last - first)))
        centre = [(motion.points(moved[0]) + motion.points(moved[1])) / 2.0, (target[0] + target[1]) / 2.0]
        return motion.then(Motion.shift(centre[1] - centre[0]))

    def _about(self, edge: Edge, along: float) -> list[Floats]:
        """Two points of an edge, as sewn, a little before and behind a place along it."""
        length = float(edge.closed_length()[self.index])
        body = edge.closed.take(self.body)
        return [body.point_at(np.clip(along + step, 0.0, length)) for step in (-ABOUT, ABOUT)]

    def _matched(self, below: Place, above: Place) -> list[tuple[float, float]]:
        """How far along either edge the notches lie that meet."""
        found = []
        for notch in self.finished.piece(above[0]).notches:
            if notch.edge == above[1] and notch.at is not None:
                found += [(float(at[self.index]), float(notch.at[self.index])) for place, at in notch.fellows if place == below]
        return sorted(pair for pair in found if np.isfinite(pair).all())

    def _alike(self, below: Place, above: Place, matched: Sequence[tuple[float, float]]) -> bool:
        """Whether the edges are laid start to start: as the garment or its notches lay them, else as they lie on the paper."""
        start = EdgeEnd(*below, "start")
        partner = self.sewn.partners.get(start)
        if partner is not None and (partner.piece, partner.edge) == above:
            return partner.at == "start"
        if len(matched) > 1 and abs(matched[-1][1] - matched[0][1]) > ABOUT:
            return matched[0][1] < matched[-1][1]
        one, other = (unit(edge.end() - edge.start())[self.index] for edge in (self._edge(below), self._edge(above)))
        return bool(dot(one, other) >= 0.0)

    def _darted(self, piece: Piece, task: Task) -> Laid:
        strokes = list(self._outline(piece, None, "laid_over"))
        names = {name for owner, name in task.places if owner == piece.name}
        for dart in piece.darts():
            if dart.name in names:
                strokes += self._dart(dart)
        for inner in piece.inner:
            corners = np.array([corner[self.index] for corner in inner.corners()])
            if inner.name in names and np.isfinite(corners).all():
                strokes.append(Stroke(run(corners, closed=True), "at_hand", inner.name))
        return strokes

    def _dart(self, dart: Dart) -> Iterator[Stroke]:
        for leg in (dart.near_leg, dart.far_leg):
            if dart.kind != "tuck":
                yield from self._stroke(leg, None, "at_hand", dart.name)
        if dart.kind == "tuck":
            yield from self._stroke(dart.trued, None, "at_hand", dart.name)

    def _boned(self, piece: Piece, task: Task) -> Laid:
        strokes = list(self._outline(piece, None, "laid_over"))
        for owner, mark in task.bones:
            if owner == piece.name:
                strokes += self._stroke(mark.path, None, "at_hand", mark.name)
        return strokes

    def _zipped(self, piece: Piece, task: Task) -> Laid:
        """The opening of the zip, and the seam below it or above it."""
        zips = {mark.edge: mark for mark in piece.marks if mark.kind == "zip"}
        sewn = [edge for name, edge in task.places if name == piece.name]
        strokes = list(self._outline(piece, None, "laid_over", [edge for edge in sewn if edge not in zips]))
        for edge in sewn:
            if edge in zips:
                strokes += self._stroke(zips[edge].path, None, "zip_at_hand", edge)
                strokes += self._beside_zip(piece.edge(edge), zips[edge].path)
        return strokes

    def _beside_zip(self, edge: Edge, path: Path) -> Iterator[Stroke]:
        """The stretches of an edge that a zip leaves to be sewn."""
        points = edge.closed.take(self.body).flatten()[0]
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        ends = [along[np.hypot(*(points - end[self.index]).T).argmin()] for end in (path.start(), path.end())]
        for low, high in ((0.0, min(ends)), (max(ends), along[-1])):
            if high - low > LEAST:
                inside = points[(along >= low) & (along <= high)]
                yield Stroke(run(inside), "at_hand", edge.name)

    def _edged(self, piece: Piece, edges: Sequence[str]) -> Laid:
        return list(self._outline(piece, None, "laid_over", edges))


def shows(task: Task) -> str:
    """What the wide line of a step's drawing is: a kind of caption."""
    if task.kind in (TaskKind.SEAM, TaskKind.JOIN, TaskKind.LAY_IN):
        return "seam"
    return {
        TaskKind.DARTS: "dart",
        TaskKind.TUCKS: "edge",
        TaskKind.PLEATS: "dart",
        TaskKind.BONES: "bone",
        TaskKind.ZIP: "zip",
        TaskKind.HEM: "edge",
        TaskKind.FACE: "edge",
    }.get(task.kind, "edge")


def _angle(vector: Floats) -> Floats:
    return np.arctan2(vector[:, 1], vector[:, 0])


def _fitted(laid: Sequence[Laid], title: str) -> Drawing:
    """The pieces side by side, as large as the room allows, all to one scale."""
    boxes = [box_of(strokes) for strokes in laid]
    across, down = sum(box[2] - box[0] for box in boxes), max(box[3] - box[1] for box in boxes)
    scale = min((WIDE - APART * (len(laid) - 1)) / max(across, 1.0), HIGH / max(down, 1.0), 1.0)
    items: list[Stroke] = []
    x = 0.0
    for strokes, box in zip(laid, boxes, strict=True):
        small = [stroke._replace(commands=_small(stroke.commands, box[:2], scale)) for stroke in strokes]
        items += [shifted(stroke, x, 0.0) for stroke in small]
        x += (box[2] - box[0]) * scale + APART
    left, top, right, foot = box_of(items)
    moved = tuple(shifted(item, MARGIN - left, MARGIN - top) for item in items)
    return Drawing(right - left + 2 * MARGIN, foot - top + 2 * MARGIN, moved, title)


def _small(commands: Commands, origin: Sequence[float], scale: float) -> Commands:
    """Scaled, and rounded to what can be seen."""
    return tuple(
        (command[0], *(round(value, 2) if isinstance(value, float) else value for value in command[1:]))
        for command in scaled(commands, origin, scale)
    )
