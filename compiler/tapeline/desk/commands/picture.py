"""`tapeline picture`: a page of a PDF as a picture, to send."""

from __future__ import annotations

from pathlib import Path

import click

from .. import options
from ..report import EXIT_CODES, Report


@click.command(epilog=EXIT_CODES)
@click.argument("pdf", type=click.Path(path_type=Path))
@click.option("--page", type=click.IntRange(min=1), default=1, show_default=True, metavar="N", help="Which page, from 1.")
@options.folder("the picture into")
@click.option("--overwrite", is_flag=True, help="Replace a file even if this program did not make it.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def picture(context: click.Context, pdf: Path, page: int, folder: Path, overwrite: bool, as_json: bool) -> None:
    """Make a picture (PNG) of one page of PDF, to look at or to send. Cut from the PDF, never from the picture."""
    from ...making.writing import write_all
    from ..picturing import picture_of

    report = Report(context, as_json, {"command": "picture", "pdf": pdf.as_posix(), "page": page, "files": []})
    contents, diagnostics = picture_of(pdf, page)
    report.stop_if_wrong(diagnostics)
    paths, diagnostics = write_all(folder, contents, overwrite)
    report.stop_if_wrong(diagnostics)
    report.facts["files"] = [path.as_posix() for path in paths]
    report.end("\n".join(f"written: {path.as_posix()}" for path in paths))
