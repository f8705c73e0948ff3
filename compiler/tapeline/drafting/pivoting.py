"""Moving a dart about its point: all or part of it to another place, or into flare.

The piece is slashed from a place on its outline to the dart's point.  That parts the ring into two arcs, one after the
dart's far foot, one before its near foot; the arc that does not hold the corner at which the piece stays is turned about
the dart's point, by the dart's closing turn or a part of it.  The dart closes by so much and the slash opens by the same
angle.  Nothing else changes: both arcs keep their shape, so every edge keeps its sewn length, and the angles of the
darts at one point keep their sum.
"""

from __future__ import annotations

import numpy as np

from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, distance, unit
from ..geometry.segments import Line
from ..meaning.kinds import LENGTH, NUMBER, SHAPE
from ..source.quantity import show_figure, show_length
from .darts import true_end
from .guides import SAME
from .operations import one_of
from .pattern import Dart
from .shapes import BESIDE, Item, Shape, Undrawn, carried_points, change, corner_of, edges_of, items_of, mouth_of, slash_at, turn_ring

WHOLE = 1e-9


@change(takes=(SHAPE, LENGTH), more=one_of(LENGTH, NUMBER))
def pivot(run, shape: Shape, place, amount=None, *, dart, edge, called, stays, by, press, flare):
    """The dart turned into a new one at length `place` along `edge`; with `flare` the slash is left open instead.

    `amount` is the part to be moved (`by` "part") or its width at the old mouth (`by` "intake"); None: all of it.
    """
    ring = items_of(shape)
    first_edge = ring[0].edge
    old = shape.dart(dart)
    if old is None:
        mouth_of(run, ring, dart)
        return Undrawn(run)
    if not turnable(run, old):
        return Undrawn(run)
    share = _share(run, old, amount, by)
    ring, cut = slash_at(run, ring, edge, place, dart, "Name another place along the edge.")
    turn = _Turn(ring, old, mouth_of(run, ring, dart), cut, stays, share)
    slash = ring[cut - 1].path.end()
    points = turn.points(shape, slash)
    feet = (turn.motion.points(slash), slash) if cut - 1 in turn.moving else (slash, turn.motion.points(slash))
    ring = turn.turned()
    new = Item(ring[cut].edge, ring[cut].span)
    if not flare:
        new = new._replace(dart=_wedge(run, called, run.span, old.point, feet, press, ring[cut - 1].path, ring[cut].path))
    ring = [*ring[:cut], new, *ring[cut:]]
    ring = turn.left(ring, turn.mouth + (cut <= turn.mouth), amount is None)
    feet = turn.feet(shape) if amount is None else shape.feet
    return Shape(edges_of(run, turn_ring(ring, corner_of(ring, first_edge))), points, feet)


@change(more=one_of(LENGTH, NUMBER))
def pivot_into(run, shape: Shape, amount=None, *, dart, other, stays, by):
    """The dart, or a part of it, added to another that ends at the same point."""
    ring = items_of(shape)
    first_edge, old, wide = ring[0].edge, shape.dart(dart), shape.dart(other)
    if old is None or wide is None:
        mouth_of(run, ring, dart if old is None else other)
        return Undrawn(run)
    if not (turnable(run, old) and turnable(run, wide)):
        return Undrawn(run)
    apart = distance(old.point, wide.point)
    run.fail(
        apart > SAME,
        "D486",
        f"The darts {dart} and {other} do not end at one point",
        expected="one point for both",
        found=lambda i: f"points {show_length(apart[i], run.unit)} apart",
        suggestion="Pivot before the darts are shortened, or pivot to a place of its own: to EDGE at half.",
    )
    share = _share(run, old, amount, by)
    into = mouth_of(run, ring, other)
    turn = _Turn(ring, old, mouth_of(run, ring, dart), into, stays, share)
    points = turn.points(shape)
    near, far = wide.near_foot, wide.far_foot
    count = len(ring)
    feet = (turn.motion.points(near), far) if (into - 1) % count in turn.moving else (near, turn.motion.points(far))
    ring = turn.turned(fixed=(into,))
    ring[into] = ring[into]._replace(
        dart=wedge(wide.name, wide.span, old.point, feet, wide.press, ring[into - 1].path, ring[(into + 1) % count].path)
    )
    ring = turn.left(ring, turn.mouth, amount is None)
    feet = turn.feet(shape) if amount is None else shape.feet
    return Shape(edges_of(run, turn_ring(ring, corner_of(ring, first_edge))), points, feet)


class _Turn:
    """The turning of one arc of a ring about a dart's point, from the dart's mouth to another place of the ring."""

    def __init__(self, ring, old: Dart, mouth: int, place: int, stays: str, share):
        self.ring, self.old, self.mouth, self.place, self.share = ring, old, mouth, place, share
        count = len(ring)
        after = _walk(mouth + 1, place, count)  # the arc from the far foot on
        self.forward = corner_of(ring, stays) not in after
        self.moving = after if self.forward else _walk(place, mouth, count)
        self.motion = Motion.turn(old.point, old.fold.angle() * share * (1.0 if self.forward else -1.0))

    def points(self, shape: Shape, slash=None) -> dict:
        """The named points, carried; where the slash begins at the feet of a dart once closed, they part again."""
        mouths = [k for k in (self.mouth, self.place) if self.ring[k].dart is not None]
        carried = carried_points(shape.points, self.ring, self.moving, [self.old.point], self.motion, mouths)
        for name, side in shape.feet.items() if slash is not None else ():
            point = shape.points[name]
            moves = (distance(point, slash) < BESIDE) & (side == (-1 if self.forward else 1))
            carried[name] = choose(moves, self.motion.points(point), carried[name])
        return carried

    def feet(self, shape: Shape) -> dict:
        """Which named points were the feet of closed darts, the one closed here among them."""
        feet = dict(shape.feet)
        for name, point in shape.points.items():
            near, far = (distance(point, foot) < BESIDE for foot in (self.old.near_foot, self.old.far_foot))
            if np.any(near | far):
                feet[name] = np.where(near, -1, np.where(far, 1, feet.get(name, 0)))
        return feet

    def turned(self, fixed=()):
        return [item.moved(self.motion) if k in self.moving and k not in fixed else item for k, item in enumerate(self.ring)]

    def left(self, ring, mouth: int, all_of_it: bool):
        """The ring with the old dart taken out, or left with what was not moved of it: its feet nearer together."""
        if all_of_it:
            return [*ring[:mouth], *ring[mouth + 1 :]]
        old = self.old
        near, far = (
            (old.near_foot, self.motion.points(old.far_foot)) if self.forward else (self.motion.points(old.near_foot), old.far_foot)
        )
        rest = wedge(old.name, old.span, old.point, (near, far), old.press, ring[mouth - 1].path, ring[(mouth + 1) % len(ring)].path)
        return [*ring[:mouth], ring[mouth]._replace(dart=rest), *ring[mouth + 1 :]]


def _walk(start: int, end: int, count: int) -> list[int]:
    """The places of a ring from `start` up to, not with, `end`."""
    return [(start + k) % count for k in range((end - start) % count)]


def _share(run, dart: Dart, amount, by: str):
    if amount is None:
        return np.ones(run.n)
    if by == "part":
        wrong = (amount <= 0.0) | (amount > 1.0 + WHOLE)
        run.fail(
            wrong,
            "D482",
            f"This is no part of {dart.name}",
            expected="more than zero and at most the whole, 1",
            found=lambda i: show_figure(float(amount[i]), "number", run.unit),
            suggestion="Say half, 1/3, 40 %, or nothing for all of it.",
        )
        return np.where(wrong, np.nan, amount)
    wrong = (amount <= 0.0) | (amount > dart.intake + 1e-6)
    run.fail(
        wrong,
        "D482",
        lambda i: f"{dart.name} does not take in so much" if amount[i] > 0.0 else f"Nothing of {dart.name} moves",
        expected=lambda i: f"more than zero and at most {show_length(dart.intake[i], run.unit)}",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion="Say how much of it is moved, or nothing for all of it.",
    )
    leg = distance(dart.point, dart.near_foot)
    whole = np.abs(dart.fold.angle())
    return np.where(wrong, np.nan, 2.0 * np.arcsin(np.clip(amount / (2.0 * leg), 0.0, 1.0)) / whole)


def turnable(run, dart: Dart, held: bool = False) -> bool:
    """Whether a dart can be turned about its point, or with `held` be cut through; said where it cannot."""
    if dart.kind == "pleat" or (dart.held_to is not None and not held):
        what = "pleat" if dart.kind == "pleat" else "dart whose legs are held apart"
        run.fail(
            True,
            "D490",
            f"{dart.name} cannot be turned about a point",
            expected="a dart with two straight legs",
            found=f"a {what}",
            suggestion="Move it where the piece is drawn."
            if dart.kind == "pleat"
            else "Leave out: held to; the dart can then be moved.",
        )
        return False
    return True


def _wedge(run, name, span, point, feet, press, before, after) -> Dart:
    depth = distance(point, feet[0])
    run.fail(
        depth < 1.0,
        "D483",
        f"The slash for {name} has no length",
        expected="a place away from the dart's point",
        found=lambda i: show_length(depth[i], run.unit),
        suggestion="Name another place along the edge.",
    )
    return wedge(name, span, point, feet, press, before, after)


def wedge(name, span, point, feet, press, before: Path, after: Path) -> Dart:
    """A straight dart between two strips, from its feet and its point; its end is trued for the side it is pressed to."""
    near, far = feet
    headings = (unit(near - point), unit(far - point))
    intake = distance(near, far)
    axis = unit(headings[0] + headings[1])
    trued = true_end(press, point, axis, feet, headings, intake, before, after)
    return Dart(
        name,
        span,
        point,
        Path((Line(near, point),)),
        Path((Line(far, point),)),
        Motion.turn_onto(point, far, near),
        trued,
        press,
        intake,
        intake,
        None,
        (near + far) / 2.0,
    )


@change(takes=(SHAPE, LENGTH))
def shorten(run, shape: Shape, amount, *, dart):
    """A dart whose point is drawn back toward its mouth along its fold; its feet stay, its edge is trued anew."""
    ring = items_of(shape)
    k = mouth_of(run, ring, dart)
    if k < 0:
        return Undrawn(run)
    old = ring[k].dart
    if not turnable(run, old):
        return Undrawn(run)
    middle = (old.near_foot + old.far_foot) / 2.0
    depth = distance(middle, old.point)
    wrong = (amount >= depth) | (amount < 0.0)
    run.fail(
        wrong,
        "D484",
        f"{dart} cannot be shortened by so much",
        expected=lambda i: f"zero or more, and less than its length, {show_length(depth[i], run.unit)}",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion="Shorten it by less.",
    )
    point = old.point + unit(middle - old.point) * np.where(wrong, np.nan, amount)[:, None]
    new = wedge(old.name, old.span, point, (old.near_foot, old.far_foot), old.press, ring[k - 1].path, ring[(k + 1) % len(ring)].path)
    ring[k] = ring[k]._replace(dart=new)
    return Shape(edges_of(run, ring), shape.points, shape.feet)


@change()
def release(run, shape: Shape, *, dart):
    """A dart left unsewn: its mouth becomes part of the edge, which is to be gathered or eased by so much."""
    ring = items_of(shape)
    k = mouth_of(run, ring, dart)
    if k < 0:
        return Undrawn(run)
    ring[k] = Item(ring[k].edge, ring[k].span)
    return Shape(edges_of(run, ring), shape.points, {name: foot for name, foot in shape.feet.items() if name != dart})
