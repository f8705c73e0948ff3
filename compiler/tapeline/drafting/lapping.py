"""What laps over at the centre of an uneven body: both fronts end in one place there, and each button has its buttonhole.

Fronts that are not sewn to each other are a pair whose front edge no seam compares.  As drawn, the one is the other turned over
along the grain, so that places which come to lie on each other are equally far down the paper.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from ..geometry.arrays import Floats
from ..source.quantity import show_length
from ..source.text import Span
from .failures import Failure
from .joining import MATCH
from .pattern import Pattern, Piece, Place
from .sided_steps import SIDES


def unlike_fronts(pattern: Pattern, edges: Iterable[Place], unit: str) -> Iterator[Failure]:
    """Where the left and the right piece of a pair differ along some edges at the centre, and in their buttons."""
    pieces = {piece.name: piece for piece in pattern.pieces}
    for name, edge in edges:
        both = [pieces[f"{side}_{name}"].edge(edge) for side in SIDES]
        ends = [np.sort([float(at[0, 1]) for at in (one.start(), one.end())]) for one in both]
        yield from _unlike(f"The two fronts do not meet along {edge} of {name}", ends, both[0].span, unit)
    for piece in pattern.pieces:
        fellow = pieces.get(f"{SIDES[1]}_{piece.name.removeprefix(f'{SIDES[0]}_')}")
        if piece.name.startswith(f"{SIDES[0]}_") and fellow is not None:
            (buttons, no_holes), (no_buttons, holes) = _fastenings(piece), _fastenings(fellow)
            if len(buttons) == len(holes) > 0 and not len(no_holes) and not len(no_buttons):
                title = f"Buttons of {piece.name} and buttonholes of {fellow.name} lie apart"
                yield from _unlike(title, [buttons, holes], piece.span, unit)


def _fastenings(piece: Piece) -> tuple[Floats, Floats]:
    """How far down the paper the buttons (K,) and the buttonholes (L,) of a piece lie."""
    buttons = [float(mark.at[0, 1]) for mark in piece.point_marks if mark.kind == "button"]
    holes = [float(mark.path.start()[0, 1]) for mark in piece.marks if mark.kind == "buttonhole"]
    return np.sort(np.array(buttons)), np.sort(np.array(holes))


def _unlike(title: str, places: list[Floats], span: Span | None, unit: str) -> Iterator[Failure]:
    worst = int(np.argmax(np.abs(places[0] - places[1])))
    one, other = (float(side[worst]) for side in places)
    if abs(one - other) > MATCH:
        yield Failure(
            "D630",
            title,
            span,
            np.ones(1, dtype=bool),
            expected=f"places on the left and the right that agree to {show_length(MATCH, 'mm')}",
            found=f"{show_length(abs(one - other), unit)} apart",
            suggestion="Give what decides the length at the centre as one measure of the whole body, without sides.",
        )
