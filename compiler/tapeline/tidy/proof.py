"""That a text laid out says what it said: its tree, what its comments belong to, and its drafts.

Trees are compared in everything but place, comments by the node that they belong to, lines that could not be read letter for
letter.  Where the text is in order, its fingerprint, the steps of every course, and the answers of its examples are compared too.
A text whose layout would fail is refused (E100) and stays as it is.
"""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING

from ..meaning.cached import read_anew
from ..source.diagnostics import Diagnostic
from ..source.text import BLANK, Source, Span
from ..syntax.parser import Parsed, parse
from ..syntax.tree import Broken
from ..syntax.trivia import trivia
from .layout import laid_out

if TYPE_CHECKING:
    from ..meaning.style import Style
    from ..source.world import World


def tidied(source: Source) -> tuple[str, list[Diagnostic]]:
    """The text in its layout, the same in tree and comments; as it was, and E100, where it would not be, or is not of the language."""
    before = parse(source)
    if before.tree.language is None:
        way_out = 'Begin it with a line "language 1" and a heading, or name another file.'
        return source.text, [_left(source, "a style, a library or a client's fittings", "a text of another sort", way_out)]
    text = laid_out(before)
    if text == source.text:
        return text, []
    after = parse(Source(source.name, text))
    if not same_text(before, after) or laid_out(after) != text:
        return source.text, [_refused(source, "the same statements and comments", "others")]
    return text, []


def tidied_whole(source: Source, world: World) -> tuple[str, list[Diagnostic]]:
    """The same, its drafts compared too where the text and what it uses are in order."""
    text, diagnostics = tidied(source)
    if text == source.text or diagnostics:
        return text, diagnostics
    before = read_anew(source, world).style
    if before is None:
        return text, []
    after = read_anew(Source(source.name, text), world).style
    if after is None or not same_drafts(before, after):
        return source.text, [_refused(source, "the same drafts", "others")]
    return text, []


def _refused(source: Source, expected: str, found: str) -> Diagnostic:
    return _left(source, f"{expected} after it is laid out", found, "Please report it with the text: this is a fault of the program.")


def _left(source: Source, expected: str, found: str, way_out: str) -> Diagnostic:
    return Diagnostic("E100", "This text is left as it is", Span(source, 0, 0), expected, found, way_out)


def same_text(before: Parsed, after: Parsed) -> bool:
    """Equal in everything but place, and every comment with the same node."""
    return (
        before.tree.same(after.tree)
        and [node.span.text for node in before.tree.walk() if isinstance(node, Broken)]
        == [node.span.text for node in after.tree.walk() if isinstance(node, Broken)]
        and [(one.code, one.found) for one in before.diagnostics] == [(one.code, one.found) for one in after.diagnostics]
        and _placed(before) == _placed(after)
    )


def _placed(parsed: Parsed) -> list[tuple[int, str, str]]:
    """(number of the node, how the comment stands to it, its words)."""
    numbers = {node: at for at, node in enumerate(parsed.tree.walk())}
    found = trivia(parsed.tree, parsed.comments)
    return [
        (numbers[node], how, span.text.rstrip(BLANK))
        for how, where in (("above", found.above), ("beside", found.beside), ("inside", found.inside))
        for node, spans in where.items()
        for span in spans
    ]


def same_drafts(before: Style, after: Style) -> bool:
    """Equal rules, equal steps in every course, and examples that come to the same."""
    from ..drafting.examples import run_examples

    return (
        before.fingerprint == after.fingerprint
        and _plain([plan.steps for plan in before.plans()]) == _plain([plan.steps for plan in after.plans()])
        and [(one.code, one.found) for one in run_examples(before)] == [(one.code, one.found) for one in run_examples(after)]
    )


def _plain(value: object) -> object:
    """A value of a plan without places in the text."""
    if isinstance(value, Span):
        return None
    if isinstance(value, (list, tuple)):
        return [_plain(part) for part in value]
    if isinstance(value, dict):
        return [(_plain(key), _plain(part)) for key, part in value.items()]
    if is_dataclass(value) and not isinstance(value, type):
        return [type(value).__name__, *(_plain(getattr(value, part.name)) for part in fields(value))]
    return value
