"""Girths, seams and corners of garments that no shipped style has, against arithmetic by hand.

The rules of each text are reckoned here once more, from the measures alone, with nothing but sums, square roots, circles and
tangents; the program's ledgers must come to the same.  The bodies are made up: two that are near the sizes of Quay Row, one
very slim, one very full.  The flounce is published and its figures are printed at its source.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from tapeline.drafting.run import draft
from tapeline.meaning.style import read
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

BODIES = {
    "middle": {"bust": 920, "waist": 724, "hip": 978, "waist_to_hip": 203, "neck": 368, "nape_to_waist": 400, "armhole_depth": 197},
    "fuller": {"bust": 1040, "waist": 865, "hip": 1105, "waist_to_hip": 205, "neck": 390, "nape_to_waist": 415, "armhole_depth": 215},
    "slim": {"bust": 740, "waist": 560, "hip": 800, "waist_to_hip": 180, "neck": 310, "nape_to_waist": 380, "armhole_depth": 180},
    "full": {"bust": 1360, "waist": 1240, "hip": 1400, "waist_to_hip": 220, "neck": 440, "nape_to_waist": 435, "armhole_depth": 250},
}
EXACT = 0.01  # mm
CHORDS = 2e-5  # of its length; what a line within the piece, which is kept as chords, is shorter than its curve
each_body = pytest.mark.parametrize("body", BODIES)


def ledgers_of(text: str, body: str | None = None):
    style, said = read(Source("by_hand.style", text), FolderWorld(standard_folder("styles")))
    assert style is not None, said
    measures = {name: np.array([float(BODIES[body][name])]) for name in style.plan().measures} if body else {}
    (drafted,) = draft(style, measures, bodies=1)
    assert {failure.severity for failure in drafted.failures} <= {"caution", "note"}, [one.diagnostic(0) for one in drafted.failures]
    return drafted.ledgers


def girths(ledgers) -> dict[str, float]:
    return {row.level: float(row.sewn[0]) for row in ledgers.girths}


def angles(ledgers) -> dict[tuple[str, str], float]:
    return {(row.one.named, row.other.named): math.degrees(float(row.angle[0])) for row in ledgers.corners}


LAPPED = """language 1
style lapped "A wide front that laps over a narrow one"
measure waist, hip, waist_to_hip
levels
    waist
    dart_foot  5 cm below waist
    hip        waist_to_hip below waist
    hem        65 cm below waist
recipe half "Half a skirt" ()
    widths from centre, with darts
        waist  waist / 4 + 3 cm
        hip    hip / 4 + 1 cm
        hem    3 cm more than hip
    dart on waist at half
        intake 25 mm, held to dart_foot
        point  6 cm below dart_foot
foundation half_front "Front half" from half()
piece back "Back" from half()
    cut 1 on fold at centre
piece wide_front "Front, wide side" from half_front
    extend centre by 22 cm, called lap
    cut 1
piece narrow_front "Front, narrow side" from half_front
    mirror
    extend centre by 8 cm, called under_lap
    cut 1
sew wide_front.side and narrow_front.side to back.side
"""


@each_body
def test_a_skirt_that_laps_to_one_side(body):
    """Two halves of front and the back: four quarters; what laps over lies beside them and is no girth."""
    of = BODIES[body]
    ledgers = ledgers_of(LAPPED, body)
    waist, hip = of["waist"] / 4 + 30 - 25, of["hip"] / 4 + 10
    sewn = girths(ledgers)
    assert sewn["hip"] == pytest.approx(4 * hip, abs=EXACT)
    assert sewn["hem"] == pytest.approx(4 * (hip + 30), abs=EXACT)
    assert sewn["waist"] == pytest.approx(4 * waist, abs=EXACT)  # the legs run side by side, so the edge stays straight
    # The sides run straight from waist to hip and from hip to hem, out by what the widths differ.
    out, down = hip - (waist + 25), of["waist_to_hip"]
    side = math.hypot(out, down) + math.hypot(30, 650 - down)
    (seam,) = ledgers.seams
    assert float(seam.length_one[0]) == pytest.approx(2 * side, abs=EXACT) == float(seam.length_other[0])
    # By as much as both sides lean out, the waist is hollow at the seam and the hem comes to a point.
    for front in ("wide_front", "narrow_front"):
        at = angles(ledgers)
        assert at[f"{front}.waist", "back.waist"] == pytest.approx(180 + 2 * math.degrees(math.atan2(out, down)), abs=1e-3)
        assert at[f"{front}.hem", "back.hem"] == pytest.approx(180 - 2 * math.degrees(math.atan2(30, 650 - down)), abs=1e-3)


YOKED = """language 1
style yoked "A bodice whose yokes run through darts"
measure bust, waist, neck, nape_to_waist, armhole_depth
levels
    bust
    waist  16 cm below bust
recipe block "Half a bodice" (wide length)
    point O start
    point N O across neck / 6, up 2 cm
    point S N across 12 cm, down 4 cm
    point W O down nape_to_waist
    point U W across wide, up nape_to_waist - armhole_depth - 2 cm
    point V W across waist / 4 + 4 cm
    point B W across 9 cm, up 16 cm
    point Y O down 6 cm
    line centre O to W
    curve neckline O to N, leaving level
    line shoulder N to S
    curve armhole S to U, leaving square to shoulder, arriving level
    line side U to V
    line waist_edge W to V
    point Z along armhole from S by 6 cm
    line yoke_line Y to Z
    outline centre, neckline, shoulder, armhole, side, waist_edge
    dart on shoulder at half, called upper_dart
        intake 2 cm
        point at B
    level bust at B
    level waist along waist_edge
foundation front_block "Front block" from block(bust / 4 + 2 cm)
    cut 1 on fold at centre
foundation back_block "Back block" from block(bust / 4 + 1 cm)
    cut 1 on fold at centre
cut front_block from centre to armhole along yoke_line, closing upper_dart, seam yoke
    piece front_yoke "Front yoke" holding shoulder
    foundation front_lower "Front below the yoke"
piece front "Front" from front_lower
    pivot upper_dart to side at half, called side_dart
    shorten side_dart by 2 cm
cut back_block from centre to armhole along yoke_line, closing upper_dart, seam yoke
    piece back_yoke "Back yoke" holding shoulder
    piece back "Back below the yoke"
sew front_yoke.shoulder to back_yoke.shoulder
sew front.side to back.side, easing 1 mm
"""


@each_body
def test_a_bodice_whose_dart_is_cut_by_a_yoke_and_moved(body):
    """Cutting through the dart, closing it above and moving what is left to the side change no girth."""
    of = BODIES[body]
    widths = [of["bust"] / 4 + 20, of["bust"] / 4 + 10]
    waist, high = of["waist"] / 4 + 40, of["nape_to_waist"] - of["armhole_depth"] - 20  # quarter waist; waist to underarm
    # The bust lies 16 cm above the waist, on a side that runs straight from the underarm to the waist; its dart ends on it.
    bust = sum(waist + (wide - waist) * 160 / high for wide in widths)
    assert high > 160  # else the bust would end on the armhole
    ledgers = ledgers_of(YOKED, body)
    sewn = girths(ledgers)
    assert sewn["bust"] == pytest.approx(2 * bust, abs=EXACT)
    assert sewn["waist"] == pytest.approx(4 * waist, abs=EXACT)
    at = angles(ledgers)
    lean = sum(math.degrees(math.atan2(wide - waist, high)) for wide in widths)
    assert at["front.waist_edge", "back.waist_edge"] == pytest.approx(180 + lean, abs=1e-3)
    assert at["front.armhole", "back.armhole"] == pytest.approx(180 - lean, abs=1e-3)


CIRCLE = """language 1
style three_quarters "Three quarters of a circle below a straight yoke"
measure hip, waist_to_hip
yoke_deep = waist_to_hip - 4 cm
radius = (hip + 3 cm) / (3 / 2 * 3.14159265358979)
levels
    yoke_low
    hip  4 cm below yoke_low
    hem  45 cm below yoke_low
piece skirt "Skirt, half"
    cut 2
    point O start
    point A O across radius
    point B A swung about O by 135 deg
    point E A across 45 cm
    point F E swung about O by 135 deg
    point H A across 4 cm
    point J H swung about O by 135 deg
    arc top A to B about O
    arc hip_line H to J about O
    arc low E to F about O
    line one A to E
    line other B to F
    outline one, low, other, top
    level yoke_low along top
    level hip along hip_line
    level hem along low
sew skirt.one to skirt.other
"""


@each_body
def test_three_quarters_of_a_circle(body):
    around = BODIES[body]["hip"] + 30
    radius = around / (1.5 * math.pi)
    ledgers = ledgers_of(CIRCLE, body)
    sewn = girths(ledgers)
    assert sewn["yoke_low"] == pytest.approx(around, abs=EXACT)
    assert sewn["hip"] == pytest.approx(1.5 * math.pi * (radius + 40), rel=CHORDS)
    assert sewn["hem"] == pytest.approx(1.5 * math.pi * (radius + 450), abs=EXACT)
    assert list(angles(ledgers).values()) == pytest.approx([180.0] * len(ledgers.corners), abs=1e-3)


FLOUNCE = """language 1
style circular_flounce "Circular flounce in four sections"
choose depth 12 in
choose top_wide 72 in
choose bottom_wide 112 in
radius = top_wide * depth / (bottom_wide - top_wide)
levels
    top
    bottom depth below top
piece section "Section"
    cut 4
    point A start
    point C A across radius
    point B C across depth
    point D C swung about A by top_wide / 4
    point E D away from A by depth
    arc upper C to D about A
    arc lower B to E about A
    line one C to B
    line other D to E
    outline one, lower, other, upper
    level top along upper
    level bottom along lower
sew section.one to section.other
"""


def test_a_published_flounce():
    """Laura I. Baldt: Clothing for Women, 1916, draft of a circular flounce, Fig. 56; in the public domain in the USA.

    https://chestofbooks.com/business/clothing/Women-Design-Construction/Draft-Of-Circular-Flounce-For-Petticoat-Fig-56.html
    prints depth 12, top 72, bottom 112 (inches) and the rule of the radius, with which the bottom must come out.
    """
    ledgers = ledgers_of(FLOUNCE)
    assert girths(ledgers) == pytest.approx({"top": 72 * 25.4, "bottom": 112 * 25.4}, abs=EXACT)
    (seam,) = ledgers.seams
    assert float(seam.length_one[0]) == pytest.approx(12 * 25.4, abs=EXACT)


SPREAD = """language 1
style spread_skirt "A skirt that is spread at the hem"
measure waist, hip, waist_to_hip
levels
    waist
    hip   waist_to_hip below waist
    hem   62 cm below waist
foundation half "Half a skirt"
    cut 1 on fold at centre
    widths from centre, with darts
        waist  waist / 4 + 5 mm
        hip    hip / 4 + 1 cm
        hem    2 cm more than hip
piece front "Front" from half
    spread hem by 9 cm in all, hinged on waist, in 3 cuts
piece back "Back" from half
    spread hem by 9 cm in all, hinged on waist, in 3 cuts
    extend centre by 12 cm, called pleat_fold
    cut 1 on fold at pleat_fold
sew front.side to back.side
"""


@each_body
def test_a_skirt_that_is_spread_from_its_waist(body):
    """Each slash turns about its upper end: at the hip it is open by as much less as the hip is nearer.  The pleat is no girth."""
    of = BODIES[body]
    sewn = girths(ledgers_of(SPREAD, body))
    assert sewn["waist"] == pytest.approx(of["waist"] + 4 * 5, abs=EXACT)
    assert sewn["hip"] == pytest.approx(of["hip"] + 4 * (10 + 90 * of["waist_to_hip"] / 620), abs=EXACT)
    assert sewn["hem"] == pytest.approx(of["hip"] + 4 * (10 + 20 + 90), abs=4 * 2.0)  # drawn fair again: nearly the sum
