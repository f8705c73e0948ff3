"""Laws of edges carried on past an end, and of half angles: held by circles and sides reckoned from the drawn points."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_slopes import differences
from workbench import bodies, drafted, style_of, told

law = settings(max_examples=10, deadline=None)
seeds = st.integers(0, 2**32 - 1)

BASE = """language 1
style carried "Carried"
measure waist, hip, waist_to_hip, waist_to_knee
piece base "Base"
    point A start
    point B A across hip / 4
    point C A down 60 cm
    point D B down 40 cm, go out 2 cm
    point E B down 20 cm, go out 3 cm
    line  centre A to C
    line  top    A to B
{lines}
    line  rest   D to C
    outline centre, top, side, rest
{points}
"""


def draft_of(lines, points, seed):
    one_draft = drafted(style_of(BASE.format(lines=indented(lines), points=indented(points))), bodies(np.random.default_rng(seed), 3))
    return one_draft


def indented(text):
    return "\n".join("    " + line for line in text.splitlines())


def circle(a, b, c):
    """The centre and radius of the circle through three places (2,)."""
    (ax, ay), (bx, by), (cx, cy) = a, b, c
    d = 2 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    x = ((ax**2 + ay**2) * (by - cy) + (bx**2 + by**2) * (cy - ay) + (cx**2 + cy**2) * (ay - by)) / d
    y = ((ax**2 + ay**2) * (cx - bx) + (bx**2 + by**2) * (ax - cx) + (cx**2 + cy**2) * (bx - ax)) / d
    return np.array([x, y]), float(np.hypot(ax - x, ay - y))


def drawn(piece, name):
    return next(mark for mark in piece.marks if mark.name == name).path


CURVES = {
    "curve": "curve side B to D, bowed {bow} mm right",
    "through": "curve side B to D through E",
    "leaving": "curve side B to D, leaving plumb, arriving at 80 deg",
    "arc": "arc side B to D, bowed {bow} mm right",
    "joined": "curve upper B to E, bowed {bow} mm right\nline lower E to D\nedge side upper, lower",
}


@given(st.sampled_from(sorted(CURVES)), st.integers(3, 30), st.integers(1, 150), st.sampled_from("BD"), seeds)
@law
def test_it_goes_on_in_direction_and_bend(kind, bow, long, end, seed):
    """The tail leaves where and as the edge ended, is so long, and lies on the circle of the edge's last stretch."""
    one_draft = draft_of(
        CURVES[kind].format(bow=bow),
        f"curve tail carried on from {end} along side by {long} mm\npoint T carried on from {end} along side by {long} mm\npoint O carried on from {end} along side by 1 mm",
        seed,
    )
    piece = one_draft.pattern.piece("base")
    tail_end, side = piece.points["tail_end"], piece.edge("side").closed
    assert np.array_equal(tail_end, piece.points["T"])
    corner = piece.points[end]
    path = side.reversed() if end == "B" else side
    if np.abs(path.end() - corner).max() > 1e-9:
        path = path.reversed()
    for body in range(3):
        near = [path.take([body]).point_at(path.take([body]).length() - back)[0] for back in (0.0, 0.02, 0.04)]
        heading = (near[0] - near[1]) / np.hypot(*(near[0] - near[1]))
        out = piece.points["O"][body] - corner[body]
        assert out @ heading / np.hypot(*out) > 0.999
        a, b, c = (path.take([body]).point_at(path.take([body]).length() - back)[0] for back in (0.0, 0.5, 1.0))
        chord = np.hypot(*(tail_end[body] - corner[body]))
        with np.errstate(divide="ignore", invalid="ignore"):
            centre, radius = circle(a, b, c)
        if not radius < 1e6:  # straight: a chord as long as the tail, in its direction
            assert chord == pytest.approx(long, abs=1e-3)
            continue
        assert chord == pytest.approx(2 * radius * np.sin(long / radius / 2), rel=0.02)
        assert np.hypot(*(tail_end[body] - centre)) == pytest.approx(radius, rel=0.03)


@given(st.integers(3, 60), st.integers(1, 100), st.integers(1, 100), seeds)
@law
def test_an_arc_goes_on_along_its_own_circle_and_once_more(bow, first, second, seed):
    points = f"""curve tail carried on from D along side by {first} mm
curve more carried on from tail_end along tail by {second} mm
point T carried on from D along side by {first + second} mm"""
    piece = draft_of(f"arc side B to D, bowed {bow} mm right", points, seed).pattern.piece("base")
    assert np.allclose(piece.points["more_end"], piece.points["T"])
    for body in range(3):
        middle = piece.edge("side").closed.take([body]).point_at(piece.edge("side").closed.take([body]).length() / 2)[0]
        centre, radius = circle(piece.points["B"][body], middle, piece.points["D"][body])
        assert np.hypot(*(piece.points["T"][body] - centre)) == pytest.approx(radius, abs=1e-6)
        swept = 2 * np.arcsin(np.hypot(*(piece.points["T"][body] - piece.points["D"][body])) / 2 / radius)
        assert swept * radius == pytest.approx(first + second, abs=1e-6)


def test_a_line_goes_on_straight():
    piece = draft_of("line side B to D", "curve tail carried on from B along side by 5 cm", 1).pattern.piece("base")
    b, d = piece.points["B"], piece.points["D"]
    assert np.allclose(piece.points["tail_end"], b + (b - d) / np.hypot(*(b - d).T)[:, None] * 50.0)


def test_a_tail_is_an_edge_like_any_other():
    """It can be joined to its edge, so that the outline runs on without a corner, and a level line can meet it."""
    text = BASE.format(
        lines=indented("curve upper B to D, bowed 1 cm right\ncurve tail carried on from D along upper by 8 cm\nedge side upper, tail"),
        points="    point M where level of L meets tail\n    point L D down 3 cm",
    ).replace("rest   D to C", "rest tail_end to C")
    one_draft = drafted(style_of(text), bodies(np.random.default_rng(3), 3))
    assert not told(one_draft)
    piece = one_draft.pattern.piece("base")
    assert np.allclose(piece.points["M"][:, 1], piece.points["L"][:, 1])
    side = piece.edge("side").closed
    (joint,) = {round(float(x), 6) for x in side.reach()[:, 1] - side.reach()[:, 0]} and [side.segments[1].start()]
    assert np.allclose(joint, piece.points["D"])
    assert np.allclose(side.segments[0].direction(1.0), side.segments[1].direction(0.0))


@pytest.mark.parametrize("by, found", [("0 cm", "0"), ("0 cm - 2 cm", "-2 cm"), ("4 m", "400 cm")])
def test_not_by_nothing_nor_round_about(by, found):
    one_draft = draft_of("curve side B to D, bowed 8 cm right", f"point T carried on from D along side by {by}", 1)
    (said,) = told(one_draft)
    assert said.code == "D546" and said.found.startswith(found)


# ------------------------------------------------------------ half of an angle


@given(st.integers(-175, 175), st.integers(-170, 170), st.integers(1, 200), seeds)
@law
def test_half_of_an_angle_is_equally_far_from_both_sides(turn, angle, long, seed):
    points = f"""point Q A at {turn} deg by 10 cm
point R A at {turn + angle} deg by 7 cm
point H along half of the angle at A from Q to R by {long} mm
point J along half of the angle at A from R to Q by {long} mm
half_angle = angle at A from Q to H
whole_angle = angle at A from Q to R"""
    one_draft = draft_of("line side B to D", points, seed)
    piece = one_draft.pattern.piece("base")
    h = piece.points["H"]
    assert np.allclose(piece.points["J"], h) and np.allclose(np.hypot(*h.T), long)
    direction = h[0, 0] + 1j * h[0, 1]
    wanted = np.exp(1j * np.radians(turn + angle / 2))
    assert abs(direction / abs(direction) - wanted) < 1e-9
    for name in "QR":
        side = piece.points[name][0] / np.hypot(*piece.points[name][0])
        assert abs(abs(side[0] * h[0, 1] - side[1] * h[0, 0]) - long * abs(np.sin(np.radians(angle / 2)))) < 1e-6


def test_half_of_an_angle_is_a_line_like_any_other():
    points = """point H where half of the angle at A from B to C meets side
point K C square to half of the angle at A from B to C down 5 cm
point L where square from C meets half of the angle at A from B to C"""
    piece = draft_of("line side B to D", points, 1).pattern.piece("base")
    assert np.allclose(piece.points["H"][:, 0], piece.points["H"][:, 1])
    assert np.allclose(piece.points["K"] - piece.points["C"], 50 * np.sqrt(0.5) * np.array([-1.0, 1.0]))
    assert np.allclose(piece.points["L"], [[300.0, 300.0]])


def test_a_curve_may_leave_along_half_of_an_angle():
    lines = "curve side B to D, leaving along half of the angle at B from A to D"
    piece = draft_of(lines, "point H along half of the angle at B from A to D by 1 cm", 1).pattern.piece("base")
    out = (piece.points["H"] - piece.points["B"]) / 10.0
    assert np.allclose(piece.edge("side").closed.start_direction(), out)


def test_a_straight_angle_has_no_half():
    (said,) = told(draft_of("line side B to D", "point M halfway A to B\npoint H along half of the angle at M from A to B by 1 cm", 1))
    assert said.code == "D545" and '"M"' in said.title


def test_the_slopes_of_both_are_those_of_drafts():
    lines = "curve side B to D, bowed hip / 60 right"
    points = """curve tail carried on from D along side by waist / 20
point H along half of the angle at B from A to D by hip / 30
mark "half" B to H"""
    style = style_of(BASE.format(lines=indented(lines), points=indented(points)))
    exact, rough = differences(style, {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0, "waist_to_knee": 580.0})
    seen = [key for key in exact.places if key[1] in ("tail_end", "H")]
    for key in exact.places:
        assert np.abs(exact.places[key][0] - rough[key]).max() <= 1e-5
    assert seen
