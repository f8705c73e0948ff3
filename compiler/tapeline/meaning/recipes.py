"""Rules, recipes and checks as they are kept until they are used: their parameters, statements, and where they live."""

from __future__ import annotations

from typing import NamedTuple

from ..syntax import tree
from .scopes import Scope


class RuleText(NamedTuple):
    """A rule of calculation: its parameters, the quantities named on the way, what it gives, and where it lives."""

    parameters: tuple[tree.Parameter, ...]
    statements: tuple[tree.Definition, ...]
    gives: tree.Expression
    scope: Scope


class RecipeText(NamedTuple):
    """A recipe or a check: parameters, statements, and where it lives."""

    parameters: tuple[tree.Parameter, ...]
    statements: tuple[tree.Statement, ...]
    scope: Scope
    title: str


def text_of(word: str | None) -> str:
    return "" if word is None else str(word)[1:-1]
