"""The next positions of a slider, drafted before the hand is there.

Bodies drafted together cost little more than one of them alone: thirty positions of a slider are drafted and finished in one go, in
about the time of one or two.  So when a slider is taken hold of, those about its value are drafted, and while it moves each is there already;
only its lines are drawn when it is asked for.  Clients whose sides differ are not drafted ahead, nor styles that have something of one side.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ..bodies.card import Card
from ..drafting.uneven import is_one_sided
from ..finishing.whole import Whole, drafted_whole
from ..making.papers import work_of
from ..meaning.style import Style
from ..paper.house.house import House
from ..source.diagnostics import Diagnostic
from .drawing import LivePiece, PieceDrawing

MOST = 400  # positions that are kept
Setting = tuple[frozenset[tuple[str, float]], frozenset[tuple[str, float]]]  # of measures and of choices


class PositionDrawing:
    """What a slider's position comes to, as `LiveDrawing`, without what is told of a draft at rest."""

    def __init__(self, ahead: Ahead, whole: Whole, place: int, opened: bool) -> None:
        self._ahead, self._whole, self._place, self._opened = ahead, whole, place, opened

    @property
    def failed(self) -> bool:
        return bool(self._whole.failed[self._place])

    @property
    def pieces(self) -> tuple[LivePiece, ...]:
        """Each with its lettering where it lay when the hand last rested."""
        if self.failed:
            return ()
        ahead = self._ahead
        work = work_of(ahead.style, self._whole, self._place, ahead.card.name, ahead.unit, ahead.house, self._opened)
        return ahead.drawing.pieces(work, False, (id(self._whole), self._place))

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """Why it failed."""
        return tuple(self._whole.diagnostics(self._place, self._ahead.card.name))


class Ahead:
    """The positions that are there, of one live draft, which draws them by `drawing`."""

    def __init__(self, style: Style, card: Card, house: House, unit: str, drawing: PieceDrawing) -> None:
        self.style, self.card, self.house, self.unit, self.drawing = style, card, house, unit, drawing
        self._there: dict[Setting, tuple[Whole, int]] = {}

    @property
    def possible(self) -> bool:
        return not self.card.sides and not any(is_one_sided(plan) for plan in self.style.plans())

    def _with(
        self, measures: Mapping[str, float], choices: Mapping[str, float], name: str, value: float
    ) -> tuple[dict[str, float], dict[str, float]]:
        if name in self.style.needed:
            return {**measures, name: value}, dict(choices)
        return dict(measures), {**choices, name: value}

    def fill(self, measures: Mapping[str, float], choices: Mapping[str, float], name: str, values: Sequence[float]) -> int:
        """Draft with each of the values of a measure or choice, the rest as it is; how many were not there yet."""
        settings = [self._with(measures, choices, name, value) for value in values]
        wanted = [(of, set_to) for of, set_to in settings if _key(of, set_to) not in self._there]
        if not wanted or not self.possible:
            return 0
        arrays = {one: np.array([of.get(one, self.card.values[one]) for of, _ in wanted]) for one in self.style.needed}
        given = {one: np.array([set_to[one] for _, set_to in wanted]) for one in wanted[0][1]}
        for whole in drafted_whole(self.style, arrays, given, self.unit, self.house.allowances, len(wanted)):
            for place, number in enumerate(whole.index.tolist()):
                self._there[_key(*wanted[number])] = whole, place
        while len(self._there) > MOST:
            del self._there[next(iter(self._there))]
        return len(wanted)

    def find(self, measures: Mapping[str, float], choices: Mapping[str, float], opened: bool = False) -> PositionDrawing | None:
        """The drawing of a position that is there."""
        there = self._there.get(_key(measures, choices))
        return None if there is None else PositionDrawing(self, *there, opened)


def _key(measures: Mapping[str, float], choices: Mapping[str, float]) -> Setting:
    """Figures to a millionth: they come by two ways, as text and as sums of steps."""
    return frozenset((name, round(value, 6)) for name, value in measures.items()), frozenset(
        (name, round(value, 6)) for name, value in choices.items()
    )
