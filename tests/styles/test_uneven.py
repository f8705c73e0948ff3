"""Every shipped style for Tess Harrow of Quay Row, whose hips and shoulders differ: both sides come together, and each piece says of
which it is."""

from __future__ import annotations

import numpy as np
import pytest
from tried import STYLES, style_of

from boxes import touching
from tapeline import Session
from tapeline.bodies.card import read_card
from tapeline.drafting.run import draft
from tapeline.drafting.tasks import TaskKind
from tapeline.finishing.alike import one_of_each
from tapeline.finishing.finish import finish
from tapeline.paper.drawing.model import Group, Text, each_item
from tapeline.paper.house.work import Heading
from tapeline.paper.sheets.sheet import draw_sheet
from tapeline.source.world import read_text, standard_folder

HOME = standard_folder("styles")


def each_half_is_told(finished):
    """On the drawing of every whole piece whose halves differ stands which is which, each on its half, and no word lies on another."""
    sheet = draw_sheet(finished, 0, Heading("Style", "1", "", "Tess Harrow", "cm"))
    assert not touching(sheet.items)
    groups = {item.name: list(each_item([item])) for item in sheet.items if isinstance(item, Group) and item.piece}
    for piece in (piece.piece for piece in one_of_each(finished, 0) if piece.piece.halves is not None):
        words = {text.words: text.x for text in groups[piece.name] if isinstance(text, Text)}
        left, right = words["left of the body"], words["right of the body"]
        assert (left > right) == (piece.halves.drawn == "left"), piece.name


@pytest.mark.parametrize("name", STYLES)
def test_both_sides_come_together(name):
    style = style_of(name)
    card, _ = read_card(read_text(HOME / "bodies" / "tess.toml")[0], style.measurements, style.doubts)
    assert card is not None and set(card.sides) == {"hip", "waist_to_high_hip", "waist_to_hip", "shoulder_slope"}
    (one,) = draft(style, {name: np.array([card.values[name]]) for name in style.needed}, sides=[card.sides])
    finished, failures = finish(one.pattern)
    wrong = [failure.diagnostic(0) for failure in (*one.failures, *failures) if failure.severity == "error"]
    assert not wrong, wrong
    assert "D632" not in {failure.code for failure in one.failures}  # of each pair it is known which is drawn
    for row in one.ledgers.seams:
        off = min(float(row.difference[0]), 0.0) if row.kind == "gathered" else float(row.difference[0])
        assert abs(off) <= row.tolerance, (row.one, row.other)
    for row in one.ledgers.girths if one.plan.uneven else ():
        assert row.sides is not None and float(sum(row.sides)[0]) == pytest.approx(float(row.sewn[0]), abs=2.0)
    if name in list(STYLES)[::4]:
        each_half_is_told(finished)
    halves = [piece for piece in one.pattern.pieces if piece.name.startswith(("left_", "right_")) and piece.half]
    assert all(piece.hand.side == piece.name.split("_")[0] == piece.title.rpartition(", ")[2] for piece in halves)


def test_a_pair_that_is_the_same_for_both_sides_is_notched_alike():
    """The cuffs of a shirt blouse whose left and right sleeves differ: one notch meets either sleeve, and each edge has its one."""
    style = style_of("shirt_blouse")
    card, _ = read_card(read_text(HOME / "bodies" / "tess.toml")[0], style.measurements, style.doubts)
    body = {name: np.array([card.values[name]]) for name in style.needed}
    (one,) = draft(style, body, sides=[card.sides])
    pieces = {piece.piece.name: piece for piece in finish(one.pattern)[0].pieces}
    assert {"left_sleeve", "right_sleeve", "cuff"} <= pieces.keys()
    for name, edge in (("left_sleeve", "hem"), ("right_sleeve", "hem"), ("cuff", "lower")):
        assert len([notch for notch in pieces[name].notches if (notch.edge, notch.kind) == (edge, "balance")]) == 1


def test_both_sides_are_made_up_together_and_a_facing_takes_both_halves():
    """The steps of a princess dress are those of an even body's, and the facing is sewn to the whole neckline."""
    style = style_of("princess_dress")
    card, _ = read_card(read_text(HOME / "bodies" / "tess.toml")[0], style.measurements, style.doubts)
    body = {name: np.array([card.values[name]]) for name in style.needed}
    (even,) = draft(style, body)
    (both,) = draft(style, body, sides=[card.sides])
    kinds = [[step.tasks[0].kind for step in one.ledgers.order.steps] for one in (even, both)]
    assert kinds[0] == kinds[1]
    joined = [task for step in both.ledgers.order.steps for task in step.tasks if task.kind == TaskKind.JOIN]
    edges = {(name, edge) for name in ("front", "front_facing") for edge in ("neckline", "other_neckline")}
    assert len(joined) == 1 and edges <= set(joined[0].places)


def test_a_dart_beside_the_centre_of_a_whole_piece_is_pressed_toward_it():
    card = read_text(HOME / "bodies" / "tess.toml")[0].text
    drafts = Session().read(read_text(HOME / "straight_skirt.style")[0].text).draft([card])
    sheet = next(data.decode() for name, data in drafts.bodies[0].papers(["making"]).items() if name.endswith(".html"))
    assert "press toward the centre:" in sheet and "toward other" not in sheet
