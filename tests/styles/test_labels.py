"""No word of any paper lies on another or on a line: measured by boxes, on every shipped style, for women of a survey.

One woman of the survey is tried in the usual run, fifty with EVERY_WOMAN=1; by turns in the three languages and both units, and with
pieces drawn as they are and opened.  Plots and small drawings are measured on every fourth style, or on all.
"""

from functools import lru_cache

import pytest
from tried import EVERY, STYLES, numbers_of, style_of, women

from boxes import touching
from tapeline.making.papers import work_of
from tapeline.paper.drawing.model import shifted
from tapeline.paper.hand.drawing import piece_drawing
from tapeline.paper.hand.steps import hand_draft
from tapeline.paper.house.house import House
from tapeline.paper.sheets.printed import piece_groups, plot_pages
from tapeline.paper.sheets.sheet import draw_sheet

WOMEN = 50 if EVERY else 1
WAYS = [("en", "in", True), ("de", "cm", False), ("fr", "cm", True), ("de", "in", True), ("fr", "in", False), ("en", "cm", False)]


@lru_cache(maxsize=2)
def works(name):
    """The works of so many women whose draft is true."""
    style, step = style_of(name), len(numbers_of("ANSUR II")) // (2 * WOMEN + 8)  # some may be refused
    made = []
    for whole, places, numbers in women(name, "ANSUR II"):
        for place in places[(numbers % step == 0) & ~whole.failed[places]].tolist():
            language, unit, opened = WAYS[(len(made) + list(STYLES).index(name)) % len(WAYS)]
            made.append(work_of(style, whole, place, f"woman {place}", unit, House("Quay Row", language=language), opened))
    return made[:WOMEN]


@pytest.mark.parametrize("name", STYLES)
def test_no_label_lies_on_another_or_on_a_line(name):
    """On the sheet, with the names of edges as on the proof page."""
    assert len(works(name)) == WOMEN
    for work in works(name):
        drawing = draw_sheet(work.finished, work.index, work.heading, work.opened, edge_names=True)
        assert not touching(drawing.items), work.heading.body_name


@pytest.mark.parametrize("name", list(STYLES)[:: 1 if EVERY else 4])
def test_no_word_lies_on_another_or_on_a_line_on_plots_and_in_small_drawings(name):
    for work in works(name):
        pages = plot_pages(work, piece_groups(work))
        if len(pages) == 1:
            laid = [shifted(item, layer.dx, layer.dy) for layer in pages[0].layers for item in layer.items]
            assert not touching(laid), work.heading.body_name
        for section in hand_draft(work).sections:
            assert not touching(piece_drawing(section, work.index).items), (work.heading.body_name, section.name)
