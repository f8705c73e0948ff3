"""Slashing a piece from edge to edge and spreading it: for flare, for gathers, for pleats.

Each slash runs straight from a place on one edge to a place on another, and parts the piece in two.  The part away from
the corner at which the piece stays is carried off, so that the slash opens by so much at either edge, told straight
across: a turn about the point on the slash's line where the opening would be zero, or a shift where both are equal.
Several slashes are opened from the far one in, so each place is found on cloth that has not moved.

An open slash at an edge is bridged by one fair line.  Where it is hinged the edge keeps its length exactly, with a slight
corner at the hinge.  A pleat is the same opening, kept as a fold: the edge it is laid on has the mouth of a dart there
whose legs are the fold lines, and is sewn without it; the other edge runs straight from fold line to fold line.
"""

from __future__ import annotations

import numpy as np

from ..geometry.dual import plain
from ..geometry.motion import Motion
from ..geometry.outline import area
from ..geometry.path import Path
from ..geometry.plane import distance, square_to, unit
from ..geometry.segments import Line
from ..meaning.kinds import LENGTH, PATH, SHAPE
from ..source.quantity import show_length
from .darts import true_end
from .guides import SAME
from .pattern import Dart
from .shapes import Item, Shape, carried_points, change, corner_of, edges_of, items_of, line_end, slash_at, turn_ring


@change(takes=(SHAPE, LENGTH, LENGTH), more=PATH)
def spread(run, shape: Shape, amount, other_amount, *lines, edges, count, each, stays):
    """Slashes from the first of `edges` to the second, each opened by its share of the amounts (N,) at either edge.

    Without `lines` they stand evenly: at k of `count` + 1 parts of both edges as sewn.  `lines` are guides of slashes.
    """
    widths = [
        np.where(width < 0.0, np.nan, width if shared else width / count)
        for width, shared in zip((amount, other_amount), each, strict=True)
    ]
    least = np.minimum(amount, other_amount)
    run.fail(
        least < 0.0,
        "D487",
        "A piece cannot be spread by less than nothing",
        expected="zero or more",
        found=lambda i: show_length(least[i], run.unit),
        suggestion="Take the cloth away where the piece is drawn.",
    )
    places = (
        _evenly(shape, edges, count)
        if not lines
        else [tuple(line_end(run, shape.edge(name), (line.path.start(), line.path.end()), "slash") for name in edges) for line in lines]
    )
    return _opened(run, shape, places, edges, [widths] * len(places), stays, None)


@change(takes=(SHAPE, LENGTH, LENGTH))
def pleats(run, shape: Shape, depth, other_depth, *between, edges, names, stays, press):
    """Pleats of so deep (N,) laid evenly on the first edge, their folds running to the second.

    `between` are the two places (N,) on the first edge between which they are laid, if not over the whole of it.
    """
    least = np.minimum(depth, other_depth)
    run.fail(
        least <= 0.0,
        "D487",
        "A pleat has some depth",
        expected="more than zero",
        found=lambda i: show_length(least[i], run.unit),
        suggestion="Give the depth of one pleat, folded.",
    )
    widths = [np.where(width <= 0.0, np.nan, 2.0 * width) for width in (depth, other_depth)]
    places = _evenly(shape, edges, len(names), between)
    return _opened(run, shape, places, edges, [widths] * len(places), stays, (names, press))


def _evenly(shape: Shape, edges, count: int, between=()):
    """Places on both edges of `count` slashes; the edges run opposite ways round, so the second is counted from its end."""
    lengths = [shape.edge(name).closed_length() for name in edges]
    low, high = (np.minimum(*between), np.maximum(*between)) if between else (np.zeros_like(lengths[0]), lengths[0])
    places = [low + (high - low) * k / (count + 1) for k in range(1, count + 1)]
    return [(place, lengths[1] * (1.0 - place / lengths[0])) for place in places]


def _opened(run, shape: Shape, places, edges, widths, stays: str, folds) -> Shape:
    ring = items_of(shape)
    first_edge = ring[0].edge
    points = dict(shape.points)
    names = [item.edge for item in ring]
    # Of several slashes, the one farthest from the corner that stays is opened first.
    ahead = (names.index(edges[0]) - names.index(stays)) % len(names) < (names.index(edges[1]) - names.index(stays)) % len(names)
    order = sorted(range(len(places)), key=lambda k: _first_known(places[k][0]), reverse=not ahead)
    for number in order:
        ring, points = _slashed(
            run, ring, points, places[number], edges, widths[number], stays, None if folds is None else (folds[0][number], folds[1])
        )
    return Shape(edges_of(run, turn_ring(ring, corner_of(ring, first_edge))), points)


def _first_known(values) -> float:
    known = plain(values)[np.isfinite(values)]
    return float(known[0]) if len(known) else 0.0


def _slashed(run, ring, points, place, edges, widths, stays, fold):
    """One slash opened: the ring with both parts, gaps or the mouth of a pleat between them."""
    marks = []
    for edge, s in zip(edges, place, strict=True):
        ring, k = slash_at(run, ring, edge, s, "a slash", "Set fewer slashes, or draw their lines.")
        marks.append(ring[k].path)
    at = [next(k for k, item in enumerate(ring) if item.path is mark) for mark in marks]
    count = len(ring)
    arc = [(at[0] + k) % count for k in range((at[1] - at[0]) % count)]  # from the slash on the first edge to the second
    onward = corner_of(ring, stays) not in arc
    moving = arc if onward else [k for k in range(count) if k not in arc]
    ends = [mark.start() for mark in marks]
    outline = Path.join(*(item.path for item in ring if item.path is not None)).flatten("coarse")
    motion = _opening(ends, widths, np.sign(area(outline)) * (1.0 if onward else -1.0))
    points = carried_points(points, ring, moving, [], motion)
    ring = [item.moved(motion) if k in moving else item for k, item in enumerate(ring)]
    result = []
    for k, item in enumerate(ring):
        result += [_between(run, ring, k, number, widths, fold, ends, motion, onward) for number in (0, 1) if k == at[number]]
        result.append(item)
    return [item for item in result if item is not None], points


def _opening(ends, widths, sense) -> Motion:
    """Carries one side of a slash off, so that it stands open by `widths` at its ends.

    In an outline that runs clockwise on paper the arc that follows the slash's first end lies on the left as one looks
    along the slash; `sense` (N,) is +1 where the left side is carried, -1 where the right is.
    """
    start, end = ends
    way = unit(end - start)
    length = distance(start, end)
    off = -square_to(way) * sense[:, None]
    half = np.clip((widths[0] - widths[1]) / (2.0 * length), -1.0, 1.0)
    angle = 2.0 * np.arcsin(half) * sense
    turn = Motion.turn(start, angle)
    aside = Motion.turn(np.zeros_like(start), angle / 2.0).vectors(off)
    return turn.then(Motion.shift(aside * widths[0][:, None]))


def _between(run, ring, k: int, number: int, widths, fold, ends, motion, onward) -> Item | None:
    before, after = ring[k - 1], ring[k]
    if np.all(~(widths[number] > SAME)):
        return None
    if fold is None or number == 1:  # the fold lines of a pleat end on the other edge
        return Item(after.edge, run.span, straight=fold is not None)
    name, press = fold
    near, far = before.path.end(), after.path.start()
    inner = (ends[1], motion.points(ends[1])) if onward else (motion.points(ends[1]), ends[1])
    return Item(
        after.edge,
        run.span,
        dart=_pleat(name, run.span, (near, far), inner, motion.inverse() if onward else motion, press, before.path, after.path),
    )


def _pleat(name, span, feet, inner, closing: Motion, press, before: Path, after: Path) -> Dart:
    """A pleat as a dart that runs through to the other edge: its legs are its fold lines."""
    middle, depth = (feet[0] + feet[1]) / 2.0, (inner[0] + inner[1]) / 2.0
    headings = [unit(foot - end) for foot, end in zip(feet, inner, strict=True)]
    intake = distance(*feet)
    trued = true_end(press, depth, unit(middle - depth), feet, headings, intake, before, after)
    legs = [Path((Line(foot, end),)) for foot, end in zip(feet, inner, strict=True)]
    return Dart(name, span, depth, *legs, closing, trued, press, intake, intake, None, middle, "pleat")
