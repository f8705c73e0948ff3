"""Text to lines of lexemes.

The scanner knows only shapes: words, numbers, quantities (`7 3/8 in`, `18.5 cm`, `12 %`), texts in double quotes
and signs.  It does not know which words are keywords: that depends on where the parser stands.  Each logical line
carries its indentation; blank lines and comments (from `--` to the line's end) carry none and are dropped, the
comments kept aside.  A line runs on into deeper-indented lines while a bracket is open or where it ends in a comma.
Mistakes of shape (a tab in the indentation, an unclosed text or bracket, an unknown character) are diagnosed here
and spoil only their own line, which is handed on without lexemes: the parser must know where one is missing.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from ..source.diagnostics import Diagnostic
from ..source.text import BLANK, Source, Span
from ..source.units import WRITTEN, pattern

MOST_LEXEMES = 400  # in one statement: bounds the depth of its tree
MOST_DIGITS = 40
MOST_BRACKETS = 40
MOST_CHARACTERS = 1_000_000

_UNITS = pattern(unit.word for unit in WRITTEN if unit.of != "number")
_SHARES = pattern(unit.word for unit in WRITTEN if unit.of == "number")
_LEXEME = re.compile(
    rf"""
    (?P<blank>[ \t\r]+)
  | (?P<comment>--.*)
  | (?P<QUANTITY>(?:(?:\d+[ ]+)?\d+/[1-9]\d*|\d+(?:\.\d+)?)[ ]*(?:{_UNITS})(?!\w)
      | \d+(?:\.\d+)?[ ]*(?:{_SHARES}))
  | (?P<NAME>\d+[^\W\d]\w*'*)
  | (?P<NUMBER>\d+[ ]+\d+/[1-9]\d*|\d+(?:\.\d+)*)
  | (?P<WORD>[^\W\d]\w*'*)
  | (?P<STRING>"[^"]*")
  | (?P<SIGN>[-+*/(),.=])
    """,
    re.VERBOSE,
)

_CHARACTER_HINTS = {
    '"': "A text begins and ends with a straight double quote on the same line.",
    "“": 'Use straight double quotes: "like this".',
    "”": 'Use straight double quotes: "like this".',
    "#": "A comment begins with two hyphens: -- like this.",
    "½": "Write the fraction as 1/2.",
    "¼": "Write the fraction as 1/4.",
    "¾": "Write the fraction as 3/4.",
    "×": "Multiply with *.",
    "÷": "Divide with /.",
    "−": "Use the plain hyphen - as the minus sign.",
    "–": "Use the plain hyphen - as the minus sign.",
    ":": "No colon is needed: the indented lines below belong to the line above.",
    ";": "Begin a new line instead.",
    ">": 'Compare in words: "more than" or "at least".',
    "<": 'Compare in words: "less than" or "at most".',
}


class Lexeme(NamedTuple):
    kind: str  # WORD, NAME, NUMBER, QUANTITY, STRING or SIGN
    text: str
    span: Span


class LogicalLine(NamedTuple):
    """One statement's lexemes and how far it is indented (in spaces).  A spoiled one has no lexemes."""

    indent: int
    lexemes: list[Lexeme]
    span: Span


def scan(source: Source) -> tuple[list[LogicalLine], list[Span], list[str], list[Diagnostic]]:
    """(logical lines, comments, words of spoiled lines, diagnostics)."""
    if len(source.text) > MOST_CHARACTERS:
        whole = Span(source, 0, 1)
        return (
            [],
            [],
            [],
            [
                Diagnostic(
                    "S111",
                    "The file is too long",
                    whole,
                    f"at most {MOST_CHARACTERS} characters",
                    f"{len(source.text)} characters",
                    "Divide it into a style and a library.",
                )
            ],
        )
    return _Scanner(source).run()


def scan_begun(source: Source) -> tuple[list[LogicalLine], LogicalLine | None]:
    """(the logical lines before the one that a text breaks off in, that one, which has no lexemes where none of it is written).

    None for the last where the text breaks off in a comment or a text in quotes, or holds what no line can.
    """
    if len(source.text) > MOST_CHARACTERS:
        return [], None
    scanner = _Scanner(source)
    scanner.begun = True
    lines = scanner.run()[0]
    begin, end = source.starts[-1], len(source.text)
    written = source.text[begin:].lstrip(BLANK)
    place = Span(source, end - len(written), end)
    if written.startswith("--") or (scanner.comments and scanner.comments[-1].end == end and scanner.comments[-1].start >= begin):
        return lines, None
    if scanner.pending is not None:  # it runs on
        return lines, scanner.pending
    if not written:
        return lines, LogicalLine(end - begin, [], place)
    return (lines[:-1], lines[-1]) if lines and lines[-1].lexemes and lines[-1].lexemes[-1].span.start >= begin else (lines, None)


class _Scanner:
    def __init__(self, source: Source):
        self.source = source
        self.lines: list[LogicalLine] = []
        self.comments: list[Span] = []
        self.spoiled: list[str] = []
        self.diagnostics: list[Diagnostic] = []
        self.begun = False  # whether the text breaks off, and more is to come
        self.pending: LogicalLine | None = None  # the line that it breaks off in, where that runs on

    def run(self) -> tuple[list[LogicalLine], list[Span], list[str], list[Diagnostic]]:
        pending: LogicalLine | None = None  # a line that may run on
        spoiled: int | None = None  # indentation of a spoiled statement: its deeper lines go with it
        for number, start in enumerate(self.source.starts, 1):
            text = self.source.line(number)
            body = text.lstrip(BLANK)
            if not body or body.startswith("--"):
                if body:
                    self.comments.append(Span(self.source, start + len(text) - len(body), start + len(text)))
                continue
            begin = len(text) - len(body)
            indent = begin - text.startswith("\ufeff")  # with which some editors begin a file
            if pending is not None:
                if indent > pending.indent:
                    more = self.lexemes(start + begin, start + len(text))
                    if more is None:
                        self.spoil(pending.span.start, start + len(text), pending.indent)
                        spoiled, pending = pending.indent, None
                        continue
                    pending.lexemes.extend(more)
                    pending = self.settle(pending)
                    continue
                if (opened := _open_bracket(pending.lexemes)) is not None:
                    self.unclosed(opened, pending.indent)
                else:
                    self.lines.append(pending)  # the parser says what should follow the comma
                pending = None
            if spoiled is not None and indent > spoiled:
                self.spoil(start, start + len(text), None)
                continue
            spoiled = None
            if "\t" in text[:begin]:
                self.tab(Span(self.source, start, start + begin))
                self.spoil(start, start + len(text), indent)
                spoiled = indent
                continue
            lexemes = self.lexemes(start + begin, start + len(text))
            if lexemes is None:
                self.spoil(start, start + len(text), indent)
                spoiled = indent
                continue
            pending = self.settle(LogicalLine(indent, lexemes, Span(self.source, start + begin, start + len(text))))
        if self.begun:
            self.pending = pending
        elif pending is not None:
            if (opened := _open_bracket(pending.lexemes)) is not None:
                self.unclosed(opened, pending.indent)
            else:
                self.lines.append(pending)
        return self.lines, self.comments, self.spoiled, self.diagnostics

    def settle(self, line: LogicalLine) -> LogicalLine | None:
        """Keep a finished line, or hand it back where it runs on."""
        if len(line.lexemes) > MOST_LEXEMES:
            self.spoil(line.span.start, line.lexemes[-1].span.end, line.indent)
            self.diagnostics.append(
                Diagnostic(
                    "S111",
                    "This statement is too long",
                    line.lexemes[0].span,
                    f"at most {MOST_LEXEMES} words and signs",
                    f"{len(line.lexemes)}",
                    "Give parts of it names of their own.",
                )
            )
            return None
        if _open_bracket(line.lexemes) is not None or line.lexemes[-1].text == ",":
            return line
        self.lines.append(line)
        return None

    def lexemes(self, start: int, end: int) -> list[Lexeme] | None:
        lexemes: list[Lexeme] = []
        at = start
        while at < end:
            match = _LEXEME.match(self.source.text, at, end)
            if match is None:
                self.unknown(at, end)
                return None
            kind = match.lastgroup or ""
            if kind == "blank":
                at = match.end()
                continue
            span = Span(self.source, at, match.end())
            if kind in ("WORD", "NAME"):
                odd = None if match[0].isascii() else next((index for index, c in enumerate(match[0]) if not _in_name(c)), None)
                if odd is not None:  # signs such as a fraction or a raised 2, which count as letters elsewhere
                    self.unknown(at + odd, end)
                    return None
            if kind in ("NUMBER", "QUANTITY") and len(match[0]) > MOST_DIGITS:
                self.diagnostics.append(
                    Diagnostic(
                        "S111",
                        "This number is too long",
                        span,
                        f"at most {MOST_DIGITS} characters",
                        f"{len(match[0])}",
                        "Write it with fewer figures.",
                    )
                )
                return None
            if kind == "comment":
                self.comments.append(span)
            else:
                lexemes.append(Lexeme(kind, match[0], span))
            at = match.end()
        return lexemes

    def unknown(self, at: int, end: int) -> None:
        character = self.source.text[at]
        if character == '"':
            self.diagnostics.append(
                Diagnostic(
                    "S102",
                    "This text is not closed",
                    Span(self.source, at, end),
                    'a closing " on the same line',
                    "the end of the line",
                    _CHARACTER_HINTS['"'],
                )
            )
            return
        self.diagnostics.append(
            Diagnostic(
                "S101",
                f"The character {character!r} is not used in the language",
                Span(self.source, at, at + 1),
                "words, numbers, texts in quotes, and + - * / ( ) , . =",
                f"{character!r} (U+{ord(character):04X})",
                _CHARACTER_HINTS.get(character, "Take it out, or put it inside a text in quotes."),
            )
        )

    def tab(self, span: Span) -> None:
        self.diagnostics.append(
            Diagnostic(
                "S103",
                "A tab stands in the indentation",
                span,
                "spaces only",
                "a tab" if span.text.strip(" ") == span.text else "tabs and spaces mixed",
                "Replace each tab at the start of the line by spaces.",
            )
        )

    def spoil(self, start: int, end: int, indent: int | None) -> None:
        """Leave this out, but keep its words, and its place where a statement begins here."""
        if indent is not None:
            self.lines.append(LogicalLine(indent, [], Span(self.source, start, end)))
        self.spoiled += re.findall(r"\w+'*", self.source.text[start:end])

    def unclosed(self, lexeme: Lexeme, indent: int) -> None:
        line = self.source.line_column(lexeme.span.start)[0]
        self.spoil(self.source.starts[line - 1], lexeme.span.end, indent)
        self.diagnostics.append(
            Diagnostic(
                "S104",
                "This bracket is not closed",
                lexeme.span,
                "a closing )",
                "the end of the statement",
                "Add ) where the bracket should end.",
            )
        )


def _in_name(character: str) -> bool:
    return character.isalpha() or character.isdecimal() or character in "_'"


def _open_bracket(lexemes: list[Lexeme]) -> Lexeme | None:
    stack: list[Lexeme] = []
    for lexeme in lexemes:
        if lexeme.text == "(":
            stack.append(lexeme)
        elif lexeme.text == ")" and stack:
            stack.pop()
    return stack[-1] if stack else None


def bracket_depth(lexemes: list[Lexeme]) -> int:
    depth = deepest = 0
    for lexeme in lexemes:
        depth += (lexeme.text == "(") - (lexeme.text == ")")
        deepest = max(deepest, depth)
    return deepest
