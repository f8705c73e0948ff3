"""What is said of a place, in words that can be read aloud, and as data.

Each rule takes two or three lines: what it is called, its sum and what that comes to; its own words; and where these stand.  What it
rests on is indented below it.  A rule is told once, and referred to afterwards; figures that a rule states itself are in its words,
and get no line.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from ..source.text import Span
from .shares import LeafShare
from .tree import Sum, TreeRule, Way

INDENT, ASIDE = "  ", "    "
USUAL_DEPTH = 1
SILENT = ("stated", "turn")  # what stands in words, or is not to be told of
RECKONED = ("measure", "choice", "quantity", "level", "stated", "girth")
DRAWN = ("point", "edge", "line")


@dataclass(frozen=True, slots=True)
class Why:
    """The answer: `rules` is the tree, the place first; `shares` is what moves it; lengths are told in `unit`."""

    place: str
    style: str
    body: str
    unit: str
    rules: tuple[TreeRule, ...]
    parts: tuple[str, ...] = ("",)  # what of it moves: of a point across and down, of a piece its edges
    shares: tuple[LeafShare, ...] | None = ()  # None where it was not asked for

    @property
    def rule(self) -> TreeRule:
        return self.rules[0]

    def lines(self, depth: int | None = USUAL_DEPTH) -> list[str]:
        """The answer in words; `depth` is how many rules below the place are told, None: all."""
        return [*_tree(self, depth), *([] if self.shares is None else ["", *_shares(self.shares)])]

    def as_data(self) -> dict[str, Any]:
        """The whole answer as plain data: lengths in mm, angles in radians."""
        return {
            "place": self.place,
            "style": self.style,
            "body": self.body,
            "unit": self.unit,
            "rules": [_rule_data(rule) for rule in self.rules],
            "moves": None if self.shares is None else [share.as_data(self.parts) for share in self.shares],
        }


def where(span: Span) -> str:
    """File and line, the file by its own name."""
    return f"{span.source.name.rsplit('/', 1)[-1]}:{span.line}"


# ------------------------------------------------------------ in words


def _tree(why: Why, depth: int | None) -> Iterator[str]:
    """The tree; no more than `depth` rules that are drawn below one another, quantities down to the measures."""
    told: set[int] = set()
    left: set[int] = set()
    waiting = [(0, 0, 0)]
    while waiting:
        number, indented, drawn = waiting.pop()
        rule = why.rules[number]
        if number and rule.sort in SILENT:
            continue
        indent = INDENT * indented
        if number in told:
            yield f"{indent}{_called(rule)}: see above"
            continue
        told.add(number)
        below = drawn + (rule.sort not in RECKONED)
        if depth is not None and number and below > depth:
            yield f"{indent}{headline(rule)}{_at(rule)}"
            left.update(rule.rests)
            continue
        yield from (f"{indent}{line}" for line in rule_lines(rule))
        waiting += [(one, indented + 1, below if number else 0) for one in reversed(rule.rests)]
    more = {number for number in _below(why, left) if why.rules[number].sort not in SILENT} - told
    if more:
        yield f"({len(more)} more rules lie below these: --depth {(depth or 0) + 3})"


def _below(why: Why, numbers: set[int]) -> set[int]:
    found: set[int] = set()
    stack = list(numbers)
    while stack:
        number = stack.pop()
        if number not in found:
            found.add(number)
            stack += why.rules[number].rests
    return found


def rule_lines(rule: TreeRule) -> list[str]:
    """A rule in words, with the place of each."""
    at = _at(rule)
    first = headline(rule)
    if rule.sort in ("measure", "choice"):
        return [f"{first}{at if rule.sort == 'choice' else ''}"]
    lines = [first]
    if rule.said is not None:
        if rule.name:
            lines.append(f"{ASIDE}{rule.told or rule.said.words}{at}")
        else:
            lines = [f"{first}{at}"]
    if rule.by is not None:
        lines.append(f"{ASIDE}{rule.by.words}  [{where(rule.by.span)}]")
    elif rule.asked:
        wanted = rule.asked if rule.sort == "quantity" else rule.asked[:1]
        lines.append(f"{ASIDE}for {', '.join(where(span) for span in wanted)}")
    return [*lines, *(f"{ASIDE}{way_words(way)}" for way in rule.ways)]


def _at(rule: TreeRule) -> str:
    return f"  [{where(rule.said.span)}]" if rule.said is not None else ""


def headline(rule: TreeRule) -> str:
    """What a rule is called, its sum, and what it comes to."""
    name = _called(rule)
    own = len(rule.sums) == 1 and rule.comes == rule.sums[0].comes
    if own:
        words = f"{name} = {sum_words(rule.sums[0])}"
    else:
        words = f"{name}{': ' if rule.kind in DRAWN else ' = '}{rule.comes}" if rule.comes else name
        words += "".join(f"; {one.words} = {sum_words(one)}" for one in rule.sums if not one.is_lone)
    return f"{words}, {rule.note}" if rule.note else words


def sum_words(one: Sum) -> str:
    """The figures of a sum and what they come to; a lone figure once."""
    return one.comes if one.is_lone else f"{one.figures} = {one.comes}"


def way_words(way: Way) -> str:
    answer = "yes" if way.holds else "no"
    return f"{way.words}: {answer}{f' ({way.figures})' if way.figures else ''}{f'  [{where(way.span)}]' if way.span else ''}"


def _called(rule: TreeRule) -> str:
    return rule.name or (rule.told or rule.said.words if rule.said else rule.comes)


def _shares(shares: Sequence[LeafShare]) -> Iterator[str]:
    moving = [share for share in shares if share.words]
    still = [share.name for share in shares if not share.words]
    if not shares:
        yield "It rests on no measure and no choice: the texts state it."
        return
    yield "What moves it:" if moving else "No measure and no choice moves it by what can be seen."
    width = max((len(f"{share.name}, {share.figure}") for share in moving), default=0)
    for share in moving:
        yield f"{INDENT}{f'{share.name}, {share.figure}':<{width}}  {share.words}"
    if still:
        yield f"{INDENT}not moved by a little more of: {', '.join(still)}"


# ------------------------------------------------------------ as data


def _rule_data(rule: TreeRule) -> dict[str, Any]:
    return {
        "number": rule.number,
        "sort": rule.sort,
        "name": rule.name,
        "side": rule.side,
        "words": rule.said.words if rule.said else "",
        "at": _place_data(rule.said.span if rule.said else None),
        "told": rule.told,
        "by": None if rule.by is None else {"words": rule.by.words, "at": _place_data(rule.by.span)},
        "asked": [_place_data(span) for span in rule.asked],
        "sums": [
            {"words": one.words, "figures": one.figures, "comes": one.comes, "formula": one.formula, "value": finite(one.value)}
            for one in rule.sums
        ],
        "ways": [{"words": way.words, "figures": way.figures, "holds": way.holds, "at": _place_data(way.span)} for way in rule.ways],
        "comes": rule.comes,
        "values": [finite(value) for value in rule.values],
        "kind": rule.kind,
        "note": rule.note,
        "rests": list(rule.rests),
    }


def _place_data(span: Span | None) -> dict[str, Any] | None:
    return None if span is None else {"file": span.source.name, "line": span.line}


def finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
