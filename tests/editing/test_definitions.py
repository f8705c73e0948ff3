"""Names lead to where they were first written, and stand where they are found."""

from functools import cache
from pathlib import PurePath

import pytest

import tapeline
from tapeline.editing.definitions import definition_at, highlights, references, users
from tapeline.source.world import FolderWorld, standard_texts
from tapeline.syntax import tree
from tapeline.syntax.forms import Word

WORLD = tapeline.MemoryWorld(standard_texts())


@cache
def read(name):
    return tapeline.Session(WORLD).read(PurePath(f"styles/{name}.style"))


def leads(name, words, of=None):
    """(file, line text) that the first place of `of` in these words leads to; `words` are a part of a line of the style."""
    reading = read(name)
    text = reading.source.text
    at = text.index(words)
    place = text.index(of or words, at)
    _, span = definition_at(reading, reading.source, place)
    return PurePath(span.source.name).name, span.text, span.source.line(span.line).strip()


@pytest.mark.parametrize(
    ("name", "words", "of", "file", "line"),
    [
        ("straight_skirt", "measure waist", "waist", "measurements.style", "measurement waist"),
        ("straight_skirt", "use skirt", "skirt", "skirt.style", "library skirt"),
        ("draped_skirt", "start from straight_skirt", "straight_skirt", "straight_skirt.style", "style straight_skirt"),
        ("close_bodice", "without sew front_facing.side", "side", "sleeveless_bodice.style", "sew front_facing.side"),
        ("close_bodice", "without sew front_facing.side", "front_facing", "sleeveless_bodice.style", "sew front_facing.side"),
        ("sleeveless_bodice", "dart", "closing shoulder_dart"[8:], "bodice.style", "called shoulder_dart"),
        ("princess_bodice", "shoulder_dart, opening inner", "inner", "princess_bodice.style", "seam inner"),
        ("kick_pleat_skirt", "pleat_top", "pleat_top", "kick_pleat_skirt.style", "called pleat"),
    ],
)
def test_a_name_leads_to_where_it_was_first_written(name, words, of, file, line):
    found = leads(name, words, of)
    assert found[0] == file and line in found[2], found


# Words behind which nothing stands that a text says, by the form that they are read into.
NOWHERE = {tree.Style: "the style itself", tree.Call: "a function", tree.Name: "a part said in words", tree.FactKind: "a kind"}


@pytest.mark.parametrize("path", sorted(path for path in standard_texts() if path.startswith("styles/") and path.endswith(".style")))
def test_every_name_of_every_style_leads_to_a_word_or_a_rule(path):
    reading = read(PurePath(path).stem)
    names = [(node, word) for node in reading.tree.walk() for word in node.children if isinstance(word, Word) and word.type == "NAME"]
    assert names
    known = {use.span: use.definition for use in reading.uses} | {one.span: one for one in reading.definitions}
    for node, word in names:
        if word.span not in known:
            assert type(node) in NOWHERE, (word, word.span)
            continue
        found = known[word.span]
        if found.written.text not in word:  # the language gives the name: it leads to the rule that makes what bears it
            assert found.sort in ("edge", "point", "dart", "piece") and len(found.written.text.split()) > 1, (word, found)


def test_names_stand_in_all_that_the_folder_has():
    world = tapeline.MemoryWorld(
        {f"styles/{PurePath(path).name}": text for path, text in standard_texts().items() if path.startswith("styles/")}, FolderWorld()
    )
    path = PurePath("styles/sleeveless_bodice.style")
    others = users(world, path)
    assert {"close_bodice", "princess_bodice", "waisted_dress"} <= {other.stem for other in others}
    base = read("sleeveless_bodice")
    readings = [base, *(read(other.stem) for other in others)]
    found = references(readings, base.source, base.source.text.index("front_block"))
    assert {PurePath(span.source.name).stem for span in found} >= {"sleeveless_bodice", "close_bodice", "princess_bodice"}
    assert all(span.text == "front_block" for span in found)
    assert len(highlights(base, base.source, base.source.text.index("front_block"))) == 7
