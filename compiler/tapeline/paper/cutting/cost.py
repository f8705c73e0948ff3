"""What a garment costs by the prices that a house states, and nothing beside them.

`cost` gives {currency, rows, total, without}: a row is {what, for, count, length, price, per, sum}, lengths in mm, sums as decimal
figures in texts; without are the things that the list has and the house no price for.  Cloth is reckoned by the length to
buy, of the shortest lay; of a cloth asked for in several widths, by the first.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from ..house.prices import CLOTH, HOUR
from ..house.work import Work
from .buying import bought


def cost(data: dict[str, Any], work: Work) -> dict[str, Any] | None:
    """The cost of a list, as plain data; None where the house states no price."""
    prices = work.house.prices
    if not prices.stated:
        return None
    rows, without, total = [], [], Decimal(0)
    for what, key, count, length in _bought(data, work):
        price = prices.of.get(key)
        amount = None if price is None else price.of(count, length)
        if price is None or amount is None:
            without.append(what)
            continue
        total += amount
        counted = count if not price.per else 0
        rows.append(_row(what, counted, 0.0 if counted else length, price.amount, price.per, amount))
    labour = prices.labour(work.plan.name)
    if labour is not None and prices.hour is not None:
        hours, amount = labour
        total += amount
        rows.append({**_row("labour", 0, 0.0, prices.hour, HOUR, amount), "hours": hours})
    else:
        without.append("labour")
    return {"currency": prices.currency, "rows": rows, "total": str(total), "without": without}


def _row(what: str, count: int, length: float, price: Decimal, per: str, amount: Decimal) -> dict[str, Any]:
    return {"what": what, "count": count, "length": length, "price": str(price), "per": per, "sum": str(amount)}


def _bought(data: dict[str, Any], work: Work) -> Iterator[tuple[str, str, int, float]]:
    """What is bought: (what it is called, its key among the prices, how many, how much in mm)."""
    seen = set()
    for cloth in data["cloths"]:
        if cloth["for"] not in seen and cloth["lays"]:
            seen.add(cloth["for"])
            lay = cloth["lays"][-1]
            yield cloth["for"] or CLOTH, cloth["for"] or CLOTH, 0, bought(lay["length"] + lay["matching"], work.unit)
    counted = {
        "zip": (len(data["zips"]), sum(row["opening"] for row in data["zips"])),
        "bone": (sum(row["count"] for row in data["bones"]), sum(row["count"] * row["length"] for row in data["bones"])),
        "tape": (0, sum(row["total"] for row in data["tapes"])),
        "button": (sum(row["count"] for row in data["buttons"]), 0.0),
    }
    for name, (count, length) in counted.items():
        if count or length:
            yield name, name, count, length
