"""A shipped dress fitted as a fitter says it moves as it is said and nowhere else, for women of a survey; and the recipes of
`stdlib/fitting` move what the chapters that they are from say."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
import shapely
from population import bdims

import tapeline
from tapeline.drafting.landmarks import landmarks
from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

STYLES = Path(tapeline.__file__).parents[2] / "styles"
WOMEN = 3
FIVE_LINES = """take in back.princess and side_back.seam and front.seam and side_front.seam 8 mm at waist, to nothing at bust and hip
let out side_front.side and side_back.side 1 cm at hip, to nothing at waist and hem
drop front.neckline and front_facing.neckline 1 cm at centre, to nothing at shoulder
raise side_front.shoulder and side_back.shoulder 6 mm at armhole, to nothing at seam
shorten front and back and side_front and side_back 2 cm at hip
"""
TAKEN_IN = {"back": "princess", "side_back": "seam", "front": "seam", "side_front": "seam"}
STILL = 1e-6  # mm


@cache
def pattern_of(base: str, lines: str):
    """The pattern of some women of a style with lines added, and what is wrong with it, or eased in."""
    text = f'language 1\nstyle fitted "Fitted"\nstart from {base}\n{lines}'
    style = read_style(text)
    values = bdims().every(65).values
    drafts = draft(style, {name: np.array(values[name][:WOMEN]) for name in style.needed})
    assert len(drafts) == 1
    told = {
        (failure.code, failure.span.text) for failure in drafts[0].failures if failure.severity == "error" or failure.code == "D649"
    }
    return drafts[0].pattern, told


def read_style(text: str):
    style, diagnostics = read(Source("fitted.style", text), FolderWorld(STYLES))
    assert style is not None, "\n".join(map(render, diagnostics))
    return style


def moved(base: str, lines: str) -> dict[tuple[str, str], np.ndarray]:
    """(piece, place) -> how far it has gone (N, 2), of all places of all pieces."""
    (before, _), (after, _) = pattern_of(base, ""), pattern_of(base, lines)
    assert [piece.name for piece in before.pieces] == [piece.name for piece in after.pieces]
    gone = {}
    for piece in before.pieces:
        was, now = landmarks(piece), landmarks(after.piece(piece.name))
        assert was.keys() == now.keys()
        gone |= {(piece.name, place): now[place] - was[place] for place in was}
    return gone


def test_five_lines_on_a_princess_dress_move_what_they_say_and_nothing_else():
    (before, wrong_before), (after, wrong) = pattern_of("princess_dress", ""), pattern_of("princess_dress", FIVE_LINES)
    # The raised shoulders lengthen the armhole, and the sleeve, of which nothing is said, stays: what is eased in is less, and told.
    assert not wrong_before and wrong == {("D649", "sew sleeve.cap to side_front.armhole and side_back.armhole, easing cap_ease")}
    parted = {"front", "back", "side_front", "side_back"}
    hips = {name: before.piece(name).levels["hip"] for name in parted}
    told = {("front", "neckline"), ("front_facing", "neckline")}
    for (piece, place), gone in moved("princess_dress", FIVE_LINES).items():
        at = landmarks(before.piece(piece))[place]
        down = np.zeros(WOMEN)
        if piece in parted:
            down = np.where(at[:, 1] > hips[piece] + 1e-3, -20.0, 0.0)
        if place in ("neck_centre", "centre/neckline", "neckline/centre") and (piece, "neckline") in told:
            down = down + 10.0
        if place in ("shoulder_tip", "shoulder/armhole", "armhole/shoulder") and piece in ("side_front", "side_back"):
            hold_raised(before.piece(piece), after.piece(piece))
        elif place == "hip_side" and piece in ("side_front", "side_back"):
            assert np.abs(np.linalg.norm(gone, axis=1) - 10.0).max() < 0.01
        else:
            left = np.linalg.norm(gone - np.stack([np.zeros(WOMEN), down], axis=1), axis=1)
            on_seam = on_edge(before.piece(piece), TAKEN_IN.get(piece), at)  # such a point goes with the seam
            assert (left < np.where(on_seam, 8.01, STILL)).all(), (piece, place, gone)
    for piece in ("back_facing", "sleeve"):  # every edge of these, all along
        for edge in before.piece(piece).edges:
            flat = [one.piece(piece).edge(edge.name).stitch_path().flatten() for one in (before, after)]
            assert np.abs(flat[0] - flat[1]).max() < STILL
    hold_seams(before, after)
    hold_taken_in(before, after)


def on_edge(piece, edge, points):
    """Whether points (N, 2) lie on an edge."""
    if edge is None:
        return np.zeros(len(points), dtype=bool)
    return shapely.distance(shapely.linestrings(piece.edge(edge).stitch_path().flatten()), shapely.points(points)) < 0.02


def hold_raised(before, after):
    """The new shoulder passes 6 mm over the old tip, and is straight."""
    tip = before.edge("shoulder").end() if "armhole" in next_to(before, "shoulder") else before.edge("shoulder").start()
    other = before.edge("shoulder").start() if "armhole" in next_to(before, "shoulder") else before.edge("shoulder").end()
    raised = tip + np.array([0.0, -6.0])
    way = (raised - other) / np.linalg.norm(raised - other, axis=1)[:, None]
    for point in np.moveaxis(after.edge("shoulder").stitch_path().flatten(), 1, 0):
        off = way[:, 0] * (point - other)[:, 1] - way[:, 1] * (point - other)[:, 0]
        assert np.abs(off).max() < 3.0  # as straight as the shoulder was, to which a sewn dart has given a bow
    line = shapely.linestrings(after.edge("shoulder").stitch_path().flatten())
    assert (shapely.distance(line, shapely.points(raised)) < 1.0).all()  # it meets the armhole a little before or beyond


def next_to(piece, edge):
    names = [one.name for one in piece.edges]
    return {names[(names.index(edge) + 1) % len(names)]}


def hold_seams(before, after):
    """What was sewn on both sides still matches as it did."""
    for seam in after.seams:
        if "sleeve" in {piece for piece, _ in seam.one + seam.other}:
            continue
        was, now = (
            [sum(one.piece(piece).edge(edge).closed_length() for piece, edge in side) for side in (seam.one, seam.other)]
            for one in (before, after)
        )
        # Taken in about a bend the one side gets a little longer than the other: less than two sides of a seam may differ by.
        assert np.abs((now[0] - now[1]) - (was[0] - was[1])).max() < 25.4 / 16, seam.written


def hold_taken_in(before, after):
    """At the waist eight edges were taken in by 8 mm each; at the bust nothing has moved."""
    girths = [
        {
            level: sum(piece.widths[level] * piece.cut.instances for piece in one.pieces if level in piece.widths)
            for level in ("bust", "waist")
        }
        for one in (before, after)
    ]
    assert np.abs(girths[1]["bust"] - girths[0]["bust"]).max() < 0.05
    assert np.abs(girths[1]["waist"] - girths[0]["waist"] + 8 * 8.0).max() < 0.5


# ------------------------------------------------------------ recipes

RECIPES = [
    ("shift_dress", "front", "sloping_shoulder(1 cm)", {"shoulder", "armhole", "side"}),
    ("shift_dress", "back", "square_shoulder(5 mm)", {"shoulder", "neckline"}),
    ("shift_dress", "back", "broad_shoulder(1/2 in)", {"shoulder", "armhole"}),
    ("shift_dress", "back", "broad_back(1 cm)", {"shoulder", "armhole"}),
    ("shift_dress", "front", "front_to_broad_back(1 cm)", {"shoulder", "armhole"}),
    ("shift_dress", "front", "forward_shoulder_front(6 mm)", {"shoulder", "armhole"}),
    ("shift_dress", "back", "forward_shoulder_back(6 mm)", {"shoulder", "armhole"}),
    ("shift_dress", "back", "round_back(6 mm)", {"neckline", "centre"}),
    ("shift_dress", "back", "fuller_bust(5 mm)", {"side", "armhole"}),
    ("princess_bodice", "front", "fuller_bust_princess(5 mm)", {"princess"}),
    ("princess_bodice", "side_front", "fuller_bust_princess(5 mm)", {"princess"}),
    ("shift_dress", "front", "lifted_front(6 mm)", {"shoulder", "neckline"}),
    ("shift_dress", "back", "hollow_back_bodice(6 mm)", {"shoulder", "neckline"}),
    ("straight_skirt", "back", "hollow_back_skirt(8 mm)", {"waist", "centre"}),
    ("straight_skirt", "front", "full_abdomen(1 in, 5 mm)", {"waist", "centre", "side"}),
    ("straight_skirt", "back", "prominent_seat(1 in, 5 mm)", {"waist", "centre", "side"}),
    ("straight_skirt", "back", "higher_hip(8 mm)", {"waist", "side"}),
    ("straight_skirt", "front", "wider_hip(5 mm)", {"side", "hem"}),
    ("straight_skirt", "front", "wider_waist(5 mm)", {"side", "waist"}),
]
ALL = {
    base: "use fitting\n"
    + "".join(f"foundation f{k} from {piece}\nfit f{k} as {recipe}\n" for k, (of, piece, recipe, _) in enumerate(RECIPES) if of == base)
    for base in {row[0] for row in RECIPES}
}


@pytest.mark.parametrize("number", range(len(RECIPES)), ids=[recipe.split("(")[0] for _, _, recipe, _ in RECIPES])
def test_a_recipe_moves_its_edges_and_those_that_they_meet_alone(number):
    """All recipes of a style are tried in one draft, each on a foundation of its own."""
    base, piece, _, edges = RECIPES[number]
    pattern, _ = pattern_of(base, ALL[base])
    plain, fitted = pattern.piece(piece), pattern.piece(f"f{number}")
    changed = set()
    for edge in plain.edges:
        flat = [shapely.linestrings(one.edge(edge.name).stitch_path().flatten()) for one in (plain, fitted)]
        if (shapely.hausdorff_distance(*flat, densify=0.05) > 1e-3).any():
            changed.add(edge.name)
    assert changed == edges
