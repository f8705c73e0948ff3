"""Pieces made longer or shorter along a level (see `drafting.lengthening` for the cloth).  The ring stays."""

from __future__ import annotations

from ..syntax import tree
from .change import ChangeScope
from .drawn import Drawn
from .expressions import lower_length
from .kinds import LENGTH, UNKNOWN


def lengthen(change: ChangeScope, drawn: Drawn, node: tree.LengthMoved) -> Drawn | None:
    name, program, longer = str(node.level), change.program, isinstance(node, tree.Lengthen)
    if name not in drawn.levels or not drawn.drawing.runs_straight(name):
        straight = [level for level in drawn.levels if drawn.drawing.runs_straight(level)]
        if name in drawn.levels or program.is_level(name):
            program.mention_level(node.level)
            change.lowering.error(
                "N386",
                f"The level {name} does not run straight across {drawn.drawing.name}",
                node.level.span,
                f"one of: {', '.join(straight)}" if straight else "a level that runs straight across the piece",
                f'"{name}"',
                f"Name a level that does, or say where it lies on {drawn.drawing.name}: level {name} at a point.",
            )
        else:
            change.lowering.unknown_name("level", node.level, node.level.span, straight)
        return None
    program.mention_level(node.level)
    depth, amount = drawn.depth(name), lower_length(change.scope, node.amount)
    if node.side is not None:
        amount = change.lowering.emit("on_side", LENGTH, node.side.head, amount, side=str(node.side.side).removeprefix("on the "))
    if UNKNOWN in (depth.kind, amount.kind):
        return None
    after = drawn.change("lengthen", node.head, drawn.ring, depth, amount, longer=longer, name=name)
    return after.having(parted_at=(*drawn.parted_at, (depth, amount, longer)))
