"""A checker of cutters' DXF files, written without a DXF library and without a look at the program that makes them.

Each statement has a number; T numbers are those of the project's notes on ASTM D6673, whose weight differs: shape of the
file (T01 to T09) after Autodesk's published DXF reference and clauses 1 to 3 of D6673; layer numbers, keys and their values
(T10 to T31) second-hand or from memory, not from the standard's own text.  T35 is the test square.  U numbers are ours:
what a file of this program promises beyond that.  `faults` gives "T21 FRONT: what is wrong" for all that do not hold.

The spoiled files in the tests of this checker show that every statement can fail.
"""

from __future__ import annotations

import re

import numpy as np
import shapely

POINT_NEAR = 0.002  # mm; a point that marks a vertex
LINE_NEAR = 0.01  # mm; a point that lies on a line
KINDS = {
    "1": "POLYLINE TEXT",
    "2": "POINT",
    "3": "POINT",
    "4": "POINT",
    "5": "LINE",
    "6": "LINE",
    "7": "LINE",
    "8": "LINE POLYLINE",
    "9": "LINE",
    "10": "LINE",
    "11": "POLYLINE",
    "13": "POINT",
    "14": "POLYLINE",
    "15": "TEXT",
    **{str(layer): "POINT" for layer in (80, 81, 82, 83)},
    **{str(layer): "POLYLINE" for layer in (84, 85, 86, 87)},
}
RELEASE_12 = {
    *("BLOCK", "ENDBLK", "POLYLINE", "VERTEX", "SEQEND", "LINE", "POINT", "TEXT", "INSERT", "CIRCLE", "ARC", "SOLID"),
    *("TRACE", "3DFACE", "SHAPE", "ATTDEF", "ATTRIB", "DIMENSION", "VIEWPORT"),
}
STYLE_KEYS = ("Style Name", "Sample Size", "Grade Rule Table", "Units")
PIECE_KEYS = ("Piece Name", "Size", "Quantity")
CONTOURS = ("1", "8", "11", "14")


class Entity:
    """One entity: its kind, its first value of each group code, and the points of a polyline."""

    def __init__(self, kind: str):
        self.kind, self.codes, self.vertices = kind, {}, []

    @property
    def layer(self) -> str:
        return self.codes.get(8, "")

    def place(self, first: int = 10) -> tuple[float, float]:
        return float(self.codes[first]), float(self.codes[first + 10])

    @property
    def closed(self) -> bool:
        return int(self.codes.get(70, "0")) & 1 == 1

    def points(self) -> np.ndarray:
        if self.kind == "LINE":
            return np.array([self.place(10), self.place(11)])
        return np.array([vertex.place() for vertex in self.vertices]).reshape(-1, 2)

    def line(self):
        points = self.points()
        return shapely.LineString(np.concatenate([points, points[:1]]) if self.closed else points)


def tags(data: bytes) -> list[tuple[int, str]]:
    lines = data.decode("ascii", "replace").split("\r\n")
    return [(int(code), value) for code, value in zip(lines[::2], lines[1::2], strict=False)]


def written(pairs) -> bytes:
    return "".join(f"{code:3d}\r\n{value}\r\n" for code, value in pairs).encode()


def entities(pairs) -> list[Entity]:
    found: list[Entity] = []
    for code, value in pairs:
        if code == 0:
            found.append(Entity(value))
        elif found:
            found[-1].codes.setdefault(code, value)
    gathered: list[Entity] = []
    for one in found:
        if one.kind == "VERTEX" and gathered and gathered[-1].kind == "POLYLINE":
            gathered[-1].vertices.append(one)
        elif one.kind != "SEQEND":
            gathered.append(one)
    return gathered


def sections(pairs) -> dict[str, list[tuple[int, str]]]:
    found, name = {}, None
    for k, (code, value) in enumerate(pairs):
        if (code, value) == (0, "SECTION"):
            name = pairs[k + 1][1]
            found[name] = []
        elif (code, value) == (0, "ENDSEC"):
            name = None
        elif name is not None:
            found[name].append((code, value))
    return found


def blocks(pairs) -> list[tuple[str, list[Entity]]]:
    """(name, entities) of each block of a section."""
    found: list[tuple[str, list[Entity]]] = []
    for one in entities(pairs):
        if one.kind == "BLOCK":
            found.append((one.codes.get(2, ""), []))
        elif one.kind != "ENDBLK" and found:
            found[-1][1].append(one)
    return found


def keys(texts) -> dict[str, str]:
    pairs = (one.codes.get(1, "").partition(":") for one in texts if one.kind == "TEXT")
    return {key.strip(): value.strip() for key, colon, value in pairs if colon}


def faults(data: bytes) -> list[str]:
    found: list[str] = []

    def want(holds, number: str, words: str, where: str = "") -> bool:
        if not holds:
            found.append(f"{number} {where}: {words}" if where else f"{number}: {words}")
        return bool(holds)

    want(data.endswith(b"  0\r\nEOF\r\n"), "T01", "the file does not end with EOF")
    want(all(byte < 128 for byte in data), "T02", "a byte is not 7-bit ASCII")
    pairs = tags(data)
    marks = [value for code, value in pairs if code == 0 and value in ("SECTION", "ENDSEC")]
    want(marks == ["SECTION", "ENDSEC"] * (len(marks) // 2), "T03", "sections are not balanced")
    parts = sections(pairs)
    version = next((pairs[k + 1][1] for k, pair in enumerate(pairs) if pair == (9, "$ACADVER")), None)
    want(version in (None, "AC1009", "AC1012"), "T04", f"the version is {version}")
    drawn = entities(parts.get("ENTITIES", []))
    pieces = blocks(parts.get("BLOCKS", []))
    for code, value in [*parts.get("BLOCKS", []), *parts.get("ENTITIES", [])]:
        if code == 0:
            want(value in RELEASE_12, "T05", f"{value} is younger than release 12")
        if code == 8:
            want(value.isdigit() and (1 <= int(value) <= 15 or 80 <= int(value) <= 87), "T13", f"layer {value} is not used")
        if 10 <= code < 40:
            want(re.fullmatch(r"-?\d+\.\d+", value), "T31", f"the coordinate {value} is not a plain decimal")
    names = [name for name, _ in pieces]
    want(not [name for name in names if name[:1] in "*$_"], "T06", "a block is no piece")
    want(len({name.upper() for name in names}) == len(names), "T07", "two blocks have one name")
    inserted = [one.codes.get(2, "") for one in drawn if one.kind == "INSERT"]
    want(all(inserted.count(name) == 1 for name in names), "T08", "a piece is not inserted once")
    want(set(inserted) <= set(names), "T09", "an insert names no block")

    style = [one for one in drawn if one.kind == "TEXT" and one.layer == "1"]
    said = keys(style)
    for key in STYLE_KEYS:
        want(said.get(key), "T10", f"{key} is missing")
    want(any("Version" in key for key in said), "T10", "the version line is missing")
    want(said.get("Units", "METRIC") in ("METRIC", "ENGLISH"), "T11", "the units are neither METRIC nor ENGLISH")
    elsewhere = keys(one for one in drawn if one.layer != "1")
    want(not [key for key in STYLE_KEYS if key in elsewhere], "T12", "style text is not on layer 1")
    for name, content in pieces:
        want(re.fullmatch(r"[A-Z][A-Z0-9_$-]{0,30}", name), "T30", "not a name that release 12 allows", name)
        _piece(name, content, said, want)
    squares = [content for name, content in pieces if name.startswith("TEST_SQUARE")]
    if want(len(squares) == 1, "T35", "there is no test square"):
        _test_square(squares[0], want)
    return found


def _piece(name: str, content: list[Entity], style: dict[str, str], want) -> None:
    said = keys(one for one in content if one.layer == "1")
    for key in PIECE_KEYS:
        want(said.get(key), "T29", f"{key} is missing", name)
    want(said.get("Size") == style.get("Sample Size"), "U01", "the size is not the file's", name)
    for one in content:
        rule = one.kind == "TEXT" and one.layer == "2" and re.fullmatch(r"# [1-9]\d*", one.codes.get(1, ""))  # of a grade
        want(rule or one.kind in KINDS.get(one.layer, ""), "U02", f"a {one.kind} on layer {one.layer}", name)
    on = {layer: [one for one in content if one.layer == layer] for layer in KINDS}
    boundaries = [one for one in on["1"] if one.kind == "POLYLINE"]
    if not want(len(boundaries) == 1, "T20", f"{len(boundaries)} boundaries", name):
        return
    ring = boundaries[0].points()
    want(boundaries[0].closed, "T21", "the boundary is open", name)
    sound = len(ring) >= 3 and shapely.Polygon(ring).area > 1.0
    if not want(sound, "T21", "the boundary has no area", name):
        return
    shape, rim = shapely.Polygon(ring), shapely.LinearRing(ring)
    want(shape.is_valid, "U03", "the boundary crosses itself", name)
    runs = [one for layer in CONTOURS for one in on[layer] if one.kind in ("LINE", "POLYLINE")]
    for one in runs:
        points = one.points()
        steps = np.hypot(*np.diff(np.concatenate([points, points[:1]]) if one.closed else points, axis=0).T)
        want((steps > POINT_NEAR).all(), "T22", f"a point of layer {one.layer} is repeated", name)

    turns, curves = (np.array([one.place() for one in on[layer]]).reshape(-1, 2) for layer in ("2", "3"))
    want(len(turns), "T23", "no turn points", name)
    chords = shapely.STRtree(
        shapely.linestrings(
            np.concatenate([np.stack([line[:-1], line[1:]], axis=1) for line in (shapely.get_coordinates(one.line()) for one in runs)])
        )
    )
    for layer, places in (("2", turns), ("3", curves)):
        _, far = chords.query_nearest(shapely.points(places), return_distance=True, all_matches=False)
        want((far < LINE_NEAR).all(), "T24", f"a point of layer {layer} lies on no line", name)
    want(not {tuple(place) for place in turns} & {tuple(place) for place in curves}, "T25", "a point is on layers 2 and 3", name)
    design = shapely.STRtree(shapely.points(np.concatenate([turns, curves])))
    for one in runs:
        _, gap = design.query_nearest(shapely.points(one.points()), return_distance=True, all_matches=False)
        want((gap < POINT_NEAR).all(), "U04", f"a vertex of layer {one.layer} is marked neither as turn nor as curve", name)
        ends = [] if one.closed else one.points()[[0, -1]]
        want({tuple(end) for end in ends} <= {tuple(place) for place in turns}, "U05", "the end of a run is no turn point", name)
    notches = [one.place() for layer in ("4", "80", "81", "82", "83") for one in on[layer] if one.kind == "POINT"]
    want(
        (shapely.distance(shapely.points(np.array(notches).reshape(-1, 2)), rim) < LINE_NEAR).all(),
        "T26",
        "a notch is not on the boundary",
        name,
    )
    grains = [one for one in on["7"] if one.kind == "LINE"]
    want(len(grains) == 1, "T27", f"{len(grains)} grain lines", name)
    vertices = shapely.MultiPoint(ring)  # the half piece is closed along its mirror line
    for one in on["6"]:
        want(
            (shapely.distance(shapely.points(one.points()), vertices) < LINE_NEAR).all(),
            "T28",
            "a mirror line does not end at corners of the boundary",
            name,
        )
    room = shape.buffer(LINE_NEAR) if shape.is_valid else shapely.Polygon()
    for layer in ("7", "8", "11", "14"):
        lines = [one.line() for one in on[layer] if one.kind in ("LINE", "POLYLINE")]
        want(all(room.covers(line) for line in lines), "U06", f"a line of layer {layer} leaves the piece", name)
    want(all(room.covers(shapely.Point(one.place())) for one in on["13"]), "U07", "a drill hole is outside the piece", name)


def _test_square(content: list[Entity], want) -> None:
    """The side that the square's own text states is the side that it measures."""
    words = " ".join(one.codes.get(1, "") for one in content if one.kind == "TEXT")
    stated = re.search(r"([\d.]+) mm", words)
    ring = next((one.points() for one in content if one.kind == "POLYLINE" and one.layer == "1"), None)
    if want(stated and ring is not None and len(ring) == 4, "T35", "the test square states no side, or is no square"):
        sides = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
        diagonals = np.hypot(*(ring[2:] - ring[:2]).T)
        side = float(stated[1])
        want(
            (np.abs(sides - side) < 0.01).all() and (np.abs(diagonals - side * 2**0.5) < 0.01).all(),
            "T35",
            f"the test square does not measure {side} mm",
        )
