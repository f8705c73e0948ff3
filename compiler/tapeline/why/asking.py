"""The question why, asked of one body's draft: its places, and the answer to each.

One `Reasons` holds what every answer needs of a draft, so that who asks often asks the same one.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

from ..drafting.courses import Draft
from ..drafting.pattern import Pattern
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.text import Source
from .book import RuleBook, Ways
from .lines import figures_by_line
from .place import AskedPlace, PlaceTable
from .shares import shares
from .telling import Why
from .tree import TreeBuilder


class Reasons:
    """Why everything of a draft lies where it lies; `index` is the body's place in what was drafted together, `card` what her
    measures are called, `pattern` the finished one."""

    def __init__(
        self, style: Style, drafted: Draft, index: int, ways: Ways, unit: str, body: str, card: str = "", pattern: Pattern | None = None
    ) -> None:
        self.style, self.drafted, self.body, self.card = style, drafted, body, card
        self.book = RuleBook(drafted.plan, drafted.run, index, ways, unit, style.source)
        self._pattern = pattern or drafted.pattern

    @cached_property
    def places(self) -> PlaceTable:
        return PlaceTable(self.book, self.drafted, self._pattern)

    @cached_property
    def beside(self) -> dict[tuple[Source, int], tuple[str, ...]]:
        """(text, line) -> the sums and figures of the rules there, in words, as the proof page shows them."""
        return figures_by_line(self.book)

    def why(self, place: str, moves: bool = True) -> tuple[Why | None, list[Diagnostic]]:
        """The answer, or why there is none: E110, E111.  Without `moves` it is not told what moves the place, which takes most of the time."""
        found, wrong = self.places.find(place, self.style)
        return (None, [wrong]) if found is None and wrong is not None else (None if found is None else self.answer(found, moves), [])

    def answer(self, place: AskedPlace, moves: bool = True) -> Why:
        builder = TreeBuilder(self.book, self.card)
        if place.wanted is not None:
            builder.wanted(place.wanted)
        elif place.slot is not None:
            builder.slot(place.slot)
        first = builder.rules[0]
        rules = (replace(first, name=place.words) if first.name != place.words else first, *builder.rules[1:])
        told = shares(self.book, self.drafted, rules, place.parts) if moves else None
        return Why(
            place.words, self.drafted.plan.name, self.body, self.book.unit, rules, tuple(part.word for part in place.parts), told
        )
