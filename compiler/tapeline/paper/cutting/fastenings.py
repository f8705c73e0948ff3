"""Buttons, buttonholes, hooks and loops of a garment, counted by the places that are marked on its pieces.

A place counts as often as the garment's outside has it: on a piece cut on the fold twice, if it does not lie on the fold, and
over all pieces cut; a place that is said to be on one piece counts once.  Facings, linings and other layers show the places that
they have from their source, and are not counted again.  Buttons that the style counts by number stand with the others.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from ...drafting.pattern import Piece
from ...geometry.arrays import Floats
from ...source.quantity import number
from ..drawing.fold import ON_FOLD, off_fold
from ..drawing.marks import placed
from ..house.work import Work


class Counted(NamedTuple):
    """So many places of one kind: `size` is a button's across, a buttonhole's length, else None; millimetres."""

    kind: str
    words: str
    size: float | None
    many: int


def counted(pieces: Iterable[Piece], index: int) -> list[Counted]:
    """The places of all pieces, those of one kind, text and size together, in the order of the pieces."""
    counts: dict[tuple[str, str, float | None], int] = {}
    for piece in pieces:
        if not piece.cut.purpose:
            for key, points, one, side in _places(piece, index):
                counts[key] = counts.get(key, 0) + (1 if one else copies(piece, points, index, side))
    return [Counted(*key, count) for key, count in counts.items()]


def _places(piece: Piece, index: int) -> Iterator[tuple[tuple[str, str, float | None], Floats, bool, str]]:
    for mark, at in placed(piece, index):
        if mark.kind in ("button", "hook", "loop"):
            size = None if mark.size is None else number(mark.size[index])
            yield (mark.kind, mark.words, size), at[None], mark.one, mark.side
    for line in piece.marks:
        if line.kind == "buttonhole":
            path = line.path.take(slice(index, index + 1))
            yield ("buttonhole", line.note, number(path.length()[0])), path.flatten()[0], line.one, line.side


def copies(piece: Piece, points: Floats, index: int, side: str = "") -> int:
    """How often the garment has what lies at these points (K, 2) of a piece: once a piece where all lie on its fold, half as often
    where one side of the body alone has it."""
    if side:
        return max(1, piece.cut.instances // 2)
    if piece.cut.fold is None:
        return piece.cut.instances
    edge = piece.edge(piece.cut.fold)
    on_fold = bool((off_fold(points, (edge.start()[index], edge.end()[index])) < ON_FOLD).all())
    return piece.cut.count if on_fold else piece.cut.instances


def button_rows(work: Work, found: Iterable[Counted]) -> list[dict[str, Any]]:
    """Every button of the garment: {count, size, words}, by their places and by number."""
    by_number = [
        {"count": round(work.value(button.number)), "size": number(work.value(button.size)), "words": button.words}
        for button in work.plan.buttons
    ]
    return [{"count": row.many, "size": row.size, "words": row.words} for row in found if row.kind == "button"] + by_number


def fastening_rows(found: Iterable[Counted]) -> list[dict[str, Any]]:
    """Hooks, loops and buttonholes: {kind, count, length, words}; the length is a buttonhole's, else null."""
    return [{"kind": row.kind, "count": row.many, "length": row.size, "words": row.words} for row in found if row.kind != "button"]
