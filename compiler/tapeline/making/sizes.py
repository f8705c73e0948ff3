"""A style drafted in the sizes of a table or of a folder of body cards.

Sizes are read with the style's own measurements; measures that the table has not are lent by a card, and gaps between sizes
filled in, each with a caution.  All sizes are drafted in one call, and with one error in any of them there is no run.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import PurePath

from ..bodies.card import Card
from ..bodies.measurement import Measurement
from ..bodies.sizes import Sizes, chosen, completed, no_such_size, read_size_cards, read_sizes, uneven_sizes
from ..meaning.style import Style
from ..paper.house.asked import read_asked
from ..paper.house.house import House
from ..paper.kinds import USUAL
from ..sizing.run import SizeRun, size_run
from ..source.diagnostics import Diagnostic, Refused, has_errors, refused
from ..source.text import Argument, Source
from ..source.world import World
from .bodies import Body, SomeHouse, believed, open_house, read_body
from .choices import Choices, wrong_choices
from .drafts import BodyDraft, draft_cards, no_unit
from .size_papers import SizePapers, size_papers
from .texts import CARD, TABLE, text_in

Table = Sizes | Source | PurePath | str  # a text is that of a table; a path may be that of a folder of cards


@dataclass(frozen=True, slots=True, eq=False)
class SizeDrafts:
    """The drafts of all sizes, in order, with all that is said of any; no drafts where a diagnostic is an error."""

    bodies: tuple[BodyDraft, ...]
    sizes: Sizes | None
    base: int | None
    house: House | None
    diagnostics: list[Diagnostic]

    def __repr__(self) -> str:
        return f"SizeDrafts({[body.name for body in self.bodies]}, diagnostics={len(self.diagnostics)})"

    @property
    def ok(self) -> bool:
        return not has_errors(self.diagnostics)

    def run(self) -> SizeRun:
        """Size beside size, for whatever is told of their growth.  ValueError where there are no drafts."""
        if self.sizes is None or not self.bodies:
            raise ValueError("the sizes could not be drafted; see the diagnostics")
        return size_run(self.bodies[0].style, self.sizes, self.bodies, self.base)

    def paper_set(
        self,
        kinds: Sequence[str] = USUAL,
        opened: bool = False,
        stacked: Sequence[str] = (),
        step: Callable[[], None] = lambda: None,
        paper: str | Sequence[str] = (),
        cloth: str | Sequence[str] = (),
    ) -> SizePapers:
        """The papers of every size and of the run as a whole, the words for a screen, and what is said of them.

        `stacked` are places where the sizes of a piece lie together in the nest; `step` is called as each size is done;
        `paper` and `cloth` are as for a body's papers.  `Refused` where a paper or a cloth cannot be used.
        """
        asked = read_asked(paper, cloth)
        return size_papers(self.run(), self.bodies, self.house or House(), kinds, opened, stacked, step, asked)

    def papers(
        self,
        kinds: Sequence[str] = USUAL,
        opened: bool = False,
        stacked: Sequence[str] = (),
        paper: str | Sequence[str] = (),
        cloth: str | Sequence[str] = (),
    ) -> dict[str, bytes]:
        """File name -> content of every paper of the run.  `Refused` where one cannot be made."""
        paper_set = self.paper_set(kinds, opened, stacked, paper=paper, cloth=cloth)
        for diagnostic in paper_set.diagnostics:
            if diagnostic.severity == "error":
                raise Refused(diagnostic)
        return paper_set.papers


def open_sizes(world: World, table: Table, style: Style, accept: bool = False) -> tuple[Sizes | None, list[Diagnostic]]:
    """The sizes of a table or of a folder of cards, read with the measurements of a style."""
    if isinstance(table, Sizes):
        return table, []
    folder = world.folder(table, ".toml") if isinstance(table, PurePath) else None
    sources: list[Source] = []
    diagnostics: list[Diagnostic] = []
    for text in [table] if folder is None else folder:
        source, wrong = text_in(world, text, "sizes", TABLE if folder is None else CARD)
        sources += [source] if source is not None else []
        diagnostics += wrong
    if has_errors(diagnostics):
        return None, diagnostics
    if not sources:
        return None, [_no_cards(table)]

    def read(known: Mapping[str, Measurement]) -> tuple[Sizes | None, list[Diagnostic]]:
        if folder is None or not isinstance(table, PurePath):
            return read_sizes(sources[0], known, style.doubts)
        return read_size_cards(table.name, sources, known, style.doubts)

    return believed(read, style.measurements, accept)


def _no_cards(table: object) -> Diagnostic:
    return refused(
        table.as_posix() if isinstance(table, PurePath) else "sizes",
        "F001",
        "There are no body cards in this folder",
        "files that end in .toml",
        "none",
        "Name a size table, or a folder of body cards.",
    )


def sizes_for(
    world: World, table: Table, style: Style, only: Sequence[str] | str = (), lender: Card | None = None, accept: bool = False
) -> tuple[Sizes | None, list[Diagnostic]]:
    """The sizes that are to be drafted, with every measure of the style; None where a diagnostic is an error."""
    sizes, diagnostics = open_sizes(world, table, style, accept)
    if sizes is None:
        return None, diagnostics
    selected = None
    if only:
        selected, wrong = chosen(sizes, [only] if isinstance(only, str) else only)
        diagnostics = [*diagnostics, *wrong]
        if has_errors(wrong):
            return None, diagnostics
    # Gaps are filled from the whole table; of sizes that are left out nothing need be said.
    names = (selected or sizes).names
    sizes, wrong = completed(sizes, style.needed, style.measurements, lender, style.doubts)
    body_names = {"", *map(sizes.body_name, names), *names}
    diagnostics = [diagnostic for diagnostic in [*diagnostics, *wrong] if diagnostic.body in body_names]
    sizes = replace(
        sizes,
        cards=tuple(card for card in sizes.cards if card.name in names),
        filled={size: marks for size, marks in sizes.filled.items() if size in names},
    )
    diagnostics += uneven_sizes(sizes.cards, style.needed)
    return (None if has_errors(diagnostics) else sizes), diagnostics


def base_of(sizes: Sizes, name: str | None) -> tuple[int | None, list[Diagnostic]]:
    """The place of the size that is named as base; None for the usual one."""
    if name is None:
        return None, []
    return (sizes.names.index(name), []) if name in sizes.names else (None, [no_such_size(sizes, Argument("base", name))])


def draft_sizes(
    world: World,
    style: Style,
    table: Table,
    only: Sequence[str] | str,
    lender: Body | None,
    base: str | None,
    choices: Choices,
    unit: str | None,
    house: SomeHouse,
    accept: bool,
    of_style: Sequence[Diagnostic],
    date: datetime | None = None,
) -> SizeDrafts:
    """Draft a style in every size, or in some `only`; `of_style` is what was said of the style."""
    diagnostics: list[Diagnostic] = []

    def wrong(more: Iterable[Diagnostic]) -> bool:
        diagnostics.extend(more)
        return has_errors(diagnostics)

    if wrong(no_unit(unit)):
        return SizeDrafts((), None, None, None, diagnostics)
    card, about = read_body(world, lender, style, accept, whole=False) if lender is not None else (None, [])
    if wrong(about):
        return SizeDrafts((), None, None, None, [*diagnostics, *wrong_choices(style, choices)])
    sizes, about = sizes_for(world, table, style, only, card, accept)
    if wrong(about) or sizes is None:
        return SizeDrafts((), None, None, None, [*diagnostics, *wrong_choices(style, choices)])
    place, about = base_of(sizes, base)
    if wrong(about):
        return SizeDrafts((), sizes, None, None, diagnostics)
    usual, about = open_house(world, house)
    if wrong(about) or usual is None:
        return SizeDrafts((), sizes, place, None, diagnostics)
    # Each size goes under the name that papers call it by.
    cards = [replace(card, name=sizes.body_name(card.name)) for card in sizes.cards]
    before = [*of_style, *diagnostics]
    of_each = [[d for d in before if d.body in ("", size, card.name)] for size, card in zip(sizes.names, cards, strict=True)]
    drafts, about = draft_cards(style, cards, choices, unit or usual.unit or cards[0].unit, usual, of_each, date)
    return SizeDrafts(() if wrong(about) else drafts, sizes, place, usual, diagnostics)
