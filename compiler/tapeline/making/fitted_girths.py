"""Girths that a client's fittings bring below her own.

A style judges what it drafts by its own rules, before anything is fitted; how tight a garment may become on the stand it cannot
say.  So each girth as it is sewn is set beside the body's, and beside what was sewn without the fittings: one that was no less than the
body, and is less now, is told.  A style that is meant to be smaller than the body is so before as well, and nothing is said of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..drafting.ledgers import Ledgers
from ..source.diagnostics import CAUTION, Diagnostic
from ..source.quantity import show_length

LESS = 0.5  # mm; by more than this less than the body


def too_small(ledgers: Ledgers, place: int, unfitted: Mapping[str, float], body: str, unit: str) -> Iterator[Diagnostic]:
    """D652 for each level at which the body at a place is no longer gone round; `unfitted` has what was sewn there before, in mm."""
    for row in ledgers.girths:
        before = unfitted.get(row.level)
        if row.body is None or before is None:
            continue
        own, sewn = float(row.body[place]), float(row.sewn[place])
        if sewn < own - LESS <= before:
            figures = {name: show_length(mm, unit) for name, mm in (("own", own), ("sewn", sewn), ("before", before))}
            yield Diagnostic(
                "D652",
                f"Since it was fitted, the garment is smaller than the body at {row.level}",
                None,
                f"the body's own {figures['own']}, or more",
                f"{figures['sewn']} as it is sewn; before fitting {figures['before']}",
                f"Take in less at {row.level}, let out at another seam there; or keep it, where the cloth stretches or it is meant to be tight.",
                severity=CAUTION,
                body=body,
            )
