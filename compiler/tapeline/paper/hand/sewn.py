"""What edges and levels measure as sewn on pieces drawn by hand, and which points these measures rest on.

Every measure is a sum over what is drawn between points, so it comes with its slope: how much it grows for each millimetre
that a point moves.  A level is read as the ledger reads it: along the edge that has its name, or straight across, where
the line lies within the outline and outside of the darts (what it enters at one crossing it leaves at the next).  Where
neither gives the ledger's own figure on the true piece, the level is not told.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias

import numpy as np

from ...drafting.ledgers import GirthRow
from ...geometry.arrays import Floats
from ..house.work import Work
from .measure import across, line_length, unit
from .section import GirthAsSewn, HandSection, PointKey, SeamError

NEAR = 0.3  # mm; within this a reading of a level on the true piece is the ledger's

Slope: TypeAlias = dict[PointKey, Floats]  # (2,): for each mm across and down
Line: TypeAlias = tuple[Floats, str, str]  # a polyline (K, 2) with the points at its ends


class AsSewn(NamedTuple):
    length: float
    slope: Slope


class Balance(NamedTuple):
    """A measure that the drawn pieces are to keep: how far it is off, and the points it rests on."""

    off: float
    slope: Slope
    binds: bool = True  # a girth or a seam of the whole garment; else one piece's share of a girth, that only ought to be near


def edge_as_sewn(section: HandSection, name: str) -> AsSewn:
    """The length of an edge with its darts closed."""
    total, slope = 0.0, _Slopes(section)
    for strip in section.edges[name]:
        for run in strip:
            total += sum(map(line_length, run.lines)) / 2
            line = run.lines[0]
            first, last = (line[:2], line[-2:]) if run.swung else (line[[0, -1]], line[[0, -1]])
            slope.add(run.start, -_way(first))
            slope.add(run.end, _way(last))
    return AsSewn(total, slope.each)


def _way(ends: Floats) -> Floats:
    return unit(ends[1] - ends[0]) if np.hypot(*(ends[1] - ends[0])) > 0 else np.zeros(2)


class _Slopes:
    """Slopes by the section's labels, gathered by where each point is set out."""

    def __init__(self, section: HandSection) -> None:
        self.section = section
        self.each: Slope = defaultdict(lambda: np.zeros(2))

    def add(self, label: str, slope: Floats) -> None:
        following = self.section.following.get(label)
        if following is not None:
            base, foot, other = following
            for moved, part in ((base, slope), (foot, -slope), (other, slope)):
                self.add(moved, part)
            return
        self.each[self.section.owners[label]] += slope


# ------------------------------------------------------------ levels


def level_as_sewn(section: HandSection, level: str, index: int, stated: float) -> AsSewn | None:
    """The width of a drawn piece at a level, darts closed; None where the level is read in neither of our ways."""
    if any(edge.name == level and abs(float(edge.closed_length()[index]) - stated) < NEAR for edge in section.piece.edges):
        return edge_as_sewn(section, level)
    if level not in section.piece.levels:
        return None
    depth = float(section.piece.levels[level][index])
    true = _straight_across(list(_true_lines(section, index)), depth)
    if true is None or abs(sum(way * x for way, x, _ in true) - stated) >= NEAR:
        return None
    drawn = _straight_across(list(_drawn_lines(section)), section.depths.get(level, depth))
    if drawn is None or len(drawn) != len(true):
        return None
    slope = _Slopes(section)
    for way, _, parts in drawn:
        for label, part in parts:
            slope.add(label, way * part)
    return AsSewn(sum(way * x for way, x, _ in drawn), slope.each)


def _true_lines(section: HandSection, index: int) -> Iterator[Line]:
    for edge in section.piece.edges:
        for strip in edge.strips:
            yield strip.take(slice(index, index + 1)).flatten()[0], "", ""
    for dart in section.piece.darts():
        if dart.kind == "dart":
            for leg in (dart.near_leg, dart.far_leg):
                yield leg.take(slice(index, index + 1)).flatten()[0], "", ""
    for inner in section.piece.inner:
        corners = np.array([corner[index] for corner in inner.corners()])
        if np.isfinite(corners).all():
            yield np.concatenate([corners, corners[:1]]), "", ""


def _drawn_lines(section: HandSection) -> Iterator[Line]:
    for strips in section.edges.values():
        for strip in strips:
            for run in strip:
                yield run.lines[0], run.start, run.end
    for labels in section.darts:
        for a, b in zip(labels, labels[1:], strict=False):
            yield np.stack([section.drawn[a], section.drawn[b]]), a, b


def _straight_across(lines: Sequence[Line], depth: float) -> list[tuple[float, float, list[tuple[str, Floats]]]] | None:
    """Where a level line enters and leaves the cloth, from left to right: (-1 or 1, x, how the points move that).

    None if it does not leave as often as it enters.
    """
    crossings = []
    for line, start, end in lines:
        under = line[:, 1] > depth
        reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        for k in np.flatnonzero(under[1:] != under[:-1]):
            a, b = line[k], line[k + 1]
            t = float((depth - a[1]) / (b[1] - a[1]))
            part = (reach[k] + t * (reach[k + 1] - reach[k])) / reach[-1]
            normal = across(b - a)
            crossings.append(
                (float(a[0] + t * (b[0] - a[0])), [(start, (1 - part) * normal / normal[0]), (end, part * normal / normal[0])])
            )
    crossings.sort(key=lambda crossing: crossing[0])
    return None if len(crossings) % 2 else [(-1.0 if k % 2 == 0 else 1.0, x, parts) for k, (x, parts) in enumerate(crossings)]


# ------------------------------------------------------------ the whole garment


def girth_as_sewn(work: Work, row: GirthRow, sections: dict[str, HandSection]) -> tuple[GirthAsSewn, list[Balance]] | None:
    """A row of the girth ledger on the drawn pieces, and each one's share in it; None where it cannot be read on one of them."""
    slope: Slope = defaultdict(lambda: np.zeros(2))
    parts, shares, off = [], [], 0.0
    for name, times, widths in row.pieces:
        stated = float(widths[work.index])
        if not abs(stated) > 0:
            continue
        measured = level_as_sewn(sections[name], row.level, work.index, stated) if name in sections else None
        if measured is None:
            return None
        parts.append((sections[name].title, times, measured.length))
        shares.append(Balance(measured.length - stated, measured.slope, binds=False))
        off += times * (measured.length - stated)
        for key, part in measured.slope.items():
            slope[key] += times * part
    if not parts:
        return None
    return GirthAsSewn(row.level, float(row.sewn[work.index]), tuple(parts)), [Balance(off, slope), *shares]


def seams_as_sewn(work: Work, sections: dict[str, HandSection]) -> Iterator[tuple[SeamError, Balance]]:
    """Every seam: by how much its two sides differ more, or less, than in the pattern."""
    pattern = work.finished.pattern
    for seam in pattern.seams:
        one, other = pattern.sewn(seam)
        if any(sewn.piece.name not in sections for sewn in (*one, *other)):
            continue
        shared = min(sewn.times for sewn in (*one, *other))
        slope: Slope = defaultdict(lambda: np.zeros(2))
        off = 0.0
        for sign, side in ((1, one), (-1, other)):
            for sewn in side:
                times = sign * sewn.times / shared
                measured = edge_as_sewn(sections[sewn.piece.name], sewn.edge)
                off += times * (measured.length - float(sewn.piece.edge(sewn.edge).closed_length()[work.index]))
                for key, part in measured.slope.items():
                    slope[key] += times * part
        words = " to ".join(" and ".join(f"{name}.{edge}" for name, edge in side) for side in (seam.one, seam.other))
        yield SeamError(words, off), Balance(off, slope)
