"""Why a place lies where it lies: every place has an answer, every sum comes out, the leaves are measures, choices and what the texts
state, and what a measure moves is what it moves in a second draft.

Sums are worked out here from the formulas alone, by Python's own reader of expressions.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from functools import cache

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.session import Session
from tapeline.source.world import standard_folder
from tapeline.why.book import length_of
from tapeline.why.shares import slopes
from tapeline.why.sums import CONDITIONS, EXACT, FUNCTIONS, SAID
from tapeline.why.tree import TreeBuilder

STYLES = sorted(path.stem for path in standard_folder("styles").glob("*.style"))
BINARY = {ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv}


@cache
def reasons(style: str, body: str = "nell", *settings: str):
    folder = standard_folder("styles")
    reading = Session(keep=True).read(folder / f"{style}.style")
    assert reading.ok, reading.diagnostics
    drafts = reading.draft([folder / "bodies" / f"{body}.toml"], settings, accept=True)
    assert drafts.ok, drafts.diagnostics
    return drafts.bodies[0].reasons()


@cache
def whole_tree(style: str, body: str = "nell"):
    """The rules behind all places of a draft, each once, and the number of each place's own."""
    asked, numbers = reasons(style, body), {}
    builder = TreeBuilder(asked.book)
    for words in asked.places:
        place, wrong = asked.places.find(words)
        assert wrong is None
        numbers[words] = builder.slot(place.slot) if place.wanted is None else builder.wanted(place.wanted)
    return builder.rules, numbers


def worked_out(formula: str) -> float:
    """A formula of plain numbers, + - * / and the functions that sums may have."""

    def value(node):
        if isinstance(node, ast.Constant) and isinstance(node.value, float):
            return node.value
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
            return -value(node.operand)
        if isinstance(node, ast.BinOp):
            return BINARY[type(node.op)](value(node.left), value(node.right))
        assert isinstance(node, ast.Call) and not node.keywords, ast.dump(node)
        return FUNCTIONS[node.func.id](*map(value, node.args))

    return value(ast.parse(formula, mode="eval").body)


def test_what_is_told_of_a_sum_can_be_worked_out_again():
    assert set(SAID) == {*EXACT, *CONDITIONS, "either_value"}


@pytest.mark.parametrize(("style", "body"), [*((style, "nell") for style in STYLES), ("sleeveless_blouse", "tess")])
def test_every_sum_comes_out(style, body):
    sums = [(rule, one) for rule in whole_tree(style, body)[0] for one in rule.sums]
    assert len(sums) > 3
    for rule, one in sums:
        assert math.isclose(worked_out(one.formula), one.value, rel_tol=1e-9, abs_tol=1e-9), (rule.name, one)
        assert one.comes and one.words


@pytest.mark.parametrize(
    "style", ["straight_skirt", "six_gore_skirt", "waisted_dress", "shirt_blouse", "shawl_jacket", "kick_pleat_skirt"]
)
def test_the_figures_of_a_sum_come_out_but_for_their_rounding(style):
    """As a maker would reckon them again, from what she reads: figures of centimetres to 0.1 mm."""
    checked = 0
    for rule in whole_tree(style, "maud")[0]:
        for one in rule.sums:
            words = one.figures.replace(" %", " / 100").replace(" x ", " * ")
            if one.kind not in ("length", "number") or one.is_lone or not re.fullmatch(r"[-+*/().\d ]+", words):
                continue
            reckoned = eval(words)  # noqa: S307  (digits and signs alone)
            shown = one.value / 10.0 if one.kind == "length" else one.value
            assert reckoned == pytest.approx(shown, abs=0.03, rel=2e-3), (rule.name, one)
            checked += 1
    assert checked > 8


@pytest.mark.parametrize("style", STYLES)
def test_the_leaves_are_measures_choices_and_what_the_texts_state(style):
    rules, _ = whole_tree(style)
    for rule in rules:
        if not rule.rests:
            stated = rule.is_leaf or (rule.sort == "quantity" and rule.said is not None) or rule.sort in ("allowance", "piece")
            assert stated, rule
            assert rule.sort != "measure" or rule.name in reasons(style).book.plan.measures
        if rule.sort not in ("stated", "girth", "piece"):
            assert rule.said is not None, rule
        assert len(set(rule.rests)) == len(rule.rests)
    assert {rule.name for rule in rules if rule.sort == "measure"} <= set(reasons(style).book.plan.measures)


@pytest.mark.parametrize("style", STYLES)
def test_no_rule_rests_on_itself(style):
    rules, _ = whole_tree(style)
    state = dict.fromkeys(range(len(rules)), 0)
    for start in state:
        stack = [(start, iter(rules[start].rests))] if not state[start] else []
        while stack:
            number, below = stack[-1]
            state[number] = 1
            for one in below:
                assert state[one] != 1, (rules[number], rules[one])
                if not state[one]:
                    stack.append((one, iter(rules[one].rests)))
                    break
            else:
                state[number] = 2
                stack.pop()


@pytest.mark.parametrize("body", ["maud", "tess"])
def test_a_client_whose_sides_differ_is_told_left_and_right(body):
    """A quantity that rests on the side has an answer for either, and a measure of a side moves what is of that side alone."""
    asked = reasons("shift_dress", body)
    sided = [name for name in asked.book.plan.values if name.startswith(("left ", "right "))]
    assert bool(sided) == (body == "tess")
    for name in sided:
        answer, wrong = asked.why(name)
        assert not wrong and answer.rule.side in ("left", "right", "")
        moving = {share.name for share in answer.shares if any(share.moves)}
        other = "right " if name.startswith("left ") else "left "
        assert not {share for share in moving if share.startswith(other)}, name
    assert not sided or {"left", "right"} <= {rule.side for rule in whole_tree("shift_dress", body)[0]}


@pytest.mark.parametrize(("style", "body"), [("waisted_dress", "maud"), ("sleeveless_blouse", "tess"), ("pleated_skirt", "nell")])
def test_answers_read_as_text_and_as_data(style, body):
    asked = reasons(style, body)
    for words in [*asked.places][::40]:
        answer, wrong = asked.why(words)
        assert not wrong
        lines = answer.lines()
        assert lines[0].startswith((words, answer.rule.name)) and all("nan" not in line for line in lines)
        data = answer.as_data()
        assert len(data["rules"]) == len(answer.rules)
        told = {rule["name"] for rule in data["rules"] if rule["sort"] in ("measure", "choice")}
        assert {row["name"] for row in data["moves"]} <= told
        unmoved, _ = asked.why(words, moves=False)
        assert unmoved.lines() == lines[: lines.index("")] and unmoved.as_data()["moves"] is None


def leaves_below(rules):
    """Rule -> the measures and choices that it rests on."""
    leaves: dict[int, frozenset] = {}

    def below(number):
        if number not in leaves:
            rule = rules[number]
            own = {(rule.sort, rule.name)} if rule.sort in ("measure", "choice") else set()
            leaves[number] = frozenset(own).union(*(below(one) for one in rule.rests))
        return leaves[number]

    return [below(number) for number in range(len(rules))]


@pytest.mark.parametrize(("style", "body"), [*((style, "nell") for style in STYLES), ("sleeveless_blouse", "tess")])
def test_what_moves_a_place_is_among_its_leaves(style, body):
    """Of every place it is known what moves it, and nothing does that the tree below it does not come to."""
    asked, (rules, numbers) = reasons(style, body), whole_tree(style, body)
    below, plan = leaves_below(rules), asked.book.plan
    leaves = sorted({leaf for some in below for leaf in some if leaf[0] == "measure" or plan.choices[leaf[1]].kind.word != "condition"})
    places = {words: asked.places.find(words)[0].parts for words in numbers}
    moves = slopes(asked.book, asked.drafted, leaves, [part for parts in places.values() for part in parts])
    row = 0
    for words, parts in places.items():
        own = moves[row : row + len(parts)]
        row += len(parts)
        assert np.isfinite(own).all(), words
        moving = {leaf for leaf, by in zip(leaves, own.T, strict=True) if np.abs(by).max(initial=0.0) > 1e-5}
        assert moving <= below[numbers[words]], (words, moving - below[numbers[words]])


def figure_of(run, part, book):
    value = run.filled[part.slots[0]]
    length = length_of(value)
    if length is not None:
        return length
    return value if value.ndim == 1 else value[:, 0 if part.word == "across" else 1]


@pytest.mark.parametrize(
    ("style", "places"),
    [
        (
            "straight_skirt",
            ["hip_quarter", "front.hip_side", "front.waist", "back.waist_side", "back.dart1_point", "vent_long", "front_give"],
        ),
        ("princess_bodice", ["back_upper.inner_centre", "front_block.shoulder_tip", "front_block.armhole"]),
        ("half_circle_skirt", ["skirt.waist", "skirt.hem"]),
    ],
)
def test_what_a_measure_moves_is_what_it_moves_in_a_second_draft(style, places):
    asked = reasons(style)
    book, run = asked.book, asked.drafted.run
    leaves = [("measure", name) for name in run.plan.measures]
    leaves += [("choice", name) for name, choice in run.plan.choices.items() if choice.kind.word == "length"]
    parts = [part for words in places for part in asked.places.find(words)[0].parts]
    angles = {name for name in run.plan.measures if asked.style.measurements[name].kind == "angle"}
    steps = np.array([2e-3 if name in angles else 0.2 for _, name in leaves])  # radians, mm
    told = slopes(book, asked.drafted, leaves, parts)
    n = 2 * len(leaves)

    def varied(sort, name, value):
        by = [steps[k // 2] * (1 - 2 * (k % 2)) if leaves[k // 2] == (sort, name) else 0.0 for k in range(n)]
        return np.full(n, float(value[0])) + np.array(by)

    measures = {name: varied("measure", name, value) for name, value in run.measures.items()}
    choices = {name: varied("choice", name, run.filled[choice.slot]) for name, choice in run.plan.choices.items()}
    (again,) = draft(asked.style, measures, choices, run.unit)
    seen = np.array([(figure := figure_of(again.run, part, book))[::2] - figure[1::2] for part in parts]) / (2 * steps)
    assert np.abs(told).max() > 0.2
    np.testing.assert_allclose(told, seen, rtol=1e-4, atol=2e-3)


CHAIN = """language 1
style chain "A chain"
measure waist
choose wide no "twice as wide"
a0 = waist / 4
{names}
piece strip "Strip"
    cut 1
    point p0 start
{points}
    when wide -- which it is not
        point top p0 down 2 * a0
    otherwise
        point top p0 down a0 -- not ( twice
    line one p0 to p{last}
    line two p{last} to top
    line three top to p0
    outline one, two, three
"""


def test_a_chain_of_rules_is_followed_however_long_and_an_otherwise_is_told():
    last = 400
    names = "\n".join(f"a{k} = a{k - 1} + 1 mm" for k in range(1, last + 1))
    points = "\n".join(f"    point p{k} p{k - 1} across a{k} / 100" for k in range(1, last + 1))
    reading = Session().read(CHAIN.format(names=names, points=points, last=last))
    assert reading.ok, reading.diagnostics
    drafts = reading.draft({"Maud": {"waist": "70 cm"}})
    assert drafts.ok, drafts.diagnostics
    answer = drafts["Maud"].why(f"strip.p{last}")
    assert len(answer.rules) > 2 * last and f"a{last} = " in "\n".join(answer.lines(None))
    assert {share.name: round(share.moves[0], 9) for share in answer.shares} == {"waist": 1.0}
    (way,) = drafts["Maud"].why("strip.top").rule.ways
    assert (way.words, way.holds, way.span.line) == (
        "when wide",
        False,
        1 + reading.source.text[: reading.source.text.index("when wide")].count("\n"),
    )


@pytest.mark.parametrize(
    ("words", "code", "offered"),
    [
        ("front.hip_sde", "E110", "front.hip_side"),
        ("hip_quater", "E110", "hip_quarter"),
        ("girth at hips", "E110", "girth at hip"),
        ("front_lining.side", "E110", "Other courses"),
        ("side", "E111", "front.side"),
        ("", "E110", ""),
    ],
)
def test_what_is_not_there_is_refused_with_names_near_it(words, code, offered):
    answer, wrong = reasons("straight_skirt").why(words)
    assert answer is None and [one.code for one in wrong] == [code]
    assert offered in wrong[0].suggestion


def test_the_public_door_gives_the_answer_or_says_what_is_wrong():
    folder = standard_folder("styles")
    (drafted,) = Session(keep=True).read(folder / "straight_skirt.style").draft([folder / "bodies" / "nell.toml"])
    assert drafted.why("hip_quarter").lines()[0] == "hip_quarter = (38 1/2 + 2) / 4 = 10 1/8 in"
    with pytest.raises(ValueError, match="hip_quarter"):
        drafted.why("hip_qarter")
