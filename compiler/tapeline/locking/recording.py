"""From a style and some sizes to the rows of a lock: drafted, finished, and every figure rounded to 0.001."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import numpy as np

from ..drafting.landmarks import landmarks
from ..drafting.ledgers import GirthRow, SeamRow
from ..drafting.pattern import LEFT, RIGHT, Dart, Edge
from ..finishing.finished import FinishedPiece
from ..finishing.usual import UsualAllowance
from ..finishing.whole import Whole, drafted_whole
from ..geometry.arrays import Floats, Indices, Mask
from ..geometry.path import Path
from ..geometry.plane import cross, unit
from ..geometry.segments import Arc, Cubic, Line, Segment
from ..meaning.style import Style
from ..source.diagnostics import ERROR, Diagnostic, in_order
from ..source.text import Source, Span
from .lock import COURSES, GIRTHS, SEAMS, Key, Lock, Value, rounded

LEAST = 0.001  # mm; a segment that is shorter is not told
KINDS = {Line: "line", Cubic: "cubic", Arc: "arc"}
Values: TypeAlias = Floats | list[str] | str | float  # of some sizes: places (n, 2), figures (n,), words, or one for all
Put: TypeAlias = Callable[[str, str, Values], None]  # takes the sort, the name and the values of a row of a piece


@dataclass(slots=True)
class Recording:
    """The rows of some sizes, what is wrong with sizes that fail (by size), and all that is said."""

    rows: dict[Key, tuple[Value, ...]] = field(default_factory=dict)
    fails: dict[str, str] = field(default_factory=dict)
    diagnostics: list[Diagnostic] = field(default_factory=list)


def record(style: Style, lock: Lock) -> Recording:
    """The style as it stands, drafted for the sizes of a lock with its settings and the allowances of its house."""
    measures = {name: np.array(values) for name, values in lock.measures.items()}
    nowhere = Span(Source("", ""), 0, 0)
    allowances = {name: UsualAllowance(width, kind, nowhere) for name, (width, kind) in lock.allowances.items()}
    return rows_of(drafted_whole(style, measures, lock.settings, lock.unit, allowances or None, len(lock.sizes)), lock.sizes)


def rows_of(wholes: list[Whole], sizes: tuple[str, ...]) -> Recording:
    recording, table = Recording(), _Columns(len(sizes))
    diagnostics: list[Diagnostic] = []
    for whole in wholes:
        table.index, table.known = whole.index, ~whole.failed
        _whole(table, whole)
        for place, body in enumerate(whole.index):
            of_size = whole.diagnostics(place, sizes[body])
            diagnostics += of_size
            if whole.failed[place]:
                first = next(diagnostic for diagnostic in of_size if diagnostic.severity == ERROR)
                recording.fails[sizes[body]] = f"{first.code} {first.title}"
    recording.rows = {key: tuple(column) for key, column in table.rows.items() if any(value is not None for value in column)}
    recording.diagnostics = in_order(diagnostics)
    return recording


class _Columns:
    """Rows that fill up, one chunk of sizes after another; those that fail have courses alone."""

    def __init__(self, sizes: int) -> None:
        self.sizes = sizes
        self.rows: dict[Key, list[Value]] = {}
        self.index: Indices = np.zeros(0, dtype=np.intp)
        self.known: Mask = np.zeros(0, dtype=np.bool_)

    def put(self, key: Key, values: Values, all_of_them: bool = False) -> None:
        """`values` are places (n, 2), figures (n,), or one word or figure for all of the chunk."""
        column = self.rows.setdefault(key, [None] * self.sizes)
        for place, body in enumerate(self.index):
            if not (self.known[place] or all_of_them):
                continue
            value: Any = values[place] if isinstance(values, (np.ndarray, list)) else values
            if isinstance(value, str):
                column[body] = value.replace(" ", "_")
            elif np.ndim(value):
                x, y = rounded(value[0]), rounded(value[1])
                column[body] = column[body] if x is None or y is None else (x, y)
            else:
                column[body] = rounded(value)


def _whole(table: _Columns, whole: Whole) -> None:
    draft = whole.draft
    counts: dict[str, int] = {}
    for fork in draft.plan.forks:
        words = " ".join(fork.span.text.split())
        words = f"{'when' if fork.kind == 'when' else 'count'} {words}" + (f" in {fork.key[2]}" if fork.key[2] else "")
        counts[words] = counts.get(words, 0) + 1
        outcome = draft.run.filled[fork.slot]
        table.put(
            Key(COURSES, "", words if counts[words] == 1 else f"{words}, {counts[words]}"),
            ["yes" if answer > 0.5 else "no" for answer in outcome] if fork.kind == "when" else np.round(outcome),
            True,
        )
    for girth in draft.ledgers.girths:
        _girth(table, girth)
    for seam in draft.ledgers.seams:
        _seam(table, seam)
    for finished in whole.finished.pieces:
        _piece(table, finished)


def _girth(table: _Columns, row: GirthRow) -> None:
    for word, values in (("body", row.body), ("intended", row.intended), ("sewn", row.sewn)):
        if values is not None:
            table.put(Key(GIRTHS, "", f"{row.level} {word}"), values)


def _seam(table: _Columns, row: SeamRow) -> None:
    name = f"{row.one} to {row.other}"
    sides = [("first side", row.length_one), ("second side", row.length_other)]
    told = [*sides, *([("ease", row.ease)] if row.kind == "eased" else []), *([("left open", row.left_open)] if row.openings else [])]
    for word, values in told:
        table.put(Key(SEAMS, "", f"{name}, {word}"), values)


def _piece(table: _Columns, finished: FinishedPiece) -> None:
    piece = finished.piece

    def put(sort: str, name: str, values: Values) -> None:
        table.put(Key(f"piece {piece.name}", sort, name), values)

    for name, places in landmarks(piece).items():
        put("place", name, places)
    for edge in piece.edges:
        _edge(put, edge)
    for name, y in piece.levels.items():
        put("level", name, y)
    for name, both in (piece.halves.levels if piece.halves is not None else {}).items():
        for side, y in zip((LEFT, RIGHT), both, strict=True):
            put("level", f"{name} {side}", y)
    for mark in piece.marks:
        if mark.length is not None:
            put("mark", f"{mark.name} length", mark.length)
    for dart in piece.inner:
        put("dart", f"{dart.name} intake", dart.asked)
    for name, allowance in finished.allowances.items():
        put("allowance", f"{name} width", allowance.width)
        put("allowance", f"{name} kind", "fold" if name == piece.cut.fold else allowance.kind)
    _cut_line(put, finished)
    put("grain", "way", np.degrees(np.arctan2(piece.grain[:, 1], piece.grain[:, 0])))
    cut = piece.cut
    put("cutting", "count", float(cut.count))
    put("cutting", "paired", "yes" if cut.paired else "no")
    put("cutting", "fold", cut.fold or "none")
    for count, purpose in ((cut.count, cut.purpose), *((extra.times, extra.written) for extra in cut.extras)):
        if purpose:
            put("cutting", f"for {purpose}", float(count))


def _edge(put: Put, edge: Edge) -> None:
    put("length", edge.name, edge.closed_length())
    for number, strip in enumerate(edge.strips, 1):
        _path(put, "edge", f"{edge.name} {number}", strip)
    for dart in edge.darts:
        _dart(put, dart)


def _dart(put: Put, dart: Dart) -> None:
    put("dart", f"{dart.name} intake", dart.intake)
    for word, leg in (("near leg", dart.near_leg), ("far leg", dart.far_leg)):
        for segment, number in _numbered(leg):
            for joint in np.unique(number[number > 1]).astype(int):
                put("dart", f"{dart.name} {word} {joint - 1}", _where(number == joint, segment.start()))
    put("dart", f"{dart.name} peak", _peak(dart.trued))


def _peak(end: Path) -> Floats:
    """The point (N, 2) of a folded dart's end that stands off farthest from between its feet."""
    joints = np.stack([segment.start() for segment in end.segments], axis=1)
    off = np.abs(cross(joints - joints[:, :1], unit(end.end() - end.start())[:, None]))
    peak: Floats = joints[np.arange(len(joints)), np.argmax(np.nan_to_num(off), axis=1)]
    return peak


def _path(put: Put, sort: str, name: str, path: Path) -> None:
    for segment, numbers in _numbered(path):
        for number in np.unique(numbers[numbers > 0]).astype(int):
            for word, places in _points(segment):
                if word != "start" or number == 1:
                    put(sort, f"{name}.{number} {KINDS[type(segment)]} {word}", _where(numbers == number, places))


def _numbered(path: Path) -> Iterator[tuple[Segment, Floats]]:
    """Each segment with its number (N,) among those that have length, 0 where it has none.

    Which segments are kept without length is the program's own affair, and may be otherwise in its next version.
    """
    count = np.zeros(path.n)
    for segment in path.segments:
        has = segment.length() > LEAST
        count = count + has
        yield segment, np.where(has, count, 0.0)


def _where(mask: Mask, places: Floats) -> Floats:
    return np.where(mask[:, None], places, np.nan)


def _points(segment: Segment) -> tuple[tuple[str, Floats], ...]:
    """The points that fix a segment, and what each is called."""
    if isinstance(segment, Line):
        return ("start", segment.p0), ("end", segment.p1)
    if isinstance(segment, Cubic):
        return tuple(zip(("start", "leaving", "arriving", "end"), np.moveaxis(segment.p, 1, 0), strict=True))
    return ("start", segment.start()), ("middle", segment.at(0.5)), ("end", segment.end())


def _cut_line(put: Put, finished: FinishedPiece) -> None:
    """Where the corners of the cut line begin and end.  What lies between, a mirrored side say, follows from the edges."""
    ring, names = finished.cut_line, list(finished.runs)
    for name, following in zip(names, [*names[1:], names[0]], strict=True):
        until = finished.runs[following].start or ring.shape[1]
        put("cut", f"{name}/{following} 1", ring[:, finished.runs[name].stop])
        put("cut", f"{name}/{following} 2", ring[:, until - 1])
