"""A style drafted in the sizes of a table or of a folder of body cards: one set of papers a size, and what shows how it grows.

Besides the papers of each size there are the nest, the grading sheet and table, the grade rule table, and the base size's
file for a cutter, which bears the numbers of the rules.  If anything is wrong with any size, nothing is written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ..bodies.sizes import Sizes, chosen, completed, no_such_size, read_size_cards, read_sizes
from ..source.diagnostics import CAUTION, Diagnostic, has_errors, refused
from ..source.world import read_text
from .files import find, is_ours
from .making import believed, make_each

SUFFIX = ".csv"
FOLDER = "sizes"  # of the standard library


def find_sizes(name: str) -> tuple[Path | None, list[Diagnostic]]:
    """A size table, a folder of body cards, or the bare name of a table that comes with the program."""
    path, found = find(name, SUFFIX, FOLDER, "size table", among="stdlib")
    return (Path(name), []) if path is None and Path(name).is_dir() else (path, found)


def open_sizes(path: Path, style, accept: bool = False) -> tuple[Sizes | None, list[Diagnostic]]:
    """The sizes of a table or of a folder of cards, read with the measurements of a style."""

    def read(known):
        if not path.is_dir():
            return read_sizes(sources[0], known, style.doubts)
        return read_size_cards(path.name, sources, known, style.doubts)

    sources, found = [], []
    for file in sorted(path.glob("*.toml")) if path.is_dir() else [path]:
        source, wrong = read_text(file)
        sources += [source] if source is not None else []
        found += wrong
    if has_errors(found):
        return None, found
    if not sources:
        return None, [
            refused(
                path.as_posix(),
                "F001",
                "There are no body cards in this folder",
                "files that end in .toml",
                "none",
                "Name a size table, or a folder of body cards.",
            )
        ]
    return believed(read, style.measurements, accept)


def sizes_for(path: Path, style, only: Sequence[str], lender, accept: bool = False) -> tuple[Sizes | None, list[Diagnostic]]:
    """The sizes that are to be drafted, with every measure of the style; None where a diagnostic is an error."""
    sizes, found = open_sizes(path, style, accept)
    if sizes is None:
        return None, found
    kept = None
    if only:
        kept, wrong = chosen(sizes, only)
        found = [*found, *wrong]
        if has_errors(wrong):
            return None, found
    # Gaps are filled from the whole table; of sizes that are left out nothing need be said.
    names = (kept or sizes).names
    sizes, wrong = completed(sizes, style.needed, style.measurements, lender, style.doubts)
    spoken = {"", *map(sizes.spoken, names), *names}
    found = [one for one in [*found, *wrong] if one.body in spoken]
    sizes = replace(
        sizes,
        cards=tuple(card for card in sizes.cards if card.name in names),
        filled={size: marks for size, marks in sizes.filled.items() if size in names},
    )
    return (None if has_errors(found) else sizes), found


def make_sizes(style, sizes: Sizes, settings: Sequence[str], unit: str | None, house):
    """What was made of each size, in order, each under the name that papers call it by; and all that is said of any."""
    cards = [replace(card, name=sizes.spoken(card.name)) for card in sizes.cards]
    return make_each(style, cards, settings, unit, house)


def base_of(sizes: Sizes, name: str | None) -> tuple[int | None, list[Diagnostic]]:
    """The place of the size that is named as base; None for the usual one."""
    if name is None:
        return None, []
    return (sizes.names.index(name), []) if name in sizes.names else (None, [no_such_size(sizes, name, "--base")])


# ---------------------------------------------------------------------------------------------- papers


@dataclass(slots=True, eq=False)
class SizePapers:
    papers: dict[str, str | bytes]
    words: str  # what is shown on the screen
    diagnostics: list[Diagnostic]


def make_size_papers(
    run, made: Sequence, house, kinds: Sequence[str], opened: bool, cautions: Sequence[Diagnostic], stacked: Sequence[str] = ()
) -> SizePapers:
    """Every paper of every size, and those of the run as a whole.  `pages.PaperRefused` as for one draft."""
    from ..paper.cutter import rule_table
    from ..paper.grading import nest
    from ..paper.grading import table as grading_table
    from ..sizing.growth import stacks_of
    from .papers import papers_of
    from .progress import Progress

    stacks, found = stacks_of(run, stacked)
    if has_errors(found):
        return SizePapers({}, "", found)
    works = _works(run, made, house, opened, cautions)
    base = works[run.base]
    papers: dict[str, str | bytes] = {}
    with Progress("papers of the sizes", len(works) + 1) as progress:
        for work in works:
            papers |= papers_of(work, kinds)
            progress.add()
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
    return SizePapers(papers, words, found)


def _works(run, made: Sequence, house, opened: bool, cautions: Sequence[Diagnostic]) -> list:
    """The work of each size, which says what its measures rest on."""
    from .papers import work_of

    works = []
    for one, size, part in zip(made, run.names, file_parts(run.names), strict=True):
        own = [caution for caution in cautions if caution.body in ("", size, one.card.name)]
        work = replace(work_of(one, house, opened, own), size=size, part=part, notes=tuple(run.table.notes(size)))
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


def _no_rules(run, left_out: Sequence[str]) -> Diagnostic:
    return Diagnostic(
        "B134",
        "Some sizes have no grade rules",
        run.sizes[run.names.index(left_out[0])].card.span,
        f"sizes drafted by the same rules as {run.table.spoken(run.names[run.base])}",
        f"other rules for {', '.join(left_out)}",
        "Use the papers of those sizes themselves, or draft them as a run of their own with --only.",
        severity=CAUTION,
    )


def left_over(folder: Path, written: Sequence[Path], style: str) -> list[Path]:
    """Papers of this style that an earlier run left in the folder: of other sizes, or with another base, they must not be mixed."""
    return [
        path
        for path in sorted(folder.iterdir())
        if path not in written and is_ours(path) and path.name.startswith((f"{style}-", f"{style}.", "pattern-", "pattern."))
    ]
