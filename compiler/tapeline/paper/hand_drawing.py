"""The small drawing beside the steps: the net piece with its darts, and every point with the name it has in the steps.

Drawn to fit, never to measure.  Names are set beside their points where they touch no line and no other name; where that
fails, further off, with a thin line to the point.
"""

from __future__ import annotations

import math

import numpy as np

from .drawing import Drawing, Stroke, Text, box_of, polylines, run, shifted, trace
from .lettering import DROP, RISE, Room, text_width

WIDE, HIGH = 84.0, 118.0  # mm that the lines may take
SIZE = 2.3  # mm, of the names
ARM = 0.7  # mm, half a point's cross
NEAR = (1.1, 1.8, 2.6, 3.6, 5.0, 7.0, 9.5)
LEAD = 2.6  # mm; a name further off has a line to its point
FAR = (*NEAR, 12.0, 15.0, 19.0, 24.0, 30.0)
ANGLES = [k * math.pi / 8 for k in (0, 1, 15, 2, 14, 8, 7, 9, 6, 10, 4, 12, 3, 13, 5, 11)]


def piece_drawing(section, index: int) -> Drawing:
    """One section of a `HandDraft` as a drawing with its own size on the page."""
    lines = [*_lines(section.piece, index)]
    places = np.array([*section.true.values()])
    low, high = places.min(axis=0), places.max(axis=0)
    for stroke in lines:
        box = box_of([stroke])
        low, high = np.minimum(low, box[:2]), np.maximum(high, box[2:])
    scale = min(WIDE / max(high[0] - low[0], 1.0), HIGH / max(high[1] - low[1], 1.0), 1.0)
    items: list = [stroke._replace(commands=_scaled(stroke.commands, low, scale)) for stroke in lines]
    points = {name: (place - low) * scale for name, place in section.true.items()}
    items += _named(points, items)
    left, top, right, foot = box_of(items)
    margin = 1.0
    moved = tuple(shifted(item, margin - left, margin - top) for item in items)
    return Drawing(right - left + 2 * margin, foot - top + 2 * margin, moved, f"{section.title} with its points",
                   f"Small drawing of {section.title}, not to scale; points named as in the steps: {', '.join(points)}.")


def _lines(piece, index: int):
    for edge in piece.edges:
        commands = tuple(command for strip in edge.strips for command in trace(strip, index))
        if commands:
            yield Stroke(commands, "sign", edge.name)
    for dart in piece.darts():
        legs = trace(dart.near_leg, index) + trace(dart.far_leg, index)
        if legs:
            yield Stroke(legs, "dart", dart.name)
    for dart in piece.inner:
        corners = [tuple(corner[index].tolist()) for corner in dart.corners()]
        if np.isfinite(corners).all():
            yield Stroke(run(corners, closed=True), "dart", dart.name)
    for mark in piece.marks:
        commands = trace(mark.path, index)
        if commands:
            yield Stroke(commands, "construction", mark.name)


def _scaled(commands, low, scale: float):
    out = []
    for command in commands:
        if command[0] == "A":
            _, radius, large, clockwise, x, y = command
            out.append(("A", radius * scale, large, clockwise, (x - low[0]) * scale, (y - low[1]) * scale))
        else:
            out.append((command[0], *((value - low[k % 2]) * scale for k, value in enumerate(command[1:]))))
    return tuple(out)


def _named(points: dict[str, np.ndarray], lines: list) -> list:
    """Crosses at the points, and their names."""
    full, names_only = Room(), Room()
    for stroke in lines:
        for line in polylines(stroke.commands):
            full.take_run(line)
    items = []
    for x, y in points.values():
        for dx, dy in ((ARM, 0.0), (0.0, ARM)):
            arm = run([(x - dx, y - dy), (x + dx, y + dy)])
            items.append(Stroke(arm, "frame", "point"))
            for room in (full, names_only):
                room.take_run(np.array([command[1:] for command in arm]))
    plates: list[np.ndarray] = []  # (centre x, centre y, half width, half height) of each name
    order = sorted(points, key=lambda name: (-_crowd(points, name), name))
    for name in order:
        place = points[name]
        width, height = text_width(name, SIZE), (RISE + DROP) * SIZE
        for room, reaches in ((full, NEAR), (names_only, FAR)):
            plate = _free(room, place, width, height, reaches, plates)
            if plate is not None:
                break
        else:
            plate = (place + np.array([width / 2 + 2.0, 0.0]), 2.0)
        centre, reach = plate
        block = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) * np.array([width, height]) / 2 + centre
        for room in (full, names_only):
            room.take_run(block)
            room.take_run(block[[0, 2]])
        plates.append(np.array([*centre, width / 2, height / 2]))
        if reach > LEAD:
            leader = _leader(place, centre, width, height)
            items.append(Stroke(run(leader), "leader", "leader"))
            for room in (full, names_only):
                room.take_run(leader)
        items.append(Text(float(centre[0]), float(centre[1] + (RISE - DROP) / 2 * SIZE), SIZE, name, "middle"))
    return items


def _crowd(points: dict[str, np.ndarray], name: str) -> int:
    return sum(np.hypot(*(other - points[name])) < 12.0 for other in points.values())


def _leader(place: np.ndarray, centre: np.ndarray, width: float, height: float) -> np.ndarray:
    half = np.array([width, height]) / 2
    return np.stack([np.clip(place, centre - half, centre + half), place])


def _clear(leader: np.ndarray, plates: list[np.ndarray]) -> bool:
    """Whether a line to a point crosses no name."""
    along = leader[0] + (leader[1] - leader[0]) * np.linspace(0.0, 1.0, 40)[:, None]
    return not any((np.abs(along - plate[:2]) < plate[2:] + 0.2).all(axis=1).any() for plate in plates)


def _free(room: Room, place: np.ndarray, width: float, height: float, reaches, plates: list[np.ndarray]):
    """(centre, reach) of the nearest free plate for a name."""
    for reach in reaches:
        centres = np.array([place + np.array([math.cos(angle) * (reach + width / 2), math.sin(angle) * (reach + height / 2)])
                            for angle in ANGLES])
        for k in np.flatnonzero(room.free(centres, width, height, gap=0.35)):
            if reach <= LEAD or _clear(_leader(place, centres[k], width, height), plates):
                return centres[k], reach
    return None
