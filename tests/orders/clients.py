"""Invented clients, and small styles that cost little to draft."""

DAY = ("--date", "2026-11-30")
CARD = """name = "{name}"
note = "invented"

[measures]
waist        = "{waist} cm"
hip          = "{hip} cm"
waist_to_hip = "20 cm"
"""
# A strip that is cut twice, as long as a girth and what the client wants beside it.
STRIP = """language 1
style {name} "A {name}" version 1.0
measure {girth}
choose lap  4 cm from 1 cm to 9 cm
choose deep 5 cm from 2 cm to 9 cm
piece {name} "{title}"
    cut 2
    point A start
    point B A across {girth} + lap
    point C A down deep
    point D B down deep
    line one A to C
    line upper A to B
    line other B to D
    line lower C to D
    outline one, upper, other, lower
allow
    others 1 cm
"""


def strip(name, girth="waist"):
    return STRIP.format(name=name, title=name.capitalize(), girth=girth)


def card(name, waist=72, hip=100):
    return CARD.format(name=name, waist=waist, hip=hip)
