"""A small reader of page contents for the tests, built on pypdf's parser of operators and nothing of ours.

It follows the operators that draw lines and words through every change of the coordinate system, and gives lengths in
millimetres with y down from the top of the page.
"""

import io
from dataclasses import dataclass

import numpy as np
import pypdf
from pypdf.generic import ContentStream

MM = 25.4 / 72


@dataclass
class Drawn:
    width: float  # of the line
    dash: tuple
    runs: list  # of points (K, 2), curves in fine chords
    clip: tuple | None  # left, top, right, low
    pieces: list  # what the runs are made of: ("l", p, q) or ("c", p, a, b, q)


@dataclass
class Read:
    width: float
    height: float
    lines: list
    words: list  # (words, x, y, size)


def read_pages(data: bytes) -> list[Read]:
    reader = pypdf.PdfReader(io.BytesIO(data), strict=True)
    return [_page(page, reader) for page in reader.pages]


def length(drawn: Drawn) -> float:
    """Of all runs, cubics by fine quadrature."""
    nodes, weights = np.polynomial.legendre.leggauss(24)
    t = ((nodes + 1) / 2)[:, None]
    total = 0.0
    for kind, *points in drawn.pieces:
        if kind == "l":
            total += float(np.hypot(*(points[1] - points[0])))
        else:
            p, a, b, q = points
            way = 3 * (1 - t) ** 2 * (a - p) + 6 * (1 - t) * t * (b - a) + 3 * t * t * (q - b)
            total += float((np.hypot(*way.T) * weights).sum() / 2)
    return total


def box(drawn: Drawn) -> tuple:
    points = np.concatenate(drawn.runs)
    return (*points.min(axis=0), *points.max(axis=0))


def _page(page, reader) -> Read:
    high = float(page.mediabox.height) * MM
    content = _Content(high)
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        name = operator.decode()
        if name in _OPERATORS:
            _OPERATORS[name](content, *operands)
        elif name not in _IGNORED:
            raise AssertionError(f"an operator that this reader does not know: {name}")
    return Read(float(page.mediabox.width) * MM, high, content.lines, content.words)


class _Content:
    """What the operators of a page have done so far: one method for each that this reader follows."""

    def __init__(self, high: float):
        self.high = high
        self.state = {"ctm": np.eye(3), "width": 1.0, "dash": (), "clip": None}
        self.stack, self.lines, self.words = [], [], []
        self.pieces, self.runs, self.at, self.start = [], [], None, None
        self.clips = False
        self.text, self.size = np.eye(3), 0.0

    def place(self, x, y):
        px, py, _ = np.array([float(x), float(y), 1.0]) @ self.state["ctm"]
        return np.array([px * MM, self.high - py * MM])

    def save(self):
        self.stack.append(dict(self.state))

    def restore(self):
        self.state = self.stack.pop()

    def transform(self, *numbers):
        self.state["ctm"] = _matrix(numbers) @ self.state["ctm"]

    def line_width(self, width):
        self.state["width"] = float(width) * MM

    def dash(self, lengths, phase):
        self.state["dash"] = tuple(float(length) * MM for length in lengths)

    def move(self, x, y):
        self.at = self.start = self.place(x, y)
        self.runs.append([self.at])

    def line(self, x, y):
        self._line_to(self.place(x, y))

    def close(self):
        self._line_to(self.start)

    def _line_to(self, q):
        self.pieces.append(("l", self.at, q))
        self.runs[-1].append(q)
        self.at = q

    def curve(self, *numbers):
        a, b, q = (self.place(*numbers[k : k + 2]) for k in (0, 2, 4))
        self.pieces.append(("c", self.at, a, b, q))
        t = (np.arange(1, 257) / 256)[:, None]
        self.runs[-1] += list((1 - t) ** 3 * self.at + 3 * (1 - t) ** 2 * t * a + 3 * (1 - t) * t * t * b + t**3 * q)
        self.at = q

    def rectangle(self, *numbers):
        x, y, w, h = (float(number) for number in numbers)
        self.runs.append([self.place(*corner) for corner in ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))])

    def clip(self):
        self.clips = True

    def end_path(self):
        if self.clips:
            points = np.concatenate([np.array(run) for run in self.runs])
            self.state["clip"] = (*points.min(axis=0), *points.max(axis=0))
        self.pieces, self.runs, self.clips = [], [], False

    def stroke(self):
        state = self.state
        self.lines.append(Drawn(state["width"], state["dash"], [np.array(run) for run in self.runs], state["clip"], self.pieces))
        self.pieces, self.runs = [], []

    def begin_text(self):
        self.text = np.eye(3)

    def font(self, name, size):
        self.size = float(size)

    def text_matrix(self, *numbers):
        self.text = _matrix(numbers)

    def show(self, shown):
        x, y, _ = np.array([0.0, 0.0, 1.0]) @ self.text @ self.state["ctm"]
        words = shown if isinstance(shown, str) else bytes(shown).decode("cp1252")
        self.words.append((words, x * MM, self.high - y * MM, self.size * MM))


_OPERATORS = {
    "q": _Content.save,
    "Q": _Content.restore,
    "cm": _Content.transform,
    "w": _Content.line_width,
    "d": _Content.dash,
    "m": _Content.move,
    "l": _Content.line,
    "c": _Content.curve,
    "h": _Content.close,
    "re": _Content.rectangle,
    "W": _Content.clip,
    "W*": _Content.clip,
    "n": _Content.end_path,
    "S": _Content.stroke,
    "BT": _Content.begin_text,
    "Tf": _Content.font,
    "Tm": _Content.text_matrix,
    "Tj": _Content.show,
}
_IGNORED = ("J", "j", "M", "ET", "TL", "rg", "RG", "g", "G", "T*")


def _matrix(operands) -> np.ndarray:
    a, b, c, d, e, f = (float(value) for value in operands)
    return np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]])
