"""A small drafter of its own: reads nothing but the text of a drafting sheet and draws the pattern from its figures.

It knows no part of the compiler.  Points are (x, y) in millimetres, x to the right, y down; a curve is drawn through its
places as one cubic spline (scipy) by the length of the chords.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from fractions import Fraction
from html.parser import HTMLParser

from scipy.interpolate import CubicSpline

UNITS = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_L = r"((?:\d+ )?\d+/\d+ in|\d+(?:[.,]\d+)? (?:mm|cm|in))"
_N = r"([^\s,;:]+)"
WAYS = {"right": (1, 0), "left": (-1, 0), "down": (0, 1), "up": (0, -1), "below": (0, 1), "above": (0, -1)}


@dataclass
class Drawn:
    """One piece as redrawn."""

    points: dict = field(default_factory=dict)
    edges: dict = field(default_factory=dict)  # name -> runs of points; a new run where a dart stands open
    legs: dict = field(default_factory=dict)  # dart -> two runs
    levels: dict = field(default_factory=dict)
    made: list = field(default_factory=list)  # how it is made from another piece, where it is
    start: str = ""  # its point at the origin
    source: str = ""  # the piece that it is traced from
    inner: list = field(default_factory=list)  # of each dart within the piece, the places round it


class _Text(HTMLParser):
    """Headings and list items as text, in order."""

    def __init__(self):
        super().__init__()
        self.items, self._open = [], None

    def handle_starttag(self, tag, attributes):
        if tag in ("h1", "h2", "h3", "li", "p"):
            self._open = [tag, ""]
            self.items.append(self._open)
        elif tag in ("svg", "style"):
            self._open = None

    def handle_endtag(self, tag):
        if tag in ("h1", "h2", "h3", "li", "p"):
            self._open = None

    def handle_data(self, data):
        if self._open is not None:
            self._open[1] += data


def text_of(page: str) -> list[tuple[str, str]]:
    reader = _Text()
    reader.feed(page)
    return [(tag, re.sub(r"\s+", " ", words.replace("\u00a0", " ")).strip()) for tag, words in reader.items]


def redraw(page: str) -> dict[str, Drawn]:
    """Every piece of a sheet, by name."""
    pieces: dict[str, Drawn] = {}
    piece, heading = None, ""
    for tag, words in text_of(page):
        if tag == "h2":
            named = re.fullmatch(r".* \((\w+)\)", words)
            name = named[1] if named else words.lower().replace(" ", "_")
            piece, heading = None, ""
            if words not in ("Measures and choices", "How to read the steps", "Girths as sewn"):
                piece = pieces[name] = Drawn()
        elif tag == "h3":
            heading = words
        elif tag == "li" and piece is not None:
            if heading == "How it is made":
                piece.made.append(words)
            elif heading not in ("Marks", "Notches") or re.match(rf"{_N}: (from|start|on the|where|halfway)", words):
                _carry_out(pieces, piece, _needed(words))
    return pieces


def shift(pieces: dict[str, Drawn], name: str, true: dict) -> tuple[float, float]:
    """From where a piece lies on the sheet to where its true points (piece -> point -> place) lie: a piece with a start of its own
    has its axes there, one that is traced has those of its source."""
    piece = pieces[name]
    if not piece.made or (piece.source and not piece.start):
        return shift(pieces, piece.source, true) if piece.source and piece.made else (0.0, 0.0)
    place, drawn = true[name][piece.start], piece.points[piece.start]
    return float(place[0]) - drawn[0], float(place[1]) - drawn[1]


def _needed(words: str) -> str:
    """The words of a step without what explains it, in round brackets at its end."""
    words, depth = words.removesuffix("."), 0
    for k in range(len(words) - 1, -1, -1):
        depth += {")": 1, "(": -1}.get(words[k], 0)
        if not words.endswith(")") or (depth == 0 and words[k] == "("):
            return words[:k].rstrip() if words.endswith(")") else words
    return words


def _carry_out(pieces, piece: Drawn, words: str) -> None:
    if found := re.fullmatch(rf"Trace from {_N}, start laid on start: (.*)", words):
        piece.source = found[1]
        for name in found[2].split(", "):
            piece.points[name] = pieces[found[1]].points[name.removeprefix(f"{found[1]}.")]
        return
    if found := re.fullmatch(rf"Square lines across a plumb centre line; down from {_N}: (.*)", words):
        piece.levels[found[1]] = 0.0
        for row in found[2].split(", "):
            name, length = row.removesuffix(" above it").split(" ", 1)
            piece.levels[name] = -_mm(length) if row.endswith(" above it") else _mm(length)
        return
    name, rest = words.split(": ", 1)
    if found := re.fullmatch(rf"as {_N} of {_N}, traced", rest):
        source = pieces[found[2]]
        if found[1] in source.edges:
            piece.edges[name] = source.edges[found[1]]
        else:
            piece.legs[name] = source.legs[found[1]]
    elif re.match("straight|curve|arc", rest):
        piece.edges[name] = _edge(piece, rest)
    elif rest.startswith("legs "):
        piece.legs[name] = [[piece.points[one] for one in leg.split(" to ")] for leg in rest[5:].split("; ")[:2]]
    elif rest.startswith("a dart within the piece: "):
        piece.inner.append([piece.points[one] for one in rest.split(": ")[1].split(" to ")])
    elif not rest.startswith("fold along"):
        piece.points[name] = _point(piece, rest)
        piece.start = name if rest.startswith("start here") else piece.start


def _mm(words: str) -> float:
    number, unit = words.replace(",", ".").rsplit(" ", 1)
    return float(sum(Fraction(part) for part in number.split())) * UNITS[unit]


# ------------------------------------------------------------ points


def _point(piece: Drawn, words: str):
    """A base, then moves."""
    p = piece.points
    bases = (
        (r"start here", lambda m: (0.0, 0.0)),
        (rf"from {_N}", lambda m: p[m[1]]),
        (rf"halfway from {_N} to {_N}", lambda m: _part(p[m[1]], p[m[2]], 0.5)),
        (rf"(\d+/\d+) of the way from {_N} to {_N}", lambda m: _part(p[m[2]], p[m[3]], float(Fraction(m[1])))),
        (rf"on the centre line at the level of {_N}", lambda m: (0.0, piece.levels[m[1]])),
        (
            rf"on (the line from {_N} that halves its angle from {_N} to {_N}), {_L} from {_N}",
            lambda m: _along(*_line(p, m[1]), _mm(m[5])),
        ),
        (rf"where the square from {_N} meets (the \S+ [^,]*)", lambda m: _foot(p[m[1]], *_line(p, m[2]))),
        (r"where (the .*) meets (the [^,]*)", lambda m: _meet(*_line(p, m[1]), *_line(p, m[2]))),
        (rf"where {_L} from {_N} meets {_L} from {_N}, (\w+)", lambda m: _tapes(p[m[2]], _mm(m[1]), p[m[4]], _mm(m[3]), m[5])),
        (rf"where {_L} from {_N} meets (the [^,]*), (\w+)", lambda m: _tape(p[m[2]], _mm(m[1]), *_line(p, m[3]), m[4])),
    )
    for pattern, base in bases:
        if found := re.match(rf"{pattern}(?=$|, )", words):
            return _moved(p, base(found), words[found.end() :].removeprefix(", "))
    raise ValueError(f"cannot draw: {words}")


def _moved(p, at, words: str):
    while words:
        if found := re.match(rf"(right|left|up|down) {_L}(?:, |$)", words):
            way, length = WAYS[found[1]], _mm(found[2])
            at = (at[0] + way[0] * length, at[1] + way[1] * length)
        elif found := re.match(rf"(toward|away from) {_N} {_L}(?:, |$)", words):
            length = _mm(found[3]) * (1 if found[1] == "toward" else -1)
            other = p[found[2]]
            at = _part(at, other, length / math.dist(at, other))
        elif found := re.match(rf"square to the line {_N} to {_N}, (\w+) {_L}(?:, |$)", words):
            a, b = p[found[1]], p[found[2]]
            n = _toward((a[1] - b[1], b[0] - a[0]), found[3])
            at = _part(at, (at[0] + n[0], at[1] + n[1]), _mm(found[4]) / math.hypot(*n))
        else:
            raise ValueError(f"cannot move: {words}")
        words = words[found.end() :]
    return at


def _along(p, d, length: float):
    return p[0] + d[0] * length, p[1] + d[1] * length


def _part(a, b, part: float):
    return a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part


def _toward(v, way: str):
    return v if v[0] * WAYS[way][0] + v[1] * WAYS[way][1] >= 0 else (-v[0], -v[1])


def _line(p, words: str):
    """(a place, a direction)."""
    if found := re.fullmatch(rf"the (level|plumb) of {_N}", words):
        return p[found[2]], ((1.0, 0.0) if found[1] == "level" else (0.0, 1.0))
    if found := re.fullmatch(rf"the line from {_N} that halves its angle from {_N} to {_N}", words):
        corner, one, other = (p[found[k]] for k in (1, 2, 3))
        sides = [math.atan2(side[1] - corner[1], side[0] - corner[0]) for side in (one, other)]
        half = sides[0] + ((sides[1] - sides[0] + math.pi) % (2 * math.pi) - math.pi) / 2
        return corner, (math.cos(half), math.sin(half))
    found = re.fullmatch(rf"the line {_N} to {_N}", words)
    a, b = p[found[1]], p[found[2]]
    return a, (b[0] - a[0], b[1] - a[1])


def _meet(p, d, q, e):
    k = ((q[0] - p[0]) * e[1] - (q[1] - p[1]) * e[0]) / (d[0] * e[1] - d[1] * e[0])
    return p[0] + k * d[0], p[1] + k * d[1]


def _foot(c, p, d):
    k = ((c[0] - p[0]) * d[0] + (c[1] - p[1]) * d[1]) / (d[0] ** 2 + d[1] ** 2)
    return p[0] + k * d[0], p[1] + k * d[1]


def _tape(c, radius: float, p, d, side: str):
    foot = _foot(c, p, d)
    v = _toward(d, side)
    return _part(foot, (foot[0] + v[0], foot[1] + v[1]), math.sqrt(radius**2 - math.dist(c, foot) ** 2) / math.hypot(*v))


def _tapes(a, r: float, b, s: float, side: str):
    apart = math.dist(a, b)
    along = (apart**2 + r**2 - s**2) / (2 * apart)
    foot = _part(a, b, along / apart)
    n = _toward((a[1] - b[1], b[0] - a[0]), side)
    return _part(foot, (foot[0] + n[0], foot[1] + n[1]), math.sqrt(r**2 - along**2) / apart)


# ------------------------------------------------------------ lines


def _edge(piece: Drawn, words: str) -> list:
    runs, last = [], None
    for part in words.split("; "):
        a, b, line = _stretch(piece.points, part)
        if a == last:
            runs[-1] += line[1:]
        else:
            runs.append(line)
        last = b
    return runs


def _stretch(p, words: str):
    if found := re.fullmatch(rf"straight from {_N} to {_N}", words):
        return found[1], found[2], [p[found[1]], p[found[2]]]
    if found := re.fullmatch(rf"arc about {_N} from {_N} to {_N}, the tape at {_L}", words):
        return found[2], found[3], _arc(p[found[1]], p[found[2]], p[found[3]], _mm(found[4]))
    found = re.fullmatch(rf"curve from {_N} to {_N}, off the straight line between them: (.*)", words)
    a, b = p[found[1]], p[found[2]]
    long = math.dist(a, b)
    along = ((b[0] - a[0]) / long, (b[1] - a[1]) / long)
    places = [a]
    for row in found[3].split(", "):
        told = re.fullmatch(rf"at {_L}: (?:{_L} (\w+)|on it)", row)
        x, y = _mm(told[1]), (_mm(told[2]) if told[2] else 0.0)
        n = _toward((-along[1], along[0]), told[3] or "up")
        places.append((a[0] + x * along[0] + y * n[0], a[1] + x * along[1] + y * n[1]))
    return found[1], found[2], _through([*places, b])


def _arc(c, a, b, radius: float):
    first, last = (math.atan2(q[1] - c[1], q[0] - c[0]) for q in (a, b))
    sweep = (last - first + math.pi) % (2 * math.pi) - math.pi
    inner = [(c[0] + radius * math.cos(first + sweep * k / 60), c[1] + radius * math.sin(first + sweep * k / 60)) for k in range(1, 60)]
    return [a, *inner, b]


def _through(places: list) -> list:
    """A smooth line: one spline by the length of the chords."""
    reach = [0.0]
    for a, b in zip(places, places[1:], strict=False):
        reach.append(reach[-1] + math.dist(a, b))
    spline = CubicSpline(reach, places)
    steps = [reach[k] + (reach[k + 1] - reach[k]) * step / 20 for k in range(len(places) - 1) for step in range(20)]
    return [tuple(place) for place in spline([*steps, reach[-1]])]
