"""The cutting list: every figure against one worked out by hand, by shapely, or from another paper of the same draft.

`APRON` is of the invented workshop Quay Row: rectangles, so that all its figures can be told beforehand.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest
import shapely
from drafted import drafted
from elsewhere import printed_elsewhere

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.paper.cutting import page as cutting_page
from tapeline.paper.cutting import text as cutting_text
from tapeline.paper.cutting.cutting_list import CutLayer, cutting_list, papers, part_of
from tapeline.paper.cutting.text import ListWords
from tapeline.paper.house.house import House, read_house
from tapeline.paper.house.work import Heading, Work
from tapeline.source.diagnostics import render
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld

RECTANGLE = """
    point A start
    point B A across {across}
    point C A down {down}
    point D B down {down}
    line centre A to C
    line top    A to B
    line side   B to D
    line hem    C to D
    outline centre, top, side, hem
"""
APRON = (
    """language 1
style apron "Apron <of Quay Row>" version 1.0
    "Rectangles & nothing else."
measure waist
choose closing 4 from 0 to 9
cloth 100 cm wide, with nap
cloth 90 cm wide for "lining"
buttons closing, 18 mm "down the back"
buttons 0, 10 mm "at the cuff"
piece front "Front"
    cut 1 on fold at centre and 1 for "lining" and 1 for "neck facing"
    bone along centre, 1 cm clear at both ends
    bone along side, called side_bone
    tape along top "twill, 6 mm"
"""
    + RECTANGLE.format(across="20 cm", down="50 cm")
    + """
piece back "Back"
    cut 2 and 2 for "interfacing"
    tape along side
    zip on centre from A to Z
    point Z A down 30 cm
"""
    + RECTANGLE.format(across="22 cm", down="48 cm")
    + """
piece belt "Belt"
    cut 3 alike
    grain level
"""
    + RECTANGLE.format(across="60 cm", down="6 cm")
    + """
piece pocket "Pocket bag"
    cut 2 for "lining"
"""
    + RECTANGLE.format(across="15 cm", down="20 cm")
    + """
allow
    hem          3 cm turned up
    top          1 cm bound
    back.centre  2 cm for zip
    belt.top     none
    belt.hem     none
    others       1.5 cm
"""
)
SHIPPED = ("corselet_skirt", "maud"), ("straight_skirt", "nell"), ("half_circle_skirt", "maud"), ("six_gore_skirt", "maud")


def work_of(text: str, unit: str = "cm", choices=None, house: House | None = None) -> Work:
    style, found = read(Source("apron.style", text), FolderWorld(None))
    assert style is not None, "\n".join(map(render, found))
    (made,) = draft(style, {"waist": np.array([700.0])}, choices)
    finished, failures = finish(made.pattern, unit)
    assert not failures and not made.failures
    heading = Heading(made.plan.title, made.plan.version, made.plan.prose, "Client 12", unit)
    return Work(finished, 0, heading, made.plan, made.run, made.ledgers, house=house or House())


@pytest.fixture(scope="module")
def apron() -> dict:
    return cutting_list(work_of(APRON))


# ------------------------------------------------------------------------------------------------ by hand


def test_pieces_and_their_sizes(apron):
    """As cut: the net rectangle and its allowances; of a piece on the fold the half; a level thread turns the belt upright."""
    rows = {row["name"]: row for row in apron["pieces"]}
    assert [row["number"] for row in apron["pieces"]] == [1, 2, 3, 4]
    assert {name: (row["across"], row["along"]) for name, row in rows.items()} == {
        "front": (200 + 15, 500 + 40),
        "back": (220 + 35, 480 + 40),
        "belt": (60, 600 + 30),
        "pocket": (150 + 30, 200 + 40),
    }
    assert rows["front"]["area"] == 2 * 215 * 540
    assert [ListWords(work_of(APRON)).how_cut(row) for row in apron["pieces"]] == [
        "1, on the fold at centre",
        "2, a mirrored pair",
        "3, all alike",
        "2 for lining, a mirrored pair",
    ]
    assert [ListWords(work_of(APRON)).thread(row["grain"]) for row in apron["pieces"]] == [
        "straight down",
        "straight down",
        "straight across",
        "straight down",
    ]
    assert rows["front"]["layers"] == [
        {"count": 1, "for": "lining", "net": False},
        {"count": 1, "for": "neck facing", "net": False},
    ]


def test_what_is_sewn_in(apron):
    assert apron["zips"] == [{"places": [{"piece": "Back", "edge": "centre"}], "edges": 2, "opening": 300.0, "side": ""}]
    # The bone on the fold is one; the side of a piece on the fold is there twice.
    assert [(row["channel"], row["length"], row["count"]) for row in apron["bones"]] == [(500.0, 480.0, 1), (500.0, 500.0, 2)]
    assert [(row["words"], row["length"], row["count"], row["total"]) for row in apron["tapes"]] == [
        ("twill, 6 mm", 400.0, 1, 400.0),
        ("", 480.0, 2, 960.0),
    ]
    assert apron["buttons"] == [
        {"count": 4, "size": 18.0, "words": "down the back"},
        {"count": 0, "size": 10.0, "words": "at the cuff"},
    ]
    more = cutting_list(work_of(APRON, choices={"closing": 7}))
    assert more["buttons"][0]["count"] == 7
    text = cutting_text.write_text(apron, work_of(APRON))
    assert "at the cuff" not in text  # none of them
    assert "3 bones, 148 cm in all" in text


def test_allowances(apron):
    rows = {(row["for"], row["kind"], row["width"]): row["length"] for row in apron["allowances"]}
    assert rows == {
        ("", "turned up", 30.0): 2 * 200 + 2 * 220,
        ("", "bound", 10.0): 2 * 200 + 2 * 220,
        ("", "for zip", 20.0): 2 * 480,
        ("", "plain", 15.0): 2 * 500 + 2 * 480 + 3 * 2 * 60,
        ("lining", "turned up", 30.0): 2 * 150,
        ("lining", "bound", 10.0): 2 * 150,
        ("lining", "plain", 15.0): 2 * 2 * 200,
    }


def test_cloths(apron):
    """A facing is of the garment's own cloth; lining and interfacing have their own, the latter with no width stated."""
    rows = {row["for"]: row for row in apron["cloths"]}
    assert list(rows) == ["", "lining", "interfacing"]
    assert [(row["width"], row["width_from"], row["nap"]) for row in rows.values()] == [
        (1000.0, "style", True),
        (900.0, "style", False),
        (1400.0, "usual", False),
    ]
    front, back, belt, pocket = 430 * 540, 255 * 520, 60 * 630, 180 * 240
    assert [row["area"] for row in rows.values()] == [2 * front + 2 * back + 3 * belt, front + 2 * pocket, 2 * back]
    assert rows["interfacing"]["allowances"] == pytest.approx(2 * (back - 220 * 480))
    assert rows[""]["least"] == pytest.approx((2 * front + 2 * back + 3 * belt) / 1000)
    assert rows["lining"]["least"] == rows["lining"]["longest"] == 540.0
    assert [row["lays"][-1]["length"] for row in rows.values()][1:] == [540.0, 520.0]
    other = cutting_list(work_of(APRON, house=House(cloth=1200.0, nap=True)))["cloths"]
    assert [(row["width"], row["width_from"], row["nap"]) for row in other] == [
        (1000.0, "style", True),
        (900.0, "style", False),
        (1200.0, "house", True),
    ]


def test_a_net_style_says_so():
    text = papers(work_of(APRON.partition("allow\n")[0]))["apron-cutting-list.txt"]
    assert "no seam allowances: the pieces are net" in text and "Hems and seam allowances" not in text


def test_a_piece_too_wide_is_laid_turned_by_a_quarter():
    wide = APRON.replace("cloth 100 cm wide", "cloth 50 cm wide").replace("cloth 90 cm wide", "cloth 40 cm wide")
    data = cutting_list(work_of(wide))
    assert data["cloths"][0]["too_wide"] == [] and data["cloths"][0]["lays"]
    assert data["cloths"][1]["too_wide"] == [{"piece": "Front", "across": 430.0}]  # nor turned, 54 cm across
    assert data["cloths"][1]["lays"] == []
    text = cutting_text.write_text(data, work_of(wide))
    assert "Front is 43 cm across its thread and does not fit" in text
    skirt = cutting_list(drafted("half_circle_skirt", "nell"))["cloths"][0]
    (lay,) = skirt["lays"]
    assert skirt["too_wide"] and lay["laid"][0]["up"] == [1.0, 0.0]
    assert lay["length"] == pytest.approx(skirt["too_wide"][0]["across"])


def test_how_cloth_is_folded_where_a_piece_has_a_right_side():
    """A piece cut once that is not its own image: alone it is laid on open cloth; beside a pair the cloth is folded wrong sides in."""
    begin = 'language 1\nstyle apron "Apron"\nmeasure waist\npiece front "Front"\n    cut 1\n'
    slanted = begin + RECTANGLE.replace("point D B down", "point D C across").format(across="20 cm", down="10 cm")
    (cloth,) = cutting_list(work_of(slanted))["cloths"]
    assert cloth["once"] and cloth["facing"] == ["front"] and [lay["kind"] for lay in cloth["lays"]] == ["open"]
    text = papers(work_of(slanted))["apron-cutting-list.txt"]
    assert "Each piece is cut once" in text and "the right side of the cloth lies up" in text and "wrong sides" not in text
    paired = slanted + 'piece back "Back"\n    cut 2\n' + RECTANGLE.format(across="40 cm", down="50 cm")
    text = papers(work_of(paired))["apron-cutting-list.txt"]
    assert "Fold the cloth wrong sides together" in text and "Each piece is cut once" not in text
    straight = begin + RECTANGLE.format(across="20 cm", down="10 cm")
    assert not cutting_list(work_of(straight))["cloths"][0]["once"]


def test_cloth_is_bought_by():
    """Of the sources of tests/worked/44: 2.72 yards are bought as 2 3/4, 5.19 as 5 1/4; by 5 cm is our choice."""
    inches, metric = ListWords(work_of(APRON, "in")), ListWords(work_of(APRON, "cm"))
    assert inches.to_buy(98 * 25.4) == "2 3/4 yards" and inches.to_buy(187 * 25.4) == "5 1/4 yards"
    assert [inches.to_buy(yards * 914.4) for yards in (0.2, 1.0, 1.01, 2.0)] == ["1/4 yard", "1 yard", "1 1/4 yards", "2 yards"]
    assert [metric.to_buy(mm) for mm in (1000.0, 1000.1, 1049.9)] == ["100 cm", "105 cm", "105 cm"]


# --------------------------------------------------------------------------------------- what must be matched


def striped(words: str) -> dict:
    (outside, *_) = cutting_list(work_of(APRON.replace("cloth 100 cm wide, with nap", f"cloth 100 cm wide, with nap{words}")))["cloths"]
    return outside


def test_stripes_add_one_repeat_for_each_length():
    """Of any lay: the pieces moved on by less than a repeat each can all begin at a stripe, and lie in what is reckoned."""
    plain, stripes = striped(""), striped(", with stripes 8 cm")
    assert (plain["repeat"], stripes["repeat"], stripes["checked"]) == (0.0, 80.0, False)
    for before, lay in zip(plain["lays"], stripes["lays"], strict=False):
        assert lay["laid"] == before["laid"] and before["matching"] == 0.0
        assert lay["matching"] == 80.0 * lay["lengths"] > 0
        moved: list[tuple[dict, float]] = []  # in the order along the cloth
        for one in sorted(lay["laid"], key=lambda one: min(y for _, y in one["outline"])):
            left, right = (edge(x for x, _ in one["outline"]) for edge in (min, max))
            shift = 0.0
            for other, by in moved:
                if min(x for x, _ in other["outline"]) < right - 1e-6 and left < max(x for x, _ in other["outline"]) - 1e-6:
                    shift = max(shift, by)
            top = min(y for _, y in one["outline"])
            shift = np.ceil((top + shift) / 80.0 - 1e-9) * 80.0 - top
            moved.append((one, shift))
        assert max(max(y for _, y in one["outline"]) + by for one, by in moved) <= lay["length"] + lay["matching"] + 1e-6


def test_checks_keep_a_repeat_free_beside_each_piece_off_the_fold():
    checks = striped(", with checks 8 cm")
    assert checks["checked"] and checks["repeat"] == 80.0
    for lay in checks["lays"]:
        rooms = []
        for one in lay["laid"]:
            ring = np.array(one["outline"])
            aside = 0.0 if one["on_fold"] else 80.0
            parts = [shapely.affinity.translate(shapely.Polygon(ring), x, 0.0) for x in np.linspace(0.0, aside, 17)]
            rooms.append(shapely.unary_union(parts))
            assert ring[:, 0].max() + aside <= lay["width"] + 1e-3
        assert max((one.intersection(other).area for one, other in combinations(rooms, 2)), default=0.0) < 1.0


def test_what_is_matched_is_told():
    text = papers(work_of(APRON.replace("cm wide, with nap", "cm wide, with nap, with stripes 8 cm")))["apron-cutting-list.txt"]
    assert "Stripes of 8 cm: one repeat is added for each of the" in " ".join(text.split()) and "to match" in text


# --------------------------------------------------------------------------------------------------- what it costs

PRICED = """
currency = "GBP"
[prices]
cloth  = "24.00 per m"
lining = "9.1 per yd"
zip    = 3.2
button = "0.455"
tape   = "1 per m"
bone   = "2.50"
[labour]
hour  = "18.00"
apron = 2.5
other = 9
"""


def house_of(text: str) -> House:
    house, found = read_house(Source("house.toml", text))
    assert house is not None and not found
    return house


def test_the_cost_by_hand():
    data = cutting_list(work_of(APRON, house=house_of(PRICED)))
    outside, lining, _ = data["cloths"]
    bought = {"": np.ceil(outside["lays"][-1]["length"] / 50) * 50, "lining": np.ceil(lining["lays"][-1]["length"] / 50) * 50}
    sums = {row["what"]: row["sum"] for row in data["cost"]["rows"]}
    assert sums == {
        "cloth": f"{24 * bought[''] / 1000:.2f}",
        "lining": f"{9.1 * bought['lining'] / 914.4:.2f}",
        "zip": "3.20",
        "bone": "7.50",  # three of them
        "tape": "1.36",  # 40 cm and twice 48 cm
        "button": "1.82",  # four of them
        "labour": "45.00",
    }
    assert float(data["cost"]["total"]) == pytest.approx(sum(map(float, sums.values())))
    assert data["cost"]["without"] == ["interfacing"] and data["cost"]["currency"] == "GBP"
    text = papers(work_of(APRON, house=house_of(PRICED)))["apron-cutting-list.txt"]
    assert f"Together: {data['cost']['total']} GBP." in text and "The house states no price for: interfacing." in text


def test_no_sum_is_told_where_the_house_states_none():
    assert cutting_list(work_of(APRON))["cost"] is None
    assert "cost" not in papers(work_of(APRON))["apron-cutting-list.txt"]
    priced = cutting_list(work_of(APRON, house=house_of('[prices]\ncloth = "3"\n')))["cost"]  # of one, not of a length
    assert priced["rows"] == [] and priced["without"][:2] == ["cloth", "lining"] and "labour" in priced["without"]


@pytest.mark.parametrize(
    "text",
    ['[prices]\ncloth = "dear"', '[prices]\ncloth = "-3 per m"', '[prices]\ncloth = "3 per ell"', "prices = 3", "[labour]\napron = 0"]
    + ['[labour]\nhour = "3 per m"', "[labour]\napron = true", "currency = 3"],
)
def test_a_price_that_cannot_be_read_is_told(text):
    house, found = read_house(Source("house.toml", text))
    assert house is None and [one.code for one in found] == ["H102"]


# ------------------------------------------------------------------------- the house's language, and the card's note


def test_the_note_of_the_card_stands_on_the_list():
    work = replace(work_of(APRON), card_note="taken over a <slip>")
    assert cutting_list(work)["note"] == "taken over a <slip>"
    made = papers(work)
    assert "Note of the card: taken over a <slip>" in made["apron-cutting-list.txt"]
    assert "Note of the card: taken over a &lt;slip&gt;" in made["apron-cutting-list.html"]


@pytest.mark.parametrize("language", ["de", "fr"])
def test_a_list_is_in_the_language_of_the_house(language):
    """No word of the English list, but those of the style, is left; figures have the language's mark."""
    english = {word.strip(".,;:()") for word in papers(work_of(APRON))["apron-cutting-list.txt"].split()}
    house = replace(house_of(PRICED), language=language)
    text = papers(work_of(APRON, house=house))["apron-cutting-list.txt"]
    own = {word.strip('.,;:()<>"') for word in (APRON + " Client Apron").split()}
    left = {word.strip(".,;:()") for word in text.replace(cutting_text.MARK, "").split()} & english - own
    shared = {"place", "source"} if language == "fr" else set()  # words of both languages
    assert {word for word in left if word.isalpha() and len(word) > 3} <= shared
    assert re.search(r"\d,\d", text) and not re.search(r"\d\.\d", text.replace("1.0", ""))


# ------------------------------------------------------------------------- against other papers of the draft


def test_hem_of_a_straight_skirt_is_its_girth_there():
    work = drafted("straight_skirt", "maud")
    girth = next(row for row in work.ledgers.girths if row.level == "hem")
    (hem,) = [row["length"] for row in cutting_list(work)["allowances"] if row["kind"] == "turned up"]
    assert hem == pytest.approx(float(girth.sewn[0]), abs=0.01)


def test_bones_and_zip_of_the_corselet_skirt():
    """The bones lie in the strength layer, in darts, at the sides and beside the opening; the outside has the zip."""
    work = drafted("corselet_skirt", "nell")
    data, back = cutting_list(work), work.finished.piece("back").piece
    layers = [work.finished.piece(name).piece for name in ("front_strength", "back_strength")]
    drawn = [np.hypot(*np.diff(mark.path.flatten()[0], axis=0).T).sum() for one in layers for mark in one.marks if mark.kind == "bone"]
    assert not [mark for name in ("front", "back") for mark in work.finished.piece(name).piece.marks if mark.kind == "bone"]
    assert len(drawn) == 4 + len(layers[1].darts()) + 1
    assert sorted(row["channel"] for row in data["bones"]) == pytest.approx(sorted(drawn), abs=0.01)
    for row in data["bones"]:  # 1/2 in clear at both ends, and cut to the sixteenth of an inch that is no longer
        assert row["length"] == pytest.approx(np.floor((row["channel"] - 25.4) / (25.4 / 16) + 1e-9) * 25.4 / 16, abs=0.01)
        assert row["count"] == 2
    (zip_row,) = data["zips"]
    measures = work.run.measures
    assert zip_row["opening"] == pytest.approx(measures["underbust_to_waist"][0] + 0.85 * measures["waist_to_hip"][0], abs=0.01)
    assert back.points["zip_end"][0, 0] == 0.0


def test_a_zip_marked_on_both_sides_of_a_seam_is_one():
    """The six-gore skirt marks it on both gores that meet at the side, and says that it is on the left."""
    work = drafted("six_gore_skirt", "maud")
    (row,) = cutting_list(work)["zips"]
    assert [place["edge"] for place in row["places"]] == ["right", "left"] and (row["edges"], row["side"]) == (2, "left")
    cells = [cell for section in cutting_text.sections(cutting_list(work), work) for row in section.rows for cell in row]
    assert "Side front gore, right and Side back gore, left, on the left" in cells
    assert not [cell for cell in cells if "if not planned otherwise" in cell]


def test_a_zip_of_which_no_side_is_said_is_told_by_its_edges():
    """One that is marked on both pieces of two pairs could stand in either of two seams."""
    half = 'recipe half "Half" (wide length)\n    cut 2\n    point A start\n    point B A across wide\n    point C A down 50 cm\n'
    half += "    point D B down 50 cm\n    point foot B down 20 cm\n    line centre A to C\n    line top A to B\n    line side B to D\n"
    half += "    line hem C to D\n    outline centre, top, side, hem\n    zip on side from B to foot\n"
    pieces = "piece front from half(waist / 4)\npiece back from half(waist / 4)\nsew front.side to back.side\n"
    work = work_of('language 1\nstyle halves "Halves"\nmeasure waist\n' + half + pieces)
    (row,) = cutting_list(work)["zips"]
    assert (row["edges"], row["side"]) == (4, "")
    notes = [cell for section in cutting_text.sections(cutting_list(work), work) for row in section.rows for cell in row]
    assert "marked on 4 edges: one zip, if not planned otherwise" in notes


@pytest.mark.parametrize("style, body", SHIPPED)
def test_lays_of_shipped_styles(style, body):
    """By shapely: no two pieces overlap, none leaves the cloth, and each has the area of its cut line; pairs are pairs."""
    work = drafted(style, body)
    data = cutting_list(work)
    for cloth in data["cloths"]:
        assert cloth["lays"]
        for lay in cloth["lays"]:
            shapes = [shapely.Polygon(one["outline"]) for one in lay["laid"]]
            assert all(shape.is_valid for shape in shapes)
            assert max((one.intersection(other).area for one, other in combinations(shapes, 2)), default=0.0) < 1.0
            on_cloth = shapely.box(-1e-3, -1e-3, lay["width"] + 1e-3, lay["length"] + 1e-3)
            assert all(on_cloth.contains(shape) for shape in shapes)
            assert all(shape.contains(shapely.Point(one["label"])) for one, shape in zip(lay["laid"], shapes, strict=True))
            for row in data["pieces"]:
                cut = shapely.Polygon(work.finished.piece(row["name"]).cut_line[0]).area
                mine = [(one, shape) for one, shape in zip(lay["laid"], shapes, strict=True) if one["piece"] == row["name"]]
                if row["for"] != cloth["for"]:  # what is cut for something has a cloth of its own
                    assert not mine
                    continue
                assert sum(one["copies"] for one, _ in mine) == row["count"]
                if row["paired"] and lay["kind"] == "folded":
                    assert all(one["copies"] == 2 for one, _ in mine)  # one of each hand
                elif row["paired"]:
                    assert sum(one["mirrored"] for one, _ in mine) == row["count"] // 2
                for one, shape in mine:
                    assert shape.area == pytest.approx(cut * (2 if row["fold"] and not one["on_fold"] else 1), rel=1e-6)
            assert lay["length"] >= cloth["least"] - 1e-3


@pytest.mark.parametrize("grain, turn", [("plumb", 0.0), ("level", 90.0), ("at 45 deg", 45.0), ("along slant", None)])
def test_the_thread_runs_along_the_cloth(grain, turn):
    """However the thread lies in a piece, it is turned, never mirrored, until the thread runs along the cloth."""
    text = (
        APRON.partition("piece front")[0].replace("buttons closing", "buttons 1")
        + f"""
piece back "Back"
    cut 2
    grain {grain}
    point A start
    point B A across 30 cm
    point C A down 50 cm
    line centre A to C
    line top A to B
    line slant B to C
    outline centre, top, slant
"""
    )
    finished = work_of(text).finished.pieces[0]
    ring = part_of(CutLayer(finished, (1, 1)), 0).ring
    before, after = shapely.Polygon(finished.cut_line[0]), shapely.Polygon(ring)
    assert before.exterior.is_ccw == after.exterior.is_ccw
    angle = turn if turn is not None else np.degrees(np.arctan2(300.0, 500.0)) * -1
    turned = shapely.affinity.rotate(before, angle, origin=(0, 0))
    moved = shapely.affinity.translate(turned, -turned.bounds[0], -turned.bounds[1])
    assert moved.symmetric_difference(after).area < 1e-3


# ------------------------------------------------------------------------------------------------ the papers


class _Page(HTMLParser):
    """Tags that are opened and closed, and what is fetched."""

    VOID = ("meta", "br", "link", "img")

    def __init__(self, text: str):
        super().__init__()
        self.open, self.links, self.tags, self.ids, self.words = [], [], [], [], []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attributes):
        self.tags.append(tag)
        self.links += [value for name, value in attributes if name in ("src", "href", "action")]
        self.ids += [value for name, value in attributes if name == "id"]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attributes):
        self.tags.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)


@pytest.mark.parametrize(
    "work",
    [
        work_of(APRON),
        work_of(APRON, "in", house=House(name="Quay Row")),
        drafted("six_gore_skirt", "maud"),
        drafted("tiered_skirt", "nell"),
    ],
    ids=["apron", "inches", "six gores", "tiers"],
)
def test_page_and_text(work):
    made = papers(work)
    page, text = (made[f"{work.file_stem}-cutting-list.{kind}"] for kind in ("html", "txt"))
    read_back = _Page(page)
    assert not read_back.links and "script" not in read_back.tags and "url(http" not in page and "@import" not in page
    assert len(set(read_back.ids)) == len(read_back.ids)
    drawings = [part.partition("</svg>")[0] + "</svg>" for part in page.split("<figure>")[1:]]
    data = cutting_list(work)
    assert len(drawings) == sum(len(cloth["lays"]) for cloth in data["cloths"])
    lays = [lay for cloth in data["cloths"] for lay in cloth["lays"]]
    for drawing, lay in zip(drawings, lays, strict=True):
        root = ElementTree.fromstring(drawing)
        shapes = [
            shapely.Polygon([tuple(map(float, pair.split(","))) for pair in one.get("points").split()])
            for one in root.iter("{http://www.w3.org/2000/svg}polygon")
        ]
        laid = [shapely.Polygon(one["outline"]) for one in lay["laid"]]
        assert [shape.area for shape in shapes] == pytest.approx([shape.area for shape in laid], rel=2e-3)
        hand = [shape.exterior.is_ccw for shape in shapes]
        assert hand == [shape.exterior.is_ccw for shape in laid]  # turned with the cloth, not mirrored
    words = " ".join(" ".join(read_back.words).split())
    for section in cutting_text.sections(data, work):
        assert section.title in words and section.title in text
        assert all(cell in words for row in section.rows for cell in row)
    assert max(map(len, text.splitlines())) <= cutting_text.WIDE
    assert "\t" not in text and text.endswith(f"\n{cutting_text.MARK}\n")
    assert (work.house.name in text) and (work.house.name in words)


def test_titles_cannot_break_the_page():
    page = papers(work_of(APRON))["apron-cutting-list.html"]
    assert "&lt;of Quay Row&gt;" in page and "<of" not in page and "Rectangles &amp; nothing" in page


def test_titles_cannot_reach_for_the_terminal():
    for text in papers(work_of(APRON.replace('"Belt"', '"Be\x1b[31mlt \u202e x"'))).values():
        assert "Be [31mlt   x" in text and text.replace("\n", "").isprintable()


def test_own_files_are_known_again():
    made = {name: text.encode() for name, text in papers(work_of(APRON)).items()}
    assert cutting_page.is_ours(made["apron-cutting-list.html"]) and cutting_text.is_ours(made["apron-cutting-list.txt"])
    assert not cutting_page.is_ours(b"<!DOCTYPE html>\n<html><head><title>Cutting list made by tapeline</title>")
    assert not cutting_text.is_ours(b"Cutting list made by tapeline\nand then by hand\n")
    assert not cutting_text.is_ours(b"")


def test_the_list_is_plain_data(apron):
    assert json.loads(json.dumps(apron, allow_nan=False)) == apron


def test_same_draft_same_bytes(tmp_path):
    """In another folder, another time zone, with other hash seeds."""
    script = (
        "import hashlib\nfrom drafted import drafted\nfrom tapeline.paper.cutting.cutting_list import papers\n"
        "made = papers(drafted('close_bodice', 'nell'))\n"
        "print(hashlib.sha256(repr(sorted(made.items())).encode()).hexdigest())\n"
    )
    found = printed_elsewhere(script, tmp_path)
    here = papers(drafted("close_bodice", "nell"))
    assert found == [hashlib.sha256(repr(sorted(here.items())).encode()).hexdigest() + "\n"] * 2


def test_a_name_is_never_broken_in_a_word():
    name = "an_edge_of_a_name_that_is_longer_than_a_line_" * 3
    assert cutting_text.wrap(f"at {name} and on", 100) == ["at", name, "and on"]
    table = cutting_text._table(("piece", "edge"), [("Front", f"{name} and {name[:60]}"), ("Back", "side")])
    assert sum(name in line for line in table) == 1 and sum(name[:60] in line for line in table) == 2
