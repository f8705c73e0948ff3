"""Worlds: the one door to files.

A style may use libraries by name: a house's own, beside the style, before the standard library; and start from a
style by name: one beside it before one of the standard styles.  Names are plain words, so no path can be spoken, and
what a name leads to must really lie inside one of these folders, links followed.  Texts that a person names, cards, tables and
houses, are read by their paths.  Nothing else in the compiler opens a text; so a world that holds its texts in memory keeps
a reading away from every disk.
"""

from __future__ import annotations

import os
from abc import ABC, abstractmethod
from collections.abc import Iterable, Mapping
from pathlib import Path, PurePath

from .diagnostics import Diagnostic
from .text import Source, Span

SUFFIX = ".style"
MOST_BYTES = 4_000_000
LIBRARIES, STYLES = "stdlib", "styles"  # the folders of what comes with the program
FITTINGS = "fittings"  # the folder that fittings have in a world of texts


def standard_folder(name: str) -> Path:
    """`stdlib` or `styles`: inside the installed package, or at the top of a checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / name
    return inside if inside.is_dir() else package.parents[1] / name


class World(ABC):
    """All that a reading can ask for: libraries and styles by name, and texts by path."""

    house: Path | None = None  # the folder whose own libraries and styles go before the standard ones

    @abstractmethod
    def library(self, name: str) -> Source | None:
        """The library of that name, or None where there is none."""

    @abstractmethod
    def library_names(self) -> list[str]:
        """Every library that can be used, a house's own first."""

    @abstractmethod
    def style(self, name: str) -> Source | None:
        """The style of that name, or None where there is none."""

    @abstractmethod
    def style_names(self) -> list[str]:
        """Every style that can be started from, a house's own first."""

    def fittings(self, name: str) -> Source | None:
        """What a client's fittings change of the style in the text of that name, which is being read; None where nothing does."""
        return None

    @abstractmethod
    def text(self, path: PurePath) -> tuple[Source | None, list[Diagnostic]]:
        """A text by its path, or a diagnostic why it cannot be read.  F001 to F003."""

    @abstractmethod
    def folder(self, path: PurePath, suffix: str) -> list[PurePath] | None:
        """The texts in a folder that end so, in order; None where the path is not a folder."""

    @abstractmethod
    def neighbour(self, path: PurePath, name: str) -> PurePath | None:
        """The path of the file of a name beside a text; None where there is none, or it is a link to another folder."""

    def astray(self, path: PurePath, name: str) -> str:
        """What stands beside a text under a name and is no file of that folder, in words; nothing where nothing does or it is one."""
        return ""

    @abstractmethod
    def beside(self, path: PurePath) -> World:
        """This world as a text at the path sees it: its neighbours are the house's own."""


class FolderWorld(World):
    """Files as the compiler sees them: a house's folder, the standard library and the standard styles.

    What comes with the program has the paths that it has in a `MemoryWorld`, `stdlib/sizes/quay_row.csv` or
    `styles/bodies/maud.toml`, wherever no such file lies in the working folder.
    """

    def __init__(self, house: Path | None = None, standard: Path | None = None, styles: Path | None = None):
        self.standard = standard or standard_folder(LIBRARIES)
        self.styles = styles or standard_folder(STYLES)
        self.house = house

    def library(self, name: str) -> Source | None:
        return self._find(name, LIBRARIES)

    def library_names(self) -> list[str]:
        return self._names(self.standard)

    def style(self, name: str) -> Source | None:
        return self._find(name, STYLES)

    def style_names(self) -> list[str]:
        return self._names(self.styles)

    def text(self, path: PurePath) -> tuple[Source | None, list[Diagnostic]]:
        shipped = self._shipped(path)
        return read_text(Path(path)) if shipped is None else read_text(shipped, path.as_posix())

    def folder(self, path: PurePath, suffix: str) -> list[PurePath] | None:
        place = self._shipped(path) or Path(path)
        return [PurePath(path, file.name) for file in sorted(place.glob(f"*{suffix}"))] if place.is_dir() else None

    def neighbour(self, path: PurePath, name: str) -> PurePath | None:
        folder = (self._shipped(path) or Path(path)).parent
        there = (folder / name).is_file() and _inside(folder / name, folder)
        return PurePath(path).parent / name if there else None

    def astray(self, path: PurePath, name: str) -> str:
        place = (self._shipped(path) or Path(path)).parent / name
        if not os.path.lexists(place) or self.neighbour(path, name) is not None:
            return ""
        if place.is_symlink():
            return "a link that leads to no file" if not place.is_file() else "a link that leads to another folder"
        return "a folder" if place.is_dir() else "no file"

    def beside(self, path: PurePath) -> FolderWorld:
        return FolderWorld((self._shipped(path) or Path(path)).resolve().parent, self.standard, self.styles)

    def _shipped(self, path: PurePath) -> Path | None:
        """The file or folder of the program's that is shown under this path, where none lies there."""
        root, *rest = path.parts or ("",)
        home = {LIBRARIES: self.standard, STYLES: self.styles}.get(root)
        if home is None or Path(path).exists():
            return None
        place = home.joinpath(*rest)
        return place if place.exists() and _inside(place, home) else None

    def _folders(self, standard: Path) -> list[Path]:
        return [folder for folder in (self.house, standard) if folder is not None]

    def place(self, sort: str, name: str) -> Path | None:
        """The file that the name of a library (`stdlib`) or of a style (`styles`) leads to; None where there is none."""
        for folder in self._folders({LIBRARIES: self.standard, STYLES: self.styles}[sort]):
            path = folder / f"{name}{SUFFIX}"
            if path.is_file() and _inside(path, folder):
                return path
        return None

    def shown(self, path: Path) -> str:
        """The name of a file's text; wherever the program is installed, its own files are shown by the same short name."""
        for folder, name in ((self.standard, LIBRARIES), (self.styles, STYLES)):
            if path.parent == folder:
                return f"{name}/{path.name}"
        return shown_path(path)

    def _find(self, name: str, sort: str) -> Source | None:
        path = self.place(sort, name)
        return None if path is None else read_text(path, self.shown(path))[0]

    def _names(self, standard: Path) -> list[str]:
        names: dict[str, None] = {}
        for folder in self._folders(standard):
            if folder.is_dir():
                names.update(dict.fromkeys(sorted(path.stem for path in folder.glob(f"*{SUFFIX}"))))
        return list(names)


class MemoryWorld(World):
    """Texts held in memory, by their paths: `belt.style` is a house's own, `stdlib/wear.style` a library and
    `styles/skirt.style` a style of the standard ones.

    A text is shown under its path, a `Source` under its own name.  Libraries and styles that are not among the texts are asked
    of the world `behind`; texts by path never are.
    """

    def __init__(self, texts: Mapping[str, str | Source], behind: World | None = None, home: str = ""):
        self.texts, self.behind = texts, behind
        self.home = home  # before the names of the house's own: empty, or a folder and its stroke

    def library(self, name: str) -> Source | None:
        source = self._find(name, LIBRARIES)
        return source if source is not None or self.behind is None else self.behind.library(name)

    def library_names(self) -> list[str]:
        return self._names(LIBRARIES, [] if self.behind is None else self.behind.library_names())

    def style(self, name: str) -> Source | None:
        source = self._find(name, STYLES)
        return source if source is not None or self.behind is None else self.behind.style(name)

    def style_names(self) -> list[str]:
        return self._names(STYLES, [] if self.behind is None else self.behind.style_names())

    def fittings(self, name: str) -> Source | None:
        own = self._source(f"{FITTINGS}/{name}{SUFFIX}")
        return own if own is not None or self.behind is None else self.behind.fittings(name)

    def text(self, path: PurePath) -> tuple[Source | None, list[Diagnostic]]:
        source = self._source(path.as_posix())
        if source is not None:
            return source, []
        near = sorted(PurePath(name).name for name in self.texts if PurePath(name).parent == path.parent and name.endswith(path.suffix))
        return None, [_no_such_file(path.as_posix(), near[:6])]

    def folder(self, path: PurePath, suffix: str) -> list[PurePath] | None:
        inside = [PurePath(name) for name in self.texts if PurePath(name).parent == path]
        return sorted(child for child in inside if child.suffix == suffix) if inside and path.as_posix() not in self.texts else None

    def neighbour(self, path: PurePath, name: str) -> PurePath | None:
        near = path.parent / name
        return near if near.as_posix() in self.texts else None

    def beside(self, path: PurePath) -> MemoryWorld:
        folder = path.parent.as_posix()
        return MemoryWorld(self.texts, self.behind, "" if folder == "." else f"{folder}/")

    def _source(self, path: str) -> Source | None:
        text = self.texts.get(path)
        return Source(path, text) if isinstance(text, str) else text

    def _find(self, name: str, standard: str) -> Source | None:
        own = self._source(f"{self.home}{name}{SUFFIX}")
        return own if own is not None else self._source(f"{standard}/{name}{SUFFIX}")

    def _names(self, standard: str, behind: Iterable[str]) -> list[str]:
        own, ours = (
            sorted(path.stem for path in map(PurePath, self.texts) if path.suffix == SUFFIX and path.parent == PurePath(folder))
            for folder in (self.home, standard)
        )
        return list(dict.fromkeys([*own, *ours, *behind]))


def standard_texts() -> dict[str, str]:
    """Every text that comes with the program, libraries, styles, bodies, houses and size tables, by its path in a `MemoryWorld`."""
    texts = {}
    for name in (LIBRARIES, STYLES):
        home = standard_folder(name)
        for path in sorted(home.rglob("*")):
            if path.suffix in (SUFFIX, ".toml", ".csv") and path.stat().st_size <= MOST_BYTES:
                texts[f"{name}/{path.relative_to(home).as_posix()}"] = path.read_text(encoding="utf-8")
    return texts


class WorldBehind(World):
    """A world that answers as another does."""

    def __init__(self, world: World):
        self.world, self.house = world, world.house

    def library(self, name: str) -> Source | None:
        return self.world.library(name)

    def library_names(self) -> list[str]:
        return self.world.library_names()

    def style(self, name: str) -> Source | None:
        return self.world.style(name)

    def style_names(self) -> list[str]:
        return self.world.style_names()

    def fittings(self, name: str) -> Source | None:
        return self.world.fittings(name)

    def text(self, path: PurePath) -> tuple[Source | None, list[Diagnostic]]:
        return self.world.text(path)

    def folder(self, path: PurePath, suffix: str) -> list[PurePath] | None:
        return self.world.folder(path, suffix)

    def neighbour(self, path: PurePath, name: str) -> PurePath | None:
        return self.world.neighbour(path, name)

    def astray(self, path: PurePath, name: str) -> str:
        return self.world.astray(path, name)

    def beside(self, path: PurePath) -> World:
        return self.world.beside(path)


class FittedWorld(WorldBehind):
    """Another world, in which the style that is read is changed by a client's fittings."""

    def __init__(self, world: World, changes: Source):
        super().__init__(world)
        self.changes = changes

    def fittings(self, name: str) -> Source | None:
        return self.changes


class RecordingWorld(WorldBehind):
    """Another world, of which is remembered what it was asked; it answers the same when it is asked again."""

    def __init__(self, world: World):
        super().__init__(world)
        self.answers: dict[tuple[str, ...], Source | list[str] | None] = {}

    def answer(self, *question: str) -> Source | list[str] | None:
        """The answer to a question: what is asked for, and the name if there is one."""
        if question not in self.answers:
            self.answers[question] = getattr(self.world, question[0])(*question[1:])
        return self.answers[question]

    def library(self, name: str) -> Source | None:
        return self._source("library", str(name))

    def library_names(self) -> list[str]:
        return self._listed("library_names")

    def style(self, name: str) -> Source | None:
        return self._source("style", str(name))

    def style_names(self) -> list[str]:
        return self._listed("style_names")

    def fittings(self, name: str) -> Source | None:
        return self._source("fittings", str(name))

    def texts(self) -> dict[tuple[str, str], Source]:
        """("library", "style" or "fittings", name) -> every text that was given."""
        return {(sort, name): answer for (sort, *names), answer in self.answers.items() for name in names if isinstance(answer, Source)}

    def _source(self, *question: str) -> Source | None:
        answer = self.answer(*question)
        return answer if isinstance(answer, Source) else None

    def _listed(self, question: str) -> list[str]:
        answer = self.answer(question)
        return answer if isinstance(answer, list) else []


def replayed(texts: Mapping[tuple[str, str], Source], behind: World | None = None) -> MemoryWorld:
    """A world of the texts that another was `RecordingWorld` for, each shown under the name it had there."""
    folders = {"library": LIBRARIES, "style": STYLES, "fittings": FITTINGS}
    return MemoryWorld({f"{folders[sort]}/{name}{SUFFIX}": text for (sort, name), text in texts.items()}, behind)


def _inside(path: Path, folder: Path) -> bool:
    return path.resolve().is_relative_to(folder.resolve())


def read_text(path: Path, shown_as: str | None = None) -> tuple[Source | None, list[Diagnostic]]:
    """A text file in UTF-8, or a diagnostic why it cannot be read."""
    name = shown_as or shown_path(path)

    def refuse(code: str, title: str, found: str, way_out: str) -> tuple[None, list[Diagnostic]]:
        place = Span(Source(name, ""), 0, 0)
        return None, [Diagnostic(code, title, place, "a readable text file", found, way_out)]

    try:
        if path.is_dir():
            return refuse("F001", "This is a folder, not a file", name, "Name the file inside it.")
        if path.stat().st_size > MOST_BYTES:
            return refuse("F002", "The file is too large", f"{path.stat().st_size} bytes", "Is it really a text?")
        return Source(name, path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")), []
    except FileNotFoundError:
        near = sorted(p.name for p in path.parent.glob(f"*{path.suffix}"))[:6] if path.parent.is_dir() else []
        return None, [_no_such_file(name, near)]
    except UnicodeDecodeError as problem:
        return refuse("F003", "The file is not a UTF-8 text", f"byte {problem.start} cannot be read", "Save it as UTF-8.")
    except OSError as problem:
        return refuse("F001", "The file cannot be read", f"{problem.strerror}", "Check its name and permissions.")


def _no_such_file(name: str, near: list[str]) -> Diagnostic:
    way_out = f"In that folder there are: {', '.join(near)}." if near else "Check the name and the folder."
    place = Span(Source(name, ""), 0, 0)
    return Diagnostic("F001", "There is no such file", place, "a readable text file", name, way_out)


def shown_path(path: Path) -> str:
    """The name under which a file is shown: as given where relative, else relative to here where that is shorter."""
    if not path.is_absolute():
        return path.as_posix()
    try:
        return path.relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.name
