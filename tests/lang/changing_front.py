"""A front that the tests of changes change, and the question whether a mistake is told by its code, at its line."""

import numpy as np

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import has_errors, render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

FRONT = """language 1
style fronts "Fronts"
measure waist
choose room 4 cm
foundation front "Front"
    cut 1 on fold at centre
    point A start
    point B A across 24 cm
    point C A down 60 cm
    point D B down 60 cm
    point P A across 12 cm, down 16 cm
    point Q A across 6 cm, down 30 cm
    point S along centre from A by 20 cm
    point T along side from B by 22 cm
    point U A across 2 cm, down 20 cm
    line centre A to C
    line waist  A to B
    curve side  B to D, bowed 8 mm
    line hem    C to D
    line low    S to T
    line short  U to T
    line yoke_line V to W
    point V along centre from A by 8 cm
    point W along side from B by 8 cm
    outline centre, waist, side, hem
    dart on waist at half, called waist_dart
        intake 3 cm
        point at P
"""
BODY = {"waist": np.array([700.0, 840.0])}


def told(text):
    """All that is said while a style is read and drafted for two bodies, with the drafts."""
    style, said = read(Source("fronts.style", FRONT + text), FolderWorld())
    if style is None or has_errors(said):
        return said, []
    drafts = draft(style, BODY)
    return said + [failure.diagnostic(0) for one in drafts for failure in one.failures if failure.bodies[0]], drafts


def pattern_of(text):
    said, drafts = told(text)
    assert said == [], "\n".join(map(render, said))
    return drafts[0].pattern


def assert_told(code, names, lines):
    """The mistake in the line marked by `>>` is told there, by its code and naming what is named, and nothing else is told."""
    marked = [number for number, line in enumerate((FRONT + lines.lstrip("\n")).splitlines(), 1) if line.startswith(">>")]
    said, _ = told(lines.lstrip("\n").replace(">>", ""))
    shown = "\n".join(map(render, said))
    assert said and {one.code for one in said} == {code}, shown
    assert len({one.title for one in said}) == len(said), shown  # each said once
    for one in said:
        assert one.span.line == marked[0], shown
        assert names in one.title or names in one.found, shown
        assert one.expected and (one.suggestion or one.expected.startswith("one of: ")), shown
    assert "nan" not in shown.replace("hinge", "")
