"""A drawing as SVG text at true size.

Width and height are written in millimetres and the view box in the same numbers, so that one unit of the
file is one millimetre.  Every number passes through one formatting function (three decimals, no exponent,
no negative zero), attributes come out sorted and identifiers are made from the names of pieces, so the
same drawing gives the same bytes.  All is drawn in black without scripts, style sheets or font files.
Elements are written as text at once, one on a line, since a drawing that follows a hand is written many times a second; whatever is
written by a user passes through `_said` or `_attribute`, and so can never be read as an element.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from math import isfinite

from ...source.quantity import show_number
from ..drawing.model import LINES, Commands, Drawing, Group, Item, Leaf, Stroke, Text

FONT = "Helvetica, Arial, sans-serif"
MARK = b'data-made-by="tapeline"'
_LOOKED_AT = 65536  # bytes searched for the mark, which stands in the first element
EDGE_LINES = ("stitch", "turn_up", "fold", "centre")
# Control characters, and what else XML 1.0 cannot hold: lone surrogates, the two non-characters.
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")
_WRITTEN = {"Z": "Z ", "A": "A %.3f;%.3f;0 %d %d %.3f;%.3f;"} | {
    letter: f"{letter} " + "%.3f;" * count for letter, count in (("M", 2), ("L", 2), ("C", 6))
}
_IN_WORDS = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;"})
_IN_ATTRIBUTES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "\r": "&#13;", "\n": "&#10;", "\t": "&#09;"})


def write_svg(drawing: Drawing) -> str:
    """The drawing as one SVG document.  ValueError where a number is not finite."""
    width, height = number(drawing.width), number(drawing.height)
    title = drawing.title or "Pattern pieces"
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg baseProfile="full" data-made-by="tapeline" height="{height}mm" role="img" version="1.1" viewBox="0 0 {width} {height}" '
        f'width="{width}mm" xmlns="http://www.w3.org/2000/svg" xmlns:ev="http://www.w3.org/2001/xml-events" '
        'xmlns:xlink="http://www.w3.org/1999/xlink">',
        _element("title", title),
        _element("desc", drawing.description or title),
        "<defs />",
        *_lines(drawing.items, _Identifiers()),
        "</svg>\n",
    ]
    return "\n".join(lines)


def group_head(name: str, title: str) -> list[str]:
    """The first lines of a piece's group that stands by itself; `</g>` closes it."""
    return _head(Group(name, title, (), piece=True), _Identifiers())


def _head(group: Group, identifiers: _Identifiers) -> list[str]:
    piece = _attribute("data-piece", group.name) if group.piece else ""
    return [f'<g{piece} id="{identifiers.of(group.name)}">', _element("title", group.title)]


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


def _lines(items: Iterable[Item], identifiers: _Identifiers) -> Iterator[str]:
    """The elements of the items, those within a group between its first and its last line."""
    for item in items:
        if isinstance(item, Group):
            yield from _head(item, identifiers)
            yield from _lines(item.items, identifiers)
            yield "</g>"
        elif item.words.strip() if isinstance(item, Text) else item.commands:
            yield write_leaf(item)


def write_leaf(leaf: Leaf) -> str:
    """One line as a `path`, or one line of words as a `text`."""
    return _text(leaf) if isinstance(leaf, Text) else _path(leaf)


def _path(stroke: Stroke) -> str:
    kind = LINES[stroke.line]
    edge = stroke.line in EDGE_LINES
    dash = _attribute("stroke-dasharray", " ".join(number(part) for part in kind.dash))
    return (
        f'<path d="{_path_data(stroke.commands)}"{_attribute("data-edge", stroke.name) if edge else ""}'
        f"{_attribute('data-line', stroke.line)}{'' if edge else _attribute('data-name', stroke.name)}"
        f'{_attribute("data-rule", stroke.rule)} fill="none" stroke="#000000"{dash} stroke-width="{number(kind.width)}" />'
    )


def _path_data(commands: Commands) -> str:
    """All commands in one go, each number as `number` writes it."""
    values: list[float] = []
    for command in commands:
        values += command[1:2] + command[1:] if command[0] == "A" else command[1:]
    if not all(map(isfinite, values)) or max(map(abs, values), default=0.0) >= 1e9:
        raise ValueError("a coordinate is not a finite length")
    written = "".join([_WRITTEN[command[0]] for command in commands]) % tuple(values)
    for ending in (".000;", "00;", "0;", ";"):  # a number that has lost its point is not followed by the sign any more
        written = written.replace(ending, " ")
    return written.replace("-0 ", "0 ")[:-1]


def _text(text: Text) -> str:
    x, y, turn = number(text.x), number(text.y), number(text.turn_degrees)
    return (
        f'<text fill="#000000" font-family="{FONT}" font-size="{number(text.size)}"'
        f"{_attribute('font-weight', 'bold' if text.weight == 'bold' else '')}{_attribute('text-anchor', text.anchor)}"
        f'{_attribute("transform", "" if turn == "0" else f"rotate({turn} {x} {y})")} x="{x}" y="{y}">{_said(text.words)}</text>'
    )


def _element(tag: str, words: str) -> str:
    return f"<{tag}>{_said(words)}</{tag}>" if words else f"<{tag} />"


def _attribute(name: str, words: str) -> str:
    """An attribute after a blank; none of nothing."""
    return f' {name}="{_fit(words).translate(_IN_ATTRIBUTES)}"' if words else ""


def _said(words: str) -> str:
    return _fit(words).translate(_IN_WORDS)


def _fit(words: str) -> str:
    return _UNFIT.sub("\ufffd", words)
