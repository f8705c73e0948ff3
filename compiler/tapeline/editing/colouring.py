"""What each word of a text is, so that it can be shown in a colour of its own: by meaning where it is a name, else by shape.

Kinds and traits are those of the protocol's own legend, so that every colour scheme knows them; which of our names has which is told
in `OF_NAMES`.  Nothing is told by colour alone: the same words are in what hovers over a name, and in the outline.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import NamedTuple

from ..meaning.scopes import PARTS
from ..session import Reading
from ..source.diagnostics import LIBRARY
from ..source.text import Source, Span
from ..syntax import tree
from ..syntax.parser import parse
from .families import text_key

OF_NAMES = {  # the sort of a name -> the kind of its word
    "measure": "variable",
    "measurement": "variable",
    "quantity": "variable",
    "part": "variable",
    "choice": "parameter",
    "parameter": "parameter",
    "point": "enumMember",
    "edge": "property",
    "dart": "event",
    "level": "enum",
    "piece": "class",
    "sheet": "struct",
    "rule": "function",
    "recipe": "method",
    "check": "function",
    "step": "decorator",
    "library": "namespace",
    "style": "namespace",
}
KINDS = (*dict.fromkeys(OF_NAMES.values()), "keyword", "operator", "number", "type", "string", "comment")  # a unit is a type
TRAITS = ("declaration", "readonly", "defaultLibrary")
_BARE = re.compile(r"[\d./ ]*\d")


class Coloured(NamedTuple):
    """A word of one line, its kind of `KINDS` and its traits of `TRAITS`."""

    span: Span
    kind: str
    traits: tuple[str, ...] = ()


def coloured(reading: Reading, source: Source) -> list[Coloured]:
    """Every word and comment of a text that the reading saw, in order."""
    names = _names(reading, source)
    nodes = parse(source).tree.walk()
    words = [part for node in nodes for word in node.children if isinstance(word, tree.Word) for part in _word(node, word, names)]
    comments = [Coloured(span, "comment") for span in parse(source).comments]
    return sorted((part for part in (*words, *comments) if part.span.start < part.span.end), key=lambda part: part.span.start)


def _names(reading: Reading, source: Source) -> dict[int, Coloured]:
    """The names of a text by where they begin."""
    key = text_key(source)
    found = {}
    for use in reading.uses:
        if text_key(use.span.source) == key:
            found[use.span.start] = _name(use.span, use.definition.sort, use.definition.span, False)
    for definition in reading.definitions:
        if text_key(definition.span.source) == key and definition.span.text == definition.name:
            found[definition.span.start] = _name(definition.span, definition.sort, definition.span, True)
    return found


def _name(span: Span, sort: str, given: Span, here: bool) -> Coloured:
    traits = [
        *(["declaration"] if here and sort != "measure" else []),
        *(["readonly"] if sort in ("measure", "measurement") else []),
        *(["defaultLibrary"] if given.source.name.startswith(LIBRARY) else []),
    ]
    return Coloured(span, OF_NAMES.get(sort, "variable"), tuple(traits))


def _word(node: tree.Node, word: tree.Word, names: dict[int, Coloured]) -> Iterator[Coloured]:
    span = word.span
    if span.start in names and names[span.start].span.end == span.end:
        yield names[span.start]
    elif word.type == "NAME":
        yield _other_name(node, span)
    elif word.type == "STRING":
        yield Coloured(span, "string")
    elif word.type == "NUMBER":
        yield Coloured(span, "number")
    elif word.type == "QUANTITY":
        figure = _BARE.match(span.text)
        end = span.start + (figure.end() if figure is not None else 0)
        yield Coloured(Span(span.source, span.start, end), "number")
        unit = span.text[end - span.start :]
        yield Coloured(Span(span.source, span.end - len(unit.lstrip()), span.end), "type")
    elif word.type not in _SILENT and span.text.strip():
        yield from _of_the_language(span)


def _other_name(node: tree.Node, span: Span) -> Coloured:
    """A name that nothing in the text gives: the text's own, or one of the language."""
    if isinstance(node, (tree.Style, tree.Library, tree.Fittings)):
        return Coloured(span, "namespace", ("declaration",))
    if isinstance(node, tree.Call):
        return Coloured(span, "function", ("defaultLibrary",))
    if isinstance(node, (tree.FactKind, tree.FactSides)):
        return Coloured(span, "keyword")
    return Coloured(span, "variable", ("readonly",) if isinstance(node, tree.Name) and span.text in PARTS else ())


_SILENT = ("BROKEN", "_NL", "_IN", "_OUT")


def _of_the_language(span: Span) -> Iterator[Coloured]:
    """Keywords, each word of a phrase by itself, and signs."""
    for match in re.finditer(r"\w+|[-+*/=]", span.text):
        kind = "keyword" if match[0][0].isalpha() else "operator"
        yield Coloured(Span(span.source, span.start + match.start(), span.start + match.end()), kind)
