"""Seams of which fittings moved an edge: what they make the sides differ by is eased in, where that is little.

A convex and a hollow edge let out by the same change their lengths unlike, and a sleeve is not drawn anew for an armhole that was
fitted.  So of a seam that matched as it was drafted, the difference that the fittings made is let in, whichever side is the
longer: of a plain seam up to the ease that a shoulder has, of one that is eased as long as there is ease left and not more than can be eased.
Such a seam is an eased one from there on, for notches, ledgers and papers; of more than that it is an error, as without fittings.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.dual import plain
from ..geometry.plane import cross
from ..meaning.kinds import LENGTH
from .operations import operation
from .pattern import Pattern, Piece, Place, Seam, SewnEdge
from .steps import Run

MOST_EASED = 0.1  # of the shorter side: what is more is gathered; common practice
# By so much a back shoulder is drawn longer than the front, which is stretched to it (M. Prince Browne, Every Woman's Encyclopaedia, vol. 4, 1910-12).
SHOULDER_EASE = 25.4 / 4  # mm
PART_OF_SHOULDER = 1 / 20  # what that is of a shoulder of 5 in; a shorter seam takes up less
SAME_EDGE = 0.05  # mm; an edge of a piece that is made from another is still the same from end to end where it is as long
LEAST_TURN = 0.7  # sine of the angle between a seam and an edge beside it by which the seam can be made shorter


class SeamGain(NamedTuple):
    """Of either side of a seam: its length, and how much of it (N,) fittings have added; counted as in the ledger."""

    lengths: tuple[Floats, Floats]
    gained: tuple[Floats, Floats]

    @property
    def difference(self) -> Floats:
        """By how much more the first side has grown than the second."""
        return self.gained[0] - self.gained[1]


class Offer(NamedTuple):
    """Edges beside a seam that would bring it right: of which side, and how much (N,) each takes in where that side is 1 too long."""

    side: int
    edges: tuple[str, ...]
    each: Floats


@operation(
    takes=(LENGTH, LENGTH, LENGTH),
    gives=LENGTH,
    sampled="whether an edge is the same as that it was made from may differ from body to body",
)
def gained_by_fitting(run: Run, own: Floats, fitted: Floats, drafted: Floats) -> Floats:
    """How much longer an edge is than before a fitting; nothing where it is no longer the edge that was fitted."""
    return np.where(np.abs(plain(own) - plain(fitted)) < SAME_EDGE, fitted - drafted, 0.0)


def shared_times(sides: Sequence[Sequence[SewnEdge]]) -> int:
    """For how many of its edges alike a seam is reckoned: one, where they are not there equally often."""
    counts = {sewn.times for side in sides for sewn in side}
    return counts.pop() if len(counts) == 1 else 1


def gain_of(pattern: Pattern, seam: Seam) -> SeamGain | None:
    """What fittings have added to a seam; None where none touched it."""
    if seam.fitted is None:
        return None
    sides, none = pattern.sewn(seam), np.zeros(pattern.n)
    shared = shared_times(sides)
    lengths, gains = [], []
    for side, gained in zip(sides, seam.fitted.gained, strict=True):
        lengths.append(sum((sewn.piece.edge(sewn.edge).closed_length() * (sewn.times / shared) for sewn in side), none))
        gains.append(sum((gain * (sewn.times / shared) for sewn, gain in zip(side, gained, strict=True) if gain is not None), none))
    return SeamGain((lengths[0], lengths[1]), (gains[0], gains[1]))


def let_in(pattern: Pattern, run: Run) -> None:
    """Ease in, in every seam that fittings touched, what they made its sides differ by; part the bodies of which only some need it."""
    with np.errstate(all="ignore"):
        for seam in pattern.seams:
            gain = gain_of(pattern, seam)
            if gain is None or seam.kind == "gathered":
                continue
            added, off = plain(gain.difference), plain(gain.lengths[0] - gain.lengths[1] - seam.ease)
            shorter, ease = plain(np.minimum(*gain.lengths)), plain(seam.ease)
            if seam.kind == "plain":
                little = np.abs(added) <= np.minimum(SHOULDER_EASE, PART_OF_SHOULDER * shorter)
            else:
                little = (ease + added >= 0.0) & (ease + added <= np.maximum(ease, MOST_EASED * shorter))
            eased = little & (np.abs(off) > seam.tolerance) & (np.abs(off - added) <= seam.tolerance)
            if seam.kind == "plain" and not run.alike(eased.astype(int), np.isfinite(off)):
                continue
            seam.kind, seam.let_in = "eased", np.where(eased, gain.difference, 0.0)
            seam.ease = seam.ease + seam.let_in


# ------------------------------------------------------------ how else it could be brought right


def offers_of(pattern: Pattern, seam: Seam) -> tuple[Offer, ...]:
    """Where a side of a fitted seam is one edge that no fitting moved: the edges beside it that make it longer or shorter."""
    offers = []
    sides = pattern.sewn(seam)
    shared = shared_times(sides)
    for number, side in enumerate(sides):
        if seam.fitted is None or len(side) != 1 or seam.fitted.gained[number][0] is not None:
            continue
        (sewn,) = side
        ends = _beside(sewn.piece, sewn.edge)
        if ends and _free(pattern, sewn.piece.name, [name for name, _ in ends]):
            each = shared / sewn.times / len(ends)
            turn = sum((turned for _, turned in ends), np.zeros(pattern.n)) / len(ends)
            offers.append(Offer(number, tuple(f"{sewn.piece.name}.{name}" for name, _ in ends), turn * each))
    return tuple(offers)


def _beside(piece: Piece, name: str) -> list[tuple[str, Floats]]:
    """The edges that meet an edge at its ends, but for the fold and what runs on with it; with the sine of the angle there."""
    number = next(k for k, edge in enumerate(piece.edges) if edge.name == name)
    edge, before, after = (piece.edges[k % len(piece.edges)] for k in (number, number - 1, number + 1))
    ways = [
        (before, before.strips[-1].end_direction(), edge.strips[0].start_direction()),
        (after, after.strips[0].start_direction(), edge.strips[-1].end_direction()),
    ]
    found = [(beside.name, np.abs(plain(cross(one, other)))) for beside, one, other in ways if beside.name != piece.cut.fold]
    return [(name, turn) for name, turn in found if (turn > LEAST_TURN).all()]


def _free(pattern: Pattern, piece: str, edges: Sequence[str]) -> bool:
    """Whether edges of a piece are sewn to nothing but each other."""
    own: set[Place] = {(piece, edge) for edge in edges}
    return all(own.isdisjoint(places) or own >= places for places in ({*seam.one, *seam.other} for seam in pattern.seams))
