"""What can be asked about: the pages of the codes, and the measures of the standard library.

Every code has one Markdown page in `pages/`, called by the code: what the diagnostic means, an example that gives it, and the same
example mended.  Its first line is a heading, the code and a title.  What a measure is comes from its `measurement` statement.
"""

from __future__ import annotations

import math
import re
from functools import cache
from pathlib import Path
from typing import TextIO

from ..bodies.measurement import EACH, HALVES, Measurement
from ..source import former
from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from ..source.world import read_text, standard_folder
from .libraries import library_names

LETTERS = {
    "B": "bodies: cards of measures and size tables",
    "C": "choices, codes, measures and libraries as they are said to the command",
    "D": "drafting: what cannot be drawn for a body, or does not come out",
    "E": "the author's desk: what is asked of a text or of a draft",
    "F": "files that are read and written",
    "H": "houses: how a workshop has its papers",
    "K": "kinds: lengths, numbers, angles, conditions, and what is drawn",
    "L": "locks: drafts that were recorded to compare with",
    "M": "drafts that are set beside each other",
    "N": "names, and what belongs together",
    "O": "clients' orders, and whose papers lie in a folder",
    "P": "papers to print on",
    "R": "results of many bodies",
    "S": "the shape of a text: characters, lines and indentation",
    "T": "seam allowances",
    "X": "probing: the bodies that a style is tried on",
}
_CODE = re.compile(r"[A-Z]\d{3}")
_WIDTH = 100  # of a page on a wide screen


def page_path(code: str) -> Path:
    return standard_folder("pages") / f"{code}.md"


def codes() -> list[str]:
    """Every code that has a page, in order."""
    return sorted(path.stem for path in standard_folder("pages").glob("*.md"))


def title(code: str) -> str:
    """The plain words behind the code in the heading of its page."""
    source, _ = read_text(page_path(code))
    return "" if source is None else source.line(1).removeprefix(f"# {code}").strip()


def find_page(words: str) -> tuple[str, str, list[Diagnostic]]:
    """(code, text of its page, diagnostics) of a code however it is written.  C105."""
    code, known = words.strip().upper(), codes()
    if code not in known:
        shown = " ".join(words.split())[:40]
        source = Source("explain", shown)
        others = 'Say "tapeline explain" to see every code.'
        near = _now_called(" ".join(words.split()))
        if not near and not _CODE.fullmatch(code):  # a code that there is not is no slip for another
            near = did_you_mean(code[:8], known) or did_you_mean(shown, [*measures(), *library_names()])
        return (
            code,
            "",
            [
                Diagnostic(
                    "C105",
                    "There is no such code, measure or library",
                    Span(source, 0, len(shown)),
                    "a letter and three figures, as a diagnostic shows them, or a measure, library or recipe of the standard library",
                    f'"{shown}"',
                    f"{near} {others}".strip(),
                )
            ],
        )
    page, diagnostics = read_text(page_path(code))
    return code, page.text if page else "", diagnostics


def _now_called(word: str) -> str:
    """What a word that was replaced is called now; empty for any other."""
    now = {**former.NAMES, **former.PHRASES, **former.OPTIONS}.get(word)
    page = ' "tapeline explain S114" tells of every such word.' if word in former.PHRASES else ""
    return f'It is now called "{now}".{page}' if now is not None else ""


def listing() -> str:
    """All codes with their titles, below what their letter stands for."""
    known = codes()
    parts = []
    for letter, meaning in LETTERS.items():
        rows = [f"  {code}  {title(code)}" for code in known if code[0] == letter]
        parts.append("\n".join([f"{letter}  {meaning}", *rows]))
    return "\n\n".join(parts)


_SIDES = {
    HALVES: "left and right are half of it each",
    EACH: "left and right have one each",
    "": "none: it lies at the centre, or is of the whole body",
}
_ALONG = {"length": "along the body", "height": "plumb from the floor", "width": "straight across"}


@cache
def measures() -> dict[str, Measurement]:
    """Every measure of the standard library, by name, in its order."""
    from ..session import Session  # only where a measure may be meant

    return dict(Session(keep=True).read('language 1\nstyle none "None"\n', "none.style").sound.measurements)


def measure_facts(measure: Measurement) -> dict[str, object]:
    """A measure as data; its bounds in millimetres, or degrees where its kind is angle.  `unlike` is how far its sides differ at most
    without being doubted, `steady` how far it moves from one measuring to the next likewise, in a month where it is `monthly`."""
    bounds = [math.degrees(bound) if measure.kind == "angle" else bound for bound in (measure.low, measure.high)]
    return {
        "measure": measure.name,
        "title": measure.title,
        "kind": measure.kind,
        "taken": measure.taken,
        "standard": measure.standard or None,
        "plausible": [round(bound, 6) for bound in bounds],
        "sides": measure.sides or None,
        "unlike": _bound(measure, measure.unlike),
        "steady": _bound(measure, measure.steady),
        "monthly": measure.monthly,
    }


def _bound(measure: Measurement, bound: float) -> float | None:
    if not math.isfinite(bound):
        return None
    return round(math.degrees(bound) if measure.kind == "angle" else bound, 6)


def measure_text(measure: Measurement) -> str:
    """A measure for people: what it is, how it is taken, a standard's number, its bounds, and what its sides are."""
    rows = (
        ("kind", ", ".join(filter(None, (measure.kind, _ALONG.get(measure.kind))))),
        ("taken", measure.taken),
        ("standard", measure.standard or "none is known well enough"),
        ("plausible", f"{measure.show(measure.low)} to {measure.show(measure.high)}"),
        ("sides", _SIDES[measure.sides] + (f"; seldom {measure.show(measure.unlike)} apart" if math.isfinite(measure.unlike) else "")),
        ("steady", f"within {measure.show(measure.steady)}{' a month' if measure.monthly else ''}"),
    )[: 5 + math.isfinite(measure.steady)]
    return "\n".join([f"{measure.name}  {measure.title}", *(f"  {name:<9}  {words}" for name, words in rows)])


def show(text: str, stream: TextIO) -> None:
    """A page on a terminal with its headings and examples set off; anywhere else the plain text."""
    if not stream.isatty():
        stream.write(text)
        return
    from rich.console import Console
    from rich.markdown import Markdown
    from rich.theme import Theme

    # No grounds of their own: they must read on a dark screen and on a light one.
    console = Console(file=stream, theme=Theme({"markdown.code": "bold", "markdown.h2": "bold underline"}))
    console.print(Markdown(text, code_theme="ansi_dark"), width=min(console.width, _WIDTH))
