"""What is shown to be simple at little cost is simple; shapely is the witness.  And ordinary pieces are shown to be so."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from tapeline.geometry.outline import area
from tapeline.geometry.path import Path
from tapeline.geometry.plane import along
from tapeline.geometry.segments import Arc, Cubic, Line
from tapeline.geometry.simple import about_a_place, by_control_points

N = 60
seeds = st.integers(0, 2**32 - 1).map(np.random.default_rng)


def outline(random, count, wildness):
    """Closed paths of straight lines, arcs and cubics round about a circle: the wilder, the more of them cross themselves."""
    angles = np.sort(random.uniform(0.0, 2.0 * np.pi, (N, count)), axis=1)
    corners = along(angles) * random.uniform(200.0 * (1.0 - min(wildness, 0.9)), 200.0, (N, count, 1))
    corners = corners + random.normal(0.0, 60.0 * wildness, corners.shape)
    segments = []
    for k in range(count):
        p, q = corners[:, k], corners[:, (k + 1) % count]
        kind = random.integers(3)
        if kind == 0:
            segments.append(Line(p, q))
        elif kind == 1:
            bend = random.normal(0.0, 150.0 * wildness, (2, N, 2))
            segments.append(Cubic(np.stack([p, p + (q - p) / 3.0 + bend[0], q - (q - p) / 3.0 + bend[1], q], axis=1)))
        else:
            half, chord = random.uniform(0.05, 0.4 + wildness, N), q - p
            size, lie = np.hypot(*chord.T), np.arctan2(chord[:, 1], chord[:, 0])
            radius = size / 2.0 / np.sin(half)
            centre = (p + q) / 2.0 + (radius * np.cos(half))[:, None] * along(lie + np.pi / 2.0)
            segments.append(Arc(centre, radius, lie - np.pi / 2.0 - half, 2.0 * half))
    return Path(tuple(segments))


@pytest.mark.parametrize("wildness", [0.05, 0.3, 0.8])
@given(random=seeds, count=st.integers(3, 9))
def test_what_control_points_show_to_be_simple_is_simple(wildness, random, count):
    path = outline(random, count, wildness)
    shown, true = by_control_points(path), shapely.is_valid(shapely.polygons(path.ring()))
    assert not (shown & ~true).any()


def test_tame_outlines_are_shown_to_be_simple_and_crossed_ones_never():
    random = np.random.default_rng(4)
    tame = [outline(random, 6, 0.02) for _ in range(10)]
    assert np.mean([by_control_points(path).mean() for path in tame]) > 0.3
    corners = np.array([[[0.0, 0.0], [100.0, 100.0], [100.0, 0.0], [0.0, 100.0]]])
    crossed = Path(tuple(Line(corners[:, k], corners[:, (k + 1) % 4]) for k in range(4)))
    assert not by_control_points(crossed).any()


@pytest.mark.parametrize("wildness", [0.05, 0.3, 0.8])
@given(random=seeds, count=st.integers(3, 9))
def test_a_ring_that_goes_once_round_a_place_is_simple(wildness, random, count):
    rings = outline(random, count, wildness).ring()
    shown = about_a_place(rings, np.zeros((N, 2)), np.sign(area(rings)))
    assert not (shown & ~shapely.is_valid(shapely.polygons(rings))).any()


def test_rings_about_a_place_are_shown_whichever_way_they_run_and_however_often_a_point_is_repeated():
    turns = np.arange(0.0, 2.0 * np.pi, 0.1)
    ring = np.repeat(along(turns) * 100.0 + [30.0, 40.0], 2, axis=0)[None]
    inside, outside = np.array([[30.0, 40.0]]), np.array([[300.0, 40.0]])
    assert about_a_place(ring, inside, np.ones(1)) and about_a_place(ring[:, ::-1], inside, -np.ones(1))
    assert not about_a_place(ring, inside, -np.ones(1)) and not about_a_place(ring, outside, np.ones(1))


def test_a_ring_that_goes_twice_round_or_back_on_its_way_to_the_place_is_not_shown():
    twice = along(np.arange(0.0, 4.0 * np.pi, 0.1))[None] * 100.0
    spiked = np.array(
        [[[100.0, 0.0], [100.0, 100.0], [50.0, 50.0], [100.0, 100.0], [-100.0, 100.0], [-100.0, -100.0], [100.0, -100.0]]]
    )
    assert not about_a_place(twice, np.zeros((1, 2)), np.ones(1)).any()
    assert not about_a_place(spiked, np.zeros((1, 2)), np.ones(1)).any()
