"""Corners across seams: the ledger against pieces laid together, and what truing across a seam keeps.

The witness lays the pieces side by side as a cutter does: each is carried by a rigid motion, turned over where it must be, until
its seam lies on that of the first piece, and the angle is read off points that lie a hair along the lines.  It knows nothing of
directions, fans or ledgers.
"""

import re
import sys
from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from test_styles import styles, text_of
from workbench import bodies, drafted, style_of

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.world import FolderWorld, read_text, standard_folder

sys.path.append(str(Path(__file__).parents[1] / "styles"))
from population import ansur2  # noqa: E402

law = settings(max_examples=15, deadline=None)
seeds = st.integers(0, 2**32 - 1)
HAIR = 0.02  # mm along a line, from a corner
CLOSE = 0.1  # degrees
SHIPPED = sorted(standard_folder("styles").glob("*.style"))


# ------------------------------------------------------------ the witness


@lru_cache(maxsize=64)
def paper_of(piece, body):
    return shapely.make_valid(shapely.Polygon(piece.stitch_outline().flatten()[body]))


def seen(piece, edge, at, body):
    """A corner on paper: the place, a point a hair along the edge, one a hair along its neighbour, and the cloth's own angle."""
    names = [one.name for one in piece.edges]
    k = names.index(edge)
    other = piece.edges[k - 1] if at == "start" else piece.edges[(k + 1) % len(names)]
    seam = piece.edges[k].strips[0 if at == "start" else -1]
    line = other.strips[-1 if at == "start" else 0]

    def beside(path, end):
        length = path.length()[body]
        return path.point_at(length - HAIR if end == "end" else HAIR)[body]

    corner = (seam.start() if at == "start" else seam.end())[body]
    along_seam, along_line = beside(seam, at), beside(line, "end" if at == "start" else "start")
    one, two = along_seam - corner, along_line - corner
    angle = np.degrees(np.arccos(np.clip(one @ two / np.hypot(*one) / np.hypot(*two), -1.0, 1.0)))
    middle = one / np.hypot(*one) + two / np.hypot(*two)
    inward = corner + middle / max(np.hypot(*middle), 1e-9) * HAIR * 0.5
    if shapely.distance(paper_of(piece, body), shapely.Point(inward)) > HAIR * 0.01 and angle < 179.0:
        angle = 360.0 - angle
    return corner, along_seam, along_line, angle


def laid_together(first, second):
    """The angle of the two lines when the second corner is laid with its seam on that of the first, beyond it."""
    corner, seam, line, angle = first
    other_corner, other_seam, other_line, other_angle = second
    way, way_line = seam - corner, line - corner
    start = np.arctan2(way[1], way[0])
    sense = 1.0 if angle_to(way, way_line, angle) > 0.0 else -1.0  # on which side of the seam the first cloth lies
    other_way, other_way_line = other_seam - other_corner, other_line - other_corner
    if (angle_to(other_way, other_way_line, other_angle) > 0.0) == (sense > 0.0):  # turn it over
        mirror = np.diag([1.0, -1.0])
        other_way, other_way_line = mirror @ other_way, mirror @ other_way_line
    turn = start - np.arctan2(other_way[1], other_way[0])
    rotation = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    beyond = rotation @ other_way_line
    between = np.degrees(np.arctan2(way_line[0] * beyond[1] - way_line[1] * beyond[0], way_line @ beyond))
    # From the first line through the seam to the second: the way round on which the cloth lies, which may be a whole turn or more.
    way_round = -sense * between
    return way_round + 360.0 * np.round((angle + other_angle - way_round) / 360.0)


def angle_to(way, line, angle):
    """The turn from the seam to the line through the cloth, positive from +x toward +y."""
    direct = np.degrees(np.arctan2(way[0] * line[1] - way[1] * line[0], way @ line))
    return direct if angle <= 180.0 else -np.sign(direct) * angle


def by_hand(pattern, row, body):
    """The sewn angle of a row of the ledger, by laying the pieces together."""
    if row.how == "dart":
        piece, name = pattern.piece(row.one.piece), row.corners[0].name
        edge = piece.edge(row.one.edge)
        k = next(k for k, dart in enumerate(edge.darts) if dart.name == name)
        dart, before, after = edge.darts[k], edge.strips[k], edge.strips[k + 1]

        def corner(leg, strip, at):
            foot = leg.start()[body]
            along = (strip.point_at(HAIR) if at == "start" else strip.point_at(strip.length() - HAIR))[body]
            one, two = leg.point_at(HAIR)[body] - foot, along - foot
            return np.degrees(np.arccos(np.clip(one @ two / np.hypot(*one) / np.hypot(*two), -1.0, 1.0)))

        return corner(dart.near_leg, before, "end") + corner(dart.far_leg, after, "start")
    first, second = (seen(pattern.piece(end.piece), end.edge, end.at, body) for end in row.ends)
    return laid_together(first, second)


def told(pattern, corners, bodies_drafted):
    """(by hand, ledger) of every row of two corners, for every body, in degrees."""
    for row in corners:
        if len(row.corners) > 2:
            continue
        for body in bodies_drafted:
            yield row, by_hand(pattern, row, body), float(np.degrees(row.angle[body]))


# ------------------------------------------------------------ the ledger


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_ledger_of_shipped_styles_is_what_the_pieces_show(path):
    style, _ = read(read_text(path)[0], FolderWorld(path.parent))
    measures = {measure: values[::400] for measure, values in ansur2().values.items()}
    count = 0
    for one in draft(style, {name: measures[name] for name in style.plan().measures}):
        for row, hand, ledger in told(one.pattern, one.ledgers.corners, np.flatnonzero(~one.failed)):
            assert hand == pytest.approx(ledger, abs=CLOSE), (row.one, row.other, row.across)
            count += 1
    assert count


SEWN = [["sew front.side to back.side", "sew back.centre to back.centre"]]


def drawn(one, body):
    """Whether a body's pieces are sound: that the sides of generated pieces differ in length is no matter here."""
    return not any(f.severity == "error" and f.code != "D450" and f.bodies[body] for f in one.failures)


@given(styles(), seeds)
@law
def test_the_ledger_of_generated_styles_is_what_the_pieces_show(case, seed):
    head, blocks = case
    one = drafted(style_of(text_of(head, blocks + SEWN)), bodies(np.random.default_rng(seed), 3))
    sound = [body for body in range(3) if drawn(one, body)]
    rows = {(row.one.named, row.across) for row in one.ledgers.corners}
    for line in ("front.hem", "front." + one.pattern.piece("front").edges[1].name):
        assert (line, "front.side to back.side") in rows and (line, "front.centre") in rows
    for row, hand, ledger in told(one.pattern, one.ledgers.corners, sound):
        assert hand == pytest.approx(ledger, abs=CLOSE), (row.one, row.other, row.across)


# ------------------------------------------------------------ truing across


@given(styles(), seeds)
@law
def test_truing_across_a_seam_makes_its_lines_run_on_and_keeps_the_rest(case, seed):
    head, blocks = case
    measures = bodies(np.random.default_rng(seed), 3)
    before = drafted(style_of(text_of(head, blocks + SEWN)), measures)
    after = drafted(style_of(text_of(head, blocks + SEWN + [["true across front.side", "true across back.centre"]])), measures)
    sound = [body for body in range(3) if drawn(before, body) and drawn(after, body)]
    assume(sound)
    for row in after.ledgers.corners:
        if row.across in ("front.side to back.side", "back.centre"):
            assert np.degrees(row.angle[sound]) == pytest.approx(180.0, abs=0.5)
            for body in sound:
                assert by_hand(after.pattern, row, body) == pytest.approx(180.0, abs=0.5)
    for old, new in zip(before.pattern.pieces, after.pattern.pieces, strict=True):
        for was, now in zip(old.edges, new.edges, strict=True):
            assert np.allclose(was.start()[sound], now.start()[sound]) and np.allclose(was.end()[sound], now.end()[sound])
            if was.name in ("side", "centre"):
                assert np.allclose(was.closed_length()[sound], now.closed_length()[sound])
            for first, second in zip(was.darts, now.darts, strict=True):
                feet_keep_to_their_legs(first, second, sound)


def feet_keep_to_their_legs(was, now, sound):
    assert np.allclose(now.near_leg.length()[sound], now.far_leg.length()[sound], atol=1e-6)
    for before, after in ((was.near_leg, now.near_leg), (was.far_leg, now.far_leg)):
        way = before.start_direction()[sound]
        moved = after.start()[sound] - before.start()[sound]
        assert np.abs(way[:, 0] * moved[:, 1] - way[:, 1] * moved[:, 0]).max() < 1e-6
        assert np.allclose(before.end()[sound], after.end()[sound])


# ------------------------------------------------------------ which lines are asked to run on

SQUARE = """    point A start
    point B A across {width}
    point C A down 20 cm
    point D B down 20 cm{more}
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
"""


def cautions(*lines, pieces=()):
    """What is said of corners in a style of plain pieces: (name, cut, width, how the lower corner lies)."""
    text = ["language 1", 'style plain "Plain pieces"']
    for name, cut, width, more in pieces:
        text += [f"piece {name}", f"    cut {cut}", SQUARE.format(width=width, more=more).rstrip()]
    style = style_of("\n".join([*text, *lines]))
    (one,) = draft(style, {}, bodies=1)
    said = [failure.diagnostic(0) for failure in one.failures]
    assert {one.code for one in said} <= {"D520"}, said
    return one.ledgers.corners, said


LEANING = [("front", "1 on fold at centre", "20 cm", ", go out 4 cm"), ("back", "2", "20 cm", ", go out 4 cm")]


def test_a_line_that_comes_to_a_point_is_told_with_a_way_out_that_works():
    _, said = cautions("sew front.side to back.side", pieces=LEANING)
    # By hand: each side leans out by the angle whose tangent is 4/20; the hem's corners are short of square by it, the top's over.
    lean = np.degrees(np.arctan(0.2))
    for caution, line, shape, angle, point in zip(
        said, ("top", "hem"), ("a hollow corner", "a point"), (180.0 + 2.0 * lean, 180.0 - 2.0 * lean), ("B", "D"), strict=True
    ):
        assert caution.title == f"front.{line} and back.{line} come to {shape} at the seam front.side to back.side"
        assert caution.found == f"{angle:.1f} deg"
        for way_out in (f"true across front.side at {line}", f"corner meant at front.{point}"):
            assert way_out in caution.suggestion
            left = cautions("sew front.side to back.side", way_out, pieces=LEANING)[1]
            assert len(left) == 1 and f"front.{line}" not in left[0].title


def test_no_way_out_is_told_that_the_style_would_refuse():
    """A seam of three edges, and one beside which no two edges are called alike, cannot be trued across by name."""
    several = ["sew back.side to front.side and front.centre, gathered"]
    pieces = [("front", "1", "20 cm", ", go out 4 cm"), ("back", "2", "20 cm", ", go out 4 cm")]
    told = [caution for caution in cautions(*several, pieces=pieces)[1] if "back" in caution.title]
    assert told and all("true across" not in caution.suggestion and "square to the seam" in caution.suggestion for caution in told)
    turned = ["sew front.side to back.top, gathered"]
    told = [caution for caution in cautions(*turned, pieces=LEANING)[1] if "at the seam" in caution.title]
    assert told and all("true across" not in caution.suggestion for caution in told)


def test_what_is_lacking_is_shared_by_both_sides():
    pieces = [LEANING[0], ("back", "2", "20 cm", "")]
    sew = "sew front.side to back.side, gathered"
    before, after = (cautions(sew, *more, pieces=pieces)[0] for more in ((), ("true across front.side at hem",)))
    (was,), (now,) = ([row for row in rows if row.one.edge == "hem" and row.how == "seam"] for rows in (before, after))
    assert float(np.degrees(now.angle[0])) == pytest.approx(180.0, abs=1e-6)
    assert float(np.degrees(was.angle[0])) == pytest.approx(180.0 - np.degrees(np.arctan(0.2)))


def test_a_point_on_the_fold_is_told():
    pieces = [("front", "1 on fold at side", "20 cm", ", go out 4 cm")]
    _, said = cautions(pieces=pieces)
    assert [caution.title for caution in said] == [
        "front.top comes to a hollow corner on the fold front.side",
        "front.hem comes to a point on the fold front.side",
    ]
    assert not cautions("true across front.side", pieces=pieces)[1]
    assert not cautions("corner meant at front.B and front.D", pieces=pieces)[1]


def test_a_seam_that_ends_on_a_straight_line_asks_its_own_side_alone():
    """Panels with leaning sides on a band: their lower line has a corner where they meet, and the band says nothing of it."""
    pieces = [("front", "2", "20 cm", ", go out 4 cm"), ("band", "1", "40 cm", "")]
    rows, said = cautions("sew front.side to front.side", "sew front.hem to band.top, gathered", pieces=pieces)
    assert [caution.title.split()[0] for caution in said] == ["front.top", "front.hem"]
    assert all(row.one.piece == row.other.piece == "front" for row in rows)


def test_a_free_edge_beside_a_sewn_one_is_not_asked():
    """A band that is longer than what it is sewn to, and comes to a point at its end."""
    rows, said = cautions(
        "sew front.hem to band.top, gathered", pieces=[("front", "1", "20 cm", ""), ("band", "1", "20 cm", ", go out 8 cm")]
    )
    assert {(row.one.edge, row.other.edge) for row in rows} == {("centre", "centre"), ("side", "side")}
    rows, said = cautions(
        "sew front.hem to band.top, gathered",
        "sew front.side to front.side",
        pieces=[("front", "2", "20 cm", ""), ("band", "2", "20 cm", ", go out 8 cm")],
    )
    assert all(row.one.named != "band.side" and row.other.named != "band.side" for row in rows)


def test_where_two_seams_cross_one_may_bend():
    """Four panels round one place: the seam down lies straight, so the seam across may bend, as a princess seam at a shoulder."""
    text = ["language 1", 'style cross "Cross"']
    for name, lean in (("one", "2 cm"), ("two", "-2 cm"), ("three", "2 cm"), ("four", "-2 cm")):
        text += [f"piece {name}", "    cut 2", SQUARE.format(width="20 cm", more=f", go out {lean}").rstrip()]
    text += ["sew one.side to two.side", "sew three.side to four.side", "sew one.hem to three.hem, gathered"]
    text += ["sew four.hem to two.hem, gathered"]
    (one,) = draft(style_of("\n".join(text)), {}, bodies=1)
    lean = np.degrees(np.arctan(0.1))
    crossing = {row.across: row for row in one.ledgers.corners if len(row.corners) == 2 and row.one.edge == row.other.edge}
    down = crossing["one.side to two.side"], crossing["three.side to four.side"]
    across = [row for row in one.ledgers.corners if row.one.edge == "side" and row.other.edge == "side"]
    hems = [row for row in one.ledgers.corners if row.one.edge == row.other.edge == "hem"]
    assert down and all(float(np.degrees(row.angle[0])) == pytest.approx(180.0, abs=1e-6) for row in hems)
    assert sorted(float(np.degrees(row.off[0])) for row in across) == pytest.approx([-2.0 * lean, 2.0 * lean], abs=1e-6)
    assert not any(row.corner[0] for row in (*across, *hems)) and all(row.excused[0] for row in across)


WHOLE = """language 1
style whole "A whole front and a whole back, leaning out"
measure hip
recipe half "Half" (wide length)
    point A start
    point B A across hip / 4
    point C A down 60 cm
    point D B down 60 cm, go out wide
    line centre A to C
    line waist A to B
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
foundation half_front "Half" from half(6 cm)
    cut 1 on fold at centre
foundation half_back "Half" from half(4 cm)
    cut 1 on fold at centre
piece front "Front" from half_front
    open out at centre
piece back "Back" from half_back
    open out at centre
    mirror
"""


def whole_and(text):
    (one,) = draft(style_of(WHOLE + text), {"hip": np.array([1000.0])})
    return [failure.diagnostic(0) for failure in one.failures]


def test_a_whole_front_is_trued_to_a_whole_back():
    """The half that opening out has made carries its own names; it meets the other piece's first half all the same."""
    for seam in ("sew front.other_side to back.side, gathered", "sew front.side to back.other_side, gathered"):
        said = whole_and(seam)
        assert [caution.code for caution in said] == ["D520", "D520"], said
        while said:
            (way_out,) = re.findall(r"true across \S+ at \w+", said[0].suggestion)
            seam += f"\n{way_out}"
            left = whole_and(seam)
            assert len(left) == len(said) - 1, left
            said = left


def test_a_seam_of_several_edges_is_not_to_be_trued_across():
    """Two fronts on one back: truing across the seam is refused there, so it is not offered; the lines drawn square run on."""
    fronts = (
        'piece one "One" from half_front\n    cut 1\npiece two "Two" from half_front\n    mirror\n    cut 1\n'
        'piece rear "Rear" from half_back\nsew one.side and two.side to rear.side, gathered\n'
    )
    said = whole_and(fronts)
    assert said and all(caution.code == "D520" and "square to the seam" in caution.suggestion for caution in said), said
    assert not any("true across" in caution.suggestion for caution in said)


def test_an_end_that_is_named_twice_is_trued_once():
    """Two like fronts on one back, a seam each; or one seam that is named by either side."""
    pieces = 'piece one "One" from half_front\n    cut 1\npiece two "Two" from half_front\n    mirror\n    cut 1\npiece rear "Rear" from half_back\n'
    for seams in (
        "sew one.side to 1 of rear.side, gathered\nsew two.side to 1 of rear.side, gathered\ntrue across one.side\ntrue across two.side",
        "sew one.side to 1 of rear.side, gathered\ntrue across one.side\ntrue across rear.side",
    ):
        (one,) = draft(style_of(WHOLE + pieces + seams), {"hip": np.array([1000.0])})
        rows = [row for row in one.ledgers.corners if row.how == "seam"]
        assert len(rows) >= 2
        assert [float(np.degrees(row.angle[0])) for row in rows] == pytest.approx([180.0] * len(rows), abs=1e-6)
