"""Judging hands: seams that would lay a piece wrong side up, and pieces that seams, or what is said of them, give two sides."""

from __future__ import annotations

from .hands import HandConflict, HandLedger, OneHanded
from .pattern import Pattern
from .steps import Run


def judge_hands(pattern: Pattern, hands: HandLedger, run: Run) -> None:
    """Record the failures D620 and D621; they hold of all bodies alike."""
    for fault in hands.one_handed:
        _one_handed(pattern, fault, run)
    for conflict in hands.conflicts:
        _conflict(pattern, conflict, run)


def _one_handed(pattern: Pattern, fault: OneHanded, run: Run) -> None:
    (one, first), (other, second) = fault.one, fault.other
    count = pattern.piece(one).cut.count
    alike = one == other
    run.fail(
        True,
        "D620",
        f"{one}.{first} and {other}.{second} are of one hand" if not alike else f"{one}.{first} meets its own like",
        span=fault.seam.span,
        expected="edges that meet with the right side of both pieces up",
        found=f"{count} of {one}, all alike: one would lie wrong side up"
        if alike
        else f"{one} and {other}, each cut as it is drawn: one would lie wrong side up",
        suggestion=f"Cut {one} in mirrored pairs: cut {count + count % 2}" if alike else f"Write below the piece {other}: mirror",
    )


def _conflict(pattern: Pattern, conflict: HandConflict, run: Run) -> None:
    piece = pattern.piece(conflict.piece)
    said = bool(piece.side)
    run.fail(
        True,
        "D621",
        f"{piece.name} would be for the {conflict.told} and for the {conflict.other}",
        span=conflict.span,
        expected=f"the {conflict.told}, as it is drawn, right side of the cloth up" + (": so it is said" if said else ""),
        found=f"the {conflict.other}, by {conflict.by}",
        suggestion=f"Write below the piece {piece.name}: mirror; or say: worn on the {conflict.other}"
        if said
        else "Mirror one of the pieces, or sew it by its other edge.",
        others=((piece.span, "the piece"),) if conflict.span != piece.span else (),
    )
