"""Which side of the body each piece is for.

The law, by other means than the compiler's: of two halves that an upright seam joins, the one is carried to the other by a turn
and a shift alone, upper end on upper end.  If its cloth then lies beside the other's, both are of one hand; if it lies on it, one of them would
have to be turned over, and they are of opposite hands.  Across the centre it is the other way about.
"""

from functools import cache
from itertools import product

import numpy as np
import pytest

from tapeline.bodies.card import read_card
from tapeline.drafting.across import Settled, Sewn
from tapeline.drafting.chains import sections
from tapeline.drafting.openings import zipped_ends
from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

STYLES = sorted(standard_folder("styles").glob("*.style"))
SIGNS = {"left": 1, "right": -1}


def drafted(source: Source, folder=None):
    style, said = read(source, FolderWorld(folder) if folder else FolderWorld())
    assert not said, said
    card, _ = read_card(read_text(standard_folder("styles") / "bodies" / "nell.toml")[0], style.measurements, style.doubts)
    (whole,) = draft(style, {name: np.array([card.values[name]]) for name in style.plan().measures})
    return whole


@cache
def shipped(stem: str):
    path = standard_folder("styles") / f"{stem}.style"
    return drafted(read_text(path)[0], path.parent)


def hands(text: str):
    """The hands of a style's pieces, and the codes of what is wrong with it."""
    whole = drafted(Source("one.style", text))
    return {name: hand.side for name, hand in whole.ledgers.hands.of.items()}, [f.code for f in whole.failures if f.severity == "error"]


def cloth_lies(edge, piece) -> int:
    """On which side of an edge, walked from its upper to its lower end, the cloth of its piece lies; 0 if it is not upright."""
    start, end = edge.start()[0], edge.end()[0]
    across, down = end - start
    if abs(down) < 2 * abs(across):
        return 0
    upper, lower = (start, end) if down > 0 else (end, start)
    ring = piece.stitch_outline().take(slice(0, 1)).flatten()[0]
    x, y = ring.T
    twice = x * np.roll(y, -1) - np.roll(x, -1) * y
    middle = ((ring + np.roll(ring, -1, axis=0)) * twice[:, None]).sum(axis=0) / (3 * twice.sum())
    way, to = lower - upper, middle - upper
    return int(np.sign(way[0] * to[1] - way[1] * to[0]))


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_pieces_laid_together_without_turning_over_are_of_one_hand(path):
    whole = shipped(path.stem)
    pattern, known = whole.pattern, whole.ledgers.hands
    assert not known.conflicts and not known.one_handed
    for seam in pattern.seams:
        if not len(seam.one) == len(seam.other) == 1 or seam.one == seam.other:
            continue
        (one, first), (other, second) = seam.one[0], seam.other[0]
        pieces = [pattern.piece(one), pattern.piece(other)]
        sides = [piece.hand.side for piece in pieces]
        drawn = [piece.hand.drawn for piece in pieces]
        if one == other or not all(drawn) or "centre" in (first, second) or any(p.cut.count == 1 and not p.half for p in pieces):
            continue
        lies = [cloth_lies(piece.edge(edge), piece) for piece, edge in zip(pieces, (first, second), strict=True)]
        layers = {piece.cut.purpose for piece in pieces}
        if all(lies) and len(layers) == 1:
            beside = lies[0] != lies[1]
            assert beside == (drawn[0] == drawn[1]), (seam.written, sides)


@pytest.mark.parametrize("path", STYLES, ids=lambda path: path.stem)
def test_an_edge_at_the_front_lies_where_the_hand_has_it(path):
    """Seen from outside, the front of a left sleeve is at our left; so is the centre of a left front, and the side of a left back."""
    pattern = shipped(path.stem).pattern
    centres = {(piece.name, piece.cut.fold) for piece in pattern.pieces} | {
        seam.one[0] for seam in pattern.seams if seam.one == seam.other
    }
    for piece in pattern.pieces:
        x = {edge.name: float((edge.start() + edge.end())[0, 0]) for edge in piece.edges}
        inward = -1 if piece.cut.purpose in ("facing", "lining") else 1
        sign = SIGNS.get(piece.hand.drawn, 0) * inward
        for front, back, worn in (("front_seam", "back_seam", ""), ("centre", "side", "front"), ("side", "centre", "back")):
            told = worn != "back" or (piece.name, "centre") in centres
            if sign and told and front in x and back in x and piece.worn == worn:
                assert np.sign(x[back] - x[front]) == sign, piece.name


PAIR = """language 1
style pair "Pair"
measure waist, hip, waist_to_hip
levels
    waist
    hip  waist_to_hip below waist
recipe half "Half" (more length)
    cut 2
    widths from centre, before darts
        waist  waist / 4
        hip    hip / 4 + more
"""


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("worn in front", "left"),
        ("worn behind", "right"),
        ("worn in front\n    mirror", "right"),
        ("worn behind\n    mirror", "left"),
        ('worn in front\n    cut 2 for "lining"', "right"),
        ('worn in front\n    cut 2 for "strength layer"', "left"),
        ("cut 2 alike", ""),
        ("worn on the right\n    cut 1", "right"),
    ],
)
def test_a_piece_tells_its_hand(said, expected):
    text = PAIR + f"piece front from base\n    {said}\nfoundation base from half(1 cm)\n"
    if "alike" not in said and "cut 1" not in said:
        text += "sew front.centre to front.centre\n"
    assert hands(text) == ({"front": expected, "base": hands(text)[0]["base"]}, [])


def test_what_is_made_from_a_piece_of_one_side_is_of_it():
    told, wrong = hands(
        PAIR + "foundation base from half(1 cm)\npiece one from base\n    worn in front, on the left\n    cut 1\n"
        'piece turned from one\n    mirror\npiece lined from one\n    cut for "lining"\n'
        'piece lined_left from one\n    mirror\n    cut for "lining"\npiece whole from one\n    open out at centre\n'
    )
    assert not wrong
    assert {name: told[name] for name in ("one", "turned", "lined", "lined_left", "whole")} == {
        "one": "left",
        "turned": "right",
        "lined": "right",
        "lined_left": "left",
        "whole": "both",
    }


def test_two_of_one_hand_are_not_sewn_centre_to_centre():
    base = PAIR + "foundation base from half(1 cm)\npiece one from base\n    cut 1\n"
    for turned, swapped, edge in product((False, True), (False, True), ("centre", "side")):
        text = base + "piece other from base\n    cut 1\n" + ("    mirror\n" if turned else "")
        sides = ("other", "one") if swapped else ("one", "other")
        text += f"sew {sides[0]}.{edge} to {sides[1]}.{edge}\n"
        assert hands(text)[1] == ([] if turned else ["D620"])


def test_pieces_alike_are_not_sewn_by_one_edge_unless_they_are_their_own_image():
    text = PAIR.replace("cut 2", "cut 2 alike") + "piece one from half({more})\nsew one.side to one.side\n"
    assert hands(text.format(more="1 cm"))[1] == ["D620"]
    plain = text.replace("waist / 4", "20 cm").replace("hip / 4 + more", "20 cm")
    assert hands(plain.format(more="1 cm"))[1] == []


def test_two_seams_that_turn_a_piece_and_do_not_are_told():
    """Side to side one of two alike has to be turned over; with its hem to the other's waist it lies beside that as it is."""
    square = PAIR.replace("waist / 4", "20 cm").replace("hip / 4 + more", "20 cm")
    text = square + "piece one from half(1 cm)\n    worn on the left\npiece two from half(1 cm)\nsew one.side to two.side\n"
    assert hands(text) == ({"one": "left", "two": "right"}, [])
    assert hands(text + "sew one.waist to two.waist\n") == ({"one": "left", "two": "right"}, [])
    assert hands(text + "sew one.waist to two.hip\n")[1] == ["D621"]


def test_said_against_what_is_drawn_is_told():
    for place, fits in (("in front", "left"), ("behind", "right")):
        for side in ("left", "right"):
            text = PAIR + f"piece one from half(1 cm)\n    worn {place}, on the {side}\nsew one.centre to one.centre\n"
            told, wrong = hands(text)
            assert wrong == ([] if side == fits else ["D621"]) and told["one"] == side


@pytest.mark.parametrize(
    ("name", "ends"), [("six_gore_skirt", "left"), ("dirndl_skirt", "left"), ("wrap_skirt", ""), ("straight_skirt", "")]
)
def test_a_waistband_right_side_up_goes_round_the_body_as_its_notches_say(name, ends):
    """Seen from outside, going right is going from her right over the front to her left, and on over the back.  At its opening the
    band begins and ends on the side where that is; one that opens in the middle of front or back on either side of it."""
    pattern = shipped(name).pattern
    sewn = Sewn(pattern, Settled(pattern.n))
    (seam,) = (seam for seam in pattern.seams if ("band", "lower") in (*seam.one, *seam.other))
    lower = pattern.piece("band").edge("lower")
    met = []
    for section in sections(sewn, seam, zipped_ends(sewn)):
        band, other = (section.one, section.other) if section.one.place[0] == "band" else (section.other, section.one)
        piece = pattern.piece(other.place[0])
        at = float(lower.closed.point_at((band.start + band.end) / 2.0)[0, 0])
        first, last = (float(lower.closed.point_at(end)[0, 0]) for end in (band.start, band.end))
        start, end = (float(piece.edge(other.place[1]).closed.point_at(end)[0, 0]) for end in (other.start, other.end))
        drawn = (last - first) * (end - start) > 0.0  # the piece hangs from the band as it is drawn, and is not mirrored
        side = SIGNS.get(piece.hand.drawn, 0) * (1 if drawn else -1)
        if piece.hand.side != "both" or piece.cut.fold is not None:
            met.append((at, piece.worn, side))
    walk = [(worn, side) for _, worn, side in sorted(met)]
    ways = [("front", -1), ("front", 1), ("back", 1), ("back", -1)]
    steps = [ways.index(place) for place in walk]
    assert all((after - before) % 4 in (0, 1) for before, after in zip(steps, steps[1:], strict=False)), walk
    assert {side for _, side in (walk[0], walk[-1])} == ({SIGNS[ends]} if ends else {1, -1})
