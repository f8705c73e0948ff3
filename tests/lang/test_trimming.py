"""Trimming an edge, laying a dart to its other side, sloping a strip's top, and a recipe that says so of several pieces."""

import numpy as np
import pytest
from changing_front import pattern_of, told

import tapeline
from tapeline.drafting.places import nearest_on
from tapeline.geometry.plane import distance

LINING = """recipe shorter "Lining" (shorter_by length)
    trim hem by shorter_by, called lining_hem
    press waist_dart toward B
"""


def test_what_is_left_lies_one_width_from_the_edge():
    pattern = pattern_of("piece short from front\n    trim hem by 25 mm, called low_hem\n")
    whole, short = pattern.piece("front"), pattern.piece("short")
    hem, left = whole.edge("hem").closed, short.edge("low_hem").closed
    assert [edge.name for edge in short.edges] == ["low_hem" if edge.name == "hem" else edge.name for edge in whole.edges]
    for part in np.linspace(0.1, 1.0, 7):  # the side runs out there, and the strip on with it
        place = left.point_at(left.length() * part)
        np.testing.assert_allclose(distance(hem.point_at(nearest_on(hem, place)), place), 25.0, atol=1e-6)
    assert short.edge("waist").darts[0].intake == pytest.approx(whole.edge("waist").darts[0].intake)


def test_the_neighbours_lose_the_width_and_keep_their_line():
    pattern = pattern_of("piece short from front\n    trim hem by 25 mm\n")
    whole, short = pattern.piece("front"), pattern.piece("short")
    np.testing.assert_allclose(whole.edge("centre").closed_length() - short.edge("centre").closed_length(), 25.0, atol=1e-6)
    side = whole.edge("side").closed
    for end in (short.edge("side").start(), short.edge("side").end()):
        np.testing.assert_allclose(distance(side.point_at(nearest_on(side, end)), end), 0.0, atol=1e-6)


def test_a_pressed_dart_keeps_its_legs_and_is_trued_for_the_other_side():
    pattern = pattern_of(
        "piece turned from front\n    press waist_dart toward B\npiece back_again from turned\n    press waist_dart toward A\n"
    )
    darts = {name: pattern.piece(name).edge("waist").darts[0] for name in ("front", "turned", "back_again")}
    assert darts["turned"].press != darts["front"].press == darts["back_again"].press
    for name in ("turned", "back_again"):
        np.testing.assert_allclose(darts[name].near_foot, darts["front"].near_foot, atol=1e-9)
        np.testing.assert_allclose(darts[name].point, darts["front"].point, atol=1e-9)
    peaks = {name: dart.trued.point_at(dart.trued.length() / 2.0) for name, dart in darts.items()}
    np.testing.assert_allclose(peaks["front"], peaks["back_again"], atol=1e-6)


def test_a_recipe_changes_several_pieces_and_what_stands_below_comes_after_it():
    pattern = pattern_of(
        LINING
        + 'piece one from front as shorter(25 mm)\npiece two "Other" from front as shorter(shorter_by = 40 mm)\n    trim lining_hem by 10 mm\n'
    )
    by_hand = pattern_of("piece one from front\n    trim hem by 25 mm, called lining_hem\n    press waist_dart toward B\n").piece("one")
    one, two = pattern.piece("one"), pattern.piece("two")
    for edge, other in zip(one.edges, by_hand.edges, strict=True):
        assert edge.name == other.name
        np.testing.assert_allclose(edge.closed.flatten(), other.closed.flatten(), atol=1e-9)
    np.testing.assert_allclose(one.edge("centre").closed_length() - two.edge("centre").closed_length(), 25.0, atol=1e-6)


def test_a_strip_slopes_from_its_place_to_its_outer_edge():
    pattern = pattern_of("piece vented from front\n    extend centre by 4 cm from S to C, sloping 15 mm, called vent\n")
    piece = pattern.piece("vented")
    outer = piece.edge("vent")
    np.testing.assert_allclose(piece.edge("vent_top").closed_length(), np.hypot(40.0, 15.0))
    np.testing.assert_allclose(outer.closed_length(), 400.0 - 15.0)


@pytest.mark.parametrize(
    ("lines", "code"),
    [
        ("piece short from front\n    trim waist by 2 cm\n", "N332"),
        ("piece short from front\n    trim low by 2 cm\n", "N201"),
        ("piece short from front\n    trim hem by 2 cm, called side\n", "N202"),
        ("piece short from front\n    trim hem by 0 cm\n", "D487"),
        ("piece short from front\n    trim hem by 70 cm\n", "D489"),
        ("piece short from front\n    press side_dart toward A\n", "N201"),
        ("piece short from front\n    press waist_dart toward C\n", "N231"),
        ("piece wide from front\n    extend centre by 4 cm, sloping 1 cm\n", "N331"),
        ("piece wide from front\n    extend centre by 4 cm from S to C, sloping 50 cm\n", "D586"),
        ("piece one from front as shorter(2 cm)\n", "N201"),
        (LINING + "piece one from nothing as shorter(2 cm)\n", "N201"),
        (LINING + "piece one from front as shorter(2)\n", "K301"),
        (LINING + "piece one from front as shorter(2 cm, 3 cm)\n", "K304"),
    ],
)
def test_what_cannot_be_done(lines, code):
    said, _ = told(lines)
    assert {one.code for one in said} == {code}


def test_a_row_of_allow_may_name_a_piece():
    pattern = pattern_of(
        "piece one from front\npiece two from front\nallow\n    side 15 mm\n    two none\n    two.hem 4 cm\n    others 1 cm\n"
    )
    widths = {place: (row.kind, float(row.width[0])) for place, row in pattern.allowances.items()}
    assert [widths["one", edge][1] for edge in ("side", "hem", "waist")] == [15.0, 10.0, 10.0]
    assert [widths["two", edge][0] for edge in ("side", "waist")] == ["none"] * 2
    assert widths["two", "hem"][1] == 40.0


TUCKED = """language 1
style tucked "Tucked" version 1.0
measure waist, hip, waist_to_hip
levels
    waist
    yoke  6 cm below waist
    hip   waist_to_hip below waist
foundation half "Half"
    widths from centre, before darts
        waist  18 cm
        yoke   20 cm
        hip    24 cm
    side smooth waist to hip
    dart on waist at half
        intake 3 cm
        point 12 cm long
        press toward centre
piece front "Front" from half
    cut 4
    press dart toward side{as_what}
"""


def drafted(as_what: str):
    reading = tapeline.Session().read(TUCKED.format(as_what=as_what), "tucked.style")
    (draft,) = reading.draft([{"waist": 720.0, "hip": 960.0, "waist_to_hip": 200.0}])
    return draft


def test_a_tuck_is_sewn_across_its_end_alone():
    dart, tuck = drafted(""), drafted(", as a tuck")
    girths = [{row.level: row.sewn[0] for row in one.ledgers.girths} for one in (dart, tuck)]
    assert girths[0]["waist"] == pytest.approx(girths[1]["waist"]) and girths[0]["hip"] == pytest.approx(girths[1]["hip"])
    (laid,) = tuck.pattern.piece("front").darts()
    depth = 60.0 - laid.near_foot[0, 1], 60.0 - laid.far_foot[0, 1]  # down either leg to the level, each from its own foot
    legs = (laid.point - laid.near_foot)[0], (laid.point - laid.far_foot)[0]
    near, far = (foot[0] + leg * (deep / leg[1]) for foot, leg, deep in zip((laid.near_foot, laid.far_foot), legs, depth, strict=True))
    assert girths[1]["yoke"] - girths[0]["yoke"] == pytest.approx(4 * np.hypot(*(far - near)), abs=1e-6)
    assert laid.kind == "tuck"


def test_a_tuck_has_no_point_to_sew_to():
    dart, tuck = (one.papers(["svg", "making"]) for one in (drafted(""), drafted(", as a tuck")))
    drawn = [papers["tucked.svg"].decode() for papers in (dart, tuck)]
    assert [text.count('data-line="dart"') > 0 for text in drawn] == [True, False]
    assert [text.count('data-line="drill"') > 0 for text in drawn] == [True, False]
    told = [papers["tucked-making-up.html"].decode() for papers in (dart, tuck)]
    assert "Sew from the edge to the point" in told[0] and "Sew from the edge to the point" not in told[1]
    assert "Tucks: Front" in told[1] and "leave the fold free below" in told[1]
