"""The grade rule table, by a checker of its form and by the other sizes' own files for a cutter.

The form is known from memory and second-hand, not from the standard's own text (see `rule_table`); the checker holds the files to what
is known.  That the rules are true is measured: a turn point of the base's file, moved by its rule, lies on the line of the other
size's file, which was drafted from that size's measures.
"""

import re
from functools import cache

import dxf_checks
import numpy as np
import pytest
import shapely
from size_runs import drafted, work_of_size, work_of_sizes

from tapeline.making.writing import is_ours
from tapeline.paper.cutter import dxf, rule_table
from tapeline.paper.house.house import House
from tapeline.session import Session

RUNS = [
    ("straight_skirt", "uk_dressmaker", "", ()),
    ("corselet_skirt", "quay_row", "", ("24", "28", "30", "34")),
    ("half_circle_skirt", "us_coast_guard_skirt", "", ("6", "12", "20")),
    ("dipped_bodice", "us_home_sewing_miss_petite", "", ("6", "10", "16")),
]


@cache
def written(style, table, lender, only):
    """(rule table, base's name, size -> piece file) of a run."""
    one = drafted(style, table, lender, only)
    files = {}
    for number in range(len(one.run.sizes)):
        files |= dxf.papers(work_of_size(one, number))
    together = work_of_sizes(one)
    made = rule_table.papers(together)
    assert not together.diagnostics
    files |= made
    return made[f"{style}.rul"], one.run.names[one.run.base], {size: files[f"{style}-{size}.dxf"] for size in one.run.names}


def head(text):
    return dict(re.findall(r"^([A-Z ]+): (.*?)\r$", text.partition("RULE: DELTA")[0], re.MULTILINE))


def rules(text):
    """number -> movements (S, 2), as the file has them."""
    parts = re.split(r"^RULE: DELTA (\d+)\r\n", text.removesuffix("END\r\n"), flags=re.MULTILINE)[1:]
    return {
        int(number): np.array([[float(part) for part in line.split(", ")] for line in body.split("\r\n") if line])
        for number, body in zip(parts[::2], parts[1::2], strict=True)
    }


def faults(text: str, base: bytes) -> list[str]:
    """What does not hold of a rule table and the base's piece file."""
    keys, found = head(text), []

    def want(holds, words):
        if not holds:
            found.append(words)

    want(text.isascii() and text.endswith("\r\nEND\r\n"), "plain text that ends with END")
    want(text.startswith("ASTM/D13Proposal 1 Version: D 6673-04\r\n"), "version line")
    want({"AUTHOR", "UNITS", "GRADE RULE TABLE", "NUMBER OF SIZES", "SIZE LIST", "SAMPLE SIZE"} <= keys.keys(), "keys")
    sizes = keys.get("SIZE LIST", "").split(" ")
    want(keys.get("NUMBER OF SIZES") == str(len(sizes)) and len(set(sizes)) == len(sizes), "count is the list's")
    want(keys.get("SAMPLE SIZE") in sizes, "sample size is in the list")
    try:
        table = rules(text)
    except ValueError:
        return [*found, "pairs can be read"]
    want(list(table) == list(range(1, len(table) + 1)), "rules are numbered in order")
    want(all(rule.shape == (len(sizes), 2) for rule in table.values()), "a pair for each size")
    if keys.get("SAMPLE SIZE") in sizes:
        sample = sizes.index(keys["SAMPLE SIZE"])
        want(all(not rule[sample : sample + 1].any() for rule in table.values()), "no movement at the sample size")
    pairs = dxf_checks.sections(dxf_checks.tags(base))
    style = dxf_checks.keys(dxf_checks.entities(pairs["ENTITIES"]))
    want(style["Grade Rule Table"] == keys.get("GRADE RULE TABLE"), "the piece file names the table")
    want(style["Sample Size"] == keys.get("SAMPLE SIZE"), "both have one sample size")
    used = set()
    for name, entities in dxf_checks.blocks(pairs["BLOCKS"]):
        want(dxf_checks.keys(entities)["Size"] == keys.get("SAMPLE SIZE"), f"{name} is of the sample size")
        points = [one.place() for one in entities if one.kind == "POINT" and one.layer == "2"]
        for number, place in numbers(entities):
            used.add(number)
            want(number in table, f"{name}: rule {number} is in the table")
            want(min(np.hypot(*(np.array(points) - place).T)) < 1e-3, f"{name}: rule {number} stands at a turn point")
    want(used == set(table), "every rule is used")
    return found


def numbers(entities):
    return [(int(one.codes[1][2:]), one.place()) for one in entities if one.kind == "TEXT" and one.layer == "2"]


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run[0])
def test_the_form_holds(run):
    text, base, files = written(*run)
    assert faults(text, files[base]) == []
    assert dxf_checks.faults(files[base]) == []


SPOILED = [  # (what is looked for, what it is made, what is said of it)
    ("NUMBER OF SIZES: 6", "NUMBER OF SIZES: 5", "count is the list's"),
    ("SAMPLE SIZE: 12", "SAMPLE SIZE: 13", "sample size is in the list"),
    ("SAMPLE SIZE: 12", "SAMPLE SIZE: 14", "no movement at the sample size"),
    ("0.0000, 0.0000\r\n", "", "a pair for each size"),
    ("0.0000, 0.0000\r\n", "0.0100, 0.0000\r\n", "no movement at the sample size"),
    ("RULE: DELTA 2\r\n", "RULE: DELTA 9\r\n", "rules are numbered in order"),
    ("GRADE RULE TABLE: straight", "GRADE RULE TABLE: gathered", "the piece file names the table"),
    ("END\r\n", "", "plain text that ends with END"),
    ("0.0000, 0.0000", "0.0000; 0.0000", "pairs can be read"),
    ("END\r\n", "RULE: DELTA 99\r\nEND\r\n", "every rule is used"),
]


@pytest.mark.parametrize("before, after, said", SPOILED)
def test_every_statement_of_the_checker_can_fail(before, after, said):
    text, base, files = written(*RUNS[0])
    assert before in text
    assert said in faults(text.replace(before, after, 1), files[base])


def test_a_number_without_its_rule_is_found():
    text, base, files = written(*RUNS[0])
    spoiled = re.sub(rb"\r\n# 1\r\n", b"\r\n# 77\r\n", files[base], count=1)
    assert any("rule 77" in fault for fault in faults(text, spoiled))


# How far the stack lies from the piece's own start, by the measures alone: larger sizes of the corselet skirt have a lower hip.
SHIFT = {
    "corselet_skirt": lambda card: card.values["underbust_to_waist"] + card.values["waist_to_hip"],
    "straight_skirt": lambda card: card.values["waist_to_hip"],
}


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run[0])
def test_every_turn_point_has_a_rule_and_the_rules_give_the_other_sizes(run):
    text, base, files = written(*run)
    one = drafted(*run)
    table, names = rules(text), head(text)["SIZE LIST"].split(" ")
    blocks = {size: dict(dxf_checks.blocks(dxf_checks.sections(dxf_checks.tags(data))["BLOCKS"])) for size, data in files.items()}
    met = told = 0
    for piece in one.run.pieces:
        block, stack = piece.upper(), one.stacks[piece]
        if run[0] in SHIFT and piece not in ("band", "stay"):
            down = [SHIFT[run[0]](size.card) for size in one.run.sizes]
            assert stack.origin[:, 1] - stack.origin[0, 1] == pytest.approx(np.array(down) - down[0], abs=1e-6)
        at_base = blocks[base][block]
        turns = [entity.place() for entity in at_base if entity.kind == "POINT" and entity.layer == "2"]
        assert len(numbers(at_base)) == len(turns)
        for k, size in enumerate(one.run.names):
            other = blocks[size][block]
            shift = (stack.origin[k] - stack.origin[one.run.base]) * [1, -1]  # up is up in the file
            drawn = [entity for entity in other if entity.kind in ("POLYLINE", "LINE") and entity.layer != "7"]
            lines = shapely.union_all([entity.line() for entity in drawn])
            fellows = np.array([entity.place() for entity in other if entity.kind == "POINT" and entity.layer == "2"])
            for number, place in numbers(at_base):
                moved = np.array(place) + table[number][names.index(size)] + shift
                assert lines.distance(shapely.Point(moved)) < 0.01, (piece, size, number)
                told += 1
                met += np.hypot(*(fellows - moved).T).min() < 0.01
    # Where a smooth joint is a turn point at one size it may be a point of the curve at another; all others meet their fellows.
    assert met > 0.95 * told


def test_equal_rules_have_one_number():
    text, _, _ = written(*RUNS[0])
    told = [rule.round(3).tobytes() for rule in rules(text).values()]
    assert len(set(told)) == len(told)


def test_a_size_of_another_course_is_left_out():
    made = Session().read(TWO_COURSES, "two.style").draft_sizes("size, hip [cm]\n10, 90\n12, 94\n22, 120\n")
    assert made.ok and made.run().courses() == [["10", "12"], ["22"]]
    done = made.paper_set(())
    assert [(one.code, one.severity) for one in done.diagnostics] == [("B134", "caution")]
    assert head(done.papers["two.rul"].decode())["SIZE LIST"] == "10 12"
    sheet = done.papers["two-grading.txt"].decode()
    assert "Not all sizes are drafted by the same rules: 10, 12; 22." in sheet
    assert re.search(r"^q .*-  not at every size$", sheet, re.MULTILINE)  # the point that only size 22 has


TWO_COURSES = """language 1
style two "Two courses"
measure hip
piece panel "Panel"
    cut 2 on fold at centre
    point A start
    point B A across hip / 4
    point C A down 60 cm
    point D B down 60 cm
    line centre A to C
    line top A to B
    line side B to D
    line hem C to D
    outline centre, top, side, hem
    when hip more than 110 cm
        point q A across 10 cm, down 20 cm
        notch on side at 20 cm from B
"""


def test_sizes_are_one_word_of_plain_letters():
    assert [rule_table.size_word(name) for name in ("12", "M 160/84A", "Größe  3")] == ["12", "M_160/84A", "Grosse_3"]


def test_our_own_tables_are_known_from_others(tmp_path):
    (tmp_path / "a.rul").write_text(written(*RUNS[0])[0], newline="")
    (tmp_path / "b.rul").write_text(written(*RUNS[0])[0].replace("AUTHOR: tapeline", "AUTHOR: another"))
    assert is_ours(tmp_path / "a.rul") and not is_ours(tmp_path / "b.rul")


def test_the_ends_of_legs_are_the_same_points_at_every_size():
    """A leg, run on, ends between two points of the flattened edge, and from size to size between others."""
    met, elsewhere = 0, 0
    runs = [drafted(*run) for run in RUNS if run[0] != "half_circle_skirt"]  # which has no dart
    for one, name in [(run, piece.piece.name) for run in runs for piece in run.run.sizes[run.run.base].whole.finished.pieces]:
        pieces = [(size.place, size.piece(name)) for size in one.run.sizes]
        places = [rule_table._points(piece, House(), "cm")[place] for place, piece in pieces]
        for number, end in enumerate(pieces[one.run.base][1].leg_ends[pieces[one.run.base][0]]):
            assert rule_table._nearest(places[one.run.base], end) == number
            on_line = set()
            for (place, piece), points in zip(pieces, places, strict=True):
                assert np.array_equal(points[number], piece.leg_ends[place, number])
                gaps = np.hypot(*(piece.cut_line[place] - points[number]).T)
                assert gaps.min() < 1e-9
                on_line.add(int(np.argmin(gaps)))
            met, elsewhere = met + 1, elsewhere + (len(on_line) > 1)
    assert met >= 4 and elsewhere
