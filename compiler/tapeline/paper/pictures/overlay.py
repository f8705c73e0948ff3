"""Before and after on one sheet: the pieces of a draft that have moved, with those of another draft laid over them: of a lock with
what the style gives today, or of any two drafts.

What was is dashed, what is now is continuous, and wider where an edge has moved.  An arrow stands at every named place that
has moved and points the way it went; it is drawn so many times as long as the move, as the key says, since two millimetres
are not seen otherwise.  One size is drawn, the pieces on an A3 sheet at the largest usual scale that fits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import NamedTuple, Protocol, cast

import numpy as np

from ...geometry.arrays import Floats
from ...locking.comparing import Comparison, Move
from ...locking.edges import Curve, circle, lies_on, outline_of, strips_of
from ...locking.lock import Lock
from ...locking.telling import places_together, rules_in_short
from ...source.quantity import show_number
from ..drawing import signs
from ..drawing.labels import Labels, Words
from ..drawing.lettering import DROP, RISE, Plate, text_width, wrap
from ..drawing.model import Command, Commands, Drawing, Group, Leaf, Stroke, Text, box_of, run, shifted, text_plate

WIDE, HIGH = 420.0, 297.0  # A3, ISO 216
MARGIN, GAP = 12.0, 14.0
BESIDE, ABOVE = 44.0, 16.0  # room for words on either side of a piece, and above and below it
HEAD, KEY = 38.0, 26.0  # what the heading and the key take of the height
SCALES = (1.0, 2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 20.0)  # 1 to so many
TIMES = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)  # an arrow is so many times as long as the move
LONG = 9.0  # mm on the sheet that the longest arrow has at least
SMALL = 3.4  # size of the words
NEAR = 3.0  # mm from a place at which words need no leader
NAMED = 10.0  # places are named that have moved by at least one part in so many of the furthest


class OfTwoDrafts(Protocol):
    """Two drafts of the same sizes, and the rows that differ."""

    @property
    def lock(self) -> Lock: ...

    @property
    def present(self) -> Lock: ...

    @property
    def moves(self) -> list[Move]: ...


class OverlayWords(NamedTuple):
    """What stands on the sheet: its title, the lines below it, what each draft is, how moves are written, and what the sheet shows."""

    title: str
    lines: tuple[str, ...]
    before: str
    after: str
    show: Callable[[float], str]
    summary: str


def words_of_lock(done: Comparison, size: int) -> OverlayWords:
    rules = wrap(rules_in_short(done), SMALL, WIDE - 2 * MARGIN)
    return OverlayWords(
        f"{done.lock.style} {done.present.version}".strip(),
        (f"size {done.lock.sizes[size]}, before and after", *(rules if len(rules) < 4 else [*rules[:2], f"{rules[2]} ..."])),
        "as it was locked",
        "now",
        lambda mm: f"{show_number(mm, 2)} mm",
        f"Pieces of {done.lock.style}, size {done.lock.sizes[size]}, at {{scale}}. What was locked is "
        f"dashed, what the rules give now is continuous, and wide where it has moved.",
    )


def size_that_moved_most(done: Comparison) -> int:
    """The number of the size whose places, and else whose figures, have moved furthest; the first of several."""
    sizes = range(len(done.lock.sizes))
    most = [
        max((move.far(size) for move in done.moves if size in move.at and move.key.sort in ("place", "edge")), default=0.0)
        for size in sizes
    ]
    counted = [sum(size in move.at for move in done.moves) for size in sizes]
    return max(sizes, key=lambda size: (round(most[size], 3), counted[size], -size))


def draw_overlay(done: OfTwoDrafts, size: int, words: OverlayWords) -> Drawing | None:
    """The sheet of one size; None where none of its pieces has changed."""
    names = [
        name
        for name in dict.fromkeys([*done.lock.pieces(), *done.present.pieces()])
        if any(size in move.at for move in done.moves if move.key.piece == name)
    ]
    names = [name for name in names if any(strips_of(lock, name, size) for lock in (done.lock, done.present))]
    if not names:
        return None
    longest = max((move.far(size) for move in done.moves if size in move.at and move.key.sort == "place"), default=0.0)
    for scale in SCALES:
        times = next((factor for factor in TIMES if longest * factor / scale >= LONG), TIMES[-1])
        groups = [_piece(done, name, size, scale, times, longest, words.show) for name in names]
        placed = _rows(groups)
        if placed is not None or scale == SCALES[-1]:
            break
    items = [*_heading(words), *(placed or _in_a_row(groups)), *_key(words, scale, times, longest > 0.0)]
    box = box_of(items)
    return Drawing(
        max(WIDE, box[2] + MARGIN),
        max(HIGH, box[3] + MARGIN),
        tuple(items),
        f"{words.title}: before and after",
        f"{words.summary.format(scale=f'1 : {show_number(scale)}')} Pieces: {', '.join(names)}.",
    )


# ------------------------------------------------------------------------------------------------------------ one piece


def _piece(done: OfTwoDrafts, name: str, size: int, scale: float, times: int, longest: float, show: Callable[[float], str]) -> Group:
    moved = {
        move.key.name.partition(" ")[0] if move.key.sort == "edge" else move.key.name
        for move in done.moves
        if move.key.piece == name and move.key.sort in ("edge", "place") and size in move.at
    }
    strokes = [*_lines(done.lock, name, size, scale, "before", ()), *_lines(done.present, name, size, scale, "after", moved)]
    left, top, right, bottom = box_of(strokes)
    around = np.array(
        [(left - BESIDE, top - ABOVE), (right + BESIDE, top - ABOVE), (right + BESIDE, bottom + ABOVE), (left - BESIDE, bottom + ABOVE)]
    )
    rows = [move for move in done.moves if move.key.piece == name and move.key.sort == "place" and size in move.at]
    outline = outline_of(done.lock, name, size)
    together = sorted(
        (
            (names[0], move)
            for names, move in places_together(rows)
            if move.by(size) is not None and lies_on(outline, _before(move, size))
        ),
        key=lambda named_move: _before(named_move[1], size),
    )  # from left to right, so that leaders do not cross
    arrows = [_arrow(move, size, scale, times) for _, move in together]
    labels = Labels([*strokes, *(arrow for arrow in arrows if arrow is not None)], around)
    middle = np.array([(left + right) / 2, (top + bottom) / 2])
    texts: list[Text] = []
    alone = ", new" if name not in done.lock.pieces() else ", gone" if name not in done.present.pieces() else ""
    _place_words(labels, Words(name.replace("_", " ") + alone, 5.0, "bold"), middle, texts, 40)
    leaders = []
    for called, move in together:
        at = np.array(_before(move, size)) / scale
        if move.far(size) >= longest / NAMED and _place_words(labels, Words(f"{called} {show(move.far(size))}", SMALL), at, texts):
            near = _nearest(text_plate(texts[-1]), at)
            leaders += [Stroke(run([near, at]), "leader", "leader")] if math.dist(near, at) > NEAR else []
    labels.items += leaders
    items = [*strokes, *(arrow for arrow in arrows if arrow is not None), *labels.items]
    return Group(name, f"{name}: before dashed, after continuous", tuple(items), True)


def _before(move: Move, size: int) -> tuple[float, float]:
    """Where a place that has moved was."""
    return cast(tuple[float, float], move.before[size])


def _nearest(plate: Plate, at: Floats) -> Floats:
    """The place of words that lies nearest."""
    corners = plate.corners()
    return np.clip(at, corners.min(axis=0), corners.max(axis=0))


def _lines(lock: Lock, piece: str, size: int, scale: float, line: str, moved: Iterable[str]) -> list[Stroke]:
    return [
        Stroke(_commands(strip, scale), f"{line}_moved" if edge in moved else line, edge)
        for edge, strips in strips_of(lock, piece, size).items()
        for strip in strips
        if _commands(strip, scale)
    ] + _darts(lock, piece, size, scale, line, moved)


def _darts(lock: Lock, piece: str, size: int, scale: float, line: str, moved: Iterable[str]) -> list[Stroke]:
    """The legs of darts, straight from foot to point over the joints between."""
    points: dict[str, dict[str, tuple[float, float]]] = {}
    for key, values in lock.rows.items():
        place = values[size]
        if key.piece == piece and isinstance(place, tuple):
            if key.sort == "place" and key.name.endswith(("_near", "_point", "_far")):
                name, _, word = key.name.rpartition("_")
                points.setdefault(name, {})[word] = place
            elif key.sort == "dart" and " leg " in key.name:
                name, _, word = key.name.partition(" ")
                points.setdefault(name, {})[word] = place
    strokes = []
    for name, places in points.items():
        if {"near", "point", "far"} <= places.keys():
            legs = [
                [places[side], *(place for word, place in sorted(places.items()) if word.startswith(f"{side} leg")), places["point"]]
                for side in ("near", "far")
            ]
            way = [*legs[0], *legs[1][::-1][1:]]
            drawn = f"{line}_moved" if any(f"{name}_{word}" in moved for word in ("near", "point", "far")) else line
            strokes.append(Stroke(run([(x / scale, y / scale) for x, y in way]), drawn, name))
    return strokes


def _commands(strip: list[Curve], scale: float) -> Commands:
    commands: list[Command] = []
    for curve in strip:
        points = [(x / scale, y / scale) for x, y in curve.points]
        if max(math.dist(points[0], point) for point in points) < 1e-4:
            continue
        if not commands:
            commands.append(("M", *points[0]))
        arc = circle(curve.points) if curve.kind == "arc" else None
        if curve.kind == "cubic":
            commands.append(("C", *(value for point in points[1:] for value in point)))
        elif arc is None:
            commands.append(("L", *points[-1]))
        else:
            _, radius, _, sweep = arc
            parts = max(1, math.ceil(abs(sweep) / (2 * math.pi / 3) - 1e-9))
            for part in range(1, parts + 1):
                x, y = curve.at(part / parts)
                commands.append(("A", radius / scale, False, sweep > 0, x / scale, y / scale))
    return tuple(commands)


def _arrow(move: Move, size: int, scale: float, times: int) -> Stroke | None:
    """From where a place was toward where it went; none where it would be too short to be seen."""
    (x, y), (across, down) = _before(move, size), cast(tuple[float, float], move.by(size))
    x, y, across, down = x / scale, y / scale, across * times / scale, down * times / scale
    long = math.hypot(across, down)
    if long < 0.4:
        return None
    tip = (x + across, y + down)
    return Stroke(run([(x, y), tip]) + signs.head(tip, across / long, down / long, min(2.5, long / 2)), "displacement", move.key.name)


def _place_words(labels: Labels, words: Words, at: Floats, texts: list[Text], rings: int = 12) -> bool:
    """Set words near a place, where there is room and the way to it leads through no other words; else leave them out."""
    plates = [text_plate(text).corners() for text in texts]
    boxes = [(corners.min(axis=0) - 0.5, corners.max(axis=0) + 0.5) for corners in plates]
    wide, high = text_width(*words), (RISE + DROP) * words.size
    low, top = labels.ring.min(axis=0), labels.ring.max(axis=0)
    for ring in range(rings):
        reach = 1.5 + 2.0 * ring
        for across, down in ((1, 0), (-1, 0), (1, -1), (-1, -1), (1, 1), (-1, 1), (0, -1), (0, 1)):
            plate = Plate(float(at[0]) + across * (reach + wide / 2), float(at[1]) + down * (reach + high / 2), wide, high)
            way = np.linspace(_nearest(plate, at), at, 33)
            clear = not any(((way > box_low) & (way < box_high)).all(axis=1).any() for box_low, box_high in boxes)
            within = (plate.corners() >= low).all() and (plate.corners() <= top).all()
            if clear and within and labels.room.first_free([plate]) is not None:
                y = plate.y + (RISE - DROP) / 2 * words.size
                texts.append(Text(plate.x, y, words.size, words.words, "middle", 0.0, words.weight))
                labels.add(texts[-1])
                return True
    return False


# ------------------------------------------------------------------------------------------------------------ the sheet


def _rows(groups: list[Group]) -> list[Group] | None:
    """The pieces in rows on the sheet; None where they do not fit."""
    placed, left, top, low = [], MARGIN, HEAD, HEAD
    for group in groups:
        box = box_of(group.items)
        wide, high = box[2] - box[0], box[3] - box[1]
        if left > MARGIN and left + wide > WIDE - MARGIN:
            left, top = MARGIN, low + GAP
        if left + wide > WIDE - MARGIN or top + high > HIGH - KEY:
            return None
        placed.append(shifted(group, left - box[0], top - box[1]))
        left, low = left + wide + GAP, max(low, top + high)
    return placed


def _in_a_row(groups: list[Group]) -> list[Group]:
    placed, left = [], MARGIN
    for group in groups:
        box = box_of(group.items)
        placed.append(shifted(group, left - box[0], HEAD - box[1]))
        left += box[2] - box[0] + GAP
    return placed


def _heading(words: OverlayWords) -> list[Text]:
    lines = [
        (words.title, 7.0, "bold"),
        (words.lines[0], 4.5, "normal"),
        *((line, SMALL, "normal") for line in words.lines[1:]),
    ]
    texts, y = [], 6.0
    for line, high, weight in lines:
        texts.append(Text(MARGIN, y + RISE * high, high, line, "start", 0.0, weight))
        y += high * 1.35
    return texts


def _key(words: OverlayWords, scale: float, times: int, arrows: bool) -> list[Leaf]:
    rows = [
        ("before", words.before),
        ("after", f"{words.after}, where nothing has moved"),
        ("after_moved", f"{words.after}, what has moved"),
    ]
    rows += (
        [
            (
                "displacement",
                f"a place that has moved; the arrow is {times} times as long as its way"
                if times > 1
                else "a place that has moved, and its way",
            )
        ]
        if arrows
        else []
    )
    foot = HIGH - MARGIN - DROP * SMALL
    items: list[Leaf] = [Text(MARGIN, foot, SMALL, f"Scale 1 : {show_number(scale)}", "start", 0.0, "bold")]
    x = MARGIN + 34.0
    for line, told in rows:
        y = foot - 1.2
        commands = run([(x, y), (x + 16, y)])
        items.append(Stroke(commands + (signs.head((x + 16, y), 1.0, 0.0, 2.5) if line == "displacement" else ()), line, "key"))
        items.append(Text(x + 18, foot, SMALL, told))
        x += 22 + text_width(told, SMALL)
    return items
