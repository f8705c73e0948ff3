"""`tapeline lock`: a style's drafts over some sizes, recorded in a text file that can be reviewed and compared with later."""

from __future__ import annotations

from pathlib import Path

import click

from ..locked import LOCKED
from ..options import listed, settings
from ..report import EXIT_CODES, Report, sure


def _target(context: click.Context, parameter: click.Parameter, path: Path) -> Path:
    if path.suffix != LOCKED:
        raise click.BadParameter(f"{path.as_posix()!r} does not end in {LOCKED}, by which a lock is known.")
    return path


@click.command(epilog=EXIT_CODES)
@click.argument("style")
@click.option(
    "--for",
    "bodies",
    multiple=True,
    metavar="BODY",
    help="A body card (TOML), or the bare name of one that comes with the program. May be repeated.",
)
@click.option(
    "--sizes",
    "table",
    metavar="TABLE",
    help="Instead of --for: a size table (CSV), a folder of body cards, or the bare name of a table of the program's.",
)
@click.option("--only", metavar="SIZE,...", callback=listed, help="Some sizes of the table alone.")
@click.option("--with", "lender", metavar="CARD", help="A body card for the measures that the table has not.")
@click.option(
    "--set",
    "said",
    multiple=True,
    metavar="NAME=VALUE",
    callback=settings,
    help="Set a choice of the style, as in --set length='82 cm'. May be repeated.",
)
@click.option(
    "--house",
    metavar="HOUSE",
    help="A house file (TOML), or the bare name of one that comes with the program, for its seam allowances.",
)
@click.option(
    "-o",
    "--output",
    "target",
    required=True,
    metavar="FILE",
    type=click.Path(path_type=Path),
    callback=_target,
    help=f"The file to write; its name ends in {LOCKED}.",
)
@click.option("--accept", is_flag=True, help="Use measures that are hard to believe all the same.")
@click.option("--overwrite", is_flag=True, help="Replace the file even if this program did not make it.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def lock(
    context: click.Context,
    style: str,
    bodies: tuple[str, ...],
    table: str | None,
    only: tuple[str, ...],
    lender: str | None,
    said: tuple[str, ...],
    house: str | None,
    target: Path,
    accept: bool,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Draft STYLE over some sizes and record every place, edge and ledger in FILE, to 0.001 mm.

    The file is plain text: keep it beside the style, and tapeline compare tells what a change of the rules moves.
    It holds the sizes' measures, so neither the table nor the cards are needed again. A size that the style fails
    is recorded as failing.
    """
    from ...locking.lock import write_lock
    from ...session import Session
    from ..files import find_house, find_style, write_all
    from ..locked import cards_for, made_lock

    if bool(table) == bool(bodies):
        raise click.UsageError("Say either --for BODY or --sizes TABLE.")
    for name, value in (("--only", only), ("--with", lender)):
        if value and not table:
            raise click.UsageError(f"{name} belongs to --sizes.")
    report = Report(context, as_json, {"command": "lock", "style": style, "files": []})
    found_style, wrong = find_style(style)
    house_path, house_wrong = find_house(house)
    report.stop_if_wrong([*wrong, *house_wrong])
    path = sure(found_style)
    reading = Session(keep=True).read(path)
    report.stop_if_wrong(reading.diagnostics)
    cards, found = cards_for(reading, table, only, lender, bodies, accept)
    report.stop_if_wrong(found)
    opened, found = reading.house(house_path)
    report.stop_if_wrong(found)
    usual = sure(opened)
    choices, found = reading.choices(said)
    report.stop_if_wrong(found)
    done, found = made_lock(reading, style, path, target, cards, choices, usual, usual.unit or cards[0].unit)
    if done is None:
        report.stop_if_wrong(found)
    made = sure(done)
    paths, found = write_all(target.parent, {target.name: write_lock(made)}, overwrite)
    report.stop_if_wrong(found)
    report.facts |= {"files": [one.as_posix() for one in paths], "sizes": list(made.sizes), "failing": made.fails}
    told = [f"size {size} fails: {words}" for size, words in made.fails.items()]
    drafted = len(made.sizes) - len(made.fails)
    told.append(f"written: {paths[0].as_posix()}, {drafted} size{'s' if drafted != 1 else ''} of {made.style}")
    report.end("\n".join(told))
