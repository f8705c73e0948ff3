"""The making-up sheet: what each step says, its drawing, and that it is a page of ours, closed and the same each time."""

from __future__ import annotations

import ast
import re
import string
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest
from drafted import drafted
from pdf_reading import read_pages

import tapeline
from tapeline.drafting.reach import WHY
from tapeline.paper.drawing.lettering import CAUTION, DROP, RISE, text_width
from tapeline.paper.drawing.model import LINES, Stroke, Text, each_item, polylines
from tapeline.paper.house import making_up_words, words
from tapeline.paper.house.house import House
from tapeline.paper.house.work import Heading, Work
from tapeline.paper.making_up import cautions, sheet, telling
from tapeline.paper.making_up.at_hand import HIGH, WIDE, AtHand
from tapeline.paper.making_up.sheet import is_ours, making_up, papers
from tapeline.session import Session
from tapeline.source.world import standard_folder

ROOM = Path(tapeline.__file__).parent / "paper" / "making_up"
STYLES = sorted(path.stem for path in standard_folder("styles").glob("*.style"))


@cache
def made(style: str, language: str = "en", unit: str = "cm"):
    work = drafted(style, "maud", House(language=language))
    work.heading = work.heading._replace(unit=unit)
    return making_up(work)


def said(style: str, number: int | None = None, **how) -> str:
    steps = made(style, **how).sections
    return "\n".join(line for step in steps if number in (None, step.number) for line in (step.title, *step.lines, *step.reasons))


# ------------------------------------------------------------ what it says


def test_every_step_of_the_order_is_told_once():
    work = drafted("straight_skirt", "maud")
    assert [step.number for step in made("straight_skirt").sections] == [step.number for step in work.ledgers.order.steps]
    assert all(step.title and step.lines for step in made("straight_skirt").sections)


def test_a_seam_tells_its_edges_width_length_and_pressing():
    """The straight skirt's side seam, with the figures of the pattern: 1.5 cm allowance as its `allow` says, both edges of one length."""
    work = drafted("straight_skirt", "maud")
    step = next(step for step in made("straight_skirt").sections if step.title == "Sew Front to Back: side")
    long = work.house.show(float(work.finished.pattern.piece("front").edge("side").closed_length()[0]), work.unit).replace(
        " ", "\u00a0"
    )
    assert f"Right sides together: Front (side) to Back (side), {long}, 2 times." in step.lines
    assert "Seam allowance: 1.5\u00a0cm." in step.lines
    assert step.lines[-1] == "Press flat as sewn, then open."


def test_what_the_style_says_of_pressing_goes_before_the_usual(monkeypatch):
    work = drafted("straight_skirt", "maud")
    seam = next(seam for seam in work.finished.pattern.seams if ("front", "side") in seam.one)
    monkeypatch.setattr(seam, "pressed", "back")
    assert "Press flat as sewn, then both allowances toward Back." in next(
        step.lines for step in making_up(work).sections if step.title == "Sew Front to Back: side"
    )


def test_darts_tell_their_figures_and_way():
    work = drafted("straight_skirt", "maud")
    (dart,) = work.finished.pattern.piece("front").darts()
    words = "\n".join(next(step.lines for step in made("straight_skirt").sections if step.title.startswith("Darts: Front")))
    assert work.house.show(float(dart.intake[0]), work.unit).replace(" ", "\u00a0") in words and "press toward centre" in words


def test_a_zip_and_bones_are_told_where_they_are_used():
    work = drafted("corselet_skirt", "maud")
    opening = work.house.show(float(work.ledgers.zips[0].opening[0]), work.unit).replace(" ", "\u00a0")
    titles = {step.title: "\n".join(step.lines) for step in made("corselet_skirt").sections}
    assert f"Zip: {opening}" in next(words for title, words in titles.items() if title.startswith("Zip"))
    bones = next(words for title, words in titles.items() if title.startswith("Bones"))
    assert bones.count(" of ") >= 3 and "no seam may cross a bone" in bones


def test_gathered_seams_tell_from_what_to_what():
    assert re.search(r"Gather .+ from [\d.]+\u00a0cm to [\d.]+\u00a0cm", said("tiered_skirt"))


def test_edges_each_sewn_to_a_copy_of_one_are_told_one_by_one():
    """Of the six gores, the centre front's two sides each to one of two side front gores."""
    work = drafted("six_gore_skirt", "maud")
    long = work.house.show(float(work.finished.pattern.piece("side_front").edge("left").closed_length()[0]), work.unit).replace(
        " ", "\u00a0"
    )
    step = next(
        step for step in made("six_gore_skirt").sections if step.title == "Sew Centre front gore to Side front gore: left, right / left"
    )
    assert f"Right sides together: Centre front gore (left, right) to Side front gore (left), {long}, 2 times." in step.lines
    assert "Press flat as sewn, then open." in step.lines


def test_inches_and_centimetres():
    inches = said("straight_skirt", unit="in")
    shown = House().show(15.0, "in").replace(" ", "\u00a0")  # 1.5 cm, as the style has it
    assert f"Seam allowance: {shown}." in inches and "9/16" in shown and "the last 1/2\u00a0in" in inches and "\u00a0cm" not in inches
    assert "the last 1.3\u00a0cm" in said("straight_skirt")


def test_bones_bring_their_cautions():
    assert not any("steel" in line for line in made("straight_skirt").cautions)
    assert any("steel" in line for line in made("corselet_skirt").cautions)
    assert any("child" in line for line in made("straight_skirt").cautions)
    assert not any(re.search(r"\d", line) for line in made("corselet_skirt").cautions)  # no figure is given as safe


@pytest.mark.parametrize("style", STYLES)
def test_the_sheet_of_every_shipped_style(style):
    """Every step is told, none with a place left unfilled; its drawing shows what is worked on by a wide line, and is small."""
    for step in made(style).sections:
        words = [step.title, *step.own, *step.lines, *step.reasons, step.caption]
        assert step.title and (step.lines or step.own) and not any("{" in line or "nan" in line for line in words)
        if step.drawing is not None:
            strokes = [item for item in each_item(step.drawing.items) if isinstance(item, Stroke)]
            assert len(strokes) == len(list(each_item(step.drawing.items)))  # no words that could lie on a line
            assert {stroke.line for stroke in strokes} <= {"at_hand", "zip_at_hand", "laid_over", "laid_under"}
            assert any(stroke.line in ("at_hand", "zip_at_hand") for stroke in strokes)
            assert step.drawing.width < WIDE + 3.0 and step.drawing.height < HIGH + 3.0


# ------------------------------------------------------------ its drawings


def test_the_line_of_the_seam_is_told_by_width_and_the_piece_below_by_dashes():
    assert LINES["at_hand"].width >= 2 * LINES["laid_over"].width
    assert LINES["laid_under"].dash and not LINES["laid_over"].dash


@pytest.mark.parametrize(
    "style, one, other", [("straight_skirt", "front.side", "back.side"), ("princess_bodice", "back.shoulder", "front.shoulder")]
)
def test_the_piece_above_is_laid_edge_on_edge(style, one, other):
    """Carried as a whole: the sewn edges come to lie end on end, and both pieces on one side of the seam."""
    work = drafted(style, "maud")
    pattern = work.finished.pattern
    at_hand = AtHand(work.finished, sheet.Sewn(pattern, work.run), 0)
    below, above = (tuple(place.split(".")) for place in (one, other))
    motion = at_hand._motion(below, above)
    lower, upper = (pattern.piece(piece).edge(edge) for piece, edge in (below, above))
    ends = [lower.start()[0], lower.end()[0]]
    laid = [motion.points(point[:1])[0] for point in (upper.start(), upper.end())]
    gaps = [np.hypot(*(end - place)) for end, place in zip(ends, laid, strict=True)]
    turned = [np.hypot(*(end - place)) for end, place in zip(ends, laid[::-1], strict=True)]
    assert min(max(gaps), max(turned)) < 5.0
    along = ends[1] - ends[0]

    def side(points) -> float:
        off = points - ends[0]
        return float(np.sign(np.mean(along[0] * off[:, 1] - along[1] * off[:, 0])))

    outlines = [pattern.piece(piece).stitch_outline().take(slice(0, 1)) for piece, _ in (below, above)]
    assert side(outlines[0].flatten()[0]) == side(outlines[1].moved(motion).flatten()[0])


# ------------------------------------------------------------ the page


class Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.headings: list[str] = []

    def handle_starttag(self, tag, attrs):
        if tag not in ("meta", "path"):
            self.open.append(tag)

    def handle_endtag(self, tag):
        if tag not in ("meta", "path"):
            assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] == "h3":
            self.headings.append(data)


def test_the_page_is_whole_closed_and_ours():
    work = drafted("princess_bodice", "maud")
    files = papers(work)
    page = files["princess_bodice-making-up.html"]
    assert is_ours(page.encode()) and not is_ours(b"<html></html>")
    assert "default-src 'none'" in page and "<script" not in page and "http://" not in page.replace("http://www.w3.org", "")
    reader = Reader()
    reader.feed(page)
    assert reader.open == []
    assert len(reader.headings) == len(work.ledgers.order.steps)
    assert files == papers(work)
    assert len(page) < 60_000 and len(files["princess_bodice-making-up.pdf"]) < 40_000


def test_the_back_is_laid_on_the_cap_where_their_notches_meet():
    """Edges of unlike length: the armhole's notch comes to lie on its fellow of the sleeve's cap."""
    work = drafted("close_bodice", "maud")
    at_hand = AtHand(work.finished, sheet.Sewn(work.finished.pattern, work.run), 0)
    below, above = ("sleeve", "cap"), ("back", "armhole")
    matched = at_hand._matched(below, above)
    along, other = matched[len(matched) // 2]
    motion = at_hand._motion(below, above)
    places = [work.finished.pattern.piece(piece).edge(edge).closed.take(slice(0, 1)) for piece, edge in (below, above)]
    gap = places[0].point_at(along)[0] - motion.points(places[1].point_at(other))[0]
    assert np.hypot(*gap) < 3.0


def test_words_of_a_style_are_escaped():
    work = drafted("straight_skirt", "maud")
    made_up = making_up(work)
    made_up.sections[0].own.append("<b>&amp;</b>")
    assert "&lt;b&gt;&amp;amp;&lt;/b&gt;" in sheet.write_page(made_up, "en")


def _box(text: Text) -> tuple[float, float, float, float]:
    """Left, top, right, foot of a line of words, as wide as the face of a PDF runs."""
    wide = text_width(text.words, text.size, text.weight) / CAUTION
    left = text.x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.anchor]
    return left, text.y - RISE * text.size, left + wide, text.y + DROP * text.size


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_pdf_holds_every_step_within_its_page(paper):
    work = drafted("corselet_skirt", "maud", House(paper=paper))
    made_up = making_up(work)
    pages = sheet.sheet_pages(made_up, work)
    for page in pages:
        items = [item for layer in page.layers for item in layer.items]
        boxes = [_box(item) for item in items if isinstance(item, Text)]
        strokes = [polylines(item.commands) for item in items if isinstance(item, Stroke)]
        drawn = np.concatenate([points for runs in strokes for points in runs] or [np.full((1, 2), 50.0)])
        low, high = drawn.min(axis=0), drawn.max(axis=0)
        for box in (*boxes, (*low, *high)):
            assert box[0] >= 10.0 and box[1] >= 10.0 and box[2] <= page.width - 10.0 and box[3] <= page.height - 10.0
        for number, box in enumerate(boxes):
            for other in boxes[number + 1 :]:
                assert box[2] <= other[0] or other[2] <= box[0] or box[3] <= other[1] or other[3] <= box[1], "words on words"
    text = "\n".join(words[0] for page in read_pages(papers(work)["corselet_skirt-making-up.pdf"]) for words in page.words)
    assert all(f"{step.number}. " in text for step in made_up.sections)


# ------------------------------------------------------------ its languages


def said_words():
    for path in ROOM.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "attr", getattr(node.func, "id", "")) == "say":
                yield from (one.value for one in ast.walk(node.args[0]) if isinstance(one, ast.Constant) and isinstance(one.value, str))


@pytest.mark.parametrize("language", ["de", "fr"])
def test_every_fixed_word_is_in_each_language(language):
    wanted = {
        *said_words(),
        *cautions.ALWAYS,
        *cautions.WITH_BONES,
        *cautions.LAST,
        *telling.REASONS.values(),
        *sheet._CAPTIONS.values(),
    }
    table = words._TABLES[language]
    assert len(wanted) > 80 and sorted(wanted - set(table)) == []


def test_every_word_keeps_its_places():
    def places(text: str) -> set[str]:
        return {name for _, name, _, _ in string.Formatter().parse(text) if name}

    assert [row for row in making_up_words.WORDS if len({frozenset(places(text)) for text in row}) > 1] == []


def test_every_reason_is_told():
    assert set(telling.REASONS) == set(WHY)


def test_a_german_sheet():
    steps = made("straight_skirt", language="de")
    assert steps.headings == ("Vorsicht", "Teile", "Schritte")
    assert "Front an Back n\u00e4hen: side" in [step.title for step in steps.sections]
    assert "1,5\u00a0cm" in said("straight_skirt", language="de")


# ------------------------------------------------------------ what layers, notions and own steps say

SKIRT = """language 1
style lined "Lined skirt"
measure waist, hip, waist_to_hip
recipe half "Half" ()
    point A start
    point B A across hip / 4
    point C A down 60 cm
    point D B down 60 cm
    point p A across 8 cm, down 20 cm
    point zip_foot along centre from A by 30 cm
    point mouth_top along side from B by 5 cm
    point mouth_foot along side from B by 20 cm
    level waist at A
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline centre, top, side, hem
levels
    waist
piece front "Front" from half()
    cut 1 on fold at centre
    hook at p
    tape along top "cotton"
piece back "Back" from half()
    cut 2
    zip on centre from A to zip_foot
piece back_lining "Back lining" from back
    cut 2 for "lining"
piece front_lining "Front lining" from front
    cut 1 on fold at centre for "lining"
piece band "Band"
    cut 1 and 1 for "interfacing"
    point A start
    point B A across hip
    point C A down 8 cm
    point D B down 8 cm
    line close A to C
    line upper A to B
    line other B to D
    line lower C to D
    outline close, upper, other, lower
    step ends "Fold the band, right sides together, and close its ends." on close and other
    step "Fell <the> inner edge." on upper to lower
sew front.side to back.side, leaving open front.mouth_top to front.mouth_foot, pressed toward front
sew front_lining.side to back_lining.side
sew back_lining.centre to back_lining.centre
sew front.top and back.top to band.lower
buttons 2, 15 mm "at the back"
allow
    hem     4 cm turned up
    others  1 cm
"""


def lined(folder):
    (folder / "lined.style").write_text(SKIRT, encoding="utf-8")
    drafts = Session().read(folder / "lined.style").draft([standard_folder("styles") / "bodies" / "maud.toml"], accept=True)
    assert drafts.ok, drafts.diagnostics
    body = drafts.bodies[0]
    plan = body.draft.plan
    heading = Heading(plan.title, plan.version, plan.prose, body.card.name, body.unit)
    return Work(body.finished, 0, heading, plan, body.draft.run, body.draft.ledgers)


def test_a_whole_garment_in_its_order(tmp_path):
    work = lined(tmp_path)
    steps = making_up(work).sections
    titles = [step.title for step in steps]
    order = [
        "Fuse the interfacing",
        "Tape: Front",
        "Zip: Back (centre)",
        "Sew Front to Back: side",
        "Sew Front lining to Back lining: side",
        "Lay in the lining",
        "Sew Front, Back to Band: top / lower",
        "Band: ends",
        "Band: upper / lower",
        "Fell the lining beside the zip",
        "Fastenings",
    ]
    assert [titles.index(title) for title in order] == sorted(titles.index(title) for title in order), titles
    told = {step.title: step for step in steps}
    side = told["Sew Front to Back: side"].lines
    assert "Leave open from 5\u00a0cm to 20\u00a0cm, measured along Front (side) from its end at top." in side
    assert "Press flat as sewn, then both allowances toward Front." in side
    assert "Leave the stretch beside the zip open: 30\u00a0cm." in told["Sew the two of Back lining together: centre"].lines
    assert told["Band: ends"].own == ["Fold the band, right sides together, and close its ends."]
    assert any("tape (cotton)" in line for line in told["Tape: Front"].lines)
    fastened = told["Fastenings"].lines
    assert "2 buttons of 1.5\u00a0cm (at the back)." in fastened and "2 hooks." in fastened
    page = papers(work)["lined-making-up.html"]
    assert '<p class="own">Fell &lt;the&gt; inner edge.</p>' in page
