"""What one side of the body alone has: a zip, a slit or a mark that is said to be `on the left` or `on the right`.

Of a pair one piece has it, of a piece on the fold one half.  A piece that was made from such a one keeps it where it still lies: one that is of
the other side, by what it says, does not have it; one that was opened out has it on that side.
"""

from __future__ import annotations

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext
from .cut_counts import cut_of
from .point_marks import is_inherited
from .worn import SIDES, is_half, side_of


def marked_side(program: ProgramContext, drawing: DrawingContext, node: tree.Statement) -> str | None:
    """On which side alone a piece has a mark; nothing where on both; None where it has it not."""
    on: tree.OnSide | None = getattr(node, "on", None)
    if on is None:
        return ""
    side = SIDES[str(on.side)]
    cut = cut_of(program, drawing)
    if cut.count > 1 or cut.fold is not None:  # one of the pair, or one half
        return side
    if not is_half(program, drawing):
        if not drawing.opened:
            _refused(
                program,
                on,
                f"{drawing.name} is cut once and lies on both sides",
                "Set the place where it is meant, and leave the side out.",
            )
        return side
    own = side_of(program, drawing)
    if own in (side, ""):  # where it does not say, papers say of the mark
        return "" if own else side
    if not is_inherited(drawing, node):
        _refused(program, on, f"{drawing.name} is worn on the {own}", "Leave the side out, or say this of the piece of the other side.")
    return None


def opened_sides(program: ProgramContext, node: tree.Sew) -> list[str]:
    """On which side alone each stretch of a seam is left open; nothing where on both."""
    if node.left_open is None:
        if node.on is not None:
            _refused(program, node.on, "nothing is left open in this seam", "Say what is left open before it: , leaving open P to Q")
        return []
    usual = "" if node.on is None else SIDES[str(node.on.side)]
    return [usual if stretch.side is None else SIDES[str(stretch.side)] for stretch in node.left_open.stretches]


def _refused(program: ProgramContext, on: tree.OnSide, found: str, way_out: str) -> None:
    program.lowering.error(
        "N376",
        f'"{on.side}" is said of what has no other side',
        on.side.span,
        "one of a pair, or one half of a piece on the fold",
        found,
        way_out,
    )
