"""The ledgers of one draft as tables of words and figures, for a screen, a plain file or the live page.

Girths: the body, what the rules intend, what is left when the darts are sewn, the ease, and the darts that
leave more than intended.  Seams: both lengths and how far they differ.  Corners: the sewn angle of every line that runs on
across a seam, a fold or a dart.  Allowances: width, kind, corner.
Lengths are in the unit asked for.  The figures are those of `drafting.ledgers`; nothing is worked out here.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ..drafting.ledgers import GirthRow, Ledgers
from ..finishing.finished import Finished
from ..geometry.arrays import Floats
from ..paper.house.house import House
from ..source.quantity import show_degrees
from .columns import Table

NAME = 24  # characters of piece and edge that are kept on one line
NOTHING = 0.05  # mm; less is not told
NONE_BEFORE: Mapping[str, float] = {}
NO_ANGLE = np.radians(0.05)


class HouseLengths(NamedTuple):
    """HouseLengths of the single body of a draft as a house writes them; empty where there is none."""

    house: House
    unit: str

    def length(self, values: Floats | None) -> str:
        return "" if values is None else self.house.show(float(values[0]), self.unit)

    def signed(self, values: Floats | None) -> str:
        return "" if values is None else self.house.signed(float(values[0]), self.unit)


def ledger_tables(
    ledgers: Ledgers, finished: Finished, show: HouseLengths, unfitted: Mapping[str, float] = NONE_BEFORE
) -> tuple[Table, ...]:
    """All of them, of the single body of a draft; `unfitted` are the sewn girths without her fittings."""
    return girths(ledgers, show, unfitted), seams(ledgers, show), corners(ledgers), allowances(ledgers, finished, show)


def girths(ledgers: Ledgers, show: HouseLengths, unfitted: Mapping[str, float] = NONE_BEFORE) -> Table:
    figures = ("body", "intended", "before fitting", "sewn", "left", "right", "ease", "over or under")
    table = _table(ledgers.girths_title, ("level",), figures, "because of", "line")
    for row in ledgers.girths:
        table.add_row(
            _in_words(row.level) + (f", {row.part(0)}" if row.part(0) else ""),
            show.length(row.body),
            show.length(row.intended),
            show.house.show(unfitted[row.level], show.unit) if row.level in unfitted else "",
            show.length(row.sewn),
            *(show.length(side) for side in row.sides or (None, None)),
            show.signed(row.ease),
            show.signed(row.surplus),
            _blame(row, show),
            _in_words(row.ways),
        )
    return table


def _blame(row: GirthRow, show: HouseLengths) -> str:
    """The darts that take out less here than their rule stated."""
    return "; ".join(
        f"{narrowed.piece}.{narrowed.dart} has narrowed by {show.length(narrowed.lack)}"
        for narrowed in row.narrowed
        if float(narrowed.lack[0]) > NOTHING
    )


def seams(ledgers: Ledgers, show: HouseLengths) -> Table:
    eased = any(abs(float(row.ease[0])) > NOTHING for row in ledgers.seams)
    opened = any(row.openings for row in ledgers.seams)
    figures = ("length", "length of the other", *(["easing"] if eased else []), "difference", "tolerance")
    figures += ("left open", "sewn") if opened else ()
    table = _table("Seams", ("edge", "sewn to"), figures)
    for row in ledgers.seams:
        easing = [show.length(row.ease)] if eased else []
        left_open = ", ".join(filter(None, (show.length(row.left_open), row.open_side))) if row.openings else ""
        parts = [left_open, show.length(row.length_one - row.left_open)] if opened else []
        table.add_row(
            _broken(row.one),
            _broken(row.other),
            show.length(row.length_one),
            show.length(row.length_other),
            *easing,
            show.house.seam_difference(float(row.difference[0]), show.unit),
            "gathered" if row.kind == "gathered" else show.house.seam_tolerance(row.tolerance, show.unit),
            *parts,
        )
    return table


def corners(ledgers: Ledgers) -> Table:
    """Of folds and darts only those where the line does not run on quite straight."""
    told = [row for row in ledgers.corners if np.isfinite(row.angle[0]) and not row.excused[0]]
    told = [row for row in told if row.how == "seam" or abs(row.off[0]) > NO_ANGLE]
    remarks = ["what of it"] if any(row.remark(0) for row in told) else []
    table = _table("Corners across seams", ("line", "runs on as", "across"), ("sewn angle",), *remarks)
    for row in told:
        across = row.across if row.how == "seam" else f"{row.how} {row.across}"
        remark = [row.remark(0)] if remarks else []
        table.add_row(_broken(row.one.named), _broken(row.other.named), _broken(across), show_degrees(float(row.angle[0])), *remark)
    return table


def allowances(ledgers: Ledgers, finished: Finished, show: HouseLengths) -> Table:
    corners = {
        (piece.piece.name, corner.edge_in): f"{corner.kind[0]}, with {_in_words(corner.edge_out)}"
        for piece in finished.pieces
        for corner in piece.corners
    }
    table = _table("Seam allowances", ("piece", "edge"), ("width",), "kind", "corner at the end of the edge")
    for row in ledgers.allowances if finished.pattern.allowances else ():  # a style may be net
        width = "none" if row.kind in ("fold", "none") else show.length(row.width)
        table.add_row(_in_words(row.piece), _in_words(row.edge), width, row.kind, corners.get((row.piece, row.edge), ""))
    return table


def _table(title: str, names: Sequence[str], figures: Sequence[str], *words: str) -> Table:
    table = Table(title)
    for head in names:
        table.add_column(head)
    for head in figures:
        table.add_column(head, figures=True)
    for head in words:
        table.add_column(head)
    return table


def _in_words(name: str) -> str:
    return name.replace("_", " ")


def _broken(edges: str) -> str:
    """Names of edges, a long one broken between piece and edge."""
    return " ".join(word if len(word) <= NAME else word.replace(".", ".\n") for word in edges.split(" "))
