"""Seam allowances, edge by edge: each edge offset by its own width, and the ring of cut lines and corners they make.

Edges are offset from end to end first (`offsets.py`) and then cut off or carried on at their corners, so no corner depends on
the order in which corners are made.  Outward is found for each body from the sense in which its ring runs.

An edge with darts is offset and given its corners as it is sewn, closed, and then laid open (see `folding`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ..drafting.pattern import Allowance, Pattern, Piece
from ..geometry.arrays import Floats, Mask
from ..geometry.path import Path
from ..geometry.plane import choose
from ..geometry.swept import swept_area
from ..meaning.cutting import AS_FOLDED, NO_ALLOWANCE, POINTED, SQUARE, TURNED_UP, Corner
from .corners import FOLD, Kinds, Meeting, bring_together
from .finished import ResolvedCorner
from .folding import Beside, Fold, Lost, folds_of, laid_open, strip_ranges
from .offsets import Flat, arriving, flattened, leaving, offset
from .runs import Approach, cut_off, rest

BESIDE = 32  # points of the cut line beside a darted edge in which a leg, run on, is looked for


@dataclass(slots=True, eq=False)
class EdgeRun:
    """The offset of one edge, part by part (N, K_i, 2): its segments, and what lies between them.

    `flat` is the line that is offset: the edge, or with `folds` the closed edge, until `lay_open` has been called also in
    `parts`.  `most` (N,) is the widest allowance that its inner curves allow; infinite where the width is far from it.
    Of each fold `leg_ends` are where its near and its far leg, run on, meet the cut line (N, 2); `lost` tells which do not.
    """

    path: Path  # on the paper, darts' ends as folded
    flat: Flat
    parts: list[Floats]
    sense: Floats
    width: Floats
    most: Floats
    folds: tuple[Fold, ...] = ()
    own: Sequence[range] | None = None  # of `strip_ranges`
    leg_ends: Sequence[tuple[Floats, Floats]] = ()
    lost: Sequence[Lost] = ()

    def on_paper(self) -> Flat:
        return flattened([self.path])[0] if self.folds else self.flat

    def forget(self) -> None:
        """Let the points go that only corners and checks look at: they are many times what a finished piece keeps."""
        self.flat, self.parts = Flat(self.flat.path, [], []), []

    def arriving(self) -> Approach:
        """The run seen from the corner at its end."""
        net, directions = self.flat.points[-1][:, -1:], self.flat.directions[-1][:, -1:]
        if not self.folds:
            return arriving(self.parts, net, directions, self.sense, self.width)
        back = self.folds[-1].after
        return arriving(self.parts, back.points(net), back.vectors(directions), self.sense, self.width, back)

    def leaving(self) -> Approach:
        """The run seen from the corner at its start."""
        return leaving(self.parts, self.flat.points[0], self.flat.directions[0], self.sense, self.width)

    def lay_open(self, before: Meeting, previous: Approach | None, after: Meeting, following: Approach | None) -> None:
        """Carry the closed line, cut off at its corners, back to the paper.

        The corners and the runs beyond them give way to a leg that meets them, but for those that are None.
        """
        last = self.folds[-1].after.inverse()
        line = np.empty((2, len(self.width), sum(part.shape[1] for part in self.parts))).transpose(1, 2, 0)
        np.concatenate(self.parts, axis=1, out=line)
        cut, ends_cut = line, {True: line, False: line}
        if np.isfinite(np.fmin(after.until_a, before.until_b)).any():
            cut, ends_cut = line.copy("K"), {True: line, False: line.copy("K")}
            for own in (cut, ends_cut[True]):
                rest(own, after.until_a, last.points(after.between[:, 0]))
            for own in (cut, ends_cut[False]):
                rest(own[:, ::-1], before.until_b, before.between[:, -1])
        opened = laid_open(
            cut,
            ends_cut,
            Beside(
                before.between,
                lambda: _beside(previous, before.until_a, before.between),
                _points_beside(previous),
                -self.flat.directions[0][:, 0],
            ),
            Beside(
                last.points(after.between),
                lambda: last.points(_beside(following, after.until_b, after.between[:, ::-1])[:, ::-1]),
                _points_beside(following),
                self.flat.directions[-1][:, -1],
            ),
            self.folds,
            self.own,
        )
        self.parts, self.leg_ends, self.lost = opened.parts, opened.ends, opened.lost
        before.until_a = _give_way(before.between[:, ::-1], before.until_a, previous, *opened.first)
        after.until_b = _give_way(after.between, after.until_b, following, *opened.last)


def _points_beside(run: Approach | None) -> int:
    return 1 if run is None else min(run.count, BESIDE)


def _beside(run: Approach | None, until: Floats, corner: Floats) -> Floats:
    """The end (N, K, 2) of a run that comes to a corner, cut off there."""
    if run is None:
        return corner[:, :1]
    points = run.nearest(BESIDE)
    return cut_off(points, until - (run.count - points.shape[1]), corner[:, 0])


def _give_way(corner: Floats, until: Floats, run: Approach | None, stop: Floats, point: Floats) -> Floats:
    """Where the run beyond a corner (N, K, 2) is cut off (N,), once the corner begins where a leg ends.

    The leg's `stop` (N,) is told from the end of the line on this side of the corner, negative beyond it; `corner` is told
    from there on, and is changed in place.
    """
    past = np.flatnonzero(stop < 0.0)
    if not len(past):
        return until
    beyond = -stop[past] - 1.0  # steps past the corner's first point
    here = np.arange(corner.shape[1]) <= beyond[:, None]
    corner[past] = choose(here, point[past, None], corner[past])
    on_run = beyond - corner.shape[1]
    if run is None or not (on_run >= 0.0).any():
        return until
    until = until.copy()
    until[past] = np.where(on_run >= 0.0, np.fmin(until[past], run.count - 1.0 - on_run), until[past])
    return until


@dataclass(slots=True, eq=False)
class Ring:
    """A piece's cut line, (N, K, 2), and how it came about.

    `runs` are the slices of its edges; `short`, for each hem as folded, marks the bodies (N,) whose mirrored
    sides end before the hem's cut line.
    """

    points: Floats
    runs: dict[str, slice]
    corners: tuple[ResolvedCorner, ...]
    turn: Floats
    edges: dict[str, EdgeRun]
    short: dict[str, Mask]

    @property
    def leg_ends(self) -> Floats:
        """Where the legs of darts and pleats, run on, end (N, M, 2), edge by edge."""
        ends = [end[:, None] for run in self.edges.values() for pair in run.leg_ends for end in pair]
        return np.concatenate([np.empty((len(self.turn), 0, 2)), *ends], axis=1)


def resolved_allowances(pattern: Pattern, piece: Piece) -> dict[str, Allowance]:
    """An allowance for every edge: nothing stated, kind "none" and a fold edge have no width."""
    resolved = {}
    for edge in piece.edges:
        stated = pattern.allowances.get((piece.name, edge.name))
        if stated is None or stated.kind == NO_ALLOWANCE or edge.name == piece.cut.fold:
            span = edge.span if stated is None else stated.span
            stated = Allowance(edge.name, np.zeros(pattern.n), NO_ALLOWANCE, span)
        resolved[edge.name] = stated
    return resolved


def allowance_ring(piece: Piece, allowances: dict[str, Allowance], corners: tuple[Corner, ...] = ()) -> Ring:
    """The cut line of a piece whose every edge has an allowance; stated corners replace the default ones."""
    paths = {edge.name: edge.trued_path() for edge in piece.edges}
    sense = np.sign(sum(swept_area(path) for path in paths.values()))
    edges = _runs_of(piece, paths, allowances, sense)

    names = list(edges)
    around = list(zip(names, names[1:] + names[:1], strict=True))
    meetings, resolved = [], []
    short: dict[str, Mask] = {}
    for edge_in, edge_out in around:
        kind, first, hem = _corner_kind(piece, allowances, corners, edge_in, edge_out)
        fold = (edge_in == piece.cut.fold, edge_out == piece.cut.fold)
        meeting = bring_together(edges[edge_in].arriving(), edges[edge_out].leaving(), kind, fold, first, hem)
        meetings.append(meeting)
        resolved.append(ResolvedCorner(edge_in, edge_out, _corner_words(meeting.kind, (edge_in, edge_out)[first])))
        if hem is not None:
            name = (edge_in, edge_out)[hem]
            short[name] = short[name] | meeting.short if name in short else meeting.short

    for i, name in enumerate(names):
        if edges[name].folds:
            previous, following = names[i - 1], names[(i + 1) % len(names)]
            edges[name].lay_open(
                meetings[i - 1],
                edges[previous].arriving() if _may_give_way(piece, previous, edges[previous]) else None,
                meetings[i],
                edges[following].leaving() if _may_give_way(piece, following, edges[following]) else None,
            )
    points = np.concatenate(
        [part for name, meeting in zip(names, meetings, strict=True) for part in (*edges[name].parts, meeting.between)], axis=1
    )
    runs, at = {}, 0
    for i, name in enumerate(names):
        count = sum(part.shape[1] for part in edges[name].parts)
        runs[name] = slice(at, at + count)
        # Positions count on the whole run, so cutting off one end does not move the other's.
        if not edges[name].folds:
            own = points[:, runs[name]]
            rest(own, meetings[i].until_a, meetings[i].between[:, 0])
            rest(own[:, ::-1], meetings[i - 1].until_b, meetings[i - 1].between[:, -1])
        at += count + meetings[i].between.shape[1]
    return Ring(points, runs, tuple(resolved), sense, edges, short)


def _may_give_way(piece: Piece, name: str, run: EdgeRun) -> bool:
    return not run.folds and name != piece.cut.fold


def _corner_kind(
    piece: Piece, allowances: dict[str, Allowance], corners: tuple[Corner, ...], edge_in: str, edge_out: str
) -> tuple[str, int, int | None]:
    """(kind, which of the two is named first, which is the hem of a corner as folded)."""
    up = [allowances[name].kind == TURNED_UP for name in (edge_in, edge_out)]
    stated = next((corner for corner in corners if sorted(corner.edges) == sorted((edge_in, edge_out))), None)
    if stated is not None:
        kind, first = stated.kind, (edge_in, edge_out).index(stated.edges[0])
    elif up[0] != up[1]:
        kind, first = AS_FOLDED, 0
    else:
        kind, first = FOLD if piece.cut.fold in (edge_in, edge_out) else POINTED, 0
    hem = None
    if kind == AS_FOLDED:
        hem = up.index(True) if up[0] != up[1] else first
    return kind, first, hem


def _corner_words(kind: Kinds, edge: str) -> Kinds:
    """Words for how a corner met, (N,); a square one says to which edge."""
    square = kind == SQUARE
    return np.where(square, f"{SQUARE} {edge}", kind) if square.any() else kind


def _runs_of(piece: Piece, paths: dict[str, Path], allowances: dict[str, Allowance], sense: Floats) -> dict[str, EdgeRun]:
    """The offset of every edge; darted edges are offset as they are sewn."""
    folded = [bool(edge.darts) and allowances[edge.name].kind != NO_ALLOWANCE for edge in piece.edges]
    flats = flattened([edge.closed if folds else paths[edge.name] for edge, folds in zip(piece.edges, folded, strict=True)])
    runs = {}
    for edge, flat, folds in zip(piece.edges, flats, folded, strict=True):
        path, width = paths[edge.name], allowances[edge.name].width
        parts, most = offset(flat, width, sense)
        runs[edge.name] = EdgeRun(path, flat, parts, sense, width, most)
        if folds:
            counts = [points.shape[1] for points in flat.points]
            runs[edge.name].folds, runs[edge.name].own = folds_of(edge), strip_ranges(edge, counts)
    return runs
