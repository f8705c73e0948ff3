"""What one side of the body alone has: which piece of a pair shows it, how often it is counted, where it may be said, what keeps it."""

import numpy as np
import pytest

from tapeline.bodies.card import read_card
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.paper.cutting.fastenings import counted
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

HEAD = """language 1
style half "Halves"
measure waist, hip, waist_to_hip
levels
    waist
    hip  waist_to_hip below waist
recipe panel "Panel" (more length)
    widths from centre, before darts
        waist  hip / 4
        hip    hip / 4 + more
    point high along side from waist_side by 4 cm
    point low  along side from waist_side by 12 cm
    point inner high come in 3 cm
"""


def said(text: str) -> list[str]:
    return [one.code for one in read(Source("half.style", HEAD + text), FolderWorld())[1]]


def made(text: str):
    style, diagnostics = read(Source("half.style", HEAD + text), FolderWorld())
    assert not diagnostics, diagnostics
    card, _ = read_card(read_text(standard_folder("styles") / "bodies" / "nell.toml")[0], style.measurements, style.doubts)
    (whole,) = draft(style, {name: np.array([card.values[name]]) for name in style.plan().measures})
    return whole


def refused(text: str):
    return [failure for failure in made(text).failures if failure.severity == "error"]


def drafted(text: str):
    assert not refused(text)
    return made(text)


def sides(whole, name: str) -> list[tuple[str, str]]:
    piece = whole.pattern.piece(name)
    return [(mark.kind, mark.side) for mark in (*piece.marks, *piece.point_marks)]


MARKS = (
    ("zip on side from high to low", "zip"),
    ('mark "x" high to inner', "placement"),
    ('mark "x" along side', "placement"),
    ('mark "x" at inner', "place"),
    ("drill at inner", "drill"),
    ("button at inner, 12 mm", "button"),
    ("hook at inner", "hook"),
    ("loop at inner", "loop"),
    ("buttonhole high to inner", "buttonhole"),
    ("bone along side", "bone"),
)


@pytest.mark.parametrize(("mark", "kind"), MARKS, ids=lambda words: words)
def test_a_mark_is_of_one_side_of_a_pair_or_of_a_fold(mark, kind):
    for cut in ("cut 2", "cut 1 on fold at centre"):
        for side in ("left", "right"):
            whole = drafted(f"piece one from panel(1 cm)\n    {cut}\n    {mark}, on the {side}\n")
            assert sides(whole, "one") == [(kind, side)]
        assert sides(drafted(f"piece one from panel(1 cm)\n    {cut}\n    {mark}\n"), "one") == [(kind, "")]


def test_what_one_side_has_is_counted_once():
    text = "piece one from panel(1 cm)\n    {cut}\n    button at inner, 12 mm{on}\n    zip on side from high to low{on}\n"
    for cut in ("cut 2", "cut 1 on fold at centre"):
        both, one = (drafted(text.format(cut=cut, on=on)) for on in ("", ", on the left"))
        assert [row.many for row in counted(both.pattern.pieces, 0)] == [2]
        assert [row.many for row in counted(one.pattern.pieces, 0)] == [1]
        assert [(row.edges, row.side) for row in both.ledgers.zips] == [(2, "")]
        assert [(row.edges, row.side) for row in one.ledgers.zips] == [(1, "left")]


def test_a_seam_is_left_open_on_one_side():
    text = "piece one from panel(1 cm)\n    cut 1 on fold at centre\npiece two from panel(1 cm)\n    cut 2\n"
    text += "sew one.side to two.side, leaving open one.high to one.low, on the right\n"
    whole = drafted(text)
    (row,) = whole.ledgers.seams
    assert row.open_side == "right" and row.openings[0].side == "right"
    finished, _ = finish(whole.pattern)
    for piece in finished.pieces:
        notches = [(notch.kind, notch.side) for notch in piece.notches if notch.kind == "open"]
        assert notches == [("open", "right")] * 2
    assert not drafted(text.replace(", on the right", "")).ledgers.seams[0].open_side


def test_pieces_of_either_side_have_what_is_on_theirs():
    whole = drafted(
        'foundation base from panel(1 cm)\n    worn in front\n    cut 2\n    drill at inner, on the left\n    mark "x" at inner, on the right\n'
        "piece one from base\n    worn on the left\n    cut 1\n"
        "piece other from base\n    mirror\n    worn on the right\n    cut 1\n"
        "piece both from base\n    cut 2\n"
    )
    assert sides(whole, "one") == [("drill", "")]
    assert sides(whole, "other") == [("place", "")]
    assert sides(whole, "both") == [("drill", "left"), ("place", "right")]


def test_a_piece_opened_out_has_it_on_that_half():
    """Worn in front, her left is where x grows; behind, where it falls."""
    for worn, left in (("in front", 1), ("behind", -1)):
        whole = drafted(
            f"foundation base from panel(1 cm)\n    worn {worn}\n    cut 1 on fold at centre\n    drill at inner, on the left\n"
            "    hook at inner, on the right\npiece wide from base\n    open out at centre\n"
        )
        marks = {mark.kind: float(np.sign(mark.at[0, 0])) for mark in whole.pattern.piece("wide").point_marks}
        assert marks == {"drill": left, "hook": -left}


def test_what_has_no_other_side_is_refused():
    assert said("piece one from panel(1 cm)\n    cut 1\n    drill at inner, on the left\n") == ["N376"]
    assert said("piece one from panel(1 cm)\n    worn on the right\n    cut 1\n    drill at inner, on the left\n") == ["N376"]
    assert said("piece one from panel(1 cm)\n    worn on the left\n    cut 1\n    drill at inner, on the left\n") == []
    two = "piece one from panel(1 cm)\n    cut 2\npiece two from panel(1 cm)\n    cut 2\nsew one.side to two.side"
    assert said(two + ", on the left\n") == ["N376"]
    assert said(two + ", leaving open one.high to one.low, on the left, without notches\n") == []
    assert said("piece one from panel(1 cm)\n    worn on the left\n    cut 1 on fold at centre\n") == ["N375"]


def test_either_side_may_be_left_open_by_itself():
    head = "piece one from panel(1 cm)\n    cut 1 on fold at centre\npiece two from panel(1 cm)\n    cut 2\nsew one.side to two.side, leaving open "
    whole = drafted(head + "one.waist_side to one.low on the left and one.high to one.low on the right\n")
    (row,) = whole.ledgers.seams
    assert [opening.side for opening in row.openings] == ["left", "right"] and row.open_side == ""
    assert row.left_open[0] == pytest.approx(120.0, abs=0.1)  # of the side that has more, not of both together
    assert "D585" in [failure.code for failure in refused(head + "one.waist_side to one.low and one.high to one.low on the right\n")]


def test_a_line_runs_on_where_the_other_side_is_not_left_open():
    """What both sides leave open up to the end ends in a slit; what one does runs on at the other."""
    head = "piece one from panel(1 cm)\n    cut 1 on fold at centre\npiece two from panel(6 cm)\n    cut 2\n"
    head += "sew one.side to two.side, easing 0 cm, leaving open one.low to one.hip_side"
    for on, asked in (("", False), (", on the left", True)):
        lines = {row.one.edge for row in made(head + on + "\n").ledgers.corners if row.how == "seam"}
        assert ("hip" in lines) == asked
