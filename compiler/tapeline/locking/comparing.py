"""A lock beside what its style gives today: which rows have moved, at which sizes, and how far.

A figure has moved where the two differ by more than `LIMIT`: twice the rounding of a lock, so that a draft which comes out
alike is never told, whichever way its last figure was rounded.  Rows are compared at the sizes that were drafted both times; a
size that fails today, or no longer fails, is told as such.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from ..meaning.style import Style
from ..source.diagnostics import Diagnostic, has_errors
from ..source.text import Source, Span
from ..source.world import World
from .causes import causes_of
from .lock import COURSES, Key, Lock, Value
from .recording import record
from .texts import Change, Place, StyleTexts, differences, kept_texts

LIMIT = 0.002  # mm or degrees


class Move(NamedTuple):
    """A row that is not as it was locked; `at` are the numbers of the sizes concerned."""

    key: Key
    before: tuple[Value, ...]
    after: tuple[Value, ...]
    at: tuple[int, ...]

    def by(self, size: int) -> tuple[float, float] | float | None:
        """How a place (x, y) or a figure has moved at a size; None for words, and for what is new or gone."""
        before, after = self.before[size], self.after[size]
        if isinstance(before, tuple) and isinstance(after, tuple):
            return after[0] - before[0], after[1] - before[1]
        if isinstance(before, float) and isinstance(after, float):
            return after - before
        return None

    def far(self, size: int) -> float:
        """The way of `by`, without its direction; 0 where there is none."""
        by = self.by(size)
        return 0.0 if by is None else math.hypot(*by) if isinstance(by, tuple) else abs(by)

    @property
    def new(self) -> bool:
        return all(self.before[size] is None for size in self.at)

    @property
    def removed(self) -> bool:
        return all(self.after[size] is None for size in self.at)


@dataclass(slots=True)
class Comparison:
    lock: Lock
    present: Lock
    moves: list[Move]
    changes: list[Change]  # of the rules, in the order of the texts
    causes: dict[Key, list[Change | str]] = field(default_factory=dict)
    reworded: bool = False  # some text has another hash
    failing: dict[str, str] = field(default_factory=dict)  # sizes that fail today and did not, or fail otherwise
    mended: list[str] = field(default_factory=list)  # sizes that no longer fail

    @property
    def moved(self) -> bool:
        return bool(self.moves or self.failing or self.mended)


def present_lock(lock: Lock, style: Style, sources: Mapping[Place, Source]) -> tuple[Lock, list[Diagnostic]]:
    """The lock that the style would have today, and what is said of its sizes."""
    recording = record(style, lock)
    plan = style.plan()
    return Lock(
        plan.name,
        plan.version,
        lock.file,
        lock.unit,
        dict(lock.settings),
        dict(lock.allowances),
        lock.sizes,
        dict(lock.measures),
        kept_texts(sources),
        recording.rows,
        recording.fails,
    ), recording.diagnostics


def unfit(lock: Lock, style: Style, span: Span) -> list[Diagnostic]:
    """What keeps a style from being drafted for the sizes of a lock.  L107, L108."""
    offered = {name for plan in style.plans() for name in plan.choices}
    lacking, withdrawn = [name for name in style.needed if name not in lock.measures], sorted(lock.settings.keys() - offered)
    diagnostics = []
    if lacking:
        diagnostics.append(
            Diagnostic(
                "L107",
                "The style needs a measure that the lock has not",
                span,
                ", ".join(style.needed),
                f"no {', '.join(lacking)}",
                "Lock the style again over its sizes.",
            )
        )
    if withdrawn:
        diagnostics.append(
            Diagnostic(
                "L108",
                "The style no longer offers a choice that the lock sets",
                span,
                ", ".join(sorted(offered)) or "no choice",
                ", ".join(withdrawn),
                "Lock the style again.",
            )
        )
    return diagnostics


def compared(
    lock: Lock, at: Span, reading: StyleTexts, world: World, step: Callable[[], object] = lambda: None
) -> tuple[Comparison | None, list[Diagnostic]]:
    """A lock beside its style as it was read in a world; `at` is where the lock stands.

    `step` is called after each draft.  None where the style cannot be drafted at all.
    """
    if reading.style is None or has_errors(reading.diagnostics):
        return None, reading.diagnostics
    wrong = unfit(lock, reading.style, at)
    if wrong:
        return None, wrong
    present, _ = present_lock(lock, reading.style, reading.sources)
    step()
    diffs = differences(lock.texts, reading.sources)
    changes = [change for diff in diffs for change in diff.changes()]
    reworded = {place: text.hash for place, text in lock.texts.items()} != {place: text.hash for place, text in present.texts.items()}
    failing = {size: words for size, words in present.fails.items() if lock.fails.get(size) != words}
    mended = [size for size in lock.fails if size not in present.fails]
    moves = moves_between(lock, present)
    comparison = Comparison(lock, present, moves, changes, {}, reworded, failing, mended)
    if moves:
        comparison.causes = causes_of(comparison, reading.sources, diffs, world, differing, step)
    return comparison, []


def moves_between(before: Lock, after: Lock) -> list[Move]:
    """Every row that has moved, in the order of the lock and then of today's."""
    return [
        Move(key, before.rows.get(key, (None,) * len(before.sizes)), after.rows.get(key, (None,) * len(before.sizes)), at)
        for key, at in differing(before, after).items()
    ]


def differing(before: Lock, after: Lock) -> dict[Key, tuple[int, ...]]:
    """The rows that differ and the numbers of the sizes at which they do, among those that both have drafted."""
    shared = [number for number, size in enumerate(before.sizes) if size not in before.fails and size not in after.fails]
    lacking = (None,) * len(before.sizes)
    rows = {}
    for key in {**before.rows, **after.rows}:
        old, new = before.rows.get(key, lacking), after.rows.get(key, lacking)
        if old == new:
            continue
        if key.section == COURSES:  # a condition in other words is no other course
            at = tuple(number for number, pair in enumerate(zip(old, new, strict=True)) if None not in pair and pair[0] != pair[1])
        else:
            at = tuple(number for number in shared if not same(old[number], new[number]))
        if at:
            rows[key] = at
    return rows


def same(left: Value, right: Value) -> bool:
    if isinstance(left, tuple) and isinstance(right, tuple):
        return math.hypot(right[0] - left[0], right[1] - left[1]) <= LIMIT
    if isinstance(left, float) and isinstance(right, float):
        return abs(right - left) <= LIMIT
    return left == right
