"""Sizes: the tables that come with the program, gaps that are filled or not, measures that are lent, cards of a folder."""

import re
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from size_tables import PRINTED, SHIPPED, size_table
from tapeline.bodies.card import Card
from tapeline.bodies.sizes import chosen, completed, leading_girth, read_size_cards, read_sizes
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text

STYLE, _ = read(Source("none.style", 'language 1\nstyle none "None"\n'), FolderWorld())
KNOWN, DOUBTS = STYLE.measurements, STYLE.doubts


def table(text, name="house.csv"):
    sizes, found = read_sizes(Source(name, text), KNOWN, DOUBTS)
    assert sizes is not None and not found, found
    return sizes


def printed(name):
    source, _ = read_text(size_table(name))
    return read_sizes(source, KNOWN, DOUBTS)[0]


# ------------------------------------------------------------------------------------------ what comes with the program


@pytest.mark.parametrize("path", [*SHIPPED, *PRINTED], ids=lambda path: path.stem)
def test_a_table_of_a_source_reads_without_a_word(path):
    source, _ = read_text(path)
    sizes, found = read_sizes(source, KNOWN, DOUBTS)
    assert sizes is not None and found == [] and len(sizes.cards) > 2


@pytest.mark.parametrize("path", [*SHIPPED, *PRINTED], ids=lambda path: path.stem)
def test_a_table_says_where_it_is_from_and_how_far_it_is_to_be_trusted(path):
    assert len(grades_of(path)) == 1 or path.stem == "quay_row"


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_read_me_lists_a_table_with_its_grade(path):
    row = next(line for line in (path.parent / "README.md").read_text().splitlines() if line.startswith(f"| `{path.stem}`"))
    assert row.split("|")[-2].strip() == "".join(grades_of(path))


def grades_of(path):
    """What the head of a table says of its reliability; none of the invented one."""
    source, _ = read_text(path)
    head = " ".join(read_sizes(source, KNOWN, DOUBTS)[0].comments)
    grades = re.findall(r"Reliability ([A-C]): \w", head)
    assert grades or "Invented" in head
    return grades


# Only these sources may be passed on: public surveys, standards, handbooks, and what the workshop Quay Row made up.
SOURCES = re.compile(r"^#.*(US Army women|EN 13402-3|GB/T 1335|GOST \d+|JIS L 4005|workshop Quay Row, .*Invented)")


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_what_comes_with_the_program_is_a_surveys_a_standards_or_its_own(path):
    assert SOURCES.match(path.read_text(encoding="utf-8").splitlines()[0])


@pytest.mark.parametrize("path", PRINTED, ids=lambda path: path.stem)
def test_charts_of_persons_and_shops_do_not_come_with_it(path):
    assert not SOURCES.match(path.read_text(encoding="utf-8").splitlines()[0])
    assert path.stem not in {one.stem for one in SHIPPED}


@pytest.mark.parametrize("path", [*SHIPPED, *PRINTED], ids=lambda path: path.stem)
def test_girths_of_a_table_never_fall_from_size_to_size(path):
    cards = printed(path.stem).cards
    girths = [name for name in cards[0].values if KNOWN[name].kind == "girth"]
    assert girths
    for name in girths:
        values = [card.values[name] for card in cards if name in card.values]
        assert all(one <= other for one, other in pairwise(values)), name
        if name in ("bust", "waist", "hip"):
            assert len(set(values)) == len(values), name


# Figures as the sources print them.  Kitt, Bone Couture, women's size chart; GOST 29295-2003 at taier.by; the US home-sewing chart at
# sewingscholar.blogspot.com; JIS L 4005, anchor 9AR (jwca.or.jp); EN 13402-3 by the manual of R's Anthropometry: class 102-107;
# ANSUR II, women of the hip class 94 to 98 cm, n = 314 (worked out from the public raw records).
@pytest.mark.parametrize(
    "name, size, figures",
    [
        ("uk_dressmaker", "12", {"bust": 90, "waist": 68, "hip": 95, "underbust": 76, "nape_to_waist": 41, "waist_to_knee": 60}),
        ("uk_dressmaker", "14", {"arm_length": 59.6}),  # as printed, though 58.8 may have been meant
        ("uk_dressmaker", "18", {"bust": 103, "waist": 81, "hip": 108, "height": 171.5}),
        ("gost_29295_h164", "48", {"bust": 96, "waist": 78, "hip": 102, "height": 164}),
        ("gost_29295_h164", "68", {"bust": 136, "waist": 134, "hip": 142}),
        ("jis_l4005_a_regular", "9AR", {"bust": 83, "hip": 91, "height": 158}),
        ("en_13402_3_bust_classes", "102-107", {"bust": 104.5}),
        ("en_13402_3_letters", "S", {"bust": 86}),
        ("gost_31396_paired", "96-100", {"bust": 98, "hip": 104}),
        ("gbt_1335", "M 160/84A", {"bust": 84, "height": 160}),
        ("ansur2_by_hip", "94-98", {"hip": 96.1, "bust": 89.9, "waist": 79.8, "waist_to_hip": 14.9, "height": 161.3}),
        ("uk_high_street", "M", {"bust": 88, "waist": 68, "hip": 93, "across_back": 34.4, "across_front": 32.4, "shoulder": 12.3}),
    ],
)
def test_figures_are_those_of_the_source(name, size, figures):
    card = next(card for card in printed(name).cards if card.name == size)
    assert {measure: card.values[measure] / 10 for measure in figures} == pytest.approx(figures, abs=1e-9)


@pytest.mark.parametrize(
    "name, size, figures",
    [
        ("us_home_sewing_misses", "12", {"bust": 34, "waist": 26.5, "hip": 36, "nape_to_waist": 16.25}),
        ("us_home_sewing_miss_petite", "16", {"bust": 38, "waist": 30.5, "hip": 40, "nape_to_waist": 15.75}),
        ("us_coast_guard_skirt", "20", {"waist": 37, "hip": 50 - 2}),  # the chart's women's hip is 2 in more
    ],
)
def test_figures_in_inches_are_those_of_the_source(name, size, figures):
    card = next(card for card in printed(name).cards if card.name == size)
    assert {measure: card.values[measure] / 25.4 for measure in figures} == pytest.approx(figures, abs=1e-9)


def test_the_standard_that_may_not_be_passed_on_is_not_among_them():
    """ASTM D5585 starts at size 00 with a bust of 31.125 in; its copyright lets no copy of the table go out."""
    assert not any("astm" in path.read_text(encoding="utf-8").lower() for path in SHIPPED)


# ------------------------------------------------------------------------------------------------------------- gaps


def test_a_gap_is_filled_along_the_leading_girth_and_not_by_rows():
    # 92 lies a quarter of the way from 90 to 98: the waist is a quarter of the way from 66 to 74 as well, 68.
    sizes = table("size, bust [cm], waist [cm]\nA, 90, 66\nB, 92,\nC, 98, 74\n")
    full, found = completed(sizes, ["waist"], KNOWN)
    assert full.cards[1].written["waist"] == "68 cm" and full.cards[1].values["waist"] == 680
    assert full.filled == {"B": {"waist": ("A", "C")}}
    assert [(one.code, one.severity, one.body) for one in found] == [("B129", "caution", "size B")]
    assert "66 cm of A" in found[0].found and "74 cm of C" in found[0].found and "bust" in found[0].found
    assert full.notes("B")[-1] == "waist of size B is interpolated between sizes A and C."
    assert sizes.filled == {} and "waist" not in sizes.cards[1].values


@pytest.mark.parametrize(
    "low, high, filled",
    [
        ("66", "75", "70 cm"),
        ("66.0", "75", "70.5 cm"),
        ("66.00", "75.15", "70.58 cm"),  # as finely as the column is written
    ],
)
def test_a_filled_figure_is_rounded_as_the_column_is_written(low, high, filled):
    sizes = table(f"size, bust [cm], waist [cm]\nA, 90, {low}\nB, 94,\nC, 98, {high}\n")
    full, _ = completed(sizes, ["waist"], KNOWN)
    assert full.cards[1].written["waist"] == filled
    assert full.cards[1].values["waist"] == pytest.approx(10 * float(filled[:-3]))


def test_fractions_of_an_inch_stay_fractions():
    sizes = table("size, bust [in], waist [in], shoulder_slope [deg]\nA, 34, 26 1/2, 20\nB, 36,,\nC, 38, 29 7/8, 21\n")
    full, _ = completed(sizes, ["waist", "shoulder_slope"], KNOWN)
    assert full.cards[1].written["waist"] == "28 1/4 in"  # 28 3/16 exactly, and the column is in eighths
    assert full.cards[1].values["waist"] == float(Fraction(113, 4) * Fraction(254, 10))
    assert full.cards[1].written["shoulder_slope"] == "20 deg"


def test_two_gaps_in_a_row_are_both_filled_from_what_is_written():
    sizes = table("size, bust [cm], waist [cm]\nA, 90, 60\nB, 93,\nC, 96,\nD, 99, 69\n")
    full, found = completed(sizes, ["waist"], KNOWN)
    assert [card.values["waist"] for card in full.cards] == [600, 630, 660, 690] and len(found) == 2
    assert full.filled["C"] == {"waist": ("A", "D")}


@pytest.mark.parametrize(
    "rows, why",
    [
        ("A, 90,\nB, 94, 70\nC, 98, 74", "no size beyond it"),
        ("A, 90, 66\nB, 94, 70\nC, 98,", "no size beyond it"),
        ("A, 90, 66\nB, 99,\nC, 98, 74", "its bust does not lie between"),
        ("A, 90, 66\nB, 90,\nC, 98, 74", "its bust does not lie between"),
    ],
)
def test_what_does_not_lie_between_is_never_made_up(rows, why):
    sizes = table(f"size, bust [cm], waist [cm]\n{rows}\n")
    full, found = completed(sizes, ["waist"], KNOWN)
    assert [one.code for one in found] == ["B130"] and why in found[0].found and "--only" in found[0].suggestion
    assert full.filled == {}


def test_without_a_girth_at_every_size_nothing_is_filled():
    sizes = table("size, bust [cm], waist [cm]\nA, 90, 66\nB, 94,\nC,, 74\n")
    _, found = completed(sizes, ["waist"], KNOWN)
    assert [one.code for one in found] == ["B130"] and "no girth" in found[0].found


def test_a_gap_that_no_style_asks_for_is_let_be():
    sizes = table("size, bust [cm], waist [cm], hip [cm]\nA, 90, 66, 95\nB, 94, 70,\nC, 98, 74,\n")
    full, found = completed(sizes, ["waist"], KNOWN)
    assert found == [] and full == sizes


@given(st.lists(st.integers(1, 9), min_size=3, max_size=8), st.integers(0, 10_000), st.data())
def test_what_is_filled_lies_between_its_neighbours(steps, slope, data):
    busts = [700]
    for step in steps:
        busts.append(busts[-1] + 10 * step)
    rows = [(bust / 10, 50 + slope / 10_000 * (bust - 700) / 10) for bust in busts]
    gaps = data.draw(st.sets(st.integers(1, len(rows) - 2)))
    text = "\n".join(f"{k}, {bust}, {'' if k in gaps else round(waist, 1)}" for k, (bust, waist) in enumerate(rows))
    full, _ = completed(table(f"size, bust [cm], waist [cm]\n{text}\n"), ["waist"], KNOWN)
    waists = [card.values["waist"] for card in full.cards]
    assert waists == sorted(waists)
    for k in gaps:  # the rows lie on one line, so the filled figure is on it, to the roundings of both ends and its own
        assert abs(waists[k] / 10 - rows[k][1]) <= 0.1 + 1e-9


# ------------------------------------------------------------------------------------------------------- what is lent


def lender(**measures):
    values = {name: float(mm) for name, mm in measures.items()}
    return Card("Ada Quay", "", values, {name: f"{mm / 10:g} cm" for name, mm in values.items()}, "cm", {})


def test_a_card_lends_only_what_no_size_has():
    sizes = table("size, waist [cm]\nA, 66\nB, 70\n")
    full, found = completed(sizes, ["waist", "hip"], KNOWN, lender(waist=900, hip=950))
    assert [card.values for card in full.cards] == [{"waist": 660, "hip": 950}, {"waist": 700, "hip": 950}]
    assert full.lent == ("hip",) and [(one.code, one.severity) for one in found] == [("B131", "caution")]
    assert full.notes("A") == ["Size A of house.", "hip is of Ada Quay, for every size alike."]


def test_a_card_does_not_stop_a_gap():
    sizes = table("size, bust [cm], waist [cm]\nA, 90, 66\nB, 94, 70\nC, 98,\n")
    _, found = completed(sizes, ["waist"], KNOWN, lender(waist=740))
    assert [one.code for one in found] == ["B130"]


def test_a_lent_measure_is_doubted_beside_those_of_the_table():
    sizes = table("size, bust [cm]\nA, 90\nB, 74\n")
    _, found = completed(sizes, ["bust", "underbust"], KNOWN, lender(underbust=800), DOUBTS)
    assert [(one.code, one.body) for one in found] == [("B131", ""), ("B109", "size B")]


def test_a_measure_that_nobody_has_is_asked_for_once():
    _, found = completed(table("size, bust [in]\nA, 34\nB, 36\n"), ["bust", "hip"], KNOWN)
    assert [one.code for one in found] == ["B113"] and 'column "hip [in]"' in found[0].suggestion and "--with" in found[0].suggestion
    assert found[0].span.text == "size, bust [in]"


# ----------------------------------------------------------------------------------------------- choosing, and cards


def test_sizes_are_chosen_in_their_own_order_and_an_unknown_one_is_told():
    sizes = table("size, bust [cm]\n10, 86\n12, 90\n14, 94\n")
    assert chosen(sizes, ["14", "10"])[0].names == ("10", "14")
    _, found = chosen(sizes, ["10", "13"])
    assert [one.code for one in found] == ["B132"] and "10, 12, 14" in found[0].expected


def cards(*rows):
    sources = [
        Source(f"{k}.toml", f'name = "{name}"\n[measures]\nwaist = "{waist} cm"\nhip = "{hip} cm"\n')
        for k, (name, waist, hip) in enumerate(rows)
    ]
    return read_size_cards("clients", sources, KNOWN, DOUBTS)


def test_the_cards_of_a_folder_stand_in_the_order_of_their_leading_girth():
    sizes, found = cards(("Cleo", 80, 104), ("Ada", 66, 92), ("Bea", 70, 90))
    assert found == [] and sizes.names == ("Ada", "Bea", "Cleo") and not sizes.of_table
    assert leading_girth(sizes.cards, KNOWN) == "waist" and sizes.body_name("Ada") == "Ada" and sizes.notes("Ada") == []


def test_two_cards_of_one_name_are_refused():
    sizes, found = cards(("Ada", 66, 92), ("Ada", 70, 96))
    assert sizes is None and [one.code for one in found] == ["B133"]


def test_a_card_that_lacks_a_measure_is_not_filled_in():
    sizes, _ = cards(("Ada", 66, 92), ("Bea", 70, 96), ("Cleo", 74, 100))
    without = replace(sizes.cards[1], values={"waist": 700.0})
    _, found = completed(replace(sizes, cards=(sizes.cards[0], without, sizes.cards[2])), ["hip"], KNOWN)
    assert [(one.code, one.body) for one in found] == [("B113", "Bea")]
