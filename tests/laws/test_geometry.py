"""Laws of the plane geometry, over generated bodies, with scipy and shapely as independent witnesses.

Every case is a chunk of a few bodies drawn from a seed, so that one run of a law looks at all of them.
Lengths are millimetres, of the size of garment pieces.
"""

import warnings

import numpy as np
import pytest
import shapely
from curvature import least_radius
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import IntegrationWarning, quad
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from tapeline.geometry import fair, meet, outline
from tapeline.geometry.motion import Motion
from tapeline.geometry.path import NO_LENGTH, STEPS, Path
from tapeline.geometry.plane import angle_of, cross, distance, dot, norm, unit
from tapeline.geometry.segments import Arc, Cubic, Line
from tapeline.geometry.solve import root

N = 7
seeds = st.integers(0, 2**32 - 1).map(np.random.default_rng)
law = settings(max_examples=30, deadline=None)


def points(random, *shape, n=N):
    return random.uniform(-300.0, 300.0, (n, *shape, 2))


def lines(random):
    return Line(points(random), points(random))


def arcs(random, n=N):
    sign = random.choice([-1.0, 1.0], n)
    return Arc(points(random, n=n), random.uniform(5.0, 300.0, n), random.uniform(-4.0, 4.0, n), sign * random.uniform(0.05, 6.0, n))


def cubics(random):
    return Cubic(points(random, 4))


KINDS = [lines, arcs, cubics]


def paths(random):
    """A line, a cubic, an arc and a line, end to end, with one segment of no length for one of the bodies."""
    first = lines(random)
    p = points(random, 4)
    p[:, 0] = first.p1
    p[0] = first.p1[0]
    second, arc = Cubic(p), arcs(random)
    third = arc.shifted(second.end() - arc.start())
    return Path((first, second, third, Line(third.end(), points(random))))


def motions(random):
    turn = Motion.turn(points(random), random.uniform(-3.0, 3.0, N))
    return Motion.mirror(points(random), points(random)).then(turn) if random.random() < 0.5 else turn


# Motions


@law
@given(seeds)
def test_turning_there_and_back_moves_nothing(random):
    centre, angle, p = points(random), random.uniform(-3.0, 3.0, N), points(random, 5)
    there = Motion.turn(centre, angle)
    assert np.allclose(there.then(Motion.turn(centre, -angle)).points(p), p, atol=1e-9)
    assert np.allclose(there.points(centre), centre, atol=1e-9)
    assert np.allclose(there.angle(), angle, atol=1e-12)


@law
@given(seeds)
def test_mirroring_twice_moves_nothing_and_once_keeps_the_line(random):
    p, d, q = points(random), points(random), points(random, 5)
    mirror = Motion.mirror(p, d)
    assert np.allclose(mirror.points(mirror.points(q)), q, atol=1e-9)
    assert np.allclose(mirror.points(p + 0.7 * d), p + 0.7 * d, atol=1e-9)
    midway = (q + mirror.points(q)) / 2.0 - p[:, None]
    assert np.allclose(cross(midway, unit(d)[:, None]), 0.0, atol=1e-9)


@law
@given(seeds)
def test_motions_compose_invert_and_keep_lengths(random):
    one, other, p = motions(random), motions(random), points(random, 6)
    assert np.allclose(one.then(other).points(p), other.points(one.points(p)), atol=1e-8)
    assert np.allclose(one.then(one.inverse()).points(p), p, atol=1e-8)
    moved = one.points(p)
    assert np.allclose(norm(np.diff(moved, axis=1)), norm(np.diff(p, axis=1)), atol=1e-9)


@law
@given(seeds)
def test_turn_onto_lays_ray_on_ray(random):
    centre, p, q = points(random), points(random), points(random)
    laid = Motion.turn_onto(centre, p, q).points(p)
    assert np.allclose(unit(laid - centre), unit(q - centre), atol=1e-9)
    assert np.allclose(distance(centre, laid), distance(centre, p), atol=1e-9)


# Segments


@pytest.mark.parametrize("kind", KINDS)
@law
@given(random=seeds)
def test_moved_segments_go_where_their_points_go(kind, random):
    segment, motion, ts = kind(random), motions(random), np.linspace(0.0, 1.0, 9)
    moved = segment.moved(motion)
    assert np.allclose(moved.sample(ts), motion.points(segment.sample(ts)), atol=1e-8)
    assert np.allclose(moved.direction(0.3), motion.vectors(segment.direction(0.3)), atol=1e-8)
    assert np.allclose(moved.length(), segment.length(), atol=1e-4)
    back = segment.reversed()
    assert np.allclose(back.sample(ts), segment.sample(ts[::-1]), atol=1e-8)
    assert np.allclose(back.direction(0.25), -segment.direction(0.75), atol=1e-8)


@pytest.mark.parametrize("kind", KINDS)
@law
@given(random=seeds)
def test_parts_add_up_and_lie_on_the_whole(kind, random):
    segment = kind(random)
    t0, t1 = np.sort(random.uniform(0.0, 1.0, (2, N)), axis=0)
    runs = [segment.part(0.0, t0), segment.part(t0, t1), segment.part(t1, 1.0)]
    assert np.allclose(sum(run.length() for run in runs), segment.length(), atol=2e-4)
    assert np.allclose(runs[1].length(), segment.length_to(t1) - segment.length_to(t0), atol=2e-4)
    assert np.allclose(runs[1].at(0.5), segment.at((t0 + t1) / 2.0), atol=1e-8)
    assert np.allclose(runs[1].end(), runs[2].start(), atol=1e-10)


@pytest.mark.parametrize("kind", KINDS)
@law
@given(random=seeds)
def test_a_part_of_no_length_keeps_the_direction(kind, random):
    segment, t = kind(random), random.uniform(0.0, 1.0, N)
    nothing = segment.part(t, t)
    assert np.all(nothing.length() < 1e-9)
    wanted = segment.direction(t)
    for end in (0.0, 1.0):
        assert np.allclose(nothing.direction(end), wanted, atol=1e-9)
        assert np.allclose(nothing.reversed().direction(end), -wanted, atol=1e-9)
    motion = motions(random)
    assert np.allclose(nothing.moved(motion).direction(0.5), motion.vectors(wanted), atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
@law
@given(random=seeds)
def test_parameter_at_is_the_inverse_of_length(kind, random):
    segment = kind(random)
    s = random.uniform(0.0, 1.0, N) * segment.length()
    assert np.allclose(segment.length_to(segment.parameter_at(s)), s, atol=1e-6)
    assert np.array_equal(segment.parameter_at(0.0), np.zeros(N))
    assert np.array_equal(segment.parameter_at(segment.length()), np.ones(N))


@pytest.mark.parametrize("kind", KINDS)
@law
@given(random=seeds)
def test_velocity_is_what_differences_say(kind, random):
    segment, t, step = kind(random), 0.4, 1e-5
    difference = (segment.at(t + step) - segment.at(t - step)) / (2.0 * step)
    assert np.allclose(segment.velocity(t), difference, rtol=1e-6, atol=1e-3)


SHARP = np.array(
    [
        [[0, 0], [100, 100], [0, 100], [100, 0]],  # a cusp
        [[0, 0], [100, 100.001], [0, 100], [100, 0]],  # nearly one
        [[0, 0], [100, 100], [0.01, 100], [100, 0]],
        [[0, 0], [200, 0], [-100, 0], [100, 0]],  # back and forth on a line
        [[0, 0], [0, 0], [100, 50], [100, 50]],  # no handles
        [[0, 0], [150, 0], [-50, 100], [100, 100]],  # an S
        [[0, 0], [300, 10], [-200, 10], [100, 0]],  # a loop
        [[0, 0], [100 / 3, 0], [200 / 3, 0], [100, 0]],
        [[5, 5], [5, 5], [5, 5], [5, 5]],
    ],
    dtype=float,
)


def quadrature(p):
    """Length of a cubic by scipy's adaptive quadrature, cut into 64 so that no bend escapes it."""
    a, b, c = 3 * (p[1] - p[0]), 6 * (p[0] - 2 * p[1] + p[2]), 3 * (p[3] - 3 * p[2] + 3 * p[1] - p[0])
    cuts = np.linspace(0.0, 1.0, 65)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", IntegrationWarning)
        return sum(
            quad(lambda t: np.hypot(*(a + t * (b + t * c))), low, high, epsabs=1e-7)[0]
            for low, high in zip(cuts, cuts[1:], strict=False)
        )


@pytest.mark.parametrize("case", range(len(SHARP)))
def test_length_of_sharp_cubics(case):
    curve = Cubic(SHARP[case : case + 1])
    assert curve.length()[0] == pytest.approx(quadrature(SHARP[case]), abs=1e-4)
    assert np.isfinite(curve.direction(np.array([0.0]))).all()
    assert np.allclose(norm(curve.sample_directions(np.linspace(0.0, 1.0, 11))), 1.0)


@settings(max_examples=6, deadline=None)
@given(seeds)
def test_length_of_any_cubic(random):
    curve = cubics(random)
    assert np.allclose(curve.length(), [quadrature(p) for p in curve.p], atol=1e-3)


def test_directions_where_handles_have_no_length():
    p = np.array([[[0, 0], [0, 0], [3, 4], [10, 4]], [[0, 0], [3, 4], [10, 4], [10, 4]], [[0, 0], [0, 0], [0, 0], [3, 4]]], dtype=float)
    assert np.allclose(Cubic(p).direction(0.0), [[0.6, 0.8], [0.6, 0.8], [0.6, 0.8]])
    assert np.allclose(Cubic(p).direction(1.0), [[1.0, 0.0], [1.0, 0.0], [0.6, 0.8]])


@law
@given(seeds)
def test_a_bowed_curve_bends_about_as_a_circle(random):
    arc = arcs(random)
    arc = Arc(arc.centre, arc.radius, arc.start_angle, np.sign(arc.sweep) * random.uniform(0.3, 1.2, N))
    assert np.allclose(least_radius(Path((arc,))), arc.radius)
    drawn = fair.bowed(arc.start(), arc.end(), arc.direction(0.0), arc.direction(1.0))
    assert np.allclose(least_radius(Path((drawn,))), arc.radius, rtol=0.02)
    assert np.all(np.sign(cross(drawn.direction(0.4), drawn.direction(0.6))) == np.sign(arc.sweep))


# Paths


@law
@given(seeds)
def test_path_parts_keep_shape_and_length(random):
    path = paths(random)
    s0, s1 = np.sort(random.uniform(0.0, 1.0, (2, N)), axis=0) * path.length()
    part = path.part(s0, s1)
    assert [type(s) for s in part.segments] == [type(s) for s in path.segments]
    assert np.allclose(part.length(), s1 - s0, atol=1e-3)
    assert np.all(part.gap() < 1e-9)
    assert np.allclose(part.start(), path.point_at(s0), atol=1e-9)
    assert np.allclose(part.end(), path.point_at(s1), atol=1e-9)
    middle = (s1 - s0) / 2.0
    assert np.allclose(part.point_at(middle), path.point_at(s0 + middle), atol=1e-3)


def test_a_cut_inside_one_segment_gathers_the_others_at_its_ends():
    corners = [np.array([[x, y]], dtype=float) for x, y in ((0, 0), (10, 0), (10, 10), (20, 10))]
    path = Path(tuple(Line(p, q) for p, q in zip(corners, corners[1:], strict=False)))
    part = path.part(12.0, 17.0)
    assert np.allclose(part.flatten()[0], [[10, 2], [10, 2], [10, 7], [10, 7]])
    assert np.allclose(part.start_direction(), [[0, 1]]) and np.allclose(part.end_direction(), [[0, 1]])
    assert np.allclose(path.direction_at(10.0), [[0, 1]])  # a joint: the way it goes on
    bent = path.part(5.0, 17.0)
    assert np.allclose(bent.flatten()[0], [[5, 0], [10, 0], [10, 7], [10, 7]])
    assert np.allclose([bent.start_direction()[0], bent.end_direction()[0]], [[1, 0], [0, 1]])


@law
@given(seeds)
def test_flattening_has_fixed_shape(random):
    path = paths(random)
    for name in STEPS:
        flat = path.flatten(name)
        assert flat.shape == (N, 1 + sum(STEPS[name][type(s)] for s in path.segments), 2)
    fine = norm(np.diff(path.flatten(), axis=1)).sum(axis=1)
    assert np.all(fine <= path.length() + 1e-4) and np.allclose(fine, path.length(), rtol=2e-3)
    assert np.allclose(path.reversed().flatten()[:, ::-1], path.flatten(), atol=1e-8)


@law
@given(seeds)
def test_a_missing_segment_does_not_speak_for_the_path(random):
    path = Path(paths(random).segments[1:])  # of body 0 the first segment now has no length
    assert path.segments[0].length()[0] <= NO_LENGTH
    assert np.allclose(path.start_direction()[0], path.segments[1].direction(0.0)[0])


# Fair curves


@law
@given(seeds)
def test_handles_are_those_of_the_published_formula(random):
    # D. E. Knuth, The METAFONTbook (1986), prints Hobby's formula in this form; quoted from memory.
    theta, phi = random.uniform(-1.5, 1.5, (2, N))
    p0, p1, still = points(random), points(random), np.zeros((N, 2))
    first, last = (Motion.turn(still, angle).vectors(p1 - p0) for angle in (theta, -phi))
    curve = fair.bowed(p0, p1, first, last)

    def handle(one, other):
        return (
            2 + 2**0.5 * (np.sin(one) - np.sin(other) / 16) * (np.sin(other) - np.sin(one) / 16) * (np.cos(one) - np.cos(other))
        ) / (3 * (1 + (5**0.5 - 1) / 2 * np.cos(one) + (3 - 5**0.5) / 2 * np.cos(other)))

    chord = distance(p0, p1)
    assert np.allclose(distance(p0, curve.p[:, 1]) / chord, handle(theta, phi))
    assert np.allclose(distance(p1, curve.p[:, 2]) / chord, handle(phi, theta))


@law
@given(seeds)
def test_quarter_circle_from_its_tangents(random):
    centre, radius, start = points(random), random.uniform(20.0, 300.0, N), random.uniform(-3.0, 3.0, N)
    arc = Arc(centre, radius, start, random.choice([-1.0, 1.0], N) * np.pi / 2.0)
    first, last = arc.direction(0.0), arc.direction(1.0)
    for ends in ((first, last), (first, None), (None, last)):
        drawn = fair.bowed(arc.start(), arc.end(), *ends).sample(np.linspace(0.0, 1.0, 101))
        assert np.allclose(norm(drawn - centre[:, None]) / radius[:, None], 1.0, atol=1e-3)


@law
@given(seeds)
def test_symmetric_directions_give_a_symmetric_curve(random):
    p0, p1, angle = points(random), points(random), random.uniform(-2.0, 2.0, N)
    direction0 = Motion.turn(np.zeros((N, 2)), angle).vectors(p1 - p0)
    direction1 = Motion.turn(np.zeros((N, 2)), -angle).vectors(p1 - p0)
    curve = fair.bowed(p0, p1, direction0, direction1)
    ts, bisector = np.linspace(0.0, 1.0, 9), Motion.mirror((p0 + p1) / 2.0, (p1 - p0)[:, ::-1] * (-1.0, 1.0))
    assert np.allclose(bisector.points(curve.sample(ts)), curve.sample(ts[::-1]), atol=1e-8)


def sagitta(curve, p0, p1):
    normal = unit(p1 - p0)[:, ::-1] * (-1.0, 1.0)
    return dot(curve.at(0.5) - (p0 + p1) / 2.0, normal)


@law
@given(seeds)
def test_a_bow_stands_off_as_far_as_asked(random):
    p0, p1 = points(random), points(random)
    chord = p1 - p0
    bow, side = random.uniform(0.01, 0.2, N) * norm(chord), random.choice([-1.0, 1.0], N)
    one = Motion.turn(np.zeros((N, 2)), side * random.uniform(0.1, 1.2, N)).vectors(chord)
    other = Motion.turn(np.zeros((N, 2)), -side * random.uniform(0.1, 1.2, N)).vectors(chord)
    for direction0, direction1 in ((None, None), (one, None), (None, other), (one, other), (other, None)):
        curve = fair.bowed(p0, p1, direction0, direction1, bow, side)
        assert np.allclose(sagitta(curve, p0, p1), side * bow, atol=1e-8)
        if direction0 is not None:
            assert np.allclose(curve.direction(0.0), unit(direction0), atol=1e-8)
        if direction1 is not None:
            assert np.allclose(curve.direction(1.0), unit(direction1), atol=1e-8)
    leaning = fair.bowed(p0, p1, one, None, bow)
    assert np.allclose(sagitta(leaning, p0, p1), side * bow, atol=1e-8)
    assert np.isnan(fair.bowed(p0, p1, other, one, bow, side).p[:, 1]).all()  # they lean the other way


@law
@given(seeds)
def test_spline_goes_through_its_points_without_a_kink(random):
    stops = [points(random) for _ in range(5)]
    first, last = points(random), points(random)
    for direction0, direction1 in ((None, None), (first, None), (None, last), (first, last)):
        curves = fair.through(stops, direction0, direction1)
        for curve, p, q in zip(curves, stops, stops[1:], strict=False):
            assert np.array_equal(curve.start(), p) and np.array_equal(curve.end(), q)
        for one, other in zip(curves, curves[1:], strict=False):
            assert np.allclose(one.direction(1.0), other.direction(0.0), atol=1e-7)
        if direction0 is not None:
            assert np.allclose(curves[0].direction(0.0), unit(first), atol=1e-8)
        if direction1 is not None:
            assert np.allclose(curves[-1].direction(1.0), unit(last), atol=1e-8)


@law
@given(seeds)
def test_spline_through_a_circles_points_is_the_circle(random):
    centre, radius = points(random), random.uniform(20.0, 300.0, N)
    angles = np.cumsum(random.uniform(0.3, 0.9, 5)) * random.choice([-1.0, 1.0])
    stops = [Arc(centre, radius, np.full(N, a), np.ones(N)).start() for a in angles]
    for curve in fair.through(stops):
        away = norm(curve.sample(np.linspace(0.0, 1.0, 21)) - centre[:, None])
        assert np.allclose(away / radius[:, None], 1.0, atol=1e-3)


@law
@given(seeds, st.integers(2, 6))
def test_side_seam_is_the_monotone_interpolant_of_scipy(random, count):
    y = np.cumsum(random.uniform(20.0, 200.0, (count, N)), axis=0)
    x = random.uniform(150.0, 300.0, (count, N))
    x[:, 0] = 200.0
    pieces = fair.graded([np.stack(p, axis=1) for p in zip(x, y, strict=True)])
    for body in range(N):
        witness = PchipInterpolator(y[:, body], x[:, body])
        for k, piece in enumerate(pieces):
            place = piece.sample(np.linspace(0.0, 1.0, 9))[body]
            assert np.allclose(place[:, 0], witness(place[:, 1]), atol=1e-8)
            assert place[:, 0].min() >= min(x[k, body], x[k + 1, body]) - 1e-9
            assert place[:, 0].max() <= max(x[k, body], x[k + 1, body]) + 1e-9


def test_side_seam_takes_end_directions_and_refuses_points_that_rise():
    stops = [np.array([[200.0, 0.0], [200.0, 0.0]]), np.array([[250.0, 200.0], [250.0, -200.0]])]
    plumb = np.array([[0.0, 1.0], [0.0, 1.0]])
    (curve,) = fair.graded(stops, None, plumb)
    assert np.allclose(curve.direction(1.0)[0], [0.0, 1.0])
    assert np.isnan(curve.p[1, 1]).any()


@law
@given(seeds)
def test_struck_arcs(random):
    p0, p1, side = points(random), points(random), random.choice([-1.0, 1.0], N)
    radius = distance(p0, p1) * random.uniform(0.55, 3.0, N)
    arc = fair.circular_by_radius(p0, p1, radius, side)
    assert np.allclose(arc.start(), p0, atol=1e-8) and np.allclose(arc.end(), p1, atol=1e-8)
    assert np.allclose(distance(arc.centre, p0), radius) and np.all(np.abs(arc.sweep) <= np.pi + 1e-9)
    assert np.all(np.sign(sagitta(arc, p0, p1)) == side)
    again = fair.circular(p0, p1, arc.centre)
    assert np.allclose(again.at(0.3), arc.at(0.3), atol=1e-6)
    assert np.isnan(fair.circular_by_radius(p0, p1, radius * 0.1, side).centre).all()
    assert np.isnan(fair.circular(p0, p1, p0 + 3.0 * (p1 - p0)).radius).all()


# Meetings


@law
@given(seeds)
def test_meetings_lie_on_both(random):
    p, d, q, e = (points(random) for _ in range(4))
    meeting = meet.lines(p, d, q, e)
    near = norm(meeting) < 1e5
    assert np.allclose(cross(meeting - p, unit(d))[near], 0.0, atol=1e-6)
    assert np.allclose(cross(meeting - q, unit(e))[near], 0.0, atol=1e-6)
    r0 = random.uniform(0.3, 0.9, N) * distance(p, q)
    r1 = distance(p, q) * 1.05 - r0
    for meeting in meet.circles(p, r0, q, r1):
        assert np.allclose(distance(meeting, p), r0) and np.allclose(distance(meeting, q), r1)
    first, second = meet.line_circle(p, d, p + 0.3 * d, norm(d))
    for meeting in (first, second):
        assert np.allclose(distance(meeting, p + 0.3 * d), norm(d))
        assert np.allclose(cross(meeting - p, unit(d)), 0.0, atol=1e-8)
    assert np.all(dot(second - first, d) > 0.0)


def test_no_meeting_is_nan_and_a_touch_is_one():
    o, x, y = np.zeros((1, 2)), np.array([[1.0, 0.0]]), np.array([[0.0, 1.0]])
    one = np.ones(1)
    assert np.isnan(meet.lines(o, x, y, 3.0 * x)).all()
    assert np.isnan(meet.circles(o, one, 5.0 * x, one)[0]).all()
    assert np.allclose(meet.circles(o, one, 2.0 * x, one), x)
    assert np.isnan(meet.line_circle(2.0 * y, x, o, one)[0]).all()
    assert np.allclose(meet.line_circle(y, x, o, one), y)
    line = Path((Line(o, x),))
    assert np.isnan(meet.path_line(line, y, x)[0]).all()
    s, place = meet.path_line(line, x, y)  # the very end
    assert np.allclose(s, 1.0) and np.allclose(place, x)
    assert np.isnan(meet.path_path(line, Path((Line(y, y + x),)))).all()
    bow = Path((fair.bowed(o, 10.0 * x, None, None, 3.0 * one, one),))  # its crown lies at depth 3
    assert np.allclose(meet.path_line(bow, 3.0 * y, x)[1], 5.0 * x + 3.0 * y)
    arc = Path((Arc(o, 5.0 * one, 0.0 * one, np.pi * one),))
    assert np.allclose(meet.path_line(arc, 5.0 * y, x)[1], 5.0 * y)


@law
@given(seeds)
def test_a_path_meets_a_line_where_shapely_says(random):
    path, p, d = paths(random), points(random), points(random)
    s, place = meet.path_line(path, p, d)
    assert np.array_equal(np.isnan(s), np.isnan(place[:, 0]))
    flat = path.flatten()
    for body in range(N):
        far = 1e4 * d[body] / norm(d)[body]
        crossed = shapely.intersection(shapely.LineString(flat[body]), shapely.LineString([p[body] - far, p[body] + far]))
        if np.isnan(s[body]):
            assert crossed.length == 0.0 and len(shapely.get_coordinates(crossed)) == 0
            continue
        assert abs(cross(place - p, unit(d))[body]) < 1e-6
        assert np.allclose(path.point_at(s)[body], place[body], atol=1e-4)
        # Chords stray from the curve, so the witness is asked about what lies clearly before the meeting.
        before = norm(np.diff(flat[body], axis=0)).cumsum()
        early = flat[body][1:][before < s[body] - 5.0]
        if len(early):
            heights = cross(np.vstack([flat[body][:1], early]) - p[body], unit(d)[body])
            assert np.all(heights > 0.0) or np.all(heights < 0.0)


@law
@given(seeds)
def test_crossings_at_a_level_are_all_there(random):
    path, y = paths(random), random.uniform(-200.0, 200.0, N)
    x = meet.crossings_at_level(path, y)
    flat = path.flatten()
    for body in range(N):
        found = x[body][~np.isnan(x[body])]
        assert not np.isnan(x[body][: len(found)]).any()
        heights = flat[body, :, 1] - y[body]
        # Between two chord ends a pair of crossings may hide from the witness, never a single one.
        hidden = len(found) - np.count_nonzero(np.diff(np.sign(heights)))
        assert hidden >= 0 and hidden % 2 == 0
        line = shapely.LineString(flat[body])
        for each in found:
            assert line.distance(shapely.Point(each, y[body])) < 2.0


def test_level_through_a_closed_frame_has_both_sides_once():
    corners = [np.array([[x, y]], dtype=float) for x, y in ((0, 0), (40, 0), (50, 30), (0, 30), (0, 0))]
    ring = Path(tuple(Line(p, q) for p, q in zip(corners, corners[1:], strict=False)))
    for level, wanted in ((15.0, [45, 0]), (30.0, [50, 0]), (31.0, [])):
        x = meet.crossings_at_level(ring, np.array([level]))[0]
        assert np.allclose(x[~np.isnan(x)], wanted)
    hem = Path((Line(corners[3], corners[2]),))
    assert np.allclose(meet.crossings_at_level(hem, np.array([30.0])), [[0, 50]])


@law
@given(seeds)
def test_paths_meet_on_both(random):
    one, other = paths(random), paths(random)
    meeting = meet.path_path(one, other)
    flats = one.flatten(), other.flatten()
    for body in range(N):
        chords = [shapely.LineString(flat[body]) for flat in flats]
        if np.isnan(meeting[body]).any():
            assert not chords[0].intersects(chords[1])
            continue
        for chord in chords:
            assert chord.distance(shapely.Point(meeting[body])) < 2.0


def test_curves_meet_where_they_were_laid_together():
    # One large chunk, since a near-touch that is hard to find comes up once in a thousand.
    random, many = np.random.default_rng(13), 4000
    shared, arc = points(random, n=many), arcs(random, many)
    curve = Cubic(points(random, 4, n=many))
    t, w = random.uniform(0.0, 1.0, (2, many))
    t[:500], w[500:1000] = 0.0, 1.0  # an end upon the other curve
    one = Path((curve.shifted(shared - curve.at(t)),))
    other = Path((arc.shifted(shared - arc.at(w)),))
    meeting = meet.path_path(one, other)
    assert np.isfinite(meeting).all()
    # The first of the meetings lies no later along the curve than the one that is known.
    ts = np.linspace(0.0, 1.0, 1001)
    samples = one.segments[0].sample(ts)
    away = np.where(ts <= t[:, None] + 1e-3, norm(samples - meeting[:, None]), np.inf)
    step = norm(np.diff(samples, axis=1)).max(axis=1)
    assert np.all(away.min(axis=1) <= step)
    circle = other.segments[0]
    assert np.allclose(distance(meeting, circle.centre), circle.radius, atol=1e-5)


@law
@given(seeds)
def test_a_curve_that_ends_as_a_tangent_meets_there(random):
    arc, t = arcs(random), random.uniform(0.0, 1.0, N)
    touch, onward = arc.at(t), arc.direction(t)
    away = touch - 40.0 * onward + 30.0 * unit(touch - arc.centre)
    curve = Path((fair.bowed(away, touch, None, onward),))
    for one, other in ((curve, Path((arc,))), (curve.reversed(), Path((arc,)))):
        assert np.allclose(meet.path_path(one, other), touch, atol=1e-3)


# Roots


@law
@given(seeds)
def test_roots_are_those_of_brentq(random):
    a, b, c = random.uniform(-3.0, 3.0, (3, N))

    def function(x, a=a, b=b, c=c):
        return np.sin(a * x) + b * x + c + x**3 / 50.0

    low, high = np.full(N, -40.0), np.full(N, 40.0)
    calls = []
    x, found, f_low, f_high = root(lambda x: calls.append(1) or function(x), low, high)
    assert found.all() and len(calls) < 40
    assert np.array_equal(f_low, function(low)) and np.array_equal(f_high, function(high))
    for body in range(N):
        pars = a[body], b[body], c[body]
        # There may be three roots; look for the one near ours.
        near = brentq(function, x[body] - 1e-6, x[body] + 1e-6, args=pars, xtol=1e-12)
        assert abs(x[body] - near) <= 1e-7
    single = np.full(N, -1.0), np.full(N, 9.0)
    x, found, *_ = root(lambda x: np.exp(x / 3.0) - 2.0 - a, *single)
    for body in np.flatnonzero(found):
        assert x[body] == pytest.approx(3.0 * np.log(2.0 + a[body]), abs=1e-7)
    assert np.array_equal(found, (np.exp(-1 / 3) <= 2.0 + a) & (2.0 + a <= np.exp(3)))


def test_no_bracket_and_no_number_are_not_found():
    low, high = np.zeros(4), np.ones(4)
    x, found, *_ = root(lambda x: np.array([x[0] + 1.0, np.nan, x[2] - 0.25, x[3]]), low, high)
    assert found.tolist() == [False, False, True, True]
    assert np.isnan(x[:2]).all() and x[2] == pytest.approx(0.25, abs=1e-7) and x[3] == 0.0


# Outlines


@law
@given(seeds, st.integers(3, 30))
def test_areas_and_faults_agree_with_shapely(random, count):
    rings = points(random, count)
    rings[0] = Arc(np.zeros((1, 2)), [90.0], [0.0], [2.0 * np.pi]).sample(np.arange(count) / count)[0]
    signed = outline.area(rings)
    for body in range(N):
        polygon = shapely.LinearRing(rings[body])
        clockwise = 1.0 if polygon.is_ccw else -1.0  # y down turns the sense about
        if polygon.is_simple:
            assert signed[body] == pytest.approx(clockwise * shapely.Polygon(rings[body]).area, rel=1e-9)
    closed = np.concatenate([rings, rings[:, :1]], axis=1)
    assert np.allclose(outline.area(closed), signed)
    faulty = [index for index, *_ in outline.faults(rings)]
    assert faulty == [body for body in range(N) if not shapely.Polygon(rings[body]).is_valid]
    assert 0 not in faulty


def test_faults_name_their_place_and_repeats_are_none():
    bow_tie = [[0, 0], [10, 0], [0, 10], [10, 10], [10, 10]]
    waisted = [[0, 0], [10, 0], [5, 5], [10, 10], [5, 5]]
    repeats = [[0, 0], [10, 0], [10, 10], [10, 10 + 1e-9], [10, 10 - 1e-9]]
    nothing = [[3, 4]] * 5
    undrawn = [[0, 0], [10, 0], [np.nan, 10], [0, 10], [0, 5]]
    found = outline.faults(np.array([bow_tie, repeats, waisted, nothing, undrawn], dtype=float))
    assert found[0] == (0, "crosses itself", (5.0, 5.0))
    assert [(index, kind) for index, kind, _ in found[1:]] == [(2, found[1][1]), (3, "has no area")]


# One body or many


@settings(max_examples=5, deadline=None)
@given(seeds)
def test_a_chunk_is_its_bodies_bit_for_bit(random):
    path, other, motion = paths(random), paths(random), motions(random)
    side, y, first = random.choice([-1.0, 1.0], N), random.uniform(-200.0, 200.0, N), points(random)
    stops = [points(random) for _ in range(4)]
    for stop, depth in zip(stops, (0.0, 90.0, 200.0, 290.0), strict=True):
        stop[:, 1] = depth

    def everything(index):
        part_of, with_, move = path.take(index), other.take(index), motion.take(index)
        ends = [stop[index] for stop in stops]
        part = part_of.part(0.2 * part_of.length(), 0.7 * part_of.length())
        struck = fair.circular_by_radius(ends[0], ends[1], distance(ends[0], ends[1]) + 5.0, side[index])
        curves = [
            *fair.through(ends, first[index]),
            *fair.graded(ends),
            struck,
            fair.bowed(ends[0], ends[1], first[index], None, distance(ends[0], ends[1]) / 9.0),
        ]
        flat = part.moved(move).flatten()
        return [
            part_of.length(),
            flat,
            *(segment.sample_directions(np.linspace(0, 1, 5)) for segment in part.segments),
            angle_of(part.end()),
            meet.crossings_at_level(part_of, y[index]),
            *meet.path_line(part_of, ends[2], first[index]),
            meet.path_path(part_of, with_),
            outline.area(flat),
            *(curve.sample(np.linspace(0, 1, 5)) for curve in curves),
            *(curve.length() for curve in curves),
        ]

    together = everything(np.arange(N))
    for body in range(N):
        for whole, alone in zip(together, everything(np.array([body])), strict=True):
            assert np.array_equal(whole[body : body + 1], alone, equal_nan=True)
