"""Buttons, hooks, drill holes and places: where they stand through changes, and how they are counted.

The style is made up; the counts are counted by hand.
"""

from functools import cache

import numpy as np
import pytest

import tapeline
from tapeline.finishing.drills import BACK_OFF, drill_holes
from tapeline.making.papers import work_of
from tapeline.paper.cutting.cutting_list import cutting_list
from tapeline.paper.house.house import House

BASE = """language 1
style jacket "Jacket" version 1.0
measure waist
foundation half "Half"
    cut 2
    point A start
    point B A across waist / 4
    point C A down 60 cm
    point D B down 60 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
    point apex A across 8 cm, down 12 cm
    point b1 A across 2 cm, down 10 cm
    point b2 b1 down 30 cm
    point k A down 20 cm
    dart on side at 15 cm from B
        intake 2 cm
        point  9 cm long
    point M A across 10 cm, down 45 cm
    dart at M, called fisheye
        intake 2 cm
        points 6 cm above it, 6 cm below it
    mark "bust point" at apex
    drill at b2 "pocket"
    button at b1, 15 mm "front"
    hook at k
"""


@cache
def drafted(text, waist="72 cm"):
    drafts = tapeline.Session(tapeline.MemoryWorld(tapeline.standard_texts())).read(text).draft({"Ada": {"waist": waist}})
    assert drafts.ok, [tapeline.render(diagnostic) for diagnostic in drafts.diagnostics]
    return drafts.bodies[0]


def work(text, house=None):
    made = drafted(text)
    return work_of(made.style, made.whole, made.place, made.name, made.unit, house or House())


def places(text, piece):
    pattern = drafted(text).pattern
    return {mark.name: mark.at[0].round(6).tolist() for mark in pattern.piece(piece).point_marks}


def test_marks_follow_a_piece_and_stand_on_both_halves_where_it_is_opened_out():
    text = BASE + 'piece front "Front" from half\n    cut 1\n    open out at centre\npiece back "Back" from half\n'
    assert places(text, "back") == {
        "place apex": [80.0, 120.0],
        "drill b2": [20.0, 400.0],
        "button b1": [20.0, 100.0],
        "hook k": [0.0, 200.0],
    }
    front = places(text, "front")
    assert front["place other_apex"] == [-80.0, 120.0] and front["button other_b1"] == [-20.0, 100.0]
    assert len(front) == 8


def test_what_is_on_one_piece_has_no_image_and_counts_once():
    text = BASE.replace('15 mm "front"', '15 mm, on one "front"') + 'piece front "Front" from half\n    cut 1\n    open out at centre\n'
    assert "button other_b1" not in places(text, "front")
    assert cutting_list(work(text))["buttons"] == [{"count": 1, "size": 15.0, "words": "front"}]
    pair = BASE.replace('15 mm "front"', '15 mm, on one "front"') + 'piece front "Front" from half\n'
    assert cutting_list(work(pair))["buttons"] == [{"count": 1, "size": 15.0, "words": "front"}]


def test_lines_from_point_to_point_have_their_images_as_well():
    lines = '    join line b2 to M\n    buttonhole b1 to b2\n    buttonhole k to b1, on one\n    mark "welt" b1 to M\n'
    text = BASE + lines + 'piece front "Front" from half\n    cut 1\n    open out at centre\npiece back "Back" from half\n'
    ends: dict[str, list] = {}
    for mark in drafted(text).pattern.piece("front").marks:
        ends.setdefault(mark.name, []).append([path[0, 0].round(6) for path in (mark.path.start(), mark.path.end())])
    assert ends == {
        "join b2": [[20.0, 100.0], [-20.0, -100.0]],
        "buttonhole b1": [[20.0, 20.0], [-20.0, -20.0]],
        "buttonhole k": [[0.0, 20.0]],
        "welt": [[20.0, 100.0], [-20.0, -100.0]],
    }
    assert len(drafted(text).pattern.piece("back").marks) == 4


def test_a_part_of_a_cut_has_what_lies_on_it():
    text = BASE + "cut half from centre at 30 cm from A to side at 30 cm from B, seam waist_seam\n"
    text += '    piece above "Above" holding top\n    piece below "Below"\n'
    assert set(places(text, "above")) == {"place apex", "button b1", "hook k"}
    assert set(places(text, "below")) == {"drill b2"}


@pytest.mark.parametrize(
    "cut, count, hooks",
    [
        ("    cut 1 on fold at centre\n", 2, 1),  # the button on either side of the fold, the hook on it
        ("    cut 2\n", 2, 2),
        ("    cut 4\n", 4, 4),
        ('    cut 2 for "facing"\n', 0, 0),  # it shows the places of the piece that it is made from
    ],
)
def test_a_place_counts_as_often_as_the_garment_has_it(cut, count, hooks):
    data = cutting_list(work(BASE + f'piece front "Front" from half\n{cut}'))
    assert sum(row["count"] for row in data["buttons"]) == count
    assert sum(row["count"] for row in data["fastenings"]) == hooks


def test_buttons_by_number_stand_beside_those_by_places():
    text = (
        BASE
        + 'piece front "Front" from half\n    buttonhole b1 to b1_end "front"\n    point b1_end b1 right 2 cm\nbuttons 1, 15 mm "to spare"\n'
    )
    data = cutting_list(work(text))
    assert [(row["count"], row["words"]) for row in data["buttons"]] == [(2, "front"), (1, "to spare")]
    assert {"kind": "buttonhole", "count": 2, "length": 20.0, "words": "front"} in data["fastenings"]
    listed = drafted(text).papers(("list",))["jacket-cutting-list.txt"].decode()
    assert "buttonholes to work  2" in listed


def test_holes_stand_short_of_the_points_of_darts_and_inside_them():
    piece = drafted(BASE + 'piece front "Front" from half\n').pattern.piece("front")
    for back_off in (BACK_OFF, 5.0):
        holes = [at[0] for _, at in drill_holes(piece, back_off)]
        assert len(holes) == 5
        (dart,) = piece.darts()
        assert np.hypot(*(holes[0] - dart.point[0])) == pytest.approx(back_off, abs=1e-6)
        upper, near, lower, far = (corner[0] for corner in piece.inner[0].corners())
        for hole, corner, away in zip(holes[1:], (upper, lower, near, far), (back_off, back_off, 3.0, 3.0), strict=True):
            assert np.hypot(*(hole - corner)) == pytest.approx(away, abs=1e-6)
    assert list(drill_holes(piece, 0.0)) == []


def test_papers_show_the_signs():
    text = BASE + 'piece front "Front" from half\n'
    made = drafted(text).papers(("svg", "dxf", "hand"))
    svg = made["jacket.svg"].decode()
    for meaning in ("drill hole, circled", "the place that is named beside it", ">button<", ">hook<", "bust point"):
        assert meaning in svg, meaning
    rows = made["jacket.dxf"].decode().split("\r\n")
    holes = [rows[k : k + 4] for k in range(len(rows)) if rows[k : k + 4] == ["  0", "POINT", "  8", "13"]]
    assert len(holes) == 7  # five of darts, one by the style's word, one of the button
    assert any("bust point" in row for row in rows) and any("at each button" in row for row in rows)
    hand = made["jacket-by-hand.html"].decode()
    assert "bust point" in hand and "hook" in hand


def test_a_house_says_how_far_short_of_the_point_and_which_bones_it_has():
    from tapeline.paper.house.house import read_house
    from tapeline.source.text import Source

    house, found = read_house(Source("house.toml", 'drill = "1/4 in"\nbones = ["12 cm", "4 in"]\n'))
    assert house is not None and not found
    assert house.drill == pytest.approx(6.35) and house.bones == pytest.approx((101.6, 120.0))
    for text in ('drill = "9 in"', "bones = []", 'bones = ["12"]', "bones = [12]", "bones = 3", 'bones = "0 cm"'):
        wrong, found = read_house(Source("house.toml", text))
        assert wrong is None and [diagnostic.code for diagnostic in found] == ["H102"], text


@pytest.mark.parametrize(
    "house, unit, room, bone",
    [
        (House(), "cm", 118.26, 118.0),  # nothing said: down to the millimetre
        (House(fraction=8), "in", 118.26, 4.625 * 25.4),  # down to the eighth
        (House(bones=(100.0, 120.0, 140.0)), "cm", 139.99, 120.0),
        (House(bones=(100.0, 120.0, 140.0)), "cm", 140.0, 140.0),
        (House(bones=12.7), "in", 118.26, 9 * 12.7),  # every half inch
        (House(bones=(200.0,)), "cm", 118.26, 118.0),  # none is so short
    ],
)
def test_a_bone_is_rounded_down_to_what_the_house_has(house, unit, room, bone):
    assert house.bone(room, unit) == pytest.approx(bone) and house.bone(room, unit) <= room


def test_the_bone_that_is_drawn_named_and_listed_is_one_length():
    from tapeline.paper.drawing.model import Stroke, Text, polylines
    from tapeline.paper.drawing.pieces import draw_piece

    text = BASE.replace("    hook at k\n", "    bone along each dart\n") + 'piece front "Front" from half\n'
    for house, said in ((House(), "7 cm"), (House(bones=(50.0, 65.0, 80.0), language="de"), "Stab 6,5 cm")):
        job = work(text, house)
        (row,) = cutting_list(job)["bones"]
        group = draw_piece(job.shown[0], 0, job.heading)
        (bone,) = [item for item in group.items if isinstance(item, Stroke) and item.line == "bone"]
        line = np.concatenate(polylines(bone.commands))
        assert np.hypot(*np.diff(line, axis=0).T).sum() == pytest.approx(row["length"], abs=1e-3)
        assert any(said in item.words for item in group.items if isinstance(item, Text))
        (dart,) = job.finished.piece("front").piece.darts()
        assert min(np.hypot(*(line - dart.point[0]).T)) >= 10.0 - 1e-6  # clear of the dart's point
        assert house.show(row["length"], "cm") in said
        assert (
            sum(isinstance(item, Stroke) and item.line == "channel" for item in group.items) == 1
        )  # the other side is folded into the dart
