"""Ways out that can be followed at once, followed: the fault that they were offered for is gone, and no new one is there."""

import re

import pytest

from tapeline.editing.mending import mended, mends_of
from tapeline.session import Session
from tapeline.source.text import Source
from tapeline.source.world import standard_folder

HEAD = 'language 1\nstyle trial "Trial"\nmeasure waist, hip\nwide = 3\n'
PIECE = """piece mat "Mat"
    cut 1
    point a start
    point b a across hip
    point c a down 4 cm
    point d b down 4 cm
    line one a to c
    line upper a to b
    line other b to d
    line lower c to d
    outline one, upper, other, lower
"""
PAGES = sorted(standard_folder("pages").glob("*.md"))
FENCE = re.compile(r"```style[^\n]*\n(.*?)```", re.DOTALL)


def said(text):
    return [one for one in Session().read(Source("trial.style", text)).diagnostics if one.severity == "error"]


@pytest.mark.parametrize(
    "wrong, mends",
    [
        ("far = wiast", ["far = waist"]),
        ("choose far 60 from 40 cm to 90 cm \"x\"", ["choose far 60 cm from 40 cm to 90 cm \"x\""]),
        ("far = hip + 3", ["far = hip + 3 cm", "far = hip + 3 in"]),
        ("far = 1 cm when hip more than 98 otherwise 2 cm", ["far = 1 cm when hip more than 98 cm otherwise 2 cm"]),
        ("far = 3 centimetres", ["far = 3 cm"]),
        ("far = hip × 2", ["far = hip * 2"]),
        ("far = hip * 3½", ["far = hip * 3 1/2"]),
        ("far = (hip + 3 cm", ["far = (hip + 3 cm)"]),
        ("far = (hip + 3 cm -- and a word", ["far = (hip + 3 cm) -- and a word"]),
        ("far = hip + 3 cm)", ["far = hip + 3 cm"]),
        ("far = half of -hip", ["far = half of (-hip)"]),
        ("far = length of mat.uper", ["far = length of mat.upper"]),
        ('caution when hip more than 90 cm\n    "So wide', ['caution when hip more than 90 cm\n    "So wide"']),
        ("pice other\n    cut 1", ["piece other\n    cut 1"]),
    ],
)  # fmt: skip
def test_what_is_written_instead(wrong, mends):
    text = HEAD + PIECE + wrong + "\n"
    found = said(text)
    assert found
    written = [mended(one.span.source, mend) for one in found for mend in mends_of(one)]
    for mend in mends:
        assert HEAD + PIECE + mend + "\n" in written


def test_a_measure_that_the_style_does_not_say_it_needs_is_added_to_those_it_does():
    (one,) = said(HEAD + "far = bust\n")
    (mend, *_) = [mend for mend in mends_of(one) if "bust" in mend.title and mend.title.startswith("Add")]
    assert mended(one.span.source, mend) == HEAD.replace("waist, hip", "waist, hip, bust") + "far = bust\n"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.stem)
def test_a_mend_mends(page):
    """Over the wrong example of every page: each mend leaves fewer mistakes of its code, and no more of others."""
    wrong = page.read_text(encoding="utf-8").partition("## Wrong")[2].partition("## Mended")[0]
    for text in FENCE.findall(wrong):
        before = said(text)
        for one in before:
            for mend in mends_of(one):
                if one.span.source.text == text:
                    after = said(mended(one.span.source, mend))
                    assert len(after) < len(before), (mend.title, [other.title for other in after])
