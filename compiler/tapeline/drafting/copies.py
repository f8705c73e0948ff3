"""What has been drafted of some bodies, for several copies of each side by side.

A trial of several values is then one trial of so many bodies.  Most of what steps give is arrays, or is made of them, and is
taken by the place of the body; a drawn level is laid out when it is first asked for.  A line that its rule would draw anew between
other ends is known as it lies, but not how to draw it anew for copies (`NotCopied`).
"""

from __future__ import annotations

from typing import Any, NoReturn

import numpy as np

from ..geometry.arrays import Indices
from ..geometry.chords import Chords
from ..geometry.path import Path
from ..geometry.plane import taken
from .guides import FoldedEnds, Guide
from .level_lines import DrawnLevel, LevelLine
from .pattern import Edge


class NotCopied(Exception):
    """A value that cannot be laid out for copies of its bodies."""


def copied(value: Any, index: Indices) -> Any:
    """A value of bodies for copies of them: `index` (M,) tells whose each is."""
    if isinstance(value, np.ndarray):
        return taken(value, index)
    if isinstance(value, Edge | Path):
        return value.take(index)
    if isinstance(value, DrawnLevel):
        return DrawnLevel(lambda: _line(value.line, index))
    if isinstance(value, Guide):
        return Guide(value.path.take(index), _not_again)
    raise NotCopied


def _not_again(folded: FoldedEnds) -> NoReturn:
    raise NotCopied


def _line(line: LevelLine, index: Indices) -> LevelLine:
    chords = Chords(taken(line.chords.a, index), taken(line.chords.b, index))
    return LevelLine(chords, line.along, tuple((name, mask[index]) for name, mask in line.leaves))
