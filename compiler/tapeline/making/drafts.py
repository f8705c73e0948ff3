"""A style drafted and finished for bodies, each with all that was said of it, and the papers of each.

The stages in a row: cards, house, choices, draft.  What one stage finds wrong ends the work; cautions are carried along.
All bodies whose lengths are told in one unit are drafted in one call.  Nothing is printed and nothing is written here.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date as Day
from datetime import datetime
from typing import TYPE_CHECKING

import numpy as np

from ..bodies.card import Card
from ..bodies.measurings import When
from ..bodies.reading import shortened
from ..bodies.sizes import alike_named
from ..drafting.courses import Draft
from ..drafting.ledgers import Ledgers
from ..drafting.pattern import Pattern
from ..finishing.finished import Finished
from ..finishing.whole import Whole, drafted_whole
from ..meaning.style import Style
from ..paper.house import house as houses
from ..paper.house.asked import read_asked
from ..paper.house.house import House
from ..paper.house.work import Work
from ..paper.kinds import USUAL
from ..source.diagnostics import Diagnostic, has_errors, in_order
from ..source.text import Argument, Span
from ..source.units import SHOWN
from ..source.world import World
from .bodies import Bodies, SomeHouse, named_bodies, open_house, read_body
from .choices import Choices, choices_of, counts_of, out_of_range, read_choices, wrong_choices
from .fitted_girths import too_small
from .papers import as_bytes, papers_of, work_of

if TYPE_CHECKING:
    from ..why.asking import Reasons
    from ..why.telling import Why


@dataclass(frozen=True, slots=True, eq=False)
class BodyDraft:
    """A style drafted and finished for one body, which stands at `place` in a chunk of bodies drafted together.

    `unfitted` has, of a style with a client's fittings in it, the sewn girths without them in mm, by their levels.
    `unit` is the one in which its papers give lengths, `date` what they give as the date of the draft, if any; `diagnostics` are the cautions of the style, of the body's card, of the
    house and of the draft, in this order.
    """

    style: Style
    card: Card
    unit: str
    whole: Whole
    place: int
    house: House
    diagnostics: tuple[Diagnostic, ...] = ()
    date: datetime | None = None
    unfitted: Mapping[str, float] = field(default_factory=dict)

    def __repr__(self) -> str:
        return f"BodyDraft({self.name!r}, style={self.whole.draft.plan.name!r}, diagnostics={len(self.diagnostics)})"

    @property
    def name(self) -> str:
        return self.card.name

    @property
    def draft(self) -> Draft:
        return self.whole.draft

    @property
    def pattern(self) -> Pattern:
        """The net pieces of the chunk: arrays whose first axis is the body, this one at `place`; millimetres."""
        return self.whole.draft.pattern

    @property
    def finished(self) -> Finished:
        """The pieces of the chunk with their seam allowances, notches and labels."""
        return self.whole.finished

    @property
    def ledgers(self) -> Ledgers:
        """Girths, seams and seam allowances of the chunk."""
        return self.whole.draft.ledgers

    def papers(
        self,
        kinds: Sequence[str] = USUAL,
        house: House | None = None,
        opened: bool = False,
        foundations: bool = False,
        paper: str | Sequence[str] = (),
        cloth: str | Sequence[str] = (),
        part: str = "",
        anonymous: str = "",
    ) -> dict[str, bytes]:
        """File name -> content of the papers of these kinds (see `tapeline.PAPERS`), and of the record `pattern.json`.

        `opened` draws pieces cut on the fold whole, `foundations` what the style drafts but does not cut; another `house` has its words and paper, not its seam allowances.
        `paper` ("A4", "roll 36 in") is printed on instead of the house's, `cloth` ("150 cm", "90 cm for lining") bought; several of
        either stand in one text parted by commas, or in a list.  `part` stands in the names of the files, `STYLE-PART.svg` and
        `pattern-PART.json`; `anonymous` on the papers for the body's name, and then nothing else that its card says in words does.
        ValueError for a kind that is not known; `Refused` where a paper or a cloth cannot be used.
        """
        return as_bytes(papers_of(self.work(house, opened, foundations, paper, cloth, part, anonymous), kinds))

    def reasons(self) -> Reasons:
        """Why everything of the draft lies where it lies; keep it to ask more than once."""
        from ..why.asking import Reasons

        card = self.card.span.source.name.rsplit("/", 1)[-1] if self.card.span is not None else self.card.name
        return Reasons(self.style, self.draft, self.place, self.house, self.unit, self.name, card, self.finished.pattern)

    def why(self, place: str) -> Why:
        """The rules behind a place, from it down to the measures, each with its sum, and how far each measure moves it: a quantity,
        `front.hip_side`, `girth at waist`, `allowance of front.side`, ...  ValueError, in words, where there is no such place."""
        answer, wrong = self.reasons().why(place)
        if answer is None:
            raise ValueError("; ".join(f"{one.title}. {one.suggestion}".strip() for one in wrong))
        return answer

    def work(
        self,
        house: House | None = None,
        opened: bool = False,
        foundations: bool = False,
        paper: str | Sequence[str] = (),
        cloth: str | Sequence[str] = (),
        part: str = "",
        anonymous: str = "",
    ) -> Work:
        """What its papers are made from; all as in `papers`."""
        return work_of(
            self.style,
            self.whole,
            self.place,
            anonymous or self.card.name,
            self.unit,
            house or self.house,
            opened,
            [self._unnamed(said, anonymous) for said in self.diagnostics] if anonymous else self.diagnostics,
            foundations,
            self.date,
            read_asked(paper, cloth),
            "" if anonymous else self.card.note,
            part,
            bool(anonymous),
            self.card.measured,
            self.unfitted,
        )

    def _unnamed(self, said: Diagnostic, anonymous: str) -> Diagnostic:
        """A caution that tells neither the body's name nor its card's."""
        own = None if self.card.span is None else self.card.span.source
        others = tuple((span, words) for span, words in said.others if span.source is not own)
        place = None if said.span is not None and said.span.source is own else said.span
        return replace(said, span=place, others=others, body=anonymous if said.body else "")


@dataclass(frozen=True, slots=True, eq=False)
class Drafts:
    """The bodies for which nothing is wrong, in the order in which they were given, and all that is said of any."""

    bodies: tuple[BodyDraft, ...]
    diagnostics: list[Diagnostic]

    def __repr__(self) -> str:
        return f"Drafts({[body.name for body in self.bodies]}, diagnostics={len(self.diagnostics)})"

    @property
    def ok(self) -> bool:
        return not has_errors(self.diagnostics)

    def __iter__(self) -> Iterator[BodyDraft]:
        return iter(self.bodies)

    def __len__(self) -> int:
        return len(self.bodies)

    def __getitem__(self, name: str) -> BodyDraft:
        """The draft of the body of this name.  KeyError where there is none."""
        for draft in self.bodies:
            if draft.name == name:
                return draft
        raise KeyError(name)


def draft_bodies(
    world: World,
    style: Style,
    bodies: Bodies,
    choices: Choices,
    unit: str | None,
    house: SomeHouse,
    accept: bool,
    of_style: Sequence[Diagnostic],
    date: datetime | None = None,
    measured: Day | None = None,
) -> Drafts:
    """Draft a style for every body that can be read; `of_style` is what was said of the style.

    Of a card counts the latest measuring up to the date of the draft, or that of the day on which it was `measured`.
    """
    cards: list[Card] = []
    of_cards: list[list[Diagnostic]] = []
    diagnostics: list[Diagnostic] = []
    first: dict[str, Card] = {}  # of each name
    diagnostics += no_unit(unit)
    if diagnostics:
        return Drafts((), diagnostics)
    when = When(measured, True) if measured is not None else When(date.date() if date is not None else None)
    named, about = named_bodies(bodies, style.measurements)
    diagnostics += about
    for name, body in named:
        card, about = read_body(world, body, style, accept, name=name, when=when)
        diagnostics += about
        if card is not None and card.name in first:
            same = first[card.name].span
            diagnostics.append(alike_named("bodies", card, "a name of its own for each body", same.source.name if same else card.name))
        elif card is not None:
            first[card.name] = card
            cards.append(card)
            of_cards.append(about)
    usual, of_house = open_house(world, house)
    diagnostics += of_house
    if usual is None or not cards:
        return Drafts((), [*diagnostics, *wrong_choices(style, choices)])
    drafts, of_drafts = draft_cards(style, cards, choices, unit, usual, [[*of_style, *about, *of_house] for about in of_cards], date)
    return Drafts(drafts, [*diagnostics, *of_drafts])


def draft_cards(
    style: Style,
    cards: Sequence[Card],
    choices: Choices = (),
    unit: str | None = None,
    house: House = houses.USUAL,
    earlier: Sequence[Sequence[Diagnostic]] = (),
    date: datetime | None = None,
    each: Sequence[Mapping[str, float]] = (),
) -> tuple[tuple[BodyDraft, ...], list[Diagnostic]]:
    """Draft and finish a style for every card; lengths are told in `unit`, else in the house's unit, else in each card's own.

    Those for which nothing is wrong, in the order of the cards, and all that is said of the choices and of any of them.
    `earlier` is what was said of each card before, `each` the values of choices that it has for itself, all of the same names.
    """
    values, diagnostics = read_choices(choices, choices_of(style), counts_of(style))
    if diagnostics:
        return (), [*diagnostics, *out_of_range(style, values)]
    bodies_of: dict[str, list[int]] = {}
    for body, card in enumerate(cards):
        bodies_of.setdefault(unit or house.unit or card.unit, []).append(body)
    before = girths_unfitted(style, cards, choices, unit, house, each)
    made: dict[int, BodyDraft] = {}
    of_drafts: list[Diagnostic] = []
    for told, bodies in bodies_of.items():
        measures = {name: np.array([cards[body].values[name] for body in bodies]) for name in style.needed}
        chosen = values | {name: np.array([each[body][name] for body in bodies]) for name in (each[0] if each else ())}
        sides = [cards[body].sides for body in bodies]
        for whole in drafted_whole(style, measures, chosen, told, house.allowances, len(bodies), sides):
            for place, number in enumerate(whole.index.tolist()):
                body = bodies[number]
                heard = {said.for_body(cards[body].name) for said in earlier[body]} if earlier else set()
                own = [said for said in whole.diagnostics(place, cards[body].name) if said not in heard]
                if not whole.failed[place]:
                    own += too_small(whole.draft.ledgers, place, before.get(body, {}), cards[body].name, told)
                of_drafts += own
                if not whole.failed[place]:
                    said = (*(earlier[body] if earlier else ()), *own)
                    made[body] = BodyDraft(style, cards[body], told, whole, place, house, said, date, before.get(body, {}))
    return tuple(made[body] for body in sorted(made)), in_order(of_drafts)


def girths_unfitted(
    style: Style,
    cards: Sequence[Card],
    choices: Choices,
    unit: str | None,
    house: House,
    each: Sequence[Mapping[str, float]],
) -> dict[int, dict[str, float]]:
    """The sewn girths, mm, that the cards would have without the fittings in a style: the card's place -> level -> girth.  Nothing
    where there are no fittings, or where the style without them cannot be drafted."""
    unfitted = style.unfitted
    if unfitted is None or any(name not in card.values for card in cards for name in unfitted.needed):
        return {}
    drafts, _ = draft_cards(unfitted, cards, choices, unit, house, each=each)
    place = {id(card): body for body, card in enumerate(cards)}
    return {place[id(draft.card)]: {row.level: float(row.sewn[draft.place]) for row in draft.ledgers.girths} for draft in drafts}


def no_unit(unit: str | None) -> list[Diagnostic]:
    """H102 where lengths cannot be shown in the unit that is asked for instead of the house's."""
    if unit is None or unit in SHOWN:
        return []
    given = Argument("unit", str(unit))
    span = Span(given, 0, len(given.text))
    found = f'"{shortened(given.text)}"'
    return [
        Diagnostic(
            "H102",
            "No lengths are shown in this unit",
            span,
            f"one of: {', '.join(SHOWN)}",
            found,
            f'Give for example unit="{SHOWN[1]}".',
        )
    ]
