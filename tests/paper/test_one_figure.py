"""One figure for one thing on every paper of a draft, in the way of the house; Quay Row is an invented workshop."""

import ast
import re
from io import StringIO
from pathlib import Path

import pytest
from drafted import drafted
from redraw import text_of

import tapeline
from tapeline.desk.tables import print_ledgers
from tapeline.paper.cutting import cutting_list
from tapeline.paper.hand import sheet as hand_sheet
from tapeline.paper.house.house import House
from tapeline.paper.proof import page as proof_page
from tapeline.paper.sheets import sheet as plot
from tapeline.paper.sheets.sheet import line_sample

QUAY_ROW = House("Quay Row", "in", 8)
HOUSES = [House(), QUAY_ROW, House(fraction=4), House("", "cm", language="de"), House("", "mm")]
PACKAGE = Path(tapeline.__file__).parent
# Who may write a length round the house, and why: figures of paper, not of a garment, and what stands under the house.
ROUND_THE_HOUSE = {
    "paper/house/asked.py": "what is told of a width of cloth that cannot be one",
    "paper/house/house.py": "is the one place",
    "paper/house/paper_sizes.py": "sizes of paper",
    "paper/sheets/first_page.py": "the test square and the bar, to be measured",
    "paper/sheets/printed.py": "the bar, to be measured",
    "paper/sheets/pdf.py": "sizes of paper",
    "paper/cutter/pieces.py": "signs for the cutter's machine, in its own millimetres",
    "paper/grading/table.py": "movements from size to size, finer than lengths, as the sheet says",
}


def words_of(page: str) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", re.sub(r"<(style|script)[\s\S]*?</\1>", " ", page)).replace("\u00a0", " "))


def papers_of(house: House, body: str = "nell") -> dict[str, str]:
    work = drafted("corselet_skirt", body, house)
    work.heading = work.heading._replace(unit=house.unit or work.unit)
    screen = StringIO()
    print_ledgers(work.ledgers, work.finished, work.unit, screen, house)
    return {
        "hand": " ".join(words for _, words in text_of(hand_sheet.papers(work)["corselet_skirt-by-hand.html"])),
        "proof": words_of(proof_page.papers(work)["corselet_skirt-proof.html"]),
        "list": words_of(cutting_list.papers(work)["corselet_skirt-cutting-list.txt"]),
        "plot": words_of(plot.papers(work)["corselet_skirt.svg"]),
        "screen": words_of(screen.getvalue()),
    }


@pytest.mark.parametrize("house", HOUSES, ids=["none", "eighths", "quarters", "german", "mm"])
def test_allowances_choices_and_girths_have_one_figure(house):
    papers = papers_of(house)
    work = drafted("corselet_skirt", "nell", house)
    unit = house.unit or "in"
    widths = {(row.piece, row.edge): float(row.width[0]) for row in work.ledgers.allowances}
    hem, side = (house.show(widths["front", edge], unit) for edge in ("hem", "side"))
    for paper in ("hand", "plot", "list", "screen", "proof"):
        assert hem in papers[paper] and side in papers[paper], paper
    choice = house.show(float(work.run.filled[work.plan.choices["length"].slot][0]), unit)
    for paper in ("hand", "proof"):
        assert choice in papers[paper]
    waist = next(row for row in work.ledgers.girths if row.level == "waist")
    for paper in ("proof", "screen"):
        assert house.show(float(waist.sewn[0]), unit) in papers[paper]
        assert house.signed(float(waist.ease[0]), unit) in papers[paper]


def test_inches_are_written_in_the_fraction_of_the_house():
    """Seams are held to a sixteenth, so what is told of them may be so fine; nothing else is."""
    papers = papers_of(QUAY_ROW)
    papers["plot"] = papers["plot"].replace("a hair under 3 15/16 in", "")  # the test square, in millimetres
    papers["hand"] = re.sub(r"half ~?[^;]*;", "", papers["hand"])  # half of a figure in eighths is one in sixteenths
    girths, seams, allowances = re.split("Seams|Seam allowances", papers.pop("screen"))
    assert "1/16 in" in seams and " mm" not in seams
    for words in (papers["hand"], papers["plot"], papers["list"], girths, allowances):
        assert "/8 in" in words and not re.search(r"\d/(16|32|64)\b", words)


def test_figures_have_the_decimal_mark_of_the_language():
    papers = papers_of(House("", "cm", language="de"), "maud")
    for paper in ("plot", "hand", "list", "screen"):
        figures = re.findall(r"\d+([.,])\d+ cm", papers[paper])
        assert figures and set(figures) == {","}, paper


def test_a_difference_has_a_sign_and_says_nothing_of_nothing():
    assert QUAY_ROW.signed(25.4 * 3 / 8 - 0.5, "in") == "+3/8 in" and QUAY_ROW.signed(-25.4 / 8, "in") == "-1/8 in"
    assert QUAY_ROW.signed(-1.0, "in") == QUAY_ROW.signed(0.0, "cm") == QUAY_ROW.signed(-0.01, "cm") == "0"
    assert QUAY_ROW.seam_tolerance(1.6, "in") == "1/16 in" and QUAY_ROW.seam_difference(-1.6, "in") == "-1/16 in"
    assert QUAY_ROW.seam_tolerance(1.6, "cm") == "1.6 mm"


def test_no_paper_writes_a_length_round_the_house():
    found = set()
    for path in [*(PACKAGE / "paper").rglob("*.py"), PACKAGE / "desk" / "tables.py"]:
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "show_length":
                found.add(path.relative_to(PACKAGE).as_posix())
    assert found == set(ROUND_THE_HOUSE)


def test_the_sample_of_a_double_line_is_double():
    assert len(line_sample("lengthening", 0.0, 0.0, 40.0)) == 2
