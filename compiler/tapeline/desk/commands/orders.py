"""`tapeline orders`: the orders in a folder, how each stands, and which pieces must be cut again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from .. import options
from ..progress import Progress
from ..report import DONE, ERRORS, EXIT_CODES, Report

if TYPE_CHECKING:
    from ...orders.moved import Anew
    from ...orders.standing import Standing
    from ...source.diagnostics import Diagnostic


@click.command(epilog=EXIT_CODES)
@click.argument("folder", default=".", type=click.Path(path_type=Path))
@options.date("The day as which it is told what is due, as 2026-11-30; else today.")
@click.option("--no-drafts", is_flag=True, help="Tell what has changed, but do not draft again to see what has moved.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def orders(context: click.Context, folder: Path, date: datetime, no_drafts: bool, as_json: bool) -> None:
    """List the orders in FOLDER, or here: what is drafted, when each is due, and what is stale.

    A draft is stale where the card, the style, a library that it uses, the house, the program or the order itself has changed since.
    Then it is drafted again, without a paper, and told which pieces must be cut again and which places have moved how far.
    """
    from ...session import Session
    from ...source.diagnostics import refused

    report = Report(context, as_json, {"command": "orders", "folder": folder.as_posix(), "orders": []})
    if not folder.is_dir():
        found = "no such folder" if not folder.exists() else "a file"
        report.stop_if_wrong(
            [refused(folder.as_posix(), "F001", "This is not a folder", "a folder with orders", found, "Check its name.")]
        )
    session = Session(keep=True)
    standings = session.orders(folder, date)
    stale = [one for one in standings if one.state == "stale"]
    with Progress("drafting again"):
        anew = {} if no_drafts else session.moved(stale)
    report.note(_of_orders((one, [*one.diagnostics, *(anew[one].diagnostics if one in anew else ())]) for one in standings))
    report.facts["orders"] = [_facts(one, anew.get(one)) for one in standings]
    wrong = any(one.state == "cannot be drafted" for one in standings)
    report.end(_words(standings, anew, date, folder), ERRORS if wrong else DONE)


def _of_orders(told: Iterable[tuple[Standing, Sequence[Diagnostic]]]) -> list[Diagnostic]:
    """What is said of the orders, each once, with the orders of which it is said."""
    from dataclasses import replace

    orders: dict[Diagnostic, list[str]] = {}
    for one, diagnostics in told:
        for said in dict.fromkeys(diagnostics):
            orders.setdefault(said, []).append(one.path.name)
    return [replace(said, body=", ".join([said.body] * bool(said.body) + names)) for said, names in orders.items()]


def _words(standings: Sequence[Standing], anew: dict[Standing, Anew], date: datetime, folder: Path) -> str:
    from ...making.columns import Table
    from ..tables import WIDTH

    if not standings:
        return f"There is no order in {folder.as_posix()}. Write one with: tapeline order STYLE --for CLIENT"
    table = Table(f"Orders, {date.date().isoformat()}")
    for head in ("order", "client", "style", "due", "drafted", "how it stands"):
        table.add_column(head)
    for one in standings:
        order = one.order
        due = "" if order is None or order.due is None else order.due.isoformat() + (", late" if one.late(date.date()) else "")
        table.add_row(
            one.name,
            "" if order is None else Path(order.client).stem,
            _styled(one),
            due,
            one.drafted,
            one.state,
        )
    lines = table.lines(WIDTH)
    for one in standings:
        if one.changed:
            lines += [*_since(one, anew.get(one)), ""]
    return "\n".join(lines).rstrip("\n")


def _styled(one: Standing) -> str:
    """The style of an order, and its version where it is not that which was ordered."""
    if one.order is None:
        return ""
    name, now = Path(one.order.style).stem, "" if one.style is None else one.style.plan().version
    return f"{name} {now}, ordered {one.order.version}" if now and one.order.version not in ("", now) else name


def _since(one: Standing, anew: Anew | None) -> list[str]:
    """What has changed of one order since it was drafted, and what has moved."""
    lines = [f"{one.name}, drafted {one.drafted}: changed since {'is' if len(one.changed) == 1 else 'are'} {'; '.join(one.changed)}"]
    if anew is None:
        return lines
    if anew.body is None or anew.moved is None:
        return [*lines, "  It cannot be drafted as it stands now."]
    if not anew.cut_again:
        return [*lines, "  Nothing has moved: the pieces are as they were cut."]
    from ...making.moved_words import in_short

    told = dict(zip(anew.moved.moved.changed, in_short(anew.moved), strict=True))
    return [*lines, "  to cut again:", *(f"    {told[piece].replace('_', ' ')}" for piece in anew.cut_again)]


def _facts(one: Standing, anew: Anew | None) -> dict[str, object]:
    from ...making.moved_words import as_data

    order = one.order
    return {
        "order": one.path.as_posix(),
        "client": None if order is None else order.client,
        "style": None if order is None else order.style,
        "due": None if order is None or order.due is None else order.due.isoformat(),
        "drafted": one.drafted or None,
        "papers": None if one.papers is None else one.papers.as_posix(),
        "state": one.state,
        "changed": list(one.changed),
        "cut_again": None if anew is None or anew.moved is None else list(anew.cut_again),
        "moved": None if anew is None or anew.moved is None else as_data(anew.moved),
    }
