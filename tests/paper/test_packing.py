"""Pieces on tiles: never over one another, never cut by more page edges than their size asks for, always the same."""

import math

import numpy as np
import pytest
import shapely
from drafted import drafted
from hypothesis import given, settings
from hypothesis import strategies as st

from tapeline.paper.house.paper_sizes import PAPERS
from tapeline.paper.sheets.packing import Footprint, Frame, pack, span
from tapeline.paper.sheets.printed import piece_groups
from tapeline.paper.sheets.tiling import lay

FRAMES = [Frame(190.0, 259.4, 10.0), Frame(190.0, 259.4, 0.0), Frame(277.0, 400.0, 15.0), Frame(259.4, 190.0, 10.0)]


def box_shape(width: float, height: float) -> Footprint:
    return Footprint(width, height, (np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]]),))


def ring_shape(points) -> Footprint:
    ring = np.array(points, dtype=float)
    ring -= ring.min(axis=0)
    return Footprint(*ring.max(axis=0), (ring,))


@st.composite
def shapes(draw):
    side = st.floats(5, 600)
    w, h = draw(side), draw(side)
    a, b = draw(st.floats(0.1, 0.9)) * w, draw(st.floats(0.1, 0.9)) * h
    kind = draw(st.sampled_from(["box", "triangle", "angle", "kite"]))
    return {
        "box": lambda: box_shape(w, h),
        "triangle": lambda: ring_shape([(0, 0), (w, b), (a, h)]),
        "angle": lambda: ring_shape([(0, 0), (w, 0), (w, b), (a, b), (a, h), (0, h)]),
        "kite": lambda: ring_shape([(a, 0), (w, b), (a, h), (0, b)]),
    }[kind]()


def laid(shape: Footprint, place) -> shapely.Polygon:
    ring = shape.rings[0]
    if place.turned:
        ring = np.array([shape.width, shape.height]) - ring
    return shapely.Polygon(ring + [place.x, place.y])


@given(st.lists(shapes(), min_size=1, max_size=6), st.sampled_from(FRAMES))
@settings(max_examples=40, deadline=None)
def test_pieces_lie_apart_and_are_cut_no_more_than_need_be(some, frame):
    packing = pack(some, frame)
    assert packing == pack(some, frame)
    polygons = [laid(shape, place) for shape, place in zip(some, packing.places, strict=True)]
    for k, one in enumerate(polygons):
        assert one.bounds[0] >= -1e-9 and one.bounds[1] >= -1e-9
        for other in polygons[:k]:
            assert one.distance(other) > 1.0
    for shape, place in zip(some, packing.places, strict=True):
        for start, size, tile, step in (
            (place.x, shape.width, frame.width, frame.across),
            (place.y, shape.height, frame.height, frame.down),
        ):
            first, last = span(start, size, tile, step)
            assert start >= first * step - 1e-6 and start + size <= last * step + tile + 1e-6
            needed = 1 if size <= tile else 1 + math.ceil((size - tile) / step - 1e-9)
            assert last - first + 1 == needed
    assert packing.pages >= packing.least >= 1


@given(st.lists(shapes(), min_size=1, max_size=5))
@settings(max_examples=15, deadline=None)
def test_on_a_roll_all_lie_in_as_few_strips_as_the_widest_needs(some):
    frame = Frame(878.4, 5044.0, 10.0)
    packing = pack(some, frame, lengths=True)
    for shape, place in zip(some, packing.places, strict=True):
        assert place.x + shape.width <= frame.width + 1e-6


def test_what_comes_first_is_not_turned_and_stands_at_the_top():
    triangle = ring_shape([(0, 0), (150, 0), (75, 200)])
    packing = pack([box_shape(150, 60), triangle, triangle, triangle], FRAMES[0], first=2)
    assert packing.places[0][:2] == (0.0, 0.0)
    assert not packing.places[0].turned and not packing.places[1].turned


def test_small_pieces_share_a_page():
    packing = pack([box_shape(80, 100)] * 4, FRAMES[0])
    assert packing.pages == packing.least == 1


def test_a_piece_as_large_as_a_tile_is_on_one():
    assert pack([box_shape(190.0, 259.4)] * 3, FRAMES[0]).pages == 3
    assert pack([box_shape(190.1, 259.4)], FRAMES[0]).pages == 2


def test_turning_a_triangle_by_half_a_turn_saves_a_page():
    wedge = ring_shape([(0, 0), (180, 0), (180, 20), (60, 250), (0, 250)])
    upright = pack([wedge] * 2, FRAMES[1], turns=False)
    turned = pack([ring_shape([(0, 0), (170, 0), (5, 250), (0, 250)])] * 2, FRAMES[1])
    assert upright.pages == 2
    assert turned.pages == 1 and [place.turned for place in turned.places].count(True) == 1


def test_nothing_to_pack():
    assert pack([], FRAMES[0]).places == ()


@pytest.mark.parametrize(
    "style, body", [("corselet_skirt", "nell"), ("half_circle_skirt", "maud"), ("close_bodice", "maud"), ("six_gore_skirt", "maud")]
)
def test_how_far_from_the_lower_bound(style, body):
    """The bound is reckoned here once more, from shapely's areas of the cut lines and the longer side of each piece.

    The figure 1.8 is our own, stated at the head of `packing`; nothing published is known to compare it with.
    """
    work = drafted(style, body)
    pieces = piece_groups(work)
    width, height = PAPERS["A4 and Letter alike"].room()
    area = sum(shapely.Polygon(finished.cut_line[0]).area for finished in work.finished.pieces)
    least = math.ceil(area / (width * height))
    found = [lay(pieces, frame) for frame in (Frame(width, height, 10.0), Frame(height, width, 10.0))]
    assert {one.least for one in found} == {least}
    assert least <= min(len(one.tiles) for one in found) <= 1.8 * least
