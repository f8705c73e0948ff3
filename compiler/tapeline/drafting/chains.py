"""Which stretch of the one side of a seam lies on which of the other, once it is sewn.

Either side of a seam is a *chain* of edges: at the end of one the next is found across the seam or fold that ends there, as
the waist of the back goes on in that of the front across the side seam, and that across the fold in its own other half.  A
chain begins where it is open (at an edge that is sewn to nothing, or a zip), else where the seam lists its first edge; it
ends where it is open, comes round, or has taken every edge as often as it is there.  Two chains are laid on each other, the
shorter one repeated where it is there more often, and turned so that they run alike: as the names beside the edges or
their way on the paper tell, else in the order in which the seam lists them, from the start of the other side as its
outline runs.  The joints between edges, of both sides, part them into *sections*: in each a stretch of one edge lies on a
stretch of another.

What is sewn plainly is told from the joints on; the ease of an eased seam lies between two places, `plain` from its ends;
a gathered one is shared alike.  Lengths are those of the edges as sewn, in millimetres, (N,) for N bodies.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from itertools import pairwise
from typing import NamedTuple, TypeAlias

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.dual import plain as without_slopes
from ..geometry.plane import dot, norm
from .across import REACHES, EdgeEnd, Sewn, Structured
from .openings import zipped_ends
from .pattern import Edge, MatchedPlace, Pattern, Place, Seam, SewnEdge

ALIKE = 3.0  # mm; joints of both sides that come nearer than this are one; twice what a seam may be off
TELLING = 0.5  # of the length of a chain: an end that lies farther from its start than this tells which way it runs
LOWER = 0.1  # of the length of a chain: how much lower its joint lies than its middle where it is an underarm's
EASED_FROM = 0.25  # of an eased seam from either end is sewn plainly; our own choice
EASED_FROM_JOINT = 0.4  # the same, of the edge from the end of the seam to a joint
JOINT_ROOM = 35.0  # mm between a joint and where the ease begins, for a pair of notches clear of the corners there: our own choice
RATHER_BEYOND = 10.0  # mm; where the ease would begin so little before a joint, it begins beyond it, that less is eased: our own choice
ROUNDING = 0.001  # mm


class Walked(NamedTuple):
    """An edge as a chain takes it: along the outline, or `backward`."""

    place: Place
    backward: bool

    @property
    def first(self) -> EdgeEnd:
        return EdgeEnd(*self.place, "end" if self.backward else "start")

    @property
    def last(self) -> EdgeEnd:
        return self.first.other()

    def turned(self) -> Walked:
        return Walked(self.place, not self.backward)


class EdgeChain(NamedTuple):
    edges: tuple[Walked, ...]
    copies: int
    closed: bool = False  # comes round to its start
    opened: bool = False  # begins where it is open
    parted: tuple[Floats, Floats] | None = (
        None  # begins within its first edge, and ends there: how much (N,) lies before that, and beyond
    )

    @property
    def places(self) -> tuple[Place, ...]:
        return tuple(walked.place for walked in self.edges)

    @property
    def is_ring(self) -> bool:
        return self.closed and not self.opened

    def turned(self) -> EdgeChain:
        parted = None if self.parted is None else self.parted[::-1]
        return self._replace(edges=tuple(walked.turned() for walked in self.edges[::-1]), parted=parted)

    def repeated(self, times: int) -> EdgeChain:
        return self._replace(edges=self.edges * times, copies=self.copies // times)


class SeamStretch(NamedTuple):
    """A stretch of an edge: where it begins and ends (N,) along the sewn edge; `backward` where it ends before it begins."""

    place: Place
    start: Floats
    end: Floats
    backward: bool
    ends: tuple[EdgeEnd | None, EdgeEnd | None]  # the end of the edge at which it begins, and that at which it ends, if it does

    @property
    def length(self) -> Floats:
        return self.start - self.end if self.backward else self.end - self.start

    @property
    def whole(self) -> bool:
        return None not in self.ends

    def at(self, way: Floats) -> Floats:
        """The place along the edge so far from the start of the stretch."""
        return self.start - way if self.backward else self.start + way

    def way(self, at: Floats) -> Floats:
        """How far from the start of the stretch a place lies; NaN beyond it."""
        way = self.start - at if self.backward else at - self.start
        return np.where((way >= -REACHES) & (way <= self.length + REACHES), way, np.nan)

    def turned(self) -> SeamStretch:
        return SeamStretch(self.place, self.end, self.start, not self.backward, self.ends[::-1])


@dataclass(slots=True, eq=False)
class SeamSection:
    """Two stretches that lie on each other; `plain` (N,) from the start and from the end nothing is eased, None: nowhere."""

    seam: Seam
    one: SeamStretch
    other: SeamStretch
    plain: tuple[Floats | None, Floats | None] = (None, None)

    @property
    def eased(self) -> bool:
        return self.seam.kind == "eased"

    @property
    def eased_through(self) -> Mask:
        """Bodies (N,) for whom it is eased from end to end."""
        none = np.full(len(self.one.length), self.eased)
        return reduce(np.logical_and, [plain <= 0.0 for plain in self.plain if plain is not None], none)

    def turned(self) -> SeamSection:
        """The same from its end."""
        return replace(self, one=self.one.turned(), other=self.other.turned(), plain=self.plain[::-1])

    def swapped(self) -> SeamSection:
        return replace(self, one=self.other, other=self.one)

    def on_other(self, way: Floats) -> Floats:
        """How far along the other stretch lies what is so far along the first."""
        one, other = self.one.length, self.other.length
        if self.seam.kind == "plain":
            return way
        begin, end = (np.zeros(len(one)) if plain is None else plain for plain in self.plain)
        between = one - begin - end
        share = np.divide(way - begin, between, out=np.zeros(len(one)), where=between > 0.0)
        eased = begin + share * (other - begin - end)
        return np.where(way <= begin, way, np.where(way >= one - end, other - (one - way), eased))


def sections(sewn: Sewn, seam: Seam, zipped: frozenset[EdgeEnd]) -> Iterator[SeamSection]:
    """The sections of a seam, each once for every way in which its edges come together."""
    for one, other in _pairs(sewn, seam, zipped):
        yield from _Laid(sewn, seam, one, other).sections()


def is_told(sewn: Sewn, seam: Seam, zipped: frozenset[EdgeEnd]) -> bool:
    """Whether something tells where the sides begin: not of two rings of several edges, unless the style matches them."""
    return all(_Laid(sewn, seam, *pair).stops_told() is not None for pair in _pairs(sewn, seam, zipped))


def is_matched(sewn: Sewn, seam: Seam, zipped: frozenset[EdgeEnd]) -> bool:
    """Whether what the style matches can tell where two sides begin, since both go all round there."""
    pairs = _pairs(sewn, seam, zipped)
    return seam.matched is not None and any(are_matched(seam.matched, one, other) for one, other in pairs)


def hold_sections_alike(pattern: Pattern, run: Structured) -> None:
    """Part the bodies whose seams of several edges fall into different sections."""
    several = [seam for seam in pattern.seams if len(seam.one) + len(seam.other) > 2]
    if several:
        with np.errstate(all="ignore"):
            sewn = Sewn(pattern, run)
            zipped = zipped_ends(sewn)
            for seam in several:
                if is_of_pieces(sewn, seam):
                    deque(sections(sewn, seam, zipped), maxlen=0)


def is_of_pieces(sewn: Sewn, seam: Seam) -> bool:
    """Whether all its edges are of pieces that are cut."""
    return all(name in sewn.pieces for name, _ in (*seam.one, *seam.other))


# ------------------------------------------------------------ the chains of either side


def _pairs(sewn: Sewn, seam: Seam, zipped: frozenset[EdgeEnd]) -> list[tuple[EdgeChain, EdgeChain]]:
    """The chains of both sides that are laid on each other, alike in direction."""
    if seam.one == seam.other:
        chains = _chains(sewn, sewn.pattern.sewn(seam)[0], zipped)
        return [(chain, chain) for chain in chains]
    sides = sewn.pattern.sewn(seam)
    by_edge = _edge_to_edge(*sides)
    if by_edge:
        return [_alike_by_edge(sewn, one, other) for one, other in by_edge]
    ones, others = (_chains(sewn, side, zipped) for side in sides)
    if len(ones) == len(others) == 1:
        return [_alike(sewn, seam, *_as_often(ones[0], others[0]))]
    if len(others) == 1:
        others = others * len(ones)
    elif len(ones) == 1:
        ones = ones * len(others)
    return [_alike(sewn, seam, one, other) for one, other in zip(ones, others, strict=False)] if len(ones) == len(others) else []


def _edge_to_edge(one: Sequence[SewnEdge], other: Sequence[SewnEdge]) -> list[tuple[Place, Place]]:
    """The edges, where each is sewn from end to end to a copy of one."""
    if len(other) == 1 and sum(edge.times for edge in one) == other[0].times:
        return [((edge.piece.name, edge.edge), (other[0].piece.name, other[0].edge)) for edge in one]
    if len(one) == 1 and sum(edge.times for edge in other) == one[0].times:
        return [((one[0].piece.name, one[0].edge), (edge.piece.name, edge.edge)) for edge in other]
    return []


def _alike_by_edge(sewn: Sewn, one: Place, other: Place) -> tuple[EdgeChain, EdgeChain]:
    together = sewn.start_to_start(EdgeEnd(*one, "start"), EdgeEnd(*other, "start"))
    return EdgeChain((Walked(one, False),), 1), EdgeChain((Walked(other, not together),), 1)


def _chains(sewn: Sewn, side: Sequence[SewnEdge], zipped: frozenset[EdgeEnd]) -> list[EdgeChain]:
    left = {(edge.piece.name, edge.edge): edge.times for edge in side}
    chains = []
    while any(left.values()):
        chain = _walked(sewn, left, zipped)
        chains.append(chain)
        for walked in chain.edges * chain.copies:
            left[walked.place] -= 1
    return chains


def _walked(sewn: Sewn, left: dict[Place, int], zipped: frozenset[EdgeEnd]) -> EdgeChain:
    """A chain of edges of which so many are left."""
    there = [place for place, times in left.items() if times]
    starts = [Walked(place, backward) for place in there for backward in (False, True)]
    open_starts = [start for start in starts if _onward(sewn, start.turned(), there) is None]
    open_starts += [start for start in starts if sewn.beside(start.first) in zipped]
    first = (open_starts or starts)[0]
    edges, closed = [first], False
    while True:
        following = _onward(sewn, edges[-1], there)
        closed = following == first
        if following is None or closed or sum(walked.place == following.place for walked in edges) == left[following.place]:
            break
        edges.append(following)
    copies = min(left[place] // sum(walked.place == place for walked in edges) for place in {walked.place for walked in edges})
    return EdgeChain(tuple(edges), copies, closed, bool(open_starts))


def _onward(sewn: Sewn, walked: Walked, places: Sequence[Place]) -> Walked | None:
    """The edge of these that goes on from the end of one: of the same piece, or across the seam or fold that ends there."""
    beside = sewn.beside(walked.last)
    partner = sewn.partners.get(beside)
    for end in (beside, None if partner is None else sewn.beside(partner)):
        if end is not None and (end.piece, end.edge) in places:
            return Walked((end.piece, end.edge), end.at == "end")
    return None


def _as_often(one: EdgeChain, other: EdgeChain) -> tuple[EdgeChain, EdgeChain]:
    """Two chains that are there equally often: of the one that is there more often several lie behind each other."""
    if one.copies > other.copies and one.copies % other.copies == 0:
        return one.repeated(one.copies // other.copies), other
    if other.copies > one.copies and other.copies % one.copies == 0:
        return one, other.repeated(other.copies // one.copies)
    return one, other


# ------------------------------------------------------------ which way they run, and where rings begin


def _alike(sewn: Sewn, seam: Seam, one: EdgeChain, other: EdgeChain) -> tuple[EdgeChain, EdgeChain]:
    """Both chains, begun at one place and running the same way."""
    if seam.matched is not None and are_matched(seam.matched, one, other):
        return _begun_at(sewn, one, seam.one, seam.matched[0]), _begun_at(sewn, other, seam.other, seam.matched[1])
    if one.is_ring and len(other.edges) == 1:
        one = _begun(sewn, one, other)
    elif other.is_ring and len(one.edges) == 1:
        other = _begun(sewn, other, one)
    if len(one.edges) == len(other.edges) == 1:
        return _turned_alike(one, other, sewn.start_to_start(one.edges[0].first, other.edges[0].first))
    if any(chain.turned().edges == chain.edges for chain in (one, other)):
        return one, other
    first, second = (_vector(sewn, chain) for chain in (one, other))
    along, least = dot(first, second), np.minimum(norm(first), norm(second))
    told = sewn.run.alike(np.where(least < TELLING, 0, np.where(along >= 0.0, 1, 2)), np.isfinite(least))
    return _turned_alike(one, other, _as_listed(seam, one, other) if told == 0 else told == 1)


def _turned_alike(one: EdgeChain, other: EdgeChain, alike: bool) -> tuple[EdgeChain, EdgeChain]:
    return (one, other) if alike else (one, other.turned())


def _vector(sewn: Sewn, chain: EdgeChain) -> Floats:
    """From the start of a chain to its end (N, 2), each edge as its own piece lies on the paper, as a part of its length."""
    chords = [
        (edge.end() - edge.start()) * (-1.0 if walked.backward else 1.0) for walked in chain.edges for edge in [_edge(sewn, walked)]
    ]
    return reduce(np.add, chords) / reduce(np.add, [norm(chord) for chord in chords])[:, None]


def _as_listed(seam: Seam, one: EdgeChain, other: EdgeChain) -> bool:
    """Whether the edges that the seam lists first lie at the starts, or at the ends, of both chains."""
    ones, others = (
        [walked.place for walked in chain.edges].index(listed[0]) * 2 < len(chain.edges)
        if len(chain.edges) > 1
        else not chain.edges[0].backward
        for chain, listed in ((one, seam.one), (other, seam.other))
    )
    return ones == others


def _begun(sewn: Sewn, ring: EdgeChain, other: EdgeChain) -> EdgeChain:
    """A ring begun at the joint where the ends of the other side, one edge, lie: below or above all others, else behind."""
    edge = _edge(sewn, other.edges[0])
    ends, middle = (edge.start() + edge.end())[:, 1] / 2.0, edge.closed.point_at(edge.closed_length() / 2.0)[:, 1]
    ways = [(_edge(sewn, walked), walked.backward) for walked in ring.edges]
    heights = [without_slopes(way.end() if backward else way.start())[:, 1] for way, backward in ways]
    lower = without_slopes((ends - middle) / edge.closed_length())
    sense = np.where(np.abs(lower) >= LOWER, np.sign(lower), 0.0)
    behind = [sum(sewn.pieces[ring.edges[m].place[0]].worn == "back" for m in (k, k - 1)) for k in range(len(ring.edges))]
    joints = np.stack(heights, axis=1) * sense[:, None] + np.where(sense[:, None] == 0.0, np.array(behind), 0.0)
    at = sewn.run.alike(joints.argmax(axis=1), np.isfinite(joints.sum(axis=1)))
    return ring._replace(edges=ring.edges[at:] + ring.edges[:at])


def are_matched(places: tuple[MatchedPlace, MatchedPlace], one: EdgeChain, other: EdgeChain) -> bool:
    """Whether both chains go all round, each by way of the place on it that is said to lie on that of the other."""
    return all(chain.is_ring and place.edge in chain.places for place, chain in zip(places, (one, other), strict=True))


def _begun_at(sewn: Sewn, ring: EdgeChain, listed: Sequence[Place], begin: MatchedPlace) -> EdgeChain:
    """A ring begun at a place.  It runs so that its edges come as listed, from there or else round about; where that tells
    nothing, so that the first of them is taken along its outline."""
    at, whole = without_slopes(begin.at), without_slopes(sewn.pieces[begin.edge[0]].edge(begin.edge[1]).closed_length())
    k = ring.places.index(begin.edge)
    walked, edges = ring.edges[k], ring.edges[k:] + ring.edges[:k]
    where = sewn.run.alike(np.where(at < REACHES, 0, np.where(at > whole - REACHES, 2, 1)), np.isfinite(at + whole))
    if where == 1:
        parted = (whole - at, at) if walked.backward else (at, whole - at)
        ring = ring._replace(edges=(*edges, walked), parted=parted)
    else:
        ring = ring._replace(edges=edges if (where == 2) == walked.backward else edges[1:] + edges[:1])
    ways, order = (ring, ring.turned()), tuple(dict.fromkeys(place for place in listed if place in ring.places))
    for orders in ([order], [order[n:] + order[:n] for n in range(len(order))]):
        as_listed = [way for way in ways if tuple(dict.fromkeys(way.places)) in orders]
        if len(as_listed) == 1:
            return as_listed[0]
    return next(way for way in ways if Walked(order[0], False) in way.edges)


def _edge(sewn: Sewn, walked: Walked) -> Edge:
    return sewn.pieces[walked.place[0]].edge(walked.place[1])


# ------------------------------------------------------------ sections


class ChainPlace(NamedTuple):
    """A place (N,) along a chain: its joint of that `number`, counted from its start, or one of the other chain only."""

    number: int | None
    at: Floats


Stop: TypeAlias = tuple[ChainPlace, ChainPlace]  # on the one chain and on the other


class _Laid:
    """Two chains laid on each other."""

    def __init__(self, sewn: Sewn, seam: Seam, one: EdgeChain, other: EdgeChain) -> None:
        self.sewn, self.seam, self.chains = sewn, seam, (one, other)
        # Where stretches part is asked of lengths as they are: no slope is told of it.
        self.lengths = [[without_slopes(_edge(sewn, walked).closed_length()) for walked in chain.edges] for chain in self.chains]
        self.begins = [[np.zeros_like(length) for length in lengths] for lengths in self.lengths]  # of its edge, what lies before
        for chain, lengths, begins in zip(self.chains, self.lengths, self.begins, strict=True):
            if chain.parted is not None:
                begins[0], lengths[0], lengths[-1] = *chain.parted, chain.parted[0]
        self.stops = [[np.zeros(sewn.pattern.n), *np.cumsum(lengths, axis=0)] for lengths in self.lengths]

    def sections(self) -> Iterator[SeamSection]:
        for begin, end in pairwise(self.stops_told() or ()):
            one, other = (self._portion(side, begin[side], end[side]) for side in (0, 1))
            yield SeamSection(self.seam, one, other, self._plain_of(begin[0].at, end[0].at))

    def stops_told(self) -> list[Stop] | None:
        """The joints of both chains in their order; None for two rings of several edges of which nothing tells where they begin."""
        stops = self._joint_by_joint()
        if stops is not None:
            return stops
        rings = all(chain.is_ring and len(chain.edges) > 1 for chain in self.chains)
        matched = self.seam.matched is not None and are_matched(self.seam.matched, *self.chains)
        return None if rings and not matched else self._merged()

    def _plain_of(self, begin: Floats, end: Floats) -> tuple[Floats | None, Floats | None]:
        """How far a section, from `begin` to `end` along the first chain, is sewn plainly from its own ends."""
        if self.seam.kind != "eased":
            return None, None
        whole, plain = self.stops[0][-1], self._plain()
        first, last = (np.clip(way, 0.0, end - begin) for way in (plain[0] - begin, end - (whole - plain[1])))
        return first if (first > 0.0).any() else None, last if (last > 0.0).any() else None

    def _joint_by_joint(self) -> list[Stop] | None:
        """The joints of both chains, where each lies on its fellow."""
        ones, others = self.stops
        if len(ones) != len(others):
            return None
        off = reduce(
            np.fmax, [np.abs(self._across(one, 0) - other) for one, other in zip(ones[1:-1], others[1:-1], strict=True)], np.zeros(1)
        )
        meet = np.broadcast_to(off < ALIKE, (self.sewn.pattern.n,))
        if self.seam.kind != "gathered" and not self.sewn.run.alike(meet.astype(int), np.isfinite(ones[-1] + others[-1])):
            return None
        return [(ChainPlace(k, one), ChainPlace(k, other)) for k, (one, other) in enumerate(zip(ones, others, strict=True))]

    def _merged(self) -> list[Stop]:
        """The joints of both chains in the order in which they come; what lies beside one of the other chain is no joint of that."""
        ones, others = self.stops
        inner = [(ChainPlace(k, stop), ChainPlace(None, self._across(stop, 0))) for k, stop in enumerate(ones[1:-1], 1)]
        if len(others) > 2 and len(ones) > 2:
            inner += [(ChainPlace(None, self._across(stop, 1)), ChainPlace(k, stop)) for k, stop in enumerate(others[1:-1], 1)]
            places = np.stack([one.at for one, _ in inner], axis=1)
            order = np.argsort(places, axis=1, kind="stable")
            code = order @ (len(inner) ** np.arange(len(inner)))
            self.sewn.run.alike(code, np.isfinite(places.sum(axis=1)))
            known = np.flatnonzero(np.isfinite(places.sum(axis=1)))
            inner = [inner[k] for k in (order[known[0]] if len(known) else range(len(inner)))]
        elif len(others) > 2:
            inner = [(ChainPlace(None, self._across(stop, 1)), ChainPlace(k, stop)) for k, stop in enumerate(others[1:-1], 1)]
        return [
            (ChainPlace(0, ones[0]), ChainPlace(0, others[0])),
            *inner,
            (ChainPlace(len(ones) - 1, ones[-1]), ChainPlace(len(others) - 1, others[-1])),
        ]

    def _across(self, stop: Floats, side: int) -> Floats:
        """How far along the other chain lies what is so far along that of one side."""
        one, other = self.stops[side][-1], self.stops[1 - side][-1]
        if self.seam.kind == "plain":
            return stop
        begin, end = self._plain() if self.seam.kind == "eased" else (np.zeros_like(one),) * 2
        eased = begin + (stop - begin) / (one - begin - end) * (other - begin - end)
        return np.where(stop <= begin, stop, np.where(stop >= one - end, other - (one - stop), eased))

    def _plain(self) -> tuple[Floats, Floats]:
        """How far from its start and from its end an eased seam is sewn plainly: to the style's own notches, where it has some."""
        jointed = next((lengths for lengths in self.lengths[::-1] if len(lengths) > 1), None)  # of the side that is eased to, first
        if jointed is None:
            shorter = np.minimum(self.stops[0][-1], self.stops[1][-1]) * EASED_FROM
            usual, within = (shorter, shorter), (2.0 * shorter, 2.0 * shorter)
        else:
            usual, within = (jointed[0] * EASED_FROM_JOINT, jointed[-1] * EASED_FROM_JOINT), (jointed[0], jointed[-1])
        begin, end = (self._to_notches(at, within[at]) for at in (0, -1))
        usual = self._beside_joints(usual[0], 0), self._beside_joints(usual[1], -1)
        return np.where(np.isnan(begin), usual[0], begin), np.where(np.isnan(end), usual[1], end)

    def _beside_joints(self, way: Floats, at: int) -> Floats:
        """So far (N,) from an end of the seam; where that leaves no room for notches beside a joint, about there, rather beyond it."""
        joints = [stop if at == 0 else stops[-1] - stop for stops in self.stops for stop in stops[1:-1]]
        places = np.stack([way, *(joint + off for joint in joints for off in (JOINT_ROOM, -JOINT_ROOM))], axis=1)
        good = places > 0.0
        for joint in joints:
            good &= np.abs(places - joint[:, None]) > JOINT_ROOM - ROUNDING
        off = np.where(good, np.abs(places - way[:, None] - RATHER_BEYOND), np.inf)
        found = places[np.arange(len(way)), off.argmin(axis=1)]
        return np.where(good[:, 0] | ~good.any(axis=1), way, found)

    def _to_notches(self, at: int, within: Floats) -> Floats:
        """How far (N,) from an end of the seam the farthest notch lies that the style states there; NaN where it states none."""
        farthest = []
        for side in (1, 0):  # what is eased to, first
            ways = [way if at == 0 else self.stops[side][-1] - way for way in self._stated(side)]
            ways = [np.where((way >= 0.0) & (way <= within), way, np.nan) for way in ways]
            farthest.append(reduce(np.fmax, ways, np.full(self.sewn.pattern.n, np.nan)))
        return np.where(np.isnan(farthest[0]), farthest[1], farthest[0])

    def _stated(self, side: int) -> Iterator[Floats]:
        """How far (N,) along a chain the notches lie that the style states."""
        for walked, stop, before in zip(self.chains[side].edges, self.stops[side], self.begins[side], strict=False):
            piece, whole = self.sewn.pieces[walked.place[0]], _edge(self.sewn, walked).closed_length()
            for at in (notch.at for notch in piece.notches if notch.edge == walked.place[1]):
                yield stop - before + (whole - at if walked.backward else at)

    def _portion(self, side: int, begin: ChainPlace, end: ChainPlace) -> SeamStretch:
        """The stretch of an edge between two places along a chain that follow each other."""
        stops, chain = self.stops[side], self.chains[side].edges
        if begin.number is not None:
            at = begin.number
        elif end.number is not None:
            at = end.number - 1
        else:
            at = self._edge_at(side, (begin.at + end.at) / 2.0)
        walked, length, before = chain[at], self.lengths[side][at], self.begins[side][at]
        start = before if begin.number is not None else before + begin.at - stops[at]
        stop = before + (length if end.number is not None else end.at - stops[at])
        parted = self.chains[side].parted is not None
        ends = (
            walked.first if begin.number is not None and not (parted and at == 0) else None,
            walked.last if end.number is not None and not (parted and at == len(chain) - 1) else None,
        )
        if walked.backward:
            whole = without_slopes(_edge(self.sewn, walked).closed_length())
            start, stop = whole - start, whole - stop
        return SeamStretch(walked.place, start, stop, walked.backward, ends)

    def _edge_at(self, side: int, place: Floats) -> int:
        """On which edge of a chain a place lies."""
        passed = sum((place >= stop).astype(int) for stop in self.stops[side][1:-1])
        return self.sewn.run.alike(np.broadcast_to(np.asarray(passed), place.shape), np.isfinite(place))
