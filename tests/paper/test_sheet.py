"""A whole sheet, read back by svgelements and xml.etree and measured against the model."""

import hashlib
import io
import os
import re
import subprocess
import sys
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pencil_skirt
import pytest
import shapely
import svgelements

from tapeline.drafting.pattern import Allowance, Cut, Edge, Hand, Mark, Pattern, Piece
from tapeline.finishing.finish import finish
from tapeline.meaning.cutting import Extra
from tapeline.paper.drawing.labels import LEAST
from tapeline.paper.drawing.model import LINES, Drawing, Stroke, Text, box_of, each_item, polylines, text_plate
from tapeline.paper.drawing.pieces import allowance_words, cut_words, draw_piece, extra_words
from tapeline.paper.sheets.sheet import draw_sheet
from tapeline.paper.sheets.svg import write_svg

NS = "{http://www.w3.org/2000/svg}"
BODIES = range(pencil_skirt.N)


def read(text: str) -> dict[tuple[str | None, str], list[svgelements.Path]]:
    """Paths by (piece, name); the edges' lines under their plain names, all others as "line type: name"."""
    found: dict = {}
    for element in svgelements.SVG.parse(io.StringIO(text), ppi=25.4).elements():
        if isinstance(element, svgelements.Path):
            other = f"{element.values['data-line']}: {element.values.get('data-name', '')}"
            name = element.values.get("data-edge", other)
            found.setdefault((element.values.get("data-piece"), name), []).append(element)
    return found


@pytest.fixture(scope="module", params=[False, True], ids=["on fold", "opened"])
def sheet(request, finished, heading):
    drawing = draw_sheet(finished, 1, heading, opened=request.param, edge_names=request.param)
    return request.param, drawing, write_svg(drawing)


def test_stitching_lines_are_as_long_as_the_model(finished, sheet):
    opened, _, text = sheet
    paths = read(text)
    for piece in finished.pattern.pieces:
        for edge in piece.edges:
            if edge.name == piece.cut.fold:
                continue
            drawn = sum(path.length(error=1e-7) for path in paths[piece.name, edge.name])
            times = 2 if opened and piece.cut.fold else 1
            assert drawn == pytest.approx(times * sum(s.length()[1] for s in edge.strips), abs=0.01)
        for dart in piece.darts():
            legs = paths[piece.name, f"dart: {dart.name}"]
            drawn = sum(path.length(error=1e-7) for path in legs) / len(legs)
            assert drawn == pytest.approx((dart.near_leg.length() + dart.far_leg.length())[1], abs=0.01)


def test_lines_name_the_rule_they_come_from(finished, sheet):
    paths = read(sheet[2])
    for piece in finished.pattern.pieces:
        for edge in piece.edges:
            for path in paths[piece.name, edge.name]:
                assert path.values["data-rule"] == f"{edge.span.source.name}:{edge.span.line}"


def test_the_cut_line_is_the_finished_one(finished, sheet):
    opened, _, text = sheet
    paths = read(text)
    for piece in finished.pieces:
        (cut,) = paths[piece.piece.name, "cut: cut"]
        ring = shapely.Polygon(piece.cut_line[1])
        drawn = shapely.Polygon([(p.x, p.y) for p in cut.as_points()])
        times = 2 if opened and piece.piece.cut.fold else 1
        assert drawn.is_valid
        assert drawn.area == pytest.approx(times * ring.area, rel=1e-5)


def test_a_fold_is_no_line_to_cut(finished, heading):
    for index in BODIES:
        group = draw_piece(finished.piece("front"), index, heading)
        strokes = {item.line: item for item in group.items if isinstance(item, Stroke)}
        cut, fold = strokes["cut"], strokes["fold"]
        middle = shapely.Point(np.concatenate(polylines(fold.commands)).mean(axis=0))
        line = shapely.LineString(np.concatenate(polylines(cut.commands)))
        assert cut.commands[-1] != ("Z",)
        assert line.distance(middle) > 100
        # the fold line runs through the allowances, from one end of the cut line to the other
        ends = {(round(c[1], 6), round(c[2], 6)) for c in fold.commands}
        assert ends == {(round(x, 6), round(y, 6)) for x, y in (line.coords[0], line.coords[-1])}
        hem = finished.piece("front").piece.edge("hem").end()[index]
        assert max(y for _, y in ends) == pytest.approx(hem[1] + 40, abs=0.01)


def test_the_test_square_is_100_mm(sheet):
    (square,) = read(sheet[2])[None, "frame: test square"]
    x0, y0, x1, y1 = square.bbox(with_stroke=False)
    assert x1 - x0 == pytest.approx(100, abs=0.0011) and y1 - y0 == pytest.approx(100, abs=0.0011)
    root = ElementTree.fromstring(sheet[2].encode())
    words = [t.text for t in root.iter(f"{NS}text")]
    assert words.count("100 mm") == 2


def test_one_unit_is_one_millimetre(sheet):
    root = ElementTree.fromstring(sheet[2].encode())
    assert root.get("viewBox") == f"0 0 {root.get('width')[:-2]} {root.get('height')[:-2]}"
    assert root.get("width").endswith("mm") and root.get("height").endswith("mm")


@pytest.mark.parametrize("index", BODIES)
@pytest.mark.parametrize("opened", [False, True])
@pytest.mark.parametrize("unit", ["cm", "in"])
def test_words_touch_neither_words_nor_lines(finished, heading, index, opened, unit):
    drawing = draw_sheet(finished, index, heading._replace(unit=unit), opened=opened, edge_names=opened)
    assert_clear(drawing)


def assert_clear(drawing: Drawing) -> None:
    for group in drawing.items:
        texts = [item for item in each_item([group]) if isinstance(item, Text)]
        strokes = [item for item in each_item([group]) if isinstance(item, Stroke) and item.line != "leader"]
        plates = [shapely.Polygon(text_plate(text).corners()).buffer(-1e-6) for text in texts]
        tree = shapely.STRtree(plates)
        assert all(len(tree.query(plate, predicate="intersects")) == 1 for plate in plates)
        for stroke in strokes:
            for points in polylines(stroke.commands):
                touched = tree.query(shapely.LineString(points), predicate="intersects")
                assert not len(touched), f"{group.name}: {stroke.line} through {texts[touched[0]].words!r}"
        assert all(text.size >= LEAST for text in texts)
    boxes = [shapely.box(*box_of(group.items)) for group in drawing.items]
    for k, box in enumerate(boxes):
        assert all(box.distance(other) > 19.99 for other in boxes[k + 1 :])


def test_the_legend_lists_the_line_types_used_and_no_other(sheet):
    _, drawing, text = sheet
    used = {s.line for g in drawing.items if g.piece for s in each_item([g]) if isinstance(s, Stroke)}
    legend = next(group for group in drawing.items if group.name == "legend")
    said = [t.words for t in legend.items if isinstance(t, Text)][1:]
    assert said == [kind.meaning for name, kind in LINES.items() if name in used and kind.meaning]
    assert ("fold" in used) != ("centre" in used)


def test_all_is_drawn_in_black(sheet):
    root = ElementTree.fromstring(sheet[2].encode())
    for element in root.iter():
        assert element.get("fill", "none") in ("none", "#000000")
        assert element.get("stroke", "#000000") == "#000000"
        assert element.tag not in (f"{NS}script", f"{NS}style", f"{NS}image")


def test_identifiers_are_unique_and_pieces_are_named(finished, sheet):
    root = ElementTree.fromstring(sheet[2].encode())
    identifiers = [e.get("id") for e in root.iter() if e.get("id")]
    assert len(identifiers) == len(set(identifiers))
    named = [g.get("data-piece") for g in root.iter(f"{NS}g") if g.get("data-piece")]
    assert named == [piece.name for piece in finished.pattern.pieces]
    assert root.find(f"{NS}title").text == "Corselet skirt 1.0"
    assert "Front: Cut 1" in root.find(f"{NS}desc").text


def test_svgwrite_accepts_every_attribute(sheet):
    from svgwrite.validator2 import get_validator

    validator = get_validator("full", True)
    for element in ElementTree.fromstring(sheet[2].encode()).iter():
        tag = element.tag.removeprefix(NS)
        for name, value in element.attrib.items():
            if not name.startswith("data-") and name != "role":
                validator.check_svg_attribute_value(tag, name, value)


def test_the_same_bytes_each_time(finished, heading, tmp_path):
    script = (
        "import sys, hashlib; sys.path.insert(0, sys.argv[1])\n"
        "import pencil_skirt\n"
        "from tapeline.finishing.finish import finish\n"
        "from tapeline.paper.house.work import Heading\nfrom tapeline.paper.sheets.sheet import draw_sheet\n"
        "from tapeline.paper.sheets.svg import write_svg\n"
        "skirt, _ = finish(pencil_skirt.skirt())\n"
        "sheet = draw_sheet(skirt, 1, Heading(*sys.argv[2:]))\n"
        "print(hashlib.sha256(write_svg(sheet).encode()).hexdigest())\n"
    )
    here = os.path.dirname(os.path.abspath(pencil_skirt.__file__))
    digests = set()
    for seed in ("1", "4242"):
        surroundings = {**os.environ, "PYTHONHASHSEED": seed, "TZ": "Asia/Tokyo"}
        done = subprocess.run(
            [sys.executable, "-c", script, here, *heading[:5]],
            cwd=tmp_path,
            env=surroundings,
            text=True,
            check=True,
            capture_output=True,
        )
        digests.add(done.stdout)
    first, second = (write_svg(draw_sheet(finished, 1, heading)) for _ in range(2))
    assert first == second
    assert digests == {hashlib.sha256(first.encode()).hexdigest() + "\n"}


def test_heavy_libraries_load_late():
    script = "import sys, tapeline.paper.sheets.sheet, tapeline.paper.sheets.svg\nprint('reportlab' in sys.modules, 'shapely' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", script], text=True, check=True, capture_output=True)
    assert done.stdout.split() == ["False", "False"]


def test_numbers_in_the_file_are_plain(sheet):
    for data in re.findall(r' (?:d|x|y|transform|stroke-width|stroke-dasharray|viewBox)="([^"]*)"', sheet[2]):
        for figure in re.findall(r"[-+\d.eE]*\d[-+\d.eE]*", data):
            assert re.fullmatch(r"-?\d+(\.\d{1,3})?", figure) and figure != "-0", figure


def rectangle(name: str, title: str, width: float, height: float) -> Piece:
    at, straight = pencil_skirt.at, pencil_skirt.straight
    corners = [at(0, 0), at(width, 0), at(width, height), at(0, height)]
    sides = zip(("top", "right", "bottom", "left"), corners, corners[1:] + corners[:1], strict=True)
    edges = tuple(Edge(edge, pencil_skirt.said(3), (straight(p, q),)) for edge, p, q in sides)
    return Piece(name, title, pencil_skirt.said(2), edges, Cut(2), {}, at(0, 1))


def finished_rectangles(*pieces: Piece):
    allowances = {(p.name, e.name): Allowance(e.name, np.full(pencil_skirt.N, 10.0), "plain", e.span) for p in pieces for e in p.edges}
    finished, failures = finish(Pattern(pencil_skirt.N, pieces, (), allowances, {}))
    assert not failures
    return finished


def test_words_of_small_and_narrow_pieces(heading):
    strap, tab = rectangle("strap", "Strap", 30, 420), rectangle("tab", "Button tab", 24, 30)
    finished = finished_rectangles(strap, tab)
    drawing = draw_sheet(finished, 0, heading)
    assert_clear(drawing)
    strap, tab = drawing.items[-2:]
    assert any(t.turn_degrees == -90 for t in strap.items if isinstance(t, Text))
    (leader,) = [s for s in tab.items if isinstance(s, Stroke) and s.line == "leader"]
    (grain,) = [s for s in tab.items if isinstance(s, Stroke) and s.line == "grain"]
    leader_line, grain_line = (shapely.LineString(polylines(s.commands)[0]) for s in (leader, grain))
    assert not leader_line.intersects(grain_line)
    assert not any(s.line == "leader" for s in strap.items if isinstance(s, Stroke))


def test_words_of_a_crowded_piece(heading):
    at, straight, said = pencil_skirt.at, pencil_skirt.straight, pencil_skirt.said
    lines = [straight(at(20, 30 + 9 * k), at(60, 31 + 9 * k)) for k in range(12)]
    marks = tuple(Mark("placement", f"button_loop_{k}", said(5), line) for k, line in enumerate(lines))
    levels = {f"level_{k}": np.full(pencil_skirt.N, 20.0 + 14 * k) for k in range(9)}
    piece = replace(rectangle("tab", "Loop strip", 80, 170), marks=marks, levels=levels)
    drawing = draw_sheet(finished_rectangles(piece), 0, heading, edge_names=True)
    assert_clear(drawing)
    words = [item.words for item in drawing.items[-1].items if isinstance(item, Text)]
    assert {f"button loop {k}" for k in range(12)} | {f"level {k}" for k in range(9)} <= set(words)


def test_strange_words_do_no_harm(heading):
    title = 'Front <b> & "back" \x00\x1b \ud800 \U0001f457 ]]>'
    finished = finished_rectangles(rectangle("../x y", title, 400, 500), rectangle("x y", "\n", 200, 500))
    strange = heading._replace(style_title=title, prose="\t\n" + "w" * 400, body_name="")
    text = write_svg(draw_sheet(finished, 0, strange))
    root = ElementTree.fromstring(text.encode())
    assert [g.get("id") for g in root.iter(f"{NS}g")][-2:] == ["x-y", "x-y-2"]
    shown = title.translate({0: "\ufffd", 0x1B: "\ufffd", 0xD800: "\ufffd"})
    assert any(t.text == shown for t in root.iter(f"{NS}text"))


def test_a_body_that_failed_is_refused(heading):
    finished = finished_rectangles(rectangle("strap", "Strap", 30, 420))
    finished.pieces[0].cut_line[2] = np.nan
    draw_sheet(finished, 1, heading)
    with pytest.raises(ValueError, match="strap"):
        draw_sheet(finished, 2, heading)


@pytest.mark.parametrize(
    "cut, words",
    [
        (Cut(1, fold="centre"), "Cut 1 on fold"),
        (Cut(2, paired=True), "Cut 2, a mirrored pair"),
        (Cut(4, paired=True), "Cut 4, as mirrored pairs"),
        (Cut(3), "Cut 3, all alike"),
        (Cut(1), "Cut 1"),
    ],
)
def test_how_a_piece_is_cut(cut, words):
    assert cut_words(cut) == words


@pytest.mark.parametrize(
    "cut, side, words",
    [
        (Cut(2, paired=True), "left", "Cut 2, a mirrored pair: as drawn the left"),
        (Cut(2, paired=True, purpose="lining"), "right", "Cut 2 for lining, a mirrored pair: as drawn the right"),
        (Cut(4, paired=True), "left", "Cut 4, as mirrored pairs"),
        (Cut(1), "right", "Cut 1, for the right side"),
        (Cut(1), "both", "Cut 1"),
        (Cut(1, fold="centre"), "both", "Cut 1 on fold"),
        (Cut(2), "", "Cut 2, all alike"),
    ],
)
def test_for_which_side_a_piece_is_cut(cut, side, words):
    assert cut_words(cut, hand=Hand(side, side)) == words


def test_a_lining_of_a_piece_cut_once_is_cut_the_other_way_up():
    extras = (Extra(1, "lining"), Extra(1, "interfacing"))
    assert extra_words(Cut(1, extras=extras)) == ["Also cut 1 lining, right side of the cloth down", "Also cut 1 interfacing"]
    assert extra_words(Cut(2, paired=True, extras=(Extra(2, "lining"),))) == ["Also cut 2 lining"]
    assert extra_words(Cut(1, fold="centre", extras=(Extra(1, "facing"),))) == ["Also cut 1 facing"]


def test_a_layer_without_allowances_is_cut_along_the_stitching_line():
    net = Cut(2, paired=True, extras=(Extra(2, "interfacing", net=True),))
    assert extra_words(net) == ["Also cut 2 interfacing, along the stitching line"]


def test_allowances_are_said_in_the_house_unit(finished):
    said = allowance_words(finished.piece("front"), 0, "cm").replace("\u00a0", " ")
    assert said == "Seam allowances included: waist 1 cm; side 1.5 cm; hem 4 cm turned up"
    said = allowance_words(finished.piece("back"), 0, "mm").replace("\u00a0", " ")
    assert "centre 25 mm for zip" in said
    bare = replace(finished.piece("back"), allowances={})
    assert allowance_words(bare, 0, "mm") == "Net: no seam allowances"


def test_the_fold_of_a_dart_runs_midway_from_its_point_to_its_peak(finished, heading):
    piece = finished.piece("front").piece
    for index in BODIES:
        group = draw_piece(finished.piece("front"), index, heading)
        folds = {s.name: s for s in group.items if isinstance(s, Stroke) and s.line == "dart_fold"}
        for dart in piece.darts():
            (points,) = polylines(folds[dart.name].commands)
            assert np.allclose(points[0], dart.point[index], atol=1e-6)
            assert np.allclose(points[-1], dart.trued.segments[0].end()[index], atol=1e-6)
            near, far = (shapely.LineString([leg.start()[index], leg.end()[index]]) for leg in (dart.near_leg, dart.far_leg))
            for x, y in points[:-1]:
                assert near.distance(shapely.Point(x, y)) == pytest.approx(far.distance(shapely.Point(x, y)))


def test_bones_and_zips_say_their_lengths_where_they_are(finished, heading):
    words = {}
    for name in ("front", "back"):
        group = draw_piece(finished.piece(name), 1, heading)
        words[name] = [item for item in group.items if isinstance(item, Text)]
        if name == "back":
            (end,) = [s for s in group.items if isinstance(s, Stroke) and s.line == "zip_end"]
    marks = finished.piece("front").piece.marks
    for mark, said in zip(marks, ("bone 7.5 cm", "bone 8 cm", "bone 8.5 cm"), strict=True):
        (text,) = [t for t in words["front"] if t.words == said]
        line = shapely.LineString([mark.path.start()[1], mark.path.end()[1]])
        assert shapely.Point(text.x, text.y).distance(line) < 12
    assert any(t.words == "zip 18 cm, to here" for t in words["back"])
    middle = np.concatenate(polylines(end.commands)).mean(axis=0)
    assert np.allclose(middle, finished.piece("back").piece.marks[0].path.end()[1])
