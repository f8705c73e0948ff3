"""What can be written next: in a table of texts with a mark where the cursor is, and wherever the shipped styles use a name."""

import random
from pathlib import Path

import pytest

from tapeline.editing.completing import call_at, suggestions_at
from tapeline.session import Session
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

HEAD = """language 1
style trial "Trial"

use skirt
measure waist, hip, waist_to_hip
choose length 60 cm from 40 cm to 90 cm "top to hem"
choose lined no "a lining"
quarter = hip / 4

levels
    waist
    hip  waist_to_hip below waist
    hem  length below waist

piece front "Front" from straight_panel (waist / 4, quarter, 1 cm)
    cut 2

piece plain "Plain"
    point a start
    point b a across 20 cm
    point c b down 30 cm
    point d a down 30 cm
    line upper a to b
    line right b to c
    line lower c to d
    line left d to a
    outline upper, right, lower, left
"""

STYLES = sorted(standard_folder("styles").glob("*.style"))


def offered(text, head=HEAD):
    """(labels offered at the mark, by sort; all of them)."""
    text = head + text
    at = text.index("|")
    source = Source("trial.style", text.replace("|", "", 1))
    found = suggestions_at(Session().read(source), source, at)
    assert all(one.start <= at for one in found)
    return {sort: {one.label for one in found if one.sort == sort} for sort in {one.sort for one in found}}, found


@pytest.mark.parametrize(
    "text, sort, there, not_there",
    [
        ("wide = |", "measure", {"waist", "hip"}, {"bust"}),
        ("wide = |", "choice", {"length"}, set()),
        ("wide = |", "quantity", {"quarter"}, set()),
        ("wide = 2 * qu|", "quantity", {"quarter"}, set()),
        ("wide = 2 * |", "choice", {"length"}, {"lined"}),
        ("wide = |", "rule", {"intake_in_front"}, set()),
        ("wide = |", "function", {"half", "least"}, set()),
        ("wide = |", "keyword", {"length of", "girth at"}, {"piece", "cut"}),
        ("when |", "choice", {"lined"}, set()),
        ("wide = 12 |", "unit", {"cm", "in"}, set()),
        ("wide = 12 c|", "unit", {"cm"}, set()),
        ("wide = girth at |", "level", {"waist", "hip", "hem"}, set()),
        ("wide = length of |", "piece", {"front", "plain"}, set()),
        ("wide = length of plain.|", "edge", {"upper", "lower"}, set()),
        ("wide = distance from plain.a to plain.|", "point", {"a", "b", "c", "d"}, set()),
        ("sew front.|", "edge", {"side", "waist"}, set()),
        ("sew front.side to plain.|", "edge", {"left", "right"}, {"side"}),
        ("use |", "library", {"skirt", "measurements"}, set()),
        ("measure |", "measurement", {"bust", "waist"}, set()),
        ("piece back from |", "recipe", {"straight_panel"}, set()),
        ("piece back from |", "piece", {"front"}, set()),
        ("piece back from front as |", "recipe", {"skirt_lining"}, set()),
        ("check |", "check", {"dart_widths"}, set()),
        ("piece back from straight_panel (|", "parameter", {"hip_width"}, set()),
        ("piece back\n    |", "keyword", {"cut", "dart on", "outline", "point"}, {"sew", "levels", "use"}),
        ("|", "keyword", {"piece", "sew", "allow", "levels"}, {"dart on", "outline"}),
        ("piece back\n    cut 1 on |", "keyword", {"on fold at"}, set()),
        ("piece back\n    point a start\n    point bee a down 3 cm\n    line one |", "point", {"a", "bee"}, {"c"}),
        ("piece back from front\n    dart on |", "edge", {"waist", "side"}, {"upper"}),
        ("piece back from front\n    dart on waist at half\n        |", "keyword", {"intake", "press toward"}, {"cut"}),
        ("recipe band (high length)\n    point a start\n    point b a down |", "parameter", {"high"}, set()),
        ("example \"one\"\n    given |", "measure", {"hip"}, set()),
        ("allow\n    front.|", "edge", {"side"}, set()),
    ],
)  # fmt: skip
def test_what_is_offered(text, sort, there, not_there):
    found, every = offered(text)
    assert there <= found.get(sort, set()), {one.label for one in every}
    assert not not_there & {one.label for one in every}


@pytest.mark.parametrize("text", ["-- words |", 'piece back "Ba|', "wide = 3 cm \\ |"])
def test_nothing_is_offered_in_comments_and_texts(text):
    assert offered(text)[1] == []


def test_it_works_in_a_line_that_cannot_be_read_yet():
    assert {"waist", "hip"} <= offered("wide = (hip + 3 cm, ) * least of (|")[0]["measure"]
    assert "edge" in offered("sew front.side to back.side,\n    easing\nsew front.|")[0]


def test_words_of_a_keyword_go_on_where_they_were_begun():
    (one,) = [one for one in offered("piece back\n    cut 1 on fo|")[1] if one.sort == "keyword"]
    assert (one.label, one.text) == ("on fold at", "on fold at")
    text = HEAD + "piece back\n    cut 1 on fo"
    assert text[one.start :] == "on fo"


def test_a_recipe_comes_with_its_parameters_and_a_measure_with_how_it_is_taken():
    found = offered("piece back from straight|")[1]
    (recipe,) = [one for one in found if one.label == "straight_panel"]
    assert recipe.snippet.startswith("straight_panel (${1:") and recipe.text == "straight_panel "
    assert "a length" in recipe.told
    (waist,) = [one for one in offered("measure wa|")[1] if one.label == "waist"]
    assert "How it is taken" in waist.told


def test_the_call_around_the_place():
    text = HEAD + "piece back from straight_panel (waist / 4, (quarter + 1 cm), "
    source = Source("trial.style", text)
    call = call_at(Session().read(source), source, len(text))
    assert call.label.startswith("straight_panel (") and call.number == 2
    text = HEAD + "wide = least of (3 cm, "
    source = Source("trial.style", text)
    assert call_at(Session().read(source), source, len(text)).number == 1


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_every_name_that_a_style_uses_would_have_been_offered(path):
    """The name is taken out, with all that stands behind it on its line, and the rest of the text is as it was."""
    world_reading = Session().read(Path(path))
    source = world_reading.source
    uses = [use for use in world_reading.uses if use.span.source == source]
    missed = []
    for use in random.Random(path.stem).sample(uses, min(12, len(uses))):
        labels = {one.label for one in suggestions_at(world_reading, source, use.span.start)}
        if use.span.text not in labels:
            missed.append(f"{use.span!r} {use.span.text} ({use.definition.sort})")
    assert not missed


def test_what_is_written_first_is_offered_first():
    def labels(text, head=HEAD):
        return [one.label for one in offered(text, head)[1]]

    assert labels("|", 'language 1\nstyle trial "Trial"\n')[:6] == ["use", "measure", "choose", "divide", "find", "levels"]
    assert labels("|")[-1].startswith(("change", "without"))
    assert labels("piece back\n    |")[:2] == ["cut", "worn"]
    values = labels("wide = |")
    assert (
        values.index("waist") < values.index("quarter") < values.index("intake_in_front") < values.index("half") < values.index("not")
    )


def test_what_a_style_uses_are_libraries_and_what_it_starts_from_styles(tmp_path):
    text = 'language 1\nstyle own "Own"\nuse '
    (tmp_path / "own.style").write_text(text)
    (tmp_path / "belts.style").write_text('language 1\nlibrary belts "Belts"\n')
    world = FolderWorld(tmp_path)
    source = Source("own.style", text)
    used = {one.label for one in suggestions_at(Session(world).read(source), source, len(text))}
    assert {"belts", "skirt"} <= used and "own" not in used
    source = Source("own.style", text.replace("use", "start from"))
    begun = {one.label for one in suggestions_at(Session(world).read(source), source, len(source.text))}
    assert "straight_skirt" in begun and not {"belts"} & begun
