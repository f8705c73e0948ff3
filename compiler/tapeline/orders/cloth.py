"""Whether the cloth that was bought for an order is enough: each length set beside the shortest lay of what is cut from that cloth.

The lay is that of the cutting list, at the same width, what stripes or checks add to it counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ..paper.cutting.cutting_list import cutting_list
from ..paper.house.work import Work
from ..source.diagnostics import CAUTION, Diagnostic
from .order import OUTSIDE, Bought


def cloth_short(work: Work, lengths: Sequence[Bought]) -> list[Diagnostic]:
    """O105, a caution for each length that is too short, or for which nothing is cut."""
    if not lengths:
        return []
    cloths: dict[str, dict[str, Any]] = {}
    for row in cutting_list(work)["cloths"]:
        cloths.setdefault(row["for"], row)
    bought: dict[str, list[Bought]] = {}
    for length in lengths:
        bought.setdefault(length.purpose, []).append(length)
    told = []
    for purpose, parts in bought.items():
        if purpose not in cloths:
            told.append(_nothing_cut(purpose, parts[0], list(cloths)))
        elif cloths[purpose]["lays"]:
            told += _short(work, cloths[purpose], parts)
    return told


def _nothing_cut(purpose: str, length: Bought, known: Sequence[str]) -> Diagnostic:
    words = ", ".join(f"for {name}" if name != OUTSIDE else "the outside" for name in known) or "no cloth"
    return Diagnostic(
        "O105",
        f"Nothing of this garment is cut for {purpose or 'the outside'}",
        length.span,
        words,
        length.written,
        "Name the cloth as the cutting list does.",
        severity=CAUTION,
    )


def _short(work: Work, cloth: dict[str, Any], parts: Sequence[Bought]) -> list[Diagnostic]:
    lay = cloth["lays"][-1]
    needed, there = lay["length"] + lay["matching"], sum(length.mm for length in parts)
    if there >= needed:
        return []
    house, unit = work.house, work.unit
    what = f"Too little cloth is bought for {cloth['for']}" if cloth["for"] else "Too little cloth is bought"
    return [
        Diagnostic(
            "O105",
            what,
            parts[0].span,
            f"{house.show(needed, unit)}, by the {lay['kind']} lay at {house.show(cloth['width'], unit)} wide",
            f"{' and '.join(length.written for length in parts)}, {house.show(needed - there, unit)} too short",
            "Buy more, or look for a better lay: the program's is found by trial.",
            severity=CAUTION,
        )
    ]
