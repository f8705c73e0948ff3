"""A client's fittings: read, chosen by style and day, set into the style, and told on the papers with what was sewn before."""

import json
import re
from datetime import date as Day
from pathlib import Path

import pytest
from clients import DAY, card, strip
from hypothesis import given
from hypothesis import strategies as st

import tapeline as package
from tapeline.meaning.fittings import read_fittings
from tapeline.source.text import Source

TWO = """language 1
fittings ada "Ada Quay"
    "Wears a slip."

-- The first was in calico.
fitting 2026-11-20 of belt
    "too tight: she breathes"
    "from the ribs"
    choose lap 6 cm

fitting 2026-11-10 of belt
    deep = 3 cm

fitting 2026-11-12 of plain_skirt
    choose flare 10 %

fitting 2026-12-24 of belt
    "to come"
    choose lap 9 cm
"""
PLAIN = """language 1
style plain "Plain skirt"
use skirt
measure waist, hip, waist_to_hip
levels
    waist
    hip   waist_to_hip below waist
    hem   60 cm below waist
recipe half "Front or back" ()
    widths from centre, before darts
        waist  waist / 4 + 5 mm
        hip    hip / 4 + 1 cm
        hem as hip
    side smooth waist to hip, straight hip to hem
piece front "Front" from half()
    cut 1 on fold at centre
piece back "Back" from half()
    cut 2
sew front.side to back.side
sew back.centre to back.centre
"""
DRAFT = ("draft", "belt.style", "--for", "ada.toml", "-o", "out", *DAY)


def read(text, client="ada", styles=("belt", "plain_skirt")):
    return read_fittings(Source("ada.fittings", text), client, "belt", styles)


@pytest.fixture
def fitted(folder):
    (folder / "ada.fittings").write_text(TWO)
    return folder


def record(folder, name="out"):
    return json.loads((folder / name / "pattern.json").read_text())


def test_fittings_are_told_in_the_order_of_their_days():
    fittings, told = read(TWO)
    assert told == []
    assert [(one.day.isoformat(), one.style) for one in fittings.fittings] == [
        ("2026-11-10", "belt"),
        ("2026-11-12", "plain_skirt"),
        ("2026-11-20", "belt"),
        ("2026-12-24", "belt"),
    ]
    assert fittings.fittings[2].notes == ("too tight: she breathes", "from the ribs")
    assert fittings.fittings[2].lines == ("choose lap 6 cm",)


def test_what_does_not_count_is_blank_and_nothing_moves():
    fittings, _ = read(TWO)
    changes = fittings.changes(fittings.of("belt", fittings.fittings[2].day))
    assert len(changes.text) == len(TWO) and changes.text.count("\n") == TWO.count("\n")
    for line, before in zip(changes.text.splitlines(), TWO.splitlines(), strict=True):
        assert line == before or not line.strip()
    assert "flare" not in changes.text and "9 cm" not in changes.text and "deep = 3 cm" in changes.text


@given(
    st.lists(st.tuples(st.dates(Day(2020, 1, 1), Day(2030, 12, 31)), st.sampled_from(["belt", "sash"]), st.integers(1, 9)), max_size=8),
    st.dates(Day(2019, 1, 1), Day(2031, 12, 31)),
    st.booleans(),
)
def test_of_any_fittings_those_of_the_style_up_to_the_day_count(written, until, anonymous):
    """By day and then as they stand; what is left of the text is read to just these, each at its own line."""
    text = "language 1\nfittings ada -- her name\n" + "".join(
        f'fitting {day.isoformat()} of {style}\n    "a note"\n    choose lap {lap} cm\n' for day, style, lap in written
    )
    fittings, told = read(text, styles=("belt", "sash"))
    assert told == []
    expected = [
        (day, f"choose lap {lap} cm") for day, style, lap in sorted(written, key=lambda one: one[0]) if style == "belt" and day <= until
    ]
    chosen = fittings.of("belt", until)
    assert [(one.day, *one.lines) for one in chosen] == expected
    left, told = read_fittings(fittings.changes(chosen, anonymous), "x" if anonymous else "ada", "belt", ("belt",))
    assert told == [] and [(one.day, *one.lines, one.start) for one in left.fittings] == [
        (one.day, *one.lines, one.start) for one in chosen
    ]
    assert [one.notes for one in left.fittings] == [() if anonymous else one.notes for one in chosen]


@pytest.mark.parametrize(
    "before, after, code, place",
    [
        ("fittings ada", "fittings ida", "O110", "ida"),
        ('fittings ada "Ada Quay"', 'style ada "Ada"', "O110", 'style ada "Ada"'),
        ("2026-11-10", "2026-11-31", "O111", "2026-11-31"),
        ("2026-11-10", "2026-11-1", "O111", "2026-11-1"),
        ("2026-11-10 of belt", "2026-11-10 of bellt", "O112", "bellt"),
        ("    deep = 3 cm", "deep = 3 cm", "O113", "deep = 3 cm"),
    ],
)
def test_a_mistake_is_told_with_its_line(before, after, code, place):
    _, told = read(TWO.replace(before, after))
    (found,) = [one for one in told if one.code == code]
    assert found.span.text == place and found.span.source.name == "ada.fittings"
    assert found.span.line == 1 + TWO.split(before)[0].count("\n") or code == "O113"


def test_a_fitting_of_a_style_that_is_not_near_is_left_out_and_told():
    fittings, told = read(TWO.replace("of plain_skirt", "of an_opera_cloak"))
    assert fittings is not None and [(one.code, one.severity) for one in told] == [("O112", "caution")]


def test_broken_lines_are_told_and_the_others_read():
    fittings, told = read(TWO.replace("choose lap 6 cm", "choose lap 6 cm cm").replace("deep = 3 cm", "deep = = 3 cm"))
    assert fittings is None and sorted(one.span.line for one in told) == [9, 12]


@pytest.mark.parametrize(
    ("before", "after"), [("choose flare 10 %", "choose flare 10 % %"), ("2026-11-12 of plain_skirt", "2026-11-31 of plain_skirt")]
)
def test_a_mistake_in_a_fitting_holds_up_its_own_style_alone(before, after):
    text = TWO.replace(before, after)
    fittings, told = read(text)
    assert told == [] and [one.style for one in fittings.fittings] == ["belt"] * 3
    assert after not in fittings.changes(fittings.of("belt")).text
    none, told = read_fittings(Source("ada.fittings", text), "ada", "plain_skirt", ("belt", "plain_skirt"))
    assert none is None and [one.span.line for one in told] == [15 if "%" in after else 14]


def test_a_day_that_cannot_be_read_is_told_as_one_that_is_none():
    fittings, told = read(TWO.replace("2026-11-10", "next week"))
    assert fittings is None and [(one.code, one.span.text) for one in told] == [("O111", "next week")]


def test_an_empty_text_of_fittings_asks_for_fittings():
    for text in ("", "language 1\n", "wrong\n"):
        _, told = read(text)
        assert all("a style or a library" not in one.expected and "style my_skirt" not in one.suggestion for one in told) and told


@pytest.mark.parametrize("what", ["a link that leads nowhere", "a loop", "a folder", "a link elsewhere"])
def test_fittings_that_are_no_file_beside_the_card_are_told(folder, tapeline, what):
    there = folder / "ada.fittings"
    if what == "a folder":
        there.mkdir()
    elif what == "a link elsewhere":
        (folder.parent / f"{folder.name}.fittings").write_text(TWO)
        there.symlink_to(folder.parent / f"{folder.name}.fittings")
    else:
        there.symlink_to("ada.fittings" if what == "a loop" else "none.fittings")
    result = tapeline(*DRAFT)
    assert result.exit_code == 3 and result.stderr.count("error F001") == 1 and "--without-fittings" in result.stderr
    assert not (folder / "out").exists()
    assert tapeline(*DRAFT, "--without-fittings").exit_code == 0


def test_a_draft_takes_those_of_its_style_up_to_its_date(fitted, tapeline):
    assert tapeline(*DRAFT).exit_code == 0
    made = record(fitted)
    assert made["choices"]["lap"] == 60.0 and made["values"]["deep"]["value"] == 30.0
    assert made["fittings"] == [
        {"date": "2026-11-10", "notes": [], "lines": ["deep = 3 cm"]},
        {"date": "2026-11-20", "notes": ["too tight: she breathes", "from the ribs"], "lines": ["choose lap 6 cm"]},
    ]


@pytest.mark.parametrize(
    "options, lap, days",
    [
        (("--fitted", "2026-11-19"), 40.0, ["2026-11-10"]),
        (("--fitted", "2026-12-31"), 90.0, ["2026-11-10", "2026-11-20", "2026-12-24"]),
        (("--fitted", "2026-11-09"), 40.0, []),
        (("--without-fittings",), 40.0, []),
    ],
)
def test_a_draft_takes_those_that_are_asked_for(fitted, tapeline, options, lap, days):
    assert tapeline(*DRAFT, *options).exit_code == 0
    made = record(fitted)
    assert made["choices"]["lap"] == lap and [one["date"] for one in made["fittings"]] == days


def test_another_client_has_none_of_them(fitted, tapeline):
    assert tapeline("draft", "belt.style", "--for", "ida.toml", "-o", "out", *DAY).exit_code == 0
    assert record(fitted)["fittings"] == [] and record(fitted)["choices"]["lap"] == 40.0


def test_the_rules_are_others_and_of_the_parts_only_the_fittings(fitted, tapeline):
    assert tapeline(*DRAFT).exit_code == 0
    assert tapeline("draft", "belt.style", "--for", "ada.toml", "-o", "plain", "--without-fittings", *DAY).exit_code == 0
    with_them, without = record(fitted), record(fitted, "plain")
    assert with_them["rules"] != without["rules"]
    rests = [made["rests_on"] for made in (with_them, without)]
    assert rests[0].pop("fittings") and rests[1].pop("fittings") is None and rests[0] == rests[1]


def test_papers_list_them_and_the_ledger_shows_before_and_after(folder, tapeline):
    (folder / "ada.fittings").write_text(
        'language 1\nfittings ada\nfitting 2026-11-20 of plain_skirt\n    "It flutes."\n    choose flare 10 %\n'
    )
    command = ("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", "--papers", "svg,list,proof", *DAY)
    result = tapeline(*command)
    assert result.exit_code == 0
    assert "before" in result.stdout and "fitting" in result.stdout
    (hem,) = [line for line in result.stdout.splitlines() if line.split()[:1] == ["hem"] and "cm" in line and "up" not in line]
    # (100 + 4) x 1.04 and x 1.1
    assert "108.16 cm" in hem and "114.4 cm" in hem and hem.index("108.16 cm") < hem.rindex("114.4 cm")
    row = next(row for row in record(folder)["ledgers"]["girths"] if row["level"] == "hem")
    assert (row["unfitted"], row["sewn"]) == (pytest.approx(1081.6), pytest.approx(1144.0))
    text = (folder / "out/plain_skirt-cutting-list.txt").read_text()
    assert re.search(r"2026-11-20 +choose flare 10 % +It flutes\.", text) and "fitted 2026-11-20" in text
    for name in ("plain_skirt.svg", "plain_skirt-proof.html"):
        assert "fitted 2026-11-20" in (folder / "out" / name).read_text()
    page = (folder / "out/plain_skirt-proof.html").read_text()
    assert all(words in page for words in ("choose flare 10 %", "It flutes.", "before fitting", "108.16 cm"))
    plain = tapeline(*command, "--without-fittings", "--overwrite")
    assert "fitting" not in plain.stdout and "fitted 2026" not in (folder / "out/plain_skirt.svg").read_text()


def test_a_piece_that_the_style_has_not_is_told_in_the_fittings(folder, tapeline):
    (folder / "ada.fittings").write_text(
        "language 1\nfittings ada\nfitting 2026-11-20 of plain_skirt\n    change piece frount\n        notch on side at 10 cm from top_side\n"
    )
    result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", *DAY)
    assert result.exit_code == 1 and "error N201" in result.stderr and "ada.fittings:4:18" in result.stderr
    assert not Path("out").exists()


def test_two_fittings_may_change_one_piece(folder, tapeline):
    change = "    change piece front\n        notch on {} at {} cm from {}_side\n"
    (folder / "ada.fittings").write_text(
        f"language 1\nfittings ada\nfitting 2026-11-20 of plain_skirt\n{change.format('side', 10, 'top')}"
        f"fitting 2026-11-21 of plain_skirt\n{change.format('hem', 15, 'hem')}"
    )
    assert tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", *DAY).exit_code == 0
    front = next(piece for piece in record(folder)["pieces"] if piece["name"] == "front")
    assert [one["edge"] for one in front["notches"] if one["kind"] == "stated"] == ["side", "hem"]


def test_fittings_are_no_style_and_stand_in_none(fitted, tapeline):
    result = tapeline("check", "ada.fittings")
    assert result.exit_code == 1 and "N212" in result.stderr
    (fitted / "odd.style").write_text(strip("odd") + "fitting 2026-11-20 of odd\n    choose lap 5 cm\n")
    result = tapeline("check", "odd.style")
    assert result.exit_code == 1 and "N208" in result.stderr and "text of its own" in result.stderr


def test_an_order_takes_them_as_it_says(fitted, tapeline):
    def days(*more):
        Path("one.order").write_text("\n".join(['client = "ada"', 'style = "belt"', *more, ""]))
        assert tapeline("draft", "one.order", "--overwrite", *DAY).exit_code == 0
        (path,) = Path("one").rglob("pattern*.json")
        return [one["date"] for one in json.loads(path.read_text())["fittings"]]

    assert days() == ["2026-11-10", "2026-11-20"]
    assert days("fittings = 2026-11-15") == ["2026-11-10"]
    assert days('fittings = "none"') == []


def test_orders_tell_that_a_fitting_is_new(ordered, tapeline):
    def standing(*date):
        (one,) = json.loads(tapeline("orders", "--json", *(date or DAY)).stdout)["orders"]
        return one["state"], one["changed"], one["cut_again"] or []

    assert standing() == ("as drafted", [], [])
    (ordered / "ada.fittings").write_text(TWO.replace("choose lap 6 cm", "deep = 6 cm"))
    assert standing() == ("stale", ["the fittings"], ["belt"])
    assert tapeline("draft", "ada-belt.order", "--overwrite", *DAY).exit_code == 0
    assert standing() == ("as drafted", [], [])
    assert standing("--date", "2026-12-23") == ("as drafted", [], [])
    assert standing("--date", "2026-12-24")[:2] == ("stale", ["the fittings"])  # that of Christmas has come
    (ordered / "ada.fittings").write_text(TWO.replace("choose lap 6 cm", "deep = 6 cm").replace("from the ribs", "deeply"))
    assert standing() == ("as drafted", [], [])  # a note moves nothing
    (ordered / "ada.fittings").write_text(TWO.replace("choose lap 6 cm", "deeep = 6 cm").replace("of belt", "of bellt", 1))
    result = tapeline("orders", *DAY)
    assert result.exit_code == 1 and "ada.fittings:6" in result.stderr


def test_what_is_wrong_with_fittings_is_told_once_with_the_orders_that_it_holds_up(ordered, tapeline):
    (ordered / "second.order").write_text((ordered / "ada-belt.order").read_text())
    (ordered / "third.order").write_text('client = "ada"\nstyle = "plain_skirt"\n')
    (ordered / "ada.fittings").write_text(TWO.replace("choose lap 6 cm", "choose lap 6 cm cm"))
    result = tapeline("orders", *DAY)
    assert result.exit_code == 1 and result.stderr.count("error ") == 1 and "(for ada-belt.order, second.order)" in result.stderr
    assert result.stdout.count("cannot be drafted") == 2 and result.stdout.count("not drafted") == 1


def test_from_python(fitted):
    session = package.Session()
    reading, told = session.read_for(Path("belt.style"), Path("ada.toml"))
    assert told == [] and reading.ok and [one.day.month for one in reading.style.fittings] == [11, 11, 12]
    (draft,) = reading.draft([Path("ada.toml")])
    assert draft.pattern.pieces[0].points["B"][0][0] == pytest.approx(720 + 90)
    assert session.read(Path("belt.style")).style.fittings == ()
    assert [use.definition.name for use in reading.uses]  # the index is made of the fitted style


def test_notes_are_not_on_anonymous_papers(fitted, tapeline):
    (fitted / "ada.fittings").write_text(TWO.replace("-- The first", "-- Ada's first").replace("too tight: she", "Ada is tight: she"))
    result = tapeline(*DRAFT, "--anonymous", "--papers", "all")
    assert result.exit_code == 0, result.stderr
    made = record(fitted)
    assert [one["notes"] for one in made["fittings"]] == [[], []] and made["choices"]["lap"] == 60.0
    for path in (fitted / "out").iterdir():
        data = path.read_bytes()
        assert [word for word in (b"ada.fittings", b"Ada ", b"Ada'", b"the ribs", b"Wears") if word in data] == [], path.name


def test_the_fittings_of_the_reference_are_taken(folder, tapeline):
    page = (Path(package.__file__).parents[1] / "LANGUAGE.md").read_text(encoding="utf-8")
    (text,) = re.findall(r"```fittings\n(.*?)```", page, re.DOTALL)
    (folder / "nell.fittings").write_text(text)
    (folder / "nell.toml").write_text(Path(package.__file__).parents[2].joinpath("styles/bodies/nell.toml").read_text(encoding="utf-8"))
    result = tapeline("draft", "straight_skirt", "--for", "nell.toml", "-o", "out", "--date", "2026-12-31")
    assert result.exit_code == 0, result.stderr
    made = record(folder)
    assert [one["date"] for one in made["fittings"]] == ["2026-12-05", "2026-12-12"]
    assert made["choices"]["length"] == 620.0 and made["values"]["hip_ease"]["value"] == 70.0


def test_the_card_of_the_same_name_elsewhere_has_none(fitted, tapeline):
    Path("others").mkdir()
    Path("others/ada.toml").write_text(card("Ada Other"))
    assert tapeline("draft", "belt.style", "--for", "others/ada.toml", "-o", "out", *DAY).exit_code == 0
    assert record(fitted)["fittings"] == []


@pytest.mark.parametrize("mm, told", [(8, 0), (12, 1)])
def test_a_girth_that_a_fitting_brings_below_the_body_is_told_with_what_it_was(folder, tapeline, mm, told):
    (folder / "plain.style").write_text(PLAIN)
    (folder / "ada.fittings").write_text(
        "language 1\nfittings ada\nfitting 2026-11-20 of plain\n"
        f"    take in front.side and back.side {mm} mm at hip, to nothing at waist and hem\n"
    )
    result = tapeline("draft", "plain.style", "--for", "ada.toml", "-o", "out", *DAY)
    assert result.exit_code == 0 and result.stderr.count("D652") == 2 * told  # and at the end, where more is told
    if told:
        assert "100 cm, or more" in result.stderr and "99.2 cm as it is sewn; before fitting 104 cm" in result.stderr
