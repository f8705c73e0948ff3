"""Pieces made from other pieces, on paper and in the record: pleats, linings, parts of a cut, darts that share a point.

Figures are of the invented workshop Quay Row.  Lines are read back from the SVG by svgelements; what they must be is
worked out by folding the paper: across a fold a pleat's end must lie on the edge that it is folded onto.
"""

import math
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
import svgelements
from test_sheet import NS, assert_clear, read

from tapeline.drafting.pattern import Cut
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read as read_style
from tapeline.paper.drawing.model import LINES, Stroke, Text, each_item
from tapeline.paper.drawing.pieces import cut_words
from tapeline.paper.record import pattern_record
from tapeline.paper.sheets.sheet import draw_sheet
from tapeline.paper.sheets.svg import write_svg
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

FRONT = """language 1
style changed "Changed pieces"
foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A across 20 cm, up 2 cm
    point C A down 50 cm
    point D C across 24 cm
    point P A across 9 cm, down 22 cm
    line centre A to C
    curve waist A to B, leaving level
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
"""
DARTED = (
    FRONT
    + """    dart on waist at half, called waist_dart
        intake 3 cm
        point at P
"""
)
ALLOW = "allow\n    others 1 cm\n    hem 3 cm turned up\n"
PLEATED = (
    FRONT
    + """piece toward_side "Pleats toward the side" from front
    pleats 3 on waist to hem, 15 mm deep, 25 mm deep at hem, pressed toward side
piece toward_centre "Pleats toward the centre" from front
    cut 2
    pleats 1 on waist to hem, 2 cm deep, called knife, pressed toward centre
piece plain "Plain" from front
sew plain.side to toward_side.side
"""
)


def made(text: str):
    """(draft, finished) of a style that takes no measures and is in order."""
    style, found = read_style(Source("changed.style", text), FolderWorld())
    assert not found, "\n".join(map(render, found))
    (drafted,) = draft(style, {})
    finished, failures = finish(drafted.pattern)
    assert not [failure for failure in (*drafted.failures, *failures) if failure.severity == "error"]
    return drafted, finished


def sheet_of(text: str, heading, **how):
    finished = made(text)[1]
    drawing = draw_sheet(finished, 0, heading, **how)
    return finished, drawing, write_svg(drawing)


def words_of(svg: str) -> list[str]:
    return [text.text for text in ElementTree.fromstring(svg.encode()).iter(f"{NS}text")]


def runs_of(path) -> list[np.ndarray]:
    """Points (K, 2) along each run of a path as read, curves in fine chords."""
    found = []
    for part in path:
        if isinstance(part, svgelements.Move):
            found.append([part.end])
        elif isinstance(part, svgelements.Close):
            found[-1].append(found[-1][0])
        else:
            found[-1] += [part.point(t) for t in ((1.0,) if isinstance(part, svgelements.Line) else np.linspace(0, 1, 50)[1:])]
    return [np.array([(p.x, p.y) for p in run]) for run in found]


def lines_of(paths) -> shapely.MultiLineString:
    return shapely.MultiLineString([run for path in paths for run in runs_of(path)])


def line_of(path) -> np.ndarray:
    (run,) = runs_of(path)
    return run


def legend_of(drawing) -> list[str]:
    legend = next(group for group in drawing.items if group.name == "legend")
    return [text.words for text in legend.items if isinstance(text, Text)]


PLEATS = [("toward_side", ["pleat1", "pleat2", "pleat3"], +1), ("toward_centre", ["knife1"], -1)]


@pytest.mark.parametrize("piece, names, side", PLEATS)
@pytest.mark.parametrize("opened", [False, True])
def test_a_pleat_has_a_fold_and_a_line_it_is_laid_to(heading, piece, names, side, opened):
    finished, drawing, svg = sheet_of(ALLOW.join([PLEATED, ""]), heading, opened=opened)
    paths = read(svg)
    assert_clear(drawing)
    times = 2 if opened and finished.piece(piece).piece.cut.fold else 1
    assert not [name for there, name in paths if there == piece and name.startswith(("dart:", "dart_fold", "sign: dart point"))]
    for name in names:
        folds, laids, ends, arrows = (paths[piece, f"{kind}: {name}"] for kind in ("pleat_fold", "pleat_laid", "dart_end", "sign"))
        assert len(folds) == len(laids) == len(ends) == len(arrows) == times
        fold, laid, end = (shapely.LineString(line_of(one[0])) for one in (folds, laids, ends))
        # what is folded under lies toward the side that the pleat is pressed to, which ends in the fold
        (foot, _), (other, _) = fold.coords[0], laid.coords[0]
        assert (foot - other) * side > 0
        # from the fold to the laid line, near the edge
        start, tip = map(shapely.Point, runs_of(arrows[0])[0])
        assert start.distance(fold) < 0.01 and tip.distance(laid) < 0.01
        assert start.distance(shapely.Point(fold.coords[0])) < 30 > tip.distance(shapely.Point(laid.coords[0]))
        # folded on its fold, the end of the pleat lies on the edge beside it
        stitched = lines_of(paths[piece, "waist"])
        end = end if shapely.Point(end.coords[0]).distance(fold) < 0.01 else end.reverse()
        near = np.array([end.interpolate(part, normalized=True).coords[0] for part in np.linspace(0.0, 0.48, 25)])
        for x, y in image(near, np.array(fold.coords[0]), np.array(fold.coords[-1])):
            assert shapely.Point(x, y).distance(stitched) < 0.06


def image(points, p, q):
    """Points (K, 2) folded over the line from p to q."""
    way = (q - p) / math.hypot(*(q - p))
    off = points - p
    return p + 2 * (off @ way)[:, None] * way - off


def test_the_lines_of_a_pleat_are_told_apart_by_their_dashes_alone(heading):
    _, drawing, svg = sheet_of(PLEATED + ALLOW, heading)
    dashes = {}
    for element in ElementTree.fromstring(svg.encode()).iter(f"{NS}path"):
        dashes.setdefault(element.get("data-line"), set()).add(element.get("stroke-dasharray"))
        assert element.get("stroke") == "#000000"
    assert dashes["pleat_fold"] != dashes["pleat_laid"] and all(len(found) == 1 for found in dashes.values())
    assert len({LINES[name].dash for name in ("pleat_fold", "pleat_laid", "dart", "stitch", "placement")}) == 5


def test_the_legend_speaks_of_pleats_only_where_there_are_some(heading):
    meaning = LINES["pleat_fold"].meaning
    assert legend_of(sheet_of(PLEATED + ALLOW, heading)[1]).count(meaning) == 1
    assert meaning not in legend_of(sheet_of(DARTED + 'piece other "Other" from front\n' + ALLOW, heading)[1])


@pytest.mark.parametrize("piece, names, side", PLEATS)
def test_a_pleat_is_notched_at_both_ends_of_both_lines(heading, piece, names, side):
    finished, _, svg = sheet_of(PLEATED + ALLOW, heading)
    paths = read(svg)
    (cut,) = paths[piece, "cut: cut"]
    cut = shapely.LineString(line_of(cut))
    width = {"waist": 10.0, "hem": 30.0}
    for name in names:
        notches = paths[piece, f"notch: {name}"]
        assert len(notches) == 4
        starts = [shapely.Point(path[0].end.x, path[0].end.y) for path in notches]
        assert all(point.distance(cut) < 0.6 for point in starts)
        for kind in ("pleat_fold", "pleat_laid"):
            line = line_of(paths[piece, f"{kind}: {name}"][0])
            for edge, end in (("waist", line[0]), ("hem", line[-1])):
                away = sorted(point.distance(shapely.Point(end)) for point in starts)
                # made fair, a hem may pass by the end of the line
                assert away[0] == pytest.approx(width[edge], abs=0.3 if edge == "waist" else 2.0), (name, kind, edge)


def test_a_grain_line_keeps_off_the_lines_of_a_pleat(heading):
    middle = PLEATED.replace("pleats 1 on waist", "pleats 3 on waist")
    for piece in made(middle + ALLOW)[1].pieces:
        grain = shapely.LineString(piece.grain_line[0])
        for dart in piece.piece.darts():
            for leg in (dart.near_leg, dart.far_leg):
                assert grain.distance(shapely.LineString([leg.start()[0], leg.end()[0]])) > 5


@pytest.mark.parametrize(
    "cut, words",
    [
        (Cut(2, paired=True, purpose="lining"), "Cut 2 for lining, a mirrored pair"),
        (Cut(1, fold="centre", purpose="lining"), "Cut 1 for lining, on fold"),
        (Cut(4, paired=True, purpose="back_facing"), "Cut 4 for back facing, as mirrored pairs"),
        (Cut(3, purpose="interfacing"), "Cut 3 for interfacing, all alike"),
    ],
)
def test_what_a_piece_is_cut_for(cut, words):
    assert cut_words(cut) == words


def test_linings_are_set_after_the_others(heading):
    text = (
        FRONT
        + """piece front_lining "Front lining" from front
    cut 2 for "lining"
piece outside "Front" from front
piece facing_of_it "Facing" from front
    cut 1 on fold at centre for "facing"
piece back "Back" from front
    extend hem by 1 cm
"""
    )
    _, drawing, svg = sheet_of(text, heading)
    assert [group.name for group in drawing.items if group.piece] == ["outside", "back", "front_lining", "facing_of_it"]
    assert {"Cut 2 for lining, a mirrored pair", "Cut 1 for facing, on fold"} <= set(words_of(svg))


def test_a_net_style_says_once_that_there_are_no_allowances(heading):
    words = words_of(sheet_of(FRONT + 'piece plain "Plain" from front\n', heading)[2])
    assert words.count("Net: no seam allowances") == 1 and not [said for said in words if "none" in said]
    turned = words_of(sheet_of(FRONT + 'piece plain "Plain" from front\nallow\n    side 1 cm\n    others none\n', heading)[2])
    assert "Seam allowances included: waist, hem none; side 1 cm" in " ".join(turned).replace("\u00a0", " ")
    assert "Net: no seam allowances" not in turned


def test_darts_to_one_point_share_a_cross_and_leave_it_free(heading):
    text = (
        DARTED
        + """piece turned "Turned" from front
    pivot waist_dart by 1/3 to waist at 3 cm from centre, called first
    pivot waist_dart by half to side at 20 cm from waist, called second
piece alone "Alone" from front
"""
    )
    finished, drawing, svg = sheet_of(text + ALLOW, heading)
    paths = read(svg)
    for piece, names in (("turned", ["first", "second", "waist_dart"]), ("alone", ["waist_dart"])):
        (cross,) = paths[piece, "sign: dart point"]
        middle = shapely.Point(*np.concatenate(runs_of(cross)).mean(axis=0))
        for name in names:
            fold = shapely.LineString(line_of(paths[piece, f"dart_fold: {name}"][0]))
            legs = lines_of(paths[piece, f"dart: {name}"])
            assert legs.distance(middle) < 0.01
            assert fold.distance(middle) > 20 if piece == "turned" else fold.distance(middle) < 0.01
    assert len(finished.piece("turned").piece.darts()) == 3


def test_parts_of_a_cut_say_their_names_and_no_corner_names(heading):
    text = FRONT.replace(
        'foundation front "Front"\n',
        """levels
    waist
    high_hip_just_above_the_yoke 71.2 mm below waist
    low_hip_far_below_it 18 cm below waist
foundation front "Front"
    level waist at A
    level high_hip_just_above_the_yoke at H
    level low_hip_far_below_it at L
    point H A down 71.2 mm
    point K A down 9 cm
    point L A down 18 cm
    point side_start along side from B by 9 cm
    line across_it K to side_start
""",
    )
    text += """cut front from centre to side along across_it, seam front_yoke_seam
    piece front_yoke "Front yoke" holding waist
    piece front_skirt "Front skirt"
"""
    finished, drawing, svg = sheet_of(text, heading, edge_names=True)
    assert_clear(drawing)
    corners = {name for piece in finished.pieces for name in piece.piece.points}
    assert "front_yoke_seam_side" in corners
    for group in drawing.items[-2:]:
        said = [item.words for item in each_item([group]) if isinstance(item, Text)]
        assert said.count("front yoke seam") == 1
        assert not {name.replace("_", " ") for name in corners if "_" in name} & set(said)
        levels = {item.name: item for item in group.items if isinstance(item, Stroke) and item.line == "construction"}
        for name, stroke in levels.items():
            assert said.count(name.replace("_", " ")) == (2 if name == "waist" else 1)  # waist is an edge as well
            assert stroke.commands[1][1] - stroke.commands[0][1] > 20
        # of the upper level 15 mm lie in the lower part, beside the end of the seam at the side: too little to be a line
        only = {"front_yoke": "high_hip_just_above_the_yoke", "front_skirt": "low_hip_far_below_it"}
        assert set(levels) - {"waist"} == {only[group.name]}


LEVELLED = """language 1
style levels "Levels on changed pieces"
levels
    waist
    high_hip 9 cm below waist
    hip 20 cm below waist
    hem 60 cm below waist
recipe panel "Panel" ()
    cut 2
    widths from centre, before darts
        waist 17 cm
        high_hip 22 cm
        hip 24 cm
        hem 26 cm
    side smooth waist to hip, straight hip to hem
    dart on waist at half, called waist_dart
        intake 25 mm
        point 12 cm long
piece back "Back" from panel()
foundation front "Front" from panel()
piece copied "Copied" from front
piece darted "Side dart" from front
    pivot waist_dart to side at 14 cm from waist, called side_dart
piece flared "Flared" from front
    close waist_dart, opening hem at half
piece again "Flared once more" from flared
    spread hem by 6 cm, hinged on waist, in 2 cuts
piece mirrored "Mirrored" from flared
    mirror
cut front from centre at 14 cm from waist to side at 14 cm from waist, seam yoke
    piece upper "Upper part" holding waist
    piece lower "Lower part"
"""


def marks_along(piece, edge: str) -> dict[str, float]:
    """How far from the start of the sewn edge its notches of levels and darts lie, by shapely."""
    marks: dict[str, float] = {}
    gone = 0.0
    for strip in piece.piece.edge(edge).strips:
        line = shapely.LineString(strip.flatten()[0])
        for notch in piece.notches:
            point = shapely.Point(notch.on_stitch[0])
            of_edge = notch.edge == edge and notch.kind in ("level", "dart")
            if of_edge and not point.is_empty and line.distance(point) < 0.01:
                marks[notch.name] = gone + line.project(point)
        gone += line.length
    return marks


def test_balance_marks_of_levels_stay_where_they_lay_on_the_cloth(heading):
    """A side seam of one length is marked alike in every piece, whatever was done to the piece beside it."""
    seams = "".join(f"sew back.side to {name}.side\n" for name in ("copied", "darted", "flared", "again", "mirrored"))
    seams += "sew back.side to upper.side and lower.side\n"
    _, finished = made(LEVELLED + seams + ALLOW)
    back = marks_along(finished.piece("back"), "side")
    whole = float(finished.piece("back").piece.edge("side").closed_length()[0])
    assert set(back) == {"high_hip", "hip"} and back["high_hip"] > 90 < back["hip"] - back["high_hip"]
    for name in ("copied", "darted", "flared", "again", "mirrored"):
        found = marks_along(finished.piece(name), "side")
        turned = name == "mirrored"
        assert {level: at for level, at in found.items() if "dart" not in level} == {
            level: pytest.approx(whole - at if turned else at, abs=0.1) for level, at in back.items()
        }, name
    assert marks_along(finished.piece("upper"), "side") == {"high_hip": pytest.approx(back["high_hip"], abs=0.1)}
    assert marks_along(finished.piece("lower"), "side") == {"hip": pytest.approx(back["hip"] - 140, abs=0.1)}


def test_a_level_that_is_an_edge_marks_no_other():
    """A waist that rises to the side is the waist there too: no notch lies below it, where its height would be."""
    raised = LEVELLED.replace(
        "    dart on waist at half, called",
        "    raise waist 2 cm at side\n    raise hem 3 cm at side\n    dart on waist at half, called",
    )
    assert raised != LEVELLED
    raised = raised.replace("14 cm", "16 cm")  # below that, the upper part is notched clear of its corner
    names = ("copied", "darted", "flared", "again", "mirrored")
    seams = "".join(f"sew back.side to {name}.side\n" for name in names) + "sew back.side to upper.side and lower.side\n"
    _, finished = made(raised + seams + ALLOW)
    for name in ("back", *names, "upper", "lower"):
        marks = {level for level in marks_along(finished.piece(name), "side") if "dart" not in level}
        assert marks and marks <= {"high_hip", "hip"}, name


def test_the_line_of_a_level_is_drawn_only_where_it_still_runs_straight(heading):
    _, drawing, _ = sheet_of(LEVELLED + ALLOW, heading)
    lines = {
        group.name: {item.name for item in group.items if isinstance(item, Stroke) and item.line == "construction"}
        for group in drawing.items
        if group.piece
    }
    assert lines == {
        "back": {"high_hip", "hip"},
        "copied": {"high_hip", "hip"},
        "darted": {"hip"},
        "flared": set(),
        "again": set(),
        "mirrored": set(),
        "upper": {"high_hip"},
        "lower": {"hip"},
    }


def test_a_level_that_a_changed_piece_says_itself_is_believed(heading):
    text = (
        LEVELLED
        + """piece told "Told" from front
    close waist_dart, opening hem at half
    point there waist_centre down 24 cm
    level hip at there
sew told.side to told.side
"""
    )
    _, finished = made(text + ALLOW)
    (mark,) = [notch for notch in finished.piece("told").notches if (notch.edge, notch.name) == ("side", "hip")]
    assert mark.on_stitch[0, 1] == pytest.approx(240.0, abs=0.01)


def test_the_record_says_what_a_piece_is_made_from_and_for():
    text = (
        DARTED
        + """cut front from waist_dart to hem at half, seam princess
    piece middle "Centre front" holding centre
        cut 1 on fold at centre
    piece flank "Side front"
piece flank_lining "Side front lining" from flank
    cut 2 for "lining"
piece pleated "Pleated" from front
    close waist_dart, opening hem at half
    pleats 2 on waist to hem, 1 cm deep
piece turned "Turned" from front
piece drawn "Drawn"
    point A start
    point B A across 5 cm
    point C A down 5 cm
    line one A to B
    line two B to C
    line three C to A
    outline one, two, three
"""
    )
    drafted, finished = made(text)
    record = pattern_record(drafted.plan, drafted.run, drafted.ledgers, finished, 0, "none")
    pieces = {piece["name"]: piece for piece in record["pieces"]}
    assert {name: piece["from"] for name, piece in pieces.items()} == {
        "middle": "front",
        "flank": "front",
        "flank_lining": "flank",
        "pleated": "front",
        "turned": "front",
        "drawn": None,
    }
    assert [piece["cut"]["for"] for piece in pieces.values()] == [None, None, "lining", None, None, None]
    kinds = {name: [dart["kind"] for edge in piece["edges"] for dart in edge["darts"]] for name, piece in pieces.items()}
    assert kinds["pleated"] == ["pleat", "pleat"] and kinds["turned"] == ["dart"] and kinds["flank"] == []
    assert [(row["one"], row["other"]) for row in record["ledgers"]["seams"]] == [("middle.princess", "flank.princess")]
