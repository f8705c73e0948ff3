"""The one layout changes nothing that a text says, and a text that has it does not change.

Every style of the repository is tried, and texts made of them by cutting, doubling, swapping, indenting and patching;
`TIDIED=100000` tries so many.
"""

import os
import random
from pathlib import Path

import pytest
from click.testing import CliRunner
from test_parser import GOOD
from test_tree import STYLES, TEXTS

from mutations import mutated
from tapeline import Session
from tapeline.desk.cli import program
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld
from tapeline.syntax.parser import parse
from tapeline.syntax.tree import Broken
from tapeline.tidy import proof
from tapeline.tidy.proof import same_drafts, same_text, tidied

TIDIED = int(os.environ.get("TIDIED", "300"))
ROOT = Path(__file__).resolve().parents[2]


def tidy(text: str) -> str:
    """The text in its layout, which is not refused, says the same and does not change again."""
    source = Source("any.style", text)
    again, diagnostics = tidied(source)
    if parse(source).tree.language is None:
        assert again == text and [one.code for one in diagnostics] == ["E100"]
        return again
    assert diagnostics == [] and same_text(parse(source), parse(Source("any.style", again)))
    assert tidied(Source("any.style", again)) == (again, [])
    return again


def words(text: str) -> list[str]:
    return "".join(text.split()) and sorted("".join(text.split()))


@pytest.mark.parametrize("path", STYLES, ids=[path.relative_to(ROOT).as_posix() for path in STYLES])
def test_a_style_of_the_repository_keeps_every_word(path):
    text = path.read_bytes().decode("utf-8", "replace")
    assert words(tidy(text)) == words(text)


def blanked(text: str, dice: random.Random) -> str:
    """Blanks put in and taken out, where a careless hand would."""
    for _ in range(dice.randrange(6)):
        at = dice.randrange(len(text) + 1)
        text = text[:at] + dice.choice([" ", "   ", "\n", "\n\n", "\r", "  -- said\n", "\n-- said\n", "\n    -- said\n"]) + text[at:]
    return text


def test_mutated_styles_say_the_same_when_tidied():
    dice = random.Random(33)
    for _ in range(TIDIED):
        text = mutated(dice.choice(TEXTS), dice)
        tidy(blanked(text, dice) if dice.random() < 0.5 else text)


def test_lines_that_cannot_be_read_stay_letter_for_letter():
    text = GOOD.replace("ease = 4 cm", "ease   ==  4   cm").replace(
        "    cut 1 on fold at centre", "    cut  one   on\n        at   centre"
    )
    assert [node.span.text for node in parse(Source("any.style", tidy(text))).tree.walk() if isinstance(node, Broken)] == [
        "ease   ==  4   cm",
        "cut  one   on\n        at   centre",
    ]


def test_blanks_columns_and_blank_lines():
    text = """

language   1
style s   "S"
use skirt


measure waist,hip
choose ease 2 cm or 3/4 in from 0 cm to 12 cm "at the waist"   -- beside
choose longer 12 cm or 4 1/2 in from 10 cm to 20 cm
choose lined yes "with a lining"
-- a sum
a=(waist+ease)/4+hip*-2/3
b=hip/2/3
longer_name =- 1*a
levels
   waist
   hip   20 cm below waist
   hem 50 cm below hip   , unmarked
"""
    assert (
        tidy(text)
        == """language 1
style s "S"
use skirt

measure waist, hip
choose ease    2 cm or 3/4 in   from  0 cm to 12 cm "at the waist"  -- beside
choose longer 12 cm or 4 1/2 in from 10 cm to 20 cm
choose lined yes "with a lining"
-- a sum
a           = (waist + ease) / 4 + hip * -2/3
b           = hip / 2 / 3
longer_name = -1 * a
levels
    waist
    hip  20 cm below waist
    hem  50 cm below hip, unmarked
"""
    )


def test_a_long_line_goes_on_after_a_comma():
    names = ", ".join(f"measure_of_this_body_{number}" for number in range(12))
    lines = tidy(f'language 1\nstyle s "S"\nmeasure {names}\n').splitlines()[2:]
    assert len(lines) == 2 and lines[0].endswith(",") and lines[1].startswith("    measure_of") and max(map(len, lines)) <= 160


def test_steps_fingerprint_and_examples_are_compared():
    world = FolderWorld()
    first, second = (read(Source("any.style", text), world)[0] for text in (GOOD, GOOD.replace("ease = 4 cm", "ease = 5 cm")))
    assert first is not None and second is not None and GOOD.count("ease = 4 cm") == 1
    assert same_drafts(first, first) and not same_drafts(first, second)


@pytest.mark.parametrize(("old", "new"), [("4 cm", "5 cm"), ("-- x", "-- y"), ("-- x", "")])
def test_a_layout_that_would_say_other_things_is_refused(monkeypatch, old, new):
    text = f"{GOOD}-- x\n"
    assert old in text
    monkeypatch.setattr(proof, "laid_out", lambda parsed: parsed.source.text.replace(old, new, 1))
    again, diagnostics = Session().read(Source("any.style", text)).tidied()
    assert again == text and [one.code for one in diagnostics] == ["E100"]


UNTIDY = 'language  1\nstyle s "S"\nuse   skirt\n'


def test_the_command_writes_what_check_shows(tmp_path):
    path, good = tmp_path / "s.style", tmp_path / "good.style"
    path.write_bytes(b"\xef\xbb\xbf" + UNTIDY.replace("\n", "\r\n").encode())
    good.write_text('language 1\nstyle g "G"\n')
    path.chmod(0o640)
    link = tmp_path / "link.style"
    link.symlink_to(path)
    before = path.read_bytes()
    checked = CliRunner().invoke(program, ["tidy", "--check", str(good), str(link)])
    assert (
        checked.exit_code == 1
        and "+use skirt" in checked.stdout
        and "link.style" in checked.stdout
        and "good.style" not in checked.stdout
    )
    assert path.read_bytes() == before
    assert CliRunner().invoke(program, ["tidy", str(good), str(link)]).exit_code == 0
    assert path.read_bytes() == b'\xef\xbb\xbflanguage 1\r\nstyle s "S"\r\nuse skirt\r\n'
    assert link.is_symlink() and path.stat().st_mode & 0o777 == 0o640 and sorted(tmp_path.iterdir()) == sorted([good, link, path])
    assert CliRunner().invoke(program, ["tidy", "--check", str(path)]).exit_code == 0


def test_fittings_are_tidied(tmp_path):
    text = 'language 1\nfittings nell "Nell Quay"\n\nfitting 2026-12-05 of straight_skirt\n  "In calico."\n  take in front.side and back.side 1 cm   at waist\n'
    assert tidy(text) == text.replace("  take", "    take").replace('  "In', '    "In').replace("cm   at", "cm at")


@pytest.mark.parametrize("folder", ["styles", "stdlib", "tests/worked"])
def test_what_is_shipped_is_tidy(folder):
    paths = sorted((ROOT / folder).glob("*.style"))
    assert (
        paths
        and [path.name for path in paths if tidied(Source(path.name, path.read_text("utf-8")))[0] != path.read_text("utf-8")] == []
    )


def test_a_text_that_cannot_be_read_in_full_is_not_called_tidy(tmp_path):
    broken = tmp_path / "broken.style"
    broken.write_text('language 1\nstyle e "E"\nquar = (hip\n')
    result = CliRunner().invoke(program, ["tidy", "--check", str(broken)])
    assert result.exit_code == 1 and "not read in full" in result.output and "tidy: " not in result.output
    assert broken.read_text() == 'language 1\nstyle e "E"\nquar = (hip\n'


def test_a_text_of_both_line_ends_is_tidied_once():
    tidy('\nlib"ms " Seams"   -- a libr\r\n\n= 1 cm\nlanguage 1')
    assert tidy('language 1\r\nstyle e "E"\r\nuse   skirt\r\n') == 'language 1\r\nstyle e "E"\r\nuse skirt\r\n'
