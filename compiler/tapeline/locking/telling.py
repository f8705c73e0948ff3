"""What has moved, as a person reads it: piece by piece, places first, with the rule that did it.

Rows that tell one thing are told once: the names of one place together, the points of an edge's curve as the edge, everything
of a piece that is new or gone as the piece.
"""

from __future__ import annotations

from collections.abc import Iterable

from ..source.quantity import show_number
from .causes import PROGRAM
from .comparing import LIMIT, Comparison, Move
from .edges import edge_changes
from .lock import COURSES, GIRTHS, SEAMS, Lock, Value, show_value
from .texts import Change

_SORTS = (
    ("dart", "darts"),
    ("level", "levels"),
    ("mark", "marks"),
    ("length", "closed lengths"),
    ("allowance", "seam allowances"),
    ("cut", "corners of the cut line"),
    ("cutting", "cutting"),
    ("grain", "grain"),
)


def tell(comparison: Comparison, name: str) -> list[str]:
    """The lines of a report; `name` is that of the lock's file."""
    lock = comparison.lock
    count = f"{len(lock.sizes)} size{'s' if len(lock.sizes) != 1 else ''}"
    head = f"{name}: {lock.style} {comparison.present.version}".rstrip()
    if not comparison.moved:
        note = ""
        if comparison.changes:
            note = f"; {_count(len(comparison.changes), 'rule')} reworded"
        elif comparison.reworded:
            note = "; its text has changed, none of the rules"
        return [f"{head}, {count}: nothing has moved{note}"]
    where = ", at every size where none is named" if len(lock.sizes) > 1 else ""
    lines = [f"{head}, {count}: the draft has moved{where}"]
    lines += [f"    size {size} fails: {words}" for size, words in comparison.failing.items()]
    lines += [f"    size {size} no longer fails" for size in comparison.mended]
    lines += _rules(comparison)
    for heading, section in (("courses", COURSES), ("girths", GIRTHS), ("seams", SEAMS)):
        rows = [move for move in comparison.moves if move.key.section == section]
        if rows:
            lines += [f"    {heading}", *(f"        {_line(comparison, move.key.name, move)}" for move in rows)]
    for piece in dict.fromkeys(move.key.piece for move in comparison.moves if move.key.piece):
        lines += _piece(comparison, piece)
    return lines


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'s' if number != 1 else ''}"


# ------------------------------------------------------------------------------------------------------------ rules


def marks(comparison: Comparison) -> dict[Change, str]:
    """How each change of the rules is referred to, where there are several."""
    return {change: f"[{number}]" for number, change in enumerate(comparison.changes, 1)} if len(comparison.changes) > 1 else {}


def _rules(comparison: Comparison) -> list[str]:
    if not comparison.changes:
        return ["    no rule has changed: the program drafts it otherwise than when it was locked"] if comparison.moves else []
    names, guilty = marks(comparison), {cause for causes in comparison.causes.values() for cause in causes}
    lines = ["    the rules that were changed" if len(comparison.changes) > 1 else "    the rule that was changed"]
    for change in comparison.changes:
        idle = "" if change in guilty or not comparison.moves else ", which moves nothing"
        lines.append(f"        {names.get(change, '')} {change.file}:{change.line}{idle}".replace(" " * 9, " " * 8))
        lines += [
            f"            {sign} {' '.join(rule.split())}"
            for sign, rules in (("-", change.before), ("+", change.after))
            for rule in rules
        ]
    if PROGRAM in guilty:
        lines.append("        what is marked (program) comes out otherwise with the locked rules too")
    return lines


def rules_in_short(comparison: Comparison) -> str:
    """The changed rules on one line, for a drawing."""

    def line(rules: tuple[str, ...]) -> str:
        return " / ".join(" ".join(rule.split()) for rule in rules) or "nothing"

    changes = [f"{change.file}:{change.line}  {line(change.before)}  \u2192  {line(change.after)}" for change in comparison.changes]
    return "; ".join(changes) or "no rule has changed"


def places_together(rows: Iterable[Move]) -> list[tuple[list[str], Move]]:
    """The places that have moved, each once, with all its names."""
    return _together(rows, "place")


def _by(comparison: Comparison, *moves: Move) -> str:
    names, causes = marks(comparison), {cause for move in moves for cause in comparison.causes.get(move.key, ())}
    marked = "".join(name for change, name in names.items() if change in causes)
    return (f"  {marked}" if marked else "") + ("  (program)" if PROGRAM in causes and comparison.changes else "")


# ------------------------------------------------------------------------------------------------------------ rows


def _piece(comparison: Comparison, piece: str) -> list[str]:
    rows = [move for move in comparison.moves if move.key.piece == piece]
    lines = [f"    {piece}"]
    for word, held, others in (("new", comparison.lock, comparison.present), ("gone", comparison.present, comparison.lock)):
        if piece in others.pieces() and piece not in held.pieces():
            return [f"    {piece}: {word}{_by(comparison, rows[0])}"]
    edges = edge_changes(rows, comparison.lock, comparison.present, piece)
    whole = {edge.name for edge in edges if edge.new or edge.removed}
    for names, move in _together(rows, "place"):
        if not any(_of_edge(name, whole) for name in names):
            lines.append(f"        {_line(comparison, ', '.join(names), move)}")
    if edges:
        lines.append("        edges")
        lines += [f"            {edge.words()}{_sizes(comparison.lock, edge.at)}{_by(comparison, *edge.rows)}" for edge in edges]
    for sort, heading in _SORTS:
        moves = [
            move._replace(key=move.key._replace(name=names[0]))
            for names, move in _together(rows, sort)
            if not _of_edge(names[0], whole)
        ]
        if moves:
            lines += [f"        {heading}", *(f"            {_line(comparison, move.key.name, move)}" for move in moves)]
    return lines


def _of_edge(name: str, edges: set[str]) -> bool:
    return name.partition(" ")[0] in edges or any(part in edges for part in name.split(" ")[0].split("/"))


def _together(rows: Iterable[Move], sort: str) -> list[tuple[list[str], Move]]:
    """The rows of a sort, places that lie and move together as one, names from the text before those of corners."""
    together: dict[object, list[Move]] = {}
    for move in rows:
        if move.key.sort == sort:
            name = "" if isinstance((move.before + move.after)[move.at[0]], tuple) else move.key.name
            together.setdefault((name, move.before, move.after), []).append(move)
    groups = []
    for moves in together.values():
        names = [move.key.name for move in moves]
        groups.append((sorted(names, key=lambda name: ("/" in name, " " in name)) if sort == "place" else names, moves[0]))
    return groups


def _line(comparison: Comparison, name: str, move: Move) -> str:
    return f"{name}  {movement(move)}{_sizes(comparison.lock, move.at)}{_by(comparison, move)}"


def movement(move: Move) -> str:
    """What has happened in a row."""
    if move.new or move.removed:
        return "new" if move.new else "gone"
    ways = [move.by(size) for size in move.at]
    vectors = [way for way in ways if isinstance(way, tuple)]
    if len(vectors) == len(ways):
        across, down = ([vector[axis] for vector in vectors] for axis in (0, 1))
        parts = [
            f"{word} {_range(values)}" for word, values in (("across", across), ("down", down)) if max(map(abs, values)) > LIMIT / 2
        ]
        return f"by {_range([move.far(size) for size in move.at])} mm: {', '.join(parts)}"
    figures = [way for way in ways if isinstance(way, float)]
    if len(figures) == len(ways):
        unit = "" if move.key.sort == "cutting" else " deg" if move.key.sort == "grain" else " mm"
        before, after = ([value for size in move.at if isinstance(value := row[size], float)] for row in (move.before, move.after))
        return f"{_range(before)} -> {_range(after)}{unit} ({_range(figures, True)})"
    pairs = dict.fromkeys((move.before[size], move.after[size]) for size in move.at)
    return "; ".join(f"{_value(before)} -> {_value(after)}" for before, after in pairs)


def _value(value: Value) -> str:
    return "nothing" if value is None else show_value(value).replace("_", " ")


def _range(values: list[float], signed: bool = False) -> str:
    def show(value: float) -> str:
        return ("+" if signed and value > 0.0 else "") + show_number(value)

    low, high = min(values), max(values)
    if high - low <= LIMIT:
        return show(values[0])
    return f"{show(low)} to {show(high)}"


def _sizes(lock: Lock, at: tuple[int, ...]) -> str:
    if len(at) == len(lock.sizes):
        return ""
    return f", at {', '.join(lock.sizes[size] for size in at)}"


# ------------------------------------------------------------------------------------------------------------ data


def as_data(comparison: Comparison) -> dict[str, object]:
    """The same for `--json`: every row that has moved by itself, values as locked and as drafted today."""
    numbers = {change: number for number, change in enumerate(comparison.changes)}

    def row(move: Move) -> dict[str, object]:
        causes = comparison.causes.get(move.key, [])
        return {
            "section": move.key.section,
            "sort": move.key.sort,
            "name": move.key.name,
            "sizes": [comparison.lock.sizes[size] for size in move.at],
            "before": [move.before[size] for size in move.at],
            "after": [move.after[size] for size in move.at],
            "rules": [numbers[cause] for cause in causes if isinstance(cause, Change)],
            "program": PROGRAM in causes,
        }

    return {
        "style": comparison.lock.style,
        "sizes": list(comparison.lock.sizes),
        "moved": comparison.moved,
        "failing": comparison.failing,
        "no_longer_failing": comparison.mended,
        "rules": [
            {
                "file": change.file,
                "line": change.line,
                "before": [rule.strip() for rule in change.before],
                "after": [rule.strip() for rule in change.after],
            }
            for change in comparison.changes
        ],
        "rows": [row(move) for move in comparison.moves],
    }
