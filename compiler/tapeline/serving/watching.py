"""What has changed on the disk: looked for about once a second, by time and size, then by sum.

One `Watch` belongs to a folder and is asked by all connections.  It remembers who of them wrote a file last, so that a change can be told as
that of another tab, and the tab that made it is not told of it.
"""

from __future__ import annotations

from contextlib import suppress
from hashlib import sha256
from pathlib import Path

from ..source.world import MOST_BYTES

WATCHED = (".style", ".toml", ".csv", ".fittings")


def sum_of(data: bytes) -> str:
    """What tells one text from another."""
    return sha256(data).hexdigest()


def read_file(path: Path) -> bytes | None:
    """The bytes of a file; None where there is none that can be read."""
    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            return None
        return path.read_bytes()
    except OSError:
        return None


class Watch:
    """The files of a folder, as they were when they were last looked at."""

    def __init__(self, folder: Path):
        self.folder = folder
        self.writers: dict[Path, tuple[str, str]] = {}  # file -> the sum that was written last, and the tab that wrote it

    def wrote(self, path: Path, data: bytes, tab: str) -> None:
        self.writers[path] = sum_of(data), tab

    def writer(self, path: Path, sum: str) -> str:
        """The tab that wrote a text; empty where it was no tab."""
        wrote, tab = self.writers.get(path, ("", ""))
        return tab if wrote == sum else ""

    def marks(self) -> dict[str, tuple[int, int]]:
        """Name -> time and size of every file of the folder that a style can rest on."""
        found: dict[str, tuple[int, int]] = {}
        with suppress(OSError):
            for path in self.folder.iterdir():
                if path.suffix in WATCHED and not path.name.startswith("."):
                    with suppress(OSError):
                        status = path.stat()
                        found[path.name] = status.st_mtime_ns, status.st_size
        return found
