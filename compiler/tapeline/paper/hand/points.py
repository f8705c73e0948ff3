"""Points of a plan as a drafter sets them out: each by the move of its own rule, with rounded figures.

`Setting` keeps the points of one piece on the drafting sheet: where they truly lie, and where they come to lie when they
are drawn from the rounded figures.  A rule's moves are followed back through the plan's steps to points that have a name.
A move that no ruler can carry out, or that brings a point further from its place than the ruler's least figure, gives way
to figures across and down from a point that is drawn already; these are taken from where that point came to lie, so that
roundings do not add up.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from fractions import Fraction
from itertools import count
from string import ascii_uppercase
from typing import NamedTuple, TypeAlias, cast

import numpy as np

from ...drafting import darts, places, shapes, stretches
from ...drafting.operations import OPERATIONS
from ...geometry.arrays import Floats
from ...meaning.plan import PiecePlan, Step
from ..house.work import Work
from .measure import WAYS, Ruler, across, along_way, unit
from .reckoning import Reckoning
from .section import Aims, HandSection, PointKey, place_key
from .words import BASE, LINE, MOVE

SAME = 0.01  # mm; places nearer than this are one
SIDES = {"above": (0.0, -1.0), "below": (0.0, 1.0), "left": (-1.0, 0.0), "right": (1.0, 0.0)}
AFRESH = "set out afresh, so that roundings do not add up"
KEPT = "rounded so that girths and seams come out"


class NoDirections(Exception):
    """This step cannot be set out with ruler and tape."""


PointElsewhere: TypeAlias = tuple[str, str, Floats]  # the piece that has a point, its name there, and where it came to lie


class Elsewhere:
    """The points that the pieces told before have, by their slots; it notes what it is asked for."""

    def __init__(self, points: Mapping[int, PointElsewhere]) -> None:
        self._points = points
        self.asked: dict[int, PointElsewhere | None] = {}

    def __contains__(self, slot: int) -> bool:
        self.asked[slot] = self._points.get(slot)
        return slot in self._points

    def __getitem__(self, slot: int) -> PointElsewhere:
        return self._points[slot]


MOVED = 0.1  # of the ruler's least figure; what a foot has moved by before it is told
NEARLY = 0.3  # of the ruler's least figure; how near a move brings a point to where it is to come to lie


class Directions(NamedTuple):
    """A base with moves, and where they lead when drawn from the rounded figures."""

    base: str
    moves: tuple[str, ...]
    at: Floats
    remark: str = ""

    def then(self, words: str, by: Floats, remark: str = "") -> Directions:
        return Directions(self.base, (*self.moves, words) if words else self.moves, self.at + by, joined(self.remark, remark))

    @property
    def words(self) -> str:
        return ", ".join([self.base, *self.moves])


def joined(*remarks: str) -> str:
    """Remarks in a row, each once."""
    return "; ".join(dict.fromkeys(filter(None, remarks)))


class Setting:
    """Points of one piece; `add(name, words, remark)` is called with each as it is set out."""

    def __init__(
        self,
        work: Work,
        piece_plan: PiecePlan,
        rule: Ruler,
        elsewhere: Elsewhere,
        add: Callable[[str, str, str], None],
        alone: bool,
        aims: Aims,
        source: HandSection | None = None,
    ) -> None:
        self.work, self.index, self.rule, self.add = work, work.index, rule, add
        self.source = source  # the section of the piece that this one is made from
        self.alone = alone  # a changed piece has a start of its own, and shares no points with others
        self.reckoned = Reckoning(work, rule).of
        self.steps = {step.out: step for step in work.plan.steps}
        self.plan, self.elsewhere, self.aims = piece_plan, elsewhere, aims
        self.own: dict[int, str] = {}
        for name, slot in piece_plan.points.items():
            self.own.setdefault(slot, name)
        self.used_names = {name for piece in work.plan.pieces for name in piece.points}
        self.true: dict[str, Floats] = {}
        self.drawn: dict[str, Floats] = {}
        self.owners: dict[str, PointKey] = {}  # where each point is set out
        self.starts: set[str] = set()  # points that all others are set out from
        self.names: dict[int, str] = {}
        self.traced: dict[str, list[str]] = {}  # piece -> points taken over from it
        self.levels: dict[str, float] = {}  # level -> its depth as drawn
        self._open: set[int] = set()

    # ------------------------------------------------------------ values

    def place(self, slot: int) -> Floats:
        return np.asarray(cast(Floats, self.work.run.filled[slot])[self.index], dtype=float)

    def value(self, slot: int) -> float:
        return self.work.value(slot)

    def show(self, mm: float) -> str:
        return self.rule.show(mm)

    # ------------------------------------------------------------ points

    def need(self, slot: int) -> str:
        """The name of a point, set out now if it was not before."""
        if slot in self.names:
            return self.names[slot]
        if slot in self.elsewhere and not self.alone:
            piece, name, drawn = self.elsewhere[slot]
            own = self.own.get(slot)
            label = name if own == name else f"{piece}.{name}"
            if label in self.drawn:
                label = f"{piece}.{name}"
            self.traced.setdefault(piece, []).append(label)
            self.names[slot], self.true[label], self.drawn[label] = label, self.place(slot), drawn
            self.owners[label] = (piece, name)
            return label
        if (traced := self.traced_at(self.place(slot))) is not None:
            self.names[slot] = traced
            return traced
        if slot in self._open or not np.isfinite(self.place(slot)).all():
            raise NoDirections
        self._open.add(slot)
        label = self.own.get(slot) or self.new_name()
        directions = self._best(slot)
        self.set_out(label, directions, self.place(slot))
        self.names[slot] = label
        self._open.discard(slot)
        return label

    def set_out(self, label: str, directions: Directions, true: Floats) -> None:
        self.true[label], self.drawn[label], self.owners[label] = true, directions.at, (self.plan.name, label)
        if directions.base == self.rule.say(BASE["start"]):
            self.starts.add(label)
        self.add(label, directions.words, directions.remark)

    def new_name(self) -> str:
        """The next letter that no point is called by; after Z comes A1."""
        names = (f"{letter}{round_ or ''}" for round_ in count() for letter in ascii_uppercase)
        return next(name for name in names if name not in self.used_names and name not in self.drawn)

    def traced_at(self, place: Floats) -> str | None:
        """The name of a point that is traced with the piece that this one is made from, where that has one at a place."""
        if self.source is None:
            return None
        for name, true in self.source.true.items():
            if np.hypot(*(true - place)) < SAME:
                own = any(self.own[slot] == name and np.hypot(*(self.place(slot) - place)) < SAME for slot in self.own)
                label = name if own or "." in name else f"{self.source.name}.{name}"
                if label not in self.drawn:
                    self.traced.setdefault(self.source.name, []).append(label)
                    self.true[label], self.drawn[label] = true, self.source.drawn[name]
                    self.owners[label] = self.source.owners[name]
                return label
        return None

    def at(self, place: Floats, base: str | None = None, remark: str = "") -> str:
        """The name of the point at a place; a new one, by figures from `base`, where none is named there."""
        for label, true in self.true.items():
            if np.hypot(*(true - place)) < SAME:
                return label
        if (traced := self.traced_at(place)) is not None:
            return traced
        for slot in sorted(self.own):
            if np.hypot(*(self.place(slot) - place)) < SAME:
                return self.need(slot)
        label = self.new_name()
        self.set_out(label, self.by_figures(self.aim(place), base, remark), place)
        return label

    def known(self, place: Floats) -> bool:
        """Whether a point with a name is at a place."""
        traced = self.source.true.values() if self.source is not None else ()
        here = [*self.true.values(), *traced, *map(self.place, self.own)]
        return any(np.hypot(*(true - place)) < SAME for true in here)

    def beside(self, place: Floats, base: str, apart: Floats) -> str:
        """A new point at a place, so far from another as two points are apart that were drawn."""
        label = self.new_name()
        self.set_out(label, self.by_figures(self.drawn[base] + apart, base), place)
        return label

    def aim(self, true: Floats) -> Floats:
        """Where a point is to come to lie: where it belongs, or where it was moved to keep a girth or a seam."""
        return self.aims.get(place_key(self.plan.name, true), true)

    def by_figures(self, true: Floats, base: str | None = None, remark: str = "") -> Directions:
        """Across and down from where a point came to lie that is drawn already, by default the nearest."""
        if base is None and self.drawn:
            base = min(self.drawn, key=lambda label: float(np.hypot(*(self.drawn[label] - true))))
        if base is not None:
            directions = Directions(self.rule.say(BASE["point"]).format(base), (), self.drawn[base], remark)
        elif self.levels:
            level, depth = next(iter(self.levels.items()))
            directions = Directions(self.rule.say(BASE["level_line"]).format(level), (), np.array([0.0, depth]), remark)
        else:
            directions = Directions(self.rule.say(BASE["start"]), (), true if self.alone else np.zeros(2), remark)
        return self._by_ways(directions, true - directions.at)

    def _by_ways(self, directions: Directions, v: Floats, remark: str = "") -> Directions:
        for amount, (more, less) in zip(v, (("right", "left"), ("down", "up")), strict=True):
            length = self.rule.round(float(amount))
            if length:
                way = more if length > 0 else less
                directions = directions.then(
                    self.rule.say(MOVE["way"]).format(way=self.rule.say(way), length=self.show(abs(length))),
                    abs(length) * np.array(WAYS[way]),
                    remark,
                )
        return directions

    def _best(self, slot: int) -> Directions:
        """The rule's own move, or figures where it cannot be said or leads further off than the ruler's least figure."""
        true = self.place(slot)
        aim = self.aim(true)
        try:
            directions = self.directions(slot, top=True)
        except NoDirections:
            return self.by_figures(aim)
        if np.hypot(*(directions.at - aim)) <= (self.rule.step if aim is true else NEARLY * self.rule.step):
            return directions
        return self.by_figures(aim, remark=self.rule.say(AFRESH) if aim is true else joined(directions.remark, self.rule.say(KEPT)))

    def directions(self, slot: int, top: bool = False) -> Directions:
        if not top and (slot in self.own or slot in self.names or slot in self.elsewhere):
            label = self.need(slot)
            return Directions(self.rule.say(BASE["point"]).format(label), (), self.drawn[label])
        step = self.steps[slot]
        by_hand = OPERATIONS[step.operation].instruction
        if by_hand is None:
            raise NoDirections
        directions: Directions = by_hand(self, step)
        return directions

    # ------------------------------------------------------------ lines to meet and to square from

    def line(self, point: int, direction: int) -> tuple[str, Floats, Floats]:
        """(words, a place, a direction) of a straight line."""
        step = self.steps[direction]
        if step.operation == "fixed_direction":
            label = self.need(point)
            kind = "level" if step.options["dx"] else "plumb"
            return (
                self.rule.say(LINE[kind]).format(label),
                self.drawn[label],
                np.array([step.options["dx"], step.options["dy"]], dtype=float),
            )
        if step.operation == "direction_between":
            a, b = (self.need(slot) for slot in step.inputs)
            return self.rule.say(LINE["between"]).format(a, b), self.drawn[a], self.drawn[b] - self.drawn[a]
        if step.operation == "halving_direction":
            names, halving = self.halving(step)
            return self.rule.say(LINE["halving"]).format(*names), self.drawn[names[0]], halving
        raise NoDirections

    def halving(self, step: Step) -> tuple[list[str], Floats]:
        """The corner of an angle and a point on either side of it, and the direction that halves the angle as drawn."""
        sides = [self.steps[slot] for slot in step.inputs]
        names = [self.need(slot) for slot in (sides[0].inputs[0], *(side.inputs[1] for side in sides))]
        corner, *ends = (self.drawn[name] for name in names)
        return names, sum((unit(end - corner) for end in ends), np.zeros(2))


# ------------------------------------------------------------ how each operation is said


@places.origin.by_hand
def _origin(hand: Setting, step: Step) -> Directions:
    if hand.alone:
        raise NoDirections
    return Directions(hand.rule.say(BASE["start"]), (), np.zeros(2))


@places.shift.by_hand
def _shift(hand: Setting, step: Step) -> Directions:
    directions, length = hand.directions(step.inputs[0]), hand.rule.round(hand.value(step.inputs[1]))
    by = np.array([step.options["dx"], step.options["dy"]], dtype=float) * length
    if not length:
        return directions
    way = next(way for way, v in WAYS.items() if by @ np.array(v) > 0)
    return directions.then(
        hand.rule.say(MOVE["way"]).format(way=hand.rule.say(way), length=hand.show(abs(length))), by, hand.reckoned(step.inputs[1])
    )


@places.toward_part.by_hand
def _toward_part(hand: Setting, step: Step) -> Directions:
    a, b = (hand.need(slot) for slot in step.inputs[:2])
    part, start, way = hand.value(step.inputs[2]), hand.drawn[a], hand.drawn[b] - hand.drawn[a]
    simple = Fraction(part).limit_denominator(12)
    if 0 < part < 1 and abs(simple - part) < 1e-9:
        words = (
            hand.rule.say(BASE["half"]).format(a, b)
            if simple == Fraction(1, 2)
            else hand.rule.say(BASE["part"]).format(a, b, part=simple)
        )
        return Directions(words, (), start + way * float(simple))
    length = hand.rule.round(part * float(np.hypot(*(hand.true[b] - hand.true[a]))))
    return _toward(hand, Directions(hand.rule.say(BASE["point"]).format(a), (), start), b, length)


@places.toward_length.by_hand
def _toward_length(hand: Setting, step: Step) -> Directions:
    b = hand.need(step.inputs[1])
    length = hand.rule.round(hand.value(step.inputs[2]))
    return _toward(hand, hand.directions(step.inputs[0]), b, length, hand.reckoned(step.inputs[2]))


def _toward(hand: Setting, directions: Directions, label: str, length: float, remark: str = "") -> Directions:
    if not length:
        return directions
    kind = "toward" if length > 0 else "away"
    by = unit(hand.drawn[label] - directions.at) * length
    return directions.then(hand.rule.say(MOVE[kind]).format(label, length=hand.show(abs(length))), by, remark)


@places.shift_square.by_hand
def _shift_square(hand: Setting, step: Step) -> Directions:
    directions, turn = hand.directions(step.inputs[0]), hand.steps[step.inputs[1]]
    length = hand.rule.round(hand.value(step.inputs[2]))
    between = hand.steps[turn.inputs[0]] if turn.operation == "quarter_turn" else turn
    if turn.operation != "quarter_turn" or between.operation != "direction_between":
        return hand._by_ways(directions, hand.place(step.out) - hand.place(step.inputs[0]), hand.rule.say("square to the edge there"))
    if not length:
        return directions
    a, b = (hand.need(slot) for slot in between.inputs)
    intended = np.array([step.options["dx"], step.options["dy"]]) * math.copysign(1.0, length)
    way = next(way for way, v in WAYS.items() if intended @ np.array(v) > 0.5)
    by = unit(along_way(across(hand.drawn[b] - hand.drawn[a]), way)) * abs(length)
    return directions.then(
        hand.rule.say(MOVE["square"]).format(a, b, way=hand.rule.say(way), length=hand.show(abs(length))),
        by,
        hand.reckoned(step.inputs[2]),
    )


@places.shift_along.by_hand
def _shift_along(hand: Setting, step: Step) -> Directions:
    """A place on the line that halves an angle."""
    names, direction = hand.halving(hand.steps[step.inputs[1]])
    length = hand.rule.round(hand.value(step.inputs[2]))
    if length <= 0.0:
        raise NoDirections
    words = hand.rule.say(BASE["halving"]).format(*names, length=hand.show(length))
    return Directions(words, (), hand.drawn[names[0]] + unit(direction) * length)


@stretches.path_end.by_hand
def _path_end(hand: Setting, step: Step) -> Directions:
    """The end of an edge that is carried on: by figures."""
    line = hand.steps[step.inputs[0]]
    length = hand.show(hand.value(line.inputs[1]))
    return hand.by_figures(hand.place(step.out), remark=hand.rule.say("{0} carried on by {1}").format(line.options["edge"], length))


@places.shift_angle.by_hand
def _shift_angle(hand: Setting, step: Step) -> Directions:
    by = hand.place(step.out) - hand.place(step.inputs[0])
    angle, length = math.degrees(hand.value(step.inputs[1])), hand.value(step.inputs[2])
    return hand._by_ways(
        hand.directions(step.inputs[0]), by, hand.rule.say("{0} at {1} deg").format(hand.show(abs(length)), f"{angle:g}")
    )


@places.meet_lines.by_hand
def _meet_lines(hand: Setting, step: Step) -> Directions:
    first, p, d = hand.line(*step.inputs[:2])
    second, q, e = hand.line(*step.inputs[2:])
    slope = d[0] * e[1] - d[1] * e[0]
    if abs(slope) < 0.05 * np.hypot(*d) * np.hypot(*e):
        raise NoDirections
    w = q - p
    return Directions(hand.rule.say(BASE["lines"]).format(first=first, second=second), (), p + d * (w[0] * e[1] - w[1] * e[0]) / slope)


@places.foot_on_line.by_hand
def _foot_on_line(hand: Setting, step: Step) -> Directions:
    label = hand.need(step.inputs[0])
    line, p, d = hand.line(*step.inputs[1:])
    way = unit(d)
    return Directions(hand.rule.say(BASE["foot"]).format(label, line=line), (), p + way * float((hand.drawn[label] - p) @ way))


@places.meet_tape_line.by_hand
def _meet_tape_line(hand: Setting, step: Step) -> Directions:
    centre, radius = hand.need(step.inputs[0]), hand.rule.round(hand.value(step.inputs[1]))
    line, p, d = hand.line(*step.inputs[2:])
    way, c = unit(d), hand.drawn[centre]
    foot = p + way * float((c - p) @ way)
    rise = radius**2 - float((c - foot) @ (c - foot))
    if rise <= 0:
        raise NoDirections
    at = foot + math.sqrt(rise) * along_way(way, _way(step.options["side"]))
    words = hand.rule.say(BASE["tape_line"]).format(
        centre, radius=hand.show(radius), line=line, side=hand.rule.say(step.options["side"])
    )
    return Directions(words, (), at, hand.reckoned(step.inputs[1]))


@places.meet_tapes.by_hand
def _meet_tapes(hand: Setting, step: Step) -> Directions:
    a, b = hand.need(step.inputs[0]), hand.need(step.inputs[2])
    r, s = hand.value(step.inputs[1]), hand.value(step.inputs[3])
    directions = _tapes(hand, a, r, b, s, step.options["side"])
    return directions._replace(remark=joined(hand.reckoned(step.inputs[1]), hand.reckoned(step.inputs[3])))


@places.swing.by_hand
def _swing(hand: Setting, step: Step) -> Directions:
    """A swung point: with one tape from the centre and one from where it was."""
    a, c = (hand.need(slot) for slot in step.inputs[:2])
    true = hand.place(step.out)
    radius, chord = (float(np.hypot(*(true - hand.true[label]))) for label in (c, a))
    normal = across(hand.true[a] - hand.true[c])
    off = (true - hand.true[c]) @ normal
    if abs(off) < 0.05 * radius * radius:
        raise NoDirections
    normal = normal * math.copysign(1.0, off)
    side = max(SIDES, key=lambda side: float(normal @ np.array(SIDES[side])))
    return _tapes(hand, c, radius, a, chord, side)._replace(remark=hand.rule.say("{0} swung about {1}").format(a, c))


def _tapes(hand: Setting, a: str, r: float, b: str, s: float, side: str) -> Directions:
    r, s = hand.rule.round(r), hand.rule.round(s)
    p, q = hand.drawn[a], hand.drawn[b]
    apart = float(np.hypot(*(q - p)))
    along = (apart**2 + r**2 - s**2) / (2 * apart) if apart > SAME else 0.0
    rise = r**2 - along**2
    if rise <= 0:
        raise NoDirections
    way = unit(q - p)
    at = p + along * way + math.sqrt(rise) * along_way(across(way), _way(side))
    return Directions(
        hand.rule.say(BASE["tapes"]).format(a, b, radius=hand.show(r), other=hand.show(s), side=hand.rule.say(side)), (), at
    )


def _way(side: str) -> str:
    return {"above": "up", "below": "down"}.get(side, side)


@places.place.by_hand
def _by_level(hand: Setting, step: Step) -> Directions:
    """A point of a piece drawn by level: on its level's line, so far from the centre line, dipped or raised."""
    label = hand.own.get(step.out, "")
    level = label.rsplit("_", 1)[0]
    if level not in hand.levels:
        raise NoDirections
    true = hand.place(step.out)
    aim = hand.aim(true)
    base = np.array([0.0, hand.levels[level]])
    width, depth = step.inputs
    remark = joined(
        hand.reckoned(width),
        hand.reckoned(depth) if not hand.levels[level] else "",
        "" if aim is true else hand.rule.say(KEPT),
    )
    return hand._by_ways(Directions(hand.rule.say(BASE["level_line"]).format(level), (), base, remark), aim - base)


@places.along_length.by_hand
@places.along_part.by_hand
def _on_edge(hand: Setting, step: Step) -> Directions:
    """A place on an edge: on a straight one from its end, elsewhere by figures."""
    guide = hand.steps[step.inputs[0]]
    if guide.operation != "draw_line" or len(guide.inputs) != 2:
        raise NoDirections
    a, b = (hand.need(slot) for slot in (guide.inputs[::-1] if step.options["backward"] else guide.inputs))
    if step.operation == "along_part":
        part = hand.value(step.inputs[1])
        if abs(part - 0.5) < 1e-9:
            return Directions(hand.rule.say(BASE["half"]).format(a, b), (), (hand.drawn[a] + hand.drawn[b]) / 2)
    length = float(np.hypot(*(hand.place(step.out) - hand.true[a])))
    return _toward(hand, Directions(hand.rule.say(BASE["point"]).format(a), (), hand.drawn[a]), b, hand.rule.round(length))


def _intake(hand: Setting, step: Step, apart: float) -> str:
    """What the rule of a dart says of its intake, where its edge was drawn with it, and how far its feet are `apart` where they moved."""
    source = hand.steps[step.inputs[0]]
    at = 1
    for row in source.options.get("darts", ()):
        if row.name == step.options["name"]:
            words, intake = hand.reckoned(source.inputs[at + 3]), hand.value(source.inputs[at + 3])
            moved = abs(apart - intake) > MOVED * hand.rule.step
            return (
                f"{words}; "
                + hand.rule.say("its feet {0} apart when its legs are even").format(hand.rule.house.show(apart, hand.rule.unit))
                if words and moved
                else words
            )
        at += 4 if row.held_to is None else 5
    return ""


@darts.dart_foot.by_hand
@shapes.shape_dart.by_hand
def _far_foot(hand: Setting, step: Step) -> Directions:
    """The far foot of a dart, from its near one by the pattern's own figures, so that like darts have like figures."""
    if step.options["which"] != "far":
        raise NoDirections
    for slot in hand.own:
        near_step = hand.steps[slot]
        if (
            near_step.operation == step.operation
            and near_step.inputs == step.inputs
            and near_step.options == {**step.options, "which": "near"}
        ):
            label = hand.need(slot)
            directions = Directions(hand.rule.say(BASE["point"]).format(label), (), hand.drawn[label])
            place = hand.place(step.out)
            aim = hand.aim(place)
            directions = directions._replace(
                remark=joined(
                    _intake(hand, step, float(np.hypot(*(place - hand.true[label])))), "" if aim is place else hand.rule.say(KEPT)
                )
            )
            return hand._by_ways(directions, aim - (hand.true[label] if aim is place else hand.drawn[label]))
    raise NoDirections
