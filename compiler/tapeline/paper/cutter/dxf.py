"""The cutter's file: the pieces of one draft as an ASCII DXF of release 12, its layers numbered after ASTM D6673.

It is a release 12 file and no more: the standard names release 13, whose subset this is, and was withdrawn in 2019.  Its
scope and terms (blocks, contours, sew lines, internal lines, annotation text) are read in its clauses 1 to 3; layer numbers
and text keys are known second-hand or from memory, not from its own text.  A file holds one style in one size.  There is
one block a piece, put once into the drawing beside the others, a test square among them; no tables, no other blocks.

    1   boundary, the cut line: a closed polyline; also the system text, one key a text
    2   turn points: corners, ends of runs, and where a straight line runs into a curve
    3   curve points: all other points of the runs on layers 1, 8 and 14
    4   notches: a point on the boundary
    6   mirror line of a piece that is given as its half
    7   grain line
    8   internal lines: sides of darts, fold lines of pleats, the line a hem is turned up on, marks, bones, a whole
        piece's centre.  A run of two points is a line, of more a polyline; on layer 14 always a polyline
    13  drill holes: for each dart point, at each button, and where the style says so
    14  sew lines, where they are not the boundary itself: one for each length of an edge between its darts, and one for
        each dart's folded end, so that a seam can be measured with and without them
    15  annotation text

What the standard leaves open, or is not known to us of it, and what is done here:

- Unit.  METRIC is read as millimetres by some and as centimetres by others.  The numbers are millimetres; a text says so,
  and the test square can be measured.
- Curves are runs of points no farther than 0.05 mm apart from the curve.  All points are marked as turn or curve points, so
  no reader's own curve can leave ours by more; validation curves (84 to 87) would repeat the boundary and are left out.
- A piece cut on the fold is opened out, so that a reader that does not know layer 6 cuts it whole.  `papers(halved=True)`
  gives the half with its mirror line.
- Fold lines of hems and darts' sides are not sewn as drawn on flat cloth, and stand on layer 8; a dart's feet are notches.
  Of a pleat the two lines stand there, with notches at their ends, and no hole.
- Drill holes are set short of the point, so that the sewn dart hides them, as far as the house says (`finishing.drills`), which is
  said in a text with its figure.  The sides on layer 8 show the point itself.  Places that must not be drilled, such as the
  bust point or a hook, are crosses on layer 8.  A bone stands there as long as it is cut.
- Kind and depth of a notch: V and slit share layer 4, and which group of a point holds the depth is not known.  The kind is
  said in a text, the depth is left to the cutter.  The end of a zip is a notch as well.
- Quantity is two numbers: cut as drawn, and cut mirrored.  The annotation says the same in words.  Of a whole piece whose halves
  differ a text says which of them is for which side of the body.
- Size and Sample Size are the body's name.  Every size is drafted from its measures, so there is no grade rule table (NONE),
  no reference line on layer 5.  Where a style is drafted in several sizes, the base size's file names the table of
  `rule_table` and bears the numbers of its rules as texts on layer 2.
- Creation date and time are those of the draft, after the style's name; of a draft without a date they are left out.  The
  standard's own form of a date is not known to us, and both dd-mm-yyyy and mm-dd-yyyy are met with, which may be taken for each
  other: so it is written as ISO 8601 has it, 2026-11-30, and the time as 14:05:00.
- Texts are 7-bit ASCII: letters lose their accents, what has no likeness becomes a question mark.  Block names have capitals,
  digits and `_`, at most 20.
- Seams that belong together, ease and the order of work are out of the standard's scope; the record of the draft holds them.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Sequence
from datetime import datetime

import numpy as np

from ..drawing.lettering import text_width
from ..drawing.model import Text
from ..house.work import Work
from .pieces import ANNOTATION, BOUNDARY, SEW, SQUARE, Content, LayerRun, piece_content, test_square
from .points import TOLERANCE

AUTHOR = "Author: tapeline"
MARK = AUTHOR.encode()
LONGEST_NAME = 20
LONGEST_TEXT = 250  # release 12 holds texts of 255 letters: a limit from memory
_GAP = 60.0  # mm between pieces in the drawing
_CAPITALS = 0.7  # height of capitals, which DXF counts, to the size of the words
_LETTERS = str.maketrans(
    {
        "ß": "ss",
        "æ": "ae",
        "Æ": "AE",
        "œ": "oe",
        "Œ": "OE",
        "ø": "o",
        "Ø": "O",
        "ł": "l",
        "Ł": "L",
        "đ": "d",
        "Đ": "D",
        "ı": "i",
        "þ": "th",
        "Þ": "Th",
        "ð": "d",
        "Ð": "D",
        "′": "'",
        "″": '"',
        "’": "'",
        "‘": "'",
        "“": '"',
        "”": '"',
        "–": "-",
        "—": "-",
        "−": "-",
        "·": ",",
        "×": "x",
        "°": " deg",
        # These begin codes within a text.
        "^": "'",
        "\\": "/",
    }
)


def papers(work: Work, halved: bool = False) -> dict[str, bytes]:
    """NAME.dxf.  `halved` gives pieces cut on the fold as halves with a mirror line; usual is opened out."""
    return {f"{work.file_stem}.dxf": write_dxf(contents_of(work, halved), work)}


def contents_of(work: Work, halved: bool = False) -> list[Content]:
    """What the file holds of each piece, in their order, and the test square at the end."""
    used: set[str] = set()
    contents = [piece_content(piece, work, block_name(piece.piece.name, used), halved) for piece in work.finished.pieces]
    return [*contents, test_square(block_name("test_square", used), work.size_name)]


def is_ours(data: bytes) -> bool:
    """Whether a file is a DXF that this program made."""
    return data.lstrip()[:16].split()[:2] == [b"0", b"SECTION"] and MARK in data


def write_dxf(contents: Sequence[Content], work: Work, rules: str = "NONE") -> bytes:
    """The pieces side by side in one file; `rules` names the grade rule table.  ValueError where a number is not finite."""
    heading, house = work.heading, work.house.name
    writer = _Writer()
    writer.section("HEADER", [(9, "$ACADVER"), (1, "AC1009")])
    writer.begin("BLOCKS")
    for content in contents:
        writer.block(content)
    writer.end()
    writer.begin("ENTITIES")
    across = 0.0
    for content in contents:
        low, high = content.room()
        writer.insert(content.name, across - low[0], -low[1])
        across += float(high[0] - low[0]) + _GAP
    keys = [
        f"Style Name: {heading.titled}",
        *(f"Creation {key}: {value}" for key, value in created(heading.date)),
        AUTHOR + (f", for {house}" if house else ""),
        f"Sample Size: {work.size_name}",
        f"Grade Rule Table: {rules}",
        "Units: METRIC",
        f"Curve Tolerance: {TOLERANCE:g}",
        "ASTM/D13Proposal 1 Version: D 6673-04",
    ]
    notes = [
        "All lengths are millimetres.",
        f"Measure the test square first: each side is {SQUARE:g} mm.",
        "A DXF file of release 12, its layers after ASTM D6673.",
        *heading.facts(work.house.in_english()),
        *work.notes,
    ]
    for k, (layer, words) in enumerate([(BOUNDARY, key) for key in keys] + [(ANNOTATION, note) for note in notes]):
        writer.text(layer, Text(0.0, -_GAP - 16.0 * (len(keys) + len(notes) - k), 10.0, words))
    writer.end()
    writer.pair(0, "EOF")
    return writer.bytes()


def created(date: datetime | None) -> list[tuple[str, str]]:
    """What the standard's keys of creation hold: date and time of the draft; none where it is not told."""
    return [] if date is None else [("Date", date.date().isoformat()), ("Time", date.time().isoformat(timespec="seconds"))]


def block_name(name: str, used: set[str]) -> str:
    """A name for a block: capitals, digits and `_`, unlike any used one; it is added to those."""
    plain = re.sub(r"[^A-Z0-9_]", "_", ascii_words(name.replace("'", "_")).upper())
    plain = plain if plain[:1].isalpha() else f"P{plain}"
    trial, count = plain[:LONGEST_NAME], 1
    while trial in used:
        count += 1
        trial = f"{plain[: LONGEST_NAME - 1 - len(str(count))]}_{count}"
    used.add(trial)
    return trial


def ascii_words(words: str) -> str:
    """The words in 7-bit letters on one line."""
    out = []
    for letter in words.translate(_LETTERS):
        parts = unicodedata.normalize("NFKD", letter).replace("\u2044", "/")  # a fraction's stroke
        plain = " " * (parts != letter and "/" in parts) + "".join(part for part in parts if part.isascii())
        out.append(plain or ("" if unicodedata.combining(letter) else " " if letter.isspace() else "?"))
    plain = "".join(letter if letter.isprintable() else " " for letter in "".join(out))
    return plain.replace("%%", "% %").replace("%%", "% %").strip()


class _Writer:
    """Group codes and values, a line each.  Places are turned over: down on paper is -y here."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def pair(self, code: int, value: object) -> None:
        self._lines += [f"{code:3d}", str(value)]

    def pairs(self, pairs: Iterable[tuple[int, object]]) -> None:
        for code, value in pairs:
            self.pair(code, value)

    def bytes(self) -> bytes:
        return ("\r\n".join(self._lines) + "\r\n").encode("ascii")

    def begin(self, section: str) -> None:
        self.pairs([(0, "SECTION"), (2, section)])

    def end(self) -> None:
        self.pair(0, "ENDSEC")

    def section(self, name: str, pairs: Iterable[tuple[int, object]]) -> None:
        self.begin(name)
        self.pairs(pairs)
        self.end()

    def place(self, x: float, y: float, first: int = 10) -> None:
        self.pairs([(first, number(x)), (first + 10, number(-y)), (first + 20, "0.0")])

    def entity(self, kind: str, layer: int) -> None:
        self.pairs([(0, kind), (8, layer)])

    def block(self, content: Content) -> None:
        self.entity("BLOCK", BOUNDARY)
        self.pairs([(2, content.name), (70, 0)])
        self.place(0.0, 0.0)
        self.pair(3, content.name)
        for layer, text in content.texts:
            self.text(layer, text)
        for layer_run in content.runs:
            self.run(layer_run)
        for layer, (x, y) in content.spots:
            self.entity("POINT", layer)
            self.place(x, y)
        self.entity("ENDBLK", BOUNDARY)

    def run(self, layer_run: LayerRun) -> None:
        if len(layer_run.points) == 2 and layer_run.layer != SEW:
            self.entity("LINE", layer_run.layer)
            (x, y), (to_x, to_y) = layer_run.points
            self.place(x, y)
            self.place(to_x, to_y, first=11)
            return
        self.entity("POLYLINE", layer_run.layer)
        self.pair(66, 1)
        self.place(0.0, 0.0)
        self.pair(70, int(layer_run.closed))
        for x, y in layer_run.points:
            self.entity("VERTEX", layer_run.layer)
            self.place(x, y)
        self.entity("SEQEND", layer_run.layer)

    def insert(self, name: str, x: float, y: float) -> None:
        self.entity("INSERT", BOUNDARY)
        self.pair(2, name)
        self.place(x, y)

    def text(self, layer: int, text: Text) -> None:
        """Words; centred ones carry both their middle and, for readers that know no other, their estimated start."""
        words = ascii_words(text.words)[:LONGEST_TEXT]
        if not words:
            return
        self.entity("TEXT", layer)
        turn = np.radians(text.turn_degrees)
        back = text_width(words, text.size) / 2 if text.anchor == "middle" else 0.0
        self.place(text.x - back * np.cos(turn), text.y - back * np.sin(turn))
        self.pairs([(40, number(text.size * _CAPITALS)), (1, words)])
        if text.turn_degrees:
            self.pair(50, number(-text.turn_degrees))
        if text.anchor == "middle":
            self.pair(72, 1)
            self.place(text.x, text.y, first=11)


def number(value: float) -> str:
    """Four decimals, never an exponent, never a negative zero."""
    value = float(value)
    if not abs(value) < 1e9:
        raise ValueError("a coordinate is not a finite length")
    return f"{round(value, 4) + 0.0:.4f}"
