"""What is said of the draft of an uneven client: that a side fails, that its sides would take different courses, that a piece cannot
be told left from right, or cannot follow the sides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from ..source.diagnostics import CAUTION, ERROR
from .courses import Draft, Outcomes
from .failures import Failure, Words, said
from .pattern import LEFT, RIGHT, Piece
from .sided_steps import MEAN, SIDES
from .steps import Run


def one_course(drafted: Draft, asked: Sequence[Outcomes], taken: Outcomes) -> Failure:
    """That the bodies by themselves would go different ways at a fork."""
    forks = [fork for fork in drafted.plan.forks if any(way.get(fork.question) != taken.get(fork.question) for way in asked)]
    words = {MEAN: "the whole body", LEFT: "the left", RIGHT: "the right"}
    here = [words[name] for name, way in zip((MEAN, *SIDES), asked, strict=True) if way == taken]
    span = forks[0].span if forks else None
    return Failure(
        "D631",
        "The two sides of this body would be drafted by different rules",
        span,
        np.ones(1, dtype=bool),
        expected="one course of the rules for both sides",
        found=f"drafted as {' and '.join(here)} would be",
        suggestion="Look at the piece; where the other way is better, set the choice concerned, or the measure alike on both sides.",
        severity=CAUTION,
    )


def failed_on(drafted: Draft, side: str, run: Run) -> Draft:
    """The draft of a body of which one side cannot be drafted, whose failures say which."""

    def of_side(words: Words) -> Words:
        return lambda i: f"On the {side}: {said(words, i)}"

    failures = [replace(failure, title=of_side(failure.title)) for failure in run.failures if failure.severity == ERROR]
    return replace(drafted, failures=failures)


def not_told(piece: Piece) -> Failure:
    """That it is not known which of a pair that differs is as drawn."""
    return Failure(
        "D632",
        f"It is not told whether {piece.name} is the left or the right as it is drawn",
        piece.span,
        np.ones(1, dtype=bool),
        expected="a piece whose seams tell on which side of the body it lies",
        found="taken to be the left, and turned over for the right",
        suggestion="Say it in the piece: worn on the left; or: worn on the right.",
        severity=CAUTION,
    )


def cut_alike(piece: Piece) -> Failure:
    """That a piece whose copies are all alike cannot follow the sides."""
    return Failure(
        "D633",
        f"{piece.name} is cut alike, so it is drawn by the mean of both sides",
        piece.span,
        np.ones(1, dtype=bool),
        expected="a piece that does not rest on what differs between the sides, or one of which each side has its own",
        found=f"cut {piece.cut.count} alike",
        suggestion="Fit it on the body; or write it in pairs, cut 2, or on the fold, where that can be worn.",
        severity=CAUTION,
    )
