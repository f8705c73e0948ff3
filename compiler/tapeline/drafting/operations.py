"""The table of operations that plans are made of.

An operation is a function `(run, *inputs, **options)` over N bodies at once; its name in a plan is its name here.
`run.n` is N, `run.fail(bodies, ...)` records a failure of some bodies at the step's rule.  Comparisons with NaN are
false, so masks are written such that a body that has failed before is not complained about again.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

OPERATIONS: dict[str, Callable] = {}


def operation(function: Callable) -> Callable:
    """Enter a function in the table under its own name (a trailing underscore left off)."""
    name = function.__name__.rstrip("_")
    if name in OPERATIONS:
        raise ValueError(f"two operations are called {name}")
    OPERATIONS[name] = function
    return function


# ------------------------------------------------------------ which way a rule goes

HAIR = 1e-9  # two values that are alike by their rules may differ by so much, from rounding


def side(difference: np.ndarray, hair: float = HAIR) -> np.ndarray:
    """On which side of zero a difference (N,) lies: -1, 1, or 0 where it is none."""
    return np.sign(np.where(np.abs(difference) > hair, difference, 0.0))


def first_least(values) -> np.ndarray:
    """The number (N,) of the first of several values that is the least."""
    table = np.stack(values)
    return np.argmax(table <= table.min(axis=0) + HAIR, axis=0)
