"""Many bodies drafted and finished in one call come out as each of them would alone, and a failing one harms no other."""

from pathlib import Path

import numpy as np
import pytest
from population import bdims

import tapeline
from tapeline.drafting.landmarks import distinct, landmarks
from tapeline.finishing.whole import drafted_whole
from tapeline.session import Session

STYLES = Path(tapeline.__file__).parents[2] / "styles"
ALONE = 1e-9  # mm; what a body's company may do to its places


def women(style, count=6):
    values = bdims().every(260 // count).values
    return {name: np.array(values[name]) for name in style.needed}


def by_body(wholes):
    """body -> (failed, piece and place -> point, what is said)."""
    told = {}
    for whole in wholes:
        for place, body in enumerate(whole.index):
            points = {
                (piece.name, name): point[place] for piece in whole.draft.pattern.pieces for name, point in landmarks(piece).items()
            }
            said = [(one.code, one.title, one.found) for one in whole.diagnostics(place)]
            told[int(body)] = (bool(whole.failed[place]), points, said)
    return told


@pytest.mark.parametrize("name", ["straight_skirt", "corselet_skirt", "six_gore_skirt", "close_bodice", "yoked_skirt"])
def test_company_changes_nothing(name):
    style = Session(keep=True).read(STYLES / f"{name}.style").sound
    measures = women(style)
    spoiled = {measure: np.append(values, values[0]) for measure, values in measures.items()}
    spoiled["waist"][-1] *= 3  # a body that nothing fits
    for girth in {"hip", "bust"} & set(spoiled):
        spoiled[girth][-1] *= 0.2
    together = by_body(drafted_whole(style, spoiled))
    assert together[len(together) - 1][0], "a body that nothing fits was drafted"
    for body in range(len(together) - 1):
        failed, points, said = by_body(drafted_whole(style, {one: values[[body]] for one, values in measures.items()}))[0]
        assert (failed, said) == (together[body][0], together[body][2])
        assert points.keys() == together[body][1].keys()
        for place, point in points.items():
            np.testing.assert_allclose(together[body][1][place], point, rtol=0, atol=ALONE, err_msg=str(place))


def test_a_failure_of_the_draft_is_not_said_again_of_its_allowances():
    style = Session(keep=True).read(STYLES / "straight_skirt.style").sound
    measures = {
        name: values * np.where(np.arange(len(values)) % 2, 1.0, 3.0) if name == "waist" else values
        for name, values in women(style).items()
    }
    for whole in drafted_whole(style, measures):
        for place in np.flatnonzero(whole.draft.failed):
            assert not [one for one in whole.diagnostics(int(place)) if one.code.startswith("T")]


def test_places_have_the_names_of_the_text_and_each_is_kept_once():
    style = Session(keep=True).read(STYLES / "corselet_skirt.style").sound
    wholes = drafted_whole(style, women(style))  # one for each number of back darts
    assert sum(len(whole.index) for whole in wholes) == len(next(iter(women(style).values())))
    for whole in wholes:
        places = landmarks(whole.draft.pattern.piece("front_strength"))
        assert {"top_centre", "hip_side", "dart1_point", "top/side", "bone dart1 start"} <= set(places)
        assert all(point.shape == (whole.draft.pattern.n, 2) for point in places.values())
        kept = distinct(places)
        assert "top_side" in kept and "top/side" not in kept
        assert len({point.tobytes() for point in kept.values()}) == len(kept)
