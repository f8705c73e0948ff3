"""`tapeline open`: the page on which a style is written and its drawing followed."""

from __future__ import annotations

from pathlib import Path

import click

from .. import options
from ..report import EXIT_CODES, FILES, Report, sure


@click.command("open", epilog=EXIT_CODES)
@click.argument("style")
@click.option("--for", "body", metavar="BODY", help="A body card (TOML), or the bare name of one that comes with the program.")
@options.house()
@click.option("--port", type=click.IntRange(1, 65535), help="Serve the page on this port of this machine; else on one of its own.")
@click.option("--no-browser", "quiet", is_flag=True, help="Only tell the address; open no browser.")
@click.pass_context
def open(context: click.Context, style: str, body: str | None, house: str | None, port: int | None, quiet: bool) -> None:
    """Open STYLE on a page of this machine: its text on the left, its drawing on the right, in the browser.

    A style that comes with the program is opened to look at; saving it makes a copy in the working folder.  Only this machine can
    reach the page.  Ctrl-C ends it.
    """
    import asyncio
    import webbrowser

    from ...serving.page import serve_page
    from ...serving.safety import open_door
    from ...serving.saving import ServedFolder
    from ...serving.worker import collect_seldom
    from ...source.world import FolderWorld
    from ..files import find_body, find_house, find_style

    report = Report(context, False, {"command": "open"})
    path, wrong = find_style(style)
    card, card_wrong = find_body(body)
    workshop, house_wrong = find_house(house)
    report.stop_if_wrong([*wrong, *card_wrong, *house_wrong])
    found = sure(path).resolve()
    world = FolderWorld()
    report.stop_if_wrong([one for file in (found, card, workshop) if file is not None for one in world.text(file)[1]])
    shipped = found.is_relative_to(world.styles.resolve()) and Path(style).name == style and not Path(style).exists()
    served = ServedFolder(
        Path.cwd().resolve() if shipped else found.parent,
        found,
        "" if card is None else _named(card, body),
        "" if workshop is None else _named(workshop, house),
    )
    try:
        door = open_door(served.folder, port)
    except OSError as problem:
        click.echo(f"tapeline: port {port} of this machine cannot be had ({(problem.strerror or 'taken').lower()}).", err=True)
        context.exit(FILES)

    def ready() -> None:
        click.echo(f"The desk is open: {door.address}\nCtrl-C ends it.")
        if not quiet:
            webbrowser.open(door.address)

    collect_seldom()
    asyncio.run(serve_page(served, door, ready))
    click.echo("The desk is closed; what was not saved is kept beside the style.")


def _named(path: Path, word: str | None) -> str:
    """A card or house as the page names it: by the bare name it was given, else by its resolved path."""
    return str(word) if word and "." not in word and "/" not in word else str(path.resolve())
