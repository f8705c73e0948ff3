"""The steps of a plan, copied for the left and the right body of an uneven client.

An uneven client is two bodies that share a centre: the left one is even and has her left side twice, the right one her right
side.  A *side* of the plan is a table from the slots of the plan to those of its copy.  The plan as it is serves the *mean*
body, the measures of the whole.  A step that rests on no measure that differs is there once.  Two rules join the copies:

- A line that ends on the centre ends there for either body where it does for the mean one, so that both halves meet.
- The *whole* is drawn by the mean body's measures too, but what is measured on a half of the garment is the mean of both
  halves, a piece that is opened out is one half of each body, and of a piece that lies across the centre every point is
  drawn by the body of its side.

Slots are filled in the order of the plan, so one pass over it makes all copies.  What nobody asks for is left out afterwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from ..meaning.finds import in_running_order
from ..meaning.kinds import DRAWN, PAIR, PATH, POINT, SHAPE, Kind
from ..meaning.plan import Plan, Step, needed_steps
from ..source.text import Span
from .operations import OPERATIONS

Side = Literal["left", "right"]
SIDES: tuple[Side, Side] = ("left", "right")
MEAN: Literal["mean"] = "mean"
ON_SIDE = "on_side"  # an amount for one side of the body alone


DRAWN_TO = (PATH, SHAPE, PAIR)  # what is drawn to a point on the centre
PLACES = ("place_at_point", "place_along_seam")  # and where on an edge such a point lies


@dataclass(slots=True)
class Joints:
    """What only a drawing tells of how the halves come together: see `uneven`."""

    centre: frozenset[int] = frozenset()  # points on the centre that the bodies would place apart
    onto: Mapping[int, int] = field(default_factory=dict)  # points on lines that end there, and these lines
    across: Mapping[int, str] = field(default_factory=dict)  # points of pieces across the centre -> left, right or mean
    halves: frozenset[int] = frozenset()  # what is drawn of halves
    shared: frozenset[int] = frozenset()  # marks along the centre, which both halves have at one place
    first: Mapping[int, Side] = field(default_factory=dict)  # of what is opened out -> the side of the half that is drawn


def is_drawn(step: Step) -> bool:
    """Whether a step gives something drawn, not a quantity."""
    if step.operation == "shape_dart":
        return step.options["which"] in ("point", "near", "far")
    gives = OPERATIONS[step.operation].gives
    return isinstance(gives, Kind) and gives.word in DRAWN


def gives_point(step: Step) -> bool:
    return OPERATIONS[step.operation].gives is POINT or (step.operation == "shape_dart" and is_drawn(step))


def sided_slots(plan: Plan, sided: frozenset[str]) -> frozenset[int]:
    """All that rests on a measure that differs, or on what is for one side alone."""
    found: set[int] = set()
    for step in plan.steps:
        own = step.operation == ON_SIDE or (step.operation == "measure" and step.options["name"] in sided)
        inner = step.operation == "solve" and any(slot in found for one in step.options["cone"] for slot in one.inputs)
        if own or inner or not found.isdisjoint(step.inputs):
            found.add(step.out)
    return frozenset(found)


def on_one_side(plan_steps: Iterable[Step], side: str) -> tuple[Step, ...]:
    """The steps for one even body: an amount that is for a side is whole, nothing, or for the mean body half of it."""
    return tuple(_settled(step, side) for step in plan_steps)


def _settled(step: Step, side: str) -> Step:
    if step.operation == "solve" and any(one.operation == ON_SIDE for one in step.options["cone"]):
        return step._replace(options={**step.options, "cone": on_one_side(step.options["cone"], side)})
    if step.operation != ON_SIDE:
        return step
    factor = 0.5 if side == MEAN else 1.0 if step.options["side"] == side else 0.0
    return step._replace(operation="scaled", options={"factor": factor})


class SidedSteps:
    """The copies: `side[SIDE]` and `whole` are tables of slots, in which what is there once is not; `emit` adds to them."""

    def __init__(self, plan: Plan, sided: frozenset[str], joints: Joints) -> None:
        self.plan, self.sided, self.joints = plan, sided, joints
        self.slots = plan.slots
        self.steps: list[Step] = []
        self.measures: dict[str, int] = {}
        self._known: dict[Any, int] = {}
        self._filled: dict[int, Step] = {}
        self.rests = sided_slots(plan, sided)
        self.moved: set[int] = set()  # slots that either side fills with something else than its even body has
        self.drawn = frozenset(step.out for step in plan.steps if is_drawn(step))
        self.side: dict[str, dict[int, int]] = {side: {slot: self._slot() for slot in sorted(self.rests)} for side in SIDES}
        self.side[MEAN] = {}
        self.whole: dict[int, int] = {}
        for step in plan.steps:
            self.steps.append(_settled(step, MEAN))
            if step.out in self.rests:
                self._note_moved(step)
                for side in SIDES:
                    self.steps += self._copies(_settled(step, side), side)
                self._add_whole(step)
        for name in (name for name in plan.measures if name in sided):  # in one order, whatever a set has
            for side in SIDES:
                self.measures[f"{side} {name}"] = self.side[side][plan.measures[name]]

    def step(self, slot: int) -> Step:
        """The step that fills a slot."""
        for step in self.steps[len(self._filled) :]:
            self._filled[step.out] = step
        return self._filled[slot]

    def _slot(self) -> int:
        self.slots += 1
        return self.slots - 1

    def emit(self, operation: str, span: Span, *inputs: int, by_name: tuple[str, tuple[int, ...]] | None = None, **options: Any) -> int:
        """The slot of a new step, which is there once."""
        named: tuple[tuple[str, int | None], ...] = ()
        if by_name is not None:
            named, inputs = ((by_name[0], len(by_name[1])),), (*inputs, *by_name[1])
        key = (operation, inputs, named, repr(sorted(options.items())))
        if key not in self._known:
            self._known[key] = self._slot()
            self.steps.append(Step(self._known[key], operation, inputs, options, span, (), named))
        return self._known[key]

    # ------------------------------------------------------------ a body of one side

    def _copies(self, step: Step, side: str) -> list[Step]:
        """A step as a body of one side has it; a point of a line that now ends elsewhere is brought onto it again."""
        copy = self._copy(step, side)
        line = self.joints.onto.get(step.out)
        if line is None:
            return [copy]
        before = self._slot()
        return [copy._replace(out=before), Step(copy.out, "nearest_place", (self.side[side][line], before), {}, step.span)]

    def _copy(self, step: Step, side: str) -> Step:
        table = self.side[side]
        out, inputs = table[step.out], tuple(self._input(step, slot, table) for slot in step.inputs)
        guards = tuple((table.get(slot, slot), outcome) for slot, outcome in step.guards)
        options = step.options
        if step.operation == "measure" and options["name"] in self.sided:
            options = {**options, "name": f"{side} {options['name']}"}
        if step.operation == "solve":
            return self._solve(step, side, out, guards)
        return step._replace(out=out, inputs=inputs, options=options, guards=guards)

    def _note_moved(self, step: Step) -> None:
        inner = step.options["cone"] if step.operation == "solve" else ()
        moved = step.out in self.joints.onto or step.out in self.joints.shared or not self.moved.isdisjoint(step.inputs)
        if moved or any(self._at_centre(one, slot) for one in (step, *inner) for slot in one.inputs):
            self.moved.add(step.out)

    def _at_centre(self, step: Step, slot: int) -> bool:
        """Whether a step is drawn to a point that both bodies have where the mean one has it."""
        return slot in self.joints.centre and (OPERATIONS[step.operation].gives in DRAWN_TO or step.operation in PLACES)

    def of_sides(self) -> dict[int, str]:
        """The side of whose body a slot is, of those that are not there once."""
        mean = dict.fromkeys(self.rests, MEAN)
        return mean | {slot: side for side in SIDES for slot in self.side[side].values()}

    def found(self) -> dict[str, dict[int, int]]:
        """Body -> the finds that it has as its even body has them: slots there, and here."""
        solves = {step.out: step for step in self.plan.steps if step.operation == "solve"}
        kept = {slot for slot in solves if slot not in self.moved}
        nested = {one.out for slot, step in solves.items() if slot not in kept for one in step.options["cone"]}
        tables: dict[str, dict[int, int]] = {MEAN: {slot: slot for slot in solves}}
        for side in SIDES:
            tables[side] = {slot: self.side[side].get(slot, slot) for slot in kept - nested}
        return tables

    def _input(self, step: Step, slot: int, table: Mapping[int, int]) -> int:
        if self._at_centre(step, slot):
            return slot
        if step.out in self.joints.shared and slot not in self.drawn:
            return slot
        return table.get(slot, slot)

    def _solve(self, step: Step, side: str, out: int, guards: tuple[tuple[int, bool], ...]) -> Step:
        """A find is made anew; its trials read the centre from outside."""
        table, options = self.side[side], step.options
        cone = tuple(copy for one in options["cone"] for copy in self._copies(one, side))
        slot, value, target = (table.get(options[name], options[name]) for name in ("slot", "value", "target"))
        inside = {one.out for one in cone} | {slot}
        outer = sorted({read for one in cone for read in one.inputs} | {value, target})
        read = tuple(one for one in outer if one not in inside)
        low, high = (table.get(one, one) for one in step.inputs[:2])
        options = {**options, "cone": cone, "slot": slot, "value": value, "target": target, "outer_slots": read}
        return step._replace(out=out, inputs=(low, high, *read), options=options, guards=guards)

    # ------------------------------------------------------------ the whole

    def _add_whole(self, step: Step) -> None:
        """What the whole has of a step, where that is not what the mean body has."""
        if step.operation == "solve":  # found for the mean body: trials on halves would change nothing of the other two
            return
        left, right = (self.side[side][step.out] for side in SIDES)
        if step.out not in self.drawn and any(slot in self.joints.halves for slot in step.inputs):
            self.whole[step.out] = self.emit("halfway", step.span, left, right)
            return
        if step.operation == "open_out" and step.inputs[0] in self.rests:
            first = self.joints.first.get(step.out, SIDES[0])
            sides = (first, other_side(first))
            inputs = tuple(self.side[side][step.inputs[0]] for side in sides)
        else:
            inputs = tuple(self._of_whole(step, slot) for slot in step.inputs)
        if inputs != step.inputs:
            guards = tuple((self.whole.get(slot, slot), outcome) for slot, outcome in step.guards)
            self.whole[step.out] = self._slot()
            self.steps.append(step._replace(out=self.whole[step.out], inputs=inputs, guards=guards))

    def _of_whole(self, step: Step, slot: int) -> int:
        if OPERATIONS[step.operation].gives is PATH and slot in self.joints.across:
            return self.side[self.joints.across[slot]].get(slot, slot)
        return self.whole.get(slot, slot)

    def needed(self, plan: Plan) -> tuple[Step, ...]:
        """The steps that the pieces of a plan, and what is said of them, rest on, in running order."""
        wanted = set(slots_of(plan))
        steps = {step.out: step for step in self.steps}
        rank = {step.out: number for number, step in enumerate(self.steps)}
        return tuple(needed_steps(in_running_order(steps, rank), wanted))

    def table(self, context: str) -> Mapping[int, int]:
        """The slots of "left", "right", "mean" or "whole"."""
        return self.whole if context == "whole" else self.side[context]


def other_side(side: str) -> Side:
    return SIDES[1] if side == SIDES[0] else SIDES[0]


def slots_of(plan: Plan) -> Iterator[int]:
    """All slots that a plan names besides its steps."""
    yield from plan.measures.values()
    yield from (value.slot for value in plan.values.values())
    yield from (slot for choice in plan.choices.values() for slot in (choice.slot, choice.default, choice.inches) if slot is not None)
    yield from (fork.slot for fork in plan.forks)
    for seam in plan.seams:
        yield from (slot for opening in seam.openings for slot in (opening.start, opening.end))
        yield from () if seam.ease is None else (seam.ease,)
        yield from (match.at for match in seam.matched or ())
        yield from (slot for side in (seam.fitted.gained if seam.fitted is not None else ()) for slot in side if slot is not None)
    yield from (allowance.width for allowance in plan.allowances.values() if allowance.width is not None)
    yield from (slot for rule in plan.requirements for slot in (rule.condition, *(slot for _, slot, _ in rule.figures)))
    yield from plan.level_girths.values()
    yield from (slot for layer in plan.layers for slot in (layer.was, layer.now, layer.length))
    yield from (slot for cloth in plan.cloths for slot in (cloth.width, cloth.repeat) if slot is not None)
    yield from (buttons.size for buttons in plan.buttons)
    for piece in plan.pieces:
        yield from (slot for _, slot in piece.edges)
        for table in (piece.points, piece.levels, piece.widths, piece.intended):
            yield from table.values()
        yield piece.grain
        yield from (slot for both in piece.of_sides.values() for slot in both)
        if piece.halves is not None:
            yield from (piece.halves.folds or ())
            yield from (slot for both in piece.halves.levels.values() for slot in both)
        yield from (slot for mark in (*piece.marks, *piece.tapes) for slot in (mark.path, mark.length) if slot is not None)
        yield from (slot for mark in piece.point_marks for slot in (mark.at, mark.size) if slot is not None)
        yield from (notch.place for notch in piece.notches)
        yield from (slot for _, _, corners, intake in piece.inner for slot in (*corners, intake))
