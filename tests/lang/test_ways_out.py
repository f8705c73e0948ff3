"""The way out that a diagnostic gives can be gone: it is written as it would be, and speaks of what stands there."""

import numpy as np
import pytest

from tapeline.desk.explaining import find_page
from tapeline.finishing.whole import drafted_whole
from tapeline.meaning.style import read
from tapeline.source.diagnostics import CAUTION, Diagnostic, render
from tapeline.source.text import Source, Span
from tapeline.source.world import FolderWorld

HEAD = 'language 1\nstyle mat "Mat"\nmeasure hip\nwide = 3\n'
MAT = """piece mat "Mat"
    cut 1
    point A start
    point B A across hip
    point C A down 4 cm
    point D B down 4 cm
    line one A to C
    line upper A to B
    line other B to D
    line lower C to D
    outline one, upper, other, lower
"""
A_LENGTH = "is a number and a length is needed: multiply it by a length, or give its own figures a unit such as cm or in."


def said(text):
    return read(Source("mat.style", HEAD + text), FolderWorld())[1]


@pytest.mark.parametrize(
    "rule, way_out",
    [
        ("n = hip + 3\n", "Give 3 a unit: 3 cm, or in."),
        ("n = hip + wide\n", f"wide {A_LENGTH}"),
        ("n = hip - (wide * 2)\n", f"(wide * 2) {A_LENGTH}"),
        ("n = 1 cm when hip more than 98 otherwise 2 cm\n", "Give 98 a unit: 98 cm, or in."),
        ("n = 1 cm when hip more than wide otherwise 2 cm\n", f"wide {A_LENGTH}"),
        ('example "ours"\n    given hip 90 cm\n    expect hip is 90\n', "Give 90 a unit: 90 cm, or in."),
        ('example "ours"\n    given hip 90 cm\n    expect hip is wide\n', f"wide {A_LENGTH}"),
    ],
)
def test_a_unit_is_offered_to_written_numbers_alone(rule, way_out):
    assert [(one.code, one.suggestion) for one in said(rule)] == [("K302", way_out)]


def test_a_seam_allowance_below_zero():
    style, found = read(Source("mat.style", f"{HEAD}{MAT}allow\n    others 1 cm - hip / 50\n"), FolderWorld())
    assert style is not None and found == []
    (whole,) = drafted_whole(style, {"hip": np.array([900.0])})
    told = {(one.code, one.suggestion) for one in whole.diagnostics(0)}
    assert told == {("T504", 'Write the width without the minus sign, or "none" where the edge has no seam allowance.')}


@pytest.mark.parametrize(
    "code, near", [("D999", ""), ("S999", ""), ("waste", 'Did you mean "waist"'), ("skirtt", 'Did you mean "skirt"')]
)
def test_a_code_that_there_is_not_is_no_slip_for_another(code, near):
    way_out = find_page(code)[2][0].suggestion
    assert way_out.startswith(near) if near else way_out == 'Say "tapeline explain" to see every code.'


def test_a_message_commands_no_screen():
    shown = render(Diagnostic("D461", "cut\x1b[2J out", found="\x9b2J\u202e", suggestion="a\tb", severity=CAUTION))
    assert shown.splitlines() == ["caution: cut\u241b[2J out", "  found:    \ufffd2J\ufffd", "  way out:  a\tb", "  code D461"]


def test_a_caution_says_first_what_it_means():
    style, library = Source("skirt.style", "one\ncheck stride"), Source("stdlib/skirt.style", "a\nb\ncaution when")
    one = Diagnostic(
        "D461",
        "The hem is narrow: plan a vent",
        Span(library, 4, 16),
        found="sewn hem is 90 cm",
        others=((Span(style, 4, 16), "asked for here"),),
        severity=CAUTION,
        body="Ada",
    )
    assert render(one).splitlines() == [
        "caution: The hem is narrow: plan a vent  (for Ada)",
        "  found:    sewn hem is 90 cm",
        "  at skirt.style:2, stdlib/skirt.style:3, code D461",
    ]
