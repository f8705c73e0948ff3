"""The ledgers: what a draft leaves at every level, what every sewn pair measures, every seam allowance once, and the
corners across seams, which `across` follows.

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
from ..geometry.dual import plain
from ..meaning.plan import Plan
from ..source.text import Span
from .across import CornerRow, Sewn, corner_rows
from .darts import opening_at
from .fitted_seams import Offer, gain_of, offers_of, shared_times
from .hands import HandLedger, hands_of, keep_own_side
from .openings import ZipRow, zip_rows
from .order import OrderOfWork, order_of_work
from .pattern import LEFT, RIGHT, Edge, Pattern, Piece, Seam, SeamOpening, SewnEdge
from .steps import Run

LEAST = 0.7  # of the body's girth: what comes to less, and is left open, is a part of a garment; our own choice
HAIR = 0.01  # mm


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
    told: tuple[str, ...] = ()  # of each of the pieces: how its line is got
    sides: tuple[Floats, Floats] | None = None  # of a body whose sides differ: what of it lies at the left and at the right
    share: Floats | None = None  # which part of the body's girth `body` is, where the style draws only a part of a garment

    @property
    def ways(self) -> str:
        """How the lines are got, each way once."""
        ways: dict[str, list[str]] = {}
        for words in self.told:
            way, carried, source = words.partition(" from ")
            ways.setdefault(way + carried, []).append(source)
        return ", ".join(way + " and ".join(dict.fromkeys(sources)) for way, sources in ways.items())

    def part(self, index: int) -> str:
        """What part of a garment is drawn for a body: empty for a whole one."""
        return "" if self.share is None else {1.0: "", 0.5: "half", 0.25: "quarter"}[float(self.share[index])]

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


class FittedRow(NamedTuple):
    """What fittings did to a seam: both lengths (N,) as they were drafted, what is eased in for it, the statements, and what would bring it right."""

    before: tuple[Floats, Floats]
    let_in: Floats
    said: tuple[Span, ...]
    offers: tuple[Offer, ...]


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
    left_open: Floats  # of the first side: how much is not sewn
    openings: tuple[SeamOpening, ...] = ()
    fitted: FittedRow | None = None

    @property
    def stated_ease(self) -> Floats:
        """The ease that the style states, without what fittings make."""
        return self.ease if self.fitted is None else self.ease - self.fitted.let_in

    @property
    def open_side(self) -> str:
        """ "left" or "right", where it is left open on one side of the body alone."""
        sides = {opening.side for opening in self.openings}
        return sides.pop() if len(sides) == 1 else ""

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
    corners: tuple[CornerRow, ...]
    zips: tuple[ZipRow, ...]
    order: OrderOfWork
    hands: HandLedger

    @property
    def girths_title(self) -> str:
        """What the girths are called: of a body whose sides differ they need not add up as they are written."""
        rounded = ", each figure rounded by itself" if any(row.sides is not None for row in self.girths) else ""
        return f"Girth at each level{rounded}"


def keep_ledgers(plan: Plan, pattern: Pattern, run: Run) -> Ledgers:
    with np.errstate(all="ignore"):
        sewn = Sewn(pattern, run)
        corners, zips = corner_rows(pattern, sewn), zip_rows(pattern, sewn, run)
        hands = hands_of(pattern, sewn)
        for piece in (*pattern.pieces, *pattern.foundations):
            piece.hand = hands.of[piece.name]
            keep_own_side(piece)
        order = order_of_work(plan, pattern, sewn, zips)
        return Ledgers(_girths(plan, pattern), _seams(pattern), _allowances(pattern), corners, zips, order, hands)


def _girths(plan: Plan, pattern: Pattern) -> tuple[GirthRow, ...]:
    rows = []
    for level in plan.level_order:
        across = plan.once.get(level, frozenset())
        crossing = [piece for piece in pattern.pieces if level in piece.widths and not piece.cut.purpose and piece.name not in across]
        if not crossing:
            continue
        sewn = sum((piece.widths[level] * piece.cut.instances for piece in crossing), np.zeros(pattern.n))
        intended = None
        if all(level in piece.intended for piece in crossing):
            intended = sum((piece.intended[level] * piece.cut.instances for piece in crossing), np.zeros(pattern.n))
        body = pattern.bodies.get(level)
        share = None if body is None else _share(pattern, crossing, level, sewn, body)
        rows.append(
            GirthRow(
                level,
                body if body is None or share is None else body * share,
                intended,
                sewn,
                tuple((piece.name, piece.cut.instances, piece.widths[level]) for piece in crossing),
                tuple(narrowed for piece in crossing for narrowed in _narrowed(piece, level)),
                tuple(piece.told[level] for piece in crossing),
                _of_sides(pattern, crossing, level) if plan.uneven else None,
                share,
            )
        )
    return tuple(rows)


def _of_sides(pattern: Pattern, crossing: Sequence[Piece], level: str) -> tuple[Floats, Floats]:
    """What of a girth lies at the left and at the right; of what is the same for both half at either."""
    left, right = np.zeros(pattern.n), np.zeros(pattern.n)
    for piece in crossing:
        width = piece.widths[level] * piece.cut.instances
        if level in piece.of_sides:
            own = piece.of_sides[level]
            left, right = left + own[0] * piece.cut.instances, right + own[1] * piece.cut.instances
        elif piece.side in (LEFT, RIGHT):
            left, right = (left + width, right) if piece.side == LEFT else (left, right + width)
        else:
            left, right = left + width / 2.0, right + width / 2.0
    return left, right


def _share(pattern: Pattern, crossing: Sequence[Piece], level: str, sewn: Floats, body: Floats) -> Floats | None:
    """Which part of the body's girth (N,) is drawn: half or a quarter where a garment is left open and falls so far short of it."""
    short = plain(sewn) < LEAST * plain(body)
    if not short.any() or not any(_is_open(pattern, piece, level) for piece in crossing):
        return None
    return np.where(short, np.where(plain(sewn) < LEAST * plain(body) / 2.0, 0.25, 0.5), 1.0)


def _is_open(pattern: Pattern, piece: Piece, level: str) -> bool:
    """Whether a level ends on an edge of the piece that is on no fold, sewn to nothing and closed by no zip."""
    sewn = {edge for seam in pattern.seams for side in (seam.one, seam.other) for edge in side}
    zipped = {mark.edge for mark in piece.marks if mark.kind == "zip"}
    return any(
        (piece.name, edge.name) not in sewn and edge.name != piece.cut.fold and edge.name not in zipped for edge in _ends(piece, level)
    )


def _ends(piece: Piece, level: str) -> list[Edge]:
    """The edges of a piece at either end of a level: beside those that it runs along, or those that it crosses."""
    along = piece.followed.get(level, ())
    if along:
        around = [*piece.edges, *piece.edges[:1]]
        pairs = [pair for pair in zip(around, around[1:], strict=False) if (pair[0].name in along) != (pair[1].name in along)]
        return [edge for pair in pairs for edge in pair if edge.name not in along]
    if level not in piece.levels:
        return []
    ends = []
    for edge in piece.edges:
        low, high = edge.across_mouths().box()
        y = piece.levels[level]
        meets = (plain(low)[:, 1] <= plain(y) + HAIR) & (plain(high)[:, 1] >= plain(y) - HAIR)
        wide, deep = (plain(high - low)[:, axis] for axis in (0, 1))
        if np.any(meets & (deep > wide / 2.0)):
            ends.append(edge)
    return ends


def _narrowed(piece: Piece, level: str) -> Iterator[Narrowed]:
    if level not in piece.levels:
        return
    y = piece.levels[level]
    for edge in piece.edges:
        middle = (edge.start()[:, 1] + edge.end()[:, 1]) / 2.0
        for dart in edge.darts:
            crosses = (y - middle) * (y - dart.point[:, 1]) < 0.0
            taken = 0.0 if dart.kind == "tuck" else opening_at(dart, y)
            lack = np.where(crosses, dart.asked - taken, 0.0) * piece.cut.instances
            if np.any(lack > 0.05):
                yield Narrowed(piece.name, dart.name, lack)


def _seams(pattern: Pattern) -> tuple[SeamRow, ...]:
    rows = []
    for seam in pattern.seams:
        sides = pattern.sewn(seam)
        shared = shared_times(sides)
        first_length, second_length = (_length(pattern, side, shared) for side in sides)
        first_name, second_name = (_side_name(side, shared) for side in sides)
        told = _side(sides[0]), _side(sides[1])
        left_open = _left_open(seam, pattern.n) * (sides[0][0].times / shared)
        rows.append(
            SeamRow(
                first_name,
                second_name,
                first_length,
                second_length,
                seam.ease,
                seam.tolerance,
                seam.kind,
                seam.span,
                told,
                left_open,
                seam.openings,
                _fitted(pattern, seam),
            )
        )
    return tuple(rows)


def _left_open(seam: Seam, n: int) -> Floats:
    """How much (N,) of the seam of that side is left open that has more of it."""
    none = np.zeros(n)
    each = [sum((one.length for one in seam.openings if one.side in ("", side)), none) for side in (LEFT, RIGHT)]
    return np.maximum(*each)


def _fitted(pattern: Pattern, seam: Seam) -> FittedRow | None:
    gain = gain_of(pattern, seam)
    if gain is None or seam.fitted is None:
        return None
    before = gain.lengths[0] - gain.gained[0], gain.lengths[1] - gain.gained[1]
    none = np.zeros(pattern.n)
    return FittedRow(before, none if seam.let_in is None else seam.let_in, seam.fitted.said, offers_of(pattern, seam))


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
