"""A real browser for the tests of pages: Debian's chromium driven by selenium, without a screen.

Where one of the three (chromium, chromedriver, selenium) is missing, `start` skips the test by its reason; with the
environment's BROWSER_TESTS=required, as where a browser was installed on purpose, that is a failure instead.
"""

from __future__ import annotations

import importlib.util
import json
import os
import shutil

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome")


def missing() -> str:
    """What there is not, or nothing."""
    found = [] if any(map(shutil.which, NAMES)) else ["a chromium"]
    found += [] if shutil.which("chromedriver") else ["chromedriver"]
    found += [] if importlib.util.find_spec("selenium") else ["the package selenium"]
    return ", ".join(found)


def start(wide: int = 1360, high: int = 900, phone: bool = False):
    """A driver with an empty page, that much of it to be seen."""
    lacking = missing()
    if lacking and os.environ.get("BROWSER_TESTS") == "required":
        pytest.fail(f"the page is tested in a real browser, and here there is not: {lacking}")
    if lacking:
        pytest.skip(f"the page is tested in a real browser, and here there is not: {lacking}")
    from selenium.webdriver import Chrome
    from selenium.webdriver.chrome.options import Options
    from selenium.webdriver.chrome.service import Service

    options = Options()
    options.binary_location = next(filter(None, map(shutil.which, NAMES)))
    for said in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", f"--window-size={wide},{high}"):
        options.add_argument(said)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    if phone:
        metrics = {"width": wide, "height": high, "pixelRatio": 2, "touch": True, "mobile": True}
        options.add_experimental_option("mobileEmulation", {"deviceMetrics": metrics})
    return Chrome(options=options, service=Service(shutil.which("chromedriver")))


def requests(driver) -> list[str]:
    """Every address that the browser asked for since it was last asked, its own pages left out."""
    told = (json.loads(entry["message"])["message"] for entry in driver.get_log("performance"))
    asked = [one["params"]["request"]["url"] for one in told if one["method"] == "Network.requestWillBeSent"]
    return [url for url in asked if not url.startswith(("chrome:", "devtools:", "about:", "data:"))]
