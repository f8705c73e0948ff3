"""Notches that come by themselves, by hand on strips of straight edges; those that a style states, moves and silences."""

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.diagnostics import has_errors, render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

STRIP = """language 1
style strips "Strips"
recipe panel(long length, deep length)
    point A start
    point B A across long
    point C A down deep
    point D B down deep
    line top A to B
    line right B to D
    line low C to D
    line left A to C
    outline top, right, low, left
    point P along low from C by long / 8
    point Q along low from C by long * 85 %
"""


def notched(text: str):
    """(piece, edge) -> [(kind, how far along the edge)], in mm to the hundredth."""
    style, said = read(Source("strips.style", STRIP + text), FolderWorld())
    assert style is not None and not has_errors(said), "\n".join(map(render, said))
    (one,) = draft(style, {}, bodies=1)
    assert not [failure for failure in one.failures if failure.severity == "error"], [f.diagnostic(0).title for f in one.failures]
    places: dict[tuple[str, str], list[tuple[str, float]]] = {}
    for piece in finish(one.pattern)[0].pieces:
        for notch in piece.notches:
            if np.isfinite(notch.on_stitch[0]).all():
                assert notch.at is not None
                places.setdefault((piece.piece.name, notch.edge), []).append((notch.kind, round(float(notch.at[0]), 2)))
    return {place: sorted(notches, key=lambda notch: notch[1]) for place, notches in places.items()}


def pair(long: str, how: str = "", more: str = "", other: str = "", worn: str = ""):
    """What two strips that are sewn along their long edges, one upside down, are marked with."""
    text = f"piece one from panel({long}, 5 cm)\n{more}{worn}piece two from panel({other or long}, 5 cm)\n{worn}sew one.low to two.top{how}\n"
    places = notched(text)
    return places.get(("one", "low"), []), places.get(("two", "top"), [])


def test_a_seam_of_less_than_15_cm_has_none_and_one_of_15_has_one_not_in_its_middle():
    assert pair("149 mm") == ([], [])
    (one,), (two,) = pair("20 cm")
    assert {one[1], two[1]} == {110.0, 90.0}, "0.55 of 20 cm from where it begins; the outline runs the other way on the other"


def test_where_more_than_45_cm_are_between_marks_more_are_set():
    for long in ("44 cm", "81 cm"):
        assert [len(marks) for marks in pair(long)] == [1, 1]
    one, _ = pair("150 cm")
    gaps = np.diff([0.0, *(at for _, at in one), 1500.0])
    assert len(one) == 3 and gaps.max() <= 450.0


def test_what_is_worn_behind_has_two_a_centimetre_apart():
    one, two = pair("20 cm", worn="    worn behind\n")
    assert np.diff([at for _, at in one]).tolist() == [10.0] and len(two) == 2
    assert [len(marks) for marks in pair("20 cm", worn="    worn in front\n")] == [1, 1]


def test_what_a_style_states_has_its_fellow_and_stands_for_what_comes_by_itself():
    one, two = pair("20 cm", more="    notch on low at 3 cm from C\n")
    assert [kind for kind, _ in (*one, *two)] == ["stated", "stated"]
    assert {at for _, at in (*one, *two)} == {170.0, 30.0}, "3 cm from the end at C on the one, so far from A on the other"


def test_a_stated_notch_that_has_one_has_no_other():
    one, two = pair("20 cm", more="    notch on low at 3 cm from C\n")
    text = "    notch on low at 3 cm from C\n"
    places = notched(
        f"piece one from panel(20 cm, 5 cm)\n{text}piece two from panel(20 cm, 5 cm)\n"
        "    notch on top at 31 mm from A\nsew one.low to two.top\n"
    )
    assert places["one", "low"] == one and [kind for kind, _ in places["two", "top"]] == ["stated"]


def test_a_seam_can_be_silenced():
    assert pair("20 cm", ", without notches") == ([], [])
    one, two = pair("20 cm", ", without notches", more="    notch on low at 3 cm from C\n")
    assert len(one) == 1 and two == []


def test_an_eased_seam_is_eased_between_its_notches():
    one, two = pair("21 cm", ", easing 1 cm", other="20 cm")
    assert [at for _, at in one] == [50.0, 160.0] and [at for _, at in two] == [50.0, 150.0], "a quarter of 20 cm from either end"


def test_stated_notches_bound_the_ease():
    one, two = pair("21 cm", ", easing 1 cm", other="20 cm", more="    notch on low at 4 cm from C\n    notch on low at 3 cm from D\n")
    assert [at for _, at in one] == [30.0, 170.0] and [at for _, at in two] == [40.0, 170.0]


def test_a_gathered_seam_has_its_notches_at_the_same_parts():
    one, two = pair("40 cm", ", gathered", other="20 cm")
    assert [at for _, at in one] == [200.0] and [at for _, at in two] == [100.0]


def test_a_stretch_left_open_is_notched_at_its_ends():
    one, two = pair("20 cm", ", leaving open one.P to one.Q")
    assert [kind for kind, _ in one] == ["open", "open"] and [at for _, at in one] == [30.0, 175.0]
    assert [at for _, at in two] == [25.0, 170.0]


ONTO = """piece a from panel(10 cm, 5 cm)
    cut 1
piece b from panel(17 cm, 5 cm)
    cut 1
piece c from panel({c} cm, 5 cm)
    cut 1
piece d from panel({d} cm, 5 cm)
    cut 1
sew a.right to b.left
sew c.right to d.left
sew a.low and b.low to c.top and d.top
"""


@pytest.mark.parametrize(("c", "joints_ab", "joints_cd"), [(14, [("b", 40.0)], [("c", 100.0)]), (10, [], [])])
def test_edges_that_end_within_each_other_are_notched_there(c, joints_ab, joints_cd):
    """10 and 17 cm are sewn to 14 and 13: the first ends 10 cm along the third, and that 4 cm along the second."""
    places = notched(ONTO.format(c=c, d=27 - c))
    from_left = {
        (piece, edge): [at if edge == "top" else {"a": 100.0, "b": 170.0}[piece] - at for kind, at in marks if kind == "joint"]
        for (piece, edge), marks in places.items()
    }
    assert [(piece, at) for (piece, edge), marks in from_left.items() if edge == "low" for at in marks] == joints_ab
    assert [(piece, at) for (piece, edge), marks in from_left.items() if edge == "top" for at in marks] == joints_cd


RING = """use waistbands
piece front from panel(20 cm, 50 cm)
    cut 1 on fold at left
    worn in front
piece back from panel(22 cm, 50 cm)
    cut 2
    worn behind
    {zip}
piece band from straight_band(84 cm, 3 cm, 3 cm)
sew front.right to back.right
sew back.left to back.left
sew front.top and back.top to band.lower
"""


def test_a_waistband_has_its_sides_its_centre_and_the_place_where_it_opens():
    """From the underlap: half the back, the side, the front with its fold, the side, half the back; one in front, two behind."""
    band = notched(RING.format(zip="zip on left from A to C"))["band", "lower"]
    assert [(kind, at) for kind, at in band if kind in ("joint", "end")] == [
        ("end", 0.0),
        ("joint", 220.0),
        ("joint", 420.0),
        ("joint", 620.0),
    ]
    balance = [at for kind, at in band if kind == "balance"]
    assert [len([at for at in balance if low < at < high]) for low, high in ((0, 220), (220, 420), (420, 620), (620, 840))] == [
        2,
        1,
        1,
        2,
    ]
    np.testing.assert_allclose(balance, 840.0 - np.array(balance[::-1]), err_msg="both halves alike")


ARMHOLE = """piece front from panel(20 cm, 5 cm)
    cut 2
    worn in front
piece back from panel(22 cm, 5 cm)
    cut 2
    worn behind
piece cap from panel(44 cm, 5 cm)
    cut 2
sew front.right to back.right
sew front.left to back.left
sew cap.left to cap.right
sew cap.low to {listed}, easing 2 cm
"""


@pytest.mark.parametrize(("listed", "in_front"), [("front.top and back.top", 1), ("back.top and front.top", 2)])
def test_where_nothing_else_tells_the_edge_listed_first_lies_at_the_start(listed, in_front):
    """Two rings, as an armhole and a cap: one notch in front, two behind, one where the front ends; all the ease between."""
    places = notched(ARMHOLE.format(listed=listed))
    cap = places["cap", "low"]
    (joint,) = [at for kind, at in cap if kind == "joint"]
    balance = [at for kind, at in cap if kind == "balance"]
    assert len([at for at in balance if at < joint]) == in_front and len(balance) == 3
    first, last = (200.0, 220.0) if in_front == 1 else (220.0, 200.0)
    assert min(balance) == pytest.approx(0.4 * first - (0.0 if in_front == 1 else 10.0), abs=0.01) and 440.0 - max(
        balance
    ) == pytest.approx(0.4 * last - (10.0 if in_front == 1 else 0.0))
    assert joint == pytest.approx(0.4 * first + 0.6 * first * (1 + 20.0 / (0.6 * 420.0)), abs=0.01)


def test_notches_that_a_style_states_on_both_sides_must_meet():
    def cautions(place: str) -> list[tuple[str, str]]:
        text = (
            "piece one from panel(20 cm, 5 cm)\n    notch on low at 3 cm from C\n"
            f"piece two from panel(20 cm, 5 cm)\n    notch on top at {place} from A\nsew one.low to two.top\n"
        )
        (one,) = draft(read(Source("strips.style", STRIP + text), FolderWorld())[0], {}, bodies=1)
        return [(failure.code, failure.diagnostic(0).found) for failure in one.failures]

    assert cautions("3 cm") == cautions("30.4 mm") == cautions("36 mm") == []
    assert cautions("33 mm") == [("D570", "0.3 cm between them")]


def test_the_seam_of_a_cut_can_be_silenced():
    text = "foundation whole from panel(40 cm, 20 cm)\ncut whole from left at half to right at half, seam across{how}\n"
    text += "    piece upper holding top\n    piece under holding low\n"
    assert ("upper", "across") in notched(text.format(how=""))
    assert ("upper", "across") not in notched(text.format(how=", without notches"))


def two_piece(listed: str, how: str = "") -> str:
    """The armhole with a cap in two pieces: 18 cm under, 26 cm above, sewn to each other at both ends."""
    text = ARMHOLE.replace(
        "piece cap from panel(44 cm, 5 cm)", "piece under from panel(18 cm, 5 cm)\n    cut 2\npiece cap from panel(26 cm, 5 cm)"
    )
    text = text.replace("sew cap.left to cap.right", "sew cap.left to under.left\nsew cap.right to under.right")
    return text.replace("sew cap.low to {listed}", f"sew {listed} to front.top and back.top").rstrip() + how + "\n"


def test_two_rings_of_several_edges_have_none_since_nothing_tells_where_they_begin():
    style, _ = read(Source("strips.style", STRIP + two_piece("cap.low and under.low")), FolderWorld())
    assert [(failure.code, failure.severity) for failure in draft(style, {}, bodies=1)[0].failures] == [("D616", "note")]
    places = notched(two_piece("cap.low and under.low"))
    assert not {("cap", "low"), ("under", "low"), ("front", "top"), ("back", "top")} & set(places)


@pytest.mark.parametrize(
    ("listed", "front_on", "back_on", "sides"),
    [
        # From P on the under cap to its right, 157.5; the cap, 260; the under cap from its left to P, 22.5.
        (
            "cap.low and under.low",
            ("under", [157.5 - 80.0]),
            ("cap", [440.0 - 157.5 - 88.0, 440.0 - 157.5 - 78.0]),
            {"front": 80.0 + 77.5 / 1.0793650794, "back": 22.5},
        ),
        # The other way round: to its left, 22.5; the cap, 260; and its right.
        (
            "under.low and cap.low",
            ("cap", [260.0 - (80.0 - 22.5)]),
            ("under", [157.5 - 88.0, 157.5 - 78.0]),
            {"front": 22.5, "back": 88.0 + 69.5 / 1.0793650794},
        ),
    ],
)
def test_two_rings_of_several_edges_begin_where_the_style_matches_them(listed, front_on, back_on, sides):
    """20 cm in front and 22 behind, two fifths of either sewn plainly, 2 cm eased over the 25.2 cm between."""
    places = notched(two_piece(listed, ", matching under.P to front.A"))
    assert [at for kind, at in places["front", "top"] if kind == "balance"] == [80.0]
    assert [at for kind, at in places["back", "top"] if kind == "balance"] == [78.0, 88.0]
    for piece, expected in (front_on, back_on):
        np.testing.assert_allclose([at for kind, at in places[piece, "low"] if kind == "balance"], expected, atol=0.01)
    (underarm,) = [at for kind, at in places["under", "low"] if kind == "joint"]
    (shoulder,) = [at for kind, at in places["cap", "low"] if kind == "joint"]
    assert underarm == 157.5, "where the side of the armhole ends"
    begin = 157.5 if listed.startswith("cap") else 22.5
    over = 80.0 + 120.0 * 1.0793650794 - begin
    assert shoulder == pytest.approx(over if listed.startswith("cap") else 260.0 - over, abs=0.01)
    for piece, nearer in sides.items():
        found = [at for kind, at in places[piece, "top"] if kind == "joint"]
        assert found == [pytest.approx(nearer, abs=0.01)], piece


def test_a_single_cap_may_be_matched_as_well():
    plain = notched(ARMHOLE.format(listed="front.top and back.top"))
    told = notched(ARMHOLE.format(listed="front.top and back.top").rstrip() + ", matching cap.C to front.A\n")
    assert plain == told
    turned = notched(ARMHOLE.format(listed="front.top and back.top").rstrip() + ", matching cap.C to front.B\n")
    assert [at for kind, at in turned["front", "top"] if kind == "balance"] == [120.0], "begun at the shoulder instead"


@pytest.mark.parametrize(
    ("how", "code"),
    [
        ("front.A to back.A", "N370"),
        ("under.P to cap.P", "N370"),
        ("under.P to underarm", "N370"),
        ("under.P to front.nowhere", "N201"),
        ("under.A to front.A", "D481"),
    ],
)
def test_what_cannot_be_matched(how, code):
    style, said = read(Source("strips.style", STRIP + two_piece("cap.low and under.low", f", matching {how}")), FolderWorld())
    found = [one.code for one in said] or [failure.code for failure in draft(style, {}, bodies=1)[0].failures]
    assert found == [code]


def test_what_is_matched_in_vain_is_a_caution():
    text = two_piece("cap.low and under.low", ", matching under.P to front.A").replace("sew cap.left to under.left\n", "")
    style, _ = read(Source("strips.style", STRIP + text), FolderWorld())
    assert [(failure.code, failure.severity) for failure in draft(style, {}, bodies=1)[0].failures] == [("D615", "caution")]
