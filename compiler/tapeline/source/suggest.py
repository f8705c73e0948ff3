"""Near names, for "did you mean".

A name that differs only in capitals, underscores, hyphens or spaces is taken as the one meant and stands
alone.  Otherwise the known names within a third of the name's length are offered, counted as insertions,
deletions, changes and exchanges of neighbouring letters (the restricted Damerau-Levenshtein distance, also
called optimal string alignment).  The order is by distance, then as the known names were given, so it is the
same in every run.  A name that was replaced is told its new one before any near name.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from .former import NAMES

_IGNORED = str.maketrans("", "", "_- \t")


def _folded(name: str) -> str:
    return name.casefold().translate(_IGNORED)


def distance(left: str, right: str, most: int | None = None) -> int:
    """Edits from one text to the other: insert, delete or change a letter, exchange two neighbours.  Where there are more than `most`,
    some number that is more."""
    alike = 0
    while alike < min(len(left), len(right)) and left[alike] == right[alike]:
        alike += 1
    left, right = left[alike:], right[alike:]
    while left and right and left[-1] == right[-1]:
        left, right = left[:-1], right[:-1]
    before_last: list[int] = []
    last = list(range(len(right) + 1))
    for i, letter in enumerate(left, 1):
        row = [i]
        for j, against in enumerate(right, 1):
            best = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (letter != against))
            if i > 1 and j > 1 and letter == right[j - 2] and left[i - 2] == against:
                best = min(best, before_last[j - 2] + 1)
            row.append(best)
        if most is not None and min(row) > most and min(last) > most:
            return min(row)
        before_last, last = last, row
    return last[-1]


def _reach(name: str) -> int:
    """How many edits still count as a slip of the pen for a name of this length."""
    if len(name) <= 1:
        return 0
    return max(len(name) // 3, 2 if len(name) >= 5 else 1)


class _Candidate(NamedTuple):
    """A known name: as it is written, folded, and the letters in it as bits."""

    name: str
    folded: str
    length: int
    letters: int


def _letters(folded: str) -> int:
    """The letters that stand in a name, each a bit; letters of one remainder share one."""
    bits = 0
    for letter in folded:
        bits |= 1 << (ord(letter) & 63)
    return bits


@lru_cache(maxsize=4)
def _candidates(names: tuple[str, ...]) -> tuple[dict[str, list[str]], list[_Candidate]]:
    """What is asked of the same known names again and again: those of each folded name, and all that may be meant by another."""
    folded = {name: _folded(name) for name in names}
    same: dict[str, list[str]] = {}
    for name, short in folded.items():
        same.setdefault(short, []).append(name)
    return same, [_Candidate(name, short, len(short), _letters(short)) for name, short in folded.items() if len(short) > 1]


def nearest(name: str, known: Iterable[str], limit: int = 3) -> list[str]:
    """The at most `limit` known names that `name` may have been meant for, nearest first."""
    same, candidates = _candidates(tuple(known))
    target = _folded(name)
    if target in same:
        return same[target][:limit]
    reach, length, letters = _reach(target), len(target), _letters(target)
    if not reach:
        return []
    near = []
    for order, candidate in enumerate(candidates):
        # An edit takes one letter away at most, and brings one.
        if (candidate.letters ^ letters).bit_count() <= 2 * reach and -reach <= candidate.length - length <= reach:
            far = distance(target, candidate.folded, reach)
            if far <= reach:
                near.append((far, order, candidate.name))
    return [candidate for _, _, candidate in sorted(near)[:limit]]


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """`Did you mean "waist" or "wrist"?`, or nothing where no known name is near; of a name that was replaced, the new one."""
    known = tuple(known)
    if name in NAMES and NAMES[name] in known:
        return f'It is now called "{NAMES[name]}".'
    quoted = [f'"{candidate}"' for candidate in nearest(name, known)]
    if not quoted:
        return ""
    *front, last = quoted
    return f"Did you mean {', '.join(front)} or {last}?" if front else f"Did you mean {last}?"
