"""The parser against any text: it gives a tree or diagnostics that point into the text, and never another exception.

Texts are made up by hypothesis, and good styles are mutated line by line and letter by letter.  The grammar is held
against `tree.py` form by form, and its tables are built anew in Lark's strict mode, which refuses any conflict that
a rule of precedence would otherwise settle in silence.
"""

import re
import string

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lark.exceptions import GrammarError
from test_broken import WORLD

from tapeline.meaning.style import read
from tapeline.source.diagnostics import as_data, has_errors, render
from tapeline.source.text import Source
from tapeline.syntax import tree
from tapeline.syntax.grammar import grammar
from tapeline.syntax.parser import parse
from tapeline.syntax.printing import printed
from tapeline.syntax.tables import built, tables

GOOD = """language 1
style skirt "Skirt" version 1.0
    "A skirt with a dart."

use measurements
measure waist, hip, waist_to_hip

choose length 60 cm from 50 cm to 80 cm "waist to hem"
ease = 4 cm
rule part(girth length) gives (girth + ease) / 4

levels
    waist
    hip  waist_to_hip below waist
    hem  length below waist

piece front "Front"
    cut 1 on fold at centre
    widths from centre, before darts
        waist  part of waist
        hip    part of hip
        hem    2 3/8 in less than hip
    side smooth waist to hip, straight hip to hem
    dip waist 1 cm at centre, hollow 3 mm
    darts 2 on waist, evenly between centre and side
        intake 2.5 cm each
        points 9 cm long, each 1 cm shorter toward side
    when ease at least 3 cm and not (hip is waist)
        grain plumb
    otherwise
        grain at 45 deg

piece panel
    cut 2
    point a  start
    point b  a down 40 cm
    point c  b across 30 cm, raise 1 cm
    point d  where level of a meets plumb of c
    line centre  a to b
    curve hem    b to c, leaving level, long 31 cm down
    line side    c to d
    line top     d to a
    outline top, centre, hem, side

allow
    others 1 cm
require girth at hem at least 80 cm
    "too narrow"
"""
LINES = GOOD.splitlines()
QUICK = settings(
    max_examples=100, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large]
)
MUTATED = settings(QUICK, max_examples=25)  # each is read through to its meaning


def places(node):
    """Every span in a tree, and its forms."""
    if isinstance(node, tree.Node):
        yield node.span
        for field in tree.own_fields(type(node)):
            yield from places(getattr(node, field))
    elif isinstance(node, tuple):
        for one in node:
            yield from places(one)
    elif isinstance(node, tree.Word):
        yield node.span


def sound(text: str):
    """Parse; a tree without diagnostics or diagnostics with places in the text."""
    source = Source("any.style", text)
    parsed = parse(source)
    assert parsed.tree.heading is not None or parsed.diagnostics
    assert printed(parsed.tree, parsed.comments) == text
    spans = [one.span for one in parsed.diagnostics] + list(places(parsed.tree)) + list(parsed.comments)
    spans += [span for one in parsed.diagnostics for span, _ in one.others]
    for span in spans:
        assert span.source == source and 0 <= span.start <= span.end <= len(text)
    for one in parsed.diagnostics:
        assert one.title and (one.expected or one.suggestion)
        assert render(one) and as_data(one)["place"]["line"] >= 1
    return parsed


def test_the_good_style_is_good():
    parsed = sound(GOOD)
    assert parsed.diagnostics == [] and not parsed.skipped_names and not parsed.damaged
    style, said = read(Source("good.style", GOOD), WORLD)
    assert style is not None and not has_errors(said), [render(one) for one in said]


def test_words_lie_where_their_places_say():
    for node in _nodes(sound(GOOD).tree):
        for field in tree.own_fields(type(node)):
            value = getattr(node, field)
            if isinstance(value, tree.Word):
                assert " ".join(value.span.text.split()) == " ".join(str(value).split())


def _nodes(node):
    if isinstance(node, tree.Node):
        yield node
        for field in tree.own_fields(type(node)):
            yield from _nodes(getattr(node, field))
    elif isinstance(node, tuple):
        for one in node:
            yield from _nodes(one)


# ------------------------------------------------------------------------------------------- any text

KEYWORDS = {word for phrase in tables().words for word in phrase.split(" ")}
WORDS = sorted(KEYWORDS | {"waist", "hip", "2 cm", "7 3/8 in", '"x"', "1", "12.5 %", "-- note", "A'", "6A"})
SOUP = st.lists(st.sampled_from([*WORDS, "\n", "\n    ", "\n        ", "\n  ", "\n\t"]), max_size=40).map(" ".join)


@QUICK
@given(st.text())
def test_any_text(text):
    sound(text)


@QUICK
@given(st.text(alphabet=string.printable + "½²“”\u00a0\u2028\ufeffé"))
def test_any_typed_text(text):
    sound(text)


@QUICK
@given(SOUP)
def test_any_words_of_the_language(text):
    sound(text)
    sound('language 1\nstyle s "S"\n' + text)


PATCHES = ["", " ", "\n", "    ", "\t", "(", ")", '"', ",", "x", "9", "½", ".", "="]


@MUTATED
@given(st.data())
def test_a_good_style_with_letters_changed(data):
    text = GOOD
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        end = min(len(text), at + data.draw(st.integers(0, 12)))
        text = text[:at] + data.draw(st.sampled_from(PATCHES)) + text[end:]
    sound(text)
    read(Source("any.style", text), WORLD)


@MUTATED
@given(st.data())
def test_a_good_style_with_lines_changed(data):
    lines = list(LINES)
    for _ in range(data.draw(st.integers(1, 3))):
        one, other = (data.draw(st.integers(0, len(lines) - 1)) for _ in range(2))
        how = data.draw(st.sampled_from(["drop", "double", "swap", "indent", "outdent"]))
        if how == "drop" and len(lines) > 1:
            del lines[one]
        elif how == "double":
            lines.insert(other, lines[one])
        elif how == "swap":
            lines[one], lines[other] = lines[other], lines[one]
        elif how == "indent":
            lines[one] = "    " + lines[one]
        else:
            lines[one] = lines[one][min(4, len(lines[one]) - len(lines[one].lstrip())) :]
    text = "\n".join(lines)
    sound(text)
    read(Source("any.style", text), WORLD)


# ------------------------------------------------------------------------------------------- recovery

SINGLE = [number for number, line in enumerate(LINES) if number > 3 and line.strip()]


@pytest.mark.parametrize("number", SINGLE)
def test_one_bad_line_is_said_once_and_the_rest_is_kept(number):
    """A line that cannot be read costs its own statement (and header, where it was the only line below it)."""
    lines = list(LINES)
    indent = len(lines[number]) - len(lines[number].lstrip())
    lines[number] = " " * indent + "? " + lines[number].strip()
    parsed = sound("\n".join(lines))
    assert [(one.code, one.span.line) for one in parsed.diagnostics] == [("S101", number + 1)]
    whole = [type(node).__name__ for node in parse(Source("", GOOD)).tree.statements]
    kept = [type(node).__name__ for node in parsed.tree.statements]
    assert len(whole) - len(kept) <= 1, (whole, kept)


def test_three_mistakes_are_three_diagnostics_and_the_rest_is_a_tree():
    text = GOOD.replace("ease = 4 cm", "ease 4 cm").replace("intake 2.5 cm each", "intake 2.5 cm ech")
    text = text.replace("others 1 cm", "others 1 cm 2")
    parsed = sound(text)
    wrong = [
        number
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() in ("ease 4 cm", "intake 2.5 cm ech", "others 1 cm 2")
    ]
    assert [one.span.line for one in parsed.diagnostics] == wrong
    kept = [type(node).__name__ for node in parsed.tree.statements]
    assert kept.count("Piece") == 2 and "Levels" in kept and "Require" in kept and "Allow" not in kept


# ------------------------------------------------------------------------------------------- the grammar


def test_every_rule_that_makes_a_node_has_a_form():
    """Building the tables looks up the form of each rule; here, that no form is left without one."""
    made = {reduction.form for reduction in tables().reductions}
    assert set(tree.FORMS.values()) - made == {tree.Broken}, "these forms are made by no rule"


def test_every_form_takes_as_many_fields_as_its_rules_give():
    for reduction in tables().reductions:
        if reduction.form is not None and reduction.form not in (tree.Ref, tree.Without):
            assert len(reduction.picks) == len(tree.own_fields(reduction.form)), reduction.form


def test_every_statement_says_what_it_is_and_where_it_stands():
    for form, record in tree.RECORDS.items():
        assert record.documentation.endswith(".") and record.within, form
        assert record.without is None or record.key is not None, f"{form}: what is taken away must have a key"


def test_the_tables_have_no_conflicts():
    """Strict mode refuses shift/reduce conflicts; Lark refuses reduce/reduce conflicts in any mode."""

    assert built(grammar(), strict=True)
    ambiguous = re.sub(r"(\?sum: product\n)", r"\1     | sum PLUS sum -> binary\n", grammar())
    assert ambiguous != grammar()
    with pytest.raises(GrammarError):
        built(ambiguous, strict=True)
