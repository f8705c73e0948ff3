"""A piece drawn by level, the way a skirt is drafted: a table of widths from the centre line, then its edges.

The table becomes points `LEVEL_centre` and `LEVEL_side` and four edges: `centre`, `side`, and one named after the
first and one after the last level.  Widths are net.  "Before darts" adds, at every level that a dart crosses, the
whole intake that the dart's rule states, as a drafter does by hand; whether the dart still takes out as much there
is what the girth ledger tells.  Dips and raises move the ends of the first or last edge straight down or up.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from typing import TypeAlias

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, RawEdge, ScopeContext
from .expressions import lower_length
from .kinds import DIRECTION, LENGTH, NUMBER, PATH, POINT
from .lowering import POISON
from .made_names import stem
from .plan import Value
from .statement_keys import Substituted

WidthRow: TypeAlias = tree.Width | tree.WidthThan | tree.WidthAs


class ByLevel:
    def __init__(self, drawing: DrawingContext, node: tree.Widths, scope: ScopeContext) -> None:
        self.drawing, self.lowering = drawing, drawing.lowering
        self.node, self.scope = node, scope
        self.rows: dict[str, WidthRow] = {}
        self.scopes: dict[str, ScopeContext] = {}
        self.unsound = self.lowering.is_damaged(node.head)  # a row is missing, and that has been said
        written: tuple[tree.Node, ...] = node.rows
        for outer in written:
            row = outer.statement if isinstance(outer, Substituted) else outer
            assert isinstance(row, WidthRow)
            if row.level in self.rows:
                self.lowering.error(
                    "N228",
                    f'The level "{row.level}" stands twice',
                    row.span,
                    "each level once",
                    "a second width",
                    "Keep one of the two.",
                    ((self.rows[row.level].span, "first given here"),),
                )
            elif drawing.program.levels.find(row.level) is None:
                scope.level(row.level)
                drawing.damaged = self.unsound = True
            else:
                self.rows[str(row.level)] = row
                drawing.program.mention_level(row.level)
                self.scopes[str(row.level)] = drawing.scope() if isinstance(outer, Substituted) else scope
        self.names = list(self.rows)
        self.taken = self._taken()
        self._intended: dict[str, Value] = {}
        self._open: set[str] = set()
        if node.origin != "centre":
            self.lowering.error(
                "N236",
                "Widths are counted from the centre line",
                node.origin.span,
                "widths from centre",
                f'"{node.origin}"',
                'Write "widths from centre".',
            )
        if len(self.names) < 2:
            drawing.damaged = True
            if not self.unsound:
                self.lowering.error(
                    "N245",
                    "A piece by level needs at least two levels",
                    node.head,
                    "two rows of widths",
                    f"{len(self.names)}",
                    "Add a row for its lower edge.",
                )
            return
        self._define()

    def _define(self) -> None:
        drawing = self.drawing
        for name in self.names:
            row = self.rows[name]
            drawing.define_point(f"{name}_centre", row.span, partial(self._centre_point, name), stem(row.level))
            drawing.define_point(f"{name}_side", row.span, partial(self._side_point, name), stem(row.level))
        drawing.define_edge("centre", self.node.head, self._centre_edge)
        drawing.define_edge("side", self._span_of("side"), self._side_edge)
        for name in (self.names[0], self.names[-1]):
            row = self.rows[name]
            drawing.define_edge(row.level, row.span, partial(self._cross_edge, name))
        drawing.mention(self.node.origin, *(node.edge for node, _ in drawing.taken))
        for dip, _ in drawing.dips:
            drawing.mention(dip.edge, dip.end)
            if dip.edge not in (self.names[0], self.names[-1]):
                self.lowering.error(
                    "N236",
                    f'"{dip.edge}" is not an upper or lower edge',
                    dip.edge.span,
                    f"{self.names[0]} or {self.names[-1]}",
                    f'"{dip.edge}"',
                    "Only the first and the last edge of the table can be dipped.",
                )
            elif dip.end not in ("centre", "side"):
                self.lowering.error(
                    "N236", "An edge is dipped at the centre or at the side", dip.end.span, "centre or side", f'"{dip.end}"', ""
                )

    def _unknown(self, level: tree.Word) -> Value:
        return POISON if self.unsound else self.lowering.unknown_name("width", level, level.span, self.names)

    def outline(self) -> list[str]:
        return ["centre", self.names[0], "side", self.names[-1]] if len(self.names) > 1 else []

    def level_names(self) -> list[str]:
        return self.names if len(self.names) > 1 else []

    def _span_of(self, edge: str) -> Span:
        return self.drawing.runs[edge][0].span if edge in self.drawing.runs else self.node.head

    # ------------------------------------------------------------ the table

    def y(self, name: str) -> Value:
        return self.scope.level(name, self.rows[name].span)

    def intended(self, name: str) -> Value | None:
        """The net width that the rule states at a level; None where the table has no such row."""
        return self.stated_width(name) if name in self.rows else None

    def stated_width(self, name: str) -> Value:
        """The width that the rule states at a level of the table."""
        if name not in self._intended:
            if name in self._open:
                row = self.rows[name]
                return self.lowering.error(
                    "N203",
                    f'The width at "{name}" depends on itself',
                    row.span,
                    "a width from another level",
                    f"{name}",
                    "Give one of the levels outright.",
                )
            self._open.add(name)
            self._intended[name] = self._row_width(self.rows[name])
            self._open.discard(name)
        return self._intended[name]

    def _row_width(self, row: WidthRow) -> Value:
        scope = self.scopes[str(row.level)]
        if isinstance(row, tree.Width):
            return lower_length(scope, row.value)
        self.drawing.program.mention_level(row.base)
        base = self.stated_width(row.base) if row.base in self.rows else self._unknown(row.base)
        if isinstance(row, tree.WidthAs):
            return base
        step = lower_length(scope, row.value)
        return self.lowering.emit("subtract" if row.relation == "less than" else "add", LENGTH, row.span, base, step)

    def _taken(self) -> dict[str, tuple[tree.Taken, ScopeContext]]:
        taken: dict[str, tuple[tree.Taken, ScopeContext]] = {}
        for node, scope in self.drawing.taken:
            self.drawing.program.mention_level(*(row.level for row in node.rows))
            if node.edge != "centre":
                self.lowering.error(
                    "N236",
                    "Only the centre is taken in by a table",
                    node.edge.span,
                    "taken in at centre",
                    f'"{node.edge}"',
                    "Give the side by its widths.",
                )
                continue
            for row in node.rows:
                if row.level not in self.rows:
                    self._unknown(row.level)
                elif row.level in taken:
                    self.lowering.error(
                        "N228",
                        f'The centre is taken in twice at "{row.level}"',
                        row.span,
                        "each level once",
                        "a second amount",
                        "Keep one of the two.",
                        ((taken[row.level][0].span, "first given here"),),
                    )
                else:
                    taken[str(row.level)] = (row, scope)
        return taken

    def _centre_x(self, name: str) -> Value:
        """How far the centre seam is taken in at a level; between two rows of the table along a straight line."""
        if not self.taken:
            return self.lowering.constant(0.0, LENGTH, self.node.head)
        if name in self.taken:
            row, scope = self.taken[name]
            return lower_length(scope, row.value)
        index = self.names.index(name)
        above = next((level for level in reversed(self.names[:index]) if level in self.taken), None)
        below = next((level for level in self.names[index:] if level in self.taken), None)
        if above is None or below is None:
            return self._centre_x(above or below or next(iter(self.taken)))
        values = [self._centre_x(above), self._centre_x(below), self.y(above), self.y(below), self.y(name)]
        return self.lowering.emit("between_levels", LENGTH, self.node.head, *values)

    def side_x(self, name: str) -> Value:
        """The drawn width at a level, from the centre line."""
        width, span = self.stated_width(name), self.rows[name].span
        if self.node.counted == "with darts":
            return width
        inputs = [width, self._centre_x(name), self.y(name)]
        for rule in self.drawing.dart_rules:
            if rule.edge in (self.names[0], self.names[-1]):
                for dart in rule.plans():
                    inputs += [dart.intake, self.y(rule.edge), rule.point_y(dart)]
        return self.lowering.emit("width_before_darts", LENGTH, span, *inputs)

    # ------------------------------------------------------------ points and edges

    def _dip(self, name: str, end: str) -> list[Value]:
        moves = []
        for dip, scope in self.drawing.dips:
            if dip.edge == name and dip.end == end:
                amount = lower_length(scope, dip.amount)
                moves.append(amount if dip.direction == "dip" else self.lowering.emit("negative", LENGTH, dip.head, amount))
        return moves

    def _at(self, span: Span, x: Value, y: Value, moves: Sequence[Value]) -> Value:
        for move in moves:
            y = self.lowering.emit("add", LENGTH, span, y, move)
        return self.lowering.emit("place", POINT, span, x, y, apart=self.drawing.name)

    def _centre_point(self, name: str) -> Value:
        return self._at(self.rows[name].span, self._centre_x(name), self.y(name), self._dip(name, "centre"))

    def _side_point(self, name: str) -> Value:
        return self._at(self.rows[name].span, self.side_x(name), self.y(name), self._dip(name, "side"))

    def _points(self, end: str) -> list[Value]:
        entity = self.drawing.points.entity
        return [self.lowering.demand(entity(f"{name}_{end}")) for name in self.names]

    def _centre_edge(self) -> RawEdge:
        points = self._points("centre")
        if not self.taken and "centre" not in self.drawing.runs:
            return RawEdge(points[0], points[-1], self.lowering.emit("draw_line", PATH, self.node.head, points[0], points[-1]))
        return self._run("centre", points)

    def _side_edge(self) -> RawEdge:
        return self._run("side", self._points("side"))

    def _run(self, edge: str, points: Sequence[Value]) -> RawEdge:
        """An edge run through its points as told; intervals not named run straight."""
        node, scope = self.drawing.runs.get(edge, (None, self.scope))
        span = node.head if node is not None else self.node.head
        runs: list[tuple[str, int, int, int, float]] = []
        plumb: list[int] = []
        amounts: list[Value] = []
        covered: set[int] = set()
        for run in node.runs if node is not None else ():
            if isinstance(run, tree.RunPlumb):
                index = self._index(run.level)
                if index is not None:
                    plumb.append(index)
                continue
            assert isinstance(run, tree.RunStraight | tree.RunSmooth | tree.RunBowed)
            start, end = self._index(run.start), self._index(run.end)
            if start is None or end is None:
                return RawEdge(points[0], points[-1], POISON)
            if start >= end:
                self.lowering.error(
                    "N207",
                    "A run goes downward",
                    run.span,
                    "an upper level to a lower one",
                    f"{run.start} to {run.end}",
                    f"Say {run.end} to {run.start}.",
                )
                return RawEdge(points[0], points[-1], POISON)
            if any(index in covered for index in range(start, end)):
                self.lowering.error(
                    "N230",
                    "Two runs cover the same stretch",
                    run.span,
                    "each stretch once",
                    f"{run.start} to {run.end}",
                    "Let one end where the next begins.",
                )
                return RawEdge(points[0], points[-1], POISON)
            covered.update(range(start, end))
            if isinstance(run, tree.RunBowed):
                sign = -1.0 if run.bow == "hollow" else 1.0
                if edge == "centre":
                    sign = -sign
                runs.append(("bowed", start, end, len(amounts), sign))
                amounts.append(lower_length(scope, run.amount))
            else:
                runs.append(("smooth" if isinstance(run, tree.RunSmooth) else "straight", start, end, -1, 1.0))
        runs += [("straight", index, index + 1, -1, 1.0) for index in range(len(points) - 1) if index not in covered]
        runs.sort(key=lambda run: run[1])
        guide = self.lowering.emit(
            "run_edge",
            PATH,
            span,
            *points,
            by_name={"amounts": amounts},
            runs=tuple(runs),
            plumb=tuple(plumb),
            levels=tuple(self.names),
            edge=edge,
        )
        return RawEdge(points[0], points[-1], guide)

    def _index(self, level: tree.Word) -> int | None:
        self.drawing.program.mention_level(level)
        if level in self.names:
            return self.names.index(level)
        self._unknown(level)
        return None

    def _cross_edge(self, name: str) -> RawEdge:
        """The upper or lower edge: straight, or where it is dipped a curve that leaves the centre level."""
        entity = self.drawing.points.entity
        start, end = (self.lowering.demand(entity(f"{name}_{place}")) for place in ("centre", "side"))
        dips = [(dip, scope) for dip, scope in self.drawing.dips if dip.edge == name]
        span = dips[-1][0].span if dips else self.rows[name].span
        shapes = [(dip.shape, scope) for dip, scope in dips if dip.shape is not None]
        if not dips or (shapes and isinstance(shapes[-1][0], tree.DipStraight)):
            return RawEdge(start, end, self.lowering.emit("draw_line", PATH, span, start, end))
        level = self.lowering.emit("fixed_direction", DIRECTION, span, dx=1.0, dy=0.0)
        shape, scope = shapes[-1] if shapes else (None, self.scope)
        if isinstance(shape, tree.DipSquare):
            side = self.drawing.raw_edge("side", span)
            if side is None:
                return RawEdge(start, end, POISON)
            at = "start" if end.slot == side.start.slot else "end"
            seam = self.lowering.emit("end_direction", DIRECTION, span, side.guide, at=at)
            return RawEdge(start, end, self.lowering.emit("draw_squared", PATH, span, start, end, level, seam))
        inputs = {"leaving": level}
        if shape is not None:
            assert isinstance(shape, tree.DipBow)
            hollow = shape.bow == "hollow"
            below = (name == self.names[0]) == hollow  # a hollow upper edge lies below its chord
            inputs["bow"] = lower_length(scope, shape.amount)
            inputs["side"] = self.lowering.constant(1.0 if below else -1.0, NUMBER, span)
        return RawEdge(start, end, self.lowering.emit("draw_curve", PATH, span, start, end, by_name=inputs, leaving_given=True))

    def level_line(self, name: str) -> tuple[Value, Value]:
        """The upper or lower level line before dips: where darts are laid out."""
        span, y = self.rows[name].span, self.y(name)
        return (
            self.lowering.emit("place", POINT, span, self._centre_x(name), y, apart=self.drawing.name),
            self.lowering.emit("place", POINT, span, self.side_x(name), y, apart=self.drawing.name),
        )

    # ------------------------------------------------------------ the lines of the levels, and widths as sewn

    def ends(self) -> tuple[str, str]:
        """The first and the last level, which are edges."""
        return self.names[0], self.names[-1]

    def is_framed(self, name: str) -> bool:
        """Whether both edges pass through the ends of a row: the outline is the table's own, and no curve leaves it out."""
        if list(self.drawing.edge_names()) != self.outline():
            return False
        place = self.names.index(name)
        bowed = [run for node, _ in self.drawing.runs.values() for run in node.runs if isinstance(run, tree.RunBowed)]
        ends = [(run.start, run.end) for run in bowed if run.start in self.names and run.end in self.names]
        return not any(self.names.index(start) < place < self.names.index(end) for start, end in ends)

    def frame(self, name: str) -> list[Value]:
        return [self.side_x(name), self._centre_x(name), self.y(name)]

    def width(self, name: str) -> Value:
        """The sewn width at a level between the first and the last, of which none may leave through a dipped edge."""
        drawing = self.drawing
        edges = [drawing.finished_edge(edge, self.node.head) for edge in self.ends()]
        inner = drawing.inner_points()
        dipped = tuple(any(dip.edge == edge for dip, _ in drawing.dips) for edge in self.ends())
        return self.lowering.emit(
            "level_width",
            LENGTH,
            self.rows[name].span,
            *self.frame(name),
            *edges,
            by_name={"inner": inner},
            dipped=dipped,
            level=name,
            piece=drawing.name,
        )
