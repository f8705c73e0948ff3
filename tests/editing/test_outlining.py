"""The outline, the folds, the selections and the colours of texts, over everything that is shipped and over texts that are broken."""

from functools import cache
from pathlib import PurePath

import pytest

import tapeline
from tapeline.editing.colouring import KINDS, OF_NAMES, TRAITS, coloured
from tapeline.editing.outlining import folds, outline, selections
from tapeline.source.text import Source
from tapeline.source.world import standard_texts
from tapeline.syntax.parser import parse
from tapeline.syntax.scanner import scan

TEXTS = {path: text for path, text in standard_texts().items() if path.endswith(".style")}
WORLD = tapeline.MemoryWorld(standard_texts())
BELT = """language 1
style belt "Belt"
    "A belt."
-- How wide it is,
-- and how it laps.
measure waist
choose lap 4 cm from 2 cm to 6 cm
-- one line alone

levels
    top
    low  10 cm below top  -- beside it
when lap more than 5 cm
    deep = 2 cm
otherwise
    deep = 1 cm
piece belt "Belt"
    cut 1
    widths from centre, before darts
        top  waist / 2 + lap
        low  waist / 2 + half of deep
    dart on top at half, called tuck
        intake 2 cm
        point 4 cm long
allow
    others  1 cm
"""


def all_entries(entries):
    for entry in entries:
        yield entry
        yield from all_entries(entry.inside)


def named(entries, *names):
    for name in names:
        (entry,) = [entry for entry in entries if entry.name == name]
        entries = entry.inside
    return entry


def test_an_outline_has_pieces_with_their_rules():
    entries = outline(Source("belt.style", BELT))
    assert [(entry.name, entry.sort) for entry in entries] == [
        ("waist", "measure"),
        ("lap", "choice"),
        ("levels", "levels"),
        ("when lap more than 5 cm", "statement"),
        ("belt", "piece"),
        ("allow", "statement"),
    ]
    belt = named(entries, "belt")
    assert belt.detail == "Belt" and belt.name_span.text == "belt" and belt.span.line == 17
    assert belt.span.text.endswith("point 4 cm long")
    assert [entry.name for entry in belt.inside] == ["cut 1", "widths from centre, before darts", "tuck"]
    assert named(entries, "belt", "tuck").sort == "dart"
    assert [entry.name for entry in named(entries, "levels").inside] == ["top", "low"]
    assert named(entries, "when lap more than 5 cm", "otherwise", "deep").span.line == 16


def test_bodies_tables_and_comments_fold():
    found = [(fold.first, fold.last, fold.comment) for fold in folds(Source("belt.style", BELT))]
    assert found == [
        (2, 3, False),
        (4, 5, True),
        (10, 12, False),
        (13, 16, False),
        (15, 16, False),
        (17, 24, False),
        (19, 21, False),
        (22, 24, False),
        (25, 26, False),
    ]


def test_a_selection_grows_from_the_word_outward():
    source = Source("belt.style", BELT)
    spans = selections(source, BELT.index("half of deep"))
    texts = [span.text for span in spans]
    assert texts[0] == "half" and "half of deep" in texts and "waist / 2 + half of deep" in texts
    assert (
        texts[-1] == BELT and any(text.startswith("widths") for text in texts) and any(text.startswith("piece belt") for text in texts)
    )
    for inner, outer in zip(spans, spans[1:], strict=False):
        assert outer.start <= inner.start and inner.end <= outer.end and inner != outer


@cache
def colours(path):
    reading = tapeline.Session(WORLD).read(PurePath(path))
    return reading, coloured(reading, reading.source)


@pytest.mark.parametrize("path", sorted(TEXTS))
def test_outlines_folds_and_selections_hold_together(path):
    source = Source(path, TEXTS[path])
    assert len(outline(source)) == len(parse(source).tree.statements)
    entries = list(all_entries(outline(source)))
    for entry in entries:
        assert entry.name and entry.span.start <= entry.name_span.start < entry.name_span.end <= entry.span.end, entry
        for inner in entry.inside:
            assert entry.span.start <= inner.span.start and inner.span.end <= entry.span.end
    lines = source.text.splitlines()
    for fold in folds(source):
        assert fold.first < fold.last <= len(lines) and lines[fold.last - 1].strip()


@pytest.mark.parametrize("path", sorted(path for path in TEXTS if path.startswith("styles/")))
def test_every_word_has_one_colour(path):
    reading, words = colours(path)
    source = reading.source
    for one, other in zip(words, words[1:], strict=False):
        assert one.span.end <= other.span.start
    for word in words:
        assert word.kind in KINDS and set(word.traits) <= set(TRAITS) and "\n" not in word.span.text and word.span.text.strip()
    covered = {at for word in words for at in range(word.span.start, word.span.end)}
    bare = {letter for at, letter in enumerate(source.text) if at not in covered}
    assert bare <= set(" \n(),.="), bare
    # what the scanner tells by shape has the same colour by meaning
    lines, comments, _, _ = scan(source)
    kinds = {word.span: word.kind for word in words}
    assert all(kinds[comment] == "comment" for comment in comments)
    for line in lines:
        for lexeme in line.lexemes:
            if lexeme.kind == "STRING":
                assert kinds[lexeme.span] == "string"


def test_names_are_coloured_by_what_they_stand_for():
    reading, words = colours("styles/straight_skirt.style")
    text = reading.source.text
    kinds = {word.span.start: word for word in words}
    waist = kinds[text.index("waist", text.index("\nmeasure "))]
    assert (waist.kind, waist.traits) == ("variable", ("readonly",))
    assert kinds[text.index("skirt", text.index("\nuse "))].kind == "namespace"
    piece = kinds[text.index("front", text.index("piece front"))]
    assert piece.kind == OF_NAMES["piece"] and "declaration" in piece.traits
    used = [word for word in words if word.span.text == "front" and word.kind == "class"]
    assert len(used) > 2 and sum("declaration" in word.traits for word in used) == 1
    assert {word.kind for word in words if word.span.text in ("cm", "in") and word.kind != "keyword"} == {"type"}


def test_broken_texts_have_outlines_and_colours():
    text = BELT.replace("choose lap 4 cm from", "choose lap lap lap").replace("    cut 1\n", "    cutt (\n")
    source = Source("belt.style", text)
    assert "belt" in [entry.name for entry in outline(source)]
    reading = tapeline.Session().read(text, "belt.style")
    assert not reading.ok
    assert len(coloured(reading, reading.source)) > 50
    for nothing in ("", "\n\n", "-- only this\n", "style\n"):
        empty = tapeline.Session().read(Source("empty.style", nothing + "language"))
        assert list(outline(empty.source)) == [] and selections(empty.source, 0)[-1].text == empty.source.text
        coloured(empty, empty.source)
        folds(empty.source)
