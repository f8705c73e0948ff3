"""Who does the work: this process, several processes, or a cluster.

Each takes `work`, a function of a module, the order, and shares one after another, and yields (share, result) in the order of
the shares.  No more shares are taken than are being worked on or waited for, so that memory stays flat.  A share whose
worker is lost is done again by another.
"""

from __future__ import annotations

import multiprocessing
import multiprocessing.resource_tracker
import pickle
import signal
import threading
from collections import deque
from collections.abc import Callable, Generator, Iterable, Iterator
from contextlib import contextmanager, suppress
from multiprocessing import connection
from time import monotonic
from typing import TYPE_CHECKING, Any, Generic, Protocol, TypeVar

from ..source.cache import use_cache
from ..source.diagnostics import Diagnostic
from ..version import __version__

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.context import ForkServerContext, SpawnContext

    from distributed import Client, Future

MOST_TRIES = 3  # that one share is done again
_PATIENCE = 10  # seconds until a cluster must have answered
_LOOK = 5  # seconds between two looks whether it has workers still
_IDLE = 60  # seconds that it may be without
INSTALL = "pip install 'tapeline[cluster]'"

Given = TypeVar("Given")  # the order
S = TypeVar("S")  # a share
R = TypeVar("R")  # what comes of it


class Workers(Protocol):
    """Whoever does the work, share by share: gives (share, result) in the order of the shares."""

    def __call__(self, work: Callable[[Given, S], R], order: Given, shares: Iterable[S], /) -> Generator[tuple[S, R], None, None]: ...


class Stopped(Exception):
    """The workers cannot go on: (what was expected, what was found, a way out)."""

    def __init__(self, expected: str, found: str, way_out: str) -> None:
        super().__init__(expected, found, way_out)
        self.expected, self.found, self.way_out = expected, found, way_out

    def diagnostic(self, more: str = "") -> Diagnostic:
        return Diagnostic("R103", "The bodies cannot be shared out", None, self.expected, self.found, f"{self.way_out} {more}".strip())


def workers_for(processes: int, cluster: str | None) -> Workers:
    """Whoever is asked for."""

    def workers(work: Callable[[Given, S], R], order: Given, shares: Iterable[S]) -> Generator[tuple[S, R], None, None]:
        if cluster is not None:
            return on_cluster(work, order, shares, cluster)
        return alone(work, order, shares) if processes == 1 else on_processes(work, order, shares, processes)

    return workers


def alone(work: Callable[[Given, S], R], order: Given, shares: Iterable[S]) -> Generator[tuple[S, R], None, None]:
    for share in shares:
        yield share, work(order, share)


# ------------------------------------------------------------ processes


class _Task(Generic[S]):
    """A share, whether it is being worked on, and what came of it."""

    def __init__(self, share: S) -> None:
        self.share, self.tries = share, 0
        self.begun = False
        self.answer: tuple[bool, Any] | None = None  # (whether it was done, the result or the exception)


class _Worker:
    """A process that does one share after another, as they come through its pipe."""

    def __init__(self, context: ForkServerContext | SpawnContext) -> None:
        self.pipe, its_end = context.Pipe()
        self.process = context.Process(target=_serve, args=(its_end,), daemon=True)
        self.process.start()
        its_end.close()
        self.task: _Task[Any] | None = None

    def begin(self, task: _Task[Any], sealed: bytes) -> None:
        task.begun, self.task = True, task
        with suppress(OSError):  # it is dead already: so much is seen when its answer is looked for
            self.pipe.send_bytes(sealed)

    def end(self) -> None:
        self.pipe.close()
        self.process.kill()
        self.process.join()


def on_processes(work: Callable[[Given, S], R], order: Given, shares: Iterable[S], count: int) -> Generator[tuple[S, R], None, None]:
    """Work done by `count` processes.  The share of one that dies is done again by another."""
    source = iter(shares)
    waiting: deque[_Task[S]] = deque()
    workers: list[_Worker] = []
    try:
        while True:
            while len(waiting) <= 2 * count and (share := next(source, None)) is not None:
                waiting.append(_Task(share))
            if not waiting:
                return
            for task in waiting:
                if not task.begun and (worker := _idle(workers, count)) is not None:
                    worker.begin(task, pickle.dumps((work, order, task.share)))
            first = waiting[0]
            if first.answer is None:
                _collect(workers)
                continue
            waiting.popleft()
            done, result = first.answer
            if not done:
                raise result
            yield first.share, result
    finally:
        with _undisturbed():
            for worker in workers:
                worker.end()


def _idle(workers: list[_Worker], count: int) -> _Worker | None:
    """A worker without a share: one that is there, or a new one up to the count."""
    worker = next((idle for idle in workers if idle.task is None), None)
    if worker is None and len(workers) < count:
        with _undisturbed():
            worker = _Worker(_context())
            workers.append(worker)
    return worker


def _collect(workers: list[_Worker]) -> None:
    """Wait until a worker has answered or died, and take note of it."""
    ready = connection.wait([worker.pipe for worker in workers if worker.task is not None])
    for worker, task in [(worker, worker.task) for worker in workers if worker.pipe in ready and worker.task is not None]:
        worker.task = None
        try:
            task.answer = pickle.loads(worker.pipe.recv_bytes())
        except (EOFError, OSError):
            workers.remove(worker)
            worker.end()
            task.begun, task.tries = False, task.tries + 1
            if task.tries > MOST_TRIES:  # told when its turn comes, after the results before it
                stopped = Stopped(
                    "workers that live until their share is done",
                    f"each of {task.tries} ended over {task.share}",
                    "See whether there is memory enough, and take fewer processes.",
                )
                task.begun, task.answer = True, (False, stopped)


def _serve(pipe: Connection) -> None:
    """A worker's life.  It leaves Ctrl-C to the process that it works for, and ends when that one has ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    use_cache()
    with suppress(EOFError, OSError):
        while True:
            sealed = pipe.recv_bytes()
            try:
                work, order, share = pickle.loads(sealed)
                answer = pickle.dumps((True, work(order, share)))
            except Exception as problem:
                answer = pickle.dumps((False, problem))
            pipe.send_bytes(answer)


def get_ready() -> None:
    """Begin to load what the processes will need, while there is something else to be done."""
    if "forkserver" in multiprocessing.get_all_start_methods():
        from multiprocessing import forkserver

        forkserver.set_forkserver_preload([f"{__package__}.results"])
        with _undisturbed():
            forkserver.ensure_running()


@contextmanager
def _undisturbed() -> Iterator[None]:
    """Ctrl-C waits until the end of this; processes that are begun in it never hear of it."""
    before = signal.getsignal(signal.SIGINT)
    if threading.current_thread() is not threading.main_thread() or before in (signal.SIG_IGN, None):
        yield
        return
    waiting: list[object] = []
    signal.signal(signal.SIGINT, lambda *came: waiting.append(came))
    masks = hasattr(signal, "pthread_sigmask")
    if masks:
        multiprocessing.resource_tracker.ensure_running()  # it lets signals through again once it has begun
        mask = signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGINT])
    try:
        yield
    finally:
        if masks:
            signal.pthread_sigmask(signal.SIG_SETMASK, mask)
        signal.signal(signal.SIGINT, before)
        if waiting:
            raise KeyboardInterrupt


def _context() -> ForkServerContext | SpawnContext:
    """Processes that are started afresh: a fork would take the open results and the lock on them along."""
    get_ready()
    if "forkserver" in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("forkserver")
    return multiprocessing.get_context("spawn")


# ------------------------------------------------------------ cluster


def on_cluster(work: Callable[[Given, S], R], order: Given, shares: Iterable[S], address: str) -> Generator[tuple[S, R], None, None]:
    """Work done by the workers of a Dask cluster; its scheduler gives the share of a lost worker to another."""
    client = _client(address)
    try:
        yield from _by_client(client, work, order, shares)
    finally:
        client.close(timeout=_PATIENCE)


def _by_client(client: Client, work: Callable[[Given, S], R], order: Given, shares: Iterable[S]) -> Generator[tuple[S, R], None, None]:
    from concurrent.futures import CancelledError

    from distributed import KilledWorker

    source = iter(shares)
    waiting: deque[tuple[S, Future[Any]]] = deque()
    while True:
        room = 2 * max(1, sum(client.nthreads().values())) + 1
        while len(waiting) < room and (share := next(source, None)) is not None:
            sealed = pickle.dumps((work, order, share))  # Dask would look through every row for work of its own
            waiting.append((share, client.submit(_unsealed, __version__, sealed, pure=False)))
        if not waiting:
            return
        share, future = waiting.popleft()
        try:
            result = _awaited(client, future)
        except KilledWorker as problem:
            raise Stopped(
                "workers that live until their share is done",
                f"several ended over {share}",
                "See whether the workers have memory enough.",
            ) from problem
        except ImportError as problem:
            raise Stopped(
                "workers on which this program is installed", str(problem), "Install the same version of it for every worker."
            ) from problem
        except (OSError, CancelledError) as problem:
            raise Stopped(
                "a cluster that stays until the end",
                "the connection to it was lost",
                "Start the cluster again, and give the same command.",
            ) from problem
        yield share, result


def _awaited(client: Client, future: Future[Any]) -> Any:
    """The result of work on a cluster.  Stopped where there has been nobody to do it for a while."""
    last_alive = monotonic()
    while True:
        try:
            return future.result(timeout=_LOOK)
        except TimeoutError:
            if future.status == "error":
                return future.result()  # raises what the work itself ended in; a result that came just now is fetched next time
            if client.nthreads():
                last_alive = monotonic()
            elif monotonic() - last_alive > _IDLE:
                raise Stopped("a cluster that has workers", f"none for {_IDLE} seconds", "Start workers again.") from None


def _unsealed(version: str, sealed: bytes) -> Any:
    """The work of one share, on a worker of a cluster."""
    if version != __version__:
        raise ImportError(f"version {__version__} there, {version} here")
    work, order, share = pickle.loads(sealed)
    return work(order, share)


def _client(address: str) -> Client:
    import logging

    try:
        from distributed import Client
        from distributed.comm import get_address_host_port
    except ImportError:
        raise Stopped("the extra for clusters", "it is not installed", f"Say: {INSTALL}") from None
    for name in list(logging.root.manager.loggerDict):  # what matters is told by us
        if name.partition(".")[0] in ("distributed", "tornado", "asyncio"):
            logging.getLogger(name).setLevel(logging.CRITICAL + 1)
    client = None
    try:
        get_address_host_port(address, strict=True)  # a client that was given a bad one takes long to go
        client = Client(address, timeout=_PATIENCE, set_as_default=False)
        client.wait_for_workers(1, timeout=_IDLE)
    except (OSError, ValueError, TimeoutError) as problem:
        if client is not None:
            client.close(timeout=_PATIENCE)
        found = "no worker" if client is not None else (str(problem) or type(problem).__name__)
        raise Stopped(
            "the address of a scheduler that answers and has workers, such as tcp://workroom:8786",
            found,
            "See whether the cluster is running, and how it says its address.",
        ) from problem
    return client
