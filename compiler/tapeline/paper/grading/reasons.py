"""Why the places of a style move from size to size: the grading sheet's last section, and a table of every size's slopes.

The section tells of the base size which measure moves which place, how far and which way; then at which values of a measure
a rule breaks the grade, and which places move otherwise beyond.  A measure is swept a little further than the sizes of the run go,
so that a size to be added is warned of a break.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping

import numpy as np

from ...geometry.arrays import Floats
from ...sizing.breaks import GradeBreak, Stretch, grade_breaks
from ...sizing.grade_words import Teller, slope_table
from ...sizing.run import SizeRun
from ...sizing.slopes import Place, Slopes
from ..drawing.pieces import in_words

BEYOND = 0.1  # of a measure: how far past the least and the greatest of the run it is swept
CURVED = "about "  # before what holds only near this size
HEADING = "WHICH MEASURE MOVES WHICH PLACE"


def reason_lines(run: SizeRun, unit: str, columns: Callable[[list[list[str]]], list[str]]) -> list[str]:
    """A table for each piece, a column for each measure that moves any of its places; then the grade breaks."""
    teller = Teller(run.style, unit)
    base = run.sizes[run.base]
    body = {name: base.card.values[name] for name in run.measures}
    slopes = next(slopes for slopes in run.slopes() if slopes.draft is base.whole.draft)
    choices = {name: values[base.place] for name, values in base.whole.draft.run.choices.items()}
    breaks, stretches = grade_breaks(run.style, body, choices, _swept(run), unit=base.whole.draft.run.unit)
    each = f"{teller.small} for each {teller.large}{' or degree' if slopes.angles else ''} of the measure"
    lines = [
        "",
        HEADING,
        f"of size {base.name}: {each}, in each piece's own axes",
        f"out is away from the centre line, in is toward it; {CURVED.strip()}: along a curve, so only near this size",
    ]
    for piece in run.pieces:
        table = _table(piece, slopes, base.place, teller, stretches)
        if table:
            lines += ["", f"{run.representative(piece).piece.title} ({piece})", *columns(table)]
    for grade_break in breaks:
        lines += _beyond(grade_break, slopes, teller, columns)
    return lines if len(lines) > 4 else []


def _swept(run: SizeRun) -> dict[str, tuple[float, float]]:
    values = {name: run.values(name) for name in run.measures}
    return {name: (figures.min() * (1.0 - BEYOND), figures.max() * (1.0 + BEYOND)) for name, figures in values.items()}


def _table(piece: str, slopes: Slopes, number: int, teller: Teller, stretches: Mapping[str, Stretch]) -> list[list[str]]:
    rows = {
        place: [
            _moves(teller, slope, measure, stretches.get(measure), (piece, place))
            for measure, slope in zip(slopes.measures, every[number], strict=True)
        ]
        for (owner, place), every in slopes.places.items()
        if owner == piece
    }
    rows = {place: cells for place, cells in rows.items() if any(cells)}
    used = [k for k, _ in enumerate(slopes.measures) if any(cells[k] for cells in rows.values())]
    if not rows:
        return []
    return [
        ["place", *(in_words(slopes.measures[k]) for k in used)],
        *([in_words(place), *(cells[k] or "0" for k in used)] for place, cells in rows.items()),
    ]


def _moves(teller: Teller, slope: Floats, measure: str, stretch: Stretch | None, key: Place) -> str:
    moved = teller.slope(slope, measure).replace(f" {teller.small}", "") if np.isfinite(slope).all() else ""
    if not moved or stretch is None or key not in stretch.least:
        return moved
    return (CURVED if teller.differ(stretch.least[key], stretch.most[key], measure) else "") + moved


def _beyond(grade_break: GradeBreak, slopes: Slopes, teller: Teller, columns: Callable[[list[list[str]]], list[str]]) -> list[str]:
    """One grade break: the measure and its value, the rules, and how places move on either side of it."""
    rules = dict.fromkeys(f"{rule.words}, {rule.span.source.name}:{rule.span.line}" for rule in grade_break.rules)
    rows = []
    for piece, place in slopes.places:
        key = piece, place
        cells = [
            teller.slope(side, grade_break.measure).replace(f" {teller.small}", "") or "0" for side in grade_break.slopes.get(key, ())
        ] or ["", ""]
        if key in grade_break.below_only or key in grade_break.above_only:
            cells[key in grade_break.below_only] = "not there"
        leap = (
            teller.moved((grade_break.leaps[key] / (25.4 if teller.small == "in" else 1.0)).tolist())
            if key in grade_break.leaps
            else ""
        )
        broken = key in grade_break.slopes and teller.differ(*grade_break.slopes[key], grade_break.measure)
        if leap or broken or key in grade_break.below_only or key in grade_break.above_only:
            rows.append([f"{piece}.{place}", *cells, f"leaps {leap}" if leap else ""])
    if not rows:
        return []
    last = 4 if any(row[3] for row in rows) else 3
    return [
        "",
        f"Grade break where {in_words(grade_break.measure)} is {teller.value(grade_break.value, grade_break.measure)}: {'; '.join(rules)}",
        *columns([row[:last] for row in (["place", "below", "above", ""], *rows)]),
    ]


def slopes_csv(run: SizeRun, unit: str) -> str:
    """One row a size, place and measure that moves it, the other measures held; girths and seam lengths too."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(slope_table(run.slopes(), run.style, unit, run.names))
    return out.getvalue()
