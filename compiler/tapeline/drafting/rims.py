"""The rim of a shape laid open to be cut and moved, and laid into the ring that a change plans.

A rim is a list of `Item`s in the order of the outline: strips of cloth's edge, and between them the mouths of darts, or gaps
where the paper has been slashed open.  A change marks its stops on the rim, in the order in which its plan numbers them,
carries some of the items by a rigid motion, and gives what the plan asks for: to each portion of an edge the items between
its stops, to all that is added what it has drawn.  `filled` puts these together, edge by edge: strips that meet are joined,
gaps are bridged by a fair line.  Names and order come from the plan alone.

Which strip of a darted edge a stop falls on may differ from body to body; the bodies are then drafted apart (`Run.alike`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..geometry import fair
from ..geometry.arrays import Floats
from ..geometry.motion import Motion
from ..geometry.outline import inside
from ..geometry.path import NO_LENGTH, Path
from ..geometry.plane import choose
from ..geometry.segments import Line
from ..meaning.ring import Added, EdgeRing, Portion, RingEdge
from ..source.text import Span
from .pattern import Dart, Edge
from .places import apart
from .shapes import BESIDE, Shape
from .steps import Run

ROOM = 0.01  # mm of cloth that a slash needs on either side of it


class Item(NamedTuple):
    """A strip (`path`), the mouth of a dart (`dart`), or neither: a gap, to be bridged by a fair line, or straight across.

    `edge` is the edge of the shape that it lies on.
    """

    edge: str
    span: Span
    path: Path | None = None
    dart: Dart | None = None
    straight: bool = False

    def moved(self, motion: Motion) -> Item:
        return self._replace(
            path=None if self.path is None else self.path.moved(motion), dart=None if self.dart is None else self.dart.moved(motion)
        )


class Rim:
    """The items of a shape from a corner on round to it, and the stops among them.

    A stop is (where what comes before it ends, where what follows begins), as places between items.
    """

    def __init__(self, run: Run, shape: Shape):
        self.run = run
        self.items = [item for edge in shape.edges for item in items_of(edge)]
        self.stops: list[tuple[int, int]] = []

    def mouth(self, dart: str) -> int:
        """Where a dart's mouth stands."""
        return next(k for k, item in enumerate(self.items) if item.dart is not None and item.dart.name == dart)

    def strip(self, at: int) -> Path:
        """The strip at a place of the rim, which is cyclic."""
        path = self.items[at % len(self.items)].path
        assert path is not None, "beside a mouth lie strips"
        return path

    def corner(self, edge: str) -> int:
        """Where an edge begins."""
        return self._on(edge)[0]

    def strips(self, edge: str) -> list[Path]:
        """The strips of an edge."""
        return [path for k in self._on(edge) if (path := self.items[k].path) is not None]

    def _on(self, edge: str) -> list[int]:
        return [k for k, item in enumerate(self.items) if item.edge == edge]

    # ------------------------------------------------------------ stops

    def stop_at_mouth(self, dart: str) -> None:
        k = self.mouth(dart)
        self.stops.append((k, k + 1))

    def stop_at_corner(self, edge: str) -> None:
        k = self.corner(edge)
        self.stops.append((k, k))

    def split(self, edge: str, s: Floats) -> int:
        """A stop at length s (N,) along an edge as sewn, which parts a strip; where the second half of it stands."""
        here = [k for k in self._on(edge) if self.items[k].path is not None]
        ends = np.cumsum(np.stack([self.strip(k).length() for k in here]), axis=0)
        number = self.run.alike(np.minimum((s > ends[:-1] + 1e-9).sum(axis=0), len(here) - 1), np.isfinite(s))
        k = here[number]
        at = s - (ends[number - 1] if number else 0.0)
        path = self.strip(k)
        at, length = np.nan_to_num(np.clip(at, 0.0, path.length())), path.length()
        first, last = path.part(np.zeros(self.run.n), at), path.part(at, length)
        self.items[k : k + 1] = [self.items[k]._replace(path=first), self.items[k]._replace(path=last)]
        self.stops = [(end + (end > k), begin + (begin > k)) for end, begin in self.stops]
        self.stops.append((k + 1, k + 1))
        return k + 1

    def slash(self, edge: str, s: Floats, what: str, way_out: str) -> int:
        """As `split`, for a slash or a cut, which needs cloth on both sides of it: D483 at a corner or at a dart's foot."""
        k = self.split(edge, s)
        for strip in (self.strip(k - 1), self.strip(k)):
            length = strip.length()
            self.run.fail(
                (length < ROOM) & np.isfinite(length) & np.isfinite(s),
                "D483",
                f"There is no room on {edge} for {what}",
                expected="a place away from the corners and from other darts",
                found="one at a corner or at a dart's foot",
                suggestion=way_out,
            )
        return k

    def arc(self, start: int, end: int) -> list[int]:
        """The places of the rim from `start` up to, not with, `end`."""
        count = len(self.items)
        return [(start + k) % count for k in range((end - start) % count)]

    # ------------------------------------------------------------ changed

    def carry(self, moving: Iterable[int], motion: Motion) -> None:
        carried = set(moving)
        self.items = [item.moved(motion) if k in carried else item for k, item in enumerate(self.items)]

    def put(self, at: int, dart: Dart) -> None:
        """Another dart, or the same one changed, in a mouth."""
        self.items[at] = self.items[at]._replace(dart=dart)

    def open(self, at: int) -> None:
        """A gap in the place of a mouth."""
        self.items[at] = self.items[at]._replace(dart=None)

    def close(self, at: int) -> None:
        """A mouth taken out: the strips beside it meet."""
        del self.items[at]
        self.stops = [(end - (end > at), begin - (begin > at)) for end, begin in self.stops]

    def portion(self, portion: Portion) -> list[Item]:
        """The items of a portion of an edge."""
        on = self._on(portion.edge)
        start = on[0] if portion.since is None else self.stops[portion.since][1]
        end = on[-1] + 1 if portion.until is None else self.stops[portion.until][0]
        return self.items[start:end]

    def strips_of(self, portion: Portion) -> list[Path]:
        """The strips of a portion of an edge."""
        return [item.path for item in self.portion(portion) if item.path is not None]


def items_of(edge: Edge) -> list[Item]:
    items = [Item(edge.name, edge.span, edge.strips[0])]
    for dart, strip in zip(edge.darts, edge.strips[1:], strict=True):
        items += [Item(edge.name, edge.span, dart=dart), Item(edge.name, edge.span, strip)]
    return items


# ------------------------------------------------------------ into the plan


def filled(run: Run, ring: EdgeRing, give: Callable[[Portion | Added], Edge | Sequence[Item]]) -> tuple[Edge, ...]:
    """The edges of a ring; `give` gives what each is made of: items, or an edge that is one of its edges as it stands."""
    return tuple(_edge(run, planned, [give(part) for part in planned.made_of]) for planned in ring.edges)


def filled_by(run: Run, ring: EdgeRing, rim: Rim, added: dict[str, Item] | None = None) -> tuple[Edge, ...]:
    """As `filled`, from the rim of one shape, and what is added, by the word for it."""
    table = added or {}
    return filled(run, ring, lambda part: rim.portion(part) if isinstance(part, Portion) else [table[part.what]])


def _edge(run: Run, planned: RingEdge, given: list[Edge | Sequence[Item]]) -> Edge:
    first = given[0]
    if isinstance(first, Edge):
        prefix = next((part.prefix for part in planned.made_of if isinstance(part, Portion)), "")
        darts = tuple(replace(dart, name=prefix + dart.name) for dart in first.darts)
        return Edge(planned.name, first.span, first.strips, darts, first.closed)
    return edge_of(planned.name, [item for items in given if not isinstance(items, Edge) for item in items])


def edge_of(name: str, items: list[Item]) -> Edge:
    strips: list[list[Path]] = []  # a strip: its parts, with a gap between each and the next
    darts: list[Dart] = []
    gap: Item | None = None
    for item in items:
        if item.dart is not None:
            darts.append(item.dart)
        elif item.path is not None and len(strips) == len(darts):
            strips.append([item.path])
        elif item.path is not None and gap is not None and gap.straight:
            across = Path((Line(strips[-1][-1].end(), item.path.start()),))
            strips[-1][-1] = Path.join(strips[-1][-1], across, item.path)
        elif item.path is not None and gap is not None:
            strips[-1].append(item.path)
        elif item.path is not None:
            strips[-1][-1] = Path.join(strips[-1][-1], item.path)
        gap = item if item.path is None and item.dart is None else None
    whole = tuple(_pruned(_bridged(parts)) for parts in strips)
    return Edge(name, items[0].span, whole, tuple(darts), _folded(whole, darts) if darts else whole[0])


def _pruned(path: Path) -> Path:
    """The path without segments that have no length for any body."""
    segments = [segment for segment in path.segments if not np.all(segment.length() <= NO_LENGTH)]
    return Path(tuple(segments)) if segments else Path(path.segments[:1])


def _folded(strips: Sequence[Path], darts: Sequence[Dart]) -> Path:
    """The sewn edge: the strips carried together, each by the closing motions of the darts before it."""
    motion, runs = Motion.identity(strips[0].n), [strips[0]]
    for dart, strip in zip(darts, strips[1:], strict=True):
        motion = dart.fold.then(motion)
        runs.append(strip.moved(motion))
    return Path.join(*runs)


def _bridged(parts: list[Path]) -> Path:
    """The parts of a slashed edge and the gaps between them, as one fair line.

    It keeps its ends and the directions there, and goes through the middle of every part.
    """
    if len(parts) == 1:
        return parts[0]
    middles = [part.point_at(part.length() / 2.0) for part in parts]
    return Path(fair.through([parts[0].start(), *middles, parts[-1].end()], parts[0].start_direction(), parts[-1].end_direction()))


# ------------------------------------------------------------ points


def carried_points(
    points: dict[str, Floats],
    rim: Rim,
    moving: Sequence[int],
    pivot: Sequence[Floats],
    motion: Motion,
    mouths: Sequence[int] = (),
) -> dict[str, Floats]:
    """Named points with those of the moving part carried: on its outline, or within it and the slashes that part it.

    A point on a slash stays.  `pivot` are the points between the slashes: none, or the point they are turned about.
    `mouths` are the darts there that open or close: each of their legs goes with the cloth beside it.
    """
    if not points:
        return {}
    moving_outline = _outline(rim.items, moving, mouths)
    still_outline = _outline(rim.items, [k for k in range(len(rim.items)) if k not in set(moving)], mouths)
    wedge = np.concatenate([moving_outline.flatten(), *[p[:, None] for p in pivot]], axis=1)
    corners = [moving_outline.end(), *pivot, moving_outline.start()]
    slashes = Path(tuple(Line(a, b) for a, b in zip(corners, corners[1:], strict=False)))
    places = np.stack(list(points.values()), axis=1)
    off_moving, off_still = apart(moving_outline, places), apart(still_outline, places)
    on_outline, on_slash = np.minimum(off_moving, off_still) < BESIDE, apart(slashes, places) < BESIDE
    moves = np.where(on_outline, off_moving < off_still - BESIDE / 2.0, inside(places, wedge) & ~on_slash)
    return {name: choose(moves[:, k], motion.points(point), point) for k, (name, point) in enumerate(points.items())}


def _outline(items: list[Item], places: Sequence[int], mouths: Sequence[int]) -> Path:
    """The outline of some of a rim, in and out of its darts; of a dart among `mouths` only the leg beside it."""
    count, paths = len(items), []
    for k in places:
        item, before, after = items[k], items[k - 1], items[(k + 1) % count]
        if k in mouths:
            continue
        if (k - 1) % count in mouths and before.dart is not None:
            paths.append(before.dart.far_leg.reversed())
        if item.path is not None:
            paths.append(item.path)
        elif item.dart is not None:
            paths += [item.dart.near_leg, item.dart.far_leg.reversed()]
        if (k + 1) % count in mouths and after.dart is not None:
            paths.append(after.dart.near_leg)
    return Path.join(*paths)
