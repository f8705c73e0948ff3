"""Ways out that can be followed without thinking: what a message offers, as a change of the text.

A way out is written as it would stand in the text, so what it says is put there and nothing is made up: another word in place of one that
is not known, a unit, a bracket, a rule as the message words it, a row that is missing.  A way out that asks for a decision has
no mend.  Each sort of wording is one function of `_WAYS`, which gives changes or nothing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

from ..source.diagnostics import Diagnostic
from ..source.text import Source, Span
from ..syntax import tree
from ..syntax.forms import RECORDS, Statement
from ..syntax.parser import parse
from .renaming import Edit

_QUOTED = re.compile(r'"([^"]+)"')
_NAMED = re.compile(
    r"\A(?:Did you mean (?P<near>.*)\?|.*It is now called (?P<now>\"[^\"]+\")\.|Write (?P<new>\"[^\"]+\") in its place\.)"
)
_UNIT_WORD = re.compile(r"\AWrite the unit as (\S+): ")
_AFTER_NUMBER = re.compile(r"\AWrite a unit after the number: (.*)\.\Z")
_A_UNIT = re.compile(r"\AGive (\S+) a unit: \1 (\S+), or (\S+)\.\Z")
_MEASURE = re.compile(r"\b(measure \w+)\Z")
_BRACKETS = re.compile(r"Put it in brackets: \w+ of \((.*)\)\.\Z")
_RULE = re.compile(
    r"(?:\A|[;,.] )(?:or )?(?:[Ww]rite|[Ss]ay|List its edges in order)(?: as well)?(?:, [^:]*)?: (?P<rule>[^;]+?)\.?(?:;|\Z)"
)
_BELOW = re.compile(r"(?:Write|Say as well,|Say) below (?:the piece )?(?P<piece>\w+): (?P<row>[^;]+?)\.?(?:;|\Z)")
_INSTEAD = re.compile(r"(\w+) (\d+) instead of (\d+)")
_ROW = re.compile(r"\AAdd a row: (?P<rows>.*)\Z")
_SIGNS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "×": "*", "÷": "/", "−": "-", "–": "-", "“": '"', "”": '"', ":": "", "#": "--"}
_TO_FILL = re.compile(r"\b(?:PIECE|EDGE|POINT|NAME|[PQ] to [PQ]|some)\b")  # what the maker has to put in herself
_PART_OF_NUMBER = re.compile(r"[\d.]")


class Mend(NamedTuple):
    """What a way out would do: `title` says it, for a person."""

    title: str
    changes: tuple[Edit, ...]
    diagnostic: Diagnostic


def mends_of(diagnostic: Diagnostic) -> list[Mend]:
    """Every way in which the way out of a diagnostic can be followed at once; none where it must be thought about."""
    if diagnostic.span is None or not diagnostic.suggestion or diagnostic.span.source.name == diagnostic.span.source.text:
        return []
    found: dict[tuple[Edit, ...], Mend] = {}
    for way in _WAYS:
        for title, changes in way(diagnostic, diagnostic.span):
            if any(change.span.text != change.text for change in changes):
                found.setdefault(tuple(changes), Mend(title, tuple(changes), diagnostic))
    return list(found.values())


def mended(source: Source, mend: Mend) -> str:
    """A text with what a mend changes in it."""
    text = source.text
    for change in sorted(mend.changes, key=lambda change: -change.span.start):
        if change.span.source == source:
            text = text[: change.span.start] + change.text + text[change.span.end :]
    return text


Found = Iterator[tuple[str, Sequence[Edit]]]


# ------------------------------------------------------------------------------------------- words


def _another_word(d: Diagnostic, span: Span) -> Found:
    """A near name, the new one of what was renamed, or the phrase that was begun."""
    match = _NAMED.match(d.suggestion)
    for word in _QUOTED.findall(next(filter(None, match.groups()), "")) if match else ():
        yield f'Write "{word}"', [Edit(_last_part(span, word), word)]


def _last_part(span: Span, word: str) -> Span:
    """Of `front.wiast` the name that is meant."""
    dot = span.text.rfind(".")
    return span._replace(start=span.start + dot + 1) if dot >= 0 and "." not in word else span


def _unit(d: Diagnostic, span: Span) -> Found:
    if match := _UNIT_WORD.match(d.suggestion):
        yield f"Write {match[1]}", [Edit(span, match[1])]
    if (match := _AFTER_NUMBER.match(d.suggestion)) and match[1].startswith(span.text.strip()):
        yield f"Write {match[1]}", [Edit(span, match[1])]
    if match := _A_UNIT.match(d.suggestion):
        places = list(re.finditer(rf"(?<![\w.]){re.escape(match[1])}(?![\w.])", span.text))
        if len(places) == 1:
            end = span.start + places[0].end()
            for unit in match.groups()[1:]:
                yield f"Write {match[1]} {unit}", [Edit(span._replace(start=end, end=end), f" {unit}")]
    if d.suggestion == "Write degrees: 14 deg." and re.fullmatch(r"\d+(\.\d+)?", span.text.strip()):
        yield f"Write {span.text.strip()} deg", [Edit(span, f"{span.text.strip()} deg")]


# ------------------------------------------------------------------------------------------- signs and layout


def _sign(d: Diagnostic, span: Span) -> Found:
    if d.code == "S101" and span.text in _SIGNS:
        sign = _SIGNS[span.text]
        before = span.source.text[span.start - 1 : span.start]
        if sign.startswith(" ") and not _PART_OF_NUMBER.match(before):
            sign = sign.strip()
        yield (f"Write {sign.strip()}" if sign else "Take it out"), [Edit(span, sign)]
    if d.code == "S102" and span.text.count('"') == 1:
        end = span.start + len(span.text.rstrip())
        yield 'Close it with "', [Edit(span._replace(start=end, end=end), '"')]
    if d.code == "S105":
        yield "Take it out", [Edit(span, "")]


def _layout(d: Diagnostic, span: Span) -> Found:
    source = span.source
    if d.code == "S103":
        yield "Write spaces in place of the tab", [Edit(span, span.text.expandtabs(4))]
    if d.code == "S104":
        number, opened, end = span.line, source.line(span.line), span.end
        while number <= len(source.starts) and (number == span.line or _deeper(source.line(number), opened)):
            written = source.line(number).partition("--")[0].rstrip()
            end = max(end, source.starts[number - 1] + len(written))
            number += 1
        if source.text[span.end : end].strip():
            yield "Close it with )", [Edit(Span(source, end, end), ")")]
    if d.code == "S108":
        begin = source.starts[span.line - 1]
        yield "Take the indentation away", [Edit(Span(source, begin, span.start), "")]


def _deeper(line: str, than: str) -> bool:
    """Whether a line is indented more than another."""
    return bool(line.strip()) and len(line) - len(line.lstrip()) > len(than) - len(than.lstrip())


def _brackets(d: Diagnostic, span: Span) -> Found:
    match = _BRACKETS.search(d.suggestion)
    if match and source_has(span, match[1]):
        yield f"Write ({match[1]})", [Edit(span._replace(end=span.start + len(match[1])), f"({match[1]})")]


def source_has(span: Span, text: str) -> bool:
    return span.source.text.startswith(text, span.start)


# ------------------------------------------------------------------------------------------- rules


def _measure(d: Diagnostic, span: Span) -> Found:
    """A measure that the style does not say it needs."""
    match = _MEASURE.search(d.suggestion)
    if match is None or not d.suggestion.startswith("Add"):
        return
    name = match[1].partition(" ")[2]
    statements = parse(span.source).tree.statements or ()
    given = [one for one in statements if isinstance(one, tree.Measure)]
    if given:
        end = given[-1].head.end
        yield f"Add {name} to the measures", [Edit(Span(span.source, end, end), f", {name}")]
        return
    uses = [one.span.end for one in statements if isinstance(one, (tree.Use, tree.StartFrom))]
    at = uses[-1] if uses else _end_of_heading(span.source)
    if at:
        yield f"Add: {match[1]}", [Edit(Span(span.source, at, at), f"\n{match[1]}")]


def _end_of_heading(source: Source) -> int:
    heading = parse(source).tree.heading
    return 0 if heading is None or not heading.span.end else heading.span.start + len(heading.span.text.rstrip())


def _another_rule(d: Diagnostic, span: Span) -> Found:
    """A rule as it would be written, in place of the one that is wrong."""
    statement = _statement_at(span)
    for match in _RULE.finditer(d.suggestion):
        rule = match["rule"].strip()
        if "..." in rule or _TO_FILL.search(rule):
            continue
        first = rule.split()[0].rstrip(",")
        if statement is not None and statement.head.text.split()[:1] == [first]:
            yield f"Write: {rule}", [Edit(statement.head, rule)]
        elif span.text.split()[:1] == [first]:
            yield f"Write: {rule}", [Edit(span, rule)]


def _statement_at(span: Span) -> Statement | None:
    """The innermost statement whose own words hold a place."""
    found: Statement | None = None
    for node in parse(span.source).tree.walk():
        if type(node) in RECORDS and isinstance(node, Statement) and node.head.start <= span.start and span.end <= node.head.end:
            found = node
    return found


def _row_below(d: Diagnostic, span: Span) -> Found:
    """A row that a piece needs."""
    for match in _BELOW.finditer(d.suggestion):
        piece = _piece(span.source, match["piece"])
        if piece is not None:
            at = piece.head.end
            yield f"Write below {match['piece']}: {match['row']}", [Edit(Span(span.source, at, at), f"\n    {match['row']}")]


def _piece(source: Source, name: str) -> tree.Piece | tree.Foundation | None:
    for node in parse(source).tree.walk():
        if isinstance(node, (tree.Piece, tree.Foundation)) and node.name == name:
            return node
    return None


def _cut_as_often(d: Diagnostic, span: Span) -> Found:
    """How often pieces are cut, where their numbers do not go together."""
    offers = re.search(r"piece is cut: (.*?)\. Else", d.suggestion)
    for offer in offers[1].split(" or ") if offers else ():
        changes = []
        for name, now, before in _INSTEAD.findall(offer):
            piece = _piece(span.source, name)
            cut = next((node for node in (piece.walk() if piece is not None else ()) if isinstance(node, tree.Cut)), None)
            number = next((word for word in cut.tokens() if word.type == "NUMBER"), None) if cut is not None else None
            if number is None or number != before:
                break
            changes.append(Edit(number.span, now))
        else:
            if changes:
                yield f"Cut {offer}", changes


def _allowance(d: Diagnostic, span: Span) -> Found:
    """A row of `allow` that is missing."""
    match = _ROW.match(d.suggestion)
    blocks = [node for node in parse(span.source).tree.statements or () if isinstance(node, tree.Allow)] if match else []
    if not match or not blocks:
        return
    rows = blocks[-1].span
    end = rows.start + len(rows.text.rstrip())
    for row in match["rows"].split(", or"):
        text = " ".join(row.removeprefix(":").split())
        if "..." not in text:
            yield f"Add a row: {text}", [Edit(Span(span.source, end, end), f"\n    {text}")]


_WAYS: tuple[Callable[[Diagnostic, Span], Found], ...] = (
    _another_word,
    _unit,
    _sign,
    _layout,
    _brackets,
    _measure,
    _another_rule,
    _row_below,
    _cut_as_often,
    _allowance,
)
