"""What the tests of `start from` and `change` share: a made-up skirt to start from, and how a style is read and compared.

`BASE` has a piece by level, a piece by point, and two pieces from one recipe of the library `strips`.
"""

from __future__ import annotations

import numpy as np

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

LIBRARY = """language 1
library strips "Strips"
recipe strip "Strip" (wide length, deep length, marked condition)
    inset = 1 cm
    point A start
    point B A across wide
    point C A down deep
    point D B down deep
    points m1, m2 divide A to B
    point P m1 down inset
    line left A to C
    line top A to B
    line right B to D
    line low C to D
    outline left, top, right, low
    mark "fold" P to D
    when marked
        point Q P down 1 cm
        notch on top at 2 cm from A
"""
BASE = """language 1
style base "Base" version 3.0
    "What others start from."
use strips
measure waist, hip, waist_to_hip
choose long 60 cm from 40 cm to 90 cm "waist to hem"
choose give 4 cm from 2 cm to 8 cm
choose vent yes
quarter = (hip + give) / 4
spare = (hip - waist) / 4
divide spare into
    side_share spare * 60 %
    dart_share the rest
when vent
    flare = 1 cm
otherwise
    flare = 3 cm
rule lapped(around length) gives around + 3 cm
levels
    waist
    hip   waist_to_hip below waist
    hem   long below waist
piece front "Front"
    cut 1 on fold at centre
    widths from centre, before darts
        waist  waist / 4 + side_share - side_share
        hip    quarter
        hem    flare more than hip
    side smooth waist to hip, straight hip to hem
    dip waist 1 cm at centre
    dart on waist at half
        intake dart_share
        point 10 cm long
    mark "pocket" hip_centre to hip_side
piece back "Back"
    cut 2
    point A start
    point B A across quarter
    point C A down long
    point D B down long
    line centre A to C
    line waist A to B
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
    zip on centre from A to 10 cm below hip
    grain plumb
piece band "Band" from strip(lapped of (waist), 4 cm, vent)
    cut 1
    lift = 1 cm
piece loop "Loop" from strip(8 cm, 2 cm, no)
sew band.left to band.right
sew loop.left to loop.right
allow
    side 1.5 cm
    others 1 cm
    hem 4 cm turned up
    loop.top 5 mm
    loop.low none
check little(given length)
    require given more than 1 mm "nothing is left"
check little(quarter)
require length of back.hem at least 10 cm "a narrow hem"
caution when long more than 200 cm "a train"
example "by hand: (96 + 4) / 4"
    given waist 70 cm, hip 96 cm, waist_to_hip 20 cm
    expect quarter is 25.0 cm
"""
BODY = {"waist": 700.0, "hip": 960.0, "waist_to_hip": 200.0}
HEAD = 'language 1\nstyle mine "Mine"\n    "Prose of its own."\nstart from base\n'


def house(folder, **files):
    for name, text in {"base": BASE, "strips": LIBRARY, **files}.items():
        (folder / f"{name}.style").write_text(text, encoding="utf-8")
    return FolderWorld(folder)


def reading(text: str, world, head: str = HEAD):
    return read(Source("mine.style", head + text), world)


def said(text: str, world, head: str = HEAD) -> list[tuple[str, str, int]]:
    """(code, file, line) of what is said; lines of the style itself are counted from below its head."""
    found = []
    for one in reading(text, world, head)[1]:
        name = one.span.source.name.rpartition("/")[2]
        found.append((one.code, name, one.span.line - (head.count("\n") if name == "mine.style" else 0)))
    return found


def drafted(text: str, world, choices=None, head: str = HEAD):
    style, found = reading(text, world, head)
    assert not found, "\n".join(map(render, found))
    (one,) = draft(style, {name: np.array([BODY[name]]) for name in style.plan().measures}, choices)
    return one


def base_of(world, choices=None):
    return drafted("", world, choices, head=BASE)


def outlines(one) -> dict:
    """Piece -> its sewn outline, edge by edge, in numbers."""
    return {
        piece.name: {edge.name: np.concatenate([strip.flatten()[0] for strip in edge.strips], axis=None) for edge in piece.edges}
        for piece in one.pattern.pieces
    }


def changed(one, other) -> set[str]:
    """The pieces that are not to the last bit the same, and those that only one of the two has."""
    mine, theirs = outlines(one), outlines(other)
    odd = set(mine) ^ set(theirs)
    for name in set(mine) & set(theirs):
        same = mine[name].keys() == theirs[name].keys() and all(
            np.array_equal(mine[name][edge], theirs[name][edge]) for edge in mine[name]
        )
        odd |= set() if same else {name}
    return odd


def marks(one, piece: str) -> list[str]:
    return [mark.name for mark in one.pattern.piece(piece).marks]
