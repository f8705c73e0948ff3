"""`tapeline draft --sizes`: what is written for each size and for all, what is said, and that a fault in one size stops all."""

import json
import re

import pytest

from tapeline.making.size_papers import file_parts
from tapeline.source.diagnostics import Diagnostic, together

TABLE = """# Sizes of the tests, invented.
size, waist [cm], hip [cm], waist_to_hip [cm]
10, 68, 94, 20
12, 72, 98, 20.2
14, 76, 102, 20.4
"""
OF_ALL = {"plain_skirt-nest.svg", "plain_skirt-grading.txt", "plain_skirt-grading.csv", "plain_skirt-slopes.csv", "plain_skirt.rul"}
DRAFT = ("draft", "plain_skirt.style", "--sizes", "sizes.csv", "-o", "out")


@pytest.fixture
def sized(folder):
    (folder / "sizes.csv").write_text(TABLE)
    return folder


def names(folder, where="out"):
    return {path.name for path in (folder / where).iterdir()}


def test_each_size_has_its_papers_and_the_run_its_own(sized, tapeline):
    result = tapeline(*DRAFT)
    assert result.exit_code == 0, result.stderr
    each = {f"{stem}-{size}.{ending}" for size in (10, 12, 14) for stem, ending in (("plain_skirt", "svg"), ("pattern", "json"))}
    assert names(sized) == each | OF_ALL | {"plain_skirt-12.dxf"}  # the numbers of the rules stand in the base's file
    assert all(f"written: out/{name}" in result.stdout for name in names(sized))
    assert re.search(r"^hip +94 +98 +102$", result.stdout, re.MULTILINE)


def test_a_size_is_drafted_as_a_body_of_its_measures_is(sized, tapeline):
    (sized / "twelve.toml").write_text('[measures]\nwaist = "72 cm"\nhip = "98 cm"\nwaist_to_hip = "20.2 cm"\n')
    assert tapeline(*DRAFT).exit_code == 0
    assert tapeline("draft", "plain_skirt.style", "--for", "twelve.toml", "-o", "alone").exit_code == 0
    one, other = (json.loads((sized / path).read_text()) for path in ("out/pattern-12.json", "alone/pattern.json"))
    assert one["pieces"] == other["pieces"] and one["ledgers"] == other["ledgers"]
    assert one["body"] == "size 12"


def test_every_paper_of_a_size_names_it(sized, tapeline):
    assert tapeline(*DRAFT, "--papers", "svg,dxf,list").exit_code == 0
    for size in ("10", "12", "14"):
        assert f"drafted for size {size}" in (sized / f"out/plain_skirt-{size}.svg").read_text()
        assert f"Size {size} of sizes." in (sized / f"out/plain_skirt-{size}.svg").read_text()
        assert f"\r\nSize: {size}\r\n" in (sized / f"out/plain_skirt-{size}.dxf").read_bytes().decode()
        rules = "plain_skirt" if size == "12" else "NONE"
        assert f"Grade Rule Table: {rules}\r\n" in (sized / f"out/plain_skirt-{size}.dxf").read_bytes().decode()
        assert f"size {size}" in (sized / f"out/plain_skirt-{size}-cutting-list.txt").read_text()


def test_a_house_has_the_sizes_in_its_own_language(sized, tapeline):
    assert tapeline(*DRAFT, "--house", "sailmakers_loft", "--only", "10,12").exit_code == 0
    nest = (sized / "out/plain_skirt-nest.svg").read_text()
    assert "gezeichnet f\u00fcr Gr\u00f6\u00dfen 10, 12" in nest and "10, Grundgr\u00f6\u00dfe" in nest
    assert "alle Gr\u00f6\u00dfen treffen sich bei: centre at hip" in nest
    assert "gezeichnet f\u00fcr Gr\u00f6\u00dfe 12" in (sized / "out/plain_skirt-12.svg").read_text()


def test_a_second_run_replaces_the_first_and_strangers_are_left_alone(sized, tapeline):
    assert tapeline(*DRAFT).exit_code == 0
    before = {name: (sized / "out" / name).read_bytes() for name in names(sized)}
    assert tapeline(*DRAFT).exit_code == 0
    assert {name: (sized / "out" / name).read_bytes() for name in names(sized)} == before
    (sized / "out/plain_skirt.rul").write_text("the rules of another\n")
    result = tapeline(*DRAFT)
    assert result.exit_code == 3 and "F005" in result.stderr and "plain_skirt.rul" in result.stderr


def test_a_fault_at_one_size_stops_all_and_is_told_with_the_size(sized, tapeline):
    text = (sized / "plain_skirt.style").read_text()
    (sized / "plain_skirt.style").write_text(text + '\nrequire waist at least 70 cm\n    "Not made smaller"\n')
    result = tapeline(*DRAFT)
    assert result.exit_code == 1 and not (sized / "out").exists()
    assert "error D460: Not made smaller  (for size 10)" in result.stderr and "size 12" not in result.stderr
    assert tapeline(*DRAFT, "--only", "14,12").exit_code == 0
    assert "pattern-12.json" in names(sized) and "pattern-10.json" not in names(sized)


def test_some_sizes_alone(sized, tapeline):
    assert tapeline(*DRAFT, "--only", "14, 10").exit_code == 0
    rules = (sized / "out/plain_skirt.rul").read_text()
    assert "SIZE LIST: 10 14" in rules and "SAMPLE SIZE: 10" in rules
    result = tapeline(*DRAFT, "--only", "13", "-o", "none")
    assert result.exit_code == 1 and "B132" in result.stderr and "10, 12, 14" in result.stderr


def test_one_size_alone_has_nothing_to_grade(sized, tapeline):
    assert tapeline(*DRAFT, "--only", "12").exit_code == 0
    assert names(sized) == {"plain_skirt-12.svg", "pattern-12.json"}


def test_the_base_may_be_chosen(sized, tapeline):
    assert tapeline(*DRAFT, "--base", "14").exit_code == 0
    assert "SAMPLE SIZE: 14" in (sized / "out/plain_skirt.rul").read_text() and "plain_skirt-14.dxf" in names(sized)
    assert "base size 14" in (sized / "out/plain_skirt-grading.txt").read_text()
    assert "B132" in tapeline(*DRAFT, "--base", "16").stderr


def test_an_old_option_is_told_its_new_name(sized, tapeline):
    for option in (("--stack", "hip"), ("--stack=hip",)):
        result = tapeline(*DRAFT, *option)
        assert result.exit_code == 2 and '"--stack" is now called "--together-at".' in result.stderr and not (sized / "out").exists()
    assert "No such option" in tapeline(*DRAFT, "--stak", "hip").stderr


def test_the_stack_may_be_chosen(sized, tapeline):
    def steps():
        text = (sized / "out/plain_skirt-grading.txt").read_text()
        return text.partition("Front (front), all sizes meet at: ")[2].partition("\n")[0]

    assert tapeline(*DRAFT).exit_code == 0
    assert steps() == "centre at hip"
    assert tapeline(*DRAFT, "--together-at", "front.hem_side", "--together-at", "back.waist").exit_code == 0
    assert steps() == "front.hem side"
    result = tapeline(*DRAFT, "--together-at", "front.hem_sid", "-o", "none")
    assert result.exit_code == 1 and "C106" in result.stderr and "hem_side" in result.stderr and not (sized / "none").exists()


def test_what_a_card_lends_is_said_on_every_paper(sized, tapeline):
    (sized / "sizes.csv").write_text("size, waist [cm], hip [cm]\n10, 68, 94\n12, 72, 98\n")
    result = tapeline(*DRAFT)
    assert result.exit_code == 1 and result.stderr.count("B113") == 2 and "--with" in result.stderr  # once, and where more is told
    result = tapeline(*DRAFT, "--with", "ada.toml", "--papers", "svg,list,hand,proof")
    assert result.exit_code == 0 and "code B131" in result.stderr
    said = "waist_to_hip is of Ada Quay, for every size alike."
    for size in ("10", "12"):
        for name in (
            f"plain_skirt-{size}.svg",
            f"plain_skirt-{size}-cutting-list.html",
            f"plain_skirt-{size}-by-hand.html",
            f"plain_skirt-{size}-proof.html",
        ):
            assert said in " ".join(re.sub(r"<[^>]*>", " ", (sized / "out" / name).read_text()).split()), name
        assert "B131" in {note["code"] for note in json.loads((sized / f"out/pattern-{size}.json").read_text())["notes"]}
        assert said in " ".join((sized / f"out/plain_skirt-{size}-cutting-list.txt").read_text().split())
    assert said in (sized / "out/plain_skirt-10.dxf").read_text()
    for name in OF_ALL - {"plain_skirt.rul", "plain_skirt-nest.svg"}:
        assert "Ada Quay" in (sized / "out" / name).read_text()
    assert "Ada Quay" in re.sub(r"<[^>]*>", " ", (sized / "out/plain_skirt-nest.svg").read_text())


def test_what_was_interpolated_is_marked(sized, tapeline):
    (sized / "sizes.csv").write_text(TABLE.replace("12, 72, 98, 20.2", "12, 72, , 20.2"))
    result = tapeline(*DRAFT)
    assert result.exit_code == 0 and "code B129" in result.stderr and "(for size 12)" in result.stderr
    said = "hip of size 12 is interpolated between sizes 10 and 14."
    assert said in re.sub(r"<[^>]*>", " ", (sized / "out/plain_skirt-12.svg").read_text()).replace("\n", " ").replace("  ", " ")
    assert said not in (sized / "out/plain_skirt-10.svg").read_text()
    records = (json.loads((sized / f"out/pattern-{size}.json").read_text()) for size in (10, 12))
    ten, twelve = ({note["code"] for note in record["notes"]} for record in records)
    assert "B129" in twelve and "B129" not in ten
    assert re.search(r"^hip +94 +98\* +102$", (sized / "out/plain_skirt-grading.txt").read_text(), re.MULTILINE)
    assert f"# {said}" in (sized / "out/plain_skirt-grading.csv").read_text()


def test_a_gap_at_the_end_is_an_error_that_leaving_out_mends(sized, tapeline):
    (sized / "sizes.csv").write_text(TABLE.replace("14, 76, 102,", "14, 76, ,"))
    result = tapeline(*DRAFT)
    assert result.exit_code == 1 and "error B130" in result.stderr and "(for size 14)" in result.stderr
    assert tapeline(*DRAFT, "--only", "10,12").exit_code == 0


def test_a_folder_of_cards(sized, tapeline):
    (sized / "clients").mkdir()
    for name, waist in (("Cleo Quay", 80), ("Ada Quay", 66), ("Bea", 72)):
        text = f'name = "{name}"\n[measures]\nwaist = "{waist} cm"\nhip = "{waist + 28} cm"\nwaist_to_hip = "20 cm"\n'
        (sized / "clients" / f"{name[:3]}.toml").write_text(text)
    result = tapeline("draft", "plain_skirt.style", "--sizes", "clients", "-o", "out")
    assert result.exit_code == 0, result.stderr
    assert {"plain_skirt-Ada-Quay.svg", "plain_skirt-Bea.svg", "plain_skirt-Cleo-Quay.svg", "plain_skirt-Bea.dxf"} < names(sized)
    assert "SIZE LIST: Ada_Quay Bea Cleo_Quay" in (sized / "out/plain_skirt.rul").read_text()
    (sized / "empty").mkdir()
    assert tapeline("draft", "plain_skirt.style", "--sizes", "./empty", "-o", "out").exit_code == 3


def test_a_table_of_the_program_by_its_bare_name(folder, tapeline):
    (folder / "quay_row").mkdir()  # a folder to write into may have the name of the table
    result = tapeline("draft", "plain_skirt.style", "--sizes", "quay_row", "--only", "24,26", "-o", "quay_row")
    assert result.exit_code == 0 and "plain_skirt-24.svg" in names(folder, "quay_row")
    result = tapeline("draft", "plain_skirt.style", "--sizes", "quay_rwo", "-o", "out")
    assert result.exit_code == 3 and 'Did you mean "quay_row"?' in result.stderr
    result = tapeline("draft", "plain_skirt.style", "--sizes", "uk_dressmaker", "-o", "out")  # which once came with the program
    assert result.exit_code == 3 and "one of: ansur2_by_bust, ansur2_by_hip, en_13402_3_bust_classes" in result.stderr


def test_a_measure_hard_to_believe_is_used_when_accepted(sized, tapeline):
    (sized / "sizes.csv").write_text(TABLE.replace("20.4", "33"))
    assert "error B108" in tapeline(*DRAFT).stderr and not (sized / "out").exists()
    result = tapeline(*DRAFT, "--accept")
    assert result.exit_code == 0 and "code B108" in result.stderr


def test_json_names_the_files_and_what_was_said(sized, tapeline):
    data = json.loads(tapeline(*DRAFT, "--json").stdout)
    assert data["exit"] == 0 and data["sizes"] == "sizes.csv" and {name.removeprefix("out/") for name in data["files"]} == names(sized)


@pytest.mark.parametrize(
    "arguments, word",
    [
        (("--sizes", "sizes.csv", "--for", "ada.toml"), "either --for BODY or --sizes TABLE"),
        ((), "either --for BODY or --sizes TABLE"),
        (("--for", "ada.toml", "--only", "10"), "--only belongs to --sizes"),
        (("--for", "ada.toml", "--with", "ada.toml"), "--with belongs"),
        (("--for", "ada.toml", "--together-at", "hip"), "--together-at belongs"),
        (("--for", "ada.toml", "--base", "12"), "--base belongs"),
    ],
)
def test_options_that_do_not_go_together(sized, tapeline, arguments, word):
    result = tapeline("draft", "plain_skirt.style", *arguments, "-o", "out")
    assert result.exit_code == 2 and word in result.stderr and not (sized / "out").exists()


def test_parts_of_file_names_are_plain_and_never_alike():
    assert file_parts(["12", "M 160/84A", "../x", "a", "A", "..", "a"]) == ["12", "M-160-84A", "x", "a", "A-2", "size", "a-3"]


def test_papers_that_an_earlier_run_left_are_named(sized, tapeline):
    tapeline(*DRAFT)
    (sized / "out" / "plain_skirt-notes.txt").write_text("a stranger's")
    result = tapeline(*DRAFT, "--only", "10,12")
    left = {line.rpartition("/")[2] for line in result.output.splitlines() if line.startswith("left of an earlier run")}
    assert left == {"plain_skirt-14.svg", "pattern-14.json", "plain_skirt-12.dxf"}  # the base of two sizes is the first


def test_a_caution_of_several_sizes_is_told_once(sized, tapeline):
    told = tapeline(*DRAFT, "--set", "flare=17%")
    assert told.exit_code == 0 and told.stderr.count("The hem will flute  (for size 10, size 12, size 14)") == 1
    of_each = json.loads(tapeline(*DRAFT, "--set", "flare=17%", "--json").stdout)["diagnostics"]
    assert len([one for one in of_each if one["title"] == "The hem will flute"]) == 3


def test_figures_that_differ_are_told_for_each_and_errors_apart():
    caution = [Diagnostic("D461", "Narrow", found=f"{k} cm", severity="caution", body=f"size {k}") for k in (1, 2)]
    error = [Diagnostic("D460", "Too narrow", found="1 cm", body=f"size {k}") for k in (1, 2)]
    told = together([*caution, *error])
    assert [one.body for one in told] == ["size 1, size 2", "size 1", "size 2"]
    assert told[0].found == "size 1: 1 cm; size 2: 2 cm"


def test_what_is_wrong_with_a_table_and_with_the_choices_is_told_at_once(sized, tapeline):
    table = sized / "sizes.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("waist [cm]", "wiast [cm]", 1), encoding="utf-8")
    result = tapeline(*DRAFT, "--set", "lenth=60 cm", "--set", "length=200 cm")
    assert result.exit_code == 1
    assert [code for code in ("B104", "C101", "D402") if f"error {code}: " in result.stderr] == ["B104", "C101", "D402"]
