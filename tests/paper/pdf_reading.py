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
    wide, high = float(page.mediabox.width) * MM, float(page.mediabox.height) * MM
    state = {"ctm": np.eye(3), "width": 1.0, "dash": (), "clip": None}
    stack, lines, words = [], [], []
    pieces, runs, at, start = [], [], None, None
    pending = False

    def place(x, y):
        px, py, _ = np.array([float(x), float(y), 1.0]) @ state["ctm"]
        return np.array([px * MM, high - py * MM])

    text = np.eye(3)
    size = 0.0
    for operands, operator in ContentStream(page.get_contents(), reader).operations:
        name = operator.decode()
        if name == "q":
            stack.append(dict(state))
        elif name == "Q":
            state = stack.pop()
        elif name == "cm":
            state["ctm"] = _matrix(operands) @ state["ctm"]
        elif name == "w":
            state["width"] = float(operands[0]) * MM
        elif name == "d":
            state["dash"] = tuple(float(part) * MM for part in operands[0])
        elif name == "m":
            at = start = place(*operands)
            runs.append([at])
        elif name == "l":
            q = place(*operands)
            pieces.append(("l", at, q))
            runs[-1].append(q)
            at = q
        elif name == "c":
            a, b, q = (place(*operands[k : k + 2]) for k in (0, 2, 4))
            pieces.append(("c", at, a, b, q))
            t = (np.arange(1, 257) / 256)[:, None]
            runs[-1] += list((1 - t) ** 3 * at + 3 * (1 - t) ** 2 * t * a + 3 * (1 - t) * t * t * b + t**3 * q)
            at = q
        elif name == "h":
            pieces.append(("l", at, start))
            runs[-1].append(start)
            at = start
        elif name == "re":
            x, y, w, h = (float(value) for value in operands)
            corners = [place(*c) for c in ((x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y))]
            runs.append(corners)
        elif name in ("W", "W*"):
            pending = True
        elif name == "n":
            if pending:
                points = np.concatenate([np.array(run) for run in runs])
                state["clip"] = (*points.min(axis=0), *points.max(axis=0))
            pieces, runs, pending = [], [], False
        elif name == "S":
            lines.append(Drawn(state["width"], state["dash"], [np.array(run) for run in runs], state["clip"], pieces))
            pieces, runs = [], []
        elif name == "BT":
            text = np.eye(3)
        elif name == "Tf":
            size = float(operands[1])
        elif name == "Tm":
            text = _matrix(operands)
        elif name == "Tj":
            x, y, _ = np.array([0.0, 0.0, 1.0]) @ text @ state["ctm"]
            said = operands[0] if isinstance(operands[0], str) else bytes(operands[0]).decode("cp1252")
            words.append((said, x * MM, high - y * MM, size * MM))
        elif name not in ("J", "j", "M", "ET", "TL", "rg", "RG", "g", "G", "T*"):
            raise AssertionError(f"an operator that this reader does not know: {name}")
    return Read(wide, high, lines, words)


def _matrix(operands) -> np.ndarray:
    a, b, c, d, e, f = (float(value) for value in operands)
    return np.array([[a, b, 0.0], [c, d, 0.0], [e, f, 1.0]])
