"""The one layout of a text: its tree and comments to lines.

Words keep their letters and statements their lines; only blanks, blank lines and the breaking of long lines are laid out.
Between two words stands one blank, none within brackets and before commas.  A body is four spaces further in than its
statement; a line that runs on is four further in, or eight where a body follows.  Of several blank lines one is kept.  Lines that
follow each other and say the same sort of thing are a table (`tables.py`), whose columns are aligned.  Lines that could not be read
stay letter for letter; where there are any, every line keeps its indentation, by which alone the reader knew what belongs where.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from itertools import pairwise, zip_longest

from ..source.text import BLANK, Source, Span
from ..syntax.parser import Parsed
from ..syntax.scanner import scan
from ..syntax.tree import Binary, Body, Broken, Date, Negative, Node, Start, Word
from ..syntax.trivia import trivia
from .tables import aligned, columns, sort_of

STEP = 4  # spaces that a body is further in
WIDEST = 160  # characters of a line that is not continued

_Number = Callable[[int], int]  # of a character -> its line, from 0


@dataclass
class LaidLine:
    """A line of the text: what stands on it, and how it is to stand."""

    words: list[Word] = field(default_factory=list)
    comment: Span | None = None
    node: Node | None = None  # the statement or row, of which it is the first line
    indent: int = 0
    more: int = 0  # how far in it runs on
    whole: bool = False  # the node has all its words on it
    kept: str | None = None  # letter for letter, with its end


def laid_out(parsed: Parsed) -> str:
    """The text in its layout; not yet proved to say the same."""
    source = parsed.source
    lines = _lines(parsed)
    tight = _tight(parsed.tree)
    # Told by all line ends, not by one that may go: else a text of both sorts would be laid out anew each time.
    end = "\r\n" if 0 < source.text.count("\n") == source.text.count("\r\n") else "\n"
    text: list[str] = ["\ufeff"] if source.text.startswith("\ufeff") and lines and lines[0].kept is None else []
    empty = True  # whether the last line written was empty, as at the beginning
    pending = False
    for line, words in zip(lines, _written(lines, tight), strict=True):
        if line.kept is None and not words:
            pending = not empty
            continue
        if pending:
            text.append(end)
        pending = empty = False
        if line.kept is None:
            text += (words.replace("\n", end), end)
        else:
            text.append(line.kept)
            empty = not line.kept.strip(BLANK + "\n")
    return "".join(text)


# ------------------------------------------------------------------------------------------- what stands on each line


def _lines(parsed: Parsed) -> list[LaidLine]:
    source, tree = parsed.source, parsed.tree
    lines = [LaidLine() for _ in source.starts]

    def number(offset: int) -> int:
        return bisect_right(source.starts, offset) - 1

    for word in tree.tokens():
        if word.span.end > word.span.start and word.type != "BROKEN":
            first, last = number(word.span.start), number(word.span.end - 1)
            lines[first].words.append(word)
            for at in range(first, last + 1 if last > first else first):  # a phrase that runs over a line's end
                lines[at].kept = _raw(source, at)
    for comment in parsed.comments:
        lines[number(comment.start)].comment = comment
    broken = [node for node in tree.walk() if isinstance(node, Broken)]
    for node in broken:
        for at in range(number(node.span.start), number(node.span.end - 1) + 1):
            lines[at].kept = _raw(source, at)
    _set_statements(parsed, lines, number)
    if broken or parsed.diagnostics:
        for at, line in enumerate(lines):
            text = source.line(at + 1).lstrip("\ufeff")
            line.indent = len(text) - len(text.lstrip(BLANK))
            line.more = line.indent + STEP
            if line.kept is None and text[: line.indent].strip(" "):
                line.kept = _raw(source, at)
    else:
        _indent_comments(parsed, lines, number)
    return lines


def _raw(source: Source, at: int) -> str:
    after = source.starts[at + 1] if at + 1 < len(source.starts) else len(source.text)
    return source.text[source.starts[at] : after]


def _set_statements(parsed: Parsed, lines: list[LaidLine], number: _Number) -> None:
    """The nodes that begin lines, and how far in each line stands."""
    begun: dict[int, Node] = {}
    for node in parsed.tree.walk():
        if not isinstance(node, (Start, Body)) and node.span.end > node.span.start:
            begun.setdefault(node.span.start, node)
    logical = [line for line in scan(parsed.source)[0] if line.lexemes]
    stack = [0]
    for line, below in zip_longest(logical, logical[1:]):
        first, last = number(line.span.start), number(line.lexemes[-1].span.start)
        while line.indent < stack[-1]:
            stack.pop()
        if line.indent > stack[-1]:
            stack.append(line.indent)
        goes_in = below is not None and below.indent > line.indent
        lines[first].node, lines[first].indent = begun.get(line.span.start), STEP * (len(stack) - 1)
        lines[first].whole, lines[first].more = first == last, STEP * (len(stack) + goes_in)
        for at in range(first + 1, last + 1):
            lines[at].indent = lines[at].more = lines[first].more
            if lines[at].words:
                lines[at].node, lines[at].whole = begun.get(lines[at].words[0].span.start), True


def _indent_comments(parsed: Parsed, lines: list[LaidLine], number: _Number) -> None:
    placed = trivia(parsed.tree, parsed.comments)
    for node, spans in placed.above.items():
        for span in spans:
            lines[number(span.start)].indent = lines[number(node.span.start)].indent
    for node, spans in placed.inside.items():
        for span in spans:
            at = number(span.start)
            lines[at].indent = 0 if isinstance(node, Start) else lines[number(node.span.start)].indent + STEP
            below = next((line for line in lines[at + 1 :] if line.words or not line.comment), None)
            if below is not None and below.words and below.indent == lines[at].indent:  # there it would belong to what is below
                lines[at].indent += -1 if lines[at].indent else 1


# ------------------------------------------------------------------------------------------- how it is written


def _tight(tree: Start) -> set[int]:
    """Where words end that no blank follows: minus signs before one value, and the parts of a date."""
    tight: set[int] = set()
    for node in tree.walk():
        if isinstance(node, Negative):
            tight.update(child.span.end for child in node.children[:1])
            inner = next(iter(list(node.tokens())[1:]), None)
            if inner is not None and inner == "-":  # two of them would begin a comment
                tight.difference_update(child.span.end for child in node.children[:1])
        elif isinstance(node, Binary) and node.sign == "/":
            over, under = list(node.left.tokens())[-1], next(node.right.tokens())
            again = isinstance(node.left, Binary) and node.left.sign == "/"  # `a / 2 / 3`: 2/3 is no fraction of it
            if over.type == under.type == "NUMBER" and not again:
                tight.update((over.span.end, node.sign.span.end))
        elif isinstance(node, Date):
            tight.update(word.span.end for word in list(node.tokens())[:-1])
    return tight


def _joined(words: list[Word], tight: set[int]) -> str:
    """Words with the blanks between them."""
    text = [str(word) if word.type != "STRING" else word.span.text for word in words[:1]]
    for one, other in pairwise(words):
        close = one in ("(", ".") or other in (")", ",", ".") or one.span.end in tight
        text.append(str(other) if close else f" {other}")
    return "".join(text)


def _written(lines: list[LaidLine], tight: set[int]) -> list[str]:
    """Each line as it is to stand, without its end; empty where nothing stands on it."""
    plain = [_plain(line, tight) for line in lines]
    at = 0
    while at < len(lines):
        sort = _table(lines[at], plain[at])
        last = at + 1
        while sort is not None and last < len(lines) and _table(lines[last], plain[last]) == sort:
            last += 1
        if sort is not None and last - at > 1:
            rows = [[_joined(cell, tight) for cell in columns(line.words, line.node)] for line in lines[at:last]]
            for offset, (line, text) in enumerate(zip(lines[at:last], aligned(rows, sort[1]), strict=True)):
                plain[at + offset] = _commented(" " * line.indent + text, line)
        at = last
    return plain


def _table(line: LaidLine, text: str) -> tuple[int, str] | None:
    """What tells the table that a line may be a row of from others."""
    if line.kept is not None or not line.words or "\n" in text:
        return None
    sort = sort_of(line.node) if line.whole else None
    return None if sort is None else (line.indent, sort)


def _plain(line: LaidLine, tight: set[int]) -> str:
    if line.kept is not None:
        return ""
    if not line.words:
        return "" if line.comment is None else " " * line.indent + line.comment.text.rstrip(BLANK)
    return _commented("\n".join(_continued(line, tight)), line)


def _commented(text: str, line: LaidLine) -> str:
    return text if line.comment is None else f"{text}  {line.comment.text.rstrip(BLANK)}"


def _continued(line: LaidLine, tight: set[int]) -> Iterator[str]:
    """The line, or where it is too long, several, broken after commas."""
    words, indent = line.words, line.indent
    while indent + len(_joined(words, tight)) > WIDEST:
        ends = [at + 1 for at, word in enumerate(words[:-1]) if word == ","]
        fitting = [at for at in ends if indent + len(_joined(words[:at], tight)) <= WIDEST]
        if not ends:
            break
        at = fitting[-1] if fitting else ends[0]
        yield " " * indent + _joined(words[:at], tight)
        words, indent = words[at:], line.more
    yield " " * indent + _joined(words, tight)
