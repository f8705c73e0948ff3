"""The operations that plans are made of, one record each.

An operation is a function `(run, *inputs, **options)` over N bodies at once; its name in a plan is its name here.
`run.n` is N, `run.fail(bodies, ...)` records a failure of some bodies at the step's rule.  Comparisons with NaN are
false, so masks are written such that a body that has failed before is not reported again.

The record says beside this work which kinds the operation takes and gives, how it is carried out over boxes of bodies
(`geometry/intervals.py`), which claims its steps make that can be proved, what a rule that goes several ways is called, and
how a drafter does it by hand, which the room of the hand drafting sheet adds (`by_hand`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, NamedTuple, TypeVar

import numpy as np

from ..geometry.arrays import Floats, Indices
from ..meaning.kinds import ANGLE, Kind, is_quantity
from ..meaning.plan import Step

# ------------------------------------------------------------------------------------------ kinds taken and given

Fits = Callable[[Kind, Sequence[Kind]], bool]  # a kind, and those of all the inputs
InputKind = Kind | Fits
OutputKind = Kind | Callable[[Sequence[Kind]], Kind] | None  # None: any kind, as the plan says


def any_quantity(kind: Kind, kinds: Sequence[Kind]) -> bool:
    """A number, a length, an area or an angle."""
    return is_quantity(kind) or kind is ANGLE


def any_value(kind: Kind, kinds: Sequence[Kind]) -> bool:
    """A quantity or a condition."""
    return any_quantity(kind, kinds) or kind.word == "condition"


def any_kind(kind: Kind, kinds: Sequence[Kind]) -> bool:
    return True


def like_first(kind: Kind, kinds: Sequence[Kind]) -> bool:
    """Of the kind of the first input."""
    return kind == kinds[0]


def like_last(kind: Kind, kinds: Sequence[Kind]) -> bool:
    """Of the kind of the last input."""
    return kind == kinds[-1]


def _fits(taken: InputKind, kind: Kind, kinds: Sequence[Kind]) -> bool:
    return kind == taken if isinstance(taken, Kind) else taken(kind, kinds)


def one_of(*wanted: Kind) -> Fits:
    return lambda kind, kinds: kind in wanted


def same(kinds: Sequence[Kind]) -> Kind:
    """What is given is of the kind of the first input."""
    return kinds[0]


def last(kinds: Sequence[Kind]) -> Kind:
    """What is given is of the kind of the last input."""
    return kinds[-1]


# ------------------------------------------------------------------------------------------------------- claims


class Term(NamedTuple):
    """A slot with a factor: of a quantity, of the length of an edge, or of how far down a point lies."""

    slot: int
    factor: float = 1.0
    part: str = ""  # "", length, y


Test = Literal[
    "true", "not zero", "not negative", "more than zero", "at least", "at most", "more than", "less than", "even", "not shorter"
]


class Claimed(NamedTuple):
    """What a step asks of the sum of some terms; `code` is what fails where it is not so."""

    code: str
    words: str
    terms: tuple[Term, ...]
    test: Test


Claims = Callable[[Step, str], Iterable[Claimed]]  # of a step, and of its rule as it is written

# ------------------------------------------------------------------------------------------------------- records

Instruction = TypeVar("Instruction", bound=Callable[..., Any])


@dataclass(slots=True, eq=False)
class Operation:
    """`takes` the first inputs, of which the last `optional` ones may be wanting, then any number of `more`; and, by name, any of `named`."""

    name: str
    work: Callable[..., Any]
    takes: tuple[InputKind, ...]
    gives: OutputKind
    more: InputKind | None = None
    optional: int = 0
    named: Mapping[str, InputKind] = field(default_factory=dict)
    intervals: Callable[..., Any] | None = None  # the work on forms; without it what rests on a step is only sampled
    where: Callable[[Mapping[str, Any]], bool] | None = None  # the options with which the intervals hold
    sampled: str = ""  # why an operation on quantities has no intervals
    claims: Claims | None = None
    branch: str = ""  # what a rule that takes bodies several ways is called
    instruction: Callable[..., Any] | None = None  # how it is done by hand

    def __call__(self, run: Any, *inputs: Any, **options: Any) -> Any:
        return self.work(run, *inputs, **options)

    def is_proved(self, step: Step) -> bool:
        """Whether a step can be carried out over boxes of bodies."""
        return self.intervals is not None and (self.where is None or self.where(step.options))

    def over_boxes(self, boxes: Any, *forms: Any, **options: Any) -> Any:
        if self.intervals is None:
            raise TypeError(f"{self.name} has no intervals")
        return self.intervals(boxes, *forms, **options)

    def by_hand(self, instruction: Instruction) -> Instruction:
        """Enter how a drafter does it: a function of the writer of the sheet, and of the step."""
        self.instruction = instruction
        return instruction

    def refusal(self, kinds: Sequence[Kind], given: Kind, named: Iterable[tuple[str, Kind]] = ()) -> str:
        """What is wrong with a step of these kinds; empty where nothing is."""
        for name, kind in named:
            if name not in self.named or not _fits(self.named[name], kind, kinds):
                return f"{self.name} does not take {kind} as {name}"
        least = len(self.takes) - self.optional
        if len(kinds) < least or (self.more is None and len(kinds) > len(self.takes)):
            return f"{self.name} takes {least} inputs, not {len(kinds)}"
        for number, kind in enumerate(kinds):
            taken = self.takes[number] if number < len(self.takes) else self.more
            if taken is not None and not _fits(taken, kind, kinds):
                return f"{self.name} does not take {kind} as input {number + 1}"
        wanted = self.gives(kinds) if callable(self.gives) else self.gives
        return f"{self.name} gives {wanted}, not {given}" if wanted is not None and wanted != given else ""


OPERATIONS: dict[str, Operation] = {}


def operation(
    takes: Sequence[InputKind] = (),
    gives: OutputKind = None,
    more: InputKind | None = None,
    optional: int = 0,
    named: Mapping[str, InputKind] | None = None,
    intervals: Callable[..., Any] | None = None,
    where: Callable[[Mapping[str, Any]], bool] | None = None,
    sampled: str = "",
    claims: Claims | None = None,
    branch: str = "",
) -> Callable[[Callable[..., Any]], Operation]:
    """Enter a function in the table under its own name (a trailing underscore left off), with its record."""

    def enter(work: Callable[..., Any]) -> Operation:
        name = work.__name__.rstrip("_")
        if name in OPERATIONS:
            raise ValueError(f"two operations are called {name}")
        record = Operation(name, work, tuple(takes), gives, more, optional, named or {}, intervals, where, sampled, claims, branch)
        OPERATIONS[name] = record
        return record

    return enter


# ------------------------------------------------------------ which way a rule goes

HAIR = 1e-9  # two values that are alike by their rules may differ by so much, from rounding


def side(difference: Floats, hair: float = HAIR) -> Floats:
    """On which side of zero a difference (N,) lies: -1, 1, or 0 where it is none."""
    signs: Floats = np.sign(np.where(np.abs(difference) > hair, difference, 0.0))
    return signs


def first_least(values: Sequence[Floats]) -> Indices:
    """The number (N,) of the first of several values that is the least."""
    table = np.stack(values)
    first: Indices = np.argmax(table <= table.min(axis=0) + HAIR, axis=0)
    return first
