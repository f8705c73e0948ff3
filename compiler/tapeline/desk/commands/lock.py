"""`tapeline lock`: a style's drafts over some sizes, recorded in a text file that can be reviewed and compared with later."""

from __future__ import annotations

from pathlib import Path

import click

from .. import options
from ..locked import LOCKED
from ..options import listed
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
@options.set_choices()
@options.house(", for its seam allowances")
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
    settings: tuple[str, ...],
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
    from ...making.writing import write_all
    from ...session import Session
    from ..files import find_house, find_style
    from ..locked import cards_for, made_lock

    if bool(table) == bool(bodies):
        raise click.UsageError("Say either --for BODY or --sizes TABLE.")
    for name, value in (("--only", only), ("--with", lender)):
        if value and not table:
            raise click.UsageError(f"{name} belongs to --sizes.")
    report = Report(context, as_json, {"command": "lock", "style": style, "files": []})
    style_path, wrong = find_style(style)
    house_path, house_wrong = find_house(house)
    report.stop_if_wrong([*wrong, *house_wrong])
    path = sure(style_path)
    reading = Session(keep=True).read(path)
    report.stop_if_wrong(reading.diagnostics)
    cards, diagnostics = cards_for(reading, table, only, lender, bodies, accept)
    report.stop_if_wrong(diagnostics)
    opened, diagnostics = reading.house(house_path)
    report.stop_if_wrong(diagnostics)
    usual = sure(opened)
    choices, diagnostics = reading.choices(settings)
    report.stop_if_wrong(diagnostics)
    made, diagnostics = made_lock(reading, style, path, target, cards, choices, usual, usual.unit or cards[0].unit)
    if made is None:
        report.stop_if_wrong(diagnostics)
    recorded = sure(made)
    paths, diagnostics = write_all(target.parent, {target.name: write_lock(recorded)}, overwrite)
    report.stop_if_wrong(diagnostics)
    report.facts |= {"files": [file.as_posix() for file in paths], "sizes": list(recorded.sizes), "failing": recorded.fails}
    lines = [f"size {size} fails: {words}" for size, words in recorded.fails.items()]
    drafted = len(recorded.sizes) - len(recorded.fails)
    lines.append(f"written: {paths[0].as_posix()}, {drafted} size{'s' if drafted != 1 else ''} of {recorded.style}")
    report.end("\n".join(lines))
