"""Conditions compared with each other: what one says of a body, apart from where it is written.

The steps behind a condition are read back into a formula over *facts*: a choice of yes or no, or a figure that is more than,
less than or equal to another.  Figures are told apart by digests of how they are got, so a formula is the same in every course
and at every place.  What rests on constants alone is worked out here and then.  `implied` tells whether formulas that are
known to hold, or not to, leave one answer to another formula: every assignment of the facts that they share is tried, as far as
some figure can meet it.  So two `when` of one condition take one course, and so do a condition and its opposite, or two
sizes of one measure.  Invariant: a formula has at most MOST_PARTS parts; one that would have more is a fact of its own.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import TypeAlias

from .plan import Condition, Step

# A condition is ("all" or "any", conditions...), ("not", condition), or a fact: a word, what it speaks of, and perhaps figures.
Answers: TypeAlias = Iterable[tuple[Condition, bool]]

YES: Condition = ("all",)
NO: Condition = ("any",)
SLACK = 1e-3  # as `drafting.arithmetic.compare`
MOST_PARTS = 48
MOST_FACTS = 12  # that are tried in all their assignments
_ORDERED = ("more", "less", "is")  # (word, digest of a figure, another figure, slack)

_WORKED_OUT: dict[str, Callable[..., float]] = {  # operations on constants; a test holds them against those of `drafting`
    "negative": lambda a: -a,
    "add": lambda a, b: a + b,
    "subtract": lambda a, b: a - b,
    "multiply": lambda a, b: a * b,
    "divide": lambda a, b: a / b,
    "half": lambda a: a / 2.0,
    "third": lambda a: a / 3.0,
    "quarter": lambda a: a / 4.0,
    "absolute_value": abs,
    "least": min,
    "greatest": max,
    "root": math.sqrt,
    "hypotenuse": math.hypot,
    "sine": math.sin,
    "cosine": math.cos,
    "tangent": math.tan,
    "rounded_down": lambda a: float(math.floor(a + 1e-9)),
    "rounded_up": lambda a: float(math.ceil(a - 1e-9)),
}


# ------------------------------------------------------------ formulas


def opposite(condition: Condition) -> Condition:
    if condition in (YES, NO):
        return NO if condition == YES else YES
    inner: Condition = condition[1] if condition[0] == "not" else ("not", condition)
    return inner


def joined(word: str, *parts: Condition) -> Condition:
    """All of the parts, or any of them, without what says nothing."""
    neutral, decisive = (YES, NO) if word == "all" else (NO, YES)
    left = tuple(dict.fromkeys(part for part in parts if part != neutral))
    if decisive in left or any(opposite(part) in left for part in left):
        return decisive
    return left[0] if len(left) == 1 else (word, *left)


def size(condition: Condition) -> int:
    if condition[0] in ("all", "any", "not"):
        return 1 + sum(size(part) for part in condition[1:])
    return 1


def facts_of(condition: Condition) -> list[Condition]:
    if condition[0] in ("all", "any", "not"):
        return list(dict.fromkeys(fact for part in condition[1:] for fact in facts_of(part)))
    return [condition]


def holds(condition: Condition, known: Mapping[Condition, bool]) -> bool | None:
    """Whether a condition holds, as far as the known facts tell."""
    word, *parts = condition
    if word == "not":
        inner = holds(parts[0], known)
        return None if inner is None else not inner
    if word in ("all", "any"):
        answers, decisive = [holds(part, known) for part in parts], word == "any"
        return decisive if decisive in answers else None if None in answers else not decisive
    return known.get(condition)


def implied(condition: Condition, answers: Answers) -> bool | None:
    """The one answer that those to other conditions leave, if it is one."""
    related, facts = _related(condition, answers)
    possible = [answer for answer in (True, False) if _possible([*related, (condition, answer)], facts, {})]
    return possible[0] if len(possible) == 1 else None


def _related(condition: Condition, answers: Answers) -> tuple[list[tuple[Condition, bool]], list[Condition]]:
    """The answers to conditions that speak of the same figures and choices, also through others, and the facts of all of them."""
    facts, waiting, related = facts_of(condition), list(answers), []
    going = True
    while going:
        going = False
        for asked in waiting[:]:
            others = facts_of(asked[0])
            added = [fact for fact in others if fact not in facts]
            if {fact[1] for fact in others} & {fact[1] for fact in facts} and len(facts) + len(added) <= MOST_FACTS:
                facts += added
                waiting.remove(asked)
                related.append(asked)
                going = True
    return related, facts


def _possible(answers: Sequence[tuple[Condition, bool]], facts: Sequence[Condition], known: dict[Condition, bool]) -> bool:
    """Whether the facts that are left can be such that every answer is right."""
    if any(holds(condition, known) not in (None, answer) for condition, answer in answers):
        return False
    if not facts:
        return True
    fact, *others = facts
    for answer in (True, False):
        more = {**known, fact: answer}
        if (fact[0] not in _ORDERED or _some_figure({other: more[other] for other in more if other[1] == fact[1]})) and _possible(
            answers, others, more
        ):
            return True
    return False


def _some_figure(known: Mapping[Condition, bool]) -> bool:
    """Whether one figure can be as it is known to be: it would lie on a limit, between two, or beyond all."""
    limits = sorted({limit + side * slack for _, _, limit, slack in known for side in (-1.0, 1.0)})
    between = [(low + high) / 2.0 for low, high in zip(limits, limits[1:], strict=False)]
    return any(
        all(_is_so(fact, figure) == answer for fact, answer in known.items())
        for figure in (limits[0] - 1.0, *limits, *between, limits[-1] + 1.0)
    )


def _is_so(fact: Condition, figure: float) -> bool:
    word: str = fact[0]
    low: float = fact[2] - fact[3]
    high: float = fact[2] + fact[3]
    return figure > high if word == "more" else figure < low if word == "less" else low <= figure <= high


# ------------------------------------------------------------ read back from steps


class ReadBack:
    """The conditions and constants of one lowering, read from its steps; `truths` are the slots of conditions."""

    def __init__(self, steps: Sequence[Step], truths: set[int]) -> None:
        self.steps, self.truths = steps, truths
        self._conditions: dict[int, Condition] = {}
        self._figures: dict[int, float | None] = {}
        self._digests: dict[int, str] = {}

    def step(self, slot: int) -> Step:
        return self.steps[bisect_left(self.steps, slot, key=lambda step: step.out)]

    def figure(self, slot: int) -> float | None:
        """The value of a slot that rests on constants alone; a condition is 1 or 0."""
        if slot not in self._figures:
            self._figures[slot] = self._figure(slot)
        return self._figures[slot]

    def _figure(self, slot: int) -> float | None:
        if slot in self.truths:
            condition = self.condition(slot)
            return {YES: 1.0, NO: 0.0}.get(condition)
        step = self.step(slot)
        if step.operation == "constant":
            number: float = step.options["number"]
            return number
        if step.operation == "either_value":
            condition, inputs = self.condition(step.inputs[0]), step.inputs
            return self.figure(inputs[1]) if condition == YES else self.figure(inputs[2]) if condition == NO else None
        if step.operation not in _WORKED_OUT:
            return None
        figures = []
        for given in step.inputs:
            figures.append(self.figure(given))
            if figures[-1] is None:
                return None
        try:
            return _WORKED_OUT[step.operation](*figures)
        except (ArithmeticError, ValueError):  # there is no such value: the draft says so
            return None

    def condition(self, slot: int) -> Condition:
        if slot not in self._conditions:
            condition = self._condition(self.step(slot))
            self._conditions[slot] = condition if size(condition) <= MOST_PARTS else ("fact", self.digest(slot))
        return self._conditions[slot]

    def _condition(self, step: Step) -> Condition:
        inputs = step.inputs
        if step.operation == "constant":
            return YES if step.options["number"] > 0.5 else NO
        if step.operation == "negated":
            return opposite(self.condition(inputs[0]))
        if step.operation in ("both", "either"):
            return joined("all" if step.operation == "both" else "any", *map(self.condition, inputs))
        if step.operation == "either_value":
            return self._one_of_two(*map(self.condition, inputs))
        if step.operation == "compare" and inputs[0] in self.truths:
            one, other = map(self.condition, inputs[:2])
            alike = self._one_of_two(one, other, opposite(other))
            return alike if step.options["relation"] == "is" else opposite(alike)
        if step.operation == "compare":
            return self._compared(step)
        return ("fact", self.digest(step.out))

    def _one_of_two(self, asked: Condition, then: Condition, otherwise: Condition) -> Condition:
        return joined("any", joined("all", asked, then), joined("all", opposite(asked), otherwise))

    def _compared(self, step: Step) -> Condition:
        """One figure against another, brought to the form: more than, less than or equal to a constant."""
        one, other = step.inputs[:2]
        slack = self.figure(step.inputs[2]) if len(step.inputs) > 2 else SLACK
        if slack is None or slack < 0.0:
            return ("fact", self.digest(step.out))
        relation = step.options["relation"]
        word = {"at least": "less", "less than": "less", "at most": "more", "more than": "more"}.get(relation, "is")
        limit, other_limit = self.figure(one), self.figure(other)
        fact: Condition
        if other_limit is not None:
            fact = (word, self.digest(one), other_limit, slack)
        elif limit is not None:
            fact = (_turned(word), self.digest(other), limit, slack)
        else:  # their difference against nothing
            first, second = self.digest(one), self.digest(other)
            fact = (word, f"{first}-{second}", 0.0, slack) if first <= second else (_turned(word), f"{second}-{first}", 0.0, slack)
        if limit is not None and other_limit is not None:
            fact = YES if _is_so((word, "", other_limit, slack), limit) else NO
        return opposite(fact) if relation in ("at least", "at most", "is not") else fact

    def digest(self, slot: int) -> str:
        """What tells a value from others, by how it is got."""
        if slot not in self._digests:
            from hashlib import blake2b  # only where a style asks

            step = self.step(slot)
            by_name = step.operation in ("measure", "choose")
            inputs = () if by_name else tuple(map(self.digest, step.inputs))
            options = step.options.get("name") if by_name else sorted(step.options.items())
            told = repr((step.operation, inputs, step.named, options))
            self._digests[slot] = blake2b(told.encode(), digest_size=8).hexdigest()
        return self._digests[slot]


def _turned(word: str) -> str:
    return {"more": "less", "less": "more"}.get(word, word)
