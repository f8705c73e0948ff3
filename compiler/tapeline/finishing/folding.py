"""The cut line along an edge with darts: what a cutter gets who folds the darts, cuts along the folded edge and unfolds it.

The closed stitching line is offset as one line, and its corners are made as of any edge.  Then it is laid open.  Beyond the
edge the legs of a dart run straight on; where a folded leg meets the offset line, that line is parted, and what lies between
two darts goes back to the paper with its strip.  Of the dart, folded under, the half next to the leg that it is pressed over
lies mirrored in that leg, up to the fold; the other half lies as the strip beyond does.  So the cut line over the mouth is
the offset line from leg to fold, once mirrored, once not.

On a slanting edge a leg may run past the end of the offset line, and meets the corner or the cut line of the edge beside it;
these are then parted as well, and begin where the last leg ends.  Cloth folded under goes straight on past the end of the
edge, as its stitching line does.  Places on a line are told as positions: an index and a fraction of a step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np

from ..drafting.pattern import Edge
from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.motion import Motion
from ..geometry.plane import choose, cross, dot, unit, vector
from .runs import rest

HALF = 21  # points of the cut line over half a dart, its ends among them
SPARE = 8  # points more at either end of a strip's cut line than its own curve has: on a slant, legs run on over the neighbour's
NEARBY = 16  # points to either side of a foot among which leg and fold are looked for first, as that is quick
INSIDE = 0.5  # mm by which an offset line may lie within the foot of a leg: flattened chords do, where the allowance is nothing
SLACK = 1e-9  # of a step; a point of a line so near to a place on it is that place


@dataclass(slots=True, eq=False)
class Fold:
    """One dart of an edge, folded: where its legs lie, and how its cloth goes back to the paper.

    `foot` and `heading` (out of the piece) are of the leg, `middle` and `axis` of the fold, all (N, 2), with the edge
    closed.  `mouth` (N, 2) leads from foot to foot on the paper; `reach` (N,) is a length that no folded half exceeds.
    `before` and `after` carry what lies on the strips beside the dart from there to the paper.
    """

    name: str
    near: bool  # pressed to the near side
    foot: Floats
    heading: Floats
    middle: Floats
    axis: Floats
    mouth: Floats
    reach: Floats
    before: Motion
    after: Motion


class Lost(NamedTuple):
    """Bodies (N,) whose legs, run on, do not reach the cut line in their order, and what becomes of them."""

    what: str
    bodies: Mask


class Beside(NamedTuple):
    """What follows at one end of the offset line, in the order of the ring: a corner's points (N, K, 2), and the cut line beside it.

    `run` gives so many `points` of that line, for the few bodies whose legs come so far.  `way` (N, 2) is the direction out of
    the offset line there.
    """

    corner: Floats
    run: Callable[[], Floats]
    points: int
    way: Floats

    @property
    def size(self) -> int:
        return int(self.corner.shape[1]) + self.points


Stop = tuple[Floats, Floats]  # position (N,) on a line, and the point (N, 2) there


class LaidOpen(NamedTuple):
    """The offset line of a darted edge on the paper.

    `parts` (N, K_i, 2) in a row; of each dart where its near and its far leg, run on, end (N, 2); what cannot be folded; and
    where the first and the last leg end, told from the ends of the line: beyond them the positions are negative.
    """

    parts: list[Floats]
    ends: list[tuple[Floats, Floats]]
    lost: list[Lost]
    first: Stop
    last: Stop


def folds_of(edge: Edge) -> tuple[Fold, ...]:
    folds = []
    carried = Motion.identity(edge.strips[0].n)
    for dart in edge.darts:
        onward = dart.fold.then(carried)
        near = dart.press == "near"
        beside = onward if near else carried  # the strip that the half not mirrored lies with
        folds.append(
            Fold(
                dart.name,
                near,
                carried.points(dart.near_foot),
                -carried.vectors(dart.near_leg.start_direction()),
                beside.points(dart.point),
                beside.vectors(unit((dart.near_foot + dart.far_foot) / 2.0 - dart.point)),
                dart.far_foot - dart.near_foot,
                4.0 * dart.intake + 10.0,
                carried.inverse(),
                onward.inverse(),
            )
        )
        carried = onward
    return tuple(folds)


def strip_ranges(edge: Edge, counts: Sequence[int]) -> list[range] | None:
    """Which points of the closed edge's offset line are each strip's own, from the points of each segment; two lie at each joint.

    None where the closed edge is not the strips one after another: then a strip may lie on any part of it.
    """
    numbers = [len(strip.segments) for strip in edge.strips]
    if sum(numbers) != len(counts):
        return None
    starts = np.cumsum([0, *(count + 2 for count in counts)]).tolist()
    first = np.cumsum([0, *numbers]).tolist()
    return [range(starts[low], starts[high] - 2) for low, high in zip(first, first[1:], strict=False)]


class _OffsetLine(NamedTuple):
    """The offset line of a closed edge with what lies beside it; positions count from its own first point, negative before it.

    `cut` (N, K, 2) is cut off at its corners; `ends_cut` by True the line that is cut off at its end alone, by False the one
    that is so at its start alone: cloth folded to the near side is looked for toward the start, past which it goes on.
    """

    cut: Floats
    ends_cut: Mapping[bool, Floats]
    before: Beside
    after: Beside
    reach: Floats

    @property
    def known(self) -> Mask:
        known: Mask = np.isfinite(self.cut[:, 0, 0])
        return known

    def row(self, some: Indices) -> tuple[Floats, int]:
        """All that some bodies' legs may meet, in a row, and the position of its first point."""
        before, after = self.before, self.after
        parts = [before.run(), before.corner, self.cut, after.corner, after.run()]
        return np.concatenate([part[some] for part in parts], axis=1), -before.size

    def under(self, some: Indices, near: bool) -> tuple[Floats, int]:
        """What cloth folded to the near side (or the far one) lies along: on that side it goes straight on past the line's end."""
        line = self.ends_cut[near]
        if near:
            before, after = _straight_on(self.before, line[:, 0], self.reach), [self.after.corner, self.after.run()]
        else:
            before, after = [self.before.run(), self.before.corner], _straight_on(self.after, line[:, -1], self.reach)[::-1]
        return np.concatenate([part[some] for part in (*before, line, *after)], axis=1), -self.before.size


def laid_open(
    cut: Floats, ends_cut: Mapping[bool, Floats], before: Beside, after: Beside, folds: Sequence[Fold], own: Sequence[range] | None
) -> LaidOpen:
    """The offset line of a closed edge laid open: `cut` and `ends_cut` as of `_OffsetLine`, `own` of `strip_ranges`."""
    drawn = _OffsetLine(cut, ends_cut, before, after, np.max([fold.reach for fold in folds], axis=0))
    n, count, _ = cut.shape
    # On which points of the line a strip is likely to lie, and a dart's part of the cut line.
    if own is None:
        strips, mouths = [range(count)] * (len(folds) + 1), [range(count)] * len(folds)
    else:
        strips = [range(max(strip.start - SPARE, 0), min(strip.stop + SPARE, count)) for strip in own]
        mouths = [range(max(one.stop - NEARBY, 0), min(other.start + NEARBY, count)) for one, other in pairwise(own)]
    legs = [_leg(drawn, fold, likely) for fold, likely in zip(folds, mouths, strict=True)]
    (begin, begin_at), (stop, stop_at) = legs[0], legs[-1]
    stops = [
        (np.fmin(begin, 0.0), choose(begin < 0.0, begin_at, cut[:, 0])),
        *legs,
        (np.fmax(stop, count - 1.0), choose(stop > count - 1.0, stop_at, cut[:, -1])),
    ]
    parts: list[Floats] = []
    ends = []
    to_paper = [None, *(fold.after for fold in folds)]  # the first strip lies where it lay
    for k, likely in enumerate(strips):
        parts.append(_strip(drawn, stops[k], stops[k + 1], likely, to_paper[k]))
        if k < len(folds):
            parts += _over_mouth(drawn, folds[k], legs[k], mouths[k])
            ends.append((folds[k].before.points(legs[k][1]), folds[k].after.points(legs[k][1])))
    outermost = np.full(n, -float(before.size)), np.full(n, count - 1.0 + after.size)
    lost = _lost(folds, [outermost[0], *(position for position, _ in legs), outermost[1]], ends)
    return LaidOpen(parts, ends, lost, (begin, ends[0][0]), (count - 1.0 - stop, ends[-1][1]))


def _straight_on(beside: Beside, end: Floats, reach: Floats) -> list[Floats]:
    """In place of what lies beside the line, as many points straight on from its end: of the run, and of the corner."""
    past = np.maximum(dot(beside.corner - end[:, None], beside.way[:, None]), 0.0)
    tail = end + (past.max(axis=1) + reach)[:, None] * beside.way
    return [np.repeat(tail[:, None], beside.points, axis=1), end[:, None] + past[..., None] * beside.way[:, None]]


def _lost(folds: Sequence[Fold], reached: Sequence[Floats], leg_ends: Sequence[tuple[Floats, Floats]]) -> list[Lost]:
    lost = []
    for k, (low, high) in enumerate(zip(reached, reached[1:], strict=False)):
        if 0 < k < len(folds):
            what = f"The legs of {folds[k - 1].name} and {folds[k].name} meet"
        else:
            what = f"The legs of {folds[min(k, len(folds) - 1)].name} run past the end of the edge"
        lost.append(Lost(what, ~(low < high - SLACK)))
    for fold, (near, far) in zip(folds, leg_ends, strict=True):
        lost.append(Lost(f"The legs of {fold.name} meet", dot(far - near, fold.mouth) < 0.0))
    return [one for one in lost if one.bodies.any()]


def _strip(line: _OffsetLine, start: Stop, end: Stop, likely: range, to_paper: Motion | None) -> Floats:
    """The line from place to place, carried to the paper: all its points within the likely range, resting at both ends."""

    def carried(points: Floats) -> Floats:
        return points.copy("K") if to_paper is None else to_paper.points(points)

    strip = carried(line.cut[:, likely.start : likely.stop])
    (begin, first), (stop, last) = start, end
    rest(strip, stop - likely.start, carried(last))
    rest(strip[:, ::-1], likely.stop - 1 - begin, carried(first))
    outside = np.flatnonzero(((begin < likely.start) | (stop > likely.stop - 1)) & np.isfinite(begin + stop))
    if len(outside):
        row, at = line.row(outside)
        points, own = np.empty((len(outside), len(likely), 2)), range(-at, line.cut.shape[1] - at)
        for k, body in enumerate(outside):
            points[k, 1:-1] = row[k, _kept(begin[body] - at, stop[body] - at, len(likely) - 2, own)]
        points[:, 0], points[:, -1] = first[outside], last[outside]
        empty = ~(np.ceil(begin[outside] + SLACK) <= np.floor(stop[outside] - SLACK))
        points[empty, 1:-1] = first[outside][empty, None]
        strip[outside] = points if to_paper is None else to_paper.take(outside).points(points)
    return strip


def _kept(begin: float, stop: float, room: int, own: range) -> Indices:
    """So many of the points from place to place: all, or of those of the line itself evenly many, but every one beyond its ends."""
    every = np.arange(np.ceil(begin + SLACK), np.floor(stop - SLACK) + 1.0).astype(int)
    beyond = (every < own.start) | (every >= own.stop)
    spare = room - np.count_nonzero(beyond)
    if len(every) > room and spare > 1:
        inner = every[~beyond]
        every = np.sort(np.concatenate([every[beyond], inner[np.rint(np.linspace(0, len(inner) - 1, spare)).astype(int)]]))
    if not len(every):
        return np.zeros(room, dtype=int)
    evenly: Indices = every[np.rint(np.linspace(0, len(every) - 1, room)).astype(int)]
    return evenly


def _over_mouth(line: _OffsetLine, fold: Fold, leg: Stop, likely: range) -> list[Floats]:
    """The cut line from the near leg to the fold and from there to the far leg, without the points on the legs."""
    at_fold = _fold(line, fold, leg, likely)
    half = _between(line.ends_cut[fold.near], leg, at_fold, HALF)
    ends = np.stack([leg[0], at_fold[0]])
    outside = np.flatnonzero(((ends < 0.0) | (ends > line.cut.shape[1] - 1.0)).any(axis=0))
    if len(outside):
        row, at = line.under(outside, fold.near)
        some = [(position[outside] - at, point[outside]) for position, point in (leg, at_fold)]
        half[outside] = _between(row, some[0], some[1], HALF)
    half = half[:, 1:]
    mirrored = Motion.mirror(fold.foot, fold.heading).points(half)
    one, other = (mirrored, half) if fold.near else (half, mirrored)
    return [fold.before.points(one), fold.after.points(other[:, -2::-1])]


def _leg(line: _OffsetLine, fold: Fold, likely: range) -> Stop:
    """Where the folded leg, run on, first meets the line; NaN where it does not."""
    (position, point), only = _only_crossing(line.cut, fold.foot, fold.heading, likely)
    out = dot(fold.heading, point - fold.foot)
    others = np.flatnonzero(~(only & (out > -INSIDE)) & line.known & np.isfinite(fold.foot[:, 0]))
    if len(others):
        row, at = line.row(others)
        foot, heading = fold.foot[others], fold.heading[others]
        hit, part = _crossings(row, foot, heading)
        along = dot(heading[:, None], row - foot[:, None])
        along = along[:, :-1] + part * (along[:, 1:] - along[:, :-1])
        position[others], point[others] = _stop(row, np.where(hit & (along > -INSIDE), along, np.inf), part, at)
    return position, point


def _fold(line: _OffsetLine, fold: Fold, leg: Stop, likely: range) -> Stop:
    """Where the line, followed from the leg over the folded cloth, first comes to the fold; where it does not, at the leg."""
    (position, point), only = _only_crossing(line.ends_cut[fold.near], fold.middle, fold.axis, likely)
    onward = position <= leg[0] if fold.near else position >= leg[0]
    inside = (leg[0] >= likely.start) & (leg[0] <= likely.stop - 1)
    others = np.flatnonzero(~(only & onward & inside) & np.isfinite(leg[0]))
    if len(others):
        row, offset = line.under(others, fold.near)
        hit, part = _crossings(row, fold.middle[others], fold.axis[others])
        at, begin = np.arange(part.shape[1]) + offset + part, leg[0][others, None]
        way = begin - at if fold.near else at - begin
        position[others], point[others] = _stop(row, np.where(hit & (way >= 0.0), way, np.inf), part, offset)
        missed = others[np.isnan(position[others])]
        position[missed], point[missed] = leg[0][missed], leg[1][missed]
    return position, point


def _only_crossing(points: Floats, origin: Floats, heading: Floats, likely: range) -> tuple[Stop, Mask]:
    """Where the likely part of a line crosses that through an origin (N, 2), and the bodies (N,) for whom it does so once."""
    part = points[:, likely.start : likely.stop]
    side = cross(heading[:, None], part) - cross(heading, origin)[:, None]
    past = side > 0.0
    turns = past[:, 1:] != past[:, :-1]
    body, step = np.arange(len(points)), np.argmax(turns, axis=1)
    before, start = side[body, step], part[body, step]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = before / (before - side[body, step + 1])
        point = start + share[:, None] * (part[body, step + 1] - start)
    return (step + likely.start + share, point), np.count_nonzero(turns, axis=1) == 1


def _crossings(points: Floats, origin: Floats, heading: Floats) -> tuple[Mask, Floats]:
    """Which steps (N, K - 1) of a line cross that through an origin (N, 2), and at which part of the step."""
    side = cross(heading[:, None], points - origin[:, None])
    before, after = side[:, :-1], side[:, 1:]
    hit = (before * after <= 0.0) & (before != after)
    with np.errstate(invalid="ignore", divide="ignore"):
        return hit, np.where(hit, before / (before - after), 0.0)


def _stop(points: Floats, score: Floats, part: Floats, offset: int) -> Stop:
    """The place on the step of the least score (N, K - 1); NaN where none is finite."""
    body, step = np.arange(len(score)), np.argmin(score, axis=1)
    known = np.isfinite(score[body, step])
    at = np.where(known, part[body, step], np.nan)
    start = points[body, step]
    return step + offset + at, start + at[:, None] * (points[body, step + 1] - start)


def _between(whole: Floats, start: Stop, end: Stop, count: int) -> Floats:
    """So many points (N, count, 2) of a line from place to place: all its points between, or evenly many where that is too few."""
    (begin, first), (stop, last) = start, end
    low, high = np.ceil(np.fmin(begin, stop) + SLACK), np.floor(np.fmax(begin, stop) - SLACK)
    onward = begin <= stop
    inner, outer = np.where(onward, low, high)[:, None], np.where(onward, high, low)[:, None]
    index = np.rint(inner + (outer - inner) * (np.arange(count - 2) / (count - 3)))
    index = np.clip(np.nan_to_num(index), 0, whole.shape[1] - 1).astype(int)
    own = (np.take_along_axis(whole[..., axis], index, axis=1) for axis in (0, 1))
    points = np.empty((2, len(whole), count)).transpose(1, 2, 0)
    points[:, 0], points[:, -1] = first, last
    points[:, 1:-1] = choose((low <= high)[:, None], vector(*own), first[:, None])
    return points
