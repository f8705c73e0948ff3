"""Where a place does not move in proportion to a measure: the value at which its grade breaks, and by which rule.

A measure is swept over its range, the others of one body held, and neighbours that go different ways at a rule
(`drafting.branches`) are closed in on.  A break is kept where the slope of some place is not the same on both sides, or the
place leaps, or is there on one side only.  Between breaks a place may still move along a curve, as where a root is
taken: of that the least and the greatest slope are told.

Not found: a way that is taken only within less than a step of the sweep, and where a place passes a joint inside an edge.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from ..drafting.branches import STRUCTURE, branches
from ..drafting.run import draft
from ..geometry.arrays import Floats, Mask
from ..geometry.dual import plain, slope_of
from ..meaning.style import Style
from ..source.text import Span
from .slopes import Place, moving, places_of

Names: TypeAlias = Sequence[str] | npt.NDArray[Any]  # of the measures that are varied, one for each body
STEPS = 128  # of a sweep
PARTS = 16  # in which a step is parted when it is closed in on
NEAR = {False: 0.01, True: 1e-5}  # mm, or radians of an angle: how near a break is told
BENDS = 1e-3  # of a slope: what differs by less is no break
LEAPS = 0.02  # mm
SAMPLES = 9  # at which the slopes between two breaks are looked at


class BreakRule(NamedTuple):
    span: Span
    words: str  # as the language calls what breaks it: least of, when, ...


@dataclass(slots=True, eq=False)
class GradeBreak:
    """A value (mm, radians) of a measure at which the grade of places breaks.  Slopes are told as in `Slopes`."""

    measure: str
    value: float
    rules: tuple[BreakRule, ...]
    slopes: dict[Place, tuple[Floats, Floats]]  # (piece, place) -> (2,) below and above
    leaps: dict[Place, Floats]  # by how much (2,) a place leaps, in mm
    below_only: tuple[Place, ...] = ()  # places that are not there above it
    above_only: tuple[Place, ...] = ()  # places that are not there below it

    def of(self, key: tuple[str, str]) -> bool:
        """Whether the grade of a place breaks here."""
        return key in self.slopes or key in self.leaps or key in self.below_only or key in self.above_only


@dataclass(slots=True, eq=False)
class Stretch:
    """The values of a measure, about the body's own, between which no grade breaks; and the slopes found there."""

    measure: str
    low: float
    high: float
    least: dict[Place, Floats]  # (piece, place) -> (2,)
    most: dict[Place, Floats]


def grade_breaks(
    style: Style,
    body: dict[str, float],
    choices: Mapping[str, float] | None = None,
    ranges: dict[str, tuple[float, float]] | None = None,
    varied: Sequence[str] | None = None,
    unit: str = "cm",
) -> tuple[list[GradeBreak], dict[str, Stretch]]:
    """Every grade break of one body's draft, in the order of measures and values, and the stretch of each measure about it.

    Without `ranges` (mm, radians) a measure is swept between the bounds within which it is believed.  `unit` is that of the draft.
    """
    varied = style.needed if varied is None else varied
    if not varied:  # a style without measures grows by none
        return [], {}
    sweep = _Sweep(style, body, choices or {}, varied, ranges or {}, unit)
    breaks = sweep.breaks(sweep.events())
    return breaks, sweep.stretches(breaks)


class _Event(NamedTuple):
    """A rule goes one way at `low` and another at `high`."""

    measure: str
    key: tuple[object, ...]
    rule: BreakRule
    low: float
    high: float


class _Sweep:
    def __init__(
        self,
        style: Style,
        body: Mapping[str, float],
        choices: Mapping[str, float],
        varied: Sequence[str],
        ranges: Mapping[str, tuple[float, float]],
        unit: str,
    ) -> None:
        self.style, self.choices, self.varied, self.unit = style, choices, varied, unit
        self.body = {name: float(np.reshape(value, ())) for name, value in body.items()}
        self.angle = {name: style.measurements[name].kind == "angle" for name in varied}
        self.ranges = {}
        for name in varied:
            low, high = ranges.get(name, (style.measurements[name].low, style.measurements[name].high))
            self.ranges[name] = min(low, self.body[name]), max(high, self.body[name])

    def bodies(self, names: Names, values: npt.ArrayLike) -> tuple[dict[str, Floats], dict[str, Floats]]:
        """The body again for each of `values` (N,), which stands for the measure named beside it; and the choices."""
        of, values = np.array(names), np.asarray(values, dtype=float)
        measures = {name: np.where(of == name, values, own) for name, own in self.body.items()}
        return measures, {name: np.broadcast_to(np.asarray(value, dtype=float), values.shape) for name, value in self.choices.items()}

    # ------------------------------------------------------------ where rules go another way

    def events(self) -> list[_Event]:
        """Each change of way that the sweep meets, closed in on."""
        names = np.repeat(self.varied, STEPS + 1)
        values = np.concatenate([np.linspace(*self.ranges[name], STEPS + 1) for name in self.varied])
        events = []
        for key, branch in branches(self.style, *self.bodies(names, values), self.unit).items():
            here, there = branch.taken[:-1], branch.taken[1:]
            known = np.isfinite(here) & np.isfinite(there) & (names[:-1] == names[1:])
            events += [
                _Event(str(names[k]), key, BreakRule(branch.parting(here[k], there[k]), branch.words), values[k], values[k + 1])
                for k in np.flatnonzero(known & (here != there))
            ]
        while any(self.wide(event) for event in events):
            events = self.closer(events)
        return events

    def wide(self, event: _Event) -> bool:
        return event.high - event.low > NEAR[self.angle[event.measure]]

    def closer(self, events: list[_Event]) -> list[_Event]:
        """The first of `PARTS` parts of each event in which its rule changes its way."""
        stops = np.stack([np.linspace(event.low, event.high, PARTS + 1) for event in events])
        by_key = branches(self.style, *self.bodies(np.repeat([event.measure for event in events], PARTS + 1), stops.ravel()), self.unit)
        result = []
        for number, (event, row) in enumerate(zip(events, stops, strict=True)):
            ways = by_key[event.key].taken.reshape(stops.shape)[number] if event.key in by_key else np.zeros(PARTS + 1)
            first = int(np.argmax(ways[1:] != ways[0]))
            result.append(event._replace(low=row[first], high=row[first + 1]))
        return result

    # ------------------------------------------------------------ which of them matter

    def breaks(self, events: list[_Event]) -> list[GradeBreak]:
        """The changes of way that any place feels, those at one value taken together."""
        if not events:
            return []
        order = list(self.varied)
        events = sorted(events, key=lambda event: (order.index(event.measure), event.low))
        groups: list[list[_Event]] = []
        for event in events:
            last = groups[-1][0] if groups else None
            if last and last.measure == event.measure and event.low - last.low <= 2.0 * NEAR[self.angle[event.measure]]:
                groups[-1].append(event)
            else:
                groups.append([event])
        names = [group[0].measure for group in groups]
        lows, highs = [], []
        for group in groups:  # where a place passes a dart there is a gap in which it has no room
            room = 20.0 * NEAR[self.angle[group[0].measure]] * any(event.rule.words == STRUCTURE for event in group)
            lows.append(min(event.low for event in group) - room)
            highs.append(max(event.high for event in group) + room)
        sound, places = self.sides([*names, *names], [*lows, *highs])
        breaks = []
        for k, group in enumerate(groups):
            if sound[k] and sound[k + len(groups)]:
                grade_break = self.grade_break(
                    group,
                    highs[k] - lows[k],
                    {key: (value[k :: len(groups)], slope[k :: len(groups)]) for key, (value, slope) in places.items()},
                )
                breaks += (
                    [grade_break] if grade_break.slopes or grade_break.leaps or grade_break.below_only or grade_break.above_only else []
                )
        return breaks

    def grade_break(self, group: list[_Event], width: float, places: dict[Place, tuple[Floats, Floats]]) -> GradeBreak:
        measure = group[0].measure
        rules = tuple(dict.fromkeys(event.rule for event in group))
        grade_break = GradeBreak(measure, float(np.mean([(event.low + event.high) / 2.0 for event in group])), rules, {}, {})
        width = math.degrees(width) if self.angle[measure] else width
        for key, (value, slope) in places.items():
            there: Mask = np.isfinite(value[:, 0]) & np.isfinite(value[:, 1])
            if not there.all():
                grade_break.below_only += (key,) if there[0] else ()
                grade_break.above_only += (key,) if there[1] else ()
                continue
            if np.abs(slope[1] - slope[0]).max() > BENDS:
                grade_break.slopes[key] = slope[0], slope[1]
            leap = value[1] - value[0] - width * slope.mean(axis=0)
            if np.abs(leap).max() > LEAPS:
                grade_break.leaps[key] = leap
        return grade_break

    def sides(self, names: Names, values: npt.ArrayLike) -> tuple[Mask, dict[Place, tuple[Floats, Floats]]]:
        """Which of N bodies (as in `bodies`) can be drafted, and (piece, place) -> where it is and its slope, both (N, 2)."""
        names = np.array(names)
        sound = np.zeros(len(names), dtype=bool)
        places: dict[Place, tuple[Floats, Floats]] = {}
        for drafted in draft(self.style, *self.bodies(names, values), self.unit):
            sound[drafted.index] = ~drafted.failed
            here = names[drafted.index]
            ways = {name: np.where(here == name, math.radians(1.0) if self.angle[name] else 1.0, 0.0) for name in self.varied}
            pattern, _, _ = moving(drafted, np.arange(len(here)), ways)
            for key, place in places_of(pattern):
                if key not in places:
                    places[key] = np.full((len(names), 2), np.nan), np.full((len(names), 2), np.nan)
                places[key][0][drafted.index], places[key][1][drafted.index] = plain(place), slope_of(place)
        return sound, places

    # ------------------------------------------------------------ between them

    def stretches(self, breaks: list[GradeBreak]) -> dict[str, Stretch]:
        result: dict[str, Stretch] = {}
        values: list[float] = []
        for measure in self.varied:
            own, (low, high) = self.body[measure], self.ranges[measure]
            at = [grade_break.value for grade_break in breaks if grade_break.measure == measure]
            low = max((value for value in at if value <= own), default=low)
            high = min((value for value in at if value > own), default=high)
            near = NEAR[self.angle[measure]]
            values += [*np.linspace(min(low + near, own), max(high - near, own), SAMPLES), own]
            result[measure] = Stretch(measure, low, high, {}, {})
        sound, places = self.sides(np.repeat(self.varied, SAMPLES + 1), values)
        for key, (_, slope) in places.items():
            drawn = (sound & np.isfinite(slope).all(axis=1)).reshape(len(self.varied), SAMPLES + 1)
            slopes = slope.reshape(len(self.varied), SAMPLES + 1, -1)
            for stretch, some, here in zip(result.values(), slopes, drawn, strict=True):
                if here.any():
                    stretch.least[key], stretch.most[key] = some[here].min(axis=0), some[here].max(axis=0)
        return result
