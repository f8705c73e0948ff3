"""The styles that ship: they check clean, draft for both cards and for real women, and can be drawn.

The women are the first 60 of ANSUR II; `population.py` says what is estimated of their measures.  `test_population.py`
tries all of them.
"""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from population import ansur2

from tapeline.bodies.card import missing, read_card
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.probing.spread import variables_of
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = sorted(standard_folder("styles").glob("*.style"))
CARDS = sorted((standard_folder("styles") / "bodies").glob("*.toml"))


def style_of(path: Path):
    style, diagnostics = read(read_text(path)[0], FolderWorld(path.parent))
    assert not diagnostics, diagnostics
    return style


def population() -> dict[str, np.ndarray]:
    return {measure: values[:60] for measure, values in ansur2().values.items()}


def errors(drafted, failures):
    return [failure for failure in [*drafted.failures, *failures] if failure.severity == "error"]


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("card_path", CARDS, ids=lambda path: path.stem)
def test_drafts_for_the_cards(path, card_path):
    style = style_of(path)
    card, _ = read_card(read_text(card_path)[0], style.measurements, style.doubts)
    assert not missing(card, style.plan().measures, style.measurements)
    (drafted,) = draft(style, {name: np.array([card.values[name]]) for name in style.plan().measures})
    finished, failures = finish(drafted.pattern)
    assert not errors(drafted, failures)
    for piece in finished.pieces:
        net = shapely.remove_repeated_points(shapely.Polygon(piece.piece.stitch_outline().flatten()[0]), 1e-6)
        cut = shapely.Polygon(piece.cut_line[0])
        assert net.is_valid and cut.buffer(0.01).contains(net)


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_drafts_for_real_women(path):
    style, bodies = style_of(path), population()
    for drafted in draft(style, {name: bodies[name] for name in style.plan().measures}):
        _, failures = finish(drafted.pattern)
        assert not errors(drafted, failures), [f.diagnostic(int(np.argmax(f.bodies))) for f in errors(drafted, failures)]
        for row in drafted.ledgers.seams:
            longer = np.minimum(row.difference, 0.0) if row.kind == "gathered" else row.difference  # gathers take any fullness
            assert np.abs(longer).max() <= row.tolerance


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_clients_who_measure_in_inches_get_defaults_in_eighths(path):
    choices = [one for one in variables_of(style_of(path), {}, "in") if one.choice and one.word == "length"]
    odd = {one.name: one.usual / 25.4 for one in choices if abs(one.usual / 25.4 * 8 - round(one.usual / 25.4 * 8)) > 1e-6}
    assert not odd


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_every_line_runs_on_across_the_seams(path):
    """Necklines, armholes, waists and hems, at seams, folds and darts: no corner but those that the style means."""
    style, bodies = style_of(path), population()
    for drafted in draft(style, {name: bodies[name] for name in style.plan().measures}):
        assert not [(row.one, row.other, row.across) for row in drafted.ledgers.corners if row.corner.any()]


def test_the_corselet_skirt_holds_its_waist():
    """Held legs: what is left at the waist is what the rule intended (common practice for boned darts).  Behind there are as many
    darts as the intake asks, 1 in each, three at most, or none where the seam takes it."""
    style, bodies = style_of(standard_folder("styles") / "corselet_skirt.style"), population()
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
    style, bodies = style_of(standard_folder("styles") / "corselet_skirt.style"), population()
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
    style, bodies = style_of(standard_folder("styles") / "straight_skirt.style"), population()
    drafts = draft(style, {name: bodies[name] for name in style.plan().measures})
    assert sum(len(drafted.index) for drafted in drafts) == len(bodies["waist"])
    for drafted in drafts:
        seam = next(row for row in drafted.ledgers.seams if "band" in row.other)
        assert np.abs(seam.length_one - (bodies["waist"][drafted.index] + 20.0)).max() < 0.001


def test_half_circle_by_closed_form():
    """Radius W / pi, sweep pi (r + L): elementary geometry, see tests/worked for the published radii."""
    style, bodies = style_of(standard_folder("styles") / "half_circle_skirt.style"), population()
    (drafted,) = draft(style, {"waist": bodies["waist"]}, {"waist_ease": 0.0, "length": 600.0})
    piece = drafted.pattern.piece("skirt")
    radius = bodies["waist"] / np.pi
    assert np.allclose(piece.edge("waist").closed_length() * 2, bodies["waist"], atol=1e-6)
    assert np.allclose(piece.edge("hem").closed_length() * 2, np.pi * (radius + 600.0), atol=1e-6)


def test_the_zip_ends_below_the_waist():
    """The bar is drawn at the last point of the mark: the lower end of the opening."""
    style, bodies = style_of(standard_folder("styles") / "straight_skirt.style"), population()
    drafts = draft(style, {name: bodies[name] for name in style.plan().measures})
    assert sum(len(drafted.index) for drafted in drafts) == len(bodies["waist"])
    for drafted in drafts:
        (mark,) = [mark for mark in drafted.pattern.piece("back").marks if mark.kind == "zip"]
        assert np.allclose(mark.path.end()[:, 1], bodies["waist_to_hip"][drafted.index])
        assert (mark.path.end()[:, 1] > mark.path.start()[:, 1]).all()
