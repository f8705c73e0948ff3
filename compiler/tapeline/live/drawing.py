"""Pieces drawn again and again: what has not changed is not drawn anew.

A drawing has two parts.  Its lines are always those of the papers.  Its lettering, the words and the signs that are set where words leave
room, is laid anew only when the hand rests: while a piece moves, its lettering keeps the place that it had relative to the piece's
outline.  What is kept is told by content (`finishing.kept`), so that a drawing never rests on what was drawn before.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from hashlib import blake2b

import numpy as np

from ..finishing.finished import FinishedPiece
from ..finishing.kept import Kept
from ..geometry.arrays import Floats
from ..paper.drawing.model import LINES, Box, Leaf, Stroke, box_of, mapped
from ..paper.drawing.pieces import PieceLines, piece_lettering, piece_lines, piece_title
from ..paper.house.work import Work
from ..paper.sheets.svg import group_head, write_leaf


@dataclass(frozen=True, slots=True)
class LivePiece:
    """A piece as it is drawn: `svg` is the text of one group, with the strokes and words of the sheet in the piece's own
    coordinates, `box` what it takes up in mm (left, top, right, bottom), and `key` is another as soon as the text is."""

    name: str
    key: str
    svg: str
    box: Box


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of a piece, drawn, and written as text."""

    drawn: PieceLines
    written: str
    box: Box


@dataclass(frozen=True, slots=True)
class _Lettering:
    """What was set on a piece when the hand rested, among which lines."""

    leaves: tuple[Leaf, ...]
    ring: Floats


class PieceDrawing:
    """Draws the pieces of one draft after another.  `rested` is the lettering of each piece when the hand last rested."""

    def __init__(self, kept: Kept, rested: Mapping[str, _Lettering] | None = None) -> None:
        self._kept = kept
        self.rested: dict[str, _Lettering] = dict(rested or {})
        self._ahead: dict[tuple[int, int, bool, str], _Lines] = {}

    def pieces(self, work: Work, resting: bool, position: tuple[int, int] | None = None) -> tuple[LivePiece, ...]:
        """What drawings show, in their order; lettering is laid anew where the hand is `resting`, or a piece has none yet.

        `position` tells a draft from others where it stands among many that were drafted ahead: then its lines are kept by that.
        """
        return tuple(self._piece(piece, work, resting, position) for piece in work.shown)

    def _piece(self, piece: FinishedPiece, work: Work, resting: bool, position: tuple[int, int] | None) -> LivePiece:
        place, heading = work.index, work.heading
        name = piece.piece.name
        drawn_from = (
            piece.piece,
            piece.cut_line,
            piece.allowances,
            piece.corners,
            piece.notches,
            piece.levels,
            piece.half_levels,
            piece.grain_line,
            place,
            work.opened,
            heading.unit,
        )
        if position is None:
            lines: _Lines = self._kept.once("lines", drawn_from, lambda: _lines(piece, work))
        else:
            at = (*position, work.opened, name)
            if at not in self._ahead:
                self._ahead[at] = _lines(piece, work)
            lines = self._ahead[at]
        kept = self.rested.get(name)
        if resting or kept is None:
            words = (*drawn_from, heading.titled, heading.body_name, heading.facts(), heading.numbered(name))

            def lay() -> _Lettering:
                return _Lettering(piece_lettering(piece, place, heading, lines.drawn), lines.drawn.ring)

            lettering = self.rested[name] = self._kept.once("lettering", words, lay)
            leaves = lettering.leaves
        else:
            leaves = _carried(kept, lines.drawn.ring)
        head = group_head(name, piece_title(piece.piece, lines.drawn, heading.house))
        svg = "\n".join([*head, lines.written, *map(write_leaf, leaves), "</g>"])
        key = blake2b(svg.encode(), digest_size=12).hexdigest()
        return LivePiece(name, key, svg, _joined([lines.box, *([box_of(leaves)] if leaves else [])]))


def _lines(piece: FinishedPiece, work: Work) -> _Lines:
    drawn = piece_lines(piece, work.index, work.heading, work.opened)
    return _Lines(drawn, written(drawn.strokes), _hull(drawn.strokes))


def written(strokes: Iterable[Stroke]) -> str:
    """The elements of lines, one on a line."""
    return "\n".join(write_leaf(stroke) for stroke in strokes if stroke.commands)


def _carried(lettering: _Lettering, ring: Floats) -> tuple[Leaf, ...]:
    """The lettering with every place carried as the box of the outline was."""
    if np.array_equal(lettering.ring, ring):
        return lettering.leaves
    (x0, y0), (wide, high) = _extent(lettering.ring)
    (left, top), (new_wide, new_high) = _extent(ring)

    def image(x: float, y: float) -> tuple[float, float]:
        return left + (x - x0) * new_wide / wide, top + (y - y0) * new_high / high

    return tuple(_carried_leaf(leaf, image) for leaf in lettering.leaves)


def _carried_leaf(leaf: Leaf, image: Callable[[float, float], tuple[float, float]]) -> Leaf:
    if isinstance(leaf, Stroke):
        return leaf._replace(commands=mapped(leaf.commands, image))
    x, y = image(leaf.x, leaf.y)
    return leaf._replace(x=x, y=y)


def _extent(ring: Floats) -> tuple[list[float], list[float]]:
    low, high = ring.min(axis=0), ring.max(axis=0)
    return low.tolist(), np.maximum(high - low, 1e-9).tolist()


def _hull(strokes: Iterable[Stroke]) -> Box:
    """A box that holds all strokes: of curves told from their control points."""
    boxes = []
    for stroke in strokes:
        if any(command[0] == "A" for command in stroke.commands):
            boxes.append(box_of([stroke]))
        elif stroke.commands:
            xs = [x for command in stroke.commands for x in command[1::2]]
            ys = [y for command in stroke.commands for y in command[2::2]]
            edge = LINES[stroke.line].width / 2
            boxes.append((min(xs) - edge, min(ys) - edge, max(xs) + edge, max(ys) + edge))
    return _joined(boxes)


def _joined(boxes: Sequence[Box]) -> Box:
    lefts, tops, rights, bottoms = zip(*boxes, strict=True)
    return min(lefts), min(tops), max(rights), max(bottoms)
