"""Which edges are sewn to each other: as the style says, and along the cuts that part a piece."""

from __future__ import annotations

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext, ScopeContext
from .expressions import lower_length
from .kinds import UNKNOWN
from .plan import SeamPlan

PLAIN_SEAM = "plain"


def seams_of(program: ProgramContext) -> list[SeamPlan]:
    """What the style sews, and the seams that its cuts leave."""
    seams = []
    for node, scope, _ in program.late:
        seam = _seam(program, node, scope) if isinstance(node, tree.Sew) else None
        if seam is not None:
            seams.append(seam)
    for node, entities in program.cuts:
        pieces = [program.construction_of(entity) for entity in entities]
        if not all(_reaches_cloth(program, piece) for piece in pieces):
            continue  # a part that falls away
        if all(piece.chain() is not None for piece in pieces):
            first, second = (((piece.name, str(node.seam)),) for piece in pieces)
            seams.append(SeamPlan(first, second, None, PLAIN_SEAM, node.head))
    return seams


def _reaches_cloth(program: ProgramContext, piece: DrawingContext) -> bool:
    """Whether a piece is cut, or another that is cut is made from it."""
    if piece.name not in program.foundations:
        return True
    return any(derived.source is piece and _reaches_cloth(program, derived) for derived in program.constructions())


def _seam(program: ProgramContext, node: tree.Sew, scope: ScopeContext) -> SeamPlan | None:
    sides, sound = [], True
    for refs in (node.one, node.other):
        side = []
        for ref in refs:
            if len(ref.parts) != 2:
                scope.edge(ref)
                sound = False
                continue
            drawing = program.construction(ref.parts[0], ref.parts[0].span)
            sound = drawing is not None and is_outline_edge(program, drawing, ref) and sound
            side.append((str(ref.parts[0]), str(ref.parts[1])))
        sides.append(tuple(side))
    ease = lower_length(scope, node.how.amount) if isinstance(node.how, tree.Easing) else None
    if not sound or (ease is not None and ease.kind is UNKNOWN):
        return None
    kind = "eased" if ease is not None else "gathered" if isinstance(node.how, tree.Gathered) else PLAIN_SEAM
    return SeamPlan(sides[0], sides[1], None if ease is None else ease.slot, kind, node.head)


def is_outline_edge(program: ProgramContext, drawing: DrawingContext, ref: tree.Ref) -> bool:
    """Whether an edge of the outline bears this name; said where none does."""
    names = [str(name) for name in drawing.edge_names()]
    if not names:
        return False
    if ref.parts[-1] not in names:
        program.lowering.unknown_name(f"edge of {drawing.name}", ref.parts[-1], ref.parts[-1].span, names)
        return False
    drawing.mention(ref.parts[-1])
    return drawing.chain() is not None
