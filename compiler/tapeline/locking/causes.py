"""Which of several changes moved what: found by trial, not by guessing.

Each change of the rules is undone by itself, all others kept, and the style drafted again: whatever then comes out otherwise
than it does today was moved by that change.  What two changes do only together shows when one of them is put into the locked
rules by itself.  A change whose undoing leaves a text that cannot be read or drafted is undone with those that it belongs to.
What the locked rules themselves no longer give as it was locked, the program moved.  So the answer needs no knowledge of what
a rule means, and holds for rules taken out and for names given to something else.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Protocol, TypeAlias

from ..source.text import Source
from ..source.world import World
from .lock import Key, Lock
from .recording import record
from .texts import STYLE, Change, Diff, Place, read_style, words_of

PROGRAM = "the program"
MOST_TRIED = 12  # changes; of more, all are named for everything
Cause: TypeAlias = Change | str  # a change of the rules, or PROGRAM


class MovedRow(Protocol):
    """A row that has moved."""

    @property
    def key(self) -> Key: ...


class Compared(Protocol):
    """A lock beside what its style gives today."""

    @property
    def lock(self) -> Lock: ...

    @property
    def present(self) -> Lock: ...

    @property
    def changes(self) -> list[Change]: ...

    @property
    def moves(self) -> Sequence[MovedRow]: ...


def causes_of(
    comparison: Compared,
    sources: Mapping[Place, Source],
    diffs: list[Diff],
    world: World,
    differing: Callable[[Lock, Lock], Mapping[Key, object]],
    step: Callable[[], object] = lambda: None,
) -> dict[Key, list[Cause]]:
    """For every row that has moved, the changes that moved it, in order; PROGRAM where the program did.

    `sources` are the texts of today, and `differing` tells which rows of two locks differ.
    """
    trials = _Trials(comparison.lock, comparison.present, sources, diffs, world, step)
    moved = {move.key for move in comparison.moves}
    if not comparison.changes:
        return {key: [PROGRAM] for key in moved}
    before = trials.trial(comparison.changes)
    by_program = moved & differing(comparison.lock, before).keys() if before is not None else set()
    causes: dict[Key, list[Cause]] = {key: [] for key in moved}
    tried = comparison.changes if len(comparison.changes) <= MOST_TRIED else ()
    for change in tried:
        without = trials.without(change)
        hit = set(differing(without, comparison.present)) if without is not None else set()
        if before is not None and moved - by_program - hit:
            alone = trials.trial([remaining for remaining in comparison.changes if remaining != change])
            hit |= set(differing(before, alone)) if alone is not None else set()
        for key in moved & hit:
            causes[key].append(change)
    for key in moved - by_program:
        causes[key] = causes[key] or list(comparison.changes)  # only together, or not tried
    for key in by_program:
        causes[key].append(PROGRAM)
    return causes


class _Trials:
    """Drafts of mixed texts.  `undone` changes stand as in the lock, the others as today."""

    def __init__(
        self, lock: Lock, present: Lock, sources: Mapping[Place, Source], diffs: list[Diff], world: World, step: Callable[[], object]
    ) -> None:
        self.lock, self.present, self.diffs, self.world, self.step = lock, present, diffs, world, step
        removed = {
            place: Source(place[1], _text(text.rules))
            for place, text in lock.texts.items()
            if place not in sources and place[0] != STYLE and text.rules is not None
        }
        self.sources = {**removed, **sources}
        self.mixed: dict[tuple[Place, str], Source] = {}  # each text but once, so that it is parsed but once
        self.cache: dict[frozenset[Change], Lock | None] = {}

    def trial(self, undone: Collection[Change]) -> Lock | None:
        """What comes out; None where it cannot be read, or drafted for any size that is drafted today."""
        key = frozenset(undone)
        if key not in self.cache:
            self.cache[key] = self._trial(key)
            self.step()
        return self.cache[key]

    def _trial(self, undone: frozenset[Change]) -> Lock | None:
        texts = dict(self.sources)
        for diff in self.diffs:
            text = _text(diff.rules(undone))
            texts[diff.place] = self.mixed.setdefault((diff.place, text), Source(self.sources[diff.place].name, text))
        style = next(source for (kind, _), source in texts.items() if kind == STYLE)
        reading = read_style(style, self.world, texts)
        if reading.style is None:
            return None
        try:
            recording = record(reading.style, self.lock)
        except KeyError:  # a measure that the lock has not
            return None
        if all(size in recording.fails or size in self.present.fails for size in self.lock.sizes):
            return None
        return replace(self.lock, rows=recording.rows, fails=recording.fails)

    def without(self, change: Change) -> Lock | None:
        """What comes out without a change; where that cannot be drafted, without those that speak of the same new or lost names,
        and else without any that cannot be undone by itself."""
        changes = [candidate for diff in self.diffs for candidate in diff.changes()]
        lock = self.trial([change])
        if lock is None:
            lock = self.trial(_akin(change, changes))
        if lock is None:
            lock = self.trial([candidate for candidate in changes if self.trial([candidate]) is None])
        return lock


def _text(rules: Iterable[str]) -> str:
    return "\n".join(rules) + "\n"


def _akin(change: Change, changes: list[Change]) -> list[Change]:
    """The changes that bring in or give up a name which this one does too, directly or through others."""
    names = {candidate: words_of(candidate.before) ^ words_of(candidate.after) for candidate in changes}
    akin, reached = [change], names[change]
    while more := [candidate for candidate in changes if candidate not in akin and names[candidate] & reached]:
        akin += more
        reached = reached.union(*(names[candidate] for candidate in more))
    return akin
