"""Diagnostics are data; this module also holds the one way of writing them out for a person.

A diagnostic has a code (see `codes.py`), a severity, a title of at most about sixty characters, what was
expected, what was found (with its numbers), the place, other places that matter, and one way out.  Stages
return lists of them and never print.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from .text import Source, Span, utf16_column, visible

ERROR = "error"
CAUTION = "caution"
NOTE = "note"
WIDEST = 160  # characters of a line that are shown of it, and no wider
BEFORE = 40  # of them before the place, where the line is longer
MOST = 1000  # characters of what is said, which may hold what stands in a file
ELLIPSIS = "..."
LIBRARY = "stdlib/"  # how the name of a library's file begins that comes with the program


@dataclass(frozen=True, slots=True)
class Diagnostic:
    code: str
    title: str
    span: Span | None = None
    expected: str = ""
    found: str = ""
    suggestion: str = ""
    others: tuple[tuple[Span, str], ...] = field(default=())
    severity: str = ERROR
    body: str = ""  # the body card or size it concerns, where only some bodies are concerned

    def for_body(self, name: str) -> Diagnostic:
        return Diagnostic(
            self.code, self.title, self.span, self.expected, self.found, self.suggestion, self.others, self.severity, name
        )


def refused(name: str, code: str, title: str, expected: str, found: str, way_out: str) -> Diagnostic:
    """About a file, a folder or a word as it was named: its name is the place."""
    return Diagnostic(code, title, Span(Source(name, name), 0, len(name)), expected, found, way_out)


class Refused(Exception):
    """What cannot be done, as the diagnostic says."""

    def __init__(self, diagnostic: Diagnostic):
        super().__init__(diagnostic.title)
        self.diagnostic = diagnostic


def has_errors(diagnostics: Iterable[Diagnostic]) -> bool:
    return any(d.severity == ERROR for d in diagnostics)


def in_order(diagnostics: Iterable[Diagnostic]) -> list[Diagnostic]:
    """By file and place; each said once."""
    seen: dict[Diagnostic, None] = {}
    for diagnostic in diagnostics:
        seen.setdefault(diagnostic)

    def place(d: Diagnostic) -> tuple[str, int]:
        return (d.span.source.name, d.span.start) if d.span else ("", -1)

    return sorted(seen, key=place)


def together(diagnostics: Iterable[Diagnostic]) -> list[Diagnostic]:
    """As they are told to a person: what several bodies have, but for their figures, once for all of them, unless it is an error."""
    groups: dict[object, list[Diagnostic]] = {}
    for number, d in enumerate(diagnostics):
        alike = (d.code, d.title, d.span, d.others, d.expected, d.suggestion)
        groups.setdefault(alike if d.severity != ERROR and d.body else number, []).append(d)
    merged = []
    for first, *more in groups.values():
        if more:
            same = all(d.found == first.found for d in more)
            found = first.found if same else "; ".join(f"{d.body}: {d.found}" for d in (first, *more))
            first = replace(first, found=found, body=", ".join(d.body for d in (first, *more)))
        merged.append(first)
    return merged


def render(diagnostic: Diagnostic) -> str:
    """The diagnostic as plain text.

    An error: code and title, place, excerpt with carets, expected, found, a way out.  What is no error is said to who makes the
    garment: what it is about, the figures, a way out, and at the end where it stands and its code.
    """
    d = _bounded(diagnostic)
    if d.severity != ERROR:
        return _told(d)
    lines = [f"{d.severity} {d.code}: {d.title}" + (f"  (for {d.body})" if d.body else "")]
    if d.span is not None:
        lines += _excerpt(d.span, "")
    for span, label in d.others:
        lines += _excerpt(span, label)
    for word, text in (("expected", d.expected), ("found", d.found), ("way out", d.suggestion)):
        if text:
            lines.append(f"  {word + ':':<10}{text}")
    return visible("\n".join(lines))


def _bounded(d: Diagnostic) -> Diagnostic:
    """The diagnostic with no words longer than `MOST`, however much of a file they hold."""
    words = (d.title, d.expected, d.found, d.suggestion)
    if all(len(text) <= MOST for text in words):
        return d
    title, expected, found, suggestion = (_cut(text, MOST) for text in words)
    return replace(d, title=title, expected=expected, found=found, suggestion=suggestion)


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[:most] + ELLIPSIS


def _told(d: Diagnostic) -> str:
    lines = [f"{d.severity}: {d.title}" + (f"  (for {d.body})" if d.body else "")]
    lines += [f"  {word + ':':<10}{text}" for word, text in (("found", d.found), ("expected", d.expected)) if text]
    lines += [f"  {'way out:':<10}{d.suggestion}"] if d.suggestion else []
    # What the maker wrote goes before what a library of the program says.
    spans = sorted(
        [*([d.span] if d.span else []), *(span for span, _ in d.others)], key=lambda span: span.source.name.startswith(LIBRARY)
    )
    places = dict.fromkeys(_place(span) for span in spans)
    lines.append(f"  {'at ' + ', '.join(places) + ', ' if places else ''}code {d.code}")
    return visible("\n".join(lines))


def _place(span: Span) -> str:
    """Where it stands: file and line; as it was given, if that was not in a file."""
    name, text = span.source.name, span.source.text
    if name == text or not text:
        return _cut(name, MOST)
    return f"{name} {_cut(text, MOST)}" if name.startswith("--") else f"{name}:{span.line}"


def _excerpt(span: Span, label: str) -> list[str]:
    line, column = span.source.line_column(span.start)
    text = span.source.line(line)
    if span.source.name == span.source.text or span.source.name.startswith("--"):  # a name or an option, as it was typed
        return [f"  at {_place(span)}" + (f" ({label})" if label else "")]
    if span.end == 0:  # of the whole file, which may be one that is nobody's to show
        return [f"  at {span.source.name}:1:1" + (f" ({label})" if label else "")]
    text, column, shown = _around(text, column)
    width = max(1, min(span.end - span.start, shown - column + 1))
    # A tab is kept in the underline, so that the caret stays below its character on any screen.
    lead = "".join("\t" if c == "\t" else " " for c in text[: column - 1])
    gutter = f"{line:>5} | "
    return [
        f"  at {span.source.name}:{span.line}:{span.column}",
        f"{gutter}{text}",
        " " * (len(gutter) - 2) + "| " + lead + "^" * width + (f" {label}" if label else ""),
    ]


def _around(text: str, column: int) -> tuple[str, int, int]:
    """(what is shown of a line around a column, where that column is in it, and the last column in it that is of the line)."""
    if len(text) <= WIDEST:
        return text, column, len(text)
    start = max(0, min(column - 1 - BEFORE, len(text) - WIDEST))
    end = start + WIDEST
    lead = ELLIPSIS if start else ""
    shown = lead + text[start:end]
    return shown + (ELLIPSIS if end < len(text) else ""), column - start + len(lead), len(shown)


def as_data(diagnostic: Diagnostic) -> dict[str, object]:
    """The diagnostic as plain data for `--json`; `utf16_column` counts from zero, as editors do."""
    d = _bounded(diagnostic)

    def place(span: Span) -> dict[str, object]:
        line, column = span.source.line_column(span.start)
        end_line, end_column = span.source.line_column(max(span.start, span.end))
        return {
            "file": span.source.name,
            "line": line,
            "column": column,
            "end_line": end_line,
            "end_column": end_column,
            "utf16_column": utf16_column(span),
        }

    return {
        "code": d.code,
        "severity": d.severity,
        "title": d.title,
        "expected": d.expected,
        "found": d.found,
        "way_out": d.suggestion,
        "body": d.body,
        "place": place(d.span) if d.span else None,
        "others": [{**place(span), "label": label} for span, label in d.others],
    }
