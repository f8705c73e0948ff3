"""What a sheet for drawing by hand holds: a section for every piece, its steps, and the piece as the steps draw it.

Places are (2,) arrays of millimetres, x to the right, y down.  A point has a label, the same in the steps and in the small
drawing; `true` is where it belongs and `drawn` where it comes to lie when the steps are carried out with the figures as
they are printed.  Between two points a `HandLine` keeps what is drawn there.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple, TypeAlias

import numpy as np

from ...drafting.pattern import Piece
from ...geometry.arrays import Floats
from .measure import Ruler, off_line

# mm; hands draw a smooth line through the same places a little differently.  Two are tried (`fair_lines`); a third, drawn by
# splines in the tests, leaves what they reach by less than this on every shipped and every worked style.
HANDS = 0.2

PointKey: TypeAlias = tuple[str, str]  # the piece on which a point is set out, and its label there
PlaceKey: TypeAlias = tuple[str, float, float]  # the piece, and where a point belongs on it
Aims: TypeAlias = Mapping[PlaceKey, Floats]  # points that are to come to lie elsewhere than their own figures bring them


class HandStep(NamedTuple):
    number: int  # within its section
    kind: str  # "change", "level", "trace", "point", "dart", "edge", "mark" or "notch"
    name: str  # of what the step draws
    words: str
    remark: str = ""
    heading: str = ""  # under which it stands


class HandLine(NamedTuple):
    """What is drawn from one point to the next."""

    start: str
    end: str
    lines: tuple[Floats, Floats]  # as two hands draw it, (K, 2)
    swung: bool = False  # an arc about a centre


@dataclass(eq=False)
class HandSection:
    name: str
    title: str
    intro: list[str]
    piece: Piece
    rule: Ruler
    steps: list[HandStep] = field(default_factory=list)
    true: dict[str, Floats] = field(default_factory=dict)
    drawn: dict[str, Floats] = field(default_factory=dict)
    owners: dict[str, PointKey] = field(default_factory=dict)  # label -> where the point is set out
    starts: set[str] = field(default_factory=set)  # points that all others are set out from
    depths: dict[str, float] = field(default_factory=dict)  # of the level lines of a piece drawn by level, as drawn
    edges: dict[str, list[list[HandLine]]] = field(default_factory=dict)  # the runs of each strip
    darts: list[list[str]] = field(default_factory=list)  # the points of a dart from foot to foot, of an inner one all round
    # a knee: set out from the first point by as much as the third lies from the second
    following: dict[str, tuple[PointKey, PointKey, PointKey]] = field(default_factory=dict)
    beside: list[tuple[str, Floats, Floats]] = field(default_factory=list)  # of what: a line as it should lie, and as it is drawn

    @cached_property
    def _worst(self) -> tuple[float, str]:
        """Worked out when it is asked for, since most sheets are only tried."""
        lines = ((max(off_line(true, drawn).max(), off_line(drawn, true).max()), stem) for stem, true, drawn in self.beside)
        points = ((np.hypot(*(self.drawn[label] - true)), label) for label, true in self.true.items())
        return max(((float(off), at) for off, at in (*lines, *points)), key=lambda one: one[0], default=(0.0, ""))

    @property
    def worst(self) -> float:
        """How far, in mm, any point or place on an edge comes to lie from where it belongs."""
        return self._worst[0]

    @property
    def worst_at(self) -> str:
        return self._worst[1]


class SeamError(NamedTuple):
    name: str
    off: float  # mm by which its two sides differ more, or less, than in the pattern


class GirthAsSewn(NamedTuple):
    """What a level of the ledger comes to, sewn from the pieces as drawn."""

    level: str
    stated: float  # mm, of the ledger
    parts: tuple[tuple[str, int, float], ...]  # a piece's title, how often it is sewn, its width there

    @property
    def sewn(self) -> float:
        return sum(times * width for _, times, width in self.parts)

    @property
    def off(self) -> float:
        return self.sewn - self.stated


class HandDraft(NamedTuple):
    rule: Ruler
    sections: tuple[HandSection, ...]
    girths: tuple[GirthAsSewn, ...]
    seams: tuple[SeamError, ...]

    @property
    def worst(self) -> HandSection | None:
        return max(self.sections, key=lambda section: section.worst, default=None)

    @property
    def seam(self) -> SeamError | None:
        return max(self.seams, key=lambda seam: abs(seam.off), default=None)

    def limit(self) -> float:
        """What no place is further off, in mm, rounded up to a tenth."""
        return upward(max((section.worst for section in self.sections), default=0.0) + HANDS)

    def seam_limit(self) -> float:
        return upward(abs(self.seam.off) + HANDS) if self.seam is not None else 0.0


def place_key(piece: str, place: Floats) -> PlaceKey:
    return piece, round(float(place[0]), 2) + 0.0, round(float(place[1]), 2) + 0.0


def upward(mm: float) -> float:
    return math.ceil(mm * 10 - 1e-6) / 10
