"""A client's order: a small TOML text that says for whom which style is drafted, how, on which papers, and by when.

    client   = "nell"                # her card: the bare name of one beside the order, or of one that comes with the program, or a path
    style    = "corselet_skirt"      # likewise
    version  = "1.0"                 # of the style as it was ordered
    house    = "quay_row"            # likewise
    papers   = "pdf, list"           # as --papers; none said: the drawing
    paper    = "A4"                  # as --paper, instead of the house's
    cloth    = "150 cm"              # as --cloth: text, or several in a list
    bought   = "2.4 m"               # cloth bought, for the outside; a list for more: ["2.4 m", "1 m for lining"]
    date     = "2026-11-30"          # on which it was ordered
    due      = "2026-12-12"
    fittings = "2026-12-05"          # those up to this date; "none": none.  Not said: all up to the day of the draft
    measured = "2026-11-20"          # the measuring that counts, as --measured
    number   = "41"                  # what stands on anonymous papers
    note     = "to wear with the long jacket"

    [choices]
    length = "62 cm"

Only client and style must be said.  Reading reports every fault at once; writing an order and reading it again gives the same
order.  Nothing is opened here: what a name leads to is told by `orders.opening`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date as Day
from datetime import datetime
from pathlib import PurePath
from typing import Any, NamedTuple

from ..bodies.card import one_line
from ..bodies.measurings import When
from ..bodies.reading import mended_length, shortened
from ..bodies.toml_text import Places, read_toml, toml_lines, toml_text
from ..paper.house.asked import read_asked
from ..paper.house.paper_sizes import read_paper
from ..paper.kinds import ALL, KINDS, USUAL, UnknownKind, kinds_in
from ..source.diagnostics import CAUTION, Diagnostic, Refused, has_errors
from ..source.quantity import read_length
from ..source.suggest import did_you_mean
from ..source.text import Source, Span

NONE = "none"  # no fittings
MOST_BOUGHT = 200_000.0  # mm; our own, above which a slip of the unit is likelier
OUTSIDE = ""
_LONGEST_NAME = 200
_NUMBER = re.compile(r"[\w.-]{1,20}")


class Bought(NamedTuple):
    """A length of cloth that was bought: mm, as written, what it is for, and where the order says so."""

    mm: float
    written: str
    purpose: str  # as a piece says it; "" for the outside
    span: Span


@dataclass(frozen=True, slots=True)
class ClientOrder:
    """One order.  `name` is that of its file, without ending; `spans` tells where each key's value stands, and counts for nothing
    when orders are compared."""

    name: str
    client: str
    style: str
    version: str = ""
    house: str = ""
    papers: tuple[str, ...] = USUAL
    paper: tuple[str, ...] = ()
    cloth: tuple[str, ...] = ()
    bought: tuple[str, ...] = ()
    date: Day | None = None
    due: Day | None = None
    measured: Day | None = None
    fittings: Day | None = None  # the last that counts
    unfitted: bool = False
    number: str = ""
    note: str = ""
    choices: Mapping[str, str] = field(default_factory=dict)
    lengths: tuple[Bought, ...] = field(default=(), compare=False, repr=False)
    spans: Mapping[str, Span] = field(default_factory=dict, compare=False, repr=False)

    def when(self, day: Day) -> When:
        """Which measuring of the card counts in a draft of a day."""
        return When(self.measured, True) if self.measured is not None else When(day)

    @property
    def settings(self) -> list[str]:
        """The choices as they are typed."""
        return [f"{name}={value}" for name, value in self.choices.items()]

    def at(self, key: str) -> Span | None:
        """Where the order says it, or else begins."""
        return self.spans.get(key) or self.spans.get("")


def read_order(source: Source) -> tuple[ClientOrder | None, list[Diagnostic]]:
    """The order in a TOML text, or None where a diagnostic is an error.  B101, B102, O100 to O103."""
    data, places, diagnostics = read_toml(source)
    if data is None:
        return None, diagnostics
    order = _OrderReader(source, places, diagnostics).read(data)
    return (None if has_errors(diagnostics) else order), diagnostics


def read_date(value: object) -> Day | None:
    """A day in a TOML value: 2026-11-30, with or without quotation marks."""
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, Day):
        return value
    try:
        return Day.fromisoformat(value.strip()) if isinstance(value, str) and len(value.strip()) == 10 else None
    except ValueError:
        return None


class _OrderReader:
    """Collects what one order says, and all that is wrong with it."""

    def __init__(self, source: Source, places: Places, diagnostics: list[Diagnostic]):
        self.source, self.places, self.diagnostics = source, places, diagnostics
        self.whole = not diagnostics

    def read(self, data: Mapping[str, Any]) -> ClientOrder:
        readers: dict[str, Callable[[str, Any], Any]] = {
            "client": self._name,
            "style": self._name,
            "version": self._text,
            "house": self._name,
            "papers": self._papers,
            "paper": self._paper,
            "cloth": self._cloth,
            "bought": self._bought,
            "date": self._date,
            "due": self._date,
            "measured": self._date,
            "fittings": self._fittings,
            "number": self._number,
            "note": self._text,
            "choices": self._choices,
        }
        said: dict[str, Any] = {}
        for key, value in data.items():
            reader = readers.get(key)
            if reader is None:
                self._unknown(key, readers)
                continue
            try:
                said[key] = reader(key, value)
            except Refused as refused:
                self.diagnostics.append(refused.diagnostic)
        for key in ("client", "style"):
            if key not in data and self.whole:
                self._missing(key)
        spans = {key: self.places.value("", key) for key in said if key != "choices"} | {"": self.places.start()}
        spans |= {f"choices.{name}": self.places.value("choices", name) for name in said.get("choices", {})}
        fitted = said.pop("fittings", None)
        lengths = said.pop("bought", ())
        order = ClientOrder(
            name=PurePath(self.source.name.replace("\\", "/")).stem,
            client=said.pop("client", ""),
            style=said.pop("style", ""),
            bought=tuple(length.written for length in lengths),
            lengths=lengths,
            fittings=None if fitted == NONE else fitted,
            unfitted=fitted == NONE,
            spans=spans,
            **said,
        )
        self._check_days(order)
        return order

    def _unknown(self, key: str, readers: Iterable[str]) -> None:
        self.diagnostics.append(
            Diagnostic(
                "O100",
                f"An order has no {shortened(key, 30)}",
                self.places.key("", key),
                ", ".join(readers),
                suggestion=did_you_mean(key[:60], readers),
            )
        )

    def _missing(self, key: str) -> None:
        example = {"client": 'client = "nell"', "style": 'style = "straight_skirt"'}[key]
        self.diagnostics.append(
            Diagnostic("O102", f"The order says no {key}", self.places.start(), f"a line such as {example}", "none", f"Add {example}")
        )

    def _check_days(self, order: ClientOrder) -> None:
        if order.date is not None and order.due is not None and order.due < order.date:
            self.diagnostics.append(
                Diagnostic(
                    "O103",
                    "The order is due before it was given",
                    order.at("due"),
                    f"a day after {order.date.isoformat()}",
                    order.due.isoformat(),
                    "Put one of the two dates right.",
                    ((self.places.value("", "date"), "ordered"),),
                    severity=CAUTION,
                )
            )

    def _refused(self, key: str, expected: str, way_out: str = "", table: str = "") -> Refused:
        return Refused(
            Diagnostic(
                "O101",
                f"{shortened(key, 30)} of the order cannot be read",
                self.places.value(table, key),
                expected,
                shortened(self.places.value(table, key).text) or "nothing",
                way_out,
            )
        )

    # ------------------------------------------------------------------------------- one function a kind of value

    def _text(self, key: str, value: object) -> str:
        if isinstance(value, str):
            return one_line(value)
        raise self._refused(key, f'a text in quotation marks: {key} = "..."')

    def _name(self, key: str, value: object) -> str:
        if isinstance(value, str) and 0 < len(value.strip()) <= _LONGEST_NAME and value.isprintable():
            return value.strip()
        raise self._refused(key, f'a name or a path in quotation marks: {key} = "..."')

    def _texts(self, key: str, value: object) -> tuple[str, ...]:
        texts = value if isinstance(value, list) else [value]
        found = tuple(one_line(text) for text in texts if isinstance(text, str) and text.strip())
        if found and len(found) == len(texts):
            return found
        raise self._refused(key, f'a text in quotation marks, or several in a list: {key} = ["...", "..."]')

    def _papers(self, key: str, value: object) -> tuple[str, ...]:
        try:
            return kinds_in(",".join(self._texts(key, value)))
        except UnknownKind:
            known = f"{', '.join(KINDS)} or {ALL}"
            raise self._refused(key, f'kinds of papers, {known}: papers = "pdf, list"') from None

    def _paper(self, key: str, value: object) -> tuple[str, ...]:
        texts = self._texts(key, value)
        for words in (part for text in texts for part in text.split(",")):
            paper, diagnostics = read_paper(words, self.places.value("", key))
            if paper is None:
                raise Refused(diagnostics[0])
        return texts

    def _cloth(self, key: str, value: object) -> tuple[str, ...]:
        texts = self._texts(key, value)
        try:
            read_asked(cloths=texts)
        except Refused:
            raise self._refused(
                key, 'a width of cloth with its unit, and perhaps what it is for: "150 cm", "90 cm for lining"'
            ) from None
        return texts

    def _bought(self, key: str, value: object) -> tuple[Bought, ...]:
        found = []
        for text in self._texts(key, value):
            figure, _, purpose = text.partition(" for ")
            length = read_length(figure)
            if length is None or not length[1] or not 0 < length[0] <= MOST_BOUGHT:
                mended = mended_length(figure)
                way_out = f'Write bought = "{mended}".' if mended and mended != figure and not isinstance(value, list) else ""
                raise self._refused(
                    key, 'a length of cloth with its unit, and perhaps what it is for: "2.4 m", "1 m for lining"', way_out
                )
            found.append(Bought(float(length[0]), text, purpose.strip().strip('"'), self.places.value("", key)))
        return tuple(found)

    def _date(self, key: str, value: object) -> Day:
        day = read_date(value)
        if day is None:
            raise self._refused(key, f'a date as year, month and day: {key} = "2026-11-30"')
        return day

    def _fittings(self, key: str, value: object) -> Day | str:
        if value == NONE:
            return NONE
        day = read_date(value)
        if day is None:
            raise self._refused(key, f'the date of the last fitting that counts, fittings = "2026-11-30", or "{NONE}"')
        return day

    def _number(self, key: str, value: object) -> str:
        text = str(value) if isinstance(value, int) and not isinstance(value, bool) else value
        if isinstance(text, str) and _NUMBER.fullmatch(text):
            return text
        raise self._refused(key, 'a short number or word of letters and digits: number = "41"')

    def _choices(self, key: str, table: object) -> dict[str, str]:
        if not isinstance(table, dict):
            raise Refused(
                Diagnostic(
                    "O101",
                    "choices is not a table",
                    self.places.key("", key),
                    'a line [choices] and below it lines such as length = "62 cm"',
                )
            )
        found = {}
        for name, value in table.items():
            if isinstance(value, bool):
                found[name] = "yes" if value else "no"
            elif isinstance(value, (int, float)):
                found[name] = repr(value)
            elif isinstance(value, str):
                found[name] = one_line(value)
            else:
                self.diagnostics.append(self._refused(name, f'a text in quotation marks: {name} = "62 cm"', table=key).diagnostic)
        return found


def write_order(order: ClientOrder) -> str:
    """The order as TOML text, which `read_order` reads to an equal one."""
    said: dict[str, str | tuple[str, ...]] = {
        "client": order.client,
        "style": order.style,
        "version": order.version,
        "house": order.house,
        "papers": ", ".join(order.papers) if order.papers != USUAL else "",
        "paper": order.paper,
        "cloth": order.cloth,
        "bought": order.bought,
        "date": order.date.isoformat() if order.date is not None else "",
        "due": order.due.isoformat() if order.due is not None else "",
        "measured": order.measured.isoformat() if order.measured is not None else "",
        "fittings": NONE if order.unfitted else order.fittings.isoformat() if order.fittings is not None else "",
        "number": order.number,
        "note": order.note,
    }
    width = max(len(key) for key, value in said.items() if value)
    lines = [f"{key:<{width}} = {_written(value)}" for key, value in said.items() if value]
    if order.choices:
        lines += ["", "[choices]", *toml_lines(order.choices)]
    return "\n".join(lines) + "\n"


def _written(value: str | tuple[str, ...]) -> str:
    if isinstance(value, str):
        return toml_text(value)
    texts = [toml_text(text) for text in value]
    return texts[0] if len(texts) == 1 else f"[{', '.join(texts)}]"
