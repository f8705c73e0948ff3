"""Places by their words: what can be asked about, and to which slots each leads.

`hip_quarter`, `front.hip_side`, `girth at waist`, `width of front at hip`, `allowance of front.side`, `dart of front.waist`,
`level hip`, a piece by its name; and a rule by its line, `skirt.style:13`.  All places of a draft are entered in one table under their words, so that what is asked in
other words can be told the nearest.  A name of a piece may stand without the piece where one piece alone has it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from ..drafting.courses import Draft
from ..drafting.pattern import Dart, InnerDart, Pattern, Piece
from ..meaning.plan import PiecePlan
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Argument, Span
from .book import RuleBook
from .lines import slots_at
from .shares import MovingPart, apart, part_of, point_parts, sum_part
from .tree import Wanted

_LINE = re.compile(r"(\S+\.(?:style|fittings)):(\d+)")


class AskedPlace(NamedTuple):
    """A place that can be asked about: a slot, or what rests on several; and the figures of it that move."""

    words: str
    slot: int | None
    wanted: Wanted | None
    parts: tuple[MovingPart, ...]


class PlaceTable:
    """The places of one draft; `pattern` is finished, with the allowances of the house."""

    def __init__(self, book: RuleBook, drafted: Draft, pattern: Pattern) -> None:
        self.book, self.drafted, self.pattern = book, drafted, pattern
        self.makers: dict[str, Callable[[], AskedPlace]] = {}
        self.owners: dict[str, list[str]] = {}  # a name without its piece -> the places of that name
        self._enter()

    def __iter__(self) -> Iterator[str]:
        return iter(self.makers)

    def find(self, words: str, style: Style | None = None) -> tuple[AskedPlace | None, Diagnostic | None]:
        """The place of some words, or E110 or E111."""
        asked = " ".join(words.replace('"', "").split())
        for lead in ("length of ", "closed length of ", "point ", "edge ", "piece ", "quantity ", "intake of "):
            if asked not in self.makers and asked.startswith(lead):
                asked = asked.removeprefix(lead)
        if asked in self.makers:
            return self.makers[asked](), None
        if (line := _LINE.fullmatch(asked)) and (place := self._at_line(asked, line[1], int(line[2]))) is not None:
            return place, None
        same = self.owners.get(asked, [])
        if len(same) == 1:
            return self.makers[same[0]](), None
        span = Span(Argument("place", words), 0, len(words))
        if same:
            return None, Diagnostic(
                "E111",
                f'More than one piece has "{asked}"',
                span,
                "the piece before it",
                f'"{asked}"',
                f"Say one of: {', '.join(same[:8])}.",
            )
        return None, Diagnostic(
            "E110",
            f'Nothing of this draft is called "{asked}"',
            span,
            "a quantity, a point or edge as PIECE.NAME, a piece, a dart, girth at LEVEL, allowance of PIECE.EDGE",
            f'"{asked}"',
            self._way_out(asked, style),
        )

    def _way_out(self, asked: str, style: Style | None) -> str:
        if style is not None and any(asked in _names(plan.pieces, plan.values) for plan in style.plans()):
            return "Other courses of the rules have it: set the choice under which it is made."
        hint = did_you_mean(asked, self.makers) or did_you_mean(asked, self.owners)
        if hint:
            return hint
        owner, _, name = asked.partition(".")
        own = [word for word in self.makers if word.startswith(f"{owner}.")]
        if own:
            return f"{owner} has {', '.join(word.removeprefix(f'{owner}.') for word in own[:12])}."
        holding = [f'"{word}"' for word in self.makers if name and word.endswith(f".{name}")]
        return f"Did you mean {' or '.join(holding[:3])}?" if holding else f"There are for instance {', '.join([*self.makers][:8])}."

    # ------------------------------------------------------------ the table

    def _put(self, words: str, maker: Callable[[], AskedPlace], name: str = "") -> None:
        self.makers.setdefault(words, maker)
        if name and words not in self.owners.setdefault(name, []):
            self.owners[name].append(words)

    def _enter(self) -> None:
        for slot, names in self.book.names.items():
            for name in names:
                if name.sort in ("measure", "choice", "quantity", "part", "level"):
                    self._slot(name.words, slot, name.words.removeprefix("level "))
        for row in self.drafted.ledgers.girths:
            self._put(f"girth at {row.level}", partial(self._girth, row.level))
        pieces = {piece.name: piece for piece in (*self.pattern.pieces, *self.pattern.foundations)}
        for plan in self.book.plan.pieces:
            self._put(plan.name, partial(self._piece, plan))
            self._enter_piece(plan, pieces[plan.name])

    def _slot(self, words: str, slot: int, name: str = "") -> None:
        if slot not in self.book.steps or (self.book.kinds[slot].word in ("point", "line", "edge") and not self.book.values(slot)):
            return  # a part of a cut has not all that its source has
        self._put(words, partial(self._of_slot, words, slot), name if name != words else "")

    def _enter_piece(self, plan: PiecePlan, piece: Piece) -> None:
        name = plan.name
        for edge, slot in plan.edges:
            self._slot(f"{name}.{edge}", slot, edge)
            if (name, edge) in self.pattern.allowances or edge == plan.cut.fold:
                self._put(f"allowance of {name}.{edge}", partial(self._allowance, name, edge))
        for point, slot in plan.points.items():
            self._slot(f"{name}.{point}", slot, point)
        for outline in piece.edges:
            for dart in outline.darts:
                maker = partial(self._dart, plan, dart, outline.name)
                self._put(f"{name}.{dart.name}", maker, dart.name)
                self._put(f"dart of {name}.{outline.name}", maker)
        for number, inner in enumerate(piece.inner):
            self._put(f"{name}.{inner.name}", partial(self._inner, plan, inner, number), inner.name)
        for mark in plan.marks:
            self._slot(f"{name}.{mark.name or mark.kind}", mark.path, mark.name or mark.kind)
        for placed in plan.point_marks:
            self._slot(f"{name}.{placed.name}", placed.at, placed.name)
        for notch in plan.notches:
            word = f"{name}.{notch.edge} {notch.name}".strip()
            self._slot(f"{word} notch" if word in self.makers else word, notch.place)
        for level, slot in plan.widths.items():
            self._slot(f"width of {name} at {level}", slot)

    # ------------------------------------------------------------ sorts of places

    def _of_slot(self, words: str, slot: int) -> AskedPlace:
        kind = self.book.kinds[slot].word
        if kind == "point":
            return AskedPlace(words, slot, None, point_parts(slot))
        return AskedPlace(words, slot, None, () if kind == "condition" else (part_of(slot),))

    def _at_line(self, words: str, name: str, line: int) -> AskedPlace | None:
        """What the rules at a line of a text came to."""
        slots = slots_at(self.book, name.rpartition("/")[2], line)
        if len(slots) == 1:
            return self._of_slot(words, slots[0])
        return AskedPlace(words, None, Wanted("line", words, None, tuple(slots)), ()) if slots else None

    def _girth(self, level: str) -> AskedPlace:
        row = next(one for one in self.drafted.ledgers.girths if one.level == level)
        plans = {piece.name: piece for piece in self.book.plan.pieces}
        terms = tuple((float(times), plans[piece].widths[level]) for piece, times, _ in row.pieces)
        span = next((name.span for name in self.book.plan.names if name.sort == "level" and name.name == level), None)
        wanted = Wanted("girth", f"girth at {level}", span, tuple(slot for _, slot in terms), terms, note="as sewn")
        return AskedPlace(wanted.name, None, wanted, (sum_part(terms),))

    def _piece(self, plan: PiecePlan) -> AskedPlace:
        slots = tuple(slot for _, slot in plan.edges)
        parts = tuple(part_of(slot, name) for name, slot in plan.edges)
        wanted = Wanted("piece", plan.name, plan.span, slots, note=f"{len(slots)} edges")
        return AskedPlace(plan.name, None, wanted, parts)

    def _allowance(self, piece: str, edge: str) -> AskedPlace:
        book, words = self.book, f"allowance of {piece}.{edge}"
        plan = book.plan.allowances.get((piece, edge))
        allowance = self.pattern.allowances.get((piece, edge))
        if allowance is None:
            fold = next(one for one in book.plan.pieces if one.name == piece)
            return AskedPlace(words, None, Wanted("allowance", words, fold.span, (), comes="none, on the fold"), ())
        width = float(allowance.width[book.index])
        by_style = plan is not None and plan.span == allowance.span
        slots = (plan.width,) if plan is not None and by_style and plan.width is not None else ()
        kind = {"plain": "", "none": "", "": ""}.get(allowance.kind, allowance.kind)
        note = ", ".join(filter(None, [kind, "" if by_style else "as the house has it"]))
        wanted = Wanted("allowance", words, allowance.span, slots, (), book.ways.show(width, book.unit), (width,), note)
        return AskedPlace(words, None, wanted, tuple(part_of(slot) for slot in slots))

    def _dart(self, plan: PiecePlan, dart: Dart, edge: str) -> AskedPlace:
        book, words = self.book, f"{plan.name}.{dart.name}"
        slots = [plan.points[f"{dart.name}_{end}"] for end in ("near", "point", "far") if f"{dart.name}_{end}" in plan.points]
        if len(slots) < 3:
            slots = [dict(plan.edges)[edge]]
            parts: tuple[MovingPart, ...] = ()
        else:
            near, point, far = slots
            parts = (apart(near, far, "intake"), apart(near, point, "length"))
        intake, long = float(dart.intake[book.index]), float(np.hypot(*(dart.point - dart.near_foot)[book.index]))
        asked = () if book.is_own(dart.span) else (plan.span,)
        comes = f"{book.ways.show(intake, book.unit)} taken out, {book.ways.show(long, book.unit)} long"
        return AskedPlace(
            words,
            None,
            Wanted("dart", words, dart.span, tuple(slots), (), comes, (intake, long), "" if dart.kind == "dart" else dart.kind, asked),
            parts,
        )

    def _inner(self, plan: PiecePlan, inner: InnerDart, number: int) -> AskedPlace:
        book, words = self.book, f"{plan.name}.{inner.name}"
        _, span, corners, intake = plan.inner[number]
        asked = () if book.is_own(span) else (plan.span,)
        comes = f"{book.comes(intake)} taken out"
        wanted = Wanted("dart", words, span, (intake, *corners), (), comes, (book.value(intake),), "dart with two points", asked)
        return AskedPlace(words, None, wanted, (part_of(intake, "intake"), apart(corners[0], corners[2], "length")))


def _names(pieces: Sequence[PiecePlan], values: Iterable[str]) -> set[str]:
    names = {f"{piece.name}.{word}" for piece in pieces for word in (*piece.points, *(edge for edge, _ in piece.edges))}
    return names | set(values) | {piece.name for piece in pieces}
