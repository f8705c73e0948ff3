"""Lays: nothing overlaps, nothing is missing, nothing leaves the cloth, and published lengths of cloth come out.

The outside witness is shapely: it knows the polygons only, not the strips by which they were laid.  Sources of the cloth
lengths: a costume hand-out on skirts from straight lengths (webpages.charter.net/lara_the_lacemaker/altskirt1.html),
Yardage requirement for a 3 tier skirt (annasmountaintreasures.blogspot.com, 2013), Menjahit Tingkat Dasar no. 10, p. 34
(fliphtml5.com/bwgzh/dflh).  Other shapes are made up.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely

from tapeline.paper.cutting.cutting_list import quartered, whole
from tapeline.paper.cutting.lay import MOST, Cloth, Part, area_of, lay_folded, lay_open, least

INCH = 25.4


def box(name: str, across: float, along: float, lefts: int, rights: int = 0, fold: bool = False) -> Part:
    """A rectangle of this size; on the fold, of half this width."""
    ring = np.array([[0.0, 0.0], [across, 0.0], [across, along], [0.0, along]])
    half = ring * [0.5, 1.0] if fold else None
    return Part(name, ring, np.array([across / 4, along / 2]), lefts, rights, half)


def flag(name: str, lefts: int, rights: int = 0) -> Part:
    """A shape that is not its own mirror image, either way up."""
    ring = np.array([[0.0, 0.0], [300.0, 0.0], [300.0, 120.0], [90.0, 200.0], [90.0, 500.0], [0.0, 620.0]])
    return Part(name, ring, np.array([50.0, 100.0]), lefts, rights)


def wedge(name: str, lefts: int, rights: int = 0) -> Part:
    ring = np.array([[0.0, 0.0], [400.0, 0.0], [0.0, 600.0]])
    return Part(name, ring, np.array([80.0, 80.0]), lefts, rights)


def assert_sound(lay, parts) -> None:
    """Every piece is there as often as wanted, in its own shape, on the cloth, and clear of all others."""
    polygons = [shapely.Polygon(one.ring) for one in lay.laid]
    for one, other in combinations(polygons, 2):
        assert one.intersection(other).area < 1.0  # mm2
    for one, polygon in zip(lay.laid, polygons, strict=True):
        left, top, right, low = polygon.bounds
        assert left >= -1e-6 and top >= -1e-6 and right <= lay.width + 1e-3 and low <= lay.length + 1e-3
        part = next(part for part in parts if part.name == one.part)
        shape = part.half if one.on_fold else part.ring
        if one.mirrored:
            shape = shape * [-1.0, 1.0]
        if one.turned:
            shape = -shape
        moved = one.ring - shape
        assert np.abs(moved - moved[0]).max() < 1e-6  # the piece itself, only shifted
        assert polygon.contains(shapely.Point(one.label))
        assert not one.on_fold or np.isclose(left, 0.0)
    for part in parts:
        assert sum(one.copies for one in lay.laid if one.part == part.name) == part.times
    assert lay.length >= least(parts, Cloth(lay.width * (2 if lay.kind == "folded" else 1))) - 1e-6
    assert any(np.isclose(polygon.bounds[3], lay.length, atol=1e-3) for polygon in polygons)


PARTS = [box("band", 80, 900, 1), flag("side", 1, 1), box("front", 500, 700, 1, fold=True), wedge("gusset", 2, 2), flag("strap", 3)]


@pytest.mark.parametrize("nap", [False, True])
@pytest.mark.parametrize("width", [820.0, 1143.0, 1400.0, 1501.0])
def test_lays_are_sound(width, nap):
    cloth = Cloth(width, nap)
    for lay in (lay_folded(PARTS, cloth), lay_open(PARTS, cloth)):
        assert lay.feasible
        assert_sound(lay, PARTS)
        assert not nap or not any(one.turned for one in lay.laid)
    assert not any(one.mirrored for one in lay_folded(PARTS, cloth).laid)
    opened = [(one.part, one.mirrored) for one in lay_open(PARTS, cloth).laid]
    assert opened.count(("side", True)) == opened.count(("side", False)) == 1
    assert opened.count(("gusset", True)) == 2 and opened.count(("strap", True)) == 0


def test_overlap_would_be_seen():
    lay = lay_open(PARTS, Cloth(1400.0))
    moved = lay.laid[0]._replace(ring=lay.laid[1].ring + 1.0)
    with pytest.raises(AssertionError):
        assert_sound(lay._replace(laid=(moved, *lay.laid[1:])), PARTS)


def test_folded_cloth_gives_pairs():
    """What is its own mirror image is cut two at a time; what is not takes a place for each that is cut alike."""

    def places(part, nap=False):
        return [one.copies for one in lay_folded([part], Cloth(1400.0, nap)).laid]

    assert places(box("band", 80, 900, 4)) == [2, 2]
    assert places(box("band", 80, 900, 3)) == [2, 1]
    assert places(flag("side", 2, 2)) == [2, 2]
    assert places(flag("strap", 3)) == [1, 1, 1]
    # A trapezium on its side is its own image only turned by half a turn, which nap forbids.
    ring = np.array([[0.0, 0.0], [200.0, 60.0], [200.0, 240.0], [0.0, 300.0]])
    part = Part("yoke", ring, np.array([90.0, 150.0]), 2)
    assert places(part) == [2] and places(part, nap=True) == [1, 1]


def test_without_nap_wedges_lie_head_to_foot():
    """Two wedges 400 wide at one end lie in 400 by 600 and a strip; with nap they need two lengths or two widths."""
    parts = [wedge("gusset", 2)]
    assert lay_open(parts, Cloth(420.0, False)).length < 650.0
    assert lay_open(parts, Cloth(420.0, True)).length > 650.0


def test_halves_thirds_and_quarters_of_the_width_lie_side_by_side():
    for parts in (2, 3, 4):
        for width in (900.0, 1143.0, 1400.0, 1371.6):
            lay = lay_open([box("length", width / parts, 500, parts)], Cloth(width))
            assert lay.length == 500.0


def test_a_piece_too_wide_has_no_lay():
    lay = lay_folded([box("cape", 1300, 500, 1)], Cloth(1400.0))
    assert not lay.feasible and lay.too_wide == ("cape",) and lay.laid == ()
    assert lay_open([box("cape", 1300, 500, 1)], Cloth(1400.0)).length == 500.0
    assert lay_open([box("cape", 1300, 500, 1)], Cloth(1300.0)).length == 500.0  # as wide as the cloth


def test_a_quarter_turn_keeps_shape_and_hand():
    part = flag("side", 1)
    ring = quartered(part).ring
    assert np.allclose(ring.min(axis=0), 0.0) and np.allclose(ring.max(axis=0), part.ring.max(axis=0)[::-1])
    signed = [float(np.sum(r[:, 0] * np.roll(r[:, 1], -1) - r[:, 1] * np.roll(r[:, 0], -1))) for r in (part.ring, ring)]
    assert np.isclose(*signed)  # turned, not mirrored
    folded = quartered(box("front", 500, 700, 1, fold=True))
    assert folded.half is None and shapely.Polygon(folded.ring).contains(shapely.Point(folded.label))


def test_a_half_opened_out():
    """Half a hexagon and its image, against shapely's own mirror."""
    half = np.array([[0.0, 0.0], [40.0, 10.0], [70.0, 60.0], [30.0, 100.0], [0.0, 100.0]])
    ring = whole(half, np.array([0.0, 0.0]), np.array([0.0, 100.0]))
    image = shapely.affinity.scale(shapely.Polygon(half), xfact=-1, origin=(0, 0))
    both = shapely.union_all([shapely.Polygon(half), image])
    assert shapely.Polygon(ring).symmetric_difference(both).area < 1e-6
    assert np.isclose(area_of(ring), both.area)


def test_too_many_pieces_are_not_tried():
    assert not lay_open([box("petal", 30, 40, MOST + 1)], Cloth()).feasible
    assert lay_open([box("petal", 30, 40, MOST)], Cloth()).feasible


# ------------------------------------------------------------------------------------- published lengths of cloth


def test_skirts_of_straight_lengths():
    """The hand-out: lengths of 49 in of cloth 45 wide; two take 98 in, three 147."""
    for lengths, printed in ((2, 98.0), (3, 147.0)):
        lay = lay_open([box("length", 45 * INCH, 49 * INCH, lengths)], Cloth(45 * INCH))
        assert round(lay.length / INCH, 3) == printed
        assert round(least([box("length", 45 * INCH, 49 * INCH, lengths)], Cloth(45 * INCH)) / INCH, 3) == printed


def test_skirt_of_three_tiers():
    """36 in long: 2, 4 and 8 cuts of 13 in across cloth 45 wide, and 5 in for the band, make 187 in."""
    parts = [box(f"tier {k}", 45 * INCH, 13 * INCH, count) for k, count in enumerate((2, 4, 8))]
    lay = lay_open([*parts, box("band", 45 * INCH, 5 * INCH, 1)], Cloth(45 * INCH))
    assert len(lay.laid) == 15 and round(lay.length / INCH, 3) == 187.0


def test_narrow_skirt_in_wide_cloth():
    """The sources' rule: one length where half the hip and its seams lie in the (folded) width, else two.

    Hip 40, seams of 4 in the half and a length of 45 are chosen by us.
    """
    parts = [box("front", 24 * INCH, 45 * INCH, 1, fold=True), box("back", 12 * INCH, 45 * INCH, 1, 1)]
    assert round(lay_folded(parts, Cloth(54 * INCH)).length / INCH, 3) == 45.0
    assert round(lay_folded(parts, Cloth(44 * INCH)).length / INCH, 3) == 90.0


def test_three_tiers_from_the_printed_cloth():
    """Menjahit Tingkat Dasar: tiers of 32 by 15, 64 by 20 and 128 by 25 cm, each cut twice, from 150 cm of 115 wide.

    The lowest tier is wider than the cloth and can only be laid across it; then 128 cm will do, 22 under what is printed.
    """
    sizes = {"upper": (320, 150), "middle": (640, 200), "lower": (1280, 250)}
    parts = [box(name, *size, 2) for name, size in sizes.items()]
    cloth = Cloth(1150.0)
    assert lay_open(parts, cloth).too_wide == ("lower",)
    parts[2] = quartered(parts[2])
    lay = lay_open(parts, cloth)
    assert_sound(lay, parts)
    assert lay.length == 1280.0 <= 1500.0
