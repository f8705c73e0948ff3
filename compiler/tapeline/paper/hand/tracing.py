"""What a piece has unchanged from the piece that it is traced from: edges and darts that need no figures of their own.

An edge or a dart is traced where every line of it lies on its like of the source, from the same end; whatever a change has
touched is set out by figures.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...drafting.pattern import Dart, Edge
from ...geometry.path import Path
from .measure import off_line
from .section import HandSection

ALIKE = 0.02  # mm; lines nowhere further from each other are one


def traced_edge(source: HandSection | None, edge: Edge, index: int) -> str | None:
    """The name of the source's edge on which this one lies."""
    edges = source.piece.edges if source is not None else ()
    return next((other.name for other in edges if _alike(edge.strips, other.strips, index)), None)


def traced_dart(source: HandSection | None, dart: Dart, index: int) -> str | None:
    """The name of the source's dart on which this one lies."""
    darts = source.piece.darts() if source is not None else ()
    legs = (dart.near_leg, dart.far_leg)
    return next((other.name for other in darts if _alike(legs, (other.near_leg, other.far_leg), index)), None)


def _alike(paths: Sequence[Path], others: Sequence[Path], index: int) -> bool:
    if len(paths) != len(others):
        return False
    for path, other in zip(paths, others, strict=True):
        one, two = (some.take(slice(index, index + 1)).flatten()[0] for some in (path, other))
        if np.hypot(*(one[[0, -1]] - two[[0, -1]]).T).max() > ALIKE:
            return False
        if max(off_line(one, two).max(), off_line(two, one).max()) > ALIKE:
            return False
    return True
