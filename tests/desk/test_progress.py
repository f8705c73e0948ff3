"""Progress: nothing where nobody looks on or the work is short; else a count that moves, and a clean screen in the end."""

import io
from time import sleep

import pytest

from tapeline.desk import progress as module
from tapeline.desk.progress import Progress


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture(autouse=True)
def soon(monkeypatch):
    monkeypatch.setattr(module, "QUIET", 0.05)


def work(stream, seconds):
    with Progress("drafting", 3, stream) as progress:
        for _ in range(3):
            sleep(seconds / 3)
            progress.add()
    return stream.getvalue()


def test_long_work_is_shown_on_a_terminal():
    shown = work(Terminal(), 0.6)
    assert "drafting" in shown and "/3" in shown


def test_short_work_is_not_shown():
    assert work(Terminal(), 0.0) == ""


def test_nothing_is_shown_in_a_file():
    assert work(io.StringIO(), 0.2) == ""


def test_a_single_long_step_is_shown_before_it_ends():
    stream = Terminal()
    with Progress("grading", 1, stream):
        sleep(0.3)
        shown = stream.getvalue()
    assert "grading" in shown
