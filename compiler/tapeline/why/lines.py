"""What stands beside the lines of texts: for each rule its sum and what it came to on this body, as `tapeline why` tells it.

A rule of a library that the style uses several times has a figure for each use, told by the line of the style that wants it, where they
differ.  A line with a `when` has its answer.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from ..meaning.plan import Plan
from ..source.text import Source, Span
from .book import RuleBook
from .telling import sum_words
from .tree import TreeBuilder, TreeRule

MOST = 8  # figures at one line


class LineFigure(NamedTuple):
    """What one rule came to: `words` is its sum and figure, `label` what tells it from others at its line."""

    words: str
    label: str


def figures_by_line(book: RuleBook) -> dict[tuple[Source, int], tuple[str, ...]]:
    """(text, line) -> what its rules came to, in words."""
    found: dict[tuple[Source, int], list[LineFigure]] = {}
    for rule in every_rule(book):
        for span, figure in _of_rule(rule):
            found.setdefault((span.source, span.line), []).append(figure)
    return {place: tuple(_told(figures)) for place, figures in found.items()}


def every_rule(book: RuleBook) -> list[TreeRule]:
    """The rules behind all that the plan gives a name, draws, sews or asks, each once."""
    builder = TreeBuilder(book)
    for slot in _roots(book.plan):
        if slot in book.steps and slot in book.run.filled:
            builder.slot(slot)
    return builder.rules


def _roots(plan: Plan) -> Iterator[int]:
    yield from plan.measures.values()
    yield from (choice.slot for choice in plan.choices.values())
    yield from (value.slot for value in plan.values.values())
    yield from (name.slot for name in plan.names if name.sort == "level")
    yield from (fork.slot for fork in plan.forks)
    for piece in plan.pieces:
        for table in (piece.points, piece.widths):
            yield from table.values()
        yield from (slot for _, slot in piece.edges)
        yield from {mark.span: mark.path for mark in (*piece.tapes, *reversed(piece.marks))}.values()
        yield from (placed.at for placed in piece.point_marks)
        yield from (notch.place for notch in piece.notches)
        yield from (slot for _, _, points, intake in piece.inner for slot in (*points, intake))
    yield from (allowance.width for allowance in plan.allowances.values() if allowance.width is not None)
    yield from (seam.ease for seam in plan.seams if seam.ease is not None)
    yield from (slot for rule in plan.requirements for _, slot, _ in rule.figures)


def _of_rule(rule: TreeRule) -> Iterator[tuple[Span, LineFigure]]:
    """Where something stands beside a rule, and what: at its statement, at the line of a library that reckons it, at a `when`."""
    for way in rule.ways:
        if way.span is not None:
            yield way.span, LineFigure("= yes" if way.holds else "= no", _wanted(rule))
    if rule.said is None or rule.sort in ("stated", "turn"):
        return
    words = _words(rule)
    if words:
        own = rule.name if rule.sort in ("measure", "step") else ""
        wanted = _wanted(rule) if rule.by is None else ""
        yield rule.said.span, LineFigure(words, ", ".join(filter(None, [rule.side, wanted or own])))
        if rule.by is not None:
            yield rule.by.span, LineFigure(words, _wanted(rule))


def _wanted(rule: TreeRule) -> str:
    """The statement of the style that wants a rule of a library."""
    return f"for line {rule.asked[0].line}" if rule.asked else ""


def _words(rule: TreeRule) -> str:
    """What a rule came to: `= SUM = FIGURE`, or `NAME = FIGURE` of the names in what is drawn."""
    if rule.sort in ("measure", "choice", "find") or (rule.sort in ("quantity", "level") and not rule.sums):
        return f"= {rule.comes}" if rule.comes else ""
    if len(rule.sums) == 1 and rule.comes == rule.sums[0].comes:
        return f"= {sum_words(rule.sums[0])}"
    said = "" if rule.said is None else rule.said.words
    reckoned = [f"{'' if said.endswith(one.words) else f'{one.words} '}= {sum_words(one)}" for one in rule.sums if not one.is_lone]
    return "; ".join(reckoned or [f"{name} = {figure}" for name, figure in rule.named])


def _told(figures: list[LineFigure]) -> Iterator[str]:
    """Figures at one line: those that are alike once, several each with what it is for."""
    labels: dict[str, str] = {}
    for words, label in figures:
        labels[words] = labels.get(words) or label
    if len(labels) == 1:
        yield next(iter(labels))
        return
    for words, label in [*labels.items()][:MOST]:
        if not label.startswith("for"):
            yield f"{label} {words}".strip()
        else:
            yield f"{label}: {words.removeprefix('= ')}"
    if len(labels) > MOST:
        yield f"and {len(labels) - MOST} more"
