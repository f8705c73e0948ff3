"""What several commands ask for in the same way."""

from __future__ import annotations

import click


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
            raise click.BadParameter(f"{setting!r} is not of the form NAME=VALUE.")
    return texts


def processes(context: click.Context, parameter: click.Parameter, words: str) -> int:
    """`--processes`: the number of worker processes, or as many as there are cores."""
    import os

    if words == "auto":
        return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if not words.isdecimal() or not 1 <= int(words) <= 1000:
        raise click.BadParameter(f"{words!r} is neither a number of worker processes nor auto.")
    return int(words)
