"""Laws of the double line at which a piece is lengthened or shortened.

Witness: shapely cuts the sewn outline, read back from the draft as a polygon, by the level; the widest part is the line.
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
@given(st.integers(-60, 200), st.sampled_from(["hollow", "bowed"]), st.integers(1, 60), st.integers(20, 590))
def test_it_is_the_widest_stretch_of_its_level_in_the_cloth(out, bow, deep, down):
    one = drafted(TEXT.format(out=out, bow=bow, deep=deep, down=down))
    panel = one.pattern.piece("panel")
    upper, lower = panel.marks
    for mark, depth in ((upper, down), (lower, down + 3.0)):
        for body in range(len(WAISTS)):
            ring = np.concatenate([strip.flatten()[body] for edge in panel.edges for strip in edge.strips])
            cloth = shapely.make_valid(shapely.Polygon(ring))
            level = shapely.LineString([(-2000.0, depth), (2000.0, depth)])
            parts = shapely.get_parts(shapely.intersection(cloth, level))
            widest = max(parts, key=lambda part: part.length)
            ends = np.array([mark.path.start()[body], mark.path.end()[body]])
            assert np.allclose(ends, np.array(widest.coords)[[0, -1]], atol=0.05)


def test_a_level_beside_the_piece_is_refused():
    one = drafted(TEXT.format(out=0, bow="bowed", deep=10, down=700))
    assert {failure.code for failure in one.failures} == {"D432"} and one.failed.all()
