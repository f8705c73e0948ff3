"""What each named quantity of a text comes to for the chosen body, to be shown at the end of its line."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..source.text import Source
from ..syntax import tree
from ..syntax.forms import Node
from ..syntax.parser import parse
from .telling import Values


class ValueHint(NamedTuple):
    """`text` is shown behind the character `offset`, and is no part of the text."""

    offset: int
    text: str


def hints_in(source: Source, values: Values, start: int, end: int) -> list[ValueHint]:
    """The values of what is given a name between two characters of a text, in its order."""
    found: list[ValueHint] = []
    for node in _at_large(parse(source).tree.statements or ()):
        if node.head.start > end or node.head.end < start:
            continue
        if isinstance(node, tree.Measure):
            found += [ValueHint(name.span.end, f" = {values[str(name)]}") for name in node.names if str(name) in values]
        elif isinstance(node, (tree.Definition, tree.Find)) and (told := _told(values.get(str(node.name)), node)):
            found.append(ValueHint(node.head.end, told))
        elif isinstance(node, tree.Choose) and (told := _told(values.get(str(node.name)), node)):
            found.append(ValueHint(node.name.span.end, told))
    return found


def _told(value: str | None, node: Node) -> str:
    """Nothing where the text says the same."""
    return "" if not value or node.head.text.rstrip().endswith(f"= {value}") else f" = {value}"


def _at_large(statements: tuple[Node, ...]) -> Iterator[Node]:
    """Statements that give names to the whole style, those under a `when` among them."""
    for statement in statements:
        yield statement
        if isinstance(statement, tree.When):
            yield from _at_large(tuple(statement.inside()))
