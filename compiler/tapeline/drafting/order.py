"""The order of work of a garment: its tasks in steps, each when all that must come before it is done.

Tasks that one step of the style names, the darts of one layer, seams that run on into each other where two seams cross, and what is done alike
on both sides of an uneven body, are done in one step.
Between steps stand the rules of `reach`, the firm ones first, and what the style asks for itself.  Each is entered unless the
steps that are there already lead from its end to its beginning: a wish of the style that is not entered is refused, with the
rule that stands against it; a rule that is only the usual way then gives way.  Of the steps that can be done the next is
the one that is usual: flat work before round work, what was cut apart before other seams, a zip while its seam is open,
the garment's outside before its layers, then what joins them, then hems.  Whether a seam is round is told by the pieces as they
are cut: it is, where it joins what hangs together already.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import NamedTuple

from ..meaning.plan import Anchor, OwnStep, Plan
from .across import Sewn
from .openings import ZipRow
from .pattern import Pattern, Seam, SewnEdge
from .reach import Precedence, lines_of, rules_of
from .tasks import FOLDED, Task, TaskKind, edge_of_half, of_either_side, tasks_of

LAYERS = {"": 0, "interlining": 1, "strength layer": 1, "facing": 2, "lining": 3}  # in which they are made up
LATE = {
    TaskKind.BONES: 12,
    TaskKind.JOIN: 14,
    TaskKind.LAY_IN: 13,
    TaskKind.FACE: 15,
    TaskKind.BIND: 15,
    TaskKind.FINISH: 16,
    TaskKind.OWN: 16,
    TaskKind.FELL: 17,
    TaskKind.HEM: 18,
    TaskKind.BUTTONS: 20,
}
BETWEEN = 4  # layers without a place of their own


@dataclass(slots=True, eq=False)
class WorkStep:
    """One step: its tasks in their order, and what the style says of it itself."""

    tasks: list[Task]
    number: int = 0
    is_round: bool = False  # whether it closes a ring of pieces
    ahead: list[tuple[WorkStep, Precedence]] = field(default_factory=list)  # later steps for which it must be done, and why

    @property
    def own(self) -> tuple[OwnStep, ...]:
        return tuple({id(step): step for task in self.tasks for step in task.own}.values())


class Refusal(NamedTuple):
    """What a step of the style asks for, and the rules that stand against it, each leading to the next."""

    step: OwnStep
    rules: tuple[Precedence, ...]


@dataclass(slots=True, eq=False)
class OrderOfWork:
    steps: tuple[WorkStep, ...]
    refused: tuple[Refusal, ...] = ()


def order_of_work(plan: Plan, pattern: Pattern, sewn: Sewn, zips: Sequence[ZipRow]) -> OrderOfWork:
    """All tasks, in an order in which it can be done."""
    tasks = tasks_of(plan, pattern, sewn, zips)
    rules = rules_of(pattern, sewn, tasks)
    order = _Order(pattern, tasks, rules)
    order.put_together(sewn, plan.own_steps, plan.uneven)
    order.enter(plan.own_steps)
    return OrderOfWork(tuple(order.sorted()), tuple(order.refused))


class _Order:
    def __init__(self, pattern: Pattern, tasks: Sequence[Task], rules: Sequence[Precedence]) -> None:
        self.pattern, self.tasks, self.rules = pattern, tasks, rules
        self.pieces = {piece.name: piece for piece in pattern.pieces}
        self.sources = {piece.name: piece.source for piece in (*pattern.pieces, *pattern.foundations)}
        self.edges = {(piece.name, edge.name) for piece in pattern.pieces for edge in piece.edges}
        self.of = {id(task): WorkStep([task]) for task in tasks}
        self.after: dict[int, dict[int, tuple[WorkStep, Precedence | None]]] = {}  # step -> the steps after it, each with its rule
        self.refused: list[Refusal] = []

    # ------------------------------------------------------------ what is done in one step

    def put_together(self, sewn: Sewn, own: Sequence[OwnStep], uneven: bool) -> None:
        firm = [rule for rule in self.rules if rule.firm]
        for kind in (TaskKind.TAPE, *FOLDED):  # those of one layer
            for one, other in pairwise(task for task in self.tasks if task.kind == kind):
                if one.layer == other.layer:
                    self._merge(one, other, firm)
        for one, other in lines_of(sewn, self.tasks):
            self._merge(one, other, [rule for rule in firm if {id(rule.first), id(rule.then)} != {id(one), id(other)}])
        if uneven:
            self._put_sides_together(firm)
        for step in own:
            spoken = [task for task in self.tasks if any(step is said for said in task.own)]
            for task in spoken[1:]:
                rules = self._merge(spoken[0], task, firm)
                if rules:
                    self.refused.append(Refusal(step, rules))

    def _put_sides_together(self, firm: Sequence[Precedence]) -> None:
        """What was one task before an uneven body parted it into one of either side."""
        first: dict[object, Task] = {}
        for task in self.tasks:
            if task.places and task.zip is None:
                places = ((of_either_side(place[0]), edge_of_half(self.pattern, place)) for place in task.places if place in self.edges)
                self._merge(first.setdefault((task.kind, task.layer, frozenset(places)), task), task, firm)

    def _merge(self, one: Task, other: Task, firm: Sequence[Precedence]) -> tuple[Precedence, ...]:
        """Put two tasks into one step; the rules that stand against it, where one of them must wait for the other."""
        into, gone = self.of[id(one)], self.of[id(other)]
        if into is gone:
            return ()
        follows: dict[int, list[tuple[WorkStep, Precedence]]] = {}
        for rule in firm:
            follows.setdefault(id(self.of[id(rule.first)]), []).append((self.of[id(rule.then)], rule))
        for start, end in ((into, gone), (gone, into)):
            way = _way(start, end, lambda step: follows.get(id(step), ()))
            if way:
                return tuple(way)
        into.tasks += gone.tasks
        for task in gone.tasks:
            self.of[id(task)] = into
        return ()

    # ------------------------------------------------------------ which step comes before which

    def enter(self, own: Sequence[OwnStep]) -> None:
        for rule in self.rules:
            if rule.firm:
                self._put(self.of[id(rule.first)], self.of[id(rule.then)], rule)
        named = {step.name: task for task in self.tasks for step in task.own if step.name}
        for step in own:
            mine = [self.of[id(task)] for task in self.tasks if any(step is said for said in task.own)]
            for anchors, behind in ((step.after, True), (step.before, False)):
                for other in self._meant(anchors, named):
                    for own_step in mine[:1]:
                        first, then = (other, own_step) if behind else (own_step, other)
                        if first is not then and not self._put(first, then, None):
                            self._refuse(step, then, first)
        for rule in self.rules:
            if not rule.firm:
                self._put(self.of[id(rule.first)], self.of[id(rule.then)], rule)

    def _meant(self, anchors: Iterable[Anchor], named: dict[str, Task]) -> Iterator[WorkStep]:
        for anchor in anchors:
            if anchor.step in named:
                yield self.of[id(named[anchor.step])]
            yield from (self.of[id(task)] for task in self.tasks if any(place in task.places for place in anchor.places))

    def _put(self, first: WorkStep, then: WorkStep, rule: Precedence | None) -> bool:
        """Enter that one step comes before another, unless that makes a circle."""
        if first is then:
            return True
        if _way(then, first, self._follows) is not None:
            return False
        self.after.setdefault(id(first), {}).setdefault(id(then), (then, rule))
        return True

    def _follows(self, step: WorkStep) -> Iterable[tuple[WorkStep, Precedence | None]]:
        return self.after.get(id(step), {}).values()

    def _refuse(self, step: OwnStep, start: WorkStep, end: WorkStep) -> None:
        way = [rule for rule in _way(start, end, self._follows) or () if rule is not None]
        if way:
            self.refused.append(Refusal(step, tuple(way)))

    # ------------------------------------------------------------ one after the other

    def sorted(self) -> Iterator[WorkStep]:
        steps = list({id(step): step for step in self.of.values()}.values())
        waits = Counter(key for followers in self.after.values() for key in followers)
        joined = _Joined(self.pattern)
        left = list(steps)
        for number in range(1, len(steps) + 1):
            ready = [step for step in left if not waits[id(step)]]
            step = min(ready, key=lambda step: (self._rank(step, joined), steps.index(step)))
            left.remove(step)
            step.number, step.is_round = number, joined.closes(step)
            joined.join(step)
            for key, (then, rule) in self.after.get(id(step), {}).items():
                waits[key] -= 1
                if rule is not None and rule.firm:
                    step.ahead.append((then, rule))
            yield step

    def _rank(self, step: WorkStep, joined: _Joined) -> tuple[int, bool, int]:
        """How late a step is usual among those that can be done: its time, whether it is round, and what it is."""
        task = max(step.tasks, key=lambda task: self._time(task))
        return self._time(task), joined.closes(step), 0 if self._cut_apart(task) else 1 if task.zip is not None else 2

    def _time(self, task: Task) -> int:
        layer = LAYERS.get(task.layer, BETWEEN)
        if task.kind in (TaskKind.FUSE, TaskKind.MOUNT, TaskKind.TAPE):
            return 0
        if task.kind in FOLDED:
            return 1 if not layer else 2 + 2 * layer
        if task.kind == TaskKind.SEAM and len({self.pieces[piece].cut.purpose for piece, _ in task.places}) > 1:
            return LATE[TaskKind.JOIN]
        if task.kind in (TaskKind.SEAM, TaskKind.ZIP) or (task.kind in (TaskKind.FINISH, TaskKind.MAKE_UP) and layer):
            return 2 if not layer else 3 + 2 * layer
        return LATE[task.kind]

    def _cut_apart(self, task: Task) -> bool:
        """Whether a seam joins what was cut from one piece."""
        sources = [self._sources(piece) for piece in {piece for piece, _ in task.places}]
        return bool(task.seams) and len(task.all_pieces) > 1 and bool(set.intersection(*sources))

    def _sources(self, piece: str) -> set[str]:
        """What a piece was made from, and that in turn."""
        sources: set[str] = set()
        while source := self.sources.get(piece, ""):
            sources.add(source)
            piece = source
        return sources


def _way(start: WorkStep, end: WorkStep, follows: object) -> list[Precedence] | None:
    """The rules by which one step leads to another; None where it does not."""
    assert callable(follows)
    waiting: list[tuple[WorkStep, list[Precedence]]] = [(start, [])]
    seen = {id(start)}
    while waiting:
        step, way = waiting.pop(0)
        if step is end and step is not start:
            return way
        for then, rule in follows(step):
            if id(then) not in seen:
                seen.add(id(then))
                waiting.append((then, [*way, rule]))
    return None


class _Joined:
    """The pieces as they are cut, each copy for itself, and which hang together."""

    def __init__(self, pattern: Pattern) -> None:
        self.pattern = pattern
        self.to: dict[tuple[str, int], tuple[str, int]] = {}

    def _root(self, copy: tuple[str, int]) -> tuple[str, int]:
        while self.to.get(copy, copy) != copy:
            copy = self.to[copy]
        return copy

    def closes(self, step: WorkStep) -> bool:
        """Whether a step sews a piece to what it hangs together with already."""
        before, closed = dict(self.to), False
        for one, other in self._pairs(step):
            first, second = self._root(one), self._root(other)
            closed = closed or first == second
            self.to[second] = first
        self.to = before
        return closed

    def join(self, step: WorkStep) -> None:
        for one, other in self._pairs(step):
            self.to[self._root(other)] = self._root(one)

    def _pairs(self, step: WorkStep) -> Iterator[tuple[tuple[str, int], tuple[str, int]]]:
        for task in step.tasks:
            for seam in task.seams:
                yield from self._sewn(seam)
            if task.zip is not None and not task.seams:
                copies = [(piece, number) for piece, _ in task.zip.places for number in range(self.pattern.piece(piece).cut.count)]
                yield from pairwise(copies)

    def _sewn(self, seam: Seam) -> Iterator[tuple[tuple[str, int], tuple[str, int]]]:
        """The copies that a seam sews to each other: those of one number, where each edge is there equally often."""
        one, other = self.pattern.sewn(seam)
        if seam.one == seam.other:
            for edge in one:
                yield from pairwise(self._copies(edge))
            return
        counts = {edge.times for edge in (*one, *other)}
        alone = {edge.piece.name for edge in (*one, *other)}
        if len(alone) == 1 and len(one) == len(other) == 1 and one[0].times > 2:  # a ring of pieces alike
            copies = self._copies(one[0])
            yield from pairwise([*copies, copies[0]])
        elif len(counts) == 1:
            for first, *others in zip(*(self._copies(edge) for edge in (*one, *other)), strict=True):
                yield from ((first, copy) for copy in others)
        else:
            first, *others = dict.fromkeys(copy for edge in (*one, *other) for copy in self._copies(edge))
            yield from ((first, copy) for copy in others)

    def _copies(self, edge: SewnEdge) -> list[tuple[str, int]]:
        """A copy of its piece for each time the edge is in the seam: both halves of a piece on the fold are one."""
        halves = 2 if edge.piece.cut.fold else 1
        return [(edge.piece.name, number // halves) for number in range(edge.times)]
