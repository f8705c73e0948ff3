"""What is told of a place, in a table of texts with a mark where the author points; and what names come to for a body."""

from pathlib import PurePath

import pytest

from tapeline.editing.chosen import ChosenBody, body_path, values_for
from tapeline.editing.hinting import hints_in
from tapeline.editing.hovering import hover_at
from tapeline.session import Session
from tapeline.source.quantity import show_figure
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

TEXT = """language 1
style trial "Trial"

use skirt
measure waist, hip, waist_to_hip
choose length 60 cm from 40 cm to 90 cm "top to hem"

-- 𝒜 quarter, with é and e\u0301
quarter = hip / 4 -- of the hip
spare   = half of (hip - waist)
slant   = intake_in_front of (spare)

levels
    waist
    hip  waist_to_hip below waist
    hem  length below waist

piece front "Front" from straight_panel (waist / 4, quarter, 1 cm)
    cut 2
sew front.side to front.side -- T503
"""


def body(name="maud"):
    return ChosenBody(body_path(FolderWorld(), name))


@pytest.fixture(scope="module")
def values():
    return values_for(Session().read(TEXT, "trial.style"), body())[0]


@pytest.mark.parametrize(
    "words, more, told",
    [
        ("hip / 4", 1, ["a measure, a length", "How it is taken"]),
        ("quarter, 1", 0, ["**quarter**: a quantity, a length", "of the hip"]),
        ("use skirt", 5, ["**skirt**", "recipes"]),
        ("straight_panel", 3, ["a recipe", "`straight_panel (", "a length"]),
        ("intake_in_front", 2, ["a rule", "`intake_in_front of ("]),
        ("half of", 1, ["`half of a`", "one half of it"]),
        ("piece front", 2, ["A piece of the pattern"]),
        ("levels", 2, ["Lines across the figure"]),
        ("front.side to", 7, ["an edge of front"]),
        ("T503", 1, ["T503"]),
    ],
)
def test_what_is_told(values, words, more, told):
    reading = Session().read(TEXT, "trial.style")
    found = hover_at(reading, reading.source, TEXT.index(words) + more, values)
    assert found is not None
    for one in told:
        assert one in found.text
    assert found.span.start <= TEXT.index(words) + more <= found.span.end


def test_nothing_is_told_of_a_number_or_a_blank():
    reading = Session().read(TEXT, "trial.style")
    assert hover_at(reading, reading.source, TEXT.index("/ 4") + 2) is None
    assert hover_at(reading, reading.source, TEXT.index("\n\nuse") + 1) is None


def test_a_place_with_a_mistake_tells_its_page():
    text = TEXT.replace("hip / 4", "hipp / 4")
    reading = Session().read(text, "trial.style")
    assert "N201" in hover_at(reading, reading.source, text.index("hipp") + 1).text


def test_values_are_those_of_a_draft():
    path = standard_folder("styles") / "straight_skirt.style"
    reading = Session().read(path)
    drafted = reading.draft([body().card]).bodies[0]
    run, plan = drafted.draft.run, drafted.draft.plan
    values, said = values_for(reading, body())
    assert not said and values[""] == drafted.card.name
    for name, value in plan.values.items():
        assert values[name] == show_figure(float(run.filled[value.slot][0]), value.kind.word, drafted.unit), name
    assert {"waist", "length", "lined", "front_give"} <= set(values)


def test_choices_and_house_count(values):
    reading = Session().read(TEXT, "trial.style")
    chosen = ChosenBody(body().card, body_path(FolderWorld(), "sailmakers_loft", "houses"), {"length": "70 cm"})
    other = values_for(reading, chosen)[0]
    assert other["length"] != values["length"]
    wrong = ChosenBody(PurePath("nobody.toml"))
    assert values_for(reading, wrong)[1]


def test_hints_stand_at_the_end_of_what_gives_a_name(values):
    source = Source("trial.style", TEXT)
    hints = {TEXT[hint.offset - 7 : hint.offset]: hint.text for hint in hints_in(source, values, 0, len(TEXT))}
    assert hints["hip / 4"] == f" = {values['quarter']}"
    assert hints["(spare)"] == f" = {values['slant']}"
    assert hints["e waist"] == f" = {values['waist']}"
    assert not hints_in(source, values, 0, 20)
