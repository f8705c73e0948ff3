"""The open texts of one connection, and what is read from them.

A document is a text as the client has it, with its version; line ends are told apart no more, as the protocol counts lines alike
whatever ends them.  All documents together are the world in which each is read (`source/edited.py`), so that a library that is open
and not saved counts for every style that uses it.  A `Document` never changes: a change puts another in its place, so the worker's
thread may read one while the next is being typed.  A reading is kept while its text and all that it can have seen of others are
the same.  A library is read by a style of one line that uses it, and everything else of a reading is as of a style.

    documents.text(uri), .version(uri), .source(uri)    the text as it is now, in the loop's thread or the worker's
    documents.reading(uri)                              what it is read as; takes time, so in the worker's thread only
    documents.offset(uri, position), .range(span)       places as the client counts them
    documents.uri_of(reading, source)                   where a text that a reading saw can be opened
"""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote, urlsplit

from lsprotocol import types

from ..editing.diagnosing import page_of
from ..session import Reading, Session
from ..source.cache import use_cache
from ..source.edited import EditedWorld
from ..source.text import Source, Span
from ..source.world import LIBRARIES, STYLES, SUFFIX, FolderWorld
from .places import Positions
from .worker import Stale

_HEADING = re.compile(r"^[ \t]*library[ \t]+([^\W\d]\w*)", re.MULTILINE)
_LINE_END = re.compile(r"\r\n?")
REST = 0.4  # seconds without a key, after which what takes longer is begun
_UNSAVED = "untitled"  # the scheme of texts that have no file yet
_SORTS = {"library": LIBRARIES, "style": STYLES}


class NotServed(Exception):
    """A text that is not open, or lies where this connection has nothing to do; the message is a sentence for the client."""


@dataclass(frozen=True)
class Document:
    """A text at one version; `path` is its file, resolved, and None where it has none yet."""

    uri: str
    version: int
    source: Source
    path: Path | None

    @property
    def is_rules(self) -> bool:
        """Whether it is a text of the language; cards, houses and tables that are open are only seen by others."""
        return self.path is None or self.path.suffix == SUFFIX


@dataclass(frozen=True)
class _Kept:
    source: Source
    others: int
    reading: Reading


class Documents:
    """The open texts of one connection.  Where there is a `folder`, files outside it and outside the program's own are refused."""

    def __init__(self, behind: FolderWorld | None = None, folder: Path | None = None):
        use_cache()
        self.behind = behind if behind is not None else FolderWorld()
        self.folder = None if folder is None else folder.resolve()
        self.also: set[Path] = set()  # files outside the folder that were named to the program itself, resolved
        self.positions = Positions()
        self.pages = ""  # the address under which the pages of codes are served
        self._open: dict[str, Document] = {}
        self._kept: dict[str, _Kept] = {}
        self._changed: dict[str, int] = {}  # uri -> the time, counted in changes, when it was changed last
        self.listeners: list[Callable[[str], None]] = []  # told the uri of a text that was opened, changed or closed
        self._clock = 0
        self._elsewhere = 0  # the time when a file changed that is not open, or a text was closed

    # ------------------------------------------------------------ files

    def path(self, uri: str) -> Path | None:
        """The file of a uri, resolved; None for a text without one.  `NotServed` where it is no file that is served here."""
        parts = urlsplit(uri)
        if parts.scheme == _UNSAVED and self.folder is None:
            return None
        if parts.scheme != "file" or parts.netloc not in ("", "localhost") or "\0" in unquote(parts.path):
            raise NotServed(f"Only files can be opened here, and this is none: {uri}")
        path = Path(unquote(parts.path)).resolve()
        homes = (self.folder, self.behind.standard, self.behind.styles)
        if (
            self.folder is not None
            and path not in self.also
            and not any(home is not None and path.is_relative_to(home) for home in homes)
        ):
            raise NotServed(f"Only files in {self.folder} can be opened here, and this is none: {path}")
        return path

    def uri(self, path: Path) -> str:
        """The uri of a file, as the client spells it where it has it open."""
        return next((document.uri for document in self._open.values() if document.path == path.resolve()), path.resolve().as_uri())

    def uri_of(self, reading: Reading, source: Source) -> str | None:
        """Where a text can be opened that a reading saw, its own or that of a library or style it uses; None where it has no file."""
        for document in self._open.values():
            if document.source == source:
                return document.uri
        for (sort, name), text in reading.opened.texts.items():
            if text == source and sort in _SORTS:
                world = reading.world
                path = world.place(_SORTS[sort], name) if isinstance(world, (EditedWorld, FolderWorld)) else None
                return None if path is None else self.uri(path)
        return None

    def page(self, code: str) -> str:
        """Where the page of a code can be opened: under `pages`, an address that ends in a stroke, where that is set, else as its file."""
        page = page_of(code)
        return f"{self.pages}{code}" if self.pages else Path(page).as_uri()

    # ------------------------------------------------------------ what the client does

    def open(self, uri: str, text: str, version: int) -> Document:
        return self._put(uri, _LINE_END.sub("\n", text), version)

    def change(self, uri: str, changes: Iterable[types.TextDocumentContentChangeEvent], version: int) -> Document:
        """Each change is of the text that the one before it left."""
        source = self.document(uri).source
        for change in changes:
            text = _LINE_END.sub("\n", change.text)
            if isinstance(change, types.TextDocumentContentChangePartial):
                start = self.positions.offset(source, change.range.start)
                end = max(start, self.positions.offset(source, change.range.end))
                text = source.text[:start] + text + source.text[end:]
            source = Source(source.name, text)
        return self._put(uri, source.text, version)

    def close(self, uri: str) -> None:
        self._open.pop(uri, None)
        self._kept.pop(uri, None)
        self._changed.pop(uri, None)
        self.changed_elsewhere()
        self._tell(uri)

    def changed_elsewhere(self) -> None:
        """A file that is not open, or whose text is not the open one, is another now."""
        self._clock += 1
        self._elsewhere = self._clock

    def _put(self, uri: str, text: str, version: int) -> Document:
        path = self.path(uri)
        name = unquote(urlsplit(uri).path) if path is None else self.behind.shown(path)
        document = Document(uri, version, Source(name, text), path)
        self._clock += 1
        self._changed[uri] = self._clock
        self._open[uri] = document
        self._tell(uri)
        return document

    def _tell(self, uri: str) -> None:
        for listener in self.listeners:
            listener(uri)

    # ------------------------------------------------------------ what is asked

    @property
    def opened(self) -> Sequence[Document]:
        return tuple(self._open.values())

    async def at_rest(self, uri: str) -> None:
        """Wait until a text has been left alone for a moment; `Stale` where it changes meanwhile."""
        document = self.document(uri)
        await asyncio.sleep(REST)
        if self._open.get(uri) is not document:
            raise Stale

    def document(self, uri: str) -> Document:
        """`NotServed` where it is not open."""
        document = self._open.get(uri)
        if document is None:
            raise NotServed(f"This text is not open: {uri}")
        return document

    def text(self, uri: str) -> str:
        return self.document(uri).source.text

    def source(self, uri: str) -> Source:
        return self.document(uri).source

    def version(self, uri: str) -> int:
        return self.document(uri).version

    def offset(self, uri: str, position: types.Position) -> int:
        """The character of an open text at a position."""
        return self.positions.offset(self.source(uri), position)

    def range(self, span: Span) -> types.Range:
        return self.positions.range(span)

    @property
    def world(self) -> EditedWorld:
        """All files as they stand now, with the open texts over them."""
        return EditedWorld(self.behind, {document.path: document.source.text for document in self.opened if document.path is not None})

    def is_read(self, uri: str) -> bool:
        """Whether the reading of a text as it is now is there already."""
        return self._known(self.document(uri), self._others(uri)) is not None

    def reading(self, uri: str) -> Reading:
        """What a text is read as, as it is now."""
        document, others = self.document(uri), self._others(uri)
        known = self._known(document, others)
        if known is not None:
            return known
        reading = read_document(document, self.world)
        self._kept[uri] = _Kept(document.source, others, reading)
        return reading

    def _known(self, document: Document, others: int) -> Reading | None:
        kept = self._kept.get(document.uri)
        return kept.reading if kept is not None and kept.source == document.source and kept.others == others else None

    def _others(self, uri: str) -> int:
        """When something was changed last that a text may have seen, other than itself."""
        return max([self._elsewhere, *(time for other, time in list(self._changed.items()) if other != uri)])


def read_document(document: Document, world: EditedWorld) -> Reading:
    """A style is read as it is, a library by a style that uses it."""
    beside = world if document.path is None else world.beside(document.path)
    session, source, heading = Session(beside), document.source, _HEADING.search(document.source.text)
    if heading is None or document.path is None:
        return session.read(source)
    name = document.path.stem
    return session.read(Source(f"{name} in use", f'language 1\n\nstyle use_of_{name} "The library {name}, in use"\n\nuse {name}\n'))
