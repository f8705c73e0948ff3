"""`tapeline compare`: locked drafts beside what their styles give today, or any two drafts, and what has moved."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date as Day
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from ...source.units import SHOWN
from .. import options
from ..report import DONE, ERRORS, FAULT, FILES, STOPPED, USAGE, Report, sure

if TYPE_CHECKING:
    from ...locking.comparing import Comparison
    from ...source.diagnostics import Diagnostic
    from ..locked import LockCheck

CODES = f"""
\b
Exit codes:
  {DONE}   no lock has moved, or --accept has recorded it; or two drafts are compared
  {ERRORS}   a lock has moved, or a style, its sizes or a card are in error
  {USAGE}   the command is not written as it should be
  {FILES}   a file cannot be read or written
  {FAULT}  a fault of the program itself
  {STOPPED} stopped by Ctrl-C
"""


@click.command(epilog=CODES)
@click.argument("places", nargs=-1, metavar="[LOCK, FOLDER, STYLE or RECORD]...", type=click.Path(path_type=Path))
@click.option("--for", "bodies", multiple=True, metavar="BODY", help="Draft STYLE for this body card, or for two: give it twice.")
@options.measured_twice()
@options.set_choices("a choice of both drafts, as in --set length='60 cm'")
@click.option(
    "--then", "then", multiple=True, metavar="NAME=VALUE", callback=options.settings, help="Set a choice of the second draft alone."
)
@click.option(
    "--fitted",
    "fitted",
    multiple=True,
    metavar="DAY",
    callback=options.days,
    help="Take the client's fittings up to this day; of the first draft, or with a second --fitted of each.",
)
@click.option("--without-fittings", "unfitted", is_flag=True, help="Take none of the client's fittings for the first draft.")
@options.house()
@click.option("--unit", type=click.Choice(SHOWN), help="Show lengths in this unit instead of the house's or the card's.")
@options.date("The date up to which measurings count, as 2026-11-30; else today.")
@click.option(
    "--together-at",
    "together_at",
    multiple=True,
    metavar="PLACE",
    help="Where the pieces of two drafts are laid together: a place or level, or PIECE.PLACE. May be repeated.",
)
@click.option("--all", "every", is_flag=True, help="Tell of two drafts every place that moved.")
@options.folder("drawings of the pieces before and after, one for each style that has moved", required=False)
@click.option("--size", metavar="NAME", help="The size to draw of a lock, instead of the one that has moved furthest.")
@click.option("--accept", is_flag=True, help="Record what the styles give now in place of what was locked.")
@click.option("--overwrite", is_flag=True, help="Replace drawings even if this program did not make them.")
@click.option("--json", "as_json", is_flag=True, help="Print what has moved as one JSON object.")
@click.pass_context
def compare(context: click.Context, /, **parameters: Any) -> None:
    """Tell what moved from one draft to another: which places, how far and which way, girths and seams before and after.

    Of locks it drafts the styles again, and tells at which sizes they have moved and by which rule.
    Without a FILE or FOLDER every lock below the current folder is compared. Figures that differ by no more than
    0.002 mm, twice the rounding of a lock, have not moved. With --accept either every lock named is recorded anew
    or, if one of them cannot be compared, none.

    Of a STYLE with --for it drafts the body by its last two measurings, or by those of two --measured; two
    bodies, with a second --for; two choices, with --then; or what fittings did, with --fitted or
    --without-fittings. Of two RECORDs (pattern.json) it compares
    the drafts as they were made. Each place is told as it moved when the pieces are laid together at the centre and the
    waist, the furthest first, with the measure that moved it.
    """
    request = _CompareRequest(**parameters)
    records = [place for place in request.places if place.suffix == ".json"]
    if request.bodies or records:
        _compare_drafts(context, request, records)
    for name, value in (
        ("--measured", request.measured),
        ("--set", request.settings),
        ("--then", request.then),
        ("--fitted", request.fitted),
        ("--without-fittings", request.unfitted),
        ("--house", request.house),
        ("--unit", request.unit),
        ("--together-at", request.together_at),
        ("--all", request.every),
    ):
        if value:
            raise click.UsageError(f"{name} belongs to two drafts: a STYLE with --for, or two records.")
    _compare_locks(context, request.places, request.folder, request.size, request.accept, request.overwrite, request.as_json)


@dataclass(frozen=True, slots=True)
class _CompareRequest:
    """What the command was asked for, as its options say it."""

    places: tuple[Path, ...]
    bodies: tuple[str, ...]
    measured: tuple[Day, ...]
    settings: tuple[str, ...]
    then: tuple[str, ...]
    fitted: tuple[Day, ...]
    unfitted: bool
    house: str | None
    unit: str | None
    date: datetime
    together_at: tuple[str, ...]
    every: bool
    folder: Path | None
    size: str | None
    accept: bool
    overwrite: bool
    as_json: bool


def _compare_drafts(context: click.Context, request: _CompareRequest, records: list[Path]) -> NoReturn:
    from ...making.moved_words import as_data
    from ..compared import TwoDrafts, drawings_of, print_comparison, two_drafts, two_records
    from ..progress import Progress

    _wrongly_asked(request, records)
    report = Report(context, request.as_json, {"command": "compare", "files": []})
    with Progress("comparing"):
        if records:
            done, diagnostics = two_records(records, request.house, request.unit, request.together_at)
        else:
            asked = TwoDrafts(
                str(request.places[0]),
                request.bodies,
                request.date,
                request.measured,
                request.settings,
                request.then,
                request.house,
                request.unit,
                request.together_at,
                request.fitted,
                request.unfitted,
            )
            done, diagnostics = two_drafts(asked)
    report.stop_if_wrong(diagnostics)
    done = sure(done)
    not_there = done.moved.not_there(request.together_at)
    report.stop_if_wrong(not_there)
    written: list[str] = []
    if request.folder is not None:
        written, refused = _write(request.folder, drawings_of(done), request.overwrite)
        report.stop_if_wrong(refused)
    report.facts |= {"drafts": as_data(done), "files": written}
    if not request.as_json:
        print_comparison(done, request.every)
    report.end("\n".join(f"written: {path}" for path in written))


def _wrongly_asked(request: _CompareRequest, records: list[Path]) -> None:
    """Raise click's UsageError for what does not go together."""
    for name, value in (("--size", request.size), ("--accept", request.accept)):
        if value:
            raise click.UsageError(f"{name} belongs to locks.")
    if records:
        if len(records) != 2 or len(request.places) != 2 or request.bodies:
            raise click.UsageError("Name two records, as in: compare old/pattern.json new/pattern.json")
        for name, given in (
            ("--measured", request.measured),
            ("--set", request.settings),
            ("--then", request.then),
            ("--fitted", request.fitted),
            ("--without-fittings", request.unfitted),
        ):
            if given:
                raise click.UsageError(f"{name} belongs to a STYLE with --for.")
    elif len(request.places) != 1:
        raise click.UsageError("Name one style, as in: compare corselet_skirt --for nell --for maud")
    for name, several in (("--for", request.bodies), ("--measured", request.measured), ("--fitted", request.fitted)):
        if len(several) > 2:
            raise click.UsageError(f"{name} is given twice at most.")
    if request.fitted and request.unfitted:
        raise click.UsageError("Say either --fitted DAY or --without-fittings.")


def _compare_locks(
    context: click.Context,
    places: tuple[Path, ...],
    folder: Path | None,
    size: str | None,
    accept: bool,
    overwrite: bool,
    as_json: bool,
) -> NoReturn:
    from ...locking.telling import as_data
    from ..locked import check_lock, locks_below
    from ..progress import Progress

    if size is not None and folder is None:
        raise click.UsageError("--size goes with -o.")
    report = Report(context, as_json, {"command": "compare", "locks": [], "files": []})
    paths, diagnostics = locks_below(places or [Path(".")])
    report.stop_if_wrong(diagnostics)
    with Progress("comparing") as progress:
        checks = [check_lock(path, progress.add) for path in paths]
    if size is not None and not any(size in check.comparison.lock.sizes for check in checks if check.comparison is not None):
        raise click.BadParameter(f"no lock has a size {size!r}.", param_hint="--size")
    for check in checks:
        report.facts["locks"].append(
            {"file": check.name, **(as_data(check.comparison) if check.comparison is not None else {"moved": None})}
        )
        report.note(check.diagnostics)
    trouble = any(check.unread for check in checks)
    wrong = any(check.wrong for check in checks)
    moved = any(check.comparison is not None and check.comparison.moved for check in checks)
    written: list[str] = []
    refused: list[Diagnostic] = []
    # Files go before words: whoever reads the words may leave before their end, as in `compare --accept | head`.
    if folder is not None:
        written, refused = _write(folder, _drawings(checks, size), overwrite)
    blocked = wrong or any(check.fails_everywhere for check in checks)
    if accept and not blocked and not refused:
        recorded, refused = _write(Path("."), _accepted(checks), False)
        written += recorded
        moved = False
    if not as_json:
        for check in checks:
            if check.comparison is not None:
                _tell(check.comparison, check.name)
    report.stop_if_wrong(refused)
    if accept and blocked and not as_json:
        click.echo("nothing is recorded: not every lock can be drafted", err=True)
    report.facts["files"] = written
    report.end("\n".join(f"written: {path}" for path in written), FILES if trouble else ERRORS if wrong or moved else DONE)


def _tell(comparison: Comparison, name: str) -> None:
    from ...locking.telling import tell

    click.echo("\n".join(tell(comparison, name)), file=sys.stdout)


def _write(folder: Path, contents: Mapping[str, str | bytes], overwrite: bool) -> tuple[list[str], list[Diagnostic]]:
    from ...making.writing import write_all

    paths, diagnostics = write_all(folder, contents, overwrite) if contents else ([], [])
    return [path.as_posix() for path in paths], diagnostics


def _accepted(checks: Iterable[LockCheck]) -> dict[str, str]:
    """The locks that are not as they were, in their present state."""
    from ...locking.lock import write_lock

    return {
        check.name: write_lock(check.comparison.present)
        for check in checks
        if check.comparison is not None and (check.comparison.moved or check.comparison.reworded)
    }


def _drawings(checks: Iterable[LockCheck], size: str | None) -> dict[str, str]:
    from ...paper.pictures.overlay import draw_overlay, size_that_moved_most, words_of_lock
    from ...paper.sheets.svg import write_svg

    drawings: dict[str, str] = {}
    for check in checks:
        if check.comparison is None or not check.comparison.moves or (size is not None and size not in check.comparison.lock.sizes):
            continue
        number = size_that_moved_most(check.comparison) if size is None else check.comparison.lock.sizes.index(size)
        drawing = draw_overlay(check.comparison, number, words_of_lock(check.comparison, number))
        if drawing is not None:
            name, again = f"{check.path.stem}_moved.svg", 1
            while name in drawings:  # locks of one name in different folders
                again += 1
                name = f"{check.path.stem}_moved_{again}.svg"
            drawings[name] = write_svg(drawing)
    return drawings
