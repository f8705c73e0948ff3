"""Words and small drawings set on pages from the top, for sheets that are read: headings, lines, a drawing at the right.

Beside a drawing the lines are as much shorter; a page ends where the next lines, and what is to be kept with them, would not fit.
"""

from __future__ import annotations

from collections.abc import Callable

from ..drawing.lettering import RISE, wrap
from ..drawing.model import Drawing, Leaf, Text, each_item, shifted
from .pdf import Layer, Page

SIDE, TOP = 14.0, 13.0  # margins
LEAD = 1.42  # from line to line, parts of the size
BODY, H1, H2, H3 = 3.4, 6.0, 4.8, 3.9
GAP = 5.0
FACE = 1.1  # lengths of lines are reckoned for wider faces than a PDF's own
BESIDE = 118.0  # mm; beside a wider drawing there is no room for words


class TextFlow:
    """Pages filled from the top."""

    def __init__(self, width: float, height: float) -> None:
        self.width, self.height = width, height
        self.pages: list[list[Leaf]] = []
        self._new_page()

    def _new_page(self) -> None:
        self.items: list[Leaf] = []
        self.pages.append(self.items)
        self.y, self.beside, self.until = TOP, 0.0, 0.0

    def room(self, high: float) -> None:
        """A new page unless so much is left of this one."""
        if self.y + high > self.height - TOP - 6.0:
            self._new_page()

    def measure(self, indent: float = 0.0) -> float:
        """How long a line may be here."""
        return (self.width - 2 * SIDE - indent - (self.beside if self.y < self.until else 0.0)) * FACE

    def figure(self, drawing: Drawing) -> None:
        """A drawing at the right, lines beside it if there is room for them."""
        self.room(drawing.height + 3.0)
        left = self.width - SIDE - drawing.width
        self.items += [shifted(item, left, self.y) for item in each_item(drawing.items)]
        self.beside, self.until = drawing.width + GAP, self.y + drawing.height + 2.0
        if drawing.width > BESIDE:
            self.past_figure()

    def past_figure(self) -> None:
        self.y = max(self.y, self.until)

    def words(self, words: str, size: float = BODY, weight: str = "normal", before: float = 0.0, keep: float = 0.0) -> None:
        lines = wrap(words, size, self.measure(), weight)
        self.room(before + len(lines) * size * LEAD + keep)
        self.y += before
        for line in wrap(words, size, self.measure(), weight):
            self.items.append(Text(SIDE, self.y + RISE * size, size, line, "start", 0.0, weight))
            self.y += size * LEAD

    def numbered(self, foot: Callable[[int, int], str]) -> list[Page]:
        """The pages, each with its foot: what is said of its number and how many there are."""
        pages = []
        for number, items in enumerate(self.pages, 1):
            line = Text(self.width - SIDE, self.height - TOP, 2.8, foot(number, len(self.pages)), "end")
            pages.append(Page(self.width, self.height, (Layer((*items, line)),), f"Page {number}"))
        return pages
