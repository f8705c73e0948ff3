"""Reading a lock back, strictly: what is not as `lock.write_lock` writes it is told with file and line.  L101 to L106."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from functools import partial
from typing import TypeAlias

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span
from .lock import COURSES, END, FORM, GIRTHS, HEAD, MARK, NONE, SEAMS, SECTIONS, SORTS, Key, Lock, LockedText, Value, form_of

RowReader: TypeAlias = Callable[[str, str], None]  # of the rows of a section: takes its heading and the row

_INDENT = "    "
_TEXT = re.compile(r"text (style|start|library) (.+) ([0-9a-f]{64})")
_NUMBER = re.compile(r"-?\d+(\.\d+)?")
_WORD = re.compile(r"\w+'*")
_SEGMENT = re.compile(r"\S+ \d+\.\d+ (line (start|end)|arc (start|middle|end)|cubic (start|leaving|arriving|end))")
_STYLE = re.compile(r".+\.style|\w+")
_MOST_TOLD = 8  # mistakes of one file
_AGAIN = "Lock the style again, or take the file back from your version control."


def is_ours(data: bytes) -> bool:
    """Whether a file bears the mark of a lock on its first line, of whatever form."""
    return re.match(rb"(\xef\xbb\xbf)?" + MARK.encode() + rb" \d+\s*(\n|\Z)", data) is not None


def read_lock(source: Source) -> tuple[Lock | None, list[Diagnostic]]:
    """The lock in a text, or None with what is wrong in it."""
    first = Span(source, 0, len(source.line(1)))
    match = re.fullmatch(rf"{MARK} (\d+)\s*", first.text)
    if match is None:
        return None, [
            Diagnostic(
                "L101",
                "This is not a lock of this program",
                first,
                f"a first line such as: {MARK} {FORM}",
                first.text[:40] or "an empty line",
                "Name a file that tapeline lock has written.",
            )
        ]
    if match[1] != str(FORM):
        return None, [
            Diagnostic(
                "L102",
                "This lock has another form than this program reads",
                first,
                f"{MARK} {FORM}",
                first.text,
                "Read it with the program that wrote it, or lock the style again.",
            )
        ]
    reader = _LockReader(source)
    lock = reader.read()
    return (None if reader.diagnostics else lock), reader.diagnostics[:_MOST_TOLD]


class _LockReader:
    def __init__(self, source: Source):
        self.source = source
        self.diagnostics: list[Diagnostic] = []
        self.lock = Lock("", "", "", "", {}, {}, (), {})
        self.head: dict[str, str] = {}
        self.seen: dict[str, Span] = {}
        self.rules: dict[tuple[str, str], list[str]] = {}
        self.span = Span(source, 0, 0)

    def wrong(
        self, code: str, title: str, expected: str, found: str, way_out: str = _AGAIN, others: Iterable[tuple[Span, str]] = ()
    ) -> None:
        self.diagnostics.append(Diagnostic(code, title, self.span, expected, found[:60], way_out, tuple(others)))

    def read(self) -> Lock:
        section = ""
        row: RowReader | None = None
        for number, start in enumerate(self.source.starts[1:], 2):
            line = self.source.line(number)
            if not line.strip():
                continue
            self.span = Span(self.source, start, start + len(line))
            if not line.startswith(" "):
                section, row = self.heading(line)
            elif row is None:
                if section:
                    self.wrong("L103", "This line of the lock cannot be read", "a line below a heading", line.strip())
            elif not line.startswith(_INDENT) or line[4] == " ":
                self.wrong("L103", "This line of the lock cannot be read", "a row indented by four spaces", line)
            elif self.once(
                f"{section}\n{line[4:].rpartition(': ')[0]}" if section not in ("sizes",) and not section.startswith("text ") else ""
            ):
                row(section, line[4:])
        return self.settled()

    def once(self, name: str) -> bool:
        first = self.seen.setdefault(name, self.span)
        if not name or first == self.span:
            return True
        self.wrong("L105", "This is locked twice", "each once", self.span.text.strip(), others=((first, "first here"),))
        return False

    def heading(self, line: str) -> tuple[str, RowReader | None]:
        """(section, what reads its rows); rows below a heading that cannot be read are passed over."""
        word, colon, value = line.partition(":")
        if colon and word in HEAD:
            if self.once(f"head {word}"):
                self.head[word] = value.strip()
            if word == "file" and not _STYLE.fullmatch(value.strip()):  # a lock leads to no other file
                self.wrong(
                    "L103",
                    "This line of the lock cannot be read",
                    "a path that ends in .style, or the bare name of a style",
                    value.strip(),
                )
            return word, None
        if match := _TEXT.fullmatch(line):
            if self.once(f"text {match[1]} {match[2]}"):
                self.lock.texts[match[1], match[2]] = LockedText(match[3], None)
            return line, partial(self._rule_row, (match[1], match[2]))
        if line == END:
            self.once(END)
            return "", None
        rows: dict[str, RowReader] = {
            "set": self.setting,
            "allowances": self.allowance,
            "sizes": self.size,
            "measures": self.measure,
            "fails": self.fail,
            COURSES: self.figures,
            GIRTHS: self.figures,
            SEAMS: self.figures,
        }
        known = rows.get(line) or (self.figures if re.fullmatch(r"piece \S+", line) else None)
        if known is None:
            self.wrong(
                "L103",
                "This line of the lock cannot be read",
                f"one of: {', '.join((*HEAD, *SECTIONS))}, text, piece",
                line,
                did_you_mean(line[:40], SECTIONS) or _AGAIN,
            )
            return "", None
        self.once(f"section {line}")
        return line, known

    # ------------------------------------------------------------------------------------------------------ rows

    def _rule_row(self, place: tuple[str, str], _: str, row: str) -> None:
        if row.startswith("| "):
            self.rules.setdefault(place, []).append(row[2:])
        else:
            self.wrong("L103", "This line of the lock cannot be read", "a rule behind an upright stroke", row)

    def size(self, _: str, row: str) -> None:
        if row in self.lock.sizes:
            self.wrong("L105", "This is locked twice", "each once", row)
        self.lock.sizes += (row,)

    def named(self, row: str) -> tuple[str, str]:
        name, colon, value = row.rpartition(": ")
        if not colon:
            self.wrong("L103", "This line of the lock cannot be read", "a name, a colon, and what is locked", row)
        return name, value

    def setting(self, _: str, row: str) -> None:
        name, value = self.named(row)
        if name:
            self.lock.settings[name] = self.number(value)

    def allowance(self, _: str, row: str) -> None:
        name, value = self.named(row)
        if name:
            width, _, kind = value.partition(" ")
            self.lock.allowances[name] = self.number(width), kind

    def measure(self, _: str, row: str) -> None:
        name, value = self.named(row)
        if name:
            columns = self.columns(value)
            self.lock.measures[name] = tuple(self.number(column) for column in columns)

    def fail(self, _: str, row: str) -> None:
        size = next((size for size in self.lock.sizes if row.startswith(f"{size}: ")), None)
        if size is None:
            self.wrong("L103", "This line of the lock cannot be read", "one of the sizes, and what is wrong with it", row)
        else:
            self.lock.fails[size] = row[len(size) + 2 :]

    def figures(self, section: str, row: str) -> None:
        name, value = self.named(row)
        if not name:
            return
        sort = ""
        if section.startswith("piece "):
            sort, _, name = name.partition(" ")
            if sort not in SORTS or not name:
                self.wrong(
                    "L103",
                    "This line of the lock cannot be read",
                    f"one of: {', '.join(SORTS)}, and a name",
                    sort,
                    did_you_mean(sort, SORTS) or _AGAIN,
                )
                return
        if sort == "edge" and not _SEGMENT.fullmatch(name):
            self.wrong(
                "L103", "This line of the lock cannot be read", "edge, strip and segment, kind and point: side 1.1 line start", name
            )
            return
        key = Key(section, sort, name)
        self.lock.rows[key] = tuple(self.value(column, form_of(key)) for column in self.columns(value))

    def columns(self, value: str) -> list[str]:
        columns = value.split()
        if len(columns) != len(self.lock.sizes):
            self.wrong(
                "L104", "The sizes and their figures do not match", f"{len(self.lock.sizes)} figures, one a size", f"{len(columns)}"
            )
        return columns

    def number(self, word: str) -> float:
        try:
            number = float(word)
        except ValueError:
            number = float("nan")
        if not abs(number) < 1e9:
            self.wrong("L104", "This figure cannot be read", "a number", word)
        return number

    def value(self, word: str, form: type) -> Value:
        if word == NONE:
            return None
        parts = word.split(",")
        if form is tuple and len(parts) == 2 and all(_NUMBER.fullmatch(part) for part in parts):
            return float(parts[0]) + 0.0, float(parts[1]) + 0.0
        if form is float and _NUMBER.fullmatch(word):
            return float(word) + 0.0
        if form is str and _WORD.fullmatch(word):
            return word
        expected = "a word" if form is str else "a number" if form is float else "x,y in mm"
        self.wrong("L104", "This figure cannot be read", f"{expected}, or -", word)
        return None

    # ------------------------------------------------------------------------------------------------------ the whole

    def settled(self) -> Lock:
        lock = self.lock
        for place, rules in self.rules.items():
            if place in lock.texts:
                lock.texts[place] = LockedText(lock.texts[place].hash, tuple(rules))
        for word in HEAD:
            setattr(lock, word, self.head.get(word, ""))
        lacking = [word for word in HEAD if word not in self.head]
        lacking += [] if lock.sizes else ["sizes"]
        lacking += [] if END in self.seen else [END]
        lacking += [] if any(kind == "style" for kind, _ in lock.texts) else ["text style"]
        if lacking and not self.diagnostics:
            self.span = Span(self.source, 0, len(self.source.line(1)))
            self.wrong("L106", "The lock is not whole", f"{', '.join(lacking)}", "a file that ends before, or lost lines")
        return lock
