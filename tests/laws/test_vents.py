"""Laws of a strip that is added along a straight stretch of a shaped edge: a slit or a vent on a side seam."""

import numpy as np
import pytest
import shapely
from changing import areas, dense, misfit
from hypothesis import given, settings
from hypothesis import strategies as st
from workbench import bodies, drafted, style_of, told

from tapeline.geometry.plane import distance

law = settings(max_examples=10, deadline=None)
seeds = st.integers(0, 2**32 - 1)

BY_LEVEL = """language 1
style vented "Vented"
measure waist, hip, waist_to_hip, waist_to_knee
levels
    waist
    hip   waist_to_hip below waist
    knee  waist_to_knee below waist
    hem   {long} cm below waist
foundation front "Front"
    cut 1 on fold at centre
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
        hem    {flare} mm more than hip
    side smooth waist to hip, straight hip to hem
    {dart}
    point slit along side from hem_side by {slit} cm
piece vented from front
    extend side by {wide} mm from slit to hem_side, called vent
sew vented.side to vented.side
sew vented.vent to vented.vent
"""
BY_POINT = """language 1
style vented "Vented"
measure waist, hip, waist_to_hip, waist_to_knee
foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A across waist / 4 + 3 cm
    point H A down waist_to_hip, across hip / 4 + 1 cm
    point C A down {long} cm
    point D H down {long} cm - waist_to_hip, go out {flare} mm
    point slit {along} by {slit} cm
    line  centre A to C
    line  waist  A to B
    curve upper  {upper}, bowed 1 cm {way}
    line  lower  {lower}
    edge  side   {parts}
    line  hem    C to D
    outline centre, waist, side, hem
piece vented from front
    extend side by {wide} mm from slit to D, called vent
"""
DOWN = {"upper": "B to H", "lower": "H to D", "parts": "upper, lower", "way": "right", "along": "along side from D"}
UP = {"upper": "H to B", "lower": "D to H", "parts": "lower, upper", "way": "right", "along": "along lower from D"}


def hold_vent(one_draft, hem_corner, wide, slit):
    pattern = one_draft.pattern
    front = next(piece for piece in pattern.foundations if piece.name == "front")
    piece = pattern.piece("vented")
    assert {edge.name for edge in piece.edges} == {*(edge.name for edge in front.edges), "vent", "vent_top"}
    old, rest, vent, top = front.edge("side"), piece.edge("side"), piece.edge("vent"), piece.edge("vent_top")
    assert np.abs(rest.closed_length() + 10 * slit - old.closed_length()).max() < 1e-6
    assert np.abs(top.closed_length() - wide).max() < 1e-6
    place, foot = front.points["slit"], front.points[hem_corner]
    way = (foot - place) / distance(place, foot)[:, None]
    for corner in (vent.start(), vent.end()):
        off = corner - place
        assert np.abs(np.abs(off[:, 0] * way[:, 1] - off[:, 1] * way[:, 0]) - wide).max() < 1e-6
    assert np.abs(areas(piece) - areas(front) - wide * (10 * slit + vent.closed_length()) / 2).max() < 0.05
    # What is left of the side lies on it; the other edges but the hem are as they were.
    for body in range(len(place)):
        line = shapely.LineString(dense(old.closed)[body])
        assert shapely.LineString(dense(rest.closed)[body]).hausdorff_distance(line) <= 10 * slit + 0.1
        assert all(line.distance(shapely.Point(*point)) < 0.05 for point in dense(rest.closed)[body][::20])
    for name in ("centre", "waist"):
        assert misfit(dense(front.edge(name).stitch_path()), dense(piece.edge(name).stitch_path())).max() < 1e-6
    assert np.allclose(piece.points["slit"], place)


@given(st.integers(10, 60), st.integers(10, 30), st.integers(0, 40), st.booleans(), seeds)
@law
def test_a_vent_on_the_side_of_a_piece_by_level(wide, slit, flare, darted, seed):
    dart = "dart on waist at half\n        intake 2.5 cm\n        point 6 cm above hip" if darted else ""
    text = BY_LEVEL.format(long=75, flare=flare, dart=dart, slit=slit, wide=wide)
    one_draft = drafted(style_of(text), bodies(np.random.default_rng(seed), 3))
    assert not told(one_draft)
    hold_vent(one_draft, "hem_side", wide, slit)


@given(st.integers(10, 60), st.integers(10, 30), st.integers(0, 40), st.sampled_from([DOWN, UP]), seeds)
@law
def test_a_vent_on_an_edge_that_is_joined_of_a_curve_and_a_line(wide, slit, flare, drawn, seed):
    text = BY_POINT.format(long=75, flare=flare, slit=slit, wide=wide, **drawn)
    one_draft = drafted(style_of(text), bodies(np.random.default_rng(seed), 3))
    assert not told(one_draft)
    hold_vent(one_draft, "D", wide, slit)


@pytest.mark.parametrize("slit", [60, 74])
def test_a_stretch_that_bends_is_refused(slit):
    text = BY_LEVEL.format(long=75, flare=20, dart="", slit=slit, wide=40)
    (said,) = told(drafted(style_of(text), bodies(np.random.default_rng(1), 1)))
    assert said.code == "D489" and "stretch is not straight" in said.title and said.found.endswith("off the straight")
