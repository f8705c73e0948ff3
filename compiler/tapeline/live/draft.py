"""A style and one body, drafted and drawn again and again as measures and choices change.

What is drawn is always what a fresh reading and draft would draw: each piece with the strokes of its papers, in its own
coordinates.  A draft that fails has no pieces, and says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from hashlib import blake2b
from typing import TYPE_CHECKING

from ..making.choices import choices_of
from ..making.drafts import BodyDraft, draft_cards
from ..paper.drawing.model import Box, Group, box_of
from ..paper.drawing.pieces import draw_piece
from ..paper.house.work import Work
from ..paper.sheets.svg import write_group

if TYPE_CHECKING:
    from ..bodies.card import Card
    from ..paper.house.house import House
    from ..session import Reading
    from ..source.diagnostics import Diagnostic


@dataclass(frozen=True, slots=True)
class LivePiece:
    """A piece as it is drawn: `svg` is the text of one group, with the strokes and words of the sheet in the piece's own
    coordinates, `box` what it takes up in mm (left, top, right, bottom), and `key` is another as soon as the text is."""

    name: str
    key: str
    svg: str
    box: Box


class LiveDrawing:
    """What has come of one setting of measures and choices.  Where `failed`, nothing is drawn, and `diagnostics` say why."""

    def __init__(self, draft: BodyDraft | None, diagnostics: tuple[Diagnostic, ...], opened: bool, foundations: bool):
        self.draft = draft
        self.diagnostics = diagnostics
        self.opened, self.foundations = opened, foundations

    @property
    def failed(self) -> bool:
        return self.draft is None

    @property
    def work(self) -> Work:
        """What its papers are made from.  ValueError where it failed."""
        if self.draft is None:
            raise ValueError("a draft that failed has no papers")
        return self.draft.work(opened=self.opened, foundations=self.foundations)

    @cached_property
    def pieces(self) -> tuple[LivePiece, ...]:
        """What drawings show, in their order."""
        if self.draft is None:
            return ()
        work = self.work
        return tuple(live_piece(draw_piece(piece, work.index, work.heading, work.opened)) for piece in work.shown)

    def rested(self) -> LiveDrawing:
        """The same as the papers have it: every word in its place."""
        return self


def live_piece(group: Group) -> LivePiece:
    svg = write_group(group)
    return LivePiece(group.name, blake2b(svg.encode(), digest_size=12).hexdigest(), svg, box_of(group.items))


class LiveDraft:
    """A reading, a body's card and a house, made anew for a new reading: `last` is that of the reading before, of which is kept
    what has not changed.  ValueError where the text is not in order, or the card has not all measures of the style."""

    def __init__(self, reading: Reading, card: Card, house: House, unit: str | None = None, last: LiveDraft | None = None):
        self.style = reading.sound
        lacking = [name for name in self.style.needed if name not in card.values]
        if lacking:
            raise ValueError(f"the style needs {', '.join(lacking)} as well")
        self.card, self.house, self.unit = card, house, unit
        self._choices = choices_of(self.style)

    def at(
        self, measures: Mapping[str, float], choices: Mapping[str, float], opened: bool = False, foundations: bool = False
    ) -> LiveDrawing:
        """The draft with these measures and choices, millimetres, radians, or 1 and 0; the others are as on the card, and as the style
        has them.  A measure whose sides differ keeps their difference.  KeyError for a name that the style does not know."""
        for name in choices:
            self._choices[name]
        values, sides = dict(self.card.values), dict(self.card.sides)
        for name, value in measures.items():
            more = value - values[name]
            values[name] = value
            if name in sides:
                left, right = sides[name]
                sides[name] = left + more, right + more
        card = replace(self.card, values=values, sides=sides)
        drafts, said = draft_cards(self.style, [card], (), self.unit, self.house, each=[choices])
        draft = drafts[0] if drafts else None
        return LiveDrawing(draft, tuple(said) if draft is None else draft.diagnostics, opened, foundations)
