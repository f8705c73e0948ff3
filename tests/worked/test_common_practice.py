"""Proportions of a fitted skirt that dressmakers keep without a source to point at: common practice.

Not published figures but habits of the trade: a quarter of the girth on each quarter piece plus what its darts take
up; darts of a row that shorten by one step toward the centre; a pencil skirt that narrows step by step below the hip.
Each is asserted for several bodies at once.
"""

from __future__ import annotations

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

STYLE = """\
language 1
style quarter_skirt "Skirt by quarters" version 1.0
    "A pencil skirt to a natural waist: three darts in front, two behind that take up as much."

use measurements
measure waist, hip, waist_to_hip, waist_to_knee

choose intake 1.4 cm from 0.5 cm to 2 cm  "each front dart"
choose step   2.5 cm from 0 cm to 4 cm    "each dart shorter than the last by"

levels
    waist
    hip   waist_to_hip below waist
    knee  waist_to_knee below waist
    hem   10 cm below knee

piece front "Front"
    cut 1 on fold at centre
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4
        knee   2 cm less than hip
        hem    1 cm less than knee
    side  smooth waist to hip, straight hip to hem
    darts 3 on waist, evenly between centre and side
        intake  intake each
        points  6 cm above hip at the side, each step shorter toward centre

piece back "Back"
    cut 2
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4
        knee   2 cm less than hip
        hem    1 cm less than knee
    side  smooth waist to hip, straight hip to hem
    darts 2 on waist
        intake  3 * intake in all
        points  5 cm above hip

sew front.side to back.side
"""

MEASURES = {
    "waist": np.array([640.0, 700.0, 820.0]),
    "hip": np.array([900.0, 960.0, 1080.0]),
    "waist_to_hip": np.array([190.0, 200.0, 210.0]),
    "waist_to_knee": np.array([560.0, 580.0, 600.0]),
}
INTAKE, STEP = 14.0, 25.0


@pytest.fixture(scope="module")
def drawn():
    style, found = read(Source("quarter_skirt.style", STYLE), FolderWorld())
    assert not found, "\n".join(render(one) for one in found)
    drafts = draft(style, MEASURES, {"intake": INTAKE, "step": STEP})
    assert len(drafts) == 1 and not drafts[0].failed.any()
    return drafts[0]


def test_a_quarter_of_the_girth_plus_the_intake_of_the_darts(drawn):
    """The waist line is laid out a quarter of the girth wide and as much wider as the darts take up."""
    for name, taken in (("front", 3 * INTAKE), ("back", 2 * (1.5 * INTAKE))):
        piece = drawn.pattern.piece(name)
        across = piece.edge("side").start()[:, 0] - piece.edge("centre").end()[:, 0]
        assert across == pytest.approx(MEASURES["waist"] / 4 + taken, abs=1e-6), name
        assert sum(dart.asked for dart in piece.darts()) == pytest.approx(np.full(3, taken), abs=1e-9), name


def test_the_hip_is_a_quarter_of_the_girth_and_no_dart_reaches_it(drawn):
    for name in ("front", "back"):
        piece = drawn.pattern.piece(name)
        assert piece.widths["hip"] == pytest.approx(MEASURES["hip"] / 4, abs=1e-6)
        for dart in piece.darts():
            assert (dart.point[:, 1] <= MEASURES["waist_to_hip"] - 50.0 + 1e-9).all()


def test_each_dart_is_a_step_shorter_toward_the_centre(drawn):
    darts = sorted(drawn.pattern.piece("front").darts(), key=lambda dart: dart.point[0, 0])
    assert len(darts) == 3
    depths = [dart.point[:, 1] for dart in darts]
    assert depths[2] == pytest.approx(MEASURES["waist_to_hip"] - 60.0, abs=1e-9)
    assert depths[2] - depths[1] == pytest.approx(np.full(3, STEP), abs=1e-9)
    assert depths[1] - depths[0] == pytest.approx(np.full(3, STEP), abs=1e-9)


def test_widths_step_in_below_the_hip(drawn):
    """Two at the knee and one more at the hem, on each quarter: the side as drawn, not only as asked."""
    levels = {"hip": MEASURES["waist_to_hip"], "knee": MEASURES["waist_to_knee"], "hem": MEASURES["waist_to_knee"] + 100.0}
    less = {"hip": 0.0, "knee": 20.0, "hem": 30.0}
    for name in ("front", "back"):
        side = drawn.pattern.piece(name).edge("side")
        places = side.strips[0].flatten()
        for level, y in levels.items():
            for body in range(3):
                order = np.argsort(places[body, :, 1])
                x = np.interp(y[body], places[body, order, 1], places[body, order, 0])
                assert x == pytest.approx(MEASURES["hip"][body] / 4 - less[level], abs=1e-6), (name, level)


def test_the_side_is_the_same_in_front_and_behind(drawn):
    front, back = (drawn.pattern.piece(name) for name in ("front", "back"))
    assert front.edge("side").closed_length() == pytest.approx(back.edge("side").closed_length(), abs=25.4 / 16)
