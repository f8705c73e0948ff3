"""What a house decides about its papers, so that two workshops can draft one style each in its own way.

A `House` says how lengths are written, on which paper drawings are printed, how notches are drawn, which allowances the house
uses where a style names none, what cloth it usually buys, and in which language drawings are labelled.  A style never names
a house; the same style runs under any.

A house file is TOML.  Nothing in it must be said:

    name       = "Quay Row"         # shown on the papers
    unit       = "in"               # cm, mm or in; else that of the body card
    fraction   = 8                  # inches are written to 1/8; 2, 4, 8, 16, 32 or 64
    paper      = "roll 36 in"       # as `pages` reads it
    overlap    = "10 mm"            # that neighbouring pages share
    notch      = "triangle"         # line, triangle or slit
    language   = "de"               # of the fixed words on drawings
    cloth      = "150 cm"           # width, where a style states none
    nap        = true               # of that cloth
    drill      = "1/2 in"           # how far short of a dart's point a hole is drilled; "0 cm": no holes
    bones      = ["10 cm", "12 cm"] # the lengths in which bones are kept, or one text: the step from length to length

    [allowances]                      # see finishing.usual
    seam   = "5/8 in"
    zip    = "3/4 in"               # for zip, if no kind is said
    hem    = "1 1/2 in turned up"
    others = "1/2 in plain"

What it pays for cloth and work may stand there as well: see `prices`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from ...bodies.card import one_line
from ...bodies.reading import mended_length, shortened
from ...bodies.toml_text import Places, read_toml
from ...finishing.drills import BACK_OFF
from ...finishing.usual import SORTS, ZIP, UsualAllowance
from ...meaning.cutting import ALLOWANCE_KINDS, PLAIN_ALLOWANCE
from ...source.diagnostics import CAUTION, ERROR, Diagnostic, Refused, has_errors
from ...source.quantity import read_length, show_figure, show_length
from ...source.suggest import did_you_mean, nearest
from ...source.text import Source, Span
from ...source.units import LENGTHS, SHOWN, UNITS, pattern
from .asked import NARROWEST_CLOTH, WIDEST_CLOTH
from .paper_sizes import read_paper
from .prices import HOUR, PER, Price, Prices, read_hours, read_price
from .words import DECIMAL_MARKS, LANGUAGES, in_language

NOTCHES = ("line", "triangle", "slit")
FRACTIONS = (2, 4, 8, 16, 32, 64)
SEAM_FRACTION = 16  # parts of an inch to which the two sides of a seam are compared, at least
_DECIMAL_POINT = re.compile(r"(?<=\d)\.(?=\d)")
WIDEST_BACK_OFF, LONGEST_BONE = 50.0, 1000.0  # mm; our own
NEAR = 1e-6
WIDEST_OVERLAP, WIDEST_ALLOWANCE = 100.0, 500.0  # mm; our own, above which a slip of the unit is likelier


@dataclass(frozen=True, slots=True)
class House:
    name: str = ""  # of the workshop, shown on the papers
    unit: str = ""  # "cm", "mm" or "in"; empty: the body card's
    fraction: int = 16  # inches are written to 1/fraction
    paper: str = ""  # a name of `paper_sizes.PAPERS`, or "roll 36 in"; empty: A4 and Letter alike
    overlap: float = 10.0  # mm that neighbouring tiles share; zero: butt edges
    notch: str = "line"  # one of NOTCHES
    language: str = "en"
    allowances: Mapping[str, UsualAllowance] = field(default_factory=dict)  # an edge's name or its sort -> allowance
    cloth: float = 0.0  # mm between the selvedges of the usual cloth; zero: not said
    nap: bool = False
    prices: Prices = field(default_factory=Prices)
    drill: float = BACK_OFF  # mm short of a dart's point
    bones: tuple[float, ...] | float = ()  # mm: lengths of bones, or the step between them; nothing: any that can be written
    decimal_mark: str = ""  # of figures; empty: that of the language

    def show(self, mm: float, unit: str) -> str:
        """A length as this house writes it, the same on every paper: to its own fraction, without a sign that it was rounded."""
        return self.figures(show_length(mm, unit, self.fraction).removeprefix("~"))

    def step(self, unit: str) -> float:
        """To how many mm this house writes lengths of a unit."""
        shown = UNITS[unit].shown
        return shown.mm / self.fraction if shown.fractions else shown.mm * 0.1**shown.fineness

    def stepped(self, mm: float, unit: str) -> float:
        """A length, or a difference of either sign, as `show` rounds it, in mm."""
        return math.copysign(round(abs(mm) / self.step(unit)) * self.step(unit), mm) if math.isfinite(mm) else mm

    def bone(self, mm: float, unit: str) -> float:
        """The longest bone of the house, in mm, that is no longer than this; where none is so short, the length rounded down."""
        if not math.isfinite(mm):
            return math.nan
        if isinstance(self.bones, tuple):
            kept = [bone for bone in self.bones if bone <= mm + NEAR]
            if kept:
                return max(kept)
        step = self.bones if isinstance(self.bones, float) else 0.0
        if not step > 0.0 or step > mm:
            step = UNITS["in"].mm / self.fraction if UNITS[unit].shown.fractions else 1.0
        return math.floor(mm / step + NEAR) * step

    def signed(self, mm: float, unit: str) -> str:
        """A difference with its sign, rounded as a length is; nothing is said of so little that it shows as nothing."""
        return _with_sign(mm, self.show(abs(mm), unit))

    def seam_difference(self, mm: float, unit: str) -> str:
        """How far two sewn edges differ, with its sign: finer than lengths, as seams are held to 1/16 in or 1.6 mm."""
        return _with_sign(mm, self.seam_tolerance(abs(mm), unit))

    def seam_tolerance(self, mm: float, unit: str) -> str:
        shown = show_length(mm, unit, max(self.fraction, SEAM_FRACTION)) if UNITS[unit].shown.fractions else show_length(mm, "mm")
        return self.figures(shown)

    def quantity(self, value: float, kind: str, unit: str) -> str:
        """A value of some kind (length, angle, condition, or a plain number) as this house writes it."""
        return self.show(value, unit) if kind == "length" else self.figures(show_figure(value, kind, unit))

    def figures(self, words: str) -> str:
        """Figures with the decimal mark of the house's language."""
        mark = self.decimal_mark or DECIMAL_MARKS[self.language]
        return words if mark == "." else _DECIMAL_POINT.sub(mark, words)

    def in_english(self) -> House:
        """This house for papers that speak English only: its own figures, English words."""
        return replace(self, language="en", decimal_mark=self.decimal_mark or DECIMAL_MARKS[self.language])

    def say(self, words: str, **figures: object) -> str:
        """Fixed English words in this house's language (see `words`)."""
        return in_language(self.language, words, **figures)

    def call(self, name: str) -> str:
        """A name or a title of the text as papers have it: underscores as blanks, in this house's language where it is in common use."""
        words, comma, side = name.replace("_", " ").rpartition(", ")
        if side in ("left", "right"):  # of a client whose sides differ
            return f"{in_language(self.language, words)}{comma}{in_language(self.language, side)}"
        return in_language(self.language, f"{words}{comma}{side}")


USUAL = House()  # where no house is named


def _with_sign(mm: float, shown: str) -> str:
    shown = shown.removeprefix("~")
    return "0" if not re.search("[1-9]", shown) else f"{'+' if mm > 0 else '-'}{shown}"


def read_house(source: Source) -> tuple[House | None, list[Diagnostic]]:
    """The house in a TOML text, or None where a diagnostic is an error.  Codes H101 to H103, and those of the paper."""
    data, places, diagnostics = read_toml(source)
    if data is None:
        return None, diagnostics
    house = _Reader(source, places, diagnostics).read(data)
    return (None if has_errors(diagnostics) else house), diagnostics


class _Reader:
    """Collects the settings of one house file and all that is wrong with them."""

    def __init__(self, source: Source, places: Places, diagnostics: list[Diagnostic]):
        self.source, self.places, self.diagnostics = source, places, diagnostics

    def read(self, data: Mapping[str, Any]) -> House:
        readers: dict[str, Callable[[str, Any], Any]] = {
            "name": self._name,
            "unit": self._one_of(SHOWN),
            "fraction": self._fraction,
            "paper": self._paper,
            "overlap": self._length(0.0, WIDEST_OVERLAP),
            "notch": self._one_of(NOTCHES),
            "language": self._language,
            "cloth": self._length(NARROWEST_CLOTH, WIDEST_CLOTH),
            "nap": self._yes_or_no,
            "drill": self._length(0.0, WIDEST_BACK_OFF),
            "bones": self._bones,
            "allowances": self._allowances,
            "currency": self._name,
            "prices": self._prices,
            "labour": self._labour,
        }
        settings = {}
        for key, value in data.items():
            reader = readers.get(key)
            if reader is None:
                self._add(
                    "H101",
                    f"A house file has no {shortened(key, 30)}",
                    self.places.key("", key),
                    expected=", ".join(readers),
                    suggestion=did_you_mean(key[:60], readers),
                )
                continue
            try:
                read = reader(key, value)
            except Refused as refused:
                self.diagnostics.append(refused.diagnostic)
                continue
            if read is not None:
                settings[key] = read
        labour = settings.pop("labour", {})
        prices = Prices(settings.pop("currency", ""), settings.pop("prices", {}), labour.pop(HOUR, None), labour)
        return House(**settings, prices=prices)

    def _add(
        self, code: str, title: str, span: Span, expected: str, found: str = "", suggestion: str = "", severity: str = ERROR
    ) -> None:
        self.diagnostics.append(Diagnostic(code, title, span, expected, found, suggestion, severity=severity))

    def _refused(self, table: str, key: str, expected: str, found: object, way_out: str = "") -> Refused:
        return Refused(
            Diagnostic(
                "H102",
                f"{shortened(key, 30)} of the house cannot be read",
                self.places.value(table, key),
                expected=expected,
                found=shortened(found if isinstance(found, str) else self.places.value(table, key).text) or "nothing",
                suggestion=way_out,
            )
        )

    # ------------------------------------------------------------------------------- one function a kind of setting

    def _name(self, key: str, value: object) -> str:
        if isinstance(value, str):
            return one_line(value)
        raise self._refused("", key, 'a text in quotation marks, such as name = "Quay Row"', value)

    def _one_of(self, allowed: Collection[str]) -> Callable[[str, object], str]:
        def read(key: str, value: object) -> str:
            if isinstance(value, str) and value in allowed:
                return value
            raise self._refused(
                "",
                key,
                "one of: " + ", ".join(f'"{word}"' for word in allowed),
                value,
                did_you_mean(value[:60], allowed) if isinstance(value, str) else "",
            )

        return read

    def _fraction(self, key: str, value: object) -> int:
        if isinstance(value, int) and not isinstance(value, bool) and value in FRACTIONS:
            return value
        raise self._refused("", key, f"one of: {', '.join(map(str, FRACTIONS))}", value, "Write fraction = 8 for eighths of an inch.")

    def _yes_or_no(self, key: str, value: object) -> bool:
        if isinstance(value, bool):
            return value
        raise self._refused("", key, "true or false", value)

    def _paper(self, key: str, value: object) -> str | None:
        if not isinstance(value, str):
            raise self._refused("", key, 'a text in quotation marks, such as paper = "A4"', value)
        paper, diagnostics = read_paper(value, self.places.value("", key))
        self.diagnostics += diagnostics
        return None if paper is None else value

    def _language(self, key: str, value: object) -> str | None:
        if not isinstance(value, str) or not re.fullmatch(r"[a-z]{2,3}(-[A-Za-z0-9]{1,8})*", value):
            raise self._refused("", key, f"a code of a language: {', '.join(LANGUAGES)}", value)
        language = value.partition("-")[0]
        if language in LANGUAGES:
            return language
        self._add(
            "H103",
            "No words of drawings are known in this language",
            self.places.value("", key),
            expected=", ".join(LANGUAGES),
            found=shortened(value),
            suggestion="English is used.",
            severity=CAUTION,
        )
        return None

    def _length(self, least: float, most: float) -> Callable[[str, object], float]:
        expected = f"a length with its unit, {show_length(least, 'cm')} to {show_length(most, 'cm')}"

        def read(key: str, value: object) -> float:
            length = read_length(value) if isinstance(value, str) else None
            if length is None or not (length[1] or length[0] == 0) or not least <= length[0] <= most:
                raise self._refused("", key, expected, value, self._mended("", key, value))
            return float(length[0])

        return read

    def _bones(self, key: str, value: object) -> tuple[float, ...] | float:
        expected = 'lengths with their units, ["10 cm", "12 cm"], or the step from length to length, "1/2 in"'
        texts = value if isinstance(value, list) else [value]
        lengths = [read_length(text) if isinstance(text, str) else None for text in texts]
        if not lengths or any(length is None or not length[1] or not 0 < length[0] <= LONGEST_BONE for length in lengths):
            raise self._refused(
                "",
                key,
                expected,
                value if isinstance(value, str) else "",
                "" if isinstance(value, list) else self._mended("", key, value),
            )
        known = [float(length[0]) for length in lengths if length is not None]
        return tuple(sorted(known)) if isinstance(value, list) else known[0]

    def _mended(self, table: str, key: str, value: object) -> str:
        """The setting as it was perhaps meant, where only its writing is wrong."""
        mended = mended_length(value if isinstance(value, str) else self.places.value(table, key).text)
        return f'Write {shortened(key, 30)} = "{mended}".' if mended and mended != value else ""

    def _prices(self, key: str, table: object) -> dict[str, Price] | None:
        expected = f'a sum as in "3.20", or for a length as in "24.00 per {PER[0]}" (or {PER[1]})'
        return self._table(key, table, 'cloth = "24.00 per m"', lambda name, value: read_price(value), expected)

    def _labour(self, key: str, table: object) -> dict[str, Any] | None:
        def read(name: str, value: object) -> Any:
            if name != HOUR:
                return read_hours(value)
            price = read_price(value)
            return None if price is None or price.per else price.amount

        return self._table(key, table, 'hour = "18.00"', read, 'what an hour costs, as in hour = "18.00", or the hours of a style')

    def _table(self, key: str, table: object, example: str, read: Callable[[str, object], Any], expected: str) -> dict[str, Any] | None:
        """A table each of whose values is read alike; what cannot be read is told."""
        if not isinstance(table, dict):
            self._add("H102", f"{key} is not a table", self.places.key("", key), f"a line [{key}] and below it lines such as {example}")
            return None
        found = {}
        for name, value in table.items():
            one = read(name, value)
            if one is None:
                self.diagnostics.append(self._refused(key, name, expected, value).diagnostic)
            else:
                found[name] = one
        return found

    def _allowances(self, key: str, table: object) -> dict[str, UsualAllowance] | None:
        if not isinstance(table, dict):
            self._add(
                "H102",
                "allowances is not a table",
                self.places.key("", key),
                expected='a line [allowances] and below it lines such as seam = "1.5 cm"',
            )
            return None
        read = {}
        for name, value in table.items():
            folded = name.casefold().rstrip("s")
            near = [sort for sort in SORTS if sort != name and folded == sort.rstrip("s")]
            if near or not re.fullmatch(r"[A-Za-z_][A-Za-z0-9_]*", name):
                self._add(
                    "H101",
                    f"There is no sort of edge called {shortened(name, 24)}",
                    self.places.key(key, name),
                    expected=f"{', '.join(SORTS)}, or the name of an edge",
                    suggestion=did_you_mean(near[0], near) if near else "",
                )
                continue
            try:
                read[name] = self._allowance(key, name, value)
            except Refused as refused:
                self.diagnostics.append(refused.diagnostic)
        return read

    def _allowance(self, table: str, name: str, value: object) -> UsualAllowance:
        words = value if isinstance(value, str) else ""
        match = re.fullmatch(rf"\s*(.*?\d\s*(?:{pattern(LENGTHS)})|0)(?:\s+([a-z][a-z ]*?))?\s*", words)
        length = read_length(match[1]) if match else None
        kind = " ".join((match[2] or "").split()) if match else ""
        if match is None or length is None or not 0 <= length[0] <= WIDEST_ALLOWANCE:
            expected = f'a length with its unit, at most {show_length(WIDEST_ALLOWANCE, "cm")}, and perhaps its kind: "4 cm turned up"'
            raise self._refused(table, name, expected, value, self._mended(table, name, value))
        if kind and kind not in ALLOWANCE_KINDS:
            near = nearest(kind, ALLOWANCE_KINDS)
            raise self._refused(
                table,
                name,
                f"a kind of allowance: {', '.join(ALLOWANCE_KINDS)}",
                kind,
                f'Write {name} = "{match[1]} {near[0]}".' if near else "",
            )
        usual = "for zip" if name == ZIP else PLAIN_ALLOWANCE
        return UsualAllowance(float(length[0]), kind or usual, self.places.value(table, name))
