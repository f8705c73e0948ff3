"""The sizes of a range: the rows of a size table, or the body cards of a folder, made ready for one style.

A table seldom has all that a style measures.  A measure that no size has may be lent by a body card, the same for every
size.  A measure that some sizes have and one has not is filled in where the cell lies between two filled ones: by the
straight line along the table's leading girth, the first girth that every size has, and rounded as finely as the column is
written.  A gap at an end is never filled.  What is lent or filled is marked, and said as a caution.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from pathlib import PurePosixPath

from ..source.diagnostics import CAUTION, Diagnostic, has_errors
from ..source.quantity import parted, read_number
from ..source.suggest import did_you_mean
from ..source.text import Argument, Source, Span
from .card import Card, missing, one_line, read_card
from .measurement import Doubt, Measurement, doubted
from .reading import doubt_diagnostic, shortened, unit_of
from .table import read_table

_COMMENT = "#"


@dataclass(frozen=True, slots=True)
class Sizes:
    """`cards` in the order of the sizes, one each, called by the size.

    `filled` tells of each size which measures are not from the table, and between which two sizes they were found; `lent`
    which measures come from the card of `lender`.  `comments` stand at the head of the table.
    """

    name: str
    cards: tuple[Card, ...]
    comments: tuple[str, ...] = ()
    filled: Mapping[str, Mapping[str, tuple[str, str]]] = field(default_factory=dict)
    lender: str = ""
    lent: tuple[str, ...] = ()
    of_table: bool = True  # else of a folder of body cards

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(card.name for card in self.cards)

    def body_name(self, size: str) -> str:
        """What a paper calls the body of a size."""
        return f"size {size}" if self.of_table else size

    def notes(self, *sizes: str) -> list[str]:
        """What papers of some sizes say of their measures, a sentence each."""
        notes = [f"{'Sizes' if len(sizes) > 1 else f'Size {sizes[0]}'} of {self.name}."] if self.of_table else []
        if self.lent:
            verb = "is" if len(self.lent) == 1 else "are"
            notes.append(f"{_listed(self.lent)} {verb} of {self.lender}, for every size alike.")
        for size in sizes:
            for measure, (low, high) in self.filled.get(size, {}).items():
                notes.append(f"{measure} of size {size} is interpolated between sizes {low} and {high}.")
        return notes


def read_sizes(source: Source, known: Mapping[str, Measurement], doubts: Iterable[Doubt] = ()) -> tuple[Sizes | None, list[Diagnostic]]:
    """The sizes of a table, or None where a diagnostic is an error."""
    cards, diagnostics = read_table(source, known, doubts)
    if has_errors(diagnostics):
        return None, diagnostics
    if not cards:
        return None, [
            *diagnostics,
            Diagnostic(
                "B121",
                "This size table has no sizes",
                Span(source, 0, len(source.text.rstrip())),
                expected="a row for each size below the heading",
            ),
        ]
    return Sizes(_stem(source), tuple(cards), _head(source)), diagnostics


def read_size_cards(
    name: str, sources: Sequence[Source], known: Mapping[str, Measurement], doubts: Iterable[Doubt] = ()
) -> tuple[Sizes | None, list[Diagnostic]]:
    """The bodies of a folder of cards, in the order of the leading girth.  B133 for two cards of one name."""
    cards: list[Card] = []
    diagnostics: list[Diagnostic] = []
    seen: dict[str, Span] = {}
    for source in sources:
        card, of_card = read_card(source, known, doubts)
        diagnostics += of_card
        if card is None:
            continue
        if card.name in seen:
            diagnostics.append(alike_named("cards", card, "a name of its own on each card", seen[card.name].source.name))
        seen.setdefault(card.name, card.span or Span(source, 0, 0))
        cards.append(card)
    if has_errors(diagnostics):
        return None, diagnostics
    leading = leading_girth(cards, known)
    if leading:
        cards.sort(key=lambda card: card.values[leading])
    return Sizes(name, tuple(cards), of_table=False), diagnostics


def alike_named(what: str, card: Card, expected: str, found: str) -> Diagnostic:
    """B133: a card has the name of one before it."""
    title = f"Two {what} are called {shortened(card.name, 30)}"
    return Diagnostic("B133", title, card.span, expected, found, "Change the name on one of the two.")


def uneven_sizes(cards: Iterable[Card], needed: Iterable[str]) -> list[Diagnostic]:
    """B148 for each body among sizes whose sides differ in a measure that is needed: sizes are even."""
    needed = tuple(needed)
    diagnostics = []
    for card in cards:
        uneven = [name for name in needed if name in card.sides]
        if uneven:
            diagnostics.append(
                Diagnostic(
                    "B148",
                    f"The sides of {shortened(card.name, 30)} differ",
                    card.spans.get(uneven[0]) or card.span,
                    "a size, which has two sides alike",
                    f"{uneven[0]} {card.written[uneven[0]]}",
                    "Draft this body by itself, with --for; or give it a card without sides.",
                    body=card.name,
                )
            )
    return diagnostics


def leading_girth(cards: Sequence[Card], known: Mapping[str, Measurement], among: Iterable[str] | None = None) -> str:
    """The first girth that every card has, of some measures if they are said; empty where there is none."""
    for name in cards[0].values if among is None else among:
        if known[name].kind == "girth" and all(name in card.values for card in cards):
            return name
    return ""


def chosen(sizes: Sizes, names: Sequence[str]) -> tuple[Sizes, list[Diagnostic]]:
    """The sizes of these names alone, in their own order.  B132 for a name that is no size."""
    diagnostics = [no_such_size(sizes, Argument("only", name)) for name in names if name not in sizes.names]
    return replace(sizes, cards=tuple(card for card in sizes.cards if card.name in names)), diagnostics


def no_such_size(sizes: Sizes, asked: Argument) -> Diagnostic:
    """B132: what was asked for is no size."""
    name = asked.text
    return Diagnostic(
        "B132",
        f"{sizes.name} has no size {shortened(name, 20)}"[:60],
        Span(asked, 0, len(name)),
        f"one of: {', '.join(sizes.names)}",
        name or "nothing",
        did_you_mean(name[:60], sizes.names),
    )


# --------------------------------------------------------------------------------- what a style needs


def completed(
    sizes: Sizes, needed: Sequence[str], known: Mapping[str, Measurement], lender: Card | None = None, doubts: Iterable[Doubt] = ()
) -> tuple[Sizes, list[Diagnostic]]:
    """The sizes with every measure that a style needs: lent where none has it, filled in where one has not.

    B113 a measure is wanting, B129 a gap was filled, B130 it cannot be, B131 a measure is lent, B109 doubts of it.
    """
    wholly = [name for name in needed if not any(name in card.values for card in sizes.cards)]
    lent = tuple(name for name in wholly if lender is not None and name in lender.values)
    diagnostics = [_wanting(sizes, name, known) for name in wholly if name not in lent]
    if lent and lender is not None:
        sizes, of_lent = _with_lent(sizes, lent, lender, tuple(doubts))
        diagnostics += of_lent
    for name in needed:
        if name in wholly:
            continue
        if sizes.of_table:
            sizes, of_gaps = _with_gaps_filled(sizes, name, known)
            diagnostics += of_gaps
        else:
            diagnostics += [wanting for card in sizes.cards for wanting in missing(card, [name], known)]
    return sizes, diagnostics


def _wanting(sizes: Sizes, name: str, known: Mapping[str, Measurement]) -> Diagnostic:
    measurement = known[name]
    first = sizes.cards[0]
    unit = unit_of(measurement, first.unit)
    heading = f'Add a column "{name} [{unit}]"' if sizes.of_table else "Take it and add it to the cards"
    return Diagnostic(
        "B113",
        f"{name} is needed and no size has it",
        _heading(first),
        f"{measurement.title}: {measurement.taken}",
        "",
        f"{heading}, or give a body card that has it with --with.",
    )


def _with_lent(sizes: Sizes, lent: tuple[str, ...], lender: Card, doubts: tuple[Doubt, ...]) -> tuple[Sizes, list[Diagnostic]]:
    cards = []
    diagnostics = [
        Diagnostic(
            "B131",
            f"Every size has {name} of one body"[:60],
            lender.spans.get(name) or lender.span,
            f"a column {name} in {sizes.name}",
            f"{lender.written[name]}, of {lender.name}",
            "Add the column once the measure is known for each size.",
            severity=CAUTION,
        )
        for name in lent
    ]
    for card in sizes.cards:
        values = card.values | {name: lender.values[name] for name in lent}
        written = card.written | {name: lender.written[name] for name in lent}
        cards.append(replace(card, values=values, written=written))
        for doubt in doubted(doubts, values, lender.accepted):
            if (doubt.measure in lent) != (doubt.other in lent):
                first, second = (
                    (written[name], lender.spans.get(name) if name in lent else card.span) for name in (doubt.measure, doubt.other)
                )
                doubtful = doubt_diagnostic(doubt, first, second, "Give a card whose measures suit the sizes.")
                diagnostics.append(doubtful.for_body(sizes.body_name(card.name)))
    return replace(sizes, cards=tuple(cards), lender=lender.name, lent=lent), diagnostics


def _with_gaps_filled(sizes: Sizes, name: str, known: Mapping[str, Measurement]) -> tuple[Sizes, list[Diagnostic]]:
    gaps = [k for k, card in enumerate(sizes.cards) if name not in card.values]
    if not gaps:
        return sizes, []
    leading = leading_girth(sizes.cards, known)
    cards, filled = list(sizes.cards), dict(sizes.filled)
    diagnostics = []
    for k in gaps:
        card = sizes.cards[k]
        between = _neighbours(sizes, k, name, leading)
        if isinstance(between, str):
            diagnostics.append(_not_filled(sizes.body_name(card.name), card, name, between))
        else:
            low, high = between
            part = (card.values[leading] - low.values[leading]) / (high.values[leading] - low.values[leading])
            value, written = _rounded(low.values[name] + part * (high.values[name] - low.values[name]), name, sizes, low)
            cards[k] = replace(card, values=card.values | {name: value}, written=card.written | {name: written})
            filled[card.name] = {**filled.get(card.name, {}), name: (low.name, high.name)}
            diagnostics.append(
                Diagnostic(
                    "B129",
                    f"{name} of this size is interpolated"[:60],
                    card.span,
                    "a figure in the table",
                    f"an empty cell; {written} lies between {low.written[name]} of {low.name} and {high.written[name]} of {high.name}, "
                    f"as its {leading} does",
                    "Fill the cell in once the figure is known.",
                    severity=CAUTION,
                    body=sizes.body_name(card.name),
                )
            )
    return replace(sizes, cards=tuple(cards), filled=filled), diagnostics


def _neighbours(sizes: Sizes, gap: int, name: str, leading: str) -> tuple[Card, Card] | str:
    """The sizes between which a gap is filled, or why it cannot be."""
    card = sizes.cards[gap]
    low = next((below for below in sizes.cards[gap::-1] if name in below.values), None)
    high = next((above for above in sizes.cards[gap:] if name in above.values), None)
    if low is None or high is None:
        return "no size beyond it has one, and a measure is never carried on past the last"
    if not leading:
        return "no girth stands at every size, along which it could be reckoned"
    ends = sorted((low.values[leading], high.values[leading]))
    if not ends[0] < card.values[leading] < ends[1]:
        return f"its {leading} does not lie between those of {low.name} and {high.name}"
    return low, high


def _not_filled(size: str, card: Card, name: str, why: str) -> Diagnostic:
    return Diagnostic(
        "B130",
        f"{name} of this size is wanting"[:60],
        card.span,
        "a figure in the table",
        f"an empty cell; {why}",
        "Fill the cell in, or leave the size out with --only.",
        body=size,
    )


def _rounded(value: float, name: str, sizes: Sizes, like: Card) -> tuple[float, str]:
    """A value as finely as the column is written, and how it is written there."""
    unit = parted(like.written[name])[1]
    per = unit.value(Fraction(1))
    written = [parted(card.written[name]) for card in sizes.cards if name in card.written]
    figures = [figure for figure, unit_of_figure in written if unit_of_figure is unit]
    parts = max([1, *(read_number(figure).denominator for figure in figures if "/" in figure)])
    decimals = max([0, *(len(figure.partition(".")[2]) for figure in figures if "/" not in figure)])
    if parts > 1 and not decimals:
        whole, rest = divmod(Fraction(round(value / per * parts), parts), 1)
        figure = " ".join(filter(None, [str(whole) if whole or not rest else "", f"{rest}" if rest else ""]))
    else:
        figure = f"{value / per:.{decimals or (3 if parts > 1 else 0)}f}"
    return unit.value(read_number(figure)), f"{figure} {unit.word}"


# ----------------------------------------------------------------------------------- what stands at the head


def _stem(source: Source) -> str:
    return one_line(PurePosixPath(source.name.replace("\\", "/")).stem) or "sizes"


def _head(source: Source) -> tuple[str, ...]:
    """The comments above the heading, without their sign."""
    comments = []
    for line in source.text.lstrip("\ufeff").split("\n"):
        if line.strip() and not line.lstrip().startswith(_COMMENT):
            break
        if line.strip():
            comments.append(one_line(line.strip().lstrip(_COMMENT)))
    return tuple(comments)


def _heading(card: Card) -> Span | None:
    """The heading of the table that a card is a row of; of another card its own place."""
    if card.span is None or not card.from_table:
        return card.span
    source = card.span.source
    for number, start in enumerate(source.starts, 1):
        line = source.line(number)
        if line.strip() and not line.lstrip("\ufeff \t").startswith(_COMMENT):
            return Span(source, start, start + len(line.rstrip("\r")))
    return card.span


def _listed(names: Sequence[str]) -> str:
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
