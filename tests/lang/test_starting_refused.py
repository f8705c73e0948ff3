"""What is refused of `start from`, `change` and `without`, and where it is shown: each mistake once, in its own file and line."""

from __future__ import annotations

import pytest
from starting import BASE, house, reading, said


@pytest.fixture
def world(tmp_path):
    return house(tmp_path)


@pytest.mark.parametrize(
    "text, expected",
    [
        ("change piece frnt\n    cut 2\n", [("N201", 1)]),
        ("without piece bnd\n", [("N201", 1)]),
        ("without band\n", [("N201", 1)]),
        ("without check litle\n", [("N201", 1)]),
        ("change piece front\n    without drat\n", [("N201", 2)]),
        ("change piece front\n    without zip on centre\n", [("N222", 2)]),
        ("change piece front\n    without level hip\n    without bone along each dart\n", [("N201", 2), ("N222", 3)]),
        ("without sew front.side to back.side\n", [("N222", 1)]),
        ('without require "no such"\n', [("N222", 1)]),
        ("choose long 3\n", [("N220", 1)]),
        ("give = 3\n", [("N220", 1)]),
        ("long = yes\n", [("N220", 1)]),
        ("recipe lapped(around length)\n    point A start\n", [("N220", 1)]),
        ("rule lapped(around length) gives around\nrule lapped(around length) gives around * 2\n", [("N202", 2)]),
        ("choose long 61 cm\nchoose long 62 cm\n", [("N202", 2)]),
        ("change piece front\n    cut 2\nchange piece front\n    cut 3\n", [("N228", 3)]),
        ("change piece front\n    cut 2\n    cut 3\n", [("N228", 3)]),
        ("change piece band\n    inset = 1 cm\n    inset = 2 cm\n", [("N202", 3)]),
        ("levels\n    hip 1 cm below waist\n    hip 2 cm below waist\n", [("N202", 3)]),
        ("without piece loop\n", [("N224", 1)]),
        ("use strips\nstart from base\n", [("N228", 2)]),
        ("measure waist\nwaist = 70 cm\n", [("N202", 2)]),
        ("when vent\n    start from base\n", [("N221", 2)]),
        ("change\n    cut 2\n", [("N223", 1)]),
        ("piece new from strip(3 cm, 3 cm, no)\n    without grain\n", [("N223", 2)]),
        (
            "levels\n    calf 50 cm below waist\nchange piece front\n    widths from centre, before darts\n        calf 20 cm\n",
            [("N225", 5)],
        ),
        ("change piece front\n    sew band.left to band.right\n", [("N208", 2)]),
    ],
)
def test_mistakes_are_shown_in_their_own_line(world, text, expected):
    found = [one for one in said(text, world) if one[1] == "mine.style"]
    assert [(code, line) for code, _, line in found] == expected and found == said(text, world), said(text, world)


def test_a_mistake_in_the_base_is_shown_in_the_base(tmp_path):
    world = house(tmp_path, base=BASE.replace("intake dart_share", "intake dart_shar"))
    line = BASE[: BASE.index("intake dart_share")].count("\n") + 1
    assert said("choose long 70 cm\n", world) == [("N201", "base.style", line)]
    world = house(tmp_path, base=BASE.replace("choose give 4 cm", "choose give 4 cm cm"))
    assert [one[:2] for one in said("choose give 5 cm\nchange piece front\n    without dart\n", world)] == [("S106", "base.style")]


@pytest.mark.parametrize(
    "text, codes",
    [
        ("change piece front\n    dip waist 1 cm cm at centre\n    without dart\n", ["S106"]),
        ("change piece front\n    cut 2 of\n", ["S106"]),
        ("change piece back\n    line sid A to D D\n    outline centre, waist, sid, hem\n", ["S106"]),
        ("change piece loop from strp(8 cm, 2 cm, no)\n    cut 2\n", ["N201"]),
        ("piece new from strp(8 cm)\n    change\n        point A start\n", ["N201"]),
        ("piece new from strip(8 cm)\n    change\n        point Z start\n", ["K304", "N222"]),
        ("start form base\n", ["S112"]),
    ],
)
def test_one_mistake_is_said_once(world, text, codes):
    assert [code for code, _, _ in said(text, world)] == codes


def test_the_way_out_fits(world):
    for text, way_out in (
        ("without band\n", "without piece band"),
        ("without piece loop\n", "without sew loop.left to loop.right"),
        ("change piece back\n    without zip\n", "without zip on centre"),
        ("change piece fornt\n    cut 2\n", 'Did you mean "front"?'),
    ):
        (one,) = reading(text, world)[1]
        assert way_out in one.suggestion


def test_a_change_that_leaves_the_base_wanting_is_shown_where_it_wants(world):
    """The base's own line asks for the point that is gone."""
    line = BASE[: BASE.index("line side B to D")].count("\n") + 1
    assert ("N201", "base.style", line) in said("change piece back\n    without D\n", world)


def test_what_cannot_be_started_from(world):
    head = 'language 1\nstyle mine "Mine"\nstart from {}\n'
    assert said("", world, head.format("strips")) == [("N212", "mine.style", 0)]
    assert said("", world, head.format("bese")) == [("N201", "mine.style", 0)]
    assert said("", world, 'language 1\nstyle mine "Mine"\nuse strips\nstart from base\n') == [("N221", "mine.style", 0)]
    alone = 'language 1\nstyle mine "Mine"\n'
    for line in ("change piece front\n    cut 2\n", "without piece front\n", "change sheet d\n    point A start\n"):
        assert said(line, world, alone) == [("N223", "mine.style", 1)]
    text = 'language 1\nstyle mine "Mine"\nuse loose\n'
    (world.house / "loose.style").write_text('language 1\nlibrary loose "L"\nstart from base\nchange piece a\n    cut 1\n')
    assert said("", world, text) == [("N221", "loose.style", 3), ("N223", "loose.style", 4)]


def test_a_new_piece_without_an_allowance_is_shown_in_the_new_file(tmp_path):
    world = house(
        tmp_path,
        base=BASE.replace(
            "    others 1 cm\n",
            "    centre 1 cm\n    waist 1 cm\n    band.left none\n"
            "    band.right none\n    band.top 1 cm\n    band.low 1 cm\n    loop.left 1 cm\n    loop.right none\n",
        ),
    )
    assert said("", world) == []
    assert said("piece tab from strip(3 cm, 3 cm, no)\n    cut 1 on fold at left\n", world) == [("N211", "mine.style", 1)] * 3
