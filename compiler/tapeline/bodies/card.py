"""A body card: the measurements of one body, written in TOML.

A card has a `name`, an optional `note`, a table `[measures]` of measures each with its unit, tables `[left]` and `[right]` for
what was taken of a side, and a table `[accept]` where a measure that is hard to believe is accepted with a reason.  What was
taken again on a later day stands in tables that bear it, `[measures.2026-11-30]`; which measuring counts is told by the day that
is asked for (`measurings.py`).  A measure that is not known here is kept as it is
written, since another style may know it; unless its name is near to one that the card has not, for then it is a slip.  Reading
reports every fault it can find at once, with the measures that are wanting.  A card is handed on only if none of them is an error; a doubt is a
caution and keeps nothing back.  Writing a card and reading it again gives the same card.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import PurePosixPath
from typing import Any

from ..source import former
from ..source.diagnostics import NOTE, Diagnostic, has_errors
from ..source.suggest import did_you_mean, nearest
from ..source.text import Source, Span
from ..source.units import LENGTHS, TOLD
from .doubting import CardDoubts
from .measurement import Doubt, Measurement
from .measurings import LATEST, TABLES, WHOLE, Measuring, TakenFigure, When
from .reading import beyond_belief, check_plausible, read_value, shortened, unit_of
from .taking import MeasuringTable, Takings, parted_by_day, plausible_of, without_sides
from .toml_text import Places, read_toml, toml_lines, toml_text

_TOP_LEVEL = ("name", "note", "measured", *TABLES, "accept")
_EXAMPLE = '[measures] and below it a line such as waist = "72 cm"'


@dataclass(frozen=True, slots=True)
class Card:
    """One body.  `values` are millimetres, or radians for angles; `written` is each measure as written.

    `unit` is the unit in which its measures are told, "in" or "cm".  `span` is where the body is described and
    `spans` where each measure stands; they take no part in comparing cards.  `sides` has of each measure whose sides differ the
    figures (left, right) that bodies with two such sides would have; `values` has the whole then.  `measured` is the day of the latest
    measuring that counts, and `measurings` is all that was taken, oldest first: nothing where it is one table without a day.
    """

    name: str
    note: str
    values: dict[str, float]
    written: dict[str, str]
    unit: str
    accepted: dict[str, str]
    span: Span | None = field(default=None, compare=False, repr=False)
    spans: dict[str, Span] = field(default_factory=dict, compare=False, repr=False)
    from_table: bool = field(default=False, compare=False, repr=False)
    sides: dict[str, tuple[float, float]] = field(default_factory=dict)
    measured: date | None = None
    measurings: tuple[Measuring, ...] = ()


def read_card(
    source: Source, known: Mapping[str, Measurement], doubts: Iterable[Doubt] = (), needed: Iterable[str] = (), when: When = LATEST
) -> tuple[Card | None, list[Diagnostic]]:
    """The card in a TOML text, or None where a diagnostic is an error.  Codes B101 to B113 and B140 to B150; `needed` are what a
    style measures, `when` says which measuring counts."""
    if not source.text.strip("\ufeff \t\r\n"):
        return None, [Diagnostic("B111", "This card is empty", Span(source, 0, 0), expected=_EXAMPLE)]
    data, places, diagnostics = read_toml(source)
    if data is None:
        return None, diagnostics
    reader = _CardReader(source, places, known, diagnostics)
    card = reader.read(data, tuple(doubts), when)
    if reader.whole:
        there = {*card.written, *reader.meant}
        diagnostics += missing(card, [name for name in needed if name not in there], known)
    return (None if has_errors(diagnostics) else card), diagnostics


class _CardReader:
    """Collects the diagnostics of one card; `whole` tells whether every line of it could be read."""

    def __init__(self, source: Source, places: Places, known: Mapping[str, Measurement], diagnostics: list[Diagnostic]):
        self.source = source
        self.places = places
        self.known = known
        self.diagnostics = diagnostics
        self.whole = not diagnostics
        self.accepted: dict[str, str] = {}
        self.needed_acceptance: set[str] = set()
        self.meant: set[str] = set()  # known measures that a name which is none may stand for

    def read(self, data: dict[str, Any], doubts: tuple[Doubt, ...], when: When) -> Card:
        self._top_level(data)
        self._read_accepted(data.get("accept", {}))
        tables, wrong = parted_by_day(data, self.places)
        self.diagnostics += wrong
        if self.whole and not wrong and not any(table.rows for table in tables):
            self._add("B111", "This card has no measures", self.places.header(WHOLE), expected=_EXAMPLE)
        takings = Takings(self.known)
        for table in tables:
            takings.add(table, *self._measures(table))
        self.diagnostics += takings.followed()
        counting, said = takings.state_on(when, self.places)
        self.diagnostics += said
        asked = CardDoubts(self.known, doubts, self.accepted)
        self.diagnostics += asked.said(takings, counting)
        self.needed_acceptance |= asked.doubted
        self._check_acceptance(takings.names)
        stem = PurePosixPath(self.source.name.replace("\\", "/")).stem
        figures = counting.held
        return Card(
            name=self._heading(data, "name") or one_line(stem) or "body",
            note=self._heading(data, "note"),
            values={name: figure.value for name, figure in figures.items()},
            written=counting.written,
            unit=most_used_unit(figure.unit for figure in figures.values()),
            accepted=self.accepted,
            span=self.places.value("", "name"),
            spans={name: figure.span for name, figure in figures.items()},
            sides={name: (figure.left, figure.right) for name, figure in figures.items() if not figure.even},
            measured=counting.day,
            measurings=takings.measurings,
        )

    def _add(self, *args: Any, **kwargs: Any) -> None:
        self.diagnostics.append(Diagnostic(*args, **kwargs))

    def _top_level(self, data: dict[str, Any]) -> None:
        for key, value in data.items():
            if key in _TOP_LEVEL:
                continue
            span = self.places.key("", key)
            if key in self.known and not isinstance(value, dict):
                way_out = f"Put {key} below a line [measures]."
            else:
                way_out = did_you_mean(key[:60], _TOP_LEVEL)
            expected = "name, note, measured, [measures], [left], [right] or [accept]"
            self._add("B103", f"A card has no {shortened(key, 30)}", span, expected=expected, suggestion=way_out)

    def _heading(self, data: dict[str, Any], key: str) -> str:
        value = data.get(key, "")
        if isinstance(value, str):
            return one_line(value)
        self._add("B103", f"The {key} is not a text", self.places.value("", key), expected=f'a text in quotation marks: {key} = "..."')
        return ""

    def _read_accepted(self, table: object) -> None:
        if not isinstance(table, dict):
            self._add(
                "B103",
                "accept is not a table",
                self.places.key("", "accept"),
                expected='a line [accept] and below it a line such as waist = "measured twice"',
            )
            return
        for name, reason in table.items():
            if isinstance(reason, str) and one_line(reason):
                self.accepted[name] = one_line(reason)
            else:
                self._add(
                    "B112",
                    f"{shortened(name, 30)} is accepted without a reason",
                    self.places.value("accept", name),
                    expected="a reason in quotation marks",
                    suggestion=f'Write why it is right: {shortened(name, 30)} = "measured twice".',
                )

    def _measures(self, table: MeasuringTable) -> tuple[dict[str, str], dict[str, TakenFigure]]:
        """(name -> as written, name -> the figure) of the rows of a table; what cannot be read has no figure."""
        written: dict[str, str] = {}
        figures: dict[str, TakenFigure] = {}
        absent = [name for name in self.known if name not in table.rows]
        for name, value in table.rows.items():
            measurement = self.known.get(name)
            near = did_you_mean(name[:60], absent) if measurement is None else ""
            if near and not table.rows.keys() & set(nearest(name[:60], self.known, 1)):
                self.meant.update((*nearest(name[:60], absent), former.NAMES.get(name, "")))
                self._add(
                    "B104",
                    f"No measure is called {shortened(name, 30)}",
                    self.places.key(table.key, name),
                    expected="a measure that the library or the style defines",
                    suggestion=near,
                )
                continue
            if measurement is not None or isinstance(value, str):
                written[name] = value if isinstance(value, str) else ""
            if measurement is None:  # another style of the house may know it
                continue
            if table.side != WHOLE and not measurement.sides:
                self.diagnostics.append(without_sides(measurement, table, value, self.places))
                continue
            figure = self._measure(name, value, plausible_of(measurement, table.side), table)
            if figure is not None:
                figures[name] = figure
        return written, figures

    def _measure(self, name: str, value: object, measurement: Measurement, table: MeasuringTable) -> TakenFigure | None:
        span = self.places.value(table.key, name)
        if not isinstance(value, str):
            self.diagnostics.append(_not_text(value, span, measurement))
            return None
        reading = read_value(value, measurement, span)
        if isinstance(reading, Diagnostic):
            self.diagnostics.append(reading)
            return None
        unbelieved = check_plausible(value, reading, measurement, span, f'If it is right, write below [accept]: {name} = "why".')
        if unbelieved is not None:
            self.needed_acceptance.add(name)
            if name not in self.accepted or beyond_belief(reading, measurement):
                self.diagnostics.append(unbelieved)
        return TakenFigure(reading.value, reading.unit, value, span)

    def _check_acceptance(self, read: set[str]) -> None:
        """B110; a measure that could not be read is left out of it."""
        written = {key for table, key in self.places.pairs if table.partition(".")[0] in TABLES} | read
        for name in self.accepted:
            shown, span = shortened(name, 30), self.places.key("accept", name)
            if name not in written:
                self._add(
                    "B110",
                    f"{shown} is accepted but not on the card",
                    span,
                    severity=NOTE,
                    suggestion=did_you_mean(name[:60], sorted(written)) or "Take the line out.",
                )
            elif name in read and name not in self.needed_acceptance:
                self._add(
                    "B110",
                    f"{shown} needs no acceptance",
                    span,
                    severity=NOTE,
                    found="it is within its bounds, and no other measure casts doubt on it",
                    suggestion="Take the line out.",
                )


def _not_text(value: object, span: Span, measurement: Measurement) -> Diagnostic:
    """B105 for a bare number, B106 for anything else that is not a text."""
    if isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e9:
        unitless = read_value(repr(value), measurement, span)
        if isinstance(unitless, Diagnostic):  # as it always is without a unit
            return unitless
    return Diagnostic(
        "B106",
        f"{measurement.name} cannot be read",
        span,
        expected='a text in quotation marks, such as "72 cm"',
        found=shortened(span.text),
    )


def missing(card: Card, needed: Iterable[str], known: Mapping[str, Measurement]) -> list[Diagnostic]:
    """B113 for each measure that a style needs and the card has not."""
    diagnostics = []
    for name in needed:
        if name in card.values:
            continue
        measurement = known.get(name)
        unit = unit_of(measurement, card.unit) if measurement is not None else card.unit
        way_out = (
            f'Add a column "{name} [{unit}]", or fill it in.'
            if card.from_table
            else f'Take it and add below [measures]: {name} = "... {unit}"'
        )
        taken = f"{measurement.title}: {measurement.taken}" if measurement is not None else ""
        wanting = "has no figure" if card.from_table else "not on the card"
        diagnostics.append(
            Diagnostic("B113", f"{name} is needed and {wanting}", card.span, expected=taken, suggestion=way_out, body=card.name)
        )
    return diagnostics


def most_used_unit(units: Iterable[str]) -> str:
    """The unit in which most of these lengths are told; evenly split, the first one's; cm where there are none."""
    counts = Counter(LENGTHS[unit].told_in for unit in units if unit in LENGTHS)
    return max(counts, key=counts.__getitem__, default=TOLD[0])


def one_line(text: str) -> str:
    """Text fit for a sheet: on one line and without control characters."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def write_card(card: Card) -> str:
    """The card as TOML text, which `read_card` reads to an equal card."""
    lines = [f"name = {toml_text(card.name)}"]
    if card.note:
        lines.append(f"note = {toml_text(card.note)}")
    if card.measurings and card.measurings[0].day is not None:
        lines.append(f'measured = "{card.measurings[0].day}"')
    for measuring in card.measurings or (Measuring(None, card.written),):
        dated = bool(measuring.day) and measuring is not card.measurings[0]
        for table in TABLES:
            if measuring.table(table) or (table == WHOLE and not card.measurings):
                heading = f"{table}.{measuring.day}" if dated else table
                lines += ["", f"[{heading}]"] + toml_lines(measuring.table(table))
    if card.accepted:
        lines += ["", "[accept]"] + toml_lines(card.accepted)
    return "\n".join(lines) + "\n"
