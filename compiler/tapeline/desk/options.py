"""What several commands ask for in the same way."""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime
from datetime import date as Day
from pathlib import Path
from typing import Any, TypeVar

import click

from ..paper.kinds import UnknownKind, kinds_in

F = TypeVar("F", bound=Callable[..., Any])


def listed(context: click.Context, parameter: click.Parameter, words: str | None) -> tuple[str, ...]:
    """Comma-separated names, each once; nothing where the option is not given, but not where it is given empty."""
    names = tuple(dict.fromkeys(name.strip() for name in (words or "").split(",") if name.strip()))
    if words is not None and not names:
        raise click.BadParameter("no name is given.")
    return names


def settings(context: click.Context, parameter: click.Parameter, texts: tuple[str, ...]) -> tuple[str, ...]:
    """What `--set` says of choices; what is said of them is read later, with the style."""
    for setting in texts:
        if "=" not in setting or not setting.partition("=")[0].strip():
            raise click.BadParameter(f"{setting!r} names no choice and its value, as length='82 cm' does.")
    return texts


def processes(context: click.Context, parameter: click.Parameter, words: str) -> int:
    """`--processes`: the number of worker processes, or as many as there are cores."""
    if words == "auto":
        return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if not words.isdecimal() or not 1 <= int(words) <= 1000:
        raise click.BadParameter(f"{words!r} is neither a number of worker processes nor auto.")
    return int(words)


def workers(command: F) -> F:
    """`--processes`, as `processes`, and `--cluster`: by whom the work is done."""
    cluster = click.option(
        "--cluster", metavar="ADDRESS", help="Draft on the Dask cluster whose scheduler is there. Needs the extra tapeline[cluster]."
    )
    return click.option(
        "--processes",
        metavar="N",
        default="1",
        show_default=True,
        callback=processes,
        help="Number of worker processes, or auto: one for each core.",
    )(cluster(command))


def set_choices(what: str = "a choice of the style, as in --set length='82 cm'") -> Callable[[F], F]:
    """`--set`, as `settings`."""
    return click.option(
        "--set", "settings", multiple=True, metavar="NAME=VALUE", callback=settings, help=f"Set {what}. May be repeated."
    )


def house(purpose: str = "") -> Callable[[F], F]:
    """`--house`, with what it is asked for."""
    return click.option(
        "--house",
        metavar="HOUSE",
        help=f"A house file (TOML), or the bare name of one that comes with the program{purpose}.",
    )


def moment(context: click.Context, parameter: click.Parameter, words: str | None) -> datetime:
    """`--date`: when the draft was made, to the minute, without a zone.  Else what SOURCE_DATE_EPOCH of the environment says (seconds
    since 1970, UTC), so that whatever builds with it has the same bytes again; else now.  The only clock that a paper rests on."""
    if words is not None:
        try:
            return datetime.fromisoformat(words.strip()).replace(tzinfo=None, second=0, microsecond=0)
        except ValueError:
            raise click.BadParameter(f"{words!r} is no date such as 2026-11-30, or date and time such as 2026-11-30T14:05.") from None
    said = os.environ.get("SOURCE_DATE_EPOCH", "").strip()
    if said:
        try:
            return datetime.fromtimestamp(int(said), UTC).replace(tzinfo=None, second=0, microsecond=0)
        except (ValueError, OverflowError, OSError):
            raise click.BadParameter(f"SOURCE_DATE_EPOCH is {said!r}, no number of seconds since 1970. Give --date.") from None
    return datetime.now().replace(second=0, microsecond=0)


OF_PAPERS = (
    "The date that the papers bear, as 2026-11-30 or 2026-11-30T14:05; else today's. With a date the same draft gives the same bytes."
)


def date(words: str = OF_PAPERS) -> Callable[[F], F]:
    """`--date`, as `moment`."""
    return click.option("--date", metavar="DATE", callback=moment, help=words)


def kinds(context: click.Context, parameter: click.Parameter, words: str | None) -> tuple[str, ...]:
    """`--papers`: the kinds of papers asked for; none where it is not given."""
    try:
        return () if words is None else kinds_in(words)
    except UnknownKind as unknown:
        raise click.BadParameter(str(unknown)) from None


def papers(words: str) -> Callable[[F], F]:
    """`--papers`, `--paper` and `--cloth`: what is written, and on or of what."""

    def asked(command: F) -> F:
        cloth = click.option(
            "--cloth",
            "cloth",
            multiple=True,
            metavar="WIDTH,...",
            help="Reckon the cloth at this width: 150 cm, or 90 cm for lining. May be repeated.",
        )
        paper = click.option(
            "--paper",
            "paper",
            multiple=True,
            metavar="PAPER,...",
            help="Print on this paper instead of the house's: A4, Letter, roll 36 in, 30 cm x 40 cm, ... May be repeated.",
        )
        return click.option("--papers", "kinds", metavar="KIND,...", callback=kinds, help=words)(paper(cloth(command)))

    return asked


def day(context: click.Context, parameter: click.Parameter, words: str | None) -> Day | None:
    """A day, as 2026-11-30; nothing where the option is not given."""
    try:
        return None if words is None else Day.fromisoformat(words.strip())
    except ValueError:
        raise click.BadParameter(f"{words!r} is no day such as 2026-11-30.") from None


def measured() -> Callable[[F], F]:
    """`--measured`, as `day`: which measuring of a card counts."""
    return click.option(
        "--measured",
        metavar="DAY",
        callback=day,
        help="Draft by the measuring of this day, one that the card keeps; else by the latest up to the date.",
    )


def days(context: click.Context, parameter: click.Parameter, words: tuple[str, ...]) -> tuple[Day, ...]:
    """Several days."""
    return tuple(found for one in words if (found := day(context, parameter, one)) is not None)


def measured_twice() -> Callable[[F], F]:
    """`--measured`, as `days`: which measurings of a card are compared."""
    return click.option(
        "--measured",
        multiple=True,
        metavar="DAY",
        callback=days,
        help="Compare the measuring of this day with a second one, or with the latest.",
    )


def folder(contents: str, *, required: bool = True) -> Callable[[F], F]:
    """`-o`, as `folder`: where files are written."""
    return click.option(
        "-o",
        "--output",
        "folder",
        required=required,
        metavar="FOLDER",
        type=click.Path(path_type=Path),
        help=f"{'The folder to write' if required else 'A folder for'} {contents}.",
    )
