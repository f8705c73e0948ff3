"""Judging the corners across seams: a line that should run on and does not is a caution, unless the style says that a corner
is meant.  Nothing is said of a draft that has failed.  It names the line, says which way the cloth sticks out, and how to draw it fair."""

from __future__ import annotations

from collections.abc import Mapping

from ..geometry.arrays import Mask
from ..meaning.plan import Plan
from ..source.quantity import show_degrees
from .across import HALF_TURN, LIMIT, CornerRow
from .ledgers import Ledgers
from .steps import Run


def judge_corners(plan: Plan, ledgers: Ledgers, run: Run) -> None:
    """A caution for each line that has a corner where it should run on, unless the style says that one is meant."""
    points = {(piece.name, edge): point for piece in plan.pieces for edge, point in piece.corners.items()}
    drawn = ~run.failed()
    for row in ledgers.corners:
        _corner(row, points, drawn, run)


def _corner(row: CornerRow, points: Mapping[tuple[str, str], str], drawn: Mask, run: Run) -> None:
    place = {"seam": "at the seam", "fold": "on the fold", "dart": "at the dart"}[row.how]
    lines = row.one.named if row.one.named == row.other.named else f"{row.one.named} and {row.other.named}"
    corner = row.corners[0]
    point = corner.name if row.how == "dart" else points.get(corner)
    where = f", in the piece {corner.piece}" if row.how == "dart" else ""
    fair = f"Draw it fair{where}: {row.fair}." if row.fair else "Draw it square to the seam on both sides."
    meant = f" If it is meant, say so: corner meant at {corner.piece}.{point}" if point is not None else ""
    run.fail(
        row.corner & drawn,
        "D520",
        lambda i: f"{lines} {'comes' if row.one.named == row.other.named else 'come'} to {_shape_of(row, i)} {place} {row.across}",
        span=row.span,
        expected=f"a line that runs on, {show_degrees(HALF_TURN)}, within {show_degrees(LIMIT)}",
        found=lambda i: show_degrees(float(row.angle[i])),
        suggestion=fair + meant,
        severity="caution",
    )


def _shape_of(row: CornerRow, index: int) -> str:
    return "a point" if row.off[index] < 0.0 else "a hollow corner"
