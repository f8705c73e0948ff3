"""Writing papers without ever spoiling a file.

Papers are written under temporary names beside their places and renamed when all of them are complete, so that no
half-written file can be met; if a renaming fails, what was there before is put back.  A file that this
program did not make, by the mark that each kind of paper bears, is left alone unless the caller says
otherwise.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path

from ..paper import kinds
from ..source.diagnostics import Diagnostic, refused

_LARGEST = 1 << 28  # bytes of a file that is looked into; no paper is so large


def write_all(folder: Path, contents: Mapping[str, str | bytes], overwrite: bool) -> tuple[list[Path], list[Diagnostic]]:
    """Write every text or run of bytes under its name in the folder, or none of them.  F004, F005."""
    paths = [folder / name for name in contents]
    strangers = [path for path in paths if os.path.lexists(path) and not overwrite and not is_ours(path)]
    if strangers:
        return [], [
            refused(
                path.as_posix(),
                "F005",
                "This file was not made by this program",
                "a new name, or a file made by this program",
                "a file of another origin",
                "Choose another folder, or add --overwrite to replace it.",
            )
            for path in strangers
        ]
    waiting: list[tuple[Path, Path]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for path, content in zip(paths, contents.values(), strict=True):
            part = _beside(path, "part")
            waiting.append((part, path))
            with open(part, "xb") as file:
                file.write(content.encode() if isinstance(content, str) else content)
        for path in paths:
            if path.is_dir():
                raise IsADirectoryError(21, "a folder of that name is in the way", str(path))
        _put_in_place(waiting)
        return paths, []
    except OSError as problem:
        place = Path(problem.filename) if isinstance(problem.filename, str) else folder
        place = next((path for part, path in waiting if part == place), place)
        reason = (
            "a file of that name"
            if isinstance(problem, (FileExistsError, NotADirectoryError))
            else ((problem.strerror or type(problem).__name__).lower())
        )
        return [], [
            refused(
                place.as_posix(),
                "F004",
                "The pattern cannot be written",
                "a folder that can be written in",
                reason,
                "Choose another folder.",
            )
        ]
    finally:
        for part, _ in waiting:
            part.unlink(missing_ok=True)


def _put_in_place(waiting: list[tuple[Path, Path]]) -> None:
    """Give every part its name; if one cannot have it, all that was there before is put back.

    Where the disk can give a file a second name, no name is ever without its file, even if the program is killed.
    """
    saved: list[tuple[Path, Path]] = []
    placed: list[Path] = []
    try:
        for part, path in waiting:
            if os.path.lexists(path):
                old = _beside(path, "old")
                try:
                    os.link(path, old, follow_symlinks=False)
                except (OSError, NotImplementedError):
                    os.replace(path, old)
                saved.append((old, path))
            os.replace(part, path)
            placed.append(path)
    except BaseException:
        replaced = {path for _, path in saved}
        for path in placed:
            if path not in replaced:
                path.unlink(missing_ok=True)
        for old, path in saved:
            os.replace(old, path)
            old.unlink(missing_ok=True)  # two names of one file are left as they are
        raise
    for old, _ in saved:
        old.unlink(missing_ok=True)


def _beside(path: Path, ending: str) -> Path:
    return path.with_name(f".{path.name}.{os.getpid()}.{ending}")


def is_ours(path: Path) -> bool:
    """Whether a file bears the mark of the kind of paper that its name says it is."""
    try:
        if not path.is_file() or path.stat().st_size > _LARGEST:
            return False
        return kinds.is_ours(path.name, path.read_bytes())
    except (OSError, ValueError, RecursionError):
        return False


def left_over(folder: Path, written: Sequence[Path], style: str) -> list[Path]:
    """Papers of this style that an earlier run left in the folder: of other sizes, or with another base, they must not be mixed."""
    return [
        path
        for path in sorted(folder.iterdir())
        if path not in written and is_ours(path) and path.name.startswith((f"{style}-", f"{style}.", "pattern-", "pattern."))
    ]
