"""`tapeline why`: the rules behind one place of a draft, each with its sum, and how far each measure moves it."""

from __future__ import annotations

from datetime import date as Day
from datetime import datetime

import click

from ...source.units import SHOWN
from .. import options
from ..report import EXIT_CODES, Report, sure


@click.command(epilog=EXIT_CODES)
@click.argument("style")
@click.argument("place", nargs=-1, required=True)
@click.option(
    "--for", "body", required=True, metavar="BODY", help="A body card (TOML), or the bare name of one that comes with the program."
)
@options.set_choices()
@options.house()
@click.option("--unit", type=click.Choice(SHOWN), help="Show lengths in this unit instead of the house's or the card's.")
@options.date("Draft by the measuring of this date, and the fittings up to it; else today's.")
@options.measured()
@click.option("--accept", is_flag=True, help="Use measures that are hard to believe all the same.")
@click.option("--without-fittings", "unfitted", is_flag=True, help="Take none of the client's fittings.")
@click.option(
    "--depth",
    type=click.IntRange(min=0),
    help="How many rules that are drawn are told below one another; else one. Quantities are told down to the measures.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the whole tree as one JSON object: lengths in mm.")
@click.pass_context
def why(
    context: click.Context,
    style: str,
    place: tuple[str, ...],
    body: str,
    settings: tuple[str, ...],
    house: str | None,
    unit: str | None,
    date: datetime,
    measured: Day | None,
    accept: bool,
    unfitted: bool,
    depth: int | None,
    as_json: bool,
) -> None:
    """Tell why PLACE of STYLE is as it is for one body: the rules from it down to the measures, each with its sum, and how far each
    measure and choice moves it.

    PLACE is a quantity of the style, a point or edge such as front.hip_side, a dart, a mark or a notch, "girth at hip",
    "width of front at hip", "allowance of front.side", "dart of front.waist", "level hip", a piece, or the rule at a line, skirt.style:13.
    """
    from ...session import Session
    from ...why.telling import USUAL_DEPTH
    from ..files import find_body, find_house, find_style

    words = " ".join(place)
    report = Report(context, as_json, {"command": "why", "style": style, "body": body, "place": words})
    style_path, wrong = find_style(style)
    card, card_wrong = find_body(body)
    house_path, house_wrong = find_house(house)
    report.stop_if_wrong([*wrong, *card_wrong, *house_wrong])

    session, path, client = Session(keep=True), sure(style_path), sure(card)
    if unfitted:
        reading = session.read(path)
    else:
        reading, of_fittings = session.read_for(path, client, date.date())
        report.stop_if_wrong(of_fittings)
    report.stop_if_wrong(reading.diagnostics)
    drafts = reading.draft([client], settings, unit, house_path, accept, date, measured)
    report.stop_if_wrong(drafts.diagnostics)
    (drafted,) = drafts
    answer, diagnostics = drafted.reasons().why(words)
    report.stop_if_wrong(diagnostics)
    told = sure(answer)
    report.facts |= {name: value for name, value in told.as_data().items() if name not in report.facts}
    report.end("\n".join(told.lines(USUAL_DEPTH if depth is None else depth)))
