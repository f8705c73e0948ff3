"""Whether two plans are one but for names: the proof that a style means the same after something in it is called otherwise.

Both are walked side by side, through every step, piece, seam and message.  Figures, slots, operations and kinds must be the same, places
must lie on the same lines, and words may differ only as they were called otherwise.  What a fork asks is told by digests of
names and is left out: the slot that it asks of is held alike.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from itertools import zip_longest
from pathlib import PurePath
from typing import Any

from ..meaning.plan import Fork, Plan
from ..source.text import Span

_WORD = re.compile(r"\w+'*")  # a name, which may be a number
_MISSING = object()

Renamed = Mapping[str, Set[str]]  # a name that was -> what it is called now, which may differ from place to place


def unlike(old: Sequence[Plan], new: Sequence[Plan], names: Renamed) -> str:
    """The first thing in which plans differ otherwise than by names, as the way to it; nothing where they are alike."""
    return next(_unlike(tuple(old), tuple(new), names, "plans"), "")


def _unlike(old: Any, new: Any, names: Renamed, way: str) -> Iterator[str]:
    if old is new:
        return
    if isinstance(old, str) and isinstance(new, str):
        if not _same_words(old, new, names):
            yield f"{way}: {old!r} and {new!r}"
    elif type(old) is not type(new):
        yield f"{way}: {old!r:.80} and {new!r:.80}"
    elif isinstance(old, Mapping):
        yield from _unlike_tables(old, new, names, way)
    elif isinstance(old, (Span, tuple, list)):
        yield from _unlike_lists(old, new, names, way)
    elif isinstance(old, (set, frozenset)):
        if len(old) != len(new) or not all(any(not list(_unlike(a, b, names, way)) for b in new) for a in old):
            yield f"{way}: {old!r:.80} and {new!r:.80}"
    elif is_dataclass(old):
        for item in fields(old):
            yield from _unlike(getattr(old, item.name), getattr(new, item.name), names, f"{way}.{item.name}")
    elif old != new and not (old != old and new != new):  # what is no number is the same as what is none
        yield f"{way}: {old!r:.80} and {new!r:.80}"


def _unlike_lists(old: Sequence[Any], new: Sequence[Any], names: Renamed, way: str) -> Iterator[str]:
    """The same of two lists or records; of two places, that they lie on one line."""
    if isinstance(old, Span) and isinstance(new, Span):
        if PurePath(old.source.name).name != PurePath(new.source.name).name or old.line != new.line:
            yield f"{way}: {old!r} and {new!r}"
        return
    labels = getattr(old, "_fields", range(max(len(old), len(new))))
    for label, a, b in zip_longest(labels, old, new, fillvalue=_MISSING):
        if not (isinstance(old, Fork) and label in ("question", "key")):
            yield from _unlike(a, b, names, f"{way}.{label}")


def _unlike_tables(old: Mapping[Any, Any], new: Mapping[Any, Any], names: Renamed, way: str) -> Iterator[str]:
    """The same of two tables, whose rows are told by their keys: what stands in them must be the same, in whatever order."""
    left = dict(new)
    for key, value in old.items():
        match = next(
            (other for other in left if not any(_unlike(key, other, names, way))), _MISSING
        )  # the first, where the order is the same
        if match is _MISSING:
            yield f"{way}: {key!r:.80}"
            return
        yield from _unlike(value, left.pop(match), names, f"{way}.{key}")
    if left:
        yield f"{way}: {next(iter(left))!r:.80}"


def _same_words(old: str, new: str, names: Renamed) -> bool:
    """Whether a text is the same but for the names in it; a name that is made of others is one word."""
    if old == new:
        return True
    words, others = _WORD.findall(old), _WORD.findall(new)
    if len(words) != len(others) or _WORD.sub(" ", old) != _WORD.sub(" ", new):
        return False
    return all(_same_name(a, b, names) for a, b in zip(words, others, strict=True))


def _same_name(old: str, new: str, names: Renamed) -> bool:
    """Whether a name is the same, called otherwise, or made of names that are: `vent_top`, `dart1`."""
    if old == new or new in names.get(old, ()):
        return True
    for at in (index for index, letter in enumerate(old) if letter == "_" or (letter.isdecimal() and index)):
        for end in (index for index, letter in enumerate(new) if letter == old[at]):
            if _same_name(old[:at], new[:end], names) and (old[at:] == new[end:] or _same_name(old[at + 1 :], new[end + 1 :], names)):
                return True
    return False
