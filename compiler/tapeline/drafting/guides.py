"""Edges as first drawn: a path, and how to draw it again between moved ends.

When darts with held legs are folded, the ends of their edge come nearer without turning.  The sewn edge is then drawn
afresh by the rule that drew it first: a `Guide` keeps the path and that rule.  A direction that the author stated
(level at the centre, say) is kept exactly.  Straight darts turn the cloth: see `darts` for how their edge is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np

from ..geometry import fair, straight
from ..geometry.arrays import Floats, Mask
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import angle_between, choose, distance, dot, norm, square_to, unit, vector
from ..geometry.segments import Cubic, Line, Segment
from ..geometry.solve import root
from ..meaning.kinds import DIRECTION, LENGTH, NUMBER, PATH, POINT
from ..meaning.plan import Step
from ..source.quantity import at_least, at_most, finely, passing, show_figure, show_length
from .operations import Claimed, Term, operation
from .steps import Run

SAME = 0.01  # mm; points nearer than this are one


class FoldedEnds(NamedTuple):
    """Where an edge goes when its darts are folded: its ends, the motions of its end strips, and of any place."""

    start: Floats
    end: Floats
    first: Motion
    last: Motion
    carry: Callable[[np.ndarray], np.ndarray]


RunStretch = tuple[str, int, int, int, float]  # straight, smooth or bowed; first and last place; which amount; its sign


class Guide:
    __slots__ = ("path", "redraw")

    def __init__(self, path: Path, redraw: Callable[[FoldedEnds], Path]) -> None:
        self.path = path
        self.redraw = redraw

    def reversed(self) -> Guide:
        def backward(folded: FoldedEnds) -> Path:
            return self.redraw(FoldedEnds(folded.end, folded.start, folded.last, folded.first, folded.carry)).reversed()

        return Guide(self.path.reversed(), backward)


def path_of(drawn: Guide | Path) -> Path:
    return drawn.path if isinstance(drawn, Guide) else drawn


def redrawing(path: Path) -> Callable[[FoldedEnds], Path]:
    """Redrawing for any path: the same bend about the new chord, plus an equal share of the darts' turning."""

    def redraw(folded: FoldedEnds) -> Path:
        chord = path.end() - path.start()
        theta = angle_between(chord, path.start_direction())
        phi = angle_between(path.end_direction(), chord)
        share = (folded.last.angle() - folded.first.angle()) / 2.0
        new = folded.end - folded.start
        return Path((fair.bowed(folded.start, folded.end, _rotated(new, theta - share), _rotated(new, share - phi)),))

    return redraw


def _rotated(v: Floats, angle: Floats) -> Floats:
    cos, sin = np.cos(angle), np.sin(angle)
    return vector(v[:, 0] * cos - v[:, 1] * sin, v[:, 0] * sin + v[:, 1] * cos)


def _require_two_places(
    run: Run, a: Floats, b: Floats, what: str = "line", way_out: str = "See which measure or choice brings the points together."
) -> None:
    run.fail(
        distance(a, b) < SAME,
        "D406",
        f"The two ends of this {what} are one point",
        expected="two places apart",
        found=lambda i: f"{show_length(float(distance(a, b)[i]), run.unit)} between them",
        suggestion=way_out,
    )


def _require_an_arc(run: Run, start: Floats, end: Floats) -> None:
    _require_two_places(run, start, end, "arc", "Draw a whole circle as two arcs: swing a point half the way round, and join them.")


@operation(takes=(POINT, POINT), more=POINT, gives=PATH, intervals=straight.draw_line)
def draw_line(run: Run, *points: Floats) -> Guide:
    for a, b in zip(points, points[1:], strict=False):
        _require_two_places(run, a, b)
    path = Path(tuple(Line(a, b) for a, b in zip(points, points[1:], strict=False)))
    bent = redrawing(path)

    def redraw(folded: FoldedEnds) -> Path:
        return Path((Line(folded.start, folded.end),)) if len(points) == 2 else bent(folded)

    return Guide(path, redraw)


@operation(
    takes=(POINT, POINT),
    more=POINT,
    named={"leaving": DIRECTION, "arriving": DIRECTION, "bow": LENGTH, "long": LENGTH, "side": NUMBER, "bow_at": NUMBER},
    gives=PATH,
)
def draw_curve(
    run: Run,
    *places: Floats,
    leaving: Floats | None = None,
    arriving: Floats | None = None,
    bow: Floats | None = None,
    long: Floats | None = None,
    side: Floats | None = None,
    bow_at: Floats | None = None,
    leaving_given: bool = False,
    arriving_given: bool = False,
) -> Guide:
    """A curve through two or more points.

    `leaving` and `arriving` are directions (N, 2) at its ends, whose sense is free unless it is `..._given`; `bow` (N,) or the
    length `long` (N,) that it is to have bend it to the `side` (N,), `bow_at` (N,) of the way.
    """
    _require_two_places(run, places[0], places[-1], "curve")

    def draw(places: Sequence[Floats], out: Floats | None, into: Floats | None, amount: Floats | None) -> Path:
        if out is not None and not leaving_given:
            out = _along(out, places[1] - places[0])
        if into is not None and not arriving_given:
            into = _along(into, places[-1] - places[-2])
        if len(places) > 2:
            return Path(fair.through(list(places), out, into))
        if bow_at is not None and amount is not None and side is not None:
            return Path(fair.through(_bent(places, amount, side, bow_at), out, into))
        return Path((fair.bowed(places[0], places[1], out, into, amount, side),))

    amount, wrong = bow, np.zeros(run.n, dtype=bool)
    if long is not None:
        amount, wrong = _bow_for_length(run, lambda bow: draw(places, leaving, arriving, bow), places, long)
    path = draw(places, leaving, arriving, amount)
    undrawn = np.isnan(path.length()) & ~wrong
    for known in (*places, leaving, arriving, bow, long):
        if known is not None:
            undrawn &= np.isfinite(known).reshape(run.n, -1).all(axis=1)
    run.fail(
        undrawn,
        "D407",
        "The curve cannot be drawn as it is told",
        expected="a bend that suits the directions of its ends",
        found=f"directions and {'bow' if long is None else 'length'} that contradict each other",
        suggestion=f"Leave out the {'bow' if long is None else 'length'} or one direction.",
    )
    bent = redrawing(path)

    def redraw(folded: FoldedEnds) -> Path:
        if leaving is None and arriving is None and len(places) == 2 and amount is None:
            return bent(folded)
        inner = [folded.carry(place) for place in places[1:-1]]
        out = folded.first.vectors(leaving) if leaving is not None else None
        into = folded.last.vectors(arriving) if arriving is not None else None
        return draw([folded.start, *inner, folded.end], out, into, amount)

    return Guide(path, redraw)


END = 1.0 / 3.0  # of an edge: as much of it is drawn again where its end is to have another direction


def ending(path: Path, arrival: Floats) -> Path:
    """The path drawn fair to its end in another direction (N, 2): its last third is one curve, the rest stays."""
    kept = path.part(np.zeros(path.n), path.length() * (1.0 - END))
    return Path.join(kept, Path((fair.bowed(kept.end(), path.end(), kept.end_direction(), arrival),)))


EASED = 4.0  # the more an even curve has to turn (radians), by so much the nearer to its end it does so


@operation(takes=(POINT, POINT, DIRECTION, DIRECTION), gives=PATH)
def draw_squared(run: Run, start: Floats, end: Floats, leaving: Floats, seam: Floats) -> Guide:
    """An even curve that leaves in one direction (N, 2), and toward its end turns square to a seam that runs in another."""
    _require_two_places(run, start, end)

    def draw(start: Floats, end: Floats, out: Floats, square: Floats) -> Path:
        even = fair.bowed(start, end, out).p
        handle, square = even[:, 3] - even[:, 2], _along(unit(square), end - start)
        reach = norm(handle) / np.sqrt(1.0 + (EASED * angle_between(handle, square)) ** 2)
        return Path((Cubic(np.stack([even[:, 0], even[:, 1], end - square * reach[:, None], even[:, 3]], axis=1)),))

    def redraw(folded: FoldedEnds) -> Path:
        return draw(folded.start, folded.end, folded.first.vectors(leaving), folded.last.vectors(square_to(seam)))

    return Guide(draw(start, end, leaving, square_to(seam)), redraw)


def _along(direction: Floats, chord: Floats) -> Floats:
    """The direction or its opposite, whichever runs with the chord."""
    return choose(dot(direction, chord) < 0.0, -direction, direction)


def _bent(places: Sequence[Floats], amount: Floats, side: Floats, part: Floats) -> list[Floats]:
    start, end = places
    chord = end - start
    normal = square_to(unit(chord)) * (side * amount)[:, None]
    return [start, start + chord * part[:, None] + normal, end]


def _bow_for_length(run: Run, draw: Callable[[Floats], Path], places: Sequence[Floats], target: Floats) -> tuple[Floats, Mask]:
    """The bow (N,) that makes a curve so long, and the bodies (N,) for whom the length is too short, which has been reported.

    The length grows with the bow, so it is bracketed and solved.
    """
    chord = distance(places[0], places[-1])
    low, high = np.full(run.n, 1e-6), 1.5 * np.maximum(chord, target)
    bow, solved, at_low, at_high = root(lambda bow: draw(bow).length() - target, low, high)
    short = ~solved & np.isfinite(at_low)
    run.fail(
        short,
        "D408",
        "The curve cannot have this length",
        expected=lambda i: f"a length from {at_least(at_low[i] + target[i], run.unit)} up",
        found=lambda i: passing(target[i], at_low[i] + target[i], run.unit),
        suggestion="Ask for a longer curve, or bring its ends nearer together.",
    )
    return bow, short


@operation(takes=(POINT, POINT, POINT), gives=PATH)
def draw_arc_about(run: Run, start: Floats, end: Floats, centre: Floats, *, names: tuple[str, str, str]) -> Guide:
    _require_an_arc(run, start, end)
    start_radius, end_radius = distance(start, centre), distance(end, centre)
    first, last, middle = names

    def show(i: int, radius: Floats) -> str:
        both = float(start_radius[i]), float(end_radius[i])
        return finely(run.unit, lambda rounded: rounded(both[0]) != rounded(both[1]))(float(radius[i]))

    def swung(i: int) -> str:
        turn = float(angle_between(start - centre, end - centre)[i])
        return show_figure(abs(turn), "angle") + (" anticlockwise" if turn < 0.0 else "")

    run.fail(
        np.abs(start_radius - end_radius) > SAME,
        "D409",
        "The two ends are not equally far from the centre of the arc",
        expected=lambda i: f"both {show(i, start_radius)} from {middle}",
        found=lambda i: f"{first} {show(i, start_radius)} and {last} {show(i, end_radius)} from it",
        suggestion=lambda i: f"Swing one end about the centre from the other: point {last} {first} swung about {middle} by {swung(i)}",
    )
    path = Path((fair.circular(start, end, centre),))
    return Guide(path, redrawing(path))


@operation(takes=(POINT, POINT, LENGTH, NUMBER), gives=PATH)
def draw_arc_radius(run: Run, start: Floats, end: Floats, radius: Floats, side: Floats) -> Guide:
    _require_an_arc(run, start, end)
    chord = distance(start, end)
    run.fail(
        chord > 2.0 * radius + 1e-9,
        "D409",
        "The radius is too small to reach from end to end",
        expected=lambda i: f"at least {at_least(chord[i] / 2.0, run.unit)}",
        found=lambda i: passing(radius[i], chord[i] / 2.0, run.unit),
        suggestion=lambda i: f"Make the radius {at_least(chord[i] / 2.0, run.unit)} or more.",
    )
    path = Path((fair.circular_by_radius(start, end, radius, side),))
    return Guide(path, redrawing(path))


@operation(takes=(POINT, POINT, LENGTH, NUMBER), gives=PATH)
def draw_arc_bow(run: Run, start: Floats, end: Floats, bow: Floats, side: Floats) -> Guide:
    _require_an_arc(run, start, end)
    chord = distance(start, end)
    run.fail(
        ((bow <= 0.0) | (bow > chord / 2.0)) & (chord >= SAME),
        "D409",
        "An arc cannot be bowed by so much",
        expected=lambda i: f"more than zero and at most {at_most(chord[i] / 2.0, run.unit)}",
        found=lambda i: passing(bow[i], chord[i] / 2.0, run.unit),
        suggestion="Use a curve for a deeper bend.",
    )
    radius = (chord * chord / 4.0 + bow * bow) / (2.0 * np.where(bow > 0.0, bow, np.nan))
    path = Path((fair.circular_by_radius(start, end, radius, side),))
    return Guide(path, redrawing(path))


@operation(takes=(PATH,), more=PATH, gives=PATH)
def join_paths(run: Run, *guides: Guide, turned: Sequence[bool]) -> Guide:
    path = Path.join(*(guide.path.reversed() if back else guide.path for guide, back in zip(guides, turned, strict=True)))
    joints = [segment.start() for segment in path.segments[1:]]
    bent = redrawing(path)

    def redraw(folded: FoldedEnds) -> Path:
        if not joints:
            return bent(folded)
        inner = [folded.carry(joint) for joint in joints]
        return Path(
            fair.through(
                [folded.start, *inner, folded.end],
                folded.first.vectors(path.start_direction()),
                folded.last.vectors(path.end_direction()),
            )
        )

    return Guide(path, redraw)


def _of_levels(step: Step, rule: str) -> Iterable[Claimed]:
    """That an edge of a piece by level goes down from level to level."""
    names, places = step.options["levels"], step.placed
    for k, (upper, lower) in enumerate(zip(places, places[1:], strict=False)):
        words = f"the {step.options['edge']} goes down from {names[k]} to {names[k + 1]}"
        yield Claimed("D410", words, (Term(lower, 1.0, "y"), Term(upper, -1.0, "y")), "more than zero")


@operation(
    takes=(POINT, POINT),
    more=POINT,
    named={"amounts": LENGTH},
    gives=PATH,
    intervals=straight.run_edge,
    where=straight.runs_straight,
    claims=_of_levels,
    branch="smooth",
)
def run_edge(
    run: Run,
    *places: Floats,
    amounts: Sequence[Floats],
    runs: Sequence[RunStretch],
    plumb: Sequence[int],
    levels: Sequence[str],
    edge: str,
) -> Guide:
    """A side or centre run through its points from level to level: straight, smooth or bowed.

    `runs` are its stretches from the top down, `plumb` the levels at which it runs plumb, `amounts` what it is bowed by.
    """
    for index, (upper, lower) in enumerate(zip(places, places[1:], strict=False)):
        _goes_down(run, edge, levels[index], levels[index + 1], upper[:, 1] - lower[:, 1])
    down = vector(np.zeros(run.n), np.ones(run.n))
    segments: list[Segment] = []
    smooth: list[tuple[list[Floats], Floats | None, Floats | None]] = []
    for index, (kind, start, end, amount, sign) in enumerate(runs):
        if kind == "straight":
            segments += [Line(places[k], places[k + 1]) for k in range(start, end)]
        elif kind == "bowed":
            out = down if start in plumb else None
            into = down if end in plumb else None
            segments.append(fair.bowed(places[start], places[end], out, into, amounts[amount], np.full(run.n, -sign)))
        else:
            out = down if start in plumb else _joining(runs, index - 1, places, start)
            into = down if end in plumb else _joining(runs, index + 1, places, end)
            smooth.append((list(places[start : end + 1]), out, into))
            segments += fair.graded(*smooth[-1])
    run.branched(lambda: sum((fair.held(*stretch) * 1000.0**k for k, stretch in enumerate(smooth)), np.zeros(run.n)))
    path = Path(tuple(segments))
    return Guide(path, redrawing(path))


def _goes_down(run: Run, edge: str, upper: str, lower: str, above: Floats) -> None:
    """Fail the bodies in whom the lower of two levels lies `above` (N,) the upper one."""
    run.fail(
        above >= 0.0,
        "D410",
        f"The {edge} does not go down from {upper} to {lower}",
        expected=f"{lower} below {upper}",
        found=lambda i: f"{show_length(above[i], run.unit)} above it",
        suggestion="Change the length, or leave out a level that lies outside the piece.",
    )


def _joining(runs: Sequence[RunStretch], index: int, places: Sequence[Floats], at: int) -> Floats | None:
    """The direction of a straight neighbour, or plumb where following it would bulge beyond the widths."""
    if not 0 <= index < len(runs) or runs[index][0] != "straight":
        return None
    _, start, end, _, _ = runs[index]
    before = index >= 0 and end == at
    beside = places[at] - places[end - 1] if before else places[start + 1] - places[at]
    own = places[at + 1] - places[at] if before else places[at] - places[at - 1]
    down = vector(np.zeros(len(beside)), norm(beside))
    return choose(beside[:, 0] * own[:, 0] <= 0.0, down, beside)
