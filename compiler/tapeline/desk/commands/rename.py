"""`tapeline rename`: a name is called otherwise in a text and in all of its folder that share it."""

from __future__ import annotations

from pathlib import Path

import click

from ..report import EXIT_CODES, Report, sure


@click.command(epilog=EXIT_CODES)
@click.argument("file")
@click.argument("place", metavar="PLACE")
@click.argument("name", metavar="NAME")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def rename(context: click.Context, file: str, place: str, name: str, as_json: bool) -> None:
    """Call what stands at PLACE of FILE by another NAME, there and in every text of the folder that uses it.

    PLACE is a name, hip_ease or front.waist, or where one stands, LINE:COLUMN.  All texts are read again first: where any draft would
    change, or a mistake would be made, nothing is written and the reason told.
    """
    from ...editing.definitions import place_of, read_text
    from ...editing.renaming import edited, renamed
    from ...making.writing import write_all
    from ...source.world import FolderWorld
    from ..files import find_style

    report = Report(context, as_json, {"command": "rename", "file": file, "place": place, "name": name})
    path, diagnostics = find_style(file)
    report.stop_if_wrong(diagnostics)
    world, path = FolderWorld(), sure(path)
    source, diagnostics = world.text(path)
    report.stop_if_wrong(diagnostics)
    with report.stopping():
        offset = place_of(sure(read_text(world, path)), sure(source), place)
    renaming = renamed(world, path, offset, name)
    report.stop_if_wrong(renaming.notes)
    contents = {other.name: edited(renaming.edits[other]) for other in renaming.edits}
    _, diagnostics = write_all(Path(path).parent, contents, overwrite=True)
    report.stop_if_wrong(diagnostics)
    count = sum(map(len, renaming.edits.values()))
    report.facts |= {"words": count, "files": sorted(contents)}
    report.end(f"{count} word{'s' * (count != 1)} in {', '.join(sorted(contents))}: {name}; every draft is as it was")
