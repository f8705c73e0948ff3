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
