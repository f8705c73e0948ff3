"""The grading sheet and table: every figure is that of the drafts, in the house's unit, and says whether its increments are alike."""

import csv
import io
import re
from functools import cache

import numpy as np
import pytest
from size_runs import drafted, work_of_sizes

from tapeline.making.writing import is_ours
from tapeline.paper.grading.table import SECTIONS, grade_sheet, papers, write_csv, write_sheet
from tapeline.sizing.growth import growth_of

SKIRT = ("straight_skirt", "uk_dressmaker", "", ())
CORSELET = ("corselet_skirt", "quay_row", "", ("24", "28", "30", "34"))


@cache
def sheet(run, house="usual"):
    one = drafted(*run, house)
    return one, grade_sheet(work_of_sizes(one))


@cache
def papers_of(run):
    """File name -> text, of a usual house."""
    return papers(work_of_sizes(drafted(*run, "usual")))


def text_of(run):
    return next(text for name, text in papers_of(run).items() if name.endswith("-grading.txt"))


def rows(text):
    return list(csv.DictReader(io.StringIO("".join(line + "\n" for line in text.splitlines() if not line.startswith("#")))))


def part(text, title):
    """The lines of one section of the sheet."""
    return text.partition(f"\n{title}\n")[2].partition("\n\n")[0].splitlines()


@pytest.mark.parametrize("run, unit, mm", [(SKIRT, "cm", 10.0), (CORSELET, "in", 25.4)])  # the corselet's hip is lower at larger sizes
def test_every_place_of_every_piece_stands_in_the_table_with_its_figures(run, unit, mm):
    one, told = sheet(run)
    table = rows(write_csv(told))
    for seen, laid in (("stack", True), ("its own axes", False)):
        for piece in one.run.pieces:
            for name, own in one.run.places(piece).items():
                words = one.stacks[piece].words if laid else seen
                (row,) = [row for row in table if (row["piece"], row["place"], row["seen from"]) == (piece, name, words)]
                increments = np.diff(one.stacks[piece].laid(own) if laid else own, axis=0)
                figures = [float(row[f"{step} {way} [{unit}]"]) for step in told.increments for way in ("across", "down")]
                assert figures == pytest.approx(increments.reshape(-1) / mm, abs=0.051 / mm)


def test_measures_stand_on_top_with_their_increments():
    table = rows(write_csv(sheet(SKIRT)[1]))
    assert [row["place"] for row in table[:3]] == ["waist", "hip", "waist_to_hip"]  # girths first
    assert [table[0][f"{step} across [cm]"] for step in ("8 to 10", "14 to 16", "16 to 18")] == ["4", "4", "5"]
    assert [row["increments"] for row in table[:3]] == ["uneven", "uneven", "still"]


def test_the_sheet_tells_measures_girths_and_movements():
    text = text_of(SKIRT)
    assert part(text, "MEASURES OF THE SIZES")[:3] == [
        "measure        8  10  12  14   16   18",
        "waist         60  64  68  72   76   81",
        "   increment      +4  +4  +4   +4   +5",
    ]
    girth = part(text, "GIRTH AT EACH LEVEL, DARTS SEWN")
    # The skirt has 5 cm of ease at the hip, at every size.
    assert girth[3].split() == ["hip", "92", "cm", "96", "cm", "100", "cm", "104", "cm", "108", "cm", "113", "cm"]
    assert girth[4].split() == ["ease", *["+5"] * 6]
    assert re.search(r"^hip side +\+1, 0 +\+1, 0 +\+1, 0 +\+1, 0 +\+1\.25, 0  even with the girths$", text, re.MULTILINE)
    assert "do not move: waist centre, hip centre, hem centre" in text


def test_the_source_of_the_table_and_its_doubts_are_printed():
    text = text_of(SKIRT)
    assert "Cyndy Kitt" in text and "58.8 may have been meant" in text and "hip 20 cm below the waist" in text
    assert "Invented" in text_of(CORSELET)


def test_inches_are_told_to_the_nearest_64th():
    text = text_of(CORSELET)
    assert "lengths in inches" in text
    lines = part(text, "Front (front), all sizes meet at: centre at hip")
    (line,) = [line for line in lines if line.startswith("top side")]
    # By hand, from one size to the next: underbust and waist grow by 2 in, the hip with its 5 % of ease by 2.1 in.  So half the
    # body has 0.05 in more to lose; half of that goes behind, 0.025 in.  The front darts stay, and front and back share it, so the
    # front takes a quarter of 2 in and 0.0125 in: 32.8 of 64; from 24 to 28, two sizes, 65.6 of 64.
    assert re.split(r" {2,}", line)[1:] == ["+1 1/32, -1/4", "+33/64, -1/8", "+1 1/32, -1/4", "even with the girths"]
    assert not re.search(r"[~]", "\n".join(lines))
    table = rows(papers_of(CORSELET)["corselet_skirt-grading.csv"])
    (row,) = [row for row in table if (row["piece"], row["place"], row["seen from"]) == ("front", "top_side", "centre at hip")]
    assert float(row["28 to 30 across [in]"]) == pytest.approx(0.5125, abs=0.001)


def test_a_house_in_millimetres_and_another_language_keeps_the_figures():
    _, told = sheet(SKIRT, "millimetres")
    text = write_sheet(told)
    assert "lengths in millimetres" in text and "Sailmakers' Loft" in text
    assert re.search(r"^hip side +\+10, 0 .*\+12\.5, 0  even with the girths$", text, re.MULTILINE)
    assert "8 to 10 across [mm]" in write_csv(told)


def test_words_of_evenness_by_hand():
    """Steps all alike; alike per centimetre of the leading girth; neither; none."""
    one, told = sheet(SKIRT)
    words = {(row.place, piece): row.word for piece in one.run.pieces for row in growth_of(one.run, piece, one.stacks[piece])}
    assert words["waist_centre", "front"] == "still"
    assert words["hip_side", "front"] == "even with the girths"  # 1, 1, 1, 1, 1.25 cm for 4, 4, 4, 4, 5
    some, _ = sheet(("straight_skirt", "uk_dressmaker", "", ("8", "10", "12")))
    assert {row.place: row.word for row in growth_of(some.run, "front", some.stacks["front"])}["hip_side"] == "even"
    gap, _ = sheet(CORSELET)
    assert {row.place: row.word for row in growth_of(gap.run, "front", gap.stacks["front"])}["top_side"] == "even with the girths"


def test_sections_are_a_list_to_which_others_are_added():
    _, told = sheet(SKIRT)
    SECTIONS.append(lambda sheet: ["", "ANOTHER"])
    try:
        assert write_sheet(told).endswith("\n\nANOTHER\n")
    finally:
        SECTIONS.pop()


def test_long_rows_are_parted():
    text = write_sheet(sheet(("half_circle_skirt", "gost_29295_h164", "", ()))[1])
    assert max(map(len, part(text, "MEASURES OF THE SIZES"))) <= 118
    moves = text.partition("HOW FAR EACH PLACE MOVES")[2]
    assert max(map(len, moves.splitlines())) <= 118 and "66 to 68" in moves


def test_our_own_sheets_are_known_from_others(tmp_path):
    for name, ours in papers_of(SKIRT).items():
        (tmp_path / name).write_text(ours)
        assert is_ours(tmp_path / name)
        (tmp_path / name).write_text(ours.replace("tapeline", "hand"))
        assert not is_ours(tmp_path / name)


REASONS = "WHICH MEASURE MOVES WHICH PLACE"


def test_the_sheet_tells_which_measure_moves_which_place():
    text = text_of(SKIRT)
    table = text.partition(f"{REASONS}\n")[2].partition("Front (front)\n")[2].partition("\n\n")[0].splitlines()
    assert table[0].split("  ")[0] == "place" and [word for word in ("waist", "hip", "waist to hip") if word in table[0]]
    cells = {line.partition("  ")[0]: line.split("  ")[1:] for line in table}
    # A quarter of a centimetre for each centimetre of the hip, and nothing else moves the hip sideways.
    assert [cell.strip() for cell in cells["hip side"] if cell.strip()] == ["0", "2.5 out", "10 down"]


def test_the_slopes_of_every_size_stand_in_a_table_of_their_own():
    one = drafted(*SKIRT, "usual")
    table = rows(papers_of(SKIRT)["straight_skirt-slopes.csv"])
    hips = [row for row in table if (row["piece"], row["what"], row["measure"]) == ("front", "hip_side", "hip")]
    assert [row["body"] for row in hips] == one.run.names
    assert {(row["across"], row["down"], row["unit"]) for row in hips} == {("2.5", "0", "mm for each cm")}


BREAKING = """language 1
style breaking "Breaking"
measure waist, hip, waist_to_hip
width = least of (hip / 4, 25 cm)
levels
    waist
    hip  waist_to_hip below waist
    hem  60 cm below waist
piece front "Front"
    cut 1 on fold at centre
    widths from centre, before darts
        waist  waist / 4
        hip    width
        hem    as hip
    side smooth waist to hip, straight hip to hem
allow
    others 1 cm
"""


def test_where_a_rule_turns_within_reach_of_the_run_the_sheet_says_so(tmp_path):
    # The straight skirt's hem lies at its length, or 10 cm below the hip if that is deeper: never within this run's reach.  A front dart
    # takes a fifth of what half the skirt loses, but no more than 3.5 cm, two back darts three tenths, but no more than 8 cm; the middle
    # size has 68 and 95 cm: (95 + 5 - 63 - 2) / 2 / 5, (100 + 5 - 68 - 2) / 2 / 5, (118.3 + 5 - 68 - 2) / 2 * 3/10.
    breaks = re.findall("Grade break where (.*?): (.*), .*straight_skirt.style", text_of(SKIRT))
    assert breaks == [("waist is 63 cm", "least of"), ("hip is 100 cm", "least of"), ("hip is 118.3 cm", "least of")]
    (tmp_path / "breaking.style").write_text(BREAKING)
    (tmp_path / "sizes.csv").write_text("size, waist [cm], hip [cm], waist_to_hip [cm]\nA, 66, 90, 20\nB, 70, 94, 20\nC, 74, 98, 20\n")
    text = write_sheet(sheet((str(tmp_path / "breaking"), str(tmp_path / "sizes.csv"), "", ()))[1])
    rule, table = text.partition("Grade break where ")[2].split("\n", 1)
    assert re.fullmatch(r"hip is 100 cm: least of, .*breaking\.style:4", rule)  # beyond the largest size, within a tenth of it
    assert [line.split() for line in table.splitlines() if "hip_side" in line] == [["front.hip_side", "2.5", "out", "0"]]
