"""A draft that is moved again and again shows what a fresh one would."""

import re
from functools import cache
from random import Random
from xml.etree import ElementTree

import pytest

import tapeline
from tapeline.drafting.run import draft
from tapeline.live.draft import LiveDraft
from tapeline.making.drafts import draft_cards
from tapeline.paper.drawing.pieces import piece_lines
from tapeline.paper.house.house import USUAL
from tapeline.paper.sheets.sheet import draw_sheet
from tapeline.paper.sheets.svg import group_head, write_leaf

TEXTS = tapeline.standard_texts()
SESSION = tapeline.Session(tapeline.MemoryWorld(TEXTS))
STYLES = sorted(path.split("/")[1][: -len(".style")] for path in TEXTS if re.fullmatch(r"styles/\w+\.style", path))
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
SAME = 1e-3 + 1e-9  # mm: one step of the last decimal that is written


@cache
def opened(style):
    reading = SESSION.read(tapeline.Source(f"{style}.style", TEXTS[f"styles/{style}.style"]))
    card, _ = reading.card(TEXTS["styles/bodies/nell.toml"])
    return reading, card


def paths(svg):
    """Every line of a group: its attributes but for the figures of its path, and those figures."""
    lines = [dict(path.attrib) for path in ElementTree.fromstring(svg).iter("path")]
    drawn = [line.pop("d") for line in lines]
    return [(line, NUMBER.sub("#", d)) for line, d in zip(lines, drawn, strict=True)], [
        [float(figure) for figure in NUMBER.findall(d)] for d in drawn
    ]


def fresh_lines(drawing):
    """The lines of each piece, drawn afresh."""
    live = drawing._live
    (work,) = [body.work() for body in draft_cards(live.style, [drawing.card], house=live.house, each=[drawing._choices])[0]]
    for piece in work.shown:
        strokes = piece_lines(piece, work.index, work.heading).strokes
        yield piece.piece.name, "\n".join([*group_head(piece.piece.name, ""), *map(write_leaf, strokes), "</g>"])


def hold_lines(drawing):
    """What is drawn begins with the lines of a fresh draft; what follows is lettering."""
    fresh = dict(fresh_lines(drawing))
    assert [piece.name for piece in drawing.pieces] == list(fresh)
    for piece in drawing.pieces:
        (said, figures), (of_fresh, laid) = paths(piece.svg), paths(fresh[piece.name])
        assert said[: len(of_fresh)] == of_fresh
        assert {line["data-line"] for line, _ in said[len(of_fresh) :]} <= {"leader", "sign", "fold"}
        for own, other in zip(figures, laid, strict=False):
            assert own == pytest.approx(other, abs=SAME)
        left, top, right, bottom = piece.box
        assert left < right and top < bottom


def slides(style, random, times):
    """So many settings, each of one or two measures or choices a little off the body's and the style's own."""
    reading, card = opened(style)
    plan = reading.sound.plan()
    run = draft(reading.sound, {name: [card.values[name]] for name in reading.sound.needed})[0].run
    lengths = [name for name, choice in plan.choices.items() if choice.kind.word == "length"]
    for _ in range(times):
        names = random.sample([*reading.sound.needed, *lengths], 1 + random.randrange(2))
        yield (
            {name: card.values[name] * random.uniform(0.985, 1.015) for name in names if name in reading.sound.needed},
            {name: float(run.filled[plan.choices[name].slot][0]) + random.uniform(-3.0, 3.0) for name in names if name in lengths},
        )


@pytest.mark.parametrize("style", STYLES)
def test_after_any_slide_the_lines_are_those_of_a_fresh_draft(style):
    reading, card = opened(style)
    live = LiveDraft(reading, card, USUAL)
    drawings = [live.at(*setting) for setting in slides(style, Random(style), 2)]
    shown = [drawing for drawing in drawings if not drawing.failed]
    for drawing in shown:
        assert drawing.pieces
    if shown:
        hold_lines(shown[-1])


@pytest.mark.parametrize("style", ["straight_skirt", "shirt_blouse"])
def test_when_the_hand_rests_the_drawing_is_the_sheet(style):
    reading, card = opened(style)
    live = LiveDraft(reading, card, USUAL)
    for setting in slides(style, Random(7), 4):
        drawing = live.at(*setting)
        moving, rested = drawing.pieces, drawing.rested().pieces
    work = drawing.work
    sheet = draw_sheet(work.finished, work.index, work.heading)
    groups = [item for item in sheet.items if getattr(item, "piece", False)]
    assert [piece.name for piece in rested] == [group.name for group in groups]
    for piece, group in zip(rested, groups, strict=True):
        own = piece.svg.splitlines()
        assert own[1] == group_head(group.name, group.title)[1]
        of_sheet = [write_leaf(item) for item in group.items if not hasattr(item, "commands") or item.commands]
        assert [NUMBER.sub("#", line) for line in own[2:-1]] == [NUMBER.sub("#", line) for line in of_sheet]
        left, top, _, _ = piece.box
        assert left <= min(float(x) for x in re.findall(r' x="(\S+)"', piece.svg)) and top < piece.box[3]
    again = LiveDraft(reading, card, USUAL).at(*setting).rested().pieces
    assert again == rested
    assert [piece.key for piece in drawing.rested().pieces] == [piece.key for piece in rested]
    assert [piece.name for piece in moving] == [piece.name for piece in rested]


def test_only_what_changed_has_another_key():
    reading, card = opened("half_circle_skirt")
    live = LiveDraft(reading, card, USUAL)
    first = {piece.name: piece.key for piece in live.at({}, {}).rested().pieces}
    moved = {piece.name: piece.key for piece in live.at({"waist": card.values["waist"] + 12.0}, {}).pieces}
    assert {name for name in first if moved[name] != first[name]} == {"skirt", "band", "interfacing"}
    assert first.keys() == moved.keys() and len(first) > 3
    assert {piece.name: piece.key for piece in live.at({}, {}).pieces} == first


def test_lettering_stays_in_a_piece_that_moves_and_is_laid_anew_at_rest():
    reading, card = opened("straight_skirt")
    live = LiveDraft(reading, card, USUAL)
    live.at({}, {}).rested().pieces  # noqa: B018  (draws it)
    drawing = live.at({"hip": card.values["hip"] + 40.0}, {})
    for piece in drawing.pieces:
        left, top, right, bottom = piece.box
        for x, y in re.findall(r'<text[^>]* x="(\S+)" y="(\S+)"', piece.svg):
            assert left <= float(x) <= right and top <= float(y) <= bottom
    after = LiveDraft(reading, card, USUAL, last=live)
    assert after.at({}, {}).rested().pieces == LiveDraft(reading, card, USUAL).at({}, {}).rested().pieces


def test_opened_pieces_are_drawn_whole():
    reading, card = opened("straight_skirt")
    live = LiveDraft(reading, card, USUAL)
    half, whole = ({piece.name: piece.box for piece in live.at({}, {}, opened=opened).pieces} for opened in (False, True))
    assert whole["front"][2] - whole["front"][0] > 1.7 * (half["front"][2] - half["front"][0])


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
