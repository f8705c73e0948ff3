"""What handbook drafts take for granted when a piece is drawn by point.

An edge made of several lines counts as one: its parts may bend out or in by where they stand in the outline, and
their lengths may place a later point of the same outline.  A measure may be named before it is defined.
"""

from __future__ import annotations

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

SQUARE = """\
language 1
style square "Square" version 1.0

piece cloth "Cloth"
    point A  start
    point B  A across 10 cm
    point C  B down 10 cm
    point D  A down 10 cm
    line  top    A to B
    line  right  B to C
    curve foot   {ends}, {bend} 1 cm
    edge  rest   {joined}
    line  left   D to A
    outline top, rest, left
"""


@pytest.mark.parametrize("ends", ["C to D", "D to C"])
@pytest.mark.parametrize("joined", ["right, foot", "foot, right"])
@pytest.mark.parametrize(("bend", "lowest"), [("bowed", 110.0), ("hollow", 90.0)])
def test_a_part_of_a_joined_edge_bends_by_the_outline(ends, joined, bend, lowest):
    style, found = read(Source("square.style", SQUARE.format(ends=ends, joined=joined, bend=bend)), FolderWorld())
    assert style is not None, "\n".join(render(one) for one in found)
    places = draft(style, {})[0].pattern.piece("cloth").edge("rest").strips[0].flatten()[0]
    middle = places[np.abs(places[:, 0] - 50.0).argmin()]
    assert middle[1] == pytest.approx(lowest, abs=0.05)


def test_a_length_of_one_part_places_the_end_of_the_next():
    text = SQUARE.format(ends="C to D", joined="right, foot", bend="bowed").replace(
        "point D  A down 10 cm", "point D  A down length of right"
    )
    style, found = read(Source("square.style", text), FolderWorld())
    assert style is not None, "\n".join(render(one) for one in found)
    assert draft(style, {})[0].pattern.piece("cloth").points["D"][0] == pytest.approx([0.0, 100.0])


def test_an_edge_joined_to_itself_is_said_once():
    text = SQUARE.format(ends="C to D", joined="rest, foot", bend="bowed")
    style, found = read(Source("square.style", text), FolderWorld())
    assert style is None
    assert [one.code for one in found] == ["N203"]


def test_a_measurement_may_be_defined_after_the_measures():
    text = (
        SQUARE.format(ends="C to D", joined="right, foot", bend="bowed")
        .replace(
            "\npiece",
            '\nmeasure span\nmeasurement span "Span"\n    kind length\n    taken "across"\n    plausible 5 cm to 50 cm\n\npiece',
        )
        .replace("A across 10 cm", "A across span")
    )
    style, found = read(Source("square.style", text), FolderWorld())
    assert style is not None, "\n".join(render(one) for one in found)
    piece = draft(style, {"span": np.array([100.0, 200.0])})[0].pattern.piece("cloth")
    assert piece.points["B"][:, 0] == pytest.approx([100.0, 200.0])
