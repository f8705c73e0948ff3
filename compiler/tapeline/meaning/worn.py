"""Where a piece is worn: in front or behind, and on which side of the body as it is drawn with the right side of the cloth up.

A piece that says nothing takes it from its source; with others joined to it, only where all of them are worn there.  A copy that is
mirrored is for the other side, and so is a facing or a lining, whose right side lies to the body, made from what does not lie so.
A piece that is worn on neither side, or on both, says nothing, and nothing is guessed from its name.
"""

from __future__ import annotations

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext
from .cut_counts import cut_of

WHERE = {"in front": "front", "behind": "back"}
SIDES = {"on the left": "left", "on the right": "right"}
OTHER_SIDE = {"left": "right", "right": "left", "": ""}


def worn(program: ProgramContext, drawing: DrawingContext) -> str:
    """ "front", "back", or nothing."""
    if "worn" in drawing.singles:
        return WHERE[str(drawing.singles["worn"][0].place.in_front_or_behind)]
    if drawing.source is None:
        return ""
    joined = [program.construction_named(str(node.piece)) for node, _ in drawing.changes if isinstance(node, tree.Join)]
    places = {worn(program, piece) for piece in (drawing.source, *joined) if piece is not None}
    return places.pop() if len(places) == 1 else ""


def side_of(program: ProgramContext, drawing: DrawingContext) -> str:
    """ "left" or "right", where the piece or what it is made from says so; else nothing."""
    if "worn side" in drawing.singles:
        return _said(program, drawing)
    if drawing.source is None or cut_of(program, drawing).fold is not None or not is_half(program, drawing):
        return ""
    side = side_of(program, drawing.source)
    inward = cut_of(program, drawing).is_inward != cut_of(program, drawing.source).is_inward
    return OTHER_SIDE[side] if is_mirrored(drawing) != inward else side


def _said(program: ProgramContext, drawing: DrawingContext) -> str:
    node, _ = drawing.singles["worn side"]
    fold = cut_of(program, drawing).fold
    if fold is None:
        return SIDES[str(node.place.side_word)]
    program.lowering.error(
        "N375",
        f"{drawing.name} is cut on the fold, and so is worn on both sides",
        node.place.side_word.span,
        "a piece for one side of the body",
        f"cut on fold at {fold}",
        "Leave the side out; or cut the piece once or in pairs, without the fold.",
    )
    return ""


def is_mirrored(drawing: DrawingContext) -> bool:
    """Whether a piece is drawn the other way round than what it is made from."""
    return sum(isinstance(node, tree.Mirror) for node, _ in drawing.changes) % 2 == 1


def is_half(program: ProgramContext, drawing: DrawingContext) -> bool:
    """Whether a piece is drawn for one side of the body: in pairs, on the fold, said to be of one side, or made from such a piece
    and not opened out."""
    cut = cut_of(program, drawing)
    if cut.fold is not None or cut.paired or "worn side" in drawing.singles:
        return True
    return drawing.source is not None and is_half(program, drawing.source) and not drawing.opened
