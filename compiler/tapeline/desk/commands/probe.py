"""`tapeline probe`: which bodies a style cannot take, and what is proved of it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from ...source.units import SHOWN
from .. import options
from ..populations import USUAL
from ..report import DONE, ERRORS, EXIT_CODES, Report, sure

if TYPE_CHECKING:
    from ...probing.tries import Tries
    from ...session import Reading

COUNT, MOST = 2048, 1_000_000


def _two(context: click.Context, parameter: click.Parameter, words: str | None) -> tuple[str, ...]:
    names = tuple(name.strip() for name in words.split(",")) if words else ()
    if words and (len(names) != 2 or not all(names)):
        raise click.BadParameter(f"{words!r} names no two measures, as waist,hip does.")
    return names


@click.command(epilog=EXIT_CODES.replace("  1   the style", "  1   some body fails, or the style"))
@click.argument("style")
@options.set_choices("a choice of the style for all bodies, as in --set length='82 cm'")
@click.option(
    "--bodies",
    "population",
    metavar="TABLE",
    default=USUAL,
    show_default=True,
    help="The population: a table of bodies (CSV), - for standard input, or the name of one that comes with the program.",
)
@click.option(
    "--count",
    type=click.IntRange(1, MOST),
    default=COUNT,
    show_default=True,
    metavar="N",
    help="How many bodies are spread over the declared ranges.",
)
@click.option(
    "--across",
    "pair",
    metavar="MEASURE,MEASURE",
    callback=_two,
    help="The two measures of the picture; those that tell most of failing, if not said.",
)
@options.folder("the report, the picture with its table, and a card of each failing body", required=False)
@options.workers
@click.option(
    "--unit",
    type=click.Choice(SHOWN),
    default="cm",
    show_default=True,
    help="Show lengths in this unit; choices with two defaults go by it.",
)
@click.option("--overwrite", is_flag=True, help="Replace files even if this program did not make them.")
@click.option("--json", "as_json", is_flag=True, help="Print what was found as one JSON object.")
@click.pass_context
def probe(
    context: click.Context,
    style: str,
    settings: tuple[str, ...],
    population: str,
    count: int,
    pair: tuple[str, ...],
    processes: int,
    cluster: str | None,
    folder: Path | None,
    unit: str,
    overwrite: bool,
    as_json: bool,
) -> None:
    """Draft STYLE for thousands of bodies and tell which it cannot take.

    STYLE is the path of a style, or the bare name of one that comes with the program. Bodies are spread evenly over
    the declared ranges of its measures and choices, and taken from a population. Each kind of failure is brought down
    to the simplest body that has it, with the rule that fails and how far each measure may go. Conditions that rest
    on arithmetic and straight lines alone are proved where they can be.
    """
    from ...batch.workers import Stopped
    from ...making.writing import write_all
    from ...probing.cases import cases_of
    from ...probing.probe import probe as probed
    from ...probing.telling import data_of, text_of
    from ...session import Session
    from ..files import find_style
    from ..populations import open_population
    from ..probed import pair_named, papers
    from ..progress import Progress

    if cluster is not None and processes > 1:
        raise click.UsageError("Give --processes or --cluster, not both.")
    report = Report(context, as_json, {"command": "probe", "style": style, "files": []})
    path, diagnostics = find_style(style)
    report.stop_if_wrong(diagnostics)
    reading = Session(keep=True).read(sure(path))
    report.stop_if_wrong(reading.diagnostics)
    read = reading.sound
    choices, diagnostics = reading.choices(settings)
    report.stop_if_wrong(diagnostics)
    women, diagnostics = open_population(population, read)
    report.stop_if_wrong(diagnostics)
    names, diagnostics = pair_named(read, choices, pair, unit)
    report.stop_if_wrong(diagnostics)

    try:
        result = probed(read, choices, women, count, unit, Progress, _tries(reading, processes, cluster, choices, unit))
    except Stopped as problem:
        report.stop_if_wrong([problem.diagnostic()])
    cases = cases_of(result)
    report.facts |= data_of(result, cases)
    words = text_of(result, cases, style, None if folder is None else folder.as_posix())
    if folder is not None:
        paths, diagnostics = write_all(folder, papers(result, cases, names, style, words), overwrite)
        report.stop_if_wrong(diagnostics)
        report.facts["files"] = [file.as_posix() for file in paths]
        words += "\n" + "\n".join(f"written: {file.as_posix()}" for file in paths)
    report.end(words, ERRORS if result.fails else DONE)


def _tries(reading: Reading, processes: int, cluster: str | None, choices: dict[str, float], unit: str) -> Tries | None:
    """Who tries the bodies, if others than this process: they are sent the texts of the style."""
    if cluster is None and processes == 1:
        return None
    from ...batch.order import Order
    from ...batch.workers import workers_for
    from ...probing.tries import by

    return by(workers_for(processes, cluster), Order(reading.source, reading.opened.texts, (), "", choices, unit=unit))
