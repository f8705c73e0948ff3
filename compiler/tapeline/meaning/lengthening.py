"""Pieces made longer or shorter along a level (see `drafting.lengthening` for the cloth).  The ring stays."""

from __future__ import annotations

from ..syntax import tree
from .change import ChangeScope
from .drawn import Drawn
from .expressions import lower_length
from .kinds import LENGTH, UNKNOWN
from .lowering import POISON
from .plan import Value


def lengthen(change: ChangeScope, drawn: Drawn, node: tree.LengthMoved) -> Drawn | None:
    name, longer = str(node.level), isinstance(node, tree.Lengthen)
    depth = _depth(change, drawn, node)
    if depth is None:
        return None
    if node.off is not None:
        off = lower_length(change.scope, node.off.amount)
        depth = change.lowering.emit("subtract" if node.off.way == "above" else "add", LENGTH, node.off.head, depth, off)
        name = f"{' '.join(node.off.head.text.split())} {name}"
    amount = lower_length(change.scope, node.amount)
    if node.side is not None:
        amount = change.lowering.emit("on_side", LENGTH, node.side.head, amount, side=str(node.side.side).removeprefix("on the "))
    if UNKNOWN in (depth.kind, amount.kind):
        return None
    after = drawn.change("lengthen", node.head, drawn.ring, depth, amount, longer=longer, name=name)
    return after.having(parted_at=(*drawn.parted_at, (depth, amount, longer)))


def _depth(change: ChangeScope, drawn: Drawn, node: tree.LengthMoved) -> Value | None:
    """How deep on the piece a level lies that runs straight across it, or that is told by a point; None, said."""
    name, program = str(node.level), change.program
    straight = [level for level in drawn.levels if drawn.drawing.runs_straight(level)]
    if name in straight:
        program.mention_level(node.level)
        return drawn.depth(name)
    if name in drawn.point_names():
        drawn.mention(node.level)
        return change.lowering.emit("point_y", LENGTH, node.level.span, drawn.point(name, node.level.span) or POISON)
    if name not in drawn.levels and not program.is_level(name):
        change.lowering.unknown_name("level or point", node.level, node.level.span, [*straight, *drawn.point_names()])
        return None
    program.mention_level(node.level)
    change.lowering.error(
        "N386",
        f"The level {name} does not run straight across {drawn.drawing.name}",
        node.level.span,
        f"one of: {', '.join(straight)}" if straight else "a level that runs straight across the piece, or a point of it",
        f'"{name}"',
        f"Name a level that does, or a point of {drawn.drawing.name} at which it is parted.",
    )
    return None
