"""Judging a draft: what is wrong with its darts and outlines, seams that match, and the style's own requirements and cautions.

Each failure names its rule, the figures, and where it can the limit.
"""

from __future__ import annotations

import numpy as np

from ..meaning.plan import Plan, Requirement
from ..source.quantity import show_figure
from .corner_verdicts import judge_corners
from .dart_verdicts import judge_darts
from .fairness import judge_curves
from .fitting_verdicts import judge_fittings
from .hand_verdicts import judge_hands
from .ledgers import Ledgers
from .notch_verdicts import judge_notches
from .order_verdicts import judge_order
from .outline_verdicts import judge_outline
from .pattern import Pattern
from .seam_verdicts import judge_seams
from .steps import Run


def judge(plan: Plan, pattern: Pattern, ledgers: Ledgers, run: Run) -> None:
    """Record the failures of every body in `run`."""
    with np.errstate(all="ignore"):
        for piece in (*pattern.foundations, *pattern.pieces):
            judge_darts(piece, run)
            judge_outline(piece, run)
        judge_seams(ledgers, run)
        judge_fittings(plan, ledgers, run)
        judge_hands(pattern, ledgers.hands, run)
        _requirements(plan, run)
        judge_corners(plan, ledgers, run)
        judge_curves(pattern, run)
        judge_order(ledgers.order, run)
        judge_notches(pattern, run)


def _requirements(plan: Plan, run: Run) -> None:
    for rule in plan.requirements:
        answer = run.filled[rule.condition]
        mask = (answer < 0.5) if rule.severity == "error" else (answer > 0.5)

        def figures(i: int, rule: Requirement = rule) -> str:
            shown = [(words, show_figure(float(run.filled[slot][i]), kind.word, run.unit)) for words, slot, kind in rule.figures]
            return "; ".join(f"{words.replace('_', ' ')} is {figure}" for words, figure in shown if figure != words)

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
