"""Every code has a page, and every page shows what it says.

The codes that the compiler can give stand in its source as plain texts, so they are found there.  A page is Markdown:
a heading with code and title, words, perhaps "## Given" with what both examples share, then "## Wrong" and "## Mended".
Its fences: `style` is `example.style`, `library NAME` is `NAME.style`, `card` is `body.toml`, `table` is a size table,
`file NAME` is any other file, with ` in ENCODING` or ` N times`; `command` is what is said to the program, one command a line.

Where no command stands, a table is read, a style is checked and drafted for the body card beside it or else for that of
Maud Ferrow, a card is used to draft a style that comes with the program.  The wrong example must give the code of the page
before any other; the mended one must not give it, and no error.
"""

import json
import os
import re
import shlex
from difflib import SequenceMatcher
from pathlib import Path
from typing import NamedTuple

import pytest
from click.testing import CliRunner

import tapeline
from tapeline.bodies.table import read_table
from tapeline.desk.cli import program
from tapeline.desk.explaining import LETTERS, codes, page_path
from tapeline.meaning.style import read
from tapeline.source.diagnostics import as_data
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

PACKAGE = Path(tapeline.__file__).parent
CODE = re.compile(r"\b[A-Z]\d{3}\b")
FENCE = re.compile(r"^```([^\n]*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
MOST_CHANGED = 3  # lines; a mended example shows the change, not another garment


class Page(NamedTuple):
    heading: str
    words: str
    given: dict[str, str]
    wrong: dict[str, str]
    mended: dict[str, str]


def page(code: str) -> Page:
    text = page_path(code).read_text(encoding="utf-8")
    heading, _, rest = text.partition("\n")
    words, *sections = re.split(r"^## (.+)$", rest, flags=re.MULTILINE)
    parts = dict(zip(sections[::2], sections[1::2], strict=True))
    assert list(parts) in (["Wrong", "Mended"], ["Given", "Wrong", "Mended"]), list(parts)
    found = [FENCE.findall(parts.get(name, "")) for name in ("Given", "Wrong", "Mended")]
    assert all(len(dict(blocks)) == len(blocks) for blocks in found), "two blocks of one name"
    return Page(heading, words + FENCE.sub("", "".join(parts.values())), *map(dict, found))


def write(fence: str, text: str) -> None:
    """The file that a fence stands for, in the working folder."""
    kind, _, rest = fence.partition(" ")
    encoding, times = "utf-8", 1
    if kind == "file":
        if match := re.fullmatch(r"(\S+) in (\S+)", rest):
            rest, encoding = match[1], match[2]
        elif match := re.fullmatch(r"(\S+) (\d+) times", rest):
            rest, times = match[1], int(match[2])
    path = Path({"style": "example.style", "card": "body.toml", "table": "sizes.csv", "library": f"{rest}.style", "file": rest}[kind])
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(text.encode(encoding) * times)


def said(example: dict[str, str]) -> list[dict]:
    """What is said of an example whose files are written into the working folder."""
    for fence, text in example.items():
        if fence != "command":
            write(fence, text)
    if "table" in example:
        style, _ = read(Source("none.style", 'language 1\nstyle none "None"\nuse measurements\n'), FolderWorld())
        return [as_data(one) for one in read_table(Source("sizes.csv", example["table"]), style.measurements, style.doubts)[1]]
    body = "body.toml" if "card" in example else "maud"
    usual = (
        f"tapeline check example.style\ntapeline draft example.style --for {body} -o out"
        if "style" in example
        else f"tapeline draft half_circle_skirt --for {body} -o out"
    )
    found = []
    for line in example.get("command", usual).splitlines():
        name, *arguments = shlex.split(line)
        assert name == "tapeline"
        result = CliRunner().invoke(program, [*arguments, "--json"], catch_exceptions=False)
        answer = json.loads(result.stdout)
        found += answer["diagnostics"]
        if answer["exit"]:
            break
    return found


def given_codes() -> set[str]:
    """Every code that stands as a text of its own in the compiler's source."""
    return {code for path in PACKAGE.rglob("*.py") for code in re.findall(r'"([A-Z]\d{3})"', path.read_text(encoding="utf-8"))}


def test_every_code_has_a_page_and_every_page_a_code():
    assert codes() == sorted(given_codes())
    assert {code[0] for code in codes()} == set(LETTERS)


@pytest.mark.parametrize("code", codes())
def test_the_wrong_example_gives_the_code(code, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    one = page(code)
    found = said(one.given | one.wrong)
    first = next((diagnostic for diagnostic in found if diagnostic["severity"] == "error"), found[0] if found else None)
    assert first is not None and first["code"] == code, found


@pytest.mark.parametrize("code", codes())
def test_the_mended_example_is_in_order(code, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    one = page(code)
    found = said(one.given | one.mended)
    assert [diagnostic for diagnostic in found if diagnostic["severity"] == "error" or diagnostic["code"] == code] == []


@pytest.mark.parametrize("code", codes())
def test_a_page_is_whole(code):
    one = page(code)
    assert re.fullmatch(rf"# {code}  \S.{{3,60}}[^.\s]", one.heading)
    assert one.wrong and one.mended and one.wrong != one.mended
    assert 15 <= len(one.words.split()) <= 160, len(one.words.split())
    assert max(map(len, page_path(code).read_text(encoding="utf-8").splitlines())) <= 100
    assert set(CODE.findall(one.words)) <= set(codes())


@pytest.mark.parametrize("code", codes())
def test_mending_is_a_small_change(code):
    one = page(code)
    wrong, mended = ("".join(f"{fence}\n{text}" for fence, text in example.items()).splitlines() for example in (one.wrong, one.mended))
    changes = [change for change in SequenceMatcher(None, wrong, mended, autojunk=False).get_opcodes() if change[0] != "equal"]
    assert 0 < sum(max(change[2] - change[1], change[4] - change[3]) for change in changes) <= MOST_CHANGED


def test_pages_differ():
    """No title and no sentence stands on two pages."""
    seen = {}
    for code in codes():
        one = page(code)
        prose = " ".join(one.words.split())
        for sentence in [one.heading[8:], *re.split(r"(?<=[.:?]) ", prose)]:
            assert len(sentence) < 30 or sentence not in seen, (code, seen[sentence], sentence)
            seen[sentence] = code


def test_pages_are_packaged():
    """They lie inside the package, so that a wheel takes them along."""
    assert page_path("D420").is_relative_to(PACKAGE)
    assert os.listdir(page_path("D420").parent) and all(name.endswith(".md") for name in os.listdir(page_path("D420").parent))
