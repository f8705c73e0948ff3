"""Roots of functions that can be asked at many places at once for hardly more than at one.

A function drawn by many small steps for one body costs nearly as much as for ten.  So instead of one trial after another the whole
bracket is sampled at once, at places that stand closer toward its ends (those of Chebyshev, so that a polynomial through the values
goes astray nowhere), the root read off by inverse interpolation (Neville's scheme through the nearest values, one more of them at a
time; how far the best of these estimates differ tells how exact they are), and a few places about it sampled next, until nothing moves.

It is only believed where all can be seen: the function is known at every sample, no end of the bracket is itself a root, and it
changes its sign once.  Elsewhere it says that it has not found one, and `solve.root_within` has to look.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from .arrays import Floats, Mask

SAMPLES = 9
FIRST = (1.0 - np.cos(np.pi * np.arange(SAMPLES) / (SAMPLES - 1))) / 2.0
ABOUT = np.array([-1.0, -0.3, 0.3, 1.0])
ROUNDS = 6
VALUES = 6  # through so many an estimate goes at most
CLOSE = 0.01  # of the bracket: two estimates may agree by chance until samples stand so near on either side
EXACT = 1e-4  # of what is enough: the root is as exact as the function is


def sampled_root(function: Callable[[Floats], Floats], low: Floats, high: Floats, enough: float) -> tuple[Floats, Mask]:
    """`(x, found)`, both (N,), for bounds (N,).

    `function` takes and gives (N, K), for any K.  The value at x is within a ten thousandth of `enough` of zero; x is NaN where it is not
    found in this way.
    """
    with np.errstate(all="ignore"):
        x = low[:, None] + (high - low)[:, None] * FIRST
        x[:, -1] = high
        f = function(x)
        found = np.isfinite(f).all(axis=1) & (np.abs(f[:, 0]) > enough) & (np.abs(f[:, -1]) > enough)
        root, settled = np.full(len(low), np.nan), np.zeros(len(low), dtype=bool)
        for left in reversed(range(ROUNDS)):
            found &= _changes(f).sum(axis=1) == 1
            estimate, error, near, far, steep = _estimated(x, f)
            now = found & ~settled & (error * steep <= EXACT * enough) & (far - near <= CLOSE * np.abs(high - low))
            root = np.where(now, estimate, root)
            settled |= now
            if (settled | ~found).all() or not left:
                break
            around = np.maximum(4.0 * error, 1e-4 * (far - near))[:, None] * ABOUT
            more = np.where((found & ~settled)[:, None], np.clip(estimate[:, None] + around, near[:, None], far[:, None]), x[:, :1])
            x, f = np.concatenate([x, more], axis=1), np.concatenate([f, function(more)], axis=1)
            order = np.argsort(x, axis=1, kind="stable")
            x, f = np.take_along_axis(x, order, 1), np.take_along_axis(f, order, 1)
        return root, settled


def _changes(f: Floats) -> Mask:
    changes: Mask = (f[:, 1:] >= 0.0) != (f[:, :-1] >= 0.0)
    return changes


def _estimated(x: Floats, f: Floats) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Where f is zero, how far that may be wrong, the samples on either side, and how steep f is between them; each (N,)."""
    first = np.argmax(_changes(f), axis=1)
    rows = np.arange(len(x))
    near, far = x[rows, first], x[rows, first + 1]
    steep = np.abs((f[rows, first + 1] - f[rows, first]) / (far - near))
    places = first[:, None] + np.array([0, 1, -1, 2, -2, 3])[:VALUES]
    there = (places >= 0) & (places < x.shape[1])
    places = np.clip(places, 0, x.shape[1] - 1)
    xs = np.where(there, np.take_along_axis(x, places, 1), np.nan)
    fs = np.where(there, np.take_along_axis(f, places, 1), np.nan)
    ladder = [xs[:, k] for k in range(VALUES)]
    estimate, error = np.full(len(x), np.nan), np.full(len(x), np.inf)
    last, moved = ladder[0], np.full(len(x), np.inf)
    for order in range(1, VALUES):
        ladder = [
            (fs[:, k] * ladder[k + 1] - fs[:, k + order] * ladder[k]) / (fs[:, k] - fs[:, k + order]) for k in range(VALUES - order)
        ]
        value = ladder[0]
        moved, before = np.abs(value - last), moved
        doubt = np.maximum(moved, 1e-3 * before)
        better = (doubt < error) & (value >= near) & (value <= far)
        estimate, error, last = np.where(better, value, estimate), np.where(better, doubt, error), value
    chord = np.isnan(estimate)
    return np.where(chord, (near + far) / 2.0, estimate), np.where(chord, (far - near) / 2.0, error), near, far, steep
