"""The garment at a glance: front and back sketched from the pieces, and beside them every piece that is cut, small.

Both views are at one scale, so are the pieces; each scale is the largest usual one at which its side of the sheet is not
overfull.  Wide lines are edges, thin ones seams, dashed ones darts and folds of pleats.  Where no piece says whether it is worn
in front or behind and nothing is left for the back, one view stands for the garment.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...geometry.thinning import thinned
from ..drawing.lettering import text_width, wrap
from ..drawing.model import Drawing, Group, Item, Leaf, Stroke, Text, box_of, run, shifted
from ..drawing.pieces import cut_words
from ..house.work import Work
from ..sheets.svg import write_svg
from .assembled import Half

WIDE, HIGH = 250.0, 118.0  # mm
FINE = 0.03  # mm on the sheet that a line may be off
MARGIN, GAP, HEAD = 6.0, 5.0, 16.0
VIEWS = 108.0  # of the width, for the two views
SMALL, LEADING = 3.0, 3.9  # size of the words, and from line to line
SCALES = (2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 80.0, 100.0)  # 1 to so many
SORTS = {"edge": "garment_edge", "seam": "garment_seam", "dart": "garment_dart"}


def papers(work: Work) -> dict[str, str]:
    """NAME-garment.svg."""
    return {f"{work.file_stem}-garment.svg": write_svg(draw_garment(work))}


def draw_garment(work: Work) -> Drawing:
    """The sheet of one body that did not fail."""
    heading, say = work.heading, work.house.say
    views = [(words, lines) for worn, words in (("front", "Front"), ("back", "Back")) if (lines := _view(work, worn))]
    if len(views) == 1:
        views = [("", views[0][1])]
    room = HIGH - HEAD - MARGIN
    seen = next(
        (
            groups
            for scale in SCALES
            if _fits(groups := [_sketch(say(words) if words else "", lines, scale) for words, lines in views], room)
        ),
        [],
    )
    cells = next((cells for scale in SCALES if (cells := _cells(work, scale, room)) is not None), ())
    items: list[Item] = [Text(MARGIN, MARGIN + 5.0, 5.0, f"{heading.style_title} {heading.version}".strip(), weight="bold")]
    left = MARGIN
    for group in seen:
        box = box_of(group.items)
        items.append(shifted(group, left - box[0], HEAD - box[1]))
        left += box[2] - box[0] + GAP
    items += cells
    titles = ", ".join(finished.piece.title or finished.piece.name for finished in work.cut)
    return Drawing(
        WIDE,
        HIGH,
        tuple(items),
        heading.style_title,
        f"The garment for {heading.body_name}, sketched from its pieces as they are sewn, front and back, darts closed; and its pieces, "
        f"not to scale with it: {titles}.",
    )


# --------------------------------------------------------------------------------------------------------- the views


def _view(work: Work, worn: str) -> list[tuple[str, Floats]]:
    """The lines of a view, both halves, each with its line type."""
    lines = []
    for side in (1.0, -1.0):
        half = Half(work.finished.pattern, work.index, worn, mirrored=side < 0)
        lines += [(SORTS[line.sort], line.points * (side, 1.0)) for line in half.lines() if len(line.points) > 1]
    return lines


def _sketch(words: str, lines: Sequence[tuple[str, Floats]], scale: float) -> Group:
    strokes: list[Leaf] = [
        Stroke(run(thinned(points / scale, FINE)), line, line) for line, points in sorted(lines, key=lambda line: line[0], reverse=True)
    ]
    if words:
        left, _, right, bottom = box_of(strokes)
        strokes.append(Text((left + right) / 2, bottom + GAP, SMALL, words, "middle"))
    return Group(words or "garment", words, tuple(strokes))


def _fits(groups: Sequence[Group], room: float) -> bool:
    boxes = [box_of(group.items) for group in groups]
    wide = sum(box[2] - box[0] for box in boxes) + GAP * (len(boxes) - 1)
    return wide <= VIEWS and all(box[3] - box[1] <= room for box in boxes)


# -------------------------------------------------------------------------------------------------------- the pieces


def _cells(work: Work, scale: float, room: float) -> tuple[Group, ...] | None:
    """The pieces with their names, on rows beside the views, the tallest first; None where they do not fit at this scale."""
    groups = sorted((_cell(work, finished, scale) for finished in work.cut), key=lambda group: -_high(group))
    start, end = MARGIN + VIEWS + 2 * GAP, WIDE - MARGIN
    placed, left, top, low = [], start, HEAD, HEAD
    for group in groups:
        box = box_of(group.items)
        if left > start and left + box[2] - box[0] > end:
            left, top = start, low + GAP
        if left + box[2] - box[0] > end or top + box[3] - box[1] > HEAD + room:
            return None
        placed.append(shifted(group, left - box[0], top - box[1]))
        left, low = left + box[2] - box[0] + GAP, max(low, top + box[3] - box[1])
    return tuple(placed)


def _high(group: Group) -> float:
    box = box_of(group.items)
    return box[3] - box[1]


def _cell(work: Work, finished: FinishedPiece, scale: float) -> Group:
    piece, body = finished.piece, slice(work.index, work.index + 1)
    ring, fold = finished.cut_line[work.index], piece.cut.fold
    strokes: list[Leaf] = []
    if fold is not None:
        on_fold = finished.runs[fold]
        ends = ring[[on_fold.start, on_fold.stop - 1]]
        strokes.append(Stroke(run(ends / scale), "garment_fold", "fold"))
        ring = np.concatenate([ring[on_fold.stop - 1 :], ring[: on_fold.start + 1]])
    strokes.append(Stroke(run(thinned(ring / scale, FINE), closed=fold is None), "garment_edge", "cut"))
    for dart in piece.darts():
        legs = (leg.take(body).flatten()[0] / scale for leg in (dart.near_leg, dart.far_leg))
        strokes += [Stroke(run(thinned(leg, FINE)), "garment_dart", "dart") for leg in legs]
    left, _, right, bottom = box_of(strokes)
    title = piece.title or piece.name
    lines = [line for words in (title, cut_words(piece.cut, house=work.house)) for line in wrap(words, SMALL, max(right - left, 24.0))]
    wide = max(text_width(line, SMALL) for line in lines)
    middle = left + max(right - left, wide) / 2
    words = [Text(middle, bottom + LEADING * (k + 1), SMALL, line, "middle") for k, line in enumerate(lines)]
    shape = [shifted(stroke, max(0.0, (wide - (right - left)) / 2), 0.0) for stroke in strokes]
    return Group(piece.name, title, (*shape, *words), True)
