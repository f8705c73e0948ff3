"""Where the program stands with thousands of bodies: `python tests/bench/bench_many.py`.

The floor (`floor_skirt.py`) drafts one style by hand in plain numpy and shapely; the program drafts and finishes the same style
from its text.  First their results are held against each other: every point of the net outlines and cut lines, the girth
and seam ledgers, and the bodies that have no true pattern.  Then both are timed alternately, and the least of each counts: what
disturbs a run only ever slows it.  Times are of the processor, since other work on the machine would otherwise count as ours;
only the run on two processes is told by the clock.
"""

import os
import subprocess
import sys
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from time import perf_counter, process_time

import floor_skirt
import numpy as np

from tapeline.drafting.run import CHUNK
from tapeline.finishing.whole import drafted_whole
from tapeline.session import Session

HERE = Path(__file__).resolve().parent
STYLE, FINDING = HERE / "timed_skirt.style", HERE / "found_skirt.style"
MANY, MORE = 10_000, 100_000
POINTS, LEDGERS = 1e-6, 1e-6  # mm
FOUND = 1e-4  # mm; a find meets its length to a hundred-thousandth of a millimetre
REPEAT = 1e-6  # mm; a cut line rests on a point where a corner cuts it short
RATIO, GROWTH, TWO = 1.5, 1.05, 1.6  # bounds; 5 % for the clock where a cost is to be no greater
MEMORY = 16.0  # MB


def bodies(n, seed=1):
    """Invented bodies, waist 60 to 100 cm."""
    random = np.random.default_rng(seed)
    waist = random.uniform(600.0, 1000.0, n)
    return {"waist": waist, "hip": waist + random.uniform(180.0, 300.0, n), "waist_to_hip": random.uniform(180.0, 240.0, n)}


def part_of(measures, low, high):
    return {name: values[low:high] for name, values in measures.items()}


def opened(path):
    reading = Session(keep=True).read(path)
    if reading.style is None:
        raise SystemExit("\n".join(str(one) for one in reading.diagnostics))
    return reading.style


def program(style, measures):
    """Every chunk drafted and finished, then forgotten."""
    n = len(measures["waist"])
    for low in range(0, n, CHUNK):
        drafted_whole(style, part_of(measures, low, low + CHUNK))


def floor(drafted, measures):
    n = len(measures["waist"])
    for low in range(0, n, floor_skirt.CHUNK):
        drafted(**part_of(measures, low, low + floor_skirt.CHUNK))


# ------------------------------------------------------------ the same results


def without_repeats(rings):
    """How many points each ring has (n,), and all of them in a row."""
    kept = np.hypot(*np.moveaxis(rings - np.roll(rings, 1, axis=1), -1, 0)) > REPEAT
    return kept.sum(axis=1), rings[kept]


def same(what, one, other, bound):
    worst = float(np.max(np.abs(one - other), initial=0.0))
    if not worst <= bound:
        raise SystemExit(f"program and floor differ by {worst:.3g} in {what}")
    return worst


def agree(style, drafted, measures, points, ledgers):
    """Hold the two drafts of some bodies against each other; the greatest difference of points and of ledgers."""
    pieces, girths, seams, sound = drafted(**measures)
    off, apart, told = 0.0, 0.0, np.zeros(len(sound), dtype=bool)
    for one in drafted_whole(style, measures):
        here = one.index
        told[here] = ~one.failed
        keep = ~one.failed
        for done in one.finished.pieces:
            name = done.piece.name
            for kind, mine, theirs in zip(
                ("net", "cut line"), pieces[name], (done.piece.stitch_outline().flatten()[:, :-1], done.cut_line), strict=True
            ):
                (count, own), (number, other) = without_repeats(mine[here][keep]), without_repeats(theirs[keep])
                same(f"the number of points of the {kind} of {name}", count, number, 0)
                off = max(off, same(f"the {kind} of {name}", own, other, points))
        for row in one.draft.ledgers.girths:
            apart = max(apart, same(f"the girth at {row.level}", girths[row.level][here], row.sewn, ledgers))
        for row, (length, rival) in zip(one.draft.ledgers.seams, seams.values(), strict=True):
            apart = max(
                apart, same(row.one, length[here], row.length_one, ledgers), same(row.other, rival[here], row.length_other, ledgers)
            )
    if not np.array_equal(told, sound):
        raise SystemExit(f"program and floor differ in the verdict on {int((told != sound).sum())} bodies")
    return off, apart, int((~sound).sum())


# ------------------------------------------------------------ times


def taken(action):
    start = process_time()
    action()
    return process_time() - start


def paired(one, other, times):
    """The least of several timings of two actions, done in turn."""
    return [min(each) for each in zip(*((taken(one), taken(other)) for _ in range(times)), strict=True)]


def stands(words, value, bound, holds, unit=""):
    print(f"  {words}: {value:.2f}{unit}, bound {bound:g}{unit}: {'holds' if holds else 'misses'}")


def ratio(name, style, drafted, points, ledgers, times):
    measures = bodies(MANY)
    differ = [agree(style, drafted, part_of(measures, low, low + CHUNK), points, ledgers) for low in range(0, MANY, CHUNK)]
    print(
        f"{name}: {MANY:,} bodies agree to {max(one[0] for one in differ):.1e} mm in every point, "
        f"{max(one[1] for one in differ):.1e} mm in the ledgers, and on the {sum(one[2] for one in differ)} without a true pattern"
    )
    ours, theirs = paired(lambda: program(style, measures), lambda: floor(drafted, measures), times)
    print(f"  program {1e6 * ours / MANY:.0f}, floor {1e6 * theirs / MANY:.0f} microseconds a body")
    stands("program : floor", ours / theirs, RATIO, ours / theirs <= RATIO)


def growth(style):
    few, many = bodies(MANY), bodies(MORE)
    least = min(taken(lambda: program(style, few)) for _ in range(5)) / MANY
    whole = min(taken(lambda: program(style, many)) for _ in range(2)) / MORE
    print(f"cost of a body: {1e6 * least:.0f} microseconds among {MANY:,}, {1e6 * whole:.0f} among {MORE:,}")
    stands("one among many : one among few", whole / least, GROWTH, whole / least <= GROWTH)


PEAK = """
import resource, sys
sys.path.insert(0, {here!r})
from bench_many import STYLE, bodies, opened, program
style, measures = opened(STYLE), bodies({n})
program(style, measures)
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0 - sum(one.nbytes for one in measures.values()) / 2.0 ** 20)
"""


def memory():
    """The greatest memory of a process of its own, the measures themselves taken off."""
    peaks = [
        float(
            subprocess.run([sys.executable, "-c", PEAK.format(here=str(HERE), n=n)], capture_output=True, text=True, check=True).stdout
        )
        for n in (MANY, MORE)
    ]
    print(f"memory: {peaks[0]:.0f} MB for {MANY:,} bodies, {peaks[1]:.0f} MB for {MORE:,}, chunk after chunk")
    stands("growth", peaks[1] - peaks[0], MEMORY, peaks[1] - peaks[0] <= MEMORY, " MB")


def _ready():
    global _style
    _style = opened(STYLE)
    program(_style, bodies(1))


def _share(measures):
    program(_style, measures)
    return len(measures["waist"])


def two_processes(style, times=3):
    """By the clock: it needs two processors that have nothing else to do."""
    if (os.cpu_count() or 1) < 2 or sys.platform == "win32":
        print("two processes: not tried here")
        return
    measures = bodies(2 * MANY)
    shares = [part_of(measures, low, low + MANY) for low in (0, MANY)]
    alone, together = [], []
    with ProcessPoolExecutor(2, mp_context=get_context("fork"), initializer=_ready) as pool:
        list(pool.map(_share, shares))
        for _ in range(times):
            start = perf_counter()
            program(style, measures)
            alone.append(perf_counter() - start)
            start = perf_counter()
            list(pool.map(_share, shares))
            together.append(perf_counter() - start)
    print(f"two processes: {2 * MANY:,} bodies in {min(together):.1f} s, on one {min(alone):.1f} s, by the clock")
    stands("one process : two", min(alone) / min(together), TWO, min(alone) / min(together) >= TWO)


def main():
    memory()  # first: a process begins with the greatest memory of the one that started it
    style = opened(STYLE)
    ratio("timed_skirt", style, floor_skirt.drafted, POINTS, LEDGERS, 5)
    ratio(
        "found_skirt, with two finds", opened(FINDING), lambda **measures: floor_skirt.drafted(**measures, found=True), FOUND, FOUND, 3
    )
    growth(style)
    two_processes(style)


if __name__ == "__main__":
    main()
