"""The drafting sheet laid on pages for the PDF: the same headings, steps and small drawings as the HTML page.

Text runs down the page; beside a piece's drawing the lines are as much shorter.  A step is never parted.
"""

from __future__ import annotations

from ..drawing.lettering import CAUTION, RISE, text_width, wrap
from ..drawing.model import Text
from ..house.work import Work
from ..sheets.flow import BODY, H1, H2, H3, LEAD, SIDE, TextFlow
from ..sheets.pdf import Page
from .drawing import piece_drawing
from .section import HandDraft, HandSection, HandStep
from .telling import AS_SEWN, PURPOSE, as_sewn, exactness, figures, heading_of, phases, reading, step_words, title

INDENT = 9.0


class _StepFlow(TextFlow):
    """Pages with numbered steps."""

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
    name, say = title(work), work.house.say
    flow = _StepFlow(paper.width, paper.length)
    flow.words(name, H1, "bold")
    if work.house.name:
        flow.words(work.house.name)
    flow.words(say(PURPOSE), before=1.0)
    if work.heading.prose:
        flow.words(work.heading.prose, before=1.0)
    for fact in work.heading.facts():
        flow.words(fact, before=1.0)
    flow.words(say("Measures and choices"), H2, "bold", before=4.0, keep=8.0)
    flow.words("; ".join(f"{row}: {words}".replace(" ", "\u00a0") for row, words in figures(draft, work)) + ".", before=1.0)
    flow.words(say("How to read the steps"), H2, "bold", before=4.0, keep=8.0)
    for line in (*reading(draft), *exactness(draft)):
        flow.words(line, before=1.0)
    for section in draft.sections:
        _section(flow, section, work.index)
    for k, line in enumerate(as_sewn(draft)):
        if k == 0:
            flow.words(say(AS_SEWN), H2, "bold", before=6.0, keep=8.0)
        flow.words(line, before=1.0)
    return flow.numbered(
        lambda number, count: say("{title}, by hand, page {number} of {count}", title=name, number=number, count=count)
    )


def _section(flow: _StepFlow, section: HandSection, index: int) -> None:
    drawing = piece_drawing(section, index)
    flow.room(drawing.height + 18.0)
    flow.words(heading_of(section), H2, "bold", before=6.0, keep=drawing.height)
    flow.figure(drawing)
    for line in section.intro:
        flow.words(line, before=0.6)
    for heading, steps in phases(section.steps):
        flow.words(section.rule.say(heading), H3, "bold", before=2.2, keep=10.0)
        for step in steps:
            flow.step(step)
    flow.past_figure()
