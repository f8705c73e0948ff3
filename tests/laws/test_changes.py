"""Laws of changing a piece: what must stay equal when darts are moved, over generated pieces, bodies and places."""

import numpy as np
from changing import angles, areas, dense, figures, misfit, on_cloth, place, same_edge, sheet_of, sheets, uncrossed
from hypothesis import given, settings
from hypothesis import strategies as st
from test_darts import hold_trued

from tapeline.geometry.plane import distance

law = settings(max_examples=20, deadline=None)
few = settings(max_examples=8, deadline=None)
seeds = st.integers(0, 2**32 - 1)


def hold_darts(piece):
    """Legs equally long and folding on each other, ends trued, the edge one run when its darts are folded."""
    for edge in piece.edges:
        for dart in edge.darts:
            assert distance(dart.near_leg.end(), dart.point).max() < 1e-9
            assert np.abs(dart.near_leg.length() - dart.far_leg.length()).max() < 1e-6
            assert np.abs(dart.fold.points(dense(dart.far_leg)) - dense(dart.near_leg)).max() < 1e-6
            number = edge.darts.index(dart)
            hold_trued(dart, edge.strips[number].reversed() if dart.press == "near" else edge.strips[number + 1])
        for before, after in zip(edge.strips, edge.strips[1:], strict=False):
            assert (before.length() > 0.01).all() and (after.length() > 0.01).all()
        assert np.abs(sum(strip.length() for strip in edge.strips) - edge.closed_length()).max() < 1e-6
    for one, other in zip(piece.edges, piece.edges[1:] + piece.edges[:1], strict=True):
        assert distance(one.end(), other.start()).max() < 1e-6
    assert uncrossed(piece)


def hold_kept(source, piece, sheet, changed, lengths=()):
    """All edges but `lengths` keep their sewn length; all but `changed` are congruent; where the piece stays it lies
    where it lay."""
    assert [edge.name for edge in piece.edges] == [edge.name for edge in source.edges]
    for edge in source.edges:
        now = piece.edge(edge.name)
        if edge.name not in lengths:
            assert np.abs(now.closed_length() - edge.closed_length()).max() < 1e-6
        if edge.name not in changed:
            assert misfit(dense(edge.stitch_path()), dense(now.stitch_path())).max() < 1e-6
    stays = source.edge(sheet.stays)
    assert np.abs(piece.edge(sheet.stays).start() - stays.start()).max() < 1e-9
    if sheet.stays not in changed:
        assert same_edge(stays, piece.edge(sheet.stays))


@st.composite
def pivots(draw):
    sheet = draw(sheets())
    dart = draw(st.sampled_from(sorted(sheet.darts)))
    edge = draw(st.sampled_from(sheet.free))
    part = draw(st.integers(10, 90))
    at = place(draw)
    changes = f"""piece all from front
    pivot {dart} to {edge} at {at}, called new
piece some from front
    pivot {dart} by {part} % to {edge} at {at}, called new
piece rest from some
    pivot {dart} into new
piece flared from front
    close {dart}, opening {edge} at {at}
piece short from front
    shorten {dart} by {draw(st.integers(5, 40))} mm
"""
    return sheet, dart, edge, part, changes


@given(pivots(), seeds)
@law
def test_a_dart_moved_about_its_point(case, seed):
    sheet, dart, edge, part, changes = case
    pattern = sheet_of(sheet.text + changes, figures(seed)).pattern
    front, whole, some, rest = (pattern.piece(name) for name in ("front", "all", "some", "rest"))
    touched = {sheet.darts[dart], edge}
    angle = abs(next(one for one in front.darts() if one.name == dart).fold.angle())
    for piece in (whole, some, rest):
        hold_darts(piece)
        hold_kept(front, piece, sheet, touched)
        assert np.abs(angles(piece) - angles(front)).max() < 1e-9
        assert np.abs(areas(piece) - areas(front)).max() < 0.05
        hold_points(front, piece, sheet)
    named = {one.name: one for one in whole.darts()}
    assert dart not in named
    assert np.abs(abs(named["new"].fold.angle()) - angle).max() < 1e-9
    named = {one.name: one for one in some.darts()}
    assert np.abs(abs(named["new"].fold.angle()) - angle * part / 100).max() < 1e-9
    for one, other in zip(whole.edges, rest.edges, strict=True):
        assert same_edge(one, other, 1e-8)
    for name, cloth in on_cloth(front).items():
        if name in rest.points:
            assert distance(whole.points[name], rest.points[name])[cloth].max(initial=0.0) < 1e-8, name


def hold_points(source, piece, sheet):
    """Named points of the cloth stay on it, as far from the point that it is turned about, and as far as they were from
    the corners of one of the two parts."""
    there = on_cloth(piece)
    centre = source.points["O"]
    for name, cloth in on_cloth(source).items():
        if name not in there or name.split("_")[-1] in ("near", "far"):
            continue
        p, q = source.points[name], piece.points[name]
        assert there[name][cloth].all(), name
        assert np.abs(distance(p, centre) - distance(q, centre))[cloth].max(initial=0.0) < 1e-6
