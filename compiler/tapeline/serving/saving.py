"""The files behind the texts of the page: read, saved when that is asked, kept while it is not, and watched.

    tapeline/opening {tab}                        -> the style that was opened, its body and house, and what else there is to open
    tapeline/read {uri, tab}                      -> the saved text and its sum, and what was kept of it unsaved
    tapeline/save {uri, version, base, tab}       -> saved, or why not; `base` is the sum of the text that the author last saw on the disk
    tapeline/save_as {uri, version, name, tab}    -> the same under a new name in the folder; never over a file
    tapeline/keep {uri, version, base, tab}       -> the open text kept beside its file
    tapeline/drop {uri, tab}                      -> a kept copy thrown away
    tapeline/changed {uri, base, text, by}        told by the server: the file is another now, by `tab` or `disk`; `text` is null where it is gone
    tapeline/elsewhere {names}                    told by the server: files beside the open texts have changed

What is written is the open text of the connection, of the version that the page names, so that never an older one is saved.  Nothing is written
outside the folder, links followed; a style that comes with the program is opened to look at, and saved as a copy.
"""

from __future__ import annotations

import asyncio
import re
import tomllib
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from pygls.exceptions import JsonRpcInvalidParams

from ..source.world import SUFFIX, standard_folder
from .documents import Documents
from .protocol import DeskServer
from .unsaved import copies, drop_copy, is_tab, keep_copy, write_whole
from .watching import Watch, read_file, sum_of
from .worker import Stale

EVERY = 1.0  # seconds between two looks at the disk
_NAME = re.compile(r"[^\W\d]\w*")


@dataclass
class ServedFolder:
    """What `tapeline open` serves: one folder, the style it was opened with, and the body and house it was opened for."""

    folder: Path
    style: Path
    body: str = ""
    house: str = ""
    watch: Watch = field(init=False)
    tabs: Counter[str] = field(default_factory=Counter)  # connected now

    def __post_init__(self) -> None:
        self.watch = Watch(self.folder)

    def holds(self, path: Path) -> bool:
        """Whether a resolved file may be written."""
        return path.parent.resolve().is_relative_to(self.folder)

    def beside(self, path: Path) -> Path:
        """The file as which copies of a text are kept: itself, or of one that may not be written its namesake in the folder."""
        return path if self.holds(path) else self.folder / path.name


class Saving:
    """The methods above, for one connection."""

    def __init__(self, server: DeskServer, documents: Documents, served: ServedFolder):
        self.server, self.documents, self.served = server, documents, served
        self.tab = ""
        self.known: dict[str, str] = {}  # uri -> the sum of the text that this connection knows to be on the disk
        self.seen: dict[str, tuple[int, int]] = {}
        self.marks = served.watch.marks()

    # ------------------------------------------------------------ what there is

    def opening(self, given: Mapping[str, Any]) -> dict[str, object]:
        self.join(given)
        served = self.served
        return {
            "uri": self.documents.uri(served.style),
            "folder": served.folder.name or str(served.folder),
            "body": served.body,
            "house": served.house,
            "files": self.files(),
            "bodies": _cards(served.folder, served.body, "bodies"),
            "houses": _cards(served.folder, served.house, "houses"),
        }

    def join(self, given: Mapping[str, Any]) -> str:
        tab = given.get("tab")
        if not is_tab(tab):
            raise JsonRpcInvalidParams("A tab is called by eight signs of 0-9 and a-f.")
        if not self.tab:
            self.tab = str(tab)
            self.served.tabs[self.tab] += 1
        return self.tab

    def leave(self) -> None:
        self.served.tabs[self.tab] -= 1

    def files(self) -> list[dict[str, str]]:
        """The texts that can be opened: those of the folder, and the style that was opened."""
        paths = {path.resolve() for path in self.served.folder.glob(f"*{SUFFIX}") if not path.name.startswith(".")}
        inside = sorted(path for path in paths if self.served.holds(path)) + [self.served.style]
        return [{"uri": self.documents.uri(path), "name": path.name} for path in dict.fromkeys(inside)]

    # ------------------------------------------------------------ reading and saving

    def read(self, given: Mapping[str, Any]) -> dict[str, object]:
        tab, uri, path = self.join(given), *self.path(given)
        data = read_file(path)
        text, base = ("", "") if data is None else (_decoded(data), sum_of(data))
        self.known[uri] = base
        kept = [copy for copy in copies(self.served.beside(path)) if copy.text != text]
        return {
            "uri": uri,
            "name": path.name,
            "there": data is not None,
            "text": text,
            "base": base,
            "shipped": not self.served.holds(path),
            "unsaved": [
                {
                    "tab": copy.tab,
                    "base": copy.base,
                    "at": copy.at,
                    "text": copy.text,
                    "own": copy.tab == tab,
                    "elsewhere": copy.tab != tab and self.served.tabs[copy.tab] > 0,
                }
                for copy in kept
            ],
        }

    def save(self, given: Mapping[str, Any]) -> dict[str, object]:
        tab, uri, path = self.join(given), *self.path(given)
        text = self.text(uri, given)
        if not self.served.holds(path):
            return {"saved": False, "why": "shipped", "words": f"{path.name} comes with the program; save a copy of it in the folder."}
        data = read_file(path)
        if data is None and path.exists():
            return _refused(path, "it is no file that can be read")
        if (sum_of(data) if data is not None else "") != given.get("base"):
            theirs = None if data is None else _decoded(data)
            self.known[uri] = "" if data is None else sum_of(data)
            return {"saved": False, "why": "changed", "base": self.known[uri], "text": theirs}
        return self._write(uri, path, _encoded(text, data), tab)

    def save_as(self, given: Mapping[str, Any]) -> dict[str, object]:
        tab, uri, path = self.join(given), *self.path(given)
        name = str(given.get("name", "")).strip().removesuffix(SUFFIX)
        if not _NAME.fullmatch(name) or len(name) > 80:
            return {"saved": False, "why": "refused", "words": "A style is called by letters, digits and _, beginning with a letter."}
        target = self.served.folder / f"{name}{SUFFIX}"
        answer = self._write(self.documents.uri(target), target, _encoded(self.text(uri, given), None), tab, new=True)
        if answer["saved"]:
            drop_copy(self.served.beside(path), tab)
        return answer

    def _write(self, uri: str, path: Path, data: bytes, tab: str, new: bool = False) -> dict[str, object]:
        self.served.watch.wrote(path, data, tab)
        try:
            write_whole(path, data, new=new)
        except FileExistsError:
            return _refused(path, "a file of that name is there already; choose another name")
        except OSError as problem:
            return _refused(path, (problem.strerror or type(problem).__name__).lower())
        drop_copy(path, tab)
        self.known[uri] = sum_of(data)
        return {"saved": True, "uri": uri, "base": sum_of(data), "name": path.name}

    # ------------------------------------------------------------ what is not saved

    def keep(self, given: Mapping[str, Any]) -> dict[str, object]:
        tab, uri, path = self.join(given), *self.path(given)
        base = given.get("base")
        if not isinstance(base, str) or not re.fullmatch(r"[0-9a-f]{64}|", base):
            raise JsonRpcInvalidParams("The text that a copy was made from is named by its sum.")
        try:
            keep_copy(self.served.beside(path), tab, base, self.text(uri, given), datetime.now())
        except OSError as problem:
            return {"kept": False, "words": f"The folder cannot be written ({(problem.strerror or type(problem).__name__).lower()})."}
        return {"kept": True}

    def drop(self, given: Mapping[str, Any]) -> dict[str, object]:
        """Throw away the copy of a tab: this one's own, or one that is closed."""
        own, _, path = self.join(given), *self.path(given)
        tab = given.get("copy", own)
        if not is_tab(tab) or (tab != own and self.served.tabs[tab] > 0):
            raise JsonRpcInvalidParams("Only the copy of this tab, or of one that is closed, can be thrown away.")
        drop_copy(self.served.beside(path), tab)
        return {}

    # ------------------------------------------------------------ what others change

    async def watch(self) -> None:
        """Tell what changes on the disk, until it is cancelled."""
        while True:
            await asyncio.sleep(EVERY)
            self.look()

    def look(self) -> None:
        opened = {document.path: document.uri for document in self.documents.opened if document.path is not None}
        for path, uri in opened.items():
            self._look_at(path, uri)
        marks = self.served.watch.marks()
        if marks == self.marks:
            return
        changed = sorted(name for name in {*marks, *self.marks} if marks.get(name) != self.marks.get(name))
        self.marks = marks
        others = [name for name in changed if (self.served.folder / name).resolve() not in opened]
        if others:
            self.documents.changed_elsewhere()
            for uri in opened.values():
                for listener in self.documents.listeners:
                    listener(uri)
            self.tell("tapeline/elsewhere", {"names": others, "files": self.files()})

    def _look_at(self, path: Path, uri: str) -> None:
        try:
            status = path.stat()
            mark = status.st_mtime_ns, status.st_size
        except OSError:
            mark = (0, 0)
        if uri not in self.known or mark == self.seen.get(uri):
            return
        self.seen[uri] = mark
        data = read_file(path)
        base = "" if data is None else sum_of(data)
        if base == self.known[uri]:
            return
        self.known[uri] = base
        try:
            text = None if data is None else _decoded(data)
        except JsonRpcInvalidParams:
            text = None
        tab = self.served.watch.writer(path, base)
        by = "tab" if tab and tab != self.tab else "disk"
        self.tell("tapeline/changed", {"uri": uri, "base": base, "text": text, "by": by})

    def tell(self, method: str, params: Mapping[str, object]) -> None:
        self.server.protocol.notify(method, dict(params))

    # ------------------------------------------------------------ what is given

    def path(self, given: Mapping[str, Any]) -> tuple[str, Path]:
        """(uri, file) that a message is about; `NotServed` where it is none that this server has to do with."""
        uri = given.get("uri")
        path = self.documents.path(uri) if isinstance(uri, str) else None
        if path is None or path.suffix != SUFFIX:
            raise JsonRpcInvalidParams("Only styles and libraries are opened here.")
        return str(uri), path

    def text(self, uri: str, given: Mapping[str, Any]) -> str:
        """The open text, of the version that the page means."""
        if self.documents.version(uri) != given.get("version"):
            raise Stale
        return self.documents.text(uri)


def add_saving(server: DeskServer, documents: Documents, served: ServedFolder) -> Saving:
    saving = Saving(server, documents, served)
    methods = {
        "opening": saving.opening,
        "read": saving.read,
        "save": saving.save,
        "save_as": saving.save_as,
        "keep": saving.keep,
        "drop": saving.drop,
        "alive": lambda given: {},
    }
    for name, method in methods.items():

        def answer(params: Any, method: Any = method) -> object:
            if not isinstance(params, Mapping):
                raise JsonRpcInvalidParams("What is asked is said by names.")
            return method(params)

        answer.__name__ = name
        server.feature(f"tapeline/{name}")(answer)
    return saving


def _refused(path: Path, reason: str) -> dict[str, object]:
    return {"saved": False, "why": "refused", "words": f"{path.name} cannot be written: {reason}."}


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as problem:
        raise JsonRpcInvalidParams(f"The file is not a UTF-8 text: byte {problem.start} cannot be read.") from None


def _encoded(text: str, before: bytes | None) -> bytes:
    """A text as bytes, with the mark and the line ends that the file had before."""
    try:
        data = text.encode("utf-8")
    except UnicodeEncodeError:
        raise JsonRpcInvalidParams("The text holds half a character, which no file can hold; take it out.") from None
    if before is not None and before.count(b"\r\n") and before.count(b"\r\n") == before.count(b"\n"):
        data = data.replace(b"\n", b"\r\n")
    return b"\xef\xbb\xbf" + data if before is not None and before.startswith(b"\xef\xbb\xbf") else data


def _cards(folder: Path, chosen: str, sort: str) -> list[dict[str, str]]:
    """The cards (or houses) that can be chosen: those of the folder, told apart by what stands in them, and those of the program."""
    own = [path for path in sorted(folder.glob("*.toml")) if _sort(path) == sort]
    shipped = sorted((standard_folder("styles") / sort).glob("*.toml"))
    found = [{"name": str(path.resolve()), "words": path.stem} for path in own]
    found += [{"name": path.stem, "words": f"{path.stem} (comes with the program)"} for path in shipped]
    if chosen and all(one["name"] != chosen for one in found):
        found.insert(0, {"name": chosen, "words": Path(chosen).stem})
    return found


def _sort(path: Path) -> str:
    """`bodies` for a card, `houses` for a house file; else, as an order, nothing."""
    try:
        told = tomllib.loads((read_file(path) or b"").decode("utf-8-sig"))
    except ValueError:
        return ""
    if "measures" in told or "measured" in told:
        return "bodies"
    return "houses" if {"unit", "paper", "allowances"} & told.keys() else ""
