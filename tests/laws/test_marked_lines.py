"""Laws of drawn lines that are marked on a piece: named points set along such a line are carried by changes as ever, and the
mark must go with them."""

import numpy as np
import pytest
import shapely
from changing import dense
from hypothesis import given, settings
from hypothesis import strategies as st
from test_slopes import differences
from workbench import bodies, drafted, style_of, told

from tapeline.geometry.plane import distance
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

law = settings(max_examples=6, deadline=None)
seeds = st.integers(0, 2**32 - 1)
SHARES = (0, 13, 37, 52, 71, 88, 100)  # per cent of the line, where a named point lies on it

BASE = """language 1
style marked "Marked"
measure waist, hip, waist_to_hip, waist_to_knee
foundation base "Base"
    cut 2
    point A start
    point B A across waist / 4 + 3 cm, up 1 cm
    point H A down waist_to_hip
    point G A across hip / 4 + 1 cm, down waist_to_hip - 1 cm
    point C A down waist_to_knee
    point D G down waist_to_knee - waist_to_hip
    line  centre A to C
    curve waist  A to B, leaving level
    curve side   B to D through G
    line  hem    C to D
    {line}
    outline centre, waist, side, hem
    dart on waist at half, called waist_dart
        intake 3 cm
        point 12 cm long
{points}
    mark "hip" along hip_line
    mark "to the hem" along hem
"""
LINES = {
    "curve": "curve hip_line H to G, bowed {bow} mm down",
    "line": "line hip_line H to G",
    "arc": "arc hip_line H to G, bowed {bow} mm down",
}
WHOLE = {  # changes that leave the line as it is
    "copy": "",
    "mirror": "    mirror\n",
    "shorten": "    shorten waist_dart by 2 cm\n",
    "extend": "    extend centre by 3 cm, called wrap\n",
    "moved above it": "    pivot waist_dart to side at 4 cm from waist\n",
    "twice": "    pivot waist_dart to side at 4 cm from waist\n    mirror\n",
}
ACROSS = {  # changes that slash across it
    "flare": "    spread hem by {x} mm, hinged on waist, in 2 cuts\n",
    "fullness": "    spread waist by {x} mm and hem by {x} mm, in 2 cuts, staying at side\n",
    "swing": "    close waist_dart, opening hem at half\n",
    "then turned over": "    spread hem by {x} mm, hinged on waist, in 4 cuts\n    mirror\n",
}


def text_of(kind, bow, pieces):
    points = "\n".join(f"    point q{share} along hip_line from H by {share} %" for share in SHARES)
    return BASE.format(line=LINES[kind].format(bow=bow), points=points) + pieces


def pattern_of(text, seed):
    one_draft = drafted(style_of(text), bodies(np.random.default_rng(seed), 3))
    assert not told(one_draft)
    return one_draft.pattern


def mark(piece, name="hip"):
    return next(one for one in piece.marks if one.name == name).path


def off(path, points):
    """How far (N,) places lie from a path, by shapely."""
    runs = [shapely.LineString(run) for run in dense(path)]
    return np.array([run.distance(shapely.Point(*point)) for run, point in zip(runs, points, strict=True)])


@given(st.sampled_from(sorted(LINES)), st.integers(3, 20), st.sampled_from(sorted(WHOLE)), seeds)
@law
def test_where_its_cloth_stays_whole_the_line_goes_along_as_it_is(kind, bow, change, seed):
    pattern = pattern_of(text_of(kind, bow, f"piece next from base\n{WHOLE[change]}piece after from next\n"), seed)
    base = pattern.foundations[0]
    for name in ("next", "after"):
        piece = pattern.piece(name)
        path, before = mark(piece), mark(base)
        assert np.abs(path.length() - before.length()).max() < 1e-6
        for share in SHARES:
            assert np.abs(path.point_at(path.length() * share / 100) - piece.points[f"q{share}"]).max() < 1e-5
        assert [type(segment) for segment in path.segments] == [type(segment) for segment in before.segments]
        assert "to the hem" in {one.name for one in piece.marks}


@given(st.sampled_from(sorted(LINES)), st.integers(3, 20), st.sampled_from(sorted(ACROSS)), st.integers(5, 40), seeds)
@law
def test_where_its_cloth_is_slashed_it_runs_on_through_all_parts(kind, bow, change, opened, seed):
    pattern = pattern_of(text_of(kind, bow, f"piece next from base\n{ACROSS[change].format(x=opened)}"), seed)
    piece, before = pattern.piece("next"), mark(pattern.foundations[0])
    path = mark(piece)
    for share in SHARES:
        assert off(path, piece.points[f"q{share}"]).max() < 2.0
    for share, end in ((0, path.start()), (100, path.end())):
        assert np.abs(end - piece.points[f"q{share}"]).max() < 1e-6
    assert (path.length() > before.length() + 0.1).all()


@given(st.sampled_from(sorted(LINES)), st.integers(3, 20), st.integers(25, 75), st.booleans(), seeds)
@law
def test_a_cut_shares_it_between_the_parts(kind, bow, share, turned, seed):
    cut = f"""cut base from waist at {share} % to hem at {share} %, seam panel
    piece middle holding centre
{"        mirror" if turned else ""}
    piece outer
piece again from middle
"""
    if share > 40 and share < 62:  # the dart is in the way
        cut = cut.replace(f"waist at {share} % to", "waist_dart to")
    pattern = pattern_of(text_of(kind, bow, cut), seed)
    whole = mark(pattern.foundations[0]).length()
    parts = [mark(pattern.piece(name)) for name in ("middle", "outer")]
    assert np.abs(sum(path.length() for path in parts) - whole).max() < 1e-3
    for name, path in zip(("middle", "outer"), parts, strict=True):
        piece = pattern.piece(name)
        ends = np.min([off(piece.edge("panel").closed, end) for end in (path.start(), path.end())], axis=0)
        assert ends.max() < 1e-3
    assert np.abs(mark(pattern.piece("again")).length() - parts[0].length()).max() < 1e-6
    assert np.abs(parts[0].start() - pattern.piece("middle").points["H"]).max() < 1e-6


def test_a_part_without_it_has_no_mark():
    cut = "cut base from centre at waist_to_hip + 6 cm to side at 30 cm from D, seam low\n    piece upper holding waist\n    piece lower\n"
    pattern = pattern_of(text_of("curve", 5, cut), 3)
    assert [one.name for one in pattern.piece("upper").marks] == ["hip"]
    assert [one.name for one in pattern.piece("lower").marks] == ["to the hem"]


def test_a_piece_drawn_and_changed_at_once_keeps_it():
    text = text_of("curve", 5, "").replace('foundation base "Base"', 'piece base "Base"')
    at_once = text.replace('    mark "hip"', '    spread hem by 3 cm, hinged on waist, in 2 cuts\n    mark "hip"')
    apart = text_of("curve", 5, "piece next from base\n    spread hem by 3 cm, hinged on waist, in 2 cuts\n")
    one, other = pattern_of(at_once, 5).piece("base"), pattern_of(apart, 5).piece("next")
    assert np.allclose(dense(mark(one)), dense(mark(other)))


@pytest.mark.parametrize("anew", ["A to D", "along centre"])
def test_a_mark_with_the_same_words_goes_before_the_one_taken_over(anew):
    pattern = pattern_of(text_of("curve", 5, f'piece next from base\n    mark "hip" {anew}\n'), 5)
    piece = pattern.piece("next")
    assert sorted(one.name for one in piece.marks) == ["hip", "to the hem"]
    ends = [mark(piece).start(), mark(piece).end()]
    assert min(np.abs(end - piece.points["A"]).max() for end in ends) < 1e-9


@pytest.mark.parametrize(
    "then", ["", "piece next from whole\n    mirror\n", "piece next from whole\n    spread hem by 4 cm, hinged on waist, in 2 cuts\n"]
)
def test_a_piece_that_is_opened_out_has_it_on_both_halves(then):
    """One the image of the other in the fold, as the points that lie on them."""
    pattern = pattern_of(text_of("curve", 9, f"piece whole from base\n    open out at centre\n{then}"), 5)
    for piece in pattern.pieces:
        one, other = (mark.path for mark in piece.marks if mark.name == "hip")
        for path, image in ((one, ""), (other, "other_")):
            for share in SHARES[1:]:
                assert off(path, piece.points[f"{image}q{share}"]).max() < (2.0 if "spread" in then else 1e-3)
        assert np.abs(one.start() - other.start()).max() < 1e-6
        if "spread" not in then:
            assert np.abs(one.length() - other.length()).max() < 1e-6


def test_a_facing_has_none_but_along_its_edges():
    text = text_of("line", 5, "piece faced from base\n    facing 6 cm deep along waist\n").replace(
        '    mark "hip"', '    mark "top" along waist\n    mark "hip"'
    )
    assert [one.name for one in pattern_of(text, 5).piece("faced").marks] == ["top"]


RECIPE = """language 1
style patches "Patches"
recipe patch "Patch" (wide length)
    cut 2
    point A start
    point B A across wide
    point C A down 20 cm
    point D B down 20 cm
    line left A to C
    line top A to B
    line right B to D
    line low C to D
    line fold_line A to D
    outline left, top, right, low
    mark "fold" along fold_line
    mark "patch" along fold_line
piece plain "Plain" from patch(20 cm)
piece changed "Changed" from patch(20 cm)
    change
        without mark "fold"
        mark "patch" A to B
"""


def test_it_is_changed_and_taken_away_by_its_words():
    pattern = drafted(style_of(RECIPE), {}).pattern
    assert [one.name for one in pattern.piece("plain").marks] == ["fold", "patch"]
    (patch,) = pattern.piece("changed").marks
    assert patch.name == "patch" and np.allclose(patch.path.end(), [[200.0, 0.0]])


def test_the_slopes_of_its_ends_are_those_of_drafts():
    """Carried by a turn, cut off at a seam, and bridged over a spread."""
    text = text_of(
        "curve",
        9,
        """piece turned from base
    pivot waist_dart to side at 4 cm from waist
piece spread_out from base
    spread hem by waist / 20, hinged on waist, in 2 cuts
cut base from waist at 25 % to hem at 30 %, seam panel
    piece middle holding centre
    piece outer
""",
    )
    body = {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0, "waist_to_knee": 580.0}
    exact, rough = differences(style_of(text), body)
    ends = [key for key in exact.places if key[1].startswith("hip ")]
    assert len(ends) >= 2  # the others lie in points that have names
    for key in ends:
        assert np.abs(exact.places[key][0] - rough[key]).max() <= 1e-4, key


def test_no_name_of_its_places_is_told():
    text = text_of("curve", 5, "piece next from base\n    spread hem by 2 cm, hinged on waist, in 2 cuts, staying at nowhere\n")
    _, said = read(Source("marked.style", text), FolderWorld())
    assert [one.code for one in said] == ["N201"] and "q13" in said[0].expected and "#" not in said[0].expected


def test_no_name_of_its_places_is_seen():
    pattern = pattern_of(text_of("curve", 5, "piece next from base\n    mirror\n"), 5)
    for piece in (*pattern.pieces, *pattern.foundations):
        assert all("#" not in name for name in piece.points)
    assert distance(mark(pattern.piece("next")).start(), mark(pattern.piece("next")).end()).min() > 100.0
