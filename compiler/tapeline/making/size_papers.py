"""The papers of a style in several sizes: one set a size, and what shows how it grows.

Besides the papers of each size there are the nest, the grading sheet and table, the grade rule table, and the base size's
file for a cutter, which bears the numbers of the rules.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ..paper.house.house import House
from ..sizing.run import SizeRun
from ..source.diagnostics import CAUTION, Diagnostic, has_errors
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
) -> SizePapers:
    """Every paper of every size, and those of the run as a whole.  `Refused` as for one draft."""
    from ..paper.cutter import rule_table
    from ..paper.grading import nest
    from ..paper.grading import table as grading_table
    from ..sizing.growth import stacks_of

    stacks, found = stacks_of(run, stacked)
    if has_errors(found):
        return SizePapers({}, "", found)
    works = _works(run, drafts, house, opened)
    base = works[run.base]
    papers: dict[str, str | bytes] = {}
    for work in works:
        papers |= papers_of(work, kinds)
        step()
    title = f"{base.heading.style_title} {base.heading.version}".strip()
    sheet = grading_table.grade_sheet(run, stacks, title, base.house, base.unit)
    sections = (grading_table.measures, grading_table.girths)
    words = "\n".join(line.rstrip() for section in sections for line in section(sheet)).strip("\n")
    if len(works) > 1:
        notes = [base.plan.prose, *run.table.notes(*run.names)]
        listed = ", ".join(run.names)
        heading = base.heading._replace(
            body_name=house.say("sizes {list}", list=listed) if run.table.of_table else listed, prose=" ".join(filter(None, notes))
        )
        papers |= nest.papers(run, stacks, heading, base.plan.name, "pdf" in kinds)
        papers |= grading_table.papers(sheet, base.plan.name)
        ruled, left_out = rule_table.papers(run, stacks, base)
        papers |= ruled
        if left_out:
            found = [*found, _no_rules(run, left_out)]
    return SizePapers(as_bytes(papers), words, found)


def _works(run: SizeRun, drafts: Sequence[BodyDraft], house: House, opened: bool) -> list[Work]:
    """The work of each size, which says what its measures rest on."""
    works = []
    for one, size, part in zip(drafts, run.names, file_parts(run.names), strict=True):
        work = work_of(one.style, one.whole, one.place, one.name, one.unit, house, opened, one.diagnostics)
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


def _no_rules(run: SizeRun, left_out: Sequence[str]) -> Diagnostic:
    return Diagnostic(
        "B134",
        "Some sizes have no grade rules",
        run.sizes[run.names.index(left_out[0])].card.span,
        f"sizes drafted by the same rules as {run.table.spoken(run.names[run.base])}",
        f"other rules for {', '.join(left_out)}",
        "Use the papers of those sizes themselves, or draft them as a run of their own with --only.",
        severity=CAUTION,
    )
