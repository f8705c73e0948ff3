"""The command that explains codes, and the line that points to it."""

import json
import os
import subprocess
import sys

import pytest

from tapeline.desk.explaining import LETTERS, codes, measures, page_path, title


def test_a_page_is_printed_as_it_stands(tapeline):
    result = tapeline("explain", "D420")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == page_path("D420").read_text(encoding="utf-8")
    assert "## Wrong" in result.stdout and "## Mended" in result.stdout


@pytest.mark.parametrize("written", ["d420", " D420", "D420 "])
def test_a_code_may_be_written_small(tapeline, written):
    assert tapeline("explain", written).stdout == tapeline("explain", "D420").stdout


def test_all_codes_are_listed_below_their_letters(tapeline):
    lines = tapeline("explain").stdout.splitlines()
    rows = [line.split(maxsplit=1) for line in lines if line.startswith("  ")]
    assert [code for code, _ in rows] == codes() and len(rows) > 90
    assert all(words == title(code) for code, words in rows)
    assert [line.split()[0] for line in lines if line and not line.startswith(" ")] == list(LETTERS) == sorted(LETTERS)
    letter = ""
    for line in lines:
        letter = line[0] if line[:1].strip() else letter
        assert not line.startswith("  ") or line[2] == letter


@pytest.mark.parametrize(
    "asked, way_out",
    [
        ("D42O", '"D420"'),  # a letter for the zero
        ("D998", 'Say "tapeline explain" to see every code.'),
        ("", 'Say "tapeline explain" to see every code.'),
        ("waist_to_hp", '"waist_to_hip"'),
        ("straight_pannel", '"straight_panel"'),
        ("gores.", 'Say "tapeline explain" to see every code.'),
        ("../stdlib/gores", 'Say "tapeline explain" to see every code.'),
        ("../D420", 'Say "tapeline explain" to see every code.'),
        ("\n\0 " + "x" * 5000, 'Say "tapeline explain" to see every code.'),
    ],
)
def test_an_unknown_code(tapeline, asked, way_out):
    result = tapeline("explain", asked)
    assert result.exit_code == 1 and result.stdout == ""
    assert result.stderr.startswith("error C105: ") and way_out in result.stderr
    assert max(map(len, result.stderr.splitlines())) < 130


def test_as_data(tapeline):
    one = json.loads(tapeline("explain", "t504", "--json").stdout)
    assert (one["command"], one["code"], one["exit"], one["diagnostics"]) == ("explain", "T504", 0, [])
    assert one["title"] == title("T504") and one["page"] == page_path("T504").read_text(encoding="utf-8")
    every = json.loads(tapeline("explain", "--json").stdout)
    assert [row["code"] for row in every["codes"]] == codes() and all(row["title"] for row in every["codes"])
    wrong = tapeline("explain", "X1", "--json")
    assert wrong.exit_code == 1 and [row["code"] for row in json.loads(wrong.stdout)["diagnostics"]] == ["C105"]


@pytest.mark.parametrize("name", measures())
def test_a_measure_is_told_with_how_it_is_taken(tapeline, name):
    one, lines = measures()[name], tapeline("explain", name).stdout.splitlines()
    heads = ["kind", "taken", "standard", "plausible", "sides", "steady"]
    assert lines[0] == f"{name}  {one.title}" and [line.split()[0] for line in lines[1:]] == heads
    assert one.kind in lines[1] and lines[2].endswith(f"  {one.taken}") and (one.standard or "none is known") in lines[3]
    data = json.loads(tapeline("explain", name, "--json").stdout)
    assert (data["command"], data["measure"], data["exit"], data["diagnostics"]) == ("explain", name, 0, [])
    assert (data["title"], data["kind"], data["taken"], data["standard"]) == (one.title, one.kind, one.taken, one.standard or None)


def test_the_bounds_of_a_measure_are_told_with_their_unit(tapeline):
    assert "  plausible  38 cm to 170 cm\n" in tapeline("explain", "waist").stdout
    assert "  plausible  5 deg to 42 deg\n" in tapeline("explain", "shoulder_slope").stdout
    assert json.loads(tapeline("explain", "waist", "--json").stdout)["plausible"] == [380.0, 1700.0]
    assert json.loads(tapeline("explain", "shoulder_slope", "--json").stdout)["plausible"] == [5.0, 42.0]


def test_the_sides_of_a_measure_are_told_and_how_steady_it_is(tapeline):
    waist = tapeline("explain", "waist").stdout
    assert "  sides      left and right are half of it each; seldom 3 cm apart\n  steady     within 5 cm a month\n" in waist
    assert "left and right have one each; seldom 8 deg apart\n" in tapeline("explain", "shoulder_slope").stdout
    assert "  sides      none" in tapeline("explain", "nape_to_waist").stdout
    data = json.loads(tapeline("explain", "waist", "--json").stdout)
    assert (data["sides"], data["unlike"], data["steady"], data["monthly"]) == ("halves", 30.0, 50.0, True)


def test_a_library_is_told_with_all_that_is_in_it(tapeline):
    text = tapeline("explain", "gores").stdout
    assert text.startswith("gores  Gores\n  A gore flared from any level")
    assert "\nrecipe gore  Gore, flared from a level\n" in text
    assert "\n    hip_down    length  from the level of the waist down to the hip\n" in text
    assert "\n  gives (hip_girth - waist_girth) * share / sides\n" in text
    assert "\n  uses gores, circles, waistbands, linings, pockets\n" in tapeline("explain", "skirt").stdout
    assert "\n  measures head, neck, " in tapeline("explain", "measurements").stdout
    assert max(map(len, text.splitlines())) <= 100
    data = json.loads(tapeline("explain", "gores", "--json").stdout)
    assert (data["library"], data["title"], data["exit"]) == ("gores", "Gores", 0)
    assert [one["name"] for one in data["entries"]] == ["seam_intake", "flare_rise", "hem_rise", "gore", "straight_gore"]


def test_one_thing_of_a_library(tapeline):
    text = tapeline("explain", "gores.gore").stdout
    assert text.startswith("recipe gore  Gore, flared from a level\n") and text == tapeline("explain", "gore").stdout
    assert text.strip() in tapeline("explain", "gores").stdout
    (one,) = json.loads(tapeline("explain", "gores.gore", "--json").stdout)["entries"]
    assert (one["library"], one["sort"], one["name"], one["gives"]) == ("gores", "recipe", "gore", None)
    assert one["parameters"][0] == {"name": "hip_width", "kind": "length", "text": "whole width at the hip"}


def test_a_library_in_this_folder(tapeline, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    text = 'language 1\nlibrary gores "Ours"\n-- Half of it.\nrule half (whole length "all of it") gives whole / 2\n'
    (tmp_path / "gores.style").write_text(text, encoding="utf-8")
    told = "rule half\n  Half of it.\n    whole  length  all of it\n  gives whole / 2\n"
    assert tapeline("explain", "gores").stdout == f"gores  Ours\n\n{told}"
    assert tapeline("explain", "gores.half").stdout == told
    assert tapeline("explain", "gore").stdout.startswith("recipe gore  ")  # alone, a name is one of the standard library
    assert "C105" in tapeline("explain", "half").stderr
    (tmp_path / "gores.style").write_text(text.replace("gives", "give"), encoding="utf-8")
    wrong = tapeline("explain", "gores")
    assert (wrong.exit_code, wrong.stdout) == (1, "") and wrong.stderr.startswith("error S106")
    (tmp_path / "gores.style").write_text('language 1\nstyle gores "A style"\n', encoding="utf-8")
    assert "C105" in tapeline("explain", "gores").stderr


def test_a_page_on_a_terminal_is_set_off():
    """There headings and examples are marked by the screen's own means, no longer by signs; the words are the same."""
    pty = pytest.importorskip("pty", reason="a terminal can be feigned only where the system has pseudo terminals")
    screen, end = pty.openpty()
    code = "from tapeline.desk.cli import main; main()"
    with subprocess.Popen(
        [sys.executable, "-c", code, "explain", "D420"], stdout=end, stderr=end, env={**os.environ, "TERM": "xterm", "COLUMNS": "80"}
    ) as running:
        os.close(end)
        shown = b""
        while True:
            try:
                part = os.read(screen, 4096)
            except OSError:  # Linux says so when the other end is closed
                break
            if not part:
                break
            shown += part
    os.close(screen)
    text = shown.decode()
    assert running.returncode == 0
    assert "\x1b[" in text and "```" not in text and "##" not in text
    assert "No room for the darts" in text and "darts 3 on waist" in text


def test_a_run_ends_with_the_way_to_the_first_error(folder, tapeline, changed):
    changed("measure waist, hip, waist_to_hip", "measure waist, hipp, waist_to_hip")
    changed("choose dropped   no ", "choose dropped   zero")
    lines = tapeline("check", "plain_skirt.style").stderr.splitlines()
    first = next(line for line in lines if line.startswith("error "))[6:10]
    assert lines[-1] == f"More about a code: tapeline explain {first}"
    assert sum("tapeline explain" in line for line in lines) == 1


def test_a_caution_points_to_its_page_and_a_good_run_to_none(folder, tapeline):
    draft = ("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out")
    assert tapeline(*draft).stderr == ""
    result = tapeline(*draft, "--set", "flare=16%")
    assert result.stderr.endswith("\nMore about a code: tapeline explain D461\n")
    assert "More about" not in tapeline(*draft, "--set", "flare=16%", "--json").output


def test_an_error_goes_before_a_caution(folder, tapeline):
    result = tapeline("draft", "plain_skirt.style", "--for", "ada.toml", "-o", "out", "--set", "flare=16%", "--set", "length=95 cm")
    assert "code D461" in result.stderr and "error D402" in result.stderr
    assert result.stderr.endswith("\nMore about a code: tapeline explain D402\n")
