"""The plan of a garment for an uneven client: the pieces of an even plan, each for the side of the body that it is for.

A piece that comes out the same for both bodies stays as it is.  One on the fold becomes one whole piece, opened out of the half
of either body; a pair becomes a left and a right piece, that of the other hand turned over, so that each is drawn with the
right side of the cloth up; what lies on both sides is drawn by the whole; what one side alone has by the body of that side.
What is said of a piece goes with it: its image has the names that opening out gives, `other_EDGE`.  `Placed` tells
for every edge of the even plan which edges of the new one stand for it at either side; seams, allowances and all else that
names edges are rewritten by that alone (`united_seams`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum

from ..meaning.cutting import Cut
from ..meaning.plan import HalvesPlan, MarkPlan, NotchPlan, PiecePlan, PointMarkPlan
from ..meaning.ring import IMAGE, EdgeRing, ring_of
from ..source.text import Span
from .pattern import LEFT, RIGHT
from .sided_steps import SIDES, Side, SidedSteps, other_side

Table = Mapping[int, int]
LAPPING = ("buttonhole", "hook")  # marked on the side that laps over
HIDDEN = "@"  # in the names of places that no piece names: no style can write it


class Lot(StrEnum):
    """What becomes of a piece."""

    SAME = "the same for both"
    FOLD = "opened out"
    PAIR = "a left and a right"
    WHOLE = "of both"
    LEFT = "of the left"
    RIGHT = "of the right"


@dataclass(slots=True)
class Told:
    """What is known of a piece besides its plan, from the drafts of the even bodies."""

    lot: Lot
    drawn: Side  # the side of the body whose half, or whose one of a pair, is as drawn
    darts: Mapping[str, str] = field(default_factory=dict)  # dart -> its edge
    on_fold: frozenset[str] = frozenset()  # names of marks that lie on the fold
    level: frozenset[str] = frozenset()  # levels that lie at one depth for all bodies
    turnable: bool = True  # not of pieces cut alike, which lie any way
    issued: bool = True
    is_seen: bool = False  # of a piece of both sides: whether it is known which side is where on it


@dataclass(slots=True)
class Naming:
    """How one half of a piece of the plan is called in a new one: edges, darts and points by `called`; along an edge that is an
    image a place counts from its other end."""

    side: str
    piece: str
    prefix: str = ""
    image: bool = False

    def called(self, name: str) -> str:
        return self.prefix + name


def pieces_of(steps: SidedSteps, plan: PiecePlan, told: Told, sources: Mapping[str, Told]) -> tuple[list[PiecePlan], list[Naming]]:
    """The pieces that stand for one piece of an even plan, and how its halves are called there."""
    if told.lot is Lot.SAME:
        return [_copied(plan, {}, plan.name, plan.title, _source(plan, sources, ""))], [Naming("", plan.name)]
    if told.lot is Lot.WHOLE:
        whole = _copied(plan, steps.whole, plan.name, plan.title, _source(plan, sources, told.drawn))
        return [replace(whole, halves=HalvesPlan(told.drawn) if told.is_seen else None)], [Naming("", plan.name)]
    if told.lot in (Lot.LEFT, Lot.RIGHT):
        side = SIDES[told.lot is Lot.RIGHT]
        own = _copied(plan, steps.side[side], plan.name, plan.title, _source(plan, sources, side))
        return [replace(own, side=side)], [Naming(side, plan.name)]
    if not plan.issued:
        return [_half(steps, plan, side, sources) for side in SIDES], [Naming(side, f"{side}_{plan.name}") for side in SIDES]
    if told.lot is Lot.FOLD:
        return [_opened(steps, plan, told, sources)], [
            Naming(side, plan.name, "" if side == told.drawn else IMAGE, side != told.drawn) for side in SIDES
        ]
    made, names = [], []
    for side in SIDES:
        half = _half(steps, plan, side, sources)
        turned = told.turnable and side != told.drawn
        made.append(_turned(steps, plan, half, side, told) if turned else half)
        names.append(Naming(side, half.name, "", turned))
    return made, names


def _source(plan: PiecePlan, sources: Mapping[str, Told], side: str) -> str:
    """The piece that a piece for one side, or for both (""), is made from."""
    told = sources.get(plan.source)
    if told is None:
        return plan.source
    halves = told.lot is Lot.PAIR or (told.lot is Lot.FOLD and not told.issued)
    return f"{side or SIDES[0]}_{plan.source}" if halves else plan.source


def _half(steps: SidedSteps, plan: PiecePlan, side: Side, sources: Mapping[str, Told]) -> PiecePlan:
    """One of a pair, or a foundation, as the body of one side has it."""
    cut = plan.cut
    if plan.issued:
        extras = tuple(extra._replace(times=max(1, extra.times // 2)) for extra in cut.extras)
        cut = Cut(cut.count // 2, cut.fold, cut.count // 2 > 1 and cut.paired and cut.fold is None, extras, cut.purpose)
    title = f"{plan.title or plan.name}, {side}"
    half = _copied(plan, steps.side[side], f"{side}_{plan.name}", title, _source(plan, sources, side))
    if plan.issued:
        half = _of_one_side(half, side, plan.cut.fold is None)
    return replace(half, cut=cut, side=side if plan.issued and plan.cut.fold is None else half.side, half=True)


def _of_one_side(plan: PiecePlan, side: str, alone: bool) -> PiecePlan:
    """Without the marks that the other side has alone."""

    def settled(one: bool) -> bool:
        return one and not alone

    return replace(
        plan,
        marks=[m._replace(side="", one=settled(m.one)) for m in plan.marks if is_on_side(m.kind, m.one, m.side, side, alone)],
        point_marks=[
            m._replace(side="", one=settled(m.one)) for m in plan.point_marks if is_on_side(m.kind, m.one, m.side, side, alone)
        ],
    )


def is_on_side(kind: str, one: bool, of: str, side: str, alone: bool) -> bool:
    """Whether the piece, or the half, for a side has a mark that is for the side `of` the body (nothing: for both).  Of what `one` of a
    pair has, `alone` on its piece, buttonholes and hooks lie on the right, buttons and loops on the left, as women's clothes lap
    (common practice)."""
    return of in ("", side) and not (one and not of and alone and side != (RIGHT if kind in LAPPING else LEFT))


def _copied(plan: PiecePlan, table: Table, name: str, title: str, source: str) -> PiecePlan:
    """The plan of a piece with other slots."""

    def slot(one: int) -> int:
        return table.get(one, one)

    def maybe(one: int | None) -> int | None:
        return None if one is None else slot(one)

    def slots(named: Mapping[str, int]) -> dict[str, int]:
        return {word: slot(one) for word, one in named.items()}

    def marks(some: list[MarkPlan]) -> list[MarkPlan]:
        return [mark._replace(path=slot(mark.path), length=maybe(mark.length)) for mark in some]

    return replace(
        plan,
        name=name,
        title=title,
        source=source,
        edges=tuple((edge, slot(one)) for edge, one in plan.edges),
        points=slots(plan.points),
        grain=slot(plan.grain),
        levels=slots(plan.levels),
        widths=slots(plan.widths),
        intended=slots(plan.intended),
        marks=marks(plan.marks),
        tapes=marks(plan.tapes),
        notches=[notch._replace(place=slot(notch.place)) for notch in plan.notches],
        inner=tuple((dart, span, tuple(map(slot, corners)), slot(intake)) for dart, span, corners, intake in plan.inner),
        point_marks=[mark._replace(at=slot(mark.at), size=maybe(mark.size)) for mark in plan.point_marks],
    )


# ------------------------------------------------------------ drawn as a shape, and turned over


class _Base:
    """A piece of one side as a shape: what its edges were read from, with its points and levels, or else its edges put together."""

    def __init__(self, steps: SidedSteps, plan: PiecePlan, half: PiecePlan, told: Told) -> None:
        self.steps, self.plan, self.half = steps, plan, half
        corners = {point: edge for edge, point in plan.corners.items()}
        at = {half.points[point] for point in corners if point in half.points}
        self.points = {name: slot for name, slot in half.points.items() if slot not in at and name not in corners}
        for _, _, four, _ in half.inner:
            self._name(four)
        self._name([mark.at for mark in half.point_marks])
        self.ring = ring_of([(edge, False) for edge, _ in plan.edges], corners, dict(told.darts))
        lines = {level: self._line(level) for level in half.widths}
        self.shape = self._shape(lines)

    def _name(self, slots: list[int] | tuple[int, ...]) -> None:
        known = set(self.points.values())
        self.points |= {f"{HIDDEN}{slot}": slot for slot in slots if slot not in known}

    def named(self, slot: int) -> str:
        return next(name for name, one in self.points.items() if one == slot)

    def _line(self, level: str) -> int:
        """The line of a level on this half, from what its width was worked out by."""
        step = self.steps.step(self.half.widths[level])
        edges = tuple(slot for _, slot in self.half.edges)
        if step.operation == "line_width":
            return step.inputs[0]
        if step.operation == "level_width":
            return self.steps.emit("level_framed", step.span, *step.inputs[:3])
        along = tuple(name for name, slot in self.half.edges if slot in step.inputs)
        return self.steps.emit("level_along", step.span, *edges, by_name=("lines", ()), names=along)

    def _shape(self, lines: Mapping[str, int]) -> int:
        span, emit = self.plan.span, self.steps.emit
        read = self._read_from()
        if read is None:
            edges, points = tuple(slot for _, slot in self.half.edges), tuple(self.points.values())
            return emit(
                "shape",
                span,
                *edges,
                *points,
                by_name=("levels", tuple(lines.values())),
                edges=self.ring.names,
                points=tuple(self.points),
                crossed_by=tuple(lines),
            )
        shape = emit("with_points", span, read, *self.points.values(), names=tuple(self.points)) if self.points else read
        return emit("with_levels", span, shape, *lines.values(), names=tuple(lines)) if lines else shape

    def _read_from(self) -> int | None:
        """The shape from which all edges are read as they stand."""
        read = set()
        for name, slot in self.half.edges:
            turned = self.steps.step(slot)
            if turned.operation != "turned_edge" or turned.options["turned"]:
                return None
            edge = self.steps.step(turned.inputs[0])
            if edge.operation != "shape_edge" or edge.options["name"] != name:
                return None
            read.add(edge.inputs[0])
        return read.pop() if len(read) == 1 else None


class _NewPiece:
    """A new piece of a shape and its ring, of which each of some halves has been laid: `called` by another name, or turned over."""

    def __init__(self, steps: SidedSteps, plan: PiecePlan, shape: int, ring: EdgeRing) -> None:
        self.steps, self.plan, self.shape, self.ring = steps, plan, shape, ring
        self.edges = {name: self._edge(name) for name in ring.names}
        self.points = {name: steps.emit("shape_corner", plan.span, shape, name=edge) for name, edge in ring.corners.items()}
        self.notches: list[NotchPlan] = []
        self.marks: list[MarkPlan] = []
        self.tapes: list[MarkPlan] = []
        self.placed: list[PointMarkPlan] = []
        self.inner: list[tuple[str, Span, tuple[int, ...], int]] = []

    def _edge(self, name: str) -> int:
        edge = self.steps.emit("shape_edge", self.plan.span, self.shape, name=name)
        return self.steps.emit("turned_edge", self.plan.span, edge, turned=False)

    def point(self, name: str) -> int:
        return self.steps.emit("shape_point", self.plan.span, self.shape, name=name)

    def add(self, base: _Base, naming: Naming, line: Callable[[int], int], left_out: frozenset[str] = frozenset()) -> None:
        """What is on one half: its points, notches, marks and inner darts, but for what is there with the other half already."""
        half, called = base.half, naming.called
        self.points |= {called(name): self.point(called(name)) for name in base.points if HIDDEN not in name}
        for notch in half.notches:
            place = notch.place
            if naming.image:
                length = self.steps.emit("edge_closed_length", notch.span, self.edges[called(notch.edge)])
                place = self.steps.emit("subtract", notch.span, length, place)
            self.notches.append(notch._replace(edge=called(notch.edge), place=place))
        for mark in half.marks:
            if mark.name not in left_out and mark.kind != "lengthening":
                self.marks.append(
                    mark._replace(name=self._renamed(mark.name, naming), path=line(mark.path), edge=mark.edge and called(mark.edge))
                )
        self.tapes += [tape._replace(name=called(tape.name)) for tape in half.tapes]
        for placed in half.point_marks:
            if placed.name not in left_out:
                self.placed.append(placed._replace(name=naming.prefix + placed.name, at=self.point(called(base.named(placed.at)))))
        for name, span, corners, intake in half.inner:
            self.inner.append((called(name), span, tuple(self.point(called(base.named(slot))) for slot in corners), intake))

    def _renamed(self, name: str, naming: Naming) -> str:
        """A mark's name, which may end with that of an edge or dart."""
        words, blank, last = name.rpartition(" ")
        return f"{words}{blank}{naming.called(last)}" if naming.called(last) in {*self.edges, *self.ring.darts} else name

    def lengthening(self, half: PiecePlan) -> None:
        """Where the piece is lengthened or shortened: from side to side."""
        for mark in half.marks:
            if mark.kind == "lengthening":
                step = self.steps.step(mark.path)
                if step.operation == "line_across":
                    path = self.steps.emit("line_across", step.span, step.inputs[0], *self.edges.values(), told=False)
                    self.marks.append(mark._replace(path=path))

    def widths(self, levels: Mapping[str, int], name: str) -> dict[str, int]:
        inner = tuple(slot for _, _, corners, _ in self.inner for slot in corners)
        table = {}
        for level, before in levels.items():
            line = self.steps.emit("shape_level", self.plan.span, self.shape, name=level)
            span = self.steps.step(before).span
            table[level] = self.steps.emit(
                "line_width", span, line, *self.edges.values(), by_name=("inner", inner), level=level, piece=name
            )
        return table


def _turned(steps: SidedSteps, plan: PiecePlan, half: PiecePlan, side: Side, told: Told) -> PiecePlan:
    """One of a pair turned over."""
    base = _Base(steps, plan, half, told)
    ring = base.ring.turned_over()
    laid = _NewPiece(steps, plan, steps.emit("mirror", plan.span, base.shape, ring=ring), ring.settled())
    naming = Naming(side, half.name, "", True)
    laid.add(base, naming, lambda path: steps.emit("line_image", plan.span, path))
    laid.lengthening(half)
    turned = _of(laid, half, half.name, half.widths)
    return replace(turned, grain=steps.emit("direction_image", plan.span, half.grain), levels=half.levels, mirrored=not plan.mirrored)


def _opened(steps: SidedSteps, plan: PiecePlan, told: Told, sources: Mapping[str, Told]) -> PiecePlan:
    """A piece on the fold as one whole piece: the half that is drawn, and the other body's laid over at the fold."""
    fold = str(plan.cut.fold)
    sides = (told.drawn, other_side(told.drawn))
    halves = [_copied(plan, steps.side[side], plan.name, plan.title, _source(plan, sources, side)) for side in sides]
    halves = [_of_one_side(half, side, False) for half, side in zip(halves, sides, strict=True)]
    bases = [_Base(steps, plan, half, told) for half in halves]
    ring = bases[0].ring.opened_out(fold, IMAGE)
    names = dict.fromkeys([*(name for base in bases for name in base.points), *bases[0].ring.corners])
    images = {name: f"{IMAGE}{name}" for name in names}
    shape = steps.emit("open_out", plan.span, *(base.shape for base in bases), ring=ring, edge=fold, images=images)
    laid = _NewPiece(steps, plan, shape, ring.settled())
    own, other = (dict(half.edges)[fold] for half in halves)
    laid.add(bases[0], Naming(sides[0], plan.name), lambda path: path)
    laid.add(
        bases[1],
        Naming(sides[1], plan.name, IMAGE, True),
        lambda path: steps.emit("line_image", plan.span, path, other, own),
        told.on_fold,
    )
    laid.lengthening(halves[0])
    opened = _of(laid, halves[0], plan.name, plan.widths)
    count = plan.cut.count
    intended = {level: steps.emit("add", plan.span, slot, halves[1].intended[level]) for level, slot in halves[0].intended.items()}
    return replace(
        opened,
        cut=replace(plan.cut, fold=None, paired=count % 2 == 0),
        levels={level: slot for level, slot in halves[0].levels.items() if level in told.level},
        intended=intended,
        of_sides={level: _sides_of(steps, plan.widths[level]) for level in plan.widths},
        followed={level: (*edges, *(IMAGE + edge for edge in edges)) for level, edges in plan.followed.items()},
        half=False,
        halves=HalvesPlan(told.drawn, (own, other), _half_levels(halves, sides, told)),
    )


def _half_levels(halves: Sequence[PiecePlan], sides: tuple[Side, Side], told: Told) -> dict[str, tuple[int, int]]:
    """Where the levels that are not level lie on the left and on the right."""
    left, right = (halves[sides.index(side)].levels for side in SIDES)
    return {level: (slot, right[level]) for level, slot in left.items() if level not in told.level}


def _sides_of(steps: SidedSteps, slot: int) -> tuple[int, int]:
    left, right = (steps.side[side].get(slot, slot) for side in SIDES)
    return left, right


def _of(laid: _NewPiece, half: PiecePlan, name: str, widths: Mapping[str, int]) -> PiecePlan:
    corners = {edge: point for point, edge in laid.ring.corners.items()}
    return replace(
        half,
        edges=tuple(laid.edges.items()),
        points=laid.points,
        widths=laid.widths(widths, name),
        marks=laid.marks,
        tapes=laid.tapes,
        notches=laid.notches,
        inner=tuple(laid.inner),
        corners=corners,
        point_marks=laid.placed,
    )
