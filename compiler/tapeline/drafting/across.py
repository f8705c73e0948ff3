"""The ledger of corners across seams: how an outline runs on from one piece to the next where a seam ends.

Sewing lays the end of one edge on the end of another, so the corners of the cloth that meet there lie side by side, and
the line that they bound, a hem or a neckline or another seam, goes on from piece to piece.  Its sewn angle is the sum of
the corners on one side of it; straight is half a turn.  A fold is a seam of the piece to its own image, and a dart is one
along an edge.  From each end of a seam the corners are followed to either side, from edge to edge that is sewn to it,
until an edge that is free or goes on along a longer one, or all round.  Two free edges are one outline; two sewn edges are
one seam line.  All round, four corners are two seams that cross: one of the two has to run on, so either excuses the
other.  Three are a seam that ends on another, which tells nothing of it unless that other is straight there.  Where a free
edge meets a sewn one, as at the end of a waistband, no line runs on, and nothing is told; and where two free edges turn
back into the seam, it ends in a slit or a vent.  Where a seam is left open up to its end, nothing is laid together there.

An edge that is one of several sewn to one line is held to end within that line.  A seam between the garment and a layer
of it, such as a facing, leaves the edge an outline.  Which ends of two edges are laid together is told by the names of
the edges beside them, else by those that are sewn to each other, else by how they lie on the paper, where all pieces have the centre to one side and the waist above
the hem.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import reduce
from typing import Literal, NamedTuple, Protocol

import numpy as np

from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.plane import angle_between, dot, unit
from ..meaning.ring import IMAGE, start_to_start
from ..source.text import Span
from .measuring import corner_of
from .pattern import LEFT, RIGHT, Pattern, Piece, Seam
from .shapes import turn_of

# How far an outline may turn at a seam and still be said to run on.  Our judgement: an inch from the seam it is then 2.2 mm off
# the straight, between the 1/16 in of pattern truth that a fitting teacher keeps and the 1/8 in that many find enough (Threads no.
# 200, 2018-19).
LIMIT = np.radians(5.0)
HALF_TURN = np.pi
OPENING = 1.5 * np.pi  # where free edges turn back by more than this, the seam ends in a slit or a vent
REACHES = 1.0  # mm; what is left open up to nearer to the end of its edge goes up to it
MOST = 12  # corners that are followed from one end of a seam

How = Literal["seam", "fold", "dart"]


class EdgeEnd(NamedTuple):
    """One end of an edge, as the outline runs."""

    piece: str
    edge: str
    at: Literal["start", "end"]

    @property
    def named(self) -> str:
        return f"{self.piece}.{self.edge}"

    def other(self) -> EdgeEnd:
        return self._replace(at="end" if self.at == "start" else "start")


class PieceCorner(NamedTuple):
    """A corner of a piece by the edge that begins there, or a dart of it."""

    piece: str
    name: str


@dataclass(slots=True, eq=False)
class CornerRow:
    """A line that runs on from `one` to `other` across a seam, a fold or a dart; `angle` (N,) in radians."""

    one: EdgeEnd
    other: EdgeEnd
    across: str  # the seam, fold or dart in words
    fair: str  # the rule that draws the line fair; nothing where one alone does not
    how: How
    angle: Floats
    corners: tuple[PieceCorner, ...]  # those whose angles were summed
    ends: tuple[EdgeEnd, ...]  # where their seam's edges end
    meant: bool  # whether the style says that there is a corner
    excused: Mask  # bodies (N,) for whom nothing has to run on here: another seam crosses straight, or the seam opens
    span: Span

    @property
    def off(self) -> Floats:
        """How far from straight: less than zero where the line comes to a point, more where it has a nick."""
        return self.angle - HALF_TURN

    @property
    def corner(self) -> Mask:
        """Bodies (N,) for whom there is a corner that nothing accounts for."""
        off: Mask = (np.abs(self.off) > LIMIT) & ~self.excused
        return off & (not self.meant)

    def remark(self, index: int) -> str:
        """What is to be said of the line for one body: nothing where it runs on."""
        if abs(float(self.off[index])) <= LIMIT:
            return ""
        return "meant" if self.meant else "an opening, or crossed by a seam that runs on" if self.excused[index] else "a corner"


def corner_rows(pattern: Pattern, sewn: Sewn) -> tuple[CornerRow, ...]:
    """Every line that runs on across a seam, a fold or a dart, in the order of the seams and then of the pieces."""
    rows: dict[object, CornerRow] = {}
    for joint in sewn.joints:
        for row in sewn.rows(joint):
            rows.setdefault((frozenset(row.corners), frozenset((row.one, row.other))), row)
    return (*rows.values(), *(row for piece in pattern.pieces for row in _along_edges(pattern, piece)))


class SeamEnd(NamedTuple):
    end: EdgeEnd
    partner: EdgeEnd
    across: str
    how: How
    span: Span
    told: bool  # whether a style can name it: sewn edge to edge, and its ends told by names


class Fan(NamedTuple):
    """The corners round the end of a seam: the two beside it, then those beyond the first, then those beyond the second."""

    corners: tuple[EdgeEnd, ...]  # each by the end at which it is entered
    ends: tuple[EdgeEnd, EdgeEnd] | None  # None: they go all round


class Structured(Protocol):
    """Bodies of whom a whole number (N,), on which the structure rests, is one (see `Run.alike`)."""

    @property
    def n(self) -> int: ...

    def alike(self, counts: Indices, known: Mask) -> int: ...


class Settled(NamedTuple):
    """Bodies that share one structure already, as all of one pattern do."""

    n: int

    def alike(self, counts: Indices, known: Mask) -> int:
        return int((counts[known] if known.any() else counts)[0])


class Sewn:
    """What a garment's seams and folds lay together: ends of edges, and edges that are sewn in any way."""

    def __init__(self, pattern: Pattern, run: Structured) -> None:
        self.run, self.pattern, self.meant = run, pattern, pattern.meant
        self.pieces = {piece.name: piece for piece in pattern.pieces}
        self.turns = {piece.name: turn_of(piece.edges) for piece in pattern.pieces}
        self.sewn: set[tuple[str, str]] = set()
        self.partners: dict[EdgeEnd, EdgeEnd] = {}
        self.joints: list[SeamEnd] = []
        self.seams = [seam for seam in pattern.seams if self._of_one_layer(seam)]
        for seam in self.seams:
            self.sewn.update((*seam.one, *seam.other))
        for piece in pattern.pieces:
            if piece.cut.fold is not None:
                self.sewn.add((piece.name, piece.cut.fold))
        for seam in self.seams:
            for one, other in self.pairs_of_edges(seam):
                across = f"{one[0]}.{one[1]}" + ("" if one == other else f" to {other[0]}.{other[1]}")
                alone = one == other or len(seam.one) == len(seam.other) == 1
                self._join(one, other, across, "seam", seam.span, alone, self._open_ends(seam, one))
        for piece in pattern.pieces:
            if piece.cut.fold is not None:
                fold = (piece.name, piece.cut.fold)
                self._join(fold, fold, f"{piece.name}.{piece.cut.fold}", "fold", piece.edge(piece.cut.fold).span, True)

    def _of_one_layer(self, seam: Seam) -> bool:
        names = [name for name, _ in (*seam.one, *seam.other)]
        if any(name not in self.pieces for name in names):
            return False
        purposes = [{self.pieces[name].cut.purpose for name, _ in side} for side in (seam.one, seam.other)]
        return purposes[0] == purposes[1]

    def pairs_of_edges(self, seam: Seam) -> list[tuple[tuple[str, str], tuple[str, str]]]:
        """The edges that are sewn to each other from end to end."""
        if seam.one == seam.other:  # each to that of the other copy
            return [(edge, edge) for edge in seam.one]
        sides = self.pattern.sewn(seam)
        for side, other in (sides, sides[::-1]):
            if len(other) == 1 and sum(edge.times for edge in side) == other[0].times:  # each to a copy of the other
                return [((edge.piece.name, edge.edge), (other[0].piece.name, other[0].edge)) for edge in side]
        return []

    def _open_ends(self, seam: Seam, one: tuple[str, str]) -> frozenset[str]:
        """At which ends of its first edge a seam is left open, on both sides of the body, for all bodies alike, else they are parted."""
        if not seam.openings or one != seam.one[0]:
            return frozenset()
        whole = self.pieces[one[0]].edge(one[1]).closed_length()
        sides = [[opening for opening in seam.openings if opening.side in ("", side)] for side in (LEFT, RIGHT)]
        if not all(sides):
            return frozenset()
        ends = (
            ("start", reduce(np.maximum, [reduce(np.minimum, [one.start for one in side]) for side in sides]) < REACHES),
            ("end", reduce(np.minimum, [reduce(np.maximum, [one.end for one in side]) for side in sides]) > whole - REACHES),
        )
        return frozenset(at for at, is_open in ends if self.run.alike(is_open.astype(int), np.isfinite(whole)))

    def _join(
        self,
        one: tuple[str, str],
        other: tuple[str, str],
        across: str,
        how: How,
        span: Span,
        alone: bool,
        open_ends: frozenset[str] = frozenset(),
    ) -> None:
        starts = [EdgeEnd(*edge, "start") for edge in (one, other)]
        named = self._named_alike(*starts)
        alike = self.start_to_start(*starts)
        for end in (starts[0], starts[0].other()):
            if end.at in open_ends:
                continue
            partner = starts[1] if (end.at == "start") == alike else starts[1].other()
            self.partners.setdefault(end, partner)
            self.partners.setdefault(partner, end)
            self.joints.append(SeamEnd(end, partner, across, how, span, alone and named is not None))

    def start_to_start(self, one: EdgeEnd, other: EdgeEnd) -> bool:
        """Whether two edges are laid together start to start, given both starts."""
        told = self.told_start_to_start(one, other)
        return self._lie_alike(one, other) if told is None else told

    def told_start_to_start(self, one: EdgeEnd, other: EdgeEnd) -> bool | None:
        """The same where the edges beside them tell, by their names or by what they are sewn to; else None."""
        named = self._named_alike(one, other)
        told = self._beside_sewn(one, other) if named is None else named
        return self._centred_alike(one, other) if told is None else told

    def _centred_alike(self, one: EdgeEnd, other: EdgeEnd) -> bool | None:
        """The same by which end lies at the centre of the body, where the pieces of both sides are told apart; else None."""
        first, second = (tuple(map(self._is_centred, (start, start.other()))) for start in (one, other))
        return None if first[0] == first[1] or second[0] == second[1] else first == second

    def _is_centred(self, end: EdgeEnd) -> bool:
        """Whether at an end of an edge its own image goes on, or a seam that joins both sides."""
        beside = self.beside(end)
        return {end.edge, beside.edge} in ({name, IMAGE + name} for name in (end.edge, beside.edge)) or (
            any((beside.piece, beside.edge) in (*seam.one, *seam.other) for seam in self.seams if seam.centred)
        )

    def _named_alike(self, one: EdgeEnd, other: EdgeEnd) -> bool | None:
        """The same by the names beside them; None where these do not tell."""
        if one == other:
            return True
        beside = [(self.beside(start).edge, self.beside(start.other()).edge) for start in (one, other)]
        return start_to_start(beside[0], beside[1])

    def _beside_sewn(self, one: EdgeEnd, other: EdgeEnd) -> bool | None:
        """The same by the edges beside them, where those at one end are sewn to each other; None where that does not tell."""

        def sewn(first: EdgeEnd, second: EdgeEnd) -> bool:
            places = {(end.piece, end.edge) for end in (self.beside(first), self.beside(second))}
            return any(len(places & {*seam.one}) == len(places & {*seam.other}) == 1 for seam in self.seams)

        straight = sewn(one, other) or sewn(one.other(), other.other())
        turned = sewn(one, other.other()) or sewn(one.other(), other)
        return None if straight == turned else straight

    def _lie_alike(self, one: EdgeEnd, other: EdgeEnd) -> bool:
        """The same by how they lie on the paper."""
        edges = [self.pieces[end.piece].edge(end.edge) for end in (one, other)]
        along = dot(*(unit(edge.end() - edge.start()) for edge in edges))
        return bool(self.run.alike((along >= 0.0).astype(int), np.isfinite(along)))

    # ------------------------------------------------------------ round the end of a seam

    def beside(self, end: EdgeEnd) -> EdgeEnd:
        """The end of the neighbouring edge that lies at the same corner."""
        names = [edge.name for edge in self.pieces[end.piece].edges]
        at = names.index(end.edge)
        if end.at == "start":
            return EdgeEnd(end.piece, names[at - 1], "end")
        return EdgeEnd(end.piece, names[(at + 1) % len(names)], "start")

    def is_sewn(self, end: EdgeEnd) -> bool:
        return (end.piece, end.edge) in self.sewn

    def angle(self, end: EdgeEnd) -> Floats:
        """The angle (N,) of the cloth between an edge, at this end of it, and its neighbour."""
        piece = self.pieces[end.piece]
        before, after = (end, self.beside(end)) if end.at == "end" else (self.beside(end), end)
        return corner_of(piece.edge(before.edge), piece.edge(after.edge), self.turns[end.piece])

    def fan(self, end: EdgeEnd, partner: EdgeEnd) -> Fan:
        before, last, closed = self._follow(end, self.beside(partner))
        if closed:
            return Fan((end, partner, *before), None)
        after, first, _ = self._follow(partner, self.beside(end))
        return Fan((end, partner, *before, *after), (last, first))

    def _follow(self, end: EdgeEnd, home: EdgeEnd) -> tuple[list[EdgeEnd], EdgeEnd, bool]:
        """The corners beyond that at `end`, the end where no edge goes on, and whether the way came round to `home`."""
        corners: list[EdgeEnd] = []
        at = self.beside(end)
        while at in self.partners and len(corners) < MOST:
            entered = self.partners[at]
            if entered == home:
                return corners, at, True
            corners.append(entered)
            at = self.beside(entered)
        return corners, at, False

    def rows(self, joint: SeamEnd) -> Iterator[CornerRow]:
        end, partner = joint.end, joint.partner
        fan = self.fan(end, partner)
        beside = self.beside(end), self.beside(partner)
        nobody = np.zeros(self.run.n, dtype=bool)

        def row(lines: tuple[EdgeEnd, EdgeEnd], corners: Iterable[EdgeEnd], crossed: Mask = nobody) -> CornerRow:
            taken = tuple(corners)
            names = tuple(self._corner(corner) for corner in taken)
            angle = sum((self.angle(corner) for corner in taken), np.zeros(self.run.n))
            excused = (crossed | (angle > OPENING)) & ~self._straight(angle)
            fair = f"true across {end.named} at {lines[0].edge}" if joint.told and len(taken) == 2 else ""
            meant = not self.meant.isdisjoint(names)
            return CornerRow(*lines, joint.across, fair, joint.how, angle, names, taken, meant, excused, joint.span)

        count = len(fan.corners)
        if fan.ends is not None and count <= 3:
            if self.is_sewn(fan.ends[0]) == self.is_sewn(fan.ends[1]):
                yield row(fan.ends, fan.corners)
        elif fan.ends is not None and all(self.is_sewn(line) for line in beside):
            yield row(beside, (end, partner))
        elif fan.ends is None and count == 3:
            yield row(beside, (end, partner), ~self._straight(self.angle(fan.corners[2])))
        elif fan.ends is None and count == 4:
            near, far, beyond_near, beyond_far = (self.angle(corner) for corner in fan.corners)
            yield row(beside, (end, partner), self._straight(near + beyond_near) & self._straight(far + beyond_far))

    def _straight(self, angle: Floats) -> Mask:
        straight: Mask = np.abs(angle - HALF_TURN) <= LIMIT
        return straight

    def _corner(self, end: EdgeEnd) -> PieceCorner:
        return PieceCorner(end.piece, end.edge if end.at == "start" else self.beside(end).edge)


def _along_edges(pattern: Pattern, piece: Piece) -> Iterator[CornerRow]:
    """An edge with its darts folded runs on from strip to strip."""
    turn = turn_of(piece.edges)
    for edge in piece.edges:
        for before, dart, after in zip(edge.strips, edge.darts, edge.strips[1:], strict=False):
            angle = HALF_TURN - turn * angle_between(before.end_direction(), dart.fold.vectors(after.start_direction()))
            corner = PieceCorner(piece.name, dart.name)
            sides = EdgeEnd(piece.name, edge.name, "start"), EdgeEnd(piece.name, edge.name, "end")
            meant, nobody = corner in pattern.meant, np.zeros(len(angle), dtype=bool)
            yield CornerRow(
                *sides, f"{piece.name}.{dart.name}", f"true {edge.name}", "dart", angle, (corner,), (), meant, nobody, dart.span
            )
