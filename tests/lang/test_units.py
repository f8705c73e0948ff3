"""Each unit of length is known wherever lengths are written, from its one record: in a text, on a card, in the heading and the
cells of a size table, in a house file, in a setting, on a paper; and each other way to write it is told how to write it."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

from tapeline.bodies.measurement import Measurement
from tapeline.bodies.reading import Figure, read_value
from tapeline.bodies.table import read_table
from tapeline.drafting.run import draft
from tapeline.making.choices import read_choices
from tapeline.meaning.style import read
from tapeline.paper.house.house import read_house
from tapeline.paper.house.paper_sizes import read_paper
from tapeline.source.quantity import read_length, show_length
from tapeline.source.text import Source, Span
from tapeline.source.units import LENGTHS, SHOWN, UNITS, WRITTEN
from tapeline.source.world import FolderWorld

REFERENCE = Path(__file__).resolve().parents[2] / "compiler" / "LANGUAGE.md"
STYLE = """language 1
style strip "Strip"
measure waist
choose long {default}
share = 25 %
piece strip "Strip"
    point A start
    point B A across waist * share
    point C A down long
    point D B down long
    line l A to C
    line t A to B
    line r B to D
    line b C to D
    outline l, t, r, b
"""
WAIST = Measurement("waist", "Waist", "girth", "", low=1.0, high=10_000.0)
KNOWN = {"waist": WAIST}


def drafted(default):
    style, diagnostics = read(Source("strip.style", STYLE.format(default=default)), FolderWorld())
    assert not diagnostics
    (one,) = draft(style, {"waist": np.array([700.0])})
    assert not one.failed.any()
    return one.pattern.pieces[0].edges[0].closed_length()[0]


@pytest.mark.parametrize("unit", LENGTHS)
def test_a_unit_is_known_wherever_lengths_are_written(unit):
    mm = float(Fraction(5, 2) * LENGTHS[unit].per)
    assert read_length(f"2.5 {unit}") == (Fraction(5, 2) * LENGTHS[unit].per, unit)
    assert read_length(f"2 1/2 {unit}") == read_length(f"2.5{unit}")
    for written in (f"2.5 {unit}", f"2 1/2 {unit}"):
        assert drafted(written) == pytest.approx(mm, rel=1e-12)
    reading = read_value(f"2.5 {unit}", WAIST, Span(Source("card", ""), 0, 0))
    assert isinstance(reading, Figure) and reading.value == mm
    for table in (f"size,waist [{unit}]\na,2.5\n", f"size,waist\na,2.5 {unit}\n"):
        cards, diagnostics = read_table(Source("sizes.csv", table), KNOWN)
        assert not diagnostics and cards[0].values == {"waist": mm} and cards[0].written == {"waist": f"2.5 {unit}"}
        assert show_length(700.0, cards[0].unit)
    strip, _ = read(Source("strip.style", STYLE.format(default=f"2.5 {unit}")), FolderWorld())
    assert read_choices([f"long=2.5 {unit}"], strip.plan().choices) == ({"long": mm}, [])
    paper, diagnostics = read_paper(f"roll {500 / LENGTHS[unit].mm:.3f} {unit}")
    assert not diagnostics and paper.width == pytest.approx(500.0, abs=0.5 * LENGTHS[unit].mm / 1000)


@pytest.mark.parametrize("unit", LENGTHS)
def test_a_unit_is_known_in_a_house_file(unit):
    figure = f"{20 / LENGTHS[unit].mm:.4f}"
    house, diagnostics = read_house(Source("house.toml", f'[allowances]\nhem = "{figure} {unit} turned up"\n'))
    assert not diagnostics
    (usual,) = house.allowances.values()
    assert usual.width == float(Fraction(figure) * LENGTHS[unit].per) and usual.kind == "turned up"


@pytest.mark.parametrize("unit", SHOWN)
def test_what_is_shown_in_a_unit_is_read_back(unit):
    near = UNITS[unit].mm / 32 if UNITS[unit].fractions else 0.05
    for mm in (0.0, 3.175, 127.0, 700.0):
        assert float(read_length(show_length(mm, unit).removeprefix("~"))[0]) == pytest.approx(mm, abs=near)


@pytest.mark.parametrize("way, unit", [(way, unit) for unit in UNITS.values() for way in unit.ways if way.isalpha()])
def test_another_way_to_write_a_unit_is_told_the_right_one(way, unit):
    _, diagnostics = read(Source("strip.style", STYLE.format(default=f"1.5 {way}")), FolderWorld())
    if unit in WRITTEN and way == unit.word:
        assert all(one.code != "S106" for one in diagnostics)
        return
    assert diagnostics[0].code == "S106"
    said = re.search(r"([\d/. ]+) ([a-z%]+)\.$", diagnostics[0].suggestion)
    other = UNITS[said[2]]
    assert other in WRITTEN and other.of == unit.of
    figure = sum(Fraction(part) for part in said[1].split())
    assert figure * other.per == Fraction(3, 2) * unit.per


def test_the_reference_lists_every_unit():
    text = REFERENCE.read_text(encoding="utf-8")
    rows = re.search(r"^\| unit \|.*\n\|.*\n((?:\|.*\n)+)", text, re.MULTILINE)[1].splitlines()
    makes = {"length": "a length", "angle": "an angle", "number": "a number"}
    assert rows == [f"| `{unit.word}` | {makes[unit.of]} | {unit.definition} |" for unit in WRITTEN]
