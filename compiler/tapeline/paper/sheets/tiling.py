"""A drawing parted into pages that are taped together, and the pages of the two PDFs.

The plane is covered by the tiles of `packing`; a tile becomes a page if a line or a word of a piece lies on it that no
page before it shows.  So no page is blank, and a tile that lies wholly inside a large piece is left out.  A piece is
drawn on the tiles that it spans and on no other, so that no scrap of it strays onto a neighbour's strip.

Pages are joined only where a piece goes on from one to the other.  There the left or upper edge of the later page is
cut away along its trimming line and laid on the line of dashes of the page before, which lies as far inside that page's
edge as the pages overlap; at butt edges the two lines are the edges themselves.  On each joint stand two diamonds with
the joint's number, half on either page.  Every page bears a bar of 100 mm on each axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...source.quantity import show_length
from ..drawing.lettering import Plate, Room, text_plate, text_width, within
from ..drawing.model import LINES, Box, Group, Stroke, Text, box_of, each_item, mirrored, polylines, run, shifted
from ..drawing.pieces import draw_piece
from ..house.house import House
from ..house.paper_sizes import PAPERS, USUAL_ROLL, Paper
from . import first_page
from .packing import Frame, Shape, pack, span
from .pdf import Layer, Page, page_box

PAD = 1.5  # mm kept free round a piece
DIAMOND = 4.0  # half of a joint mark's height
MARKS_APART = 300.0  # along a joint, at most by half as much again; never fewer than two
BAR = 100.0


class Laid(NamedTuple):
    """A group in its place on the plane, with the tiles that it spans."""

    group: Group
    box: Box
    rows: tuple[int, int]  # first and last
    columns: tuple[int, int]
    ring: np.ndarray | None  # the cut line, closed; none where it is no piece


class Joint(NamedTuple):
    number: int
    before: tuple[int, int]  # row and column of the page above or to the left
    after: tuple[int, int]
    marks: tuple[tuple[float, float], ...]  # middles of the diamonds, on the plane

    @property
    def upright(self) -> bool:
        """Whether the joint runs up and down, between neighbours in one row."""
        return self.before[0] == self.after[0]


@dataclass(slots=True, eq=False)
class Tiling:
    frame: Frame
    laid: list[Laid]
    tiles: list[tuple[int, int]]  # row and column of each page, in the order of printing
    joints: list[Joint]
    least: int  # no lay has fewer pages

    def window(self, tile: tuple[int, int]) -> Box:
        x, y = tile[1] * self.frame.across, tile[0] * self.frame.down
        return x, y, x + self.frame.width, y + self.frame.height

    def on(self, tile: tuple[int, int]) -> list[Laid]:
        return [one for one in self.laid if one.rows[0] <= tile[0] <= one.rows[1] and one.columns[0] <= tile[1] <= one.columns[1]]


def tile_name(tile: tuple[int, int]) -> str:
    """Rows by letters, columns by numbers: B3; the 27th row is AA."""
    row, letters = tile[0] + 1, ""
    while row:
        row, rest = divmod(row - 1, 26)
        letters = chr(65 + rest) + letters
    return f"{letters}{tile[1] + 1}"


# ------------------------------------------------------------------------------------------------ laying


def lay(groups: Sequence[Group], frame: Frame, first: int = 0, lengths: bool = False, along: bool = False) -> Tiling:
    """The groups packed on tiles.  `along`: the frame is a roll that runs from left to right."""
    shapes, corners = zip(*(_shape(group) for group in groups), strict=True)
    if along:
        packing = pack([_swapped(shape) for shape in shapes], frame.turned(), first, lengths=lengths)
        places = [place._replace(x=place.y, y=place.x) for place in packing.places]
    else:
        packing = pack(shapes, frame, first, lengths=lengths)
        places = packing.places
    laid = []
    for group, shape, (left, top), place in zip(groups, shapes, corners, places, strict=True):
        if place.turned:
            group = upside_down(group)
            left, top = -left - shape.width, -top - shape.height
        group = shifted(group, place.x - left, place.y - top)
        box = (place.x + PAD, place.y + PAD, place.x + shape.width - PAD, place.y + shape.height - PAD)
        laid.append(
            Laid(
                group,
                box,
                span(place.y, shape.height, frame.height, frame.down),
                span(place.x, shape.width, frame.width, frame.across),
                _ring(group) if group.piece else None,
            )
        )
    tiles = sorted({tile for one in laid for tile in _tiles(one, frame)})
    return Tiling(frame, laid, tiles, _joints(laid, tiles, frame), packing.least)


def upside_down(item):
    """An item or a group turned by half a turn about (0, 0)."""
    if isinstance(item, Group):
        return item._replace(items=tuple(upside_down(inner) for inner in item.items))
    if isinstance(item, Text):
        turn = item.turn_degrees + 180
        return item._replace(x=-item.x, y=-item.y, turn_degrees=turn - 360 if turn > 180 else turn)
    across = mirrored(item.commands, (0.0, 0.0), (1.0, 0.0))
    return item._replace(commands=mirrored(across, (0.0, 0.0), (0.0, 1.0)))


def _shape(group: Group) -> tuple[Shape, tuple[float, float]]:
    """What a group covers, and where its box begins in its own coordinates."""
    box = page_box(group)
    left, top = box[0] - PAD, box[1] - PAD
    width, height = box[2] - box[0] + 2 * PAD, box[3] - box[1] + 2 * PAD
    corner = np.array([left, top])
    runs = tuple(points - corner for points in _ink(group))
    rings = (
        [_ring(group)]
        if group.piece
        else [_corners(page_box(part)) for part in group.items if isinstance(part, Group) and part.name != "bars"]
    )
    return Shape(width, height, tuple(ring - corner for ring in rings), runs), (left, top)


def _corners(box: Box) -> np.ndarray:
    left, top, right, low = box
    return np.array([[left, top], [right, top], [right, low], [left, low]])


def _swapped(shape: Shape) -> Shape:
    return Shape(shape.height, shape.width, tuple(ring[:, ::-1] for ring in shape.rings), tuple(run[:, ::-1] for run in shape.runs))


def _ring(group: Group) -> np.ndarray:
    """The outline of a piece; where it lies on the fold, its cut line closed along the fold."""
    (cut,) = (item for item in each_item(group.items) if isinstance(item, Stroke) and item.line == "cut")
    return np.concatenate(polylines(cut.commands))


def _ink(group: Group) -> list[np.ndarray]:
    """All lines in fine chords, and the edges of all words."""
    runs = []
    for item in each_item(group.items):
        if isinstance(item, Text):
            corners = text_plate(item).corners()
            runs.append(np.concatenate([corners, corners[:1]]))
        else:
            runs += polylines(item.commands)
    return runs


def _tiles(one: Laid, frame: Frame) -> list[tuple[int, int]]:
    """The tiles of a group's span that show a part of its ink which no tile before them shows."""
    runs = [points for points in _ink(one.group) if len(points) > 1]
    segments = np.concatenate([np.concatenate([points[:-1], points[1:]], axis=1) for points in runs])
    (top, low), (left, right) = one.rows, one.columns
    edge = LINES["cut"].width / 2
    found = []
    for row in range(top, low + 1):
        for column in range(left, right + 1):
            new = (
                column * frame.across + frame.overlap - edge if column > left else -math.inf,
                row * frame.down + frame.overlap - edge if row > top else -math.inf,
                column * frame.across + frame.width - edge if column < right else math.inf,
                row * frame.down + frame.height - edge if row < low else math.inf,
            )
            if _meets(segments, new):
                found.append((row, column))
    return found


def _meets(segments: np.ndarray, box: Box) -> bool:
    """Whether any of the segments (S, 4) passes through a box."""
    enter, leave = np.zeros(len(segments)), np.ones(len(segments))
    for axis in (0, 1):
        start, way = segments[:, axis], segments[:, axis + 2] - segments[:, axis]
        for bound, sign in ((box[axis], 1.0), (box[axis + 2], -1.0)):
            if not math.isfinite(bound):
                continue
            gap = sign * (start - bound)  # negative outside
            rate = sign * way
            with np.errstate(divide="ignore", invalid="ignore"):
                t = -gap / rate
            enter = np.where(rate > 0, np.maximum(enter, t), enter)
            leave = np.where(rate < 0, np.minimum(leave, t), leave)
            leave = np.where((rate == 0) & (gap < 0), -1.0, leave)
    return bool((enter < leave).any())


# ------------------------------------------------------------------------------------------------ joints


def _joints(laid: Sequence[Laid], tiles: Sequence[tuple[int, int]], frame: Frame) -> list[Joint]:
    """The joints that a piece goes across, with places for their marks clear of the drawing where there are any."""
    printed, room = set(tiles), Room()
    reach = np.max([one.box[2:] for one in laid], axis=0)
    for one in laid:
        for points in _ink(one.group):
            room.take_run(points)
    joints: list[Joint] = []
    for row, column in tiles:
        for after in ((row, column + 1), (row + 1, column)):
            if after not in printed:
                continue
            upright = after[0] == row
            across = np.array([0.0, 1.0] if upright else [1.0, 0.0])
            start = np.array([after[1] * frame.across, after[0] * frame.down])
            length = min(frame.height, reach[1] - start[1]) if upright else min(frame.width, reach[0] - start[0])
            points = start + np.arange(1.0, length, 2.0)[:, None] * across
            crossed = np.zeros(len(points), dtype=bool)
            for one in laid:
                spans = one.rows, one.columns
                if one.ring is not None and all(
                    first <= at <= last for tile in ((row, column), after) for at, (first, last) in zip(tile, spans, strict=True)
                ):
                    crossed |= within(points, one.ring)
            if crossed.any():
                number = len(joints) + 1
                count = max(2, round(length / MARKS_APART))
                marks = tuple(_mark_place(room, start, across, length / count, k, number) for k in range(count))
                joints.append(Joint(number, (row, column), after, marks))
    return joints


def _mark_place(room: Room, start: np.ndarray, along: np.ndarray, apart: float, k: int, number: int) -> tuple[float, float]:
    """The middle of mark `k`, near the middle of its stretch of the joint: free of the drawing, if it can be."""
    upright = bool(along[1])
    wide = 2 * (DIAMOND + 1.5 + text_width(str(number), 3.0)) if upright else max(2 * DIAMOND, text_width(str(number), 3.0))
    high = 2 * DIAMOND if upright else 2 * (DIAMOND + 4.5)
    parts = 0.5 + np.array(sorted(range(-12, 13), key=lambda step: (abs(step), step))) * 0.03
    places = start + ((k + parts) * apart)[:, None] * along
    free = room.free(places, wide, high)
    place = places[int(np.argmax(free))] if free.any() else places[0]
    room.take_plate(Plate(float(place[0]), float(place[1]), wide, high))
    return float(place[0]), float(place[1])


def _joint_items(joint: Joint) -> list:
    items: list = []
    for x, y in joint.marks:
        corners = [(x, y - DIAMOND), (x + DIAMOND, y), (x, y + DIAMOND), (x - DIAMOND, y)]
        items.append(Stroke(run(corners, closed=True), "rule", "joint mark"))
        # A line through the middle, so that a shift of a hair shows.
        cross = [(x - DIAMOND, y), (x + DIAMOND, y)] if joint.upright else [(x, y - DIAMOND), (x, y + DIAMOND)]
        items.append(Stroke(run(cross), "rule", "joint mark"))
        number = str(joint.number)
        if joint.upright:
            items += [Text(x - DIAMOND - 1, y + 1, 3.0, number, "end"), Text(x + DIAMOND + 1, y + 1, 3.0, number)]
        else:
            items += [Text(x, y - DIAMOND - 1, 3.0, number, "middle"), Text(x, y + DIAMOND + 3.4, 3.0, number, "middle")]
    return items


# ------------------------------------------------------------------------------------------------- pages


def sheet_pages(work, pieces: Sequence[Group], paper: Paper) -> list[Page]:
    """A first page with all that is to be known, then the tiles in rows."""
    best = None
    for turned in (False, True):
        page = (paper.height, paper.width) if turned else (paper.width, paper.height)
        frame = Frame(page[0] - 2 * paper.margin, page[1] - 2 * paper.margin, _overlap(work, paper))
        tiling = lay(pieces, frame)
        score = len(tiling.tiles), len(tiling.joints)
        if best is None or score < best[0]:
            best = score, tiling, page
    _, tiling, page = best
    about = f"{work.heading.style_title}, {work.heading.body_name}"
    pages = [
        Page(*page, (Layer((group,), paper.margin, paper.margin),), "First page" if k == 0 else "First page, continued")
        for k, group in enumerate(first_page.front(work, pieces, tiling, paper))
    ]
    return pages + [_tile_page(tiling, tile, k, paper.margin, page, about, work.house) for k, tile in enumerate(tiling.tiles, 1)]


def plot_pages(work, pieces: Sequence[Group], paper: Paper | None = None) -> list[Page]:
    """Everything on one page, or on few; without a paper on one sheet of A0, else on a roll 36 in wide."""
    tiling = None
    if paper is None:
        paper = PAPERS["A0"]
        if sum(_shape(piece)[0].area for piece in pieces) < math.prod(paper.room()):
            tiling = _plot(work, pieces, paper)
        if tiling is None or len(tiling.tiles) > 1:
            paper, tiling = USUAL_ROLL, None
    tiling = tiling or _plot(work, pieces, paper)
    if len(tiling.tiles) > 1:  # once more, with room for a map of how the pages are joined
        tiling = _plot(work, pieces, paper, joined=True)
    about = f"{work.heading.style_title}, {work.heading.body_name}"
    return [_plot_page(tiling, tile, k, paper, about, work.house) for k, tile in enumerate(tiling.tiles, 1)]


def _plot(work, pieces: Sequence[Group], paper: Paper, joined: bool = False) -> Tiling:
    best = None
    for turned in (False, True):
        width, height = paper.room()[::-1] if turned else paper.room()
        frame, roll = Frame(width, height, _overlap(work, paper)), paper.height is None
        head = first_page.head(work, pieces, paper, joined, roll and turned)
        tiling = lay([head, *pieces], frame, 1, lengths=roll, along=roll and turned)
        used = sum(math.prod(_plot_size(tiling, tile, paper)) for tile in tiling.tiles)
        score = len(tiling.tiles), len(tiling.joints), used
        if best is None or score < best[0]:
            best = score, tiling
    tiling = best[1]
    if joined:
        tiling.laid[0] = tiling.laid[0]._replace(group=first_page.with_map(tiling.laid[0].group, tiling, work.house))
    return tiling


def _overlap(work, paper: Paper) -> float:
    return float(min(max(0.0, work.house.overlap), min(paper.room()) / 4))


def piece_groups(work) -> list[Group]:
    in_order = sorted(work.finished.pieces, key=lambda one: bool(one.piece.cut.purpose))
    return [draw_piece(piece, work.index, work.heading, work.opened) for piece in in_order]


def _plot_size(tiling: Tiling, tile: tuple[int, int], paper: Paper) -> tuple[float, float]:
    """Of the page: a sheet is whole, a length of a roll ends where the drawing ends."""
    left, top, right, low = tiling.window(tile)
    width, height = right - left, low - top
    if paper.height is None:
        ends = [one.box for one in tiling.on(tile)]
        if width > height:
            width = min(width, max(box[2] for box in ends) - left + PAD)
        else:
            height = min(height, max(box[3] for box in ends) - top + PAD)
    return width + 2 * paper.margin, height + 2 * paper.margin


def _plot_page(tiling: Tiling, tile: tuple[int, int], number: int, paper: Paper, about: str, house: House) -> Page:
    size = _plot_size(tiling, tile, paper)
    if len(tiling.tiles) == 1:
        items = tuple(one.group for one in tiling.laid)
        return Page(*size, (Layer(items, paper.margin, paper.margin),), "Pattern pieces")
    return _tile_page(tiling, tile, number, paper.margin, size, about, house)


def _tile_page(
    tiling: Tiling, tile: tuple[int, int], number: int, margin: float, size: tuple[float, float], about: str, house: House
) -> Page:
    left, top, _, _ = window = tiling.window(tile)
    frame = (margin, margin, size[0] - margin, size[1] - margin)
    window = (left, top, left + frame[2] - frame[0], top + frame[3] - frame[1])
    move = margin - left, margin - top
    shown = [_seen(one.group, window) for one in tiling.on(tile)]
    joints = [joint for joint in tiling.joints if tile in (joint.before, joint.after)]
    marks = [item for joint in joints for item in _joint_items(joint)]
    lines = [_joint_line(joint, tile, tiling.frame, window) for joint in joints]
    room = Room()
    for group in [*shown, Group("marks", "", tuple(marks))]:
        for points in _ink(group):
            room.take_run(points)
    titles = ", ".join(group.title.partition(":")[0] for group in shown if group.piece and group.items)
    label = _page_label(room, window, tiling.frame.overlap, tile_name(tile))
    return Page(
        *size,
        (
            Layer(tuple(shown), *move, frame),
            Layer(tuple(marks), *move, frame),
            Layer((*lines, *label), *move),
            Layer(
                tuple(_edge_items(frame, tile, number, len(tiling.tiles), about, titles, house)),
            ),
        ),
        f"{tile_name(tile)}: row {tile_name(tile).rstrip('0123456789')}, column {tile[1] + 1}",
    )


def _seen(group: Group, window: Box) -> Group:
    """The piece without what lies outside a window; what is no piece lies on one tile whole."""
    if not group.piece:
        return group
    kept = []
    for item in group.items:
        if isinstance(item, Stroke) and not item.commands:
            continue
        box = box_of([item])
        if box[0] < window[2] and box[2] > window[0] and box[1] < window[3] and box[3] > window[1]:
            kept.append(item)
    return group._replace(items=tuple(kept))


def _joint_line(joint: Joint, tile: tuple[int, int], frame: Frame, window: Box) -> Stroke:
    """On the later page the line to cut away at, on the one before the line to lay that edge on."""
    left, top, right, low = window
    if joint.upright:
        x = joint.after[1] * frame.across
        ends = [(x, top), (x, low)]
    else:
        y = joint.after[0] * frame.down
        ends = [(left, y), (right, y)]
    return Stroke(run(ends), "trim" if tile == joint.after else "lay", f"joint {joint.number}")


def _page_label(room: Room, window: Box, overlap: float, name: str) -> list[Text]:
    """The page's name as large as there is room for it, upright and clear of the drawing."""
    left, top, right, low = window
    for size in (14.0, 10.0, 7.0, 5.0):
        wide, high = text_width(name, size, "bold"), size * 1.04
        apart = max(8.0, (right - left) / 25, (low - top) / 25)
        xs = np.arange(left + overlap + 2 + wide / 2, right - overlap - 2 - wide / 2, apart)
        ys = np.arange(top + overlap + 2 + high / 2, low - overlap - 2 - high / 2, apart)
        if not (len(xs) and len(ys)):
            continue
        centres = np.stack([a.ravel() for a in np.meshgrid(xs, ys)], axis=-1)
        free = room.free(centres, wide, high, gap=2.0)
        if free.any():
            middle = np.array([(left + right) / 2, (top + low) / 2])
            away = np.hypot(*(centres - middle).T)
            x, y = centres[int(np.argmin(np.where(free, np.round(away, 3), np.inf)))]
            return [Text(float(x), float(y) + 0.28 * size, size, name, "middle", 0.0, "bold")]
    return []


def _edge_items(frame: Box, tile: tuple[int, int], number: int, pages: int, about: str, titles: str, house: House) -> list:
    """Corners of the frame, and in the lower and right margin, which are never cut away, a bar of 100 mm on each axis,
    what page this is, and what is on it."""
    left, top, right, low = frame
    items: list = []
    for x, y, dx, dy in ((left, top, 1, 1), (right, top, -1, 1), (right, low, -1, -1), (left, low, 1, -1)):
        items.append(Stroke(run([(x + 5 * dx, y), (x, y), (x, y + 5 * dy)]), "trim", "corner"))
    y, x = low + 2.2, right + 2.2
    items += first_page.bar((right - BAR, y), (right, y), f"test bar across {tile_name(tile)}")
    items += first_page.bar((x, low - BAR), (x, low), f"test bar down {tile_name(tile)}")
    said = show_length(BAR, "mm")
    items += [Text(right - BAR / 2, low + 5.4, 2.6, said, "middle"), Text(right + 5.4, low - BAR / 2, 2.6, said, "middle", -90.0)]
    row, column = tile_name(tile).rstrip("0123456789"), tile[1] + 1
    room, down = right - left - BAR - 4, low - top - BAR - 8
    short = house.say(
        "{tile} (row {row}, column {column}), page {number} of {pages}",
        tile=tile_name(tile),
        row=row,
        column=column,
        number=number,
        pages=pages,
    )
    if text_width(short, 2.8) > room:
        short = house.say("{tile}, {number} of {pages}", tile=tile_name(tile), number=number, pages=pages)
    items.append(Text(left, low + 4.2, 2.8, short))
    words = next((words for words in (f"{about}: {titles}", titles, about) if text_width(words, 2.8) <= down), "")
    items.append(Text(right + 4.2, low - BAR - 4, 2.8, words, "start", -90.0))
    return items
