"""Laws of seams of which a fitting moved one side: what is let in, what is refused, and where notches lie.

Both lengths are measured along dense polygons, before and after; the bounds are those that the reference states.
"""

from pathlib import Path

import numpy as np
import pytest
import shapely
from changing import dense, drafts_of, figures, sheets
from hypothesis import given, settings
from hypothesis import strategies as st
from test_notches import MEETS, SHARED, WOMEN, Notched, ansur2, clear, sewn_alone, sewn_to_several

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

law = settings(max_examples=12, deadline=None)
INCH = 25.4
MATCHES, SHOULDER, PART, MOST = INCH / 16, INCH / 4, 0.05, 0.1  # as LANGUAGE.md says, section 14
NEAR = 0.02  # mm; a polygon is so much shorter than the edge


def long(piece, edge):
    """The sewn lengths (N,) of an edge without darts."""
    return shapely.length(shapely.linestrings(dense(piece.edge(edge).strips[0], np.linspace(0.0, 1.0, 129))))


def told(draft, code, sewn):
    """Which bodies (N,) of a draft are told a code at a seam."""
    bodies = np.zeros(len(draft.index), dtype=bool)
    for failure in draft.failures:
        if failure.code == code and failure.span.text.startswith(sewn):
            bodies |= failure.bodies
    return bodies


@given(sheets(bends=("line", "hollow", "bowed", "arc")), st.data(), st.integers(0, 2**32 - 1))
@law
def test_what_a_fitting_makes_the_sides_differ_by_is_let_in_where_it_is_little(sheet, data, seed):
    edge = data.draw(st.sampled_from([name for name in sheet.free if name not in sheet.darts.values()]))
    start, verb, amount = sheet.starts[edge], data.draw(st.sampled_from(["take in", "let out"])), data.draw(st.integers(3, 22))
    eased, swapped = data.draw(st.booleans()), data.draw(st.booleans())
    sides = ("moved", "other")[:: -1 if swapped else 1]
    sew = f"sew {sides[0]}.{edge} to {sides[1]}.{edge}"
    text = sheet.text + "piece moved from front\npiece other from front\n    mirror\n"
    text += f"{verb} moved.{edge} {amount} mm at 45 / 100 from {start} and 55 / 100 from {start}, to nothing at 10 / 100 from {start} and 90 / 100 from {start}\n"
    text += sew + (", easing 0 mm\n" if eased else "\n")
    for one in drafts_of(text, figures(seed)):
        lengths = [long(one.pattern.piece(name), edge) for name in sides]
        off, shorter = lengths[0] - lengths[1], np.minimum(*lengths)
        little = (off >= 0.0) & (off <= MOST * shorter) if eased else np.abs(off) <= np.minimum(SHOULDER, PART * shorter)
        bounds = [MATCHES, 0.0, *((MOST * shorter,) if eased else (np.minimum(SHOULDER, PART * shorter),))]
        far = np.all([np.abs(np.abs(off) - bound) > NEAR for bound in bounds], axis=0)
        let_in = little & (np.abs(off) > MATCHES)
        refused = ~little & (np.abs(off) > MATCHES)
        assert (told(one, "D649", sew) == let_in)[far].all()
        assert (told(one, "D450", sew) == refused)[far].all()
        row = next(row for row in one.ledgers.seams if row.span.text.startswith(sew))
        assert np.abs(row.ease - np.where(let_in, off, 0.0))[far].max(initial=0.0) < NEAR
        for body in np.flatnonzero(let_in & far)[:1]:  # notches lie as far from both ends on either side
            sewn_alone(Notched(finish(one.pattern)[0], body), next(seam for seam in one.pattern.seams if seam.span == row.span))


STYLE = """language 1
style strip "Strip"
measure waist
recipe strip "Strip" ()
    cut 2
    point A start
    point B A across 10 cm
    point C B down 40 cm
    point D A down 40 cm
    line  top   A to B
    line  side  B to C
    line  foot  C to D
    line  inner D to A
    outline top, side, foot, inner
piece one "One" from strip()
piece other "Other" from strip()
piece band "Band" from strip()
sew one.side to other.side
sew one.inner to other.inner
sew one.top and other.top to 2 of band.top and 2 of band.foot
"""


def drafted(lines, text=STYLE):
    style, said = read(Source("strip.style", text + lines), FolderWorld(Path(".")))
    assert style is not None, "\n".join(map(render, said))
    (one,) = draft(style, {"waist": np.array([700.0])})
    return one


def codes(one, *wanted):
    return [failure.code for failure in one.failures if failure.code in wanted]


@pytest.mark.parametrize(
    ("amount", "expected", "kind"),
    [(10, [], "plain"), (20, ["D649"], "eased"), (30, ["D649"], "eased"), (50, ["D450"], "plain")],
)
def test_a_strip_let_out_at_its_middle(amount, expected, kind):
    """1 cm in 20 is by 2 x 0.3 mm longer; 3 cm by 2 x 2.6; 5 cm by 2 x 7.2."""
    line = f"let out one.side {amount} mm at half, to nothing at top and foot\n"
    for sew in ("", "without"):
        text = STYLE if not sew else STYLE.replace("sew one.side to other.side", "sew other.side to one.side")
        one = drafted(line, text)
        assert codes(one, "D450", "D649") == expected
        seam = one.pattern.seams[0]
        assert seam.kind == kind and (seam.ease[0] < 0.0) == (bool(sew) and kind == "eased")


def test_before_and_after_which_side_and_the_line_are_told():
    line = "let out one.side 3 cm at half, to nothing at top and foot\n"
    text = "".join(row + "\n" for row in STYLE.splitlines() if "band.top" not in row)
    (said,) = (failure.diagnostic(0) for failure in drafted(line, text).failures if failure.code == "D649")
    assert said.expected == "40 cm and 40 cm, as before"
    assert said.found.startswith("40.5") and "one.side is eased in by 0.5" in said.found
    assert [span.text for span, _ in said.others] == [line.strip()]
    assert said.suggestion.startswith(
        "Sew it so; or say as well: let out other.top and other.foot 0.27 cm; or write: sew one.side to other.side, easing 0.5"
    )


def test_the_edge_beside_that_brings_a_seam_right_is_named_and_does():
    """Both sides taken in at the top: the band, on which nothing was fitted, is too long by what its end is to be taken in."""
    text = STYLE.replace("one.top and other.top to 2 of band.top and 2 of band.foot", "one.top to band.top")
    lines = "take in one.side and other.side 2 cm at top, to nothing at foot\n"
    one = drafted(lines, text)
    (said,) = (failure.diagnostic(0) for failure in one.failures if failure.code == "D450")
    assert "take in band.inner and band.side 1 cm" in said.suggestion
    assert not codes(drafted(lines + "take in band.inner and band.side 1 cm\n", text), "D450", "D649")


def test_the_sides_of_a_seam_that_no_fitting_touched_are_not_let_in():
    """Only what the fitting made is eased in: sides that did not match before do not now."""
    text = STYLE.replace("point C B down 40 cm", "point C B down 40 cm + taller").replace(
        'recipe strip "Strip" ()', 'recipe strip "Strip" (taller length)'
    )
    text = text.replace("strip()", "strip(0 cm)").replace('"Other" from strip(0 cm)', '"Other" from strip(4 mm)')
    assert codes(drafted("", text), "D450", "D649") == ["D450"]
    assert codes(drafted("let out one.side 5 mm at half, to nothing at top and foot\n", text), "D450", "D649") == ["D450"]


def test_on_one_side_of_the_body_the_seam_of_that_side_alone_is_eased():
    one = drafted("let out one.side 3 cm at half, to nothing at top and foot, on the left\n")
    seams = {seam.one[0]: seam for seam in one.pattern.seams if seam.one[0][1] == "side"}
    assert {place[0]: seam.kind for place, seam in seams.items()} == {"left_one": "eased", "right_one": "plain"}
    assert abs(seams["left_one", "side"].ease[0] - 5.3) < 0.1
    (said,) = (failure for failure in one.failures if failure.code == "D649")
    assert "left_one.side" in said.diagnostic(0).found


def hold_eased_between(notched, seam):
    """The first and the last notch are plainly as far from the ends on either side; between them what is eased is shared evenly."""
    places = seam.one[0], seam.other[0]
    wholes = [notched.length(place) for place in places]
    here, there = (notched.of(place, *SHARED) for place in places)
    if not notched.start_to_start(*places):
        there = sorted(wholes[1] - at for at in there)
    assert len(here) == len(there) > 2
    assert abs(here[0] - there[0]) < MEETS and abs((wholes[0] - here[-1]) - (wholes[1] - there[-1])) < MEETS
    for at, fellow in zip(here[1:-1], there[1:-1], strict=True):
        share = (at - here[0]) / (here[-1] - here[0])
        assert abs(there[0] + share * (there[-1] - there[0]) - fellow) < MEETS


def test_the_notches_of_a_dress_that_is_eased_after_a_fitting_meet_when_sewn():
    lines = "let out front.seam and side_front.seam 8 mm at bust, to nothing at waist\n"
    lines += "raise side_front.shoulder and side_back.shoulder 6 mm at armhole, to nothing at seam\n"
    style, _ = read(
        Source("fitted.style", f'language 1\nstyle fitted "Fitted"\nstart from princess_dress\n{lines}'),
        FolderWorld(standard_folder("styles")),
    )
    women = {name: values[WOMEN] for name, values in ansur2().values.items()}
    eased = set()
    for one in draft(style, {name: women[name] for name in style.plan().measures}):
        eased |= {failure.span.text.split(",")[0] for failure in one.failures if failure.code == "D649"}
        finished, _ = finish(one.pattern)
        notched = Notched(finished, 0)
        clear(notched)
        for seam in one.pattern.seams:
            if seam.span.text == "sew front.seam to side_front.seam":
                hold_eased_between(notched, seam)
            elif len(seam.one) == len(seam.other) == 1:
                sewn_alone(notched, seam)
            else:
                sewn_to_several(notched, seam)
    assert eased == {"sew front.seam to side_front.seam", "sew sleeve.cap to side_front.armhole and side_back.armhole"}


LAYERS = """foundation whole "Whole" from strip()
piece outer "Outer" from whole
piece lining "Lining" from whole
    cut 2 for "lining"
piece follower "Follower" from outer
    cut 2 for "facing"
"""


def test_a_layer_that_lay_on_a_fitted_edge_and_stays_is_told_with_the_line_that_moves_it():
    line = "drop outer.top 1 cm at inner, to nothing at side\n"
    (said,) = (failure.diagnostic(0) for failure in drafted(LAYERS + line).failures if failure.code == "D650")
    assert said.span.text == line.strip()
    assert "Say: drop outer.top and lining.top 1 cm at inner, to nothing at side;" in said.suggestion
    assert not codes(drafted(LAYERS + line.replace("outer.top", "outer.top and lining.top")), "D650")
    narrower = LAYERS.replace('cut 2 for "lining"', 'cut 2 for "lining"\n    take in side 3 cm\n    take in foot 3 cm')
    assert not codes(drafted(narrower + line), "D650")


def test_a_layer_on_an_edge_that_a_fitting_cuts_off_is_told_too():
    """The side taken in shortens the top: of a lining that is shorter, and so has not the same side, that is told; once, on whichever side."""
    shorter = LAYERS.replace('cut 2 for "lining"', 'cut 2 for "lining"\n    take in foot 3 cm')
    for side in ("", ", on the right"):
        line = f"take in outer.side 1 cm at top, to nothing at foot{side}\n"
        for layers, edge in ((LAYERS, "side"), (shorter, "top")):
            (said,) = (failure.diagnostic(0) for failure in drafted(layers + line).failures if failure.code == "D650")
            assert said.title.startswith(f"outer.{edge} is fitted, and lining.{edge}")
