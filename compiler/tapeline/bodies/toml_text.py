"""TOML with places: the standard reader finds the values, a scan of the lines finds where they stand.

The reader stops at its first fault and knows no places of values.  So a line that it refuses is reported and
blanked (offsets stay), and the reading goes on, as long as the faulty line is a plain `key = value` and no
value before it may still be open; any other fault ends it.  The scan knows headers, plain and dotted keys;
where it finds nothing, the place is the nearest header or the start, never an exception.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from typing import Any

from ..source.diagnostics import Diagnostic
from ..source.text import Source, Span
from .reading import mended_length, shortened

_KEY = r"(?:[A-Za-z0-9_-]+|\"[^\"\\]*\"|'[^']*')"
_HEADER = re.compile(rf"[ \t\ufeff]*\[[ \t]*(?P<key>{_KEY})(?:[ \t]*\.[ \t]*(?P<inner>{_KEY}))?[ \t]*\][ \t]*(?:#.*)?\r?\Z")
_PAIR = re.compile(
    rf"[ \t\ufeff]*(?P<key>{_KEY})(?:[ \t]*\.[ \t]*(?P<inner>{_KEY}))?"
    r"[ \t]*=[ \t]*(?P<value>.*)\Z"
)
_VALUE = re.compile(r"\"(?:[^\"\\]|\\.)*\"|'[^']*'|[^#]*")
_MOST_FAULTS = 50
_OPENERS = ('"""', "'''", "[", "{")  # values that may run on over the line's end


class Places:
    """Where keys and values of a TOML text stand.  The table of keys before any header is "", that below [a.b] "a.b"."""

    def __init__(self, source: Source):
        self.source = source
        self.headers: dict[str, list[Span]] = {}
        self.pairs: dict[tuple[str, str], list[tuple[Span, Span]]] = {}
        self.on_line: dict[int, tuple[str, str]] = {}
        table = ""
        for number, start in enumerate(source.starts, 1):
            line = source.line(number)
            if match := _HEADER.match(line):
                table = _table(match)
                span = Span(source, start + match.start("key"), start + match.end("inner" if match["inner"] else "key"))
                self.headers.setdefault(table, []).append(span)
            elif match := _PAIR.match(line):
                self._add_pair(table, match, start, number)

    def _add_pair(self, table: str, match: re.Match[str], start: int, number: int) -> None:
        key = _unquoted(match["key"])
        if match["inner"] and not table:
            table, key = key, _unquoted(match["inner"])
        value = _written_value(match["value"])
        at = start + match.start("value")
        last = "inner" if match["inner"] else "key"
        key_span = Span(self.source, start + match.start("key"), start + match.end(last))
        self.pairs.setdefault((table, key), []).append((key_span, Span(self.source, at, at + len(value))))
        self.on_line[number] = (table, key)

    def start(self) -> Span:
        return Span(self.source, 0, 0)

    def header(self, table: str) -> Span:
        if table in self.headers:
            return self.headers[table][0]
        return self.pairs[("", table)][0][0] if ("", table) in self.pairs else self.start()

    def key(self, table: str, key: str) -> Span:
        spans = self.pairs.get((table, key))
        return spans[0][0] if spans else self.header(table or key)

    def value(self, table: str, key: str) -> Span:
        spans = self.pairs.get((table, key))
        return spans[0][1] if spans and spans[0][1].text else self.key(table, key)


def _written_value(rest: str) -> str:
    """The value at the start of the rest of a line; every rest has one, be it empty."""
    value = _VALUE.match(rest)
    return value[0].rstrip() if value else ""


def _table(header: re.Match[str]) -> str:
    return ".".join(_unquoted(part) for part in (header["key"], header["inner"]) if part)


def _unquoted(key: str) -> str:
    return key[1:-1] if key[0] in "\"'" else key


def read_toml(source: Source) -> tuple[dict[str, Any] | None, Places, list[Diagnostic]]:
    """The values, their places, and faults: B101 a line that cannot be read, B102 a key that stands twice.

    The values are None where the text could not be read to its end; with faults, they are what else was read.
    """
    places = Places(source)
    diagnostics: list[Diagnostic] = []
    text = " " + source.text[1:] if source.text.startswith("\ufeff") else source.text
    for _ in range(_MOST_FAULTS):
        try:
            return tomllib.loads(text), places, diagnostics
        except tomllib.TOMLDecodeError as error:
            line = _line_of(error, text)
            diagnostic, mendable = _fault(source, places, line, str(error))
            diagnostics.append(diagnostic)
            if not mendable:
                break
            text = _blanked(source, text, line)
        except (RecursionError, ValueError):
            diagnostics.append(
                Diagnostic("B101", "This card cannot be read", places.start(), found="values nested too deeply, or a number too long")
            )
            break
    return None, places, diagnostics


def _line_of(error: Exception, text: str) -> int:
    """The line of a fault; where the reader says "at end of document", the last line that is not empty."""
    match = re.search(r"at line (\d+), column", str(error))
    return int(match[1]) if match else text.rstrip().count("\n") + 1


def _blanked(source: Source, text: str, line: int) -> str:
    start = source.starts[line - 1]
    end = start + len(source.line(line))
    return text[:start] + " " * (end - start) + text[end:]


def _fault(source: Source, places: Places, line: int, reason: str) -> tuple[Diagnostic, bool]:
    """The diagnostic for one faulty line, and whether the text reads on without that line."""
    written = source.line(line)
    start = source.starts[line - 1]
    lead = len(written) - len(written.lstrip())
    whole = Span(source, start + lead, start + max(lead, len(written.rstrip())))
    if header := _HEADER.match(written):
        table = _table(header)
        spans = places.headers.get(table, [])
        if len(spans) > 1:
            return Diagnostic(
                "B102",
                f"[{shortened(table, 30)}] stands twice",
                spans[1],
                expected="each table once",
                others=((spans[0], "first here"),),
                suggestion="Put all its lines below the first heading.",
            ), False
    name = places.on_line.get(line)
    if name is None:
        return Diagnostic(
            "B101", "This line cannot be read", whole, found=_plain_reason(reason), expected='a line such as waist = "72 cm"'
        ), False
    key, value = next(pair for pair in places.pairs[name] if pair[0].line == line)
    earlier = [pair[0] for pair in places.pairs[name] if pair[0].line < line]
    shown = shortened(name[1], 30)
    if earlier and "overwrite" in reason:
        return Diagnostic(
            "B102",
            f"{shown} stands twice",
            key,
            expected="each once",
            others=((earlier[0], "first here"),),
            suggestion="Keep the right one of the two.",
        ), True
    mended = mended_length(value.text) or mended_length(value.text.strip("\"'"))
    suggestion = f'Put it in quotation marks: {shown} = "{mended}"' if mended else ""
    simple = not any(v.text.startswith(_OPENERS) for spans in places.pairs.values() for _, v in spans if v.line <= line)
    return Diagnostic(
        "B101",
        f"{shown} cannot be read",
        value if value.text else whole,
        expected='a text in quotation marks, such as "72 cm"',
        found=_plain_reason(reason) if value.text[:1] in ('"', "'") else shortened(value.text),
        suggestion=suggestion,
    ), simple


def _plain_reason(reason: str) -> str:
    plain = re.sub(r"\s*\(at .*\)\s*\Z", "", reason, flags=re.DOTALL)
    return shortened(plain[:1].lower() + plain[1:], 90)


# ------------------------------------------------------------------------------------------------ writing


def toml_lines(table: Mapping[str, str]) -> list[str]:
    """The lines of a table of texts, which read back as they are."""
    keys = {name: name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else toml_text(name) for name in table}
    width = max((len(key) for key in keys.values()), default=0)
    return [f"{keys[name]:<{width}} = {toml_text(value)}" for name, value in table.items()]


def toml_text(text: str) -> str:
    """A TOML basic string; whatever is not plainly printable is escaped."""
    out = []
    for c in text:
        if c in '"\\':
            out.append("\\" + c)
        elif c < " " or c == "\x7f":
            out.append(f"\\u{ord(c):04X}")
        else:
            out.append(c)
    return '"' + "".join(out) + '"'
