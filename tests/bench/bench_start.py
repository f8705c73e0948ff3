"""How long a command takes from its start to its end, against a process that only imports the libraries.

Run it as a script: `python tests/bench/bench_start.py [TIMES]`.  Bounds: `check` at most 1.3 times a process that imports
lark, `draft` to SVG at most 1.3 times one that imports lark, shapely and click.  Every run is a process of its
own, and the two sides of a ratio are run by turns; of several times the least counts, since what disturbs a run only ever
slows it.

A later run finds the style as the first one left it in the cache folder, its plans and what its examples came to, and so
needs neither lark nor the lowering; it drafts and writes everything anew.  A first run is one after the text of the style has
changed: it reads and lowers all of it, with the grammar's tables kept.  The bounds are held against later runs; first
runs are printed beside them.  Before any of them the byte code and the tables are kept by a run that is not timed.
"""

import os
import subprocess
import sys
import tempfile
from pathlib import Path
from time import perf_counter

BOUND = 1.3
TIMES = 7
STYLES = ("half_circle_skirt", "corselet_skirt", "straight_skirt")
SHIPPED = Path(__file__).parents[2] / "styles"
FLOORS = {"check": "import lark", "draft": "import lark, shapely, click"}
TAPELINE = (sys.executable, "-m", "tapeline.desk.cli")


class Bench:
    """Commands run in a folder of their own, with an empty cache folder (where the system lets it be named)."""

    def __init__(self, folder: Path, times: int):
        self.folder, self.times = folder, times
        self.environment = {**os.environ, "XDG_CACHE_HOME": str(folder / "cache")}
        self.environment.pop("PYTHONDONTWRITEBYTECODE", None)  # else every run would compile the program
        self.changes = 0

    def seconds(self, command) -> float:
        start = perf_counter()
        done = subprocess.run(command, env=self.environment, cwd=self.folder, capture_output=True, text=True)
        taken = perf_counter() - start
        if done.returncode:
            raise SystemExit(f"{' '.join(command)}\n{done.stderr}")
        return taken

    def change(self, style: Path) -> None:
        """The text of a style with one more line, which says nothing."""
        self.changes += 1
        style.write_text(f"{style.read_text()}-- {self.changes}\n")

    def print_ratios(self, kind: str, style: Path) -> None:
        command = (
            *TAPELINE,
            *({"check": ("check", style.name), "draft": ("draft", style.name, "--for", "maud", "-o", "drafted")}[kind]),
        )
        floor = (sys.executable, "-c", FLOORS[kind])
        self.seconds(command)
        times: dict[str, list[float]] = {"floor": [], "first": [], "later": []}
        for _ in range(self.times):
            self.change(style)
            for name, run in (("floor", floor), ("first", command), ("later", command)):
                times[name].append(self.seconds(run))
        least, first, later = (min(times[name]) for name in ("floor", "first", "later"))
        ratio = later / least
        print(
            f"{kind:<6} {style.stem:<18} {ratio:5.2f} times {FLOORS[kind]} ({later:.3f} s : {least:.3f} s), bound {BOUND}: "
            f"{'holds' if ratio <= BOUND else 'misses'}; first run after a change {first / least:.2f}"
        )


def main() -> None:
    times = int(sys.argv[1]) if len(sys.argv) > 1 else TIMES
    with tempfile.TemporaryDirectory() as folder:
        bench = Bench(Path(folder), times)
        for name in STYLES:
            style = bench.folder / f"{name}.style"
            style.write_text((SHIPPED / style.name).read_text())
            for kind in FLOORS:
                bench.print_ratios(kind, style)


if __name__ == "__main__":
    main()
