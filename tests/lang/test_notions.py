"""Cloth, buttons and tape: what a plan keeps of them, through changes of pieces and styles that start from others.

The styles are made up.
"""

from __future__ import annotations

import numpy as np

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

BASE = """language 1
style tabard "Tabard"
measure waist
choose closing 5 from 1 to 9
cloth 140 cm wide
cloth waist + 20 cm wide for "lining", with nap
buttons closing, 15 mm "down the front"
buttons 2, 9 mm
foundation sheet "Sheet"
    cut 1 on fold at centre
    point A start
    point B A across waist / 4
    point C A down 50 cm
    point D B down 50 cm
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    line across_it A to D
    outline centre, top, side, hem
    dart on top at half
        intake 2 cm
        point 10 cm long
    tape along top "twill"
    tape along side
    tape along across_it
piece front "Front" from sheet
    extend hem by 5 cm
piece back "Back" from sheet
"""


def drafted(text: str, world: FolderWorld | None = None, **choices):
    style, found = read(Source("test.style", text), world or FolderWorld(None))
    assert style is not None, "\n".join(map(render, found))
    (made,) = draft(style, {"waist": np.array([720.0])}, choices)
    assert not made.failures
    return made


def tapes(made, piece: str) -> dict[str, float]:
    plan = next(one for one in made.plan.pieces if one.name == piece)
    return {tape.name: round(float(made.run.filled[tape.length][0]), 3) for tape in plan.tapes}


def notions(made) -> tuple[dict, dict]:
    filled = made.run.filled
    return (
        {one.purpose: (float(filled[one.width][0]), one.nap) for one in made.plan.cloths},
        {one.words: (float(filled[one.number][0]), float(filled[one.size][0])) for one in made.plan.buttons},
    )


def test_what_is_said_is_kept():
    assert notions(drafted(BASE)) == ({"": (1400.0, False), "lining": (920.0, True)}, {"down the front": (5.0, 15.0), "": (2.0, 9.0)})
    assert notions(drafted(BASE, closing=8.0))[1]["down the front"] == (8.0, 15.0)


def test_tape_is_as_long_as_the_sewn_edge():
    """The top's dart is closed: 18 cm less 2, and bent by so little that it is less than a millimetre longer."""
    found = tapes(drafted(BASE), "back")
    assert 160.0 <= found["top"] < 161.0
    assert found["side"] == 500.0
    sheet = next(one for one in drafted(BASE).plan.pieces if one.name == "sheet")
    assert [tape.name for tape in sheet.tapes] == ["top", "side", "across_it"]
    assert abs(tapes(drafted(BASE), "sheet")["across_it"] - np.hypot(180.0, 500.0)) < 1e-3  # a line within the piece


def test_tape_goes_with_its_edge():
    """A piece made from another takes it over, but not along an edge whose length is changed, nor along a line within."""
    assert tapes(drafted(BASE), "front").keys() < tapes(drafted(BASE), "back").keys()
    assert "side" not in tapes(drafted(BASE), "front") and "top" in tapes(drafted(BASE), "front")


def test_tape_is_never_drawn():
    made = drafted(BASE)
    assert all(piece.marks == () for piece in made.pattern.pieces)


def test_a_style_that_starts_from_one_says_it_anew(tmp_path):
    (tmp_path / "tabard.style").write_text(BASE, encoding="utf-8")
    made = drafted(
        """language 1
style short "Short tabard"
start from tabard
choose closing 3
cloth 150 cm wide, with nap
buttons 0, 9 mm
cloth 60 cm wide for "interfacing"
change piece sheet
    tape along top "cotton"
    without tape along side
""",
        FolderWorld(tmp_path),
    )
    assert notions(made) == (
        {"": (1500.0, True), "lining": (920.0, True), "interfacing": (600.0, False)},
        {"down the front": (3.0, 15.0), "": (0.0, 9.0)},
    )
    plan = next(one for one in made.plan.pieces if one.name == "back")
    assert [(tape.name, tape.note) for tape in plan.tapes] == [("top", "cotton")]
