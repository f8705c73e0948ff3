"""The papers of a style in several sizes: one set a size, and what shows how it grows.

Besides the papers of each size there are those of the sizes together, which have their records in `paper.kinds.OF_SIZES`.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from importlib import import_module
from typing import TYPE_CHECKING

from ..paper.house.asked import NOTHING_ASKED, Asked
from ..paper.house.house import House
from ..paper.kinds import OF_SIZES
from ..sizing.run import SizeRun
from ..source.diagnostics import Diagnostic, has_errors
from .papers import as_bytes, papers_of, work_of

if TYPE_CHECKING:
    from ..paper.house.work import Work
    from .drafts import BodyDraft


@dataclass(frozen=True, slots=True, eq=False)
class SizePapers:
    """The papers by their file names, what is shown of the run on a screen, and what is said of either."""

    papers: dict[str, bytes]
    words: str
    diagnostics: list[Diagnostic]


def size_papers(
    run: SizeRun,
    drafts: Sequence[BodyDraft],
    house: House,
    kinds: Sequence[str],
    opened: bool,
    stacked: Sequence[str] = (),
    step: Callable[[], None] = lambda: None,
    asked: Asked = NOTHING_ASKED,
) -> SizePapers:
    """Every paper of every size, and those of the run as a whole.  `Refused` as for one draft."""
    from ..paper.grading import table as grading_table
    from ..paper.house.work import SizesWork
    from ..sizing.growth import stacks_of

    stacks, diagnostics = stacks_of(run, stacked)
    if has_errors(diagnostics):
        return SizePapers({}, "", diagnostics)
    works = _works(run, drafts, house, opened, asked)
    base = works[run.base]
    papers: dict[str, str | bytes] = {}
    for work in works:
        papers |= papers_of(work, kinds)
        step()
    notes = [base.plan.prose, *run.table.notes(*run.names)]
    listed = ", ".join(run.names)
    heading = base.heading._replace(
        body_name=house.say("sizes {list}", list=listed) if run.table.of_table else listed, prose=" ".join(filter(None, notes))
    )
    together = SizesWork(run, stacks, base, heading, kinds)
    sheet = grading_table.grade_sheet(together)
    sections = (grading_table.measures, grading_table.girths)
    words = "\n".join(line.rstrip() for section in sections for line in section(sheet)).strip("\n")
    if len(works) > 1:
        for kind in OF_SIZES:
            papers |= import_module(f"tapeline.{kind.module}").papers(together)
    return SizePapers(as_bytes(papers), words, [*diagnostics, *together.diagnostics])


def _works(run: SizeRun, drafts: Sequence[BodyDraft], house: House, opened: bool, asked: Asked) -> list[Work]:
    """The work of each size, which says what its measures rest on."""
    works = []
    for draft, size, part in zip(drafts, run.names, file_parts(run.names), strict=True):
        work = work_of(
            draft.style,
            draft.whole,
            draft.place,
            draft.name,
            draft.unit,
            house,
            opened,
            draft.diagnostics,
            date=draft.date,
            asked=asked,
            note=draft.card.note,
        )
        work = replace(work, size=size, part=part, notes=tuple(run.table.notes(size)))
        name = house.say("size {size}", size=size) if run.table.of_table else size
        work.heading = work.heading._replace(body_name=name, prose=" ".join(filter(None, [work.heading.prose, *work.notes])))
        works.append(work)
    return works


def file_parts(names: Sequence[str]) -> list[str]:
    """What stands for each size in the names of files: letters, digits, `.`, `_` and `-`, no two alike in any case."""
    parts: list[str] = []
    for name in names:
        plain = "".join(letter if letter.isalnum() or letter in "._" else "-" for letter in name).strip("-.") or "size"
        trial, count = plain, 1
        while trial.casefold() in {part.casefold() for part in parts}:
            count += 1
            trial = f"{plain}-{count}"
        parts.append(trial)
    return parts
