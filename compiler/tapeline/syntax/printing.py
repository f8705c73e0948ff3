"""A tree to its text again, letter for letter.

Tokens stand in the tree; between them a text has only blanks, line ends and comments.  What lies between two tokens is taken
over as it stands, and is refused if it is anything else: then the tree would not hold the whole text.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..source.text import BLANK, Span
from .tree import Start

GAP = f"{BLANK}\n"


def printed(tree: Start, comments: Iterable[Span]) -> str:
    """The text of a tree with its comments.  ValueError where a word of the text is in neither."""
    source = tree.span.source
    pieces = sorted(
        (span for span in (*(word.span for word in tree.tokens()), *comments) if span.end > span.start), key=lambda s: s.start
    )
    text: list[str] = []
    at = 0
    for span in pieces:
        text += (_gap(source.text[at : span.start]), span.text)
        at = span.end
    return "".join([*text, _gap(source.text[at:])])


def _gap(text: str) -> str:
    if text.strip(GAP):
        raise ValueError(f"not in the tree: {text.strip(GAP)!r}")
    return text
