"""Which line on a piece each level is (see `drafting.level_lines` for the cloth), and the step that gives it.

A piece says so itself (`level NAME at P`, a straight section; `level NAME along EDGE`), or its table of widths does: its first
and last level are the edges of that name, those between run from centre to side.  A piece made from another has the lines of
that one, carried through its changes.  Widths, girths and ledgers all read the line that is found here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Literal, Protocol, TypeAlias

from ..source.text import Span
from ..syntax import tree
from .contexts import DrawingContext, ScopeContext
from .drawn import Drawn
from .kinds import LENGTH, LEVEL, UNKNOWN
from .levels import ByLevel
from .lowering import POISON
from .plan import Value

Sort: TypeAlias = Literal["along", "across", "edge", "framed", "carried"]


class Leveled(DrawingContext, Protocol):
    """A piece that levels cross."""

    base: Drawn | None
    level_points: dict[str, tuple[tree.LevelAt, ScopeContext]]
    level_edges: dict[str, tuple[tree.LevelAlong, ScopeContext]]

    @property
    def drafted(self) -> Leveled | None: ...

    @property
    def by_level(self) -> ByLevel | None: ...

    def runs_straight(self, name: str) -> bool: ...


def level_names(drawing: Leveled) -> list[str]:
    by_table = drawing.by_level.level_names() if drawing.by_level else []
    carried = drawing.base.levels if drawing.base is not None else ()
    return list(dict.fromkeys([*by_table, *drawing.level_points, *drawing.level_edges, *carried]))


def own_levels(drawing: Leveled) -> list[str]:
    """Those that the piece says itself."""
    return [*drawing.level_points, *drawing.level_edges]


def sort_of(drawing: Leveled, name: str) -> Sort | None:
    """How the line of a level is got; None where the piece has none."""
    by_level = drawing.by_level
    if name in drawing.level_edges:
        return "along"
    if name in drawing.level_points:
        return "across"
    if by_level is not None and name in by_level.level_names():
        if name in by_level.ends() and any(edge == name for edge in drawing.edge_names()):
            return "edge"
        return "framed" if by_level.is_framed(name) else "across"
    if drawing.base is None or name not in drawing.base.levels:
        return None
    return "across" if "outline" in drawing.singles and drawing.runs_straight(name) else "carried"


def told(drawing: Leveled, name: str) -> str:
    """How the line of a level is got, in words."""
    if drawing.drafted is not None:
        return told(drawing.drafted, name)
    sort = sort_of(drawing, name)
    if sort == "carried":
        return f"as carried from {drawing.source.name}" if drawing.source is not None else "as carried"
    if sort == "along":
        return f"along {' and '.join(drawing.level_edges[name][0].edges)}"
    return f"along {name}" if sort == "edge" else "straight across"


def on_other_side(pieces: Mapping[str, Leveled], seams: Iterable[tree.Sew], name: str) -> frozenset[str]:
    """Pieces whose line of a level runs along a seam on the other side of which others have it too: it is one line, counted once.

    What is eased or gathered is as long there as what it is sewn to.
    """
    places = {(piece, edge) for piece, drawing in pieces.items() for edge in edges_followed(drawing, name)}
    left_out: set[tuple[str, str]] = set()
    for seam in seams:
        one, other = ({tuple(map(str, edge.edge.parts)) for edge in side} for side in (seam.one, seam.other))
        if one <= places - left_out and other <= places - left_out and not one & other:
            left_out |= {(piece, edge) for piece, edge in (one if seam.how is not None else other)}
    return frozenset(piece for piece in pieces if (own := {place for place in places if place[0] == piece}) and own <= left_out)


def edges_followed(drawing: Leveled, name: str) -> tuple[str, ...]:
    """The edges of the outline along which the piece says that a level runs."""
    if drawing.drafted is not None:
        return edges_followed(drawing.drafted, name)
    sort = sort_of(drawing, name)
    named = [str(word) for word in drawing.level_edges[name][0].edges] if sort == "along" else [name] if sort == "edge" else []
    return tuple(word for word in named if any(edge == word for edge in drawing.edge_names()))


def span_of(drawing: Leveled, name: str) -> Span:
    """Where the piece says of a level which line it is."""
    if name in drawing.level_edges:
        return drawing.level_edges[name][0].head
    if name in drawing.level_points:
        return drawing.level_points[name][0].head
    by_level = drawing.by_level
    return by_level.rows[name].span if by_level is not None and name in by_level.rows else drawing.span


def line(drawing: Leveled, name: str) -> Value:
    """The line of a level on the piece."""
    sort, span, lowering = sort_of(drawing, name), span_of(drawing, name), drawing.lowering
    if sort is None:
        return POISON
    if sort == "carried":
        return POISON if drawing.base is None else drawing.base.emit("shape_level", LEVEL, span, name=name)
    if sort == "framed" and drawing.by_level is not None:
        return lowering.emit("level_framed", LEVEL, span, *drawing.by_level.frame(name))
    outline = _outline(drawing)
    if sort == "across":
        return lowering.emit("level_across", LEVEL, span, drawing.level_y(name), *outline)
    named = drawing.level_edges[name][0].edges if sort == "along" else ()
    edges, guides = ([name], []) if sort == "edge" else _named(drawing, named)
    return lowering.emit("level_along", LEVEL, span, *outline, by_name={"lines": guides}, names=tuple(edges))


def _named(drawing: Leveled, named: tuple[tree.Word, ...]) -> tuple[list[str], list[Value]]:
    """Of the lines that a level runs along those of the outline, by name, and the others as drawn."""
    edges, guides = [], []
    for word in named:
        if any(edge == word for edge in drawing.edge_names()):
            drawing.mention(word)
            edges.append(str(word))
        else:
            raw = drawing.raw_edge(word, word.span)
            guides.append(POISON if raw is None else raw.guide)
    return edges, guides


def width(drawing: Leveled, name: str) -> Value | None:
    """The sewn width at a level: of its line, less what the darts and pleats take out of it."""
    sort, span = sort_of(drawing, name), span_of(drawing, name)
    if sort is None:
        return None
    if sort == "edge":
        return drawing.lowering.emit("edge_closed_length", LENGTH, span, drawing.finished_edge(name, span))
    if sort == "framed" and drawing.by_level is not None:
        return drawing.by_level.width(name)
    inputs = [line(drawing, name), *_outline(drawing)]
    inner = drawing.inner_points()
    return drawing.lowering.emit("line_width", LENGTH, span, *inputs, by_name={"inner": inner}, level=name, piece=drawing.name)


def _outline(drawing: Leveled) -> list[Value]:
    return [value for _, value in drawing.finished_outline()] or [POISON]


def known_lines(drawing: Leveled, names: list[str]) -> dict[str, Value]:
    """The lines that could be read."""
    lines = {name: line(drawing, name) for name in names}
    return {name: value for name, value in lines.items() if value.kind is not UNKNOWN}


def held_apart(drawing: Leveled) -> None:
    """Hold the levels that a piece says to be at its points against how far apart the style says that they lie."""
    said = [name for name in drawing.program.levels.own if name in drawing.level_points]
    for upper, lower in zip(said, said[1:], strict=False):
        node, scope = drawing.level_points[lower]
        depths = [
            height(drawing, upper) or POISON,
            height(drawing, lower) or POISON,
            scope.level(upper, node.head),
            scope.level(lower, node.head),
        ]
        drawing.lowering.emit("levels_apart", LENGTH, node.head, *depths, upper=upper, lower=lower, piece=drawing.name)


def height(drawing: Leveled, name: str) -> Value | None:
    """How far down on the paper a level lies, where one place tells it: the point that it is at, the first end of its edge."""
    lowering = drawing.lowering
    if name in drawing.level_edges:
        word = drawing.level_edges[name][0].edges[0]
        raw = drawing.edge_ends(word, word.span)
        return POISON if raw is None else lowering.emit("point_y", LENGTH, span_of(drawing, name), raw.start)
    if name in drawing.level_points:
        node, scope = drawing.level_points[name]
        return lowering.emit("point_y", LENGTH, node.head, scope.point(node.point))
    if drawing.by_level is not None and name in drawing.by_level.level_names():
        return drawing.by_level.y(name)
    return None
