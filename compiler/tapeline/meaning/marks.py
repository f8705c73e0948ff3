"""What is marked on a piece: bones, zips, tapes, lines with words, where it is lengthened, and notches."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import islice

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, ScopeContext
from .cut_counts import cut_of
from .expressions import lower_length
from .kinds import LENGTH, PATH, UNKNOWN
from .marked_lines import Marked, marked_lines
from .one_sided import marked_side
from .plan import MarkPlan, NotchPlan, PointMarkPlan, Value
from .point_marks import KINDS, is_inherited, on_piece, point_marks, was_on_piece, with_images

CLEAR_OF_POINT = 10.0  # mm at both ends of a bone along a dart, where the style says no other: common practice
BETWEEN_LINES = 3.0  # mm, between the two lines at which a piece is lengthened or shortened


def marks(program: ProgramContext, drawing: DrawingContext) -> list[MarkPlan | PointMarkPlan]:
    plans: list[MarkPlan | PointMarkPlan] = []
    for node, scope in drawing.marks:
        side = marked_side(program, drawing, node)
        if side is not None:
            plans += [mark._replace(side=side) for mark in MARKS[type(node)](program, drawing, node, scope) if mark is not None]
    return plans


def _bones(program: ProgramContext, drawing: DrawingContext, node: tree.Bone, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    names = drawing.dart_names().items()
    if not names:
        program.lowering.error(
            "N239",
            f"The piece {drawing.name} has no dart to bone",
            node.head,
            "a piece with darts",
            "none",
            "Say: bone along some edge.",
        )
    clear = _clear(program, scope, node)
    for name, at in names:
        edge = drawing.finished_edge(at, node.head)
        path = program.lowering.emit("dart_channel", PATH, node.head, edge, name=name)
        yield _bone(program, node, f"bone {name}", path, clear)


def _bones_along(
    program: ProgramContext, drawing: DrawingContext, node: tree.BoneAlong, scope: ScopeContext
) -> Iterator[MarkPlan | None]:
    edge = scope.edge(node.edge)
    path = program.lowering.emit("edge_sewn", PATH, node.head, edge)
    called = str(node.called.name) if node.called is not None else f"bone {node.edge}"
    yield _bone(program, node, called, path, _clear(program, scope, node))


def _clear(program: ProgramContext, scope: ScopeContext, node: tree.Bone | tree.BoneAlong) -> Value:
    if node.clear is None:  # a bone that reached the point of its dart would wear through
        return program.lowering.constant(CLEAR_OF_POINT if isinstance(node, tree.Bone) else 0.0, LENGTH, node.head)
    return lower_length(scope, node.clear.amount)


def _bone(program: ProgramContext, node: tree.Bone | tree.BoneAlong, name: str, path: Value, clear: Value) -> MarkPlan | None:
    lowering = program.lowering
    length = lowering.emit("bone_length", LENGTH, node.head, path, clear, name=name)
    return None if length.kind is UNKNOWN else MarkPlan("bone", name, path.slot, "", length.slot, node.head)


def _zip(program: ProgramContext, drawing: DrawingContext, node: tree.Zip, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    edge = drawing.finished_edge(node.edge, node.edge.span)
    ends = [_zip_end(program, drawing, end, scope) for end in (node.start, node.end)]
    lowering = program.lowering
    if cut_of(program, drawing).fold == node.edge:
        lowering.error(
            "T507",
            f"A zip in a fold: {drawing.name} is cut on fold at {node.edge}",
            node.edge.span,
            "an edge that is cut",
            f"{node.edge}, where there is no seam and nothing opens",
            "Cut the piece as a pair, with a seam there, or set the zip into another edge.",
        )
    raw = drawing.raw_edge(node.edge, node.edge.span)
    points = [point for end in (node.start, node.end) if (point := _point_end(drawing, end)) is not None]
    if raw is not None and len(points) == 2:
        names = (node.start.span.text, node.end.span.text)
        path = lowering.emit("edge_between_points", PATH, node.head, edge, raw.guide, *points, edge=str(node.edge), ends=names)
    else:
        path = lowering.emit("edge_between_levels", PATH, node.head, edge, *ends, edge=str(node.edge))
    length = lowering.emit("path_length", LENGTH, node.head, path)
    yield None if length.kind is UNKNOWN else MarkPlan("zip", f"zip {node.edge}", path.slot, "", length.slot, node.head, str(node.edge))


def _point_end(drawing: DrawingContext, end: tree.ZipEnd) -> Value | None:
    """The point that an end of a zip names; None where it names a level."""
    point = drawing.points.find(end.name) if isinstance(end, tree.ZipAt) and end.name not in drawing.level_names() else None
    return None if point is None else drawing.lowering.demand(point)


def _zip_end(program: ProgramContext, drawing: DrawingContext, end: tree.ZipEnd, scope: ScopeContext) -> Value:
    if isinstance(end, tree.ZipAt):
        return _height(program, drawing, end.name, scope)
    assert isinstance(end, tree.ZipFrom)
    program.mention_level(end.level)
    base = drawing.level_y(end.level) if end.level in drawing.level_names() else scope.level(end.level)
    return program.lowering.emit(
        "add" if end.direction == "below" else "subtract", LENGTH, end.span, base, lower_length(scope, end.distance)
    )


def _height(program: ProgramContext, drawing: DrawingContext, name: tree.Word, scope: ScopeContext) -> Value:
    """How far down a level of the piece lies, a point of it, or a level of the style, whichever is called so."""
    if name in drawing.level_names():
        program.mention_level(name)
        return drawing.level_y(name)
    point = drawing.points.find(name)
    if point is not None:
        program.lowering.use(point, name.span)
        return program.lowering.emit("point_y", LENGTH, name.span, program.lowering.demand(point))
    program.mention_level(name)
    return scope.level(name)


def _placement(program: ProgramContext, drawing: Marked, node: tree.Mark, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    for path in _from_point_to_point(program, drawing, node, scope):
        yield MarkPlan("placement", str(node.title)[1:-1], path.slot, "", None, node.head)


def _placement_along(program: ProgramContext, drawing: Marked, node: tree.MarkAlong, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    for path in marked_lines(drawing, node):
        yield None if path.kind is UNKNOWN else MarkPlan("placement", str(node.title)[1:-1], path.slot, "", None, node.head)


def _tape(program: ProgramContext, drawing: DrawingContext, node: tree.TapeAlong, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    """Tape is cut and listed, not drawn: all that is told of it is its length, that of the sewn edge."""
    length = program.lowering.emit("edge_closed_length", LENGTH, node.head, drawing.finished_edge(node.edge, node.edge.span))
    words = "" if node.text is None else str(node.text)[1:-1]
    yield None if length.kind is UNKNOWN else MarkPlan("tape", str(node.edge), length.slot, words, length.slot, node.head)


def _lengthening(
    program: ProgramContext, drawing: DrawingContext, node: tree.LengthenOrShorten | tree.LengthenHalfway, scope: ScopeContext
) -> Iterator[MarkPlan | None]:
    names = (node.level,) if isinstance(node, tree.LengthenOrShorten) else (node.one, node.other)
    level, *others = (_height(program, drawing, name, scope) for name in names)
    for other in others:
        level = program.lowering.emit("halfway", LENGTH, node.head, level, other)
    between = program.lowering.constant(BETWEEN_LINES, LENGTH, node.head)
    outline = [edge for _, edge in drawing.finished_outline()]
    for y, words in ((level, "lengthen or shorten here"), (program.lowering.emit("add", LENGTH, node.head, level, between), "")):
        path = program.lowering.emit("line_across", PATH, node.head, y, *outline, told=not is_inherited(drawing, node))
        yield None if path.kind is UNKNOWN else MarkPlan("lengthening", words, path.slot, "", None, node.head)


def _buttonhole(program: ProgramContext, drawing: Marked, node: tree.Buttonhole, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    for place in _from_point_to_point(program, drawing, node, scope, node.one is not None):
        note = "" if node.text is None else str(node.text)[1:-1]
        yield MarkPlan("buttonhole", f"buttonhole {node.start}", place.slot, note, None, node.head, one=node.one is not None)


def _join_line(program: ProgramContext, drawing: Marked, node: tree.JoinLine, scope: ScopeContext) -> Iterator[MarkPlan | None]:
    for place in _from_point_to_point(program, drawing, node, scope):
        note = "" if node.text is None else str(node.text)[1:-1]
        yield MarkPlan("join", f"join {node.start}", place.slot, note, None, node.head)


def _from_point_to_point(
    program: ProgramContext, drawing: Marked, node: tree.Mark | tree.Buttonhole | tree.JoinLine, scope: ScopeContext, once: bool = False
) -> Iterator[Value]:
    """The straight line of a mark, and its images where the piece has been opened out; of what is there `once`, the line alone."""
    for start, end in islice(with_images(drawing, node, (node.start, node.end), scope), 1 if once else None):
        if isinstance(node, tree.Buttonhole) and was_on_piece(drawing):
            start, end = (on_piece(drawing, node, at, "buttonhole", str(ref)) for at, ref in ((start, node.start), (end, node.end)))
        path = program.lowering.emit("draw_line", PATH, node.head, start, end)
        if path.kind is not UNKNOWN:
            yield path


MARKS: dict[type[tree.Statement], Callable[..., Iterator[MarkPlan | PointMarkPlan | None]]] = {
    tree.Bone: _bones,
    tree.BoneAlong: _bones_along,
    tree.TapeAlong: _tape,
    tree.Zip: _zip,
    tree.Mark: _placement,
    tree.MarkAlong: _placement_along,
    tree.LengthenOrShorten: _lengthening,
    tree.LengthenHalfway: _lengthening,
    tree.Buttonhole: _buttonhole,
    tree.JoinLine: _join_line,
    **dict.fromkeys(KINDS, point_marks),
}


def notches(program: ProgramContext, drawing: DrawingContext) -> list[NotchPlan]:
    plans = []
    for index, (node, scope) in enumerate(drawing.notches, 1):
        edge, raw = drawing.finished_edge(node.edge, node.edge.span), drawing.raw_edge(node.edge, node.edge.span)
        if raw is None:
            continue
        end = scope.point(node.end)
        link = next((link for link in drawing.chain() or () if link[0] == node.edge), None)
        turned = link is not None and link[2]
        if end.kind is UNKNOWN:
            continue
        if end.slot not in (raw.start.slot, raw.end.slot):
            program.lowering.error(
                "N231",
                f'"{node.end}" is not an end of "{node.edge}"',
                node.end.span,
                f"an end of {node.edge}",
                f'"{node.end}"',
                "Measure from one of the edge's two ends.",
            )
            continue
        backward = (end.slot == raw.end.slot) != turned
        place = program.lowering.emit(
            "notch_place", LENGTH, node.head, edge, lower_length(scope, node.distance), backward=backward, edge=str(node.edge)
        )
        if place.kind is not UNKNOWN:
            plans.append(NotchPlan(str(node.edge), f"notch {index}", place.slot, node.head))
    return plans
