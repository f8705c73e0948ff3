"""Texts as they are given to the public door: by a path in a world, or as the text itself.

Whatever is given is answered with a text or with a diagnostic.  A text in one line that names something rather than says it is
taken for a path that was written as a text, and the way out says how a path is given.
"""

from __future__ import annotations

from pathlib import PurePath
from typing import NamedTuple

from ..source.diagnostics import Diagnostic, refused
from ..source.text import Source
from ..source.world import LIBRARIES, STYLES, World

_LONGEST = 40  # characters of what is shown
_PATH = 200
_SAYS = "\n=,["  # what stands in any text that says something, and in hardly any path


class Sort(NamedTuple):
    """A sort of texts: what it is called, how it can be given, where those that come with the program lie, the code for what is
    none, and one as it is given."""

    name: str
    ways: str
    folder: str
    suffix: str
    code: str
    example: str

    @property
    def way_out(self) -> str:
        return f"Give for example {self.example}."


CARD = Sort(
    "body",
    "a card as text or by its pathlib.Path, or measures by their names",
    f"{STYLES}/bodies",
    ".toml",
    "B101",
    '{"waist": "72 cm"}',
)
HOUSE = Sort(
    "house", "a house file as text, or its pathlib.Path", f"{STYLES}/houses", ".toml", "B101", 'Path("styles/houses/quay_row.toml")'
)
TABLE = Sort(
    "size table",
    "a table as text, or the pathlib.Path of one or of a folder of cards",
    f"{LIBRARIES}/sizes",
    ".csv",
    "B121",
    'Path("stdlib/sizes/quay_row.csv")',
)
STYLE = Sort("style", "a style as text, or its pathlib.Path", STYLES, ".style", "F001", 'Path("styles/straight_skirt.style")')


def text_in(world: World, given: object, name: str, sort: Sort) -> tuple[Source | None, list[Diagnostic]]:
    """The text that is meant: one of the world by its path, or the text itself, shown under a name."""
    if isinstance(given, PurePath):
        return world.text(given)
    if isinstance(given, Source):
        return given, []
    if not isinstance(given, str):
        return None, [no_text(given, name, sort)]
    if given.strip() and not any(sign in given for sign in _SAYS):
        return None, [named(world, given.strip(), sort)]
    return Source(name, given), []


def named(world: World, words: str, sort: Sort) -> Diagnostic:
    """F001: words that name a text, or its path, stand where the text itself is asked for."""
    path = shipped(world, words, sort) or words
    way_out = f'Give a path as a pathlib.Path: Path("{path[:_PATH]}").'
    return refused(words[:_LONGEST], "F001", f"This is not the text of a {sort.name}", sort.ways, f'"{words[:_LONGEST]}"', way_out)


def shipped(world: World, words: str, sort: Sort) -> str:
    """The path of the text of this bare name that comes with the program; empty where there is none."""
    path = PurePath(sort.folder, f"{words}{sort.suffix}")
    plain = words.replace("_", "").isalnum()
    return path.as_posix() if plain and world.text(path)[0] is not None else ""


def no_text(given: object, name: str, sort: Sort, way_out: str = "") -> Diagnostic:
    """What is given is neither a text nor a path."""
    shown = repr(given)
    found = shown if len(shown) <= _LONGEST else f"{shown[:_LONGEST]}..."
    return refused(name, sort.code, f"This is no {sort.name}", sort.ways, found, way_out or sort.way_out)
