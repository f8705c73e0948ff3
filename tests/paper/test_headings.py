"""What every paper says of a draft: style, body, date, choices, house, rules; and what every piece says of itself."""

import io
import re
from datetime import datetime
from functools import cache

import numpy as np
import pypdf
import pytest
from pdf_reading import read_pages

import tapeline
from tapeline.making.papers import work_of
from tapeline.paper.drawing.labels import LEAST
from tapeline.paper.drawing.lettering import Room
from tapeline.paper.drawing.model import Stroke, Text, polylines, text_plate
from tapeline.paper.drawing.pieces import draw_piece
from tapeline.source.world import standard_folder

HOME = standard_folder("styles")
MOMENT = datetime(2026, 11, 30, 14, 5)
HOUSE = 'name = "Quay Row"\nfraction = 8\nunit = "in"\n'
PICTURES = ("png", "garment")
ALL = tuple(kind for kind in tapeline.PAPERS if kind not in PICTURES)


@cache
def draft(date=MOMENT, choices=("length=70 cm",), house=HOUSE, style="straight_skirt"):
    drafts = (
        tapeline.Session(keep=True)
        .read(HOME / f"{style}.style")
        .draft([HOME / "bodies/maud.toml"], choices, house=house, accept=True, date=date)
    )
    assert drafts.ok, drafts.diagnostics
    return drafts.bodies[0]


@cache
def papers(date=MOMENT):
    return draft(date).papers(ALL)


def words_of(name, data):
    """All words of a paper, whatever its form, blanks as single ones."""
    if name.endswith(".pdf"):
        text = " ".join(words for page in read_pages(data) for words, *_ in page.words)
    else:
        text = re.sub(r"<[^>]*>", " ", data.decode())
    return " ".join(text.replace("\u00a0", " ").split())


def test_every_paper_bears_the_date_the_changed_choices_and_the_rules():
    rules = draft().style.fingerprint
    made = papers()
    assert len(made) >= 10
    for name, data in made.items():
        words = words_of(name, data)
        assert "2026-11-30" in words, name
        assert rules in words, name
        if name != "pattern.json":
            assert "chosen: length 27 1/2 in" in words, name
            version = draft().draft.plan.version
            told = (f"Straight skirt {version}", f"Straight skirt version {version}", f"Version {version}")
            assert any(one in words for one in told), name
            assert "Quay Row" in words and "Maud Ferrow" in words, name
    assert '"chosen": ["length"]' in made["pattern.json"].decode()
    assert '"date": "2026-11-30T14:05"' in made["pattern.json"].decode()


def test_papers_tell_which_measuring_they_go_by():
    """The latest up to the date of the draft; of a card without days nothing is told."""
    card = (HOME / "bodies/maud.toml").read_text(encoding="utf-8")
    dated = f'measured = "2026-05-04"\n{card}\n[measures.2026-11-30]\nhip = "112 cm"\n'
    reading = tapeline.Session(keep=True).read(HOME / "straight_skirt.style")
    for date, measured in ((datetime(2026, 11, 29), "2026-05-04"), (MOMENT, "2026-11-30")):
        (one,) = reading.draft([dated], date=date).bodies
        for name, data in one.papers(("svg", "list", "dxf", "making")).items():
            assert f"measured {measured}" in words_of(name, data) or f'"measured": "{measured}"' in data.decode(), name
    assert '"measured": null' in papers()["pattern.json"].decode()
    assert "measured 20" not in papers()["straight_skirt-cutting-list.txt"].decode()


def test_choices_as_the_style_has_them_are_not_named():
    usual = draft(choices=()).papers(("list",))["straight_skirt-cutting-list.txt"].decode()
    assert "chosen" not in usual and "date 2026-11-30" in usual
    set_to_the_same = draft(choices=("length=24 in",)).papers(("list",))["straight_skirt-cutting-list.txt"].decode()
    assert "chosen" not in set_to_the_same  # the style's own length


def test_a_draft_without_a_date_tells_none_and_a_given_one_gives_the_same_bytes(monkeypatch):
    for name, data in papers(None).items():
        assert not re.search(rb"\bdate 20|CreationDate|Creation Date", data), name
    draft.cache_clear()
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "0")  # nothing but the date that is given may be heard
    again = draft(MOMENT).papers(ALL)
    assert again == papers()
    other = draft(datetime(2027, 1, 2)).papers(ALL)
    assert all(other[name] != data for name, data in again.items())


def test_files_bear_the_moment_where_their_form_has_a_place_for_it():
    made = papers()
    for name in (name for name in made if name.endswith(".pdf")):
        metadata = pypdf.PdfReader(io.BytesIO(made[name])).metadata
        assert metadata.creation_date_raw == metadata.modification_date_raw == "D:20261130140500"
    lines = made["straight_skirt.dxf"].decode().split("\r\n")
    at = lines.index(f"Style Name: Straight skirt {draft().draft.plan.version}")
    assert "Creation Date: 2026-11-30" in lines[at:] and "Creation Time: 14:05:00" in lines[at:]


def _label(group):
    return [item for item in group.items if isinstance(item, Text)]


@pytest.mark.parametrize("style", ["straight_skirt", "panelled_bustier", "waisted_dress"])
def test_a_piece_says_what_it_is(style):
    made = draft(choices=(), style=style)
    work = work_of(made.style, made.whole, made.place, made.name, made.unit, made.house, date=MOMENT)
    shown = work.shown
    groups = {piece.piece.name: draw_piece(piece, work.index, work.heading) for piece in shown}
    numbers = set()
    for piece in shown:
        texts = _label(groups[piece.piece.name])
        words = " ".join(text.words for text in texts).replace("\u00a0", " ")
        assert piece.piece.title in words and work.heading.titled in words and "Maud Ferrow" in words
        assert all(text.size >= LEAST for text in texts)
        number = re.search(rf"piece (\d+) of {len(work.cut)}\b", words)
        if number:
            numbers.add(int(number[1]))
            assert work.cut[int(number[1]) - 1].piece.name == piece.piece.name
            # what stands further down the order is left out first
            for later, earlier in (("rules ", "date "), ("date ", "right side of the cloth up")):
                assert later not in words or earlier in words
    assert len(numbers) >= len(shown) - 1
    large = max(shown, key=lambda piece: float(np.prod(np.ptp(piece.cut_line[work.index], axis=0))))
    words = " ".join(text.words for text in _label(groups[large.piece.name])).replace("\u00a0", " ")
    for fact in ("right side of the cloth up", "date 2026-11-30", f"rules {made.style.fingerprint}", "Quay Row"):
        assert fact in words, fact


def test_a_lining_and_an_outside_tell_their_layer():
    text = (
        "language 1\nstyle two 'Two' version 1.0\nmeasure waist\n".replace("'", '"')
        + "".join(
            f'piece {name} "{name}"\n    cut 2{what}\n    point A start\n    point B A across 20 cm\n    point C A down 30 cm\n'
            "    point D B down 30 cm\n    line one A to C\n    line upper A to B\n    line other B to D\n    line lower C to D\n"
            "    outline upper, other, lower, one\n"
            for name, what in (("outside", ""), ("inside", ' for "lining"'))
        )
        + "allow\n    others 1 cm\n"
    )
    drafts = (
        tapeline.Session(tapeline.MemoryWorld(tapeline.standard_texts())).read(text).draft({"Ada": {"waist": "70 cm"}}, date=MOMENT)
    )
    assert drafts.ok, drafts.diagnostics
    words = words_of("two.svg", drafts.bodies[0].papers(("svg",))["two.svg"])
    assert "Outside cloth: right side of the cloth up" in words and "Lining: right side of the cloth up" in words


def test_no_label_lies_on_another_or_on_a_line():
    made = draft(choices=(), style="waisted_dress")
    work = work_of(made.style, made.whole, made.place, made.name, made.unit, made.house, date=MOMENT)
    for piece in work.shown:
        group = draw_piece(piece, work.index, work.heading)
        plates = [text_plate(text) for text in _label(group)]
        room = Room()
        for stroke in (item for item in group.items if isinstance(item, Stroke) and item.line != "leader"):
            for points in polylines(stroke.commands, steps=16):
                room.take_run(points)
        for k, plate in enumerate(plates):
            assert room.free(np.array([[plate.x, plate.y]]), plate.width, plate.height, plate.turn, gap=0.0)[0], (piece.piece.name, k)
            room.take_plate(plate)


def test_papers_of_sizes_bear_the_same():
    stdlib = standard_folder("stdlib")
    reading = tapeline.Session(keep=True).read(HOME / "straight_skirt.style")
    drafts = reading.draft_sizes(
        stdlib / "sizes/quay_row.csv", ("28", "30"), HOME / "bodies/maud.toml", None, ("length=70 cm",), house=HOUSE, date=MOMENT
    )
    assert drafts.ok, drafts.diagnostics
    made = drafts.papers(("dxf",))
    assert {"straight_skirt-nest.svg", "straight_skirt-grading.txt", "straight_skirt.rul"} <= set(made)
    for name in ("straight_skirt-nest.svg", "straight_skirt-grading.txt"):
        words = words_of(name, made[name])
        assert "2026-11-30" in words and "chosen: length" in words and reading.fingerprint in words, name
    rules = made["straight_skirt.rul"].decode().split("\r\n")
    assert "CREATION DATE: 2026-11-30" in rules and "CREATION TIME: 14:05:00" in rules
