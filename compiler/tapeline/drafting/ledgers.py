"""The ledgers: what a draft leaves at every level, what every sewn pair measures, and every seam allowance once.

The girth ledger sets the body beside what the rule intended and what is left after the darts are sewn; where a dart
takes out less at a level than its rule stated, because its legs have already narrowed there, the ledger names the
dart and the amount.  All figures are mm, arrays (N,).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ..geometry.arrays import Floats
from ..meaning.plan import Plan
from ..source.text import Span
from .darts import opening_at
from .pattern import Pattern, Piece, SewnEdge
from .steps import Run


@dataclass(slots=True, eq=False)
class Narrowed:
    """A dart that takes out less at a level than its rule stated."""

    piece: str
    dart: str
    lack: Floats  # for all its instances together


@dataclass(slots=True, eq=False)
class GirthRow:
    level: str
    body: Floats | None
    intended: Floats | None
    sewn: Floats
    pieces: tuple[tuple[str, int, Floats], ...]  # piece, how often, its sewn width
    narrowed: tuple[Narrowed, ...]

    @property
    def ease(self) -> Floats | None:
        return None if self.body is None else self.sewn - self.body

    @property
    def surplus(self) -> Floats | None:
        """What is left beyond the intention: positive where the garment comes out too big."""
        return None if self.intended is None else self.sewn - self.intended


class SeamSide(NamedTuple):
    """One side of a seam: its edges as a style writes them, and its pieces, each with how often it is cut and its edges there."""

    written: str
    pieces: tuple[tuple[str, int, int], ...]  # piece, as often as its `cut` says, edges of it in the seam
    counted: bool = False  # whether the style says of an edge how many pieces the seam takes up


@dataclass(slots=True, eq=False)
class SeamRow:
    one: str
    other: str
    length_one: Floats
    length_other: Floats
    ease: Floats
    tolerance: float
    kind: str
    span: Span
    sides: tuple[SeamSide, SeamSide]

    @property
    def difference(self) -> Floats:
        """How much longer the first side is than the second with the ease that is meant."""
        return self.length_one - self.length_other - self.ease


@dataclass(slots=True, eq=False)
class AllowanceRow:
    piece: str
    edge: str
    width: Floats
    kind: str


@dataclass(slots=True, eq=False)
class Ledgers:
    girths: tuple[GirthRow, ...]
    seams: tuple[SeamRow, ...]
    allowances: tuple[AllowanceRow, ...]


def keep_ledgers(plan: Plan, pattern: Pattern, run: Run) -> Ledgers:
    with np.errstate(all="ignore"):
        return Ledgers(_girths(plan, pattern), _seams(pattern), _allowances(pattern))


def _girths(plan: Plan, pattern: Pattern) -> tuple[GirthRow, ...]:
    rows = []
    for level in plan.level_order:
        crossing = [piece for piece in pattern.pieces if level in piece.widths and not piece.cut.purpose]
        if not crossing:
            continue
        sewn = sum((piece.widths[level] * piece.cut.instances for piece in crossing), np.zeros(pattern.n))
        intended = None
        if all(level in piece.intended for piece in crossing):
            intended = sum((piece.intended[level] * piece.cut.instances for piece in crossing), np.zeros(pattern.n))
        rows.append(
            GirthRow(
                level,
                pattern.bodies.get(level),
                intended,
                sewn,
                tuple((piece.name, piece.cut.instances, piece.widths[level]) for piece in crossing),
                tuple(narrowed for piece in crossing for narrowed in _narrowed(piece, level)),
            )
        )
    return tuple(rows)


def _narrowed(piece: Piece, level: str) -> Iterator[Narrowed]:
    if level not in piece.levels:
        return
    y = piece.levels[level]
    for edge in piece.edges:
        middle = (edge.start()[:, 1] + edge.end()[:, 1]) / 2.0
        for dart in edge.darts:
            crosses = (y - middle) * (y - dart.point[:, 1]) < 0.0
            lack = np.where(crosses, dart.asked - opening_at(dart, y), 0.0) * piece.cut.instances
            if np.any(lack > 0.05):
                yield Narrowed(piece.name, dart.name, lack)


def _seams(pattern: Pattern) -> tuple[SeamRow, ...]:
    rows = []
    for seam in pattern.seams:
        sides = pattern.sewn(seam)
        counts = {sewn.times for side in sides for sewn in side}
        shared = counts.pop() if len(counts) == 1 else 1
        first_length, second_length = (_length(pattern, side, shared) for side in sides)
        first_name, second_name = (_side_name(side, shared) for side in sides)
        told = _side(sides[0]), _side(sides[1])
        rows.append(
            SeamRow(first_name, second_name, first_length, second_length, seam.ease, seam.tolerance, seam.kind, seam.span, told)
        )
    return tuple(rows)


def _side(side: Sequence[SewnEdge]) -> SeamSide:
    written = " and ".join(sewn.written for sewn in side)
    pieces = {sewn.piece.name: (sewn.piece.name, sewn.piece.cut.count, sewn.times) for sewn in side}
    return SeamSide(written, tuple(pieces.values()), any(sewn.stated for sewn in side))


def _length(pattern: Pattern, side: Sequence[SewnEdge], shared: int) -> Floats:
    """How long (N,) one side of a seam is, every edge counted as often as it is there for each of `shared`."""
    lengths = (sewn.piece.edge(sewn.edge).closed_length() * (sewn.times / shared) for sewn in side)
    return sum(lengths, np.zeros(pattern.n))


def _side_name(side: Sequence[SewnEdge], shared: int) -> str:
    words = []
    for sewn in side:
        times = sewn.times // shared
        words.append(f"{sewn.piece.name}.{sewn.edge}" + (f" x {times}" if times > 1 else ""))
    return " + ".join(words)


def _allowances(pattern: Pattern) -> tuple[AllowanceRow, ...]:
    rows = []
    for piece in pattern.pieces:
        for edge in piece.edges:
            allowance = pattern.allowances.get((piece.name, edge.name))
            if edge.name == piece.cut.fold:
                rows.append(AllowanceRow(piece.name, edge.name, np.zeros(pattern.n), "fold"))
            elif allowance is not None:
                rows.append(AllowanceRow(piece.name, edge.name, allowance.width, allowance.kind))
    return tuple(rows)
