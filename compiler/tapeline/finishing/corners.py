"""How two allowances meet where edge A ends and edge B begins.

With widths a and b, the two cut lines are brought together in one of these ways:

pointed      both cut lines are carried straight on until they meet; at an inner corner, where they cross
             already, both are cut off at the crossing.  Where the meeting lies further than `SHARP` times the
             greater width from the net corner the point is cut off instead.
cut off      cut straight across, square to the line that halves the corner, as far from the net corner as the
             greater width.
square to    one of the two edges keeps its allowance full to the end: its cut line runs on to a line square to
             it, through the point where its own stitch line, carried on, comes to the other edge's cut line.
             There the other cut line begins.  Sewn along that edge, the ends of its allowance then match.
as folded    for a turned-up hem: beyond the hem line the neighbour's cut line is the mirror image in the hem
             line of what lies above it, until it comes to the hem's cut line.  The hem folded up then lies on
             the side's allowance.  A curved hem is mirrored in its tangent at the corner.
ended short  two widths too unlike to meet beyond both edges (the cosine of the turn exceeds their ratio): the
             wider allowance ends square to its edge at the net corner, and the narrower runs up to that end.  As
             the turn grows to the limit this becomes the point.
fold         against a fold edge the other cut line is carried on, or cut off, at the fold line itself.  A hem is
             mirrored in the fold's corner too, unless that would reach beyond the fold.

An edge without allowance is treated as a fold is, unless the meeting would lie too far off.  Inner corners
cannot be square, cut off or as folded and are pointed; at a fold nothing can be square or cut off.  The ways
are put one after another, each for the bodies of its mask, and later ones replace earlier ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.motion import Motion
from ..geometry.plane import choose, dot, norm, unit
from ..meaning.cutting import AS_FOLDED, CUT_OFF, POINTED, SQUARE
from .runs import Approach, cut_off, first_crossing

ENDED_SHORT, FOLD = "ended short", "fold"  # how corners come out that no style asks for
_LONGEST = f"<U{len(ENDED_SHORT)}"  # holds each of these words

SHARP = 2.5  # a point reaches at most so many times the greater width; cutting it off is common practice
SMOOTH = 1e-6  # sine of a turn that is held to be none: at 100 mm of allowance the cut line moves by 0.0001 mm


Kinds: TypeAlias = npt.NDArray[np.str_]  # one word for each body


@dataclass(slots=True, eq=False)
class Meeting:
    """The `kind` (N,), the points `between` the runs (N, J, 2), and where the runs of A and B are cut off.

    `until_a` and `until_b` (N,) are infinite where a run is not cut off.  A run that is cut off rests on the
    nearest point of it.  `short` (N,) marks bodies whose hem is too deep for the mirrored line to come to its
    cut line.
    """

    kind: Kinds
    until_a: Floats
    until_b: Floats
    between: Floats
    short: Mask


class _Ways:
    """The ways put so far: later ones replace earlier ones for the bodies of their mask."""

    def __init__(self, a: Approach, b: Approach) -> None:
        n = len(a.net)
        self.kind: Kinds = np.full(n, ENDED_SHORT, dtype=_LONGEST)
        self.first, self.last = a.end, b.end
        self.until_a, self.until_b = np.full(n, np.inf), np.full(n, np.inf)

    def put(
        self,
        mask: Mask,
        kind: str,
        first: Floats,
        last: Floats,
        until_a: Floats | None = None,
        until_b: Floats | None = None,
    ) -> None:
        if not mask.any():
            return
        mask = mask & np.isfinite(first[:, 0] + first[:, 1])
        if last is not first:
            mask = mask & np.isfinite(last[:, 0] + last[:, 1])
        self.kind[mask] = kind
        self.first, self.last = choose(mask, first, self.first), choose(mask, last, self.last)
        self.until_a = np.where(mask, np.inf if until_a is None else until_a, self.until_a)
        self.until_b = np.where(mask, np.inf if until_b is None else until_b, self.until_b)


def bring_together(
    a: Approach, b: Approach, kind: str = POINTED, fold: tuple[bool, bool] = (False, False), square: int = 0, hem: int | None = None
) -> Meeting:
    """How A, ending, and B, beginning (both seen as approaching the corner), meet.

    `kind` is the kind stated or the default; `fold` says which of them is a fold edge; `square` (0 or 1)
    to which of them the end is squared; `hem` which is the hem of a corner as folded.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        ways = _plain_ways(a, b, kind, fold, square)
        short = np.zeros(len(a.net), dtype=bool)
        between = np.stack([ways.first, ways.last], axis=1)
        if kind == AS_FOLDED and hem is not None:
            between, short = _as_folded(a, b, fold, hem, ways)
    return Meeting(ways.kind, ways.until_a, ways.until_b, between, short)


def _plain_ways(a: Approach, b: Approach, kind: str, fold: tuple[bool, bool], square: int) -> _Ways:
    ways = _Ways(a, b)
    cos, sin = dot(a.outward, b.outward), dot(a.outward, b.along)  # of the turn from A's direction to B's
    less, more = np.minimum(a.width, b.width), np.maximum(a.width, b.width)
    outer, inner = sin > SMOOTH, sin < -SMOOTH
    equal = more - less <= 1e-9
    straight = (~outer & ~inner & (cos > 0) & equal) | (more <= 1e-9)
    middle = (a.end + b.end) / 2
    ways.put(straight, POINTED, middle, middle, np.full(len(cos), a.count - 1.0), np.full(len(cos), b.count - 1.0))
    if (straight | np.isnan(more)).all() and kind != SQUARE:  # what has failed before has no width
        return ways
    limit = SHARP * more
    reach = 4.0 * (a.width + b.width) + 1.0

    point = a.end + ((b.width - a.width * cos) / sin)[:, None] * a.along
    off = norm(point - a.net)
    halving = unit(a.along + b.along)
    cuts = outer & (dot(point - a.net, halving) > more)  # a line square to it would cut the point off
    step = (cos * more > less) & ~equal

    _put_ended_short(ways, a, b, step, reach)
    ways.put(outer & ~step & (more > 1e-9), POINTED, point, point)
    _put_crossing(ways, a, b, np.flatnonzero(inner & ~step & (more > 1e-9)), reach)
    for zero, opposite, is_fold in ((a, b, fold[0]), (b, a, fold[1])):
        carried = (zero.width <= 1e-9) & (opposite.width > 1e-9)
        if not is_fold:
            carried &= outer & (off <= limit)
        _put_carried(ways, zero, opposite, zero is a, carried, is_fold, reach)
    sharp = cuts & (off > limit)
    if kind == CUT_OFF and not any(fold):
        sharp |= cuts
    _put_cut_off(ways, a, b, sharp, halving, more)
    if kind == SQUARE and not any(fold):
        squared, opposite = (a, b) if square == 0 else (b, a)
        _put_square(ways, squared, opposite, square == 0, outer, limit, reach)
    return ways


def _put_ended_short(ways: _Ways, a: Approach, b: Approach, step: Mask, reach: Floats) -> None:
    narrow_a, narrow_b = step & (a.width < b.width), step & (b.width < a.width)
    if narrow_a.any():
        until, point = a.to_line(b.outward, reach)
        ways.put(narrow_a, ENDED_SHORT, point, b.end, until_a=until)
    if narrow_b.any():
        until, point = b.to_line(a.outward, reach)
        ways.put(narrow_b, ENDED_SHORT, a.end, point, until_b=until)


def _put_crossing(ways: _Ways, a: Approach, b: Approach, some: Indices, reach: Floats) -> None:
    """Inner corners of the bodies `some`: both runs are cut off where they cross."""
    if not len(some):
        return
    until_a, from_b, crossing = first_crossing(a.of(some), b.of(some)[:, ::-1], a.net[some], reach[some])
    mask, point = np.zeros(len(reach), dtype=bool), np.full(a.net.shape, np.nan)
    at_a, at_b = np.full(len(reach), np.inf), np.full(len(reach), np.inf)
    mask[some], point[some], at_a[some] = True, crossing, until_a
    at_b[some] = b.count - 1 - from_b
    ways.put(mask, POINTED, point, point, at_a, at_b)


def _put_carried(ways: _Ways, zero: Approach, opposite: Approach, zero_first: bool, mask: Mask, is_fold: bool, reach: Floats) -> None:
    if not mask.any():
        return
    until, point = opposite.to_line(zero.along, reach)
    kind = FOLD if is_fold else POINTED
    ways.put(mask, kind, point, point, None if zero_first else until, until if zero_first else None)


def _put_cut_off(ways: _Ways, a: Approach, b: Approach, mask: Mask, halving: Floats, distance: Floats) -> None:
    if not mask.any():
        return
    end_a, end_b = (
        run.end + ((distance - dot(run.end - run.net, halving)) / dot(run.along, halving))[:, None] * run.along for run in (a, b)
    )
    ways.put(mask, CUT_OFF, end_a, end_b)


def _put_square(
    ways: _Ways, squared: Approach, opposite: Approach, squared_first: bool, outer: Mask, limit: Floats, reach: Floats
) -> None:
    until, foot = opposite.to_line(squared.along, reach)
    mask = outer & (norm(foot - squared.net) <= limit)
    tip = foot + squared.width[:, None] * squared.outward
    if squared_first:
        ways.put(mask, SQUARE, tip, foot, until_b=until)
    else:
        ways.put(mask, SQUARE, foot, tip, until_a=until)


def _as_folded(a: Approach, b: Approach, fold: tuple[bool, bool], hem: int, ways: _Ways) -> tuple[Floats, Mask]:
    """(between, short): the neighbour's cut line mirrored in the hem line, as far as the hem's cut line."""
    hemmed, side = (a, b) if hem == 0 else (b, a)
    reach = 4.0 * (a.width + b.width) + 1.0
    until_side, start = side.to_line(hemmed.along, reach)
    fits = dot(a.outward, b.along) > SMOOTH
    fits &= norm(start - side.net) <= SHARP * np.maximum(a.width, b.width)
    if any(fold):
        fits &= dot(a.outward, b.outward) <= 1e-9

    mirror, hem_line = Motion.mirror(side.net, hemmed.along), hemmed.carried_on(reach)
    for first in (len(side.parts) - 1, 0):  # the last part of the side alone will do, where it is long enough for every body
        image = mirror.points(np.concatenate(side.parts[first:], axis=1))
        left_out = side.count - image.shape[1]
        below = np.concatenate([start[:, None], cut_off(image, until_side - left_out, start)[:, ::-1]], axis=1)
        until_hem, down_to, end = first_crossing(hem_line, below, side.net, reach)
        short = fits & ~np.isfinite(down_to)
        if not short.any():
            break
    image = np.concatenate([cut_off(below, down_to, end), np.repeat(end[:, None], 1 + left_out, axis=1)], axis=1)

    made = fits & ~short
    if hem == 0:
        image = image[:, ::-1]
        ways.put(made, AS_FOLDED, end, start, until_hem, until_side)
    else:
        ways.put(made, AS_FOLDED, start, end, until_side, until_hem)
    others = np.flatnonzero(~made)
    if len(others):
        image[others, :-1], image[others, -1] = ways.first[others, None], ways.last[others]
    return image, short
