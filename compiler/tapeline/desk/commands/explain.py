"""`tapeline explain`: what the code of a diagnostic means, with an example mended; or how a measure is taken."""

from __future__ import annotations

import sys

import click

from ..report import EXIT_CODES, Report


@click.command(epilog=EXIT_CODES)
@click.argument("asked", metavar="[CODE | MEASURE]", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def explain(context: click.Context, asked: str | None, as_json: bool) -> None:
    """Explain CODE, the code of a diagnostic, with an example that gives it and the same example mended; or MEASURE, a measure
    of the standard library: how it is taken, by which standard, and between what bounds it is believed.

    Without either, list every code and its title.
    """
    from ..explaining import codes, find_page, listing, measure_facts, measure_text, measures, show, title

    report = Report(context, as_json, {"command": "explain"})
    if asked is None:
        report.facts["codes"] = [{"code": one, "title": title(one)} for one in codes()]
        report.end(listing())
        return
    if (measure := measures().get(asked.strip())) is not None:
        report.facts |= measure_facts(measure)
        report.end(measure_text(measure))
    report.facts["code"], page, found = find_page(asked)
    report.stop_if_wrong(found)
    report.facts |= {"title": title(report.facts["code"]), "page": page}
    if not as_json:
        show(page, sys.stdout)
    report.end("")
