"""The cutting list in words: sections of lines and tables that the page and the plain text both show.

Plain text is at most `WIDE` characters wide, for a terminal or a till printer; columns stand under their headings.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from textwrap import wrap
from typing import Any

from ...source.quantity import show_number
from ...source.units import UNITS
from ..drawing.pieces import in_words
from ..house.columns import telling
from ..house.document import printable
from ..house.work import Work
from .lay import MOST

WIDE = 100
MARK = "Cutting list made by tapeline"  # the text's last line
YARD = 914.4
_FROM = {
    "asked": "asked for",
    "style": "stated by the style",
    "house": "stated by the house",
    "usual": "not stated: a common width, not from a source",
}
_METHOD = (
    "The program laid the pieces itself: one after another, each at the first place from the beginning of the cloth where it "
    "fits, in several orders, of which the shortest is shown, its pieces moved forward where there was room. The same pieces "
    "are always laid in the same way. A practised cutter may do better, by hollows that open to the side. The least "
    "possible length is the area of all pieces over the width, or the longest piece where that is more; no lay can be "
    "shorter. Pieces touch; their seam allowances are counted. Nothing is added for shrinking, straight ends, or patterns to match."
)


@dataclass(slots=True)
class ListSection:
    title: str
    lines: list[str] = field(default_factory=list)  # before the table
    heads: tuple[str, ...] = ()
    rows: Sequence[tuple[str, ...]] = ()
    notes: list[str] = field(default_factory=list)  # below it
    cloth: dict[str, Any] | None = None  # whose lays belong here
    tick: bool = False  # whether its rows are things to do or to get


class Lengths:
    """Lengths as the house writes them."""

    def __init__(self, work: Work) -> None:
        self.unit, self.house = work.unit, work.house

    def length(self, mm: float) -> str:
        return self.house.show(mm, self.unit)

    def about(self, mm: float) -> str:
        """A length of cloth: to the tenth of a centimetre or inch."""
        unit = UNITS[UNITS[self.unit].told_in]
        return self.house.figures(f"{show_number(mm / unit.mm, 1)} {unit.word}")

    def to_buy(self, mm: float) -> str:
        """The next length that cloth is bought by: a quarter of a yard, as in published estimates (a costume hand-out buys
        2 3/4 for 2.72 yards; a three-tier skirt, 2013, 5 1/4 for 5.19), or 5 cm (our choice)."""
        if self.unit == "in":
            quarters = math.ceil(mm / YARD * 4 - 1e-6)
            whole, part = divmod(quarters, 4)
            words = " ".join(filter(None, [str(whole) if whole else "", ("", "1/4", "1/2", "3/4")[part]])) or "0"
            return f"{words} {'yard' if quarters <= 4 else 'yards'}"
        return f"{math.ceil(mm / 50 - 1e-6) * 5} cm"

    def area(self, square_mm: float) -> str:
        area = f"{square_mm / YARD**2:.2f} square yards" if self.unit == "in" else f"{square_mm / 1e6:.2f} m\u00b2"
        return self.house.figures(area)


def write_text(data: dict[str, Any], work: Work) -> str:
    """The list as plain text."""
    below = (*work.notes, *work.heading.facts(work.house.in_english()))
    lines = [heading(data, work.house.name), *(line for note in below for line in wrap(note, WIDE)), ""]
    for section in sections(data, work):
        lines += [section.title, "-" * len(section.title)]
        for line in section.lines:
            lines += wrap(line, WIDE)
        if section.rows:
            lines += _table(section.heads, section.rows)
        for note in section.notes:
            lines += wrap(note, WIDE)
        lines.append("")
    return printable("\n".join(line.rstrip() for line in [*lines, MARK]) + "\n")


def is_ours(data: bytes) -> bool:
    """Whether a text is a cutting list that this program made."""
    return data.rstrip().endswith(MARK.encode())


def heading(data: dict[str, Any], house: str = "") -> str:
    style = data["style"]
    title = f"{style['title']} {style['version']}".strip()
    return f"{house + ': c' if house else 'C'}utting list of {title} for {data['body']}"


def sections(data: dict[str, Any], work: Work) -> list[ListSection]:
    """All that the list has to say, in the order of the work: cloth, pieces, what is sewn in, edges."""
    writer = Lengths(work)
    numbers = {row["name"]: row["number"] for row in data["pieces"]}
    candidates = [
        _pieces(data, writer),
        *(_cloth(cloth, numbers, writer) for cloth in data["cloths"]),
        _notions(data, writer),
        _bones(data, writer),
        _edges(data, writer),
        ListSection("How the cloth was reckoned", [_METHOD]),
    ]
    for section in candidates:
        shown = telling(section.rows, len(section.heads))
        section.heads, section.rows = tuple(section.heads[k] for k in shown), [tuple(row[k] for k in shown) for row in section.rows]
    return [section for section in candidates if section.rows or section.lines]


def _pieces(data: dict[str, Any], writer: Lengths) -> ListSection:
    rows = []
    for row in data["pieces"]:
        rows.append(
            (
                str(row["number"]),
                row["title"],
                how_cut(row),
                thread(row["grain"]),
                f"{writer.about(row['across']).split()[0]} x {writer.about(row['along'])}",
            )
        )
        rows += [("", "", f"also {layer['count']} for {in_words(layer['for'])}", "", "") for layer in row["layers"]]
    notes = ["Sizes are across and along the grain line, as cut, seam allowances included."]
    if any(row["fold"] for row in data["pieces"]):
        notes[0] += " A piece cut on the fold is given by its half."
    if not data["allowances"]:
        notes.append("The style gives no seam allowances: the pieces are net.")
    return ListSection("Pieces", [], ("no.", "piece", "cut", "grain line", "size as cut"), rows, notes, tick=True)


def how_cut(row: dict[str, Any]) -> str:
    """How often and in which way a piece is cut."""
    what = f" for {in_words(row['for'])}" if row["for"] else ""
    if row["fold"]:
        return f"{row['count']}{what}, on the fold at {in_words(row['fold'])}"
    if row["paired"]:
        pairs = row["count"] // 2
        return f"{row['count']}{what}, " + ("a mirrored pair" if pairs == 1 else f"{pairs} mirrored pairs")
    return f"{row['count']}{what}" + (", all alike" if row["alike"] else "")


def thread(degrees: float) -> str:
    """Where the lengthwise thread runs in a piece as drawn, from its angle to the plumb."""
    if degrees < 0.005:
        return "straight down"
    if degrees > 89.995:
        return "straight across"
    return f"{show_number(degrees, 2)} deg from straight down"


def _cloth(cloth: dict[str, Any], numbers: dict[str, int], writer: Lengths) -> ListSection:
    what = in_words(cloth["for"]) if cloth["for"] else "the garment"
    lines = [
        f"{writer.about(cloth['width'])} wide between the selvedges ({_FROM[cloth['width_from']]}), "
        + ("with nap: all pieces one way up." if cloth["nap"] else "without nap: pieces may lie either way up.")
    ]
    lines.append(
        f"The pieces cover {writer.area(cloth['area'])}, of which seam allowances {writer.area(cloth['allowances'])}. "
        f"Least possible length: {writer.about(cloth['least'])}"
        + (", the longest piece." if cloth["least"] <= cloth["longest"] + 1e-6 else ", their area over the width.")
    )
    rows = []
    for lay in cloth["lays"]:
        length = lay["length"]
        rows.append(
            (
                {"folded": "folded along its length", "open": "open, one layer"}[lay["kind"]],
                writer.about(length),
                f"{max(0.0, 100 * (length / cloth['least'] - 1)):.0f} %",
                f"{100 * cloth['area'] / (length * cloth['width']):.0f} %",
                writer.to_buy(length),
            )
        )
    section = ListSection(f"Cloth for {what}", lines, ("lay", "length", "above the least", "cloth used", "buy"), rows, cloth=cloth)
    kinds = [lay["kind"] for lay in cloth["lays"]]
    if kinds == ["folded"]:
        section.notes.append("No shorter lay was found on open cloth.")
    elif kinds == ["open"]:
        section.notes.append("Folded along its length the cloth is too narrow for a piece, so it is laid open.")
    laid = "; here it lies turned by a quarter, its thread across the cloth. Else" if cloth["lays"] else ". So"
    for row in cloth["too_wide"]:
        section.lines.append(
            f"{row['piece']} is {writer.about(row['across'])} across its thread and does not fit on this cloth as the "
            f"style wants it{laid} take cloth at least so wide, or plan a seam in the piece."
        )
    if not cloth["lays"] and not cloth["too_wide"]:
        section.lines.append(f"There are more than {MOST} pieces; a lay of so many is not tried.")
    single = sorted({numbers[row["piece"]] for lay in cloth["lays"] if lay["kind"] == "folded" for row in single_places(lay)})
    if single:
        section.notes.append(
            f'On folded cloth cut no. {", ".join(map(str, single))} where it is marked "one" through the upper '
            "layer only; what lies under it is left over."
        )
    return section


def single_places(lay: dict[str, Any]) -> list[dict[str, Any]]:
    """Places off the fold of folded cloth from which only one piece is wanted."""
    return [row for row in lay["laid"] if lay["kind"] == "folded" and row["copies"] == 1 and not row["on_fold"]]


def _notions(data: dict[str, Any], writer: Lengths) -> ListSection:
    rows = []
    for row in data["zips"]:
        note = f"marked on {row['edges']} edges: one zip, if not planned otherwise" if row["edges"] > 2 else ""
        where = " and ".join(f"{place['piece']}, {in_words(place['edge'])}" for place in row["places"])
        rows.append(("zip", "1", f"opening {writer.length(row['opening'])}", where, note))
    rows += [("buttons", str(row["count"]), writer.length(row["size"]), row["words"], "") for row in data["buttons"] if row["count"]]
    for row in data["tapes"]:
        each = f"{row['count']} of {writer.length(row['length'])}" if row["count"] > 1 else ""
        rows.append(
            (
                "tape",
                "",
                writer.length(row["total"]),
                f"{row['piece']}, {in_words(row['edge'])}",
                "; ".join(filter(None, [row["words"], each])),
            )
        )
    return ListSection("Notions: zip, buttons, tape", [], ("what", "how many", "size", "where", ""), rows, tick=True)


def _bones(data: dict[str, Any], writer: Lengths) -> ListSection:
    rows = [
        (row["piece"], in_words(row["name"]), str(row["count"]), writer.length(row["length"]), writer.length(row["channel"]))
        for row in data["bones"]
    ]
    count = sum(row["count"] for row in data["bones"])
    total = sum(row["count"] * row["length"] for row in data["bones"])
    notes = [f"{count} bones, {writer.about(total)} in all. A bone is its channel less the clearance at both ends."] if rows else []
    return ListSection("Bones", [], ("piece", "channel", "how many", "bone", "channel length"), rows, notes, tick=True)


def _edges(data: dict[str, Any], writer: Lengths) -> ListSection:
    rows = [
        (row["kind"] + (f", {in_words(row['for'])}" if row["for"] else ""), writer.length(row["width"]), writer.about(row["length"]))
        for row in data["allowances"]
    ]
    return ListSection(
        "Hems and seam allowances",
        [],
        ("kind", "width", "length in all"),
        rows,
        ["Length as sewn, darts closed, over all pieces of the first layer; both sides of a seam count."] if rows else [],
    )


def _table(heads: Sequence[str], rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Rows under their headings, columns two blanks apart; the widest column is wrapped where a row is too wide."""
    table = [tuple(heads), *rows]
    widths = [max(len(row[k]) for row in table) for k in range(len(heads))]
    over = sum(widths) + 2 * (len(widths) - 1) - WIDE
    if over > 0:
        widest = widths.index(max(widths))
        widths[widest] = max(12, widths[widest] - over)
    lines = []
    for row in table:
        cells = [wrap(cell, width) or [""] if width else [""] for cell, width in zip(row, widths, strict=True)]
        lines += [
            "  ".join((cell[k] if k < len(cell) else "").ljust(width) for cell, width in zip(cells, widths, strict=True))
            for k in range(max(map(len, cells)))
        ]
    return lines
