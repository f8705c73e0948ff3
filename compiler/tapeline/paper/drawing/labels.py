"""Words on a piece, set where they touch nothing.

Every label has an ordered list of places where it may stand; the first free one is taken, first at its
full size, then smaller, never under `LEAST` millimetres.  A label that fits nowhere on the piece is set
beside it with a thin leader.  The block that names the piece is sought over a lattice of places inside the
net outline, nearest the asked place first, stacked or in few long lines, upright or turned a quarter.  All
searches run in a fixed order, so the same piece always gets the same labels.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import product
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats, Indices, Mask
from .lettering import DROP, RISE, Plate, RingSides, Room, text_width, wrap
from .model import Leaf, Stroke, Text, box_of, polylines, run, text_plate

LEAST = 3.0  # smallest type, millimetres
LEADING = 1.35  # from line to line, parts of the size
WIDE, NARROW = 120.0, (80.0, 54.0)  # mm, of lines in full size, in the block that names a piece
SHORT = 24  # letters
SHRINK = (1.0, 0.85, 0.7, 0.6, 0.5)


class Words(NamedTuple):
    words: str
    size: float
    weight: str = "normal"


def _smaller(size: float) -> list[float]:
    """The sizes to try, largest first, none under the least."""
    sizes: list[float] = []
    for factor in SHRINK:
        trial = _scaled(size, factor)
        if trial not in sizes:
            sizes.append(trial)
    return sizes


def _plate(centre: Floats, words: Words, turn: float = 0.0) -> Plate:
    return Plate(float(centre[0]), float(centre[1]), text_width(*words), (RISE + DROP) * words.size, turn)


def _text(plate: Plate, words: Words) -> Text:
    """The words centred on their plate."""
    down = (RISE - DROP) / 2 * words.size
    x, y = plate.x - down * math.sin(plate.turn), plate.y + down * math.cos(plate.turn)
    return Text(x, y, words.size, words.words, "middle", math.degrees(plate.turn), words.weight)


def _scaled(size: float, factor: float) -> float:
    return max(LEAST, round(size * factor, 2))


class Block(NamedTuple):
    """Lines of words under one another, centred."""

    lines: tuple[Words, ...]

    @property
    def width(self) -> float:
        return max(text_width(*line) for line in self.lines)

    @property
    def height(self) -> float:
        return sum(line.size * LEADING for line in self.lines)

    def scaled(self, factor: float) -> Block:
        return Block(tuple(w._replace(size=_scaled(w.size, factor)) for w in self.lines))

    def extent(self, factor: float) -> tuple[float, float]:
        """Width and height of the block that is scaled so."""
        sizes = [_scaled(line.size, factor) for line in self.lines]
        width = max(text_width(line.words, size, line.weight) for line, size in zip(self.lines, sizes, strict=True))
        return width, sum(size * LEADING for size in sizes)

    def texts(self, plate: Plate) -> list[Text]:
        down = -self.height / 2
        out = []
        for line in self.lines:
            middle = down + line.size * LEADING / 2
            x, y = plate.x - middle * math.sin(plate.turn), plate.y + middle * math.cos(plate.turn)
            out.append(_text(_plate(np.array([x, y]), line, plate.turn), line))
            down += line.size * LEADING
        return out


class Labels:
    """Sets words among strokes that are drawn already.  `items` gathers what was set."""

    def __init__(self, strokes: Iterable[Stroke], ring: Floats):
        self.room = Room()
        self.ring, self._sides = ring, RingSides(ring)
        self.low, self.high = ring.min(axis=0), ring.max(axis=0)
        self.extent: list[float] = (self.high - self.low).tolist()
        self.items: list[Leaf] = []
        self._strokes = list(strokes)
        for stroke in self._strokes:
            self.occupy(stroke)

    def occupy(self, stroke: Stroke) -> None:
        for points in polylines(stroke.commands, steps=16):
            self.room.take_run(points)

    def add(self, *items: Leaf) -> None:
        """Draw further signs and words, which later words must keep clear of."""
        for item in items:
            self.items.append(item)
            if isinstance(item, Text):
                self.room.take_plate(text_plate(item))
            else:
                self.occupy(item)

    def set_first(self, places: Callable[[Words], Iterable[Plate]], words: Words, target: Floats) -> None:
        """Set the words on the first free plate of `places(words)`, shrinking them; else beside the piece."""
        for size in _smaller(words.size):
            trial = words._replace(size=size)
            inside = (plate for plate in places(trial) if self._sides.within(plate.corners()).all())
            plate = self.room.first_free(inside)
            if plate is not None:
                self.add(_text(plate, trial))
                return
        self.set_beside(Block((words._replace(size=max(LEAST, 0.7 * words.size)),)), target)

    def along(self, line: Floats, words: Words, clearances: Sequence[float] = (1.0, 4.0, 8.0, 13.0, 20.0)) -> None:
        """Set words beside the middle of a polyline (K, 2) and parallel to it."""
        steps = np.hypot(*(line[1:] - line[:-1]).T)
        reached = np.concatenate([[0.0], np.cumsum(steps)])

        def places(trial: Words) -> Iterator[Plate]:
            for clearance in clearances:
                for fraction in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
                    at = fraction * reached[-1]
                    k = min(int(np.searchsorted(reached, at, side="right")) - 1, len(steps) - 1)
                    ux, uy = (line[k + 1] - line[k]) / steps[k]
                    point = line[k] + (at - reached[k]) * np.array([ux, uy])
                    turn = _upright(math.atan2(uy, ux))
                    aside = clearance + (RISE + DROP) / 2 * trial.size + 0.5
                    for side in (1, -1):
                        yield _plate(point + side * aside * np.array([-uy, ux]), trial, turn)

        middle = [float(np.interp(reached[-1] / 2, reached, line[:, axis])) for axis in (0, 1)]
        self.set_first(places, words, np.array(middle))

    def beside_line(self, start: Floats, along: tuple[float, float], aside: tuple[float, float], words: Words) -> None:
        """Set words parallel to `along`, near side on `start`, toward `aside`; the place is known free."""
        centre = start + np.array(aside) * (RISE + DROP) / 2 * words.size
        self.add(_text(_plate(centre, words, _upright(math.atan2(along[1], along[0]))), words))

    def at_point(self, at: Floats, words: Words) -> None:
        """Set words beside the sign of a place: to its right or left, above or below it, as near as may be."""

        def places(trial: Words) -> Iterator[Plate]:
            half, high = text_width(*trial) / 2, (RISE + DROP) / 2 * trial.size
            for clear in (6.5, 10.0, 15.0):
                for across, down in ((1, 0), (-1, 0), (0, -1), (0, 1), (1, -1), (-1, -1), (1, 1), (-1, 1)):
                    yield _plate(at + np.array([across * (half + clear), down * (high + clear)]), trial)

        self.set_first(places, words, at)

    def at_level(self, left: float, right: float, y: float, words: Words) -> None:
        """Set words on or under a level line, as near as may be to its end farther from the centre line."""
        outer, step = (right, -1) if abs(right) >= abs(left) else (left, 1)

        def places(trial: Words) -> Iterator[Plate]:
            half, high = text_width(*trial) / 2, (RISE + DROP) / 2 * trial.size + 1.5
            for k in range(1 + int(max(0.0, right - left - 2 * half - 8) // 6)):
                for side in (-1, 1):
                    yield _plate(np.array([outer + step * (half + 4 + 6 * k), y + side * high]), trial)

        self.set_first(places, words, np.array([right, y]))

    def at_side(self, way: int, words: Words) -> None:
        """Set words near the right (`way` 1) or left (-1) side of a piece, as near to the middle of its height as may be."""
        low, high = self.low, self.high
        x0, y0 = self.ring.T
        x1, y1 = np.roll(self.ring, -1, axis=0).T
        middle = (low[0] + high[0]) / 2

        def edge_at(y: float) -> float:
            crossed = (y0 > y) != (y1 > y)
            xs = x0[crossed] + (y - y0[crossed]) * (x1[crossed] - x0[crossed]) / (y1[crossed] - y0[crossed])
            return float((xs * way).max() * way) if len(xs) else float(middle)

        def places(trial: Words) -> Iterator[Plate]:
            half = text_width(*trial) / 2
            for clear in (6.0, 12.0, 24.0):
                for k in range(25):
                    y = float(low[1] + (high[1] - low[1]) * (0.45 + (k + 1) // 2 * (1 if k % 2 else -1) * 0.035))
                    x = edge_at(y) - way * (clear + half)
                    if (x - middle) * way > 0:
                        yield _plate(np.array([x, y]), trial)

        y = float(low[1] + (high[1] - low[1]) * 0.45)
        self.set_first(places, words, np.array([edge_at(y) - way * 3.0, y]))

    def block(self, arrangements: list[list[Block]], preferred: Floats) -> None:
        """Set the block that names the piece, in the largest size and first arrangement that find room.

        Arrangements come in lists of equals; a later list is tried only where no smaller size of an earlier
        one found room.
        """
        candidates = _Inside(self._lattice(preferred), self._sides)
        without: list[tuple[float, float, float]] = []  # width, height and turn of blocks that found no room
        for equals, factor, turn in product(arrangements, SHRINK, (0.0, -math.pi / 2)):
            for arrangement in equals:
                size = arrangement.extent(factor)
                if any(turn == by and width <= size[0] and height <= size[1] for width, height, by in without):
                    continue
                place = self._place(candidates, size, turn)
                if place is not None:
                    self.add(*arrangement.scaled(factor).texts(place))
                    return
                without.append((*size, turn))
        self.set_beside(arrangements[0][0].scaled(0.7), self._uncovered(float(preferred[1])))

    def _uncovered(self, y: float) -> Floats:
        """The place near the edge, as near as may be to a height, that no words cover: a leader that ends there can be seen."""
        ends = (self._near_edge(y + side * k * 5.0) for k in range(40) for side in (1, -1))
        return next((end for end in ends if not self.room.over_words(end, end)), self._near_edge(y))

    def _near_edge(self, y: float) -> Floats:
        """A point just inside the right-hand side of the outline at this height, where a leader may end."""
        y = float(np.clip(y, self.low[1] + 0.1, self.high[1] - 0.1))
        low, high = self.ring, np.roll(self.ring, -1, axis=0)
        crossed = (low[:, 1] > y) != (high[:, 1] > y)
        (x0, y0), (x1, y1) = low[crossed].T, high[crossed].T
        return np.array([float(np.max(x0 + (y - y0) * (x1 - x0) / (y1 - y0))) - 3.0, y])

    def _lattice(self, preferred: Floats) -> Floats:
        """Points spread over the piece and round it, the nearest to what is wanted first."""
        low, high = self.low, self.high
        counts = [int(min(48, max(3, (high[axis] - low[axis]) // 4))) for axis in (0, 1)]
        xs, ys = (np.linspace(low[axis], high[axis], counts[axis] + 2)[1:-1] for axis in (0, 1))
        points = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
        points = np.concatenate([preferred[None], points])
        far = np.round(np.hypot(points[:, 0] - preferred[0], points[:, 1] - preferred[1]), 6)
        return points[np.argsort(far, kind="stable")]

    def _place(self, candidates: _Inside, size: tuple[float, float], turn: float) -> Plate | None:
        (width, height), gap = size, 3.0
        if width > self.extent[1 if turn else 0] or height > self.extent[0 if turn else 1]:
            return None
        wide, high = (height, width) if turn else (width, height)
        tried = np.flatnonzero(self.room.may_be_free(candidates.points, wide, high, gap))
        at, share = 0, 4
        while at < len(tried):
            some = tried[at : at + share]
            some = some[candidates.inside(some)]
            free = self.room.free(candidates.points[some], width, height, turn, gap)
            if free.any():
                x, y = candidates.points[some[int(np.argmax(free))]]
                return Plate(float(x), float(y), width, height, turn)
            at, share = at + share, 2 * share
        return None

    def set_beside(self, block: Block, target: Floats) -> None:
        """Set words to the right of the whole piece, with a leader to the place they speak of that runs over no other words."""
        right = box_of([*self._strokes, *self.items])[2]
        x = right + 8 + block.width / 2
        y = float(target[1]) + np.array([side * k * 4.0 for k in range(200) for side in (1, -1)])
        centres = np.stack([np.full(len(y), x), y], axis=-1)
        free = list(centres[self.room.free(centres, block.width, block.height, gap=2.0)])
        foot = np.array([block.width / 2 + 1.5, 0.0])
        clear = (place for place in free if not self.room.over_words(place - foot, target))
        spot = next(clear, free[0] if free else centres[-2])
        self.add(*block.texts(Plate(float(spot[0]), float(spot[1]), block.width, block.height)))
        self.add(Stroke(run([spot - foot, target]), "leader", "leader"))


class _Inside:
    """Many points in order, and which of them lie within a ring: told when it is asked, and remembered."""

    def __init__(self, points: Floats, sides: RingSides):
        self.points, self._sides = points, sides
        self._known, self._inside = np.zeros(len(points), dtype=bool), np.zeros(len(points), dtype=bool)

    def inside(self, some: Indices) -> Mask:
        unknown = some[~self._known[some]]
        if len(unknown):
            self._inside[unknown], self._known[unknown] = self._sides.within(self.points[unknown]), True
        inside: Mask = self._inside[some]
        return inside


def _upright(angle: float) -> float:
    """The angle, or its opposite, that reads from the left or, when steep, from the right."""
    steep = math.radians(75)
    while angle >= steep:
        angle -= math.pi
    while angle < steep - math.pi:
        angle += math.pi
    return angle


def arrangements(title: str, cut: str, details: list[str], further: list[str], small: str) -> list[list[Block]]:
    """The naming block: piece, how cut, the facts that every piece bears, further ones in the order in which they are needed, and
    allowances; stacked, in few long lines, or run on in shorter ones.  Where there is no room for all, the last of the further
    facts are left out first, then everything stands in one line; what is left out stands in the cutting list and on the first
    page."""
    bold = "bold"
    head = [Words(title, 11, bold), Words(cut, 8, bold)]
    narrow = {width: [w._replace(words=line) for w in head for line in wrap(w.words, w.size, width, bold)] for width in NARROW}

    def small_lines(words: Iterable[str], width: float) -> list[Words]:
        return [Words(line.strip(" \u00b7"), 4.5) for fact in words for line in wrap(fact, 4.5, width)]

    def joined(facts: Iterable[str]) -> str:
        return " \u00b7 ".join(filter(None, facts))

    equals: list[list[list[Words]]] = []
    for count in range(len(further), -1, -1):
        some = further[:count]
        stacked = [*head, *(Words(line, 6) for line in details), *small_lines([*some, small], WIDE)]
        long = [Words(joined([title, cut]), 9, bold), Words(joined(details), 6), Words(joined(some), 4.5), Words(small, 4.5)]
        run_on = joined(_unbroken(fact) for fact in (*details, *some))
        equals.append([stacked, long, *([*head, *small_lines([run_on, small], width)] for width in (WIDE, NARROW[0]))])
        equals.append([[*narrow[width], *small_lines([run_on, small], width)] for width in NARROW])  # the name itself parted
    equals.append([[Words(joined([title, cut, *details, small]), 6)]])
    return [[Block(tuple(line for line in lines if line.words.strip())) for lines in alike] for alike in equals]


def _unbroken(fact: str) -> str:
    """A short fact is not parted at the end of a line."""
    return fact.replace(" ", "\u00a0") if len(fact) <= SHORT else fact
