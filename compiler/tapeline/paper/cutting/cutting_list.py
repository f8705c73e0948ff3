"""The cutting list of one draft: what is cut how often from how much cloth, and what else the garment takes.

`cutting_list` gives it as plain data, from which the page and the plain text are made (`page`, `text`):

    made_by, cutting_list    "tapeline", and the version of this form
    style, body, unit        as in the record; all lengths are millimetres, areas square millimetres
    pieces     {number, name, title, for, count, fold, paired, alike, hand, grain, across, along, area}: hand is the side of the body
               that it is for as drawn, "both", or nothing, with `differs` where a whole piece is not its own image; grain is degrees from
               plumb, across and along the size as cut, of a piece on the fold half of it; with `layers`, {count, for, net}: those that are
               net are cut along the stitching line
    zips       {places, opening, edges, side}: one zip a row, with the {piece, edge} that are marked for it, on both sides of the
               opening and from piece to piece, and how many edges that makes over all pieces cut, at most at one height
    bones      {piece, name, channel, length, count}: length is the bone's as it is cut, no longer than its channel less the clearance
    tapes      {piece, edge, words, length, count, total}
    buttons    {count, size, words}
    fastenings {kind, count, length, words}: hooks, loops and buttonholes, by the places marked for them
    allowances {for, kind, width, length}: edges of one kind and width, as sewn, over all pieces cut
    note       of the body's card
    cloths     {for, width, width_from, nap, repeat, checked, area, allowances, longest, least, lays, once, facing, too_wide}: area of all its
               pieces as cut, and how much of it is allowances; one row for each width asked for.  A lay is {kind, width, length,
               lengths, matching, laid}: matching is what stripes or checks add to its length, one repeat for each of its lengths;
               what is laid is {piece, on_fold, copies, turned, mirrored, outline, label, up}, x from the fold or the selvedge, y
               along the cloth.  The last lay is the shortest: the open one stands only where it is shorter than the folded
               one, and alone where each piece is cut once (`once`) and some come out wrong from cloth that lies wrong side up; these
               pieces are `facing`.  What is too wide is laid turned by a quarter, where that fits
    cost       what the house's prices come to (see `cost`); None where it states none

What is cut for a facing is laid with the garment's outside, unless the style states a cloth for it (common practice);
all else that is cut for something has a cloth of its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any, NamedTuple

import numpy as np

from ...drafting.pattern import Piece
from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...meaning.cutting import ALLOWANCE_KINDS, NO_ALLOWANCE, Cut, Extra
from ...meaning.plan import ClothPlan
from ...source.quantity import number
from ..drawing.marks import bone_length
from ..house.work import Work
from .cost import cost
from .fastenings import button_rows, copies, counted, fastening_rows
from .lay import WIDTH, Cloth, Lay, Part, area_of, lay_folded, lay_open, least
from .page import write_page
from .text import write_text

FORM = 3
OUTSIDE = ""
OF_THE_OUTSIDE = ("facing", "facings")  # last words of what is cut from the garment's own cloth: common practice
ON_LINE = 1e-3  # mm
NO_SHORTER = 1.0  # mm by which an open lay must be shorter to be worth its trouble


def papers(work: Work) -> dict[str, str]:
    """NAME-cutting-list.html and .txt."""
    data = cutting_list(work)
    return {f"{work.file_stem}-cutting-list.html": write_page(data, work), f"{work.file_stem}-cutting-list.txt": write_text(data, work)}


def cutting_list(work: Work) -> dict[str, Any]:
    """The whole list as plain data."""
    plan, index = work.plan, work.index
    pieces = work.cut
    found = counted((piece.piece for piece in pieces), index)
    data: dict[str, Any] = {
        "made_by": "tapeline",
        "cutting_list": FORM,
        "style": {"name": plan.name, "title": plan.title or plan.name, "version": plan.version},
        "body": work.heading.body_name,
        "note": work.card_note,
        "unit": "mm",
        "pieces": [_piece_row(k, piece, index) for k, piece in enumerate(pieces, 1)],
        "zips": _zips(work),
        "bones": [row for piece in pieces for row in _bones(piece.piece, work)],
        "tapes": _tapes(work),
        "buttons": button_rows(work, found),
        "fastenings": fastening_rows(found),
        "allowances": _allowances(pieces, index),
        "cloths": _cloths(work),
    }
    return data | {"cost": cost(data, work)}


# ----------------------------------------------------------------------------------------------- the pieces


def _piece_row(count: int, finished: FinishedPiece, index: int) -> dict[str, Any]:
    piece, cut = finished.piece, finished.piece.cut
    part = part_of(CutLayer(finished, (cut.count, 0)), index)
    ring = part.ring if part.half is None else part.half
    across, along = (float(value) for value in ring.max(axis=0))
    x, y = (float(value) for value in piece.grain[index])
    return {
        "number": count,
        "name": piece.name,
        "title": piece.title,
        "for": cut.purpose,
        "count": cut.count,
        "fold": cut.fold,
        "paired": cut.paired,
        "hand": piece.hand.side,
        **({"differs": True} if piece.hand.differs else {}),
        "alike": cut.is_alike,
        "grain": number(abs(math.degrees(math.atan2(x, abs(y)))) if abs(x) > 1e-9 else 0.0),
        "across": number(across),
        "along": number(along),
        "area": number(area_of(part.ring)),
        "layers": [{"count": times, "for": purpose, "net": net} for times, purpose, net in cut.extras],
    }


class CutLayer(NamedTuple):
    """A piece as it is cut from one cloth: how often as drawn and mirrored, and whether by its net line."""

    finished: FinishedPiece
    hands: tuple[int, int]
    net: bool = False


def part_of(layer: CutLayer, index: int) -> Part:
    """A layer of a finished piece as it is laid: turned so that its lengthwise thread runs along the cloth, never turned over."""
    finished, hands, net = layer
    piece, fold = finished.piece, finished.piece.cut.fold
    gx, gy = (float(value) for value in piece.grain[index])
    if gy < -1e-9 or (abs(gy) <= 1e-9 and gx < 0.0):  # the end of the thread that is lower on the drawing lies further on
        gx, gy = -gx, -gy
    turn = np.array([[gy, gx], [-gx, gy]])  # carries the thread to (0, 1)
    ring, label = (_net_ring(piece, index) if net else finished.cut_line[index]) @ turn, finished.label_at[index] @ turn
    half = None
    if fold is not None:
        edge = piece.edge(fold)
        p, q = edge.start()[index] @ turn, edge.end()[index] @ turn
        if abs(p[0] - q[0]) < ON_LINE:
            side = 1.0 if float(ring[:, 0].mean()) > float(p[0]) else -1.0
            half = np.stack([np.maximum(side * (ring[:, 0] - p[0]), 0.0), ring[:, 1]], axis=-1)
            label = np.array([side * (label[0] - p[0]), label[1]])
        ring = whole(ring, p, q)
    corner = ring.min(axis=0)
    if half is not None:
        half = half - np.array([0.0, corner[1]])
    return Part(piece.name, ring - corner, label - (corner if half is None else [0.0, corner[1]]), *hands, half)


def _net_ring(piece: Piece, index: int) -> Floats:
    """The net outline (K, 2) of one body, which allowances are added to."""
    ring: Floats = piece.trued_outline().take(slice(index, index + 1)).flatten()[0]
    return ring


def quartered(part: Part) -> Part:
    """A part turned by a quarter, its lengthwise thread across the cloth: for one that is too wide as the style wants it."""
    ring, label = part.ring, part.label
    if part.half is not None:
        label = label + np.array([float(ring[:, 0].max() - part.half[:, 0].max()), 0.0])
    far = float(ring[:, 1].max())
    return part._replace(
        ring=np.stack([far - ring[:, 1], ring[:, 0]], axis=-1), label=np.array([far - label[1], label[0]]), half=None, up=(1.0, 0.0)
    )


def whole(ring: Floats, p: Floats, q: Floats) -> Floats:
    """A half outline (K, 2) together with its image in the line from p to q, as one ring."""
    along = (q - p) / np.hypot(*(q - p))
    square = np.array([-along[1], along[0]])
    off = (ring - p) @ square
    on = np.abs(off) < ON_LINE
    start = int(np.flatnonzero(on & ~np.roll(on, -1))[0])  # the last point on the fold before the walk leaves it
    walk, off, on = (np.roll(values, -start, axis=0) for values in (ring, off, on))
    stop = int(np.flatnonzero(on[1:])[0]) + 1
    walk, off = walk[: stop + 1], off[: stop + 1]
    return np.concatenate([walk, (walk - 2 * off[:, None] * square)[::-1][1:-1]])


# ----------------------------------------------------------------------------------------- zips, bones, tape


def _zips(work: Work) -> list[dict[str, Any]]:
    titles = {piece.name: piece.title for piece in work.finished.pattern.pieces}
    return [
        {
            "places": [{"piece": titles[piece], "edge": edge} for piece, edge in row.places],
            "edges": row.edges,
            "opening": number(row.opening[work.index]),
            "side": row.side,
        }
        for row in work.ledgers.zips
    ]


def _bones(piece: Piece, work: Work) -> Iterable[dict[str, Any]]:
    index = work.index
    for mark in piece.marks:
        if mark.kind == "bone":
            yield {
                "piece": piece.title,
                "name": mark.name.removeprefix("bone "),
                "channel": number(mark.path.length()[index]),
                "length": number(bone_length(mark, index, work.house, work.unit)),
                "count": copies(piece, mark.path.take(slice(index, index + 1)).flatten()[0], index, mark.side),
            }


def _tapes(work: Work) -> list[dict[str, Any]]:
    """The tapes; a layer that follows a taped edge of the garment's outside has none of its own."""
    rows = []
    plans = {plan.name: plan for plan in work.plan.pieces}
    outside = {tape.span for one in work.finished.pieces if not one.piece.cut.purpose for tape in plans[one.piece.name].tapes}
    for finished in work.finished.pieces:
        piece = finished.piece
        for tape in plans[piece.name].tapes:
            if piece.cut.purpose and tape.span in outside:
                continue
            assert tape.length is not None, "a tape is told by its length"
            times = 2 if piece.cut.fold not in (None, tape.name) else 1
            length = times * work.value(tape.length)
            rows.append(
                {
                    "piece": piece.title,
                    "edge": tape.name,
                    "words": tape.note,
                    "length": number(length),
                    "count": piece.cut.count,
                    "total": number(length * piece.cut.count),
                }
            )
    return rows


_KINDS = tuple(ALLOWANCE_KINDS)


def _allowances(pieces: Iterable[FinishedPiece], index: int) -> list[dict[str, Any]]:
    """Edges with an allowance, those of one kind and width together: hems first."""
    rows: dict[tuple[str, int, float | None], float] = {}
    for finished in pieces:
        cut = finished.piece.cut
        for edge in finished.piece.edges:
            allowance = finished.allowances.get(edge.name)
            if allowance is None or edge.name == cut.fold or allowance.kind == NO_ALLOWANCE:
                continue
            key = (cut.purpose, _KINDS.index(allowance.kind), number(allowance.width[index]))
            rows[key] = rows.get(key, 0.0) + float(edge.closed_length()[index]) * cut.instances
    return [
        {"for": purpose, "kind": _KINDS[kind], "width": width, "length": number(length)}
        for (purpose, kind, width), length in sorted(rows.items())
    ]


# ------------------------------------------------------------------------------------------------ the cloths


def _cloths(work: Work) -> list[dict[str, Any]]:
    stated = {cloth_plan.purpose: cloth_plan for cloth_plan in work.plan.cloths}
    layers: dict[str, list[CutLayer]] = {}
    for finished in work.cut:
        cut = finished.piece.cut
        for times, purpose, by_net in (Extra(cut.count, cut.purpose), *cut.extras):
            if purpose not in stated and purpose.rpartition(" ")[2] in OF_THE_OUTSIDE:
                purpose = OUTSIDE
            layers.setdefault(purpose, []).append(CutLayer(finished, _hands(cut, times), by_net))
    return [
        _cloth(work, purpose, layers[purpose], stated.get(purpose), width)
        for purpose in sorted(layers, key=lambda purpose: purpose != OUTSIDE)
        for width in work.asked.cloths.get(purpose, (0.0,))
    ]


def _hands(cut: Cut, count: int) -> tuple[int, int]:
    """How many of so many are cut as drawn, and how many mirrored."""
    pairs = count // 2 if cut.paired else 0
    return count - pairs, pairs


def _cloth(work: Work, purpose: str, layer: list[CutLayer], stated: ClothPlan | None, asked: float) -> dict[str, Any]:
    nap = work.house.nap if stated is None else stated.nap
    repeat = 0.0 if stated is None or stated.repeat is None else work.value(stated.repeat)
    checked = stated is not None and stated.checked
    widths = (
        ("asked", asked),
        ("style", 0.0 if stated is None else work.value(stated.width)),
        ("house", work.house.cloth),
        ("usual", WIDTH),
    )
    source, wide = next((source, width) for source, width in widths if width)
    cloth = Cloth(wide, nap, repeat if checked else 0.0)
    parts = [part_of(one, work.index) for one in layer]
    titles = {one.finished.piece.name: one.finished.piece.title for one in layer}
    across = {part.name: float(part.ring[:, 0].max()) for part in parts}
    too_wide = {name: size for name, size in across.items() if size + cloth.aside > cloth.width + ON_LINE}
    parts = [quartered(part) if part.name in too_wide else part for part in parts]
    folded, opened = lay_folded(parts, cloth), lay_open(parts, cloth)
    lays = [_lay_row(lay, repeat) for lay in (folded, opened) if lay.feasible]
    facing = [part.name for part in parts if part.faces(cloth.nap)]
    once = bool(facing) and opened.feasible and all(part.times == 1 and part.half is None for part in parts)
    if once:
        lays = lays[-1:]
    elif len(lays) > 1 and not _length_of(lays[1]) < _length_of(lays[0]) - NO_SHORTER:
        del lays[1]
    area = sum(area_of(part.ring) * part.times for part in parts)
    net = sum(
        area_of(_net_ring(one.finished.piece, work.index)) * (2 if one.finished.piece.cut.fold else 1) * sum(one.hands) for one in layer
    )
    return {
        "for": purpose,
        "width": number(cloth.width),
        "width_from": source,
        "nap": cloth.nap,
        "repeat": number(repeat),
        "checked": checked,
        "area": number(area),
        "allowances": number(max(0.0, area - net)),
        "least": number(least(parts, cloth)),
        "longest": number(max(float(part.ring[:, 1].max()) for part in parts)),
        "lays": lays,
        "once": once,
        "facing": facing,
        "too_wide": [{"piece": titles[name], "across": number(size)} for name, size in too_wide.items()],
    }


def _length_of(lay: dict[str, Any]) -> float:
    return float(lay["length"] + lay["matching"])


def _lay_row(lay: Lay, repeat: float) -> dict[str, Any]:
    return {
        "kind": lay.kind,
        "width": number(lay.width),
        "length": number(lay.length),
        "lengths": lay.lengths,
        "matching": number(repeat * lay.lengths),
        "laid": [
            {
                "piece": placed.part,
                "on_fold": placed.on_fold,
                "copies": placed.copies,
                "turned": placed.turned,
                "mirrored": placed.mirrored,
                "outline": [[number(x), number(y)] for x, y in placed.ring],
                "label": [number(value) for value in placed.label],
                "up": [number(value) for value in placed.up],
            }
            for placed in lay.laid
        ],
    }
