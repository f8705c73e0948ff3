"""What stands in a text, as a list of its rules below each other; where it can be folded; and how a selection grows.

All of it is told by the tree alone, so it is there whatever is wrong with the text.  An entry is a statement, or a row of a table of
levels; it bears the name that it gives, else its own words.  What stands in a body folds under the line above it, and comments
of several lines fold to the first of them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from ..source.text import Source, Span
from ..syntax import tree
from ..syntax.parser import parse

SORTS: dict[type[tree.Node], str] = {  # statement -> a word for what it gives, as of `meaning.index.Definition`
    tree.Piece: "piece",
    tree.Foundation: "piece",
    tree.ChangePiece: "piece",
    tree.CutApart: "cut",
    tree.Sheet: "sheet",
    tree.ChangeSheet: "sheet",
    tree.Recipe: "recipe",
    tree.ChangeRecipe: "recipe",
    tree.Rule: "rule",
    tree.RuleSteps: "rule",
    tree.Check: "check",
    tree.Measure: "measure",
    tree.Measurement: "measurement",
    tree.Choose: "choice",
    tree.Definition: "quantity",
    tree.Divide: "quantity",
    tree.Find: "quantity",
    tree.Levels: "levels",
    tree.Line: "edge",
    tree.Curve: "edge",
    tree.Arc: "edge",
    tree.CarriedOn: "edge",
    tree.Edge: "edge",
    tree.Point: "point",
    tree.Division: "point",
    tree.Dart: "dart",
    tree.Darts: "dart",
    tree.DartInside: "dart",
}
OTHER = "statement"  # what gives no name
MOST_WORDS = 60  # characters of a statement that gives no name


class Entry(NamedTuple):
    """A rule of the text; `span` is all of it, `name_span` what is selected where an editor goes there."""

    name: str
    sort: str  # as in `SORTS`, or "level", or `OTHER`
    detail: str  # its title, or the rest of its own line
    span: Span
    name_span: Span
    inside: tuple[Entry, ...]


class FoldedLines(NamedTuple):
    """Lines, from 1, of which all but the first are hidden."""

    first: int
    last: int
    comment: bool = False


def outline(source: Source) -> tuple[Entry, ...]:
    """The rules of a text, those of a piece inside it."""
    return tuple(_entry(node) for node in parse(source).tree.statements or ())


def _entry(node: tree.Statement) -> Entry:
    words = node.written
    short = words if len(words) <= MOST_WORDS else f"{words[: MOST_WORDS - 3]}..."
    inside = tuple(_inside(node))
    span = _whole(node)
    title = getattr(node, "title", None)
    detail = str(title)[1:-1] if isinstance(title, tree.Word) else ""
    given = _own_names(node)
    if type(node) not in SORTS or not given:
        return Entry(short, SORTS.get(type(node), OTHER), detail, span, node.head, inside)
    return Entry(", ".join(map(str, given)), SORTS[type(node)], detail or short, span, given[0].span, inside)


def _own_names(node: tree.Statement) -> list[tree.Word]:
    """The names that a statement itself gives."""
    if isinstance(node, tree.Divide):
        return [part.name for part in node.parts]
    called = getattr(node, "called", None)
    for given in (getattr(node, "name", None), getattr(node, "names", None), called.name if isinstance(called, tree.Called) else None):
        words = [
            word for word in (given if isinstance(given, tuple) else (given,)) if isinstance(word, tree.Word) and word.type != "STRING"
        ]
        if words:
            return words
    return []


def _inside(node: tree.Statement) -> Iterator[Entry]:
    if isinstance(node, tree.Levels):
        for row in node.rows:
            yield Entry(str(row.name), "level", row.written, row.span, row.name.span, ())
    body = getattr(node, "body", None)
    if isinstance(body, tree.Body):
        yield from (_entry(inner) for inner in body.statements or ())
    if isinstance(node, tree.When) and node.otherwise is not None:
        inner = tuple(_entry(statement) for statement in node.otherwise.body.statements or ())
        yield Entry("otherwise", OTHER, "", _whole(node.otherwise), node.otherwise.head, inner)


def _whole(node: tree.Node) -> Span:
    """All words of a node, without blank lines behind them."""
    text = node.span.text
    return Span(node.span.source, node.span.start, node.span.start + len(text.rstrip()))


# ------------------------------------------------------------ folding


def folds(source: Source) -> tuple[FoldedLines, ...]:
    """What can be folded: every statement or part of one with lines below it, and comments of several lines."""
    parsed = parse(source)
    found = {fold.first: fold for fold in _comments(source, parsed.comments)}
    for node in parsed.tree.walk():
        if isinstance(node, (tree.Statement, tree.Otherwise, tree.Style, tree.Library, tree.Fittings)):
            whole = _whole(node)
            first, last = whole.line, source.line_column(whole.end)[0]
            if last > first and (first not in found or found[first].last < last):
                found[first] = FoldedLines(first, last)
    return tuple(found[first] for first in sorted(found))


def _comments(source: Source, comments: Iterable[Span]) -> Iterator[FoldedLines]:
    """Runs of lines that hold nothing but a comment each."""
    run: list[int] = []
    for line in [*(comment.line for comment in comments if comment.begins_line), 0]:
        if run and line != run[-1] + 1:
            if len(run) > 1:
                yield FoldedLines(run[0], run[-1], True)
            run = []
        run.append(line)


# ------------------------------------------------------------ selecting


def selections(source: Source, offset: int) -> Sequence[Span]:
    """What holds a character of a text, from the word on outward to the whole, each wider than the one before."""
    spans = [Span(source, 0, len(source.text))]
    node: tree.Node | None = parse(source).tree
    while node is not None:
        children = [child for child in node.children if _holds(child, offset)]
        child = min(children, key=lambda inner: inner.span.end - inner.span.start) if children else None
        if child is not None:
            spans.append(child.span if isinstance(child, tree.Word) else _whole(child))
        node = child if isinstance(child, tree.Node) else None
    wider = [spans[0]]
    for span in spans[1:]:
        if span.start >= wider[-1].start and span.end <= wider[-1].end and span != wider[-1] and span.start < span.end:
            wider.append(span)
    return tuple(reversed(wider))


def _holds(child: tree.Node | tree.Word, offset: int) -> bool:
    return child.span.start <= offset <= child.span.end
