"""Balance marks: where they come by themselves, and how they are carried out to the cut line.

Sewn edges are marked where a level runs across them (see `levels`), darts at both feet, pleats at both ends of both
lines, and the author's own notches are kept.  A notch goes square to its edge from the stitch line to the cut line, that of
a dart along its leg.
A level that runs along an edge rather than across it marks nothing, nor does one that comes within `CLEAR` of the
edge's end, nor one that is itself an edge of the piece, by its name: where that rises or dips, the level goes with it.  A level that is only for construction marks nothing.  Of two notches of one edge nearer than `APART` the later is left out (NaN) for that body: the author's
come first, then darts, then levels.
"""

from __future__ import annotations

import numpy as np

from ..drafting.measuring import on_strips
from ..drafting.pattern import Edge, Pattern, Piece
from ..drafting.places import nearest_on
from ..geometry.arrays import Floats
from ..geometry.plane import choose, cross, norm
from .allowances import EdgeRun, Ring, outward
from .finished import FinishedNotch
from .levels import CLEAR, Places

APART = 2.0  # mm between two notches; our own choice


def place_notches(pattern: Pattern, piece: Piece, ring: Ring, levels: Places) -> tuple[FinishedNotch, ...]:
    """All notches of a piece, edge by edge in the order of the outline."""
    sewn = {names for seam in pattern.seams for names in (*seam.one, *seam.other)}
    notches = []
    for edge in piece.edges:
        if edge.name == piece.cut.fold:
            continue
        run = ring.edges[edge.name]
        of_edge = [
            _carried_out(run, edge, notch.name, notch.point, notch.direction) for notch in piece.notches if notch.edge == edge.name
        ]
        squares = _pleat_ends(piece, edge, run)
        if (piece.name, edge.name) in sewn:
            marking = {name: at for name, at in levels[edge.name].items() if name not in levels and name not in pattern.unmarked}
            squares += _level_marks(edge, run, marking)
        if run.folds:  # beside a dart on a slant the square leaves its strip
            for notch in of_edge + squares:
                notch.on_cut = _crossing(notch, ring.points)
        of_edge += _dart_feet(edge, run) + squares
        notches += _apart(of_edge)
    return tuple(notches)


def _carried_out(run: EdgeRun, edge: Edge, name: str, point: Floats, direction: Floats) -> FinishedNotch:
    far = run.width[:, None] * outward(direction, run.sense)
    return FinishedNotch(edge.name, name, point, point + far)


def _dart_feet(edge: Edge, run: EdgeRun) -> list[FinishedNotch]:
    """A dart is folded along its legs, which run straight on through the allowance: so do its notches, and they lie on each other."""
    feet = [(dart.near_foot, dart.far_foot) for dart in edge.darts]
    return [
        FinishedNotch(edge.name, dart.name, foot, end)
        for dart, at, ends in zip(edge.darts, feet, run.leg_ends or feet, strict=True)
        for foot, end in zip(at, ends, strict=True)
    ]


def _crossing(notch: FinishedNotch, ring: Floats) -> Floats:
    """Where the way of a notch first crosses a ring (N, K, 2); where it does not, the notch's own end."""
    point, way = notch.on_stitch, notch.on_cut - notch.on_stitch
    step, gap = np.roll(ring, -1, axis=1) - ring, ring - point[:, None]
    with np.errstate(invalid="ignore", divide="ignore"):
        turn = cross(way[:, None], step)
        along, part = cross(gap, step) / turn, cross(gap, way[:, None]) / turn
    along = np.where((part >= 0.0) & (part <= 1.0) & (along > -1e-6), along, np.inf).min(axis=1)
    return choose(np.isfinite(along), point + way * np.where(np.isfinite(along), along, 0.0)[:, None], notch.on_cut)


def _pleat_ends(piece: Piece, edge: Edge, run: EdgeRun) -> list[FinishedNotch]:
    """Where the lines of a pleat that is laid on another edge come out at this one."""
    notches = []
    for dart in piece.darts():
        if dart.kind != "pleat" or dart in edge.darts:
            continue
        for leg in (dart.near_leg, dart.far_leg):
            end = leg.end()
            point, direction = np.full(end.shape, np.nan), np.full(end.shape, np.nan)
            for strip in edge.strips:
                at = np.nan_to_num(nearest_on(strip, end))
                here = norm(strip.point_at(at) - end) < CLEAR  # where the edge was made fair it may pass the line's end by
                point = choose(here, strip.point_at(at), point)
                direction = choose(here, strip.direction_at(at), direction)
            if not np.isnan(point).all():
                notches.append(_carried_out(run, edge, dart.name, point, direction))
    return notches


def _level_marks(edge: Edge, run: EdgeRun, places: dict[str, Floats]) -> list[FinishedNotch]:
    notches = []
    for name, place in places.items():
        if not np.isnan(place).all():
            point, direction = on_strips(edge, place)
            known = ~np.isnan(place)[:, None]
            notches.append(_carried_out(run, edge, name, np.where(known, point, np.nan), np.where(known, direction, np.nan)))
    return notches


def _apart(notches: list[FinishedNotch]) -> list[FinishedNotch]:
    placed: list[FinishedNotch] = []
    for notch in notches:
        close = np.zeros(len(notch.on_stitch), dtype=bool)
        for earlier in placed:
            close |= norm(notch.on_stitch - earlier.on_stitch) < APART
        placed.append(
            FinishedNotch(
                notch.edge, notch.name, *(np.where(close[:, None], np.nan, points) for points in (notch.on_stitch, notch.on_cut))
            )
        )
    return placed
