"""What every change of a piece may look at besides the piece itself."""

from __future__ import annotations

from typing import Any

from ..syntax import tree
from .contexts import ScopeContext
from .drawn import Drawn, Pieces, Workpiece


class ChangeScope:
    """What a change may look at besides the piece: where values are read, and which edge the piece stays at."""

    def __init__(self, program: Pieces, drawing: Workpiece, scope: ScopeContext, stays: str | None):
        self.program, self.drawing, self.scope = program, drawing, scope  # `drawing` is the piece that is changed
        self.lowering = program.lowering
        self.stays = stays

    def held(self, drawn: Drawn) -> str:
        return self.stays if self.stays is not None and self.stays in drawn.edges else drawn.edges[0]

    def pressed(self, drawn: Drawn, edge: str, node: Any) -> str | None:
        """To which side a fold on an edge is pressed, in the direction of the outline; None, said."""
        if node is None:
            return "near"
        end = drawn.end(edge, node.end)
        return None if end is None else "near" if end == "start" else "far"


def as_written(statements: list[tuple[tree.Node, ScopeContext]]) -> list[tuple[tree.Node, ScopeContext]]:
    """(statement, scope) pairs in the order in which they are written, those of another file after all of the one before: so
    a recipe comes before its piece, and a style before what one that starts from it adds."""
    files = list(dict.fromkeys(node.head.source for node, _ in statements))
    return sorted(statements, key=lambda pair: (files.index(pair[0].span.source), pair[0].span.start))
