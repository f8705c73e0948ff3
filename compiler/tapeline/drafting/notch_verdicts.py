"""Judging notches: those that the style states on both sides of a seam and means for each other must meet when it is sewn.

A notch that is stated on one side alone has its fellow by itself (`finishing.balance`), so this can only go wrong where both are
stated: nearer to each other than the two of a pair stand, and yet not at one place.

Two sides that go all round get none by themselves unless something tells where they begin; and what the style matches must tell that.
"""

from __future__ import annotations

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..source.diagnostics import CAUTION, NOTE
from ..source.quantity import passing
from .across import Sewn
from .chains import SeamSection, SeamStretch, is_matched, is_of_pieces, is_told, sections
from .openings import zipped_ends
from .pattern import Notch, Pattern, Seam
from .steps import Run

MEETS = 0.5  # mm; notches whose places on both sides of a seam lie nearer meet
FELLOW = 5.0  # mm; two notches that are nearer are meant for each other: half of what the two of a pair are apart


def judge_notches(pattern: Pattern, run: Run) -> None:
    """A caution for every two notches that are meant for each other and do not meet, and for what is matched in vain; a note for
    every seam that has no notches since nothing tells where its sides begin."""
    stated = [seam for seam in pattern.seams if _states_both(pattern, seam)]
    matched = [seam for seam in pattern.seams if seam.matched is not None]
    rings = [seam for seam in pattern.seams if seam.matched is None and seam.notched and len(seam.one) > 1 and len(seam.other) > 1]
    if not (stated or matched or rings):
        return
    sewn, drawn = Sewn(pattern, run), ~run.failed()
    zipped = zipped_ends(sewn)
    for seam in matched:
        if is_of_pieces(sewn, seam) and not is_matched(sewn, seam, zipped):
            _matched_in_vain(seam, drawn, run)
    for seam in rings:
        if is_of_pieces(sewn, seam) and seam.one != seam.other and not is_told(sewn, seam, zipped):
            _not_told(seam, drawn, run)
    for seam in stated:
        for section in sections(sewn, seam, zipped) if is_of_pieces(sewn, seam) else ():
            for notch, way in _stated(sewn, section.one):
                for other, there in _stated(sewn, section.other):
                    off = np.abs(section.swapped().on_other(there) - way)
                    _judge((notch, other), section, np.where((off > MEETS) & (off < FELLOW) & drawn, off, np.nan), run)


def _matched_in_vain(seam: Seam, drawn: Mask, run: Run) -> None:
    run.fail(
        drawn,
        "D615",
        "What is matched tells nothing here, since a side of the seam does not go all round",
        span=seam.span,
        expected="two sides whose ends come together, as those of a sleeve cap and of an armhole do",
        found=f"an end where {seam.written} is sewn to nothing more",
        suggestion="Take `matching` away; or sew the edges beside these, so that both sides close.",
        severity=CAUTION,
    )


def _not_told(seam: Seam, drawn: Mask, run: Run) -> None:
    run.fail(
        drawn,
        "D616",
        "A seam has no notches, since both its sides go all round and nothing tells where they begin",
        span=seam.span,
        expected="a place on either side that lies on one of the other",
        found=f"{seam.written}, whose edges do not meet end to end",
        suggestion=f"Add where they lie together, as in: matching {seam.one[0][0]}.POINT to {seam.other[0][0]}.POINT; or: without notches",
        severity=NOTE,
    )


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
        severity=CAUTION,
    )


def _states_both(pattern: Pattern, seam: Seam) -> bool:
    stated = {(piece.name, notch.edge) for piece in pattern.pieces for notch in piece.notches}
    return seam.one != seam.other and not stated.isdisjoint(seam.one) and not stated.isdisjoint(seam.other)


def _stated(sewn: Sewn, stretch: SeamStretch) -> list[tuple[Notch, Floats]]:
    piece, edge = stretch.place
    return [(notch, stretch.way(notch.at)) for notch in sewn.pieces[piece].notches if notch.edge == edge]
