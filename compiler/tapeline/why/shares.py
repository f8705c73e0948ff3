"""By how much each measure and choice moves a place: exact slopes of the plan.

The steps behind a place are run once more on duals (`sizing.slopes.run_moving`), the body once for each measure or choice.  A slope
is told for a centimetre or an inch more, for a degree more, or for one more of a plain number; it holds for small changes.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np

from ..drafting.courses import Draft
from ..drafting.steps import Run
from ..geometry.dual import slope_of
from ..meaning.kinds import ANGLE, LENGTH
from ..sizing.slopes import NOTHING, run_moving
from ..source.units import UNITS
from .book import RuleBook, length_of
from .tree import TreeRule

Read = Callable[[Run], Any]  # of a run on duals: one figure (K,) of a place


class MovingPart(NamedTuple):
    """A figure of a place: its word (across, down, or nothing), the slots it rests on and how it is read."""

    word: str
    slots: tuple[int, ...]
    read: Read


class LeafShare(NamedTuple):
    """What a measure or choice does to a place: `moves` has for each part of the place how far it goes for a millimetre, a radian or
    one more of it, in mm (or radians)."""

    name: str
    sort: str
    figure: str
    words: str
    moves: tuple[float, ...]

    def as_data(self, parts: Sequence[str]) -> dict[str, Any]:
        return {
            "name": self.name,
            "sort": self.sort,
            "figure": self.figure,
            "words": self.words,
            "by": dict(zip(parts, self.moves, strict=True)),
        }


def part_of(slot: int, word: str = "", factor: float = 1.0) -> MovingPart:
    """The value of a quantity, or the length of an edge or a line."""

    def read(run: Run) -> Any:
        value = run.filled[slot]
        length = length_of(value)
        return (value if length is None else length) * factor

    return MovingPart(word, (slot,), read)


def point_parts(slot: int) -> tuple[MovingPart, MovingPart]:
    """How far a point lies across and down."""
    return (
        MovingPart("across", (slot,), lambda run: run.filled[slot][:, 0]),
        MovingPart("down", (slot,), lambda run: run.filled[slot][:, 1]),
    )


def sum_part(terms: Sequence[tuple[float, int]]) -> MovingPart:
    def read(run: Run) -> Any:
        return sum(run.filled[slot] * factor for factor, slot in terms)

    return MovingPart("", tuple(slot for _, slot in terms), read)


def apart(slot: int, other: int, word: str = "") -> MovingPart:
    """How far two points lie apart."""

    def read(run: Run) -> Any:
        off = run.filled[slot] - run.filled[other]
        return np.sqrt(off[:, 0] * off[:, 0] + off[:, 1] * off[:, 1])

    return MovingPart(word, (slot, other), read)


def shares(book: RuleBook, drafted: Draft, rules: Sequence[TreeRule], parts: Sequence[MovingPart]) -> tuple[LeafShare, ...]:
    """The share of each measure and choice among the rules, the greatest first."""
    leaves = [rule for rule in rules if rule.sort in ("measure", "choice") and rule.values and rule.kind != "condition"]
    names = list(dict.fromkeys((rule.sort, rule.name) for rule in leaves))
    moves = slopes(book, drafted, names, parts)
    by_name = {(rule.sort, rule.name): rule for rule in leaves}
    told = [
        LeafShare(
            name,
            sort,
            by_name[sort, name].comes,
            _words(book, by_name[sort, name].kind, parts, moves[:, k]),
            tuple(moves[:, k].tolist()),
        )
        for k, (sort, name) in enumerate(names)
    ]
    yes_or_no = [rule for rule in rules if rule.sort == "choice" and rule.kind == "condition"]
    told.sort(key=lambda share: -math.hypot(*(move if math.isfinite(move) else 0.0 for move in share.moves)))
    nothing = (0.0,) * len(parts)
    return (*told, *(LeafShare(rule.name, "choice", rule.comes, "tells which way the rules go", nothing) for rule in yes_or_no))


def slopes(book: RuleBook, drafted: Draft, leaves: Sequence[tuple[str, str]], parts: Sequence[MovingPart]) -> Any:
    """(parts, leaves): how far each part goes for each leaf, (measure or choice, its name); NaN where it is not known."""
    if not leaves or not parts:
        return np.zeros((len(parts), len(leaves)))
    wanted = [slot for part in parts for slot in part.slots]
    index = np.full(len(leaves), book.index)

    def ways(sort: str) -> Mapping[str, Any]:
        return {name: np.array([1.0 if (sort, name) == leaf else 0.0 for leaf in leaves]) for of, name in leaves if of == sort}

    run = run_moving(drafted, index, ways("measure"), ways("choice"), wanted)
    rows = []
    with np.errstate(all="ignore"):
        for part in parts:
            slope = np.broadcast_to(slope_of(part.read(run)), (len(leaves),))
            rows.append(np.where(np.abs(slope) < NOTHING, 0.0, slope))
    return np.array(rows)


def _words(book: RuleBook, kind: str, parts: Sequence[MovingPart], moves: Any) -> str:
    """1 cm more: +0.25 cm."""
    per = UNITS[book.unit].shown.mm if book.unit != "mm" else 10.0
    by, step = (
        (per, book.ways.show(per, book.unit)) if kind == "length" else (math.radians(1.0), "1 deg") if kind == "angle" else (1.0, "1")
    )
    told = [(part, _signed(book, part, float(move) * by)) for part, move in zip(parts, moves, strict=True)]
    moved = ", ".join(f"{part.word} {words}".strip() for part, words in told if words != "0")
    return f"{step} more: {moved}" if moved else ""


def _signed(book: RuleBook, part: MovingPart, by: float) -> str:
    if not math.isfinite(by):
        return "not known"
    kind = book.kinds[part.slots[0]]
    if kind in (LENGTH,) or kind.word in ("point", "edge", "line"):
        return book.ways.signed(by, book.unit)
    shown = book.figure(abs(by), kind if kind is not ANGLE else ANGLE)
    return f"{'-' if by < 0 else '+'}{shown}" if abs(by) > NOTHING else "0"
