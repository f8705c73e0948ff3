"""Darts within a piece, with two points: where their sides lie, and what they take out at a level."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.plane import choose, dot, square_to, unit
from ..meaning.kinds import LENGTH, POINT
from .operations import operation
from .steps import Run


@operation(takes=(POINT, POINT, POINT, LENGTH), gives=POINT)
def inner_side(run: Run, middle: Floats, upper: Floats, lower: Floats, intake: Floats, *, sign: float) -> Floats:
    """A side of the dart: half the intake from the line between its points, beside its middle.

    Both sides lie equally far from either point, so that they fold onto each other.  `sign` -1 is the side of smaller x.
    """
    way = unit(lower - upper)
    foot = upper + way * dot(middle - upper, way)[:, None]
    across = square_to(way)
    across = choose(across[:, 0] < 0.0, -across, across)
    beyond = (dot(foot - upper, way) <= 0.0) | (dot(lower - foot, way) <= 0.0)
    run.fail(
        beyond,
        "D422",
        "The middle of the dart does not lie between its points",
        expected="one point on either side of its middle",
        found="both on one side",
        suggestion="Name two points, or lengths, on opposite sides of its middle.",
    )
    return choose(beyond, np.full_like(foot, np.nan), foot + across * (sign * intake / 2.0)[:, None])


def inner_opening(corners: Sequence[Floats], y: Floats) -> Floats:
    """How wide a dart (upper, near, lower, far) stands open at depth y (N,); zero beyond its points."""
    upper, near, lower, far = corners
    sides = []
    for side in (near, far):
        x = np.full(len(y), np.nan)
        for a, b in ((upper, side), (side, lower)):
            drop = b[:, 1] - a[:, 1]
            part = (y - a[:, 1]) / np.where(np.abs(drop) < 1e-9, np.nan, drop)
            x = np.where((part >= 0.0) & (part <= 1.0) & np.isnan(x), a[:, 0] + (b[:, 0] - a[:, 0]) * part, x)
        sides.append(x)
    width: Floats = np.nan_to_num(np.abs(sides[1] - sides[0]))
    return width
