"""The chosen body of a connection: for whom values are told.

A card or a house is named by its path, from the folder of the text that is asked about, by its uri, or by the bare name of one that comes
with the program.  What the names of a text come to is worked out once for each reading, of the latest text that was in order.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path, PurePath
from typing import Any

from ..editing.chosen import ChosenBody, body_path, no_such_body, values_for
from ..session import Reading
from ..source.diagnostics import Diagnostic
from .documents import Documents


class BodyOfConnection:
    """What is chosen now.  `values` takes time, so it is called in the worker's thread."""

    def __init__(self, documents: Documents):
        self.documents = documents
        self.given: Mapping[str, Any] = {}
        self.listeners: list[Callable[[], None]] = []
        self._latest: dict[str, tuple[Reading, Mapping[str, Any], dict[str, str]]] = {}
        self.wrong: list[Diagnostic] = []

    def choose(self, given: Mapping[str, Any]) -> None:
        """ValueError, in a sentence, where that is nothing that can be chosen."""
        choices = given.get("choices") or {}
        if not all(isinstance(given.get(name), (str, type(None))) for name in ("card", "house")) or not isinstance(choices, Mapping):
            raise ValueError(
                "A body is chosen by card and house, each a path or a name, and by choices, from their names to what they are."
            )
        self.given = {
            "card": given.get("card"),
            "house": given.get("house"),
            "choices": {str(name): str(choices[name]) for name in choices},
        }
        for listener in self.listeners:
            listener()

    def of(self, uri: str) -> tuple[ChosenBody | None, list[Diagnostic]]:
        """The chosen body as a text sees it; None where there is none, or it cannot be found."""
        if not self.given.get("card"):
            return None, []
        card, wrong = self._path(uri, self.given["card"], "bodies")
        house, about = self._path(uri, self.given["house"], "houses") if self.given.get("house") else (None, [])
        return (None if card is None else ChosenBody(card, house, self.given["choices"])), [*wrong, *about]

    def _path(self, uri: str, name: str, folder: str) -> tuple[PurePath | None, list[Diagnostic]]:
        if name.startswith("file:"):
            return self.documents.path(name), []
        path = body_path(self.documents.world, name, folder)
        if path is None:
            return None, [no_such_body(name, folder)]
        beside = self.documents.document(uri).path
        if not path.is_absolute() and beside is not None:
            path = PurePath(beside.parent / path)
        self.documents.path(Path(path).resolve().as_uri())  # refused where it lies outside of what is served
        return path, []

    def known_values(self, uri: str) -> dict[str, str]:
        """What is worked out of that already."""
        kept = self._latest.get(uri)
        return kept[2] if kept is not None and kept[1] is self.given else {}

    def values(self, uri: str) -> dict[str, str]:
        """What the names of a text come to; while it is not in order, what they came to when it was last."""
        reading = self.documents.reading(uri)
        kept = self._latest.get(uri)
        if kept is not None and kept[1] is self.given and (kept[0] is reading or reading.style is None):
            return kept[2]
        body, self.wrong = self.of(uri)
        if body is None:
            return {}
        values, said = values_for(reading, body)
        self.wrong += said
        if reading.style is not None:
            self._latest[uri] = reading, self.given, values
        return values
