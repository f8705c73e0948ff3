"""How much cloth a garment takes: its pieces laid on cloth of a stated width, with the lengthwise thread along it.

There are two lays.  *Folded*: the cloth is folded once along its length, face to face, so that what is cut comes out
twice, the second time as a mirror image; pieces cut on the fold are laid to the fold.  *Open*: one layer, everything
laid as often as it is cut, mirrored pieces mirrored, pieces cut on the fold laid whole.  A piece cut an odd number of
times, or several times alike, takes a place of the folded cloth all the same; what lies under it is left over.

The method is greedy and uses no chance.  The width is divided into strips of about 5 mm; of a piece only the highest
and the lowest point in each strip counts, so a hollow that opens upward or downward takes other pieces in, one that
opens to the side does not.  Pieces are laid one after the other, each at the first place from the beginning of the
cloth where it fits, gaps between earlier pieces included.  This is done for several orders; the best is then bettered by
moving single pieces to the front, as long as that helps and at most `TRIALS` times.  With nap all pieces lie one way up;
without, a piece may be turned by half a turn.  Nothing is left between pieces: the allowances are theirs already.

Stripes and checks that are to meet at the seams are allowed for by a rule.  In any lay the pieces can be moved along the cloth, each
by less than the repeat beyond those before it, until every one begins where it matches; so no more is needed than one repeat for
each of the pieces that lie one after another, where most do (`Lay.lengths`).  It is the trade's rule of one repeat a length (common
practice).  Across the cloth, checks are allowed for in the lay itself: each piece off the fold keeps a repeat of room beside it.

How good it is: `least` is a length that no lay of these pieces can be shorter than, the larger of (area of all pieces /
width of the cloth) and the longest piece.  It takes no notice of the pieces' shapes, so it is seldom reached: on cloth 140 cm
wide the shipped styles, for two bodies, took from no more than that to twice as much, and used 45 to 84 % of their cloth.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from ...geometry.arrays import Floats

WIDTH = 1400.0  # mm, where neither style nor house says: common practice, not from a source
STRIP = 5.0  # mm, about: the width is divided so that halves, thirds and quarters of it are whole strips
MOST_STRIPS = 600
TRIALS = 60  # fewer where there are more than ten pieces
MOST = 150  # places in a lay; more are not tried
SLACK = 1e-6
ALIKE = 0.5  # mm by which a piece may differ from its mirror image and count as its own
LOOKED_AT = 400  # points of the image


class Cloth(NamedTuple):
    width: float = WIDTH  # between the selvedges
    nap: bool = False  # whether every piece must lie one way up
    aside: float = 0.0  # mm of room beside each piece, in which it can be moved until checks match


class Part(NamedTuple):
    """One piece to lay: `ring` (K, 2) as cut, whole, x across and y along the lengthwise thread.

    `lefts` are cut as drawn, `rights` mirrored.  `half` is one half of a piece whose fold runs along the thread, the
    fold at x = 0; such a piece has no rights.  `label` is a place within both ring and half.
    """

    name: str
    ring: Floats
    label: Floats
    lefts: int
    rights: int = 0
    half: Floats | None = None
    up: tuple[float, float] = (0.0, -1.0)  # toward the upper end of the piece as drawn

    @property
    def times(self) -> int:
        return self.lefts + self.rights

    def faces(self, nap: bool) -> bool:
        """Whether it is cut more often as drawn than mirrored, and comes out wrong from cloth that lies wrong side up."""
        return self.half is None and self.lefts != self.rights and not _is_own_mirror(self.ring, nap)


class PlacedPart(NamedTuple):
    """A piece in its place on the cloth: x from the fold or the selvedge, y from the beginning of the cloth."""

    part: str
    ring: Floats
    label: Floats
    up: tuple[float, float]
    on_fold: bool  # half a piece, along the fold
    turned: bool  # by half a turn
    mirrored: bool
    copies: int  # pieces that come of it: of a place on folded cloth two, or one where one is enough or it lies on the fold


class Lay(NamedTuple):
    kind: str  # "folded" or "open"
    width: float  # of the cloth as it lies
    length: float
    laid: tuple[PlacedPart, ...]
    too_wide: tuple[str, ...]  # pieces that do not fit on the width: then there is no lay, nor where there are too many
    aside: float = 0.0

    @property
    def lengths(self) -> int:
        """The most pieces that lie one after another along the cloth, the room beside them counted."""
        longest: list[int] = []
        order = sorted(self.laid, key=lambda placed: (float(placed.ring[:, 1].min()), float(placed.ring[:, 0].min())))
        asides = [0.0 if placed.on_fold else self.aside for placed in order]
        sides = [
            (float(placed.ring[:, 0].min()), float(placed.ring[:, 0].max()) + aside)
            for placed, aside in zip(order, asides, strict=True)
        ]
        for k, (left, right) in enumerate(sides):
            before = [longest[j] for j in range(k) if sides[j][0] < right - SLACK and left < sides[j][1] - SLACK]
            longest.append(1 + max(before, default=0))
        return max(longest, default=0)

    @property
    def feasible(self) -> bool:
        return self.length == self.length


class _Place(NamedTuple):
    part: Part
    ring: Floats
    label: Floats
    on_fold: bool
    mirrored: bool
    copies: int

    @property
    def size(self) -> Floats:
        corner: Floats = self.ring.max(axis=0)
        return corner


# ------------------------------------------------------------------------------------------------ the lays


def lay_folded(parts: Sequence[Part], cloth: Cloth) -> Lay:
    """The parts on cloth folded once along its length."""
    places = []
    for part in parts:
        if part.half is not None:
            places += [_Place(part, part.half, part.label, True, False, 1)] * part.times
            continue
        symmetric = _is_own_mirror(part.ring, cloth.nap)
        needed = math.ceil(part.times / 2) if symmetric else max(part.lefts, part.rights)
        double = part.times // 2 if symmetric else min(part.lefts, part.rights)
        places += [_Place(part, part.ring, part.label, False, False, 2 if k < double else 1) for k in range(needed)]
    return _lay("folded", places, cloth.width / 2, cloth)


def lay_open(parts: Sequence[Part], cloth: Cloth) -> Lay:
    """The parts on one layer of cloth."""
    places = []
    for part in parts:
        far = float(part.ring[:, 0].max())
        image = np.stack([far - part.ring[:, 0], part.ring[:, 1]], axis=-1)
        label = np.array([far - part.label[0], part.label[1]])
        at = part.label if part.half is None else part.label + np.array([far - float(part.half[:, 0].max()), 0.0])
        places += [_Place(part, part.ring, at, False, False, 1)] * part.lefts
        places += [_Place(part, image, label, False, True, 1)] * part.rights
    return _lay("open", places, cloth.width, cloth)


def least(parts: Sequence[Part], cloth: Cloth) -> float:
    """A length of cloth that no lay of the parts can be shorter than."""
    area = sum(area_of(part.ring) * part.times for part in parts)
    return max([area / cloth.width, *(float(part.ring[:, 1].max()) for part in parts)])


def area_of(ring: Floats) -> float:
    x, y = ring[:, 0], ring[:, 1]
    return abs(float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))) / 2


# ------------------------------------------------------------------------------------------------ the method


def _lay(kind: str, places: list[_Place], width: float, cloth: Cloth) -> Lay:
    too_wide = tuple(
        dict.fromkeys(place.part.name for place in places if place.size[0] + (not place.on_fold) * cloth.aside > width + 1e-3)
    )
    if too_wide or not places or len(places) > MOST:
        return Lay(kind, width, math.nan, (), too_wide)
    strips = min(MOST_STRIPS, 12 * max(1, round(width / STRIP / 12)))
    table = _Table(places, strips, width / strips, cloth)
    orders: dict[tuple[int, ...], None] = {}
    for measures in ((1, 0, 2), (2, 1, 0), (0, 1, 2)):  # longest first, largest first, widest first
        for fold_first in (True, False):
            first = sorted(
                range(len(places)),
                key=lambda k: (
                    not (fold_first and places[k].on_fold),
                    *(-(*places[k].size, area_of(places[k].ring))[measure] for measure in measures),
                    k,
                ),
            )
            orders.setdefault(tuple(first))
    best = min((table.run(order) for order in orders), key=lambda run: run.score)
    trials = TRIALS * 10 // max(10, len(places))
    while trials > 0:
        best, spent = _bettered(table, best, trials)
        trials -= spent
    (length, _), order, spots = best
    laid = []
    for k in sorted(order):
        place, (x, y, turned) = places[k], spots[k]
        shift, far = np.array([x, y]), place.size
        ring = far - place.ring if turned else place.ring
        label = far - place.label if turned else place.label
        (across, along), sign = place.part.up, -1.0 if turned else 1.0
        up = (sign * (-across if place.mirrored else across), sign * along)
        laid.append(PlacedPart(place.part.name, ring + shift, label + shift, up, place.on_fold, turned, place.mirrored, place.copies))
    return Lay(kind, width, length, tuple(laid), (), cloth.aside)


def _bettered(table: _Table, best: _Trial, trials: int) -> tuple[_Trial, int]:
    """The first better lay that comes of moving one piece to the front of the order, and the trials spent; without one,
    the same lay and all of them."""
    order = best.order
    tried = 0
    for k in range(1, len(order)):
        if table.shapes[order[k]] == table.shapes[order[0]]:
            continue
        if tried == trials:
            break
        tried += 1
        trial = table.run((order[k], *order[:k], *order[k + 1 :]))
        if trial.score < best.score:
            return trial, tried
    return best, trials


class _Trial(NamedTuple):
    """A lay that was tried."""

    score: tuple[float, float]  # length, sum of ends
    order: tuple[int, ...]
    spots: dict[int, tuple[float, float, bool]]  # place -> x, y, turned


class _Table:
    """The cloth as strips, and of every shape its upper and lower end in each strip that it touches, either way up."""

    def __init__(self, places: list[_Place], strips: int, strip: float, cloth: Cloth):
        self.places, self.strips, self.strip, self.nap = places, strips, strip, cloth.nap
        numbers: dict[tuple[str, bool], int] = {}
        self.profiles: list[tuple[Floats, Floats]] = []  # of shape s: 2 s as it is, 2 s + 1 turned by half a turn
        self.shapes: list[int] = []
        for place in places:
            key = (place.part.name, place.mirrored)
            if key not in numbers:
                numbers[key] = len(numbers)
                for ring in (place.ring, place.size - place.ring):
                    aside = 0.0 if place.on_fold else cloth.aside
                    self.profiles.append(
                        _widened(*_profile(ring, strip), min(strips, math.ceil((ring[:, 0].max() + aside) / strip - SLACK)))
                    )
            self.shapes.append(numbers[key])
        self._between: dict[tuple[int, int], tuple[Floats, Floats]] = {}

    def run(self, order: Sequence[int]) -> _Trial:
        laid: list[tuple[int, int, float]] = []  # profile, strip where it begins, y
        spots: dict[int, tuple[float, float, bool]] = {}
        ends = []
        for k in order:
            place = self.places[k]
            ways = (False,) if self.nap or place.on_fold else (False, True)
            y, turned, at = min(self._first(k, turned, laid) for turned in ways)
            laid.append((2 * self.shapes[k] + turned, at, y))
            spots[k] = (at * self.strip, y, turned)
            ends.append(y + float(place.size[1]))
        return _Trial((round(max(ends), 3), round(sum(ends), 3)), tuple(order), spots)

    def _first(self, k: int, turned: bool, laid: list[tuple[int, int, float]]) -> tuple[float, bool, int]:
        """(y, turned, strip) of the first place along the cloth where a piece is free, the leftmost of several."""
        profile = 2 * self.shapes[k] + turned
        places = 1 if self.places[k].on_fold else self.strips - len(self.profiles[profile][0]) + 1
        if not laid:
            return 0.0, turned, 0
        low, high = np.empty((len(laid), places)), np.empty((len(laid), places))
        for row, (neighbour, at, y) in enumerate(laid):
            lows, highs = self._apart(neighbour, profile)
            part = slice(self.strips - at, self.strips - at + places)
            low[row], high[row] = lows[part] + y, highs[part] + y
        # Walk along the cloth at every strip at once: the first gap in what is taken.
        order = np.argsort(low, axis=0)
        low, high = np.take_along_axis(low, order, axis=0), np.take_along_axis(high, order, axis=0)
        reach = np.maximum.accumulate(np.concatenate([np.zeros((1, places)), high]), axis=0)
        free = np.concatenate([low >= reach[:-1] - SLACK, np.ones((1, places), dtype=bool)])
        y = np.take_along_axis(reach, np.argmax(free, axis=0)[None], axis=0)[0]
        at = int(np.argmin(np.round(y, 3)))
        return float(y[at]), turned, at

    def _apart(self, first: int, second: int) -> tuple[Floats, Floats]:
        """From which y to which a profile may not begin, where it begins so many strips right of one that begins at y = 0.

        Indexed by that number and `strips`.  It is one stretch: both profiles go on from strip to strip, and so does
        what they take from each other.
        """
        if (first, second) not in self._between:
            low, high = np.full(2 * self.strips + 1, np.inf), np.full(2 * self.strips + 1, -np.inf)
            (top, bottom), (own_top, own_bottom) = self.profiles[first], self.profiles[second]
            around, wide = len(own_top) - 1, len(own_top)
            part = slice(self.strips - around, self.strips + len(top))
            windows = np.lib.stride_tricks.sliding_window_view
            low[part] = (windows(np.pad(top, around, constant_values=np.inf), wide) - own_bottom).min(axis=1)
            high[part] = (windows(np.pad(bottom, around, constant_values=-np.inf), wide) - own_top).max(axis=1)
            self._between[first, second] = low, high
        return self._between[first, second]


def _profile(ring: Floats, strip: float) -> tuple[Floats, Floats]:
    """The least and the greatest y of a ring in each strip that it touches, from x = 0 on."""
    wide = max(1, math.ceil(float(ring[:, 0].max()) / strip - SLACK))
    ends = np.roll(ring, -1, axis=0)
    (x0, y0), (x1, y1) = ring.T[:, :, None], ends.T[:, :, None]
    lines = np.arange(wide + 1)[None] * strip
    crossed = (np.minimum(x0, x1) <= lines) & (np.maximum(x0, x1) >= lines) & (x0 != x1)
    with np.errstate(divide="ignore", invalid="ignore"):
        y = y0 + np.clip((lines - x0) / (x1 - x0), 0.0, 1.0) * (y1 - y0)
    low = np.where(crossed, y, np.inf).min(axis=0)
    high = np.where(crossed, y, -np.inf).max(axis=0)
    top, bottom = np.minimum(low[:-1], low[1:]), np.maximum(high[:-1], high[1:])
    for hair in (SLACK, -SLACK):  # a corner on a line between two strips belongs to both
        at = np.clip(np.floor((ring[:, 0] + hair) / strip).astype(int), 0, wide - 1)
        np.minimum.at(top, at, ring[:, 1])
        np.maximum.at(bottom, at, ring[:, 1])
    return top, bottom


def _widened(top: Floats, bottom: Floats, strips: int) -> tuple[Floats, Floats]:
    """The ends of a shape over so many strips, wherever in them it is moved aside."""
    more = strips - len(top)
    if more <= 0:
        return top, bottom
    windows = np.lib.stride_tricks.sliding_window_view
    pads = (np.pad(top, more, constant_values=np.inf), np.pad(bottom, more, constant_values=-np.inf))
    return windows(pads[0], more + 1).min(axis=1), windows(pads[1], more + 1).max(axis=1)


def _is_own_mirror(ring: Floats, nap: bool) -> bool:
    """Whether the mirror image of a piece, or without nap that image turned by half a turn, is the piece itself."""
    far = ring.max(axis=0)
    images = [np.stack([far[0] - ring[:, 0], ring[:, 1]], axis=-1)]
    if not nap:
        images.append(np.stack([ring[:, 0], far[1] - ring[:, 1]], axis=-1))
    return any(_lies_on(image, ring) for image in images)


def _lies_on(points: Floats, ring: Floats) -> bool:
    """Whether the points, or `LOOKED_AT` of them from all round, lie on the ring's line, as near as `ALIKE`."""
    run = np.roll(ring, -1, axis=0) - ring
    square = np.maximum((run * run).sum(axis=1), 1e-12)
    points = points[:: max(1, len(points) // LOOKED_AT)]
    lots = max(1, len(points) // 24)
    for first in range(lots):  # few at a time: most shapes show at once that they differ
        apart = points[first::lots, None] - ring[None]
        along = np.clip((apart * run).sum(axis=2) / square, 0.0, 1.0)
        off = apart - along[..., None] * run
        if float(np.hypot(off[..., 0], off[..., 1]).min(axis=1).max()) > ALIKE:
            return False
    return True
