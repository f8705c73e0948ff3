"""What is written for one draft: the papers that are asked for, and its record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from importlib import import_module

from ..paper.kinds import KINDS, USUAL
from ..source.diagnostics import Diagnostic


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
        papers |= import_module(f"tapeline.{KINDS[kind].module}").papers(work)
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
