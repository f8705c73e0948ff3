"""One style in several sizes, drafted together: the pieces and their named places, size beside size.

Arrays here have the size as their first axis, in the order of the run, NaN where a size has no such piece or place.  Sizes may take
different courses of a style; what they have in common is found by name.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np

from ..bodies.card import Card
from ..bodies.sizes import Sizes, leading_girth
from ..drafting.landmarks import distinct, landmarks
from ..finishing.finished import FinishedPiece
from ..finishing.whole import Whole
from .slopes import Slopes, slopes_of


@dataclass(slots=True, eq=False)
class Size:
    """One size: its measures, and where in which chunk it was drafted."""

    name: str
    card: Card
    whole: Whole
    place: int

    def piece(self, name: str) -> FinishedPiece | None:
        return next((one for one in self.whole.finished.pieces if one.piece.name == name), None)


@dataclass(slots=True, eq=False)
class SizeRun:
    """`base` is the place of the size from which the others are told."""

    style: object  # meaning.style.Style
    table: Sizes
    sizes: tuple[Size, ...]
    base: int
    measures: tuple[str, ...]  # that the style needs, in its own order
    _kept: dict = field(default_factory=dict)

    @property
    def names(self) -> list[str]:
        return [size.name for size in self.sizes]

    @property
    def pieces(self) -> list[str]:
        """The names of all pieces that any size has, the base's first."""
        order = [self.sizes[self.base], *self.sizes]
        return list(dict.fromkeys(one.piece.name for size in order for one in size.whole.finished.pieces))

    @property
    def leading(self) -> str:
        """The first girth that the style needs; empty where it needs none."""
        return leading_girth([size.card for size in self.sizes], self.style.measurements, self.measures)

    def values(self, measure: str) -> np.ndarray:
        return np.array([size.card.values[measure] for size in self.sizes])

    def one(self, piece: str) -> FinishedPiece:
        """The piece as the base has it, or else the first size that has it."""
        order = [self.sizes[self.base], *self.sizes]
        return next(found for size in order if (found := size.piece(piece)) is not None)

    def courses(self) -> list[list[str]]:
        """The names of the sizes of each course, in the order of their first."""
        parts: dict[int, list[str]] = {}
        for size in self.sizes:
            parts.setdefault(id(size.whole.draft.plan), []).append(size.name)
        return list(parts.values())

    def gathered(self, piece: str, read: Callable[[FinishedPiece], dict[str, np.ndarray]]) -> dict[str, np.ndarray]:
        """Name -> values (S, ...) of what `read` gives of a piece, name -> (N, ...), for every chunk that has it."""
        found: dict[str, np.ndarray] = {}
        of_chunk: dict[int, dict[str, np.ndarray]] = {}
        for k, size in enumerate(self.sizes):
            own = size.piece(piece)
            if own is None:
                continue
            if id(size.whole) not in of_chunk:
                of_chunk[id(size.whole)] = read(own)
            for name, values in of_chunk[id(size.whole)].items():
                if name not in found:
                    found[name] = np.full((len(self.sizes), *values.shape[1:]), np.nan)
                found[name][k] = values[size.place]
        return found

    def all_places(self, piece: str) -> dict[str, np.ndarray]:
        """Every name of every place (S, 2) of the net piece; one place may have several."""
        if piece not in self._kept:
            self._kept[piece] = self.gathered(piece, lambda one: landmarks(one.piece))
        return self._kept[piece]

    def places(self, piece: str) -> dict[str, np.ndarray]:
        """One name for each place (S, 2)."""
        return distinct({name: place for name, place in self.all_places(piece).items() if np.isfinite(place).any()})

    def slopes(self) -> list[Slopes]:
        """The slopes of every size, from the drafts that are there."""
        if "" not in self._kept:
            wholes = {id(size.whole): size.whole for size in self.sizes}
            self._kept[""] = [slopes_of(whole.draft, self.style) for whole in wholes.values()]
        return self._kept[""]

    def levels(self, piece: str) -> dict[str, np.ndarray]:
        """y (S,) of each level that runs straight across the piece."""
        return self.gathered(piece, lambda one: one.levels)


def size_run(style, table: Sizes, made: Sequence, base: int | None = None) -> SizeRun:
    """The run of what was made of each size in turn, with the base size's place, or the middle one as base."""
    sizes = tuple(Size(name, one.card, one.whole, one.place) for name, one in zip(table.names, made, strict=True))
    return SizeRun(style, table, sizes, (len(sizes) - 1) // 2 if base is None else base, style.needed)
