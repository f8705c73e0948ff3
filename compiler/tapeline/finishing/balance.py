"""The balance notches of a garment: where they come by themselves along its seams, so that they meet when it is sewn.

Every seam is looked at in the sections in which edges lie on each other (`drafting.chains`).  What marks a section is told from
one end of it, along the edges as sewn, for both sides at once, so that a mark and its fellow lie on each other:

- what the style states on either side; its fellow comes by itself where the style has none within `FELLOW` of it;
- the ends of a stretch that is left open;
- a level that crosses both sides at one place; one that does not meet when sewn is no balance mark;
- the places between which an eased seam is eased;
- a notch of its own where it has none of these and is `LEAST` long, or could be mistaken for another (`telling_apart`);
- more of them, evenly, where more than `MOST` lies between two;
- the centre of the garment, where it runs down the middle of a piece, and where two halves that differ meet on one.

Where what is sewn is worn behind, a notch is a pair.  Where an edge ends within the other side of a seam, that is notched; so is
every edge at a fold that it is square to, and at an end where the outline runs straight on into another edge.  What comes by
itself keeps clear of the corners of its edge, and of the feet of darts.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cache

import numpy as np

from ..drafting.across import HALF_TURN, LIMIT, REACHES, EdgeEnd, Settled, Sewn
from ..drafting.chains import SeamSection, SeamStretch, is_of_pieces, sections
from ..drafting.notch_verdicts import FELLOW, MEETS
from ..drafting.openings import zipped_ends
from ..drafting.pattern import Edge, Pattern, Piece, Place
from ..geometry.arrays import Floats, Mask
from ..geometry.plane import norm
from .allowances import resolved_allowances
from .levels import LevelsOnPieces, Places
from .telling_apart import Rank, ranks, worn_behind

LEAST = 150.0  # mm; a shorter section of a seam does not slip: our own choice
MOST = 450.0  # mm between two marks of a seam; our own choice
CORNER = 20.0  # mm from a corner, and outside the allowance that crosses there, which would cover the notch; our own choice
FOOT = 10.0  # mm from the foot of a dart, for whose notch it would be taken; our own choice
PAIR = 10.0  # mm between the two notches of a pair; 1/4 to 1/2 in is common practice
OTHERS = 40.0  # mm from other notches, so that single ones are not taken for a pair; our own choice
UNLIKE = 15.0  # mm between the notches of seams that could be mistaken for each other; our own choice
SAME = 0.01  # mm; places that are one
STEEP = 0.2  # of an edge's length, that its one end lies above the other; flatter edges are told from their start


@dataclass(slots=True, eq=False)
class BalanceMark:
    """A notch of an edge: so far (N,) along it as sewn.  `fellows` are what it meets when `seam` is sewn, told alike."""

    kind: str  # "stated", "open", "level", "balance", "joint", "end", "centre" or "middle"
    name: str
    at: Floats
    seam: str = ""
    fellows: list[tuple[Place, Floats]] = field(default_factory=list)
    side: str = ""  # of the body, where it is meant for one alone


Marks = dict[Place, list[BalanceMark]]


def balance_marks(pattern: Pattern, levels: LevelsOnPieces) -> Marks:
    """The notches of all edges of a pattern but those of darts and pleats, in the order in which they matter."""
    with np.errstate(all="ignore"):
        return _Balance(pattern, levels).marks


class _Balance:
    def __init__(self, pattern: Pattern, levels: LevelsOnPieces) -> None:
        self.pattern, self.marks, self.levels_on = pattern, Marks(), levels
        self.sewn = Sewn(pattern, Settled(pattern.n))
        self.ranks = ranks(pattern, self.sewn)
        self.allowances = {piece.name: resolved_allowances(pattern, piece) for piece in pattern.pieces}
        self.levels = cache(self._levels_of)
        zipped = zipped_ends(self.sewn)
        for piece in pattern.pieces:
            for notch in piece.notches:
                self._add((piece.name, notch.edge), BalanceMark("stated", notch.name, notch.at))
        for number, seam in enumerate(pattern.seams):
            if seam.notched and is_of_pieces(self.sewn, seam):
                found = list(sections(self.sewn, seam, zipped))
                often = Counter(stretch.place for section in found for stretch in (section.one, section.other))
                rank = self.ranks.get(number, Rank())
                for section in found:
                    one, other = ((stretch.whole, often[stretch.place]) for stretch in (section.one, section.other))
                    swapped = one < other  # so that an edge that is there more than once is notched alike each time
                    section = section.swapped() if swapped else section
                    self._notch(section.turned() if section.one.backward else section, rank)
                rank.end_seam()
                for section in found:
                    self._ends(section)
        for piece in pattern.pieces:
            if piece.cut.fold is not None:
                self._centre(piece.name, piece.cut.fold)
            elif piece.halves is not None and piece.halves.centre is not None:
                self._centre_of_halves(piece)

    # ------------------------------------------------------------ what is known of edges

    def _edge(self, place: Place) -> Edge:
        return self.sewn.pieces[place[0]].edge(place[1])

    def _levels_of(self, name: str) -> Places:
        places, _ = self.levels_on[name]
        hidden = {*self.pattern.unmarked, *places}  # a level that is an edge, by its name, goes with it where that dips
        return {edge: {level: at for level, at in crossing.items() if level not in hidden} for edge, crossing in places.items()}

    def _clear(self, stretch: SeamStretch) -> tuple[Floats, Floats]:
        """How near to its start and to its end a stretch is clear of the corners of its edge, as ways from its start."""
        near = []
        for joint in stretch.ends:
            room = np.full(self.pattern.n, CORNER)
            if joint is not None:
                room = np.maximum(room, self.allowances[joint.piece][self.sewn.beside(joint).edge].width)
            near.append(room)
        return near[0], stretch.length - near[1]

    def _feet(self, place: Place) -> list[Floats]:
        """Where darts and pleats lie along an edge as sewn."""
        edge = self._edge(place)
        return list(np.cumsum([strip.length() for strip in edge.strips[:-1]], axis=0))

    # ------------------------------------------------------------ the marks of a section

    def _notch(self, section: SeamSection, rank: Rank) -> None:
        room = NotchRoom(self, section, PAIR if worn_behind(self.pattern, (section.one.place, section.other.place)) else 0.0)
        stated = [*self._stated(section), *self._opened(section)]
        levels = self._levels(section, room)
        for name, way in levels:
            self._meeting(section, room.both(way), "level", name)
        placed = [*stated, *(way for _, way in levels), *self._eased(section, room, stated)]
        bare = np.isnan(np.stack([np.full(self.pattern.n, np.nan), *placed])).all(axis=0) | (not rank.alone and not stated)
        bare &= ~section.eased_through  # there no notch but a joint's would tell front from back
        long = np.minimum(section.one.length, section.other.length) >= LEAST
        fraction = 0.5 if section.seam.kind == "gathered" else rank.fraction
        wanted = np.where(long & bare, room.from_above(section.one.length * fraction), np.nan)
        mistaken = [(room.from_above(way), UNLIKE) for way in rank.mistaken]
        middle = self._middle(section, room)
        own = room.nearest(wanted, [*((way, OTHERS) for way in (*placed, *middle)), *mistaken])
        self._meeting(section, room.pair(own), "balance", "balance")
        rank.own.append(room.from_above(own))
        for way in self._between(section, room, [*placed, *middle, own]):
            self._meeting(section, room.pair(way), "balance", "balance")

    def _meeting(self, section: SeamSection, ways: Iterable[Floats], kind: str, name: str, side: str = "") -> None:
        """A notch of both sides at each of these ways from the start."""
        for way in ways:
            if not np.isfinite(way).any():
                continue
            ends = [(section.one.place, section.one.at(way)), (section.other.place, section.other.at(section.on_other(way)))]
            for own, fellow in (ends, ends[::-1]):
                self._add(own[0], BalanceMark(kind, name, own[1], section.seam.written, [fellow], side))

    def _add(self, place: Place, mark: BalanceMark) -> None:
        """Enter a mark; one at the place of another is that."""
        for known in self.marks.setdefault(place, []):
            if _are_one(known.at, mark.at):
                known.seam, known.side = known.seam or mark.seam, known.side or mark.side
                known.fellows += [
                    fellow
                    for fellow in mark.fellows
                    if not any(fellow[0] == old and _are_one(fellow[1], at) for old, at in known.fellows)
                ]
                return
        self.marks[place].append(mark)

    def _stated(self, section: SeamSection) -> list[Floats]:
        """What the style states on either side, with its fellow on the other."""
        ways: list[list[tuple[str, Floats]]] = []
        for stretch in (section.one, section.other):
            piece, edge = stretch.place
            ways.append([(notch.name, stretch.way(notch.at)) for notch in self.sewn.pieces[piece].notches if notch.edge == edge])
        here, there = ways
        there = [(name, section.swapped().on_other(way)) for name, way in there]
        alone = section.one.place == section.other.place
        for own, others in ((here, there), *(() if alone else ((there, here),))):
            for name, way in own:
                met = np.logical_or.reduce([np.abs(way - other) < FELLOW for _, other in others], initial=False, axis=0)
                self._meeting(section, [np.where(met, np.nan, way)], "stated", name)
        return [way for _, way in (*here, *there)]

    def _opened(self, section: SeamSection) -> list[Floats]:
        """The ends of what is left open."""
        ways = []
        for stretch, other in ((section.one, section), (section.other, section.swapped())):
            if stretch.place != section.seam.one[0]:
                continue
            whole = self._edge(stretch.place).closed_length()
            for at, side in ((at, opening.side) for opening in section.seam.openings for at in (opening.start, opening.end)):
                way = np.where((at > REACHES) & (at < whole - REACHES), stretch.way(at), np.nan)
                self._meeting(other, [way], "open", "opening", side)
                ways.append(way if stretch is section.one else other.on_other(way))
            break
        return ways

    def _levels(self, section: SeamSection, room: NotchRoom) -> list[tuple[str, Floats]]:
        if section.seam.kind == "gathered":
            return []
        one, other = (self.levels(stretch.place[0])[stretch.place[1]] for stretch in (section.one, section.other))
        ways = []
        for name in (name for name in one if name in other):
            way, image = section.one.way(one[name]), section.swapped().on_other(section.other.way(other[name]))
            way = np.where((np.abs(way - image) <= MEETS) & room.free(way), way, np.nan)
            if np.isfinite(way).any():
                ways.append((name, way))
        return ways

    def _eased(self, section: SeamSection, room: NotchRoom, stated: Sequence[Floats]) -> list[Floats]:
        """Where the ease begins and ends; a pair goes on towards the end of the seam, where nothing is eased."""
        ways = []
        for plain, from_start in zip(section.plain, (True, False), strict=True):
            if plain is None:
                continue
            plain = np.where((plain > SAME) & (plain < section.one.length - SAME), plain, np.nan)  # else it lies in another section
            way = plain if from_start else section.one.length - plain
            said = np.logical_or.reduce([np.abs(way - at) < FELLOW for at in stated], initial=False, axis=0)
            first = np.where(room.free(way) & ~said, way, np.nan)
            self._meeting(section, [first], "balance", "balance")
            if room.width:
                second = first - room.width if from_start else first + room.width
                self._meeting(section, [np.where(room.free(second), second, np.nan)], "balance", "balance")
            ways.append(way)
        return ways

    def _middle(self, section: SeamSection, room: NotchRoom) -> list[Floats]:
        """The centre, at the middle of an edge of a piece that the garment has once and whose two sides are sewn to two copies of
        one edge: as of the middle one of several gores."""
        ways = []
        for stretch, way in (
            (section.one, section.one.length / 2.0),
            (section.other, section.swapped().on_other(section.other.length / 2.0)),
        ):
            if not stretch.whole or self.sewn.pieces[stretch.place[0]].cut.instances > 1:
                continue
            first, second = (self.sewn.partners.get(self.sewn.beside(end)) for end in stretch.ends if end is not None)
            if first is not None and second is not None and first == second and first.piece != stretch.place[0]:
                ways.append(np.where(room.free(way), way, np.nan))
                self._meeting(section, ways[-1:], "middle", "centre")
        return ways

    def _between(self, section: SeamSection, room: NotchRoom, placed: Sequence[Floats]) -> list[Floats]:
        """Further notches, evenly, where more than `MOST` lies between two marks of a section, or from one to its end."""
        whole = section.one.length
        inner = np.sort(np.stack([np.zeros_like(whole), whole, *placed], axis=1), axis=1)  # what is not there comes last
        added: list[Floats] = []
        for begin, end in zip(inner.T, inner.T[1:], strict=False):
            parts = np.ceil((end - begin) / MOST - SAME)
            for k in range(1, int(np.nanmax(parts, initial=1.0))):
                wanted = np.where(k < parts, begin + (end - begin) * k / parts, np.nan)
                added.append(room.nearest(wanted, [(way, OTHERS) for way in (*placed, *added)]))
        return added

    # ------------------------------------------------------------ ends of edges

    def _ends(self, section: SeamSection) -> None:
        """Notches where an edge ends within the other side, and where the outline runs straight on beyond the end of an edge."""
        stretches = section.one, section.other
        for number in (0, 1):
            for own, other in (stretches, stretches[::-1]):
                joint, fellow = other.ends[number], own.ends[number]
                if joint is None:
                    continue
                at, there = ((stretch.end if number else stretch.start) for stretch in (own, other))
                name = self.sewn.beside(joint).edge
                if fellow is None:
                    self._joint(section, own.place, at, name, (other.place, there))
                elif self._runs_on(fellow, section):
                    self._add(own.place, BalanceMark("end", name, at, section.seam.written, [(other.place, there)]))

    def _joint(self, section: SeamSection, place: Place, at: Floats, name: str, fellow: tuple[Place, Floats]) -> None:
        whole = self._edge(place).closed_length()
        free = (at >= CORNER) & (at <= whole - CORNER)
        for foot in self._feet(place):
            free &= np.abs(at - foot) >= FOOT
        self._add(place, BalanceMark("joint", name, np.where(free, at, np.nan), section.seam.written, [fellow]))

    def _runs_on(self, end: EdgeEnd, section: SeamSection) -> bool:
        """Whether the outline runs straight on from the end of an edge, into one that is not of this seam."""
        beside = self.sewn.beside(end)
        if (beside.piece, beside.edge) in (*section.seam.one, *section.seam.other):
            return False
        angle = self.sewn.angle(end)
        return bool((np.abs(angle[np.isfinite(angle)] - HALF_TURN) < LIMIT).all())

    def _centre(self, piece: str, fold: str) -> None:
        """Notches of the edges with an allowance that end at a fold, square to it."""
        start = EdgeEnd(piece, fold, "start")
        for end in (start, start.other()):
            beside = self.sewn.beside(end)
            place = beside.piece, beside.edge
            square = np.abs(self.sewn.angle(beside) - HALF_TURN / 2.0) < LIMIT
            square &= self.allowances[piece][beside.edge].width > 0.0
            where = np.zeros(self.pattern.n) if beside.at == "start" else self._edge(place).closed_length()
            self._at_centre(place, where, square, fold)

    def _centre_of_halves(self, piece: Piece) -> None:
        """The same where a piece was opened out of two halves: where the edges of both meet and run on into each other."""
        for edge, after in zip(piece.edges, (*piece.edges[1:], *piece.edges[:1]), strict=True):
            if piece.is_image(edge.name) == piece.is_image(after.name):
                continue
            end = EdgeEnd(piece.name, edge.name, "end")
            straight = np.abs(self.sewn.angle(end) - HALF_TURN) < 2.0 * LIMIT
            straight &= self.allowances[piece.name][edge.name].width > 0.0
            self._at_centre((piece.name, edge.name), edge.closed_length(), straight, "centre", ((piece.name, after.name), 0.0))

    def _at_centre(self, place: Place, where: Floats, there: Mask, name: str, beside: tuple[Place, float] | None = None) -> None:
        """A notch at the centre of a piece, at the end of an edge, and of what ends there on the other side of its seam; `beside` is the
        same place told by the edge that begins there."""
        told = [(place, where), *([] if beside is None else [(beside[0], np.full(self.pattern.n, beside[1]))])]
        joints = [
            (other, mark)
            for other, marks in self.marks.items()
            for mark in marks
            if mark.kind == "joint" and any(known == one and _are_one(at, way) for known, at in mark.fellows for one, way in told)
        ]
        for _, mark in joints:
            mark.name = name
        fellows = [(other, mark.at) for other, mark in joints]
        seam = joints[0][1].seam if joints else ""
        for one, way in told if beside is not None else ():  # one notch for the ends of both edges
            ends = [mark for mark in self.marks.get(one, []) if mark.kind == "end" and _are_one(mark.at, way)]
            self.marks[one] = [mark for mark in self.marks.get(one, []) if mark not in ends]
            fellows += [fellow for mark in ends for fellow in mark.fellows if fellow[0] not in {known for known, _ in fellows}]
            seam = seam or next((mark.seam for mark in ends), "")
        self._add(place, BalanceMark("centre", name, np.where(there, where, np.nan), seam, fellows))


class NotchRoom:
    """Where along a section, as ways from its start, a notch of some `width` may lie of itself.

    The second of a pair lies farther from the end that is above on the paper, of a flat edge from its start.
    """

    def __init__(self, balance: _Balance, section: SeamSection, width: float) -> None:
        self.width, self.length = width, section.one.length
        edge = balance._edge(section.one.place)
        chord = edge.end() - edge.start()
        self.rising = chord[:, 1] < -STEEP * norm(chord)
        self.sense = np.where(self.rising, -1.0, 1.0)
        one, other = balance._clear(section.one), balance._clear(section.other)
        back = section.swapped().on_other
        self.low, self.high = np.maximum(one[0], back(other[0])), np.minimum(one[1], back(other[1]))
        self.feet = [section.one.way(foot) for foot in balance._feet(section.one.place)]
        self.feet += [back(section.other.way(foot)) for foot in balance._feet(section.other.place)]

    def free(self, way: Floats) -> Mask:
        free = (way >= self.low - SAME) & (way <= self.high + SAME)
        for foot in self.feet:
            free &= ~(np.abs(way - foot) < FOOT - SAME)
        return np.asarray(free)

    def from_above(self, way: Floats) -> Floats:
        """A way from the start as one from the end that is above, and the other way round."""
        return np.where(self.rising, self.length - way, way)

    def pair(self, way: Floats) -> list[Floats]:
        """The notches of a place that was found with room for all of them."""
        return [way, way + self.sense * self.width] if self.width else [way]

    def both(self, way: Floats) -> list[Floats]:
        """The same of a place that is given: the second lies beyond it, or where that is not free, before it."""
        if not self.width:
            return [way]
        beyond, before = way + self.sense * self.width, way - self.sense * self.width
        return [way, np.where(self.free(beyond), beyond, np.where(self.free(before), before, np.nan))]

    def nearest(self, wanted: Floats, others: Iterable[tuple[Floats, float]]) -> Floats:
        """The place nearest to the one that is wanted where there is room, clear of others by so much and of darts as of other
        notches; if that cannot be, of corners and darts alone; NaN where there is none."""
        found = self._nearest(wanted, [*((foot, OTHERS) for foot in self.feet), *others])
        return np.where(np.isnan(found), self._nearest(wanted, [(foot, FOOT) for foot in self.feet]), found)

    def _nearest(self, wanted: Floats, shunned: Sequence[tuple[Floats, float]]) -> Floats:
        before, beyond = np.where(self.rising, self.width, 0.0), np.where(self.rising, 0.0, self.width)  # what a pair takes up
        low, high = self.low + before, self.high - beyond
        kept = [(way - room - beyond, way + room + before) for way, room in shunned]
        places = np.stack([wanted, low, high, *(bound for bounds in kept for bound in bounds)], axis=1)
        good = (places >= low[:, None] - SAME) & (places <= high[:, None] + SAME)
        for begin, end in kept:
            good &= ~((places > begin[:, None] + SAME) & (places < end[:, None] - SAME))
        off = np.where(good, np.abs(places - wanted[:, None]), np.inf)
        best, rows = off.argmin(axis=1), np.arange(len(wanted))
        return np.where(np.isfinite(off[rows, best]), places[rows, best], np.nan)


def _are_one(one: Floats, other: Floats) -> bool:
    return bool((np.isnan(one) == np.isnan(other)).all() and np.nanmax(np.abs(one - other), initial=0.0) < SAME)
