"""Broken styles: what the language says of a mistake, and where.

Every file of `broken/` is a small style with one mistake; those named `three_...` have three that do not depend on each
other.  The expectation stands at the end of the offending line itself, as a comment:

    hip  waist_to_hip below wiast   -- expect N201: No level is called "wiast"

which asks for a diagnostic of that code on that line whose title or found figures contain that text; a second one on
the same line follows after `; `.  A mistake without a line of its own is expected on the line that the message points
at, mostly a heading or the first line.  Each file is read, then drafted and finished for one fixed body where it can
be, and its examples are tried; all that is said on the way must be expected, everything expected must be said, each
with what was expected or a way out, and nothing may raise.  Libraries that the files use lie in `broken/house/`; what
is expected in a library counts for every file that names it.
"""

import re
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from tapeline.drafting.examples import run_examples
from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.source.diagnostics import Diagnostic, as_data, has_errors, render
from tapeline.source.text import Source, Span
from tapeline.source.world import FolderWorld, read_text

BROKEN = Path(__file__).parent / "broken"
FILES = sorted(BROKEN.glob("*.style"))
WORLD = FolderWorld(BROKEN / "house")
# Maker's figures in mm; any adult body would do, but the limits in the files are set for this one.
BODY = {"waist": 700.0, "hip": 960.0, "bust": 900.0, "waist_to_hip": 200.0, "waist_to_knee": 580.0}
EXPECT = re.compile(r"(?:-- expect|;) ([A-Z]\d{3})(?:: ([^;]*))?")


@cache
def diagnose(path: Path) -> list:
    """Everything said while a style is read, drafted for the fixed body, finished, and its examples tried."""
    source, said = read_text(path)
    if source is None:
        return said
    style, found = read(source, WORLD)
    said = said + found
    if style is None:
        return said
    said = said + run_examples(style)
    measures = {name: np.array([BODY[name]]) for name in style.plan().measures}
    for one in draft(style, measures):
        failures = list(one.failures)
        if not has_errors(failure.diagnostic(0) for failure in failures):
            failures += finish(one.pattern)[1]
        said = said + [failure.diagnostic(0, "the fixed body") for failure in failures if failure.bodies[0]]
    return said


def expectations(path: Path) -> list[tuple[str, int, str, str]]:
    """(file, line, code, text) written beside the lines of a file, which need not be UTF-8, and of its libraries."""
    text = path.read_bytes().decode("latin-1")
    wanted = []
    for number, line in enumerate(text.splitlines(), 1):
        at = line.find("-- expect")
        if at >= 0:
            wanted += [(path.name, number, code, words.strip()) for code, words in EXPECT.findall(line[at:])]
    if path.parent == BROKEN:
        for library in sorted((BROKEN / "house").glob("*.style")):
            wanted += expectations(library) if library.stem in text else []
    return wanted


def place(one) -> tuple[str, int, str]:
    return Path(one.span.source.name).name, one.span.line, one.code


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_mistake_is_said_once_and_in_its_place(path):
    wanted, said = expectations(path), diagnose(path)
    shown = "\n".join(render(one) for one in said) or "nothing was said"
    assert wanted, "the file expects nothing"
    assert sorted(map(place, said)) == sorted(one[:3] for one in wanted), shown
    for *where, text in wanted:
        matching = [one for one in said if place(one) == tuple(where)]
        assert any(text in one.title or text in one.found for one in matching), shown
    for one in said:
        assert one.expected or one.suggestion, shown
        assert one.found or one.expected, shown
        assert as_data(one)["place"]["line"] == one.span.line


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_message_is_whole_prose(path):
    """No inner name of the program and no unfilled figure reaches a maker."""
    for one in diagnose(path):
        text = render(one)
        for alien in ("Traceback", "None", "nan", "<", "Word(", "_NL", "_IN", "QUANTITY", "lambda"):
            assert alien not in text.replace(one.span.source.line(one.span.line), ""), text


def test_there_are_many_mistakes_and_some_files_hold_three():
    assert len(FILES) >= 50
    threes = [path for path in FILES if path.stem.startswith("three_")]
    assert len(threes) >= 3
    assert all(len(expectations(path)) == 3 for path in threes)
    assert all(len(expectations(path)) == 1 for path in FILES if path not in threes)


@pytest.mark.parametrize("text", ["", " ", "\n\n\n", "\r\n", "\t", "\ufeff"])
def test_a_file_that_says_nothing(text):
    style, said = read(Source("nothing.style", text), WORLD)
    assert style is None
    assert [one.code for one in said] == ["S110"], [render(one) for one in said]
    assert said[0].suggestion


def test_files_that_are_no_text(tmp_path):
    for name, content, code in [("folder", None, "F001"), ("bytes.style", b"\xff\xfe\x00", "F003")]:
        path = tmp_path / name
        path.mkdir() if content is None else path.write_bytes(content)
        source, said = read_text(path)
        assert source is None and [one.code for one in said] == [code] and said[0].suggestion
    source, said = read_text(tmp_path / "not_there.style")
    assert source is None and [one.code for one in said] == ["F001"]


@pytest.mark.parametrize("before", [0, 3, 5000])
def test_of_a_long_line_only_what_is_around_the_place_is_shown(before):
    text = "a" * before + "!" * 900 + "b" * 5000
    span = Span(Source("long.style", text), before, before + 900)
    at, line, under = render(Diagnostic("S101", "No", span, "x" * 5000)).splitlines()[1:4]
    assert at == f"  at long.style:1:{before + 1}"
    assert max(map(len, (line, under))) < 200 and line.endswith("...")
    assert line[under.index("^")] == "!" and set(line[under.index("^") : len(under)]) == {"!"}
    assert len(as_data(Diagnostic("S101", "No", span, "x" * 5000))["expected"]) < 1100


def test_of_a_file_of_another_sort_one_thing_is_said_and_no_line_shown():
    style, said = read(Source("users", "root:x:0:0:root\ndaemon:x:1:1:nobody\n"), WORLD)
    assert style is None and [one.code for one in said] == ["S110"]
    assert "root" not in render(said[0])
