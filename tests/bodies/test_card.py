"""Body cards: every diagnostic at its line, the arithmetic of units, and that no text breaks the reader."""

import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tapeline.bodies.card import Card, missing, read_card, write_card
from tapeline.bodies.measurement import Doubt, Measurement
from tapeline.source.diagnostics import Diagnostic, has_errors, render
from tapeline.source.text import Source

ROOT = Path(__file__).parents[2]
MANY = settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
WAIST = Measurement("waist", "Waist girth", "girth", "level at the waist", low=380, high=1700)
HIP = Measurement("hip", "Hip girth", "girth", "over the seat", low=400, high=1900)
DEPTH = Measurement("waist_to_hip", "Waist to hip", "length", "along the side", low=45, high=320)
SLOPE = Measurement("shoulder_slope", "Shoulder slope", "angle", "below level", low=math.radians(5), high=math.radians(42))
KNOWN = {m.name: m for m in (WAIST, HIP, DEPTH, SLOPE)}
DOUBTS = (Doubt("hip", "less than", "waist", "Were they exchanged?"),)


def read(text: str, doubts=()):
    return read_card(Source("client.toml", text), KNOWN, doubts)


def said(text: str, doubts=()) -> list[tuple[str, int, str]]:
    """(code, line, underlined text) of each diagnostic; rendered as well, for that must never fail."""
    _, diagnostics = read(text, doubts)
    assert all(render(d) and len(d.title) <= 60 for d in diagnostics)
    return [(d.code, d.span.line, d.span.text) for d in diagnostics]


def only(text: str, doubts=()) -> Diagnostic:
    _, diagnostics = read(text, doubts)
    assert len(diagnostics) == 1, [render(d) for d in diagnostics]
    return diagnostics[0]


def test_a_good_card():
    card, diagnostics = read(
        'name = "Nell"\nnote = "over a slip"\n[measures]\nwaist = "28 1/2 in"\n'
        'hip = "97.5 cm"\nwaist_to_hip = "8 in"\nshoulder_slope = "21 deg"\n'
    )
    assert diagnostics == []
    assert (card.name, card.note, card.unit) == ("Nell", "over a slip", "in")
    assert card.values == {"waist": 723.9, "hip": 975.0, "waist_to_hip": 203.2, "shoulder_slope": math.radians(21)}
    assert card.written["waist"] == "28 1/2 in"
    assert card.spans["hip"].line == 5


@pytest.mark.parametrize(
    "text, expected",
    [
        # B101 what TOML cannot read, and the reading goes on behind it
        ("[measures]\nwaist = 72 cm\nhip = 97,5 cm\n", [("B101", 2, "72 cm"), ("B101", 3, "97,5 cm")]),
        ('[measures]\nwaist = \nhip = "1 cm"\n', [("B101", 2, "waist ="), ("B108", 3, '"1 cm"')]),
        ('[measures\nwaist = "72 cm"\n', [("B101", 1, "[measures")]),
        ("[measures]\nwaist\n", [("B101", 2, "waist")]),
        ('[measures]\nwaist = "\\q"\n', [("B101", 2, '"\\q"')]),
        ("[measures]\nwaist = [\n", [("B101", 2, "[")]),
        ("waist = " + "[" * 5000, [("B101", 1, "")]),
        ("waist = " + "9" * 5000, [("B101", 1, "")]),
        # B102 twice
        ('[measures]\nwaist = "72 cm"\nhip = "98 cm"\nwaist = "73 cm"\n', [("B102", 4, "waist")]),
        ('[measures]\nwaist = "72 cm"\n[measures]\nhip = "98 cm"\n', [("B102", 3, "measures")]),
        ('measures.waist = "72 cm"\nmeasures = 3\n', [("B101", 2, "3")]),
        # B103 what a card has not
        ('nmae = "Nell"\n[measures]\nwaist = "72 cm"\n', [("B103", 1, "nmae")]),
        ('[measures]\nwaist = "72 cm"\n[acept]\nwaist = "so"\n', [("B103", 3, "acept")]),
        ('waist = "72 cm"\n[measures]\nhip = "98 cm"\n', [("B103", 1, "waist")]),
        ('name = 7\n[measures]\nhip = "98 cm"\n', [("B103", 1, "7")]),
        ('accept = "all"\n[measures]\nhip = "98 cm"\n', [("B103", 1, "accept")]),
        # B104 unknown
        ('[measures]\nhip = "98 cm"\nwiast = "72 cm"\n', [("B104", 3, "wiast")]),
        # B105 no unit
        ('[measures]\nwaist = 72\nhip = "98"\nshoulder_slope = 20.5\n', [("B105", 2, "72"), ("B105", 3, '"98"'), ("B105", 4, "20.5")]),
        ("measures = { waist = 72 }\n", [("B105", 1, "measures")]),
        ("measures.waist = 72\n", [("B105", 1, "72")]),
        # B106 unreadable
        (
            '[measures]\nwaist = "wide"\nhip = true\nwaist_to_hip = ["8 in"]\nshoulder_slope = "8 cm"\n',
            [("B106", 2, '"wide"'), ("B106", 3, "true"), ("B106", 4, '["8 in"]'), ("B106", 5, '"8 cm"')],
        ),
        ('[measures]\nwaist = ""\nhip = nan\n', [("B106", 2, '""'), ("B106", 3, "nan")]),
        (f'[measures]\nwaist = "{"1" * 5000} cm"\n', [("B106", 2, f'"{"1" * 5000} cm"')]),
        ("[measures]\nwaist = 0x" + "f" * 9000 + "\n", [("B106", 2, "0x" + "f" * 9000)]),
        # B107 zero or less
        (
            '[measures]\nwaist = "0 cm"\nhip = "-98 cm"\nshoulder_slope = -3\n',
            [("B107", 2, '"0 cm"'), ("B107", 3, '"-98 cm"'), ("B107", 4, "-3")],
        ),
        # B108 hard to believe
        (
            '[measures]\nwaist = "72 in"\nhip = "98 mm"\nshoulder_slope = "60 deg"\n',
            [("B108", 2, '"72 in"'), ("B108", 3, '"98 mm"'), ("B108", 4, '"60 deg"')],
        ),
        # B110 needless acceptance
        ('[measures]\nwaist = "72 cm"\n[accept]\nwaist = "sure"\nhip = "sure"\n', [("B110", 4, "waist"), ("B110", 5, "hip")]),
        # B111 nothing there
        ("", [("B111", 1, "")]),
        (" \n\n", [("B111", 1, "")]),
        ("\ufeff\n", [("B111", 1, "")]),
        ('name = "Nell"\n', [("B111", 1, "")]),
        ('name = "Nell"\n[measures]\n', [("B111", 2, "measures")]),
        ("measures = 3\n", [("B111", 1, "measures")]),
        ("# nothing yet\n", [("B111", 1, "")]),
        # B112 no reason
        ('[measures]\nwaist = "72 cm"\n[accept]\nwaist = " "\n', [("B112", 4, '" "')]),
        ('[measures]\nwaist = "72 cm"\n[accept]\nwaist = true\n', [("B112", 4, "true")]),
    ],
)
def test_each_fault_at_its_line(text, expected):
    assert said(text) == expected
    assert said(text.replace("\n", "\r\n")) == expected
    card, diagnostics = read(text)
    assert (card is None) == has_errors(diagnostics)


def test_doubt():
    text = '[measures]\nwaist = "98 cm"\nhip = "97 cm"\n'
    doubt = only(text, DOUBTS)
    assert (doubt.code, doubt.severity, doubt.span.line) == ("B109", "caution", 3)
    assert [(span.line, label) for span, label in doubt.others] == [(2, "waist")]
    assert read(text, DOUBTS)[0] is not None
    assert said(text + '[accept]\nwaist = "a belly"\n', DOUBTS) == []
    assert said(text.replace("97", "98"), DOUBTS) == []


def test_accepted_on_purpose():
    text = '[measures]\nwaist = "35 cm"\n[accept]\nwaist = "measured twice, it is right"\n'
    card, diagnostics = read(text)
    assert diagnostics == [] and card.values == {"waist": 350.0}
    assert card.accepted == {"waist": "measured twice, it is right"}
    beyond = only(text.replace("35 cm", "500.1 cm"))
    assert beyond.code == "B108" and "cannot be accepted" in beyond.suggestion


@pytest.mark.parametrize(
    "written, way_out",
    [
        ("72", 'Write "72 cm".'),
        ("720", 'Write "720 mm".'),
        ("60", 'Write "60 cm" or "60 in".'),
        ("7", 'Write "7 cm".'),
        ("28½", 'Write "28 1/2 in".'),
        ("28 1/2″", 'Write "28 1/2 in".'),
        ("72,5 cm", 'Write "72.5 cm".'),
        ("28-1/2 inches", 'Write "28 1/2 in".'),
        ("0.72 metres", 'Write "0.72 m".'),
        ("2' 4 1/2", 'Write "28 1/2 in".'),
        ("72 centimetres", 'Write "72 cm".'),
        ("2 ft", 'Write "24 in".'),
        ("72 ells", ""),
        ("about 72 cm", ""),
        ("72 in", 'Was "72 cm" meant?'),
        ("15 cm", 'Was "15 in" meant?'),
        ("36 cm", 'Was "36 in" meant? Is it half the girth? Write the whole, "72 cm".'),
    ],
)
def test_way_out_of_a_waist(written, way_out):
    suggestion = only(f"[measures]\nwaist = '{written}'\n" if "'" not in written else f'[measures]\nwaist = "{written}"\n').suggestion
    assert suggestion.replace(' If it is right, write below [accept]: waist = "why".', "") == way_out


def test_range_is_shown_in_the_written_unit():
    assert only('[measures]\nwaist = "200 cm"\n').expected == "38 cm to 170 cm"
    assert only('[measures]\nwaist = "200 in"\n').expected == "~15 in to ~67 in"
    assert only('[measures]\nshoulder_slope = "60 deg"\n').expected == "5 deg to 42 deg"


def test_nearest_names_are_offered():
    assert only('[measures]\nhip = "98 cm"\nwiast = "72 cm"\n').suggestion == 'Did you mean "waist"?'
    assert only('Measures = 3\n[measures]\nhip = "98 cm"\n').suggestion == 'Did you mean "measures"?'


def test_twice_shows_both_places():
    twice = only('[measures]\nwaist = "72 cm"\nwaist = "73 cm"\n')
    assert (twice.span.line, twice.others[0][0].line) == (3, 2)


def test_missing_measures():
    card, _ = read('name = "Nell"\n[measures]\nwaist = "28 in"\n')
    hip, slope, other = missing(card, ["waist", "hip", "shoulder_slope", "unheard_of"], KNOWN)
    assert (hip.code, hip.body, hip.span.line) == ("B113", "Nell", 1)
    assert hip.expected == "Hip girth: over the seat" and 'hip = "... in"' in hip.suggestion
    assert 'shoulder_slope = "... deg"' in slope.suggestion and "unheard_of" in other.title
    assert missing(card, ["waist"], KNOWN) == []


@pytest.mark.parametrize(
    "written, unit",
    [
        (("28 in", "98 cm", "8 in"), "in"),
        (("72 cm", "38 in", "200 mm"), "cm"),
        (("28 in", "98 cm"), "in"),
        (("72 cm", "38 in"), "cm"),
    ],
)
def test_unit_for_showing(written, unit):
    lines = "\n".join(f'{name} = "{text}"' for name, text in zip(KNOWN, written, strict=False))
    assert read("[measures]\n" + lines)[0].unit == unit


def test_name_from_the_file_where_none_is_written():
    assert read_card(Source("cards/maud.toml", '[measures]\nhip = "98 cm"\n'), KNOWN)[0].name == "maud"


@MANY
@given(st.integers(16 * 15, 16 * 66))
def test_an_inch_is_2_54_centimetres(sixteenths):
    """2.54 / 16 ends after five decimals, so both ways of writing name one number and are read as one."""
    whole, rest = divmod(Fraction(sixteenths, 16), 1)
    hundred_thousandths = sixteenths * 15875
    in_inches = f"{whole} {rest} in" if rest else f"{whole} in"
    in_centimetres = f"{hundred_thousandths // 10**5}.{hundred_thousandths % 10**5:05d} cm"
    one, _ = read(f'[measures]\nwaist = "{in_inches}"')
    other, _ = read(f'[measures]\nwaist = "{in_centimetres}"')
    assert one.values == other.values == {"waist": sixteenths * 127 / 80}


LINES = st.lists(
    st.one_of(
        st.sampled_from(
            [
                "[measures]",
                "[accept]",
                "[ measures ] # so",
                "[measures.waist]",
                "[[measures]]",
                "[",
                "]",
                "'''",
                '"""',
                'measures = {waist = "72 cm"}',
                "accept.waist = 'x'",
                "# waist = 3",
                "\ufeff",
                "\r",
            ]
        ),
        st.tuples(
            st.sampled_from(["name", "note", "waist", "hip", '"waist"', "measures.waist", "wai st", "shoulder_slope"]),
            st.one_of(
                st.sampled_from(
                    [
                        '"72 cm"',
                        "72",
                        "'28 1/2 in'",
                        "28 1/2 in",
                        '"',
                        "[",
                        "{",
                        "true",
                        "1979-05-27",
                        "inf",
                        '"""',
                        '"\\u0000"',
                        '"1/0 in"',
                        "0x1F",
                        '"-0 cm"',
                    ]
                ),
                st.text(max_size=8),
            ),
        ).map(" = ".join),
        st.text(max_size=12),
    ),
    max_size=8,
).map("\n".join)


@MANY
@given(st.one_of(st.text(), LINES, LINES.map(lambda text: "[measures]\n" + text)))
def test_any_text_gives_a_card_or_says_why_not(text):
    card, diagnostics = read(text, DOUBTS)
    assert isinstance(card, Card) != has_errors(diagnostics)
    for diagnostic in diagnostics:
        assert render(diagnostic) and len(diagnostic.title) <= 60
        assert 0 <= diagnostic.span.start <= diagnostic.span.end <= len(text)
    if card is not None:
        assert all(0 < value < math.inf for value in card.values.values())
        assert card.values.keys() == card.written.keys() & KNOWN.keys()  # what is not known is kept as it is written


@MANY
@given(st.text(max_size=20), st.text(max_size=20), st.text(max_size=20), st.integers(380, 1700))
def test_a_written_card_reads_the_same(name, note, reason, waist):
    written = {"waist": f" {waist} mm", "hip": "39 1/2 in\t\x1f"}
    odd = Card(name, note, {}, written, "cm", {"hip": reason or "so"})
    card, _ = read(write_card(odd))
    if card is not None:  # a reason of blanks only is none
        again, diagnostics = read(write_card(card))
        assert again == card and not has_errors(diagnostics)
        assert card.values == {"waist": float(waist), "hip": 1003.3}


@pytest.mark.parametrize("name", ["nell", "maud"])
def test_the_workshop_s_cards_carry_every_measure(name, known, doubts):
    path = ROOT / "styles" / "bodies" / f"{name}.toml"
    card, diagnostics = read_card(Source(path.name, path.read_text(encoding="utf-8")), known, doubts)
    assert diagnostics == []
    assert missing(card, known, known) == []
    assert read_card(Source(path.name, write_card(card)), known, doubts)[0] == card


def test_a_measure_of_another_style_of_the_house_is_kept(known):
    """Only a name near to a known one that the card has not is taken for a slip."""
    text = '[measures]\nwaist = "72 cm"\nwaist_2 = "70 cm"\nzigzag_drop = "9 cm"\n'
    card, diagnostics = read_card(Source("card.toml", text), known)
    assert card is not None and set(card.values) == {"waist"} and diagnostics == []
    assert read_card(Source("card.toml", write_card(card)), known)[0] == card and "zigzag_drop = " in write_card(card)


def test_all_mistakes_of_a_card_are_told_at_once(known):
    """A misspelt measure stands for the one that is meant, which is not wanting besides."""
    text = '[measures]\nwiast = "72 cm"\nhip = "98"\nbust = "90 furlongs"\n'
    card, diagnostics = read_card(Source("card.toml", text), known, needed=("waist", "hip", "bust", "waist_to_hip"))
    assert card is None
    assert [(one.code, one.title.split()[0]) for one in diagnostics] == [
        ("B104", "No"),
        ("B105", "hip"),
        ("B106", "bust"),
        ("B113", "waist_to_hip"),
    ]
