"""Every fenced block of the language reference and of the read-me is read, drafted and finished as its fence says.

Fences: `style` is a whole file, which must be sound, be drafted for the card of Maud Ferrow where the card has its
measures, and fulfil its own worked examples; `part` is some statements of a style, `part skirt` the same behind a
skirt of two pieces, `part level` and `part point` the statements of a piece by level or by point: each is set into
the style of `AROUND`; `fail CODE` is a whole file that must give that code.  `library NAME` is a library that the
blocks may use, `base NAME` a style that they may start from, and sound itself.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pytest

from tapeline.bodies.card import read_card
from tapeline.desk.explaining import measures
from tapeline.drafting.examples import run_examples
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.cutting import ALLOWANCE_KINDS, CORNER_KINDS, SQUARE
from tapeline.meaning.functions import FUNCTIONS
from tapeline.meaning.style import read
from tapeline.source.diagnostics import has_errors, render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text
from tapeline.syntax.parser import parse, tables

ROOT = Path(__file__).resolve().parents[2]
REFERENCE = ROOT / "compiler" / "LANGUAGE.md"
PAGES = (REFERENCE, ROOT / "README.md")
CARD = ROOT / "styles" / "bodies" / "maud.toml"

HEAD = """language 1
style part "A part of a style"
measure bust, waist, hip, waist_to_hip, waist_to_knee, nape_to_waist, across_back, shoulder, shoulder_slope
levels
    waist
    hip   waist_to_hip below waist
    knee  waist_to_knee below waist
    hem   65 cm below waist
"""
SKIRT = """
piece front "Front"
    cut 1 on fold at centre
    widths from centre, with darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
        hem as hip
    side smooth waist to hip, straight hip to hem
piece back "Back"
    cut 2
    widths from centre, with darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
        hem as hip
    side smooth waist to hip, straight hip to hem
"""
LEVEL = """
piece panel "Panel"
    cut 2
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4 + 1 cm
        hem as hip
"""
POINT = """
piece panel "Panel"
    cut 2
    point A start
    point B A across 24 cm
    point C A down 60 cm
    point D B down 60 cm
    line  centre A to C
    line  top    A to B
    line  side   B to D
    line  hem    C to D
"""
OUTLINE = "    outline centre, top, side, hem\n"


class Block(NamedTuple):
    page: str
    line: int
    fence: str
    text: str

    @property
    def place(self) -> str:
        return f"{self.page}:{self.line}"


def blocks() -> list[Block]:
    found = []
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        found += [
            Block(page.name, text.count("\n", 0, match.start()) + 1, match[1].strip(), match[2])
            for match in re.finditer(r"^```([^\n]*)\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
        ]
    return found


BLOCKS = blocks()
RUN = [block for block in BLOCKS if block.fence.split(" ")[0] in ("style", "part", "fail", "base")]


def indented(text: str) -> str:
    return "".join("    " + line if line.strip() else line for line in text.splitlines(keepends=True))


def around(fence: str, text: str) -> str:
    """The whole style for a `part` fence."""
    outline = "" if re.search(r"^outline ", text, re.MULTILINE) else OUTLINE
    point = POINT.replace("    cut 2\n", "") if re.search(r"^cut ", text, re.MULTILINE) else POINT
    return {
        "part": HEAD + text,
        "part skirt": HEAD + SKIRT + text,
        "part level": HEAD + LEVEL + indented(text),
        "part point": HEAD + point + indented(text) + outline,
    }[fence]


@pytest.fixture(scope="module")
def world(tmp_path_factory) -> FolderWorld:
    folder = tmp_path_factory.mktemp("house")
    for block in BLOCKS:
        if block.fence.startswith(("library ", "base ")):
            (folder / f"{block.fence.split(' ')[1]}.style").write_text(block.text, encoding="utf-8")
    return FolderWorld(folder)


def drafted(style, card):
    plan = style.plan()
    if any(name not in card.values for name in plan.measures):
        return []
    return draft(style, {name: np.array([card.values[name]]) for name in plan.measures})


def complaints(drafts) -> list:
    found = []
    for one in drafts:
        failures = [*one.failures, *(finish(one.pattern)[1] if not one.failed.any() else [])]
        found += [failure.diagnostic(0) for failure in failures if failure.bodies[0]]
    return found


@pytest.mark.parametrize("block", RUN, ids=[block.place for block in RUN])
def test_block(block: Block, world: FolderWorld):
    text = around(block.fence, block.text) if block.fence.startswith("part") else block.text
    style, diagnostics = read(Source(block.place, text), world)
    if block.fence.startswith("fail "):
        card = read_card(read_text(CARD)[0], style.measurements, style.doubts)[0] if style else None
        said = [*diagnostics, *(complaints(drafted(style, card)) if style else [])]
        assert block.fence.split(" ")[1] in {one.code for one in said}, "\n".join(map(render, said))
        return
    assert style is not None and not has_errors(diagnostics), "\n".join(map(render, diagnostics))
    card, problems = read_card(read_text(CARD)[0], style.measurements, style.doubts)
    assert not has_errors(problems)
    errors = [one for one in complaints(drafted(style, card)) if one.severity == "error"]
    assert not errors, "\n".join(map(render, errors))
    unmet = run_examples(style)
    assert not unmet, "\n".join(map(render, unmet))


def test_the_card_is_read_as_it_is_said():
    """Heel is kept, though no style here knows it; the waist is greater than the hip, and accepted."""
    (block,) = [block for block in BLOCKS if block.fence == "toml" and "heel" in block.text]
    style, _ = read(Source("skirt.style", 'language 1\nstyle skirt "Skirt"\nmeasure waist, hip, waist_to_hip\n'), FolderWorld())
    card, said = read_card(Source("ada.toml", block.text), style.measurements, style.doubts, style.needed)
    assert card is not None and said == []
    assert (card.name, card.note, card.written["heel"]) == ("Ada Quay", "taken over a slip", "9 cm")
    assert card.values == pytest.approx({"waist": 40.25 * 25.4, "hip": 39.75 * 25.4, "waist_to_hip": 205.0}, abs=1e-6)


def test_fences_are_known():
    """A block whose fence is misspelt would silently not be run."""
    fences = {"style", "part", "part skirt", "part level", "part point", "text", "sh", "python", "toml", "fittings", ""}
    for block in BLOCKS:
        assert block.fence in fences or re.fullmatch(r"fail [A-Z]\d{3}|(library|base) \w+", block.fence), block


def test_every_phrase_of_the_grammar_is_explained():
    """Each word or phrase of the grammar stands in the reference, in code."""
    page = REFERENCE.read_text(encoding="utf-8")
    coded = " ".join(re.findall(r"^```[^\n]*\n.*?^```$|`[^`\n]+`", page, re.MULTILINE | re.DOTALL))
    flat = " ".join(re.sub(r"```\w*|`", " ", coded).split())
    phrases = [" ".join(words) for found in tables().phrases.values() for words, _ in found]
    words = [phrase for phrase in phrases if re.match(r"\w", phrase)]
    assert len(words) > 100
    missing = [phrase for phrase in words if not re.search(rf"(?<!\w){re.escape(phrase)}(?!\w)", flat)]
    assert not missing


def test_the_table_of_functions_is_that_of_their_records():
    page = REFERENCE.read_text(encoding="utf-8")
    rows = re.search(r"^\| function \|.*\n\|.*\n((?:\|.*\n)+)", page, re.MULTILINE)[1].splitlines()
    assert rows == [f"| `{function.form}` | {function.doc} |" for function in FUNCTIONS.values()]


def test_the_kinds_of_allowances_and_corners_are_those_of_their_records():
    page, words = REFERENCE.read_text(encoding="utf-8"), tables().words_of
    assert {" ".join(one) for one in words["ALLOWANCE"]} == set(ALLOWANCE_KINDS)
    assert {" ".join(one) for one in words["CORNER"]} == set(CORNER_KINDS) - {SQUARE}  # which is said with its edge
    rows = re.search(r"^\| kind \|.*\n\|.*\n((?:\|.*\n)+)", page, re.MULTILINE)[1].splitlines()
    assert rows == [f"| `{kind.form}` | {kind.doc} |" for kind in CORNER_KINDS.values()]
    said = re.search(r"^The kind is `(.*)` if nothing is said, or `(.*)`\.$", page, re.MULTILINE)
    assert {said[1], *said[2].split("`, `")} == set(ALLOWANCE_KINDS)


def test_every_measure_of_the_library_is_explained_as_it_is_taken():
    page = REFERENCE.read_text(encoding="utf-8")
    rows = re.findall(r"^\| `(\w+)` \| (girth|length|height|width|angle) \| (\w+) \| (.+) \|$", page, re.MULTILINE)
    assert rows == [(one.name, one.kind, one.sides or "none", one.taken) for one in measures().values()]


def test_long_lists_are_read_once():
    """A trial of the next word once lengthened the list before it."""
    text = """language 1
style lists "Lists"
line zigzag A to B to C to D to E
points a, b, c, d divide A to B
sew p.a and p.b and p.c and p.d to q.a and q.b and q.c
"""
    line, division, sew = parse(Source("lists", text)).tree.statements
    assert [str(stop.point) for stop in line.stops] == ["B", "C", "D", "E"]
    assert [str(name) for name in division.names] == ["a", "b", "c", "d"]
    assert [str(ref) for ref in sew.one] == ["p.a", "p.b", "p.c", "p.d"]
    assert [str(ref) for ref in sew.other] == ["q.a", "q.b", "q.c"]
