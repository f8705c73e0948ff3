"""Which task comes before which: as long as an edge, or the end of a seam, can be reached at all.

The rules speak of edges, corners and layers, never of garments:

- A dart or pleat is sewn before the edge in which its mouth ends.
- A seam is sewn before the line that goes over its end: the hem, binding or facing there, and the seam that takes both edges
  beside its end.  Where seams end on that line from both its sides, as under the arm of a sleeve, four edges meet and the line
  may as well be sewn first: then it is only the usual way.
- An edge is worked before the task that lays both edges beside it on one line, as the ends of a band that is folded double.
- A zip is let in before what goes over its ends; what it runs through is sewn before it.
- A bone is put in after what it lies along and what crosses its ends, and before the last of the edges there is closed.
- What is laid on or joined to an edge comes before the seam that takes that edge, and what a layer is made of before the layer.
- What is fused, stayed or mounted lies flat for it: it comes before all other work on its piece.

Two seams that cross are four seams that end in one place.  Those that run on into each other there are sewn in one step, so
that each line is whole before the other goes over it.  So are two seams of the same two pieces that meet in a corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from ..geometry.plane import distance
from .across import OPENING, EdgeEnd, SeamEnd, Sewn
from .openings import REACHES
from .pattern import Mark, Pattern, Place
from .tasks import CLOSING, FOLDED, Task, TaskKind

FLAT = (TaskKind.FUSE, TaskKind.MOUNT, TaskKind.TAPE)


class Precedence(NamedTuple):
    """One task before another: `why` is a key of `WHY`, said of `place`; a rule that is not `firm` is only the usual way."""

    first: Task
    then: Task
    why: str
    place: Place
    firm: bool = True


WHY = {  # what could no longer be reached
    "mouth": "the mouth of {place} is caught in it",
    "end": "the end of {place} is caught under it",
    "enclosed": "{place} is then closed in on both sides",
    "zip": "the end of the zip in {place} is caught under it",
    "through": "the zip in {place} runs through it",
    "along": "the bone in {place} lies along it",
    "needle": "a needle that meets the bone in {place} breaks",
    "bone": "the channel in {place} is then closed",
    "laid": "the edge {place} is caught in it",
    "flat": "{place} no longer lies flat",
    "layer": "{place} must be made up for it",
}


def rules_of(pattern: Pattern, sewn: Sewn, tasks: Sequence[Task]) -> list[Precedence]:
    """All rules between the tasks, those that are firm first."""
    found = _Rules(pattern, sewn, tasks)
    rules = [rule for rule in found.all() if rule.first is not rule.then]
    return sorted(rules, key=lambda rule: not rule.firm)


def lines_of(sewn: Sewn, tasks: Sequence[Task]) -> Iterator[tuple[Task, Task]]:
    """Tasks that run on into each other: where two seams cross, and round a corner of two pieces that are sewn to each other."""
    for joint in sewn.joints:
        fan = sewn.fan(joint.end, joint.partner)
        if fan.ends is None and len(fan.corners) in (2, 4):
            across = sewn.beside(joint.end if len(fan.corners) == 2 else fan.corners[2])
            near, far = ((end.piece, end.edge) for end in (joint.end, across))
            yield from (
                (one, other)
                for one in tasks
                if one.kind in (TaskKind.SEAM, TaskKind.ZIP) and near in one.places
                for other in tasks
                if other is not one and other.kind in (TaskKind.SEAM, TaskKind.ZIP) and far in other.places
            )


class _Rules:
    def __init__(self, pattern: Pattern, sewn: Sewn, tasks: Sequence[Task]) -> None:
        self.pattern, self.sewn, self.tasks = pattern, sewn, tasks
        self.pieces = {piece.name: piece for piece in pattern.pieces}
        self.edges = {(piece.name, edge.name) for piece in pattern.pieces for edge in piece.edges}

    def all(self) -> Iterator[Precedence]:
        yield from self._mouths()
        yield from self._ends()
        yield from self._enclosed()
        yield from self._zips()
        yield from self._bones()
        yield from self._laid()
        yield from self._flat()
        yield from self._layers()

    def on(self, *places: Place) -> Iterator[Task]:
        """The tasks that hold all of some places, but for a tape along them."""
        return (task for task in self.tasks if task.kind != TaskKind.TAPE and task.holds(*places))

    def beside(self, end: EdgeEnd) -> Place:
        neighbour = self.sewn.beside(end)
        return neighbour.piece, neighbour.edge

    def _mouths(self) -> Iterator[Precedence]:
        for task in self.tasks:
            if task.kind in FOLDED:
                for piece, dart in task.places:
                    for edge in self.pieces[piece].edges:
                        if any(one.name == dart for one in edge.darts):
                            over = (then for then in self.tasks if then.holds((piece, edge.name)))
                            yield from (Precedence(task, then, "mouth", (piece, dart)) for then in over)

    # ------------------------------------------------------------ the ends of seams

    def _ends(self) -> Iterator[Precedence]:
        crossing: dict[int, list[tuple[Precedence, frozenset[int]]]] = {}
        for joint in self.sewn.joints:
            for task in self.tasks:
                if (
                    joint.how == "seam"
                    and task.kind in (TaskKind.SEAM, TaskKind.ZIP)
                    and (joint.end.piece, joint.end.edge) in task.places
                ):
                    yield from self._over_end(task, joint)
                    for rule, sides in self._across_end(task, joint):
                        crossing.setdefault(id(rule.then), []).append((rule, sides))
        for found in crossing.values():
            both = len(frozenset[int]().union(*(sides for _, sides in found))) > 1
            yield from (rule._replace(firm=not both) for rule, _ in found)

    def _over_end(self, task: Task, joint: SeamEnd) -> Iterator[Precedence]:
        """Free edges that run on over the end of a seam; not where it ends in a slit."""
        if self._opens(joint):
            return
        for place in (self.beside(joint.end), self.beside(joint.partner)):
            yield from (
                Precedence(task, then, "end", (joint.end.piece, joint.end.edge)) for then in self.on(place) if then.kind in CLOSING
            )

    def _opens(self, joint: SeamEnd) -> bool:
        angle = sum((self.sewn.angle(corner) for corner in self.sewn.fan(joint.end, joint.partner).corners), np.zeros(self.pattern.n))
        return bool((angle[np.isfinite(angle)] > OPENING).any())

    def _across_end(self, task: Task, joint: SeamEnd) -> Iterator[tuple[Precedence, frozenset[int]]]:
        """The tasks that take both edges beside the end of a seam, and on which side of theirs these lie."""
        beside = self.beside(joint.end), self.beside(joint.partner)
        if task.zip is not None and self._goes_on(task, joint.end):
            return
        for then in self.on(*beside):
            if then.kind not in CLOSING and then is not task:
                sides = (side for seam in then.seams for side, edges in enumerate((seam.one, seam.other)) if beside[0] in edges)
                yield Precedence(task, then, "end", (joint.end.piece, joint.end.edge)), frozenset(sides)

    def _enclosed(self) -> Iterator[Precedence]:
        for task in self.tasks:
            if task.kind in (TaskKind.OWN, TaskKind.FINISH):
                for place in task.places:
                    if place in self.edges:
                        start = EdgeEnd(*place, "start")
                        beside = self.beside(start), self.beside(start.other())
                        yield from (Precedence(task, then, "enclosed", place) for then in self.on(*beside) if then.onto)

    # ------------------------------------------------------------ zips and bones

    def _zips(self) -> Iterator[Precedence]:
        for task in self.tasks:
            for piece, edge in task.zip.places if task.zip is not None else ():
                for mark in self.pieces[piece].marks:
                    if mark.kind == "zip" and mark.edge == edge:
                        yield from self._zip_ends(task, EdgeEnd(piece, edge, "start"), mark)

    def _zip_ends(self, task: Task, start: EdgeEnd, mark: Mark) -> Iterator[Precedence]:
        """What goes over the ends of a zip, or of the seam below it; a seam that the zip runs through comes before it."""
        assert task.zip is not None
        place = start.piece, start.edge
        for end in (start, start.other()):
            reached, beside = self._reaches(end, mark), self.beside(end)
            for then in self.on(beside):
                if reached and self._goes_on(task, end):
                    yield Precedence(then, task, "through", place)
                elif reached or then.kind in CLOSING:
                    yield Precedence(task, then, "zip" if reached else "end", place)

    def _reaches(self, end: EdgeEnd, mark: Mark) -> bool:
        edge = self.pieces[end.piece].edge(end.edge)
        corner = edge.start() if end.at == "start" else edge.end()
        near = np.minimum(distance(mark.path.start(), corner), distance(mark.path.end(), corner))
        return bool((near[np.isfinite(near)] < REACHES).any())

    def _goes_on(self, task: Task, end: EdgeEnd) -> bool:
        """Whether the zip runs on into the piece that is sewn on at this end."""
        assert task.zip is not None
        across = self.sewn.partners.get(self.sewn.beside(end))
        return across is not None and self.beside(across) in task.zip.places and self.beside(across) != (end.piece, end.edge)

    def _bones(self) -> Iterator[Precedence]:
        for task in self.tasks:
            for piece, mark in task.bones:
                along = next((place for place in self._named_in(piece, mark) if any(self.on(place))), None)
                if along is not None:
                    yield from (
                        Precedence(first, task, "along", (piece, mark.name))
                        for first in self.on(along)
                        if first.kind in (TaskKind.DARTS, TaskKind.SEAM, TaskKind.ZIP)
                    )
                    ends = [then for place in self._closing(along) for then in self.on(place)]
                    closing = [
                        then for then in ends if then.kind in CLOSING or (then.kind == TaskKind.SEAM and self._between_layers(then))
                    ]
                    late = sorted(closing, key=lambda then: then.kind == TaskKind.HEM)
                    yield from (Precedence(task, then, "bone", (piece, mark.name)) for then in late[-1:])
                    yield from (
                        Precedence(then, task, "needle", (piece, mark.name))
                        for then in ends
                        if then.kind == TaskKind.SEAM and not any(then is one for one in closing)
                    )

    def _named_in(self, piece: str, mark: Mark) -> Iterator[Place]:
        name = mark.edge or mark.name.removeprefix("bone ")
        yield piece, name.rpartition(".")[2]

    def _closing(self, along: Place) -> Iterator[Place]:
        """The edges at the ends of what a bone lies along."""
        piece = self.pieces[along[0]]
        if along in self.edges:
            start = EdgeEnd(*along, "start")
            yield from (self.beside(start), self.beside(start.other()))
        yield from ((piece.name, edge.name) for edge in piece.edges if any(dart.name == along[1] for dart in edge.darts))

    # ------------------------------------------------------------ layers, and what lies flat

    def _laid(self) -> Iterator[Precedence]:
        """What is laid on an edge comes before the seam that takes it; so does a seam to another layer."""
        for task in self.tasks:
            for place in task.onto if task.kind == TaskKind.LAY_IN else ():
                yield from (
                    Precedence(task, then, "laid", place)
                    for then in self.tasks
                    if then.kind in (TaskKind.SEAM, TaskKind.JOIN) and place in then.places
                )
            if task.kind == TaskKind.SEAM and self._between_layers(task):
                for place in task.places:
                    for then in self.tasks:
                        if then.kind in (TaskKind.SEAM, TaskKind.ZIP) and place in then.places and not self._between_layers(then):
                            yield Precedence(
                                task, then, "laid", place, then.kind != TaskKind.ZIP and not self.pieces[place[0]].cut.purpose
                            )

    def _between_layers(self, task: Task) -> bool:
        return len({self.pieces[piece].cut.purpose for piece, _ in task.places}) > 1

    def _flat(self) -> Iterator[Precedence]:
        for task in self.tasks:
            if task.kind in FLAT:
                for piece in task.all_pieces:
                    for then in self.tasks:
                        if then.kind not in FLAT and piece in then.all_pieces:
                            yield Precedence(task, then, "flat", (piece, ""), firm=False)

    def _layers(self) -> Iterator[Precedence]:
        outside = [task for task in self.tasks if task.layer == "" and task.kind in (*FOLDED, TaskKind.SEAM, TaskKind.ZIP)]
        for task in self.tasks:
            if task.kind == TaskKind.MAKE_UP:
                yield from (
                    Precedence(task, then, "layer", (task.pieces[0], ""))
                    for then in self.tasks
                    if then.kind == TaskKind.JOIN and then.layer == task.layer and set(task.pieces) & set(then.all_pieces)
                )
            if task.kind == TaskKind.JOIN and all(not self.pieces[piece].cut.purpose for piece in task.all_pieces):
                yield from self._made_up_first(task)
            if task.kind == TaskKind.FELL:
                for then in self.tasks:
                    if then.kind in (TaskKind.ZIP, TaskKind.LAY_IN, TaskKind.JOIN) or (
                        then.kind == TaskKind.SEAM and self._between_layers(then)
                    ):
                        yield Precedence(then, task, "layer", (task.all_pieces[0], ""), firm=then.kind == TaskKind.ZIP)
            if task.kind == TaskKind.FINISH and task.layer:  # while the layer lies flat
                yield from (
                    Precedence(task, then, "flat", task.places[0], firm=False)
                    for then in self.tasks
                    if then.kind in (TaskKind.JOIN, TaskKind.LAY_IN) and set(task.all_pieces) & set(then.all_pieces)
                )
            if task.kind == TaskKind.BUTTONS:
                yield from (Precedence(then, task, "layer", then.places[0], firm=False) for then in outside if then.places)

    def _made_up_first(self, task: Task) -> Iterator[Precedence]:
        """Pieces that have their own lining or facing, as a collar or a tie, are usually turned out before they are sewn on."""
        pieces = set(task.all_pieces)
        for then in self.tasks:
            if then.kind == TaskKind.SEAM and pieces & set(then.all_pieces) and not pieces.issuperset(then.all_pieces):
                yield Precedence(task, then, "layer", (task.all_pieces[0], ""), firm=False)
