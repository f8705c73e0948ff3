"""Judging seams: whether edges that are sewn to each other agree in length, with what is eased or gathered.

A verdict shows its figures finely enough that the fault can be seen in them.  Its way out is a rule that fits the edges as they
are: the same seam with what there is to ease or to gather, the longer side first; or, where one side is a whole number of times
as long as the other, how often a piece would have to be cut.  Who writes that rule has a seam that passes.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

import numpy as np

from ..geometry.arrays import Floats
from ..source.quantity import finely, show_length
from ..source.text import Span
from .fitted_seams import MOST_EASED
from .fitting_verdicts import fit_as_well
from .ledgers import Ledgers, SeamRow
from .steps import Run

LEAST_OPENING = 1.0  # mm; of an opening, and of what is sewn beside it
MOST_TIMES = 24  # as long as the other side, to be taken for a miscount


def judge_seams(ledgers: Ledgers, run: Run) -> None:
    """Record the failures D450 and D451 of every body in `run`."""
    for row in ledgers.seams:
        {"gathered": _gathered, "eased": _eased}.get(row.kind, _matched)(row, run)
        _left_open(row, run)


def _gathered(row: SeamRow, run: Run) -> None:
    run.fail(
        row.length_one - row.length_other < -row.tolerance,
        "D450",
        f"{row.one} is to be gathered but is shorter than {row.other}",
        span=row.span,
        expected=lambda i: f"more than {_figures(row, i, run.unit)[1]}",
        found=lambda i: _figures(row, i, run.unit)[0],
        suggestion=f"Write, the longer edge first: {_written(row, swapped=True)}, gathered",
    )


def _eased(row: SeamRow, run: Run) -> None:
    run.fail(
        row.stated_ease < 0.0,
        "D451",
        f"{row.one} cannot be eased by less than nothing",
        span=row.span,
        expected="zero or more",
        found=lambda i: show_length(row.stated_ease[i], run.unit),
        suggestion=lambda i: _way_out(row, i, run.unit),
    )
    run.fail(
        (abs(row.difference) > row.tolerance) & ~(row.stated_ease < 0.0),
        "D450",
        f"{row.one} does not match {row.other} with what is eased in",
        span=row.span,
        expected=lambda i: f"{row.one} longer by {show_length(row.ease[i], run.unit)}, to within {_near(row, i, run.unit)}",
        found=lambda i: f"{' and '.join(_figures(row, i, run.unit)[:2])}: {_longer(row, i, run.unit)}{_counted(row, i)}",
        suggestion=lambda i: _way_out(row, i, run.unit),
        others=_fittings(row),
    )


def _matched(row: SeamRow, run: Run) -> None:
    run.fail(
        abs(row.difference) > row.tolerance,
        "D450",
        f"{row.one} and {row.other} do not match",
        span=row.span,
        expected=lambda i: f"lengths that agree to {_near(row, i, run.unit)}",
        found=lambda i: "{} and {}, {} apart".format(*_figures(row, i, run.unit)) + _counted(row, i),
        suggestion=lambda i: _way_out(row, i, run.unit),
        others=_fittings(row),
    )


def _fittings(row: SeamRow) -> list[tuple[Span, str]]:
    return [] if row.fitted is None else [(span, "fitted here") for span in row.fitted.said]


def _left_open(row: SeamRow, run: Run) -> None:
    """D585 of every stretch that has no length or lies on another, else of a seam of which nothing is left."""
    told = np.full(run.n, not row.openings)
    for k, opening in enumerate(row.openings):
        told |= opening.length < LEAST_OPENING
        run.fail(
            opening.length < LEAST_OPENING,
            "D585",
            "What is left open in a seam has no length",
            span=opening.span,
            expected=show_length(LEAST_OPENING, run.unit) + " or more",
            found=_shown(opening.length, run.unit),
            suggestion="Name two places along the seam that lie apart.",
        )
        for earlier in (one for one in row.openings[:k] if one.meets(opening)):
            shared = np.minimum(opening.end, earlier.end) - np.maximum(opening.start, earlier.start)
            told |= shared > 0.0
            run.fail(
                (shared > 0.0) & ~(opening.length < LEAST_OPENING),
                "D585",
                "What is left open in a seam is left open twice",
                span=opening.span,
                expected="stretches that lie beside each other",
                found=_shown(shared, run.unit, " in both"),
                suggestion="Leave the whole stretch open at once.",
            )
    run.fail(
        (row.left_open > row.length_one - LEAST_OPENING) & ~told,
        "D585",
        "Nothing of the seam is left to be sewn",
        span=row.span,
        expected=lambda i: f"less than {show_length(row.length_one[i], run.unit)} left open",
        found=lambda i: show_length(row.left_open[i], run.unit),
        suggestion="Leave a shorter stretch open, or take the seam out.",
    )


def _shown(lengths: Floats, unit: str, words: str = "") -> Callable[[int], str]:
    return lambda i: show_length(lengths[i], unit) + words


def _figures(row: SeamRow, index: int, unit: str) -> tuple[str, str, str]:
    """Both lengths and how far the seam is from what is meant, written so that the fault shows."""
    one, other, off = (float(values[index]) for values in (row.length_one, row.length_other, row.difference))

    def tells(rounded: Callable[[float], float]) -> bool:
        apart = rounded(one) - rounded(other) - rounded(one - other - off)
        return min(abs(apart), rounded(abs(off))) > rounded(row.tolerance)

    show = finely(unit, tells)
    return show(one), show(other), show(abs(off))


def _near(row: SeamRow, index: int, unit: str) -> str:
    """How near the lengths must come to what is meant: as usual, or as finely as the fault is told."""
    if unit != "in":
        return show_length(row.tolerance, "mm")
    off = abs(float(row.difference[index]))
    return finely(unit, lambda rounded: rounded(off) > rounded(row.tolerance))(row.tolerance)


def _longer(row: SeamRow, index: int, unit: str) -> str:
    """By how much the first side of a seam is longer than the second, as drawn."""
    more = float(row.length_one[index] - row.length_other[index])
    return f"{'longer' if more >= 0.0 else 'shorter'} by {show_length(abs(more), unit)}"


def _written(row: SeamRow, swapped: bool = False) -> str:
    one, other = reversed(row.sides) if swapped else row.sides
    return f"sew {one.written} to {other.written}"


def _way_out(row: SeamRow, index: int, unit: str) -> str:
    """What to write so that this body's edges fit as they are; of a fitted seam first what else to fit."""
    as_well = fit_as_well(row, index, unit)
    if as_well:
        return f"Say as well: {as_well}; or bring the edges to one length."
    return _as_they_are(row, index, unit)


def _as_they_are(row: SeamRow, index: int, unit: str) -> str:
    miscount = _miscount(row, index)
    if miscount is not None:
        offers = " or ".join(
            " and ".join(f"cut {piece} {now} instead of {before}" for piece, now, before in cuts) for cuts in miscount[2]
        )
        return f"An edge counts as often as its piece is cut: {offers}. Else bring the edges to one length."
    more = float(row.length_one[index] - row.length_other[index])
    if abs(more) <= row.tolerance:
        return f"Bring the edges to these lengths, or write: {_written(row)}"
    shorter = min(float(row.length_one[index]), float(row.length_other[index]))
    eased = show_length(abs(more), unit).removeprefix("~")
    how = "gathered" if abs(more) > MOST_EASED * shorter else f"easing {eased}"
    return f"Bring the edges to the lengths that are meant, or write, the longer edge first: {_written(row, swapped=more < 0.0)}, {how}"


def _counted(row: SeamRow, index: int) -> str:
    """That one side is a whole number of times as long as the other, with how often the pieces are cut."""
    miscount = _miscount(row, index)
    if miscount is None:
        return ""
    times, short, _ = miscount
    cuts = ", ".join(f"{piece} cut {count}" for side in row.sides for piece, count, _ in side.pieces)
    return f": {row.sides[1 - short].written} is {times} times as long as {row.sides[short].written} ({cuts})"


def _miscount(row: SeamRow, index: int) -> tuple[int, int, list[list[tuple[str, int, int]]]] | None:
    """Where one side is a whole number of times as long as the other: (how many times, which side is the shorter, offers).

    Each offer is pieces with how often they are to be cut and how often they are; the seam then comes out.
    """
    totals = _totals(row, index)
    short = 0 if totals[0] <= totals[1] else 1
    long = 1 - short
    times = round(totals[long] / totals[short]) if totals[short] > 0.0 else 0
    names = [{piece for piece, _, _ in side.pieces} for side in row.sides]
    if not 2 <= times <= MOST_TIMES or names[0] & names[1] or any(side.counted for side in row.sides):
        return None
    offers = []
    if _comes_out(row, index, {short: Fraction(times)}):
        offers.append([(piece, count * times, count) for piece, count, _ in row.sides[short].pieces])
    if all(count % times == 0 for _, count, _ in row.sides[long].pieces) and _comes_out(row, index, {long: Fraction(1, times)}):
        offers.append([(piece, count // times, count) for piece, count, _ in row.sides[long].pieces])
    return (times, short, offers) if offers else None


def _totals(row: SeamRow, index: int) -> list[float]:
    """Both sides with every edge that the garment has of them."""
    shared = _shared([edges for side in row.sides for _, _, edges in side.pieces])
    return [float(values[index]) * shared for values in (row.length_one, row.length_other)]


def _shared(edges: list[int]) -> int:
    """For how many of a piece alike a seam is reckoned: one, where its pieces are not cut equally often."""
    return edges[0] if len(set(edges)) == 1 else 1


def _comes_out(row: SeamRow, index: int, factors: Mapping[int, Fraction]) -> bool:
    """Whether the seam is as it is meant, once the pieces of a side are cut so many times as often as now."""
    edges = [int(number * factors.get(k, 1)) for k, side in enumerate(row.sides) for _, _, number in side.pieces]
    one, other = (total * factors.get(k, 1) / _shared(edges) for k, total in enumerate(_totals(row, index)))
    ease = float(row.ease[index])
    return bool(ease >= 0.0 and abs(one - other - ease) <= row.tolerance)
