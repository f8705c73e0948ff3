"""Which courses of the `when` rules are one: by cases, and by a law over generated conditions.

The law asks each generated condition of many bodies by other means: its tree is worked out here for every mixture of the
choices and for sizes on and between its limits.  What one `when` makes must be known under another just where every such
body that takes the second takes the first as well.
"""

from __future__ import annotations

import math
import operator
from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeline.drafting.examples import run_examples
from tapeline.drafting.operations import OPERATIONS
from tapeline.drafting.run import draft
from tapeline.drafting.steps import Run
from tapeline.meaning.conditions import _WORKED_OUT
from tapeline.meaning.style import check, read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

PIECE = """piece panel "Panel"
    cut 1
    point A start
    point B A across 20 cm
    point C A down 30 cm
    point D B down 30 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
"""


def reading(text: str):
    return read(Source("small.style", f'language 1\nstyle small "Small"\nmeasure hip, waist\n{text}'), FolderWorld())


def in_order(text: str):
    style, found = reading(text)
    assert not found, "\n".join(map(render, found))
    return style


# ------------------------------------------------------------ the law

RELATIONS = {"more than": operator.gt, "less than": operator.lt, "at least": operator.ge, "at most": operator.le}
CHOICES = ("vent", "long")
SIZES = (90, 100, 110)  # cm, the limits of the generated conditions
HIPS = (80, 89, 90, 91, 95, 99, 100, 101, 105, 109, 110, 111, 120)  # on, beside and between them
BODIES = [dict(zip(("vent", "long", "hip"), body, strict=True)) for body in product((False, True), (False, True), HIPS)]

compared = st.tuples(st.sampled_from(["hip", "turned", "doubled"]), st.sampled_from(list(RELATIONS)), st.sampled_from(SIZES))
leaves = st.one_of(st.sampled_from(CHOICES), st.just("yes"), compared)
trees = st.recursive(
    leaves,
    lambda inner: st.one_of(
        st.tuples(st.just("not"), inner),
        st.tuples(st.sampled_from(["and", "or", "is", "is not"]), inner, inner),
        st.tuples(st.just("when"), inner, inner, inner),
    ),
    max_leaves=4,
)


def written(tree) -> str:
    if isinstance(tree, str):
        return tree
    word, *parts = tree
    if word == "hip":
        return f"hip {parts[0]} {parts[1]} cm"
    if word == "turned":
        return f"{parts[1]} cm {parts[0]} hip"
    if word == "doubled":
        return f"hip * 2 {parts[0]} {2 * parts[1]} cm"
    if word == "not":
        return f"not ({written(parts[0])})"
    if word == "when":
        return f"(({written(parts[1])}) when {written(parts[0])} otherwise ({written(parts[2])}))"
    return f"(({written(parts[0])}) {word} ({written(parts[1])}))"


def true_of(tree, body) -> bool:
    if isinstance(tree, str):
        return tree == "yes" or body[tree]
    word, *parts = tree
    if word in ("hip", "doubled"):
        return RELATIONS[parts[0]](body["hip"], parts[1])
    if word == "turned":
        return RELATIONS[parts[0]](parts[1], body["hip"])
    answers = [true_of(part, body) for part in parts]
    if word == "not":
        return not answers[0]
    if word == "when":
        return answers[1] if answers[0] else answers[2]
    return {"and": all(answers), "or": any(answers), "is": answers[0] == answers[1], "is not": answers[0] != answers[1]}[word]


@given(trees, trees, st.booleans())
def test_what_a_when_makes_is_known_wherever_its_condition_follows(first, second, below):
    rules = [f"when {written(first)}\n    lap = 3 cm\n", f"when {written(second)}\n    cover = lap + 1 cm\n"]
    text = "choose vent yes\nchoose long no\n" + "".join(rules if below else rules[::-1]) + PIECE
    # `hip` and `hip * 2` are two figures to the program: it need not see that one condition on them follows from another.
    mixed = {"doubled", "hip", "turned"} & {leaf[0] for leaf in (*_leaves(first), *_leaves(second))}
    follows = all(true_of(first, body) for body in BODIES if true_of(second, body))
    found = {one.code for one in reading(text)[1]}
    if not follows:
        assert found == {"N201"}
    elif not ("doubled" in mixed and len(mixed) > 1):
        assert found == set()


def _leaves(tree):
    if isinstance(tree, str) or tree[0] in ("hip", "turned", "doubled"):
        return [tree]
    return [leaf for part in tree[1:] for leaf in _leaves(part)]


@given(st.lists(trees, min_size=2, max_size=4))
def test_every_body_takes_a_course_that_the_check_has_read(conditions):
    text = "choose vent yes\nchoose long no\n" + PIECE
    text += "".join(f"when {written(one)}\n    q{k} = 1 cm\notherwise\n    q{k} = 2 cm\n" for k, one in enumerate(conditions))
    style = in_order(text)
    checked = set(style.checked)
    for vent, long in product((0.0, 1.0), (0.0, 1.0)):
        hips = np.array([10.0 * hip for hip in HIPS])
        for one in draft(style, {"hip": hips, "waist": hips}, {"vent": vent, "long": long}):
            assert any(style.course(dict(key)).plan is one.plan for key in checked)
            for body, place in enumerate(one.index):
                there = {"vent": bool(vent), "long": bool(long), "hip": HIPS[place]}
                for k, condition in enumerate(conditions):
                    figure = one.run.filled[one.plan.values[f"q{k}"].slot][body]
                    assert figure == (10.0 if true_of(condition, there) else 20.0)


FIGURES = st.floats(-50.0, 50.0).map(lambda figure: round(figure, 3))


@given(st.sampled_from(sorted(_WORKED_OUT)), FIGURES, FIGURES)
def test_constants_are_worked_out_as_drafts_are(operation, one, other):
    takes = 2 if operation in ("add", "subtract", "multiply", "divide", "least", "greatest", "hypotenuse") else 1
    figures = [one, other][:takes]
    if (operation == "divide" and other == 0.0) or (operation == "root" and one < 0.0):
        with pytest.raises((ArithmeticError, ValueError)):
            _WORKED_OUT[operation](*figures)
        return
    run = Run(in_order(PIECE).plan(), 1, {}, {})
    drafted = float(OPERATIONS[operation].work(run, *(np.array([figure]) for figure in figures))[0])
    assert not run.failures
    assert math.isclose(_WORKED_OUT[operation](*figures), drafted, rel_tol=1e-12, abs_tol=1e-12)


# ------------------------------------------------------------ cases


def test_a_vent_that_may_be_left_out():
    text = """choose vent yes
foundation ground "Ground"
    cut 2
    point A start
    point B A across 20 cm
    point C A down 60 cm
    point D B down 60 cm
    point V C up 18 cm
    line centre A to C
    line waist A to B
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
piece back "Back" from ground
    when vent
        extend centre by 5 cm from V to C, called vent
sew back.centre to back.centre
allow
    hem 4 cm turned up
    others 1.5 cm
when vent
    allow
        vent 1 cm faced
        hem 4 cm turned up
        others 1.5 cm
"""
    only = text.replace("allow\n    hem 4 cm turned up\n    others 1.5 cm\n", "", 1)
    otherwise = "otherwise\n    allow\n        hem 4 cm turned up\n        others 1.5 cm\n"
    in_order(only + otherwise)
    wrong = only.replace("when vent\n    allow", "when hip more than 90 cm\n    allow") + otherwise
    (said,) = [one for one in reading(wrong)[1] if one.code == "N201"]
    assert 'only under "when vent"' in said.found and said.others[0][0].text == "vent"


def test_a_constant_handed_to_a_recipe_is_no_fork():
    recipe = PIECE.replace('piece panel "Panel"', 'recipe panel "Panel" (slit condition, size number)')
    recipe += '    when slit\n        point V C up 8 cm\n        mark "slit" V to C\n'
    recipe += "    when size more than 3\n        point W C up 9 cm\n"
    text = recipe + 'piece left "Left" from panel(yes, 4)\npiece right "Right" from panel(no, 3)\n'
    text += "slit_length = distance from left.V to left.C\nother = distance from left.W to left.C\n"
    style = in_order(text)
    assert len(style.checked) == 1
    points = {piece.name: set(piece.points) for piece in style.plan().pieces}
    assert {"V", "W"} <= points["left"] and not {"V", "W"} & points["right"]


def test_a_number_of_darts_and_a_condition_on_it_agree():
    text = PIECE + "    darts count on top, called tuck\n        intake 5 mm each\n        points 5 cm long\n"
    text += "choose count 2 from 1 to 4\n"
    text += "".join(f"when count is {k}\n    last = distance from panel.tuck{k}_near to panel.A\n" for k in (1, 2, 3, 4))
    style = in_order(text)
    for count in (1, 2, 3, 4):
        (one,) = draft(style, {"hip": [900.0], "waist": [700.0]}, {"count": float(count)})
        assert not one.failed.any() and "last" in one.plan.values


@pytest.mark.parametrize("vent, codes", [("yes", []), ("no", ["N201"])])
def test_an_example_is_read_in_the_course_of_its_body(vent, codes):
    text = "choose vent yes\n" + PIECE + '    when vent\n        point V C up 8 cm\n        mark "vent" V to C\n'
    text += f'example "by hand"\n    given hip 96 cm, waist 70 cm, vent {vent}\n    expect distance from panel.V to panel.C is 8.0 cm\n'
    style = in_order(text)
    assert [one.code for one in run_examples(style)] == codes
    wrong = text.replace("panel.V", "panel.W")
    assert [one.code for one in reading(wrong)[1]] == ["N201"]


def test_an_example_may_give_a_choice_that_only_its_course_has():
    text = "choose vent yes\nwhen vent\n    choose depth 4 cm\n" + PIECE
    text += "when vent\n    point_depth = depth + 1 cm\n"
    text += 'example "by hand"\n    given hip 96 cm, waist 70 cm, vent yes, depth 6 cm\n    expect point_depth is 7.0 cm\n'
    assert run_examples(in_order(text)) == []


def test_conditions_of_many_parts_stay_quick_to_read():
    text = "".join(f"choose c{k} yes\n" for k in range(14)) + PIECE
    text += "all = " + " and ".join(f"c{k}" for k in range(14)) + "\n"
    text += "b0 = all or c1\n" + "".join(f"b{k} = (b{k - 1} is c{k}) or (b{k - 1} and not c{k})\n" for k in range(1, 14))
    text += "when b13\n    q = 1 cm\nwhen b13\n    r = q\nwhen not b13\n    s = 1 cm\notherwise\n    s = q\n"
    result = check(Source("small.style", f'language 1\nstyle small "Small"\n{text}'), FolderWorld())
    assert result.diagnostics == [] and len(result.courses) == 2


def test_half_of_binds_before_adding():
    text = PIECE + "a = half of waist + 10 cm\nb = half of (waist + 10 cm)\nc = root of (4) * 9\n"
    (one,) = draft(in_order(text), {"hip": [900.0], "waist": [700.0]})
    figures = {name: float(value[0]) for name, value in one.pattern.values.items()}
    assert (figures["a"], figures["b"], figures["c"]) == (450.0, 400.0, 18.0)


def test_a_piece_that_doubles_with_each_join_is_refused_once():
    text = PIECE.replace('piece panel "Panel"', 'foundation p0 "P"') + 'foundation p1 "P" from p0\n    open out at centre\n'
    text += "".join(f'foundation p{k + 1} "P" from p{k}\n    join p{k} along other_side to side\n' for k in range(1, 24))
    text += 'piece last "Last" from p24\n'
    (wrong,) = [one for one in reading(text)[1] if one.severity == "error"]
    assert wrong.code == "N287" and "240 edges" in wrong.expected


@pytest.mark.parametrize("count", ["2.5", "5 / 2"])
def test_what_is_counted_is_whole_also_by_default(count):
    darts = "    darts count on top, called tuck\n        intake 5 mm each\n        points 5 cm long\n"
    assert "N210" in {one.code for one in reading(f"choose count {count} from 1 to 4\n" + PIECE + darts)[1]}
    assert "N210" in {one.code for one in reading(f"count = {count}\n" + PIECE + darts)[1]}


def test_names_that_come_of_a_called_one_are_told_with_it():
    text = "choose vent yes\n" + PIECE.replace('piece panel "Panel"', 'foundation panel "Panel"')
    text += 'piece back "Back" from panel\n    when vent\n        extend side by 3 cm, called flap\n'
    text += "flap_width = distance from back.flap_top to back.A\n"
    said = [one for one in reading(text)[1] if one.code == "N201"]
    assert said and all('only under "when vent"' in one.found for one in said)
