"""Zips are counted once: on both sides of an opening, from piece to piece, through layers; and not where they only lie near."""

import numpy as np
import pytest
from changing_dress import BODY, DRESS

from tapeline import Session

LONG = 400.0  # the bodice's centre


def zips(text):
    reading = Session().read(text)
    assert reading.ok, reading.diagnostics
    drafts = reading.draft([BODY])
    assert drafts.ok, drafts.diagnostics
    draft = drafts.bodies[0]
    return [(row.places, row.edges, float(row.opening[draft.place])) for row in draft.ledgers.zips]


def dress(bodice="zip on centre from B0 to B1", skirt="zip on centre from S0 to zip_end", more=""):
    return DRESS.replace("{bodice}", bodice).replace("{skirt}", skirt) + more


def test_a_zip_through_the_waist_is_one_and_as_long_as_both_parts():
    assert zips(dress()) == [((("bodice", "centre"), ("skirt", "centre")), 2, pytest.approx(LONG + 200.0))]


def test_one_that_ends_above_the_waist_is_another():
    found = zips(dress("point short B1 up 2 cm\n    zip on centre from B0 to short"))
    assert [(len(places), opening) for places, _, opening in found] == [(1, pytest.approx(LONG - 20.0)), (1, pytest.approx(200.0))]


def test_one_at_the_other_end_of_the_waist_is_another():
    found = zips(dress(skirt="point side_end S3 down 15 cm\n    zip on side from S3 to side_end"))
    assert [(places, opening) for places, _, opening in found] == [
        ((("bodice", "centre"),), pytest.approx(LONG)),
        ((("skirt", "side"),), pytest.approx(150.0)),
    ]


def test_turning_a_piece_over_changes_nothing():
    assert zips(dress(more="")) == zips(dress("zip on centre from B0 to B1\n    mirror"))


def test_marks_on_both_sides_of_a_seam_are_one():
    fellow = 'piece fellow "Fellow" from bodice\n'
    apart = zips(dress("zip on side from B3 to B2", "", fellow))
    assert [places for places, _, _ in apart] == [(("bodice", "side"),), (("fellow", "side"),)]
    (row,) = zips(dress("zip on side from B3 to B2", "", fellow + "sew bodice.side to fellow.side\n"))
    assert row == ((("bodice", "side"), ("fellow", "side")), 4, pytest.approx(LONG))


def test_a_lining_has_no_zip_of_its_own():
    found = zips(dress(more='piece lining "Lining" from bodice\n    cut 2 for "lining"\n'))
    assert [places for places, _, _ in found] == [(("bodice", "centre"), ("skirt", "centre"))]


def test_a_zip_that_only_a_lining_has_is_told():
    text = dress("", "", 'piece lining "Lining" from bodice\n    cut 2 for "lining"\n    zip on centre from B0 to B1\n')
    assert [places for places, _, _ in zips(text)] == [(("lining", "centre"),)]


def test_a_zip_on_a_foundation_is_that_of_what_is_made_from_it():
    text = dress().replace('piece skirt "Skirt"', 'foundation ground "Ground"') + "piece skirt from ground\n"
    assert zips(text) == zips(dress())


def test_every_body_has_its_own_length():
    reading = Session().read(dress())
    drafts = reading.draft([{"hip": 900.0, "depth": 150.0}, {"hip": 1000.0, "depth": 230.0}])
    lengths = [float(draft.ledgers.zips[0].opening[draft.place]) for draft in drafts]
    assert np.allclose(lengths, [LONG + 150.0, LONG + 230.0])
