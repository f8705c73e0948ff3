"""What `tapeline explain` tells of a library: its rules, recipes and checks with their parameters, or of one of them.

A library is asked for by its name, `gores`: one in this folder before one of the standard library.  One thing of it is asked for
as `gores.gore`, or where it is of the standard library as `gore` alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from textwrap import wrap

from ..meaning.catalogue import Catalogue, CatalogueEntry, catalogue
from ..source.diagnostics import Diagnostic
from ..source.world import FolderWorld, World
from ..syntax.parser import parse

_WIDTH = 100  # of a line


def standard_libraries() -> list[Catalogue]:
    """The libraries of the standard library, by name."""
    world = FolderWorld()
    return [library for name in world.library_names() if (library := _read(world, name)[0]) is not None]


def library_names() -> list[str]:
    """The names of the standard library's libraries, and of all that is in them."""
    libraries = standard_libraries()
    return [*(library.name for library in libraries), *(entry.name for library in libraries for entry in library.entries)]


def find_library(name: str) -> tuple[Catalogue | None, list[Diagnostic]]:
    """The library of that name, None where there is none, and what is wrong with its text."""
    return _read(FolderWorld(Path.cwd()), name) if name.isidentifier() else (None, [])


def find_entries(words: str) -> list[tuple[str, CatalogueEntry]]:
    """The things that are called so, `gores.gore` or `gore`, each with the name of its library."""
    name, dot, inside = words.partition(".")
    library = find_library(name)[0] if dot else None
    libraries = standard_libraries() if not dot else [library] if library is not None else []
    return [(library.name, entry) for library in libraries for entry in library.entries if entry.name == (inside if dot else words)]


def _read(world: World, name: str) -> tuple[Catalogue | None, list[Diagnostic]]:
    source = world.library(name)
    if source is None:
        return None, []
    parsed = parse(source)
    library = catalogue(parsed)
    return library, parsed.diagnostics if library is not None else []


# ------------------------------------------------------------ as data


def entry_facts(library: str, entry: CatalogueEntry) -> dict[str, object]:
    """A rule, recipe or check as data."""
    parameters = [parameter._asdict() for parameter in entry.parameters]
    return {"library": library, **entry._asdict(), "parameters": parameters, "title": entry.title or None, "gives": entry.gives or None}


def library_facts(library: Catalogue) -> dict[str, object]:
    """A library as data."""
    return {
        "library": library.name,
        "title": library.title,
        "text": library.prose,
        "uses": list(library.uses),
        "measurements": list(library.measurements),
        "entries": [entry_facts(library.name, entry) for entry in library.entries],
    }


# ------------------------------------------------------------ for people


def entry_text(entry: CatalogueEntry) -> str:
    """A rule, recipe or check: what it is, its parameters in a table, and what a rule gives."""
    return "\n".join(_entry_lines(entry))


def library_text(library: Catalogue) -> str:
    """A library: what it is, what comes with it, and all that it offers."""
    head = [f"{library.name}  {library.title}", *_wrapped(library.prose)]
    for label, names in (("uses", library.uses), ("measures", library.measurements)):
        if names:
            head += _wrapped(f"{label} {', '.join(names)}")
    return "\n\n".join(["\n".join(head), *map(entry_text, library.entries)])


def _entry_lines(entry: CatalogueEntry) -> Iterator[str]:
    yield f"{entry.sort} {entry.name}  {entry.title}".rstrip()
    yield from _wrapped(entry.text)
    names = max((len(parameter.name) for parameter in entry.parameters), default=0)
    kinds = max((len(parameter.kind) for parameter in entry.parameters), default=0)
    for parameter in entry.parameters:
        row = f"    {parameter.name:<{names}}  {parameter.kind:<{kinds}}  "
        yield from wrap(row + parameter.text, _WIDTH, subsequent_indent=" " * len(row))
    if entry.gives:
        yield from _wrapped(f"gives {entry.gives}")


def _wrapped(words: str) -> list[str]:
    return wrap(words, _WIDTH, initial_indent="  ", subsequent_indent="  ")
