"""Locks on the disk: made of a style and its sizes, found in folders, and set beside what their styles give today."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from ..source.diagnostics import ERROR, Diagnostic, has_errors, refused
from ..source.text import Span
from ..source.world import read_text
from .files import find_body, find_sizes, find_style

if TYPE_CHECKING:
    from ..bodies.card import Card
    from ..locking.comparing import Comparison
    from ..locking.lock import Lock
    from ..paper.house.house import House
    from ..session import Reading

LOCKED = ".locked"
UNFIT = ("L107", "L108")  # said of a lock that does not suit its style any more


def cards_for(
    reading: Reading, table: str | None, only: Sequence[str], lender: str | None, bodies: Sequence[str], accept: bool
) -> tuple[list[Card], list[Diagnostic]]:
    """The sizes of a table, with what is lent and filled in, or the bodies that are named; and what is said of them.  Clients go
    under their initials."""
    from ..bodies.sizes import uneven_sizes

    cards: list[Card] = []
    diagnostics: list[Diagnostic] = []
    for body in bodies:
        card, wrong = _card(reading, body, accept)
        diagnostics += wrong
        cards += [_unnamed(card)] if card is not None else []
    diagnostics += uneven_sizes(cards, reading.sound.needed)
    if table is None:
        return cards, diagnostics
    path, wrong = find_sizes(table)
    diagnostics += wrong
    lent, wrong = _card(reading, lender, accept, whole=False) if lender is not None else (None, [])
    diagnostics = [*diagnostics, *wrong]
    if path is None or has_errors(diagnostics):
        return [], diagnostics
    sizes, wrong = reading.sizes(path, only, lent, accept)
    found = [] if sizes is None else list(sizes.cards)
    return [_unnamed(card) for card in found] if path.is_dir() else found, [*diagnostics, *wrong]


def _card(reading: Reading, body: str, accept: bool, whole: bool = True) -> tuple[Card | None, list[Diagnostic]]:
    path, diagnostics = find_body(body)
    return (None, diagnostics) if path is None else reading.card(path, accept, whole)


def made_lock(
    reading: Reading,
    style: str,
    path: Path,
    target: Path,
    cards: Sequence[Card],
    choices: dict[str, float],
    house: House,
    unit: str,
) -> tuple[Lock | None, list[Diagnostic]]:
    """(lock, what is said of its sizes); None where every size fails.

    `style` is the style as it was named to the command, `path` its file, and `target` where the lock will stand.
    """
    from ..locking.comparing import present_lock
    from ..locking.lock import Lock
    from ..locking.texts import style_texts

    measures = {name: tuple(float(card.values[name]) for card in cards) for name in reading.sound.needed}
    allowances = {name: (float(allowance.width), allowance.kind) for name, allowance in house.allowances.items()}
    request = Lock("", "", _style_reference(style, path, target), unit, choices, allowances, _names(cards), measures)
    lock, diagnostics = present_lock(request, reading.sound, style_texts(reading.source, reading.opened).sources)
    return (None if len(lock.fails) == len(lock.sizes) else lock), diagnostics


def _style_reference(style: str, path: Path, target: Path) -> str:
    """How a lock names its style: the bare name of one that comes with the program, else the way to it from the lock."""
    if path != Path(style):
        return style
    try:
        return Path(os.path.relpath(path.resolve(), target.resolve().parent)).as_posix()
    except ValueError:  # on another drive
        return path.resolve().as_posix()


def _names(cards: Sequence[Card]) -> tuple[str, ...]:
    """What the lock calls its bodies, told apart where several are called alike."""
    names: list[str] = []
    for card in cards:
        name, number = card.name, 1
        while name in names:
            number += 1
            name = f"{card.name} ({number})"
        names.append(name)
    return tuple(names)


def _unnamed(card: Card) -> Card:
    """A client under her initials, since a lock is shared; a card whose name has a figure in it is that of a size, and keeps it."""
    if any(letter.isdigit() for letter in card.name):
        return card
    return replace(card, name="".join(word[0] for word in re.findall(r"\w+", card.name)).upper() or "body")


def locks_below(places: Iterable[Path]) -> tuple[list[Path], list[Diagnostic]]:
    """The locks that are named, and those below the folders that are named, where only files with the mark count.  L109."""
    from ..locking.reading import is_ours

    paths: dict[Path, None] = {}
    diagnostics = []
    for place in places:
        if not place.is_dir():
            paths[place] = None
            continue
        files, unreadable = _below(place)
        diagnostics += unreadable
        below = [path for path in files if is_ours(_begins(path))]
        paths |= dict.fromkeys(below)
        if not below and not unreadable:
            diagnostics.append(
                refused(
                    place.as_posix(),
                    "L109",
                    "There is no lock in this folder",
                    "a file that tapeline lock has written",
                    "none",
                    "Write one: tapeline lock STYLE --sizes TABLE -o NAME.locked",
                )
            )
    return list(paths), diagnostics


def _below(folder: Path) -> tuple[list[Path], list[Diagnostic]]:
    """Files of a lock's ending, but for those in hidden folders and in virtual environments of Python; and folders that are shut."""
    files, unreadable = [], []

    def refuse(problem: OSError) -> None:
        unreadable.append(
            refused(
                Path(problem.filename).as_posix(),
                "F001",
                "The folder cannot be read",
                "a folder that can be entered",
                (problem.strerror or type(problem).__name__).lower(),
                "Check its permissions, or name the locks.",
            )
        )

    for here, folders, names in os.walk(folder, onerror=refuse):
        if "pyvenv.cfg" in names:
            folders.clear()
            continue
        folders[:] = [name for name in folders if not name.startswith(".")]
        files += [Path(here) / name for name in names if name.endswith(LOCKED)]
    return sorted(files), unreadable


def _begins(path: Path) -> bytes:
    try:
        with open(path, "rb") as file:
            return file.read(64)
    except OSError:
        return b""


@dataclass(slots=True)
class LockCheck:
    """One lock looked at: what has moved, or why that cannot be told."""

    path: Path
    comparison: Comparison | None = None
    diagnostics: list[Diagnostic] = field(default_factory=list)

    @property
    def name(self) -> str:
        return self.path.as_posix()

    @property
    def wrong(self) -> bool:
        return has_errors(self.diagnostics)

    @property
    def fails_everywhere(self) -> bool:
        return self.comparison is not None and len(self.comparison.present.fails) == len(self.comparison.lock.sizes)

    @property
    def unread(self) -> bool:
        """Whether a file is at fault, not the style or the sizes."""
        return self.wrong and all(
            diagnostic.code[0] in "FL" and diagnostic.code not in UNFIT
            for diagnostic in self.diagnostics
            if diagnostic.severity == ERROR
        )


def check_lock(path: Path, step: Callable[[], object] = lambda: None) -> LockCheck:
    """Set a lock beside what its style gives today.  `step` is called after each draft."""
    from ..locking.comparing import compared
    from ..locking.reading import read_lock
    from ..locking.texts import style_texts
    from ..session import Session

    text, diagnostics = read_text(path)
    if text is None:
        return LockCheck(path, None, diagnostics)
    lock, diagnostics = read_lock(text)
    if lock is None:
        return LockCheck(path, None, diagnostics)
    at = next(
        (
            Span(text, start, start + len(line))
            for start, line in ((start, text.line(number)) for number, start in enumerate(text.starts, 1))
            if line.startswith("file:")
        ),
        Span(text, 0, 0),
    )
    style_path, diagnostics = _style_of(lock.file, path)
    session = Session(keep=True)
    source, diagnostics = (None, diagnostics) if style_path is None else session.world.text(style_path)
    if style_path is None or source is None:
        problem = diagnostics[0]
        return LockCheck(
            path,
            None,
            [
                Diagnostic(
                    problem.code,
                    "The style of this lock cannot be read",
                    at,
                    problem.expected,
                    problem.found,
                    "Put the style back, or change the line of the lock that names it.",
                )
            ],
        )
    reading = session.read(style_path)
    comparison, diagnostics = compared(lock, at, style_texts(reading.source, reading.opened), reading.world, step)
    return LockCheck(path, comparison, diagnostics)


def _style_of(file: str, lock: Path) -> tuple[Path | None, list[Diagnostic]]:
    if "/" not in file and not file.endswith(".style"):
        return find_style(file)
    return Path(os.path.normpath(lock.parent / file)), []


def report_of(check: LockCheck) -> str:
    """All that is told of one lock, as text."""
    from ..locking.telling import tell
    from ..source.diagnostics import render

    parts = [render(diagnostic) for diagnostic in check.diagnostics]
    if check.comparison is not None:
        parts.append("\n".join(tell(check.comparison, check.name)))
    return "\n\n".join(parts)
