"""The rows of one draft, read from its record (`pattern.json`): the same rows as a lock has of a size, under the same names.

So drafts are compared as locks are, whether they were made just now or lie in a folder.  A record is taken as it was written by
this program; what an older form has not is left out.  Of a place all names are entered, as `drafting.landmarks` gives them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeAlias, cast

from ..meaning.cutting import Extra
from .edges import Point
from .lock import GIRTHS, SEAMS, Key, Lock, Value, rounded
from .recording import LEAST

Record: TypeAlias = Mapping[str, Any]
OLD_ANGLE = 1.6  # a measure of an older record below it is an angle in radians: no body has such a length in mm
_KINDS = {"line": ("start", "end"), "cubic": ("start", "leaving", "arriving", "end")}


def lock_of_record(record: Record) -> Lock:
    """A draft as the lock of one size, called by its body."""
    rows: dict[Key, tuple[Value, ...]] = {}

    def put(section: str, sort: str, name: str, value: object) -> None:
        figure = _value(value)
        if figure is not None:
            rows.setdefault(Key(section, sort, name), (figure,))

    for girth in record["ledgers"]["girths"]:
        for word in ("body", "intended", "sewn"):
            put(GIRTHS, "", f"{girth['level']} {word}", girth[word])
    for seam in record["ledgers"]["seams"]:
        for word, column in (("first side", "length_one"), ("second side", "length_other")):
            put(SEAMS, "", f"{seam['one']} to {seam['other']}, {word}", seam[column])
        if seam["openings"]:
            left_open = sum(opening["to"] - opening["from"] for opening in seam["openings"])
            put(SEAMS, "", f"{seam['one']} to {seam['other']}, left open", left_open)
        if seam["kind"] == "eased":
            put(SEAMS, "", f"{seam['one']} to {seam['other']}, ease", seam["ease"])
    for piece in record["pieces"]:
        section = f"piece {piece['name']}"
        for name, place in places_of_record(piece).items():
            put(section, "place", name, place)
        for sort, name, value in _of_piece(piece):
            put(section, sort, name, value)
    style = record["style"]
    return Lock(style["name"], style["version"], "", "mm", {}, {}, (record["body"],), {}, {}, rows)


def kinds_of_record(record: Record) -> dict[str, str]:
    """Name -> kind of the measures and choices.  Of an older form, which tells of none, a choice has no kind."""
    if "kinds" in record:
        return dict(record["kinds"])
    return {name: "angle" if abs(value) < OLD_ANGLE else "length" for name, value in record["measures"].items() if value is not None}


def measures_of_record(record: Record) -> dict[str, float | None]:
    """Name -> value, mm and degrees.  An older form has angles of measures in radians."""
    if "kinds" in record:
        return dict(record["measures"])
    kinds = kinds_of_record(record)
    return {name: math.degrees(value) if kinds.get(name) == "angle" else value for name, value in record["measures"].items()}


def _value(value: object) -> Value:
    if value is None:
        return None
    if isinstance(value, str):
        return value.replace(" ", "_")
    if isinstance(value, (list, tuple)):
        x, y = (None if part is None else rounded(part) for part in value)
        return None if x is None or y is None else (x, y)
    return rounded(cast(float, value))


# ------------------------------------------------------------------------------------------------------------ places


def places_of_record(piece: Record) -> dict[str, Point]:
    """Name -> where, of every named place of a piece."""
    places: dict[str, Point] = {}

    def enter(name: str, place: Iterable[float | None] | None) -> None:
        at = _value(None if place is None else list(place))
        if isinstance(at, tuple):
            places.setdefault(name, at)

    edges = piece["edges"]
    for before, edge in zip((edges[-1:] + edges)[: len(edges)], edges, strict=True):
        enter(f"{before['name']}/{edge['name']}", _start(edge["strips"]))
    for name, at in piece["points"].items():
        enter(name, at)
    for edge in edges:
        for dart in edge["darts"]:
            enter(f"{dart['name']}_near", _start([dart["near_leg"]]))
            enter(f"{dart['name']}_point", dart["point"])
            enter(f"{dart['name']}_far", _start([dart["far_leg"]]))
    for name, mark in _named([mark for mark in piece["marks"] if mark["kind"] != "lengthening"]):
        enter(f"{name} start", _start([mark["path"]]))
        enter(f"{name} end", _end(mark["path"]))
    for mark in piece["point_marks"]:
        enter(mark["name"], mark["at"])
    for notch in piece["notches"]:
        if notch["kind"] == "stated":
            enter(f"{notch['edge']} {notch['name']}", notch["on_stitch"])
    return places


def _named(marks: list[Any]) -> Iterator[tuple[str, Any]]:
    """Marks with a name each, as landmarks have them."""
    words, counts = [mark["name"] or mark["kind"] for mark in marks], dict[str, int]()
    for word, mark in zip(words, marks, strict=True):
        counts[word] = counts.get(word, 0) + 1
        yield (word if words.count(word) == 1 else f"{word} {counts[word]}"), mark


def _points(segment: Record) -> list[Point]:
    points = segment.get("line") or segment.get("cubic") or segment["arc"]
    return [(point[0], point[1]) for point in points]


def _start(strips: Iterable[list[Any]]) -> Point | None:
    return next((_points(strip[0])[0] for strip in strips if strip), None)


def _end(path: list[Any]) -> Point | None:
    return _points(path[-1])[-1] if path else None


# ------------------------------------------------------------------------------------------------------------ other rows


def _of_piece(piece: Record) -> Iterator[tuple[str, str, object]]:
    """(sort, name, value) of all rows but places."""
    for edge in piece["edges"]:
        yield "length", edge["name"], edge["length"]
        for number, strip in enumerate(edge["strips"], 1):
            yield from _edge(f"{edge['name']} {number}", strip)
        for dart in edge["darts"]:
            yield "dart", f"{dart['name']} intake", dart["intake"]
            for word, leg in (("near leg", dart["near_leg"]), ("far leg", dart["far_leg"])):
                for joint, segment in enumerate(_long(leg)[1:], 1):
                    yield "dart", f"{dart['name']} {word} {joint}", _points(segment)[0]
        width = edge["allowance"]["width"]
        yield "allowance", f"{edge['name']} width", width
        yield "allowance", f"{edge['name']} kind", "fold" if edge["name"] == piece["cut"]["fold"] else edge["allowance"]["kind"]
    for name, y in piece["levels"].items():
        yield "level", name, y
    for name, sides in piece.get("halves", {}).get("levels", {}).items():
        for side, y in sides.items():
            yield "level", f"{name} {side}", y
    for mark in piece["marks"]:
        yield "mark", f"{mark['name']} length", mark["length"]
    yield "grain", "way", math.degrees(math.atan2(piece["grain"][1], piece["grain"][0]))
    cut = piece["cut"]
    yield "cutting", "count", float(cut["count"])
    yield "cutting", "paired", "yes" if cut["paired"] else "no"
    yield "cutting", "fold", cut["fold"] or "none"
    layers = [Extra(part["count"], part["for"] or "", part.get("net", False)) for part in ({**cut, "net": False}, *cut["extras"])]
    for layer in layers:
        if layer.purpose:
            yield "cutting", f"for {layer.written}", float(layer.times)


def _long(path: list[Any]) -> list[Any]:
    """The segments that a lock counts."""
    return [segment for segment in path if _length(segment) > LEAST]


def _length(segment: Record) -> float:
    """The length of a line, and no less than that of anything else."""
    if "arc" in segment:
        return abs(float(segment["radius"]) * math.radians(segment["sweep"]))
    points = _points(segment)
    return sum(math.dist(a, b) for a, b in zip(points, points[1:], strict=False))


def _edge(name: str, strip: list[Any]) -> Iterator[tuple[str, str, object]]:
    for number, segment in enumerate(_long(strip), 1):
        kind = next(kind for kind in ("line", "cubic", "arc") if kind in segment)
        points = _points(segment)
        if kind == "arc":
            named = [("start", points[0]), ("middle", _middle(segment)), ("end", points[1])]
        else:
            named = list(zip(_KINDS[kind], points, strict=True))
        for word, place in named:
            if word != "start" or number == 1:
                yield "edge", f"{name}.{number} {kind} {word}", place


def _middle(arc: Record) -> Point:
    (x, y), (cx, cy) = arc["arc"][0], arc["centre"]
    turn = math.radians(arc["sweep"]) / 2.0
    c, s = math.cos(turn), math.sin(turn)
    return cx + (x - cx) * c - (y - cy) * s, cy + (x - cx) * s + (y - cy) * c
