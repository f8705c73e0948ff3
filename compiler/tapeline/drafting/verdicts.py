"""Judging a draft: what is wrong with its darts and outlines, seams that match, and the style's own requirements and cautions.

Each failure names its rule, the figures, and where it can the limit.
"""

from __future__ import annotations

import numpy as np

from ..meaning.plan import Plan, Requirement
from ..source.quantity import show_figure, show_length
from .dart_verdicts import judge_darts
from .ledgers import Ledgers, SeamRow
from .outline_verdicts import judge_outline
from .pattern import Pattern
from .steps import Run


def judge(plan: Plan, pattern: Pattern, ledgers: Ledgers, run: Run) -> None:
    """Record the failures of every body in `run`."""
    with np.errstate(all="ignore"):
        for piece in (*pattern.foundations, *pattern.pieces):
            judge_darts(piece, run)
            judge_outline(piece, run)
        _seams(ledgers, run)
        _requirements(plan, run)


def _seams(ledgers: Ledgers, run: Run) -> None:
    for row in ledgers.seams:
        {"gathered": _gathered, "eased": _eased}.get(row.kind, _matched)(row, run)


def _near(row: SeamRow, run: Run) -> str:
    return show_length(row.tolerance, "in" if run.unit == "in" else "mm")


def _gathered(row: SeamRow, run: Run) -> None:
    run.fail(
        row.length_one - row.length_other < -row.tolerance,
        "D450",
        f"{row.one} is to be gathered but is shorter than {row.other}",
        span=row.span,
        expected=lambda i: f"more than {show_length(row.length_other[i], run.unit)}",
        found=lambda i: show_length(row.length_one[i], run.unit),
        suggestion="Name the longer edge first.",
    )


def _eased(row: SeamRow, run: Run) -> None:
    uneven = np.abs(row.difference) > row.tolerance
    run.fail(
        row.ease < 0.0,
        "D451",
        f"{row.one} cannot be eased by less than nothing",
        span=row.span,
        expected="zero or more",
        found=lambda i: show_length(row.ease[i], run.unit),
        suggestion="Name the longer edge first, and by how much it is longer.",
    )
    run.fail(
        uneven & ~(row.ease < 0.0),
        "D450",
        f"{row.one} does not match {row.other} with what is eased in",
        span=row.span,
        expected=lambda i: f"{row.one} longer by {show_length(row.ease[i], run.unit)}, to within {_near(row, run)}",
        found=lambda i: f"{_lengths(row, i, run.unit)}: {_longer(row, i, run.unit)}",
        suggestion="Bring the edges to these lengths, or ease in what there is. The edge that is eased in stands "
        "first. An edge counts as often as its piece is cut.",
    )


def _matched(row: SeamRow, run: Run) -> None:
    run.fail(
        np.abs(row.difference) > row.tolerance,
        "D450",
        f"{row.one} and {row.other} do not match",
        span=row.span,
        expected=f"lengths that agree to {_near(row, run)}",
        found=lambda i: f"{_lengths(row, i, run.unit)}, {show_length(abs(row.difference[i]), run.unit)} apart",
        suggestion="Bring the edges to one length, or say how much is eased: sew ... to ..., easing "
        f"{'1/4 in' if run.unit == 'in' else '0.5 cm'}. "
        "An edge counts as often as its piece is cut.",
    )


def _lengths(row: SeamRow, index: int, unit: str) -> str:
    return f"{show_length(row.length_one[index], unit)} and {show_length(row.length_other[index], unit)}"


def _longer(row: SeamRow, index: int, unit: str) -> str:
    """By how much the first side of a seam is longer than the second, as drawn."""
    more = float(row.length_one[index] - row.length_other[index])
    return f"{'longer' if more >= 0.0 else 'shorter'} by {show_length(abs(more), unit)}"


def _requirements(plan: Plan, run: Run) -> None:
    for rule in plan.requirements:
        answer = run.filled[rule.condition]
        mask = (answer < 0.5) if rule.severity == "error" else (answer > 0.5)

        def figures(i: int, rule: Requirement = rule) -> str:
            shown = [(words, show_figure(float(run.filled[slot][i]), kind.word, run.unit)) for words, slot, kind in rule.figures]
            return "; ".join(f"{words} is {figure}" for words, figure in shown if figure != words)

        run.fail(
            mask,
            "D460" if rule.severity == "error" else "D461",
            rule.message,
            span=rule.span,
            expected=" ".join(rule.span.text.split()) if rule.severity == "error" else "",
            found=figures,
            suggestion="Change the choices or measures concerned, or the style." if rule.severity == "error" else "",
            others=((rule.used, "asked for here"),) if rule.used is not None else (),
            severity=rule.severity,
        )
