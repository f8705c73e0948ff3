"""The files of a probe, and the two measures that its picture is drawn against."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ..source.diagnostics import Diagnostic
from ..source.suggest import did_you_mean
from ..source.text import Source, Span

if TYPE_CHECKING:
    from ..meaning.style import Style
    from ..probing.cases import Case
    from ..probing.probe import Probe
    from ..probing.spread import Variable

    Pair = tuple[Variable, Variable]


def pair_named(style: Style, choices: Mapping[str, float], names: Sequence[str], unit: str) -> tuple[Pair | None, list[Diagnostic]]:
    """The variables that `--across` names; None where it names none.  X101."""
    from ..probing.spread import variables_of

    if not names:
        return None, []
    variables = {variable.name: variable for variable in variables_of(style, choices, unit)}
    source = Source("--across", ",".join(names))
    diagnostics, start = [], 0
    for name in names:
        span = Span(source, start, start + len(name))
        start += len(name) + 1
        if name not in variables:
            diagnostics.append(
                Diagnostic(
                    "X101",
                    "Nothing of this name differs from body to body",
                    span,
                    f"one of: {', '.join(variables)}",
                    f'"{name}"',
                    did_you_mean(name, variables),
                )
            )
    if not diagnostics and names[0] == names[1]:
        diagnostics.append(
            Diagnostic(
                "X101",
                "The picture needs two measures",
                Span(source, 0, len(source.text)),
                "two that differ",
                f"{names[0]} twice",
                "Name another one beside it.",
            )
        )
    return (None, diagnostics) if diagnostics else ((variables[names[0]], variables[names[1]]), [])


def papers(probe: Probe, cases: Sequence[Case], pair: Pair | None, style: str, words: str) -> dict[str, str]:
    """File name -> text: the report, a card of each failing body, and the share that passes as picture and table."""
    from ..bodies.card import write_card
    from ..paper.pictures.share import MARK, share_drawing, share_table
    from ..paper.sheets.svg import write_svg
    from ..probing.cases import card_of, command_of, file_name
    from ..probing.share import grids, most_telling
    from ..probing.telling import origin_words

    plan = probe.style.plan()
    mark = MARK.decode()
    contents = {f"{plan.name}-probe.txt": f"{plan.title or plan.name}, {mark}\n\n{words}"}
    for case in cases:
        contents[file_name(probe, case)] = f"# {mark}: {command_of(probe, case, style)}\n{write_card(card_of(probe, case))}"
    pair = pair or most_telling(probe)
    if pair is not None:
        shown = grids(probe, pair)
        captions = [_upper(origin_words(probe, grid.origin)) for grid in shown]
        contents[f"{plan.name}-share.svg"] = write_svg(share_drawing(plan.title or plan.name, shown, captions, probe.unit))
        contents[f"{plan.name}-share.csv"] = share_table(shown, probe.unit)
    return contents


def _upper(words: str) -> str:
    return words[:1].upper() + words[1:]
