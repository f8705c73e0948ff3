"""The pictures of `compiler/FIRST_HOUR.md`, photographed from the page as it is.

Run as a script it follows the tour in a browser (chromium) and writes them: `python tests/tour.py`.  The texts that are begun, changed and
mended are those of the tour itself, so a picture shows what stands above it.  A browser draws letters otherwise on another machine, so
no test compares the pictures; `tests/desk/test_first_hour.py` holds what the tour quotes.
"""

from __future__ import annotations

import io
import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import tapeline
from tapeline.desk.beginning import beginnings

ROOT = Path(__file__).parents[1]
TOUR, PICTURES = ROOT / "compiler" / "FIRST_HOUR.md", ROOT / "styles" / "pictures"
NAMES = ("hour_begun.png", "hour_slid.png", "hour_why.png", "hour_mistakes.png")
WINDOW = (1440, 900)
COLOURS = 64  # of a picture: those of a page, with the edges of its letters
PATIENCE = 30  # seconds


def blocks(fence: str) -> list[str]:
    """The fenced blocks of the tour under a fence."""
    return re.findall(rf"^```{re.escape(fence)}\n(.*?)^```", TOUR.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)


def files() -> dict[str, str]:
    """What lies in the folder when the card is filled in, and the misspelt style."""
    (card,), (wrong,) = blocks("toml"), blocks("style")
    return {**beginnings("my_skirt"), "my_skirt.toml": card, "quarter.style": wrong}


class Visit:
    """A page of the desk in a browser."""

    def __init__(self, folder: Path, style: str) -> None:
        sys.path.insert(0, str(Path(__file__).parent))
        from paper.browsing import start

        environment = {**os.environ, "PYTHONPATH": str(Path(tapeline.__file__).parents[1]), "XDG_CACHE_HOME": str(folder / ".cache")}
        words = [
            sys.executable,
            "-m",
            "tapeline.desk.cli",
            "open",
            style,
            "--for",
            "my_skirt.toml",
            "--house",
            "house.toml",
            "--no-browser",
        ]
        self.process = subprocess.Popen(words, cwd=folder, env=environment, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout is not None
        address = self.process.stdout.readline().split()[-1]
        self.driver = start(*WINDOW)
        self.driver.get(address)

    def run(self, script: str, *words: str) -> object:
        return self.driver.execute_script(script, *words)

    def until(self, holds: Callable[[], object], what: str) -> None:
        end = time.monotonic() + PATIENCE
        while not holds():
            if time.monotonic() > end:
                raise TimeoutError(what)
            time.sleep(0.05)

    def says(self, element: str, words: str) -> None:
        """Wait until an element says it."""
        self.until(lambda: words in str(self.run("return document.getElementById(arguments[0]).textContent", element)), words)

    def press(self, words: str) -> None:
        (button,) = self.driver.find_elements("xpath", f'//button[text()="{words}"]')
        button.click()

    def photograph(self, name: str) -> None:
        from PIL import Image

        time.sleep(1)  # what follows a draft at rest: ledgers, links, words beside the text
        shot = Image.open(io.BytesIO(self.driver.get_screenshot_as_png())).convert("RGB")
        shot.quantize(COLOURS, method=Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE).save(PICTURES / name, optimize=True)

    def close(self) -> None:
        self.driver.quit()
        self.process.terminate()
        self.process.wait()


@contextmanager
def visit(folder: Path, style: str) -> Iterator[Visit]:
    one = Visit(folder, style)
    try:
        yield one
    finally:
        one.close()


def follow(folder: Path) -> None:
    """The tour, with a photograph at each place that it shows."""
    from selenium.webdriver import ActionChains
    from selenium.webdriver.common.keys import Keys

    for name, text in {**files(), "my_skirt.toml": beginnings("my_skirt")["my_skirt.toml"]}.items():
        (folder / name).write_text(text, encoding="utf-8")
    with visit(folder, "my_skirt.style") as page:
        page.says("messages-count", "The text is in order.")
        page.says("tables", "261.5 cm")
        page.photograph("hour_begun.png")
        (folder / "my_skirt.toml").write_text(files()["my_skirt.toml"], encoding="utf-8")
        page.says("sliders", "Measures of Ada Quay")
        page.says("tables", "267.5 cm")
        page.press("Hold")
        page.run("document.getElementById('slide_length').focus()")
        ActionChains(page.driver).send_keys(Keys.ARROW_RIGHT * 20).perform()
        page.says("moved", "places have moved from the held draft")
        page.photograph("hour_slid.png")
        page.press("Release")
        page.press("All as on the card")
        page.says("differs", "All as on the card")
        time.sleep(2)
        page.run(
            "const list = document.getElementById('lines');"
            "list.value = [...list.options].find((one) => one.text === 'waist (stitch)').value; list.onchange();"
        )
        page.says("taken", "waist")
        page.press("Why")
        page.until(lambda: page.run("return !document.querySelector('#taken pre').hidden"), "why")
        page.run("document.querySelector('#taken pre').scrollIntoView()")
        page.photograph("hour_why.png")
    with visit(folder, "quarter.style") as page:
        page.says("messages-count", "3 mistakes.")
        page.until(lambda: page.run("return document.querySelectorAll('#messages-list .ways button').length"), "ways out")
        page.run("document.querySelector('#messages-list li').scrollIntoView()")
        page.photograph("hour_mistakes.png")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as home:
        folder = Path(home) / "skirts"
        folder.mkdir()
        follow(folder)
    sys.stdout.write(f"{len(NAMES)} pictures\n")
