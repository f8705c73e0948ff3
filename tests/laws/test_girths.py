"""Laws of girths: a level is a line on the cloth, and no change of a piece alters its sewn length but one that lets cloth in.

Two levels lie on each generated piece: `drawn`, along a line from one edge to another whichever way it slants, and `edged`,
along an edge of the outline.  What is measured afresh here is measured with shapely, of the line that the style draws.
"""

import re

import numpy as np
import shapely
from changing import dense, figures, polygons, sheet_of, sheets
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_changes import journeys, pivots
from test_cuts import cuts, slashes, spreads, yokes
from test_joining import parted

law = settings(max_examples=10, deadline=None)
seeds = st.integers(0, 2**32 - 1)
LEVELS = ("drawn", "edged")
EXACT = 1e-6  # mm, along lines and along edges that stay edges
CURVED = 0.03  # mm; an edge that comes to lie within a piece is kept as chords of its curve
SLANTING = 0.2  # mm; where a level meets a curved edge on a slant, the samples of the edge that are taken here


def with_levels(text, one, other, parts, edge):
    """A text whose front has both levels: a line from a place on one of its edges to a place on another, and an edge."""
    lines = f"""    point from_here along e{one} from K{one} by {parts[0]} / 100
    point to_here along e{other} from K{other} by {parts[1]} / 100
    line level_line from_here to to_here
    level drawn along level_line
    level edged along {edge}
"""
    outline = re.search(r"    outline .*\n", text)
    return f"levels\n    drawn\n    edged 1 cm below drawn\n{text[: outline.end()]}{lines}{text[outline.end() :]}"


@st.composite
def where(draw, text):
    """Where the levels lie on the sheet of a text."""
    edges = sorted(re.search(r"outline (.*)\n", text)[1].split(", "))
    one, other = draw(st.sampled_from([(a, b) for a in range(len(edges)) for b in range(len(edges)) if abs(a - b) > 1 and a < b]))
    return one, other, (draw(st.integers(25, 75)), draw(st.integers(25, 75))), draw(st.sampled_from(edges))


def sewn(piece):
    return {level: piece.widths[level] for level in LEVELS if level in piece.widths}


def hold_equal(one, other, within=EXACT, times=1.0):
    for level in LEVELS:
        assert np.abs(times * one[level] - other[level]).max() < within, level


def summed(*pieces):
    return {level: sum(sewn(piece)[level] for piece in pieces) for level in LEVELS}


def hold_measured(piece, front):
    """The width along the drawn line is how much of it lies in the cloth, the open darts cut out of it."""
    line = shapely.linestrings(np.stack([front.points["from_here"], front.points["to_here"]], axis=1))
    cloth = shapely.length(shapely.intersection(line, polygons(piece)))
    assert np.abs(piece.widths["drawn"] - cloth).max() < SLANTING
    edged = (
        next(edge for edge in piece.edges if piece.told["edged"] == f"along {edge.name}") if "along" in piece.told["edged"] else None
    )
    if edged is not None:
        assert np.abs(piece.widths["edged"] - sum(strip.length() for strip in edged.strips)).max() < EXACT


@given(pivots(), seeds, st.data())
@law
def test_pivoting_a_dart_to_another_edge(case, seed, data):
    sheet, _, edge, _, changes = case
    at = data.draw(where(sheet.text))
    pattern = sheet_of(with_levels(sheet.text + changes, *at), figures(seed)).pattern
    front = pattern.piece("front")
    hold_measured(front, front)
    for name in ("all", "some", "rest"):
        hold_equal(sewn(front), sewn(pattern.piece(name)))
    # The opening is cloth, where what was moved to another edge is a dart.
    assert (pattern.piece("flared").widths["edged"] > pattern.piece("some").widths["edged"] - EXACT).all()


@given(journeys(), seeds, st.data())
@law
def test_a_dart_that_goes_round(case, seed, data):
    sheet, _, away, _ = case
    pattern = sheet_of(with_levels(sheet.text + away, *data.draw(where(sheet.text))), figures(seed)).pattern
    hold_equal(sewn(pattern.piece("front")), sewn(pattern.piece("away")))


@given(sheets(), seeds, st.integers(8, 20), st.data())
@law
def test_shortening_and_releasing_a_dart(sheet, seed, amount, data):
    dart = data.draw(st.sampled_from(sorted(sheet.darts)))
    changes = f"piece shorter from front\n    shorten {dart} by {amount} mm\npiece loose from front\n    release {dart}\n"
    pattern = sheet_of(with_levels(sheet.text + changes, *data.draw(where(sheet.text))), figures(seed)).pattern
    front = pattern.piece("front")
    hold_measured(pattern.piece("shorter"), front)
    own_edge = shapely.linestrings(dense(front.edge(sheet.darts[dart]).closed))
    ends = [shapely.points(front.points[name]) for name in ("from_here", "to_here")]
    if min(shapely.distance(own_edge, end).min() for end in ends) > 5.0:  # it is drawn anew, and the level would go on to it
        hold_measured(pattern.piece("loose"), front)


@given(sheets(0, 2), seeds, st.data())
@law
def test_copying_turning_over_and_opening_out(sheet, seed, data):
    straight = [edge for edge in sheet.edges if f"line {edge} " in sheet.text and edge not in sheet.darts.values()]
    assume(straight)
    fold = data.draw(st.sampled_from(straight))
    at = data.draw(where(sheet.text))
    assume(at[3] != fold)
    changes = f"""piece again from front
piece over from again
    mirror
piece whole from over
    open out at {fold}
    cut 1
"""
    pattern = sheet_of(with_levels(sheet.text + changes, *at), figures(seed)).pattern
    front = sewn(pattern.piece("front"))
    hold_equal(front, sewn(pattern.piece("again")))
    hold_equal(front, sewn(pattern.piece("over")))
    hold_equal(front, sewn(pattern.piece("whole")), times=2.0)


@given(sheets(0, 2), seeds, st.data())
@law
def test_renaming_an_edge(sheet, seed, data):
    at = data.draw(where(sheet.text))
    text, name = with_levels(sheet.text, *at), data.draw(st.sampled_from(sheet.edges))
    renamed = re.sub(
        rf"\b{name}\b", data.draw(st.sampled_from([*LEVELS, "centre", "hem"])), text.replace("level edged", "level  edged")
    )
    one, other = (sheet_of(words, figures(seed)).pattern.piece("front") for words in (text, renamed))
    hold_equal(sewn(one), sewn(other), within=1e-9)


@given(cuts(), seeds, st.data())
@law
def test_cutting_in_two(case, seed, data):
    whole, text = case
    pattern = sheet_of(with_levels(text, *data.draw(where(text))), figures(seed)).pattern
    hold_equal(sewn(pattern.piece(whole)), summed(pattern.piece("one"), pattern.piece("other")))


@given(yokes(), seeds, st.integers(20, 80), st.integers(20, 80))
@law
def test_a_yoke_whose_darts_are_closed(case, seed, high, low):
    text, _ = case
    lines = f"""    point from_here along centre from A by {high} / 100 * 15 cm
    point to_here along side from B by {low} / 100 * 15 cm
    line level_line from_here to to_here
    level drawn along level_line
    level edged along waist
"""
    outline = re.search(r"    outline .*\n", text)
    text = f"levels\n    drawn\n    edged 1 cm below drawn\n{text[: outline.end()]}{lines}{text[outline.end() :]}"
    pattern = sheet_of(text, figures(seed)).pattern
    hold_equal(sewn(pattern.piece("front")), summed(pattern.piece("yoke"), pattern.piece("skirt")), within=CURVED)


@given(parted(), seeds, st.data())
@law
def test_joining(case, seed, data):
    sheet, _, text = case
    pattern = sheet_of(with_levels(text, *data.draw(where(sheet.text))), figures(seed)).pattern
    hold_equal(sewn(pattern.piece("front")), sewn(pattern.piece("whole")), within=1e-5)


@given(spreads(), seeds, st.integers(5, 40), st.data())
@law
def test_spreading_from_a_hinge_adds_what_it_opens(case, seed, amount, data):
    sheet, edge, other, count = case
    text = sheet.text + f"piece wide from front\n    spread {edge} by {amount} mm each, hinged on {other}, in {count} cuts\n"
    at = data.draw(where(sheet.text))
    assume(at[3] != edge)
    pattern = sheet_of(with_levels(text, *at), figures(seed)).pattern
    front, wide = pattern.piece("front"), pattern.piece("wide")
    ends = [front.points[name] for name in ("from_here", "to_here")]
    a, b = (front.edge(name).closed for name in (edge, other))
    # Where the level ends on an edge that is opened, that is drawn anew as one fair line, and the level goes on to it.
    edges = [shapely.linestrings(dense(path)) for path in (a, b)]
    assume(min(shapely.distance(path, shapely.points(end)).max() for path in edges for end in ends) > 0.01)
    opened = np.zeros(len(ends[0]))
    for k in range(1, count + 1):
        slash = [a.point_at(a.length() * k / (count + 1)), b.point_at(b.length() * (1.0 - k / (count + 1)))]
        cut, line = (shapely.linestrings(np.stack(pair, axis=1)) for pair in (slash, ends))
        at_cut = shapely.intersection(cut, line)
        from_hinge = shapely.distance(at_cut, shapely.points(slash[1]))
        opened += np.nan_to_num(np.where(shapely.is_empty(at_cut), 0.0, amount * from_hinge / shapely.length(cut)))
    assert slashes(front, edge, other, count).min() > 1.0
    assert np.abs(wide.widths["drawn"] - front.widths["drawn"] - opened).max() < CURVED
    assert np.abs(wide.widths["edged"] - front.widths["edged"]).max() < EXACT


@given(spreads(), seeds, st.integers(4, 20), st.integers(4, 20), st.data())
@law
def test_pleats_change_no_girth(case, seed, deep, deeper, data):
    sheet, edge, other, count = case
    at = data.draw(where(sheet.text))
    text = sheet.text + (
        f"piece full from front\n    pleats {count} on {edge} to {other}, {deep} mm deep, {deeper} mm deep at {other}, called fold\n"
    )
    pattern = sheet_of(with_levels(text, *at), figures(seed)).pattern
    front, full = pattern.piece("front"), pattern.piece("full")
    on_other = shapely.linestrings(dense(front.edge(other).closed))
    ends = [shapely.points(front.points[name]) for name in ("from_here", "to_here")]
    if min(shapely.distance(on_other, end).max() for end in ends) > 0.01:
        assert np.abs(full.widths["drawn"] - front.widths["drawn"]).max() < EXACT
    assert np.abs(full.widths["edged"] - front.widths["edged"]).max() < CURVED
