"""A world in which texts that are open in an editor stand before the files they were opened from.

What is open and not saved is seen by every other text that uses it.  Open texts are told by their resolved paths, so that a link
to a folder leads to the same text; a library that is open and was never saved is found beside the texts of its folder.  All else
is answered by the world behind.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path, PurePath

from .diagnostics import Diagnostic
from .text import Source
from .world import LIBRARIES, STYLES, SUFFIX, FolderWorld, WorldBehind, shown_path


class EditedWorld(WorldBehind):
    """The files behind, and over them the open texts, each by its resolved path."""

    def __init__(self, behind: FolderWorld, texts: Mapping[Path, str]):
        super().__init__(behind)
        self.behind, self.texts = behind, texts

    def library(self, name: str) -> Source | None:
        return self._edited(LIBRARIES, name) or self.behind.library(name)

    def library_names(self) -> list[str]:
        return list(dict.fromkeys([*self._beside(), *self.behind.library_names()]))

    def style(self, name: str) -> Source | None:
        return self._edited(STYLES, name) or self.behind.style(name)

    def style_names(self) -> list[str]:
        return list(dict.fromkeys([*self._beside(), *self.behind.style_names()]))

    def text(self, path: PurePath) -> tuple[Source | None, list[Diagnostic]]:
        text = self.texts.get(Path(path).resolve())
        return (Source(shown_path(Path(path)), text), []) if text is not None else self.behind.text(path)

    def beside(self, path: PurePath) -> EditedWorld:
        return EditedWorld(self.behind.beside(path), self.texts)

    def place(self, sort: str, name: str) -> Path | None:
        """The file that a name leads to, saved or not; `sort` is `stdlib` for a library, `styles` for a style."""
        unsaved = self._unsaved(name)
        return unsaved if unsaved is not None else self.behind.place(sort, name)

    def shown(self, path: Path) -> str:
        """The name under which the text of a file is shown, whoever uses it."""
        return self.behind.shown(path)

    def _unsaved(self, name: str) -> Path | None:
        """The open text of that name in the house's own folder, which goes before all else."""
        path = None if self.house is None else self.house / f"{name}{SUFFIX}"
        return path if path in self.texts else None

    def _edited(self, sort: str, name: str) -> Source | None:
        path = self.place(sort, name)
        text = None if path is None else self.texts.get(path.resolve())
        return None if path is None or text is None else Source(self.shown(path), text)

    def _beside(self) -> list[str]:
        return sorted(path.stem for path in self.texts if path.suffix == SUFFIX and path.parent == self.house)
