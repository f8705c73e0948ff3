"""Laws of lengths along an edge between two of its points, held against the drawn lines by shapely."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from test_slopes import differences
from workbench import bodies, drafted, style_of, told

from tapeline.meaning.style import read
from tapeline.source.diagnostics import has_errors
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

law = settings(max_examples=10, deadline=None)
seeds = st.integers(0, 2**32 - 1)
shares = st.integers(0, 100)
FINE = 0.1  # mm; chords lie a little askew to the curve, and a point of the line as first drawn some mm beside the sewn one


def skirt(bow, dart, one, other, on="top"):
    """A panel whose upper edge has a dart, whose side is bowed, and two points along an edge."""
    return f"""language 1
style panel "Panel"
measure waist, hip, waist_to_hip, waist_to_knee
piece base "Base"
    point A start
    point B A across hip / 4, up 1 cm
    point C A down 60 cm
    point D B down 60 cm, go out 2 cm
    line  centre A to C
    curve top    A to B, hollow {bow} mm
    curve side   B to D, bowed {bow} mm
    line  hem    C to D
    outline centre, top, side, hem
    dart on top at half
        intake {dart} mm
        point 10 cm long
    point P along {on} from {"A" if on == "top" else "B"} by {one} %
    point Q along {on} from {"A" if on == "top" else "B"} by {other} %
open_part   = length of base.{on} from base.P to base.Q
open_back   = length of base.{on} from base.Q to base.P
closed_part = closed length of base.{on} from base.P to base.Q
before      = closed length of base.{on} from base.{"A" if on == "top" else "B"} to base.P
after       = closed length of base.{on} from base.P to base.{"B" if on == "top" else "D"}
whole       = closed length of base.{on}
drawn       = length of base.{on}
drawn_part  = length of base.{on} from base.{"A" if on == "top" else "B"} to base.Q
drawn_rest  = length of base.{on} from base.Q to base.{"B" if on == "top" else "D"}
"""


def lines(edge):
    """The strips of an edge (of one body) as lines, with their chords across the mouths between them."""
    strips = [strip.flatten()[0] for strip in edge.strips]
    return strips, np.concatenate(strips)


@given(st.integers(2, 15), st.integers(10, 40), shares, shares, st.sampled_from(["top", "side"]), seeds)
@law
def test_a_stretch_is_what_lies_between_its_points(bow, dart, one, other, on, seed):
    one_draft = drafted(style_of(skirt(bow, dart, one, other, on)), bodies(np.random.default_rng(seed), 3))
    values, pattern = one_draft.pattern.values, one_draft.pattern
    assert not told(one_draft)
    assert np.allclose(values["open_part"], values["open_back"])
    assert np.allclose(values["before"] + values["after"], values["whole"])
    assert np.allclose(values["drawn_part"] + values["drawn_rest"], values["drawn"])
    piece = pattern.piece("base").take(slice(0, 1))
    strips, chain = lines(piece.edge(on))
    whole = shapely.LineString(chain)
    places = [shapely.line_locate_point(whole, shapely.Point(*piece.points[name][0])) for name in "PQ"]
    assert abs(values["open_part"][0] - abs(places[1] - places[0])) < FINE
    sewn = []
    for name in "PQ":
        point = shapely.Point(*piece.points[name][0])
        nearest = min(range(len(strips)), key=lambda k: shapely.LineString(strips[k]).distance(point))
        before = sum(shapely.LineString(strip).length for strip in strips[:nearest])
        sewn.append(before + shapely.line_locate_point(shapely.LineString(strips[nearest]), point))
    assert abs(values["closed_part"][0] - abs(sewn[1] - sewn[0])) < FINE


@given(st.integers(2, 15), st.integers(10, 40), st.integers(1, 20), st.integers(80, 99), seeds)
@law
def test_open_a_dart_between_counts_its_mouth(bow, dart, one, other, seed):
    one_draft = drafted(style_of(skirt(bow, dart, one, other)), bodies(np.random.default_rng(seed), 3))
    values = one_draft.pattern.values
    (wedge,) = one_draft.pattern.piece("base").darts()
    assert np.allclose(values["open_part"] - values["closed_part"], wedge.intake)


def test_along_a_drawn_line_that_is_no_edge():
    text = skirt(5, 20, 0, 50).replace(
        "    outline", "    curve inner A to D, bowed 3 cm right\n    point R along inner from A by 1/4\n    outline"
    )
    text += "inner_part = length of base.inner from base.R to base.D\ninner_whole = length of base.inner\n"
    values = drafted(style_of(text), bodies(np.random.default_rng(1), 3)).pattern.values
    assert np.allclose(values["inner_part"], values["inner_whole"] * 0.75)


def test_a_point_beside_the_edge_is_refused_with_its_distance():
    text = skirt(5, 20, 0, 50) + "wrong = length of base.side from base.B to base.Q\n"
    one_draft = drafted(style_of(text), bodies(np.random.default_rng(1), 1))
    (said,) = told(one_draft)
    assert said.code == "D481" and '"base.Q" does not lie on "base.side"' in said.title and said.found.endswith("off it")


# ------------------------------------------------------------ where `from` belongs to something else

PLACED = """language 1
style placed "Placed"
measure waist, hip, waist_to_hip, waist_to_knee
piece base "Base"
    point A start
    point B A across 20 cm
    point C A down 60 cm
    point D B down 60 cm
    point K along side from B by 18 cm
    point L along side from B by 30 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
"""


def quantities(text):
    style, said = read(Source("placed.style", PLACED + text), FolderWorld())
    assert style is not None and not has_errors(said), said
    return drafted(style, bodies(np.random.default_rng(1), 1)).pattern


def test_from_belongs_to_a_place_or_a_tape_where_one_is_said():
    pattern = quantities("""    notch on side at length of top from B
    notch on side at length of side from K to L from B
    point M where length of top from D meets side, above
    point N along centre from A by length of side from K to L
    mark "cut" M to N
x = length of base.side from base.L to base.K * 2 + 1 cm
""")
    piece = pattern.piece("base")
    assert [notch.point[0, 1] for notch in piece.notches] == pytest.approx([200.0, 120.0])
    assert piece.points["M"][0] == pytest.approx([200.0, 400.0]) and piece.points["N"][0] == pytest.approx([0.0, 120.0])
    assert pattern.values["x"] == pytest.approx(250.0)


@pytest.mark.parametrize(
    "stops, depth",
    [
        ("side at length of base.top from B to centre at 1/2", 200.0),
        ("side at (length of base.top) from B to centre at 1/2", 200.0),
        ("side at length of base.side from base.K to base.L from B to centre at 1/2", 120.0),
    ],
)
def test_a_stop_of_a_cut_is_read_as_it_always_was(stops, depth):
    piece = quantities(f"cut base from {stops}, seam slant\n    piece upper holding top\n").piece("upper")
    assert piece.points["slant_side"][0, 1] == pytest.approx(depth)


def test_the_stretch_of_an_extension_stays_its_own_but_for_brackets():
    text = "piece lap from base\n    extend centre by (length of base.side from base.K to base.L)\n"
    assert quantities(text).piece("lap").edge("centre").start()[0, 0] == pytest.approx(-120.0)
    text = "piece lap from base\n    extend side by length of base.top from K to D, called vent\n"
    assert quantities(text).piece("lap").edge("vent").closed_length() == pytest.approx(420.0)


def test_the_slopes_of_a_stretch_are_those_of_drafts():
    """A length along an edge with a dart sets a point, open and closed."""
    point = """    point N A down length of top from A to Q / 2, across closed length of top from P to Q / 3
    mark "stretch" A to N
    point P along"""
    text = skirt(8, 25, 20, 80).replace("8 mm", "waist / 90").replace("    point P along", point)
    exact, rough = differences(style_of(text), {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0, "waist_to_knee": 580.0})
    (key,) = (key for key in exact.places if key[1] == "N")
    assert np.abs(exact.places[key]).max() > 0.01
    assert np.abs(exact.places[key][0] - rough[key]).max() <= 1e-5
