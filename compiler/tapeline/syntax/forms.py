"""What the syntax tree is made of, and the record that each form of the language has.

A form is a dataclass.  Its name is that of the rule of the grammar which makes it (`point_along` makes a `PointAlong`),
its fields are filled in order from the rule's named children, `None` where an optional one is missing; a test holds the
two against each other.  Every node has the `span` of all its words, those of its body among them, its `head` (the words of
its own line, at which diagnostics point) and its `children` in the order of the text, keywords too, so that a tree can
be printed again.  A statement has one `Record` more: its rule of the grammar, where it may stand, what it gives a name
to, how it is taken away again, and its documentation.

Nodes are immutable to a type checker; at run time nothing enforces it, since it would double the cost of making them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, fields
from enum import Flag, auto
from functools import cache
from typing import TypeVar, dataclass_transform

from ..source.text import Span

Key = tuple[object, ...]  # the sort of thing that a statement gives, then what tells it from others of its sort


class Word(str):
    """A token: a name, number, quantity, text or keyword of the source, with its place; `type` is the terminal it was read as."""

    __slots__ = ("span", "type")
    span: Span
    type: str

    def __new__(cls, text: str, span: Span, type: str) -> Word:
        word = super().__new__(cls, text)
        word.span = span
        word.type = type
        return word

    @property
    def head(self) -> Span:
        return self.span


class Where(Flag):
    """Where a statement may stand.  What may stand in a piece may stand in a recipe for pieces."""

    STYLE = auto()
    LIBRARY = auto()
    PIECE = auto()
    SHEET = auto()
    RULE = auto()
    CHECK = auto()
    FITTINGS = auto()


FORMS: dict[str, type[Node]] = {}  # by the rule of the grammar
RECORDS: dict[type[Statement], Record] = {}  # in the order of the grammar

_N = TypeVar("_N", bound="Node")
_SHOWN = 40  # characters of a node's words


@dataclass_transform(frozen_default=True, eq_default=False, field_specifiers=(field,))
def form(cls: type[_N]) -> type[_N]:
    """Make a class a form of the grammar's rule of its name: a dataclass that is entered in `FORMS`."""
    node_class = dataclass(slots=True, eq=False, repr=False)(cls)
    FORMS[rule_of(cls.__name__)] = node_class
    return node_class


@dataclass_transform(frozen_default=True, eq_default=False, field_specifiers=(field,))
def group(cls: type[_N]) -> type[_N]:
    """Make a class the common name of several forms; no rule makes it itself."""
    return dataclass(slots=True, eq=False, repr=False)(cls)


def rule_of(name: str) -> str:
    """`PointAlong` -> `point_along`."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", name).lower()


@group
class Node:
    span: Span
    children: tuple[Node | Word, ...] = field(default=(), kw_only=True)
    own: Span | None = field(default=None, kw_only=True)  # where the head is not the whole

    @property
    def head(self) -> Span:
        """The words of the node's own line: of a statement with a body its first line, at which diagnostics point."""
        return self.own or self.span

    @property
    def written(self) -> str:
        """Its own words as they are written, on one line."""
        return " ".join(self.head.text.split())

    def __repr__(self) -> str:
        """Its form and its own words."""
        words = self.written
        return f"{type(self).__name__}({words if len(words) <= _SHOWN else f'{words[:_SHOWN]}...'!r})"

    def same(self, other: object) -> bool:
        """Equal in everything but place."""
        return type(self) is type(other) and all(_same(getattr(self, name), getattr(other, name)) for name in own_fields(type(self)))

    def walk(self) -> Iterator[Node]:
        """The node and all nodes inside it, in the order of the text."""
        yield self
        for child in self.children:
            if isinstance(child, Node):
                yield from child.walk()

    def tokens(self) -> Iterator[Word]:
        """The tokens that it was read from, in the order of the text."""
        for child in self.children:
            if isinstance(child, Node):
                yield from child.tokens()
            else:
                yield child


_BASE = ("span", "children", "own")


def own_fields(form: type[Node]) -> tuple[str, ...]:
    """The fields that the rule of the grammar fills."""
    return tuple(item.name for item in fields(form) if item.name not in _BASE)


def _same(left: object, right: object) -> bool:
    if isinstance(left, Node):
        return left.same(right)
    if isinstance(left, tuple):
        return isinstance(right, tuple) and len(left) == len(right) and all(map(_same, left, right))
    return left == right


# ------------------------------------------------------------------------------------------- statements


@group
class Statement(Node):
    """What stands on a line of its own, with its body if it has one."""

    def all_keys(self) -> tuple[Key, ...]:
        """What it gives a name to, or takes away."""
        record = RECORDS[type(self)]
        return record.key.of(self) if record.key is not None else ()


@form
class Broken(Statement):
    """Lines that could not be read, as they stand; what is wrong with them is told by diagnostics."""


class Keyed:
    """How the key of a statement is read off the values of some of its fields."""

    def __init__(self, make: Callable[..., tuple[Key, ...]], *names: str):
        self.make, self.names = make, names

    def of(self, node: Statement) -> tuple[Key, ...]:
        return self.make(*(getattr(node, name) for name in self.names))


def keyed(sort: str, *names: str) -> Keyed:
    """A key of this sort, told from others by these fields."""
    return Keyed(lambda *values: ((sort, *map(plain, values)),), *names)


def single(name: str) -> Keyed:
    """The key of what a piece says once."""
    return Keyed(lambda: (("single", name),))


def plain(value: object) -> object:
    """A field's value as it counts in a key: a text without its quotes, a list without its order."""
    if isinstance(value, tuple):
        return frozenset(map(plain, value))
    if isinstance(value, Word) and value.type == "STRING":
        return str(value)[1:-1]
    return str(value)


@dataclass(frozen=True)
class Record:
    """What the language says of one statement."""

    form: type[Statement]
    rule: str  # of the grammar
    within: Where
    documentation: str
    key: Keyed | None = None  # what a new statement of a style that starts from another takes the place of
    without: str | None = None  # what follows `without` to take it away; its values are those of the key
    only_adds: bool = False  # a new one never takes the place of an old one

    @property
    def name(self) -> str:
        return rule_of(self.form.__name__)


@cache
def forms_within(where: Where) -> frozenset[type[Node]]:
    """The statements that may stand there."""
    return frozenset(form for form, record in RECORDS.items() if where in record.within)


def may_stand(node: Node, where: Where) -> bool:
    """Whether a statement may stand there."""
    return type(node) in forms_within(where)


_S = TypeVar("_S", bound=Statement)


@dataclass_transform(frozen_default=True, eq_default=False, field_specifiers=(field,))
def statement(
    rule: str, within: Where, key: Keyed | None = None, without: str | None = None, only_adds: bool = False
) -> Callable[[type[_S]], type[_S]]:
    """Make a class a statement of the language.  `rule` is its rule of the grammar, its docstring its documentation."""

    def enter(cls: type[_S]) -> type[_S]:
        node_class = form(cls)
        RECORDS[node_class] = Record(node_class, rule, within, " ".join((cls.__doc__ or "").split()), key, without, only_adds)
        return node_class

    return enter
