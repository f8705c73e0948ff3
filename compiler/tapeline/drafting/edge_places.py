"""Places on an edge as a fitter names them, where a level crosses it or at one of its ends; and an amount for one side of the body."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np

from ..geometry.arrays import Floats
from ..meaning.kinds import LENGTH, SHAPE
from ..source.quantity import show_length
from .operations import operation
from .pattern import Edge
from .shapes import MEETS, Shape, nearest_along
from .steps import Run


@operation(takes=(SHAPE,), gives=LENGTH)
def place_at_level(run: Run, shape: Shape, *, name: str, level: str) -> Floats:
    """How far along an edge as sewn a level meets it; D640 where it does not."""
    edge, names = shape.edge(name), [drawn.name for drawn in shape.edges]
    if not names:
        return edge.closed_length()
    found = _met(shape, edge, names, level)
    missing = np.isnan(found) & np.isfinite(edge.closed_length())
    if np.any(missing):
        places = {other: _met(shape, edge, names, other) for other in shape.lines if other != level}

        at = names.index(name)
        ends = [names[at - 1], names[(at + 1) % len(names)]]

        def known(i: int) -> str:
            here = [f"{other}, {show_length(float(at[i]), run.unit)} along it" for other, at in places.items() if np.isfinite(at[i])]
            return f"one of: {'; '.join([*ends, *here])}"

        run.fail(
            missing,
            "D640",
            f"The level {level} does not meet {name}",
            expected=known,
            found=f"a level that ends elsewhere on the piece than on {name}",
            suggestion="Name another level, a corner, or a place so far from an end of the edge.",
        )
    return found


def _met(shape: Shape, edge: Edge, names: Sequence[str], level: str) -> Floats:
    """How far along an edge (N,) the line of a level comes to it; NaN where it does not."""
    line, at = shape.lines[level], names.index(edge.name)
    length = edge.closed_length()
    if names[at - 1] in line.along:
        return np.where(np.isfinite(length), 0.0, np.nan)
    if names[(at + 1) % len(names)] in line.along:
        return length
    found = np.full(len(length), np.nan)
    for ends in (line.chords.a, line.chords.b):
        for k in range(ends.shape[1]):
            place, off = nearest_along(edge, ends[:, k])
            found = np.where(np.isnan(found) & (off <= MEETS), place, found)
    return found


@operation(takes=(SHAPE,), gives=LENGTH)
def place_at_end(run: Run, shape: Shape, *, name: str, at: Literal["start", "end"]) -> Floats:
    """How far along an edge as sewn one of its ends lies."""
    length = shape.edge(name).closed_length()
    return length if at == "end" else np.where(np.isfinite(length), 0.0, np.nan)


# ------------------------------------------------------------ one side of the body


@operation(takes=(LENGTH,), gives=LENGTH, sampled="it differs from one side of the body to the other")
def on_side(run: Run, amount: Floats, *, side: Literal["left", "right"]) -> Floats:
    """An amount that is meant for one side of the body alone: for either body by itself it is all or nothing (see `sided_steps`), for
    one that is read as even half of it."""
    return amount / 2.0
