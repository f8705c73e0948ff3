"""Laws of which part of a spread stays: it lies where it lay, and the spread piece is the same whichever part that is."""

import numpy as np
import pytest
from changing import areas, dense
from hypothesis import given, settings
from hypothesis import strategies as st
from workbench import bodies, drafted, style_of

from tapeline.geometry.plane import distance
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

law = settings(max_examples=10, deadline=None)
seeds = st.integers(0, 2**32 - 1)

PANEL = """language 1
style panel "Panel"
measure waist, hip, waist_to_hip, waist_to_knee
foundation panel "Panel"
    cut 2
    point A start
    point B A across hip / 4, up 5 mm
    point C A down waist_to_knee
    point D B down waist_to_knee, go out 1 cm
    point M A across hip * 45 / 400, down 20 cm
    point low along hem from C by 45 %
    point near_low low left 3 mm, up 6 mm
    line  centre A to C
    curve top    A to B, hollow 5 mm
    curve side   B to D, bowed 4 mm
    line  hem    C to D
    outline centre, top, side, hem
piece plain "Plain" from panel
    {change}
piece kept "Kept" from panel
    {change}, staying at {stays}
"""
CHANGES = [
    "spread hem by {x} mm, hinged on top, in {n} cuts",
    "spread top by {x} mm, hinged on hem, in {n} cuts",
    "spread top by {y} mm and hem by {x} mm each, in {n} cuts",
    "pleats {n} on top to hem, {y} mm deep",
    "spread side by {x} mm, hinged on centre, in {n} cuts",
]


def across(change):
    """The edges beside the slashes of a change."""
    return ("top", "hem") if "spread side" in change else ("centre", "side")


def drafted_pair(change, stays, seed):
    one_draft = drafted(style_of(PANEL.format(change=change, stays=stays)), bodies(np.random.default_rng(seed), 3))
    assert not one_draft.failed.any()
    pattern = one_draft.pattern
    return next(iter(pattern.foundations)), pattern.piece("plain"), pattern.piece("kept")


def hold_alike(plain, kept):
    """The two are one piece, laid otherwise."""
    assert [edge.name for edge in plain.edges] == [edge.name for edge in kept.edges]
    assert np.abs(areas(plain) - areas(kept)).max() < 1e-4
    one, other = (np.concatenate([dense(edge.stitch_path()) for edge in piece.edges], axis=1)[:, ::37] for piece in (plain, kept))
    for points in (one, other):
        assert np.isfinite(points).all()
    apart = [np.linalg.norm(points[:, :, None] - points[:, None], axis=-1) for points in (one, other)]
    assert np.abs(apart[0] - apart[1]).max() < 1e-6
    for name in plain.points:
        for corner in "ABCD":
            there = [distance(piece.points[name], piece.points[corner]) for piece in (plain, kept)]
            assert np.abs(there[0] - there[1]).max() < 1e-6


@given(st.sampled_from(CHANGES), st.integers(1, 4), st.integers(5, 40), st.integers(0, 1), seeds)
@law
def test_an_edge_that_stays_lies_where_it_lay(change, count, opened, which, seed):
    change = change.format(n=count, x=opened, y=opened + 3)
    edge = across(change)[which]
    source, plain, kept = drafted_pair(change, edge, seed)
    hold_alike(plain, kept)
    assert np.abs(dense(kept.edge(edge).closed) - dense(source.edge(edge).closed)).max() < 1e-6
    if edge == source.edges[0].name:  # there it stays also where nothing is said
        assert np.array_equal(dense(kept.edge("hem").stitch_path()), dense(plain.edge("hem").stitch_path()))


@given(st.sampled_from(CHANGES), st.integers(1, 4), st.integers(5, 40), st.sampled_from("ABCD"), seeds)
@law
def test_a_corner_that_stays_lies_where_it_lay(change, count, opened, corner, seed):
    source, plain, kept = drafted_pair(change.format(n=count, x=opened, y=opened + 3), corner, seed)
    hold_alike(plain, kept)
    assert np.array_equal(kept.points[corner], source.points[corner])


@given(st.sampled_from([CHANGES[k] for k in (0, 2, 3)]), st.sampled_from([2, 4]), st.integers(5, 40), seeds)
@law
def test_the_middle_part_stays_by_a_point_in_it(change, count, opened, seed):
    """An even number of cuts leaves a part in the middle; with it the points beside lie where they lay."""
    source, plain, kept = drafted_pair(change.format(n=count, x=opened, y=opened + 3), "low", seed)
    hold_alike(plain, kept)
    for name in ("low", "near_low"):
        assert np.abs(kept.points[name] - source.points[name]).max() < 1e-6
    assert distance(plain.points["low"], source.points["low"]).min() > 1.0


@pytest.mark.parametrize("stays, code", [("hem", "N290"), ("top", "N290"), ("nowhere", "N201")])
def test_what_is_slashed_or_unknown_cannot_stay(stays, code):
    text = PANEL.format(change=CHANGES[0].format(n=2, x=20, y=0), stays=stays)
    style, said = read(Source("panel.style", text), FolderWorld())
    assert style is None and [one.code for one in said] == [code], "\n".join(map(render, said))
    assert said[0].span.text == stays
