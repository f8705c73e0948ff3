"""A piece made longer or shorter along a level, as a printed pattern is at its line: parted there and spread, or folded.

What lies below the level goes down by the amount, as it is; made shorter, the strip so deep below the level is taken out, and what
lies below that comes up.  Edges that cross the level are straightened across the join by one fair curve, the longer the more they jut out
there; one that is plumb at the level stays as it is.  A dart whose mouth and point lie on two sides has its legs
drawn again.  No edge comes or goes, and every place that is not near the join keeps its part of the piece.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..geometry import fair, meet
from ..geometry.arrays import Floats, Mask
from ..geometry.chords import Chords
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, cross, unit, vector
from ..meaning.kinds import LENGTH, SHAPE
from ..meaning.ring import Added, EdgeRing, Portion
from ..source.quantity import at_most, show_length
from .carrying import Fitting
from .level_lines import LevelLine
from .moving_edges import at_least_nothing
from .operations import operation
from .pattern import Dart, Edge
from .pivoting import wedge
from .rims import edge_of, filled, items_of
from .shapes import Shape, change
from .steps import Run

JOIN = 10.0  # times what an edge juts out at the join: within so much to either side it is straightened
LEAST_JOIN = 1.0  # mm; and so much more
JOIN_PART = 0.5  # of what the edge has on that side, at most
ON_LEVEL = 1e-6  # mm; a corner that lies so near to the level lies on it


class _Join:
    """Where a piece is parted: at depth `top` (N,); what lies from `foot` (N,) on goes down by `by` (N,), which may be negative."""

    def __init__(self, run: Run, top: Floats, amount: Floats, longer: bool) -> None:
        self.run, self.top = run, top
        self.foot, self.by = (top, amount) if longer else (top + amount, -amount)
        self.shift = Motion.shift(vector(np.zeros(run.n), self.by))

    def below(self, points: Floats) -> Mask:
        """Whether points (N, ..., 2) lie below the level."""
        top = self.top.reshape(self.top.shape + (1,) * (points.ndim - 2))
        lies: Mask = points[..., 1] > top + ON_LEVEL
        return lies

    def folded_away(self, points: Floats) -> Mask:
        """Whether points (N, ..., 2) lie in the strip that is taken out."""
        foot = self.foot.reshape(self.foot.shape + (1,) * (points.ndim - 2))
        lies: Mask = self.below(points) & (points[..., 1] < foot - ON_LEVEL)
        return lies

    def carried(self, points: Floats) -> Floats:
        """Points (N, ..., 2) with those below carried; what is folded away comes to lie on the level."""
        extra = (1,) * (points.ndim - 2)
        by, top = self.by.reshape(self.by.shape + extra), self.top.reshape(self.top.shape + extra)
        y = np.where(self.below(points), np.maximum(points[..., 1] + by, top), points[..., 1])
        return np.stack([points[..., 0], y], axis=-1)


@change(takes=(SHAPE, LENGTH, LENGTH))
def lengthen(run: Run, shape: Shape, level: Floats, amount: Floats, *, ring: EdgeRing, longer: bool, name: str) -> Shape:
    """The piece made longer by so much (N,) at the depth of a level (N,), or shorter."""
    kept = at_least_nothing(
        run,
        amount,
        f"The piece is made {'longer' if longer else 'shorter'} by less than nothing",
        f"To do the other say: {'shorten' if longer else 'lengthen'}",
    )
    join = _Join(run, level, kept, longer)
    corners = np.stack([edge.start() for edge in shape.edges], axis=1)
    _held(run, join, corners, amount, longer, name)
    drawn = {edge.name: _Crossing(run, join, edge, name) for edge in shape.edges}

    def give(part: Portion | Added) -> Edge:
        assert isinstance(part, Portion)
        return drawn[part.edge].edge

    edges = filled(run, ring, give)
    points = {point: join.carried(at) for point, at in shape.points.items()}

    def line(before: LevelLine) -> LevelLine:
        chords = Chords(join.carried(before.chords.a), join.carried(before.chords.b))
        for crossing in drawn.values():
            if crossing.parts:
                chords = Fitting(crossing.parts, crossing.edge)(chords)
        return LevelLine(chords, before.along)

    return Shape(edges, points, dict(shape.feet), shape.lines.changed(line))


def _held(run: Run, join: _Join, corners: Floats, amount: Floats, longer: bool, name: str) -> None:
    known = np.isfinite(corners[..., 1]).all(axis=1) & np.isfinite(join.top)
    outside = known & (~join.below(corners).any(axis=1) | join.below(corners).all(axis=1))
    beside = "below" if join.below(corners).all() else "above"
    run.fail(
        outside,
        "D647",
        f"{name} does not part the piece",
        expected="a level or point with cloth above and below it",
        found="one at the end of the piece, or beyond it",
        suggestion=f"Say how far {beside} it: at 5 cm {beside} {name.split()[-1]}; or name a level within the piece.",
    )
    if not longer:
        room = np.where(join.below(corners), corners[..., 1] - join.top[:, None], np.inf).min(axis=1)
        run.fail(
            known & ~outside & (amount > 0.0) & (amount >= room),
            "D648",
            f"There is not so much below {name} to be folded away",
            expected=lambda i: f"less than {at_most(room[i], run.unit)}, where the next corner lies",
            found=lambda i: show_length(amount[i], run.unit),
            suggestion="Shorten by less, or part of it at another level.",
        )


class _Crossing:
    """An edge of a piece that is parted: as it is drawn then, and the parts of it that were carried as they were."""

    def __init__(self, run: Run, join: _Join, edge: Edge, level: str) -> None:
        self.run, self.join, self.name, self.level = run, join, edge.name, level
        self.parts: tuple[Path, ...] = ()
        items = items_of(edge)
        strips = [k for k, item in enumerate(items) if item.path is not None]
        for k in strips:
            path = items[k].path
            assert path is not None
            items[k] = items[k]._replace(path=self._strip(path))
        for k, item in enumerate(items):
            if item.dart is not None:
                before, after = items[k - 1].path, items[k + 1].path
                assert before is not None and after is not None
                items[k] = item._replace(dart=self._dart(item.dart, before, after))
        self.edge = edge_of(edge.name, items)

    def _strip(self, path: Path) -> Path:
        join = self.join
        start, end = join.below(path.start()), join.below(path.end())
        known = np.isfinite(path.length()) & np.isfinite(join.by)
        sides = self.run.alike(start.astype(int) + 2 * end.astype(int), known)
        self._once(path, start != end, known)
        if sides in (0, 3):
            return path if sides == 0 else path.moved(join.shift)
        if sides == 1:
            return self._across(path.reversed()).reversed()
        return self._across(path)

    def _once(self, path: Path, crosses: Mask, known: Mask) -> None:
        """Report an edge that runs in and out of the level."""
        below = self.join.below(path.flatten("coarse"))
        turns = (below[:, 1:] != below[:, :-1]).sum(axis=1)
        self.run.fail(
            known & (turns > crosses),
            "D647",
            f"{self.level} runs in and out of {self.name}",
            expected="a level that each edge crosses once, or not at all",
            found=lambda i: f"an edge that crosses it {turns[i]} times",
            suggestion="Name another level.",
        )

    def _across(self, path: Path) -> Path:
        """An edge that comes from above: its part above, the join, and its part below."""
        join, level = self.join, np.tile(np.array([1.0, 0.0]), (self.run.n, 1))
        upper, lower = (np.nan_to_num(meet.path_line(path, vector(np.zeros(self.run.n), at), level)[0]) for at in (join.top, join.foot))
        above, below = path.part(np.zeros(self.run.n), upper), path.part(lower, path.length()).moved(join.shift)
        self.parts += (above, below)
        gap = below.start() - above.end()
        jut = np.maximum(np.abs(cross(unit(above.end_direction()), gap)), np.abs(cross(unit(below.start_direction()), gap)))
        margins = [np.minimum(LEAST_JOIN + JOIN * jut, JOIN_PART * part.length()) for part in (above, below)]
        kept, rest = above.part(np.zeros(self.run.n), above.length() - margins[0]), below.part(margins[1], below.length())
        bridge = fair.bowed(kept.end(), rest.start(), above.direction_at(above.length() - margins[0]), below.direction_at(margins[1]))
        return Path.join(kept, Path((bridge,)), rest)

    def _dart(self, dart: Dart, before: Path, after: Path) -> Dart:
        join = self.join
        mouth, point = join.below((dart.near_foot + dart.far_foot) / 2.0), join.below(dart.point)
        known = np.isfinite(dart.point[:, 0]) & np.isfinite(join.by)
        self.run.fail(
            join.folded_away(np.stack([dart.near_foot, dart.far_foot, dart.point], axis=1)).any(axis=1) & known,
            "D648",
            f"The end of {dart.name} would be folded away",
            expected="a strip without the feet and the point of a dart",
            found=f"one in which {dart.name} begins or ends",
            suggestion="Shorten by less, or at another level.",
        )
        feet = before.end(), after.start()
        self.run.fail(
            known & (join.below(dart.near_foot) != join.below(dart.far_foot)),
            "D647",
            f"{self.level} runs into the mouth of {dart.name}",
            expected="a level that each edge crosses on cloth",
            found=f"one that comes between the feet of {dart.name}",
            suggestion="Name another level.",
        )
        sides = self.run.alike(mouth.astype(int) + 2 * point.astype(int), known)
        if sides == 0:
            return dart
        if sides == 3:
            return dart.moved(join.shift)
        if dart.kind == "pleat":
            self.run.fail(
                known,
                "D646",
                f"{dart.name} crosses {self.level}, so the piece cannot be parted there",
                expected="a level that no pleat crosses",
                found=dart.name,
                suggestion="Make it longer or shorter before the pleats are laid: in the piece that this one is made from.",
            )
            return dart
        redrawn = wedge(dart.name, dart.span, choose(point, join.carried(dart.point), dart.point), feet, dart.press, before, after)
        return replace(redrawn, asked=dart.asked, kind=dart.kind)


@operation(takes=(LENGTH, LENGTH, LENGTH), gives=LENGTH, sampled="where a level lies on a piece rests on geometry")
def level_carried(run: Run, depth: Floats, level: Floats, amount: Floats, *, longer: bool) -> Floats:
    """How deep a level lies on a piece that was made longer or shorter at another."""
    below = depth > level + ON_LEVEL
    return np.where(below, depth + amount if longer else np.maximum(depth - amount, level), depth)
