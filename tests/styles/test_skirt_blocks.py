"""The skirt blocks of the standard library, held to published figures and to elementary geometry.

The styles below use every block that no published draft in tests/worked is drawn with; the language checks the figures.
"""

from __future__ import annotations

import pytest

from tapeline.drafting.examples import run_examples
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

CIRCLES = """\
language 1
style circles_to_measure "Parts of a circle"
use skirt
measure waist
choose fall 25 in from 10 in to 40 in
piece full "Half of one of two half circles" from half_sector (waist / 4, fall, half_circle)
    cut 2 on fold at centre
piece half_skirt "Half circle" from half_sector (waist / 2, fall, half_circle)
piece quarter_skirt "Quarter circle" from half_sector (waist / 2, fall, quarter_circle)
example "circle skirt formulas, prettyquirkypants.com 2014, waist 26 in: radii there 4.13, 8.2, 16.56; sweeps derived"
    given waist 26 in
    expect circle_radius of (waist, 1) is 4.138 in
    expect distance from full.O to full.waist_fold is 4.138 in
    expect 4 * length of full.hem is 183.080 in
    expect distance from half_skirt.O to half_skirt.waist_fold is 8.276 in
    expect 2 * length of half_skirt.hem is 104.540 in
    expect distance from quarter_skirt.O to quarter_skirt.waist_fold is 16.552 in
    expect 2 * length of quarter_skirt.hem is 65.270 in
    expect 2 * length of quarter_skirt.waist is 26.000 in
"""

BANDS = """\
language 1
style bands "Bands and strips"
use skirt
measure waist
piece peplum "Circular yoke" from shaped_band (waist / 2, 18 in, 4 in)
piece spread_up "Wider above" from shaped_band (18 in, waist / 2, 4 in)
piece even "As wide above as below" from shaped_band (waist / 2, waist / 2, 4 in)
piece facing "Facing" from strip (waist, 2 in)
example "Baldt, Clothing for Women, fig. 41, waist 24 in, depth 4 in; the points derived"
    given waist 24 in
    expect distance from peplum.O to peplum.upper_fold is 8.000 in
    expect distance from peplum.O to peplum.lower_fold is 12.000 in
    expect angle at peplum.O from peplum.upper_fold to peplum.upper_end is 85.944 deg
    expect length of peplum.upper is 12.000 in
    expect length of peplum.lower is 18.000 in
    expect distance from peplum.O to peplum.upper_end is 8.000 in
    -- the same ring, the other way up
    expect length of spread_up.upper is 18.000 in
    expect length of spread_up.lower is 12.000 in
    expect distance from spread_up.O to spread_up.lower_fold is 8.000 in
    -- no ring at all: a straight band, to a tenth of a millimetre
    expect length of even.upper is 12.00 in
    expect length of even.lower is 12.00 in within 0.2 mm
    expect distance from even.upper_end to even.lower_end is 4.000 in
    expect length of facing.upper is 24.000 in
    expect length of facing.right_end is 2.000 in
"""

GORES = """\
language 1
style gores_to_measure "Gores"
use skirt
measure waist, hip
levels
    waist
    hip 7 in below waist
piece five "One of five gores alike" from straight_gore (waist / 5, hip / 5, 81 in / 5, 7 in, 38 in, 1/2 in)
    cut 5 alike
piece eight "One of eight, flared low" from gore (hip / 8, taken, taken, 7 in, 20 in, 32 in, 2 in, 3/8 in)
    cut 8 alike
    point on_hem     along hem from hem_left by 0.1 mm
    point on_seam    along left from hem_left by 0.1 mm
    point on_waist   along waist from waist_right by 0.1 mm
    point under_it   along right from waist_right by 0.1 mm
piece beside "Shaped more on its other side" from gore (hip / 8, taken, 2 * taken, 7 in, 20 in, 32 in, 2 in, 3/8 in)
    cut 8 alike
taken = seam_intake of (hip, waist, 100 %, 16)
sew five.left to five.right
sew eight.left to eight.right
sew beside.left to eight.right
example "Bennett, The Perfect Dressmaking System, 1914, p. 13: five gores for waist 25, hip 40 in, bottom 81 in"
    given waist 25 in, hip 40 in
    expect distance from five.waist_left to five.waist_right is 5.000 in
    expect distance from five.hip_left to five.hip_right is 8.000 in
    expect width of five at hip is 8.000 in
    expect distance from five.hem_left to five.hem_right is 16.200 in
example "elementary geometry: the flare is as long as it is deep, the hem square to the seam, the waist square to both"
    given waist 25 in, hip 40 in
    expect width of eight at hip is 5.000 in
    expect width of beside at hip is 5.000 in
    expect distance from eight.waist_left to eight.waist_right is 3.125 in
    expect distance from eight.hem_left to eight.hem_right is 9.000 in
    expect length of eight.left_flare is 12.00 in within 1 mm
    expect down from eight.middle to eight.foot_left is 32.000 in
    expect 2 * taken is 1.875 in
    expect length of beside.left - length of eight.right is 0.000 in
    expect angle at eight.hem_left from eight.on_hem to eight.on_seam is 90 deg within 0.1 deg
    expect angle at eight.waist_right from eight.on_waist to eight.under_it is 90 deg within 0.1 deg
"""

PLEATS = """\
language 1
style pleats "Pleats and tiers"
use skirt
measure waist, hip
levels
    waist
    hip 6 in below waist
piece panel "Half of a pleated skirt" from pleated_panel (waist / 2, hip / 2, 55 in / 2, 44 in, 6 in, 30 in)
    cut 2
piece frill "Frill" from tier (waist / 2, 8 in)
    cut 2 on fold at centre
example "Conover, A Complete Course in Dressmaking, vol. 5, pp. 63-64: 44 in of half width"
    given waist 28 in, hip 40 in
    expect 4 * distance from panel.fold1 to panel.laid1 is 30.000 in
    expect 4 * across from panel.fold2 to panel.laid2_hip is 24.000 in
    expect 4 * distance from panel.fold4_foot to panel.laid4_foot is 16.500 in
example "elementary geometry: half a face at either end of the hip, four faces between; a tier is half of its width"
    given waist 28 in, hip 40 in
    expect across from panel.waist_left to panel.fold1 is 2.500 in
    expect across from panel.laid4_hip to panel.waist_right is 2.500 in
    expect across from panel.laid1_hip to panel.fold2 is 5.000 in
    expect length of frill.upper is 14.000 in
    expect length of frill.side is 8.000 in
"""

PANELS = """\
language 1
style panels_to_measure "Flared panels"
use skirt
measure waist, hip
levels
    waist
    top 2 cm below waist
    hip 20 cm below waist
    hem 60 cm below waist
piece plain "A-line" from a_line_panel (waist / 4, hip / 4, 6 cm, 40 cm, 1 cm)
    cut 2
    point on_hem  along hem from hem_side by 0.1 mm
    point on_side along side from hem_side by 0.1 mm
piece wrapped "Wrapped" from wrap_panel (waist / 4, hip / 4, 6 cm, 40 cm, 1 cm, 15 cm)
    cut 2
sew plain.side to wrapped.side
example "elementary geometry: half of 31 cm times 6 in 40 is the rise that lays the hem square to the side"
    given waist 70 cm, hip 100 cm
    expect width of plain at hip is 25.000 cm
    expect across from plain.hem_centre to plain.hem_side is 31.000 cm
    expect width of wrapped at hip is 40.000 cm
    expect across from wrapped.hem_centre to wrapped.hem_side is 46.000 cm
    expect down from plain.hem_centre to plain.hem_side is -2.325 cm
    expect angle at plain.hem_side from plain.on_hem to plain.on_side is 90 deg within 0.5 deg
    expect across from wrapped.top_centre to wrapped.front_top is 15.000 cm
    expect across from wrapped.hem_centre to wrapped.front_foot is 15.000 cm
    -- a parabola from waist to hip
    expect girth_below_waist of (waist, hip, 10 cm, 20 cm) is 92.50 cm
    expect girth_below_waist of (waist, hip, 20 cm, 20 cm) is 100.00 cm
"""


@pytest.mark.parametrize("text", (CIRCLES, BANDS, GORES, PLEATS, PANELS), ids=("circles", "bands", "gores", "pleats", "panels"))
def test_blocks_give_their_figures(text):
    style, found = read(Source("blocks.style", text), FolderWorld())
    assert style is not None, "\n".join(render(one) for one in found)
    found = [*found, *run_examples(style)]
    assert not found, "\n".join(render(one) for one in found)
