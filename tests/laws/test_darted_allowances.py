"""Laws of allowances over darts and pleats: folded, the cut piece is cut along the offset of the folded stitching line.

The paper is folded here by its own means: a dart is closed by the turn and shift that lays the line of its far leg on
that of its near one, read from the drawn legs; over its mouth the cloth is folded along the line midway between its
feet.  The offset of the folded stitching line is shapely's.
"""

import re

import numpy as np
import pytest
import shapely
from changing import dense, drafts_of, figures, place, sheets
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from workbench import HEAD, bodies, drafted, style_of

from tapeline.finishing.finish import finish

law = settings(max_examples=20, deadline=None)
seeds = st.integers(0, 2**32 - 1)
N = 3
NEAR = 0.04  # mm; chords of the cut line, and of the witness


# ------------------------------------------------------------ generated styles


@st.composite
def skirts(draw):
    """A panel with one to six darts in its slanted or curved top edge, or with pleats, and a seam allowance there."""
    count = draw(st.integers(1, 6))
    dip = draw(st.integers(0, 140))
    shape = draw(st.sampled_from(["", ", hollow 4 mm", ", straight"])) if dip else ""
    held = draw(st.booleans())
    at = f"darts {count} on top, evenly between centre and side" if count > 1 else f"dart on top at {draw(st.integers(35, 65))} / 100"
    step = f", each {draw(st.integers(0, 8))} mm {draw(st.sampled_from(['longer', 'shorter']))} toward centre" if count > 1 else ""
    darts = f"""
    {at}, called take
        intake {draw(st.integers(4, 14))} mm{" each" if count > 1 else ""}{", held to waist" if held else ""}
        points {draw(st.integers(0, 60))} mm above hip at the side{step}
        press toward {draw(st.sampled_from(["centre", "side"]))}"""
    if count == 1:
        darts = darts.replace("points", "point").replace(" at the side", "")
    pleats = ""
    if draw(st.integers(0, 3)) == 0:
        deep = draw(st.integers(5, 30))
        darts, pleats = (
            "",
            f"""
piece pleated from panel
    pleats {count} on top to hem, {deep} mm deep, {draw(st.integers(deep, 40))} mm deep at hem, pressed toward {draw(st.sampled_from(["centre", "side"]))}
""",
        )
    kind = draw(st.sampled_from(["", " faced", " turned up"]))
    corner = draw(st.sampled_from(["", "pointed", "square to top", "square to side", "cut off", "as folded"]))
    return (
        HEAD
        + f"""
levels
    top
    waist 16 cm below top
    hip   waist_to_hip below waist
    hem   60 cm below waist

piece panel
    cut 2
    widths from centre, before darts
        top    waist * 0.95 / 4
        waist  waist / 4
        hip    hip / 4
        hem    hip / 4
    side smooth top to hip, plumb at hip
    {f"dip top {dip} mm at centre{shape}" if dip else ""}
    {darts}
{pleats}
allow
    top    {draw(st.integers(5, 45))} mm{kind}
    hem    4 cm turned up
    others {draw(st.integers(8, 20))} mm
    {f"corner top and side {corner}" if corner else ""}
"""
    )


# ------------------------------------------------------------ folding by hand


def plane(points):
    return points[..., 0] + 1j * points[..., 1]


def facing(leg):
    """The direction (N,) in which a leg comes to its foot from within, as the foot's end of it runs."""
    segment = next(segment for segment in leg.segments if np.nanmax(segment.length()) > 1e-6)
    way = plane(segment.sample(np.array([0.0]))[:, 0] - segment.sample(np.array([1.0]))[:, 0])
    return way / np.abs(way)


def closing(dart, body):
    """(turn, shift): z -> turn * z + shift lays the far leg on the near one."""
    turn = facing(dart.near_leg)[body] / facing(dart.far_leg)[body]
    return turn, plane(dart.near_foot)[body] - turn * plane(dart.far_foot)[body]


def mirrored(z, at, way):
    return at + way * np.conj((z - at) / way)


def lies_under(z, dart, body):
    """Where points of the dart's cloth lie when it is folded to its side, in the place of the near strip."""
    near, far = plane(dart.near_foot)[body], plane(dart.far_foot)[body]
    turn, shift = closing(dart, body)
    axis = facing(dart.near_leg)[body] + facing(dart.far_leg)[body]
    beyond = np.imag((z - (near + far) / 2) / axis) * np.imag((far - near) / axis) > 0.0  # on the far side of the fold
    if dart.press == "near":
        return np.where(beyond, turn * z + shift, mirrored(z, near, facing(dart.near_leg)[body]))
    return np.where(beyond, turn * mirrored(z, far, facing(dart.far_leg)[body]) + shift, z)


def sewn_line(edge, body):
    """The stitching line with every dart closed, and the motion of each strip."""
    motions, line = [(1.0 + 0.0j, 0.0j)], []
    for dart in edge.darts:
        turn, shift = closing(dart, body)
        before, aside = motions[-1]
        motions.append((before * turn, before * shift + aside))
    for strip, (turn, shift) in zip(edge.strips, motions, strict=True):
        line.append(turn * plane(dense(strip))[body] + shift)
    return np.concatenate(line), motions


def folded_cut(edge, run, notches, body):
    """The cut line of an edge, point by point where it lies with the darts folded; and the strips' part of it, strip by strip."""
    z = plane(run[body])
    _, motions = sewn_line(edge, body)
    stops = [0]
    for near, far in zip(notches[::2], notches[1::2], strict=True):
        for notch in (near, far):
            gap = np.abs(z[stops[-1] :] - plane(notch.on_cut)[body])
            assert gap.min() < 1e-6, "the leg, run on, ends on the cut line"
            stops.append(stops[-1] + int(np.argmin(gap)))
    stops.append(len(z) - 1)
    strips, unders = [], []
    for k, (turn, shift) in enumerate(motions):
        strips.append(turn * z[stops[2 * k] : stops[2 * k + 1] + 1] + shift)
        if k < len(edge.darts):
            turn_of_near, shift_of_near = motions[k]
            under = lies_under(z[stops[2 * k + 1] : stops[2 * k + 2] + 1], edge.darts[k], body)
            unders.append(turn_of_near * under + shift_of_near)
    return strips, unders


def hold_fold(piece, finished_piece, edge):
    """The law, for every body whose piece can be cut; how many points were held to it."""
    held = 0
    cloth = shapely.polygons(dense(piece.stitch_outline()))
    run = finished_piece.cut_line[:, finished_piece.runs[edge.name]]
    width = finished_piece.allowances[edge.name].width
    dart_names = {dart.name for dart in edge.darts}
    notches = [notch for notch in finished_piece.notches if notch.edge == edge.name and notch.name in dart_names]
    for body in np.flatnonzero(np.isfinite(run).all(axis=(1, 2))):
        sewn, _ = sewn_line(edge, body)
        cut = shapely.remove_repeated_points(shapely.Polygon(finished_piece.cut_line[body]), 1e-6)
        assert cut.is_valid, shapely.is_valid_reason(cut)
        assert cloth[body].difference(cut).area < 1.0
        if len(notches) == 2 * len(edge.darts) and all(np.isfinite(notch.on_cut[body]).all() for notch in notches):
            for dart, near, far in zip(edge.darts, notches[::2], notches[1::2], strict=True):
                for foot, leg, notch in ((dart.near_foot, dart.near_leg, near), (dart.far_foot, dart.far_leg, far)):
                    out = (plane(notch.on_cut)[body] - plane(foot)[body]) / facing(leg)[body]
                    assert abs(out.imag) < 1e-6 and out.real > 0.0, "a leg runs straight on"
                turn, shift = closing(dart, body)
                assert abs(turn * plane(far.on_cut)[body] + shift - plane(near.on_cut)[body]) < 1e-6
            strips, unders = folded_cut(edge, run, notches, body)
            mirrored = any(c.kind[body] == "as folded" and edge.name in (c.edge_in, c.edge_out) for c in finished_piece.corners)
            held += hold_on_offset(sewn, strips, unders, width[body], finished_piece.turn[body], mirrored)
    return held


def hold_on_offset(sewn, strips, unders, width, turn, mirrored):
    line = shapely.LineString(np.stack([sewn.real, sewn.imag], axis=1))
    line = shapely.remove_repeated_points(line, 1e-6)
    offset = shapely.offset_curve(line, -turn * width, join_style="mitre", mitre_limit=2.5)

    def beside_the_edge(z):
        """Past the ends of the edge are the corners, which have laws of their own; one as folded may lean in over the edge."""
        points = shapely.points(z.real, z.imag)
        at = shapely.line_locate_point(line, points)
        beside = (at > 1e-6) & (at < line.length - 1e-6)
        if mirrored:
            near_end = np.minimum(at, line.length - at) < 4.0 * width
            beside &= ~(near_end & (shapely.distance(line, points) < width - NEAR))
        return beside

    held = 0
    for z in (*strips, *unders):
        z = z[beside_the_edge(z)]
        off = shapely.distance(shapely.points(z.real, z.imag), offset)
        assert off.max(initial=0.0) < NEAR, "folded, the cut line lies on the offset of the folded stitching line"
        held += len(z)
    # The upper layer is whole: strip runs on from strip.
    for one, other in zip(strips, strips[1:], strict=False):
        assert abs(one[-1] - other[0]) < 1e-6
    return held


# ------------------------------------------------------------ the laws


@law
@given(skirts(), seeds)
def test_folding_the_cut_piece_gives_the_offset_of_the_folded_stitching_line(text, seed):
    one = drafted(style_of(text), bodies(np.random.default_rng(seed), N))
    assume(not one.failed.all())
    done, failures = finish(one.pattern)
    assert {failure.code for failure in failures} <= {"T501", "T502"}, [
        failure.diagnostic(int(np.argmax(failure.bodies))) for failure in failures
    ]
    finished_piece = done.pieces[-1]
    hold_fold(finished_piece.piece, finished_piece, finished_piece.piece.edge("top"))


@law
@given(sheets(least=2), seeds, st.data())
def test_darts_that_were_moved_and_shortened_are_cut_as_folded_too(sheet, seed, data):
    """On edges of every shape, drawn either way round; a shortened dart leaves a corner in the sewn edge."""
    moved, shortened = list(sheet.darts)[:2]
    other = data.draw(st.sampled_from([edge for edge in sheet.free if edge not in sheet.darts.values()] or [sheet.darts[shortened]]))
    text = (
        sheet.text
        + f"""
piece made from front
    pivot {moved} to {other} at {place(data.draw)}, called moved
    shorten {shortened} by {data.draw(st.integers(5, 30))} mm
allow
    others {data.draw(st.integers(5, 25))} mm
"""
    )
    assert hold_all(text, figures(seed)) > 0


def hold_all(text, measures):
    """Hold the law on every darted edge of the last piece; how many points were held to it."""
    held = 0
    for one in drafts_of(text, measures):
        done, _ = finish(one.pattern)
        piece = done.pieces[-1].piece
        held += sum(hold_fold(piece, done.pieces[-1], edge) for edge in piece.edges if edge.darts)
    return held


# ------------------------------------------------------------ what cannot be folded

TUCKS = (
    HEAD
    + """
levels
    waist
    hem   60 cm below waist

foundation long
    cut 2
    widths from centre, before darts
        waist  waist / 4
        hem    hip / 4
    side straight waist to hem
    darts 3 on waist, evenly between centre and side, called tuck
        intake 16 mm each
        points 20 cm long
        press toward centre

piece panel from long
    shorten tuck1 by 17 cm
    shorten tuck2 by 17 cm
    shorten tuck3 by 17 cm

allow
    waist  8 cm
    others 1 cm
"""
)


def test_legs_that_meet_within_the_allowance_are_told_with_the_largest_width():
    """The darts are folded by hand: where the lines of two neighbouring legs cross is as far from the seam as can be cut."""
    style = style_of(TUCKS)
    one = drafted(style, bodies(np.random.default_rng(3), N))
    assert not one.failed.any()
    edge = one.pattern.pieces[0].edge("waist")
    (failure,) = finish(one.pattern)[1]
    assert failure.code == "T505" and failure.bodies.any()
    for body in range(N):
        sewn, motions = sewn_line(edge, body)
        line = shapely.LineString(np.stack([sewn.real, sewn.imag], axis=1))
        legs = [
            (turn * plane(dart.near_foot)[body] + shift, turn * facing(dart.near_leg)[body])
            for dart, (turn, shift) in zip(edge.darts, motions, strict=False)
        ]
        reach = []
        for (foot, way), (next_foot, next_way) in zip(legs, legs[1:], strict=False):
            along = np.imag((next_foot - foot) * np.conj(next_way)) / np.imag(way * np.conj(next_way))
            at = foot + along * way
            reach.append(shapely.distance(line, shapely.Point(at.real, at.imag)) if along > 0.0 else np.inf)
        assert failure.bodies[body] == (min(reach) < 80.0)
        if failure.bodies[body]:
            said = failure.diagnostic(body)
            assert re.fullmatch(r"The legs of tuck\d and tuck\d meet within the seam allowance of panel.waist", said.title)
            most = float(re.search(r"at most ([\d.]+) cm", said.suggestion)[1]) * 10.0
            assert most == pytest.approx(min(reach), abs=0.12) and most <= min(reach) + 0.02


def test_small_darts_leave_room_for_a_wide_facing():
    """Case: 1 1/2 in along a top edge dipped 5 1/2 in with three held half-inch darts, an everyday top edge."""
    text = (
        HEAD
        + """
levels
    top
    waist 16 cm below top
    hem   60 cm below waist

piece panel
    cut 2
    widths from centre, before darts
        top    waist / 4
        waist  waist / 4
        hem    hip / 4
    side smooth top to waist, straight waist to hem
    dip top 5 1/2 in at centre
    darts 3 on top, evenly between centre and side, called dart
        intake 1/2 in each, held to waist
        points 12 cm below waist
        press toward centre

allow
    top    1 1/2 in faced
    others 1 cm
"""
    )
    one = drafted(style_of(text), bodies(np.random.default_rng(5), 40))
    assert not one.failed.any()
    done, failures = finish(one.pattern)
    assert failures == []
    piece = done.pieces[0]
    assert hold_fold(piece.piece, piece, piece.piece.edge("top")) > 40 * 100


@pytest.mark.parametrize("press", ["B", "C"])
@pytest.mark.parametrize("deep", [6, 14])
def test_a_wide_dart_beside_a_corner_is_cut_as_folded(press, deep):
    """Its mouth comes within 4 mm of the corner, so folded it lies past the end of the edge, or its leg runs past it."""
    text = (
        HEAD
        + f"""
piece panel
    cut 2
    point A start
    point B A across 24 cm
    point C B down 30 cm, left 2 cm
    point D A down 30 cm
    point P B down 34 mm, left {deep} cm
    line top   A to B
    line side  B to C
    line low   C to D
    line front D to A
    outline top, side, low, front
    dart on side at 34 mm from B, called bust
        intake 6 cm
        point at P
        press toward {press}
allow
    side   5 cm
    others 1 cm
"""
    )
    one = drafted(style_of(text), bodies(np.random.default_rng(0), 1))
    done, failures = finish(one.pattern)
    assert not one.failed.any() and failures == []
    piece = done.pieces[0]
    assert hold_fold(piece.piece, piece, piece.piece.edge("side")) > 20
