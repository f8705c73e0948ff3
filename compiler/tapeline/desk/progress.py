"""How far a long piece of work has come, shown to a person who waits.

Nothing is shown in the first two seconds, nor where standard error is not a terminal, nor in the end.
"""

from __future__ import annotations

import sys
from time import monotonic

QUIET = 2.0  # seconds


class Progress:
    """`with Progress("drafting", total) as progress: progress.add(n)`; without a total it counts on."""

    def __init__(self, words: str, total: int | None = None, stream=None):
        self.words, self.total, self.done = words, total, 0
        self.stream = stream or sys.stderr
        self.shown = self.stream.isatty()
        self.started = monotonic()
        self._bar = self._task = None

    def __enter__(self) -> Progress:
        return self

    def add(self, count: int = 1) -> None:
        """So many more are done."""
        self.done += count
        if not self.shown or (self._bar is None and monotonic() - self.started < QUIET):
            return
        if self._bar is None:
            self._open()
        self._bar.update(self._task, completed=self.done)

    def _open(self) -> None:
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

        self._bar = Progress(TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
                             console=Console(file=self.stream), transient=True)
        self._bar.start()
        self._task = self._bar.add_task(self.words, total=self.total)

    def __exit__(self, *_) -> None:
        if self._bar is not None:
            self._bar.stop()
