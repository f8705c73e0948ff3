"""What is drawn of each text of one connection: its draft for the chosen body, made again as text, measures and choices change.

A bench holds the latest draft of one text that was in order.  While a text is not in order, or its draft fails, the page keeps what it
has; what is wrong is told in a sentence.  All of this is called in the worker's thread.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import PurePath
from typing import Any

from ..bodies.card import Card
from ..editing.chosen import ChosenBody, body_path
from ..live.ahead import PositionDrawing
from ..live.draft import LiveDraft, LiveDrawing
from ..live.drawing import LivePiece
from ..live.sliders import Slider, measures_of, sliders_of_choices
from ..making.choices import choices_of, counts_of, read_choices
from ..paper.house.house import House
from ..session import Reading
from ..source.diagnostics import Diagnostic
from .chosen import BodyOfConnection
from .documents import Documents

USUAL_BODY = "maud"  # comes with the program; who has chosen none sees the style on it
GAP = 20.0  # mm between pieces on the sheet
WIDE = 1.8  # the sheet's width to its height, about
MOST_AHEAD = 64  # values of a slider that are drafted in one go

Values = Mapping[str, float]


class NotDrawn(Exception):
    """Why nothing can be drawn now, in a sentence."""


@dataclass
class Bench:
    """One text's draft: the reading, body and house that it is of, what can be slid, and where its pieces lie on the sheet."""

    reading: Reading
    given: Mapping[str, Any]
    card: Card
    house: House
    live: LiveDraft
    chosen: dict[str, float]
    measures: list[Slider]
    choices: list[Slider]
    said: list[Diagnostic]
    places: dict[str, tuple[float, float]] = field(default_factory=dict)  # of the pieces' own origin on the sheet
    size: tuple[float, float] = (0.0, 0.0)

    @property
    def unit(self) -> str:
        return self.live.told

    def slider(self, name: str) -> Slider:
        """`NotDrawn` where there is none of this name."""
        found = next((one for one in (*self.measures, *self.choices) if one.name == name), None)
        if found is None:
            raise NotDrawn(f"The style knows no {name}.")
        return found

    def at(self, measures: Values, choices: Values, opened: bool = False) -> LiveDrawing:
        """The draft with what was slid.  `NotDrawn` for what the style does not know, or no figure."""
        known = {slider.name for slider in (*self.measures, *self.choices)}
        strange = [name for name in (*measures, *choices) if name not in known]
        if strange:
            raise NotDrawn(f"The style knows no {', '.join(strange)}.")
        if not all(map(math.isfinite, (*measures.values(), *choices.values()))):
            raise NotDrawn("What is slid must be a figure.")
        return self.live.at(measures, self.chosen | dict(choices), opened)

    def moving(self, measures: Values, choices: Values, opened: bool = False) -> LiveDrawing | PositionDrawing:
        """The same while a slider moves: as it was drafted ahead, where it was."""
        there = self.live.ahead.find(measures, self.chosen | dict(choices), opened)
        return self.at(measures, choices, opened) if there is None else there

    def look_ahead(self, measures: Values, choices: Values, name: str, values: Sequence[float]) -> int:
        """Draft these values of a slider; how many were not drafted yet.  `NotDrawn` where there is no such slider."""
        slider = self.slider(name)
        if slider.kind == "count":  # each number is a course of its own, so nothing is saved by drafting them together
            return 0
        within = [value for value in values[:MOST_AHEAD] if slider.low - 1e-9 <= value <= slider.high + 1e-9]
        return self.live.ahead.fill(measures, self.chosen | dict(choices), name, within)

    def lay(self, pieces: Sequence[LivePiece], anew: bool) -> None:
        """Give each piece its place on the sheet; those that have one keep it, unless all are laid anew."""
        if anew or any(piece.name not in self.places for piece in pieces):
            self.places, self.size = laid(pieces)


def laid(pieces: Iterable[LivePiece]) -> tuple[dict[str, tuple[float, float]], tuple[float, float]]:
    """Pieces in rows, in their order, on a sheet of the shape of a screen: where the origin of each lies, and the sheet's size."""
    pieces = list(pieces)
    sizes = [(right - left, low - top) for left, top, right, low in (piece.box for piece in pieces)]
    widest = max([wide for wide, _ in sizes], default=0.0) + 2 * GAP
    ways = [_in_rows(sizes, most) for most in sorted({widest, *(reach for reach in _reaches(sizes) if reach > widest)})]
    corners, size = min(ways, key=lambda way: max(way[1][0] / WIDE, way[1][1]))
    places = {piece.name: (x - piece.box[0], y - piece.box[1]) for piece, (x, y) in zip(pieces, corners, strict=True)}
    return places, size


def _reaches(sizes: Sequence[tuple[float, float]]) -> Iterator[float]:
    """How wide a first row is, of one piece, of two, and so on."""
    x = GAP
    for wide, _ in sizes:
        x += wide + GAP
        yield x


def _in_rows(sizes: Sequence[tuple[float, float]], most: float) -> tuple[list[tuple[float, float]], tuple[float, float]]:
    """The corner of each box in rows not wider than `most`, and how large the whole is."""
    corners: list[tuple[float, float]] = []
    x = y = GAP
    row = reach = 0.0
    for wide, high in sizes:
        if x > GAP and x + wide + GAP > most + 1e-6:
            x, y, row = GAP, y + row + GAP, 0.0
        corners.append((x, y))
        x, row, reach = x + wide + GAP, max(row, high), max(reach, x + wide + GAP)
    return corners, (reach, y + row + GAP)


class Benches:
    """The benches of one connection, by the uri of their text."""

    def __init__(self, documents: Documents, body: BodyOfConnection) -> None:
        self.documents, self.body = documents, body
        self._benches: dict[str, Bench] = {}

    def of(self, uri: str) -> Bench:
        """The bench of a text as it is now.  `NotDrawn` where the text is not in order, or the body cannot be used."""
        reading, kept = self.documents.reading(uri), self._benches.get(uri)
        if kept is not None and kept.reading is reading and kept.given is self.body.given:
            return kept
        if reading.style is None:
            raise NotDrawn("The text is not in order.")
        bench = self._made(uri, reading, kept)
        self._benches[uri] = bench
        return bench

    def latest(self, uri: str) -> Bench:
        """The bench of the latest text that was in order.  `NotDrawn` where none was yet."""
        try:
            return self.of(uri)
        except NotDrawn:
            if uri not in self._benches:
                raise
            return self._benches[uri]

    def _made(self, uri: str, reading: Reading, last: Bench | None) -> Bench:
        chosen, said = self.body.of(uri)
        if chosen is None and not said:
            usual = body_path(self.documents.world, USUAL_BODY)
            chosen = None if usual is None else ChosenBody(usual, *self._house(uri))
        if chosen is None:
            raise NotDrawn(_first(said, "There is no body to draft for."))
        card, house, settings, said = self._opened(reading, chosen)
        lacking = [name for name in reading.sound.needed if name not in card.values]
        if lacking:
            titles = reading.sound.measurements
            raise NotDrawn(f"{card.name} has no {', '.join(f'{name} ({titles[name].title})' for name in lacking)}.")
        live = LiveDraft(reading, card, house, last=None if last is None else last.live)
        style, unit = reading.sound, live.told
        bench = Bench(
            reading,
            self.body.given,
            card,
            house,
            live,
            settings,
            measures_of(style, card, unit),
            sliders_of_choices(style, card, unit, settings),
            said,
        )
        if last is not None:
            bench.places, bench.size = last.places, last.size
        return bench

    def _house(self, uri: str) -> tuple[PurePath | None, Mapping[str, str]]:
        """A house and choices that were chosen without a body."""
        given = self.body.given
        name = given.get("house")
        return (body_path(self.documents.world, name, "houses") if name else None), given.get("choices") or {}

    @staticmethod
    def _opened(reading: Reading, chosen: ChosenBody) -> tuple[Card, House, dict[str, float], list[Diagnostic]]:
        style = reading.sound
        card, said = reading.card(chosen.card, accept=True)
        house, about = reading.house(chosen.house)
        settings, wrong = read_choices(chosen.choices, choices_of(style), counts_of(style))
        said = [*said, *about, *wrong]
        if card is None or house is None:
            raise NotDrawn(_first(said, "The body cannot be used."))
        return card, house, settings, said


def _first(said: Sequence[Diagnostic], otherwise: str) -> str:
    return " ".join(filter(None, (f"{said[0].title}.", said[0].suggestion))) if said else otherwise
