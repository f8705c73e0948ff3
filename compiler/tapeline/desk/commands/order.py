"""`tapeline order`: a client's order, written into a file that `tapeline draft` carries out."""

from __future__ import annotations

import os
from datetime import date as Day
from datetime import datetime
from pathlib import Path

import click

from ...orders import SUFFIX
from ...source.diagnostics import Diagnostic, refused
from .. import options
from ..report import EXIT_CODES, Report, sure


def _target(context: click.Context, parameter: click.Parameter, path: Path | None) -> Path | None:
    if path is not None and path.suffix != SUFFIX:
        raise click.BadParameter(f"{path.as_posix()!r} does not end in {SUFFIX}, by which an order is known.")
    return path


@click.command(epilog=EXIT_CODES)
@click.argument("style")
@click.option("--for", "client", required=True, metavar="CLIENT", help="Her body card (TOML), or its bare name.")
@options.set_choices()
@options.house()
@options.papers("The papers that are wanted, comma-separated, as those of tapeline draft.")
@click.option(
    "--bought",
    multiple=True,
    metavar="LENGTH",
    help="Cloth that was bought: '2.4 m', or '1 m for lining'. May be repeated.",
)
@options.date("The day of the order, as 2026-11-30; else today.")
@click.option("--due", metavar="DATE", callback=options.day, help="The day on which it is due, as 2026-12-12.")
@options.measured()
@click.option("--number", default="", metavar="NUMBER", help="A short number of the order, for anonymous papers.")
@click.option("--note", default="", metavar="WORDS", help="What else is to be remembered.")
@click.option(
    "-o",
    "--output",
    "target",
    metavar="FILE",
    type=click.Path(path_type=Path),
    callback=_target,
    help=f"The file to write; its name ends in {SUFFIX}. Else <client>-<style>{SUFFIX}, here.",
)
@click.option("--accept", is_flag=True, help="Use measures that are hard to believe all the same.")
@click.option("--overwrite", is_flag=True, help="Replace an order of this name.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def order(
    context: click.Context,
    style: str,
    client: str,
    settings: tuple[str, ...],
    house: str | None,
    kinds: tuple[str, ...],
    paper: tuple[str, ...],
    cloth: tuple[str, ...],
    bought: tuple[str, ...],
    date: datetime,
    due: Day | None,
    measured: Day | None,
    number: str,
    note: str,
    target: Path | None,
    accept: bool,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Write an order of STYLE for a client.

    STYLE, CLIENT and HOUSE are paths, or bare names of files beside the order or of what comes with the program.
    The order is tried by a draft before it is written. Draft it with: tapeline draft FILE
    """
    from ...making.writing import write_all
    from ...orders.order import ClientOrder, write_order
    from ...paper.kinds import USUAL
    from ...session import Session

    path = target or Path(f"{Path(client).stem}-{Path(style).stem}{SUFFIX}")
    report = Report(context, as_json, {"command": "order", "style": style, "client": client, "files": []})
    asked = ClientOrder(
        path.stem,
        _from(path, client),
        _from(path, style),
        house=_from(path, house or ""),
        papers=kinds or USUAL,
        paper=paper,
        cloth=cloth,
        bought=bought,
        date=date.date(),
        due=due,
        measured=measured,
        number=number,
        note=note,
        choices={name.strip(): value.strip() for name, _, value in (setting.partition("=") for setting in settings)},
    )
    made, diagnostics = Session(keep=True).take_order(path, asked, date, accept)
    if os.path.lexists(path) and not overwrite:
        diagnostics = [*diagnostics, _there_already(path)]
    report.stop_if_wrong(diagnostics)
    paths, diagnostics = write_all(path.parent, {path.name: write_order(sure(made))}, overwrite=True)
    report.stop_if_wrong(diagnostics)
    report.facts["files"] = [written.as_posix() for written in paths]
    report.end("\n".join(f"written: {written.as_posix()}" for written in paths))


def _from(order: Path, name: str) -> str:
    """A name as it stands in the order: a path as it is told from the order's folder."""
    from ...orders.opening import is_bare

    if not name or is_bare(name) or Path(name).is_absolute():
        return name
    try:
        return Path(os.path.relpath(name, order.parent)).as_posix()
    except ValueError:  # on another drive
        return Path(name).resolve().as_posix()


def _there_already(path: Path) -> Diagnostic:
    return refused(
        path.as_posix(),
        "O106",
        "There is an order of this name already",
        "a new name",
        "an order, or another file",
        "Choose another name with -o, or add --overwrite to replace it.",
    )
