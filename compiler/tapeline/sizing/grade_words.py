"""Slopes and turns in words, for a cutter: which measure moves which place, how far, which way, and where that changes.

A row reads: 2.5 mm out for each cm of hip; turns at 108.7 cm (yoked_skirt.style:25, least of): 1.2 mm out above.
Out is away from the centre line, in toward it; both and down are those of the piece as it is drafted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..meaning.style import Style
from ..source.quantity import show_number
from .slopes import Slopes, measures_of, slopes
from .turns import NEAR, Rule, Stretch, Turn, turns

WAYS = (("out", "in"), ("down", "up"))
DECIMALS = {"mm": 2, "in": 3}  # of what a place moves
LEAST = {"mm": 0.05, "in": 0.005}  # of what it moves for each cm, inch or degree: less is not told in words
VALUES = {"cm": (10.0, 1), "mm": (1.0, 1), "in": (25.4, 2)}  # of a measure: mm, decimals


class SlopeRow(NamedTuple):
    """How one place of one piece moves with one measure."""

    piece: str
    place: str
    measure: str
    words: str


class Say:
    """Slopes and values in a unit: movements are told in mm for each cm, or in inches for each inch."""

    def __init__(self, style: Style, unit: str = "cm"):
        self.measurements, self.unit = style.measurements, unit
        self.small, self.large = ("in", "in") if unit == "in" else ("mm", "cm")

    def angle(self, measure: str) -> bool:
        return self.measurements[measure].kind == "angle"

    def each(self, measure: str) -> str:
        return "degree" if self.angle(measure) else self.large

    def figure(self, slope: float, measure: str) -> float:
        """A slope (mm for each mm, or each degree) as it is told."""
        if self.angle(measure):
            return slope / 25.4 if self.unit == "in" else slope
        return slope if self.unit == "in" else slope * 10.0

    def number(self, figure: float) -> str:
        return show_number(figure, DECIMALS[self.small])

    def one_way(self, figure: float, ways: tuple[str, str]) -> str:
        if abs(figure) < LEAST[self.small]:
            return "0"
        return f"{self.number(abs(figure))} {self.small} {ways[0] if figure > 0.0 else ways[1]}"

    def moved(self, figures) -> str:
        """A movement across and down, each in its way: 2.5 mm out, 1 mm up.  Empty where there is none to tell."""
        return ", ".join(said for figure, ways in zip(figures, WAYS, strict=True) if (said := self.one_way(figure, ways)) != "0")

    def slope(self, slope, measure: str) -> str:
        return self.moved([self.figure(float(one), measure) for one in slope])

    def differ(self, one, other, measure: str) -> bool:
        """Whether two slopes of a place differ by enough to be told."""
        return abs(self.figure(float(np.abs(one - other).max()), measure)) > 2.0 * LEAST[self.small]

    def value(self, value: float, measure: str) -> str:
        if self.angle(measure):
            return f"{show_number(np.degrees(value), 1)} deg"
        per, decimals = VALUES[self.unit]
        return f"{show_number(value / per, decimals)} {self.unit}"


def slope_rows(found: Slopes, number: int, style: Style, met: Sequence[Turn] = (), stretches: dict[str, Stretch] | None = None,
               unit: str = "cm") -> list[SlopeRow]:
    """What moves each place of one body, the `number`-th of the slopes; places that a measure never moves have no row.

    `met` and `stretches` are those of the same body, as `turns` gives them.
    """
    say, stretches, rows = Say(style, unit), stretches or {}, []
    for (piece, place), table in found.places.items():
        for measure, slope in zip(found.measures, table[number], strict=True):
            mine = [turn for turn in met if turn.measure == measure and turn.of((piece, place))]
            if not np.isfinite(slope).all():
                continue
            own, moves = float(found.draft.run.measures[measure][found.bodies[number]]), say.slope(slope, measure)
            parts = [*_curve(say, stretches.get(measure), (piece, place)),
                     *(words for turn in mine if (words := _turn(say, turn, (piece, place), own, slope)))]
            if moves or parts:
                words = f"{moves} for each {say.each(measure)} of {measure}" if moves else f"does not move with {measure} here"
                rows.append(SlopeRow(piece, place, measure, "; ".join([words, *parts])))
    return rows


def grade_rows(style: Style, body: dict[str, float], choices: dict | None = None,
               ranges: dict[str, tuple[float, float]] | None = None, unit: str = "cm") -> list[SlopeRow]:
    """All that is told of one body, drafted for it; `ranges` as for `turns`."""
    measures = {name: np.array([float(value)]) for name, value in body.items() if name in measures_of(style)}
    (found,) = slopes(style, measures, choices, unit)
    return slope_rows(found, 0, style, *turns(style, {name: value[0] for name, value in measures.items()}, choices, ranges), unit)


def _curve(say: Say, stretch: Stretch | None, key) -> list[str]:
    """Between which slopes a place that moves along a curve lies; nothing where it moves in proportion."""
    if stretch is None or key not in stretch.least:
        return []
    ranges = []
    for least, most, ways in zip(stretch.least[key], stretch.most[key], WAYS, strict=True):
        low, high = (say.figure(float(one), stretch.measure) for one in (least, most))
        if high - low > 2.0 * LEAST[say.small]:
            ranges.append(f"{say.one_way(low, ways)} to {say.one_way(high, ways)}")
    if not ranges:
        return []
    low, high = say.value(stretch.low, stretch.measure), say.value(stretch.high, stretch.measure)
    return [f"along a curve: {' and '.join(ranges)} between {low} and {high}"]


def _turn(say: Say, turn: Turn, key, own: float, here: np.ndarray) -> str:
    """What becomes of a place on the other side of a turn, as seen from a body with the measure `own` and the slope `here`."""
    at, rules = say.value(turn.value, turn.measure), _rules(turn.rules)
    if key in turn.lost or key in turn.new:
        return f"is there only {'below' if key in turn.lost else 'above'} {at} {rules}"
    above, words = turn.value > own, []
    if key in turn.slopes and abs(turn.value - own) <= 2.0 * NEAR[say.angle(turn.measure)]:  # the body lies on the turn
        above = bool(np.abs(turn.slopes[key][1] - here).max() > np.abs(turn.slopes[key][0] - here).max())
    if key in turn.leaps:
        by = say.moved(turn.leaps[key] / (25.4 if say.small == "in" else 1.0))
        words += [f"leaps at {at} {rules}: {by} as {turn.measure} grows past it"] if by else []
    if key in turn.slopes:
        below, over = turn.slopes[key]
        if abs(say.figure(float(np.abs(over - below).max()), turn.measure)) > 2.0 * LEAST[say.small]:
            other, side = say.slope(over if above else below, turn.measure) or "does not move", "above" if above else "below"
            words.append(f"{other} {side}" if words else f"turns at {at} {rules}: {other} {side}")
    return ", ".join(words)


def _rules(rules: Sequence[Rule]) -> str:
    return "(" + "; ".join(dict.fromkeys(f"{rule.span.source.name}:{rule.span.line}, {rule.words}" for rule in rules)) + ")"


def slope_lines(rows: Sequence[SlopeRow]) -> list[str]:
    """The rows one to a line, the places of a piece together."""
    return [f"{row.piece}.{row.place}: {row.words}" for row in rows]


HEADER = ("body", "piece", "what", "measure", "across", "down", "length", "unit")


def slope_table(groups: Sequence[Slopes], style: Style, unit: str = "cm", names: Sequence[str] = ()) -> list[list[str]]:
    """A header and a row for each body, place and measure that moves it; girths and seams with what their length grows by.

    `names` are those of the bodies in their order, else they are numbered.  Slopes of nought have no row.
    """
    say, table = Say(style, unit), []
    for some in groups:
        for number, index in enumerate(some.index):
            body = names[index] if names else str(index + 1)
            for (piece, place), every in some.places.items():
                table += _cells(say, some.measures, (body, piece, place), every[number], lambda cells: [*cells, ""])
            for level, every in some.girths.items():
                table += _cells(say, some.measures, (body, "", f"girth at {level}"), every[number][:, None], _alone)
            for sides, every in some.seams.items():
                for side, of_side in zip(sides, every[number].T, strict=True):
                    table += _cells(say, some.measures, (body, "", f"length of {side}"), of_side[:, None], _alone)
    return [list(HEADER), *table]


def _alone(cells: list[str]) -> list[str]:
    return ["", "", *cells]


def _cells(say: Say, measures, first: tuple[str, ...], every, placed) -> list[list[str]]:
    rows = []
    for measure, slope in zip(measures, every, strict=True):
        figures = [show_number(say.figure(float(one), measure), 4) for one in slope]
        if np.isfinite(slope).all() and any(figure != "0" for figure in figures):
            rows.append([*first, measure, *placed(figures), f"{say.small} for each {say.each(measure)}"])
    return rows
