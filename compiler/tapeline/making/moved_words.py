"""What moved from one draft to another, in a cutter's words: which place of which piece, how far out or in, up or down.

Lengths are written in the house's unit, to its steps; what is less than a pencil line, or shows as nothing, is not told but counted.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any

from ..locking.edges import edge_changes
from ..locking.lock import Value
from ..locking.moved import MovedFigure, MovedPlace
from .comparing import DraftComparison

PENCIL = 0.25  # mm: half the width of a drawn line; a move of less is not told in words.  Our judgement
WAYS = (("out", "in"), ("down", "up"))


def ways(done: DraftComparison, out: float, down: float) -> str:
    """A move in words: out 0.8 cm, up 0.3 cm.  Empty where it shows as nothing."""
    told = [
        f"{words[0] if way > 0.0 else words[1]} {done.house.show(abs(way), done.unit)}"
        for way, words in zip((out, down), WAYS, strict=True)
        if as_told(done, way)
    ]
    return ", ".join(told)


def as_told(done: DraftComparison, way: float) -> float:
    """A move along one way as it is told, mm: in the house's steps, and none where it is less than a pencil line."""
    return done.house.stepped(way, done.unit) if abs(way) >= PENCIL else 0.0


def place_words(place: MovedPlace) -> str:
    """A place by its name; a corner by the edges that meet there, where it has no other."""
    name = place.names[0]
    return f"corner of {' and '.join(name.split('/'))}" if "/" in name else name


def shares_words(done: DraftComparison, place: MovedPlace, most: int = 3) -> str:
    """Which measure moved a place, and what is left over: waist out 0.5 cm; left over up 0.1 cm.  Empty where it is not known.

    Of more measures than `most` the least are told together, as others.  What is told adds up: what only the rounding of the figures
    leaves over is told as rounding.
    """
    shares = done.shares.get((place.piece, place.names[0]))
    if shares is None:
        return ""
    told = [f"{share.measure} {words}" for share in shares[:most] if (words := ways(done, share.out, share.down))]
    out, down = sum(share.out for share in shares[most:]), sum(share.down for share in shares[most:])
    others = ways(done, out, down)
    left = [
        as_told(done, whole) - sum(as_told(done, part) for part in parts)
        for whole, *parts in (
            (place.out, *(share.out for share in shares[:most]), out),
            (place.down, *(share.down for share in shares[:most]), down),
        )
    ]
    real = [abs(true) >= PENCIL for true in done.left_over(place)]
    over, rounding = (
        ways(done, *(way if is_real == wanted else 0.0 for way, is_real in zip(left, real, strict=True))) for wanted in (True, False)
    )
    rest = ((others, "others"), (over, "left over"), (rounding, "rounding"))
    return "; ".join([*told, *(f"{word} {words}" for words, word in rest if words)])


def told_places(done: DraftComparison, piece: str) -> tuple[list[MovedPlace], int]:
    """(the places of a piece that are told, the furthest first; how many moved too little to be told)."""
    places = [place for place in done.moved.places if place.piece == piece]
    told = [place for place in places if ways(done, place.out, place.down)]
    return told, len(places) - len(told)


def kind_of(done: DraftComparison, moved: MovedFigure) -> str:
    """Of what kind a figure is: length, angle, number or condition.  A choice of no known kind is told as the number that stands there."""
    if moved in done.moved.choices:
        return done.kinds.get(moved.name, "number")
    return done.kinds.get(moved.name, "length") if moved in done.moved.measures else "length"


def figure(done: DraftComparison, moved: MovedFigure, value: float | None) -> str:
    """A figure as the house writes it."""
    if value is None:
        return "none"
    kind = kind_of(done, moved)
    if kind == "angle":
        value = math.radians(value)
    return done.house.quantity(value, kind, done.unit)


def by(done: DraftComparison, moved: MovedFigure) -> str:
    """The difference of two figures with its sign; empty where it shows as nothing, and of a yes or no."""
    kind = kind_of(done, moved)
    if moved.before is None or moved.after is None or kind == "condition":
        return ""
    shown, nothing = (figure(done, moved, value) for value in (abs(moved.by), 0.0))
    if kind == "length":
        shown, nothing = (done.house.show(value, done.unit) for value in (abs(moved.by), 0.0))
    return "" if shown == nothing else f"{'+' if moved.by > 0.0 else '-'}{shown}"


def differing(done: DraftComparison, figures: Iterable[MovedFigure]) -> Iterator[MovedFigure]:
    """The figures that differ by what shows, or stand in one draft alone."""
    for moved in figures:
        if by(done, moved) or figure(done, moved, moved.before) != figure(done, moved, moved.after):
            yield moved


def otherwise(done: DraftComparison, piece: str) -> list[str]:
    """What else is not as it was in a piece of both drafts: edges that are new, gone or curve otherwise, darts, allowances, cutting."""
    rows = [move for move in done.moved.moves if move.key.piece == piece]
    changes = edge_changes(rows, done.moved.lock, done.moved.present, piece)
    lines = [
        f"{word}: {', '.join(edges)}"
        for word, edges in (
            ("new edges", [change.name for change in changes if change.new]),
            ("edges gone", [change.name for change in changes if change.removed]),
            ("drawn of other lines", [change.name for change in changes if change.far is None and not (change.new or change.removed)]),
        )
        if edges
    ]
    lines += [
        f"{change.name} curves otherwise by up to {done.house.show(change.far, done.unit)}, its ends stay"
        for change in changes
        if change.ends_stay and change.far is not None and change.far >= PENCIL
    ]
    known = {change.name for change in changes if change.new or change.removed}
    for move in rows:
        name, _, part = move.key.name.rpartition(" ")
        counts = move.key.sort in ("allowance", "cutting") or (move.key.sort == "dart" and part == "intake")
        if counts and name not in known:
            before, after = (_plainly(done, values[0], move.key.sort != "cutting") for values in (move.before, move.after))
            if before != after:
                lines.append(f"{'seam allowance of ' if move.key.sort == 'allowance' else ''}{move.key.name}: {before}, then {after}")
    return lines


def _plainly(done: DraftComparison, value: Value, length: bool) -> str:
    if isinstance(value, float):
        return done.house.show(value, done.unit) if length else f"{value:g}"
    return str(value).replace("_", " ") if isinstance(value, str) else "none"


def in_short(done: DraftComparison, most: int = 3) -> list[str]:
    """A line for each piece that changed, with the places that moved furthest: for lists of many drafts."""
    lines = []
    for piece in done.moved.changed:
        if piece in done.moved.gone or piece in done.moved.new:
            lines.append(f"{piece}: {'is no more' if piece in done.moved.gone else 'is new'}")
            continue
        told, _ = told_places(done, piece)
        words = "; ".join(f"{place_words(place)} {ways(done, place.out, place.down)}" for place in told[:most])
        more = f"; {len(told) - most} more places" if len(told) > most else ""
        lines.append(f"{piece}: {words or '; '.join(otherwise(done, piece)[:most]) or 'by less than a pencil line'}{more}")
    return lines


def as_data(done: DraftComparison) -> dict[str, Any]:
    """All that moved, for other programs: mm and degrees, and out and down with their signs."""

    def rows(figures: Iterable[MovedFigure]) -> list[dict[str, Any]]:
        return [
            {"name": moved.name, **({"of": moved.part} if moved.part else {}), "before": moved.before, "after": moved.after}
            for moved in figures
        ]

    moved = done.moved
    return {
        "before": done.names[0],
        "after": done.names[1],
        "moved": moved.moved,
        "changed_pieces": moved.changed,
        "pieces_gone": moved.gone,
        "pieces_new": moved.new,
        "measures": rows(moved.measures),
        "choices": rows(moved.choices),
        "girths": rows(moved.girths),
        "seams": rows(moved.seams),
        "otherwise": {piece: words for piece in moved.changed if piece in moved.laid and (words := otherwise(done, piece))},
        "laid_together": {piece: laid.words for piece, laid in moved.laid.items()},
        "places": [
            {
                "piece": place.piece,
                "names": list(place.names),
                "out": round(place.out, 3),
                "down": round(place.down, 3),
                "far": round(place.far, 3),
                "by_measure": None
                if (place.piece, place.names[0]) not in done.shares
                else [
                    {"measure": share.measure, "out": round(share.out, 3), "down": round(share.down, 3)}
                    for share in done.shares[place.piece, place.names[0]]
                ],
            }
            for place in moved.places
        ],
    }
