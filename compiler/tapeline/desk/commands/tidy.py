"""`tapeline tidy`: texts in the one layout."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from ..report import DONE, ERRORS, EXIT_CODES, Report, sure


@click.command(epilog=EXIT_CODES)
@click.argument("files", nargs=-1, required=True, metavar="FILE...", type=click.Path(path_type=Path))
@click.option("--check", is_flag=True, help="Print what would change, and write nothing; exit code 1 where anything would.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def tidy(context: click.Context, files: tuple[Path, ...], check: bool, as_json: bool) -> None:
    """Put styles, libraries and fittings into the one layout.

    Words, figures and comments stay as they are.  Each text is read and drafted again before it is written: one that would not say the
    same is left alone.  Lines that cannot be read stay letter for letter, and are told; with --check they count as not tidy.
    """
    from ...session import Session
    from ...source.diagnostics import has_errors
    from ...source.text import visible
    from ...source.world import FolderWorld
    from ...syntax.parser import parse
    from ..tidying import as_file, first_changes, write_tidied

    report = Report(context, as_json, {"command": "tidy", "check": check, "files": [], "changed": []})
    world, contents, unread = FolderWorld(), dict[Path, bytes](), list[Path]()
    for path in files:
        source, diagnostics = world.text(path)
        report.stop_if_wrong(diagnostics)
        text, diagnostics = Session(world.beside(path)).read(sure(source)).tidied(drafts=True)
        report.stop_if_wrong(diagnostics)
        report.facts["files"].append(path.as_posix())
        if has_errors(parse(sure(source)).diagnostics):
            unread.append(path)
        content = as_file(path, text)
        if content != path.read_bytes():
            contents[path] = content
            if check and not as_json:
                click.echo(visible(first_changes(path, sure(source).text, text)))
    report.facts |= {"changed": [path.as_posix() for path in contents], "not_read": [path.as_posix() for path in unread]}
    told = [_said(unread, "not read in full, so some lines stay as they are (tapeline check says which)")] if unread else []
    kept = [path for path in files if path not in contents and path not in unread]
    if check:
        report.end("\n".join([*told, *([] if contents or unread else [_said(kept, "tidy")])]), ERRORS if contents or unread else DONE)
    report.stop_if_wrong(write_tidied(contents))
    report.end("\n".join(filter(None, [_said(list(contents), "tidied") if contents else _said(kept, "tidy"), *told])))


def _said(paths: Sequence[Path], word: str) -> str:
    return "\n".join(f"{word}: {path.as_posix()}" for path in paths)
