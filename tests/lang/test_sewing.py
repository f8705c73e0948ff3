"""Seams that take up some of the pieces that are cut: counted right, and no more than there are."""

import numpy as np
import pytest
from changing_front import told

GORES = """piece gore "Gore"
    cut 6
    point A start
    point B A across waist / 6
    point C A down 50 cm
    point D B down 50 cm
    line left A to C
    line top  A to B
    line right B to D
    line hem  C to D
    outline left, top, right, hem
recipe band "Band" (wide length)
    point A start
    point B A across wide
    point C A down 5 cm
    point D B down 5 cm
    line left A to C
    line top  A to B
    line right B to D
    line low  C to D
    outline left, top, right, low
piece front_band "Front band" from band(waist / 3)
    cut 1
piece back_band "Back band" from band(waist / 3)
    cut 2
sew gore.left to gore.right
"""
BODIES = np.array([700.0, 840.0])


def seams(*lines):
    said, drafts = told(GORES + "".join(f"{line}\n" for line in lines))
    assert said == []
    return {row.one: (row.length_one, row.length_other) for row in drafts[0].ledgers.seams}


def test_a_seam_takes_up_so_many_of_the_pieces():
    rows = seams("sew 2 of gore.top to front_band.low", "sew 4 of gore.top to back_band.low")
    for name, wide in (("gore.top x 2", BODIES / 3), ("gore.top x 4", BODIES * 2 / 3)):
        np.testing.assert_allclose(rows[name], [wide, wide], atol=1e-9)


def test_all_of_them_need_no_number():
    rows = seams("sew 6 of gore.top to front_band.low and back_band.low")
    np.testing.assert_allclose(rows["gore.top x 6"], [BODIES, BODIES], atol=1e-9)


def test_a_wrong_number_does_not_come_out():
    said, _ = told(GORES + "sew 3 of gore.top to front_band.low\n")
    assert [one.code for one in said] == ["D450"]


@pytest.mark.parametrize("count", ["0", "7", "2.5"])
def test_there_must_be_so_many(count):
    (one,) = told(GORES + f"sew {count} of gore.top to front_band.low\n")[0]
    assert one.code == "N210" and one.span.text == count and "1 to 6" in one.expected


def test_seams_together_take_up_no_more_than_there_are():
    (one,) = told(GORES + "sew 2 of gore.top to front_band.low\nsew gore.top to front_band.low and back_band.low\n")[0]
    assert (one.code, one.found) == ("N210", "8 in 2 seams")


OPEN = """recipe half "Half a skirt" (wide length)
    cut 1 on fold at centre
    point A start
    point B A across wide
    point C A down 60 cm
    point D B down 60 cm, go out 6 cm
    point P along side from B by 5 cm
    point Q along side from B by 20 cm
    point R along side from B by 50 cm
    line centre A to C
    line top A to B
    line side D to B
    line hem C to D
    outline centre, top, side, hem
piece fore "Front" from half(waist / 4)
piece back "Back" from half(waist / 4)
"""


def row_of(line):
    said, drafts = told(OPEN + line)
    assert [one.code for one in said if one.code != "D520"] == []
    return drafts[0].ledgers.seams[0], drafts[0].ledgers


def test_a_stretch_is_left_open_whichever_point_is_named_first():
    whole = np.hypot(600.0, 60.0)
    for ends in ("fore.P to fore.Q", "fore.Q to fore.P"):
        row, _ = row_of(f"sew fore.side to back.side, leaving open {ends}\n")
        np.testing.assert_allclose(row.left_open, 150.0)
        np.testing.assert_allclose(row.length_one, whole)
        (opening,) = row.openings  # the outline runs from top to hem along the side
        np.testing.assert_allclose([opening.start, opening.end], [[50.0] * 2, [200.0] * 2])


def test_several_stretches_and_how_they_are_sewn_besides():
    row, _ = row_of("sew fore.side to back.side, gathered, leaving open fore.P to fore.Q and fore.R to fore.D\n")
    np.testing.assert_allclose(row.left_open, 150.0 + np.hypot(600.0, 60.0) - 500.0)
    assert row.kind == "gathered"


def test_a_seam_open_to_its_end_lays_nothing_together_there():
    lines = [
        {frozenset((row.one.named, row.other.named)) for row in row_of(f"sew fore.side to back.side{how}\n")[1].corners}
        for how in ("", ", leaving open fore.P to fore.Q", ", leaving open fore.R to fore.D")
    ]
    assert lines[0] == lines[1]
    assert lines[0] - lines[2] == {frozenset(("fore.hem", "back.hem"))}


@pytest.mark.parametrize(
    ("how", "code"),
    [
        ("fore.P to back.Q", "N330"),
        ("fore.A to fore.Q", "D481"),
        ("fore.P to fore.P", "D585"),
        ("fore.P to fore.R and fore.Q to fore.D", "D585"),
        ("fore.B to fore.D", "D585"),
        ("fore.P to fore.nowhere", "N201"),
    ],
)
def test_what_cannot_be_left_open(how, code):
    said, _ = told(OPEN + f"sew fore.side to back.side, leaving open {how}\n")
    assert [one.code for one in said if one.code != "D520"] == [code]
