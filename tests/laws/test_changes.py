"""Laws of changing a piece: what must stay equal when darts are moved, over generated pieces, bodies and places.

What is made from a piece leaves that piece as it was, and bodies drafted together come out as they do one by one.
"""

import re

import numpy as np
import shapely
from changing import (
    angles,
    apart,
    areas,
    dense,
    drafts_of,
    figures,
    misfit,
    on_cloth,
    place,
    polygons,
    same_edge,
    sheet_of,
    sheets,
    uncrossed,
)
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_darts import hold_trued

from tapeline.geometry.motion import Motion
from tapeline.geometry.plane import distance

law = settings(max_examples=8, deadline=None)
few = settings(max_examples=4, deadline=None)
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
    close {dart} by {part} %, opening {edge} at {at}
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
    hold_flare(front, some, pattern.piece("flared"), edge)


def hold_flare(source, some, flared, edge):
    """What is closed opens the edge by the same angle: the rest of the piece lies as with a dart moved to that place."""
    assert (
        np.abs(angles(flared) - angles(some) + np.abs(next(one for one in some.darts() if one.name == "new").fold.angle())).max() < 1e-9
    )
    for one, other in zip(flared.edges, some.edges, strict=True):
        if one.name != edge:
            assert same_edge(one, other)
            continue
        for a, b in (
            (one.start(), other.start()),
            (one.end(), other.end()),
            (one.strips[0].start_direction(), other.strips[0].start_direction()),
            (one.strips[-1].end_direction(), other.strips[-1].end_direction()),
        ):
            assert np.abs(a - b).max() < 1e-9
        assert (one.closed_length() > source.edge(edge).closed_length()).all()
    assert uncrossed(flared)


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


@st.composite
def journeys(draw):
    """A dart moved from edge to edge, once in two halves, and at last to where it came from."""
    sheet = draw(sheets())
    dart = draw(st.sampled_from(sorted(sheet.darts)))
    own = sheet.darts[dart]
    lines = ["piece away from front"]
    now, last = dart, None
    for number in range(draw(st.integers(3, 5))):
        edge, at = draw(st.sampled_from([edge for edge in sheet.free if edge != last])), place(draw)
        last = edge
        if draw(st.booleans()):
            lines += [
                f"    pivot {now} by {draw(st.integers(20, 80))} % to {edge} at {at}, called stop{number}",
                f"    pivot {now} into stop{number}",
            ]
        else:
            lines.append(f"    pivot {now} to {edge} at {at}, called stop{number}")
        now = f"stop{number}"
    back = f"piece back from away\n    pivot {now} to {own} at home from {sheet.starts[own]}, called {dart}\n"
    return sheet, dart, "\n".join(lines) + "\n", back


@given(journeys(), seeds)
@law
def test_a_dart_moved_round_and_back_returns_every_point(case, seed):
    sheet, dart, away, back = case
    measures = figures(seed)
    front = sheet_of(sheet.text, measures).pattern.piece("front")
    edge = front.edge(sheet.darts[dart])
    home = edge.strips[0].length()  # the place of the dart along its edge as sewn
    pattern = sheet_of(sheet.text + away + back, measures, home=home).pattern
    gone, here = pattern.piece("away"), pattern.piece("back")
    assert np.abs(areas(gone) - areas(front)).max() < 0.05
    for one, other in zip(front.edges, here.edges, strict=True):
        assert np.abs(one.closed_length() - other.closed_length()).max() < 1e-6
        assert apart(one.stitch_path(), other.stitch_path()) < 0.001
        assert distance(one.start(), other.start()).max() < 1e-6
    for name, cloth in on_cloth(front).items():
        assert distance(front.points[name], here.points[name])[cloth].max(initial=0.0) < 0.001, name
    for one, other in zip(front.darts(), here.darts(), strict=True):
        for a, b in ((one.point, other.point), (one.near_foot, other.near_foot), (one.far_foot, other.far_foot)):
            assert distance(a, b).max() < 0.001
    hold_darts(here)


@given(sheets(0, 0, ("line",)), seeds, st.integers(4, 12), st.data())
@few
def test_named_feet_go_with_the_cloth_beside_them(sheet, seed, half, data):
    """A dart between two named points, moved away and back to one of them."""
    edge, foot = data.draw(st.sampled_from(sheet.free)), data.draw(st.sampled_from("FG"))
    other = data.draw(st.sampled_from(sheet.free))
    start, end = sheet.starts[edge], sheet.starts[sheet.edges[(sheet.edges.index(edge) + 1) % len(sheet.edges)]]
    feet = "F and G" if re.search(rf" {edge} {start} to {end}\b", sheet.text) else "G and F"  # as the edge is drawn
    text = (
        sheet.text
        + f"""    point F along {edge} from {start} by {50 - half / 2} / 100
    point G along {edge} from {end} by {50 - half / 2} / 100
    dart on {edge} between {feet}, called named
        point 4 cm long, square
piece away from front
    pivot named to {other} at {place(data.draw)}, called moved
piece back from away
    pivot moved to {edge} at point {foot}
"""
    )
    pattern = sheet_of(text, figures(seed)).pattern
    front, away, back = (pattern.piece(name) for name in ("front", "away", "back"))
    assert distance(front.points["F"], front.darts()[0].near_foot).max() < 1e-6
    assert distance(front.points["G"], front.darts()[0].far_foot).max() < 1e-6
    assert distance(away.points["F"], away.points["G"]).max() < 1e-6  # the dart is closed
    for name in "FG":
        assert distance(front.points[name], back.points[name]).max() < 0.001
    for one, other in zip(front.edges, back.edges, strict=True):
        assert apart(one.stitch_path(), other.stitch_path()) < 0.001


@given(sheets(), seeds, st.integers(5, 60), st.data())
@few
def test_a_dart_shortened_keeps_its_feet(sheet, seed, amount, data):
    dart = data.draw(st.sampled_from(sorted(sheet.darts)))
    text = sheet.text + f"piece short from front\n    shorten {dart} by {amount} mm\n"
    pattern = sheet_of(text, figures(seed)).pattern
    front, short = pattern.piece("front"), pattern.piece("short")
    hold_darts(short)
    for one, other in zip(front.darts(), short.darts(), strict=True):
        assert distance(one.near_foot, other.near_foot).max() < 1e-9
        assert distance(one.far_foot, other.far_foot).max() < 1e-9
        drawn_back = distance(one.point, other.point)
        assert np.abs(drawn_back - (amount if one.name == dart else 0.0)).max() < 1e-9
        if one.name == dart:
            middle = (one.near_foot + one.far_foot) / 2.0
            assert np.abs(distance(middle, one.point) - distance(middle, other.point) - amount).max() < 1e-9
    for one, other in zip(front.edges, short.edges, strict=True):
        assert all(np.abs(dense(a) - dense(b)).max() < 1e-9 for a, b in zip(one.strips, other.strips, strict=True))
        assert np.abs(one.closed_length() - sum(strip.length() for strip in other.strips)).max() < 1e-6


@given(sheets(2, 2), st.booleans(), st.data())
@settings(max_examples=3, deadline=None)
def test_bodies_drafted_together_and_one_by_one(sheet, flare, data):
    """A place told by a length falls before a dart for one body and after it for another: they are drafted apart."""
    dart, other = data.draw(st.permutations(sorted(sheet.darts)))
    edge = sheet.darts[other]
    assume(edge in sheet.free)
    measures = figures(data.draw(st.integers(0, 99)), 3)
    length = sheet_of(sheet.text, measures).pattern.piece("front").edge(edge).closed_length()
    home = length * np.array([0.15, 0.85, 0.14])
    text = (
        sheet.text
        + "piece changed from front\n"
        + (f"    close {dart}, opening {edge} at home\n" if flare else f"    pivot {dart} to {edge} at home, called new\n")
    )
    drafts = drafts_of(text, measures, home=home)
    assert sorted(tuple(one.index) for one in drafts) == [(0, 2), (1,)]
    for together in drafts:
        assert not together.failed.any()
        body = together.index[-1]
        alone = sheet_of(text, {name: value[[body]] for name, value in measures.items()}, home=home[[body]])
        for name in ("front", "changed"):
            ours, theirs = together.pattern.piece(name).take([-1]), alone.pattern.piece(name)
            for a, b in zip(ours.edges, theirs.edges, strict=True):
                assert same_edge(a, b, 1e-9)


@given(sheets(1, 1), seeds, st.data())
@few
def test_a_piece_stays_as_it_was_whatever_is_made_from_it(sheet, seed, data):
    """Bit for bit, with every sort of change made from it and without."""
    dart = data.draw(st.sampled_from(sorted(sheet.darts)))
    edge, other = data.draw(st.permutations(sheet.free))[:2]
    across = data.draw(st.sampled_from([name for name in sheet.edges if name != sheet.darts[dart]]))
    after = sheet.edges[(sheet.edges.index(sheet.darts[dart]) + 1) % len(sheet.edges)]
    text = (
        sheet.text
        + f"""piece moved from front
    pivot {dart} to {edge} at {place(data.draw)}, called new
    shorten new by 5 mm
piece flared from front
    close {dart}, opening {edge} at {place(data.draw)}
piece over from front
    mirror
    true {other}
cut front from {dart} to {across} at {place(data.draw)}, seam parting
    foundation one holding {sheet.starts[after]}
"""
    )
    measures = figures(seed)
    alone, source = (sheet_of(one, measures).pattern.piece("front") for one in (sheet.text, text))
    for one, two in zip(alone.edges, source.edges, strict=True):
        assert np.array_equal(dense(one.stitch_path()), dense(two.stitch_path()))
        assert np.array_equal(one.closed_length(), two.closed_length())
    assert alone.points.keys() == source.points.keys()
    assert all(np.array_equal(alone.points[name], source.points[name]) for name in alone.points)
