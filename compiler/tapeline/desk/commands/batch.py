"""`tapeline batch`: a stream of bodies, drafted one result a line."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from ...source.units import SHOWN
from .. import options
from ..report import DONE, ERRORS, EXIT_CODES, STOPPED, Report, sure

if TYPE_CHECKING:
    from ...batch.order import Order
    from ...batch.workers import Workers
    from ...bodies.stream import TableStream
    from ...meaning.style import Style


@click.command(epilog=EXIT_CODES.rstrip() + "; the same command resumes from there\n")
@click.argument("style")
@click.argument("bodies", default="-")
@click.option(
    "-o",
    "--output",
    "results",
    required=True,
    metavar="RESULTS",
    type=click.Path(path_type=Path),
    help="The file to write the results into, or to resume.",
)
@options.set_choices("a choice of the style for every body")
@options.house(", for its seam allowances")
@click.option("--unit", type=click.Choice(SHOWN), help="Show lengths in messages in this unit instead of the house's or the table's.")
@options.workers
@click.option("--with-points", "points", is_flag=True, help="Give every named point of every piece.")
@click.option("--anonymous", is_flag=True, help="Put the row's number in the place of every name, in the results and for all workers.")
@click.option("--again", is_flag=True, help="Start afresh, even if there are results.")
@click.option("--json", "as_json", is_flag=True, help="Print how it ended as one JSON object.")
@click.pass_context
def batch(context: click.Context, /, **parameters: Any) -> None:
    """Draft STYLE for every row of a size table, one result a line.

    BODIES is the path of a table (CSV), the bare name of one that comes with the program, or - for standard input. RESULTS receives one JSON object a line: a first
    line about the whole, one line for each row in order, and a last line. A row that cannot be read, or a body that cannot
    be drafted, has a line that says why, and the others go on.

    A run that was cut short resumes where it ended when the same command is given again; the results are the same, byte for
    byte, as those of a run that was left alone, on however many processes.
    """
    request = _BatchRequest(**parameters)
    if request.cluster is not None and request.processes > 1:
        raise click.UsageError("Give --processes or --cluster, not both.")
    if request.bodies == "-" and sys.stdin.isatty():
        raise click.UsageError("Name a table of bodies, or send one to standard input.")
    report = Report(
        context,
        request.as_json,
        {"command": "batch", "style": request.style, "results": request.results.as_posix(), "bodies": 0, "passed": 0},
    )
    try:
        summary = _batch(report, request)
    except KeyboardInterrupt:
        where = f"The results so far are in {request.results.as_posix()}; the same" if report.facts["bodies"] else "The same"
        click.echo(f"\nStopped. {where} command resumes from there.", err=True)
        report.end("", STOPPED)
    click.echo(summary, err=True)
    report.end("", DONE if report.facts["passed"] == report.facts["bodies"] else ERRORS)


@dataclass(frozen=True, slots=True)
class _BatchRequest:
    """What the command was asked for, as its options say it."""

    style: str
    bodies: str
    results: Path
    settings: tuple[str, ...]
    house: str | None
    unit: str | None
    processes: int
    cluster: str | None
    points: bool
    anonymous: bool
    again: bool
    as_json: bool


def _batch(report: Report, request: _BatchRequest) -> str:
    """Read what is asked for and draft it; how it ended, in words."""
    from ...session import Session
    from ..files import find_house, find_sizes, find_style, open_table

    if request.processes > 1:
        from ...batch import workers

        workers.get_ready()
    style_path, wrong = find_style(request.style)
    house_path, house_wrong = find_house(request.house)
    table_path, table_wrong = (None, []) if request.bodies == "-" else find_sizes(request.bodies)
    report.stop_if_wrong([*wrong, *house_wrong, *table_wrong])
    reading = Session(keep=True).read(sure(style_path))
    report.stop_if_wrong(reading.diagnostics)
    read = reading.sound
    opened, diagnostics = reading.house(house_path)
    report.stop_if_wrong(diagnostics)
    usual = sure(opened)
    choices, diagnostics = reading.choices(request.settings)
    report.stop_if_wrong(diagnostics)
    file, diagnostics = open_table(table_path, "a size table (CSV)")
    report.stop_if_wrong(diagnostics)
    with sure(file) as lines, report.stopping():
        from ...batch.order import Order
        from ...batch.results import get_ready
        from ...batch.workers import workers_for
        from ...bodies.stream import RowReader, TableStream

        table = TableStream(lines, "standard input" if request.bodies == "-" else request.bodies, request.anonymous)
        reader = RowReader(table.heading, read.measurements, read.doubts, read.needed, table.name, table.heading_line or 1)
        report.stop_if_wrong(reader.about_heading)
        order = Order(
            reading.source,
            reading.opened.texts,
            read.needed,
            table.heading,
            choices,
            usual.allowances if request.house is not None else {},
            request.unit or (usual.unit if request.house else "") or reader.unit,
            request.points,
        )
        get_ready(order, read)
        return _draft(
            report, read, order, table, table_path, request.results, request.again, workers_for(request.processes, request.cluster)
        )


def _draft(
    report: Report, read: Style, order: Order, table: TableStream, path: Path | None, results: Path, again: bool, workers: Workers
) -> str:
    """Draft what is wanting; how it ended, in words."""
    from ...batch.log import Log, head, stopped
    from ...batch.run import draft_all
    from ...batch.workers import Stopped
    from ..progress import Progress

    plan = read.plan()
    about: dict[str, object] = {"name": plan.name, "title": plan.title, "version": plan.version}
    with Log(results, head(order, about), again, table.name) as log, Progress("drafting", _count(path)) as progress:
        try:
            draft_all(order, table.shares(order.share), log, workers, lambda count: progress.add(count - progress.done))
        except Stopped as problem:
            raise stopped(problem, results) from problem
        finally:
            report.facts.update(bodies=log.count, passed=log.passed)
        failed = log.count - log.passed
        outcome = f"already whole: {results.as_posix()}" if log.untouched else f"written: {results.as_posix()}"
        return f"{outcome}; {log.count} bodies, {log.passed} passed" + (f", {failed} failed" if failed else "")


def _count(path: Path | None) -> int | None:
    """About how many rows a table has, where that is cheap to know and anyone is there to see it."""
    if path is None or not sys.stderr.isatty() or not path.is_file():
        return None
    with open(path, "rb") as file:
        return max(0, sum(piece.count(b"\n") for piece in iter(lambda: file.read(1 << 20), b"")) - 1)
