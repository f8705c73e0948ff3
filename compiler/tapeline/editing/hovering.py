"""What is told of a place in a text when the author points at it."""

from __future__ import annotations

from typing import NamedTuple

from ..meaning.index import explained
from ..session import Reading
from ..source.text import Source, Span


class Hover(NamedTuple):
    """`text` is Markdown, told of the words at `span`."""

    span: Span
    text: str


def hover_at(reading: Reading, source: Source, offset: int) -> Hover | None:
    """What is told of a character of a text that the reading saw; None where nothing is."""
    definition = reading._index.at(source, offset)
    if definition is None:
        return None
    return Hover(Span(source, offset, offset), explained(definition))
