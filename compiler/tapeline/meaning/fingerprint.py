"""The fingerprint of a style's rules: one short word for all that a draft rests on besides the body, the choices and the house.

It is taken over trees: the statements of the style (those that it starts from among them, as they were set together) and, of
each library, the statements that its words lead to, directly or through others.  Of a node count its form and its fields, as
in `Node.same`; so comments, blank lines, indentation and the blanks within a line count for nothing, and every word of a rule
does.  Heading and prose are no rules.  The version of the language and of the program count, since either may draw the same
rules otherwise.  Whether a library's statement is used is told by words, so one too many may count, and never one too few.

The digest is SHA-256, written with 32 letters and digits that are not taken for each other (no I, L, O, U): 12 of them, 60
bits, in groups of four, `7K3M-Q2XD-9HBT`.

Besides the whole, each part has a fingerprint of its own, the style's statements, those used of each library and those of a
client's fittings, so that it can be told which of them has changed; the versions count in none of these.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from hashlib import sha256
from typing import NamedTuple

from ..syntax import tree
from ..syntax.forms import Node, Statement, Word, own_fields
from ..version import __version__
from .library import LANGUAGE, Linked

LETTERS = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
LONG, GROUP = 12, 4  # letters in all, and in a group
FORM, LIST, END, NOTHING, LEAF = "\1", "\2", "\3", "\4", "\5"  # how each part of a tree begins
_WORD = re.compile(r"[^\W\d][\w']*")


class Fingerprints(NamedTuple):
    """That of all rules together, and of each part: the style's own under "", those used of a library under its name."""

    whole: str
    parts: dict[str, str]


FITTINGS = "*"  # the part that is what a client's fittings change; no library can be called so


def fingerprints(linked: Linked) -> Fingerprints:
    """The fingerprints of a linked style."""
    whole = sha256(f"language {LANGUAGE} program {__version__}".encode())
    parts = {}
    for name, statements in _used(linked):
        whole.update(f"\0{name}".encode())
        own = sha256()
        for statement in statements:
            for part in _parts(statement):
                whole.update(part.encode())
                own.update(part.encode())
        parts[name] = in_letters(own.digest())
    if linked.fittings is not None:
        parts[""] = _of(linked.fittings.before)
        parts[FITTINGS] = _of([statement for fitting in linked.fittings.fittings for statement in fitting.statements or ()])
    return Fingerprints(in_letters(whole.digest()), parts)


def _of(statements: Iterable[Statement]) -> str:
    """The fingerprint of these statements alone."""
    return in_letters(sha256("".join(part for statement in _drawing(statements) for part in _parts(statement)).encode()).digest())


def in_letters(digest: bytes) -> str:
    """A digest as a fingerprint is written."""
    number = int.from_bytes(digest, "big")
    letters = "".join(LETTERS[number >> 5 * k & 31] for k in range(LONG))
    return "-".join(letters[k : k + GROUP] for k in range(0, LONG, GROUP))


_end = object()  # where the parts of a node or list end


def _parts(node: Node) -> Iterator[str]:
    """A node as it counts, part by part; told with a stack, since sums may be long."""
    waiting: list[object] = [node]
    while waiting:
        item = waiting.pop()
        if isinstance(item, Node):
            yield f"{FORM}{type(item).__name__}"
            waiting.append(_end)
            waiting += [getattr(item, name) for name in reversed(own_fields(type(item)))]
        elif isinstance(item, tuple):
            yield LIST
            waiting.append(_end)
            waiting += reversed(item)
        elif item is _end:
            yield END
        elif item is None:
            yield NOTHING
        else:
            yield f"{LEAF}{item if isinstance(item, Word) and item.type == 'STRING' else ' '.join(str(item).split())}"


def _used(linked: Linked) -> Iterator[tuple[str, list[Statement]]]:
    """The style's statements, then of each library, by name, those that they lead to."""
    own = _drawing(linked.style.statements)
    words = set(_words(own))
    waiting = {str(module.heading.name): _drawing(module.statements) for module in linked.libraries}
    used: dict[str, set[int]] = {name: set() for name in waiting}
    grown = True
    while grown:
        grown = False
        for name, statements in waiting.items():
            for number, statement in enumerate(statements):
                if number not in used[name] and _is_wanted(statement, words):
                    used[name].add(number)
                    words.update(_words([statement]))
                    grown = True
    yield "", own
    for name in sorted(waiting):
        if used[name]:
            yield name, [waiting[name][number] for number in sorted(used[name])]


def _drawing(statements: Iterable[Statement]) -> list[Statement]:
    """Those that draw or hold something: a use or a start has done its work when a style is linked."""
    return [statement for statement in statements if not isinstance(statement, (tree.Use, tree.StartFrom))]


def _is_wanted(statement: Statement, words: set[str]) -> bool:
    """Whether a library's statement gives no name, or one that is used; a doubt goes with its first measure."""
    if isinstance(statement, tree.Doubt):
        return str(statement.name) in words
    keys = statement.all_keys()
    return not keys or any(isinstance(part, str) and part in words for key in keys for part in key[1:])


def _words(statements: Iterable[Statement]) -> Iterator[str]:
    """The names and other words of statements, but for texts: read from fields, as a changed statement keeps its old tokens."""
    for statement in statements:
        for part in _parts(statement):
            if part[0] == LEAF and part[1:2] != '"':
                yield from _WORD.findall(part)
