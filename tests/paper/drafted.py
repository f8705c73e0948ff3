"""A style that comes with the program, drafted for a body that does, as one `Work`."""

from functools import cache

from tapeline.desk.making import make, open_card, open_style
from tapeline.paper.house.house import House
from tapeline.paper.house.work import Heading, Work
from tapeline.source.world import standard_folder


@cache
def _made(style: str, body: str):
    home = standard_folder("styles")
    read, found = open_style(home / f"{style}.style")
    assert read is not None, found
    card, found = open_card(home / "bodies" / f"{body}.toml", read, True)
    assert card is not None, found
    made, found = make(read, card, (), None)
    assert made is not None, found
    return made


def drafted(style: str, body: str, house: House | None = None) -> Work:
    made = _made(style, body)
    plan = made.draft.plan
    heading = Heading(plan.title or plan.name, plan.version, plan.prose, made.card.name, made.unit)
    return Work(made.finished, 0, heading, plan, made.draft.run, made.draft.ledgers, house=house or House())
