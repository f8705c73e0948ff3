"""The ring of a piece, worked out once for every change, before any body.

A ring is the edges of a piece in the order of its outline, with the corners that begin them and the darts that lie on them.
A change is an operation on the ring.  The new ring tells all there is to know of it without a body: which edges there are,
in which order and under which names, which corner begins which edge, which dart is on which edge, and of what each edge is
made: portions of edges that were there, and what the change adds.  The step carries the ring as its plan; `drafting` cuts,
moves and draws, and lays what comes of it into the plan (`drafting.rims.filled`), so that names and order are settled here
alone.  Where a portion is parted is told by the numbers of the change's stops, since how far along an edge that is depends
on the body; so does whether a dart of a parted edge lies before the stop or after it.

Invariants: no two edges have one name; every corner begins an edge of the ring, and every dart lies on one.  A ring is
cyclic: which edge it is told from first matters to the eye alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, NamedTuple

IMAGE = "other_"  # before the names of what is drawn by opening out a fold


@dataclass(frozen=True, slots=True)
class Portion:
    """An edge that was there, from one stop of the change to another; None is its own start, or its own end.

    `of` tells on which piece: the one that is changed, that one turned over, or another that is laid on it.  `prefix` goes
    before the names of the darts on it.
    """

    edge: str
    since: int | None = None
    until: int | None = None
    of: Literal["this", "image", "other"] = "this"
    prefix: str = ""


@dataclass(frozen=True, slots=True)
class Added:
    """What a change adds to an edge: which of its parts, and of which edge or dart."""

    what: str
    name: str = ""


@dataclass(frozen=True, slots=True)
class RingEdge:
    name: str
    turned: bool = False  # whether the outline runs against the way the edge was drawn
    made_of: tuple[Portion | Added, ...] = ()  # in the order of the outline

    @classmethod
    def whole(cls, name: str, turned: bool = False) -> RingEdge:
        return cls(name, turned, (Portion(name),))

    def named(self, name: str) -> RingEdge:
        return replace(self, name=name)


class RingStop(NamedTuple):
    """Where a cut meets the outline: the edge that begins or goes on there, and the edge that ends or is left there."""

    number: int
    begins: str
    ends: str
    parted: bool  # whether an edge is parted there; if not, it is a corner
    dart: str = ""  # the dart that the cut runs through


@dataclass(frozen=True)
class EdgeRing:
    edges: tuple[RingEdge, ...]
    corners: dict[str, str] = field(default_factory=dict)  # corner -> the edge that begins there
    darts: dict[str, str] = field(default_factory=dict)  # dart -> its edge

    def __hash__(self) -> int:
        return hash(self.edges)

    # ------------------------------------------------------------ what is where

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(edge.name for edge in self.edges)

    def edge(self, name: str) -> RingEdge:
        return self.edges[self._at(name)]

    def _at(self, name: str) -> int:
        return self.names.index(name)

    def after(self, name: str) -> str:
        return self.edges[(self._at(name) + 1) % len(self.edges)].name

    def before(self, name: str) -> str:
        return self.edges[self._at(name) - 1].name

    def begun_at(self, name: str) -> EdgeRing:
        """The same ring, told from another edge on."""
        at = self._at(name)
        return replace(self, edges=(*self.edges[at:], *self.edges[:at]))

    def run(self, first: str, last: str) -> tuple[RingEdge, ...]:
        """The edges from `first` on through `last`."""
        ring = self.begun_at(first)
        return ring.edges[: ring._at(last) + 1]

    def beyond(self, name: str) -> tuple[RingEdge, ...]:
        """All edges but one: from after it round to before it."""
        return self.begun_at(name).edges[1:]

    def ends_at(self, name: str) -> list[str]:
        """The corners at either end of an edge."""
        return [corner for corner, edge in self.corners.items() if edge in (name, self.after(name))]

    def clear_onward(self, start: str, end: str, stays: str) -> bool | None:
        """Whether the outline from a place on `start` on to a place on `end` is clear of the corner where `stays` begins.

        None where both places are on one edge: which of them comes first depends on the body, and with it the answer.
        """
        if start == end:
            return None
        return all(edge.name != stays for edge in self.run(self.after(start), end))

    def added(self, what: str) -> Added | None:
        """What of this sort the change adds, or first adds."""
        return next((part for edge in self.edges for part in edge.made_of if isinstance(part, Added) and part.what == what), None)

    # ------------------------------------------------------------ other rings

    def settled(self) -> EdgeRing:
        """The ring of the changed piece: each edge is what it is."""
        return replace(self, edges=tuple(RingEdge.whole(edge.name, edge.turned) for edge in self.edges))

    def with_dart(self, dart: str, edge: str) -> EdgeRing:
        return replace(self, darts={**self.darts, dart: edge})

    def without_dart(self, dart: str) -> EdgeRing:
        return replace(self, darts={name: edge for name, edge in self.darts.items() if name != dart})

    def with_darts_called(self, names: dict[str, str]) -> EdgeRing:
        return replace(self, darts={names.get(dart, dart): edge for dart, edge in self.darts.items()})

    def with_corners(self, corners: dict[str, str]) -> EdgeRing:
        return replace(self, corners=corners)

    def remade(self, name: str, *made_of: Portion | Added) -> EdgeRing:
        """The ring with an edge made of other things."""
        return replace(self, edges=tuple(replace(edge, made_of=made_of) if edge.name == name else edge for edge in self.edges))

    def replaced(self, name: str, *edges: RingEdge) -> EdgeRing:
        """The ring with other edges in the place of one; its darts stay if a portion of it bears its name still."""
        at = self._at(name)
        left = any(isinstance(part, Portion) and part.edge == name for edge in edges if edge.name == name for part in edge.made_of)
        darts = {dart: edge for dart, edge in self.darts.items() if left or edge != name}
        return EdgeRing((*self.edges[:at], *edges, *self.edges[at + 1 :]), self.corners, darts)._pruned()

    def reversed(self) -> EdgeRing:
        """The ring the other way round, told from the same edge: a corner begins the edge that ended there."""
        first, *others = self.edges
        edges = tuple(replace(edge, turned=not edge.turned) for edge in (first, *others[::-1]))
        return replace(self, edges=edges, corners={corner: self.before(edge) for corner, edge in self.corners.items()})

    def turned_over(self) -> EdgeRing:
        """The ring of the piece's image."""
        ring = self.reversed()
        return replace(ring, edges=tuple(replace(edge, made_of=_imaged(edge)) for edge in ring.edges))

    def opened_out(self, fold: str, prefix: str) -> EdgeRing:
        """The ring without its fold, and then its image, whose names bear the prefix; a corner at the fold has no image."""
        half = self.beyond(fold)
        image = tuple(RingEdge(prefix + edge.name, not edge.turned, _imaged(edge, prefix)) for edge in half[::-1])
        corners: dict[str, str] = {}
        for corner, edge in self.corners.items():
            ended = prefix + self.before(edge)  # the image of the edge that ends at a corner begins at the corner's image
            corners[corner] = ended if edge == fold else edge
            if edge not in (fold, half[0].name):
                corners[prefix + corner] = ended
        images = {prefix + dart: prefix + edge for dart, edge in self.darts.items()}
        return EdgeRing((*half, *image), corners, {**self.darts, **images})._pruned()

    def joined(self, name: str, other: EdgeRing, to: str, called: dict[str, str]) -> EdgeRing:
        """Two rings as one, with `to` of the other laid on `name` of this one, and both gone.

        `called` gives new names to edges of the other; edges that then meet under one name are one.  Names of this ring
        go before those of the other.
        """
        remaining, added = self.beyond(name), tuple(_laid_on(edge, called.get(edge.name, edge.name)) for edge in other.beyond(to))
        new_names = {edge.name: laid.name for edge, laid in zip(other.beyond(to), added, strict=True)}
        # Where the rings meet: the edge that began at the corner, the one that begins there now, the one that ends there now.
        meeting = [(name, added[0].name, remaining[-1].name), (remaining[0].name, remaining[0].name, added[-1].name)]
        corners = {corner: edge for corner, edge in self.corners.items() if edge not in (name, remaining[0].name)}
        ends = (to, other.after(to))
        corners |= {corner: new_names[edge] for corner, edge in other.corners.items() if edge not in ends and corner not in corners}
        for was, begins, ended in meeting:
            if begins != ended:
                corners |= {corner: begins for corner, edge in self.corners.items() if edge == was}
        darts = {**{dart: called.get(edge, edge) for dart, edge in other.darts.items() if edge != to}, **self.darts}
        return EdgeRing(_merged((*remaining, *added)), corners, darts)._pruned()

    def part(self, start: RingStop, end: RingStop, seam: str, turned: bool) -> EdgeRing:
        """The ring of one part of a cut: from the one stop on to the other, and back along the seam.

        It is told from the same edge as before, or from the next one that it has.  A dart on an edge that is parted may
        lie on it or on the other part.
        """
        through = self.run(start.begins, end.ends)
        since = {through[0].name: start.number} if start.parted else {}
        until = {through[-1].name: end.number} if end.parted else {}
        edges = [replace(edge, made_of=(Portion(edge.name, since.get(edge.name), until.get(edge.name)),)) for edge in through]
        way = [Added("near leg", end.dart)] if end.dart else []
        way += [Added("way"), *([Added("far leg", start.dart)] if start.dart else [])]
        first, last = through[0].name, through[-1].name
        whole_starts = {edge.name for edge in through[1:]} | (set() if start.parted else {first})
        corners = {corner: edge for corner, edge in self.corners.items() if edge in whole_starts}
        if not end.parted:
            corners |= {corner: seam for corner, edge in self.corners.items() if edge == end.begins}
        corners |= {f"{seam}_{first}": first, f"{seam}_{last}": seam}
        darts = {dart: edge for dart, edge in self.darts.items() if dart not in (start.dart, end.dart)}
        ring = EdgeRing((*edges, RingEdge(seam, turned, tuple(way))), corners, darts)._pruned()
        return ring.begun_at(min((edge.name for edge in through), key=self._at))

    def _pruned(self) -> EdgeRing:
        """Without corners and darts of edges that are not there."""
        names = set(self.names)
        corners, darts = ({name: edge for name, edge in table.items() if edge in names} for table in (self.corners, self.darts))
        return replace(self, corners=corners, darts=darts)


def _imaged(edge: RingEdge, prefix: str = "") -> tuple[Portion | Added, ...]:
    return (Portion(edge.name, of="image", prefix=prefix),)


def _laid_on(edge: RingEdge, name: str) -> RingEdge:
    return RingEdge(name, edge.turned, (Portion(edge.name, of="other"),))


def _merged(edges: Sequence[RingEdge]) -> tuple[RingEdge, ...]:
    """A ring's edges, with neighbours of one name made one edge, which runs as the one told first was drawn."""
    merged: list[RingEdge] = []
    for edge in edges:
        if merged and merged[-1].name == edge.name:
            merged[-1] = replace(merged[-1], made_of=(*merged[-1].made_of, *edge.made_of))
        else:
            merged.append(edge)
    if len(merged) > 1 and merged[0].name == merged[-1].name:
        last = merged.pop()
        merged[0] = replace(merged[0], made_of=(*last.made_of, *merged[0].made_of))
    return tuple(merged)


def ring_of(edges: Iterable[tuple[str, bool]], corners: dict[str, str], darts: dict[str, str]) -> EdgeRing:
    """The ring of a drawn piece, from its edges and whether each is turned round in the outline."""
    return EdgeRing(tuple(RingEdge.whole(name, turned) for name, turned in edges), corners, darts)._pruned()


def start_to_start(one: tuple[str, str], other: tuple[str, str]) -> bool | None:
    """Whether two edges come together start to start, told by the names of the edges beside each, at its start and at its end.

    Names count that are alike; where they do not tell, those that are alike but for being of a half that was opened out.  None
    where that does not tell either.
    """
    straight, turned = _alike(one, other), _alike(one, other[::-1])
    return None if straight == turned else straight > turned


def _alike(names: tuple[str, str], others: tuple[str, str]) -> tuple[int, int]:
    pairs = [*zip(names, others, strict=True)]
    return sum(a == b for a, b in pairs), sum(a.removeprefix(IMAGE) == b.removeprefix(IMAGE) for a, b in pairs)
