"""`tapeline draft`: the pattern of one body, on any of its papers and as data."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from ..papers import ALL, KINDS, USUAL, kinds_in, make_papers
from ..report import EXIT_CODES, Report

UNITS = ("cm", "mm", "in")


def _kinds(context, parameter, words: str) -> tuple[str, ...]:
    try:
        return kinds_in(words)
    except ValueError as unknown:
        raise click.BadParameter(f"{str(unknown)!r} is not one of: {', '.join(KINDS)}, {ALL}.") from None


@click.command(epilog=f"""\b
Papers:
{chr(10).join(f"  {name:<6}{kind.words}" for name, kind in KINDS.items())}
  {ALL:<6}every one of these

{EXIT_CODES}""")
@click.argument("style")
@click.option("--for", "body", required=True, metavar="BODY",
              help="A body card (TOML), or the bare name of one that comes with the program.")
@click.option("--set", "settings", multiple=True, metavar="NAME=VALUE",
              help="Set a choice of the style, as in --set length='82 cm'. May be repeated.")
@click.option("-o", "--output", "folder", required=True, metavar="FOLDER", type=click.Path(path_type=Path),
              help="The folder to write the pattern into.")
@click.option("--papers", "kinds", metavar="KIND,...", default=",".join(USUAL), show_default=True, callback=_kinds,
              help="The papers to write, parted by commas; see below.")
@click.option("--house", metavar="HOUSE",
              help="A house file (TOML), or the bare name of one that comes with the program.")
@click.option("--opened", is_flag=True, help="Draw pieces cut on the fold whole.")
@click.option("--unit", type=click.Choice(UNITS), help="Show lengths in this unit instead of the house's or the card's.")
@click.option("--accept", is_flag=True, help="Use measures that are hard to believe all the same.")
@click.option("--overwrite", is_flag=True, help="Replace files even if this program did not make them.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def draft(context, style, body, settings, folder, kinds, house, opened, unit, accept, overwrite, as_json):
    """Draft STYLE for one body and write its pieces at true size.

    STYLE is the path of a style, or the bare name of one that comes with the program. The folder receives
    the papers asked for, usually the drawing, <style>.svg, and the same pattern as data, pattern.json.
    Nothing is written if there is an error.
    """
    from ...paper.pages import PaperRefused
    from ..files import find, write_all
    from ..making import make, open_card, open_house, open_style

    for setting in settings:
        if "=" not in setting or not setting.partition("=")[0].strip():
            raise click.BadParameter(f"{setting!r} is not of the form NAME=VALUE.", param_hint="--set")
    report = Report(context, as_json, {"command": "draft", "style": style, "body": body, "files": []})
    style_path, wrong = find(style, ".style", ".", "style")
    card_path, card_wrong = find(body, ".toml", "bodies", "body")
    house_path, house_wrong = find(house, ".toml", "houses", "house") if house is not None else (None, [])
    report.stop_if_wrong([*wrong, *card_wrong, *house_wrong])

    read, found = open_style(style_path)
    report.stop_if_wrong(found)
    card, found = open_card(card_path, read, accept)
    report.stop_if_wrong(found)
    house, found = open_house(house_path)
    report.stop_if_wrong(found)
    made, found = make(read, card, settings, unit, house)
    report.stop_if_wrong(found)

    try:
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
