"""A style that measures nothing is drafted for every body all the same: N bodies, N drafts, whatever the command."""

import json

import numpy as np
import pytest

import tapeline as door

MAT = """language 1
style mat "Mat"
choose side 10 cm from 5 cm to 20 cm "how wide"
piece mat "Mat"
    cut 1
    point A start
    point B A across side
    point C A down 4 cm
    point D B down 4 cm
    line one A to C
    line upper A to B
    line other B to D
    line lower C to D
    outline one, upper, other, lower
allow
    others 1 cm
"""
TABLE = "size, waist [cm]\na, 70\nb, 80\nc, 90\n"


@pytest.fixture
def mats(tmp_path, monkeypatch):
    (tmp_path / "mat.style").write_text(MAT)
    (tmp_path / "sizes.csv").write_text(TABLE)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_sizes_are_drafted_with_their_papers(mats, tapeline):
    done = tapeline("draft", "mat.style", "--sizes", "sizes.csv", "-o", "out")
    assert done.exit_code == 0, done.stderr
    drawn = [(mats / "out" / f"pattern-{size}.json").read_text() for size in "abc"]
    assert len({text.replace(f'"size {size}"', "") for text, size in zip(drawn, "abc", strict=True)}) == 1
    assert "do not move: A, B, C, D" in (mats / "out" / "mat-grading.txt").read_text()
    assert "MEASURES" not in (mats / "out" / "mat-grading.txt").read_text()


def test_every_row_of_a_batch_passes(mats, tapeline):
    assert tapeline("batch", "mat.style", "sizes.csv", "-o", "mats.jsonl").exit_code == 0
    _, *lines, last = [json.loads(line) for line in (mats / "mats.jsonl").read_text().splitlines()]
    assert last == {"end": 3, "passed": 3}
    assert [one["pieces"] for one in lines] == [{"mat": {"across": 120.0, "down": 60.0, "area": 7200.0}}] * 3


def test_a_lock_has_a_figure_in_every_column(mats, tapeline):
    assert tapeline("lock", "mat.style", "--sizes", "sizes.csv", "-o", "mat.locked").exit_code == 0
    (row,) = (line for line in (mats / "mat.locked").read_text().splitlines() if "length upper:" in line)
    assert row.split(":")[1].split() == ["100"] * 3
    assert tapeline("compare", "mat.locked").exit_code == 0


def test_a_probe_goes_over_its_choices(mats, tapeline):
    done = tapeline("probe", "mat.style", "-o", "probed")
    assert done.exit_code == 0 and "2048 of 2048 pass" in (mats / "probed" / "mat-probe.txt").read_text()


def test_bodies_and_arrays_from_python():
    reading = door.Session(door.MemoryWorld(door.standard_texts())).read(MAT)
    drafts = reading.draft({"A": {"waist": "70 cm"}, "B": {"waist": "80 cm"}})
    assert drafts.ok and [one.name for one in drafts] == ["A", "B"]
    (whole,) = reading.draft_arrays({}, {"side": np.array([60.0, 70.0])})
    np.testing.assert_allclose(whole.draft.pattern.piece("mat").points["B"][:, 0], [60.0, 70.0])
