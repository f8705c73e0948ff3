"""`tapeline explain`: what the code of a diagnostic means, with an example mended; how a measure is taken; what a library offers."""

from __future__ import annotations

import sys

import click

from ..report import EXIT_CODES, Report


@click.command(epilog=EXIT_CODES)
@click.argument("topic", metavar="[CODE | MEASURE | LIBRARY | RECIPE]", required=False)
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def explain(context: click.Context, topic: str | None, as_json: bool) -> None:
    """Explain CODE, the code of a diagnostic, with an example that gives it and the same example mended; MEASURE, a measure of
    the standard library: how it is taken, by which standard, and between what bounds it is believed; LIBRARY, one in this folder or
    of the standard library: its recipes, rules and checks with their parameters; or RECIPE, one of these, as in gores.gore.

    Without any, list every code and its title.
    """
    from ..explaining import codes, find_page, listing, measure_facts, measure_text, measures, show, title
    from ..libraries import entry_facts, entry_text, find_entries, find_library, library_facts, library_text

    report = Report(context, as_json, {"command": "explain"})
    if topic is None:
        report.facts["codes"] = [{"code": code, "title": title(code)} for code in codes()]
        report.end(listing())
        return
    if (measure := measures().get(topic.strip())) is not None:
        report.facts |= measure_facts(measure)
        report.end(measure_text(measure))
    if topic.strip().upper() not in codes():
        library, diagnostics = find_library(topic.strip())
        report.stop_if_wrong(diagnostics)
        if library is not None:
            report.facts |= library_facts(library)
            report.end(library_text(library))
        if entries := find_entries(topic.strip()):
            report.facts["entries"] = [entry_facts(*entry) for entry in entries]
            report.end("\n\n".join(entry_text(entry) for _, entry in entries))
    report.facts["code"], page, diagnostics = find_page(topic)
    report.stop_if_wrong(diagnostics)
    report.facts |= {"title": title(report.facts["code"]), "page": page}
    if not as_json:
        show(page, sys.stdout)
    report.end("")
