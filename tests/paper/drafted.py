"""A style that comes with the program, drafted for a body that does, as one `Work`."""

from functools import cache

from tapeline.paper.house.house import House
from tapeline.paper.house.work import Heading, Work
from tapeline.session import Session
from tapeline.source.world import standard_folder


@cache
def _made(style: str, body: str):
    home = standard_folder("styles")
    drafts = Session(keep=True).read(home / f"{style}.style").draft([home / "bodies" / f"{body}.toml"], accept=True)
    assert drafts.ok, drafts.diagnostics
    return drafts.bodies[0]


def drafted(style: str, body: str, house: House | None = None) -> Work:
    made = _made(style, body)
    plan = made.draft.plan
    heading = Heading(plan.title or plan.name, plan.version, plan.prose, made.card.name, made.unit)
    return Work(made.finished, 0, heading, plan, made.draft.run, made.draft.ledgers, house=house or House())
