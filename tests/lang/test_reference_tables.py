"""The tables of the language reference against the grammar and the records of statements.

A form of the reference, `pivot DART to EDGE at PLACE`, is held against a rule of the grammar by the words that the rule cannot do
without: they must stand in the form in their order, the first of them first.  Of several rules that a form fits, it is that of the
rule with the most such words.  What is optional in a rule, and what stands in place of a value, may differ.
"""

import re
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest

from tapeline.syntax.grammar import grammar
from tapeline.syntax.parser import tables
from tapeline.syntax.tree import RECORDS, Where

REFERENCE = (Path(__file__).resolve().parents[2] / "compiler" / "LANGUAGE.md").read_text(encoding="utf-8")
HEADINGS = ("language ", "style ", "library ", "fittings ")  # of a file; they are no statements
GRAMMAR = {
    name: [" ".join(part.split()) for part in re.split(r"(?m)^\s+\| | \| ", alternatives)]
    for name, alternatives in re.findall(r"(?m)^\??(\w+): ((?:.|\n +\|)+)$", grammar())
}


def rows(head: str) -> list[list[str]]:
    """The cells of the table whose heading begins with this cell."""
    table = re.search(rf"^\| {head} \|.*\n\|[-|]+\n((?:\|.*\n)+)", REFERENCE, re.MULTILINE)
    return [[cell.strip() for cell in row.split("|")[1:-1]] for row in table[1].splitlines()]


def forms(cell: str) -> list[str]:
    """The forms of a cell; what stands behind `with` are parts of them."""
    end = cell.find("` with ")
    return re.findall("`([^`]*)`", cell if end < 0 else cell[: end + 1])


def needed(rule: str) -> list[str]:
    """Patterns of the words that a rule cannot do without, those of a `tape` in it among them."""
    head = re.sub(r"\[[^\[\]]*\]", "", rule.split(" -> ")[0].split(" _NL")[0])  # without what is optional
    first, *others = re.findall(r'"[^"]*"|\S+', re.sub(r"\btape(?![^\"]*\" )", GRAMMAR["tape"][0], head))
    return [_first(first), *(re.escape(part[1:-1]) for part in others if part.startswith('"'))]


def _first(part: str) -> str:
    """A rule begins with a word, with one of several, or with a name or value, which stands in capitals in a form."""
    if part.startswith('"'):
        return re.escape(part[1:-1])
    return "|".join(spellings(part)) if part in ("DIRECTION", "DIP", "RUN_EDGE") else "[A-Z]+"


def spellings(terminal: str) -> list[str]:
    return [" ".join(words) for words in tables().words_of[terminal]]


def meant(form: str, rules: Mapping[str, str]) -> set[str]:
    """The names of those rules that a form is one of."""
    patterns = {name: needed(rule) for name, rule in rules.items()}
    found = {name: len(" ".join(words).split()) for name, words in patterns.items() if fits(form, words)}
    return {name for name, words in found.items() if words == max(found.values())}


def fits(form: str, words: Iterable[str]) -> bool:
    return bool(re.match(".*?".join(rf"(?<!\w)(?:{word})(?!\w)" if word[-1].isalpha() else f"(?:{word})" for word in words), form))


# ------------------------------------------------------------------------------------------------ statements

STATEMENTS = [
    (cells[0], cells[1]) for cells in rows("statement \\| where") if not cells[0].startswith(tuple(f"`{one}" for one in HEADINGS))
]


def where(cell: str) -> Where:
    """`piece (by level), sheet` -> where that is; what stands in brackets narrows it down for the reader."""
    assert re.fullmatch(r"\w+(?: \([^)]*\))?(?:, \w+(?: \([^)]*\))?)*", cell), cell
    found = Where(0)
    for word in re.sub(r" \([^)]*\)", "", cell).split(", "):
        found |= Where[word.upper()]
    return found


def documented(place: Where, form: str) -> set[str]:
    """The statements that may stand just there of which this is a form."""
    return meant(form, {record.name: record.rule for record in RECORDS.values() if record.within == place})


@pytest.mark.parametrize("record", RECORDS.values(), ids=[record.name for record in RECORDS.values()])
def test_every_statement_has_a_row_that_says_where_it_may_stand(record):
    places = {cell for statements, cell in STATEMENTS for form in forms(statements) if record.name in documented(where(cell), form)}
    assert places, f"{record.rule} has no form in a row whose place is that of its record, {record.within}"


@pytest.mark.parametrize("statements, cell", STATEMENTS)
def test_every_row_is_of_statements(statements, cell):
    assert forms(statements)
    for form in forms(statements):
        assert form.startswith("without ") or documented(where(cell), form), f"{form} in {cell} is no statement"


def test_every_record_says_what_its_statement_is_for():
    assert all(record.documentation.endswith(".") for record in RECORDS.values())


# ------------------------------------------------------------------------------------------------ points


@pytest.mark.parametrize("name", ["base", "move"])
def test_the_tables_of_points_are_those_of_the_grammar(name):
    rules = {rule.rpartition(" -> ")[2]: rule for rule in GRAMMAR[name]}
    assert len(rules) == len(GRAMMAR[name]) > 5
    shown = {form: meant(form, rules) for cells in rows(name) for form in forms(cells[0])}
    assert [form for form, found in shown.items() if len(found) != 1] == []
    assert set.union(*shown.values()) == set(rules)


def test_every_direction_is_a_move():
    moves = [form for cells in rows("move") for form in forms(cells[0])]
    assert sorted(form.removesuffix(" X") for form in moves if re.fullmatch("[a-z ]+ X", form)) == sorted(spellings("DIRECTION"))
