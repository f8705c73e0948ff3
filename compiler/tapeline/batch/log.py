"""The file of results: a log that is only ever added to, so that a run can be cut short anywhere and go on later.

Its first line tells what it is and to which order it was made, its last, `{"end":N,"passed":P}`, that it is whole.  It is
written in place, a share at a time, since every whole line in it is good by itself: what a kill has left half
written is cut off, and what follows the last good line is done again.  While a run has the file, no other may (where the
system has such locks); the lock ends with the process, however that ends.
"""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import BinaryIO, NamedTuple

from ..bodies.stream import LONGEST_LINE, Row, Share
from ..source.diagnostics import Diagnostic, Refused, refused
from ..source.text import Source, Span
from .order import FORM, Order
from .workers import Stopped

MARK = b'{"made_by":"tapeline","batch":'
EARLIER_MARK = b'{"made_by":"tapeline","bulk":'  # of form 1: ours, but of another program
_LINE = re.compile(rb'\{"n":(\d+),"line":(\d+),"of":"([0-9a-f]{12})","passed":(true|false),.*\}\n\Z')
_END = re.compile(rb'\{"end":(\d+),"passed":(\d+)\}\n\Z')
_PARTS = {
    "style": "the texts of the style",
    "choices": "the choices",
    "house": "the house",
    "unit": "the unit",
    "table": "the heading of the table",
    "points": "the points",
    "program": "the program",
}


class Known(NamedTuple):
    """What is known of a body whose result is there already."""

    number: int
    line: int
    digest: str
    passed: bool


def head(order: Order, style: dict[str, object]) -> bytes:
    data = {
        "made_by": "tapeline",
        "batch": FORM,
        "style": style,
        "unit": "mm",
        "table": order.heading,
        "fingerprint": order.fingerprint(),
        "marks": order.marks(),
    }
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"


class Log:
    """One file of results, open and locked.  `count` and `passed` are of the results in it, as far as they are known."""

    def __init__(self, path: Path, first: bytes, again: bool = False, table: str = "table") -> None:
        """Open it, or make it.  Refused where it is not ours, was made to another order, or another run has it.

        `table` is what messages call the table of bodies.
        """
        self.path, self.table, self.count, self.passed, self.whole, self.untouched = path, table, 0, 0, False, True
        self.file = _open(path)
        try:
            self._lock()
            self._begin(first, again)
        except BaseException:
            self.close()
            raise

    def __enter__(self) -> Log:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        with suppress(OSError):  # what could not be written has been told already
            self.file.close()

    def _lock(self) -> None:
        try:
            _lock(self.file.fileno())
        except BlockingIOError:
            raise Refused(
                refused(
                    self.path.as_posix(),
                    "F004",
                    "The results cannot be written",
                    "a file that no other run is writing",
                    "another run writes it",
                    "Wait until that run has ended, or name another file.",
                )
            ) from None

    def _begin(self, first: bytes, again: bool) -> None:
        most = len(first) + LONGEST_LINE
        header = self.file.readline(most)
        cut_short = not header.endswith(b"\n") and len(header) < most and MARK.startswith(header[: len(MARK)])
        if not header.startswith((MARK, EARLIER_MARK)) and not cut_short:
            raise Refused(
                refused(
                    self.path.as_posix(),
                    "F005",
                    "This file was not made by this program",
                    "a new name, or results made by this program",
                    "a file of another origin",
                    "Name another file for the results.",
                )
            )
        if header != first and not cut_short and not again:
            raise Refused(
                refused(
                    self.path.as_posix(),
                    "R101",
                    "These results were made to another order",
                    "the order they were begun with",
                    f"a difference in {_difference(header, first)}",
                    "Name another file for the results, or start afresh with --again.",
                )
            )
        if again or cut_short:
            self._cut(0)
            self._write(first)
            self._sync()

    # ------------------------------------------------------------ what is there

    def new(self, shares: Iterable[Share]) -> Iterator[Share]:
        """The shares of which a result is wanting still.  The rows of those that are there must be what they were."""
        known = self._known()
        for share in shares:
            there = 0
            for row in share.rows:
                result = next(known, None)
                if result is None:
                    break
                if (row.number, row.line, row.digest) != result[:3]:
                    raise Refused(self._changed(row, "the row that its result was made from", "a row that has been changed"))
                there += 1
            if there < len(share.rows):
                if self.whole:
                    raise Refused(
                        self._changed(share.rows[there], "as many rows as there are results, which are whole", "a row that was added")
                    )
                yield share
        surplus = next(known, None)
        if surplus is not None:
            raise Refused(self._changed(Row(surplus.number, surplus.line, ""), "as many rows as there are results", "no such row"))

    def _known(self) -> Iterator[Known]:
        """The results that are there, in order; what comes after the last good one is cut off."""
        good = self.file.tell()
        while match := _LINE.match(line := self.file.readline()):
            result = Known(int(match[1]), int(match[2]), match[3].decode(), match[4] == b"true")
            if result.number != self.count + 1:
                break
            good += len(line)
            self.count += 1
            self.passed += result.passed
            yield result
        match = _END.match(line)
        self.whole = match is not None and (int(match[1]), int(match[2])) == (self.count, self.passed) and not self.file.read(1)
        if not self.whole:
            self._cut(good)

    def _changed(self, row: Row, expected: str, found: str) -> Diagnostic:
        text = row.text.encode("utf-8", "replace").decode()
        place = Span(Source(self.table, "\n" * (row.line - 1) + text), row.line - 1, row.line - 1 + len(text))
        return Diagnostic(
            "R102",
            f"Row {row.number} of the table is not what it was",
            place,
            expected,
            found,
            "Give the table as it was, or start afresh with --again.",
        )

    # ------------------------------------------------------------ what is added

    def add(self, lines: list[str], passed: list[bool]) -> None:
        self._write("".join(lines).encode())
        self.count += len(lines)  # what is stopped while the disk takes its time has these results
        self.passed += sum(passed)
        self._sync()

    def end(self) -> None:
        if not self.whole:
            self._write(f'{{"end":{self.count},"passed":{self.passed}}}\n'.encode())
            self._sync()
            self.whole = True

    def _write(self, data: bytes) -> None:
        self.untouched = False
        try:
            self.file.write(data)
            self.file.flush()
        except OSError as problem:
            raise Refused(unwritable(self.path, problem)) from problem

    def _sync(self) -> None:
        """Have the results on the disk before the next share is begun."""
        try:
            os.fsync(self.file.fileno())
        except OSError as problem:
            raise Refused(unwritable(self.path, problem)) from problem

    def _cut(self, length: int) -> None:
        try:
            self.file.seek(length)
            self.file.truncate()
        except OSError as problem:
            raise Refused(unwritable(self.path, problem)) from problem


def _open(path: Path) -> BinaryIO:
    try:
        if path.exists() and not path.is_file():
            raise FileExistsError(17, "a file of its own is wanted", str(path))
        path.parent.mkdir(parents=True, exist_ok=True)
        return open(os.open(path, os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0), 0o666), "r+b")
    except OSError as problem:
        raise Refused(unwritable(path, problem)) from problem


def stopped(problem: Stopped, path: Path) -> Refused:
    """Workers that cannot go on, as a diagnostic that says what becomes of the results."""
    return Refused(problem.diagnostic(f"No result is lost: the same command resumes {path.as_posix()}."))


def unwritable(path: Path, problem: OSError) -> Diagnostic:
    return refused(
        path.as_posix(),
        "F004",
        "The results cannot be written",
        "a file that can be written",
        (problem.strerror or type(problem).__name__).lower(),
        "Name another file for the results.",
    )


def _difference(header: bytes, first: bytes) -> str:
    """What differs between two orders, by their first lines."""
    try:
        before, now = json.loads(header), json.loads(first)
        form = before.get("batch", before.get("bulk"))
        if form != now["batch"]:
            return f"their form: it is form {form}, and this program writes form {now['batch']}"
        there, here = before["marks"], now["marks"]
        parts = [words for part, words in _PARTS.items() if there.get(part) != here[part]]
    except (ValueError, KeyError, TypeError, AttributeError):
        parts = []
    return ", ".join(parts) or "their first line"


def _lock(file: int) -> None:
    """Lock an open file for this process.  BlockingIOError where another has it."""
    if sys.platform == "win32":
        import msvcrt

        os.lseek(file, 1 << 40, os.SEEK_SET)  # a byte that is never written, so that others may read the file
        try:
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        except OSError as problem:
            raise BlockingIOError from problem
        finally:
            os.lseek(file, 0, os.SEEK_SET)
        return
    import fcntl

    try:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise
    except OSError:
        pass  # a file system without locks
