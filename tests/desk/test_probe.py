"""The command that probes: the simplest body of each failure and its margins, its files, and what it refuses."""

import csv
import io
import json
import re

import numpy as np
import pytest
from click.testing import CliRunner

from tapeline.desk.cli import program

# Darts that cross where hip less waist passes 32 cm and the height is under 155 cm; elsewhere they lie side by side.
PLANTED = """language 1
style planted "Skirt with a flaw"
measure waist, hip, waist_to_hip, height
choose length 60 cm from 40 cm to 90 cm "waist to hem"
lean = 6 cm when hip - waist more than 32 cm and height less than 155 cm otherwise 0 cm
levels
    waist
    hip   waist_to_hip below waist
    hem   length below waist
piece front "Front"
    cut 1 on fold at centre
    widths from centre, with darts
        waist  waist / 4 + 5 cm
        hip    hip / 4 + 7 cm
        hem as hip
    point t1 waist_centre across 9 cm + lean, down 11 cm
    point t2 waist_centre across 13 cm - lean, down 11 cm
    dart on waist at 9 cm, called inner
        intake 2 cm
        point at t1
    dart on waist at 13 cm, called outer
        intake 2 cm
        point at t2
piece back "Back"
    cut 2
    widths from centre, with darts
        waist  waist / 4
        hip    hip / 4
        hem as hip
allow
    others 1 cm
require length at least 30 cm "too short for a skirt"
"""
PANEL = """piece panel "Panel"
    cut 2
    point A start
    point B A across 40 cm
    point C A down 50 cm
    point D B down 50 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
"""
# Invented, for the workshop Quay Row.
WOMEN = """size,waist [cm],hip [cm],waist_to_hip [cm],height [cm]
Ada,66,90,19,158
Bea,72,96,20,163
Cleo,80,104,21,166
Dora,90,112,21,170
"""


@pytest.fixture
def probed(tmp_path, monkeypatch):
    """The command on a style of some rules, for the women of Quay Row and a few bodies over the ranges: exit code and output."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "women.csv").write_text(WOMEN)

    def run(text, *more, count=48, bodies="women.csv"):
        text = text if text.startswith("language") else f'language 1\nstyle made "Made"\n{text}{PANEL}'
        (tmp_path / "made.style").write_text(text)
        words = ["probe", "made.style", "--bodies", bodies, "--count", count, *more]
        return CliRunner().invoke(program, [str(one) for one in words], catch_exceptions=False)

    return run


def data(result):
    return json.loads(result.stdout)


def test_a_planted_flaw_is_caught_with_its_simplest_body_and_the_rule(probed):
    result = probed(PLANTED, "--json", count=128)
    assert result.exit_code == 1
    (failure,) = data(result)["failures"]
    line = 1 + PLANTED.split("\n").index("    dart on waist at 9 cm, called inner")
    assert (failure["code"], failure["rule"]) == ("D423", f"made.style:{line}")
    # The medians of Quay Row's women, to the centimetre, are 76, 100, 20 (of 20.5, to even) and 164 (of 164.5).
    body, middle = failure["body"], data(result)["middle"]
    assert middle == {"waist": 760.0, "hip": 1000.0, "waist_to_hip": 200.0, "height": 1640.0, "length": 600.0}
    assert sorted(failure["differs"]) in (["height", "hip"], ["height", "waist"])
    assert 1540.0 <= body["height"] < 1550.0 and 320.0 < body["hip"] - body["waist"] < 330.0
    assert all(body[name] == middle[name] for name in body if name not in failure["differs"])
    # Bounds of the rule: a millimetre more or less tells; height is never more than 155 cm less what a comparison allows.
    margins = {one["name"]: (one["fails"], one["passes"]) for one in failure["margins"]}
    assert margins["height"] == pytest.approx((1549.0, 1550.0))
    assert margins["hip"][0] - body["waist"] == pytest.approx(321.0) and margins["hip"][1] - body["waist"] == pytest.approx(320.0)
    assert body["hip"] - margins["waist"][0] == pytest.approx(321.0) and body["hip"] - margins["waist"][1] == pytest.approx(320.0)
    assert set(margins) == {"height", "hip", "waist"}


def test_the_report_says_it_in_words_and_the_card_shows_it(probed, tmp_path):
    result = probed(PLANTED, "-o", "out", count=128)
    assert "height up to 154.9 cm fails, from 155 cm passes" in result.stdout
    assert "otherwise the middle body: " in result.stdout and "Proved over the whole of the declared ranges:" in result.stdout
    assert sorted(one.name for one in (tmp_path / "out").iterdir()) == [
        "planted-fails-1.toml",
        "planted-probe.txt",
        "planted-share.csv",
        "planted-share.svg",
    ]
    assert result.stdout.split("\nwritten:")[0].strip() in (tmp_path / "out/planted-probe.txt").read_text()
    again = CliRunner().invoke(program, ["draft", "made.style", "--for", "out/planted-fails-1.toml", "-o", "pattern"])
    assert again.exit_code == 1 and "D423" in again.stderr


def test_a_second_probe_gives_the_same_bytes_and_replaces_its_own_files_alone(probed, tmp_path):
    rules = 'measure hip, waist\nchoose vent yes "x"\nrequire hip - waist less than 40 cm or vent "x"\n'
    first = probed(rules, "-o", "out")
    before = {one.name: one.read_bytes() for one in (tmp_path / "out").iterdir()}
    assert len(before) == 4 and probed(rules, "-o", "out").stdout == first.stdout
    assert {one.name: one.read_bytes() for one in (tmp_path / "out").iterdir()} == before
    (tmp_path / "out/made-share.csv").write_text("a table of her own")
    result = probed(rules, "-o", "out")
    assert result.exit_code == 3 and "F005" in result.stderr
    assert (tmp_path / "out/made-share.csv").read_text() == "a table of her own"


def test_where_no_body_fails_it_says_so_and_exits_in_order(probed):
    result = probed('measure hip\ncaution when hip more than 100 cm "wide"\nrequire hip more than 30 cm "x"\n')
    assert result.exit_code == 0 and "No body fails." in result.stdout
    assert re.search(r"Cautions, which let a body pass:\n  made.style:4  wide: \d+ bodies", result.stdout)


def test_choices_fail_too_and_are_told_with_the_card(probed, tmp_path):
    rules = (
        'measure hip\nchoose vent no "x"\nchoose n 2 from 1 to 6 "x"\nbuttons n, 15 mm\nrequire not vent or n less than 5 "too many"\n'
    )
    result = probed(rules, "--json", "-o", "out")
    (failure,) = data(result)["failures"]
    assert failure["differs"] == ["vent", "n"] and failure["body"]["vent"] == 1.0 and failure["body"]["n"] == 5.0
    assert [(one["name"], one["fails"], one["passes"]) for one in failure["margins"]] == [("vent", 1.0, 0.0), ("n", 5.0, 4.0)]
    assert (tmp_path / "out/made-fails-1.toml").read_text().split("\n")[0].endswith("--set vent=yes --set n=5 -o pattern")
    again = CliRunner().invoke(
        program, ["draft", "made.style", "--for", "out/made-fails-1.toml", "--set", "vent=yes", "--set", "n=5", "-o", "pattern"]
    )
    assert again.exit_code == 1 and "D460" in again.stderr
    assert probed(rules, "--set", "vent=no").exit_code == 0  # what is set is the same for every body


def test_a_style_without_measures_can_be_probed(probed, tmp_path):
    (tmp_path / "none.csv").write_text("size\nA\n")
    result = probed('choose n 2 from 1 to 6 "x"\nbuttons n, 15 mm\nrequire n less than 5 "too many"\n', "--json", bodies="none.csv")
    assert [one["body"] for one in data(result)["failures"]] == [{"n": 5.0}]


def test_bodies_that_are_not_believable_are_left_out_and_counted(probed):
    result = probed('measure hip, thigh\nrequire hip at least thigh "a doubted body"\n', "--json", count=256)
    spread = data(result)["bodies"][0]
    # thigh 20 to 115 cm, hip 40 to 190 cm: (115 - 40)^2 / 2 of 95 x 150 cm2 is doubted, a share of 0.197
    assert spread["drafted"] == 256 and spread["failed"] == 0
    assert spread["left_out"] / (256 + spread["left_out"]) == pytest.approx(0.197, abs=0.03)
    assert data(result)["not_in_population"] == ["thigh"]


def test_what_follows_from_a_failure_is_no_kind_of_its_own(probed):
    # Without a length no place below can be found, and no allowance is tried.
    rules = "measure hip\nspare = root of ((hip - 60 cm) * 1 cm)\n" + PANEL.replace("down 50 cm", "down 10 cm + spare", 1)
    text = f'language 1\nstyle made "Made"\n{rules}'
    assert [one["code"] for one in data(probed(text, "--json"))["failures"]] == ["D401"]


def test_rows_that_are_not_whole_or_not_believable_are_left_out_and_counted(probed, tmp_path):
    (tmp_path / "mixed.csv").write_text(WOMEN + "Eve,,99,20,165\nFlo,7200,99,20,165\nGwen,seventy,99,20,165\n")
    result = probed('measure hip, waist\nrequire hip more than 85 cm or waist more than 0 cm "x"\n', bodies="mixed.csv")
    assert "the population mixed:" in result.stdout and "4 of 4 pass, 3 left out as not whole or not believable" in result.stdout


def test_a_population_may_come_from_standard_input(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "made.style").write_text(f'language 1\nstyle made "Made"\nmeasure waist\n{PANEL}')
    result = CliRunner().invoke(program, ["probe", "made.style", "--bodies", "-", "--count", "8", "--json"], input=WOMEN)
    assert [one["drafted"] for one in data(result)["bodies"]] == [8, 4]


def test_inches_are_told_in_fractions(probed):
    result = probed('measure hip\nrequire hip at most 45 1/4 in "x"\n', "--unit", "in")
    assert "hip up to 45 1/4 in passes, from 45 5/16 in fails" in result.stdout


@pytest.mark.parametrize(
    ("more", "code", "exit_code"),
    [
        (("--across", "hip,waste"), "X101", 1),
        (("--across", "hip,hip"), "X101", 1),
        (("--across", "hip"), "names no two measures", 2),
        (("--set", "length"), "names no choice and its value", 2),
        (("--set", "depth=3 cm"), "C101", 1),
        (("--count", "0"), "--count", 2),
        (("--bodies", "nobody"), "F001", 3),
        (("--bodies", "empty.csv"), "X102", 1),
    ],
)
def test_what_is_refused(probed, tmp_path, more, code, exit_code):
    (tmp_path / "empty.csv").write_text("size,neck [cm]\nAda,36\n")
    result = probed('measure hip, waist\nrequire hip more than 0 cm "x"\n', *more)
    assert result.exit_code == exit_code and code in result.stderr


def test_the_table_of_the_picture_counts_every_body(probed, tmp_path):
    result = probed(PLANTED, "--across", "height,waist", "-o", "out", "--json", count=200)
    rows = list(csv.DictReader(io.StringIO((tmp_path / "out/planted-share.csv").read_text().split("\n", 1)[1])))
    for origin in ("spread over the ranges", "the population"):
        told = next(one for one in data(result)["bodies"] if one["origin"] == origin)
        mine = [row for row in rows if row["bodies"] == origin]
        assert sum(int(row["drafted"]) for row in mine) == told["drafted"]
        assert sum(int(row["passed"]) for row in mine) == told["drafted"] - told["failed"]
        tall = [row for row in mine if float(row["height from [cm]"]) >= 155.0]
        assert tall and all(row["drafted"] == row["passed"] for row in tall)


def test_the_picture_says_every_share_and_nothing_overlaps(probed, tmp_path):
    probed(PLANTED, "-o", "out", count=200)
    svg = (tmp_path / "out/planted-share.svg").read_text()
    rows = list(csv.DictReader(io.StringIO((tmp_path / "out/planted-share.csv").read_text().split("\n", 1)[1])))
    shares = [(int(row["passed"]), int(row["drafted"])) for row in rows if row["drafted"] != "0"]
    said = re.findall(r">(\d+) %<", svg)
    assert len(said) == len(shares)
    assert said.count("100") == sum(passed == drafted for passed, drafted in shares)
    assert "hip, cm" in svg and "height, cm" in svg and "no body" in svg


def test_words_in_the_picture_do_not_overlap():
    from tapeline.paper.drawing.model import Text, box_of, each_item, text_plate
    from tapeline.paper.pictures.share import share_drawing
    from tapeline.probing.share import Axis, Grid
    from tapeline.probing.spread import Variable

    random = np.random.default_rng(5)
    wide = Axis(Variable("waist_to_knee", "length", 220.0, 850.0, 500.0, False), np.arange(200.0, 901.0, 70.0))
    few = Axis(Variable("vent", "condition", 0.0, 1.0, 1.0, True), np.array([-0.5, 0.5, 1.5]))
    drafted = random.integers(0, 2000, (2, 10)) * (random.random((2, 10)) < 0.8)
    grids = [
        Grid("spread over the ranges", wide, few, drafted, drafted * 2 // 3),
        Grid("the population", few, wide, drafted.T, drafted.T),
    ]
    for unit in ("cm", "in", "mm"):
        drawing = share_drawing(
            "A skirt with a title that is rather long", grids, ["Spread over the declared ranges", "The women of a survey " * 4], unit
        )
        plates = [text_plate(one) for one in each_item(drawing.items) if isinstance(one, Text)]
        boxes = np.array([(*plate.corners().min(axis=0), *plate.corners().max(axis=0)) for plate in plates])
        apart = (boxes[:, None, 2] <= boxes[None, :, 0]) | (boxes[:, None, 3] <= boxes[None, :, 1])
        apart |= apart.T | np.eye(len(boxes), dtype=bool)
        assert apart.all(), [plates[k] for k in np.argwhere(~apart)[0]]
        left, top, right, bottom = box_of(drawing.items)
        assert left >= 0 and top >= 0 and right <= drawing.width and bottom <= drawing.height
