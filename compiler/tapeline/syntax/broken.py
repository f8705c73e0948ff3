"""What could not be read, set into the tree as it stands.

Every line of the text whose words are in no node is broken.  Broken lines that follow each other, each indented more deeply
than the first, make one `Broken`, and this goes among the children of the innermost node whose body it stands in.  So
the words of a tree, with blanks, line ends and comments between them, are the whole text whatever it is.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable

from ..source.text import BLANK, Source, Span
from .tree import Body, Broken, Node, Start, Statement, Word

TERMINAL = "BROKEN"


def weave(tree: Start, comments: Iterable[Span]) -> list[Span]:
    """Set what could not be read into a tree that has just been made.  The comments that do not stand in it."""
    source = tree.span.source
    comments = list(comments)
    broken = [Broken(span, children=(Word(span.text, span, TERMINAL),)) for span in _broken_spans(source, tree, comments)]
    for node in broken:
        _insert(tree, node)
    starts = [node.span.start for node in broken]

    def free(comment: Span) -> bool:
        before = bisect_right(starts, comment.start) - 1
        return before < 0 or comment.start >= broken[before].span.end

    return [comment for comment in comments if free(comment)]


def _broken_spans(source: Source, tree: Start, comments: list[Span]) -> list[Span]:
    ends = {word.span.start: word.span.end for word in tree.tokens() if word.span.end > word.span.start}
    whole_line = {comment.start for comment in comments}
    spans: list[Span] = []
    covered_to, first_indent = 0, 0
    open_ = False  # the latest span may go on
    word_starts = sorted(ends)
    at = 0
    for number, start in enumerate(source.starts, 1):
        text = source.line(number)
        stripped = text.strip(BLANK)
        begin = start + text.find(stripped) if stripped else start
        end = begin + len(stripped)
        has_words = covered_to > start
        while at < len(word_starts) and word_starts[at] < start + len(text) + 1:
            covered_to = max(covered_to, ends[word_starts[at]])
            has_words, at = True, at + 1
        if has_words:
            open_ = False
            continue
        if not stripped or begin in whole_line:
            continue
        indent = begin - start
        if open_ and indent > first_indent:
            spans[-1] = Span(source, spans[-1].start, end)
        else:
            spans.append(Span(source, begin, end))
            open_, first_indent = True, indent
    return spans


def _insert(root: Start, broken: Broken) -> None:
    """Among the children of the innermost body that it stands in.  The tree is still being made: nobody has seen it."""
    node: Node = root
    column, start = broken.span.column, broken.span.start
    path: list[Node] = [root]
    while True:
        # From the last one: lines are set in in the order of the text, so that it is near.
        before = (child for child in reversed(node.children) if isinstance(child, Node) and _begins_before(child, start))
        inner = next(filter(_on_own_line, before), None)
        if inner is None or isinstance(inner, Broken) or not (start < inner.span.end or _goes_on_below(inner, column)):
            break
        node = inner
        path.append(node)
    at = next((k + 1 for k in reversed(range(len(node.children))) if node.children[k].span.start < start), 0)
    node.__setattr__("children", (*node.children[:at], broken, *node.children[at:]))
    for outer in path:
        whole = Span(outer.span.source, min(outer.span.start, start), max(outer.span.end, broken.span.end))
        if whole != outer.span:
            outer.__setattr__("own", outer.head)
            outer.__setattr__("span", whole)


def _goes_on_below(node: Node, column: int) -> bool:
    """Whether a line so far in, below all that a node has, belongs to it: it is a body, or has one and stands less far in."""
    if isinstance(node, Body):
        return True
    has_body = isinstance(node, Statement) or any(isinstance(child, Body) for child in node.children)
    return has_body and node.span.column < column


def _begins_before(node: Node, start: int) -> bool:
    return node.span.start < start or (_is_empty(node) and node.span.start == start)


def _is_empty(node: Node) -> bool:
    return isinstance(node, Body) and not node.children


def _on_own_line(node: Node) -> bool:
    """Whether it is a statement, a row or a body, which begins its line."""
    return _is_empty(node) or node.span.begins_line
