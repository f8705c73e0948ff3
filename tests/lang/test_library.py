"""Libraries as they are listed from their texts, and the standard library's lists in its read-me."""

import pytest

from library_lists import BEGIN, COMMAND, END, PAGE, page, plain
from tapeline.desk.libraries import standard_libraries
from tapeline.meaning.catalogue import Catalogue, CatalogueEntry, CatalogueParameter, catalogue
from tapeline.source.text import Source
from tapeline.syntax.parser import parse

ENTRIES = [(library.name, entry) for library in standard_libraries() for entry in library.entries]
LIBRARY = """language 1
library house "House rules"
    "What this house does"
    "its own way."

use gores, wear

-- Not of the rule, since a line stands between.

-- What is sewn
-- of a girth.
rule part (girth length "all round", -- not of the parameter
        share number) gives girth * share

rule spare (large length "the greater", small length "the less")
    difference = large - small
    half = 1/2
    gives (difference
        * half)

-- A recipe.
recipe panel "Panel" (deep length "down the centre") -- beside it
    point A start

measurement cuff "Cuff"
    kind girth
    taken "round the cuff"
    plausible 10 cm to 40 cm

width = 3 cm
-- A check.
check wide ()
    caution when width more than 1 cm
        "wide"
"""


def test_a_library_is_listed_as_it_is_written():
    parsed = parse(Source("house.style", LIBRARY))
    assert not parsed.diagnostics
    assert catalogue(parsed) == Catalogue(
        "house",
        "House rules",
        "What this house does its own way.",
        ("gores", "wear"),
        ("cuff",),
        (
            CatalogueEntry(
                "rule",
                "part",
                "",
                "What is sewn of a girth.",
                (CatalogueParameter("girth", "length", "all round"), CatalogueParameter("share", "number", "")),
                "girth * share",
            ),
            CatalogueEntry(
                "rule",
                "spare",
                "",
                "",
                (CatalogueParameter("large", "length", "the greater"), CatalogueParameter("small", "length", "the less")),
                "(difference * half), where difference = large - small and half = 1/2",
            ),
            CatalogueEntry("recipe", "panel", "Panel", "A recipe.", (CatalogueParameter("deep", "length", "down the centre"),), ""),
            CatalogueEntry("check", "wide", "", "A check.", (), ""),
        ),
    )


def test_what_cannot_be_read_is_left_out():
    parsed = parse(Source("house.style", LIBRARY.replace("recipe panel", "recipe 7 panel")))
    assert parsed.diagnostics and [one.name for one in catalogue(parsed).entries] == ["part", "spare", "wide"]


@pytest.mark.parametrize("text", ["", 'language 1\nstyle house "House"\n', "language 1\nlibrary house\n"])
def test_no_library_no_list(text):
    assert catalogue(parse(Source("house.style", text))) is None


def test_the_standard_library_is_not_empty():
    assert {entry.sort for _, entry in ENTRIES} == {"rule", "recipe", "check"} and len(ENTRIES) > 40


@pytest.mark.parametrize("library, entry", ENTRIES, ids=[f"{name}.{entry.name}" for name, entry in ENTRIES])
def test_everything_in_the_standard_library_is_explained(library, entry):
    assert entry.text.endswith("."), "what it is stands in a comment directly above it, in sentences"
    assert entry.sort != "recipe" or entry.title
    assert entry.parameters
    for one in entry.parameters:
        assert one.text, f"{library}.{entry.name} does not say what {one.name} is"
        assert len(one.text) <= 110 and not one.text.endswith("."), "a few words, not a sentence"


def test_the_read_me_lists_the_standard_library():
    text = PAGE.read_text(encoding="utf-8")
    assert text.count(BEGIN) == text.count(END) == 1
    assert text == page(text), f"the texts of the library have changed; this writes the lists anew: {COMMAND}"


def test_signs_of_the_page_are_taken_as_letters():
    assert plain("a * b_c | `x * y_z` <d>") == r"a \* b\_c \| `x * y_z` \<d>"
