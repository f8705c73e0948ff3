"""Published size tables drafted in several styles, the growth of the pieces held to published grades.

Sources of the grades:
- A quarter of the pattern takes a quarter of a girth grade: exercise on CS 151-50 at fashion-incubator.com.
- 4 cm from size to size, 5 cm at the largest: uk_dressmaker (Cyndy Kitt, Bone Couture); 1, 1, 1 1/2, 2 in and a back length of 1/4 in:
  the US home-sewing chart (sewingscholar.blogspot.com, February 2011).
- A five-gored skirt a size larger: half of the waist's difference, on the half pattern, is shared by all gores but the front one, and
  added all the way down on the back edge: Rosenfeld, The Practical Designer, Lesson 120, 1911.  Its waists are 25 and 26 in.
- Radius of a half circle: the waist divided by pi, by geometry.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from size_tables import size_table
from tapeline.session import Session
from tapeline.sizing.growth import growth_of, stacks_of
from tapeline.source.diagnostics import render
from tapeline.source.world import standard_folder

WORKED = Path(__file__).parents[1] / "worked"


def run_of(style, table, lender=None, settings=()):
    home = standard_folder("styles")
    reading = Session(keep=True).read(style if isinstance(style, Path) else home / f"{style}.style")
    body = home / "bodies" / f"{lender}.toml" if lender else None
    made = reading.draft_sizes(size_table(table), lender=body, choices=settings)
    assert made.ok, "\n".join(map(render, made.diagnostics))
    return made.run()


@cache
def grown(style, table, lender=None):
    """(run, {(piece, place): steps (S - 1, 2) in millimetres})."""
    run = run_of(style, table, lender)
    stacks, _ = stacks_of(run)
    return run, {(piece, row.place): row.increments for piece in run.pieces for row in growth_of(run, piece, stacks[piece])}


@pytest.mark.parametrize("style", ["straight_skirt", "a_line_skirt", "wrap_skirt", "vented_pencil_skirt"])
def test_a_girth_step_of_4_cm_gives_1_cm_at_each_quarter(style):
    """Also the last step of the table, of 5 cm, gives 1.25 cm.  Down nothing moves but what follows a length."""
    run, steps = grown(style, "uk_dressmaker", "maud")
    assert np.diff(run.values("hip")) / 10 == pytest.approx([4, 4, 4, 4, 5])  # as the chart has it
    quarters = {place: moved for place, moved in steps.items() if place[1] == "hip_side" and len(moved)}
    assert len(quarters) >= 2
    for place, moved in quarters.items():
        way = -1 if place[0] == "under_lining" else 1  # which is drawn turned over
        assert way * moved[:, 0] / 10 == pytest.approx([1, 1, 1, 1, 1.25], abs=1e-3), place
        assert moved[:, 1] == pytest.approx(np.zeros(5), abs=1e-3), place


def test_ease_that_is_a_share_of_the_girth_grows_with_it():
    """The corselet skirt has 5 % of the hip as ease, so its quarters take a quarter of the grade and 5 % of that."""
    run, steps = grown("corselet_skirt", "uk_dressmaker", "maud")
    for piece in ("front", "back"):
        assert steps[piece, "hip_side"][:, 0] == pytest.approx(1.05 * np.diff(run.values("hip")) / 4, abs=1e-3)


def test_uneven_published_grades_come_through_by_quarters():
    """Hip of the US home-sewing chart: steps of 1, 1, 1 1/2, 2, 2, 2, 2 in; a quarter of each at the side of each quarter."""
    run, steps = grown("straight_skirt", "us_home_sewing_misses", "nell")
    assert np.diff(run.values("hip")) / 25.4 == pytest.approx([1, 1, 1.5, 2, 2, 2, 2])
    for piece in ("front", "back"):
        assert steps[piece, "hip_side"][:, 0] / 25.4 == pytest.approx([0.25, 0.25, 0.375, 0.5, 0.5, 0.5, 0.5], abs=1e-4)


def test_a_waistband_takes_the_whole_grade():
    run, steps = grown("straight_skirt", "uk_dressmaker", "maud")
    assert steps["band", "seam_end"][:, 0] == pytest.approx(np.diff(run.values("waist")), abs=1e-6)


@pytest.mark.parametrize(
    "style, level, measure", [("straight_skirt", "hip", "hip"), ("a_line_skirt", "hip", "hip"), ("six_gore_skirt", "hip", "hip")]
)
def test_all_pieces_together_grow_as_the_table_does(style, level, measure):
    """However the girth is parted among pieces: the sewn girth of a level grows by the table's own step, so the ease stays."""
    run, _ = grown(style, "us_coast_guard_skirt", "nell")
    sewn = []
    for size in run.sizes:
        row = next(row for row in size.whole.draft.ledgers.girths if row.level == level)
        sewn.append(float(row.sewn[size.place]))
    assert np.diff(sewn) == pytest.approx(np.diff(run.values(measure)), abs=0.05)


def test_a_half_circle_grows_by_its_radius():
    run, _ = grown("half_circle_skirt", "gost_29295_h164")
    waist, radius = np.diff(run.values("waist")), np.diff(run.values("waist")) / np.pi
    own = run.all_places("skirt")
    for place in ("waist_fold", "waist_seam", "hem_fold", "hem_seam"):  # the length stays, so the hem grows as the waist does
        assert np.diff(np.hypot(*(own[place] - own["O"]).T)) == pytest.approx(radius, abs=1e-6), place
    assert np.ptp(np.hypot(*(own["hem_fold"] - own["waist_fold"]).T)) < 1e-9
    (arc,) = run.representative("skirt").piece.edge("waist").strips
    assert np.diff(arc.length()) == pytest.approx(waist / 2, abs=1e-6)  # half of it, on the fold


def test_back_length_of_the_published_chart_moves_the_nape():
    """Nape to waist grows by 1/4 in from size to size, from 15 1/2 in."""
    run, _ = grown("dipped_bodice", "us_home_sewing_misses")
    assert np.diff(run.values("nape_to_waist")) / 25.4 == pytest.approx([0.25] * 7)
    own = run.all_places("back")
    apart = own["waist_centre"] - own["nape"]
    assert np.diff(apart[:, 1]) / 25.4 == pytest.approx([0.25] * 7, abs=1e-3)


def test_rosenfelds_gores_grow_on_their_back_edges_alone(tmp_path):
    """The front gore is left as it is; each of the two others grows by 1/4 in for an inch of waist, at waist, hip and hem alike."""
    (tmp_path / "rosenfeld.csv").write_text("size, waist [in]\n25, 25\n26, 26\n")
    run = run_of(WORKED / "19_graded_gores.style", tmp_path / "rosenfeld.csv")
    stacks, _ = stacks_of(run, ["A"])
    for piece, share in (("front", 0.0), ("side", 0.25), ("back", 0.25), ("side_before", 0.0), ("back_before", 0.0)):
        places = {name: stacks[piece].laid(own) for name, own in run.all_places(piece).items()}
        for back_edge in ("B", "H", "D"):
            assert np.diff(places[back_edge], axis=0) / 25.4 == pytest.approx(np.array([[share, 0.0]]), abs=1e-6), (piece, back_edge)
        for front_edge in ("A", "C"):
            assert np.diff(places[front_edge], axis=0) == pytest.approx(np.zeros((1, 2)), abs=1e-9)


# Tables of every source, in a style that its measures reach or nearly reach.
@pytest.mark.parametrize(
    "table, style, lender",
    [
        ("en_13402_3_bust_classes", "dipped_bodice", None),
        ("en_13402_3_letters", "dipped_bodice", None),
        ("gbt_1335", "dipped_bodice", None),
        ("gost_31396_paired", "a_line_skirt", None),
        ("jis_l4005_a_regular", "a_line_skirt", None),
        ("ansur2_by_hip", "six_gore_skirt", ""),
        ("ansur2_by_bust", "straight_skirt", ""),
        ("uk_high_street", "tiered_skirt", ""),
        ("us_home_sewing_miss_petite", "dipped_bodice", ""),
        ("quay_row", "panelled_bustier", ""),
    ],
)
def test_every_table_serves(table, style, lender):
    """Those with `None` lack a girth: what a style needs is asked for, once for each measure, and never made up."""
    if lender is None:
        sizes, found = Session(keep=True).read(standard_folder("styles") / f"{style}.style").sizes(size_table(table))
        assert sizes is None and {one.code for one in found} == {"B113"}
        assert len({one.title for one in found}) == len(found)
        return
    run, steps = grown(style, table, None)
    assert len(run.sizes) > 3 and np.isfinite(np.concatenate(list(steps.values()))).all()
