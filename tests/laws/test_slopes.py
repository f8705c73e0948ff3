"""Laws of slopes: exact slopes against differences of drafts, against algebra, and against Euler's theorem; and of grade breaks.

Euler's theorem on homogeneous functions: what grows as all its measures grow together is the sum of each slope times its
measure.  It holds of every place of a style without lengths of its own, whatever curves, darts and finds are in it.
"""

import math
import os

import numpy as np
import pytest
from workbench import style_of

from tapeline.bodies.card import read_card
from tapeline.drafting import arithmetic
from tapeline.drafting.landmarks import landmarks
from tapeline.drafting.run import draft
from tapeline.geometry.dual import Dual, at_root, floats, put, settled
from tapeline.geometry.solve import root
from tapeline.meaning.style import read
from tapeline.sizing.breaks import grade_breaks
from tapeline.sizing.grade_words import HEADER, Teller, slope_table
from tapeline.sizing.slopes import moving, slopes, slopes_of
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = {path.stem: path for path in sorted(standard_folder("styles").glob("*.style"))}
DEAR = () if os.environ.get("EXPLORE") else ("waisted_dress", "pleated_skirt")  # with EXPLORE=1 these as well
STEP = {False: 0.05, True: 2e-4}  # mm, or radians of an angle, to either side


def shipped(name):
    style, _ = read(read_text(STYLES[name])[0], FolderWorld(STYLES[name].parent))
    card, _ = read_card(read_text(STYLES[name].parent / "bodies" / "maud.toml")[0], style.measurements, style.doubts)
    return style, {measure: card.values[measure] for measure in style.plan().measures}


def varied(body, random, n):
    """Bodies about one: every measure up to 2 % more or less."""
    return {name: value * random.uniform(0.98, 1.02, n) for name, value in body.items()}


def differences(style, body):
    """Slopes by central differences of drafts, and those of the first body, drafted among the others: (piece, place) -> (M, 2)."""
    names = list(body)
    angle = [style.measurements[name].kind == "angle" for name in names]
    steps = np.array([STEP[one] for one in angle])
    sides = {
        name: np.concatenate(
            [
                [value],
                *([value + side * step * (other == name) for side in (-1.0, 1.0)] for other, step in zip(names, steps, strict=True)),
            ]
        )
        for name, value in body.items()
    }
    found = {}
    drafts = draft(style, sides)
    for one in drafts:
        for piece in one.pattern.pieces:
            for place, point in landmarks(piece).items():
                found.setdefault((piece.name, place), np.full((len(sides[names[0]]), 2), np.nan))[one.index] = point
    own = next(one for one in drafts if 0 in one.index)
    assert not own.failed[list(own.index).index(0)]
    per = 2.0 * np.where(angle, np.degrees(steps), steps)[:, None]
    exact = slopes_of(own, style, names, [list(own.index).index(0)])
    return exact, {key: (points[2::2] - points[1::2]) / per for key, points in found.items()}


@pytest.mark.parametrize("name", STYLES)
def test_slopes_are_those_of_drafts(name, monkeypatch):
    """To 1e-5 of them, finds and all; finds are drawn finer here, since a difference of two drafts doubles what they are off."""
    if name in DEAR:
        pytest.skip("dear to draft; EXPLORE=1 tries it")
    monkeypatch.setattr(arithmetic, "CONVERGENCE", 1e-8)
    style, body = shipped(name)
    random = np.random.default_rng(len(name))
    exact, rough = differences(style, {measure: value[0] for measure, value in varied(body, random, 1).items()})
    assert len(exact.places) > 3
    moved = 0
    for key, slope in exact.places.items():
        where = np.isfinite(rough[key])
        assert where.any() and np.isfinite(slope[0]).all(), key
        assert np.abs(slope[0] - rough[key])[where].max() <= 1e-5 * max(1.0, np.abs(slope).max()), key
        moved += np.abs(slope).max() > 0.01
    assert moved > 3


FITTED = """language 1
style fitted "A skirt as it was fitted"
start from straight_skirt
without sew front.waist and back.waist to band.lower
take in front.side and back.side waist / 90 at waist, to nothing at hip
let out back.centre hip / 200 at hip, to nothing at waist and hem
drop back.waist 8 mm at centre, to nothing at side
raise front.waist waist / 80 at half, to nothing at centre and side
lengthen front and back waist_to_hip / 10 at hip
shorten front and back 1 cm at hip
"""


def test_slopes_of_a_fitted_piece_are_those_of_drafts():
    _, body = shipped("straight_skirt")
    style, said = read(Source("fitted.style", FITTED), FolderWorld(STYLES["straight_skirt"].parent))
    assert style is not None, said
    exact, rough = differences(style, {measure: float(value) for measure, value in body.items()})
    moved = 0
    for key, slope in exact.places.items():
        where = np.isfinite(rough[key])
        assert np.abs(slope[0] - rough[key])[where].max() <= 1e-5 * max(1.0, np.abs(slope).max()), key
        moved += np.abs(slope).max() > 0.01
    assert moved > 3


TUBE = """language 1
style tube "Tube"
measure waist, hip, waist_to_hip
{quantities}
piece panel "Panel"
    cut 1
    point A start
    point B A across {width}
    point C A down {depth}
    point D B down {depth}
    line centre A to C
    line waist A to B
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
"""


def tube(width, depth="waist_to_hip", quantities=""):
    return style_of(TUBE.format(width=width, depth=depth, quantities=quantities))


BODY = {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0}


def many(**values):
    return dict(zip(BODY, np.broadcast_arrays(*(np.atleast_1d(values.get(name, value)) for name, value in BODY.items())), strict=True))


def test_a_quarter_is_a_quarter():
    (found,) = slopes(tube("hip / 4 + 1 cm"), many(hip=[900.0, 1100.0]))
    assert (found.of("panel", "B", "hip") == [0.25, 0.0]).all()
    assert (found.of("panel", "D", "hip") == [0.25, 0.0]).all()
    assert (found.of("panel", "D", "waist_to_hip") == [0.0, 1.0]).all()
    assert not found.of("panel", "A", "hip").any()


def test_nothing_moves_for_a_measure_that_is_not_read():
    (found,) = slopes(tube("hip / 4"), many(), varied=("waist", "hip"))
    assert all(not table[:, 0].any() for table in (*found.places.values(), *found.girths.values(), found.values["hip"]))
    assert found.of("panel", "D", "hip").any()


def test_slopes_of_arithmetic():
    """Each as its derivative says; the numbers of a style as well as its places."""
    style = tube(
        "whole",
        quantities="""
whole = root of (hip * hip - waist * waist) / 4
share = hip * waist / waist_to_hip
bent  = absolute_value of (waist - hip) * sine of 30 deg
slant = hypotenuse of (hip, waist / 2)""",
    )
    (found,) = slopes(style, many())
    w, h, d = BODY["waist"], BODY["hip"], BODY["waist_to_hip"]
    names = list(found.measures)
    slope = dict(zip(names, found.values["whole"][0], strict=True))
    long = math.sqrt(h * h - w * w)
    assert slope["hip"] == pytest.approx(h / long / 4, rel=1e-12) and slope["waist"] == pytest.approx(-w / long / 4, rel=1e-12)
    slope = dict(zip(names, found.values["share"][0], strict=True))
    assert [slope[name] for name in ("hip", "waist", "waist_to_hip")] == pytest.approx([w / d, h / d, -h * w / d**2], rel=1e-12)
    slope = dict(zip(names, found.values["bent"][0], strict=True))
    assert [slope[name] for name in ("hip", "waist")] == pytest.approx([0.5, -0.5], rel=1e-12)
    slope, long = dict(zip(names, found.values["slant"][0], strict=True)), math.hypot(h, w / 2)
    assert [slope[name] for name in ("hip", "waist")] == pytest.approx([h / long, w / 4 / long], rel=1e-12)


def test_a_find_moves_as_the_equation_says():
    """A quarter of a circle round half the waist: 2 pi r / 4 = waist / 2, so r grows by 1 / pi; and a find within a find."""
    style = style_of("""language 1
style sector "Sector"
measure waist
find radius between 3 cm and 60 cm so that length of quarter.waist is waist / 2
find beyond between 61 cm and 200 cm so that length of quarter.hem is 3 * length of quarter.waist
piece quarter "Quarter"
    cut 2 alike
    point O start
    point A O across radius
    point B O down radius
    point C O across beyond
    point D O down beyond
    arc  waist A to B about O
    arc  hem   C to D about O
    line one   A to C
    line other B to D
    outline waist, other, hem, one
""")
    (found,) = slopes(style, {"waist": np.array([650.0, 800.0])})
    assert found.of("quarter", "A", "waist") == pytest.approx(np.array([[1 / math.pi, 0.0]] * 2), rel=1e-9)
    assert found.of("quarter", "D", "waist") == pytest.approx(np.array([[0.0, 3 / math.pi]] * 2), rel=1e-9)


def test_a_waist_that_is_found_closes_at_every_size():
    """The sewn waist grows with the waist by exactly what the find asks, and the band with it."""
    style, body = shipped("straight_skirt")
    (found,) = slopes(style, {name: np.array([value]) for name, value in body.items()})
    sides = next(every for (one, other), every in found.seams.items() if "band.lower" in other)
    waist = found.measures.index("waist")
    assert sides[0, waist] == pytest.approx([1.0, 1.0], abs=1e-9)
    assert np.delete(sides[0], waist, axis=0) == pytest.approx(0.0, abs=1e-9)
    hip = found.girths["hip"][0]
    assert hip[found.measures.index("hip")] == pytest.approx(1.0, abs=1e-9)


GROWS = """language 1
style grows "Grows"
measure waist, hip, waist_to_hip
levels
    waist
    hip waist_to_hip below waist
    hem waist_to_hip * 3 below waist
find give between hip / -40 and hip / 40 so that closed length of front.waist is waist / 4
piece front "Front"
    cut 1 on fold at centre
    widths from centre, with darts
        waist waist / 4 + hip / 40 + give
        hip   hip / 4
        hem   hip / 4 + waist_to_hip / 10
    side smooth waist to hip, straight hip to hem
    dip waist waist_to_hip / 15 at centre
    dart on waist at half
        intake hip / 40
        point  waist_to_hip * 1/2 long
        press toward centre
piece cap "Cap"
    cut 1
    point A start
    point B A across hip / 5
    point C A down waist_to_hip
    point D C across hip / 4
    curve top A to B, leaving level, bowed hip / 60 up
    arc   bottom C to D, bowed hip / 50 down
    line  near A to C
    line  far B to D
    outline top, far, bottom, near
    point F along top from A by half
    point E where plumb of F meets bottom
    point G where square from F meets bottom
    point H where hip / 20 from F meets top, right
"""


def test_places_without_lengths_of_their_own_are_the_sum_of_their_slopes():
    style = style_of(GROWS)
    bodies = many(hip=[940.0, 1010.0], waist=[690.0, 760.0], waist_to_hip=[190.0, 215.0])
    (found,) = slopes(style, bodies)
    table = np.stack([bodies[name] for name in found.measures], axis=1)
    drawn = {(piece.name, place): where for piece in found.draft.pattern.pieces for place, where in landmarks(piece).items()}
    assert len(found.places) > 8
    for key, every in found.places.items():
        assert np.abs((every * table[:, :, None]).sum(axis=1) - drawn[key]).max() < 1e-4, key  # a find is met to 1e-5 mm
    for row in found.draft.ledgers.girths:
        assert np.abs((found.girths[row.level] * table).sum(axis=1) - row.sewn).max() < 1e-4


def test_duals_draw_what_the_draft_drew():
    style, body = shipped("dipped_bodice")
    bodies = varied(body, np.random.default_rng(5), 3)
    for one in draft(style, bodies):
        n = len(one.index)
        pattern, ledgers, _ = moving(one, np.arange(n), {"bust": np.ones(n)})
        for piece, other in zip(one.pattern.pieces, pattern.pieces, strict=True):
            for (name, place), varied_place in zip(landmarks(piece).items(), landmarks(other).values(), strict=True):
                value = varied_place.value if isinstance(varied_place, Dual) else varied_place
                assert np.allclose(value, place, rtol=0.0, atol=1e-9), name
        assert [row.level for row in ledgers.girths] == [row.level for row in one.ledgers.girths]


def test_a_body_that_cannot_be_drawn_has_no_slopes():
    """Neck and waist far too wide for all else, and a short back: nothing is told of what was not drawn, and nothing breaks."""
    style, body = shipped("princess_bodice")
    bad = {name: value * (1.6 if name in ("waist", "neck") else 0.7) for name, value in body.items()} | {"nape_to_waist": 170.0}
    (found,) = slopes(style, {name: np.array([value]) for name, value in bad.items()}, varied=("bust", "waist"))
    assert found.draft.failed.all()
    drawn = {(piece.name, name): place for piece in found.draft.pattern.pieces for name, place in landmarks(piece).items()}
    lost = [key for key in found.places if not np.isfinite(drawn[key]).all()]
    assert lost and all(np.isnan(found.places[key]).all() for key in lost)


# ------------------------------------------------------------ duals


RULES = {
    "products": (lambda x: x * x * 3.0 - 2.0 / x, lambda x: 6.0 * x + 2.0 / x**2),
    "powers": (lambda x: x**3, lambda x: 3.0 * x**2),
    "root": (np.sqrt, lambda x: 0.5 / np.sqrt(x)),
    "sine": (np.sin, np.cos),
    "cosine": (np.cos, lambda x: -np.sin(x)),
    "tangent": (np.tan, lambda x: 1.0 / np.cos(x) ** 2),
    "arcsine": (lambda x: np.arcsin(x / 2.0), lambda x: 0.5 / np.sqrt(1.0 - x * x / 4.0)),
    "arccosine": (lambda x: np.arccos(x / 2.0), lambda x: -0.5 / np.sqrt(1.0 - x * x / 4.0)),
    "angle": (lambda x: np.arctan2(x, 1.0 - x), lambda x: 1.0 / (x * x + (1.0 - x) ** 2)),
    "size": (lambda x: abs(0.5 - x), lambda x: np.sign(x - 0.5)),
    "copied sign": (lambda x: np.copysign(x, -x), lambda x: np.full(3, -1.0)),
    "remainder": (lambda x: np.mod(5.0 * x, 1.0), lambda x: np.full(3, 5.0)),
    "least": (lambda x: np.minimum(x, 0.7), lambda x: x < 0.7),
    "greatest known": (lambda x: np.fmax(np.where(x > 0.7, x, np.nan), 0.1), lambda x: x > 0.7),
    "clipped": (lambda x: np.clip(2.0 * x, x, 1.2), lambda x: 2.0 * (x < 0.6)),
    "sorted": (lambda x: np.sort(np.stack([1.0 - x, x]), axis=0)[1], lambda x: np.sign(x - 0.5)),
    "picked": (lambda x: np.stack([x, x * x]).max(axis=0), lambda x: np.ones(3)),
    "summed": (np.cumsum, lambda x: np.arange(1.0, 4.0)),
    "numbers only": (lambda x: np.nan_to_num(np.where(x > 0.5, x, np.nan)), lambda x: x > 0.5),
    "selected": (lambda x: np.select([x > 0.7, x > 0.1], [x, 3.0 * x]), lambda x: np.where(x > 0.7, 1.0, 3.0)),
}


@pytest.mark.parametrize("rule", RULES)
def test_rules_of_differentiation(rule):
    function, slope = RULES[rule]
    at = np.array([0.3, 0.55, 0.9])
    result = function(Dual(at, 1.0))
    assert np.allclose(result.value, function(at), rtol=1e-15)
    assert np.allclose(result.slope, slope(at), rtol=1e-13, atol=0.0)


def test_a_lost_slope_is_loud():
    dual, array = Dual(np.ones(3), 1.0), np.zeros(3)
    for lose in (
        lambda: np.asarray(dual),
        lambda: np.array(dual, dtype=float),
        lambda: array.__setitem__(0, dual[0]),
        lambda: array.__iadd__(dual),
        lambda: np.maximum.reduce([dual, dual]),
        lambda: np.max([dual, dual], axis=0),
    ):
        with pytest.raises((TypeError, ValueError)):
            lose()
    assert put(array, slice(None), dual).slope.all() and floats(dual) is dual
    assert type(dual > 0.0) is np.ndarray and type(np.isfinite(dual)) is np.ndarray


def test_a_root_moves_as_its_equation_says():
    """x^2 = a has x = sqrt(a), found between bounds; and what does not move leaves a root where it is, be it a touch."""
    a = Dual(np.array([2.0, 9.0]), np.array([1.0, 3.0]))
    x, found, *_ = root(lambda x: x * x - a, np.zeros(2), np.full(2, 10.0), tolerance=1e-13)
    assert found.all() and np.allclose(x.slope, a.slope / (2.0 * np.sqrt(a.value)), rtol=1e-9)
    angle = np.arcsin(a.value / 10.0)
    assert np.allclose(settled(lambda x: np.sin(x) - a / 10.0, angle).slope, a.slope / 10.0 / np.cos(angle))
    with np.errstate(invalid="ignore"):
        assert at_root(np.ones(1), np.zeros(1), np.zeros(1)).slope == 0.0


# ------------------------------------------------------------ where a grade breaks


def test_a_least_breaks_where_algebra_says():
    """hip / 4 is 26 cm at a hip of 104 cm, and 2 / 5 of the waist at 112 cm."""
    style = tube("least of (hip / 4, 26 cm, waist * 2/5)")
    found, stretches = grade_breaks(style, BODY)
    assert [(one.measure, one.rules[0].words) for one in found] == [("waist", "least of"), ("hip", "least of")]
    waist, hip = found
    assert waist.value == pytest.approx(600.0, abs=0.01) and hip.value == pytest.approx(1040.0, abs=0.01)
    assert np.allclose(hip.slopes["panel", "B"], [[0.25, 0.0], [0.0, 0.0]]) and ("panel", "C") not in hip.slopes
    assert np.allclose(waist.slopes["panel", "B"], [[0.4, 0.0], [0.0, 0.0]]) and not waist.leaps
    assert "least of (hip / 4, 26 cm, waist * 2/5)" in hip.rules[0].span.text
    assert stretches["hip"].high == hip.value and stretches["hip"].low < 500.0
    assert np.allclose(stretches["hip"].most["panel", "B"], [0.25, 0.0], atol=1e-12)


def test_a_way_that_nothing_feels_is_no_break():
    style = tube("hip / 4", quantities='unused = least of (hip, 98 cm)\nrequire unused at most 200 cm "far"')
    assert grade_breaks(style, BODY)[0] == []


def test_two_ways_of_one_slope_are_no_break():
    assert grade_breaks(tube("(hip / 4 when hip more than 98 cm otherwise hip * 0.25)"), BODY)[0] == []


@pytest.mark.parametrize(
    "width, value, leap",
    [
        ("hip / 4 + (2 cm when hip more than 100 cm otherwise 0 cm)", 1000.0, 20.0),
        ("rounded_up of (hip / 40 cm) * 10 cm", 1200.0, 100.0),
    ],
)
def test_a_leap_is_told(width, value, leap):
    found, _ = grade_breaks(tube(width), {**BODY, "hip": value - 60.0}, ranges={"hip": (value - 100.0, value + 90.0)}, varied=("hip",))
    (found,) = found
    assert found.value == pytest.approx(value, abs=0.011) and np.allclose(found.leaps["panel", "B"], [leap, 0.0], atol=0.01)


def test_a_fork_tells_its_rule_and_the_places_it_brings():
    style = style_of(
        TUBE.format(
            width="hip / 4 + flare",
            depth="60 cm",
            quantities="""
when hip at least 100 cm
    flare = hip / 8 - 12.5 cm
otherwise
    flare = 0 cm""",
        )
        + "    when hip at least 100 cm\n        point V C up 18 cm\n"
    )
    (found,) = grade_breaks(style, BODY, varied=("hip",))[0]
    assert found.value == pytest.approx(1000.0, abs=0.011) and found.above_only == (("panel", "V"),) and not found.below_only
    assert {rule.words for rule in found.rules} == {"when"} and len(found.rules) == 2
    assert np.allclose(found.slopes["panel", "B"], [[0.25, 0.0], [0.375, 0.0]]) and not found.leaps


def test_a_curve_is_told_apart_from_a_break():
    """root of (hip^2 - waist^2) has a slope of hip over itself: no break, but not in proportion."""
    found, stretches = grade_breaks(
        tube("root of (hip * hip - waist * waist) / 4"), BODY, ranges={"hip": (900.0, 1200.0)}, varied=("hip",)
    )
    assert not found
    low, high = stretches["hip"].least["panel", "B"][0], stretches["hip"].most["panel", "B"][0]
    slope = [hip / math.sqrt(hip**2 - 700.0**2) / 4.0 for hip in (1200.0, 900.0)]
    assert [low, high] == pytest.approx(slope, abs=1e-4)


def test_a_smooth_side_breaks_where_it_begins_to_be_held():
    """Three widths in a row: held (a tangent straight down) as soon as the lowest is no more than the middle one."""
    style = style_of("""language 1
style side "Side"
measure waist, hip, waist_to_hip
levels
    waist
    hip waist_to_hip below waist
    hem waist_to_hip below hip
piece front "Front"
    cut 2
    widths from centre, with darts
        waist waist / 4
        hip hip / 4
        hem 25 cm
    side smooth waist to hem
    point P along side from waist_side by half
""")
    found, _ = grade_breaks(style, BODY, ranges={"hip": (900.0, 1100.0)}, varied=("hip",))
    assert [one.value for one in found if ("front", "P") in one.slopes] == pytest.approx([1000.0], abs=0.02)
    assert {rule.words for one in found for rule in one.rules} == {"smooth"}


def test_a_slash_that_passes_a_dart_is_told():
    """Two darts at one point; the second is pivoted to a place that leads from one side of the first to the other."""
    style = style_of("""language 1
style passed "Passed"
measure waist, hip, waist_to_hip
foundation base "Base"
    cut 1
    point A start
    point B A across 30 cm
    point C A down 40 cm
    point D B down 40 cm
    point P A across 15 cm, down 20 cm
    line top A to B
    line left A to C
    line right B to D
    line hem C to D
    outline top, right, hem, left
    dart on top at half
        intake 2 cm
        point at P
        press toward A
    dart on right at half, called other
        intake 2 cm
        point at P
        press toward B
piece moved "Moved" from base
    pivot other to top at hip / 6 from A, called low
""")
    (found,) = grade_breaks(style, BODY, ranges={"hip": (600.0, 1200.0)}, varied=("hip",))[0]
    first = draft(style, many())[0].pattern.foundations[0].edge("top").strips[0].length()[0]  # the dart lies so far along the top
    assert found.value == pytest.approx(6.0 * first, abs=0.01)
    assert found.rules[0].words == "on which part of an edge a place falls" and "pivot other" in found.rules[0].span.text
    assert ("moved", "dart_near") in found.leaps


@pytest.mark.parametrize("name, measure", [("corselet_skirt", "waist"), ("straight_skirt", "hip")])
def test_slopes_leap_only_at_breaks(name, measure):
    """Along a sweep the slope of a place goes on from step to step, but for the breaks that are told."""
    style, body = shipped(name)
    ranges = {measure: (body[measure] * 0.9, body[measure] * 1.1)}
    found = grade_breaks(style, body, ranges=ranges, varied=(measure,))[0]
    at = np.linspace(*ranges[measure], 120)
    table, sound = {}, np.zeros(len(at), dtype=bool)
    for some in slopes(
        style, {name: at if name == measure else np.full(len(at), value) for name, value in body.items()}, varied=(measure,)
    ):
        sound[some.index] = ~some.draft.failed
        for key, every in some.places.items():
            table.setdefault(key, np.full((len(at), 2), np.nan))[some.index] = every[:, 0]
    leaps = 0
    for key, every in table.items():
        every[~sound] = np.nan
        steps = np.abs(np.diff(every, axis=0)).max(axis=1)
        for k in np.flatnonzero(steps > max(0.005, 12.0 * np.nanmedian(steps))):
            beside = np.nanmax(steps[[max(k - 1, 0), min(k + 1, len(steps) - 1)]])
            if beside < 0.4 * steps[k]:  # else it is steep there
                leaps += 1
                assert any(one.of(key) and at[k] - 0.02 <= one.value <= at[k + 1] + 0.02 for one in found), (
                    key,
                    at[k],
                    every[k : k + 2],
                )
    assert leaps


# ------------------------------------------------------------ in words


def test_slopes_read_as_a_cutter_speaks():
    style = tube("hip / 4")
    metric, inches = Teller(style), Teller(style, "in")
    assert metric.slope((0.25, 0.0), "hip") == "2.5 mm out" and inches.slope((0.25, 0.0), "hip") == "0.25 in out"
    assert metric.slope((-0.1, 1.0), "hip") == "1 mm in, 10 mm down" and metric.slope((0.0, -0.5), "hip") == "5 mm up"
    assert metric.slope((0.004, 0.0), "hip") == ""  # too little to be told
    assert metric.value(1040.0, "hip") == "104 cm" and inches.value(1040.0, "hip") == "40.94 in"
    assert metric.differ(np.array([0.25, 0.0]), np.array([0.27, 0.0]), "hip")
    assert not metric.differ(np.array([0.25, 0.0]), np.array([0.255, 0.0]), "hip")


def test_a_table_has_a_row_for_each_place_that_moves():
    style = tube("hip / 4")
    found = slopes(style, many(hip=[900.0, 1000.0]))
    table = slope_table(found, style, names=["38", "40"])
    assert tuple(table[0]) == HEADER
    assert ["40", "panel", "B", "hip", "2.5", "0", "", "mm for each cm"] in table
    assert ["38", "panel", "B", "hip", "0.25", "0", "", "in for each in"] in slope_table(found, style, "in", ["38", "40"])
    assert len(table) == 1 + 2 * len([1 for every in found[0].places.values() for one in every[0] if one.any()])
