"""What was worked out of a pattern, kept for the next one of the same style where it was worked out from the same.

`NothingKept` works everything out; `Kept` asks first whether it did so before.  Whether something is the same is told by its content,
bit for bit: by all figures, words and places in the text that it is made of.  What one pattern did not ask for is let go with the next.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import fields, is_dataclass
from hashlib import blake2b
from itertools import chain
from typing import Any, TypeAlias, TypeVar

import numpy as np

from ..drafting.pattern import Piece
from ..geometry.motion import Motion
from ..geometry.path import Path
from ..geometry.segments import Segment
from ..source.text import Span

Made = TypeVar("Made")


class NothingKept:
    """Keeps nothing."""

    def once(self, what: str, of: tuple[object, ...], make: Callable[[], Made]) -> Made:
        """What `make` gives, which rests on nothing but `of`."""
        return make()


class Kept(NothingKept):
    """Keeps what was asked for since the last pattern but one began (`begin`)."""

    def __init__(self) -> None:
        self._last: dict[tuple[str, bytes], Any] = {}
        self._now: dict[tuple[str, bytes], Any] = {}
        self._pieces: dict[int, tuple[Piece, bytes]] = {}

    def begin(self) -> None:
        """From now on another pattern is worked on."""
        self._last, self._now, self._pieces = self._now, {}, {}

    def once(self, what: str, of: tuple[object, ...], make: Callable[[], Made]) -> Made:
        key = what, self.content(*of)
        if key not in self._now:
            self._now[key] = self._last[key] if key in self._last else make()
        made: Made = self._now[key]
        return made

    def content(self, *things: object) -> bytes:
        """A digest of all that things are made of."""
        parts: list[bytes] = []
        self._tell(things, parts)
        return blake2b(b"\0".join(parts), digest_size=16).digest()

    def _tell(self, things: Iterable[object], parts: list[bytes]) -> None:
        for thing in things:
            if isinstance(thing, Piece):
                if id(thing) not in self._pieces:
                    self._pieces[id(thing)] = thing, self.content(*_way_of(Piece)(thing))
                parts.append(self._pieces[id(thing)][1])
                continue
            told = _way_of(type(thing))(thing)
            if isinstance(told, bytes):
                parts.append(told)
            else:
                parts.append(b"(")
                self._tell(told, parts)


Way: TypeAlias = Callable[[Any], "bytes | Iterable[object]"]  # from a thing to what it is made of, or to bytes
_WAYS: tuple[tuple[tuple[Any, ...], Way], ...] = (
    ((np.ndarray,), lambda array: array.tobytes()),
    ((str,), lambda words: words.encode()),
    ((bool, int, float, type(None)), lambda value: repr(value).encode()),
    ((Span,), lambda span: b"%d %d %d" % (id(span.source), span.start, span.end)),
    ((tuple, list), lambda things: things),
    ((Mapping,), lambda table: chain.from_iterable(table.items())),
    ((Set,), sorted),
    ((Path,), lambda path: path.segments),
    ((Segment,), lambda segment: [type(segment).__name__, *(getattr(segment, name) for name in segment.made_of)]),
    ((Motion,), lambda motion: [getattr(motion, name) for name in Motion.__slots__]),
)


_known_ways: dict[type, Way] = {}


def _way_of(kind: type) -> Way:
    if kind not in _known_ways:
        _known_ways[kind] = _new_way(kind)
    return _known_ways[kind]


def _new_way(kind: type) -> Way:
    for kinds, way in _WAYS:
        if issubclass(kind, kinds):
            return way
    if not is_dataclass(kind):
        raise TypeError(f"no content is known of a {kind.__name__}")
    names = [field.name for field in fields(kind)]
    return lambda thing: [getattr(thing, name) for name in names]
