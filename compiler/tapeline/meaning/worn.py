"""Where a piece is worn: in front or behind, as it says, else as what it is made from.

A piece that says nothing takes it from its source; with others joined to it, only where all of them are worn there.  A piece
that is worn on neither side, or on both, says nothing, and nothing is guessed from its name.
"""

from __future__ import annotations

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext

SIDES = {"in front": "front", "behind": "back"}


def worn(program: ProgramContext, drawing: DrawingContext) -> str:
    """ "front", "back", or nothing."""
    if "worn" in drawing.singles:
        return SIDES[str(drawing.singles["worn"][0].side)]
    if drawing.source is None:
        return ""
    joined = [program.construction_named(str(node.piece)) for node, _ in drawing.changes if isinstance(node, tree.Join)]
    sides = {worn(program, piece) for piece in (drawing.source, *joined) if piece is not None}
    return sides.pop() if len(sides) == 1 else ""
