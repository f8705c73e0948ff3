"""The arithmetic that stands beside the figures of the sheet for drawing by hand: it is the style's own, and it adds up."""

import re
from fractions import Fraction

import pytest
import redraw
from drafted import drafted

from tapeline.paper.hand import sheet as hand_sheet
from tapeline.paper.house.house import House
from tapeline.session import Session

EIGHTHS = House(unit="in", fraction=8)
SIXTY_FOURTHS = House(unit="in", fraction=64)
STYLES = [
    "corselet_skirt",
    "straight_skirt",
    "princess_bodice",
    "a_line_skirt",
    "tiered_skirt",
    "panelled_bustier",
    "yoked_skirt",
    "wrap_skirt",
]


def remarks(style: str, body: str, house: House) -> list[str]:
    page = str(hand_sheet.papers(drafted(style, body, house))[f"{style}-by-hand.html"])
    steps = [words for tag, words in redraw.text_of(page) if tag == "li"]
    return [words.removesuffix(".")[len(redraw._needed(words)) :].strip(" ")[1:-1] for words in steps]


def test_a_width_is_reckoned_from_measures_and_choices():
    told = remarks("corselet_skirt", "nell", EIGHTHS)
    # Nell Quay, an invented client: underbust 30 3/4 in, waist 28 1/2 in, hip 38 1/2 in; drawn in 1 cm; three darts of 1/2 in.
    assert "underbust 30 3/4 / 4 = 7 3/4, and darts 1 1/2 = 9 1/4" in told
    assert any(words.startswith("(waist 28 1/2 - draw in 3/8) / 4 = 7 1/8, and darts 1 1/2 = 8 5/8") for words in told)
    assert any(words.startswith("(hip 38 1/2 + hip 38 1/2 x 5 %) / 4 = 10 1/8") for words in told)
    assert any("hip: underbust to waist 3 1/4 + waist to hip 8 = 11 1/4" in words for words in told)
    # A fifth of what half the straight skirt loses, (40 1/2 - 29 1/4) / 2 = 5 5/8 in, goes in front, three tenths behind.
    told = remarks("straight_skirt", "nell", EIGHTHS)
    assert any(words.startswith("front dart 1 1/8") for words in told)
    assert any(words.startswith("back dart 1 3/4 / 2 = 7/8") for words in told)


def worth(words: str) -> float | None:
    """An expression of the sheet by our own calculator: names are dropped, figures read; None where words are left."""
    words = re.sub(r"(\d+(?:\.\d+)?) %", lambda found: str(float(found[1]) / 100), words)
    words = re.sub(
        r"(?<![\w.])(?:(\d+) )?(\d+)/(\d+)(?![\w.])",
        lambda found: str(float(Fraction(int(found[2]), int(found[3])) + int(found[1] or 0))),
        words,
    )
    words = words.replace(" x ", " * ")
    words = re.sub(r"[a-z][a-z ]*(?=[\d(-])", "", words)
    if re.search(r"[a-z]", words):
        return None
    return float(eval(words, {"__builtins__": {}}))  # figures and signs alone are left


def total(words: str) -> float | None:
    """A width, and what darts and shaped edges take, come to the width before them."""
    net, *added = words.split(", and ")
    parts = [net, *(one.replace("taken in", "").replace("darts", "") for some in added for one in some.split(" and "))]
    worths = [worth(part) for part in parts]
    return None if None in worths else sum(worths)


@pytest.mark.parametrize("body", ["nell", "maud"])
@pytest.mark.parametrize("style", STYLES)
def test_the_arithmetic_adds_up(style, body):
    """Told to 1/64 in, both sides of each equation agree as closely as their roundings allow."""
    held = 0
    for words in remarks(style, body, SIXTY_FOURTHS):
        for part in words.split("; "):
            if "=" not in part or "least" in part or "greatest" in part or ": " in part:
                continue
            sides = part.split(" = ")
            for first, second in zip(sides, sides[1:], strict=False):
                left, right = total(first), worth(second.split(", and ")[0])
                if left is not None and right is not None:
                    assert left == pytest.approx(right, abs=1 / 16), part
                    held += 1
    assert held >= 2


def test_what_moved_a_figure_is_said():
    told = remarks("corselet_skirt", "nell", EIGHTHS)
    assert any("rounded so that girths and seams come out" in words for words in told)


def test_a_negative_figure_is_taken_away():
    """A recipe that is handed less than nothing: its figure stands behind one sign."""
    text = """language 1
style strip "Strip"
measure waist
recipe strip "Strip" (share length)
    point A start
    point B A across waist / 4 + share
    point C A down 10 cm
    point D B down waist / 8 - share
    line one A to C
    line upper A to B
    line other B to D
    line low C to D
    outline one, upper, other, low
piece narrow "Narrow" from strip(-5 mm)
allow
    others none
"""
    drafts = Session().read(text, name="strip.style").draft({"Ada": {"waist": "80 cm"}})
    page = str(drafts["Ada"].papers(["hand"])["strip-by-hand.html"], "utf-8")
    words = " ".join(words for _, words in redraw.text_of(page))
    assert "waist 80 / 4 - 0.5 = 19.5" in words
    assert "waist 80 / 8 + 0.5 = 10.5" in words
