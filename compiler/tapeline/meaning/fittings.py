"""A client's fittings: what each showed of a style on a day, read from the text beside her card.

    language 1
    fittings nell "Nell Quay"

    fitting 2026-12-05 of straight_skirt
        "The first, in calico: she stands with her weight on the heels."
        take in front.side and back.side 1 cm at waist, to nothing at hip

The text is in the language of styles and read by its parser, so a line that cannot be read is told and the others are read.  Which
fittings count is settled here: of the rest, the text that goes into a style has blanks in their place, so that every line that
counts stands where it was written.  What they change is set into the style when that is linked (`library.py`).
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from datetime import date as Day
from pathlib import PurePath
from textwrap import dedent
from typing import NamedTuple

from ..source.diagnostics import CAUTION, Diagnostic, has_errors, refused
from ..source.suggest import did_you_mean, nearest
from ..source.text import Source
from ..source.world import World
from ..syntax import tree
from ..syntax.mistakes import A_DAY
from ..syntax.parser import parse

SUFFIX = ".fittings"
_DAY = re.compile(r"\d{4}-\d\d-\d\d")


class DatedFitting(NamedTuple):
    """One fitting: its day, the style that was fitted, notes, and what it changes as it is written, one text a statement."""

    day: Day
    style: str
    notes: tuple[str, ...]
    lines: tuple[str, ...]
    start: int  # in the text
    end: int


class ClientFittings(NamedTuple):
    """All fittings of a client, in the order of their days."""

    source: Source
    fittings: tuple[DatedFitting, ...]

    def of(self, style: str, until: Day | None = None) -> tuple[DatedFitting, ...]:
        """Those of a style, up to a day."""
        return tuple(one for one in self.fittings if one.style == style and (until is None or one.day <= until))

    def changes(self, chosen: Collection[DatedFitting], anonymous: bool = False) -> Source:
        """The text with blanks in the place of all fittings but these; where it is anonymous, of all words about the client too."""
        text = self.source.text
        for one in self.fittings:
            if one not in chosen:
                text = _blanked(text, one.start, one.end)
        if not anonymous:
            return Source(self.source.name, text)
        parsed = parse(self.source)
        heading = parsed.tree.heading
        assert isinstance(heading, tree.Fittings)
        notes = [line.text for one in parsed.tree.statements or () if isinstance(one, tree.Fitting) for line in one.notes or ()]
        prose = heading.prose.lines if heading.prose is not None else ()
        for word in (heading.title, *(line.text for line in prose), *notes):
            if word is not None:  # its quotation marks stay
                text = _blanked(text, word.span.start + 1, word.span.end - 1)
        for span in parsed.comments:
            text = _blanked(text, span.start, span.end)
        name = heading.name.span
        text = text[: name.start] + "x".ljust(name.end - name.start) + text[name.end :]
        return Source(f"a client{SUFFIX}", text)


def changes_for(
    world: World, style: PurePath, name: str, card: PurePath, until: Day | None = None, anonymous: bool = False
) -> tuple[Source | None, list[Diagnostic]]:
    """What the fittings beside a client's card change of the style of a name, at its path, up to a day; None where nothing is said.

    `nell.fittings` stands beside `nell.toml`.  F001 where what has that name there is no file of the folder.
    """
    beside = world.neighbour(card, f"{card.stem}{SUFFIX}")
    if beside is None and (found := world.astray(card, f"{card.stem}{SUFFIX}")):
        return None, [_not_there((card.parent / f"{card.stem}{SUFFIX}").as_posix(), found)]
    source, diagnostics = (None, []) if beside is None else world.text(beside)
    if source is None:
        return None, diagnostics
    fittings, diagnostics = read_fittings(source, card.stem, name, world.beside(style).style_names())
    chosen = () if fittings is None else fittings.of(name, until)
    return (fittings.changes(chosen, anonymous) if fittings is not None and chosen else None), diagnostics


def _blanked(text: str, start: int, end: int) -> str:
    return text[:start] + re.sub(r"[^\r\n]", " ", text[start:end]) + text[end:]


def read_fittings(source: Source, client: str, style: str, styles: Sequence[str]) -> tuple[ClientFittings | None, list[Diagnostic]]:
    """The fittings in a text; None where a diagnostic is an error.

    `client` is what her card's file is called, `style` the style that is to be drafted, `styles` the names of all that can be.
    O110 to O113, and what the parser says; of a fitting of another style no error, which holds up that one alone: it is left out.
    """
    parsed = parse(source)
    others = [one for one in parsed.tree.statements or () if isinstance(one, tree.Fitting) and str(one.name) != style]
    diagnostics = [said for said in parsed.diagnostics if not any(_lies_in(said, one) for one in others)]
    wrong = [one for one in others if any(_lies_in(said, one) for said in parsed.diagnostics)]
    heading = parsed.tree.heading
    if has_errors(diagnostics) and not isinstance(heading, tree.Fittings):
        return None, diagnostics
    if not isinstance(heading, tree.Fittings):
        place = heading.head if heading is not None else None
        diagnostics.append(
            Diagnostic(
                "O110",
                "These are no fittings",
                place,
                f"fittings {_name(client)}",
                heading.written if heading is not None else "nothing",
                f"Begin with the lines: language 1, and below it: fittings {_name(client)}",
            )
        )
        return None, diagnostics
    if _folded(str(heading.name)) != _folded(client):
        diagnostics.append(_of_another(heading, client))
    found = []
    for statement in parsed.tree.statements or ():
        if isinstance(statement, tree.Fitting):
            diagnostics += _wrong(statement, style, styles)
            if _day(statement.date) is None:
                wrong.append(statement)
            elif statement not in wrong:
                found.append(dated(statement))
        elif not isinstance(statement, tree.Broken):
            diagnostics.append(_misplaced(statement))
    if has_errors(diagnostics):
        return None, diagnostics
    text = source.text
    for one in wrong:
        text = _blanked(text, one.span.start, one.span.end)
    return ClientFittings(Source(source.name, text), tuple(sorted(found, key=lambda one: one.day))), diagnostics


def _lies_in(said: Diagnostic, fitting: tree.Fitting) -> bool:
    """Whether it is said of what stands in a fitting; of its first line too."""
    return said.span is not None and fitting.span.start <= said.span.start <= fitting.span.end


def dated(fitting: tree.Fitting) -> DatedFitting:
    """What a statement says.  ValueError where its date is no day."""
    lines = tuple(_written(statement) for statement in fitting.statements or ())
    notes = tuple(note for line in fitting.notes or () if (note := str(line.text)[1:-1].strip()))
    return DatedFitting(Day.fromisoformat(fitting.date.iso), str(fitting.name), notes, lines, fitting.span.start, fitting.span.end)


def _written(statement: tree.Statement) -> str:
    """The words of a statement and of what stands below it, without the indentation that all have."""
    span = statement.span
    column = span.source.line_column(span.start)[1] - 1
    return dedent(" " * column + span.text).rstrip()


def _day(date: tree.Date) -> Day | None:
    try:
        return Day.fromisoformat(date.iso) if _DAY.fullmatch(date.iso) else None
    except ValueError:
        return None


def _folded(name: str) -> str:
    return "".join(letter for letter in name.casefold() if letter.isalnum())


def _name(client: str) -> str:
    """A client's name as it can stand in the language."""
    return re.sub(r"\W", "_", client) or "client"


# ------------------------------------------------------------------------------------------------ what is wrong


def _wrong(fitting: tree.Fitting, style: str, styles: Sequence[str]) -> list[Diagnostic]:
    told = []
    name = str(fitting.name)
    if _day(fitting.date) is None and name == style:
        told.append(
            Diagnostic(
                "O111",
                "This is no day",
                fitting.date.span,
                A_DAY,
                fitting.date.written,
                "Write the day of the fitting.",
            )
        )
    if name != style and name not in styles:
        near = nearest(name, [style]) == [style]
        told.append(
            Diagnostic(
                "O112",
                f'No style is called "{name}"',
                fitting.name.span,
                "the name of the style that was fitted",
                f'"{name}"',
                did_you_mean(name, [style] if near else styles) or "This fitting is left out.",
                severity="error" if near else CAUTION,
            )
        )
    return told


def _not_there(name: str, found: str) -> Diagnostic:
    way_out = "Put the fittings there as a file, or take it away; --without-fittings drafts without them."
    return refused(name, "F001", "The client's fittings cannot be read", "a file beside her card", found, way_out)


def _of_another(heading: tree.Fittings, client: str) -> Diagnostic:
    return Diagnostic(
        "O110",
        f'These are the fittings of "{heading.name}"',
        heading.name.span,
        f"fittings {_name(client)}, as her card is called",
        f"fittings {heading.name}",
        "Put them beside that client's card, or put the name right.",
    )


def _misplaced(statement: tree.Statement) -> Diagnostic:
    return Diagnostic(
        "O113",
        "This stands in no fitting",
        statement.head,
        "fittings, each with its day and its style",
        statement.written,
        "Indent it below a line such as: fitting 2026-12-05 of straight_skirt",
    )
