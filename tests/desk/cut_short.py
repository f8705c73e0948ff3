"""A batch run that is killed again and again, and started again each time, until it ends by itself.

`python cut_short.py FOLDER SEED` drafts FOLDER/bodies.csv into FOLDER/results.jsonl, in shares of five and in a process of its own
each time, which shares nothing with the one before but the file.  Every write is done in two halves with a moment
between, so that many kills leave a torn line.  It prints how many kills there were, and how many left a torn line.
"""

import os
import random
import signal
import sys
import time
from pathlib import Path

from tapeline.batch import workers
from tapeline.batch.log import Log, head
from tapeline.batch.order import Order
from tapeline.batch.results import results_of
from tapeline.batch.run import draft_all
from tapeline.bodies.stream import TableStream
from tapeline.session import Session

HERE = Path(__file__).parent


def order_for(heading: str, share: int = 5, **more) -> Order:
    reading = Session(keep=True).read(HERE / "plain_skirt.style")
    return Order(reading.source, reading.opened.texts, reading.sound.needed, heading, share=share, **more)


def run(order: Order, folder: Path, which=workers.alone) -> None:
    with open(folder / "bodies.csv", "rb") as file, Log(folder / "results.jsonl", head(order, {})) as log:
        draft_all(order, TableStream(file, "bodies.csv").shares(order.share), log, which)


def in_halves(log: Log, data: bytes) -> None:
    log.untouched = False
    for part in (data[: len(data) // 2], data[len(data) // 2 :]):
        log.file.write(part)
        log.file.flush()
        time.sleep(0.01)


def size(path: Path) -> int:
    return path.stat().st_size if path.exists() else -1


def main(folder: Path, seed: int) -> None:
    Log._write = in_halves
    chance = random.Random(seed)
    with open(folder / "bodies.csv", "rb") as file:
        table = TableStream(file, "bodies.csv")
        order = order_for(table.heading)
        first = next(table.shares(5))
    results_of(order, first)  # all that is kept from share to share is there before the clock runs
    kills = torn = 0
    results = folder / "results.jsonl"
    while True:
        before = size(results)
        child = os.fork()
        if child == 0:
            run(order, folder)
            os._exit(0)
        while not (ended := os.waitpid(child, os.WNOHANG)[0]) and size(results) == before:
            time.sleep(0.001)
        time.sleep(chance.choice((0.0, 0.0, chance.uniform(0.0, 0.04))))  # after the first that it does, so that it gets on
        if ended:
            break
        os.kill(child, signal.SIGKILL)
        if os.waitpid(child, 0)[1] == 0:  # it had ended before
            break
        kills += 1
        torn += not results.read_bytes().endswith(b"\n")
    print(kills, torn)


if __name__ == "__main__":
    main(Path(sys.argv[1]), int(sys.argv[2]))
