"""A piece or a sheet while it is lowered: its statements gathered, its points and edges found by name.

Gathering enters every point and edge under its name, to be lowered when first wanted; so the order of the statements
does not matter.  An edge has two faces: as drawn (`raw_edge`), which construction sees, and finished
(`finished_edge`), turned the way of the outline and with its darts set, which seams, allowances and measures see.
The outline is chained by the names of the edges' ends, never by nearness.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import Any, TypeVar

from ..source.text import Span
from ..syntax import tree
from . import across, darts, gathering, inner_darts, level_lines, levels, marked_lines, points
from .contexts import DrawingContext, Link, ProgramContext, RawEdge, ScopeContext
from .drawn import Drawn
from .kinds import DIRECTION, EDGE, LENGTH, NUMBER, PATH, UNKNOWN
from .lowering import POISON
from .made_names import stem, stems_of, stems_of_edge
from .names import Entity, Names, Stems
from .outlines import NO_EDGE, chained
from .plan import Value
from .scopes import Scope

N = TypeVar("N", bound=tree.Node)


class Construction:
    def __init__(self, program: ProgramContext, name: str, title: str, span: Span, is_sheet: bool) -> None:
        self.program = program
        program.drawn.append(self)
        self.lowering = program.lowering
        self.name, self.title, self.span = name, title, span
        self.is_sheet = is_sheet
        self.damaged = self.lowering.is_damaged(span)  # something of it is missing, and that has been said
        self.quantities = Names(program.quantities, name)
        self.points: Names[Value] = Names(owner=name)
        self.edges: Names[RawEdge] = Names(owner=name)
        self.darts: dict[str, Entity[None]] = {}
        self.singles: dict[str, tuple[Any, ScopeContext]] = {}  # statements said at most once, by their form
        self.dips: list[tuple[tree.Dip, ScopeContext]] = []
        self.taken: list[tuple[tree.TakenIn, ScopeContext]] = []
        self.runs: dict[str, tuple[tree.RunEdge, ScopeContext]] = {}
        self.dart_rules: list[darts.DartRule] = []
        self.series: list[tuple[tree.Darts, ScopeContext]] = []  # until all is known that the number of darts may rest on
        self.inner_darts: dict[str, inner_darts.InnerDartRule] = {}
        self.level_points: dict[str, tuple[tree.LevelAt, ScopeContext]] = {}
        self.level_edges: dict[str, tuple[tree.LevelAlong, ScopeContext]] = {}
        self.marks: list[tuple[tree.Statement, ScopeContext]] = []
        self.notches: list[tuple[tree.Notch, ScopeContext]] = []
        self.by_level: levels.ByLevel | None = None
        self.changes: list[tuple[tree.Node, ScopeContext]] = []
        self.base: Drawn | None = None  # the structure of the drawn piece that this one is made from, after its changes
        self.source: Construction | None = None  # that piece
        self.drafted: Construction | None = None  # of a piece that was fitted: as it was before
        self._finished: dict[str, Entity[Value]] = {}  # edges of the outline, by name
        self._set: dict[str, Entity[Value]] = {}  # the same before they are trued across seams
        self.whole = True  # not to be changed any further under its own name
        self._plain: dict[str, Value] = {}  # edges as they are drawn, which the outline does not name
        self.ends: dict[str, Entity[RawEdge]] = {}
        self.joins: dict[str, tree.Edge] = {}
        self._chain: list[Link] | None = None
        self._chain_is_known = False
        self._turn: Value | None = None

    # ------------------------------------------------------------ gathering

    def scope(self) -> Scope:
        return Scope(self.program, self.quantities, self.program.rules, self)

    def gather(self, statements: Iterable[tree.Statement] | None, scope: ScopeContext) -> None:
        """Enter every statement, the `when` rules last, when the quantities of their conditions can be found."""
        gathering.gather(self, statements, scope)

    def settle(self) -> None:
        """After all statements: count the series of darts, and draw by level, if widths are given."""
        for series, scope in self.series:
            self.dart_rules.append(darts.DartRule(self, series, scope))
        if "widths" in self.singles:
            self.by_level = levels.ByLevel(self, *self.singles["widths"])
        elif not self.damaged:
            for node, _ in [*self.dips, *self.taken, *self.runs.values()]:
                self.lowering.error(
                    "N208",
                    "This belongs to a piece drawn by level",
                    node.head,
                    "a table of widths",
                    "no widths in this piece",
                    "Add: widths from centre, before darts",
                )

    def adopt(self, base: Drawn, source: Construction, lines: bool) -> None:
        """Take over a drawn piece: its edges, corners, points and darts by name, and with `lines` what else it drew."""
        self.base, self.source = base, source

        def point(name: str) -> Value:
            return base.point(name, self.span) or POISON

        for name in base.edges:
            self.ends[name] = Entity(name, "edge", self.span, partial(base.ends, name))
            stems = stems_of_edge(name, base.origins.get(name), source.name, source.edges.own, base.called, self._names_of)
            self.define_edge(base.called.get(name, name), self.span, partial(base.raw, name), stems)
        for name in base.darts:
            if name in source.darts:
                self.darts.setdefault(name, source.darts[name])
            else:
                self.note_dart(base.called.get(name, name), self.span, self._stems_of_dart(name, base))
        known = (source.points.own, self.edges.own, self.darts, source.edges.own)
        for name in base.point_names():
            self.define_point(str(name), self.span, partial(point, name), stems_of(name, *known))
        self.points.parent = Names(self.points.parent)
        for name in base.doubtful_points():
            self.points.parent.own[name] = Entity(name, "point", self.span, partial(point, name), stems_of(name, *known))
        for word in base.unknown:
            self.mention(word)
        for name, dart in base.inner.items():
            if all(corner in base.points for corner in dart.point_names()):
                self.inner_darts.setdefault(name, dart)
                if name in source.darts:
                    self.darts.setdefault(name, source.darts[name])
        for name, entity in source.edges.own.items() if lines else ():
            if name not in self.edges.own:
                self.edges.own[name] = entity
        self.marks += self._inherited(self.marks, source.marks, base)
        self.notches += self._inherited(self.notches, source.notches, base)

    def _names_of(self, piece: str) -> tuple[Entity[Any], dict[str, Entity[RawEdge]]] | None:
        """Of another piece its own name, and those of its edges."""
        entity, drawing = self.program.pieces.find(piece), self.program.construction_named(piece, fitted=False)
        return None if entity is None or drawing is None else (entity, drawing.edges.own)

    def _stems_of_dart(self, name: str, base: Drawn) -> Stems:
        """What the name of a dart is made of that is one of several, or that came with a piece which was joined on."""
        several = base.called.get(name.rstrip("0123456789"))
        if several is not None:
            return stem(several)
        for piece in {piece: None for piece, _ in base.origins.values() if piece != self.name}:
            entity, drawing = self.program.pieces.find(piece), self.program.construction_named(piece, fitted=False)
            if entity is not None and drawing is not None and (stems := stems_of(name, drawing.darts, {piece: entity})):
                return stems
        return ()

    def _inherited(
        self, own: Sequence[tuple[N, ScopeContext]], given: Sequence[tuple[N, ScopeContext]], base: Drawn
    ) -> list[tuple[N, ScopeContext]]:
        """Marks or notches of the piece that this one is made from, which can stand here and are not said anew."""
        placed = {_placed(node) for node, _ in own}
        wanted = [(node, scope) for node, scope in given if _placed(node) not in placed]
        for node, _ in wanted:
            if not base.keeps(node) and self._is_missed(node, base):
                self._left_behind(node)
        return within([(node, scope) for node, scope in wanted if base.keeps(node)], self)

    def _is_missed(self, node: tree.Node, base: Drawn) -> bool:
        """Whether what cannot follow was of an edge, or of darts, that the piece still has; other layers are marked by themselves."""
        cut = self.singles["cut"][0] if "cut" in self.singles else None
        if isinstance(cut, tree.CutFor) or (cut is not None and cut.purpose is not None):
            return False
        if isinstance(node, tree.Bone):
            return bool(base.darts)
        return str(getattr(node, "edge", "")) in base.edges

    def _left_behind(self, node: tree.Node) -> None:
        said = " ".join(node.head.text.split())
        self.lowering.caution(
            "N296",
            f'What {self.source.name if self.source else "its source"} says does not follow to {self.name}: "{said}"',
            self.span,
            "darts and edges as long as they were" if isinstance(node, tree.Bone) else "an edge as long as it was",
            "the bones of a piece that was cut in two" if isinstance(node, tree.Bone) else f"another {getattr(node, 'edge', 'edge')}",
            f"Say it anew in {self.name}, for its own edges.",
            ((node.head, "said here"),),
        )

    def origin(self, edge: str) -> tuple[str, str] | None:
        """The piece and edge that an edge was, in what this piece is made from."""
        return None if self.base is None else self.base.origins.get(edge)

    def redrawn(self) -> bool:
        """Whether the piece says more of its outline than the one it is made from."""
        return "outline" in self.singles or bool(self.dart_rules)

    def marked_places(self, drawn_anew: bool) -> dict[str, Value]:
        """The places on marked lines that are points of the drawn piece, so that changes carry them."""
        return marked_lines.places_on_lines(self, drawn_anew)

    def dart_names(self) -> dict[str, str]:
        """Every dart of the piece, and its edge."""
        own = {name: rule.edge for rule in self.dart_rules for name in rule.names()}
        return own if self.base is None else {**self.base.darts, **own}

    def define_point(self, name: str, span: Span, build: Callable[[], Value], stems: Stems = ()) -> None:
        self.lowering.define(self.points, Entity(name, "point", span, build, stems))

    def define_edge(self, name: str, span: Span, build: Callable[[], RawEdge], stems: Stems = ()) -> None:
        self.lowering.define(self.edges, Entity(name, "edge", span, build, stems))

    def note_dart(self, name: str, span: Span, stems: Stems = ()) -> None:
        """Note a dart that the piece says: a name for itself, told by its rule."""
        entity: Entity[None] = Entity(name, "dart", span, None, stems)
        self.darts.setdefault(entity.name, entity)
        self.lowering.note(entity, self.name)

    def mention(self, *words: tree.Word) -> bool:
        """Note that words name edges, points or darts of the piece; False where one does not."""
        known = True
        for word in words:
            entity: Entity[Any] | None = self.edges.find(word) or self.points.find(word) or self.darts.get(word)
            known = known and entity is not None
            if entity is not None:
                self.lowering.use(entity, word.span)
        return known

    # ------------------------------------------------------------ edges as drawn

    def unknown_name(self, sort: str, name: str, span: Span, known: Sequence[str]) -> Value:
        """Said, unless what should define it is missing."""
        if self.edge_names() or not self.damaged:
            return self.lowering.unknown_name(sort, name, span, known)
        return POISON

    @property
    def opened(self) -> frozenset[str]:
        return self.base.opened if self.base is not None else frozenset()

    def edge_names(self) -> list[str]:
        """The edges of the outline as told, whether they can be drawn or not."""
        if "outline" in self.singles:
            return list(self.singles["outline"][0].edges)
        if self.by_level is not None:
            return self.by_level.outline()
        return list(self.base.edges) if self.base is not None else []

    def raw_edge(self, name: str, span: Span) -> RawEdge | None:
        entity = self.edges.find(name)
        if entity is None:
            sort = "point" if self.points.find(name) else ""
            if sort:
                self.lowering.error(
                    "N205",
                    f'"{name}" is a point, not an edge',
                    span,
                    "an edge",
                    "a point",
                    "Name a line, curve or arc, or say A to B for the line between two points.",
                )
            else:
                self.unknown_name("edge", name, span, self.edges.known())
            return None
        self.lowering.use(entity, span)
        edge = self.lowering.demand(entity, NO_EDGE)
        return None if edge.guide.kind is UNKNOWN else edge

    def edge_ends(self, name: str, span: Span) -> RawEdge | None:
        """An edge known by its two ends: these do not wait for its bend, which may itself ask for the outline."""
        ends = self.ends.get(str(name))
        if ends is None or self.edges.find(name) is None:
            return self.raw_edge(name, span)
        self.lowering.use(self.edges.own.get(str(name), ends), span)
        edge = self.lowering.demand(ends, NO_EDGE)
        return None if UNKNOWN in (edge.start.kind, edge.end.kind) else edge

    def _joined_chain(self, node: tree.Edge) -> list[Link] | None:
        parts = [self.edge_ends(name, name.span) for name in node.parts]
        edges = [(name, part) for name, part in zip(node.parts, parts, strict=True) if part is not None]
        return chained(self, edges, ring=False) if len(edges) == len(parts) else None

    def joined_ends(self, node: tree.Edge) -> RawEdge | None:
        chain = self._joined_chain(node)
        if chain is None:
            return None
        (_, first, first_turned), (_, last, last_turned) = chain[0], chain[-1]
        return RawEdge(first.end if first_turned else first.start, last.start if last_turned else last.end, POISON)

    def joined(self, node: tree.Edge) -> RawEdge:
        parts = [self.raw_edge(name, name.span) for name in node.parts]
        guides = [part.guide for part in parts if part is not None]
        if len(guides) < len(parts):
            return NO_EDGE
        chain = self._joined_chain(node)
        if chain is None:
            return NO_EDGE
        turned = tuple(backward for _, _, backward in chain)
        first, last = chain[0], chain[-1]
        return RawEdge(
            first[1].end if first[2] else first[1].start,
            last[1].start if last[2] else last[1].end,
            self.lowering.emit("join_paths", PATH, node.head, *guides, turned=turned),
        )

    # ------------------------------------------------------------ the outline

    def chain(self) -> list[Link] | None:
        """The outline as (name, edge by its ends, turned round?) in order, or None (said once)."""
        if not self._chain_is_known:
            self._chain = self._find_chain()
            self._chain_is_known = True
        return self._chain

    def _find_chain(self) -> list[Link] | None:
        names: list[tuple[str, Span]]
        if "outline" in self.singles:
            node = self.singles["outline"][0]
            names = [(name, name.span) for name in node.edges]
        elif self.by_level is not None:
            names = [(name, self.span) for name in self.by_level.outline()]
            if not names:
                return None
        elif self.base is not None:
            base = self.base
            return [(name, base.ends(name), False) for name in base.edges]
        else:
            if self.is_sheet or self.damaged:
                return None
            self.lowering.error(
                "N244",
                f"The piece {self.name} has no outline",
                self.span,
                "outline edge, edge, edge",
                "no outline and no widths",
                "List its edges in order: outline centre, waist, side, hem",
            )
            return None
        seen: dict[str, Span] = {}
        for name, span in names:
            if name in seen:
                self.lowering.error(
                    "N228",
                    f'The edge "{name}" stands twice in the outline',
                    span,
                    "each edge once",
                    f'a second "{name}"',
                    "Take one of the two out.",
                )
                return None
            seen[name] = span
        ends = [(name, self.edge_ends(name, span)) for name, span in names]
        edges = [(name, edge) for name, edge in ends if edge is not None]
        return chained(self, edges, ring=True) if len(edges) == len(ends) else None

    def turn(self) -> Value:
        """+1 where the outline runs clockwise on paper, from the ends of its edges alone."""
        if self._turn is None:
            chain = self.chain()
            if chain is None:
                self._turn = POISON
            else:
                starts = [edge.end if turned else edge.start for _, edge, turned in chain]
                self._turn = self.lowering.emit("ring_turn", NUMBER, self.span, *starts)
        return self._turn

    def bow_side(self, name: str, row: points.Bent) -> Value:
        """On which side of its chord an edge of the outline is bowed out, or hollowed in."""
        if self.is_sheet:
            return self.lowering.error(
                "N234",
                "Say which way it bends",
                row.span,
                "up, down, left, right, in or out",
                "no direction",
                "On a sheet there is no inside yet: add a direction, e.g. left.",
            )
        chain = self.chain()
        if chain is None:
            return POISON
        turned = self._sense(chain, name)
        if turned is None:
            return self.lowering.error(
                "N234",
                "Say which way it bends",
                row.span,
                "up, down, left or right",
                f"{name} is not part of the outline",
                "Add a direction, e.g. right.",
            )
        inward = not isinstance(row, tree.CurveLong) and row.bow == "hollow"
        sign = (1.0 if inward else -1.0) * (-1.0 if turned else 1.0)
        return self.lowering.emit("scaled", NUMBER, row.span, self.turn(), factor=sign)

    def _sense(self, links: Iterable[Link], name: str) -> bool | None:
        """Whether an edge, alone or within a joined one, is turned round in the outline; None if it is not in it."""
        for edge, _, turned in links:
            if edge == name:
                return turned
            if str(edge) in self.joins:
                inside = self._sense(self._joined_chain(self.joins[str(edge)]) or (), name)
                if inside is not None:
                    return inside != turned
        return None

    # ------------------------------------------------------------ finished edges

    def finished_outline(self) -> list[tuple[str, Value]]:
        return [(name, self.finished_edge(name, self.span)) for name, _, _ in self.chain() or ()]

    def _in_outline(self, name: str) -> bool:
        """Whether the outline names this edge; asked before the ends of all its edges are known."""
        return any(edge == name for edge in self.edge_names())

    def finished_edge(self, name: str, span: Span) -> Value:
        chain = self.chain() if self._in_outline(name) else None
        turned = next((turned for edge, _, turned in chain or () if edge == name), None)
        if turned is None:
            return self._plain_edge(name, span)
        drawn = self.edges.entity(name)
        self.lowering.use(drawn, span)
        if name not in self._finished:
            trued = self._trued if self.whole else self.set_edge
            self._finished[name] = Entity(f"{self.name}.{name}", "edge", drawn.span, lambda: trued(name))
        return self.lowering.demand(self._finished[name])

    def _trued(self, name: str) -> Value:
        return across.trued(self.program, self, name, lambda drawing, edge: drawing.set_edge(edge))

    def set_edge(self, name: str) -> Value:
        """An edge of the outline with its darts, before it is trued across a seam."""
        if name not in self._set:
            drawn, turned = self.edges.entity(name), next(turned for edge, _, turned in self.chain() or () if edge == name)
            self._set[name] = Entity(f"{self.name}.{name}", "edge", drawn.span, lambda: self._turned_edge(name, turned, drawn.span))
        return self.lowering.demand(self._set[name])

    def _plain_edge(self, name: str, span: Span) -> Value:
        raw = self.raw_edge(name, span)
        if raw is None:
            return POISON
        if name not in self._plain:
            self._plain[name] = self.lowering.emit("plain_edge", EDGE, span, raw.guide, name=str(name), turned=False)
        return self._plain[name]

    def _turned_edge(self, name: str, turned: bool, span: Span) -> Value:
        """An edge of the outline, turned its way and with its darts."""
        rules = [rule for rule in self.dart_rules if rule.edge == name]
        if self.base is not None and str(name) in self.base.edges:
            if not rules:
                return self.lowering.emit("turned_edge", EDGE, span, self.base.edge(str(name)), turned=turned)
            existing = [dart for dart, at in self.base.darts.items() if at == name]
            if existing:
                return self.lowering.error(
                    "N215",
                    f'"{name}" has darts already',
                    rules[0].node.head,
                    "an edge without darts",
                    f"{', '.join(existing)} on {name}",
                    "Move a part of one of them here with pivot, or set all darts where the edge is drawn first.",
                )
        raw = self.raw_edge(name, span)
        return POISON if raw is None else darts.finished(self, name, raw, turned, rules, span)

    def dart_intake(self, name: str, span: Span, asked: bool) -> Value:
        """What a dart takes out of its edge as finished, or what its rule `asked`."""
        for rule in self.dart_rules:
            if name in rule.names():
                self._use_dart(name, span)
                if asked:
                    return rule.intake()
                return self.lowering.emit("dart_taken", LENGTH, span, self.finished_edge(rule.edge, span), name=str(name))
        if str(name) in self.inner_darts:
            self._use_dart(name, span)
            return self.lowering.demand(self.inner_darts[str(name)].intake)
        if self.base is not None and str(name) in self.base.darts:
            self._use_dart(name, span)
            return self.base.emit("shape_dart", LENGTH, span, name=str(name), which="asked" if asked else "intake")
        return self.lowering.unknown_name("dart", name, span, [*self.dart_names(), *self.inner_darts])

    def _use_dart(self, name: str, span: Span) -> None:
        if str(name) in self.darts:
            self.lowering.use(self.darts[str(name)], span)

    # ------------------------------------------------------------ levels

    def level_names(self) -> list[str]:
        return level_lines.level_names(self)

    def runs_straight(self, name: str) -> bool:
        """Whether a level lies straight across the paper, at one depth: on the piece, or on that from which it is carried."""
        if name in self.level_edges:
            return False
        if level_lines.height(self, name) is not None:
            return True
        return self.source is not None and name in self.source.level_names() and self.source.runs_straight(name)

    def level_y(self, name: str) -> Value:
        """Where a level crosses this piece, in the piece's own y."""
        own = level_lines.height(self, name)
        if own is not None:
            return own
        if self.base is not None and self.base.parted_at:
            return self.base.depth(name)
        return self.source.level_y(name) if self.source is not None else POISON

    def own_lines(self) -> dict[str, Value]:
        """The lines of the levels that the piece says itself."""
        return level_lines.known_lines(self, level_lines.own_levels(self))

    def level_lines(self) -> dict[str, Value]:
        """The lines of all levels of the piece."""
        return level_lines.known_lines(self, self.level_names())

    def hold_levels_apart(self) -> None:
        level_lines.held_apart(self)

    def level_told(self, name: str) -> str:
        """How the line of a level on the piece is got."""
        return level_lines.told(self, name)

    def edges_followed(self, name: str) -> tuple[str, ...]:
        """The edges of the outline along which the piece says that a level runs."""
        return level_lines.edges_followed(self, name)

    def width_at(self, name: str) -> Value | None:
        """The sewn width at a level; None where the piece has no such level."""
        return level_lines.width(self, name)

    def inner_points(self) -> list[Value]:
        """The four points of each dart within the piece, in turn."""
        return [self.lowering.demand(self.points.entity(name)) for dart in self.inner_darts.values() for name in dart.point_names()]

    def intended(self, name: str) -> Value | None:
        return self.by_level.intended(name) if self.by_level is not None else None

    # ------------------------------------------------------------ grain

    def grain(self) -> Value:
        if "grain" in self.singles:
            node, scope = self.singles["grain"]
            if isinstance(node.direction, tree.DirToward):
                self.lowering.error(
                    "N300",
                    "A grain line has no place from which it could go toward a point",
                    node.direction.span,
                    "level, plumb, square to or along a line, or at an angle",
                    "toward a point",
                    "Name the line that it runs along: grain along A to B.",
                )
                return POISON
            chain = self.chain()
            anchor = POISON if chain is None else chain[0][1].start
            return points.heading(scope, node.direction, anchor)[0]
        if self.source is not None:
            return self.source.grain()
        return self.lowering.emit("fixed_direction", DIRECTION, self.span, dx=0.0, dy=1.0)


def within(statements: Iterable[tuple[N, ScopeContext]], drawing: DrawingContext) -> list[tuple[N, ScopeContext]]:
    """Statements of one piece, to be read in another."""
    return [(node, scope.inner(scope.quantities, drawing)) for node, scope in statements]


def _placed(node: tree.Node) -> tuple[str, str, str]:
    """What tells one mark or notch from another: said anew, it stands for the one taken over."""
    label = getattr(node, "title", None) or getattr(node, "edge", None) or getattr(node, "place", None)
    if isinstance(node, (tree.Buttonhole, tree.JoinLine)):
        label = f"{node.start} to {node.end}"
    if isinstance(node, tree.LengthenHalfway):
        label = f"{node.one} to {node.other}"
    sort = tree.Mark if isinstance(node, (tree.MarkAlong, tree.MarkAt)) else type(node)
    return sort.__name__, str(label), str(node.end) + node.distance.span.text if isinstance(node, tree.Notch) else ""
