"""`tapeline compare`: locked drafts beside what their styles give today, and what has moved."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .. import options
from ..report import DONE, ERRORS, FAULT, FILES, STOPPED, USAGE, Report

if TYPE_CHECKING:
    from ...locking.comparing import Comparison
    from ...source.diagnostics import Diagnostic
    from ..locked import LockCheck

CODES = f"""
\b
Exit codes:
  {DONE}   nothing has moved, or --accept has recorded it
  {ERRORS}   something has moved, or a style or its sizes are in error
  {USAGE}   the command is not written as it should be
  {FILES}   a file cannot be read or written
  {FAULT}  a fault of the program itself
  {STOPPED} stopped by Ctrl-C
"""


@click.command(epilog=CODES)
@click.argument("places", nargs=-1, metavar="[FILE or FOLDER]...", type=click.Path(path_type=Path))
@options.folder("drawings of the pieces before and after, one for each style that has moved", required=False)
@click.option("--size", metavar="NAME", help="The size to draw, instead of the one that has moved furthest.")
@click.option("--accept", is_flag=True, help="Record what the styles give now in place of what was locked.")
@click.option("--overwrite", is_flag=True, help="Replace drawings even if this program did not make them.")
@click.option("--json", "as_json", is_flag=True, help="Print what has moved as one JSON object.")
@click.pass_context
def compare(
    context: click.Context,
    places: tuple[Path, ...],
    folder: Path | None,
    size: str | None,
    accept: bool,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Draft the styles of locks again and tell what has moved: which places and edges, how far, at which sizes, and by which rule.

    Without a FILE or FOLDER every lock below the current folder is compared. Figures that differ by no more than
    0.002 mm, twice the rounding of a lock, have not moved. With --accept either every lock named is recorded anew
    or, if one of them cannot be compared, none.
    """
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


def _write(folder: Path, contents: dict[str, str], overwrite: bool) -> tuple[list[str], list[Diagnostic]]:
    from ..files import write_all

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
    from ...paper.pictures.overlay import draw_overlay, size_that_moved_most
    from ...paper.sheets.svg import write_svg

    drawings: dict[str, str] = {}
    for check in checks:
        if check.comparison is None or not check.comparison.moves or (size is not None and size not in check.comparison.lock.sizes):
            continue
        number = size_that_moved_most(check.comparison) if size is None else check.comparison.lock.sizes.index(size)
        drawing = draw_overlay(check.comparison, number)
        if drawing is not None:
            name, again = f"{check.path.stem}_moved.svg", 1
            while name in drawings:  # locks of one name in different folders
                again += 1
                name = f"{check.path.stem}_moved_{again}.svg"
            drawings[name] = write_svg(drawing)
    return drawings
