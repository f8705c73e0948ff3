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

from tapeline.drafting.darts import true_end
from tapeline.drafting.examples import run_examples
from tapeline.drafting.laying import Laid
from tapeline.drafting.run import draft
from tapeline.geometry.path import Path as Drawn
from tapeline.geometry.segments import Arc, Cubic, Line
from tapeline.geometry.swept import swept_area
from tapeline.meaning.plan import DartRow
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source, Span
from tapeline.source.world import FolderWorld, read_text

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
    "10_six_seven_gores": ({"waist": 23 * INCH, "hip": 36 * INCH}, {}),
    "14_child_skirt": ({"bust": 30 * INCH, "waist": 25.5 * INCH, "hip": 34 * INCH}, {}),
    "19_graded_gores": ({"waist": 26 * INCH}, {}),
    "21_bodice_block": ({"bust": 880, "waist": 660, "nape_to_waist": 370}, {}),
    "23_waist_dart_bodice": (
        {
            "bust": 36 * INCH,
            "waist": 28 * INCH,
            "neck_to_bust": 9.5 * INCH,
            "side_neck_over_bust_to_waist": 16 * INCH,
            "shoulder_width": 15 * INCH,
            "across_back": 14 * INCH,
            "bust_span": 7 * INCH,
        },
        {},
    ),
    "24_kameez_block": (
        {"bust": 34 * INCH, "hip": 37 * INCH, "shoulder_width": 14 * INCH, "nape_to_waist": 14.5 * INCH, "nape_to_hip": 22 * INCH},
        {},
    ),
    "29_fitted_lining_front": (
        {
            "neck": 13 * INCH,
            "front_armhole_depth": 6 * INCH,
            "centre_front_length": 14 * INCH,
            "across_front": 13 * INCH,
            "across_back": 13 * INCH,
            "bust": 36 * INCH,
            "waist": 24 * INCH,
            "underarm_length": 7.5 * INCH,
            "shoulder": 5 * INCH,
        },
        {},
    ),
    "31_front_waist": ({"neck": 13 * INCH, "shoulder": 5 * INCH, "across_front": 13 * INCH}, {}),
    "33_dressmaking_sleeve": ({"armhole": 420, "cap_height": 120}, {"sleeve_length": 240}),
    "40_shoulder_seams": ({"size": 36 * INCH, "armhole_depth": 7 * INCH, "nape_to_waist": 15.5 * INCH, "waist": 25 * INCH}, {}),
    "42_dart_rules": ({}, {"intake": 30, "length": 120, "longer": 180}),
    "45_pattern_checks": ({"shoulder": 5 * INCH, "upper_arm": 11 * INCH}, {}),
    "46_standing_collar": ({"neck": 14 * INCH}, {}),
    "48_turn_over_collar": ({"neck": 14 * INCH}, {}),
    "50_peter_pan_collar": ({"bust": 880, "shoulder": 130}, {}),
    "52_shawl_collar": ({"neck": 360}, {}),
    "56_foundation_sleeve": ({"armhole": 15 * INCH, "arm_length": 22 * INCH}, {}),
    "62_shirt_collar": ({"neck": 320}, {}),
    "64_puff_sleeve": ({"armhole": 500, "upper_arm_length": 315, "cap_height": 150}, {}),
    "66_two_piece_finish": ({"upper_arm": 12 * INCH, "arm_length": 23 * INCH, "upper_arm_length": 13 * INCH}, {}),
}

WITHOUT_DARTS = (
    "08_five_gored_underskirt",
    "10_six_seven_gores",
    "14_child_skirt",
    "19_graded_gores",
    "24_kameez_block",
    "29_fitted_lining_front",
    "31_front_waist",
    "33_dressmaking_sleeve",
    "40_shoulder_seams",
    "45_pattern_checks",
    "46_standing_collar",
    "48_turn_over_collar",
    "50_peter_pan_collar",
    "52_shawl_collar",
    "56_foundation_sleeve",
    "62_shirt_collar",
    "64_puff_sleeve",
    "66_two_piece_finish",
)


def load(name: str):
    source, problems = read_text(HERE / f"{name}.style")
    assert source is not None, problems
    style, found = read(source, FolderWorld(HERE))
    assert not found, "\n".join(render(one) for one in found)
    return style


def drafted(name: str, measures: dict, choices: dict):
    drafts = draft(load(name), {key: np.atleast_1d(np.asarray(value, dtype=float)) for key, value in measures.items()}, choices)
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


@pytest.mark.parametrize(
    ("name", "printed", "changed"),
    [
        ("02_straight_skirt", "expect side_intake is 3.250 cm", "expect side_intake is 3.251 cm"),
        ("02_straight_skirt", "point front.G at 21.750 cm, 0.000 cm", "point front.G at 21.750 cm, 0.001 cm"),
        ("11_peplum", "is 85.944 deg", "is 85.945 deg"),
        ("15_tiered_skirt", "from tier_3.A to tier_3.C is 25.000 cm", "from tier_3.A to tier_3.C is 25.001 cm"),
        (
            "16_pleated_skirt",
            "from half_skirt.C to half_skirt.hem_lay is 16.500 in",
            "from half_skirt.C to half_skirt.hem_lay is 16.501 in",
        ),
        ("17_circle_skirts", "half_circle is 8.2 in within 0.1 in", "half_circle is 8.1 in within 0.1 in"),
        ("23_waist_dart_bodice", "girth at waist is 28.000 in", "girth at waist is 28.001 in"),
        ("26_dress_grid", "is 20.15 cm", "is 20.16 cm"),
        ("28_shirt_waist", "expect twelfth is 1.500 in", "expect twelfth is 1.501 in"),
        ("33_dressmaking_sleeve", "sleeve.least_cap is 42.628 cm", "sleeve.least_cap is 42.629 cm"),
        ("37_corset_sections", "length of centre_back.top_edge is 4.000 in", "length of centre_back.top_edge is 4.001 in"),
        ("40_shoulder_seams", "front_allowance is 2.250 in", "front_allowance is 2.251 in"),
        ("42_dart_rules", "is 0.381 cm", "is 0.382 cm"),
        ("44_cloth_lengths", "expect cloth / yard is 4.08\n", "expect cloth / yard is 4.09\n"),
        ("54_circular_flounce", "expect radius is 21.600 in", "expect radius is 21.601 in"),
        ("58_side_pocket", "length of bag.bias is 7.071 in", "length of bag.bias is 7.072 in"),
        ("60_skirt_placket", "length of under_lap.left is 11.000 in", "length of under_lap.left is 11.001 in"),
    ],
)
def test_a_figure_that_does_not_come_out_is_said(name, printed, changed):
    text = (HERE / f"{name}.style").read_text(encoding="utf-8")
    assert printed in text
    style, found = read(Source(f"{name}.style", text.replace(printed, changed)), FolderWorld(HERE))
    assert style is not None, found
    assert {one.code for one in run_examples(style)} == {"D470"}


# ------------------------------------------------------------ circles, in closed form


@pytest.mark.parametrize(
    ("piece", "part", "panels"),
    [("full_panel", 1, 4), ("half_panel", 1 / 2, 2), ("third_panel", 1 / 3, 2), ("quarter_panel", 1 / 4, 1)],
)
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


@pytest.mark.parametrize("division", ["six", "seven"])
def test_gores_share_a_foundation_without_gap_and_fit_the_waist(division):
    """Baldt's gores meet at hip and bottom; what is left of the waist arcs, reckoned by their angles, is half the waist."""
    waists, hips = np.array([23.0, 24.5, 25.5]) * INCH, np.array([36.0, 37.5, 38.5]) * INCH
    pattern = drafted("10_six_seven_gores", {"waist": waists, "hip": hips}, {})
    gores = [pattern.piece(f"{division}_{name}") for name in ("front_gore", "first_side", "second_side", "back_gore")]
    for before, after in zip(gores, gores[1:], strict=False):
        for level in ("hip", "bottom"):
            assert before.points[f"far_{level}"] == pytest.approx(after.points[f"near_{level}"], abs=1e-9)
    for level, whole in (("hip", hips / 2), ("bottom", np.full(3, 45 * INCH)), ("waist", waists / 2)):
        assert sum(_swept(gore, f"near_{level}", f"far_{level}") for gore in gores) == pytest.approx(whole, abs=1e-6)


def _swept(piece, near: str, far: str) -> np.ndarray:
    """The arc about O between two points: radius by the angle between their spokes, from the cosine rule."""
    spokes = [piece.points[name] - piece.points["O"] for name in (near, far)]
    radius, other = (np.hypot(*spoke.T) for spoke in spokes)
    assert radius == pytest.approx(other, abs=1e-9)
    chord = np.hypot(*(piece.points[near] - piece.points[far]).T)
    return 2 * radius * np.arcsin(chord / (2 * radius))


def test_a_childs_hip_line_lies_parallel_to_the_waist_curve():
    """Rosenfeld's hip line: a third of the half breast from the waist curve all along, as long as half the hip."""
    breasts = np.array([26.0, 30.0]) * INCH
    piece = drafted(
        "14_child_skirt", {"bust": breasts, "waist": np.array([24.0, 25.5]) * INCH, "hip": np.array([30.0, 34.0]) * INCH}, {}
    ).piece("skirt")
    for k, depth in enumerate(breasts / 6):
        centre, D, F, F1 = (piece.points[name][k] for name in ("O", "D", "F", "F1"))
        waist_radius, hip_radius = math.dist(centre, D), math.dist(centre, F)
        assert hip_radius - waist_radius == pytest.approx(depth, abs=1e-6)
        assert math.dist(D, F1) == pytest.approx(depth, abs=1e-6)
        assert math.dist(centre, piece.points["A"][k]) == pytest.approx(waist_radius, abs=1e-6)
        assert math.dist(centre, piece.points["H"][k]) == pytest.approx(waist_radius, abs=1e-6)
        seam, to_hip = piece.points["J"][k] - D, F - D
        assert seam[0] * to_hip[1] - seam[1] * to_hip[0] == pytest.approx(0.0, abs=1e-3)  # J lies on the line through F


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


def _sampled(segment, count: int = 1000) -> np.ndarray:
    t = np.linspace(0.0, 1.0, count)[:, None]
    if isinstance(segment, Line):
        return (1 - t) * segment.start()[0] + t * segment.end()[0]
    if isinstance(segment, Arc):
        angle = segment.start_angle[0] + t * segment.sweep[0]
        return segment.centre[0] + segment.radius[0] * np.concatenate([np.cos(angle), np.sin(angle)], axis=1)
    p = segment.p[0]
    return (1 - t) ** 3 * p[0] + 3 * (1 - t) ** 2 * t * p[1] + 3 * (1 - t) * t * t * p[2] + t**3 * p[3]


def _without_repeats(points: np.ndarray) -> np.ndarray:
    """Joints, and ends of no length, repeat a place to rounding; a plane polygon must not."""
    kept = [points[0]]
    for point in points[1:]:
        if math.dist(point, kept[-1]) > 1e-4:
            kept.append(point)
    return np.array(kept[:-1] if math.dist(kept[-1], kept[0]) <= 1e-4 else kept)


def test_the_side_seams_that_are_sewn_are_equally_long():
    for name in (
        "02_straight_skirt",
        "04_dressmaking_skirt",
        "05_back_dart_skirt",
        "21_bodice_block",
        "23_waist_dart_bodice",
        "24_kameez_block",
    ):
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


def test_a_lining_front_closes_to_a_quarter_of_the_waist():
    """Ingalls keeps 2 1/2 in before the dart and lays the rest of the quarter back from the side, whatever the waist."""
    waists = np.array([21.0, 24.0, 25.5]) * INCH
    measures, choices = BODIES["29_fitted_lining_front"]
    bodies = {key: np.full(3, value) for key, value in measures.items()} | {"waist": waists}
    pattern = drafted("29_fitted_lining_front", bodies, choices)
    kept, rest = (pattern.piece(name).edge("waist").closed_length() for name in ("centre_front", "side_front"))
    assert kept == pytest.approx(2.5 * INCH, abs=1e-6)
    assert kept + rest == pytest.approx(waists / 4, abs=1e-6)


def test_a_shirt_waist_shoulder_ends_where_a_square_line_meets_the_back_width():
    """Rosenfeld's M: the foot, on the line from L through J, of the square line to I; here by projection."""
    piece = drafted("28_shirt_waist", {"size": 914.4, "armhole_depth": 177.8, "nape_to_waist": 393.7}, {}).piece("back")
    neck, guide, back = np.array([3.0, -1.0]), np.array([7.25, 0.0]), np.array([7.25, 7.0])
    along = (guide - neck) / math.dist(guide, neck)
    foot = neck + ((back - neck) * along).sum() * along
    assert piece.points["M"][0] == pytest.approx(foot * INCH, abs=1e-6)


# ------------------------------------------------------------ sleeves, and what must match


def test_a_sleeve_is_as_wide_as_half_the_armhole_over_the_cap_height():
    """The two legs of a right triangle: half the armhole laid from the top of the cap to the underarm line."""
    armholes = np.array([380.0, 420.0, 460.0])
    piece = drafted("33_dressmaking_sleeve", {"armhole": armholes, "cap_height": [120.0] * 3}, {}).piece("sleeve")
    half = np.sqrt((armholes / 2) ** 2 - 120.0**2)
    assert piece.points["D"][:, 0] == pytest.approx(-half, abs=1e-9)
    assert piece.points["E"][:, 0] == pytest.approx(half, abs=1e-9)
    for edge, names in (("front_cap", ("A", "A4", "D1", "D3", "D")), ("back_cap", ("A", "A3", "E"))):
        places = [piece.points[name] for name in names]
        straight = sum(np.hypot(*(b - a).T) for a, b in zip(places[:-1], places[1:], strict=True))
        assert (piece.edge(edge).closed_length() > straight).all()  # no curve through the points is shorter


@pytest.mark.parametrize(("untrue", "said"), [("1/16 in", set()), ("1/8 in", {"D450"})])
def test_a_seam_may_be_untrue_by_a_sixteenth_of_an_inch_and_not_by_an_eighth(untrue, said):
    """Threads no. 200: 1/16 in is what a fitting teacher keeps, 1/8 in what many find enough; the program takes the first."""
    text = (HERE / "45_pattern_checks.style").read_text(encoding="utf-8")
    assert "choose untrue 1/16 in" in text
    style, found = read(Source("45.style", text.replace("choose untrue 1/16 in", f"choose untrue {untrue}")), FolderWorld(HERE))
    assert style is not None, found
    assert {one.code for one in run_examples(style)} == said


# ------------------------------------------------------------ darts


@pytest.mark.parametrize("name", [name for name in BODIES if name not in WITHOUT_DARTS])
def test_dart_legs_are_equal_and_fold_together(name):
    """Legs that are sewn together are equally long (as the drafts of files 02 and 42 ask)."""
    darts = [
        (edge, k, dart) for piece in drafted(name, *BODIES[name]).pieces for edge in piece.edges for k, dart in enumerate(edge.darts)
    ]
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


@pytest.mark.parametrize(("excess", "count", "slant"), [(4, 1, 0), (5, 1, 1), (7, 2, 1)])
def test_the_number_of_darts_follows_from_bust_and_waist(excess, count, slant):
    """Wakeman and Heller print three cases; here the darts that are really drawn, and what they leave of the waist."""
    measures = {
        "bust": (28 + excess) * INCH,
        "waist": 28 * INCH,
        "centre_front_length": 14 * INCH,
        "underarm_length": 7 * INCH,
        "across_back": 13 * INCH,
    }
    piece = drafted("30_dart_numbers", measures, {}).piece("waist_part")
    assert len(piece.darts()) == count
    assert piece.points["slanted"][0, 0] - piece.points["side_back"][0, 0] == pytest.approx(slant * INCH, abs=1e-9)
    mouths = sum(math.dist(dart.near_foot[0], dart.far_foot[0]) for dart in piece.darts())
    between = piece.points["base_front"][0, 0] - piece.points["slanted"][0, 0]
    assert between - mouths == pytest.approx(14 * INCH, abs=1e-6)


def test_the_end_of_a_dart_square_to_a_straight_seam_peaks_as_the_triangle_says():
    """Fold the seam over the leg: it rises by the dart's angle over half the intake, 3.81 mm for 3 cm by 12 cm."""
    intake, length = 30.0, 120.0
    angle = 2 * math.atan2(intake / 2, length)
    assert math.degrees(angle) == pytest.approx(14.250, abs=5e-4)
    point, near, far = (np.array([place]) for place in ((0.0, length), (-intake / 2, 0.0), (intake / 2, 0.0)))
    before = Drawn((Line(np.array([[-150.0, 0.0]]), near),))
    after = Drawn((Line(far, np.array([[150.0, 0.0]])),))
    whole = Drawn((Line(np.array([[-150.0, 0.0]]), np.array([[150.0, 0.0]])),))
    row = DartRow("dart", "start", Span(Source("seam", ""), 0, 0), None, None)
    for press in ("near", "far"):
        laid = Laid(row, press, near, far, point, np.array([intake]), None, whole)
        trued = true_end(press, point, laid.axis, (near, far), (laid.near_heading, laid.far_heading), laid.asked, before, after)
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
