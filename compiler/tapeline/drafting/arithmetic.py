"""Operations on quantities: numbers, lengths, angles and conditions, each an array (N,).

Conditions are 1.0 and 0.0.  A choice between two values takes each body's own; neither branch can fail the other.
"""

from __future__ import annotations

from functools import reduce

import numpy as np

from ..geometry.dual import settled
from ..geometry.solve import root_within as find_root
from ..source.quantity import show_figure, show_length, show_number
from .operations import first_least, operation, side


@operation
def constant(run, number):
    return np.full(run.n, number)


@operation
def measure(run, name):
    return run.measures[name]


@operation
def choose(run, default, low=None, high=None, *, name):
    """The value set for a choice, else its default, held to its range."""
    value = run.choices.get(name)
    value = default if value is None else value
    if low is not None:
        kind = run.choice_kinds[name]
        outside = (value < low) | (value > high)
        run.fail(
            outside,
            "D402",
            f'The choice "{name}" is out of its range',
            expected=lambda i: f"{show_figure(low[i], kind, run.unit)} to {show_figure(high[i], kind, run.unit)}",
            found=lambda i: show_figure(value[i], kind, run.unit),
            suggestion=f"Set {name} within its range.",
        )
    return value


@operation
def add(run, a, b):
    return a + b


@operation
def subtract(run, a, b):
    return a - b


@operation
def multiply(run, a, b):
    return a * b


@operation
def divide(run, a, b):
    run.fail(
        b == 0.0,
        "D401",
        "A division by zero",
        expected="a divisor other than zero",
        found="zero",
        suggestion="See which measure or choice makes the divisor zero.",
    )
    return a / np.where(b == 0.0, np.nan, b)


@operation
def negative(run, a):
    return -a


@operation
def half(run, a):
    return a / 2.0


@operation
def third(run, a):
    return a / 3.0


@operation
def quarter(run, a):
    return a / 4.0


@operation
def absolute_value(run, a):
    run.turned(lambda: side(a))
    return np.abs(a)


@operation
def least(run, *values):
    run.turned(lambda: first_least(values))
    return reduce(np.minimum, values)


@operation
def greatest(run, *values):
    run.turned(lambda: first_least([-value for value in values]))
    return reduce(np.maximum, values)


@operation
def root(run, a):
    run.fail(
        a < 0.0,
        "D401",
        "The root of a negative quantity",
        expected="zero or more",
        found=lambda i: show_number(a[i]),
        suggestion="See which measure or choice makes it negative.",
    )
    return np.sqrt(np.where(a < 0.0, np.nan, a))


@operation
def sine(run, a):
    return np.sin(a)


@operation
def cosine(run, a):
    return np.cos(a)


@operation
def tangent(run, a):
    return np.tan(a)


@operation
def rounded_down(run, a):
    steps = np.floor(a + 1e-9)
    run.turned(lambda: steps)
    return steps


@operation
def rounded_up(run, a):
    steps = np.ceil(a - 1e-9)
    run.turned(lambda: steps)
    return steps


@operation
def scaled(run, a, *, factor):
    return a * factor


@operation
def add_steps(run, a, step, *, steps):
    return a + step * steps


@operation
def weighted_sum(run, *values, factors):
    return sum(value * factor for value, factor in zip(values, factors, strict=True))


@operation
def halfway(run, a, b):
    return (a + b) / 2.0


@operation
def between_levels(run, upper, lower, y_upper, y_lower, y):
    """A value at depth y on the straight line between two depths."""
    return upper + (lower - upper) * (y - y_upper) / (y_lower - y_upper)


@operation
def rest(run, total, *parts, named):
    """What the parts leave of the whole; named, it may not be negative."""
    left = total - sum(parts)
    if named:
        run.fail(
            left < 0.0,
            "D403",
            "The parts are more than the whole",
            expected=lambda i: show_length(total[i], run.unit),
            found=lambda i: f"parts of {show_length(total[i] - left[i], run.unit)} together",
            suggestion="Make the stated parts smaller, or see why the whole is so small.",
        )
    return left


@operation
def positive(run, a, *, what):
    run.fail(
        a <= 0.0,
        "D404",
        f"The {what} is not more than zero",
        expected="more than zero",
        found=lambda i: show_length(a[i], run.unit),
        suggestion="See which measure or choice makes it so.",
    )
    return np.where(a <= 0.0, np.nan, a)


@operation
def either_value(run, condition, a, b):
    run.turned(lambda: condition > 0.5)
    return np.where(np.isnan(condition), np.nan, np.where(condition > 0.5, a, b))


@operation
def compare(run, a, b, within=None, *, relation):
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


@operation
def either(run, a, b):
    return np.maximum(a, b)


@operation
def both(run, a, b):
    return np.minimum(a, b)


@operation
def negated(run, a):
    return 1.0 - a


MEANT = 1e-3  # of the slack: how near a find is brought to its target
SLACK = {"length": 0.01, "area": 1.0, "number": 1e-5, "angle": 1e-5}  # mm, mm2, 1, radians: how exactly a find must meet


@operation
def solve(run, low, high, *outer, name, cone, slot, value, target, outer_slots, kinds):
    """Find x between low and high so that value is target: the cone of steps is run for trial values of x."""

    def tried(x, loud=False):
        trial = run.trial({**dict(zip(outer_slots, outer, strict=True)), slot: x})
        trial.quiet = not loud
        trial.carry_out(cone)
        return trial

    def miss(x):
        trial = tried(x)
        return trial.filled[value] - trial.filled[target]

    if slot in run.found:
        return settled(miss, run.found[slot])
    slack = SLACK.get(kinds[1], 1e-6)
    x, found, at_low, at_high, off = find_root(miss, low, high, slack * MEANT)
    leap = found & (off > slack)
    x, found = np.where(leap, np.nan, x), found & ~leap
    known = np.logical_and.reduce([np.isfinite(one) for one in (low, high, *outer) if isinstance(one, np.ndarray) and one.ndim == 1])
    lost = ~found & known
    if run.quiet or not lost.any():
        return x
    ends = [(bound, tried(bound, loud=True)) for bound in (low, high)]

    def said(number: float, kind: str) -> str:
        return show_figure(number, kind, run.unit)

    def at(i: int, bound, trial) -> str:
        if leap[i]:
            return f"with {name} between its bounds the value leaps past what is asked"
        reason = next((f.diagnostic(i).title for f in trial.failures if f.bodies[i]), None)
        if reason is None:
            reason = (
                f"it is {said(trial.filled[value][i], kinds[1])}, to be {said(trial.filled[target][i], kinds[1])}"
                if np.isfinite(trial.filled[value][i])
                else "it cannot be drawn"
            )
        return f"with {name} {said(bound[i], kinds[0])} {reason[0].lower() + reason[1:]}"

    run.fail(
        lost,
        "D405",
        f'No value of "{name}" fits',
        expected=lambda i: f"one between {said(low[i], kinds[0])} and {said(high[i], kinds[0])}",
        found=lambda i: "; ".join(dict.fromkeys(at(i, bound, trial) for bound, trial in ends)),
        suggestion="Widen or narrow the bounds of the find, or change what it measures.",
    )
    return x
