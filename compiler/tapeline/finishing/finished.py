"""What finishing yields: pieces ready to be cut, for N bodies at once.

A finished piece keeps its net piece and adds the cut line, a ring of as many points for every body, in which
each edge has its own slice and the corners lie between.  Points may be repeated in a ring (a run that a
corner cuts short rests on the corner's point); they never go back.  Millimetres; x across, y down the body;
NaN where a body failed.  What only papers ask for, notches and places for words, is worked out when it is first asked for:
thousands of bodies can be finished without.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from ..drafting.pattern import Allowance, Pattern, Piece
from ..geometry.arrays import Floats

HalfLevels: TypeAlias = dict[str, tuple[Floats, Floats]]


class ResolvedCorner(NamedTuple):
    """How the allowances of two neighbouring edges meet: `kind` (N,) of words, one for each body.

    The words are pointed, square to one of the edges (which is named), cut off, as folded, ended short (widths too unlike
    to meet: the wider allowance ends square to its edge) and fold (cut at the fold line itself).
    """

    edge_in: str
    edge_out: str
    kind: npt.NDArray[np.str_]


@dataclass(slots=True, eq=False)
class FinishedNotch:
    """A balance mark: from `on_stitch` (N, 2) square out to `on_cut` (N, 2).  NaN for bodies that have none
    there.  `kind` tells why it is there: it is stated by the style, a "level", "balance", "joint", "centre", "middle", "end" or "open" place
    (see `balance`), or the foot of a "dart" or the end of a "pleat".  `at` (N,) is how far along the edge as sewn it lies, `fellows`
    what it meets when `seam` is sewn: piece and edge, and how far (N,) along that.
    """

    edge: str
    name: str
    on_stitch: Floats
    on_cut: Floats
    kind: str = ""
    at: Floats | None = None
    seam: str = ""
    fellows: tuple[tuple[tuple[str, str], Floats], ...] = ()
    side: str = ""  # of the body, where one alone has it


@dataclass(eq=False)
class FinishedPiece:
    piece: Piece
    cut_line: Floats  # (N, K, 2) ring, the first point not repeated at its end
    runs: dict[str, slice]  # edge -> its part of the cut line, without the corners
    allowances: dict[str, Allowance]  # as resolved: every edge has one, a fold edge one of no width
    corners: tuple[ResolvedCorner, ...]
    leg_ends: Floats  # (N, M, 2) where the legs of darts and pleats, run on, end on the cut line, edge by edge
    turn: Floats  # (N,) +1 where the ring runs from +x toward +y, else -1
    place_words: Callable[[], tuple[Floats, Floats]]  # for `grain_line` and `label_at`
    place_marks: Callable[[], tuple[tuple[FinishedNotch, ...], dict[str, Floats], HalfLevels]]  # for `notches`, `levels`, `half_levels`

    @cached_property
    def _words(self) -> tuple[Floats, Floats]:
        return self.place_words()

    @cached_property
    def _marks(self) -> tuple[tuple[FinishedNotch, ...], dict[str, Floats], HalfLevels]:
        return self.place_marks()

    @property
    def grain_line(self) -> Floats:
        """Its two ends (N, 2, 2)."""
        return self._words[0]

    @property
    def label_at(self) -> Floats:
        """The centre (N, 2) of a free place for words."""
        return self._words[1]

    @property
    def notches(self) -> tuple[FinishedNotch, ...]:
        return self._marks[0]

    @property
    def levels(self) -> dict[str, Floats]:
        """The y (N,) of each level that runs straight across, else NaN."""
        return self._marks[1]

    @property
    def half_levels(self) -> HalfLevels:
        """Of a whole piece whose halves differ the y (N,) on the left and on the right of levels that lie at two depths, else NaN."""
        return self._marks[2]


@dataclass(eq=False)
class Finished:
    pattern: Pattern
    pieces: tuple[FinishedPiece, ...]
    finish_foundations: Callable[[], tuple[FinishedPiece, ...]] = tuple  # for `foundations`

    @cached_property
    def foundations(self) -> tuple[FinishedPiece, ...]:
        """The foundations as they are drafted: cut no times, without seam allowances."""
        return self.finish_foundations()

    def piece(self, name: str) -> FinishedPiece:
        return next(finished for finished in self.pieces if finished.piece.name == name)
