"""Darts set in an edge.

A dart fixes a rigid motion that lays its far leg on its near one: a turn about the point where the legs are straight,
a shift across where they are held parallel.  All darts of an edge are set at once.  The strips of cloth between them
are carried into the sewn position, each by the motions of the darts before it; the sewn edge is drawn there afresh
as one fair line from end to end, through the folded feet where straight darts turn the cloth; it is cut where the
folded legs lie; and each part is carried back to the paper.  So both legs of a dart come out equally long, the sewn
edge has no step and no kink at a dart, and its length is the length of that line.  The end of the folded dart is the
neighbouring edge mirrored in the leg it is pressed over, up to the fold, and from there mirrored in the fold.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import reduce

import numpy as np

from ..geometry import fair, meet, straight
from ..geometry.arrays import Floats, FloatsLike, Mask
from ..geometry.dual import first_known, floats, plain, put
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import cross, distance, dot, norm, square_to, taken, unit
from ..geometry.segments import Cubic, Line
from ..meaning.kinds import EDGE, LENGTH, PATH, POINT
from ..meaning.plan import DartRow
from ..source.quantity import show_length
from ..source.text import Span
from .dart_room import OVER, named, not_drawn, unequal_legs, without_room
from .guides import FoldedEnds, Guide
from .laying import Laid, lay
from .operations import one_of, operation, side
from .pattern import Dart, Edge
from .places import nearest_on
from .steps import Run

_Stop = tuple[Floats, Floats | None, FloatsLike]  # how far along, the foot there if it is one, and the room that it needs
Carry = Callable[[Floats], Floats]  # of places (N, 2), to where the sewn darts take them


@operation(takes=(PATH,), more=one_of(POINT, LENGTH), gives=EDGE)
def set_darts(
    run: Run,
    guide: Guide,
    *inputs: Floats,
    name: str,
    full: str,
    turned: bool,
    darts: Sequence[DartRow],
    edge_span: Span,
) -> Edge:
    """The edge with its darts, running with the outline.  `inputs` are those of each of the `darts` in turn."""
    guide = guide.reversed() if turned else guide
    coming = iter(inputs)
    laid = [lay(coming, rule, turned, guide.path) for rule in darts]
    places = [nearest_on(guide.path, dart.middle) for dart in laid]
    order = sorted(range(len(laid)), key=lambda k: first_known(places[k]))
    laid, places = [laid[k] for k in order], [places[k] for k in order]
    refused = without_room(run, full, laid, places, guide.path, turned)

    before = [Motion.identity(run.n)]  # of the strip before each dart, and of the last strip
    for dart in laid:
        before.append(dart.motion.then(before[-1]))
    closed, knots = _closed(run, guide, laid, places, before)
    not_drawn(run, full, laid, guide.path, closed, ~refused)
    if refused.any() and not run.quiet:  # what else is found amiss of such an edge would only follow from that
        nowhere = np.where(refused, np.nan, 0.0)[:, None]
        closed = Path(tuple(segment.shifted(nowhere) for segment in closed.segments))
    cuts, at_knots = _cuts(run, full, laid, before, closed, knots, ~refused)
    for k, (low, high) in enumerate(zip(cuts, cuts[1:], strict=False)):
        _strip_left(run, full, laid[min(k, len(laid) - 1)], low, high)
    # Where all feet are the joints that the sewn edge was drawn through, a strip is what lies between two of them.
    sound = np.logical_and.reduce([np.isfinite(cut) for cut in cuts])
    if at_knots.all() if run.quiet else run.alike(at_knots.astype(int), sound):
        stops = [0, *knots, len(closed.segments)]
        sewn = [Path(closed.segments[low:high]) for low, high in zip(stops, stops[1:], strict=False)]
    else:
        sewn = [closed.part(np.nan_to_num(low), np.nan_to_num(high)) for low, high in zip(cuts, cuts[1:], strict=False)]
    strips = tuple(strip.moved(motion.inverse()) for strip, motion in zip(sewn, before, strict=True))
    finished = tuple(_finish(run, dart, strips[k], strips[k + 1]) for k, dart in enumerate(laid))
    for dart, set_in in zip(laid, finished, strict=True):
        unequal_legs(run, full, dart, guide.path, set_in.intake, ~refused)
    return Edge(name, edge_span, strips, finished, closed)


def _strip_left(run: Run, full: str, dart: Laid, low: Floats, high: Floats) -> None:
    run.fail(
        high <= low + 1e-6,
        "D420",
        f"The darts of {full} leave no edge between them",
        span=dart.rule.span,
        expected="a strip of edge on either side of every dart",
        found=lambda i: show_length(high[i] - low[i], run.unit),
        suggestion="Make the intakes smaller, set fewer darts, or place them further apart.",
    )


def _closed(run: Run, guide: Guide, laid: Sequence[Laid], places: Sequence[Floats], before: Sequence[Motion]) -> tuple[Path, list[int]]:
    """The sewn edge, and the number of its joint that is each dart's foot, where it is drawn through them."""
    path, last = guide.path, before[-1]

    def carry(point: Floats) -> Floats:
        at, carried = nearest_on(path, point), point
        for place, motion in zip(places, before[1:], strict=True):
            carried = np.where((at > place)[:, None], motion.points(point), carried)
        return carried

    if all(dart.held is not None for dart in laid):
        return guide.redraw(FoldedEnds(path.start(), last.points(path.end()), before[0], last, carry)), []
    closed = _through_feet(path, laid, places, before, carry)
    run.branched(lambda: reduce(np.add, [_longer_leg(dart) * 3.0**k for k, dart in enumerate(laid)]))
    return closed


def _longer_leg(dart: Laid) -> Floats:
    return side(dart.reach[0] - dart.reach[1], 1e-6) if dart.reach is not None else np.zeros(len(dart.point))


def _cuts(
    run: Run, full: str, laid: Sequence[Laid], before: Sequence[Motion], closed: Path, knots: Sequence[int], judged: Mask
) -> tuple[list[Floats], Mask]:
    """How far along the sewn edge (N,) the folded legs lie, with its ends, and whether (N,) all lie at joints of it."""
    cuts, at_knots = [np.zeros(run.n)], np.full(run.n, bool(knots))
    for k, (dart, motion) in enumerate(zip(laid, before, strict=False)):
        leg = motion.points(dart.near_origin), motion.vectors(dart.near_heading)
        if knots:
            s, at_knot = _first_at_knot(closed, knots[k], *leg)
            at_knots &= at_knot
        else:
            s, _ = meet.path_line(closed, *leg)
        run.fail(
            np.isnan(s) & judged & np.isfinite(closed.length()) & np.isfinite(dart.point[:, 0]),
            "D421",
            f"{named(dart.rule, 'The')}, folded, does not meet the sewn edge {full}",
            span=dart.rule.span,
            expected="legs that reach the edge",
            found="an edge that ends before them",
            suggestion="Make the intake smaller, or set the dart further from the end of the edge.",
        )
        cuts.append(s)
    return [*cuts, closed.length()], at_knots


def _first_at_knot(closed: Path, knot: int, origin: Floats, heading: Floats) -> tuple[Floats, Mask]:
    """How far along the sewn edge (N,) a folded leg first meets it, and whether (N,) that is at its own joint of the edge.

    The edge is of cubics alone.  It is, where all that comes before the joint lies to one side of the leg.
    """
    normal, reach = square_to(heading), closed.reach()[:, knot]
    heights = np.concatenate(
        [dot(segment.p - origin[:, None], normal[:, None]) for segment in closed.segments[:knot] if isinstance(segment, Cubic)], axis=1
    )
    before, foot = plain(heights[:, :-1]), plain(heights[:, -1])
    here = (np.abs(foot) <= meet.TOUCH) & ((before > meet.TOUCH).all(axis=1) | (before < -meet.TOUCH).all(axis=1))
    others = np.flatnonzero(~here & np.isfinite(foot))
    if len(others):
        s, _ = meet.path_line(closed.take(others), taken(origin, others), taken(heading, others))
        reach = put(floats(reach).copy(), others, s)
    return reach, here | ~np.isfinite(foot)


def _through_feet(
    path: Path, laid: Sequence[Laid], places: Sequence[Floats], before: Sequence[Motion], carry: Carry
) -> tuple[Path, list[int]]:
    """The sewn edge where darts turn cloth: one fair curve through the joints of the edge and the folded feet.

    With it the number of its joint that is each dart's foot.

    It leaves and arrives as the drawn edge does at its ends, carried with the end strips, so that corners stay square.
    """
    length = path.length()
    feet: list[_Stop] = [
        (at, motion.points(dart.foot_on(path)), 1.5 * dart.asked + 5.0) for dart, at, motion in zip(laid, places, before, strict=False)
    ]
    joints: list[_Stop] = [(nearest_on(path, segment.start()), None, 0.0) for segment in path.segments[1:]]
    joints = [joint for joint in joints if not any(_in_mouth(joint[0], at, dart) for at, dart in zip(places, laid, strict=True))]
    stops = sorted([*feet, *joints], key=lambda stop: first_known(stop[0]))
    ends: list[_Stop] = [(np.zeros(len(length)), None, 0.0), *stops, (length, None, 0.0)]
    inner = []
    for number, (at, foot, _) in enumerate(stops, 1):
        if foot is None:  # a joint too near to a dart gives way along the edge: two stops at one place would make a loop
            low, high = ends[number - 1][0] + ends[number - 1][2], ends[number + 1][0] - ends[number + 1][2]
            foot = carry(path.point_at(np.where(low < high, np.clip(at, low, high), (low + high) / 2.0)))
        inner.append(foot)
    last = before[-1]
    closed = Path(
        fair.through([path.start(), *inner, last.points(path.end())], path.start_direction(), last.vectors(path.end_direction()))
    )
    return closed, [number for number, (_, foot, _) in enumerate(stops, 1) if foot is not None]


def _in_mouth(joint: Floats, place: Floats, dart: Laid) -> bool:
    """Whether a joint of the drawn edge is a foot that the rule names, or lies between such feet: the feet stand for it."""
    if not dart.rule.feet:
        return False
    inside = np.abs(joint - place) <= dart.asked / 2.0 + OVER
    return bool(np.all(inside | ~np.isfinite(joint) | ~np.isfinite(place)))


def _finish(run: Run, dart: Laid, before: Path, after: Path) -> Dart:
    near_foot, far_foot = before.end(), after.start()
    rule = dart.rule
    upside = (dot(near_foot - dart.near_origin, dart.near_heading) <= 0.0) & np.isfinite(near_foot[:, 0])
    run.fail(
        upside,
        "D422",
        f"{named(rule, 'The')} ends outside the piece",
        span=rule.point_row or rule.span,
        expected="a point, and a level that it is held to, inside the piece",
        found="one beyond the edge",
        suggestion="Let the point lie further from the edge.",
    )
    if run.quiet:  # a trial of a find measures what is sewn, never the cloth folded away
        trued = Path((Line(near_foot, far_foot),))
    else:
        trued = true_end(
            dart.press,
            dart.point,
            dart.axis,
            (near_foot, far_foot),
            (dart.near_heading, dart.far_heading),
            dart.asked,
            before,
            after,
            run,
        )
    return Dart(
        rule.name,
        rule.span,
        dart.point,
        dart.leg(near_foot, 0),
        dart.leg(far_foot, 1),
        dart.motion,
        trued,
        dart.press,
        distance(near_foot, far_foot),
        dart.asked,
        rule.held_to,
        dart.middle,
    )


def true_end(
    press: str,
    point: Floats,
    axis: Floats,
    feet: tuple[Floats, Floats],
    headings: tuple[Floats, Floats],
    intake: Floats,
    before: Path,
    after: Path,
    run: Run | None = None,
) -> Path:
    """The folded end of a dart: near foot, peak on the fold, far foot.

    `feet` and `headings` (from the point outward) are those of the near and the far leg; `before` and `after` the strips
    of the edge beside them.  With a run, bodies whose strip reaches the fold, as nearly all do, have no more segments than they
    need; the others are parted from them.
    """
    which = 0 if press == "near" else 1
    neighbour = before.reversed() if which == 0 else after
    foot, heading = feet[which], headings[which]
    # The neighbour may be shorter than the way to the fold: it goes on straight beyond its end.
    reach = intake * 4.0 + 10.0
    beyond = neighbour.end() + neighbour.end_direction() * reach[:, None]
    laid_over = Path.join(neighbour, Path((Line(neighbour.end(), beyond),))).moved(Motion.mirror(foot, heading))
    number, t = meet.first_on_line(laid_over, point, axis)
    if run is not None:
        last = run.alike(number, np.isfinite(axis[:, 0]))
        if 0 <= last < len(neighbour.segments):
            half = meet.up_to(Path(laid_over.segments[: last + 1]), np.full(len(number), last), t)
            mirrored = half.moved(Motion.mirror(point, axis)).reversed()
            trued = Path.join(half, mirrored)
            return trued if which == 0 else trued.reversed()
    half = meet.up_to(laid_over, number, t)
    mirrored = half.moved(Motion.mirror(point, axis)).reversed()
    # Where the neighbour does not reach the fold, as of a dart that lies flat to its edge, the end is closed straight.
    trued = Path.join(half, Path((Line(half.end(), mirrored.start()),)), mirrored)
    return trued if which == 0 else trued.reversed()


@operation(takes=(PATH,), gives=EDGE, intervals=straight.plain_edge)
def plain_edge(run: Run, guide: Guide, *, name: str, turned: bool) -> Edge:
    path = guide.path.reversed() if turned else guide.path
    return Edge(name, run.span, (path,))


@operation(takes=(EDGE,), gives=EDGE, intervals=straight.turned_edge)
def turned_edge(run: Run, edge: Edge, *, turned: bool) -> Edge:
    return edge.reversed() if turned else edge


@operation(takes=(EDGE,), gives=POINT)
def dart_foot(run: Run, edge: Edge, *, name: str, which: str) -> Floats:
    dart = next(dart for dart in edge.darts if dart.name == name)
    return dart.near_foot if which == "near" else dart.far_foot


@operation(takes=(EDGE,), gives=LENGTH)
def dart_taken(run: Run, edge: Edge, *, name: str) -> Floats:
    """What a dart takes out of its edge: the distance of its feet as finished, by which the edge is shorter as sewn."""
    return next(dart for dart in edge.darts if dart.name == name).intake


# ------------------------------------------------------------ what a dart takes out at a level


def opening_at(dart: Dart, y: Floats) -> Floats:
    """How wide a dart stands open at depth y (N,): zero past its point; above the edge its legs are carried on."""
    openings = []
    for leg in (dart.near_leg, dart.far_leg):
        x = np.full(len(y), np.nan)
        for number, segment in enumerate(leg.segments):
            a, b = segment.start(), segment.end()
            drop = b[:, 1] - a[:, 1]
            part = (y - a[:, 1]) / np.where(np.abs(drop) < 1e-9, np.nan, drop)
            inside = (part <= 1.0 + 1e-12) & ((part >= 0.0) | (number == 0))
            x = np.where(np.isnan(x) & inside, a[:, 0] + (b[:, 0] - a[:, 0]) * part, x)
        openings.append(x)
    width: Floats = np.nan_to_num(np.abs(openings[1] - openings[0]))
    return width if dart.held_to is None else np.minimum(width, dart.asked)  # held legs run on side by side


def crossing(first: Dart, second: Dart) -> Mask:
    """Whether the legs of two darts cross (N,)."""
    hit = np.zeros(len(first.point), dtype=bool)
    for leg in (first.near_leg, first.far_leg):
        for other_leg in (second.near_leg, second.far_leg):
            for a in leg.segments:
                for b in other_leg.segments:
                    hit |= _cross(a.start(), a.end(), b.start(), b.end())
    return hit


def _cross(a: Floats, b: Floats, c: Floats, d: Floats) -> Mask:
    def side(p: Floats, q: Floats, r: Floats) -> Floats:
        return cross(q - p, r - p)

    return (side(a, b, c) * side(a, b, d) < 0.0) & (side(c, d, a) * side(c, d, b) < 0.0)


def beyond(dart: Dart, path: Path) -> Floats:
    """How far from its centre as laid out (N,) a dart's fold meets another edge before it reaches the point; NaN where it does not."""
    limit = np.full(len(dart.point), np.nan)
    if dart.middle is None:
        return limit
    low, high = path.box()
    near = np.flatnonzero(
        (np.minimum(dart.middle, dart.point) <= high + 1.0).all(axis=1) & (np.maximum(dart.middle, dart.point) >= low - 1.0).all(axis=1)
    )
    if len(near):  # most edges lie far from most darts
        foot = taken(dart.middle, near)
        way = taken(dart.point, near) - foot
        reach, way = norm(way), unit(way)
        so_far = dot(meet.line_place(path.take(near), foot, way) - foot, way)
        limit[near] = np.where((so_far > 1e-6) & (so_far < reach - 1e-6), so_far, np.nan)
    return limit
