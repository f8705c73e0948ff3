"""Ten invented clients with forty orders in one folder: gone through without a draft where nothing has changed, and where a style has,
told which pieces must be cut again, all clients of that style in one draft."""

import json
import random
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner
from clients import DAY, card, strip

from tapeline.desk.cli import program
from tapeline.orders import moved, standing

CLIENTS = ("ada", "bea", "cleo", "dora", "edda", "fay", "gwen", "hanna", "ida", "june")
STYLES = ("belt", "sash", "band", "plain_skirt")


def run(*arguments):
    return CliRunner().invoke(program, [str(one) for one in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def workroom(tmp_path_factory):
    """Forty orders, each drafted on a day."""
    home = tmp_path_factory.mktemp("workroom")
    figures = random.Random(41)
    for client in CLIENTS:
        waist = figures.randrange(64, 90)
        (home / f"{client}.toml").write_text(card(client.capitalize(), waist, waist + figures.randrange(22, 30)))
    for name, girth in (("belt", "waist"), ("sash", "hip"), ("band", "waist")):
        (home / f"{name}.style").write_text(strip(name, girth))
    shutil.copy(Path(__file__).parents[1] / "desk" / "plain_skirt.style", home)
    for number, (client, style) in enumerate((client, style) for client in CLIENTS for style in STYLES):
        length = f"[choices]\nlength = {json.dumps(f'{55 + number % 7} cm')}\n" if style == "plain_skirt" else ""
        (home / f"{client}-{style}.order").write_text(
            f'client = "{client}"\nstyle = "{style}"\ndue = 2026-12-{1 + number % 20:02}\n{length}'
        )
        result = run("draft", home / f"{client}-{style}.order", *DAY)
        assert result.exit_code == 0, result.stderr
    return home


def listed(home):
    result = run("orders", home, "--json", *DAY)
    assert result.exit_code == 0, result.output
    return {Path(one["order"]).stem: one for one in json.loads(result.stdout)["orders"]}


@pytest.fixture
def drafts(monkeypatch):
    """How many clients each draft is made for that `orders` makes."""
    made = []
    draft_cards = moved.draft_cards

    def counted(style, cards, *rest, **more):
        made.append(len(cards))
        return draft_cards(style, cards, *rest, **more)

    monkeypatch.setattr(moved, "draft_cards", counted)
    return made


def test_where_nothing_has_changed_nothing_is_drafted(workroom, drafts):
    found = listed(workroom)
    assert len(found) == 40 and {one["state"] for one in found.values()} == {standing.GOOD}
    assert drafts == []
    assert len(list(workroom.glob("*/*/pattern-*.json"))) == len(list(workroom.glob("*/*/*.svg"))) == 40


def test_after_a_style_changed_it_is_told_what_to_cut_again(workroom, drafts):
    style = workroom / "plain_skirt.style"
    before = style.read_text()
    # The back alone: its dart 1 cm longer, so that nothing but the place of its point moves.
    head, _, back = before.partition('piece back "Back"')
    style.write_text(f'{head}piece back "Back"{back.replace("13 cm long", "14 cm long")}')
    try:
        found = listed(workroom)
    finally:
        style.write_text(before)
    stale = {name: one for name, one in found.items() if one["state"] == standing.STALE}
    assert stale.keys() == {f"{client}-plain_skirt" for client in CLIENTS}
    for one in stale.values():
        assert one["changed"] == ["the style"]
        assert one["cut_again"] == ["back"]
        assert {"dart_point"} == {name for place in one["moved"]["places"] for name in place["names"]}
        assert [place["down"] for place in one["moved"]["places"]] == [pytest.approx(10.0, abs=0.01)]
    assert drafts == [len(CLIENTS)]  # all in one
    assert {one["state"] for one in listed(workroom).values()} == {standing.GOOD}


def test_after_a_card_changed_it_is_her_orders_alone(workroom, drafts):
    path = workroom / "cleo.toml"
    before = path.read_text()
    path.write_text(before.replace(" cm", ".5 cm", 1))  # the waist
    try:
        found = listed(workroom)
    finally:
        path.write_text(before)
    stale = {name for name, one in found.items() if one["state"] == standing.STALE}
    assert stale == {"cleo-belt", "cleo-band", "cleo-plain_skirt"}  # the sash goes round the hip
    assert sum(drafts) == 3
