"""The papers that drawings are printed on, and how a maker states one.

A paper is stated by its name (`A4`, `Letter`, `A3`, `Tabloid`, `A2`, `A1`, `A0`, `A4 and Letter alike`), as a roll by
its width (`roll 36 in`), or as a sheet of one's own (`30 cm x 40 cm`).  `read_paper` turns such words into a `Paper`
or says what is wrong with them.  Sizes: ISO 216, and ANSI/ASME Y14.1 A and B.

No page of a PDF may be over 14 400 units of 1/72 in, that is 200 in, long: above that the unit itself would have to
be changed, and few readers heed that (ISO 32000-1, 8.3.2.1, UserUnit).  A roll is therefore printed in lengths.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from ...source.diagnostics import Diagnostic, Refused
from ...source.quantity import read_length, show_length, show_number
from ...source.suggest import did_you_mean
from ...source.text import Source, Span

INCH = 25.4
LONGEST = 200 * INCH  # of a page, in a PDF
SMALLEST = 120.0  # of what can be printed on, across and down: the test square and its words
# Printers leave an edge blank: 1.8 to 6.7 mm on the sheet printers whose manuals were read (Konica Minolta 2490MF,
# HP Officejet 7210, HP LaserJet IIP), 18 mm on one roll plotter (sceya.com.au, printed sizes).
SHEET_MARGIN, ROLL_MARGIN = 10.0, 18.0
LARGE = 500.0  # a sheet with both sides over this comes out of a plotter


class PaperRefused(Refused):
    """A paper that cannot be used; `diagnostic` says why and what to do."""


class Paper(NamedTuple):
    name: str
    width: float
    height: float | None  # none: a roll
    file_part: str  # of the names of files printed on it

    @property
    def large(self) -> bool:
        return self.height is None or min(self.width, self.height) > LARGE

    @property
    def margin(self) -> float:
        return ROLL_MARGIN if self.large else SHEET_MARGIN

    @property
    def length(self) -> float:
        """The longest page: the sheet's height, or what a page of a roll may have."""
        return LONGEST if self.height is None else self.height

    def room(self) -> tuple[float, float]:
        """Width and height of what can be printed on."""
        return self.width - 2 * self.margin, self.length - 2 * self.margin


def _sheet(name: str, width: float, height: float, file_part: str = "") -> Paper:
    return Paper(name, width, height, file_part or name)


ALIKE = "A4 and Letter alike"
PAPERS: dict[str, Paper] = {
    paper.name: paper
    for paper in (
        _sheet(ALIKE, 210.0, 11 * INCH, "A4-Letter"),  # the area that both share
        _sheet("A4", 210.0, 297.0),
        _sheet("Letter", 8.5 * INCH, 11 * INCH),
        _sheet("A3", 297.0, 420.0),
        _sheet("Tabloid", 11 * INCH, 17 * INCH),
        _sheet("A2", 420.0, 594.0),
        _sheet("A1", 594.0, 841.0),
        _sheet("A0", 841.0, 1189.0),
    )
}
USUAL_ROLL = Paper("roll 36 in", 36 * INCH, None, "roll")
EXPECTED = f"{', '.join(PAPERS)}, a roll as in 'roll 36 in', or a sheet as in '30 cm x 40 cm'"


def read_paper(words: str, span: Span | None = None) -> tuple[Paper | None, list[Diagnostic]]:
    """The paper that is stated, or what is wrong.  No words: A4 and Letter alike.  P101, P102, P103."""
    text = " ".join(words.split())
    span = span or Span(Source("paper", text or " "), 0, max(1, len(text)))

    def refuse(code: str, title: str, expected: str, found: str, way_out: str) -> tuple[None, list[Diagnostic]]:
        return None, [Diagnostic(code, title, span, expected, found, way_out)]

    if not text:
        return PAPERS[ALIKE], []
    for name, listed in PAPERS.items():
        if text.casefold() == name.casefold():
            return listed, []
    paper = _roll(text) or _own_sheet(text)
    if paper is None:
        way_out = did_you_mean(text, list(PAPERS)) or "Give a name of the list, a roll's width, or a sheet's width and height."
        return refuse("P101", "This is not a paper that the program knows", EXPECTED, text[:60] or "nothing", way_out)
    if max(paper.width, paper.height or 0.0) > LONGEST:
        return refuse(
            "P102",
            "A page of a PDF cannot be this long",
            f"at most 200 in ({show_length(LONGEST, 'cm')}) across and down",
            _size(paper),
            "State a smaller sheet, or a roll: the drawing is then printed in lengths to be joined.",
        )
    if min(paper.room()) < SMALLEST:
        least = SMALLEST + 2 * paper.margin
        return refuse(
            "P103",
            "This paper is too small to print a pattern on",
            f"at least {show_length(least, 'mm')} across and down, so that the test square of 100 mm fits",
            _size(paper),
            "State a larger sheet.",
        )
    return paper, []


def _size(paper: Paper) -> str:
    sides = [show_length(side, "mm") for side in (paper.width, paper.height) if side is not None]
    return " x ".join(sides)


def _roll(text: str) -> Paper | None:
    match = re.fullmatch(r"roll (.+)", text, re.IGNORECASE)
    length = read_length(match[1]) if match else None
    if match is None or length is None or not length[1] or length[0] <= 0:
        return None
    return Paper(f"roll {match[1]}", float(length[0]), None, f"roll-{show_number(float(length[0]), 0)}mm")


def _own_sheet(text: str) -> Paper | None:
    sides = re.split(r"\s*[x\u00d7]\s*", text)
    if len(sides) != 2:
        return None
    first, second = (read_length(side) for side in sides)
    if first is not None and second is not None and second[1] and not first[1]:  # one unit said for both, as in "30 x 40 cm"
        first = read_length(f"{sides[0]} {second[1]}")
    if first is None or second is None or not second[1]:
        return None
    width, height = float(first[0]), float(second[0])
    if not (width > 0 and height > 0):
        return None
    part = "x".join(show_number(side, 1).replace(".", "_") for side in (width, height))
    return Paper(f"sheet {text}", width, height, f"{part}mm")
