"""The grade rule table: how the turn points of the base size move to make each other size, in the form of ASTM D6673.

Known of the standard: the table is a plain ASCII file of its own beside the piece file (read in its clause 1.2).  The rest of
the form (its keys, `RULE: DELTA n` with a pair for each size, `# n` at the turn points on layer 2, no movement at the sample
size) is from memory or second-hand, not from the standard's own text; how a rule is told from an alternate reference line is not
known, and none is written.

Here a rule is the way in millimetres from the point's place at the base size, x across and y up as in the piece file, when
both sizes lie on the place on which they are stacked.  Equal rules have one number.  Turn points alone have rules, since they
are what the standard grades: a curve between two of them is the reader's own.  Every size is also drafted true to its
measures, and its own papers go before what a reader makes of the rules.

A turn point of the base is found again at another size by its number in the runs that finishing and flattening make, which are as
many for every body of one course.  A size of another course, or of another structure, has no such fellow and is left out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import NamedTuple

import numpy as np

from ...drafting.pattern import Piece
from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...geometry.path import Path
from ...sizing.growth import Stack
from ...sizing.run import SizeRun
from ...source.diagnostics import CAUTION, Diagnostic
from ..drawing.marks import bone_path
from ..drawing.model import Text
from ..house.house import USUAL, House
from ..house.work import SizesWork, Work
from .dxf import ascii_words, contents_of, created, number, write_dxf
from .pieces import TURN, Content, cross_lines

VERSION = "ASTM/D13Proposal 1 Version: D 6673-04"
AUTHOR = "AUTHOR: tapeline"
SAME = 1e-3  # mm between a turn point and its place in a run
_TYPE = 3.0


class Ruled(NamedTuple):
    """The table and the base size's contents with their numbers; `left_out` are sizes that have no rules."""

    sizes: tuple[str, ...]
    rules: Floats  # (R, S, 2), y down
    contents: tuple[Content, ...]
    left_out: tuple[str, ...]


def papers(work: SizesWork) -> dict[str, str | bytes]:
    """NAME.rul and the base size's DXF that bears its numbers.  Caution B134 of sizes that have no rules."""
    run, base, stem = work.run, work.base, work.file_stem
    ruled = rules_of(run, work.stacks, base)
    if ruled.left_out:
        work.diagnostics.append(_no_rules(run, ruled.left_out))
    return {
        f"{stem}.rul": write_rules(ruled, run.names[run.base], stem, base.house.name, base.heading.date),
        f"{base.file_stem}.dxf": write_dxf(ruled.contents, base, ascii_words(stem)),
    }


def is_ours(data: bytes) -> bool:
    """Whether a file is a rule table that this program made."""
    return data.startswith(VERSION.encode()) and AUTHOR.encode() in data[:400]


def _no_rules(run: SizeRun, left_out: Sequence[str]) -> Diagnostic:
    return Diagnostic(
        "B134",
        "Some sizes have no grade rules",
        run.sizes[run.names.index(left_out[0])].card.span,
        f"sizes drafted by the same rules as {run.table.body_name(run.names[run.base])}",
        f"other rules for {', '.join(left_out)}",
        "Use the papers of those sizes themselves, or draft them as a run of their own with --only.",
        severity=CAUTION,
    )


def size_word(name: str) -> str:
    """A size as one word of plain letters, since the list of sizes is parted by blanks; as `Work.size_name` in the piece file."""
    return ascii_words("_".join(name.split())) or "size"


def write_rules(ruled: Ruled, base: str, name: str, house: str = "", date: datetime | None = None) -> str:
    lines = [
        VERSION,
        AUTHOR + (f", for {ascii_words(house)}" if house else ""),
        *(f"CREATION {key.upper()}: {value}" for key, value in created(date)),
        "UNITS: METRIC",
        f"GRADE RULE TABLE: {ascii_words(name)}",
        f"NUMBER OF SIZES: {len(ruled.sizes)}",
        f"SIZE LIST: {' '.join(map(size_word, ruled.sizes))}",
        f"SAMPLE SIZE: {size_word(base)}",
    ]
    for k, rule in enumerate(ruled.rules, 1):
        lines += [f"RULE: DELTA {k}", *(f"{number(x)}, {number(-y)}" for x, y in rule)]
    return "\r\n".join([*lines, "END", ""])


# ------------------------------------------------------------------------------------------------ the rules


def rules_of(run: SizeRun, stacks: Mapping[str, Stack], work: Work) -> Ruled:
    """Every rule, numbered in the order of the pieces, and the contents of the base's piece file with the numbers."""
    fellows = [k for k in range(len(run.sizes)) if _alike(run, k)]
    base = fellows.index(run.base)
    numbers: dict[tuple[float, ...], int] = {}
    rules: list[Floats] = []
    contents = contents_of(work)
    ruled = []
    for content, finished in zip(contents, [*work.finished.pieces, None], strict=True):
        texts = list(content.texts)
        if finished is not None:
            stack, name = stacks[finished.piece.name], finished.piece.name
            sizes = [(run.sizes[k], run.sizes[k].piece(name)) for k in fellows]
            places = np.stack(
                [_points(piece, work.house, work.unit)[size.place] for size, piece in sizes if piece is not None]
            )  # (F, M, 2): all have it
            laid = _in_stack(stack, fellows, places)
            for layer, spot in content.spots:
                nearest = _nearest(places[base], spot) if layer == TURN else None
                if nearest is None:
                    continue
                rule = laid[:, nearest] - laid[base, nearest]
                rule[base] = 0.0
                key = tuple(np.round(rule, 3).reshape(-1) + 0.0)
                if key not in numbers:
                    numbers[key] = len(rules) + 1
                    rules.append(rule)
                texts.append((TURN, Text(float(spot[0]), float(spot[1]), _TYPE, f"# {numbers[key]}")))
        ruled.append(content._replace(texts=tuple(texts)))
    names = run.names
    return Ruled(
        tuple(names[k] for k in fellows), np.array(rules), tuple(ruled), tuple(name for k, name in enumerate(names) if k not in fellows)
    )


def _alike(run: SizeRun, k: int) -> bool:
    """Whether every piece of a size has the runs that the base's has."""
    base, size = run.sizes[run.base], run.sizes[k]
    if base.whole is size.whole:
        return True
    return base.whole.draft.plan is size.whole.draft.plan and all(
        (fellow := size.piece(piece.piece.name)) is not None and _form(piece) == _form(fellow) for piece in base.whole.finished.pieces
    )


def _form(finished: FinishedPiece) -> list[object]:
    """What the numbers of the points in `_points` rest on."""
    piece = finished.piece
    return [
        finished.cut_line.shape[1],
        *((name, part.start, part.stop) for name, part in finished.runs.items()),
        *(tuple(type(segment).__name__ for segment in line.segments) for line in _lines(piece, USUAL, "cm")),
        len(piece.inner),
        len(piece.point_marks),
        piece.cut,
    ]


def _lines(piece: Piece, house: House, unit: str) -> list[Path]:
    """Every line of which a piece file can hold points, in a fixed order."""
    lines = [line for edge in piece.edges for line in (*edge.strips, *(dart.trued for dart in edge.darts))]
    lines += [leg for dart in piece.darts() for leg in (dart.near_leg, dart.far_leg)]
    return lines + [bone_path(mark, house, unit) if mark.kind == "bone" else mark.path for mark in piece.marks]


def _points(finished: FinishedPiece, house: House, unit: str) -> Floats:
    """(N, M, 2) the points of the cut line, then of all other lines, then the same mirrored at a fold.

    First the ends of legs: the cut line turns there, and on it they have another number from size to size.
    """
    piece = finished.piece
    points = np.concatenate(
        [
            finished.leg_ends,
            finished.cut_line,
            *(line.flatten() for line in _lines(piece, house, unit)),
            *(line for mark in piece.point_marks for line in cross_lines(mark)),
            *(corner[:, None] for dart in piece.inner for corner in dart.corners()),
        ],
        axis=1,
    )
    if not piece.cut.fold:
        return points
    edge = piece.edge(piece.cut.fold)
    start, way = edge.start()[:, None], (edge.end() - edge.start())[:, None]
    along = way / np.hypot(way[..., 0], way[..., 1])[..., None]
    return np.concatenate([points, 2 * (start + ((points - start) * along).sum(axis=-1, keepdims=True) * along) - points], axis=1)


def _in_stack(stack: Stack, sizes: Sequence[int], places: Floats) -> Floats:
    """Places (F, M, 2) of some of the sizes as they lie in the stack."""
    substack = type(stack)(stack.words, stack.origin[list(sizes)], stack.turn[list(sizes)])
    laid: Floats = substack.laid(places)
    return laid


def _nearest(places: Floats, spot: Floats) -> int | None:
    """The first of the base's points that lies where a turn point does; None where it was made by smoothing alone."""
    away = np.hypot(*(places - spot).T)
    away = np.where(np.isfinite(away), away, np.inf)
    near = np.flatnonzero(away < SAME)
    return int(near[0]) if len(near) else None
