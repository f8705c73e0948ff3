"""The tree holds the whole text: printed again it is the text, letter for letter, also where much of it cannot be read.

Every style of the repository is tried, and texts made of them by cutting, doubling, swapping, indenting and patching;
`MUTATED=100000` tries so many.
"""

import os
import random
from dataclasses import is_dataclass
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_parser import GOOD, QUICK, SOUP

from mutations import mutated
from tapeline.source.text import Source, Span
from tapeline.syntax import tree
from tapeline.syntax.parser import Parsed, parse
from tapeline.syntax.printing import printed
from tapeline.syntax.trivia import trivia

ROOT = Path(__file__).resolve().parents[2]
STYLES = sorted(path for folder in ("styles", "stdlib", "tests") for path in (ROOT / folder).rglob("*.style"))
TEXTS = [path.read_bytes().decode("utf-8", "replace") for path in STYLES]
MUTATED = int(os.environ.get("MUTATED", "300"))


def whole(text: str) -> Parsed:
    """Parse a text; its tree is the text, every node covers its children, and these stand in order."""
    parsed = parse(Source("any.style", text))
    assert printed(parsed.tree, parsed.comments) == text
    for node in parsed.tree.walk():
        at = node.span.start
        for child in node.children:
            assert at <= child.span.start <= child.span.end <= node.span.end, (node, child)
            at = child.span.end
    return parsed


@pytest.mark.parametrize("text", TEXTS, ids=[path.relative_to(ROOT).as_posix() for path in STYLES])
def test_a_style_of_the_repository_is_printed_as_it_stands(text):
    whole(text)


def test_mutated_styles_are_printed_as_they_stand():
    dice = random.Random(20)
    for _ in range(MUTATED):
        whole(mutated(dice.choice(TEXTS), dice))


@QUICK
@given(st.one_of(st.text(), SOUP))
def test_any_text_is_printed_as_it_stands(text):
    whole(text)


@pytest.mark.parametrize("text", [*TEXTS, *(mutated(text, random.Random(number)) for number, text in enumerate(TEXTS))])
def test_every_comment_belongs_to_one_place(text):
    parsed = whole(text)
    found = trivia(parsed.tree, parsed.comments)
    placed = [span for where in (found.above, found.beside, found.inside) for spans in where.values() for span in spans]
    assert sorted(placed) == sorted(parsed.comments)
    for node, count in found.blank_lines.items():
        assert count > 0 and node in set(parsed.tree.walk())


def test_a_word_that_is_in_no_node_is_told():
    parsed = parse(Source("good.style", GOOD))
    lame = tree.Start(parsed.tree.span, parsed.tree.language, parsed.tree.heading, (), children=parsed.tree.children[:-1])
    with pytest.raises(ValueError, match="not in the tree"):
        printed(lame, parsed.comments)


def test_the_span_of_a_statement_covers_its_body():
    for node in whole(GOOD).tree.walk():
        assert is_dataclass(node)
        for child in node.children:
            assert node.span.start <= child.span.start and child.span.end <= node.span.end
    front = next(node for node in whole(GOOD).tree.walk() if isinstance(node, tree.Piece))
    assert front.head.text == 'piece front "Front"' and front.span.text.endswith("grain at 45 deg")
    assert list(front.tokens())[:3] == ["piece", "front", '"Front"']


def test_what_cannot_be_read_stands_in_its_body():
    text = GOOD.replace("    cut 1 on fold at centre", "    cut one on fold\n        at centre").replace("ease = 4 cm", "?? 4 cm")
    parsed = whole(text)
    broken = [node for node in parsed.tree.walk() if isinstance(node, tree.Broken)]
    assert [node.span.text for node in broken] == ["?? 4 cm", "cut one on fold\n        at centre"]
    front = next(node for node in parsed.tree.walk() if isinstance(node, tree.Piece))
    assert broken[1] in set(front.walk()) and broken[0] in parsed.tree.children
    assert broken[1] not in set(front.body.statements)


def test_a_mark_of_byte_order_before_a_text_says_nothing():
    assert whole("\ufeff" + GOOD).diagnostics == []


def test_a_rule_that_gives_nothing_is_told_and_stands_as_it_is():
    parsed = whole('language 1\nstyle s "S"\nrule r (a length,\n        b length)\n    way = a / b\nx = 1\n')
    assert [(one.code, one.span.line) for one in parsed.diagnostics] == [("S106", 3)]
    assert [node.span.text[:6] for node in parsed.tree.walk() if isinstance(node, tree.Broken)] == ["rule r"]


def test_comments_and_blank_lines_lie_with_their_statements():
    text = """-- the file

language 1
style s "S"   -- beside

-- how she is measured
measure waist
levels
    -- the first
    waist
    -- below all levels
"""
    parsed = whole(text)
    found = trivia(parsed.tree, parsed.comments)

    def named(where: dict[tree.Node, list[Span]]) -> dict[str, list[str]]:
        return {type(node).__name__: [span.text for span in spans] for node, spans in where.items()}

    assert named(found.above) == {"Measure": ["-- how she is measured"], "LevelFirst": ["-- the first"]}
    assert named(found.beside) == {"Style": ["-- beside"]}
    assert named(found.inside) == {"Start": ["-- the file"], "Levels": ["-- below all levels"]}
    assert {type(node).__name__: count for node, count in found.blank_lines.items()} == {"Language": 1, "Measure": 1}


@QUICK
@given(st.text(alphabet="a\U0001f9f5é\n \u2028x", max_size=40), st.data())
def test_positions_as_editors_count_lead_back(text, data):
    source = Source("any.style", text)
    offset = data.draw(st.integers(0, len(text)))
    line, column = source.utf16_position(offset)
    assert source.offset_at(line, column) == offset
    before = text[:offset].rpartition("\n")[2]
    assert (line, column) == (text[:offset].count("\n"), sum(2 if ord(letter) > 0xFFFF else 1 for letter in before))
