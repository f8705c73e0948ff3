"""The two PDFs of a draft, read back from their content streams by pypdf and measured."""

import io
import math
import os
import re
import subprocess
import sys

import numpy as np
import pypdf
import pypdfium2
import pytest
from drafted import drafted
from hypothesis import given, settings
from hypothesis import strategies as st
from pdf_reading import box, length, read_pages

from tapeline.paper.drawing.lettering import text_width
from tapeline.paper.drawing.model import LINES, Stroke, Text, run
from tapeline.paper.house import paper_sizes as pages_module
from tapeline.paper.house.house import House
from tapeline.paper.house.paper_sizes import PAPERS, PaperRefused, read_paper
from tapeline.paper.sheets.pdf import Layer, Page, arc_cubics, encodable, is_ours, write_pdf
from tapeline.paper.sheets.printed import papers

DRAFTS = [
    ("corselet_skirt", "nell", ""),
    ("straight_skirt", "maud", "A4"),
    ("half_circle_skirt", "maud", "roll 36 in"),
    ("tiered_skirt", "nell", "Tabloid"),
    ("close_bodice", "maud", "148 mm x 210 mm"),
]


@pytest.fixture(scope="module", params=DRAFTS, ids=lambda one: " ".join(one).strip())
def draft(request):
    style, body, paper = request.param
    work = drafted(style, body, House(paper=paper))
    made = papers(work)
    return work, made, {name: read_pages(data) for name, data in made.items()}


def test_names_say_style_and_paper(draft):
    work, made, _ = draft
    expected = {"": "A4-Letter", "148 mm x 210 mm": "148x210mm"}.get(work.house.paper, work.house.paper)
    tiled = [] if work.house.paper.startswith("roll") else [f"{work.plan.name}-{expected}.pdf"]
    assert list(made) == [f"{work.plan.name}-plot.pdf", *tiled]


def squares(page):
    """Widths and heights of closed squares of four straight sides, from the middles of their lines."""
    found = []
    for line in page.lines:
        if len(line.pieces) == 4 and all(kind == "l" for kind, *_ in line.pieces):
            left, top, right, low = box(line)
            sides = [np.hypot(*(q - p)) for _, p, q in line.pieces]
            if min(sides) > 50 and abs(right - left - sides[0]) < 1:
                found.append((right - left, low - top))
    return found


def test_the_test_square_is_100_mm_on_the_first_page(draft):
    for pages in draft[2].values():
        near = [(w, h) for w, h in squares(pages[0]) if abs(w - 100) < 8 and abs(h - 100) < 8]
        assert len(near) == 1
        assert near[0] == pytest.approx((100.0, 100.0), abs=0.01)


def straight(page, level: bool):
    """Lengths of single straight lines that lie level, or plumb."""
    axis = 0 if level else 1
    return [
        abs(line.pieces[0][2] - line.pieces[0][1])[axis]
        for line in page.lines
        if len(line.pieces) == 1
        and abs(line.pieces[0][2] - line.pieces[0][1])[1 - axis] < 1e-6
        and abs(line.width - 0.18) < 1e-4
        and not line.dash
    ]


def test_the_first_page_has_a_long_bar_on_each_axis_as_long_as_it_says(draft):
    for pages in draft[2].values():
        said = [float(words.split()[3]) for words, *_ in pages[0].words if words.startswith("This bar is")]
        assert len(said) == 2
        for level, one in zip((True, False), said, strict=True):
            assert one >= 100
            assert min(abs(found - one) for found in straight(pages[0], level)) < 0.01


def test_every_tile_has_a_bar_of_100_mm_on_each_axis(draft):
    tiles = 0
    for pages in draft[2].values():
        for page in pages:
            if any(re.match(r"\d+-\d+( \(.*\), page|,) \d+ of \d+", words) for words, *_ in page.words):
                tiles += 1
                for level in (True, False):
                    assert min(abs(found - 100) for found in straight(page, level)) < 0.01
    assert tiles >= 2


def test_all_of_every_piece_is_there_at_its_length(draft):
    """Stitching lines, fold and hem of each piece against the model, and the cut line against the finished one."""
    work, made, read = draft
    plot = read[f"{work.plan.name}-plot.pdf"]
    drawn = [line for page in plot for line in page.lines]
    for finished in work.finished.pieces:
        piece = finished.piece
        for edge in piece.edges:
            if edge.name == piece.cut.fold:
                continue
            expected = sum(float(strip.length()[0]) for strip in edge.strips)
            assert min(abs(length(line) - expected) for line in drawn if abs(line.width - 0.35) < 1e-4) < 0.01, edge.name
        ring = finished.cut_line[0]
        around = float(np.hypot(*(np.roll(ring, -1, axis=0) - ring).T).sum())
        # The cut line is left open at a fold, where a straight line closes it.
        gap = {id(line): float(np.hypot(*(line.runs[0][0] - line.runs[-1][-1]))) for line in drawn}
        assert min(abs(length(line) + gap[id(line)] - around) for line in drawn if abs(line.width - 0.7) < 1e-4) < 0.01


def test_a_page_is_as_large_as_its_paper(draft):
    work, _, read = draft
    paper, _ = read_paper(work.house.paper)
    for name, pages in read.items():
        if name.endswith("-plot.pdf"):
            assert all(max(page.width, page.height) <= pages_module.LONGEST + 0.01 for page in pages)
            continue
        for page in pages:
            assert sorted((page.width, page.height)) == pytest.approx(sorted((paper.width, paper.height)), abs=0.002)


def test_words_keep_to_the_room_that_was_kept_for_them(draft):
    """Reader's widths of Helvetica (from pdfium, not from us) against the plate of each text."""
    work, made, _ = draft
    for data in made.values():
        document = pypdfium2.PdfDocument(data)
        seen = 0
        for page in list(document)[:2]:
            words = page.get_textpage()
            for one in page.get_objects(filter=[1], textpage=words):  # text
                said = one.extract()
                if len(said) < 3:
                    continue
                left, low, right, high = one.get_bounds()
                bold = "Bold" in one.get_font().get_base_name()
                across = math.hypot(right - left, high - low) / 72 * 25.4
                size = one.get_font_size() / 72 * 25.4
                assert across <= math.hypot(text_width(said, size, "bold" if bold else "normal"), 1.04 * size) + 0.01, said
                seen += 1
            words.close()
        assert seen > 5


def test_the_reader_is_asked_not_to_scale_and_the_file_knows_its_maker(draft):
    work, made, _ = draft
    for data in made.values():
        reader = pypdf.PdfReader(io.BytesIO(data))
        assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
        assert reader.metadata.title == f"{work.heading.style_title} {work.heading.version}, for {work.heading.body_name}"
        assert is_ours(data)
        assert not is_ours(data.replace(b"tapeline", b"someone "))
        assert not is_ours(b"text with /Creator (tapeline)")
        assert "/CreationDate" not in reader.metadata and "/ModDate" not in reader.metadata  # a draft that is told no date


def test_same_draft_same_bytes(tmp_path):
    code = (
        "import hashlib, sys; sys.path.insert(0, sys.argv[1]); from drafted import drafted; from tapeline.paper.sheets.printed import papers;"
        "made = papers(drafted('straight_skirt', 'maud'));"
        "print({name: hashlib.sha256(data).hexdigest() for name, data in made.items()})"
    )
    said = []
    for k, (seed, zone) in enumerate((("1", "UTC"), ("77", "Asia/Tokyo"))):
        folder = tmp_path / f"folder {k}"
        folder.mkdir()
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "SOURCE_DATE_EPOCH": ""}
        environment.pop("SOURCE_DATE_EPOCH")
        said.append(
            subprocess.run(
                [sys.executable, "-c", code, os.path.dirname(__file__)],
                cwd=folder,
                env=environment,
                capture_output=True,
                text=True,
                check=True,
            ).stdout
        )
    assert said[0] == said[1] and said[0].count("pdf") == 2


@given(st.floats(1, 20000), st.floats(0.01, 2 * math.pi / 3), st.floats(0, 2 * math.pi), st.booleans())
@settings(max_examples=60, deadline=None)
def test_arcs_leave_the_circle_by_less_than_a_thousandth(radius, sweep, first, clockwise):
    way = sweep if clockwise else -sweep
    start = (radius * math.cos(first), radius * math.sin(first))
    end = (radius * math.cos(first + way), radius * math.sin(first + way))
    if radius * (1 - math.cos(sweep / 2)) < 1e-3:
        return  # drawn straight, see `trace`
    p, t = np.array(start), np.linspace(0, 1, 200)[:, None]
    for cubic in arc_cubics(start, radius, False, clockwise, *end):
        a, b, q = map(np.array, cubic)
        points = (1 - t) ** 3 * p + 3 * (1 - t) ** 2 * t * a + 3 * (1 - t) * t * t * b + t**3 * q
        p = q
        assert np.abs(np.hypot(*points.T) - radius).max() < 0.001 + 1e-9 * radius
        middle = points[100] @ np.array([math.cos(first + way / 2), math.sin(first + way / 2)])
        assert middle > 0.4 * radius  # on the side of the short arc
    assert tuple(p) == pytest.approx(end, abs=1e-6)


def test_line_types_have_their_width_and_dashes():
    strokes = [Stroke(run([(10, 10 + 3 * k), (90, 10 + 3 * k)]), name) for k, name in enumerate(LINES)]
    (page,) = read_pages(write_pdf([Page(100, 100, (Layer(tuple(strokes)),), "Lines")], "Lines"))
    assert len(page.lines) == len(LINES)
    for (name, kind), line in zip(LINES.items(), page.lines, strict=True):
        assert line.width == pytest.approx(kind.width, abs=1e-5), name
        assert line.dash == pytest.approx(kind.dash, abs=1e-5), name


def test_letters_of_other_scripts_are_not_lost_without_a_sign():
    assert encodable("Łucja Dvořák, 5 × 7 – ½ €") == "Lucja Dvorák, 5 × 7 – ½ €"
    assert encodable("Ж\x07") == "??"
    data = write_pdf([Page(50, 50, (Layer((Text(5, 5, 4, "Ж & (so)\\"),)),), "Ж")], "Žofie Ж")
    assert read_pages(data)[0].words[0][0] == "? & (so)\\"
    assert pypdf.PdfReader(io.BytesIO(data)).metadata.title == "Žofie Ж"


def test_a_page_over_the_limit_is_refused_with_a_way_out():
    with pytest.raises(PaperRefused) as refused:
        write_pdf([Page(900, 5081, (), "Too long")], "Too long")
    assert refused.value.diagnostic.code == "P102" and "roll" in refused.value.diagnostic.suggestion
    assert write_pdf([Page(900, 5080, (), "As long as may be")], "Long").startswith(b"%PDF")


def test_a_place_that_is_not_known_is_never_written():
    with pytest.raises(ValueError, match="finite"):
        write_pdf([Page(50, 50, (Layer((Stroke((("M", 0, 0), ("L", math.nan, 0)), "cut"),)),), "x")], "x")


# ------------------------------------------------------------------------------------------ stating a paper


@pytest.mark.parametrize(
    "words, width, height",
    [
        ("", 210, 279.4),
        ("a4 AND letter  alike", 210, 279.4),
        ("A4", 210, 297),
        ("letter", 215.9, 279.4),
        ("A3", 297, 420),
        ("Tabloid", 279.4, 431.8),
        ("A0", 841, 1189),
        ("roll 36 in", 914.4, None),
        ("Roll 90 cm", 900, None),
        ("roll 23 5/8 in", 600.075, None),
        ("30 x 40 cm", 300, 400),
        ("300 mm x 400 mm", 300, 400),
        ("12 in × 18 in", 304.8, 457.2),
        ("200 in x 36 in", 5080, 914.4),
    ],
)
def test_papers_are_read(words, width, height):
    """Sizes of sheets: ISO 216; ANSI/ASME Y14.1."""
    paper, found = read_paper(words)
    assert not found
    assert paper.width == pytest.approx(width) and (paper.height is None if height is None else paper.height == pytest.approx(height))


@pytest.mark.parametrize(
    "words, code",
    [
        ("A9", "P101"),
        ("roll", "P101"),
        ("roll 36", "P101"),
        ("roll -5 in", "P101"),
        ("3 x 4 x 5 cm", "P101"),
        ("30 x 40", "P101"),
        ("0 cm x 40 cm", "P101"),
        ("x", "P101"),
        ("\x00", "P101"),
        ("roll 1/0 in", "P101"),
        ("90 cm x 600 cm", "P102"),
        ("roll 300 in", "P102"),
        ("10 cm x 40 cm", "P103"),
        ("roll 10 cm", "P103"),
        ("1 mm x 1 mm", "P103"),
    ],
)
def test_what_is_no_paper_is_told_with_a_way_out(words, code):
    paper, (found,) = read_paper(words)
    assert paper is None
    assert found.code == code and found.expected and found.found and found.suggestion


@given(st.text(max_size=30))
@settings(max_examples=200, deadline=None)
def test_any_words_give_a_paper_or_a_diagnostic(words):
    paper, found = read_paper(words)
    assert (paper is None) == bool(found)


def test_a_house_with_no_such_paper_is_refused():
    with pytest.raises(PaperRefused) as refused:
        papers(drafted("straight_skirt", "maud", House(paper="A44")))
    assert refused.value.diagnostic.code == "P101" and "A4" in refused.value.diagnostic.suggestion


def test_every_paper_of_the_list_holds_the_first_page():
    for paper in PAPERS.values():
        assert min(paper.room()) >= pages_module.SMALLEST
