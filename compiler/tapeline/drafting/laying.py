"""Where darts are laid out, before they are set: their centres, feet and points, and each as its rule asks for it.

A dart laid out is a fold about its point where its legs are straight; where they are held parallel down to a level, a shift
across from there.  `Laid` holds the lines of both legs near the edge and the rigid motion that lays the far one on the near.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from ..geometry import meet
from ..geometry.arrays import Floats
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.plane import choose, dot, square_to, unit, vector
from ..geometry.segments import Line
from ..meaning.kinds import LENGTH, NUMBER, PATH, POINT
from ..meaning.plan import DartRow
from ..source.quantity import at_most, show_length
from .guides import Guide
from .operations import operation
from .places import nearest_on
from .steps import Run


class Laid:
    """One dart as laid out: lines of its legs near the edge, its point, its fold, and the motion that closes it.

    `near`, `far` and `point` are (N, 2), the intake `asked` and the depth `held` that straight legs are held to (N,).
    """

    def __init__(
        self,
        rule: DartRow,
        press: str,
        near: Floats,
        far: Floats,
        point: Floats,
        asked: Floats,
        held: Floats | None,
        path: Path,
    ) -> None:
        self.rule, self.press, self.point, self.asked, self.held = rule, press, point, asked, held
        self.feet, self.middle = (near, far), (near + far) / 2.0
        self.knees: tuple[Floats, Floats] | None = None
        self.reach: tuple[Floats, Floats] | None = None  # how far (N,) either leg reaches to the edge, once that was asked
        if held is None:
            self.near_origin, self.near_heading = point, unit(near - point)
            self.far_origin, self.far_heading = point, unit(far - point)
            self.motion = Motion.turn_onto(point, far, near)
            self.axis = unit(self.near_heading + self.far_heading)
        else:
            self._hold(near, far, held, path)
        self.laid_foot = dot(near - self.near_origin, self.near_heading)

    def _hold(self, near: Floats, far: Floats, held: Floats, path: Path) -> None:
        """Legs side by side from the edge down to a level, and from there to the point."""
        point = self.point
        self.axis = unit(self.middle - point)
        across = square_to(self.axis)
        across = across * np.where(dot(across, far - near) < 0.0, -1.0, 1.0)[:, None]
        half = across * (self.asked / 2.0)[:, None]
        depth = (held - point[:, 1]) / np.where(self.axis[:, 1] == 0.0, np.nan, self.axis[:, 1])
        knee = point + self.axis * depth[:, None]
        knees = knee - half, knee + half
        # Where a dipped edge lies past the level that the legs are held to, only their straight ends are left.
        on_edge = meet.line_place(path, point, self.axis)
        past = dot(on_edge - knee, self.axis) < 0.0
        headings = [unit(knee - point) for knee in knees]
        self.near_origin, self.far_origin = choose(past, point, knees[0]), choose(past, point, knees[1])
        self.near_heading, self.far_heading = choose(past, headings[0], self.axis), choose(past, headings[1], self.axis)
        near_knee, far_knee = (choose(past, (2.0 * point + knee) / 3.0, knee) for knee in knees)
        self.knees = near_knee, far_knee
        turn, shift = Motion.turn_onto(point, far_knee, near_knee), Motion.shift(-2.0 * half)
        self.motion = Motion(
            np.where(past, turn.cos, shift.cos), np.where(past, turn.sin, shift.sin), choose(past, turn.offset, shift.offset)
        )

    def foot_on(self, path: Path) -> Floats:
        """Where the near leg ends on the edge as drawn (N, 2); of unequal straight legs the shorter is lengthened."""
        near, far = self.reaches(path)
        far_out = np.maximum(near, far) if self.held is None else (near + far) / 2.0
        return self.near_origin + self.near_heading * far_out[:, None]

    def reaches(self, path: Path) -> tuple[Floats, Floats]:
        """How far (N,) the near and the far leg reach to the edge as drawn, from where they begin to run straight."""
        if self.reach is None:
            self.reach = self._reach(path, self.near_origin, self.near_heading), self._reach(path, self.far_origin, self.far_heading)
        return self.reach

    def _reach(self, path: Path, origin: Floats, heading: Floats) -> Floats:
        along = dot(meet.line_place(path, origin, heading) - origin, heading)
        return np.where(np.isfinite(along) & (along > 0.0), along, self.laid_foot)

    def leg(self, foot: Floats, which: int) -> Path:
        if self.knees is None:
            return Path((Line(foot, self.point),))
        knee = self.knees[which]
        return Path((Line(foot, knee), Line(knee, self.point)))


def lay(inputs: Iterator[Floats], rule: DartRow, turned: bool, path: Path) -> Laid:
    """The next dart, from the inputs that its rule takes."""
    near, far, point, asked = (next(inputs) for _ in range(4))
    held = next(inputs) if rule.held_to is not None else None
    if turned:
        near, far = far, near
    press = "near" if (rule.press == "start") != turned else "far"
    return Laid(rule, press, near, far, point, asked, held, path)


# ------------------------------------------------------------ laying darts out


@operation(takes=(PATH, LENGTH, LENGTH, LENGTH), optional=2, gives=POINT)
def dart_evenly(
    run: Run,
    guide: Guide,
    intake: Floats,
    first: Floats | None = None,
    last: Floats | None = None,
    *,
    index: int,
    count: int,
    backward: bool,
    edge: str,
) -> Floats:
    """The centre of one dart of a series: strips of equal length between the darts and at the ends."""
    path = guide.path
    first = np.zeros(run.n) if first is None else first
    last = path.length() if last is None else last
    span = np.abs(last - first)
    strip = (span - count * intake) / (count + 1)
    run.fail(
        strip <= 0.0,
        "D420",
        f'There is no room for {count} darts on "{edge}"',
        expected=lambda i: f"intakes of less than {at_most(span[i] / count, run.unit)} each",
        found=lambda i: f"{count} of {show_length(intake[i], run.unit)} on {show_length(span[i], run.unit)}",
        suggestion="Make the intakes smaller, or set fewer darts.",
    )
    along = strip * (index + 1) + intake * (index + 0.5)
    at = first + np.sign(last - first) * np.where(strip <= 0.0, np.nan, along)
    return np.where(np.isnan(at)[:, None], np.nan, path.point_at(np.nan_to_num(at)))


@operation(takes=(PATH, POINT, LENGTH), gives=POINT)
def dart_foot_laid(run: Run, guide: Guide, centre: Floats, intake: Floats, *, sign: float) -> Floats:
    """A foot half the intake along the reference line from the dart's centre; beyond its end, straight on."""
    path = guide.path
    if len(path.segments) == 1 and isinstance(path.segments[0], Line):
        return centre + path.start_direction() * (sign * intake / 2.0)[:, None]
    near = nearest_on(path, centre)
    at = near + sign * intake / 2.0
    held = np.clip(at, 0.0, path.length())
    on = path.point_at(np.nan_to_num(held)) + path.direction_at(np.nan_to_num(held)) * (at - held)[:, None]
    return on + (centre - path.point_at(np.nan_to_num(near)))


@operation(takes=(POINT, LENGTH), gives=POINT)
def dart_point_level(run: Run, centre: Floats, y: Floats) -> Floats:
    return vector(centre[:, 0], y)


@operation(takes=(PATH, POINT, LENGTH, NUMBER), gives=POINT)
def dart_point_long(run: Run, guide: Guide, centre: Floats, length: Floats, side: Floats, *, plumb: bool) -> Floats:
    """A point so far from the edge, square to it or plumb, into the piece."""
    path = guide.path
    inward = square_to(path.direction_at(np.nan_to_num(nearest_on(path, centre)))) * side[:, None]
    if plumb:
        inward = vector(np.zeros(run.n), np.where(inward[:, 1] >= 0.0, 1.0, -1.0))
    return centre + inward * length[:, None]
