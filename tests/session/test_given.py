"""What a program gives to the public door by mistake: a diagnostic with a way out where it is a body, a choice or a house, and
what comes with the program by its path."""

from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from test_session import BELT

import tapeline
from tapeline.desk.cli import program

SESSION = tapeline.Session()
READING = SESSION.read(BELT)
MAUD = {"Maud": {"waist": "70 cm"}}


def told(drafts):
    return [(one.code, one.suggestion) for one in drafts.diagnostics if one.severity == "error"]


@pytest.mark.parametrize("figure", [None, True, b"70", [70], float("nan"), "wide"])
def test_a_measure_that_is_no_figure_cannot_be_read(figure):
    drafts = READING.draft({"Maud": {"waist": figure}, "Nell": {"waist": np.float32(700)}})
    assert [code for code, _ in told(drafts)] == ["B106"] and [one.name for one in drafts] == ["Nell"]


@pytest.mark.parametrize("body", [None, 70, b"x", [70]])
def test_a_body_that_is_none(body):
    drafts = READING.draft({"Maud": body, **{"Nell": {"waist": "70 cm"}}})
    assert told(drafts) == [("B101", 'Give for example {"waist": "72 cm"}.')] and len(drafts) == 1


@pytest.mark.parametrize("bodies", [None, 5, '[measures]\nwaist = "70 cm"\n', Path("maud.toml")])
def test_bodies_that_are_no_list(bodies):
    assert told(READING.draft(bodies)) == [("B101", "Put the bodies into a list, or into a mapping from names to bodies.")]


def test_measures_without_the_name_of_a_body():
    drafts = READING.draft({"waist": "70 cm", "hip": "98 cm"})
    assert told(drafts) == [("B101", 'Give the measures to a body by its name: {"body": {"waist": "70 cm", ...}}.')]


@pytest.mark.parametrize(
    "words, path",
    [("/nowhere/x.toml", "/nowhere/x.toml"), ("maud", "styles/bodies/maud.toml"), ("nobody", "nobody"), ("\x00", "\x00")],
)
def test_a_body_by_a_path_that_is_a_text(words, path):
    way_out = f'Give a path as a pathlib.Path: Path("{path}").' if path.isprintable() else ""
    assert [code for code, _ in told(READING.draft([words]))] == ["F001"] and way_out in told(READING.draft([words]))[0][1]


def test_a_house_a_table_and_a_style_by_a_name():
    assert told(READING.draft(MAUD, house="quay_row")) == [
        ("F001", 'Give a path as a pathlib.Path: Path("styles/houses/quay_row.toml").')
    ]
    assert told(READING.draft(MAUD, house=5))[0][0] == "B101"
    assert told(READING.draft_sizes("quay_row")) == [("F001", 'Give a path as a pathlib.Path: Path("stdlib/sizes/quay_row.csv").')]
    assert told(READING.draft_sizes(None))[0][0] == "B121"
    for words, path in (("straight_skirt", "styles/straight_skirt.style"), ("my.style", "my.style")):
        assert told(SESSION.read(words)) == [("F001", f'Give a path as a pathlib.Path: Path("{path}").')]


@pytest.mark.parametrize("choices, code", [({"lap": None}, "C103"), ({"lap": [1]}, "C103"), (5, "C101"), ([5], "C101")])
def test_choices_that_are_none(choices, code):
    assert [one for one, _ in told(READING.draft(MAUD, choices))] == [code]


def test_choices_in_one_text_or_none():
    assert READING.draft(MAUD, "lap=6 cm").bodies[0].pattern.values["lap"][0] == 60.0
    assert READING.draft(MAUD, None).bodies[0].pattern.values["lap"][0] == 50.0


@pytest.mark.parametrize("style", [5, b"", None])
def test_what_no_text_can_be_read_from_is_the_programmers_mistake(style):
    with pytest.raises(TypeError, match=f"not from {type(style).__name__}"):
        SESSION.read(style)


def test_an_array_that_is_missing_is_named():
    with pytest.raises(ValueError, match="the style needs an array of waist"):
        READING.draft_arrays({"hip": np.array([980.0])})


def test_papers_are_named_in_a_list_or_in_one_text():
    (one,) = READING.draft(MAUD)
    assert one.papers("svg,dxf").keys() == one.papers(["svg", "dxf"]).keys()
    with pytest.raises(tapeline.UnknownKind, match="^'page' is now called 'proof'.$"):
        one.papers(["page"])


# ------------------------------------------------------------------------------------------------ what comes with the program


def test_what_comes_with_the_program_has_the_same_paths_in_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    skirt = SESSION.read(Path("styles/straight_skirt.style"))
    assert skirt.ok and skirt.source.name == "styles/straight_skirt.style"
    maud = Path("styles/bodies/maud.toml")
    (one,) = skirt.draft([maud], house=Path("styles/houses/quay_row.toml"))
    assert one.name == "Maud Ferrow" and one.house.name == "Quay Row"
    sizes = skirt.draft_sizes(Path("stdlib/sizes/quay_row.csv"), only=("28",), lender=maud)
    assert sizes.ok and len(sizes.bodies) == 1
    even = ("Maud Ferrow", "Nell Quay")  # a third card is of a client whose sides differ, and no size
    assert len(skirt.draft_sizes(Path("styles/bodies"), only=even).bodies) == 2


def test_a_file_in_the_folder_goes_before_one_of_the_programs(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "styles" / "bodies").mkdir(parents=True)
    (tmp_path / "styles" / "bodies" / "maud.toml").write_text('name = "Ours"\n[measures]\nwaist = "70 cm"\n')
    drafts = READING.draft([Path("styles/bodies/maud.toml"), Path("styles/bodies/nell.toml"), Path("styles/../../nell.toml")])
    assert [one.name for one in drafts] == ["Ours", "Nell Quay"] and told(drafts)[0][0] == "F001"


# ------------------------------------------------------------------------------------------------ looked at by a person


def test_the_package_shows_its_names():
    assert set(tapeline.__all__) <= set(dir(tapeline))


def test_what_is_printed_is_short():
    drafts = READING.draft(MAUD)
    sizes = READING.draft_sizes("size, waist [cm]\n8, 70\n")
    assert repr(READING) == "Reading('text.style', ok=True, diagnostics=0)"
    assert repr(drafts) == "Drafts(['Maud'], diagnostics=0)" and repr(sizes) == "SizeDrafts(['size 8'], diagnostics=0)"
    assert repr(drafts["Maud"]) == "BodyDraft('Maud', style='belt', diagnostics=0)"
    assert repr(READING.tree) == "Start(5 statements)" and repr(READING.tree.statements[0]) == "Measure('measure waist')"
    assert all(len(repr(node)) < 80 for node in READING.tree.walk())


def test_a_name_that_pieces_have_is_told_of_each():
    skirt = SESSION.read(Path("styles/straight_skirt.style"))
    lines = skirt.explain("side").splitlines()
    pieces = [line.removeprefix("side: an edge of ").split(".")[0] for line in lines]
    assert all(line.startswith("side: an edge of ") for line in lines)
    # Its linings too, and the back before its vent.
    linings = ["front_lining", "lining_shell", "over_lining", "under_lining"]
    assert sorted(pieces) == ["back", "back_lining", "back_shell", "front", *linings]
    assert READING.explain("upper").startswith("upper: an edge of belt.")


@pytest.mark.parametrize("unit", ["furlong", "CM", "ft", "yd", "m", "deg", "", 5])
def test_a_unit_in_which_no_lengths_are_shown(unit):
    table = "size, waist [cm]\n8, 70\n10, 74\n"
    for drafts in (READING.draft(MAUD, unit=unit), READING.draft_sizes(table, unit=unit)):
        (said,) = drafts.diagnostics
        assert (said.code, said.expected, said.suggestion) == ("H102", "one of: mm, cm, in", 'Give for example unit="cm".')
        assert not drafts.bodies and tapeline.render(said)


@pytest.mark.parametrize("unit", ["mm", "cm", "in"])
def test_a_unit_in_which_lengths_are_shown(unit):
    (one,) = READING.draft(MAUD, unit=unit)
    assert one.unit == unit and one.papers(["svg", "list"])


def test_papers_of_a_body_do_not_rest_on_the_unit_of_another():
    bodies = {"Ada": {"waist": "70 cm"}, "Nell": {"waist": "28 in"}}
    both, turned = READING.draft(bodies), READING.draft(dict(reversed(bodies.items())))
    assert [(one.name, one.unit) for one in both] == [("Ada", "cm"), ("Nell", "in")]
    assert [one.name for one in turned] == ["Nell", "Ada"]
    for name, body in bodies.items():
        alone = READING.draft({name: body})[name].papers(["svg", "list", "hand"])
        assert both[name].papers(["svg", "list", "hand"]) == turned[name].papers(["svg", "list", "hand"]) == alone
    assert {one.unit for one in READING.draft(bodies, unit="mm")} == {"mm"}
    assert {one.unit for one in READING.draft(bodies, house='unit = "cm"\n')} == {"cm"}


def test_two_bodies_of_one_name():
    cards = [
        tapeline.Source(f"{file}.toml", f'name = "Maud"\n[measures]\nwaist = "{waist} cm"\n') for file, waist in (("a", 70), ("b", 80))
    ]
    drafts = READING.draft([*cards, {"waist": "75 cm"}])
    (said,) = drafts.diagnostics
    assert (said.code, said.title, said.found) == ("B133", "Two bodies are called Maud", "a.toml") and said.span.source.name == "b.toml"
    assert [one.name for one in drafts] == ["Maud", "body 3"] and drafts["Maud"].card.values == {"waist": 700.0}


def test_arguments_are_named_as_python_names_them():
    table = "size, waist [cm]\n8, 70\n10, 74\n"
    assert READING.draft_sizes(table, only="10").sizes.names == ("10",)
    wrong = {
        "only": READING.draft_sizes(table, only="12"),
        "base": READING.draft_sizes(table, base="12"),
        "choices": READING.draft(MAUD, choices={"lop": 5.0}),
    }
    for name, drafts in wrong.items():
        (said,) = drafts.diagnostics
        assert said.span.source.name == name and "--" not in tapeline.render(said)


@pytest.mark.parametrize("option, value, code", [("--only", "12", "B132"), ("--base", "12", "B132"), ("--set", "lop=5 cm", "C101")])
def test_a_command_names_the_option_that_an_argument_came_by(option, value, code, tmp_path):
    (tmp_path / "belt.style").write_text(BELT)
    (tmp_path / "sizes.csv").write_text("size, waist [cm]\n8, 70\n10, 74\n")
    arguments = [
        "draft",
        str(tmp_path / "belt.style"),
        "--sizes",
        str(tmp_path / "sizes.csv"),
        option,
        value,
        "-o",
        str(tmp_path / "out"),
    ]
    result = CliRunner().invoke(program, arguments)
    assert result.exit_code == 1 and f"error {code}: " in result.stderr and f"  at {option} {value}\n" in result.stderr
