"""What is told of a place in a text when the author points at it: a name, a keyword, a function, a library, a code."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ..meaning.functions import FUNCTIONS
from ..session import Reading
from ..source.text import Source, Span
from ..syntax import tree
from ..syntax.forms import RECORDS, Node, Word
from ..syntax.parser import parse
from .telling import told_of_code, told_of_function, told_of_library, told_of_name, told_of_statement, told_of_style

_WORD = re.compile(r"[^\W\d]\w*'*|[A-Z]\d{3}\b")
_CODE = re.compile(r"[A-Z]\d{3}")
_SHAPES = ("NAME", "NUMBER", "QUANTITY", "STRING")


class Hover(NamedTuple):
    """`text` is Markdown, told of the words at `span`."""

    span: Span
    text: str


def hover_at(reading: Reading, source: Source, offset: int, values: Mapping[str, str] | None = None) -> Hover | None:
    """What is told of a character of a text that the reading saw; None where nothing is.  `values` as of `chosen.values_for`."""
    told = _told(reading, source, offset, values or {})
    codes = dict.fromkeys(
        d.code for d in reading.diagnostics if d.span is not None and d.span.source == source and d.span.start <= offset <= d.span.end
    )
    pages = [page for code in codes if (page := told_of_code(code))]
    if not pages:
        return told
    span = told.span if told is not None else _word_at(source, offset) or Span(source, offset, offset)
    return Hover(span, "\n\n---\n\n".join([*([told.text] if told is not None else []), *pages]))


def _told(reading: Reading, source: Source, offset: int, values: Mapping[str, str]) -> Hover | None:
    known = reading.name_at(source, offset)
    if known is not None:
        return Hover(known[0], told_of_name(known[1], values))
    word = _word_at(source, offset)
    if word is not None and _CODE.fullmatch(word.text) and (page := told_of_code(word.text)):
        return Hover(word, page)
    path = list(path_to(parse(source).tree, offset))
    if not path or not isinstance(path[-1], Word):
        return None
    token, nodes = path[-1], [node for node in path if isinstance(node, Node)]
    text = _of_token(reading, token, nodes)
    return Hover(token.span, text) if text else None


def _of_token(reading: Reading, token: Word, nodes: list[Node]) -> str:
    inner = nodes[-1]
    if token.type == "NAME":
        if isinstance(inner, tree.Call) and token in FUNCTIONS:
            return told_of_function(str(token))
        if isinstance(inner, tree.Use):
            return told_of_library(reading, str(token))
        return told_of_style(reading, str(token)) if isinstance(inner, tree.StartFrom) else ""
    if token.type in _SHAPES:
        return ""
    of_form = told_of_statement(type(inner)) if type(inner) not in RECORDS else ""
    statement = next((node for node in reversed(nodes) if type(node) in RECORDS), None)
    return of_form or ("" if statement is None else told_of_statement(type(statement)))


def path_to(node: Node, offset: int) -> Iterator[Node | Word]:
    """The nodes that hold a character of a text, from the outermost in, and the word there."""
    yield node
    for child in node.children:
        if child.span.start <= offset < child.span.end or (isinstance(child, Word) and offset == child.span.end):
            if isinstance(child, Word):
                yield child
            else:
                yield from path_to(child, offset)
            return


def _word_at(source: Source, offset: int) -> Span | None:
    line = source.line_column(offset)[0]
    begin = source.starts[line - 1]
    for match in _WORD.finditer(source.line(line)):
        if begin + match.start() <= offset <= begin + match.end():
            return Span(source, begin + match.start(), begin + match.end())
    return None
