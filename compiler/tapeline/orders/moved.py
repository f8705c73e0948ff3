"""Which pieces of an order must be cut again: its style drafted as it is today, and set beside the record of what was drafted then.

Orders of one style and house whose choices are set by the same names are drafted in one call, however many clients they are of.  What
moved is told by `making.comparing`.  A piece must be cut again where anything of it has moved by more than `MOVED`, or is cut or marked
otherwise.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from pathlib import PurePath
from typing import NamedTuple

from ..locking.comparing import Move
from ..making.comparing import DraftComparison, compared_records
from ..making.drafts import BodyDraft, draft_cards
from ..making.papers import record_of
from ..making.resting import house_mark
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.text import Source
from .standing import ReadStyle, Standing, errors_in

MOVED = 0.1  # mm; a cutter sees no less


class Anew(NamedTuple):
    """An order drafted as it is today: the draft and what moved, if it can be drafted, and the pieces that must be cut again."""

    body: BodyDraft | None
    moved: DraftComparison | None
    cut_again: tuple[str, ...]
    diagnostics: list[Diagnostic]


def drafted_anew(standings: Sequence[Standing], fitted: Callable[[PurePath, Source], ReadStyle]) -> dict[Standing, Anew]:
    """Each of these orders, all of which have a record, drafted again and compared with it; `fitted` reads a style at a path with what a
    client's fittings change of it."""
    groups: dict[object, list[Standing]] = {}
    for one in standings:
        assert one.house is not None
        groups.setdefault((id(one.style), one.changes, house_mark(one.house), tuple(sorted(one.values))), []).append(one)
    found: dict[Standing, Anew] = {}
    for group in groups.values():
        first = group[0]
        style, wrong = first.style, list[Diagnostic]()
        if first.changes is not None and first.style_path is not None:
            reading = fitted(first.style_path, first.changes)
            style, wrong = reading.style, errors_in(reading.diagnostics)
        found |= _together(group, style) if style is not None else {one: Anew(None, None, (), wrong) for one in group}
    return {one: found[one] for one in standings}


def _together(group: Sequence[Standing], style: Style) -> dict[Standing, Anew]:
    house = group[0].house
    assert house is not None
    cards = [one.card for one in group if one.card is not None]
    drafts, diagnostics = draft_cards(style, cards, (), None, house, each=[one.values for one in group])
    by_card = {id(draft.card): draft for draft in drafts}
    found = {}
    for one in group:
        body = by_card.get(id(one.card))
        own = [said for said in errors_in(diagnostics) if one.card is not None and said.body in ("", one.card.name)]
        found[one] = Anew(None, None, (), own) if body is None else _compared(one, body)
    return found


def _compared(one: Standing, body: BodyDraft) -> Anew:
    names = (one.drafted or "before", "now")
    done = compared_records(one.record or {}, record_of(body.work()), names, body.unit, body.house)
    far = {
        piece: max((_far(move) for move in done.moved.moves if move.key.piece == piece), default=0.0) for piece in done.moved.changed
    }
    return Anew(body, done, tuple(piece for piece in done.moved.changed if far[piece] > MOVED), [])


def _far(move: Move) -> float:
    """How far a row has moved, mm; without end where it is no figure, or stands in one of the drafts alone."""
    return math.inf if move.by(0) is None else move.far(0)
