"""What a piece made from another takes over of what was said of that one: seam allowances, zips and notches, or a word that it does not."""

import pytest
from changing_front import FRONT, told

from tapeline.source.diagnostics import render

MADE = """foundation half from front
piece left from half
    extend hem by 2 cm
piece whole from left
    open out at centre
    cut 1
piece strip
    cut 1
    point A start
    point B A across 10 cm
    point C A down 30 cm
    point D B down 30 cm
    line end  A to C
    line low  C to D
    line side B to D
    line high A to B
    outline end, low, side, high
"""


def widths(rows, text=MADE):
    """(piece, edge) -> seam allowance in mm, of a style with these rows."""
    said, drafts = told(text + "allow\n" + "".join(f"    {row}\n" for row in rows))
    assert {one.code for one in said} <= {"N297"}, "\n".join(map(render, said))
    pattern = drafts[0].pattern
    return {place: float(allowance.width[0]) for place, allowance in pattern.allowances.items()}


def test_a_row_of_a_foundation_holds_for_what_is_made_from_it():
    found = widths(["front.side 3 cm", "others 1 cm"])
    assert found["left", "side"] == found["whole", "side"] == found["whole", "other_side"] == 30.0
    assert found["left", "waist"] == found["strip", "side"] == 10.0


def test_the_nearest_row_holds():
    found = widths(["front.hem 2 cm", "half.hem 3 cm", "left.hem 4 cm", "others 1 cm"])
    assert found["left", "hem"] == found["whole", "hem"] == found["whole", "other_hem"] == 40.0
    found = widths(["front.hem 2 cm", "half.hem 3 cm", "whole.hem 4 cm", "others 1 cm"])
    assert (found["left", "hem"], found["whole", "hem"], found["whole", "other_hem"]) == (30.0, 40.0, 40.0)


def test_a_row_of_one_half_holds_for_the_other_unless_that_has_its_own():
    found = widths(["whole.side 3 cm", "others 1 cm"])
    assert (found["whole", "other_side"], found["left", "side"]) == (30.0, 10.0)
    found = widths(["whole.side 3 cm", "whole.other_side 2 cm", "others 1 cm"])
    assert (found["whole", "side"], found["whole", "other_side"]) == (30.0, 20.0)


def test_a_row_of_any_piece_goes_before_one_that_is_taken_over():
    found = widths(["side 2 cm", "front.side 3 cm", "others 1 cm"])
    assert found["left", "side"] == found["whole", "side"] == found["whole", "other_side"] == found["strip", "side"] == 20.0


def test_a_joined_edge_keeps_the_row_of_the_edge_that_it_was():
    text = """foundation turned from front
    mirror
piece whole from front
    cut 1
    join turned along centre
"""
    found = widths(["turned.side 3 cm", "front.side 2 cm", "others 1 cm"], text)
    assert (found["whole", "side"], found["whole", "turned_side"]) == (20.0, 30.0)


@pytest.mark.parametrize("row", ["half.side 3 cm", "front.hem 3 cm"])
def test_a_row_that_reaches_nothing_is_told(row):
    rows = [row, "left.side 2 cm", "whole.side 2 cm", "left.hem 2 cm", "whole.hem 2 cm", "others 1 cm"]
    (caution,) = told(MADE + "allow\n" + "".join(f"    {one}\n" for one in rows))[0]
    assert (caution.code, caution.severity, caution.span.text) == ("N297", "caution", row)


@pytest.mark.parametrize(
    "said, change, kept",
    [
        ("notch on side at 10 cm from B", "", True),
        ("notch on side at 10 cm from B", "pivot waist_dart to hem at half", True),
        ("notch on side at 10 cm from B", "extend hem by 2 cm", False),
        ("notch on side at 10 cm from B", "extend hem by 2 cm\n    notch on side at 10 cm from B", True),
        ("zip on side from B to T", "extend hem by 2 cm", False),
        ("zip on side from B to T", 'cut 2 for "lining"\n    extend hem by 2 cm', None),
        ("zip on side from B to T", "open out at centre", True),
    ],
)
def test_a_zip_or_notch_follows_or_that_is_told(said, change, kept):
    text = f"foundation marked from front\n    {said}\npiece made from marked\n    {change}\n"
    found = told(text)[0]
    if kept is False:
        assert [one.code for one in found] == ["N296"] and f'"{said}"' in found[0].title, "\n".join(map(render, found))
    else:
        assert found == [], "\n".join(map(render, found))
        made = told(text)[1][0].pattern.piece("made")
        assert bool(made.notches or made.marks) == bool(kept)


def test_bones_of_a_piece_that_is_cut_in_two_are_missed():
    text = """foundation boned from front
    bone along each dart
cut boned from centre to side along low, seam inner
    piece upper holding waist
    foundation lower
"""
    assert "waist_dart" in FRONT
    assert [one.code for one in told(text)[0] if one.code.startswith("N")] == ["N296"]
