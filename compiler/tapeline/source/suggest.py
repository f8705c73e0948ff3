"""Near names, for "did you mean".

A name that differs only in capitals, underscores, hyphens or spaces is taken as the one meant and stands
alone.  Otherwise the known names within a third of the name's length are offered, counted as insertions,
deletions, changes and exchanges of neighbouring letters (the restricted Damerau-Levenshtein distance, also
called optimal string alignment).  The order is by distance, then as the known names were given, so it is the
same in every run.  A name that was replaced is told its new one before any near name.
"""

from __future__ import annotations

from collections.abc import Iterable

from .former import NAMES

_IGNORED = str.maketrans("", "", "_- \t")


def _folded(name: str) -> str:
    return name.casefold().translate(_IGNORED)


def distance(left: str, right: str) -> int:
    """Edits from one text to the other: insert, delete or change a letter, exchange two neighbours."""
    before_last: list[int] = []
    last = list(range(len(right) + 1))
    for i, letter in enumerate(left, 1):
        row = [i]
        for j, against in enumerate(right, 1):
            best = min(last[j] + 1, row[j - 1] + 1, last[j - 1] + (letter != against))
            if i > 1 and j > 1 and letter == right[j - 2] and left[i - 2] == against:
                best = min(best, before_last[j - 2] + 1)
            row.append(best)
        before_last, last = last, row
    return last[-1]


def _reach(name: str) -> int:
    """How many edits still count as a slip of the pen for a name of this length."""
    if len(name) <= 1:
        return 0
    return max(len(name) // 3, 2 if len(name) >= 5 else 1)


def nearest(name: str, known: Iterable[str], limit: int = 3) -> list[str]:
    """The at most `limit` known names that `name` may have been meant for, nearest first."""
    names = list(dict.fromkeys(known))
    target = _folded(name)
    same = [candidate for candidate in names if _folded(candidate) == target]
    if same:
        return same[:limit]
    reach = _reach(target)
    if not reach:
        return []
    near = []
    for order, candidate in enumerate(names):
        folded = _folded(candidate)
        if len(folded) > 1 and abs(len(folded) - len(target)) <= reach:
            far = distance(target, folded)
            if far <= reach:
                near.append((far, order, candidate))
    return [candidate for _, _, candidate in sorted(near)[:limit]]


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """`Did you mean "waist" or "wrist"?`, or nothing where no known name is near; of a name that was replaced, the new one."""
    known = list(known)
    if NAMES.get(name) in known:
        return f'It is now called "{NAMES[name]}".'
    quoted = [f'"{candidate}"' for candidate in nearest(name, known)]
    if not quoted:
        return ""
    *front, last = quoted
    return f"Did you mean {', '.join(front)} or {last}?" if front else f"Did you mean {last}?"
