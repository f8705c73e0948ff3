"""The drawing that every paper is made from: lines, words and groups of them, in millimetres, y down.

A `Drawing` knows nothing of any file format.  A line's meaning is its line type, a name in `LINES`, and
never a colour, so that a black print says all.  Curves stay what they are: straight runs, circular arcs
and cubic Beziers are separate commands; `polylines` flattens them only to find boxes and free room, never
to draw.  Items are plain immutable tuples; moving and mirroring give new ones.  A box is (left, top,
right, bottom).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple, TypeAlias, TypeVar

import numpy as np

from ...geometry.arrays import Floats
from ...geometry.path import Path
from ...geometry.segments import Arc, Cubic, Line
from .lettering import DROP, RISE, Plate, text_width


class LineType(NamedTuple):
    width: float  # millimetres
    dash: tuple[float, ...]  # drawn and left out by turns, millimetres; empty for a continuous line
    meaning: str  # for the legend; empty where the line is part of another sign


# Two widths, 2 to 1, after ISO 128 (continuous wide for the visible outline), and three kinds of line after
# JIS L 0110:2001: continuous, dashed, chain.  Which dash stands for what is common practice.
LINES: dict[str, LineType] = {
    "cut": LineType(0.7, (), "cut here"),
    "stitch": LineType(0.35, (4.0, 2.0), "sew here: stitching line"),
    "fold": LineType(0.35, (14.0, 2.5, 1.5, 2.5), "lay on the fold of the cloth, do not cut"),
    "turn_up": LineType(0.35, (14.0, 2.5, 1.5, 2.5), "turn the hem up here"),
    # Initial outlines are long-dashed double-dotted narrow lines in ISO 128-2, from memory.
    "foundation": LineType(0.35, (12.0, 2.0, 1.0, 2.0, 1.0, 2.0), "outline of a foundation: not to be cut"),
    "centre": LineType(0.18, (14.0, 2.5, 1.5, 2.5), "centre line of a piece drawn whole"),
    "grain": LineType(0.35, (), "grain line: lay along the lengthwise thread"),
    "dart": LineType(0.25, (2.5, 1.5), "dart: sew from its mouth to the cross"),
    "dart_end": LineType(0.35, (4.0, 2.0), ""),  # stitching over the end of a folded dart
    "dart_fold": LineType(0.18, (7.0, 1.5, 1.0, 1.5), "fold of a dart, up to its folded end"),
    "pleat_fold": LineType(0.25, (9.0, 1.5, 1.0, 1.5), "pleat: fold on the chain line, lay the fold to the dashed line"),
    "pleat_laid": LineType(0.25, (9.0, 4.0), ""),
    "construction": LineType(0.18, (0.5, 1.5), "level of the body, to check by"),
    "placement": LineType(0.25, (7.0, 3.0), "place for a part or a trimming"),
    "lengthening": LineType(0.35, (), "double line: lengthen or shorten the piece here"),
    "channel": LineType(0.18, (3.0, 1.5), "stitching of a bone's channel"),
    "bone": LineType(0.5, (), "bone, drawn as long as it is cut"),
    "drill": LineType(0.25, (), "drill hole, circled"),
    "place": LineType(0.25, (), "the place that is named beside it"),
    "button": LineType(0.35, (), "button"),
    "buttonhole": LineType(0.35, (), "buttonhole"),
    "hook": LineType(0.35, (), "hook"),
    "loop": LineType(0.35, (), "loop or eye"),
    "join": LineType(0.35, (9.0, 2.0, 2.0, 2.0, 2.0, 2.0), "may be cut in two here: add a seam allowance to either part"),
    "zip_end": LineType(0.7, (), "end of the zip opening"),
    "notch": LineType(0.35, (), "notch: match with its fellow"),
    "sign": LineType(0.35, (), ""),
    "frame": LineType(0.25, (), ""),
    "leader": LineType(0.18, (), ""),
    # of the small drawings of making up: the seam at hand, the piece that lies above, the one below (hidden lines are
    # dashed in ISO 128, from memory), and a zip
    "at_hand": LineType(0.5, (), ""),
    "laid_over": LineType(0.2, (), ""),
    "laid_under": LineType(0.2, (1.8, 1.0), ""),
    "zip_at_hand": LineType(0.6, (0.8, 0.8), ""),
    "growth": LineType(0.18, (), "growth: one place, from size to size"),
    # of the small picture of a garment and its pieces
    "garment_edge": LineType(0.45, (), ""),
    "garment_seam": LineType(0.2, (), ""),
    "garment_dart": LineType(0.2, (1.5, 0.8), ""),
    "garment_fold": LineType(0.2, (5.0, 0.9, 0.6, 0.9), ""),
    # of an overlay, which has a key of its own
    "before": LineType(0.25, (3.0, 1.5), ""),
    "after": LineType(0.25, (), ""),
    "after_moved": LineType(0.6, (), ""),
    "displacement": LineType(0.25, (), ""),
}

# In a nest each size has its own dashes, wide where it is cut and thin where it is sewn; the base is continuous and wider.
# The patterns are the basic kinds of ISO 128-20, from memory; their lengths are ours.
SIZE_DASHES: tuple[tuple[float, ...], ...] = (
    (6.0, 2.0),
    (12.0, 2.0, 1.0, 2.0),
    (2.0, 2.0),
    (12.0, 2.0, 1.0, 2.0, 1.0, 2.0),
    (12.0, 5.0),
    (0.7, 1.8),
    (12.0, 2.0, 3.0, 2.0),
    (5.0, 2.0, 1.0, 2.0),
    (12.0, 2.0, 3.0, 2.0, 3.0, 2.0),
    (5.0, 2.0, 5.0, 2.0, 1.0, 2.0),
    (12.0, 2.0, 1.0, 2.0, 1.0, 2.0, 1.0, 2.0),
    (5.0, 2.0, 1.0, 2.0, 1.0, 2.0),
    (6.0, 5.0),
    (5.0, 2.0, 5.0, 2.0, 1.0, 2.0, 1.0, 2.0),
)
LINES |= {"base_cut": LineType(0.7, (), ""), "base_stitch": LineType(0.35, (), "")} | {
    f"size_{number}_{what}": LineType(width, dash, "")
    for number, dash in enumerate(SIZE_DASHES, 1)
    for what, width in (("cut", 0.35), ("stitch", 0.18))
}


Place: TypeAlias = Sequence[float] | Floats  # x and y
Command: TypeAlias = tuple[Any, ...]  # a letter and its figures: see `Stroke`
Commands: TypeAlias = tuple[Command, ...]


class Stroke(NamedTuple):
    """A line.  Commands are ("M", x, y), ("L", x, y), ("C", x1, y1, x2, y2, x, y), ("Z",) and
    ("A", radius, large, clockwise, x, y): a circular arc, clockwise as seen on the paper."""

    commands: Commands
    line: str
    name: str = ""
    rule: str = ""  # file:line of the rule that made it


class Text(NamedTuple):
    """One line of words.  (x, y) lies on the baseline at the anchor: start, middle or end."""

    x: float
    y: float
    size: float
    words: str
    anchor: str = "start"
    turn_degrees: float = 0.0  # about (x, y), clockwise as seen on the paper
    weight: str = "normal"  # or "bold"


class Group(NamedTuple):
    name: str
    title: str
    items: tuple[Item, ...]
    piece: bool = False  # whether it is a pattern piece, not a part of the sheet


class Drawing(NamedTuple):
    width: float
    height: float
    items: tuple[Item, ...]
    title: str = ""
    description: str = ""


Box: TypeAlias = tuple[float, float, float, float]
Leaf: TypeAlias = Stroke | Text
Item: TypeAlias = Leaf | Group
AnyItem = TypeVar("AnyItem", bound=Item)

# ----------------------------------------------------------------------------------------- making commands


def run(points: Iterable[Place], closed: bool = False) -> Commands:
    """Straight commands through points; successive points nearer than 0.0001 mm count as one."""
    places = points if isinstance(points, np.ndarray) else np.array([tuple(point) for point in points], dtype=float).reshape(-1, 2)
    commands: list[Command] = [("L", x, y) for x, y in _told_apart(places).tolist()]
    if commands:
        commands[0] = ("M", *commands[0][1:])
    if closed:
        commands.append(("Z",))
    return tuple(commands)


NEAR = 1e-4  # mm; points nearer to each other count as one


def _told_apart(points: Floats) -> Floats:
    """The points (K, 2) without those that are near to the last one that stays."""
    if len(points) < 2:
        return points
    steps = np.diff(points, axis=0)
    near = np.flatnonzero(~(np.hypot(steps[:, 0], steps[:, 1]) >= NEAR)) + 1
    if not len(near):
        return points
    stays = np.ones(len(points), dtype=bool)
    last = points[0]
    for k in sorted({*near.tolist(), *(near + 1).tolist()} - {len(points)}):  # farther on the last one that stays is the one before
        if stays[k - 1]:
            last = points[k - 1]
        stays[k] = not math.hypot(points[k, 0] - last[0], points[k, 1] - last[1]) < NEAR
    kept: Floats = points[stays]
    return kept


def trace(path: Path, index: int) -> Commands:
    """The exact commands of one body's curve of a `Path`.  Segments without length are left out.

    Arcs of more than a third of a turn are drawn in parts, since the ends of a long one do not fix it well;
    arcs flatter than 0.001 mm are drawn straight, since readers lose their far centre.
    """
    body_path = path.take(slice(index, index + 1))
    commands: list[Command] = []
    for segment in body_path.segments:
        if not float(segment.length()[0]) > 1e-4:
            continue
        if not commands:
            commands.append(("M", *_point(segment.start())))
        if isinstance(segment, Line):
            commands.append(("L", *_point(segment.end())))
        elif isinstance(segment, Cubic):
            p = segment.p[0]
            commands.append(("C", *(float(value) for value in p[1:].reshape(-1))))
        elif isinstance(segment, Arc):
            sweep = float(segment.sweep[0])
            radius = float(segment.radius[0])
            if radius * (1 - math.cos(min(abs(sweep), math.pi) / 2)) < 1e-3:
                commands.append(("L", *_point(segment.end())))
                continue
            parts = max(1, math.ceil(abs(sweep) / (2 * math.pi / 3) - 1e-9))
            for part in range(1, parts + 1):
                end = segment.end() if part == parts else segment.at(part / parts)
                commands.append(("A", radius, False, sweep > 0, *_point(end)))
        else:
            raise TypeError(f"no drawing for a {type(segment).__name__}")
    return tuple(commands)


def _point(p: Floats) -> tuple[float, float]:
    return float(p[0, 0]), float(p[0, 1])


def mirrored(commands: Commands, p: Place, q: Place) -> Commands:
    """The commands as seen in a mirror standing on the line from p to q."""
    length = math.hypot(q[0] - p[0], q[1] - p[1])
    ux, uy = (q[0] - p[0]) / length, (q[1] - p[1]) / length

    def image(x: float, y: float) -> tuple[float, float]:
        along = (x - p[0]) * ux + (y - p[1]) * uy
        return 2 * (p[0] + along * ux) - x, 2 * (p[1] + along * uy) - y

    return mapped(commands, image, flips=True)


def mapped(commands: Commands, image: Callable[[float, float], tuple[float, float]], flips: bool = False) -> Commands:
    """The commands with every place carried; arcs keep their radius, and with `flips` change their sense."""
    out = []
    for command in commands:
        kind, values = command[0], command[1:]
        if kind == "A":
            radius, large, clockwise, x, y = values
            out.append(("A", radius, large, clockwise != flips, *image(x, y)))
        else:
            pairs = (image(values[k], values[k + 1]) for k in range(0, len(values), 2))
            out.append((kind, *(value for pair in pairs for value in pair)))
    return tuple(out)


def carried(commands: Commands, origin: Place, turn: float) -> Commands:
    """The commands moved so that `origin` comes to (0, 0), and turned about it by so many radians, clockwise on the paper."""
    c, s = math.cos(turn), math.sin(turn)

    def image(x: float, y: float) -> tuple[float, float]:
        x, y = x - origin[0], y - origin[1]
        return x * c - y * s, x * s + y * c

    return mapped(commands, image)


def scaled(commands: Commands, origin: Place, factor: float) -> Commands:
    """The commands moved so that `origin` comes to (0, 0), and drawn so many times as large."""
    larger = mapped(commands, lambda x, y: ((x - origin[0]) * factor, (y - origin[1]) * factor))
    return tuple((command[0], command[1] * factor, *command[2:]) if command[0] == "A" else command for command in larger)


def shifted(item: AnyItem, dx: float, dy: float) -> AnyItem:
    """The item, or a group with all that is in it, moved by (dx, dy)."""
    if isinstance(item, Group):
        return item._replace(items=tuple(shifted(inner, dx, dy) for inner in item.items))
    if isinstance(item, Text):
        return item._replace(x=item.x + dx, y=item.y + dy)
    return item._replace(commands=mapped(item.commands, lambda x, y: (x + dx, y + dy)))


# ------------------------------------------------------------------------------------------ room and boxes


def polylines(commands: Commands, steps: int = 32) -> list[Floats]:
    """Points (K, 2) along each run of the commands, curves in `steps` chords."""
    runs: list[list[Floats]] = []
    for kind, some in groupby(commands, itemgetter(0)):
        if kind == "M":
            runs += [[np.array([command[1:]], dtype=float)] for command in some]
        elif kind == "L":
            runs[-1].append(np.array([command[1:] for command in some], dtype=float))
        elif kind == "Z":
            runs[-1].append(runs[-1][0][:1])
        else:
            for command in some:
                last = runs[-1][-1][-1]
                runs[-1].append(_cubic_points(last, command, steps) if kind == "C" else _arc_points(last, command, steps))
    return [np.concatenate(parts) for parts in runs]


def _cubic_points(start: Floats, command: Command, steps: int) -> Floats:
    handles = np.array([start, command[1:3], command[3:5], command[5:7]], dtype=float)
    points: Floats = sum((weight * handle for weight, handle in zip(_cubic_weights(steps), handles, strict=True)), start=np.zeros(2))
    return points


@lru_cache(maxsize=8)
def _cubic_weights(steps: int) -> list[Floats]:
    t = (np.arange(1, steps + 1) / steps)[:, None]
    u = 1 - t
    return [u**3, 3 * u * u * t, 3 * u * t * t, t**3]


def _arc_points(start: Floats, command: Command, steps: int) -> Floats:
    _, radius, large, clockwise, x, y = command
    end = np.array([x, y])
    half = (end - start) / 2
    chord = math.hypot(half[0], half[1])
    rise = math.sqrt(max(0.0, radius * radius - chord * chord))
    # Seen along the chord the centre of a short clockwise arc (y down) lies to the right.
    toward = 1.0 if clockwise != large else -1.0
    centre = (start + end) / 2 + toward * rise * np.array([-half[1], half[0]]) / chord
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    sweep = (math.atan2(y - centre[1], x - centre[0]) - first) % (2 * math.pi)
    if not clockwise:
        sweep -= 2 * math.pi
    angles = first + sweep * np.arange(1, steps + 1) / steps
    points: Floats = centre + radius * np.stack([np.cos(angles), np.sin(angles)], axis=-1)
    return points


def text_plate(text: Text) -> Plate:
    """The plate that a `Text` covers."""
    width = text_width(text.words, text.size, text.weight)
    along = {"start": width / 2, "middle": 0.0, "end": -width / 2}[text.anchor]
    down = (DROP - RISE) / 2 * text.size
    turn = math.radians(text.turn_degrees)
    c, s = math.cos(turn), math.sin(turn)
    return Plate(text.x + along * c - down * s, text.y + along * s + down * c, width, (RISE + DROP) * text.size, turn)


def each_item(items: Iterable[Item]) -> Iterator[Leaf]:
    """All strokes and words, groups opened, in order."""
    for item in items:
        if isinstance(item, Group):
            yield from each_item(item.items)
        else:
            yield item


def box_of(items: Iterable[Item]) -> Box:
    """The box of all strokes, with the width of their lines, and of all words, by their estimated size."""
    low, high = np.array([np.inf, np.inf]), np.array([-np.inf, -np.inf])
    for item in each_item(items):
        if isinstance(item, Text):
            corners, edge = text_plate(item).corners(), 0.0
        else:
            runs = polylines(item.commands)
            if not runs:
                continue
            corners, edge = np.concatenate(runs), LINES[item.line].width / 2
        low = np.minimum(low, corners.min(axis=0) - edge)
        high = np.maximum(high, corners.max(axis=0) + edge)
    if not (np.isfinite(low).all() and np.isfinite(high).all()):
        raise ValueError("nothing to draw, or a place that is not known")
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])
