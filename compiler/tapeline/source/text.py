"""Text and places in it.

A `Source` is one file's text with its name; a `Span` is a half-open run of characters in one.  Every
token, tree node, plan step and geometric object carries a span, so that a failure late in the draft
still points at the rule that caused it.  Offsets count code points; lines and columns count from one.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from typing import NamedTuple

BLANK = " \t\r\f\ufeff"  # what a line may have before, between and after its words


# What tells a screen to do something instead of standing on it: control characters, and those that turn the way of writing.
CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


def visible(text: str) -> str:
    """Text fit for a screen: a sign stands for every character that would command it, so that columns stay as they are."""
    return CONTROL.sub(lambda match: chr(0x2400 + ord(match[0])) if match[0] < " " else "\ufffd", text)


class Source:
    """One text and the name it is shown under; two with the same of both are one.  Line starts are found on first need."""

    __slots__ = ("name", "text", "_hash", "_starts")

    def __init__(self, name: str, text: str):
        self.name = name
        self.text = text
        self._hash = hash((name, text))
        self._starts: list[int] | None = None

    def __eq__(self, other: object) -> bool:
        if self is other:
            return True
        if not isinstance(other, Source):
            return NotImplemented
        return self._hash == other._hash and self.name == other.name and self.text == other.text

    def __hash__(self) -> int:
        return self._hash

    def __reduce__(self) -> tuple[type[Source], tuple[str, str]]:
        return Source, (self.name, self.text)  # a hash of texts is another in every process

    @property
    def starts(self) -> list[int]:
        if self._starts is None:
            starts = [0]
            find = self.text.find
            at = find("\n")
            while at >= 0:
                starts.append(at + 1)
                at = find("\n", at + 1)
            self._starts = starts
        return self._starts

    def line_column(self, offset: int) -> tuple[int, int]:
        """(line, column) of a character, both from 1."""
        line = bisect_right(self.starts, offset)
        return line, offset - self.starts[line - 1] + 1

    def line(self, number: int) -> str:
        """The text of line `number` (from 1), without its line end."""
        start = self.starts[number - 1]
        end = self.text.find("\n", start)
        return self.text[start : end if end >= 0 else len(self.text)].rstrip("\r")

    def utf16_position(self, offset: int) -> tuple[int, int]:
        """(line, column) of a character, both from 0 and the column in UTF-16 code units, as editors count."""
        line, column = self.line_column(offset)
        return line - 1, _utf16_length(self.text[offset - column + 1 : offset])

    def offset_at(self, line: int, column: int) -> int:
        """The character at a line and column as editors count; the line's end where the line is shorter, and the text's."""
        if line >= len(self.starts):
            return len(self.text)
        text, units = self.line(line + 1), 0
        for number, character in enumerate(text):
            if units >= column:
                return self.starts[line] + number
            units += _utf16_length(character)
        return self.starts[line] + len(text)

    def __repr__(self) -> str:
        return f"Source({self.name!r})"


class Argument(Source):
    """What was given for a parameter of the public door, whose name it is shown under; a command shows its option instead."""

    __slots__ = ()


def _utf16_length(text: str) -> int:
    return len(text.encode("utf-16-le", "surrogatepass")) // 2


class Span(NamedTuple):
    """Characters [start, end) of a source."""

    source: Source
    start: int
    end: int

    @property
    def line(self) -> int:
        return self.source.line_column(self.start)[0]

    @property
    def column(self) -> int:
        return self.source.line_column(self.start)[1]

    @property
    def begins_line(self) -> bool:
        """Whether nothing but blanks stands before it on its line."""
        line, column = self.source.line_column(self.start)
        return not self.source.line(line)[: column - 1].strip(BLANK)

    @property
    def text(self) -> str:
        return self.source.text[self.start : self.end]

    def to(self, other: Span) -> Span:
        """The span from the start of this one to the end of the other (same source)."""
        return Span(self.source, self.start, max(self.end, other.end))

    def __repr__(self) -> str:
        return f"{self.source.name}:{self.line}:{self.column}"


def utf16_column(span: Span) -> int:
    """Zero-based column of the span's start in UTF-16 code units, as editors count."""
    return span.source.utf16_position(span.start)[1]
