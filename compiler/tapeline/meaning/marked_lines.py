"""Drawn lines that are marked on a piece: as it draws them, or as changes have carried them (see `drafting.marked_lines`).

A change carries the named points of a piece.  So a marked line is followed by places on it, which are points of the drawn
piece under names that no style can write, `hip_line#3`.  The piece after a change finds the line again from them.  What a part
of a cut has of a line is followed by places of its own, since the others lie on cloth that is gone.  A piece that was opened out
has the line and its image, whose places are named like all that is drawn so, `other_hip_line#3`.
"""

from __future__ import annotations

from typing import Protocol

from ..syntax import tree
from .contexts import DrawingContext
from .drawn import PLACED, Drawn
from .kinds import PATH, POINT, UNKNOWN
from .lowering import POISON
from .plan import Value
from .ring import IMAGE

PLACES = 16  # stretches of a line between the places that follow it


class Marked(DrawingContext, Protocol):
    """A piece on which lines are marked."""

    base: Drawn | None

    @property
    def source(self) -> Marked | None: ...


def place_names(line: str) -> list[str]:
    return [f"{line}{PLACED}{number}" for number in range(PLACES + 1)]


def marked_lines(drawing: Marked, node: tree.MarkAlong) -> list[Value]:
    """The lines of a mark: one, and its images where the piece has been opened out."""
    return [marked_line(drawing, node, image) for image in _images(drawing, node)]


def _images(drawing: Marked, node: tree.MarkAlong) -> list[str]:
    """What goes before the name of a marked line for each image of it that a piece has; nothing, for the line itself."""
    images = [""]
    while _is_carried(drawing, IMAGE + images[-1] + str(node.edge)):
        images.append(IMAGE + images[-1])
    return images


def _is_carried(drawing: Marked, line: str) -> bool:
    return drawing.base is not None and place_names(line)[0] in drawing.base.points


def marked_line(drawing: Marked, node: tree.MarkAlong, image: str = "") -> Value:
    """The line of a mark: an edge as sewn, a line as the piece draws it, or one that changes have carried here; or an image."""
    lowering, base, source, name = drawing.lowering, drawing.base, drawing.source, str(node.edge)
    if any(edge == name for edge in drawing.edge_names()):
        return lowering.emit("edge_sewn", PATH, node.head, drawing.finished_edge(node.edge, node.edge.span))
    said_here = base is None or source is None or all(node is not other for other, _ in source.marks)
    if base is None or source is None or said_here or (drawing.edges.find(name) is not None and not base.parted):
        drawn = drawing.raw_edge(node.edge, node.edge.span)
        return POISON if drawn is None else drawn.guide
    was_there = not image or _is_carried(source, image + name)
    before = marked_line(source, node, image if was_there else image.removeprefix(IMAGE))
    after = [base.emit("shape_point", POINT, node.head, name=place) for place in place_names(image + name)]
    line = lowering.emit("carried_line", PATH, node.head, before, *_places(drawing, before, node), *after)
    if base.parted:
        line = lowering.emit("line_on_part", PATH, node.head, line, *(edge for _, edge in drawing.finished_outline()))
    return line


def _places(drawing: Marked, line: Value, node: tree.MarkAlong) -> list[Value]:
    emit = drawing.lowering.emit
    return [emit("line_place", POINT, node.head, line, part=number / PLACES) for number in range(PLACES + 1)]


def places_on_lines(drawing: Marked, drawn_anew: bool) -> dict[str, Value]:
    """The places on the lines marked on a piece that its shape is to have, by name; of a piece that is `drawn_anew` all of them."""
    places: dict[str, Value] = {}
    for node, _ in drawing.marks:
        if not isinstance(node, tree.MarkAlong) or any(edge == node.edge for edge in drawing.edge_names()):
            continue
        for image in _images(drawing, node):
            line = image + str(node.edge)
            if not drawn_anew and _is_carried(drawing, line) and drawing.base is not None and not drawing.base.parted:
                continue  # its changes have carried them
            value = marked_line(drawing, node, image)
            if value.kind is not UNKNOWN:
                places.update(zip(place_names(line), _places(drawing, value, node), strict=True))
    return places
