"""Drafts whose proof pages are tested, with the texts that they were made from and what was found in drafting them."""

from __future__ import annotations

from functools import cache

from dxf_works import MANY

from tapeline.drafting.run import draft
from tapeline.finishing.finish import finish
from tapeline.meaning.style import read
from tapeline.paper.house.house import House
from tapeline.paper.house.work import Heading, Work
from tapeline.paper.proof.page import write_page
from tapeline.session import Session
from tapeline.source.diagnostics import in_order
from tapeline.source.text import Source
from tapeline.source.world import FolderWorld, standard_folder

# What a maker may write must not become part of the page's own making.
UNRULY = MANY.replace('"Sheet"', '"<b>Sheet</b> & <script>document.title = 1</script>"').replace(
    "allow\n", "-- </script><script>document.title = 2</script> <!-- & --> \u2028\nallow\n", 1
)


@cache
def opened(style: str):
    reading = Session(keep=True).read(standard_folder("styles") / f"{style}.style")
    assert reading.ok, reading.diagnostics
    return reading


@cache
def _made(style: str, body: str, settings: tuple[str, ...], unit: str | None):
    drafts = opened(style).draft([standard_folder("styles") / "bodies" / f"{body}.toml"], settings, unit, accept=True)
    assert drafts.ok, drafts.diagnostics
    (made,) = drafts
    return made, made.whole.diagnostics(made.place, made.name)


def proof(style: str, body: str, settings: tuple[str, ...] = (), unit: str | None = None, house: House | None = None) -> Work:
    """A shipped style on a shipped body; `settings` as on the command line."""
    made, found = _made(style, body, settings, unit)
    return _work(made.draft, made.finished, made.card.name, made.unit, (made.style.source,), found, house)


def namesake() -> Work:
    """The corselet skirt in a file that bears the name of the library it uses."""
    like = proof("corselet_skirt", "nell")
    style, found = read(Source("quay/corset.style", like.sources[0].text), FolderWorld(None))
    assert style is not None, found
    made = draft(style, {name: like.run.filled[slot] for name, slot in like.plan.measures.items()}, {}, "cm")[0]
    finished, failed = finish(made.pattern, "cm")
    assert not failed
    return _work(made, finished, "Nell Quay", "cm", (style.source,), (), None)


def unruly() -> Work:
    style, found = read(Source("far/away/unruly.style", UNRULY), FolderWorld(None))
    assert style is not None, found
    made = draft(style, {}, {}, "cm")[0]
    finished, failed = finish(made.pattern, "cm")
    cautions = in_order(one.diagnostic(0, "nobody") for one in (*made.failures, *failed))
    return _work(made, finished, 'Nobody <img src=x onerror="document.title = 3">', "cm", (style.source,), cautions, None)


def _work(made, finished, body: str, unit: str, sources, cautions, house) -> Work:
    plan = made.plan
    heading = Heading(plan.title or plan.name, plan.version, plan.prose, body, unit)
    return Work(finished, 0, heading, plan, made.run, made.ledgers, tuple(cautions), house or House(), sources=sources)


@cache
def page(style: str, body: str, unit: str | None = None, fraction: int = 16) -> str:
    return write_page(proof(style, body, unit=unit, house=House(fraction=fraction)))
