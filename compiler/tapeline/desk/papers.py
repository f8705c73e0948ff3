"""The kinds of paper that a draft can be written as, each made by a module of its own, loaded when it is asked for.

A kind's module has `papers(work)`, file name -> text or bytes.  A module also tells by `is_ours(data)` whether a file is of
its making, so that `files` replaces nothing else.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from importlib import import_module
from typing import NamedTuple

from ..source.diagnostics import Diagnostic


class Kind(NamedTuple):
    module: str  # in `paper`
    words: str  # for the help of the command


KINDS: dict[str, Kind] = {
    "svg": Kind("sheets.sheet", "the drawing at true size"),
    "pdf": Kind("sheets.printed", "true size, for a plotter and in pages to tape together"),
    "hand": Kind("hand.sheet", "the steps for drawing it by hand"),
    "list": Kind("cutting.cutting_list", "pieces, cloth and notions"),
    "dxf": Kind("cutter.dxf", "for a cutter"),
    "page": Kind("proof.page", "one page for the screen, to check the draft by"),
    "png": Kind("sheets.preview", "a picture of the drawing, to send"),
}
USUAL = ("svg",)
ALL = "all"


def kinds_in(words: str) -> tuple[str, ...]:
    """The kinds that are asked for, in the order of the table.  ValueError names the first that is not known."""
    asked = [word.strip().lower() for word in words.split(",")]
    for word in asked:
        if word not in KINDS and word != ALL:
            raise ValueError(word)
    return tuple(kind for kind in KINDS if kind in asked or ALL in asked)


def make_papers(
    made, house, kinds: Sequence[str] = USUAL, opened: bool = False, cautions: Iterable[Diagnostic] = ()
) -> dict[str, str | bytes]:
    """File name -> content of everything that is written for one draft; its record always comes along.

    `pages.PaperRefused` where the paper of the house cannot be used.
    """
    return papers_of(work_of(made, house, opened, cautions), kinds)


def papers_of(work, kinds: Sequence[str]) -> dict[str, str | bytes]:
    """The papers of some kinds, and the record, of one work."""
    from ..paper.record import pattern_record, write_record

    papers: dict[str, str | bytes] = {}
    for kind in kinds:
        papers |= import_module(f"..paper.{KINDS[kind].module}", __package__).papers(work)
    record = pattern_record(work.plan, work.run, work.ledgers, work.finished, work.index, work.heading.body_name, work.cautions)
    return papers | {f"pattern-{work.part}.json" if work.part else "pattern.json": write_record(record)}


def work_of(made, house, opened: bool = False, cautions: Iterable[Diagnostic] = ()):
    """What a paper is made from.  The unit is by now the one that was settled on."""
    from ..paper.house.work import Heading, Work

    drafted = made.draft
    plan = drafted.plan
    heading = Heading(plan.title or plan.name, plan.version, plan.prose, made.card.name, made.unit)
    return Work(
        made.finished,
        made.place,
        heading,
        plan,
        drafted.run,
        drafted.ledgers,
        tuple(cautions),
        replace(house, unit=made.unit),
        opened,
        made.style.sources,
    )
