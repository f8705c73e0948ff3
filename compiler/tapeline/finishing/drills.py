"""Where holes are drilled for darts: short of each point and inside the sewn cloth, so that the sewn dart hides them.

A hole stands on the fold of its dart, so far back from the point as the house says, on a short dart a quarter of its length
(our choice).  Half an inch is what sewing pages print for the usual back-off (onlinefabricstore.com/makersmill and
cainanwiebe.com, "How to sew a dart", weak); that a hole lies always inside the finished seam is textbook (National Instructional
Media Institute, Dress Making, Trade Theory, 2024, p. 29).  A dart within the piece has holes at both points and inside its two
sides.  Pleats have none.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..drafting.pattern import Piece
from ..geometry.arrays import Floats

BACK_OFF = 12.7  # mm from a dart's point, where a house says no other
ASIDE = 3.0  # mm from the sides of a dart within the piece: common practice


def drill_holes(piece: Piece, back_off: float = BACK_OFF) -> Iterator[tuple[str, Floats]]:
    """(dart, places (N, 2)) of every hole; of no back-off there is none."""
    if not back_off > 0.0:
        return
    for dart in piece.darts():
        if dart.kind == "dart":
            leg = dart.near_leg.length()
            back = np.minimum(back_off, leg / 4)
            on_fold = (dart.near_leg.point_at(leg - back) + dart.far_leg.point_at(leg - back)) / 2 - dart.point
            away = np.maximum(np.hypot(on_fold[:, 0], on_fold[:, 1]), 1e-9)
            yield dart.name, dart.point + on_fold * (back / away)[:, None]
    for inner in piece.inner:
        upper, near, lower, far = inner.corners()
        for start, end, by in ((upper, lower, back_off), (lower, upper, back_off), (near, far, ASIDE), (far, near, ASIDE)):
            reach = np.maximum(np.hypot(*(end - start).T), 1e-9)
            yield inner.name, start + (end - start) * np.minimum(by / reach, 0.25)[:, None]
