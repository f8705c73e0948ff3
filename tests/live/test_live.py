"""A draft that is moved again and again shows what a fresh one would."""

import re
from functools import cache

import numpy as np
import pytest

import tapeline
from tapeline.live.draft import LiveDraft
from tapeline.making.drafts import draft_cards
from tapeline.paper.house.house import USUAL
from tapeline.paper.sheets.sheet import draw_sheet
from tapeline.paper.sheets.svg import write_group

TEXTS = tapeline.standard_texts()
SESSION = tapeline.Session(tapeline.MemoryWorld(TEXTS))
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@cache
def opened(style):
    reading = SESSION.read(tapeline.Source(f"{style}.style", TEXTS[f"styles/{style}.style"]))
    card, _ = reading.card(TEXTS["styles/bodies/nell.toml"])
    return reading, card


def parts(svg):
    """Each element without its figures, and its figures."""
    lines = svg.splitlines()
    return [NUMBER.sub("#", line) for line in lines], [float(figure) for line in lines for figure in NUMBER.findall(line)]


def test_it_draws_what_the_sheet_draws():
    reading, card = opened("straight_skirt")
    live = LiveDraft(reading, card, USUAL)
    measures = {"hip": card.values["hip"] + 12.0}
    shown = live.at(measures, {})
    assert not shown.failed
    (fresh,), _ = draft_cards(reading.sound, [shown.draft.card], house=USUAL)
    work = fresh.work()
    sheet = draw_sheet(work.finished, work.index, work.heading)
    groups = {item.name: item for item in sheet.items if getattr(item, "piece", False)}
    assert [piece.name for piece in shown.pieces] == list(groups)
    for piece in shown.pieces:
        (words, figures), (of_sheet, laid) = parts(piece.svg), parts(write_group(groups[piece.name]))
        assert words == of_sheet and len(figures) == len(laid)
        left, top, right, bottom = piece.box
        assert right - left > 10 and bottom - top > 10


def test_a_failed_draft_says_why():
    reading, card = opened("straight_skirt")
    shown = LiveDraft(reading, card, USUAL).at({"hip": 200.0}, {})
    assert shown.failed and shown.pieces == () and any(said.severity == "error" for said in shown.diagnostics)
    with pytest.raises(ValueError):
        assert shown.work


def test_names_that_are_not_known():
    reading, card = opened("straight_skirt")
    live = LiveDraft(reading, card, USUAL)
    with pytest.raises(KeyError):
        live.at({"hat": 1.0}, {})
    with pytest.raises(KeyError):
        live.at({}, {"hat": 1.0})
    assert np.isfinite(live.at({}, {}).pieces[0].box).all()
