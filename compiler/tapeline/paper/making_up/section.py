"""What a making-up sheet holds before it is laid out: headings, lists and steps, for the page and the PDF alike."""

from __future__ import annotations

from dataclasses import dataclass

from ..drawing.model import Drawing


@dataclass(slots=True)
class MakingUpStep:
    """One step as it is printed."""

    number: int
    title: str
    own: list[str]  # the style's own words
    lines: list[str]
    reasons: list[str]
    drawing: Drawing | None
    caption: str


@dataclass(slots=True)
class MakingUp:
    """The whole sheet."""

    title: str
    intro: list[str]
    headings: tuple[str, str, str]  # of the cautions, the pieces and the steps
    cautions: list[str]
    pieces: list[str]
    sections: list[MakingUpStep]
