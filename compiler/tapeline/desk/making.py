"""One style drafted for one body: from texts to finished pieces, or to what is wrong with them.

The stages in a row, as the command line needs them.  What one stage finds wrong ends the work; cautions are
carried along.  Nothing is printed and nothing is written here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..source.diagnostics import CAUTION, ERROR, Diagnostic, has_errors, in_order
from ..source.text import Source
from ..source.world import World, read_text


@dataclass(slots=True, eq=False)
class Made:
    """A drafted and finished style.  `draft` and `finished` hold one body."""

    style: object
    card: object
    unit: str
    draft: object
    finished: object


def open_style(path: Path):
    """(style or None, diagnostics) of a style file, read with the libraries beside it."""
    from ..meaning.style import read

    source, diagnostics = read_text(path)
    return (None, diagnostics) if source is None else read(source, World(path.resolve().parent))


def choices_of(style) -> dict:
    """Every choice that the style offers in any course of its rules."""
    return {name: choice for plan in style.plans() for name, choice in plan.choices.items()}


def counts_of(style) -> set[str]:
    """The choices that say how many of something there are."""
    return {name for plan in style.plans() for name, choice in plan.choices.items()
            if any(fork.kind == "count" and fork.slot == choice.slot for fork in plan.forks)}


def measures_of(style) -> list[str]:
    """Every measure that the style needs in any course of its rules."""
    return list(dict.fromkeys(name for plan in style.plans() for name in plan.measures))


def open_card(path: Path, style, accept: bool):
    """(card or None, diagnostics) of a body card that has every measure of the style.

    With `accept` a measure that is hard to believe is used all the same, with a caution.
    """
    from ..bodies.card import missing

    source, diagnostics = read_text(path)
    if source is None:
        return None, diagnostics
    card, diagnostics = _read_card(source, style, accept)
    if card is None:
        return None, diagnostics
    diagnostics += missing(card, measures_of(style), style.measurements)
    return (None if has_errors(diagnostics) else card), diagnostics


def _read_card(source: Source, style, accept: bool):
    from ..bodies.card import read_card
    from ..bodies.reading import ceiling

    card, diagnostics = read_card(source, style.measurements, style.doubts)
    if card is not None or not accept:
        return card, diagnostics
    # Read once more with no bounds but those that no acceptance passes: what is no error then is a caution.
    unbounded = {name: replace(one, low=0.0, high=ceiling(one)) for name, one in style.measurements.items()}
    card, _ = read_card(source, unbounded, style.doubts)
    if card is None:
        return None, diagnostics
    return card, [replace(one, severity=CAUTION, suggestion="") if one.severity == ERROR else one
                  for one in diagnostics]


def open_house(path: Path | None):
    """(house or None, diagnostics) of a house file; without one, the usual house."""
    from ..paper.house import USUAL, read_house

    if path is None:
        return USUAL, []
    source, diagnostics = read_text(path)
    return (None, diagnostics) if source is None else read_house(source)


def make(style, card, settings: Sequence[str], unit: str | None, house=None) -> tuple[Made | None, list[Diagnostic]]:
    """Draft and finish a style for a card in a house's way; the choices as set on the command line."""
    from .choices import read_choices

    choices, diagnostics = read_choices(settings, choices_of(style), counts_of(style))
    if diagnostics:
        return None, diagnostics
    import numpy as np

    from ..drafting.run import draft
    from ..finishing.finish import finish

    unit = unit or (house.unit if house else "") or card.unit
    measures = {name: np.array([card.values[name]]) for name in measures_of(style)}
    drafted = draft(style, measures, choices, unit)[0]
    if house and house.turnings:
        drafted = _with_turnings_of(house, drafted)
    failures = list(drafted.failures)
    finished = None
    if not drafted.failed.any():
        finished, failed = finish(drafted.pattern, unit)
        failures += failed
    found = in_order(failure.diagnostic(0, card.name) for failure in failures if failure.bodies[0])
    made = None if finished is None or has_errors(found) else Made(style, card, unit, drafted, finished)
    return made, found


def _with_turnings_of(house, drafted):
    from ..drafting.ledgers import keep_ledgers
    from ..finishing.usual import with_usual_turnings

    pattern = with_usual_turnings(drafted.pattern, house.turnings)
    return replace(drafted, pattern=pattern, ledgers=keep_ledgers(drafted.plan, pattern, drafted.run))
