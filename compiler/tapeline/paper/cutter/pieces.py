"""What a cutter's file holds of each piece: runs and points on numbered layers, and words set where they are free.

The layers are those of ASTM D6673 as far as they are used here; `dxf` tells what each holds and why.  Everything is in
the piece's own coordinates, millimetres, y down, as everywhere in the program; `dxf` turns it over when it is written.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple, TypeAlias

import numpy as np

from ...drafting.pattern import LEFT, Mark, Piece, PointMark
from ...finishing.drills import ASIDE, drill_holes
from ...finishing.finished import FinishedPiece
from ...finishing.levels import CLEAR
from ...geometry.arrays import Floats
from ...geometry.path import Path
from ...meaning.cutting import TURNED_UP
from ...source.quantity import show_length
from ..drawing.fold import Fold, mirrored, off_fold, open_half
from ..drawing.labels import Block, Labels, Words
from ..drawing.lettering import wrap
from ..drawing.marks import ONLY, bone_length, bone_path, placed
from ..drawing.model import Stroke, Text, run, text_plate
from ..drawing.pieces import allowance_words, cut_words, extra_words, in_words
from ..house.house import House
from ..house.work import Work
from .points import corners, crossing, nearest_on, run_of, unfolded

BOUNDARY, TURN, CURVE, NOTCH, MIRROR, GRAIN, INTERNAL, DRILL, SEW, ANNOTATION = 1, 2, 3, 4, 6, 7, 8, 13, 14, 15

DRILLED = ("drill", "button")  # places that are drilled; other places are drawn, since a hole would show
LINES_SAID = {"buttonhole": "buttonhole", "join": "may be joined here"}
CROSS = 3.0  # mm, of a drawn place to either side
LEAST = 1.0  # mm; shorter lines are left out
SQUARE = 100.0  # mm; side of the test square
_NOTCHES = {"triangle": "V", "slit": "slits", "line": "slits"}
_TYPE = 6.0  # mm; size of the words, made smaller where there is less room


class LayerRun(NamedTuple):
    layer: int
    points: Floats  # (K, 2)
    closed: bool = False


Spot: TypeAlias = tuple[int, Floats]  # layer, place


class Content(NamedTuple):
    """One piece as it goes into the file.  `spots` are (layer, place), `texts` (layer, words)."""

    name: str
    runs: tuple[LayerRun, ...]
    spots: tuple[tuple[int, Floats], ...]
    texts: tuple[tuple[int, Text], ...]

    def room(self) -> Floats:
        """Left upper and right lower corner (2, 2) of all that the piece takes up, its words among it."""
        points = [layer_run.points for layer_run in self.runs] + [text_plate(text).corners() for _, text in self.texts]
        low_high = np.concatenate(points)
        return np.stack([low_high.min(axis=0), low_high.max(axis=0)])


def piece_content(finished_piece: FinishedPiece, work: Work, name: str, halved: bool = False) -> Content:
    """A piece of the draft.  One cut on the fold is opened out, or with `halved` given as its half and a mirror line.

    ValueError if the piece is not known for this body.
    """
    index, piece = work.index, finished_piece.piece
    ring = finished_piece.cut_line[index]
    if not np.isfinite(ring).all():
        raise ValueError(f"{piece.name} is not known for body {index}")
    fold = None
    if piece.cut.fold:
        edge = piece.edge(piece.cut.fold)
        fold = edge.start()[index], edge.end()[index]
        ring = open_half(ring, fold, finished_piece.runs[edge.name].start)
    crease = None if halved else fold  # where it is opened out
    house = replace(work.house, language="en")  # the standard's keys are English; so are the words beside them
    inner, named = _inner(finished_piece, index, work.unit, house)
    boundary = [LayerRun(BOUNDARY, run_of(ring, fold is None), True)]
    spots = _drills(piece, index, house.drill)
    if crease is not None:
        centre = np.stack([ring[0], ring[-1]])
        boundary = [LayerRun(BOUNDARY, *part) for part in unfolded(boundary[0].points, crease)]
        inner = [LayerRun(layer_run.layer, *part) for layer_run in inner for part in _on_both(layer_run, crease)]
        inner.append(LayerRun(INTERNAL, centre))
        named.append((centre, "centre"))
    elif piece.halves is not None and piece.halves.centre is not None:
        inner.append(LayerRun(INTERNAL, piece.halves.centre[index]))
        named.append((piece.halves.centre[index], "centre"))
    elif fold is not None:
        inner.append(LayerRun(MIRROR, np.stack([ring[0], ring[-1]])))
    whole = boundary[0].points
    spots += [(NOTCH, crossing(whole, stitch, cut)) for stitch, cut in _notches(finished_piece, index)]
    if crease is not None:
        spots += [(layer, mirrored(place[None], crease)[0]) for layer, place in spots if off_fold(place[None], crease)[0] > 1e-3]
    grain = finished_piece.grain_line[index]
    if np.isfinite(grain).all():
        inner.append(LayerRun(GRAIN, grain))
    runs = [*boundary, *inner]
    texts = _words(
        runs,
        whole,
        named,
        _keys(piece, work, name, crease is not None),
        _notes(finished_piece, work, spots, house),
        finished_piece.label_at[index],
    )
    return Content(name, tuple(runs), (*_design_points(runs), *_apart(spots)), texts)


def test_square(name: str, size: str) -> Content:
    """A square of known size, to be measured wherever the file was read: its unit is all that a reader can mistake."""
    side, words = SQUARE, show_length(SQUARE, "mm")
    ring = np.array([[0.0, 0.0], [side, 0.0], [side, side], [0.0, side]])
    runs = [LayerRun(BOUNDARY, ring, True), LayerRun(GRAIN, np.array([[0.1, 0.2], [0.1, 0.8]]) * side)]
    keys = [f"Piece Name: {name}", f"Size: {size}", "Annotation: test square, no part of the garment", "Quantity: 0,0"]
    notes = [f"Each side measures {words}", "Wrong size: read the file in millimetres"]
    return Content(name, tuple(runs), _design_points(runs), _words(runs, ring, [], keys, notes, ring.mean(axis=0)))


# --------------------------------------------------------------------------------------------- runs within


def _flat(path: Path, index: int) -> Floats:
    return run_of(path.take(slice(index, index + 1)).flatten()[0])


def _inner(finished_piece: FinishedPiece, index: int, unit: str, house: House) -> tuple[list[LayerRun], list[tuple[Floats, str]]]:
    """Sew lines and internal lines of the piece as drawn, and the words for some of them."""
    piece = finished_piece.piece
    runs: list[LayerRun] = []
    named: list[tuple[Floats, str]] = []

    def internal(points: Floats, words: str = "", closed: bool = False) -> None:
        if np.isfinite(points).all() and len(points) > 1 and np.ptp(points, axis=0).max() > LEAST:
            runs.append(LayerRun(INTERNAL, points, closed))
            if words:
                named.append((points, words))

    for edge in piece.edges:
        allowance = finished_piece.allowances[edge.name]
        if edge.name == piece.cut.fold or not allowance.width[index] > 0.0:
            continue  # the boundary itself is the line
        lines = [_flat(path, index) for path in (*edge.strips, *(dart.trued for dart in edge.darts))]
        if allowance.kind == TURNED_UP:
            longest = max(lines, key=lambda line: np.ptp(line, axis=0).max())
            for line in lines:
                internal(line, f"{in_words(edge.name)}: turn up here" if line is longest else "")
        else:
            runs += [LayerRun(SEW, line) for line in lines if np.ptp(line, axis=0).max() > LEAST]
    for dart in piece.darts():
        near, far = _flat(dart.near_leg, index), _flat(dart.far_leg, index)
        if dart.kind != "pleat":
            internal(np.concatenate([near, far[-2::-1]]), "tuck: lay it, unsewn below the edge" if dart.kind == "tuck" else "")
            continue
        folded, laid = (near, far) if dart.press == "near" else (far, near)
        internal(folded, "pleat: fold here")
        internal(laid, "pleat: lay the fold to here")
    for inner in piece.inner:
        internal(np.array([corner[index] for corner in inner.corners()]), closed=True)
    for points, words in _marked(piece, index, unit, house):
        internal(points, words)
    return runs, named


def _marked(piece: Piece, index: int, unit: str, house: House) -> Iterator[tuple[Floats, str]]:
    """The lines of marks with their words: a bone as long as it is cut, and a cross for a place that is not drilled."""
    for mark in piece.marks:
        path, words = mark.path.take(slice(index, index + 1)), in_words(mark.name)
        if mark.kind == "zip":
            continue
        if mark.kind == "bone":
            words = f"bone {house.show(bone_length(mark, index, house, unit), unit)}"
            path = bone_path(mark, house, unit).take(slice(index, index + 1))
        elif mark.kind in LINES_SAID:
            words = LINES_SAID[mark.kind]
        yield _flat(path, 0), ", ".join(filter(None, [words, mark.note]))
    for point in piece.point_marks:
        for k, line in enumerate(cross_lines(point)):
            yield line[index], "" if k else (point.words or point.kind)


def cross_lines(mark: PointMark) -> list[Floats]:
    """The lines (N, 2, 2) of the cross that is drawn for a place, none for one that is drilled."""
    if mark.kind in DRILLED:
        return []
    return [np.stack([mark.at - way, mark.at + way], axis=1) for way in np.array([[CROSS, 0.0], [0.0, CROSS]])]


def _on_both(layer_run: LayerRun, fold: Fold) -> list[tuple[Floats, bool]]:
    """A run on both halves of an opened piece; a closed one is not cut open by a fold that it touches."""
    if not layer_run.closed:
        return unfolded(layer_run.points, fold)
    if (off_fold(layer_run.points, fold) <= 1e-3).all():
        return [(layer_run.points, True)]
    return [(layer_run.points, True), (mirrored(layer_run.points, fold)[::-1], True)]


# --------------------------------------------------------------------------------------------------- spots


def _notches(finished_piece: FinishedPiece, index: int) -> list[tuple[Floats, Floats]]:
    """From the stitch line out to about the cut line: notches of the piece, and one at each end of a zip within its edge."""
    places = [(notch.on_stitch[index], notch.on_cut[index]) for notch in finished_piece.notches]
    for mark in finished_piece.piece.marks:
        if mark.kind == "zip":
            places += [(end, end) for end in _zip_ends(finished_piece, mark, index)]
    return [place for place in places if np.isfinite(place).all()]


def _zip_ends(finished_piece: FinishedPiece, mark: Mark, index: int) -> list[Floats]:
    """On the cut line of the edge that a zip lies on; none where it ends with the edge."""
    line = {edge.name: _flat(edge.trued_path(), index) for edge in finished_piece.piece.edges}
    middle = mark.path.point_at(mark.path.length() / 2)[index]
    name = min(line, key=lambda edge_name: np.hypot(*(nearest_on(line[edge_name], middle, closed=False) - middle)))
    cut = finished_piece.cut_line[index][finished_piece.runs[name]]
    ends = (mark.path.start()[index], mark.path.end()[index])
    return [nearest_on(cut, end, closed=False) for end in ends if min(np.hypot(*(end - line[name][k])) for k in (0, -1)) > CLEAR]


def _drills(piece: Piece, index: int, back_off: float) -> list[Spot]:
    """Drill holes: for darts, where a style says so, and for buttons."""
    holes = [places[index] for _, places in drill_holes(piece, back_off)]
    holes += [at for mark, at in placed(piece, index) if mark.kind in DRILLED]
    return [(DRILL, hole) for hole in holes if np.isfinite(hole).all()]


def _apart(spots: Iterable[Spot]) -> tuple[Spot, ...]:
    """The spots without those that fall on another of their layer."""
    distinct: list[tuple[int, Floats]] = []
    for layer, place in spots:
        if not any(layer == other_layer and np.hypot(*(place - other_place)) < 0.5 for other_layer, other_place in distinct):
            distinct.append((layer, place))
    return tuple(distinct)


def _design_points(runs: Sequence[LayerRun]) -> tuple[tuple[int, Floats], ...]:
    """Every point of the contours, once: as turn point if it is one of any of them, else as curve point."""
    turns: dict[tuple[float, ...], Floats] = {}
    curves: dict[tuple[float, ...], Floats] = {}
    for layer_run in runs:
        if layer_run.layer in (BOUNDARY, INTERNAL, SEW):
            for point, corner in zip(layer_run.points, corners(layer_run.points, layer_run.closed), strict=True):
                # As it is written, so that a run and its point cannot be rounded to different sides.
                (turns if corner else curves).setdefault(tuple(round(float(value), 4) + 0.0 for value in point), point)
    return (*((TURN, point) for point in turns.values()), *((CURVE, point) for key, point in curves.items() if key not in turns))


# --------------------------------------------------------------------------------------------------- words


def _keys(piece: Piece, work: Work, name: str, opened: bool) -> list[str]:
    """The piece's system text: one key a line."""
    cut = piece.cut
    mirrored_count = cut.count // 2 if cut.paired else 0
    return [
        f"Piece Name: {name}",
        f"Size: {work.size_name}",
        f"Annotation: {piece.title}. {cut_words(cut, opened, hand=piece.hand)}. The boundary is the cut line",
        f"Quantity: {cut.count - mirrored_count},{mirrored_count}",
        *([f"Material: {in_words(cut.purpose)}"] if cut.purpose else []),
    ]


def _notes(finished_piece: FinishedPiece, work: Work, spots: Sequence[Spot], house: House) -> list[str]:
    notes = extra_words(finished_piece.piece.cut)
    halves = finished_piece.piece.halves
    if halves is not None:
        left, right = ("right", "left") if halves.drawn == LEFT else ("left", "right")
        notes.append(f"As drawn the {left} half is for the left side of the body, the {right} half for the right")
    notes += wrap(allowance_words(finished_piece, work.index, work.unit, house), _TYPE, 180)
    layers = {layer for layer, _ in spots}
    if NOTCH in layers:
        notes.append(f"Notches: {_NOTCHES.get(house.notch, 'slits')}")
    if DRILL in layers:
        notes.append(_drill_words(finished_piece.piece, work))
    for mark in finished_piece.piece.marks:
        if mark.kind == "zip":
            notched = ", to its notch" if _zip_ends(finished_piece, mark, work.index) else ""
            side = f", {ONLY[mark.side]}" if mark.side else ""
            notes.append(f"Zip {house.show(float(mark.path.length()[work.index]), work.unit)}{side}{notched}")
    return notes


def _drill_words(piece: Piece, work: Work) -> str:
    """For what holes are drilled, and how far short of a dart's point they stand."""
    house, index = work.house.in_english(), work.index
    reach = [float(dart.near_leg.length()[index]) for dart in piece.darts() if dart.kind == "dart"]
    reach += [float(np.hypot(*(dart.lower - dart.upper)[index])) for dart in piece.inner]
    said = []
    if reach and house.drill > 0.0:
        short = ", short darts by a quarter" if min(reach) < 4 * house.drill else ""
        said.append(f"{house.show(house.drill, work.unit)} short of each dart point{short}")
    if piece.inner and house.drill > 0.0:
        said.append(f"{house.show(ASIDE, work.unit)} inside the sides of a dart with two points")
    kinds = {mark.kind for mark, _ in placed(piece, index)}
    said += [words for kind, words in (("button", "at each button"), ("drill", "where the style says so")) if kind in kinds]
    return f"Drill holes: {', '.join(said)}"


def _words(
    runs: Sequence[LayerRun], ring: Floats, named: Iterable[tuple[Floats, str]], keys: list[str], notes: list[str], preferred: Floats
) -> tuple[tuple[int, Text], ...]:
    """Names along their lines, then the block of keys and notes, none on another or on a line."""
    labels = Labels([Stroke(run(layer_run.points, layer_run.closed), "sign") for layer_run in runs], ring)
    for points, words in named:
        labels.along(points, Words(words, 4.5))
    place = preferred if np.isfinite(preferred).all() else (ring.min(axis=0) + ring.max(axis=0)) / 2
    lines = [*keys, *notes]
    stacked = Block(tuple(Words(line, _TYPE) for line in lines))
    labels.block([[stacked]], place)
    return tuple((BOUNDARY if item.words in keys else ANNOTATION, item) for item in labels.items if isinstance(item, Text))
