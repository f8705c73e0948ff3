"""Judging what fittings do to seams and layers: a difference that is eased in, and a facing or lining that did not follow, are cautions.

A way out is a line that can be added to the fitting: the same for the edge that did not follow, or the edge beside a seam by which
its other side is brought to the same length.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.dual import plain
from ..meaning.plan import LayerPlan, Plan
from ..source.diagnostics import CAUTION
from ..source.quantity import finely, show_length
from .assembly import SEAM_TOLERANCE
from .ledgers import Ledgers, SeamRow
from .pattern import Place
from .steps import Run

NOTHING = 1e-6  # mm


def judge_fittings(plan: Plan, ledgers: Ledgers, run: Run) -> None:
    """Record D649 of every seam whose sides differ since a fitting, and D650 of every layer that lies on a fitted edge and stays."""
    for row in ledgers.seams:
        _let_in(row, run)
    told: dict[tuple[Place | str, Place | str], Mask] = {}
    none = np.zeros(run.n, dtype=bool)
    for layer in plan.layers:  # those with a line first
        edges, pieces = (layer.moved, layer.layer), (layer.moved[0], layer.layer[0])
        before = told.get(edges, none) if layer.line else told.get(edges, none) | told.get(pieces, none)
        stayed = _stayed(layer, run.filled, before, run)
        told[edges] = told.get(edges, none) | stayed
        told[pieces] = told.get(pieces, none) | stayed


def _let_in(row: SeamRow, run: Run) -> None:
    fitted = row.fitted
    if fitted is None:
        return
    run.fail(
        np.abs(plain(fitted.let_in)) > NOTHING,
        "D649",
        f"What a fitting makes {row.one} and {row.other} differ by is eased in",
        span=row.span,
        expected=lambda i: "{} and {}, as before".format(*_shown(fitted.before, i, run.unit)),
        found=lambda i: "{} and {}: {}".format(*_shown((row.length_one, row.length_other), i, run.unit), _eased(row, i, run.unit)),
        suggestion=lambda i: f"Sew it so; or {_fitting(row, i, run.unit)}; or write: {_easing(row, i, run.unit)}",
        others=[(span, "fitted here") for span in fitted.said],
        severity=CAUTION,
    )


def _shown(lengths: tuple[Floats, Floats], i: int, unit: str) -> list[str]:
    """Two lengths, finely enough that they are seen to differ where they do by what is not nothing."""
    one, other = (float(plain(length)[i]) for length in lengths)
    show = finely(unit, lambda rounded: abs(one - other) < SEAM_TOLERANCE / 2.0 or rounded(one) != rounded(other))
    return [show(one), show(other)]


def _eased(row: SeamRow, i: int, unit: str) -> str:
    assert row.fitted is not None
    ease, stated = float(plain(row.ease)[i]), float(plain(row.ease - row.fitted.let_in)[i])
    longer = row.one if ease >= 0.0 else row.other
    instead = f" instead of {_fine(stated, unit)}" if stated > NOTHING else ""
    return f"{longer} is eased in by {_fine(abs(ease), unit)}{instead}"


def _easing(row: SeamRow, i: int, unit: str) -> str:
    ease = float(plain(row.ease)[i])
    one, other = row.sides if ease >= 0.0 else row.sides[::-1]
    return f"sew {one.written} to {other.written}, easing {_fine(abs(ease), unit).removeprefix('~')}"


def _fitting(row: SeamRow, i: int, unit: str) -> str:
    lines = fit_as_well(row, i, unit)
    return f"say as well: {lines}" if lines else "fit its two sides so that they agree"


def _fine(length: float, unit: str) -> str:
    """A length, finely enough that it is not nothing."""
    return finely(unit, lambda rounded: length == 0.0 or rounded(length) > 0.0)(length)


def fit_as_well(row: SeamRow, i: int, unit: str) -> str:
    """What else to take in or let out, so that both sides of a fitted seam agree again; empty where nothing is known of that kind."""
    if row.fitted is None:
        return ""
    stated = float(plain(row.ease - row.fitted.let_in)[i])
    off = float(plain(row.length_one - row.length_other)[i]) - stated
    lines = []
    for offer in row.fitted.offers:
        much = float(offer.each[i]) * (off if offer.side == 1 else -off)  # what its side lacks
        verb = "let out" if much > 0.0 else "take in"
        lines.append(f"{verb} {' and '.join(offer.edges)} {show_length(abs(much), unit).removeprefix('~')}")
    return " or ".join(lines)


def _stayed(layer: LayerPlan, filled: Mapping[int, Floats], told: Mask, run: Run) -> Mask:
    """Tell of the bodies (N,) of which it is not told yet; which they are."""
    if not {layer.was, layer.now, layer.length} <= filled.keys():
        return np.zeros(run.n, dtype=bool)
    was, now, length = (plain(filled[slot]) for slot in (layer.was, layer.now, layer.length))
    changed: Mask = np.abs(now - was) > SEAM_TOLERANCE
    stayed: Mask = (np.abs(was - length) <= SEAM_TOLERANCE) & ~told & (changed if not layer.line else True)
    moved, other = ".".join(layer.moved), ".".join(layer.layer)
    what = f"Say: {layer.line}" if layer.line else f"Move the edge beside {other} in the same way"
    run.fail(
        stayed,
        "D650",
        f"{moved} is fitted, and {other}, which lies on it, is not",
        span=layer.span,
        expected="layers that lie on each other moved alike",
        found=lambda i: f"{other} as it was, {show_length(float(length[i]), run.unit)} long",
        suggestion=f"{what}; or keep it, where only the one is meant.",
        severity=CAUTION,
    )
    return stayed
