"""Places that are marked on a piece: a place stands where it lies on the piece, within its seams or on them.

After a cut both parts know every place that the piece had; each has those that lie on it.
"""

from __future__ import annotations

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.dual import plain
from ..geometry.outline import inside
from ..geometry.path import Path
from ..geometry.plane import choose, distance
from ..meaning.kinds import EDGE, POINT
from ..source.diagnostics import CAUTION
from ..source.quantity import passing, show_length
from .operations import operation
from .pattern import Edge
from .places import nearest_on
from .steps import Run

ON_EDGE = 1.0  # mm that a place may lie outside an edge and still count as on it; our own choice


@operation(takes=(POINT,), more=EDGE, gives=POINT)
def place_on_piece(run: Run, place: Floats, *edges: Edge, noun: str, cut_off: str = "") -> Floats:
    """The place (N, 2) where it lies on the piece, else nowhere.

    That it does not is an error where a `noun` is given for it; a caution where it was `cut_off` by a fitting, as it is then called.
    """
    outline = Path.join(*(edge.stitch_path() for edge in edges))
    at = plain(place)
    outside = ~inside(at[:, None], outline.flatten())[:, 0]
    if not outside.any():
        return place
    off = distance(plain(outline.point_at(np.nan_to_num(plain(nearest_on(outline, place))))), at)
    away = outside & (off > ON_EDGE)
    if noun:
        run.fail(
            away,
            "D580",
            f"The {noun} lies off the piece",
            expected=f"a place within the seams of the piece, or at most {show_length(ON_EDGE, run.unit)} outside them",
            found=lambda i: f"{passing(off[i], ON_EDGE, run.unit)} outside",
            suggestion="Move its point onto the piece, or see which measure or choice brings it off.",
        )
    if cut_off:
        run.fail(
            away,
            "D651",
            f"What a fitting takes away has the {cut_off} on it",
            expected="a place on the piece as it was fitted",
            found=lambda i: f"{passing(off[i], ON_EDGE, run.unit)} outside: it is left out",
            suggestion="Mark it on the cloth at the fitting; or say its point anew in the fitting, below: change piece",
            severity=CAUTION,
        )
    return choose(away, np.full((run.n, 2), np.nan), place)
