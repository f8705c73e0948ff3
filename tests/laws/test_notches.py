"""Balance notches: sewn together, they lie on each other; they keep clear of corners and darts, and tell front from back.

The witness folds every dart by a rigid motion, as a cutter pins it, and measures along the folded line where the notches drawn on
paper lie.  Two edges that are sewn alone are laid end to end as their chords and the names beside them tell; along a seam of
several edges it is seen that joint after joint the edges between them fit, and that each notch is as far from the joint beside
it as its fellow is from the end of its edge.  What the program says of places and fellows is only what is tried.
"""

import sys
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from test_styles import styles, text_of
from workbench import bodies, drafted, style_of

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.world import FolderWorld, read_text, standard_folder

sys.path.append(str(Path(__file__).parents[1] / "styles"))
from population import ansur2  # noqa: E402

SHIPPED = sorted(standard_folder("styles").glob("*.style"))
MANY_PANELS = ("six_gore_skirt", "trumpet_skirt", "panelled_bustier", "princess_bodice")
WOMEN = slice(3, 1986, 400)  # five of them, of the whole survey
MEETS = 0.5  # mm, that notches may be off when sewn
NEAR_END = 0.01
# As LANGUAGE.md, section 18, states them, in mm.
LEAST, MOST, CORNER, FOOT, PAIR, UNLIKE = 150.0, 450.0, 20.0, 10.0, 10.0, 15.0
BY_ITSELF = ("balance", "level", "joint", "middle")
SHARED = ("balance", "level", "stated", "open", "middle")


def plane(points):
    return points[..., 0] + 1j * points[..., 1]


@cache
def folded(edge, body):
    """An edge with its darts folded: its strips as they lie then, and for each strip its way on the paper."""
    motions, strips = [(1.0 + 0j, 0j)], []
    for dart in edge.darts:
        (near, near_end), (far, far_end) = ((plane(leg.start())[body], plane(leg.end())[body]) for leg in (dart.near_leg, dart.far_leg))
        turn = (near_end - near) / (far_end - far)
        turn /= abs(turn)
        before_turn, before_shift = motions[-1]
        motions.append((before_turn * turn, before_turn * (near - turn * far) + before_shift))
    for strip, (turn, shift) in zip(edge.strips, motions, strict=True):
        z = plane(strip.take(slice(body, body + 1)).flatten("fine"))[0]
        strips.append((z, turn * z + shift))
    for (_, one), (_, other) in pairwise(strips):
        assert abs(one[-1] - other[0]) < 0.2, "the folded strips do not meet"
    return strips


def along(edge, body, place):
    """How far along the folded edge a place on the paper lies."""
    passed, best = 0.0, (np.inf, np.nan)
    for paper, laid in folded(edge, body):
        off = np.abs(laid[1:] - laid[:-1]).cumsum()
        line = shapely.LineString(np.column_stack([paper.real, paper.imag]))
        point = shapely.Point(place)
        best = min(best, (round(line.distance(point), 6), passed + line.project(point)))
        passed += off[-1]
    assert best[0] < 0.05, "a notch lies beside its edge"
    return best[1]


def length(edge, body):
    return sum(np.abs(np.diff(laid)).sum() for _, laid in folded(edge, body))


class Notched:
    """The notches of one body as they lie along folded edges: place -> [(how far, notch)]."""

    def __init__(self, finished, body):
        self.pattern, self.body, self.finished = finished.pattern, body, finished
        self.pieces = {piece.piece.name: piece for piece in finished.pieces}
        self.along = {}
        for piece in finished.pieces:
            for notch in piece.notches:
                if np.isfinite(notch.on_stitch[body]).all():
                    assert np.isfinite(notch.on_cut[body]).all()
                    place = piece.piece.name, notch.edge
                    self.along.setdefault(place, []).append((along(self.edge(place), body, notch.on_stitch[body]), notch))

    def edge(self, place):
        return self.pieces[place[0]].piece.edge(place[1])

    def length(self, place):
        return length(self.edge(place), self.body)

    def of(self, place, *kinds):
        return sorted(at for at, notch in self.along.get(place, ()) if notch.kind in kinds)

    def feet(self, place):
        strips = [np.abs(np.diff(laid)).sum() for _, laid in folded(self.edge(place), self.body)]
        return np.cumsum(strips)[:-1]

    def start_to_start(self, one, other):
        """Whether two edges lie start to start: by what lies beside them, else by their chords on paper."""
        if one == other:
            return True
        beside = []
        for piece, edge in (one, other):
            names = [e.name for e in self.pieces[piece].piece.edges]
            k = names.index(edge)
            beside.append((names[k - 1], names[(k + 1) % len(names)]))
        straight = sum(a == b for a, b in zip(*beside, strict=True))
        turned = sum(a == b for a, b in zip(beside[0], beside[1][::-1], strict=True))
        if straight != turned:
            return straight > turned
        chords = [plane(self.edge(place).end() - self.edge(place).start())[self.body] for place in (one, other)]
        return (chords[0] * chords[1].conjugate()).real >= 0


def check(finished, body):
    notched = Notched(finished, body)
    for seam in finished.pattern.seams:
        if not all(name in notched.pieces for name, _ in (*seam.one, *seam.other)):
            continue
        one, other = finished.pattern.sewn(seam)
        if len(one) == len(other) == 1 and one[0].times == other[0].times:
            sewn_alone(notched, seam)
        else:
            sewn_to_several(notched, seam)
        if seam.notched and seam.kind == "plain":
            enough(notched, seam, one, other)
        counted(notched, seam)
    clear(notched)
    return notched


def sewn_alone(notched, seam):
    place, other = seam.one[0], seam.other[0]
    whole, beyond = notched.length(place), notched.length(other)
    here, there = notched.of(place, *SHARED), notched.of(other, *SHARED)
    if not notched.start_to_start(place, other):
        there = sorted(beyond - at for at in there)
    alone = not any(place in (*s.one, *s.other) or other in (*s.one, *s.other) for s in notched.pattern.seams if s is not seam)
    if alone:
        assert len(here) == len(there), seam.written
    for at in here:
        meets = [
            seam.kind == "gathered"
            and abs(at / whole - fellow / beyond) * beyond < MEETS
            or abs(at - fellow) < MEETS
            or abs((whole - at) - (beyond - fellow)) < MEETS
            for fellow in there
        ]
        assert any(meets) or not alone, (seam.written, at, there)
    if seam.kind == "eased" and alone and place != other:
        first, last = here[0], here[-1]
        assert abs(first - there[0]) < MEETS and abs((whole - last) - (beyond - there[-1])) < MEETS


def sewn_to_several(notched, seam):
    """Along the single edge: the edges between its joints fit; each notch lies as far from a joint as its fellow from its end."""
    for single, several in ((seam.one, seam.other), (seam.other, seam.one)):
        if len(single) > 1 or len(several) == 1:
            continue
        (place,) = single
        whole = notched.length(place)
        joints = sorted(
            (at, notch) for at, notch in notched.along.get(place, ()) if notch.kind == "joint" and notch.seam == seam.written
        )
        for (begin, one), (end, other) in pairwise(joints):
            shared = {p for p, _ in one.fellows} & {p for p, _ in other.fellows} & set(several)
            assert shared
            gaps = [abs((end - begin) - notched.length(p)) for p in shared]
            assert min(gaps) < MEETS or seam.kind != "plain", (seam.written, begin, end)
        stops = [0.0, *(at for at, _ in joints), whole]
        for at, notch in notched.along.get(place, ()):
            if notch.kind not in ("balance", "level") or seam.kind != "plain" or notch.seam != seam.written:
                continue
            for fellow, there in ((p, own) for p, _ in notch.fellows for own, _ in notched.along.get(p, ()) if p in several):
                ends = there, notched.length(fellow) - there
                if any(abs(abs(at - stop) - end) < MEETS for stop in stops for end in ends):
                    break
            else:
                raise AssertionError((seam.written, at))


def round_an_armhole(notched, ease):
    """A cap in two pieces, laid round its armhole from under the arm: front, shoulder, back.

    What lies below the notches fits to `MEETS`, in front and behind; all the ease lies between them, over the crown.
    """
    under, upper, front, back = ("under_sleeve", "cap"), ("top_sleeve", "cap"), ("front", "armhole"), ("back", "armhole")
    point = notched.pieces["under_sleeve"].piece.points["underarm"][notched.body]
    underarm = along(notched.edge(under), notched.body, point)
    lengths = {place: notched.length(place) for place in (under, upper, front, back)}
    sleeve = [
        (under, underarm, -1.0, underarm),
        (upper, 0.0, 1.0, lengths[upper]),
        (under, lengths[under], -1.0, lengths[under] - underarm),
    ]
    armhole = [(front, lengths[front], -1.0, lengths[front]), (back, 0.0, 1.0, lengths[back])]
    laid = []
    for ring in (sleeve, armhole):
        marks, passed = [], 0.0
        for place, start, sense, length in ring:
            ways = [((at - start) * sense, notch) for at, notch in notched.along[place]]
            marks += [(passed + way, notch) for way, notch in ways if -NEAR_END < way < length + NEAR_END]
            passed += length
        laid.append((sorted(marks, key=lambda mark: mark[0]), passed))
    (caps, whole_cap), (holes, whole_hole) = laid
    own = [[at for at, notch in marks if notch.kind == "balance"] for marks in (caps, holes)]
    shoulder = lengths[front]
    assert [at < shoulder for at in own[1]] == [True, False, False] and abs(own[1][2] - own[1][1] - PAIR) < 0.1, (
        "one in front, two behind"
    )
    assert len(own[0]) == 3 and abs(own[0][0] - own[1][0]) < MEETS
    for cap, hole in zip(own[0][1:], own[1][1:], strict=True):
        assert abs((whole_cap - cap) - (whole_hole - hole)) < MEETS
    assert abs((own[0][1] - own[0][0]) - (own[1][1] - own[1][0]) - ease) < MEETS, "all that is eased"
    joints = [[(notch.name, at) for at, notch in marks if notch.kind == "joint"] for marks in (caps, holes)]
    assert sorted({name for name, _ in joints[0]}) == ["shoulder", "side"] and all(
        min(at, whole_cap - at) < NEAR_END for name, at in joints[0] if name == "side"
    )
    seams = underarm, underarm + lengths[upper]
    expected = []
    share = (own[1][1] - own[1][0]) / (own[0][1] - own[0][0])
    for at in seams:
        over = own[1][0] + (at - own[0][0]) * share
        expected.append(at if at < own[0][0] else whole_hole - (whole_cap - at) if at > own[0][1] else over)
    assert [name for name, _ in joints[1]] == ["inner_seam", "outer_seam"]
    np.testing.assert_allclose([at for _, at in joints[1]], expected, atol=MEETS)


def enough(notched, seam, one, other):
    """Every edge that is long enough is notched, not only at its ends; no long stretch is without."""
    for edge in (*one, *other):
        place = edge.piece.name, edge.edge
        marks = notched.of(place, *SHARED, "joint")
        if notched.length(place) > LEAST + 5.0 and min(notched.length(p) for p in (*seam.one, *seam.other)) > LEAST + 5.0:
            assert marks, (seam.written, place)
        for begin, end in pairwise([0.0, *marks, notched.length(place)] if marks else []):
            assert end - begin < MOST + 120.0, (seam.written, place)  # a notch gives way to corners, darts and others


def counted(notched, seam):
    """Pairs where all is worn behind, else single ones."""
    worn = {notched.pieces[name].piece.worn for name, _ in (*seam.one, *seam.other)}
    for place in (*seam.one, *seam.other):
        sewn_in = [s for s in notched.pattern.seams if place in (*s.one, *s.other)]
        own = sorted(
            at for at, notch in notched.along.get(place, ()) if notch.kind in ("balance", "level") and notch.seam == seam.written
        )
        if len(sewn_in) > 1 or len(worn) > 1 or not own:
            continue
        near = [abs(a - b) < PAIR + 0.1 for a, b in pairwise(own)]
        if worn == {"back"}:
            assert len(own) % 2 == 0 and all(near[::2]), (seam.written, own)
        else:
            assert not any(near), (seam.written, own)


def clear(notched):
    for place, marks in notched.along.items():
        piece, whole = notched.pieces[place[0]].piece, notched.length(place)
        for at, notch in marks:
            if notch.kind in BY_ITSELF:
                assert min(at, whole - at) > CORNER - 0.1, (place, notch.kind, at)
                assert all(abs(at - foot) > FOOT - 0.1 for foot in notched.feet(place)), (place, notch.kind)
            if notch.kind == "centre":
                assert piece.cut.fold is not None and min(at, whole - at) < NEAR_END
            elif notch.kind == "middle":
                fellows = [
                    (p, there) for p, _ in notch.fellows for there, fellow in notched.along.get(p, ()) if fellow.kind == "middle"
                ]
                assert any(abs(there - notched.length(p) / 2) < MEETS for p, there in [(place, at), *fellows]), (place, at)
            elif notch.kind == "end":
                assert min(at, whole - at) < NEAR_END


def told_apart(notched):
    """Seams between the same upper and lower lines, worn alike, that are about as long: no two carry the same notches."""
    kinds = {}
    for seam in notched.pattern.seams:
        (place, *more) = seam.one
        if more or len(seam.other) > 1 or seam.kind != "plain" or not seam.notched or notched.length(place) < LEAST + 5.0:
            continue
        edge, whole = notched.edge(place), notched.length(place)
        downward = edge.end()[notched.body][1] >= edge.start()[notched.body][1]
        marks = [at if downward else whole - at for at in notched.of(place, "balance")]
        sources = {notched.pieces[name].piece.source or name for name, _ in (*seam.one, *seam.other)}
        worn = {notched.pieces[name].piece.worn for name, _ in (*seam.one, *seam.other)} == {"back"}
        for other, others, from_, behind in kinds.values():
            if sources != from_ and worn == behind and abs(whole - other) < 20.0 and marks and others:
                assert (
                    len(marks) != len(others)
                    or max(abs(a - b) for a, b in zip(sorted(marks), sorted(others), strict=True)) > UNLIKE - 0.1
                )
        kinds[seam.written] = whole, marks, sources, worn


# ------------------------------------------------------------ shipped and generated garments


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_notches_of_shipped_styles_meet_when_sewn(path):
    style, _ = read(read_text(path)[0], FolderWorld(path.parent))
    women = {name: values[WOMEN] for name, values in ansur2().values.items()}
    for one in draft(style, {name: women[name] for name in style.plan().measures}):
        finished, _ = finish(one.pattern)
        for body in range(min(2, one.pattern.n)):
            notched = check(finished, body)
            if path.stem in MANY_PANELS:
                told_apart(notched)
            if path.stem == "shawl_jacket":
                round_an_armhole(notched, float(one.pattern.values["cap_ease"][body]))


BAND = """use waistbands
piece band from straight_band (2 * (closed length of front.{top} + closed length of back.{top}), 3 cm, 3 cm)
sew front.side to back.side
sew back.centre to back.centre
sew front.{top} and back.{top} to band.lower
"""


@given(styles(), st.integers(0, 2**32 - 1))
@settings(max_examples=12, deadline=None)
def test_the_notches_of_generated_garments_meet_when_sewn(case, seed):
    head, blocks = case
    top = "top" if any("top" in line for line in blocks[0]) else "waist"
    text = text_of(head, [*blocks[:1], *blocks[1:], BAND.format(top=top).splitlines()])
    text = text.replace("piece front\n", "piece front\n    worn in front\n").replace("piece back\n", "piece back\n    worn behind\n")
    one = drafted(style_of(text), bodies(np.random.default_rng(seed), 3))
    finished, _ = finish(one.pattern)
    for body in range(3):
        if any(f.severity == "error" and f.bodies[body] for f in one.failures):
            continue
        notched = check(finished, body)
        names = [
            notch.name
            for _, notch in sorted(notched.along["band", "lower"], key=lambda pair: pair[0])
            if notch.kind in ("joint", "end")
        ]
        assert [name for name in names if name != "centre"] == ["side", "side"] and names.count("centre") == 2
