"""Places marked on a piece with a sign: the bust point and the like, drill holes, buttons, hooks and loops.

A place is a named point, so changes of the piece carry it.  What a piece was opened out from has the place and its image, named
like all that is drawn so, `other_P`; what is on one piece alone has no image.  On a part of a cut stands what lies on that part.  A place that is said of a piece itself
must lie on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, ScopeContext
from .kinds import POINT, UNKNOWN
from .lowering import POISON
from .marked_lines import Marked
from .notions import positive
from .plan import PointMarkPlan, Value
from .ring import IMAGE

BUTTON, HOOK, LOOP, DRILL, NAMED = "button", "hook", "loop", "drill", "place"
KINDS: dict[type[tree.Statement], str] = {
    tree.MarkAt: NAMED,
    tree.DrillAt: DRILL,
    tree.ButtonAt: BUTTON,
    tree.HookAt: HOOK,
    tree.LoopAt: LOOP,
}
NOUNS = {NAMED: "place", DRILL: "drill hole", BUTTON: "button", HOOK: "hook", LOOP: "loop"}


def point_marks(
    program: ProgramContext,
    drawing: Marked,
    node: tree.MarkAt | tree.DrillAt | tree.ButtonAt | tree.HookAt | tree.LoopAt,
    scope: ScopeContext,
) -> Iterator[PointMarkPlan | None]:
    """The place of a mark, and its images where the piece has been opened out."""
    kind = KINDS[type(node)]
    title = node.title if isinstance(node, tree.MarkAt) else node.text
    words = "" if title is None else str(title)[1:-1]
    size = positive(program, scope, node.size, "A button must have a size") if isinstance(node, tree.ButtonAt) else None
    one = isinstance(node, (tree.ButtonAt, tree.HookAt, tree.LoopAt)) and node.one is not None
    if size is not None and size.kind is UNKNOWN:
        return
    for number, (place,) in enumerate([[scope.point(node.place)]] if one else with_images(drawing, node, [node.place], scope)):
        called = f"{IMAGE * number}{node.place}"
        at = on_piece(drawing, node, place, kind, called)
        if at.kind is not UNKNOWN:
            yield PointMarkPlan(kind, f"{kind} {called}", words, at.slot, None if size is None else size.slot, one, node.head)


def with_images(drawing: Marked, node: tree.Statement, refs: Sequence[tree.Ref], scope: ScopeContext) -> Iterator[list[Value]]:
    """The points that a mark names, then their images where the piece has been opened out after it was said."""
    yield [scope.point(ref) for ref in refs]
    base, source = drawing.base, drawing.source
    if base is None or source is None or not (source.name == drawing.name or is_inherited(drawing, node)):
        return  # said here: of these places alone
    known, names = set(base.point_names()), [str(ref) for ref in refs]
    while all(name in known and IMAGE + name in known for name in names):
        names = [IMAGE + name for name in names]
        yield [base.point(name, node.head) or POISON for name in names]


def on_piece(drawing: Marked, node: tree.Statement, place: Value, kind: str, name: str) -> Value:
    if place.kind is UNKNOWN:
        return place
    outline = [edge for _, edge in drawing.finished_outline()]
    parted = drawing.base is not None and drawing.base.parted
    told = not parted and not is_inherited(drawing, node)
    noun = NOUNS.get(kind, kind)
    cut_off = f"{noun} {name} of {drawing.name}" if not told and was_on_piece(drawing) else ""
    return drawing.lowering.emit("place_on_piece", POINT, node.head, place, *outline, noun=noun if told else "", cut_off=cut_off)


def was_on_piece(drawing: Marked) -> bool:
    """Whether what was marked lay on the piece before it was fitted: on the parts of a cut lies what comes to lie there."""
    source = drawing.source
    return drawing.drafted is not None and source is not None and not (source.base is not None and source.base.parted)


def is_inherited(drawing: DrawingContext, node: tree.Statement) -> bool:
    """Whether a mark was said of what the piece is made from: of it there stands what lies on the piece."""
    source = drawing.source
    return source is not None and any(node is other for other, _ in source.marks)
