"""A text put into the one layout, as edits of no more lines than change.

Lines that are alike at the beginning and at the end of the text stay untouched, so that a cursor there stays where it is.  A text
whose layout cannot be proved to say the same is left as it is, and why is told.
"""

from __future__ import annotations

from ..source.diagnostics import Diagnostic
from ..source.text import Source, Span
from ..tidy.proof import tidied
from .renaming import Edit


def formatted(source: Source) -> tuple[list[Edit], list[Diagnostic]]:
    """(edits that put a text into the one layout, why it is not)."""
    text, said = tidied(source)
    return ([] if said or text == source.text else [_changed(source, text)]), said


def _changed(source: Source, text: str) -> Edit:
    """The lines from the first that differs to the last."""
    old, new = source.text.splitlines(keepends=True), text.splitlines(keepends=True)
    most = min(len(old), len(new))
    first = next((at for at in range(most) if old[at] != new[at]), most)
    last = next((at for at in range(most - first) if old[-1 - at] != new[-1 - at]), most - first)
    start = sum(map(len, old[:first]))
    end = len(source.text) - sum(map(len, old[len(old) - last :]))
    return Edit(Span(source, start, end), "".join(new[first : len(new) - last]))
