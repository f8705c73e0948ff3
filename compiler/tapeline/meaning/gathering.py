"""The statements of a piece or a sheet entered under their names, to be lowered when first wanted.

Each form of the grammar that may stand in a piece is entered by the function of its name: `Trace` by `trace`, `LevelAt`
by `level_at`.  So the order of the statements does not matter, and what nothing asks for is lowered last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import partial
from typing import Any, Protocol, TypeVar

from ..syntax import tree
from . import darts, inner_darts, points
from .changes import CHANGES
from .contexts import Late, RawEdge, ScopeContext
from .expressions import lower_kind
from .kinds import CONDITION, NUMBER, POINT
from .lowering import POISON, Lowering
from .made_names import stem
from .marks import MARKS
from .names import Entity, Names
from .outlines import NO_EDGE
from .plan import Value
from .statement_keys import Substituted, SubstitutedWhen

T = TypeVar("T")


class Gathering(inner_darts.InnerDarted, Protocol):
    """A piece or a sheet into which statements are entered."""

    is_sheet: bool
    dart_rules: list[darts.DartRule]
    series: list[tuple[tree.Darts, ScopeContext]]
    level_points: dict[str, tuple[tree.LevelAt, ScopeContext]]
    level_edges: dict[str, tuple[tree.LevelAlong, ScopeContext]]
    changes: list[tuple[tree.Node, ScopeContext]]
    ends: dict[str, Entity[RawEdge]]  # edges by their two ends alone, which do not wait for the bend
    joins: dict[str, tree.Edge]

    def bow_side(self, name: str, row: points.Bent) -> Value: ...

    def joined(self, node: tree.Edge) -> RawEdge: ...

    def joined_ends(self, node: tree.Edge) -> RawEdge | None: ...


def gather(drawing: Gathering, statements: Iterable[tree.Statement] | None, scope: ScopeContext) -> None:
    """Enter every statement, the `when` rules last, when the quantities of their conditions can be found."""
    for statement in sorted(statements or (), key=lambda statement: isinstance(statement, tree.When)):
        handler = _GATHER.get(type(statement))
        if drawing.is_sheet and tree.may_stand(statement, tree.Where.PIECE) and not tree.may_stand(statement, tree.Where.SHEET):
            drawing.lowering.error(
                "N208",
                "This is said of a piece, not of a sheet",
                statement.head,
                "points, lines and quantities on a sheet",
                f'"{statement.head.text.split()[0]}"',
                f"Move it into a piece that says: trace {drawing.name}",
            )
        elif handler is None:
            drawing.program.misplaced(statement, "a sheet" if drawing.is_sheet else "a piece")
        else:
            handler(drawing, statement, scope)


def once(drawing: Gathering, form: str, node: tree.Statement, scope: ScopeContext) -> None:
    if form in drawing.singles:
        first = drawing.singles[form][0]
        drawing.lowering.error(
            "N228",
            f'"{form}" is said twice in {drawing.name}',
            node.head,
            f"{form} once",
            "a second",
            "Keep one of the two.",
            ((first.span, "first said here"),),
        )
        return
    drawing.singles[form] = (node, scope)


def worn(drawing: Gathering, node: tree.Worn, scope: ScopeContext) -> None:
    """In front or behind, and on which side: two things, either of which is said once."""
    if node.place.in_front_or_behind is not None:
        once(drawing, "worn", node, scope)
    if node.place.side_word is not None:
        once(drawing, "worn side", node, scope)


def run(drawing: Gathering, node: tree.RunEdge, scope: ScopeContext) -> None:
    if str(node.edge) in drawing.runs:
        drawing.lowering.error(
            "N230",
            f'The run of "{node.edge}" is said twice in {drawing.name}',
            node.head,
            "one line of runs",
            "a second",
            "Say all runs on one line: side smooth waist to hip, straight hip to hem",
            ((drawing.runs[str(node.edge)][0].span, "first said here"),),
        )
        return
    drawing.runs[str(node.edge)] = (node, scope)


def when(drawing: Gathering, node: tree.When, scope: ScopeContext) -> None:
    value = lower_kind(drawing.scope() if isinstance(node, SubstitutedWhen) else scope, node.condition, CONDITION)
    holds = bool(drawing.lowering.course("when", value, node.condition.span, drawing.name))
    drawing.lowering.leave_out(node, not holds)
    gather(drawing, node.under(holds), scope)


def definition(drawing: Gathering, node: tree.Definition, scope: ScopeContext) -> None:
    drawing.program.define_quantity(scope, node)


def replacement(drawing: Gathering, node: Substituted, scope: ScopeContext) -> None:
    """A statement in the place of one of the recipe: read in the names of the style, entered into the recipe's."""
    statement = node.statement
    if isinstance(statement, tree.Definition):
        drawing.program.define_quantity(drawing.scope(), statement, scope.quantities)
    elif isinstance(statement, tree.Divide):
        drawing.program.define_parts(drawing.scope(), statement, scope.quantities)
    elif isinstance(statement, tree.Statement):
        gather(drawing, (statement,), drawing.scope())


def trace(drawing: Gathering, node: tree.Trace, scope: ScopeContext) -> None:
    sheet = drawing.program.sheets.find(node.sheet)
    if sheet is None:
        drawing.lowering.unknown_name("sheet", node.sheet, node.sheet.span, drawing.program.sheets.known())
        return
    drawing.lowering.use(sheet, node.sheet.span)
    source = drawing.program.construction_of(sheet)
    _take_over(drawing.lowering, drawing.points, source.points)
    _take_over(drawing.lowering, drawing.edges, source.edges)
    _take_over(drawing.lowering, drawing.quantities, source.quantities)


def _take_over(lowering: Lowering, names: Names[T], others: Names[T]) -> None:
    for entity in others.own.values():
        lowering.define(names, entity)


def point(drawing: Gathering, node: tree.Point, scope: ScopeContext) -> None:
    drawing.define_point(node.name, node.head, lambda: points.lower_point(scope, node))


def division(drawing: Gathering, node: tree.Division, scope: ScopeContext) -> None:
    count = len(node.names) + 1

    def build(index: int) -> Value:
        part = drawing.lowering.constant(index / count, NUMBER, node.head)
        return drawing.lowering.emit("toward_part", POINT, node.head, scope.point(node.start), scope.point(node.end), part)

    for index, name in enumerate(node.names, 1):
        if name is not None:  # said anew elsewhere
            drawing.define_point(name, name.span, partial(build, index))


def two_ends(drawing: Gathering, node: tree.Line | tree.Curve | tree.Arc, scope: ScopeContext, end: tree.Ref) -> None:
    drawing.ends.setdefault(
        str(node.name), Entity(str(node.name), "edge", node.head, lambda: RawEdge(scope.point(node.start), scope.point(end), POISON))
    )


def line(drawing: Gathering, node: tree.Line, scope: ScopeContext) -> None:
    two_ends(drawing, node, scope, node.stops[-1].point)
    drawing.define_edge(node.name, node.head, lambda: points.lower_line(scope, node))


def curve(drawing: Gathering, node: tree.Curve, scope: ScopeContext) -> None:
    two_ends(drawing, node, scope, node.end)
    drawing.define_edge(node.name, node.head, lambda: points.lower_curve(scope, node, lambda row: drawing.bow_side(node.name, row)))


def carried_on(drawing: Gathering, node: tree.CarriedOn, scope: ScopeContext) -> None:
    """An edge, and a point at its new end, which is called after it."""
    end, name = f"{node.name}_end", str(node.name)

    def ends(guide: Value) -> RawEdge:
        return RawEdge(scope.point(node.start), drawing.lowering.demand(drawing.points.entity(end)), guide)

    drawing.define_point(
        end, node.head, lambda: drawing.lowering.emit("path_end", POINT, node.head, points.carried_on(scope, node)), stem(node.name)
    )
    drawing.ends.setdefault(name, Entity(name, "edge", node.head, lambda: ends(POISON)))
    drawing.define_edge(node.name, node.head, lambda: ends(points.carried_on(scope, node)))


def arc(drawing: Gathering, node: tree.Arc, scope: ScopeContext) -> None:
    two_ends(drawing, node, scope, node.end)
    drawing.define_edge(node.name, node.head, lambda: points.lower_arc(scope, node, lambda row: drawing.bow_side(node.name, row)))


def edge(drawing: Gathering, node: tree.Edge, scope: ScopeContext) -> None:
    drawing.joins.setdefault(str(node.name), node)
    drawing.ends.setdefault(str(node.name), Entity(str(node.name), "edge", node.head, lambda: drawing.joined_ends(node) or NO_EDGE))
    drawing.define_edge(node.name, node.head, lambda: drawing.joined(node))


def level_at(drawing: Gathering, node: tree.LevelAt, scope: ScopeContext) -> None:
    if _level_said_once(drawing, node, scope):
        drawing.level_points[str(node.name)] = (node, scope)


def level_along(drawing: Gathering, node: tree.LevelAlong, scope: ScopeContext) -> None:
    if _level_said_once(drawing, node, scope):
        drawing.level_edges[str(node.name)] = (node, scope)


def _level_said_once(drawing: Gathering, node: tree.LevelAt | tree.LevelAlong, scope: ScopeContext) -> bool:
    """Whether a level is known, and not said in this piece before; else that is said."""
    name = str(node.name)
    if drawing.program.levels.find(node.name) is None:
        scope.level(node.name)
    elif name in drawing.level_points or name in drawing.level_edges:
        first: tree.Node = drawing.level_points[name][0] if name in drawing.level_points else drawing.level_edges[name][0]
        drawing.lowering.error(
            "N228",
            f'The level "{node.name}" stands twice in {drawing.name}',
            node.head,
            "each level once",
            "a second place",
            "Keep one of the two.",
            ((first.span, "first given here"),),
        )
    else:
        drawing.program.mention_level(node.name)
        return True
    return False


def dart(drawing: Gathering, node: tree.Dart, scope: ScopeContext) -> None:
    drawing.dart_rules.append(darts.DartRule(drawing, node, scope))


_GATHER: dict[type[tree.Node], Callable[[Gathering, Any, ScopeContext], None]] = {
    tree.When: when,
    SubstitutedWhen: when,
    Substituted: replacement,
    tree.Definition: definition,
    tree.Divide: lambda drawing, node, scope: drawing.program.define_parts(scope, node),
    tree.Trace: trace,
    tree.Point: point,
    tree.Division: division,
    tree.Line: line,
    tree.Curve: curve,
    tree.CarriedOn: carried_on,
    tree.Arc: arc,
    tree.Edge: edge,
    tree.Cut: lambda drawing, node, scope: once(drawing, "cut", node, scope),
    tree.CutFor: lambda drawing, node, scope: once(drawing, "cut", node, scope),
    tree.Widths: lambda drawing, node, scope: once(drawing, "widths", node, scope),
    tree.Outline: lambda drawing, node, scope: once(drawing, "outline", node, scope),
    tree.Worn: worn,
    tree.Grain: lambda drawing, node, scope: once(drawing, "grain", node, scope),
    tree.TakenIn: lambda drawing, node, scope: drawing.taken.append((node, scope)),
    tree.RunEdge: run,
    tree.Dip: lambda drawing, node, scope: drawing.dips.append((node, scope)),
    tree.LevelAt: level_at,
    tree.LevelAlong: level_along,
    tree.Dart: dart,
    tree.DartInside: lambda drawing, node, scope: inner_darts.gather(drawing, node, scope),
    tree.Darts: lambda drawing, node, scope: drawing.series.append((node, scope)),
    tree.Step: lambda drawing, node, scope: drawing.program.late.append(Late(node, scope)),
    tree.Notch: lambda drawing, node, scope: drawing.notches.append((node, scope)),
    **dict.fromkeys(MARKS, lambda drawing, node, scope: drawing.marks.append((node, scope))),
    **dict.fromkeys(CHANGES, lambda drawing, node, scope: drawing.changes.append((node, scope))),
}
