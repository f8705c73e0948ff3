"""Bodies and houses as they are given: by their paths in a world, as texts, or in figures.

Figures become a card like any other, and are read as one, so that whatever is wrong with a body is said in the same way
however it was given.  With `accept` a measure that is hard to believe is used all the same, with a caution.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from decimal import Decimal
from numbers import Real
from pathlib import PurePath
from typing import TypeVar

from ..bodies.card import Card, missing, read_card, write_card
from ..bodies.measurement import Measurement
from ..bodies.measurings import LATEST, When
from ..bodies.reading import ceiling
from ..meaning.style import Style
from ..paper.house.house import USUAL, House, read_house
from ..source.diagnostics import CAUTION, ERROR, Diagnostic, has_errors
from ..source.text import Source
from ..source.world import World
from .texts import CARD, HOUSE, no_text, text_in

Figures = Mapping[str, float | str]  # measure -> millimetres (degrees for an angle), or as it is written: "72 cm"
Body = Card | Figures | Source | PurePath | str  # a text is that of a card
Bodies = Iterable[Body] | Mapping[str, Body]  # a mapping gives each body its name
SomeHouse = House | Source | PurePath | str | None

_Read = TypeVar("_Read")


def named_bodies(bodies: object, known: Mapping[str, Measurement]) -> tuple[list[tuple[str, object]], list[Diagnostic]]:
    """Every body with the name it goes by where it has none of its own, and what is wrong with the bodies as a whole."""
    if isinstance(bodies, Mapping):
        if any(name in known and not isinstance(body, Mapping) for name, body in bodies.items()):
            return [], [no_text(bodies, "bodies", CARD, f'Give the measures to a body by its name: {{"body": {_example(bodies)}}}.')]
        return [(str(name), body) for name, body in bodies.items()], []
    if isinstance(bodies, (str, Source, PurePath, Card)) or not isinstance(bodies, Iterable):
        way_out = "Put the bodies into a list, or into a mapping from names to bodies."
        return [], [no_text(bodies, "bodies", CARD, way_out)]
    return [(f"body {number}", body) for number, body in enumerate(bodies, 1)], []


def _example(figures: Mapping[object, object]) -> str:
    """The first measure that is given, as it would be written."""
    name, figure = next(iter(figures.items()))
    return f'{{"{name}": {figure!r}{", ..." if len(figures) > 1 else ""}}}'.replace("'", '"')


def read_body(
    world: World, body: object, style: Style, accept: bool = False, whole: bool = True, name: str = "body", when: When = LATEST
) -> tuple[Card | None, list[Diagnostic]]:
    """(card or None, diagnostics) of a body that has every measure of the style, or unless `whole` some of them.

    Whatever is given that is no `Body` is said so.  `when` tells which measuring of a card counts that is read here.
    """
    card: Card | None = None
    diagnostics: list[Diagnostic] = []
    if isinstance(body, Card):
        card = body
    else:
        given = _card_text(body, style.measurements, name) if isinstance(body, Mapping) else body
        source, diagnostics = text_in(world, given, name, CARD)
        if source is None:
            return None, diagnostics
        needed = style.needed if whole else ()
        return believed(lambda known: read_card(source, known, style.doubts, needed, when), style.measurements, accept)
    if whole:
        diagnostics = missing(card, style.needed, style.measurements)
    return (None if has_errors(diagnostics) else card), diagnostics


def _card_text(figures: Mapping[object, object], known: Mapping[str, Measurement], name: str) -> str:
    """Figures as they stand on a card; what is none stands there as it is, to be told as any other that cannot be read."""

    def written(measure: str, figure: object) -> str:
        if not isinstance(figure, (Real, Decimal)) or isinstance(figure, bool):
            return str(figure)
        unit = "deg" if measure in known and known[measure].kind == "angle" else "mm"
        return f"{Decimal(repr(float(figure))):f} {unit}"

    measures = {str(measure): written(str(measure), figure) for measure, figure in figures.items()}
    return write_card(Card(name, "", {}, measures, "cm", {}))


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
    source, diagnostics = text_in(world, house, "house", HOUSE)
    return (None, diagnostics) if source is None else read_house(source)
