"""The notches of a piece, and how they are carried out to the cut line.

Where they lie along the edges is told by `balance`; darts are notched at both feet, pleats at both ends of both lines.  A notch goes
square to its edge from the stitch line to the cut line, that of a dart along its leg, one at a fold along the fold.
Of two notches of one edge nearer than `APART` the later is left out (NaN) for that body: what the style states comes first, then
darts and pleats, then what comes by itself.
"""

from __future__ import annotations

import numpy as np

from ..drafting.measuring import on_strips_of
from ..drafting.pattern import Edge, Piece
from ..drafting.places import nearest_on
from ..geometry.arrays import Floats
from ..geometry.plane import choose, cross, norm
from .allowances import EdgeRun, Ring
from .balance import BalanceMark, Marks
from .finished import FinishedNotch
from .offsets import outward

APART = 2.0  # mm between two notches; our own choice
CLEAR = 5.0  # mm; the end of a pleat's line that lies nearer to an edge is on it: our own choice


def place_notches(piece: Piece, ring: Ring, marks: Marks) -> tuple[FinishedNotch, ...]:
    """All notches of a piece, edge by edge in the order of the outline."""
    notches = []
    edges = [edge for edge in piece.edges if edge.name != piece.cut.fold]
    own = [(edge, mark) for edge in edges for mark in _marks_of(piece, edge, marks)]
    placed = on_strips_of([(edge, mark.at) for edge, mark in own]) if own else []
    marked = [_marked(ring.edges[edge.name], edge, mark, *at) for (edge, mark), at in zip(own, placed, strict=True)]
    for edge in edges:
        run = ring.edges[edge.name]
        of_edge = [notch for notch in marked if notch.edge == edge.name]
        pleats = _pleat_ends(piece, edge, run)
        if run.folds:  # beside a dart on a slant the square leaves its strip
            for notch in of_edge + pleats:
                notch.on_cut = _crossing(notch, ring.points)
        for notch in of_edge:
            if notch.kind == "centre" and piece.cut.fold is not None:
                notch.on_cut = _at_fold(piece, ring, edge, notch)
        stated = [notch for notch in of_edge if notch.kind == "stated"]
        others = [notch for notch in of_edge if notch.kind != "stated"]
        notches += _apart([*stated, *_dart_feet(edge, run), *pleats, *others])
    return tuple(notches)


def _marks_of(piece: Piece, edge: Edge, marks: Marks) -> list[BalanceMark]:
    if piece.cut.count:
        return marks.get((piece.name, edge.name), [])
    return [BalanceMark("stated", notch.name, notch.at) for notch in piece.notches if notch.edge == edge.name]


def _marked(run: EdgeRun, edge: Edge, mark: BalanceMark, point: Floats, direction: Floats) -> FinishedNotch:
    known = ~np.isnan(mark.at)[:, None]
    point, direction = (np.where(known, value, np.nan) for value in (point, direction))
    notch = _carried_out(run, edge, mark.name, point, direction)
    notch.kind, notch.at, notch.seam, notch.side = mark.kind, mark.at, mark.seam, mark.side
    notch.fellows = tuple(mark.fellows)
    return notch


def _at_fold(piece: Piece, ring: Ring, edge: Edge, notch: FinishedNotch) -> Floats:
    """Where the fold comes out at the cut line of an edge that ends there."""
    line = ring.points[:, ring.runs[edge.name]]
    names = [other.name for other in piece.edges]
    begins = names[names.index(edge.name) - 1] == piece.cut.fold
    return np.where(np.isnan(notch.on_stitch), np.nan, line[:, 0] if begins else line[:, -1])


def _carried_out(run: EdgeRun, edge: Edge, name: str, point: Floats, direction: Floats) -> FinishedNotch:
    far = run.width[:, None] * outward(direction, run.sense)
    return FinishedNotch(edge.name, name, point, point + far)


def _dart_feet(edge: Edge, run: EdgeRun) -> list[FinishedNotch]:
    """A dart is folded along its legs, which run straight on through the allowance: so do its notches, and they lie on each other."""
    feet = [(dart.near_foot, dart.far_foot) for dart in edge.darts]
    return [
        FinishedNotch(edge.name, dart.name, foot, end, dart.kind)
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
                low, high = strip.box()
                if not ((low - CLEAR <= end) & (end <= high + CLEAR)).all(axis=1).any():
                    continue
                at = np.nan_to_num(nearest_on(strip, end))
                on_strip = strip.point_at(at)
                here = norm(on_strip - end) < CLEAR  # where the edge was made fair it may pass the line's end by
                if here.any():
                    point, direction = choose(here, on_strip, point), choose(here, strip.direction_at(at), direction)
            if not np.isnan(point).all():
                notches.append(_carried_out(run, edge, dart.name, point, direction))
                notches[-1].kind = dart.kind
    return notches


def _apart(notches: list[FinishedNotch]) -> list[FinishedNotch]:
    """The notches of an edge, without those that lie too near to one before."""
    for k, notch in enumerate(notches):
        close = np.zeros(len(notch.on_stitch), dtype=bool)
        for earlier in notches[:k]:
            close |= norm(notch.on_stitch - earlier.on_stitch) < APART
        notch.on_stitch, notch.on_cut = (np.where(close[:, None], np.nan, points) for points in (notch.on_stitch, notch.on_cut))
    return notches
