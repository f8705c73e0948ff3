"""Finding the files that a command names, and writing its papers without ever spoiling a file.

A style or a body is named by a path, or by the bare name of one that comes with the program.  Papers are
written under a temporary name beside their place and renamed when all of them are complete, so that no
half-written file can be met.  A file that this program did not make is left alone unless the caller says
otherwise.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from ..source.world import standard_folder

SVG_MARK = 'data-made-by="tapeline"'
JSON_MARK = ("made_by", "tapeline")
_LOOKED_AT = 65536  # bytes of an SVG searched for the mark, which stands in its first element


def find(name: str, suffix: str, folder: str, what: str) -> tuple[Path | None, list[Diagnostic]]:
    """The path of a style or body: as given, or that of a bare name in a folder of `styles`."""
    path = Path(name)
    bare = path.name == name and not path.suffix
    if path.exists() or not bare:
        return path, []
    home = standard_folder("styles") / folder
    shipped = home / f"{name}{suffix}"
    if shipped.is_file():
        return shipped, []
    known = sorted(one.stem for one in home.glob(f"*{suffix}")) if home.is_dir() else []
    expected = f"a file, or one of: {', '.join(known)}" if known else f"the path of a file that ends in {suffix}"
    way_out = did_you_mean(name, known) or f"Give the path of the file, with {suffix} at its end."
    return None, [_refused(name, "F001", f"There is no {what} of this name", expected, name, way_out)]


def write_all(folder: Path, texts: dict[str, str], overwrite: bool) -> tuple[list[Path], list[Diagnostic]]:
    """Write every text under its name in the folder, or none of them.  F004, F005."""
    paths = [folder / name for name in texts]
    strangers = [path for path in paths if os.path.lexists(path) and not overwrite and not _is_ours(path)]
    if strangers:
        return [], [_refused(path.as_posix(), "F005", "This file was not made by this program",
                             "a new name, or a file made by this program", "a file of another origin",
                             "Choose another folder, or add --overwrite to replace it.")
                    for path in strangers]
    waiting: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, text in zip(paths, texts.values(), strict=True):
            part = folder / f".{path.name}.{os.getpid()}.part"
            waiting.append((part, path))
            with open(part, "x", encoding="utf-8", newline="\n") as file:
                file.write(text)
        for path in paths:
            if path.is_dir():
                raise IsADirectoryError(21, "a folder of that name is in the way", str(path))
        for part, path in waiting:
            os.replace(part, path)
        return paths, []
    except OSError as problem:
        place = Path(problem.filename) if isinstance(problem.filename, str) else folder
        place = next((path for part, path in waiting if part == place), place)
        found = "a file of that name" if isinstance(problem, (FileExistsError, NotADirectoryError)) else (
            (problem.strerror or type(problem).__name__).lower())
        return [], [_refused(place.as_posix(), "F004", "The pattern cannot be written",
                             "a folder that can be written in", found, "Choose another folder.")]
    finally:
        for part, _ in waiting:
            part.unlink(missing_ok=True)


def _refused(name: str, code: str, title: str, expected: str, found: str, way_out: str) -> Diagnostic:
    return Diagnostic(code, title, Span(Source(name, name), 0, len(name)), expected, found, way_out)


def _is_ours(path: Path) -> bool:
    """Whether a file bears this program's mark."""
    try:
        with open(path, encoding="utf-8") as file:
            if path.suffix == ".json":
                data = json.load(file)
                return isinstance(data, dict) and data.get(JSON_MARK[0]) == JSON_MARK[1]
            return SVG_MARK in file.read(_LOOKED_AT)
    except (OSError, ValueError, RecursionError):
        return False
