"""What the first page says: how to print and measure, what the lines mean, and how the pages are put together.

Every block is a group of its own, set in rows within the angle that the long bars make.  On a plot the same blocks,
larger, stand above the pieces.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..source.quantity import show_length
from . import sheet
from .drawing import LINES, Group, Stroke, Text, each_item, run, shifted
from .lettering import RISE, Room, text_plate, text_width, within, wrap
from .pages import Paper
from .pdf import PAGE_LINES, page_box

LONG_BAR = 500.0  # on large paper
MAP = 160.0  # side of the map on large paper
GAP = 6.0
BODY = 3.3  # size of words on the first page
LEADING = 1.4


def front(work, pieces: Sequence[Group], tiling, paper: Paper) -> list[Group]:
    """The first page before tiles, and as many more as small paper needs."""
    width, height = tiling.frame.width, tiling.frame.height
    joined = bool(tiling.joints)
    edge = 8.0  # left of and above the blocks stand the bars
    named, square, lines = title(work, tiling, paper, width - edge - 4), control_square(joined), legend(pieces, joined)
    listed = piece_list(tiling, 72.0)
    pages, placed = [], [bars(width - 4, height - 4, work.unit)]

    def turn_page() -> None:
        nonlocal placed
        pages.append(Group("first page", "First page", tuple(placed)))
        placed = []

    rows, low, reach = arrange([named, square, lines], edge, edge, width)
    if low > height:
        rows, low, reach = arrange([named, square], edge, edge, width)
        placed += rows
        turn_page()
        rows, low, reach = arrange([lines], edge, 0.0, width)
    placed += rows
    # The map and the list have what is left, below or beside.
    below, beside = (edge, low + GAP, width, height), (reach + GAP, min(page_box(rows[-1])[1], height), width, height)
    spare = max(below, beside, key=lambda box: (min(box[2] - box[0], box[3] - box[1]), box == below))
    if min(spare[2] - spare[0], spare[3] - spare[1]) < 60 or spare[3] - spare[1] < _size(listed)[1]:
        turn_page()
        spare = (0.0, 0.0, width, height)
    left, top, right, low = spare
    if right - left > 72 + GAP + 50 and right - left > 0.9 * (low - top):
        drawn = map_block(tiling, right - left - 72 - GAP, low - top)
        placed += arrange([drawn, listed], left, top, width)[0]
    else:
        drawn = map_block(tiling, right - left, low - top - _size(listed)[1] - GAP)
        placed += arrange([drawn], left, top, width)[0] + arrange([listed], left, top + _size(drawn)[1] + GAP, width)[0]
    turn_page()
    return pages


def head(work, pieces: Sequence[Group], paper: Paper, joined: bool) -> Group:
    """What stands above the pieces on a plot.  Joined, it has room for a map; what the map shows is known later."""
    width, height = paper.room()
    longest = min(LONG_BAR, width - 20, height - 20)
    blocks = [sheet.title_block(work.heading), sheet.control_square(work.unit), sheet.legend(pieces)]
    if joined:
        blocks += [plot_steps(), Group("map", "Assembly map", (Stroke(run([(0, 0), (MAP, 0), (MAP, MAP), (0, MAP)], True), "leader"),))]
    return Group("head", "Heading", (bars(longest, longest, work.unit), *arrange(blocks, 12.0, 12.0, min(width, height))[0]))


def with_map(group: Group, tiling) -> Group:
    """A head with the map drawn into its room."""
    def drawn(item):
        if item.name != "map":
            return item
        left, top, right, low = page_box(item)
        return shifted(map_block(tiling, right - left, low - top), left, top)

    return group._replace(items=tuple(drawn(item) if isinstance(item, Group) else item for item in group.items))


def arrange(blocks: Sequence[Group], left: float, top: float, right: float) -> tuple[list[Group], float, float]:
    """Blocks side by side in rows, with the foot of the last row and the right end of all but the first."""
    placed, x, y, low, reach = [], left, top, top, left
    for block in blocks:
        box = page_box(block)
        wide, high = box[2] - box[0], box[3] - box[1]
        if x > left and x + wide > right:
            x, y = left, low + GAP
        placed.append(shifted(block, x - box[0], y - box[1]))
        x += wide + GAP
        low = max(low, y + high)
        reach = max(reach, x - GAP) if len(placed) > 1 else reach
    return placed, low, reach


def _size(group: Group) -> tuple[float, float]:
    left, top, right, low = page_box(group)
    return right - left, low - top


# ---------------------------------------------------------------------------------------------- measuring


def bar(p: tuple[float, float], q: tuple[float, float], name: str) -> list[Stroke]:
    """A straight bar with a short line across at either end; it lies level or plumb."""
    level = p[1] == q[1]
    ends = [run([(x, y - 1.5), (x, y + 1.5)] if level else [(x - 1.5, y), (x + 1.5, y)]) for x, y in (p, q)]
    return [Stroke(run([p, q]), "rule", name), Stroke(ends[0] + ends[1], "rule", "end of bar")]


def bars(width: float, height: float, unit: str) -> Group:
    """A long bar on each axis from one corner, each a multiple of 10 mm, with its length."""
    across, down = (10.0 * int((length + 1e-6) / 10) for length in (width, height))

    def said(length: float) -> str:
        words = f"This bar is {show_length(length, 'mm')}"
        return words + (f" ({show_length(length, 'in')})" if unit == "in" else "")

    return Group("bars", "Bars to measure", (
        *bar((0.0, 0.0), (across, 0.0), "long bar across"), *bar((0.0, 0.0), (0.0, down), "long bar down"),
        Text(across / 2, 4.5, 3.2, said(across), "middle"), Text(4.5, down / 2, 3.2, said(down), "middle", -90.0)))


# --------------------------------------------------------------------------------------------------- words


def _column(lines: Sequence[tuple[str, float, str]]) -> tuple[list[Text], float]:
    texts, top = [], 0.0
    for words, size, weight in lines:
        texts.append(Text(0.0, top + RISE * size, size, words, "start", 0.0, weight))
        top += size * LEADING
    return texts, top


def title(work, tiling, paper: Paper, width: float) -> Group:
    heading, frame = work.heading, tiling.frame
    count = len(tiling.tiles)
    way = "" if paper.height is None or frame.height >= frame.width else ", lying on its side"
    share = f"; neighbours share {show_length(frame.overlap, 'mm')}" if frame.overlap > 0 else ", edge to edge"
    said = f"Scale 1 : 1. Paper: {paper.name}{way}. {count} page{'s' if count > 1 else ''} of pieces after this one"
    lines = [(line, 8.0, "bold") for line in wrap(heading.style_title, 8.0, width, "bold")]
    drafted = " ".join(filter(None, [f"version {heading.version}," if heading.version else "", f"drafted for {heading.body_name}"]))
    if work.house.name:
        drafted += f", {work.house.name}"
    lines += [(line, 4.5, "bold") for line in wrap(drafted[0].upper() + drafted[1:], 4.5, width, "bold")]
    lines += [(line, BODY, "normal") for line in wrap(heading.prose, BODY, width)]
    lines += [(line, BODY, "normal") for line in wrap(said + (share if tiling.joints else "") + ".", BODY, width)]
    return Group("heading", "Heading", tuple(_column(lines)[0]))


def control_square(joined: bool) -> Group:
    """A square of exactly 100 mm between the middles of its lines; within it, what to do with the pages."""
    side = sheet.SQUARE
    said = ["Print at 100\u00a0%, at actual size, never fitted to the page.",
            "Print this page first. Measure this square, which is 100\u00a0mm each way, and both long bars. "
            "If one of them is wrong, every piece would be."]
    said += JOINING if joined else ["No piece is larger than a page: nothing is to be joined."]
    said.append("Cut the pieces out along the wide lines.")
    return Group("control square", "Control square of 100 mm", (
        Stroke(run([(0, 0), (side, 0), (side, side), (0, side)], closed=True), "frame", "control square"),
        Text(side / 2, 6.0, 4.5, "100 mm", "middle", 0.0, "bold"), Text(6.0, side / 2, 4.5, "100 mm", "middle", -90.0, "bold"),
        *(shifted(item, 11.0, 11.0) for item in _numbered(said, side - 15, 3.1, "").items)))


JOINING = ["Pages are named by row and column: B3 is the third page of row B. Numbered diamonds stand where pages are joined.",
           "The right or lower page of two has a thin trimming line: cut its edge away there.",
           "Lay the cut edge on the line of thin dashes of the page with the same numbers, so that the halves of each diamond "
           "meet. Tape it down, row by row."]


def plot_steps() -> Group:
    return _numbered(JOINING, 150.0, 5.0, "How to join the pages")


def _numbered(said: Sequence[str], width: float, size: float, title: str) -> Group:
    items: list = [Text(0.0, RISE * size, size, title, "start", 0.0, "bold")] if title else []
    top = size * LEADING * 1.1 if title else 0.0
    for number, words in enumerate(said, 1):
        items.append(Text(0.0, top + RISE * size, size, str(number)))
        for line in wrap(words, size, width - 1.6 * size):
            items.append(Text(1.6 * size, top + RISE * size, size, line))
            top += size * LEADING
        top += 0.25 * size
    return Group("steps", title, tuple(items))


def legend(pieces: Sequence[Group], joined: bool) -> Group:
    """A sample and the meaning of every line that is used, in less room than on a sheet."""
    used = {item.line for item in each_item(pieces) if isinstance(item, Stroke)}
    sample, width = 20.0, 48.0
    items: list = [Text(0.0, RISE * 3.6, 3.6, "What the lines mean", "start", 0.0, "bold")]
    y = 8.5
    rows = [(name, kind.meaning) for name, kind in LINES.items() if kind.meaning and name in used]
    rows += [(name, PAGE_LINES[name].meaning) for name in ("trim", "lay") if joined]
    for name, meaning in rows:
        drop = 2.5 if name == "fold" else 0.0  # room for the bracket above the line
        if name in PAGE_LINES:
            items.append(Stroke(run([(0.0, y), (sample, y)]), name, "sample"))
        else:
            items += sheet._sample(name, 0.0, y + drop, sample)
        lines = wrap(meaning, 3.0, width)
        for k, line in enumerate(lines):
            items.append(Text(sample + 4, y + drop + 1.05 + (k - (len(lines) - 1) / 2) * 3.8, 3.0, line))
        y += 7.8 + drop
    return Group("legend", "Legend of line types", tuple(items))


def piece_list(tiling, width: float) -> Group:
    """Which pages each piece is on."""
    from .tiling import tile_name

    lines = [("Pieces and their pages", 3.6, "bold")]
    for one in tiling.laid:
        if one.group.piece:
            names = [tile_name(tile) for tile in tiling.tiles if one in tiling.on(tile)]
            pages = ", ".join(names) if len(names) < 7 else f"{names[0]} to {names[-1]}"
            for k, line in enumerate(wrap(f"{one.group.title}: {pages}", BODY, width - 4)):
                lines.append((f"\u00a0\u00a0{line}" if k else line, BODY, "normal"))
    rows, columns = (max(tile[axis] for tile in tiling.tiles) for axis in (0, 1))
    empty = [tile_name((row, column)) for row in range(rows + 1) for column in range(columns + 1)
             if (row, column) not in tiling.tiles and tiling.on((row, column))]
    if empty:
        said = f"Left out, since no line lies there: {', '.join(empty)}"
        lines += [(line, BODY, "normal") for line in wrap(said, BODY, width - 4)]
    return Group("list", "Pieces and their pages", tuple(_column(lines)[0]))


# ----------------------------------------------------------------------------------------------------- map


def map_block(tiling, width: float, height: float) -> Group:
    """All pages in small as they lie together, each by its name, with the outlines of the pieces."""
    from .tiling import tile_name

    frame = tiling.frame
    rows, columns = max(t[0] for t in tiling.tiles) + 1, max(t[1] for t in tiling.tiles) + 1
    wide, high = (columns - 1) * frame.across + frame.width, (rows - 1) * frame.down + frame.height
    high = min(high, max(one.box[3] for one in tiling.laid) + 2)
    wide = min(wide, max(one.box[2] for one in tiling.laid) + 2) if columns == 1 else wide
    scale = min(width / wide, (height - 7) / high, 0.2)
    items: list = [Text(0.0, RISE * 3.6, 3.6, "How the pages lie together", "start", 0.0, "bold")]
    room, lined = Room(), Room()  # without and with the edges of the pages
    down, size = 7.0, max(1.8, min(3.2, 0.14 * scale * min(frame.width, frame.height)))

    def small(points: np.ndarray) -> np.ndarray:
        return points * scale + [0.0, down]

    for one in tiling.laid:
        if one.ring is not None:
            outline = _thinned(small(one.ring), 0.1)
            items.append(Stroke(run(outline, closed=True), "leader", one.group.name))
            for every in (room, lined):
                every.take_run(np.concatenate([outline, outline[:1]]))
    for tile in tiling.tiles:
        left, top = tile[1] * frame.across, tile[0] * frame.down
        right = min(left + (frame.width if tile[1] == columns - 1 else frame.across), wide)
        low = min(top + (frame.height if tile[0] == rows - 1 else frame.down), high)
        corners = small(np.array([[left, top], [right, top], [right, low], [left, low]]))
        items.append(Stroke(run(corners, closed=True), "map", tile_name(tile)))
        name = _set(room, tile_name(tile), size, "bold", corners[0], corners[2])
        for text in name:
            room.take_plate(text_plate(text))
            lined.take_plate(text_plate(text))
        lined.take_run(np.concatenate([corners, corners[:1]]))
        items += name
    for one in tiling.laid:
        if one.group.piece:
            box = np.array(one.box).reshape(2, 2)
            title = one.group.title.partition(":")[0]
            trials = [(place, part * size) for place in (lined, room) for part in (1.0, 0.8, 0.65)]
            for place, trial in trials:
                set_down = _set(place, title, trial, "normal", *small(box), inside=small(one.ring))
                if set_down:
                    items += set_down
                    for every in (room, lined):
                        every.take_plate(text_plate(set_down[0]))
                    break
    return Group("map", "Assembly map", tuple(items))


def _set(room: Room, words: str, size: float, weight: str, low: np.ndarray, high: np.ndarray,
         inside: np.ndarray | None = None) -> list[Text]:
    """The words in a box where they touch nothing, or none."""
    wide, tall = text_width(words, size, weight), size * 1.04
    xs = np.linspace(low[0] + 0.6 + wide / 2, high[0] - 0.6 - wide / 2, 15) if high[0] - low[0] > wide + 1.2 else None
    ys = np.linspace(low[1] + 0.6 + tall / 2, high[1] - 0.6 - tall / 2, 15) if high[1] - low[1] > tall + 1.2 else None
    if xs is None or ys is None:
        return []
    if inside is not None:  # a title from the middle of its piece, a page's name from its corner
        xs, ys = (sorted(values, key=lambda v: (round(abs(v - np.mean(values)), 6), v)) for values in (xs, ys))
    centres = np.array([(x, y) for y in ys for x in xs])
    free = room.free(centres, wide, tall, gap=0.4)
    if inside is not None:
        free &= within(centres, inside)
    if not free.any():
        return []
    x, y = (float(value) for value in centres[int(np.argmax(free))])
    return [Text(x, y + 0.28 * size, size, words, "middle", 0.0, weight)]


def _thinned(points: np.ndarray, apart: float) -> np.ndarray:
    """The run without points nearer than `apart` to the one kept before; its ends stay."""
    kept = [points[0]]
    for point in points[1:-1]:
        if np.hypot(*(point - kept[-1])) >= apart:
            kept.append(point)
    return np.array([*kept, points[-1]])
