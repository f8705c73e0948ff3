"""Operations on quantities: numbers, lengths, angles and conditions, each an array (N,).

Conditions are 1.0 and 0.0.  A choice between two values takes each body's own; neither branch can fail the other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from functools import reduce

import numpy as np

from ..geometry import intervals as over
from ..geometry.arrays import Floats
from ..geometry.dual import Dual, settled
from ..geometry.sampled import sampled_root
from ..geometry.solve import root_within as find_root
from ..meaning.kinds import ANGLE, CONDITION, LENGTH, NUMBER, Kind
from ..meaning.kinds import quantity as power_of
from ..meaning.plan import Step
from ..source.quantity import at_least, at_most, passing, show_figure, show_length, show_number
from .copies import NotCopied, copied
from .grounds import resting
from .operations import (
    Claimed,
    Term,
    any_kind,
    any_quantity,
    any_value,
    first_least,
    last,
    like_first,
    like_last,
    operation,
    same,
    side,
)
from .steps import Parted, Run

# --------------------------------------------------------------------------- kinds given, and what can be proved


def _product(kinds: Sequence[Kind]) -> Kind:
    return ANGLE if ANGLE in kinds else power_of(kinds[0].power + kinds[1].power)


def _quotient(kinds: Sequence[Kind]) -> Kind:
    if kinds[0] is ANGLE:
        return NUMBER if kinds[1] is ANGLE else ANGLE
    return power_of(kinds[0].power - kinds[1].power)


def _root(kinds: Sequence[Kind]) -> Kind:
    return power_of(kinds[0].power // 2)


def _of_choice(step: Step, rule: str) -> Iterable[Claimed]:
    if len(step.placed) == 3:  # its range or its default rests on the body
        name, (_, low, high) = step.options["name"], step.placed
        yield Claimed("D402", f"{name} is not below its range: {rule}", (Term(step.out), Term(low, -1.0)), "not negative")
        yield Claimed("D402", f"{name} is not above its range: {rule}", (Term(high), Term(step.out, -1.0)), "not negative")


def _of_divisor(step: Step, rule: str) -> Iterable[Claimed]:
    yield Claimed("D401", f"no division by zero: {rule}", (Term(step.inputs[1]),), "not zero")


def _of_root(step: Step, rule: str) -> Iterable[Claimed]:
    yield Claimed("D401", f"no root of less than zero: {rule}", (Term(step.inputs[0]),), "not negative")


def _of_rest(step: Step, rule: str) -> Iterable[Claimed]:
    if step.options["named"]:
        whole, *parts = step.inputs
        yield Claimed("D403", f"something is left: {rule}", (Term(whole), *(Term(part, -1.0) for part in parts)), "not negative")


def _of_positive(step: Step, rule: str) -> Iterable[Claimed]:
    yield Claimed("D404", f"the {step.options['what']} is more than zero: {rule}", (Term(step.inputs[0]),), "more than zero")


# ------------------------------------------------------------------------------------------------- the operations


@operation(gives=None, intervals=over.constant)
def constant(run: Run, number: float) -> Floats:
    return np.full(run.n, number)


@operation(gives=None, intervals=over.measure)
def measure(run: Run, name: str, of: str = "length") -> Floats:
    """A measure of the body, a length or an angle as `of` says."""
    return run.measures[name]


@operation(
    takes=(any_value, like_first, like_first),
    optional=2,
    gives=same,
    named={"inches": like_first},
    intervals=over.choose,
    claims=_of_choice,
)
def choose(
    run: Run, default: Floats, low: Floats | None = None, high: Floats | None = None, *, inches: Floats | None = None, name: str
) -> Floats:
    """The value set for a choice, else its default (`inches`, where it has one and figures are told in inches), held to its range."""
    value = run.choices.get(name)
    if value is None:
        value = default if inches is None or not run.in_inches else inches
    if low is not None and high is not None:
        kind = run.choice_kinds[name]
        outside, set_to = (value < low) | (value > high), value

        def bound(number: float, kept: Callable[[float, str], str]) -> str:
            return kept(number, run.unit) if kind == "length" else show_figure(number, kind, run.unit)

        run.fail(
            outside,
            "D402",
            f'The choice "{name}" is out of its range',
            expected=lambda i: f"{bound(low[i], at_least)} to {bound(high[i], at_most)}",
            found=lambda i: show_figure(set_to[i], kind, run.unit),
            suggestion=f"Set {name} within its range.",
        )
        if kind in ("length", "angle"):  # what would come of it need not be told as well
            value = np.where(outside, np.nan, value)
    return value


@operation(takes=(any_quantity, like_first), gives=same, intervals=over.add)
def add(run: Run, a: Floats, b: Floats) -> Floats:
    return a + b


@operation(takes=(any_quantity, like_first), gives=same, intervals=over.subtract)
def subtract(run: Run, a: Floats, b: Floats) -> Floats:
    return a - b


@operation(takes=(any_quantity, any_quantity), gives=_product, intervals=over.multiply)
def multiply(run: Run, a: Floats, b: Floats) -> Floats:
    return a * b


@operation(takes=(any_quantity, any_quantity), gives=_quotient, intervals=over.divide, claims=_of_divisor)
def divide(run: Run, a: Floats, b: Floats) -> Floats:
    rests = resting(run)
    run.fail(
        b == 0.0,
        "D401",
        "A division by zero",
        expected="a divisor other than zero",
        found=lambda i: f"zero{rests(i)}",
        suggestion="See which measure or choice makes the divisor zero.",
    )
    return a / np.where(b == 0.0, np.nan, b)


@operation(takes=(any_quantity,), gives=same, intervals=over.negative)
def negative(run: Run, a: Floats) -> Floats:
    return -a


@operation(takes=(any_quantity,), gives=same, intervals=over.half)
def half(run: Run, a: Floats) -> Floats:
    return a / 2.0


@operation(takes=(any_quantity,), gives=same, intervals=over.third)
def third(run: Run, a: Floats) -> Floats:
    return a / 3.0


@operation(takes=(any_quantity,), gives=same, intervals=over.quarter)
def quarter(run: Run, a: Floats) -> Floats:
    return a / 4.0


@operation(takes=(any_quantity,), gives=same, intervals=over.absolute_value, branch="absolute_value of")
def absolute_value(run: Run, a: Floats) -> Floats:
    run.branched(lambda: side(a))
    return np.abs(a)


@operation(takes=(any_quantity, like_first), more=like_first, gives=same, intervals=over.least, branch="least of")
def least(run: Run, *values: Floats) -> Floats:
    run.branched(lambda: first_least(values))
    return reduce(np.minimum, values)


@operation(takes=(any_quantity, like_first), more=like_first, gives=same, intervals=over.greatest, branch="greatest of")
def greatest(run: Run, *values: Floats) -> Floats:
    run.branched(lambda: first_least([-value for value in values]))
    return reduce(np.maximum, values)


@operation(takes=(any_quantity,), gives=_root, intervals=over.root, claims=_of_root)
def root(run: Run, a: Floats) -> Floats:
    rests = resting(run)
    run.fail(
        a < 0.0,
        "D401",
        "The root of a negative quantity",
        expected="zero or more",
        found=lambda i: f"{show_number(a[i])}{rests(i)}",
        suggestion="See which measure or choice makes it negative.",
    )
    return np.sqrt(np.where(a < 0.0, np.nan, a))


@operation(takes=(LENGTH, LENGTH), gives=LENGTH, intervals=over.hypotenuse)
def hypotenuse(run: Run, a: Floats, b: Floats) -> Floats:
    return np.sqrt(a * a + b * b)


@operation(takes=(ANGLE,), gives=NUMBER, intervals=over.sine)
def sine(run: Run, a: Floats) -> Floats:
    return np.sin(a)


@operation(takes=(ANGLE,), gives=NUMBER, intervals=over.cosine)
def cosine(run: Run, a: Floats) -> Floats:
    return np.cos(a)


@operation(takes=(ANGLE,), gives=NUMBER, intervals=over.tangent)
def tangent(run: Run, a: Floats) -> Floats:
    return np.tan(a)


@operation(takes=(NUMBER,), gives=NUMBER, intervals=over.rounded_down, branch="rounded_down of")
def rounded_down(run: Run, a: Floats) -> Floats:
    steps = np.floor(a + 1e-9)
    run.branched(lambda: steps)
    return steps


@operation(takes=(NUMBER,), gives=NUMBER, intervals=over.rounded_up, branch="rounded_up of")
def rounded_up(run: Run, a: Floats) -> Floats:
    steps = np.ceil(a - 1e-9)
    run.branched(lambda: steps)
    return steps


@operation(takes=(any_quantity,), gives=same, intervals=over.scaled)
def scaled(run: Run, a: Floats, *, factor: float) -> Floats:
    return a * factor


@operation(takes=(any_quantity, like_first), gives=same, intervals=over.add_steps)
def add_steps(run: Run, a: Floats, step: Floats, *, steps: float) -> Floats:
    return a + step * steps


@operation(more=like_first, gives=same, intervals=over.weighted_sum)
def weighted_sum(run: Run, *values: Floats, factors: Sequence[float]) -> Floats:
    return sum((value * factor for value, factor in zip(values, factors, strict=True)), np.zeros(run.n))


@operation(takes=(any_quantity, like_first), gives=same, intervals=over.halfway)
def halfway(run: Run, a: Floats, b: Floats) -> Floats:
    return (a + b) / 2.0


@operation(takes=(LENGTH,) * 5, gives=LENGTH, intervals=over.between_levels)
def between_levels(run: Run, upper: Floats, lower: Floats, y_upper: Floats, y_lower: Floats, y: Floats) -> Floats:
    """A value at depth y on the straight line between two depths."""
    return upper + (lower - upper) * (y - y_upper) / (y_lower - y_upper)


@operation(takes=(any_quantity,), more=like_first, gives=same, intervals=over.rest, claims=_of_rest)
def rest(run: Run, total: Floats, *parts: Floats, named: bool) -> Floats:
    """What the parts leave of the whole; named, it may not be negative."""
    left = total - sum(parts)
    if named:
        rests = resting(run)
        run.fail(
            left < 0.0,
            "D403",
            "The parts are more than the whole",
            expected=lambda i: f"at most {at_most(total[i], run.unit)}",
            found=lambda i: f"parts of {passing(total[i] - left[i], total[i], run.unit)} together{rests(i)}",
            suggestion="Make the stated parts smaller, or see why the whole is so small.",
        )
    return left


@operation(takes=(LENGTH,), gives=LENGTH, intervals=over.positive, claims=_of_positive)
def positive(run: Run, a: Floats, *, what: str) -> Floats:
    rests = resting(run)
    run.fail(
        a <= 0.0,
        "D404",
        f"The {what} is not more than zero",
        expected="more than zero",
        found=lambda i: f"{show_length(a[i], run.unit)}{rests(i)}",
        suggestion="See which measure or choice makes it so.",
    )
    return np.where(a <= 0.0, np.nan, a)


@operation(takes=(CONDITION, any_value, like_last), gives=last, intervals=over.either_value, branch="when")
def either_value(run: Run, condition: Floats, a: Floats, b: Floats) -> Floats:
    run.branched(lambda: condition > 0.5)
    return np.where(np.isnan(condition), np.nan, np.where(condition > 0.5, a, b))


@operation(takes=(any_value, like_first, like_first), optional=1, gives=CONDITION, intervals=over.compare)
def compare(run: Run, a: Floats, b: Floats, within: Floats | None = None, *, relation: str) -> Floats:
    """Comparison to a thousandth of a millimetre, or to `within`: `less than` is true just where `at least` is not."""
    slack = 1e-3 if within is None else within
    answer = {
        "at least": a >= b - slack,
        "at most": a <= b + slack,
        "more than": a > b + slack,
        "less than": a < b - slack,
        "is": np.abs(a - b) <= slack,
        "is not": np.abs(a - b) > slack,
    }[relation].astype(float)
    return np.where(np.isnan(a) | np.isnan(b), np.nan, answer)


@operation(takes=(CONDITION, CONDITION), gives=CONDITION, intervals=over.either)
def either(run: Run, a: Floats, b: Floats) -> Floats:
    return np.maximum(a, b)


@operation(takes=(CONDITION, CONDITION), gives=CONDITION, intervals=over.both)
def both(run: Run, a: Floats, b: Floats) -> Floats:
    return np.minimum(a, b)


@operation(takes=(CONDITION,), gives=CONDITION, intervals=over.negated)
def negated(run: Run, a: Floats) -> Floats:
    return 1.0 - a


FEW = 64  # bodies for which several values are tried at once
CONVERGENCE = 1e-3  # of the slack: how near a find is brought to its target
SLACK = {"length": 0.01, "area": 1.0, "number": 1e-5, "angle": 1e-5}  # mm, mm2, 1, radians: how exactly a find must meet


@operation(takes=(any_quantity, like_first), more=any_kind, gives=same, sampled="what is found by trials")
def solve(
    run: Run,
    low: Floats,
    high: Floats,
    *outer: Floats,
    name: str,
    cone: Sequence[Step],
    slot: int,
    value: int,
    target: int,
    outer_slots: Sequence[int],
    kinds: tuple[str, str],
) -> Floats:
    """Find x between low and high so that value is target: the cone of steps is run for trial values of x."""

    def trial_at(x: Floats, loud: bool = False) -> Run:
        trial = run.trial({**dict(zip(outer_slots, outer, strict=True)), slot: x})
        trial.quiet = not loud
        trial.carry_out(cone)
        return trial

    def miss(x: Floats) -> Floats:
        trial = trial_at(x)
        missed: Floats = trial.filled[value] - trial.filled[target]
        return missed

    def misses(x: Floats) -> Floats:
        """Of several values (n, K) for each body."""
        index = np.repeat(np.arange(run.n), x.shape[1])
        trial = run.copies(index, {to: copied(value, index) for to, value in zip(outer_slots, outer, strict=True)})
        trial.filled[slot] = x.reshape(-1)
        trial.carry_out(cone)
        missed: Floats = trial.filled[value] - trial.filled[target]
        return missed.reshape(x.shape)

    if slot in run.solved:
        return settled(miss, run.solved[slot])
    slack = SLACK.get(kinds[1], 1e-6)
    x, converged = np.full(run.n, np.nan), np.zeros(run.n, dtype=bool)
    if run.n <= FEW and not any(isinstance(given, Dual) for given in (low, high, *run.measures.values(), *run.choices.values())):
        with suppress(NotCopied, Parted):  # what cannot be drawn side by side is tried one by one
            x, converged = sampled_root(misses, low, high, slack * CONVERGENCE)
    leap = np.zeros(run.n, dtype=bool)
    if not converged.all():
        one_by_one, bracketed, _, _, off = find_root(miss, low, high, slack * CONVERGENCE)
        leap = ~converged & bracketed & (off > slack)
        x = np.where(converged, x, np.where(leap, np.nan, one_by_one))
        converged |= bracketed & ~leap
    defined = np.logical_and.reduce(
        [np.isfinite(given) for given in (low, high, *outer) if isinstance(given, np.ndarray) and given.ndim == 1]
    )
    unsolved = ~converged & defined
    if run.quiet or not unsolved.any():
        return x
    ends = [(bound, trial_at(bound, loud=True)) for bound in (low, high)]
    rests = resting(run)

    def shown(number: float, kind: str) -> str:
        return show_figure(number, kind, run.unit)

    def at(i: int, bound: Floats, trial: Run) -> str:
        if leap[i]:
            return f"with {name} between its bounds the value leaps past what is asked"
        reason = next((f.diagnostic(i).title for f in trial.failures if f.bodies[i]), None)
        if reason is None:
            reason = (
                f"it is {shown(trial.filled[value][i], kinds[1])}, to be {shown(trial.filled[target][i], kinds[1])}"
                if np.isfinite(trial.filled[value][i])
                else "it cannot be drawn"
            )
        return f"with {name} {shown(bound[i], kinds[0])} {reason[0].lower() + reason[1:]}"

    run.fail(
        unsolved,
        "D405",
        f'No value of "{name}" fits this body',
        expected=lambda i: f"one between {shown(low[i], kinds[0])} and {shown(high[i], kinds[0])}",
        found=lambda i: "; ".join(dict.fromkeys(at(i, bound, trial) for bound, trial in ends)) + rests(i),
        suggestion="Look first at these measures and choices; else give the find other bounds in the style, or another aim.",
    )
    return x
