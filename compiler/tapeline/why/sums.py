"""Sums: how a figure of a plan is reckoned, as a cutter would write it and as any calculator can work it out again.

The steps of a plan that do arithmetic have a row here each.  `SAID` puts the words of what a step takes together, with as few
brackets as will do: (38 1/2 + 2) / 4.  `EXACT` writes the same as a formula of plain numbers, in millimetres and radians, with
+ - * / and the functions of `FUNCTIONS`, so that it can be checked by whoever can read it.  Of two ways both tell the one that
this body took.  How far a sum goes down, and what stands at its ends (figures, or names with figures), is the teller's.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple, Protocol

from ..meaning.plan import Step
from ..source.quantity import show_number

SUM, SHARE, WHOLE = 0, 1, 2  # how tightly an expression binds
FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "min": min,
    "max": max,
    "abs": abs,
    "sqrt": math.sqrt,
    "hypot": math.hypot,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "floor": math.floor,
    "ceil": math.ceil,
}


class SaidSum(NamedTuple):
    words: str
    binds: int = WHOLE
    bare: bool = False  # one given or named quantity, and nothing done with it

    def within(self, least: int) -> str:
        return self.words if self.binds >= least else f"({self.words})"


class SumTeller(Protocol):
    """What tells a sum: it knows the steps and what they came to for one body, and says what stands at a sum's ends."""

    @property
    def steps(self) -> Mapping[int, Step]: ...

    def told(self, slot: int) -> SaidSum:
        """A step of the sum, or what stands for it."""
        ...

    def value(self, slot: int) -> float: ...

    def shows(self, slot: int) -> bool:
        """Whether a figure is more than nothing, as it is told."""
        ...

    def is_named(self, slot: int) -> bool:
        """Whether it stands for itself, whatever is done to it."""
        ...

    def say(self, words: str) -> str:
        """Fixed words in the language of the sheet."""
        ...


Say = Callable[[SumTeller, Step], SaidSum]


def _sum(sign: str) -> Say:
    def said(teller: SumTeller, step: Step) -> SaidSum:
        a, b = step.inputs
        if not teller.shows(b):
            return teller.told(a)
        if not teller.shows(a) and sign == "+":
            return teller.told(b)
        negative = teller.steps[b]
        if sign == "+" and negative.operation == "negative" and not teller.is_named(b):
            return SaidSum(f"{teller.told(a).words} - {teller.told(negative.inputs[0]).within(SHARE)}", SUM)
        added, way = teller.told(b), sign
        if added.bare and added.words.startswith("-"):
            added, way = SaidSum(added.words[1:]), "-" if sign == "+" else "+"
        return SaidSum(f"{teller.told(a).words} {way} {added.within(SUM if way == '+' else SHARE)}", SUM)

    return said


def _share(divisor: str) -> Say:
    return lambda teller, step: SaidSum(f"{teller.told(step.inputs[0]).within(SHARE)} / {divisor}", SHARE)


def _one_of(words: str) -> Say:
    def said(teller: SumTeller, step: Step) -> SaidSum:
        parts = teller.say(" and ").join(teller.told(slot).within(SHARE) for slot in step.inputs)
        return SaidSum(teller.say(words).format(parts), SUM)

    return said


def _product(teller: SumTeller, step: Step) -> SaidSum:
    return SaidSum(" x ".join(teller.told(slot).within(SHARE) for slot in step.inputs), SHARE)


def _quotient(teller: SumTeller, step: Step) -> SaidSum:
    return SaidSum(f"{teller.told(step.inputs[0]).within(SHARE)} / {teller.told(step.inputs[1]).within(WHOLE)}", SHARE)


def _negative(teller: SumTeller, step: Step) -> SaidSum:
    inner = teller.told(step.inputs[0])
    return inner if inner.bare else SaidSum(f"- {inner.within(SHARE)}", SUM)  # which way a lone quantity goes, its step says


def _scaled(teller: SumTeller, step: Step) -> SaidSum:
    return SaidSum(f"{teller.told(step.inputs[0]).within(SHARE)} x {show_number(step.options['factor'])}", SHARE)


def _add_steps(teller: SumTeller, step: Step) -> SaidSum:
    count = float(step.options["steps"])
    first = teller.told(step.inputs[0])
    if not count:
        return first
    return SaidSum(
        f"{first.words} {'+' if count > 0 else '-'} {show_number(abs(count))} x {teller.told(step.inputs[1]).within(SHARE)}", SUM
    )


def _rest(teller: SumTeller, step: Step) -> SaidSum:
    return SaidSum(" - ".join([teller.told(step.inputs[0]).words, *(teller.told(slot).within(SHARE) for slot in step.inputs[1:])]), SUM)


def taken_way(teller: SumTeller, step: Step) -> int:
    """Of two values, the slot of the one that this body has."""
    condition, yes, no = step.inputs
    return yes if teller.value(condition) > 0.5 else no


def _either_value(teller: SumTeller, step: Step) -> SaidSum:
    return teller.told(taken_way(teller, step))


def _same(teller: SumTeller, step: Step) -> SaidSum:
    return teller.told(step.inputs[0])


def _two(words: str) -> Say:
    def said(teller: SumTeller, step: Step) -> SaidSum:
        return SaidSum(teller.say(words).format(*(teller.told(slot).within(SHARE) for slot in step.inputs[:2])), SUM)

    return said


def _function(words: str) -> Say:
    return lambda teller, step: SaidSum(f"{words} of {teller.told(step.inputs[0]).within(WHOLE)}", SHARE)


def _weighted(teller: SumTeller, step: Step) -> SaidSum:
    parts = []
    for slot, factor in zip(step.inputs, step.options["factors"], strict=True):
        inner = teller.told(slot)
        parts.append(inner.within(SUM) if factor == 1.0 else f"{show_number(factor)} x {inner.within(SHARE)}")
    return SaidSum(" + ".join(parts), SUM if len(parts) > 1 or step.options["factors"] == (1.0,) else SHARE)


def _compared(teller: SumTeller, step: Step) -> SaidSum:
    a, b = (teller.told(slot).within(SUM) for slot in step.inputs[:2])
    within = f" within {teller.told(step.inputs[2]).within(SUM)}" if len(step.inputs) > 2 else ""
    return SaidSum(f"{a} {step.options['relation']} {b}{within}", SUM)


def _joined(word: str) -> Say:
    return lambda teller, step: SaidSum(f" {word} ".join(teller.told(slot).within(SHARE) for slot in step.inputs), SUM)


# Operation -> how it is said.  What is not here is drawn, or found, and has no arithmetic.
SAID: dict[str, Say] = {
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
    "halfway": _two("halfway from {0} to {1}"),
    "hypotenuse": _two("the hypotenuse of {0} and {1}"),
    "between_levels": _two("between {0} and {1}"),
    "weighted_sum": _weighted,
    "absolute_value": _function("the absolute value"),
    "root": _function("the root"),
    "sine": _function("sine"),
    "cosine": _function("cosine"),
    "tangent": _function("tangent"),
    "rounded_down": _function("rounded down"),
    "rounded_up": _function("rounded up"),
    "compare": _compared,
    "either": _joined("or"),
    "both": _joined("and"),
    "negated": _function("not"),
}

Exact = Callable[[Sequence[str], Mapping[str, Any]], str]


def _between(sign: str) -> Exact:
    return lambda parts, options: f"({f' {sign} '.join(parts)})"


def _called(name: str) -> Exact:
    return lambda parts, options: f"{name}({', '.join(parts)})"


def _part(divisor: str) -> Exact:
    return lambda parts, options: f"({parts[0]} / {divisor})"


def _first(parts: Sequence[str], options: Mapping[str, Any]) -> str:
    return parts[0]


def _weights(parts: Sequence[str], options: Mapping[str, Any]) -> str:
    return "(" + " + ".join(f"{factor!r} * {part}" for part, factor in zip(parts, options["factors"], strict=True)) + ")"


def _on_the_way(parts: Sequence[str], options: Mapping[str, Any]) -> str:
    upper, lower, y_upper, y_lower, y = parts
    return f"({upper} + ({lower} - {upper}) * ({y} - {y_upper}) / ({y_lower} - {y_upper}))"


# Operation -> the formula of it, from those of what it takes.  A condition has none: its answer is told by the way that was taken.
EXACT: dict[str, Exact] = {
    "add": _between("+"),
    "subtract": _between("-"),
    "multiply": _between("*"),
    "divide": _between("/"),
    "negative": lambda parts, options: f"(-{parts[0]})",
    "half": _part("2.0"),
    "third": _part("3.0"),
    "quarter": _part("4.0"),
    "least": _called("min"),
    "greatest": _called("max"),
    "scaled": lambda parts, options: f"({parts[0]} * {options['factor']!r})",
    "add_steps": lambda parts, options: f"({parts[0]} + {parts[1]} * {options['steps']!r})",
    "rest": _between("-"),
    "positive": _first,
    "halfway": lambda parts, options: f"(({parts[0]} + {parts[1]}) / 2.0)",
    "hypotenuse": _called("hypot"),
    "between_levels": _on_the_way,
    "weighted_sum": _weights,
    "absolute_value": _called("abs"),
    "root": _called("sqrt"),
    "sine": _called("sin"),
    "cosine": _called("cos"),
    "tangent": _called("tan"),
    "rounded_down": lambda parts, options: f"floor({parts[0]} + 1e-9)",
    "rounded_up": lambda parts, options: f"ceil({parts[0]} - 1e-9)",
}
CONDITIONS = ("compare", "either", "both", "negated")


def exact_sum(teller: SumTeller, slot: int, ends: Callable[[int], bool]) -> str:
    """The formula of a slot, down to where `ends` says that a figure stands for what it rests on; a lone figure at least."""

    def formula(slot: int, top: bool = False) -> str:
        step = teller.steps[slot]
        if step.operation == "either_value" and (top or not ends(slot)):
            return formula(taken_way(teller, step))
        if step.operation not in EXACT or (not top and ends(slot)):
            return repr(teller.value(slot))
        return EXACT[step.operation]([formula(inner) for inner in step.inputs], step.options)

    return formula(slot, top=True)
