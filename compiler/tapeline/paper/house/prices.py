"""What a house pays for cloth and notions, and for its own work: nothing is reckoned that it does not state.

    currency = "GBP"                   # put behind every sum; may be left out

    [prices]
    cloth   = "24.00 per m"            # the garment's outside; any other cloth by what is cut for it
    lining  = "9.50 per m"
    zip     = "3.20"                   # each; notions by their names in the cutting list
    bone    = "4.10 per yd"

    [labour]
    hour           = "18.00"
    straight_skirt = 6.5               # hours that a style takes, by the style's name

Sums are kept as decimal figures, so that they add up as on paper.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from ...source.units import UNITS

CLOTH = "cloth"  # the key of the garment's outside
HOUR = "hour"
PER = ("m", "yd")
_PRICE = re.compile(r"(\d{1,7}(?:\.\d{1,4})?)(?: per (m|yd))?")
CENT = Decimal("0.01")
MOST_HOURS = 1000.0  # our own, above which a slip is likelier


class Price(NamedTuple):
    """Of one thing; or, where `per` is a unit of length, of so much of it."""

    amount: Decimal
    per: str = ""

    def of(self, count: int, length: float) -> Decimal | None:
        """What so many cost, or so much in mm; None where this price does not tell."""
        if self.per:
            return _rounded(self.amount * Decimal(repr(length)) / Decimal(repr(float(UNITS[self.per].mm)))) if length > 0 else None
        return _rounded(self.amount * count) if count else None


@dataclass(frozen=True, slots=True)
class Prices:
    currency: str = ""
    of: Mapping[str, Price] = field(default_factory=dict)
    hour: Decimal | None = None
    hours: Mapping[str, float] = field(default_factory=dict)  # style -> hours

    @property
    def stated(self) -> bool:
        return bool(self.of) or self.hour is not None

    def labour(self, style: str) -> tuple[float, Decimal] | None:
        """Hours that a style takes and what they cost, where the house states both."""
        hours = self.hours.get(style)
        if hours is None or self.hour is None:
            return None
        return hours, _rounded(self.hour * Decimal(repr(hours)))


def read_price(value: object) -> Price | None:
    """A price as a house writes it: "24.00 per m", "3.20", or a bare number; None for what is none."""
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        value = repr(value)
    match = _PRICE.fullmatch(" ".join(value.split())) if isinstance(value, str) else None
    if match is None:
        return None
    amount = Decimal(match[1])
    return Price(max(amount, amount.quantize(CENT), key=lambda figure: len(str(figure))), match[2] or "")  # 3.2 is written 3.20


def read_hours(value: object) -> float | None:
    """Hours of work; None for what are none."""
    known = isinstance(value, (int, float)) and not isinstance(value, bool) and 0 < value <= MOST_HOURS
    return float(value) if known and isinstance(value, (int, float)) else None


def _rounded(amount: Decimal) -> Decimal:
    return amount.quantize(CENT, ROUND_HALF_UP)
