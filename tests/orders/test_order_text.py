"""The text of an order: what may stand in it, how its mistakes are told, and that what is written reads back."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeline.orders.order import ClientOrder, read_order, write_order
from tapeline.paper.kinds import KINDS
from tapeline.source.text import Source

WHOLE = """client   = "nell"
style    = "corselet_skirt"
version  = "1.0"
house    = "quay_row"
papers   = "list, pdf"
paper    = "A4"
cloth    = ["150 cm", "90 cm for lining"]
bought   = ["2.4 m", "1 m for lining"]
date     = 2026-11-30
due      = "2026-12-12"
fittings = "none"
number   = 41
note     = "for the opening"

[choices]
length = "62 cm"
vented = true
darts  = 3
"""


def read(text):
    return read_order(Source("nell-corselet.order", text))


def test_an_order_says_all_of_it():
    order, told = read(WHOLE)
    assert told == []
    assert (order.name, order.client, order.style, order.house, order.version) == (
        "nell-corselet",
        "nell",
        "corselet_skirt",
        "quay_row",
        "1.0",
    )
    assert order.papers == ("pdf", "list") and order.paper == ("A4",)
    assert (order.date, order.due) == (date(2026, 11, 30), date(2026, 12, 12))
    assert order.unfitted and order.fittings is None and order.number == "41"
    assert [(one.mm, one.purpose) for one in order.lengths] == [(2400.0, ""), (1000.0, "lining")]
    assert order.settings == ["length=62 cm", "vented=yes", "darts=3"]


def test_client_and_style_are_enough():
    order, told = read('client = "nell"\nstyle = "belt"\n')
    assert told == [] and order == ClientOrder("nell-corselet", "nell", "belt")


@pytest.mark.parametrize(
    "line, code, column",
    [
        ('du = "2026-12-12"', "O100", "du"),
        ('due = "12.12.2026"', "O101", '"12.12.2026"'),
        ("due = 2026-13-12", "B101", "2026-13-12"),
        ('bought = "2.4"', "O101", '"2.4"'),
        ('bought = "0 m"', "O101", '"0 m"'),
        ('papers = "pfd"', "O101", '"pfd"'),
        ('paper = "A9"', "P101", '"A9"'),
        ('cloth = "3 mm"', "O101", '"3 mm"'),
        ('fittings = "some"', "O101", '"some"'),
        ('number = "a b"', "O101", '"a b"'),
        ("house = 3", "O101", "3"),
        ("choices = 3", "O101", "choices"),
    ],
)
def test_a_mistake_is_told_where_it_stands(line, code, column):
    order, told = read(f'client = "nell"\nstyle = "belt"\n{line}\n')
    assert order is None and [one.code for one in told] == [code]
    assert told[0].span.line == 3 and told[0].span.text == column


def test_every_mistake_is_told_at_once():
    order, told = read('due = "soon"\nhuose = "quay_row"\nstyle = 4\n')
    assert order is None
    assert [(one.code, one.span.line) for one in told] == [("O101", 1), ("O100", 2), ("O101", 3), ("O102", 1)]
    assert 'Did you mean "house"?' in told[1].suggestion or "house" in told[1].suggestion


def test_due_before_it_was_ordered_is_a_caution():
    order, told = read('client = "nell"\nstyle = "belt"\ndate = 2026-11-30\ndue = 2026-11-29\n')
    assert order is not None and [(one.code, one.severity) for one in told] == [("O103", "caution")]


words = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=30).map(lambda text: " ".join(text.split()))
days = st.none() | st.dates(date(2000, 1, 1), date(2099, 12, 31))


@given(
    client=words.filter(bool),
    style=words.filter(bool),
    note=words,
    kinds=st.lists(st.sampled_from(sorted(KINDS)), min_size=1, unique=True),
    due=days,
    ordered=days,
    bought=st.lists(st.sampled_from(["2.4 m", "1 1/2 yd", "90 cm for lining"]), max_size=3),
    choices=st.dictionaries(st.from_regex(r"[a-z][a-z_0-9]{0,12}", fullmatch=True), words.filter(bool), max_size=4),
    unfitted=st.booleans(),
    number=st.from_regex(r"[\w.-]{0,20}", fullmatch=True),
)
def test_what_is_written_reads_back(client, style, note, kinds, due, ordered, bought, choices, unfitted, number):
    kinds = tuple(kind for kind in KINDS if kind in kinds)
    order = ClientOrder(
        "one",
        client,
        style,
        papers=kinds,
        bought=tuple(bought),
        date=ordered,
        due=due,
        unfitted=unfitted,
        number=number,
        note=note,
        choices=choices,
    )
    again, told = read_order(Source("one.order", write_order(order)))
    assert [one for one in told if one.severity == "error"] == []
    assert again == order


@given(st.text(max_size=200))
def test_no_text_is_too_much(text):
    order, told = read_order(Source("any.order", text))
    assert order is not None or told
