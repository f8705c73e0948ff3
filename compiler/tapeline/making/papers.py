"""What is written for one draft: the papers that are asked for, and its record."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from importlib import import_module
from typing import TYPE_CHECKING

from ..paper.kinds import KINDS, kinds_in
from ..source.diagnostics import Diagnostic

if TYPE_CHECKING:
    from ..finishing.whole import Whole
    from ..meaning.style import Style
    from ..paper.house.asked import Asked
    from ..paper.house.house import House
    from ..paper.house.work import Work


def papers_of(work: Work, kinds: Sequence[str]) -> dict[str, str | bytes]:
    """The papers of some kinds (in one text they are comma-separated), and the record, of one work.

    `UnknownKind` for one that is none; `Refused` where the paper of the house cannot be used.  Of nothing there is no
    paper: the record alone, and the style has been told so (N295).
    """
    from ..paper.record import pattern_record, write_record

    papers: dict[str, str | bytes] = {}
    for kind in kinds_in(kinds) if kinds and work.shown else ():
        papers |= import_module(f"tapeline.{KINDS[kind].module}").papers(work)
    record = pattern_record(work.plan, work.run, work.ledgers, work.finished, work.index, work.heading.body_name, work.cautions)
    return papers | {f"pattern-{work.part}.json" if work.part else "pattern.json": write_record(record)}


def as_bytes(papers: Mapping[str, str | bytes]) -> dict[str, bytes]:
    """Papers as they are written to a file: texts in UTF-8."""
    return {name: content.encode() if isinstance(content, str) else content for name, content in papers.items()}


def work_of(
    style: Style,
    whole: Whole,
    place: int,
    body: str,
    unit: str,
    house: House,
    opened: bool = False,
    cautions: Iterable[Diagnostic] = (),
    foundations: bool = False,
    asked: Asked | None = None,
) -> Work:
    """What a paper is made from: the body called so, at a place of a chunk, its lengths in the unit that was settled on."""
    from ..paper.house.asked import NOTHING_ASKED
    from ..paper.house.work import Heading, Work

    plan = whole.draft.plan
    heading = Heading(plan.title or plan.name, plan.version, plan.prose, body, unit)
    return Work(
        whole.finished,
        place,
        heading,
        plan,
        whole.draft.run,
        whole.draft.ledgers,
        tuple(cautions),
        replace(house, unit=unit),
        opened,
        foundations,
        style.sources,
        asked=asked or NOTHING_ASKED,
    )
