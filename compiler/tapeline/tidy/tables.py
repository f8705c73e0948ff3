"""Which lines are rows of a table, and its columns.

A row has a sort; lines of one sort that follow each other, equally far in and with no blank line or comment between them, are one
table.  Figures stand in their columns with their ends below each other where the table is of choices; all else begins in one column.
"""

from __future__ import annotations

from collections.abc import Sequence

from ..syntax import tree
from ..syntax.tree import Node, Word

ROWS: dict[str, str] = {
    **dict.fromkeys(("LevelFirst", "LevelFrom", "LevelHalfway"), "levels"),
    **dict.fromkeys(("EdgeAllowance", "NoAllowance", "OtherAllowances", "OthersNone"), "allow"),
    **dict.fromkeys(("Width", "WidthThan", "WidthAs"), "widths"),
    **dict.fromkeys(("Part", "PartThan", "PartRest"), "parts"),
    "Taken": "taken",
}
DRAWN = ("Line", "Curve", "CarriedOn", "Arc", "Edge")
DART_ROWS = ("Intake", "PointLevel", "PointLong", "PointGiven")


def sort_of(node: Node | None) -> str | None:
    """The sort of table that what stands on a line is a row of; None where it stands alone."""
    if node is None:
        return None
    name = type(node).__name__
    if name in ROWS:
        return ROWS[name]
    if name in DRAWN:
        return "drawn"
    if name in DART_ROWS:
        return "dart"
    if isinstance(node, tree.Choose):
        return "choices" if node.range is not None else "conditions"
    return name if isinstance(node, (tree.Definition, tree.Find, tree.Parameter, tree.Point)) else None


def columns(words: Sequence[Word], node: Node | None) -> list[list[Word]]:
    """The cells of a row."""
    sort, words = sort_of(node), list(words)
    if sort in ("dart", "Definition"):
        return [words[:1], words[1:]]
    if sort in ("Find", "Point"):
        return [words[:2], words[2:]]
    if sort == "Parameter":
        return [words[:1], words[1:2], words[2:]]
    if sort == "drawn":
        return [words[:1], words[1:2], words[2:]]
    if sort in ("choices", "conditions"):
        assert isinstance(node, tree.Choose)
        return _choice(words, node)
    name = next((at for at, word in enumerate(words) if at and words[at - 1] != "." and word != "."), len(words))
    if name < len(words) and words[name] == ",":  # a level with a girth and no measure
        return [words]
    return [words[:name], words[name:]] if name < len(words) else [words]


def _choice(words: list[Word], node: tree.Choose) -> list[list[Word]]:
    """Name, usual value, the same for another unit, from, to, and what it means."""
    text = [word for word in words if node.text is not None and word.span.start >= node.text.span.start]
    end = node.range.span.start if node.range is not None else node.text.span.start if node.text is not None else words[-1].span.end
    value = [word for word in words[2:] if word.span.start < end]
    cells = [words[:2]]
    other = next((at for at, word in enumerate(value) if word == "or"), len(value))
    cells += [value[:other], value[other:]]
    if node.range is not None:
        least = [word for word in words if node.range.span.start <= word.span.start < node.range.span.end]
        to = next(at for at, word in enumerate(least) if word == "to")
        cells += [least[:1], least[1:to], least[to : to + 1], least[to + 1 :]]
    return [*cells, text]


WIDE = ("levels", "widths", "parts", "taken", "Point", "drawn")  # with two blanks behind the name
NAMED = {"drawn": 1}  # the column of the name, where it is not the first
KIND = len("length")  # as most parameters are


def aligned(rows: list[list[str]], sort: str) -> list[str]:
    """The rows of a table as texts, their cells in columns."""
    most = max(map(len, rows))
    if sort == "Parameter":
        rows = [[row[0], " ".join((row[1].ljust(KIND), *row[2:])).rstrip()] for row in rows]
        most = 2
    widths = [max((len(row[at]) for row in rows if at < len(row) - 1), default=0) for at in range(most)]
    right = (1, 4, 6) if sort == "choices" else ()
    if right:
        widths = [max(len(row[at]) for row in rows if at < len(row)) for at in range(most)]
    gap = 2 if sort in WIDE else 1
    texts = []
    for row in rows:
        text = ""
        for at, cell in enumerate(row):
            if at == len(row) - 1 and at not in right:
                text += cell
                break
            if not widths[at]:
                continue
            after = gap if at == NAMED.get(sort, 0) else 1
            text += (cell.rjust(widths[at]) if at in right else cell.ljust(widths[at])) + " " * after
        texts.append(text.rstrip())
    return texts
