"""Changing a piece: what is drafted without complaint, and what no draft can have, by its code and its line.

The styles and `MISTAKES` are those of `test_change_mistakes.py`; these mistakes show only on a body.
"""

import numpy as np
import pytest
from changing_front import assert_told, pattern_of

# (what is wrong, code, what the message names, the lines)
MISTAKES = [
    (
        "a place off the edge",
        "D412",
        "beyond the end",
        """
piece a from front
>>    pivot waist_dart to side at 80 cm
""",
    ),
    (
        "more than the whole of an edge",
        "D412",
        "beyond the end",
        """
piece a from front
>>    pivot waist_dart to side at 3/2
""",
    ),
    (
        "a point off the edge",
        "D481",
        "does not lie on",
        """
piece a from front
>>    pivot waist_dart to side at point Q
""",
    ),
    (
        "a line that ends beside the edge",
        "D481",
        "does not end on",
        """
>>cut front from centre to side along short, seam yoke
    piece one holding waist
    piece two
""",
    ),
    (
        "a slash that ends beside the edge",
        "D481",
        "does not end on",
        """
piece a from front
>>    spread centre by 4 cm, hinged on side, along short
""",
    ),
    (
        "a dart that lies on the other part",
        "D480",
        "no dart",
        """
cut front from waist at 1/4 to hem at half, seam princess
    piece one holding centre
>>        shorten waist_dart by 1 cm
    piece two
""",
    ),
    (
        "more than the whole dart",
        "D482",
        "no part",
        """
piece a from front
>>    pivot waist_dart by 120 % to side at half, called side_dart
""",
    ),
    (
        "more than a dart takes in",
        "D482",
        "does not take in",
        """
piece a from front
>>    pivot waist_dart by room to side at half, called side_dart
""",
    ),
    (
        "a place in a corner",
        "D483",
        "no room",
        """
piece a from front
>>    pivot waist_dart to side at 0 cm
""",
    ),
    (
        "a cut from a corner's place",
        "D483",
        "no room",
        """
>>cut front from waist_dart to hem at 60 / 60, seam princess
    piece one holding centre
    piece two
""",
    ),
    (
        "a dart shortened to nothing",
        "D484",
        "cannot be shortened",
        """
piece a from front
>>    shorten waist_dart by 20 cm
""",
    ),
    (
        "a line below the dart's point",
        "D485",
        "does not cross",
        """
>>cut front from centre to side along low, closing waist_dart, seam yoke
    piece one holding waist
    piece two
""",
    ),
    (
        "darts with two points",
        "D486",
        "one point",
        """
piece a from front
    pivot waist_dart by half to side at half, called side_dart
    shorten side_dart by 2 cm
>>    pivot waist_dart into side_dart
""",
    ),
    (
        "spread by less than nothing",
        "D487",
        "less than nothing",
        """
piece a from front
>>    spread hem by 2 cm - room, hinged on waist, in 2 cuts
""",
    ),
    (
        "a pleat of no depth",
        "D487",
        "some depth",
        """
piece a from front
>>    pleats 2 on waist to hem, room - 4 cm deep
""",
    ),
    (
        "a pleat that tapers beyond nothing",
        "D487",
        "tapers to nothing at most",
        """
piece a from front
>>    pleats 2 on waist to hem, 1 cm deep, room - 6 cm deep at hem
""",
    ),
    (
        "a strip of no width",
        "D487",
        "some width",
        """
piece a from front
>>    extend centre by room - 4 cm, called strip
    cut 2
""",
    ),
    (
        "a facing of no depth",
        "D487",
        "some depth",
        """
piece a from front
>>    facing room - 4 cm deep along waist
""",
    ),
    (
        "edges of unequal length joined",
        "D488",
        "cannot be joined",
        """
foundation plain from front
    release waist_dart
piece a from plain
>>    join plain along waist to side
    cut 2
""",
    ),
    (
        "edges of unlike shape joined",
        "D488",
        "not of one shape",
        """
foundation plain from front
    release waist_dart
piece a from plain
>>    join plain along centre to side
    cut 2
""",
    ),
    (
        "an edge with a dart joined",
        "D488",
        "has darts",
        """
foundation plain from front
    release waist_dart
piece a from front
>>    join plain along waist
""",
    ),
    (
        "opened out at a curve",
        "D489",
        "not straight",
        """
piece a from front
>>    open out at side
""",
    ),
    (
        "a strip along a curve",
        "D489",
        "not straight",
        """
piece a from front
>>    extend side by 4 cm, called strip
""",
    ),
    (
        "a facing deeper than the piece",
        "D489",
        "deeper",
        """
piece a from front
>>    facing 70 cm deep along waist
""",
    ),
    (
        "a pleat turned like a dart",
        "D490",
        "cannot be turned",
        """
piece a from front
    pleats 2 on hem to waist, 2 cm deep, called fold
>>    pivot fold1 to side at half
""",
    ),
]


@pytest.mark.parametrize("code, names, lines", [mistake[1:] for mistake in MISTAKES], ids=[mistake[0] for mistake in MISTAKES])
def test_a_mistake_is_told_by_its_code_and_line(code, names, lines):
    assert_told(code, names, lines)


def test_changes_act_in_the_order_in_which_they_are_written():
    """A dart moved twice is where the second statement says; by the names that it then has."""
    pattern = pattern_of("""
piece a from front
    pivot waist_dart to side at half, called side_dart
    pivot side_dart to hem at half, called hem_dart
""")
    assert [dart.name for dart in pattern.piece("a").darts()] == ["hem_dart"]
    assert [dart.name for dart in pattern.piece("front").darts()] == ["waist_dart"]


def test_a_dart_keeps_its_name_unless_told():
    pattern = pattern_of("piece a from front\n    pivot waist_dart to side at half\n")
    assert [(dart.name, dart.press) for dart in pattern.piece("a").darts()] == [("waist_dart", "near")]
    pattern = pattern_of("piece a from front\n    pivot waist_dart to side at half, pressed toward hem\n")
    assert pattern.piece("a").darts()[0].press == "far"


def test_corners_that_a_change_makes_are_called_after_both_edges():
    pattern = pattern_of("""cut front from waist_dart to hem at half, seam princess
    piece one holding centre
        cut 1 on fold at centre
        notch on princess at 5 cm from princess_waist
    piece two
        point X princess_hem up 5 cm
""")
    one, two = pattern.piece("one"), pattern.piece("two")
    assert np.allclose(one.points["princess_hem"], two.points["princess_hem"])
    assert np.allclose(two.points["X"], two.points["princess_hem"] - [0.0, 50.0])
    assert not np.allclose(one.points["princess_waist"], two.points["princess_waist"])  # the two feet of the dart
    assert [edge.name for edge in one.edges] == ["centre", "waist", "princess", "hem"]


def test_one_part_of_a_cut_may_be_left_out():
    pattern = pattern_of("""cut front from waist_dart to hem at half, seam princess
    piece one holding centre
""")
    assert [piece.name for piece in pattern.pieces] == ["one"] and pattern.seams == ()


def test_the_seam_of_a_cut_is_sewn_without_being_told_and_only_once():
    pattern = pattern_of("""cut front from waist_dart to hem at half, seam princess
    piece one holding centre
    piece two
""")
    assert [(seam.one, seam.other) for seam in pattern.seams] == [((("one", "princess"),), (("two", "princess"),))]


def test_a_dart_of_an_edge_that_is_cut_goes_with_the_part_where_it_lies():
    """Which part that is may differ between bodies; neither fails for it."""
    pattern = pattern_of("""cut front from waist at 1/4 to hem at half, seam princess
    piece one holding centre
    piece two
        shorten waist_dart by 1 cm
        point Y waist_dart_point down 1 cm
""")
    assert pattern.piece("one").darts() == [] and [dart.name for dart in pattern.piece("two").darts()] == ["waist_dart"]
    two = pattern.piece("two")
    assert np.allclose(two.points["Y"], two.darts()[0].point + [0.0, 10.0])


def test_a_piece_drawn_and_changed_at_once():
    pattern = pattern_of("""recipe panel (wide length)
    point A start
    point B A across wide
    point C A down 60 cm
    point D B down 60 cm
    line centre A to C
    line waist A to B
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
piece a from panel(20 cm)
    spread hem by 8 cm, hinged on waist, in 2 cuts
piece b from panel(20 cm)
""")
    assert (pattern.piece("a").edge("hem").closed_length() > 270.0).all()
    assert np.allclose(pattern.piece("a").edge("waist").closed_length(), 200.0)
    assert np.allclose(pattern.piece("b").edge("hem").closed_length(), 200.0)


def test_a_foundation_is_not_cut_and_counts_in_no_girth():
    pattern = pattern_of("piece a from front\n    shorten waist_dart by 1 cm\n")
    assert [piece.name for piece in pattern.pieces] == ["a"] and [piece.name for piece in pattern.foundations] == ["front"]


LATE = """foundation again from front
    point late along side from D by 25 cm
    point inner A across 6 cm, down 14 cm
    point low D
    mark "pocket" late to inner
    dart at inner, called fish
        intake 1 cm
        points 4 cm above it, 5 cm below it
"""


def test_what_a_derived_piece_says_besides_is_there_in_the_next():
    """Points, corners called anew, marks and darts within it, however many pieces on."""
    pattern = pattern_of(LATE + "foundation third from again\npiece fourth from third\n    cut 2\n")
    again, fourth = next(piece for piece in pattern.foundations if piece.name == "again"), pattern.piece("fourth")
    for name in ("late", "inner", "low", "fish_upper", "fish_far"):
        assert np.allclose(fourth.points[name], again.points[name])
    assert [mark.name for mark in fourth.marks] == ["pocket"]
    assert [(dart.name, *dart.asked) for dart in fourth.inner] == [("fish", 10.0, 10.0)]


def test_a_change_carries_the_points_that_the_piece_before_it_added():
    """On the part that turns they keep their distances to its corners; the other part has not moved."""
    pattern = pattern_of(LATE + "piece turned from again\n    pivot waist_dart to side at point late, called side_dart\n")
    again, turned = next(piece for piece in pattern.foundations if piece.name == "again"), pattern.piece("turned")
    assert np.allclose(turned.points["inner"], again.points["inner"])
    assert np.allclose(turned.points["low"], turned.points["D"])
    side_dart = turned.darts()[0]
    reach = np.hypot(*(again.points["late"] - again.points["P"]).T)
    for foot in (side_dart.near_foot, side_dart.far_foot):
        assert np.allclose(np.hypot(*(foot - turned.points["P"]).T), reach)


def test_a_part_of_a_cut_has_the_points_that_the_piece_before_it_added():
    pattern = pattern_of(
        LATE
        + """cut again from D to centre at 40 cm from A, seam slant
    piece upper holding waist
        cut 2
"""
    )
    again = next(piece for piece in pattern.foundations if piece.name == "again")
    assert np.allclose(pattern.piece("upper").points["late"], again.points["late"])
