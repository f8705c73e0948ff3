"""For pytest: every lock in a workshop's folder is a test, which fails where the style's draft has moved.

Installed with the program, it looks at the names of files, and at the first line of those that end in `.locked`; nothing else
of the program is loaded until there is one.  The report of a failing lock is that of `tapeline compare`.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

SUFFIX, MARK = ".locked", b"tapeline locked "


def pytest_collect_file(file_path: Path, parent: pytest.Collector) -> LockFile | None:
    if file_path.suffix == SUFFIX and _marked(file_path):
        return LockFile.from_parent(parent, path=file_path)
    return None


def _marked(path: Path) -> bool:
    try:
        with open(path, "rb") as file:
            return file.read(len(MARK) + 3).removeprefix(b"\xef\xbb\xbf").startswith(MARK)
    except OSError:
        return False


class LockFile(pytest.File):
    """A lock; its one test is that nothing has moved."""

    def collect(self) -> Iterator[LockItem]:
        yield LockItem.from_parent(self, name="nothing has moved")


class Moved(Exception):
    """The draft is not as it was locked, or cannot be told."""


class LockItem(pytest.Item):
    def runtest(self) -> None:
        from .locked import check_lock, report_of

        check = check_lock(self.path)
        if check.wrong or check.comparison is None or check.comparison.moved:
            raise Moved(report_of(check))

    def repr_failure(self, excinfo: pytest.ExceptionInfo[BaseException], *_: object, **__: object) -> str:
        if isinstance(excinfo.value, Moved):
            return str(excinfo.value)
        kind, message = type(excinfo.value).__name__, " ".join(str(excinfo.value).split())[:200]
        return f"a fault of the program itself ({kind}: {message}); please report it with the lock and its style"

    def reportinfo(self) -> tuple[Path, int, str]:
        return self.path, 0, f"{self.path.name}: nothing has moved"
