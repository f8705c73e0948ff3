"""How much room words take, and where there is room for them.

No font is opened: the width of a line of words is estimated from a small table of widths of a plain sans
serif face, taken wide enough for the faces that commonly stand in for Helvetica.  A `Plate` is the turned
rectangle that the words may cover.  `Room` keeps what is drawn already, as straight segments and plates,
and tells which plates of many would touch none of it.  The test of a segment against a plate is the
separating-axis test in the plate's own frame, exact and over all candidates at once.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats, Mask

# Widths in thousandths of the size, by groups of like letters.  From memory of Helvetica's published metrics,
# each group by its widest letter; `CAUTION` covers faces that run wider, such as the usual free substitutes.
_GROUPS = (
    ("ijl'|", 245),
    (" \u00a0.,:;I", 285),
    ('frt()-`"*°·!/\\[]', 355),
    ("Jcksvxyz^", 505),
    ("abdeghnopqu", 560),
    ("0123456789?$#_LFTZ", 620),
    ("+<>=~×÷", 590),
    ("ABEKPSVXY&", 670),
    ("CDHNRUw", 725),
    ("GOQ", 780),
    ("mM", 840),
    ("%", 890),
    ("W", 950),
    ("@—", 1020),
)
_OTHER, _WIDE = 0.75, 1.05  # other alphabetic scripts; full-width scripts
CAUTION = 1.16
BOLD = 1.12
CELL = 2.0  # mm, of the grid in which is counted what is drawn
EVEN = 1e-6  # mm
RISE, DROP = 0.80, 0.24  # above and below the baseline, parts of the size


class _Widths(dict[str, float]):
    def __missing__(self, letter: str) -> float:
        code = ord(letter)
        return _WIDE if 0x1100 <= code < 0x1200 or code >= 0x2E80 else _OTHER


_WIDTHS = _Widths((letter, width / 1000) for letters, width in _GROUPS for letter in letters)


def text_width(words: str, size: float, weight: str = "normal") -> float:
    """Estimated length of a line of words, on the safe side, in the unit of `size`."""
    return _sized(_of_all(words), size, weight)


@lru_cache(maxsize=4096)
def _of_all(words: str) -> float:
    return _added(words)


def _added(words: str, total: float = 0.0) -> float:
    """The widths of all letters, added to what stands before them."""
    for letter in words:
        total += _WIDTHS[letter]
    return total


def _sized(total: float, size: float, weight: str) -> float:
    return total * size * CAUTION * (BOLD if weight == "bold" else 1.0)


def in_words(name: str) -> str:
    """A name of the text as it is written on papers, its underscores as blanks."""
    return name.replace("_", " ")


def wrap(words: str, size: float, width: float, weight: str = "normal") -> list[str]:
    """The words in lines no longer than `width`; a single word is never broken, nor a no-break space."""
    return list(_wrapped(words, size, width, weight))


@lru_cache(maxsize=1024)
def _wrapped(words: str, size: float, width: float, weight: str) -> tuple[str, ...]:
    lines: list[str] = []
    total = 0.0  # of the last line
    for word in re.findall(r"[^ \t\n\r]+", words):
        longer = _added(f" {word}", total)
        if lines and _sized(longer, size, weight) <= width:
            lines[-1], total = f"{lines[-1]} {word}", longer
        else:
            lines.append(word)
            total = _added(word)
    return tuple(lines)


class Plate(NamedTuple):
    """A rectangle about (x, y), turned by `turn` radians clockwise as seen on the paper."""

    x: float
    y: float
    width: float
    height: float
    turn: float = 0.0

    def corners(self) -> Floats:
        """(4, 2), in order round the rectangle."""
        a, b, c, s = self.width / 2, self.height / 2, math.cos(self.turn), math.sin(self.turn)
        return np.array([(self.x + x * c - y * s, self.y + x * s + y * c) for x, y in ((-a, -b), (a, -b), (a, b), (-a, b))])


class Room:
    """What is drawn already.  Grows as words are set."""

    def __init__(self) -> None:
        self._segments: list[Floats] = []  # each (S, 4): x0, y0, x1, y1
        self._plates: list[Plate] = []
        self._joined: Floats | None = None
        self._turned: dict[float, _TurnedSegments] = {}
        self._counted: _Counted | None = None

    def take_run(self, points: Floats) -> None:
        """Occupy the polyline through points (K, 2)."""
        if len(points) > 1:
            self._segments.append(np.concatenate([points[:-1], points[1:]], axis=1))
            self._joined = self._counted = None
            self._turned.clear()

    def take_plate(self, plate: Plate) -> None:
        corners = plate.corners()
        self.take_run(np.concatenate([corners, corners[:1]]))
        # The diagonal stands for the inside: a larger plate laid over the whole of this one meets it too.
        self.take_run(corners[::2])
        self._plates.append(plate)

    def free(self, centres: Floats, width: float, height: float, turn: float = 0.0, gap: float = 1.0) -> Mask:
        """Which of the plates at centres (M, 2) stay `gap` clear of everything: (M,) bool."""
        a, b = width / 2 + gap, height / 2 + gap
        free = np.ones(len(centres), dtype=bool)
        if self._segments:
            if turn not in self._turned:
                self._turned[turn] = _TurnedSegments(self._all(), turn)
            free &= self._turned[turn].clear_of(centres, a, b)
        for plate in self._plates:
            pc, ps = math.cos(plate.turn), math.sin(plate.turn)
            dx, dy = centres[:, 0] - plate.x, centres[:, 1] - plate.y
            free &= (np.abs(dx * pc + dy * ps) > plate.width / 2) | (np.abs(dy * pc - dx * ps) > plate.height / 2)
        return free

    def _all(self) -> Floats:
        if self._joined is None:
            self._joined = np.concatenate([np.empty((0, 4)), *self._segments])
        return self._joined

    def may_be_free(self, centres: Floats, width: float, height: float, gap: float) -> Mask:
        """Which of many upright plates may be free: of the others it is seen at a glance that they are not."""
        if self._counted is None:
            self._counted = _Counted(self._all())
        return self._counted.none_within(centres, width / 2 + gap, height / 2 + gap)

    def over_words(self, p: Floats, q: Floats) -> bool:
        """Whether the line from p to q runs over a plate."""
        line = p + (q - p) * np.linspace(0.0, 1.0, 2 + int(np.hypot(*(q - p))))[:, None]
        for plate in self._plates:
            c, s = math.cos(plate.turn), math.sin(plate.turn)
            dx, dy = line[:, 0] - plate.x, line[:, 1] - plate.y
            across, down = np.abs(dx * c + dy * s), np.abs(dy * c - dx * s)
            if ((across < plate.width / 2 + 0.5) & (down < plate.height / 2 + 0.5)).any():
                return True
        return False

    def first_free(self, candidates: Iterable[Plate], gap: float = 1.0) -> Plate | None:
        """The first of some single plates that is free."""
        for plate in candidates:
            if self.free(np.array([[plate.x, plate.y]]), plate.width, plate.height, plate.turn, gap)[0]:
                return plate
        return None


class _TurnedSegments:
    """Segments in the frame of plates turned by so much: their middles and half extents."""

    def __init__(self, segments: Floats, turn: float) -> None:
        self.c, self.s = math.cos(turn), math.sin(turn)
        x0, y0 = self._local(segments[:, 0], segments[:, 1])
        x1, y1 = self._local(segments[:, 2], segments[:, 3])
        self.mx, self.my, self.hx, self.hy = (x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0) / 2, (y1 - y0) / 2
        self.wide, self.high = np.abs(self.hx), np.abs(self.hy)

    def _local(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        return x * self.c + y * self.s, y * self.c - x * self.s

    def clear_of(self, centres: Floats, a: float, b: float) -> Mask:
        """Which plates of these half sides, at centres (M, 2), none of the segments meets."""
        cx, cy = self._local(centres[:, 0], centres[:, 1])
        dx, dy = self.mx - cx[:, None], self.my - cy[:, None]
        plate, k = np.nonzero((np.abs(dx) <= a + self.wide) & (np.abs(dy) <= b + self.high))  # few of many
        met = np.abs(dx[plate, k] * self.hy[k] - dy[plate, k] * self.hx[k]) <= a * self.high[k] + b * self.wide[k]
        clear = np.ones(len(centres), dtype=bool)
        clear[plate[met]] = False
        return clear


class _Counted:
    """Points on all segments, counted in the cells of a grid, and the counts added up over all cells above and to the left."""

    def __init__(self, segments: Floats) -> None:
        steps = np.ceil(np.maximum(*np.abs(segments[:, 2:] - segments[:, :2]).T) / CELL).astype(int) + 1
        number = np.repeat(np.arange(len(segments)), steps)
        part = (np.arange(len(number)) - np.repeat(np.cumsum(steps) - steps, steps)) / np.repeat(np.maximum(steps - 1, 1), steps)
        points = segments[number, :2] + part[:, None] * (segments[number, 2:] - segments[number, :2])
        self.low = points.min(axis=0)
        cells = ((points - self.low) / CELL).astype(int)
        columns, rows = (cells.max(axis=0) + 1).tolist()
        counts = np.bincount(cells[:, 0] * rows + cells[:, 1], minlength=columns * rows).reshape(columns, rows)
        self.sums = np.zeros((columns + 1, rows + 1), dtype=int)
        self.sums[1:, 1:] = counts.cumsum(axis=0).cumsum(axis=1)

    def none_within(self, centres: Floats, a: float, b: float) -> Mask:
        """Whether (M,) no point lies in a cell that is wholly within the plate of these half sides."""
        half = np.array([a - EVEN, b - EVEN])
        most = np.array(self.sums.shape) - 1
        first = np.clip(np.ceil((centres - half - self.low) / CELL).astype(int), 0, most)
        last = np.maximum(np.clip(np.floor((centres + half - self.low) / CELL).astype(int), 0, most), first)
        (x0, y0), (x1, y1) = first.T, last.T
        none: Mask = self.sums[x1, y1] - self.sums[x0, y1] - self.sums[x1, y0] + self.sums[x0, y0] == 0
        return none


class RingSides:
    """The sides of a ring (K, 2), to be asked again and again what lies inside."""

    def __init__(self, ring: Floats) -> None:
        after = np.concatenate([ring[1:], ring[:1]])
        self.x0, self.y0, y1 = ring[:, 0], ring[:, 1], after[:, 1]
        self.run, self.rise = after[:, 0] - self.x0, np.where(y1 == self.y0, 1.0, y1 - self.y0)
        self.y1 = y1

    def within(self, points: Floats) -> Mask:
        """Which points (M, 2) lie inside, by counting sides that a level ray crosses: (M,) bool."""
        px, py = points[:, 0, None], points[:, 1, None]
        point, side = np.nonzero((self.y0 > py) != (self.y1 > py))  # few of many
        crossing = self.x0[side] + (py[point, 0] - self.y0[side]) * self.run[side] / self.rise[side]
        passed = np.bincount(point[px[point, 0] < crossing], minlength=len(points))
        inside: Mask = passed % 2 == 1
        return inside


def within(points: Floats, ring: Floats) -> Mask:
    """Which points (M, 2) lie inside a ring (K, 2)."""
    return RingSides(ring).within(points)
