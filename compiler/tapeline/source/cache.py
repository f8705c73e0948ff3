"""What the program keeps for its next start: files in the user's own cache folder.

Never in a folder that others can write to, since what is kept is unpickled.  A file is written whole or not at all, with a
sum over its bytes, so that a spoiled one counts as none; only the newest of a kind stay.  Whatever goes wrong here costs
time and nothing else.
"""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from zlib import crc32

_used = False
_SUM = 4  # bytes of the sum in front of what is kept


def use_cache() -> None:
    """Let this process read and write the folder; before, it touches nothing there."""
    global _used
    _used = True


def cache_folder() -> Path | None:
    """The folder, made if it is not there; None where it is not used, or not the user's alone."""
    if not _used:
        return None
    try:
        import platformdirs

        folder = platformdirs.user_cache_path("tapeline")
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        status = folder.stat()
        if hasattr(os, "getuid") and (status.st_uid != os.getuid() or status.st_mode & 0o022):
            return None
    except Exception:  # no home, no room, no right
        return None
    return folder


def recall(name: str) -> bytes | None:
    """What was kept under this name, if it is whole."""
    folder = cache_folder()
    if folder is None:
        return None
    try:
        data = (folder / name).read_bytes()
    except OSError:
        return None
    content = data[_SUM:]
    return content if data[:_SUM] == _sum(content) else None


def keep(name: str, data: bytes, most: int) -> None:
    """Keep this under a name; of all names with the same ending only the newest `most` stay."""
    folder = cache_folder()
    if folder is None:
        return
    passing = folder / f"{name}.{os.getpid()}"
    try:
        with open(os.open(passing, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(_sum(data) + data)
        passing.replace(folder / name)
        older = sorted(folder.glob(f"*{Path(name).suffix}"), key=lambda path: path.stat().st_mtime_ns)[:-most]
        for path in older:
            path.unlink(missing_ok=True)
    except OSError:
        with suppress(OSError):
            passing.unlink(missing_ok=True)


def _sum(data: bytes) -> bytes:
    return crc32(data).to_bytes(_SUM, "big")
