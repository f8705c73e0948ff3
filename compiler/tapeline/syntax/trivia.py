"""Comments and blank lines, with the statement or row that they belong to.

A comment at the end of a line belongs to what stands on that line.  One on a line of its own belongs to the statement or row
below it, if that stands directly below and as far in; else to the body that it stands in, by its indentation, or to the
file.  So each comment of a text has one place, and none is lost when a statement is moved.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ..source.text import BLANK, Source, Span
from .tree import Body, Broken, Node, Start, Statement


@dataclass(frozen=True)
class Trivia:
    """By the node they belong to.  `above` and `beside` are of statements and rows, `inside` of what has a body, or of the file."""

    above: dict[Node, list[Span]] = field(default_factory=dict)
    beside: dict[Node, list[Span]] = field(default_factory=dict)
    inside: dict[Node, list[Span]] = field(default_factory=dict)  # comments of a body that belong to no line of it
    blank_lines: dict[Node, int] = field(default_factory=dict)  # above a statement or row and its comments, where there are any


@dataclass(frozen=True)
class _Line:
    """A statement or row: where it starts, how far it is indented, and the lines of the text that its own words take."""

    node: Node
    indent: int
    first: int
    last: int
    around: tuple[Node, ...]  # the nodes that it stands in, the file first


def trivia(tree: Start, comments: Sequence[Span]) -> Trivia:
    """Where each comment of a parsed text belongs, and how many blank lines stand above what."""
    source, result = tree.span.source, Trivia()
    lines = list(_lines(tree, (tree,), source))
    for comment in comments:
        number, column = source.line_column(comment.start)
        line_here = next((line for line in reversed(lines) if line.first <= number <= line.last), None)
        below = next((line for line in lines if line.first > number), None)
        alone = comment.begins_line
        if line_here is not None and not (alone and number == line_here.first):
            result.beside.setdefault(line_here.node, []).append(comment)
        elif below is not None and below.indent == column - 1 and _joined(source, number, below.first):
            result.above.setdefault(below.node, []).append(comment)
        else:
            result.inside.setdefault(_owner(tree, lines, number, column - 1), []).append(comment)
    for line in lines:
        first = min([line.first, *(comment.line for comment in result.above.get(line.node, ()))])
        blank = 0
        while first - blank > 1 and not source.line(first - blank - 1).strip(BLANK):
            blank += 1
        if blank:
            result.blank_lines[line.node] = blank
    return result


def _lines(node: Node, around: tuple[Node, ...], source: Source) -> Iterable[_Line]:
    """The statements and rows inside a node, in order."""
    for child in node.children:
        if not isinstance(child, Node):
            continue
        first, column = source.line_column(child.span.start)
        if child.span.begins_line and not isinstance(child, Body):
            last = child.span.end if isinstance(child, Broken) else child.head.end
            yield _Line(child, column - 1, first, source.line_column(last)[0], around)
            yield from _lines(child, (*around, child), source)
        else:
            yield from _lines(child, around, source)


def _joined(source: Source, number: int, below: int) -> bool:
    """No blank line stands between."""
    return all(source.line(between).strip(BLANK) for between in range(number + 1, below))


def _owner(tree: Start, lines: list[_Line], number: int, indent: int) -> Node:
    """The innermost statement before the comment that is indented less than it; else the file."""
    before = [line for line in lines if line.last < number]
    if not before:
        return tree
    last = before[-1]
    owners = [line for line in before if line.node in (*last.around, last.node) and line.indent < indent]
    statements = [line.node for line in owners if isinstance(line.node, Statement)]
    return statements[-1] if statements else tree
