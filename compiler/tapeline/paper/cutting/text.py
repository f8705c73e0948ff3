"""The cutting list in words, in the house's language: sections of lines and tables that the page and the plain text both show.

Plain text is at most `WIDE` characters wide, for a terminal or a till printer; columns stand under their headings.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from textwrap import TextWrapper
from typing import Any

from ...source.quantity import show_number
from ...source.units import UNITS
from ..drawing.pieces import ON_SIDE, PAIRS, SINGLES, WHOLE
from ..house.columns import telling
from ..house.document import printable
from ..house.prices import HOUR
from ..house.work import Work
from . import buying
from .lay import MOST

FASTENINGS = {"hook": "hooks", "loop": "loops or eyes", "buttonhole": "buttonholes to work"}
WIDE = 100
MARK = "Cutting list made by tapeline"  # the text's last line, in any language
FROM = {
    "asked": "asked for",
    "style": "stated by the style",
    "house": "stated by the house",
    "usual": "not stated: a common width, not from a source",
}
LAYS = {"folded": "folded along its length", "open": "open, one layer"}
METHOD = (
    "The program laid the pieces itself: one after another, each at the first place from the beginning of the cloth where it "
    "fits, in several orders, of which the shortest is shown, its pieces moved forward where there was room.",
    "The same pieces are always laid in the same way. A practised cutter may do better, by hollows that open to the side.",
    "The least possible length is the area of all pieces over the width, or the longest piece where that is more; no lay can be "
    "shorter.",
    "Pieces touch; their seam allowances are counted. Nothing is added for shrinking or straight ends, nor for patterns to match "
    "where the style states none.",
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


class ListWords:
    """Words and figures as the house writes them."""

    def __init__(self, work: Work) -> None:
        self.unit, self.house, self.say = work.unit, work.house, work.house.say

    def length(self, mm: float) -> str:
        return self.house.show(mm, self.unit)

    def about(self, mm: float) -> str:
        """A length of cloth: to the tenth of a centimetre or inch."""
        unit = UNITS[UNITS[self.unit].told_in]
        return self.house.figures(f"{show_number(mm / unit.mm, 1)} {unit.word}")

    def to_buy(self, mm: float) -> str:
        """The next length that cloth is bought by."""
        return buying.in_words(mm, self.unit)

    def area(self, square_mm: float) -> str:
        inches = self.unit == "in"
        figure = f"{square_mm / (buying.YARD**2 if inches else 1e6):.2f}"
        return self.house.figures(self.say("{figure} square yards" if inches else "{figure} m\u00b2", figure=figure))

    def layer(self, purpose: str) -> str:
        return self.house.call(purpose) if purpose else self.say("the garment")

    def how_cut(self, row: dict[str, Any]) -> str:
        """How often and in which way a piece is cut."""
        count = str(row["count"])
        if row["for"]:
            count = self.say("{count} for {purpose}", count=count, purpose=self.layer(row["for"]))
        if row["fold"]:
            return self.say("{cut}, on the fold at {edge}", cut=count, edge=self.house.call(row["fold"]))
        if row["paired"]:
            pairs = row["count"] // 2
            words = PAIRS.get(row["hand"], "{cut}, a mirrored pair") if pairs == 1 else "{cut}, {pairs} mirrored pairs"
            return self.say(words, cut=count, pairs=pairs)
        if row["alike"]:
            return self.say("{cut}, all alike", cut=count)
        form = WHOLE if row.get("differs") else SINGLES.get(row["hand"])
        return count if form is None else self.say(form, cut=count)

    def thread(self, degrees: float) -> str:
        """Where the lengthwise thread runs in a piece as drawn, from its angle to the plumb."""
        if degrees < 0.005:
            return self.say("straight down")
        if degrees > 89.995:
            return self.say("straight across")
        return self.house.figures(self.say("{degrees} deg from straight down", degrees=show_number(degrees, 2)))

    def money(self, amount: str, currency: str) -> str:
        return f"{self.house.figures(amount)} {currency}".strip()


def write_text(data: dict[str, Any], work: Work) -> str:
    """The list as plain text."""
    below = [*work.notes, *about_body(data, work), *work.heading.facts()]
    lines = [heading(data, work), *(line for note in below for line in wrap(note, WIDE)), ""]
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


def heading(data: dict[str, Any], work: Work) -> str:
    style, house = data["style"], work.house
    words = "{house}: cutting list of {title} for {name}" if house.name else "Cutting list of {title} for {name}"
    return house.say(words, house=house.name, title=f"{style['title']} {style['version']}".strip(), name=data["body"])


def about_body(data: dict[str, Any], work: Work) -> list[str]:
    """What the body's card says of itself."""
    return [work.house.say("Note of the card: {note}", note=data["note"])] if data["note"] else []


def sections(data: dict[str, Any], work: Work) -> list[ListSection]:
    """All that the list has to say, in the order of the work: fittings, cloth, pieces, what is sewn in, edges."""
    words = ListWords(work)
    numbers = {row["name"]: row["number"] for row in data["pieces"]}
    candidates = [
        _fittings(work, words),
        _pieces(data, words),
        *(_cloth(cloth, numbers, words) for cloth in data["cloths"]),
        _notions(data, words),
        _bones(data, words),
        _edges(data, words),
        _cost(data, words),
        ListSection(words.say("How the cloth was reckoned"), [" ".join(map(words.say, METHOD))]),
    ]
    for section in candidates:
        shown = telling(section.rows, len(section.heads))
        section.heads = tuple(words.say(section.heads[k]) for k in shown)
        section.rows = [tuple(row[k] for k in shown) for row in section.rows]
    return [section for section in candidates if section.rows or section.lines]


def _fittings(work: Work, words: ListWords) -> ListSection:
    rows = [
        (one.day.isoformat() if k == 0 else "", line, " ".join(one.notes) if k == 0 else "")
        for one in work.fittings
        for k, line in enumerate(one.lines or ("",))
    ]
    return ListSection(words.say("Fittings that this draft has taken"), [], ("date", "change", "note"), rows)


def _pieces(data: dict[str, Any], words: ListWords) -> ListSection:
    say, rows = words.say, []
    for row in data["pieces"]:
        size = f"{words.about(row['across']).split()[0]} x {words.about(row['along'])}"
        rows.append((str(row["number"]), words.house.call(row["title"]), words.how_cut(row), words.thread(row["grain"]), size))
        for layer in row["layers"]:
            form = "also {count} for {purpose}, along the stitching line" if layer["net"] else "also {count} for {purpose}"
            also = say(form, count=layer["count"], purpose=words.layer(layer["for"]))
            rows.append(("", "", also, "", ""))
    notes = [say("Sizes are across and along the grain line, as cut, seam allowances included.")]
    if any(row["fold"] for row in data["pieces"]):
        notes[0] += " " + say("A piece cut on the fold is given by its half.")
    if not data["allowances"]:
        notes.append(say("The style gives no seam allowances: the pieces are net."))
    return ListSection(say("Pieces"), [], ("no.", "piece", "cut", "grain line", "size as cut"), rows, notes, tick=True)


def _cloth(cloth: dict[str, Any], numbers: dict[str, int], words: ListWords) -> ListSection:
    say = words.say
    nap = "with nap: all pieces one way up." if cloth["nap"] else "without nap: pieces may lie either way up."
    least = "the longest piece" if cloth["least"] <= cloth["longest"] + 1e-6 else "their area over the width"
    lines = [
        say("{width} wide between the selvedges ({origin}),", width=words.about(cloth["width"]), origin=say(FROM[cloth["width_from"]]))
        + f" {say(nap)}",
        say(
            "The pieces cover {area}, of which seam allowances {allowances}. Least possible length: {least}, {which}.",
            area=words.area(cloth["area"]),
            allowances=words.area(cloth["allowances"]),
            least=words.about(cloth["least"]),
            which=say(least),
        ),
    ]
    lines += _matching(cloth, words)
    rows = []
    for lay in cloth["lays"]:
        length = lay["length"]
        rows.append(
            (
                say(LAYS[lay["kind"]]),
                words.about(length),
                f"{max(0.0, 100 * (length / cloth['least'] - 1)):.0f} %",
                f"{100 * cloth['area'] / (length * cloth['width']):.0f} %",
                words.about(lay["matching"]) if lay["matching"] else "",
                words.to_buy(length + lay["matching"]),
            )
        )
    heads = ("lay", "length", "above the least", "cloth used", "to match", "buy")
    title = say("Cloth for {layer}", layer=words.layer(cloth["for"]))
    if cloth["width_from"] == "asked":
        title += f", {words.about(cloth['width'])}"
    section = ListSection(title, lines, heads, rows, cloth=cloth)
    kinds = [lay["kind"] for lay in cloth["lays"]]
    if cloth["once"]:
        section.notes.append(say("Each piece is cut once: lay the cloth open, in one layer."))
    elif kinds == ["folded"]:
        section.notes.append(say("No shorter lay was found on open cloth."))
    elif kinds == ["open"]:
        section.notes.append(say("Folded along its length the cloth is too narrow for a piece, so it is laid open."))
    for row in cloth["too_wide"]:
        section.lines.append(
            say(
                TURNED if cloth["lays"] else NOT_LAID,
                piece=words.house.call(row["piece"]),
                across=words.about(row["across"]),
            )
        )
    if not cloth["lays"] and not cloth["too_wide"]:
        section.lines.append(say("There are more than {most} pieces; a lay of so many is not tried.", most=MOST))
    single = sorted({numbers[row["piece"]] for lay in cloth["lays"] if lay["kind"] == "folded" for row in single_places(lay)})
    if single:
        section.notes.append(
            say(
                'On folded cloth cut no. {list} where it is marked "one" through the upper layer only; what lies under it is left over.',
                list=", ".join(map(str, single)),
            )
        )
    facing = ", ".join(map(str, sorted(numbers[name] for name in cloth["facing"])))
    if facing and "open" in kinds:
        section.notes.append(say(OPEN_UP))
    if facing and "folded" in kinds:
        section.notes.append(say(FOLDED_UP, list=facing))
    return section


OPEN_UP = "On open cloth the right side of the cloth lies up."
FOLDED_UP = "Fold the cloth wrong sides together, its right side up: folded right sides together it would give no. {list} mirrored."
TURNED = (
    "{piece} is {across} across its thread and does not fit on this cloth as the style wants it; here it lies turned by a quarter, "
    "its thread across the cloth. Else take cloth at least so wide, or plan a seam in the piece."
)
NOT_LAID = (
    "{piece} is {across} across its thread and does not fit on this cloth as the style wants it. So take cloth at least so wide, or "
    "plan a seam in the piece."
)


def _matching(cloth: dict[str, Any], words: ListWords) -> list[str]:
    """How stripes or checks are allowed for."""
    if not cloth["repeat"] or not cloth["lays"]:
        return []
    say, lay = words.say, cloth["lays"][-1]
    stripes = "Checks of {repeat}: " if cloth["checked"] else "Stripes of {repeat}: "
    lines = say(stripes, repeat=words.length(cloth["repeat"])) + say(
        "one repeat is added for each of the {count} pieces that lie one after another, so that each can begin where it matches.",
        count=lay["lengths"],
    )
    if cloth["checked"]:
        lines += " " + say("Beside each piece off the fold a repeat is left free.")
    return [lines]


def single_places(lay: dict[str, Any]) -> list[dict[str, Any]]:
    """Places off the fold of folded cloth from which only one piece is wanted."""
    return [row for row in lay["laid"] if lay["kind"] == "folded" and row["copies"] == 1 and not row["on_fold"]]


def _notions(data: dict[str, Any], words: ListWords) -> ListSection:
    say, rows = words.say, []
    for row in data["zips"]:
        note = say("marked on {count} edges: one zip, if not planned otherwise", count=row["edges"]) if row["edges"] > 2 else ""
        where = say(" and ").join(f"{words.house.call(place['piece'])}, {words.house.call(place['edge'])}" for place in row["places"])
        where = say(ON_SIDE[row["side"]], place=where) if row["side"] else where
        rows.append((say("zip"), "1", say("opening {length}", length=words.length(row["opening"])), where, note))
    rows += [
        (say("buttons"), str(row["count"]), words.length(row["size"]), row["words"], "") for row in data["buttons"] if row["count"]
    ]
    for row in data["fastenings"]:
        size = "" if row["length"] is None else words.length(row["length"])
        rows.append((say(FASTENINGS[row["kind"]]), str(row["count"]), size, row["words"], ""))
    for row in data["tapes"]:
        each = say("{count} of {length}", count=row["count"], length=words.length(row["length"])) if row["count"] > 1 else ""
        note = "; ".join(filter(None, [row["words"], each]))
        rows.append(
            (say("tape"), "", words.length(row["total"]), f"{words.house.call(row['piece'])}, {words.house.call(row['edge'])}", note)
        )
    return ListSection(say("Notions: zip, buttons, hooks, tape"), [], ("what", "how many", "size", "where", ""), rows, tick=True)


def _bones(data: dict[str, Any], words: ListWords) -> ListSection:
    say = words.say
    rows = [
        (
            words.house.call(row["piece"]),
            words.house.call(row["name"]),
            str(row["count"]),
            words.length(row["length"]),
            words.length(row["channel"]),
        )
        for row in data["bones"]
    ]
    count = sum(row["count"] for row in data["bones"])
    total = words.about(sum(row["count"] * row["length"] for row in data["bones"]))
    note = say(
        "{count} bones, {length} in all. A bone is its channel less the clearance at both ends, rounded down to a length that the house has.",
        count=count,
        length=total,
    )
    heads = ("piece", "channel", "how many", "bone", "channel length")
    return ListSection(say("Bones"), [], heads, rows, [note] if rows else [], tick=True)


def _edges(data: dict[str, Any], words: ListWords) -> ListSection:
    say = words.say
    rows = [
        (
            say(row["kind"]) + (f", {words.layer(row['for'])}" if row["for"] else ""),
            words.length(row["width"]),
            words.about(row["length"]),
        )
        for row in data["allowances"]
    ]
    note = say("Length as sewn, darts closed, over all pieces of the first layer; both sides of a seam count.")
    return ListSection(say("Hems and seam allowances"), [], ("kind", "width", "length in all"), rows, [note] if rows else [])


def _cost(data: dict[str, Any], words: ListWords) -> ListSection:
    """What it comes to by the house's prices; nothing where it states none."""
    say, cost = words.say, data["cost"]
    if cost is None:
        return ListSection("")
    rows = []
    for row in cost["rows"]:
        if row["per"] == HOUR:
            amount, per = say("{figure} hours", figure=words.house.figures(show_number(row["hours"], 2))), say("an hour")
        elif row["per"]:
            amount, per = words.about(row["length"]), say("a metre" if row["per"] == "m" else "a yard")
        else:
            amount, per = str(row["count"]), say("each")
        price = f"{words.house.figures(row['price'])} {per}"
        rows.append((words.house.call(row["what"]), amount, price, words.money(row["sum"], cost["currency"])))
    total = say("Together: {sum}.", sum=words.money(cost["total"], cost["currency"]))
    notes = [total] if rows else []
    if cost["without"]:
        without = ", ".join(words.house.call(what) for what in cost["without"])
        notes.append(say("The house states no price for: {list}.", list=without))
    return ListSection(say("What it costs by the house's prices"), [], ("what", "how much", "price", "cost"), rows, notes)


def wrap(words: str, width: int) -> list[str]:
    """The words in lines no longer than `width`; a word that is longer stands on a line of its own, whole."""
    return TextWrapper(width, break_long_words=False, break_on_hyphens=False).wrap(words)


def _table(heads: Sequence[str], rows: Iterable[tuple[str, ...]]) -> list[str]:
    """Rows under their headings, columns two blanks apart; where a row is too wide the widest columns are wrapped, none below its
    longest word."""
    table = [tuple(heads), *rows]
    widths = [max(len(row[k]) for row in table) for k in range(len(heads))]
    least = [max(12, *(len(word) for row in table for word in ("", *row[k].split()))) for k in range(len(heads))]
    while sum(widths) + 2 * (len(widths) - 1) > WIDE:
        wider = [k for k in range(len(heads)) if widths[k] > least[k]]
        if not wider:
            break
        widths[max(wider, key=lambda k: widths[k])] -= 1
    lines = []
    for row in table:
        cells = [wrap(cell, width) or [""] if width else [""] for cell, width in zip(row, widths, strict=True)]
        lines += [
            "  ".join((cell[k] if k < len(cell) else "").ljust(width) for cell, width in zip(cells, widths, strict=True))
            for k in range(max(map(len, cells)))
        ]
    return lines
