"""What a library offers, read from its text alone: each rule, recipe and check, what it is, and what its parameters are.

A thing is what the comment directly above it says, and a recipe its title; a parameter is what the text behind its kind says.
Nothing is lowered, so a library is listed as it is written, whether or not any style uses it.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from ..source.text import Span
from ..syntax import tree
from ..syntax.parser import Parsed
from ..syntax.trivia import trivia
from .recipes import text_of


class CatalogueParameter(NamedTuple):
    name: str
    kind: str  # length, number, angle or condition
    text: str  # what it is; empty where the library does not say


class CatalogueEntry(NamedTuple):
    """A rule, recipe or check."""

    sort: str  # "rule", "recipe" or "check", its keyword
    name: str
    title: str  # of a recipe; else empty
    text: str  # the comment above it, on one line; empty where there is none
    parameters: tuple[CatalogueParameter, ...]
    gives: str  # of a rule, its expression as it is written, and the steps on the way; else empty


class Catalogue(NamedTuple):
    """A library: `entries` in the order of its text."""

    name: str
    title: str
    prose: str
    uses: tuple[str, ...]  # the libraries that come with it
    measurements: tuple[str, ...]  # those that it defines
    entries: tuple[CatalogueEntry, ...]

    def entry(self, name: str) -> CatalogueEntry | None:
        return next((entry for entry in self.entries if entry.name == name), None)


def catalogue(parsed: Parsed) -> Catalogue | None:
    """What a library offers, without what could not be read of it; None where its heading is not one of a library."""
    heading, statements = parsed.tree.heading, parsed.tree.statements or ()
    if not isinstance(heading, tree.Library):
        return None
    above = trivia(parsed.tree, parsed.comments).above
    prose = heading.prose.lines if heading.prose is not None else ()
    return Catalogue(
        str(heading.name),
        text_of(heading.title),
        " ".join(text_of(line.text) for line in prose),
        tuple(str(name) for statement in statements if isinstance(statement, tree.Use) for name in statement.names),
        tuple(str(statement.name) for statement in statements if isinstance(statement, tree.Measurement)),
        tuple(
            entry_of(statement, above.get(statement, ()))
            for statement in statements
            if isinstance(statement, (tree.Rule, tree.RuleSteps, tree.Recipe, tree.Check))
        ),
    )


def entry_of(node: tree.Rule | tree.RuleSteps | tree.Recipe | tree.Check, comments: Sequence[Span]) -> CatalogueEntry:
    """One of them, with the comments that stand directly above it."""
    return CatalogueEntry(
        next(str(word) for word in node.tokens()),
        str(node.name),
        text_of(node.title) if isinstance(node, tree.Recipe) else "",
        " ".join(word for comment in comments for word in comment.text.removeprefix("--").split()),
        tuple(
            CatalogueParameter(str(parameter.name), str(parameter.kind), text_of(parameter.text)) for parameter in node.parameters or ()
        ),
        _gives(node),
    )


def _gives(node: tree.Rule | tree.RuleSteps | tree.Recipe | tree.Check) -> str:
    if isinstance(node, tree.Rule):
        return node.value.written
    if isinstance(node, tree.RuleSteps):
        steps = [
            f"{statement.name} = {statement.value.written}"
            for statement in node.statements or ()
            if isinstance(statement, tree.Definition)
        ]
        return ", where ".join(filter(None, [node.value.value.written, " and ".join(steps)]))
    return ""
