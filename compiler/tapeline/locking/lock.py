"""A locked draft: what a style gives for some sizes, as plain text that a person can review and `git diff` can tell.

The first line is the mark.  The head says which style; then come sections, a heading at the margin and its rows indented by
four spaces.  Every row of a section that speaks of sizes is a name, `: `, and a column for each size, in their order; `-`
stands where a size has none of it.  All but measures and settings is in mm to 0.001 (angles to 0.001 degrees); rows are
sorted by name, so that a change of one figure changes one line.

    tapeline locked 2
    style: straight_skirt
    version: 1.0
    file: ../straight_skirt.style     path from the lock, or the bare name of a style that comes with the program
    unit: cm                          in which what is wrong with a size is told; says which defaults of choices count

    set                               choices set from outside, exactly: mm, radians, numbers
    allowances                          of the house: width in mm and kind
    sizes                             one a row
    measures                          as used, exactly: mm, radians
    text style straight_skirt HASH    each text behind the draft with its SHA-256; below it the rules that can have to do
        | dip waist 1 cm at centre    with the draft, as written but for comments and empty lines
    courses                           which way each `when` and each count of darts goes
    fails                             sizes that the style fails, with what is said first
    girths, seams                     the two ledgers
    piece front                       in a piece every row begins with a word that says of what it tells:
        place waist/side              where a named place lies (x,y)
        edge side 1.2 cubic end       the curve itself: strip and segment, and the points that fix it; a strip is what lies
                                      between two darts, and segments without length are not counted
        length side                   the closed length of an edge
        dart dart intake              what a dart takes out; its peak is that of its folded end
        level hip                     how far down a level lies
        allowance side width            as cut, and its kind
        cut hem/side 1                where a corner of the cut line begins, and 2 where it ends
        cutting count                 how the piece is cut; `grain way` the angle of the lengthwise thread
    end                               so that a file cut short is known

A line begins where the one before it ends, so only the first segment of a strip tells its start.  A cubic has the points
start, leaving, arriving, end; an arc start, middle, end.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from ..source.quantity import show_number

FORM = 2
MARK = "tapeline locked"
HEAD = ("style", "version", "file", "unit")
GIRTHS, SEAMS, COURSES = "girths", "seams", "courses"
SORTS = ("place", "edge", "length", "dart", "level", "allowance", "cut", "cutting", "grain", "mark")  # of rows in a piece
SECTIONS = ("set", "allowances", "sizes", "measures", COURSES, "fails", GIRTHS, SEAMS)  # those without a name of their own
NONE, END = "-", "end"

Value = tuple[float, float] | float | str | None


class Key(NamedTuple):
    """What a row tells of: a section (`girths`, or `piece front`), a sort within it, and a name."""

    section: str
    sort: str
    name: str

    @property
    def piece(self) -> str:
        return self.section.removeprefix("piece ") if self.section.startswith("piece ") else ""


def form_of(key: Key) -> type[tuple[float, float]] | type[float] | type[str]:
    """What the figures of a row are: tuple (a place), float or str."""
    if key.sort in ("place", "edge", "cut"):
        return tuple
    if key.sort == "dart":
        return float if key.name.endswith(" intake") else tuple
    if key.section == COURSES:
        return str if key.name.startswith("when ") else float
    if key.sort == "allowance":
        return str if key.name.endswith(" kind") else float
    return str if key.sort == "cutting" and key.name in ("fold", "paired") else float


class LockedText(NamedTuple):
    """A text that the draft rests on: its SHA-256, and its rules; None where the hash alone is kept."""

    hash: str
    rules: tuple[str, ...] | None


@dataclass(slots=True)
class Lock:
    style: str
    version: str
    file: str
    unit: str
    settings: dict[str, float]
    allowances: dict[str, tuple[float, str]]  # of a house: edge or sort of edge -> width, kind
    sizes: tuple[str, ...]
    measures: dict[str, tuple[float, ...]]
    texts: dict[tuple[str, str], LockedText] = field(default_factory=dict)  # ("style" | "start" | "library", name)
    rows: dict[Key, tuple[Value, ...]] = field(default_factory=dict)
    fails: dict[str, str] = field(default_factory=dict)  # size -> what is said first

    def pieces(self) -> list[str]:
        return list(dict.fromkeys(key.piece for key in self.rows if key.piece))


_DRAWN = {word: f"\0{number}" for number, word in enumerate(("start", "leaving", "middle", "arriving", "end"))}


def in_order(name: str) -> list[tuple[int, int, str]]:
    """A key to sort names by in which 2 comes before 10, and the points of a curve stand as it is drawn."""
    words = " ".join(_DRAWN.get(word, word) for word in name.split(" "))
    return [(0, int(part), "") if part.isdecimal() else (1, 0, part) for part in re.split(r"(\d+)", words) if part]


def rounded(number: float) -> float | None:
    """To 0.001; None where it is not known.  What is read back from a lock is the same number."""
    return round(float(number), 3) + 0.0 if math.isfinite(number) else None


def write_lock(lock: Lock) -> str:
    lines = [f"{MARK} {FORM}", *(f"{word}: {getattr(lock, word)}".rstrip() for word in HEAD)]

    def section(heading: str, rows: Iterable[str]) -> None:
        indented = [f"    {row}".rstrip() for row in rows]
        if indented:
            lines.extend(["", heading, *indented])

    section("set", (f"{name}: {_exact(value)}" for name, value in sorted(lock.settings.items())))
    section("allowances", (f"{name}: {_exact(width)} {kind}" for name, (width, kind) in sorted(lock.allowances.items())))
    section("sizes", lock.sizes)
    section("measures", (_row(name, [_exact(value) for value in values]) for name, values in sorted(lock.measures.items())))
    for (kind, name), text in lock.texts.items():
        section(f"text {kind} {name} {text.hash}", (f"| {rule}" for rule in text.rules or ()) if text.rules else [])
        if not text.rules:
            lines.extend(["", f"text {kind} {name} {text.hash}"])
    tables: dict[str, list[Key]] = {}
    for key in lock.rows:
        tables.setdefault(key.section, []).append(key)
    for heading in (COURSES, "fails", GIRTHS, SEAMS, *sorted(heading for heading in tables if heading.startswith("piece "))):
        if heading == "fails":
            section(heading, (f"{size}: {lock.fails[size]}" for size in lock.sizes if size in lock.fails))
            continue
        keys = sorted(tables.get(heading, ()), key=lambda key: (SORTS.index(key.sort) if key.sort else 0, in_order(key.name)))
        section(heading, (_row(f"{key.sort} {key.name}".lstrip(), [show_value(value) for value in lock.rows[key]]) for key in keys))
    return "\n".join([*lines, "", END]) + "\n"


def _row(name: str, columns: list[str]) -> str:
    """A name and its columns, of steady width so that a changed figure moves no other."""
    width = 18 if any("," in column for column in columns) else 8
    return f"{name}:".ljust(40) + " " + "  ".join(column.ljust(width) for column in columns).rstrip()


def show_value(value: Value) -> str:
    if value is None:
        return NONE
    if isinstance(value, tuple):
        return f"{show_number(value[0])},{show_number(value[1])}"
    return value.replace(" ", "_") if isinstance(value, str) else show_number(value)


def _exact(value: float) -> str:
    """Digits that read back as the very same number."""
    return repr(float(value)).removesuffix(".0")
