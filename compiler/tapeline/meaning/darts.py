"""Dart rules, single and in series, to steps.

A dart is laid out on a reference line: the level line of a piece drawn by level, or the edge as drawn by point.
Its centre is placed there, its feet lie half the intake to either side, its point is found by level, by length, or
is named.  `finished` then sets all darts of an edge at once (see `drafting.darts` for the law).  In a series the
darts are counted from the end named first, and leave equal strips between them.
"""

from __future__ import annotations

from typing import NamedTuple

from ..syntax import tree
from .expressions import lower_kind, lower_length, lower_length_or_fraction
from .kinds import CONDITION, EDGE, LENGTH, NUMBER, PATH, POINT, UNKNOWN
from .lowering import POISON
from .names import Entity
from .plan import DartRow, Requirement, Value

MOST_DARTS = 24


class DartPlan(NamedTuple):
    name: str
    index: int
    intake: Value


class DartRule:
    """One `dart` or `darts` statement of a piece."""

    def __init__(self, drawing, node, scope):
        self.drawing, self.bench, self.node, self.scope = drawing, drawing.bench, node, scope
        self.edge = str(node.edge)
        self.series = isinstance(node, tree.Darts)
        self.rows = {}
        for row in node.rows:
            form = "point" if isinstance(row, (tree.PointLevel, tree.PointLong, tree.PointGiven)) else type(row).__name__
            if form in self.rows:
                self.bench.error(
                    "N228",
                    "This dart is told the same thing twice",
                    row.span,
                    "each once",
                    "a second",
                    "Keep one of the two.",
                    ((self.rows[form].span, "first said here"),),
                )
            self.rows[form] = row
        self.legs = not self.series and isinstance(node.place, tree.PlaceLegs)
        torn = self.bench.is_torn(node.head)
        if "point" not in self.rows and not torn:
            self.bench.error(
                "N243", "The dart has no point", node.head, "a row: point ...", "none", "Add for example: point 12 cm long"
            )
        if "Intake" not in self.rows and not self.legs and not torn:
            self.bench.error("N243", "The dart has no intake", node.head, "a row: intake ...", "none", "Add for example: intake 3 cm")
        self._count = self._counted()
        self._plans: list[DartPlan] | None = None
        self._reference = None
        self._intake = Entity(f"intake of {self.names()[0]}", "dart", node.head, self._find_intake)
        self._centres: dict[int, Value] = {}
        self._tips: dict[int, Value] = {}
        for name in self.names():
            self._name_points(name)

    def _counted(self) -> int:
        if not self.series:
            return 1
        node = self.node
        if isinstance(node.count, tree.Number) and str(node.count.word).isdigit():
            count = int(node.count.word)
        else:
            value = lower_kind(self.scope, node.count, NUMBER)
            count = self.bench.course("count", value, node.count.span, self.drawing.name)
        if not 1 <= count <= MOST_DARTS:
            self.bench.error(
                "N210",
                "A series has between one and twenty-four darts",
                node.count.span,
                f"1 to {MOST_DARTS}",
                f"{count}",
                "Set another number.",
            )
            return 1
        return int(count)

    def names(self) -> list[str]:
        given = str(self.node.called.name) if self.node.called is not None else "dart"
        return [f"{given}{index + 1}" for index in range(self._count)] if self.series else [given]

    def _name_points(self, name: str):
        define, drawing = self.bench.define, self.drawing
        span, edge_span = self.node.head, self.node.edge.span
        index = self.names().index(name)
        define(drawing.points, Entity(f"{name}_point", "point", span, lambda: self.tip(index)))
        for which in ("near", "far"):
            define(
                drawing.points,
                Entity(
                    f"{name}_{which}",
                    "point",
                    span,
                    lambda which=which: self.bench.emit(
                        "dart_foot", POINT, span, drawing.finished_edge(self.edge, edge_span), name=name, which=which
                    ),
                ),
            )

    # ------------------------------------------------------------ intake

    def intake(self) -> Value:
        return self.bench.demand(self._intake)

    def _find_intake(self) -> Value:
        row = self.rows.get("Intake")
        if self.legs:
            place = self.node.place
            return self.bench.emit("point_distance", LENGTH, place.span, self.scope.point(place.near), self.scope.point(place.far))
        if row is None:
            return POISON
        amount = lower_length(self.scope, row.amount)
        if row.share is not None and row.share.word == "in all" and amount.kind is not UNKNOWN:
            share = self.bench.constant(float(self._count), NUMBER, row.span)
            amount = self.bench.emit("divide", LENGTH, row.span, amount, share)
        return self.bench.emit("positive", LENGTH, row.span, amount, what="intake of the dart")

    def intake_of(self, name) -> Value:
        return self.intake()

    def plans(self) -> list[DartPlan]:
        intake = self.intake()
        return [DartPlan(name, index, intake) for index, name in enumerate(self.names())]

    # ------------------------------------------------------------ the reference line and the dart's centre

    def raw(self):
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
                self._reference = self.bench.emit("draw_line", PATH, self.node.head, *by_level.level_line(self.edge))
            else:
                self._reference = raw.guide
        return self._reference

    def end(self, ref) -> str | None:
        """ "start" or "end" of the edge as drawn, for an end named by the author; None (said) if it is neither."""
        if self.drawing.by_level is not None and str(ref) in ("centre", "side"):
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
        self.bench.error(
            "N231", f'"{ref}" is not an end of "{self.edge}"', ref.span, names, f'"{ref}"', "Name one of the two ends of the edge."
        )
        return None

    def centre(self, index: int) -> Value:
        if index not in self._centres:
            self._centres[index] = self._series_centre(index) if self.series else self._single_centre()
        return self._centres[index]

    def _single_centre(self) -> Value:
        place, emit, reference = self.node.place, self.bench.emit, self.reference()
        if isinstance(place, tree.PlacePoint):
            return self.scope.point(place.point)
        if isinstance(place, tree.PlaceLegs):
            half = self.bench.constant(0.5, NUMBER, place.span)
            return emit("toward_part", POINT, place.span, self.scope.point(place.near), self.scope.point(place.far), half)
        if isinstance(place, tree.PlaceAt):
            at = lower_length_or_fraction(self.scope, place.at)
            operation = "along_length" if at.kind == LENGTH else "along_part"
            return emit(operation, POINT, place.span, reference, at, backward=False, edge=self.edge)
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

    def _series_centre(self, index: int) -> Value:
        node, reference = self.node, self.reference()
        inputs, backward = [reference, self.intake()], False
        if node.evenly is not None:
            places = [self._place_on_edge(ref) for ref in (node.evenly.start, node.evenly.end)]
            inputs += places
        return self.bench.emit(
            "dart_evenly", POINT, node.head, *inputs, index=index, count=self._count, backward=backward, edge=self.edge
        )

    def _place_on_edge(self, ref) -> Value:
        if self.drawing.by_level is not None and str(ref) in ("centre", "side"):
            part = 0.0 if str(ref) == "centre" else 1.0
            return self.bench.emit("path_part", LENGTH, ref.span, self.reference(), part=part)
        return self.bench.emit("place_on_path", LENGTH, ref.span, self.reference(), self.scope.point(ref))

    # ------------------------------------------------------------ the dart's point

    def _steps(self, index: int) -> int:
        """How many steps a dart of the series lies from the one that the row speaks of."""
        stepping = self.rows["point"].stepping
        first_end = "start"
        if stepping.at is not None and str(stepping.at.end) == str(stepping.end):
            self.bench.error(
                "N207",
                "These darts are counted from the end that they step toward",
                stepping.at.span,
                "the other end of the edge",
                f'"{stepping.at.end}"',
                "Say how the dart farthest from that end is: at the side, each 1 cm longer toward centre",
            )
            return 0
        if self.node.evenly is not None:
            if str(stepping.end) == str(self.node.evenly.start):
                return self._count - 1 - index
            if str(stepping.end) == str(self.node.evenly.end):
                return index
            ref = self.node.evenly.start
            first_end = self.end(ref) or "start"
        toward = self.end(stepping.end)
        if toward is None:
            return 0
        return index if toward != first_end else self._count - 1 - index

    def _stepped(self, amount: Value, index: int, sign_longer: float) -> Value:
        row = self.rows["point"]
        if not self.series or row.stepping is None:
            return amount
        stepping = row.stepping
        step = lower_length(self.scope, stepping.amount)
        sign = sign_longer if stepping.longer == "longer" else -sign_longer
        return self.bench.emit("add_steps", LENGTH, stepping.span, amount, step, steps=sign * self._steps(index))

    def _level_y(self, level) -> Value:
        drawing = self.drawing
        if level in drawing.level_names():
            return drawing.level_y(level)
        return self.scope.level(level)

    def _from_lower_edge(self) -> bool:
        by_level = self.drawing.by_level
        return by_level is not None and self.edge == by_level.names[-1]

    def point_y(self, dart: DartPlan) -> Value:
        """The y of a dart's point, for pieces by level: needed before the dart itself is drawn."""
        row, emit = self.rows.get("point"), self.bench.emit
        if isinstance(row, tree.PointLevel):
            return self._level_point_y(row, dart.index)
        if isinstance(row, tree.PointLong):
            length = self._stepped(lower_length(self.scope, row.length), dart.index, 1.0)
            return emit("subtract" if self._from_lower_edge() else "add", LENGTH, row.span, self._level_y(self.edge), length)
        if isinstance(row, tree.PointGiven):
            return emit("point_y", LENGTH, row.span, self.scope.point(row.point))
        return POISON

    def _level_point_y(self, row: tree.PointLevel, index: int) -> Value:
        distance = lower_length(self.scope, row.distance)
        y = self.bench.emit("subtract" if row.direction == "above" else "add", LENGTH, row.span, self._level_y(row.level), distance)
        return self._stepped(y, index, -1.0 if self._from_lower_edge() else 1.0)

    def tip(self, index: int) -> Value:
        if index not in self._tips:
            self._tips[index] = self._tip(index)
        return self._tips[index]

    def _tip(self, index: int) -> Value:
        row, emit = self.rows.get("point"), self.bench.emit
        if row is None:
            return POISON
        if isinstance(row, tree.PointGiven):
            return self.scope.point(row.point)
        centre = self.centre(index)
        if isinstance(row, tree.PointLevel):
            return emit("dart_point_level", POINT, row.span, centre, self._level_point_y(row, index))
        length = emit(
            "positive", LENGTH, row.span, self._stepped(lower_length(self.scope, row.length), index, 1.0), what="length of the dart"
        )
        if isinstance(row.aim, tree.AimToward):
            return emit("toward_length", POINT, row.span, centre, self.scope.point(row.aim.point), length)
        side = emit("scaled", NUMBER, row.span, self.drawing.turn(), factor=-1.0 if self.turned() else 1.0)
        return emit(
            "dart_point_long", POINT, row.span, self.reference(), centre, length, side, plumb=isinstance(row.aim, tree.AimPlumb)
        )

    # ------------------------------------------------------------ what the edge needs to know

    def held(self) -> Value | None:
        row = self.rows.get("Intake")
        return self._level_y(row.held.level) if row is not None and row.held is not None else None

    def pressed(self) -> str:
        """ "start" or "end" of the edge as drawn: the side the folded dart is laid to."""
        row = self.rows.get("Press")
        return "start" if row is None else self.end(row.end) or "start"

    def requirements(self):
        row = self.rows.get("KeepClear")
        if row is None:
            return
        limit = self.bench.emit(
            "subtract" if row.direction == "above" else "add",
            LENGTH,
            row.span,
            self._level_y(row.level),
            lower_length(self.scope, row.distance),
        )
        relation = "at most" if row.direction == "above" else "at least"
        for index, name in enumerate(self.names()):
            y = self.bench.emit("point_y", LENGTH, row.span, self.tip(index))
            condition = self.bench.emit("compare", CONDITION, row.span, y, limit, relation=relation)
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


def finished(drawing, name, raw, turned: bool, rules: list[DartRule], span) -> Value:
    """The edge turned the way of the outline, its darts set."""
    bench = drawing.bench
    full = f"{drawing.name}.{name}"
    if not rules:
        return bench.emit("plain_edge", EDGE, span, raw.guide, name=str(name), turned=turned)
    inputs, described = [raw.guide], []
    for rule in rules:
        held = rule.held()
        row = rule.rows.get("Intake")
        for index, dart in enumerate(rule.names()):
            intake = rule.intake()
            if rule.legs:
                place = rule.node.place
                feet = [rule.scope.point(place.near), rule.scope.point(place.far)]
            else:
                feet = [
                    bench.emit("dart_foot_laid", POINT, rule.node.head, rule.reference(), rule.centre(index), intake, sign=sign)
                    for sign in (-1.0, 1.0)
                ]
            described.append(
                DartRow(dart, rule.pressed(), rule.node.head, str(row.held.level) if held is not None else None, rule.legs)
            )
            inputs += [*feet, rule.tip(index), intake] + ([held] if held is not None else [])
    return bench.emit(
        "set_darts", EDGE, rules[0].node.head, *inputs, name=str(name), full=full, turned=turned, darts=tuple(described), edge_span=span
    )
