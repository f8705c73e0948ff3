"""The levels of the body as lines on the cloth, and how wide a piece is along them once it is sewn.

A level is a line on the piece: straight strands (`Chords`), and edges of the outline along which it runs for their whole
length.  On a piece as drawn it is the horizontal section at the level's height, the frame of a piece by level, or the line
that the style names.  It lies on the paper, over the open mouths of darts as over cloth; its sewn width is its length less
what lies within darts and pleats, and along an edge that edge's sewn length.  So whatever a change does with the paper it does
with the lines (`carrying`), and no figure of a level is ever read off the paper anew.

Lines are worked out when a width is first asked for: a change that is tried again and again carries none of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from ..geometry import meet
from ..geometry.arrays import Floats, Mask
from ..geometry.chords import Chords
from ..geometry.outline import inside
from ..geometry.path import Path
from ..geometry.plane import choose, norm, unit, vector
from ..geometry.segments import Line
from ..meaning.kinds import EDGE, LENGTH, LEVEL, PATH, POINT
from ..source.quantity import show_length
from .guides import Guide, path_of
from .operations import operation
from .pattern import Dart, Edge
from .steps import Run

BESIDE = 1e-3  # mm; a level through a corner or along an edge is read so far above and below it
HAIR = 0.01  # mm; an edge that is kept as chords of its curve may lie so far off it
AGREE = 2.0  # mm; two levels of a piece may lie so much nearer or farther apart than those of the style; our own choice
SHALLOW = 0.5  # sine of the angle under which an edge is no side of the piece but its upper or lower edge; our own choice


@dataclass(slots=True, eq=False)
class LevelLine:
    """One level on one piece: straight strands, and whole edges by name.

    `leaves` tells through which edges a straight section leaves the piece otherwise than through its sides, and for whom.
    """

    chords: Chords
    along: tuple[str, ...] = ()
    leaves: tuple[tuple[str, Mask], ...] = ()


class LevelLines:
    """The lines of a shape by their levels, each worked out when it is first asked for."""

    def __init__(self, names: Iterable[str], find: Callable[[str], LevelLine]) -> None:
        self.names, self._find = tuple(names), find
        self._found: dict[str, LevelLine] = {}

    def __iter__(self) -> Iterator[str]:
        return iter(self.names)

    def __getitem__(self, name: str) -> LevelLine:
        if name not in self._found:
            with np.errstate(all="ignore"):
                self._found[name] = self._find(name)
        return self._found[name]

    def changed(self, change: Callable[[LevelLine], LevelLine]) -> LevelLines:
        return LevelLines(self.names, lambda name: change(self[name]))

    def with_those(self, others: LevelLines, join: Callable[[LevelLine | None, LevelLine | None], LevelLine]) -> LevelLines:
        """The lines of two shapes together: what `join` makes of the two, of which one may be wanting."""

        def find(name: str) -> LevelLine:
            mine, theirs = (lines[name] if name in lines.names else None for lines in (self, others))
            return join(mine, theirs)

        return LevelLines(dict.fromkeys([*self.names, *others.names]), find)


def no_lines(n: int = 0) -> LevelLines:
    """Of a shape that no level crosses; whichever is asked for has no strand."""
    return LevelLines((), lambda name: LevelLine(Chords.none(n)))


class DrawnLevel:
    """The line of one level on one piece, worked out when it is first asked for."""

    def __init__(self, find: Callable[[], LevelLine]) -> None:
        self._lines = LevelLines(("",), lambda name: find())

    @property
    def line(self) -> LevelLine:
        return self._lines[""]


# ------------------------------------------------------------ lines of a piece as drawn


@operation(takes=(LENGTH,), more=EDGE, gives=LEVEL)
def level_across(run: Run, y: Floats, *edges: Edge) -> DrawnLevel:
    """The horizontal section of a piece."""
    return DrawnLevel(lambda: _across(run.n, y, edges))


@operation(takes=(LENGTH, LENGTH, LENGTH), gives=LEVEL)
def level_framed(run: Run, side: Floats, centre: Floats, y: Floats) -> DrawnLevel:
    """The level of a row of widths, from centre to side."""
    y = np.broadcast_to(y, (run.n,))
    return DrawnLevel(lambda: LevelLine(Chords(vector(centre, y)[:, None], vector(side, y)[:, None])))


@operation(more=EDGE, named={"lines": PATH}, gives=LEVEL)
def level_along(run: Run, *edges: Edge, names: tuple[str, ...], lines: Sequence[Guide | Path]) -> DrawnLevel:
    """A level that runs along edges of the outline, `names`, and along drawn lines within it, so far as they lie in the piece."""

    def find() -> LevelLine:
        chords = Chords.join(Chords.none(run.n), *(Chords.along(path_of(line)) for line in lines))
        if not chords.count:
            return LevelLine(chords, names)
        ring = outline_across_mouths(edges).flatten()
        chords = chords.parted(np.concatenate([ring, ring[:, :1]], axis=1))
        return LevelLine(chords.only(inside(chords.middles(), ring)), names)

    return DrawnLevel(find)


def outline_across_mouths(edges: Iterable[Edge]) -> Path:
    return Path.join(*(edge.across_mouths() for edge in edges))


def _across(n: int, y: Floats, edges: Sequence[Edge]) -> LevelLine:
    """Read a little above and a little below, and the wider taken: on the level itself an edge may lie along it, and then
    no line crosses it.  `BESIDE` must exceed what `meet` holds for one place."""
    y = np.broadcast_to(y, (n,))
    drawn = [_as_drawn(edge, y) for edge in edges]
    readings = [_reading(drawn, y + hair) for hair in (-BESIDE, BESIDE)]
    (crossings, owners), (others, other_owners) = readings
    width, other_width = (_paired(one) for one in (crossings, others))
    most = max(crossings.shape[1], others.shape[1])
    below = other_width > width
    crossings, others = (_padded(one, most) for one in (crossings, others))
    here = np.where(below[:, None], others, crossings)
    chords = Chords(_on(here[:, 0::2], y), _on(here[:, 1::2], y)).pruned()
    leaves = []
    owner = np.where(below[:, None], _padded(other_owners, most, -1.0), _padded(owners, most, -1.0))
    level = y + np.where(below, BESIDE, -BESIDE)
    for number, (edge, (path, along)) in enumerate(zip(edges, drawn, strict=True)):
        lies = _crossed_flatly(path, level) & ~along
        lies |= np.any((owner[:, 1:-1:2] == number) & (owner[:, 2::2] == number), axis=1) & ~along
        if lies.any():
            leaves.append((edge.name, lies))
    return LevelLine(chords, (), tuple(leaves))


def _as_drawn(edge: Edge, y: Floats) -> tuple[list[tuple[Path, Mask]], Mask]:
    """An edge, and whether (N,) it lies along the level: one drawn so and then bent by its darts counts as it was drawn."""
    if not edge.darts:
        return [(edge.across_mouths(), np.ones(len(y), dtype=bool))], np.zeros(len(y), dtype=bool)
    feet = [edge.start(), *(at for dart in edge.darts for at in (dart.near_foot, dart.far_foot)), edge.end()]
    along: Mask = np.all([np.abs(at[:, 1] - y) <= BESIDE for at in feet], axis=0)
    chord = Path(tuple(Line(one, next_one) for one, next_one in zip(feet, feet[1:], strict=False)))
    return [(edge.across_mouths(), ~along), (chord, along)], along


def _reading(drawn: Sequence[tuple[list[tuple[Path, Mask]], Mask]], y: Floats) -> tuple[Floats, Floats]:
    """All x (N, K), in order, at which the outline crosses a level, and the number of the edge that does."""
    found, owners = [], []
    for number, (ways, _) in enumerate(drawn):
        for path, holds in ways:
            at = np.where(holds[:, None], meet.crossings_at_level(path, y), np.nan)
            found.append(at)
            owners.append(np.full(at.shape[1], float(number)))
    crossings = np.concatenate(found, axis=1)
    order = np.argsort(crossings, axis=1)
    crossings = np.sort(crossings, axis=1)
    return crossings, np.where(np.isnan(crossings), -1.0, np.concatenate(owners)[order])


def _padded(values: Floats, count: int, filling: float = np.nan) -> Floats:
    """With so many columns, and one more where that is no even number."""
    count += count % 2
    extra = np.full((len(values), count - values.shape[1]), filling)
    return np.concatenate([values, extra], axis=1) if extra.shape[1] else values


def _paired(crossings: Floats) -> Floats:
    even = _padded(crossings, crossings.shape[1])
    width: Floats = np.nansum(even[:, 1::2] - even[:, 0::2], axis=1)
    return width


def _on(x: Floats, y: Floats) -> Floats:
    return vector(x, np.broadcast_to(y[:, None], x.shape))


def _crossed_flatly(ways: Sequence[tuple[Path, Mask]], y: Floats) -> Mask:
    """Whether (N,) an edge crosses a level at so small an angle that it is no side of the piece."""
    flat: Mask = np.zeros(len(y), dtype=bool)
    for path, holds in ways:
        low, high = path.box()
        if not ((low[:, 1] <= y) & (y <= high[:, 1]) & holds).any():
            continue
        run = path.flatten()
        step = run[:, 1:] - run[:, :-1]
        above = run[..., 1] < y[:, None]
        crosses = above[:, 1:] != above[:, :-1]
        flat |= np.any(crosses & (np.abs(step[..., 1]) < SHALLOW * norm(step)), axis=1) & holds
    return flat


# ------------------------------------------------------------ widths


@operation(takes=(LEVEL,), more=EDGE, named={"inner": POINT}, gives=LENGTH)
def line_width(run: Run, own: DrawnLevel, *edges: Edge, inner: Sequence[Floats], level: str, piece: str) -> Floats:
    """The sewn width of a piece along a line: its length, less what lies within darts and pleats.

    `inner` are the points of darts within the piece, four of each.
    """
    line, width = own.line, np.zeros(run.n)
    for name, lies in line.leaves:
        leaves(run, lies, level, piece, name)
        width = np.where(lies, np.nan, width)
    for edge in edges:
        if edge.name in line.along:
            width = width + edge.closed_length()
    if not line.chords.count:
        return width
    sewn = line.chords.lengths()
    for dart in (dart for edge in edges for dart in edge.darts if dart.kind != "tuck"):  # a tuck is open below its edge
        sewn = sewn - line.chords.within(wedge_of(dart))
    ring = None
    for k in range(0, len(inner), 4):
        upper, near, lower, far = inner[k : k + 4]
        ring = outline_across_mouths(edges).flatten() if ring is None else ring
        here = inside(((near + far) / 2.0)[:, None], ring)  # a part of a cut has only those of its own
        sewn = sewn - np.where(here, np.nan_to_num(line.chords.within(np.stack([upper, near, lower, far], axis=1))), 0.0)
    total: Floats = width + np.nansum(sewn, axis=1)
    return total


def wedge_of(dart: Dart) -> Floats:
    """The corners (N, M, 2) of what a dart or a pleat takes out of the paper, carried a hair beyond the edges on which it opens."""
    down, up = ([segment.start() for segment in leg.segments] + [leg.end()] for leg in (dart.near_leg, dart.far_leg))
    open_below = (dart.kind == "pleat") & (norm(down[-1] - up[-1]) > HAIR)  # else it tapers to a point
    for leg in (down, up):
        leg[0] = leg[0] + HAIR * unit(leg[0] - leg[1])
        leg[-1] = choose(open_below, leg[-1] + HAIR * unit(leg[-1] - leg[-2]), leg[-1])
    return np.stack([*down, *up[::-1]], axis=1)


def leaves(run: Run, bodies: Mask, level: str, piece: str, edge: str) -> None:
    """Report for whom a straight level leaves a piece through its upper or lower edge."""
    run.fail(
        bodies,
        "D510",
        f"The level {level} leaves {piece} through {edge}",
        expected="a level that runs straight across from side to side",
        found=f"one that {edge} cuts, so that it does not go all round",
        suggestion=f"Say which line on the piece the level is: level {level} along {edge}; or along a line that you draw for it.",
    )


@operation(takes=(LENGTH, LENGTH, LENGTH, LENGTH), gives=LENGTH, sampled="what is drawn by points rests on geometry")
def levels_apart(
    run: Run, upper_y: Floats, lower_y: Floats, upper_level: Floats, lower_level: Floats, *, upper: str, lower: str, piece: str
) -> Floats:
    """How far two levels lie apart on a piece; D511 where the levels of the style say otherwise."""
    drawn, said = lower_y - upper_y, lower_level - upper_level
    run.fail(
        np.abs(drawn - said) > AGREE,
        "D511",
        f"The levels {upper} and {lower} lie otherwise on {piece} than the style says",
        expected=lambda i: f"{lower} {show_length(said[i], run.unit)} below {upper}, as in its levels",
        found=lambda i: f"{show_length(drawn[i], run.unit)} from point to point",
        suggestion="Draw the point at the depth of the level, or change the distance in levels.",
    )
    return drawn
