"""All that is wrong with a text, told where it stands.

What is wrong in a library or style that a text uses is told in its own file, and once more in the text itself, at the name by which it
is used: there the author of the text can see it, and is led to the place.
"""

from __future__ import annotations

from pathlib import PurePath
from typing import NamedTuple

from ..session import Reading
from ..source.diagnostics import Diagnostic, in_order, together
from ..source.text import Source, Span
from ..source.world import standard_folder
from ..syntax import tree


class Remark(NamedTuple):
    """A diagnostic at a place of a text; `elsewhere` where it is of another text, and told at the use of it."""

    span: Span
    diagnostic: Diagnostic
    elsewhere: bool = False

    @property
    def words(self) -> str:
        """What is said of it, without its code and excerpt."""
        d = self.diagnostic
        lines = [d.title + (f"  (for {d.body})" if d.body else "")]
        if self.elsewhere and d.span is not None:
            lines[0] += f", in {d.span.source.name}:{d.span.line}"
        lines += [f"{word}: {text}" for word, text in (("expected", d.expected), ("found", d.found), ("way out", d.suggestion)) if text]
        return "\n".join(lines)


def told_of(reading: Reading, more: tuple[Diagnostic, ...] = ()) -> dict[Source, list[Remark]]:
    """What is told in each text that the reading saw, its own among them also where nothing is; `more` is what a draft said besides."""
    told: dict[Source, list[Remark]] = {reading.source: []}
    uses = _uses(reading)
    for diagnostic in together(in_order([*reading.diagnostics, *more])):
        span = diagnostic.span if diagnostic.span is not None else Span(reading.source, 0, 0)
        told.setdefault(span.source, []).append(Remark(span, diagnostic))
        if span.source != reading.source:
            at = uses.get(PurePath(span.source.name).stem, Span(reading.source, 0, 0))
            told[reading.source].append(Remark(at, diagnostic, elsewhere=True))
    return told


def _uses(reading: Reading) -> dict[str, Span]:
    """The name of each library or style used -> where the text names it; of one used by another, where that is named."""
    statements = reading.tree.statements or ()
    own = {str(name): name.span for statement in statements if isinstance(statement, tree.Use) for name in statement.names}
    own |= {str(statement.name): statement.name.span for statement in statements if isinstance(statement, tree.StartFrom)}
    return own


def page_of(code: str) -> PurePath:
    """The page that tells what a code means, of those that come with the program."""
    return PurePath(standard_folder("pages") / f"{code}.md")
