"""The plan: what a style means for one course of its `when` rules, as a straight list of steps.

A step names an operation of `drafting`, the slots it reads, fixed options, the slot it fills and the rule it came
from.  Slots are filled once; every step reads only slots filled before it.  A plan holds no numbers of any body: it
is run for N bodies at once.  Only a style that was found to be in order has a plan.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple, TypeAlias

from ..source.diagnostics import Diagnostic
from ..source.text import Span
from .cutting import Corner, Cut
from .kinds import Kind

Condition: TypeAlias = tuple[Any, ...]  # a formula, see `conditions`


class Value(NamedTuple):
    """A slot and the kind of what it will hold."""

    slot: int
    kind: Kind


class Step(NamedTuple):
    out: int
    operation: str
    inputs: tuple[int, ...]
    options: dict[str, Any]
    span: Span
    guards: tuple[tuple[int, bool], ...] = ()  # (condition, outcome): it may fail only bodies for whom these hold
    named: tuple[tuple[str, int | None], ...] = ()  # the last inputs, given by name: how many, or None for one by itself

    @property
    def placed(self) -> tuple[int, ...]:
        """The inputs that are given by their place."""
        return self.inputs[: len(self.inputs) - sum(1 if many is None else many for _, many in self.named)]

    def arranged(self, filled: Mapping[int, Any]) -> tuple[list[Any], dict[str, Any]]:
        """What the inputs hold: those given by their place, and those given by name."""
        at = len(self.placed)
        given: dict[str, Any] = {}
        for name, many in self.named:
            values = [filled[slot] for slot in self.inputs[at : at + (1 if many is None else many)]]
            given[name] = values[0] if many is None else values
            at += len(values)
        return [filled[slot] for slot in self.placed], given


class NamedSlot(NamedTuple):
    """A name that the texts have for a slot: of a quantity of the style, of a library or of a rule while it was applied, of a level, or
    of what is drawn; of a parameter, or of a rule, where it was applied."""

    slot: int
    name: str
    sort: str  # measure, choice, quantity, part, level, point, edge (as it is first drawn), parameter, rule
    owner: str  # the piece whose name it is
    span: Span  # the statement that gives it; of a rule the place where it is applied


class DartRow(NamedTuple):
    """One dart of a step that sets darts: its near and far foot, its point and its intake are inputs, then the level it is held to."""

    name: str
    press: str  # the end of its edge toward which it is pressed: "start" or "end"
    span: Span
    held_to: str | None  # level
    feet: tuple[str, str] | None  # the two places that the rule names for its feet, the first as the edge is drawn before the other
    held_row: Span | None = None  # where it says to which level it is held
    point_row: Span | None = None  # where it says where its point is


class Choice(NamedTuple):
    """A length, count or yes/no that the wearer or cutter may set."""

    name: str
    kind: Kind
    slot: int
    text: str
    span: Span
    default: int  # slot
    inches: int | None = None  # slot of its default for who works in inches, where it has one of its own

    def usual(self, in_inches: bool) -> int:
        """The slot of the default that counts for those who work in inches, or for those who do not."""
        return self.inches if in_inches and self.inches is not None else self.default


class Requirement(NamedTuple):
    condition: int
    message: str
    span: Span
    severity: str  # error for `require`, caution for `caution` (whose condition is the caution's occasion)
    figures: tuple[tuple[str, int, Kind], ...]  # the compared quantities, as written, for the message
    used: Span | None = None  # where the style applies the check that says this


class OpeningPlan(NamedTuple):
    """A stretch of a seam that is left open: slots of how far along the first edge, as sewn, either end lies."""

    start: int
    end: int
    span: Span
    side: str = ""  # "left" or "right", where one side of the body alone has it


class MatchPlan(NamedTuple):
    """A place on a side of a seam: the (piece, edge) that it lies on, and the slot of how far along that, as sewn."""

    edge: tuple[str, str]
    at: int


class FittedPlan(NamedTuple):
    """What fittings did to a seam: slots of how much longer each edge of either side has become, None of those that none touched."""

    gained: tuple[tuple[int | None, ...], tuple[int | None, ...]]
    said: tuple[Span, ...]


class LayerPlan(NamedTuple):
    """An edge that a fitting moves or cuts off, and one of another layer that was the same: slots of what the first was long, what it is
    now, and what the other is."""

    moved: tuple[str, str]
    layer: tuple[str, str]
    was: int
    now: int
    length: int
    span: Span
    line: str  # the fitting as it would move both; empty of an edge beside the one that is moved


class SeamPlan(NamedTuple):
    one: tuple[tuple[str, str], ...]
    other: tuple[tuple[str, str], ...]
    ease: int | None
    kind: str
    span: Span
    counts: tuple[tuple[int | None, ...], tuple[int | None, ...]] = ((), ())  # of either side: in how many of the pieces; None: in all
    openings: tuple[OpeningPlan, ...] = ()
    pressed: str = ""  # "open", or toward a piece; nothing where the style does not say
    notched: bool = True  # False: no notches come by themselves
    matched: tuple[MatchPlan, MatchPlan] | None = None  # places of one side and of the other that lie on each other
    centred: bool = False  # from centre to centre, of a left and a right piece
    fitted: FittedPlan | None = None


class Anchor(NamedTuple):
    """What a step of making up comes after or before: another such step, or all that is done at some edges or darts."""

    step: str  # its name, that of a piece's step with the piece before it; empty where places are meant
    places: tuple[tuple[str, str], ...]  # (piece, edge or dart)
    span: Span


ALL_BONES = "bones"  # in a step of making up: all bones of a piece


class OwnStep(NamedTuple):
    """A step of making up that the style words itself."""

    name: str  # with its piece before it, where a piece says it; empty where it has none
    piece: str  # that says it; empty for the style itself
    words: str
    places: tuple[tuple[str, str], ...]  # (piece, edge or dart) that it works on
    onto: tuple[tuple[str, str], ...]  # the edges that these are laid on and fastened to
    after: tuple[Anchor, ...]
    before: tuple[Anchor, ...]
    span: Span


class AllowancePlan(NamedTuple):
    edge: str
    width: int | None
    kind: str
    span: Span
    unnamed: bool = False  # from the row of `others`, before which a house's own allowances go


class MarkPlan(NamedTuple):
    kind: str
    name: str
    path: int
    note: str
    length: int | None
    span: Span
    edge: str = ""  # that it lies along: of a zip
    one: bool = False  # of a buttonhole: whether one alone of the pieces that are cut has it
    side: str = ""  # "left" or "right", where one side of the body alone has it


class PointMarkPlan(NamedTuple):
    """A place marked with a sign: kind, name and words as in `pattern.PointMark`."""

    kind: str
    name: str
    words: str
    at: int
    size: int | None  # of a button
    one: bool  # whether one alone of the pieces that are cut has it
    span: Span
    side: str = ""  # "left" or "right", where one side of the body alone has it


class ClothPlan(NamedTuple):
    """Cloth that a style states: what for (nothing said: the garment's outside), how wide, whether it has a nap, and what is matched."""

    purpose: str
    width: int
    nap: bool
    span: Span
    repeat: int | None = None  # slot of the length after which stripes or checks come again
    checked: bool = False  # across the cloth as well


class ButtonsPlan(NamedTuple):
    number: int
    size: int
    words: str
    span: Span


class NotchPlan(NamedTuple):
    edge: str
    name: str
    place: int
    span: Span


class HalvesPlan(NamedTuple):
    """Of a whole piece whose halves differ: the side of the body that its drawing has where x is greater; the folds of the half that is
    drawn and of the other, where it was opened out of two; and of levels that lie at another depth on the left than on the right, both."""

    drawn: str
    folds: tuple[int, int] | None = None
    levels: Mapping[str, tuple[int, int]] = {}


@dataclass(slots=True)
class PiecePlan:
    name: str
    title: str
    span: Span
    edges: tuple[tuple[str, int], ...]
    cut: Cut
    points: dict[str, int]
    grain: int
    levels: dict[str, int]
    widths: dict[str, int]
    intended: dict[str, int]
    marks: list[MarkPlan] = field(default_factory=list)
    tapes: list[MarkPlan] = field(default_factory=list)  # told by the length of an edge, never drawn
    notches: list[NotchPlan] = field(default_factory=list)
    inner: tuple[tuple[str, Span, tuple[int, ...], int], ...] = ()  # double-pointed darts: name, rule, four points, intake
    issued: bool = True  # False for a foundation: drafted and judged, never cut
    source: str = ""  # the piece or foundation that it is made from; its own name if it is drawn and changed at once
    told: dict[str, str] = field(default_factory=dict)  # level -> how its line on the piece is got, in words
    followed: dict[str, tuple[str, ...]] = field(
        default_factory=dict
    )  # level -> the edges of the outline along which it is said to run
    corners: dict[str, str] = field(default_factory=dict)  # edge of the outline -> the point at which it begins
    worn: str = ""  # "front", "back", or where the style does not say, nothing
    point_marks: list[PointMarkPlan] = field(default_factory=list)
    side: str = ""  # "left" or "right", where the style says for which the piece is as drawn
    half: bool = False  # whether it is drawn for one side of the body
    mirrored: bool = False  # whether it is drawn the other way round than what it is made from
    of_sides: dict[str, tuple[int, int]] = field(default_factory=dict)  # level -> what of its width lies at the left and at the right
    halves: HalvesPlan | None = None


class Expectation(NamedTuple):
    """One printed figure of a worked example: slots of the value and the target, and how exact it was written."""

    values: tuple[int, ...]
    targets: tuple[int, ...]
    tolerance: float
    within: int | None
    words: str
    kind: Kind
    span: Span


class Example(NamedTuple):
    source: str
    given: tuple[tuple[str, int, Span], ...]  # measure or choice -> slot of its value
    expectations: tuple[Expectation, ...]
    span: Span
    wrong: tuple[Diagnostic, ...] = ()  # what cannot be read of it in this course


class Fork(NamedTuple):
    """A place where the style takes one course or another: a `when` with statements, or a count of darts.

    Outcomes are kept by the question: forks of one question take one course."""

    key: tuple[str, int, str]  # file, offset, and the piece it is read for ("" in the style itself)
    slot: int
    kind: str  # "when" or "count"
    span: Span
    question: Condition  # what is asked of the body, wherever it is written
    outcome: bool | int  # the one of this course
    answered: bool  # whether constants, or the outcomes of other forks of the course, settle it


@dataclass(slots=True)
class Plan:
    name: str
    title: str
    version: str
    prose: str
    steps: tuple[Step, ...]
    slots: int
    measures: dict[str, int]
    choices: dict[str, Choice]
    values: dict[str, Value]  # named quantities of the style, for the record
    forks: tuple[Fork, ...]
    pieces: tuple[PiecePlan, ...]
    seams: tuple[SeamPlan, ...]
    allowances: dict[tuple[str, str], AllowancePlan]
    corners: dict[str, tuple[Corner, ...]]
    requirements: tuple[Requirement, ...]
    examples: tuple[Example, ...]
    level_order: tuple[str, ...]
    level_girths: dict[str, int]  # level -> slot of the body's own girth there
    cloths: tuple[ClothPlan, ...] = ()
    buttons: tuple[ButtonsPlan, ...] = ()
    meant: frozenset[tuple[str, str]] = frozenset()  # (piece, edge that begins there or dart) where a corner is meant
    unmarked: frozenset[str] = frozenset()  # levels that are only for construction: no paper shows them
    own_steps: tuple[OwnStep, ...] = ()
    uneven: bool = False  # whether it is that of a body whose sides differ: its pieces have been parted by side
    layers: tuple[LayerPlan, ...] = ()  # that may lie on a fitted edge and do not follow it
    once: dict[str, frozenset[str]] = field(default_factory=dict)  # level -> pieces whose line of it others count, across a seam
    names: tuple[NamedSlot, ...] = ()
    constants: dict[int, Kind] = field(default_factory=dict)  # slot of a constant -> its kind


def needed_steps(steps: Sequence[Step], slots: Iterable[int]) -> list[Step]:
    """The steps, in order, on which the given slots depend."""
    needed_slots = set(slots)
    needed = []
    for step in reversed(steps):
        if step.out in needed_slots:
            needed.append(step)
            needed_slots.update(step.inputs)
    needed.reverse()
    return needed
