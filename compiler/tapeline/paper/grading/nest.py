"""The nest: every piece in all sizes, one on the other at true size, so that a grader sees how it grows.

Each size has dashes of its own and its name stands in its lines, so a black print says all; the base is continuous and wider.
Cut lines are wide, stitching lines and darts thin.  Thin growth lines join each corner and each place of a dart from size to size.
Each size has its notches, which begin on its cut line, and the piece the grain line of the base.  Marks are on the papers of each size.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...sizing.growth import Stack
from ...sizing.run import Size, SizeRun
from ..drawing import signs
from ..drawing.fold import open_half
from ..drawing.labels import Block, Labels, Words
from ..drawing.lettering import RISE, text_width
from ..drawing.model import LINES, SIZE_DASHES, Drawing, Group, Leaf, Stroke, Text, carried, polylines, run, trace
from ..drawing.pieces import in_words, notch_strokes
from ..house.work import Heading, SizesWork
from ..sheets.pdf import TRUE_SIZE, Layer, Page, write_pdf
from ..sheets.sheet import lay_out, line_sample, test_square, title_block
from ..sheets.svg import write_svg
from .nest_names import SizeLine, set_names

STILL = 0.5  # mm; a shorter growth line is left out


def papers(work: SizesWork) -> dict[str, str | bytes]:
    """NAME-nest.svg and, where PDFs are asked for, NAME-nest.pdf, one page at true size."""
    drawing = draw_nest(work.run, work.stacks, work.heading)
    files: dict[str, str | bytes] = {f"{work.file_stem}-nest.svg": write_svg(drawing)}
    if "pdf" in work.kinds:
        page = Page(drawing.width, drawing.height, (Layer(drawing.items),), drawing.title)
        files[f"{work.file_stem}-nest.pdf"] = write_pdf([page], drawing.title, work.heading.house.name, work.heading.date, TRUE_SIZE)
    return files


def draw_nest(sized: SizeRun, stacks: Mapping[str, Stack], heading: Heading) -> Drawing:
    """All pieces in all sizes of a `SizeRun`, each laid on its stack."""
    pieces = [draw_stack(sized, name, stacks[name], heading) for name in sized.pieces]
    head = [title_block(heading), test_square(heading.unit, heading.house), size_key(sized, heading)]
    return lay_out(
        [head, pieces],
        title=f"{heading.titled}, nest of sizes",
        description=f"Every piece in sizes {', '.join(sized.names)}, one on the other at true size; the base size is "
        f"{sized.names[sized.base]}.",
    )


def line_names(sized: SizeRun) -> list[str]:
    """The beginning of the line types of each size: `base`, `size_1`, ...; a fifteenth other size has dashes used before."""
    numbers = iter(range(len(sized.sizes)))
    return ["base" if k == sized.base else f"size_{next(numbers) % len(SIZE_DASHES) + 1}" for k in range(len(sized.sizes))]


# --------------------------------------------------------------------------------------------- one piece


def draw_stack(sized: SizeRun, name: str, stack: Stack, heading: Heading) -> Group:
    """One piece in all sizes, its stack at (0, 0)."""
    names, house = line_names(sized), heading.house
    having = [k for k, size in enumerate(sized.sizes) if size.piece(name) is not None]
    having.sort(key=lambda k: (k == sized.base, k))  # the base is drawn last, over the others
    lines, inner = {}, {}
    for k in having:
        lines[k], inner[k] = _outline(sized.sizes[k], name, stack, k), _stitching(sized.sizes[k], name, stack, k, names[k])
    growth = _growth_lines(sized, name, stack)
    finished_piece = sized.representative(name)
    centre = having[-1]
    ring = lines[centre].run[:-1] if _closed(lines[centre].run) else lines[centre].run
    notches = [stroke for k in having for stroke in _notches(sized.sizes[k], name, stack, k, house.notch)]
    thin = [*growth, *notches, *_grain(sized.sizes[centre], name, stack, centre), *(stroke for k in having for stroke in inner[k])]
    strokes = [*_fold(sized, name, stack, having), *thin, signs.cross((0.0, 0.0))]
    labels = Labels([*strokes, *(Stroke(run(lines[k].run), f"{names[k]}_cut") for k in having)], ring)
    runs = set_names([lines[k] for k in having], [_flat(stroke) for stroke in thin], labels)
    for k, parts in zip(having, runs, strict=True):
        strokes += [Stroke(run(part), f"{names[k]}_cut", sized.names[k]) for part in parts]
    words = [
        Words(finished_piece.piece.title, 11, "bold"),
        Words(house.say("all sizes meet at: {place}", place=in_words(stack.words)), 5),
    ]
    place = (
        finished_piece.label_at[sized.sizes[centre].place] if sized.sizes[centre].piece(name) is finished_piece else np.full(2, np.nan)
    )
    preferred = _in_stack(stack, centre, place[None])[0] if np.isfinite(place).all() else ring.mean(axis=0)
    labels.block([[Block(tuple(words))]], preferred)
    return Group(name, finished_piece.piece.title, (*strokes, *labels.items), piece=True)


def _closed(points: Floats) -> bool:
    return bool(np.hypot(*(points[0] - points[-1])) < 1e-6)


def _in_stack(stack: Stack, k: int, points: Floats) -> Floats:
    """Points (M, 2) of one size's piece as they lie in the stack."""
    whole = np.full((len(stack.origin), *points.shape), np.nan)
    whole[k] = points
    laid: Floats = stack.laid(whole)[k]
    return laid


def _piece_of(size: Size, name: str) -> FinishedPiece:
    """The piece of a size that has it."""
    finished_piece = size.piece(name)
    assert finished_piece is not None, f"size {size.name} has no {name}"
    return finished_piece


def _half(finished_piece: FinishedPiece, place: int) -> Floats | None:
    """The cut line of a piece on the fold, from one end of the fold to the other."""
    if not finished_piece.piece.cut.fold:
        return None
    edge = finished_piece.piece.edge(finished_piece.piece.cut.fold)
    return open_half(finished_piece.cut_line[place], (edge.start()[place], edge.end()[place]), finished_piece.runs[edge.name].start)


def _outline(size: Size, name: str, stack: Stack, k: int) -> SizeLine:
    """The cut line of one size, open at a fold."""
    finished_piece = _piece_of(size, name)
    ring, half = finished_piece.cut_line[size.place], _half(finished_piece, size.place)
    whole = np.concatenate([ring, ring[:1]]) if half is None else half
    edges = {
        edge: _in_stack(stack, k, ring[part])
        for edge, part in finished_piece.runs.items()
        if edge != finished_piece.piece.cut.fold and len(ring[part]) > 1
    }
    return SizeLine(size.name, _in_stack(stack, k, whole), edges)


def _fold(sized: SizeRun, name: str, stack: Stack, having: Sequence[int]) -> list[Stroke]:
    """The fold line, of the size in which it is longest and of each whose fold lies elsewhere."""
    folds = []
    for k in having:
        size = sized.sizes[k]
        half = _half(_piece_of(size, name), size.place)
        if half is not None:
            folds.append(_in_stack(stack, k, half[[0, -1]]))
    folds.sort(key=lambda ends: -np.hypot(*(ends[1] - ends[0])))
    drawn: list[Floats] = []
    for ends in folds:
        if not any(_on(ends, line) for line in drawn):
            drawn.append(ends)
    return [Stroke(run(ends), "fold", "fold") for ends in drawn]


def _on(ends: Floats, line: Floats) -> bool:
    way = (line[1] - line[0]) / np.hypot(*(line[1] - line[0]))
    off = ends - line[0]
    return bool(np.abs(off[:, 0] * way[1] - off[:, 1] * way[0]).max() < 0.1)


def _stitching(size: Size, name: str, stack: Stack, k: int, line: str) -> list[Stroke]:
    """The stitching lines and the darts of one size."""
    piece, place = _piece_of(size, name).piece, size.place
    traced = [(edge.name, trace(strip, place)) for edge in piece.edges if edge.name != piece.cut.fold for strip in edge.strips]
    for dart in piece.darts():
        traced += [(dart.name, trace(leg, place)) for leg in (dart.near_leg, dart.far_leg)]
    for inner in piece.inner:
        corners = np.array([corner[place] for corner in inner.corners()])
        if np.isfinite(corners).all():
            traced.append((inner.name, run(corners, closed=True)))
    return [
        Stroke(carried(commands, stack.origin[k], float(stack.turn[k])), f"{line}_stitch", edge)
        for edge, commands in traced
        if commands
    ]


def _notches(size: Size, name: str, stack: Stack, k: int, kind: str) -> list[Stroke]:
    """The notches of one size."""
    strokes = notch_strokes(_piece_of(size, name), size.place, kind)
    return [stroke._replace(commands=carried(stroke.commands, stack.origin[k], float(stack.turn[k]))) for stroke in strokes]


def _grain(size: Size, name: str, stack: Stack, k: int) -> list[Stroke]:
    """The grain line of one size."""
    line = _piece_of(size, name).grain_line[size.place]
    if not np.isfinite(line).all():
        return []
    (x0, y0), (x1, y1) = _in_stack(stack, k, line).tolist()
    return signs.grain_arrow((x0, y0), (x1, y1))


def _growth_lines(sized: SizeRun, name: str, stack: Stack) -> list[Stroke]:
    """A thin line through each corner and each place of a dart, from size to size."""
    piece = sized.representative(name).piece
    darts = {f"{dart.name}_{part}" for dart in piece.darts() for part in ("near", "point", "far")}
    darts |= {f"{dart.name}_{part}" for dart in piece.inner for part in ("upper", "near", "lower", "far")}
    strokes = []
    for place, places in sized.all_places(name).items():
        if "/" in place or place in darts:
            laid = stack.laid(places)
            laid = laid[np.isfinite(laid).all(axis=1)]
            if len(laid) > 1 and np.ptp(laid, axis=0).max() > STILL:
                strokes.append(Stroke(run(laid), "growth", place))
    return strokes


def _flat(stroke: Stroke) -> Floats:
    return np.concatenate(polylines(stroke.commands, steps=16))


# ------------------------------------------------------------------------------------------------- the key


def size_key(sized: SizeRun, heading: Heading) -> Group:
    """A framed box with both lines of each size and its name."""
    say, size, sample = heading.house.say, 5.0, 46.0
    title = say("Sizes")
    rows = [
        (name, say("{size}, base size", size=words) if k == sized.base else words)
        for k, (name, words) in enumerate(zip(line_names(sized), sized.names, strict=True))
    ]
    notes = [say("wide: cut here; thin: stitching line")]
    items: list[Leaf] = [Text(5, 9, 6, title, "start", 0.0, "bold")]
    y = 19.0
    for name, words in rows:
        items += [
            Stroke(run([(5.0, y - 1.5), (5.0 + sample, y - 1.5)]), f"{name}_cut"),
            Stroke(run([(5.0, y + 1.5), (5.0 + sample, y + 1.5)]), f"{name}_stitch"),
            Text(sample + 12, y + 0.35 * size, size, words),
        ]
        y += 9.0
    items += [
        Stroke(run([(5.0, y), (5.0 + sample, y)]), "growth"),
        Text(sample + 12, y + 0.35 * size, size, say("growth: one place, from size to size")),
        signs.cross((5.0 + sample / 2, y + 9.0)),
        Text(sample + 12, y + 9.0 + 0.35 * size, size, say("where the sizes are laid together")),
    ]
    y += 18.0
    for name in ("grain", "notch"):
        items += [
            *line_sample(name, 5.0, y, sample, heading.house.notch),
            Text(sample + 12, y + 0.35 * size, size, say(LINES[name].meaning)),
        ]
        y += 11.0
    items += [Text(5, y + RISE * size / 2, size, note) for note in notes]
    y += 5.0
    captions = [item.words for item in items if isinstance(item, Text) and item.x > 5]
    wide = max([sample + 12 + text_width(caption, size) for caption in captions] + [5 + text_width(notes[0], size)]) + 5
    frame = Stroke(run([(0, 0), (wide, 0), (wide, y), (0, y)], closed=True), "frame", "sizes")
    return Group("sizes", "Lines of the sizes", (frame, *items))
