"""Laws of the double line at which a piece is lengthened or shortened.

Witness: shapely cuts the sewn outline, read back from the draft as a polygon, by the level; the line runs from end to end of it.
"""

import numpy as np
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

TEXT = """\
language 1
style waved "Waved"
measure waist
levels
    top
    mid {down} mm below top
piece panel "Panel"
    cut 2
    point A start
    point B A across waist / 4
    point C A down 60 cm
    point D B down 60 cm, right {out} mm
    line centre A to C
    line top    A to B
    curve side  B to D, {bow} {deep} mm
    line hem    C to D
    outline centre, top, side, hem
    dart on hem at half
        intake 2 cm
        point  {long} mm long
    level mid at M
    point M A down {down} mm
    lengthen or shorten at mid
allow
    others 1 cm
"""
WAISTS = np.array([600.0, 800.0, 1100.0])


def drafted(text: str):
    style, said = read(Source("waved.style", text), FolderWorld())
    assert style is not None, said
    (one,) = draft(style, {"waist": WAISTS})
    return one


@settings(max_examples=20, deadline=None)
@given(st.integers(-60, 200), st.sampled_from(["hollow", "bowed"]), st.integers(1, 60), st.integers(20, 590), st.integers(20, 400))
def test_it_runs_from_end_to_end_of_its_level_in_the_cloth(out, bow, deep, down, long):
    one = drafted(TEXT.format(out=out, bow=bow, deep=deep, down=down, long=long))
    panel = one.pattern.piece("panel")
    upper, lower = panel.marks
    for mark, depth in ((upper, down), (lower, down + 3.0)):
        for body in range(len(WAISTS)):
            ring = np.concatenate([strip.flatten()[body] for edge in panel.edges for strip in edge.strips])
            cloth = shapely.make_valid(shapely.Polygon(ring))
            level = shapely.LineString([(-2000.0, depth), (2000.0, depth)])
            left, _, right, _ = shapely.intersection(cloth, level).bounds
            ends = np.array([mark.path.start()[body], mark.path.end()[body]])
            assert np.allclose(ends, [(left, depth), (right, depth)], atol=0.05)


def test_a_level_beside_the_piece_is_refused():
    one = drafted(TEXT.format(out=0, bow="bowed", deep=10, down=700, long=100))
    assert {failure.code for failure in one.failures} == {"D432"} and one.failed.all()


def test_a_level_through_a_corner_crosses_a_piece_that_lies_to_the_left():
    text = TEXT.replace("point B A across waist / 4", "point B A left waist / 4, down 20 cm").replace(
        "point D B down 60 cm, right {out} mm", "point D A left waist / 4, down 60 cm"
    )
    one = drafted(text.format(out=0, bow="bowed", deep=10, down=200, long=50))
    upper, _ = one.pattern.piece("panel").marks
    assert not one.failed.any()
    assert np.allclose(upper.path.start()[:, 0], -WAISTS / 4, atol=1e-3) and np.allclose(upper.path.end()[:, 0], 0.0, atol=1e-3)


def test_it_follows_to_a_piece_made_from_another_but_not_where_cloth_is_let_in():
    text = TEXT.replace('piece panel "Panel"', 'foundation panel "Panel"').format(out=0, bow="bowed", deep=10, down=200, long=50)
    derived = (
        'piece kept "As it is" from panel\n'
        'piece turned "Turned over" from panel\n    mirror\n'
        'piece spread "Let out" from panel\n    spread top by 6 cm, hinged on hem, in 2 cuts\n'
    )
    one = drafted(text.replace("allow\n", derived + "allow\n"))
    marks = {piece.name: [mark.path.length() for mark in piece.marks] for piece in one.pattern.pieces}
    assert [len(marks[name]) for name in ("kept", "turned", "spread")] == [2, 2, 0]
    assert np.allclose(marks["kept"], marks["turned"], atol=1e-6)


def test_the_line_midway_between_two_levels():
    text = TEXT.format(down=200, out=20, bow="bowed", deep=15, long=90) + "    lengthen or shorten halfway top to mid\n"
    text = text.replace("    lengthen or shorten at mid\n", "").replace("allow\n    others 1 cm\n", "") + "allow\n    others 1 cm\n"
    lines = [mark.path for mark in drafted(text).pattern.piece("panel").marks if mark.kind == "lengthening"]
    assert len(lines) == 2
    for line, y in zip(lines, (100.0, 103.0), strict=True):  # the second 3 mm below the first
        assert np.allclose(line.start()[:, 1], y) and np.allclose(line.end()[:, 1], y) and (line.length() > 100.0).all()


def test_a_point_may_tell_the_height_and_a_piece_that_is_not_crossed_goes_without():
    text = TEXT.format(down=200, out=0, bow="bowed", deep=15, long=50).replace('piece panel "Panel"', 'foundation panel "Panel"')
    text = text.replace("lengthen or shorten at mid", "lengthen or shorten halfway B to D").replace("bowed 15 mm", "bowed 1 mm")
    text = text.replace(
        "allow\n", 'piece whole "Whole" from panel\npiece top_facing "Facing" from panel\n    facing 6 cm deep along top\nallow\n'
    )
    one = drafted(text)
    marks = {piece.name: [mark.path.start()[:, 1] for mark in piece.marks] for piece in one.pattern.pieces}
    assert np.allclose(marks["whole"], [[300.0] * 3, [303.0] * 3]) and marks["top_facing"] == []
    assert not one.failed.any()
