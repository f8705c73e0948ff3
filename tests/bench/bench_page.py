"""From a slider's move to the new drawing on the screen, in chromium, for shipped styles, each beside its floor.

    PYTHONPATH=compiler python tests/bench/bench_page.py [STYLE...]

A slider is moved as a hand does, and the clock of the page stops when the next frame with the new drawing is drawn.  The floor is the
same without drafting: a message to the server and back, and the same drawing parsed and put in again.  Milliseconds; run it alone.
"""

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

from tests.paper import browsing  # noqa: E402

READY = """const done = arguments[0], look = () => document.querySelectorAll('.pieces path').length
    && document.querySelectorAll('#tables table').length ? done(true) : setTimeout(look, 100); look();"""
MOVES = """
const done = arguments[0];
(async () => {
    const { request } = await import('/connection.js');
    const { parsed } = await import('/sheet.js');
    const frame = () => new Promise((go) => requestAnimationFrame(() => setTimeout(go, 0)));
    const drawn = () => new Promise((go) => document.addEventListener('tapeline-drawn', go, { once: true }));
    const sliders = [...document.querySelectorAll('#sliders fieldset:not(#sizes) input[type=range]:not([disabled])')];
    const times = [], floors = [];
    for (let k = 0; k < 40; k += 1) {
        const one = sliders[k % sliders.length];
        const start = performance.now();
        one.value = Number(one.value) + (Number(one.value) < Number(one.max) ? 1 : -1);
        const put = drawn();
        one.dispatchEvent(new Event('input'));
        if (!(await Promise.race([put.then(() => true), new Promise((go) => setTimeout(go, 3000, false))]))) continue;
        await frame();
        times.push(performance.now() - start);
        const layer = document.querySelector('.pieces');
        const texts = [...layer.children].map((group) => new XMLSerializer().serializeToString(group));
        const again = performance.now();
        await request('tapeline/alive', {});
        layer.replaceChildren(...texts.map((text) => parsed(text).firstElementChild));
        await frame();
        floors.push(performance.now() - again);
    }
    done([times, floors]);
})().catch((problem) => done(String(problem)));
"""


def measured(driver, style: str) -> tuple[list[float], list[float]]:
    with tempfile.TemporaryDirectory() as folder:
        shutil.copy(ROOT / "styles" / f"{style}.style", folder)
        command = [sys.executable, "-m", "tapeline.desk.cli", "open", f"{style}.style", "--for", "nell", "--no-browser"]
        with subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as serving:
            try:
                driver.get("about:blank")  # an address that differs behind the # alone would not be loaded anew
                driver.get(next(filter(None, (re.search(r"http://\S+[^\s.]", line) for line in serving.stdout))).group())
                driver.execute_async_script(READY)
                told = driver.execute_async_script(MOVES)
            finally:
                serving.terminate()
    if isinstance(told, str) or not told[0]:
        raise SystemExit(f"{style}: {told}")
    return sorted(told[0]), sorted(told[1])


def main() -> None:
    styles = sys.argv[1:] or sorted(path.stem for path in (ROOT / "styles").glob("*.style"))
    driver = browsing.start()
    driver.set_script_timeout(120)
    print(f"{'style':<26}{'median':>8}{'95th':>8}{'moves':>7}   floor: {'median':>6}{'95th':>8}")
    try:
        for style in styles:
            times, floors = measured(driver, style)
            row = [(one[len(one) // 2], one[int(len(one) * 0.95)]) for one in (times, floors)]
            print(f"{style:<26}{row[0][0]:8.0f}{row[0][1]:8.0f}{len(times):7}          {row[1][0]:6.0f}{row[1][1]:8.0f}", flush=True)
    finally:
        driver.quit()


if __name__ == "__main__":
    main()
