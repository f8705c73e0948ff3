"""Failures of some bodies of a chunk.

A rule that cannot be carried out for some of N bodies must not stop the others: it records a `Failure`, whose
`bodies` is a mask (N,), and lets the value be NaN there.  The texts may be functions of the body's index, so that
each body's message carries its own numbers.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ..geometry.arrays import Mask
from ..source.diagnostics import ERROR, Diagnostic
from ..source.text import Span

Words = str | Callable[[int], str]


def said(words: Words, index: int) -> str:
    """The words for one body."""
    return words(index) if callable(words) else words


@dataclass(slots=True, eq=False)
class Failure:
    code: str
    title: Words
    span: Span | None
    bodies: Mask
    expected: Words = ""
    found: Words = ""
    suggestion: Words = ""
    others: tuple[tuple[Span, str], ...] = ()
    severity: str = ERROR

    def diagnostic(self, index: int, body: str = "") -> Diagnostic:
        """What is reported of one body of the chunk."""
        return Diagnostic(
            self.code,
            said(self.title, index),
            self.span,
            said(self.expected, index),
            said(self.found, index),
            said(self.suggestion, index),
            self.others,
            self.severity,
            body,
        )
