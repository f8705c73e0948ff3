"""The styles that ship: they check clean, draft for both cards and for real women, and can be drawn.

The women are the first 60 of ANSUR II; `population.py` says what is estimated of their measures.  `test_population.py`
tries all of them.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import numpy as np
import pytest
import shapely
from population import ansur2
from tried import FIRST, first_women, style_of

from tapeline.bodies.card import missing, read_card
from tapeline.drafting.run import draft
from tapeline.finishing.whole import drafted_whole
from tapeline.probing.spread import variables_of
from tapeline.source.world import read_text, standard_folder

STYLES = sorted(standard_folder("styles").glob("*.style"))
CARDS = [standard_folder("styles") / "bodies" / f"{name}.toml" for name in ("maud", "nell")]  # whose sides are alike


def population() -> dict[str, np.ndarray]:
    return {measure: values[:FIRST] for measure, values in ansur2().values.items()}


@lru_cache(maxsize=2)
def for_the_cards(name: str):
    """A style drafted and finished for all cards at once: (whole, place) of each."""
    style, values = style_of(name), {}
    for path in CARDS:
        card, _ = read_card(read_text(path)[0], style.measurements, style.doubts)
        assert not missing(card, style.plan().measures, style.measurements)
        for measure in style.plan().measures:
            values.setdefault(measure, []).append(card.values[measure])
    wholes = drafted_whole(style, values)
    return {CARDS[number]: (whole, place) for whole in wholes for place, number in enumerate(whole.index.tolist())}


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("card_path", CARDS, ids=lambda path: path.stem)
def test_drafts_for_the_cards(path, card_path):
    whole, place = for_the_cards(path.stem)[card_path]
    assert not [failure for failure in whole.failures if failure.severity == "error" and failure.bodies[place]]
    for piece in whole.finished.pieces:
        net = shapely.remove_repeated_points(shapely.Polygon(piece.piece.stitch_outline().flatten()[place]), 1e-6)
        cut = shapely.Polygon(piece.cut_line[place])
        assert net.is_valid and cut.buffer(0.01).contains(net)


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_drafts_for_real_women(path):
    for tried in first_women(path.stem):
        found = tried.failures("error")
        assert not found, [f.diagnostic(int(tried.places[np.argmax(f.bodies[tried.places])])) for f in found]
        for row in tried.whole.draft.ledgers.seams:
            longer = np.minimum(row.difference, 0.0) if row.kind == "gathered" else row.difference  # gathers take any fullness
            assert (np.abs(longer) <= row.tolerance)[tried.places].all()


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_clients_who_measure_in_inches_get_defaults_in_eighths(path):
    choices = [one for one in variables_of(style_of(path.stem), {}, "in") if one.choice and one.word == "length"]
    odd = {one.name: one.usual / 25.4 for one in choices if abs(one.usual / 25.4 * 8 - round(one.usual / 25.4 * 8)) > 1e-6}
    assert not odd


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_every_line_runs_on_across_the_seams(path):
    """Necklines, armholes, waists and hems, at seams, folds and darts: no corner but those that the style means."""
    for whole, places, _ in first_women(path.stem):
        assert not [(row.one, row.other, row.across) for row in whole.draft.ledgers.corners if row.corner[places].any()]


def test_the_corselet_skirt_holds_its_waist():
    """Held legs: what is left at the waist is what the rule intended (common practice for boned darts).  Behind there are as many
    darts as the intake asks, 1 in each, three at most, or none where the seam takes it."""
    style, bodies = style_of("corselet_skirt"), population()
    for back_dart in (1.0, 0.0):
        for drafted in draft(style, {name: bodies[name] for name in style.plan().measures}, {"back_dart": back_dart}):
            waist = next(row for row in drafted.ledgers.girths if row.level == "waist")
            assert np.allclose(waist.sewn, drafted.run.measures["waist"] - 10.0, atol=0.01, rtol=0.0)
            values, back = drafted.run.filled, drafted.pattern.piece("back")
            behind = values[drafted.plan.values["behind"].slot]
            assert np.all(len(back.darts()) == (np.minimum(3.0, np.ceil(behind / 25.0 - 1e-9)) if back_dart else 0.0))
            for dart in back.darts():
                assert (dart.asked <= 25.0 + 1e-6).all()
            assert not drafted.failed.any()


def test_the_side_of_the_corselet_skirt_takes_half_of_the_shaping_at_most():
    """Half of what half the skirt loses from hip to waist, alike in front and behind (abc-style.org, base construction of a
    skirt), where the back darts hold what is left to them; and no corner on the hip, where the side is plumb."""
    style, bodies = style_of("corselet_skirt"), population()
    for drafted in draft(style, {name: bodies[name] for name in style.plan().measures}):
        values, pieces = drafted.run.filled, [drafted.pattern.piece(name) for name in ("front", "back")]
        spare = 2.0 * (values[drafted.plan.values["hip_quarter"].slot] - values[drafted.plan.values["waist_quarter"].slot])
        at_side = [piece.points["hip_side"][:, 0] - piece.points["waist_side"][:, 0] for piece in pieces]
        assert np.allclose(*at_side)
        held = values[drafted.plan.values["behind"].slot] <= 75.0
        assert (np.stack(at_side)[:, held] <= spare[held] / 4.0 + 1e-6).all()
        for piece in pieces:
            (side,) = piece.edge("side").strips
            for before, after in pairwise(side.segments):
                one, other = before.direction(1.0), after.direction(0.0)
                turn = np.abs(np.arcsin((one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]) / np.hypot(*one.T) / np.hypot(*other.T)))
                assert np.degrees(turn).max() < 0.1


def test_the_waistband_is_as_long_as_the_closed_waist():
    style, bodies = style_of("straight_skirt"), population()
    drafts = draft(style, {name: bodies[name] for name in style.plan().measures})
    assert sum(len(drafted.index) for drafted in drafts) == len(bodies["waist"])
    for drafted in drafts:
        seam = next(row for row in drafted.ledgers.seams if "band" in row.other)
        assert np.abs(seam.length_one - (bodies["waist"][drafted.index] + 20.0)).max() < 0.001


def test_half_circle_by_closed_form():
    """Radius W / pi, sweep pi (r + L): elementary geometry, see tests/worked for the published radii."""
    style, bodies = style_of("half_circle_skirt"), population()
    (drafted,) = draft(style, {"waist": bodies["waist"]}, {"waist_ease": 0.0, "length": 600.0})
    piece = drafted.pattern.piece("skirt")
    radius = bodies["waist"] / np.pi
    assert np.allclose(piece.edge("waist").closed_length() * 2, bodies["waist"], atol=1e-6)
    assert np.allclose(piece.edge("hem").closed_length() * 2, np.pi * (radius + 600.0), atol=1e-6)


def test_the_zip_ends_below_the_waist():
    """The bar is drawn at the last point of the mark: the lower end of the opening."""
    style, bodies = style_of("straight_skirt"), population()
    drafts = draft(style, {name: bodies[name] for name in style.plan().measures})
    assert sum(len(drafted.index) for drafted in drafts) == len(bodies["waist"])
    for drafted in drafts:
        (mark,) = [mark for mark in drafted.pattern.piece("back").marks if mark.kind == "zip"]
        assert np.allclose(mark.path.end()[:, 1], bodies["waist_to_hip"][drafted.index])
        assert (mark.path.end()[:, 1] > mark.path.start()[:, 1]).all()
