"""The kinds of files that the program writes, one record for each.

A record says what a kind is called, what it is for, how its files are named, and which modules make and know them.  From these
records come `--papers` with its help, the marks by which the program knows its own files, and the tables of the read-me.  A
module is named, not imported: it loads when its paper is asked for, so that no library loads for another's sake.  Same work,
same bytes: no date, no path, no chance.

In the names of files STYLE stands for the style (with the size, where there are several), PAPER for the house's paper,
BASE for the base size, LOCK and PDF for the file that is looked at, N for a number.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from importlib import import_module
from pathlib import PurePath
from typing import NamedTuple


class PaperFile(NamedTuple):
    name: str
    module: str  # its `is_ours(data: bytes) -> bool` knows such a file by its mark


@dataclass(frozen=True, slots=True)
class PaperKind:
    name: str  # as `--papers` calls it
    words: str  # what it is for: in the help, and in the read-me
    files: tuple[PaperFile, ...]
    module: str = ""  # its `papers(work)` makes the files, name -> text or bytes; empty where a command of its own makes them
    once: str = ""  # what it was called before


DRAWN = "paper.sheets.svg"  # every drawing as SVG bears one mark
PRINTED = "paper.sheets.pdf"  # and every PDF

OF_A_DRAFT = (  # what `--papers` offers, in the order in which they are made
    PaperKind("svg", "the drawing at true size", (PaperFile("STYLE.svg", DRAWN),), "paper.sheets.sheet"),
    PaperKind(
        "pdf",
        "for a plotter; in pages to tape together, with a test square and a map",
        (PaperFile("STYLE-plot.pdf", PRINTED), PaperFile("STYLE-PAPER.pdf", PRINTED)),
        "paper.sheets.printed",
    ),
    PaperKind(
        "hand",
        "this body's draft as numbered steps for ruler, square and curve",
        (PaperFile("STYLE-by-hand.html", "paper.hand.sheet"), PaperFile("STYLE-by-hand.pdf", PRINTED)),
        "paper.hand.sheet",
    ),
    PaperKind(
        "making",
        "how the garment is made up, step by step, each with a small drawing",
        (PaperFile("STYLE-making-up.html", "paper.making_up.sheet"), PaperFile("STYLE-making-up.pdf", PRINTED)),
        "paper.making_up.sheet",
    ),
    PaperKind(
        "list",
        "pieces, cloth and notions: zips, bones and the like",
        (PaperFile("STYLE-cutting-list.html", "paper.cutting.page"), PaperFile("STYLE-cutting-list.txt", "paper.cutting.text")),
        "paper.cutting.cutting_list",
    ),
    PaperKind("dxf", "for a cutter", (PaperFile("STYLE.dxf", "paper.cutter.dxf"),), "paper.cutter.dxf"),
    PaperKind(
        "proof",
        "one page for the screen: drawing, ledgers, each rule with what it drew",
        (PaperFile("STYLE-proof.html", "paper.proof.page"),),
        "paper.proof.page",
        once="page",
    ),
    PaperKind(
        "png", "a picture of the drawing, to send", (PaperFile("STYLE-preview.png", "paper.sheets.preview"),), "paper.sheets.preview"
    ),
    PaperKind(
        "garment",
        "front and back of the garment, sketched from the pieces, and the pieces",
        (PaperFile("STYLE-garment.svg", DRAWN),),
        "paper.pictures.garment",
    ),
)
OF_SIZES = (  # what comes along where a style is drafted in several sizes: its module takes a `SizesWork`
    PaperKind(
        "nest",
        "all sizes of each piece, one on the other at true size, told apart by dashes and by their names in the lines; thin lines "
        "join each corner from size to size; the PDF comes with `--papers pdf`",
        (PaperFile("STYLE-nest.svg", DRAWN), PaperFile("STYLE-nest.pdf", PRINTED)),
        "paper.grading.nest",
    ),
    PaperKind(
        "grading",
        "the grade increments of the measures, how far each named place moves from size to size, which measure moves it how far, "
        "and at which measure the grade breaks; as a sheet, and as tables, the slopes for every size",
        tuple(PaperFile(name, "paper.grading.table") for name in ("STYLE-grading.txt", "STYLE-grading.csv", "STYLE-slopes.csv")),
        "paper.grading.table",
    ),
    PaperKind(
        "grade rules",
        "grade rules, and the base size's file for a cutter with their numbers at its turn points",
        (PaperFile("STYLE.rul", "paper.cutter.rule_table"), PaperFile("STYLE-BASE.dxf", "paper.cutter.dxf")),
        "paper.cutter.rule_table",
    ),
)
OF_OTHER_COMMANDS = (
    PaperKind("record", "the pattern as data", (PaperFile("pattern.json", "paper.record"),)),
    PaperKind("lock", "a draft under lock", (PaperFile("STYLE.locked", "locking.reading"),)),
    PaperKind(
        "comparison",
        "the pieces before and after a change, or of two drafts",
        (
            PaperFile("LOCK_moved.svg", DRAWN),
            PaperFile("STYLE_compared.svg", DRAWN),
            PaperFile("STYLE_compared.png", "paper.sheets.preview"),
        ),
    ),
    PaperKind("picture", "a page of a PDF, to send", (PaperFile("PDF-N.png", "paper.sheets.preview"),)),
    PaperKind(
        "probe",
        "what a probe found: its report, a card of each failing body, and the share of bodies that pass",
        (
            PaperFile("STYLE-probe.txt", "paper.pictures.share"),
            PaperFile("STYLE-fails-N.toml", "paper.pictures.share"),
            PaperFile("STYLE-share.svg", DRAWN),
            PaperFile("STYLE-share.csv", "paper.pictures.share"),
        ),
    ),
)
KINDS = {kind.name: kind for kind in OF_A_DRAFT}
USUAL = ("svg",)
ALL = "all"


class UnknownKind(ValueError):
    """No paper is called so; its words say which there are, or how that one is called now."""


def kinds_in(words: str | Iterable[str]) -> tuple[str, ...]:
    """The kinds that are asked for, one each or in one text parted by commas, in the order of the records.  UnknownKind tells the
    first that is none."""
    requested = [word.strip().lower() for word in (words.split(",") if isinstance(words, str) else words)]
    for word in requested:
        current = next((kind.name for kind in OF_A_DRAFT if word and kind.once == word), None)
        if current is not None:
            raise UnknownKind(f"{word!r} is now called {current!r}.")
        if word not in KINDS and word != ALL:
            raise UnknownKind(f"{word!r} is not one of: {', '.join(KINDS)}, {ALL}.")
    return tuple(kind for kind in KINDS if kind in requested or ALL in requested)


def is_ours(name: str, data: bytes) -> bool:
    """Whether a file bears the mark of a kind whose files end as its name does."""
    ending = PurePath(name).suffix
    every = (file for kind in (*OF_A_DRAFT, *OF_SIZES, *OF_OTHER_COMMANDS) for file in kind.files)
    modules = dict.fromkeys(file.module for file in every if PurePath(file.name).suffix == ending)
    return any(import_module(f"tapeline.{module}").is_ours(data) for module in modules)
