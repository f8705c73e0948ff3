"""`tapeline draft`: the pattern of one body or of several sizes, on any of its papers and as data."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ...paper.kinds import ALL, KINDS, USUAL, UnknownKind, kinds_in
from ...source.units import SHOWN
from ..options import listed, settings
from ..papers import make_papers
from ..progress import Progress
from ..report import EXIT_CODES, Report


def _kinds(context, parameter, words: str) -> tuple[str, ...]:
    try:
        return kinds_in(words)
    except UnknownKind as unknown:
        raise click.BadParameter(str(unknown)) from None


@click.command(
    epilog=f"""\b
Papers:
{chr(10).join(f"  {name:<6}{kind.words}" for name, kind in KINDS.items())}
  {ALL:<6}every one of these

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
@click.option(
    "--set",
    "said",
    multiple=True,
    metavar="NAME=VALUE",
    callback=settings,
    help="Set a choice of the style, as in --set length='82 cm'. May be repeated.",
)
@click.option(
    "-o",
    "--output",
    "folder",
    required=True,
    metavar="FOLDER",
    type=click.Path(path_type=Path),
    help="The folder to write the pattern into.",
)
@click.option(
    "--papers",
    "kinds",
    metavar="KIND,...",
    default=",".join(USUAL),
    show_default=True,
    callback=_kinds,
    help="The papers to write, comma-separated; see below.",
)
@click.option("--house", metavar="HOUSE", help="A house file (TOML), or the bare name of one that comes with the program.")
@click.option("--opened", is_flag=True, help="Draw pieces cut on the fold whole.")
@click.option("--unit", type=click.Choice(SHOWN), help="Show lengths in this unit instead of the house's or the card's.")
@click.option("--accept", is_flag=True, help="Use measures that are hard to believe all the same.")
@click.option("--overwrite", is_flag=True, help="Replace files even if this program did not make them.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def draft(
    context, style, body, sizes, only, lender, base, stacked, said, folder, kinds, house, opened, unit, accept, overwrite, as_json
):
    """Draft STYLE for one body, or in the sizes of a table, and write its pieces at true size.

    STYLE is the path of a style, or the bare name of one that comes with the program. The folder receives
    the papers asked for, usually the drawing, <style>.svg, and the same pattern as data, pattern.json.
    With --sizes it receives them of every size, <style>-<size>.svg, and the nest of all sizes, the
    grading sheet and table, and the grade rules with the base size's file for a cutter.
    Nothing is written if there is an error.
    """
    from ...paper.house.paper_sizes import PaperRefused
    from ..files import find_body, find_house, find_style, write_all
    from ..making import make, open_card, open_house, open_style

    if (body is None) == (sizes is None):
        raise click.UsageError("Say either --for BODY or --sizes TABLE.")
    if sizes is not None:
        _draft_sizes(context, **context.params)
        return
    for name, value in (("--only", only), ("--with", lender), ("--base", base), ("--together-at", stacked)):
        if value:
            raise click.UsageError(f"{name} belongs to --sizes.")
    report = Report(context, as_json, {"command": "draft", "style": style, "body": body, "files": []})
    style_path, wrong = find_style(style)
    card_path, card_wrong = find_body(body)
    house_path, house_wrong = find_house(house)
    report.stop_if_wrong([*wrong, *card_wrong, *house_wrong])

    read, found = open_style(style_path)
    report.stop_if_wrong(found)
    card, found = open_card(card_path, read, accept)
    report.stop_if_wrong(found)
    house, found = open_house(house_path)
    report.stop_if_wrong(found)
    with Progress("drafting"):
        made, found = make(read, card, said, unit, house)
    report.stop_if_wrong(found)

    try:
        with Progress("drawing"):
            papers = make_papers(made, house, kinds, opened, report.found)
    except PaperRefused as refused:
        report.stop_if_wrong([refused.diagnostic])
    paths, found = write_all(folder, papers, overwrite)
    report.stop_if_wrong(found)
    report.facts["files"] = [path.as_posix() for path in paths]
    if not as_json:
        from ..tables import print_ledgers

        print_ledgers(made.draft.ledgers, made.finished, made.unit, sys.stdout, house.fraction)
    report.end("\n".join(f"written: {path.as_posix()}" for path in paths))


def _draft_sizes(
    context, style, sizes, only, lender, base, stacked, said, folder, kinds, house, opened, unit, accept, overwrite, as_json, body
):
    """The command with --sizes; `body` is not said."""
    from ...paper.house.paper_sizes import PaperRefused
    from ...sizing.run import size_run
    from ..files import find_body, find_house, find_style, write_all
    from ..making import open_card, open_house, open_style
    from ..sizes import base_of, find_sizes, left_over, make_size_papers, make_sizes, sizes_for

    report = Report(context, as_json, {"command": "draft", "style": style, "sizes": sizes, "files": []})
    style_path, wrong = find_style(style)
    table_path, table_wrong = find_sizes(sizes)
    lender_path, lender_wrong = find_body(lender)
    house_path, house_wrong = find_house(house)
    report.stop_if_wrong([*wrong, *table_wrong, *lender_wrong, *house_wrong])

    read, found = open_style(style_path)
    report.stop_if_wrong(found)
    card, found = open_card(lender_path, read, accept, whole=False) if lender_path is not None else (None, [])
    report.stop_if_wrong(found)
    sizes, found = sizes_for(table_path, read, only, card, accept)
    report.stop_if_wrong(found)
    place, found = base_of(sizes, base)
    report.stop_if_wrong(found)
    house, found = open_house(house_path)
    report.stop_if_wrong(found)
    with Progress("drafting the sizes"):
        made, found = make_sizes(read, sizes, said, unit, house)
    report.stop_if_wrong(found)

    try:
        papers = make_size_papers(size_run(read, sizes, made, place), made, house, kinds, opened, report.found, stacked)
    except PaperRefused as refused:
        report.stop_if_wrong([refused.diagnostic])
    report.stop_if_wrong(papers.diagnostics)
    paths, found = write_all(folder, papers.papers, overwrite)
    report.stop_if_wrong(found)
    report.facts["files"] = [path.as_posix() for path in paths]
    left = left_over(folder, paths, read.plan().name)
    report.facts["left"] = [path.as_posix() for path in left]
    report.end(
        "\n".join(
            [
                papers.words,
                "",
                *(f"written: {path.as_posix()}" for path in paths),
                *(f"left of an earlier run: {path.as_posix()}" for path in left),
            ]
        )
    )
