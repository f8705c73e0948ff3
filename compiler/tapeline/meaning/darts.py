"""Dart rules, single and in series, to steps.

A dart is laid out on a reference line: the level line of a piece drawn by level, or the edge as drawn by point.
Its centre is placed there, its feet lie half the intake to either side, its point is found by level, by length, or
is named.  `finished` then sets all darts of an edge at once (see `drafting.darts` for the law).  In a series the
darts are counted from the end named first, and leave equal strips between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from ..source.text import Span
from ..syntax import tree
from .contexts import DartPlan, DrawingContext, RawEdge, ScopeContext
from .expressions import lower_kind, lower_length, lower_length_or_fraction
from .kinds import CONDITION, EDGE, LENGTH, NUMBER, PATH, POINT, UNKNOWN
from .lowering import POISON
from .made_names import stem
from .names import Entity, Stems
from .plan import DartRow, Requirement, Value

MOST_DARTS = 24


class DartRule:
    """One `dart` or `darts` statement of a piece."""

    def __init__(self, drawing: DrawingContext, node: tree.Dart | tree.Darts, scope: ScopeContext) -> None:
        self.drawing, self.lowering, self.node, self.scope = drawing, drawing.lowering, node, scope
        self.edge = str(node.edge)
        self.series = node if isinstance(node, tree.Darts) else None
        self.place = node.place if isinstance(node, tree.Dart) else None
        self.legs = self.place if isinstance(self.place, tree.PlaceLegs) else None
        self.rows: dict[str, tree.DartRow] = {}
        for row in node.rows:
            form = "point" if isinstance(row, (tree.PointLevel, tree.PointLong, tree.PointGiven)) else type(row).__name__
            if form in self.rows:
                self.lowering.error(
                    "N228",
                    "This dart is told the same thing twice",
                    row.span,
                    "each once",
                    "a second",
                    "Keep one of the two.",
                    ((self.rows[form].span, "first said here"),),
                )
            self.rows[form] = row
        damaged = self.lowering.is_damaged(node.head)
        if "point" not in self.rows and not damaged:
            self.lowering.error(
                "N243", "The dart has no point", node.head, "a row: point ...", "none", "Add for example: point 12 cm long"
            )
        if "Intake" not in self.rows and self.legs is None and not damaged:
            self.lowering.error(
                "N243", "The dart has no intake", node.head, "a row: intake ...", "none", "Add for example: intake 3 cm"
            )
        self._count = self._counted()
        self._plans: list[DartPlan] | None = None
        self._reference: Value | None = None
        self._intake = Entity(f"intake of {self.names()[0]}", "dart", node.head, self._find_intake)
        self._centres: dict[int, Value] = {}
        self._tips: dict[int, Value] = {}
        for name in self.names():
            called = node.called.name if node.called is not None else None
            stems = () if called is None else stem(called)
            drawing.note_dart(called if called is not None and name == called else name, node.head, stems)
            self._name_points(name, stems)

    def _counted(self) -> int:
        if self.series is None:
            return 1
        node = self.series
        if isinstance(node.count, tree.Number) and str(node.count.word).isdigit():
            count = int(node.count.word)
        else:
            value = lower_kind(self.scope, node.count, NUMBER)
            count = int(self.lowering.course("count", value, node.count.span, self.drawing.name))
        if not 1 <= count <= MOST_DARTS:
            self.lowering.error(
                "N210",
                "A series has between one and twenty-four darts",
                node.count.span,
                f"1 to {MOST_DARTS}",
                f"{count}",
                "Set another number.",
            )
            return 1
        return count

    def names(self) -> list[str]:
        given = str(self.node.called.name) if self.node.called is not None else "dart"
        return [f"{given}{index + 1}" for index in range(self._count)] if self.series is not None else [given]

    def _name_points(self, name: str, stems: Stems) -> None:
        define, drawing = self.lowering.define, self.drawing
        span, edge_span = self.node.head, self.node.edge.span
        index = self.names().index(name)
        define(drawing.points, Entity(f"{name}_point", "point", span, lambda: self.tip(index), stems))

        def foot(which: str) -> Value:
            edge = drawing.finished_edge(self.edge, edge_span)
            return self.lowering.emit("dart_foot", POINT, span, edge, name=name, which=which)

        for which in ("near", "far"):
            define(drawing.points, Entity(f"{name}_{which}", "point", span, partial(foot, which), stems))

    def _full_name(self) -> str:
        """The dart, or each of its series, with its piece, as messages name it."""
        names = self.names()
        return f"{self.drawing.name}.{names[0]}" + (f" to {names[-1]}" if len(names) > 1 else "")

    # ------------------------------------------------------------ intake

    def intake(self) -> Value:
        return self.lowering.demand(self._intake)

    def _find_intake(self) -> Value:
        row, legs = self.intake_row, self.legs
        if legs is not None:
            return self.lowering.emit("point_distance", LENGTH, legs.span, self.scope.point(legs.near), self.scope.point(legs.far))
        if row is None:
            return POISON
        amount = lower_length(self.scope, row.amount)
        if row.share is not None and row.share.word == "in all" and amount.kind is not UNKNOWN:
            share = self.lowering.constant(float(self._count), NUMBER, row.span)
            amount = self.lowering.emit("divide", LENGTH, row.span, amount, share)
        return self.lowering.emit("positive", LENGTH, row.span, amount, what=f"intake of {self._full_name()}")

    def plans(self) -> list[DartPlan]:
        intake = self.intake()
        return [DartPlan(name, index, intake) for index, name in enumerate(self.names())]

    # ------------------------------------------------------------ the reference line and the dart's centre

    def raw(self) -> RawEdge | None:
        return self.drawing.raw_edge(self.edge, self.node.edge.span)

    def turned(self) -> bool:
        chain = self.drawing.chain() or ()
        return next((turned for name, _, turned in chain if name == self.edge), False)

    def reference(self) -> Value:
        if self._reference is None:
            by_level, raw = self.drawing.by_level, self.raw()
            if raw is None:
                self._reference = POISON
            elif by_level is not None and self.edge in by_level.rows:
                self._reference = self.lowering.emit("draw_line", PATH, self.node.head, *by_level.level_line(self.edge))
            else:
                self._reference = raw.guide
        return self._reference

    def end(self, ref: tree.Ref) -> str | None:
        """ "start" or "end" of the edge as drawn, for an end named by the author; None (said) if it is neither."""
        if self.drawing.by_level is not None and str(ref) in ("centre", "side"):
            self.drawing.mention(ref.parts[-1])
            return "start" if str(ref) == "centre" else "end"
        raw = self.raw()
        if raw is None:
            return None
        point = self.scope.point(ref)
        if point.kind is UNKNOWN:
            return None
        if point.slot == raw.start.slot:
            return "start"
        if point.slot == raw.end.slot:
            return "end"
        names = "centre or side" if self.drawing.by_level is not None else f"an end point of {self.edge}"
        self.lowering.error(
            "N231", f'"{ref}" is not an end of "{self.edge}"', ref.span, names, f'"{ref}"', "Name one of the two ends of the edge."
        )
        return None

    def centre(self, index: int) -> Value:
        if index not in self._centres:
            self._centres[index] = self._single_centre() if self.series is None else self._series_centre(self.series, index)
        return self._centres[index]

    def _single_centre(self) -> Value:
        place, emit, reference = self.place, self.lowering.emit, self.reference()
        if isinstance(place, tree.PlacePoint):
            return self.scope.point(place.point)
        if isinstance(place, tree.PlaceLegs):
            half = self.lowering.constant(0.5, NUMBER, place.span)
            return emit("toward_part", POINT, place.span, self.scope.point(place.near), self.scope.point(place.far), half)
        if isinstance(place, tree.PlaceAt):
            at = lower_length_or_fraction(self.scope, place.at)
            operation = "along_length" if at.kind == LENGTH else "along_part"
            return emit(operation, POINT, place.span, reference, at, backward=False, edge=self.edge)
        assert isinstance(place, tree.PlaceFrom)
        end = self.end(place.end)
        if end is None:
            return POISON
        return emit(
            "along_length",
            POINT,
            place.span,
            reference,
            lower_length(self.scope, place.distance),
            backward=end == "end",
            edge=self.edge,
        )

    def _series_centre(self, node: tree.Darts, index: int) -> Value:
        reference = self.reference()
        inputs, backward = [reference, self.intake()], False
        if node.evenly is not None:
            places = [self._place_on_edge(ref) for ref in (node.evenly.start, node.evenly.end)]
            inputs += places
        return self.lowering.emit(
            "dart_evenly", POINT, node.head, *inputs, index=index, count=self._count, backward=backward, edge=self.edge
        )

    def _place_on_edge(self, ref: tree.Ref) -> Value:
        if self.drawing.by_level is not None and str(ref) in ("centre", "side"):
            self.drawing.mention(ref.parts[-1])
            part = 0.0 if str(ref) == "centre" else 1.0
            return self.lowering.emit("path_part", LENGTH, ref.span, self.reference(), part=part)
        return self.lowering.emit("place_on_path", LENGTH, ref.span, self.reference(), self.scope.point(ref))

    # ------------------------------------------------------------ the dart's point

    def _steps(self, node: tree.Darts, stepping: tree.Stepping, index: int) -> int:
        """How many steps a dart of the series lies from the one that the row speaks of."""
        first_end = "start"
        self.drawing.mention(*stepping.end.parts[-1:], *([stepping.at.end] if stepping.at is not None else []))
        if stepping.at is not None and str(stepping.at.end) == str(stepping.end):
            self.lowering.error(
                "N207",
                "These darts are counted from the end that they step toward",
                stepping.at.span,
                "the other end of the edge",
                f'"{stepping.at.end}"',
                "Say how the dart farthest from that end is: at the side, each 1 cm longer toward centre",
            )
            return 0
        if node.evenly is not None:
            if str(stepping.end) == str(node.evenly.start):
                return self._count - 1 - index
            if str(stepping.end) == str(node.evenly.end):
                return index
            ref = node.evenly.start
            first_end = self.end(ref) or "start"
        toward = self.end(stepping.end)
        if toward is None:
            return 0
        return index if toward != first_end else self._count - 1 - index

    def _stepped(self, stepping: tree.Stepping | None, amount: Value, index: int, sign_longer: float) -> Value:
        if self.series is None or stepping is None:
            return amount
        step = lower_length(self.scope, stepping.amount)
        sign = sign_longer if stepping.longer == "longer" else -sign_longer
        return self.lowering.emit(
            "add_steps", LENGTH, stepping.span, amount, step, steps=sign * self._steps(self.series, stepping, index)
        )

    def _level_y(self, level: str) -> Value:
        drawing = self.drawing
        if isinstance(level, tree.Word):
            drawing.program.mention_level(level)
        if level in drawing.level_names():
            return drawing.level_y(level)
        return self.scope.level(level)

    def _from_lower_edge(self) -> bool:
        by_level = self.drawing.by_level
        return by_level is not None and by_level.names[-1:] == [self.edge]

    def point_y(self, dart: DartPlan) -> Value:
        """The y of a dart's point, for pieces by level: needed before the dart itself is drawn."""
        row, emit = self.rows.get("point"), self.lowering.emit
        if isinstance(row, tree.PointLevel):
            return self._level_point_y(row, dart.number)
        if isinstance(row, tree.PointLong):
            length = self._stepped(row.stepping, lower_length(self.scope, row.length), dart.number, 1.0)
            return emit("subtract" if self._from_lower_edge() else "add", LENGTH, row.span, self._level_y(self.edge), length)
        if isinstance(row, tree.PointGiven):
            return emit("point_y", LENGTH, row.span, self.scope.point(row.point))
        return POISON

    def _level_point_y(self, row: tree.PointLevel, index: int) -> Value:
        distance = lower_length(self.scope, row.distance)
        y = self.lowering.emit("subtract" if row.direction == "above" else "add", LENGTH, row.span, self._level_y(row.level), distance)
        return self._stepped(row.stepping, y, index, -1.0 if self._from_lower_edge() else 1.0)

    def tip(self, index: int) -> Value:
        if index not in self._tips:
            self._tips[index] = self._tip(index)
        return self._tips[index]

    def _tip(self, index: int) -> Value:
        row, emit = self.rows.get("point"), self.lowering.emit
        if row is None:
            return POISON
        if isinstance(row, tree.PointGiven):
            return self.scope.point(row.point)
        centre = self.centre(index)
        if isinstance(row, tree.PointLevel):
            return emit("dart_point_level", POINT, row.span, centre, self._level_point_y(row, index))
        assert isinstance(row, tree.PointLong)
        stepped = self._stepped(row.stepping, lower_length(self.scope, row.length), index, 1.0)
        length = emit("positive", LENGTH, row.span, stepped, what=f"length of {self.drawing.name}.{self.names()[index]}")
        if isinstance(row.aim, tree.AimToward):
            return emit("toward_length", POINT, row.span, centre, self.scope.point(row.aim.point), length)
        side = emit("scaled", NUMBER, row.span, self.drawing.turn(), factor=-1.0 if self.turned() else 1.0)
        raw = self.raw() if isinstance(row.aim, tree.AimSquare) else None
        along = self.reference() if raw is None else raw.guide
        return emit("dart_point_long", POINT, row.span, along, centre, length, side, plumb=isinstance(row.aim, tree.AimPlumb))

    # ------------------------------------------------------------ what the edge needs to know

    def held(self) -> Value | None:
        row = self.intake_row
        return self._level_y(row.held.level) if row is not None and row.held is not None else None

    @property
    def intake_row(self) -> tree.Intake | None:
        row = self.rows.get("Intake")
        return row if isinstance(row, tree.Intake) else None

    def pressed(self) -> str:
        """ "start" or "end" of the edge as drawn: the side the folded dart is laid to."""
        row = self.rows.get("Press")
        return (self.end(row.end) if isinstance(row, tree.Press) else None) or "start"

    def requirements(self) -> None:
        row = self.rows.get("KeepClear")
        if not isinstance(row, tree.KeepClear):
            return
        limit = self.lowering.emit(
            "subtract" if row.direction == "above" else "add",
            LENGTH,
            row.span,
            self._level_y(row.level),
            lower_length(self.scope, row.distance),
        )
        relation = "at most" if row.direction == "above" else "at least"
        for index, name in enumerate(self.names()):
            y = self.lowering.emit("point_y", LENGTH, row.span, self.tip(index))
            condition = self.lowering.emit("compare", CONDITION, row.span, y, limit, relation=relation)
            if condition.kind is not UNKNOWN:
                self.drawing.program.requirements.append(
                    Requirement(
                        condition.slot,
                        f"The point of {self.drawing.name}.{name} does not keep clear of {row.level}",
                        row.span,
                        "error",
                        (
                            ("depth of the dart's point", y.slot, LENGTH),
                            ("lowest it may be" if relation == "at most" else "highest it may be", limit.slot, LENGTH),
                        ),
                    )
                )


def finished(drawing: DrawingContext, name: str, raw: RawEdge, turned: bool, rules: Sequence[DartRule], span: Span) -> Value:
    """The edge turned the way of the outline, its darts set."""
    lowering = drawing.lowering
    full = f"{drawing.name}.{name}"
    if not rules:
        return lowering.emit("plain_edge", EDGE, span, raw.guide, name=str(name), turned=turned)
    inputs = [raw.guide]
    rows = []
    for rule in rules:
        held = rule.held()
        row, legs = rule.intake_row, rule.legs
        for index, dart in enumerate(rule.names()):
            intake = rule.intake()
            if legs is not None:
                feet = [rule.scope.point(legs.near), rule.scope.point(legs.far)]
            else:
                feet = [
                    lowering.emit("dart_foot_laid", POINT, rule.node.head, rule.reference(), rule.centre(index), intake, sign=sign)
                    for sign in (-1.0, 1.0)
                ]
            of_level = row.held if row is not None else None
            level = str(of_level.level) if of_level is not None else None
            rows.append(
                DartRow(
                    dart,
                    rule.pressed(),
                    rule.node.head,
                    level,
                    None if legs is None else (str(legs.near), str(legs.far)),
                    of_level.span if of_level is not None else None,
                    rule.rows["point"].span if "point" in rule.rows else None,
                )
            )
            inputs += [*feet, rule.tip(index), intake] + ([held] if held is not None else [])
    return lowering.emit(
        "set_darts", EDGE, rules[0].node.head, *inputs, name=str(name), full=full, turned=turned, darts=tuple(rows), edge_span=span
    )
