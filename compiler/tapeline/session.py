"""The public door: a text is read, drafted for bodies, and made into papers, and no file is touched but through a world.

A `Session` reads texts in one world.  What it gives is a `Reading`, whatever is wrong with the text: its tree, its names, its
plans as far as they go, and diagnostics.  A reading that is `ok` can be drafted, for bodies or for the sizes of a table; a
draft gives its papers as bytes.  A reading never changes: what of it is worked out when it is first asked for rests on the text
and the answers of the world alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from pathlib import PurePath
from typing import TYPE_CHECKING

from .meaning.cached import Opened, open_style, read_anew
from .meaning.style import Checked, Style, check
from .source.cache import use_cache
from .source.diagnostics import Diagnostic, has_errors
from .source.text import Source, Span
from .source.world import FittedWorld, FolderWorld, World, replayed

if TYPE_CHECKING:  # each takes time to load, and is wanted by some sessions only
    from datetime import date as Day
    from datetime import datetime

    import numpy as np

    from .bodies.card import Card
    from .bodies.sizes import Sizes
    from .finishing.whole import Whole
    from .making.bodies import Bodies, Body, SomeHouse
    from .making.choices import Choices
    from .making.drafts import Drafts
    from .making.sizes import SizeDrafts, Table
    from .meaning.cached import Examined
    from .meaning.index import Definition, Index, Symbols, Use
    from .meaning.plan import Plan
    from .orders.carrying_out import OrderDraft
    from .orders.moved import Anew
    from .orders.order import ClientOrder
    from .orders.standing import Standing
    from .paper.house.house import House
    from .syntax.tree import Start

Place = str | int | tuple[int, int] | Span  # a name, `waist` or `front.waist`; a character; line and column, both from 1


class Session:
    """Texts read in one world, usually that of the files beside a text and of the standard library.

    With `keep`, styles in order are kept in the user's cache folder from one start of the program to the next.  The folder is then
    open to the whole process for as long as it runs: what the parser makes of the grammar is kept there as well, whichever session
    first needs it.  The styles of a session without `keep` are never kept, and a process with no other leaves the folder alone.
    """

    def __init__(self, world: World | None = None, keep: bool = False):
        self.world = world if world is not None else FolderWorld()
        self.keep = keep
        if keep:
            use_cache()

    def read(self, style: str | Source | PurePath, name: str = "text.style", changes: Source | None = None) -> Reading:
        """Read a text, shown under a name, or the text that stands at a path of the world, whose neighbours there it can use.

        `changes` are a client's fittings, which are set into the style; see `read_for`.
        """
        world = self.world
        if isinstance(style, PurePath):
            world = world.beside(style)
            source, diagnostics = self.world.text(style)
            if source is None:
                return _unread(Source(style.as_posix(), ""), world, diagnostics)
        elif isinstance(style, (Source, str)):
            source = style if isinstance(style, Source) else Source(name, style)
            if len(source.text.split()) == 1:  # one word is no style
                from .making.texts import STYLE, named, shipped

                words = source.text.strip()
                if words.endswith(STYLE.suffix) or shipped(world, words, STYLE):
                    return _unread(source, world, [named(world, words, STYLE)])
        else:
            raise TypeError(f"a style is read from a text (str or Source) or a path (pathlib), not from {type(style).__name__}")
        if changes is not None:
            world = FittedWorld(world, changes)
        return Reading(source, world, (open_style if self.keep else read_anew)(source, world))

    def read_for(
        self, style: PurePath, card: PurePath, until: Day | None = None, anonymous: bool = False
    ) -> tuple[Reading, list[Diagnostic]]:
        """A style, by its path, as the fittings beside a client's card have changed it up to a day, and what is said of the fittings.

        `nell.fittings` stands beside `nell.toml`; where there is none, or nothing in it is of this style, it is the style itself.
        Where it is `anonymous`, no paper tells what the fittings say of the client, nor what their file is called.
        """
        from .meaning.fittings import changes_for

        reading = self.read(style)
        if reading.style is None:
            return reading, []
        changes, diagnostics = changes_for(self.world, style, reading.style.plan().name, card, until, anonymous)
        return (reading if changes is None else self.read(style, changes=changes)), diagnostics

    def order(self, path: PurePath) -> tuple[ClientOrder | None, list[Diagnostic]]:
        """A client's order, by its path; None where it cannot be read."""
        from .orders.order import read_order

        source, diagnostics = self.world.text(path)
        return (None, diagnostics) if source is None else read_order(source)

    def take_order(
        self, path: PurePath, order: ClientOrder, date: datetime, accept: bool = False
    ) -> tuple[ClientOrder | None, list[Diagnostic]]:
        """An order as it is to stand at a path, with the version of its style, and all that is said of it when it is tried by a draft;
        None where that is an error.  Nothing is written: `orders.order.write_order` gives its text."""
        from .orders.order import read_order, write_order

        text = write_order(order)
        again, diagnostics = read_order(Source(path.as_posix(), text))
        if again is None:
            return None, diagnostics
        drafted, about = self._carried_out(path, again, date, accept)
        if drafted is None:
            return None, [*diagnostics, *about]
        return replace(again, version=again.version or drafted.body.draft.plan.version), [*diagnostics, *about]

    def draft_order(
        self, path: PurePath, date: datetime, accept: bool = False, anonymous: bool = False
    ) -> tuple[OrderDraft | None, list[Diagnostic]]:
        """An order drafted on a day, by its path, and all that is said of it, its style, card and house; None where one is an error."""
        order, diagnostics = self.order(path)
        if order is None:
            return None, diagnostics
        drafted, about = self._carried_out(path, order, date, accept, anonymous)
        return drafted, [*diagnostics, *about]

    def orders(self, folder: PurePath, date: datetime) -> list[Standing]:
        """How each order in a folder stands on a day, in the order of their names, and what has changed since it was drafted.  Nothing is
        drafted: `moved` tells what has moved."""
        from .orders.standing import orders_in, standing

        styles: dict[PurePath, Reading] = {}

        def read(path: PurePath) -> Reading:
            if path not in styles:
                styles[path] = self.read(path)
            return styles[path]

        return [standing(self.world, path, read, date.date()) for path in orders_in(self.world, folder)]

    def moved(self, orders: Sequence[Standing]) -> dict[Standing, Anew]:
        """What has moved in each of these orders, which were drafted before: drafted again, those of one style together, and compared
        with the records of then."""
        from .orders.moved import drafted_anew

        def fitted(path: PurePath, changes: Source) -> Reading:
            return self.read(path, changes=changes)

        return drafted_anew(orders, fitted)

    def _carried_out(
        self, path: PurePath, order: ClientOrder, date: datetime, accept: bool, anonymous: bool = False
    ) -> tuple[OrderDraft | None, list[Diagnostic]]:
        from .orders.carrying_out import carried_out
        from .orders.opening import named_by

        named, diagnostics = named_by(self.world, path, order)
        if named is None:
            return None, diagnostics
        if order.unfitted:
            reading = self.read(named.style)
        else:
            reading, diagnostics = self.read_for(named.style, named.card, order.fittings or date.date(), anonymous)
        if reading.style is None or has_errors(diagnostics):
            return None, [*diagnostics, *reading.diagnostics]
        diagnostics += reading.diagnostics
        return carried_out(self.world, order, named, reading.style, date, accept, diagnostics, anonymous)


def _unread(source: Source, world: World, diagnostics: list[Diagnostic]) -> Reading:
    """The reading of a text that is not there."""
    return Reading(source, world, Opened(None, diagnostics, {}, None, Checked(None, {}, diagnostics, None)))


class Reading:
    """What has come of a text: `source` is the text, `opened` the style and what was said.

    Everything is there as far as it could be read, whatever is wrong with the text; `style`, and with it the drafts, only where
    nothing is.
    """

    def __init__(self, source: Source, world: World, opened: Opened):
        self.source, self.world, self.opened = source, world, opened

    def __repr__(self) -> str:
        return f"Reading({self.source.name!r}, ok={self.ok}, diagnostics={len(self.diagnostics)})"

    @property
    def diagnostics(self) -> tuple[Diagnostic, ...]:
        """All that is said of the text and of those it uses, by file and place, each once."""
        return tuple(self.opened.diagnostics)

    @property
    def ok(self) -> bool:
        """Whether nothing said is an error."""
        return not has_errors(self.diagnostics)

    @property
    def fingerprint(self) -> str:
        """One short word for all rules of the style and what it uses of others; empty where it is not in order."""
        return "" if self.style is None else self.style.fingerprint

    @property
    def style(self) -> Style | None:
        return self.opened.style

    @property
    def tree(self) -> Start:
        """The syntax tree of the text; what could not be read stands in it as `Broken`."""
        from .syntax.parser import parse

        return parse(self.source).tree

    @property
    def comments(self) -> tuple[Span, ...]:
        """The comments of the text, in order; `syntax.trivia` tells which statement each belongs to."""
        from .syntax.parser import parse

        return parse(self.source).comments

    def tidied(self, drafts: bool = False) -> tuple[str, list[Diagnostic]]:
        """The text in the one layout, proved to have the same tree, comments and mistakes, and with `drafts` the same drafts; the text
        as it is, and E100, where it would not."""
        from .tidy.proof import tidied, tidied_whole

        return tidied_whole(self.source, self.world) if drafts else tidied(self.source)

    @cached_property
    def _checked(self) -> Checked:
        """All that reading comes to; a style that was kept is read for it."""
        return self.opened.checked or check(self.source, replayed(self.opened.texts, self.world))

    @property
    def plans(self) -> list[Plan]:
        """The plan of every course that was read, the usual one first, also where something is wrong with it: then what could
        not be read is not in it, and it cannot be run."""
        if self.style is not None:
            return self.style.plans()
        return [checked.course.plan for checked in self._checked.courses.values()]

    # ------------------------------------------------------------ names

    @property
    def symbols(self) -> list[Symbols]:
        """What was noted of names in every course that was read."""
        return [checked.symbols for checked in self._checked.courses.values()]

    @cached_property
    def _index(self) -> Index:
        from .meaning.index import Index

        return Index(self.source, self.symbols)

    @property
    def definitions(self) -> tuple[Definition, ...]:
        """Every name that the text and those it uses define, the text's own first, each by its place."""
        return self._index.definitions

    @property
    def uses(self) -> tuple[Use, ...]:
        """Every place where a name is used, and its definition."""
        return self._index.uses

    @property
    def kinds(self) -> Mapping[Span, str]:
        """The place of each name, where it is defined or used -> the kind of what it stands for: length, point, edge, ..."""
        places = [
            *((definition.span, definition) for definition in self.definitions),
            *((use.span, use.definition) for use in self.uses),
        ]
        return {span: definition.kind for span, definition in places if definition.kind}

    def definition(self, place: Place) -> Definition | None:
        """What the name at a place of the text, or a name such as `waist` or `front.waist`, stands for."""
        if isinstance(place, str):
            return self._index.named(place)
        if isinstance(place, Span):
            return self._index.at(place.source, place.start)
        if isinstance(place, tuple):
            line, column = place
            if not (1 <= line <= len(self.source.starts) and 1 <= column <= len(self.source.line(line)) + 1):
                return None
            place = self.source.starts[line - 1] + column - 1
        return self._index.at(self.source, place)

    def name_at(self, source: Source, offset: int) -> tuple[Span, Definition] | None:
        """The name at a character of any text that was read, and what it stands for."""
        return self._index.name_at(source, offset)

    def explain(self, place: Place) -> str:
        """The same in words: what the name is, what is said of it, and where it is defined; empty where no name is known.

        Of a name that stands in pieces alone, such as `side`, there is a line for each piece.
        """
        from .meaning.index import explained

        definition = self.definition(place)
        if definition is None and isinstance(place, str):
            return "\n".join(explained(match) for match in self.definitions if match.name == place)
        return "" if definition is None else explained(definition)

    # ------------------------------------------------------------ what is made of it

    @property
    def sound(self) -> Style:
        """The style.  ValueError where the text is not in order."""
        if self.style is None:
            raise ValueError("the text is not in order; see the diagnostics")
        return self.style

    def choices(self, given: Choices) -> tuple[dict[str, float], list[Diagnostic]]:
        """The values of choices, millimetres, radians, or 1 and 0, and what is wrong with any.  ValueError as `sound`."""
        from .making.choices import choices_of, counts_of, read_choices

        return read_choices(given, choices_of(self.sound), counts_of(self.sound))

    def card(self, body: Body, accept: bool = False, whole: bool = True) -> tuple[Card | None, list[Diagnostic]]:
        """A body with every measure that the style needs, or unless `whole` some of them; None where it cannot be used."""
        from .making.bodies import read_body

        return read_body(self.world, body, self.sound, accept, whole)

    def sizes(
        self, table: Table, only: Sequence[str] | str = (), lender: Card | None = None, accept: bool = False
    ) -> tuple[Sizes | None, list[Diagnostic]]:
        """The sizes of a table with every measure that the style needs; None where they cannot be used."""
        from .making.sizes import sizes_for

        return sizes_for(self.world, table, self.sound, only, lender, accept)

    def house(self, house: SomeHouse) -> tuple[House | None, list[Diagnostic]]:
        """A house, given as to `draft`; None where it cannot be read."""
        from .making.bodies import open_house

        return open_house(self.world, house)

    def draft(
        self,
        bodies: Bodies,
        choices: Choices = (),
        unit: str | None = None,
        house: SomeHouse = None,
        accept: bool = False,
        date: datetime | None = None,
        measured: Day | None = None,
    ) -> Drafts:
        """Draft the style for each body: a card as text, by its path or read already, or measures in figures.

        Figures without a unit are millimetres, or degrees where a measure or choice is an angle.  A house is its text, its path
        or read already.  Lengths are shown in `unit` (mm, cm or in), else in the house's, else in that of each card; any other
        unit is a diagnostic, and nothing is drafted.  `accept` uses measures that are hard to believe.  Papers bear the `date`; of a
        draft without one they tell none, since no clock is read here.  Of a card that keeps several measurings counts the latest up to
        the date, or that of the day on which it was `measured`.  What cannot be read or
        drafted, or has the name of a body before it, is said in the diagnostics, and other bodies are drafted all the same.
        """
        from .making.drafts import Drafts, draft_bodies

        if self.style is None:
            return Drafts((), [*self.diagnostics])
        return draft_bodies(self.world, self.style, bodies, choices, unit, house, accept, self.diagnostics, date, measured)

    def draft_sizes(
        self,
        table: Table,
        only: Sequence[str] | str = (),
        lender: Body | None = None,
        base: str | None = None,
        choices: Choices = (),
        unit: str | None = None,
        house: SomeHouse = None,
        accept: bool = False,
        date: datetime | None = None,
    ) -> SizeDrafts:
        """Draft the style in every size of a table (or in one or some `only`), given as text, by its path, or as a folder of cards.

        `lender` is a body for the measures that the table has not, `base` the size from which the others are told.  All sizes are
        shown in one unit: `unit` as in `draft`, else the house's, else that of the first size.  `date` is as in `draft`.
        """
        from .making.sizes import SizeDrafts, draft_sizes

        if self.style is None:
            return SizeDrafts((), None, None, None, [*self.diagnostics])
        return draft_sizes(self.world, self.style, table, only, lender, base, choices, unit, house, accept, self.diagnostics, date)

    def draft_arrays(
        self, measures: Mapping[str, np.ndarray], choices: Mapping[str, np.ndarray | float] | None = None, unit: str = "cm"
    ) -> list[Whole]:
        """Draft the style for N bodies at once: every measure an array (N,), every choice a figure or such an array, all in
        millimetres, radians or 1 and 0.  `unit` is that of messages, and tells which defaults of choices count.  One `Whole` for each course and chunk of bodies, which tells whose it is and what failed.
        ValueError as `sound`, and where a measure is missing or the arrays do not speak of one number of bodies."""
        from .finishing.whole import drafted_whole

        lacking = [name for name in self.sound.needed if name not in measures]
        if lacking:
            raise ValueError(f"the style needs an array of {', '.join(lacking)} as well")
        return drafted_whole(self.sound, measures, choices, unit)

    def examples(self) -> Examined:
        """(how many worked examples the style has, what is wrong with them and doubtful in the style's finds)."""
        return self.opened.examined(lambda style: _examined(self.world, style))


def _examined(world: World, style: Style) -> list[Diagnostic]:
    from .drafting.examples import run_examples  # only where their answers are not kept
    from .making.finds import doubtful_finds

    of_examples = run_examples(style)
    told = {diagnostic.span for diagnostic in of_examples if diagnostic.code == "D540"}
    return [*of_examples, *(diagnostic for diagnostic in doubtful_finds(world, style) if diagnostic.span not in told)]
