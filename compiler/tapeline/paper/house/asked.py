"""What is asked of the papers of one draft besides the house's ways: other papers to print on, and other widths of cloth.

Each goes before what the house says, a width before what the style says as well.  `read_asked` reads the words of a command or
of the public door; several may be given in one text, parted by commas.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NoReturn

from ...bodies.reading import shortened
from ...source.diagnostics import Diagnostic, Refused
from ...source.quantity import read_length, show_length
from ...source.text import Argument, Span
from .paper_sizes import Paper, read_paper

NARROWEST_CLOTH, WIDEST_CLOTH = 200.0, 6000.0  # mm; our own, beyond which a slip of the unit is likelier


@dataclass(frozen=True, slots=True)
class Asked:
    papers: tuple[Paper, ...] = ()  # to print on; none: the house's
    cloths: Mapping[str, tuple[float, ...]] = field(default_factory=dict)  # what for, as a piece says it ("": outside) -> widths in mm


NOTHING_ASKED = Asked()


def read_asked(papers: str | Sequence[str] = (), cloths: str | Sequence[str] = ()) -> Asked:
    """The papers and the widths of cloth in words such as "A4" and "150 cm", "90 cm for lining".

    `Refused` for what is no paper (P101 to P103) or no width of cloth (H110).
    """
    by_file: dict[str, Paper] = {}
    for words in _parted(papers):
        given = Argument("paper", words)
        paper, diagnostics = read_paper(words, Span(given, 0, len(words)))
        if paper is None:
            raise Refused(diagnostics[0])
        by_file.setdefault(paper.file_part, paper)
    widths: dict[str, tuple[float, ...]] = {}
    for words in _parted(cloths):
        purpose, width = _cloth(words)
        widths[purpose] = tuple(dict.fromkeys((*widths.get(purpose, ()), width)))
    return Asked(tuple(by_file.values()), widths)


def _parted(words: str | Sequence[str]) -> list[str]:
    texts = [words] if isinstance(words, str) else words
    return [part.strip() for text in texts for part in text.split(",")] if words else []


def _cloth(words: str) -> tuple[str, float]:
    figure, _, purpose = words.partition(" for ")
    length = read_length(figure)
    if length is None or not length[1] or not NARROWEST_CLOTH <= length[0] <= WIDEST_CLOTH:
        _refuse(words)
    return purpose.strip().strip('"'), float(length[0])


def _refuse(words: str) -> NoReturn:
    given = Argument("cloth", words or " ")
    raise Refused(
        Diagnostic(
            "H110",
            "This is not a width of cloth",
            Span(given, 0, len(given.text)),
            f"a length with its unit, {show_length(NARROWEST_CLOTH, 'cm')} to {show_length(WIDEST_CLOTH, 'cm')}, and perhaps what it is for",
            shortened(words) or "nothing",
            "Say for example 150 cm, or 90 cm for lining.",
        )
    )
