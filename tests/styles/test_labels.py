"""No word of any paper lies on another or on a line: measured by boxes, on every shipped style, for women of a survey.

Two women of the survey are tried in the usual run, fifty with EVERY_WOMAN=1; by turns in the three languages and both units, and with
pieces drawn as they are and opened.
"""

import os
from functools import cache

import numpy as np
import pytest
from population import ansur2
from test_population import STYLES, style_of

from boxes import touching
from tapeline.finishing.whole import drafted_whole
from tapeline.making.papers import work_of
from tapeline.paper.drawing.model import shifted
from tapeline.paper.hand.drawing import piece_drawing
from tapeline.paper.hand.steps import hand_draft
from tapeline.paper.house.house import House
from tapeline.paper.sheets.printed import piece_groups, plot_pages
from tapeline.paper.sheets.sheet import draw_sheet

MANY, FEW = 50, 2
WAYS = [("en", "in", True), ("de", "cm", False), ("fr", "cm", True), ("de", "in", True), ("fr", "in", False), ("en", "cm", False)]


@cache
def works(name):
    """The works of so many women whose draft is true."""
    style, bodies = style_of(name), ansur2()
    wanted = MANY if os.environ.get("EVERY_WOMAN") else FEW
    step = len(next(iter(bodies.values.values()))) // (2 * wanted)
    measures = {measure: bodies.values[measure][::step] for measure in style.plan().measures}
    made = []
    for whole in drafted_whole(style, measures, {}):
        for place in np.flatnonzero(~whole.failed).tolist():
            language, unit, opened = WAYS[len(made) % len(WAYS)]
            made.append(work_of(style, whole, place, f"woman {place}", unit, House("Quay Row", language=language), opened))
    return made[:wanted]


@pytest.mark.parametrize("name", STYLES)
def test_no_label_lies_on_another_or_on_a_line(name):
    """On the sheet, with the names of edges as on the proof page; every other one on a plot, whose pieces are turned and packed."""
    assert len(works(name)) > 1
    for number, work in enumerate(works(name)):
        drawing = draw_sheet(work.finished, work.index, work.heading, work.opened, edge_names=True)
        assert not touching(drawing.items), work.heading.body_name
        if number % 2:
            pages = plot_pages(work, piece_groups(work))
            if len(pages) == 1:
                laid = [shifted(item, layer.dx, layer.dy) for layer in pages[0].layers for item in layer.items]
                assert not touching(laid), work.heading.body_name


@pytest.mark.parametrize("name", STYLES)
def test_no_name_lies_on_another_or_on_a_line_in_the_small_drawings(name):
    for work in works(name)[:: 1 if os.environ.get("EVERY_WOMAN") else FEW]:
        for section in hand_draft(work).sections:
            assert not touching(piece_drawing(section, work.index).items), (work.heading.body_name, section.name)
