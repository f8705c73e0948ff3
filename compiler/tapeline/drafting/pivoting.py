"""Moving a dart about its point: all or part of it to another place, or into flare.

The piece is slashed from a place on its outline to the dart's point.  That parts its rim into two sides, one after the
dart's far foot, one before its near foot; the one that does not hold the corner at which the piece stays is turned about
the dart's point, by the dart's closing turn or a part of it.  The dart closes by so much and the slash opens by the same
angle.  Nothing else changes: both sides keep their shape, so every edge keeps its sewn length, and the angles of the
darts at one point keep their sum.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ..geometry.arrays import Floats
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, distance, unit
from ..geometry.segments import Line
from ..meaning.kinds import LENGTH, NUMBER, SHAPE
from ..meaning.ring import EdgeRing
from ..source.quantity import at_most, show_figure, show_length
from ..source.text import Span
from .carrying import Turning, carried, fitted
from .darts import true_end
from .guides import SAME
from .operations import one_of
from .pattern import Dart
from .rims import Item, Rim, carried_points, filled_by
from .shapes import BESIDE, Shape, Undrawn, change, no_dart
from .steps import Run

WHOLE = 1e-9


@change(takes=(SHAPE, LENGTH), more=one_of(LENGTH, NUMBER))
def pivot(
    run: Run,
    shape: Shape,
    place: Floats,
    amount: Floats | None = None,
    *,
    ring: EdgeRing,
    dart: str,
    edge: str,
    onward: bool | None,
    by: str,
    press: str,
) -> Shape:
    """The dart turned about its point into a slash at length `place` along `edge`: a new dart, or a gap, as the ring says.

    `amount` is the part to be moved (`by` "part") or its width at the old mouth (`by` "intake"); None: all of it.
    """
    old = shape.dart(dart)
    if old is None:
        no_dart(run, shape, dart)
        return Undrawn(run)
    if not turnable(run, old):
        return Undrawn(run)
    share = _share(run, old, amount, by)
    rim = Rim(run, shape)
    cut = rim.slash(edge, place, dart, "Name another place along the edge.")
    turn = _Turn(rim, old, cut, onward, share)
    slash = rim.strip(cut - 1).end()
    points = turn.points(shape, slash)
    feet = (turn.motion.points(slash), slash) if cut - 1 in turn.moving else (slash, turn.motion.points(slash))
    lines = carried(ring, shape.lines, shape.edges, turn.of_lines(amount is None, slash=slash))
    rim.carry(turn.moving, turn.motion)
    added = {"gap": Item(edge, run.span)}
    mouth = ring.added("mouth")
    if mouth is not None:
        new = _wedge(run, mouth.name, run.span, old.point, feet, press, rim.strip(cut - 1), rim.strip(cut))
        added["mouth"] = Item(edge, run.span, dart=new)
    turn.leave(amount is None)
    before = rim.strips(edge)
    edges = filled_by(run, ring, rim, added)
    if mouth is None:
        lines = fitted(lines, before, edges, edge)
    return Shape(edges, points, turn.feet(shape) if amount is None else shape.feet, lines)


@change(more=one_of(LENGTH, NUMBER))
def pivot_into(
    run: Run,
    shape: Shape,
    amount: Floats | None = None,
    *,
    ring: EdgeRing,
    dart: str,
    other: str,
    onward: bool | None,
    by: str,
) -> Shape:
    """The dart, or a part of it, added to another that ends at the same point."""
    old, wide = shape.dart(dart), shape.dart(other)
    if old is None or wide is None:
        no_dart(run, shape, dart if old is None else other)
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
    rim = Rim(run, shape)
    into = rim.mouth(other)
    turn = _Turn(rim, old, into, onward, share)
    points = turn.points(shape)
    near, far = wide.near_foot, wide.far_foot
    feet = (turn.motion.points(near), far) if into - 1 in turn.moving else (near, turn.motion.points(far))
    lines = carried(ring, shape.lines, shape.edges, turn.of_lines(amount is None, into=wide))
    rim.carry([k for k in turn.moving if k != into], turn.motion)
    rim.put(into, wedge(wide.name, wide.span, old.point, feet, wide.press, rim.strip(into - 1), rim.strip(into + 1), wide.kind))
    turn.leave(amount is None)
    return Shape(filled_by(run, ring, rim), points, turn.feet(shape) if amount is None else shape.feet, lines)


class _Turn:
    """The turning of one side of a rim about a dart's point, from the dart's mouth to another place of the rim.

    `onward` tells whether the side from the far foot on is turned; None where both are on one edge: then it is the side
    that lies within that edge, since no corner is on it.
    """

    def __init__(self, rim: Rim, old: Dart, place: int, onward: bool | None, share: Floats):
        self.rim, self.old, self.place, self.share = rim, old, place, share
        self.mouth = rim.mouth(old.name)
        self.onward = self.mouth < place if onward is None else onward
        self.moving = rim.arc(self.mouth + 1, place) if self.onward else rim.arc(place, self.mouth)
        self.motion = Motion.turn(old.point, old.fold.angle() * share * (1.0 if self.onward else -1.0))

    def points(self, shape: Shape, slash: Floats | None = None) -> dict[str, Floats]:
        """The named points, carried; where the slash begins at the feet of a dart once closed, they part again."""
        mouths = [k for k in (self.mouth, self.place) if self.rim.items[k].dart is not None]
        carried = carried_points(shape.points, self.rim, self.moving, [self.old.point], self.motion, mouths)
        if slash is None:
            return carried
        for name, side in shape.feet.items():
            point = shape.points[name]
            moves = (distance(point, slash) < BESIDE) & (side == (-1 if self.onward else 1))
            carried[name] = choose(moves, self.motion.points(point), carried[name])
        return carried

    def of_lines(self, whole: bool, slash: Floats | None = None, into: Dart | None = None) -> Turning:
        """What it does to the level lines; to be asked before the rim is carried."""
        moving = [path for k in self.moving if (path := self.rim.items[k].path) is not None]
        return Turning(moving, self.motion, self.old, whole, self.onward, slash, into)

    def feet(self, shape: Shape) -> dict[str, Floats]:
        """Which named points were the feet of closed darts, the one closed here among them."""
        feet = dict(shape.feet)
        for name, point in shape.points.items():
            near, far = (distance(point, foot) < BESIDE for foot in (self.old.near_foot, self.old.far_foot))
            if np.any(near | far):
                feet[name] = np.where(near, -1, np.where(far, 1, feet.get(name, 0)))
        return feet

    def leave(self, all_of_it: bool) -> None:
        """Take the old dart out of the turned rim, or leave what was not moved of it: its feet nearer together."""
        old, motion = self.old, self.motion
        if all_of_it:
            self.rim.close(self.mouth)
            return
        near, far = (old.near_foot, motion.points(old.far_foot)) if self.onward else (motion.points(old.near_foot), old.far_foot)
        before, after = self.rim.strip(self.mouth - 1), self.rim.strip(self.mouth + 1)
        self.rim.put(self.mouth, wedge(old.name, old.span, old.point, (near, far), old.press, before, after, old.kind))


def _share(run: Run, dart: Dart, amount: Floats | None, by: str) -> Floats:
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
        expected=lambda i: f"more than zero and at most {at_most(dart.intake[i], run.unit)}",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion="Say how much of it is moved, or nothing for all of it.",
    )
    leg = distance(dart.point, dart.near_foot)
    whole = np.abs(dart.fold.angle())
    return np.where(wrong, np.nan, 2.0 * np.arcsin(np.clip(amount / (2.0 * leg), 0.0, 1.0)) / whole)


def turnable(run: Run, dart: Dart, held: bool = False) -> bool:
    """Whether a dart can be turned about its point, or with `held` be cut through; reported where it cannot."""
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


def _wedge(
    run: Run,
    name: str,
    span: Span,
    point: Floats,
    feet: tuple[Floats, Floats],
    press: str,
    before: Path,
    after: Path,
) -> Dart:
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


def wedge(
    name: str, span: Span, point: Floats, feet: tuple[Floats, Floats], press: str, before: Path, after: Path, kind: str = "dart"
) -> Dart:
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
        kind,
    )


@change(takes=(SHAPE, LENGTH))
def shorten(run: Run, shape: Shape, amount: Floats, *, ring: EdgeRing, dart: str) -> Shape:
    """A dart whose point is drawn back toward its mouth along its fold; its feet stay, its edge is trued anew."""
    old = shape.dart(dart)
    if old is None:
        no_dart(run, shape, dart)
        return Undrawn(run)
    if not turnable(run, old):
        return Undrawn(run)
    middle = (old.near_foot + old.far_foot) / 2.0
    depth = distance(middle, old.point)
    wrong = (amount >= depth) | (amount < 0.0)
    run.fail(
        wrong,
        "D484",
        f"{dart} cannot be shortened by so much",
        expected=lambda i: f"zero or more, and less than its length, {at_most(depth[i], run.unit)}",
        found=lambda i: show_length(amount[i], run.unit),
        suggestion="Shorten it by less.",
    )
    point = old.point + unit(middle - old.point) * np.where(wrong, np.nan, amount)[:, None]
    rim = Rim(run, shape)
    k = rim.mouth(dart)
    rim.put(k, wedge(old.name, old.span, point, (old.near_foot, old.far_foot), old.press, rim.strip(k - 1), rim.strip(k + 1), old.kind))
    return Shape(filled_by(run, ring, rim), shape.points, shape.feet, shape.lines)


@change()
def press_dart(run: Run, shape: Shape, *, ring: EdgeRing, dart: str, press: str, tuck: bool = False) -> Shape:
    """A dart laid to the other side: its feet and point stay, its end is trued for the side it is pressed to."""
    old = shape.dart(dart)
    if old is None:
        no_dart(run, shape, dart)
        return Undrawn(run)
    if not turnable(run, old):
        return Undrawn(run)
    rim = Rim(run, shape)
    k = rim.mouth(dart)
    feet = old.near_foot, old.far_foot
    laid = wedge(old.name, old.span, old.point, feet, press, rim.strip(k - 1), rim.strip(k + 1))
    rim.put(k, replace(laid, asked=old.asked, kind="tuck" if tuck else old.kind))
    return Shape(filled_by(run, ring, rim), shape.points, shape.feet, shape.lines)


@change()
def release(run: Run, shape: Shape, *, ring: EdgeRing, dart: str) -> Shape:
    """A dart left unsewn: its mouth becomes part of the edge, which is to be gathered or eased by so much."""
    if shape.dart(dart) is None:
        no_dart(run, shape, dart)
        return Undrawn(run)
    rim = Rim(run, shape)
    mouth = rim.mouth(dart)
    edge = rim.items[mouth].edge
    rim.open(mouth)
    edges = filled_by(run, ring, rim)
    lines = fitted(shape.lines, rim.strips(edge), edges, edge)
    return Shape(edges, shape.points, {name: foot for name, foot in shape.feet.items() if name != dart}, lines)
