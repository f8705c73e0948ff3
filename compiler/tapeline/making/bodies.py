"""Bodies and houses as they are given: by their paths in a world, as texts, or in figures.

Figures become a card like any other, and are read as one, so that whatever is wrong with a body is said in the same way
however it was given.  With `accept` a measure that is hard to believe is used all the same, with a caution.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from pathlib import PurePath
from typing import TypeVar

from ..bodies.card import Card, missing, read_card, write_card
from ..bodies.measurement import Measurement
from ..bodies.reading import ceiling
from ..meaning.style import Style
from ..paper.house.house import USUAL, House, read_house
from ..source.diagnostics import CAUTION, ERROR, Diagnostic, has_errors
from ..source.text import Source
from ..source.world import World

Figures = Mapping[str, float | str]  # measure -> millimetres (degrees for an angle), or as it is written: "72 cm"
Body = Card | Figures | Source | PurePath | str  # a text is that of a card
Bodies = Iterable[Body] | Mapping[str, Body]  # a mapping gives each body its name
SomeHouse = House | Source | PurePath | str | None

_Read = TypeVar("_Read")


def text_in(world: World, given: Source | PurePath | str, name: str) -> tuple[Source | None, list[Diagnostic]]:
    """The text that is meant: one of the world by its path, or the text itself, shown under a name."""
    if isinstance(given, PurePath):
        return world.text(given)
    return (given if isinstance(given, Source) else Source(name, given)), []


def named_bodies(bodies: Bodies) -> list[tuple[str, Body]]:
    """Every body with the name it goes by where it has none of its own."""
    if isinstance(bodies, Mapping):
        return [(name, body) for name, body in bodies.items()]
    return [(f"body {number}", body) for number, body in enumerate(bodies, 1)]


def read_body(
    world: World, body: Body, style: Style, accept: bool = False, whole: bool = True, name: str = "body"
) -> tuple[Card | None, list[Diagnostic]]:
    """(card or None, diagnostics) of a body that has every measure of the style, or unless `whole` some of them."""
    card: Card | None = None
    diagnostics: list[Diagnostic] = []
    if isinstance(body, Card):
        card = body
    else:
        given = _card_text(body, style.measurements, name) if isinstance(body, Mapping) else body
        source, diagnostics = text_in(world, given, name)
        if source is None:
            return None, diagnostics
        card, diagnostics = believed(lambda known: read_card(source, known, style.doubts), style.measurements, accept)
        if card is None:
            return None, diagnostics
    if whole:
        diagnostics = [*diagnostics, *missing(card, style.needed, style.measurements)]
    return (None if has_errors(diagnostics) else card), diagnostics


def _card_text(figures: Figures, known: Mapping[str, Measurement], name: str) -> str:
    def written(measure: str, figure: float | str) -> str:
        if isinstance(figure, str):
            return figure
        unit = "deg" if measure in known and known[measure].kind == "angle" else "mm"
        return f"{Decimal(repr(float(figure))):f} {unit}"

    return write_card(Card(name, "", {}, {measure: written(measure, figure) for measure, figure in figures.items()}, "cm", {}))


def believed(
    read: Callable[[Mapping[str, Measurement]], tuple[_Read | None, list[Diagnostic]]], known: Mapping[str, Measurement], accept: bool
) -> tuple[_Read | None, list[Diagnostic]]:
    """What `read` makes of bodies with these measurements, and what is said of them."""
    made, diagnostics = read(known)
    if made is not None or not accept:
        return made, diagnostics
    # Read once more with no bounds but those that no acceptance passes: what is no error then is a caution.
    made, _ = read({name: replace(measurement, low=0.0, high=ceiling(measurement)) for name, measurement in known.items()})
    if made is None:
        return None, diagnostics
    return made, [
        replace(diagnostic, severity=CAUTION, suggestion="") if diagnostic.severity == ERROR else diagnostic
        for diagnostic in diagnostics
    ]


def open_house(world: World, house: SomeHouse) -> tuple[House | None, list[Diagnostic]]:
    """(house or None, diagnostics); where none is named, the usual house."""
    if house is None:
        return USUAL, []
    if isinstance(house, House):
        return house, []
    source, diagnostics = text_in(world, house, "house")
    return (None, diagnostics) if source is None else read_house(source)
