"""Tiles laid together, as a person would: cut at the trimming lines, laid on the lines of dashes.

The pages are read back by pypdf; lines are joined and compared by shapely.
"""

import re
from collections import Counter

import numpy as np
import pypdfium2
import pytest
import shapely
from drafted import drafted
from pdf_reading import read_pages
from shapely import affinity

from tapeline.paper.drawing.model import Group, Stroke, Text, each_item, polylines, run
from tapeline.paper.house.house import House
from tapeline.paper.house.paper_sizes import PAPERS, read_paper
from tapeline.paper.sheets.packing import Frame
from tapeline.paper.sheets.pdf import Layer, Page, write_pdf
from tapeline.paper.sheets.printed import papers, piece_groups, sheet_pages
from tapeline.paper.sheets.tiling import lay, quartered, tile_name

NAME = re.compile(r"(\d+)-(\d+)(?: \(.*\), page|,) (\d+) of (\d+)")
DRAFTS = [
    ("corselet_skirt", "maud", "", 10.0),
    ("half_circle_skirt", "nell", "A4", 0.0),
    ("tiered_skirt", "maud", "A3", 25.0),
    ("straight_skirt", "nell", "Letter", 10.0),
    ("short_bodice", "nell", "160 mm x 200 mm", 6.0),
    ("six_gore_skirt", "nell", "Tabloid", 0.0),
]
PIECE_WIDTHS = (0.7, 0.5, 0.35, 0.25)  # of lines that only pieces have; pages have thinner ones


class Tiles:
    def __init__(self, style: str, body: str, paper: str, overlap: float):
        self.work = drafted(style, body, House(paper=paper, overlap=overlap))
        self.paper, _ = read_paper(paper)
        self.overlap = overlap
        self.data = next(data for name, data in papers(self.work).items() if not name.endswith("-plot.pdf"))
        self.pages = read_pages(self.data)
        self.tiles = {}
        for page in self.pages:
            for words, *_ in page.words:
                if match := NAME.match(words):
                    self.tiles[int(match[1]) - 1, int(match[2]) - 1] = page
        page = next(iter(self.tiles.values()))
        self.margin = self.paper.margin
        self.room = page.width - 2 * self.margin, page.height - 2 * self.margin
        groups = piece_groups(self.work)
        self.tiling = lay(groups, Frame(*self.room, overlap))

    def origin(self, tile) -> np.ndarray:
        """Where the page's frame begins on the plane, less its margin."""
        row, column = tile
        return np.array([column * (self.room[0] - self.overlap), row * (self.room[1] - self.overlap)]) - self.margin


@pytest.fixture(scope="module", params=DRAFTS, ids=lambda one: " ".join(map(str, one)))
def tiles(request):
    return Tiles(*request.param)


def of_pieces(page):
    return [line for line in page.lines if line.clip is not None and min(abs(line.width - w) for w in PIECE_WIDTHS) < 1e-4]


def test_pages_are_named_by_row_and_column_once_and_in_order(tiles):
    assert list(tiles.tiles) == sorted(tiles.tiles) == tiles.tiling.tiles
    front = len(tiles.pages) - len(tiles.tiles)
    assert front >= 1 and list(tiles.tiles.values()) == tiles.pages[front:]
    for k, page in enumerate(tiles.tiles.values(), 1):
        (found,) = [match for words, *_ in page.words if (match := NAME.match(words))]
        assert (int(found[3]), int(found[4])) == (k, len(tiles.tiles))


def test_no_page_is_blank(tiles):
    """Lines or words of a piece within the frame of every page."""
    drawn = {
        words for group in piece_groups(tiles.work) for item in each_item([group]) if isinstance(item, Text) for words in [item.words]
    }
    for page in tiles.tiles.values():
        frame = shapely.box(tiles.margin, tiles.margin, page.width - tiles.margin, page.height - tiles.margin)
        ink = sum(
            shapely.LineString(points).intersection(frame).length for line in of_pieces(page) for points in line.runs if len(points) > 1
        )
        said = [words for words, x, y, _ in page.words if words in drawn and frame.contains(shapely.Point(x, y))]
        assert ink > 1.0 or said


def test_tiles_laid_together_give_the_whole_drawing_without_a_gap(tiles):
    """Each page's lines, clipped as the page clips them and trimmed as it says, against the lines of the pieces."""
    parts = []
    for tile, page in tiles.tiles.items():
        kept = shapely.box(0, 0, page.width, page.height)
        for line in of_pieces(page):
            shown = shapely.box(*line.clip).intersection(kept)
            frame = tiles.margin, tiles.margin, page.width - tiles.margin, page.height - tiles.margin
            assert line.clip == pytest.approx(frame, abs=0.001)
            parts += [
                affinity.translate(shapely.LineString(points).intersection(shown), *tiles.origin(tile))
                for points in line.runs
                if len(points) > 1
            ]
    together = shapely.unary_union(parts)
    whole = shapely.unary_union(
        [
            shapely.LineString(points)
            for one in tiles.tiling.laid
            for item in each_item(one.group.items)
            if isinstance(item, Stroke) and item.line not in ("construction", "leader", "dart_fold", "centre", "channel")
            for points in polylines(item.commands, steps=512)
            if len(points) > 1
        ]
    )
    # Chords of the two flattenings differ; 0.02 mm is well below a printer's dot and far below any gap to be seen.  A buffer of
    # few corners is cheap, and lies within the round one.
    assert whole.difference(together.buffer(0.02, quad_segs=2)).length < 0.01
    assert together.difference(whole.buffer(0.02, quad_segs=2)).length < 0.01


def diamonds(page):
    """Middles of the joint marks, in whole, from their paths."""
    found = []
    for line in page.lines:
        if len(line.pieces) == 4 and abs(line.width - 0.18) < 1e-4:
            points = np.array([p for _, p, _ in line.pieces])
            if np.ptp(points[:, 0]) == pytest.approx(8, abs=0.01) and np.ptp(points[:, 1]) == pytest.approx(8, abs=0.01):
                found.append(points.mean(axis=0))
    return found


def test_marks_of_neighbours_fall_together_on_the_plane(tiles):
    met = Counter()
    for tile, page in tiles.tiles.items():
        for middle in diamonds(page):
            at = middle + tiles.origin(tile)
            met[tuple(int(v) for v in np.round(at * 50))] += 1
    assert set(met.values()) <= {2}
    assert len(met) == sum(len(joint.marks) for joint in tiles.tiling.joints) >= 2


def test_a_trimming_line_meets_a_line_to_lay_it_on(tiles):
    """On the later page at the edge of the frame, on the one before as far inside as the pages overlap."""
    trims, lays = Counter(), Counter()
    for tile, page in tiles.tiles.items():
        for line in page.lines:
            if abs(line.width - 0.13) > 1e-4 or len(line.pieces) != 1:
                continue
            _, p, q = line.pieces[0]
            level = abs(p[1] - q[1]) < 1e-6
            at = (p + tiles.origin(tile))[1 if level else 0]
            (lays if line.dash else trims)[level, round(at * 20), tile[1 if level else 0]] += 1
            inside = p[1 if level else 0] - tiles.margin
            room = tiles.room[1 if level else 0]
            assert inside == pytest.approx(room - tiles.overlap if line.dash else 0.0, abs=0.001)
    assert trims == lays and trims


def test_only_pages_that_a_piece_crosses_are_joined(tiles):
    polygons = [shapely.Polygon(one.ring) for one in tiles.tiling.laid]
    joined = {(joint.before, joint.after) for joint in tiles.tiling.joints}
    for row, column in tiles.tiling.tiles:
        for after in ((row, column + 1), (row + 1, column)):
            if after not in tiles.tiling.tiles:
                continue
            left, top, right, low = tiles.tiling.window(after)
            edge = shapely.LineString([(left, top), (left, low)] if after[0] == row else [(left, top), (right, top)])
            crossing = max(
                (
                    polygon.intersection(edge).length
                    for polygon, one in zip(polygons, tiles.tiling.laid, strict=True)
                    if one in tiles.tiling.on((row, column)) and one in tiles.tiling.on(after)
                ),
                default=0.0,
            )
            if crossing > 5:
                assert ((row, column), after) in joined
            if crossing == 0:
                assert ((row, column), after) not in joined


def test_a_piece_that_fits_on_one_page_is_whole_on_one(tiles):
    for one in tiles.tiling.laid:
        wide, high = one.box[2] - one.box[0], one.box[3] - one.box[1]
        if wide + 3 <= tiles.room[0]:
            assert one.columns[0] == one.columns[1]
        if high + 3 <= tiles.room[1]:
            assert one.rows[0] == one.rows[1]


def test_the_map_names_every_page_and_the_list_every_piece(tiles):
    front = tiles.pages[: len(tiles.pages) - len(tiles.tiles)]
    said = [words for page in front for words, *_ in page.words]
    for tile in tiles.tiles:
        assert tile_name(tile) in said
    for piece in tiles.work.finished.pieces:
        assert any(words.startswith(piece.piece.title) for words in said)


def test_words_of_the_first_page_do_not_touch(tiles):
    from tapeline.paper.drawing.model import text_plate

    for page in sheet_pages(tiles.work, piece_groups(tiles.work), tiles.paper):
        if not page.title.startswith("First"):
            continue
        items = list(each_item(page.layers[0].items))
        plates = [shapely.Polygon(text_plate(item).corners()) for item in items if isinstance(item, Text) and item.words.strip()]
        room = shapely.box(0, 0, page.width - 2 * tiles.margin, page.height - 2 * tiles.margin).buffer(1e-6)
        for k, one in enumerate(plates):
            assert room.contains(one)
            for other in plates[:k]:
                assert one.intersection(other).area < 1e-6
        for group in page.layers[0].items:
            for item in each_item([group]):
                if isinstance(item, Stroke):
                    for points in polylines(item.commands):
                        assert room.buffer(2.0).contains(shapely.LineString(points))


def test_where_a_piece_is_wider_than_the_roll_the_sheet_shows_where_to_join_it():
    work = drafted("full_circle_skirt", "maud", House(paper="roll 60 cm"))
    (data,) = papers(work).values()
    pages = read_pages(data)
    assert len(pages) == 2
    assert [len(diamonds(page)) for page in pages][0] == [len(diamonds(page)) for page in pages][1] >= 4
    assert any(words == "How to join the pages" for words, *_ in pages[0].words)
    assert any(words == "2-1" for words, *_ in pages[0].words) and any(words == "2-1" for words, *_ in pages[1].words)
    for page in pages:  # every mark lies on the paper
        for x, y in diamonds(page):
            assert 0 < x < page.width and 0 < y < page.height


def test_a_plot_on_a_roll_is_as_wide_as_the_roll_and_no_longer_than_need_be():
    (data,) = papers(drafted("straight_skirt", "maud", House(paper="roll 36 in"))).values()
    (page,) = read_pages(data)
    sides = sorted((page.width, page.height))
    assert any(side == pytest.approx(914.4, abs=0.01) for side in sides)
    points = np.concatenate([points for line in page.lines for points in line.runs])
    along = 0 if page.height == pytest.approx(914.4, abs=0.01) else 1
    assert (page.width, page.height)[along] - points[:, along].max() == pytest.approx(18, abs=3)


def test_a_line_longer_than_a_page_of_pdf_is_parted():
    """A strip of six metres on a roll: two pages in length, joined, none over the limit."""
    from tapeline.paper.house import paper_sizes as papers_known

    strip = Group("strip", "Strip: Cut 1", (Stroke(run([(0, 0), (300, 0), (300, 6000), (0, 6000)], closed=True), "cut"),), piece=True)
    width, height = papers_known.USUAL_ROLL.room()
    tiling = lay([strip], Frame(width, height, 10.0), lengths=True)
    assert tiling.tiles == [(0, 0), (1, 0)] and len(tiling.joints) == 1
    assert height + 2 * papers_known.ROLL_MARGIN <= papers_known.LONGEST


def test_a_tile_without_a_line_is_left_out():
    room = PAPERS["A4"].room()
    ring = Stroke(run([(0, 0), (700, 0), (700, 1000), (0, 1000)], closed=True), "cut")
    tiling = lay([Group("field", "Field: Cut 1", (ring,), piece=True)], Frame(*room, 10.0))
    assert (1, 1) not in tiling.tiles and (1, 2) not in tiling.tiles and len(tiling.tiles) == 12


def test_names_of_tiles():
    named = {(0, 0): "1-1", (1, 2): "2-3", (25, 9): "26-10", (10, 0): "11-1", (0, 10): "1-11"}
    assert {tile: tile_name(tile) for tile in named} == named


def test_a_quarter_turn_goes_clockwise_on_the_paper():
    arc = Stroke((("M", 1.0, 2.0), ("A", 5.0, False, True, 4.0, 6.0)), "cut")
    x, y = np.concatenate(polylines(arc.commands)).T
    assert np.concatenate(polylines(quartered(arc).commands)) == pytest.approx(np.stack([-y, x], axis=-1))
    text = Text(3, 4, 5, "words", "start", -90.0)
    assert (quartered(text).x, quartered(text).y, quartered(text).turn_degrees) == (-4, 3, 0.0)
    assert quartered(quartered(quartered(quartered(text)))) == text


def test_the_pages_show_what_one_large_page_shows():
    """The same by pixels: tiles rendered, trimmed and laid together, beside all pieces rendered on one page."""
    tiles = Tiles("straight_skirt", "nell", "A4", 10.0)
    per = 4  # pixels to a millimetre
    step = tiles.room[0] - 10, tiles.room[1] - 10
    rows, columns = max(t[0] for t in tiles.tiles) + 1, max(t[1] for t in tiles.tiles) + 1
    size = columns * step[0] + 10, rows * step[1] + 10
    only = [
        one.group._replace(items=tuple(item for item in one.group.items if isinstance(item, Stroke) and item.line == "cut"))
        for one in tiles.tiling.laid
    ]
    whole = write_pdf([Page(*size, (Layer(tuple(only)),), "All")], "All")
    large = pypdfium2.PdfDocument(whole)[0].render(scale=per * 25.4 / 72).to_numpy()[..., 0] < 100
    together = np.ones((large.shape[0] + 50, large.shape[1] + 50), dtype=bool)
    document, front = pypdfium2.PdfDocument(tiles.data), len(tiles.pages) - len(tiles.tiles)
    together[:] = False
    for k, (row, column) in enumerate(tiles.tiles):
        picture = document[front + k].render(scale=per * 25.4 / 72).to_numpy()[..., 0] < 200
        edge = int(10 * per)
        picture = picture[edge : edge + int(tiles.room[1] * per), edge : edge + int(tiles.room[0] * per)]
        y, x = round(row * step[1] * per), round(column * step[0] * per)
        together[y : y + picture.shape[0], x : x + picture.shape[1]] |= picture
    grown = together.copy()
    for shift in ((1, 0), (-1, 0), (0, 1), (0, -1)):
        grown |= np.roll(together, shift, axis=(0, 1))
    missing = large & ~grown[: large.shape[0], : large.shape[1]]
    assert large.sum() > 10000 and missing.sum() == 0
