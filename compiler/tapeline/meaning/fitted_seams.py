"""What fittings do to seams, and to the layers that lie on what is fitted.

A seam whose edges were moved carries how much longer each of them has become by it: what the edge is as it was fitted, less what it
was as it was drafted.  An edge of a piece that is made from a fitted one has what the edge gained that it was, as long as it is
still that edge from end to end.  A facing or a lining that was made of the same edge, from what the fitted piece is made from, does not follow;
the pairs are kept, and which of them lie on each other is seen when both have lengths.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, ProgramContext
from .cut_counts import cut_of
from .fitting import moves
from .kinds import LENGTH
from .plan import FittedPlan, LayerPlan, SeamPlan, Value

Place = tuple[str, str]


def fitted_seams(program: ProgramContext, seams: Sequence[SeamPlan]) -> list[SeamPlan]:
    """The seams, each with what its edges gained by fittings; those that no fitting touches as they are."""
    return [seam._replace(fitted=_fitted(program, seam)) for seam in seams] if program.fittings else list(seams)


def _fitted(program: ProgramContext, seam: SeamPlan) -> FittedPlan | None:
    one, other = (tuple(_gained(program, place, seam.span) for place in side) for side in (seam.one, seam.other))
    if not any(slot is not None for slot in (*one, *other)):
        return None
    places = {
        here for place in (*seam.one, *seam.other) for origin in ancestry(program, place) for here in _with_neighbours(program, origin)
    }
    return FittedPlan((one, other), tuple(node.head for node, _ in program.fittings if _touches(node, places)))


def _with_neighbours(program: ProgramContext, place: Place) -> list[Place]:
    """An edge, and those on either side of it: where these are moved its length changes too."""
    drawing = program.construction_named(place[0])
    names = [] if drawing is None else drawing.edge_names()
    if place[1] not in names:
        return [place]
    number = names.index(place[1])
    return [(place[0], names[k % len(names)]) for k in (number - 1, number, number + 1)]


def _touches(node: tree.Node, places: set[Place]) -> bool:
    """Whether a fitting moves one of these edges, or works on the whole of one of their pieces."""
    if isinstance(node, (tree.EdgesMoved, tree.Raise)):
        return any((str(ref.parts[0]), str(ref.parts[-1])) in places for ref in node.edges)
    return isinstance(node, (tree.LengthMoved, tree.Fit)) and any(str(name) == piece for name in node.pieces for piece, _ in places)


def _gained(program: ProgramContext, place: Place, span: Span) -> int | None:
    """The slot of how much longer an edge has become by all fittings of its piece, and of those that it is made from."""
    total: Value | None = None
    own = None
    for name, edge in ancestry(program, place):
        drawing = program.construction_named(name)
        if drawing is None or edge not in drawing.edge_names():
            break
        if own is None:
            own = _length(drawing, edge, span)
        if drawing.drafted is not None:
            lengths = _length(drawing, edge, span), _length(drawing.drafted, edge, span)
            gained = program.lowering.emit("gained_by_fitting", LENGTH, span, own, *lengths)
            total = gained if total is None else program.lowering.emit("add", LENGTH, span, total, gained)
    return None if total is None else total.slot


def _length(drawing: DrawingContext, edge: str, span: Span) -> Value:
    return drawing.lowering.emit("edge_closed_length", LENGTH, span, drawing.set_edge(edge))


def ancestry(program: ProgramContext, place: Place) -> Iterator[Place]:
    """An edge, the edge that it was in what its piece is made from, and so on."""
    seen: set[Place] = set()
    here: Place | None = place
    while here is not None and here not in seen:
        seen.add(here)
        yield here
        drawing = program.construction_named(here[0])
        here = None if drawing is None else drawing.origin(here[1])


# ------------------------------------------------------------ layers


def layers_of(program: ProgramContext) -> tuple[LayerPlan, ...]:
    """Edges of facings, linings and the like that were the same as one that a fitting moves, or cuts off, and do not follow it."""
    said = [(node, place) for node, _ in program.fittings for place in _moved(program, node)]
    if not said:
        return ()
    moved = {".".join(place) for _, place in said}
    layers = [(piece, edge) for piece in program.issued() if cut_of(program, piece).purpose for edge in piece.edge_names()]
    beside = [(node, near) for node, place in said for near in _with_neighbours(program, place) if ".".join(near) not in moved]
    plans: dict[tuple[Place, Place], LayerPlan] = {}
    for node, place in (*said, *beside):
        drawing = program.construction_named(place[0])
        if drawing is None or drawing.drafted is None or cut_of(program, drawing).purpose:
            continue
        for layer, edge in layers:
            there = (layer.name, edge)
            if (place, there) in plans or _root(program, there) != _root(program, place) or moves(program, ".".join(there), moved):
                continue
            was, now, length = (
                _length(one, name, node.head).slot for one, name in ((drawing.drafted, place[1]), (drawing, place[1]), (layer, edge))
            )
            line = _line(node, place, there) if ".".join(place) in moved else ""
            plans[place, there] = LayerPlan(place, there, was, now, length, node.head, line)
    return tuple(plans.values())


def _root(program: ProgramContext, place: Place) -> Place:
    return list(ancestry(program, place))[-1]


def _moved(program: ProgramContext, node: tree.Node) -> Iterator[Place]:
    """The edges that a fitting moves; of a recipe, those that its own statements name."""
    if isinstance(node, (tree.EdgesMoved, tree.Raise)):
        yield from ((str(ref.parts[0]), str(ref.parts[1])) for ref in node.edges if len(ref.parts) == 2)
    elif isinstance(node, tree.Fit):
        for name in node.pieces:
            drawing = program.construction_named(str(name))
            yield from ((str(name), edge) for edge in _changed(() if drawing is None else drawing.changes))


def _changed(changes: Iterable[tuple[tree.Node, object]]) -> Iterator[str]:
    for change, _ in changes:
        if isinstance(change, (tree.EdgesMoved, tree.Raise)):
            yield from (str(ref.parts[-1]) for ref in change.edges)
        elif isinstance(change, tree.RaiseEnd):
            yield str(change.edge)


def _line(node: tree.Node, place: Place, layer: Place) -> str:
    """A fitting as it would have to be written to move the layer as well."""
    text = " ".join(node.head.text.split())
    old, new = (place[0], layer[0]) if isinstance(node, tree.Fit) else (".".join(place), ".".join(layer))
    return text.replace(old, f"{old} and {new}", 1)
