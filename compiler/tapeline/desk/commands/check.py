"""`tapeline check`: is a style in order, and do its worked examples come out."""

from __future__ import annotations

import click

from ..report import EXIT_CODES, Report, sure


@click.command(epilog=EXIT_CODES)
@click.argument("style")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def check(context: click.Context, style: str, as_json: bool) -> None:
    """Read STYLE, report everything wrong in it, and run its worked examples.

    STYLE is the path of a style, or the bare name of one that comes with the program.
    """
    from ...session import Session
    from ..files import find_style

    report = Report(context, as_json, {"command": "check", "style": style})
    path, diagnostics = find_style(style)
    report.stop_if_wrong(diagnostics)
    reading = Session(keep=True).read(sure(path))
    count, wrong = reading.examples()
    report.stop_if_wrong([*reading.diagnostics, *wrong])
    report.facts["rules"] = reading.fingerprint
    examples = "" if not count else f", {count} worked example{'s come' if count > 1 else ' comes'} out"
    nothing = "" if reading.opened.has_pieces() else "; it has no piece, so there is nothing to cut"
    report.end(f"{sure(path).name}: in order{examples}{nothing}")
