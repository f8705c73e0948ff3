"""What is known of a drawn piece before any body is drafted: its ring of edges, its other points, and its darts.

Changing a piece works on `Drawn`: the slot that will hold its shape, its ring, and the names of points that are no corners.
A change makes a new one, by `change`: one step of the plan and one new ring, which the step carries, so that what is drawn
and what it is called cannot part.  Names stay with what they named.  A corner that a change makes is named after the new
edge and the edge it meets: `yoke_side`, where `yoke` meets `side`.  On which part a dart or point will lie can depend on
the body; a part keeps the names of all that may be on it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any, Protocol

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, RawEdge, ScopeContext
from .expressions import lower_length_or_fraction
from .inner_darts import InnerDartRule
from .kinds import EDGE, LENGTH, NUMBER, PATH, POINT, SHAPE, UNKNOWN, Kind
from .lowering import POISON, Lowering
from .plan import Value
from .ring import EdgeRing, Portion, RingEdge, ring_of

PLACED = "#"  # in the names of places on marked lines, which no style can write


class Workpiece(DrawingContext, Protocol):
    """A piece that is drawn, as a change of it sees it."""

    base: Drawn | None
    inner_darts: dict[str, InnerDartRule]

    def redrawn(self) -> bool: ...

    def runs_straight(self, name: str) -> bool: ...  # whether a level lies straight across the paper

    def own_lines(self) -> dict[str, Value]: ...  # of the levels that the piece says itself

    def level_lines(self) -> dict[str, Value]: ...  # of all levels

    def marked_places(self, drawn_anew: bool) -> dict[str, Value]: ...  # on lines that are marked, by their names

    def dart_names(self) -> dict[str, str]: ...


class Pieces(ProgramContext, Protocol):
    """All pieces of a style, as a change of one sees them."""

    def construction(self, name: tree.Word, span: Span, fitted: bool = True) -> Workpiece | None: ...

    def is_level(self, name: str) -> bool: ...


@dataclass
class Drawn:
    drawing: Workpiece  # whose names it had before any change
    lowering: Lowering
    span: Span
    shape: Value
    ring: EdgeRing
    points: tuple[str, ...]
    levels: tuple[str, ...] = ()  # those that have a line on it
    touched: frozenset[str] = frozenset()  # edges whose length is no longer what it was drawn
    doubtful: frozenset[str] = frozenset()  # darts that may lie on the other part of a cut, as the body has it
    origins: dict[str, tuple[str, str]] = field(default_factory=dict)  # edge -> piece and edge that it was before any change
    inner: dict[str, InnerDartRule] = field(default_factory=dict)  # darts within the piece, each four of its points
    opened: frozenset[str] = frozenset()  # folds at which it has been opened out
    parted: bool = False  # whether it is one part of a cut: what lay inside may be on the other
    slashes: int = 0  # and pleats, since it was first drawn
    parted_at: tuple[tuple[Value, Value, bool], ...] = ()  # where it was made longer or shorter: how deep, by how much, which
    reshaped: bool = False  # its widths are no longer those of the piece it came from
    called: dict[str, tree.Word] = field(default_factory=dict)  # where changes give names
    unknown: list[tree.Word] = field(default_factory=list)  # words that name what changes made, to be noted once it is adopted
    _corners: dict[str, Value] = field(default_factory=dict)

    # ------------------------------------------------------------ changed

    def change(self, operation: str, span: Span, ring: EdgeRing, *inputs: Value, **options: Any) -> Drawn:
        """The piece after an operation that fills `ring`: the step, and the names that it leads to."""
        return self.filled(self.emit(operation, SHAPE, span, *inputs, ring=ring, **options), ring)

    def filled(self, shape: Value, ring: EdgeRing) -> Drawn:
        origins = {edge.name: origin for edge in ring.edges if (origin := self._origin(edge)) is not None}
        return replace(self, shape=shape, ring=ring.settled(), origins=origins, _corners={})

    def _origin(self, edge: RingEdge) -> tuple[str, str] | None:
        """Of what an edge is made first, or, where nothing is left of that, whose name it took."""
        portions = (part.edge for part in edge.made_of if isinstance(part, Portion) and part.of != "other")
        return self.origins.get(next(portions, edge.name))

    def having(self, touched: Iterable[str] = (), **others: Any) -> Drawn:
        """The piece with other fields; edges that are `touched` are so besides those that were."""
        return replace(self, touched=self.touched | set(touched), **others)

    def emit(self, operation: str, kind: Kind, span: Span, *inputs: Value, **options: Any) -> Value:
        return self.lowering.emit(operation, kind, span, self.shape, *inputs, **options)

    # ------------------------------------------------------------ by name

    @property
    def edges(self) -> tuple[str, ...]:
        return self.ring.names

    @property
    def corners(self) -> dict[str, str]:
        return self.ring.corners

    @property
    def darts(self) -> dict[str, str]:
        return self.ring.darts

    def corner(self, edge: str) -> Value:
        if edge not in self._corners:
            self._corners[edge] = self.emit("shape_corner", POINT, self.span, name=edge)
        return self._corners[edge]

    def ends(self, edge: str) -> RawEdge:
        """An edge known by its corners, in the direction of the outline."""
        return RawEdge(self.corner(edge), self.corner(self.ring.after(edge)), POISON)

    def raw(self, edge: str) -> RawEdge:
        return self.ends(edge)._replace(guide=self.emit("shape_guide", PATH, self.span, name=edge))

    def depth(self, level: str) -> Value:
        """How deep a level that runs straight across lies on the piece."""
        depth = self.drawing.level_y(level)
        for at, amount, longer in self.parted_at:
            depth = self.lowering.emit("level_carried", LENGTH, self.span, depth, at, amount, longer=longer)
        return depth

    def edge(self, name: str) -> Value:
        return self.emit("shape_edge", EDGE, self.span, name=name)

    def dart_points(self) -> dict[str, tuple[str, str]]:
        return {f"{dart}_{which}": (dart, which) for dart in self.darts for which in ("point", "near", "far")}

    def point_names(self) -> list[str]:
        """The points that the piece has for every body; those of doubtful darts are there for whom asks."""
        return [*self.corners, *self.inner_points(), *(name for name in self.dart_points() if name not in self.doubtful_points())]

    def inner_points(self) -> list[str]:
        """The points that are no corners, without the places on marked lines."""
        return [name for name in self.points if PLACED not in name]

    def doubtful_points(self) -> list[str]:
        return [name for name, (dart, _) in self.dart_points().items() if dart in self.doubtful]

    def point(self, name: str, span: Span) -> Value | None:
        if name in self.corners:
            return self.corner(self.corners[name])
        if name in self.points:
            return self.emit("shape_point", POINT, span, name=name)
        if name in self.dart_points():
            dart, which = self.dart_points()[name]
            return self.emit("shape_dart", POINT, span, name=dart, which=which)
        return None

    # ------------------------------------------------------------ as a change names them

    def call(self, *names: tree.Called | tree.Word | None) -> None:
        """Note where a change gives names."""
        for name in names:
            word = name.name if isinstance(name, tree.Called) else name
            if word is not None:
                self.called[str(word)] = word

    def mention(self, word: tree.Word) -> None:
        """Note that a word names something of the piece as it now is."""
        if str(word) in self.called or not self.drawing.mention(word):
            self.unknown.append(word)

    def known_edge(self, name: tree.Word) -> bool:
        if str(name) in self.edges:
            self.mention(name)
            return True
        self.lowering.unknown_name("edge", name, name.span, self.edges)
        return False

    def known_dart(self, name: tree.Word) -> bool:
        if str(name) in self.darts:
            self.mention(name)
            return True
        self.lowering.unknown_name("dart", name, name.span, self.darts, "" if self.darts else "The piece has no dart as it now is.")
        return False

    def end(self, edge: str, ref: tree.Ref) -> str | None:
        """ "start" or "end" of an edge in the outline: named by the corner, or by the edge that it meets there."""
        name = str(ref)
        self.mention(ref.parts[-1])
        if name in self.corners and self.corners[name] in (edge, self.ring.after(edge)):
            return "start" if self.corners[name] == edge else "end"
        if name in (self.ring.before(edge), self.ring.after(edge)) and len(self.edges) > 2:
            return "start" if name == self.ring.before(edge) else "end"
        ends = self.ring.ends_at(edge)
        self.lowering.error(
            "N231",
            f'"{ref}" is not an end of "{edge}"',
            ref.span,
            " or ".join(ends) or f"an end of {edge}",
            f'"{ref}"',
            "Name one of the edge's two ends, or the edge that it meets there.",
        )
        return None

    def place(self, scope: ScopeContext, node: Any, edge: str) -> Value:
        """How far along an edge as sewn, in the direction of the outline, a stated place lies."""
        lowering = self.lowering
        if isinstance(node, tree.PlacePoint):
            point = self.own_point(scope, node.point)
            return self.emit("place_at_point", LENGTH, node.head, point, name=edge)
        if isinstance(node, tree.PlaceLegs):
            return lowering.error(
                "N241",
                "One place is wanted here",
                node.head,
                "at half, at 8 cm from P, or at point P",
                "two points",
                "Say at which place of the edge.",
            )
        if isinstance(node, tree.PlaceAt):
            amount, backward = lower_length_or_fraction(scope, node.at), self.ring.edge(edge).turned
        else:
            end = self.end(edge, node.end)
            if end is None:
                return POISON
            amount, backward = lower_length_or_fraction(scope, node.distance), end == "end"
        return self.emit("place_on_edge", LENGTH, node.head, amount, name=edge, backward=backward, part=amount.kind == NUMBER)

    def keeps(self, node: Any) -> bool:
        """Whether a mark or notch of the piece that this was made from can stand here as it was said."""
        if isinstance(node, tree.Bone):
            return bool(self.darts) and not self.parted
        if isinstance(
            node, (tree.MarkAt, tree.DrillAt, tree.ButtonAt, tree.HookAt, tree.LoopAt)
        ):  # on a part of a cut it stands if it lies there
            return str(node.place) in self.point_names()
        if isinstance(node, (tree.Mark, tree.Buttonhole, tree.JoinLine)):
            names = self.corners if self.parted else self.point_names()
            return all(str(ref) in names for ref in (node.start, node.end))
        if isinstance(node, (tree.LengthenOrShorten, tree.LengthenHalfway)):
            levels = [node.level] if isinstance(node, tree.LengthenOrShorten) else [node.one, node.other]
            if all(str(name) in self.levels for name in levels):
                return not self.reshaped
            return all(str(name) in self.point_names() for name in levels) and not self.parted  # it has gone with the cloth
        edge = str(node.edge)
        if isinstance(node, tree.MarkAlong):
            return edge in self.edges or f"{edge}{PLACED}0" in self.points
        if edge not in self.edges or edge in self.touched:
            return False
        return not isinstance(node, tree.Notch) or self.corners.get(str(node.end)) in (edge, self.ring.after(edge))

    def own_point(self, scope: ScopeContext, ref: tree.Ref) -> Value:
        if len(ref.parts) > 1:
            return scope.point(ref)
        point = self.point(str(ref), ref.span)
        self.mention(ref.parts[0])
        return self.lowering.unknown_name("point", ref.parts[0], ref.span, self.point_names()) if point is None else point


def drawn_of(drawing: Workpiece, span: Span, trued: bool = True) -> Drawn | None:
    """The structure of a piece as it is drawn, darts and all, or as it is before it is trued across seams; None where that
    could not be read (which has been said)."""
    lowering, chain = drawing.lowering, drawing.chain()
    if chain is None:
        return None
    if drawing.base is not None and not drawing.redrawn():
        drawn = replace(drawing.base, drawing=drawing, called={}, unknown=[], span=span, touched=frozenset(), parted_at=(), _corners={})
        drawn.inner, drawn.origins = dict(drawing.inner_darts), {name: (drawing.name, name) for name in drawn.edges}
        return _with_levels(_with_own_points(drawn, drawing), drawing.own_lines())
    names = tuple(str(name) for name, _, _ in chain)
    edges = [drawing.finished_edge(name, span) if trued else drawing.set_edge(name) for name in names]
    starts = {(raw.end if turned else raw.start).slot: str(name) for name, raw, turned in chain}
    darts = drawing.dart_names()
    skipped = {f"{dart}_{which}" for dart in darts for which in ("point", "near", "far")}
    values = [(name, lowering.demand(entity)) for name, entity in list(drawing.points.own.items())]
    corners, points = _corners_and_others([(name, value) for name, value in values if name not in skipped], starts)
    points.update(drawing.marked_places(True))
    lines = drawing.level_lines()
    shape = lowering.emit(
        "shape",
        SHAPE,
        span,
        *edges,
        *points.values(),
        by_name={"levels": list(lines.values())},
        edges=names,
        points=tuple(points),
        crossed_by=tuple(lines),
    )
    if shape.kind is UNKNOWN:
        return None
    ring = ring_of([(str(name), turned) for name, _, turned in chain], corners, {str(dart): str(edge) for dart, edge in darts.items()})
    origins = {name: (drawing.name, name) for name in ring.names}
    return Drawn(drawing, lowering, span, shape, ring, tuple(points), tuple(lines), origins=origins, inner=dict(drawing.inner_darts))


def _corners_and_others(values: Iterable[tuple[str, Value]], starts: dict[int, str]) -> tuple[dict[str, str], dict[str, Value]]:
    """Named points parted: corners with the edges that begin there, `starts` by their slots, and all others that are known."""
    corners: dict[str, str] = {}
    points: dict[str, Value] = {}
    for name, value in values:
        if value.kind is UNKNOWN:
            continue
        if value.slot in starts:
            corners[name] = starts[value.slot]
        else:
            points[name] = value
    return corners, points


def _with_own_points(drawn: Drawn, drawing: Workpiece) -> Drawn:
    """A piece that was made from another, with the points that it says itself besides."""
    taken_over = {*drawn.point_names(), *drawn.doubtful_points()}
    starts = {drawn.corner(edge).slot: edge for edge in drawn.edges}
    own = [(name, entity) for name, entity in list(drawing.points.own.items()) if name not in taken_over]
    corners, points = _corners_and_others([(name, drawn.lowering.demand(entity)) for name, entity in own], starts)
    points.update(drawing.marked_places(False))
    if corners:
        drawn = replace(drawn, ring=drawn.ring.with_corners({**drawn.corners, **corners}))
    if not points:
        return drawn
    shape = drawn.emit("with_points", SHAPE, drawn.span, *points.values(), names=tuple(points))
    return drawn.filled(shape, drawn.ring).having(points=tuple(dict.fromkeys([*drawn.points, *points])))


def _with_levels(drawn: Drawn, lines: dict[str, Value]) -> Drawn:
    """The piece with lines for levels that it says itself."""
    if not lines:
        return drawn
    shape = drawn.emit("with_levels", SHAPE, drawn.span, *lines.values(), names=tuple(lines))
    return drawn.filled(shape, drawn.ring).having(levels=tuple(dict.fromkeys([*drawn.levels, *lines])))
