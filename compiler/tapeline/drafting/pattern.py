"""What a draft yields: pieces of named edges, darts and marks, for N bodies at once.

Everything here is net: stitching lines, no allowances.  Arrays have the body as their first axis: a point is
(N, 2), a quantity (N,), a `Path` holds N curves of one shape.  The number of edges, strips, darts and segments
is the style's, never a body's.  Millimetres; x across from the centre line to the side, y down the body.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import InitVar, dataclass, field
from functools import reduce
from itertools import zip_longest
from typing import NamedTuple, TypeAlias

import numpy as np

from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.segments import Line
from ..meaning.cutting import Corner, Cut
from ..meaning.ring import IMAGE
from ..source.text import Span

Chosen = Indices | Mask | slice  # some of the bodies
Place: TypeAlias = tuple[str, str]  # a piece, and an edge, dart or bone of it


LEFT, RIGHT, BOTH, NOT_TOLD = "left", "right", "both", ""


class Hand(NamedTuple):
    """`side`: "left" or "right" for a pair as drawn, or for a piece that one side has; "both" for a piece that lies on both;
    nothing where it is not told.  `drawn`: of a piece on the fold the side whose half is drawn, of one that lies on both the
    side toward which x grows, else as `side`.  `differs`: whether it is a whole piece whose left half is not its right one."""

    side: str = NOT_TOLD
    drawn: str = NOT_TOLD
    differs: bool = False


NO_HAND = Hand()


@dataclass(slots=True, eq=False)
class Dart:
    """A wedge of cloth taken out of an edge.  `near` is the leg met first when walking along the edge.

    Both legs run from the foot on the edge to the dart's point and are equally long.  `fold` lays the far leg on
    the near one.  `trued` is the end of the folded dart as it must be cut: near foot, peak on the fold, far foot.
    """

    name: str
    span: Span
    point: Floats
    near_leg: Path
    far_leg: Path
    fold: Motion
    trued: Path
    press: str  # "near" or "far": the side the folded dart is laid to
    intake: Floats  # distance of the feet
    asked: Floats  # the intake that the rule asked for
    held_to: str | None = None  # level down to which the full intake is kept
    middle: Floats | None = None  # where its centre was laid out, from which its length is measured
    # "dart"; "tuck": laid as a dart, and sewn across its end alone; or "pleat": its legs are fold lines that run to another edge, and it is
    # sewn across its end alone
    kind: str = "dart"

    @property
    def near_foot(self) -> Floats:
        return self.near_leg.start()

    @property
    def far_foot(self) -> Floats:
        return self.far_leg.start()

    def moved(self, motion: Motion) -> Dart:
        """The dart carried by a motion that does not mirror."""
        middle = None if self.middle is None else motion.points(self.middle)
        fold = motion.inverse().then(self.fold).then(motion)
        return Dart(
            self.name,
            self.span,
            motion.points(self.point),
            self.near_leg.moved(motion),
            self.far_leg.moved(motion),
            fold,
            self.trued.moved(motion),
            self.press,
            self.intake,
            self.asked,
            self.held_to,
            middle,
            self.kind,
        )

    def reversed(self) -> Dart:
        """The same dart met from the other side: near and far change places."""
        return Dart(
            self.name,
            self.span,
            self.point,
            self.far_leg,
            self.near_leg,
            self.fold.inverse(),
            self.trued.reversed(),
            "far" if self.press == "near" else "near",
            self.intake,
            self.asked,
            self.held_to,
            self.middle,
            self.kind,
        )

    def take(self, index: Chosen) -> Dart:
        return Dart(
            self.name,
            self.span,
            self.point[index],
            self.near_leg.take(index),
            self.far_leg.take(index),
            self.fold.take(index),
            self.trued.take(index),
            self.press,
            self.intake[index],
            self.asked[index],
            self.held_to,
            None if self.middle is None else self.middle[index],
            self.kind,
        )


@dataclass(slots=True, eq=False)
class Edge:
    """A named edge of an outline, running with it.  `strips` lie between the darts, one more than there are darts.

    `closed` is the sewn edge with every dart folded, lying where the first strip lies; without darts it is that strip.
    """

    name: str
    span: Span
    strips: tuple[Path, ...]
    darts: tuple[Dart, ...] = ()
    sewn: InitVar[Path | None] = None
    closed: Path = field(init=False)

    def __post_init__(self, sewn: Path | None) -> None:
        self.closed = self.strips[0] if sewn is None else sewn

    def stitch_path(self) -> Path:
        """The edge on the paper: strips with the legs of open darts between them, pleats laid flat."""
        runs = [self.strips[0]]
        for dart, strip in zip(self.darts, self.strips[1:], strict=True):
            runs += [*([dart.trued] if dart.kind == "pleat" else [dart.near_leg, dart.far_leg.reversed()]), strip]
        return Path.join(*runs)

    def trued_path(self) -> Path:
        """The edge as the allowance follows it: strips joined by the folded ends of the darts."""
        runs = [self.strips[0]]
        for dart, strip in zip(self.darts, self.strips[1:], strict=True):
            runs += [dart.trued, strip]
        return Path.join(*runs)

    def across_mouths(self) -> Path:
        """The edge as drawn, straight across the mouths of open darts."""
        runs = [self.strips[0]]
        for before, after in zip(self.strips, self.strips[1:], strict=False):
            runs += [Path((Line(before.end(), after.start()),)), after]
        return Path.join(*runs)

    def start(self) -> Floats:
        return self.strips[0].start()

    def end(self) -> Floats:
        return self.strips[-1].end()

    def closed_length(self) -> Floats:
        return self.closed.length()

    def open_length(self) -> Floats:
        """Length of the drawn edge with the darts' openings measured straight across."""
        total = reduce(np.add, [strip.length() for strip in self.strips])
        return total + sum((dart.intake for dart in self.darts), np.zeros(len(total)))

    def reversed(self) -> Edge:
        """The same edge walked the other way; near and far legs change places."""
        last = Motion.identity(self.strips[0].n)
        for dart in self.darts:
            last = dart.fold.then(last)
        return Edge(
            self.name,
            self.span,
            tuple(strip.reversed() for strip in self.strips[::-1]),
            tuple(dart.reversed() for dart in self.darts[::-1]),
            self.closed.moved(last.inverse()).reversed(),
        )

    def take(self, index: Chosen) -> Edge:
        return Edge(
            self.name,
            self.span,
            tuple(s.take(index) for s in self.strips),
            tuple(d.take(index) for d in self.darts),
            self.closed.take(index),
        )


@dataclass(slots=True, eq=False)
class InnerDart:
    """A dart within a piece, from its upper point over its two sides to its lower point; NaN where a part has none."""

    name: str
    span: Span
    upper: Floats
    near: Floats
    lower: Floats
    far: Floats
    asked: Floats

    def corners(self) -> tuple[Floats, ...]:
        return self.upper, self.near, self.lower, self.far

    def take(self, index: Chosen) -> InnerDart:
        upper, near, lower, far = (corner[index] for corner in self.corners())
        return InnerDart(self.name, self.span, upper, near, lower, far, self.asked[index])


@dataclass(slots=True, eq=False)
class Mark:
    """A line inside a piece: `kind` is bone, zip, placement, lengthening, buttonhole or join."""

    kind: str
    name: str
    span: Span
    path: Path
    note: str = ""
    length: Floats | None = None  # its own length as cut where it is less than the path (a bone in its channel)
    edge: str = ""  # that it lies along: of a zip
    one: bool = False  # of a buttonhole: one alone of the pieces that are cut has it
    side: str = ""  # "left" or "right", where one side of the body alone has it

    def take(self, index: Chosen) -> Mark:
        return Mark(
            self.kind,
            self.name,
            self.span,
            self.path.take(index),
            self.note,
            None if self.length is None else self.length[index],
            self.edge,
            self.one,
            self.side,
        )


@dataclass(slots=True, eq=False)
class PointMark:
    """A place inside a piece: `kind` is place (told by its `words`), drill, button, hook or loop.  `at` (N, 2) is NaN for bodies
    whose piece has it not; `one`: one alone of the pieces that are cut has it."""

    kind: str
    name: str
    words: str
    span: Span
    at: Floats
    size: Floats | None = None  # of a button
    one: bool = False
    side: str = ""  # as of a `Mark`

    def take(self, index: Chosen) -> PointMark:
        size = None if self.size is None else self.size[index]
        return PointMark(self.kind, self.name, self.words, self.span, self.at[index], size, self.one, self.side)


@dataclass(slots=True, eq=False)
class Notch:
    """A balance mark that the style states on an edge, `at` (N,) so far along its closed length; `point` on the stitch line."""

    edge: str
    name: str
    span: Span
    point: Floats
    direction: Floats  # unit tangent of the edge there
    at: Floats

    def take(self, index: Chosen) -> Notch:
        return Notch(self.edge, self.name, self.span, self.point[index], self.direction[index], self.at[index])


def of_half(edge: str) -> str:
    """What an edge is called on the half whose image it belongs to; of another edge its own name."""
    return edge.removeprefix(IMAGE)


class Halves(NamedTuple):
    """What a whole piece whose halves differ has of them: the side of the body that its drawing has where x is greater, the line (N, 2, 2)
    at the centre where it was opened out of two, and the y (N,) on the left and on the right of levels that are not level."""

    drawn: str
    centre: Floats | None = None
    levels: Mapping[str, tuple[Floats, Floats]] = {}

    def take(self, index: Chosen) -> Halves:
        levels = {level: (left[index], right[index]) for level, (left, right) in self.levels.items()}
        return Halves(self.drawn, None if self.centre is None else self.centre[index], levels)


@dataclass(slots=True, eq=False)
class Piece:
    name: str
    title: str
    span: Span
    edges: tuple[Edge, ...]  # in order round the outline; each begins where the last ends
    cut: Cut
    points: dict[str, Floats]
    grain: Floats  # (N, 2) unit direction of the lengthwise thread
    levels: dict[str, Floats] = field(default_factory=dict)  # y of each level that runs straight across the piece as drawn
    marks: tuple[Mark, ...] = ()
    notches: tuple[Notch, ...] = ()
    widths: dict[str, Floats] = field(default_factory=dict)  # level -> sewn width (N,) along its line on the piece
    intended: dict[str, Floats] = field(default_factory=dict)  # what the table of a piece by level asks for
    source: str = ""  # the piece or foundation that it is made from
    inner: tuple[InnerDart, ...] = ()
    told: dict[str, str] = field(default_factory=dict)  # level -> how its line on the piece is got, in words
    followed: dict[str, tuple[str, ...]] = field(
        default_factory=dict
    )  # level -> the edges of the outline along which it is said to run
    worn: str = ""  # "front", "back", or where the style does not say, nothing
    point_marks: tuple[PointMark, ...] = ()
    side: str = ""  # "left" or "right", where the style says for which the piece is as drawn
    half: bool = (
        False  # whether it is drawn for one side of the body: of a pair, on the fold, or made from such a piece and not opened out
    )
    mirrored: bool = False  # whether it is drawn the other way round than its source
    of_sides: dict[str, tuple[Floats, Floats]] = field(default_factory=dict)  # level -> what of its width lies left and right
    hand: Hand = NO_HAND  # see `hands`; not told before the seams are known
    halves: Halves | None = None

    def edge(self, name: str) -> Edge:
        return next(edge for edge in self.edges if edge.name == name)

    def heights_at(self, edge: str) -> dict[str, Floats]:
        """Level -> y (N,) where an edge lies."""
        if self.halves is None or not self.halves.levels:
            return self.levels
        drawn = self.halves.drawn == LEFT
        left = drawn != self.is_image(edge)
        return {**self.levels, **{level: both[0 if left else 1] for level, both in self.halves.levels.items()}}

    def is_image(self, edge: str) -> bool:
        """Whether an edge is of the half that was laid over where the piece was opened out."""
        return edge.startswith(IMAGE) and any(own.name == edge.removeprefix(IMAGE) for own in self.edges)

    def stitch_outline(self) -> Path:
        """The closed net outline, in at every open dart and out again."""
        return Path.join(*(edge.stitch_path() for edge in self.edges))

    def trued_outline(self) -> Path:
        """The closed outline that allowances are added to: darts' ends as folded."""
        return Path.join(*(edge.trued_path() for edge in self.edges))

    def darts(self) -> list[Dart]:
        return [dart for edge in self.edges for dart in edge.darts]

    def take(self, index: Chosen) -> Piece:
        def each(table: dict[str, Floats]) -> dict[str, Floats]:
            return {name: value[index] for name, value in table.items()}

        return Piece(
            self.name,
            self.title,
            self.span,
            tuple(e.take(index) for e in self.edges),
            self.cut,
            each(self.points),
            self.grain[index],
            each(self.levels),
            tuple(m.take(index) for m in self.marks),
            tuple(n.take(index) for n in self.notches),
            each(self.widths),
            each(self.intended),
            self.source,
            tuple(dart.take(index) for dart in self.inner),
            self.told,
            self.followed,
            self.worn,
            tuple(mark.take(index) for mark in self.point_marks),
            self.side,
            self.half,
            self.mirrored,
            {level: (left[index], right[index]) for level, (left, right) in self.of_sides.items()},
            self.hand,
            None if self.halves is None else self.halves.take(index),
        )


class SeamOpening(NamedTuple):
    """A stretch of a seam that is left open: how far (N,) along the closed length of its first edge, from where that edge
    begins in the outline, the stretch begins and ends."""

    start: Floats
    end: Floats
    span: Span
    side: str = ""  # "left" or "right", where the seam is open on one side of the body alone

    @property
    def length(self) -> Floats:
        return self.end - self.start

    def meets(self, other: SeamOpening) -> bool:
        """Whether some seam of the garment has both."""
        return not (self.side and other.side) or self.side == other.side


class MatchedPlace(NamedTuple):
    """A place on a side of a seam: how far (N,) along the closed length of an edge, from where that begins in the outline."""

    edge: Place
    at: Floats


class FittedEdges(NamedTuple):
    """What fittings did to a seam: how much longer (N,) each edge of either side has become, None of those that none touched."""

    gained: tuple[tuple[Floats | None, ...], tuple[Floats | None, ...]]
    said: tuple[Span, ...]


@dataclass(slots=True)
class Seam:
    """Edges sewn to edges: (piece, edge) names on either side, with the ease meant for the first side."""

    span: Span
    one: tuple[tuple[str, str], ...]
    other: tuple[tuple[str, str], ...]
    ease: Floats
    tolerance: float
    kind: str = "plain"  # plain, eased or gathered
    counts: tuple[tuple[int | None, ...], tuple[int | None, ...]] = ((), ())  # of either side: in how many of the pieces; None: in all
    openings: tuple[SeamOpening, ...] = ()
    pressed: str = ""  # "open", or the piece toward which its allowances are pressed; nothing where the style does not say
    notched: bool = True  # False: no notches come by themselves
    matched: tuple[MatchedPlace, MatchedPlace] | None = None  # places of one side and of the other that lie on each other
    centred: bool = False  # from centre to centre, of a left and a right piece
    fitted: FittedEdges | None = None
    let_in: Floats | None = None  # what of its ease is there by fittings alone (see `fitted_seams`)

    @property
    def written(self) -> str:
        """Both its sides, as a style writes them."""
        return " to ".join(" and ".join(f"{piece}.{edge}" for piece, edge in side) for side in (self.one, self.other))


class SewnEdge(NamedTuple):
    """An edge in a seam, and how often: as its piece is cut, or in so many of them."""

    piece: Piece
    edge: str
    times: int
    stated: bool = False  # whether the style says so

    @property
    def written(self) -> str:
        """As a style writes it."""
        return f"{self.times} of {self.piece.name}.{self.edge}" if self.stated else f"{self.piece.name}.{self.edge}"


@dataclass(slots=True)
class Allowance:
    """What `allow` says of one edge: how wide, of which kind (plain, turned up, faced, zip, none), where stated."""

    edge: str
    width: Floats
    kind: str
    span: Span
    unnamed: bool = False  # of `others`: the style does not name the edge


@dataclass(slots=True, eq=False)
class Pattern:
    """All pieces of one style for the N bodies that share one course of its `when` rules."""

    n: int
    pieces: tuple[Piece, ...]
    seams: tuple[Seam, ...]
    allowances: dict[tuple[str, str], Allowance]  # (piece, edge)
    corners: dict[str, tuple[Corner, ...]]  # piece -> its stated corners
    level_order: tuple[str, ...] = ()
    bodies: dict[str, Floats] = field(default_factory=dict)  # level -> the body's own girth there, where measured
    values: dict[str, Floats] = field(default_factory=dict)  # named lengths, angles, counts of the style
    foundations: tuple[Piece, ...] = ()  # drafted and judged like pieces, never cut
    meant: frozenset[tuple[str, str]] = frozenset()  # (piece, edge that begins there or dart) where a corner is meant
    unmarked: frozenset[str] = frozenset()  # levels that are only for construction: no paper shows them

    def piece(self, name: str) -> Piece:
        return next(piece for piece in (*self.pieces, *self.foundations) if piece.name == name)

    def origin(self, name: str) -> str:
        """The piece or foundation that a piece, through others, is made from; itself if from none."""
        while source := self.piece(name).source:
            name = source
        return name

    def sewn(self, seam: Seam) -> tuple[list[SewnEdge], list[SewnEdge]]:
        """The edges on either side of a seam, each with how often the garment has it there."""
        one, other = (
            [
                SewnEdge(self.piece(name), edge, count or self.piece(name).cut.instances, count is not None)
                for (name, edge), count in zip_longest(side, counts)
            ]
            for side, counts in zip((seam.one, seam.other), seam.counts, strict=True)
        )
        return one, other
