"""How the cost of drafting grows with the number of bodies, and how long checking a style takes.

Run it as a script: `python tests/bench/bench_plan.py`.  It prints ratios, which carry from machine to machine, and
asserts nothing: 1,000 bodies should cost less than 30 times one body, since a plan runs for all of them at once.
"""

import subprocess
import sys
from pathlib import Path
from time import perf_counter

import numpy as np

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

SKIRT = """language 1
style corselet_skirt "Corselet skirt"

use measurements
measure underbust, waist, hip, underbust_to_waist, waist_to_hip

levels
    top
    waist  underbust_to_waist below top
    hip    waist_to_hip below waist
    hem    82 cm below top

piece front
    cut 1 on fold at centre
    widths from centre, before darts
        top    underbust / 4
        waist  (waist - 2 cm) / 4
        hip    (hip + 2 cm) / 4
        hem    3 cm less than hip
    side smooth top to hip, straight hip to hem
    dip top 8 cm at centre, hollow 1 cm
    darts 3 on top, evenly between centre and side
        intake 1.2 cm each, held to waist
        points 5 cm above hip at the side, each 2 cm shorter toward centre

piece back
    cut 2
    widths from centre, before darts
        top    underbust / 4
        waist  (waist - 2 cm) / 4
        hip    (hip + 2 cm) / 4
        hem    3 cm less than hip
    side smooth top to hip, straight hip to hem
    dart on top at half
        intake 2 cm
        point 5 cm above hip
"""


def bodies(n):
    random = np.random.default_rng(1)
    waist = random.uniform(620.0, 900.0, n)
    return {
        "waist": waist,
        "underbust": waist + random.uniform(20.0, 80.0, n),
        "hip": waist + random.uniform(200.0, 300.0, n),
        "underbust_to_waist": random.uniform(90.0, 130.0, n),
        "waist_to_hip": random.uniform(180.0, 230.0, n),
    }


def fastest(action, times=5):
    """The least of several timings, in seconds: what disturbs a run only ever slows it."""
    taken = []
    for _ in range(times):
        start = perf_counter()
        action()
        taken.append(perf_counter() - start)
    return min(taken)


def fresh(code):
    """Seconds that a fresh interpreter says its code took."""
    code = "from time import perf_counter\n" + code
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return float(answer.stdout)


def main():
    source, world = Source("corselet.style", SKIRT), FolderWorld()
    style, diagnostics = read(source, world)
    if style is None:
        raise SystemExit("\n".join(str(one) for one in diagnostics))
    draft(style, bodies(1))
    sound = sum(int((~one.failed).sum()) for one in draft(style, bodies(1000)))
    one = fastest(lambda: draft(style, bodies(1)))
    print(f"drafting one body: {1000 * one:.0f} ms; of 1,000 bodies {sound} can be drafted")
    for n in (100, 1000, 4000):
        many = fastest(lambda n=n: draft(style, bodies(n)), 3)
        print(f"{n:5d} bodies: {many / one:6.1f} times one body, {1e6 * many / n:6.0f} microseconds a body")

    checking = fastest(lambda: read(source, world))
    lark = min(fresh("start = perf_counter()\nimport lark\nprint(perf_counter() - start)") for _ in range(3))
    here = Path(__file__).resolve().parent
    cold = min(
        fresh(
            f"import sys\nsys.path.insert(0, {str(here)!r})\nfrom bench_plan import *\nstart = perf_counter()\n"
            "read(Source('corselet.style', SKIRT), FolderWorld())\nprint(perf_counter() - start)"
        )
        for _ in range(3)
    )
    print(f"parse and check, grammar already built: {checking / lark:.1f} times `import lark` ({1000 * checking:.0f} ms)")
    print(f"parse and check, the first of a run:    {cold / lark:.1f} times `import lark` ({1000 * cold:.0f} ms)")


if __name__ == "__main__":
    main()
