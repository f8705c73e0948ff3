"""How pieces are cut and how their allowances meet: words and whole numbers, known before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass

from ..source.text import Span

SQUARE = "square to"  # the kind of a corner whose end is squared to one of its edges


@dataclass(slots=True)
class Cut:
    """How a piece is cut from cloth: `count` times, as mirrored pairs where `paired`, or once on the fold."""

    count: int = 1
    fold: str | None = None  # the edge laid on the fold
    paired: bool = False
    extras: tuple[tuple[int, str], ...] = ()  # further layers: (how many, what for)
    purpose: str = ""  # what the piece is for where it is not the garment's outside: lining, facing

    @property
    def instances(self) -> int:
        """How often each edge of the drawn piece stands in the finished garment (further layers not counted)."""
        return self.count * (2 if self.fold else 1)


@dataclass(slots=True)
class Corner:
    """How the allowances meet where two edges meet: `kind` is pointed, cut off, as folded, or square to the first of `edges`."""

    edges: tuple[str, str]
    kind: str
    span: Span
