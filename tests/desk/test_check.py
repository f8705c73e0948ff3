"""The command that checks: worked examples that come out or do not, broken styles, and what it must not load."""

import json
import subprocess
import sys

import pytest


def test_a_style_in_order(folder, tapeline):
    result = tapeline("check", "plain_skirt.style")
    assert result.exit_code == 0 and result.stderr == ""
    assert result.stdout == "plain_skirt.style: in order, 1 worked example comes out\n"


@pytest.mark.parametrize(
    "before, after, expected, found",
    [
        # 26.00 cm is met to half its last place, 0.005 cm: 26.01 is not.
        ("hip is 26.00 cm", "hip is 26.01 cm", "26.01 cm, to within 0.005 cm", "26 cm (-0.01 cm off)"),
        ("hem is 27.04 cm", "hem is 27.1 cm", "27.1 cm, to within 0.05 cm", "27.04 cm (-0.06 cm off)"),
        ("hem is 27.04 cm", "hem is 270.5 mm", "270.5 mm, to within 0.05 mm", "270.4 mm (-0.1 mm off)"),
        ("at 27.04 cm, 60 cm", "at 27.04 cm, 61 cm", "down 61 cm", "down 60 cm (-1 cm off)"),
        ("hip is 26.00 cm", "hip is 27 cm within 2 mm", "27 cm, to within 0.2 cm", "26 cm (-1 cm off)"),
    ],
)
def test_a_figure_that_does_not_come_out(folder, tapeline, before, after, expected, found, changed):
    changed(before, after)
    result = tapeline("check", "plain_skirt.style", "--json")
    [diagnostic] = json.loads(result.stdout)["diagnostics"]
    assert (result.exit_code, diagnostic["code"], diagnostic["body"]) == (1, "D470", "by hand")
    assert diagnostic["expected"].startswith(expected)
    assert diagnostic["found"] == found
    line = (folder / "plain_skirt.style").read_text().splitlines()[diagnostic["place"]["line"] - 1]
    assert after in line


@pytest.mark.parametrize(
    "before, after",
    [
        ("hem is 27.04 cm", "hem is 27.0 cm"),  # 0.04 from a figure of one decimal
        ("hip is 26.00 cm", "hip is 26.3 cm within 0.5 cm"),
        ("hem is 108.16 cm", "hem is 42.58 in"),  # 42.583
        ("waist 72 cm, hip 100 cm", "hip 100 cm, waist hip - 28 cm"),
    ],
)
def test_figures_near_enough(folder, tapeline, before, after, changed):
    changed(before, after)
    result = tapeline("check", "plain_skirt.style")
    assert result.exit_code == 0, result.stderr


def test_choices_given_lead_to_the_course_of_the_example(folder, tapeline, changed):
    changed("length 60 cm\n", "length 60 cm, dropped yes\n")
    changed("expect girth at hem is 108.16 cm", "expect point back.top_centre at 0 cm, 1 cm")
    assert tapeline("check", "plain_skirt.style").exit_code == 0
    changed("dropped yes", "dropped no")
    assert "down 1 cm" in tapeline("check", "plain_skirt.style").stderr


def test_an_example_without_a_measure(folder, tapeline, changed):
    changed("given waist 72 cm, hip 100 cm,", "given hip 100 cm,")
    result = tapeline("check", "plain_skirt.style")
    assert result.exit_code == 1 and "error D471: The example does not give waist" in result.stderr


def test_a_figure_that_rests_on_one_not_yet_given(folder, tapeline, changed):
    changed("given waist 72 cm, hip 100 cm", "given waist hip - 28 cm, hip 100 cm")
    result = tapeline("check", "plain_skirt.style")
    assert result.exit_code == 1 and "D471" in result.stderr and "used before it is given" in result.stderr


def test_an_example_that_cannot_be_drafted(folder, tapeline, changed):
    changed("length 60 cm\n", "length 10 cm\n")
    result = tapeline("check", "plain_skirt.style")
    assert result.exit_code == 1 and "error D402" in result.stderr and "by hand" in result.stderr


def test_every_mistake_of_a_broken_style_is_told(folder, tapeline, changed):
    changed("(hip + 4 cm) / 4\n", "(hipp + 4) / 4\n")
    result = tapeline("check", "plain_skirt.style")
    assert result.exit_code == 1
    assert 'Did you mean "hip"?' in result.stderr and "Traceback" not in result.output


@pytest.mark.parametrize(
    "text",
    [
        "",
        "\n\n",
        "language 1\n",
        "language 1\nlibrary x\n",
        "style",
        "\0",
        "é" * 50,
        'language 9\nstyle a "A" version 1.0\n',
        'language 1\nstyle a "A"\npiece p\n',
    ],
)
def test_odd_texts_are_answered_in_words(folder, tapeline, text):
    (folder / "odd.style").write_text(text)
    result = tapeline("check", "odd.style")
    assert result.exit_code == 1 and "error" in result.stderr


def test_a_block_whose_every_line_is_wrong(folder, tapeline):
    (folder / "odd.style").write_text('language 1\nstyle a "A" version 1.0\npiece p\n    cut cut\n    cut 1 1\n')
    result = tapeline("check", "odd.style")
    assert result.exit_code == 1 and "odd.style:4:" in result.stderr and "odd.style:5:" in result.stderr


def test_help_tells_the_exit_codes(tapeline):
    for command in (("--help",), ("check", "--help"), ("draft", "--help")):
        told = tapeline(*command).stdout
        assert all(f"  {code} " in told for code in (0, 1, 2, 3, 70))


def test_checking_loads_no_heavy_library(folder):
    text = (folder / "plain_skirt.style").read_text()
    (folder / "bare.style").write_text(text[: text.index("-- Worked by hand")])
    program = """
import sys
from tapeline.desk.cli import program
try:
    program.main(["check", "bare.style"])
except SystemExit as left:
    assert left.code == 0, left.code
print(*sorted(name for name in sys.modules if name in {"numpy", "shapely", "svgwrite", "rich"}))
"""
    done = subprocess.run([sys.executable, "-c", program], cwd=folder, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == ["bare.style: in order", ""]
