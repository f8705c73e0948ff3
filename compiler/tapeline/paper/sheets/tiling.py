"""A drawing parted into pages that are taped together.

The plane is covered by the tiles of `packing`; a tile becomes a page if a line or a word of a piece lies on it that no
page before it shows.  So no page is blank, and a tile that lies wholly inside a large piece is left out.  A piece is
drawn on the tiles that it spans and on no other, so that no scrap of it strays onto a neighbour's strip.

Pages are joined only where a piece goes on from one to the other.  There the left or upper edge of the later page is
cut away along its trimming line and laid on the line of dashes of the page before, which lies as far inside that page's
edge as the pages overlap; at butt edges the two lines are the edges themselves.  On each joint stand two diamonds with
the joint's number, half on either page.  Every page bears a bar of 100 mm on each axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats
from ..drawing.lettering import Plate, Room, text_width, within
from ..drawing.model import LINES, AnyItem, Box, Group, Leaf, Stroke, Text, carried, each_item, polylines, run, shifted, text_plate
from .packing import Footprint, Frame, Placement, pack, span
from .pdf import page_box

PAD = 1.5  # mm kept free round a piece
DIAMOND = 4.0  # half of a joint mark's height
MARKS_APART = 300.0  # along a joint, at most by half as much again; never fewer than two


class PlacedGroup(NamedTuple):
    """A group in its place on the plane, with the tiles that it spans."""

    group: Group
    box: Box
    rows: tuple[int, int]  # first and last
    columns: tuple[int, int]
    ring: Floats | None  # the cut line, closed; none where it is no piece


class Joint(NamedTuple):
    number: int
    before: tuple[int, int]  # row and column of the page above or to the left
    after: tuple[int, int]
    marks: tuple[tuple[float, float], ...]  # middles of the diamonds, on the plane

    @property
    def upright(self) -> bool:
        """Whether the joint runs up and down, between neighbours in one row."""
        return self.before[0] == self.after[0]


@dataclass(slots=True, eq=False)
class Tiling:
    frame: Frame
    laid: list[PlacedGroup]
    tiles: list[tuple[int, int]]  # row and column of each page, in the order of printing
    joints: list[Joint]
    least: int  # no lay has fewer pages

    def window(self, tile: tuple[int, int]) -> Box:
        x, y = tile[1] * self.frame.across, tile[0] * self.frame.down
        return x, y, x + self.frame.width, y + self.frame.height

    def on(self, tile: tuple[int, int]) -> list[PlacedGroup]:
        return [
            placed
            for placed in self.laid
            if placed.rows[0] <= tile[0] <= placed.rows[1] and placed.columns[0] <= tile[1] <= placed.columns[1]
        ]


def tile_name(tile: tuple[int, int]) -> str:
    """Row and column, counted from 1: 2-3.  No paper size is called so."""
    return f"{tile[0] + 1}-{tile[1] + 1}"


# ------------------------------------------------------------------------------------------------ laying


def lay(groups: Sequence[Group], frame: Frame, first: int = 0, lengths: bool = False, along: bool = False) -> Tiling:
    """The groups packed on tiles.  `along`: the frame is a roll that runs from left to right."""
    shapes, corners = zip(*(shape_of(group) for group in groups), strict=True)
    if along:
        packing = pack([_swapped(shape) for shape in shapes], frame.turned(), first, lengths=lengths)
        places = tuple(Placement(place.y, place.x, -place.quarters % 4) for place in packing.places)
    else:
        packing = pack(shapes, frame, first, lengths=lengths)
        places = packing.places
    laid = []
    for group, shape, (left, top), place in zip(groups, shapes, corners, places, strict=True):
        for _ in range(place.quarters):
            group = quartered(group)
            shape, left, top = shape.turned(1), -top - shape.height, left
        group = shifted(group, place.x - left, place.y - top)
        box = (place.x + PAD, place.y + PAD, place.x + shape.width - PAD, place.y + shape.height - PAD)
        laid.append(
            PlacedGroup(
                group,
                box,
                span(place.y, shape.height, frame.height, frame.down),
                span(place.x, shape.width, frame.width, frame.across),
                _ring(group) if group.piece else None,
            )
        )
    tiles = sorted({tile for placed in laid for tile in _tiles(placed, frame)})
    return Tiling(frame, laid, tiles, _joints(laid, tiles, frame), packing.least)


def quartered(item: AnyItem) -> AnyItem:
    """An item or a group turned by a quarter clockwise on the paper, about (0, 0)."""
    if isinstance(item, Group):
        return item._replace(items=tuple(quartered(inner) for inner in item.items))
    if isinstance(item, Text):
        turn = item.turn_degrees + 90
        return item._replace(x=-item.y, y=item.x, turn_degrees=turn - 360 if turn > 180 else turn)
    return item._replace(commands=carried(item.commands, (0.0, 0.0), math.pi / 2))


def shape_of(group: Group) -> tuple[Footprint, tuple[float, float]]:
    """What a group covers, and where its box begins in its own coordinates."""
    box = page_box(group)
    left, top = box[0] - PAD, box[1] - PAD
    width, height = box[2] - box[0] + 2 * PAD, box[3] - box[1] + 2 * PAD
    corner = np.array([left, top])
    runs = tuple(points - corner for points in ink(group))
    rings = (
        [_ring(group)]
        if group.piece
        else [_corners(page_box(part)) for part in group.items if isinstance(part, Group) and part.name != "bars"]
    )
    return Footprint(width, height, tuple(ring - corner for ring in rings), runs), (left, top)


def _corners(box: Box) -> Floats:
    left, top, right, low = box
    return np.array([[left, top], [right, top], [right, low], [left, low]])


def _swapped(shape: Footprint) -> Footprint:
    return Footprint(shape.height, shape.width, tuple(ring[:, ::-1] for ring in shape.rings), tuple(run[:, ::-1] for run in shape.runs))


def _ring(group: Group) -> Floats:
    """The outline of a piece: its cut line, where it lies on the fold closed along that; of a foundation its edges in a row."""
    strokes = [item for item in each_item(group.items) if isinstance(item, Stroke)]
    cut = [stroke for stroke in strokes if stroke.line == "cut"]
    edges = cut or [stroke for stroke in strokes if stroke.line in ("foundation", "fold", "centre")]
    return np.concatenate([points for stroke in edges for points in polylines(stroke.commands)])


def ink(group: Group) -> list[Floats]:
    """All lines in fine chords, and the edges of all words."""
    runs = []
    for item in each_item(group.items):
        if isinstance(item, Text):
            corners = text_plate(item).corners()
            runs.append(np.concatenate([corners, corners[:1]]))
        else:
            runs += polylines(item.commands)
    return runs


def _tiles(placed: PlacedGroup, frame: Frame) -> list[tuple[int, int]]:
    """The tiles of a group's span that show a part of its ink which no tile before them shows."""
    runs = [points for points in ink(placed.group) if len(points) > 1]
    segments = np.concatenate([np.concatenate([points[:-1], points[1:]], axis=1) for points in runs])
    (top, low), (left, right) = placed.rows, placed.columns
    edge = LINES["cut"].width / 2
    tiles = []
    for row in range(top, low + 1):
        for column in range(left, right + 1):
            new = (
                column * frame.across + frame.overlap - edge if column > left else -math.inf,
                row * frame.down + frame.overlap - edge if row > top else -math.inf,
                column * frame.across + frame.width - edge if column < right else math.inf,
                row * frame.down + frame.height - edge if row < low else math.inf,
            )
            if _meets(segments, new):
                tiles.append((row, column))
    return tiles


def _meets(segments: Floats, box: Box) -> bool:
    """Whether any of the segments (S, 4) passes through a box."""
    enter, leave = np.zeros(len(segments)), np.ones(len(segments))
    for axis in (0, 1):
        start, way = segments[:, axis], segments[:, axis + 2] - segments[:, axis]
        for bound, sign in ((box[axis], 1.0), (box[axis + 2], -1.0)):
            if not math.isfinite(bound):
                continue
            gap = sign * (start - bound)  # negative outside
            rate = sign * way
            with np.errstate(divide="ignore", invalid="ignore"):
                t = -gap / rate
            enter = np.where(rate > 0, np.maximum(enter, t), enter)
            leave = np.where(rate < 0, np.minimum(leave, t), leave)
            leave = np.where((rate == 0) & (gap < 0), -1.0, leave)
    return bool((enter < leave).any())


# ------------------------------------------------------------------------------------------------ joints


def _joints(laid: Sequence[PlacedGroup], tiles: Sequence[tuple[int, int]], frame: Frame) -> list[Joint]:
    """The joints that a piece goes across, with places for their marks clear of the drawing where there are any."""
    printed, room = set(tiles), Room()
    reach = np.max([placed.box[2:] for placed in laid], axis=0)
    for placed in laid:
        for points in ink(placed.group):
            room.take_run(points)
    joints: list[Joint] = []
    for row, column in tiles:
        for after in ((row, column + 1), (row + 1, column)):
            if after not in printed:
                continue
            upright = after[0] == row
            across = np.array([0.0, 1.0] if upright else [1.0, 0.0])
            start = np.array([after[1] * frame.across, after[0] * frame.down])
            length = min(frame.height, reach[1] - start[1]) if upright else min(frame.width, reach[0] - start[0])
            points = start + np.arange(1.0, length, 2.0)[:, None] * across
            crossed = np.zeros(len(points), dtype=bool)
            for placed in laid:
                spans = placed.rows, placed.columns
                if placed.ring is not None and all(
                    first <= at <= last for tile in ((row, column), after) for at, (first, last) in zip(tile, spans, strict=True)
                ):
                    crossed |= within(points, placed.ring)
            if crossed.any():
                number = len(joints) + 1
                count = max(2, round(length / MARKS_APART))
                marks = tuple(_mark_place(room, start, across, length / count, k, number) for k in range(count))
                joints.append(Joint(number, (row, column), after, marks))
    return joints


def _mark_place(room: Room, start: Floats, along: Floats, apart: float, k: int, number: int) -> tuple[float, float]:
    """The middle of mark `k`, near the middle of its stretch of the joint: free of the drawing, if it can be."""
    upright = bool(along[1])
    wide = 2 * (DIAMOND + 1.5 + text_width(str(number), 3.0)) if upright else max(2 * DIAMOND, text_width(str(number), 3.0))
    high = 2 * DIAMOND if upright else 2 * (DIAMOND + 4.5)
    parts = 0.5 + np.array(sorted(range(-12, 13), key=lambda step: (abs(step), step))) * 0.03
    places = start + ((k + parts) * apart)[:, None] * along
    free = room.free(places, wide, high)
    place = places[int(np.argmax(free))] if free.any() else places[0]
    room.take_plate(Plate(float(place[0]), float(place[1]), wide, high))
    return float(place[0]), float(place[1])


def joint_marks(joint: Joint) -> list[Leaf]:
    items: list[Leaf] = []
    for x, y in joint.marks:
        corners = [(x, y - DIAMOND), (x + DIAMOND, y), (x, y + DIAMOND), (x - DIAMOND, y)]
        items.append(Stroke(run(corners, closed=True), "rule", "joint mark"))
        # A line through the middle, so that a shift of a hair shows.
        cross = [(x - DIAMOND, y), (x + DIAMOND, y)] if joint.upright else [(x, y - DIAMOND), (x, y + DIAMOND)]
        items.append(Stroke(run(cross), "rule", "joint mark"))
        number = str(joint.number)
        if joint.upright:
            items += [Text(x - DIAMOND - 1, y + 1, 3.0, number, "end"), Text(x + DIAMOND + 1, y + 1, 3.0, number)]
        else:
            items += [Text(x, y - DIAMOND - 1, 3.0, number, "middle"), Text(x, y + DIAMOND + 3.4, 3.0, number, "middle")]
    return items
