"""How far a long piece of work has come, shown to a person who waits.

Nothing is shown in the first two seconds, nor where standard error is not a terminal, nor in the end.
"""

from __future__ import annotations

import sys
from threading import Lock, Timer
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from rich.progress import Progress as Bar
    from rich.progress import TaskID

QUIET = 2.0  # seconds


class Progress:
    """`with Progress("drafting", total) as progress: progress.add(n)`; without a total it counts on, if anything is counted."""

    def __init__(self, words: str, total: int | None = None, stream: TextIO | None = None):
        self.words, self.total, self.done = words, total, 0
        self.stream = stream or sys.stderr
        self._timer: Timer | None = None
        self._bar: tuple[Bar, TaskID] | None = None
        self._lock = Lock()

    def __enter__(self) -> Progress:
        if self.stream.isatty():
            self._timer = Timer(QUIET, self._open)  # by the clock, for a single step may be long
            self._timer.daemon = True
            self._timer.start()
        return self

    def add(self, count: int = 1) -> None:
        """So many more are done."""
        self.done += count
        with self._lock:
            if self._bar is not None:
                bar, task = self._bar
                bar.update(task, completed=self.done)

    def _open(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, TextColumn, TimeElapsedColumn
        from rich.progress import Progress as Bar

        with self._lock:
            if self._timer is None:
                return
            counted = [MofNCompleteColumn()] if self.total or self.done else []
            bar = Bar(
                TextColumn("{task.description}"),
                BarColumn(),
                *counted,
                TimeElapsedColumn(),
                console=Console(file=self.stream),
                transient=True,
            )
            self._bar = bar, bar.add_task(self.words, total=self.total, completed=self.done)
            bar.start()

    def __exit__(self, *_: object) -> None:
        if self._timer is not None:
            self._timer.cancel()
        with self._lock:
            self._timer = None
            if self._bar is not None:
                self._bar[0].stop()
