"""By which lengths cloth is bought, in figures and in words.

A quarter of a yard, as in published estimates (a costume hand-out buys 2 3/4 for 2.72 yards; a three-tier skirt, 2013, 5 1/4 for
5.19), or 5 cm (our choice).
"""

from __future__ import annotations

import math

YARD = 914.4
METRIC_STEP = 50.0  # mm


def bought(mm: float, unit: str) -> float:
    """The next length, in mm, that cloth is bought by."""
    step = YARD / 4 if unit == "in" else METRIC_STEP
    return math.ceil(mm / step - 1e-6) * step


def in_words(mm: float, unit: str) -> str:
    """That length in words."""
    if unit != "in":
        return f"{round(bought(mm, unit) / 10)} cm"
    quarters = round(bought(mm, unit) * 4 / YARD)
    whole, part = divmod(quarters, 4)
    words = " ".join(filter(None, [str(whole) if whole else "", ("", "1/4", "1/2", "3/4")[part]])) or "0"
    return f"{words} {'yard' if quarters <= 4 else 'yards'}"
