"""A small style and a body card in a folder of the test's own, and the command run inside this process."""

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeline.desk.cli import program

HERE = Path(__file__).parent
CARD = """name = "Ada Quay"
[measures]
waist        = "72 cm"
hip          = "100 cm"
waist_to_hip = "20 cm"
"""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    shutil.copy(HERE / "plain_skirt.style", tmp_path)
    (tmp_path / "ada.toml").write_text(CARD)
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def tapeline():
    def run(*arguments):
        return CliRunner().invoke(program, [str(one) for one in arguments], catch_exceptions=False)

    return run


@pytest.fixture
def drafted(folder, tapeline):
    """The folder after one good draft into `out`."""
    result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out")
    assert result.exit_code == 0, result.stderr
    return folder


@pytest.fixture
def changed(folder):
    """Change one passage of the style, or of the card."""

    def change(before, after, name="plain_skirt.style"):
        text = (folder / name).read_text()
        assert before in text
        (folder / name).write_text(text.replace(before, after))

    return change
