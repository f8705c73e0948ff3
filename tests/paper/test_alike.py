"""Pieces alike that are made from one are one drawing and one row; what differs in anything that is drawn stays by itself."""

import json
import re

import numpy as np
import pytest

from tapeline import Session
from tapeline.finishing.alike import one_of_each, titles_together

BODY = {"hip": 1000.0}
HEAD = """language 1
style gores "Gores"
measure hip
foundation block "Gore"
    cut 1
    point A start
    point B A across hip / 6
    point C A down 50 cm
    point D B down 50 cm
    line left A to C
    line top  A to B
    line right B to D
    line hem  C to D
    outline left, top, right, hem
"""
ALLOW = "allow\n    others 1 cm\n"


def draft_of(text):
    reading = Session().read(HEAD + text)
    assert reading.ok, reading.diagnostics
    drafts = reading.draft([BODY])
    assert drafts.ok, drafts.diagnostics
    return drafts.bodies[0]


def groups(text):
    """(title, how often it is cut) of each drawing."""
    draft = draft_of(text)
    return [(piece.piece.title, piece.piece.cut.count) for piece in one_of_each(draft.finished, draft.place)]


def gores(count, **below):
    """So many gores, each with the lines below it."""
    return "".join(f'piece g{k} "Gore {k}" from block\n{below.get(f"g{k}", "")}' for k in range(1, count + 1))


def test_gores_alike_are_one():
    assert groups(gores(6) + ALLOW) == [("Gore 1\u20136", 6)]


def test_one_made_from_another_of_them_is_one_of_them():
    assert groups('piece one "One" from block\npiece two "Two" from one\n' + ALLOW) == [("One, Two", 2)]


def test_pairs_stay_pairs():
    draft = draft_of(gores(2, g1="    cut 2\n", g2="    cut 2\n") + ALLOW)
    (piece,) = one_of_each(draft.finished, draft.place)
    assert (piece.piece.cut.count, piece.piece.cut.paired) == (4, True)


@pytest.mark.parametrize(
    "below",
    [
        "    notch on left at 10 cm from A\n",
        "    zip on left from A to C\n",
        '    mark "pocket" A to D\n',
        "    extend hem by 1 mm\n",
        "    grain along A to D\n",
        '    cut 1 for "lining"\n',
        "    dart on top at half\n        intake 1 cm\n        point 8 cm long\n",
        "    mirror\n    extend left by 2 mm\n",
    ],
)
def test_what_differs_stays_by_itself(below):
    assert [count for _, count in groups(gores(3, g2=below) + ALLOW)] == [2, 1]


def test_another_seam_allowance_is_another_piece():
    assert groups(gores(3) + "allow\n    g2.left 2 cm\n    others 1 cm\n") == [("Gore 1, 3", 2), ("Gore 2", 1)]


def test_pieces_of_one_shape_that_are_not_made_from_one_stay_apart():
    other = HEAD.split("foundation block")[1].replace('"Gore"', '"Other"')
    assert len(groups("piece one from block\npiece other" + other + ALLOW)) == 2


def test_papers_show_them_once_and_the_record_all():
    papers = draft_of(gores(6) + ALLOW).papers(("svg", "list"))
    drawing, listed, record = (papers[name].decode() for name in ("gores.svg", "gores-cutting-list.txt", "pattern.json"))
    assert re.findall(r'data-piece="(\w+)"', drawing) == ["g1"] and "Gore 1\u20136" in drawing and "Cut 6" in drawing
    assert re.search(r"1\s+Gore 1\u20136\s+6, all alike", listed) and "Gore 2" not in listed
    assert [piece["name"] for piece in json.loads(record)["pieces"]] == ["g1", "g2", "g3", "g4", "g5", "g6"]


def test_the_cloth_is_that_of_all():
    one, six = (draft_of(gores(count) + ALLOW) for count in (1, 6))
    areas = [
        float(re.search(r"cover ([\d.]+) m", draft.papers(("list",))["gores-cutting-list.txt"].decode())[1]) for draft in (one, six)
    ]
    assert np.isclose(areas[1], 6 * areas[0], atol=0.05)


def test_titles_in_a_row():
    assert titles_together(["Gore 1", "Gore 2", "Gore 3"]) == "Gore 1\u20133"
    assert titles_together(["Gore 1", "Gore 2"]) == "Gore 1, 2"
    assert titles_together(["Front", "Back", "Front"]) == "Front, Back"
