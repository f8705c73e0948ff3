"""A way out works when it is followed: what a message offers is written into the text as it stands, and the fault is gone.

Seams are generated with sides of one or two edges, pieces cut as often as may be, lengths that differ by a hair, by an ease, by
much or by a whole number of times, for bodies in either unit; arcs with ends, radii and bows that no circle has.  The figures of
each message must show its fault: they are read again as numbers.
"""

import re

from hypothesis import given
from hypothesis import strategies as st
from workbench import style_of

from tapeline.drafting.run import draft
from tapeline.editing.mending import mended, mends_of
from tapeline.source.quantity import read_length

UNITS = st.sampled_from(["cm", "in"])
HEAD = 'language 1\nstyle strips "Strips"\n'
LENGTH = r"~?(-?[\d ./]+(?:cm|in|mm))"


def said(text, unit):
    return [failure.diagnostic(0) for failure in draft(style_of(text), {}, unit=unit, bodies=1)[0].failures]


def mm(text):
    return float(read_length(text)[0])


def strip(name, count, long):
    return (
        f'piece {name} "{name}"\n    cut {count}\n    point a start\n    point b a across 20 cm\n    point c a down {long} mm\n'
        f"    point d b down {long} mm\n    line left a to c\n    line upper a to b\n    line right b to d\n    line lower c to d\n"
        "    outline left, upper, right, lower\n"
    )


@st.composite
def seams(draw):
    """(pieces, the seam's sides, how it is sewn): the pieces of the first side alike, those of the other side alike."""
    length = draw(st.integers(300, 900))
    other = draw(
        st.one_of(
            st.floats(length - 6.0, length + 6.0),  # a hair
            st.floats(length * 0.7, length * 1.3),  # an ease, or a gather
            st.sampled_from([2, 3]).map(lambda times: length * times),
            st.just(length),
        )
    )
    counts = draw(st.tuples(st.integers(1, 4), st.integers(1, 4)))
    numbers = draw(st.sampled_from([(1, 1), (1, 2), (2, 1)]))
    names = [[f"{side}{k}" for k in range(number)] for side, number in zip(("one", "two"), numbers, strict=True)]
    pieces = {
        name: (count, f"{long / number:.3f}")
        for side, count, number, long in zip(names, counts, numbers, (length, other), strict=True)
        for name in side
    }
    how = draw(st.sampled_from(["", ", easing 4 mm", ", easing 1/2 in", ", gathered", ", easing -3 mm"]))
    sides = [" and ".join(f"{name}.left" for name in side) for side in names]
    return pieces, f"sew {sides[0]} to {sides[1]}", how


def text_of(pieces, seam):
    return HEAD + "".join(strip(name, count, long) for name, (count, long) in pieces.items()) + seam + "\n"


@given(seams(), UNITS)
def test_the_way_out_of_a_seam(seam, unit):
    pieces, sewn, how = seam
    found = said(text_of(pieces, sewn + how), unit)
    for one in found:
        assert one.code in ("D450", "D451")
    if not found:
        return
    first = next((one for one in found if one.code == "D451"), found[0])
    written = re.search(r"write(?:, the longer edge first)?: (sew .*)", first.suggestion, re.IGNORECASE)
    mends = mends_of(first)
    assert mends, first.suggestion
    for mend in mends:
        assert said(mended(first.span.source, mend), unit) == []
    if written:
        assert said(text_of(pieces, written[1]), unit) == []
        return
    offers = re.search(r"piece is cut: (.*)\. Else", first.suggestion)
    assert offers and ("times as long as" in first.found or first.code == "D451")
    for offer in offers[1].split(" or "):
        cut = dict(pieces)
        for name, now, before in re.findall(r"(\w+) (\d+) instead of (\d+)", offer):
            assert cut[name][0] == int(before)
            cut[name] = int(now), cut[name][1]
        assert said(text_of(cut, sewn + how), unit) == []


@given(seams(), UNITS)
def test_the_figures_of_a_seam_show_its_fault(seam, unit):
    pieces, sewn, how = seam
    for one in said(text_of(pieces, sewn + how), unit):
        figures = [mm(figure) for figure in re.findall(LENGTH, one.found)]
        if one.code == "D450" and not how:
            near = mm(re.search(f"agree to {LENGTH}", one.expected)[1])
            assert abs(figures[0] - figures[1]) > near - 0.013 and figures[2] > near - 0.013  # mm in the last decimal of an inch
        elif one.code == "D450" and how == ", gathered":
            assert figures[0] < mm(re.search(LENGTH, one.expected)[1])


ARC = """piece quarter "Quarter"
    point o start
    point a o across {first} mm
    point b {second}
    arc top a to b{shape}
    line one a to o
    line two o to b
    outline top, two, one
"""
LONG = st.floats(50.0, 400.0).map(lambda long: f"{long:.3f}")


@given(LONG, LONG, st.floats(-0.3, 0.3), UNITS, st.booleans())
def test_the_way_out_of_an_arc_about_a_point(first, far, hair, unit, near):
    """The radii may differ by a hair of a millimetre: still the figures differ."""
    second = f"o {'down' if hair < 0 else 'up'} {float(first) + hair if near else float(far):.3f} mm"
    text = HEAD + ARC.format(first=first, second=second, shape=" about o")
    arcs = [one for one in said(text, unit) if one.code == "D409"]
    if abs(float(re.findall(r"[\d.]+", second)[0]) - float(first)) <= 0.01:
        return
    (one,) = arcs
    a, b = re.findall(LENGTH, one.found)
    assert a != b and a in one.expected
    for mend in mends_of(one):
        assert not said_again(one, mend, unit)
    swung = re.search(r"point b (a swung about o by .*)", one.suggestion)[1]
    assert not [one.code for one in said(HEAD + ARC.format(first=first, second=swung, shape=" about o"), unit)]


def said_again(one, mend, unit):
    return [other.code for other in said(mended(one.span.source, mend), unit) if other.code == one.code]


@given(LONG, LONG, st.sampled_from(["radius", "bowed"]), st.floats(0.05, 1.0), UNITS)
def test_the_limit_of_an_arc_can_be_taken(first, down, shape, part, unit):
    chord = (float(first) ** 2 + float(down) ** 2) ** 0.5
    amount = chord / 2.0 * (part * 0.999 if shape == "radius" else 1.001 + part)
    shapes = {"radius": ", radius {} down", "bowed": ", bowed {} down"}

    def arcs(figure):
        text = HEAD + ARC.format(first=first, second=f"o down {down} mm", shape=shapes[shape].format(figure))
        return [one for one in said(text, unit) if one.code == "D409"]

    (one,) = arcs(f"{amount:.4f} mm")
    limit = re.search(f"at (?:least|most) {LENGTH}", one.expected)[1]
    assert limit != re.search(LENGTH, one.found)[1]
    assert not arcs(limit)
