"""Works that the tests of cutters' files are made from: shipped styles on shipped bodies, and two styles of Quay Row.

The bodies and Quay Row are invented.
"""

from __future__ import annotations

from functools import cache

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.paper.house.work import Heading, Work
from tapeline.session import Session
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

# Pleats, a dart within a piece, a dart on an edge, a fold, a pair, a lining, an edge without an allowance, a zip within its
# edge, a piece too small for its words, and names that are not 7-bit.
MANY = """language 1
style many_pieces "Prüfstück, pièces diverses" version 2.0
foundation sheet "Sheet"
    cut 1 on fold at centre
    point A start
    point B A across 20 cm, up 2 cm
    point C A down 50 cm
    point D C across 24 cm
    line centre A to C
    curve waist A to B, leaving level
    line side B to D
    line hem C to D
    outline centre, waist, side, hem
piece pleated "Pleated front" from sheet
    pleats 3 on waist to hem, 15 mm deep, 25 mm deep at hem, pressed toward side
piece body' "Dress front"
    cut 1 on fold at centre and 1 for "lining"
    point A start
    point B A across 20 cm, up 1 cm
    point C A down 60 cm
    point D C across 24 cm
    point M A across 11 cm, down 25 cm
    line centre A to C
    line top A to B
    curve side B to D, leaving plumb
    line hem C to D
    outline centre, top, side, hem
    dart at M, called waist_dart
        intake 3 cm
        points 12 cm above it, 14 cm below it
    dart on side at 8 cm from B, called bust_dart
        intake 2 cm
        point 9 cm long
    mark "pocket mouth" P to Q
    point P A across 14 cm, down 45 cm
    point Q P across 6 cm
    zip on side from Z to D
    point Z along side from D by 15 cm
piece lining "Lining front" from sheet
    cut 2 for "lining"
piece loop "Loop"
    cut 3 alike
    point A start
    point B A across 8 cm
    point C A down 2 cm
    point D B down 2 cm
    line left A to C
    line top A to B
    line right B to D
    line low C to D
    outline left, top, right, low
allow
    others 1 cm
    pleated.hem 3 cm turned up
    body'.hem none
    loop.left none
"""
# A half round in one piece: its arcs, as the program first flattens them, would leave the curve by more than 0.05 mm.
WIDE = """language 1
style half_round "A half round in one"
piece round "Round"
    cut 1
    point O start
    point A O left 120 cm
    point B O right 120 cm
    point C O left 20 cm
    point D O right 20 cm
    arc hem A to B about O
    line one A to C
    arc waist C to D about O
    line other D to B
    outline waist, other, hem, one
allow
    others 1 cm
"""


@cache
def style_work(text: str) -> Work:
    """A style that takes no measures."""
    style, found = read(Source("quay_row.style", text), FolderWorld())
    assert not found, "\n".join(map(render, found))
    (drafted,) = draft(style, {})
    finished, failures = finish(drafted.pattern)
    said = [failure.code for failure in (*drafted.failures, *failures)]
    assert set(said) <= {"D520"}, said  # hems and tops of these pieces come to corners at their folds, as they are meant to
    return _work(finished, drafted, "Quay Row, client 12", "cm")


@cache
def shipped_work(style: str, body: str) -> Work:
    home = standard_folder("styles")
    drafts = Session(keep=True).read(home / f"{style}.style").draft([home / "bodies" / f"{body}.toml"], accept=True)
    assert drafts.ok, "\n".join(map(render, drafts.diagnostics))
    (made,) = drafts
    return _work(made.finished, made.draft, made.name, made.unit)


def _work(finished, drafted, body: str, unit: str) -> Work:
    plan = drafted.plan
    heading = Heading(plan.title or plan.name, plan.version, plan.prose, body, unit)
    return Work(finished, 0, heading, plan, drafted.run, drafted.ledgers)
