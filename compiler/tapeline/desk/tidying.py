"""Texts read to be laid out, and written in the place of what they were.

A file keeps its line ends, its mark of byte order and its permissions; where its name is a link, the file that it leads to is
written.  Each is written under a temporary name beside its place and renamed when all of them are complete.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from difflib import unified_diff
from pathlib import Path

from ..source.diagnostics import Diagnostic, refused

_BOM = b"\xef\xbb\xbf"
_SHOWN = 12  # lines of what would change


def as_file(path: Path, text: str) -> bytes:
    """A text as the bytes of the file that it was read from: with its line ends, and its mark of byte order."""
    raw = path.read_bytes()
    if b"\r\n" in raw[: raw.find(b"\n") + 1]:
        text = text.replace("\n", "\r\n")
    return (_BOM if raw.startswith(_BOM) else b"") + text.encode()


def first_changes(path: Path, before: str, after: str) -> str:
    """The first lines of what would change."""
    lines = list(unified_diff(before.splitlines(), after.splitlines(), path.as_posix(), "tidy", "", "", 0, ""))
    more = len(lines) - _SHOWN
    return "\n".join([*lines[:_SHOWN], *([f"... and {more} more lines"] if more > 0 else [])])


def write_tidied(contents: Mapping[Path, bytes]) -> list[Diagnostic]:
    """Put all these in the place of files that are there, or none that could not be written whole.  F004."""
    waiting: list[tuple[Path, Path]] = []
    path = Path()
    try:
        for named, content in contents.items():
            path = named.resolve()
            if not os.access(path, os.W_OK):
                raise PermissionError(13, "permission denied", str(path))
            part = path.with_name(f".{path.name}.{os.getpid()}.part")
            waiting.append((part, path))
            with open(part, "xb") as file:
                file.write(content)
            shutil.copymode(path, part)
        for part, path in waiting:
            os.replace(part, path)
        return []
    except OSError as problem:
        reason = (problem.strerror or type(problem).__name__).lower()
        way_out = "Give yourself leave to write it, or tidy a copy."
        return [refused(path.as_posix(), "F004", "The text cannot be written", "a file that can be written", reason, way_out)]
    finally:
        for part, _ in waiting:
            part.unlink(missing_ok=True)
