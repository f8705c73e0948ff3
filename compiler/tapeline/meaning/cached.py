"""Styles kept from one start of the program to the next.

To read a style takes the parser and the lowering of every course; to draft it takes only what came of that.  So a style
in order is kept in the user's cache folder: its plans, what was said of it, and what its worked examples came to.  What is
kept is good only while everything it rests on is the same: the style's text, every answer that the world gave while it was
read (texts, and names that were not there), and the program itself.  A style with a client's fittings in it is never kept.  Texts are compared whole, the program by the sizes and
times of its files.  A style that is not in order is read anew each time.  Any trouble with what is kept means that the style
is read as if nothing were.

A kept style is one file: plain values as `marshal` writes them, fast to read, and in them a pickle for each course, opened
when the course is taken.  Texts are not pickled: a place in one is told by its number among those that the world gave.
"""

from __future__ import annotations

import marshal
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any, NamedTuple
from zlib import crc32

from ..source.cache import keep, recall
from ..source.diagnostics import Diagnostic
from ..source.text import Source
from ..source.world import RecordingWorld, World
from ..version import STARTED
from .style import MOST_COURSES, Checked, Course, CourseKey, Measured, Style, check, lowered

if TYPE_CHECKING:
    from .library import Linked

MOST_STYLES = 200
MOST_CACHED = MOST_COURSES + 16  # courses that the check goes through, and numbers of darts asked for
RESTS_ON = ("lark", "numpy", "shapely")  # what else the reading, and the examples, are done with

Examined = tuple[int, list[Diagnostic]]  # how many worked examples there are, and what is wrong with them


class Opened(NamedTuple):
    """A style that was opened (None where it is not in order), what is said of it, the texts that it rests on, where more of it
    can be kept, and all that reading it came to, if it was read just now."""

    style: Style | None
    diagnostics: list[Diagnostic]
    texts: Mapping[tuple[str, str], Source]  # ("library" or "style", name) -> text
    cache: CachedCourses | None = None
    checked: Checked | None = None

    def examined(self, run: Callable[[Style], list[Diagnostic]]) -> Examined:
        """(how many worked examples a style in order has, what `run` finds wrong with them, and doubtful in its finds)."""
        if self.style is None:
            return 0, []
        known = self.cache.examined() if self.cache is not None else None
        if known is None:
            plans = self.style.plans()
            count = len({example.span for plan in plans for example in plan.examples})
            finds = any(step.operation == "solve" for plan in plans for step in plan.steps)
            known = count, run(self.style) if count or finds else []
            if self.cache is not None:
                self.cache.add_examined(*known)
        return known

    def has_pieces(self) -> bool:
        """Whether a style in order has anything to cut, or a foundation for it."""
        if self.style is None:
            return False
        known = self.cache.record.get("has_pieces") if self.cache is not None else None
        return any(plan.pieces for plan in self.style.plans()) if known is None else bool(known)


def open_style(source: Source, world: World) -> Opened:
    """As `style.check`, from what is kept where that is still good; and kept, if it is in order."""
    recording = RecordingWorld(world)
    if recording.fittings(PurePath(source.name).stem) is not None:  # nothing of a client is kept
        return read_anew(source, world)
    try:
        program = _program()
    except Exception:  # the program does not lie in a folder of files
        return read_anew(source, world)
    name = _file_name(source, recording)
    record = _recalled(name, source, recording, program)
    if record is not None:
        try:
            cache = CachedCourses(name, record, source, recording)
            style = Style(tuple(cache.sources[k] for k in record["sources"]), record["checked"], cache)
            return Opened(style, cache.diagnostics(), recording.texts(), cache)
        except Exception:  # whatever is wrong with it
            pass
    recording = RecordingWorld(world)
    checked = check(source, recording)
    if checked.style is None:
        return Opened(None, checked.diagnostics, recording.texts(), None, checked)
    style = checked.style
    cache = CachedCourses(name, {"program": program}, source, recording)
    cache.fill(style, checked.diagnostics)
    return Opened(
        Style(style.sources, style.checked, _CachingCourses(style, cache)), checked.diagnostics, recording.texts(), cache, checked
    )


def read_anew(source: Source, world: World) -> Opened:
    """A style that is neither taken from what is kept nor kept."""
    recording = RecordingWorld(world)
    checked = check(source, recording)
    return Opened(checked.style, checked.diagnostics, recording.texts(), None, checked)


class _CachingCourses:
    """The courses of a style that was read just now; those asked for later are kept as well."""

    def __init__(self, style: Style, cache: CachedCourses):
        self.style, self.cache = style, cache

    def course(self, key: CourseKey) -> Course:
        course = self.style.course(dict(key))
        self.cache.add(key, course)
        return course

    def measured(self) -> Measured:
        return self.style.measured()

    def fingerprints(self) -> tuple[str, dict[str, str]]:
        return self.style.fingerprints


class CachedCourses:
    """What is kept of one style, and what is added to it: the courses that a `Style` is made of.

    A course that is not kept is lowered from the texts that the style was opened with, and kept.
    """

    def __init__(self, name: str, record: dict[str, Any], source: Source, world: RecordingWorld):
        self.name, self.record, self.world = name, record, world
        self.sources = [source, *world.texts().values()]

    def fill(self, style: Style, diagnostics: list[Diagnostic]) -> None:
        """Keep a style that was read just now."""
        number = {source: k for k, source in enumerate(self.sources)}
        try:
            self.record |= {
                "source": _plain(self.sources[0]),
                "answers": [(question, _plain(answer)) for question, answer in self.world.answers.items()],
                "sources": [number[source] for source in style.sources],
                "checked": style.checked,
                "diagnostics": self._pickled(diagnostics) if diagnostics else b"",
                "measured": self._pickled(style.measured()),
                "courses": {key: self._pickled(style.course(dict(key))) for key in style.checked},
                "examined": None,
                "fingerprints": tuple(style.fingerprints),
                "has_pieces": any(plan.pieces for plan in style.plans()),
            }
            self._write()
        except Exception:  # it cannot be kept: it is read anew next time
            self.record = {}

    def diagnostics(self) -> list[Diagnostic]:
        return self._opened(self.record["diagnostics"]) if self.record["diagnostics"] else []

    def measured(self) -> Measured:
        known: Measured | None = self._tried(self.record.get("measured"))
        if known is None:  # it is spoiled
            known = lowered(self._linked(), ()).measured
        return known

    def course(self, key: CourseKey) -> Course:
        known: Course | None = self._tried(self.record.get("courses", {}).get(key))
        if known is None:
            known = lowered(self._linked(), key).course
            self.add(key, known)
        return known

    def fingerprints(self) -> tuple[str, dict[str, str]]:
        known: tuple[str, dict[str, str]] | None = self.record.get("fingerprints")
        if not isinstance(known, tuple):  # it is spoiled
            from .fingerprint import fingerprints

            known = fingerprints(self._linked())
        return known

    def _linked(self) -> Linked:
        from .library import link

        linked, _ = link(self.sources[0], self.world)
        assert linked is not None  # only a style in order is kept
        return linked

    def add(self, key: CourseKey, course: Course) -> None:
        courses = self.record.get("courses", {})
        if courses and key not in courses and len(courses) < MOST_CACHED:
            with suppress(Exception):
                courses[key] = self._pickled(course)
                self._write()

    def examined(self) -> Examined | None:
        known = self.record.get("examined")
        return None if known is None else (known[0], self._opened(known[1]) if known[1] else [])

    def add_examined(self, count: int, diagnostics: list[Diagnostic]) -> None:
        if self.record:
            with suppress(Exception):
                self.record["examined"] = (count, self._pickled(diagnostics) if diagnostics else b"")
                self._write()

    def _tried(self, data: bytes | None) -> Any:
        try:
            return None if data is None else self._opened(data)
        except Exception:  # it is read anew
            return None

    def _opened(self, data: bytes) -> Any:
        from io import BytesIO
        from pickle import Unpickler

        unpickler = Unpickler(BytesIO(data))
        unpickler.persistent_load = self.sources.__getitem__  # type: ignore[method-assign]
        return unpickler.load()

    def _pickled(self, value: object) -> bytes:
        from io import BytesIO
        from pickle import HIGHEST_PROTOCOL, Pickler

        number = {source: k for k, source in enumerate(self.sources)}
        data = BytesIO()
        pickler = Pickler(data, HIGHEST_PROTOCOL)
        pickler.persistent_id = lambda item: number[item] if type(item) is Source else None  # type: ignore[method-assign]
        pickler.dump(value)
        return data.getvalue()

    def _write(self) -> None:
        if not _changed_since(STARTED):
            keep(self.name, marshal.dumps(self.record), MOST_STYLES)


def _recalled(name: str, source: Source, world: RecordingWorld, program: list[Any]) -> dict[str, Any] | None:
    """The record of a style, if everything that it rests on is the same."""
    data = recall(name)
    try:
        record: dict[str, Any] | None = marshal.loads(data) if data is not None else None
        if record is None or record["program"] != program or record["source"] != _plain(source):
            return None
        if all(_plain(world.answer(*question)) == answer for question, answer in record["answers"]):
            return record
    except Exception:  # whatever is wrong with it
        pass
    return None


def _plain(answer: Source | list[str] | None) -> tuple[str, str] | list[str] | None:
    return (answer.name, answer.text) if isinstance(answer, Source) else answer


def _file_name(source: Source, world: RecordingWorld) -> str:
    return f"{crc32(repr((source.name, str(world.house))).encode()):08x}.style"


def _files() -> list[tuple[str, os.stat_result]]:
    """The files of the program in all its rooms, and the front of each library that it rests on."""
    files = sorted(_files_below(Path(__file__).parents[1]), key=lambda file: file[0])
    for library in RESTS_ON:
        spec = find_spec(library)
        if spec is not None and spec.origin is not None:
            files.append((spec.origin, os.stat(spec.origin)))
    return files


def _files_below(folder: str | os.PathLike[str]) -> Iterator[tuple[str, os.stat_result]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                yield from _files_below(entry.path)
            elif entry.name.endswith((".py", ".lark")):
                yield entry.path, entry.stat()


def _program() -> list[Any]:
    """What tells this program from one before it was changed: sizes and times of its files, and the Python that runs it."""
    return [sys.version, *((path, stat.st_size, stat.st_mtime_ns, stat.st_ctime_ns) for path, stat in _files())]


def _changed_since(moment: float) -> bool:
    """Whether a file of the program was changed when parts of it may have been loaded already: then it is not known which
    program has read the style, and nothing is kept."""
    return any(max(stat.st_mtime, stat.st_ctime) > moment - 1.0 for _, stat in _files())
