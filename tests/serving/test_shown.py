"""What the page shows is what a fresh reading and draft of its text would show, whatever was typed and slid before.

Texts of shipped styles are changed at random, within statements and across them, and undone again; between the changes sliders are moved.
After each, the drawing that a client holds (it takes only pieces that it has not) is set against one made from nothing.
`EDITS=10000 pytest tests/serving/test_shown.py` makes so many changes.
"""

import os
import random
import re

import numpy as np
import pytest

import tapeline
from tapeline.live.draft import LiveDraft
from tapeline.serving.benches import Benches
from tapeline.serving.chosen import BodyOfConnection
from tapeline.serving.documents import Documents
from tapeline.serving.drawing import drafted
from tapeline.serving.params import GivenParams
from tapeline.source.world import standard_folder

EDITS = int(os.environ.get("EDITS", "36"))
NAMES = ("half_circle_skirt", "tiered_skirt", "dirndl_skirt", "straight_skirt", "trumpet_skirt", "short_bodice")
FIGURE = re.compile(r"-?\d+(?:\.\d+)?")
NUMBERS = re.compile(r"-?\d+(?:\.\d+)?(?:e-?\d+)?")
LETTERED = ("sign", "leader")  # lines that are set where words leave room
FINE = 0.002  # mm: figures are written to three decimals, and a root that is found again may be rounded the other way


def edited(text, chance):
    """A text with one slip or one meant change."""
    kind = chance.randrange(7)
    if kind < 3 and (figures := list(FIGURE.finditer(text))):  # another figure: mostly still in order
        figure = chance.choice(figures)
        value = float(figure[0]) * chance.choice((0.9, 0.97, 1.02, 1.1, 2.0)) + chance.choice((0.0, 0.0, 1.0))
        return text[: figure.start()] + f"{value:.6g}" + text[figure.end() :]
    at, lines = chance.randrange(len(text)), text.split("\n")
    if kind == 3:
        return text[:at] + text[at + 1 :]
    if kind == 4:
        return text[:at] + chance.choice("abc 19.,()\n-") + text[at:]
    k = chance.randrange(len(lines))
    if kind == 5:
        return "\n".join([*lines[:k], *lines[k + 1 :]])
    return "\n".join([*lines[:k], lines[k], *lines[k:]])


def settings(bench, chance):
    """Some sliders somewhere near their value, within their range."""
    moved = []
    for sliders in (bench.measures, bench.choices):
        table = {}
        for slider in chance.sample(sliders, min(len(sliders), chance.randrange(3))):
            steps = chance.choice((-3, -1, 1, 2, 6)) if slider.kind != "condition" else chance.choice((-1, 1))
            table[slider.name] = min(max(slider.value + steps * slider.step, slider.low), slider.high)
        moved.append(table)
    return {"measures": moved[0], "choices": moved[1]}


def strokes(svg):
    lines = (line for line in svg.split("\n") if line.startswith("<path"))
    return "\n".join(line for line in lines if not any(f'data-line="{kind}"' in line for kind in LETTERED))


def agree(shown, fresh, resting):
    """Whether two drawings of a piece are one: words letter for letter when the hand rests, else lines alone; figures to a hair."""
    if not resting:
        shown, fresh = strokes(shown), strokes(fresh)
    assert NUMBERS.sub("#", shown) == NUMBERS.sub("#", fresh)
    one, other = (np.array([float(number) for number in NUMBERS.findall(svg)]) for svg in (shown, fresh))
    np.testing.assert_allclose(one, other, atol=FINE)


@pytest.mark.parametrize("name", NAMES)
def test_what_is_shown_is_a_fresh_draft(tmp_path, name):
    chance = random.Random(f"{name} {os.environ.get('EXPLORE', '')}")
    good = text = (standard_folder("styles") / f"{name}.style").read_text(encoding="utf-8")
    path = tmp_path / f"{name}.style"
    documents = Documents(folder=tmp_path)
    uri, version = path.as_uri(), 1
    documents.open(uri, text, version)
    benches = Benches(documents, BodyOfConnection(documents))
    benches.of(uri)  # drawn once, while it is in order
    held = {}  # what the client has drawn: piece -> (key, svg)
    drawn = 0
    for _ in range(max(1, EDITS // len(NAMES))):
        if chance.random() < 0.7:
            text = edited(text, chance) if chance.random() < 0.55 else good
            version += 1
            documents.open(uri, text, version)
        resting = chance.random() < 0.4
        bench = benches.latest(uri)
        slid = settings(bench, chance)
        have = {piece: key for piece, (key, _) in held.items()}
        answer = drafted(benches, uri, GivenParams("tapeline/draft", {**slid, "resting": resting, "have": have}))
        reading = tapeline.Session(documents.world.beside(path)).read(tapeline.Source(documents.source(uri).name, text))
        assert answer["version"] == version
        if reading.style is None:
            assert answer["failed"] and answer["message"]
            continue
        known = {slider.name for slider in (*benches.latest(uri).measures, *benches.latest(uri).choices)}
        if not {*slid["measures"], *slid["choices"]} <= known:
            assert answer["failed"] and "knows no" in answer["message"]
            continue
        card, _ = reading.card(standard_folder("styles") / "bodies" / "maud.toml", accept=True)
        house, _ = reading.house(None)
        if card is None:
            assert answer["failed"] and answer["message"]
            continue
        fresh = LiveDraft(reading, card, house).at(slid["measures"], slid["choices"])
        assert answer["failed"] == fresh.failed, answer["message"]
        if fresh.failed:
            continue
        pieces = fresh.rested().pieces
        assert [piece["name"] for piece in answer["pieces"]] == [piece.name for piece in pieces]
        for shown, piece in zip(answer["pieces"], pieces, strict=True):
            assert shown["svg"] is not None or held[piece.name][0] == shown["key"]
            svg = shown["svg"] or held[piece.name][1]
            held[piece.name] = shown["key"], svg
            agree(svg, piece.svg, resting)
        drawn += 1
    assert drawn > EDITS // len(NAMES) // 8
