"""One style in several sizes, drafted together: the pieces and their named places, size beside size.

Arrays here have the size as their first axis, in the order of the run, NaN where a size has no such piece or place.  Sizes may take
different courses of a style; what they have in common is found by name.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from ..bodies.card import Card
from ..bodies.sizes import Sizes, leading_girth
from ..drafting.landmarks import distinct, landmarks
from ..finishing.finished import FinishedPiece
from ..finishing.whole import Whole
from ..geometry.arrays import Floats
from ..meaning.style import Style
from .slopes import Slopes, slopes_of


@dataclass(slots=True, eq=False)
class Size:
    """One size: its measures, and where in which chunk it was drafted."""

    name: str
    card: Card
    whole: Whole
    place: int

    def piece(self, name: str) -> FinishedPiece | None:
        return next((finished for finished in self.whole.finished.pieces if finished.piece.name == name), None)


@dataclass(slots=True, eq=False)
class SizeRun:
    """`base` is the place of the size from which the others are told."""

    style: Style
    table: Sizes
    sizes: tuple[Size, ...]
    base: int
    measures: tuple[str, ...]  # that the style needs, in its own order
    _places: dict[str, dict[str, Floats]] = field(default_factory=dict)  # of each piece, once asked for
    _slopes: list[Slopes] | None = None

    @property
    def names(self) -> list[str]:
        return [size.name for size in self.sizes]

    @property
    def pieces(self) -> list[str]:
        """The names of all pieces that any size has, the base's first."""
        order = [self.sizes[self.base], *self.sizes]
        return list(dict.fromkeys(finished.piece.name for size in order for finished in size.whole.finished.pieces))

    @property
    def leading(self) -> str:
        """The first girth that the style needs; empty where it needs none."""
        return leading_girth([size.card for size in self.sizes], self.style.measurements, self.measures)

    def values(self, measure: str) -> Floats:
        return np.array([size.card.values[measure] for size in self.sizes])

    def representative(self, piece: str) -> FinishedPiece:
        """The piece as the base has it, or else the first size that has it."""
        order = [self.sizes[self.base], *self.sizes]
        return next(finished for size in order if (finished := size.piece(piece)) is not None)

    def courses(self) -> list[list[str]]:
        """The names of the sizes of each course, in the order of their first."""
        parts: dict[int, list[str]] = {}
        for size in self.sizes:
            parts.setdefault(id(size.whole.draft.plan), []).append(size.name)
        return list(parts.values())

    def gathered(self, piece: str, read: Callable[[FinishedPiece], dict[str, Floats]]) -> dict[str, Floats]:
        """Name -> values (S, ...) of what `read` gives of a piece, name -> (N, ...), for every chunk that has it."""
        gathered: dict[str, Floats] = {}
        of_chunk: dict[int, dict[str, Floats]] = {}
        for k, size in enumerate(self.sizes):
            own = size.piece(piece)
            if own is None:
                continue
            if id(size.whole) not in of_chunk:
                of_chunk[id(size.whole)] = read(own)
            for name, values in of_chunk[id(size.whole)].items():
                if name not in gathered:
                    gathered[name] = np.full((len(self.sizes), *values.shape[1:]), np.nan)
                gathered[name][k] = values[size.place]
        return gathered

    def all_places(self, piece: str) -> dict[str, Floats]:
        """Every name of every place (S, 2) of the net piece; one place may have several."""
        if piece not in self._places:
            self._places[piece] = self.gathered(piece, lambda finished: landmarks(finished.piece))
        return self._places[piece]

    def places(self, piece: str) -> dict[str, Floats]:
        """One name for each place (S, 2)."""
        return distinct({name: place for name, place in self.all_places(piece).items() if np.isfinite(place).any()})

    def slopes(self) -> list[Slopes]:
        """The slopes of every size, from the drafts that are there."""
        if self._slopes is None:
            wholes = {id(size.whole): size.whole for size in self.sizes}
            self._slopes = [slopes_of(whole.draft, self.style) for whole in wholes.values()]
        return self._slopes

    def levels(self, piece: str) -> dict[str, Floats]:
        """y (S,) of each level that runs straight across the piece."""
        return self.gathered(piece, lambda finished: finished.levels)


class OfOneBody(Protocol):
    """What was made of one body: its card, and where in which chunk it was drafted."""

    @property
    def card(self) -> Card: ...

    @property
    def whole(self) -> Whole: ...

    @property
    def place(self) -> int: ...


def size_run(style: Style, table: Sizes, made: Sequence[OfOneBody], base: int | None = None) -> SizeRun:
    """The run of what was made of each size in turn, with the base size's place, or the middle one as base."""
    sizes = tuple(Size(name, of_size.card, of_size.whole, of_size.place) for name, of_size in zip(table.names, made, strict=True))
    return SizeRun(style, table, sizes, (len(sizes) - 1) // 2 if base is None else base, style.needed)
