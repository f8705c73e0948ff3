"""The results of a share of bodies: read, drafted and finished together, and told in one line of JSON each.

A line is an object:

    n, line, of         number of the row, its line in the table, a digest of its text
    passed              whether the body has a true pattern
    body                its name in the table; "" where it cannot be read
    found               what is wrong or doubted: {code, severity, title, expected, found, way_out} and `rule`, "file:line" of
                        the rule in the style, or `column`, the place in the row; what is empty is left out
    girths              level -> {body, intended, sewn}
    seams               {one, other, length_one, length_other, ease} of each
    pieces              name -> {across, down, area} of what is cut: extents and area, allowances and all
    points              piece -> name -> [x, y] of every named place of the net piece, where asked for

Figures are millimetres (areas square millimetres) as `source.quantity.number` has them.  A body that did not pass has
no figures.  Lines are put together column by column, since a million of them are.
"""

from __future__ import annotations

import gc
import json
from collections.abc import Iterable, Iterator
from typing import NamedTuple

import numpy as np

from ..bodies.stream import Row, RowReader, Share
from ..drafting.landmarks import landmarks
from ..finishing.whole import Whole, drafted_whole
from ..geometry.arrays import Floats, Indices
from ..meaning.style import Style
from ..source.diagnostics import Diagnostic, has_errors, in_order
from ..source.quantity import numbers
from .order import Fault, Order, keep_open, one_at_a_time, opened


class Results(NamedTuple):
    lines: list[str]  # one a row, in order
    passed: list[bool]


def results_of(order: Order, share: Share) -> Results:
    """One line for each row of a share.  This is what workers are given to do."""
    with one_at_a_time:
        style, reader = opened(order, lambda style: _ready(order, style))
        try:
            return _results(order, style, reader, share)
        except Exception as problem:
            raise Fault(f"{share}: {type(problem).__name__}: {problem}") from problem
        finally:
            gc.collect()  # edges and the run that drew them hold each other: large arrays, but too few for Python to look soon


def get_ready(order: Order, style: Style) -> None:
    """Have this style at hand for the order that it was read for."""
    keep_open(order, _ready(order, style))


def _ready(order: Order, style: Style) -> tuple[Style, RowReader]:
    reader = RowReader(order.heading, style.measurements, style.doubts, order.measures)
    gc.unfreeze()
    gc.collect()
    gc.freeze()  # so that collecting after a share looks at no more than what the share has made
    return style, reader


def _results(order: Order, style: Style, reader: RowReader, share: Share) -> Results:
    names, cards, sound = [], [], []
    texts: list[list[str]] = []
    for place, row in enumerate(share.rows):
        name, card, diagnostics = reader.row(row)
        names.append(name)
        texts.append([_text_of(diagnostic, "column") for diagnostic in diagnostics])
        if card is not None and not has_errors(diagnostics):
            cards.append(card)
            sound.append(place)
    figures: list[str] = [""] * len(share.rows)
    if cards:
        measures = {name: np.array([card.values[name] for card in cards]) for name in order.measures}
        for whole in drafted_whole(style, measures, order.choices, order.unit, order.allowances or None, len(cards)):
            places = [sound[body] for body in whole.index.tolist()]
            for place, text in _diagnostics_of(whole):
                texts[places[place]].append(text)
            passed = np.flatnonzero(~whole.failed)
            for place, text in zip(passed.tolist(), _figures(whole, passed, order.points), strict=True):
                figures[places[place]] = text
    return Results(
        [
            _line(row, name, bool(inside), rest)
            for row, name, inside, rest in zip(share.rows, names, figures, map(_joined, texts, figures), strict=True)
        ],
        [bool(text) for text in figures],
    )


def _line(row: Row, name: str, passed: bool, rest: str) -> str:
    return (
        f'{{"n":{row.number},"line":{row.line},"of":"{row.digest}","passed":{"true" if passed else "false"},'
        f'"body":{_text(name)},{rest}}}\n'
    )


def _joined(diagnostics: list[str], figures: str) -> str:
    return f'"found":[{",".join(diagnostics)}]' + (f",{figures}" if figures else "")


def _text(words: str) -> str:
    return json.dumps(words, ensure_ascii=False)


# ------------------------------------------------------------ what was found


def _diagnostics_of(whole: Whole) -> Iterator[tuple[int, str]]:
    """(place, what is said) of every body of which anything is said, each body's in the order of the texts."""
    of_body: dict[int, list[Diagnostic]] = {}
    for failure in whole.failures:
        for place in np.flatnonzero(failure.bodies).tolist():
            of_body.setdefault(place, []).append(failure.diagnostic(place))
    for place, diagnostics in of_body.items():
        for diagnostic in in_order(diagnostics):
            yield place, _text_of(diagnostic, "rule")


def _text_of(diagnostic: Diagnostic, place: str) -> str:
    words = {
        "code": diagnostic.code,
        "severity": diagnostic.severity,
        "title": diagnostic.title,
        "expected": diagnostic.expected,
        "found": diagnostic.found,
        "way_out": diagnostic.suggestion,
    }
    data: dict[str, str | int] = {key: value for key, value in words.items() if value}
    span = diagnostic.span
    if span is not None:
        data[place] = span.column if place == "column" else f"{span.source.name.rsplit('/', 1)[-1]}:{span.line}"
    return json.dumps(data, ensure_ascii=False, separators=(",", ":"))


# ------------------------------------------------------------ figures


class _Form:
    """A text with gaps, one for each column of figures."""

    def __init__(self, bodies: Indices) -> None:
        self.bodies = bodies
        self.columns: list[list[str]] = []

    def gap(self, values: Floats | None) -> str:
        if values is None:
            return "null"
        self.columns.append(numbers(values[self.bodies].tolist()))
        return "%s"

    def point(self, places: Floats) -> str:
        return f"[{self.gap(places[:, 0])},{self.gap(places[:, 1])}]"

    def filled(self, text: str) -> list[str]:
        return [text % row for row in zip(*self.columns, strict=True)] if self.columns else [text % ()] * len(self.bodies)


def _object(items: Iterable[tuple[str, str]]) -> str:
    return "{" + ",".join(f"{_text(name).replace('%', '%%')}:{value}" for name, value in items) + "}"


def _figures(whole: Whole, bodies: Indices, points: bool) -> list[str]:
    """The figures of some bodies of a chunk, as the inside of a JSON object."""
    form = _Form(bodies)
    gap = form.gap
    ledgers = whole.draft.ledgers
    girths = _object(
        (row.level, _object((("body", gap(row.body)), ("intended", gap(row.intended)), ("sewn", gap(row.sewn)))))
        for row in ledgers.girths
    )
    seams = ",".join(
        _object(
            (
                ("one", _text(row.one).replace("%", "%%")),
                ("other", _text(row.other).replace("%", "%%")),
                ("length_one", gap(row.length_one)),
                ("length_other", gap(row.length_other)),
                ("ease", gap(row.ease)),
            )
        )
        for row in ledgers.seams
    )
    pieces = _object((finished.piece.name, _cut(form, finished.cut_line)) for finished in whole.finished.pieces)
    text = f'"girths":{girths},"seams":[{seams}],"pieces":{pieces}'
    if points:
        places = _object(
            (finished.piece.name, _object((name, form.point(place)) for name, place in landmarks(finished.piece).items()))
            for finished in whole.finished.pieces
        )
        text += f',"points":{places}'
    return form.filled(text)


def _cut(form: _Form, ring: Floats) -> str:
    x, y = np.ascontiguousarray(np.moveaxis(ring, 2, 0))
    twice = (x[:, :-1] * y[:, 1:] - x[:, 1:] * y[:, :-1]).sum(axis=1) + x[:, -1] * y[:, 0] - x[:, 0] * y[:, -1]
    figures = (("across", np.ptp(x, axis=1)), ("down", np.ptp(y, axis=1)), ("area", np.abs(twice) / 2.0))
    return _object((name, form.gap(values)) for name, values in figures)
