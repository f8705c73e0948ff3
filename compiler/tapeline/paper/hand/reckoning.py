"""How a figure is reckoned, as a cutter would write it: underbust 29 3/8 / 4 = 7 3/8, and darts 1 1/2 = 8 7/8.

The steps that a figure's slot rests on are followed back through sums, shares and the like to measures, choices and
stated figures, each with its own figure in the house's way; what is nothing is left out, of two ways the one is told that
this body took.  Where that grows long, the style's own named quantities stand for what they rest on; what is too long even
then, or no arithmetic at all, is not told.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from ...meaning.plan import Step
from ...source.quantity import parted, show_number
from ...source.units import LENGTHS
from ..drawing.pieces import in_words
from ..house.work import Work
from .measure import Ruler

LONGEST = 90  # characters
SUM, SHARE, WHOLE = 0, 1, 2  # how tightly an expression binds


class NoArithmetic(Exception):
    """A figure that rests on something drawn."""


class _Said(NamedTuple):
    words: str
    binds: int = WHOLE
    bare: bool = False  # one given or named quantity, and nothing done with it

    def within(self, least: int) -> str:
        return self.words if self.binds >= least else f"({self.words})"


class Reckoning:
    """Tells how the figures of one body are reckoned."""

    def __init__(self, work: Work, rule: Ruler) -> None:
        self.work, self.rule = work, rule
        self.steps = {step.out: step for step in work.plan.steps}
        self.given = {slot: name for name, slot in work.plan.measures.items()}
        self.given |= {choice.slot: name for name, choice in work.plan.choices.items()}
        self.named = {value.slot: (name, value.kind.word) for name, value in work.plan.values.items()}
        self.kinds = {choice.slot: choice.kind.word for choice in work.plan.choices.values()}

    def of(self, slot: int) -> str:
        """How a length is reckoned, with what it comes to; empty where there is nothing to tell."""
        step = self.steps[slot]
        if step.operation == "width_before_darts":
            return self._with_darts(step)
        if abs(self.work.value(slot)) < 1e-6 or step.operation == "constant":
            return ""
        said = self._told(slot)
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
        return any(map(self._is_length, step.inputs)) if step.operation in SAID else True

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

    def _told(self, slot: int) -> _Said:
        for whole in (False, True):
            try:
                said = self._said(slot, whole, top=True)
            except NoArithmetic:
                break
            if len(said.words) <= LONGEST:
                return said
        return _Said("")

    def _said(self, slot: int, whole: bool, top: bool = False) -> _Said:
        """An expression; where `whole`, named quantities stand for themselves."""
        step = self.steps[slot]
        if slot in self.given:
            kind = self.kinds.get(slot) or step.options.get("of", "length")
            return _Said(f"{in_words(self.given[slot])} {self._quantity(slot, kind)}", bare=True)
        if slot in self.named and not top and (whole or step.operation == "solve"):
            name, kind = self.named[slot]
            return _Said(f"{in_words(name)} {self._quantity(slot, kind)}", bare=True)
        if step.operation == "constant":
            return self._constant(step)
        say = SAID.get(step.operation)
        if say is None:
            if slot in self.named and not top:
                name, kind = self.named[slot]
                return _Said(f"{in_words(name)} {self._quantity(slot, kind)}", bare=True)
            raise NoArithmetic
        return say(lambda inner: self._said(inner, whole), step, self)

    def _quantity(self, slot: int, kind: str) -> str:
        value = self.work.value(slot)
        return self._figure(value) if kind == "length" else self.rule.house.quantity(value, kind, self.rule.unit)

    def _constant(self, step: Step) -> _Said:
        words = _words(step)
        if _unit(step) in LENGTHS:
            return _Said(self._figure(float(step.options["number"])), bare=True)
        return _Said(words if len(words) < 12 else show_number(float(step.options["number"])))


def _words(step: Step) -> str:
    return " ".join(step.span.text.split())


def _unit(step: Step) -> str:
    """The unit that a constant is written in; empty for a plain number."""
    try:
        return parted(_words(step))[1].word
    except ValueError:
        return ""


Say = Callable[[int], _Said]


def _sum(sign: str) -> Callable[[Say, Step, Reckoning], _Said]:
    def said(say: Say, step: Step, told: Reckoning) -> _Said:
        a, b = step.inputs
        if not told.shows(b):
            return say(a)
        if not told.shows(a) and sign == "+":
            return say(b)
        negative = told.steps[b]
        if sign == "+" and negative.operation == "negative" and b not in told.named:
            return _Said(f"{say(a).words} - {say(negative.inputs[0]).within(SHARE)}", SUM)
        added, way = say(b), sign
        if added.bare and added.words.startswith("-"):
            added, way = _Said(added.words[1:]), "-" if sign == "+" else "+"
        return _Said(f"{say(a).words} {way} {added.within(SUM if way == '+' else SHARE)}", SUM)

    return said


def _share(divisor: str) -> Callable[[Say, Step, Reckoning], _Said]:
    return lambda say, step, told: _Said(f"{say(step.inputs[0]).within(SHARE)} / {divisor}", SHARE)


def _one_of(words: str) -> Callable[[Say, Step, Reckoning], _Said]:
    def said(say: Say, step: Step, told: Reckoning) -> _Said:
        parts = told.rule.say(" and ").join(say(slot).within(SHARE) for slot in step.inputs)
        return _Said(told.rule.say(words).format(parts), SUM)

    return said


def _product(say: Say, step: Step, told: Reckoning) -> _Said:
    return _Said(" x ".join(say(slot).within(SHARE) for slot in step.inputs), SHARE)


def _quotient(say: Say, step: Step, told: Reckoning) -> _Said:
    return _Said(f"{say(step.inputs[0]).within(SHARE)} / {say(step.inputs[1]).within(WHOLE)}", SHARE)


def _negative(say: Say, step: Step, told: Reckoning) -> _Said:
    inner = say(step.inputs[0])
    return inner if inner.bare else _Said(f"- {inner.within(SHARE)}", SUM)  # which way a lone quantity goes, its step says


def _scaled(say: Say, step: Step, told: Reckoning) -> _Said:
    return _Said(f"{say(step.inputs[0]).within(SHARE)} x {show_number(step.options['factor'])}", SHARE)


def _add_steps(say: Say, step: Step, told: Reckoning) -> _Said:
    count = float(step.options["steps"])
    first = say(step.inputs[0])
    if not count:
        return first
    return _Said(f"{first.words} {'+' if count > 0 else '-'} {show_number(abs(count))} x {say(step.inputs[1]).within(SHARE)}", SUM)


def _rest(say: Say, step: Step, told: Reckoning) -> _Said:
    return _Said(" - ".join([say(step.inputs[0]).words, *(say(slot).within(SHARE) for slot in step.inputs[1:])]), SUM)


def _either_value(say: Say, step: Step, told: Reckoning) -> _Said:
    condition, yes, no = step.inputs
    return say(yes if told.work.value(condition) > 0.5 else no)


def _same(say: Say, step: Step, told: Reckoning) -> _Said:
    return say(step.inputs[0])


def _halfway(say: Say, step: Step, told: Reckoning) -> _Said:
    return _Said(told.rule.say("halfway from {0} to {1}").format(*(say(slot).within(SHARE) for slot in step.inputs[:2])), SUM)


def _hypotenuse(say: Say, step: Step, told: Reckoning) -> _Said:
    return _Said(told.rule.say("the hypotenuse of {0} and {1}").format(*(say(slot).within(SHARE) for slot in step.inputs[:2])), SUM)


# Operation -> how it is said.  What is not here is drawn, or found, and has no arithmetic.
SAID: dict[str, Callable[[Say, Step, Reckoning], _Said]] = {
    "add": _sum("+"),
    "subtract": _sum("-"),
    "multiply": _product,
    "divide": _quotient,
    "negative": _negative,
    "half": _share("2"),
    "third": _share("3"),
    "quarter": _share("4"),
    "least": _one_of("the least of {0}"),
    "greatest": _one_of("the greatest of {0}"),
    "scaled": _scaled,
    "add_steps": _add_steps,
    "rest": _rest,
    "either_value": _either_value,
    "positive": _same,
    "halfway": _halfway,
    "hypotenuse": _hypotenuse,
}
