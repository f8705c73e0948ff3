"""Positions of a slider that are drafted ahead are drawn as a draft of each by itself."""

import re

import numpy as np
import pytest

import tapeline
from tapeline.live.draft import LiveDraft
from tapeline.source.world import standard_folder

NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
STYLES = standard_folder("styles")


def live_draft(name, body="nell"):
    reading = tapeline.Session().read(STYLES / f"{name}.style")
    card, _ = reading.card(STYLES / "bodies" / f"{body}.toml", accept=True)
    house, _ = reading.house(None)
    return LiveDraft(reading, card, house)


def lines(pieces):
    return {
        piece.name: [line for line in piece.svg.split("\n") if 'data-line="cut"' in line or "data-edge" in line] for piece in pieces
    }


@pytest.mark.parametrize(
    "name, slider, of_body", [("straight_skirt", "hip", True), ("tiered_skirt", "length", False), ("short_bodice", "bust", True)]
)
def test_positions_drafted_ahead_are_drawn_as_by_themselves(name, slider, of_body):
    live = live_draft(name)
    live.at({}, {}).rested().pieces  # noqa: B018  (the hand rests: lettering is laid)
    usual = live.card.values[slider] if of_body else 610.0
    values = [usual + 3.0 * step for step in range(-4, 5)]
    assert live.ahead.fill({}, {}, slider, values) == len(values)
    assert live.ahead.fill({}, {}, slider, values) == 0
    for value in (values[0], values[4], values[-1]):
        setting = ({slider: value}, {}) if of_body else ({}, {slider: value})
        there, alone = live.ahead.find(*setting), live.at(*setting)
        assert there is not None and there.failed == alone.failed
        for shown, wanted in zip(lines(there.pieces).items(), lines(alone.pieces).items(), strict=True):
            assert shown[0] == wanted[0]
            for one, other in zip(shown[1], wanted[1], strict=True):
                assert NUMBERS.sub("#", one) == NUMBERS.sub("#", other)
                figures = [[float(number) for number in NUMBERS.findall(line)] for line in (one, other)]
                np.testing.assert_allclose(*figures, atol=0.002)
    assert live.ahead.find({slider: usual + 1.0} if of_body else {}, {}) is None


def test_a_position_that_fails_says_why():
    live = live_draft("straight_skirt")
    live.ahead.fill({}, {}, "length", [600.0, 10.0])
    there = live.ahead.find({}, {"length": 10.0})
    assert there.failed and not there.pieces and "D402" in {one.code for one in there.diagnostics}
    assert not live.ahead.find({}, {"length": 600.0}).failed


def test_an_uneven_client_is_not_drafted_ahead():
    live = live_draft("straight_skirt", "tess")
    assert live.ahead.fill({}, {}, "length", [600.0]) == 0 and live.ahead.find({}, {"length": 600.0}) is None
