"""How a style grows: the measures of its sizes, and how far each named place of each piece moves from size to size.

One sheet to read (`-grading.txt`) and two tables for other programs (`-grading.csv`, `-slopes.csv`).  Across is away from the
centre line, down is down the body; both are seen from the place on which the piece's sizes are stacked.  The sheet is put
together from `SECTIONS`.
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from ...bodies.measurement import Measurement
from ...geometry.arrays import Floats
from ...sizing.growth import EVEN, NOTHING, STILL, UNEVEN, Growth, Stack, growth_of
from ...sizing.run import SizeRun
from ...source.quantity import show_length, show_number
from ...source.units import UNITS
from ..drawing.pieces import in_words
from ..house.house import House
from ..house.work import SizesWork
from .reasons import reason_lines, slopes_csv

MARK = "made by tapeline"
FINEST = 64  # parts of an inch to which a movement is told
WIDTH = 118  # characters, where few sizes allow it


@dataclass(slots=True, eq=False)
class GradeSheet:
    """All that the sheet tells of one run."""

    run: SizeRun
    stacks: Mapping[str, Stack]  # of each piece
    title: str
    facts: Sequence[str]  # what all papers say of the draft
    house: House
    unit: str
    growth: dict[str, list[Growth]]

    def show(self, mm: float) -> str:
        return "-" if not math.isfinite(mm) else self.house.show(mm, self.unit)

    def signed(self, mm: float) -> str:
        """A difference with its sign, without its unit."""
        return "-" if not math.isfinite(mm) else self.house.signed(mm, self.unit).removesuffix(f" {self.unit}")

    def moved(self, mm: float) -> str:
        """A movement with its sign, zero below what is shown; inches to the nearest 1/64, with a decimal point,
        as a comma parts across from down."""
        if not math.isfinite(mm):
            return "-"
        shown = show_length(mm, self.unit, FINEST).removesuffix(f" {self.unit}").removeprefix("~")
        return "0" if abs(mm) < NOTHING or shown in ("0", "-0") else ("+" if mm > 0 else "") + shown

    @property
    def increments(self) -> list[str]:
        names = self.run.names
        return [f"{before} to {after}" for before, after in zip(names, names[1:], strict=False)]

    def measures(self) -> list[str]:
        """The measures that the style needs, girths before the others."""
        measurements = self.run.style.measurements
        return sorted(self.run.measures, key=lambda name: measurements[name].kind != "girth")


def grade_sheet(work: SizesWork) -> GradeSheet:
    run, base = work.run, work.base
    growth = {piece: growth_of(run, piece, work.stacks[piece]) for piece in run.pieces}
    return GradeSheet(run, work.stacks, base.heading.titled, base.heading.facts(base.house.in_english()), base.house, base.unit, growth)


def papers(work: SizesWork) -> dict[str, str]:
    """NAME-grading.txt, NAME-grading.csv and NAME-slopes.csv."""
    sheet, stem = grade_sheet(work), work.file_stem
    return {
        f"{stem}-grading.txt": write_sheet(sheet),
        f"{stem}-grading.csv": write_csv(sheet),
        f"{stem}-slopes.csv": _head(sheet, f"Grading table of slopes, {sheet.title}") + slopes_csv(sheet.run, sheet.unit),
    }


def is_ours(data: bytes) -> bool:
    """Whether a file is a grading sheet or table that this program made."""
    return data.startswith((b"GRADING SHEET\n", b"# Grading table")) and MARK.encode() in data[:4096]


# --------------------------------------------------------------------------------------------- the sheet


def write_sheet(sheet: GradeSheet) -> str:
    return "\n".join(line.rstrip() for section in SECTIONS for line in section(sheet)) + "\n"


def heading(sheet: GradeSheet) -> list[str]:
    run = sheet.run
    lines = [
        "GRADING SHEET",
        "",
        sheet.title + (f", {sheet.house.name}" if sheet.house.name else ""),
        f"sizes {', '.join(run.names)} of {run.table.name}; base size {run.names[run.base]}; lengths in {UNITS[sheet.unit].names[1]}",
        *sheet.facts,
        f"({MARK})",
    ]
    lines += ["", *run.table.comments] if run.table.comments else []
    courses = run.courses()
    if len(courses) > 1:
        lines += [
            "",
            "Not all sizes are drafted by the same rules: " + "; ".join(", ".join(names) for names in courses) + ".",
            "From one of these to the next a place may leap, or be wanting.",
        ]
    return lines


def measures(sheet: GradeSheet) -> list[str]:
    """Each measure at every size, and below it the increments; nothing where the style measures nothing."""
    if not sheet.measures():
        return []
    run, measurements = sheet.run, sheet.run.style.measurements
    rows, notes = [["measure", *run.names]], []
    for name in sheet.measures():
        values, measurement = run.values(name), measurements[name]
        marks = ["*" if name in run.table.filled.get(size, {}) else "" for size in run.names]
        rows.append(
            [
                in_words(name) + (" (lent)" if name in run.table.lent else ""),
                *(_shown(sheet, measurement, value) + mark for value, mark in zip(values, marks, strict=True)),
            ]
        )
        increments = np.diff(values)
        if len(increments):
            rows.append(["   increment", "", *(_increment(sheet, measurement, increment) for increment in increments)])
        for size, mark in zip(run.names, marks, strict=True):
            if mark:
                low, high = run.table.filled[size][name]
                notes.append(f"* {in_words(name)} of size {size} is interpolated between sizes {low} and {high}.")
    if run.table.lent:
        notes.append(f"(lent): of {run.table.lender}, the same for every size.")
    return ["", "MEASURES OF THE SIZES", *_columns(rows), *notes]


def girths(sheet: GradeSheet) -> list[str]:
    """What each level measures with its darts sewn, at every size."""
    levels: dict[str, list[list[float]]] = {}
    for k, size in enumerate(sheet.run.sizes):
        for row in size.whole.draft.ledgers.girths:
            sewn, eased = levels.setdefault(row.level, [[math.nan] * len(sheet.run.sizes) for _ in range(2)])
            sewn[k] = float(row.sewn[size.place])
            eased[k] = math.nan if row.ease is None else float(row.ease[size.place])
    if not levels:
        return []
    rows = [["level", *sheet.run.names]]
    for level, (sewn, eased) in levels.items():
        rows.append([in_words(level), *map(sheet.show, sewn)])
        if any(map(math.isfinite, eased)):
            rows.append(["   ease", *map(sheet.signed, eased)])
    return ["", "GIRTH AT EACH LEVEL, DARTS SEWN", *_columns(rows)]


def moves(sheet: GradeSheet) -> list[str]:
    """How far each place moves from size to size, piece by piece."""
    if not sheet.increments:
        return []
    lines = [
        "",
        "GRADE INCREMENTS: HOW FAR EACH PLACE MOVES FROM SIZE TO SIZE",
        "across, down, as seen from the place on which the sizes are laid together; even: every increment alike",
    ]
    for piece, rows in sheet.growth.items():
        lines += [
            "",
            f"{sheet.run.representative(piece).piece.title} ({piece}), all sizes meet at: {in_words(sheet.stacks[piece].words)}",
        ]
        table = [["place", *sheet.increments, ""]]
        still = []
        for row in rows:
            if row.word == STILL:
                still.append(in_words(row.place))
                continue
            table.append(
                [
                    in_words(row.place),
                    *(f"{sheet.moved(x)}, {sheet.moved(y)}" if math.isfinite(x) else "-" for x, y in row.increments),
                    in_words(row.word),
                ]
            )
        lines += _columns(table) if len(table) > 1 else []
        if still:
            lines += [f"do not move: {', '.join(still)}"]
    return lines


def reasons(sheet: GradeSheet) -> list[str]:
    """Which measure moves which place, and where that changes."""
    return reason_lines(sheet.run, sheet.unit, _columns)


SECTIONS: list[Callable[[GradeSheet], list[str]]] = [heading, measures, girths, moves, reasons]


def _shown(sheet: GradeSheet, measurement: Measurement, value: float) -> str:
    return sheet.house.figures(measurement.show(value, sheet.unit, sheet.house.fraction)).removesuffix(f" {sheet.unit}")


def _increment(sheet: GradeSheet, measurement: Measurement, increment: float) -> str:
    if measurement.kind == "angle":
        return "0" if abs(increment) < 1e-4 else ("+" if increment > 0 else "") + measurement.show(increment)
    return sheet.signed(increment)


def _columns(rows: list[list[str]]) -> list[str]:
    """Cells under one another, the first and the last words, the others figures; in parts where a row is too long."""
    rows = [row + [""] * (max(map(len, rows)) - len(row)) for row in rows]
    wide = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))]
    last = len(wide) - 1
    parts: list[list[int]] = []
    part: list[int] = []
    room = WIDTH - wide[0]
    for k in range(1, last + 1):
        if part and room - wide[k] - 2 < 0:
            parts.append(part)
            part, room = [], WIDTH - wide[0]
        part.append(k)
        room -= wide[k] + 2
    parts.append(part)
    words = {0, last} if rows[0][last] == "" else {0}
    lines: list[str] = []
    for part in parts:
        lines += [""] if lines else []
        for row in rows:
            lines.append("  ".join(row[k].ljust(wide[k]) if k in words else row[k].rjust(wide[k]) for k in (0, *part)))
    return lines


# --------------------------------------------------------------------------------------------- the table


def write_csv(sheet: GradeSheet) -> str:
    """One row a measure, then one a place seen from its stack, then one a place in the piece's own axes; figures in the unit."""
    run, unit = sheet.run, sheet.unit
    out = io.StringIO()
    out.write(_head(sheet, f"Grading table of {sheet.title}"))
    table = csv.writer(out, lineterminator="\n")
    table.writerow(
        [
            "piece",
            "place",
            "seen from",
            "increments",
            *(f"{increment} {way} [{unit}]" for increment in sheet.increments for way in ("across", "down")),
        ]
    )
    for name in sheet.measures():
        if run.style.measurements[name].kind != "angle":
            increments = np.diff(run.values(name))
            table.writerow(
                ["", name, "", _word(increments), *(cell for increment in increments for cell in (_figure(increment, unit), ""))]
            )
    for own_axes in (False, True):
        for piece, rows in sheet.growth.items():
            for row in rows:
                increments = np.diff(row.own, axis=0) if own_axes else row.increments
                words = sheet.stacks[piece].words if not own_axes else "its own axes"
                word = "" if own_axes else row.word
                table.writerow(
                    [piece, row.place, words, word, *(_figure(value, unit) for increment in increments for value in increment)]
                )
    return out.getvalue()


def _head(sheet: GradeSheet, title: str) -> str:
    """What stands above a table: whose it is, and what its figures rest on."""
    run = sheet.run
    head = [f"{title}, {MARK}", f"sizes {', '.join(run.names)} of {run.table.name}, base {run.names[run.base]}", *run.table.comments]
    if run.table.lent or run.table.filled:
        head += run.table.notes(*run.names)
    return "".join(f"# {line}\n" for line in head)


def _word(increments: Floats) -> str:
    if not len(increments) or np.abs(increments).max() < NOTHING:
        return STILL
    return EVEN if np.ptp(increments) < NOTHING else UNEVEN


def _figure(mm: float, unit: str) -> str:
    return "" if not math.isfinite(mm) else show_number(mm / UNITS[unit].mm, UNITS[unit].fineness)
