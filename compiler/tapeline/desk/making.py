"""A style drafted for one body or more: from texts to finished pieces, or to what is wrong with them.

The stages in a row, as the command line needs them.  What one stage finds wrong ends the work; cautions are
carried along.  Nothing is printed and nothing is written here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ..source.diagnostics import CAUTION, ERROR, Diagnostic, has_errors, in_order
from ..source.world import World, read_text

if TYPE_CHECKING:
    from ..meaning.kept import Opened
    from ..meaning.style import Style


@dataclass(slots=True, eq=False)
class Made:
    """A style drafted and finished for one body, which stands at `place` in a chunk."""

    style: object
    card: object
    unit: str
    whole: object  # finishing.whole.Whole
    place: int

    @property
    def draft(self):
        return self.whole.draft

    @property
    def finished(self):
        return self.whole.finished


def opened(path: Path) -> Opened:
    """A style file, read with the libraries beside it."""
    from ..meaning.kept import Opened, open_style

    source, diagnostics = read_text(path)
    return Opened(None, diagnostics, None) if source is None else open_style(source, World(path.resolve().parent))


def open_style(path: Path) -> tuple[Style | None, list[Diagnostic]]:
    """The style of a file, if it is in order, and what is said of it."""
    one = opened(path)
    return one.style, one.diagnostics


def choices_of(style) -> dict:
    """Every choice that the style offers in any course of its rules."""
    return {name: choice for plan in style.plans() for name, choice in plan.choices.items()}


def counts_of(style) -> set[str]:
    """The choices that say how many of something there are."""
    return {
        name
        for plan in style.plans()
        for name, choice in plan.choices.items()
        if any(fork.kind == "count" and fork.slot == choice.slot for fork in plan.forks)
    }


def open_card(path: Path, style, accept: bool, whole: bool = True):
    """(card or None, diagnostics) of a body card that has every measure of the style, or unless `whole` some of them."""
    from ..bodies.card import missing, read_card

    source, diagnostics = read_text(path)
    if source is None:
        return None, diagnostics
    card, diagnostics = believed(lambda known: read_card(source, known, style.doubts), style.measurements, accept)
    if card is None:
        return None, diagnostics
    if whole:
        diagnostics += missing(card, style.needed, style.measurements)
    return (None if has_errors(diagnostics) else card), diagnostics


def believed(read: Callable, measurements: dict, accept: bool):
    """What `read` makes of bodies with these measurements, and what is said of them.

    With `accept` a measure that is hard to believe is used all the same, with a caution.
    """
    from ..bodies.reading import ceiling

    made, found = read(measurements)
    if made is not None or not accept:
        return made, found
    # Read once more with no bounds but those that no acceptance passes: what is no error then is a caution.
    made, _ = read({name: replace(one, low=0.0, high=ceiling(one)) for name, one in measurements.items()})
    if made is None:
        return None, found
    return made, [replace(one, severity=CAUTION, suggestion="") if one.severity == ERROR else one for one in found]


def open_house(path: Path | None):
    """(house or None, diagnostics) of a house file; without one, the usual house."""
    from ..paper.house.house import USUAL, read_house

    if path is None:
        return USUAL, []
    source, diagnostics = read_text(path)
    return (None, diagnostics) if source is None else read_house(source)


def make(style, card, settings: Sequence[str], unit: str | None, house=None) -> tuple[Made | None, list[Diagnostic]]:
    """Draft and finish a style for a card in a house's way; the choices as set on the command line."""
    made, found = make_each(style, [card], settings, unit, house)
    return (made[0] if made else None), found


def make_each(style, cards: Sequence, settings: Sequence[str], unit: str | None, house=None) -> tuple[list[Made], list[Diagnostic]]:
    """Draft and finish a style for every card, all at once.

    Those for which nothing is wrong, in the order of the cards, and all that is said of any of them.
    """
    from .choices import read_choices

    choices, diagnostics = read_choices(settings, choices_of(style), counts_of(style))
    if diagnostics:
        return [], diagnostics
    import numpy as np

    from ..finishing.whole import drafted_whole

    unit = unit or (house.unit if house else "") or cards[0].unit
    measures = {name: np.array([card.values[name] for card in cards]) for name in style.needed}
    made: dict[int, Made] = {}
    found: list[Diagnostic] = []
    for whole in drafted_whole(style, measures, choices, unit, house.allowances if house else None):
        for place, body in enumerate(whole.index):
            if any(failure.bodies[place] for failure in whole.failures):
                found += whole.found(place, cards[body].name)
            if not whole.failed[place]:
                made[int(body)] = Made(style, cards[body], unit, whole, place)
    return [made[body] for body in sorted(made)], in_order(found)
