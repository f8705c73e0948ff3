"""Published drafts, written in the language, must give the figures that their sources print.

Every style beside this file restates one source, with its measures, its steps and its points' names, and carries the
printed and derived figures as an example.  `run_examples` compares them to the precision written.  Because that
comparison belongs to the program, figures are also changed here to see it complain; and what the drafts draw is
measured a second time by means that share nothing with it: adaptive quadrature of the control points (scipy), plane
areas (shapely), and the closed forms of circles and triangles.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from shapely.geometry import Polygon

from tapeline.drafting.darts import Laid, _trued
from tapeline.drafting.examples import run_examples
from tapeline.drafting.measuring import swept_area
from tapeline.drafting.run import draft
from tapeline.geometry.path import Path as Drawn
from tapeline.geometry.segments import Arc, Cubic, Line
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import World, read_text

HERE = Path(__file__).parent
STYLES = sorted(HERE.glob("*.style"), key=lambda path: path.name)
INCH = 25.4

# The bodies and choices of the examples, in millimetres, for the witnesses that draft by themselves.
BODIES = {
    "01_skirt_block": ({"waist": 680, "hip": 940, "waist_to_hip": 200}, {"length": 600}),
    "02_straight_skirt": ({"waist": 700, "hip": 960, "waist_to_hip": 180}, {"length": 600}),
    "04_dressmaking_skirt": ({"waist": 660, "hip": 960, "waist_to_hip": 160}, {"length": 500}),
    "05_back_dart_skirt": ({"waist": 660, "hip": 960, "waist_to_hip": 160}, {"length": 500, "side_length": 530}),
    "08_five_gored_underskirt": ({"waist": 24 * INCH}, {"front_length": 38 * INCH, "side_length": 39 * INCH}),
    "21_bodice_block": ({"bust": 880, "waist": 660, "nape_to_waist": 370}, {}),
    "42_dart_rules": ({}, {"intake": 30, "length": 120, "longer": 180}),
}


def load(name: str):
    source, problems = read_text(HERE / f"{name}.style")
    assert source is not None, problems
    style, found = read(source, World(HERE))
    assert not found, "\n".join(render(one) for one in found)
    return style


def drafted(name: str, measures: dict, choices: dict):
    drafts = draft(load(name), {key: np.atleast_1d(np.asarray(value, dtype=float)) for key, value in measures.items()},
                   choices)
    assert len(drafts) == 1 and not drafts[0].failed.any(), [one.title for one in drafts[0].failures]
    return drafts[0].pattern


# ------------------------------------------------------------ the printed figures


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_the_printed_figures_come_out(path):
    style = load(path.stem)
    assert style.source.text.startswith("-- Source")
    examples = style.plan().examples
    assert examples and all(example.expectations for example in examples)
    found = run_examples(style)
    assert not found, "\n".join(render(one) for one in found)


@pytest.mark.parametrize(("name", "printed", "changed"), [
    ("02_straight_skirt", "expect side_intake is 3.250 cm", "expect side_intake is 3.251 cm"),
    ("02_straight_skirt", "point front.G at 21.750 cm, 0.000 cm", "point front.G at 21.750 cm, 0.001 cm"),
    ("11_peplum", "is 85.944 deg", "is 85.945 deg"),
    ("17_circle_skirts", "half_circle is 8.2 in within 0.1 in", "half_circle is 8.1 in within 0.1 in"),
    ("42_dart_rules", "is 0.381 cm", "is 0.382 cm"),
])
def test_a_figure_that_does_not_come_out_is_said(name, printed, changed):
    text = (HERE / f"{name}.style").read_text(encoding="utf-8")
    assert printed in text
    style, found = read(Source(f"{name}.style", text.replace(printed, changed)), World(HERE))
    assert style is not None, found
    assert {one.code for one in run_examples(style)} == {"D470"}


# ------------------------------------------------------------ circles, in closed form


@pytest.mark.parametrize(("piece", "part", "panels"), [
    ("full_panel", 1, 4), ("half_panel", 1 / 2, 2), ("third_panel", 1 / 3, 2), ("quarter_panel", 1 / 4, 1)])
def test_circle_skirts_have_the_sweep_and_area_of_circles(piece, part, panels):
    waist, length = 26 * INCH, 25 * INCH
    drawn = drafted("17_circle_skirts", {"waist": waist}, {"length": length}).piece(piece)
    inner = waist / (2 * math.pi * part)
    outer = inner + length
    angle = 2 * math.pi * part / panels
    sweep, _ = quad(lambda t: math.hypot(-outer * math.sin(t), outer * math.cos(t)), 0.0, angle)
    assert drawn.edge("hem").closed_length()[0] == pytest.approx(sweep, abs=1e-6)
    assert panels * sweep == pytest.approx(2 * math.pi * part * outer, abs=1e-6)
    assert panels * drawn.edge("waist_curve").closed_length()[0] == pytest.approx(waist, abs=1e-6)
    outline = Polygon(drawn.stitch_outline().flatten()[0])
    assert outline.is_valid
    sector = angle / 2 * (outer**2 - inner**2)
    assert outline.area == pytest.approx(sector, rel=2e-4)  # flattened chords lie inside the outer arc


def test_a_peplum_spans_one_and_a_half_radians_whatever_the_waist():
    waists = np.array([22.0, 24.0, 27.5, 40.0]) * INCH
    piece = drafted("11_peplum", {"waist": waists}, {"depth": 4 * INCH}).piece("half_peplum")
    spread = np.arctan2(piece.points["D"][:, 1], piece.points["D"][:, 0])
    assert spread == pytest.approx(np.full(4, 1.5), abs=1e-12)
    assert piece.edge("lower_edge").closed_length() == pytest.approx(1.5 * (waists / 3 + 4 * INCH), abs=1e-6)


# ------------------------------------------------------------ every drawn curve, measured again


@pytest.mark.parametrize("name", BODIES)
def test_lengths_agree_with_quadrature(name):
    pattern = drafted(name, *BODIES[name])
    curves = 0
    for piece in pattern.pieces:
        for edge in piece.edges:
            for segment in (s for strip in edge.strips for s in strip.segments):
                curves += isinstance(segment, Cubic)
                assert segment.length()[0] == pytest.approx(_measured(segment), abs=1e-4), f"{piece.name}.{edge.name}"
    assert curves


def _measured(segment) -> float:
    """The length of a segment from its control points, its circle or its ends alone."""
    if isinstance(segment, Line):
        return math.dist(segment.start()[0], segment.end()[0])
    if isinstance(segment, Arc):
        return float(segment.radius[0] * abs(segment.sweep[0]))
    p = segment.p[0]

    def speed(t):
        legs = 3 * np.diff(p, axis=0)
        return math.hypot(*((1 - t) ** 2 * legs[0] + 2 * t * (1 - t) * legs[1] + t * t * legs[2]))

    return quad(speed, 0.0, 1.0, epsabs=1e-9, limit=200)[0]


@pytest.mark.parametrize("name", BODIES)
def test_areas_agree_with_the_plane(name):
    """The closed form of a piece's area against a fine polygon of its control points; no outline overlaps itself."""
    for piece in drafted(name, *BODIES[name]).pieces:
        outline = piece.stitch_outline()
        polygon = Polygon(_without_repeats(np.concatenate([_sampled(segment) for segment in outline.segments])))
        assert polygon.is_valid
        assert abs(swept_area(outline)[0]) == pytest.approx(polygon.area, rel=1e-6)
        assert Polygon(_without_repeats(piece.trued_outline().flatten()[0])).is_valid


def _sampled(segment, count: int = 400) -> np.ndarray:
    t = np.linspace(0.0, 1.0, count)[:, None]
    if isinstance(segment, Line):
        return (1 - t) * segment.start()[0] + t * segment.end()[0]
    p = segment.p[0]
    return (1 - t) ** 3 * p[0] + 3 * (1 - t) ** 2 * t * p[1] + 3 * (1 - t) * t * t * p[2] + t**3 * p[3]


def _without_repeats(points: np.ndarray) -> np.ndarray:
    """Joints, and ends of no length, repeat a place to rounding; a plane polygon must not."""
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-4:
            kept.append(point)
    return np.array(kept)


def test_the_side_seams_that_are_sewn_are_equally_long():
    for name in ("02_straight_skirt", "04_dressmaking_skirt", "05_back_dart_skirt", "21_bodice_block"):
        pattern = drafted(name, *BODIES[name])
        front, back = (pattern.piece(piece).edge("side").closed_length()[0] for piece in ("front", "back"))
        assert front == pytest.approx(back, abs=0.01), name
    gores = drafted("08_five_gored_underskirt", *BODIES["08_five_gored_underskirt"])
    seam = gores.piece("front_gore").edge("seam").closed_length()[0]
    assert gores.piece("side_gore").edge("straight_edge").closed_length()[0] == pytest.approx(seam, abs=1e-6)
    assert seam == pytest.approx(math.hypot(9.3916 - 3.0, 38.25) * INCH, abs=0.05)


def test_the_hip_notches_of_the_gores_lie_on_the_hip_line():
    """Ingalls puts one notch on the hip line at the front gore's edge: 6 in below the waist's end, taken upright."""
    gore = drafted("08_five_gored_underskirt", *BODIES["08_five_gored_underskirt"]).piece("front_gore")
    assert len(gore.notches) == 1
    assert gore.notches[0].point[0] == pytest.approx(gore.points["5"][0], abs=1e-6)
    assert gore.notches[0].point[0, 1] == pytest.approx(5.75 * INCH, abs=1e-6)


def test_a_bodice_armhole_passes_its_points_and_ends_as_told():
    """The armhole of the so-en block runs through the corner's place, square to the shoulder, level at the side."""
    piece = drafted("21_bodice_block", *BODIES["21_bodice_block"]).piece("back")
    armhole = piece.edge("armhole").strips[0]
    drawn = armhole.flatten()[0]
    corner = np.array([191.6667, 216.6667]) + (48.3333 / 2 + 5) * np.array([1.0, -1.0]) / math.sqrt(2)
    assert piece.points["back_corner"][0] == pytest.approx(corner, abs=1e-3)
    assert np.hypot(*(drawn - corner).T).min() < 1.0  # no further from it than the flattening's own spacing
    shoulder = piece.points["a2"][0] - piece.points["A2"][0]
    leaving = armhole.start_direction()[0]
    assert abs((shoulder * leaving).sum()) / np.hypot(*shoulder) < 1e-9
    assert abs(armhole.end_direction()[0][1]) < 1e-9


# ------------------------------------------------------------ darts


@pytest.mark.parametrize("name", [name for name in BODIES if name != "08_five_gored_underskirt"])
def test_dart_legs_are_equal_and_fold_together(name):
    """Legs that are sewn together are equally long (as the drafts of files 02 and 42 ask)."""
    darts = [(edge, k, dart) for piece in drafted(name, *BODIES[name]).pieces for edge in piece.edges
             for k, dart in enumerate(edge.darts)]
    assert darts
    for edge, k, dart in darts:
        near, far, point = dart.near_foot[0], dart.far_foot[0], dart.point[0]
        assert math.dist(near, point) == pytest.approx(math.dist(far, point), abs=1e-6)
        angle = math.atan2(*(near - point)[::-1]) - math.atan2(*(far - point)[::-1])
        turn = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
        assert point + (turn * (far - point)).sum(axis=1) == pytest.approx(near, abs=1e-6)
        before = edge.strips[k].end_direction()[0]
        after = (turn * edge.strips[k + 1].start_direction()[0]).sum(axis=1)
        crossed = before[0] * after[1] - before[1] * after[0]
        kink = math.degrees(math.atan2(crossed, (before * after).sum()))
        assert abs(kink) < 0.01, f"the folded edge turns by {kink} degrees at {dart.name}"
        peak = dart.trued.segments[len(dart.trued.segments) // 2].start()[0]
        across = (peak - point)[0] * (near + far - 2 * point)[1] - (peak - point)[1] * (near + far - 2 * point)[0]
        assert across == pytest.approx(0.0, abs=1e-3)  # the peak lies on the fold


def test_the_end_of_a_dart_square_to_a_straight_seam_peaks_as_the_triangle_says():
    """Fold the seam over the leg: it rises by the dart's angle over half the intake, 3.81 mm for 3 cm by 12 cm."""
    intake, length = 30.0, 120.0
    angle = 2 * math.atan2(intake / 2, length)
    assert math.degrees(angle) == pytest.approx(14.250, abs=5e-4)
    point, near, far = (np.array([place]) for place in ((0.0, length), (-intake / 2, 0.0), (intake / 2, 0.0)))
    before = Drawn((Line(np.array([[-150.0, 0.0]]), near),))
    after = Drawn((Line(far, np.array([[150.0, 0.0]])),))
    whole = Drawn((Line(np.array([[-150.0, 0.0]]), np.array([[150.0, 0.0]])),))
    for press in ("near", "far"):
        laid = Laid({"press": press}, near, far, point, np.array([intake]), None, whole)
        trued = _trued(laid, before, after, near, far)
        assert trued.start()[0] == pytest.approx(near[0], abs=1e-9)
        assert trued.end()[0] == pytest.approx(far[0], abs=1e-9)
        peak = trued.flatten()[0][np.argmin(trued.flatten()[0][:, 1])]
        assert peak == pytest.approx([0.0, -intake / 2 * math.tan(angle)], abs=1e-6)
        assert -peak[1] == pytest.approx(3.81, abs=5e-3)


def test_on_one_pivot_intakes_are_as_the_legs():
    """w = 2 s sin(angle / 2), so w2 / w1 = s2 / s1: drawn darts of one angle, at four lengths."""
    longer = np.array([90.0, 150.0, 180.0, 240.0])
    style = load("42_dart_rules")
    ratios = []
    for reach in longer:
        piece = draft(style, {}, {"longer": reach})[0].pattern.piece("cloth")
        place = {name: piece.points[name][0] for name in ("P", "L", "R", "L2", "R2")}
        legs = math.dist(place["P"], place["L2"]) / math.dist(place["P"], place["L"])
        intakes = math.dist(place["L2"], place["R2"]) / math.dist(place["L"], place["R"])
        assert intakes == pytest.approx(legs, rel=1e-12)
        ratios.append(intakes)
    assert ratios == pytest.approx(longer / 120.0, rel=1e-12)


def test_a_dart_drawn_on_a_seam_keeps_intake_in_proportion_to_its_legs():
    """The program's own dart, whose feet move when the seam is trued, still obeys w = 2 s sin(angle / 2)."""
    dart = drafted("42_dart_rules", *BODIES["42_dart_rules"]).piece("cloth").darts()[0]
    angle = 2 * math.atan2(15.0, 120.0)
    assert dart.intake[0] == pytest.approx(2 * dart.near_leg.length()[0] * math.sin(angle / 2), abs=1e-6)
