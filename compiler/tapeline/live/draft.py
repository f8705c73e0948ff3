"""A style and one body, drafted and drawn again and again as measures and choices change.

What is drawn is always what a fresh reading and draft would draw: each piece with the lines of its papers, in its own coordinates.
Only what a change concerns is worked out again, in all three stages: drafting (`drafting.again`), finishing (`finishing.kept`) and
drawing (`drawing.py`).  A draft that fails has no pieces, and says why.
"""

from __future__ import annotations

from collections.abc import Mapping
from copy import copy
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from ..drafting.again import Again
from ..finishing.kept import Kept
from ..finishing.whole import Whole, whole_of
from ..making.choices import choices_of
from ..making.drafts import BodyDraft, girths_unfitted
from ..making.fitted_girths import too_small
from ..making.papers import work_of
from ..paper.house.work import Work
from .ahead import Ahead
from .drawing import LivePiece, PieceDrawing

if TYPE_CHECKING:
    from ..bodies.card import Card
    from ..paper.house.house import House
    from ..session import Reading
    from ..source.diagnostics import Diagnostic


class LiveDrawing:
    """What has come of one setting of measures and choices.  Where it `failed` nothing is drawn, and the `diagnostics` say why.

    Each part is worked out when it is asked for.  `pieces` has the lettering of pieces that moved where it lay when the hand last
    rested; of what `rested` gives, every word is where the papers have it.
    """

    def __init__(self, live: LiveDraft, card: Card, choices: Mapping[str, float], whole: Whole, opened: bool, foundations: bool):
        self._live, self._whole, self._choices = live, whole, choices
        self.card, self.opened, self.foundations = card, opened, foundations
        self._resting = False

    @property
    def failed(self) -> bool:
        return bool(self._whole.failed[0])

    @cached_property
    def pieces(self) -> tuple[LivePiece, ...]:
        """What drawings show, in their order."""
        if self.failed:
            return ()
        live = self._live
        work = work_of(live.style, self._whole, 0, self.card.name, live.told, live.house, self.opened, foundations=self.foundations)
        return live.drawing.pieces(work, self._resting)

    def rested(self) -> LiveDrawing:
        """The same with its lettering laid anew, which what moves from here on keeps."""
        rested = copy(self)
        rested.__dict__.pop("pieces", None)
        rested._resting = True
        return rested

    @cached_property
    def draft(self) -> BodyDraft:
        """The draft with all that is said of it.  ValueError where it failed."""
        if self.failed:
            raise ValueError("a draft that failed has no papers")
        live, name = self._live, self.card.name
        unfitted = girths_unfitted(live.style, [self.card], (), live.told, live.house, [self._choices]).get(0, {})
        said = [*self._whole.diagnostics(0, name), *too_small(self._whole.draft.ledgers, 0, unfitted, name, live.told)]
        return BodyDraft(live.style, self.card, live.told, self._whole, 0, live.house, tuple(said), None, unfitted)

    @cached_property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """The errors of a draft that failed, else its cautions."""
        return tuple(self._whole.diagnostics(0, self.card.name)) if self.failed else self.draft.diagnostics

    @cached_property
    def work(self) -> Work:
        """What its papers are made from.  ValueError where it failed."""
        return self.draft.work(opened=self.opened, foundations=self.foundations)


class LiveDraft:
    """A reading, a body's card and a house, made anew for a new reading: `last` is that of the reading before, of which the lettering
    is kept.  ValueError where the text is not in order, or the card has not all measures of the style."""

    def __init__(self, reading: Reading, card: Card, house: House, unit: str | None = None, last: LiveDraft | None = None):
        self.style = reading.sound
        lacking = [name for name in self.style.needed if name not in card.values]
        if lacking:
            raise ValueError(f"the style needs {', '.join(lacking)} as well")
        self.card, self.house = card, house
        self.told = unit or house.unit or card.unit  # the unit of lengths
        self._kept = Kept()  # of finishing and drawing
        self.drawing: PieceDrawing = PieceDrawing(self._kept, None if last is None else last.drawing.rested)
        self._choices = choices_of(self.style)
        self._again = Again(self.style, self.told)
        self.ahead = Ahead(self.style, card, house, self.told, self.drawing)

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
        self._kept.begin()
        whole = whole_of(self._again.draft(values, choices, sides), self.told, self.house.allowances, self._kept)
        return LiveDrawing(self, card, dict(choices), whole, opened, foundations)
