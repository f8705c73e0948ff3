"""Laws of uneven clients: either half of the garment is that of an even body with two such sides, and both come together.

The halves are compared by the distances of their points from each other, which no laying over changes; areas are told by the
shoelace, girths and seams by the lengths of polylines.  One draft of each style serves all its laws.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tapeline import Session
from tapeline.bodies.card import read_card
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.paper.drawing.marks import flat
from tapeline.paper.drawing.model import Stroke
from tapeline.paper.drawing.pieces import draw_piece
from tapeline.paper.house.work import Heading
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = standard_folder("styles")
LAWFUL = ("straight_skirt", "vented_pencil_skirt", "six_gore_skirt", "sleeveless_blouse", "strapless_bodice")
# Between the sides, of the shape of a body with a high hip and a low shoulder: millimetres, radians
APART = {"waist_to_hip": 15.0, "waist_to_high_hip": 15.0, "waist_to_knee": 15.0, "shoulder_slope": np.radians(-3.0), "hip": 20.0}


def style_of(path):
    style, diagnostics = read(read_text(path)[0], FolderWorld(path.parent))
    assert style is not None, diagnostics
    return style


def drafted(style, measures, sides=None):
    (one,) = draft(style, {name: np.array([value]) for name, value in measures.items()}, sides=[sides or {}])
    return one


@cache
def uneven(name):
    """(the mean body's draft, the left body's, the right body's, the uneven one's)."""
    style = style_of(STYLES / f"{name}.style")
    card, _ = read_card(read_text(STYLES / "bodies" / "maud.toml")[0], style.measurements, style.doubts)
    mean = {measure: card.values[measure] for measure in style.needed}
    sides = {measure: (mean[measure] + by / 2, mean[measure] - by / 2) for measure, by in APART.items() if measure in mean}
    bodies = [mean, *({**mean, **{measure: two[side] for measure, two in sides.items()}} for side in (0, 1))]
    return *(drafted(style, body) for body in bodies), drafted(style, mean, sides)


def points_of(edge):
    """Points (K, 2) along all strips of an edge."""
    return np.concatenate([strip.point_at(strip.length() * part) for strip in edge.strips for part in np.linspace(0, 1, 7)])


def distances(edges):
    """The distances of all points of some edges from each other."""
    points = np.concatenate([points_of(edge) for edge in edges])
    return np.hypot(*(points[:, None] - points[None]).transpose(2, 0, 1))


def halves(one, piece):
    """(side, the edges there that stand for those of an even piece, in its order) of an uneven draft; nothing of a piece that is whole."""
    names = {other.name: other for other in one.pattern.pieces}
    own = [edge.name for edge in piece.edges if edge.name != piece.cut.fold]
    if f"left_{piece.name}" in names:
        for side in ("left", "right"):
            made = names[f"{side}_{piece.name}"]
            assert made.cut.count == piece.cut.count // 2 and made.hand.side == side
            yield side, [made.edge(name) for name in own]
    elif piece.cut.fold is not None and names[piece.name].cut.fold is None:
        made = names[piece.name]
        drawn = piece.hand.drawn or "left"
        yield drawn, [made.edge(name) for name in own]
        yield ("right" if drawn == "left" else "left"), [made.edge(f"other_{name}") for name in own]


def centre_agrees(left, right, piece):
    edges = [
        edge.name
        for edge in piece.edges
        if edge.name == piece.cut.fold or "centre" in edge.name or edge.name in ("front_edge", "pleat", "vent")
    ]
    return all(
        abs(
            left.pattern.piece(piece.name).edge(name).closed_length()[0] - right.pattern.piece(piece.name).edge(name).closed_length()[0]
        )
        < 1e-6
        for name in edges
    )


@pytest.mark.parametrize("name", LAWFUL)
def test_either_half_is_that_of_an_even_body_of_its_side(name):
    """Where both bodies have one length at the centre, to a hundredth of a millimetre."""
    mean, left, right, both = uneven(name)
    compared = 0
    for piece in mean.pattern.pieces:
        if not centre_agrees(left, right, piece):
            continue
        for side, edges in halves(both, piece):
            even = (left if side == "left" else right).pattern.piece(piece.name)
            own = [even.edge(edge.name) for edge in piece.edges if edge.name != piece.cut.fold]
            for edge, other in zip(edges, own, strict=True):
                of_even = distances([other])
                off = min(np.abs(distances([edge]) - one).max() for one in (of_even, of_even[::-1, ::-1]))
                assert off < 0.01, (piece.name, side, edge.name, off)
                compared += 1
    assert compared or name in ("vented_pencil_skirt", "strapless_bodice")


def area(piece):
    x, y = piece.stitch_outline().flatten()[0].T
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


@pytest.mark.parametrize("name", LAWFUL)
def test_a_whole_piece_is_half_of_either_body(name):
    mean, left, right, both = uneven(name)
    for piece in mean.pattern.pieces:
        if piece.cut.fold is not None and both.pattern.piece(piece.name).cut.fold is None and centre_agrees(left, right, piece):
            assert area(both.pattern.piece(piece.name)) == pytest.approx(
                area(left.pattern.piece(piece.name)) + area(right.pattern.piece(piece.name)), abs=1.0
            )


@pytest.mark.parametrize("name", LAWFUL)
def test_the_girth_is_half_of_either_body(name):
    _, left, right, both = uneven(name)
    for row, of_left, of_right in zip(both.ledgers.girths, left.ledgers.girths, right.ledgers.girths, strict=True):
        assert row.level == of_left.level
        near = 0.01 if name == "straight_skirt" else 2.0  # where hems slant to meet at the centre they are longer by so little
        assert row.sewn[0] == pytest.approx((of_left.sewn[0] + of_right.sewn[0]) / 2, abs=near)


@pytest.mark.parametrize("name", LAWFUL)
def test_seams_match_and_hands_are_told_on_both_sides(name):
    mean, _, _, both = uneven(name)
    _, failures = finish(both.pattern)
    assert not [failure for failure in (*both.failures, *failures) if failure.severity == "error"]
    for row in both.ledgers.seams:
        assert abs(row.difference[0]) <= row.tolerance
    for piece in both.pattern.pieces:
        side = piece.name.split("_")[0]
        if side in ("left", "right") and piece.name not in {one.name for one in mean.pattern.pieces}:
            assert piece.hand.side == side


def test_sides_that_hardly_differ_give_the_even_garment():
    """The pieces are parted, and all their edges are as long as those of the even draft."""
    style = style_of(STYLES / "straight_skirt.style")
    card, _ = read_card(read_text(STYLES / "bodies" / "nell.toml")[0], style.measurements, style.doubts)
    mean = {measure: card.values[measure] for measure in style.needed}
    even, both = drafted(style, mean), drafted(style, mean, {"hip": (mean["hip"] + 1e-3, mean["hip"] - 1e-3)})
    assert [piece.name for piece in both.pattern.pieces][:3] == ["front", "left_back", "right_back"]
    for piece in even.pattern.pieces:
        for _, edges in halves(both, piece):
            own = [edge for edge in piece.edges if edge.name != piece.cut.fold]
            assert [edge.closed_length()[0] for edge in edges] == pytest.approx([edge.closed_length()[0] for edge in own], abs=2e-3)


def test_what_rests_on_no_side_stays_as_it_is():
    mean, _, _, both = uneven("straight_skirt")
    for name in ("band", "interfacing"):
        one, other = mean.pattern.piece(name), both.pattern.piece(name)
        assert (one.title, one.cut) == (other.title, other.cut)
        assert np.array_equal(one.stitch_outline().flatten(), other.stitch_outline().flatten())


SKIRT = """language 1
style half_skirt "Half skirt"
use measurements
measure waist, hip, waist_to_hip
levels
    waist
    hip  waist_to_hip below waist
    hem  40 cm below hip
piece front "Front"
    worn in front
    cut 1 on fold at centre
    widths from centre, before darts
        waist waist / 4
        hip   hip / 4
        hem   hip / 4
piece back "Back"
    worn behind
    cut 2
    widths from centre, before darts
        waist waist / 4
        hip   hip / 4
        hem   hip / 4
    zip on centre from waist to hip
sew front.side to back.side
sew back.centre to back.centre
allow
    others 1.5 cm
"""


def test_both_sides_have_the_zip_of_the_centre_at_one_place():
    style, diagnostics = read(Source("skirt.style", SKIRT), FolderWorld(Path()))
    assert style is not None, diagnostics
    one = drafted(style, {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0}, {"waist_to_hip": (210.0, 190.0)})
    (row,) = one.ledgers.zips
    assert row.opening[0] == pytest.approx(200.0, abs=0.01)
    lengths = [mark.length[0] for piece in one.pattern.pieces for mark in piece.marks if mark.kind == "zip"]
    assert lengths == pytest.approx([200.0, 200.0], abs=0.01)


def test_what_one_side_alone_is_taken_in_by():
    """A side seam taken in on the left: the right stays, and the girth is less by half of what both sides would take."""
    rule = "take in front.side and back.side 1 cm at hip, to nothing at waist and hem"
    texts = [SKIRT, *(SKIRT.replace("allow\n", f"{rule}{side}\nallow\n") for side in ("", ", on the left"))]
    body = {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0}
    styles = [read(Source("skirt.style", text), FolderWorld(Path()))[0] for text in texts]
    before, both, left = (drafted(style, body) for style in styles)
    assert [piece.name for piece in left.pattern.pieces] == ["front", "left_back", "right_back"]
    hip = [next(row.sewn[0] for row in one.ledgers.girths if row.level == "hip") for one in (before, both, left)]
    assert hip[0] - hip[2] == pytest.approx((hip[0] - hip[1]) / 2, abs=0.01) and hip[0] - hip[1] > 39.0
    sides = [one.pattern.piece("back").edge("side").closed_length()[0] for one in (before, both)]
    assert left.pattern.piece("right_back").edge("side").closed_length()[0] == pytest.approx(sides[0], abs=1e-6)
    assert left.pattern.piece("left_back").edge("side").closed_length()[0] == pytest.approx(sides[1], abs=1e-6)
    assert all(abs(row.difference[0]) <= row.tolerance for row in left.ledgers.seams)


def test_a_zip_stays_on_its_side():
    text = SKIRT.replace("    zip on centre from waist to hip\n", "    zip on side from waist to hip, on the left\n")
    style, diagnostics = read(Source("skirt.style", text), FolderWorld(Path()))
    assert style is not None, diagnostics
    one = drafted(style, {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0}, {"waist_to_hip": (210.0, 190.0)})
    assert [piece.name for piece in one.pattern.pieces for mark in piece.marks if mark.kind == "zip"] == ["left_back"]
    (row,) = one.ledgers.zips
    assert row.edges == 1


def marked(piece):
    """Kind and name -> the stitching points of a finished piece's notches."""
    return {(notch.kind, notch.edge): notch.on_stitch[0] for notch in piece.notches if np.isfinite(notch.on_stitch).all()}


@pytest.mark.parametrize("name", ["straight_skirt", "vented_pencil_skirt"])
def test_the_centre_of_a_whole_piece_is_notched_above_and_below_and_so_is_the_band(name):
    """Where the fold was; on the band so far from its end as the waists of back and front up to there are long."""
    finished, _ = finish(uneven(name)[3].pattern)
    front = finished.piece("front")
    centres = [at for (kind, _), at in marked(front).items() if kind == "centre"]
    assert sorted(at[1] for at in centres) == pytest.approx(sorted(front.piece.halves.centre[0, :, 1]), abs=1e-3)
    assert [at[0] for at in centres] == pytest.approx(front.piece.halves.centre[0, :, 0], abs=1e-3)
    names = {piece.piece.name for piece in finished.pieces}
    above = "waist" if name == "straight_skirt" else "top"
    places = ("left_back", above), ("front", above), ("front", f"other_{above}")
    waists = [finished.piece(piece).piece.edge(edge) for piece, edge in places]
    along = np.cumsum([edge.closed_length()[0] for edge in waists])
    (at,) = [notch.at[0] for notch in finished.piece("band").notches if (notch.kind, notch.name) == ("joint", "centre")]
    assert {"left_back", "right_back"} <= names and at == pytest.approx(along[1], abs=0.01)
    sides = sorted(notch.at[0] for notch in finished.piece("band").notches if notch.kind == "joint")
    assert sides == pytest.approx(along, abs=0.01)


def test_a_level_of_two_depths_is_drawn_on_either_half_up_to_the_centre():
    one = uneven("straight_skirt")[3]
    finished, _ = finish(one.pattern)
    front = finished.piece("front")
    assert "hip" not in front.levels
    left, right = (y[0] for y in front.half_levels["hip"])
    assert left - right == pytest.approx(APART["waist_to_hip"], abs=1e-6)
    assert left == pytest.approx(finished.piece("left_back").levels["hip"][0], abs=1e-6)
    lines = [
        flat(stroke.commands)
        for stroke in draw_piece(front, 0, Heading("Skirt", "1", "", "Maud", "cm")).items
        if getattr(stroke, "name", "") == "hip" and isinstance(stroke, Stroke) and stroke.line == "construction"
    ]
    spans = sorted((float(line[:, 1].max()), float(line[:, 0].min()), float(line[:, 0].max())) for line in lines)
    assert [y for y, _, _ in spans] == pytest.approx([right, left], abs=1e-6)
    assert spans[0][2] == spans[1][1] == pytest.approx(0.0, abs=1e-6)  # her left is where x is greater, on a front
    notches = {(notch.edge, notch.name) for notch in front.notches}
    assert {("side", "hip"), ("other_side", "hip")} <= notches


def test_papers_say_for_which_side_a_piece_is_and_how_the_cloth_lies():
    card = '[measures]\nwaist = "70 cm"\nhip = "96 cm"\n[left]\nwaist_to_hip = "20.5 cm"\n[right]\nwaist_to_hip = "20 cm"\n'
    drafts = Session().read(SKIRT).draft([card], house='language = "de"\n')
    assert drafts.ok, drafts.diagnostics
    papers = drafts.bodies[0].papers(["svg", "hand", "list", "dxf"])
    words = {name: data.decode() for name, data in papers.items() if name.endswith(("svg", "html", "txt"))}
    plot = next(text for name, text in words.items() if name.endswith(".svg"))
    assert ", links" in plot and ", rechts" in plot
    assert "für die linke Seite" in plot and "für die rechte Seite" in plot and "rechte Stoffseite oben" in plot
    assert any("ist die der anderen Seite" in text for text in words.values())
    assert (
        "1 x zuschneiden, ganz: links und rechts verschieden" in plot and "linke Körperseite" in plot and "rechte Körperseite" in plot
    )
    cutting = next(text for name, text in words.items() if name.endswith(".txt"))
    assert "1, ganz: links und rechts verschieden" in cutting
    assert any("ist seine rechte Hälfte für die linke Körperseite" in text for text in words.values())
    cutter = next(data.decode() for name, data in papers.items() if name.endswith(".dxf"))
    assert "Cut 1, whole: left and right differ" in cutter
    assert "As drawn the right half is for the left side of the body, the left half for the right" in cutter
    front = json.loads(papers["pattern.json"])["pieces"][0]
    assert front["halves"] == {
        "drawn": "left",
        "centre": [[0, 602.5], [0, 0]],
        "levels": {"hip": {"left": 205, "right": 200}, "hem": {"left": 605, "right": 600}},
    }
    girths = json.loads(papers["pattern.json"])["ledgers"]["girths"]
    assert all(row["left"] + row["right"] == pytest.approx(row["sewn"], abs=0.01) for row in girths)


def test_what_is_cut_alike_is_drawn_by_the_whole():
    """A panel of pleats that run one way all round is the front and the back, not a left and a right."""
    mean, _, _, both = uneven("pleated_skirt")
    assert [piece.name for piece in both.pattern.pieces] == [piece.name for piece in mean.pattern.pieces]
    for piece in mean.pattern.pieces:
        assert np.array_equal(piece.stitch_outline().flatten(), both.pattern.piece(piece.name).stitch_outline().flatten())
    assert [(seam.one, seam.other) for seam in both.pattern.seams] == [(seam.one, seam.other) for seam in mean.pattern.seams]
    assert [failure.code for failure in both.failures if failure.code.startswith("D63")] == ["D633"]
    assert all(row.sides is not None and row.sides[0] == row.sides[1] for row in both.ledgers.girths)


OPEN = """language 1
style open_cape "Open cape"
use measurements
measure waist_to_hip
piece front "Front"
    worn in front
    cut 2
    point o         start
    point neck      o down 10 cm
    point neck_side o across 10 cm
    point foot      o down 10 cm + waist_to_hip
    point hem_side  o across 10 cm + waist_to_hip
    point place     foot up 5 cm
    point eye       place across 2 cm
    button at place, 2 cm, on the left
    buttonhole place to eye, on the right
    line centre     neck to foot
    line side       neck_side to hem_side
    arc  neckline   neck to neck_side about o
    arc  hem        foot to hem_side about o
    outline centre, hem, side, neckline
allow
    others 1 cm
"""


def test_fronts_that_lap_meet_at_the_centre():
    """Where nothing can bring them together, as an arc about a point cannot end elsewhere, the edges and the buttons are told."""
    style, diagnostics = read(Source("cape.style", OPEN), FolderWorld(Path()))
    assert style is not None, diagnostics
    one = drafted(style, {"waist_to_hip": 200.0}, {"waist_to_hip": (210.0, 190.0)})
    told = [failure.diagnostic(0) for failure in one.failures if failure.code == "D630"]
    assert [diagnostic.title.split()[0] for diagnostic in told] == ["The", "Buttons"]
    assert all("2 cm" in diagnostic.found or "20 mm" in diagnostic.found for diagnostic in told), told


def test_a_front_with_a_lapel_is_brought_to_its_other_half_at_the_centre():
    _, left, right, both = uneven("shawl_jacket")
    edges = [one.pattern.piece("front").edge("front_edge") for one in (left, right)]
    assert abs(edges[0].closed_length()[0] - edges[1].closed_length()[0]) > 10.0  # each for itself they would lie apart
    one, other = (both.pattern.piece(f"{side}_front") for side in ("left", "right"))
    assert one.edge("front_edge").closed_length() == pytest.approx(other.edge("front_edge").closed_length(), abs=1e-6)
    buttons = [mark.at[0, 1] for mark in one.point_marks if mark.kind == "button"]
    holes = [mark.path.start()[0, 1] for mark in other.marks if mark.kind == "buttonhole"]
    assert len(buttons) == 3 and buttons == pytest.approx(holes, abs=1e-6)
    assert "D630" not in {failure.code for failure in both.failures}
