"""A house's usual allowances, put on the edges that a style does not name.

A row of `allow` that names an edge, and `others none`, are the style's own word and stay.  Every other edge that is not on a
fold gets the house's allowance, if it has one: that for a zip, where a zip is set into the edge or into the one it is sewn to;
else that of the edge's own name; else that for seams, where the edge is sewn; else that for all others.  What the house
leaves open stays as the style has it.  Net pieces are not touched.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import NamedTuple

import numpy as np

from ..drafting.pattern import Allowance, Pattern
from ..source.text import Span

ZIP, SEAM, OTHERS = "zip", "seam", "others"
SORTS = (ZIP, SEAM, OTHERS)  # sorts of edge; any other word is an edge's name


class UsualAllowance(NamedTuple):
    width: float  # mm
    kind: str  # as in `allow`: plain, faced, bound, for zip, turned up
    span: Span  # where the house says so


def with_usual_allowances(pattern: Pattern, usual: Mapping[str, UsualAllowance]) -> Pattern:
    """The pattern with a house's allowances where the style names none."""
    sewn, zipped = _sewn(pattern), _zipped(pattern)
    allowances = dict(pattern.allowances)
    for piece in pattern.pieces:
        for edge in piece.edges:
            place = (piece.name, edge.name)
            stated = allowances.get(place)
            if edge.name == piece.cut.fold or (stated is not None and not stated.unnamed):
                continue
            words = [*([ZIP] if place in zipped else ()), edge.name, *([SEAM] if place in sewn else ()), OTHERS]
            usual_allowance = next((usual[word] for word in words if word in usual), None)
            if usual_allowance is not None:
                allowances[place] = Allowance(
                    edge.name, np.full(pattern.n, usual_allowance.width), usual_allowance.kind, usual_allowance.span
                )
    return replace(pattern, allowances=allowances)


def _sewn(pattern: Pattern) -> set[tuple[str, str]]:
    return {place for seam in pattern.seams for place in (*seam.one, *seam.other)}


def _zipped(pattern: Pattern) -> set[tuple[str, str]]:
    """Edges with a zip, and what they are sewn to."""
    own = {(piece.name, mark.edge) for piece in pattern.pieces for mark in piece.marks if mark.kind == "zip"}
    return own | {place for seam in pattern.seams if own & {*seam.one, *seam.other} for place in (*seam.one, *seam.other)}
