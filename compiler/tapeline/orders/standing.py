"""How an order stands: whether it was drafted, when, and what of that on which its papers rest has changed since.

Nothing is drafted for it.  The record beside the papers holds the measures, the choices, and marks of the program, of the style's
own rules, of what is used of each library, of the client's fittings, and of the house; each is set beside what holds today.  So a folder of orders whose papers
are good is gone through in the time that it takes to read them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path, PurePath
from typing import Any, Protocol

from ..bodies.card import Card
from ..making.bodies import open_house, read_body
from ..making.choices import choices_of, counts_of, read_choices
from ..making.resting import rests_on, rests_on_parts
from ..meaning.fingerprint import fingerprints
from ..meaning.fittings import changes_for
from ..meaning.library import link
from ..meaning.style import Style
from ..paper.house.house import House
from ..source.diagnostics import Diagnostic, has_errors
from ..source.text import Source
from ..source.world import FittedWorld, World
from .carrying_out import in_the_order
from .opening import Named, named_by
from .order import ClientOrder, read_order
from .papers_there import RECORD, read_record

SAME = 1e-3  # of a measure in mm, a choice in mm, degrees or as a number: records have four decimals
SIDES = ("left", "right")  # before a measure, in the record of an uneven body
NEW, GOOD, STALE, WRONG = "not drafted", "as drafted", "stale", "cannot be drafted"


class ReadStyle(Protocol):
    """What has come of a style's text."""

    @property
    def style(self) -> Style | None: ...

    @property
    def diagnostics(self) -> Sequence[Diagnostic]: ...


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """One order of a folder.  `record` is that of its latest draft, `changed` what is otherwise since then, in words; the rest is what
    a draft of today would be made from, where it can be."""

    path: PurePath
    order: ClientOrder | None
    diagnostics: list[Diagnostic]
    record: Mapping[str, Any] | None = None
    papers: Path | None = None  # the folder that it lies in
    changed: tuple[str, ...] = ()
    style: Style | None = None
    card: Card | None = None
    house: House | None = None
    values: Mapping[str, float] = field(default_factory=dict)  # of the choices that the order sets
    style_path: PurePath | None = None
    changes: Source | None = None  # that the client's fittings make of the style

    @property
    def name(self) -> str:
        return self.path.stem

    @property
    def drafted(self) -> str:
        """The day of the latest draft, or nothing."""
        return "" if self.record is None else str(self.record.get("date") or "")[:10]

    @property
    def state(self) -> str:
        if has_errors(self.diagnostics):
            return WRONG
        return NEW if self.record is None else STALE if self.changed else GOOD

    def late(self, day: date) -> bool:
        """Whether it is not drafted, or stale, on the day on which it is due or later."""
        return self.order is not None and self.order.due is not None and self.order.due <= day and self.state != GOOD


def orders_in(world: World, folder: PurePath) -> list[PurePath]:
    """The orders in a folder, in the order of their names; a link that leads out of it is none."""
    from . import SUFFIX

    found = world.folder(folder, SUFFIX) or []
    return [path for path in found if world.neighbour(path, path.name) is not None]


def standing(world: World, path: PurePath, read: Callable[[PurePath], ReadStyle], day: date) -> Standing:
    """How the order at a path stands on a day."""
    source, diagnostics = world.text(path)
    if source is None:
        return Standing(path, None, diagnostics)
    order, diagnostics = read_order(source)
    if order is None:
        return Standing(path, None, diagnostics)
    papers, record = latest(Path(path))
    named, about = named_by(world, path, order)
    diagnostics += about
    style, card, house = None, None, None
    values: dict[str, float] = {}
    if named is not None:
        reading = read(named.style)
        style = reading.style
        diagnostics += errors_in(reading.diagnostics)
    changes = None
    if named is not None and style is not None:
        card, house, values, about = _opened(world, order, named, style, day)
        diagnostics += about
        if not order.unfitted:
            changes, about = changes_for(world, named.style, style.plan().name, named.card, order.fittings or day)
            diagnostics += errors_in(about)
    changed: tuple[str, ...] = ()
    if named is not None and record is not None and style is not None and card is not None and house is not None:
        now = rests_on(style, house) if changes is None else _rests_on_fitted(world, named.style, style, changes, house)
        changed = tuple(_changed(record, style, card, now, values))
    style_path = named.style if named is not None else None
    return Standing(path, order, diagnostics, record, papers, changed, style, card, house, values, style_path, changes)


def _rests_on_fitted(world: World, path: PurePath, style: Style, changes: Source, house: House) -> dict[str, object]:
    """What a draft of the style rests on as it is fitted: it is linked for that, and not read through."""
    linked, _ = link(style.source, FittedWorld(world.beside(path), changes))
    return rests_on(style, house) if linked is None else rests_on_parts(fingerprints(linked).parts, house)


def errors_in(diagnostics: Iterable[Diagnostic]) -> list[Diagnostic]:
    """What keeps an order from being drafted; cautions are told when it is."""
    return [said for said in diagnostics if said.severity == "error"]


def _opened(
    world: World, order: ClientOrder, named: Named, style: Style, day: date
) -> tuple[Card | None, House | None, dict[str, float], list[Diagnostic]]:
    """(card, house, values of the choices that are set, what is said)."""
    card, about = read_body(world, named.card, style, when=order.when(day))
    diagnostics = errors_in(about)
    house, about = open_house(world, named.house)
    diagnostics += errors_in(about)
    values, about = read_choices(order.settings, choices_of(style), counts_of(style))
    return card, house, values, [*diagnostics, *in_the_order(order, about)]


def latest(order: Path) -> tuple[Path | None, dict[str, Any] | None]:
    """The latest draft of an order: the folder that it lies in, and its record.  Folders that are links elsewhere count for nothing."""
    home = order.with_suffix("")
    if not home.is_dir() or home.is_symlink():
        return None, None
    folders = [folder for folder in home.iterdir() if folder.is_dir() and not folder.is_symlink()]
    for folder in sorted(folders, key=lambda folder: (folder.name[-10:], folder.name), reverse=True):
        for path in sorted(folder.glob(f"{RECORD}*.json")):
            record = None if path.is_symlink() else read_record(path)
            if record is not None:
                return folder, record
    return None, None


# ------------------------------------------------------------------------------------------------ what has changed


def _changed(
    record: Mapping[str, Any], style: Style, card: Card, now: Mapping[str, object], values: Mapping[str, float]
) -> Iterator[str]:
    if record["style"].get("name") != style.plan().name:
        yield "the order, which is of another style now"
        return
    there = _mapping(record.get("rests_on"))
    if there.get("program") != now["program"]:
        yield "the program"
    if there.get("style") != now["style"]:
        yield "the style"
    libraries = [_mapping(rests.get("libraries")) for rests in (there, now)]
    for name in sorted(libraries[0].keys() | libraries[1].keys()):
        if libraries[0].get(name) != libraries[1].get(name):
            yield f"the library {name}"
    if there.get("fittings") != now["fittings"]:
        yield "the fittings"
    if there.get("house") != now["house"]:
        yield "the house"
    measures = list(_other_measures(_mapping(record.get("measures")), style, card))
    if measures:
        yield f"the card, {', '.join(measures)}"
    choices = list(_other_choices(record, style, values))
    if choices:
        yield f"the order, {', '.join(choices)}"


def _mapping(value: object) -> Mapping[str, Any]:
    return value if isinstance(value, Mapping) else {}


def _other_measures(there: Mapping[str, Any], style: Style, card: Card) -> Iterator[str]:
    """The measures that the draft was made by and that are otherwise now."""
    for name, figure in there.items():
        side, _, measure = name.rpartition(" ")
        now = _of_side(card, side, measure)
        if now is not None and not _same(figure, now):
            measurement = style.measurements.get(measure)
            before = measurement.show(float(figure), card.unit) if measurement is not None and _is_figure(figure) else "?"
            after = measurement.show(now, card.unit) if measurement is not None else "?"
            yield f"{name.replace('_', ' ')} {before} -> {after}"
    for measure in card.sides:
        if measure in there and f"{SIDES[0]} {measure}" not in there:
            yield f"{measure.replace('_', ' ')}, whose sides differ now"


def _of_side(card: Card, side: str, measure: str) -> float | None:
    """A measure of the whole body, or as a body has it that is on both sides like this one; None where it is not on the card."""
    if side in SIDES and measure in card.sides:
        return card.sides[measure][SIDES.index(side)]
    return card.values.get(measure)


def _other_choices(record: Mapping[str, Any], style: Style, values: Mapping[str, float]) -> Iterator[str]:
    """Choices that are set otherwise now, and those that are not set any more."""
    there, known = _mapping(record.get("choices")), choices_of(style)
    for name, value in values.items():
        shown = math.degrees(value) if known[name].kind.word == "angle" else value
        if not _same(there.get(name), shown):
            yield name.replace("_", " ")
    for name in record.get("chosen") or ():
        if name not in values:
            yield str(name).replace("_", " ")


def _same(figure: object, value: float) -> bool:
    return _is_figure(figure) and abs(float(figure) - value) <= SAME  # type: ignore[arg-type]  # it is a figure


def _is_figure(figure: object) -> bool:
    return isinstance(figure, (int, float))
