"""One finished piece as a group of lines, signs and words, in the piece's own coordinates.

Curves are drawn exactly; only the cut line is a run of short chords, as finishing makes it.  A fold edge
is never drawn as a line to cut: the cut line is left open there, and the fold line runs from one of its
ends to the other, through the allowances.  Opened, the piece is drawn whole: everything but grain and words
is seen once more in a mirror on the fold.  Lines come first, then words are set into the room that is left
(see `labels`).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ...drafting.pattern import LEFT, NO_HAND, RIGHT, Dart, Edge, Hand, Piece
from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...meaning.cutting import ALLOWANCE_KINDS, NO_ALLOWANCE, TURNED_UP, Cut, lies_inward
from ..house.house import USUAL, House
from ..house.work import Heading
from . import signs
from .fold import Fold, off_fold, open_half
from .labels import Labels, Words, arrangements
from .lettering import Plate, within
from .lettering import in_words as in_words
from .marks import flat, mark_strokes, mark_words, opening_words, point_strokes, rule_words, unit_between
from .model import Commands, Group, Leaf, Stroke, mirrored, polylines, run, trace

PAIRS = {LEFT: "{cut}, a mirrored pair: as drawn the left", RIGHT: "{cut}, a mirrored pair: as drawn the right"}
ON_SIDE = {LEFT: "{place}, on the left", RIGHT: "{place}, on the right"}
SINGLES = {LEFT: "{cut}, for the left side", RIGHT: "{cut}, for the right side"}
WHOLE = "{cut}, whole: left and right differ"
HALVES = {LEFT: "left of the body", RIGHT: "right of the body"}
TUCKED = 40.0  # mm of the fold of a tuck that are drawn
ARROW = 25.0  # mm from the edge to the arrow across a pleat
SHORT = 25.0  # mm that the folds of darts stop short of a point which they share


class PieceLines(NamedTuple):
    """All that is drawn on a piece before any word is set: the strokes; the net outline `ring` (K, 2); the stretches of levels, each with
    its name, y, left and right end; and the ends of the fold, where the piece lies on one and is not drawn whole."""

    strokes: tuple[Stroke, ...]
    ring: Floats
    levels: tuple[tuple[str, float, float, float], ...]
    fold: Fold | None


def draw_piece(finished_piece: FinishedPiece, index: int, words: Heading, opened: bool = False, edge_names: bool = False) -> Group:
    """The piece of body `index` with all its lines, signs and labels, in millimetres.

    `opened` draws a piece cut on the fold whole; it changes nothing on other pieces.  `edge_names` writes
    each edge's name along it.  ValueError if the piece is not known for this body.
    """
    lines = piece_lines(finished_piece, index, words, opened)
    lettering = piece_lettering(finished_piece, index, words, lines, edge_names)
    return Group(
        finished_piece.piece.name, piece_title(finished_piece.piece, lines, words.house), (*lines.strokes, *lettering), piece=True
    )


def piece_title(piece: Piece, lines: PieceLines, house: House) -> str:
    return f"{house.call(piece.title)}: {_cut_as_drawn(piece, lines, house)}"


def _cut_as_drawn(piece: Piece, lines: PieceLines, house: House) -> str:
    return cut_words(piece.cut, bool(piece.cut.fold) and lines.fold is None, house, piece.hand)


def piece_lines(finished_piece: FinishedPiece, index: int, words: Heading, opened: bool = False) -> PieceLines:
    """The lines and signs of the piece of body `index`.  ValueError as `draw_piece`."""
    piece = finished_piece.piece
    if not np.isfinite(finished_piece.cut_line[index]).all():
        raise ValueError(f"{piece.name} is not known for body {index}")
    fold = _ends(piece.edge(piece.cut.fold), index) if piece.cut.fold else None
    mirror = fold if opened else None

    house = words.house
    strokes = _outline(finished_piece, index, mirror)
    ring = flat(trace(piece.trued_outline(), index))
    inner = [
        *notch_strokes(finished_piece, index, house.notch),
        *_darts(piece, index),
        *_inner_darts(piece, index),
        *mark_strokes(piece, index, words, ring),
        *point_strokes(piece, index, house),
    ]
    if mirror is not None:
        inner += [s._replace(commands=mirrored(s.commands, *mirror)) for s in inner if not _lies_on(s, *mirror)]
        ring = _opened_ring(ring, *mirror)
    strokes += inner
    levels = (*_levels(finished_piece.levels, index, ring), *_half_levels(finished_piece, index, ring))
    strokes += [Stroke(run([(left, y), (right, y)]), "construction", name) for name, y, left, right in levels]
    grain = finished_piece.grain_line[index]
    if np.isfinite(grain).all():
        strokes += signs.grain_arrow(tuple(grain[0].tolist()), tuple(grain[1].tolist()), rule_words(piece.span))

    if piece.halves is not None and piece.halves.centre is not None:
        strokes.append(Stroke(run(piece.halves.centre[index]), "centre", "centre", rule_words(piece.span)))
    return PieceLines(tuple(strokes), ring, levels, None if opened else fold)


def piece_lettering(
    finished_piece: FinishedPiece, index: int, words: Heading, lines: PieceLines, edge_names: bool = False
) -> tuple[Leaf, ...]:
    """The words of a piece, set among its lines, and the signs that are set where words leave room."""
    piece, house, ring = finished_piece.piece, words.house, lines.ring
    labels = Labels(lines.strokes, ring)
    if piece.cut.fold and lines.fold is not None:
        _fold_sign(labels, lines.fold, ring, rule_words(piece.edge(piece.cut.fold).span), house.say("place on fold"))
    mark_words(labels, piece, index, words)
    opening_words(labels, finished_piece, index, house)
    for name, y, left, right in lines.levels:
        labels.at_level(left, right, y, Words(house.call(name), 4))
    _half_words(labels, piece, house)
    if edge_names:
        for edge in piece.edges:
            labels.along(flat(trace(edge.closed if not edge.darts else edge.strips[0], index)), Words(house.call(edge.name), 4))
    place = finished_piece.label_at[index]
    labels.block(
        arrangements(
            house.call(piece.title),
            _cut_as_drawn(piece, lines, house),
            [*extra_words(piece.cut, house), words.titled, words.body_name],
            further_words(piece, words),
            allowance_words(finished_piece, index, words.unit, house) if piece.cut.count else "",
        ),
        place if np.isfinite(place).all() else (ring.min(axis=0) + ring.max(axis=0)) / 2,
    )
    return tuple(labels.items)


# --------------------------------------------------------------------------------------------------- words


def cut_words(cut: Cut, whole: bool = False, house: House = USUAL, hand: Hand = NO_HAND) -> str:
    """How the piece is cut and what for, and for which side of the body, in a cutter's words."""
    say = house.say
    if not cut.count:
        return say("Foundation: not to be cut")
    words = say("Cut {count} for {purpose}" if cut.purpose else "Cut {count}", count=cut.count, purpose=house.call(cut.purpose))
    if cut.fold:
        return say("{cut}, drawn whole" if whole else "{cut}, on fold" if cut.purpose else "{cut} on fold", cut=words)
    if cut.paired and cut.count > 2:
        return say("{cut}, as mirrored pairs", cut=words)
    if cut.paired:
        return say(PAIRS.get(hand.side, "{cut}, a mirrored pair"), cut=words)
    if cut.count > 1:
        return say("{cut}, all alike", cut=words)
    form = WHOLE if hand.differs else SINGLES.get(hand.side)
    return words if form is None else say(form, cut=words)


def extra_words(cut: Cut, house: House = USUAL) -> list[str]:
    """The further layers; of a piece cut once, those whose right side lies to the body are cut the other way up."""
    words = []
    for count, what, net in cut.extras:
        turned = cut.is_single and cut.count == 1 and lies_inward(what) != cut.is_inward
        form = "Also cut {count} {what}, right side of the cloth down" if turned else "Also cut {count} {what}"
        also = house.say(form, count=count, what=house.call(what))
        words.append(house.say("{cut}, along the stitching line", cut=also) if net else also)
    return words


def further_words(piece: Piece, words: Heading) -> list[str]:
    """What a piece says besides its name, how it is cut, its style and its body: the most needed first."""
    cut, say = piece.cut, words.house.say
    layer = words.house.call(cut.purpose) if cut.purpose else say("outside cloth")
    face = [say("{layer}: right side of the cloth up", layer=layer[:1].upper() + layer[1:])] if cut.count else []
    return [*filter(None, [words.numbered(piece.name)]), *face, *words.facts(), *filter(None, [words.house.name])]


def allowance_words(
    finished_piece: FinishedPiece, index: int, unit: str, house: House = USUAL, said: str = "Seam allowances included: {list}"
) -> str:
    """The allowances that the cut line holds, edges of one width and kind named together; once, if there are none."""
    alike: dict[str, list[str]] = {}
    for edge in finished_piece.piece.edges:
        allowance = finished_piece.allowances.get(edge.name)
        if edge.name == finished_piece.piece.cut.fold:
            continue
        kind, width = (NO_ALLOWANCE, 0.0) if allowance is None else (allowance.kind, float(allowance.width[index]))
        if kind == NO_ALLOWANCE or not width > 0:
            words = house.say("none")
        else:
            words = house.show(width, unit).replace(" ", "\u00a0")
            words = house.say(ALLOWANCE_KINDS[kind].label, width=words) if ALLOWANCE_KINDS[kind].label else words
        alike.setdefault(words, []).append(house.call(edge.name))
    if not alike:
        return ""
    if list(alike) == [house.say("none")]:
        return house.say("Net: no seam allowances")
    parts = [f"{', '.join(names)}\u00a0{words}" for words, names in alike.items()]
    return house.say(said, list="; ".join(parts))


# --------------------------------------------------------------------------------------------------- lines


def _ends(edge: Edge, index: int) -> tuple[Floats, Floats]:
    return edge.start()[index], edge.end()[index]


def _lies_on(stroke: Stroke, p: Floats, q: Floats) -> bool:
    return bool((off_fold(np.concatenate(polylines(stroke.commands)), (p, q)) < 1e-3).all())


def _opened_ring(ring: Floats, p: Floats, q: Floats) -> Floats:
    """A half outline (K, 2) and its image in the fold, as one ring."""
    half = open_half(ring, (p, q), int(np.argmin(off_fold(ring, (p, q)))))
    image = np.concatenate(polylines(mirrored(run(half), p, q)))
    return np.concatenate([half, image[::-1][1:-1]])


def _outline(finished_piece: FinishedPiece, index: int, mirror: Fold | None) -> list[Stroke]:
    """Cut line, stitching lines and hem lines, of a foundation its net outline alone; for a piece on the fold its fold, or its centre line if it is seen in a mirror too."""
    piece = finished_piece.piece
    ring = finished_piece.cut_line[index]
    rule = rule_words(piece.span)
    half = None
    if piece.cut.fold:
        half = open_half(ring, _ends(piece.edge(piece.cut.fold), index), finished_piece.runs[piece.cut.fold].start)
    if not piece.cut.count:
        strokes = []
    elif half is None:
        strokes = [Stroke(run(ring, closed=True), "cut", "cut", rule)]
    elif mirror is not None:
        strokes = [Stroke(run(_opened_ring(ring, *mirror), closed=True), "cut", "cut", rule)]
    else:
        strokes = [Stroke(run(half), "cut", "cut", rule)]
    for edge in piece.edges:
        rule = rule_words(edge.span)
        if half is not None and edge.name == piece.cut.fold:
            strokes.append(Stroke(run([half[-1], half[0]]), "fold" if mirror is None else "centre", edge.name, rule))
            continue
        allowance = finished_piece.allowances.get(edge.name)
        line = "turn_up" if allowance is not None and allowance.kind == TURNED_UP else "stitch" if piece.cut.count else "foundation"
        commands = tuple(c for strip in edge.strips for c in trace(strip, index))
        strokes.append(Stroke(commands, line, edge.name, rule))
        if mirror is not None:
            strokes.append(Stroke(mirrored(commands, *mirror), line, edge.name, rule))
    return strokes


def notch_strokes(finished_piece: FinishedPiece, index: int, kind: str) -> list[Stroke]:
    """The notches of one body, in the house's way."""
    strokes = []
    for notch in finished_piece.notches:
        on_stitch, on_cut = notch.on_stitch[index], notch.on_cut[index]
        if not (np.isfinite(on_stitch).all() and np.isfinite(on_cut).all()):
            continue
        if np.hypot(*(on_cut - on_stitch)) < 1.0:
            on_stitch = _square_in(finished_piece.cut_line[index], on_cut, 8.0)
        rule = rule_words(finished_piece.piece.edge(notch.edge).span)
        strokes.append(signs.notch(tuple(on_stitch.tolist()), tuple(on_cut.tolist()), rule, notch.name, kind))
    return strokes


def _square_in(ring: Floats, at: Floats, depth: float) -> Floats:
    """A point `depth` inside a ring, square to the ring's nearest side to `at`."""
    sides = np.roll(ring, -1, axis=0) - ring
    long = np.maximum((sides**2).sum(axis=1), 1e-12)
    t = np.clip(((at - ring) * sides).sum(axis=1) / long, 0, 1)
    gaps = np.hypot(*(ring + t[:, None] * sides - at).T)
    gaps[(sides**2).sum(axis=1) < 1e-8] = np.inf
    k = int(np.argmin(gaps))
    normal = np.array([-sides[k, 1], sides[k, 0]]) / math.sqrt(long[k])
    inside = within((at + normal * 0.5)[None], ring)[0]
    return at + normal * (depth if inside else -depth)


def _darts(piece: Piece, index: int) -> list[Stroke]:
    """Legs, folded end, fold and point of each dart.  Where darts run to one point its cross is drawn once, and their
    folds stop short of it, so that it can be read."""
    strokes, points = [], [dart.point[index] for dart in piece.darts() if dart.kind == "dart"]
    crossed: list[Floats] = []
    for dart in piece.darts():
        rule = rule_words(dart.span)
        if dart.kind == "pleat":
            strokes += _pleat(dart, index, rule)
            continue
        if dart.kind == "tuck":
            strokes += _tuck(dart, index, rule)
            continue
        legs = trace(dart.near_leg, index) + trace(dart.far_leg, index)
        if not legs:
            continue
        strokes.append(Stroke(legs, "dart", dart.name, rule))
        end = trace(dart.trued, index)
        strokes.append(Stroke(end, "dart_end", dart.name, rule))
        fold, point = _dart_fold(dart, index, end), dart.point[index]
        if sum(_near(point, other_point) for other_point in points) > 1:
            way = fold[1] - fold[0]
            fold = np.concatenate([(fold[0] + way * min(1 / 3, SHORT / max(float(np.hypot(*way)), 1e-9)))[None], fold[1:]])
        strokes.append(Stroke(run(fold), "dart_fold", dart.name, rule))
        if not any(_near(point, other_point) for other_point in crossed):
            strokes.append(signs.cross(tuple(point.tolist())))
            crossed.append(point)
    return strokes


def _tuck(dart: Dart, index: int, rule: str) -> list[Stroke]:
    """The folded end, the upper part of the fold, and an arrow from the side that is folded to where it is laid; it has no point, since
    it is not sewn."""
    end = trace(dart.trued, index)
    if not end:
        return []
    folded, laid = (dart.near_leg, dart.far_leg) if dart.press == "near" else (dart.far_leg, dart.near_leg)
    reach = np.minimum(ARROW, dart.near_leg.length()) / 4
    (fx, fy), (lx, ly) = (leg.point_at(reach)[index].tolist() for leg in (folded, laid))
    point, foot, rim = (place for place in _dart_fold(dart, index, end)[[0, -2, -1]])
    long = max(float(np.hypot(*(point - foot))), 1e-9)
    fold = np.stack([foot + (point - foot) * min(1.0, TUCKED / long), foot, rim])
    return [
        Stroke(end, "dart_end", dart.name, rule),
        Stroke(run(fold), "dart_fold", dart.name, rule),
        signs.lay_arrow((fx, fy), (lx, ly), rule, dart.name),
    ]


def _near(point: Floats, place: Floats) -> bool:
    return bool(np.hypot(*(point - place)) < 1.0)


def _inner_darts(piece: Piece, index: int) -> list[Stroke]:
    """Darts within the piece: both sides, the fold between the points, and a cross at either point."""
    strokes = []
    for dart in piece.inner:
        upper, near, lower, far = (tuple(corner[index].tolist()) for corner in dart.corners())
        if not all(math.isfinite(value) for value in (*upper, *near, *lower, *far)):
            continue
        rule = rule_words(dart.span)
        strokes.append(Stroke(run([upper, near, lower, far, upper]), "dart", dart.name, rule))
        strokes.append(Stroke(run([upper, lower]), "dart_fold", dart.name, rule))
        strokes += [signs.cross(upper), signs.cross(lower)]
    return strokes


def _dart_fold(dart: Dart, index: int, end: Commands) -> Floats:
    """Points from the dart's point, midway between its legs, to the peak of its folded end."""
    near, far = (flat(trace(leg, index)) for leg in (dart.near_leg, dart.far_leg))
    if len(near) != len(far):
        near, far = near[[0, -1]], far[[0, -1]]
    middle = (near + far) / 2
    foot = middle[0]
    out = foot - middle[1]
    rim = np.concatenate(polylines(end)) if end else near[:1]
    aside = (rim[:, 0] - foot[0]) * out[1] - (rim[:, 1] - foot[1]) * out[0]
    crossing = np.flatnonzero(aside[:-1] * aside[1:] <= 0)
    if not len(crossing):
        return middle[::-1]
    k = int(crossing[0])
    part = aside[k] / (aside[k] - aside[k + 1]) if aside[k] != aside[k + 1] else 0.0
    return np.concatenate([(rim[k] + part * (rim[k + 1] - rim[k]))[None], middle])[::-1]


def _pleat(dart: Dart, index: int, rule: str) -> list[Stroke]:
    """The line that is folded, the line that the fold is laid to, an arrow across near the edge, and the folded end.

    What is folded under lies on the side that the pleat is pressed to, so the cloth of that side ends in the fold.
    """
    folded, laid = (dart.near_leg, dart.far_leg) if dart.press == "near" else (dart.far_leg, dart.near_leg)
    lines = [(trace(folded, index), "pleat_fold"), (trace(laid, index), "pleat_laid")]
    if not all(commands for commands, _ in lines):
        return []
    reach = np.minimum(ARROW, dart.near_leg.length() / 4)
    (fx, fy), (lx, ly) = (leg.point_at(reach)[index].tolist() for leg in (folded, laid))
    return [
        *(Stroke(commands, line, dart.name, rule) for commands, line in lines),
        Stroke(trace(dart.trued, index), "dart_end", dart.name, rule),
        signs.lay_arrow((fx, fy), (lx, ly), rule, dart.name),
    ]


def _levels(levels: dict[str, Floats], index: int, ring: Floats) -> list[tuple[str, float, float, float]]:
    """(name, y, left, right) of each stretch of a level inside the outline; none along the outline itself."""
    out = []
    x0, y0 = ring[:, 0], ring[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    for name, ys in levels.items():
        y = float(ys[index])
        if not y0.min() + 1.0 < y < y0.max() - 1.0:
            continue
        cut = (y0 > y) != (y1 > y)
        xs = np.sort(x0[cut] + (y - y0[cut]) * (x1[cut] - x0[cut]) / (y1[cut] - y0[cut]))
        out += [
            (name, y, float(left), float(right))
            for left, right in zip(xs[::2], xs[1::2], strict=True)
            if right - left > 20 and not _hugs(ring, left, right, y)
        ]
    return out


def _half_levels(finished_piece: FinishedPiece, index: int, ring: Floats) -> list[tuple[str, float, float, float]]:
    """The same of levels that lie at two depths: on either half up to the centre."""
    halves = finished_piece.piece.halves
    if halves is None or halves.centre is None:
        return []
    middle = float(halves.centre[index, :, 0].mean())
    out = []
    for name, both in finished_piece.half_levels.items():
        for side, ys in zip((LEFT, RIGHT), both, strict=True):
            low, high = (middle, np.inf) if side == halves.drawn else (-np.inf, middle)
            stretches = ((name, y, max(left, low), min(right, high)) for name, y, left, right in _levels({name: ys}, index, ring))
            out += [stretch for stretch in stretches if stretch[3] - stretch[2] > SHORT]
    return out


def _half_words(labels: Labels, piece: Piece, house: House) -> None:
    """Which half of a whole piece is which, near either side of it."""
    if piece.halves is None:
        return
    for side, words in HALVES.items():
        labels.at_side(1 if side == piece.halves.drawn else -1, Words(house.say(words), 7, "bold"))


def _hugs(ring: Floats, left: float, right: float, y: float) -> bool:
    """Whether a stretch of a level keeps so near to the outline that it could not be told from it."""
    sides = np.roll(ring, -1, axis=0) - ring
    off = np.stack([np.linspace(left, right, 9), np.full(9, y)], axis=1)[:, None] - ring
    part = np.clip((off * sides).sum(axis=2) / np.maximum((sides**2).sum(axis=1), 1e-12), 0.0, 1.0)
    gaps = off - part[..., None] * sides
    return bool(np.hypot(gaps[..., 0], gaps[..., 1]).min(axis=1).max() < 4.0)


# ---------------------------------------------------------------------------------------- signs with words


def _fold_sign(labels: Labels, fold: Fold, ring: Floats, rule: str, caption: str) -> None:
    """The bracket with bent ends beside the fold, where it is free; outside the piece if there is no room."""
    p, q = fold
    length = float(np.hypot(*(q - p)))
    ux, uy = unit_between(p, q)
    middle = (p + q) / 2
    inward = (-uy, ux) if within((middle + 2 * np.array([-uy, ux]))[None], ring)[0] else (uy, -ux)
    depth, words = 10.0, Words(caption, 5)
    turn = math.atan2(uy, ux)
    deep = depth + 3 + words.size * 1.1  # from the fold to the far side of the words
    for span in (200.0, 140.0, 90.0, 60.0, 40.0):
        if span > 0.8 * length:
            continue
        places = []
        for k in range(17):
            at = 0.5 + (k + 1) // 2 * (1 if k % 2 else -1) * 0.05
            if span / 2 < at * length < length - span / 2:
                x, y = p + (q - p) * at + np.array(inward) * (2.5 + (deep - 2.5) / 2)
                places.append(Plate(float(x), float(y), span, deep - 2.5, turn))
        plate = labels.room.first_free(places)
        if plate is not None:
            middle = np.array([plate.x, plate.y]) - np.array(inward) * (2.5 + (deep - 2.5) / 2)
            break
    else:
        span, inward = min(200.0, 0.6 * length), (-inward[0], -inward[1])
    half = np.array([ux, uy]) * span / 2
    (x0, y0), (x1, y1) = ((middle + side * half).tolist() for side in (-1, 1))
    labels.add(*signs.fold_bracket((x0, y0), (x1, y1), depth, inward, rule))
    labels.beside_line(middle + np.array(inward) * (depth + 1.5), (ux, uy), inward, words)
