"""What a style says of its cloth and its notions (buttons): for the cutting list, never for the drawing."""

from __future__ import annotations

from collections.abc import Mapping

from ..source.text import Span
from ..syntax import tree
from .contexts import ProgramContext, ScopeContext
from .expressions import lower_kind, lower_length
from .kinds import CONDITION, LENGTH, NUMBER, UNKNOWN
from .plan import ButtonsPlan, ClothPlan, Requirement, Value


def stated(program: ProgramContext) -> tuple[tuple[ClothPlan, ...], tuple[ButtonsPlan, ...]]:
    cloths: dict[str, ClothPlan] = {}
    buttons: list[ButtonsPlan] = []
    marked = _marked_buttons(program)
    for node, scope, _ in program.late:
        if isinstance(node, tree.Cloth):
            cloth = _cloth(program, node, scope)
            if cloth is None:
                continue
            if cloth.purpose in cloths:
                noun = f'cloth for "{cloth.purpose}"' if cloth.purpose else "cloth of the garment's outside"
                program.lowering.error(
                    "N228",
                    f"The {noun} is given twice",
                    node.head,
                    "one width of each cloth",
                    "a second",
                    "Keep one of the two.",
                    ((cloths[cloth.purpose].span, "first given here"),),
                )
                continue
            cloths[cloth.purpose] = cloth
        elif isinstance(node, tree.Buttons):
            _counted_once(program, node, marked)
            plan = _buttons(program, node, scope)
            buttons += [plan] if plan is not None else []
    return tuple(cloths.values()), tuple(buttons)


def _cloth(program: ProgramContext, node: tree.Cloth, scope: ScopeContext) -> ClothPlan | None:
    width = positive(program, scope, node.width, "Cloth must have a width")
    purpose = "" if node.purpose is None else str(node.purpose.words)[1:-1]
    repeat = None
    if node.matching is not None:
        repeat = positive(program, scope, node.matching.repeat, "Stripes and checks must repeat after a length")
    if UNKNOWN in (width.kind, LENGTH if repeat is None else repeat.kind):
        return None
    checked = isinstance(node.matching, tree.WithChecks)
    return ClothPlan(purpose, width.slot, node.nap is not None, node.head, None if repeat is None else repeat.slot, checked)


def _buttons(program: ProgramContext, node: tree.Buttons, scope: ScopeContext) -> ButtonsPlan | None:
    lowering = program.lowering
    count, size = lower_kind(scope, node.count, NUMBER), positive(program, scope, node.size, "A button must have a size")
    if UNKNOWN in (count.kind, size.kind):
        return None
    usual = lowering.samples.get(count.slot)
    if usual is not None and (usual < 0 or abs(usual - round(usual)) > 1e-6):
        lowering.error(
            "N210", "Buttons are counted in whole numbers", node.count.span, "0, 1, 2, 3, ...", node.count.span.text.strip(), ""
        )
        return None
    # A count can also come of a calculation, or of a choice as it is set: then it is known only with the body.
    nearest = lowering.emit(
        "greatest",
        NUMBER,
        node.count.span,
        lowering.emit("rounded_down", NUMBER, node.count.span, count),
        lowering.constant(0.0, NUMBER, node.count.span),
    )
    _require(program, node.count.span, "Buttons are counted in whole numbers", count, nearest, "is")
    return ButtonsPlan(count.slot, size.slot, "" if node.text is None else str(node.text)[1:-1], node.head)


def _marked_buttons(program: ProgramContext) -> dict[str, tree.ButtonAt]:
    """The words of buttons whose places are marked on a piece, each with a statement that says it."""
    nodes = [node for drawing in program.drawn for node, _ in drawing.marks if isinstance(node, tree.ButtonAt)]
    return {"" if node.text is None else str(node.text)[1:-1]: node for node in nodes}


def _counted_once(program: ProgramContext, node: tree.Buttons, marked: Mapping[str, tree.ButtonAt]) -> None:
    """Buttons whose places are marked are counted by these; `buttons` is for others, and says in other words which."""
    words = "" if node.text is None else str(node.text)[1:-1]
    if words in marked:
        program.lowering.error(
            "N320",
            "These buttons are counted by their places already",
            node.head,
            "buttons whose places are not marked, in words of their own",
            f'places of buttons "{words}" on a piece' if words else "places of buttons on a piece",
            "Take this line out; or say with another text which buttons it means besides.",
            ((marked[words].head, "a place is marked here"),),
        )


def positive(program: ProgramContext, scope: ScopeContext, node: tree.Expression, message: str) -> Value:
    value = lower_length(scope, node)
    if value.kind is not UNKNOWN:
        _require(program, node.head, message, value, program.lowering.constant(0.0, LENGTH, node.head), "more than")
    return value


def _require(program: ProgramContext, span: Span, message: str, value: Value, limit: Value, relation: str) -> None:
    condition = program.lowering.emit("compare", CONDITION, span, value, limit, relation=relation)
    if condition.kind is not UNKNOWN:
        program.requirements.append(
            Requirement(condition.slot, message, span, "error", ((" ".join(span.text.split()), value.slot, value.kind),))
        )
