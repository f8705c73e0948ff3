"""The one door to files.

A style may use libraries by name: a house's own, beside the style, before the standard library; and start from a
style by name: one beside it before one of the standard styles.  Names are plain words, so no path can be spoken, and
what a name leads to must really lie inside one of these folders, links followed.  Nothing else in the compiler opens a
file.
"""

from __future__ import annotations

from pathlib import Path

from .diagnostics import Diagnostic
from .text import Source, Span

SUFFIX = ".style"
MOST_BYTES = 4_000_000


def standard_folder(name: str) -> Path:
    """`stdlib` or `styles`: inside the installed package, or at the top of a checkout."""
    package = Path(__file__).resolve().parents[1]
    inside = package / name
    return inside if inside.is_dir() else package.parents[1] / name


class World:
    """Files as the compiler sees them: a house's folder, the standard library and the standard styles."""

    def __init__(self, house: Path | None = None, standard: Path | None = None, styles: Path | None = None):
        self.standard = standard or standard_folder("stdlib")
        self.styles = styles or standard_folder("styles")
        self.house = house

    def library(self, name: str) -> Source | None:
        """The library of that name, or None where there is none."""
        return self._find(name, self.standard, "stdlib")

    def library_names(self) -> list[str]:
        return self._names(self.standard)

    def style(self, name: str) -> Source | None:
        """The style of that name, or None where there is none."""
        return self._find(name, self.styles, "styles")

    def style_names(self) -> list[str]:
        return self._names(self.styles)

    def _folders(self, standard: Path) -> list[Path]:
        return [folder for folder in (self.house, standard) if folder is not None]

    def _find(self, name: str, standard: Path, shown: str) -> Source | None:
        for folder in self._folders(standard):
            path = folder / f"{name}{SUFFIX}"
            if path.is_file() and _inside(path, folder):
                # Wherever the program is installed, its own files are shown by the same short name.
                source, _ = read_text(path, f"{shown}/{path.name}" if folder == standard else None)
                return source
        return None

    def _names(self, standard: Path) -> list[str]:
        names = {}
        for folder in self._folders(standard):
            if folder.is_dir():
                names.update(dict.fromkeys(sorted(path.stem for path in folder.glob(f"*{SUFFIX}"))))
        return list(names)


class Texts:
    """A world of texts held in memory, for reading a style where its files are not: name -> (shown as, text)."""

    def __init__(self, libraries: dict[str, tuple[str, str]] | None = None, styles: dict[str, tuple[str, str]] | None = None):
        self.libraries, self.styles = libraries or {}, styles or {}

    def library(self, name: str) -> Source | None:
        return Source(*self.libraries[name]) if name in self.libraries else None

    def library_names(self) -> list[str]:
        return sorted(self.libraries)

    def style(self, name: str) -> Source | None:
        return Source(*self.styles[name]) if name in self.styles else None

    def style_names(self) -> list[str]:
        return sorted(self.styles)


class Asked:
    """Another world, of which is remembered what it was asked; it answers the same when it is asked again."""

    def __init__(self, world):
        self.world, self.house = world, getattr(world, "house", None)
        self.answers: dict[tuple[str, ...], Source | list[str] | None] = {}

    def answer(self, *question: str):
        if question not in self.answers:
            self.answers[question] = getattr(self.world, question[0])(*question[1:])
        return self.answers[question]

    def library(self, name: str) -> Source | None:
        return self.answer("library", str(name))

    def library_names(self) -> list[str]:
        return self.answer("library_names")

    def style(self, name: str) -> Source | None:
        return self.answer("style", str(name))

    def style_names(self) -> list[str]:
        return self.answer("style_names")

    def texts(self) -> dict[tuple[str, str], Source]:
        """("library" or "style", name) -> every text that was given."""
        return {question: answer for question, answer in self.answers.items() if isinstance(answer, Source)}


def _inside(path: Path, folder: Path) -> bool:
    return path.resolve().is_relative_to(folder.resolve())


def read_text(path: Path, shown_as: str | None = None) -> tuple[Source | None, list[Diagnostic]]:
    """A text file in UTF-8, or a diagnostic why it cannot be read."""
    name = shown_as or _shown(path)

    def refuse(code: str, title: str, found: str, way_out: str):
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
        return refuse(
            "F001",
            "There is no such file",
            name,
            f"In that folder there are: {', '.join(near)}." if near else "Check the name and the folder.",
        )
    except UnicodeDecodeError as problem:
        return refuse("F003", "The file is not a UTF-8 text", f"byte {problem.start} cannot be read", "Save it as UTF-8.")
    except OSError as problem:
        return refuse("F001", "The file cannot be read", f"{problem.strerror}", "Check its name and permissions.")


def _shown(path: Path) -> str:
    """The name under which a file is shown: as given where relative, else relative to here where that is shorter."""
    if not path.is_absolute():
        return path.as_posix()
    try:
        return path.relative_to(Path.cwd()).as_posix()
    except ValueError:
        return path.name
