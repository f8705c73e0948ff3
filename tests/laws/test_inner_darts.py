"""Laws of darts within a piece, of cuts through them and from corners, of released darts, and of pleats over a stretch.

On a plain rectangle all is known in closed form: what a dart of two points takes out at a depth is linear from its points to
its middle (similar triangles), and its cloth is half its length times its intake.
"""

import numpy as np
import pytest
from changing import areas, drafts_of
from hypothesis import given, settings
from hypothesis import strategies as st

law = settings(max_examples=12, deadline=None)
BODIES = {"waist": np.array([880.0, 960.0, 1100.0]), "waist_to_hip": np.full(3, 200.0)}

SHEET = """\
levels
    top
    waist {waist} mm below top
    probe {probe} mm below top
foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A across waist / 4
    point C A down 600 mm
    point D B down 600 mm
    point W A across waist / 8, down {waist} mm
    point R A down {probe} mm
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline {outline}
    level waist at W
    level probe at R
    dart at W, called fish
        intake {intake} mm
        points {above} mm above it, {below} mm below it
"""


@st.composite
def sheets(draw):
    """A rectangle with a dart of two points, its outline run either way round."""
    waist = draw(st.integers(250, 350))
    facts = {
        "waist": waist,
        "intake": draw(st.integers(8, 40)),
        "above": draw(st.integers(60, 200)),
        "below": draw(st.integers(60, 200)),
        "probe": waist + draw(st.integers(-240, 240)),
        "outline": draw(st.sampled_from(["centre, top, side, hem", "hem, side, top, centre"])),
    }
    return facts, SHEET.format(**facts)


def opening(facts, depth):
    """What the dart takes out so far below its middle (above it: negative)."""
    reach = facts["below"] if depth > 0 else facts["above"]
    return facts["intake"] * max(0.0, 1.0 - abs(depth) / reach)


def pattern_of(text):
    (draft,) = drafts_of(text, BODIES)
    return draft


@law
@given(sheets())
def test_a_dart_within_a_piece_takes_out_what_its_triangles_say(sheet):
    facts, text = sheet
    draft = pattern_of(text + "piece front_piece from front\nw = width of front_piece at waist\np = width of front_piece at probe\n")
    wide = BODIES["waist"] / 4
    assert draft.pattern.values["w"] == pytest.approx(wide - facts["intake"], abs=1e-6)
    assert draft.pattern.values["p"] == pytest.approx(wide - opening(facts, facts["probe"] - facts["waist"]), abs=1e-6)


@law
@given(sheets(), st.sampled_from(["from top at half to hem at half", "from hem at half to top at half"]))
def test_a_cut_through_it_leaves_its_cloth_to_neither_part(sheet, stops):
    facts, text = sheet
    draft = pattern_of(
        text + f"cut front {stops} through fish, seam panel\n    piece middle holding centre\n    piece flank\n"
        "w = width of middle at waist + width of flank at waist\n"
    )
    middle, flank = (draft.pattern.piece(name) for name in ("middle", "flank"))
    dart = facts["intake"] * (facts["above"] + facts["below"]) / 2.0
    assert areas(middle) + areas(flank) == pytest.approx(BODIES["waist"] / 4 * 600.0 - dart, abs=0.05)
    slants = [np.hypot(facts["intake"] / 2.0, facts[end]) for end in ("above", "below")]
    seam = 600.0 - facts["above"] - facts["below"] + sum(slants)
    for piece in (middle, flank):
        assert piece.edge("panel").closed_length() == pytest.approx(seam, abs=1e-6)
        assert not piece.inner
    assert draft.pattern.values["w"] == pytest.approx(BODIES["waist"] / 4 - facts["intake"], abs=1e-3)
    assert [row.one for row in draft.ledgers.seams] == ["middle.panel"]


@law
@given(sheets())
def test_every_change_carries_it_with_its_cloth(sheet):
    facts, text = sheet
    draft = pattern_of(
        text + "piece turned from front\n    mirror\npiece whole from front\n    open out at centre\n"
        "piece wide from front\n    spread top by 60 mm and hem by 60 mm, in 1 cut\n"
    )
    front = draft.pattern.piece("front")
    for name, move in (("turned", lambda p: p * [-1.0, 1.0]), ("whole", lambda p: p)):
        piece = draft.pattern.piece(name)
        for corner in ("upper", "lower"):
            assert piece.points[f"fish_{corner}"] == pytest.approx(move(front.points[f"fish_{corner}"]), abs=1e-9)
    (mine,), (theirs,) = front.inner, draft.pattern.piece("wide").inner

    def sides(dart):
        corners = dart.corners()
        return [np.hypot(*(b - a).T) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True)]

    for a, b in zip(sides(mine), sides(theirs), strict=True):
        assert np.all((np.abs(a - b) < 1e-9) | (np.abs(a - b) <= 60.0 + 1e-6))


@law
@given(st.integers(20, 50), st.integers(110, 250))
def test_a_released_dart_gives_its_mouth_back_to_the_edge(intake, length):
    text = f"""\
piece front "Front"
    point A start
    point B A across waist / 4
    point C A down 600 mm
    point D B down 600 mm
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline centre, top, side, hem
    dart on top at half, called taken
        intake {intake} mm
        point {length} mm long
piece released from front
    release taken
"""
    draft = pattern_of(text)
    front, released = draft.pattern.piece("front"), draft.pattern.piece("released")
    assert not released.darts()
    for name in ("centre", "side", "hem"):
        assert released.edge(name).closed_length() == pytest.approx(front.edge(name).closed_length(), abs=1e-9)
    mouth = front.darts()[0].intake
    assert released.edge("top").closed_length() == pytest.approx(front.edge("top").closed_length() + mouth, rel=5e-3)
    assert released.edge("top").start() == pytest.approx(front.edge("top").start(), abs=1e-9)
    assert released.edge("top").end() == pytest.approx(front.edge("top").end(), abs=1e-9)


@law
@given(sheets(), st.floats(0.2, 0.8))
def test_a_cut_may_begin_in_a_corner(sheet, part):
    facts, text = sheet
    text = text.split("    dart at W")[0]
    draft = pattern_of(
        text + f"cut front from A to side at {part:.4f} from B, seam slant\n    piece over holding top\n    piece under holding hem\n"
    )
    over, under = (draft.pattern.piece(name) for name in ("over", "under"))
    wide, down = BODIES["waist"] / 4, 600.0 * round(part, 4)
    assert areas(over) == pytest.approx(wide * down / 2.0, abs=0.05)
    assert areas(over) + areas(under) == pytest.approx(wide * 600.0, abs=0.05)
    assert over.edge("slant").closed_length() == pytest.approx(np.hypot(wide, down), abs=1e-6)
    assert under.edge("centre").closed_length() == pytest.approx(600.0, abs=1e-9)


@law
@given(st.integers(1, 4), st.integers(5, 20))
def test_pleats_over_a_stretch_leave_the_rest_of_the_edge_alone(count, deep):
    text = SHEET.format(waist=300, probe=310, intake=10, above=60, below=60, outline="centre, top, side, hem").split("    dart at W")[0]
    draft = pattern_of(
        text + "    point P A across 60 mm\n    point Q A across 180 mm\n"
        f"piece pleated from front\n    pleats {count} on top to hem, evenly between P and Q, {deep} mm deep\n"
    )
    (edge,) = [edge for edge in draft.pattern.piece("pleated").edges if edge.name == "top"]
    strips = [strip.length() for strip in edge.strips]
    step = 120.0 / (count + 1)
    assert strips[0] == pytest.approx(np.full(3, 60.0 + step), abs=1e-6)
    for strip in strips[1:-1]:
        assert strip == pytest.approx(np.full(3, step), abs=1e-6)
    assert edge.closed_length() == pytest.approx(BODIES["waist"] / 4, abs=1e-6)
    assert draft.pattern.piece("pleated").edge("hem").closed_length() == pytest.approx(BODIES["waist"] / 4 + 2 * count * deep, abs=1e-3)


@law
@given(st.floats(0.1, 0.35), st.floats(0.45, 0.8), st.floats(0.3, 0.6), st.integers(5, 40), st.booleans())
def test_pleats_along_lines_taper_to_nothing(first, second, higher, deep, turned):
    """As a drape has them: the pleated edge is sewn as it was, the edge that they run to keeps its length, and so does the area."""
    text = SHEET.format(waist=300, probe=310, intake=10, above=60, below=60, outline="centre, top, side, hem").split("    dart at W")[0]
    lines = "low and high" if turned else "high and low"
    draft = pattern_of(
        text + f"    point P along side from B by {first:.4f}\n    point Q along side from B by {second:.4f}\n"
        f"    point U along centre from A by {higher:.4f}\n    point S along centre from A by {higher + 0.3:.4f}\n"
        "    line high P to U\n    line low Q to S\n"
        f"piece draped from front\n    pleats on side to centre along {lines}, {deep} mm deep, 0 mm deep at centre, staying at top\n"
    )
    front, draped = draft.pattern.foundations[0], draft.pattern.piece("draped")
    edge = draped.edge("side")
    assert [dart.name for dart in edge.darts] == ["pleat1", "pleat2"]  # along the edge, however the lines are listed
    assert edge.closed_length() == pytest.approx(front.edge("side").closed_length(), abs=1e-6)
    assert draped.edge("centre").closed_length() == pytest.approx(front.edge("centre").closed_length(), abs=1e-6)
    for level in ("waist", "probe"):
        assert draped.widths[level] == pytest.approx(BODIES["waist"] / 4, abs=1e-3)
    for dart in edge.darts:
        feet = [dart.near_leg.start(), dart.far_leg.start()]
        assert np.hypot(*(feet[1] - feet[0]).T) == pytest.approx(np.full(3, 2.0 * deep), abs=1e-6)
        assert np.hypot(*(dart.near_leg.end() - dart.far_leg.end()).T) == pytest.approx(np.zeros(3), abs=1e-6)


@law
@given(sheets())
def test_it_is_taken_out_of_either_half_of_an_opened_or_a_joined_piece(sheet):
    """Twice the half, whichever way the whole is made; on each half the dart has a name of its own."""
    facts, text = sheet
    draft = pattern_of(
        text
        + """foundation turned "Turned over" from front
    mirror
piece opened from front
    cut 1
    open out at centre
piece laid from front
    cut 1
    join turned along centre
half = width of front at probe
whole = width of opened at probe
other = width of laid at probe
second = intake of laid.turned_fish
third = intake of opened.other_fish
"""
    )
    values = draft.pattern.values
    assert values["half"] == pytest.approx(BODIES["waist"] / 4 - opening(facts, facts["probe"] - facts["waist"]), abs=1e-6)
    assert values["whole"] == pytest.approx(2.0 * values["half"], abs=1e-6)
    assert values["other"] == pytest.approx(2.0 * values["half"], abs=1e-6)
    assert values["second"] == pytest.approx(facts["intake"]) and values["third"] == pytest.approx(facts["intake"])
    assert {dart.name for dart in draft.pattern.piece("laid").inner} == {"fish", "turned_fish"}
    assert {dart.name for dart in draft.pattern.piece("opened").inner} == {"fish", "other_fish"}
