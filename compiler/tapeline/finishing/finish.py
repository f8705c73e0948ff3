"""Finishing, the whole stage: net pieces in, pieces ready to be cut out.

For every piece: an allowance for each edge, the ring of cut lines and corners, what cannot be cut, notches,
grain line and a place for words.  A body that fails has NaN for its cut line; its other marks stay, so that
they may be shown.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import numpy as np

from ..drafting.failures import Failure
from ..drafting.pattern import Allowance, Pattern, Piece
from ..geometry.arrays import Floats, Mask
from ..meaning.cutting import Corner
from .allowances import Ring, allowance_ring, resolved_allowances
from .balance import Marks, balance_marks
from .finished import Finished, FinishedNotch, FinishedPiece, HalfLevels
from .kept import NothingKept
from .levels import LevelsOnPieces
from .limits import impossible, negative
from .notches import place_notches
from .placing import place_words

NOTHING_KEPT = NothingKept()
SETTLED = 1e-4  # mm; places of the cut line nearer to each other are one


def finish(
    pattern: Pattern, unit: str = "cm", failed: Mask | None = None, kept: NothingKept = NOTHING_KEPT
) -> tuple[Finished, list[Failure]]:
    """All pieces of a pattern finished, for its N bodies, and the allowances that cannot be cut (T501-T504).

    `unit` is that of the lengths which the failures speak of; `failed` (N,) are bodies without a true draft, for whom nothing
    is worked out.  What was `kept` of a pattern before is not worked out again.
    """
    pieces: list[FinishedPiece] = []
    failures: list[Failure] = []
    levels = LevelsOnPieces(pattern, kept)
    rests_on = (pattern.pieces, pattern.foundations, pattern.seams, pattern.allowances, pattern.unmarked, pattern.meant)
    # For all pieces at once, when the first is asked for.
    marks = cache(lambda: kept.once("balance", rests_on, lambda: balance_marks(pattern, levels)))
    for piece in pattern.pieces:
        finished, found = finish_piece(pattern, piece, marks, levels, unit, failed, kept)
        pieces.append(finished)
        failures += found
    return Finished(
        pattern, tuple(pieces), lambda: tuple(_as_drafted(pattern, piece, levels) for piece in pattern.foundations)
    ), failures


def _as_drafted(pattern: Pattern, foundation: Piece, levels: LevelsOnPieces) -> FinishedPiece:
    """A foundation as it may be looked at: never cut, so without seam allowances."""
    return finish_piece(pattern, replace(foundation, cut=replace(foundation.cut, count=0, extras=(), purpose="")), Marks, levels)[0]


def finish_piece(
    pattern: Pattern,
    piece: Piece,
    marks: Callable[[], Marks],
    levels: LevelsOnPieces,
    unit: str = "cm",
    failed: Mask | None = None,
    kept: NothingKept = NOTHING_KEPT,
) -> tuple[FinishedPiece, list[Failure]]:
    """A piece finished; `marks` gives the notches of all edges, `levels` where the levels lie on those of a piece."""
    allowances = resolved_allowances(pattern, piece)
    failed = np.zeros(pattern.n, dtype=bool) if failed is None else failed
    if failed.all():
        return _unfinished(piece, allowances), []
    corners = pattern.corners.get(piece.name, ())
    rests_on = piece, allowances, corners, unit, failed
    cut_line, ring, failures = kept.once("cut line", rests_on, lambda: _cut_out(piece, allowances, corners, unit, failed))

    def place_marks() -> tuple[tuple[FinishedNotch, ...], dict[str, Floats], HalfLevels]:
        _, straight = levels[piece.name]
        shown = {name: straight[name] & (name not in pattern.unmarked) for name in straight}
        drawn = {name: np.where(shown[name], y, np.nan) for name, y in piece.levels.items()}
        uneven = {} if piece.halves is None else piece.halves.levels
        halves = {
            name: (np.where(shown[name], left, np.nan), np.where(shown[name], right, np.nan)) for name, (left, right) in uneven.items()
        }
        own = {place: found for place, found in marks().items() if place[0] == piece.name}
        return kept.once("notches", (*rests_on, own), lambda: place_notches(piece, ring, own)), drawn, halves

    def words() -> tuple[Floats, Floats]:
        return kept.once("words", (piece,), lambda: place_words(piece))

    return FinishedPiece(piece, cut_line, ring.runs, allowances, ring.corners, ring.leg_ends, ring.turn, words, place_marks), list(
        failures
    )


def _cut_out(
    piece: Piece, allowances: dict[str, Allowance], corners: tuple[Corner, ...], unit: str, failed: Mask
) -> tuple[Floats, Ring, list[Failure]]:
    """The cut line (N, K, 2) of a piece, how it came about, and what of it cannot be cut."""
    failures = negative(piece, allowances, unit)
    # A negative width must not take part in the corners of its neighbours.
    usable = {
        name: replace(allowance, width=np.where((allowance.width < 0.0) | failed, np.nan, allowance.width))
        for name, allowance in allowances.items()
    }
    ring = allowance_ring(piece, usable, corners)
    failures += impossible(piece, usable, corners, ring, unit)
    for run in ring.edges.values():
        run.forget()

    cut_line = _settled(ring.points)
    for failure in failures:
        cut_line = np.where(failure.bodies[:, None, None], np.nan, cut_line)
    return cut_line, ring, failures


def _settled(ring: Floats) -> Floats:
    """The ring (N, K, 2) with points that lie in one place but for rounding put into one: so no corner crosses itself by less than that."""
    apart = np.hypot(*np.moveaxis(np.diff(ring, axis=1, prepend=ring[:, :1]), -1, 0)) >= SETTLED
    apart[:, 0] = True
    own = np.maximum.accumulate(np.where(apart, np.arange(ring.shape[1]), 0), axis=1)
    round_again = np.hypot(*(ring[:, -1] - ring[:, 0]).T) < SETTLED
    own = np.where(round_again[:, None] & (own == own[:, -1:]), 0, own)
    return np.take_along_axis(ring, own[..., None], axis=1)


def _unfinished(piece: Piece, allowances: dict[str, Allowance]) -> FinishedPiece:
    """A piece that was drawn for no body: it has no cut line, and no mark a place."""
    n = len(piece.grain)
    nowhere = np.full((n, 2 * len(piece.edges), 2), np.nan)  # of each edge and of each corner one point
    return FinishedPiece(
        piece,
        nowhere,
        {edge.name: np.s_[2 * k : 2 * k + 1] for k, edge in enumerate(piece.edges)},
        allowances,
        (),
        np.empty((n, 0, 2)),
        np.full(n, np.nan),
        lambda: (np.full((n, 2, 2), np.nan), nowhere[:, 0]),
        lambda: ((), {name: np.full(n, np.nan) for name in piece.levels}, {}),
    )
