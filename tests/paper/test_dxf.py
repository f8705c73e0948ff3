"""Cutters' files read back by ezdxf and held against the model; the same files under the statements of `dxf_checks`."""

import hashlib
import io
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import ezdxf
import numpy as np
import pytest
import shapely
from dxf_checks import entities, faults, keys, sections, tags
from dxf_works import MANY, WIDE, shipped_work, style_work

from tapeline.paper.cutter.dxf import ascii_words, block_name, is_ours, number, papers
from tapeline.paper.cutter.pieces import piece_content
from tapeline.paper.cutter.points import TOLERANCE, run_of
from tapeline.paper.drawing.model import text_plate
from tapeline.paper.house.house import House

SHIPPED = [("corselet_skirt", "nell"), ("straight_skirt", "maud"), ("half_circle_skirt", "maud"), ("close_bodice", "nell")]


def work_of(style: str, body: str = ""):
    return shipped_work(style, body) if body else style_work({"many": MANY, "wide": WIDE}[style])


CASES = [("many", ""), ("wide", ""), *SHIPPED]


def written(work, **how) -> bytes:
    (data,) = papers(work, **how).values()
    return data


def read_back(data: bytes) -> dict:
    """Block name -> its entities, in the order of the file; the file must be sound to ezdxf without mending."""
    document = ezdxf.read(io.StringIO(data.decode("ascii"), newline=None))
    audit = document.audit()
    assert not audit.errors and not audit.fixes
    assert document.dxfversion == "AC1009"
    return {block.name: list(block) for block in document.blocks if not block.name.startswith(("*", "$"))}


def on_layer(block, layer: int, kind: str = "") -> list:
    return [one for one in block if one.dxf.layer == str(layer) and (not kind or one.dxftype() == kind)]


def places(one) -> np.ndarray:
    """The points of an entity as on paper, y down."""
    if one.dxftype() == "POLYLINE":
        found = [vertex.dxf.location for vertex in one.vertices]
    elif one.dxftype() == "LINE":
        found = [one.dxf.start, one.dxf.end]
    else:
        found = [one.dxf.location]
    return np.array([[place.x, -place.y] for place in found])


def boundary(block) -> np.ndarray:
    (one,) = on_layer(block, 1, "POLYLINE")
    assert one.is_closed
    return places(one)


def pieces_and_blocks(work, **how):
    """(finished piece, its block), and lastly the test square's block."""
    blocks = list(read_back(written(work, **how)).values())
    assert len(blocks) == len(work.finished.pieces) + 1
    return list(zip(work.finished.pieces, blocks, strict=False)), blocks[-1]


def fold_of(piece, index: int):
    edge = piece.edge(piece.cut.fold)
    return edge.start()[index], edge.end()[index]


def across_fold(points: np.ndarray, fold) -> np.ndarray:
    """Mirror by complex numbers, another way than the program's."""
    p, q = (complex(*end) for end in fold)
    turn = (q - p) / abs(q - p)
    z = (points[:, 0] + 1j * points[:, 1] - p) / turn
    z = np.conj(z) * turn + p
    return np.stack([z.real, z.imag], axis=1)


def model_shape(finished_piece, index: int):
    """The cut line of the model as a polygon, with its image where the piece is cut on the fold."""
    ring = finished_piece.cut_line[index]
    shape = shapely.Polygon(ring)
    if not finished_piece.piece.cut.fold:
        return shape
    image = shapely.Polygon(across_fold(ring, fold_of(finished_piece.piece, index)))
    return shapely.union(shape.buffer(1e-7, join_style="mitre"), image.buffer(1e-7, join_style="mitre"))


def off_curve(finished_piece, index: int, points: np.ndarray) -> np.ndarray:
    """How far points lie from the exact cut line: one allowance off an edge, or off its image where the piece is opened out."""
    found = []
    for edge in sewn(finished_piece, index):
        ts = np.linspace(0, 1, 801)
        exact = np.concatenate([segment.take([index]).sample(ts)[0] for segment in edge.trued_path().segments])
        lines = [shapely.LineString(exact)]
        if finished_piece.piece.cut.fold:
            lines.append(shapely.LineString(across_fold(exact, fold_of(finished_piece.piece, index))))
        off = [shapely.distance(shapely.points(points), line) for line in lines]
        found.append(np.abs(np.min(off, axis=0) - finished_piece.allowances[edge.name].width[index]))
    return np.min(found, axis=0)


def assert_the_models_outline(finished_piece, index: int, read, model) -> None:
    """Within 0.01 mm of one another, but where a chord of the model leaves its curve by more than is stated.

    There points are added, each nearer to the curve than a chord half as long would be: a quarter of the height.
    """
    assert shapely.distance(shapely.points(model.coords), read).max() < 0.01
    points = np.array(read.coords)
    added = points[shapely.distance(shapely.points(points), model) >= 0.01]
    ring = np.array(model.coords)
    chords = [shapely.LineString(ends) for ends in zip(ring, ring[1:], strict=False)]
    crossed = (
        [chords[k] for k in np.argmin([shapely.distance(chords, shapely.Point(point)) for point in added], axis=1)]
        if len(added)
        else []
    )
    if crossed:
        height = off_curve(finished_piece, index, np.array([chord.interpolate(0.5, normalized=True).coords[0] for chord in crossed]))
        assert (height > 0.9 * TOLERANCE).all()
        assert (off_curve(finished_piece, index, added) < height / 4).all()


# ----------------------------------------------------------------------------------- the file and the model


@pytest.mark.parametrize("case", CASES, ids="-".join)
@pytest.mark.parametrize("halved", [False, True], ids=["whole", "half"])
def test_the_statements_hold(case, halved):
    assert faults(written(work_of(*case), halved=halved)) == []


@pytest.mark.parametrize("case", [case for case in CASES if case[0] != "wide"], ids="-".join)
def test_outlines_are_those_of_the_model(case):
    """Length and place within 0.01 mm; area within what 0.01 mm all round comes to."""
    work = work_of(*case)
    for finished_piece, block in pieces_and_blocks(work)[0]:
        model, read = model_shape(finished_piece, work.index), shapely.Polygon(boundary(block))
        assert read.is_valid
        assert abs(read.length - model.length) < 0.01
        assert abs(read.area - model.area) < 0.01 * model.length
        assert_the_models_outline(finished_piece, work.index, read.exterior, model.exterior)


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_halves_are_the_models_own_outline(case):
    work = work_of(*case)
    for finished_piece, block in pieces_and_blocks(work, halved=True)[0]:
        model, read = shapely.Polygon(finished_piece.cut_line[work.index]), shapely.Polygon(boundary(block))
        assert_the_models_outline(finished_piece, work.index, read.exterior, model.exterior)
        mirrors = on_layer(block, 6)
        assert len(mirrors) == bool(finished_piece.piece.cut.fold)
        for mirror in mirrors:
            p, q = fold_of(finished_piece.piece, work.index)
            onto = shapely.LineString([p - (q - p), q + (q - p)])
            assert shapely.distance(shapely.points(places(mirror)), onto).max() < 0.001
            assert shapely.length(shapely.LineString(places(mirror))) >= np.hypot(*(q - p)) - 1e-3


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_a_sew_line_is_as_long_as_its_strip(case):
    """Each strip of cloth between darts and each folded dart's end, by the exact lengths of the curves."""
    work = work_of(*case)
    for finished_piece, block in pieces_and_blocks(work, halved=True)[0]:
        exact = sorted(
            float(path.length()[work.index])
            for edge in sewn(finished_piece, work.index)
            for path in (*edge.strips, *(dart.trued for dart in edge.darts))
        )
        read = sorted(shapely.LineString(places(one)).length for one in on_layer(block, 14))
        assert len(read) == len(exact)
        # Chords are shorter than their curve, by 8 s^2 / 3 c for a height s over a chord c: more, the longer the curve.
        assert (np.abs(np.array(read) - exact) < 0.01 * (1 + np.array(exact) / 1000)).all()


def sewn(finished_piece, index: int):
    return [
        edge
        for edge in finished_piece.piece.edges
        if edge.name != finished_piece.piece.cut.fold
        and finished_piece.allowances[edge.name].width[index] > 0
        and finished_piece.allowances[edge.name].kind != "turned up"
    ]


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_no_chord_leaves_its_curve_by_more_than_is_stated(case):
    """The exact edges in very many points; a chord of the cut line whose ends lie one allowance off an edge does so midway."""
    work = work_of(*case)
    looked_at = 0
    for finished_piece, block in pieces_and_blocks(work, halved=True)[0]:
        ring = boundary(block)
        after = np.roll(ring, -1, axis=0)
        for edge in sewn(finished_piece, work.index):
            width = float(finished_piece.allowances[edge.name].width[work.index])
            ts = np.linspace(0, 1, 801)
            exact = np.concatenate([segment.take([work.index]).sample(ts)[0] for segment in edge.trued_path().segments])
            line = shapely.LineString(exact)

            def off(points, line=line, width=width):
                return np.abs(shapely.distance(shapely.points(points), line) - width)

            near = (off(ring) < 0.006) & (off(after) < 0.006)
            middle = (ring + after)[near] / 2
            assert (off(middle) <= TOLERANCE + 1e-3).all()
            looked_at += len(middle)
            for one in on_layer(block, 14):
                points = places(one)
                if shapely.distance(shapely.points(points), line).max() < 1e-3:
                    assert shapely.distance(shapely.points((points[1:] + points[:-1]) / 2), line).max() <= TOLERANCE
    assert looked_at > 3


def test_a_wide_arc_is_drawn_finer_than_the_model_flattens_it():
    """Hem 1200 mm and 10 mm allowance, waist 200 mm less 10 mm, about the start; both radii are in the style."""
    work = style_work(WIDE)
    ((_, block),) = pieces_and_blocks(work)[0]
    for radius, least in ((1210.0, 200), (190.0, 20)):
        assert 0 < _height(boundary(block), radius, least) <= TOLERANCE
    assert _height(work.finished.pieces[0].cut_line[work.index], 1210.0, 64) > TOLERANCE  # else this test shows nothing


def _height(ring: np.ndarray, radius: float, least: int) -> float:
    """How far a chord leaves the circle about the start that both its ends lie on, at most."""
    on = np.abs(np.hypot(*ring.T) - radius) < 0.001
    chords = on & np.roll(on, -1)
    assert chords.sum() > least
    return float(np.abs(np.hypot(*((ring + np.roll(ring, -1, axis=0))[chords] / 2).T) - radius).max())


def test_points_are_kept_at_corners_and_left_out_where_straight():
    square = np.array([[0, 0], [50, 0], [100, 0], [100, 100], [100, 100.001], [0, 100.0]])
    assert {tuple(point) for point in run_of(square, closed=True)} == {(0, 0), (100, 0), (100, 100), (0, 100)}
    bent = np.array([[0, 0], [300, 0], [600, 8]])  # a slight corner of two long lines is not rounded off
    assert run_of(bent).tolist() == bent.tolist()


# ------------------------------------------------------------------------------------ what a piece holds


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_notches_lie_where_the_model_has_them(case):
    work = work_of(*case)
    for finished_piece, block in pieces_and_blocks(work)[0]:
        index, piece = work.index, finished_piece.piece
        asked = [notch for notch in finished_piece.notches if np.isfinite(notch.on_cut[index]).all()]
        zips = [mark for mark in piece.marks if mark.kind == "zip"]
        read = np.array([places(one)[0] for one in on_layer(block, 4)]).reshape(-1, 2)
        for notch in asked:  # the cut line where the notch, square to the stitch line, comes out at it
            stitch, cut = notch.on_stitch[index], notch.on_cut[index]
            ray = shapely.LineString([stitch, stitch + (cut - stitch) * 1.5])
            assert shapely.distance(shapely.points(read), ray).min() < 0.01
            assert np.hypot(*(read - cut).T).min() < max(0.5, 0.5 * np.hypot(*(cut - stitch)))
        sides, folded = 2 if piece.cut.fold else 1, sum(notch.kind == "centre" for notch in asked)  # one at the fold is on both sides
        count = sides * (len(asked) - folded) + folded
        assert count <= len(read) <= count + sides * 2 * len(zips)


def test_notches_of_the_shipped_skirt_are_dart_feet_levels_balance_marks_and_zip():
    work = shipped_work("straight_skirt", "maud")
    (front, back, *_), _ = pieces_and_blocks(work)
    # by hand: on both halves of the front two feet of one dart, one balance mark of the waist and the hip, and the fold above and
    # below; the back is one half, with two darts, a pair in the waist, the hip, and a pair where the zip ends
    assert len(on_layer(front[1], 4)) == 2 * 4 + 2
    assert len(on_layer(back[1], 4)) == 4 + 2 + 1 + 2


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_drill_holes_lie_on_the_folds_of_darts(case):
    work = work_of(*case)
    for finished_piece, block in pieces_and_blocks(work, halved=True)[0]:
        darts = [dart for dart in finished_piece.piece.darts() if dart.kind != "pleat"]
        holes = [places(one)[0] for one in on_layer(block, 13)]
        assert len(holes) == len(darts) + 4 * len(finished_piece.piece.inner)
        for dart in darts:
            near, far, point = dart.near_foot[work.index], dart.far_foot[work.index], dart.point[work.index]
            hole = min(holes, key=lambda one: np.hypot(*(one - point)))
            assert abs(np.hypot(*(hole - near)) - np.hypot(*(hole - far))) < 0.01  # equally far from both feet
            assert abs(np.hypot(*(hole - point)) - 12.7) < 0.1  # half an inch: see finishing.drills


def test_a_dart_within_a_piece_is_a_closed_line_with_holes_inside_it():
    work = style_work(MANY)
    finished_piece, block = pieces_and_blocks(work)[0][1]
    shapes = [one for one in on_layer(block, 8, "POLYLINE") if one.is_closed]
    assert len(shapes) == 2  # on either half
    for one in shapes:
        dart = shapely.Polygon(places(one))
        assert dart.area == pytest.approx(30 * (120 + 140) / 2, abs=0.01)  # the style: 3 cm wide, 12 and 14 cm long
        inside = [places(hole)[0] for hole in on_layer(block, 13) if dart.buffer(-0.5).covers(shapely.Point(places(hole)[0]))]
        assert len(inside) == 4


def test_pleats_have_two_lines_and_no_hole():
    work = style_work(MANY)
    finished_piece, block = pieces_and_blocks(work, halved=True)[0][0]
    words = [one.dxf.text for one in on_layer(block, 15)]
    assert words.count("pleat: fold here") == words.count("pleat: lay the fold to here") == 3
    assert not on_layer(block, 13)
    lines = on_layer(block, 8, "LINE")
    legs = [leg for dart in finished_piece.piece.darts() for leg in (dart.near_leg, dart.far_leg)]
    assert len(legs) == 6
    for leg in legs:
        ends = np.stack([leg.start()[0], leg.end()[0]])
        assert any(np.abs(places(one) - ends).max() < 1e-3 for one in lines)


def test_the_turned_up_hem_is_an_internal_line_and_an_edge_without_allowance_has_none():
    work = style_work(MANY)
    (pleated, body, _, loop), _ = pieces_and_blocks(work, halved=True)
    hem = pleated[0].piece.edge("hem")
    length = sum(float(strip.length()[0]) for strip in hem.strips)
    assert any(abs(shapely.LineString(places(one)).length - length) < 0.01 for one in on_layer(pleated[1], 8))
    assert len(on_layer(loop[1], 14)) == 3
    hem_y = body[0].piece.points["C"][0, 1]
    assert not [one for one in on_layer(body[1], 14) if (np.abs(places(one)[:, 1] - hem_y) < 1e-6).all()]


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_grain_lines_are_the_models(case):
    work = work_of(*case)
    for finished_piece, block in pieces_and_blocks(work)[0]:
        (line,) = on_layer(block, 7)
        assert np.abs(places(line) - finished_piece.grain_line[work.index]).max() < 1e-4


def test_quantity_is_as_drawn_and_mirrored():
    said = {}
    for _, block in pieces_and_blocks(style_work(MANY))[0]:
        words = dict(one.dxf.text.split(": ", 1) for one in on_layer(block, 1, "TEXT"))
        said[words["Piece Name"]] = words
    assert [said[name]["Quantity"] for name in ("PLEATED", "BODY_", "LINING", "LOOP")] == ["1,0", "1,0", "1,1", "3,0"]
    assert said["LINING"]["Material"] == "lining" and "Material" not in said["LOOP"]
    assert "mirrored pair" in said["LINING"]["Annotation"]
    for words in said.values():
        assert words["Size"] == "Quay Row, client 12" and "cut line" in words["Annotation"]


@pytest.mark.parametrize("case", CASES, ids="-".join)
def test_words_touch_neither_each_other_nor_a_line(case):
    work = work_of(*case)
    for k, finished_piece in enumerate(work.finished.pieces):
        content = piece_content(finished_piece, work, f"P{k}")
        plates = [shapely.Polygon(text_plate(text).corners()) for _, text in content.texts]
        lines = [shapely.LineString(one.points) for one in content.runs] + [
            shapely.LinearRing(one.points) for one in content.runs if one.closed
        ]
        tree = shapely.STRtree([plate.buffer(-0.01) for plate in plates])
        assert not len(tree.query(lines, predicate="intersects")[0])
        pairs = tree.query([plate.buffer(-0.01) for plate in plates], predicate="intersects")
        assert (pairs[0] == pairs[1]).all()


def test_pieces_lie_apart_with_their_words():
    work = style_work(MANY)
    document = ezdxf.read(io.StringIO(written(work).decode(), newline=None))
    spans = []
    for insert in document.modelspace().query("INSERT"):
        here = list(insert.virtual_entities())
        xs = [x for one in here if one.dxftype() != "TEXT" for x in places(one)[:, 0]]
        for text in (one for one in here if one.dxftype() == "TEXT"):
            half = 0.0 if text.dxf.get("rotation") else len(text.dxf.text) * text.dxf.height / 2
            xs += [text.dxf.align_point.x - half, text.dxf.align_point.x + half]
        spans.append((min(xs), max(xs)))
    assert len(spans) == 5
    assert all(one[1] < other[0] for one, other in zip(spans, spans[1:], strict=False))


# ---------------------------------------------------------------------------------------------- the file


@pytest.mark.parametrize("notch, word", [("line", "slits"), ("slit", "slits"), ("triangle", "V")])
def test_the_kind_of_notch_is_said(notch, word):
    work = replace(style_work(MANY), house=House(name="Quay Row", notch=notch))
    data = written(work)
    assert f"Notches: {word}\r\n".encode() in data
    assert b"Author: tapeline, for Quay Row\r\n" in data and is_ours(data)


def test_a_house_chooses_the_fraction_and_no_language():
    work = shipped_work("corselet_skirt", "nell")
    coarse = written(replace(work, house=House(fraction=2, language="de")))
    assert b"Seam allowances included: top 1/2 in faced" in coarse and faults(coarse) == []


def test_style_text_states_the_unit_and_the_tolerance():
    said = keys(entities(sections(tags(written(style_work(MANY))))["ENTITIES"]))
    assert said["Style Name"] == "Prufstuck, pieces diverses 2.0"
    assert said["Units"] == "METRIC" and float(said["Curve Tolerance"]) == TOLERANCE
    assert b"All lengths are millimetres." in written(style_work(MANY))


def test_our_own_files_are_known_from_others():
    stream = io.StringIO()
    ezdxf.new("R12").write(stream)
    assert is_ours(written(style_work(WIDE)))
    for other in (stream.getvalue().encode(), b"", b"<svg>Author: tapeline</svg>", b"\xff\xfe"):
        assert not is_ours(other)


def test_names_and_words_are_plain():
    taken: set[str] = set()
    names = [
        block_name(name, taken)
        for name in ("front", "Front", "front'", "2a", "ärmel_hinten_mit_langem_namen", "ärmel_hinten_mit_langem_namen_2", "袖")
    ]
    assert names == ["FRONT", "FRONT_2", "FRONT_", "P2A", "ARMEL_HINTEN_MIT_LAN", "ARMEL_HINTEN_MIT_L_2", "P_"]
    assert ascii_words("Größe 3 cm · ½ %%d ^J \\P\n\u00a0x 袖") == "Grosse 3 cm ,  1/2 % %d 'J /P  x ?"
    assert ascii_words("%%%%") == "% % % %"


def test_a_long_title_is_cut_to_what_a_text_holds():
    work = style_work(WIDE)
    data = written(replace(work, heading=work.heading._replace(style_title="Long " * 200)))
    assert faults(data) == [] and max(len(line) for line in data.split(b"\r\n")) == 250


def test_the_holes_of_each_dart_are_told():
    _, body, *_ = pieces_and_blocks(style_work(MANY))[0]
    said = [one.dxf.text for one in on_layer(body[1], 15) if one.dxf.text.startswith("Drill")]
    assert said == ["Drill holes: 1.27 cm short of each dart point, 0.3 cm inside the sides of a dart with two points"]


def test_numbers_are_plain_and_finite():
    assert [number(value) for value in (-0.00001, 1e-12, 1234.56789)] == ["0.0000", "0.0000", "1234.5679"]
    for value in (float("nan"), float("inf"), 1e30):
        with pytest.raises(ValueError):
            number(value)


TWIN = """
import hashlib, sys
sys.path[:0] = [{tests!r}]
from dxf_works import MANY, shipped_work, style_work
from tapeline.paper.cutter.dxf import papers
for work in (style_work(MANY), shipped_work("corselet_skirt", "nell")):
    for name, data in papers(work).items():
        print(name, hashlib.sha256(data).hexdigest())
"""


def test_two_runs_give_the_same_bytes(tmp_path):
    here = {
        f"{name} {hashlib.sha256(data).hexdigest()}"
        for work in (style_work(MANY), shipped_work("corselet_skirt", "nell"))
        for name, data in papers(work).items()
    }
    script = TWIN.format(tests=str(Path(__file__).parent))
    for seed, zone, folder in (("0", "UTC", tmp_path), ("4711", "Asia/Kathmandu", tmp_path / "deep")):
        folder.mkdir(exist_ok=True)
        out = subprocess.run(
            [sys.executable, "-c", script],
            cwd=folder,
            capture_output=True,
            text=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "TZ": zone},
        )
        assert set(out.stdout.split("\n")) - {""} == here
