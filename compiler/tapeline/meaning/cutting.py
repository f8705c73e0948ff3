"""How pieces are cut and how their allowances meet: words and whole numbers, known before anything is drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from ..source.text import Span


class AllowanceKind(NamedTuple):
    """One kind of seam allowance; `label` stands on papers with its width, in the words that
    `house.words` knows; it is empty where the width says all."""

    word: str  # as `allow` and a house file say it
    label: str


TURNED_UP, PLAIN_ALLOWANCE, NO_ALLOWANCE = "turned up", "plain", "none"
ALLOWANCE_KINDS = {  # hems first, as lists have them
    kind.word: kind
    for kind in (
        AllowanceKind(TURNED_UP, "{width} turned up"),
        AllowanceKind("faced", "{width} faced"),
        AllowanceKind("bound", "{width} bound"),
        AllowanceKind("for zip", "{width} for zip"),
        AllowanceKind(PLAIN_ALLOWANCE, ""),
    )
}


class CornerKind(NamedTuple):
    """One way in which two allowances meet; `doc` is the language reference's row."""

    word: str
    form: str  # as a style writes it
    doc: str


POINTED, SQUARE, CUT_OFF, AS_FOLDED = "pointed", "square to", "cut off", "as folded"
CORNER_KINDS = {
    kind.word: kind
    for kind in (
        CornerKind(
            POINTED,
            POINTED,
            "both cut lines run on until they meet. Usual, if nothing is said; too sharp a point is cut off",
        ),
        CornerKind(
            SQUARE,
            "square to EDGE",
            "EDGE, one of the two, keeps its allowance full to its end, which is square to it. Sewn along that edge, the ends of its "
            "allowance match",
        ),
        CornerKind(CUT_OFF, CUT_OFF, "cut straight across the corner"),
        CornerKind(
            AS_FOLDED,
            AS_FOLDED,
            "beyond the hem line the other edge's allowance is mirrored, so that the hem folded up lies flat on a slanting side. Usual "
            f"beside an edge `{TURNED_UP}`",
        ),
    )
}


INWARD = ("facing", "lining")  # the last word of what such a layer is for


def lies_inward(purpose: str) -> bool:
    """Whether the right side of what is cut for this lies to the body."""
    return bool(purpose) and purpose.split()[-1].lower() in INWARD


class Extra(NamedTuple):
    """A further layer, cut by a piece: how often, what for, and whether by the net line, without the piece's allowances."""

    times: int
    purpose: str
    net: bool = False

    @property
    def written(self) -> str:
        """What it is for, as a style says it behind `for`, without quotation marks."""
        return f"{self.purpose}, without allowances" if self.net else self.purpose


@dataclass(slots=True)
class Cut:
    """How a piece is cut from cloth: `count` times, as mirrored pairs where `paired`, or once on the fold."""

    count: int = 1
    fold: str | None = None  # the edge laid on the fold
    paired: bool = False
    extras: tuple[Extra, ...] = ()
    purpose: str = ""  # what the piece is for where it is not the garment's outside: lining, facing

    @property
    def is_inward(self) -> bool:
        """Whether the right side of the cloth lies to the body, as a facing's and a lining's."""
        return lies_inward(self.purpose)

    @property
    def is_single(self) -> bool:
        """Whether the cloth is there in one hand alone: cut once, or several times alike."""
        return self.fold is None and not self.paired

    @property
    def is_alike(self) -> bool:
        """Whether it is cut more than once, and all copies lie one way, so that none can be for one side of the body."""
        return self.is_single and self.count > 1

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
