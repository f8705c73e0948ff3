"""Lines flattened segment by segment, and moved out along their own normals.

Each flattened point lies exactly as far from its offset as asked.  Where segments of one line join at an angle (a neckline's
point) their offsets meet as at a pointed corner; where they run on, as most do, in the middle between their ends.  Of few bodies
the segments of one kind are worked out together, as if each were of bodies of its own: no figure rests on its company.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import reduce

import numpy as np

from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.motion import Motion
from ..geometry.path import STEPS, Path
from ..geometry.plane import choose, cross, dot, norm, taken, vector
from ..geometry.segments import Arc, Cubic, Segment, by_kind, joined
from .corners import SMOOTH, bring_together
from .runs import Approach, rest

EMPTY = 1e-6  # mm; a segment shorter than this has no direction of its own and takes its neighbour's
FINE = STEPS["fine"]
FEW = 16  # bodies whose segments are worked out together: of more the arrays would be too large to be quick


@dataclass(slots=True, eq=False)
class Flat:
    """A path flattened segment by segment: points and unit directions (N, K_i, 2) of each."""

    path: Path
    points: list[Floats]
    directions: list[Floats]


def outward(direction: Floats, sense: Floats) -> Floats:
    """Unit normals (N, 2) or (N, K, 2) out of a ring that runs in the sense (N,), +1 from +x toward +y."""
    sense = sense.reshape((-1,) + (1,) * (direction.ndim - 2))
    return vector(sense * direction[..., 1], -sense * direction[..., 0])


def _together(segments: Sequence[Segment]) -> Iterator[tuple[list[int], Segment]]:
    """Segments with their numbers: of few bodies those of one kind as one segment of so many times as many bodies."""
    if segments[0].n > FEW:
        yield from (([number], segment) for number, segment in enumerate(segments))
        return
    for numbers in by_kind(segments):
        yield numbers, joined([segments[number] for number in numbers])


def flattened(paths: Sequence[Path]) -> list[Flat]:
    """Paths of the same bodies.  A segment of no length takes the direction of the one before it, at the very start of the one after."""
    segments = [segment for path in paths for segment in path.segments]
    n = segments[0].n
    points, directions, empty = (dict[int, Floats](), dict[int, Floats](), dict[int, Mask]())
    for numbers, segment in _together(segments):
        steps = FINE[type(segment)]
        ts = np.arange(steps + 1) / steps
        sampled, ways = segment.sample(ts), segment.sample_directions(ts)
        none = _empty(sampled)
        for k, number in enumerate(numbers):
            own = slice(k * n, (k + 1) * n)
            points[number], directions[number], empty[number] = sampled[own], ways[own], none[own]
    flats, at = [], 0
    for path in paths:
        numbers_of_path = range(at, at := at + len(path.segments))
        flat = Flat(path, [points[number] for number in numbers_of_path], [directions[number] for number in numbers_of_path])
        nothing = [empty[number] for number in numbers_of_path]
        if any(none.any() for none in nothing):
            _settle(flat, nothing)
        flats.append(flat)
    return flats


def _settle(flat: Flat, empty: Sequence[Mask]) -> None:
    """Give segments of no length, for these bodies (N,) each, a direction, in place."""
    last = flat.directions[-1][:, 0]
    for directions, none in zip(reversed(flat.directions), reversed(empty), strict=True):
        last = choose(none, last, directions[:, 0])
    for k, none in enumerate(empty):
        if none.any():
            flat.directions[k] = choose(none[:, None], last[:, None], flat.directions[k])
            flat.points[k][none] = flat.points[k][none, :1]
        last = flat.directions[k][:, -1]


def _empty(points: Floats) -> Mask:
    """Whether a flattened segment has no length (N,)."""
    none = norm(points[:, -1] - points[:, 0]) < EMPTY
    if points.shape[1] > 2:
        near = np.flatnonzero(none)
        none[near] = norm(points[near, 1:] - points[near, :-1]).max(axis=1) < EMPTY
    return none


def offset(flat: Flat, width: Floats, sense: Floats) -> tuple[list[Floats], Floats]:
    """The parts (N, K_i, 2) of the offset of a line, and the widest allowance (N,) that its inner curves allow."""
    moved = _moved_out(flat, width, sense)
    on = _runs_on(flat, width, sense)
    parts = [moved[0]]
    for k, own in enumerate(moved[1:]):
        if on[k]:
            middle = (parts[-1][:, -1] + own[:, 0]) / 2
            parts[-1][:, -1] = own[:, 0] = middle
            between = np.stack([middle, middle], axis=1)
        else:
            before, after = (flat.points[k], flat.directions[k]), (flat.points[k + 1], flat.directions[k + 1])
            meeting = bring_together(arriving(parts, *before, sense, width), leaving([own], *after, sense, width))
            between = meeting.between
            _rest_back(parts, meeting.until_a, between[:, 0])
            rest(own[:, ::-1], meeting.until_b, between[:, -1])
        parts += [between, own]
    return parts, _most(flat, width, sense)


def _moved_out(flat: Flat, width: Floats, sense: Floats) -> list[Floats]:
    """The points of each segment, moved out by the width."""
    out = (width * sense)[:, None]

    def moved(points: Floats, directions: Floats) -> Floats:
        own = vector(out * directions[..., 1], -out * directions[..., 0])
        own += points
        return own

    if len(width) > FEW or len(flat.points) == 1:
        return [moved(points, directions) for points, directions in zip(flat.points, flat.directions, strict=True)]
    whole = moved(np.concatenate(flat.points, axis=1), np.concatenate(flat.directions, axis=1))
    ends = np.cumsum([points.shape[1] for points in flat.points]).tolist()
    return [whole[:, end - points.shape[1] : end] for points, end in zip(flat.points, ends, strict=True)]


def _runs_on(flat: Flat, width: Floats, sense: Floats) -> list[bool]:
    """Whether at each joint the line runs straight on for every body, so that the two offsets end in one place but for rounding."""
    if len(flat.points) == 1:
        return []
    arrives = np.stack([directions[:, -1] for directions in flat.directions[:-1]], axis=1)
    leaves = np.stack([directions[:, 0] for directions in flat.directions[1:]], axis=1)
    one, other = outward(arrives, sense), outward(leaves, sense)
    with np.errstate(invalid="ignore"):
        sin, cos = -dot(one, leaves), dot(one, other)
        on = ~(sin > SMOOTH) & ~(sin < -SMOOTH) & (cos > 0.0)
        on |= (~(width > 1e-9))[:, None]  # nothing is moved out; what has failed before has no width
    return [bool(on[:, joint].all()) for joint in range(on.shape[1])]


def _rest_back(parts: list[Floats], position: Floats, point: Floats) -> None:
    """Cut a run in parts off at a position (N,) counted on all of it."""
    at = sum(part.shape[1] for part in parts)
    for part in reversed(parts):
        at -= part.shape[1]
        if not rest(part, position - at, point):
            return


def _most(flat: Flat, width: Floats, sense: Floats) -> Floats:
    """The widest allowance (N,) that the inner curves of a line allow; infinite where the width is far from it."""
    n = len(width)
    most: Floats = np.full(n, np.inf)
    for numbers, segment in _together(flat.path.segments):
        tight = _may_be_tight(segment, np.tile(width, len(numbers)) if len(numbers) > 1 else width)
        for number in dict.fromkeys((tight // n).tolist()):
            bodies = tight[tight // n == number] % n
            k = numbers[number]
            normals = outward(taken(flat.directions[k], bodies), sense[bodies])
            most[bodies] = np.minimum(most[bodies], _inner_radius(taken(flat.points[k], bodies), normals))
    return most


def _may_be_tight(segment: Segment, width: Floats) -> Indices:
    """The bodies whose curve may bend as sharply as the allowance is wide, told from its control points."""
    if isinstance(segment, Arc):
        return np.flatnonzero(~(np.abs(segment.radius) > 2.0 * width) & np.isfinite(width))
    if not isinstance(segment, Cubic):
        return np.zeros(0, dtype=int)
    first, second, third = (segment.p[:, i + 1] - segment.p[:, i] for i in range(3))
    chord = segment.p[:, 3] - segment.p[:, 0]
    size = norm(chord)
    least = reduce(np.minimum, [dot(vector, chord) for vector in (first, second, third)])  # the curve is nowhere slower along its chord
    turn = reduce(np.maximum, [np.abs(vector) for vector in (cross(first, second), 0.5 * cross(first, third), cross(second, third))])
    with np.errstate(invalid="ignore", divide="ignore"):
        slowest = least / size
        # Speed cubed by the cross product of velocity and acceleration: 27 and 18 times these.
        return np.flatnonzero(~((slowest > 0.0) & (1.5 * slowest**3 > 2.0 * width * turn)) & np.isfinite(width))


def _inner_radius(points: Floats, normals: Floats) -> Floats:
    """Least width (N,) at which a step of the offset of a curve would turn back on itself."""
    step, turned = points[:, 1:] - points[:, :-1], normals[:, 1:] - normals[:, :-1]
    closing = -dot(step, turned)
    square = dot(step, step)
    with np.errstate(invalid="ignore", divide="ignore"):
        radius = np.where((closing > 1e-12) & (square > EMPTY * EMPTY), square / closing, np.inf)
    least: Floats = radius.min(axis=1)
    return least


def arriving(
    parts: Sequence[Floats], net: Floats, directions: Floats, sense: Floats, width: Floats, carried: Motion | None = None
) -> Approach:
    """An offset line seen from the corner at its end."""
    direction = directions[:, -1]
    return Approach(tuple(parts), net[:, -1], direction, outward(direction, sense), width, carried)


def leaving(parts: Sequence[Floats], net: Floats, directions: Floats, sense: Floats, width: Floats) -> Approach:
    """An offset line seen from the corner at its start."""
    direction = directions[:, 0]
    return Approach(tuple(part[:, ::-1] for part in parts[::-1]), net[:, 0], -direction, outward(direction, sense), width)
