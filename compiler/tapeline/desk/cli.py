"""The command `tapeline`: a thin shell that names files, prints what was found, and sets the exit code.

    tapeline check STYLE                          is the style in order, and do its worked examples come out
    tapeline draft STYLE --for BODY -o FOLDER     the pattern of one body, on any of its papers and as data
    tapeline picture PDF --page N -o FOLDER       a page of a PDF as a picture, to send
    tapeline explain CODE                         what the code of a diagnostic means, with an example mended

Exit codes: 0 in order (cautions allowed); 1 the style, the card, the house or the draft has errors; 2 the command was
not written as it should be; 3 a file cannot be read or written; 70 a fault of the program itself.  Results go
to standard output, diagnostics to standard error; with `--json` all goes to standard output as one object.
Libraries that only one command needs are imported when that command runs.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path

import click

from ..source.diagnostics import Diagnostic, as_data, has_errors, render
from .papers import ALL, KINDS, USUAL, kinds_in, make_papers

DONE, ERRORS, USAGE, FILES, FAULT = 0, 1, 2, 3, 70
EXIT_CODES = """
\b
Exit codes:
  0   in order (cautions allowed)
  1   the style, the card, the house or the draft has errors
  2   the command is not written as it should be
  3   a file cannot be read or written
  70  a fault of the program itself
"""
UNITS = ("cm", "mm", "in")


@click.group(epilog=EXIT_CODES, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="tapeline", prog_name="tapeline")
def program():
    """Pattern pieces from the drafting rules of a garment and the measurements of a body."""


@program.command(epilog=EXIT_CODES)
@click.argument("style")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def check(context, style, as_json):
    """Read STYLE, report everything wrong in it, and run its worked examples.

    STYLE is the path of a style, or the bare name of one that comes with the program.
    """
    from .files import find
    from .making import open_style

    report = _Report(context, as_json, {"command": "check", "style": style})
    path, found = find(style, ".style", ".", "style")
    report.stop_if_wrong(found)
    read, found = open_style(path)
    if read is not None and any(plan.examples for plan in read.plans()):
        from ..drafting.examples import run_examples

        found = [*found, *run_examples(read)]
    report.stop_if_wrong(found)
    report.end(f"{path.name}: in order" + _examples_said(read))


def _examples_said(style) -> str:
    count = len({example.span for plan in style.plans() for example in plan.examples})
    return "" if not count else f", {count} worked example{'s come' if count > 1 else ' comes'} out"


def _kinds(context, parameter, words: str) -> tuple[str, ...]:
    try:
        return kinds_in(words)
    except ValueError as unknown:
        raise click.BadParameter(f"{str(unknown)!r} is not one of: {', '.join(KINDS)}, {ALL}.") from None


@program.command(epilog=f"""\b
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
    from ..paper.pages import PaperRefused
    from .files import find, write_all
    from .making import make, open_card, open_house, open_style

    for setting in settings:
        if "=" not in setting or not setting.partition("=")[0].strip():
            raise click.BadParameter(f"{setting!r} is not of the form NAME=VALUE.", param_hint="--set")
    report = _Report(context, as_json, {"command": "draft", "style": style, "body": body, "files": []})
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
        from .tables import print_ledgers

        print_ledgers(made.draft.ledgers, made.finished, made.unit, sys.stdout, house.fraction)
    report.end("\n".join(f"written: {path.as_posix()}" for path in paths))


@program.command(epilog=EXIT_CODES)
@click.argument("pdf", type=click.Path(path_type=Path))
@click.option("--page", type=click.IntRange(min=1), default=1, show_default=True, metavar="N", help="Which page, from 1.")
@click.option("-o", "--output", "folder", required=True, metavar="FOLDER", type=click.Path(path_type=Path),
              help="The folder to write the picture into.")
@click.option("--overwrite", is_flag=True, help="Replace a file even if this program did not make it.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def picture(context, pdf, page, folder, overwrite, as_json):
    """Make a picture (PNG) of one page of PDF, to look at or to send. Cut from the PDF, never from the picture."""
    from .files import write_all
    from .picturing import picture_of

    report = _Report(context, as_json, {"command": "picture", "pdf": pdf.as_posix(), "page": page, "files": []})
    contents, found = picture_of(pdf, page)
    report.stop_if_wrong(found)
    paths, found = write_all(folder, contents, overwrite)
    report.stop_if_wrong(found)
    report.facts["files"] = [path.as_posix() for path in paths]
    report.end("\n".join(f"written: {path.as_posix()}" for path in paths))


@program.command(epilog=EXIT_CODES)
@click.argument("code", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def explain(context, code, as_json):
    """Explain CODE, the code of a diagnostic, with an example that gives it and the same example mended.

    Without a CODE, list every code and its title.
    """
    from .explaining import codes, find_page, listing, show, title

    report = _Report(context, as_json, {"command": "explain"})
    if code is None:
        report.facts["codes"] = [{"code": one, "title": title(one)} for one in codes()]
        report.end(listing())
        return
    report.facts["code"], page, found = find_page(code)
    report.stop_if_wrong(found)
    report.facts |= {"title": title(report.facts["code"]), "page": page}
    if not as_json:
        show(page, sys.stdout)
    report.end("")


class _Report:
    """What one command has found so far, and the two ways of telling it."""

    def __init__(self, context: click.Context, as_json: bool, facts: dict):
        self.context, self.as_json, self.facts = context, as_json, facts
        self.found: list[Diagnostic] = []

    def stop_if_wrong(self, diagnostics: Iterable[Diagnostic]) -> None:
        """Take note of diagnostics; tell them and end the command if one is an error."""
        diagnostics = list(diagnostics)
        self.found += diagnostics
        for diagnostic in diagnostics:
            if not self.as_json:
                click.echo(render(diagnostic) + "\n", err=True)
        if has_errors(diagnostics):
            wrong = [one for one in diagnostics if one.severity == "error"]
            self._leave(FILES if all(one.code.startswith("F") for one in wrong) else ERRORS)

    def end(self, words: str) -> None:
        if words and not self.as_json:
            click.echo(words)
        self._leave(DONE)

    def _leave(self, code: int) -> None:
        if self.as_json:
            data = {**self.facts, "exit": code, "diagnostics": [as_data(one) for one in self.found]}
            click.echo(json.dumps(data, indent=1, ensure_ascii=False))
        elif self.found and self.facts["command"] != "explain":
            first = next((one for one in self.found if one.severity == "error"), self.found[0])
            click.echo(f"More about a code: tapeline explain {first.code}", err=True)
        self.context.exit(code)


def main() -> None:
    """Run the command; whatever goes wrong in it ends in a sentence."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="backslashreplace")
    try:
        program.main(prog_name="tapeline")
    except Exception as problem:  # the last resort: no user is shown a traceback
        said = " ".join(str(problem).split())[:200]
        kind = type(problem).__name__
        click.echo(f"tapeline: a fault of the program itself ({kind}{': ' + said if said else ''}); "
                   "please report it with the style and the card.", err=True)
        sys.exit(FAULT)


if __name__ == "__main__":
    main()
