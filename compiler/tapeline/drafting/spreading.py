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

from collections.abc import Sequence
from functools import reduce

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.chords import Chords
from ..geometry.dual import first_known
from ..geometry.motion import Motion
from ..geometry.outline import area
from ..geometry.path import Path
from ..geometry.plane import distance, square_to, unit
from ..geometry.segments import Line
from ..meaning.kinds import LENGTH, PATH, SHAPE
from ..meaning.ring import EdgeRing
from ..source.quantity import show_length
from ..source.text import Span
from .carrying import Opening, carried, fitted, off_edge
from .darts import true_end
from .guides import SAME, Guide
from .level_lines import LevelLines
from .operations import one_of
from .pattern import Dart, Edge
from .rims import Item, Rim, carried_points, filled_by
from .shapes import Shape, change, line_end
from .steps import Run

Pair = tuple[Floats, Floats]  # of both ends of a slash, on the one edge and on the other


@change(takes=(SHAPE, LENGTH, LENGTH), more=PATH)
def spread(
    run: Run,
    shape: Shape,
    amount: Floats,
    other_amount: Floats,
    *lines: Guide,
    ring: EdgeRing,
    edges: tuple[str, str],
    count: int,
    each: tuple[bool, bool],
    onward: bool,
    kept: str | None,
    stays: str | None,
) -> Shape:
    """Slashes from the first of `edges` to the second, each opened by its share of the amounts (N,) at either edge.

    Without `lines` they stand evenly: at k of `count` + 1 parts of both edges as sewn.  `lines` are guides of slashes.
    """
    first, second = (
        np.where(width < 0.0, np.nan, width if shared else width / count)
        for width, shared in zip((amount, other_amount), each, strict=True)
    )
    least = np.minimum(amount, other_amount)
    run.fail(
        least < 0.0,
        "D487",
        "A piece cannot be spread by less than nothing",
        expected="zero or more",
        found=lambda i: show_length(least[i], run.unit),
        suggestion="Take the cloth away where the piece is drawn.",
    )
    places = [_along(run, shape, edges, line) for line in lines] if lines else _evenly(shape, edges, count)
    return _Spreading(run, shape, edges, (first, second), onward, kept).opened(ring, places)


@change(takes=(SHAPE, LENGTH, LENGTH), more=one_of(LENGTH, PATH))
def pleats(
    run: Run,
    shape: Shape,
    depth: Floats,
    other_depth: Floats,
    *laid: Floats | Guide,
    ring: EdgeRing,
    edges: tuple[str, str],
    names: tuple[str, ...],
    lines: int,
    onward: bool,
    press: str,
    kept: str | None,
    stays: str | None,
) -> Shape:
    """Pleats of so deep (N,) laid on the first edge, their folds running to the second, where they may taper to nothing.

    They are laid evenly, or along as many `lines`.  `laid` are the guides of these; else the two places (N,) on the first edge
    between which the pleats lie, if not over the whole of it.
    """
    _deep_enough(run, depth, depth <= 0.0, "A pleat has some depth", "more than zero")
    _deep_enough(run, other_depth, other_depth < 0.0, "A pleat tapers to nothing at most", "zero or more")
    first = np.where(depth <= 0.0, np.nan, 2.0 * depth)
    second = np.where(other_depth < 0.0, np.nan, 2.0 * other_depth)
    if lines:
        places = [_along(run, shape, edges, line) for line in laid if isinstance(line, Guide)]
        places.sort(key=lambda place: float(first_known(place[0])))  # pleats are named as they follow each other on the edge
    else:
        places = _evenly(shape, edges, len(names), [place for place in laid if not isinstance(place, Guide)])
    return _Spreading(run, shape, edges, (first, second), onward, kept, press).opened(ring, places, names)


def _deep_enough(run: Run, depth: Floats, wrong: Mask, title: str, expected: str) -> None:
    run.fail(
        wrong,
        "D487",
        title,
        expected=expected,
        found=lambda i: show_length(depth[i], run.unit),
        suggestion="Give the depth of one pleat, folded.",
    )


def _along(run: Run, shape: Shape, edges: tuple[str, str], line: Guide) -> Pair:
    first, second = (line_end(run, shape.edge(name), (line.path.start(), line.path.end()), "slash") for name in edges)
    return first, second


def _evenly(shape: Shape, edges: tuple[str, str], count: int, between: Sequence[Floats] = ()) -> list[Pair]:
    """Places on both edges of `count` slashes; the edges run opposite ways round, so the second is counted from its end."""
    lengths = [shape.edge(name).closed_length() for name in edges]
    low, high = (np.minimum(*between), np.maximum(*between)) if between else (np.zeros_like(lengths[0]), lengths[0])
    places = [low + (high - low) * k / (count + 1) for k in range(1, count + 1)]
    return [(place, lengths[1] * (1.0 - place / lengths[0])) for place in places]


class _Spreading:
    """A shape that is slashed and spread, slash by slash.

    `onward` tells which side of a slash is carried off: the one onward from the first edge to the second, or the other.
    With `press` the openings are kept as pleats.  `kept` names a point whose part stays in the end: the whole is then laid
    back by the way that this part has gone.
    """

    def __init__(
        self,
        run: Run,
        shape: Shape,
        edges: tuple[str, str],
        widths: Pair,
        onward: bool,
        kept: str | None = None,
        press: str | None = None,
    ) -> None:
        self.run, self.edges, self.widths, self.onward, self.kept, self.press = run, edges, widths, onward, kept, press
        self.shape, self.rim, self.points = shape, Rim(run, shape), dict(shape.points)
        self.openings: list[Opening] = []
        self.gone = Motion.identity(run.n)  # the way of the part with the point that is kept

    def opened(self, ring: EdgeRing, places: Sequence[Pair], names: Sequence[str] = ()) -> Shape:
        """The shape with all slashes opened; `names` are those of pleats.

        Of several slashes, the one farthest from the corner that stays is opened first: that is the last along the first
        edge where what comes onward from it is carried.
        """
        for number in sorted(range(len(places)), key=lambda k: first_known(places[k][0]), reverse=not self.onward):
            self._open(places[number], names[number] if names else "")
        if self.kept is not None:
            back = self.gone.inverse()
            self.rim.carry(range(len(self.rim.items)), back)
            self.points = {name: back.points(point) for name, point in self.points.items()}
        edges = filled_by(self.run, ring, self.rim)
        return Shape(edges, self.points, lines=self._lines(ring, edges))

    def _lines(self, ring: EdgeRing, edges: tuple[Edge, ...]) -> LevelLines:
        """The level lines over all openings.  Where the other edge runs over pleats, that is not cloth as it is sewn."""
        shape = self.shape
        lines = shape.lines if self.press is None else off_edge(shape.lines, shape.edge(self.edges[1]))

        def opened(chords: Chords) -> Chords:
            chords = reduce(lambda strands, opening: opening(strands), self.openings, chords)
            return chords if self.kept is None else chords.moved(self.gone.inverse())

        lines = carried(ring, lines, shape.edges, opened)
        for name in self.edges if self.press is None else ():
            lines = fitted(lines, self.rim.strips(name), edges, name)
        return lines

    def _open(self, place: Pair, name: str) -> None:
        """Open one slash: both parts, with gaps or the mouth of a pleat between them."""
        rim, onward = self.rim, self.onward
        rim.stops = []
        for edge, s in zip(self.edges, place, strict=True):
            rim.slash(edge, s, "a slash", "Set fewer slashes, or draw their lines.")
        at = [begin for _, begin in rim.stops]
        moving = rim.arc(*at) if onward else rim.arc(*at[::-1])
        start, end = (rim.strip(k).start() for k in at)
        outline = Path.join(*(item.path for item in rim.items if item.path is not None)).flatten("coarse")
        motion = _opening((start, end), self.widths, np.sign(area(outline)) * (1.0 if onward else -1.0))
        points = carried_points(self.points, rim, moving, [], motion)
        if self.kept is not None:
            self.gone = self.gone.then(motion.where(distance(points[self.kept], self.points[self.kept]) > 0.0))
        self.points = points
        self.openings.append(Opening([path for k in moving if (path := rim.items[k].path) is not None], (start, end), motion))
        rim.carry(moving, motion)
        # What stands in the slash on the second edge ends the fold lines of a pleat on the first.
        inner = (end, motion.points(end)) if onward else (motion.points(end), end)
        between = [
            self._between(at[0], self.widths[0], name, inner, motion),
            None if _shut(self.widths[1]) else Item(self.edges[1], self.run.span, straight=self.press is not None),
        ]
        for k, item in sorted(zip(at, between, strict=True), key=lambda placed: -placed[0]):
            if item is not None:
                rim.items.insert(k, item)

    def _between(self, at: int, width: Floats, name: str, inner: Pair, motion: Motion) -> Item | None:
        """What stands in the open slash on the first edge: a gap, or the mouth of a pleat."""
        gap = Item(self.edges[0], self.run.span)
        if self.press is None:
            return None if _shut(width) else gap
        before, after = self.rim.strip(at - 1), self.rim.strip(at)
        closing = motion.inverse() if self.onward else motion
        return gap._replace(dart=_pleat(name, self.run.span, (before.end(), after.start()), inner, closing, self.press, before, after))


def _shut(width: Floats) -> bool:
    """Whether a slash stands open there for no body."""
    return bool(np.all(~(width > SAME)))


def _opening(ends: Pair, widths: Pair, sense: Floats) -> Motion:
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


def _pleat(name: str, span: Span, feet: Pair, inner: Pair, closing: Motion, press: str, before: Path, after: Path) -> Dart:
    """A pleat as a dart that runs through to the other edge: its legs are its fold lines."""
    middle, depth = (feet[0] + feet[1]) / 2.0, (inner[0] + inner[1]) / 2.0
    headings = unit(feet[0] - inner[0]), unit(feet[1] - inner[1])
    intake = distance(*feet)
    trued = true_end(press, depth, unit(middle - depth), feet, headings, intake, before, after)
    near, far = (Path((Line(foot, end),)) for foot, end in zip(feet, inner, strict=True))
    return Dart(name, span, depth, near, far, closing, trued, press, intake, intake, None, middle, "pleat")
