"""Text that was typed and not saved, kept beside the file it belongs to: `skirt.style` has `.skirt.style.TAB.unsaved`.

Each tab of the browser has a copy of its own, called by the word it gave itself, so that no two overwrite each other.  The first
line of a copy tells in JSON of which saved text it was made (by its sum) and when; the rest is the text, letter for letter.  A copy is written under another
name and renamed, so it is whole or not there, and only its owner can read it.
"""

from __future__ import annotations

import json
import os
import re
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

ENDING = ".unsaved"
_TAB = re.compile(r"[0-9a-f]{8}")
_MOST = 8_000_000  # bytes of a copy


@dataclass(frozen=True)
class Copy:
    """A kept text; `base` is the sum of the saved text it was made from, empty where there was none; `at` when it was kept last."""

    tab: str
    base: str
    at: str
    text: str


def is_tab(word: object) -> bool:
    return isinstance(word, str) and _TAB.fullmatch(word) is not None


def place(path: Path, tab: str) -> Path:
    """Where the copy of a tab stands.  ValueError where the word is none of a tab."""
    if not is_tab(tab):
        raise ValueError("A tab is called by eight signs of 0-9 and a-f.")
    return path.with_name(f".{path.name}.{tab}{ENDING}")


def keep_copy(path: Path, tab: str, base: str, text: str, at: datetime) -> None:
    """OSError where it cannot be written."""
    head = json.dumps({"of": path.name, "base": base, "at": at.isoformat(timespec="seconds")}, ensure_ascii=False)
    write_whole(place(path, tab), f"{head}\n{text}".encode("utf-8", "surrogatepass"), mode=0o600)


def drop_copy(path: Path, tab: str) -> None:
    with suppress(OSError):
        place(path, tab).unlink(missing_ok=True)


def copies(path: Path) -> list[Copy]:
    """Every copy that is kept of a file's text, the latest first; what is no copy is passed over."""
    found = []
    for file in path.parent.glob(f".{path.name}.*{ENDING}"):
        tab = file.name[len(path.name) + 2 : -len(ENDING)]
        if not is_tab(tab):
            continue
        with suppress(OSError, ValueError, KeyError, TypeError):
            if file.is_symlink() or file.stat().st_size > _MOST:
                continue
            head, _, text = file.read_bytes().decode("utf-8", "surrogatepass").partition("\n")
            told = json.loads(head)
            found.append(Copy(tab, str(told["base"]), str(told["at"]), text))
    return sorted(found, key=lambda copy: copy.at, reverse=True)


def write_whole(path: Path, data: bytes, mode: int | None = None, new: bool = False) -> None:
    """Write a file so that it is the old or the new one at every moment.  `mode` are its rights, else those it had.  Where it is to be
    `new`, a file that is there already is a FileExistsError.  OSError where it cannot be written; then all is as before."""
    if mode is None:
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_mask()
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    part.unlink(missing_ok=True)
    try:
        with open(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as file:
            os.fchmod(file.fileno(), mode) if hasattr(os, "fchmod") else None
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if new:
            os.link(part, path)
        else:
            os.replace(part, path)
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def _mask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask
