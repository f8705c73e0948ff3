"""Tapeline: the drafting rules of a garment as text, compiled to true pattern pieces.

    session = tapeline.Session()
    reading = session.read(text)            # or session.read(pathlib.Path("skirt.style"))
    drafts = reading.draft({"Ada": {"waist": "72 cm", "hip": "98 cm"}})
    papers = drafts.bodies[0].papers()      # file name -> bytes

`Session` reads texts in a `World`: the files of a folder (`FolderWorld`) or texts in memory (`MemoryWorld`).  What is wrong with
a text, a body or a house comes as `Diagnostic`s, never as an exception; `render` writes one out for people.
"""

from importlib import import_module as _import_module
from typing import TYPE_CHECKING as _TYPE_CHECKING

from .version import __version__

if _TYPE_CHECKING:
    from .making.drafts import BodyDraft, Drafts
    from .making.size_papers import SizePapers
    from .making.sizes import SizeDrafts
    from .meaning.index import Definition, Use
    from .paper.kinds import KINDS as PAPERS
    from .paper.kinds import UnknownKind
    from .session import Reading, Session
    from .source.diagnostics import Diagnostic, Refused, render
    from .source.text import Source, Span
    from .source.world import FolderWorld, MemoryWorld, World, standard_texts

_HOMES = {  # a name is loaded when it is first asked for, so that a command loads only what it needs
    "BodyDraft": "making.drafts",
    "Definition": "meaning.index",
    "Diagnostic": "source.diagnostics",
    "Drafts": "making.drafts",
    "FolderWorld": "source.world",
    "MemoryWorld": "source.world",
    "PAPERS": "paper.kinds",
    "Reading": "session",
    "Refused": "source.diagnostics",
    "Session": "session",
    "SizeDrafts": "making.sizes",
    "SizePapers": "making.size_papers",
    "Source": "source.text",
    "Span": "source.text",
    "UnknownKind": "paper.kinds",
    "Use": "meaning.index",
    "World": "source.world",
    "render": "source.diagnostics",
    "standard_texts": "source.world",
}
__all__ = [
    "PAPERS",
    "BodyDraft",
    "Definition",
    "Diagnostic",
    "Drafts",
    "FolderWorld",
    "MemoryWorld",
    "Reading",
    "Refused",
    "Session",
    "SizeDrafts",
    "SizePapers",
    "Source",
    "Span",
    "UnknownKind",
    "Use",
    "World",
    "__version__",
    "render",
    "standard_texts",
]


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(_import_module(f".{_HOMES[name]}", __name__), "KINDS" if name == "PAPERS" else name)


def __dir__() -> list[str]:
    return [*__all__]
