"""Judging notches that the style states on both sides of a seam: those that are meant for each other must meet when it is sewn.

A notch that is stated on one side alone has its fellow by itself (`finishing.balance`), so this can only go wrong where both are
stated: nearer to each other than the two of a pair stand, and yet not at one place.
"""

from __future__ import annotations

import numpy as np

from ..geometry.arrays import Floats
from ..source.quantity import passing
from .across import Sewn
from .chains import SeamSection, SeamStretch, is_of_pieces, sections
from .openings import zipped_ends
from .pattern import Notch, Pattern, Seam
from .steps import Run

MEETS = 0.5  # mm; notches whose places on both sides of a seam lie nearer meet
FELLOW = 5.0  # mm; two notches that are nearer are meant for each other: half of what the two of a pair are apart


def judge_notches(pattern: Pattern, run: Run) -> None:
    """A caution for every two notches that are meant for each other and do not meet."""
    seams = [seam for seam in pattern.seams if _states_both(pattern, seam)]
    if not seams:
        return
    sewn, zipped, drawn = Sewn(pattern, run), zipped_ends(pattern, run), ~run.failed()
    for seam in seams:
        for section in sections(sewn, seam, zipped) if is_of_pieces(sewn, seam) else ():
            for notch, way in _stated(sewn, section.one):
                for other, there in _stated(sewn, section.other):
                    off = np.abs(section.swapped().on_other(there) - way)
                    _judge((notch, other), section, np.where((off > MEETS) & (off < FELLOW) & drawn, off, np.nan), run)


def _judge(notches: tuple[Notch, Notch], section: SeamSection, off: Floats, run: Run) -> None:
    names = [f"{stretch.place[0]}.{stretch.place[1]}" for stretch in (section.one, section.other)]
    run.fail(
        np.isfinite(off),
        "D570",
        f"Two notches do not meet when {names[0]} is sewn to {names[1]}",
        span=notches[1].span,
        expected="notches that lie on each other",
        found=lambda i: f"{passing(float(off[i]), 0.0, run.unit)} between them",
        suggestion=f"Take one of the two away: the notch of {names[0]} has its fellow on the other side by itself.",
        others=((notches[0].span, "the other notch"),),
        severity="caution",
    )


def _states_both(pattern: Pattern, seam: Seam) -> bool:
    stated = {(piece.name, notch.edge) for piece in pattern.pieces for notch in piece.notches}
    return seam.one != seam.other and not stated.isdisjoint(seam.one) and not stated.isdisjoint(seam.other)


def _stated(sewn: Sewn, stretch: SeamStretch) -> list[tuple[Notch, Floats]]:
    piece, edge = stretch.place
    return [(notch, stretch.way(notch.at)) for notch in sewn.pieces[piece].notches if notch.edge == edge]
