"""Changes that copy, add or take cloth: mirroring, opening out a fold, laying two pieces together, extending or trimming an
edge, and tracing a facing; and truing an edge, which draws it again as one fair line.

A mirrored outline runs the other way round, so every edge of it is turned round, near and far legs of its darts change
places, and it begins with the same edge as before.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from ..geometry import fair, meet
from ..geometry.arrays import Floats
from ..geometry.chords import Chords
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import angle_between, choose, distance, dot, norm, square_to, unit
from ..geometry.segments import Line
from ..meaning.kinds import DIRECTION, EDGE, LENGTH, PATH, SHAPE
from ..meaning.ring import Added, EdgeRing, Portion
from ..source.quantity import at_most, show_length
from .carrying import Parting, carried, fitted, united
from .guides import SAME, Guide, path_of
from .operations import operation
from .parting import begun_at
from .pattern import Edge
from .pivoting import wedge
from .places import nearest_on
from .rims import Item, Rim, filled, filled_by
from .shapes import STRAIGHT, Shape, Undrawn, change, off_straight, turn_of
from .steps import Run

MATCH = 25.4 / 16  # mm: edges laid together differ by no more than a seam may
LONGEST_RUN_ON = 4.0  # of the extension's width: beyond it an edge runs nearly along the extension


def _image(edge: Edge, motion: Motion) -> Edge:
    """An edge turned over and round."""
    strips, darts = tuple(strip.moved(motion) for strip in edge.strips), tuple(dart.moved(motion) for dart in edge.darts)
    return Edge(edge.name, edge.span, strips, darts, edge.closed.moved(motion)).reversed()


def _beside(shape: Shape, motion: Motion) -> Callable[[Portion | Added], Edge]:
    """Gives each edge as it stands, or its image under a motion that mirrors."""

    def give(part: Portion | Added) -> Edge:
        assert isinstance(part, Portion)
        return _image(shape.edge(part.edge), motion) if part.of == "image" else shape.edge(part.edge)

    return give


@change()
def mirror(run: Run, shape: Shape, *, ring: EdgeRing) -> Shape:
    """The piece turned over, across the line x = 0."""
    motion = _turned_over(run.n)
    points = {name: motion.points(point) for name, point in shape.points.items()}
    lines = carried(ring, shape.lines, shape.edges, lambda chords: chords.moved(motion), "image")
    return Shape(filled(run, ring, _beside(shape, motion)), points, lines=lines)


@change(more=SHAPE)
def open_out(run: Run, shape: Shape, other: Shape | None = None, *, ring: EdgeRing, edge: str, images: dict[str, str]) -> Shape:
    """The piece opened out at a straight edge: its outline without that edge, and its image, or that of the `other` half with its
    own such edge laid on this one; `images` names those of points."""
    imaged = shape if other is None else other
    for half in (shape,) if other is None else (shape, other):
        _straight(run, Path.join(*half.edge(edge).strips), f"The piece cannot be opened out at {edge}: it is not straight")
    if other is not None:
        _meet(run, shape.edge(edge), other.edge(edge))
    motion = folded_over(imaged.edge(edge), shape.edge(edge))
    points = dict(shape.points)
    points.update({images[name]: motion.points(point) for name, point in imaged.points.items() if name in images})
    sides = {"this": (shape.edges, _as_it_lies), "image": (imaged.edges, lambda chords: chords.moved(motion))}

    def give(part: Portion | Added) -> Edge:
        assert isinstance(part, Portion)
        return _image(imaged.edge(part.edge), motion) if part.of == "image" else shape.edge(part.edge)

    return Shape(filled(run, ring, give), points, lines=united(ring, shape.lines, imaged.lines, sides))


def _meet(run: Run, fold: Edge, other: Edge) -> None:
    """Report for whom the two halves of a piece are not of one length at the centre."""
    lengths = fold.closed_length(), other.closed_length()
    run.fail(
        np.abs(lengths[0] - lengths[1]) > MATCH,
        "D630",
        f"The two halves do not meet at {fold.name}",
        expected=f"lengths at the centre of the body that agree to {show_length(MATCH, 'mm')}",
        found=lambda i: (
            f"{show_length(lengths[0][i], run.unit)} for the one side, {show_length(lengths[1][i], run.unit)} for the other"
        ),
        suggestion="Give what decides the length at the centre as one measure of the whole body, without sides.",
    )


def folded_over(fold: Edge, onto: Edge) -> Motion:
    """The mirroring that lays a fold on itself, or middle on middle on that of another half."""
    motion = Motion.mirror(fold.start(), fold.end() - fold.start())
    if fold is onto:
        return motion
    here, there = fold.end() - fold.start(), onto.end() - onto.start()
    middle = (fold.start() + fold.end()) / 2.0
    turned = motion.then(Motion.turn(middle, angle_between(here, there)))
    return turned.then(Motion.shift((onto.start() + onto.end()) / 2.0 - middle))


@operation(takes=(PATH, EDGE, EDGE), optional=2, gives=PATH)
def line_image(run: Run, drawn: Guide | Path, fold: Edge | None = None, onto: Edge | None = None) -> Path:
    """A line of the half that is laid over at its fold, or of a piece that is turned over."""
    return path_of(drawn).moved(_over(run, fold, onto))


@operation(takes=(DIRECTION,), gives=DIRECTION)
def direction_image(run: Run, direction: Floats) -> Floats:
    """A direction on a piece that is turned over."""
    return _over(run, None, None).vectors(direction)


def _over(run: Run, fold: Edge | None, onto: Edge | None) -> Motion:
    if fold is None or onto is None:
        return _turned_over(run.n)
    return folded_over(fold, onto)


def _turned_over(n: int) -> Motion:
    return Motion.mirror(np.zeros((n, 2)), np.tile(np.array([0.0, 1.0]), (n, 1)))


def _as_it_lies(chords: Chords) -> Chords:
    return chords


def _straight(run: Run, path: Path, words: str) -> None:
    off = off_straight(path)
    run.fail(
        off > STRAIGHT,
        "D489",
        words,
        expected="a straight line without darts",
        found=lambda i: f"{show_length(off[i], run.unit)} off the straight",
        suggestion="Name a straight edge or stretch, or straighten it.",
    )


@change(takes=(SHAPE, SHAPE))
def join_on(
    run: Run,
    shape: Shape,
    joined: Shape,
    *,
    ring: EdgeRing,
    edge: str,
    to: str,
    called_darts: dict[str, str],
    called_points: dict[str, str],
) -> Shape:
    """Another piece laid with its edge `to` on this one's `edge`, and both taken as one.

    Its darts and points bear new names where this one has their names already.
    """
    joined = Shape(
        tuple(_with_darts_called(one, called_darts) for one in joined.edges),
        {called_points.get(name, name): point for name, point in joined.points.items()},
        lines=joined.lines,
    )
    own_edge, other_edge = shape.edge(edge), joined.edge(to)
    for side in (own_edge, other_edge):
        if side.darts:
            run.fail(
                True,
                "D488",
                f"{side.name} has darts, so nothing can be joined along it",
                expected="an edge without darts",
                found=", ".join(dart.name for dart in side.darts),
                suggestion="Pivot or close its darts first.",
            )
            return Undrawn(run)
    lengths = own_edge.closed_length(), other_edge.closed_length()
    uneven = np.abs(lengths[0] - lengths[1]) > MATCH
    run.fail(
        uneven,
        "D488",
        f"{to} cannot be joined to {edge}",
        expected=f"edges that agree to {show_length(MATCH, 'mm')}",
        found=lambda i: f"{show_length(lengths[0][i], run.unit)} and {show_length(lengths[1][i], run.unit)}",
        suggestion="Bring the two edges to one length first.",
    )
    chord, laid = own_edge.end() - own_edge.start(), other_edge.start() - other_edge.end()
    turn = Motion.turn(other_edge.end(), angle_between(laid, chord))
    motion = turn.then(Motion.shift(own_edge.start() - other_edge.end()))
    a, b = own_edge.closed, other_edge.closed.moved(motion).reversed()
    along = np.max(
        np.stack([distance(a.point_at(a.length() * part), b.point_at(b.length() * part)) for part in (0.25, 0.5, 0.75)]), axis=0
    )
    run.fail(
        (along > MATCH) & ~uneven,
        "D488",
        f"{to} and {edge} are not of one shape",
        expected=(f"edges that lie on each other to {show_length(MATCH, 'mm')}"),
        found=lambda i: f"{show_length(along[i], run.unit)} between them",
        suggestion="Join along edges that were cut from each other, or that are both straight.",
    )
    own_rim, other_rim = Rim(run, shape), Rim(run, joined)
    other_rim.carry(range(len(other_rim.items)), motion)
    # The last strip before the joined edge ends exactly where this piece begins again.
    k = other_rim.corner(to) - 1
    first, *others = other_rim.strip(k).reversed().segments
    other_rim.items[k] = other_rim.items[k]._replace(path=Path((begun_at(first, shape.edge(edge).end()), *others)).reversed())
    points = {**{name: motion.points(point) for name, point in joined.points.items()}, **shape.points}

    def give(part: Portion | Added) -> list[Item]:
        assert isinstance(part, Portion)
        return (other_rim if part.of == "other" else own_rim).portion(part)

    sides = {"this": (shape.edges, _as_it_lies), "other": (joined.edges, lambda chords: chords.moved(motion))}
    return Shape(filled(run, ring, give), points, lines=united(ring, shape.lines, joined.lines, sides))


def _with_darts_called(edge: Edge, names: dict[str, str]) -> Edge:
    darts = tuple(replace(dart, name=names.get(dart.name, dart.name)) for dart in edge.darts)
    return Edge(edge.name, edge.span, edge.strips, darts, edge.closed)


# ------------------------------------------------------------ extending


@change(takes=(SHAPE, LENGTH), more=LENGTH)
def extend(
    run: Run,
    shape: Shape,
    amount: Floats,
    place: Floats | None = None,
    slope: Floats | None = None,
    *,
    ring: EdgeRing,
    edge: str,
    folded: bool,
    stretch: str | None,
) -> Shape:
    """A strip of cloth so wide (N,) along a straight edge, or along a straight stretch of it from or to `place`.

    The neighbours run on as they lie, or with `folded` as they do mirrored in the edge, so that the strip folds back on
    the piece.  Beside `place` the strip's outer edge begins so much farther on as `slope` (N,) says.  `stretch` is None, "from" (from the place to the edge's end) or "to" (from its start to the place).
    """
    width = _some_width(run, amount, "An extension has some width", "Give the width of the strip that is added.")
    rim = Rim(run, shape)
    cut = None if place is None else rim.split(edge, place)
    straight = Path.join(*rim.strips_of(Portion(edge, 0 if stretch == "from" else None, 0 if stretch == "to" else None)))
    _straight(run, straight, f"Nothing can be added along {edge}: {'it' if cut is None else 'this stretch'} is not straight")
    whole = straight.length()
    run.fail(
        whole <= SAME,
        "D489",
        f"Nothing can be added along {edge}: there is nothing of it between these two places",
        expected="two places apart on the edge",
        found=lambda i: f"{show_length(whole[i], run.unit)} between them",
        suggestion="Name another place from which the strip begins.",
    )
    way = unit(straight.end() - straight.start())
    aside = -square_to(way) * turn_of(shape.edges)[:, None] * width[:, None]
    added: dict[str, Item] = {}
    if cut is not None:
        corner = rim.strip(cut).start()
        outer = corner + aside + _sloped(run, way if stretch == "from" else -way, slope, whole)
        top = Path((Line(corner, outer),))
        added["top"] = Item(edge, run.span, top if stretch == "from" else top.reversed())
        outer_start = outer_end = outer
    before, after = ring.added("run on"), ring.added("run back")
    if before is not None:
        on = _run_on(run, shape.edge(before.name).strips[-1], straight.start(), way, aside, folded, before.name)
        added["run on"], outer_start = Item(before.name, shape.edge(before.name).span, on), on.end()
    if after is not None:
        back = _run_on(run, shape.edge(after.name).strips[0].reversed(), straight.end(), way, aside, folded, after.name)
        added["run back"], outer_end = Item(after.name, shape.edge(after.name).span, back.reversed()), back.end()
    added["outer"] = Item(edge, run.span, Path((Line(outer_start, outer_end),)))
    lines = carried(ring, shape.lines, shape.edges, _as_it_lies)
    return Shape(filled_by(run, ring, rim, added), dict(shape.points), lines=lines)


def _sloped(run: Run, onward: Floats, slope: Floats | None, whole: Floats) -> Floats:
    """How far (N, 2) beyond its place an extension's outer edge begins."""
    if slope is None:
        return np.zeros((run.n, 2))
    wrong = (slope < 0.0) | (slope >= whole)
    run.fail(
        wrong,
        "D586",
        "The end of the extension slopes past its other end",
        expected=lambda i: f"zero or more, and less than {at_most(whole[i], run.unit)}, as long as it is",
        found=lambda i: show_length(slope[i], run.unit),
        suggestion="Let it slope by less, or begin the extension farther from its end.",
    )
    return onward * np.where(wrong, np.nan, slope)[:, None]


def _run_on(run: Run, path: Path, corner: Floats, way: Floats, aside: Floats, folded: bool, name: str) -> Path:
    """How a neighbour that ends at `corner` goes on to the outer line of the extension."""
    if folded:
        image = path.moved(Motion.mirror(corner, way)).reversed()
        s, _ = meet.path_line(image, corner + aside, way)
        run.fail(
            np.isnan(s) & np.isfinite(aside[:, 0]),
            "D489",
            f"{name} is too short to be folded back with the extension",
            expected="an edge as long as the extension is wide",
            found=lambda i: show_length(path.length()[i], run.unit),
            suggestion="Make the extension narrower, or leave out folded back.",
        )
        return image.part(np.zeros(run.n), np.nan_to_num(s))
    heading = path.end_direction()
    reach = meet.lines(corner, heading, corner + aside, way)
    far = ~(distance(corner, reach) <= LONGEST_RUN_ON * norm(aside))  # also where the two are parallel and never meet
    back = dot(reach - corner, heading) <= 0.0
    run.fail(
        (far | back) & np.isfinite(aside[:, 0]) & np.isfinite(heading[:, 0]),
        "D489",
        f"{name} does not run on across the extension",
        expected="an edge that comes to it nearly square",
        found="one that runs along it or away from it",
        suggestion="Say: folded back; or draw the extension by points.",
    )
    return Path((Line(corner, choose(far | back, np.full_like(reach, np.nan), reach)),))


# ------------------------------------------------------------ facings


@change(takes=(SHAPE, LENGTH))
def facing(run: Run, shape: Shape, depth: Floats, *, ring: EdgeRing, edges: tuple[str, ...], stays: str) -> Shape:
    """The band of a piece so deep (N,) along one or several edges that follow each other, their darts closed."""
    run.fail(
        depth <= 0.0,
        "D487",
        "A facing has some depth",
        expected="more than zero",
        found=lambda i: show_length(depth[i], run.unit),
        suggestion="Give the depth of the facing.",
    )
    depth = np.where(depth > 0.0, depth, np.nan)
    before, after = shape.edge(ring.before(edges[0])), shape.edge(ring.after(edges[-1]))
    turn = turn_of(shape.edges)
    motion, rim = Motion.identity(run.n), []
    for name in edges:
        edge = shape.edge(name)
        rim.append(edge.closed.moved(motion))
        for dart in edge.darts:
            motion = dart.fold.then(motion)
    inner = [_inner(path, depth, turn) for path in rim]
    head, tail = before.reversed().closed.reversed(), after.closed.moved(motion)
    crossings = [_crossing(run, head.reversed(), inner[0], before.name), _crossing(run, tail, inner[-1], after.name)]
    corners = [crossings[0][1]]
    for line, following in zip(inner, inner[1:], strict=False):
        corners.append(meet.path_path(line, following))
    corners.append(crossings[1][1])
    runs = []
    for path, start, end in zip(inner, corners, corners[1:], strict=False):
        runs.append(path.part(np.nan_to_num(nearest_on(path, start)), np.nan_to_num(nearest_on(path, end))))
    unknown = np.isnan(corners[0][:, 0]) | np.isnan(corners[-1][:, 0])
    inner_line = Path.join(*runs).reversed().moved(Motion.shift(np.where(unknown, np.nan, 0.0)[:, None] * np.ones(2)))
    held = motion.inverse() if stays == after.name else Motion.identity(run.n)
    paths = {
        before.name: head.part(head.length() - crossings[0][0], head.length()),
        **dict(zip(edges, rim, strict=True)),
        after.name: tail.part(np.zeros(run.n), crossings[1][0]),
    }

    def give(part: Portion | Added) -> Edge:
        path, span = (paths[part.edge], shape.edge(part.edge).span) if isinstance(part, Portion) else (inner_line, run.span)
        return Edge("", span, (path.moved(held),))

    return Shape(filled(run, ring, give), dict(shape.points))


SAMPLES = 8  # of every segment: the inner line passes exactly at the depth there


def _inner(path: Path, depth: Floats, turn: Floats) -> Path:
    """The line at so much depth inside a path, drawn on straight beyond its ends."""
    length = path.length()
    steps = SAMPLES * max(1, len([segment for segment in path.segments if np.any(segment.length() > STRAIGHT)]))
    places = np.stack([length * k / steps for k in range(steps + 1)], axis=1)
    inward = (depth * turn)[:, None]
    on_path, ways = path.points_at(places), path.directions_at(places)
    directions = [ways[:, k] for k in range(steps + 1)]
    points = [on_path[:, k] + square_to(direction) * inward for k, direction in enumerate(directions)]
    curve = Path(fair.through(points, directions[0], directions[-1]))
    on = (4.0 * depth)[:, None]
    return Path.join(
        Path((Line(points[0] - directions[0] * on, points[0]),)), curve, Path((Line(points[-1], points[-1] + directions[-1] * on),))
    )


def _crossing(run: Run, path: Path, line: Path, name: str, what: str = "facing") -> tuple[Floats, Floats]:
    """How far along a neighbour from the faced edge, and where, the inner line crosses it."""
    at = meet.path_path(path, line)
    run.fail(
        np.isnan(at[:, 0]) & np.isfinite(line.length()) & np.isfinite(path.length()),
        "D489",
        f"The {what} is deeper than {name} is long",
        expected=lambda i: f"a depth of less than {at_most(path.length()[i], run.unit)}",
        found="an inner line that passes its end",
        suggestion="Make the facing less deep, or face that edge as well." if what == "facing" else "Trim off less.",
    )
    return np.nan_to_num(nearest_on(path, at)), at


def _some_width(run: Run, amount: Floats, title: str, suggestion: str) -> Floats:
    """The width (N,) of a strip; NaN where it is none."""
    run.fail(
        amount <= 0.0,
        "D487",
        title,
        expected="more than zero",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion=suggestion,
    )
    return np.where(amount > 0.0, amount, np.nan)


# ------------------------------------------------------------ trimming


@change(takes=(SHAPE, LENGTH))
def trim(run: Run, shape: Shape, amount: Floats, *, ring: EdgeRing, edge: str, between: tuple[str, str]) -> Shape:
    """A piece without the strip so wide (N,) along an edge, which lies between two others."""
    width = _some_width(run, amount, "What is trimmed off has some width", "Give the width of the strip that is taken off.")
    line = _inner(shape.edge(edge).closed, width, turn_of(shape.edges))
    before, after = (shape.edge(name) for name in between)
    near, start = _crossing(run, before.strips[-1].reversed(), line, before.name, "strip")
    far, end = _crossing(run, after.strips[0], line, after.name, "strip")
    unknown = np.where(np.isnan(start[:, 0]) | np.isnan(end[:, 0]), np.nan, 0.0)
    rim = Rim(run, shape)
    rim.split(before.name, before.closed_length() - near + unknown)
    rim.split(after.name, far + unknown)
    left = line.part(np.nan_to_num(nearest_on(line, start)), np.nan_to_num(nearest_on(line, end)))
    left = left.moved(Motion.shift(unknown[:, None] * np.ones(2)))
    edges = filled_by(run, ring, rim, {"inner": Item(edge, run.span, left)})
    around = ring.begun_at(between[1]).names[:-1]  # all but what is left of the edge
    strips = [path for name in around for path in next(drawn for drawn in edges if drawn.name == name).strips]
    return Shape(edges, dict(shape.points), lines=carried(ring, shape.lines, shape.edges, Parting(strips, left.flatten(), True)))


# ------------------------------------------------------------ truing


@change()
def true_edge(run: Run, shape: Shape, *, ring: EdgeRing, edge: str) -> Shape:
    """An edge drawn again as one fair line, with its darts folded, between the same ends and directions."""

    def give(part: Portion | Added) -> Edge:
        assert isinstance(part, Portion)
        return _trued(shape.edge(edge)) if part.edge == edge else shape.edge(part.edge)

    edges = filled(run, ring, give)
    return Shape(edges, shape.points, lines=fitted(shape.lines, shape.edge(edge).strips, edges, edge))


def _trued(edge: Edge) -> Edge:
    closed = edge.closed
    count = max(4, 2 * len(closed.segments))
    length = closed.length()
    inner = closed.points_at(np.stack([length * k / count for k in range(1, count)], axis=1))
    fresh = Path(
        fair.through(
            [closed.start(), *(inner[:, k] for k in range(count - 1)), closed.end()], closed.start_direction(), closed.end_direction()
        )
    )
    if not edge.darts:
        return Edge(edge.name, edge.span, (fresh,))
    motions, cuts = [Motion.identity(closed.n)], [np.zeros(closed.n)]
    for dart in edge.darts:
        before = motions[-1]
        heading = dart.near_leg.start() - dart.near_leg.segments[0].end()
        s, _ = meet.path_line(fresh, before.points(dart.near_leg.start()), before.vectors(heading))
        cuts.append(s)
        motions.append(dart.fold.then(before))
    cuts.append(fresh.length())
    strips = tuple(
        fresh.part(np.nan_to_num(low), np.nan_to_num(high)).moved(motion.inverse())
        for low, high, motion in zip(cuts, cuts[1:], motions, strict=False)
    )
    darts = tuple(
        wedge(
            dart.name, dart.span, dart.point, (strips[k].end(), strips[k + 1].start()), dart.press, strips[k], strips[k + 1], dart.kind
        )
        for k, dart in enumerate(edge.darts)
    )
    return Edge(edge.name, edge.span, strips, darts, fresh)
