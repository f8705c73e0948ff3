"""`tapeline explain`: what the code of a diagnostic means, with an example mended."""

from __future__ import annotations

import sys

import click

from ..report import EXIT_CODES, Report


@click.command(epilog=EXIT_CODES)
@click.argument("code", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def explain(context, code, as_json):
    """Explain CODE, the code of a diagnostic, with an example that gives it and the same example mended.

    Without a CODE, list every code and its title.
    """
    from ..explaining import codes, find_page, listing, show, title

    report = Report(context, as_json, {"command": "explain"})
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
