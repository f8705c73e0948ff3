"""Where names are given and used: each definition stands at its name or at the words of a statement that names nothing."""

from pathlib import Path, PurePath

import pytest

import tapeline
from tapeline.bodies.measurement import KINDS
from tapeline.meaning.functions import FUNCTIONS
from tapeline.meaning.scopes import PARTS
from tapeline.source.world import standard_texts
from tapeline.syntax import tree
from tapeline.syntax.forms import Word

SHIPPED = sorted(PurePath(path).stem for path in standard_texts() if path.startswith("styles/") and path.endswith(".style"))
WORKED = sorted((Path(__file__).parents[1] / "worked").glob("*.style"))
IN_MEMORY = tapeline.Session(tapeline.MemoryWorld(standard_texts()))
BELT = """language 1
style belt "Belt"
measure waist
piece belt "Belt"
    cut 1
    point A start
    point B A across waist
    point C B down 10 cm
    point D A down 10 cm
    line line A to B
    line other B to C
    line lower C to D
    line on D to A
    dart on line at half
        intake 2 cm
        point 4 cm long
    outline line, other, lower, on
"""
COPY = """piece copy "Copy" from belt
    cut 2
    pivot dart to lower at half, called moved
    shorten moved by 1 cm
"""


def names_of(reading):
    """The tokens of a text that are names, by their places."""
    return {word.span: str(word) for word in reading.tree.tokens() if word.type == "NAME"}


# Names that stand for nothing which a text defines, by the form that they are read into, each with the reason.
OTHER_NAMES = {
    tree.Style: "the heading: the style itself, which nothing in it names",
    tree.Call: "a function of the language",
    tree.FactKind: "the kind of a measurement, a word of the language",
    tree.Name: "a part said in words, as half",
}
WORDS_OF_THE_LANGUAGE = {tree.Call: FUNCTIONS, tree.Name: PARTS, tree.FactKind: KINDS}


@pytest.mark.parametrize("path", [*(PurePath(f"styles/{name}.style") for name in SHIPPED), *WORKED], ids=lambda path: path.stem)
def test_every_name_is_given_or_used(path):
    reading = (tapeline.Session() if path in WORKED else IN_MEMORY).read(path)
    known = {use.span for use in reading.uses} | {one.span for one in reading.definitions}
    names = [(type(node), word) for node in reading.tree.walk() for word in node.children if isinstance(word, Word)]
    names = [(form, word) for form, word in names if word.type == "NAME"]
    assert names
    for form, word in names:
        if word.span not in known:
            assert form in OTHER_NAMES and word in WORDS_OF_THE_LANGUAGE.get(form, [word]), (form.__name__, word, word.span)


def test_names_in_changes_are_used():
    """What a change makes is defined where it is called so, and named from then on."""
    text = BELT + COPY
    reading = IN_MEMORY.read(text)
    assert reading.ok, reading.diagnostics
    moved = reading.definition("copy.moved")
    assert moved.sort == "dart" and moved.span.text == "moved" and "called moved" in text.splitlines()[moved.span.line - 1]
    assert [use.span.line - moved.span.line for use in reading.uses if use.definition == moved] == [1]
    dart = reading.definition("belt.dart")
    assert [use.span.line for use in reading.uses if use.definition == dart] == [moved.span.line]


def test_names_of_steps_are_given_and_used():
    """A step that a piece says is the piece's own; behind `after` the piece is named with it."""
    text = BELT + '    step ends "Fold the ends in." on other and on\nstep "Press." on belt.line after belt.ends\n'
    reading = IN_MEMORY.read(text)
    assert reading.ok, reading.diagnostics
    ends, belt = reading.definition("belt.ends"), reading.definition("belt")
    first, last = len(text.splitlines()) - 1, len(text.splitlines())
    assert (ends.sort, ends.owner, ends.span.text, ends.span.line, ends.text) == ("step", "belt", "ends", first, "Fold the ends in")
    assert [(use.span.line, use.span.text) for use in reading.uses if use.definition == ends] == [(last, "ends")]
    assert [(use.span.line, use.span.text) for use in reading.uses if use.definition == belt] == [(last, "belt")] * 2


@pytest.mark.parametrize("name", SHIPPED)
def test_a_definition_stands_at_its_name(name):
    reading = IN_MEMORY.read(PurePath(f"styles/{name}.style"))
    names, heads = names_of(reading), {node.head for node in reading.tree.walk()}
    own = [one for one in reading.definitions if one.span.source == reading.source]
    assert own
    for one in own:
        assert names.get(one.span) == one.name or (one.span in heads and one.span not in names), one


def test_a_keyword_is_no_name():
    reading = IN_MEMORY.read(BELT)
    assert reading.ok
    line = reading.definition("belt.line").span
    assert (line.line, line.column) == (10, 10)
    assert reading.definition("belt.on").span.column == 10
    assert reading.definition("belt.dart").span.text == "dart on line at half"


def test_a_dart_is_given_where_it_is_called():
    reading = IN_MEMORY.read(BELT.replace("at half\n", "at half, called hollow\n"))
    assert reading.ok and reading.definition("belt.hollow").sort == "dart"
    assert reading.definition("belt.hollow").span.text == "hollow"
    (dart,) = [node for node in reading.tree.walk() if isinstance(node, tree.Dart)]
    assert reading.definition("belt.hollow").span == dart.called.name.span
    assert reading.definition("belt.hollow_point").span == dart.head


def test_the_text_of_a_find_is_told_as_that_of_a_quantity_is():
    text = 'language 1\nstyle small "Small"\nmeasure hip\nfind share between 0 and 1 so that share * hip is 30 cm "part of the hip"\n'
    assert "part of the hip" in tapeline.Session().read(text).explain("share")
