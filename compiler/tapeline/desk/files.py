"""Finding the files that a command names: a style, a body or a house by its path, or by the bare name of one that comes with the program."""

from __future__ import annotations

import sys
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import BinaryIO

from ..source.diagnostics import Diagnostic, refused
from ..source.suggest import did_you_mean
from ..source.world import standard_folder


def find(name: str, suffix: str, folder: str, what: str, among: str = "styles") -> tuple[Path | None, list[Diagnostic]]:
    """The path of a style, body, house or size table: as given, or that of a bare name in a folder of `styles` or `stdlib`."""
    path = Path(name)
    is_name = path.name == name and not path.suffix
    if not is_name or (path.exists() and not path.is_dir()):  # a folder of that name may be one to write into
        return path, []
    home = standard_folder(among) / folder
    shipped = home / f"{name}{suffix}"
    if shipped.is_file():
        return shipped, []
    known = sorted(file.stem for file in home.glob(f"*{suffix}")) if home.is_dir() else []
    expected = f"a file, or one of: {', '.join(known)}" if known else f"the path of a file that ends in {suffix}"
    way_out = did_you_mean(name, known) or f"Give the path of the file, with {suffix} at its end."
    return None, [refused(name, "F001", f"There is no {what} of this name", expected, name, way_out)]


def find_style(name: str) -> tuple[Path | None, list[Diagnostic]]:
    return find(name, ".style", ".", "style")


def find_body(name: str | None) -> tuple[Path | None, list[Diagnostic]]:
    """None, and nothing wrong, where no body is named; so with houses."""
    return (None, []) if name is None else find(name, ".toml", "bodies", "body")


def find_house(name: str | None) -> tuple[Path | None, list[Diagnostic]]:
    return (None, []) if name is None else find(name, ".toml", "houses", "house")


def find_sizes(name: str) -> tuple[Path | None, list[Diagnostic]]:
    """A size table, a folder of body cards, or the bare name of a table that comes with the program."""
    path, diagnostics = find(name, ".csv", "sizes", "size table", among="stdlib")
    return (Path(name), []) if path is None and Path(name).is_dir() else (path, diagnostics)


def open_table(path: Path | None, what: str) -> tuple[AbstractContextManager[BinaryIO] | None, list[Diagnostic]]:
    """(an open table as a context, diagnostics); None as path is standard input.  F001."""
    if path is None:
        return nullcontext(sys.stdin.buffer), []
    try:
        return open(path, "rb"), []
    except OSError as problem:
        return None, [
            refused(
                path.as_posix(),
                "F001",
                "The table cannot be read",
                what,
                (problem.strerror or "no such file").lower(),
                "Check its name and its permissions.",
            )
        ]
