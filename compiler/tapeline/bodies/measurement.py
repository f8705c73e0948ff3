"""What is measured on a body, and what may be doubted about it.

A `Measurement` says how a measure is taken and between what bounds it is believed; a `Doubt` is a comparison
of two measures that seldom holds on a real body.  Neither forbids anything: a measure outside its bounds, or
a doubt that holds, is used all the same once the card accepts it with a reason.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from ..source.quantity import show_length, show_number
from ..source.text import Span

KINDS = ("girth", "length", "height", "width", "angle")
HALVES, EACH = "halves", "each"
SIDES = (HALVES, EACH)  # what the figure of a side is: half of the measure, or the measure of that side


@dataclass(frozen=True, slots=True)
class Measurement:
    """One measure of the body.  `low` and `high` are millimetres, or radians where the kind is angle, as are `unlike`, by how much
    the figures of two sides differ at most without being doubted, and `steady`, how far a later measuring moves at most likewise."""

    name: str
    title: str
    kind: str  # girth, length (along the body), height (plumb), width (straight across) or angle
    taken: str
    standard: str = ""
    low: float = 0.0
    high: float = math.inf
    span: Span | None = None  # of its definition
    place: Span | None = None  # of its name there
    sides: str = ""  # one of SIDES; empty of what lies at the centre or is of the whole body
    unlike: float = math.inf
    steady: float = math.inf
    monthly: bool = False  # whether that is for a month, and grows with the time

    def plausible(self, value: float) -> bool:
        return self.low <= value <= self.high

    def show(self, value: float, unit: str = "cm", fraction: int = 16) -> str:
        """A value of this measure for people."""
        if self.kind == "angle":
            return f"{show_number(math.degrees(value), 1)} deg"
        return show_length(value, unit, fraction)


@dataclass(frozen=True, slots=True)
class Doubt:
    """`measure` `relation` `other` is doubted; `message` says what may have gone wrong.

    What `occurs` is true of some bodies: a card is asked about it, but such bodies are tried with all others.
    """

    measure: str
    relation: str  # less than, or more than
    other: str
    message: str
    span: Span | None = None
    occurs: bool = False

    def holds(self, values: Mapping[str, float]) -> bool:
        """Whether the doubted relation is true of a body.  False where either measure is wanting."""
        left, right = values.get(self.measure), values.get(self.other)
        if left is None or right is None:
            return False
        return left < right if self.relation == "less than" else left > right


def doubted(doubts: Iterable[Doubt], values: Mapping[str, float], accepted: Mapping[str, str]) -> Iterator[Doubt]:
    """The doubts that hold of a body and that neither of the two measures' acceptance sets aside."""
    for doubt in doubts:
        if doubt.measure not in accepted and doubt.other not in accepted and doubt.holds(values):
            yield doubt
