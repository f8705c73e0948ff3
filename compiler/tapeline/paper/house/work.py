"""What papers are made from: one finished draft of one body, or the drafts of a style in several sizes.

Every kind of paper is a module with `papers(work) -> dict` of file names and contents (text, or bytes); nothing is
written here, and nothing in a paper depends on when, where or in which folder it is made: the date of a draft is given with
the work.  What all papers say of a draft (its date, the choices that differ from the style's own, the fingerprint of the
rules) stands in the `Heading` once, and is told in one way.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date as Day
from datetime import datetime
from typing import TYPE_CHECKING, NamedTuple, cast

from .asked import NOTHING_ASKED, Asked
from .house import USUAL, House
from .paper_sizes import PAPERS, Paper, PaperRefused, read_paper

if TYPE_CHECKING:
    from ...drafting.ledgers import Ledgers
    from ...drafting.steps import Run
    from ...finishing.finished import Finished, FinishedPiece
    from ...geometry.arrays import Floats
    from ...meaning.fittings import DatedFitting
    from ...meaning.plan import Plan
    from ...sizing.growth import Stack
    from ...sizing.run import SizeRun
    from ...source.diagnostics import Diagnostic
    from ...source.text import Source


class Heading(NamedTuple):
    """What every sheet says of the style and of the body it is drafted for."""

    style_title: str
    version: str
    prose: str
    body_name: str
    unit: str  # "cm", "in" or "mm": how lengths are written
    house: House = USUAL  # in whose way lengths, words and notches are
    date: datetime | None = None  # of the draft; None: not told
    rules: str = ""  # their fingerprint
    choices: tuple[str, ...] = ()  # those that differ from the style's own, each with its value
    numbers: Mapping[str, int] = {}  # of the pieces by their names, as the cutting list has them
    measured: Day | None = None  # when the body was; None: not told
    fitted: tuple[str, ...] = ()  # the days of the fittings that the draft has taken

    @property
    def titled(self) -> str:
        """The style's title and version."""
        return f"{self.style_title} {self.version}".strip()

    @property
    def day(self) -> str:
        """The date of the draft as ISO 8601 writes it, in any language; empty where it is not told."""
        return "" if self.date is None else self.date.date().isoformat()

    def facts(self, house: House | None = None) -> list[str]:
        """What every paper says of the draft below its title, in the words of this house, or of another."""
        say = (house or self.house).say
        return [
            *([say("date {date}", date=self.day)] if self.date is not None else []),
            *([say("measured {date}", date=self.measured.isoformat())] if self.measured is not None else []),
            *([say("chosen: {list}", list=", ".join(self.choices))] if self.choices else []),
            *self._fitted(say),
            *([say("rules {letters}", letters=self.rules)] if self.rules else []),
        ]

    def _fitted(self, say: Callable[..., str]) -> list[str]:
        if len(self.fitted) < 2:
            return [say("fitted {date}", date=day) for day in self.fitted]
        return [say("{count} fittings, the last {date}", count=len(self.fitted), date=self.fitted[-1])]

    def numbered(self, piece: str) -> str:
        """Which of the pieces this is; nothing where they are not counted."""
        number = self.numbers.get(piece)
        return "" if number is None else self.house.say("piece {number} of {count}", number=number, count=len(self.numbers))


@dataclass(slots=True, eq=False)
class Work:
    finished: Finished  # a chunk in which the body has not failed
    index: int  # the body's place in the chunk
    heading: Heading
    plan: Plan
    run: Run  # measures, choices and every slot's value
    ledgers: Ledgers
    cautions: tuple[Diagnostic, ...] = ()
    house: House = USUAL
    opened: bool = False  # pieces cut on the fold drawn whole
    foundations: bool = False  # whether drawings show the foundations too
    sources: tuple[Source, ...] = ()  # of the style, and of what it uses, the style first
    size: str = ""  # the name of the size, where the style is drafted in several
    part: str = ""  # what the files of this size have in their names
    chosen: tuple[str, ...] = ()  # choices that are not as the style has them
    notes: tuple[str, ...] = ()  # what the measures of this size rest on; they stand in the heading's prose as well
    asked: Asked = NOTHING_ASKED
    card_note: str = ""  # what the body's card says of itself
    rests_on: Mapping[str, object] = field(default_factory=dict)  # marks of what the draft rests on besides measures and choices
    fittings: tuple[DatedFitting, ...] = ()  # that the draft has taken
    unfitted: Mapping[str, float] = field(default_factory=dict)  # level -> the sewn girth without them, mm
    anonymous: bool = False  # whether something else stands for the body's name

    def __post_init__(self) -> None:
        self.heading = self.heading._replace(house=self.house)

    @property
    def unit(self) -> str:
        return self.heading.unit

    @property
    def bears(self) -> dict[str, object]:
        """What the record says of the draft, as papers do in words."""
        date = self.heading.date
        return {
            "rules": self.heading.rules or None,
            "date": None if date is None else date.isoformat(timespec="minutes"),
            "measured": None if self.heading.measured is None else self.heading.measured.isoformat(),
            "chosen": list(self.chosen),
            "drill": self.house.drill,
            "rests_on": dict(self.rests_on),
            "anonymous": self.anonymous,
            "fittings": [{"date": one.day.isoformat(), "notes": list(one.notes), "lines": list(one.lines)} for one in self.fittings],
            "unfitted": dict(self.unfitted),
        }

    @property
    def shown(self) -> tuple[FinishedPiece, ...]:
        """What drawings show, in their order."""
        from ...finishing.alike import shown

        return shown(self.finished, self.index, self.foundations)

    @property
    def cut(self) -> tuple[FinishedPiece, ...]:
        """What is cut, pieces alike once, in the order of the text."""
        from ...finishing.alike import one_of_each

        return one_of_each(self.finished, self.index)

    @property
    def house_paper(self) -> Paper:
        """What the house prints on.  PaperRefused where that cannot be used."""
        paper, diagnostics = read_paper(self.house.paper)
        if paper is None:
            raise PaperRefused(diagnostics[0])
        return paper

    @property
    def papers(self) -> tuple[Paper, ...]:
        """What is printed on: what is asked for, else the house's."""
        return self.asked.papers or (self.house_paper,)

    @property
    def sheet(self) -> Paper:
        """The paper of what is read rather than laid on cloth: one that lies on a table."""
        return next((paper for paper in (*self.papers, self.house_paper) if not paper.large), PAPERS["A4"])

    def value(self, slot: int) -> float:
        """What a step of the plan gave for this body: a length in mm, an angle in radians, or a bare number."""
        return float(cast("Floats", self.run.filled[slot])[self.index])

    @property
    def file_stem(self) -> str:
        return f"{self.plan.name}-{self.part}" if self.part else self.plan.name

    @property
    def size_name(self) -> str:
        """The size as other programs are told it: of a body drafted alone, its name."""
        return "_".join(self.size.split()) or self.heading.body_name  # a list of sizes is parted by blanks


@dataclass(slots=True, eq=False)
class SizesWork:
    run: SizeRun
    stacks: Mapping[str, Stack]  # of each piece: where its sizes lie together
    base: Work  # of the base size
    heading: Heading  # of the sizes together
    kinds: Sequence[str] = ()  # the papers that are asked for of each size
    diagnostics: list[Diagnostic] = field(default_factory=list)  # a paper adds what is to be said of it

    @property
    def file_stem(self) -> str:
        return self.base.plan.name
