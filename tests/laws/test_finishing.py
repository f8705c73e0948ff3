"""Laws of finishing: allowances, corners, notches, grain, and what cannot be cut.

Witnesses from outside: shapely for distances, containment and mitred buffers; two published sets of dart and
hem figures, whose sources stand beside them.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.drafting.pattern import Allowance, Corner, Cut, Dart, Edge, Notch, Pattern, Piece, Seam
from tapeline.finishing.finish import finish
from tapeline.geometry.fair import bowed, circular_by_radius
from tapeline.geometry.motion import Motion
from tapeline.geometry.path import Path
from tapeline.geometry.segments import Arc, Line
from tapeline.source.text import Source, Span

SPAN = Span(Source("quay_row.style", "allow side 1.5 cm"), 0, 5)
INCH = 25.4


# pieces to try


def points(*rows):
    return np.array(rows, dtype=float)


def path(*corners) -> Path:
    """Straight from corner to corner, each (N, 2)."""
    return Path(tuple(Line(p, q) for p, q in zip(corners, corners[1:], strict=False)))


def edge(name, run, darts=(), closed=None) -> Edge:
    runs = run if isinstance(run, tuple) else (run,)
    return Edge(name, SPAN, runs, darts, closed)


def piece_of(edges, fold=None, grain=(0.0, 1.0), levels=None, notches=()) -> Piece:
    n = edges[0].start().shape[0]
    return Piece("front", "Front", SPAN, tuple(edges), Cut(fold=fold), {}, np.tile(grain, (n, 1)), levels or {}, (), tuple(notches))


def pattern_of(piece, widths, kinds=None, corners=(), sewn=()) -> Pattern:
    """`widths` per edge: a number or (N,).  `sewn` edges are sewn to that of another copy of the piece."""
    n = piece.edges[0].start().shape[0]
    allowances = {
        (piece.name, name): Allowance(
            name, np.broadcast_to(np.asarray(width, float), (n,)).copy(), (kinds or {}).get(name, "plain"), SPAN
        )
        for name, width in widths.items()
    }
    seams = tuple(Seam(SPAN, ((piece.name, name),), ((piece.name, name),), np.zeros(n), 0.5) for name in sewn)
    return Pattern(n, (piece,), seams, allowances, {piece.name: tuple(corners)})


def finished(*arguments, **named):
    made, failures = finish(pattern_of(*arguments, **named))
    assert failures == [], [failure.diagnostic(int(np.argmax(failure.bodies))) for failure in failures]
    return made.pieces[0]


def polygon(flat) -> shapely.Polygon:
    return shapely.Polygon(flat)


def aside(direction, vector) -> float:
    """How far a vector leads away from the line along a unit direction."""
    return abs(direction[0] * vector[1] - direction[1] * vector[0])


def fine_line(edge_path: Path, body: int) -> shapely.LineString:
    """An edge as a line so fine that it stands for the curve, sampled apart from the program's flattening."""
    ts = np.linspace(0.0, 1.0, 1501)
    return shapely.LineString(np.concatenate([segment.sample(ts)[body] for segment in edge_path.segments]))


def corner_points(done, one, other):
    """The ring's points (N, J, 2) between the runs of two neighbouring edges."""
    start, stop = done.runs[one].stop, done.runs[other].start
    return done.cut_line[:, start:stop] if stop else done.cut_line[:, start:]


@st.composite
def outlines(draw):
    """Three bodies of one style: 3 to 6 edges about an ellipse, straight, curved or circular, bowed either
    way.
    """
    count = draw(st.integers(3, 6))
    turns = np.cumsum([draw(st.floats(0.75, 1.25)) for _ in range(count)])
    angles = turns / turns[-1] * 2 * np.pi
    across, down = draw(st.floats(180, 320)), draw(st.floats(180, 500))
    sizes = np.array([1.0, draw(st.floats(0.8, 1.3)), draw(st.floats(0.8, 1.3))])
    way = draw(st.sampled_from([1.0, -1.0]))
    corners = [sizes[:, None] * np.array([across * np.cos(way * a), down * np.sin(way * a)]) for a in angles]
    edges = []
    for k in range(count):
        p, q = corners[k - 1], corners[k]
        kind, bow = draw(st.sampled_from(["line", "cubic", "arc"])), draw(st.floats(0.01, 0.06))
        side = np.full(3, draw(st.sampled_from([1.0, -1.0])))
        chord = np.hypot(*(q - p).T)
        if kind == "line":
            run = Line(p, q)
        elif kind == "cubic":
            run = bowed(p, q, bow=bow * chord, side=side)
        else:
            run = circular_by_radius(p, q, chord * (1 / (8 * bow) + bow / 2), side)
        edges.append(edge(f"e{k}", Path((run,))))
    return piece_of(edges)


# the cut line


@settings(max_examples=40, deadline=None)
@given(outlines(), st.data())
def test_cut_line_keeps_its_distance_and_holds_the_piece(piece, data):
    widths = {e.name: data.draw(st.floats(4, 30)) for e in piece.edges}
    done = finished(piece, widths)
    for body in range(3):
        ring = polygon(done.cut_line[body])
        assert ring.is_valid
        net = polygon(np.concatenate([e.trued_path().flatten()[body, :-1] for e in piece.edges]))
        assert ring.buffer(1e-6).contains(net)
        for e in piece.edges:
            run = done.cut_line[body, done.runs[e.name]]
            free = run[1:-1][
                (np.abs(np.diff(run, axis=0))[1:].max(axis=1) > 1e-9) & (np.abs(np.diff(run, axis=0))[:-1].max(axis=1) > 1e-9)
            ]
            off = shapely.distance(shapely.points(free), fine_line(e.trued_path(), body))
            assert np.abs(off - widths[e.name]).max(initial=0.0) < 0.01
            assert len(run) == 2 or len(free) > len(run) // 3


@settings(max_examples=30, deadline=None)
@given(outlines(), st.floats(5, 30))
def test_equal_widths_agree_with_a_mitred_buffer(piece, width):
    done = finished(piece, {e.name: width for e in piece.edges})
    for body in range(3):
        net = polygon(np.concatenate([fine_line(e.trued_path(), body).coords[:-1] for e in piece.edges]))
        witness = net.buffer(width, join_style="mitre", mitre_limit=10.0)
        ring = polygon(done.cut_line[body])
        sharp = [
            e.start()[body]
            for k, e in enumerate(piece.edges)
            if any(c.kind[body] != "pointed" and c.edge_out == e.name for c in done.corners)
        ]
        # A mitre that the witness makes and we cut off reaches up to ten widths, by its limit.
        away = shapely.union_all([shapely.Point(p).buffer(11 * width) for p in sharp])
        apart = ring.symmetric_difference(witness).difference(away)
        assert apart.area < 0.01 * net.length  # 0.01 mm all round: the flattening of curves


def test_unequal_widths_step_where_they_cannot_meet():
    """A zip's wide allowance runs on into a plain one: the wide one ends square, both stay whole."""
    zero = np.zeros((1, 2))
    corners = [zero, zero + [200, 0], zero + [200, 300], zero + [200, 600], zero + [0, 600]]
    names = ["top", "upper", "lower", "hem", "centre"]
    edges = [edge(name, path(*ends)) for name, ends in zip(names, zip(corners, corners[1:] + corners[:1], strict=True), strict=True)]
    done = finished(piece_of(edges), dict(zip(names, [10, 25, 15, 40, 10], strict=True)))
    assert [c.kind[0] for c in done.corners if c.edge_in == "upper"] == ["ended short"]
    ring = polygon(done.cut_line[0])
    assert ring.area == pytest.approx((10 + 200) * 650 + 25 * 310 + 15 * 340, abs=1e-6)


def test_a_step_grows_into_the_mitre():
    """At a turn whose cosine is the ratio of the widths the step and the mitre are the same corner."""
    areas = []
    for lean in (-1e-6, 1e-6):
        turn = np.arccos(10 / 20) + lean
        p0, p1 = points([0, 0]), points([300, 0])
        p2 = p1 + 300 * np.array([np.cos(turn), np.sin(turn)])
        edges = [edge("a", path(p0, p1)), edge("b", path(p1, p2)), edge("c", path(p2, p0))]
        done = finished(piece_of(edges), {"a": 10, "b": 20, "c": 10})
        areas.append((done.corners[0].kind[0], polygon(done.cut_line[0]).area))
    assert [kind for kind, _ in areas] == ["ended short", "pointed"]
    assert areas[0][1] == pytest.approx(areas[1][1], abs=0.05)


@pytest.mark.parametrize("turn_degrees", [-100, -60, -20, -3])
def test_inner_corners_are_cut_off_where_the_cut_lines_cross(turn_degrees):
    turn = np.radians(turn_degrees)
    p = points([0, 0], [0, 0])
    ahead = np.array([np.cos(turn), np.sin(turn)])
    a, b = p + [-400, 0], p + 300 * ahead
    corners = [a, p, b, b + [400, 0], b + [400, 900], a + [0, 900]]
    edges = [edge(name, path(*ends)) for name, ends in zip("abcdef", zip(corners, corners[1:] + corners[:1], strict=True), strict=True)]
    done = finished(piece_of(edges), dict.fromkeys("abcdef", 20))
    ring, net = polygon(done.cut_line[0]), polygon([corner[0] for corner in corners])
    assert ring.is_valid
    witness = net.buffer(20, join_style="mitre", mitre_limit=10)
    assert ring.symmetric_difference(witness).area < 1e-3


# stated corners


def gore(lean=60.0, n=2, bow=0.0, hem_bow=0.0, fold=None):
    """A skirt panel, top to hem 600 mm, its side leaning in (or out) by `lean` toward the hem."""
    top_centre, hem_centre = np.zeros((n, 2)), np.tile([0.0, 600.0], (n, 1))
    top_side = np.stack([np.full(n, 240.0) + 15 * np.arange(n), np.zeros(n)], axis=1)
    hem_side = top_side + [-lean, 600.0]

    def run(p, q, out):
        return Path((Line(p, q) if out == 0 else bowed(p, q, bow=np.full(n, abs(out)), side=np.full(n, -np.sign(out))),))

    return piece_of(
        [
            edge("top", path(top_centre, top_side)),
            edge("side", run(top_side, hem_side, bow)),
            edge("hem", run(hem_side, hem_centre, hem_bow)),
            edge("centre", path(hem_centre, top_centre)),
        ],
        fold=fold,
    )


WIDTHS = {"top": 10.0, "side": 15.0, "hem": 40.0, "centre": 15.0}


def test_a_square_corner_ends_the_allowance_of_its_edge_square():
    piece = gore()
    for first, second in (("top", "side"), ("side", "top")):
        done = finished(piece, WIDTHS, corners=[Corner((first, second), "square to", SPAN)])
        assert [c.kind.tolist() for c in done.corners][0] == [f"square to {first}"] * 2
        one, other = corner_points(done, "top", "side")[0]
        tip, foot = (one, other) if first == "top" else (other, one)
        along = {"top": np.array([1.0, 0.0]), "side": -np.array([-60.0, 600.0]) / np.hypot(60, 600)}
        # From foot to tip the allowance ends square to its edge, and the end is as long as the allowance is wide;
        assert abs((tip - foot) @ along[first]) < 1e-9
        assert np.hypot(*(tip - foot)) == pytest.approx(WIDTHS[first])
        # the foot lies on the first edge's stitch line carried on, and on the other's cut line.
        at = piece.edge("side").start()[0]
        assert aside(along[first], foot - at) == pytest.approx(0.0, abs=1e-9)
        assert aside(along[second], foot - at) == pytest.approx(WIDTHS[second])


def test_a_corner_cut_off_is_cut_square_to_the_bisector():
    done = finished(gore(), {**WIDTHS, "top": 15.0}, corners=[Corner(("side", "top"), "cut off", SPAN)])
    one, other = corner_points(done, "top", "side")[0]
    along = np.array([-60.0, 600.0]) / np.hypot(60, 600)
    halving = np.array([1.0, 0.0]) - along
    halving /= np.hypot(*halving)
    at = np.array([240.0, 0.0])
    assert (one - at) @ halving == pytest.approx(15.0)
    assert (other - at) @ halving == pytest.approx(15.0)


def test_sharp_points_are_cut_off_by_themselves():
    """Three bodies, one with a point of 90 degrees, one of 60, one of 20: only the last is too sharp for its
    point.
    """
    half = np.radians([45.0, 30.0, 10.0])
    tip, left = np.zeros((3, 2)), 400 * np.stack([-np.sin(half), np.cos(half)], axis=1)
    right = left * [-1, 1]
    edges = [edge("a", path(left, tip)), edge("b", path(tip, right)), edge("c", path(right, left))]
    done = finished(piece_of(edges), dict.fromkeys("abc", 10))
    assert done.corners[0].kind.tolist() == ["pointed", "pointed", "cut off"]
    height = -corner_points(done, "a", "b")[:, :, 1]
    assert height[0] == pytest.approx(10 * np.sqrt(2))
    assert height[1] == pytest.approx(20)
    assert height[2] == pytest.approx(10)


@pytest.mark.parametrize("lean, bow, hem_bow", [(60, 0, 0), (-150, 0, 0), (40, 12, 0), (-60, -9, 6), (80, 25, 12)])
def test_a_hem_as_folded_lies_on_the_sides_allowance(lean, bow, hem_bow):
    piece = gore(lean=lean, bow=bow, hem_bow=hem_bow)
    done = finished(piece, WIDTHS, {"hem": "turned up"})
    kinds = {(c.edge_in, c.edge_out): c.kind.tolist() for c in done.corners}
    assert kinds["side", "hem"] == ["as folded"] * 2 and kinds["hem", "centre"] == ["as folded"] * 2
    for body in range(2):
        at = piece.edge("hem").start()[body]
        along = piece.edge("hem").closed.start_direction()[body]
        beyond = corner_points(done, "side", "hem")[body]
        up = beyond - at
        folded = at + 2 * (up @ along)[:, None] * along - up
        side = done.cut_line[body, done.runs["side"]]
        direction = piece.edge("side").closed.end_direction()[body]
        cut_line = shapely.LineString(np.concatenate([side, [side[-1] + 200 * direction]]))
        assert shapely.distance(shapely.points(folded), cut_line).max() < 0.01
        # The corner reaches the hem's own cut line, so there is something to fold.
        hem_line = fine_line(piece.edge("hem").trued_path(), body)
        depth = shapely.distance(shapely.Point(beyond[-1]), hem_line)
        assert 40 - 1e-6 <= depth < 75
        assert polygon(done.cut_line[body]).is_valid


def test_a_hem_stated_otherwise_is_not_as_folded():
    done = finished(gore(), WIDTHS, {"hem": "turned up"}, corners=[Corner(("hem", "side"), "pointed", SPAN)])
    assert {(c.edge_in, c.edge_out): c.kind[0] for c in done.corners}["side", "hem"] == "pointed"


@pytest.mark.parametrize("hem_kind", ["plain", "turned up"])
def test_a_fold_edge_is_left_alone(hem_kind):
    done = finished(gore(fold="centre"), WIDTHS, {"hem": hem_kind})
    assert done.allowances["centre"].width.tolist() == [0.0, 0.0]
    on_fold = np.concatenate(
        [corner_points(done, "hem", "centre"), done.cut_line[:, done.runs["centre"]], corner_points(done, "centre", "top")], axis=1
    )
    assert np.abs(on_fold[..., 0]).max() < 1e-9
    assert on_fold[..., 1].min() == pytest.approx(-10) and on_fold[..., 1].max() == pytest.approx(640)
    assert done.cut_line[..., 0].min() > -1e-9


@pytest.mark.parametrize("dip", [40.0, -40.0])
def test_nothing_reaches_over_a_fold_that_is_not_square(dip):
    """A top edge that leaves the fold at a slant is cut at the fold, whichever way it slants."""
    p, q = points([0, 0]), points([250, dip])
    low = points([250, 600]), points([0, 600])
    edges = [edge("top", path(p, q)), edge("side", path(q, low[0])), edge("hem", path(*low)), edge("centre", path(low[1], p))]
    done = finished(piece_of(edges, fold="centre"), WIDTHS)
    assert done.cut_line[..., 0].min() > -1e-9
    assert corner_points(done, "centre", "top")[0][-1] == pytest.approx([0, -10 * np.hypot(1, dip / 250)])


@pytest.mark.parametrize("drop, kind", [(40.0, "as folded"), (-40.0, "fold")])
def test_a_slanting_hem_is_mirrored_at_the_fold_only_where_it_stays_this_side_of_it(drop, kind):
    """Where the hem rises toward the fold the corner is obtuse; the fold mirrored would reach over it."""
    p, q, r, s = points([0, 0]), points([250, 0]), points([250, 600]), points([0, 600 + drop])
    edges = [edge("top", path(p, q)), edge("side", path(q, r)), edge("hem", path(r, s)), edge("centre", path(s, p))]
    done = finished(piece_of(edges, fold="centre"), WIDTHS, {"hem": "turned up"})
    assert {(c.edge_in, c.edge_out): c.kind[0] for c in done.corners}["hem", "centre"] == kind
    tip = corner_points(done, "hem", "centre")[0, 0]
    slant = np.arctan(drop / 250)
    if kind == "fold":
        assert tip == pytest.approx([0.0, 600 + drop + 40 / np.cos(slant)])
    else:
        # The fold line, turned over in the hem line, leans in by twice the hem's slant.
        assert aside(np.array([np.sin(2 * slant), np.cos(2 * slant)]), tip - s[0]) < 1e-9
    assert done.cut_line[..., 0].min() > -1e-9


# darts


def darted(n=2, intake=30.0, length=120.0):
    """A panel with one dart square to its straight top edge.

    Intake and length as in Mabel D. Erwin, Practical Dress Design (1954), p.  31, worked out: the folded edge
    peaks above the seam on the fold by (intake / 2) tan(angle) = 3.81 mm, with an angle of 14.25 degrees.
    """
    left, right = np.zeros((n, 2)), np.tile([300.0, 0.0], (n, 1))
    middle = 150.0 + 10 * np.arange(n)
    near, far, point = (np.stack([middle + dx, np.full(n, dy)], axis=1) for dx, dy in ((-intake / 2, 0), (intake / 2, 0), (0, length)))
    angle = 2 * np.arctan(intake / 2 / length)
    peak = np.stack([middle, np.full(n, -intake / 2 * np.tan(angle))], axis=1)
    dart = Dart(
        "dart",
        SPAN,
        point,
        path(near, point),
        path(far, point),
        Motion.turn_onto(point, far, near),
        path(near, peak, far),
        "near",
        np.full(n, intake),
        np.full(n, intake),
    )
    low = np.tile([300.0, 500.0], (n, 1)), np.tile([0.0, 500.0], (n, 1))
    sewn = Path.join(path(left, near), path(far, right).moved(dart.fold))
    return piece_of(
        [
            edge("top", (path(left, near), path(far, right)), (dart,), sewn),
            edge("side", path(right, low[0])),
            edge("hem", path(*low)),
            edge("centre", path(low[1], left)),
        ]
    )


def test_the_allowance_follows_the_trued_dart_end():
    piece = darted()
    done = finished(piece, {"top": 15, "side": 15, "hem": 40, "centre": 15})
    for body in range(2):
        run = done.cut_line[body, done.runs["top"]]
        dart = piece.edge("top").darts[0]
        peak = run[np.argmin(run[:, 1])]
        assert peak[0] == pytest.approx(dart.point[body, 0])
        # 3.81 mm and 14.25 degrees are the printed peak and angle; the allowance's mitre stands on the fold.
        assert -peak[1] == pytest.approx(3.81 + 15 / np.cos(np.radians(14.25)), abs=0.005)
        # Folded on the dart's middle line, both halves of the cut line over the dart lie on each other.
        over = run[np.abs(run[:, 0] - dart.point[body, 0]) < 16]
        folded = over * [-1, 1] + [2 * dart.point[body, 0], 0]
        assert shapely.distance(shapely.points(folded), shapely.LineString(run)).max() < 1e-6
        assert polygon(done.cut_line[body]).is_valid


def test_dart_feet_are_notched_along_the_legs_out_to_the_cut_line():
    piece = darted()
    done = finished(piece, {"top": 15, "side": 15, "hem": 40, "centre": 15})
    feet = [notch for notch in done.notches if notch.name == "dart"]
    assert len(feet) == 2
    (dart,) = piece.darts()
    for notch, foot in zip(feet, (dart.near_foot, dart.far_foot), strict=True):
        assert np.array_equal(notch.on_stitch, foot)
        assert notch.on_cut[:, 1] == pytest.approx(-15.0)
        for body in range(2):
            leg = (foot - dart.point)[body]
            assert aside(leg / np.hypot(*leg), notch.on_cut[body] - foot[body]) < 1e-9
            assert shapely.distance(shapely.Point(notch.on_cut[body]), shapely.LinearRing(done.cut_line[body])) < 1e-6
    # Folded, both lie on each other.
    assert dart.fold.points(feet[1].on_cut) == pytest.approx(feet[0].on_cut)


# notches, grain and words


def test_levels_are_marked_on_sewn_edges_alone():
    hip, near_hem = np.full(2, 200.0), np.full(2, 597.0)
    piece = gore(bow=12, fold="centre")
    piece.levels.update(waist=np.zeros(2), hip=hip, almost_hem=near_hem)
    done = finished(piece, WIDTHS, sewn=["side", "top", "centre"])  # the centre is a fold all the same
    (notch,) = [notch for notch in done.notches if notch.kind == "level"]
    assert (notch.edge, notch.name) == ("side", "hip")
    assert notch.on_stitch[:, 1] == pytest.approx(hip)
    for body in range(2):
        side = fine_line(piece.edge("side").closed, body)
        assert shapely.distance(shapely.Point(notch.on_stitch[body]), side) < 0.001
        assert shapely.distance(shapely.Point(notch.on_cut[body]), side) == pytest.approx(15, abs=0.001)
        cut_line = shapely.LinearRing(done.cut_line[body])
        assert shapely.distance(shapely.Point(notch.on_cut[body]), cut_line) < 0.02


def test_of_two_notches_too_near_the_authors_stays():
    """The author's notch lies 1 mm from the hip for the first body and 40 mm for the second."""
    piece = gore(lean=0.0)
    piece.levels["hip"] = np.array([200.0, 239.0])
    at, along = points([240, 199], [255, 199]), points([0, 1], [0, 1])
    piece.notches = (Notch("side", "zip end", SPAN, at, along, np.array([199.0, 199.0])),)
    own, hip = finished(piece, WIDTHS, sewn=["side"]).notches
    assert own.name == "zip end" and np.isfinite(own.on_cut).all()
    assert np.isnan(hip.on_cut[0]).all() and hip.on_cut[1] == pytest.approx([270.0, 239.0])


@settings(max_examples=25, deadline=None)
@given(outlines(), st.floats(-1.0, 1.0))
def test_grain_and_words_lie_well_inside(piece, slant):
    piece.grain = np.tile([np.sin(slant), np.cos(slant)], (3, 1))
    done = finished(piece, {e.name: 10 for e in piece.edges})
    for body in range(3):
        net = polygon(np.concatenate([e.stitch_path().flatten()[body, :-1] for e in piece.edges]))
        line, words = shapely.LineString(done.grain_line[body]), shapely.Point(done.label_at[body])
        room = np.sqrt(net.area)
        assert net.contains(line) and net.contains(words)
        assert line.length > 0.3 * room and shapely.distance(line, net.boundary) > 0.05 * room
        assert shapely.distance(words, net.boundary) > 0.08 * room
        assert shapely.distance(words, line) > 0.08 * room
        lean = done.grain_line[body, 1] - done.grain_line[body, 0]
        assert lean / np.hypot(*lean) == pytest.approx(piece.grain[body])


def test_a_thin_band_still_has_room_for_its_words():
    low, high = points([0, 0], [0, 0]), points([700, 30], [640, 36])
    corners = [low, low + (high - low) * [1, 0], high, low + (high - low) * [0, 1]]
    edges = [edge(f"e{k}", path(corners[k - 1], corners[k])) for k in range(4)]
    for grain in ((0.0, 1.0), (1.0, 0.0)):
        done = finished(piece_of(edges, grain=grain), {f"e{k}": 10 for k in range(4)})
        for body in range(2):
            net = polygon([corner[body] for corner in corners])
            assert net.contains(shapely.LineString(done.grain_line[body]))
            assert net.contains(shapely.Point(done.label_at[body]))


# the whole chunk, and a published hem


@settings(max_examples=10, deadline=None)
@given(outlines(), st.data())
def test_bodies_at_once_are_as_bodies_alone(piece, data):
    widths = {e.name: np.array([data.draw(st.floats(4, 40)) for _ in range(3)]) for e in piece.edges}
    kinds = {"e0": "turned up"}
    piece.levels["level"] = np.array([10.0, 20.0, 30.0])
    sewn = [e.name for e in piece.edges]
    whole, failures = finish(pattern_of(piece, widths, kinds, sewn=sewn))
    for body in range(3):
        own = {name: width[[body]] for name, width in widths.items()}
        alone, failed = finish(pattern_of(piece.take([body]), own, kinds, sewn=sewn))
        here, there = whole.pieces[0], alone.pieces[0]
        assert here.runs == there.runs
        for one, other in ((here.cut_line, there.cut_line), (here.grain_line, there.grain_line), (here.label_at, there.label_at)):
            assert one[body].tobytes() == other[0].tobytes()
        assert [f.diagnostic(body) for f in failures if f.bodies[body]] == [f.diagnostic(0) for f in failed]
        marks = [
            [(m.edge, m.name, m.on_cut[at].tobytes()) for m in one.notches if np.isfinite(m.on_cut[at]).all()]
            for one, at in ((here, body), (there, 0))
        ]
        assert marks[0] == marks[1]


def test_raw_edge_of_a_half_circle_hem():
    """Hem 1 1/2 in for a flared skirt: Theta Johnson, It's Fun to Sew a Cotton School Dress, Make good hems.

    With a half circle, waist 26 in and length 25 in chosen by us, the raw edge of the allowance works out at
    109.252 in and the sweep at the hem at 104.540 in.
    """
    waist, length, hem = 26.0, 25.0, 1.5
    radius = waist / np.pi
    inner, outer = radius * INCH, (radius + length) * INCH
    zero = np.zeros((1, 2))
    quarter = np.array([np.pi])
    edges = [
        edge("waist", Path((Arc(zero, np.array([inner]), np.array([np.pi]), -quarter),))),
        edge("side", path(points([inner, 0]), points([outer, 0]))),
        edge("hem", Path((Arc(zero, np.array([outer]), np.zeros(1), quarter),))),
        edge("other_side", path(points([-outer, 0]), points([-inner, 0]))),
    ]
    done = finished(piece_of(edges), {"waist": 10, "side": 15, "hem": hem * INCH, "other_side": 15}, {"hem": "turned up"})
    raw = done.cut_line[0, done.runs["hem"]]
    assert np.hypot(*raw.T) * np.pi / INCH == pytest.approx(109.252, abs=0.0005)
    assert piece_of(edges).edge("hem").closed_length()[0] / INCH == pytest.approx(104.540, abs=0.0005)


# what cannot be cut


def only(failures, code, body):
    assert [failure.code for failure in failures if failure.bodies[body]] == [code]
    failure = next(failure for failure in failures if failure.bodies[body])
    assert failure.span == SPAN
    return failure.diagnostic(body)


def named_cm(words, before):
    """The length in mm that stands after `before` in a suggestion."""
    number, unit = words.split(before, 1)[1].split()[:2]
    assert unit.startswith("cm")
    return float(number) * 10


def neckline(radius=18.27):
    """A piece with a round hollow of this radius (second body: twice as wide) cut into its top edge."""
    r = np.array([radius, 2 * radius])
    centre, zero = np.tile([150.0, 0.0], (2, 1)), np.zeros((2, 2))
    near, far = centre - np.stack([r, 0 * r], axis=1), centre + np.stack([r, 0 * r], axis=1)
    right, low = zero + [300, 0], (zero + [300, 400], zero + [0, 400])
    return piece_of(
        [
            edge("left", path(zero, near)),
            edge("neckline", Path((Arc(centre, r, np.full(2, np.pi), np.full(2, -np.pi)),))),
            edge("right", path(far, right)),
            edge("side", path(right, low[0])),
            edge("hem", path(*low)),
            edge("centre", path(low[1], zero)),
        ]
    )


def test_t501_names_the_radius_of_the_inner_curve():
    piece = neckline()
    widths = {"left": 5, "right": 5, "neckline": 25, "side": 15, "hem": 15, "centre": 15}
    made, failures = finish(pattern_of(piece, widths))
    said = only(failures, "T501", 0)
    assert said.title == "Seam allowance of 2.5 cm is wider than the inner curve of front.neckline allows"
    assert said.suggestion == "the allowance can be at most 1.82 cm here"
    assert np.isnan(made.pieces[0].cut_line[0]).all() and np.isfinite(made.pieces[0].cut_line[1]).all()
    finished(piece, {**widths, "neckline": named_cm(said.suggestion, "at most ")})


def test_t502_names_the_deepest_hem():
    piece = gore(lean=30.0)
    for levels in (np.array([700.0, 40.0]), np.array([650.0, 40.0])):
        widths = {**WIDTHS, "hem": levels}
        made, failures = finish(pattern_of(piece, widths, {"hem": "turned up"}))
        said = only(failures, "T502", 0)
        most = named_cm(said.suggestion, "at most ")
        assert 598 < most <= 600  # the panel is 600 mm deep
        assert np.isfinite(made.pieces[0].cut_line[1]).all()
        finished(piece, {**widths, "hem": np.array([most, 40.0])}, {"hem": "turned up"})


def test_t502_is_told_where_the_opposite_edge_dips():
    """The piece is 300 mm deep at its sides but only 100 mm in the middle, where the top edge is hollowed."""
    zero = np.zeros((1, 2))
    corners = [zero, zero + [120, 0], zero + [150, 200], zero + [180, 0], zero + [300, 0], zero + [300, 300], zero + [0, 300]]
    edges = [
        edge("top", path(*corners[:5])),
        edge("side", path(corners[4], corners[5])),
        edge("hem", path(corners[5], corners[6])),
        edge("centre", path(corners[6], zero)),
    ]
    widths = {"top": 5, "side": 10, "hem": 150, "centre": 10}
    _, failures = finish(pattern_of(piece_of(edges), widths, {"hem": "turned up"}))
    most = named_cm(only(failures, "T502", 0).suggestion, "at most ")
    assert 99 < most <= 100
    finished(piece_of(edges), {**widths, "hem": most}, {"hem": "turned up"})


def test_t502_is_told_where_the_side_that_a_hem_mirrors_is_shorter():
    """The lowest 30 mm of the side are an edge of their own: no more than that can be mirrored."""
    p, q, r = points([0, 0]), points([300, 0]), points([260, 570])
    corners, names = [p, q, r, points([259, 600]), points([0, 600])], ["top", "side", "low", "hem", "centre"]
    edges = [edge(name, path(*ends)) for name, ends in zip(names, zip(corners, corners[1:] + corners[:1], strict=True), strict=True)]
    widths = {"top": 10, "side": 15, "low": 15, "hem": 40, "centre": 15}
    _, failures = finish(pattern_of(piece_of(edges), widths, {"hem": "turned up"}))
    most = named_cm(only(failures, "T502", 0).suggestion, "at most ")
    # The allowance of `low` begins 15 mm square from its upper end, half a millimetre lower than that end.
    assert 29.4 <= most <= 29.5
    finished(piece_of(edges), {**widths, "hem": most}, {"hem": "turned up"})


def slit(gap=24.0):
    """A piece with a slit let in from above, of sides `gap` apart (second body: three times as far)."""
    zero = np.zeros((2, 2))
    half = np.stack([np.array([gap, 3 * gap]) / 2, np.zeros(2)], axis=1)
    mouth = zero + [150, 0]
    foot = zero + [150, 200]
    right, low = zero + [300, 0], (zero + [300, 400], zero + [0, 400])
    return piece_of(
        [
            edge("left", path(zero, mouth - half)),
            edge("slit_left", path(mouth - half, foot - half)),
            edge("foot", path(foot - half, foot + half)),
            edge("slit_right", path(foot + half, mouth + half)),
            edge("right", path(mouth + half, right)),
            edge("side", path(right, low[0])),
            edge("hem", path(*low)),
            edge("centre", path(low[1], zero)),
        ]
    )


def test_t503_names_the_edges_and_the_largest_width():
    piece = slit()
    made, failures = finish(pattern_of(piece, SLIT))
    said = only(failures, "T503", 0)
    assert said.title == "Seam allowances of front run into each other" and "slit" in said.found
    most = named_cm(said.suggestion, "slit_left can be at most ")
    assert 11.8 < most <= 12.0  # half the gap of 24 mm
    assert np.isfinite(made.pieces[0].cut_line[1]).all()
    finished(piece, {name: width * most / 15 for name, width in SLIT.items()})


def test_t504_a_width_below_nothing():
    piece = gore()
    made, failures = finish(pattern_of(piece, {**WIDTHS, "side": np.array([15.0, -15.0])}))
    said = only(failures, "T504", 1)
    assert said.found == "-1.5 cm"
    assert np.isfinite(made.pieces[0].cut_line[0]).all() and np.isnan(made.pieces[0].cut_line[1]).all()
    finished(piece, {**WIDTHS, "side": 0.0})


SLIT = {"left": 5, "right": 5, "slit_left": 15, "slit_right": 15, "foot": 10, "side": 10, "hem": 10, "centre": 10}


@pytest.mark.parametrize(
    "code, piece, widths, kinds",
    [
        ("T501", neckline(), {"left": 5, "right": 5, "neckline": 25, "side": 15, "hem": 15, "centre": 15}, {}),
        ("T502", gore(lean=30.0), {**WIDTHS, "hem": 700.0}, {"hem": "turned up"}),
        ("T503", slit(), SLIT, {}),
        ("T504", gore(), {**WIDTHS, "side": -15.0}, {}),
    ],
)
def test_impossible_allowances_are_told_in_the_unit_of_the_draft(code, piece, widths, kinds):
    """And an inch figure that is offered can be used: it is rounded down to a sixteenth, so it is a whole number of them."""
    for unit in ("in", "mm"):
        _, failures = finish(pattern_of(piece, widths, kinds), unit)
        said = only(failures, code, 0)
        words = " ".join((said.title, said.expected, said.found, said.suggestion))
        assert re.search(rf"\d {unit}\b", words) and not re.search(r"\d cm\b", words), words
        assert "at most ~" not in words


def test_a_body_that_could_not_be_drawn_is_passed_over():
    piece = gore()
    corner = piece.edges[0].strips[0].segments[0]
    broken = np.array([[240.0, 0.0], [np.nan, np.nan]])
    edges = (edge("top", path(corner.p0, broken)), edge("side", path(broken, piece.edge("hem").start())), *piece.edges[2:])
    piece = piece_of(edges, levels={"hip": np.full(2, 200.0)})
    made, failures = finish(pattern_of(piece, WIDTHS, {"hem": "turned up"}, sewn=["side"]))
    assert failures == []
    assert np.isfinite(made.pieces[0].cut_line[0]).all() and np.isnan(made.pieces[0].label_at[1]).all()


def test_the_notches_of_a_dart_end_on_the_cut_line():
    """Shapely as the witness; the trued end is steep beside the foot, where a notch carried out by a slope would miss it."""
    piece = darted()
    done = finished(piece, {"top": 15, "side": 15, "hem": 40, "centre": 15})
    notches = [notch for notch in done.notches if notch.edge == "top" and notch.name.startswith("dart")]
    assert len(notches) == 2
    for body in range(2):
        line = shapely.LinearRing(done.cut_line[body])
        for notch in notches:
            assert line.distance(shapely.Point(notch.on_cut[body])) < 1e-6
