"""What a program gives to the public door by mistake: a diagnostic with a way out where it is a body, a choice or a house, and
what comes with the program by its path."""

from pathlib import Path

import numpy as np
import pytest
from test_session import BELT

import tapeline

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
    [("/tmp/x.toml", "/tmp/x.toml"), ("maud", "styles/bodies/maud.toml"), ("nobody", "nobody"), ("\x00", "\x00")],
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
    assert len(skirt.draft_sizes(Path("styles/bodies")).bodies) == 2


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
    front, back = skirt.explain("side").splitlines()
    assert front.startswith("side: an edge of front.") and back.startswith("side: an edge of back.")
    assert READING.explain("upper").startswith("upper: an edge of belt.")
