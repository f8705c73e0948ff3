"""Laws of changing a piece: what must stay equal when darts are moved, over generated pieces, bodies and places."""

import numpy as np
import shapely
from changing import angles, areas, dense, figures, misfit, on_cloth, place, polygons, same_edge, sheet_of, sheets, uncrossed
from hypothesis import given, settings
from hypothesis import strategies as st
from test_darts import hold_trued

from tapeline.geometry.motion import Motion
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
    named = {one.name: one for one in whole.darts()}
    assert dart not in named
    hold_points(front, whole, sheet, dart, named["new"])
    assert np.abs(abs(named["new"].fold.angle()) - angle).max() < 1e-9
    named = {one.name: one for one in some.darts()}
    assert np.abs(abs(named["new"].fold.angle()) - angle * part / 100).max() < 1e-9
    for one, other in zip(whole.edges, rest.edges, strict=True):
        assert same_edge(one, other, 1e-8)
    for name, cloth in on_cloth(front).items():
        if name in rest.points:
            assert distance(whole.points[name], rest.points[name])[cloth].max(initial=0.0) < 1e-8, name


def hold_points(source, piece, sheet, dart, new):
    """Named points of the cloth stay on it, and are turned where they lie in the part that is.

    The pieces are star-shaped about the point of their darts: whichever lies on one side of the old dart and the slash
    is of one part, as its bearing from there tells.
    """
    centre, cloth = source.points["O"], on_cloth(source)
    old = next(one for one in source.darts() if one.name == dart)
    feet = shapely.points(np.stack([new.near_foot, new.far_foot], axis=1))
    on_source = shapely.distance(shapely.get_exterior_ring(polygons(source))[:, None], feet)
    slash = np.where((on_source[:, 0] < on_source[:, 1])[:, None], new.near_foot, new.far_foot)

    def bearing(point):
        return np.arctan2(*(point - centre).T[::-1])

    low, high = bearing(slash), bearing((old.near_foot + old.far_foot) / 2.0)

    def side(point):
        return np.mod(bearing(point) - low, 2.0 * np.pi) < np.mod(high - low, 2.0 * np.pi)

    after, stays = on_cloth(piece), side(source.edge(sheet.stays).start())
    for name, here in cloth.items():
        p, q = source.points[name], piece.points.get(name)
        if q is None or name.startswith((dart, "new")) or distance(p, centre).min() < 1.0:
            continue
        here = here & (np.abs(np.sin(bearing(p) - low)) > 1e-4)  # which way a point on the slash goes is not told
        assert after[name][here].all(), name
        turned = Motion.turn(centre, bearing(q) - bearing(p))
        assert distance(turned.points(p), q)[here].max(initial=0.0) < 1e-6, name
        moved = np.abs(np.abs(turned.angle()) - np.abs(new.fold.angle())) < 1e-6
        assert (moved == (side(p) != stays))[here].all(), name
