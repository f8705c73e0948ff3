"""Which line on a piece a level is: along an edge, straight across, refused; and what is made of a part of a garment."""

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

BODY = {"waist": 720.0, "hip": 980.0, "waist_to_hip": 200.0}
HEAD = """language 1
style levels_said "Levels"
measure waist, hip, waist_to_hip
levels
    waist
    hip  waist_to_hip below waist
"""
RISING = """piece front "Front"
    cut 4
    point A start
    point B A across waist / 4 + 3 cm, up 1 cm
    point C A down 60 cm
    point D C across hip / 4 + 1 cm
    line centre A to C
    curve waist A to B, leaving level
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
    dart on waist at half
        intake 3 cm
        point 10 cm long
"""
ROUND = """foundation quarter "Quarter of a circle"
    cut 2 alike
    point O start
    point A O right waist / pi
    point B O down waist / pi
    point C A right 50 cm
    point D B down 50 cm
    arc inner A to B about O
    arc outer C to D about O
    line one A to C
    line two B to D
    outline inner, two, outer, one
    level waist along inner
"""


def drafted(text, **body):
    style, said = read(Source("levels_said.style", text), FolderWorld())
    assert style is not None, "\n".join(render(one) for one in said)
    (one,) = draft(style, {name: np.array([value]) for name, value in {**BODY, **body}.items()})
    return one


def row(one, level):
    return next(row for row in one.ledgers.girths if row.level == level)


def test_a_waist_that_rises_is_refused_straight_and_measured_along():
    straight = drafted(HEAD + RISING + "    level waist at A\n")
    assert [failure.code for failure in straight.failures if failure.severity == "error"] == ["D510"]
    along = drafted(HEAD + RISING + "    level waist along waist\ntrue_waist = 4 * closed length of front.waist\n")
    assert not along.failed.any()
    assert row(along, "waist").sewn[0] == along.pattern.values["true_waist"][0]
    assert row(along, "waist").told == ("along waist",)


def test_a_level_along_an_arc_is_one_line_however_the_piece_is_made():
    more = """piece again from quarter
    cut 2 alike
piece whole from quarter
    open out at one
    cut 1
whole_waist = length of whole.inner + length of whole.other_inner
drawn = width of again at waist
"""
    one = drafted(HEAD + ROUND + more)
    again, whole = (one.pattern.piece(name).widths["waist"][0] for name in ("again", "whole"))
    assert again == pytest.approx(BODY["waist"] / 2, abs=1e-9)  # a quarter of a circle of this radius, elementary geometry
    assert whole == pytest.approx(2 * again, abs=1e-9) and one.pattern.values["whole_waist"][0] == pytest.approx(whole, abs=1e-9)
    assert one.pattern.values["drawn"][0] == again


@pytest.mark.parametrize("name, refused", [("hip", False), ("waist", True)])
def test_levels_of_a_piece_are_held_against_those_of_the_style(name, refused):
    text = f"""piece panel "Panel"
    cut 2 on fold at centre
    point A start
    point B A across hip / 4
    point C A down 60 cm
    point D B down 60 cm
    point H A down {"waist_to_hip" if name == "hip" else "25 cm"}
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
    level waist at A
    level hip at H
"""
    one = drafted(HEAD + text)
    assert [failure.code for failure in one.failures] == (["D511"] if refused else [])


def piece(name, count, fold=""):
    return f"""piece {name}
    cut {count}{fold}
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
"""


@pytest.mark.parametrize(
    "text, part",
    [
        (piece("front", 1), "quarter"),
        (piece("front", 1, " on fold at centre"), "half"),
        (piece("front", 1) + piece("back", 1) + "sew front.side to back.side\n", "half"),
        (piece("front", 1, " on fold at centre") + piece("back", 2) + "sew front.side to back.side\n", ""),
    ],
)
def test_a_part_of_a_garment_is_judged_as_that_part(text, part):
    one = drafted(HEAD + text)
    hip = row(one, "hip")
    assert hip.part(0) == part
    times = {"quarter": 1, "half": 2, "": 4}[part]
    assert hip.ease[0] == pytest.approx(10.0 * times, abs=1e-6)


def test_a_closed_garment_that_is_too_narrow_is_no_half():
    text = piece("front", 1, " on fold at centre").replace("hip / 4", "hip / 8") + "sew front.side to front.side\n"
    assert row(drafted(HEAD + text), "hip").part(0) == ""


def test_a_level_is_said_once():
    style, said = read(Source("x.style", HEAD + RISING + "    level waist at A\n    level waist along waist\n"), FolderWorld())
    assert [one.code for one in said if one.severity == "error"] == ["N228"]


BAND = """piece band "Band"
    cut 1 on fold at centre
    point A start
    point B A across waist / 2 + 4 cm
    point C A down 4 cm
    point D B down 4 cm
    line centre A to C
    line upper A to B
    line end B to D
    line lower C to D
    outline centre, upper, end, lower
    level waist along lower
"""


@pytest.mark.parametrize("how, sewn", [("", 800.0), (", easing 1 mm", 800.0)])
def test_a_line_told_on_both_sides_of_a_seam_counts_once(how, sewn):
    """A waist of 72 cm and 8 cm of ease, on the skirt and on its band; eased in, the skirt is held by the band."""
    front = RISING.replace("waist / 4 + 3 cm, up 1 cm", "waist / 4 + 2 cm + more").replace(
        "    dart on waist at half\n        intake 3 cm\n        point 10 cm long\n", "    level waist along waist\n"
    )
    more = "more = 0.25 mm\n" if how else "more = 0 mm\n"
    text = HEAD + more + front + BAND + f"sew front.waist to band.lower{how}\nall_round = girth at waist\n"
    one = drafted(text)
    waist = row(one, "waist")
    assert waist.sewn[0] == pytest.approx(sewn, abs=1e-6)
    assert [piece for piece, _, _ in waist.pieces] == (["band"] if how else ["front"])
    assert one.pattern.values["all_round"][0] == pytest.approx(sewn, abs=1e-6)


def test_lines_on_edges_that_are_not_sewn_to_each_other_both_count():
    apart = drafted(HEAD + BAND + BAND.replace("band", "other"))
    assert row(apart, "waist").sewn[0] == pytest.approx(2 * 800.0)
