"""A style that was kept is the style read afresh: the same plans, diagnostics and papers; and whatever it rests on may change."""

import subprocess
import sys
from dataclasses import fields, is_dataclass

import pytest

from tapeline.drafting.examples import run_examples
from tapeline.making.choices import choices_of, counts_of
from tapeline.making.drafts import draft_bodies
from tapeline.meaning import cached
from tapeline.meaning import style as styles
from tapeline.meaning.kinds import Kind
from tapeline.meaning.style import Checked, read
from tapeline.source import cache
from tapeline.source.diagnostics import as_data
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, read_text, standard_folder

SHIPPED = sorted(path.stem for path in standard_folder("styles").glob("*.style"))

BELT = """language 1
style belt "Belt"
use fastenings
measure waist
piece belt "Belt"
    cut 1
    point A start
    point B A across waist + lap
    point C A down 4 cm
    point D B down 4 cm
    line one A to C
    line upper A to B
    line other B to D
    line lower C to D
    outline one, upper, other, lower
example "Quay Row's own: 70 cm and the lap"
    given waist 70 cm
    expect length of belt.upper is 75 cm
"""
FASTENINGS = """language 1
library fastenings "How far things lap"
lap = 5 cm
"""


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    """An empty cache folder; files of the program are taken to be older than this start of it."""
    place = tmp_path / "cache"
    place.mkdir()
    monkeypatch.setattr(cache, "cache_folder", lambda: place)
    monkeypatch.setattr(cached, "_changed_since", lambda moment: False)
    return place


@pytest.fixture
def house(tmp_path):
    """A workshop's folder with a style and its library."""
    place = tmp_path / "house"
    place.mkdir()
    (place / "belt.style").write_text(BELT)
    (place / "fastenings.style").write_text(FASTENINGS)
    return place


def plain(value):
    """A value as data that can be compared: texts by what they say, kinds by which they are."""
    if isinstance(value, Kind):
        return "kind", id(value), str(value)
    if isinstance(value, Source):
        return value.name, value.text
    if isinstance(value, dict):
        return {plain(key): plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return type(value).__name__, *map(plain, value)
    if is_dataclass(value):
        return type(value).__name__, *(plain(getattr(value, field.name)) for field in fields(value))
    return type(value).__name__, value


def meaning_of(style, found):
    """All that later stages take from a style that was opened."""
    return plain(
        [
            [tuple(style.course(dict(key))) for key in style.checked],
            style.sources,
            style.measurements,
            style.doubts,
            choices_of(style),
            sorted(counts_of(style)),
            style.needed,
            found,
        ]
    )


def opened(path):
    return cached.open_style(read_text(path)[0], FolderWorld(path.resolve().parent))


def open_style(path):
    one = opened(path)
    return one.style, one.diagnostics


def afresh(path):
    return read(read_text(path)[0], FolderWorld(path.resolve().parent))


def is_from_the_cache(style, monkeypatch):
    """Whether a style that was opened can do without its trees."""
    with monkeypatch.context() as patch:
        patch.setattr(cached, "lowered", None)
        patch.setattr(styles, "lowered", None)
        return bool(style.plans())


@pytest.mark.parametrize("name", SHIPPED)
def test_a_shipped_style_comes_back_as_it_was_read(name, monkeypatch):
    path = standard_folder("styles") / f"{name}.style"
    first = open_style(path)  # read, and kept
    again = open_style(path)
    assert again[0] is not first[0] and is_from_the_cache(again[0], monkeypatch)
    assert meaning_of(*again) == meaning_of(*first)


def papers(style):
    """Drawing, proof page and record of a style for a shipped body, with what was said of it."""
    body = standard_folder("styles") / "bodies" / "maud.toml"
    drafts = draft_bodies(FolderWorld(), style, [body], (), None, None, True, ())
    return drafts.bodies[0].papers(("svg", "proof")), [as_data(one) for one in drafts.diagnostics]


def test_a_style_that_was_kept_gives_the_same_papers():
    path = standard_folder("styles") / "midi_corselet_skirt.style"  # it starts from another, has two courses and a caution
    expected = papers(afresh(path)[0])
    open_style(path)
    assert papers(open_style(path)[0]) == expected


def test_a_number_asked_for_once_is_kept_and_asks_for_no_more_measures(monkeypatch):
    path = standard_folder("styles") / "pleated_skirt.style"
    style, _ = open_style(path)
    before = style.needed
    fork = next(fork for fork in style.plan().forks if fork.kind == "count")
    read_now = style.course({fork.key: 3})
    again, _ = open_style(path)
    monkeypatch.setattr(cached, "lowered", None)
    assert plain(tuple(again.course({fork.key: 3}))) == plain(tuple(read_now))
    assert again.needed == before and len(again.plans()) == len(style.checked)


def said(path):
    """(codes of what is wrong with a style, and with its examples), as opened, which must be as it is read afresh."""
    one = opened(path)
    style, found = one.style, one.diagnostics
    fresh, expected = afresh(path)
    assert list(map(as_data, found)) == list(map(as_data, expected)) and (style is None) == (fresh is None)
    wrong = one.examined(run_examples)[1]
    assert list(map(as_data, wrong)) == (list(map(as_data, run_examples(fresh))) if fresh else [])
    return [one.code for one in found], [one.code for one in wrong]


def test_a_changed_style_is_read_anew(house):
    path = house / "belt.style"
    assert said(path) == said(path) == ([], [])
    path.write_text(BELT.replace("is 75 cm", "is 76 cm"))
    assert said(path) == said(path) == ([], ["D470"])
    path.write_text(BELT.replace("across waist", "across waste"))
    assert said(path) == said(path) == (["N201"], [])
    path.write_text(BELT)
    assert said(path) == ([], [])


def test_a_changed_library_and_one_that_is_gone(house):
    path = house / "belt.style"
    assert said(path) == ([], [])
    (house / "fastenings.style").write_text(FASTENINGS.replace("5 cm", "6 cm"))
    assert said(path) == said(path) == ([], ["D470"])
    (house / "fastenings.style").unlink()
    assert said(path)[0][0] == "N201"


def test_a_library_that_newly_stands_beside_the_style_goes_before_the_standard_one(house):
    path = house / "belt.style"
    path.write_text(BELT.replace("use fastenings", "use wear\nlap = 5 cm"))
    assert said(path) == said(path) == ([], [])
    (house / "wear.style").write_text('language 1\nlibrary wear "The house\'s own"\nlap = 4 cm\n')
    assert said(path)[0] == ["N202"]


def test_a_style_that_another_starts_from(house):
    path = house / "wide.style"
    path.write_text('language 1\nstyle wide "Wide"\nstart from belt\n')
    assert said(path) == said(path) == ([], [])
    (house / "belt.style").write_text(BELT.replace("across waist", "across waste"))
    assert said(path)[0] == ["N201"]


def test_another_version_of_the_program_reads_anew(house, monkeypatch):
    open_style(house / "belt.style")
    monkeypatch.setattr(cached, "_program", lambda: ["another"])
    monkeypatch.setattr(cached, "check", lambda source, world: Checked(None, {}, ["anew"], None))  # what a changed program might find
    assert open_style(house / "belt.style") == (None, ["anew"])


def test_the_mark_of_the_program_is_that_of_all_its_files(tmp_path, monkeypatch):
    package = tmp_path / "package"
    (package / "meaning").mkdir(parents=True)
    (package / "meaning" / "cached.py").touch()
    monkeypatch.setattr(cached, "__file__", str(package / "meaning" / "cached.py"))
    marks = [cached._program()]
    for change in (
        lambda: (package / "meaning" / "cached.py").write_text("x = 1"),
        (package / "meaning" / "grammar.lark").touch,
        lambda: (package / "drafting").mkdir() or (package / "drafting" / "run.py").touch(),
        lambda: (package / "syntax" / "tree").mkdir(parents=True) or (package / "syntax" / "tree" / "style.py").touch(),
        lambda: (package / "syntax" / "tree" / "style.py").write_text("x = 1"),
        (package / "version.py").touch,
    ):
        change()
        marks.append(cached._program())
        assert marks[-1] not in marks[:-1]
    assert cached._program() == marks[-1]


def test_a_program_that_does_not_lie_in_a_folder_keeps_nothing(house, folder, monkeypatch):
    monkeypatch.setattr(cached, "__file__", str(house / "tapeline.zip" / "meaning" / "cached.py"))
    assert said(house / "belt.style") == ([], []) and not list(folder.glob("*.style"))


def test_nothing_is_kept_by_a_program_that_was_changed_while_it_ran(house, folder, monkeypatch):
    monkeypatch.undo()
    monkeypatch.setattr(cache, "cache_folder", lambda: folder)
    monkeypatch.setattr(cached, "STARTED", 0.0)  # every file is newer
    assert said(house / "belt.style") == ([], []) and not list(folder.glob("*.style"))


SPOILED = (
    lambda data: data[:-1],
    lambda data: data[:3],
    lambda data: b"",
    lambda data: data[:99] + b"x" + data[100:],
    lambda data: data + b"x",
    lambda data: cache._sum(b"x") + b"x",  # whole, and nothing that could have been kept
    lambda data: cache._sum(data[4:500]) + data[4:500],
)


def test_a_spoiled_file_counts_as_none(house, folder, monkeypatch):
    expected = meaning_of(*open_style(house / "belt.style"))
    (file,) = folder.glob("*.style")
    for spoil in SPOILED:
        file.write_bytes(spoil(file.read_bytes()))
        again = opened(house / "belt.style")
        assert again.cache.record["courses"] and meaning_of(again.style, again.diagnostics) == expected
    assert is_from_the_cache(open_style(house / "belt.style")[0], monkeypatch)  # the last reading has been kept


def test_a_plan_that_cannot_be_opened_is_read_anew(house, folder, monkeypatch):
    expected = meaning_of(*open_style(house / "belt.style"))
    whole = cached.CachedCourses._opened
    with monkeypatch.context() as patch:
        patch.setattr(cached.CachedCourses, "_opened", lambda self, data: whole(self, data[:-9]))
        assert meaning_of(*open_style(house / "belt.style")) == expected


def test_without_a_folder_to_keep_in_all_is_read_each_time(house, tmp_path, monkeypatch):
    (tmp_path / "a file").touch()
    for place in (None, tmp_path / "not there", tmp_path / "a file"):
        monkeypatch.setattr(cache, "cache_folder", lambda place=place: place)
        assert said(house / "belt.style") == ([], [])


def test_only_the_newest_are_kept(folder):
    for name in "abcde":
        cache.keep(f"{name}.style", name.encode(), 3)
        cache.keep(f"{name}.tables", name.encode(), 9)
    assert sorted(path.name for path in folder.glob("*.style")) == ["c.style", "d.style", "e.style"]
    assert len(list(folder.iterdir())) == 3 + 5 and cache.recall("e.style") == b"e" and cache.recall("a.style") is None
    assert {path.stat().st_mode & 0o777 for path in folder.iterdir()} <= {0o600, 0o666}  # 666: where there are no owners


def test_a_second_check_takes_neither_the_parser_nor_numpy(house, folder):
    assert opened(house / "belt.style").examined(run_examples) == (1, [])
    program = f"""
import sys
from pathlib import Path
from tapeline.desk.cli import program
from tapeline.source import cache
cache.cache_folder = lambda: Path({str(folder)!r})
try:
    program.main(["check", {str(house / "belt.style")!r}])
except SystemExit as left:
    assert left.code == 0, left.code
print(*sorted(name for name in sys.modules if name in ("lark", "numpy", "tapeline.syntax", "tapeline.meaning.plan")))
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    assert done.stdout.splitlines() == ["belt.style: in order, 1 worked example comes out", ""]
