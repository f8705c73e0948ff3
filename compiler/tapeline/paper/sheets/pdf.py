"""Pages as one PDF at true size.

A `Page` holds layers: items of the drawing model, moved to their place and clipped to a box.  Numbers are written in
points, 72 to the inch, to seven figures and without any scaling of the page, so that a reader of the file finds true
lengths.  Lines and cubics are written as they are; an arc is written as cubics that leave it by less than 0.001 mm.
Words stand in Helvetica, which every reader of PDF has, in the box that `lettering` reckons for them; a letter that
the standard encoding has not is written without its accent, or as a question mark.

The file asks the reader not to scale it (`PrintScaling /None`).  Same pages and date, same bytes: no clock, no chance.
This is the only door to reportlab, which is imported when the first page is written.
"""

from __future__ import annotations

import io
import math
import re
import unicodedata
from collections.abc import Iterator, Sequence
from datetime import datetime
from hashlib import md5
from typing import Any, NamedTuple

from ...source.diagnostics import Diagnostic
from ...source.quantity import show_length
from ..drawing.lettering import text_width
from ..drawing.model import LINES, Box, Group, Item, LineType, Place, Stroke, Text, box_of, each_item
from ..house.paper_sizes import LONGEST, PaperRefused

TRUE_SIZE = "Pattern pieces at true size: print at 100 %, not fitted to the page"  # subject of what is cut by
MARK = b"/Creator (tapeline)"
UNIT = 72 / 25.4
NEAR = 0.0005  # mm that cubics may leave an arc
# What pages add to the lines of a drawing, thinner than any of them.
PAGE_LINES: dict[str, LineType] = {
    "trim": LineType(0.13, (), "edge of a page: cut it away here"),
    "lay": LineType(0.13, (5.0, 3.0), "lay the cut edge of the next page here"),
    "rule": LineType(0.18, (), ""),
    "map": LineType(0.25, (), ""),
}
_FONTS = {"normal": "Helvetica", "bold": "Helvetica-Bold"}
_PLAIN = str.maketrans(
    {
        "\u0142": "l",
        "\u0141": "L",
        "\u0111": "d",
        "\u0110": "D",
        "\u0131": "i",
        "\u0127": "h",
        "\u0126": "H",
        "\u2212": "-",
        "\u2010": "-",
        "\u2011": "-",
        "\u2032": "'",
        "\u2033": '"',
    }
)


def page_box(group: Group) -> Box:
    """The box of a group that may hold lines which only pages have."""
    return box_of(
        item._replace(line="leader") if isinstance(item, Stroke) and item.line in PAGE_LINES else item for item in each_item([group])
    )


class Layer(NamedTuple):
    items: tuple[Item, ...]
    dx: float = 0.0  # from the place in the drawing to the place on the page
    dy: float = 0.0
    clip: Box | None = None  # on the page


class Page(NamedTuple):
    width: float
    height: float
    layers: tuple[Layer, ...]
    title: str  # for the reader's list of contents


def is_ours(data: bytes) -> bool:
    """Whether a file is a PDF that this program made."""
    return data.startswith(b"%PDF-") and MARK in data


def write_pdf(pages: Sequence[Page], title: str, author: str = "", date: datetime | None = None, subject: str = "") -> bytes:
    """The pages as one PDF, which bears its subject and the date of the draft, if it is told.  PaperRefused where a page is over the limit of PDF; ValueError where a number is not finite."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    rl_config.useA85 = 0  # plain compressed streams, whatever a settings file of the machine says
    for page in pages:
        if max(page.width, page.height) > LONGEST + 1e-6:
            raise PaperRefused(
                Diagnostic(
                    "P102",
                    "A page of a PDF cannot be this long",
                    None,
                    f"at most 200 in ({show_length(LONGEST, 'cm')}) across and down",
                    f"{show_length(page.width, 'mm')} x {show_length(page.height, 'mm')}",
                    "State a smaller sheet, or a roll: the drawing is then printed in lengths to be joined.",
                )
            )
    stream = io.BytesIO()
    canvas = Canvas(stream, pageCompression=1, invariant=1, pdfVersion=(1, 6), lang="en")
    canvas.setTitle(title)
    canvas.setAuthor(author or "tapeline")
    canvas.setSubject(subject or title)
    canvas.setCreator("tapeline")
    _dated(canvas, date)
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    for number, page in enumerate(pages, 1):
        canvas.setPageSize((page.width * UNIT, page.height * UNIT))
        canvas.setMiterLimit(4)
        canvas.bookmarkPage(f"page-{number}")
        canvas.addOutlineEntry(page.title, f"page-{number}")
        for layer in page.layers:
            _Pen(canvas, page.height, layer).draw()
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _dated(canvas: Any, date: datetime | None) -> None:
    """Let the file bear this date, local time without a zone (ISO 32000-1, 7.9.4), or none: then the library's own is taken out,
    here and from the file's identifier, which it begins with a clock of the environment."""
    canvas._doc.signature = md5(usedforsecurity=False)
    if date is not None:
        canvas.setDateFormatter(lambda *_: f"{date:D:%Y%m%d%H%M%S}")
        return
    info = canvas._doc.info
    written = info.format
    info.format = lambda document: re.sub(rb"/(CreationDate|ModDate) \([^)]*\)\s*", b"", written(document))


class _Pen:
    """Draws the items of one layer."""

    def __init__(self, canvas: Any, height: float, layer: Layer) -> None:
        self.canvas, self.height, self.layer = canvas, height, layer

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Points from the lower left corner of the page."""
        x, y = (x + self.layer.dx) * UNIT, (self.height - y - self.layer.dy) * UNIT
        if not abs(x) + abs(y) < 1e9:
            raise ValueError("a coordinate is not a finite length")
        return x, y

    def draw(self) -> None:
        self.canvas.saveState()
        if self.layer.clip is not None:
            left, top, right, low = self.layer.clip
            clip = self.canvas.beginPath()
            clip.rect(left * UNIT, (self.height - low) * UNIT, (right - left) * UNIT, (low - top) * UNIT)
            self.canvas.clipPath(clip, stroke=0, fill=0)
        line = None
        for item in each_item(self.layer.items):
            if isinstance(item, Text):
                if item.words.strip():
                    self._words(item)
            elif item.commands:
                if item.line != line:
                    line = item.line
                    kind = LINES.get(line) or PAGE_LINES[line]
                    self.canvas.setLineWidth(kind.width * UNIT)
                    self.canvas.setDash([part * UNIT for part in kind.dash])
                self._line(item)
        self.canvas.restoreState()

    def _line(self, stroke: Stroke) -> None:
        path = self.canvas.beginPath()
        last = (0.0, 0.0)
        for command in stroke.commands:
            kind, values = command[0], command[1:]
            if kind == "M":
                path.moveTo(*self.place(*values))
            elif kind == "L":
                path.lineTo(*self.place(*values))
            elif kind == "C":
                path.curveTo(*(value for k in (0, 2, 4) for value in self.place(*values[k : k + 2])))
            elif kind == "A":
                for cubic in arc_cubics(last, *values):
                    path.curveTo(*(value for point in cubic for value in self.place(*point)))
            else:
                path.close()
            if kind != "Z":
                last = values[-2:]
        self.canvas.drawPath(path, stroke=1, fill=0)

    def _words(self, text: Text) -> None:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        words, font = encodable(text.words), _FONTS[text.weight]
        size = text.size * min(1.0, text_width(text.words, 1.0, text.weight) / max(stringWidth(words, font, 1.0), 1e-9))
        back = {"start": 0.0, "middle": 0.5, "end": 1.0}[text.anchor] * stringWidth(words, font, size)
        turn = -math.radians(text.turn_degrees)
        c, s = math.cos(turn), math.sin(turn)
        x, y = self.place(text.x - back * c, text.y + back * s)
        writing = self.canvas.beginText()
        writing.setFont(font, size * UNIT)
        writing.setTextTransform(c, s, -s, c, x, y)
        writing.textOut(words)
        self.canvas.drawText(writing)


def encodable(words: str) -> str:
    """The words in letters of the standard encoding (WinAnsi)."""
    words = words.translate(_PLAIN)
    if words.isascii() and words.isprintable():
        return words
    out = []
    for letter in words:
        for trial in (letter, unicodedata.normalize("NFKD", letter)[0], "?"):
            try:
                trial.encode("cp1252")
            except UnicodeEncodeError:
                continue
            out.append(trial if trial.isprintable() or trial == "\u00a0" else "?")
            break
    return "".join(out)


def arc_cubics(
    start: Sequence[float], radius: float, large: bool, clockwise: bool, x: float, y: float
) -> Iterator[tuple[Place, Place, Place]]:
    """(handle, handle, end) of cubics along an arc command from `start`."""
    mx, my, hx, hy = (start[0] + x) / 2, (start[1] + y) / 2, (x - start[0]) / 2, (y - start[1]) / 2
    chord = math.hypot(hx, hy)
    if chord < 1e-9:
        return
    radius = max(radius, chord)
    rise = math.sqrt(max(0.0, radius * radius - chord * chord)) / chord * (1 if clockwise != large else -1)
    cx, cy = mx - rise * hy, my + rise * hx
    first = math.atan2(start[1] - cy, start[0] - cx)
    sweep = (math.atan2(y - cy, x - cx) - first) % (2 * math.pi)
    if not clockwise:
        sweep -= 2 * math.pi
    parts = max(1, math.ceil(abs(sweep) / (math.pi / 2) - 1e-9))
    while _off_arc(radius, sweep / parts) > NEAR:
        parts += 1
    step = sweep / parts
    reach = 4 / 3 * math.tan(step / 4) * radius
    for part in range(parts):
        a, b = first + part * step, first + (part + 1) * step
        end = (x, y) if part == parts - 1 else (cx + radius * math.cos(b), cy + radius * math.sin(b))
        p = start if part == 0 else (cx + radius * math.cos(a), cy + radius * math.sin(a))
        yield (
            (p[0] - reach * math.sin(a), p[1] + reach * math.cos(a)),
            (end[0] + reach * math.sin(b), end[1] - reach * math.cos(b)),
            end,
        )


def _off_arc(radius: float, sweep: float) -> float:
    """How far the usual cubic leaves an arc, at most: 4/27 r sin^6(s/4) / cos^2(s/4)."""
    return 4 / 27 * radius * math.sin(abs(sweep) / 4) ** 6 / math.cos(sweep / 4) ** 2
