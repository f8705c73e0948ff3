"""What a hand with ruler, tape and curve can set out: figures as they are printed, and fair lines through points.

A `Ruler` rounds lengths to what the house's ruler shows.  A curve is told by offsets from the straight line between its
ends; how many are told depends on how well a fair line through them keeps to the curve.  Places are (2,) arrays of
millimetres, x to the right, y down.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats
from ..house.house import House

STRAIGHT = 0.7  # of the ruler's least figure; a line that bends by less is ruled
EXACT = 0.35  # of the ruler's least figure; how near a smooth line through the unrounded places must keep to the curve
OFFSETS = (3, 5, 7, 11, 15, 23, 31)  # how many a curve may be told by
STEPS = 16  # chords drawn between two points of a fair line
WAYS = {"right": (1.0, 0.0), "left": (-1.0, 0.0), "down": (0.0, 1.0), "up": (0.0, -1.0)}


class Ruler(NamedTuple):
    """The house's ruler: its unit, for inches the fraction it is divided into, and whether it is read finer than that."""

    house: House
    unit: str
    finer: int = 0  # 1: halves of its least figure are read; 2: quarters of an inch's, fifths of a millimetre

    @property
    def step(self) -> float:
        """The least figure in mm: a millimetre, or the house's fraction of an inch."""
        return 25.4 / (self.house.fraction * 2**self.finer) if self.unit == "in" else (1.0, 0.5, 0.2)[self.finer]

    @property
    def precision(self) -> str:
        return f"1/{self.house.fraction * 2**self.finer} in" if self.unit == "in" else self.house.figures(f"{self.step:g} mm")

    def for_piece(self, times: float) -> Ruler:
        """The ruler for a piece of which a figure counts so often in a girth: so fine that the girth can be met to the house's own figure."""
        return self._replace(finer=min(2, self.finer + (0 if times <= 2 else 1 if times <= 4 else 2)))

    def say(self, words: str) -> str:
        """Fixed words of the sheet in the house's language, their places still open."""
        return self.house.say(words)

    def round(self, mm: float) -> float:
        return round(mm / self.step) * self.step

    def show(self, mm: float) -> str:
        house = replace(self.house, fraction=self.house.fraction * 2**self.finer)
        return house.show(self.round(mm), self.unit).replace(" ", "\u00a0")


class Offset(NamedTuple):
    along: float  # from the first end, on the straight line between the ends; rounded, as `off` is
    off: float
    way: str


def across(v: Floats) -> Floats:
    """A quarter turn clockwise on paper."""
    return np.array([-v[1], v[0]])


def unit(v: Floats) -> Floats:
    way: Floats = v / np.hypot(*v)
    return way


def way_of(v: Floats) -> str:
    """The one of right, left, down and up that comes nearest to a direction."""
    if abs(v[0]) > abs(v[1]):
        return "right" if v[0] > 0 else "left"
    return "down" if v[1] > 0 else "up"


def along_way(v: Floats, way: str) -> Floats:
    """The direction or its opposite, whichever runs more toward a way."""
    return v if float(v @ np.array(WAYS[way])) >= 0 else -v


def fair_lines(points: Floats) -> tuple[Floats, Floats]:
    """A smooth line through points (K, 2), as two hands may draw it.

    One blends, between two points, the parabolas through their neighbours on either side; the other draws the cubic through
    these and one neighbour each.  Both go by the length of the chords.
    """
    if len(points) < 3:
        return points, points
    reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    blended, cubic = [points[:1]], [points[:1]]
    for k in range(len(points) - 1):
        part = np.arange(1, STEPS + 1) / STEPS
        s = reach[k] + part * (reach[k + 1] - reach[k])
        before = _through(points, reach, max(k - 1, 0), 3, s)
        after = _through(points, reach, min(k, len(points) - 3), 3, s)
        blended.append(before + part[:, None] * (after - before))
        cubic.append(_through(points, reach, max(0, min(k - 1, len(points) - 4)), 4, s))
    return np.concatenate(blended), np.concatenate(cubic)


def _through(points: Floats, reach: Floats, first: int, count: int, s: Floats) -> Floats:
    """Places at s on the polynomial through some successive points."""
    near = range(first, min(first + count, len(points)))
    places = np.zeros((len(s), 2))
    for i in near:
        weight = np.ones(len(s))
        for j in near:
            if j != i:
                weight = weight * (s - reach[j]) / (reach[i] - reach[j])
        places += weight[:, None] * points[i]
    return places


def off_line(points: Floats, line: Floats) -> Floats:
    """How far points (K, 2) lie from a polyline."""
    off: Floats = _off_sides(points, line).min(axis=1)
    return off


def nearest_side(place: Floats, line: Floats) -> int:
    """The side of a polyline that lies nearest to a place (2,); the first of several."""
    return int(np.argmin(_off_sides(place[None], line)[0]))


def _off_sides(points: Floats, line: Floats) -> Floats:
    """How far points (K, 2) lie from each side of a polyline (M, 2): (K, M - 1)."""
    start, sides = line[:-1], np.diff(line, axis=0)
    long = np.maximum((sides**2).sum(axis=1), 1e-18)
    t = np.clip(((points[:, None] - start) * sides).sum(axis=2) / long, 0.0, 1.0)
    gaps = points[:, None] - start - t[..., None] * sides
    off: Floats = np.hypot(gaps[..., 0], gaps[..., 1])
    return off


def line_length(line: Floats) -> float:
    return float(np.hypot(*np.diff(line, axis=0).T).sum())


class OnChord(NamedTuple):
    """The places on a curve that are set out by offsets from its chord; none where it may be ruled."""

    places: Floats  # (K, 2): along the chord and off it, as the curve has them
    chord: float
    aside: Floats  # (2,) square to the chord, the way in which offsets count up
    steady: bool  # whether the curve nowhere runs back along its chord

    def offsets(self, rule: Ruler, astray: tuple[Floats, Floats]) -> list[Offset]:
        """The offsets as the ruler has them.

        Where the curve's ends came to lie `astray` by these (2,) amounts, the offsets lead back by as much as rounding may do.
        """
        places = self.places
        if not len(places):
            return []
        if self.steady:
            leans = np.interp(places[:, 0], [0.0, self.chord], [float(end @ self.aside) for end in astray])
            places = places - np.stack([np.zeros(len(leans)), np.clip(leans, -rule.step / 2, rule.step / 2)], axis=1)
        rounded = [(rule.round(x), rule.round(y)) for x, y in places]
        if self.steady and not any(y for _, y in rounded):
            return []
        up = way_of(self.aside)
        opposite = {"right": "left", "left": "right", "up": "down", "down": "up"}[up]
        return [Offset(x, abs(y), up if y >= 0 else opposite) for x, y in rounded]


def on_chord(line: Floats, rule: Ruler) -> OnChord:
    """A curve, given by many points on it, as few places on it by their offsets from its chord.

    The places on the chord are whole steps of the ruler, so that only the offsets are rounded; where the curve runs
    back over its chord's ends, both are.
    """
    a, b = line[0], line[-1]
    chord = float(np.hypot(*(b - a)))
    way = (b - a) / chord
    xs, ys = (line - a) @ way, (line - a) @ across(way)
    steady = bool((np.diff(xs) > 0).all())
    if float(np.abs(ys).max()) < STRAIGHT * rule.step:
        return OnChord(np.empty((0, 2)), chord, across(way), steady)
    reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    xy = np.stack([xs, ys], axis=1)
    for count in OFFSETS:
        parts = np.arange(1, count + 1) / (count + 1)
        if steady:
            at = np.array(sorted({rule.round(chord * part) for part in parts} - {0.0}))
            at = at[at < chord - rule.step / 2]
            places = np.stack([at, np.interp(at, xs, ys)], axis=1)
        else:
            s = parts * reach[-1]
            places = np.stack([np.interp(s, reach, xs), np.interp(s, reach, ys)], axis=1)
        drawn = fair_lines(np.concatenate([xy[:1], places, xy[-1:]]))
        if max(float(off_line(xy, line).max()) for line in drawn) < EXACT * rule.step or len(places) < count:
            break
    return OnChord(places, chord, across(way), steady)


def set_off(a: Floats, b: Floats, offsets: list[Offset]) -> Floats:
    """The points that offsets from the straight line a to b give, with both ends."""
    way = unit(b - a)
    return np.stack([a, *(a + offset.along * way + offset.off * along_way(across(way), offset.way) for offset in offsets), b])


def arc_line(a: Floats, b: Floats, centre: Floats, radius: float) -> Floats:
    """The shorter arc from a to b about a centre, with the tape at `radius`; its ends are where they were set out."""
    first, last = (math.atan2(*(p - centre)[::-1]) for p in (a, b))
    sweep = (last - first + math.pi) % (2 * math.pi) - math.pi
    angles = first + sweep * np.arange(1, 96) / 96
    inner = centre + radius * np.stack([np.cos(angles), np.sin(angles)], axis=1)
    return np.concatenate([a[None], inner, b[None]])
