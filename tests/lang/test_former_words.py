"""A word that was replaced is refused where it is met, by a diagnostic that says the new one."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeline.bodies.card import read_card
from tapeline.bodies.sizes import read_sizes
from tapeline.desk.cli import program
from tapeline.desk.explaining import find_page, measures
from tapeline.meaning.style import read
from tapeline.paper.house.house import read_house
from tapeline.source import former
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld
from tapeline.syntax.parser import parse, tables
from tapeline.syntax.printing import printed

KNOWN = measures()
CHANGELOG = Path(__file__).parents[2] / "compiler" / "CHANGELOG.md"


@pytest.mark.parametrize("old, new", former.MEASURES.items())
def test_a_measure_is_told_its_new_name_wherever_it_is_met(old, new):
    assert new in KNOWN and old not in KNOWN
    said = f'It is now called "{new}".'
    asked = read(Source("old.style", f'language 1\nstyle old "Old"\nmeasure {old}\n'), FolderWorld())
    used = read(Source("old.style", f'language 1\nstyle old "Old"\nmeasure {new}\nlong = {old} + 1 cm\n'), FolderWorld())
    card = read_card(Source("ada.toml", f'[measures]\n{old} = "40 cm"\nwaist = "70 cm"\n'), KNOWN)
    table = read_sizes(Source("ours.csv", f"size, waist [cm], {old} [cm]\n10, 68, 40\n"), KNOWN)
    for (read_as, found), code in ((asked, "N201"), (used, "N201"), (card, "B104"), (table, "B104")):
        assert read_as is None and [(one.code, one.severity, one.suggestion) for one in found] == [(code, "error", said)]
    assert find_page(old)[2][0].suggestion.startswith(said)


def test_a_house_may_give_an_old_name_to_a_measure_of_its_own():
    own = 'measurement neck_to_waist_front "Ours"\n    kind length\n    plausible 20 cm to 60 cm\nmeasure neck_to_waist_front\n'
    style, found = read(Source("own.style", f'language 1\nstyle own "Own"\n{own}'), FolderWorld())
    assert style is not None and found == []


@pytest.mark.parametrize("old, new", former.FUNCTIONS.items())
def test_a_function_is_told_its_new_name(old, new):
    text = f'language 1\nstyle old "Old"\nmeasure waist\nnumber_of = {old} of (waist / 10 cm)\n'
    read_as, found = read(Source("old.style", text), FolderWorld())
    assert read_as is None and [(one.code, one.suggestion) for one in found] == [("N201", f'It is now called "{new}".')]
    assert read(Source("new.style", text.replace(f"{old} of", f"{new} of")), FolderWorld())[1] == []


def test_a_table_of_a_house_is_told_its_new_name():
    house, found = read_house(Source("old.toml", '[turnings]\nhem = "4 cm"\n'))
    assert house is None and [(one.code, one.suggestion) for one in found] == [("H101", 'It is now called "allowances".')]


def test_a_command_is_told_its_new_name():
    done = CliRunner().invoke(program, ["bulk", "skirt", "bodies.csv"])
    assert done.exit_code == 2 and '"tapeline bulk" is now called "tapeline batch"' in done.stderr


def test_the_changelog_tells_every_word_that_was_replaced():
    told = dict(re.findall(r"^\| `([^`]+)`[^|]* \| `([^`]+)` \|$", CHANGELOG.read_text(encoding="utf-8"), re.MULTILINE))
    records = [record for name, record in vars(former).items() if name.isupper() and isinstance(record, dict)]
    assert len(records) >= 4
    for old, new in {old: new for record in records for old, new in record.items()}.items():
        assert told.get(old) == new


OLD = """language 1
style old "Old"
measure hip
draft net
    point A start
    point B A across hip / 4
    line top A to B
block half(deep length)
    trace net
    point C A down deep
    point D B down deep
    line left A to C
    line right B to D
    line low C to D
    outline left, top, right, low
piece front "Front" from half(20 cm)
piece back "Back" from half(20 cm)
piece whole "Whole" from back
    unfold at left
allow
    others 1 cm
    corner front.left and front.top squared
    corner front.top and front.right mitred
    corner front.right and front.low blunted
    corner back.left and back.low mirrored
"""
NOW = {
    "draft": "sheet",
    "block": "recipe",
    "unfold at": "open out at",
    "squared": "square to front.left",
    "mitred": "pointed",
    "blunted": "cut off",
    "mirrored": "as folded",
}


def test_every_old_word_of_a_text_is_told_its_new_one_and_nothing_else_is_said():
    style, found = read(Source("old.style", OLD), FolderWorld())
    assert style is None and {one.code for one in found} == {"S114"}
    assert {one.span.text: one.suggestion for one in found} == {old: f'Write "{new}" in its place.' for old, new in NOW.items()}


def test_a_text_with_old_words_is_printed_as_it_stands():
    parsed = parse(Source("old.style", OLD))
    assert printed(parsed.tree, parsed.comments) == OLD


def test_what_is_said_mends_the_text():
    _, found = read(Source("old.style", OLD), FolderWorld())
    text = OLD
    for one in sorted(found, key=lambda one: -one.span.start):
        text = text[: one.span.start] + one.suggestion.split('"')[1] + text[one.span.end :]
    style, found = read(Source("old.style", text), FolderWorld())
    assert style is not None and found == []


@pytest.mark.parametrize(
    "old, new, row",
    [("change block half", "change recipe", "C A down 2 * deep"), ("change draft net", "change sheet", "B A across hip / 3")],
)
def test_an_old_change_is_told_its_new_words(old, new, row, tmp_path):
    text = OLD
    for word, now in NOW.items():
        text = text.replace(word, now)
    (tmp_path / "base.style").write_text(text.replace("style old", "style base"))
    mine = f'language 1\nstyle mine "Mine"\nstart from base\n{old}\n    point {row}\n'
    style, found = read(Source("mine.style", mine), FolderWorld(tmp_path))
    assert style is None and [(one.code, one.suggestion) for one in found] == [("S114", f'Write "{new}" in its place.')]


def test_old_words_are_free_as_names():
    text = """language 1
style free "Free"
block = 3 cm
draft = block + 1 cm
levels
    draft
    block 30 cm below draft
piece mitred "Piece"
    point squared start
    point blunted squared across 20 cm
    point C squared down draft
    point D blunted down draft
    line block squared to C
    line draft squared to blunted
    line right blunted to D
    line low C to D
    outline block, draft, right, low
allow
    draft 1 cm
    block 1 cm
    others 1 cm
    corner block and draft square to draft
"""
    style, found = read(Source("free.style", text), FolderWorld())
    assert style is not None, found


def test_every_old_phrase_has_a_new_one_of_the_grammar():
    known = {" ".join(words) for found in tables().phrases.values() for words, _ in found}
    for old, new in former.PHRASES.items():
        assert new.removesuffix(former.EDGE).strip() in known and old not in known


@pytest.mark.parametrize(
    "line, old",
    [
        ('block b "B" from panel', "block"),
        ('draft panel "Panel"', "draft"),
        ("draft", "draft"),
        ("change block panel", "change block"),
        ("allow\n    corner panel.top and panel.side squared to panel.top", "squared"),
    ],
)
def test_of_a_line_with_an_old_word_nothing_else_is_said(line, old):
    text = f'language 1\nstyle old "Old"\nmeasure hip\n{line}\nwide = hip + \n'
    found = parse(Source("old.style", text)).diagnostics
    assert [(one.code, one.span.text) for one in found] == [("S114", old), ("S106", "")]  # the next line is told of its own


@pytest.mark.parametrize(
    "written, way_out",
    [
        ("rounded_up of 3.2", "Put it in brackets: rounded_up of (3.2)."),
        ("half of -hip", "Put it in brackets: half of (-hip)."),
        ("size of -3 cm", '"size" is now called "absolute_value". Put it in brackets: absolute_value of (-3 cm).'),
        ("whole of 3.2", '"whole" is now called "rounded_down". Put it in brackets: rounded_down of (3.2).'),
    ],
)
def test_what_a_function_takes_only_in_brackets(written, way_out):
    text = f'language 1\nstyle old "Old"\nmeasure hip\nwide = {written}\n'
    (told,) = parse(Source("old.style", text)).diagnostics
    assert (told.code, told.suggestion) == ("S106", way_out)
    mended = text.replace(written, way_out.partition("brackets: ")[2].rstrip("."))
    assert read(Source("new.style", mended), FolderWorld())[1] == []


def test_the_page_of_old_words_lists_every_one():
    page = " ".join(find_page("S114")[1].partition("## Wrong")[0].split())
    for old, new in former.PHRASES.items():
        assert re.search(rf"`{old}[` ].*?`{new}[` ]", page), old


@pytest.mark.parametrize("old, new", {**former.PHRASES, **former.COMMANDS, **former.OPTIONS, **former.FUNCTIONS}.items())
def test_who_asks_for_an_old_word_is_told_the_new_one(old, new):
    assert find_page(old)[2][0].suggestion.startswith(f'It is now called "{new}".')
