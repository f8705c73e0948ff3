"""Changes that copy or add cloth: mirroring, opening out a fold, laying two pieces together, extending an edge, and
tracing a facing; and truing an edge, which draws it again as one fair line.

A mirrored outline runs the other way round, so every edge of it is turned round, near and far legs of its darts change
places, and it begins with the same edge as before.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..geometry import fair, meet
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import angle_between, choose, cross, distance, dot, norm, square_to, unit
from ..geometry.segments import Line
from ..meaning.kinds import LENGTH, SHAPE
from ..source.quantity import show_length
from .parting import begun_at
from .pattern import Edge
from .pivoting import wedge
from .places import nearest_on
from .shapes import Item, Shape, Undrawn, change, edges_of, items_of, split, turn_of

STRAIGHT = 0.01  # mm
MATCH = 25.4 / 16  # mm: edges laid together differ by no more than a seam may
LONGEST_RUN_ON = 4.0  # of the extension's width: beyond it an edge runs nearly along the extension


def mirrored_edge(edge: Edge, motion: Motion, prefix: str = "") -> Edge:
    """An edge turned over and round; `prefix` goes before its name and the names of its darts."""
    darts = tuple(replace(dart.moved(motion), name=prefix + dart.name) for dart in edge.darts)
    return Edge(
        prefix + edge.name, edge.span, tuple(strip.moved(motion) for strip in edge.strips), darts, edge.closed.moved(motion)
    ).reversed()


@change()
def mirror(run, shape: Shape):
    """The piece turned over, across the line x = 0."""
    motion = Motion.mirror(np.zeros((run.n, 2)), np.tile(np.array([0.0, 1.0]), (run.n, 1)))
    edges = [mirrored_edge(edge, motion) for edge in (shape.edges[0], *shape.edges[:0:-1])]
    return Shape(tuple(edges), {name: motion.points(point) for name, point in shape.points.items()})


@change()
def open_out(run, shape: Shape, *, edge):
    """The piece opened out at a straight edge: its outline without that edge, and its image."""
    names = [one.name for one in shape.edges]
    k = names.index(edge)
    fold = shape.edges[k]
    _straight(run, fold, "The piece cannot be opened out at")
    motion = Motion.mirror(fold.start(), fold.end() - fold.start())
    half = [*shape.edges[k + 1 :], *shape.edges[:k]]
    image = [mirrored_edge(one, motion, "other_") for one in half[::-1]]
    points = dict(shape.points)
    points.update({f"other_{name}": motion.points(point) for name, point in shape.points.items()})
    return Shape((*half, *image), points)


def _straight(run, edge: Edge, what: str):
    path = Path.join(*edge.strips)
    points = path.flatten()
    way = unit(points[:, -1] - points[:, 0])
    off = np.abs(cross(points - points[:, :1], way[:, None])).max(axis=1)
    run.fail(
        off > STRAIGHT,
        "D489",
        f"{what} {edge.name}: it is not straight",
        expected="a straight edge without darts",
        found=lambda i: f"{show_length(off[i], run.unit)} off the straight",
        suggestion="Name a straight edge, or straighten it.",
    )


@change(takes=(SHAPE, SHAPE))
def join_on(run, shape: Shape, other: Shape, *, edge, to, names):
    """Another piece laid with its edge `to` on this one's `edge`, and both taken as one; `names` renames its edges."""
    mine, theirs = shape.edge(edge), other.edge(to)
    for one in (mine, theirs):
        if one.darts:
            run.fail(
                True,
                "D488",
                f"{one.name} has darts, so nothing can be joined along it",
                expected="an edge without darts",
                found=", ".join(dart.name for dart in one.darts),
                suggestion="Pivot or close its darts first.",
            )
            return Undrawn(run)
    lengths = mine.closed_length(), theirs.closed_length()
    uneven = np.abs(lengths[0] - lengths[1]) > MATCH
    run.fail(
        uneven,
        "D488",
        f"{to} cannot be joined to {edge}",
        expected=f"edges that agree to {show_length(MATCH, 'mm')}",
        found=lambda i: f"{show_length(lengths[0][i], run.unit)} and {show_length(lengths[1][i], run.unit)}",
        suggestion="Bring the two edges to one length first.",
    )
    chord, laid = mine.end() - mine.start(), theirs.start() - theirs.end()
    turn = Motion.turn(theirs.end(), angle_between(laid, chord))
    motion = turn.then(Motion.shift(mine.start() - theirs.end()))
    a, b = mine.closed, theirs.closed.moved(motion).reversed()
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
    ring, added = items_of(shape), items_of(other)
    at = [k for k, item in enumerate(ring) if item.edge == edge]
    gone = [k for k, item in enumerate(added) if item.edge == to]
    added = [item.moved(motion)._replace(edge=names.get(item.edge, item.edge)) for item in (*added[gone[-1] + 1 :], *added[: gone[0]])]
    last = added[-1].path
    end = begun_at(last.reversed().segments[0], mine.end())
    added[-1] = added[-1]._replace(path=Path((end, *last.reversed().segments[1:])).reversed())
    ring = [*ring[: at[0]], *added, *ring[at[-1] + 1 :]]
    names_now = [item.edge for item in ring]
    first = next(k for k in range(len(ring)) if names_now[k] != names_now[k - 1])
    points = {**{name: motion.points(point) for name, point in other.points.items()}, **shape.points}
    return Shape(edges_of(run, [*ring[first:], *ring[:first]]), points)


# ------------------------------------------------------------ extending


@change(takes=(SHAPE, LENGTH), more=LENGTH)
def extend(run, shape: Shape, amount, place=None, *, edge, called, folded, stretch):
    """A strip of cloth so wide (N,) along a straight edge, or along the part of it from or to `place`.

    The neighbours run on as they lie, or with `folded` as they do mirrored in the edge, so that the strip folds back on
    the piece.  `stretch` is None, "from" (from the place to the edge's end) or "to" (from its start to the place).
    """
    run.fail(
        amount <= 0.0,
        "D487",
        "An extension has some width",
        expected="more than zero",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion="Give the width of the strip that is added.",
    )
    width = np.where(amount > 0.0, amount, np.nan)
    names = [one.name for one in shape.edges]
    k = names.index(edge)
    _straight(run, shape.edges[k], "Nothing can be added along")
    before, mine, after = shape.edges[k - 1], shape.edges[k], shape.edges[(k + 1) % len(names)]
    way = unit(mine.end() - mine.start())
    out = -square_to(way) * turn_of(shape.edges)[:, None]
    aside = out * width[:, None]
    ring, span = items_of(shape), run.span
    start_on, end_on = stretch != "from", stretch != "to"
    new: list[Item] = []
    if start_on:
        run_on = _run_on(run, before.strips[-1], mine.start(), way, aside, folded, before.name)
        new += [Item(before.name, before.span, run_on), Item(called, span, None)]
        outer_start = run_on.end()
    else:
        ring, cut = split(run, ring, edge, place)
        corner = ring[cut].path.start()
        new += [
            Item(edge, mine.span, ring[cut - 1].path),
            Item(f"{called}_top", span, Path((Line(corner, corner + aside),))),
            Item(called, span, None),
        ]
        outer_start = corner + aside
    if end_on:
        run_on = _run_on(run, after.strips[0].reversed(), mine.end(), way, aside, folded, after.name)
        outer_end = run_on.end()
        tail = [Item(after.name, after.span, run_on.reversed())]
    else:
        ring, cut = split(run, ring, edge, place)
        corner = ring[cut].path.start()
        outer_end = corner + aside
        tail = [Item(f"{called}_top", span, Path((Line(outer_end, corner),))), Item(edge, mine.span, ring[cut].path)]
    new = [item._replace(path=Path((Line(outer_start, outer_end),))) if item.edge == called else item for item in new]
    here = [j for j, item in enumerate(ring) if item.edge == edge]
    ring = [*ring[: here[0]], *new, *tail, *ring[here[-1] + 1 :]]
    order = [item.edge for item in ring]
    first = next(j for j in range(len(ring)) if order[j] != order[j - 1])
    return Shape(edges_of(run, [*ring[first:], *ring[:first]]), dict(shape.points))


def _run_on(run, path: Path, corner, way, aside, folded: bool, name: str) -> Path:
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
    far = distance(corner, reach) > LONGEST_RUN_ON * norm(aside)
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
def facing(run, shape: Shape, depth, *, edges, called, stays):
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
    names = [one.name for one in shape.edges]
    count = len(names)
    k = names.index(edges[0])
    before, after = shape.edges[k - 1], shape.edges[(k + len(edges)) % count]
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
    for one, other in zip(inner, inner[1:], strict=False):
        corners.append(meet.path_path(one, other))
    corners.append(crossings[1][1])
    runs = []
    for path, start, end in zip(inner, corners, corners[1:], strict=False):
        runs.append(path.part(np.nan_to_num(nearest_on(path, start)), np.nan_to_num(nearest_on(path, end))))
    unknown = np.isnan(corners[0][:, 0]) | np.isnan(corners[-1][:, 0])
    line = Path.join(*runs).reversed().moved(Motion.shift(np.where(unknown, np.nan, 0.0)[:, None] * np.ones(2)))
    held = motion.inverse() if stays == after.name else Motion.identity(run.n)
    made = [
        Edge(before.name, before.span, (head.part(head.length() - crossings[0][0], head.length()),)),
        *(Edge(name, shape.edge(name).span, (path,)) for name, path in zip(edges, rim, strict=True)),
        Edge(after.name, after.span, (tail.part(np.zeros(run.n), crossings[1][0]),)),
        Edge(called, run.span, (line,)),
    ]
    made = [Edge(edge.name, edge.span, (edge.strips[0].moved(held),)) for edge in made]
    return Shape(tuple(made), dict(shape.points))


SAMPLES = 8  # of every segment: the inner line passes exactly at the depth there


def _inner(path: Path, depth, turn) -> Path:
    """The line at so much depth inside a path, drawn on straight beyond its ends."""
    length = path.length()
    steps = SAMPLES * max(1, len([segment for segment in path.segments if np.any(segment.length() > STRAIGHT)]))
    places = [length * k / steps for k in range(steps + 1)]
    inward = (depth * turn)[:, None]
    points, directions = [path.point_at(s) for s in places], [path.direction_at(s) for s in places]
    points = [point + square_to(direction) * inward for point, direction in zip(points, directions, strict=True)]
    curve = Path(fair.through(points, directions[0], directions[-1]))
    on = (4.0 * depth)[:, None]
    return Path.join(
        Path((Line(points[0] - directions[0] * on, points[0]),)), curve, Path((Line(points[-1], points[-1] + directions[-1] * on),))
    )


def _crossing(run, path: Path, line: Path, name: str):
    """How far along a neighbour from the faced edge, and where, the inner line crosses it."""
    at = meet.path_path(path, line)
    run.fail(
        np.isnan(at[:, 0]) & np.isfinite(line.length()) & np.isfinite(path.length()),
        "D489",
        f"The facing is deeper than {name} is long",
        expected=lambda i: f"a depth of less than {show_length(path.length()[i], run.unit)}",
        found="an inner line that passes its end",
        suggestion="Make the facing less deep, or face that edge as well.",
    )
    return np.nan_to_num(nearest_on(path, at)), at


# ------------------------------------------------------------ truing


@change()
def true_edge(run, shape: Shape, *, edge):
    """An edge drawn again as one fair line, with its darts folded, between the same ends and directions."""
    edges = tuple(_trued(one) if one.name == edge else one for one in shape.edges)
    return Shape(edges, shape.points)


def _trued(edge: Edge) -> Edge:
    closed = edge.closed
    count = max(4, 2 * len(closed.segments))
    length = closed.length()
    inner = [closed.point_at(length * k / count) for k in range(1, count)]
    fresh = Path(fair.through([closed.start(), *inner, closed.end()], closed.start_direction(), closed.end_direction()))
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
        wedge(dart.name, dart.span, dart.point, (strips[k].end(), strips[k + 1].start()), dart.press, strips[k], strips[k + 1])
        for k, dart in enumerate(edge.darts)
    )
    return Edge(edge.name, edge.span, strips, darts, fresh)
