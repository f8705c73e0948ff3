"""What every change of a piece may look at besides the piece itself."""

from __future__ import annotations

from typing import Any, NamedTuple

from ..syntax import tree
from .contexts import ScopeContext
from .drawn import Drawn, Pieces, Workpiece


class Stays(NamedTuple):
    """Which part of a piece stays: that at the corner where an edge begins, or instead that with a point within the piece."""

    edge: str
    point: str | None = None
    said: str | None = None  # by which name, where one is said


class ChangeScope:
    """What a change may look at besides the piece: where values are read, and which edge the piece stays at."""

    def __init__(self, program: Pieces, drawing: Workpiece, scope: ScopeContext, stays: str | None):
        self.program, self.drawing, self.scope = program, drawing, scope  # `drawing` is the piece that is changed
        self.lowering = program.lowering
        self.stays = stays

    def held(self, drawn: Drawn) -> str:
        return self.stays if self.stays is not None and self.stays in drawn.edges else drawn.edges[0]

    def staying(self, drawn: Drawn, slashed: tuple[str, str], node: tree.Staying | None) -> Stays | None:
        """Which part stays where the piece is slashed from edge to edge; None, said."""
        if node is None:
            return Stays(self.held(drawn))
        name = str(node.at)
        drawn.mention(node.at.parts[-1])
        if name in drawn.corners:
            return Stays(drawn.corners[name], said=name)
        if name in drawn.edges and name not in slashed:
            return Stays(name, said=name)
        if name in drawn.points:
            return Stays(self.held(drawn), point=name, said=name)
        others = [edge for edge in drawn.edges if edge not in slashed]
        if name in drawn.edges:
            self.lowering.error(
                "N290",
                f'No one part of the piece has the whole of "{name}", which is slashed',
                node.at.span,
                "an edge that is not slashed, a corner or a point",
                f'"{name}"',
                f"Name what stays: {', '.join([*others, *drawn.corners])}.",
            )
        else:
            self.lowering.unknown_name("edge or point", name, node.at.span, [*others, *drawn.corners, *drawn.inner_points()])
        return None

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
