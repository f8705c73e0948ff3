"""`tapeline begin`: a small style, a card and a house file, to begin with."""

from __future__ import annotations

import re
from pathlib import Path

import click

from ..report import EXIT_CODES, Report

_NAME = re.compile(r"[a-z][a-z0-9_]*")


@click.command(epilog=EXIT_CODES)
@click.argument("name")
@click.option("--no-page", is_flag=True, help="Only write the files; do not open the page.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object, and do not open the page.")
@click.pass_context
def begin(context: click.Context, name: str, no_page: bool, as_json: bool) -> None:
    """Write NAME.style, NAME.toml and house.toml into the working folder, and open the style on the page of this machine.

    NAME is lower-case letters, figures and _. The style is a small skirt, to change; the card holds invented figures, to be replaced by hers; the
    house file says how the papers are to be. No file that is there is touched: where one is, nothing is written.
    """
    from ..beginning import beginnings, write_new
    from .open import open

    if not _NAME.fullmatch(name):
        raise click.UsageError(f'A style is called by lower-case letters, figures and _, such as "first_skirt", not "{name}".', context)
    report = Report(context, as_json, {"command": "begin", "name": name, "files": []})
    contents = beginnings(name)
    report.stop_if_wrong(write_new(Path(), contents))
    report.facts["files"] = list(contents)
    told = "\n".join(f"written: {file}" for file in contents)
    if no_page or as_json:
        report.end(f"{told}\nNext: tapeline draft {name}.style --for {name}.toml --house house.toml -o {name}")
    click.echo(told)
    context.invoke(open, style=f"{name}.style", body=f"{name}.toml", house="house.toml", port=None, quiet=False)
