"""The drawing half of the page in a real browser, by pointer and by keyboard."""

import re
import subprocess
import sys
from contextlib import contextmanager

import pytest

from paper import browsing
from tapeline.source.world import standard_folder

PATIENCE = 30  # seconds


@contextmanager
def opened(folder, style):
    """The address of a page that another process serves."""
    (folder / f"{style}.style").write_text((standard_folder("styles") / f"{style}.style").read_text(encoding="utf-8"), encoding="utf-8")
    command = [sys.executable, "-m", "tapeline.desk.cli", "open", f"{style}.style", "--for", "nell", "--no-browser"]
    with subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) as serving:
        try:
            yield next(filter(None, (re.search(r"http://\S+[^\s.]", line) for line in serving.stdout))).group()
        finally:
            serving.terminate()


class Hand:
    """What a hand does and an eye sees."""

    def __init__(self, driver):
        self.driver = driver

    def sees(self, script, *given):
        return self.driver.execute_script(f"return {script}", *given)

    def waits(self, script):
        from selenium.webdriver.support.ui import WebDriverWait

        return WebDriverWait(self.driver, PATIENCE, poll_frequency=0.1).until(lambda _: self.sees(script), script)

    def one(self, css):
        return self.driver.find_element("css selector", css)

    def presses(self, within, words):
        found = [one for one in self.driver.find_elements("css selector", f"{within} button") if one.text == words]
        found[0].click()

    def shape(self, line="cut"):
        """The first such line of the front."""
        return self.sees("document.querySelector(`.pieces [data-at=front] path[data-line=${arguments[0]}]`).getAttribute('d')", line)


@pytest.fixture(scope="module")
def hand(tmp_path_factory):
    driver = browsing.start(1360, 900)
    try:
        with opened(tmp_path_factory.mktemp("page"), "straight_skirt") as address:
            driver.get(address)
            hand = Hand(driver)
            hand.waits("document.querySelectorAll('.pieces path').length > 10 && document.querySelectorAll('#lines option').length > 5")
            hand.waits("document.querySelectorAll('#tables table').length > 0")
            yield hand
            wrong = [entry["message"] for entry in driver.get_log("browser") if entry["level"] == "SEVERE"]
            assert not wrong
    finally:
        driver.quit()


def test_the_drawing_follows_a_slider_and_a_held_draft_stays(hand):
    before, view = hand.shape(), hand.sees("document.querySelector('.sheet').getAttribute('viewBox')")
    hand.presses("#tools", "Hold")
    slider = hand.one("#slide_length")
    slider.send_keys("\ue014" * 4)  # arrow right
    hand.waits("document.querySelectorAll('#moved li').length > 0")
    assert hand.shape() != before
    assert slider.get_attribute("aria-valuetext") == "24 1/2 in" and "24 in" in hand.one("#slide_length_differs").text
    assert "hem centre: down 1/2 in" in hand.one("#moved").text
    assert hand.sees("document.querySelectorAll('.sheet .held path').length") > 2
    assert hand.sees("document.querySelectorAll('.sheet .moved .place').length") == hand.sees(
        "document.querySelectorAll('#moved li').length"
    )
    hand.presses("#tools", "Release")
    assert not hand.sees("document.querySelectorAll('.sheet .held path').length")
    hand.sees("document.querySelector('#slide_length').closest('.slide').querySelector('button').click()")
    hand.waits("document.querySelector('#slide_length').closest('.slide').querySelector('button').hidden")
    hand.waits(f"document.querySelector('.sheet').getAttribute('viewBox') === '{view}'")
    assert hand.shape() == before and hand.one("#differs").text.startswith("All as on the card")


def test_a_typed_figure_that_fails_leaves_the_last_drawing(hand):
    figure = hand.one("#slide_length ~ input[type=text]")
    figure.clear()
    figure.send_keys("24 3/4\n")
    hand.waits("document.querySelector('#slide_length').getAttribute('aria-valuetext') === '24 3/4 in'")
    figure.clear()
    figure.send_keys("long\n")
    hand.waits("document.querySelector('#slide_length ~ input').getAttribute('aria-invalid') === 'true'")
    assert "cannot be read" in hand.one("#status").text
    longer = hand.shape()
    hand.sees("document.querySelector('#slide_length').closest('.slide').querySelector('button').click()")
    hand.waits(f"document.querySelector('.pieces [data-at=front] path[data-line=cut]').getAttribute('d') !== {longer!r}")


def test_a_line_leads_to_its_rule_and_the_keys_move_the_drawing(hand):
    from selenium.webdriver.common.action_chains import ActionChains

    place = hand.sees(
        """(() => { const line = document.querySelector('.pieces [data-at=front] path[data-edge=side]');
        const at = line.getPointAtLength(line.getTotalLength() * 0.7).matrixTransform(line.getScreenCTM()); return [at.x, at.y]; })()"""
    )
    actions = ActionChains(hand.driver)
    actions.w3c_actions.pointer_action.move_to_location(*map(round, place))
    actions.click().perform()
    assert hand.waits("document.querySelector('#taken').textContent")
    hand.waits("document.querySelector('#taken strong')?.textContent.startsWith('front: side')")
    assert hand.sees("document.querySelectorAll('.sheet .drew').length") == 1
    hand.presses("#taken", "Why")
    hand.waits("document.querySelector('#taken pre').textContent.includes('hip_quarter = ')")
    hand.presses("#taken", "Let go")
    view = "document.querySelector('.sheet').getAttribute('viewBox')"
    before = hand.sees(view)
    hand.one("#sheet").send_keys("+\ue014")
    assert hand.sees(view) != before
    hand.one("#sheet").send_keys("0")
    assert hand.sees(view) == before


def test_a_piece_is_constructed_rule_by_rule_and_sizes_are_run_through(hand):
    hand.presses("#tools", "Construct")
    hand.waits("document.querySelectorAll('#stage p').length > 0")
    first = hand.one("#stage").text
    hand.presses("#story", "Forward")
    assert hand.one("#stage").text != first and hand.one("#stage").text.startswith("2 of ")
    assert hand.sees("document.querySelectorAll('.sheet .story .new').length") > 0
    hand.presses("#story", "Close")
    before = hand.shape()
    hand.sees(
        """(() => { const table = document.querySelector('#size_table');
        table.value = [...table.options].find((one) => one.text === 'quay row').value; table.onchange(); })()"""
    )
    hand.waits("document.querySelector('#sizes output').textContent === 'size 24'")
    hand.waits(f"document.querySelector('.pieces [data-at=front] path[data-line=cut]').getAttribute('d') !== {before!r}")
    hand.one("#size_at").send_keys("\ue014")
    hand.waits("document.querySelector('#sizes output').textContent === 'size 26'")


def test_a_slider_leaves_a_figure_that_is_a_whole_step_by_one_step(hand):
    hand.sees(
        """(() => { const bodies = document.querySelector('#bodies'); bodies.value = 'maud';
        bodies.dispatchEvent(new Event('change')); })()"""
    )
    hand.waits("document.querySelector('#slide_length ~ input').value === '60 cm'")
    for key, words in (("\ue014", "60.5 cm"), ("\ue012", "60 cm"), ("\ue012", "59.5 cm")):
        hand.one("#slide_length").send_keys(key)
        hand.waits(f"document.querySelector('#slide_length').getAttribute('aria-valuetext') === '{words}'")
    hand.waits("document.querySelectorAll('.sheet.far .titles text').length > 1")
    hand.presses("#sliders", "All as on the card")
