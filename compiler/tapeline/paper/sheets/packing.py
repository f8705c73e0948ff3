"""Pieces laid on a grid of tiles, so that few pages are used and no piece is cut by a page edge for nothing.

The plane of the drawing is covered by tiles of one size that stand in rows and columns; neighbours share a strip, the
overlap.  The method is greedy and uses no chance.  Parts said to come first are laid in their order, then the pieces,
largest first.  For each, every place on a raster of 5 mm or a little more is looked at where it touches nothing laid before and
spans as few columns and as few rows of tiles as its size allows: a piece that fits on one tile is always whole on one.
Of these places the one is taken that begins the fewest new pages, then the highest, then the leftmost.  A piece keeps
its grain upright, or is turned by half a turn where that saves a page or brings it 20 mm higher.  This is done for a few orders and
widths of the plane, and the best is kept: fewest pages, then fewest page edges through pieces, then the smallest plane.

A roll is one column of long tiles, of which only the length is paid for.  There a piece may be turned by a quarter as well, since paper
has no grain: a long band stands up beside the others.  The best order is then bettered by moving single pieces
to the front, as long as that helps and at most `TRIALS` times.

How good it is: `Packing.least` is a lower bound that no lay can beat, the larger of (area of the pieces / area of a
tile) and (columns or rows that one piece spans).  It takes no notice of the pieces' shapes, so it is seldom reached: the
shipped styles, for two bodies on A4 and Letter alike, take from 1.2 to 1.8 times as many pages.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product
from typing import NamedTuple, TypeAlias

import numpy as np

from ...geometry.arrays import Floats, Indices, Mask

RASTER = 5.0  # or a hundredth of a tile's short side, on large paper
TURN = 20.0  # mm by which a piece turned by half a turn must end higher to be turned
SLACK = 1e-6
TRIALS = 24  # of other orders on a roll
UPRIGHT, HALF, QUARTERS = (0,), (0, 2), (0, 2, 1, 3)  # quarter turns that a shape may take, clockwise, in the order tried


class Frame(NamedTuple):
    """One tile: what can be printed on one page, and the strip that it shares with each neighbour."""

    width: float
    height: float
    overlap: float

    @property
    def across(self) -> float:
        """From the left edge of a tile to that of the next."""
        return self.width - self.overlap

    @property
    def down(self) -> float:
        return self.height - self.overlap

    def turned(self) -> Frame:
        return Frame(self.height, self.width, self.overlap)


class Footprint(NamedTuple):
    """What a part covers, in a box that begins at (0, 0): filled rings and single runs of points (K, 2)."""

    width: float
    height: float
    rings: tuple[Floats, ...]
    runs: tuple[Floats, ...] = ()

    @property
    def area(self) -> float:
        return sum(_area(ring) for ring in self.rings)

    def turned(self, quarters: int) -> Footprint:
        """What it covers turned by so many quarters, clockwise on the paper."""
        if quarters == 0:
            return self
        once = Footprint(self.height, self.width, *(tuple(self._quartered(run) for run in runs) for runs in (self.rings, self.runs)))
        return once.turned(quarters - 1)

    def _quartered(self, points: Floats) -> Floats:
        return np.stack([self.height - points[:, 1], points[:, 0]], axis=-1)


class Placement(NamedTuple):
    """Where a shape's box begins, as it lies turned by so many quarters."""

    x: float
    y: float
    quarters: int


class Packing(NamedTuple):
    places: tuple[Placement, ...]  # in the order of the shapes
    pages: int  # tiles that a shape begins or goes on upon, by the raster
    least: int  # a lower bound of the pages


def span(start: float, size: float, tile: float, step: float) -> tuple[int, int]:
    """First and last column (or row) of the tiles that something from `start` on, `size` long, is printed on."""
    first = max(0, math.floor((start + SLACK) / step))
    return first, max(first, math.ceil((start + size - tile - SLACK) / step))


def pack(shapes: Sequence[Footprint], frame: Frame, first: int = 0, turns: bool = True, lengths: bool = False) -> Packing:
    """Places for all shapes; the `first` of them are laid in their order and never turned.

    `lengths` is for a roll: one column of tiles, or as many as the widest shape needs, and no wider plane is tried.
    """
    if not shapes:
        return Packing((), 0, 0)
    ways = [UPRIGHT if k < first or not turns else QUARTERS if lengths else HALF for k in range(len(shapes))]
    lay = _Raster(shapes, frame, ways, lengths)
    # Columns and rows of tiles as each shape would first be laid: in as few columns as may be.
    spans = [min(lay.spans(k, quarters) for quarters in ways[k]) for k in range(len(shapes))]
    least = max([math.ceil(sum(shape.area for shape in shapes) / (frame.width * frame.height) - SLACK)] + [max(pair) for pair in spans])
    fewest = max(columns for columns, _ in spans)
    squarish = math.ceil(1.3 * math.sqrt(sum(columns * rows for columns, rows in spans)))
    widths = [fewest] if lengths else sorted({fewest, fewest + 1, max(fewest, squarish)})
    head, rest = list(range(first)), list(range(first, len(shapes)))
    orders = [
        sorted(rest, key=lambda k: (-spans[k][0] * spans[k][1], -shapes[k].area, k)),
        sorted(rest, key=lambda k: (-shapes[k].height, -shapes[k].area, k)),
        sorted(rest, key=lambda k: (-shapes[k].width, -shapes[k].area, k)),
    ]
    if lengths:
        orders.append(sorted(rest, key=lambda k: (-max(shapes[k].width, shapes[k].height), -shapes[k].area, k)))
    best: _TriedLay | None = None
    tried: set[tuple[tuple[int, ...], int, bool]] = set()
    for order, columns, level in product(orders, widths, (False, True) if lengths else (False,)):
        done = best is not None and best.score[0] == least and not lengths
        if done or (tuple(order), columns, level) in tried:
            continue
        tried.add((tuple(order), columns, level))
        trial = lay.run(head + order, columns, level)
        if best is None or trial.score < best.score:
            best = trial
    assert best is not None, "at least one order is tried"
    if lengths:
        best = _bettered(lay, best, first)
    return Packing(best.places, best.score[0], least)


def _bettered(lay: _Raster, best: _TriedLay, first: int) -> _TriedLay:
    """The best lay that comes of moving single shapes to the front of the order, behind the `first`."""
    trials, k = TRIALS, first + 1
    while trials > 0 and k < len(best.order):
        order = best.order
        trial = lay.run((*order[:first], order[k], *order[first:k], *order[k + 1 :]), best.columns, best.level)
        trials, k = trials - 1, k + 1
        if trial.score < best.score:
            best, k = trial, first + 1
    return best


def _spans(size: float, tile: float, step: float) -> int:
    return 1 + span(0.0, size, tile, step)[1]


def _area(ring: Floats) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2


Score: TypeAlias = tuple[int, int, float]  # pages, page edges through shapes, width x height of what is covered or printed


class _TriedLay(NamedTuple):
    """A lay that was tried."""

    score: Score
    places: tuple[Placement, ...]
    order: tuple[int, ...]
    columns: int
    level: bool


class _Phases(NamedTuple):
    """How far a shape, turned in one way, may begin within its first tile, in cells, and which tiles of its span it then covers."""

    down: int
    across: int
    rows: int
    columns: int
    covered: Mask  # (down, across, rows, columns)


class _Raster:
    """Shapes as cells of a raster whose lines fall on the beginnings of tiles."""

    def __init__(self, shapes: Sequence[Footprint], frame: Frame, ways: Sequence[tuple[int, ...]], roll: bool):
        self.frame, self.ways, self.roll = frame, ways, roll
        raster = max(RASTER, min(frame.width, frame.height) / 100)
        self.per_column, self.per_row = max(1, round(frame.across / raster)), max(1, round(frame.down / raster))
        self.cell = np.array([frame.across / self.per_column, frame.down / self.per_row])
        self.shapes = [{quarters: shape.turned(quarters) for quarters in way} for shape, way in zip(shapes, ways, strict=True)]
        self.cells = [{quarters: self._cells(shape) for quarters, shape in turned.items()} for turned in self.shapes]
        self.phases = [{quarters: self._phases(k, quarters) for quarters in way} for k, way in enumerate(ways)]

    def spans(self, k: int, quarters: int) -> tuple[int, int]:
        """Columns and rows of tiles that a shape takes, turned in one way."""
        return self.phases[k][quarters].columns, self.phases[k][quarters].rows

    def _cells(self, shape: Footprint) -> Mask:
        """(rows, columns) of bool: cells that the shape touches or holds."""
        across = int(math.ceil(shape.width / self.cell[0] - SLACK))
        down = int(math.ceil(shape.height / self.cell[1] - SLACK))
        mask = np.zeros((max(1, down), max(1, across)), dtype=bool)
        for ring in shape.rings:
            mask |= _inside(ring / self.cell, mask.shape)
        for run in (*(np.concatenate([ring, ring[:1]]) for ring in shape.rings), *shape.runs):
            points = _close_points(run, float(self.cell.min()) / 4)
            at = np.clip((points / self.cell).astype(int), 0, [mask.shape[1] - 1, mask.shape[0] - 1])
            mask[at[:, 1], at[:, 0]] = True
        return mask

    def _phases(self, k: int, quarters: int) -> _Phases:
        shape, mask, frame = self.shapes[k][quarters], self.cells[k][quarters], self.frame
        columns, rows = _spans(shape.width, frame.width, frame.across), _spans(shape.height, frame.height, frame.down)
        spare = ((columns - 1) * frame.across + frame.width - shape.width, (rows - 1) * frame.down + frame.height - shape.height)
        across = min(self.per_column, 1 + int((spare[0] + SLACK) / self.cell[0]))
        down = min(self.per_row, 1 + int((spare[1] + SLACK) / self.cell[1]))
        total = np.zeros((mask.shape[0] + 1, mask.shape[1] + 1), dtype=int)
        total[1:, 1:] = mask.cumsum(axis=0).cumsum(axis=1)
        i = self._edges(down, rows, self.per_row, frame.overlap / self.cell[1], mask.shape[0])
        j = self._edges(across, columns, self.per_column, frame.overlap / self.cell[0], mask.shape[1])
        corner = total[i[:, None, :, None], j[None, :, None, :]]
        covered: Mask = corner[:, :, 1:, 1:] - corner[:, :, :-1, 1:] - corner[:, :, 1:, :-1] + corner[:, :, :-1, :-1] > 0
        return _Phases(down, across, rows, columns, covered)

    @staticmethod
    def _edges(phases: int, tiles: int, per: int, overlap: float, size: int) -> Indices:
        """(phases, tiles + 1): cells of a shape at which its part on the next tile begins."""
        edges = np.arange(tiles + 1)[None, :] * per + round(overlap) - np.arange(phases)[:, None]
        edges[:, 0], edges[:, -1] = 0, size
        clipped: Indices = np.clip(edges, 0, size)
        return clipped

    def run(self, order: Sequence[int], columns: int, level: bool) -> _TriedLay:
        """One lay on so many columns of tiles; `level`: a shape would rather lie where the whole grows no longer than where it
        begins highest."""
        used = np.zeros((0, columns), dtype=bool)
        laid = np.zeros((1, (columns - 1) * self.per_column + int(self.frame.width / self.cell[0]) + 1), dtype=bool)
        places: dict[int, Placement] = {}
        edges, reach = 0, np.zeros(2)
        for k in order:
            most = max(phases.rows for phases in self.phases[k].values())
            tall = len(used) + most + 1  # room below all that is laid, even if that ends in the strip of the next row
            used = np.concatenate([used, np.zeros((tall - len(used), columns), dtype=bool)])
            height = (tall + 1) * self.per_row + int(self.frame.overlap / self.cell[1]) + 1
            laid = np.concatenate([laid, np.zeros((max(0, height - len(laid)), laid.shape[1]), dtype=bool)])
            # Most often there is room level with what is laid or just below it; only else is all looked through.
            near = min(height, int(reach[1] / self.cell[1]) + 3 + max(map(len, self.cells[k].values())))
            floor = math.ceil(float(reach[1]) / self.cell[1]) if level else 1 << 30
            best = self._best(k, laid[:near], used, floor) or self._best(k, laid, used, floor)
            assert best is not None, "there is always room below all that is laid"
            i, j, quarters = best
            _lay(laid, self.cells[k][quarters], i, j)
            r, c = i // self.per_row, j // self.per_column
            phases, shape = self.phases[k][quarters], self.shapes[k][quarters]
            covered = phases.covered[i % self.per_row, j % self.per_column]
            used[r : r + phases.rows, c : c + phases.columns] |= covered
            used = used[: int(np.flatnonzero(used.any(axis=1))[-1]) + 1]
            x, y = float(j * self.cell[0]), float(i * self.cell[1])
            edges += int((covered[1:] & covered[:-1]).sum() + (covered[:, 1:] & covered[:, :-1]).sum())
            reach = np.maximum(reach, [x + shape.width, y + shape.height])
            places[k] = Placement(x, y, quarters)
        area = round(float((laid.shape[1] * self.cell[0] if self.roll else reach[0]) * reach[1]), 3)
        return _TriedLay(
            (int(used.sum()), edges, area), tuple(places[k] for k in range(len(self.shapes))), tuple(order), columns, level
        )

    def _best(self, k: int, laid: Mask, used: Mask, floor: int) -> tuple[int, int, int] | None:
        """Row and column of cells where a shape is best begun, and the quarters by which it is turned there; None without room."""
        size = _quick(laid.shape[0]), _quick(laid.shape[1])
        spectrum = np.fft.rfft2(laid, size)
        # New pages, row where all then ends if that is below the floor, row with what turning must gain, column, place in the ways.
        best: tuple[int, int, int, int, int] | None = None
        gain = round(TURN / self.cell[1])
        for way, quarters in enumerate(self.ways[k]):
            down, across, rows, columns, covered = self.phases[k][quarters]
            last = laid.shape[0] - len(self.cells[k][quarters])  # the lowest row of cells to begin at
            if columns > used.shape[1] or last < 0:
                continue
            hits = np.fft.irfft2(spectrum * np.conj(np.fft.rfft2(self.cells[k][quarters], size)), size)[: last + 1]
            for r in range(len(used) - rows + 1):
                for c in range(used.shape[1] - columns + 1):
                    top, left = r * self.per_row, c * self.per_column
                    free = hits[top : top + down, left : left + across] < 0.5
                    if not free.any():
                        continue
                    new = (covered[: len(free)] & ~used[r : r + rows, c : c + columns]).sum(axis=(2, 3))
                    new[~free] = 1 << 30
                    at = np.unravel_index(int(np.argmin(new)), new.shape)
                    i, j = top + int(at[0]), left + int(at[1])
                    candidate = int(new[at]), max(floor, i + len(self.cells[k][quarters])), i + (gain if way else 0), j, way
                    best = candidate if best is None or candidate < best else best
        if best is None:
            return None
        _, _, i, j, way = best
        return i - (gain if way else 0), j, self.ways[k][way]


def _quick(size: int) -> int:
    """The next size whose only factors are 2, 3 and 5, for which the transform is quick."""
    while True:
        rest = size
        for factor in (2, 3, 5):
            while rest % factor == 0:
                rest //= factor
        if rest == 1:
            return size
        size += 1


def _lay(laid: Mask, mask: Mask, i: int, j: int) -> None:
    """Occupy the cells and their neighbours all round, so that the next shape keeps away."""
    rows, columns = np.nonzero(mask)
    for di in (-1, 0, 1):
        for dj in (-1, 0, 1):
            at_i, at_j = rows + i + di, columns + j + dj
            inside = (at_i >= 0) & (at_j >= 0) & (at_i < laid.shape[0]) & (at_j < laid.shape[1])
            laid[at_i[inside], at_j[inside]] = True


def _inside(ring: Floats, shape: tuple[int, ...]) -> Mask:
    """Which cells of one unit have their middle inside the ring: the sides crossed on the way from the left, odd or even."""
    (x0, y0), (x1, y1) = ring.T, np.roll(ring, -1, axis=0).T
    middles = np.arange(shape[0]) + 0.5
    row, side = np.nonzero((y0[None, :] > middles[:, None]) != (y1[None, :] > middles[:, None]))
    x = x0[side] + (middles[row] - y0[side]) * (x1[side] - x0[side]) / (y1[side] - y0[side])
    passed = np.zeros((shape[0], shape[1] + 1), dtype=int)
    np.add.at(passed, (row, np.clip(np.ceil(x - 0.5).astype(int), 0, shape[1])), 1)
    inside: Mask = passed.cumsum(axis=1)[:, :-1] % 2 == 1
    return inside


def _close_points(run: Floats, apart: float) -> Floats:
    """The run with points between, so that none are further apart than `apart`."""
    if len(run) < 2:
        return run
    counts = np.maximum(1, np.ceil(np.hypot(*(run[1:] - run[:-1]).T) / apart)).astype(int)
    side = np.repeat(np.arange(len(counts)), counts)
    part = (np.arange(len(side)) - np.repeat(counts.cumsum() - counts, counts)) / counts[side]
    return np.concatenate([run[side] + (run[side + 1] - run[side]) * part[:, None], run[-1:]])
