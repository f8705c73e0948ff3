"""Bracketed roots of N functions at once.

The method is Chandrupatla's (T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm for finding the
zero of a nonlinear function without using derivatives, Advances in Engineering Software 28, 1997): inverse
quadratic interpolation where the last three points promise that it is safe, halving elsewhere.  An entry
that has converged keeps its value while the others go on, so that its root does not depend on its company.

Where the slope is known too, `polished` is much cheaper: Newton's method, kept inside the bracket.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from .arrays import Floats, Mask
from .dual import plain, settled

Function: TypeAlias = Callable[[Floats], Floats]
ULPS = 1e-15  # of a parameter from 0 to 1: a smaller step changes nothing


def polished(function: Callable[[Floats], tuple[Floats, Floats]], low: Floats, high: Floats, t: Floats, limit: int = 80) -> Floats:
    """Roots (N,) from near values t, for parameters from 0 to 1; no duals.

    `function` takes such an array and gives its values and slopes; it is below zero at `low` and not at `high`.
    """
    going = np.isfinite(t)
    for _ in range(limit):
        value, slope = function(t)
        below = value < 0.0
        low, high = np.where(going & below, t, low), np.where(going & ~below, t, high)
        step = t - value / slope
        better = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
        going = going & (value != 0.0) & (np.abs(better - t) > ULPS)
        t = np.where(going, better, t)
        if not going.any():
            break
    return t


def root(
    function: Function, low: Floats, high: Floats, tolerance: float = 1e-7, limit: int = 60
) -> tuple[Floats, Mask, Floats, Floats]:
    """Roots of `function` between `low` and `high`, all arrays of one shape, mostly (N,).

    `function` takes and gives such an array; entries of NaN count as no bracket.  The root is known to
    `tolerance`, in the unit of the argument, or better.  Gives `(x, found, f_low, f_high)`: the roots,
    whether a bracket shrank to the tolerance within `limit` steps (x is NaN elsewhere), and the values at
    both ends.
    """
    x, converged, f_low, f_high, _ = root_within(function, low, high, 0.0, tolerance, limit)
    return x, converged, f_low, f_high


def root_within(
    function: Function, low: Floats, high: Floats, enough: float, tolerance: float = 1e-7, limit: int = 60
) -> tuple[Floats, Mask, Floats, Floats, Floats]:
    """As `root`, for functions that are dear: it stops where the value is within `enough` of zero, and begins on the chord.

    Gives `(x, found, f_low, f_high, miss)`: the last is how far the value at x was from zero, before x was moved by one more step
    through the last three points.
    """
    a, b = np.array(plain(low), dtype=float), np.array(plain(high), dtype=float)  # a is always the newest point
    f_low, f_high = function(a), function(b)
    sloped = f_low is not plain(f_low) or f_high is not plain(f_high)
    f_low, f_high = np.asarray(plain(f_low), dtype=float), np.asarray(plain(f_high), dtype=float)
    a, b, fa, fb = b, a, f_high.copy(), f_low.copy()
    bracket = np.sign(fa) * np.sign(fb) <= 0.0
    best, f_best = np.where(np.abs(fa) < np.abs(fb), a, b), np.minimum(np.abs(fa), np.abs(fb))
    done = ~bracket | (f_best <= enough)
    t, last = np.full(a.shape, 0.5), np.full(a.shape, np.nan)
    if enough > 0.0:
        with np.errstate(invalid="ignore", divide="ignore"):
            chord = fa / (fa - fb)
        t = np.where((chord > 0.0) & (chord < 1.0), chord, t)
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        for _ in range(limit):
            if done.all():
                break
            x = np.where(done, best, a + t * (b - a))
            fx = np.asarray(plain(function(x)), dtype=float)
            same = np.sign(fx) == np.sign(fa)
            c, fc = np.where(same, a, b), np.where(same, fa, fb)
            b, fb = np.where(done | same, b, a), np.where(done | same, fb, fa)
            a, fa = np.where(done, a, x), np.where(done, fa, fx)
            nearer = np.abs(fa) < np.abs(fb)
            best = np.where(done, best, np.where(nearer, a, b))
            f_best = np.where(done, f_best, np.minimum(np.abs(fa), np.abs(fb)))
            reach = 0.5 * tolerance / np.abs(b - a)
            # A bracket of neighbouring numbers cannot shrink further.
            least = 2.0 * np.finfo(float).eps * np.abs(best) / np.abs(b - a)
            stop = np.maximum(reach, least)
            before, done = done, done | (stop > 0.5) | (f_best <= enough) | np.isnan(fx)
            xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
            quadratic = (phi * phi < xi) & ((1.0 - phi) * (1.0 - phi) < 1.0 - xi)
            step = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (fc - fb)
            good = quadratic & np.isfinite(step)
            last = np.where(done & ~before & good & (f_best > 0.0), a + step * (b - a), last)
            t = np.where(good, step, 0.5)
            t = np.clip(t, np.minimum(stop, 0.5), np.maximum(1.0 - stop, 0.5))
    converged = bracket & done & np.isfinite(f_best)
    if enough > 0.0:
        best = np.where(np.isfinite(last), last, best)
    x = np.where(converged, best, np.nan)
    return settled(function, x) if sloped else x, converged, f_low, f_high, f_best
