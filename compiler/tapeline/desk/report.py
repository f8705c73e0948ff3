"""What a command has found and made, how it tells it, and the exit code that it leaves with."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any, NoReturn, TypeVar

import click

from ..source.diagnostics import Diagnostic, Refused, as_data, has_errors, render, together
from ..source.text import Argument, Source, visible

DONE, ERRORS, USAGE, FILES, FAULT = 0, 1, 2, 3, 70
STOPPED = 130  # by Ctrl-C, as shells say it
EXIT_CODES = """
\b
Exit codes:
  0   in order (cautions allowed)
  1   the style, the card, the house or the draft has errors
  2   the command is not written as it should be
  3   a file cannot be read or written
  70  a fault of the program itself
  130 stopped by Ctrl-C
"""


OF_FILES = ("F", "L", "M", "R", "O106", "O107")  # how codes begin that are about files, and not about what stands in them
_Result = TypeVar("_Result")


def sure(result: _Result | None) -> _Result:
    """What is there once nothing that was said of it is an error."""
    assert result is not None
    return result


# A parameter of the public door -> its option.
_OPTIONS = {
    "choices": "--set",
    "only": "--only",
    "base": "--base",
    "unit": "--unit",
    "paper": "--paper",
    "cloth": "--cloth",
    "place": "PLACE",
}


def _as_typed(diagnostic: Diagnostic) -> Diagnostic:
    """What is said of an argument, under the name of the option that it was typed behind."""
    span = diagnostic.span
    if span is None or not isinstance(span.source, Argument):
        return diagnostic
    option = Source(_OPTIONS[span.source.name], span.source.text)
    return replace(diagnostic, span=span._replace(source=option))


class Report:
    """What one command has found so far, and the two ways of telling it."""

    def __init__(self, context: click.Context, as_json: bool, facts: dict[str, Any]):
        self.context, self.as_json, self.facts = context, as_json, facts
        self.diagnostics: list[Diagnostic] = []

    def stop_if_wrong(self, diagnostics: Iterable[Diagnostic]) -> None:
        """Take note of diagnostics; tell them and end the command if one is an error."""
        diagnostics = list(diagnostics)
        self.note(diagnostics)
        if has_errors(diagnostics):
            wrong = [diagnostic for diagnostic in diagnostics if diagnostic.severity == "error"]
            self._leave(FILES if all(diagnostic.code.startswith(OF_FILES) for diagnostic in wrong) else ERRORS)

    def note(self, diagnostics: Iterable[Diagnostic]) -> None:
        """Take note of diagnostics and tell them."""
        diagnostics = [_as_typed(diagnostic) for diagnostic in diagnostics]
        self.diagnostics += diagnostics
        if not self.as_json:
            for diagnostic in together(diagnostics):
                click.echo(render(diagnostic) + "\n", err=True)

    @contextmanager
    def stopping(self) -> Iterator[None]:
        """End the command where something inside is refused."""
        try:
            yield
        except Refused as refused:
            self.stop_if_wrong([refused.diagnostic])

    def end(self, words: str, code: int = DONE) -> NoReturn:
        if words and not self.as_json:
            click.echo(visible(words))
        self._leave(code)

    def _leave(self, code: int) -> NoReturn:
        if self.as_json:
            data = {**self.facts, "exit": code, "diagnostics": [as_data(diagnostic) for diagnostic in self.diagnostics]}
            import json

            click.echo(json.dumps(data, indent=1, ensure_ascii=False))
        elif self.diagnostics and self.facts["command"] != "explain":
            first = next((diagnostic for diagnostic in self.diagnostics if diagnostic.severity == "error"), self.diagnostics[0])
            click.echo(f"More about a code: tapeline explain {first.code}", err=True)
        self.context.exit(code)
