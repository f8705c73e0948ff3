"""The drafting sheet laid on pages for the PDF: the same headings, steps and small drawings as the HTML page.

Text runs down the page; beside a piece's drawing the lines are as much shorter.  A step is never parted.
"""

from __future__ import annotations

from ..drawing.lettering import CAUTION, RISE, text_width, wrap
from ..drawing.model import Drawing, Leaf, Text, each_item, shifted
from ..house.work import Work
from ..sheets.pdf import Layer, Page
from .drawing import BESIDE, piece_drawing
from .section import HandDraft, HandSection, HandStep
from .telling import AS_SEWN, as_sewn, exactness, figures, heading_of, phases, reading, step_words, title

SIDE, TOP = 14.0, 13.0  # margins
LEAD = 1.42  # from line to line, parts of the size
BODY, H1, H2, H3 = 3.4, 6.0, 4.8, 3.9
INDENT, GAP = 9.0, 5.0
FACE = 1.1  # lengths of lines are reckoned for wider faces than a PDF's own


class _TextFlow:
    """Pages filled from the top."""

    def __init__(self, width: float, height: float, foot: str) -> None:
        self.width, self.height, self.foot = width, height, foot
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

    def step(self, step: HandStep) -> None:
        """A numbered step, its name in bold."""
        self.room(len(self._parted(step)) * BODY * LEAD)
        for number, (line, indent) in enumerate(self._parted(step)):
            y = self.y + RISE * BODY
            if number == 0:
                self.items.append(Text(SIDE + INDENT - 2.0, y, BODY, f"{step.number}.", "end"))
                if step.name:
                    self.items.append(Text(SIDE + INDENT, y, BODY, f"{step.name}:", "start", 0.0, "bold"))
            if line:
                self.items.append(Text(SIDE + INDENT + indent, y, BODY, line))
            self.y += BODY * LEAD
        self.y += 0.6

    def _parted(self, step: HandStep) -> list[tuple[str, float]]:
        """(line, indent) of a step's words; the first line begins behind the name."""
        words = step_words(step)
        room = self.measure(INDENT)
        if not step.name:
            return [(line, 0.0) for line in wrap(words, BODY, room)]
        words = words[len(step.name) + 2 :]
        behind = text_width(f"{step.name}: ", BODY, "bold") / CAUTION
        first = wrap(words, BODY, max(room - behind, 1.0))[0]
        if text_width(first, BODY) > room - behind:
            return [("", behind), *((line, 0.0) for line in wrap(words, BODY, room))]
        rest = words[len(first) :].strip(" ")
        return [(first, behind), *((line, 0.0) for line in wrap(rest, BODY, room))]


def sheet_pages(draft: HandDraft, work: Work) -> list[Page]:
    """The whole sheet as pages."""
    paper = work.sheet
    name = title(work)
    flow = _TextFlow(paper.width, paper.length, name)
    flow.words(name, H1, "bold")
    if work.house.name:
        flow.words(work.house.name)
    flow.words("Drafting sheet: to be drawn by hand with ruler, square, tape and curve.", before=1.0)
    if work.heading.prose:
        flow.words(work.heading.prose, before=1.0)
    for fact in work.heading.facts(work.house.in_english()):
        flow.words(fact, before=1.0)
    flow.words("Measures and choices", H2, "bold", before=4.0, keep=8.0)
    flow.words("; ".join(f"{row}: {words}".replace(" ", "\u00a0") for row, words in figures(draft, work)) + ".", before=1.0)
    flow.words("How to read the steps", H2, "bold", before=4.0, keep=8.0)
    for line in (*reading(draft), *exactness(draft)):
        flow.words(line, before=1.0)
    for section in draft.sections:
        _section(flow, section, work.index)
    for k, line in enumerate(as_sewn(draft)):
        if k == 0:
            flow.words(AS_SEWN, H2, "bold", before=6.0, keep=8.0)
        flow.words(line, before=1.0)
    count = len(flow.pages)
    pages = []
    for number, items in enumerate(flow.pages, 1):
        foot = Text(paper.width - SIDE, paper.length - TOP, 2.8, f"{name}, by hand, page {number} of {count}", "end")
        pages.append(Page(paper.width, paper.length, (Layer((*items, foot)),), f"Page {number}"))
    return pages


def _section(flow: _TextFlow, section: HandSection, index: int) -> None:
    drawing = piece_drawing(section, index)
    flow.room(drawing.height + 18.0)
    flow.words(heading_of(section), H2, "bold", before=6.0, keep=drawing.height)
    flow.figure(drawing)
    for line in section.intro:
        flow.words(line, before=0.6)
    for heading, steps in phases(section.steps):
        flow.words(heading, H3, "bold", before=2.2, keep=10.0)
        for step in steps:
            flow.step(step)
    flow.past_figure()
