"""The garment at a glance: front and back sketched from the pieces, and the pieces, on one sheet."""

import itertools

import numpy as np
import pytest
from drafted import drafted

from tapeline.paper.drawing.model import Stroke, Text, box_of, each_item, text_plate
from tapeline.paper.pictures.assembled import Half
from tapeline.paper.pictures.garment import HIGH, WIDE, draw_garment
from tapeline.source.world import standard_folder

SHIPPED = sorted(path.stem for path in standard_folder("styles").glob("*.style"))


@pytest.mark.parametrize("style", SHIPPED)
def test_the_sheet_of_every_style(style):
    """All words stand apart and on the sheet, and every piece is on it once."""
    work = drafted(style, "maud")
    drawing = draw_garment(work)
    left, top, right, bottom = box_of(drawing.items)
    assert left >= 0.0 and top >= 0.0 and right <= WIDE and bottom <= HIGH
    plates = [text_plate(item).corners() for item in each_item(drawing.items) if isinstance(item, Text)]
    for one, other in itertools.combinations(plates, 2):
        assert (one.max(axis=0) <= other.min(axis=0) + 0.01).any() or (other.max(axis=0) <= one.min(axis=0) + 0.01).any()
    shown = [group.name for group in drawing.items if getattr(group, "piece", False)]
    assert sorted(shown) == sorted(finished.piece.name for finished in work.cut)
    boxes = [box_of(group.items) for group in drawing.items if not isinstance(group, (Stroke, Text))]
    for one, other in itertools.combinations(boxes, 2):
        assert one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


@pytest.mark.parametrize("style", SHIPPED)
def test_pieces_meet_along_their_upright_seams(style):
    """Row by row, the edge of a piece lies on the edge of the piece toward the centre that it is sewn to."""
    pattern = drafted(style, "maud").finished.pattern
    for worn in ("front", "back"):
        for one in Half(pattern, 0, worn).laid.values():
            if one.beside is None or one.gathered < 1.0:
                continue
            parent, edge, own = one.beside
            met = 0
            for y in one.rows[1:-1]:
                mine, theirs = one.crossings(own, y), parent.crossings(edge, y)
                if mine and theirs:
                    met += 1
                    assert one.closed(np.array([[mine[0], y]]))[0, 0] == pytest.approx(
                        parent.closed(np.array([[theirs[-1], y]]))[0, 0], abs=0.01
                    )
            assert met > 0.5 * len(one.rows)


@pytest.mark.parametrize("style", ["straight_skirt", "a_line_skirt", "vented_pencil_skirt", "corselet_skirt", "six_gore_skirt"])
def test_below_the_darts_a_sketch_is_as_wide_as_the_pieces(style):
    """At the hip the sketches of front and back, both halves, have the girth that the ledger tells."""
    work = drafted(style, "maud")
    pattern, girth = work.finished.pattern, next(row.sewn[0] for row in work.ledgers.girths if row.level == "hip")
    around = 0.0
    for worn, mirrored in itertools.product(("front", "back"), (False, True)):
        half = Half(pattern, 0, worn, mirrored)
        ends = []
        for one in half.laid.values():
            if "hip" not in one.piece.levels:  # a shaped waistband
                continue
            moved = one.flat.outline[:, 1].min() - one.piece.stitch_outline().flatten()[0][:, 1].min()
            y = float(one.piece.levels["hip"][0]) + moved
            for edge in one.piece.edges:
                ends += [float(one.closed(np.array([[x, y]]))[0, 0]) for x in one.crossings(edge.name, y)]
        around += max(ends) - max(0.0, min(ends))
    assert around == pytest.approx(girth, abs=1.0)


def test_a_sleeve_hangs_from_the_armhole_it_is_set_in_and_nothing_lies_over_the_centre():
    pattern = drafted("close_bodice", "maud").finished.pattern
    half = Half(pattern, 0, "front")
    assert {name for name, one in half.laid.items() if one.still} == {"sleeve"}
    for line in half.lines():
        assert line.points[:, 0].min() > -1.0 and np.isfinite(line.points).all()


def test_what_is_for_a_lining_or_a_facing_is_among_the_pieces_alone():
    work = drafted("waisted_dress", "maud")
    names = {finished.piece.name for finished in work.cut}
    seen = {name for worn in ("front", "back") for name in Half(work.finished.pattern, 0, worn).laid}
    assert {"front_facing", "back_facing"} <= names - seen
    assert {"front", "back", "skirt_front", "skirt_back"} <= seen
