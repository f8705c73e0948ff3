"""Judging the curves of a piece: edges that turn back on their way, have a kink, bulge past a level line that they run out on, or come
to a corner from outside.

Lines and arcs are as they were said: only their joints with curves are looked at.  Cubics in a row make a run, one curve to the eye.
A run is held against its chord and, where it leaves or arrives level, against the level through that end, both exactly; joints, by what
they turn by.  Most runs are shown to be sound for most bodies by their control points.  An edge is judged as it is sewn, its darts
folded; against levels as it lies on the paper.  A curve that loops crosses itself, which its outline tells.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import reduce

import numpy as np

from ..geometry.arrays import Floats, Mask
from ..geometry.bends import joint_turns, retreat, sharp_turn, turning_heights
from ..geometry.path import Path
from ..geometry.plane import angle_between, dot, norm, unit, vector
from ..geometry.segments import Cubic, Line
from ..source.diagnostics import CAUTION
from ..source.quantity import show_length
from .pattern import Edge, Pattern, Piece
from .shapes import turn_of
from .steps import Run

# Our limits.  Of shipped styles for the women of two surveys, and of published drafts, no joint turns by more than 7.6 deg and nothing
# bulges by more than 2 mm; but for five front armholes, which run back by 5 to 9 mm, none runs back by more than 4.5 mm.
BACK = 5.0  # mm by which an edge may run back along its chord
KINK = np.radians(12.0)  # by which a joint may turn
SHARP = 3.0  # mm; a curve that bends on a smaller radius, and turns there by more than a joint may, has a kink
BULGE = 4.0  # mm by which an edge may lie past the level line that it runs out on
SQUARE = np.radians(0.1)  # a corner within so much of square is meant to be square
LEVEL = np.sin(np.radians(1.0))  # an edge that runs out within so much of level is meant to touch the level line


def judge_curves(pattern: Pattern, run: Run) -> None:
    """Caution where the curves of a pattern misbehave, once for each that several pieces share; not where an error was found before."""
    sound = ~run.failed()
    seen: set[int] = set()
    for piece in pattern.pieces:
        _corners(piece, sound, run)
        for edge in piece.edges:
            bent = [segment for segment in edge.closed.segments if not isinstance(segment, Line)]
            if bent and id(edge.closed) not in seen:
                seen.add(id(edge.closed))
                turns, straight = joint_turns(edge.closed)
                turns = np.where(straight, 0.0, np.abs(turns))
                back = _runs_back(piece, edge, turns, sound, run)
                _kinks(piece, edge, turns, back, sound, run)
                _bulges(piece, edge, sound, run)


def _corners(piece: Piece, sound: Mask, run: Run) -> None:
    """Where a curve stands square to the edge beside it, but on the far side of it: the direction was told without its sense."""
    around = list(zip(piece.edges, (*piece.edges[1:], piece.edges[0]), strict=True))
    curved = [
        pair
        for pair in around
        if any(isinstance(end, Cubic) for end in (pair[0].strips[-1].segments[-1], pair[1].strips[0].segments[0]))
    ]
    if not curved:
        return
    turn = turn_of(piece.edges)
    for first, second in curved:
        turned = turn * angle_between(first.strips[-1].end_direction(), second.strips[0].start_direction())
        _from_outside(piece, first, second, (np.abs(turned + np.pi / 2.0) < SQUARE) & sound, run)


def _from_outside(piece: Piece, first: Edge, second: Edge, outside: Mask, run: Run) -> None:
    corner = second.start()
    curve, beside = (first, second) if isinstance(first.strips[-1].segments[-1], Cubic) else (second, first)
    run.fail(
        outside,
        "D538",
        f"{piece.name}.{curve.name} comes square to {beside.name} from outside the piece",
        span=curve.span,
        expected="a corner of 90 deg inside the piece",
        found=lambda i: (
            f"one of 270 deg, at {show_length(corner[i, 0], run.unit)} across and {show_length(corner[i, 1], run.unit)} down"
        ),
        suggestion="Give the curve another direction there, as an angle, or move that end.",
        severity=CAUTION,
    )


def _runs(path: Path) -> Iterator[tuple[int, Path]]:
    """The cubics of a path that follow each other, each run with the number of its first segment."""
    curve: list[Cubic] = []
    for number, segment in enumerate((*path.segments, None)):
        if isinstance(segment, Cubic):
            curve.append(segment)
        elif curve:
            yield number - len(curve), Path(tuple(curve))
            curve = []


def _kinks(piece: Piece, edge: Edge, turns: Floats, back: Mask, sound: Mask, run: Run) -> None:
    """`turns` (N, M - 1) are those of the joints; of bodies whose edge runs `back` (N,), a sharp bend is not told as well."""
    path = edge.closed
    reach = path.reach()
    if turns.shape[1]:
        worst = np.argmax(np.nan_to_num(turns), axis=1)
        most, at = np.take_along_axis(turns, worst[:, None], axis=1)[:, 0], np.take_along_axis(reach, worst[:, None] + 1, axis=1)[:, 0]
    else:
        most, at = np.zeros(run.n), np.zeros(run.n)
    for number, segment in enumerate(path.segments):
        if isinstance(segment, Cubic):
            turn, so_far = sharp_turn(segment, SHARP)
            sharper = ~back & (turn > most)
            most, at = np.where(sharper, turn, most), np.where(sharper, reach[:, number] + so_far, at)
    run.fail(
        (most > KINK) & sound,
        "D535",
        f"{piece.name}.{edge.name} has a kink",
        span=edge.span,
        expected=f"one fair line, which nowhere turns at once by more than {np.degrees(KINK):.0f} deg",
        found=lambda i: f"a turn of {np.degrees(most[i]):.0f} deg{_place(edge, i, float(at[i]), run.unit)}",
        suggestion="Give both curves one direction where they join; if a corner is meant, list them in the outline as two edges.",
        severity=CAUTION,
    )


def _runs_back(piece: Piece, edge: Edge, turns: Floats, sound: Mask, run: Run) -> Mask:
    """The bodies (N,) whose edge runs back on its way."""
    runs = list(_runs(edge.closed))
    if not runs:
        return np.zeros(run.n, dtype=bool)
    kinked = (turns > KINK).any(axis=1)
    backs = np.nan_to_num(np.stack([_back(curve, kinked) for _, curve in runs]))
    back = backs.max(axis=0)

    def found(i: int) -> str:
        number, curve = runs[int(np.argmax(backs[:, i]))]
        along = float(edge.closed.reach()[i, number]) + _before_it_runs_back(curve.take(np.array([i])))
        return f"it runs back by {show_length(back[i], run.unit)}{_place(edge, i, along, run.unit)}"

    run.fail(
        (back > BACK) & sound,
        "D534",
        f"{piece.name}.{edge.name} turns back on its way",
        span=edge.span,
        expected="an edge that goes on from one end to the other",
        found=found,
        suggestion="See the directions in which it leaves and arrives, and the points that it runs through.",
        severity=CAUTION,
    )
    turned_back: Mask = back > BACK
    return turned_back


def _back(curve: Path, kinked: Mask) -> Floats:
    """How far at most (N,) a run of cubics runs back along its chord; where it has a kink, each cubic along its own."""
    whole = _back_along_chord(curve)
    if not kinked.any() or len(curve.segments) == 1:
        return whole
    return np.where(kinked, np.fmax.reduce([_back_along_chord(Path((segment,))) for segment in curve.segments]), whole)


def _back_along_chord(curve: Path) -> Floats:
    chord = curve.end() - curve.start()
    steps = [segment.p[:, k + 1] - segment.p[:, k] for segment in curve.segments if isinstance(segment, Cubic) for k in range(3)]
    back = np.zeros(curve.n)
    doubtful = np.flatnonzero(reduce(np.minimum, [dot(step, chord) for step in steps]) < 0.0)
    if len(doubtful):
        part = curve.take(doubtful)
        back[doubtful] = np.nan_to_num(retreat(part, unit(part.end() - part.start())))
    return back


def _before_it_runs_back(curve: Path) -> float:
    """How far along the run of one body lies the place from which it runs back farthest."""
    points = curve.flatten()[0]
    way = points[-1] - points[0]
    along = dot(points - points[0], way / norm(way))
    last = int(np.argmax(np.maximum.accumulate(along) - along))
    first = int(np.argmax(along[: last + 1]))
    return float(np.sum(norm(points[1 : first + 1] - points[:first])))


def _bulges(piece: Piece, edge: Edge, sound: Mask, run: Run) -> None:
    """Where an edge leaves or arrives level, it keeps to one side of the level through that end.

    Straight darts turn the cloth, and bend the edge on the paper between their feet: of such an edge nothing can be said.
    """
    if any(dart.held_to is None for dart in edge.darts):
        return
    path = Path.join(*edge.strips)
    down = vector(np.zeros(run.n), np.ones(run.n))
    for backward in (False, True):
        whole = path.reversed() if backward else path
        if not isinstance(whole.segments[0], Cubic):
            continue
        _, curve = next(_runs(whole))
        level = np.flatnonzero(np.abs(curve.start_direction()[:, 1]) < LEVEL)
        past = np.zeros(run.n)
        if len(level):
            part = curve.take(level)
            heights = turning_heights(part, part.start(), down[level])
            past[level] = np.minimum(heights.max(axis=1), -heights.min(axis=1))
        _bulge(piece, edge, curve, np.where(sound, past, 0.0), backward, run)


def _bulge(piece: Piece, edge: Edge, curve: Path, past: Floats, backward: bool, run: Run) -> None:
    def found(i: int) -> str:
        points = curve.take(np.array([i])).flatten()[0]
        heights = points[:, 1] - points[0, 1]
        below = bool(heights.max() < -heights.min())
        at = int(np.argmax(heights if below else -heights))
        so_far = float(np.sum(norm(points[1 : at + 1] - points[:at])))
        along = float(Path.join(*edge.strips).length()[i]) - so_far if backward else so_far
        side = "below" if below else "above"
        across, down = (show_length(figure, run.unit) for figure in points[0])
        end = f"its end at {across} across and {down} down"
        return f"it lies {show_length(past[i], run.unit)} {side} {end}{_place(edge, i, along, run.unit)}"

    run.fail(
        past > BULGE,
        "D536",
        f"{piece.name}.{edge.name} bulges past the level on which it ends",
        span=edge.span,
        expected="a curve that touches the level of its end and stays on one side of it",
        found=found,
        suggestion="Bow it less, or lead it through a point; if it is meant to cross the level, let it end at an angle.",
        severity=CAUTION,
    )


def _place(edge: Edge, body: int, along: float, unit_shown: str) -> str:
    """A place so far along an edge from its start in the outline; without darts, where on the paper as well."""
    told = f", {show_length(along, unit_shown)} along it"
    if edge.darts:
        return f"{told} as sewn"
    across, down = edge.closed.take(np.array([body])).point_at(along)[0]
    return f"{told}, {show_length(across, unit_shown)} across and {show_length(down, unit_shown)} down"
