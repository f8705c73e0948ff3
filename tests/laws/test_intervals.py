"""Laws of proof by intervals: every body of a box lies within what is said of the box, and what is broken anywhere is never proved."""

from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from workbench import style_of

from tapeline.drafting.steps import Run
from tapeline.geometry.intervals import Boxes, bounds_where, subtract
from tapeline.meaning.plan import Step, needed_steps
from tapeline.probing.probe import Population, probe
from tapeline.probing.proving import DRAWN, FALSE, OPEN, PROVED, carry_out, prove
from tapeline.probing.spread import variables_of
from tapeline.probing.trial import Trial

seeds = st.integers(0, 2**32 - 1)
ONE = (
    "negative",
    "half",
    "third",
    "quarter",
    "absolute_value",
    "root",
    "sine",
    "cosine",
    "tangent",
    "rounded_down",
    "rounded_up",
    "positive",
)
TWO = ("add", "subtract", "multiply", "divide", "halfway", "least", "greatest", "hypotenuse")
RELATIONS = ("at least", "at most", "more than", "less than", "is", "is not")
NAMES = ("waist", "hip", "height")


def random_steps(random, count=14):
    """A plan of steps that a style could be lowered to, and which of its slots are conditions."""
    steps = [Step(k, "measure", (), {"name": name}, None) for k, name in enumerate(NAMES)]
    values, conditions = list(range(len(NAMES))), []
    for slot in range(len(NAMES), len(NAMES) + count):

        def pick(some=values):
            return int(some[random.integers(len(some))])

        sort = random.random()
        if sort < 0.1:
            step = "constant", (), {"number": float(random.choice([0.0, 1.0, -0.5, 3.0, 250.0, random.normal() * 20]))}
        elif sort < 0.4:
            name = str(random.choice(ONE))
            step = name, (pick(),), {"what": "length"} if name == "positive" else {}
        elif sort < 0.65:
            step = str(random.choice(TWO)), (pick(), pick()), {}
        elif sort < 0.7:
            step = "weighted_sum", (pick(), pick(), pick()), {"factors": (2.0, -1.0, 0.25)}
        elif sort < 0.75:
            step = "rest", (pick(), pick()), {"named": bool(random.integers(2))}
        elif sort < 0.78:
            step = "between_levels", (pick(), pick(), pick(), pick(), pick()), {}
        elif sort < 0.9 or not conditions:
            step = "compare", (pick(), pick()), {"relation": str(random.choice(RELATIONS))}
        elif sort < 0.95:
            name = str(random.choice(["either", "both", "negated"]))
            step = name, tuple(pick(conditions) for _ in range(1 if name == "negated" else 2)), {}
        else:
            step = "either_value", (pick(conditions), pick(), pick()), {}
        steps.append(Step(slot, *step, None))
        (conditions if step[0] in ("compare", "either", "both", "negated") else values).append(slot)
    return steps, set(conditions)


@settings(max_examples=120)
@given(seeds)
def test_every_body_of_a_box_lies_within_its_bounds_and_its_form(seed):
    random = np.random.default_rng(seed)
    steps, conditions = random_steps(random)
    # Far apart in size and often about zero, so that the branches of every operation are met.
    middle = random.choice([1.0, 60.0, 900.0], (6, 3)) * random.uniform(-1.0, 1.0, (6, 3))
    reach = np.abs(middle) * random.choice([0.0, 1e-3, 0.1, 1.5], (6, 3))
    boxes = Boxes(middle - reach, middle + reach, dict(zip(NAMES, range(3), strict=True)), {})
    forms = {}
    carry_out(boxes, steps, forms)
    one, other = random.choice([step.out for step in steps if step.out not in conditions], 2)
    with np.errstate(all="ignore"):
        known = [subtract(boxes, forms[one], forms[other])]
        told = {slot: bounds_where(form, known) for slot, form in forms.items() if slot not in conditions}
    for _ in range(12):
        place = random.uniform(-1.0, 1.0, (6, 3)) if random.integers(4) else np.sign(random.normal(size=(6, 3)))
        bodies = middle + reach * place
        run = Run(SimpleNamespace(choices={}), 6, {name: bodies[:, k] for k, name in enumerate(NAMES)}, {})
        run.quiet = True
        run.carry_out(steps)
        for slot, form in forms.items():
            if slot not in conditions:
                low, high = told[slot]
                value, meant = run.filled[slot], ~form.unsure & (run.filled[one] >= run.filled[other])
                assert (value[meant] >= low[meant]).all() and (value[meant] <= high[meant]).all(), steps[slot]
        for slot, form in forms.items():
            value, known = run.filled[slot], ~form.unsure
            assert np.isfinite(value[known]).all(), steps[slot]
            assert (value[known] >= form.low[known]).all() and (value[known] <= form.high[known]).all(), steps[slot]
            if slot not in conditions and form.parts.shape == (6, 3) and known.any():
                linear = (np.where(known[:, None], form.parts, 0.0) * place).sum(axis=1)
                off = np.abs(np.where(known, value, 0.0) - np.where(known, form.centre, 0.0) - linear)
                assert (off[known] <= form.error[known] * (1 + 1e-9) + 1e-9 * np.abs(value[known])).all(), steps[slot]


def test_what_two_quantities_share_cancels():
    steps = [
        Step(0, "measure", (), {"name": "hip"}, None),
        Step(1, "measure", (), {"name": "waist"}, None),
        Step(2, "quarter", (0,), {}, None),
        Step(3, "quarter", (1,), {}, None),
        Step(4, "subtract", (2, 3), {}, None),
        Step(5, "add", (4, 3), {}, None),
        Step(6, "subtract", (5, 2), {}, None),
    ]
    forms = {}
    carry_out(Boxes(np.array([[800.0, 600.0]]), np.array([[1200.0, 1000.0]]), {"hip": 0, "waist": 1}, {}), steps, forms)
    assert forms[4].low[0] == pytest.approx(-50.0) and forms[4].high[0] == pytest.approx(150.0)
    assert abs(forms[6].low[0]) < 1e-6 and abs(forms[6].high[0]) < 1e-6  # (hip - waist) / 4 + waist / 4 - hip / 4


PIECE = """piece panel "Panel"
    cut 2
    point A start
    point B A across 40 cm
    point C A down 50 cm
    point D B down 50 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    curve bow A to D, bowed 1 cm right
    outline centre, top, side, hem
"""


def proofs_of(rules, settings=None, women=None):
    style = style_of(f'language 1\nstyle proved "Proved"\n{rules}{PIECE}')
    variables = variables_of(style, settings or {})
    trial = Trial(style, variables, settings or {})
    return style, variables, prove(style, variables, settings or {}, trial, np.array([one.usual for one in variables]), women)


def states(rules, code="D460", **more):
    return [proof.declared.state for proof in proofs_of(rules, **more)[2] if proof.claim.code == code]


@pytest.mark.parametrize(
    ("rules", "state"),
    [
        ('measure hip\nrequire hip more than 39 cm "x"\n', PROVED),  # the declared range is 40 to 190 cm
        ('measure hip\nrequire hip more than 41 cm "x"\n', FALSE),
        ('measure hip\nrequire hip at least 40 cm "x"\n', PROVED),  # it touches the bound
        ('measure hip, waist\nrequire hip / 4 - waist / 4 at least (hip - waist) / 4 "x"\n', PROVED),
        ('measure hip, waist\nrequire hip * waist / hip more than 37 cm "x"\n', PROVED),
        ('measure hip, waist\nrequire greatest of (hip, waist) at least waist "x"\n', PROVED),
        ('measure hip, waist\nrequire absolute_value of (hip - waist) more than -1 mm and hip more than 0 cm "x"\n', PROVED),
        ('measure hip, waist\nrequire absolute_value of (hip - waist) more than 1 mm "x"\n', FALSE),
        ('measure hip, waist\nrequire hypotenuse of (hip, hip - waist) at least 40 cm "x"\n', PROVED),
        ('measure hip, waist\nrequire hypotenuse of (hip, hip - waist) at least 41 cm "x"\n', FALSE),
        ('choose n 2 from 1 to 5\nrequire n at most 5 "x"\n', PROVED),
        ('choose n 2 from 1 to 5\nrequire n at most 4 "x"\n', FALSE),
        ('choose vent yes "x"\nrequire vent "x"\n', FALSE),
        ('choose vent yes "x"\nrequire vent or not vent "x"\n', PROVED),
        ('measure hip\nrequire length of panel.top more than 39 cm and hip more than 0 cm "x"\n', PROVED),
        ('measure hip\nrequire length of panel.bow more than 39 cm and hip more than 0 cm "x"\n', DRAWN),
    ],
)
def test_what_is_said_of_a_requirement(rules, state):
    assert states(rules) == [state]


@pytest.mark.parametrize("odd", range(1, 7))
def test_no_whole_number_is_passed_over(odd):
    rules = f'choose n 2 from 1 to 6 "x"\nbuttons n, 15 mm\nrequire n is not {odd} "x"\n'
    assert FALSE in states(rules)  # beside that of the buttons, whose number must be whole


def test_a_hidden_violation_is_never_proved_away():
    for wide in (200.0, 20.0, 2.0, 0.2, 0.02):  # mm, in a range of 1.5 m by 1.3 m
        rules = (
            f"measure hip, waist\nrequire absolute_value of (hip - 913.7 mm) more than {wide} mm or absolute_value of (waist - 771.3 mm) "
            f'more than {wide} mm "x"\n'
        )
        (proof,) = proofs_of(rules)[2]
        assert proof.declared.state == FALSE if wide > 1.0 else proof.declared.state in (FALSE, OPEN), wide


@settings(max_examples=15)
@given(seeds)
def test_linear_requirements_are_proved_just_where_their_least_value_allows(seed):
    random = np.random.default_rng(seed)
    a, b = random.integers(-4, 5, 2)
    low = np.array([400.0, 380.0])
    high = np.array([1900.0, 1700.0])
    least = sum(min(one * x, one * y) for one, x, y in zip((a, b), low, high, strict=True))
    off = float(random.choice([-300.0, -1.0, 1.0, 300.0]))
    state = states(f'measure hip, waist\nrequire {a} * hip + {b} * waist at least {least + off} mm "x"\n')
    if a == b == 0:
        return
    # A corner cut off by 1 mm is broken by so few bodies that their box may not be found; but it is never called proved.
    assert state == [PROVED] if off < 0 else state == [FALSE] or (off == 1.0 and state == [OPEN])


def test_a_witness_does_fail_and_is_believed():
    style, variables, proofs = proofs_of('measure hip, thigh\nrequire hip at least 50 cm "x"\n')
    (proof,) = proofs
    trial = Trial(style, variables, {})
    assert proof.declared.state == FALSE and len(proof.declared.witnesses)
    kinds = trial.kinds_of(proof.declared.witnesses)
    assert (kinds >= 0).all() and {trial.kinds[kind].code for kind in kinds} == {"D460"}


def test_bodies_that_are_doubted_do_not_count():
    # The library doubts a hip smaller than the thigh; only such bodies break this.
    assert states('measure hip, thigh\nrequire hip - thigh more than -20 cm "x"\n') == [PROVED]
    assert states('measure hip, thigh\nrequire hip - thigh more than -2 mm "x"\n') == [PROVED]
    assert states('measure hip, thigh\nrequire hip - thigh more than 2 mm "x"\n') == [FALSE]
    assert states('measure hip, calf\nrequire hip - calf more than -20 cm "x"\n') == [FALSE]


def test_a_branch_not_taken_cannot_fail():
    guarded = "measure hip, waist\nspare = waist / (hip - 50 cm) when hip more than 60 cm otherwise 1\n"
    assert states(guarded, "D401") == [PROVED]
    slanting = "measure hip, waist\nspare = 1 cm / ({}) when hip - waist more than 2 cm otherwise 1\n"
    assert states(slanting.format("least of (hip / 4, 40 % * (hip - waist)) - 7 mm"), "D401") == [PROVED]
    assert states(slanting.format("hip - waist - 3 cm"), "D401") != [PROVED]
    assert states("measure hip, waist\nspare = waist / (hip - 50 cm)\n", "D401") == [OPEN]  # a single line of bodies


def test_each_course_of_a_style_is_proved_by_itself():
    rules = 'measure hip\nchoose vent yes "x"\nwhen vent\n    spare = hip - 39 cm\notherwise\n    spare = 41 cm - {}\n'
    require = 'require spare more than 0 cm "x"\n'
    assert states(rules.format("40 cm") + require) == [PROVED]
    assert states(rules.format("hip") + require) == [FALSE]
    assert states(rules.format("hip") + require, settings={"vent": 1.0}) == [PROVED]


def test_what_is_the_same_for_all_bodies_of_one_course_is_not_passed_over():
    rules = 'measure hip\nwhen hip more than 100 cm\n    spare = {}\notherwise\n    spare = {}\nrequire spare at least 5 cm "x"\n'
    assert states(rules.format("3 cm", "hip / 4")) == [FALSE] and states(rules.format("hip / 4", "3 cm")) == [FALSE]
    assert states(rules.format("6 cm", "hip / 4")) == [PROVED] and states(rules.format("3 cm", "9 cm")) == [FALSE]
    assert states(rules.format("length of panel.bow", "hip / 4")) == [DRAWN]
    assert states(rules.format("6 cm", "9 cm")) == []  # no body could break it


def test_nothing_is_proved_of_a_style_not_all_of_whose_courses_were_looked_at():
    choices = "".join(
        f'choose c{k} yes "x"\nwhen c{k}\n    part{k} = hip / 100\notherwise\n    part{k} = hip / 200\n' for k in range(6)
    )
    require = f'require {" + ".join(f"part{k}" for k in range(6))} more than 1 mm "x"\n'
    assert states("measure hip\n" + choices + require) == [OPEN]  # 64 courses
    assert states("measure hip\n" + choices + require, settings={"c0": 1.0, "c1": 1.0, "c2": 1.0}) == [PROVED]


def test_allowances_and_parts_are_among_what_is_proved():
    _, _, proofs = proofs_of(
        "measure hip, waist\nallow\n    panel.side hip / 10 - 3 cm\n    panel.hem waist - 50 cm\n    others 1 cm\n"
        "divide hip into\n    one waist\n    other the rest\n"
    )
    found = {(proof.claim.code, proof.claim.span.text.split()[0]): proof.declared.state for proof in proofs}
    assert found == {("T504", "panel.side"): PROVED, ("T504", "panel.hem"): FALSE, ("D403", "other"): FALSE}


def test_points_and_straight_lines_lie_within_their_bounds():
    random = np.random.default_rng(11)
    text = """language 1
style placed "Placed"
measure hip, waist, shoulder_slope
piece panel "Panel"
    cut 2
    point A start
    point B A across hip / 4 + 1 cm
    point C A down waist / 3, left hip / 8 - 5 cm
    point D halfway B to C
    point E D at shoulder_slope by waist / 5
    point F C toward E by 1/3
    line centre A to C
    line top A to B
    line side B to E to C
    outline centre, top, side
    one = across from D to E
    two = down from F to B
    three = distance from A to F
    four = length of side
    five = closed length of top + distance from B to A
"""
    style = style_of(text)
    plan = style.plan()
    variables = variables_of(style, {})
    low, high = (np.array([getattr(one, end) for one in variables]) for end in ("low", "high"))
    middle, reach = low + (high - low) * random.random((40, 3)), (high - low) * random.choice([0.0, 0.01, 0.3], (40, 3))
    boxes = Boxes(middle - reach, middle + reach, {one.name: k for k, one in enumerate(variables)}, {})
    slots = [
        slot
        for step in plan.steps
        for slot in (step.out,)
        if step.operation in ("point_across", "point_down", "point_distance", "edge_length", "edge_closed_length")
    ]
    assert len(slots) == 6
    forms = {}
    carry_out(boxes, needed_steps(plan.steps, slots), forms)
    wide = np.array([(forms[slot].high - forms[slot].low) for slot in slots])
    assert (wide[:, (reach == 0.0).all(axis=1)] < 1e-3).all()
    for _ in range(40):
        bodies = middle + reach * random.uniform(-1.0, 1.0, (40, 3))
        run = Run(plan, 40, {one.name: bodies[:, k] for k, one in enumerate(variables)}, {})
        run.carry_out(needed_steps(plan.steps, slots))
        for slot in slots:
            value, known = run.filled[slot], ~forms[slot].unsure
            assert known.mean() > 0.5
            assert (value[known] >= forms[slot].low[known]).all() and (value[known] <= forms[slot].high[known]).all()


def test_seams_of_straight_edges_are_proved_or_broken():
    second = PIECE.replace('panel "Panel"', 'other "Other"').replace("B down 50 cm", "B down {}").replace("A down 50 cm", "A down {}")
    own = "measure hip\nsew other.side to other.centre\n"
    assert states(own + second.format("hip / 3 + 1 mm", "hip / 3"), "D450") == [PROVED]  # 1/16 in is allowed
    assert states(own + second.format("hip / 3 + 2 mm", "hip / 3"), "D450") == [FALSE]
    assert states("measure hip\nsew panel.side to other.side\n" + second.format("hip", "hip"), "D450") == [FALSE]
    gathered = "measure hip\nsew panel.top to other.side, gathered\n"
    assert states(gathered + second.format("hip / 5", "hip / 5"), "D450") == [PROVED]  # 40 cm, to 8 cm and 38 cm
    assert states(gathered + second.format("hip / 4", "hip / 4"), "D450") == [FALSE]


def test_levels_in_their_order_are_proved():
    rules = """measure hip, waist_to_hip
levels
    waist
    hip   waist_to_hip below waist
    hem   {} below waist
piece strip "Strip"
    cut 2
    widths from centre, with darts
        waist hip / 4
        hip as waist
        hem as waist
"""
    assert set(states(rules.format("33 cm"), "D410")) == {PROVED}  # waist to hip is 4.5 to 32 cm
    assert sorted(set(states(rules.format("31 cm"), "D410"))) == [FALSE, PROVED]


def test_a_choice_that_rests_on_the_body_keeps_to_its_range():
    rules = 'measure hip\nchoose low_hem hip / 4 from 9 cm to {} "x"\n'
    assert states(rules.format("hip / 2"), "D402") == [PROVED, PROVED]  # from 40 cm on
    assert states(rules.format("40 cm"), "D402") == [PROVED, FALSE]
    assert states(rules.format("hip / 2"), "D402", settings={"low_hem": 300.0}) == [PROVED, FALSE]


def test_the_ranges_of_a_population_are_looked_at_where_the_declared_ones_are_too_wide():
    style = style_of(f'language 1\nstyle proved "Proved"\nmeasure hip, waist\nrequire hip - waist more than -30 cm "x"\n{PIECE}')
    women = Population("few", {"hip": np.array([900.0, 1300.0]), "waist": np.array([600.0, 1150.0])}, 2)
    (proof,) = probe(style, {}, women, 16).proofs
    assert proof.declared.state == FALSE and proof.over_population.state == PROVED
