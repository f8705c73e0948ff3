"""`tapeline why`: the rules behind a place, in words and as data, and what is said where there is no such place."""

from __future__ import annotations

import json

import pytest

from tapeline.source.world import standard_folder

FITTINGS = """language 1
fittings ada "Ada Quay"

fitting 2026-01-05 of plain_skirt
    "she likes it loose"
    choose length 64 cm
    take in front.side and back.side 4 mm at waist, to nothing at hip
"""


def line(folder: str, name: str, begins: str) -> int:
    """The line of a shipped text that begins so."""
    lines = (standard_folder(folder) / f"{name}.style").read_text(encoding="utf-8").splitlines()
    (number,) = [k for k, words in enumerate(lines, 1) if " ".join(words.split()).startswith(begins)]
    return number


def test_a_quantity_is_told_with_its_sum_its_rules_and_what_moves_it(tapeline):
    result = tapeline("why", "corselet_skirt", "--for", "nell", "hip_quarter")
    assert result.exit_code == 0
    style, library = line("styles", "corselet_skirt", "hip_quarter ="), line("stdlib", "skirt", "gives (girth + ease)")
    assert result.stdout == (
        "hip_quarter = (38 1/2 + 1 15/16) / 4 = 10 1/8 in\n"
        f"    hip_quarter = quarter_of_girth of (hip, hip * 5 %, 0 cm)  [corselet_skirt.style:{style}]\n"
        f"    quarter_of_girth gives (girth + ease) / 4 + forward  [skirt.style:{library}]\n"
        "  hip = 38 1/2 in, nell.toml\n"
        "  ease = 38 1/2 x 5 % = 1 15/16 in\n"
        f"      hip_quarter = quarter_of_girth of (hip, hip * 5 %, 0 cm)  [corselet_skirt.style:{style}]\n"
        "    hip: see above\n"
        "\n"
        "What moves it:\n"
        "  hip, 38 1/2 in  1 in more: +1/4 in\n"
    )


def test_a_point_is_told_by_its_rule_with_figures(tapeline):
    lines = tapeline("why", "straight_skirt", "--for", "nell", "front.hip_side").stdout.splitlines()
    assert lines[0] == "front.hip_side: 10 1/8 in across, 8 in down"
    assert "hip hip_width (10 1/8 in)" in lines[1] and "[skirt.style:" in lines[1]
    assert "  waist_to_hip, 8 in  1 in more: down +1 in" in lines


@pytest.mark.parametrize(
    ("place", "begins"),
    [
        (("girth", "at", "hip"), "girth at hip = 2 x 25.72 + 2 x 25.72 = 102.87 cm, as sewn"),
        (("allowance of front.side",), "allowance of front.side = 1.5 cm"),
        (("dart of front.waist",), "front.dart = 2.89 cm taken out"),
        (("front",), "front, 4 edges"),
        (("front.fold",), ""),
        (("level", "hip"), "level hip = 20.32 cm, below waist"),
        (("width of front at hip",), "width of front at hip = 25.72 cm"),
        (("hip",), "hip = 97.79 cm, nell.toml"),
    ],
)
def test_every_sort_of_place_has_an_answer(tapeline, place, begins):
    result = tapeline("why", "straight_skirt", "--for", "nell", "--unit", "cm", "--set", "hip_ease=5.08 cm", *place)
    assert result.exit_code == (0 if begins else 1)
    assert result.stdout.startswith(begins)
    assert begins or "E110" in result.stderr


def test_a_choice_that_is_set_is_told_as_chosen(tapeline):
    told = tapeline("why", "straight_skirt", "--for", "nell", "--set", "hip_ease=2 1/2 in", "hip_quarter").stdout
    assert "hip_ease = 2 1/2 in, chosen" in told and told.startswith("hip_quarter = (38 1/2 + 2 1/2) / 4 = 10 1/4 in")


def test_a_deeper_tree_is_told_when_it_is_asked_for(tapeline):
    shallow, deep = (
        tapeline("why", "straight_skirt", "--for", "nell", "front.waist", "--depth", depth).stdout.splitlines() for depth in ("0", "9")
    )
    assert any("more rules lie below these: --depth" in line for line in shallow)
    assert len(deep) > len(shallow) and not any("more rules lie below" in line for line in deep)
    named = [line.strip().split(" = ")[0].split(": ")[0] for line in deep if line.strip() and not line.endswith("see above")]
    assert named.count("hip_quarter") == 2  # its own line, and its words once below it


def test_the_whole_tree_is_data(tapeline):
    data = json.loads(tapeline("why", "straight_skirt", "--for", "nell", "front.hip_side", "--json").stdout)
    assert (data["command"], data["exit"], data["place"]) == ("why", 0, "front.hip_side")
    rules = data["rules"]
    assert rules[0]["name"] == "front.hip_side" and rules[0]["values"] == pytest.approx([257.175, 203.2])
    quarter = next(rule for rule in rules if rule["name"] == "hip_quarter")
    assert quarter["sums"][0]["formula"] == "(((977.9 + 50.8) / 4.0) + 0.0)"
    lines = line("styles", "straight_skirt", "hip_quarter ="), line("stdlib", "skirt", "gives (girth + ease)")
    assert (quarter["at"]["line"], quarter["by"]["at"]["line"]) == lines
    assert {row["name"]: row["by"] for row in data["moves"]}["hip"] == pytest.approx({"across": 0.25, "down": 0.0})
    assert {rules[one]["sort"] for rule in rules for one in rule["rests"] if not rules[one]["rests"]} <= {
        "measure",
        "choice",
        "stated",
        "quantity",
        "level",
        "point",
    }


def test_the_rule_at_a_line_is_told_for_each_use(tapeline):
    number = line("stdlib", "skirt", "gives (girth + ease)")
    one = tapeline("why", "straight_skirt", "--for", "nell", f"skirt.style:{number}").stdout
    assert one.startswith(f"skirt.style:{number} = (38 1/2 + 2) / 4 = 10 1/8 in")
    number = line("styles", "straight_skirt", "measure waist")
    several = tapeline("why", "straight_skirt", "--for", "nell", f"straight_skirt.style:{number}").stdout
    assert "  hip = 38 1/2 in, nell.toml\n" in several and "  waist = 28 1/2 in, nell.toml\n" in several
    assert tapeline("why", "straight_skirt", "--for", "nell", "straight_skirt.style:1").exit_code == 1


def test_a_fitting_is_a_rule_like_another(folder, tapeline):
    (folder / "ada.fittings").write_text(FITTINGS)
    asked = ("why", "plain_skirt.style", "--for", "ada.toml", "--date", "2026-03-01")
    with_it, without = (tapeline(*asked, *more, "front.side") for more in ((), ("--without-fittings",)))
    assert (with_it.exit_code, without.exit_code) == (0, 0), with_it.stderr
    assert "ada.fittings:" in with_it.stdout and "ada.fittings" not in without.stdout
