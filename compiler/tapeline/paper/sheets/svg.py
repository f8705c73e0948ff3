"""A drawing as SVG text at true size.

Width and height are written in millimetres and the view box in the same numbers, so that one unit of the
file is one millimetre.  Every number passes through one formatting function (three decimals, no exponent,
no negative zero), attributes come out sorted and identifiers are made from the names of pieces, so the
same drawing gives the same bytes.  All is drawn in black without scripts, style sheets or font files.
This is the only door to svgwrite, which is imported when the first drawing is written and whose checking
of attributes is switched off: it knows no `data-` attributes.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from ...source.quantity import show_number
from ..drawing.model import LINES, Commands, Drawing, Group, Item, Stroke, Text

FONT = "Helvetica, Arial, sans-serif"
MARK = b'data-made-by="tapeline"'
_LOOKED_AT = 65536  # bytes searched for the mark, which stands in the first element
EDGE_LINES = ("stitch", "turn_up", "fold", "centre")
# Control characters, and what else XML 1.0 cannot hold: lone surrogates, the two non-characters.
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def write_svg(drawing: Drawing) -> str:
    """The drawing as one SVG document.  ValueError where a number is not finite."""
    import svgwrite

    width, height = number(drawing.width), number(drawing.height)
    document = svgwrite.Drawing(size=(f"{width}mm", f"{height}mm"), viewBox=f"0 0 {width} {height}", debug=False)
    title = drawing.title or "Pattern pieces"
    document.set_desc(title=_fit(title), desc=_fit(drawing.description or title))
    document["role"] = "img"
    document["data-made-by"] = "tapeline"
    _add(document, document, drawing.items, _Identifiers())
    # Between tags only: inside words and attributes these signs are written as entities.
    body = document.tostring().replace("><", ">\n<")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{body}\n'


def is_ours(data: bytes) -> bool:
    """Whether a file is a drawing that this program made."""
    return data.startswith(b"<?xml") and MARK in data[:_LOOKED_AT]


def number(value: float) -> str:
    """A coordinate: at most three decimals, no exponent, no negative zero."""
    if not abs(value) < 1e9:
        raise ValueError("a coordinate is not a finite length")
    return show_number(float(value), 3)


class _Identifiers:
    """Identifiers from names, told apart by a number where names are alike."""

    def __init__(self) -> None:
        self._used: dict[str, int] = {}

    def of(self, name: str) -> str:
        base = re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower() or "part"
        if not base[0].isalpha():
            base = f"part-{base}"
        trial, k = base, 1
        while trial in self._used:
            k += 1
            trial = f"{base}-{k}"
        self._used[trial] = k
        return trial


def _add(document: Any, parent: Any, items: Iterable[Item], identifiers: _Identifiers) -> None:
    for item in items:
        if isinstance(item, Group):
            group = document.g(id=identifiers.of(item.name))
            group.set_desc(title=_fit(item.title))
            if item.piece:
                group["data-piece"] = _fit(item.name)
            _add(document, group, item.items, identifiers)
            parent.add(group)
        elif isinstance(item, Text):
            if item.words.strip():
                parent.add(_words(document, item))
        elif item.commands:
            parent.add(_line(document, item))


def _line(document: Any, stroke: Stroke) -> Any:
    kind = LINES[stroke.line]
    path = document.path(d=_path_data(stroke.commands), fill="none", stroke="#000000", stroke_width=number(kind.width))
    if kind.dash:
        path["stroke-dasharray"] = " ".join(number(part) for part in kind.dash)
    path["data-line"] = stroke.line
    if stroke.name:
        path["data-edge" if stroke.line in EDGE_LINES else "data-name"] = _fit(stroke.name)
    if stroke.rule:
        path["data-rule"] = _fit(stroke.rule)
    return path


def _path_data(commands: Commands) -> str:
    parts = []
    for command in commands:
        kind, values = command[0], command[1:]
        if kind == "A":
            radius, large, clockwise, x, y = values
            parts.append(f"A {number(radius)} {number(radius)} 0 {int(large)} {int(clockwise)} {number(x)} {number(y)}")
        else:
            parts.append(" ".join([kind, *(number(value) for value in values)]))
    return " ".join(parts)


def _words(document: Any, text: Text) -> Any:
    x, y = number(text.x), number(text.y)
    element = document.text(_fit(text.words), font_family=FONT, font_size=number(text.size), fill="#000000", text_anchor=text.anchor)
    element["x"], element["y"] = x, y
    if text.weight == "bold":
        element["font-weight"] = "bold"
    if number(text.turn_degrees) != "0":
        element["transform"] = f"rotate({number(text.turn_degrees)} {x} {y})"
    return element


def _fit(words: str) -> str:
    return _UNFIT.sub("\ufffd", words)
