"""Which side of the body each piece is for, as it is drawn with the right side of the cloth up.

Directions of the language are the body's: y runs down it.  Who looks at the wearer from in front sees her left where x grows,
from behind her right.  So a piece worn in front whose centre (its fold, or the edge that is sewn to its own mirror image)
lies at smaller x than the rest is, as drawn, her left; one worn behind her right.  From there the seams tell of the others:
two pieces that are laid together along a seam without turning either over, so that one runs along it against the other, are of
one hand; where one must be turned over, of opposite hands.  A seam from centre to centre joins the two sides of the body.
Every such rule is an equation between two signs; those that are told by names come first, and must all agree; the others,
told by how pieces lie or are listed, only carry the answer on.

A facing or a lining is worn with its right side to the body, so what is drawn like the garment's outside is of the other hand.
Any other layer lies as the outside does: along a seam of the two it is laid on it, not beside it.  A piece that is its own mirror image has no hand.
Signs are +1 for the left and -1 for the right; they hold for all N bodies alike, or the bodies are parted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal, NamedTuple

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.dual import plain
from ..geometry.plane import dot, unit
from ..source.text import Span
from .across import EdgeEnd, Sewn
from .chains import sections
from .measuring import corner_of
from .openings import zipped_ends
from .pattern import BOTH, LEFT, NOT_TOLD, RIGHT, Edge, Hand, Pattern, Piece, Place, Seam

BESIDE = 0.05  # of a piece's width: an edge that lies nearer to its middle is at neither side
SAME = 0.5  # mm: lengths of edges that differ by less are one
SAME_ANGLE = np.radians(0.5)
SAMPLES = (0.25, 0.5, 0.75)  # of an edge's length, where its bow is measured


class HandConflict(NamedTuple):
    """A piece that would be of both hands: `told` by the first, and by `span` the other."""

    piece: str
    told: str
    other: str
    by: str  # what tells the other, in words
    span: Span


class OneHanded(NamedTuple):
    """A seam of two pieces, or copies of one, of which each is there in one hand alone, and one would lie wrong side up."""

    seam: Seam
    one: Place
    other: Place


@dataclass(slots=True, eq=False)
class HandLedger:
    """The hands of all pieces and foundations, and what speaks against them."""

    of: dict[str, Hand] = field(default_factory=dict)
    conflicts: tuple[HandConflict, ...] = ()
    one_handed: tuple[OneHanded, ...] = ()


class _Equation(NamedTuple):
    """That the signs of two pieces, multiplied, are `sign`; whether names tell it, and the seam that does."""

    one: str
    other: str
    sign: int
    by_names: bool
    seam: Seam | None = None


class _LaidEdges(NamedTuple):
    """Two edges that lie on each other, whether both run alike, and what tells that."""

    one: Place
    other: Place
    alike: bool
    sure: Literal["by names", "by order", "by place"]


def hands_of(pattern: Pattern, sewn: Sewn) -> HandLedger:
    """The hands of a pattern; `sewn` knows what its seams lay together."""
    return _Worked(pattern, sewn).hands()


def keep_own_side(piece: Piece) -> None:
    """Leave out of a piece that lies on both sides, drawn whole, what one side alone has and what lies on the other."""
    if piece.hand.side != BOTH or piece.cut.fold is not None or not piece.hand.drawn:
        return
    places = np.concatenate([np.stack([plain(edge.start())[:, 0], plain(edge.end())[:, 0]]) for edge in piece.edges])
    middle = (places.min(axis=0) + places.max(axis=0)) / 2.0

    def is_here(side: str, across: Floats) -> bool:
        off = plain(across) - middle
        grows = bool((off[np.isfinite(off)] > 0.0).all())
        return not side or grows == (side == piece.hand.drawn)

    piece.marks = tuple(m for m in piece.marks if is_here(m.side, (m.path.start() + m.path.end())[:, 0] / 2.0))
    piece.point_marks = tuple(m for m in piece.point_marks if is_here(m.side, m.at[:, 0]))


def side_word(sign: int) -> str:
    return LEFT if sign > 0 else RIGHT


class _Worked:
    """The equations of one pattern, and their answer."""

    def __init__(self, pattern: Pattern, sewn: Sewn) -> None:
        self.pattern, self.sewn, self.run = pattern, sewn, sewn.run
        self.pieces = {piece.name: piece for piece in (*pattern.pieces, *pattern.foundations)}
        self.turns = {name: self._alike_sign(turn) for name, turn in sewn.turns.items()}
        self.signs: dict[str, int] = {}
        self.conflicts: list[HandConflict] = []
        self.symmetric: dict[str, bool] = {}

    def hands(self) -> HandLedger:
        for piece in self.pieces.values():
            self._anchor(piece)
        seams = [seam for seam in self.pattern.seams if all(name in self.sewn.pieces for name, _ in (*seam.one, *seam.other))]
        one_handed = [fault for seam in seams for fault in self._one_handed(seam)]
        by_source = [found for piece in self.pieces.values() if piece.source and (found := self._as_source(piece)) is not None]
        by_edge = [equation for seam in seams for equation in self._equations(seam, self._laid_edges(seam))]
        self._carry([equation for equation in by_edge if equation.by_names])
        self._carry(by_source)
        for seam in seams:
            if not self._is_edge_to_edge(seam) and not all(name in self.signs for name, _ in (*seam.one, *seam.other)):
                self._carry(list(self._equations(seam, self._laid_sections(seam))))
        self._carry([equation for equation in by_edge if not equation.by_names])
        self._carry(by_source)
        of = {name: self._hand(piece) for name, piece in self.pieces.items()}
        return HandLedger(of, tuple(self.conflicts), tuple(one_handed))

    def _hand(self, piece: Piece) -> Hand:
        told = side_word(self.signs[piece.name]) if piece.name in self.signs else NOT_TOLD
        if piece.cut.fold is not None or (piece.cut.count == 1 and not piece.half):
            return Hand(BOTH, told, piece.halves is not None)
        return Hand(told, told) if self._has_hand(piece) else Hand()

    def _has_hand(self, piece: Piece) -> bool:
        """Whether the piece as drawn is of one side of the body: one of a pair, the half of a whole, or what one side has."""
        cut = piece.cut
        if cut.fold is not None:
            return cut.count == 1
        return piece.half and (cut.count == 1 or (cut.count == 2 and cut.paired))

    # ------------------------------------------------------------ what a piece tells by itself

    @cached_property
    def _centres(self) -> set[Place]:
        """Edges at the centre of the body, by the piece that each piece is made from and their names."""
        on_fold = {
            (piece.name, piece.cut.fold) for piece in self.pieces.values() if piece.cut.fold is not None and piece.cut.count == 1
        }
        closed = {
            place
            for seam in self.pattern.seams
            if seam.one == seam.other
            for place in seam.one
            if (piece := self.pieces[place[0]]).cut.paired and piece.cut.count == 2
        }
        images = {seam.one[0] for seam in self.pattern.seams if self._is_of_image(seam)}
        return {(self.pattern.origin(name), str(edge)) for name, edge in (*on_fold, *closed, *images)}

    def _is_of_image(self, seam: Seam) -> bool:
        """Whether a seam joins a piece that is cut once, by one of its edges, to another that is its mirror image there."""
        if not len(seam.one) == len(seam.other) == 1 or seam.one == seam.other:
            return False
        (one, edge), (other, other_edge) = seam.one[0], seam.other[0]
        singles = all(self.pieces[name].cut.is_single and self.pieces[name].half for name in (one, other))
        if self.pieces[one].side == self.pieces[other].side != NOT_TOLD:
            return False
        return singles and edge == other_edge and self.pattern.origin(one) == self.pattern.origin(other)

    def _crosses_centre(self, one: Place, other: Place) -> bool:
        """Whether a seam joins the two sides of the body: from centre to centre, or of pieces that are said to be of both sides."""
        sides = {self.pieces[one[0]].side, self.pieces[other[0]].side}
        return (self._is_centre(one) and self._is_centre(other)) or sides == {LEFT, RIGHT}

    def _is_centre(self, place: Place) -> bool:
        return (self.pattern.origin(place[0]), place[1]) in self._centres

    def _anchor(self, piece: Piece) -> None:
        lies = self._by_centre(piece)
        if piece.side:
            self.signs[piece.name] = 1 if piece.side == LEFT else -1
            if lies and lies != self.signs[piece.name]:
                self.conflicts.append(HandConflict(piece.name, piece.side, side_word(lies), "its centre", piece.span))
        elif lies:
            self.signs[piece.name] = lies

    def _by_centre(self, piece: Piece) -> int:
        """The sign by where the centre lies on the paper; 0 where that does not tell."""
        if not piece.worn or not (self._has_hand(piece) or self._is_whole(piece)):
            return 0
        way = (1 if piece.worn == "front" else -1) * (-1 if piece.cut.is_inward else 1)
        if self._is_whole(piece):
            return way
        centre = piece.cut.fold or next((edge.name for edge in piece.edges if self._is_centre((piece.name, edge.name))), None)
        return -way * self._lies(piece, centre) if centre is not None else 0

    def _is_whole(self, piece: Piece) -> bool:
        return piece.cut.count == 1 and piece.cut.fold is None and not piece.half

    def _lies(self, piece: Piece, name: str) -> int:
        """At which side of the piece an edge lies: +1 where x is great, -1 where it is small, 0 about the middle."""
        places = [place for edge in piece.edges for place in (edge.start(), edge.closed.point_at(edge.closed_length() / 2.0))]
        across = np.stack([plain(place)[:, 0] for place in places], axis=1)
        low, high = across.min(axis=1), across.max(axis=1)
        edge = piece.edge(name)
        at = plain(edge.start() + edge.end())[:, 0] / 2.0
        off = at - (low + high) / 2.0
        side = np.where(np.abs(off) > BESIDE * (high - low), np.sign(off), 0.0)
        return self.run.alike(side.astype(int), np.isfinite(off))

    def _alike_sign(self, signs: Floats) -> int:
        return self.run.alike(np.nan_to_num(plain(signs)).astype(int), np.isfinite(plain(signs)))

    def _is_symmetric(self, name: str) -> bool:
        """Whether a piece is its own mirror image, by its edges and corners in their order and against it."""
        if name not in self.symmetric:
            self.symmetric[name] = self._reads_backward(self.pieces[name])
        return self.symmetric[name]

    def _reads_backward(self, piece: Piece) -> bool:
        lengths = np.stack([plain(edge.closed_length()) for edge in piece.edges], axis=1)
        turn = self.sewn.turns[piece.name]
        corners = np.stack([plain(corner_of(piece.edges[k - 1], edge, turn)) for k, edge in enumerate(piece.edges)], axis=1)
        bows = np.stack([_bows(edge) for edge in piece.edges], axis=1)
        count = len(piece.edges)
        known = np.isfinite(lengths.sum(axis=1))
        for first in range(count):
            order = [(first - k) % count for k in range(count)]
            after = [(at + 1) % count for at in order]
            same = (np.abs(lengths - lengths[:, order]) < SAME).all(axis=1)
            same &= (np.abs(corners - corners[:, after]) < SAME_ANGLE).all(axis=1)
            same &= (np.abs(bows - bows[:, order, ::-1]) < SAME).all(axis=(1, 2))
            if self.run.alike(same.astype(int), known):
                return True
        return False

    # ------------------------------------------------------------ what seams tell

    def _equations(self, seam: Seam, laid: Iterator[_LaidEdges]) -> Iterator[_Equation]:
        for one, other, alike, sure in laid:
            first, second = self.pieces[one[0]], self.pieces[other[0]]
            if first is second or (self._is_whole(first) and self._is_whole(second)):
                continue
            sides = [self._side(piece, edge, sure) for piece, edge in ((first, one[1]), (second, other[1]))]
            sign = self._unturned(one, other, alike) * sides[0] * sides[1] * (-1 if self._crosses_centre(one, other) else 1)
            if sign:
                yield _Equation(first.name, second.name, sign, sure == "by names", seam)

    def _as_source(self, piece: Piece) -> _Equation | None:
        """What is made from another is of its hand, unless it is mirrored or its cloth lies the other way."""
        source = self.pieces[piece.source]
        if not (self._has_hand(piece) and self._has_hand(source)):
            return None
        turned = piece.mirrored != (piece.cut.is_inward != source.cut.is_inward)
        return _Equation(source.name, piece.name, -1 if turned else 1, False)

    def _side(self, piece: Piece, edge: str, sure: str) -> int:
        """By which sign an edge's side of the body follows from that of its piece; 0 where it does not."""
        if self._is_whole(piece):
            return self._lies(piece, edge) if piece.worn else 0
        if not self._has_hand(piece):
            return 0
        return 1 if sure != "by place" or piece.side or piece.cut.fold or not self._is_symmetric(piece.name) else 0

    def _is_edge_to_edge(self, seam: Seam) -> bool:
        return len(seam.one) == len(seam.other) == 1 or bool(self.sewn.pairs_of_edges(seam))

    def _laid_edges(self, seam: Seam) -> Iterator[_LaidEdges]:
        for one, other in self.sewn.pairs_of_edges(seam) or ([(seam.one[0], seam.other[0])] if self._is_edge_to_edge(seam) else []):
            starts = EdgeEnd(*one, "start"), EdgeEnd(*other, "start")
            told = self.sewn.told_start_to_start(*starts)
            yield _LaidEdges(
                one, other, self.sewn.start_to_start(*starts) if told is None else told, "by place" if told is None else "by names"
            )

    def _laid_sections(self, seam: Seam) -> Iterator[_LaidEdges]:
        for section in sections(self.sewn, seam, self._zipped):
            yield _LaidEdges(section.one.place, section.other.place, section.one.backward == section.other.backward, "by order")

    @cached_property
    def _zipped(self) -> frozenset[EdgeEnd]:
        return zipped_ends(self.sewn)

    def _unturned(self, one: Place, other: Place, alike: bool) -> int:
        """+1 where neither piece is turned over as they are laid together along the edges, else -1."""
        turn = self.turns[one[0]] * self.turns[other[0]]
        first, second = self.pieces[one[0]], self.pieces[other[0]]
        on_it = first.cut.purpose != second.cut.purpose and first.cut.is_inward == second.cut.is_inward
        return (-1 if alike else 1) * turn * (-1 if on_it else 1)

    def _one_handed(self, seam: Seam) -> Iterator[OneHanded]:
        """Seams that join, wrong side up, what is there in one hand alone: copies alike, a piece and one made like it, or two that lie
        on one side of the wearer.  Of others it is not known whether the style means half a garment."""
        if not all(self.pieces[name].cut.is_single for name, _ in (*seam.one, *seam.other)):
            return
        for one, other in self.sewn.pairs_of_edges(seam):
            first, second = self.pieces[one[0]], self.pieces[other[0]]
            if one == other and first.cut.count == 1:
                continue
            like = one[1] == other[1] and self.pattern.origin(first.name) == self.pattern.origin(second.name)
            together = first.worn == second.worn != NOT_TOLD or bool(first.side and second.side)
            if first.cut.purpose != second.cut.purpose or not (like or together):
                continue
            alike = self.sewn.told_start_to_start(EdgeEnd(*one, "start"), EdgeEnd(*other, "start"))
            if alike is None or self._unturned(one, other, alike) >= 0:
                continue
            if not (self._is_symmetric(one[0]) or self._is_symmetric(other[0])):
                yield OneHanded(seam, one, other)

    # ------------------------------------------------------------ the answer

    def _carry(self, equations: list[_Equation]) -> None:
        """Signs from piece to piece; where names tell an equation that does not hold, it is a conflict."""
        left = equations
        while left:
            known: list[_Equation] = []
            unknown: list[_Equation] = []
            for equation in left:
                (known if equation.one in self.signs or equation.other in self.signs else unknown).append(equation)
            if not known:
                return
            for equation in known:
                one, other = equation.one, equation.other
                if one not in self.signs:
                    one, other = other, one
                told, seam = equation.sign * self.signs[one], equation.seam
                before = self.signs.setdefault(other, told)
                if seam is not None and equation.by_names and before != told:
                    self.conflicts.append(HandConflict(other, side_word(before), side_word(told), seam.written, seam.span))
            left = unknown


def _bows(edge: Edge) -> Floats:
    """How far (N, 3) an edge as sewn lies off its chord, at some places along it."""
    start, chord = edge.closed.start(), edge.closed.end() - edge.closed.start()
    square = unit(np.stack([-plain(chord)[:, 1], plain(chord)[:, 0]], axis=1))
    places = [edge.closed.point_at(edge.closed_length() * share) for share in SAMPLES]
    return np.stack([plain(dot(place - start, square)) for place in places], axis=1)
