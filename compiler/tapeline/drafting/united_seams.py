"""Seams, allowances and all else that names edges, rewritten for a garment whose pieces have been parted by side.

A seam of an even plan is sewn on either side of the body, so it becomes two, each of what that side has.  It stays one where an
edge on either of its sides lies across the centre, as a waistband's does: that takes up both.  From centre to centre it
joins the two sides.  Of a piece that is the same for both, each side's seam takes up half.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest
from typing import NamedTuple

from ..meaning.cutting import Corner
from ..meaning.plan import AllowancePlan, Anchor, FittedPlan, LayerPlan, MatchPlan, OpeningPlan, OwnStep, PiecePlan, Plan, SeamPlan
from ..source.text import Span
from .pattern import Place
from .sided_steps import SIDES, SidedSteps
from .united import Lot, Naming, Told

BOTH = ""  # of what lies across the centre, or is the same for both


class SideEdge(NamedTuple):
    """An edge that a seam takes up on one side of the body, or across the centre."""

    side: str
    origin: Place  # what it stands for
    place: Place
    times: int | None
    image: bool = False


@dataclass(slots=True)
class Placed:
    """Where the pieces of an even plan, with all that they name, are in the new one."""

    plan: Plan
    told: Mapping[str, Told]
    namings: Mapping[str, Sequence[Naming]]
    edge_sides: Mapping[Place, str]  # of pieces that lie across the centre: the side of the body that an edge lies on
    made: Sequence[PiecePlan] = ()  # the new pieces
    _taken: dict[Place, int] = field(default_factory=dict)

    def plan_of(self, piece: str) -> PiecePlan:
        return next(plan for plan in self.plan.pieces if plan.name == piece)

    def places(self, place: Place) -> list[tuple[Naming, Place]]:
        """What stands for an edge or a dart."""
        return [(naming, (naming.piece, naming.called(place[1]))) for naming in self.namings[place[0]]]

    def all_places(self, places: Iterable[Place]) -> tuple[Place, ...]:
        return tuple(dict.fromkeys(new for place in places for _, new in self.places(place)))

    def stays(self, place: Place) -> bool:
        """Whether an edge is that of a piece which is the same for both sides, or cut alike, and so is on no side."""
        told = self.told[place[0]]
        alike = told.lot is Lot.WHOLE and self.plan_of(place[0]).cut.is_alike
        return (told.lot is Lot.SAME or alike) and place not in self.edge_sides

    def sewn(self, place: Place, count: int | None) -> list[SideEdge]:
        """What stands for an edge in a seam that takes up so many of it, None: all."""
        piece, edge = place
        told, cut = self.told[piece], self.plan_of(piece).cut
        some = count is not None and count < cut.instances
        if told.lot in (Lot.FOLD, Lot.PAIR):
            edges = [SideEdge(naming.side, place, new, None, naming.image) for naming, new in self.places(place)]
            return [self._next(place, edges)] if some and 2 * (count or 0) == cut.instances else edges
        if told.lot in (Lot.LEFT, Lot.RIGHT):
            return [SideEdge(SIDES[told.lot is Lot.RIGHT], place, place, count)]
        if place in self.edge_sides:
            return [SideEdge(self.edge_sides[place], place, place, count)]
        there = cut.instances if count is None else count
        if there % 2 == 0 and (cut.fold is not None or cut.count > 1):
            return [SideEdge(side, place, place, there // 2) for side in SIDES]
        return [SideEdge(BOTH, place, place, count)]

    def _next(self, place: Place, edges: Sequence[SideEdge]) -> SideEdge:
        """One side's edge of a pair of which a seam takes up one: the left first."""
        taken = self._taken[place] = self._taken.get(place, 0) + 1
        return edges[(taken - 1) % len(edges)]


def united_seams(placed: Placed, steps: SidedSteps) -> tuple[SeamPlan, ...]:
    seams: list[SeamPlan] = []
    for seam in placed.plan.seams:
        seams += _united(placed, steps, seam)
    return tuple(seams)


def _united(placed: Placed, steps: SidedSteps, seam: SeamPlan) -> Iterator[SeamPlan]:
    if all(placed.stays(place) for place in (*seam.one, *seam.other)):
        yield _of_whole(steps, seam)
        return
    if seam.one == seam.other:
        yield from _to_itself(placed, steps, seam)
        return
    one, other = (
        [edge for place, count in zip_longest(side, counts) for edge in placed.sewn(place, count)]
        for side, counts in zip((seam.one, seam.other), _counts(seam), strict=True)
    )
    sides = [{edge.side for edge in side} for side in (one, other)]
    if BOTH in sides[0] | sides[1] or not sides[0] & sides[1]:
        centred = BOTH not in sides[0] | sides[1]
        yield _sewn(steps, seam, one, other, "whole", placed)._replace(centred=centred)
        return
    for side in SIDES:
        ones, others = ([edge for edge in edges if edge.side == side] for edges in (one, other))
        if ones and others:
            yield _sewn(steps, seam, ones, others, side, placed)


def _of_whole(steps: SidedSteps, seam: SeamPlan) -> SeamPlan:
    """A seam of nothing but what is not parted."""

    def slot(of: int) -> int:
        return steps.whole.get(of, of)

    matched = seam.matched
    if matched is not None:
        matched = matched[0]._replace(at=slot(matched[0].at)), matched[1]._replace(at=slot(matched[1].at))
    return seam._replace(
        ease=None if seam.ease is None else slot(seam.ease),
        openings=tuple(one._replace(start=slot(one.start), end=slot(one.end)) for one in seam.openings),
        matched=matched,
    )


def _counts(seam: SeamPlan) -> tuple[tuple[int | None, ...], tuple[int | None, ...]]:
    one, other = seam.counts
    return one or (None,) * len(seam.one), other or (None,) * len(seam.other)


def _to_itself(placed: Placed, steps: SidedSteps, seam: SeamPlan) -> Iterator[SeamPlan]:
    """A seam of an edge to that of its other copy: from centre to centre, or of two pieces that lie on each other."""
    edges = [edge for place in seam.one for edge in placed.sewn(place, None)]
    copies = {placed.plan_of(name).cut.count for name, _ in seam.one if placed.told[name].lot is Lot.FOLD}
    for side in SIDES if copies - {1} else ():
        ones = [edge for edge in edges if edge.side == side]
        yield _sewn(steps, seam, ones, ones, side, placed)
    if not copies - {1}:
        ones, others = ([edge for edge in edges if edge.side in (side, BOTH)] for side in SIDES)
        yield _sewn(steps, seam, ones, others, "whole", placed)._replace(centred=all(edge.side for edge in edges))


def _sewn(
    steps: SidedSteps, seam: SeamPlan, one: Sequence[SideEdge], other: Sequence[SideEdge], context: str, placed: Placed
) -> SeamPlan:
    def slot(of: int) -> int:
        return steps.table(context).get(of, of)

    openings = [opening for opening in seam.openings if context == "whole" or opening.side in ("", context)]
    own = next((opening.side for opening in openings if opening.side), "")
    one = sorted(one, key=lambda edge: edge.side != own) if own else one
    pressed = seam.pressed
    if pressed in placed.namings:
        names = [naming.piece for naming in placed.namings[pressed]]
        here = [edge.place[0] for edge in (*one, *other)]
        pressed = next((name for name in names if name in here), names[0])
    return seam._replace(
        one=tuple(edge.place for edge in one),
        other=tuple(edge.place for edge in other),
        counts=(tuple(edge.times for edge in one), tuple(edge.times for edge in other)),
        ease=None if seam.ease is None else slot(seam.ease),
        openings=tuple(_opening(steps, opening, one[0], placed) for opening in openings),
        pressed=pressed,
        matched=_matched(steps, seam, (one, other), placed),
        fitted=_fitted(steps, seam, (one, other)),
    )


def _opening(steps: SidedSteps, opening: OpeningPlan, first: SideEdge, placed: Placed) -> OpeningPlan:
    """A stretch left open, on the edge with which the seam begins."""
    start, end = (_along(steps, slot, first, placed, opening.span) for slot in (opening.start, opening.end))
    return opening._replace(start=start, end=end, side="" if first.side else opening.side)


def _matched(
    steps: SidedSteps, seam: SeamPlan, sides: Sequence[Sequence[SideEdge]], placed: Placed
) -> tuple[MatchPlan, MatchPlan] | None:
    """The places that lie on each other, on the edges that stand for theirs."""
    if seam.matched is None:
        return None
    found = []
    for match, edges in zip(seam.matched, sides, strict=True):
        edge = next((edge for edge in edges if edge.origin == match.edge), None)
        if edge is None:
            return None
        found.append(MatchPlan(edge.place, _along(steps, match.at, edge, placed, seam.span)))
    return found[0], found[1]


def _fitted(steps: SidedSteps, seam: SeamPlan, sides: Sequence[Sequence[SideEdge]]) -> FittedPlan | None:
    """What the edges gained that stand for those of the even seam, each on its side of the body."""
    if seam.fitted is None:
        return None
    gained = {
        place: slot
        for side, slots in zip((seam.one, seam.other), seam.fitted.gained, strict=True)
        for place, slot in zip(side, slots, strict=True)
    }

    def slot(edge: SideEdge) -> int | None:
        of = gained[edge.origin]
        return None if of is None else steps.table(edge.side or "whole").get(of, of)

    one, other = (tuple(map(slot, side)) for side in sides)
    return seam.fitted._replace(gained=(one, other))


def _along(steps: SidedSteps, slot: int, edge: SideEdge, placed: Placed, span: Span) -> int:
    """How far along an edge a place of the edge lies for which it stands; along an image it counts from the other end."""
    slot = steps.table(edge.side or "whole").get(slot, slot)
    if not edge.image:
        return slot
    plan = next(plan for plan in placed.made if plan.name == edge.place[0])
    length = steps.emit("edge_closed_length", span, dict(plan.edges)[edge.place[1]])
    return steps.emit("subtract", span, length, slot)


# ------------------------------------------------------------ what is said of edges


def united_allowances(placed: Placed, steps: SidedSteps) -> dict[Place, AllowancePlan]:
    table: dict[Place, AllowancePlan] = {}
    for place, allowance in placed.plan.allowances.items():
        for naming, new in placed.places(place):
            width = allowance.width
            slots = steps.table(naming.side or "whole") if placed.told[place[0]].lot is not Lot.SAME else {}
            table[new] = allowance._replace(edge=new[1], width=None if width is None else slots.get(width, width))
    return table


def united_corners(placed: Placed) -> dict[str, tuple[Corner, ...]]:
    table: dict[str, tuple[Corner, ...]] = {}
    for piece, corners in placed.plan.corners.items():
        fold = placed.plan_of(piece).cut.fold if placed.told[piece].lot is Lot.FOLD else None
        for naming in placed.namings[piece]:
            own = tuple(
                replace(corner, edges=(naming.called(corner.edges[0]), naming.called(corner.edges[1])))
                for corner in corners
                if fold not in corner.edges or not placed.plan_of(piece).issued
            )
            table[naming.piece] = (*table.get(naming.piece, ()), *own)
    return table


def united_meant(placed: Placed) -> frozenset[Place]:
    """Corners that are meant, by the edge that begins there, in an image by the one that ended there."""
    found = set()
    for piece, name in placed.plan.meant:
        edges = [edge for edge, _ in placed.plan_of(piece).edges]
        for naming in placed.namings[piece]:
            here = edges[edges.index(name) - 1] if naming.image and name in edges else name
            found.add((naming.piece, naming.called(here)))
    return frozenset(found)


def united_own_steps(placed: Placed) -> tuple[OwnStep, ...]:
    return tuple(_own_step(placed, step) for step in placed.plan.own_steps)


def _own_step(placed: Placed, step: OwnStep) -> OwnStep:
    def anchors(some: Sequence[Anchor]) -> tuple[Anchor, ...]:
        return tuple(anchor._replace(places=placed.all_places(anchor.places)) for anchor in some)

    piece = placed.namings[step.piece][0].piece if step.piece in placed.namings else step.piece
    return step._replace(
        piece=piece,
        places=placed.all_places(step.places),
        onto=placed.all_places(step.onto),
        after=anchors(step.after),
        before=anchors(step.before),
    )


def united_layers(steps: SidedSteps, layers: Iterable[LayerPlan]) -> tuple[LayerPlan, ...]:
    """Fitted edges and the layers on them, as they are on the left and on the right."""
    tables = [steps.table(side) for side in SIDES]
    return tuple(
        layer._replace(
            was=table.get(layer.was, layer.was), now=table.get(layer.now, layer.now), length=table.get(layer.length, layer.length)
        )
        for layer in layers
        for table in tables
    )


def renamed(placed: Placed, once: Mapping[str, frozenset[str]]) -> dict[str, frozenset[str]]:
    """Names of pieces in the tables of levels."""
    return {level: frozenset(naming.piece for piece in pieces for naming in placed.namings[piece]) for level, pieces in once.items()}
