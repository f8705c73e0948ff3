"""The small drawing beside the steps: the net piece with its darts, and every point with the name it has in the steps.

Drawn to fit, never to measure.  Names are set beside their points where they touch no line and no other name; where that
fails, further off, with a thin line to the point.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np

from ...drafting.pattern import Piece
from ...geometry.arrays import Floats
from ..drawing.lettering import DROP, RISE, Room, text_width
from ..drawing.model import Drawing, Leaf, Stroke, Text, box_of, polylines, run, scaled, shifted, trace
from .section import HandSection

WIDE, HIGH = 88.0, 150.0  # mm that the lines may take
WHOLE = 176.0  # mm that the drawing may take with its names
MARGIN = 1.0
SIZE = 2.3  # mm, of the names
ARM = 0.7  # mm, half a point's cross
REACHES = (1.1, 1.8, 2.6, 3.6, 5.0, 7.0, 9.5, 12.0, 15.0, 19.0, 24.0, 30.0, 36.0, 44.0, 54.0)  # mm from a point to its name
CLOSE = 1.3  # mm about a point, within which a line to it need not keep clear
LEAD = 2.6  # mm; a name further off has a line to its point
ANGLES = [side * k * math.pi / 12 for k in (0, 1, 2, 11, 12, 10, 3, 9, 6, 5, 7, 4, 8) for side in (1, -1)]  # rather beside


def piece_drawing(section: HandSection, index: int) -> Drawing:
    """One section of a `HandDraft` as a drawing with its own size on the page."""
    say = section.rule.house.say
    lines = [*_lines(section.piece, index)]
    places = np.array([*section.true.values()])
    low, high = places.min(axis=0), places.max(axis=0)
    for stroke in lines:
        box = box_of([stroke])
        low, high = np.minimum(low, box[:2]), np.maximum(high, box[2:])
    scale = min(WIDE / max(high[0] - low[0], 1.0), HIGH / max(high[1] - low[1], 1.0), 1.0)
    while True:
        small = [stroke._replace(commands=scaled(stroke.commands, low, scale)) for stroke in lines]
        points = {name: (place - low) * scale for name, place in section.true.items()}
        items = [*small, *_named(points, small)]
        left, top, right, foot = box_of(items)
        if right - left <= WHOLE or scale < 1e-3:
            break
        scale *= 0.85
    moved = tuple(shifted(item, MARGIN - left, MARGIN - top) for item in items)
    return Drawing(
        right - left + 2 * MARGIN,
        foot - top + 2 * MARGIN,
        moved,
        say("{title} with its points", title=section.rule.house.call(section.title)),
        say(
            "Small drawing of {title}, not to scale; points named as in the steps: {list}.",
            title=section.rule.house.call(section.title),
            list=", ".join(points),
        ),
    )


def _lines(piece: Piece, index: int) -> Iterator[Stroke]:
    for edge in piece.edges:
        commands = tuple(command for strip in edge.strips for command in trace(strip, index))
        if commands:
            yield Stroke(commands, "sign", edge.name)
    for dart in piece.darts():
        legs = trace(dart.near_leg, index) + trace(dart.far_leg, index)
        if legs:
            yield Stroke(legs, "dart", dart.name)
    for inner in piece.inner:
        corners = [tuple(corner[index].tolist()) for corner in inner.corners()]
        if np.isfinite(corners).all():
            yield Stroke(run(corners, closed=True), "dart", inner.name)
    for mark in piece.marks:
        commands = trace(mark.path, index)
        if commands:
            yield Stroke(commands, "construction", mark.name)


def _named(points: dict[str, Floats], lines: Sequence[Stroke]) -> list[Leaf]:
    """Crosses at the points, and their names."""
    room = Room()
    for stroke in lines:
        for line in polylines(stroke.commands):
            room.take_run(line)
    items: list[Leaf] = []
    for x, y in points.values():
        for dx, dy in ((ARM, 0.0), (0.0, ARM)):
            arm = run([(x - dx, y - dy), (x + dx, y + dy)])
            items.append(Stroke(arm, "frame", "point"))
            room.take_run(np.array([command[1:] for command in arm]))
    # What a line to a point may not meet, as (centre x, centre y, half width, half height): names, and the other points.
    plates = [np.array([x, y, 0.5, 0.5]) for x, y in points.values()]
    leaders: list[Floats] = []
    order = sorted(points, key=lambda name: (-_crowd(points, name), name))
    for name in order:
        place = points[name]
        width, height = text_width(name, SIZE), (RISE + DROP) * SIZE
        # At last a line to the point may cross another; a name never lies on a line.
        met = np.array(plates), np.array(leaders).reshape(-1, 2, 2)
        tries = (_free(room, place, width, height, met[0], others) for others in (met[1], met[1][:0]))
        centre, reach = next((spot for spot in tries if spot), None) or _beyond(room, place, width, height, *met)
        block = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1], [-1, -1]]) * np.array([width, height]) / 2 + centre
        room.take_run(block)
        room.take_run(block[[0, 2]])
        plates.append(np.array([*centre, width / 2, height / 2]))
        if reach > LEAD:
            leader = _leader(place, centre, width, height)
            leaders.append(leader)
            items.append(Stroke(run(leader), "leader", "leader"))
            room.take_run(leader)
        items.append(Text(float(centre[0]), float(centre[1] + (RISE - DROP) / 2 * SIZE), SIZE, name, "middle"))
    return items


def _beyond(room: Room, place: Floats, width: float, height: float, plates: Floats, leaders: Floats) -> tuple[Floats, float]:
    """A place beside everything, as near to the point's height as it is free; a line to it that meets no name is sought first."""
    right = float((plates[:, 0] + plates[:, 2]).max()) + 2.0 + width / 2
    left = float((plates[:, 0] - plates[:, 2]).min()) - 2.0 - width / 2
    steps = np.array(sorted(range(-200, 201), key=abs)) * (height + 0.8)
    centres = np.array([(x, place[1] + step) for step in steps for x in (right, left)])
    free = [centres[k] for k in np.flatnonzero(room.free(centres, width, height, gap=0.35))]
    best = next((spot for spot in free if _clear(_leader(place, spot, width, height), plates, leaders)), free[0])
    return best, float(abs(best[0] - place[0]) - width / 2)


def _crowd(points: dict[str, Floats], name: str) -> int:
    return sum(np.hypot(*(place - points[name])) < 12.0 for place in points.values())


def _leader(place: Floats, centre: Floats, width: float, height: float) -> Floats:
    half = np.array([width, height]) / 2
    return np.stack([np.clip(place, centre - half, centre + half), place])


def _clear(leader: Floats, plates: Floats, leaders: Floats) -> bool:
    """Whether a line to a point meets no name, no other point and no other such line; what lies close about its own point is let be.

    `plates` (M, 4) are centres and half sides, `leaders` (L, 2, 2).
    """
    places = leader[0] + (leader[1] - leader[0]) * np.linspace(0.0, 1.0, 40)[:, None]
    places = places[np.hypot(*(places - leader[1]).T) > CLOSE]
    if (np.abs(places[:, None] - plates[:, :2]) < plates[:, 2:] + 0.2).all(axis=2).any():
        return False
    starts, ends = leaders[:, 0], leaders[:, 1]
    p, q = leader
    apart = _side(p, q, starts) * _side(p, q, ends) < 0
    return not bool((apart & (_side(starts, ends, p) * _side(starts, ends, q) < 0)).any())


def _side(p: Floats, q: Floats, r: Floats) -> Floats:
    """On which side of the lines from p to q the places r lie, by the sign."""
    side: Floats = (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1]) - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
    return side


def _free(room: Room, place: Floats, width: float, height: float, plates: Floats, leaders: Floats) -> tuple[Floats, float] | None:
    """(centre, reach) of the nearest free plate for a name."""
    for reach in REACHES:
        centres = np.array(
            [place + np.array([math.cos(angle) * (reach + width / 2), math.sin(angle) * (reach + height / 2)]) for angle in ANGLES]
        )
        for k in np.flatnonzero(room.free(centres, width, height, gap=0.35)):
            if reach <= LEAD or _clear(_leader(place, centres[k], width, height), plates, leaders):
                return centres[k], reach
    return None
