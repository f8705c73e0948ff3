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
RISE, DROP = 0.80, 0.24  # above and below the baseline, parts of the size


class _Widths(dict[str, float]):
    def __missing__(self, letter: str) -> float:
        code = ord(letter)
        return _WIDE if 0x1100 <= code < 0x1200 or code >= 0x2E80 else _OTHER


_WIDTHS = _Widths((letter, width / 1000) for letters, width in _GROUPS for letter in letters)


def text_width(words: str, size: float, weight: str = "normal") -> float:
    """Estimated length of a line of words, on the safe side, in the unit of `size`."""
    return _sized(_added(words), size, weight)


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
    lines: list[str] = []
    total = 0.0  # of the last line
    for word in re.findall(r"[^ \t\n\r]+", words):
        longer = _added(f" {word}", total)
        if lines and _sized(longer, size, weight) <= width:
            lines[-1], total = f"{lines[-1]} {word}", longer
        else:
            lines.append(word)
            total = _added(word)
    return lines


class Plate(NamedTuple):
    """A rectangle about (x, y), turned by `turn` radians clockwise as seen on the paper."""

    x: float
    y: float
    width: float
    height: float
    turn: float = 0.0

    def corners(self) -> Floats:
        """(4, 2), in order round the rectangle."""
        a, b = self.width / 2, self.height / 2
        local = np.array([[-a, -b], [a, -b], [a, b], [-a, b]])
        c, s = math.cos(self.turn), math.sin(self.turn)
        return np.stack([self.x + local[:, 0] * c - local[:, 1] * s, self.y + local[:, 0] * s + local[:, 1] * c], axis=-1)


class Room:
    """What is drawn already.  Grows as words are set."""

    def __init__(self) -> None:
        self._segments: list[Floats] = []  # each (S, 4): x0, y0, x1, y1
        self._plates: list[Plate] = []
        self._joined: Floats | None = None

    def take_run(self, points: Floats) -> None:
        """Occupy the polyline through points (K, 2)."""
        if len(points) > 1:
            self._segments.append(np.concatenate([points[:-1], points[1:]], axis=1))
            self._joined = None

    def take_plate(self, plate: Plate) -> None:
        corners = plate.corners()
        self.take_run(np.concatenate([corners, corners[:1]]))
        # The diagonal stands for the inside: a larger plate laid over the whole of this one meets it too.
        self.take_run(corners[::2])
        self._plates.append(plate)

    def free(self, centres: Floats, width: float, height: float, turn: float = 0.0, gap: float = 1.0) -> Mask:
        """Which of the plates at centres (M, 2) stay `gap` clear of everything: (M,) bool."""
        a, b = width / 2 + gap, height / 2 + gap
        c, s = math.cos(turn), math.sin(turn)
        free = np.ones(len(centres), dtype=bool)

        def local(x: Floats, y: Floats) -> tuple[Floats, Floats]:
            return x * c + y * s, y * c - x * s

        cx, cy = local(centres[:, 0], centres[:, 1])
        if self._segments:
            segments = self._all()
            x0, y0 = local(segments[:, 0], segments[:, 1])
            x1, y1 = local(segments[:, 2], segments[:, 3])
            mx, my, hx, hy = (x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0) / 2, (y1 - y0) / 2
            dx, dy = mx[None, :] - cx[:, None], my[None, :] - cy[:, None]
            apart = (np.abs(dx) > a + np.abs(hx)) | (np.abs(dy) > b + np.abs(hy))
            apart |= np.abs(dx * hy - dy * hx) > a * np.abs(hy) + b * np.abs(hx)
            free &= apart.all(axis=1)
        for plate in self._plates:
            pc, ps = math.cos(plate.turn), math.sin(plate.turn)
            dx, dy = centres[:, 0] - plate.x, centres[:, 1] - plate.y
            free &= (np.abs(dx * pc + dy * ps) > plate.width / 2) | (np.abs(dy * pc - dx * ps) > plate.height / 2)
        return free

    def _all(self) -> Floats:
        if self._joined is None:
            self._joined = np.concatenate([np.empty((0, 4)), *self._segments])
        return self._joined

    def clearance(self, points: Floats) -> Floats:
        """How far points (M, 2) are from all that is drawn: (M,)."""
        x0, y0, x1, y1 = self._all().T
        wx, wy = x1 - x0, y1 - y0
        dx, dy = points[:, :1] - x0, points[:, 1:] - y0
        along = np.clip((dx * wx + dy * wy) / np.maximum(wx * wx + wy * wy, 1e-12), 0.0, 1.0)
        dx -= along * wx
        dy -= along * wy
        least: Floats = np.sqrt((dx * dx + dy * dy).min(axis=1, initial=np.inf))
        return least

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


def within(points: Floats, ring: Floats) -> Mask:
    """Which points (M, 2) lie inside a ring (K, 2), by counting sides that a level ray crosses: (M,) bool."""
    x0, y0 = ring[:, 0], ring[:, 1]
    x1, y1 = np.roll(x0, -1), np.roll(y0, -1)
    px, py = points[:, 0, None], points[:, 1, None]
    straddles = (y0[None, :] > py) != (y1[None, :] > py)
    rise = np.where(y1 == y0, 1.0, y1 - y0)
    crossing = x0 + (py - y0) * (x1 - x0) / rise
    inside: Mask = (straddles & (px < crossing)).sum(axis=1) % 2 == 1
    return inside
