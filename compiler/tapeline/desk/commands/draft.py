"""`tapeline draft`: the pattern of one body, of an order or of several sizes, on any of its papers and as data."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date as Day
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

from ...orders import SUFFIX
from ...paper.kinds import ALL, KINDS, USUAL
from ...source.diagnostics import Diagnostic, refused
from ...source.units import SHOWN
from .. import options
from ..options import listed
from ..progress import Progress
from ..report import EXIT_CODES, Report, sure

if TYPE_CHECKING:
    from ...making.drafts import BodyDraft

_NAMES = max(map(len, KINDS)) + 1  # the width of their column


@click.command(
    epilog=f"""\b
Papers:
{chr(10).join(f"  {name:<{_NAMES}}{kind.words}" for name, kind in KINDS.items())}
  {ALL:<{_NAMES}}every one of these

{EXIT_CODES}"""
)
@click.argument("style")
@click.option("--for", "body", metavar="BODY", help="A body card (TOML), or the bare name of one that comes with the program.")
@click.option(
    "--sizes",
    metavar="TABLE",
    help="Instead of --for: a size table (CSV), a folder of body cards, or the bare name of a table of the program's.",
)
@click.option("--only", metavar="SIZE,...", callback=listed, help="Some sizes of the table alone.")
@click.option("--with", "lender", metavar="CARD", help="A body card for the measures that the table has not; the papers say so.")
@click.option("--base", metavar="SIZE", help="The size from which the others are told; else the middle one.")
@click.option(
    "--together-at",
    "stacked",
    multiple=True,
    metavar="PLACE",
    help="Where the sizes of a piece lie together in the nest: a place, PIECE.PLACE, or 'PLACE to PLACE'. May be repeated.",
)
@options.set_choices()
@click.option(
    "-o",
    "--output",
    "folder",
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="The folder to write the pattern into; of an order one of its own, beside it, if this is not said.",
)
@options.papers(f"The papers to write, comma-separated; see below. Usual are those of the order, else {', '.join(USUAL)}.")
@options.house()
@click.option("--opened", is_flag=True, help="Draw pieces cut on the fold whole.")
@click.option("--foundations", is_flag=True, help="Draw foundations too, which are never cut.")
@click.option(
    "--unit",
    type=click.Choice(SHOWN),
    help="Show lengths in this unit instead of the house's or the card's; choices with two defaults go by it.",
)
@options.date()
@options.measured()
@click.option("--accept", is_flag=True, help="Use measures that are hard to believe all the same.")
@click.option(
    "--fitted",
    metavar="DAY",
    callback=options.day,
    help="Take the client's fittings up to this day, those beside her card; else those up to the date.",
)
@click.option("--without-fittings", "unfitted", is_flag=True, help="Take none of the client's fittings.")
@click.option(
    "--anonymous",
    is_flag=True,
    help="Leave the client's name and note out of the papers: initials of the file stand for her, or the order's number.",
)
@click.option(
    "--overwrite",
    is_flag=True,
    help="Replace files even if this program did not make them, and papers of another client or of an older draft.",
)
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def draft(context: click.Context, /, **parameters: Any) -> None:
    """Draft STYLE for one body, or in the sizes of a table, and write its pieces at true size.

    STYLE is the path of a style, or the bare name of one that comes with the program. The folder receives
    the papers asked for, usually the drawing, <style>.svg, and the same pattern as data, pattern.json.
    In place of STYLE stands the path of a client's order, which ends in .order and says all that is to be drafted:
    then folder and files are called by style, client and date.
    With --sizes it receives them of every size, <style>-<size>.svg, and the nest of all sizes, the
    grading sheet and table, and the grade rules with the base size's file for a cutter.
    Nothing is written if there is an error.
    """
    request = _DraftRequest(**parameters)
    if Path(request.style).suffix == SUFFIX:
        _draft_order(context, request)
        return
    if request.folder is None:
        raise click.UsageError("Missing option '-o' / '--output'.")
    if request.fitted is not None and request.unfitted:
        raise click.UsageError("Say either --fitted DAY or --without-fittings.")
    if (request.body is None) == (request.sizes is None):
        raise click.UsageError("Say either --for BODY or --sizes TABLE.")
    if request.sizes is not None:
        for name, said in (
            ("--foundations", request.foundations),
            ("--anonymous", request.anonymous),
            ("--measured", request.measured),
            ("--fitted", request.fitted),
            ("--without-fittings", request.unfitted),
        ):
            if said:
                raise click.UsageError(f"{name} belongs to --for.")
        _draft_sizes(context, request, request.sizes)
        return
    for name, value in (
        ("--only", request.only),
        ("--with", request.lender),
        ("--base", request.base),
        ("--together-at", request.stacked),
    ):
        if value:
            raise click.UsageError(f"{name} belongs to --sizes.")
    _draft_body(context, request)


@dataclass(frozen=True, slots=True)
class _DraftRequest:
    """What the command was asked for, as its options say it."""

    style: str
    body: str | None
    sizes: str | None
    only: tuple[str, ...]
    lender: str | None
    base: str | None
    stacked: tuple[str, ...]
    settings: tuple[str, ...]
    folder: Path | None
    kinds: tuple[str, ...]
    house: str | None
    paper: tuple[str, ...]
    cloth: tuple[str, ...]
    opened: bool
    foundations: bool
    unit: str | None
    date: datetime
    measured: Day | None
    fitted: Day | None
    unfitted: bool
    accept: bool
    anonymous: bool
    overwrite: bool
    as_json: bool


def _draft_body(context: click.Context, request: _DraftRequest) -> None:
    from ...orders.carrying_out import initials
    from ...session import Session
    from ..files import find_body, find_house, find_style

    report = Report(context, request.as_json, {"command": "draft", "style": request.style, "body": request.body, "files": []})
    style, wrong = find_style(request.style)
    card, card_wrong = find_body(request.body)
    house, house_wrong = find_house(request.house)
    report.stop_if_wrong([*wrong, *card_wrong, *house_wrong])

    session, path, body = Session(keep=True), sure(style), sure(card)
    if request.unfitted:
        reading = session.read(path)
    else:
        reading, of_fittings = session.read_for(path, body, request.fitted or request.date.date(), request.anonymous)
        report.stop_if_wrong(of_fittings)
    report.stop_if_wrong(reading.diagnostics)
    with Progress("drafting"):
        drafts = reading.draft([body], request.settings, request.unit, house, request.accept, request.date, request.measured)
    report.stop_if_wrong(drafts.diagnostics)
    (body_draft,) = drafts
    with Progress("drawing"), report.stopping():
        papers = body_draft.papers(
            request.kinds or USUAL,
            opened=request.opened,
            foundations=request.foundations,
            paper=request.paper,
            cloth=request.cloth,
            anonymous=initials(body.stem) if request.anonymous else "",
        )
    _write(report, request, sure(request.folder), papers, body_draft, each_day=False)


def _draft_order(context: click.Context, request: _DraftRequest) -> None:
    from ...session import Session

    for name, said in (
        ("--for", request.body),
        ("--sizes", request.sizes),
        ("--only", request.only),
        ("--with", request.lender),
        ("--base", request.base),
        ("--together-at", request.stacked),
        ("--set", request.settings),
        ("--house", request.house),
        ("--unit", request.unit),
        ("--measured", request.measured),
        ("--fitted", request.fitted),
        ("--without-fittings", request.unfitted),
    ):
        if said:
            raise click.UsageError(f"{name} does not go with an order, which says it, or leaves it out, itself.")
    order = Path(request.style)
    report = Report(context, request.as_json, {"command": "draft", "order": request.style, "files": []})
    with Progress("drafting"):
        made, diagnostics = Session(keep=True).draft_order(order, request.date, request.accept, request.anonymous)
    report.stop_if_wrong(diagnostics)
    drafted = sure(made)
    with Progress("drawing"), report.stopping():
        stem, papers = drafted.papers(request.kinds, request.opened, request.foundations, request.paper, request.cloth)
    folder = request.folder or order.with_suffix("") / stem
    if request.folder is None:
        report.stop_if_wrong(_links((folder.parent, folder)))
    _write(report, request, folder, papers, drafted.body, each_day=True)


def _links(folders: Iterable[Path]) -> list[Diagnostic]:
    """F004 for a folder of an order's that is a link: its papers stay beside it."""
    return [
        refused(
            folder.as_posix(),
            "F004",
            "The pattern cannot be written",
            "a folder that lies beside the order",
            "a link to another place",
            "Take the link away, or name the folder with -o.",
        )
        for folder in folders
        if folder.is_symlink()
    ]


def _write(
    report: Report, request: _DraftRequest, folder: Path, papers: dict[str, bytes], drafted: BodyDraft, each_day: bool
) -> NoReturn:
    """Write the papers of one draft, unless those of another lie there, and tell its ledgers."""
    from ...making.writing import write_all
    from ...orders.papers_there import papers_of_others

    if not request.overwrite:
        report.stop_if_wrong(papers_of_others(folder, papers, each_day))
    paths, diagnostics = write_all(folder, papers, request.overwrite)
    report.stop_if_wrong(diagnostics)
    report.facts["files"] = [path.as_posix() for path in paths]
    if not request.as_json:
        from ..tables import print_ledgers

        print_ledgers(drafted.ledgers, drafted.finished, drafted.unit, sys.stdout, drafted.house, drafted.unfitted)
    nothing = [] if drafted.finished.pieces or request.foundations else ["Nothing of this style is cut: no paper was made of it."]
    report.end("\n".join([*nothing, *(f"written: {path.as_posix()}" for path in paths)]))


def _draft_sizes(context: click.Context, request: _DraftRequest, table: str) -> None:
    from ...making.writing import left_over, write_all
    from ...orders.papers_there import papers_of_others
    from ...session import Session
    from ..files import find_body, find_house, find_sizes, find_style

    report = Report(context, request.as_json, {"command": "draft", "style": request.style, "sizes": table, "files": []})
    style, wrong = find_style(request.style)
    sizes, table_wrong = find_sizes(table)
    lender, lender_wrong = find_body(request.lender)
    house, house_wrong = find_house(request.house)
    report.stop_if_wrong([*wrong, *table_wrong, *lender_wrong, *house_wrong])

    reading = Session(keep=True).read(sure(style))
    report.stop_if_wrong(reading.diagnostics)
    with Progress("drafting the sizes"):
        drafts = reading.draft_sizes(
            sure(sizes), request.only, lender, request.base, request.settings, request.unit, house, request.accept, request.date
        )
    report.stop_if_wrong(drafts.diagnostics)
    with Progress("papers of the sizes", len(drafts.bodies) + 1) as progress, report.stopping():
        paper_set = drafts.paper_set(
            request.kinds or USUAL, request.opened, request.stacked, progress.add, request.paper, request.cloth
        )
    report.stop_if_wrong(paper_set.diagnostics)
    folder = sure(request.folder)
    if not request.overwrite:
        report.stop_if_wrong(papers_of_others(folder, paper_set.papers))
    paths, diagnostics = write_all(folder, paper_set.papers, request.overwrite)
    report.stop_if_wrong(diagnostics)
    report.facts["files"] = [path.as_posix() for path in paths]
    left = left_over(folder, paths, drafts.bodies[0].draft.plan.name)
    report.facts["left"] = [path.as_posix() for path in left]
    report.end(
        "\n".join(
            [
                paper_set.words,
                "",
                *(f"written: {path.as_posix()}" for path in paths),
                *(f"left of an earlier run: {path.as_posix()}" for path in left),
            ]
        )
    )
