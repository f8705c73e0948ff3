"""Statements that change a piece, to steps: each takes the piece as it is drawn so far and gives it changed.

They act in the order in which they are written, on names that the piece has at that moment.  What each does to the cloth
is told in `drafting` (pivoting, parting, spreading, joining); here the names are followed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from ..syntax import tree
from . import joining, lengthening, moving_edges, pivoting, spreading
from .change import ChangeScope
from .contexts import ScopeContext
from .drawn import Drawn, Pieces, Workpiece
from .kinds import UNKNOWN

MOST_EDGES = 240
MOST_SLASHED = 120

_CHANGE: dict[type[tree.Node], Callable[[ChangeScope, Drawn, Any], Drawn | None]] = {
    tree.Pivot: pivoting.pivot,
    tree.PivotInto: pivoting.pivot_into,
    tree.Close: pivoting.close,
    tree.Shorten: pivoting.shorten,
    tree.Release: pivoting.release,
    tree.PressDart: pivoting.press,
    tree.PressDarts: pivoting.press_each,
    tree.Spread: spreading.spread,
    tree.Pleats: spreading.pleats,
    tree.PleatsAlong: spreading.pleats,
    tree.Mirror: joining.mirror,
    tree.OpenOut: joining.open_out,
    tree.Join: joining.join,
    tree.Extend: joining.extend,
    tree.Trim: joining.trim,
    tree.Face: joining.face,
    tree.TrueEdge: joining.true_edge,
    tree.TakeIn: moving_edges.move,
    tree.LetOut: moving_edges.move,
    tree.Drop: moving_edges.move,
    tree.Raise: moving_edges.move,
    tree.RaiseEnd: moving_edges.raise_end,
    tree.Lengthen: lengthening.lengthen,
    tree.ShortenPieces: lengthening.lengthen,
}
CHANGES = tuple(_CHANGE)


def changed(
    program: Pieces, drawing: Workpiece, drawn: Drawn | None, statements: Iterable[tuple[tree.Node, ScopeContext]], stays: str | None
) -> Drawn | None:
    """The piece after its changes; None once one cannot be read, which has been said."""
    for node, scope in statements:
        if drawn is None:
            return None
        drawn = _CHANGE[type(node)](ChangeScope(program, drawing, scope, stays), drawn, node)
        if drawn is not None and (drawn.shape.kind is UNKNOWN or _too_much(drawn, node)):
            return None
    return drawn


def _too_much(drawn: Drawn, node: tree.Node) -> bool:
    """Whether a piece has been joined or slashed beyond reason, which is said: pieces made from pieces grow by doubling."""
    for found, most, things in (
        (len(drawn.edges), MOST_EDGES, "edges"),
        (drawn.slashes, MOST_SLASHED, "slashes and pleats, those of the pieces that it is made from among them"),
    ):
        if found > most:
            drawn.lowering.error(
                "N287",
                "The piece becomes too much to draw",
                node.head,
                f"at most {most} {things}",
                f"{found}",
                "Make it from fewer pieces, or with fewer slashes.",
            )
            return True
    return False
