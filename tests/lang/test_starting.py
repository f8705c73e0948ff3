"""Starting from a style: what is not said anew is drafted to the last bit as in the base, and what is said anew alone differs.

A style that starts from `BASE` is drafted for one body beside the base; outlines are compared number by number, with no
tolerance.  What is refused, `test_starting_refused.py` tells.
"""

from __future__ import annotations

import numpy as np
import pytest
from starting import BASE, BODY, base_of, changed, drafted, house, marks, reading, said

from tapeline.drafting.examples import run_examples
from tapeline.drafting.run import draft
from tapeline.meaning.library import MOST_STARTS
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder


@pytest.fixture
def world(tmp_path):
    return house(tmp_path)


# ------------------------------------------------------------ nothing changed


SHIPPED = sorted(path.stem for path in standard_folder("styles").glob("*.style"))


@pytest.mark.parametrize("name", ["straight_skirt", "corselet_skirt", "half_circle_skirt"])
def test_a_style_that_only_starts_from_another_drafts_the_same(name):
    whole, _ = read(read_text(standard_folder("styles") / f"{name}.style")[0], FolderWorld())
    style, found = read(Source("mine.style", f'language 1\nstyle mine "Mine"\nstart from {name}\n'), FolderWorld())
    assert name in SHIPPED and not found
    one, other = style.plan(), whole.plan()
    assert [(step.operation, step.inputs, step.span.start) for step in one.steps] == [
        (step.operation, step.inputs, step.span.start) for step in other.steps
    ]
    assert one.level_order == other.level_order and list(one.choices) == list(other.choices)
    assert len(one.requirements) == len(other.requirements) and len(one.seams) == len(other.seams)
    assert {fork.key[1:] for fork in one.forks} == {fork.key[1:] for fork in other.forks}
    body = {"underbust": 740.0, "underbust_to_waist": 110.0, "waist_to_knee": 580.0, **BODY}
    drafts = [draft(s, {measure: np.array([body[measure]]) for measure in s.plan().measures})[0] for s in (style, whole)]
    assert not changed(*drafts) and not any(one.failed.any() for one in drafts)


def test_the_heading_is_its_own_and_examples_stay_with_the_base(world):
    plan = drafted("", world).plan
    assert (plan.name, plan.title, plan.version, plan.prose) == ("mine", "Mine", "", "Prose of its own.")
    assert plan.examples == () and len(base_of(world).plan.examples) == 1
    assert len(plan.requirements) == len(base_of(world).plan.requirements) == 3
    assert not changed(drafted("", world), base_of(world))


def test_an_example_of_its_own_is_a_proof(world):
    text = 'quarter = (hip + give) / 4 + 1 cm\nexample "by hand: 25 + 1"\n    given waist 70 cm, hip 96 cm, waist_to_hip 20 cm\n'
    for figure, codes in (("26.0", []), ("25.0", ["D470"])):
        style, found = reading(f"{text}    expect quarter is {figure} cm\n", world)
        assert not found and [one.code for one in run_examples(style)] == codes


# ------------------------------------------------------------ names said anew


def test_a_choice_keeps_the_range_and_the_text_that_it_does_not_say(world):
    one = drafted("choose long 70 cm\n", world)
    assert one.plan.choices["long"].text == "waist to hem" and one.plan.choices["long"].span.source.name == "mine.style"
    assert one.pattern.values["long"][0] == 700.0
    assert changed(one, base_of(world)) == {"front", "back"}
    assert not changed(one, base_of(world, {"long": 700.0}))
    for setting, codes in ((950.0, ["D402"]), (900.0, [])):
        assert [failure.code for failure in drafted("choose long 70 cm\n", world, {"long": setting}).failures] == codes
    wide = 'choose long 70 cm from 10 cm to 99 cm "otherwise"\n'
    assert not drafted(wide, world, {"long": 950.0}).failures
    assert drafted(wide, world).plan.choices["long"].text == "otherwise"
    assert list(one.plan.choices) == list(base_of(world).plan.choices)


def test_a_choice_outside_the_range_of_the_base_is_shown_in_its_own_line(world):
    style, (wrong,) = reading("choose long 95 cm\n", world)
    assert style is None and wrong.code == "N285" and wrong.span.source.name == "mine.style"


def test_a_choice_may_be_fixed_and_a_quantity_may_be_chosen(world):
    fixed = drafted("long = 60 cm\n", world)
    assert "long" not in fixed.plan.choices and not changed(fixed, base_of(world))
    chosen = drafted("choose quarter 25 cm from 20 cm to 30 cm\n", world)
    assert "quarter" in chosen.plan.choices and not changed(chosen, base_of(world))
    found = drafted("find give between 2 cm and 8 cm so that quarter is 26 cm\n", world)
    assert abs(found.pattern.values["give"][0] - 80.0) < 1e-3 and changed(found, base_of(world)) == {"front", "back"}


def test_a_part_of_a_division_said_anew_still_counts_in_it(world):
    one = drafted("side_share = 4 cm\n", world)
    assert one.pattern.values["dart_share"][0] == pytest.approx(65.0 - 40.0)  # (960 - 700) / 4 less 40
    assert changed(one, base_of(world)) == {"front"}
    whole = "divide spare into\n    side_share the rest\n    dart_share 1 cm\n"
    assert drafted(whole, world).pattern.values["side_share"][0] == pytest.approx(55.0)
    assert [failure.code for failure in drafted("dart_share = 1 cm\n", world).failures] == ["D460"]  # 39 and 10 are not 65


def test_a_name_under_a_when_keeps_its_condition(world):
    """The base gives the flare in both branches: what is said anew holds in both."""
    text = "flare = 2 cm\n"
    for vent in (0.0, 1.0):
        one = drafted(text, world, {"vent": vent})
        assert one.pattern.values["flare"][0] == 20.0
    assert changed(one, base_of(world)) == {"front"}


def test_a_when_of_its_own_leaves_the_rest_to_the_base(world):
    text = "choose wide no\nwhen wide\n    flare = 5 cm\n    quarter = hip / 4\n"
    for wide, vent, flare, quarter in ((1.0, 1.0, 50.0, 240.0), (0.0, 1.0, 10.0, 250.0), (0.0, 0.0, 30.0, 250.0)):
        one = drafted(text, world, {"wide": wide, "vent": vent})
        assert (one.pattern.values["flare"][0], one.pattern.values["quarter"][0]) == (flare, quarter)
        if not wide:
            assert not changed(one, base_of(world, {"vent": vent}))
    both = "choose wide no\nwhen wide\n    quarter = hip / 4\notherwise\n    quarter = hip / 4 + 2 cm\n"
    assert [drafted(both, world, {"wide": wide}).pattern.values["quarter"][0] for wide in (1.0, 0.0)] == [240.0, 260.0]


def test_forks_of_both_files_are_told_apart(world):
    text = "choose wide no\nwhen wide\n    extra = 1 cm\nchange piece band\n    when wide\n        point Z A down 1 mm\n"
    keys = {fork.key for fork in drafted(text, world).plan.forks}
    assert {(name.rpartition("/")[2], where) for name, _, where in keys} == {
        ("base.style", ""),
        ("mine.style", ""),
        ("mine.style", "band"),
        ("strips.style", "band"),
        ("strips.style", "loop"),
    }


def test_rows_of_levels_take_the_place_of_rows(world):
    one = drafted("levels\n    hip 21 cm below waist\n    knee 50 cm below waist\n", world)
    assert one.plan.level_order == ("waist", "hip", "knee", "hem")
    assert drafted("levels\n    knee 50 cm below waist\n", world).plan.level_order == ("waist", "hip", "hem", "knee")
    assert one.pattern.piece("front").levels["hip"][0] == 210.0
    assert changed(one, base_of(world)) == {"front"}
    above = drafted("levels\n    bust 30 cm above waist\n    waist\n", world)
    assert not changed(above, base_of(world)) and set(above.plan.level_order) == {"bust", "waist", "hip", "hem"}


def test_rules_blocks_and_checks_take_the_place_of_those_of_one_name(world):
    one = drafted("rule lapped(around length) gives around + 5 cm\n", world)
    assert changed(one, base_of(world)) == {"band"}
    assert one.pattern.piece("band").edge("top").closed_length()[0] == pytest.approx(750.0)
    strict = 'check little(given length)\n    require given more than 100 cm "little"\n'
    assert [failure.code for failure in drafted(strict, world).failures] == ["D460"]


def test_a_seam_and_an_allowance_said_anew(world):
    plan = drafted("sew band.right to band.left, easing 0 cm\nallow\n    hem 2 cm plain\n    back.side 3 cm\n", world).plan
    assert [seam.kind for seam in plan.seams] == ["eased", "plain"]
    hems = {(piece, one.kind) for (piece, edge), one in plan.allowances.items() if edge == "hem"}
    assert hems == {("front", "plain"), ("back", "plain")}
    before = base_of(world).plan.allowances
    other = {key for key, one in plan.allowances.items() if one.span.text != before[key].span.text}
    assert other == {("front", "hem"), ("back", "hem"), ("back", "side")}


def test_conditions_of_the_base_hold_and_may_be_taken_away(world):
    narrow = 'piece back "Back"\n    cut 2\n' + "".join(
        f"    {line}\n"
        for line in (
            "point A start",
            "point B A across 9 cm",
            "point C A down 9 cm",
            "point D B down 9 cm",
            "line centre A to C",
            "line waist A to B",
            "line side B to D",
            "line hem C to D",
            "outline centre, waist, side, hem",
        )
    )
    assert [failure.code for failure in drafted(narrow, world).failures] == ["D460"]
    assert not drafted(narrow + 'without require "a narrow hem"\n', world).failures
    assert len(drafted("without check little\n", world).plan.requirements) == 2
    assert len(drafted('without caution "a train"\n', world).plan.requirements) == 2


# ------------------------------------------------------------ pieces


def test_a_piece_said_anew_stands_where_the_old_one_stood(world):
    new = 'piece loop "New loop" from strip(9 cm, 2 cm, no)\npiece tab "Tab" from strip(3 cm, 3 cm, no)\n'
    one = drafted(new, world)
    assert [piece.name for piece in one.pattern.pieces] == ["front", "back", "band", "loop", "tab"]
    assert changed(one, base_of(world)) == {"loop", "tab"}
    assert one.pattern.piece("loop").title == "New loop"


def test_a_piece_taken_away(world):
    one = drafted("without piece loop\nwithout sew loop.left to loop.right\n", world)
    assert changed(one, base_of(world)) == {"loop"}
    assert all(piece != "loop" for piece, _ in one.plan.allowances)
    moved = drafted('without piece loop\npiece loop "L" from strip(8 cm, 2 cm, no)\n', world)
    assert [piece.name for piece in moved.pattern.pieces] == ["front", "back", "band", "loop"]
    assert not changed(moved, base_of(world))


@pytest.mark.parametrize(
    "words, pieces",
    [
        ("dip waist 2 cm at centre", {"front"}),
        ("raise waist 2 cm at side", {"front"}),
        ("dart on waist at 1/3\n        intake dart_share\n        point 10 cm long", {"front"}),
        ("side straight waist to hem", {"front"}),
        ('mark "pocket" waist_centre to hip_side', set()),
        ("cut 2", set()),
        ("grain level", set()),
        ("outline waist, side, hem, centre", set()),
        ("without dart", {"front"}),
        ("without dip waist at centre", {"front"}),
        ("without side", {"front"}),
        ('without mark "pocket"', set()),
        ("widths from centre, with darts\n        hip quarter", {"front"}),
        ("widths from centre, before darts\n        hip quarter + 1 cm", {"front"}),
    ],
)
def test_a_change_of_a_piece_by_level_touches_it_alone(world, words, pieces):
    one = drafted(f"change piece front\n    {words}\n", world)
    assert changed(one, base_of(world)) == pieces
    assert one.pattern.piece("front").title == "Front"


@pytest.mark.parametrize(
    "words, pieces",
    [
        ("point B A across quarter + 1 cm", {"back"}),
        ("curve side B to D, bowed 1 cm", {"back"}),
        ("zip on centre from A to hip", set()),
        ("without zip on centre", set()),
        ("without grain", set()),
        ("quarter = 20 cm", {"back"}),
        ("points C, E divide A to D", {"back"}),
    ],
)
def test_a_change_of_a_piece_by_point_touches_it_alone(world, words, pieces):
    assert changed(drafted(f"change piece back\n    {words}\n", world), base_of(world)) == pieces


def test_marks_and_cutting_said_anew(world):
    assert marks(base_of(world), "back") == ["zip centre"]
    zipped = drafted("change piece back\n    zip on centre from A to hip\n", world)
    assert marks(zipped, "back") == ["zip centre"]
    assert zipped.pattern.piece("back").marks[0].path.end()[0, 1] == pytest.approx(200.0)  # at the hip, 10 cm above where it ended
    assert marks(drafted("change piece back\n    without zip on centre\n", world), "back") == []
    assert marks(drafted('change piece front\n    without mark "pocket"\n', world), "front") == []
    two = drafted('change piece front\n    mark "pocket" waist_centre to hip_side\n    mark "seal" hip_centre to hip_side\n', world)
    assert sorted(marks(two, "front")) == ["pocket", "seal"]
    assert drafted("change piece front\n    cut 2\n", world).pattern.piece("front").cut.count == 2


def test_a_title_and_other_values_for_the_block(world):
    one = drafted('change piece loop "Long loop" from strip(9 cm, 2 cm, no)\n', world)
    assert changed(one, base_of(world)) == {"loop"} and one.pattern.piece("loop").title == "Long loop"


def test_two_dips_of_one_end_said_together_still_add_up(world):
    one = drafted("change piece front\n    dip waist 1 cm at centre\n    dip waist 1 cm at centre\n", world)
    assert not changed(one, drafted("change piece front\n    dip waist 2 cm at centre\n", world))


def test_new_rows_of_widths_stand_between_their_neighbours(world):
    text = "levels\n    knee 50 cm below waist\nchange piece front\n    widths from centre, before darts\n        {}\n        {}\n"
    for rows in (("hip quarter", "knee 1 cm less than hip"), ("knee 1 cm less than hip", "hem flare more than hip")):
        front = drafted(text.format(*rows), world).pattern.piece("front")
        assert list(front.levels) == ["waist", "hip", "knee", "hem"]
        assert front.levels["knee"][0] == 500.0


# ------------------------------------------------------------ what a recipe says


def test_changing_what_a_block_says(world):
    one = drafted(
        "change piece band\n    point P m2 down lift\n    inset = 2 cm\n    without outline\n    outline top, right, low, left\n", world
    )
    assert not changed(one, base_of(world)) - {"band"}
    band = one.pattern.piece("band")
    assert [edge.name for edge in band.edges] == ["top", "right", "low", "left"]
    assert band.points["P"][0].tolist() == pytest.approx([730.0 * 2 / 3, 10.0])


def test_a_quantity_of_the_block_said_anew_is_what_the_block_goes_by(world):
    """The recipe's own rules read it; its value is said in the names of the style."""
    for text, y in (
        ("inset = quarter / 10\n", 25.0),
        ("when vent\n        inset = 7 mm\n", 7.0),
        ("divide 3 cm into\n        inset 1/2 * 1 cm\n        over the rest\n", 5.0),
    ):
        band = drafted(f"change piece band\n    {text}", world).pattern.piece("band")
        assert band.points["P"][0, 1] == pytest.approx(y)
        assert band.points["Q"][0, 1] == pytest.approx(y + 10.0)


def test_one_point_of_a_division_may_move_and_the_others_stay(world):
    band = drafted("change piece band\n    point m1 A across 1 cm\n", world).pattern.piece("band")
    assert (band.points["m1"][0, 0], band.points["m2"][0, 0]) == (10.0, pytest.approx(730.0 * 2 / 3))


def test_a_when_around_a_statement_of_the_block(world):
    """Where it does not hold, the recipe's own statement does."""
    text = "choose shift no\nchange piece band\n    when shift\n        point P m2 down 5 mm\n"
    for shift, x, y in ((1.0, 2 / 3, 5.0), (0.0, 1 / 3, 10.0)):
        point = drafted(text, world, {"shift": shift}).pattern.piece("band").points["P"][0]
        assert point.tolist() == pytest.approx([730.0 * x, y])


def test_change_within_a_piece_from_a_block(world):
    new = "piece loop from strip(8 cm, 2 cm, no)\n    cut 2\n    change\n        {}\n"
    one = drafted(new.format("point P m2 down 5 mm"), world)
    assert one.pattern.piece("loop").points["P"][0].tolist() == pytest.approx([160 / 3, 5.0])
    assert marks(drafted(new.format('without mark "fold"'), world), "loop") == []
    assert said(new.format("cut 3"), world) == [("N222", "mine.style", 4)]
    assert said("piece loop from strip(8 cm, 2 cm, no)\n    point P m2 down 5 mm\n", world)[0][0] == "N202"


def test_widths_of_a_block_are_changed_row_by_row(tmp_path):
    """Rows of the recipe read its parameters, rows of the piece the names of the style, even where both have the name."""
    level = (
        'language 1\nlibrary gores "G"\nrecipe gore "G" (wide length)\n    widths from centre, with darts\n'
        "        waist wide\n        hip wide + 4 cm\n        hem as hip\n    side smooth waist to hip, straight hip to hem\n"
        "    taken in at centre\n        waist wide / 20\n        hip 0 cm\n"
    )
    whole = (
        'language 1\nstyle gored "G"\nuse gores\nwide = 1 cm\nlevels\n    waist\n    hip 20 cm below waist\n'
        "    hem 60 cm below waist\npiece gore from gore(20 cm)\n"
    )
    world = house(tmp_path, gores=level, gored=whole)
    head = 'language 1\nstyle mine "Mine"\nstart from gored\n'
    text = "change piece gore\n    widths from centre, with darts\n        hem 30 cm + wide\n"
    piece = drafted(text, world, head=head).pattern.piece("gore")
    assert [piece.points[f"{level}_side"][0, 0] for level in ("waist", "hip", "hem")] == [200.0, 240.0, 310.0]
    assert piece.points["waist_centre"][0, 0] == 10.0
    taken = drafted("change piece gore\n    taken in at centre\n        hip wide\n", world, head=head).pattern.piece("gore")
    assert [taken.points[f"{level}_centre"][0, 0] for level in ("waist", "hip")] == [10.0, 10.0]
    none = drafted("change piece gore\n    without taken in at centre\n", world, head=head).pattern.piece("gore")
    assert none.points["waist_centre"][0, 0] == 0.0


def test_sheets_and_recipes_of_the_base_may_be_changed(tmp_path):
    text = (
        'language 1\nstyle sheets "S"\nrecipe lined(wide length)\n    line low C to D\n    point C A down wide\n'
        "    point D B down wide\n    trace net\n    line left A to C\n    line right B to D\n"
        "    outline left, top, right, low\n"
        "sheet net\n    point A start\n    point B A across 20 cm\n    line top A to B\n"
        "piece one from lined(10 cm)\npiece two from lined(20 cm)\n"
    )
    world = house(tmp_path, sheets=text)
    head = 'language 1\nstyle mine "Mine"\nstart from sheets\n'
    base = drafted("", world, head=head)
    wider = drafted("change sheet net\n    point B A across 21 cm\n", world, head=head)
    lower = drafted("change recipe lined\n    point C A down wide + 1 cm\n", world, head=head)
    assert changed(wider, base) == changed(lower, base) == {"one", "two"}
    assert lower.pattern.piece("two").points["C"][0, 1] == 210.0
    assert lower.pattern.piece("two").points["D"][0, 1] == 200.0


# ------------------------------------------------------------ pieces made from pieces


def test_parts_of_a_cut_and_pieces_from_pieces(tmp_path):
    flat = (
        'language 1\nstyle flat "F"\nuse strips\npiece panel from strip(20 cm, 60 cm, no)\n    cut 2\n'
        "cut panel from left at 20 cm to right at 20 cm, seam yoke_seam\n    piece yoke holding top\n    piece skirt\n"
        "piece wide from panel\n    spread low by 6 cm, hinged on top, in 3 cuts\n"
    )
    world = house(tmp_path, flat=flat)
    head = 'language 1\nstyle mine "Mine"\nstart from flat\n'
    base = drafted("", world, head=head)
    cut = "cut panel from left at {0} cm to right at {0} cm, seam yoke_seam\n    piece yoke holding top\n    piece skirt\n"
    assert not changed(drafted(cut.format(20), world, head=head), base)
    assert changed(drafted(cut.format(25), world, head=head), base) == {"yoke", "skirt"}
    one = drafted('change piece yoke "Yoke"\n    cut 4\n', world, head=head)
    assert not changed(one, base) and one.pattern.piece("yoke").cut.count == 4 and one.pattern.piece("yoke").title == "Yoke"
    wider = drafted("change piece wide\n    spread low by 2 cm, hinged on top, in 2 cuts\n", world, head=head)
    assert changed(wider, base) == {"wide"}
    lengths = [one.pattern.piece("wide").edge("low").closed_length()[0] for one in (base, wider)]
    assert lengths == pytest.approx([260.0, 280.0], abs=0.1)  # a spread edge is drawn fair
    for text in ("without piece yoke\n", "piece yoke from strip(1 cm, 1 cm, no)\n"):
        assert said(text, world, head) == [("N226", "mine.style", 1)]


# ------------------------------------------------------------ a chain


def test_a_base_may_start_from_another(tmp_path):
    middle = 'language 1\nstyle middle "Middle"\nstart from base\nchoose long 70 cm\nchange piece band\n    point P m2 down 5 mm\n'
    world = house(tmp_path, middle=middle)
    head = 'language 1\nstyle mine "Mine"\nstart from middle\n'
    one = drafted("", world, head=head)
    assert changed(one, base_of(world, {"long": 700.0})) == set()
    assert one.pattern.piece("band").points["P"][0, 1] == 5.0
    last = drafted("choose long 60 cm\nchange piece band\n    point P m1 down inset\n", world, head=head)
    assert not changed(last, base_of(world))
    assert last.pattern.piece("band").points["P"][0].tolist() == base_of(world).pattern.piece("band").points["P"][0].tolist()


def test_chains_are_bounded_and_circles_are_shown(tmp_path):
    links = {f"s{i}": f'language 1\nstyle s{i} "S"\nstart from s{i + 1}\n' for i in range(30)}
    assert said("", house(tmp_path, **links), 'language 1\nstyle mine "M"\nstart from s0\n') == [
        ("N213", f"s{MOST_STARTS - 1}.style", 3)
    ]
    ring = {"one": 'language 1\nstyle one "O"\nstart from two\n', "two": 'language 1\nstyle two "T"\nstart from one\n'}
    assert said("", house(tmp_path, **ring), 'language 1\nstyle mine "M"\nstart from one\n') == [("N203", "two.style", 3)]
    assert said("", house(tmp_path), 'language 1\nstyle mine "M"\nstart from mine\n') == [("N203", "mine.style", 0)]


def test_a_style_beside_goes_before_a_standard_one(tmp_path):
    own = BASE.replace("style base", "style straight_skirt").replace("60 cm from", "61 cm from")
    world = house(tmp_path, straight_skirt=own)
    head = 'language 1\nstyle mine "Mine"\nstart from straight_skirt\n'
    assert drafted("", world, head=head).pattern.values["long"][0] == 610.0
    style, _ = read(Source("mine.style", head), FolderWorld())
    assert "band_depth" in style.plan().choices
    files = {step.span.source.name for step in style.plan().steps}
    assert "styles/straight_skirt.style" in files and all(name.startswith(("styles/", "stdlib/")) for name in files)
