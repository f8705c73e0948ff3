"""Places as the protocol tells them, and as the program does.

The program counts code points of a `Source`; a client counts lines and, in a line, UTF-16 code units, or those of UTF-8 or code
points where it said so.  A place beyond the end of a line is the line's end, beyond the end of the text the text's.  A place in the
middle of a character is the one behind it.
"""

from __future__ import annotations

from collections.abc import Callable

from lsprotocol import types

from ..source.text import Source, Span

_UNITS: dict[str, Callable[[str], int]] = {
    "utf-8": lambda text: len(text.encode("utf-8", "surrogatepass")),
    "utf-16": lambda text: len(text.encode("utf-16-le", "surrogatepass")) // 2,
    "utf-32": len,
}


class Positions:
    """Turns places of one connection, whose client counts in `encoding`."""

    def __init__(self, encoding: str = "utf-16"):
        self.encoding = encoding
        self._units = _UNITS[encoding]

    def offset(self, source: Source, position: types.Position) -> int:
        """The character of a text at a position."""
        if position.line >= len(source.starts):
            return len(source.text)
        start, line = source.starts[position.line], source.line(position.line + 1)
        if line.isascii():
            return start + min(position.character, len(line))
        units = 0
        for number, character in enumerate(line):
            if units >= position.character:
                return start + number
            units += self._units(character)
        return start + len(line)

    def position(self, source: Source, offset: int) -> types.Position:
        line, column = source.line_column(offset)
        return types.Position(line - 1, self._units(source.text[offset - column + 1 : offset]))

    def range(self, span: Span) -> types.Range:
        return types.Range(self.position(span.source, span.start), self.position(span.source, max(span.start, span.end)))
