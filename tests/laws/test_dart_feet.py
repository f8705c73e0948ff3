"""Laws of the feet of darts: their order, what lies between them as finished, and by how much unequal legs have moved them.

Where the feet and legs of a generated dart lie is worked out here from the figures of the style, by plain trigonometry; what a
dart takes out is read off the paper, from the end of one strip to the start of the next.
"""

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_darts import N, by_level, by_point, law, seeds
from workbench import HEAD, bodies, drafted, style_of, told

from tapeline.finishing import finish
from tapeline.finishing.whole import drafted_whole


def mouths(edge):
    """What the darts of an edge take out, by its paper alone: the steps from the end of each strip to the start of the next."""
    flat = [strip.flatten() for strip in edge.strips]
    return [np.hypot(*(after[:, 0] - before[:, -1]).T) for before, after in zip(flat, flat[1:], strict=False)]


@given(st.one_of(by_level().map(lambda made: (made[0], "back", "waist")), by_point().map(lambda text: (text, "panel", "waist"))), seeds)
@law
def test_what_a_dart_takes_out_is_what_its_edge_is_shorter_by(made, seed):
    text, piece, edge = made
    series = re.search(r"darts (\d)", text)
    names = [f"take{k}" for k in range(1, int(series[1]) + 1)] if series else ["take"]
    text += "".join(f"t{k} = intake of {piece}.{name}\n" for k, name in enumerate(names))
    text += f"piece copy from {piece}\n    grain level\n"
    text += "".join(f"c{k} = intake of copy.{name}\na{k} = asked intake of {piece}.{name}\n" for k, name in enumerate(names))
    text += "".join(f"b{k} = asked intake of copy.{name}\n" for k, name in enumerate(names))
    text += f"shorter = length of {piece}.{edge} - closed length of {piece}.{edge}\n"
    one = drafted(style_of(text), bodies(np.random.default_rng(seed), N))
    assert not any(failure.severity == "error" for failure in one.failures)
    values, drawn = one.pattern.values, one.pattern.piece(piece).edge(edge)
    taken = [values[f"t{k}"] for k in range(len(names))]
    np.testing.assert_allclose(sum(taken), values["shorter"], atol=1e-6)
    asked = float(re.search(r"intake ([\d.]+) mm", text)[1])
    for k in range(len(names)):
        np.testing.assert_allclose(values[f"c{k}"], taken[k], atol=1e-9)
        np.testing.assert_allclose([values[f"a{k}"], values[f"b{k}"]], asked)
    by_name = dict(zip((dart.name for dart in drawn.darts), mouths(drawn), strict=True))
    for name, value in zip(names, taken, strict=True):
        np.testing.assert_allclose(value, by_name[name], atol=1e-6)


PLAIN = """
piece panel
    cut 2
    point A start
    point B  A right 40 cm, {rise}
    point C  A down 45 cm
    point D  B down 45 cm
    point P  A toward B by {first} mm
    point Q  A toward B by {second} mm
    point T  A right {across} mm, down {down} mm
    line centre A to C
    line top {top}
    line side B to D
    line hem C to D
    outline {ring}
    dart on top between P and Q
        point at T
"""


@st.composite
def named_feet(draw):
    """A panel with a dart between two places of its sloping top, whose point may lie anywhere near it."""
    figures = {
        "rise": draw(st.sampled_from(["up 5 cm", "down 7 cm", "down 0 mm"])),
        "first": draw(st.integers(140, 260)),
        "second": draw(st.integers(140, 260)),
        "across": draw(st.integers(150, 250)),
        "down": draw(st.integers(-150, 250)),
        "top": draw(st.sampled_from(["A to B", "B to A"])),
        "ring": draw(st.sampled_from(["centre, top, side, hem", "top, centre, hem, side"])),
    }
    return figures


@given(named_feet())
@settings(max_examples=120, deadline=None)
def test_feet_that_cross_and_points_outside_are_refused(figures):
    """By hand: where P and Q lie along the line as it is drawn, and on which side of that line the point is."""
    run, fall = 400.0, {"up 5 cm": -50.0, "down 7 cm": 70.0, "down 0 mm": 0.0}[figures["rise"]]
    first, second = figures["first"], figures["second"]
    gap = (second - first) * (1.0 if figures["top"] == "A to B" else -1.0)
    below = run * figures["down"] - fall * figures["across"]  # how far the point lies to the right of the way from A to B: inside
    if abs(below) / np.hypot(run, fall) < 20.0:
        return  # a point on the edge itself is a fault of another kind
    one = drafted(style_of(HEAD + PLAIN.format(**figures)), bodies(np.random.default_rng(1), 1))
    codes = {diagnostic.code for diagnostic in told(one)}
    if gap <= 0:
        assert codes == {"D530"}, (codes, figures)
        words = "one place" if gap == 0 else "have crossed"
        assert words in told(one)[0].title and "dart on panel.top" in told(one)[0].title
    elif below < 0.0:
        assert "D424" in codes, (codes, figures)
    else:
        assert "D530" not in codes and "D424" not in codes, (codes, figures)
        foot = [np.array([p / np.hypot(run, fall) * run, p / np.hypot(run, fall) * fall]) for p in (first, second)]
        legs = [np.hypot(*(place - (figures["across"], figures["down"]))) for place in foot]
        notes = [failure.diagnostic(0) for failure in one.failures if failure.code == "D532"]
        if abs(abs(legs[0] - legs[1]) - 2.0) > 0.01 and not codes:
            assert bool(notes) == (abs(legs[0] - legs[1]) > 2.0), (legs, figures)
            if notes:
                figures = [float(figure) * 10.0 for figure in re.findall(r"([\d.]+) cm", notes[0].found)]
                moved, taken, asked = figures if len(figures) == 3 else [*figures, figures[-1]]
                assert moved == pytest.approx(abs(legs[0] - legs[1]), abs=0.06)
                dart = one.pattern.piece("panel").darts()[0]
                assert taken == pytest.approx(float(np.hypot(*(dart.far_foot - dart.near_foot)[0])), abs=0.06)
                assert asked == pytest.approx(abs(second - first), abs=0.06)


WAYS = {
    "at a point": "    dart on top at point M, called one\n        intake taken\n        point 12 cm long\n",
    "part of the way": "    dart on top at half, called one\n        intake taken\n        point at T\n",
    "held": "    dart on top at half, called one\n        intake taken, held to yoke\n        point 12 cm long\n",
    "each of a series": "    darts 3 on top, called one\n        intake taken each\n        points 9 cm long\n",
    "a series in all": "    darts 2 on top, called one\n        intake taken in all\n        points 9 cm long\n",
    "between places": "    dart on top between P and Q, called one\n        point at T\n",
    "inside": "    dart at T, called one\n        intake taken\n        points 6 cm above it, 9 cm below it\n",
}
CHANGED = {
    "as it is": "",
    "pivoted": "piece other from front\n    pivot one to side at half\n",
    "shortened": "piece other from front\n    shorten one by 2 cm\n",
    "opened out": "piece other from front\n    open out at centre\n",
}
DARTED = """
levels
    waist
    yoke  4 cm below waist
taken = (hip - waist) / 4
piece front
    cut 2
    point A start
    point B A across hip / 4
    point C A down 60 cm
    point D B down 60 cm
    point M halfway A to B
    point P M left taken / 2
    point Q M right taken / 2
    point T M down 12 cm
    point Y A down 4 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
    level yoke at Y
"""


TURNED = ("at a point", "part of the way", "between places")  # the darts that can be moved about their point, by the name of one
PAIRS = [(way, changed) for way in WAYS for changed in CHANGED if changed in ("as it is", "opened out") or way in TURNED]


@pytest.mark.parametrize("way, changed", PAIRS)
def test_a_dart_that_takes_out_nothing_or_less_is_refused_by_its_name_alone(way, changed):
    """However it is said, and whatever is made of its piece: for bodies whose waist is smaller, as great and greater than the hip."""
    style = style_of(HEAD + DARTED + WAYS[way] + CHANGED[changed])

    def errors(waist):
        body = {"hip": 1000.0, "waist": waist, "waist_to_hip": 200.0, "waist_to_knee": 600.0}
        return told(drafted(style, {name: np.array([value]) for name, value in body.items()}))

    assert errors(900.0) == []
    less = {"a series in all": "-1.25 cm", "between places": "2.5 cm"}.get(way, "-2.5 cm")
    for waist, taken in ((1000.0, "0 cm"), (1100.0, less)):
        (refused,) = errors(waist)
        assert refused.code == ("D530" if way == "between places" else "D404")
        assert re.search(r"\bone1?\b", refused.title) and "front" in refused.title and taken in refused.found, refused


def test_no_allowance_is_worked_out_for_a_body_whose_draft_has_failed(monkeypatch):
    style = style_of(HEAD + DARTED + WAYS["between places"] + "allow\n    others 1 cm\n")
    rings = []

    def watched(piece, allowances, corners=()):
        rings.append(np.isfinite(next(iter(allowances.values())).width))
        return ring_of(piece, allowances, corners)

    ring_of = finish.allowance_ring
    monkeypatch.setattr(finish, "allowance_ring", watched)
    waist = np.array([900.0, 1100.0, 880.0])
    body = {"hip": np.full(3, 1000.0), "waist": waist, "waist_to_hip": np.full(3, 200.0), "waist_to_knee": np.full(3, 600.0)}
    for whole in drafted_whole(style, body):
        refused = waist[whole.index] > 1000.0
        np.testing.assert_array_equal(whole.failed, refused)
        np.testing.assert_array_equal(np.isfinite(whole.finished.piece("front").cut_line).all(axis=(1, 2)), ~refused)
    assert rings and sum(width.sum() for width in rings) == 2
    rings.clear()
    (whole,) = drafted_whole(style, {name: values[1:2] for name, values in body.items()})
    assert whole.failed.all() and np.isnan(whole.finished.piece("front").cut_line).all() and not rings
