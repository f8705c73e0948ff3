"""Which pieces of an order must be cut again: its style drafted as it is today, and set beside the record of what was drafted then.

Orders of one style and house whose choices are set by the same names are drafted in one call, however many clients they are of.  A
piece must be cut again where its cut line has moved, or a notch, a mark or a dart on it; what has moved less than `MOVED` has not.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import PurePath
from typing import Any, NamedTuple

import numpy as np

from ..geometry.arrays import Floats
from ..making.drafts import BodyDraft, draft_cards
from ..making.papers import record_of
from ..making.resting import house_mark
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.text import Source
from .standing import ReadStyle, Standing, errors_in

MOVED = 0.1  # mm; a cutter sees no less
AGAIN, ADDED, GONE = "cut again", "new", "gone"


class Recut(NamedTuple):
    """A piece that must be cut again, is new, or is gone; how far its cut line has moved at most, and its named places, in mm."""

    piece: str
    title: str
    what: str
    furthest: float
    places: tuple[tuple[str, float], ...]


class Anew(NamedTuple):
    """An order drafted as it is today: the draft, if it can be made, and what of the pieces is to be cut again."""

    body: BodyDraft | None
    recut: tuple[Recut, ...]
    diagnostics: list[Diagnostic]


def drafted_anew(standings: Sequence[Standing], fitted: Callable[[PurePath, Source], ReadStyle]) -> dict[Standing, Anew]:
    """Each of these orders, all of which have a record, drafted again and compared with it; `fitted` reads a style at a path with what a
    client's fittings change of it."""
    groups: dict[object, list[Standing]] = {}
    for one in standings:
        assert one.house is not None
        groups.setdefault((id(one.style), one.changes, house_mark(one.house), tuple(sorted(one.values))), []).append(one)
    found: dict[Standing, Anew] = {}
    for group in groups.values():
        first = group[0]
        style, wrong = first.style, list[Diagnostic]()
        if first.changes is not None and first.style_path is not None:
            reading = fitted(first.style_path, first.changes)
            style, wrong = reading.style, errors_in(reading.diagnostics)
        found |= _together(group, style) if style is not None else {one: Anew(None, (), wrong) for one in group}
    return {one: found[one] for one in standings}


def _together(group: Sequence[Standing], style: Style) -> dict[Standing, Anew]:
    house = group[0].house
    assert house is not None
    cards = [one.card for one in group if one.card is not None]
    drafts, diagnostics = draft_cards(style, cards, (), None, house, each=[one.values for one in group])
    by_card = {id(draft.card): draft for draft in drafts}
    found = {}
    for one in group:
        body = by_card.get(id(one.card))
        own = [said for said in diagnostics if one.card is not None and said.body in ("", one.card.name) and said.severity == "error"]
        recut = () if body is None else tuple(to_cut_again(one.record or {}, record_of(body.work())))
        found[one] = Anew(body, recut, own if body is None else [])
    return found


# ------------------------------------------------------------------------------------------------ two records


def to_cut_again(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[Recut]:
    """The pieces that are otherwise in the second record, in its order; those that are gone last."""
    old = {piece["name"]: piece for piece in before.get("pieces", ())}
    for piece in after["pieces"]:
        there = old.pop(piece["name"], None)
        if there is None:
            yield Recut(piece["name"], piece["title"], ADDED, 0.0, ())
            continue
        far = apart(_ring(there), _ring(piece))
        if far > MOVED or _otherwise(there, piece):
            yield Recut(piece["name"], piece["title"], AGAIN, far, tuple(_moved_places(there["points"], piece["points"])))
    for piece in old.values():
        yield Recut(piece["name"], piece["title"], GONE, 0.0, ())


def _ring(piece: Mapping[str, Any]) -> Floats:
    return np.array(piece["cut_line"], dtype=float)


def apart(one: Floats, other: Floats) -> float:
    """How far two closed outlines lie apart at most: corners of either from the lines of the other (Hausdorff); mm."""
    return max(_away(one, other), _away(other, one))


def _away(points: Floats, ring: Floats) -> float:
    start, along = ring, np.roll(ring, -1, axis=0) - ring
    square = np.maximum(np.einsum("kd,kd->k", along, along), 1e-12)
    off = points[:, None, :] - start[None, :, :]
    share = np.clip(np.einsum("pkd,kd->pk", off, along) / square, 0.0, 1.0)
    distance = np.linalg.norm(off - share[..., None] * along[None, :, :], axis=-1)
    return float(distance.min(axis=1).max())


def _otherwise(before: Mapping[str, Any], after: Mapping[str, Any]) -> bool:
    """Whether a cutter must mark the piece anew, or cut it another number of times, though its outline is the same."""
    if before["cut"] != after["cut"] or not _alike(*([edge["darts"] for edge in piece["edges"]] for piece in (before, after))):
        return True
    return any(
        not _alike(*([_places_of(thing) for thing in piece[key]] for piece in (before, after)))
        for key in ("notches", "marks", "point_marks", "drill_holes")
    )


def _places_of(thing: Mapping[str, Any]) -> list[Any]:
    """Where a notch, a mark or a hole is on the piece."""
    return [thing.get(key) for key in ("kind", "on_cut", "at", "path", "size") if not (key == "at" and "on_cut" in thing)]


def _alike(one: object, other: object) -> bool:
    """Plain data that is the same but for figures that differ by no more than `MOVED`."""
    if isinstance(one, (int, float)) and isinstance(other, (int, float)):
        return abs(one - other) <= MOVED
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_alike, one, other))
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(key == "rule" or _alike(one[key], other[key]) for key in one)
    return one == other


def _moved_places(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[tuple[str, float]]:
    """The named places that have moved, the furthest first."""
    far = {
        name: float(np.hypot(*(np.subtract(point, before[name]))))
        for name, point in after.items()
        if name in before and None not in (*point, *before[name])
    }
    yield from sorted(((name, distance) for name, distance in far.items() if distance > MOVED), key=lambda one: (-one[1], one[0]))
