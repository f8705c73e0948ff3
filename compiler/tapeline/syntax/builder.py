"""Reductions of the grammar to nodes of the tree.

Each rule of the grammar has one `Reduction`, which knows beforehand which of its symbols fill fields.  Lists that statements
and rows make grow to the left, link by link, and are never extended in place: so the parser's stacks can be put back to
the start of a statement after a mistake.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

from ..source.text import Span
from .forms import FORMS, RECORDS, Node, Word
from .tree import Body, Ref, Without

STRUCTURE = frozenset(("_NL", "_IN", "_OUT"))
_TAKING = {f"without_{record.name}": record.form for record in RECORDS.values() if record.without is not None}


class Chain(NamedTuple):
    """A list of statements or rows, its last one and those before it."""

    before: Chain | None
    last: Node

    @property
    def span(self) -> Span:
        return self.last.span

    def flat(self) -> tuple[Node, ...]:
        nodes, link = [], self
        while True:
            nodes.append(link.last)
            if link.before is None:
                return tuple(reversed(nodes))
            link = link.before


class Listed(NamedTuple):
    """A list on one line: its items, and these with the signs between them."""

    items: tuple[Node | Word, ...]
    children: tuple[Node | Word, ...]


SemanticValue = Node | Word | Chain | Listed


class Reduction:
    """What becomes of the values of a rule's symbols."""

    __slots__ = ("origin", "symbols", "size", "make", "form", "picks", "of")

    def __init__(self, literals: frozenset[str], origin: str, name: str, symbols: Sequence[str], gaps: Sequence[int], passes: bool):
        self.origin, self.symbols, self.size = origin, tuple(symbols), len(symbols)
        self.form: type[Node] | None = None
        self.of = _TAKING.get(name)
        dropped = literals | STRUCTURE
        self.picks: list[int] = []  # for each field the number of its symbol, -1 where it is missing
        for number, symbol in enumerate(symbols):
            self.picks += [-1] * gaps[number]
            if symbol not in dropped:
                self.picks.append(number)
        self.picks += [-1] * gaps[len(symbols)]
        if name in ("first", "more"):
            self.make = self._first if name == "first" else self._more
        elif name.startswith("_") or name.endswith("_list"):
            self.make = self._list
        elif passes and len(self.picks) == 1:
            self.make = self._pass
        else:
            self.form = Without if self.of is not None else FORMS[name]
            self.make = self._taking if self.of is not None else self._ref if self.form is Ref else self._node
        if name == "body" and not self.picks:
            self.picks = [-1]

    def _first(self, values: list[SemanticValue]) -> SemanticValue:
        return Chain(None, _as_node(values[0]))

    def _more(self, values: list[SemanticValue]) -> SemanticValue:
        before = values[0]
        assert isinstance(before, Chain)
        return Chain(before, _as_node(values[1]))

    def _pass(self, values: list[SemanticValue]) -> SemanticValue:
        return values[self.picks[0]]

    def _list(self, values: list[SemanticValue]) -> SemanticValue:
        items: list[Node | Word] = []
        children: list[Node | Word] = []
        for number, value in enumerate(values):
            if isinstance(value, Listed):
                items += value.items
                children += value.children
            else:
                word = _as_child(value)
                children.append(word)
                if number in self.picks:
                    items.append(word)
        return Listed(tuple(items), tuple(children))

    def _node(self, values: list[SemanticValue]) -> SemanticValue:
        fields = [None if number < 0 else _field(values[number]) for number in self.picks]
        return self._made(values, fields)

    def _ref(self, values: list[SemanticValue]) -> SemanticValue:
        return self._made(values, [tuple(values[number] for number in self.picks)])

    def _taking(self, values: list[SemanticValue]) -> SemanticValue:
        return self._made(values, [self.of, tuple(_field(values[number]) for number in self.picks)])

    def _made(self, values: list[SemanticValue], fields: list[Any]) -> Node:
        assert self.form is not None
        children: list[Node | Word] = []
        for value in values:
            if isinstance(value, Word):
                if value.type not in STRUCTURE and value.span.end > value.span.start:  # else it does not stand in the text
                    children.append(value)
            elif isinstance(value, Chain):
                children += value.flat()
            elif isinstance(value, Listed):
                children += value.children
            elif value.children or isinstance(value, Body):  # else it was assumed: the beginning of the file is missing
                children.append(value)
        if not children:
            place = values[0]
            assert isinstance(place, (Node, Word))
            return self.form(place.span, *fields)
        first, last = children[0].span, children[-1].span
        span = Span(first.source, first.start, last.end)
        head = _head(values)
        return self.form(span, *fields, children=tuple(children), own=None if head == span else head)


def _field(value: SemanticValue) -> Any:
    if isinstance(value, Chain):
        return value.flat()
    return value.items if isinstance(value, Listed) else value


def _as_node(value: SemanticValue) -> Node:
    assert isinstance(value, Node)
    return value


def _as_child(value: SemanticValue) -> Node | Word:
    assert isinstance(value, (Node, Word))
    return value


def _head(values: list[SemanticValue]) -> Span:
    """From the first word to the end of the line that it stands on: a statement's own words, not those of its body."""
    start = end = None
    for value in values:
        if isinstance(value, Word) and value.type in STRUCTURE:
            if start is not None:
                break
            continue
        if isinstance(value, Chain):
            head = value.last.head
        elif isinstance(value, Listed):
            start = start or value.items[0].head
            head = value.items[-1].head
        else:
            head = value.head
        start = start or head
        end = head
    assert start is not None and end is not None
    return start if end is start else start.to(end)
