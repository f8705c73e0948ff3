"""The proof page in a real browser: pointing, measuring, switching, keys, phone, print, and what those hear who do not see it.

Where no browser is installed these tests are skipped and say so (see `browsing`).
"""

from __future__ import annotations

import base64
import io
import math
import re

import browsing
import pypdf
import pytest
from proofs import page, proof, unruly

from tapeline.paper.drawing.pieces import in_words
from tapeline.paper.house.house import House
from tapeline.paper.proof.page import write_page
from tapeline.paper.proof.rules import file_name
from tapeline.source.quantity import show_length


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("proof")
    for name, text in (("corselet", page("corselet_skirt", "maud")), ("unruly", write_page(unruly()))):
        (place / f"{name}.html").write_text(text, encoding="utf-8")
    return place


@pytest.fixture(scope="module")
def driver():
    driver = browsing.start()
    yield driver
    driver.quit()


@pytest.fixture(scope="module")
def phone():
    driver = browsing.start(390, 844, phone=True)
    yield driver
    driver.quit()


@pytest.fixture
def corselet(driver, folder):
    driver.get((folder / "corselet.html").as_uri())
    return driver


LIT = """return [...document.querySelectorAll('#sheet %s')].map(
  (p) => p.dataset.rule + ' ' + (p.dataset.edge ?? p.dataset.name ?? ''))"""
# Where a place on a line lies on the screen: {part} of its length along it.
ON_SCREEN = """const path = document.querySelector(arguments[0]);
const p = path.getPointAtLength(path.getTotalLength() * arguments[1]).matrixTransform(path.getScreenCTM());
return [p.x, p.y];"""
TO_SCREEN = """const p = new DOMPoint(arguments[0], arguments[1]).matrixTransform(document.querySelector('#sheet svg').getScreenCTM());
return [p.x, p.y];"""


def point_at(driver, x: float, y: float, press: bool = False):
    from selenium.webdriver.common.action_chains import ActionChains

    action = ActionChains(driver, duration=20)
    action.w3c_actions.pointer_action.move_to_location(round(x), round(y))
    if press:
        action.w3c_actions.pointer_action.click()
    action.perform()
    driver.execute_async_script("requestAnimationFrame(() => requestAnimationFrame(arguments[0]))")


def told(driver, name: str = "told") -> str:
    return driver.execute_script(f"return document.getElementById('{name}').textContent")


def to_sheet(driver):
    driver.execute_script("document.getElementById('sheet').scrollIntoView({block: 'center', behavior: 'instant'})")


def places(style: str, body: str, piece: str, unit: str | None = None) -> dict[str, tuple[float, float]]:
    one = next(one.piece for one in proof(style, body, unit=unit).finished.pieces if one.piece.name == piece)
    found = {name: tuple(float(value) for value in place[0]) for name, place in one.points.items()}
    return {name: place for name, place in found.items() if all(map(math.isfinite, place))}


# ------------------------------------------------------------------------------------------------- the page by itself


@pytest.mark.parametrize("name", ["corselet", "unruly"])
def test_it_opens_in_silence_and_asks_for_nothing(driver, folder, name):
    browsing.requests(driver), driver.get_log("browser")
    driver.get((folder / f"{name}.html").as_uri())
    assert driver.get_log("browser") == []
    assert {url for url in browsing.requests(driver) if "favicon" not in url} == {(folder / f"{name}.html").as_uri()}
    assert driver.title not in "123"


def test_the_page_may_not_fetch_even_if_it_would(corselet):
    answer = corselet.execute_async_script("fetch(location.href).then(() => arguments[0]('fetched'), () => arguments[0]('refused'))")
    assert answer == "refused"
    assert any("Content Security Policy" in one["message"] for one in corselet.get_log("browser"))


# ------------------------------------------------------------------------------------------------ pointing and pressing


def test_point_at_a_line_and_see_its_rule(corselet):
    to_sheet(corselet)
    selector = "#front path[data-edge='side']"
    rule = corselet.execute_script("return document.querySelector(arguments[0]).dataset.rule", selector)
    point_at(corselet, *corselet.execute_script(ON_SCREEN, selector, 0.55))
    assert rule in told_hint(corselet) and "Front, side" in told_hint(corselet)
    assert corselet.execute_script("return [...document.querySelectorAll('#rules li.own')].map((one) => one.dataset.rule)") == [rule]
    assert told(corselet) == ""  # nothing is said aloud for mere pointing
    point_at(corselet, 5, 5)
    assert corselet.execute_script("return document.querySelectorAll('#rules li.own').length") == 0


def told_hint(driver) -> str:
    return driver.execute_script("return document.querySelector('.hint').hidden ? '' : document.querySelector('.hint').textContent")


def test_press_a_line_and_its_rule_stays_and_comes_into_sight(corselet):
    to_sheet(corselet)
    selector = "#back path[data-line='dart']"
    point_at(corselet, *corselet.execute_script(ON_SCREEN, selector, 0.2), press=True)
    assert "Back, dart" in told(corselet)
    row = corselet.find_element("css selector", "#rules li.own")
    rule = corselet.execute_script("return document.querySelector(arguments[0]).dataset.rule", selector)
    assert row.get_attribute("data-rule") == rule
    frame = corselet.find_element("id", "rules").rect
    assert frame["y"] <= row.rect["y"] <= frame["y"] + frame["height"]
    assert corselet.find_element("id", "to_rule").get_attribute("href").endswith("#" + row.get_attribute("id"))
    corselet.find_element("id", "let_go").click()
    assert told(corselet) == "" and not corselet.find_elements("css selector", "#rules li.own")


def test_press_a_rule_and_see_what_it_drew(corselet):
    button = corselet.find_element("css selector", "#rules li > button.drew")
    rule = corselet.execute_script("return arguments[0].parentElement.dataset.rule", button)
    corselet.execute_script("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", button)
    button.click()
    everything = corselet.execute_script(LIT % "g[data-piece] path")
    assert sorted(corselet.execute_script(LIT % "path.own")) == sorted(one for one in everything if one.startswith(f"{rule} "))
    assert button.get_attribute("aria-pressed") == "true" and f"{rule} drew" in told(corselet)
    button.click()
    assert button.get_attribute("aria-pressed") == "false" and corselet.execute_script(LIT % "path.own") == []


def test_what_is_lit_is_told_apart_without_colour(corselet):
    """By width in the drawing, by a frame in the text; and words are dark enough on their ground."""
    wide = "return parseFloat(getComputedStyle(document.querySelector(\"#front path[data-line='dart']\")).strokeWidth)"
    framed = "return getComputedStyle(document.querySelector('#rules li.own')).outlineStyle"
    before = corselet.execute_script(wide)
    corselet.execute_script("document.querySelector(\"button[data-line-shown='dart1']\").click()")
    assert corselet.execute_script(wide) >= before + 4
    assert corselet.execute_script(framed) == "solid"
    pairs = corselet.execute_script("""const solid = (e) => { for (; e; e = e.parentElement) {
        const c = getComputedStyle(e).backgroundColor; if (c !== 'rgba(0, 0, 0, 0)') return c; } return 'rgb(255, 255, 255)'; };
      return [...new Set([...document.querySelectorAll('body *:not(svg *):not(script)')].map(
        (e) => getComputedStyle(e).color + ' on ' + solid(e)))];""")
    assert len(pairs) >= 3
    for pair in pairs:
        one, other = (luminance(colour) for colour in pair.split(" on "))
        assert (max(one, other) + 0.05) / (min(one, other) + 0.05) >= 4.5, pair  # WCAG 2.2, 1.4.3


def luminance(colour: str) -> float:
    """Relative luminance, as WCAG 2.2 defines it."""
    parts = [int(part) / 255 for part in re.findall(r"\d+", colour)[:3]]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


# ------------------------------------------------------------------------------------------------------------ measuring


@pytest.mark.parametrize("nearer", [0, 2])
def test_two_presses_give_the_distance(corselet, nearer):
    """Against the points of the pattern itself: presses near a point take it exactly, at any size."""
    to_sheet(corselet)
    corselet.find_element("id", "measure").click()
    to_sheet(corselet)
    ends = ("waist_side", "hip_side")
    data = "return JSON.parse(document.getElementById('page_data').textContent).points.filter((p) => p[0] === 'front')"
    laid = {name: (x, y) for _, _, name, x, y in corselet.execute_script(data)}
    middle = [(a + b) / 2 for a, b in zip(*(laid[in_words(end)] for end in ends), strict=True)]
    for _ in range(nearer):
        x, y = corselet.execute_script(TO_SCREEN, *middle)
        corselet.execute_script(
            """document.querySelector('#sheet').dispatchEvent(new WheelEvent('wheel',
            {deltaY: -120, ctrlKey: true, clientX: arguments[0], clientY: arguments[1], bubbles: true, cancelable: true}))""",
            x,
            y,
        )
    for end in ends:
        x, y = corselet.execute_script(TO_SCREEN, *laid[in_words(end)])
        point_at(corselet, x + 2, y - 2, press=True)
    p, q = (places("corselet_skirt", "maud", "front")[end] for end in ends)
    said = told(corselet)
    assert said.startswith(f"Distance {show_length(math.dist(p, q), 'cm')} straight; {show_length(abs(p[0] - q[0]), 'cm')} across")
    along = next(one.piece.edge("side") for one in proof("corselet_skirt", "maud").finished.pieces if one.piece.name == "front")
    assert re.search(r"[\d.]+ cm along Front, side", said) and along.closed_length()[0] > math.dist(p, q)


@pytest.mark.parametrize("unit, fraction", [("cm", 16), ("mm", 16), ("in", 16), ("in", 8)])
def test_distances_are_written_as_the_house_writes_them(driver, folder, unit, fraction):
    """The page's own writing of lengths against the program's, over all pairs of named points of a piece."""
    file = folder / f"{unit}{fraction}.html"
    file.write_text(page("corselet_skirt", "maud", unit, fraction), encoding="utf-8")
    driver.get(file.as_uri())
    found = driver.execute_script("""const [from, to] = [document.getElementById('from_point'), document.getElementById('to_point')];
      const options = [...from.querySelector("optgroup[label='Front']").children], found = [];
      for (const a of options) for (const b of options) {
        from.value = a.value; to.value = b.value; to.dispatchEvent(new Event('change'));
        found.push([a.text, b.text, document.getElementById('by_name_told').textContent]);
      }
      return found;""")
    drafted = places("corselet_skirt", "maud", "front", unit)  # a choice may have a default of its own in inches
    points = {in_words(name): place for name, place in drafted.items()}
    assert len(found) == len(points) ** 2
    house, wrong = House(fraction=fraction), []
    for a, b, said in found:
        p, q = points[a], points[b]
        expected = [
            {house.show(value + off, unit) for off in (-1e-4, 0, 1e-4)}  # places are kept to 0.0001 mm
            for value in (math.dist(p, q), abs(p[0] - q[0]), abs(p[1] - q[1]))
        ]
        parts = re.match(r"(.+?) straight; (.+?) across, (.+?) down", said).groups()
        wrong += [(a, b, said)] if not all(part in one for part, one in zip(parts, expected, strict=True)) else []
    assert not wrong


# --------------------------------------------------------------------------------------------------------------- pieces


def test_pieces_are_switched_off_and_on(corselet):
    """The back's strength layer alone reaches the right end of the sheet, so without it the rest is shown larger."""
    back = "return getComputedStyle(document.querySelector('#sheet g[data-piece=back_strength]')).display"
    view = "return document.querySelector('#sheet svg').getAttribute('viewBox')"
    box = corselet.find_element("css selector", "[data-switch='back_strength']")
    before = corselet.execute_script(view)
    corselet.execute_script("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'})", box)
    box.click()
    assert corselet.execute_script(back) == "none" and "Back strength layer" in told(corselet)
    assert corselet.execute_script(view) != before  # what is left stands in the middle
    corselet.execute_script("document.querySelector('[data-only=back_strength]').click()")
    assert corselet.execute_script(back) == "inline" and "Front" in told(corselet)
    corselet.execute_script("document.querySelector('[data-only=back_strength]').click()")  # once more: all are shown again
    assert told(corselet) == "All pieces are shown." and corselet.execute_script(view) == before


# ------------------------------------------------------------------------------------------------- keys, and those who hear


def test_all_can_be_done_with_keys(corselet):
    from selenium.webdriver.common.keys import Keys

    corselet.execute_script("document.activeElement.blur(); scrollTo(0, 0)")
    seen = []
    for _ in range(16):
        corselet.switch_to.active_element.send_keys(Keys.TAB)
        now = corselet.switch_to.active_element
        seen.append(now.get_attribute("id") or now.text or now.get_attribute("href"))
        kind, wide = corselet.execute_script("""const s = getComputedStyle(document.activeElement);
          return [s.outlineStyle, parseFloat(s.outlineWidth)];""")
        assert kind != "none" and wide >= 2, f"{seen[-1]} does not show that it has the focus"
        if now.get_attribute("id") == "sheet":
            break
    assert seen[0] == "To the drawing" and seen[-5:] == ["zoom_in", "zoom_out", "zoom_fit", "measure", "sheet"]
    sheet = corselet.find_element("id", "sheet")
    view = "return document.querySelector('#sheet svg').getAttribute('viewBox')"
    views = [corselet.execute_script(view)]
    for keys in ("+", Keys.ARROW_LEFT, Keys.ARROW_UP, "-"):
        sheet.send_keys(keys)
        views.append(corselet.execute_script(view))
    assert len(set(views)) == len(views)
    sheet.send_keys("0")
    assert corselet.execute_script(view) == views[0]
    for _ in range(40):  # leftward from the middle until a line lies under the cross
        sheet.send_keys(Keys.SHIFT, Keys.ARROW_LEFT, Keys.NULL)
        if told_hint(corselet):
            break
    sheet.send_keys(Keys.ENTER)
    assert "Rule" in told(corselet) and corselet.execute_script(LIT % "path.own")
    sheet.send_keys(Keys.ESCAPE)
    assert told(corselet) == ""
    sheet.send_keys("m")
    sheet.send_keys(Keys.ENTER)
    sheet.send_keys(Keys.ARROW_RIGHT)
    sheet.send_keys(Keys.ENTER)
    assert told(corselet).startswith("Distance ")
    sheet.send_keys(Keys.TAB)
    assert corselet.switch_to.active_element.get_attribute("id") != "sheet"  # the drawing does not hold the focus fast


def test_all_that_takes_the_focus_has_a_role_and_a_name(corselet):
    """What a screen reader is told, from the browser's own tree."""
    nodes = corselet.execute_cdp_cmd("Accessibility.getFullAXTree", {})["nodes"]
    known = [one for one in nodes if not one["ignored"]]

    def said(node, name):
        return next((one["value"].get("value") for one in node.get("properties", []) if one["name"] == name), None)

    takers = [one for one in known if said(one, "focusable") and one["role"]["value"] != "RootWebArea"]
    assert len(takers) > 40
    for one in takers:
        assert one["role"]["value"] not in ("generic", "none"), one
        assert one.get("name", {}).get("value", "").strip(), one
    roles = {one["role"]["value"]: one for one in known}
    assert roles["application"]["name"]["value"] == "Drawing of the pieces"
    assert said(roles["status"], "live") == "polite"
    assert {"main", "navigation", "region", "heading", "table", "columnheader", "rowheader", "list"} <= set(roles)


def test_a_line_in_the_tables_is_shown_in_the_drawing(corselet):
    button = corselet.find_element("css selector", "button[data-shows='front'][data-edge-shown='hem']")
    corselet.execute_script("arguments[0].scrollIntoView({block: 'center', behavior: 'instant'}); arguments[0].click()", button)
    assert corselet.execute_script("return [...document.querySelectorAll('#sheet path.own')].map((p) => p.dataset.edge)") == ["hem"]
    assert "Front, hem" in told(corselet)
    dart = next(one.piece.darts()[1] for one in proof("corselet_skirt", "maud").finished.pieces if one.piece.name == "front")
    corselet.execute_script("document.querySelector(\"button[data-shows='front'][data-line-shown='dart2']\").click()")
    assert "Front, dart2: dart" in told(corselet)
    assert f"{file_name(dart.span.source)}:{dart.span.line}, " in told(corselet)
    corselet.find_element("id", "to_drawing").click()
    assert corselet.switch_to.active_element.get_attribute("id") == "sheet"


def test_nothing_glides_for_those_who_ask_for_rest(corselet):
    glide = "return getComputedStyle(document.documentElement).scrollBehavior"
    for wish, expected in (("reduce", "auto"), ("no-preference", "smooth")):
        corselet.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": [{"name": "prefers-reduced-motion", "value": wish}]})
        assert corselet.execute_script(glide) == expected
    assert corselet.execute_script("return document.getAnimations().length") == 0


# ---------------------------------------------------------------------------------------------- phone, paper, no script


def test_it_fits_a_phone(phone, folder):
    phone.get((folder / "corselet.html").as_uri())
    assert phone.execute_script("return document.documentElement.scrollWidth") == 390
    small = phone.execute_script("""return [...document.querySelectorAll('button, select, input, summary')]
      .filter((e) => e.checkVisibility()).map((e) => [e.outerHTML.slice(0, 80), (e.closest('label') ?? e).getBoundingClientRect()])
      .filter(([, box]) => box.width < 24 || box.height < 24).map(([name]) => name)""")
    assert small == []  # WCAG 2.2, 2.5.8: 24 by 24
    to_sheet(phone)
    x, y = phone.execute_script(ON_SCREEN, "#front path[data-edge='side']", 0.55)
    for kind, touches in (("touchStart", [{"x": x + 6, "y": y}]), ("touchEnd", [])):
        phone.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
    assert "Front" in told(phone) and phone.execute_script(LIT % "path.own")
    bar = phone.find_element("id", "bar").rect
    assert bar["height"] < 844 * 0.4


def test_two_fingers_come_nearer(phone, folder):
    phone.get((folder / "corselet.html").as_uri())
    to_sheet(phone)
    width = "return Number(document.querySelector('#sheet svg').getAttribute('viewBox').split(' ')[2])"
    before = phone.execute_script(width)
    for kind, gap in (("touchStart", 40), ("touchMove", 60), ("touchMove", 80), ("touchEnd", None)):
        touches = [] if gap is None else [{"x": 190 - gap, "y": 420, "id": 0}, {"x": 190 + gap, "y": 420, "id": 1}]
        phone.execute_cdp_cmd("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})
    assert phone.execute_script(width) == pytest.approx(before / 2, rel=0.1)


def test_it_prints_whole(corselet):
    corselet.execute_script("document.getElementById('zoom_in').click()")
    seen = corselet.execute_script("return document.querySelector('#sheet svg').getAttribute('viewBox')")
    data = corselet.execute_cdp_cmd("Page.printToPDF", {"paperWidth": 210 / 25.4, "paperHeight": 297 / 25.4, "preferCSSPageSize": True})
    pages = [one.extract_text() for one in pypdf.PdfReader(io.BytesIO(base64.b64decode(data["data"]))).pages]
    assert "Drawing" in pages[0] and "1. Front" in pages[0]
    words = " ".join(" ".join(pages).split())
    for part in ("Cautions and checks", "Girth at each level", "Seams", "Measures and choices", "Cutting list", "point_above"):
        assert part in words
    assert "Show all" not in words and "Measure between" not in words
    assert corselet.execute_script("return document.querySelector('#sheet svg').getAttribute('viewBox')") == seen


def test_without_its_script_it_is_a_page_of_drawing_and_tables(driver, folder):
    driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    try:
        driver.get((folder / "corselet.html").as_uri())
        assert driver.find_element("css selector", "#sheet svg").rect["height"] > 200
        assert not driver.find_element("id", "measure").is_displayed()
        assert driver.find_element("css selector", "#ledgers table").is_displayed()
    finally:
        driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
