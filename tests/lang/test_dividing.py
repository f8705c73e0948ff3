"""Divisions whose parts differ by a stated amount: the parts make up the whole, and differ as they are said to."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
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


def reading(rows: list[str]):
    text = "".join(f"    {row}\n" for row in rows)
    return read(Source("small.style", f'language 1\nstyle small "Small"\nmeasure hip\ndivide hip into\n{text}{PIECE}'), FolderWorld())


def drafted(rows: list[str], hip: float):
    style, found = reading(rows)
    assert not found, "\n".join(map(render, found))
    (one,) = draft(style, {"hip": [hip]})
    return one, {name: float(np.ravel(value)[0]) for name, value in one.pattern.values.items()}


amounts = st.integers(1, 90).map(lambda tenths: tenths / 10)


@given(
    st.lists(amounts, max_size=2), st.lists(st.tuples(amounts, st.booleans(), st.integers(0, 99)), min_size=1, max_size=4), st.data()
)
def test_parts_differ_as_said_and_make_up_the_whole(stated, differing, data):
    rows = [f"s{k} {amount} cm" for k, amount in enumerate(stated)] + ["r the rest"]
    names = [row.split()[0] for row in rows]
    bases = []
    for k, (amount, more, pick) in enumerate(differing):
        base = names[pick % len(names)]
        rows.append(f"d{k} {amount} cm {'more' if more else 'less'} than {base}")
        bases.append(base)
        names.append(f"d{k}")
    one, values = drafted(data.draw(st.permutations(rows)), 2000.0)
    if not all(values[name] >= 0.0 for name in names):  # "less" may be too much: then it is said
        assert {failure.code for failure in one.failures} == {"D403"}
        return
    assert sum(values[name] for name in names) == pytest.approx(2000.0)
    for k, ((amount, more, _), base) in enumerate(zip(differing, bases, strict=True)):
        assert values[f"d{k}"] - values[base] == pytest.approx(10.0 * amount if more else -10.0 * amount)


def test_a_half_in_two_that_differ_by_2_cm():
    one, values = drafted(["front 2 cm more than back", "back the rest"], 960.0)
    assert not one.failures and (values["front"], values["back"]) == (490.0, 470.0)  # (96 + 2) / 2 and (96 - 2) / 2


@pytest.mark.parametrize(
    "rows, code",
    [
        (["front 2 cm more than bakc", "back the rest"], "N201"),
        (["front 2 more than back", "back the rest"], "K301"),
        (["front 2 cm more than side", "side 1 cm less than front", "back the rest"], "N203"),
        (["front 2 cm more than front", "back the rest"], "N201"),
        (["front the rest", "back the rest"], "N228"),
    ],
)
def test_what_no_division_can_be(rows, code):
    assert code in {one.code for one in reading(rows)[1]}
