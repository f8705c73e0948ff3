"""The thread in which one connection reads and drafts.

All that takes time is run here, one after the other, so that no two threads read the same text.  The newest call of a key is the
only one that counts: one that waits under the same key is never begun, and one that runs is not waited for; who asked for either
gets `Stale`, never an old answer.  The same happens to all that was asked `of` a text when that text changes.  Among calls that wait the more
urgent goes first, and of two alike the one that came first.

    reading = await worker.run(("hover", uri), function, argument, of=uri)

A caller that is cancelled takes its call with it, unless that runs already: then what comes of it is thrown away.
`run`, `changed` and `close` are called in the loop's thread.
"""

from __future__ import annotations

import asyncio
import gc
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from functools import partial
from itertools import count
from queue import PriorityQueue
from threading import Thread
from typing import Any, TypeVar

AT_ONCE, SOON, LATER = 0, 1, 2  # a slider or a key that was pressed; what a reader asks; what nobody waits for

_T = TypeVar("_T")


def collect_seldom() -> None:
    """Let Python look for garbage more seldom, and not among what is loaded: while a slider moves, that was half of the slowest answers."""
    gc.freeze()
    gc.set_threshold(200_000, 50, 50)


class Stale(Exception):
    """What was asked is of a text that is no more, or has been asked anew."""


@dataclass(order=True)
class _Call:
    urgency: int
    number: int
    key: Hashable = field(compare=False)
    of: str = field(compare=False)
    work: Callable[[], Any] = field(compare=False)
    answer: asyncio.Future[Any] | None = field(compare=False)


class Worker:
    """One thread, begun when it is first wanted."""

    def __init__(self) -> None:
        self._waiting: PriorityQueue[_Call] = PriorityQueue()
        self._asked: dict[Hashable, _Call] = {}  # what is not answered yet
        self._numbers = count()
        self._thread: Thread | None = None

    async def run(self, key: Hashable, function: Callable[..., _T], *args: object, of: str = "", urgency: int = SOON) -> _T:
        """The function's answer.  `Stale` as above; what the function raises."""
        self._drop(key)
        future: asyncio.Future[_T] = asyncio.get_running_loop().create_future()
        call = _Call(urgency, next(self._numbers), key, of, partial(function, *args), future)
        self._asked[key] = call
        self._waiting.put(call)
        if self._thread is None:
            self._thread = Thread(target=self._serve, name="tapeline reading", daemon=True)
            self._thread.start()
        try:
            return await future
        finally:
            if self._asked.get(key) is call:
                del self._asked[key]

    def changed(self, of: str) -> None:
        """A text has changed: whatever was asked of it and is not answered is stale."""
        for key in [key for key, call in self._asked.items() if call.of == of]:
            self._drop(key)

    def close(self) -> None:
        """Drop all that waits, and end the thread when what runs is through."""
        for key in list(self._asked):
            self._drop(key)
        self._waiting.put(_Call(-1, next(self._numbers), None, "", bool, None))

    def _drop(self, key: Hashable) -> None:
        call = self._asked.pop(key, None)
        if call is not None and call.answer is not None and not call.answer.done():
            call.answer.set_exception(Stale())

    def _serve(self) -> None:
        while (call := self._waiting.get()).answer is not None:
            if call.answer.done():
                continue
            answer: Any = None
            problem: BaseException | None = None
            try:
                answer = call.work()
            except BaseException as raised:  # told to who asked; the thread goes on
                problem = raised
            try:
                call.answer.get_loop().call_soon_threadsafe(_settle, call.answer, answer, problem)
            except RuntimeError:  # the loop has ended
                return


def _settle(future: asyncio.Future[Any], answer: Any, problem: BaseException | None) -> None:
    if future.done():
        return
    if problem is None:
        future.set_result(answer)
    else:
        fit = isinstance(problem, Exception) and not isinstance(problem, StopIteration)  # else it would stop the loop, or be refused
        future.set_exception(problem if fit else RuntimeError(type(problem).__name__))
