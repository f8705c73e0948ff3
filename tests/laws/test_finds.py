"""Finds with several values in their bounds: against roots that were planted, and against dense samples taken here by numpy."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tapeline.drafting.roots import finds_for, several_of
from tapeline.making.finds import doubtful_finds
from tapeline.meaning.style import read
from tapeline.probing.finds import doubts_of_finds
from tapeline.probing.spread import variables_of
from tapeline.probing.trial import Trial
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

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
    point P A across x, down height
"""
STYLES = sorted(path.stem for path in standard_folder("styles").glob("*.style"))


def style_of(text: str):
    style, found = read(Source("small.style", f'language 1\nstyle small "Small"\nmeasure hip\n{text}'), FolderWorld())
    assert not found, "\n".join(map(render, found))
    return style


def roots_of(text: str, hips=(900.0,)) -> list[list[float]]:
    """Of each body, all values in mm that fit its one find."""
    hips = np.asarray(hips)
    found: list[list[float]] = [[] for _ in hips]
    for index, drafted, finds in finds_for(style_of(text), {"hip": hips}, {}, "cm", len(hips)):
        assert not drafted.failed.any()
        (find,) = finds
        for place, body in enumerate(index):
            found[body] = find.roots[np.isfinite(find.roots[:, place]), place].tolist()
    return found


@st.composite
def planted(draw):
    """One, three or five places between -5 and 5 cm, farther apart than the 24 steps in which these bounds are sampled."""
    number = draw(st.sampled_from([1, 3, 5]))
    places = sorted(draw(st.lists(st.integers(-490, 490), min_size=number, max_size=number, unique=True)))
    assume(all(b - a >= 45 for a, b in zip(places, places[1:], strict=False)))
    return [place / 10 for place in places]  # mm


@given(planted(), st.booleans(), st.booleans())
def test_every_planted_root_is_found_and_none_besides(places, drawn, turned):
    product = " * ".join(f"((x - {place:.1f} mm) / 1 cm)" for place in places)
    height = f"height = {'-' if turned else ''}1 cm * {product}\n"
    sought = "down from panel.A to panel.P is 0 cm" if drawn else "height is 0 cm"
    (found,) = roots_of(f"{height}find x between -5 cm and 5 cm so that {sought}\n{PIECE}")
    assert found == pytest.approx(places, abs=2e-3) or _within_slack(found, places)


def _within_slack(found, places) -> bool:
    """A root is believed where the value is within a hundredth of a millimetre of its target: flat ones lie a little off."""
    return len(found) == len(places) and all(
        abs(10.0 * np.prod([(value - place) / 10.0 for place in places])) <= 0.01 for value in found
    )


@given(st.tuples(*[st.integers(-20, 20)] * 3), st.tuples(*[st.integers(5, 60)] * 3), st.integers(-20, 20))
def test_as_many_roots_are_found_as_dense_samples_show(sizes, waves, level):
    x = np.linspace(-50.0, 50.0, 200_001)
    height = sum(size * np.sin(np.radians(wave * x / 10.0 + 10.0 * k)) for k, (size, wave) in enumerate(zip(sizes, waves, strict=True)))
    miss = height - level
    assume(miss[0] * miss[-1] < 0.0)
    crossings = np.flatnonzero((miss[:-1] >= 0.0) != (miss[1:] >= 0.0))
    bends = np.flatnonzero((np.diff(miss)[:-1] >= 0.0) != (np.diff(miss)[1:] >= 0.0)) + 1
    assume(len(bends) == 0 or np.min(np.abs(miss[bends])) > 0.05)  # where it only just touches, either answer is right
    sum_of = " + ".join(
        f"{size} mm * sine of ({wave} deg * (x / 1 cm) + {10 * k} deg)" for k, (size, wave) in enumerate(zip(sizes, waves, strict=True))
    )
    (found,) = roots_of(f"height = {sum_of}\nfind x between -5 cm and 5 cm so that height is {level} mm\n{PIECE}")
    assert found == pytest.approx(x[crossings].tolist(), abs=0.02)


def test_bodies_have_each_their_own_number_of_roots():
    text = "height = (x - 1 cm) * (x - 1 cm) * (x + 4 cm) / (1 cm * 1 cm) + (hip - 90 cm) / 10\n"
    text += f"find x between -5 cm and 5 cm so that height is 0 cm\n{PIECE}"
    assert [len(roots) for roots in roots_of(text, [895.0, 899.0, 905.0, 940.0])] == [3, 3, 1, 1]


def test_a_leap_is_no_root():
    text = "height = x + 1 cm when x less than 2 cm otherwise x - 7 cm\n"
    text += f"find x between -5 cm and 6 cm so that height is 0 cm\n{PIECE}"
    style = style_of(text.replace("6 cm so", "1 cm so"))
    assert several_of(style, {"hip": [900.0]}, {}, "cm", ["she"]) == []


def test_the_bounds_that_are_named_leave_one_value():
    text = "height = (x - 1 cm) * (x - 2 cm) * (x + 4 cm) / (1 cm * 1 cm)\nfind x between -5 cm and 5 cm so that height is 0 cm\n"
    (said,) = several_of(style_of(text + PIECE), {"hip": [900.0]}, {}, "cm", ["she"])
    assert said.code == "D540" and said.body == "she" and said.found.startswith("-4 cm, 1 cm and 2 cm")
    low, high = said.suggestion.rstrip(".").split("here ")[1].split(" and ")
    mended = text.replace("-5 cm and 5 cm", f"{low} and {high}") + PIECE
    assert several_of(style_of(mended), {"hip": [900.0]}, {}, "cm", ["she"]) == []


LEAPING = "x_wanted = 1 cm when hip less than 101.3 cm otherwise 2 cm\n"
FORKED = "when hip less than 101.3 cm\n    x_wanted = 1 cm\notherwise\n    x_wanted = 2 cm\n"
BENT = "x_wanted = greatest of (1 cm, hip - 100.3 cm, hip / 20 - 3 cm)\n"


@pytest.mark.parametrize("rule, condition", [(LEAPING, ""), (FORKED, "hip less than 101.3 cm"), (BENT, None)])
def test_a_find_that_leaps_as_a_measure_grows_is_told_with_the_place(rule, condition):
    style = style_of(rule + f"height = x\nfind x between -5 cm and 80 cm so that down from panel.A to panel.P is x_wanted\n{PIECE}")
    trial = Trial(style, variables_of(style, {}), {})
    doubts = doubts_of_finds(trial, [np.array([[950.0], [1050.0]])], np.array([1000.0]))
    assert doubts.several == []
    if condition is None:
        assert doubts.leaps == []
        return
    (leap,) = doubts.leaps
    assert (leap.name, leap.variable.name, leap.condition) == ("x", "hip", condition)
    assert leap.at == pytest.approx(1013.0, abs=0.1) and (leap.before, leap.after) == pytest.approx((10.0, 20.0), abs=0.01)


def test_a_probe_counts_the_bodies_of_whom_several_values_fit():
    text = "height = (x - 1 cm) * (x - 1 cm) * (x + 4 cm) / (1 cm * 1 cm) + (hip - 90 cm) / 10\n"
    style = style_of(text + f"find x between -5 cm and 5 cm so that height is 0 cm\n{PIECE}")
    hips = np.array([[895.0], [899.0], [905.0], [940.0]])  # as above
    (several,) = doubts_of_finds(Trial(style, variables_of(style, {}), {}), [hips], np.array([940.0])).several
    assert (several.bodies, several.looked, several.first.code) == (2, 4, "D540")


@pytest.mark.parametrize("name", STYLES)
def test_no_find_of_a_shipped_style_has_several_values_at_the_usual_sizes(name):
    path = Path(standard_folder("styles")) / f"{name}.style"
    style, _ = read(read_text(path)[0], FolderWorld(path.parent))
    assert doubtful_finds(FolderWorld(path.parent), style) == []
