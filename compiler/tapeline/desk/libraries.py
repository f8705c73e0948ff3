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
    return [*(one.name for one in libraries), *(entry.name for one in libraries for entry in one.entries)]


def find_library(asked: str) -> tuple[Catalogue | None, list[Diagnostic]]:
    """The library of that name, None where there is none, and what is wrong with its text."""
    return _read(FolderWorld(Path.cwd()), asked) if asked.isidentifier() else (None, [])


def find_entries(asked: str) -> list[tuple[str, CatalogueEntry]]:
    """The things that are called so, `gores.gore` or `gore`, each with the name of its library."""
    name, dot, inside = asked.partition(".")
    library = find_library(name)[0] if dot else None
    libraries = standard_libraries() if not dot else [library] if library is not None else []
    return [(one.name, entry) for one in libraries for entry in one.entries if entry.name == (inside if dot else asked)]


def _read(world: World, name: str) -> tuple[Catalogue | None, list[Diagnostic]]:
    source = world.library(name)
    if source is None:
        return None, []
    parsed = parse(source)
    found = catalogue(parsed)
    return found, parsed.diagnostics if found is not None else []


# ------------------------------------------------------------ as data


def entry_facts(library: str, one: CatalogueEntry) -> dict[str, object]:
    """A rule, recipe or check as data."""
    parameters = [parameter._asdict() for parameter in one.parameters]
    return {"library": library, **one._asdict(), "parameters": parameters, "title": one.title or None, "gives": one.gives or None}


def library_facts(one: Catalogue) -> dict[str, object]:
    """A library as data."""
    return {
        "library": one.name,
        "title": one.title,
        "text": one.prose,
        "uses": list(one.uses),
        "measurements": list(one.measurements),
        "entries": [entry_facts(one.name, entry) for entry in one.entries],
    }


# ------------------------------------------------------------ for people


def entry_text(one: CatalogueEntry) -> str:
    """A rule, recipe or check: what it is, its parameters in a table, and what a rule gives."""
    return "\n".join(_entry_lines(one))


def library_text(one: Catalogue) -> str:
    """A library: what it is, what comes with it, and all that it offers."""
    head = [f"{one.name}  {one.title}", *_wrapped(one.prose)]
    for label, names in (("uses", one.uses), ("measures", one.measurements)):
        if names:
            head += _wrapped(f"{label} {', '.join(names)}")
    return "\n\n".join(["\n".join(head), *map(entry_text, one.entries)])


def _entry_lines(one: CatalogueEntry) -> Iterator[str]:
    yield f"{one.sort} {one.name}  {one.title}".rstrip()
    yield from _wrapped(one.text)
    names = max((len(parameter.name) for parameter in one.parameters), default=0)
    kinds = max((len(parameter.kind) for parameter in one.parameters), default=0)
    for parameter in one.parameters:
        row = f"    {parameter.name:<{names}}  {parameter.kind:<{kinds}}  "
        yield from wrap(row + parameter.text, _WIDTH, subsequent_indent=" " * len(row))
    if one.gives:
        yield from _wrapped(f"gives {one.gives}")


def _wrapped(words: str) -> list[str]:
    return wrap(words, _WIDTH, initial_indent="  ", subsequent_indent="  ")
