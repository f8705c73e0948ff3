"""What is to be done with every body of a stream: all of it held in memory, so that it can be sent anywhere.

An order names no file.  The texts of the style and of what it rests on go with it, so that a worker on another machine
reads the very style that was asked for.  Its marks tell whether results that are there already were made to the same order.
"""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from ..finishing.usual import UsualAllowance
from ..meaning.cached import Opened, open_style
from ..meaning.style import Style
from ..source.text import Source
from ..source.world import replayed
from ..version import __version__

Built = TypeVar("Built")

FORM = 2  # of the results
SHARE = 1024  # bodies that are drafted together; results rest on it in the last figure, so it is one for all runs

one_at_a_time = threading.Lock()  # a worker of a cluster may have threads, which share what is opened
_opened: dict[str, Any] = {}  # of the last order, kept for its next share


@dataclass(frozen=True, slots=True, eq=False)
class Order:
    style: Source
    texts: Mapping[tuple[str, str], Source]  # ("library" or "style", name) -> a text that the style rests on
    measures: tuple[str, ...]  # that the style needs
    heading: str  # of the table
    choices: Mapping[str, float] = field(default_factory=dict)  # mm, or radians for angles
    allowances: Mapping[str, UsualAllowance] = field(default_factory=dict)  # of a house
    unit: str = "cm"  # in which messages give their figures; tells which defaults of choices count
    points: bool = False  # whether results hold every named point
    share: int = field(default_factory=lambda: SHARE)
    program: str = __version__

    def read(self) -> Opened:
        return open_style(self.style, replayed(self.texts))

    def marks(self) -> dict[str, str]:
        """A short mark of each part of the order, and of the program that carries it out."""
        house = {name: [allowance.width, allowance.kind] for name, allowance in self.allowances.items()}
        return {
            "style": _mark(
                [
                    _named(self.style),
                    *([name, _named(text)] for (_, name), text in sorted(self.texts.items(), key=lambda item: item[0])),
                ]
            ),
            "choices": _mark(dict(self.choices)),
            "house": _mark(house),
            "unit": self.unit,
            "table": _mark(self.heading),
            "points": "with points" if self.points else "none",
            "program": f"{self.program}, {FORM}, {self.share}",
        }

    def fingerprint(self) -> str:
        return _mark(self.marks())


class Fault(Exception):
    """The program itself failed over a share."""


def opened(order: Order, build: Callable[[Style], Built]) -> Built:
    """What `build` makes of an order's style; kept until a share of another order comes."""
    key = order.fingerprint()
    if key not in _opened:
        read = order.read()
        if read.style is None:
            raise Fault(f"the style cannot be read: {read.diagnostics[0].title}")
        keep_open(order, build(read.style))
    built: Built = _opened[key]
    return built


def keep_open(order: Order, built: object) -> None:
    _opened.clear()
    _opened[order.fingerprint()] = built


def _named(text: Source) -> list[str]:
    """The file's own name, which results show, and its text; not the folder it lies in."""
    return [text.name.rsplit("/", 1)[-1], text.text]


def _mark(data: object) -> str:
    text = json.dumps(data, sort_keys=True, ensure_ascii=True)
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()
