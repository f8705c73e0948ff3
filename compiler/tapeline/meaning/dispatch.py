"""A function for each form of the tree: entered beside its definition, found by the form of the node."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from ..syntax.tree import Node

_F = TypeVar("_F", bound=Callable[..., Any])


class Dispatch:
    """`table(context, node, ...)` calls the function that was entered with `@table.of(Form, ...)` for the node's form."""

    def __init__(self) -> None:
        self.functions: dict[type[Node], Callable[..., Any]] = {}

    def of(self, *forms: type[Node]) -> Callable[[_F], _F]:
        def enter(function: _F) -> _F:
            for form in forms:
                if form in self.functions:
                    raise ValueError(f"{form.__name__} is dealt with twice")
                self.functions[form] = function
            return function

        return enter

    def __call__(self, context: Any, node: Node, *more: Any) -> Any:
        return self.functions[type(node)](context, node, *more)
