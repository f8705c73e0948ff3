"""Invented clients and small styles in a folder of the test's own, and the command run inside this process."""

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from clients import DAY, card, strip

from tapeline.desk.cli import program

HERE = Path(__file__).parent


@pytest.fixture
def tapeline():
    def run(*arguments):
        return CliRunner().invoke(program, [str(one) for one in arguments], catch_exceptions=False)

    return run


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """A folder with two clients and two styles, in which the command is run."""
    shutil.copy(HERE.parent / "desk" / "plain_skirt.style", tmp_path)
    (tmp_path / "belt.style").write_text(strip("belt"))
    (tmp_path / "ada.toml").write_text(card("Ada Quay"))
    (tmp_path / "ida.toml").write_text(card("Ida Moor", 80, 108))
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def ordered(folder, tapeline):
    """The same folder with an order of a belt for Ada, drafted on a day."""
    assert tapeline("order", "belt", "--for", "ada", "--set", "lap=5 cm", *DAY).exit_code == 0
    result = tapeline("draft", "ada-belt.order", *DAY)
    assert result.exit_code == 0, result.stderr
    return folder
