"""Near names: cases by hand, and the laws of an edit distance."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeline.source.suggest import did_you_mean, distance, nearest

KNOWN = ["waist", "wrist", "bust", "hip", "waist_to_hip", "waist_to_knee", "A", "B1"]
short = st.text("abcd", max_size=7)


@pytest.mark.parametrize(
    "one, other, edits",
    [
        ("", "abc", 3),
        ("kitten", "sitting", 3),
        ("waist", "wiast", 1),
        ("waist", "waits", 1),
        ("hip", "hips", 1),
        ("ca", "abc", 3),  # 3 and not 2: each place is edited once, which is what sets this distance apart
    ],
)
def test_known_distances(one, other, edits):
    assert distance(one, other) == edits


@given(short, short)
def test_distance_is_even_handed_and_bounded(one, other):
    far = distance(one, other)
    assert far == distance(other, one)
    assert (far == 0) == (one == other)
    assert abs(len(one) - len(other)) <= far <= max(len(one), len(other))


@given(short, st.integers(0, 6), st.sampled_from("abcd"))
def test_one_slip_is_one_edit(word, at, letter):
    assert distance(word, word[:at] + letter + word[at:]) == 1


@pytest.mark.parametrize(
    "written, names",
    [
        ("wiast", ["waist", "wrist"]),
        ("WAIST", ["waist"]),
        ("Waist To Hip", ["waist_to_hip"]),
        ("waisttoknee", ["waist_to_knee"]),
        ("hpi", ["hip"]),
        ("a", ["A"]),
        ("b", []),
        ("x", []),
        ("", []),
        ("collar", []),
        ("waist", ["waist"]),
    ],
)
def test_nearest(written, names):
    assert nearest(written, KNOWN) == names


def test_limit_and_order():
    assert nearest("dart1", ["dart4", "dart3", "dart2", "dart"], limit=3) == ["dart4", "dart3", "dart2"]


def test_words():
    assert did_you_mean("hpi", KNOWN) == 'Did you mean "hip"?'
    assert did_you_mean("wiast", KNOWN) == 'Did you mean "waist" or "wrist"?'
    assert did_you_mean("dart1", ["dart2", "dart3", "dart"]) == 'Did you mean "dart2", "dart3" or "dart"?'
    assert did_you_mean("collar", KNOWN) == ""
    assert did_you_mean("front_neck_to_waist", ["neck", "centre_front_length"]) == 'It is now called "centre_front_length".'
    assert did_you_mean("front_neck_to_waist", ["front_neck_to_waste"]) == 'Did you mean "front_neck_to_waste"?'


@given(st.text(max_size=12), st.lists(st.text(max_size=8), max_size=6))
def test_any_text_has_near_names_or_none(name, known):
    found = nearest(name, known)
    assert len(found) <= 3 and set(found) <= set(known)
