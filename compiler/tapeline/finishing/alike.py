"""Pieces that are one drawing: several made from one piece, which come out alike in all that a paper shows of them.

Whether they do is told by what was drafted for the body, not by how they were said: outline, darts, marks, notches, seam
allowances, grain line and the way they are cut must agree where they lie.  The first stands for all, cut as often as all of
them together; a row of numbered titles is told by its first and last number.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from ..drafting.pattern import NO_HAND, Pattern
from ..geometry.arrays import Floats
from .finished import Finished, FinishedPiece

SAME = 1e-6  # mm
NUMBERED = re.compile(r"(.*?)(\d+)")


def one_of_each(finished: Finished, index: int) -> tuple[FinishedPiece, ...]:
    """The pieces of body `index`, of those alike only the first, with the count and the titles of all."""
    groups: list[list[FinishedPiece]] = []
    pattern = finished.pattern
    for piece in finished.pieces:
        fellows = next((group for group in groups if _are_alike(group[0], piece, index, pattern)), None)
        if fellows is None:
            groups.append([piece])
        else:
            fellows.append(piece)
    return tuple(group[0] if len(group) == 1 else _together(group) for group in groups)


def shown(finished: Finished, index: int, foundations: bool = False) -> tuple[FinishedPiece, ...]:
    """What drawings show of a body, in their order: linings and the like behind the garment's outside, foundations last."""
    in_order = sorted(one_of_each(finished, index), key=lambda piece: bool(piece.piece.cut.purpose))
    return (*in_order, *(finished.foundations if foundations else ()))


def _are_alike(one: FinishedPiece, other: FinishedPiece, index: int, pattern: Pattern) -> bool:
    if pattern.origin(one.piece.name) != pattern.origin(other.piece.name) or _words(one) != _words(other):
        return False
    shown, fellows = list(_places(one, index)), list(_places(other, index))
    return len(shown) == len(fellows) and all(
        first.shape == second.shape and np.allclose(first, second, rtol=0.0, atol=SAME, equal_nan=True)
        for first, second in zip(shown, fellows, strict=True)
    )


def _words(finished: FinishedPiece) -> tuple[object, ...]:
    piece = finished.piece
    return (
        replace(piece.cut, count=1),
        tuple((edge.name, finished.allowances[edge.name].kind) for edge in piece.edges),
        tuple((mark.kind, mark.name, mark.note, mark.side) for mark in piece.marks),
        tuple((mark.kind, mark.words, mark.one, mark.side) for mark in piece.point_marks),
        tuple((notch.edge, notch.name, notch.side) for notch in finished.notches),
        tuple(finished.levels),
        tuple(finished.half_levels),
    )


def _places(finished: FinishedPiece, index: int) -> Iterator[Floats]:
    piece, body = finished.piece, slice(index, index + 1)
    yield finished.cut_line[index]
    yield piece.grain[index]
    yield piece.stitch_outline().take(body).flatten()[0]
    yield piece.trued_outline().take(body).flatten()[0]
    for mark in piece.marks:
        yield mark.path.take(body).flatten()[0]
    for point in piece.point_marks:
        yield point.at[index]
    for dart in piece.inner:
        yield np.stack([corner[index] for corner in dart.corners()])
    for notch in finished.notches:
        yield np.stack([notch.on_stitch[index], notch.on_cut[index]])
    yield np.array([y[index] for y in finished.levels.values()])
    yield np.array([y[index] for both in finished.half_levels.values() for y in both])


def _together(group: Sequence[FinishedPiece]) -> FinishedPiece:
    first = group[0]
    cut = replace(first.piece.cut, count=sum(finished.piece.cut.count for finished in group))
    title = titles_together([finished.piece.title for finished in group])
    hands = {finished.piece.hand for finished in group}
    hand = hands.pop() if len(hands) == 1 else NO_HAND
    return replace(first, piece=replace(first.piece, title=title, cut=cut, hand=hand))


def titles_together(titles: Sequence[str]) -> str:
    """Several titles as one: Gore 1, Gore 2 and Gore 3 are Gore 1\u20133."""
    matches = [match for title in titles if (match := NUMBERED.fullmatch(title)) is not None]
    prefixes = {match[1] for match in matches}
    if len(matches) < len(titles) or len(prefixes) > 1:
        return ", ".join(dict.fromkeys(titles))
    numbers = sorted(int(match[2]) for match in matches)
    in_a_row = numbers == list(range(numbers[0], numbers[-1] + 1)) and len(numbers) > 2
    return prefixes.pop() + (f"{numbers[0]}\u2013{numbers[-1]}" if in_a_row else ", ".join(map(str, numbers)))
