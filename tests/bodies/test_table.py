"""Size tables: every diagnostic at its line and column, published tables and a survey within the bounds."""

import csv
import re
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tapeline.bodies.card import missing, read_card, write_card
from tapeline.bodies.measurement import Doubt, Measurement
from tapeline.bodies.table import read_table
from tapeline.source.diagnostics import Diagnostic, has_errors, render
from tapeline.source.text import Source

MANY = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
SMALL = {
    m.name: m
    for m in (
        Measurement("waist", "Waist girth", "girth", "level at the waist", low=380, high=1700),
        Measurement("hip", "Hip girth", "girth", "over the seat", low=400, high=1900),
        Measurement("shoulder_slope", "Shoulder slope", "angle", "below level", low=0.08, high=0.75),
    )
}
DOUBTS = (Doubt("hip", "less than", "waist", "Were they exchanged?"),)


def read(text: str, doubts=DOUBTS):
    return read_table(Source("sizes.csv", text), SMALL, doubts)


def said(text: str) -> list[tuple[str, int, int]]:
    """(code, line, column) of each diagnostic; rendered as well, for that must never fail."""
    diagnostics = read(text)[1]
    assert all(render(d) and len(d.title) <= 60 for d in diagnostics)
    return [(d.code, d.span.line, d.span.column) for d in diagnostics]


def only(text: str) -> Diagnostic:
    (diagnostic,) = read(text)[1]
    return diagnostic


def test_a_good_table():
    cards, diagnostics = read(
        '# made up\n\nsize, waist [cm], hip, note\n"10, long",68,37 in,\n12, 72.5 ,"98 cm","so, so"\n14,,40 in,\n'
    )
    assert diagnostics == []
    assert [card.name for card in cards] == ["10, long", "12", "14"]
    assert [card.values for card in cards] == [{"waist": 680.0, "hip": 939.8}, {"waist": 725.0, "hip": 980.0}, {"hip": 1016.0}]
    assert cards[1].written == {"waist": "72.5 cm", "hip": "98 cm"} and cards[1].note == "so, so"
    assert [card.unit for card in cards] == ["cm", "cm", "in"]
    assert [card.span.line for card in cards] == [4, 5, 6]
    (wanted,) = missing(cards[2], ["waist", "hip"], SMALL)
    assert wanted.span.line == 6 and '"waist [in]"' in wanted.suggestion


@pytest.mark.parametrize(
    "text, expected",
    [
        ("", [("B121", 1, 1)]),
        ("# only a remark\n", [("B121", 1, 1)]),
        ("size;waist [cm]\n10;68\n", [("B121", 1, 1)]),
        ("size\twaist [cm]\n", [("B121", 1, 1)]),
        ("waist [cm],size\n68,10\n", [("B122", 1, 1)]),
        ("size,waist [cm],waist [in]\n10,68,27\n", [("B123", 1, 17)]),
        ("size,waist [ell],shoulder_slope [cm]\n10,1,2\n", [("B124", 1, 6), ("B124", 1, 18)]),
        ("size,waist [cm]\n10,68,9\n12,72\n14\n", [("B125", 2, 1), ("B125", 4, 1)]),
        ("size,waist [cm]\n,68\n", [("B126", 2, 1)]),
        ("size,waist [cm]\n10,68\n 10 ,69\n", [("B127", 3, 2)]),
        ("size,waist [cm]\n10,27 in\n", [("B128", 2, 4)]),
        ("size,wiast [cm],\n10,68,1\n", [("B104", 1, 6), ("B104", 1, 17)]),
        ("size,waist,hip [cm]\n10,68,98\n12,72,102\n", [("B105", 1, 6)]),
        ('size,waist [cm],hip [cm]\n10,"6,8",98\n12,wide,98\n', [("B106", 2, 4), ("B106", 3, 4)]),
        ('size,waist [in]\n10,28"\n', [("B106", 2, 4)]),
        ("size,waist [cm]\n10,0\n12,-72\n", [("B107", 2, 4), ("B107", 3, 4)]),
        ("size,waist [in],hip [cm]\n10, 72 ,98\n12,28,200\n", [("B108", 2, 5), ("B108", 3, 7)]),
        ("size,hip [cm],waist [cm]\n10,97,98\n12,98,98\n", [("B109", 2, 4)]),
    ],
)
def test_each_fault_at_its_place(text, expected):
    assert said(text) == expected
    assert said(text.replace("\n", "\r\n")) == expected
    spread = [(code, 2 * line - 1, column) for code, line, column in expected]
    assert said(text.replace("\n", "\n\n")) == spread


def test_a_byte_order_mark_is_passed_over():
    cards, diagnostics = read("\ufeffsize,waist [cm]\n10,68\n")
    assert diagnostics == [] and cards[0].values == {"waist": 680.0}
    assert said("\ufeffwaist [cm],size\n") == [("B122", 1, 2)]
    assert said("\ufeffsize,wiast [cm]\n") == [("B104", 1, 7)]


def test_a_bad_row_does_not_stop_the_others():
    cards, diagnostics = read("size,waist [cm]\n10,68\n12,720\n14,76\n")
    assert [card.name for card in cards] == ["10", "14"]
    assert [d.body for d in diagnostics] == ["12"]


def test_ways_out():
    assert only("size,waist_cm\n10,68\n").suggestion == 'Write "waist [cm]".'
    assert '"waist [cm]"' in only("size,waist\n10,68\n12,70\n").suggestion
    assert only("size,wiast [cm]\n10,68\n").suggestion == 'Did you mean "waist"?'
    assert "decimal point" in only("size,waist [cm]\n10,68,5\n").suggestion
    assert only("size,hip [cm],waist [cm]\n10,97,98\n").severity == "caution"


@MANY
@given(st.one_of(st.text(), st.text('size,"\n waithp[]cm#;0123', max_size=80).map("size,waist [cm],hip\n".__add__)))
def test_any_text_gives_cards_or_says_why_not(text):
    cards, diagnostics = read(text)
    for diagnostic in diagnostics:
        assert render(diagnostic) and len(diagnostic.title) <= 60
        assert 0 <= diagnostic.span.start <= diagnostic.span.end <= len(text)
    assert all(value > 0 for card in cards for value in card.values.values())
    lines = text.removeprefix("\ufeff").split("\n")
    rows = [line for line in lines if line.strip() and not line.lstrip().startswith("#")]
    assert has_errors(diagnostics) or len(cards) == len(rows) - 1


def test_a_row_is_the_card_it_would_be_alone(known):
    cards, _ = read_table(Source("sizes.csv", PUBLISHED["a dressmaker, UK"]), known)
    for card in cards:
        alone, diagnostics = read_card(Source("one.toml", write_card(card)), known)
        assert alone == card and diagnostics == []


def test_ten_thousand_rows(known):
    names = [name for name, measurement in known.items() if measurement.kind != "angle"][:20]
    heading = "size," + ",".join(f"{name} [mm]" for name in names)
    rows = [f"{i}," + ",".join(f"{known[n].low + (i * 7 + k) % 100 + 1:.0f}" for k, n in enumerate(names)) for i in range(10_000)]
    cards, diagnostics = read_table(Source("crowd.csv", "\n".join([heading, *rows])), known)
    assert len(cards) == 10_000 and not has_errors(diagnostics)
    assert [card.values[names[-1]] for card in cards] == [float(row.split(",")[-1]) for row in rows]


WOMEN = Path(__file__).parents[1] / "styles" / "ansur2_women.csv"  # ANSUR II, the public female file, mm
DIFFERENCES = {  # of heights, as the survey has no such length
    "waist_to_hip": ("waist_height", "hip_height"),
    "waist_to_knee": ("waist_height", "knee_height"),
    "crotch_depth": ("waist_height", "inside_leg"),
    "nape_to_bust": ("nape_height", "bust_height"),
}


def test_the_survey_behind_the_bounds_says_what_the_library_says_of_it(library_text):
    """Least and greatest, or p5 and p95, of ANSUR II stand beside the bounds; here they are worked out from its records."""
    with open(WOMEN) as file:
        women = {name: np.array(column, dtype=float) / 10.0 for name, *column in zip(*csv.reader(file), strict=True)}
    women |= {name: women[upper] - women[lower] for name, (upper, lower) in DIFFERENCES.items()}
    women["waist_to_floor"] = women["waist_height"]
    told = re.findall(r"^measurement (\w+) .*\n(?:    (?!--).*\n)*    -- (.*ANSUR II .*)\n", library_text, re.MULTILINE)
    checked = []
    for name, words in told:
        low, high, beyond = re.search(r"ANSUR II ([\d.]+) to ([\d.]+)([^,;]*)", words).groups()
        if name not in women:
            continue
        ends = np.percentile(women[name], [5, 95]) if "p5 to p95" in beyond else (women[name].min(), women[name].max())
        assert np.allclose(ends, (float(low), float(high)), atol=0.051), (name, words, ends)
        checked.append(name)
    assert set(checked) >= {"waist", "hip", "bust", "waist_to_hip", "waist_to_knee", "waist_to_floor", "nape_to_bust", "across_back"}
    assert not re.search("chart|style2designer|Kitt", library_text)


# Published sizes, as printed.  Units as in the sources:
#   a dressmaker, UK     Cyndy Kitt (Bone Couture), women's size chart, sizes 8 to 18
#   GOST                 GOST 29295-2003, women of height 164: first, middle and last of the series read
#   EN 13402-3           bounds of the women's letter codes XXS and 4XL, EN 13402-3:2005
#   home sewing, US      the home-sewing trade's body chart of the 1970s, misses 6 and 20 and miss petite 6
#   high street, UK      "Human body measurements - British standards", style2designer.com, S and XL
#   skirts, US           US Coast Guard Exchange, service dress skirt, sizes 6 and 20 (women's hip)
PUBLISHED = {
    "a dressmaker, UK": """\
size, bust [cm], waist [cm], hip [cm], underbust [cm], neck [cm], nape_to_waist [cm], nape_to_bust [cm],\
 arm_length [cm], waist_to_knee [cm], waist_to_floor [cm], height [cm]
8, 82, 60, 87, 68, 36, 40.0, 24.0, 56.4, 58.4, 100.0, 159.0
12, 90, 68, 95, 76, 38, 41.0, 24.4, 58.0, 60.0, 103.0, 164.0
18, 103, 81, 108, 89, 41, 42.5, 25.0, 61.2, 62.4, 107.5, 171.5
""",
    "GOST": """\
size, height [cm], bust [cm], waist [cm], hip [cm]
42, 164, 84, 66, 90
54, 164, 108, 92, 114
68, 164, 136, 134, 142
""",
    "EN 13402-3": "size, bust [cm]\nXXS, 66\n4XL, 155\n",
    "home sewing, US": """\
size, bust [in], waist [in], hip [in], nape_to_waist [in]
6, 30.5, 23, 32.5, 15.5
20, 42, 34, 44, 17.25
petite 6, 30.5, 23.5, 32.5, 14.5
""",
    "high street, UK": """\
size, bust [cm], waist [cm], hip [cm], across_back [cm], across_front [cm], shoulder [cm]
S, 82, 62, 87, 32.8, 30.6, 11.9
XL, 100, 80, 105, 37.6, 36.0, 13.0
""",
    "skirts, US": "size, waist [in], hip [in]\n6, 25, 38\n20, 37, 50\n",
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_published_sizes_are_believed(name, known, doubts):
    cards, diagnostics = read_table(Source(name, PUBLISHED[name]), known, doubts)
    assert diagnostics == []
    assert len(cards) == PUBLISHED[name].count("\n") - 1


# Gordon et al. 2014, 2012 Anthropometric Survey of US Army Personnel (ANSUR II), public-release file of 1,986
# women: least and greatest of each measure, cm, worked out from its records.  Its waist is at the navel; the
# lengths from it downwards are differences of heights.
LEAST_AND_GREATEST = {
    "height": (140.9, 182.9),
    "bust": (69.5, 126.6),
    "waist": (61.1, 133.4),
    "hip": (79.8, 134.1),
    "thigh": (44.8, 87.0),
    "calf": (28.2, 48.2),
    "neck": (30.2, 45.7),
    "upper_arm": (21.6, 43.5),
    "wrist": (12.4, 18.3),
    "shoulder": (10.7, 17.5),
    "across_back": (27.0, 48.1),
    "nape_to_waist": (34.5, 53.2),
    "nape_height": (118.4, 158.7),
    "waist_height": (80.5, 114.2),
    "hip_height": (65.6, 99.5),
    "inside_leg": (61.0, 94.7),
    "knee_height": (34.6, 54.0),
    "arm_length": (41.0, 66.2),
    "waist_to_hip": (5.0, 22.8),
    "waist_to_knee": (43.8, 63.0),
    "crotch_depth": (12.5, 27.6),
}


@pytest.mark.parametrize("name", LEAST_AND_GREATEST)
def test_a_measured_population_is_believed(name, known):
    least, greatest = LEAST_AND_GREATEST[name]
    assert known[name].plausible(10 * least) and known[name].plausible(10 * greatest)


@pytest.mark.parametrize(
    "name, largest", [("waist", 134), ("hip", 142), ("nape_to_waist", 53.2), ("waist_to_knee", 63), ("height", 182.9)]
)
def test_the_bounds_still_catch_a_wrong_unit(name, largest, known):
    """The greatest published figure, taken for inches, is refused: bounds must refuse something."""
    assert not known[name].plausible(25.4 * largest)


def test_the_library_is_whole(known, doubts, library_text):
    assert len(known) == library_text.count("\nmeasurement ")
    assert len(doubts) == library_text.count("\ndoubt ")
    for measurement in known.values():
        assert 0 < measurement.low < measurement.high
        assert measurement.kind in ("girth", "length", "height", "width", "angle") and measurement.taken
    for doubt in doubts:
        assert doubt.measure in known and doubt.other in known
        assert known[doubt.measure].low < known[doubt.other].high, "it could never hold of a believed body"
        assert doubt.relation == "less than"
