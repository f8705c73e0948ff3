"""Tables on a screen or in a plain file: the ledgers of one draft among them (`making.ledger_tables`)."""

from __future__ import annotations

from collections.abc import Mapping
from os import get_terminal_size
from typing import TextIO

import click

from ..drafting.ledgers import Ledgers
from ..finishing.finished import Finished
from ..making.columns import Table
from ..making.ledger_tables import NONE_BEFORE, HouseLengths, ledger_tables
from ..paper.house.house import USUAL, House

WIDTH = 110  # of a table that does not go to a screen, at most


def print_ledgers(
    ledgers: Ledgers,
    finished: Finished,
    unit: str,
    stream: TextIO,
    house: House = USUAL,
    unfitted: Mapping[str, float] = NONE_BEFORE,
) -> None:
    """Print the ledgers of the single body of a draft to a text stream; `unfitted` are the sewn girths without her fittings."""
    for table in ledger_tables(ledgers, finished, HouseLengths(house, unit), unfitted):
        if table.rows:
            print_table(table, stream)


def print_table(table: Table, stream: TextIO) -> None:
    """On a screen its title and heads are bold, and it is as wide as the screen at most."""
    title, *rest = table.lines(_room(stream))
    rule = next(k for k, line in enumerate(rest) if "\u2500" in line)
    click.echo(
        "\n".join([click.style(title, bold=True), *(click.style(line, bold=True) for line in rest[:rule]), *rest[rule:]]), stream
    )


def _room(stream: TextIO) -> int:
    try:
        return get_terminal_size(stream.fileno()).columns or WIDTH if stream.isatty() else WIDTH
    except (OSError, ValueError):
        return WIDTH
