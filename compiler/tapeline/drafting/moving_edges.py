"""An edge of a piece taken in, let out, raised or dropped: by the whole amount at some places, to nothing at others.

Every place of the sewn edge goes by the amount times its weight: 1 from the first to the last place where the edge moves in full, 0
at and beyond the places where that has run out, and between them a cubic of the way along the edge with level ends; so
the new line runs out without a kink, and keeps its direction where it moves in full.  Only an edge that is nearly straight, and moves
in full at one corner and to nothing at the other, goes evenly from the one to the other, so that a straight one stays straight.  The way is square to the edge, or plumb.  The new line is drawn by cubics
that have its places and its directions at their ends, several to each segment of the edge that moves; the rest of the edge stays as
it is, to the last figure.

Where the edge moves at its end, the edge beside it is cut off, or goes on along the circle of its end, until the two meet.  Darts of the
edge are folded before and cut in again after (`running_on.recut`): where the line moves, their feet go along their legs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from typing import Literal

import numpy as np

from ..geometry import meet
from ..geometry.arrays import Floats, Mask
from ..geometry.dual import plain
from ..geometry.motion import Motion
from ..geometry.path import NO_LENGTH, Path
from ..geometry.plane import angle_of, choose, cross, distance, dot, square_to
from ..geometry.segments import Arc, Cubic, Line, Segment
from ..meaning.kinds import LENGTH, SHAPE
from ..meaning.ring import Added, EdgeRing, Portion
from ..source.quantity import at_most, show_length
from .carrying import fitted
from .pattern import Edge
from .places import nearest_on
from .rims import edge_of, filled, items_of
from .running_on import recut
from .shapes import BESIDE, MEETS, Shape, change, nearest_along, off_straight, turn_of
from .steps import Run
from .stretches import UNBENT, end_bend

Way = Literal["in", "out", "up", "down"]

NEARLY_STRAIGHT = 1 / 40  # of its length: an edge that stands off its chord by no more is ruled by a drafter
SAME_PLACE = 1e-3  # mm; places on an edge that lie so near to each other, or to its end, are one
CUBICS = 4  # drawn for a curved segment between two places
FINE = 16  # segments: in a line of so many each is drawn by one, so that a line that moves often does not grow by a multiple each time
LOOK = 1 / 16  # of such a cubic: how far to either side its bend is looked for
RUN_ON = 4.0  # of the amount, and `RUN_ON_LEAST` mm: so far the lines at a moved corner are carried on to meet
RUN_ON_LEAST = 10.0
TURNED_WITHIN = 30.0  # mm to either side of a dart, within which the way to move plumb turns with the cloth
SHARPEST = 0.2  # of 1: the least that a joint within an edge may leave of the half angle's cosine, squared, twice


# ------------------------------------------------------------ how far each place goes


@dataclass(frozen=True, slots=True, eq=False)
class Weights:
    """Lengths (N,) along the sewn edge between which it moves: not before `since`, in full from `low` to `high`, not after `until`."""

    since: Floats
    low: Floats
    high: Floats
    until: Floats
    linear: Mask

    def at(self, s: Floats) -> tuple[Floats, Floats]:
        """The weight at a length, and how fast it grows there."""
        rising, falling = self.low - self.since, self.until - self.high
        before, after = np.where(self.linear, self.low > SAME_PLACE, s < self.low), s > self.high
        run = np.where(before, rising, falling)
        run = np.where(run > SAME_PLACE, run, np.inf)
        part = np.clip(np.where(before, (s - self.since) / run, (self.until - s) / run), 0.0, 1.0)
        weight = np.where(self.linear, part, part * part * (3.0 - 2.0 * part))
        growth = np.where(self.linear, 1.0, 6.0 * part * (1.0 - part)) / run * np.where(before, 1.0, -1.0)
        full = ~(before | after | self.linear)
        return np.where(full, 1.0, weight), np.where(full, 0.0, growth)


def _weights(run: Run, line: Path, full: Sequence[Floats], nothing: Sequence[Floats], kept: tuple[bool, bool], edge: str) -> Weights:
    length, zero = line.length(), np.zeros(run.n)
    low = reduce(np.minimum, full) if full else zero
    high = reduce(np.maximum, full) if full else length
    since, until = zero, length
    for place in nothing:
        run.fail(
            (place >= low - SAME_PLACE) & (place <= high + SAME_PLACE),
            "D643",
            f"{edge} cannot run to nothing where it moves by the whole amount",
            expected="a place to nothing on either side of those where the edge moves",
            found=_between(run, place, low, high),
            suggestion="Say at which places it moves, and to nothing at places beyond them.",
        )
        since = np.where(place < low, np.maximum(since, place), since)
        until = np.where(place > high, np.minimum(until, place), until)
    if not full and nothing:  # from the one end to nothing before the other
        low, high = zero, length
    at_start, at_end = since <= SAME_PLACE, until >= length - SAME_PLACE
    from_start = (high <= SAME_PLACE) & at_end & np.full(run.n, not kept[0])
    from_end = (low >= length - SAME_PLACE) & at_start & np.full(run.n, not kept[1])
    straight = off_straight(line) <= NEARLY_STRAIGHT * length
    linear = straight & (from_start | from_end)
    run.branched(lambda: linear)
    return Weights(since, low, high, until, linear)


def _between(run: Run, place: Floats, low: Floats, high: Floats) -> Callable[[int], str]:
    def found(i: int) -> str:
        at, first, last = (show_length(float(one[i]), run.unit) for one in (place, low, high))
        return f"{at} along it, between {first} and {last}"

    return found


# ------------------------------------------------------------ which way


@dataclass(frozen=True, slots=True, eq=False)
class Inward:
    """Square to the line, `sense` (N,) 1 to the right of its course on paper, -1 to the left."""

    sense: Floats

    def at(self, s: Floats, direction: Floats) -> Floats:
        return square_to(direction) * self.sense[:, None]

    def growth(self, s: Floats, turning: Floats) -> Floats:
        return square_to(turning) * self.sense[:, None]

    follows = True


@dataclass(frozen=True, slots=True, eq=False)
class Plumb:
    """Up or down on the paper; beyond each dart of the line as it lies folded, turned with the cloth."""

    way: Floats
    darts: Sequence[tuple[Floats, Floats]]  # how far along (N,), and by what angle (N,) the cloth beyond it was turned
    length: Floats

    def _angle(self, s: Floats) -> tuple[Floats, Floats]:
        angle, growth = np.zeros(len(self.length)), np.zeros(len(self.length))
        for place, turned in self.darts:
            reach = np.minimum(np.minimum(place, self.length - place), TURNED_WITHIN)
            part = np.clip((s - place + reach) / (2.0 * reach), 0.0, 1.0)
            angle = angle + turned * part * part * (3.0 - 2.0 * part)
            growth = growth + turned * 6.0 * part * (1.0 - part) / (2.0 * reach)
        return angle, growth

    def at(self, s: Floats, direction: Floats) -> Floats:
        angle, _ = self._angle(s)
        return Motion.turn(np.zeros((len(angle), 2)), angle).vectors(self.way)

    def growth(self, s: Floats, turning: Floats) -> Floats:
        angle, growth = self._angle(s)
        return square_to(Motion.turn(np.zeros((len(angle), 2)), angle).vectors(self.way)) * growth[:, None]

    follows = False


Direction = Inward | Plumb


def _direction(run: Run, shape: Shape, edge: Edge, way: Way) -> Direction:
    if way in ("in", "out"):
        return Inward(turn_of(shape.edges) * (1.0 if way == "in" else -1.0))
    motions, places, before = [], [], np.zeros(run.n)
    for dart, strip in zip(edge.darts, edge.strips, strict=False):
        before = before + strip.length()
        places.append(before)
        motions.append(dart.fold.angle())
    plumb = np.tile(np.array([0.0, -1.0 if way == "up" else 1.0]), (run.n, 1))
    return Plumb(plumb, list(zip(places, motions, strict=True)), edge.closed.length())


# ------------------------------------------------------------ the new line


@dataclass(frozen=True, slots=True, eq=False)
class MovedLine:
    """A line whose places go by an amount (N,) times their weight in a direction."""

    line: Path
    amount: Floats
    weights: Weights
    direction: Direction

    def place(self, s: Floats) -> Floats:
        """Where (N, 2) the place at a length (N,) along the old line goes."""
        weight, _ = self.weights.at(s)
        way = self.direction.at(s, self.line.direction_at(s))
        return self.line.point_at(s) + way * (self.amount * weight)[:, None]

    def path(self) -> Path:
        """The new line, which has its segments where the old one has them."""
        reach, backward = self.line.reach(), self.line.reversed()
        length = reach[:, -1]
        leaving = [self.line.direction_at(reach[:, i]) for i in range(reach.shape[1])]
        coming = [-backward.direction_at(length - reach[:, i]) for i in range(reach.shape[1])]
        segments: list[Segment] = []
        for i, segment in enumerate(self.line.segments):
            none = segment.length() <= NO_LENGTH
            joints = [self._across_joint(reach[:, k], coming[k], leaving[k]) for k in (i, i + 1)]
            off = [
                joint - self.direction.at(reach[:, k], choose(none, leaving[i], own))
                for joint, k, own in zip(joints, (i, i + 1), (leaving[i], coming[i + 1]), strict=True)
            ]
            off[1] = choose(none, off[0], off[1])
            segments += self._segment(segment, reach[:, i], reach[:, i + 1], leaving[i], none, (off[0], off[1]))
        kept = [segment for segment in segments if not np.all(segment.length() <= NO_LENGTH)]
        return Path(tuple(kept or segments[:1]))

    def _across_joint(self, s: Floats, coming: Floats, leaving: Floats) -> Floats:
        """Which way a joint of two segments goes: by the half angle, so that both their lines go by the whole."""
        one, other = self.direction.at(s, coming), self.direction.at(s, leaving)
        if not self.direction.follows:
            return other
        return (one + other) / np.maximum(1.0 + dot(one, other), SHARPEST)[:, None]

    def _segment(
        self, segment: Segment, start: Floats, end: Floats, heading: Floats, none: Mask, off: tuple[Floats, Floats]
    ) -> list[Segment]:
        weights, whole = self.weights, np.where(none, np.inf, end - start)
        stops = [start, *(_snapped(at, start, end) for at in (weights.since, weights.low, weights.high, weights.until)), end]
        first, last = (
            segment.part(segment.parameter_at(low - start), segment.parameter_at(high - start)) for low, high in (stops[:2], stops[4:])
        )
        bend = (off[1] - off[0]) / whole[:, None]

        def shown(s: Floats, look: Floats) -> tuple[Floats, Floats]:
            """(place, direction by the length of the old line) of the new line at a length."""
            t = segment.parameter_at(s - start)
            low, high = np.clip(s - look, start, end), np.clip(s + look, start, end)
            tangent = choose(none, heading, segment.direction(t))
            spread = np.where(high - low > NO_LENGTH, high - low, np.inf)
            turning = (
                segment.direction(segment.parameter_at(high - start)) - segment.direction(segment.parameter_at(low - start))
            ) / spread[:, None]
            weight, growth = weights.at(s)
            way = self.direction.at(s, tangent) + off[0] + bend * (s - start)[:, None]
            grows = self.direction.growth(s, choose(none, np.zeros_like(turning), turning)) + bend
            by = self.amount[:, None]
            return segment.at(t) + way * by * weight[:, None], tangent + by * (way * growth[:, None] + grows * weight[:, None])

        fine = len(self.line.segments) >= FINE or isinstance(segment, Line) and self.direction.follows
        count = 1 if fine else CUBICS
        drawn: list[Segment] = [first]
        for low, high in zip(stops[1:4], stops[2:5], strict=True):
            if np.all(high - low <= NO_LENGTH):
                continue
            step = (high - low) / count
            found = [shown(low + step * k, step * LOOK) for k in range(count + 1)]
            drawn += [_hermite(*one, *other, step) for one, other in zip(found, found[1:], strict=False)]
        return [*drawn, last]


def _snapped(at: Floats, start: Floats, end: Floats) -> Floats:
    """A length within the run from start to end; at the end of it that lies so near that no line is drawn between them."""
    return np.where(at - start <= SAME_PLACE, start, np.where(end - at <= SAME_PLACE, end, at))


def _hermite(p: Floats, leaving: Floats, q: Floats, arriving: Floats, step: Floats) -> Cubic:
    third = step[:, None] / 3.0
    return Cubic(np.stack([p, p + leaving * third, q - arriving * third, q], axis=1))


# ------------------------------------------------------------ corners that move


def _carried_on(run: Run, path: Path, reach: Floats) -> Segment:
    """How a path goes on past its end, so far (N,): along the circle of its end."""
    long = np.stack([segment.length() > NO_LENGTH for segment in path.segments[::-1]])
    last = path.segments[-1 - run.alike(np.argmax(long, axis=0), np.isfinite(path.length()))]
    start, heading, bend = path.end(), path.end_direction(), end_bend(last)
    bend = np.where(np.abs(bend * reach) > 1.0, 0.0, bend)  # sharper than that it is no line to go on by
    if run.alike((np.abs(bend) < UNBENT).astype(int), np.isfinite(bend)):
        return Line(start, start + heading * reach[:, None])
    radius = 1.0 / np.where(np.abs(bend) < UNBENT, np.nan, bend)
    return Arc(
        start + square_to(heading) * radius[:, None], np.abs(radius), angle_of(-square_to(heading) * radius[:, None]), bend * reach
    )


def _cornered(run: Run, fresh: Path, beside: Path, amount: Floats, edge: str, name: str) -> tuple[Path, Path]:
    """The new line as far as it meets the edge beside its end, and that edge from there on; `beside` (N,) begins at the old corner."""
    reach = RUN_ON * amount + RUN_ON_LEAST
    end, heading = fresh.end(), fresh.end_direction()
    line = Path.join(fresh, Path((Line(end, end + heading * reach[:, None]),)))
    back = _carried_on(run, beside.reversed(), reach)
    whole = Path.join(Path((back,)).reversed(), beside)
    corner = meet.path_path(line.reversed(), whole)
    run.fail(
        np.isnan(corner[:, 0]) & np.isfinite(fresh.length()) & np.isfinite(beside.length()),
        "D641",
        f"{edge} would move past what there is of {name}",
        expected=lambda i: f"less than {at_most(_room(line, beside)[i], run.unit)}, where {name} ends or a dart lies",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion="Move the edge by less, or part of the amount at another seam.",
    )
    left = line.part(np.zeros(run.n), np.nan_to_num(nearest_on(line, corner)))
    rest = whole.part(np.nan_to_num(nearest_on(whole, corner)), whole.length())
    unknown = np.where(np.isnan(corner[:, 0]), np.nan, 0.0)[:, None] * np.ones(2)
    shift = Motion.shift(unknown)
    return left.moved(shift), rest.moved(shift)


def _room(line: Path, beside: Path) -> Floats:
    """How far (N,) the far end of what is beside lies from the new line, roughly: by so much it could have moved."""
    far = beside.end()
    return distance(line.point_at(np.nan_to_num(nearest_on(line, far))), far)


def _with_strip(edge: Edge, number: int, path: Path) -> Edge:
    items = items_of(edge)
    strips = [k for k, item in enumerate(items) if item.path is not None]
    items[strips[number]] = items[strips[number]]._replace(path=path)
    return edge_of(edge.name, items)


# ------------------------------------------------------------ the operation


@change(takes=(SHAPE, LENGTH), more=LENGTH)
def move_edge(
    run: Run,
    shape: Shape,
    amount: Floats,
    *places: Floats,
    ring: EdgeRing,
    edge: str,
    way: Way,
    full: int,
    kept: tuple[bool, bool],
) -> Shape:
    """The piece with an edge moved by so much (N,), zero or more; the first `full` of `places` (N,) along the sewn edge are
    those where it moves in full, at the others it runs to nothing.

    `kept` tells of its start and its end whether the line beyond is its own image, so that it keeps its direction there.
    """
    own = shape.edge(edge)
    amount = _some(run, amount, way, edge)
    if any(dart.kind == "pleat" for dart in own.darts):
        run.fail(
            True,
            "D646",
            f"{edge} has pleats, so it cannot be moved",
            expected="an edge with darts or without",
            found=", ".join(dart.name for dart in own.darts if dart.kind == "pleat"),
            suggestion="Move it before the pleats are laid: in the piece that this one is made from.",
        )
        return replace(shape)
    moved = MovedLine(
        own.closed, amount, _weights(run, own.closed, places[:full], places[full:], kept, edge), _direction(run, shape, own, way)
    )
    _within_piece(run, shape, own, moved, way)
    edges = _redrawn(run, shape, own, moved, ring)
    done = next(drawn for drawn in edges if drawn.name == edge)
    points = {name: _carried(point, own, done, moved) for name, point in shape.points.items()}
    return Shape(edges, points, shape.feet, fitted(shape.lines, own.strips, edges, edge))


def _some(run: Run, amount: Floats, way: Way, edge: str) -> Floats:
    other = {"in": "let out", "out": "take in", "up": "drop", "down": "raise"}[way]
    return at_least_nothing(run, amount, f"{edge} is moved by less than nothing", f"To move it the other way say: {other}")


def at_least_nothing(run: Run, amount: Floats, title: str, way_out: str) -> Floats:
    """The amount (N,) of a fitting, NaN where it is less than nothing; that is told (D644)."""
    negative = amount < 0.0
    run.fail(negative, "D644", title, expected="zero or more", found=lambda i: show_length(amount[i], run.unit), suggestion=way_out)
    return np.where(negative, np.nan, amount)


def _redrawn(run: Run, shape: Shape, own: Edge, moved: MovedLine, ring: EdgeRing) -> tuple[Edge, ...]:
    weights, length = moved.weights, moved.line.length()
    fresh, beside = moved.path(), {}
    known = np.isfinite(length) & np.isfinite(moved.amount)
    last = Motion.identity(run.n)
    for dart in own.darts:
        last = dart.fold.then(last)
    if run.alike((weights.high >= length - SAME_PLACE).astype(int), known):
        after = shape.edge(ring.after(own.name))
        fresh, strip = _cornered(run, fresh, after.strips[0].moved(last), moved.amount, own.name, after.name)
        beside[after.name] = _with_strip(after, 0, strip.moved(last.inverse()))
    if run.alike((weights.low <= SAME_PLACE).astype(int), known):
        name = ring.before(own.name)
        before = beside.get(name, shape.edge(name))
        back, strip = _cornered(run, fresh.reversed(), before.strips[-1].reversed(), moved.amount, own.name, before.name)
        fresh = back.reversed()
        beside[before.name] = _with_strip(before, -1, strip.reversed())
    redrawn = recut(run, own, fresh, in_company=False) if own.darts else Edge(own.name, own.span, (fresh,))

    def give(part: Portion | Added) -> Edge:
        assert isinstance(part, Portion)
        return redrawn if part.edge == own.name else beside.get(part.edge, shape.edge(part.edge))

    return filled(run, ring, give)


def _within_piece(run: Run, shape: Shape, own: Edge, moved: MovedLine, way: Way) -> None:
    """Report an edge that is taken in by as much as the piece is wide where it moves in full."""
    if run.quiet or way != "in" or own.darts:
        return
    low, high, length = moved.weights.low, moved.weights.high, moved.line.length()
    others = [plain(edge.across_mouths().flatten("coarse")) for edge in shape.edges if edge.name != own.name]
    for s in (low, (low + high) / 2.0, high):
        origin, heading = plain(moved.line.point_at(s)), plain(moved.direction.at(s, moved.line.direction_at(s)))
        inner = (plain(s) > SAME_PLACE) & (plain(s) < plain(length) - SAME_PLACE)  # at a corner the edge beside it tells (D641)
        room = np.where(inner, np.min([_ahead(other, origin, heading) for other in others], axis=0), np.inf)
        run.fail(
            plain(moved.amount) >= room,
            "D642",
            f"{own.name} would be taken in past the other side of the piece",
            expected=_less_than(run, room),
            found=lambda i: show_length(plain(moved.amount)[i], run.unit),
            suggestion="Take it in by less.",
        )


def _less_than(run: Run, room: Floats) -> Callable[[int], str]:
    return lambda i: f"less than {at_most(float(room[i]), run.unit)}, as wide as it is there"


def _ahead(run: Floats, origin: Floats, heading: Floats) -> Floats:
    """How far (N,) ahead of an origin a run of points (N, K, 2) is crossed; infinite where it is not."""
    off = run - origin[:, None]
    height, ahead = cross(heading[:, None], off), dot(heading[:, None], off)
    crosses = height[:, :-1] * height[:, 1:] < 0.0
    part = np.where(crosses, height[:, :-1] / np.where(crosses, height[:, :-1] - height[:, 1:], 1.0), 0.0)
    reach = ahead[:, :-1] + part * (ahead[:, 1:] - ahead[:, :-1])
    nearest: Floats = np.where(crosses & (reach > 0.0), reach, np.inf).min(axis=1)
    return nearest


def _carried(point: Floats, before: Edge, after: Edge, moved: MovedLine) -> Floats:
    """A named point: one that lies on the edge goes with it, any other stays."""
    place, off = nearest_along(before, point)
    place = np.nan_to_num(place)
    weight, _ = moved.weights.at(place)
    goes = (off <= BESIDE) & (weight > 0.0)
    if not np.any(goes):
        return point
    target = moved.place(place)  # where it lies with the darts folded
    ends = np.cumsum(np.stack([strip.length() for strip in before.strips]), axis=0)
    motion, result = Motion.identity(len(place)), point
    for number, strip in enumerate(after.strips):
        here = (place <= ends[number] + MEETS) & ((place > ends[number - 1] + MEETS) if number else True)
        on_paper = motion.inverse().points(target)
        on_strip = strip.point_at(np.nan_to_num(nearest_on(strip, on_paper)))
        result = choose(goes & here, on_strip, result)
        if number < len(after.darts):
            motion = before.darts[number].fold.then(motion)
    return result
