"""How often a piece is cut, from which layers, and whether on the fold: as it says, or as the piece that it is made from."""

from __future__ import annotations

from dataclasses import replace

from ..syntax import tree
from .contexts import DrawingContext, ProgramContext
from .cutting import Cut, Extra


def cut_of(program: ProgramContext, drawing: DrawingContext) -> Cut:
    """How often a piece is cut; once, where nothing is said.

    A piece made from another is cut as often as that one; a part without its fold, once for either side of it.
    """
    if "cut" not in drawing.singles:
        return _as_before(program, drawing)
    node, _ = drawing.singles["cut"]
    if isinstance(node, tree.CutFor):
        return replace(_as_before(program, drawing), extras=_extras(program, node), purpose=str(node.purpose.words)[1:-1])
    lowering = program.lowering
    if not str(node.count).isdigit() or int(node.count) < 1:
        lowering.error("N210", "A piece is cut a whole number of times", node.count.span, "1, 2, 3, ...", f"{node.count}", "")
        return Cut()
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
    return Cut(count, fold, paired, _extras(program, node), str(node.purpose.words)[1:-1] if node.purpose is not None else "")


def made_from(drawing: DrawingContext) -> str:
    """The name of the piece that one is made from, through what it was before its own changes and fittings; none where it is drawn."""
    source = drawing.source
    while source is not None and source.name == drawing.name:
        source = source.source
    return "" if source is None else source.name


def _as_before(program: ProgramContext, drawing: DrawingContext) -> Cut:
    """As the piece that it is made from; once, where there is none."""
    if drawing.source is None:
        return Cut()
    before = cut_of(program, drawing.source)
    if before.fold is None or any(name == before.fold for name in drawing.edge_names()):
        return before
    if before.fold in drawing.opened:
        return replace(before, fold=None)
    return replace(before, count=2 * before.count, fold=None, paired=True)


def _extras(program: ProgramContext, node: tree.Cut | tree.CutFor) -> tuple[Extra, ...]:
    extras = []
    for extra in node.extras or ():
        if str(extra.count).isdigit():
            extras.append(Extra(int(extra.count), str(extra.purpose)[1:-1], extra.net is not None))
        else:
            program.lowering.error(
                "N210", "A layer is cut a whole number of times", extra.count.span, "1, 2, 3, ...", f"{extra.count}", ""
            )
    return tuple(extras)
