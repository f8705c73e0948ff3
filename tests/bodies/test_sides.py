"""Cards with sides and with several measurings: what holds, what is told, and that an even body is as it was.

The sums are made here by fractions of an inch or by whole millimetres, never by the reader's own.
"""

import math
from dataclasses import replace
from datetime import date
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.bodies.card import read_card, write_card
from tapeline.bodies.measurement import EACH, HALVES
from tapeline.bodies.measurings import LATEST, When
from tapeline.source.diagnostics import render
from tapeline.source.text import Source

MANY = settings(max_examples=100, deadline=None)
EVEN = '[measures]\nwaist = "72 cm"\nhip = "98 cm"\nwaist_to_hip = "20 cm"\nshoulder_slope = "20 deg"\n'


@pytest.fixture
def card_of(known, doubts):
    def read(text, when=LATEST):
        card, diagnostics = read_card(Source("ada.toml", text), known, doubts, when=when)
        assert all(render(one) and len(one.title) <= 60 for one in diagnostics)
        return card, [(one.code, one.span.line, one.span.text) for one in diagnostics]

    return read


def test_halves_add_up_and_the_other_half_is_the_rest(card_of):
    for text in (
        '[left]\nwaist = "37 cm"\n[right]\nwaist = "35 cm"\n[measures]\nhip = "98 cm"\n',
        '[measures]\nwaist = "72 cm"\nhip = "98 cm"\n[left]\nwaist = "37 cm"\n',
        '[measures]\nwaist = "72 cm"\nhip = "98 cm"\n[right]\nwaist = "35 cm"\n',
        '[measures]\nwaist = "72 cm"\nhip = "98 cm"\n[left]\nwaist = "37 cm"\n[right]\nwaist = "35 cm"\n',
    ):
        card, said = card_of(text)
        assert said == [] and card.values == {"waist": 720.0, "hip": 980.0} and card.sides == {"waist": (740.0, 700.0)}
        assert card.written["waist"] == "37 cm left, 35 cm right"


def test_a_side_of_its_own_stands_beside_the_figure_of_the_body(card_of):
    card, said = card_of(EVEN + '[left]\nwaist_to_hip = "18.5 cm"\nshoulder_slope = "24 deg"\n')
    assert said == [] and card.sides["waist_to_hip"] == (185.0, 200.0) and card.values["waist_to_hip"] == 192.5
    assert card.sides["shoulder_slope"] == pytest.approx((0.418879, 0.349066), abs=1e-6)
    assert card.sides.keys() == {"waist_to_hip", "shoulder_slope"} and card.written["waist_to_hip"] == "18.5 cm left, 20 cm right"
    both, said = card_of('[left]\nwaist_to_hip = "18.5 cm"\n[right]\nwaist_to_hip = "20 cm"\n')
    assert said == [] and both.sides["waist_to_hip"] == (185.0, 200.0)


def test_every_measure_of_the_library_says_what_its_sides_are(known):
    """By what it is: limbs and lengths at the side each, girths of the trunk and what is taken across by halves."""
    trunk = {"neck", "shoulder_girth", "high_bust", "bust", "underbust", "waist", "high_hip", "hip"}
    across = {"shoulder_width", "across_back", "across_front", "bust_span"}
    assert {name for name, one in known.items() if one.sides == HALVES} == trunk | across
    centre = {"head", "crotch_length", "nape_to_waist", "centre_front_length", "nape_to_bust", "height", "nape_height"}
    centre |= {"waist_to_floor_front", "waist_to_floor_back"}
    assert {name for name, one in known.items() if one.sides == EACH} == known.keys() - trunk - across - centre
    for one in known.values():
        assert 0.0 < one.steady < 60.0 and (0.0 < one.unlike < 60.0 if one.sides else one.unlike == math.inf)


@MANY
@given(st.integers(16 * 9, 16 * 33), st.integers(16 * 3, 16 * 12), st.booleans())
def test_a_card_whose_sides_are_equal_is_as_the_one_without(half_waist, depth, whole_too):
    """In sixteenths of an inch, so that every half is written out exactly."""
    from tapeline.session import Session

    known = Session().read('language 1\nstyle none "None"\n').sound.measurements
    inches = lambda parts: f"{parts // 16} {Fraction(parts % 16, 16)} in".replace(" 0 in", " in")  # noqa: E731
    plain = f'name = "Ada"\n[measures]\nwaist = "{inches(2 * half_waist)}"\nwaist_to_hip = "{inches(depth)}"\n'
    sides = "".join(f'[{side}]\nwaist = "{inches(half_waist)}"\nwaist_to_hip = "{inches(depth)}"\n' for side in ("left", "right"))
    one, _ = read_card(Source("ada.toml", plain), known)
    other, said = read_card(Source("ada.toml", (plain if whole_too else 'name = "Ada"\n') + sides), known)
    assert said == [] and other.sides == {}
    assert (other.name, other.values, other.unit, other.measured) == (one.name, one.values, one.unit, None)


def test_papers_of_a_card_whose_sides_are_equal_are_those_of_the_card_without():
    """The whole way, to the bytes."""
    from tapeline.session import Session
    from tapeline.source.world import standard_folder

    folder = standard_folder("styles")
    plain = (folder / "bodies" / "maud.toml").read_text(encoding="utf-8")
    hip = 'hip = "55.25 cm"\n'
    sides = f'{plain}\n[left]\n{hip}waist_to_hip = "20.5 cm"\n[right]\n{hip}waist_to_hip = "20.5 cm"\n'
    reading = Session(keep=True).read(folder / "a_line_skirt.style")
    one, other = (next(iter(reading.draft([text]))).papers(("svg", "list")) for text in (plain, sides))
    assert one == other


@pytest.mark.parametrize(
    "text, expected",
    [
        (EVEN + '[left]\nnape_to_waist = "40 cm"\n', ("B140", 7, "nape_to_waist")),
        ('[left]\nwaist_to_hip = "19 cm"\n', ("B141", 2, '"19 cm"')),
        ('[right]\nwaist = "36 cm"\n', ("B141", 2, '"36 cm"')),
        (EVEN + '[left]\nwaist = "36 cm"\n[right]\nwaist = "37 cm"\n', ("B142", 2, '"72 cm"')),
        (EVEN + '[left]\nwaist = "72 cm"\n', ("B142", 2, '"72 cm"')),
        (EVEN + '[left]\nwaist_to_hip = "21 cm"\n[right]\nwaist_to_hip = "22 cm"\n', ("B142", 4, '"20 cm"')),
        (EVEN + '[left]\nwaist_to_hip = "25 cm"\n', ("B143", 7, '"25 cm"')),
        (EVEN + '[left]\nwaist = "40 cm"\n', ("B143", 7, '"40 cm"')),
        (EVEN + '[left]\nwaist = "16 cm"\n', ("B108", 7, '"16 cm"')),
        (EVEN + '[left]\nshoulder_slope = "24"\n', ("B105", 7, '"24"')),
        (EVEN + '[left]\nwaist_to_hop = "24 cm"\n', ("B104", 7, "waist_to_hop")),
        ("left = 3\n" + EVEN, ("B103", 1, "left")),
        ('measured = "4 May"\n' + EVEN, ("B145", 1, '"4 May"')),
        (EVEN + '[measures.2024-13-01]\nwaist = "73 cm"\n', ("B145", 6, "measures.2024-13-01")),
        (EVEN + '2024-05-04 = "73 cm"\n', ("B145", 6, "2024-05-04")),
        ('measured = "2024-05-04"\n' + EVEN + '[left.2024-05-04]\nwaist = "36 cm"\n', ("B145", 7, "left.2024-05-04")),
        (EVEN + '[measures.2024-05-18]\nwaist_to_hip = "26 cm"\n', ("B144", 7, '"26 cm"')),
        ('measured = "2024-05-04"\n' + EVEN + '[measures.2024-05-18]\nwaist = "78 cm"\n', ("B144", 8, '"78 cm"')),
        (EVEN + '[left]\nwaist = "37 cm"\n[measures.2024-05-18]\nwaist = "73 cm"\n', ("B149", 9, '"73 cm"')),
    ],
)
def test_what_is_wrong_with_sides_and_days(card_of, text, expected):
    assert card_of(text)[1][0] == expected
    assert {code for code, _, _ in card_of(text)[1]} == ({"B108", "B109", "B143"} if expected[0] == "B108" else {expected[0]})


def test_doubts_are_asked_of_both_sides(card_of):
    """The waist of the body is smaller than the hip, and that of a body with two such left sides is not."""
    text = '[measures]\nwaist = "72 cm"\nhip = "74 cm"\nthigh = "50 cm"\n[left]\nwaist = "37.5 cm"\n'
    assert ("B109", 3, '"74 cm"') in card_of(text)[1]
    assert card_of(text.replace("37.5", "36.5"))[1] == []


def test_what_is_accepted_with_a_reason_is_not_asked(card_of):
    text = EVEN + '[left]\nwaist_to_hip = "25 cm"\n[accept]\nwaist_to_hip = "a short leg"\n'
    assert card_of(text)[1] == []
    grown = EVEN + '[measures.2024-05-18]\nwaist_to_hip = "26 cm"\n[accept]\nwaist_to_hip = "taken anew"\n'
    assert card_of(grown)[1] == []
    assert card_of(grown.replace("26 cm", "21 cm"))[1] == [("B110", 9, "waist_to_hip")]


def test_the_latest_measuring_up_to_a_day_counts(card_of):
    text = 'measured = "2024-05-04"\n' + EVEN + '[left]\nwaist = "37 cm"\n'
    text += '[measures.2024-08-01]\nwaist = "73 cm"\n[accept]\nwaist = "she lost the bulge"\n[left.2024-11-30]\nwaist = "38 cm"\nwaist_to_hip = "19 cm"\n'
    first, _ = card_of(text, When(date(2024, 7, 31)))
    second, _ = card_of(text, When(date(2024, 8, 1)))
    latest, _ = card_of(text)
    assert (first.measured, first.values["waist"], first.sides) == (date(2024, 5, 4), 720.0, {"waist": (740.0, 700.0)})
    assert (second.measured, second.values["waist"], second.sides) == (date(2024, 8, 1), 730.0, {})
    assert (latest.measured, latest.values["waist"]) == (date(2024, 11, 30), 745.0)
    assert latest.sides == {"waist": (760.0, 730.0), "waist_to_hip": (190.0, 200.0)}
    assert card_of(text, When(date(2024, 7, 31)))[1] == [("B150", 9, "measures.2024-08-01")]
    assert card_of(text, When(date(2024, 11, 30)))[1] == card_of(text)[1] == []
    assert first.values["hip"] == second.values["hip"] == latest.values["hip"] == 980.0
    assert card_of(text, When(date(2024, 8, 1), True))[0] == second
    for when in (When(date(2024, 5, 3)), When(date(2024, 8, 2), True)):
        assert card_of(text, when)[1] == [("B146", 1, '"2024-05-04"')]


def test_a_girth_may_move_with_the_time_and_a_length_may_not(card_of):
    later = lambda day, row: 'measured = "2024-05-04"\n' + EVEN + f"[measures.{day}]\n{row}\n"  # noqa: E731
    assert card_of(later("2024-06-01", 'waist = "76.9 cm"'))[1] == []
    assert [code for code, _, _ in card_of(later("2024-06-01", 'waist = "77.1 cm"'))[1]] == ["B144"]
    assert card_of(later("2024-08-04", 'waist = "86 cm"'))[1] == []  # three months: 15 cm
    assert [code for code, _, _ in card_of(later("2034-08-04", 'waist_to_hip = "23.1 cm"'))[1]] == ["B144"]


@MANY
@given(st.lists(st.sampled_from(["measures", "left", "right"]), min_size=1, max_size=4), st.integers(0, 3), st.booleans())
def test_a_card_with_days_and_sides_is_written_and_read_the_same(sides, extra, dated):
    from tapeline.session import Session

    known = Session().read('language 1\nstyle none "None"\n').sound.measurements
    text = 'measured = "2024-01-31"\n' if dated else ""
    text += EVEN + "".join(
        f'[{side}.2024-0{number + 2}-15]\nhip = "{98 + extra if side == "measures" else 49 + extra} cm"\nheel = "9 cm"\n'
        for number, side in enumerate(sides)
    )
    card, said = read_card(Source("ada.toml", text), known)
    again, _ = read_card(Source("ada.toml", write_card(replace(card))), known)
    assert again == card and not [one for one in said if one.severity == "error"]
    assert len(card.measurings) == 1 + len(sides)
