"""The making-up sheet laid on pages for the PDF: the same headings, steps and small drawings as the HTML page.

A step is kept on one page, its drawing at the right and the caption below that.
"""

from __future__ import annotations

from ..drawing.lettering import RISE, wrap
from ..drawing.model import Drawing, Text
from ..house.work import Work
from ..sheets.flow import BODY, GAP, H1, H2, H3, LEAD, TextFlow
from ..sheets.pdf import Page
from .section import MakingUp, MakingUpStep

CAPTION = 2.7  # mm, size of a caption's words
NARROW = 50.0  # mm that a caption may always take
BULLET = "\u2013\u00a0"


def sheet_pages(sheet: MakingUp, work: Work) -> list[Page]:
    """The whole sheet as pages."""
    flow = TextFlow(work.sheet.width, work.sheet.length)
    flow.words(sheet.title, H1, "bold")
    for line in sheet.intro:
        flow.words(line, before=1.0)
    for heading, lines in zip(sheet.headings, (sheet.cautions, sheet.pieces), strict=False):
        flow.words(heading, H2, "bold", before=4.0, keep=8.0)
        for line in lines:
            flow.words(BULLET + line, before=0.6)
    flow.words(sheet.headings[2], H2, "bold", before=4.0, keep=40.0)
    for step in sheet.sections:
        _step(flow, step)
    say = work.house.say
    return flow.numbered(lambda number, count: f"{sheet.title}, {say('page {number} of {count}', number=number, count=count)}")


def _step(flow: TextFlow, step: MakingUpStep) -> None:
    drawing = None if step.drawing is None else _with_caption(step.drawing, step.caption)
    flow.room(max(_height(flow, step, drawing), 0.0 if drawing is None else drawing.height) + 8.0)
    flow.y += 4.0
    if drawing is not None:
        flow.figure(drawing)
    flow.words(f"{step.number}. {step.title}", H3, "bold")
    for words in step.own:
        flow.words(words, weight="bold", before=0.8)
    for line in step.lines:
        flow.words(BULLET + line, before=0.6)
    for words in step.reasons:
        flow.words(words, CAPTION, before=0.8)
    flow.past_figure()


def _height(flow: TextFlow, step: MakingUpStep, drawing: Drawing | None) -> float:
    """How much of the page the words of a step take, all lines as short as beside its drawing."""
    room = flow.measure() - (0.0 if drawing is None else drawing.width + GAP)
    said = [(f"{step.number}. {step.title}", H3, "bold"), *((words, BODY, "bold") for words in step.own)]
    said += [(line, BODY, "normal") for line in step.lines] + [(words, CAPTION, "normal") for words in step.reasons]
    return sum(len(wrap(words, size, room, weight)) * size * LEAD + 0.8 for words, size, weight in said)


def _with_caption(drawing: Drawing, caption: str) -> Drawing:
    """The drawing with its caption below it."""
    width = max(drawing.width, NARROW)
    lines = wrap(caption, CAPTION, width)
    words = [Text(0.0, drawing.height + 1.5 + CAPTION * (RISE + k * LEAD), CAPTION, line) for k, line in enumerate(lines)]
    return drawing._replace(width=width, height=drawing.height + 1.5 + CAPTION * LEAD * len(lines), items=(*drawing.items, *words))
