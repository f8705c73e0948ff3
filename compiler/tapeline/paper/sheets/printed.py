"""The two PDFs of a draft: one for a plotter, and one in pages to tape together.

Of upright pages and pages that lie on their side those are taken that come to the fewest, then to the fewest joints, then to the
least paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from ...source.quantity import show_length
from ..drawing.lettering import Room, text_width
from ..drawing.model import Box, Group, Leaf, Stroke, Text, box_of, run
from ..drawing.pieces import draw_piece
from ..house.house import House
from ..house.paper_sizes import PAPERS, USUAL_ROLL, Paper
from ..house.work import Work
from . import first_page
from .packing import Frame
from .pdf import TRUE_SIZE, Layer, Page, write_pdf
from .tiling import PAD, Joint, Tiling, ink, joint_marks, lay, shape_of, tile_name

BAR = 100.0


def papers(work: Work) -> dict[str, bytes]:
    """NAME-plot.pdf for a plotter, and NAME-PAPER.pdf in pages to tape together for each paper that is not one.

    The plot is on the first large paper of those asked for, else on the house's.  PaperRefused if a paper cannot be used.
    """
    title = f"{work.heading.titled}, for {work.heading.body_name}"
    pieces = piece_groups(work)
    large = [paper for paper in (*work.papers, work.house_paper) if paper.large]
    documents = {f"{work.file_stem}-plot.pdf": plot_pages(work, pieces, large[0] if large else None)}
    for paper in work.papers:
        if paper not in large[:1]:
            pages = (plot_pages if paper.large else sheet_pages)(work, pieces, paper)
            documents[f"{work.file_stem}-{paper.file_part}.pdf"] = pages
    return {name: write_pdf(pages, title, work.house.name, work.heading.date, TRUE_SIZE) for name, pages in documents.items()}


def sheet_pages(work: Work, pieces: Sequence[Group], paper: Paper) -> list[Page]:
    """A first page with all that is to be known, then the tiles in rows."""
    trials = []
    for page in ((paper.width, paper.length), (paper.length, paper.width)):
        frame = Frame(page[0] - 2 * paper.margin, page[1] - 2 * paper.margin, _overlap(work, paper))
        trials.append((lay(pieces, frame), page))
    tiling, page = min(trials, key=lambda trial: (len(trial[0].tiles), len(trial[0].joints)))
    about = f"{work.heading.style_title}, {work.heading.body_name}"
    pages = [
        Page(*page, (Layer((group,), paper.margin, paper.margin),), "First page" if k == 0 else "First page, continued")
        for k, group in enumerate(first_page.front(work, pieces, tiling, paper))
    ]
    return pages + [_tile_page(tiling, tile, k, paper.margin, page, about, work.house) for k, tile in enumerate(tiling.tiles, 1)]


def plot_pages(work: Work, pieces: Sequence[Group], paper: Paper | None = None) -> list[Page]:
    """Everything on one page, or on few; without a paper on one sheet of A0, else on a roll 36 in wide."""
    tiling = None
    if paper is None:
        paper = PAPERS["A0"]
        if sum(shape_of(piece)[0].area for piece in pieces) < math.prod(paper.room()):
            tiling = _plot(work, pieces, paper)
        if tiling is None or len(tiling.tiles) > 1:
            paper, tiling = USUAL_ROLL, None
    tiling = tiling or _plot(work, pieces, paper)
    if len(tiling.tiles) > 1:  # once more, with room for a map of how the pages are joined
        tiling = _plot(work, pieces, paper, joined=True)
    about = f"{work.heading.style_title}, {work.heading.body_name}"
    return [_plot_page(tiling, tile, k, paper, about, work.house) for k, tile in enumerate(tiling.tiles, 1)]


def _plot(work: Work, pieces: Sequence[Group], paper: Paper, joined: bool = False) -> Tiling:
    trials = []
    for turned in (False, True):
        width, height = paper.room()[::-1] if turned else paper.room()
        frame, roll = Frame(width, height, _overlap(work, paper)), paper.height is None
        head = first_page.head(work, pieces, paper, joined, roll and turned)
        tiling = lay([head, *pieces], frame, 1, lengths=roll, along=roll and turned)
        used = sum(math.prod(_plot_size(tiling, tile, paper)) for tile in tiling.tiles)
        trials.append(((len(tiling.tiles), len(tiling.joints), used), tiling))
    _, tiling = min(trials, key=lambda trial: trial[0])
    if joined:
        tiling.laid[0] = tiling.laid[0]._replace(group=first_page.with_map(tiling.laid[0].group, tiling, work.house))
    return tiling


def _overlap(work: Work, paper: Paper) -> float:
    return float(min(max(0.0, work.house.overlap), min(paper.room()) / 4))


def piece_groups(work: Work) -> list[Group]:
    return [draw_piece(piece, work.index, work.heading, work.opened) for piece in work.shown]


def _plot_size(tiling: Tiling, tile: tuple[int, int], paper: Paper) -> tuple[float, float]:
    """Of the page: a sheet is whole, a length of a roll ends where the drawing ends."""
    left, top, right, low = tiling.window(tile)
    width, height = right - left, low - top
    if paper.height is None:
        ends = [placed.box for placed in tiling.on(tile)]
        if width > height:
            width = min(width, max(box[2] for box in ends) - left + PAD)
        else:
            height = min(height, max(box[3] for box in ends) - top + PAD)
    return width + 2 * paper.margin, height + 2 * paper.margin


def _plot_page(tiling: Tiling, tile: tuple[int, int], number: int, paper: Paper, about: str, house: House) -> Page:
    size = _plot_size(tiling, tile, paper)
    if len(tiling.tiles) == 1:
        items = tuple(placed.group for placed in tiling.laid)
        return Page(*size, (Layer(items, paper.margin, paper.margin),), "Pattern pieces")
    return _tile_page(tiling, tile, number, paper.margin, size, about, house)


def _tile_page(
    tiling: Tiling, tile: tuple[int, int], number: int, margin: float, size: tuple[float, float], about: str, house: House
) -> Page:
    left, top, _, _ = window = tiling.window(tile)
    frame = (margin, margin, size[0] - margin, size[1] - margin)
    window = (left, top, left + frame[2] - frame[0], top + frame[3] - frame[1])
    move = margin - left, margin - top
    shown = [_clipped(placed.group, window) for placed in tiling.on(tile)]
    joints = [joint for joint in tiling.joints if tile in (joint.before, joint.after)]
    marks = [item for joint in joints for item in joint_marks(joint)]
    lines = [_joint_line(joint, tile, tiling.frame, window) for joint in joints]
    room = Room()
    for group in [*shown, Group("marks", "", tuple(marks))]:
        for points in ink(group):
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
        f"{tile_name(tile)}: row {tile[0] + 1}, column {tile[1] + 1}",
    )


def _clipped(group: Group, window: Box) -> Group:
    """The piece without what lies outside a window; what is no piece lies on one tile whole."""
    if not group.piece:
        return group
    visible = []
    for item in group.items:
        if isinstance(item, Stroke) and not item.commands:
            continue
        box = box_of([item])
        if box[0] < window[2] and box[2] > window[0] and box[1] < window[3] and box[3] > window[1]:
            visible.append(item)
    return group._replace(items=tuple(visible))


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


def _edge_items(frame: Box, tile: tuple[int, int], number: int, pages: int, about: str, titles: str, house: House) -> list[Leaf]:
    """Corners of the frame, and in the lower and right margin, which are never cut away, a bar of 100 mm on each axis,
    what page this is, and what is on it."""
    left, top, right, low = frame
    items: list[Leaf] = []
    for x, y, dx, dy in ((left, top, 1, 1), (right, top, -1, 1), (right, low, -1, -1), (left, low, 1, -1)):
        items.append(Stroke(run([(x + 5 * dx, y), (x, y), (x, y + 5 * dy)]), "trim", "corner"))
    y, x = low + 2.2, right + 2.2
    items += first_page.bar((right - BAR, y), (right, y), f"test bar across {tile_name(tile)}")
    items += first_page.bar((x, low - BAR), (x, low), f"test bar down {tile_name(tile)}")
    caption = show_length(BAR, "mm")
    items += [Text(right - BAR / 2, low + 5.4, 2.6, caption, "middle"), Text(right + 5.4, low - BAR / 2, 2.6, caption, "middle", -90.0)]
    room, down = right - left - BAR - 4, low - top - BAR - 8
    short = house.say(
        "{tile} (row {row}, column {column}), page {number} of {pages}",
        tile=tile_name(tile),
        row=tile[0] + 1,
        column=tile[1] + 1,
        number=number,
        pages=pages,
    )
    if text_width(short, 2.8) > room:
        short = house.say("{tile}, {number} of {pages}", tile=tile_name(tile), number=number, pages=pages)
    items.append(Text(left, low + 4.2, 2.8, short))
    words = next((words for words in (f"{about}: {titles}", titles, about) if text_width(words, 2.8) <= down), "")
    items.append(Text(right + 4.2, low - BAR - 4, 2.8, words, "start", -90.0))
    return items
