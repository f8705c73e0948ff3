"""An order carried out: its style drafted for its client with its choices, in the way of its house.

What a draft's folder and files are called carries style, client and date, `corselet_skirt-nell-2026-11-30`, or where it is anonymous
a short number instead of the client.  Nothing is written here.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from ..making.bodies import open_house, read_body
from ..making.choices import wrong_choices
from ..making.drafts import BodyDraft, draft_cards
from ..meaning.style import Style
from ..source.diagnostics import CAUTION, Diagnostic, has_errors
from ..source.text import Argument
from ..source.world import World
from .cloth import cloth_short
from .opening import Named
from .order import ClientOrder


@dataclass(frozen=True, slots=True, eq=False)
class OrderDraft:
    """The draft that came of an order, on a day."""

    order: ClientOrder
    named: Named
    date: datetime
    body: BodyDraft
    anonymous: bool = False

    def papers(
        self,
        kinds: Sequence[str] = (),
        opened: bool = False,
        foundations: bool = False,
        paper: str | Sequence[str] = (),
        cloth: str | Sequence[str] = (),
    ) -> tuple[str, dict[str, bytes]]:
        """(what the folder is to be called, file name -> content): the papers that the order asks for, unless others are.

        `Refused` where one cannot be made.
        """
        called = short_number(self.order, self.named.client) if self.anonymous else ""
        part = dated(called or self.named.client, self.date)
        papers = self.body.papers(
            kinds or self.order.papers,
            opened=opened,
            foundations=foundations,
            paper=paper or self.order.paper,
            cloth=cloth or self.order.cloth,
            part=part,
            anonymous=called,
        )
        return f"{self.body.whole.draft.plan.name}-{part}", papers


def carried_out(
    world: World,
    order: ClientOrder,
    named: Named,
    style: Style,
    date: datetime,
    accept: bool = False,
    of_style: Sequence[Diagnostic] = (),
    anonymous: bool = False,
) -> tuple[OrderDraft | None, list[Diagnostic]]:
    """Draft an order whose style was read; `of_style` is what was said of it.  None where a diagnostic is an error.  O104 and O105
    besides what a draft says."""
    diagnostics = [*of_style, *other_version(order, style)]
    card, about = read_body(world, named.card, style, accept, when=order.when(date.date()))
    diagnostics += about
    house, of_house = open_house(world, named.house)
    diagnostics += of_house
    if card is None or house is None:
        return None, [*diagnostics, *in_the_order(order, wrong_choices(style, order.settings))]
    bodies, about = draft_cards(style, [card], order.settings, None, house, [tuple(diagnostics)], date)
    diagnostics += in_the_order(order, about)
    if not bodies or has_errors(diagnostics):
        return None, diagnostics
    (body,) = bodies
    diagnostics += cloth_short(body.work(paper=order.paper, cloth=order.cloth), order.lengths)
    return OrderDraft(order, named, date, body, anonymous), diagnostics


def in_the_order(order: ClientOrder, diagnostics: Iterable[Diagnostic]) -> list[Diagnostic]:
    """What is said of choices, at the lines of the order that set them."""
    placed = []
    for said in diagnostics:
        if said.span is not None and isinstance(said.span.source, Argument):
            name = said.span.source.text.partition("=")[0].strip()
            said = replace(said, span=order.at(f"choices.{name}"))
        placed.append(said)
    return placed


def other_version(order: ClientOrder, style: Style) -> list[Diagnostic]:
    """O104, a caution where the style is not of the version that was ordered."""
    version = style.plan().version
    if not order.version or order.version == version:
        return []
    return [
        Diagnostic(
            "O104",
            "The style is of another version than was ordered",
            order.at("version"),
            order.version,
            version or "no version",
            "See what has moved, then put the new version into the order.",
            severity=CAUTION,
        )
    ]


def dated(client: str, date: datetime) -> str:
    """What tells the papers of one draft from those of others of its style: client and day."""
    return f"{file_part(client)}-{date.date().isoformat()}"


def file_part(words: str) -> str:
    """Words as they may stand in the name of a file."""
    return "".join(letter if letter.isalnum() or letter in "_" else "-" for letter in words).strip("-") or "client"


def short_number(order: ClientOrder, client: str) -> str:
    """What stands for the client where her name does not: the order's number, else the initials of its file."""
    return order.number or initials(order.name) or initials(client)


def initials(words: str) -> str:
    """The first letters of the words of a file's name: `nell-corselet` is `nc`."""
    return "".join(word[0] for word in re.split(r"[\W_]+", words) if word).lower()
