"""Marks on a piece as strokes and words: bones in their channels, zips, buttonholes, lines, signs of places, drill holes.

A bone is drawn as the bone: a line as long as it is cut, midway in its channel, whose stitching lines are drawn beside it.  The
figure at the line, the line and the row of the cutting list are one length (`bone_length`).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from ...drafting.pattern import LEFT, RIGHT, Dart, InnerDart, Mark, Piece, PointMark
from ...finishing.drills import drill_holes
from ...finishing.finished import FinishedPiece
from ...geometry.arrays import Floats
from ...geometry.path import Path
from ...source.text import Span
from ..house.house import House
from ..house.work import Heading
from . import signs
from .labels import Labels, Words
from .lettering import within
from .model import Commands, Stroke, polylines, run, trace

ONLY = {LEFT: "left only", RIGHT: "right only"}
OPEN_ONLY = {LEFT: "opening, left only", RIGHT: "opening, right only"}
ON_HOLE = 0.1  # mm
CHANNEL = 9.5  # mm, between the stitching lines of a bone's channel: 3/8 in for a bone of 1/4 in (sewevermoreworkshop.com)


def mark_strokes(piece: Piece, index: int, heading: Heading, ring: Floats) -> list[Stroke]:
    """The lines of a piece's marks; `ring` (K, 2) is its net outline."""
    strokes = []
    mouths = [flat(trace(dart.near_leg, index) + trace(dart.far_leg.reversed(), index)[1:]) for dart in piece.darts()]
    for mark in piece.marks:
        commands = trace(mark.path, index)
        if not commands:
            continue
        rule = rule_words(mark.span)
        line = flat(commands)
        if mark.kind == "zip":
            strokes.append(signs.bar(tuple(line[-1].tolist()), unit_between(line[-2], line[-1]), "zip_end", 16, mark.name, rule))
        elif mark.kind == "buttonhole":
            strokes.append(signs.buttonhole(tuple(line[0].tolist()), tuple(line[-1].tolist()), mark.name, rule))
        elif mark.kind == "bone":
            strokes += _bone(mark, index, heading, ring, mouths, rule)
        else:
            strokes.append(Stroke(commands, mark.kind, mark.name, rule))
    return strokes


def _bone(mark: Mark, index: int, heading: Heading, ring: Floats, mouths: Sequence[Floats], rule: str) -> list[Stroke]:
    """The bone, and what of the channel's two stitching lines lies on the piece."""
    commands = trace(bone_path(mark, heading.house, heading.unit), index)
    strokes = [Stroke(run(side), "channel", mark.name, rule) for side in _beside(flat(trace(mark.path, index)), ring, mouths)]
    if commands:
        line = flat(commands)
        strokes.append(Stroke(commands, "bone", mark.name, rule))
        for at, toward in ((line[0], line[1]), (line[-1], line[-2])):
            strokes.append(signs.bar(tuple(at.tolist()), unit_between(at, toward), "sign", 5, mark.name, rule))
    return strokes


def _beside(line: Floats, ring: Floats, mouths: Sequence[Floats]) -> list[Floats]:
    """The stitching lines on both sides of a polyline (K, 2), each if it lies within the ring and not in a dart, which is folded in."""
    ways = np.diff(line, axis=0)
    square = np.stack([-ways[:, 1], ways[:, 0]], axis=-1) / np.maximum(np.hypot(ways[:, 0], ways[:, 1]), 1e-9)[:, None]
    at_points = (np.concatenate([square[:1], square]) + np.concatenate([square, square[-1:]])) / 2
    sides = [line + side * CHANNEL / 2 * at_points for side in (1.0, -1.0)]
    seen = [side for side in sides if within(side, ring).mean() > 0.5]
    parts = np.linspace(0.05, 0.95, 19)[:, None]
    tried = [np.concatenate([p + parts * (q - p) for p, q in zip(side, side[1:], strict=False)]) for side in seen]
    return [side for side, places in zip(seen, tried, strict=True) if not any(within(places, mouth).any() for mouth in mouths)]


def bone_path(mark: Mark, house: House, unit: str) -> Path:
    """Where the bone of each of N bodies lies: midway in its channel, as long as it is cut."""
    room = mark.path.length()
    cut = np.array([bone_length(mark, k, house, unit) for k in range(len(room))])
    return mark.path.part((room - cut) / 2, (room + cut) / 2)


def bone_length(mark: Mark, index: int, house: House, unit: str) -> float:
    """How long a bone is cut, in mm: as the house has bones, and no longer than its channel leaves room for."""
    return house.bone(float((mark.path.length() if mark.length is None else mark.length)[index]), unit)


def point_strokes(piece: Piece, index: int, house: House) -> list[Stroke]:
    """The signs of places, and a hole short of each dart's point."""
    darts: list[Dart | InnerDart] = [*piece.darts(), *piece.inner]
    rules = {dart.name: rule_words(dart.span) for dart in darts}
    strokes = [
        signs.drill(tuple(places[index].tolist()), dart, rules[dart])
        for dart, places in drill_holes(piece, house.drill)
        if np.isfinite(places[index]).all()
    ]
    for mark, at in placed(piece, index):
        strokes.append(signs.POINT_SIGNS[mark.kind](tuple(at.tolist()), mark.name, rule_words(mark.span)))
    return strokes


def placed(piece: Piece, index: int) -> Iterator[tuple[PointMark, Floats]]:
    """The places that are marked on the piece of one body."""
    return ((mark, mark.at[index]) for mark in piece.point_marks if np.isfinite(mark.at[index]).all())


def mark_words(labels: Labels, piece: Piece, index: int, heading: Heading) -> None:
    """Set the words of the marks among what is drawn."""
    house, say = heading.house, heading.house.say

    def said(side: str, *words: str) -> str:
        return ", ".join(filter(None, (*words, say(ONLY[side]) if side else "")))

    buttoned: set[str] = set()
    for mark in piece.marks:
        commands = trace(mark.path, index)
        if not commands:
            continue
        if mark.kind == "bone":
            words = say("bone {length}", length=house.show(bone_length(mark, index, house, heading.unit), heading.unit))
        elif mark.kind == "zip":
            long = mark.path.length() if mark.length is None else mark.length
            words = say("zip {length}, to here", length=house.show(float(long[index]), heading.unit))
        elif mark.kind == "buttonhole" and mark.one and (button := _button_on(piece, index, mark)):
            buttoned.add(button)
            words = ""
        elif mark.kind in ("buttonhole", "join"):
            words = say("on one piece") if mark.one else ""
        else:
            words = house.call(mark.name)
        line = flat(commands)
        if words or mark.note or mark.side:
            labels.along(_tail(line, 120) if mark.kind == "zip" else line, Words(said(mark.side, words, mark.note), 4.5))
    for point, at in placed(piece, index):
        sides = say("button on one piece, hole in the other") if point.name in buttoned else say("on one piece") if point.one else ""
        words = said(point.side, point.words, sides)
        if words:
            labels.at_point(at, Words(words, 4))


def opening_words(labels: Labels, finished: FinishedPiece, index: int, house: House) -> None:
    """At the ends of what is left open on one side of the body, which that is."""
    for notch in finished.notches:
        if notch.side and np.isfinite(notch.on_stitch[index]).all():
            labels.at_point(notch.on_stitch[index], Words(house.say(OPEN_ONLY[notch.side]), 4))


def _button_on(piece: Piece, index: int, hole: Mark) -> str:
    """The name of a button on one of the pieces that lies on a hole of the other; nothing where none does."""
    start, end = hole.path.start()[index], hole.path.end()[index]
    for mark, at in placed(piece, index):
        beyond = np.hypot(*(at - start)) + np.hypot(*(at - end)) - np.hypot(*(end - start))
        if mark.kind == "button" and mark.one and beyond < ON_HOLE:
            return mark.name
    return ""


def _tail(line: Floats, length: float) -> Floats:
    """The last straight `length` of a polyline, from its end backwards along its last direction."""
    ux, uy = unit_between(line[-2], line[-1])
    reach = min(length, float(np.hypot(*(line[1:] - line[:-1]).T).sum()))
    return np.stack([line[-1] - reach * np.array([ux, uy]), line[-1]])


def flat(commands: Commands) -> Floats:
    """All points of a single run of commands, curves in fine chords; no repeated closing point."""
    points = np.concatenate(polylines(commands, steps=48))
    return points[:-1] if len(points) > 2 and np.hypot(*(points[-1] - points[0])) < 1e-4 else points


def unit_between(p: Floats, q: Floats) -> tuple[float, float]:
    d = (q - p) / np.hypot(*(q - p))
    return float(d[0]), float(d[1])


def rule_words(span: Span | None) -> str:
    """File and line of a rule; of the file only its name, so that a drawing is the same in any folder."""
    return "" if span is None else f"{span.source.name.rsplit('/', 1)[-1]}:{span.line}"
