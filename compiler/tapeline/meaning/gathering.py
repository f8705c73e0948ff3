"""The statements of a piece or a sheet entered under their names, to be lowered when first wanted.

Each form of the grammar that may stand in a piece is entered by the function of its name: `Trace` by `trace`, `LevelAt`
by `level_at`.  So the order of the statements does not matter, and what nothing asks for is lowered last.
"""

from __future__ import annotations

from ..syntax import tree
from . import darts, inner_darts, points
from .changes import CHANGES
from .expressions import lower_kind
from .kinds import CONDITION, NUMBER, POINT
from .lowering import POISON
from .marks import MARKS
from .names import Entity
from .naming import Said, SaidWhen
from .outlines import NO_EDGE
from .points import RawEdge


def gather(drawing, statements, scope):
    """Enter every statement, the `when` rules last, when the quantities of their conditions can be found."""
    for statement in sorted(statements or (), key=lambda one: isinstance(one, tree.When)):
        handler = _GATHER.get(type(statement))
        if drawing.is_sheet and tree.may_stand(statement, tree.Where.PIECE) and not tree.may_stand(statement, tree.Where.SHEET):
            drawing.bench.error(
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


def once(drawing, form: str, node, scope):
    if form in drawing.singles:
        first = drawing.singles[form][0]
        drawing.bench.error(
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


def run(drawing, node: tree.RunEdge, scope):
    if str(node.edge) in drawing.runs:
        drawing.bench.error(
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


def when(drawing, node: tree.When, scope):
    value = lower_kind(drawing.scope() if isinstance(node, SaidWhen) else scope, node.condition, CONDITION)
    if drawing.bench.course("when", value, node.condition.span, drawing.name):
        gather(drawing, node.body.statements if node.body else (), scope)
    elif node.otherwise is not None:
        gather(drawing, node.otherwise.body.statements, scope)


def definition(drawing, node, scope):
    drawing.program.define_quantity(scope, node)


def said(drawing, node: Said, scope):
    """A statement in the place of one of the recipe: said in the names of the style, heard by the recipe."""
    said = node.statement
    if isinstance(said, tree.Definition):
        drawing.program.define_quantity(drawing.scope(), said, scope.quantities)
    elif isinstance(said, tree.Divide):
        drawing.program.define_parts(drawing.scope(), said, scope.quantities)
    else:
        gather(drawing, (said,), drawing.scope())


def trace(drawing, node: tree.Trace, scope):
    sheet = drawing.program.sheets.find(node.sheet)
    if sheet is None:
        drawing.bench.unknown_name("sheet", node.sheet, node.sheet.span, drawing.program.sheets.known())
        return
    drawing.bench.use(sheet, node.sheet.span)
    source = drawing.program.construction_of(sheet)
    for own, theirs in ((drawing.points, source.points), (drawing.edges, source.edges), (drawing.quantities, source.quantities)):
        for entity in theirs.own.values():
            drawing.bench.define(own, entity)


def point(drawing, node: tree.Point, scope):
    drawing.define_point(node.name, node.head, lambda: points.lower_point(scope, node))


def division(drawing, node: tree.Division, scope):
    count = len(node.names) + 1
    for index, name in enumerate(node.names, 1):
        if name is None:  # said anew elsewhere
            continue

        def build(index=index):
            part = drawing.bench.constant(index / count, NUMBER, node.head)
            return drawing.bench.emit("toward_part", POINT, node.head, scope.point(node.start), scope.point(node.end), part)

        drawing.define_point(name, name.span, build)


def two_ends(drawing, node, scope, end):
    drawing.ends.setdefault(
        str(node.name), Entity(str(node.name), "edge", node.head, lambda: RawEdge(scope.point(node.start), scope.point(end), POISON))
    )


def line(drawing, node: tree.Line, scope):
    two_ends(drawing, node, scope, node.stops[-1].point)
    drawing.define_edge(node.name, node.head, lambda: points.lower_line(scope, node))


def curve(drawing, node: tree.Curve, scope):
    two_ends(drawing, node, scope, node.end)
    drawing.define_edge(node.name, node.head, lambda: points.lower_curve(scope, node, lambda row: drawing.bow_side(node.name, row)))


def arc(drawing, node: tree.Arc, scope):
    two_ends(drawing, node, scope, node.end)
    drawing.define_edge(node.name, node.head, lambda: points.lower_arc(scope, node, lambda row: drawing.bow_side(node.name, row)))


def edge(drawing, node: tree.Edge, scope):
    drawing.joins.setdefault(str(node.name), node)
    drawing.ends.setdefault(str(node.name), Entity(str(node.name), "edge", node.head, lambda: drawing.joined_ends(node) or NO_EDGE))
    drawing.define_edge(node.name, node.head, lambda: drawing.joined(node))


def level_at(drawing, node: tree.LevelAt, scope):
    if drawing.program.levels.find(node.name) is None:
        scope.level(node.name)
    elif node.name in drawing.level_points:
        drawing.bench.error(
            "N228",
            f'The level "{node.name}" stands twice in {drawing.name}',
            node.head,
            "each level once",
            "a second place",
            "Keep one of the two.",
            ((drawing.level_points[node.name][0].span, "first given here"),),
        )
    else:
        drawing.level_points[str(node.name)] = (node, scope)


def dart(drawing, node, scope):
    drawing.dart_rules.append(darts.DartRule(drawing, node, scope))


_GATHER = {
    tree.When: when,
    SaidWhen: when,
    Said: said,
    tree.Definition: definition,
    tree.Divide: lambda drawing, node, scope: drawing.program.define_parts(scope, node),
    tree.Trace: trace,
    tree.Point: point,
    tree.Division: division,
    tree.Line: line,
    tree.Curve: curve,
    tree.Arc: arc,
    tree.Edge: edge,
    tree.Cut: lambda drawing, node, scope: once(drawing, "cut", node, scope),
    tree.Widths: lambda drawing, node, scope: once(drawing, "widths", node, scope),
    tree.Outline: lambda drawing, node, scope: once(drawing, "outline", node, scope),
    tree.Grain: lambda drawing, node, scope: once(drawing, "grain", node, scope),
    tree.TakenIn: lambda drawing, node, scope: drawing.taken.append((node, scope)),
    tree.RunEdge: run,
    tree.Dip: lambda drawing, node, scope: drawing.dips.append((node, scope)),
    tree.LevelAt: level_at,
    tree.Dart: dart,
    tree.DartInside: lambda drawing, node, scope: inner_darts.gather(drawing, node, scope),
    tree.Darts: lambda drawing, node, scope: drawing.series.append((node, scope)),
    tree.Notch: lambda drawing, node, scope: drawing.notches.append((node, scope)),
    **dict.fromkeys(MARKS, lambda drawing, node, scope: drawing.marks.append((node, scope))),
    **dict.fromkeys(CHANGES, lambda drawing, node, scope: drawing.changes.append((node, scope))),
}
