"""Locking and comparing as commands, as tests that pytest collects, and as hooks before a commit: what is written, told and left."""

import json
import random
import re
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pytest
import shapely

import tapeline as package
from tapeline.desk import checking
from tapeline.desk.cli import COMMANDS
from tapeline.desk.locked import check_lock, report_of
from tapeline.locking.lock import write_lock
from tapeline.locking.reading import read_lock
from tapeline.making import writing as files
from tapeline.paper.drawing.model import Stroke, Text, each_item, polylines, text_plate
from tapeline.paper.pictures.overlay import draw_overlay, size_that_moved_most, words_of_lock
from tapeline.source.text import Source
from tapeline.source.world import standard_folder

TABLE = """size, waist [cm], hip [cm], waist_to_hip [cm]
10, 68, 94, 19.5
12, 72, 98, 20
14, 76, 102, 20.5
"""
LOCK = ("lock", "plain_skirt.style", "--sizes", "sizes.csv", "-o", "skirt.locked")
LONGER = ("choose length   60 cm", "choose length   60.2 cm")


@pytest.fixture
def locked(folder, tapeline):
    (folder / "sizes.csv").write_text(TABLE)
    result = tapeline(*LOCK)
    assert result.exit_code == 0, result.stderr
    return folder


# ------------------------------------------------------------------------------------------------ locking


def test_a_lock_is_a_text_with_a_mark_and_a_column_a_size(locked, tapeline):
    text = (locked / "skirt.locked").read_text()
    assert text.startswith("tapeline locked 2\nstyle: plain_skirt\nversion: 1.2\nfile: plain_skirt.style\n")
    row = next(line.split() for line in text.splitlines() if line.startswith("    place hip_side:"))
    assert row == ["place", "hip_side:", "245,235", "255,240", "265,245"]  # (hip + 4 cm) / 4, and waist_to_hip + 4 cm down
    assert '    | choose length   60 cm  from 40 cm to 90 cm  "top to hem"\n' in text
    assert "--" not in text  # comments are no rules
    assert tapeline(*LOCK).exit_code == 0 and (locked / "skirt.locked").read_text() == text


def test_what_is_written_reads_back_to_the_same(locked):
    text = (locked / "skirt.locked").read_text()
    lock, found = read_lock(Source("skirt.locked", text))
    assert not found and write_lock(lock) == text


def test_neither_table_nor_card_is_needed_again(locked, tapeline):
    (locked / "sizes.csv").unlink()
    result = tapeline("compare")
    assert result.exit_code == 0
    assert result.stdout == "skirt.locked: plain_skirt 1.2, 3 sizes: nothing has moved\n"


def test_bodies_choices_and_a_house_are_kept(folder, tapeline):
    (folder / "house.toml").write_text('unit = "in"\n[allowances]\nothers = "1/2 in"\n')
    (folder / "other").mkdir()
    (folder / "other/ada.toml").write_text((folder / "ada.toml").read_text().replace("100 cm", "39 7/8 in"))
    result = tapeline(
        "lock",
        "plain_skirt.style",
        "--for",
        "ada.toml",
        "--for",
        "other/ada.toml",
        "--set",
        "length=65 cm",
        "--house",
        "house.toml",
        "-o",
        "kept/skirt.locked",
        "--json",
    )
    assert result.exit_code == 0
    assert json.loads(result.stdout)["sizes"] == ["AQ", "AQ (2)"]
    assert "Ada" not in (folder / "kept/skirt.locked").read_text()  # a lock is shared, and tells no client's name
    lock, _ = read_lock(Source("a", (folder / "kept/skirt.locked").read_text()))
    assert lock.settings == {"length": 650.0} and lock.allowances == {"others": (12.7, "plain")} and lock.unit == "in"
    assert lock.file == "../plain_skirt.style" and lock.measures["hip"] == (1000.0, 1012.825)  # 39 7/8 in of 25.4 mm
    (folder / "house.toml").unlink()
    assert tapeline("compare", "kept").exit_code == 0


def test_a_size_that_the_style_fails_is_written_as_such(folder, tapeline, changed):
    changed("caution when", 'require hip less than 100 cm\n    "no larger"\ncaution when')
    (folder / "sizes.csv").write_text(TABLE)
    result = tapeline(*LOCK)
    assert result.exit_code == 0 and "size 14 fails: D460 no larger" in result.stdout
    text = (folder / "skirt.locked").read_text()
    assert "\nfails\n    14: D460 no larger\n" in text
    assert next(line.split()[-1] for line in text.splitlines() if "place hip_side:" in line) == "-"
    assert tapeline("compare").exit_code == 0
    changed("less than 100 cm", "less than 90 cm")
    result = tapeline(*LOCK)
    assert result.exit_code == 1 and "D460" in result.stderr  # no size at all: nothing to keep


@pytest.mark.parametrize(
    "arguments, words",
    [
        (("lock", "plain_skirt.style", "-o", "a.locked"), "Say either --for BODY or --sizes TABLE"),
        (("lock", "plain_skirt.style", "--for", "ada.toml", "--sizes", "s.csv", "-o", "a.locked"), "Say either"),
        (("lock", "plain_skirt.style", "--for", "ada.toml", "--only", "12", "-o", "a.locked"), "--only belongs to --sizes"),
        (("lock", "plain_skirt.style", "--for", "ada.toml", "-o", "a.txt"), "does not end in .locked"),
        (("lock", "plain_skirt.style", "--for", "ada.toml", "--set", "length", "-o", "a.locked"), "names no choice and its value"),
        (("compare", "--size", "12"), "--size goes with -o"),
    ],
)
def test_commands_that_are_not_written_as_they_should_be(folder, tapeline, arguments, words):
    result = tapeline(*arguments)
    assert result.exit_code == 2 and words in " ".join(result.stderr.split())


def test_a_file_of_another_origin_is_left_alone(locked, tapeline):
    (locked / "skirt.locked").write_text("a letter\n")
    result = tapeline(*LOCK)
    assert result.exit_code == 3 and "F005" in result.stderr and (locked / "skirt.locked").read_text() == "a letter\n"
    assert tapeline(*LOCK, "--overwrite").exit_code == 0


# ------------------------------------------------------------------------------------------------ comparing


def test_what_has_moved_is_told_with_its_rule(locked, tapeline, changed):
    changed(*LONGER)
    result = tapeline("compare")
    assert result.exit_code == 1
    lines = [line.strip() for line in result.stdout.splitlines()]
    assert lines[0] == "skirt.locked: plain_skirt 1.2, 3 sizes: the draft has moved, at every size where none is named"
    assert lines[1:3] == ["the rule that was changed", "plain_skirt.style:8"] and lines[4].startswith("+ choose length 60.2 cm")
    assert lines.count("hem_centre, hem/centre  by 2 mm: down 2") == 2  # front and back
    assert lines.count("hem  600 -> 602 mm (+2)") == 2  # the level in either piece
    assert not any("top" in line or "dart" in line for line in lines[5:])


def test_a_style_whose_file_has_another_name_now_is_told_with_its_rules(locked, tapeline, changed):
    changed(*LONGER)
    (locked / "plain_skirt.style").rename(locked / "long_skirt.style")
    lock = locked / "skirt.locked"
    lock.write_text(lock.read_text().replace("file: plain_skirt.style", "file: long_skirt.style"))
    (told,) = json.loads(tapeline("compare", "--json").stdout)["locks"]
    (rule,) = told["rules"]
    assert rule["file"] == "long_skirt.style" and LONGER[0] in rule["before"][0] and LONGER[1] in rule["after"][0]
    assert told["rows"] and all(row["rules"] == [0] and not row["program"] for row in told["rows"])


def test_every_row_is_told_as_data(locked, tapeline, changed):
    changed(*LONGER)
    result = tapeline("compare", "--json")
    answer = json.loads(result.stdout)
    (lock,) = answer["locks"]
    assert answer["exit"] == result.exit_code == 1 and lock["moved"] and lock["file"] == "skirt.locked"
    row = next(row for row in lock["rows"] if (row["section"], row["sort"], row["name"]) == ("piece front", "place", "hem_centre"))
    assert row == {
        "section": "piece front",
        "sort": "place",
        "name": "hem_centre",
        "sizes": ["10", "12", "14"],
        "before": [[0.0, 600.0]] * 3,
        "after": [[0.0, 602.0]] * 3,
        "rules": [0],
        "program": False,
    }


def test_a_change_of_words_alone_is_a_note(locked, tapeline, changed):
    changed("levels\n", "-- from the top down\nlevels\n")
    result = tapeline("compare")
    assert result.exit_code == 0 and "nothing has moved; its text has changed, none of the rules" in result.stdout
    changed("hip    waist_to_hip below waist", "hip  waist_to_hip  below  waist")
    assert "none of the rules" in tapeline("compare").stdout
    changed("(hip + 4 cm) / 4\n", "(4 cm + hip) / 4\n")
    result = tapeline("compare")
    assert result.exit_code == 0 and "nothing has moved; 2 rules reworded" in result.stdout
    assert tapeline("compare", "--accept").exit_code == 0
    assert tapeline("compare").stdout.endswith("nothing has moved\n")


def test_accepting_records_the_new(locked, tapeline, changed):
    before = (locked / "skirt.locked").read_text()
    changed(*LONGER)
    result = tapeline("compare", "--accept")
    assert result.exit_code == 0 and "by 2 mm: down 2" in result.stdout and "written: skirt.locked" in result.stdout
    after = (locked / "skirt.locked").read_text()
    assert after != before and tapeline("compare").exit_code == 0
    assert tapeline(*LOCK).exit_code == 0 and (locked / "skirt.locked").read_text() == after


def test_all_are_accepted_or_none(locked, tapeline, changed):
    changed(*LONGER)
    (locked / "other.locked").write_text("tapeline locked 2\nstyle: lost\n")
    before = (locked / "skirt.locked").read_text()
    result = tapeline("compare", "--accept")
    assert result.exit_code == 3 and "error L106" in result.stderr and "the draft has moved" in result.stdout
    assert "nothing is recorded" in result.stderr and (locked / "skirt.locked").read_text() == before


@pytest.fixture
def three(locked, changed):
    """Three locks of a style that has changed since, and what stands in each."""
    text = (locked / "skirt.locked").read_text()
    for name in ("a.locked", "b.locked"):
        (locked / name).write_text(text)
    changed(*LONGER)
    return dict.fromkeys(("a.locked", "b.locked", "skirt.locked"), text)


def locks_in(folder):
    return {path.name: path.read_text() for path in folder.iterdir() if path.is_file() and "locked" in path.name}


def test_a_disk_that_fails_halfway_leaves_every_lock_as_it_was(three, folder, tapeline, monkeypatch):
    done, real = [], files.os.replace

    def failing(one, other):
        done.append(other)
        if len(done) == 3:
            raise OSError(28, "no room", str(other))
        real(one, other)

    monkeypatch.setattr(files.os, "replace", failing)
    result = tapeline("compare", "--accept")
    assert result.exit_code == 3 and "F004" in result.stderr and len(done) > 3  # what was placed is put back
    assert locks_in(folder) == three


@pytest.mark.parametrize("moment", [1, 2, 3, 4])
def test_killed_at_any_moment_every_lock_is_whole(three, folder, moment):
    """Killed just before a lock is put in its place, or when all are: each is the old one or the new, and is there."""
    code = (
        f"import os\nfrom pathlib import Path\nfrom tapeline.making import writing as files\nreal, done = os.replace, []\n"
        f"def replace(one, other):\n    done.append(1)\n    len(done) == {moment} and os._exit(9)\n    real(one, other)\n"
        f"os.replace = replace\nfiles.write_all(Path('.'), {{name: 'tapeline locked 2\\nnew' for name in {list(three)}}}, False)\n"
        "os._exit(9)"
    )
    assert subprocess.run([sys.executable, "-c", code], cwd=folder).returncode == 9
    after = {name: (folder / name).read_text() for name in three}
    assert list(after.values()) == ["tapeline locked 2\nnew"] * (moment - 1) + list(three.values())[moment - 1 :]


def test_places_without_locks_and_locks_without_styles(locked, tapeline):
    (locked / "empty").mkdir()
    (locked / "empty/notes.locked").write_text("not one of ours\n")
    result = tapeline("compare", "empty")
    assert result.exit_code == 3 and "error L109" in result.stderr
    result = tapeline("compare", "lost.locked")
    assert result.exit_code == 3 and "error F001" in result.stderr
    (locked / "plain_skirt.style").rename(locked / "plain.style")
    result = tapeline("compare")
    assert result.exit_code == 3 and "error F001: The style of this lock cannot be read" in result.stderr
    assert "skirt.locked:4:1" in result.stderr  # the line that names it


def test_a_style_in_error_is_told_and_is_no_file_trouble(locked, tapeline, changed):
    changed("waist / 4\n", "waste / 4\n")
    result = tapeline("compare")
    assert result.exit_code == 1 and "error N201" in result.stderr and "Traceback" not in result.output


def test_folders_that_are_hidden_or_hold_programs_are_passed_over(locked, tapeline):
    for folder in (".kept", "env/lib"):
        (locked / folder).mkdir(parents=True)
        (locked / folder / "skirt.locked").write_text((locked / "skirt.locked").read_text())
    (locked / "env/pyvenv.cfg").write_text("home = here\n")
    result = tapeline("compare")
    assert result.exit_code == 0 and result.stdout.count("nothing has moved") == 1


SPOILS = {
    "file: plain_skirt.style": ("file: ../../secrets.txt", "L103"),
    "tapeline locked 2": ("tapeline locked 1", "L102"),
    "style: plain_skirt": ("styles: plain_skirt", "L103"),
    "\nsizes\n": ("\nsices\n", "L103"),
    "    14\n": ("    12\n", "L105"),
    "    place waist_side:": ("    plate waist_side:", "L103"),
    "245,235": ("245,23.5.0", "L104"),
    "255,240": ("", "L104"),
    "265,245": ("265", "L104"),
    " 1.1 line start": (" line start", "L103"),
    " turned_up": (" turned/up", "L104"),
    "unit: cm\n": ("", "L106"),
    "\nend\n": ("\n", "L106"),
    "\npiece back\n": ("\npiece front\n", "L105"),
    "    | language 1": ("    language 1", "L103"),
    "    hip:": ("   hip:", "L103"),
}


@pytest.mark.parametrize("passage", SPOILS)
def test_a_spoiled_lock_is_told_with_its_line(locked, passage):
    text = (locked / "skirt.locked").read_text()
    new, code = SPOILS[passage]
    assert passage in text
    lock, found = read_lock(Source("skirt.locked", text.replace(passage, new, 1)))
    assert lock is None and code in [one.code for one in found] and all(one.span is not None for one in found)


def test_no_spoiling_brings_the_reader_down(locked):
    text, chance = (locked / "skirt.locked").read_text(), random.Random(5)
    refused = 0
    for _ in range(150):
        at, much = chance.randrange(len(text)), chance.choice((1, 1, 3, 40, 2000))
        lock, found = read_lock(Source("a", text[:at] + chance.choice(("", "x", "\n", ": ", "-", "7", "\x00é")) + text[at + much :]))
        assert (lock is None) == bool(found)
        refused += lock is None
    assert refused > 50


# ------------------------------------------------------------------------------------------------ the drawing


def test_before_and_after_are_told_apart_by_their_lines(locked, tapeline, changed):
    changed("    dart on top at half\n        intake 2 cm", "    dart on top at half\n        intake 2.4 cm")
    assert tapeline("compare", "-o", "out").exit_code == 1
    root = ElementTree.fromstring((locked / "out/skirt_moved.svg").read_text())
    lines = {}
    for element in root.iter("{http://www.w3.org/2000/svg}path"):
        assert element.get("stroke") == "#000000"
        lines.setdefault(element.get("data-line"), set()).add((element.get("stroke-dasharray"), element.get("stroke-width")))
    assert {"before", "after", "after_moved", "displacement"} <= lines.keys()
    assert len({line for name in ("before", "after", "after_moved") for line in lines[name]}) == 3
    assert all(dash is not None for dash, _ in lines["before"]) and all(dash is None for dash, _ in lines["after_moved"])


@pytest.mark.parametrize("change", [LONGER, ("intake 2 cm", "intake 2.4 cm"), ("(hip + 4 cm) / 4\n", "(hip + 4.8 cm) / 4\n")])
def test_words_of_the_drawing_stand_clear(locked, changed, change):
    changed(*change)
    done = check_lock(Path("skirt.locked")).comparison
    size = size_that_moved_most(done)
    drawing = draw_overlay(done, size, words_of_lock(done, size))
    texts = [item for item in each_item(drawing.items) if isinstance(item, Text)]
    plates = [shapely.Polygon(text_plate(text).corners()).buffer(-1e-6) for text in texts]
    tree = shapely.STRtree(plates)
    assert all(len(tree.query(plate, predicate="intersects")) == 1 for plate in plates)
    sheet = shapely.box(0, 0, drawing.width, drawing.height)
    assert all(sheet.contains(plate) for plate in plates)
    for item in each_item(drawing.items):
        if isinstance(item, Stroke):
            for points in polylines(item.commands):
                touched = tree.query(shapely.LineString(points), predicate="intersects")
                assert not len(touched), f"{item.line} through {texts[touched[0]].words!r}"


def test_the_size_that_moved_furthest_is_drawn_or_the_one_named(locked, tapeline, changed):
    changed("(hip + 4 cm) / 4\n", "hip * 26 %\n")  # at size 10 the quarter loses 0.6 mm, at 12 and 14 it loses and gains 0.2 mm
    done = check_lock(Path("skirt.locked")).comparison
    assert done.lock.sizes[size_that_moved_most(done)] == "10"
    assert tapeline("compare", "-o", "out", "--size", "14").exit_code == 1
    assert "size 14, before and after" in (locked / "out/skirt_moved.svg").read_text()
    assert tapeline("compare", "-o", "out", "--size", "44").exit_code == 2


# ------------------------------------------------------------------------------------------------ pytest and pre-commit


def run_pytest(folder, *arguments):
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "tapeline.desk.pytest_plugin", "-p", "no:cacheprovider", *arguments],
        cwd=folder,
        capture_output=True,
        text=True,
    )


def test_pytest_collects_the_locks_of_a_workshop(locked, changed):
    """One that holds, one that has moved, one that is spoiled; a stranger's file of the same ending is passed over."""
    text = (locked / "skirt.locked").read_text()
    (locked / "held.style").write_text((locked / "plain_skirt.style").read_text())
    (locked / "held.locked").write_text(text.replace("file: plain_skirt.style", "file: held.style"))
    (locked / "spoiled.locked").write_text(text.replace("\nend\n", "\n"))
    (locked / "notes.locked").write_text("not one of ours\n")
    (locked / "pytest.ini").write_text("[pytest]\n")
    changed(*LONGER)
    result = run_pytest(locked, "-q")
    assert result.returncode == 1 and "2 failed, 1 passed" in result.stdout
    assert "Traceback" not in result.stdout + result.stderr and "error L106" in result.stdout
    told = report_of(check_lock(Path("skirt.locked"))).partition("\n")[2]  # all but the first line, which says from where
    assert told.count("\n") > 10 and told in result.stdout


def test_the_plugin_costs_nothing_where_there_are_no_locks():
    code = (
        "import sys; before = set(sys.modules); import pytest, tapeline.desk.pytest_plugin; "
        "print([name for name in sys.modules if name.startswith('tapeline')], 'numpy' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "['tapeline.version', 'tapeline', 'tapeline.desk', 'tapeline.desk.pytest_plugin'] False"


HOOKS = Path(package.__file__).parents[2] / ".pre-commit-hooks.yaml"


def test_the_hooks_name_commands_that_exist():
    hooks = re.findall(r"^- id: (\S+)$.*?^  entry: (.+?)$.*?^  language: (\S+)$", HOOKS.read_text(), re.MULTILINE | re.DOTALL)
    assert [name for name, _, _ in hooks] == ["tapeline-check", "tapeline-tidy", "tapeline-compare"]
    for _, entry, language in hooks:
        words = entry.split()
        assert language == "python"
        assert (words[0] == "tapeline" and words[1] in COMMANDS) or words == ["python", "-m", checking.__name__]


def test_a_hook_checks_the_styles_that_were_changed(folder, changed, capsys):
    (folder / "widths.style").write_text('language 1\nlibrary widths "Widths"\nease = 4 cm\n')
    assert checking.main(["plain_skirt.style"]) == 0
    assert checking.main(["widths.style"]) == 0  # no style itself: those beside it are checked
    changed("waist / 4\n", "waste / 4\n")
    assert checking.main(["widths.style", "lost.style"]) == 3
    assert checking.main(["widths.style"]) == 1


# ------------------------------------------------------------------------------------------------ the lock that ships


def test_the_straight_skirt_of_quay_row_has_not_moved():
    path = standard_folder("styles") / "locked" / "straight_skirt.locked"
    looked = check_lock(path)
    assert not looked.wrong and looked.comparison is not None, report_of(looked)
    assert not looked.comparison.moved, report_of(looked)
    assert len(looked.comparison.lock.sizes) == 6 and not looked.comparison.lock.fails


def test_a_folder_that_cannot_be_listed_is_told(tmp_path, tapeline, monkeypatch):
    def shut(folder, onerror=None):
        onerror(PermissionError(13, "Permission denied", str(tmp_path / "shut")))
        return iter(())

    monkeypatch.setattr("tapeline.desk.locked.os.walk", shut)
    result = tapeline("compare", tmp_path)
    assert result.exit_code == 3 and "F001" in result.stderr and "permission denied" in result.stderr
