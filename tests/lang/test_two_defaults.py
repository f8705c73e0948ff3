"""A choice with a default for centimetres and one for inches: which counts is told by the unit that the papers are asked for in,
alike for a card, sizes, arrays, a probe and its proofs, the worked examples, and at the forks of the style."""

from __future__ import annotations

import json

import numpy as np
import pytest

import tapeline
from tapeline.making.choices import choices_of
from tapeline.meaning.style import check
from tapeline.paper.house.house import House
from tapeline.probing.proving import FALSE, PROVED, prove
from tapeline.probing.spread import variables_of
from tapeline.probing.trial import Trial
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

STRIP = """language 1
style strip "Strip"
measure hip
choose wide {wide} "how wide"
piece strip "Strip"
    point A start
    point B A across hip / 4
    point C A down wide
    point D B down wide
    line l A to C
    line t A to B
    line r B to D
    line b C to D
    outline l, t, r, b
    when wide more than 50.5 mm
        mark "over 50.5 mm" A to D
"""
BOTH = STRIP.format(wide="5 cm or 2 in from 4 cm to 3 in")
READING = tapeline.Session(tapeline.MemoryWorld(tapeline.standard_texts())).read(BOTH)
CM, INCHES = {"hip": "100 cm"}, '[measures]\nhip = "40 in"\n'


def widths(drafts):
    return [json.loads(draft.papers(())["pattern.json"])["choices"]["wide"] for draft in drafts]


def test_each_card_has_the_default_of_its_own_unit():
    drafts = READING.draft({"a": CM, "b": INCHES})
    assert widths(drafts) == [50.0, 50.8]
    assert [bool(draft.draft.pattern.pieces[0].marks) for draft in drafts] == [False, True]  # a fork goes by it too
    assert [json.loads(draft.papers(())["pattern.json"])["defaults"] for draft in drafts] == ["cm", "in"]


@pytest.mark.parametrize("unit, wide", [("cm", 50.0), ("mm", 50.0), ("in", 50.8)])
def test_the_unit_asked_for_and_that_of_the_house_go_before(unit, wide):
    assert widths(READING.draft([CM], unit=unit)) == widths(READING.draft([INCHES], unit=unit)) == [wide]
    assert widths(READING.draft([CM], house=House(unit=unit))) == widths(READING.draft([INCHES], house=House(unit=unit))) == [wide]


def test_what_is_set_goes_before_both():
    assert widths(READING.draft([INCHES], ["wide=6 cm"])) == [60.0]


def test_sizes_have_one_default():
    table = "size,hip [in]\n8,38\n10,40\n"
    assert widths(READING.draft_sizes(Source("sizes.csv", table)).bodies) == [50.8, 50.8]


def test_arrays_and_bodies_spread_over_ranges():
    hips = {"hip": np.array([900.0, 1000.0])}
    for unit, wide in (("cm", 50.0), ("in", 50.8)):
        (whole,) = READING.draft_arrays(hips, unit=unit)
        np.testing.assert_allclose(whole.draft.pattern.piece("strip").points["C"][:, 1], wide)
        usual = {variable.name: variable.usual for variable in variables_of(READING.sound, {}, unit)}
        assert usual["wide"] == wide


@pytest.mark.parametrize("unit, state", [("cm", FALSE), ("in", PROVED)])
def test_a_proof_is_of_the_default_of_its_unit(unit, state):
    text = STRIP.format(wide="5 cm or 2 in") + 'require wide + hip - hip at least 2 in "too narrow"\n'
    style = check(Source("strip.style", text), FolderWorld()).style
    variables = variables_of(style, {}, unit)
    trial, middle = Trial(style, variables, {}, unit), np.array([variable.usual for variable in variables])
    found = {proof.claim.code: proof.declared.state for proof in prove(style, variables, {}, trial, middle, None)}
    assert found["D460"] == state


@pytest.mark.parametrize("hip, wide", [("100 cm", "5 cm"), ("40 in", "2 in")])
def test_an_example_goes_by_the_unit_that_it_writes_first(hip, wide):
    text = BOTH + f'example "so"\n    given hip {hip}\n    expect length of strip.l is {wide} within 0.01 mm\n'
    examined = tapeline.Session(tapeline.MemoryWorld(tapeline.standard_texts())).read(text).examples()
    assert examined == (1, [])


@pytest.mark.parametrize("written", ["2 in or 5 cm", "5 cm or 2 in", "50 mm or (1 in + 1 in)"])
def test_they_stand_in_any_order(written):
    style = check(Source("strip.style", STRIP.format(wide=written)), FolderWorld()).style
    assert choices_of(style)["wide"].inches is not None
    for unit, wide in (("cm", 50.0), ("in", 50.8)):
        assert {variable.usual for variable in variables_of(style, {}, unit) if variable.choice} <= {wide}


@pytest.mark.parametrize("written", ["5 cm or 4 cm", "2 in or 3 in", "5 cm or 2 in or 1 in", "hip / 20 or 2 in"])
def test_two_that_cannot_be_told_apart_are_refused(written):
    checked = check(Source("strip.style", STRIP.format(wide=written)), FolderWorld())
    assert "N340" in {one.code for one in checked.diagnostics}


def test_both_lie_in_the_range():
    checked = check(Source("strip.style", STRIP.format(wide="5 cm or 2 in from 4 cm to 50.5 mm")), FolderWorld())
    assert [one.code for one in checked.diagnostics] == ["N285"]


def test_a_condition_with_figures_is_one_default():
    text = STRIP.format(wide="5 cm") + "choose broad hip more than 110 cm or hip less than 30 in\nchoose vent yes or no\n"
    checked = check(Source("strip.style", text), FolderWorld())
    assert not checked.diagnostics and choices_of(checked.style)["broad"].kind.word == "condition"


def test_a_choice_said_anew_takes_the_place_of_both():
    texts = {**tapeline.standard_texts(), "strip.style": BOTH}
    world = tapeline.MemoryWorld(texts)
    text = 'language 1\nstyle broad "Broad"\nstart from strip\nchoose wide 7 cm\n'
    assert widths(tapeline.Session(world).read(text).draft([INCHES])) == [70.0]
