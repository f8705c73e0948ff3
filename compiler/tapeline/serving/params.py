"""What a method of our own was given: parts of JSON, each of the sort that it must be.  `JsonRpcInvalidParams`, in a sentence, where it is not."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from pygls.exceptions import JsonRpcInvalidParams

MOST = 400  # entries of a table


class GivenParams:
    """The parameters of one request."""

    def __init__(self, method: str, params: Any) -> None:
        if not isinstance(params, Mapping):
            raise JsonRpcInvalidParams(f"{method} is asked with an object.")
        self.method, self.params = method, params

    def text(self, name: str, otherwise: str | None = None) -> str:
        value = self.params.get(name, otherwise)
        if not isinstance(value, str):
            raise self._wrong(name, "a text")
        return value

    def flag(self, name: str) -> bool:
        value = self.params.get(name, False)
        if not isinstance(value, bool):
            raise self._wrong(name, "true or false")
        return value

    def figures(self, name: str) -> dict[str, float]:
        """A table of names and finite figures; an empty one where it is not given."""
        table = self.params.get(name) or {}
        whole = isinstance(table, Mapping) and len(table) <= MOST
        if not whole or not all(_is_figure(value) for value in table.values()):
            raise self._wrong(name, "a table of names and figures")
        return {str(key): float(value) for key, value in table.items()}

    def numbers(self, name: str) -> list[float]:
        """A list of finite figures."""
        values = self.params.get(name) or []
        if not isinstance(values, list) or len(values) > MOST or not all(map(_is_figure, values)):
            raise self._wrong(name, "a list of figures")
        return [float(value) for value in values]

    def words(self, name: str) -> list[str]:
        """A list of texts."""
        values = self.params.get(name) or []
        if not isinstance(values, list) or len(values) > MOST or not all(isinstance(value, str) for value in values):
            raise self._wrong(name, "a list of texts")
        return list(values)

    def table(self, name: str) -> Mapping[str, Any]:
        value = self.params.get(name) or {}
        if not isinstance(value, Mapping):
            raise self._wrong(name, "an object")
        return value

    def part(self, name: str) -> GivenParams:
        """An object within it, asked in the same way."""
        return GivenParams(f"{self.method}, {name},", self.table(name))

    def _wrong(self, name: str, wanted: str) -> JsonRpcInvalidParams:
        return JsonRpcInvalidParams(f"{self.method}: {name} must be {wanted}.")


def _is_figure(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool) and abs(value) < 1e9 and math.isfinite(value)
