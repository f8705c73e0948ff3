"""The share of bodies that a style can take, drawn against two measures: one cell for each lot of like bodies.

Every cell has its share written in it and is hatched the denser the more of its bodies fail, so that nothing rests on
colour; a cell without bodies is crossed out.  The same numbers go into a table.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ...probing.share import Axis, Grid, percent
from ...source.quantity import show_number
from ...source.units import UNITS
from ..drawing.lettering import text_width, wrap
from ..drawing.model import Command, Drawing, Group, Item, Leaf, Stroke, Text, run
from ..drawing.pieces import in_words

CELL = 17.0  # mm
MARGIN, LEFT, TOP, BELOW, BETWEEN = 10.0, 22.0, 26.0, 18.0, 16.0
KEY = 32.0
PLATE = 12.4, 7.6  # mm kept free of hatching for the words
# (at least so much of the cell passes, distance of the hatching in mm, words of the key); none where all pass.
HATCHES = (
    (1.0, 0.0, "all pass"),
    (0.9, 7.0, "90 % and more"),
    (0.5, 3.5, "half and more"),
    (0.1, 1.8, "a tenth and more"),
    (0.0, 0.9, "fewer, or none"),
)
MARK = b"made by tapeline probe"  # in the first line of every text of a probe


def is_ours(data: bytes) -> bool:
    """Whether a text, table or card was made by a probe."""
    return MARK in data.split(b"\n", 1)[0]


def share_drawing(title: str, grids: Sequence[Grid], words: Sequence[str], unit: str) -> Drawing:
    """One panel for each grid, side by side, and below them the key.  `words` are said of each panel."""
    heading = f"{title}: share of bodies that pass"
    items: list[Item] = [Text(MARGIN, MARGIN + 5.0, 5.5, heading, weight="bold")]
    left, tallest = MARGIN, 0.0
    for grid, caption in zip(grids, words, strict=True):
        panel, wide, tall = _panel(grid, caption, left, unit)
        items.append(panel)
        left += wide + BETWEEN
        tallest = max(tallest, tall)
    width = max(left - BETWEEN + MARGIN, 2 * MARGIN + 150.0, 2 * MARGIN + text_width(heading, 5.5, "bold"))
    height = tallest + KEY
    items.append(_key(MARGIN, tallest + 4.0, width))
    return Drawing(
        width,
        height,
        tuple(items),
        heading,
        "Each cell holds bodies that are alike in two measures; the share of them that can be drafted without an error "
        "is written in it. The denser the hatching, the more of them fail. Crossed out: no body.",
    )


def _panel(grid: Grid, caption: str, left: float, unit: str) -> tuple[Group, float, float]:
    """(the panel, its width, where it ends below)."""
    rows, columns = grid.drafted.shape
    x0, y0 = left + LEFT, MARGIN + TOP
    wide = LEFT + max(columns * CELL, 90.0)
    drafted, passed = int(grid.drafted.sum()), int(grid.passed.sum())
    heading = [*wrap(caption, 3.6, wide), f"{passed} of {drafted} bodies pass: {percent(passed, drafted)}" if drafted else "no bodies"]
    items: list[Leaf] = [Text(left, MARGIN + 13.0 + 5.0 * k, 3.6, line) for k, line in enumerate(heading)]
    for row in range(rows):
        for column in range(columns):
            y = y0 + (rows - 1 - row) * CELL  # the greater above, as on any chart
            items += _cell(x0 + column * CELL, y, int(grid.drafted[row, column]), int(grid.passed[row, column]))
    ticks_x, ticks_y = _ticks(grid.across, unit), _ticks(grid.down, unit)
    for place, words in ticks_x:
        items.append(Text(x0 + place * CELL, y0 + rows * CELL + 4.2, 3.0, words, "middle"))
    for place, words in ticks_y:
        items.append(Text(x0 - 1.8, y0 + (rows - place) * CELL + 1.0, 3.0, words, "end"))
    items.append(Text(x0 + columns * CELL / 2, y0 + rows * CELL + 10.5, 3.8, _name(grid.across, unit), "middle"))
    items.append(Text(left + 4.0, y0 + rows * CELL / 2, 3.8, _name(grid.down, unit), "middle", -90.0))
    return Group(f"share {grid.origin}", caption, tuple(items)), wide, y0 + rows * CELL + BELOW


def _cell(x: float, y: float, drafted: int, passed: int) -> list[Leaf]:
    if not drafted:
        return [_frame(x, y), _crossed_out(x, y)]
    middle = x + CELL / 2
    return [
        _frame(x, y),
        *_hatching(x, y, _spacing(passed / drafted)),
        Text(middle, y + CELL / 2 + 0.2, 3.1, percent(passed, drafted), "middle"),
        Text(middle, y + CELL / 2 + 3.0, 2.2, f"of {drafted}", "middle"),
    ]


def _frame(x: float, y: float) -> Stroke:
    return Stroke(run([(x, y), (x + CELL, y), (x + CELL, y + CELL), (x, y + CELL)], closed=True), "frame")


def _crossed_out(x: float, y: float) -> Stroke:
    return Stroke((*run([(x, y), (x + CELL, y + CELL)]), *run([(x + CELL, y), (x, y + CELL)])), "leader")


def _spacing(share: float) -> float:
    return next(spacing for least, spacing, _ in HATCHES if share >= least)


def _hatching(x: float, y: float, spacing: float) -> list[Stroke]:
    """Slanting lines over a cell, with a plate in its middle left free."""
    if spacing <= 0.0:
        return []
    commands: list[Command] = []
    wide, tall = PLATE
    plate = x + (CELL - wide) / 2, y + (CELL - tall) / 2, x + (CELL + wide) / 2, y + (CELL + tall) / 2
    for k in range(1, math.ceil(2 * CELL / spacing)):
        total = k * spacing  # the line x + y = total, seen from the cell's upper left corner
        first, last = max(0.0, total - CELL), min(CELL, total)
        if last - first < 1e-6:
            continue
        enter, leave = max(plate[0] - x, total - (plate[3] - y)), min(plate[2] - x, total - (plate[1] - y))
        parts = [(first, last)] if leave <= enter else [(first, min(enter, last)), (max(leave, first), last)]
        for begin, end in parts:
            if end - begin > 0.2:
                commands += run([(x + begin, y + total - begin), (x + end, y + total - end)])
    return [Stroke(tuple(commands), "leader")] if commands else []


def _key(left: float, top: float, width: float) -> Group:
    items: list[Leaf] = [Text(left, top + 4.0, 3.6, "Of a cell's bodies pass:")]
    x = left
    entries = [*((spacing, words) for _, spacing, words in HATCHES), (None, "no body here")]
    for spacing, words in entries:
        items.append(_frame(x, top + 7.0))
        items += [_crossed_out(x, top + 7.0)] if spacing is None else _hatching(x, top + 7.0, spacing)
        items += [Text(x + CELL + 1.5, top + 12.0 + 4.0 * k, 3.0, line) for k, line in enumerate(wrap(words, 3.0, 19.0))]
        x += max(CELL + 20.0, (width - 2 * left) / len(entries))
    return Group("key", "What the hatching means", tuple(items))


def _measure(axis: Axis, unit: str) -> tuple[float, str, int]:
    """(millimetres, radians or numbers in one unit of the axis, the unit, decimals)."""
    if axis.variable.word == "length":
        return UNITS[unit].mm, unit, UNITS[unit].fineness
    return (math.radians(1.0), "deg", 2) if axis.variable.word == "angle" else (1.0, "", 3)


def _name(axis: Axis, unit: str) -> str:
    shown = _measure(axis, unit)[1]
    return f"{in_words(axis.variable.name)}, {shown}" if shown else in_words(axis.variable.name)


def _ticks(axis: Axis, unit: str) -> list[tuple[float, str]]:
    """(place in cells, figure) along an axis: at the edges of the cells, or in their middle for whole numbers."""
    scale, _, decimals = _measure(axis, unit)
    if axis.variable.whole:
        values = np.round(axis.edges[:-1] + 0.5)
        words = [("no", "yes")[int(value)] if axis.variable.word == "condition" else show_number(float(value), 0) for value in values]
        return [(k + 0.5, word) for k, word in enumerate(words)]
    return [(float(k), show_number(float(edge) / scale, decimals)) for k, edge in enumerate(axis.edges)]


def share_table(grids: Sequence[Grid], unit: str) -> str:
    """The numbers of the picture as CSV."""
    lines = [f"# Share of bodies that pass, {MARK.decode()}"]
    for grid in grids:
        names = []
        for axis in (grid.across, grid.down):
            shown = _measure(axis, unit)[1]
            names += [f"{axis.variable.name} {end}" + (f" [{shown}]" if shown else "") for end in ("from", "to")]
        heading = ",".join(["bodies", *names, "drafted", "passed"])
        if heading not in lines:
            lines.append(heading)
        for (row, column), drafted in np.ndenumerate(grid.drafted):
            figures = []
            for axis, cell in ((grid.across, column), (grid.down, row)):
                scale, _, decimals = _measure(axis, unit)
                figures += [show_number(float(edge) / scale, decimals) for edge in axis.edges[cell : cell + 2]]
            lines.append(",".join([f'"{grid.origin}"', *figures, str(int(drafted)), str(int(grid.passed[row, column]))]))
    return "\n".join(lines) + "\n"
