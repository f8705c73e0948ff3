"""Words of a style, a card or a house act on no page: they are escaped, and what acts unseen is a blank."""

import re
from functools import cache
from html.parser import HTMLParser

import pytest

from tapeline.paper.house.document import html_document
from tapeline.session import Session

STYLE = """language 1
style odd "Odd <script>alert(1)</script> \x1b]0;x\x07 \u202e & skirt"
    "Prose with <img src=x> \x9b and \x7f."

measure waist
choose width 50 cm "How wide \x08 it <b> is"

piece front "Fr<i>ont \x1b[31m"
    cut 1
    point A start
    point B A across width
    point C A down 30 cm
    point D B down 30 cm
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline centre, top, side, hem
"""
PAGES = ("odd-by-hand.html", "odd-cutting-list.html", "odd-proof.html")


class Elements(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.found.append((tag, dict(attrs)))


@cache
def pages() -> dict[str, str]:
    reading = Session().read(STYLE)
    drafts = reading.draft({"A\x1bda <b>": {"waist": "72 cm"}}, house='name = "Loft <u> \\u001b[2J"')
    assert drafts.ok, drafts.diagnostics
    made = drafts.bodies[0].papers(["hand", "list", "proof"])
    return {name: made[name].decode() for name in PAGES}


@pytest.mark.parametrize("name", PAGES)
def test_nothing_on_a_page_acts_unseen_or_is_markup_of_the_style(name):
    text = pages()[name]
    unseen = {letter for letter in text if not letter.isprintable()} - {"\n", "\u00a0", "\u202f"}
    assert not unseen
    tags = [tag for tag, _ in Elements(text).found]
    assert tags.count("script") == (2 if name.endswith("proof.html") else 0) and not {"img", "i", "u"} & set(tags)
    assert "&lt;script&gt;alert(1)" in text and "Odd" in text


@pytest.mark.parametrize("name", PAGES)
def test_every_page_has_a_policy_that_lets_nothing_in_and_needs_nothing_more(name):
    found = Elements(pages()[name]).found
    (policy,) = [attrs["content"] for tag, attrs in found if attrs.get("http-equiv") == "Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; style-src 'sha256-") and "unsafe" not in policy
    assert not [attrs for _, attrs in found if "style" in attrs or "src" in attrs or any(key.startswith("on") for key in attrs)]
    assert not [attrs for tag, attrs in found if tag == "link" or attrs.get("href", "#")[0] != "#"]


def test_the_frame_escapes_its_title_and_blanks_what_is_forgotten():
    text = html_document("<meta>", "a <b> & c", "", ["<p>x\x1b[31m\u202e\u2066y\u00a0z</p>"])
    assert "<title>a &lt;b&gt; &amp; c</title>" in text and "<p>x [31m  y\u00a0z</p>" in text
    assert not re.search(r"script", text)
