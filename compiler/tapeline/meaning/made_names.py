"""Names that nobody wrote as they stand: those made of other names, and those taken over from another piece.

`hip_side` is made of the level `hip`, `dart_near` of a dart, `yoke_side` of the two edges that meet there; a piece that is made from
another has its edges and points by the same names.  Of each such name is kept where in it which other name stands, its `stems`,
so that an editor leads from it to what was written, and changes it when that is called otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from ..syntax.forms import Word
from .names import Entity, Stems
from .ring import IMAGE

Known = Mapping[str, Entity[Any]] | Mapping[str, Word]
Owner = Callable[
    [str], tuple[Entity[Any], Mapping[str, Entity[Any]]] | None
]  # a piece by its name: its own name, and those of its edges
OWN_WORDS = frozenset(("point", "near", "far", "upper", "lower", "top", "outer", "end", "centre", "side", "extension"))


def stem(name: Any, at: int = 0) -> Stems:
    """That another name stands in one."""
    return ((at, name),)


def stems_of(name: str, *known: Known) -> Stems:
    """Where known names stand in one that is made of them; the same name, where one is known, goes before all else.

    Nothing where the name cannot be told to be made of these and of the words that the language adds.
    """
    for names in known:
        if name in names:
            return stem(names[name])
    if name.startswith(IMAGE):
        return tuple((at + len(IMAGE), inner) for at, inner in stems_of(name.removeprefix(IMAGE), *known))
    for at in (index for index in range(len(name) - 1, 0, -1) if name[index] == "_"):
        first, rest = name[:at], name[at + 1 :]
        for names in known:
            if first in names:
                second = stems_of(rest, *known)
                if second or OWN_WORDS.issuperset(rest.split("_")):
                    return (*stem(names[first]), *((at + 1 + further, inner) for further, inner in second))
    return ()


def stems_of_edge(
    name: str, origin: tuple[str, str] | None, source: str, own: Mapping[str, Entity[Any]], called: Mapping[str, Word], piece: Owner
) -> Stems:
    """The same for an edge that was an edge of another piece: of the `source`, whose edges are `own`, or of one that was joined on; or
    that a change added and named, in words that are `called`."""
    if name in own or origin is None:
        return stems_of(name, own, called)
    owner, edge = origin
    if owner == source:
        return stems_of(name, {edge: own[edge]} if edge in own else {}, own, called)
    joined = piece(owner)
    if joined is None or edge not in joined[1]:
        return stems_of(name, own, called)
    return stems_of(name, {edge: joined[1][edge]}, {owner: joined[0]}, own)
