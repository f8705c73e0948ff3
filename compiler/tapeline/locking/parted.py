"""An even draft's record told as that of an uneven client beside it, so that the two can be compared place by place.

A draft for a client whose sides differ has `left_NAME` and `right_NAME` where an even one has a pair NAME, and a whole piece with a
centre line where that has one on the fold.  Beside such a draft both pieces of an even pair stand for themselves, that of the
other hand turned over, and a folded piece is opened out, under the names that `drafting.united` gives.  Whatever is alike in both
records stays as it is.  Points are taken so far as the other record has them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, TypeAlias

from ..drafting.pattern import LEFT, RIGHT
from ..drafting.united import is_on_side
from ..meaning.ring import IMAGE

Data: TypeAlias = dict[str, Any]
Over: TypeAlias = Callable[[Sequence[float]], list[float]]  # a point -> its image
SIDES = (LEFT, RIGHT)
ON_LINE = 1e-3  # mm
ACROSS = ([0.0, 0.0], [0.0, 1.0])  # the line in which a piece is turned over


def parted_like(record: Mapping[str, Any], other: Mapping[str, Any]) -> Mapping[str, Any]:
    """The record of an even draft as one for two sides, where `other` is that; else the record itself."""
    fellows = {piece["name"]: piece for piece in other["pieces"]}
    own = {piece["name"] for piece in record["pieces"]}
    pieces: list[Data] = []
    parted: dict[str, str] = {}  # what stands for a piece -> that
    for piece in record["pieces"]:
        made = list(_standing_for(piece, fellows, own))
        pieces += made
        parted |= {one["name"]: piece["name"] for one in made if one is not piece}
    if not parted:
        return record
    seams = list(_seams(record, other["ledgers"]["seams"], parted))
    measures = {**record["measures"], **dict(_measures(record["measures"], other["measures"]))}
    return {**record, "measures": measures, "pieces": pieces, "ledgers": {**record["ledgers"], "seams": seams}}


def _measures(measures: Mapping[str, Any], others: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """What an even body has on either side, where the other has figures of the sides."""
    for name in others:
        side, _, whole = name.partition(" ")
        if side in SIDES and name not in measures and whole in measures:
            yield name, measures[whole]


def _standing_for(piece: Data, fellows: Mapping[str, Data], own: set[str]) -> Iterator[Data]:
    name = piece["name"]
    names = [f"{side}_{name}" for side in SIDES]
    if name not in fellows and all(one in fellows and one not in own for one in names):
        drawn = piece["hand"]["drawn"] or LEFT
        for side, called in zip(SIDES, names, strict=True):
            half = piece if side == drawn or not piece["cut"]["paired"] and not piece["cut"]["fold"] else _image(piece, _over(*ACROSS))
            yield _one_of_pair(half, side, called, fellows[called])
    elif piece["cut"]["fold"] and (fellows.get(name, {}).get("halves") or {}).get("centre"):
        yield _opened(piece, fellows[name])
    else:
        yield piece


def _one_of_pair(piece: Data, side: str, called: str, fellow: Data) -> Data:
    count, alone = piece["cut"]["count"] // 2, not piece["cut"]["fold"]
    cut = {**piece["cut"], "count": count, "paired": count > 1 and piece["cut"]["paired"] and alone}
    extras = [{**extra, "count": max(1, extra["count"] // 2)} for extra in piece["cut"]["extras"]]
    return {
        **piece,
        "name": called,
        "title": fellow["title"],
        "cut": {**cut, "extras": extras},
        "points": _known(piece["points"], fellow),
        **_of_side(piece, side, alone),
    }


def _opened(piece: Data, fellow: Data) -> Data:
    """A piece on the fold as the whole that it is cut as."""
    name, count = piece["cut"]["fold"], piece["cut"]["count"]
    edges, at = piece["edges"], next(k for k, edge in enumerate(piece["edges"]) if edge["name"] == piece["cut"]["fold"])
    line = [edges[at]["strips"][0][0], edges[at]["strips"][-1][-1]]
    centre = [_ends(line[0])[0], _ends(line[-1])[-1]]
    over = _over(*centre)
    drawn = fellow["halves"]["drawn"]
    own = {**piece, "edges": [*edges[at + 1 :], *edges[:at]]}
    sides = [{**own, **_of_side(own, side, False)} for side in (drawn, SIDES[drawn == LEFT])]
    image = _image(sides[1], over)
    image["edges"] = [_called(edge) for edge in [*image["edges"][1:], *image["edges"][:1]]]
    known = {
        word for edge in (*own["edges"], *image["edges"]) for word in (edge["name"], *(dart["name"] for dart in edge["darts"]))
    } - {name}
    uneven = fellow["halves"]["levels"]
    return {
        **sides[0],
        "edges": [*own["edges"], *image["edges"]],
        "points": _known({**piece["points"], **{IMAGE + point: at for point, at in image["points"].items()}}, fellow),
        "marks": [
            *sides[0]["marks"],
            *(
                {**mark, "name": _mark_name(mark["name"], known)}
                for mark, was in zip(image["marks"], sides[1]["marks"], strict=True)
                if mark["kind"] != "lengthening" and not _same(_all_points(mark["path"]), _all_points(was["path"]))
            ),
        ],
        "point_marks": [
            *sides[0]["point_marks"],
            *(
                {**mark, "name": IMAGE + mark["name"]}
                for mark, was in zip(image["point_marks"], sides[1]["point_marks"], strict=True)
                if not _same([mark["at"]], [was["at"]])
            ),
        ],
        "notches": [*sides[0]["notches"], *({**notch, "edge": IMAGE + notch["edge"]} for notch in image["notches"])],
        "levels": {level: y for level, y in piece["levels"].items() if level not in uneven},
        "halves": {
            "drawn": drawn,
            "centre": centre,
            "levels": {level: {LEFT: y, RIGHT: y} for level, y in piece["levels"].items() if level in uneven},
        },
        "cut": {**piece["cut"], "fold": None, "paired": count % 2 == 0},
    }


def _called(edge: Data) -> Data:
    darts = [{**dart, "name": IMAGE + dart["name"]} for dart in edge["darts"]]
    return {**edge, "name": IMAGE + edge["name"], "darts": darts}


def _mark_name(name: str, known: set[str]) -> str:
    words, blank, last = name.rpartition(" ")
    return f"{words}{blank}{IMAGE}{last}" if IMAGE + last in known else name


def _of_side(piece: Data, side: str, alone: bool) -> Data:
    """The marks that a piece has for a side: what one of a pair has alone is that one's."""
    return {
        kind: [
            {**mark, "side": None} for mark in piece[kind] if is_on_side(mark["kind"], mark["on_one"], mark["side"] or "", side, alone)
        ]
        for kind in ("marks", "point_marks")
    }


def _known(points: Data, fellow: Data) -> Data:
    return {name: at for name, at in points.items() if name in fellow["points"]}


# ------------------------------------------------------------ turned over


def _over(p: Sequence[float], q: Sequence[float]) -> Over:
    """The mirroring in the line through two points."""
    dx, dy = q[0] - p[0], q[1] - p[1]
    square = dx * dx + dy * dy

    def image(at: Sequence[float]) -> list[float]:
        if at[0] is None or at[1] is None:
            return list(at)
        part = ((at[0] - p[0]) * dx + (at[1] - p[1]) * dy) / square
        return [2.0 * (p[0] + part * dx) - at[0] + 0.0, 2.0 * (p[1] + part * dy) - at[1] + 0.0]

    return image


def _image(piece: Data, over: Over) -> Data:
    """A piece turned over: its outline runs on as before, told from the same edge."""
    first, *others = piece["edges"]
    start, end = over([0.0, 0.0]), over(piece["grain"])
    return {
        **piece,
        "edges": [_edge_image(edge, over) for edge in (first, *others[::-1])],
        "points": {name: over(at) for name, at in piece["points"].items()},
        "marks": [{**mark, "path": _path_image(mark["path"], over)} for mark in piece["marks"]],
        "point_marks": [{**mark, "at": over(mark["at"])} for mark in piece["point_marks"]],
        "notches": [{**notch, "on_stitch": over(notch["on_stitch"]), "on_cut": over(notch["on_cut"])} for notch in piece["notches"]],
        "grain": [end[0] - start[0], end[1] - start[1]],
    }


def _edge_image(edge: Data, over: Over) -> Data:
    strips = [_backward(_path_image(strip, over)) for strip in edge["strips"][::-1]]
    darts = [
        {
            **dart,
            "point": over(dart["point"]),
            "near_leg": _path_image(dart["far_leg"], over),
            "far_leg": _path_image(dart["near_leg"], over),
            "trued": _backward(_path_image(dart["trued"], over)),
            "press": "far" if dart["press"] == "near" else "near",
        }
        for dart in edge["darts"][::-1]
    ]
    return {**edge, "strips": strips, "darts": darts}


def _path_image(path: Sequence[Data], over: Over) -> list[Data]:
    return [
        {**_moved(segment, over), **({"centre": over(segment["centre"]), "sweep": -segment["sweep"]} if "arc" in segment else {})}
        for segment in path
    ]


def _moved(segment: Data, over: Over) -> Data:
    kind = _kind(segment)
    return {**segment, kind: [over(at) for at in segment[kind]]}


def _backward(path: Sequence[Data]) -> list[Data]:
    turned = []
    for segment in path[::-1]:
        kind = _kind(segment)
        sweep = {"sweep": -segment["sweep"]} if kind == "arc" else {}
        turned.append({**segment, kind: segment[kind][::-1], **sweep})
    return turned


def _kind(segment: Data) -> str:
    return next(kind for kind in ("line", "cubic", "arc") if kind in segment)


def _ends(segment: Data) -> list[list[float]]:
    points: list[list[float]] = segment[_kind(segment)]
    return [points[0], points[-1]]


def _all_points(path: Sequence[Data]) -> list[list[float]]:
    return [at for segment in path for at in segment[_kind(segment)]]


def _same(some: Iterable[Sequence[float]], others: Iterable[Sequence[float]]) -> bool:
    return all(abs(a - b) < ON_LINE for one, other in zip(some, others, strict=True) for a, b in zip(one, other, strict=True))


# ------------------------------------------------------------ seams


def _seams(record: Mapping[str, Any], others: Sequence[Data], parted: Mapping[str, str]) -> Iterator[Data]:
    """The rows of seams, each as often as the other record has it or a part of it, under its names there."""
    lengths = {(piece["name"], edge["name"]): edge["length"] for piece in record["pieces"] for edge in piece["edges"]}
    for row in record["ledgers"]["seams"]:
        whole = [_edges(row[side], {}) for side in ("one", "other")]
        found = False
        for other in others:
            parts = [_edges(other[side], parted) for side in ("one", "other")]
            if all(part.keys() <= edges.keys() for part, edges in zip(parts, whole, strict=True)):
                found = True
                names = {"one": other["one"], "other": other["other"]}
                one, two = (sum(times * lengths[edge] for edge, times in part.items()) for part in parts)
                same = [part.keys() for part in parts] == [edges.keys() for edges in whole]
                yield {**row, **names} if same else {**row, **names, "length_one": one, "length_other": two}
        if not found:
            yield row


def _edges(side: str, parted: Mapping[str, str]) -> dict[tuple[str, str], int]:
    """One side of a seam by the names of the even pieces: each edge, and how often."""
    edges: dict[tuple[str, str], int] = {}
    for part in side.split(" + "):
        name, _, times = part.partition(" x ")
        piece, _, edge = name.partition(".")
        place = parted.get(piece, piece), edge.removeprefix(IMAGE) if piece in parted else edge
        edges[place] = edges.get(place, 0) + int(times or 1)
    return edges
