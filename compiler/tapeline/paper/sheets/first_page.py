"""What the first page says: how to print and measure, what the lines mean, and how the pages are put together.

Every block is a group of its own, set in rows within the angle that the long bars make.  On a plot the same blocks,
larger, stand above the pieces.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ...geometry.arrays import Floats
from ...source.quantity import show_length
from ..drawing.lettering import RISE, Room, text_width, within, wrap
from ..drawing.model import LINES, Group, Item, Leaf, Stroke, Text, each_item, run, shifted, text_plate
from ..house.house import USUAL, House
from ..house.paper_sizes import Paper
from ..house.work import Work
from . import sheet
from .pdf import PAGE_LINES, page_box
from .tiling import Tiling, tile_name

LONG_BAR = 500.0  # on large paper
NARROW = 250.0  # of a column on a roll that runs from left to right
MAP = 160.0  # side of the map on large paper
LEAST_MAP = 55.0  # a map is never made smaller than this, for want of room
LIST = 72.0  # width of the list of pieces
GAP = 6.0
BODY = 3.3  # size of words on the first page
LEADING = 1.4


def front(work: Work, pieces: Sequence[Group], tiling: Tiling, paper: Paper) -> list[Group]:
    """The first page before tiles, and as many more as small paper needs."""
    width, height = tiling.frame.width, tiling.frame.height
    joined = bool(tiling.joints)
    flow = _BlockFlow(width, height, [bars(width - 4, height - 4, work.unit, work.house)])
    square = test_square(joined, work.unit, work.house)
    named = title(work, tiling, paper, width - flow.x - 4)
    if flow.y + _size(named)[1] + GAP + sheet.SQUARE < height:
        flow.put(named)
        flow.put(square)
    else:  # paper so small that the heading stands beside the square, or on the next page
        flow.put(square)
        beside = width - flow.x - 4
        flow.put(title(work, tiling, paper, beside if beside > 55 else width - 4))
    flow.put(legend(pieces, joined, work.house))
    if not _put_map_and_list(flow, tiling, work.house):
        flow.turn_page()
        if not _put_map_and_list(flow, tiling, work.house):  # more pieces than a page has room for beside or below the map
            flow.put(map_block(tiling, width, height, work.house))
            flow.turn_page()
            flow.put(piece_list(tiling, width, work.house))
    flow.turn_page()
    return [Group("first page", "First page", tuple(page)) for page in flow.pages]


def _put_map_and_list(flow: _BlockFlow, tiling: Tiling, house: House) -> bool:
    """Put the map, and beside or below it the list of pieces, in what is left of the page, if there is room for both."""
    listed = piece_list(tiling, LIST, house)
    _, _, wide, high = flow.spare()
    long = _size(listed)[1]
    beside = wide > LIST + GAP + 50 and high > max(long, LEAST_MAP)
    below = wide > LIST and high > long + GAP + LEAST_MAP
    if beside and (wide > 0.9 * high or not below):
        flow.fill([map_block(tiling, wide - LIST - GAP, high, house), listed], down=False)
    elif below:
        flow.fill([map_block(tiling, wide, high - long - GAP, house), listed], down=True)
    return beside or below


class _BlockFlow:
    """Blocks set in rows on pages of one size, the first of which holds the bars along its edges."""

    def __init__(self, width: float, height: float, placed: list[Group]) -> None:
        self.width, self.height = width, height
        self.pages: list[list[Group]] = []
        self.placed = placed
        self.left = self.x = self.y = self.low = 8.0

    def turn_page(self) -> None:
        self.pages.append(self.placed)
        self.placed = []
        self.left = self.x = self.y = self.low = 0.0

    def put(self, block: Group) -> None:
        wide, high = _size(block)
        if self.x > self.left and self.x + wide > self.width:
            self.x, self.y = self.left, self.low + GAP
        if self.placed and self.y + high > self.height:
            self.turn_page()
        self._set(block, self.x, self.y)
        self.x += wide + GAP
        self.low = max(self.low, self.y + high)

    def spare(self) -> tuple[float, float, float, float]:
        """What is left: (left, top, width, height), beside the last row or below it."""
        low = self.low + GAP if self.placed else self.low
        rooms = [(x, y, self.width - x, self.height - y) for x, y in ((self.left, low), (self.x, self.y))]
        return max(rooms, key=lambda room: min(room[2:]))

    def fill(self, blocks: Sequence[Group], down: bool) -> None:
        x, y, _, _ = self.spare()
        for block in blocks:
            self._set(block, x, y)
            wide, high = _size(block)
            x, y = (x, y + high + GAP) if down else (x + wide + GAP, y)

    def _set(self, block: Group, x: float, y: float) -> None:
        box = page_box(block)
        self.placed.append(shifted(block, x - box[0], y - box[1]))


def head(work: Work, pieces: Sequence[Group], paper: Paper, joined: bool, narrow: bool) -> Group:
    """What stands above the pieces on a plot, or in a narrow column before them.

    Joined, it has room for a map; what the map shows is known later.
    """
    width = min(paper.room())
    across, down = (NARROW, width - 20) if narrow else (width - 20, width - 20)
    blocks = [sheet.title_block(work.heading), sheet.test_square(work.unit, work.house), sheet.legend(pieces, work.house)]
    if joined:
        blocks += [
            plot_steps(work.house),
            Group("map", "Assembly map", (Stroke(run([(0, 0), (MAP, 0), (MAP, MAP), (0, MAP)], True), "leader"),)),
        ]
    flow = _BlockFlow(NARROW if narrow else width, math.inf, [bars(min(LONG_BAR, across), min(LONG_BAR, down), work.unit, work.house)])
    for block in blocks:
        flow.put(block)
    return Group("head", "Heading", tuple(flow.placed))


def with_map(group: Group, tiling: Tiling, house: House = USUAL) -> Group:
    """A head with the map drawn into its room."""

    def drawn(item: Item) -> Item:
        if not isinstance(item, Group) or item.name != "map":
            return item
        left, top, right, low = page_box(item)
        return shifted(map_block(tiling, right - left, low - top, house), left, top)

    return group._replace(items=tuple(map(drawn, group.items)))


def _size(group: Group) -> tuple[float, float]:
    left, top, right, low = page_box(group)
    return right - left, low - top


# ---------------------------------------------------------------------------------------------- measuring


def bar(p: tuple[float, float], q: tuple[float, float], name: str) -> list[Stroke]:
    """A straight bar with a short line across at either end; it lies level or plumb."""
    level = p[1] == q[1]
    ends = [run([(x, y - 1.5), (x, y + 1.5)] if level else [(x - 1.5, y), (x + 1.5, y)]) for x, y in (p, q)]
    return [Stroke(run([p, q]), "rule", name), Stroke(ends[0] + ends[1], "rule", "end of bar")]


def bars(width: float, height: float, unit: str, house: House = USUAL) -> Group:
    """A long bar on each axis from one corner, each a multiple of 10 mm, with its length."""
    across, down = (10.0 * int((length + 1e-6) / 10) for length in (width, height))

    def caption(length: float) -> str:
        words = house.say("This bar is {length}", length=show_length(length, "mm"))
        return words + (f" ({show_length(length, 'in')})" if unit == "in" else "")

    return Group(
        "bars",
        "Bars to measure",
        (
            *bar((0.0, 0.0), (across, 0.0), "long bar across"),
            *bar((0.0, 0.0), (0.0, down), "long bar down"),
            Text(across / 2, 4.5, 3.2, caption(across), "middle"),
            Text(4.5, down / 2, 3.2, caption(down), "middle", -90.0),
        ),
    )


# --------------------------------------------------------------------------------------------------- words


def _column(lines: Sequence[tuple[str, float, str]]) -> tuple[list[Text], float]:
    texts, top = [], 0.0
    for words, size, weight in lines:
        texts.append(Text(0.0, top + RISE * size, size, words, "start", 0.0, weight))
        top += size * LEADING
    return texts, top


def title(work: Work, tiling: Tiling, paper: Paper, width: float) -> Group:
    heading, frame = work.heading, tiling.frame
    count = len(tiling.tiles)
    house, say = work.house.name, work.house.say
    upright = paper.height is None or frame.height >= frame.width
    sentences = [
        say("Scale 1 : 1. Paper: {paper}." if upright else "Scale 1 : 1. Paper: {paper}, lying on its side.", paper=paper.name),
        say("{count} pages of pieces after this one." if count > 1 else "{count} page of pieces after this one.", count=count),
    ]
    if tiling.joints:
        shared = show_length(frame.overlap, "mm")
        sentences.append(say("Neighbours share {length}." if frame.overlap > 0 else "Pages lie edge to edge.", length=shared))
    lines = [(line, 8.0, "bold") for line in wrap(heading.style_title, 8.0, width, "bold")]
    drafted = say("drafted for {name}, {house}" if house else "drafted for {name}", name=heading.body_name, house=house)
    if heading.version:
        drafted = f"{say('version {version}', version=heading.version)}, {drafted}"
    lines += [(line, 4.5, "bold") for line in wrap(drafted[0].upper() + drafted[1:], 4.5, width, "bold")]
    lines += [(line, BODY, "normal") for line in wrap(heading.prose, BODY, width)]
    lines += [(line, BODY, "normal") for line in wrap("; ".join(heading.facts()), BODY, width)]
    lines += [(line, BODY, "normal") for line in wrap(" ".join(sentences), BODY, width)]
    return Group("heading", "Heading", tuple(_column(lines)[0]))


def test_square(joined: bool, unit: str, house: House = USUAL) -> Group:
    """A square of exactly 100 mm between the middles of its lines; within it, what to do with the pages."""
    side = sheet.SQUARE
    long = f"100 mm ({show_length(side, 'in')})" if unit == "in" else "100 mm"
    sentences = [house.say(line) for line in (*PRINTING, *(JOINING if joined else NOT_JOINED), *CUTTING)]
    return Group(
        "test square",
        "Test square of 100 mm",
        (
            Stroke(run([(0, 0), (side, 0), (side, side), (0, side)], closed=True), "frame", "test square"),
            Text(side / 2, 6.0, 4.5, long, "middle", 0.0, "bold"),
            Text(6.0, side / 2, 4.5, long, "middle", -90.0, "bold"),
            *(shifted(item, 11.0, 11.0) for item in _numbered(sentences, side - 15, 3.1, "").items),
        ),
    )


PRINTING = [
    "Print at 100\u00a0%, at actual size, never fitted to the page.",
    "Print this page first. Measure this square, which is 100\u00a0mm each way, and both long bars. "
    "If one of them is wrong, every piece would be.",
]
JOINING = [
    "Pages are named by row and column: 2-3 is the third page of row 2. Numbered diamonds stand where pages are joined.",
    "The right or lower page of two has a thin trimming line: cut its edge away there.",
    "Lay the cut edge on the line of thin dashes of the page with the same numbers, so that the halves of each diamond "
    "meet. Tape it down, row by row.",
]
NOT_JOINED = ["No piece is larger than a page: nothing is to be joined."]
CUTTING = ["Cut the pieces out along the wide lines."]


def plot_steps(house: House = USUAL) -> Group:
    return _numbered([house.say(line) for line in JOINING], 150.0, 5.0, house.say("How to join the pages"))


def _numbered(sentences: Sequence[str], width: float, size: float, title: str) -> Group:
    items: list[Leaf] = [Text(0.0, RISE * size, size, title, "start", 0.0, "bold")] if title else []
    top = size * LEADING * 1.1 if title else 0.0
    for number, words in enumerate(sentences, 1):
        items.append(Text(0.0, top + RISE * size, size, str(number)))
        for line in wrap(words, size, width - 1.6 * size):
            items.append(Text(1.6 * size, top + RISE * size, size, line))
            top += size * LEADING
        top += 0.25 * size
    return Group("steps", title, tuple(items))


def legend(pieces: Sequence[Group], joined: bool, house: House = USUAL) -> Group:
    """A sample and the meaning of every line that is used, in less room than on a sheet."""
    used = {item.line for item in each_item(pieces) if isinstance(item, Stroke)}
    sample, width = 20.0, 48.0
    items: list[Leaf] = [Text(0.0, RISE * 3.6, 3.6, house.say("What the lines mean"), "start", 0.0, "bold")]
    y = 8.5
    rows = [(name, kind.meaning) for name, kind in LINES.items() if kind.meaning and name in used]
    rows += [(name, PAGE_LINES[name].meaning) for name in ("trim", "lay") if joined]
    for name, meaning in rows:
        drop = 2.5 if name == "fold" else 0.0  # room for the bracket above the line
        if name in PAGE_LINES:
            items.append(Stroke(run([(0.0, y), (sample, y)]), name, "sample"))
        else:
            items += sheet.line_sample(name, 0.0, y + drop, sample, house.notch)
        lines = wrap(house.say(meaning), 3.0, width)
        for k, line in enumerate(lines):
            items.append(Text(sample + 4, y + drop + 1.05 + (k - (len(lines) - 1) / 2) * 3.8, 3.0, line))
        y += 7.8 + drop
    return Group("legend", "Legend of line types", tuple(items))


def piece_list(tiling: Tiling, width: float, house: House = USUAL) -> Group:
    """Which pages each piece is on."""
    lines = [(house.say("Pieces and their pages"), 3.6, "bold")]
    for placed in tiling.laid:
        if placed.group.piece:
            names = [tile_name(tile) for tile in tiling.tiles if placed in tiling.on(tile)]
            pages = ", ".join(names) if len(names) < 7 else house.say("{first} to {last}", first=names[0], last=names[-1])
            for k, line in enumerate(wrap(f"{placed.group.title}: {pages}", BODY, width - 4)):
                lines.append((f"\u00a0\u00a0{line}" if k else line, BODY, "normal"))
    rows, columns = (max(tile[axis] for tile in tiling.tiles) for axis in (0, 1))
    empty = [
        tile_name((row, column))
        for row in range(rows + 1)
        for column in range(columns + 1)
        if (row, column) not in tiling.tiles and tiling.on((row, column))
    ]
    if empty:
        note = house.say("Left out, since no line lies there: {pages}", pages=", ".join(empty))
        lines += [(line, BODY, "normal") for line in wrap(note, BODY, width - 4)]
    return Group("list", "Pieces and their pages", tuple(_column(lines)[0]))


# ----------------------------------------------------------------------------------------------------- map


def map_block(tiling: Tiling, width: float, height: float, house: House = USUAL) -> Group:
    """All pages in small as they lie together, each by its name, with the outlines of the pieces."""
    frame = tiling.frame
    rows, columns = max(t[0] for t in tiling.tiles) + 1, max(t[1] for t in tiling.tiles) + 1
    wide, high = (columns - 1) * frame.across + frame.width, (rows - 1) * frame.down + frame.height
    high = min(high, max(placed.box[3] for placed in tiling.laid) + 2) if rows == 1 else high
    wide = min(wide, max(placed.box[2] for placed in tiling.laid) + 2) if columns == 1 else wide
    line = PAGE_LINES["map"].width  # half of it lies outside on either side
    scale = min((width - line) / wide, (height - 7 - line) / high, 0.2)
    items: list[Leaf] = [Text(0.0, RISE * 3.6, 3.6, house.say("How the pages lie together"), "start", 0.0, "bold")]
    room, lined = Room(), Room()  # without and with the edges of the pages
    down, size = 7.0, max(1.8, min(3.2, 0.14 * scale * min(frame.width, frame.height)))

    def small(points: Floats) -> Floats:
        moved: Floats = points * scale + [0.0, down]
        return moved

    for placed in tiling.laid:
        if placed.ring is not None:
            outline = _thinned(small(placed.ring), 0.1)
            items.append(Stroke(run(outline, closed=True), "leader", placed.group.name))
            for every in (room, lined):
                every.take_run(np.concatenate([outline, outline[:1]]))
    for tile in tiling.tiles:
        left, top = tile[1] * frame.across, tile[0] * frame.down
        right = min(left + (frame.width if tile[1] == columns - 1 else frame.across), wide)
        low = min(top + (frame.height if tile[0] == rows - 1 else frame.down), high)
        corners = small(np.array([[left, top], [right, top], [right, low], [left, low]]))
        items.append(Stroke(run(corners, closed=True), "map", tile_name(tile)))
        trials = (_set(room, tile_name(tile), part * size, "bold", corners[0], corners[2]) for part in (1.0, 0.8, 0.6))
        x, y = corners[:3:2].mean(axis=0)
        name = next(filter(None, trials), [Text(float(x), float(y), 0.6 * size, tile_name(tile), "middle", 0.0, "bold")])
        for every in (room, lined):
            every.take_plate(text_plate(name[0]))
        lined.take_run(np.concatenate([corners, corners[:1]]))
        items += name
    for placed in tiling.laid:
        if placed.ring is not None:
            least, most = small(np.array(placed.box).reshape(2, 2))
            title = placed.group.title.partition(":")[0]
            for place, part in [(place, part) for place in (lined, room) for part in (1.0, 0.8, 0.65)]:
                set_down = _set(place, title, part * size, "normal", least, most, small(placed.ring))
                if set_down:
                    items += set_down
                    for every in (room, lined):
                        every.take_plate(text_plate(set_down[0]))
                    break
    return Group("map", "Assembly map", tuple(items))


def _set(room: Room, words: str, size: float, weight: str, low: Floats, high: Floats, inside: Floats | None = None) -> list[Text]:
    """The words in a box where they touch nothing, or none."""
    wide, tall = text_width(words, size, weight), size * 1.04
    if not (high[0] - low[0] > wide + 1.2 and high[1] - low[1] > tall + 1.2):
        return []
    xs: Sequence[float] | Floats = np.linspace(low[0] + 0.6 + wide / 2, high[0] - 0.6 - wide / 2, 15)
    ys: Sequence[float] | Floats = np.linspace(low[1] + 0.6 + tall / 2, high[1] - 0.6 - tall / 2, 15)
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


def _thinned(points: Floats, apart: float) -> Floats:
    """The run without points nearer than `apart` to the one kept before; its ends stay."""
    distinct = [points[0]]
    for point in points[1:-1]:
        if np.hypot(*(point - distinct[-1])) >= apart:
            distinct.append(point)
    return np.array([*distinct, points[-1]])
