"""Allowances that cannot be cut, each reported with the largest that can.

T501: an inner curve is tighter than the allowance is wide, so the cut line would turn back on itself; the
largest width is the least radius, read from the steps in which the curve is cut.  T502: a hem turned up
reaches past the edge opposite, or past the end of a side that it mirrors.  T503: the cut line crosses itself
for any other reason.  T504: a negative width.  T505: legs of darts, run on, meet before they reach the cut line, or leave
the edge.  The largest values of T502, T503 and T505 are found by halving, `HALVINGS` times, on a factor of the edge's width or
(T503) of all widths of the piece, for the failing bodies alone.
Named values are rounded down to what is shown, a tenth of a millimetre or a sixteenth of an inch, so that they
can be used as they stand.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial, reduce

import numpy as np

from ..drafting.failures import Failure
from ..drafting.pattern import Allowance, Piece
from ..geometry import outline
from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.plane import cross, dot, norm, square_to, taken, unit
from ..geometry.simple import about_a_place
from ..meaning.cutting import TURNED_UP, Corner
from ..source.quantity import show_length
from ..source.text import Span
from .allowances import EdgeRun, Ring, allowance_ring

HALVINGS = 12
PLACES = 9  # places along a hem at which the piece's depth is looked at
BODIES_AT_ONCE = 256

Allowances = dict[str, Allowance]
Corners = tuple[Corner, ...]


def negative(piece: Piece, allowances: Allowances, unit: str) -> list[Failure]:
    """T504 for every edge whose width is below zero for some body."""
    cases = ((f"{piece.name}.{name}", allowance, allowance.width < 0.0) for name, allowance in allowances.items())
    return [_negative(place, allowance, below, unit) for place, allowance, below in cases if below.any()]


def _negative(place: str, allowance: Allowance, below: Mask, unit: str) -> Failure:
    return Failure(
        "T504",
        f"Seam allowance of {place} is less than nothing",
        allowance.span,
        below,
        f"a width of 0 {unit} or more",
        lambda i: show_length(allowance.width[i], unit),
        'Write the width without the minus sign, or "none" where the edge has no seam allowance.',
    )


def impossible(piece: Piece, allowances: Allowances, corners: Corners, ring: Ring, unit: str) -> list[Failure]:
    """T501, T505, T502 and T503, each body's first one only."""
    failures = _inner_curves(piece, allowances, ring, unit)
    failures += _legs(piece, allowances, corners, ring, _sound(failures, ring), unit)
    failures += _hems(piece, allowances, corners, ring, _sound(failures, ring), unit)
    failures += _crossings(piece, allowances, corners, ring, _sound(failures, ring), unit)
    return failures


def _sound(failures: list[Failure], ring: Ring) -> Mask:
    """Bodies (N,) that can be drawn at all and have not failed yet."""
    sound: Mask = np.isfinite(ring.turn)
    for run in ring.edges.values():
        sound &= np.isfinite(run.width)
    for failure in failures:
        sound &= ~failure.bodies
    return sound


def _at_most(width: float, unit: str) -> str:
    """A width for people, rounded down to what is shown."""
    step = 25.4 / 16 if unit == "in" else 0.1
    return show_length(np.floor(width / step + 1e-6) * step, unit)


def _inner_curves(piece: Piece, allowances: Allowances, ring: Ring, unit: str) -> list[Failure]:
    cases = ((name, run, run.width > run.most) for name, run in ring.edges.items())
    return [_tight(f"{piece.name}.{name}", allowances[name].span, run, tight, unit) for name, run, tight in cases if tight.any()]


def _tight(place: str, span: Span, run: EdgeRun, tight: Mask, unit: str) -> Failure:
    width, most = run.width, run.most  # the run itself is let go by then
    return Failure(
        "T501",
        lambda i: f"Seam allowance of {show_length(width[i], unit)} is wider than the inner curve of {place} allows",
        span,
        tight,
        "an allowance no wider than the radius of the curve it lies inside",
        lambda i: f"{place} bends inward with a least radius of {show_length(most[i], unit)}",
        lambda i: f"the allowance can be at most {_at_most(most[i], unit)} here",
    )


def _legs(piece: Piece, allowances: Allowances, corners: Corners, ring: Ring, sound: Mask, unit: str) -> list[Failure]:
    failures = []
    for name, run in ring.edges.items():
        for what, bodies in run.lost:
            lost = bodies & sound
            if lost.any():
                factor = _largest(piece, allowances, corners, np.flatnonzero(lost), (name,), partial(_run_on, edge=name))
                most = factor * allowances[name].width
                failures.append(_meeting_legs(what, f"{piece.name}.{name}", allowances[name], lost, most, unit))
                sound = sound & ~lost
    return failures


def _run_on(ring: Ring, edge: str) -> Mask:
    works = np.ones(len(ring.turn), dtype=bool)
    for _, bodies in ring.edges[edge].lost:
        works &= ~bodies
    return works


def _meeting_legs(what: str, place: str, allowance: Allowance, lost: Mask, most: Floats, unit: str) -> Failure:
    return Failure(
        "T505",
        f"{what} within the seam allowance of {place}",
        allowance.span,
        lost,
        "legs that, run straight on, reach the cut line one after another, so that the darts can be folded",
        lambda i: f"within {show_length(allowance.width[i], unit)} they do not",
        lambda i: f"the allowance can be at most {_at_most(most[i], unit)} here",
    )


def _hems(piece: Piece, allowances: Allowances, corners: Corners, ring: Ring, sound: Mask, unit: str) -> list[Failure]:
    failures = []
    for name, allowance in allowances.items():
        deep = _too_deep(ring, name) & sound if allowance.kind == TURNED_UP else np.zeros(len(sound), dtype=bool)
        if deep.any():
            factor = _largest(piece, allowances, corners, np.flatnonzero(deep), (name,), partial(_fits, hem=name))
            failures.append(_deep(f"{piece.name}.{name}", allowance, deep, factor * allowance.width, unit))
    return failures


def _deep(place: str, allowance: Allowance, deep: Mask, most: Floats, unit: str) -> Failure:
    return Failure(
        "T502",
        lambda i: f"Hem of {show_length(allowance.width[i], unit)} is deeper than the piece at {place}",
        allowance.span,
        deep,
        "a hem that, turned up, stays inside the piece",
        "turned up, it reaches past the edge opposite or past the end of an edge beside it",
        lambda i: f"the hem can be at most {_at_most(most[i], unit)} deep here",
    )


def _fits(ring: Ring, hem: str) -> Mask:
    return ~_too_deep(ring, hem)


def _too_deep(ring: Ring, hem: str) -> Mask:
    """Bodies (N,) whose hem, turned up, reaches past the edge opposite or the end of a side it mirrors."""
    deep: Mask = ring.short.get(hem, np.zeros(len(ring.turn), dtype=bool)).copy()
    names = list(ring.edges)
    at, count = names.index(hem), len(names)
    beside = {hem, names[at - 1], names[(at + 1) % count]}
    across = [ring.edges[name] for name in names if name not in beside]
    if not across:
        return deep
    run = ring.edges[hem]

    # Where nothing opposite is nearer to the hem's chord than its bow and depth together, no ray is needed.
    path = run.path
    start, inward = path.start(), ring.turn[:, None] * square_to(unit(path.end() - path.start()))
    nearest = -reduce(np.maximum, [edge.path.reach_toward(start, -inward) for edge in across])
    bow = path.reach_toward(start, inward)
    some = np.flatnonzero(~(nearest - bow > run.width) & np.isfinite(run.width))
    if not len(some):
        return deep
    opposite = np.concatenate([points for edge in across for points in edge.on_paper().points], axis=1)
    flat = run.on_paper()
    net, directions = np.concatenate(flat.points, axis=1), np.concatenate(flat.directions, axis=1)
    for i in range(0, len(some), BODIES_AT_ONCE):
        lot = some[i : i + BODIES_AT_ONCE]
        deep[lot] |= _depth(net, directions, lot, opposite[lot], ring.turn[lot]) < run.width[lot]
    return deep


def _depth(net: Floats, directions: Floats, bodies: Indices, opposite: Floats, turn: Floats) -> Floats:
    """Least distance (N,) from the hem, square to it, to a polyline (N, L, 2); infinite if nothing is met."""
    place = np.linspace(0.0, net.shape[1] - 1.0, PLACES)
    low = np.minimum(place.astype(int), net.shape[1] - 2)
    part = (place - low)[None, :, None]

    def between(values: Floats) -> Floats:
        interpolated: Floats = (1.0 - part) * values[bodies][:, low] + part * values[bodies][:, low + 1]
        return interpolated

    start = between(net)[:, :, None]
    inward = turn[:, None, None] * square_to(unit(between(directions)))
    inward = inward[:, :, None]
    first, step = opposite[:, None, :-1], (opposite[:, 1:] - opposite[:, :-1])[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = cross(inward, step)
        depth = cross(first - start, step) / spread
        along = cross(first - start, inward) / spread
    hits = (depth > 0.0) & (along >= 0.0) & (along <= 1.0)
    least: Floats = np.where(hits, depth, np.inf).min(axis=(1, 2))
    return least


def _crossings(piece: Piece, allowances: Allowances, corners: Corners, ring: Ring, sound: Mask, unit: str) -> list[Failure]:
    corners_at = [edge.flat.points[0][:, 0] for edge in ring.edges.values()]
    bodies = np.flatnonzero(sound & ~about_a_place(ring.points, reduce(np.add, corners_at) / len(corners_at), ring.turn))
    if not len(bodies):
        return []
    points = ring.points if len(bodies) == len(sound) else taken(ring.points, bodies)
    places = {int(bodies[i]): place for i, _, place in outline.faults(points)}
    if not places:
        return []
    crossing = np.zeros(len(sound), dtype=bool)
    crossing[list(places)] = True
    factor = _largest(piece, allowances, corners, np.flatnonzero(crossing), tuple(allowances), _whole)

    names = list(allowances)
    widest = np.argmax(np.stack([allowances[name].width for name in names]), axis=0)
    failures = []
    for k, name in enumerate(names):
        mask = crossing & (widest == k)
        if mask.any():
            failures.append(_crossing_failure(piece, allowances[name], ring, mask, places, factor, unit))
    return failures


def _crossing_failure(
    piece: Piece, allowance: Allowance, ring: Ring, mask: Mask, places: dict[int, tuple[float, float]], factor: Floats, unit: str
) -> Failure:
    def found(i: int) -> str:
        x, y = places[i]
        first, second = _edges_at(ring, i, places[i])
        widths = [f"{name} ({show_length(ring.edges[name].width[i], unit)})" for name in (first, second) if name]
        return (
            f"the cut line of {' and '.join(widths)} crosses itself about {show_length(x, unit)} across and {show_length(y, unit)} down"
        )

    def way_out(i: int) -> str:
        if not factor[i] > 0.0:
            return "mend the outline first: it crosses itself without any allowance"
        most = _at_most(factor[i] * allowance.width[i], unit)
        return f"{allowance.edge} can be at most {most} wide, every allowance of {piece.name} reduced as much"

    return Failure(
        "T503",
        f"Seam allowances of {piece.name} run into each other",
        allowance.span,
        mask,
        "a cut line that does not cross itself",
        found,
        way_out,
    )


def _edges_at(ring: Ring, body: int, place: tuple[float, float]) -> tuple[str, str | None]:
    """The two edges whose cut lines come nearest to a place; the second None if one alone comes near."""
    distances = []
    for name, run in ring.runs.items():
        points = ring.points[body, run]
        step = points[1:] - points[:-1]
        square = np.maximum(dot(step, step), 1e-12)
        part = np.clip(dot(np.asarray(place) - points[:-1], step) / square, 0.0, 1.0)
        distances.append((float(norm(points[:-1] + part[:, None] * step - np.asarray(place)).min()), name))
    distances.sort(key=lambda pair: pair[0])
    if len(distances) > 1 and distances[1][0] < distances[0][0] + 1.0:
        return distances[0][1], distances[1][1]
    return distances[0][1], None


def _whole(ring: Ring) -> Mask:
    whole = np.ones(len(ring.turn), dtype=bool)
    whole[[i for i, _, _ in outline.faults(ring.points)]] = False
    return whole


def _largest(
    piece: Piece,
    allowances: Allowances,
    corners: Corners,
    bodies: Indices,
    edges: tuple[str, ...],
    possible: Callable[[Ring], Mask],
) -> Floats:
    """Largest factor (N,) of the widths of `edges` at which a ring is possible; NaN but for `bodies`."""
    part = piece.take(bodies)
    low, high = np.zeros(len(bodies)), np.ones(len(bodies))
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        tried = {
            name: Allowance(name, allowance.width[bodies] * (middle if name in edges else 1.0), allowance.kind, allowance.span)
            for name, allowance in allowances.items()
        }
        works = possible(allowance_ring(part, tried, corners))
        low, high = np.where(works, middle, low), np.where(works, high, middle)
    factor = np.full(len(next(iter(allowances.values())).width), np.nan)
    factor[bodies] = low
    return factor
