"""The level lines of a piece carried along with its cloth, change by change.

A change cuts the paper along some ways, carries one part of it by a rigid motion, and may leave out what lay in a closed dart
or lay new cloth into an opening.  The strands of a line are cut along the same ways; each then lies wholly in one part, as its
middle tells, and goes with that part.  Where an opening crosses a line, the line is laid straight across it: what was opened
there is added, unless it is the mouth of a dart or a pleat, which the width leaves out again.

An edge along which a level runs stays such an edge while the new ring has it and adds nothing to it that is cloth beside it;
else it is turned into strands where it last lay.  So a line stays with the cloth, not with a name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.chords import ON_RIM, Chords, near_run, off_run, slid
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, cross, unit
from ..meaning.ring import Added, EdgeRing, Portion
from .level_lines import HAIR, LevelLine, LevelLines, wedge_of
from .pattern import Dart, Edge

ON_EDGE = 0.01  # mm; a strand whose end is nearer to an edge ends on it
OPENINGS = frozenset(("mouth", "gap"))  # what a ring adds within an edge
Carrying = Callable[[Chords], Chords]


# ------------------------------------------------------------ along edges


def carried(ring: EdgeRing, lines: LevelLines, edges: Sequence[Edge], carry: Carrying, of: str = "this") -> LevelLines:
    """The lines of a piece after a change that makes `ring` of its edges, or of its image; `carry` does it to the strands."""

    def change(line: LevelLine) -> LevelLine:
        along = followed(ring, {of: line})
        return LevelLine(carry(strands(ring, along, line, edges, of)), along)

    return lines.changed(change)


def united(ring: EdgeRing, one: LevelLines, other: LevelLines, sides: Mapping[str, tuple[Sequence[Edge], Carrying]]) -> LevelLines:
    """The lines of two pieces that become one; `sides` names the two in their order, with their edges and what is done to each."""

    def join(*lines: LevelLine | None) -> LevelLine:
        known = {of: line for of, line in zip(sides, lines, strict=True) if line is not None}
        along = followed(ring, known)
        parts = [sides[of][1](strands(ring, along, line, sides[of][0], of)) for of, line in known.items()]
        return LevelLine(Chords.join(*parts), along)

    return one.with_those(other, join)


def followed(ring: EdgeRing, lines: Mapping[str, LevelLine]) -> tuple[str, ...]:
    """The edges of a ring along which a level runs that ran along those of which they are made; `lines` are told by `of`."""
    along = []
    for edge in ring.edges:
        portions = [part for part in edge.made_of if isinstance(part, Portion)]
        added = {part.what for part in edge.made_of if isinstance(part, Added)}
        if portions and added <= OPENINGS and all(part.of in lines and part.edge in lines[part.of].along for part in portions):
            along.append(edge.name)
    return tuple(along)


def strands(ring: EdgeRing, along: Sequence[str], line: LevelLine, edges: Sequence[Edge], of: str) -> Chords:
    """The strands of a line, and those that its edges become which the new ring has no more, or not as such."""
    kept = {part.edge for name in along for part in ring.edge(name).made_of if isinstance(part, Portion) and part.of == of}
    lost = [edge for edge in edges if edge.name in line.along and edge.name not in kept]
    return Chords.join(line.chords, *(Chords.along(edge.across_mouths()) for edge in lost))


def off_edge(lines: LevelLines, edge: Edge) -> LevelLines:
    """The lines, with strands for an edge that one follows."""

    def change(line: LevelLine) -> LevelLine:
        if edge.name not in line.along:
            return line
        along = tuple(name for name in line.along if name != edge.name)
        return LevelLine(Chords.join(line.chords, Chords.along(edge.across_mouths())), along)

    return lines.changed(change)


# ------------------------------------------------------------ a part turned or carried off


@dataclass(frozen=True, slots=True, eq=False)
class Turning:
    """One side of a piece turned about a dart's point.

    `moving` are the strips of that side, in order from or to the dart's mouth; `old` is the dart that closes, wholly or in
    part, with its far leg if `onward`, else with its near one.  What opens is a slash from `slash` (N, 2) to the point, or
    the dart `into`.
    """

    moving: Sequence[Path]
    motion: Motion
    old: Dart
    whole: bool
    onward: bool
    slash: Floats | None = None
    into: Dart | None = None

    def __call__(self, chords: Chords) -> Chords:
        if not chords.count:
            return chords
        bridge = Chords.none(self.motion.n)
        if self.slash is not None:
            slash = np.stack([_beyond_end(self.old.point, self.slash), self.old.point], axis=1)
            bridge, chords = _bridge(chords, slash, self.motion), chords.parted(slash)
        for dart in (self.old, self.into):
            if dart is not None:
                chords = chords.parted(np.stack([dart.near_foot, dart.point, dart.far_foot], axis=1))
        in_old = chords.lie_in(wedge_of(self.old))
        moves = chords.lie_in(ring_of(self.moving, self.old.point)) & ~in_old
        after = chords.moved(self.motion).or_else(moves, chords)
        if self.into is not None:
            after = self._stretched(chords, self.into, not self.onward).or_else(chords.lie_in(wedge_of(self.into)) & ~in_old, after)
        after = after.only(~in_old) if self.whole else self._stretched(chords, self.old, self.onward).or_else(in_old, after)
        return Chords.join(after, bridge)

    def _stretched(self, chords: Chords, dart: Dart, far: bool) -> Chords:
        """Strands across a dart, of which the ends on one leg go with it."""
        legs = (dart.far_foot, dart.near_foot) if far else (dart.near_foot, dart.far_foot)
        going, staying = (np.stack([foot, dart.point], axis=1) for foot in legs)
        ends = [choose(off_run(end, going) < off_run(end, staying), self.motion.points(end), end) for end in (chords.a, chords.b)]
        return Chords(*ends)


@dataclass(frozen=True, slots=True, eq=False)
class Opening:
    """One side of a slash from edge to edge carried off: its strips `moving`, and the two ends of the slash."""

    moving: Sequence[Path]
    ends: tuple[Floats, Floats]
    motion: Motion

    def __call__(self, chords: Chords) -> Chords:
        if not chords.count:
            return chords
        start, end = self.ends
        slash = np.stack([_beyond_end(end, start), _beyond_end(start, end)], axis=1)
        bridge, chords = _bridge(chords, slash, self.motion), chords.parted(slash)
        return Chords.join(chords.moved(self.motion).or_else(chords.lie_in(ring_of(self.moving)), chords), bridge)


def _beyond_end(start: Floats, end: Floats) -> Floats:
    """The end of a slash carried on a hair, so that it meets what lies along the rim there."""
    return end + unit(end - start) * HAIR


def _bridge(chords: Chords, slash: Floats, motion: Motion) -> Chords:
    """Straight across an opening, from where each strand crosses the slash to where its other side has gone."""
    parts = chords.crossed(slash)
    if not parts.shape[2]:
        return Chords.none(len(slash))
    crossed = ~np.isnan(parts[:, :, 0])
    at = chords.at(np.where(crossed, parts[:, :, 0], 0.0))
    return Chords(at, motion.points(at)).only(crossed)


# ------------------------------------------------------------ a part of a cut


@dataclass(frozen=True, slots=True, eq=False)
class Parting:
    """One part of a cut: its strips of the outline, and the way (N, M, 2) back along the cut from their end to their start.

    Of `darts`, in the order of the outline, those are closed; `motions` are one more than there are, each of the cloth that
    follows so many of them.
    """

    strips: Sequence[Path]
    way: Floats
    has_way: bool  # whether what runs along the cut itself is told of this part, not of the other
    darts: Sequence[Dart] = ()
    motions: Sequence[Motion] = ()

    def __call__(self, chords: Chords) -> Chords:
        if not chords.count:
            return chords
        ring = np.concatenate([ring_of(self.strips), self.way], axis=1)
        start, end = self.strips[0].start(), self.strips[-1].end()
        cut = np.concatenate([end[:, None], self.way, start[:, None]], axis=1)
        chords = chords.parted(cut)
        for dart in self.darts:
            chords = chords.parted(wedge_of(dart))
            chords = chords.only(~chords.lie_in(wedge_of(dart)))
        along_cut = near_run(chords.middles(), cut, ON_RIM)
        chords = chords.only(np.where(along_cut, self.has_way, chords.lie_in(ring)))
        if not self.darts or not chords.count:
            return chords
        passed, after = np.zeros(chords.a.shape[:2], dtype=int), chords
        for dart in self.darts:
            passed += _beyond(chords.middles(), dart)
        for number, motion in enumerate(self.motions):
            after = chords.moved(motion).or_else(passed == number, after)
        return after


def _beyond(places: Floats, dart: Dart) -> Mask:
    """Whether places (N, K, 2) lie on the far side of a dart's fold."""
    middle = (dart.near_foot + dart.far_foot) / 2.0
    axis = (dart.point - middle)[:, None]
    far = cross(axis, (dart.far_foot - middle)[:, None])
    beyond: Mask = cross(axis, places - middle[:, None]) * far > 0.0
    return beyond


# ------------------------------------------------------------ an edge drawn anew


@dataclass(frozen=True, slots=True, eq=False)
class Fitting:
    """An edge drawn anew: the strands that end on it as it was go on, each along itself, to where it now is."""

    before: Sequence[Path]
    after: Edge

    def __call__(self, chords: Chords) -> Chords:
        if not chords.count:
            return chords
        new, olds = self.after.across_mouths().flatten(), [path.flatten() for path in self.before]
        on_a, on_b = (np.any([near_run(end, old, ON_EDGE) for old in olds], axis=0) for end in (chords.a, chords.b))
        way = chords.b - chords.a
        ends = [  # a strand that lies along the edge has both its ends on it, and stays
            choose(there, slid(end, way, new), end) if there.any() else end
            for end, there in ((chords.a, on_a & ~on_b), (chords.b, on_b & ~on_a))
        ]
        return Chords(*ends)


def fitted(lines: LevelLines, before: Sequence[Path], edges: Sequence[Edge], name: str) -> LevelLines:
    """The lines, fitted to an edge that lay as `before` and has been drawn anew."""
    fitting = Fitting(before, next(edge for edge in edges if edge.name == name))
    return lines.changed(lambda line: LevelLine(fitting(line.chords), line.along))


def ring_of(paths: Iterable[Path], *corners: Floats) -> Floats:
    """A ring (N, M, 2) through paths that follow each other, straight from each to the next, and corners (N, 2) after them."""
    return np.concatenate([*(path.flatten() for path in paths), *(corner[:, None] for corner in corners)], axis=1)
