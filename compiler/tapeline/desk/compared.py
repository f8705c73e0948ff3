"""Two drafts set beside each other by `tapeline compare`: made for it, or as they lie in `pattern.json`; and how it is told."""

from __future__ import annotations

import json
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date as Day
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import click

from ..making.columns import Table
from ..source.diagnostics import Diagnostic, has_errors, refused
from .files import find_body, find_house, find_style
from .tables import print_table

if TYPE_CHECKING:
    from ..bodies.card import Card
    from ..locking.moved import DraftMoves, MovedFigure
    from ..locking.recorded import Record
    from ..making.comparing import DraftComparison
    from ..making.drafts import BodyDraft
    from ..meaning.style import Style
    from ..session import Reading

LATER = "B150"  # said of measurings that do not count, as it is meant here
MOST_SHARES = 3  # measures of which a place's share is told by itself, without --all
MOST = 8  # places of a piece that are told, without --all


@dataclass(frozen=True, slots=True)
class TwoDrafts:
    """What is asked for: a style and its bodies, one or two of each of what may differ."""

    style: str
    bodies: tuple[str, ...]
    date: datetime
    measured: tuple[Day, ...] = ()
    settings: tuple[str, ...] = ()
    then: tuple[str, ...] = ()
    house: str | None = None
    unit: str | None = None
    together_at: tuple[str, ...] = ()
    fitted: tuple[Day, ...] = ()
    unfitted: bool = False


class _Half(NamedTuple):
    """One of the two drafts: whose, with which choices, by which measuring (`undated`: what was taken on no day that is known), and
    with which fittings, those up to a day or none."""

    body: Path
    settings: tuple[str, ...]
    measured: Day | None
    undated: bool
    fitted: Day | None


def two_drafts(asked: TwoDrafts) -> tuple[DraftComparison | None, list[Diagnostic]]:
    """The two drafts that are asked for.  click's UsageError where nothing differs between them."""
    from ..making.comparing import compared_drafts
    from ..session import Session

    style, diagnostics = find_style(asked.style)
    bodies: list[Path] = []
    for body in asked.bodies:
        path, wrong = find_body(body)
        bodies += [path] if path is not None else []
        diagnostics = [*diagnostics, *wrong]
    house, wrong = find_house(asked.house)
    diagnostics = [*diagnostics, *wrong]
    if style is None or has_errors(diagnostics):
        return None, diagnostics
    session = Session(keep=True)
    halves, wrong = _halves(asked, session.read(style), bodies)
    diagnostics = [*diagnostics, *wrong]
    drafts: list[BodyDraft] = []
    for half in halves:
        reading, of_fittings = session.read_for(style, half.body, half.fitted) if half.fitted else (session.read(style), [])
        unit = asked.unit or (drafts[0].unit if drafts else None)  # so that choices with two defaults are alike
        date = datetime.min if half.undated else asked.date
        drafted = reading.draft([half.body], half.settings, unit, house, False, date, half.measured)
        said = [*of_fittings, *reading.diagnostics, *drafted.diagnostics]
        diagnostics += [one for one in said if one not in diagnostics and not (half.undated and one.code == LATER)]
        drafts += drafted.bodies
    if len(drafts) < 2:
        return None, diagnostics
    before, after = drafts
    return compared_drafts(before, after, _names(before, after, asked.then), asked.together_at), diagnostics


def _halves(asked: TwoDrafts, reading: Reading, bodies: Sequence[Path]) -> tuple[list[_Half], list[Diagnostic]]:
    """Both drafts, as they are asked for: what is said once of one client is of her first draft, and of two clients of either."""
    if not reading.ok:
        return [], list(reading.diagnostics)
    measured: Sequence[Day | None] = asked.measured
    diagnostics: list[Diagnostic] = []
    if len(bodies) == 1 and not (asked.measured or asked.then or asked.fitted or asked.unfitted):
        measured, diagnostics = _last_two_days(reading, bodies[0])
        if has_errors(diagnostics):
            return [], diagnostics
    today = asked.date.date()
    halves = []
    for number, settings in enumerate((asked.settings, (*asked.settings, *asked.then))):
        day, told = _of_half(measured, number, len(bodies))
        until, _ = _of_half(asked.fitted, number, len(bodies))
        fitted = None if asked.unfitted and number == 0 else until or today
        halves.append(_Half(bodies[min(number, len(bodies) - 1)], settings, day, told and day is None, fitted))
    return halves, diagnostics


def _of_half(days: Sequence[Day | None], number: int, bodies: int) -> tuple[Day | None, bool]:
    """(the day that is said of a draft, whether one is)."""
    if number < len(days):
        return days[number], True
    return (days[0], True) if days and bodies == 2 else (None, False)


def _last_two_days(reading: Reading, path: Path) -> tuple[list[Day | None], list[Diagnostic]]:
    card, diagnostics = reading.card(path)
    if card is not None and len(card.measurings) < 2:
        raise click.UsageError(f"{card.name} was measured once. Say what differs: a second --for, --then NAME=VALUE, or --measured.")
    return ([measuring.day for measuring in card.measurings[-2:]] if card is not None else []), diagnostics


def _names(before: BodyDraft, after: BodyDraft, then: Sequence[str]) -> tuple[str, str]:
    """What both drafts are called: the body, and whatever else differs."""

    def measured(card: Card) -> str:
        return f", measured {card.measured}" if card.measured is not None else ", measured first" if card.measurings else ""

    def fitted(style: Style) -> str:
        return f", fitted {style.fittings[-1].day}" if style.fittings else ", not fitted"

    names = [before.name, after.name]
    if before.card.measured != after.card.measured:
        names = [name + measured(draft.card) for name, draft in zip(names, (before, after), strict=True)]
    if before.style.fittings != after.style.fittings:
        names = [name + fitted(draft.style) for name, draft in zip(names, (before, after), strict=True)]
    if then:
        names[0] += ", as before" if names[0] == names[1] else ""
        names[1] += f", {', '.join(then)}"
    return names[0], names[1]


def two_records(
    paths: Sequence[Path], house: str | None, unit: str | None, together_at: Sequence[str]
) -> tuple[DraftComparison | None, list[Diagnostic]]:
    """Two drafts as they were recorded.  M100 for a file that is no record of a draft."""
    from ..making.comparing import compared_records
    from ..session import Session

    records, diagnostics = [], []
    for path in paths:
        record, wrong = _record(path)
        diagnostics += wrong
        records += [record] if record is not None else []
    found, wrong = find_house(house)
    diagnostics += wrong
    if has_errors(diagnostics):
        return None, diagnostics
    usual, wrong = Session().read('language 1\nstyle none "None"\n').house(found)
    if usual is None:
        return None, wrong
    before, after = records
    names = (f"{before['body']} in {paths[0].as_posix()}", f"{after['body']} in {paths[1].as_posix()}")
    shown = unit or usual.unit or ("in" if before.get("defaults") == "in" else "cm")
    return compared_records(before, after, names, shown, usual, together_at), wrong


def _record(path: Path) -> tuple[Record | None, list[Diagnostic]]:
    from ..paper.record import RECORD
    from ..source.world import read_text

    text, diagnostics = read_text(path)
    if text is None:
        return None, diagnostics
    try:
        record = json.loads(text.text)
    except ValueError:
        record = None
    if isinstance(record, dict) and record.get("made_by") == "tapeline" and record.get("record") == RECORD:
        return record, []
    form = record.get("record") if isinstance(record, dict) and record.get("made_by") == "tapeline" else None
    return None, [
        refused(
            path.as_posix(),
            "M100",
            "This is no record of a draft",
            f"a pattern.json of form {RECORD}, as tapeline draft writes it",
            f"one of form {form}" if form is not None else "another file",
            "Draft it again, and compare that pattern.json.",
        )
    ]


# ------------------------------------------------------------------------------------------------------------ told


def print_comparison(done: DraftComparison, every: bool) -> None:
    """What moved, on the screen: what differs, the ledgers, then piece by piece, the furthest places first."""
    from ..making.moved_words import differing, otherwise, place_words, shares_words, told_places, ways

    moved = done.moved
    click.echo(f"{_title(moved)}: from {done.names[0]} to {done.names[1]}\n")
    if not moved.moved:
        click.echo("nothing has moved")
        return
    for title, figures in (("Measures", moved.measures), ("Choices", moved.choices)):
        _print_figures(done, title, list(differing(done, figures)))
    _print_figures(done, "Girths", list(differing(done, moved.girths)))
    _print_figures(done, "Seams", list(differing(done, moved.seams)))
    for word, pieces in (("only before", moved.gone), ("only after", moved.new)):
        if pieces:
            click.echo(f"pieces {word}: {', '.join(pieces)}\n")
    still = [piece for piece in moved.pieces if piece not in moved.changed]
    if still:
        click.echo(f"as they were: {', '.join(still)}\n")
    for piece in moved.changed:
        if piece not in moved.laid:
            continue
        told, little = told_places(done, piece)
        laid = moved.laid[piece].words
        table = Table(f"{moved.title(piece)} ({piece}){f', laid together at {laid}' if laid else ''}")
        for head in ("place", "moved", "by which measure"):
            table.add_column(head)
        shown = told if every else told[:MOST]
        for place in shown:
            told_shares = shares_words(done, place, len(done.moved.measures) if every else MOST_SHARES)
            table.add_row(place_words(place), ways(done, place.out, place.down), told_shares)
        if shown:
            print_table(table, sys.stdout)
        else:
            click.echo(f"{table.title}\n")
        hidden = [f"{len(told) - len(shown)} more by no further (--all)"] if len(told) > len(shown) else []
        hidden += [f"{little} by less than a pencil line"] if little else []
        if hidden:
            click.echo(f" and {', '.join(hidden)}\n")
        others = otherwise(done, piece)
        if others:
            click.echo("\n".join([*(f" {line}" for line in others), ""]))


def _title(moved: DraftMoves) -> str:
    before, after = (record["style"] for record in moved.records)
    named = [f"{style['title']} {style['version']}".strip() for style in (before, after)]
    return named[0] if named[0] == named[1] else " and ".join(named)


def _print_figures(done: DraftComparison, title: str, figures: list[MovedFigure]) -> None:
    from ..making.moved_words import by, figure

    if not figures:
        return
    table = Table(title)
    for head, right in (("", False), ("", False), ("before", True), ("after", True), ("difference", True)):
        table.add_column(head, right)
    for moved in figures:
        table.add_row(moved.name, moved.part, figure(done, moved, moved.before), figure(done, moved, moved.after), by(done, moved))
    print_table(table, sys.stdout)


def drawings_of(done: DraftComparison) -> dict[str, str | bytes]:
    """File name -> the pieces of both drafts laid over each other, as a drawing and as a picture; nothing where none moved."""
    from ..paper.pictures.overlay import OverlayWords, draw_overlay
    from ..paper.sheets.preview import drawing_png
    from ..paper.sheets.svg import write_svg

    before, after = done.names
    words = OverlayWords(
        _title(done.moved),
        (f"from {before} to {after}", *_laid_words(done.moved)),
        before,
        after,
        lambda mm: done.house.show(mm, done.unit),
        f"The pieces that moved, at {{scale}}. {before} is dashed, {after} is continuous, and wide where it moved.",
    )
    drawing = draw_overlay(done.moved, 0, words)
    if drawing is None:
        return {}
    name = f"{done.moved.present.style}_compared"
    return {f"{name}.svg": write_svg(drawing), f"{name}.png": drawing_png(drawing)}


def _laid_words(moved: DraftMoves) -> list[str]:
    """Where pieces are laid together, those alike in one line."""
    alike: dict[str, list[str]] = {}
    for piece in moved.changed:
        if piece in moved.laid and moved.laid[piece].words:
            alike.setdefault(moved.laid[piece].words, []).append(piece)
    lines = [f"{', '.join(pieces)} laid together at {words}" for words, pieces in alike.items()]
    return lines if len(lines) < 4 else [*lines[:2], "the others each at a place of its own"]
