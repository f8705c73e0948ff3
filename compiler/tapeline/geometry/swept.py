"""The area that a path sweeps about the origin: summed along a closed outline, the outline's own, exact for every segment.

It is positive for an outline that runs from +x toward +y, clockwise on paper, as `outline.area` of points on it.
"""

from __future__ import annotations

import numpy as np

from .arrays import Floats
from .path import Path
from .segments import Arc, Cubic, Line

FEW = 16  # bodies whose curves are worked out together, as if each were of bodies of its own


def swept_area(path: Path) -> Floats:
    """Half the integral of x dy - y dx along a path (N,), in closed form for every kind of segment."""
    total, n = np.zeros(path.n), path.n
    cubics = [segment.p for segment in path.segments if isinstance(segment, Cubic)]
    together = _cubic_area(np.concatenate(cubics)) if len(cubics) > 1 and n <= FEW else None
    done = 0
    for segment in path.segments:
        if isinstance(segment, Line):
            a, b = segment.start(), segment.end()
            total = total + (a[:, 0] * b[:, 1] - b[:, 0] * a[:, 1]) / 2.0
        elif isinstance(segment, Cubic):
            total = total + (_cubic_area(segment.p) if together is None else together[done * n : (done + 1) * n])
            done += 1
        elif isinstance(segment, Arc):
            total = total + _arc_area(segment)
    return total


def _cubic_area(p: Floats) -> Floats:
    """Green's theorem on the Bernstein form: sum of cross products of control points, weights of degree six."""
    weights = ((0, 1, 6), (0, 2, 3), (0, 3, 1), (1, 2, 3), (1, 3, 3), (2, 3, 6))
    total = np.zeros(len(p))
    for i, j, weight in weights:
        total = total + weight * (p[:, i, 0] * p[:, j, 1] - p[:, j, 0] * p[:, i, 1])
    return total / 20.0


def _arc_area(arc: Arc) -> Floats:
    centre, chord = arc.centre, arc.end() - arc.start()
    return (arc.radius**2 * arc.sweep + centre[:, 0] * chord[:, 1] - centre[:, 1] * chord[:, 0]) / 2.0
