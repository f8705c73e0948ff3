"""Laws of curves that misbehave: planted faults are told with their figures, sound curves are not.

The witness looks at each curve by itself, from its control points alone: de Casteljau's construction in many steps, distances
along the chord and over a level summed in numpy.  What crosses itself is asked of shapely.
"""

import re

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from workbench import style_of

from tapeline.drafting.run import draft
from tapeline.geometry.bends import joint_turns, retreat, sharp_turn, turning_heights
from tapeline.geometry.path import Path
from tapeline.geometry.plane import unit
from tapeline.geometry.segments import Arc, Cubic, Line

law = settings(max_examples=150, deadline=None)
few = settings(max_examples=60, deadline=None)
seeds = st.integers(0, 2**32 - 1)
STEPS = np.linspace(0.0, 1.0, 4001)


def places(points, ts=STEPS):
    """Places (K, 2) of a cubic with these control points (4, 2), by repeated halving of the ways between them."""
    rows = [np.repeat(point[None], len(ts), axis=0) for point in points]
    while len(rows) > 1:
        rows = [(1.0 - ts)[:, None] * a + ts[:, None] * b for a, b in zip(rows, rows[1:], strict=False)]
    return rows[0]


def runs_back(line, way):
    along = line @ way
    return float(np.max(np.maximum.accumulate(along) - along))


# ------------------------------------------------------------ the measures themselves


@given(seeds)
@law
def test_how_far_a_path_runs_back(seed):
    random = np.random.default_rng(seed)
    p = random.uniform(-100.0, 100.0, (3, 4, 2))
    second = random.uniform(-100.0, 100.0, (3, 4, 2))
    second[:, 0] = p[:, 3]
    path, way = Path((Cubic(p), Cubic(second))), unit(random.normal(size=(3, 2)))
    found, heights = retreat(path, way), turning_heights(path, path.start(), way)
    for body in range(3):
        line = np.concatenate([places(p[body]), places(second[body])])
        assert found[body] == pytest.approx(runs_back(line, way[body]), abs=0.01)
        over = (line - line[0]) @ way[body]
        assert heights[body].max() == pytest.approx(over.max(), abs=0.01)
        assert heights[body].min() == pytest.approx(over.min(), abs=0.01)


@given(seeds)
@law
def test_where_arcs_and_lines_turn(seed):
    random = np.random.default_rng(seed)
    sweep = random.uniform(0.1, 6.2, 4) * random.choice([-1.0, 1.0], 4)
    arc = Arc(random.uniform(-50.0, 50.0, (4, 2)), random.uniform(5.0, 90.0, 4), random.uniform(-7.0, 7.0, 4), sweep)
    path, way = Path((arc, Line(arc.end(), random.uniform(-90.0, 90.0, (4, 2))))), unit(random.normal(size=(4, 2)))
    found = retreat(path, way)
    for body in range(4):
        angles = arc.start_angle[body] + STEPS * sweep[body]
        line = arc.centre[body] + arc.radius[body] * np.stack([np.cos(angles), np.sin(angles)], axis=1)
        line = np.concatenate([line, path.end()[body][None]])
        assert found[body] == pytest.approx(runs_back(line, way[body]), abs=0.01)


@given(seeds, st.floats(-170.0, 170.0))
@law
def test_what_a_joint_turns_by(seed, degrees):
    random = np.random.default_rng(seed)
    p = random.uniform(-100.0, 100.0, (1, 4, 2))
    way = p[0, 3] - p[0, 2]
    lie = np.arctan2(way[1], way[0]) + np.radians(degrees)
    out = np.array([np.cos(lie), np.sin(lie)]) * 20.0
    then = np.stack([p[0, 3], p[0, 3] + out, p[0, 3] + 3.0 * out + 1.0, p[0, 3] + 5.0 * out])[None]
    turns, straight = joint_turns(Path((Cubic(p), Cubic(then))))
    assert np.degrees(turns[0, 0]) == pytest.approx(degrees, abs=1e-6) and not straight.any()
    nothing = Line(p[:, 3], p[:, 3])
    turns, _ = joint_turns(Path((Cubic(p), nothing, Cubic(then))))  # a segment without length hides no kink
    assert np.degrees(np.abs(turns).max()) == pytest.approx(abs(degrees), abs=1e-6)
    corner, straight = joint_turns(Path((Line(p[:, 0], p[:, 3]), Line(p[:, 3], then[:, 3]))))
    assert straight.all() and np.isfinite(corner).all()


@given(seeds, st.floats(0.0, 1.0))
@law
def test_sharp_bends(seed, open_by):
    """A cubic whose handles cross exactly so far that it has a cusp, opened by and by: it turns round on a growing radius."""
    random = np.random.default_rng(seed)
    turn = random.uniform(0.0, 2.0 * np.pi)
    wide = 100.0 * (1.0 - open_by)
    p = np.array([[0.0, 0.0], [50.0 + wide / 2.0, 80.0], [50.0 - wide / 2.0, 80.0], [100.0, 0.0]])
    p = p @ np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    line = places(p)
    step = np.diff(line, axis=0)
    size, lie = np.hypot(*step.T), np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    radius = np.min((size[1:] + size[:-1]) / 2.0 / np.maximum(np.abs(np.diff(lie)), 1e-12))
    found = np.degrees(sharp_turn(Cubic(p[None]), 3.0)[0][0])
    if radius > 6.0:
        assert found == 0.0
    elif radius < 0.2:
        assert found > 45.0


# ------------------------------------------------------------ whole styles

PANEL = """language 1
style panel "Panel"
choose lean 0 cm from -30 cm to 30 cm
piece panel "Panel"
    cut 1
    point A start
    point B A across 60 cm
    point C A down 80 cm
    point D B down {down} mm
    line centre A to C
    line top A to B
    line side B to D
{hem}
    outline centre, top, side, hem
"""


def hem_of(hem, down=750):
    """The drafted hem from C on: its control points (M, 4, 2), the codes that were told of it, and what was said."""
    style = style_of(PANEL.format(hem=hem, down=down))
    (one,) = draft(style, {}, bodies=1)
    path = one.pattern.piece("panel").edge("hem").closed
    path = path if np.allclose(path.start()[0], (0.0, 800.0)) else path.reversed()
    said = {failure.code: failure.diagnostic(0) for failure in one.failures}
    return np.array([segment.p[0] for segment in path.segments]), said


@given(st.integers(-179, 179), st.integers(-179, 179), st.integers(700, 860))
@law
def test_edges_that_turn_back_or_loop_are_told(leaving, arriving, down):
    points, said = hem_of(f"    curve hem C to D, leaving at {leaving} deg, arriving at {arriving} deg", down)
    line = places(points[0])
    back = runs_back(line, (line[-1] - line[0]) / np.hypot(*(line[-1] - line[0])))
    if shapely.LineString(line[::20]).is_simple:
        if "D440" not in said and abs(back - 5.0) > 0.05:
            assert ("D534" in said) == (back > 5.0), (back, said)
        if "D534" in said:
            figure, place = map(float, re.match(r"it runs back by ([\d.]+) cm, ([\d.]+) cm along it", said["D534"].found).groups())
            assert figure * 10.0 == pytest.approx(back, abs=0.06)
            assert 0.0 <= place * 10.0 < np.hypot(*np.diff(line, axis=0).T).sum()
    else:
        assert "D440" in said and "hem crosses itself" in said["D440"].found, said


@given(st.integers(-80, 80), st.integers(20, 560))
@few
def test_kinks_at_a_joint_are_told(turn, at):
    hem = f"""    point M C toward D by {at} mm, up 1 cm
    curve one C to M, arriving at 5 deg
    curve two M to D, leaving at {5 + turn} deg
    edge hem one, two"""
    _, said = hem_of(hem)
    if abs(turn) > 12:
        assert "D535" in said and f"a turn of {abs(turn)} deg" in said["D535"].found
    elif abs(turn) < 12:
        assert "D535" not in said


@given(st.integers(-60, 60), st.integers(-60, 60), st.integers(5, 60), st.integers(5, 60), st.booleans())
@few
def test_kinks_beside_arcs_are_told(first, second, one, two, line):
    """An arc and then a line or another arc: what the joint turns by is told by steps of a thousandth on either side of it."""
    way = "up" if two % 2 else "down"
    hem = f"""    point M C at {first} deg by 20 cm
    point N M at {second} deg by 20 cm
    arc one C to M, bowed {one} mm down
    {"line two M to N" if line else f"arc two M to N, bowed {two} mm {way}"}
    edge hem one, two
    line last N to D"""
    style = style_of(PANEL.format(hem=hem, down=750).replace("side, hem\n", "side, last, hem\n"))
    (drafted,) = draft(style, {}, bodies=1)
    if drafted.failed.any():
        return
    path = drafted.pattern.piece("panel").edge("hem").closed
    before, after = path.segments
    ways = [
        np.diff(segment.sample(ts)[0], axis=0)[0] for segment, ts in ((before, np.array([0.999, 1.0])), (after, np.array([0.0, 0.001])))
    ]
    turn = abs(np.degrees(np.arctan2(ways[0][0] * ways[1][1] - ways[0][1] * ways[1][0], ways[0] @ ways[1])))
    said = {failure.code: failure.diagnostic(0).found for failure in drafted.failures}
    if abs(turn - 12.0) > 0.2:
        assert ("D535" in said) == (turn > 12.0), (turn, said)
    if "D535" in said:
        assert float(re.match(r"a turn of (\d+) deg", said["D535"])[1]) == pytest.approx(turn, abs=0.7)


@given(st.integers(-150, 150), st.sampled_from(["leaving", "arriving"]))
@few
def test_curves_that_bulge_past_their_level_are_told(bow, end):
    way = "down" if bow >= 0 else "up"
    points, said = hem_of(f"    curve hem C to D, {end} level, bowed {abs(bow) + 1} mm {way}")
    line = places(points[0])
    over = line[:, 1] - (line[0, 1] if end == "leaving" else line[-1, 1])
    past = min(over.max(), -over.min())
    if abs(past - 4.0) > 0.02 and "D440" not in said:
        assert ("D536" in said) == (past > 4.0), (past, said)
    if "D536" in said:
        figure, side = re.match(r"it lies ([\d.]+) cm (below|above) its end at ", said["D536"].found).groups()
        assert float(figure) * 10.0 == pytest.approx(past, abs=0.06)
        assert side == ("below" if over.max() < -over.min() else "above")


@given(seeds)
@few
def test_smooth_curves_are_not_told(seed):
    """Curves through points that go on along a gentle bow, with and without level ends; none of them has a fault."""
    random = np.random.default_rng(seed)
    count, bow = random.integers(1, 4), random.uniform(10.0, 60.0)
    parts = np.sort(random.uniform(0.15, 0.85, count))
    if np.diff(parts, prepend=0.0, append=1.0).min() < 0.12:
        return
    lines = [f"    point P{k} C toward D by {part:.3f}, down {4.0 * part * (1.0 - part) * bow:.1f} mm" for k, part in enumerate(parts)]
    hem = "\n".join([*lines, "    curve hem C to D through " + " and ".join(f"P{k}" for k in range(count))])
    assert not hem_of(hem)[1]
    for ends in ("leaving level", "leaving level, arriving square to side", "arriving level", "hollow 2 cm"):
        assert not hem_of(f"    curve hem C to D, {ends}")[1], ends


@given(st.integers(-250, 900), st.integers(560, 860))
@law
def test_a_curve_that_comes_to_its_corner_from_outside_is_told(inward, down):
    """The hem arrives square to a side that leans in or out: shapely says on which side of the corner there is cloth.

    A hem of a few millimetres would lie in the small round that is looked at, whole.
    """
    assume(abs(600 - inward) > 20)
    text = PANEL.replace("B down {down} mm", f"B left {inward} mm, down {{down}} mm")
    style = style_of(text.format(hem="    curve hem C to D, leaving level, arriving square to side", down=down))
    (one,) = draft(style, {}, bodies=1)
    codes = {failure.code for failure in one.failures}
    if one.failed.any():
        return
    piece = one.pattern.piece("panel")
    ring = shapely.Polygon(np.concatenate([edge.closed.flatten()[0] for edge in piece.edges]))
    near = shapely.Point(600.0 - inward, float(down)).buffer(0.5)
    share = ring.intersection(near).area / near.area  # a quarter, or three, of a small round
    assert ("D538" in codes) == (share > 0.5), (share, codes)
