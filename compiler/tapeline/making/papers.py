"""What is written for one draft: the papers that are asked for, and its record."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date as Day
from datetime import datetime
from importlib import import_module
from typing import TYPE_CHECKING, Any, cast

from ..paper.kinds import KINDS, kinds_in
from ..source.diagnostics import Diagnostic
from .resting import rests_on

if TYPE_CHECKING:
    from ..drafting.steps import Run
    from ..finishing.whole import Whole
    from ..geometry.arrays import Floats
    from ..meaning.style import Style
    from ..paper.house.asked import Asked
    from ..paper.house.house import House
    from ..paper.house.work import Work

SAME = 1e-6  # of a choice, in mm, radians or as a number


def papers_of(work: Work, kinds: Sequence[str]) -> dict[str, str | bytes]:
    """The papers of some kinds (in one text they are comma-separated), and the record, of one work.

    `UnknownKind` for one that is none; `Refused` where the paper of the house cannot be used.  Of nothing there is no
    paper: the record alone, and the style has been told so (N295).
    """
    from ..paper.record import write_record

    papers: dict[str, str | bytes] = {}
    for kind in kinds_in(kinds) if kinds and work.shown else ():
        papers |= import_module(f"tapeline.{KINDS[kind].module}").papers(work)
    return papers | {f"pattern-{work.part}.json" if work.part else "pattern.json": write_record(record_of(work))}


def record_of(work: Work) -> dict[str, Any]:
    """The record of one work, as plain data."""
    from ..paper.record import pattern_record

    return pattern_record(
        work.plan, work.run, work.ledgers, work.finished, work.index, work.heading.body_name, work.cautions, work.bears
    )


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
    date: datetime | None = None,
    asked: Asked | None = None,
    note: str = "",
    part: str = "",
    anonymous: bool = False,
    measured: Day | None = None,
    unfitted: Mapping[str, float] | None = None,
) -> Work:
    """What a paper is made from: the body called so, at a place of a chunk, its lengths in the unit that was settled on; `part` is
    what its files have in their names."""
    from ..finishing.alike import one_of_each
    from ..paper.house.asked import NOTHING_ASKED
    from ..paper.house.work import Heading, Work

    plan, run = whole.draft.plan, whole.draft.run
    otherwise = dict(chosen(run, place, replace(house, unit=unit)))
    heading = Heading(
        plan.title or plan.name,
        plan.version,
        plan.prose,
        body,
        unit,
        date=date,
        rules=style.fingerprint,
        choices=tuple(f"{name.replace('_', ' ')} {value}" for name, value in otherwise.items()),
        fitted=tuple(one.day.isoformat() for one in style.fittings),
        numbers={piece.piece.name: number for number, piece in enumerate(one_of_each(whole.finished, place), 1)},
        measured=measured,
    )
    return Work(
        whole.finished,
        place,
        heading,
        plan,
        run,
        whole.draft.ledgers,
        tuple(cautions),
        replace(house, unit=unit),
        opened,
        foundations,
        style.sources,
        asked=asked or NOTHING_ASKED,
        chosen=tuple(otherwise),
        card_note=note,
        part=part,
        rests_on=rests_on(style, house),
        anonymous=anonymous,
        fittings=tuple(one._replace(notes=()) for one in style.fittings) if anonymous else style.fittings,
        unfitted=unfitted or {},
    )


def chosen(run: Run, place: int, house: House) -> Iterator[tuple[str, str]]:
    """The choices set otherwise than the style has them for this body, each with its value as the house writes it."""
    for name, choice in run.plan.choices.items():
        step = next(step for step in run.plan.steps if step.out == choice.slot)
        (default, *_), inches = step.arranged(run.filled)
        if run.in_inches:
            default = inches.get("inches", default)
        value, usual = (float(cast("Floats", figures)[place]) for figures in (run.filled[choice.slot], default))
        if name in run.choices and abs(value - usual) > SAME:
            yield name, house.quantity(value, choice.kind.word, house.unit)
