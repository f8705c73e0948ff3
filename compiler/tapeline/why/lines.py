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
from .telling import sum_words, where
from .tree import TreeBuilder, TreeRule

MOST = 12  # figures at one line


class LineFigure(NamedTuple):
    """What one rule came to: `words` is its sum and figure, `name` what these are of, where the line does not say it, and `label` what
    tells it from others at its line."""

    words: str
    name: str = ""
    label: str = ""


def figures_by_line(book: RuleBook) -> dict[tuple[Source, int], tuple[str, ...]]:
    """(text, line) -> what its rules came to, in words."""
    found: dict[tuple[Source, int], list[LineFigure]] = {}
    for fork in book.plan.forks:
        if fork.kind == "when":
            answer = LineFigure("yes" if fork.outcome else "no", "", f"for {fork.key[2]}" if fork.key[2] else "")
            found.setdefault((fork.span.source, fork.span.line), []).append(answer)
    for rule in sorted(every_rule(book), key=lambda rule: rule.asked[0].start if rule.asked else 0):
        for span, figure in _of_rule(rule, book.style):
            found.setdefault((span.source, span.line), []).append(figure)
    return {place: tuple(_told(figures)) for place, figures in found.items()}


def every_rule(book: RuleBook) -> list[TreeRule]:
    """The rules behind all that the plan gives a name, draws, sews or asks, each once."""
    return _every(book).rules


def slots_at(book: RuleBook, name: str, line: int) -> list[int]:
    """The slots whose rule stands at a line of the text of that name, or whose sum is that of the rule there."""
    builder, found = _every(book), []
    for (slot, _), number in builder.numbers.items():
        rule = builder.rules[number]
        places = [wording.span for wording in (rule.said, rule.by) if wording is not None]
        if rule.sort not in ("stated", "turn") and any(where(span) == f"{name}:{line}" for span in places):
            found.append(slot)
    return found


def _every(book: RuleBook) -> TreeBuilder:
    builder = TreeBuilder(book)
    for slot in _roots(book.plan):
        if slot in book.steps and slot in book.run.filled:
            builder.slot(slot)
    return builder


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


def _of_rule(rule: TreeRule, style: Source) -> Iterator[tuple[Span, LineFigure]]:
    """Where something stands beside a rule, and what: at its statement, and at the line of a library that reckons it."""
    wanted = _wanted(rule, style)
    if rule.said is None or rule.sort in ("stated", "turn") or rule.kind == "condition" and rule.sort == "step":
        return
    label = ", ".join(filter(None, [rule.side if rule.sort != "measure" else "", wanted]))
    for words, name in _words(rule):
        own = rule.name if rule.sort in ("measure", "step") and rule.name and not wanted else name
        yield rule.said.span, LineFigure(words, own, label if rule.by is None else rule.side)
        if rule.by is not None:
            yield rule.by.span, LineFigure(words, name, label)


def _wanted(rule: TreeRule, style: Source) -> str:
    """The statement of the style that wants a rule of a library."""
    if not rule.asked:
        return ""
    span = rule.asked[0]
    return f"for line {span.line}" if span.source == style else f"for {where(span)}"


def _words(rule: TreeRule) -> Iterator[tuple[str, str]]:
    """What a rule came to, its sum and figure, and what these are of: each reckoned figure of what is drawn, else each name in it."""
    if rule.sort in ("measure", "choice", "find") or (rule.sort in ("quantity", "level") and not rule.sums):
        if rule.comes:
            yield rule.comes, ""
    elif len(rule.sums) == 1 and rule.comes == rule.sums[0].comes:
        yield sum_words(rule.sums[0]), ""
    else:
        said = "" if rule.said is None else rule.said.words
        reckoned = [(sum_words(one), "" if said.endswith(one.words) else one.words) for one in rule.sums if not one.is_lone]
        yield from reckoned or [(figure, name) for name, figure in rule.named]


def _told(figures: list[LineFigure]) -> Iterator[str]:
    """Figures at one line: those that are alike once, several each with what it is for."""
    labels: dict[tuple[str, str], str] = {}
    for words, name, label in sorted(figures, key=lambda one: bool(one.name) and not one.label):  # first what the line itself gives
        labels[words, name] = labels.get((words, name)) or label
    alone = len(labels) == 1
    for (words, name), label in [*labels.items()][:MOST]:
        told = f"{name} = {words}" if name else words if label and not alone else f"= {words}"
        yield f"{label}: {told}" if label and not alone else told
    if len(labels) > MOST:
        yield f"and {len(labels) - MOST} more"
