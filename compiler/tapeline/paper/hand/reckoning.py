"""How a figure is reckoned, as a cutter would write it: underbust 29 3/8 / 4 = 7 3/8, and darts 1 1/2 = 8 7/8.

The steps that a figure's slot rests on are followed back through sums, shares and the like to measures, choices and
stated figures, each with its own figure in the house's way; what is nothing is left out, of two ways the one is told that
this body took.  Where that grows long, the style's own named quantities stand for what they rest on; what is too long even
then, or no arithmetic at all, is not told.
"""

from __future__ import annotations

from ...meaning.plan import Step
from ...source.quantity import parted, show_number
from ...source.units import LENGTHS
from ...why.sums import SAID, SaidSum
from ..drawing.pieces import in_words
from ..house.work import Work
from .measure import Ruler

LONGEST = 90  # characters
# What a drafter reckons on paper; of other arithmetic the sheet gives the figure.
BY_HAND = frozenset(
    ("add", "subtract", "multiply", "divide", "negative", "half", "third", "quarter", "least", "greatest")
    + ("scaled", "add_steps", "rest", "either_value", "positive", "halfway", "hypotenuse")
)


class NoArithmetic(Exception):
    """A figure that rests on something drawn."""


class Reckoning:
    """Tells how the figures of one body are reckoned (`why.sums.SumTeller`); where `whole`, named quantities stand for themselves."""

    def __init__(self, work: Work, rule: Ruler) -> None:
        self.work, self.rule = work, rule
        self.steps = {step.out: step for step in work.plan.steps}
        self.given = {slot: name for name, slot in work.plan.measures.items()}
        self.given |= {choice.slot: name for name, choice in work.plan.choices.items()}
        self.named = {value.slot: (name, value.kind.word) for name, value in work.plan.values.items()}
        self.kinds = {choice.slot: choice.kind.word for choice in work.plan.choices.values()}
        self.whole = False

    def of(self, slot: int) -> str:
        """How a length is reckoned, with what it comes to; empty where there is nothing to tell."""
        step = self.steps[slot]
        if step.operation == "width_before_darts":
            return self._with_darts(step)
        if abs(self.work.value(slot)) < 1e-6 or step.operation == "constant":
            return ""
        said = self._reckoned(slot)
        if said.bare or not said.words:
            return said.words if said.words[:1].isalpha() else ""
        return f"{said.words} = {self.figure(slot)}"

    def shows(self, slot: int) -> bool:
        """Whether a figure is more than nothing, as it is told."""
        value = self.work.value(slot)
        is_told = self.steps[slot].operation != "constant" and self._is_length(slot)
        return self.figure(slot).strip("-") != "0" if is_told else abs(value) > 1e-9

    def _is_length(self, slot: int) -> bool:
        step = self.steps[slot]
        if slot in self.given:
            return (self.kinds.get(slot) or step.options.get("of")) == "length"
        if slot in self.named:
            return self.named[slot][1] == "length"
        if step.operation == "constant":
            return _unit(step) in LENGTHS
        if step.operation == "divide":
            return self._is_length(step.inputs[0]) and not self._is_length(step.inputs[1])
        return any(map(self._is_length, step.inputs)) if step.operation in BY_HAND else True

    def figure(self, slot: int) -> str:
        return self._figure(self.work.value(slot))

    def _figure(self, mm: float) -> str:
        return self.rule.house.show(mm, self.rule.unit).removesuffix(f" {self.rule.unit}").replace(" ", "\u00a0")

    def _with_darts(self, step: Step) -> str:
        """A width before its darts: the width that is sewn, and all that darts and shaped edges take."""
        width, taken = step.inputs[:2]
        words = self.of(width) or (f"{self.figure(width)}" if self.work.value(width) else "")
        say = self.rule.say
        parts = [(say("taken in"), self.work.value(taken))]
        parts.append((say("darts"), self.work.value(step.out) - self.work.value(width) - parts[0][1]))
        parts = [(name, mm) for name, mm in parts if abs(mm) > 1e-6]
        if not parts or not words:
            return words
        added = say(" and ").join(f"{name} {self._figure(mm)}" for name, mm in parts)
        return say("{0}, and {1} = {2}").format(words, added, self.figure(step.out))

    def _reckoned(self, slot: int) -> SaidSum:
        for whole in (False, True):
            self.whole = whole
            try:
                said = self._said(slot, top=True)
            except NoArithmetic:
                break
            if len(said.words) <= LONGEST:
                return said
        return SaidSum("")

    def told(self, slot: int) -> SaidSum:
        return self._said(slot)

    def value(self, slot: int) -> float:
        return self.work.value(slot)

    def is_named(self, slot: int) -> bool:
        return slot in self.named

    def say(self, words: str) -> str:
        return self.rule.say(words)

    def _said(self, slot: int, top: bool = False) -> SaidSum:
        step = self.steps[slot]
        if slot in self.given:
            kind = self.kinds.get(slot) or step.options.get("of", "length")
            return SaidSum(f"{in_words(self.given[slot])} {self._quantity(slot, kind)}", bare=True)
        if slot in self.named and not top and (self.whole or step.operation == "solve"):
            name, kind = self.named[slot]
            return SaidSum(f"{in_words(name)} {self._quantity(slot, kind)}", bare=True)
        if step.operation == "constant":
            return self._constant(step)
        if step.operation not in BY_HAND:
            if slot in self.named and not top:
                name, kind = self.named[slot]
                return SaidSum(f"{in_words(name)} {self._quantity(slot, kind)}", bare=True)
            raise NoArithmetic
        return SAID[step.operation](self, step)

    def _quantity(self, slot: int, kind: str) -> str:
        value = self.work.value(slot)
        return self._figure(value) if kind == "length" else self.rule.house.quantity(value, kind, self.rule.unit)

    def _constant(self, step: Step) -> SaidSum:
        words = _words(step)
        if _unit(step) in LENGTHS:
            return SaidSum(self._figure(float(step.options["number"])), bare=True)
        return SaidSum(words if len(words) < 12 else show_number(float(step.options["number"])))


def _words(step: Step) -> str:
    return " ".join(step.span.text.split())


def _unit(step: Step) -> str:
    """The unit that a constant is written in; empty for a plain number."""
    try:
        return parted(_words(step))[1].word
    except ValueError:
        return ""
