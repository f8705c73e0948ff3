"""What edges and levels measure as sewn on pieces drawn by hand, and which points these measures rest on.

Every measure is a sum over what is drawn between points, so it comes with its slope: how much it grows for each millimetre
that a point moves.  A level is the ledger's own line on the piece (`drafting.level_lines`): edges along which it runs, whole
or from one place to another, and straight strands, of which counts what lies in the cloth and outside of the darts (what a
strand enters at one crossing it leaves at the next).  Where that does not give the ledger's figure on the true piece, the level is not told.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple, TypeAlias, cast

import numpy as np

from ...drafting.ledgers import GirthRow
from ...drafting.level_lines import DrawnLevel
from ...drafting.pattern import Edge, Piece
from ...geometry.arrays import Floats
from ...meaning.plan import PiecePlan
from ..house.work import Work
from .measure import across, line_length, nearest_side, off_line, unit
from .section import GirthAsSewn, HandLine, HandSection, PointKey, SeamError

NEAR = 0.3  # mm; within this a reading of a level on the true piece is the ledger's
ON = 0.05  # mm; a place so near to a line lies on it
AROUND = 12.0  # mm; so far from the end of a strand its outline is looked for
BENT = 0.05  # of its length; a chord of an edge is off that edge by less

Slope: TypeAlias = dict[PointKey, Floats]  # (2,): for each mm across and down
Line: TypeAlias = tuple[Floats, str, str]  # a polyline (K, 2) with the points at its ends


class AsSewn(NamedTuple):
    length: float
    slope: Slope
    apart: float = 0.0  # by how much two hands draw it unlike


class Balance(NamedTuple):
    """A measure that the drawn pieces are to keep: how far it is off, and the points it rests on."""

    off: float
    slope: Slope
    binds: bool = True  # a girth or a seam of the whole garment; else one piece's share of a girth, that only ought to be near
    curves: int = 0  # how many curves it rests on, each of which another hand draws a little otherwise
    apart: float = 0.0  # mm by which two hands draw it unlike, as where a level comes near the corner of a hollow edge


def edge_as_sewn(section: HandSection, name: str) -> AsSewn:
    """The length of an edge with its darts closed."""
    return _runs_as_sewn(section, _runs(section, name))


def _runs(section: HandSection, edge: str) -> list[HandLine]:
    return [run for strip in section.edges[edge] for run in strip]


def _runs_as_sewn(section: HandSection, runs: Sequence[HandLine]) -> AsSewn:
    total, slope = 0.0, _Slopes(section)
    for run in runs:
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
        base, foot, other = following or (self.section.owners[label],) * 3
        for key, part in ((base, slope), (foot, -slope), (other, slope)):
            self.each[key] += part


# ------------------------------------------------------------ levels


class EdgeStretch(NamedTuple):
    """A part of an edge, from one place on it to another."""

    edge: str
    start: Floats
    end: Floats


class LevelOnPaper(NamedTuple):
    """A level on the true piece: edges along which it runs, stretches of edges, and straight strands (K, 2, 2), each from end to end."""

    edges: tuple[str, ...]
    strands: Floats
    stretches: tuple[EdgeStretch, ...] = ()

    def ends(self) -> list[Floats]:
        """Where the level begins and ends on the paper, but for what runs along a whole edge."""
        return [*_loose_ends(self.strands), *(place for stretch in self.stretches for place in stretch[1:])]


def level_on_paper(work: Work, plan: PiecePlan, piece: Piece, level: str) -> LevelOnPaper:
    """Which line of a piece the ledger reads for a level, from the step that gave its width."""
    filled, index = work.run.filled, work.index
    step = next(step for step in work.plan.steps if step.out == plan.widths[level])
    if step.operation == "line_width":
        line = cast(DrawnLevel, filled[step.inputs[0]]).line
        strands = np.stack([line.chords.a[index], line.chords.b[index]], axis=1)
        long = np.hypot(*(strands[:, 1] - strands[:, 0]).T)
        strands = strands[np.isfinite(long) & (long > NEAR)]
        found = _along_edges(piece, index, strands)
        return found._replace(edges=line.along + found.edges)
    if step.operation == "level_width":
        side, centre, y = (float(cast(Floats, filled[slot])[index]) for slot in step.inputs[:3])
        return LevelOnPaper((), np.array([[[centre, y], [side, y]]]))
    return LevelOnPaper((cast(Edge, filled[step.inputs[0]]).name,), np.zeros((0, 2, 2)))


def _along_edges(piece: Piece, index: int, strands: Floats) -> LevelOnPaper:
    """Strands that follow one another along an edge are that edge, or a stretch of it."""
    edges, stretches = [], []
    for edge in piece.edges:
        line = np.concatenate(_strips(edge, index))
        away = np.stack([off_line(places, line) for places in (strands[:, 0], strands[:, 1], strands.mean(axis=1))])
        lies = (away[:2] < ON).all(axis=0) & (away[2] < BENT * np.hypot(*(strands[:, 1] - strands[:, 0]).T))
        ends = _loose_ends(strands[lies])
        if lies.any() and off_line(line, strands[lies].reshape(-1, 2)).max() < ON:
            edges.append(edge.name)
        elif len(ends) == 2:
            stretches.append(EdgeStretch(edge.name, *ends))
        else:
            continue
        strands = strands[~lies]
    return LevelOnPaper(tuple(edges), strands, tuple(stretches))


def _strips(edge: Edge, index: int) -> list[Floats]:
    return [strip.take(slice(index, index + 1)).flatten()[0] for strip in edge.strips]


def _loose_ends(strands: Floats) -> list[Floats]:
    """The ends of strands at which no other one goes on."""
    places = strands.reshape(-1, 2)
    return [place for place in places if (np.hypot(*(places - place).T) < ON).sum() == 1]


def _sewn_before(edge: Edge, index: int, place: Floats) -> float:
    """How much of an edge is sewn before a place on it."""
    before = 0.0
    for line in _strips(edge, index):
        if off_line(place[None], line)[0] < ON:
            k = nearest_side(place, line)
            return before + line_length(np.concatenate([line[: k + 1], place[None]]))
        before += line_length(line)
    return math.nan


def _stretch_as_sewn(section: HandSection, stretch: EdgeStretch) -> AsSewn | None:
    """The length of what is drawn from the one place of an edge to the other; None where it is not drawn from place to place."""
    runs = _runs(section, stretch.edge)
    for start, end in (stretch[1:], stretch[:0:-1]):
        first = [k for k, run in enumerate(runs) if np.hypot(*(section.true[run.start] - start)) < ON]
        last = [k for k, run in enumerate(runs) if np.hypot(*(section.true[run.end] - end)) < ON]
        if first and last and first[0] <= last[0]:
            return _runs_as_sewn(section, runs[first[0] : last[0] + 1])
    return None


def level_as_sewn(section: HandSection, line: LevelOnPaper, level: str, index: int, stated: float) -> AsSewn | None:
    """The width of a drawn piece along a level, darts closed; None where this reading does not give the ledger's figure."""
    slopes, total, apart = _Slopes(section), 0.0, 0.0
    for one in (*(edge_as_sewn(section, name) for name in line.edges), *(_stretch_as_sewn(section, part) for part in line.stretches)):
        if one is None:
            return None
        total += one.length
        for key, part in one.slope.items():
            slopes.each[key] += part
    true = sum(float(section.piece.edge(name).closed_length()[index]) for name in line.edges)
    for name, start, end in line.stretches:
        edge = section.piece.edge(name)
        true += abs(_sewn_before(edge, index, end) - _sewn_before(edge, index, start))
    outline, cloth, other_cloth = list(_true_lines(section, index)), list(_drawn_lines(section)), list(_drawn_lines(section, 1))
    for start, end in line.strands:
        free = [min(float(off_line(place[None], one).min()) for one, _, _ in outline) < ON for place in (start, end)]
        known = _across_cloth(outline, start, end, free)
        down = section.depths.get(level, start[1]) - start[1]  # how far off its height the level line was drawn
        drawn, other = (
            _across_cloth(one, start + np.array([0.0, down]), end + np.array([0.0, down]), free) for one in (cloth, other_cloth)
        )
        if known is None or drawn is None or _strips_of_cloth(known, section.rule.step) != _strips_of_cloth(drawn, section.rule.step):
            return None
        true += sum(way * at for way, at, _ in known)
        hands = [sum(way * at for way, at, _ in hand) for hand in (drawn, other or drawn)]
        total, apart = total + sum(hands) / 2, apart + abs(hands[0] - hands[1])
        for way, _, parts in drawn:
            for label, part in parts:
                slopes.add(label, way * part)
    return AsSewn(total, slopes.each, apart) if abs(true - stated) < NEAR else None


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


def _drawn_lines(section: HandSection, hand: int = 0) -> Iterator[Line]:
    for strips in section.edges.values():
        for strip in strips:
            for run in strip:
                yield run.lines[hand], run.start, run.end
    for labels in section.darts:
        for a, b in zip(labels, labels[1:], strict=False):
            yield np.stack([section.drawn[a], section.drawn[b]]), a, b


def _across_cloth(
    lines: Sequence[Line], start: Floats, end: Floats, free: Sequence[bool]
) -> list[tuple[float, float, list[tuple[str, Floats]]]] | None:
    """Where a strand enters and leaves the cloth, in order: (-1 or 1, how far along, how the points move that).

    An end that is `free` lies on the outline and goes with it; another stays.  None if the strand does not leave as often as it enters.
    """
    way = unit(end - start)
    long = float(np.hypot(*(end - start)))
    crossings: list[tuple[float, list[tuple[str, Floats]]]] = [
        (at, []) for at, is_free in ((0.0, free[0]), (long, free[1])) if not is_free
    ]
    for line, first, last in lines:
        beside = (line - start) @ across(way) > 0
        reach = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
        for k in np.flatnonzero(beside[1:] != beside[:-1]):
            a, b = line[k], line[k + 1]
            normal = across(b - a)
            slant = float(normal @ way)
            at = float(normal @ (a - start)) / slant
            if (AROUND if free[0] else 0.0) + at < 0 or at > long + (AROUND if free[1] else 0.0):
                continue
            t = float(np.hypot(*(start + at * way - a)) / np.hypot(*(b - a)))
            part = (reach[k] + t * (reach[k + 1] - reach[k])) / reach[-1]
            crossings.append((at, [(first, (1 - part) * normal / slant), (last, part * normal / slant)]))
    crossings.sort(key=lambda crossing: crossing[0])
    return None if len(crossings) % 2 else [(-1.0 if k % 2 == 0 else 1.0, at, parts) for k, (at, parts) in enumerate(crossings)]


def _strips_of_cloth(crossings: Sequence[tuple[float, float, object]], step: float) -> int:
    """In how many strips a strand runs through the cloth, where none is parted by less than a step: by the point of a dart that on
    the paper comes to lie a little beyond the level."""
    gaps = [after[1] - before[1] for before, after in zip(crossings[1:-1:2], crossings[2:-1:2], strict=True)]
    return sum(gap >= step for gap in gaps) + 1


# ------------------------------------------------------------ the whole garment


class Sewing:
    """The girths and seams of sheets of one garment.  What a section measures is worked out once: sheets may share sections."""

    def __init__(self, work: Work) -> None:
        self.work = work
        self.plans = {plan.name: plan for plan in work.plan.pieces}
        self._lines: dict[tuple[str, str], LevelOnPaper] = {}  # of a piece and a level
        self._levels: dict[tuple[HandSection, str], AsSewn | None] = {}
        self._edges: dict[tuple[HandSection, str], AsSewn] = {}

    def _level(self, section: HandSection, level: str, stated: float) -> AsSewn | None:
        piece, key = section.piece, (section, level)
        if key not in self._levels:
            if (piece.name, level) not in self._lines:
                self._lines[piece.name, level] = level_on_paper(self.work, self.plans[piece.name], piece, level)
            self._levels[key] = level_as_sewn(section, self._lines[piece.name, level], level, self.work.index, stated)
        return self._levels[key]

    def _edge(self, section: HandSection, edge: str) -> AsSewn:
        if (section, edge) not in self._edges:
            self._edges[section, edge] = edge_as_sewn(section, edge)
        return self._edges[section, edge]

    def girth(self, row: GirthRow, sections: dict[str, HandSection]) -> tuple[GirthAsSewn, list[Balance]] | None:
        """A row of the girth ledger on the drawn pieces, and each one's share in it; None where it cannot be read on one of them."""
        slope: Slope = defaultdict(lambda: np.zeros(2))
        parts, shares, off, apart = [], [], 0.0, 0.0
        for name, times, widths in row.pieces:
            stated = float(widths[self.work.index])
            if not abs(stated) > 0:
                continue
            if name not in sections:
                return None
            measured = self._level(sections[name], row.level, stated)
            if measured is None:
                return None
            parts.append((sections[name].title, times, measured.length))
            shares.append(Balance(measured.length - stated, measured.slope, binds=False))
            off += times * (measured.length - stated)
            apart += times * measured.apart
            for key, part in measured.slope.items():
                slope[key] += times * part
        if not parts:
            return None
        return GirthAsSewn(row.level, float(row.sewn[self.work.index]), tuple(parts)), [Balance(off, slope, apart=apart), *shares]

    def seams(self, sections: dict[str, HandSection]) -> Iterator[tuple[SeamError, Balance]]:
        """Every seam: by how much its two sides differ more, or less, than in the pattern."""
        pattern = self.work.finished.pattern
        for seam in pattern.seams:
            one, other = pattern.sewn(seam)
            if any(sewn.piece.name not in sections for sewn in (*one, *other)):
                continue
            shared = min(sewn.times for sewn in (*one, *other))
            slope: Slope = defaultdict(lambda: np.zeros(2))
            off, curves = 0.0, 0
            for sign, side in ((1, one), (-1, other)):
                for sewn in side:
                    section, times = sections[sewn.piece.name], sign * sewn.times / shared
                    curves += sum(len(run.lines[0]) > 2 for run in _runs(section, sewn.edge))
                    measured = self._edge(section, sewn.edge)
                    off += times * (measured.length - float(sewn.piece.edge(sewn.edge).closed_length()[self.work.index]))
                    for key, part in measured.slope.items():
                        slope[key] += times * part
            words = " to ".join(" and ".join(f"{name}.{edge}" for name, edge in side) for side in (seam.one, seam.other))
            yield SeamError(words, off), Balance(off, slope, curves=curves)
