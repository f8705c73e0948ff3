"""A style is begun: what is written is in order, laid out, drafts, and stands over no file."""

import json

import pytest
from click.testing import CliRunner

from tapeline.desk.beginning import INVENTED, beginnings
from tapeline.desk.cli import program


@pytest.fixture
def told(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return lambda *arguments: CliRunner().invoke(program, arguments, catch_exceptions=False)


def test_what_is_begun_checks_is_tidy_and_drafts(told, tmp_path):
    begun = told("begin", "first", "--no-page")
    assert begun.exit_code == 0 and "tapeline draft first.style" in begun.stdout
    assert sorted(path.name for path in tmp_path.iterdir()) == ["first.style", "first.toml", "house.toml"]
    assert told("check", "first.style").exit_code == 0
    assert told("tidy", "--check", "first.style").exit_code == 0
    card = (tmp_path / "first.toml").read_text()
    assert "INVENTED" in card and "# Waist girth: " in card and f'waist = "{INVENTED["waist"]}"' in card
    drafted = told("draft", "first.style", "--for", "first.toml", "--house", "house.toml", "-o", "out", "--json")
    assert drafted.exit_code == 0 and json.loads(drafted.stdout)["diagnostics"] == []


@pytest.mark.parametrize("name", ["first.style", "first.toml", "house.toml"])
def test_no_file_is_written_over(told, tmp_path, name):
    (tmp_path / name).write_text("mine")
    begun = told("begin", "first", "--no-page", "--json")
    answer = json.loads(begun.stdout)
    assert answer["exit"] == 3 and [one["code"] for one in answer["diagnostics"]] == ["F005"] and name in begun.stdout
    assert [path.name for path in tmp_path.iterdir()] == [name] and (tmp_path / name).read_text() == "mine"


def test_a_name_that_is_none_is_a_mistake_of_the_command(told, tmp_path):
    assert told("begin", "First skirt", "--no-page").exit_code == 2 and not list(tmp_path.iterdir())


def test_the_page_is_opened_with_style_card_and_house(told, monkeypatch):
    from tapeline.desk.commands import open as opening

    seen = {}
    monkeypatch.setattr(opening.open, "callback", lambda **given: seen.update(given))
    assert told("begin", "first").exit_code == 0
    assert (seen["style"], seen["body"], seen["house"]) == ("first.style", "first.toml", "house.toml")


def test_what_the_style_asks_for_is_on_the_card():
    assert set(beginnings("any")) == {"any.style", "any.toml", "house.toml"}
