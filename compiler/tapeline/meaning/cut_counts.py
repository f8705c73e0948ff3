"""How often a piece is cut, from which layers, and whether on the fold: as it says, or as the piece that it is made from."""

from __future__ import annotations

from dataclasses import replace

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext
from .cutting import Cut


def cut_of(program: ProgramContext, drawing: DrawingContext) -> Cut:
    """How often a piece is cut; once, where nothing is said.

    A piece made from another is cut as often as that one; a part without its fold, once for either side of it.
    """
    if "cut" not in drawing.singles and drawing.source is not None:
        before = cut_of(program, drawing.source)
        if before.fold is None or any(name == before.fold for name in drawing.edge_names()):
            return before
        if before.fold in drawing.opened:
            return replace(before, fold=None)
        return replace(before, count=2 * before.count, fold=None, paired=True)
    if "cut" not in drawing.singles:
        return Cut()
    node, _ = drawing.singles["cut"]
    lowering = program.lowering
    if not str(node.count).isdigit() or int(node.count) < 1:
        lowering.error("N210", "A piece is cut a whole number of times", node.count.span, "1, 2, 3, ...", f"{node.count}", "")
        return Cut()
    extras = []
    for extra in node.extras or ():
        if not str(extra.count).isdigit():
            lowering.error("N210", "A layer is cut a whole number of times", extra.count.span, "1, 2, 3, ...", f"{extra.count}", "")
            continue
        extras.append((int(extra.count), str(extra.purpose)[1:-1]))
    fold = None
    if isinstance(node.fold, tree.OnFold):
        chain = drawing.chain() or ()
        fold = str(node.fold.edge)
        drawing.mention(node.fold.edge)
        if chain and all(name != fold for name, _, _ in chain):
            lowering.unknown_name("edge", node.fold.edge, node.fold.edge.span, [str(name) for name, _, _ in chain])
            fold = None
    count = int(node.count)
    paired = count % 2 == 0 and fold is None and not isinstance(node.fold, tree.Alike)
    return Cut(count, fold, paired, tuple(extras), str(node.purpose.words)[1:-1] if node.purpose is not None else "")
