"""The drawing model and the search for room, with shapely, svgelements and a common font as witnesses."""

import glob
import io
import math

import numpy as np
import pytest
import shapely
import svgelements
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.geometry.path import Path
from tapeline.geometry.segments import Arc, Cubic, Line
from tapeline.paper.drawing.lettering import Plate, Room, text_width, within, wrap
from tapeline.paper.drawing.model import Drawing, Group, Stroke, Text, box_of, mirrored, polylines, run, shifted, text_plate, trace
from tapeline.paper.sheets.sheet import GAP, MARGIN, lay_out
from tapeline.paper.sheets.svg import number, write_svg

coordinate = st.floats(-500, 500).map(lambda v: round(v, 3))
point = st.tuples(coordinate, coordinate)
segment = st.tuples(point, point).filter(lambda ends: math.dist(*ends) > 0.01)


def svg_paths(text: str) -> list[svgelements.Path]:
    document = svgelements.SVG.parse(io.StringIO(text), ppi=25.4)
    return [e for e in document.elements() if isinstance(e, svgelements.Path)]


@settings(max_examples=60, deadline=None)
@given(st.floats(5, 800), st.floats(-3, 3), st.floats(0.05, 6.2), st.booleans())
def test_arcs_are_written_exactly(radius, start, sweep, back):
    one = np.array([radius])
    arc = Arc(np.array([[40.0, -25.0]]), one, np.array([start]), np.array([-sweep if back else sweep]))
    path = Path((arc, Line(arc.end(), arc.end() + 30.0)))
    stroke = Stroke(trace(path, 0), "stitch")
    moved = shifted(stroke, 1000, 1000)
    (read,) = svg_paths(write_svg(Drawing(3000, 3000, (moved,))))
    assert read.length(error=1e-7) == pytest.approx(path.length()[0], abs=0.01)
    for part in read:
        if isinstance(part, svgelements.Arc):
            # Ends rounded to 0.0001 mm fix the centre of a short arc loosely, but never the arc itself.
            assert math.hypot(part.center.x - 1040, part.center.y - 975) < max(0.02, 2e-3 / abs(part.sweep))
            for share in (0.25, 0.5, 0.75):
                place = part.point(share)
                assert abs(math.hypot(place.x - 1040, place.y - 975) - radius) < 2e-3
    # our own chords, used for boxes and room, lie on the same circle
    (points,) = polylines(trace(Path((arc,)), 0))
    assert np.abs(np.hypot(points[:, 0] - 40, points[:, 1] + 25) - radius).max() < 1e-6 * radius


@settings(max_examples=40, deadline=None)
@given(st.lists(point, min_size=4, max_size=4))
def test_curves_are_written_exactly(handles):
    cubic = Cubic(np.array([handles], dtype=float))
    if cubic.length()[0] < 1:
        return
    stroke = shifted(Stroke(trace(Path((cubic,)), 0), "cut"), 600, 600)
    (read,) = svg_paths(write_svg(Drawing(3000, 3000, (stroke,))))
    written = [read[0].end, read[1].control1, read[1].control2, read[1].end]
    for p, (x, y) in zip(written, handles, strict=True):
        assert math.hypot(p.x - x - 600, p.y - y - 600) < 0.001


@settings(max_examples=100)
@given(st.lists(point, min_size=2, max_size=6), point, point)
def test_mirrored_twice_is_the_same(points, p, q):
    if math.hypot(q[0] - p[0], q[1] - p[1]) < 1:
        return
    commands = run(points) + (("A", 50.0, False, True, 3.0, 4.0),)
    once = mirrored(commands, p, q)
    assert once[-1][3] is False
    for a, b in zip(mirrored(once, p, q), commands, strict=True):
        assert a[0] == b[0] and a[1:] == pytest.approx(b[1:], abs=1e-6)


@settings(max_examples=150)
@given(st.lists(segment, min_size=1, max_size=8), point, st.floats(2, 200), st.floats(2, 80), st.floats(-3, 3))
def test_room_agrees_with_shapely(segments, centre, width, height, turn):
    room = Room()
    for p, q in segments:
        room.take_run(np.array([p, q]))
    plate = Plate(*centre, width, height, turn)
    lines = shapely.union_all([shapely.LineString([p, q]) for p, q in segments])
    polygon = shapely.Polygon(plate.corners())
    gap = polygon.distance(lines)
    deep = polygon.intersection(lines).length
    if 0 < gap < 1e-6 or (gap == 0 and deep < 1e-6):
        return  # a touch that rounding decides
    assert room.free(np.array([centre]), width, height, turn, gap=0.0)[0] == (gap > 0)


@settings(max_examples=150)
@given(
    st.tuples(point, st.floats(2, 60), st.floats(2, 60), st.floats(-2, 2)),
    st.tuples(point, st.floats(2, 300), st.floats(2, 300), st.floats(-2, 2)),
)
def test_plates_keep_clear_of_plates_even_one_inside_another(first, second):
    a, b = (Plate(*p, w, h, t) for p, w, h, t in (first, second))
    for old, new in ((a, b), (b, a)):
        room = Room()
        room.take_plate(old)
        p, q = shapely.Polygon(old.corners()), shapely.Polygon(new.corners())
        if p.intersects(q) != (p.intersection(q).area > 1e-6):
            return
        free = room.free(np.array([[new.x, new.y]]), new.width, new.height, new.turn, gap=0.0)
        assert free[0] != p.intersects(q)


@settings(max_examples=60)
@given(st.lists(point, min_size=3, max_size=9), st.lists(point, min_size=1, max_size=20))
def test_within_agrees_with_shapely(ring, points):
    polygon = shapely.Polygon(ring)
    if not polygon.is_valid:
        return
    shapely.prepare(polygon)
    array = np.array(points)
    away = shapely.distance(polygon.exterior, shapely.points(array)) > 1e-6
    inside = shapely.contains_xy(polygon, array[:, 0], array[:, 1])
    assert (within(array, np.array(ring)) == inside)[away].all()


@pytest.mark.parametrize(
    "anchor, turn, corner",
    [
        ("start", 0.0, (10.0, 20.0)),
        ("end", 90.0, (10.0, 20.0)),
        ("start", -90.0, (10.0, 20.0)),
    ],
)
def test_a_text_plate_touches_its_anchor(anchor, turn, corner):
    text = Text(*corner, 5.0, "Waist", anchor, turn)
    outline = shapely.Polygon(text_plate(text).corners())
    assert outline.exterior.distance(shapely.Point(corner)) < 1e-9
    assert outline.area == pytest.approx(text_width("Waist", 5.0) * 5.0 * 1.04)


FONTS = sorted(
    glob.glob("/usr/share/fonts/**/DejaVuSans.ttf", recursive=True)
    + glob.glob("/usr/share/fonts/**/LiberationSans-Regular.ttf", recursive=True)
)


@pytest.mark.skipif(not FONTS, reason="no common sans serif font on this computer")
@pytest.mark.parametrize(
    "words",
    [
        "Front",
        "Cut 2, a mirrored pair",
        "Seam allowances included: side 1.5 cm; hem 4 cm turned up",
        "MAXIMUM WIDTH",
        "bone 18.5 cm",
        "illicit fill",
        "high-waisted pencil skirt",
    ],
)
def test_words_take_no_more_room_than_estimated(words):
    images = pytest.importorskip("PIL.ImageFont")
    for font in FONTS:
        measured = images.truetype(font, 200).getlength(words) / 200
        assert measured <= text_width(words, 1.0) <= 1.7 * measured


def test_wrapping_keeps_lengths_whole():
    lines = wrap("hem 4\u00a0cm turned up, side 1.5\u00a0cm", 5, 45)
    assert len(lines) > 1 and " ".join(lines) == "hem 4\u00a0cm turned up, side 1.5\u00a0cm"
    assert any("4\u00a0cm" in line for line in lines)


@settings(max_examples=200)
@given(st.floats(-9e8, 9e8))
def test_numbers_are_plain(value):
    text = number(value)
    assert "e" not in text.lower() and text != "-0" and abs(float(text) - value) <= 0.00051


def test_numbers_that_are_none_are_refused():
    for value in (math.nan, math.inf, -math.inf):
        with pytest.raises(ValueError):
            number(value)


@settings(max_examples=60)
@given(st.lists(st.tuples(st.floats(5, 900), st.floats(5, 900)), min_size=1, max_size=9), st.floats(300, 2000))
def test_laid_out_parts_never_meet(sizes, width):
    groups = [Group(f"p{k}", "", (Stroke(run([(-7, 3), (w - 7, h + 3)]), "cut"),)) for k, (w, h) in enumerate(sizes)]
    drawing = lay_out([groups[:1], groups[1:]], width)
    boxes = [shapely.box(*box_of(group.items)) for group in drawing.items]
    for k, a in enumerate(boxes):
        assert all(a.distance(b) > GAP - 1e-6 for b in boxes[k + 1 :])
        x0, y0, x1, y1 = a.bounds
        assert x0 > MARGIN - 1e-6 and y0 > MARGIN - 1e-6
        assert x1 < drawing.width - MARGIN + 1e-6 and y1 < drawing.height - MARGIN + 1e-6
    widest = max(box[2] - box[0] for box in (b.bounds for b in boxes))
    assert drawing.width <= max(width, widest + 2 * MARGIN) + 1e-6
