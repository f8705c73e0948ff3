"""Pictures of pages and drawings, read back by Pillow and measured in pixels."""

from __future__ import annotations

import hashlib
import io

import numpy as np
import pytest
from elsewhere import printed_elsewhere
from PIL import Image
from proofs import proof

from tapeline.paper.drawing.model import Drawing, Stroke, run
from tapeline.paper.sheets import preview
from tapeline.paper.sheets.pdf import Layer, Page, write_pdf
from tapeline.paper.sheets.preview import drawing_png, is_ours, page_png, papers, write_png


def opened(png: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(png))
    picture.load()
    return picture


def rectangle(left: float, top: float, right: float, low: float) -> Stroke:
    return Stroke(run([(left, top), (right, top), (right, low), (left, low)], closed=True), "cut")


def dark_box(picture: Image.Image) -> tuple[int, int, int, int]:
    rows, columns = np.nonzero(np.asarray(picture) < 128)
    return int(columns.min()), int(rows.min()), int(columns.max()) + 1, int(rows.max()) + 1


def test_a_picture_keeps_every_shade():
    shades = np.arange(60, dtype=np.uint8).reshape(5, 12) * 4
    picture = opened(write_png(shades, 4.0))
    assert np.array_equal(np.asarray(picture), shades)
    assert picture.info["Software"] == "tapeline" and picture.info["dpi"] == pytest.approx((101.6, 101.6))


def test_a_drawing_is_seen_where_it_lies():
    drawing = Drawing(200, 100, (rectangle(20, 10, 180, 60),))
    picture = opened(drawing_png(drawing, 1000))
    assert picture.size == (1000, 500)
    assert dark_box(picture) == pytest.approx((98, 48, 902, 302), abs=2)  # 5 pixels a mm, the line 0.7 mm wide


@pytest.mark.parametrize("width, height", [(300, 12_000), (12_000, 300), (7_000, 6_000)])
def test_a_drawing_longer_than_a_page_has_no_gap_and_no_step(width, height):
    """Pages of a PDF end at 200 in; the parts set together are one picture."""
    inner = rectangle(0.1 * width, 0.1 * height, 0.9 * width, 0.9 * height)
    cross = Stroke(run([(0.1 * width, 0.1 * height), (0.9 * width, 0.9 * height)]), "cut")
    picture = opened(drawing_png(Drawing(width, height, (inner, cross)), 3000))
    scale = 3000 / max(width, height)
    assert picture.size == pytest.approx((width * scale, height * scale), abs=1)
    seen = np.asarray(picture) < 255
    for k in range(int(0.12 * width * scale), int(0.88 * width * scale)):
        assert seen[:, k].any()
    for k in range(int(0.12 * height * scale), int(0.88 * height * scale)):
        assert seen[k].sum() >= 3  # both sides and the slanting line


def test_a_page_of_a_pdf_and_no_page():
    pdf = write_pdf(
        [Page(100, 50, (Layer((rectangle(10, 10, 20, 20),)),), "one"), Page(100, 200, (Layer((rectangle(50, 100, 90, 190),)),), "two")],
        "Two pages",
    )
    assert opened(page_png(pdf, 1, 400)).size == (400, 200)
    second = opened(page_png(pdf, 2, 400))
    assert second.size == (200, 400) and dark_box(second) == pytest.approx((99, 199, 181, 381), abs=2)
    for number in (0, 3, -1):
        with pytest.raises(ValueError, match="there is no page"):
            page_png(pdf, number)


def test_the_sheet_of_a_draft():
    ((name, png),) = papers(proof("half_circle_skirt", "maud")).items()
    assert name == "half_circle_skirt-preview.png"
    picture = opened(png)
    assert max(picture.size) in (preview.SIDE, preview.SIDE + 1) and picture.mode == "L"
    left, top, right, low = dark_box(picture)
    assert left < 0.1 * picture.width and right > 0.9 * picture.width and top < 0.1 * picture.height and low > 0.9 * picture.height


def test_it_knows_its_own_pictures():
    stranger = io.BytesIO()
    Image.new("L", (4, 4)).save(stranger, "PNG")
    assert is_ours(write_png(np.zeros((2, 2), dtype=np.uint8)))
    assert not is_ours(stranger.getvalue()) and not is_ours(preview.MARK)


def test_same_draft_same_picture(tmp_path):
    """In another folder, another time zone, with other hash seeds."""
    script = (
        "import hashlib\nfrom proofs import proof\nfrom tapeline.paper.sheets.preview import papers\n"
        "print(hashlib.sha256(repr(papers(proof('straight_skirt', 'maud'))).encode()).hexdigest())\n"
    )
    found = printed_elsewhere(script, tmp_path)
    assert found == [hashlib.sha256(repr(papers(proof("straight_skirt", "maud"))).encode()).hexdigest() + "\n"] * 2
