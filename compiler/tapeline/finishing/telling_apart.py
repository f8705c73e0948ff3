"""Seams that could be mistaken for each other, and where along each its own notch lies, so that no panel fits a wrong neighbour.

Two seams are like if they run between the same lines of the garment, from its waist to its hem, say: edges that follow each other
across seams are one line.  What is sewn to either of a pair by the same edge is one and the same, and so are seams of pieces
that are made alike from one piece, sewn by the same edges.
Front and back are told by single notches and pairs; of those with the same count each has its own at another part of its
length, counted from the end that lies above.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from ..drafting.across import EdgeEnd, Sewn
from ..drafting.pattern import Pattern, Place, Seam
from ..geometry.arrays import Floats

# Of the length of a seam.  Not its middle, at which a panel would fit turned end for end; our own choice.
FRACTIONS = (0.55, 0.67, 0.79, 0.43, 0.61, 0.73, 0.49)


@dataclass(slots=True)
class Rank:
    """A seam among those it could be mistaken for, and where along it its own notch is to lie."""

    fraction: float = FRACTIONS[0]
    alone: bool = True  # whether there are no others
    taken: list[Floats] = field(default_factory=list)  # where those of the others lie (N,), from the upper end
    own: list[Floats] = field(default_factory=list)

    @property
    def mistaken(self) -> list[Floats]:
        """Where the notches of others lie."""
        return [way for way in self.taken if not any(way is own for own in self.own)]

    def end_seam(self) -> None:
        """From here on its own notches are those of another, but for a seam that shares this rank."""
        self.taken += self.own


def worn_behind(pattern: Pattern, places: tuple[Place, ...]) -> bool:
    """Whether what is sewn here is worn behind: some of it, and nothing in front."""
    return {pattern.piece(name).worn for name, _ in places} - {""} == {"back"}


def ranks(pattern: Pattern, sewn: Sewn) -> dict[int, Rank]:
    """For the seams of a pattern, by their number, that are sewn edge to edge: their ranks."""
    lines = _lines(sewn)
    groups: dict[object, dict[object, list[int]]] = {}
    for number, seam in enumerate(pattern.seams):
        place = seam.one[0]
        if seam.notched and EdgeEnd(*place, "start") in sewn.partners and len({*seam.one}) < 3:
            ends = frozenset(_line(lines, sewn, EdgeEnd(*place, at)) for at in ("start", "end"))
            alike = frozenset((pattern.origin(name), edge) for name, edge in (*seam.one, *seam.other))
            key = ends, worn_behind(pattern, (*seam.one, *seam.other))
            groups.setdefault(key, {}).setdefault(alike, []).append(number)
    found: dict[int, Rank] = {}
    shared: dict[Place, Rank] = {}
    for group in groups.values():
        taken: list[Floats] = []
        for k, numbers in enumerate(group.values()):
            for number in numbers:
                rank = Rank(FRACTIONS[k % len(FRACTIONS)], len(group) == 1, taken)
                edge = _of_a_pair(pattern, pattern.seams[number])
                found[number] = rank if edge is None else shared.setdefault(edge, rank)
    return found


def _of_a_pair(pattern: Pattern, seam: Seam) -> Place | None:
    """The edge of a pair of which the seam takes up one, sewn to what is cut once: both of the pair are notched alike."""
    for own, across in ((seam.one, seam.other), (seam.other, seam.one)):
        cut = pattern.piece(own[0][0]).cut
        if len(own) == 1 and cut.paired and cut.count == 2 and all(pattern.piece(name).cut.instances == 1 for name, _ in across):
            return own[0]
    return None


def _lines(sewn: Sewn) -> dict[Place, Place]:
    """Each edge that goes on across a seam, and one that stands for all of its line."""
    lines: dict[Place, Place] = {}

    def first(place: Place) -> Place:
        while lines.get(place, place) != place:
            place = lines[place]
        return place

    for end, partner in sewn.partners.items():
        one, other = (first((beside.piece, beside.edge)) for beside in (sewn.beside(end), sewn.beside(partner)))
        lines[other] = lines[one] = one
    return {place: first(place) for place in lines}


def _line(lines: Mapping[Place, Place], sewn: Sewn, end: EdgeEnd) -> Place:
    beside = sewn.beside(end)
    return lines.get((beside.piece, beside.edge), (beside.piece, beside.edge))
