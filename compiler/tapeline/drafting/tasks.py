"""What there is to do to make a garment up: seams, darts, zips, hems and all other work, as its pieces and seams imply.

A task holds the edges and darts that it uses up.  Every seam of the style is one, with a zip that is let into it; so are all
darts of a piece, every row of edges alike that are turned up, bound, faced or finished, and what layers ask for.  Edges run
on into each other where a seam between them ends, and round a corner of one piece.  The edge of a facing or a lining belongs
to the edge of the garment's outside that is called like it, where both are made from one piece: sewn to it where that is free, else laid in before the seam that
takes it.  Which task comes first is not told here (`reach`, `order`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from ..meaning.cutting import NO_ALLOWANCE, TURNED_UP
from ..meaning.plan import ALL_BONES, OwnStep, Plan
from .across import EdgeEnd, Sewn
from .openings import ZipRow
from .pattern import Mark, Pattern, Piece, Place, Seam, of_half
from .sided_steps import SIDES


class TaskKind(StrEnum):
    FUSE = "fuse"
    MOUNT = "mount"
    TAPE = "tape"
    DARTS = "darts"
    TUCKS = "tucks"
    PLEATS = "pleats"
    SEAM = "seam"
    ZIP = "zip"
    MAKE_UP = "make up"
    LAY_IN = "lay in"
    JOIN = "join"
    BIND = "bind"
    FACE = "face"
    FINISH = "finish"
    HEM = "hem"
    BONES = "bones"
    FELL = "fell"
    BUTTONS = "buttons"
    OWN = "own"


FOLDED = (TaskKind.DARTS, TaskKind.TUCKS, TaskKind.PLEATS)  # what is laid within one piece


CLOSING = (TaskKind.JOIN, TaskKind.FACE, TaskKind.BIND, TaskKind.HEM)  # tasks that go over the end of a seam
BY_ALLOWANCE = {TURNED_UP: TaskKind.HEM, "bound": TaskKind.BIND, "faced": TaskKind.FACE}
INTERFACING, LINING, FACING = "interfacing", "lining", "facing"


@dataclass(slots=True, eq=False)
class Task:
    kind: TaskKind
    places: tuple[Place, ...] = ()  # edges, darts and bones that it works on
    layer: str = ""  # what its pieces are cut for: nothing for the garment's outside
    onto: tuple[Place, ...] = ()  # edges that its own are laid on and fastened to
    pieces: tuple[str, ...] = ()  # those that its places do not tell
    seams: tuple[Seam, ...] = ()
    zip: ZipRow | None = None
    bones: tuple[tuple[str, Mark], ...] = ()
    own: tuple[OwnStep, ...] = ()  # the style's own words for it

    def holds(self, *places: Place) -> bool:
        return all(place in self.places or place in self.onto for place in places)

    @property
    def all_pieces(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys((*(piece for piece, _ in self.places), *(piece for piece, _ in self.onto), *self.pieces)))


def is_interfacing(purpose: str) -> bool:
    return purpose.rpartition(" ")[2] == INTERFACING


def _innermost(layer: str) -> int:
    """What is turned to the inside where several layers are joined: a facing before a lining before all else."""
    return (FACING, LINING, layer).index(layer)


def mounted_layers(piece: Piece) -> list[str]:
    """The layers cut with a piece that are sewn as one with it: not its lining, facing or interfacing."""
    return [what for _, what, _ in piece.cut.extras if what not in (LINING, FACING) and not is_interfacing(what)]


def is_layer_of(pattern: Pattern, layer: Place, place: Place) -> bool:
    """Whether an edge of a layer is that of the outside: called like it, of pieces that are made from one.

    Of a piece that was put together of the halves of two sides, on either side: a facing's right half is called as a front's left.
    """
    origins = [pattern.origin(name) for name, _ in (layer, place)]
    if any(pattern.piece(name).halves is not None for name, _ in (layer, place)):
        origins = [of_either_side(name) for name in origins]
    return edge_of_half(pattern, layer) == edge_of_half(pattern, place) and origins[0] == origins[1]


def edge_of_half(pattern: Pattern, place: Place) -> str:
    """What an edge is called on either half of a piece that was put together of two; of other pieces its own name."""
    return place[1] if pattern.piece(place[0]).halves is None else of_half(place[1])


def of_either_side(piece: str) -> str:
    """What a piece is called before an uneven body parts it into a left and a right one."""
    return next((piece.removeprefix(f"{side}_") for side in SIDES if piece.startswith(f"{side}_")), piece)


def _fastened(piece: Piece) -> bool:
    """Whether buttons, buttonholes, hooks or loops are marked on a piece."""
    places = any(mark.kind in ("button", "hook", "loop") for mark in piece.point_marks)
    return places or any(mark.kind == "buttonhole" for mark in piece.marks)


def tasks_of(plan: Plan, pattern: Pattern, sewn: Sewn, zips: Sequence[ZipRow]) -> list[Task]:
    """All tasks, in the order of the text."""
    return _Tasks(plan, pattern, sewn).collect(zips)


class _Tasks:
    def __init__(self, plan: Plan, pattern: Pattern, sewn: Sewn) -> None:
        self.plan, self.pattern, self.sewn = plan, pattern, sewn
        self.pieces = {piece.name: piece for piece in pattern.pieces}

    def collect(self, zips: Sequence[ZipRow]) -> list[Task]:
        tasks = [*self._flat(), *self._seams(zips)]
        taken = {place for task in tasks if task.kind != TaskKind.TAPE for place in task.places}
        joined = self._joined([place for place in self._free() if place not in taken], tasks)
        taken.update(place for task in joined for place in task.places)
        own, claimed = self._own(taken)
        free = [place for place in self._free() if place not in taken | claimed]
        tasks += [*joined, *self._edges(free), *self._layers(tasks), *self._bones()]
        fastened = tuple(piece.name for piece in self.pattern.pieces if not piece.cut.purpose and _fastened(piece))
        tasks += [Task(TaskKind.BUTTONS, pieces=fastened)] if self.plan.buttons or fastened else []
        return self._worded([*tasks, *own])

    def layer(self, place: Place) -> str:
        return self.pieces[place[0]].cut.purpose

    # ------------------------------------------------------------ on the flat pieces

    def _flat(self) -> Iterator[Task]:
        """What is done to the pieces by themselves: what lies behind all of them, then each by itself."""
        fused: dict[str, None] = {}
        for piece in self.pattern.pieces:
            if is_interfacing(piece.cut.purpose):
                fused |= dict.fromkeys((self._backed(piece), piece.name))
            elif any(is_interfacing(extra.purpose) for extra in piece.cut.extras):
                fused[piece.name] = None
        if fused:
            yield Task(TaskKind.FUSE, pieces=tuple(fused))
        mounted = [piece.name for piece in self.pattern.pieces if mounted_layers(piece)]
        if mounted:
            yield Task(TaskKind.MOUNT, pieces=tuple(mounted))
        for piece in self.pattern.pieces:
            if is_interfacing(piece.cut.purpose):
                continue
            purpose = piece.cut.purpose
            tapes = next(row.tapes for row in self.plan.pieces if row.name == piece.name)
            stays = [place for tape in tapes if self._kind(place := (piece.name, tape.name)) not in (TaskKind.BIND, TaskKind.HEM)]
            if stays:
                yield Task(TaskKind.TAPE, tuple(stays), purpose)
            for kind, of_kind in (("dart", TaskKind.DARTS), ("tuck", TaskKind.TUCKS), ("pleat", TaskKind.PLEATS)):
                darts = [(piece.name, dart.name) for dart in piece.darts() if dart.kind == kind]
                darts += [(piece.name, dart.name) for dart in piece.inner if kind == "dart" and np.isfinite(dart.upper).any()]
                if darts:
                    yield Task(of_kind, tuple(darts), purpose)

    def _backed(self, piece: Piece) -> str:
        """The piece that an interfacing is made from, where that is cut, else the one that is made from the same."""
        if piece.source in self.pieces:
            return piece.source
        fellows = (other.name for other in self.pattern.pieces if piece.source and other.source == piece.source)
        return next((name for name in fellows if not is_interfacing(self.pieces[name].cut.purpose)), piece.name)

    # ------------------------------------------------------------ seams and zips

    def _seams(self, zips: Sequence[ZipRow]) -> Iterator[Task]:
        seams = [seam for seam in self.pattern.seams if all(name in self.pieces for name, _ in (*seam.one, *seam.other))]
        for row in zips:
            own = tuple(seam for seam in seams if not set(row.places).isdisjoint((*seam.one, *seam.other)))
            places = dict.fromkeys((*row.places, *(place for seam in own for place in (*seam.one, *seam.other))))
            yield Task(TaskKind.ZIP, tuple(places), self.layer(row.places[0]), seams=own, zip=row)
            seams = [seam for seam in seams if not any(seam is taken for taken in own)]
        for seam in seams:
            places = dict.fromkeys((*seam.one, *seam.other))
            layers = dict.fromkeys(map(self.layer, places))
            outside = tuple(place for place in places if not self.layer(place))
            if self._is_laid_in(seam, seams):
                laid = tuple(place for place in places if self.layer(place))
                yield Task(TaskKind.LAY_IN, laid, self.layer(laid[0]), outside, seams=(seam,))
                continue
            yield Task(TaskKind.SEAM, tuple(places), "" if "" in layers else next(iter(layers)), seams=(seam,))

    def _is_laid_in(self, seam: Seam, seams: Sequence[Seam]) -> bool:
        """Whether a seam only lays a layer on the edge of the outside that another seam takes, as a lining at the waist."""
        outside = [place for place in (*seam.one, *seam.other) if not self.layer(place)]
        layer = [place for place in (*seam.one, *seam.other) if self.layer(place)]
        others = {place for other in seams if other is not seam for place in (*other.one, *other.other)}
        alike = all(any(is_layer_of(self.pattern, one, place) for place in outside) for one in layer)
        return bool(outside and layer) and alike and all(place in others for place in outside)

    # ------------------------------------------------------------ edges that no seam takes

    def _free(self) -> Iterator[Place]:
        for piece in self.pattern.pieces:
            if not is_interfacing(piece.cut.purpose):
                yield from ((piece.name, edge.name) for edge in piece.edges if edge.name != piece.cut.fold)

    def _kind(self, place: Place) -> TaskKind | None:
        """What is done to a free edge, by its allowance: nothing where it has none."""
        allowance = self.pattern.allowances.get(place)
        if allowance is None or allowance.kind == NO_ALLOWANCE:
            return None
        return BY_ALLOWANCE.get(allowance.kind, TaskKind.FINISH)

    def _edges(self, free: Sequence[Place]) -> Iterator[Task]:
        kinds = {place: kind for place in free if (kind := self._kind(place))}
        for row in self._rows(list(kinds), lambda one, other: kinds[one] == kinds[other]):
            yield Task(kinds[row[0]], tuple(row), self.layer(row[0]))

    def _rows(self, free: Sequence[Place], alike: Callable[[Place, Place], bool]) -> Iterator[list[Place]]:
        """Free edges in rows: those that run on into each other across a seam, and round a corner of one piece."""
        groups = {place: [place] for place in free}
        for one, other in self._running_on():
            if one in groups and other in groups and groups[one] is not groups[other] and alike(one, other):
                groups[one] += groups[other]
                for place in groups[other]:
                    groups[place] = groups[one]
        order = list(groups)
        rows = {id(group): group for group in groups.values()}
        yield from (sorted(group, key=order.index) for group in rows.values())

    def _running_on(self) -> Iterator[tuple[Place, Place]]:
        for joint in self.sewn.joints:
            one, other = (self.sewn.beside(end) for end in (joint.end, joint.partner))
            yield (one.piece, one.edge), (other.piece, other.edge)
        for piece in self.pattern.pieces:
            for edge in piece.edges:
                after = self.sewn.beside(EdgeEnd(piece.name, edge.name, "end"))
                yield (piece.name, edge.name), (after.piece, after.edge)

    # ------------------------------------------------------------ layers

    def _joined(self, free: Sequence[Place], tasks: Sequence[Task]) -> list[Task]:
        """Free edges of layers with the edges of the outside that are called alike, and of pieces that have their own lining."""
        outside = [(piece.name, edge.name) for piece in self.pattern.pieces if not piece.cut.purpose for edge in piece.edges]
        sewn = {place for task in tasks for place in task.places if task.seams or task.kind == TaskKind.ZIP}
        zipped = {place for task in tasks if task.zip is not None for place in task.places}
        joined = []
        for name in dict.fromkeys(edge_of_half(self.pattern, place) for place in free if self.layer(place)):
            called = [place for place in free if edge_of_half(self.pattern, place) == name]
            own = [place for place in called if self.layer(place) and self._may_join(place)]
            fellows = [place for place in outside if any(is_layer_of(self.pattern, one, place) for one in own)]
            own = [one for one in own if any(is_layer_of(self.pattern, one, place) for place in fellows)]
            open_ones = [place for place in fellows if place in free and self._may_join(place)]
            taken = [place for place in fellows if place in sewn]
            if own and open_ones:
                layers = [*map(self.layer, own), *(what for piece, _ in open_ones for what in self._own_layers(self.pieces[piece]))]
                joined.append(Task(TaskKind.JOIN, (*open_ones, *own), min(layers, key=_innermost)))
            elif own and taken:
                joined.append(
                    Task(TaskKind.FELL if zipped & {*taken} else TaskKind.LAY_IN, tuple(own), self.layer(own[0]), tuple(taken))
                )
        held = {place for task in joined for place in task.places}
        lined = {piece.name for piece in self.pattern.pieces if self._own_layers(piece)}
        rest = [place for place in free if place[0] in lined and place not in held and self._may_join(place)]
        rows = self._rows(rest, lambda one, other: True)
        return [*joined, *(Task(TaskKind.JOIN, tuple(row), self._own_layers(self.pieces[row[0][0]])[0]) for row in rows)]

    def _may_join(self, place: Place) -> bool:
        allowance = self.pattern.allowances.get(place)
        return self._kind(place) in (TaskKind.FACE, TaskKind.FINISH) and (allowance is None or allowance.kind != "for zip")

    @staticmethod
    def _own_layers(piece: Piece) -> list[str]:
        """Lining and facing that are cut by the piece itself."""
        return [what for _, what, _ in piece.cut.extras if what in (LINING, FACING)]

    def _layers(self, tasks: Sequence[Task]) -> Iterator[Task]:
        layers = dict.fromkeys(what for piece in self.pattern.pieces for what in self._own_layers(piece))
        for layer in layers:
            yield Task(TaskKind.MAKE_UP, (), layer, (), tuple(p.name for p in self.pattern.pieces if layer in self._own_layers(p)))
        zipped = [place for task in tasks if task.zip is not None for place in task.zip.places]
        linings = [(piece.name, edge.name) for piece in self.pattern.pieces if piece.cut.purpose == LINING for edge in piece.edges]
        felled = tuple(place for place in linings if any(is_layer_of(self.pattern, place, edge) for edge in zipped))
        if felled:
            yield Task(TaskKind.FELL, (), LINING, felled, tuple(dict.fromkeys(name for name, _ in felled)))

    def _bones(self) -> Iterator[Task]:
        layers: dict[str, list[tuple[str, Mark]]] = {}
        for piece in self.pattern.pieces:
            for mark in piece.marks:
                if mark.kind == "bone":
                    layers.setdefault(piece.cut.purpose, []).append((piece.name, mark))
        for layer, bones in layers.items():
            places = dict.fromkeys((piece, name) for piece, mark in bones for name in (mark.name, ALL_BONES))
            yield Task(TaskKind.BONES, tuple(places), layer, bones=tuple(bones))

    # ------------------------------------------------------------ the style's own steps

    def _own(self, taken: set[Place]) -> tuple[list[Task], set[Place]]:
        """Steps of the style that are tasks of their own, and the free edges that they take."""
        tasks: list[Task] = []
        claimed: set[Place] = set()
        for step in self.plan.own_steps:
            places = tuple(place for place in step.places if place in self._plain_edges() and place not in taken)
            if not step.places or (places and len(places) == len(step.places)):
                claimed.update(places)
                pieces = (step.piece,) if step.piece else ()
                tasks.append(Task(TaskKind.OWN, places, self.layer(places[0]) if places else "", step.onto, pieces, own=(step,)))
        return tasks, claimed

    def _plain_edges(self) -> set[Place]:
        return {place for place in self._free() if self._kind(place) in (None, TaskKind.FINISH)}

    def _worded(self, tasks: list[Task]) -> list[Task]:
        """The style's own words with the tasks that they speak of: the last of those that work on a place."""
        worded = [step for task in tasks for step in task.own]
        for step in self.plan.own_steps:
            if not any(step is one for one in worded):
                spoken = [task for task in tasks if any(place in task.places for place in step.places)]
                chief = [task for task in spoken if task.kind != TaskKind.TAPE] or spoken
                for number, task in enumerate(tasks):
                    if any(task is one for one in chief):
                        tasks[number] = replace(task, own=(*task.own, step), onto=(*task.onto, *step.onto))
        return tasks
