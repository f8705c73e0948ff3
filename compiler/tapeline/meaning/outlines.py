"""Edges put end to end by the names of their ends, never by nearness: an outline, or the parts of a joined edge."""

from __future__ import annotations

from collections.abc import Sequence

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, Link, RawEdge
from .lowering import POISON
from .plan import Value

NO_EDGE = RawEdge(POISON, POISON, POISON)


def chained(drawing: DrawingContext, edges: Sequence[tuple[str, RawEdge]], ring: bool) -> list[Link] | None:
    """Edges put end to end by the names of their ends: (name, edge, turned round?) each; None with an error."""
    lowering = drawing.lowering
    first = edges[0][1]
    if len(edges) == 1:
        if ring and first.start.slot != first.end.slot:
            lowering.error(
                "N209",
                f"The outline of {drawing.name} does not close",
                _place(edges[0][0]) or drawing.span,
                "edges that lead back to the start",
                "one edge",
                "List all edges of the outline in order.",
            )
            return None
        return [(edges[0][0], first, False)]
    second = edges[1][1]
    turned = first.end.slot not in (second.start.slot, second.end.slot)
    if len(edges) == 2 and ring and first.start.slot == second.start.slot:
        turned = False
    joint = first.start if turned else first.end
    chain = [(edges[0][0], first, turned)]
    for (before, _), (name, edge) in zip(edges, edges[1:], strict=False):
        if edge.start.slot == joint.slot:
            chain.append((name, edge, False))
            joint = edge.end
        elif edge.end.slot == joint.slot:
            chain.append((name, edge, True))
            joint = edge.start
        else:
            _gap(drawing, before, name, ring)
            return None
    begin = first.end if turned else first.start
    if ring and joint.slot != begin.slot:
        _gap(drawing, edges[-1][0], edges[0][0], ring)
        return None
    return chain


def _place(name: str) -> Span | None:
    """Where a name stands; nowhere if it was made up."""
    return name.span if isinstance(name, tree.Word) else None


def _gap(drawing: DrawingContext, before: str, name: str, ring: bool) -> None:
    place = _place(name) or _place(before) or drawing.span
    title = f"The outline of {drawing.name} does not close" if ring else "The edges do not join"
    ends = {part: _ends_in_words(drawing, part) for part in (before, name)}
    drawing.lowering.error(
        "N209",
        title,
        place,
        f"{before} and {name} to share an end point",
        f"{before} runs {ends[before]}; {name} runs {ends[name]}",
        "List the edges in the order in which they meet, and begin each line at the named point where the last ends.",
    )


def _ends_in_words(drawing: DrawingContext, name: str) -> str:
    """The names of an edge's two ends, for the message."""
    edge = drawing.edge_ends(name, drawing.span) or NO_EDGE
    slots = {entity.value.slot: name for name, entity in reversed(drawing.points.own.items()) if isinstance(entity.value, Value)}
    start, end = (slots.get(end.slot, "an unnamed point") for end in (edge.start, edge.end))
    return f"from {start} to {end}"
