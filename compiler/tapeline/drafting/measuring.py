"""Operations that measure what has been drawn: lengths, widths at a level, areas, and the paths of marks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ..geometry import meet, straight
from ..geometry.arrays import Floats, Mask
from ..geometry.dual import plain
from ..geometry.path import Path
from ..geometry.plane import angle_between, choose
from ..geometry.segments import Line
from ..geometry.stations import stations
from ..geometry.swept import swept_area
from ..meaning.kinds import ANGLE, AREA, EDGE, LENGTH, NUMBER, PATH, POINT
from ..source.quantity import at_least, at_most, show_length
from .darts import opening_at
from .guides import Guide, path_of
from .inner import inner_opening
from .level_lines import BESIDE, leaves
from .operations import operation
from .pattern import Edge
from .steps import Run

HAIR = 1e-6  # mm; lengths and depths nearer than this are one


@operation(takes=(EDGE,), gives=LENGTH, intervals=straight.edge_length)
def edge_length(run: Run, edge: Edge) -> Floats:
    return edge.open_length()


@operation(takes=(EDGE,), gives=LENGTH, intervals=straight.edge_closed_length)
def edge_closed_length(run: Run, edge: Edge) -> Floats:
    return edge.closed_length()


@operation(takes=(PATH,), gives=LENGTH)
def path_length(run: Run, drawn: Guide | Path) -> Floats:
    return path_of(drawn).length()


@operation(takes=(LENGTH, LENGTH, LENGTH), more=LENGTH, gives=LENGTH, sampled="which darts cross a level may differ from body to body")
def width_before_darts(run: Run, width: Floats, taken: Floats, y: Floats, *darts: Floats) -> Floats:
    """A net width with the whole intake added of every dart (intake, edge y, point y) that crosses the level."""
    total = width + taken
    for intake, edge_y, point_y in zip(darts[0::3], darts[1::3], darts[2::3], strict=True):
        crosses = ((y - edge_y) * (y - point_y) < 0.0) | (np.abs(y - edge_y) < HAIR)
        total = total + np.where(crosses, intake, 0.0)
    return total


@operation(takes=(LENGTH, LENGTH, LENGTH, EDGE, EDGE), named={"inner": POINT}, gives=LENGTH)
def level_width(
    run: Run,
    side: Floats,
    centre: Floats,
    y: Floats,
    upper: Edge,
    lower: Edge,
    *,
    inner: Sequence[Floats],
    dipped: tuple[bool, bool],
    level: str,
    piece: str,
) -> Floats:
    """What is left at a level between centre and side when the darts of both edges, and those within, are sewn.

    Of edges that are `dipped` neither may come so far that the level runs out through it.
    """
    width = side - centre - sum(opening_at(dart, y) for edge in (upper, lower) for dart in edge.darts) - _within(run, y, inner)
    for edge, sense in ((upper, 1.0), (lower, -1.0)) if any(dipped) else ():
        reach = np.max([(sense * plain(strip.flatten("coarse"))[..., 1]).max(axis=1) for strip in edge.strips], axis=0)
        cuts = sense * plain(y) < reach - BESIDE
        leaves(run, cuts, level, piece, edge.name)
        width = np.where(cuts, np.nan, width)
    return width


def _within(run: Run, y: Floats, points: Sequence[Floats]) -> Floats:
    """What double-pointed darts take out at a level; each is four points: upper, near, lower, far."""
    return sum((inner_opening(points[k : k + 4], y) for k in range(0, len(points), 4)), np.zeros(run.n))


def _crossings(edge: Edge, y: Floats, hair: float) -> list[Floats]:
    """Where an edge crosses y + hair; one drawn along the level and then bent by its darts counts as it was drawn."""
    drawn = meet.crossings_at_level(edge.stitch_path(), y + hair)
    if not edge.darts:
        return [drawn]
    corners = [edge.start(), *(at for dart in edge.darts for at in (dart.near_foot, dart.point, dart.far_foot)), edge.end()]
    feet = [edge.start(), *(at for dart in edge.darts for at in (dart.near_foot, dart.far_foot)), edge.end()]
    along = np.all([np.abs(at[:, 1] - y) <= BESIDE for at in feet], axis=0)[:, None]
    chords = Path(tuple(Line(a, b) for a, b in zip(corners, corners[1:], strict=False)))
    return [np.where(along, np.nan, drawn), np.where(along, meet.crossings_at_level(chords, y + hair), np.nan)]


@operation(takes=(EDGE, EDGE, NUMBER), gives=ANGLE)
def edge_corner(run: Run, before: Edge, after: Edge, turn: Floats) -> Floats:
    """The angle inside the piece between two edges, the second of which begins where the first ends."""
    return corner_of(before, after, turn)


def corner_of(before: Edge, after: Edge, turn: Floats) -> Floats:
    """The same (N,) in radians; more than half a turn in a hollow."""
    return np.pi - turn * angle_between(before.strips[-1].end_direction(), after.strips[0].start_direction())


@operation(takes=(EDGE,), more=EDGE, gives=AREA)
def piece_area(run: Run, *edges: Edge) -> Floats:
    """The net area of a piece, open darts not counted: exact for lines, arcs and cubics."""
    return np.abs(sum(swept_area(edge.stitch_path()) for edge in edges))


# ------------------------------------------------------------ the paths of marks


@operation(takes=(EDGE,), gives=PATH)
def dart_channel(run: Run, edge: Edge, *, name: str) -> Path:
    """The sewn line of a dart, from the edge to its point, on the side that the dart is pressed to."""
    dart = next(dart for dart in edge.darts if dart.name == name)
    return dart.near_leg if dart.press == "near" else dart.far_leg


@operation(takes=(EDGE,), gives=PATH)
def edge_sewn(run: Run, edge: Edge) -> Path:
    return Path.join(*edge.strips)


@operation(takes=(PATH, LENGTH), gives=LENGTH)
def bone_length(run: Run, drawn: Guide | Path, clear: Floats, *, name: str) -> Floats:
    length = path_of(drawn).length() - 2.0 * clear
    run.fail(
        length <= 0.0,
        "D430",
        f"There is no room for the {name}",
        expected=lambda i: f"a channel longer than {at_least(2.0 * clear[i], run.unit)}",
        found=lambda i: f"a channel of {show_length(length[i] + 2.0 * clear[i], run.unit)}",
        suggestion="Keep the bone less far from the ends, or lengthen the dart.",
    )
    return np.where(length <= 0.0, np.nan, length)


@operation(takes=(EDGE, LENGTH, LENGTH), gives=PATH)
def edge_between_levels(run: Run, drawn: Edge, y0: Floats, y1: Floats, *, edge: str) -> Path:
    """The part of an edge between two depths, held to its ends, from the first to the second."""
    path = Path.join(*drawn.strips)
    along = []
    for y in (y0, y1):
        level = np.tile(np.array([1.0, 0.0]), (run.n, 1))
        s, _ = meet.path_line(path, np.stack([np.zeros(run.n), y], axis=1), level)
        ends = np.stack([path.start()[:, 1], path.end()[:, 1]], axis=1)
        nearer = np.where(np.abs(ends[:, 0] - y) <= np.abs(ends[:, 1] - y), 0.0, path.length())
        along.append(np.where(np.isnan(s), nearer, s))
    low, high = np.minimum(*along), np.maximum(*along)
    run.fail(
        high - low <= HAIR,
        "D431",
        f"Nothing of the edge {edge} lies between these levels",
        expected="two levels that the edge passes",
        found=lambda i: f"{show_length(y0[i], run.unit)} and {show_length(y1[i], run.unit)} below the first level",
        suggestion="Name two levels that the edge runs between.",
    )
    between = path.part(np.nan_to_num(low), np.nan_to_num(high))
    backward = run.alike((along[1] <= along[0]).astype(int), np.isfinite(along[0] + along[1]))
    return between.reversed() if backward else between


@operation(takes=(LENGTH,), more=EDGE, gives=PATH)
def line_across(run: Run, y: Floats, *edges: Edge, told: bool) -> Path:
    """A level from where it enters a piece to where it leaves it, darts passed over, from left to right.

    Read a little above and a little below, and the wider taken, as a level is.  A level beside the piece is an error if `told`.
    """
    ends: list[Floats] = [np.full(run.n, np.nan), np.full(run.n, np.nan)]
    for hair in (-BESIDE, BESIDE):
        crossings = np.concatenate([part for edge in edges for part in _crossings(edge, y, hair)], axis=1)
        left, right = np.fmin.reduce(crossings, axis=1), np.fmax.reduce(crossings, axis=1)
        wider = ~(right - left <= ends[1] - ends[0])
        ends = [np.where(wider, side, end) for side, end in zip((left, right), ends, strict=True)]
    left, right = ends
    known = np.all([edge.stitch_path().known() for edge in edges], axis=0)
    run.fail(
        ~(right - left > HAIR) & np.isfinite(y) & known & told,
        "D432",
        "The piece has no cloth at this level",
        expected="a level that crosses the piece",
        found=lambda i: f"{show_length(y[i], run.unit)} below the first level, where it has none",
        suggestion="Name a level between the upper and the lower end of the piece.",
    )
    return Path((Line(np.stack([left, y], axis=1), np.stack([right, y], axis=1)),))


@operation(takes=(EDGE, LENGTH), gives=LENGTH)
def notch_place(run: Run, drawn: Edge, distance: Floats, *, backward: bool, edge: str) -> Floats:
    """How far along the sewn edge a notch lies, from its start."""
    length = drawn.closed_length()
    run.fail(
        (distance < 0.0) | (distance > length),
        "D412",
        f'This lies beyond the end of "{edge}"',
        expected=lambda i: f"zero to {at_most(length[i], run.unit)}",
        found=lambda i: show_length(distance[i], run.unit),
        suggestion="Measure a shorter way.",
    )
    return np.where((distance < 0.0) | (distance > length), np.nan, length - distance if backward else distance)


def on_strips(edge: Edge, s: Floats) -> tuple[Floats, Floats]:
    """Place and direction (N, 2) on the paper of a place so far along the sewn edge."""
    return on_strips_of([(edge, s)])[0]


def on_strips_of(asked: Sequence[tuple[Edge, Floats]]) -> list[tuple[Floats, Floats]]:
    """The same of many places, each with its edge; all edges are of the same bodies."""
    answers = [(np.full((len(s), 2), np.nan), np.full((len(s), 2), np.nan)) for _, s in asked]
    parts: list[tuple[int, Mask]] = []
    on: list[tuple[Path, Floats]] = []
    for number, (edge, s) in enumerate(asked):
        before, known = np.zeros(len(s)), np.zeros(len(s), dtype=bool)
        for strip in edge.strips:
            length = strip.length()
            here = (s >= before - HAIR) & ((s <= before + length) | (strip is edge.strips[-1])) & ~known
            if here.any():
                parts.append((number, here))
                on.append((strip, np.clip(np.nan_to_num(s - before), 0.0, length)))
                known |= here
            before = before + length
    for (number, here), (point, direction) in zip(parts, stations(on), strict=True):
        points, directions = answers[number]
        answers[number] = choose(here, point, points), choose(here, direction, directions)
    return answers
