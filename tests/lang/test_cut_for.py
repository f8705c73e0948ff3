"""`cut for`: a layer that is cut as often as the piece that it is made from, and like it on the fold."""

from __future__ import annotations

import pytest

from tapeline.meaning.cutting import Extra
from tapeline.meaning.style import check
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

BLOCK = """language 1
style block "Block"
use facings
foundation block "Block"
    {cut}
    point A start
    point B A across 20 cm
    point C A down 30 cm
    point D B down 30 cm
    line centre A to C
    line neckline A to B
    line side B to D
    line waist C to D
    outline centre, neckline, side, waist
piece one "One" from block
piece facing "Facing" from block as neck_facing(5 cm)
piece stiff "Interfacing" from facing
    cut for "interfacing"
piece tried "Tried" from block
    {tried}
"""


def cuts(cut: str, tried: str = 'cut for "lining"'):
    checked = check(Source("block.style", BLOCK.format(cut=cut, tried=tried)), FolderWorld())
    assert checked.style is not None, checked.diagnostics
    return {piece.name: piece.cut for piece in checked.style.plan().pieces}


@pytest.mark.parametrize("cut", ["cut 1 on fold at centre", "cut 2", "cut 4 alike", 'cut 3 on fold at centre and 1 for "lining"'])
def test_a_layer_is_cut_as_the_piece_it_is_made_from(cut):
    made = cuts(cut)
    for name, purpose in (("facing", "facing"), ("stiff", "interfacing"), ("tried", "lining")):
        assert (made[name].count, made[name].fold, made[name].paired) == (made["one"].count, made["one"].fold, made["one"].paired)
        assert (made[name].purpose, made[name].extras) == (purpose, ())
    assert made["one"].purpose == ""


def test_opened_out_it_is_cut_as_often():
    made = cuts("cut 1 on fold at centre", 'open out at centre\n    cut for "lining"')
    assert (made["tried"].count, made["tried"].fold, made["tried"].purpose) == (1, None, "lining")


def test_it_takes_further_layers():
    assert cuts("cut 2", 'cut for "facing" and 2 for "interfacing"')["tried"].extras == (Extra(2, "interfacing"),)


def test_a_further_layer_may_be_cut_without_the_allowances():
    made = cuts('cut 2 and 2 for "lining" and 2 for "interfacing", without allowances')["one"]
    assert made.extras == (Extra(2, "lining"), Extra(2, "interfacing", net=True))


def test_cut_is_said_once():
    checked = check(Source("block.style", BLOCK.format(cut="cut 2", tried='cut 2\n    cut for "lining"')), FolderWorld())
    assert [one.code for one in checked.diagnostics] == ["N228"]


def test_a_layer_that_is_on_no_fold_has_allowances():
    text = BLOCK.format(cut="cut 2", tried='cut for "lining"') + "allow\n    others 1 cm\n"
    checked = check(Source("block.style", text), FolderWorld())
    assert not checked.diagnostics


def test_what_does_not_follow_to_another_layer_is_not_told():
    block = BLOCK.replace("    outline centre", "    tape along side\n    zip on side from B to D\n    outline centre")
    text = block.format(cut="cut 2", tried='trim waist by 2 cm\n    cut for "lining"')
    checked = check(Source("block.style", text), FolderWorld())
    assert checked.style is not None and not checked.diagnostics
