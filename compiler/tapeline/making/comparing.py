"""Two drafts beside each other, with the measure that moved each place.

What moved is `locking.moved`.  Where both drafts are of one style, each measure's share in a move is reckoned by the slopes that
the style has (`sizing.slopes`): the mean of its slopes at both drafts, times what the measure differs by, seen from where the
piece is laid together.  What the shares do not make up (a rule that bends, a choice that differs, a course that changes) is told as
left over, never shared out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

from ..geometry.arrays import Floats
from ..locking.moved import DraftMoves, MovedPlace, moved_between
from ..locking.recorded import Record, kinds_of_record
from ..paper.house.house import USUAL, House
from ..sizing.slopes import Slopes, slopes_of
from .drafts import BodyDraft
from .papers import record_of

LEAST = 0.01  # mm: a smaller share is none


class MeasureShare(NamedTuple):
    """What a measure did to a place: mm out (less than 0: in) and down (up)."""

    measure: str
    out: float
    down: float


@dataclass(slots=True, eq=False)
class DraftComparison:
    """What moved from one draft to another; `names` are what they are called, `unit` and `house` how lengths are written.

    `shares` has of a place that moved (its piece and first name) each measure's share, the greatest first; it is empty where the
    shares are not known: of records alone, of two styles, of an even body beside an uneven one.
    """

    moved: DraftMoves
    names: tuple[str, str]
    unit: str = "cm"
    house: House = USUAL
    shares: dict[tuple[str, str], tuple[MeasureShare, ...]] = field(default_factory=dict)
    kinds: dict[str, str] = field(default_factory=dict)  # of measures and choices, by their names, where they are known

    def left_over(self, place: MovedPlace) -> tuple[float, float]:
        """What of a move no measure did: mm out and down."""
        shares = self.shares.get((place.piece, place.names[0]), ())
        return place.out - sum(share.out for share in shares), place.down - sum(share.down for share in shares)


def compared_drafts(
    before: BodyDraft, after: BodyDraft, names: tuple[str, str] | None = None, together_at: Sequence[str] = ()
) -> DraftComparison:
    """Two drafts of any bodies and styles; lengths are written as the first writes them."""
    told = names or (before.name, after.name)
    records = record_of(before.work()), record_of(after.work())
    comparison = compared_records(records[0], records[1], told, before.unit, before.house, together_at)
    if before.style.fingerprint == after.style.fingerprint and comparison.moved.places:
        comparison.shares = _shares(comparison.moved, before, after)
    return comparison


def compared_records(
    before: Record, after: Record, names: tuple[str, str], unit: str = "cm", house: House = USUAL, together_at: Sequence[str] = ()
) -> DraftComparison:
    """Two drafts as they were recorded."""
    kinds = kinds_of_record(before) | kinds_of_record(after)
    return DraftComparison(moved_between(before, after, together_at), names, unit, house, kinds=kinds)


def _shares(moved: DraftMoves, before: BodyDraft, after: BodyDraft) -> dict[tuple[str, str], tuple[MeasureShare, ...]]:
    measured = [{name: float(values[draft.place]) for name, values in draft.draft.run.measures.items()} for draft in (before, after)]
    differing = [name for name, value in measured[0].items() if measured[1].get(name, value) != value]
    if not differing or measured[0].keys() != measured[1].keys():  # of an even and an uneven body
        return {}
    both = [slopes_of(draft.draft, draft.style, differing, [draft.place]) for draft in (before, after)]
    by = np.array([measured[1][name] - measured[0][name] for name in differing])
    by = np.where([name in both[0].angles for name in differing], np.degrees(by), by)
    shares = {}
    for place in moved.places:
        slopes = [_slope(some, moved, place) for some in both]
        known = [slope for slope in slopes if slope is not None and np.isfinite(slope).all()]
        if known:
            side = -1.0 if place.side_is_left else 1.0
            ways = np.mean(known, axis=0) * by[:, None] * np.array([side, 1.0])
            of_place = [MeasureShare(name, float(out), float(down)) for name, (out, down) in zip(differing, ways, strict=True)]
            told = [share for share in of_place if math.hypot(share.out, share.down) >= LEAST]
            shares[place.piece, place.names[0]] = tuple(sorted(told, key=lambda share: -math.hypot(share.out, share.down)))
    return shares


def _slope(slopes: Slopes, moved: DraftMoves, place: MovedPlace) -> Floats | None:
    """The slopes (M, 2) of a place, seen from where its piece is laid together; None where a draft has no such place."""
    laid, piece = moved.laid[place.piece], place.piece
    own = next((slopes.names[piece, name] for name in place.names if (piece, name) in slopes.names), None)
    across = slopes.names.get((piece, laid.across)) if laid.across else np.zeros((1, len(slopes.measures), 2))
    if own is None or across is None:
        return None
    down = slopes.levels.get((piece, laid.level)) if laid.level else across[..., 1]
    if down is None:
        return None
    seen: Floats = own[0] - np.stack([across[0, :, 0], down[0]], axis=-1)
    return seen
