"""Arithmetic on whole ranges of bodies at once, so that what holds for a box of bodies is proved and not sampled.

A `Form` stands for a quantity over B boxes: centre + coefficients * e + an error, where every e, one for each
variable of the box, lies between -1 and 1, and the error within +-`error`.  This is affine arithmetic (Comba and
Stolfi 1993, Affine arithmetic and its applications to computer graphics): what two quantities share cancels, so that
hip / 4 - waist / 4 is as exact as (hip - waist) / 4.  Beside it stand plain bounds `low` and `high`, which may be
closer.  After each operation all is widened by `SLACK` of its size, many times what rounding to doubles can move it, so
that a draft's own rounding lies within as well.  `unsure` (B,) marks boxes in which a body may have no value at all.

A condition is a form whose bounds are 0 and 1: true where `low` is 1, false where `high` is 0, else not settled.

Each operation of a plan that can be carried out over boxes names its function here in its record (`drafting/operations.py`):
it takes the boxes, the forms of the step's inputs, and the step's options.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

import numpy as np

SLACK = 1e-12


@dataclass(slots=True, eq=False)
class Form:
    centre: np.ndarray  # (B,)
    parts: np.ndarray  # (B, V)
    error: np.ndarray  # (B,)
    low: np.ndarray
    high: np.ndarray
    unsure: np.ndarray
    least: tuple[Form, ...] = ()  # forms that it is never below, as the greatest of two is never below either
    most: tuple[Form, ...] = ()  # forms that it is never above
    among: tuple[Form, ...] = ()  # forms of which it is one, body by body

    @property
    def reach(self) -> np.ndarray:
        """How far (B,) the form goes from its centre to either side."""
        return np.asarray(np.abs(self.parts).sum(axis=1) + self.error)


def form(
    centre: np.ndarray,
    parts: np.ndarray,
    error: np.ndarray,
    unsure: np.ndarray,
    low: np.ndarray | None = None,
    high: np.ndarray | None = None,
) -> Form:
    """A form with its bounds, all widened by the slack; `low` and `high` are known otherwise."""
    linear = np.abs(parts).sum(axis=1)
    error = error + SLACK * (np.abs(centre) + linear + error)
    reach = linear + error
    lowest, highest = centre - reach * (1 + SLACK), centre + reach * (1 + SLACK)
    if low is not None and high is not None:
        lowest = np.fmax(lowest, low - SLACK * np.abs(low))
        highest = np.fmin(highest, high + SLACK * np.abs(high))
    return Form(centre, parts, error, lowest, highest, unsure | ~np.isfinite(lowest + highest))


MOST_KEPT = 4  # of the forms that a form is never below, or never above


def _between(form_: Form, least: Iterable[Form], most: Iterable[Form]) -> Form:
    """The form with what it is never below and never above, and its bounds as close as these allow."""
    form_.least, form_.most = tuple(least)[:MOST_KEPT], tuple(most)[:MOST_KEPT]
    for bound in form_.least:
        form_.low = np.where(bound.unsure, form_.low, np.maximum(form_.low, bound.low))
    for bound in form_.most:
        form_.high = np.where(bound.unsure, form_.high, np.minimum(form_.high, bound.high))
    return form_


def plain(low: np.ndarray, high: np.ndarray, like: Form, unsure: np.ndarray | None = None) -> Form:
    """Bounds alone: no coefficient is known.  Endless bounds make an unsure form."""
    endless = ~(np.isfinite(low) & np.isfinite(high))
    low, high = np.where(endless, -1e300, low), np.where(endless, 1e300, high)
    return form(
        (low + high) / 2, np.zeros_like(like.parts), (high - low) / 2, endless | (like.unsure if unsure is None else unsure), low, high
    )


def fixed(value: float, boxes: int, variables: int) -> Form:
    centre = np.full(boxes, float(value))
    return form(centre, np.zeros((boxes, variables)), np.zeros(boxes), np.zeros(boxes, dtype=bool), centre, centre)


def truth(low: np.ndarray, high: np.ndarray, unsure: np.ndarray) -> Form:
    """A condition from its bounds, which are 0 or 1."""
    low, high = low.astype(float), high.astype(float)
    boxes = len(low)
    return Form((low + high) / 2, np.zeros((boxes, 1)), (high - low) / 2, low, high, unsure)


@dataclass(slots=True, eq=False)
class Boxes:
    """B boxes of bodies: bounds (B, V) of the variables, and the forms of the steps carried out for them.

    `pull` (B, V) tells how much each variable bears on what is not settled: where to cut a box in two.
    """

    low: np.ndarray
    high: np.ndarray
    place: dict[str, int]  # variable -> its column
    settings: dict[str, float]
    in_inches: bool = False  # whether choices have their defaults for inches
    pull: np.ndarray = field(init=False)

    def __post_init__(self) -> None:
        self.pull = np.zeros_like(self.low)

    def __len__(self) -> int:
        return len(self.low)

    def variable(self, name: str) -> Form:
        column = self.place[name]
        low, high = self.low[:, column], self.high[:, column]
        parts = np.zeros_like(self.low)
        parts[:, column] = (high - low) / 2
        return form((low + high) / 2, parts, np.zeros(len(low)), np.zeros(len(low), dtype=bool), low, high)

    def undecided(self, where: np.ndarray, *forms: Form) -> None:
        for form_ in forms:
            if form_.parts.shape == self.pull.shape:
                self.pull += np.where(where[:, None], np.abs(form_.parts), 0.0)


def _unsure(*forms: Form) -> np.ndarray:
    return np.asarray(np.logical_or.reduce([form_.unsure for form_ in forms]))


def bounds_where(form_: Form, known: Sequence[Form]) -> tuple[np.ndarray, np.ndarray]:
    """The least and the greatest (B,) that a form can be in bodies for whom every form of `known` is zero or more.

    What it is less some part of such a form is a lower bound of it too; the part is that which takes away most of what makes
    it vary.  So 40 % of what is known to be more than 2 cm is at once more than 0.8 cm.
    """
    low, high = form_.low, form_.high
    for known_form in known:
        if known_form.parts.shape != form_.parts.shape:
            continue
        part = (form_.parts * known_form.parts).sum(axis=1) / np.maximum((known_form.parts**2).sum(axis=1), 1e-300)
        for side in (1.0, -1.0):
            times = np.where(np.isfinite(part) & ~known_form.unsure, np.maximum(side * part, 0.0), 0.0)
            rest = form(
                form_.centre - side * times * known_form.centre,
                form_.parts - (side * times)[:, None] * known_form.parts,
                form_.error + times * known_form.error,
                form_.unsure,
            )
            low, high = (np.fmax(low, rest.low), high) if side > 0.0 else (low, np.fmin(high, rest.high))
    for below in form_.least:
        low = np.where(below.unsure, low, np.maximum(low, bounds_where(below, known)[0]))
    for above in form_.most:
        high = np.where(above.unsure, high, np.minimum(high, bounds_where(above, known)[1]))
    if form_.among:
        lows, highs = zip(*(bounds_where(side, known) for side in form_.among), strict=True)
        low, high = np.maximum(low, np.minimum.reduce(lows)), np.minimum(high, np.maximum.reduce(highs))
    return low, high


# ------------------------------------------------------------------------------------------------- linear


def constant(boxes: Boxes, number: float) -> Form:
    return fixed(number, len(boxes), boxes.low.shape[1])


def measure(boxes: Boxes, name: str, of: str = "length") -> Form:
    return boxes.variable(name)


def choose(
    boxes: Boxes, default: Form, low: Form | None = None, high: Form | None = None, *, inches: Form | None = None, name: str
) -> Form:
    if name in boxes.place:
        return boxes.variable(name)
    if name in boxes.settings:
        return fixed(boxes.settings[name], len(boxes), boxes.low.shape[1])
    return default if inches is None or not boxes.in_inches else inches


def _sum(a: Form, b: Form) -> Form:
    return form(a.centre + b.centre, a.parts + b.parts, a.error + b.error, _unsure(a, b), a.low + b.low, a.high + b.high)


def _times(a: Form, factor: float) -> Form:
    low, high = (a.low * factor, a.high * factor) if factor >= 0.0 else (a.high * factor, a.low * factor)
    return form(a.centre * factor, a.parts * factor, a.error * abs(factor), a.unsure, low, high)


def add(boxes: Boxes, a: Form, b: Form) -> Form:
    least, most = (
        [*(_sum(bound, b) for bound in getattr(a, side)), *(_sum(a, bound) for bound in getattr(b, side))] for side in ("least", "most")
    )
    return _between(_sum(a, b), least, most)


def subtract(boxes: Boxes, a: Form, b: Form) -> Form:
    return add(boxes, a, scaled(boxes, b, factor=-1.0))


def scaled(boxes: Boxes, a: Form, *, factor: float) -> Form:
    least, most = ([_times(bound, factor) for bound in side] for side in (a.least, a.most))
    return _between(_times(a, factor), *((least, most) if factor > 0.0 else (most, least) if factor < 0.0 else ((), ())))


def negative(boxes: Boxes, a: Form) -> Form:
    return scaled(boxes, a, factor=-1.0)


def half(boxes: Boxes, a: Form) -> Form:
    return scaled(boxes, a, factor=0.5)


def third(boxes: Boxes, a: Form) -> Form:
    return scaled(boxes, a, factor=1.0 / 3.0)


def quarter(boxes: Boxes, a: Form) -> Form:
    return scaled(boxes, a, factor=0.25)


def weighted_sum(boxes: Boxes, *values: Form, factors: Sequence[float]) -> Form:
    total = fixed(0.0, len(boxes), boxes.low.shape[1])
    for value, factor in zip(values, factors, strict=True):
        total = add(boxes, total, scaled(boxes, value, factor=factor))
    return total


def halfway(boxes: Boxes, a: Form, b: Form) -> Form:
    return half(boxes, add(boxes, a, b))


def add_steps(boxes: Boxes, a: Form, step: Form, *, steps: float) -> Form:
    return add(boxes, a, scaled(boxes, step, factor=steps))


def rest(boxes: Boxes, total: Form, *parts: Form, named: bool) -> Form:
    for part in parts:
        total = subtract(boxes, total, part)
    return total


# ------------------------------------------------------------------------------------- products and curves


def multiply(boxes: Boxes, a: Form, b: Form) -> Form:
    curved = a.reach * b.reach + np.abs(a.centre) * b.error + np.abs(b.centre) * a.error
    ends = (a.low * b.low, a.low * b.high, a.high * b.low, a.high * b.high)
    return form(
        a.centre * b.centre,
        a.centre[:, None] * b.parts + b.centre[:, None] * a.parts,
        curved,
        _unsure(a, b),
        np.minimum.reduce(ends),
        np.maximum.reduce(ends),
    )


def square(a: Form) -> Form:
    """a * a, whose bend is all on one side."""
    reach, centre = a.reach, a.centre
    low = np.where((a.low <= 0.0) & (a.high >= 0.0), 0.0, np.minimum(a.low**2, a.high**2))
    linear = np.abs(a.parts).sum(axis=1)
    # (c + p + e)^2 = c^2 + 2 c p + 2 c e + (p + e)^2, the last between zero and the square of the reach
    return form(
        centre**2 + reach**2 / 2,
        2.0 * centre[:, None] * a.parts,
        2.0 * np.abs(centre) * (reach - linear) + reach**2 / 2,
        a.unsure,
        low,
        np.maximum(a.low**2, a.high**2),
    )


def _bent(
    a: Form,
    slope: np.ndarray,
    offset: np.ndarray,
    half_width: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    unsure: np.ndarray,
) -> Form:
    """A curve of a, held between two parallel lines: slope * a + offset, to within half_width."""
    return form(slope * a.centre + offset, slope[:, None] * a.parts, np.abs(slope) * a.error + half_width, unsure, low, high)


def divide(boxes: Boxes, a: Form, b: Form) -> Form:
    return multiply(boxes, a, _inverse(boxes, b))


def _inverse(boxes: Boxes, b: Form) -> Form:
    """1 / b.  Where b may be zero nothing is known."""
    zero = (b.low <= 0.0) & (b.high >= 0.0)
    boxes.undecided(zero, b)
    low, high = np.where(zero, 1.0, b.low), np.where(zero, 1.0, b.high)
    slope = -1.0 / (low * high)  # the chord's; the curve lies on one side of it, farthest where it runs as steep
    at_chord, at_steep = 1.0 / low - slope * low, np.sign(low) * 2.0 * np.sqrt(-slope)
    known = _bent(b, slope, (at_chord + at_steep) / 2, np.abs(at_chord - at_steep) / 2, 1.0 / high, 1.0 / low, b.unsure)
    return _where(zero, plain(np.full(len(low), -np.inf), np.full(len(low), np.inf), b), known)


def root(boxes: Boxes, a: Form) -> Form:
    below = a.low < 0.0
    boxes.undecided(below, a)
    low, high = np.maximum(a.low, 0.0), np.maximum(a.high, 0.0)
    lowest, highest = np.sqrt(low), np.sqrt(high)
    flat = ~(highest > 0.0)
    slope = np.where(flat, 0.0, 1.0 / np.where(flat, 1.0, lowest + highest))
    at_chord = lowest - slope * low
    at_steep = np.where(flat, 0.0, 0.25 / np.where(flat, 1.0, slope))
    known = _bent(a, slope, (at_chord + at_steep) / 2, np.abs(at_chord - at_steep) / 2, lowest, highest, a.unsure)
    return _where(below, plain(lowest, highest, a, a.unsure | below), known)


def hypotenuse(boxes: Boxes, a: Form, b: Form) -> Form:
    return root(boxes, add(boxes, square(a), square(b)))


def absolute_value(boxes: Boxes, a: Form) -> Form:
    over = (a.low < 0.0) & (a.high > 0.0)
    boxes.undecided(over, a)
    low, high = np.where(over, a.low, -1.0), np.where(over, a.high, 1.0)
    slope, gap = (high + low) / (high - low), -2.0 * low * high / (high - low)
    bent = _bent(a, slope, gap / 2, gap / 2, np.zeros(len(low)), np.maximum(-a.low, a.high), a.unsure)
    sized = _where(over, bent, _where(a.high <= 0.0, negative(boxes, a), a))
    return _between(sized, (a, negative(boxes, a)), ())


def _lesser(boxes: Boxes, a: Form, b: Form, sign: int) -> Form:
    """The least (sign 1) or greatest (sign -1) of two: half their sum, less or more half their difference's size."""
    apart = absolute_value(boxes, subtract(boxes, a, b))
    both_of = add(boxes, a, b)
    either_of = half(boxes, subtract(boxes, both_of, apart) if sign > 0 else add(boxes, both_of, apart))
    pick = np.minimum if sign > 0 else np.maximum
    either_of = form(either_of.centre, either_of.parts, either_of.error, either_of.unsure, pick(a.low, b.low), pick(a.high, b.high))
    first = a.high <= b.low if sign > 0 else a.low >= b.high
    second = b.high <= a.low if sign > 0 else b.low >= a.high
    chosen = _where(first, a, _where(second, b, either_of))
    chosen.unsure = _unsure(a, b)
    chosen.among = (a, b)
    return _between(chosen, *(((), (a, b, *a.most, *b.most)) if sign > 0 else ((a, b, *a.least, *b.least), ())))


def least(boxes: Boxes, first: Form, *others: Form) -> Form:
    for form_ in others:
        first = _lesser(boxes, first, form_, 1)
    return first


def greatest(boxes: Boxes, first: Form, *others: Form) -> Form:
    for form_ in others:
        first = _lesser(boxes, first, form_, -1)
    return first


def _wave(boxes: Boxes, a: Form, shift: float) -> Form:
    """The sine of a + shift, by its slope at the centre; it bends by at most half the reach squared."""
    reach, at = a.reach, a.centre + shift
    bounds = np.ones(len(at))
    return _bent(a, np.cos(at), np.sin(at) - np.cos(at) * a.centre, reach * reach / 2, -bounds, bounds, a.unsure)


def sine(boxes: Boxes, a: Form) -> Form:
    return _wave(boxes, a, 0.0)


def cosine(boxes: Boxes, a: Form) -> Form:
    return _wave(boxes, a, np.pi / 2)


def tangent(boxes: Boxes, a: Form) -> Form:
    return divide(boxes, sine(boxes, a), cosine(boxes, a))


def rounded_down(boxes: Boxes, a: Form) -> Form:
    low, high = np.floor(a.low + 1e-9 - 1e-12), np.floor(a.high + 1e-9 + 1e-12)
    boxes.undecided(low != high, a)
    return plain(low, high, a)


def rounded_up(boxes: Boxes, a: Form) -> Form:
    low, high = np.ceil(a.low - 1e-9 - 1e-12), np.ceil(a.high - 1e-9 + 1e-12)
    boxes.undecided(low != high, a)
    return plain(low, high, a)


def between_levels(boxes: Boxes, upper: Form, lower: Form, y_upper: Form, y_lower: Form, y: Form) -> Form:
    share = divide(boxes, subtract(boxes, y, y_upper), subtract(boxes, y_lower, y_upper))
    return add(boxes, upper, multiply(boxes, subtract(boxes, lower, upper), share))


def positive(boxes: Boxes, a: Form, *, what: str) -> Form:
    boxes.undecided(a.low <= 0.0, a)
    answer = form(a.centre, a.parts, a.error, a.unsure | (a.low <= 0.0), a.low, a.high)
    return answer


# --------------------------------------------------------------------------------------------- conditions


def compare(boxes: Boxes, a: Form, b: Form, within: Form | None = None, *, relation: str) -> Form:
    slack = fixed(1e-3, len(boxes), boxes.low.shape[1]) if within is None else within
    apart = subtract(boxes, a, b)
    more, less = add(boxes, apart, slack), subtract(boxes, apart, slack)  # a >= b - slack; a > b + slack
    at_least, at_most = (more.low >= 0.0, more.high >= 0.0), (less.high <= 0.0, less.low <= 0.0)

    def denied(answer: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        return ~answer[1], ~answer[0]

    def together(left: tuple[np.ndarray, np.ndarray], right: tuple[np.ndarray, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        return left[0] & right[0], left[1] & right[1]

    answers = {
        "at least": at_least,
        "at most": at_most,
        "more than": denied(at_most),
        "less than": denied(at_least),
        "is": together(at_least, at_most),
        "is not": denied(together(at_least, at_most)),
    }
    low, high = answers[relation]
    boxes.undecided(low != high, apart)
    return truth(low, high, _unsure(a, b))


def either(boxes: Boxes, a: Form, b: Form) -> Form:
    return truth(np.maximum(a.low, b.low), np.maximum(a.high, b.high), _unsure(a, b))


def both(boxes: Boxes, a: Form, b: Form) -> Form:
    return truth(np.minimum(a.low, b.low), np.minimum(a.high, b.high), _unsure(a, b))


def negated(boxes: Boxes, a: Form) -> Form:
    return truth(1.0 - a.high, 1.0 - a.low, a.unsure)


def either_value(boxes: Boxes, condition: Form, a: Form, b: Form) -> Form:
    yes, no = condition.low > 0.5, condition.high <= 0.5
    open_ = ~(yes | no)
    hull = plain(np.fmin(a.low, b.low), np.fmax(a.high, b.high), a, _unsure(a, b))
    chosen = _where(yes, a, _where(no, b, hull))
    chosen.unsure = condition.unsure | np.where(yes, a.unsure, np.where(no, b.unsure, hull.unsure))
    boxes.undecided(open_, condition)
    return chosen


def _where(mask: np.ndarray, first: Form, second: Form) -> Form:
    wide = max(first.parts.shape[1], second.parts.shape[1])
    first_parts, second_parts = (
        np.broadcast_to(form_.parts, (len(mask), wide)) if form_.parts.shape[1] != wide else form_.parts for form_ in (first, second)
    )
    pairs = (
        (first.centre, second.centre),
        (first.error, second.error),
        (first.low, second.low),
        (first.high, second.high),
        (first.unsure, second.unsure),
    )
    centre, error, low, high, unsure = (np.where(mask, a, b) for a, b in pairs)
    return Form(centre, np.where(mask[:, None], first_parts, second_parts), error, low, high, unsure)
