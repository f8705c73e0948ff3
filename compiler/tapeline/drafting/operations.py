"""The table of operations that plans are made of.

An operation is a function `(run, *inputs, **options)` over N bodies at once; its name in a plan is its name here.
`run.n` is N, `run.fail(bodies, ...)` records a failure of some bodies at the step's rule.  Comparisons with NaN are
false, so masks are written such that a body that has failed before is not complained about again.
"""

from __future__ import annotations

from collections.abc import Callable

OPERATIONS: dict[str, Callable] = {}


def operation(function: Callable) -> Callable:
    """Enter a function in the table under its own name (a trailing underscore left off)."""
    name = function.__name__.rstrip("_")
    if name in OPERATIONS:
        raise ValueError(f"two operations are called {name}")
    OPERATIONS[name] = function
    return function
