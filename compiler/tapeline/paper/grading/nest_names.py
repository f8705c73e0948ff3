"""The names of the sizes in the lines of a nest, each in a gap of its own line.

A name is tried on the edges where the sizes lie farthest apart, at one part of the way along for all sizes together, and where
it touches no line of another size and no other name.  A size that finds no such gap is named beside the piece, with a leader,
and so are all where there are so many that looking for gaps would take minutes.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats
from ..drawing.labels import LEAST, Labels
from ..drawing.lettering import Plate, Room, text_width
from ..drawing.model import Stroke, Text, run

SIZES = (6.0, 4.5, 3.6, LEAST)  # of the names, millimetres; smaller where the lines are close
CAPITALS = 0.72  # height of capitals and figures to the size of the words
NEAR = 4.0  # mm on either side of a place from which the direction there is taken
AIR = 1.0  # on either side of a name, in its line
CLEAR = 0.3  # between a name and the lines of other sizes
PARTS = (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82)
MANY = 40  # sizes; of more none is named in its line
TIMES = 2  # edges on which each size is named, where there is room


class SizeLine(NamedTuple):
    """The cut line of one size, and the part of it that belongs to each edge."""

    name: str
    run: Floats  # (K, 2), closed where the first point is repeated
    edges: dict[str, Floats]  # edge -> (K, 2)


class Gap(NamedTuple):
    line: int
    plate: Plate


def set_names(lines: list[SizeLine], obstacles: list[Floats], labels: Labels) -> list[list[Floats]]:
    """The parts of each cut line between the gaps for its names, which are set into `labels`.

    `obstacles` are what no name must touch besides the cut lines of other sizes.
    """
    gaps: list[Gap] = []
    every = set(range(len(lines)))
    few = len(lines) <= MANY
    rooms = [_room([*obstacles, *(line.run for j, line in enumerate(lines) if j != k)]) for k in every] if few else []
    for number, edge in enumerate(_edges(lines) if few else ()):
        gaps += _along(lines, edge, rooms, labels, every if number < TIMES else every - {gap.line for gap in gaps})
    runs = [[line.run] for line in lines]
    for gap in gaps:
        runs[gap.line] = [part for whole in runs[gap.line] for part in _parted(whole, gap.plate)]
    _beside(lines, sorted(every - {gap.line for gap in gaps}), labels)
    return runs


def _room(runs: list[Floats]) -> Room:
    room = Room()
    for points in runs:
        room.take_run(points)
    return room


def _beside(lines: list[SizeLine], numbers: list[int], labels: Labels) -> None:
    """Names under one another to the right of the piece, each with a leader to where its line is farthest from the others."""
    if not numbers:
        return
    right = max(float(line.run[:, 0].max()) for line in lines) + 12.0
    parts = np.linspace(0.0, 1.0, max(20, 400 * MANY // max(len(lines), MANY)))
    traced = [_at(line.run, parts)[0] for line in lines]
    targets = {k: _apart(lines[k], traced[:k] + traced[k + 1 :]) for k in numbers}
    order = sorted(numbers, key=lambda k: targets[k][1])
    y = np.mean([targets[k][1] for k in order]) - len(order) * 3.5 / 2
    for k in order:
        width = text_width(lines[k].name, LEAST)
        text = Text(right, float(y), LEAST, lines[k].name)
        while not labels.room.free(np.array([[right + width / 2, y - 1.0]]), width, LEAST)[0]:
            y += 4.0
            text = text._replace(y=float(y))
        labels.add(text)
        labels.items.append(Stroke(run([(right - 1.0, y - 1.0), targets[k]]), "leader", "leader"))
        y += 4.0


def _apart(line: SizeLine, other_runs: list[Floats]) -> Floats:
    """A place on a cut line as far as may be from places on those of other sizes, of a hundred along it."""
    places, _ = _at(line.run, np.linspace(0.01, 0.99, 99))
    away = np.hypot(*(places[:, None] - np.concatenate(other_runs or [places + 1.0])[None]).transpose(2, 0, 1)).min(axis=1)
    farthest: Floats = places[int(np.argmax(np.round(away, 2)))]
    return farthest


def _edges(lines: list[SizeLine]) -> list[str]:
    """The edges long enough for a name, those first on which the lines lie farthest apart."""
    wide = 2 * max(text_width(line.name, LEAST) for line in lines) + 10.0
    apart = {}
    for edge in dict.fromkeys(name for line in lines for name in line.edges):
        owned = [line.edges[edge] for line in lines if edge in line.edges]
        if min(_length(points) for points in owned) < wide:
            continue
        places, ways = zip(*(_at(points, np.array([0.5])) for points in owned), strict=True)
        off = np.sort(np.concatenate(places) @ np.array([-ways[0][0, 1], ways[0][0, 0]]))
        apart[edge] = float(np.diff(off).min()) if len(off) > 1 else math.inf
    return sorted(apart, key=lambda edge: -round(apart[edge], 3))


def _along(lines: list[SizeLine], edge: str, rooms: list[Room], labels: Labels, numbers: set[int]) -> list[Gap]:
    """One gap in each line of these numbers that has room on this edge, as many of them as may be at one part of the way."""
    waiting = {k for k in numbers if edge in lines[k].edges}
    places = {k: _at(lines[k].edges[edge], np.array(PARTS)) for k in waiting}
    gaps: list[Gap] = []
    for size in SIZES:
        while waiting:
            tries = [
                [
                    (k, plate)
                    for k in sorted(waiting)
                    if rooms[k].first_free([plate := _plate(lines[k].name, places[k], part, size)], CLEAR) is not None
                ]
                for part in range(len(PARTS))
            ]
            best = max(tries, key=len)
            if not best:
                break
            for k, plate in best:
                if rooms[k].first_free([plate], CLEAR) is None:
                    continue  # a name set just before lies too near
                labels.add(_text(plate, lines[k].name, size))
                for room in rooms:
                    room.take_plate(plate)
                gaps.append(Gap(k, plate))
                waiting.discard(k)
    return gaps


def _plate(name: str, places: tuple[Floats, Floats], part: int, size: float) -> Plate:
    """The room that a name takes at one of some places along a line."""
    (x, y), way = places[0][part], places[1][part]
    return Plate(float(x), float(y), text_width(name, size), (CAPITALS + 0.1) * size, _readable(math.atan2(way[1], way[0])))


def _text(plate: Plate, words: str, size: float) -> Text:
    down = CAPITALS / 2 * size
    return Text(
        plate.x - down * math.sin(plate.turn), plate.y + down * math.cos(plate.turn), size, words, "middle", math.degrees(plate.turn)
    )


def _readable(angle: float) -> float:
    """The direction or its opposite, whichever is read from below or from the right."""
    while angle > math.radians(75):
        angle -= math.pi
    while angle <= math.radians(75) - math.pi:
        angle += math.pi
    return angle


def _length(points: Floats) -> float:
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _at(points: Floats, parts: Floats) -> tuple[Floats, Floats]:
    """The places at some parts of the way along a run, and the directions there, both (P, 2)."""
    steps = np.diff(points, axis=0)
    long = np.hypot(*steps.T)
    reached = np.concatenate([[0.0], np.cumsum(long)])
    before, at, after = (
        np.stack([np.interp(parts * reached[-1] + by, reached, points[:, axis]) for axis in (0, 1)], axis=-1)
        for by in (-NEAR, 0.0, NEAR)
    )  # beyond an end is the end
    way = after - before
    return at, way / np.maximum(np.hypot(way[:, 0], way[:, 1]), 1e-9)[:, None]


def _parted(line: Floats, plate: Plate) -> list[Floats]:
    """A line without the part that lies on a plate, if the plate lies on it: one line or two."""
    steps = np.diff(line, axis=0)
    long = np.hypot(*steps.T)
    reached = np.concatenate([[0.0], np.cumsum(long)])
    off = np.array([plate.x, plate.y]) - line[:-1]
    along = np.clip((off * steps).sum(axis=1) / np.maximum(long**2, 1e-12), 0.0, 1.0)
    away = np.hypot(*(off - along[:, None] * steps).T)
    k = int(np.argmin(away))
    if away[k] > 0.01:
        return [line]
    middle, half = reached[k] + along[k] * long[k], plate.width / 2 + AIR
    return [
        part
        for part in (_between(line, reached, 0.0, middle - half), _between(line, reached, middle + half, reached[-1]))
        if len(part) > 1
    ]


def _between(line: Floats, reached: Floats, low: float, high: float) -> Floats:
    if high <= low:
        return line[:0]
    ends = [np.array([np.interp(at, reached, line[:, axis]) for axis in (0, 1)]) for at in (low, high)]
    inside = line[(reached > low + 1e-6) & (reached < high - 1e-6)]
    return np.concatenate([ends[0][None], inside, ends[1][None]])
