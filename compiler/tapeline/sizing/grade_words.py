"""Slopes in words and in a table, for a cutter: how far a measure moves a place, and which way.

Out is away from the centre line, in toward it; both and down are those of the piece as it is drafted.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from ..geometry.arrays import Floats
from ..meaning.style import Style
from ..source.quantity import show_number
from ..source.units import UNITS
from .slopes import Slopes

WAYS = (("out", "in"), ("down", "up"))
DECIMALS = {"mm": 2, "in": 3}  # of what a place moves
LEAST = {"mm": 0.05, "in": 0.005}  # of what it moves for each cm, inch or degree: less is not told in words


class Teller:
    """Slopes and values in a unit: movements are told in mm for each cm, or in inches for each inch."""

    def __init__(self, style: Style, unit: str = "cm"):
        self.measurements, self.unit = style.measurements, unit
        self.small, self.large = "in" if UNITS[unit].fractions else "mm", UNITS[unit].told_in

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

    def moved(self, figures: Sequence[float]) -> str:
        """A movement across and down, each in its way: 2.5 mm out, 1 mm up.  Empty where there is none to tell."""
        return ", ".join(way for figure, ways in zip(figures, WAYS, strict=True) if (way := self.one_way(figure, ways)) != "0")

    def slope(self, slope: Floats, measure: str) -> str:
        return self.moved([self.figure(float(part), measure) for part in slope])

    def differ(self, first: Floats, second: Floats, measure: str) -> bool:
        """Whether two slopes of a place differ by enough to be told."""
        return abs(self.figure(float(np.abs(first - second).max()), measure)) > 2.0 * LEAST[self.small]

    def value(self, value: float, measure: str) -> str:
        if self.angle(measure):
            return f"{show_number(np.degrees(value), 1)} deg"
        unit = UNITS[self.unit]
        return f"{show_number(value / unit.mm, max(1, unit.fineness - 1))} {self.unit}"


HEADER = ("body", "piece", "what", "measure", "across", "down", "length", "unit")


def slope_table(groups: Sequence[Slopes], style: Style, unit: str = "cm", names: Sequence[str] = ()) -> list[list[str]]:
    """A header and a row for each body, place and measure that moves it; girths and seams with what their length grows by.

    `names` are those of the bodies in their order, else they are numbered.  Slopes of zero have no row.
    """
    tell, table = Teller(style, unit), []
    for some in groups:
        for number, index in enumerate(some.index):
            body = names[index] if names else str(index + 1)
            for (piece, place), every in some.places.items():
                table += _cells(tell, some.measures, (body, piece, place), every[number], lambda cells: [*cells, ""])
            for level, every in some.girths.items():
                table += _cells(tell, some.measures, (body, "", f"girth at {level}"), every[number][:, None], _alone)
            for sides, every in some.seams.items():
                for side, of_side in zip(sides, every[number].T, strict=True):
                    table += _cells(tell, some.measures, (body, "", f"length of {side}"), of_side[:, None], _alone)
    return [list(HEADER), *table]


def _alone(cells: list[str]) -> list[str]:
    return ["", "", *cells]


def _cells(
    tell: Teller, measures: Sequence[str], first: tuple[str, ...], every: Floats, placed: Callable[[list[str]], list[str]]
) -> list[list[str]]:
    rows = []
    for measure, slope in zip(measures, every, strict=True):
        figures = [show_number(tell.figure(float(part), measure), 4) for part in slope]
        if np.isfinite(slope).all() and any(figure != "0" for figure in figures):
            rows.append([*first, measure, *placed(figures), f"{tell.small} for each {tell.each(measure)}"])
    return rows
