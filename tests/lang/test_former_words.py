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
from tapeline.source.world import World

KNOWN = measures()
CHANGELOG = Path(__file__).parents[2] / "compiler" / "CHANGELOG.md"


@pytest.mark.parametrize("old, new", former.MEASURES.items())
def test_a_measure_is_told_its_new_name_wherever_it_is_met(old, new):
    assert new in KNOWN and old not in KNOWN
    said = f'It is now called "{new}".'
    asked = read(Source("old.style", f'language 1\nstyle old "Old"\nmeasure {old}\n'), World())
    used = read(Source("old.style", f'language 1\nstyle old "Old"\nmeasure {new}\nlong = {old} + 1 cm\n'), World())
    card = read_card(Source("ada.toml", f'[measures]\n{old} = "40 cm"\nwaist = "70 cm"\n'), KNOWN)
    table = read_sizes(Source("ours.csv", f"size, waist [cm], {old} [cm]\n10, 68, 40\n"), KNOWN)
    for (read_as, found), code in ((asked, "N201"), (used, "N201"), (card, "B104"), (table, "B104")):
        assert read_as is None and [(one.code, one.severity, one.suggestion) for one in found] == [(code, "error", said)]
    assert find_page(old)[2][0].suggestion.startswith(said)


def test_a_house_may_give_an_old_name_to_a_measure_of_its_own():
    own = 'measurement neck_to_waist_front "Ours"\n    kind length\n    plausible 20 cm to 60 cm\nmeasure neck_to_waist_front\n'
    style, found = read(Source("own.style", f'language 1\nstyle own "Own"\n{own}'), World())
    assert style is not None and found == []


@pytest.mark.parametrize("old, new", former.FUNCTIONS.items())
def test_a_function_is_told_its_new_name(old, new):
    text = f'language 1\nstyle old "Old"\nmeasure waist\nnumber_of = {old} of (waist / 10 cm)\n'
    read_as, found = read(Source("old.style", text), World())
    assert read_as is None and [(one.code, one.suggestion) for one in found] == [("N201", f'It is now called "{new}".')]
    assert read(Source("new.style", text.replace(f"{old} of", f"{new} of")), World())[1] == []


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
