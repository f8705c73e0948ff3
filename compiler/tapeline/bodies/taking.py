"""The measurings on a card: its tables told apart by day and side, and followed one after the other.

A table of measures is `[measures]`, `[left]` or `[right]`, taken on the day that `measured` gives or on none, or bears its day,
`[measures.2026-11-30]`.  The measurings are gone through from the oldest (one without a day is the oldest), and after each it is
known what holds; so whatever is asked of a day is asked of one of these states.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, NamedTuple

from ..source.diagnostics import NOTE, Diagnostic
from ..source.text import Span
from .measurement import HALVES, Measurement
from .measurings import AGREE, LEFT, RIGHT, TABLES, WHOLE, Disagreement, Held, Measuring, TakenFigure, Wanting, When, day_in, held
from .reading import shortened
from .toml_text import Places

_A_DAY = "a day such as 2026-05-04"


class MeasuringTable(NamedTuple):
    """A table of measures: its day, what it is of (`measures`, `left` or `right`), its place on the card and its rows."""

    day: date | None
    side: str
    key: str
    rows: dict[str, object]


class BodyState(NamedTuple):
    """What holds once a measuring was taken: `day` is that of the latest."""

    day: date | None
    held: dict[str, Held]
    written: dict[str, str]


def parted_by_day(data: dict[str, Any], places: Places) -> tuple[list[MeasuringTable], list[Diagnostic]]:
    """The tables of measures of a card, oldest first.  B103 for what is no table, B111 for the main one, B145 for days."""
    diagnostics: list[Diagnostic] = []
    first = day_in(data.get("measured"))
    if "measured" in data and first is None:
        diagnostics.append(_no_day(data["measured"], places.value("", "measured")))
    tables: list[MeasuringTable] = []
    for side in TABLES:
        table = data.get(side, {})
        if not isinstance(table, dict):
            if side != WHOLE:  # the main one is told as any card without measures
                title, example = f"{side} is not a table", f'a line [{side}] and below it a line such as waist_to_hip = "21 cm"'
                diagnostics.append(Diagnostic("B103", title, places.key("", side), example))
            continue
        rows = {name: row for name, row in table.items() if not isinstance(row, dict) and day_in(name) is None}
        tables.append(MeasuringTable(first, side, side, rows))
        for name, row in table.items():
            if name in rows:
                continue
            day, key = day_in(name), f"{side}.{name}"
            place = places.header(key) if key in places.headers else places.key(side, name)
            if not isinstance(row, dict):
                diagnostics.append(_no_day(name, place, f"Give what was taken that day a heading of its own: [{key}]"))
            elif day is None:
                diagnostics.append(_no_day(name, place))
            elif day == first:
                way_out = f"Put its lines below [{side}], or mend one of the two days."
                diagnostics.append(Diagnostic("B145", "This day is that of the first measuring", place, "another day", name, way_out))
            else:
                tables.append(MeasuringTable(day, side, key, row))
    return sorted(tables, key=lambda table: table.day or date.min), diagnostics


def _no_day(given: object, place: Span, way_out: str = "") -> Diagnostic:
    return Diagnostic(
        "B145",
        "A measuring has no such day",
        place,
        _A_DAY,
        shortened(str(given), 30),
        way_out or "Write year, month and day, with a nought before figures below 10.",
    )


def plausible_of(measurement: Measurement, side: str) -> Measurement:
    """The measurement as the figure of a table is judged: a half by half of its bounds."""
    if side == WHOLE or measurement.sides != HALVES:
        return measurement
    kind = "length" if measurement.kind == "girth" else measurement.kind  # a half that is no half of a girth again
    return replace(measurement, kind=kind, low=measurement.low / 2.0, high=measurement.high / 2.0)


def without_sides(measurement: Measurement, table: MeasuringTable, value: object, places: Places) -> Diagnostic:
    """B140: a side's figure of a measure that has none."""
    whole = table.key.replace(table.side, WHOLE, 1)
    return Diagnostic(
        "B140",
        f"{shortened(measurement.name, 30)} has no sides",
        places.key(table.key, measurement.name),
        "a measure of which each side has its own, or its half",
        "one that lies at the centre, or is of the whole body",
        f'Write it below [{whole}]: {measurement.name} = "{shortened(str(value), 40)}"',
    )


@dataclass(slots=True)
class Takings:
    """The measurings of a card: all that was read, and after `followed` what holds after each."""

    known: Mapping[str, Measurement]
    texts: dict[date | None, Measuring] = field(default_factory=dict)
    taken: dict[date | None, dict[str, dict[str, TakenFigure]]] = field(default_factory=dict)  # day -> measure -> table -> figure
    states: list[BodyState] = field(default_factory=list)

    def add(self, table: MeasuringTable, written: dict[str, str], figures: dict[str, TakenFigure]) -> None:
        if not written and not table.rows:
            return
        self.texts.setdefault(table.day, Measuring(table.day)).table(table.side).update(written)
        of_day = self.taken.setdefault(table.day, {})
        for name, figure in figures.items():
            of_day.setdefault(name, {})[table.side] = figure

    @property
    def names(self) -> set[str]:
        """Every measure of which a figure was read."""
        return {name for figures in self.taken.values() for name in figures}

    @property
    def measurings(self) -> tuple[Measuring, ...]:
        """All that was taken, oldest first; nothing where it is one table without a day."""
        texts = tuple(self.texts.values())
        plain = len(texts) == 1 and texts[0].day is None and not texts[0].left and not texts[0].right
        return () if plain else texts

    def followed(self) -> list[Diagnostic]:
        """Go through the measurings.  B141 where a side is wanting, B142 where figures do not agree."""
        diagnostics: list[Diagnostic] = []
        holds: dict[str, Held] = {}
        written: dict[str, str] = {}
        for day, texts in self.texts.items():
            holds, written = dict(holds), dict(written)
            for name in dict.fromkeys((*texts.whole, *texts.left, *texts.right)):
                taken = self.taken[day].get(name)
                figure = None if taken is None else held(self.known[name], taken, holds.get(name), day)
                if isinstance(figure, Held):
                    holds[name] = figure
                elif figure is not None and taken is not None:
                    diagnostics.append(_amiss(self.known[name], taken, figure, day))
                written[name] = figure.written if isinstance(figure, Held) else _as_written(texts, name)
            self.states.append(BodyState(day, holds, written))
        return diagnostics

    def state_on(self, when: When, places: Places) -> tuple[BodyState, list[Diagnostic]]:
        """What holds on the day that is asked for.  B146 where nothing was taken then, B150 where what was taken later does not count."""
        reached = [state for state in self.states if state.day is None or when.day is None or state.day <= when.day]
        if self.states and (not reached or (when.exactly and reached[-1].day != when.day)):
            days = [str(state.day) for state in self.states if state.day is not None]
            title = "Nothing was measured on that day" if when.exactly else "Nothing was measured before that day"
            place = places.value("", "measured") if ("", "measured") in places.pairs else places.header(WHOLE)
            way_out = f"Ask for one of these days, as in --measured {days[-1]}." if days else "Give the card its day: measured = ..."
            return (reached or self.states)[-1], [
                Diagnostic(
                    "B146", title, place, f"measured on {', '.join(days) or 'a day that the card gives'}", f"{when.day}", way_out
                )
            ]
        if not reached:
            return BodyState(None, {}, {}), []
        if when.exactly or len(reached) == len(self.states):
            return reached[-1], []
        later = self.states[len(reached)].day
        place = next((places.header(key) for key in places.headers if key.endswith(f".{later}")), places.header(WHOLE))
        return reached[-1], [
            Diagnostic(
                "B150",
                "A later measuring does not count",
                place,
                f"a day up to that of the draft, {when.day}",
                f"{later}",
                "Give the draft a later date, or mend the day.",
                severity=NOTE,
            )
        ]


def _as_written(texts: Measuring, name: str) -> str:
    """A measure that is not known here, or cannot be read, as it stands on the card."""
    sides = ", ".join(f"{texts.table(side)[name]} {side}" for side in (LEFT, RIGHT) if name in texts.table(side))
    return sides or texts.whole[name]


def _amiss(measurement: Measurement, taken: Mapping[str, TakenFigure], figure: Disagreement | Wanting, day: date | None) -> Diagnostic:
    name = shortened(measurement.name, 30)
    dated = f".{day}" if day is not None else ""
    halves = measurement.sides == HALVES
    found = ", ".join(f"{taken[table].written}{'' if table == WHOLE else f' {table}'}" for table in TABLES if table in taken)
    if isinstance(figure, Wanting):
        there = next(side for side in (LEFT, RIGHT) if side in taken)
        return Diagnostic(
            "B141",
            f"{name} has a {there} side alone",
            taken[there].span,
            f"the {figure.side} side as well, or {'the whole' if halves else 'the figure of either side'} below [{WHOLE}]",
            found,
            f'Add below [{figure.side}{dated}]: {name} = "... {taken[there].unit}"',
        )
    show = taken[WHOLE].unit
    sides = [side for side in (LEFT, RIGHT) if side in taken]
    if math.isinf(figure.high):
        expected = f"a whole of more than {measurement.show(figure.low, show)}"
    elif halves:
        expected = f"left and right together, {measurement.show(figure.low, show)}"
    else:
        expected = f"one between left and right, {measurement.show(figure.low, show)} to {measurement.show(figure.high, show)}"
    alike = [side for side in sides if abs(taken[side].value - taken[WHOLE].value) <= AGREE]
    if halves and alike:
        way_out = f"The side is its half, from centre to centre or from the centre outward: write half of it below [{alike[0]}]."
    elif halves:
        way_out = "Measure again, or leave out the one of the three that is wrong."
    else:
        way_out = f"Leave it out below [{WHOLE}{dated}]: the body then has the mean of its sides."
    others = tuple((taken[side].span, side) for side in sides)
    return Diagnostic("B142", f"The figures of {name} do not agree", taken[WHOLE].span, expected, found, way_out, others)
